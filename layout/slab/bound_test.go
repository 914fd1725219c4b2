package slab

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
)

// What a rounding takes off a rectangle is r² (1 − π/4) a length of edge, less
// what its corners share: the nearer edge counts there, so twice ∫ d · drop dd a
// corner, r³ (5/6 − π/4) each.
func TestRoundingBoundOfARectangle(t *testing.T) {
	const l, w, r = 900, 400, 12
	ring := geom.PathOf(geom.Polygon{geom.Pt(0, 0), geom.Pt(l, 0), geom.Pt(l, w), geom.Pt(0, w)})
	least, most := newRim(ring, r).easingBound(ease(r, 0))
	exact := 2*(l+w)*r*r*(1-math.Pi/4) - 8*r*r*r*(5.0/6-math.Pi/4)
	assert.LessOrEqual(t, least, exact)
	assert.GreaterOrEqual(t, most, exact)
	assert.Less(t, most-least, 8*r*r*r*0.22, "no more than the corners' edges are in doubt")
}

// The interval of touching against many places tried one by one.
func TestTouchingIsWhereTheSegmentIsNear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := func(name string) float64 { return rapid.Float64Range(-30, 30).Draw(t, name) }
		x0, y0, x1, y1, u := x("x0"), x("y0"), x("x1"), x("y1"), rapid.Float64Range(1, 20).Draw(t, "u")
		got, ok := touching(x0, y0, x1, y1, u)
		for s := -80.0; s <= 80; s += 0.5 {
			d, _ := geom.PointSegment(geom.Pt(s, u), geom.Pt(x0, y0), geom.Pt(x1, y1))
			in := ok && s > got.from && s < got.to
			if d < u-1e-6 && !in || d > u+1e-6 && in {
				t.Fatalf("at %g the segment is %g away of %g, interval %v %v", s, d, u, got, ok)
			}
		}
	})
}

// The volume of a slab with everything that is not integrated exactly, against
// columns so fine that their own error is small: it lies within the bound. The
// bound in turn is a small part of the volume.
func TestVolumeBoundHolds(t *testing.T) {
	for name, s := range boundSlabs() {
		require.NoError(t, s.Check(), name)
		w := s.Weight()
		f := s.field()
		ring, coarse := s.Outline().Polygon(0.005), s.Outline().Polygon(1)
		// Rounding depends on the distance from the outline alone: rows of
		// columns, finer the nearer to it.
		taken := 0.0
		radius := max(s.Edge.TopRadius, s.Edge.BottomRadius)
		drop := func(r, d float64) float64 {
			if d >= r {
				return 0
			}
			return r - math.Sqrt(d*(2*r-d))
		}
		const step = 0.5
		box := ring.Bounds()
		for y := box.Min.Y + step/2; y < box.Max.Y; y += step {
			for _, in := range crossings(ring, y) {
				for x := in.from + step/2; x < in.to; x += step {
					p := geom.Pt(x, y)
					if d, _ := coarse.BoundaryDistance(p); d > radius+2 {
						continue
					}
					if d, _ := ring.BoundaryDistance(p); d < radius {
						taken += step * step * (drop(s.Edge.TopRadius, d) + drop(s.Edge.BottomRadius, d))
					}
				}
			}
		}
		solid := f.solid(ring).v
		around := ring.Perimeter()
		assert.InDelta(t, solid-taken, w.VolumeBeforeMm3, w.VolumeUncertainMm3+0.02*taken+1e-3*around, name)
		assert.Less(t, w.VolumeUncertainMm3, 3e-3*w.VolumeBeforeMm3, name)

		hollow := 0.0
		for _, c := range s.Chambers {
			y0, y1 := s.Band(c.Strip)
			hollow += (y1 - y0) * simpson(func(x float64) float64 { return f.roof(x, c.TopSkin) - f.floor(x, c.BottomSkin) }, c.From, c.To, 4000)
		}
		assert.InDelta(t, hollow, w.VolumeBeforeMm3-w.VolumeAfterMm3, w.VolumeUncertainMm3, name)
		if len(s.Chambers) > 0 {
			bound := 0.0
			for _, c := range s.Chambers {
				bound += s.survey().chamberBound(c)
			}
			assert.LessOrEqual(t, math.Abs(hollow-(w.VolumeBeforeMm3-w.VolumeAfterMm3)), bound, name)
			assert.Less(t, bound, 1e-2*hollow, name)
		}
	}
}

// boundSlabs are small slabs with all that the bound is about: a nose, a point,
// sharp and inward corners, chambers under a curved face and across a joint.
func boundSlabs() map[string]*Slab {
	strips := func(n int, t float64) (out []Strip) {
		for range n {
			out = append(out, Strip{Pieces: []Piece{{Wood: "basswood", Thickness: t, RingAngle: math.NaN()}}})
		}
		return out
	}
	bowed := Profile{Top: []Station{{0, 62}, {130, 50}, {400, 66}}, Bottom: []Station{{0, 12}, {200, 0}, {400, 16}}}
	a := &Slab{Length: 400, Strips: strips(4, 60), Profile: bowed, Edge: Edge{TopRadius: 9, BottomRadius: 5},
		Plan: Plan{Stations: []Station{{0, 0}, {120, 90}, {260, 118}, {400, 60}}, StartRounded: true}}
	a.Chambers = []Chamber{{Strip: 1, From: 60, To: 280, TopSkin: 6, BottomSkin: 7, State: Cut}, {Strip: 2, From: 100, To: 330, TopSkin: 5, BottomSkin: 5, State: Cut}}
	a.Strips[2].Pieces = append(a.Strips[2].Pieces, Piece{Wood: "teak", Thickness: 60, RingAngle: math.NaN()})
	a.Strips[2].Transitions = []Transition{{Kind: Chevron, At: 210, Angle: 0.9}}
	b := &Slab{Length: 400, Strips: strips(2, 110), Profile: bowed, Edge: Edge{TopRadius: 8, BottomRadius: 8},
		Plan: Plan{Stations: []Station{{0, 0}, {200, 100}, {400, 0}}}}
	notch := geom.Polygon{geom.Pt(0, -100), geom.Pt(400, -100), geom.Pt(400, 100), geom.Pt(240, 100), geom.Pt(200, 20), geom.Pt(160, 100), geom.Pt(0, 100)}
	c := &Slab{Length: 400, Strips: strips(2, 110), Profile: bowed, Edge: Edge{TopRadius: 10}, Plan: Plan{Path: geom.PathOf(notch)}}
	return map[string]*Slab{"nosed": a, "pointed": b, "notched": c}
}
