package sheet_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/layout/sheet"
)

func box(x0, y0, x1, y1 float64) geom.Box {
	return geom.Box{Min: geom.Point{X: x0, Y: y0}, Max: geom.Point{X: x1, Y: y1}}
}

func frame(w, h float64) sheet.Scene {
	return sheet.Scene{Name: "frame", Items: []sheet.Item{{Layer: sheet.Slab, Shape: sheet.Ring(box(0, 0, w, h).Polygon()), Stroke: line}}}
}

func paper(t testing.TB, name string) sheet.Paper {
	p, err := sheet.PaperNamed(name)
	require.NoError(t, err)
	return p
}

func TestTilesOnCommonPapers(t *testing.T) {
	for _, c := range []struct {
		name    string
		scene   sheet.Scene
		paper   string
		tiles   int
		upright bool
		columns int
	}{
		{"one small drawing, one sheet", frame(150, 200), "A4", 1, true, 1},
		{"wider than high turns the sheet", frame(250, 140), "A4", 1, false, 1},
		// A4 turned shows 277 × 160 mm; steps are 267 and 150. 1000 × 300 takes
		// 4 × 2. Upright (190 × 247; steps 180, 237) it takes 6 × 2, and the
		// frame has ink in every cell.
		{"a long board", frame(1000, 300), "A4", 8, false, 4},
		{"the same on A3", frame(1000, 300), "A3", 4, true, 4},
		{"the same on a roll", frame(1000, 300), "roll 610 mm", 1, false, 1},
	} {
		got, err := sheet.PlanTiles(c.scene, sheet.TileOptions{Paper: paper(t, c.paper)})
		require.NoError(t, err, c.name)
		assert.Len(t, got.Tiles, c.tiles, c.name)
		if c.columns > 0 {
			assert.Equal(t, c.columns, got.Columns, c.name)
			assert.Equal(t, c.upright, got.Paper.Height > got.Paper.Width, c.name)
		}
	}
}

// A big ring is empty in the middle: the middle makes no sheet.
func TestNoSheetWithoutInk(t *testing.T) {
	s := sheet.Scene{Name: "ring", Items: []sheet.Item{{Layer: sheet.Body, Shape: sheet.Circle{Radius: 600}, Stroke: line}}}
	got, err := sheet.PlanTiles(s, sheet.TileOptions{Paper: paper(t, "A4")})
	require.NoError(t, err)
	assert.Less(t, len(got.Tiles), got.Columns*got.Rows-8)
	for _, k := range got.Tiles {
		assert.True(t, circleInBox(600, k.Cell), k.Name)
	}
	// Filled, the middle has ink again; hatched too; white fill is no ink.
	s.Items[0].Fill = sheet.Fill{Colour: "#eeeeee"}
	filled, err := sheet.PlanTiles(s, sheet.TileOptions{Paper: paper(t, "A4")})
	require.NoError(t, err)
	assert.Greater(t, len(filled.Tiles), len(got.Tiles)+8)
	s.Items[0].Fill = sheet.Fill{Colour: "#ffffff"}
	white, err := sheet.PlanTiles(s, sheet.TileOptions{Paper: paper(t, "A4")})
	require.NoError(t, err)
	assert.Len(t, white.Tiles, len(got.Tiles))
}

// circleInBox tells whether the circle line round the origin meets the box:
// the box's nearest point is no farther than r, its farthest no nearer.
func circleInBox(r float64, b geom.Box) bool {
	near := math.Hypot(math.Max(0, math.Max(b.Min.X, -b.Max.X)), math.Max(0, math.Max(b.Min.Y, -b.Max.Y)))
	far := math.Hypot(math.Max(math.Abs(b.Min.X), math.Abs(b.Max.X)), math.Max(math.Abs(b.Min.Y), math.Abs(b.Max.Y)))
	return near <= r+0.2 && r-0.2 <= far
}

// The gap of a dashed line is white: a cell that sees only a gap has no sheet.
func TestAGapInADashIsNoInk(t *testing.T) {
	dashed := sheet.Scene{Name: "two dots", Items: []sheet.Item{{Layer: sheet.Note,
		Shape: sheet.Polyline(geom.Point{}, geom.Point{X: 1000}), Stroke: sheet.Stroke{Colour: "#000000", Width: 0.2, Dash: []float64{10, 980}}}}}
	got, err := sheet.PlanTiles(dashed, sheet.TileOptions{Paper: paper(t, "A4")})
	require.NoError(t, err)
	assert.Len(t, got.Tiles, 2)
	assert.Greater(t, got.Columns, 2)
}

// Every point of a drawing is on some sheet, and neighbours share a strip as
// wide as the overlap. Random drawings of lines and discs.
func TestEveryPointIsOnASheet(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		coord := rapid.Float64Range(-700, 700)
		var s sheet.Scene
		var points []geom.Point
		for range rapid.IntRange(1, 5).Draw(r, "items") {
			a := geom.Point{X: coord.Draw(r, "x"), Y: coord.Draw(r, "y")}
			if rapid.Bool().Draw(r, "disc") {
				radius := rapid.Float64Range(1, 300).Draw(r, "r")
				s.Add(sheet.Item{Layer: sheet.Body, Shape: sheet.Circle{Centre: a, Radius: radius}, Fill: sheet.Fill{Colour: "#123456"}})
				for i := range 40 {
					points = append(points, a.Add(geom.Polar(radius*0.999*float64(i%5)/4, float64(i))))
				}
				continue
			}
			b := geom.Point{X: coord.Draw(r, "x2"), Y: coord.Draw(r, "y2")}
			s.Add(sheet.Item{Layer: sheet.Body, Shape: sheet.Polyline(a, b), Stroke: line})
			for i := range 41 {
				points = append(points, a.Lerp(b, float64(i)/40))
			}
		}
		name := rapid.SampledFrom([]string{"A4", "A3", "Letter", "Tabloid", "A2", "roll 610 mm"}).Draw(r, "paper")
		p, _ := sheet.PaperNamed(name)
		o := sheet.TileOptions{Paper: p, Margin: rapid.Float64Range(5, 20).Draw(r, "margin"), Overlap: rapid.Float64Range(5, 25).Draw(r, "overlap")}
		got, err := sheet.PlanTiles(s, o)
		if err != nil {
			r.Fatal(err)
		}
		for _, q := range points {
			on := false
			for _, k := range got.Tiles {
				on = on || k.Window.Has(q)
			}
			if !on {
				r.Fatalf("%v is on no sheet", q)
			}
		}
		for _, k := range got.Tiles {
			if n, ok := got.At(k.Column+1, k.Row); ok {
				if d := k.Window.Max.X - n.Window.Min.X; math.Abs(d-o.Overlap) > 1e-9 {
					r.Fatalf("%s and %s share %v mm, want %v", k.Name, n.Name, d, o.Overlap)
				}
			}
			if n, ok := got.At(k.Column, k.Row+1); ok {
				if d := n.Window.Max.Y - k.Window.Min.Y; math.Abs(d-o.Overlap) > 1e-9 {
					r.Fatalf("%s and %s share %v mm, want %v", k.Name, n.Name, d, o.Overlap)
				}
			}
		}
	})
}

// The page has the paper's size, and what it shows is at full size and inside
// the margins.
func TestPagesAreFullSize(t *testing.T) {
	for _, name := range []string{"A4", "A3", "Letter", "Tabloid", "roll 610 mm"} {
		pages, err := sheet.TilePages(frame(900, 500), sheet.TileOptions{Paper: paper(t, name), Project: "Hall bench", Date: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)})
		require.NoError(t, err, name)
		require.Greater(t, len(pages), 1)
		for _, p := range pages {
			for _, v := range p.Views {
				on := v.OnPage()
				assert.InDelta(t, v.Window.Width(), on.Width(), 1e-9)
				assert.InDelta(t, v.Window.Height(), on.Height(), 1e-9)
				assert.GreaterOrEqual(t, on.Min.X, 10-1e-9)
				assert.LessOrEqual(t, on.Max.X, p.Width-10+1e-9)
				assert.LessOrEqual(t, on.Max.Y, p.Height-10+1e-9)
			}
			on := sheet.Scene{Items: p.Items}.Bounds()
			assert.GreaterOrEqual(t, on.Min.X, 3.0, p.Name)
			assert.GreaterOrEqual(t, on.Min.Y, 3.0, p.Name)
			assert.LessOrEqual(t, on.Max.X, p.Width-3, p.Name)
			assert.LessOrEqual(t, on.Max.Y, p.Height-3, p.Name)
		}
	}
}

// The bars: a line of exactly 100 mm and one of exactly 4 in on every page.
func TestEveryPageHasBothBars(t *testing.T) {
	pages, err := sheet.TilePages(frame(500, 300), sheet.TileOptions{Paper: paper(t, "Letter")})
	require.NoError(t, err)
	for _, p := range pages {
		found := map[float64]bool{}
		for _, it := range p.Items {
			if path, ok := it.Shape.(sheet.Path); ok && it.Stroke.Width == 0.25 && len(it.Stroke.Dash) == 0 {
				if b := path.Bounds(); b.Height() == 0 {
					found[math.Round(b.Width()*1e6)/1e6] = true
				}
			}
		}
		assert.True(t, found[100], p.Name)
		assert.True(t, found[101.6], p.Name)
	}
}

// A ruler's numbers, and where the sheet lies, are told in the project's unit.
func TestRulersAreInTheProjectsUnit(t *testing.T) {
	for _, c := range []struct {
		unit    measure.Unit
		numbers []string
		absent  string
		shows   string
	}{
		{measure.Millimetres, []string{"0", "50", "100", "150"}, "2", "mm"},
		{measure.Inches, []string{"0", "2", "4", "6"}, "50", "in"},
	} {
		board := frame(180, 120)
		board.Frame = "board's frame, mm; origin at a corner"
		pages, err := sheet.TilePages(board, sheet.TileOptions{Paper: paper(t, "Letter"), Unit: c.unit})
		require.NoError(t, err)
		var cover []string
		for _, it := range pages[0].Items {
			if words, ok := it.Shape.(sheet.Text); ok {
				cover = append(cover, words.Words)
			}
		}
		assert.Contains(t, strings.Join(cover, " "), "Board's frame; origin at a corner", "the unit is the rulers'")
		at, ends := map[string]geom.Point{}, ""
		last := pages[len(pages)-1]
		for _, it := range last.Items {
			if words, ok := it.Shape.(sheet.Text); ok {
				if words.Angle == 0 {
					at[words.Words] = words.At
				}
				if strings.HasPrefix(words.Words, "sheet 1 of 1") {
					ends = words.Words
				}
			}
		}
		assert.NotContains(t, at, c.absent)
		assert.True(t, strings.HasSuffix(ends, " "+c.shows), ends)
		for i, n := range c.numbers {
			require.Contains(t, at, n)
			v := 50 * float64(i)
			if c.unit == measure.Inches {
				v = 2 * 25.4 * float64(i)
			}
			assert.InDelta(t, v, at[n].X-at["0"].X, 1e-9, n)
		}
	}
}

// On two neighbouring sheets the joining marks stand at the same places of the
// drawing.
func TestJoiningMarksMeet(t *testing.T) {
	s := frame(500, 400)
	o := sheet.TileOptions{Paper: paper(t, "A4")}
	tiling, err := sheet.PlanTiles(s, o)
	require.NoError(t, err)
	pages, err := sheet.TilePages(s, o)
	require.NoError(t, err)
	pages = pages[len(pages)-len(tiling.Tiles):] // after the cover
	marks := func(i int, in geom.Box) map[geom.Point]bool {
		out := map[geom.Point]bool{}
		back := geom.Point{}.Sub(geom.Point{}.Add(pages[i].Views[0].Shift()))
		for _, it := range pages[i].Items {
			path, ok := it.Shape.(sheet.Path)
			if !ok || it.Stroke.Colour != "#1c5a92" || len(path.Parts) != 2 { // the crosses
				continue
			}
			c := path.Bounds().Centre().Add(back)
			c = geom.Point{X: math.Round(c.X*1e6) / 1e6, Y: math.Round(c.Y*1e6) / 1e6}
			if in.Has(c) {
				out[c] = true
			}
		}
		return out
	}
	joints := 0
	for i, a := range tiling.Tiles {
		for j, b := range tiling.Tiles {
			if b.Column-a.Column+b.Row-a.Row != 1 || b.Column < a.Column || b.Row < a.Row {
				continue
			}
			joints++
			shared := geom.Box{
				Min: geom.Point{X: math.Max(a.Window.Min.X, b.Window.Min.X), Y: math.Max(a.Window.Min.Y, b.Window.Min.Y)},
				Max: geom.Point{X: math.Min(a.Window.Max.X, b.Window.Max.X), Y: math.Min(a.Window.Max.Y, b.Window.Max.Y)},
			}
			onA, onB := marks(i, shared), marks(j, shared)
			assert.GreaterOrEqual(t, len(onA), 3, "%s|%s", a.Name, b.Name)
			assert.Equal(t, onA, onB, "%s|%s", a.Name, b.Name)
		}
	}
	assert.Greater(t, joints, 2)
}

func TestTilingRefusesWhatCanNotBe(t *testing.T) {
	for _, c := range []struct {
		scene sheet.Scene
		o     sheet.TileOptions
		want  string
	}{
		{sheet.Scene{Name: "nothing"}, sheet.TileOptions{}, "empty"},
		{frame(10, 10), sheet.TileOptions{Margin: 1}, "margin"},
		{frame(10, 10), sheet.TileOptions{Margin: math.NaN()}, "margin"},
		{frame(10, 10), sheet.TileOptions{Overlap: 1}, "overlap"},
		{frame(10, 10), sheet.TileOptions{Overlap: 400}, "overlap"},
		{frame(10, 10), sheet.TileOptions{Paper: sheet.Paper{Name: "stamp", Width: 30, Height: 30}}, "no room"},
		{frame(math.Inf(1), 10), sheet.TileOptions{}, "finite"},
	} {
		_, err := sheet.TilePages(c.scene, c.o)
		require.Error(t, err, c.want)
		assert.Contains(t, err.Error(), c.want)
	}
}
