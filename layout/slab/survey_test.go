package slab

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"slabwright/body/geom"
)

// Cutting a ring by strips and joints in one walk gives each part what clipping
// by its regions one by one gives.
func TestTilingCutsAsClippingDoes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		ring := s.Outline().Polygon(0.05)
		tiles := s.tiles()
		var want, got []float64
		for i, parts := range tiles.strips {
			for _, p := range parts {
				area := 0.0
				for _, c := range p.regions(tiles.bands[i], tiles.bands[i+1]) {
					area += ring.ClippedTo(c).Area()
				}
				want = append(want, area)
			}
		}
		got = make([]float64, len(want))
		tiles.each(ring, func(k int, cut geom.Polygon) { got[k] += cut.Area() })
		for k := range want {
			if math.Abs(got[k]-want[k]) > 1e-6*ring.Area() {
				t.Fatalf("part %d: %g mm², clipped %g", k, got[k], want[k])
			}
		}
	})
}

// Edges sorted by rows answer as all edges do.
func TestRowsAndNearEdgesLoseNone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		v := s.survey()
		w := rapid.Float64Range(0, 40).Draw(t, "within")
		near := v.edgesNear(v.ring, w)
		for i := range s.Strips {
			has := map[int32]bool{}
			for _, k := range near[i] {
				has[k] = true
			}
			for k, a := range v.ring {
				b := v.ring[(k+1)%len(v.ring)]
				if max(a.Y, b.Y) >= v.bands[i]-w && min(a.Y, b.Y) <= v.bands[i+1]+w && !has[int32(k)] {
					t.Fatalf("strip %d: edge %d is not listed", i, k)
				}
			}
		}
		box := v.ring.Bounds()
		y := rapid.Float64Range(box.Min.Y-5, box.Max.Y+5).Draw(t, "y")
		r := newRows(v.ring)
		all, few := crossings(v.ring, y), r.crossings(y)
		if len(all) != len(few) {
			t.Fatalf("at %g: %v, by rows %v", y, all, few)
		}
		for k := range all {
			if all[k] != few[k] {
				t.Fatalf("at %g: %v, by rows %v", y, all, few)
			}
		}
	})
}
