package place_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// bowedCase is anyCase in a slab so curved or sloping, and so little thicker
// than the body, that the body must mostly be tilted.
func bowedCase(t *rapid.T, carved bool) *place.Case {
	s := anySlab(t)
	b := anyBody(t)
	if carved {
		carve(t, b)
	}
	bow := rapid.Float64Range(-130, 130).Draw(t, "bow")
	rise := rapid.Float64Range(-100, 100).Draw(t, "rise")
	thick := b.Thickness + 2 + rapid.Float64Range(0, 14).Draw(t, "more")
	s.Profile = slab.Profile{}
	short := rapid.SampledFrom([]float64{0, 0, 0.2}).Draw(t, "stations end short of the slab") // level from there
	const n = 9
	for i := range n {
		u := float64(i) / (n - 1)
		z := 150 + bow*4*u*(1-u) + rise*u
		x := (short + u*(1-2*short)) * s.Length
		s.Profile.Bottom = append(s.Profile.Bottom, slab.Station{X: x, Value: z})
		s.Profile.Top = append(s.Profile.Top, slab.Station{X: x, Value: z + thick + 4*u})
	}
	if rapid.IntRange(0, 3).Draw(t, "rounded") == 0 {
		s.Edge = slab.Edge{TopRadius: 6, BottomRadius: 9}
	}
	w := place.DefaultWish()
	w.WholeFront = rapid.Bool().Draw(t, "whole front")
	w.Back = rapid.Bool().Draw(t, "back")
	w.Strips = []place.StripWish{{Strip: rapid.IntRange(0, len(s.Strips)-1).Draw(t, "wished strip")}}
	n2 := place.Need{Kerf: 3, Margin: rapid.Float64Range(0, 5).Draw(t, "margin"), Flatten: 1,
		GlueLine: rapid.SampledFrom([]float64{-100, 0}).Draw(t, "glue need")}
	c, err := place.NewCase(s, b, n2, w)
	require.NoError(t, err)
	return c
}

// TestRangesTellTheTruth where bodies are tilted: no placement that Settle
// gives scores less than the bound of its range, none is allowed in an
// impossible one.
func TestRangesTellTheTruthOfTiltedBodies(t *testing.T) {
	t.Run("flat", func(t *testing.T) { rangesTellTheTruthOfTiltedBodies(t, false) })
	t.Run("carved", func(t *testing.T) { rangesTellTheTruthOfTiltedBodies(t, true) })
}

func rangesTellTheTruthOfTiltedBodies(t *testing.T, carved bool) {
	tilted, allowed, refused, tight := 0, 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		c := bowedCase(t, carved)
		scale := math.Exp(rapid.Float64Range(math.Log(0.003), math.Log(60)).Draw(t, "log size"))
		at := anyPlacement(t, c)
		at.X, at.Y = c.Slab.Length*(0.25+at.X/c.Slab.Length/2), at.Y/4
		r := c.Around(at, scale*rapid.Float64Range(0, 4).Draw(t, "hx"),
			scale*rapid.Float64Range(0, 1).Draw(t, "hy"), scale*rapid.Float64Range(0, 1).Draw(t, "ha")/150)
		bound := c.Lower(r)
		possible, _ := c.Possible(r)
		if !possible {
			refused++
		}
		if lean := c.Lean(r); lean > 0 && lean < 0.05 {
			tight++
		}
		fraction := rapid.OneOf(rapid.Float64Range(-1, 1), rapid.SampledFrom([]float64{-1, 1}))
		for range 6 {
			p := c.Settle(r.Inside(c, fraction.Draw(t, "fx"), fraction.Draw(t, "fy"), fraction.Draw(t, "fa")))
			ok := c.Allowed(p)
			if !p.Level() {
				tilted++
				if ok {
					allowed++
				}
			}
			if ok {
				assert.GreaterOrEqual(t, c.Score(p).Total, bound, "score under its bound at %+v in %+v:\n%+v\n%+v", p, r, c.Score(p), c.Terms(r))
			}
			if !possible {
				assert.False(t, ok, "allowed in an impossible range: %+v in %+v", p, r)
			}
		}
	})
	t.Logf("%d tilted, %d of them allowed, %d ranges refused, %d leaning less than 0.05 mm", tilted, allowed, refused, tight)
	assert.Greater(t, allowed, 20, "too few tilted placements were allowed")
	assert.Greater(t, refused, 5)
	assert.NotZero(t, tight)
}

// bowed is a slab of stripes along arcs about one centre, thick mm thick square
// to them, with a diagonal transition and a knot. Over the length of a body the
// top comes down and the bottom goes up by some 20 mm, but in the slab's middle.
func bowed(thick float64) *slab.Slab {
	s := board(1500, 1, strip(60, pale), strip(70, brown), strip(90, red), strip(66, brown), strip(60, pale), strip(40, red))
	s.Strips[1].Pieces = append(s.Strips[1].Pieces, strip(70, red))
	s.Strips[1].Transitions = []slab.Transition{{Kind: slab.Diagonal, At: 700, Angle: math.Pi / 4}}
	s.Profile = slab.Profile{}
	const radius = 2400.0
	for x := 0.0; x <= 1500; x += 50 {
		z := func(r float64) float64 { return math.Sqrt(r*r-(x-300)*(x-300)) - radius + 400 }
		s.Profile.Bottom = append(s.Profile.Bottom, slab.Station{X: x, Value: z(radius)})
		s.Profile.Top = append(s.Profile.Top, slab.Station{X: x, Value: z(radius + thick)})
	}
	s.Flaws = []slab.Flaw{{Name: "knot", Kind: "knot", At: geom.Pt(300, 0), Radius: 60}}
	return s
}

func searchBowed(t *testing.T, thick float64, angles float64) (*place.Case, place.Result) {
	w := place.DefaultWish()
	w.Angles, w.Faces = &[2]float64{-angles, angles}, []place.Face{place.Top}
	w.NearX = &place.NearWish{Value: 600}
	c, err := place.NewCase(bowed(thick), plainBody(320, 240, 44, 0.1), place.DefaultNeed(), w)
	require.NoError(t, err)
	r, err := c.Search(context.Background(), place.Options{Limit: 60e9}.WithoutReasons())
	require.NoError(t, err)
	require.Equal(t, place.ToTheEnd, r.Stopped)
	return c, r
}

// Where no level body fits, the search finds the tilted one and proves it.
func TestSearchTiltsWhereItMust(t *testing.T) {
	c, r := searchBowed(t, 56, 0.3)
	require.NotNil(t, r.Best)
	p := r.Best.Placement
	assert.False(t, p.Level())
	assert.True(t, c.Check(p).OK, "%+v", c.Check(p))
	assert.Greater(t, r.Bound, 1.0)
	assert.LessOrEqual(t, r.Gap, 0.005*max(1, r.Best.Score.Total)+1e-9)
	l, err := c.BestPlane(p)
	require.NoError(t, err)
	assert.Negative(t, l.Level)
	t.Logf("%+v\n%s\nbound %.4f, %d ranges, %v", r.Best, l.Words(measure.Millimetres), r.Bound, r.Evaluated, r.Elapsed)
	// A lattice of placements round it finds none that beats the bound.
	for dx := -40.0; dx <= 40; dx += 8 {
		for dy := -6.0; dy <= 6; dy += 1.5 {
			q := p
			q.X, q.Y = p.X+dx, p.Y+dy
			if q = c.Settle(q); c.Allowed(q) {
				assert.GreaterOrEqual(t, c.Score(q).Total, r.Bound)
			}
		}
	}
}

// Too thin a slab is proved to hold no body, tilted or level.
func TestSearchProvesABowedSlabTooThin(t *testing.T) {
	_, r := searchBowed(t, 50, 0.05)
	require.Nil(t, r.Best)
	require.NotNil(t, r.Infeasible)
	assert.True(t, r.Infeasible.Proved)
	t.Logf("%d ranges, %v", r.Evaluated, r.Elapsed)
}
