package geom_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
)

// Two squares of side 4 that share a square of side 1, and a frame:
//
//	4x4 ┌──┐
//	 ┌──┼┐ │      shared: (3..4) × (3..4)
//	 │  └┼─┘
//	 └───┘
func TestRegionsOfSquaresAddUp(t *testing.T) {
	square := func(x, y, side float64) geom.Region {
		return geom.Region{geom.Box{Min: geom.Pt(x, y), Max: geom.Pt(x+side, y+side)}.Polygon()}
	}
	a, b := square(0, 0, 4), square(3, 3, 4)
	assert.InDelta(t, 1, a.Intersect(b).Area(), 1e-9)
	assert.InDelta(t, 15, a.Subtract(b).Area(), 1e-9)

	frame := square(0, 0, 10).Subtract(square(2, 3, 4))
	require.Len(t, frame, 2, "an outer ring and a hole")
	assert.InDelta(t, 84, frame.Area(), 1e-9)
	assert.True(t, frame.Has(geom.Pt(1, 1)))
	assert.False(t, frame.Has(geom.Pt(4, 4)))
	// Clipping to the half with the hole: 5×10 less the hole's part 3×4.
	half := geom.Convex(geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(5, 10)}.Polygon())
	assert.InDelta(t, 50-12, frame.ClippedTo(half).Area(), 1e-9)
}

// A second hole leaves the first one open.
func TestRegionKeepsItsHoles(t *testing.T) {
	r := geom.Region{geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(30, 10)}.Polygon()}
	want := 300.0
	for i, at := range []geom.Point{geom.Pt(5, 5), geom.Pt(15, 4), geom.Pt(25, 6)} {
		hole := geom.Regular(at, 2+0.5*float64(i), 24)
		want -= hole.Area()
		r = r.Subtract(geom.Region{hole})
		assert.InDelta(t, want, r.Area(), 1e-6)
		require.Len(t, r, i+2)
	}
	// An island in a hole is an outer ring again.
	island := geom.Box{Min: geom.Pt(4, 4), Max: geom.Pt(6, 6)}.Polygon()
	whole := geom.Region{geom.Box{Min: geom.Pt(0, 0), Max: geom.Pt(30, 10)}.Polygon()}
	sea := whole.Subtract(whole.Subtract(r).Subtract(geom.Region{island}))
	assert.InDelta(t, want+4, sea.Area(), 1e-6)
}
