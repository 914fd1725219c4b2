package slab

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
)

func chamberRules() *rapid.Generator[ChamberRules] {
	return rapid.Custom(func(t *rapid.T) ChamberRules {
		n := func(name string, a, b float64) float64 { return rapid.Float64Range(a, b).Draw(t, name) }
		r := ChamberRules{
			TopSkin: n("top skin", 3, 9), BottomSkin: n("bottom skin", 3, 9), Rib: n("rib", 5, 40), End: n("end", 0, 60), Wall: n("wall", 5, 30),
			Shortest: n("shortest", 20, 80), Shallowest: 10, Narrowest: n("narrowest", 0, 20), CornerHole: 8, Screws: 5,
			Ribs:      rapid.SampledFrom([]RibPattern{Aligned, Staggered, Free}).Draw(t, "ribs"),
			LeastGlue: rapid.SampledFrom([]float64{0, 0.2, 0.5}).Draw(t, "glue"),
		}
		if rapid.Bool().Draw(t, "limited") {
			r.Longest = r.Shortest + n("longest", 0, 300)
		}
		return r
	})
}

func reservedIn(s *Slab) *rapid.Generator[[]geom.Polygon] {
	return rapid.Custom(func(t *rapid.T) []geom.Polygon {
		var out []geom.Polygon
		for range rapid.IntRange(0, 3).Draw(t, "reserved") {
			c := geom.Pt(rapid.Float64Range(0, s.Length).Draw(t, "cx"), rapid.Float64Range(-s.Width()/2, s.Width()/2).Draw(t, "cy"))
			var ring geom.Polygon // a star with bays
			for k := range 14 {
				ring = append(ring, c.Add(geom.Polar(rapid.Float64Range(20, 260).Draw(t, "r"), 2*math.Pi*float64(k)/14)))
			}
			if rapid.Bool().Draw(t, "clockwise") {
				ring = ring.Reversed()
			}
			out = append(out, ring)
		}
		return out
	})
}

// The laws of PlanChambers on random slabs, rules and reserved wood, checked
// against plain geometry: clipping, distances, samples.
func TestPlannedChambersKeepTheRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		r := chamberRules().Draw(t, "rules")
		if err := r.Check(); err != nil {
			t.Fatal(err)
		}
		reserved := reservedIn(s).Draw(t, "reserved")
		s.Chambers = PlanChambers(s, r, reserved)
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
		outline := s.Outline().Polygon(0.005)
		last := map[int]float64{}
		for _, c := range s.Chambers {
			y0, y1 := s.Band(c.Strip)
			box := geom.Convex{geom.Pt(c.From, y0), geom.Pt(c.To, y0), geom.Pt(c.To, y1), geom.Pt(c.From, y1)}
			for _, ring := range reserved {
				if a := math.Abs(ring.ClippedTo(box).Area()); a > 1e-3 {
					t.Fatalf("%s takes %g mm² of reserved wood", c.Name, a)
				}
			}
			if m := geom.Polygon(box).Room(outline); m.Value < r.Wall-0.02 {
				t.Fatalf("%s comes within %g mm of the outline at %v", c.Name, m.Value, m.At)
			}
			if l := c.To - c.From; l < r.Shortest-1e-6 || r.Longest > 0 && l > r.Longest+1e-6 {
				t.Fatalf("%s is %g mm long", c.Name, l)
			}
			if x, ok := last[c.Strip]; ok && c.From-x < r.Rib-1e-6 {
				t.Fatalf("%s leaves a rib of %g mm", c.Name, c.From-x)
			}
			last[c.Strip] = c.To
			if s.Strips[c.Strip].Thickness() < r.Narrowest {
				t.Fatalf("%s lies in a narrow strip", c.Name)
			}
			for k := range 9 { // straight on along the strip until the wood ends
				y := y0 + (y1-y0)*float64(k)/8
				for _, x := range []float64{c.From - r.End + 0.05, c.To + r.End - 0.05} {
					if outline.Locate(geom.Pt(x, math.Max(y0+1e-9, math.Min(y, y1-1e-9)))) != geom.Inside {
						t.Fatalf("%s leaves too little end wood at %g, %g", c.Name, x, y)
					}
				}
			}
			for k := range 20 {
				x := c.From + (c.To-c.From)*float64(k)/19
				if h := slowRoof(s, x, r.TopSkin) - slowFloor(s, x, r.BottomSkin); h < r.Shallowest-0.02 {
					t.Fatalf("%s is %g mm high at %g", c.Name, h, x)
				}
			}
			for k, p := range s.parts(c.Strip) {
				if k > 0 && c.From < p.from.mid+r.Rib-1e-6 && c.To > p.from.mid-r.Rib+1e-6 {
					t.Fatalf("%s runs over a transition", c.Name)
				}
			}
		}
		for i := 0; i+1 < len(s.Strips); i++ {
			_, y := s.Band(i)
			face, open := 0.0, 0.0
			n := 1200
			for k := range n {
				x := s.Length * (float64(k) + 0.5) / float64(n)
				if outline.Locate(geom.Pt(x, y)) == geom.Outside {
					continue
				}
				face += s.TopAt(x) - s.BottomAt(x)
				for _, c := range s.Chambers {
					if (c.Strip == i || c.Strip == i+1) && x > c.From && x < c.To {
						open += s.TopAt(x) - r.TopSkin - s.BottomAt(x) - r.BottomSkin
						break
					}
				}
			}
			if open > 0 && face-open < (r.LeastGlue-0.01)*face {
				t.Fatalf("joint %d keeps %.3f of its face", i, 1-open/face)
			}
		}
	})
}

// The walk of divide against trying all ways on a coarse comb.
func TestDivideIsBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := float64(rapid.IntRange(8, 26).Draw(t, "length"))
		s := &Slab{Length: l, Strips: []Strip{{Pieces: []Piece{{Wood: "teak", Thickness: 20}}}}}
		for i := range 4 {
			s.Profile.Top = append(s.Profile.Top, Station{l * float64(i) / 3, rapid.Float64Range(30, 90).Draw(t, "top")})
		}
		r := ChamberRules{TopSkin: 5, BottomSkin: 5, Shortest: float64(rapid.IntRange(1, 5).Draw(t, "shortest")), Rib: float64(rapid.IntRange(1, 4).Draw(t, "rib"))}
		r.Longest = r.Shortest + float64(rapid.IntRange(0, 5).Draw(t, "more"))
		p := &planner{survey: s.survey(), rules: r}
		p.cumulate()
		memo := map[int]float64{}
		var most func(from int) float64
		most = func(from int) float64 {
			if v, ok := memo[from]; ok {
				return v
			}
			best := 0.0
			for a := from; a <= int(l); a++ {
				for b := a + int(r.Shortest); b <= min(int(l), a+int(r.Longest)); b++ {
					best = math.Max(best, p.between(float64(a), float64(b))+most(b+int(r.Rib)))
				}
			}
			memo[from] = best
			return best
		}
		got := 0.0
		for _, c := range p.divide(span{0, l}) {
			got += p.between(c.from, c.to)
		}
		// All lengths are whole here, as the comb's teeth are.
		if want := most(0); math.Abs(got-want) > 1e-6*(1+want) {
			t.Fatalf("takes %g, best is %g", got, want)
		}
	})
}

// Free ribs never save less than a pattern, whatever glue is asked for, but
// for the comb's millimetre.
func TestFreeRibsSaveMost(t *testing.T) {
	s, reserved := wide(16)
	for _, glue := range []float64{0, 0.3, 0.5} {
		rules := DefaultChamberRules()
		rules.LeastGlue = glue
		e := s.ComparePatterns(rules, reserved)
		assert.GreaterOrEqual(t, e[2].SavedG, 0.998*max(e[0].SavedG, e[1].SavedG), "least glue %g", glue)
		rules.Ribs = Free
		h := s.WithPlan(rules, reserved).Hollowing(rules, reserved)
		assert.InDelta(t, e[2].SavedG, h.SavedG, 1e-6*h.SavedG)
		if glue == 0 {
			assert.Less(t, h.GapG, 0.02*h.MostG, "close to the most that can go")
		}
	}
}

// A plain slab by hand: 1000 mm long, ends of 40, walls of 20 on the outer
// strips' sides; free length 920. Three chambers of at most 300 with ribs of
// 20 fit exactly (3·293.3 + 2·20).
func TestPlanOfAPlainSlab(t *testing.T) {
	s := plain(7, 40, 1000, 50)
	r := DefaultChamberRules()
	r.LeastGlue = 0
	for _, ribs := range []RibPattern{Aligned, Free} {
		r.Ribs = ribs
		chambers := PlanChambers(s, r, nil)
		require.Len(t, chambers, 15, "the two outer strips lie in the wall")
		sum := 0.0
		for _, c := range chambers {
			sum += c.To - c.From
			assert.NotContains(t, []int{0, 6}, c.Strip)
		}
		assert.InDelta(t, 5*880, sum, 1, ribs)
	}
	r.Ribs = Staggered
	staggered := PlanChambers(s, r, nil)
	byStrip := map[int][]float64{}
	for _, c := range staggered {
		byStrip[c.Strip] = append(byStrip[c.Strip], c.From)
	}
	assert.NotEqual(t, byStrip[1], byStrip[2])
	assert.Equal(t, byStrip[1], byStrip[3])
}

func plain(strips int, thickness, length, height float64) *Slab {
	s := &Slab{Length: length, Profile: Profile{Top: []Station{{0, height}}}}
	woods := []string{"western-redcedar", "basswood"}
	for i := range strips {
		s.Strips = append(s.Strips, Strip{Name: fmt.Sprintf("strip %d", i+1), Pieces: []Piece{{Wood: woods[i%2], Thickness: thickness, RingAngle: math.NaN()}}})
	}
	return s
}

func TestChamberRulesCheck(t *testing.T) {
	require.NoError(t, DefaultChamberRules().Check())
	for want, spoil := range map[string]func(*ChamberRules){
		"top skin":     func(r *ChamberRules) { r.TopSkin = 0 },
		"rib":          func(r *ChamberRules) { r.Rib = math.NaN() },
		"longest":      func(r *ChamberRules) { r.Longest = 20 },
		"least glue":   func(r *ChamberRules) { r.LeastGlue = 1 },
		"corner holes": func(r *ChamberRules) { r.CornerHole = 30 },
		`"aligned"`:    func(r *ChamberRules) { r.Ribs = "diagonal" },
	} {
		r := DefaultChamberRules()
		spoil(&r)
		assert.ErrorContains(t, r.Check(), want)
	}
}

// The sums of a row of slots against the slots one by one.
func TestSlotRowAddsUpTheSlots(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		p := newPlanner(s.survey(), chamberRules().Draw(t, "rules"), reservedIn(s).Draw(t, "reserved"))
		pitch := p.rules.Shortest + p.rules.Rib + rapid.Float64Range(1, 400).Draw(t, "more")
		start := p.start + rapid.Float64Range(0, 2*pitch).Draw(t, "start")
		var row slotRow
		row.fill(p, start, pitch)
		for i, spans := range p.free {
			want := 0.0
			p.slots(spans, start, pitch, func(c span) { want += p.between(c.from, c.to) })
			if got := row.over(p, spans); math.Abs(got-want) > 1e-6*(1+want) {
				t.Fatalf("strip %d: %g mm², the slots add up to %g", i, got, want)
			}
		}
	})
}
