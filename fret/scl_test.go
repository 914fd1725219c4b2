package fret_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/fret"
)

// quarterComma is quarter-comma meantone, as a file of the format.
const quarterComma = `! quarter.scl
!
quarter-comma meantone, fifths of 5^(1/4)
 12
!
 76.04900
 193.15686
 310.26471
 5/4
 503.42157
 579.47057
 696.57843
 25/16  G#
 889.73529
 1006.84314
 1082.89214
 2/1   the octave
`

func TestParseScl(t *testing.T) {
	s, err := fret.ParseScl([]byte(quarterComma))
	require.NoError(t, err)
	assert.Equal(t, "quarter-comma meantone, fifths of 5^(1/4)", s.Description)
	tm, err := s.Temperament()
	require.NoError(t, err)
	assert.Equal(t, 12, tm.Degrees())
	// The published cents of the system, degree by degree.
	n := 0
	for _, row := range table(t, "temperaments.csv") {
		if row["system"] == "meantone-quarter-comma" && row["degree"] != "0" {
			n++
			assert.InDelta(t, number(t, row["cents"]), tm.Cents(n), 1e-4, row["note_from_c"])
		}
	}
	assert.Equal(t, 12, n)
}

// The valid and invalid lines listed by the published format page.
func TestSclLines(t *testing.T) {
	for _, row := range table(t, "scl_lines.csv") {
		s, err := fret.ParseScl([]byte("one line\r\n1\r\n" + row["line"] + "\r\n"))
		switch row["kind"] {
		case "error":
			assert.Error(t, err, row["line"])
		case "comment":
			assert.ErrorContains(t, err, "1 pitches are announced but 0 follow")
		default:
			if assert.NoError(t, err, row["line"]) {
				assert.InDelta(t, number(t, row["cents"]), s.Cents[0], 6e-7, row["line"])
			}
		}
	}
}

func TestSclRefuses(t *testing.T) {
	for _, row := range []struct{ file, says string }{
		{"", "it is empty"},
		{"! only a comment\n", "it is empty"},
		{"scale\n", "count of pitches is missing"},
		{"scale\ntwelve\n", `line 2: "twelve" is not a count`},
		{"scale\n-1\n", "line 2"},
		{"scale\n99999999999999999999\n", "line 2"},
		{"scale\n2\n3/2\n", "2 pitches are announced but 1 follow"},
		{"scale\n1\n3/2\n2/1\n", "line 4: there are more lines"},
		{"scale\n2\n\n2/1\n", "line 3: the line is empty"},
		{"scale\n1\n1.2.3\n", "line 3"},
		{"scale\n1\n.\n", "line 3"},
		{"scale\n1\n1e3.0\n", "line 3"},
		{"scale\n1\n-5/4\n", "cannot be negative"},
		{"scale\n1\n99999999999.0\n", "too large"},
	} {
		_, err := fret.ParseScl([]byte(row.file))
		assert.ErrorContains(t, err, row.says, "%q", row.file)
	}
	none, err := fret.ParseScl([]byte("\n0\n")) // legal, but no frets
	require.NoError(t, err)
	_, err = none.Temperament()
	assert.ErrorContains(t, err, "0 degrees")
	falls, err := fret.ParseScl([]byte("falls\n2\n700.0\n600.0\n"))
	require.NoError(t, err)
	_, err = falls.Temperament()
	assert.ErrorContains(t, err, "rise")
}

func TestSclReadsOldFiles(t *testing.T) {
	s, err := fret.ParseScl([]byte("gr\xfcn\n1\n2/1\n"))
	require.NoError(t, err)
	assert.Equal(t, "grün", s.Description)
}

// What is accepted has as many pitches as it says; if it makes frets, they
// rise from the nut.
func FuzzParseScl(f *testing.F) {
	f.Add([]byte(quarterComma))
	f.Add([]byte("x\n1\n2147483647/2147483646\n"))
	f.Add([]byte("\n0\n"))
	f.Add([]byte("!\n!\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := fret.ParseScl(data)
		if err != nil {
			if !strings.HasPrefix(err.Error(), "tuning file") {
				t.Fatalf("error without its place: %v", err)
			}
			return
		}
		tm, err := s.Temperament()
		if err != nil {
			return
		}
		before := 0.0
		for _, r := range fret.Table(648, 36, tm) {
			if r.FromNut.Mm < before || r.FromNut.Mm > 648 {
				t.Fatalf("fret %g at %v after %v", r.Fret, r.FromNut.Mm, before)
			}
			before = r.FromNut.Mm
		}
	})
}

// What is accepted as a temperament rises and repeats.
func FuzzParseTemperament(f *testing.F) {
	for _, s := range []string{"12", "19 equal", "9/8 5/4 4/3 3/2 2/1", "100. 200., 1200.0", "2/1", "-5.", "1/0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		tm, err := fret.ParseTemperament(s)
		if err != nil {
			return
		}
		for n := 1; n <= 40; n++ {
			if !(tm.Cents(n) > tm.Cents(n-1)) {
				t.Fatalf("%q: degree %d is %v, the one before %v", s, n, tm.Cents(n), tm.Cents(n-1))
			}
		}
	})
}
