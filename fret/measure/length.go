// Package measure reads and writes the sizes a maker works with: lengths,
// angles and masses.
//
// Inside the program a length is a float64 in millimetres, an angle a float64
// in radians and a mass a float64 in grams. This package is the edge where
// "25 1/2 in" becomes 647.7 and where 647.7 becomes "25 1/2 in" again.
// Reading is exact: fractions and decimals are added as rational numbers and
// rounded to a float64 once, so 25 1/2 in is the float64 nearest to 647.7 and
// not 647.6999999999999.
package measure

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Length is a length in millimetres. It may be negative (a setback toward the
// nut, a position left of an origin).
type Length float64

// The inch is exactly 25.4 mm and the foot twelve of them (international yard
// and pound agreement, 1959).
const (
	Millimetre Length = 1
	Centimetre Length = 10
	Metre      Length = 1000
	Inch       Length = 25.4
	Foot       Length = 12 * 25.4
)

// Mm gives the length as a bare number of millimetres.
func (l Length) Mm() float64 { return float64(l) }

// Inches gives the length as a bare number of inches.
func (l Length) Inches() float64 { return float64(l) / 25.4 }

// Unit is the unit a project is written in: it reads bare numbers and is used
// for showing. The zero value is millimetres.
type Unit int

const (
	Millimetres Unit = iota
	Inches
)

// String is the short name: "mm" or "in".
func (u Unit) String() string {
	if u == Inches {
		return "in"
	}
	return "mm"
}

// Length is the size of one of the unit.
func (u Unit) Length() Length {
	if u == Inches {
		return Inch
	}
	return Millimetre
}

// ParseUnit reads the name of a unit: "mm" or "in" (also "inch", "inches").
func ParseUnit(s string) (Unit, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "mm", "millimetre", "millimetres":
		return Millimetres, nil
	case "in", "inch", "inches":
		return Inches, nil
	}
	return 0, fmt.Errorf("unit %q is not known: write mm or in", s)
}

// rat is an exact constant; n/d must be a valid fraction.
func rat(n, d int64) *big.Rat { return big.NewRat(n, d) }

// lengthUnits maps each spelling to its size in millimetres.
func lengthUnit(name string) (*big.Rat, bool) {
	switch name {
	case "mm":
		return rat(1, 1), true
	case "cm":
		return rat(10, 1), true
	case "m":
		return rat(1000, 1), true
	case "in", "inch", "inches", `"`, "″", "”", "''":
		return rat(127, 5), true
	case "ft", "foot", "feet", "'", "′", "’":
		return rat(1524, 5), true
	}
	return nil, false
}

const lengthWanted = "write it like 648 mm, 64.8 cm, 25.5 in, 25 1/2 in or 1 ft 3 in"

// ParseLength reads a length: "648 mm", "64.8 cm", "25.5 in", "25 1/2 in",
// `25-1/2"`, "1 ft 3 in", or a bare number or fraction, taken in unit bare.
// A leading minus sign makes the whole length negative. Lengths beyond one
// kilometre, anything that is no number, and trailing text are refused.
func ParseLength(s string, bare Unit) (Length, error) {
	size := rat(1, 1)
	if bare == Inches {
		size = rat(127, 5)
	}
	v, err := parseQuantity(s, size, lengthUnit, "length", lengthWanted)
	if err != nil {
		return 0, err
	}
	if math.Abs(v) > 1e6 {
		return 0, fmt.Errorf("length %q is longer than one kilometre; check the number and the unit", strings.TrimSpace(s))
	}
	return Length(v), nil
}

// longest is the longest text read as a quantity; every sensible one is far
// shorter, and the bound keeps the exact arithmetic small.
const longest = 64

// parseQuantity reads [sign] number unit [number unit ...], or one bare
// number, and returns the sum in the base unit, rounded once.
//
//	"1 ft 3 1/2 in"  =  1 × ft + (3 + 1/2) × in
func parseQuantity(text string, bare *big.Rat, unit func(string) (*big.Rat, bool), kind, wanted string) (float64, error) {
	s := strings.TrimSpace(text)
	if s == "" {
		return 0, fmt.Errorf("the %s is empty: %s", kind, wanted)
	}
	if len(s) > longest {
		return 0, fmt.Errorf("the %s is too long a text (%d characters): %s", kind, len(s), wanted)
	}
	fail := func(why string) error {
		return fmt.Errorf("%s %q: %s; %s", kind, s, why, wanted)
	}
	rest := s
	negative := false
	if r, ok := cutSign(rest); ok {
		negative = r.negative
		rest = r.rest
	}
	sum := new(big.Rat)
	var last *big.Rat // size of the unit of the term before
	for n := 0; rest != ""; n++ {
		value, after, why := readNumber(rest)
		if why != "" {
			return 0, fail(why)
		}
		name, after := readUnitName(after)
		var size *big.Rat
		switch {
		case name != "":
			var ok bool
			if size, ok = unit(strings.ToLower(name)); !ok {
				return 0, fail(fmt.Sprintf("unit %q is not known", name))
			}
		case n == 0 && after == "":
			size = bare
		case after == "":
			return 0, fail("the last number has no unit")
		default:
			return 0, fail(fmt.Sprintf("did not understand %q", after))
		}
		if last != nil && size.Cmp(last) >= 0 {
			return 0, fail("the parts must go from the larger unit to the smaller")
		}
		last = size
		sum.Add(sum, value.Mul(value, size))
		rest = strings.TrimLeft(after, " \t\u00a0")
	}
	if last == nil {
		return 0, fail("there is no number")
	}
	if negative {
		sum.Neg(sum)
	}
	v, _ := sum.Float64()
	if v == 0 {
		v = 0 // "-0 mm" is 0, not minus zero
	}
	return v, nil
}

type signed struct {
	negative bool
	rest     string
}

func cutSign(s string) (signed, bool) {
	for _, sign := range []string{"-", "−", "+"} {
		if rest, ok := strings.CutPrefix(s, sign); ok {
			return signed{sign != "+", strings.TrimLeft(rest, " ")}, true
		}
	}
	return signed{}, false
}

// vulgar lists the single-character fractions a keyboard or word processor
// may put in place of 1/2.
func vulgar(r rune) (*big.Rat, bool) {
	switch r {
	case '½':
		return rat(1, 2), true
	case '¼':
		return rat(1, 4), true
	case '¾':
		return rat(3, 4), true
	case '⅛':
		return rat(1, 8), true
	case '⅜':
		return rat(3, 8), true
	case '⅝':
		return rat(5, 8), true
	case '⅞':
		return rat(7, 8), true
	}
	return nil, false
}

// readNumber reads one of: 25, 25.5, 1/2, 25 1/2, 25-1/2, 25½ from the front
// of s. why is empty on success and says what is wrong otherwise.
func readNumber(s string) (value *big.Rat, rest, why string) {
	if v, after, ok := readVulgar(s); ok {
		return v, after, ""
	}
	whole, after := readDecimal(s)
	if whole == "" {
		return nil, s, notANumber(s)
	}
	value, ok := new(big.Rat).SetString(whole)
	if !ok {
		return nil, s, fmt.Sprintf("%q is not a number", whole)
	}
	if strings.HasPrefix(after, ",") {
		return nil, s, "write decimals with a point, not a comma"
	}
	if r, ok := strings.CutPrefix(after, "/"); ok { // 1/2
		f, r, why := fraction(whole, r)
		return f, r, why
	}
	if strings.ContainsRune(whole, '.') {
		return value, after, ""
	}
	// 25 1/2, 25-1/2, 25½: a fraction may follow a whole number.
	trimmed := strings.TrimLeft(after, " \t")
	if r, ok := strings.CutPrefix(trimmed, "-"); ok {
		trimmed = strings.TrimLeft(r, " ")
	}
	if f, r, ok := readVulgar(trimmed); ok {
		return value.Add(value, f), r, ""
	}
	top, r := readDecimal(trimmed)
	if r, ok := strings.CutPrefix(r, "/"); ok && top != "" {
		f, r, why := fraction(top, r)
		if why == "" {
			value.Add(value, f)
		}
		return value, r, why
	}
	return value, after, ""
}

func readVulgar(s string) (*big.Rat, string, bool) {
	r, n := utf8.DecodeRuneInString(s)
	v, ok := vulgar(r)
	if !ok {
		return nil, s, false
	}
	return v, s[n:], true
}

func fraction(top, s string) (*big.Rat, string, string) {
	bottom, rest := readDecimal(s)
	text := top + "/" + bottom
	if bottom == "" || strings.ContainsRune(text, '.') {
		return nil, s, fmt.Sprintf("%q is not a fraction of whole numbers", text)
	}
	value, ok := new(big.Rat).SetString(text)
	if !ok {
		return nil, s, fmt.Sprintf("the fraction %s has a bottom of zero", text)
	}
	return value, rest, ""
}

// readDecimal cuts digits with at most one point from the front of s; at
// least one digit must stand among them, else it cuts nothing.
func readDecimal(s string) (number, rest string) {
	i, digits, points := 0, 0, 0
	for ; i < len(s); i++ {
		if s[i] >= '0' && s[i] <= '9' {
			digits++
			continue
		}
		if s[i] == '.' && points == 0 {
			points++
			continue
		}
		break
	}
	if digits == 0 {
		return "", s
	}
	return s[:i], s[i:]
}

// readUnitName cuts a unit's name, with blanks before it, from the front of s.
func readUnitName(s string) (name, rest string) {
	s = strings.TrimLeft(s, " \t\u00a0")
	for i, r := range s {
		if (r >= '0' && r <= '9') || r == ' ' || r == '.' || r == '\t' || r == ',' || r == '+' || r == '-' {
			return s[:i], strings.TrimPrefix(s[i:], ".")
		}
		if _, ok := vulgar(r); ok {
			return s[:i], s[i:]
		}
	}
	return s, ""
}

func notANumber(s string) string {
	word, _, _ := strings.Cut(s, " ")
	switch strings.ToLower(word) {
	case "nan", "inf", "infinity":
		return "it must be an ordinary number"
	}
	return fmt.Sprintf("expected a number where %q stands", word)
}

// Format shows the length in unit u: millimetres to 0.01, inches to 0.0001,
// without trailing zeros, with the unit behind.
func (l Length) Format(u Unit) string { return l.Number(u) + " " + u.String() }

// Number is Format without the unit, for table columns.
func (l Length) Number(u Unit) string {
	if u == Inches {
		return trimZeros(l.Inches(), 4)
	}
	return trimZeros(float64(l), 2)
}

// String shows millimetres.
func (l Length) String() string { return l.Format(Millimetres) }

func trimZeros(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.ContainsRune(s, '.') {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// Sixtyfourths shows the length as read on an inch rule, to the nearest 1/64:
// "25 1/2 in". lost is the length minus what the text says; it is at most
// 1/128 in either way.
func (l Length) Sixtyfourths() (text string, lost Length) {
	n := math.RoundToEven(float64(l) * 64 / 25.4)
	if math.IsNaN(n) || math.Abs(n) > 1e12 { // a length no rule reads
		return l.Format(Inches), 0
	}
	lost = l - Length(n*25.4/64)
	count := int64(n)
	sign := ""
	if count < 0 {
		sign, count = "-", -count
	}
	whole, top, bottom := count/64, count%64, int64(64)
	for top != 0 && top%2 == 0 {
		top, bottom = top/2, bottom/2
	}
	switch {
	case top == 0:
		return fmt.Sprintf("%s%d in", sign, whole), lost
	case whole == 0:
		return fmt.Sprintf("%s%d/%d in", sign, top, bottom), lost
	}
	return fmt.Sprintf("%s%d %d/%d in", sign, whole, top, bottom), lost
}

// Hundredths gives the length rounded to 0.01 mm, and what the rounding lost
// (the length minus the rounded one).
func (l Length) Hundredths() (rounded, lost Length) {
	rounded = Length(math.RoundToEven(float64(l)*100) / 100)
	return rounded, l - rounded
}
