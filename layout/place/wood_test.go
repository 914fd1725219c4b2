package place_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"slabwright/body/geom"
	"slabwright/layout/place"
)

// However the body lies, the wood that Wood tells at a place of the body is that
// of the slab's patch under the same place of the slab: joints are upright
// there.
func TestWoodIsTheSlabsWood(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase(t)
		f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		p := place.Placement{X: f("x", 200, 500), Y: f("y", -30, 30), Angle: f("angle", -3, 3), Height: f("height", 30, 60),
			Pitch: f("pitch", -0.4, 0.4), Roll: f("roll", -0.4, 0.4), Face: rapid.SampledFrom([]place.Face{place.Top, place.Bottom}).Draw(t, "face")}
		if rapid.Bool().Draw(t, "level") {
			p.Pitch, p.Roll = 0, 0
		}
		u, v, w := f("u", -150, 150), f("v", -100, 100), f("w", -c.Body.Thickness, 0)
		at := p.Frame().Apply(u, v, w).Plan()
		woods, cells := c.Wood(p), c.Slab.Cells()
		assert.Len(t, woods, len(cells))
		for i, cell := range cells {
			d := geom.Polygon(cell.Region).Depth(at)
			if d < 1e-6 && d > -1e-6 {
				continue // on a joint
			}
			here := geom.Pt(u, v).Add(woods[i].Lean.Mul(-w))
			assert.Equal(t, d > 0, geom.Polygon(woods[i].Ring).Locate(here) == geom.Inside, cell.Strip)
			assert.Equal(t, c.Slab.Density(cell.Wood), woods[i].KgPerM3)
		}
		if p.Level() {
			assert.Zero(t, woods[0].Lean)
		}
	})
}
