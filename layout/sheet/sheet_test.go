package sheet_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
	"slabwright/layout/sheet"
)

var line = sheet.Stroke{Colour: "#000000", Width: 0.25}

// Paper sizes against the tables of ISO 216 and ANSI/ASME Y14.1 in
// testdata/paper_sizes.csv, which names its sources.
func TestPapersAreThoseOfTheStandards(t *testing.T) {
	f, err := os.Open("../../testdata/paper_sizes.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	found := 0
	for _, p := range sheet.Papers() {
		for _, r := range rows[1:] {
			if r[0] != p.Name {
				continue
			}
			found++
			w, err := strconv.ParseFloat(r[2], 64)
			require.NoError(t, err)
			h, err := strconv.ParseFloat(r[3], 64)
			require.NoError(t, err)
			assert.InDelta(t, w, p.Width, 1e-9, p.Name)
			assert.InDelta(t, h, p.Height, 1e-9, p.Name)
		}
	}
	assert.Equal(t, len(sheet.Papers()), found, "every named paper stands in the table")
}

func TestPaperNamed(t *testing.T) {
	for _, c := range []struct {
		name          string
		width, height float64
	}{
		{"a4", 210, 297},
		{"LETTER", 215.9, 279.4},
		{"ansi d", 558.8, 863.6},
		{"420 x 900 mm", 420, 900},
		{"17 in x 30 in", 431.8, 762},
		{"420×900", 420, 900},
		{"roll 610 mm", 610, 0},
		{"roll 24 in", 609.6, 0},
	} {
		p, err := sheet.PaperNamed(c.name)
		require.NoError(t, err, c.name)
		assert.InDelta(t, c.width, p.Width, 1e-9, c.name)
		assert.InDelta(t, c.height, p.Height, 1e-9, c.name)
	}
	for _, bad := range []string{"", "A5", "foolscap", "10 x 10", "roll", "roll 3 mm", "420 x", "x", "1e9 x 1e9", "roll NaN"} {
		_, err := sheet.PaperNamed(bad)
		assert.Error(t, err, bad)
	}
}

func FuzzPaperNamed(f *testing.F) {
	for _, s := range []string{"A4", "420 x 900 mm", "roll 24 in", "17 in x 30 in", "×", "roll"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := sheet.PaperNamed(s)
		if err == nil && (!(p.Width >= 140) || !(p.Height == 0 || p.Height >= 140)) {
			t.Fatalf("%q gave a sheet too small to print on: %+v", s, p)
		}
	})
}

// A capital H stands on its line and is as high as asked; a longer word is
// wider; turning and aligning move the letters as they should.
func TestLetters(t *testing.T) {
	bounds := func(x sheet.Text) geom.Box {
		b := geom.EmptyBox()
		for _, p := range x.Letters() {
			b = b.Union(p.Bounds())
		}
		return b
	}
	for _, bold := range []bool{false, true} {
		x := sheet.Text{Words: "HEH", At: geom.Point{X: 10, Y: 20}, Height: 3, Bold: bold}
		b := bounds(x)
		assert.InDelta(t, 20, b.Min.Y, 0.01)
		assert.InDelta(t, 23, b.Max.Y, 0.02)
		assert.Greater(t, b.Min.X, 10.0)
		assert.Less(t, b.Max.X, 10+x.Width())

		x.Align, x.Rise = sheet.Right, sheet.Top
		b = bounds(x)
		assert.Less(t, b.Max.X, 10.0)
		assert.Greater(t, b.Max.X, 9.0)
		assert.InDelta(t, 20, b.Max.Y, 0.02)

		x.Align, x.Rise, x.Angle = sheet.Centre, sheet.Middle, math.Pi/2
		b = bounds(x)
		assert.InDelta(t, 10, b.Centre().X, 0.02)
		assert.InDelta(t, 20, b.Centre().Y, 0.1)
		assert.InDelta(t, 3, b.Width(), 0.03)
	}
	one, two := sheet.Text{Words: "m", Height: 1}.Width(), sheet.Text{Words: "mm", Height: 1}.Width()
	assert.InDelta(t, 2*one, two, 1e-9, "no kerning")
	for _, p := range (sheet.Text{Words: "q½ø°—→↓", At: geom.Point{X: 5, Y: 5}, Height: 2, Angle: 0.3}).Letters() {
		assert.True(t, p.Closed)
		box := geom.Polygon(sheet.Text{Words: "q½ø°—→↓", At: geom.Point{X: 5, Y: 5}, Height: 2, Angle: 0.3}.Box()).Bounds().Grow(0.4)
		for _, q := range p.Flatten(0.01) {
			assert.True(t, box.Has(q), "%v in %v", q, box)
		}
	}
}

func TestCheckNamesWhatIsWrong(t *testing.T) {
	good := sheet.Item{Layer: sheet.Slab, Shape: sheet.Polyline(geom.Point{}, geom.Point{X: 1}), Stroke: line}
	for _, c := range []struct {
		change func(*sheet.Item)
		want   string
	}{
		{func(i *sheet.Item) { i.Layer = "WOOD" }, "no such layer"},
		{func(i *sheet.Item) { i.Shape = nil }, "nothing to draw"},
		{func(i *sheet.Item) { i.Shape = sheet.Circle{Radius: math.NaN()} }, "not a finite number"},
		{func(i *sheet.Item) { i.Shape = sheet.Circle{Radius: math.Inf(1)} }, "not a finite number"},
		{func(i *sheet.Item) { i.Stroke.Colour = "red" }, `"red" is not written #rrggbb`},
		{func(i *sheet.Item) { i.Fill.Colour = `#12345g` }, `not written #rrggbb`},
		{func(i *sheet.Item) { i.ID = "a" }, "used twice"},
	} {
		bad := good
		c.change(&bad)
		first := good
		first.ID = "a"
		s := sheet.Scene{Name: "test", Items: []sheet.Item{first, bad}}
		err := s.Check()
		require.Error(t, err, c.want)
		assert.Contains(t, err.Error(), c.want)
	}
	assert.NoError(t, sheet.Scene{Items: []sheet.Item{good, good}}.Check())
	assert.NoError(t, sheet.Scene{}.Check())
}

// A circle's four curves leave it by no more than the doc says.
func TestCirclePath(t *testing.T) {
	c := sheet.Circle{Centre: geom.Point{X: 3, Y: -2}, Radius: 50}
	for _, p := range c.Path().Flatten(1e-4) {
		assert.InDelta(t, 50, p.Distance(c.Centre), 0.00028*50)
	}
	for _, ch := range sheet.Chains(c, 0.01) {
		for i, p := range ch.Points {
			mid := p.Lerp(ch.Points[(i+1)%len(ch.Points)], 0.5)
			assert.InDelta(t, 50, mid.Distance(c.Centre), 0.01)
		}
	}
}

// Hatch lines against a slow look at the same shape: every point of a line is
// in the shape, and a line through the shape on the grid is hatched.
func TestHatchLinesFillTheShape(t *testing.T) {
	ring := geom.Polygon{{X: 0, Y: 0}, {X: 40, Y: 3}, {X: 38, Y: 30}, {X: 20, Y: 12}, {X: 2, Y: 28}}
	hole := geom.Regular(geom.Point{X: 25, Y: 9}, 4, 40)
	for _, angle := range []float64{0, 0.5, math.Pi / 2, 2.2} {
		it := sheet.Item{Shape: sheet.Rings(ring, hole), Hatch: sheet.Hatch{Angle: angle, Spacing: 2.5}}
		length := 0.0
		for _, l := range it.HatchLines() {
			length += l[0].Distance(l[1])
			for _, k := range []float64{0.01, 0.3, 0.5, 0.99} {
				p := l[0].Lerp(l[1], k)
				assert.NotEqual(t, geom.Outside, ring.Locate(p), "%v", p)
				assert.NotEqual(t, geom.Inside, hole.Locate(p), "%v", p)
			}
		}
		// Lines 2.5 mm apart cover the area to within a strip's worth.
		area := ring.Area() - hole.Area()
		assert.InEpsilon(t, math.Abs(area), length*2.5, 0.05, "angle %v", angle)
	}
}

func TestDimensionReadsFromBelowOrRight(t *testing.T) {
	for _, c := range []struct {
		a, b  geom.Point
		angle float64
	}{
		{geom.Point{}, geom.Point{X: 100}, 0},
		{geom.Point{X: 100}, geom.Point{}, 0},
		{geom.Point{}, geom.Point{Y: 100}, math.Pi / 2},
		{geom.Point{Y: 100}, geom.Point{}, math.Pi / 2},
		{geom.Point{}, geom.Point{X: -50, Y: -50}, math.Pi / 4},
		{geom.Point{}, geom.Point{X: 2}, 0}, // no room between the arrows
	} {
		found := false
		for _, it := range sheet.LinearDimension(c.a, c.b, c.b.Sub(c.a), 10, "100 mm") {
			assert.Equal(t, sheet.Note, it.Layer)
			if x, ok := it.Shape.(sheet.Text); ok {
				found = true
				assert.InDelta(t, c.angle, x.Angle, 1e-9, "%v → %v", c.a, c.b)
				assert.Equal(t, "100 mm", x.Words)
			}
		}
		assert.True(t, found)
	}
}

func TestWrap(t *testing.T) {
	words := "Let the paper lie in the shop for an hour before you join it"
	lines := sheet.Wrap(words, 30, 2)
	require.Greater(t, len(lines), 2)
	for _, l := range lines {
		assert.LessOrEqual(t, sheet.Text{Words: l, Height: 2}.Width(), 30.0)
	}
	assert.Equal(t, words, strings.Join(lines, " "))
	assert.Equal(t, []string{"Incomprehensibilities"}, sheet.Wrap("Incomprehensibilities", 3, 2), "a word is never broken")
}

// Whatever is asked for, no two labels overlap: against exact clipping of
// their boxes.
func TestLabelsNeverOverlap(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var l sheet.Labels
		var boxes []geom.Polygon
		n := rapid.IntRange(2, 25).Draw(r, "labels")
		for i := range n {
			p := geom.Point{X: rapid.Float64Range(0, 60).Draw(r, "x"), Y: rapid.Float64Range(0, 40).Draw(r, "y")}
			words := sheet.Text{Words: fmt.Sprintf("label %d", i), Height: 2}
			if rapid.Bool().Draw(r, "along") {
				q := geom.Point{X: rapid.Float64Range(0, 60).Draw(r, "x2"), Y: rapid.Float64Range(0, 40).Draw(r, "y2")}
				if placed, ok := l.Along(words, p, q, 0.5); ok {
					boxes = append(boxes, geom.Polygon(placed.Box()))
				}
				continue
			}
			items, ok := l.Around(words, p, 1, 20)
			if ok {
				boxes = append(boxes, geom.Polygon(items[len(items)-1].Shape.(sheet.Text).Box()))
			}
		}
		for i, a := range boxes {
			for _, b := range boxes[:i] {
				if area := a.ClippedTo(geom.Convex(b)).Area(); area > 1e-9 {
					r.Fatalf("labels overlap by %v mm²", area)
				}
			}
		}
	})
}

func TestScaledKeepsPensAndDropsTinyWords(t *testing.T) {
	s := sheet.Scene{Name: "x", Items: []sheet.Item{
		{Layer: sheet.Slab, Shape: sheet.Polyline(geom.Point{X: 10}, geom.Point{X: 30, Y: 20}), Stroke: line},
		{Layer: sheet.Hole, Shape: sheet.Circle{Centre: geom.Point{X: 10, Y: 10}, Radius: 5}, Stroke: line},
		{Layer: sheet.Note, Shape: sheet.Text{Words: "small", Height: 2}},
		{Layer: sheet.Note, Shape: sheet.Text{Words: "big", Height: 20}},
	}}
	half := s.Scaled(0.1)
	require.Len(t, half.Items, 3)
	assert.Equal(t, geom.Box{Min: geom.Point{X: 1}, Max: geom.Point{X: 3, Y: 2}}, half.Items[0].Shape.Bounds())
	assert.Equal(t, 0.25, half.Items[0].Stroke.Width)
	assert.Equal(t, sheet.Circle{Centre: geom.Point{X: 1, Y: 1}, Radius: 0.5}, half.Items[1].Shape)
}
