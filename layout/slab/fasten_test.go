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

// The distance of segments in space against a grid of points on both.
func TestSegments3(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := func(name string) geom.Point3 {
			c := rapid.IntRange(-5, 5)
			return geom.Point3{X: float64(c.Draw(t, name+" x")), Y: float64(c.Draw(t, name+" y")), Z: float64(c.Draw(t, name+" z"))}
		}
		a, b, c, d := p("a"), p("b"), p("c"), p("d")
		got, on := segments3(a, b, c, d)
		best := math.Inf(1)
		for i := range 101 {
			for j := range 101 {
				u := a.Add(b.Sub(a).Mul(float64(i) / 100))
				v := c.Add(d.Sub(c).Mul(float64(j) / 100))
				best = math.Min(best, u.Distance(v))
			}
		}
		// The grid is at most half a step of each segment off.
		slack := (a.Distance(b) + c.Distance(d)) / 200
		if got > best+1e-9 || got < best-slack-1e-9 {
			t.Fatalf("%v %v %v %v: %g, by grid %g", a, b, c, d, got, best)
		}
		if x, _ := segments3(on, on, c, d); math.Abs(x-got) > 1e-9 {
			t.Fatalf("%v is not where it is found", on)
		}
	})
}

// A proposed plan passes the maker's check, screw by screw, and holds every
// strip but the two that begin the halves.
func TestPlannedScrewsMeetNothing(t *testing.T) {
	for _, n := range []int{5, 8, 13} {
		s := plain(n, 35, 1400, 70)
		s.Plan = RoundedPlan(1400, float64(n)*35, 90)
		oval := geom.Regular(geom.Pt(700, 0), 100, 60)
		rules := DefaultFastenerRules()
		require.NoError(t, rules.Check())
		s.Fasteners = []Fastener{{Name: "old screw", At: geom.Point3{X: 350, Y: -60, Z: 44}, Direction: geom.Vec3{Y: 1}, Length: 50, Shank: 6, LeftIn: true}}
		plan := s.PlanFasteners(rules, []geom.Polygon{oval})
		all := append(s.Fasteners, plan.Fasteners...)
		assert.Empty(t, s.CheckFasteners(all[1:], rules, []geom.Polygon{oval}))
		for _, f := range s.CheckFasteners(all, rules, []geom.Polygon{oval}) {
			assert.Equal(t, "old screw", f.Name, "%+v", f)
		}
		held := map[int]int{}
		for _, f := range plan.Fasteners {
			tip := f.At.Add(f.Direction.Mul(f.Length))
			assert.Equal(t, f.At.Y < plan.MiddleMm, tip.Y < plan.MiddleMm+1e-9, "stays in its half")
			for i := range s.Strips {
				if y0, y1 := s.Band(i); f.At.Y > y0 && f.At.Y < y1 {
					held[i]++
					inner := y1
					if f.Direction.Y < 0 {
						inner = y0
					}
					assert.GreaterOrEqual(t, math.Abs(tip.Y-inner), rules.BiteMm-1e-9, f.Name)
				}
			}
		}
		strips := 0
		for _, k := range held {
			assert.GreaterOrEqual(t, k, rules.LeastPerStrip)
			strips++
		}
		// The saw runs along the outermost strips: heads in them are sunk deeper.
		assert.Equal(t, n-2, strips, "%v", plan.Missing)
		assert.Empty(t, plan.Missing)
		var right, left []string // strips in the order in which they were screwed on
		for _, f := range plan.Fasteners {
			list := &left
			if f.Direction.Y > 0 {
				list = &right
			}
			if strip, _, _ := strings.Cut(f.Name, ", screw"); !slices.Contains(*list, strip) {
				*list = append(*list, strip)
			}
		}
		slices.Reverse(right)
		slices.Reverse(left)
		var apart []string
		for _, a := range plan.Apart[1:] {
			strip, screws, _ := strings.Cut(a, ", screws ")
			assert.True(t, strings.HasSuffix(screws, " to 1"), a)
			apart = append(apart, strip)
		}
		assert.Equal(t, append(right, left...), apart, "taken apart in reverse, half by half")
	}
}

// Strips too thin for a head are held by the next strip's screws, which bite
// into the strip beyond; those in the middle joint by glue on paper. No tip
// crosses the middle joint. Random stacks.
func TestThinStripsAreHeldByTheNext(t *testing.T) {
	rules := DefaultFastenerRules()
	rapid.Check(t, func(t *rapid.T) {
		s := &Slab{Length: 1200, Profile: Profile{Top: []Station{{0, 70}}}}
		for range rapid.IntRange(2, 12).Draw(t, "strips") {
			mm := rapid.SampledFrom([]float64{3, 5, 9, 15, 30, 52, 75}).Draw(t, "mm")
			s.Strips = append(s.Strips, Strip{Pieces: []Piece{{Wood: "hard-maple", Thickness: mm}}})
		}
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
		plan := s.PlanFasteners(rules, nil)
		for _, f := range plan.Fasteners {
			tip := f.At.Add(f.Direction.Mul(f.Length))
			if (f.At.Y-plan.MiddleMm)*(tip.Y-plan.MiddleMm) < -1e-9 {
				t.Fatalf("%s: from %g to %g crosses the middle at %g", f.Name, f.At.Y, tip.Y, plan.MiddleMm)
			}
			bite := 0.0 // in strips that hold a head themselves, beyond its own
			for i, st := range s.Strips {
				y0, y1 := s.Band(i)
				in := min(max(f.At.Y, tip.Y), y1) - max(min(f.At.Y, tip.Y), y0)
				if own := f.At.Y > y0 && f.At.Y < y1; own && st.Thickness() < rules.HeadMm {
					t.Fatalf("%s: head in %g mm of wood", f.Name, st.Thickness())
				} else if !own && in > 0 && st.Thickness() >= rules.HeadMm {
					bite += in
				}
			}
			if bite < rules.BiteMm-1e-9 && bite < 1 {
				t.Fatalf("%s bites %g mm", f.Name, bite)
			}
		}
		said := strings.Join(append(append(plan.Drive, plan.Missing...), plan.Apart...), "\n")
		for i := range s.Strips {
			if !strings.Contains(said, s.StripName(i)) {
				t.Fatalf("nothing is said of %s:\n%s", s.StripName(i), said)
			}
		}
	})
}

// The box of screws, one by one: flush where one is long enough, sunk where it
// is not, none where nothing bites or all come out.
func TestScrewFromTheBox(t *testing.T) {
	r := FastenerRules{LengthsMm: []float64{80, 40}, HeadMm: 10, BiteMm: 20, CounterboreMm: 25}
	for _, c := range []struct {
		through, room, own, length, sunk float64
		ok                               bool
	}{
		{20, 90, 20, 40, 5, true},
		{40, 85, 40, 80, 5, true},
		{40, 80, 40, 40, 20, true}, // the 80 would come out at 85
		{60, 200, 60, 80, 5, true},
		{95, 200, 95, 80, 35, false}, // counterbore too deep
		{50, 60, 50, 0, 0, false},    // no room to bite
		{30, 60, 12, 40, 10, false},  // the head would leave no wood under it
	} {
		ways := r.ways(c.through, c.room, c.own)
		assert.Equal(t, c.ok, len(ways) > 0, "%+v", c)
		if len(ways) > 0 && c.ok {
			assert.Equal(t, way{c.length, c.sunk}, ways[0], "%+v", c)
		}
		for k, w := range ways {
			assert.True(t, w.sunk+w.length >= c.through+r.BiteMm && w.sunk+w.length <= c.room && w.sunk <= r.CounterboreMm, "%+v", w)
			assert.True(t, k == 0 || w.sunk > ways[k-1].sunk, "ever deeper")
		}
	}
}

func TestCheckFastenersFindsFaults(t *testing.T) {
	s := plain(5, 40, 1000, 60)
	s.Chambers = []Chamber{{Name: "hollow", Strip: 2, From: 600, To: 800, TopSkin: 6, BottomSkin: 6, State: Cut}}
	screw := func(x, y, z, length float64) Fastener {
		return Fastener{At: geom.Point3{X: x, Y: y, Z: z}, Direction: geom.Vec3{Y: 1}, Length: length, Shank: 5, Head: 9}
	}
	reserved := []geom.Polygon{geom.Bounds(geom.Pt(400, -20), geom.Pt(500, 20)).Polygon()}
	for want, list := range map[string][]Fastener{
		"too near fastener 1":          {screw(200, -60, 30, 50), screw(210, -60, 30, 50)},
		"in the saw's path":            {screw(10, -60, 30, 50)},
		"too near the reserved wood 1": {screw(450, -60, 30, 50)},
		"breaks into hollow":           {screw(700, -60, 30, 50)},
		"too near the top":             {screw(200, -60, 52, 50)},
		"too near the bottom":          {screw(200, -60, 6, 50)},
		"its tip leaves the slab":      {screw(200, 60, 30, 90)},
	} {
		faults := s.CheckFasteners(list, DefaultFastenerRules(), reserved)
		require.NotEmpty(t, faults, want)
		found := false
		for _, f := range faults {
			found = found || strings.Contains(f.What, want)
		}
		assert.True(t, found, "%s: %+v", want, faults)
	}
	assert.Empty(t, s.CheckFasteners([]Fastener{screw(200, -60, 30, 50), screw(250, -60, 30, 50)}, DefaultFastenerRules(), reserved))
	assert.Error(t, FastenerRules{}.Check())
	assert.ErrorContains(t, FastenerRules{LengthsMm: []float64{50}}.Check(), "shank")
}
