package outline_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
	. "slabwright/body/outline"
)

// draw gives a family random sizes that go together.
func draw(t *rapid.T, name string) Family {
	f, err := FamilyNamed(name)
	require.NoError(t, err)
	for _, s := range Sizes(f) {
		v := rapid.Float64Range(s.Min, s.Max).Draw(t, s.Name)
		if rapid.IntRange(0, 3).Draw(t, "extreme") == 0 { // the ends of the ranges are where shapes break
			v = rapid.SampledFrom([]float64{s.Min, s.Max}).Draw(t, s.Name)
		}
		require.NoError(t, Set(f, s.Name, v))
	}
	if f.Check() != nil {
		t.Skip("sizes that do not go together")
	}
	return f
}

func eachFamily(t *testing.T, test func(t *testing.T, name string)) {
	require.GreaterOrEqual(t, len(Families()), 8)
	for _, name := range Families() {
		t.Run(name, func(t *testing.T) { test(t, name) })
	}
}

// size is the value of one of f's sizes.
func size(f Family, name string) (float64, bool) {
	for _, s := range Sizes(f) {
		if s.Name == name {
			return s.Value, true
		}
	}
	return 0, false
}

// meantCorners are the knots where the outline may turn sharply.
func meantCorners(f Family) []geom.Point {
	var ps []geom.Point
	knots, _ := Knots(f, RightHanded)
	for _, k := range knots {
		if k.Kind == Corner {
			ps = append(ps, k.At)
		}
	}
	return ps
}

// The laws of every family, over its whole range:
//  1. closed, counter-clockwise, each curve begins where the last ends
//  2. no self-crossing
//  3. tangent continuous within 1e-6 rad everywhere, and curvature within 5e-5 /mm except at the ends of eased corners
//  4. the neck end is straight, on the centreline and as wide as neck_width but for its eased corners
//  5. what is measured is what was asked
//  6. symmetric families are; the left-handed outline is the mirror image
//  7. routable: no inside curve under 3 mm radius, except at corners that are meant
func TestFamilyLaws(t *testing.T) {
	eachFamily(t, func(t *testing.T, name string) {
		rapid.Check(t, func(t *rapid.T) {
			f := draw(t, name)
			p, err := Outline(f, RightHanded)
			require.NoError(t, err)
			require.True(t, p.Closed)
			require.Positive(t, p.Area())
			_, crosses := p.Polygon(0.02).SelfCrossing()
			require.False(t, crosses)

			corners := meantCorners(f)
			for i, c := range p.Curves {
				next := p.Curves[(i+1)%len(p.Curves)]
				require.Equal(t, c.P3, next.P0)
				_, a := c.Tangents()
				b, _ := next.Tangents()
				require.InDelta(t, 0, a.Cross(b), 1e-6, "tangent at %v", c.P3)
				require.Positive(t, a.Dot(b))
				meant := false
				for _, q := range corners {
					meant = meant || q.Distance(c.P3) <= EaseRadius*3
				}
				if meant {
					continue
				}
				require.InDelta(t, c.Curvature(1), next.Curvature(0), 5e-5, "curvature at %v", c.P3)
			}

			neck, _ := size(f, "neck_width")
			last := p.Curves[len(p.Curves)-1]
			if !last.Straight() { // beside a smooth shoulder a bit of the straight is a curve
				last = p.Curves[len(p.Curves)-2]
			}
			require.True(t, last.Straight())
			require.Zero(t, last.P0.X)
			require.Zero(t, last.P3.X)
			require.InDelta(t, neck/2, last.P0.Y, EaseRadius)
			require.InDelta(t, -neck/2, last.P3.Y, EaseRadius)
			require.InDelta(t, 0, last.P0.Y+last.P3.Y, 1e-9, "the middle of the straight is the centreline")
			for _, q := range corners {
				d, _ := p.Polygon(0.01).BoundaryDistance(q)
				require.LessOrEqual(t, d, 1.2*EaseDepth, "taken off the corner at %v", q)
			}

			r := Measure(p)
			for _, m := range []struct {
				name string
				got  float64
			}{
				{"length", r.Bounds.Max.X}, {"upper_bout", r.UpperBout.Width}, {"waist", r.Waist.Width}, {"lower_bout", r.LowerBout.Width},
				{"bout", r.LowerBout.Width},
			} {
				if want, ok := size(f, m.name); ok {
					require.InDelta(t, want, m.got, 0.5, m.name)
				}
			}

			front := 0.0
			for _, horn := range []string{"bass_horn", "treble_horn", "horn"} {
				if reach, ok := size(f, horn); ok {
					front = max(front, reach)
				}
			}
			require.InDelta(t, -front, r.Bounds.Min.X, 0.5)

			require.Equal(t, f.Symmetric(), math.Abs(r.Bounds.Max.Y+r.Bounds.Min.Y) < 1e-9 && math.Abs(r.Centroid.Y) < 1e-4)
			if rapid.IntRange(0, 4).Draw(t, "left") == 0 {
				left, err := Outline(f, LeftHanded)
				require.NoError(t, err)
				require.InDelta(t, p.Area(), left.Area(), 1e-3)
				l := Measure(left)
				require.InDelta(t, 0, l.Centroid.Distance(geom.Pt(r.Centroid.X, -r.Centroid.Y)), 1e-4)
				require.InDelta(t, 0, l.Bounds.Max.Distance(geom.Pt(r.Bounds.Max.X, -r.Bounds.Min.Y)), 1e-6)
			}

			if radius, at := p.TightestInside(); radius < 2.99 {
				near := false
				for _, q := range corners {
					near = near || q.Distance(at) < 1.5*EaseRadius
				}
				require.True(t, near, "inside radius %.2f at %v", radius, at)
			}
		})
	})
}

// With the default sizes what is measured is what was asked, closely; two
// families at least are bodies of usual size (lengths of 380 to 440 mm, bouts
// of 300 to 340 mm: common practice, no source), and all can be routed with a
// bit of 1/4 in diameter.
func TestDefaults(t *testing.T) {
	usual := 0
	eachFamily(t, func(t *testing.T, name string) {
		p, err := New(name, nil, RightHanded)
		require.NoError(t, err)
		f, err := FamilyNamed(name)
		require.NoError(t, err)
		r := Measure(p)
		for _, m := range []struct {
			name string
			got  float64
		}{{"length", r.Bounds.Max.X}, {"upper_bout", r.UpperBout.Width}, {"waist", r.Waist.Width}, {"lower_bout", r.LowerBout.Width}, {"bout", r.LowerBout.Width}} {
			if want, ok := size(f, m.name); ok {
				assert.InDelta(t, want, m.got, 0.1, m.name)
			}
		}
		for _, s := range Sizes(f) {
			assert.NotEmpty(t, s.Doc, s.Name)
			assert.Equal(t, s.Default, s.Value)
			assert.True(t, s.Min <= s.Default && s.Default <= s.Max, s.Name)
		}
		assert.NotEmpty(t, f.Doc())
		if name != "corner-waist" && name != "pointed-cutaway" {
			assert.GreaterOrEqual(t, r.SmallestInsideRadius, 6.35/2, "a usual router bit goes round")
		}
		if r.Length >= 380 && r.Length <= 440 && r.LowerBout.Width >= 300 && r.LowerBout.Width <= 340 {
			usual++
		}
	})
	assert.GreaterOrEqual(t, usual, 2)
}

// bends counts the stretches of the outline that turn inward, to the right: a
// bump would be one more.
func bends(p geom.Path) int {
	var signs []bool
	for _, c := range p.Curves {
		for s := range 16 {
			k := c.Curvature((float64(s) + 0.5) / 16)
			if c.Straight() {
				k = 1 // the neck end parts its two cutaways
			}
			if k > 1e-4 || k < -1e-4 { // flatter than a radius of 10 m is neither
				if len(signs) == 0 || signs[len(signs)-1] != (k < 0) {
					signs = append(signs, k < 0)
				}
			}
		}
	}
	n := 0
	for i, s := range signs {
		if s && !(i == len(signs)-1 && signs[0]) {
			n++
		}
	}
	return n
}

// The inward bends that each family is meant to have: cutaways and waists.
func TestNoBumps(t *testing.T) {
	want := map[string]int{
		"double-cutaway": 4, "long-horn": 4, "offset-waist": 4, // two cutaways, two waists
		"single-cutaway": 3, "pointed-cutaway": 3, // one cutaway, two waists
		"no-horn": 2, "corner-waist": 2, // two waists
		"teardrop": 2, // two hollow shoulders
	}
	eachFamily(t, func(t *testing.T, name string) {
		p, err := New(name, nil, RightHanded)
		require.NoError(t, err)
		assert.Equal(t, want[name], bends(p))
	})
}

func TestNewRefuses(t *testing.T) {
	for _, c := range []struct {
		family string
		sizes  map[string]float64
		says   string
	}{
		{"double-cutway", nil, `no outline family "double-cutway": did you mean "double-cutaway"?`},
		{"zzz", nil, "there are double-cutaway, long-horn"},
		{"no-horn", map[string]float64{"lower_bou": 330}, `no-horn has no size "lower_bou": did you mean "lower_bout"?`},
		{"no-horn", map[string]float64{"lower_bout": 200}, "no-horn: lower_bout is 200 mm, must be from 290 to 370 mm"},
		{"no-horn", map[string]float64{"lower_bout": math.NaN()}, "no-horn: lower_bout is NaN mm"},
		{"no-horn", map[string]float64{"waist": 240, "upper_bout": 220}, "no-horn: waist is 240 mm, must be at most 190 mm here"},
		{"corner-waist", map[string]float64{"upper_bout": 222, "upper_corners": 225}, "upper_corners is 225 mm, must be at most 218 mm here"},
	} {
		_, err := New(c.family, c.sizes, RightHanded)
		require.Error(t, err)
		assert.Contains(t, err.Error(), c.says)
	}
}

// A shoulder near a deep cutaway swings past its knot and is moved in; the knots
// after it are settled on the line as it was drawn, not lost.
func TestKnotsSettleTogether(t *testing.T) {
	f := &SingleCutaway{Length: 460, UpperBout: 248, Waist: 212, LowerBout: 300, UpperAt: 70, WaistAt: 171, LowerAt: 114, Horn: -15, Cut: 80, NeckWidth: 76}
	p, err := Outline(f, RightHanded)
	require.NoError(t, err)
	r := Measure(p)
	assert.InDelta(t, 248, r.UpperBout.Width, 0.05)
	assert.InDelta(t, 212, r.Waist.Width, 0.05)
	assert.InDelta(t, 300, r.LowerBout.Width, 0.05)
}

// Draw through points of a circle gives nearly the circle, and drawing again
// with a moved point still gives a smooth outline.
func TestDrawKnots(t *testing.T) {
	var knots []Knot
	for _, p := range geom.Regular(geom.Pt(30, -20), 150, 9) {
		knots = append(knots, Knot{At: p})
	}
	p, err := Draw(knots)
	require.NoError(t, err)
	for _, c := range p.Curves {
		assert.InDelta(t, 150, c.At(0.5).Distance(geom.Pt(30, -20)), 0.02)
		assert.InDelta(t, 1/150., c.Curvature(0.5), 2e-4)
	}
	knots[4].At.X -= 12
	p, err = Draw(knots)
	require.NoError(t, err)
	for i, c := range p.Curves {
		next := p.Curves[(i+1)%len(p.Curves)]
		assert.InDelta(t, c.Curvature(1), next.Curvature(0), 1e-9)
	}
	square := []Knot{{At: geom.Pt(0, 0), Kind: Corner, Straight: true}, {At: geom.Pt(100, 0), Kind: Corner, Straight: true},
		{At: geom.Pt(100, 80), Kind: Corner, Straight: true}, {At: geom.Pt(0, 80), Kind: Corner, Straight: true}}
	p, err = Draw(square)
	require.NoError(t, err)
	assert.InDelta(t, 8000, p.Area(), 1e-9)
	for _, c := range []struct {
		knots []Knot
		says  string
	}{
		{nil, "at least 3 points"},
		{[]Knot{square[0], square[1], {At: geom.Pt(math.NaN(), 0)}}, "not a place"},
		{[]Knot{square[0], square[1], square[1]}, "lie in one place"},
		{[]Knot{square[0], square[2], square[1], square[3]}, "crosses itself"},
	} {
		_, err := Draw(c.knots)
		require.Error(t, err)
		assert.Contains(t, err.Error(), c.says)
	}
}

// Reports of figures with known answers: a 200 × 120 rectangle, off the
// origin and clockwise, and an L.
func TestMeasureKnownFigures(t *testing.T) {
	r := Measure(geom.PathOf(geom.Box{Min: geom.Pt(50, 10), Max: geom.Pt(250, 130)}.Polygon().Reversed()))
	assert.InDelta(t, 24000, r.Area, 1e-9)
	assert.InDelta(t, 640, r.Perimeter, 1e-9)
	assert.InDelta(t, 200, r.Length, 1e-9)
	assert.InDelta(t, 120, r.Width, 1e-9)
	assert.InDelta(t, 0, r.Centroid.Distance(geom.Pt(150, 70)), 1e-9)
	assert.Zero(t, r.Waist)
	assert.Equal(t, math.Inf(1), r.SmallestInsideRadius)

	ell := geom.PathOf(geom.Polygon{geom.Pt(0, 0), geom.Pt(300, 0), geom.Pt(300, 100), geom.Pt(100, 100), geom.Pt(100, 300), geom.Pt(0, 300)})
	corner := Measure(ell)
	assert.Zero(t, corner.SmallestInsideRadius)
	assert.Equal(t, geom.Pt(100, 100), corner.SmallestInsideAt)
	assert.Equal(t, Report{SmallestInsideRadius: math.Inf(1)}, Measure(geom.Path{}))
}

func BenchmarkOutline(b *testing.B) {
	for _, name := range Families() {
		f, _ := FamilyNamed(name)
		b.Run("Outline/"+name, func(b *testing.B) {
			for b.Loop() {
				if _, err := Outline(f, RightHanded); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	p, _ := New("double-cutaway", nil, RightHanded)
	b.Run("Measure", func(b *testing.B) {
		for b.Loop() {
			Measure(p)
		}
	})
}
