package neck

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A4 is the standard pitch of the A above middle C, 440 Hz (ISO 16:1975,
// Acoustics — Standard tuning frequency).
const A4 = 440.0

// Note is a pitch of twelve-step equal temperament, counted in semitones; A4
// is 69, middle C (C4) 60.
type Note int

var noteNames = [12]string{"C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"}

// String is the name with its octave, sharps for the black keys: "F#1".
func (n Note) String() string {
	octave, degree := int(n)/12, int(n)%12
	if degree < 0 {
		octave, degree = octave-1, degree+12
	}
	return noteNames[degree] + strconv.Itoa(octave-1)
}

// Frequency in Hz when A4 sounds at a4 Hz: a4 · 2^((n−69)/12).
func (n Note) Frequency(a4 float64) float64 { return a4 * math.Exp2(float64(n-69)/12) }

// ParseNote reads "E4", "F#1", "Bb3", "c♯2": a letter, up to two sharps or flats, and
// an octave from −1 to 9, which changes at C.
func ParseNote(s string) (Note, error) {
	text := strings.TrimSpace(s)
	fail := func() (Note, error) {
		return 0, fmt.Errorf("note %q is not known: write a letter, # or b, and the octave, like E2, F#3 or Bb1", s)
	}
	if text == "" || strings.Count(text, "#")+strings.Count(text, "♯")+strings.Count(text[1:], "b")+strings.Count(text, "♭") > 2 {
		return fail()
	}
	degree := strings.IndexByte("C.D.EF.G.A.B", strings.ToUpper(text)[0])
	if degree < 0 || text[0] == '.' {
		return fail()
	}
	rest := text[1:]
	for rest != "" {
		switch {
		case strings.HasPrefix(rest, "#"):
			degree, rest = degree+1, rest[1:]
		case strings.HasPrefix(rest, "♯"):
			degree, rest = degree+1, rest[len("♯"):]
		case strings.HasPrefix(rest, "b"):
			degree, rest = degree-1, rest[1:]
		case strings.HasPrefix(rest, "♭"):
			degree, rest = degree-1, rest[len("♭"):]
		default:
			octave, err := strconv.Atoi(rest)
			if err != nil || octave < -1 || octave > 9 || rest[0] == '+' {
				return fail()
			}
			return Note(12*(octave+1) + degree), nil
		}
	}
	return fail()
}

// ParsePitch reads a note's name or a frequency with its unit ("82.41 Hz")
// and gives hertz, from 10 to 5000.
func ParsePitch(s string, a4 float64) (float64, error) {
	text := strings.TrimSpace(s)
	var f float64
	if lower := strings.ToLower(text); strings.HasSuffix(lower, "hz") {
		v, err := strconv.ParseFloat(strings.TrimSpace(text[:len(text)-2]), 64)
		if err != nil {
			return 0, fmt.Errorf("pitch %q is not a number of hertz: write it like 82.41 Hz", s)
		}
		f = v
	} else {
		n, err := ParseNote(text)
		if err != nil {
			return 0, err
		}
		f = n.Frequency(a4)
	}
	if math.IsNaN(f) || f < 10 || f > 5000 {
		return 0, fmt.Errorf("pitch %q is %g Hz: strings are worked out from 10 to 5000 Hz", s, f)
	}
	return f, nil
}

// NearestNote is the note nearest to a frequency, and how many cents the
// frequency lies above it.
func NearestNote(hz, a4 float64) (Note, float64) {
	semitones := 12*math.Log2(hz/a4) + 69
	n := Note(math.Round(semitones))
	return n, 100 * (semitones - float64(n))
}
