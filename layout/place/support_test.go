package place

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"slabwright/body/geom"
)

// The corner found by direction is the one that asking all corners gives.
func TestSupportEqualsAskingEveryCorner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var ps []geom.Point
		for range rapid.IntRange(3, 60).Draw(t, "points") {
			at := rapid.Float64Range(-200, 200)
			ps = append(ps, geom.Pt(at.Draw(t, "x"), at.Draw(t, "y")))
		}
		ring := hull(ps)
		if len(ring) < 3 {
			return
		}
		s := newSupport(ring)
		angle := rapid.OneOf(rapid.SampledFrom([]float64{0, math.Pi / 2, math.Pi, -math.Pi / 2}), rapid.Float64Range(-7, 7)).Draw(t, "angle")
		b, a := math.Sincos(angle)
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, q := range ring {
			d := a*q.X + b*q.Y
			lo, hi = min(lo, d), max(hi, d)
		}
		gotLo, gotHi := s.over(a, b)
		assert.InDelta(t, lo, gotLo, 1e-9)
		assert.InDelta(t, hi, gotHi, 1e-9)
	})
}
