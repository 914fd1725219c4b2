package place_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"slabwright/layout/place"
)

// Bodies of all sizes, each its own mirror image but for rounding, are taken
// as they come.
func TestCasesOfManyPlainBodies(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 5))
	for range 200 {
		length, width := 150+300*r.Float64(), 40+240*r.Float64()
		lean := 0.2 * (r.Float64() - 0.5)
		s := board(length+100, 45, strip(width/2, pale), strip(width, brown), strip(width/2, pale))
		c, err := place.NewCase(s, plainBody(length, width, 30, lean), place.Need{}, place.Wish{})
		require.NoError(t, err, "%g × %g mm, lean %g", length, width, lean)
		require.Greater(t, c.SeenShare(), 0.3)
		require.LessOrEqual(t, c.SeenShare(), 1.0)
	}
}
