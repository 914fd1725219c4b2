package place_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// The sides of a tilted body stand square to its faces, so that its corners
// slant through the slab. A pin beside a corner half way down is nearer to the
// body than to its front or its back.
func TestCornersOfATiltedBody(t *testing.T) {
	const need = 6.0
	s := board(1400, 140, strip(200, pale), strip(200, brown))
	s.Flaws = []slab.Flaw{{Name: "pin", Kind: "hole", Radius: 2, At: geom.Pt(500, 20)}}
	c, err := place.NewCase(s, block(300, 160, 40), place.Need{Kerf: 3, Margin: 3}, place.Wish{})
	require.NoError(t, err)
	// Toward (1, 1) the corner at (150, −80) slants past what lies off its diagonal.
	p := place.Placement{Pitch: -0.15, Roll: 0.15, Height: 90, Face: place.Top}
	lay := func(off float64) place.Placement {
		f := p.Frame()
		slant := f.Apply(150, -80, 0).Plan().Lerp(f.Apply(150, -80, -40).Plan(), 0.5)
		q := p
		q.X, q.Y = 500-slant.X-off/math.Sqrt2, 20-slant.Y+off/math.Sqrt2
		return q
	}
	pin := geom.Regular(geom.Pt(500, 20), 2, 64)
	q := lay(7.9) // the pin's side is 5.9 mm off the slant's middle
	for _, w := range []float64{0, -40} {
		assert.Greater(t, q.Frame().Project(c.Front(), w).Gap(pin).Value, need+0.5, "front and back are far enough")
	}
	assert.False(t, c.Allowed(q))
	for _, k := range c.Check(q).Checks {
		if k.Name == "solid wood under the footprint" {
			assert.False(t, k.OK)
			assert.InDelta(t, 5.9, k.Margin, 0.05, "the pin is taken as a ring of corners round it")
		}
	}
	assert.InDelta(t, 5.9, c.Clearance(q), 0.05)
	assert.True(t, c.Allowed(lay(8.1)), "%+v", c.Check(lay(8.1)))
}

// The clearance of a tilted body is the least over many of its planes, never
// more, and less by no more than is promised.
func TestClearanceOfTiltedBodies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := board(900, 80, strip(150, pale), strip(150, brown))
		at := geom.Pt(rapid.Float64Range(300, 600).Draw(t, "x"), rapid.Float64Range(-120, 120).Draw(t, "y"))
		s.Flaws = []slab.Flaw{{Name: "pin", Kind: "hole", Radius: 3, At: at}}
		c, err := place.NewCase(s, block(180, 110, 40), place.DefaultNeed(), place.Wish{})
		require.NoError(t, err)
		tilt := rapid.Float64Range(-0.25, 0.25)
		p := place.Placement{X: 450, Angle: rapid.Float64Range(-3, 3).Draw(t, "angle"), Height: 60, Face: place.Top,
			Pitch: tilt.Draw(t, "pitch"), Roll: tilt.Draw(t, "roll")}
		got := c.Clearance(p)
		if got <= 0 {
			return
		}
		outline := s.Outline().Polygon(0.001)
		pin := geom.Polygon(s.Obstacles()[0].Region)
		least := math.Inf(1)
		for k := range 101 {
			ring := p.Frame().Project(c.Front(), -40*float64(k)/100)
			least = min(least, ring.Gap(pin).Value, ring.Room(outline).Value)
		}
		assert.LessOrEqual(t, got, least+1e-6)
		assert.GreaterOrEqual(t, got, least-3*place.Exact*max(1, c.Need.Clearance()/got))
	})
}
