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
