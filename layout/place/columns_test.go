package place_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/layout/place"
)

// The table never says more of a range than the exact term of any placement in
// it: random slabs with changes of wood, hidden plates, backs.
func TestTableIsBelowTheMirrorTerm(t *testing.T) {
	told := 0
	defer func() { assert.Greater(t, told, 100, "the table said nothing of too many ranges") }()
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase(t)
		if rapid.Bool().Draw(t, "back") {
			w := c.Wish
			w.Back = true
			var err error
			c, err = place.NewCase(c.Slab, c.Body, c.Need, w)
			require.NoError(t, err)
		}
		for i := range 12 {
			p := anyPlacement(t, c)
			p.Y /= 4
			if i%2 == 0 {
				p.Angle = math.Pi*math.Round(p.Angle/math.Pi) + math.Remainder(p.Angle, 0.05)
			}
			size := rapid.SampledFrom([]float64{0, 0.05, 1, 10}).Draw(t, "size")
			s := c.Around(p, 5, size*rapid.Float64Range(0, 1).Draw(t, "hy"), size/150*rapid.Float64Range(0, 1).Draw(t, "ha"))
			low := c.TabledMirror(s)
			if low > 0.01 {
				told++
			}
			for range 6 {
				f := func(what string) float64 { return rapid.Float64Range(-1, 1).Draw(t, what) }
				q := s.Inside(c, f("fx"), f("fy"), f("fa"))
				if !inside(c, q) {
					continue
				}
				if got := c.Mirror(q); got < low-1e-9 {
					t.Fatalf("the mirror term is %v at %+v, below the bound %v of %+v", got, q, low, s)
				}
			}
		}
	})
}

// inside tells whether the body lies in the slab, chambers or not.
func inside(c *place.Case, p place.Placement) bool {
	for _, k := range c.Check(p).Checks {
		if k.Name == "outline in the slab" {
			return k.Margin >= 0
		}
	}
	return false
}

// It is of use: at small ranges along the strips it comes near the exact term.
func TestTableIsNearTheMirrorTerm(t *testing.T) {
	c := benchCase(t, 15, 60, 1)
	for _, at := range []struct{ y, turn, off float64 }{{0, 0, 0.02}, {-33, 0, 0.02}, {12, 0.004, 0.2}, {20, 0.02, 0.25}} {
		p := place.Placement{X: 800, Y: at.y, Angle: at.turn, Face: place.Top}
		t.Run(fmt.Sprint(at), func(t *testing.T) {
			exact := c.Mirror(p)
			low := c.TabledMirror(c.Around(p, 0, 0, 0))
			t.Log(exact, low)
			assert.LessOrEqual(t, low, exact+1e-9)
			assert.InDelta(t, exact, low, at.off)
		})
	}
}

// Closely spaced over the peaks and valleys of the mirror term it is below it
// everywhere.
func TestTableIsBelowPeaksAndValleys(t *testing.T) {
	c := benchCase(t, 15, 60, 1)
	for _, turn := range []float64{0, 0.003} {
		for y := -45.0; y <= 45; y += 0.13 {
			p := place.Placement{X: 800, Y: y, Angle: turn, Face: place.Top}
			for _, half := range []float64{0, 0.2} {
				s := c.Around(p, 0, half, 0)
				low := c.TabledMirror(s)
				for _, at := range []float64{-1, 0, 1} {
					assert.LessOrEqual(t, low, c.Mirror(s.Inside(c, 0, at, 0))+1e-9, "y %v, turned by %v, within %v", y, turn, half)
				}
			}
		}
	}
}
