package fret

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Scl is what a tuning file in the .scl text format says: a description and
// the pitches above the starting note (which is not written). Pitches may
// stand in any order there, be negative, or be none at all.
type Scl struct {
	Description string
	Cents       []float64
}

// ParseScl reads the published .scl text format: lines that start with "!"
// are comments; the first other line describes the scale, the second says how
// many pitch lines follow; a pitch with a full stop is cents, any other is a
// ratio; what follows a pitch after a blank is ignored. Anything else is
// refused with the number of the line.
func ParseScl(data []byte) (Scl, error) {
	var s Scl
	want := -1 // pitches still to come; -2 after the description
	described := false
	lines := strings.Split(strings.TrimPrefix(latin(data), "\ufeff"), "\n")
	for i, line := range lines {
		line = strings.TrimSuffix(line, "\r")
		number := i + 1
		if strings.HasPrefix(line, "!") || strings.HasPrefix(strings.TrimLeft(line, " \t"), "!") {
			continue
		}
		last := i == len(lines)-1 && line == "" // the end of the last line, not a line
		switch {
		case last:
		case !described:
			s.Description, described = strings.TrimSpace(line), true
		case want < 0:
			n, err := pitchCount(line)
			if err != nil {
				return Scl{}, fmt.Errorf("tuning file, line %d: %w", number, err)
			}
			want = n
		case len(s.Cents) < want:
			c, err := parsePitch(line)
			if err != nil {
				return Scl{}, fmt.Errorf("tuning file, line %d: %w", number, err)
			}
			s.Cents = append(s.Cents, c)
		case strings.TrimSpace(line) != "":
			return Scl{}, fmt.Errorf("tuning file, line %d: there are more lines than the %d pitches announced; raise the count or put ! in front", number, want)
		}
	}
	switch {
	case !described:
		return Scl{}, fmt.Errorf("tuning file: it is empty; the first line describes the scale, the second counts its pitches")
	case want < 0:
		return Scl{}, fmt.Errorf("tuning file: the count of pitches is missing; it stands on the second line that is no comment")
	case len(s.Cents) < want:
		return Scl{}, fmt.Errorf("tuning file: %d pitches are announced but %d follow", want, len(s.Cents))
	}
	return s, nil
}

// latin reads bytes that are not UTF-8 as ISO 8859-1, the usual 8-bit set of
// old tuning files; only the description can hold such bytes.
func latin(data []byte) string {
	s := string(data)
	if strings.ToValidUTF8(s, "") == s {
		return s
	}
	var b strings.Builder
	for _, c := range data {
		b.WriteRune(rune(c))
	}
	return b.String()
}

func pitchCount(line string) (int, error) {
	field := strings.Fields(line)
	if len(field) == 0 || !digitsOnly(field[0]) {
		return 0, fmt.Errorf("%q is not a count of pitches; a whole number like 12 must stand here", clip(line))
	}
	n, err := strconv.Atoi(field[0])
	if err != nil || n > MostDegrees {
		return 0, fmt.Errorf("a scale of %s pitches is not read; at most %d", clip(field[0]), MostDegrees)
	}
	return n, nil
}

// parsePitch reads one pitch line and gives cents.
func parsePitch(line string) (float64, error) {
	field := strings.Fields(line)
	if len(field) == 0 {
		return 0, fmt.Errorf("the line is empty where a pitch must stand, like 3/2 or 701.955")
	}
	value := field[0]
	if !strings.Contains(value, ".") {
		c, err := ratioCents(value)
		if err != nil && strings.HasPrefix(value, "-") {
			return 0, fmt.Errorf("%q: a ratio cannot be negative (cents are written with a full stop)", clip(value))
		}
		return c, err
	}
	whole, part, _ := strings.Cut(strings.TrimPrefix(value, "-"), ".")
	if (whole != "" && !digitsOnly(whole)) || (part != "" && !digitsOnly(part)) || whole+part == "" {
		return 0, fmt.Errorf("%q is not a pitch; write a ratio like 3/2 or cents like 701.955", clip(value))
	}
	c, err := strconv.ParseFloat(value, 64)
	if err != nil || math.Abs(c) > 1e6 {
		return 0, fmt.Errorf("%q cents is too large", clip(value))
	}
	return c, nil
}

// clip keeps a quoted piece of a bad file short.
func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

// Temperament makes frets of the file's pitches. The format lets pitches fall,
// be negative or be missing; frets cannot, so such a scale is refused. The
// last pitch is the interval at which the scale repeats, be it an octave or
// not (common practice; the format does not say so).
func (s Scl) Temperament() (Temperament, error) {
	return FromCents(s.Description, s.Cents...)
}
