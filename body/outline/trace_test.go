package outline_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
	. "slabwright/body/outline"
	"slabwright/fret/measure"
)

// A scan in pixels of 0.2 mm with a pixel of noise, its neck end up, y down as
// pictures have it: known length, direction and mirroring make of it the body
// that was scanned.
func TestImportTraceOfAScan(t *testing.T) {
	p, err := New("long-horn", nil, RightHanded)
	require.NoError(t, err)
	want := Measure(p)
	file := "x;y\n"
	for _, q := range trace(p, 1.5, 0.2, 3) {
		// up in the picture is −u, to its right is +v
		file += fmt.Sprintf("%.1f; %.1f\n", (q.Y+300)/0.2, (q.X+200)/0.2)
	}
	m, err := Import("Scan.CSV", strings.NewReader(file), Options{LengthMM: want.Length, Neck: NeckUp, Mirror: true, DeviationMM: 0.6})
	require.NoError(t, err)
	got := Measure(m.Path)
	assert.InDelta(t, want.Length, got.Length, 1e-6)
	assert.InDelta(t, want.Width, got.Width, 1.2)
	assert.InDelta(t, want.Area, got.Area, 0.002*want.Area)
	assert.Less(t, len(m.Path.Curves), 80)
	assert.True(t, m.HandSeen)
	assert.Equal(t, RightHanded, m.Hand)
	assert.Contains(t, m.Notes[0], "fitted ")
	assert.Contains(t, m.Notes[0], " mm off")
}

func TestImportTraceInInches(t *testing.T) {
	file := "# a disc of 12 in\n"
	for _, q := range geom.Regular(geom.Pt(7, 7), 6, 90) {
		file += fmt.Sprintf("%g\t%g # by hand\n\n", q.X, q.Y)
	}
	m, err := ImportTrace(strings.NewReader(file), Options{UnitMM: 25.4, Show: measure.Inches})
	require.NoError(t, err)
	assert.InDelta(t, 12*25.4, m.Path.Bounds().Width(), 1)
	assert.NotContains(t, strings.Join(m.Notes, "\n"), "mm")
}

func TestImportTraceRefuses(t *testing.T) {
	disc := func(points int, r float64) string {
		s := ""
		for _, q := range geom.Regular(geom.Pt(0, 0), r, points) {
			s += fmt.Sprintf("%g %g\n", q.X, q.Y)
		}
		return s
	}
	eight := ""
	for i := range 200 {
		a := 2 * math.Pi * float64(i) / 200
		eight += fmt.Sprintf("%g,%g\n", 200*math.Sin(a), 100*math.Sin(2*a))
	}
	noisy := ""
	for i := range 200 {
		a, r := 2*math.Pi*float64(i)/200, 1000+5*float64(i%2)
		noisy += fmt.Sprintf("%g,%g\n", r*math.Sin(a), r*math.Cos(a))
	}
	for _, c := range []struct {
		name, file string
		o          Options
		says       string
	}{
		{"nothing", "", Options{}, "there are no points in it"},
		{"a heading alone", "x,y\n", Options{}, "there are no points in it"},
		{"words", "x,y\n\nleft,right\n", Options{}, `line 3: two numbers are wanted, x and y, with points for decimals, not "left,right"`},
		{"one number", "1,2\n3\n", Options{}, `line 2: two numbers are wanted`},
		{"no number", "1,2\nNaN,3\n", Options{}, `line 2: two numbers are wanted`},
		{"few points", disc(9, 100), Options{}, "at least 12 are wanted"},
		{"tiny", disc(60, 2), Options{}, "the points cover 4 mm × 4 mm; a body is 50 mm to 5000 mm both ways. Give the unit or a known length"},
		{"a deviation of nothing", disc(60, 100), Options{DeviationMM: -1}, "must be over 0"},
		{"an id", disc(60, 100), Options{ID: "body"}, `a trace has no "body" in it`},
		{"a length of nothing", disc(60, 100), Options{LengthMM: 1}, "known length is 1 mm, must be from 50 mm to 5000 mm"},
		{"noise above the deviation", noisy, Options{LengthMM: 400, DeviationMM: 0.1}, "no smooth curve stays within 0.1 mm of the trace: the nearest misses it by"},
		{"crossing itself", eight, Options{}, "crosses itself near"},
	} {
		_, err := ImportTrace(strings.NewReader(c.file), c.o)
		require.Error(t, err, c.name)
		assert.Contains(t, err.Error(), c.says, c.name)
	}
	_, err := Import("body.pdf", strings.NewReader(""), Options{})
	assert.ErrorContains(t, err, "ends in .svg or .dxf, or from a trace's points")
}

func FuzzImportTrace(f *testing.F) {
	f.Add("x,y\n0,0\n100,0\n100 100;0 100", 0.0)
	s := ""
	for _, q := range geom.Regular(geom.Pt(0, 0), 100, 20) {
		s += fmt.Sprintf("%.2f;%.2f\n", q.X, q.Y)
	}
	f.Add(s, 300.0)
	f.Fuzz(func(t *testing.T, file string, length float64) {
		m, err := ImportTrace(strings.NewReader(file), Options{LengthMM: length, DeviationMM: 5})
		checkImported(t, m, err)
	})
}
