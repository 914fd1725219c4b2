package place_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// However a slab was changed, a search that goes on from the one before and a
// search that begins anew prove the same.
func TestSearchAgainProvesTheSame(t *testing.T) {
	both := 0
	defer func() { assert.Greater(t, both, 2, "too few searches found something") }()
	left, tries := 4, 25 // each takes three searches and more
	rapid.Check(t, func(t *rapid.T) {
		if tries--; left == 0 || tries < 0 {
			return
		}
		c := anyCase(t)
		if rapid.IntRange(0, 3).Draw(t, "easy") > 0 {
			c = roomy(t, c)
		}
		o := place.Options{}.WithoutReasons().WithPatience(6000)
		before := search(t, c, o)
		if before.Best == nil || before.Stopped != place.ToTheEnd {
			return // nothing to go on from
		}
		left--
		for range 2 {
			s := *c.Slab
			switch rapid.IntRange(0, 4).Draw(t, "change") {
			case 0:
				k := rapid.IntRange(0, len(s.Strips)-1).Draw(t, "strip")
				s.Strips = slices.Clone(s.Strips)
				s.Strips[k].Pieces = slices.Clone(s.Strips[k].Pieces)
				s.Strips[k].Pieces[0].Colour = rapid.SampledFrom([]string{pale, brown, red}).Draw(t, "new colour")
			case 1:
				f := c.Footprint(before.Best.Placement)
				q := f[rapid.IntRange(0, len(f)-1).Draw(t, "corner")]
				s.Flaws = append(slices.Clone(s.Flaws), slab.Flaw{Name: "new", Kind: "knot", At: geom.Pt(q.X, q.Y), Radius: 4})
			case 2:
				s.Flaws = nil
			case 3:
				k := rapid.IntRange(0, len(s.Strips)-1).Draw(t, "strip")
				s.Strips = slices.Clone(s.Strips)
				s.Strips[k].Pieces = slices.Clone(s.Strips[k].Pieces)
				for i := range s.Strips[k].Pieces {
					s.Strips[k].Pieces[i].Thickness += 2
				}
			case 4:
				s.Profile.Top = slices.Clone(s.Profile.Top)
				s.Profile.Top[1].Value += 1
			}
			d, err := c.Changed(&s)
			require.NoError(t, err)
			o.After = &before
			again := search(t, d, o)
			e, err := place.NewCase(&s, c.Body, c.Need, c.Wish)
			require.NoError(t, err)
			o.After = nil
			anew := search(t, e, o)
			if again.Stopped != place.ToTheEnd || anew.Stopped != place.ToTheEnd {
				return
			}
			require.Equal(t, anew.Best == nil, again.Best == nil)
			if anew.Best == nil {
				return
			}
			both++
			assert.True(t, e.Check(again.Best.Placement).OK, "allowed in the slab as it is now")
			assert.InDelta(t, e.Score(again.Best.Placement).Total, again.Best.Score.Total, 1e-9)
			assert.LessOrEqual(t, again.Bound, anew.Best.Score.Total+1e-9)
			assert.LessOrEqual(t, anew.Bound, again.Best.Score.Total+1e-9)
			if !math.IsNaN(again.Gap) {
				assert.GreaterOrEqual(t, again.Gap, -1e-12)
			}
			c, before = d, again
		}
	})
}

// What did not change is not looked at again.
func TestSearchAgainLooksAtLittle(t *testing.T) {
	c := benchCase(t, 15, 60, 1)
	before := search(t, c, place.Options{})
	again := search(t, c, place.Options{After: &before})
	assert.Zero(t, again.Evaluated)
	assert.Equal(t, before.Bound, again.Bound)
	assert.InDelta(t, before.Best.Score.Total, again.Best.Score.Total, gapAsked(before.Best.Score.Total))
}
