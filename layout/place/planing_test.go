package place_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/layout/place"
)

// A plank 60 thick that rises by 0.1 a mm: laid in its best plane the body has
// the same wood everywhere, and the wedges undo the rise.
func TestPlaningOfATiltedPlank(t *testing.T) {
	const m, length = 0.1, 1400.0
	c := planeCase(t, curved(length, func(x float64) float64 { return m*x + 60 }, func(x float64) float64 { return m * x }, length), block(300, 200, 40))
	l, err := c.BestPlane(place.Placement{X: 700, Face: place.Top})
	require.NoError(t, err)
	g := c.Planing(l.Placement)
	wood := l.Slack + 1 // flattening takes 1 mm of it
	for _, r := range []place.Removal{g.Above, g.Below} {
		assert.InDelta(t, wood, r.Least.Value, 1e-6)
		assert.InDelta(t, wood, r.Most.Value, 1e-6)
		assert.False(t, r.BreaksThrough())
		assert.Equal(t, r.NU*r.NV, len(r.Thick))
		assert.InDelta(t, wood, r.At(r.NU/2, r.NV/2), 1e-6)
	}
	// The bottom lies flat on the bench once the plank is laid down: no wedge.
	for _, w := range g.Wedges {
		assert.InDelta(t, 0, w.Height, 1e-6, w.Name)
	}
	// Level, the low end touches and the others stand by the rise over it.
	p := c.Planing(place.Placement{X: 700, Height: 120, Face: place.Top})
	assert.InDelta(t, m*550, p.Wedges[0].Height, 0.01)
	assert.InDelta(t, m*850, p.Wedges[2].Height, 0.01)
	assert.Equal(t, "neck end, treble side", p.Wedges[0].Name)
	assert.Equal(t, "tail end, bass side", p.Wedges[3].Name)
	left := block(300, 200, 40)
	left.Hand = outline.LeftHanded
	of := planeCase(t, curved(length, func(x float64) float64 { return m*x + 60 }, func(x float64) float64 { return m * x }, length), left).Planing(place.Placement{X: 700, Height: 120, Face: place.Top})
	assert.Equal(t, p.Wedges[0].At, of.Wedges[0].At)
	assert.Equal(t, "neck end, bass side", of.Wedges[0].Name, "the other way round for the other hand")
	assert.Equal(t, "tail end, treble side", of.Wedges[3].Name)
	assert.True(t, p.Above.BreaksThrough(), "120 up, the neck end is over the top at 115")
	assert.InDelta(t, 60+m*550-120, p.Above.Least.Value, 0.01)
	assert.InDelta(t, 550, p.Above.Least.At.X, 0.1)
	assert.InDelta(t, 60+m*850-120, p.Above.Most.Value, 0.01)
}

// The map's extremes hold for every place of the body, and the wedges make the
// body's planes level: heights over the bench of points of one plane are equal.
func TestPlaningHoldsEverywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, p := bentCase(t)
		l, err := c.BestPlane(p)
		require.NoError(t, err)
		g := c.Planing(l.Placement)
		f := l.Placement.Frame()
		up := f.W
		upper := 0.0
		if p.Face == place.Bottom {
			up, upper = up.Mul(-1), -c.Body.Thickness
		}
		for k, r := range []place.Removal{g.Above, g.Below} {
			for j := range r.NV {
				for i := range r.NU {
					v := r.At(i, j)
					if math.IsNaN(v) {
						continue
					}
					assert.GreaterOrEqual(t, v, r.Least.Value)
					assert.LessOrEqual(t, v, r.Most.Value)
				}
			}
			if c.Slab.Edge.TopRadius == 0 && k == 0 {
				// A place of the map: from the plane by so much is the top.
				i, j := r.NU/2, r.NV/2
				q := f.Apply(r.U0+float64(i)*r.Step, r.V0+float64(j)*r.Step, upper).Add(up.Mul(r.At(i, j)))
				assert.InDelta(t, c.Slab.TopAt(q.X), q.Z, 1e-6)
			}
		}
		least := math.Inf(1)
		outline := c.Slab.Outline().Polygon(0.01)
		for _, w := range g.Wedges {
			assert.NotEqual(t, geom.Outside, outline.Locate(w.At.Plan()), "a wedge stands under the slab: %+v", w)
			assert.InDelta(t, c.Slab.BottomAt(w.At.X), w.At.Z, 1e-9)
			least = min(least, w.Height)
		}
		assert.GreaterOrEqual(t, least, 0.0)
		a, b := g.Wedges[0], g.Wedges[3]
		rise := (a.At.X-b.At.X)*up.X + (a.At.Y-b.At.Y)*up.Y + (a.At.Z-b.At.Z)*up.Z
		assert.InDelta(t, rise, a.Height-b.Height, 1e-9)
	})
}
