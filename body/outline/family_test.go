package outline_test

import (
	"math"
	"testing"

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
	for _, k := range f.Knots() {
		if k.Kind == Corner {
			ps = append(ps, k.At)
		}
	}
	return ps
}

// The laws of every family, over its whole range:
//  1. closed, counter-clockwise, each curve begins where the last ends
//  2. no self-crossing
//  3. tangent continuous within 1e-6 rad and curvature within 5e-5 /mm, except at corners that are meant
//  4. the neck end is straight, on the centreline and as wide as neck_width
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
			_, crosses := p.Polygon(0.01).SelfCrossing()
			require.False(t, crosses)

			corners := meantCorners(f)
			for i, c := range p.Curves {
				next := p.Curves[(i+1)%len(p.Curves)]
				require.Equal(t, c.P3, next.P0)
				meant := false
				for _, q := range corners {
					meant = meant || q == c.P3
				}
				if meant {
					continue
				}
				_, a := c.Tangents()
				b, _ := next.Tangents()
				require.InDelta(t, 0, a.Cross(b), 1e-6, "tangent at %v", c.P3)
				require.Positive(t, a.Dot(b))
				require.InDelta(t, c.Curvature(1), next.Curvature(0), 5e-5, "curvature at %v", c.P3)
			}

			neck, _ := size(f, "neck_width")
			last := p.Curves[len(p.Curves)-1]
			require.True(t, last.Straight())
			require.Equal(t, geom.Pt(0, neck/2), last.P0)
			require.Equal(t, geom.Pt(0, -neck/2), last.P3)

			r := Measure(p)
			for _, m := range []struct {
				name string
				got  float64
			}{
				{"length", r.Bounds.Max.X}, {"upper_bout", r.UpperBout.Width}, {"waist", r.Waist.Width}, {"lower_bout", r.LowerBout.Width},
				{"bout", r.LowerBout.Width},
			} {
				if want, ok := size(f, m.name); ok {
					require.InDelta(t, want, m.got, 1, m.name)
				}
			}

			front := 0.0
			for _, horn := range []string{"bass_horn", "treble_horn", "horn"} {
				if reach, ok := size(f, horn); ok {
					front = max(front, reach)
				}
			}
			require.InDelta(t, -front, r.Bounds.Min.X, 0.5)

			left, err := Outline(f, LeftHanded)
			require.NoError(t, err)
			require.InDelta(t, p.Area(), left.Area(), 1e-6)
			require.Equal(t, f.Symmetric(), math.Abs(r.Bounds.Max.Y+r.Bounds.Min.Y) < 1e-9 && math.Abs(r.Centroid.Y) < 1e-6)
			require.InDelta(t, -r.Centroid.Y, Measure(left).Centroid.Y, 1e-6)

			if radius, at := p.TightestInside(); radius < 3 {
				near := false
				for _, q := range corners {
					near = near || q.Distance(at) < 1
				}
				require.True(t, near, "inside radius %.2f at %v", radius, at)
			}
		})
	})
}
