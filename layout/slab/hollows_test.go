package slab

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
)

// On random slabs: the bound on savings holds for every pattern, the report's
// savings are what Weight says, the widest circle is one (no solid wood in
// it) and no sampled place has a larger one; bores, vents and corner holes
// are where they may be; every chamber breathes.
func TestHollowingLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		rules := chamberRules().Draw(t, "rules")
		reserved := reservedIn(s).Draw(t, "reserved")
		s.Chambers = PlanChambers(s, rules, reserved)
		h := s.Hollowing(rules, reserved)
		w := s.Weight()
		if d := math.Abs(w.BeforeG - w.AfterG - h.SavedG); d > 1e-6*w.BeforeG {
			t.Fatalf("saves %g g, Weight says %g", h.SavedG, w.BeforeG-w.AfterG)
		}
		if h.GapG < -1e-3*h.MostG-1e-9 {
			t.Fatalf("saves %g g, proven impossible beyond %g", h.SavedG, h.MostG)
		}
		solidAt := func(p geom.Point) bool {
			for _, c := range s.Chambers {
				if y0, y1 := s.Band(c.Strip); p.X > c.From && p.X < c.To && p.Y >= y0 && p.Y <= y1 {
					return false
				}
			}
			return true
		}
		centre := geom.Pt(h.Widest.AtMm[0], h.Widest.AtMm[1])
		for k := range 200 {
			q := centre.Add(geom.Polar(h.Widest.DiameterMm/2*0.999*math.Sqrt(float64(k)/200), float64(k)*2.4))
			if h.Widest.DiameterMm > 0 && solidAt(q) {
				t.Fatalf("wood at %v in the widest skin, %+v", q, h.Widest)
			}
		}
		for range 20 { // other places: a circle larger by the tolerance must meet wood
			if len(s.Chambers) == 0 {
				break
			}
			c := rapid.SampledFrom(s.Chambers).Draw(t, "chamber")
			y0, y1 := s.Band(c.Strip)
			q := geom.Pt(rapid.Float64Range(c.From, c.To).Draw(t, "x"), rapid.Float64Range(y0, y1).Draw(t, "y"))
			r := h.Widest.DiameterMm/2 + h.Widest.WithinMm
			hit := false
			for k := 0; k < 720 && !hit; k++ {
				for _, f := range []float64{0.25, 0.5, 0.75, 1} {
					hit = hit || solidAt(q.Add(geom.Polar(r*f, float64(k)*math.Pi/360)))
				}
			}
			if !hit {
				t.Fatalf("a skin wider than %+v at %v", h.Widest, q)
			}
		}
		inReserved := func(p geom.Point) bool {
			for _, ring := range reserved {
				if ring.Locate(p) == geom.Inside {
					return true
				}
			}
			return false
		}
		for _, v := range h.Vents {
			if inReserved(geom.Pt(v.AtMm[0], v.AtMm[1])) || solidAt(geom.Pt(v.AtMm[0], v.AtMm[1])) {
				t.Fatalf("vent %+v", v)
			}
			if math.Abs(v.DepthMm-rules.BottomSkin) > 0.1*rules.BottomSkin {
				t.Fatalf("vent %+v through a skin of %g", v, rules.BottomSkin)
			}
		}
		for _, b := range h.Bores {
			for k := range 21 {
				f := float64(k) / 20
				q := geom.Pt(b.FromMm[0]+(b.ToMm[0]-b.FromMm[0])*f, b.FromMm[1]+(b.ToMm[1]-b.FromMm[1])*f)
				if inReserved(q) {
					t.Fatalf("bore %+v runs through reserved wood at %v", b, q)
				}
			}
		}
		for _, m := range h.Marks {
			for _, c := range m.Chambers {
				for _, hole := range c.Holes {
					r := c.HoleMm / 2
					if hole.AlongMm-r < c.StartMm-1e-9 || hole.AlongMm+r > c.StopMm+1e-9 {
						t.Fatalf("hole %+v outside %+v", hole, c)
					}
					// The hole touches roof or floor and does not cut the skin:
					// no point of it is nearer the face than the skin.
					near := math.Inf(1)
					for k := range 90 {
						p := geom.Pt(hole.AlongMm, hole.UpMm).Add(geom.Polar(r, float64(k)*math.Pi/45))
						if hole.FromTop {
							near = math.Min(near, slowRoof(s, p.X, c.TopGaugeMm)-p.Y)
						} else {
							near = math.Min(near, p.Y-slowFloor(s, p.X, c.BottomGaugeMm))
						}
					}
					if math.Abs(near) > 0.02 {
						t.Fatalf("hole %+v of %+v misses its line by %g", hole, c, near)
					}
				}
				return // one chamber a slab is enough for this slow check
			}
		}
	})
}

// Three hollowed strips, the middle one solid: two groups of air unless a
// bore through it joins them. Ribs are bored along.
func TestAirPaths(t *testing.T) {
	s := plain(3, 50, 1000, 60)
	c := func(strip int, from, to float64) Chamber {
		return Chamber{Strip: strip, From: from, To: to, TopSkin: 6, BottomSkin: 6, State: Planned}
	}
	s.Chambers = []Chamber{c(0, 100, 300), c(0, 320, 500), c(2, 150, 400)}
	require.NoError(t, s.Check())
	h := s.Hollowing(DefaultChamberRules(), nil)
	require.Len(t, h.Bores, 2)
	assert.False(t, h.Bores[0].Across, "20 mm of rib before 50 mm of strip")
	assert.True(t, h.Bores[1].Across)
	require.Len(t, h.Vents, 1)
	assert.Equal(t, "chamber 3", h.Vents[0].Chamber, "the largest")

	// In a slab whose chambers are all cut nothing can be bored any more.
	cut := *s
	cut.Chambers = slices.Clone(s.Chambers)
	for i := range cut.Chambers {
		cut.Chambers[i].State = Cut
	}
	glued := cut.Hollowing(DefaultChamberRules(), nil)
	assert.Empty(t, glued.Bores)
	assert.Len(t, glued.Vents, 3, "a vent for each bore that cannot be")
	// Reserved wood in the middle strip forbids the bore: two vents.
	h = s.Hollowing(DefaultChamberRules(), []geom.Polygon{geom.Bounds(geom.Pt(0, -10), geom.Pt(1000, 10)).Polygon()})
	assert.Len(t, h.Bores, 1)
	assert.Len(t, h.Vents, 2)
	// So do screws all along it; one screw moves the bore.
	screw := func(x float64) Fastener {
		return Fastener{At: geom.Point3{X: x, Y: -24, Z: 30}, Direction: geom.Vec3{Y: 1}, Length: 48, Shank: 5, Head: 9}
	}
	s.Fasteners = []Fastener{screw(225)}
	h = s.Hollowing(DefaultChamberRules(), nil)
	require.Len(t, h.Bores, 2)
	// Head, the wood round it and half a bore: 4.5 + 6 + 3 mm.
	assert.GreaterOrEqual(t, math.Abs(h.Bores[1].FromMm[0]-225), 13.5)
	for x := 160.0; x < 410; x += 15 {
		s.Fasteners = append(s.Fasteners, screw(x))
	}
	h = s.Hollowing(DefaultChamberRules(), nil)
	assert.Len(t, h.Bores, 1)
	assert.Len(t, h.Vents, 2)
	s.Fasteners = nil
	// A vent leaves the middle of a cut chamber that has come to lie in wood
	// to be kept, goes to the next one, or is told to be impossible.
	keep := func(from, to float64) []geom.Polygon {
		return []geom.Polygon{geom.Bounds(geom.Pt(from, 20), geom.Pt(to, 80)).Polygon()}
	}
	h = s.Hollowing(DefaultChamberRules(), keep(200, 500))
	require.Len(t, h.Vents, 1)
	assert.Equal(t, "chamber 3", h.Vents[0].Chamber)
	assert.InDelta(t, (150+3+200-3)/2, h.Vents[0].AtMm[0], 1, "the middle of what is clear")
	h = s.Hollowing(DefaultChamberRules(), keep(100, 500))
	require.Len(t, h.Vents, 1)
	assert.Equal(t, "chamber 1", h.Vents[0].Chamber)
	h = s.Hollowing(DefaultChamberRules(), []geom.Polygon{geom.Bounds(geom.Pt(0, -75), geom.Pt(1000, 75)).Polygon()})
	assert.Empty(t, h.Vents)
	assert.Contains(t, strings.Join(h.Notes, " "), "no place for a vent")
	// Neighbours that face each other share their air; two strips of 50 mm
	// hollowed over the same 250 mm have a skin 100 mm wide.
	s.Chambers = []Chamber{c(0, 100, 350), c(1, 100, 350)}
	h = s.Hollowing(DefaultChamberRules(), nil)
	assert.Empty(t, h.Bores)
	assert.Len(t, h.Vents, 1)
	assert.InDelta(t, 100, h.Widest.DiameterMm, 0.5)
	assert.InDelta(t, 1-250*48.0/(1000*60), h.Glue[0].Share, 1e-5)
	assert.InDelta(t, 1-250*48.0/(1000*60), h.Glue[1].Share, 1e-5, "the solid neighbour is open on one face")
}

// Aligned ribs leave long tunnels across the stack, as wide as a chamber is
// long; staggered ones cut them up.
func TestStaggeredRibsShortenSpans(t *testing.T) {
	s := plain(12, 40, 1500, 60)
	rules := DefaultChamberRules()
	rules.LeastGlue = 0
	e := s.ComparePatterns(rules, nil)
	require.Len(t, e, 3)
	assert.Equal(t, Aligned, e[0].Ribs)
	assert.InDelta(t, 300, e[0].WidestSkinMm, 20)
	assert.Less(t, e[1].WidestSkinMm, 0.75*e[0].WidestSkinMm)
	assert.GreaterOrEqual(t, e[2].SavedG, e[0].SavedG-1e-6)
	assert.Greater(t, e[0].LeastGlued, e[1].LeastGlued, "ribs that meet bond")
}

// The wish for glue costs weight and is kept.
func TestLeastGlueIsKept(t *testing.T) {
	s := plain(8, 40, 1500, 60)
	rules := DefaultChamberRules()
	last := math.Inf(1)
	for _, least := range []float64{0, 0.3, 0.5, 0.7, 0.95} {
		rules.LeastGlue = least
		s.Chambers = PlanChambers(s, rules, nil)
		h := s.Hollowing(rules, nil)
		assert.GreaterOrEqual(t, h.LeastGlue, least-1e-9)
		assert.LessOrEqual(t, h.SavedG, last+1e-6)
		last = h.SavedG
		for _, g := range h.Glue {
			assert.True(t, g.OK)
		}
	}
}

// A chamber across a strip's own square joint leaves only its skins glued:
// 12 of 60 mm. Where more is asked for the cut one fails, and the planner keeps
// away though it may run over joints.
func TestGlueOfCrossedTransitions(t *testing.T) {
	s := plain(3, 50, 1000, 60)
	s.Strips[1].Pieces = []Piece{{Wood: "teak", Thickness: 50}, {Wood: "limba", Thickness: 50}}
	s.Strips[1].Transitions = []Transition{{Kind: Square, At: 500, Angle: math.Pi / 2}}
	s.Chambers = []Chamber{{Strip: 1, From: 450, To: 600, TopSkin: 7, BottomSkin: 5, State: Cut}}
	require.NoError(t, s.Check())
	rules := DefaultChamberRules()
	rules.OverJoints, rules.Longest = true, 0
	for least, ok := range map[float64]bool{0.19: true, 0.21: false} {
		rules.LeastGlue = least
		h := s.Hollowing(rules, nil)
		require.Len(t, h.Glue, 3)
		g := h.Glue[2]
		assert.Equal(t, "strip 2: teak / limba", g.Name)
		assert.True(t, g.Inside)
		assert.InDelta(t, 50*60, g.FullMm2, 1e-6)
		assert.InDelta(t, 0.2, g.Share, 1e-6)
		assert.Equal(t, ok, g.OK)
	}
	s.Chambers = nil
	crosses := func(least float64) (n int) {
		rules.LeastGlue = least
		for _, c := range PlanChambers(s, rules, nil) {
			if c.Strip == 1 && c.From < 500 && c.To > 500 {
				n++
			}
		}
		return n
	}
	assert.Equal(t, 1, crosses(0.1))
	assert.Equal(t, 0, crosses(0.25))
	h := s.WithPlan(rules, nil).Hollowing(rules, nil)
	assert.Len(t, h.Glue, 2, "nothing crosses the joint")
}

// What stands on the strips' marking lists is what the report says of air:
// bores along begin and end at chambers of their strip, bores across go
// through every solid strip between, vents lie in their chamber's floor.
func TestAirMarksAreTheBoresAndVents(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		rules := chamberRules().Draw(t, "rules")
		reserved := reservedIn(s).Draw(t, "reserved")
		s = s.WithPlan(rules, reserved)
		h := s.Hollowing(rules, reserved)
		want := len(h.Vents)
		for _, b := range h.Bores {
			want += b.ToStrip - b.Strip + 1
		}
		got := 0
		for _, m := range h.Marks {
			y0, y1 := s.Band(m.Strip)
			starts, stops := map[float64]bool{}, map[float64]bool{}
			for _, c := range m.Chambers {
				starts[c.StartMm], stops[c.StopMm] = true, true
			}
			for _, a := range m.Air {
				got++
				if z := s.BottomAt(a.AlongMm) + a.BottomMm; math.Abs(z-a.UpMm) > 1e-6 {
					t.Fatalf("%s on %s: %g mm up from the bench, %g by the bottom edge", a.What, m.Name, a.UpMm, z)
				}
				switch a.What {
				case BoreAlong:
					// The bore is as good as level, so its length is that along.
					end := false
					for x := range starts {
						end = end || math.Abs(a.AlongMm+a.DepthMm-x) < 0.1*a.DepthMm+0.1
					}
					if !stops[a.AlongMm] || !end || math.Abs(a.InMm-(y1-y0)/2) > 1e-9 {
						t.Fatalf("bore along %s at %g mm, %g deep: chambers start at %v, stop at %v", m.Name, a.AlongMm, a.DepthMm, starts, stops)
					}
				case BoreAcross:
					if len(m.Chambers) > 0 || math.Abs(a.DepthMm-(y1-y0)) > 1e-9 {
						t.Fatalf("bore across %s, %g deep in %g mm", m.Name, a.DepthMm, y1-y0)
					}
				case VentBelow:
					in := false
					for _, c := range m.Chambers {
						in = in || a.AlongMm > c.StartMm && a.AlongMm < c.StopMm
					}
					if !in {
						t.Fatalf("vent at %g mm of %s meets no chamber", a.AlongMm, m.Name)
					}
				}
			}
		}
		if got != want {
			t.Fatalf("%d holes marked, %d to be drilled", got, want)
		}
	})
}
