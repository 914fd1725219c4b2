package fret

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
)

// Temperament says how far above the open string each fret sounds. The zero
// value is twelve equal steps to the octave.
type Temperament struct {
	name  string
	equal int       // steps to the octave; 0 with nil cents means 12
	cents []float64 // degrees 1, 2, … in rising order; the last repeats
}

// MostDegrees bounds the degrees of a temperament. Boards with more frets to
// the octave than this are not made.
const MostDegrees = 1200

// Equal divides the octave into n equal steps, n from 1 to MostDegrees.
func Equal(n int) (Temperament, error) {
	if n < 1 || n > MostDegrees {
		return Temperament{}, fmt.Errorf("%d equal steps to the octave: write a whole number from 1 to %d", n, MostDegrees)
	}
	return Temperament{equal: n}, nil
}

// FromCents makes a temperament of the given degrees above the starting note,
// which is itself not listed: 100, 200, … 1200. They must be positive and
// rise; the last is the interval at which the scale repeats.
func FromCents(name string, cents ...float64) (Temperament, error) {
	if len(cents) == 0 || len(cents) > MostDegrees {
		return Temperament{}, fmt.Errorf("scale %q has %d degrees: list from 1 to %d, without the starting note", name, len(cents), MostDegrees)
	}
	before := 0.0
	for i, c := range cents {
		if math.IsNaN(c) || c > 12000 {
			return Temperament{}, fmt.Errorf("scale %q: degree %d is %g cents; the highest read is 12000", name, i+1, c)
		}
		if c <= before {
			return Temperament{}, fmt.Errorf("scale %q: degree %d (%g cents) is not above the one before (%g cents); frets need degrees that rise", name, i+1, c, before)
		}
		before = c
	}
	return Temperament{name: name, cents: append([]float64(nil), cents...)}, nil
}

// FromRatios is FromCents for frequency ratios written "3/2" or "2".
func FromRatios(name string, ratios ...string) (Temperament, error) {
	cents := make([]float64, len(ratios))
	for i, s := range ratios {
		c, err := ratioCents(strings.TrimSpace(s))
		if err != nil {
			return Temperament{}, fmt.Errorf("scale %q, degree %d: %w", name, i+1, err)
		}
		cents[i] = c
	}
	return FromCents(name, cents...)
}

// ParseTemperament reads how a maker writes one: a whole number of equal steps
// to the octave ("12", "19 equal"), or a list of pitches above the starting
// note, with blanks or commas between, each a ratio or cents with a full stop
// ("9/8 5/4 4/3 3/2 5/3 15/8 2/1", "193.157, 5/4, 1200."). Empty is twelve
// equal steps.
func ParseTemperament(s string) (Temperament, error) {
	fields := strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ';' || r == ' ' || r == '\t' || r == '\n' || r == '\r' })
	if len(fields) == 0 {
		return Temperament{}, nil
	}
	if digitsOnly(fields[0]) && (len(fields) == 1 || (len(fields) == 2 && strings.EqualFold(fields[1], "equal"))) {
		n, err := strconv.Atoi(fields[0])
		if err != nil {
			n = MostDegrees + 1
		}
		return Equal(n)
	}
	if len(fields) > MostDegrees {
		return Temperament{}, fmt.Errorf("a temperament of %d pitches; at most %d", len(fields), MostDegrees)
	}
	cents := make([]float64, len(fields))
	for i, f := range fields {
		c, err := parsePitch(f)
		if err != nil {
			return Temperament{}, fmt.Errorf("temperament, pitch %d: %w", i+1, err)
		}
		cents[i] = c
	}
	return FromCents("", cents...)
}

// ratioCents reads "3/2" or "2" and gives 1200 log2 of it.
func ratioCents(s string) (float64, error) {
	top, bottom, isFraction := strings.Cut(s, "/")
	if !digitsOnly(top) || (isFraction && !digitsOnly(bottom)) || len(s) > 64 {
		return 0, fmt.Errorf("%q is not a ratio: write two positive whole numbers like 3/2, or one", s)
	}
	r, ok := new(big.Rat).SetString(s)
	if !ok || r.Sign() <= 0 {
		return 0, fmt.Errorf("ratio %q has a zero in it", s)
	}
	v, _ := r.Float64()
	if c := 1200 * math.Log2(v); !math.IsInf(c, 0) {
		return c, nil
	}
	return 0, fmt.Errorf("ratio %q is too large", s)
}

func digitsOnly(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

// Name describes the temperament.
func (t Temperament) Name() string {
	switch {
	case t.name != "":
		return t.name
	case t.cents != nil:
		return fmt.Sprintf("a list of %d pitches", len(t.cents))
	}
	return fmt.Sprintf("%d equal steps to the octave", t.Degrees())
}

// Degrees is how many degrees there are before the scale repeats.
func (t Temperament) Degrees() int {
	switch {
	case t.cents != nil:
		return len(t.cents)
	case t.equal > 0:
		return t.equal
	}
	return 12
}

// Cents is the pitch of degree n above the starting note. n may be negative
// or lie beyond the repeat.
func (t Temperament) Cents(n int) float64 {
	if t.cents == nil {
		return float64(n) * 1200 / float64(t.Degrees())
	}
	k := len(t.cents)
	turns := n / k
	if n%k < 0 {
		turns--
	}
	c := float64(turns) * t.cents[k-1]
	if r := n - turns*k; r > 0 {
		c += t.cents[r-1]
	}
	return c
}

// Degree is the degree nearest to a pitch in cents above the starting note.
func (t Temperament) Degree(cents float64) int {
	k := t.Degrees()
	repeat := t.Cents(k)
	low := int(math.Floor(cents/repeat)) * k
	best := low
	for n := low; n <= low+k; n++ {
		if math.Abs(t.Cents(n)-cents) < math.Abs(t.Cents(best)-cents) {
			best = n
		}
	}
	return best
}

// Even tells whether all steps are equal, so that straight frets suit all
// strings.
func (t Temperament) Even() bool { return t.cents == nil }

// CentsBetween is Cents for a place between frets, on a straight line between
// the neighbours: 6.5 lies half way in pitch from fret 6 to fret 7.
func (t Temperament) CentsBetween(n float64) float64 {
	low := math.Floor(n)
	c := t.Cents(int(low))
	if n == low {
		return c
	}
	return c + (n-low)*(t.Cents(int(low)+1)-c)
}

// Left is the share of the scale length between fret n and the saddle,
// 2^(−cents/1200). n may lie between frets.
func (t Temperament) Left(n float64) float64 {
	if t.cents == nil { // one rounding fewer: 12/12 is exact
		return math.Exp2(-n / float64(t.Degrees()))
	}
	return math.Exp2(-t.CentsBetween(n) / 1200)
}

// From is the temperament as heard from a string that is tuned to degree d:
// its fret n sounds Cents(d+n) − Cents(d). An uneven scale puts the frets of
// strings on different degrees in different places; straight frets can be
// right for one of them only.
func (t Temperament) From(d int) Temperament {
	if t.cents == nil {
		return t
	}
	turned := Temperament{name: fmt.Sprintf("%s from degree %d", t.Name(), d), cents: make([]float64, len(t.cents))}
	for i := range turned.cents {
		turned.cents[i] = t.Cents(d+i+1) - t.Cents(d)
	}
	return turned
}
