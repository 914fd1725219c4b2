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

const degree = math.Pi / 180

// bench is the top of a hall bench: five strips, an accent, a chevron with a
// slip and a diagonal, pointed at one end, with a bow.
func bench() *Slab {
	cedar := Piece{Wood: "western-redcedar", Thickness: 60, RingAngle: math.NaN()}
	pale := Piece{Wood: "yellow-cedar", Thickness: 60, RingAngle: math.NaN()}
	dark := Piece{Wood: "black-walnut", Thickness: 6, RingAngle: math.NaN()}
	return &Slab{
		Length: 1800,
		Strips: []Strip{
			{Name: "right", Pieces: []Piece{cedar}},
			{Name: "right accent", Pieces: []Piece{dark}},
			{Name: "middle", Pieces: []Piece{pale, cedar}, Transitions: []Transition{{
				Kind: Chevron, At: 900, Angle: 30 * degree, Lean: 1,
				Slips: []Slip{{Piece: Piece{Wood: "hard-maple", RingAngle: math.NaN()}, Width: 8}},
			}}},
			{Name: "left accent", Pieces: []Piece{dark}},
			{Name: "left", Pieces: []Piece{cedar, pale}, Transitions: []Transition{{Kind: Diagonal, At: 500, Angle: 45 * degree}}},
		},
		Plan: Plan{Stations: []Station{{0, 60}, {400, 88}, {900, 96}, {1500, 70}, {1800, 0}}, EndRounded: true},
		Profile: Profile{
			Top:    []Station{{0, 74}, {600, 62}, {1200, 64}, {1800, 92}},
			Bottom: []Station{{0, 22}, {600, 0}, {1200, 2}, {1800, 46}},
		},
		Edge: Edge{TopRadius: 9, BottomRadius: 5},
	}
}

// slabs draws valid slabs of every make.
func slabs() *rapid.Generator[*Slab] {
	woods := []string{"western-redcedar", "black-walnut", "basswood", "hard-maple", "african-padauk"}
	return rapid.Custom(func(t *rapid.T) *Slab {
		number := func(name string, a, b float64) float64 { return rapid.Float64Range(a, b).Draw(t, name) }
		s := &Slab{Length: number("length", 800, 2400)}
		n := rapid.IntRange(1, 7).Draw(t, "strips")
		for i := range n {
			thick := number("thickness", 4, 70)
			st := Strip{Name: fmt.Sprintf("s%d", i)}
			pieces := rapid.IntRange(1, 3).Draw(t, "pieces")
			for k := range pieces {
				p := Piece{Wood: rapid.SampledFrom(woods).Draw(t, "wood"), Thickness: thick, RingAngle: math.NaN()}
				if rapid.Bool().Draw(t, "weighed") {
					p.Density = number("density", 300, 900)
				}
				st.Pieces = append(st.Pieces, p)
				if k == 0 {
					continue
				}
				tr := Transition{
					Kind:  rapid.SampledFrom([]TransitionKind{Square, Diagonal, Chevron}).Draw(t, "kind"),
					At:    s.Length*float64(k)/float64(pieces) + number("shift", -30, 30),
					Angle: number("angle", 35, 90) * degree,
					Lean:  rapid.SampledFrom([]int{-1, 0, 1}).Draw(t, "lean"),
				}
				for range rapid.IntRange(0, 2).Draw(t, "slips") {
					tr.Slips = append(tr.Slips, Slip{Piece{Wood: "limba", RingAngle: math.NaN()}, number("slip", 2, 8)})
				}
				st.Transitions = append(st.Transitions, tr)
			}
			s.Strips = append(s.Strips, st)
		}
		half := s.Width() / 2
		switch rapid.IntRange(0, 3).Draw(t, "plan") {
		case 0:
		case 1, 2:
			k := rapid.IntRange(1, 4).Draw(t, "inner stations")
			for i := 0; i <= k+1; i++ {
				s.Plan.Stations = append(s.Plan.Stations, Station{s.Length * (float64(i) / float64(k+1)), number("half-breadth", 0.4, 1) * half})
			}
			if rapid.Bool().Draw(t, "start to 0") {
				s.Plan.Stations[0].Value = 0
				s.Plan.StartRounded = rapid.Bool().Draw(t, "start rounded")
			}
			if rapid.Bool().Draw(t, "end to 0") {
				s.Plan.Stations[k+1].Value = 0
				s.Plan.EndRounded = rapid.Bool().Draw(t, "end rounded")
			}
		case 3:
			s.Plan.Path = RoundedPlan(s.Length, 2*half, math.Min(half, s.Length/3)).outline()
		}
		k := rapid.IntRange(1, 5).Draw(t, "profile stations")
		for i := range k {
			x := 0.0
			if k > 1 {
				x = s.Length * (float64(i) / float64(k-1))
			}
			b := number("bottom", 0, 40)
			s.Profile.Bottom = append(s.Profile.Bottom, Station{x, b})
			s.Profile.Top = append(s.Profile.Top, Station{x, b + number("thick", 40, 60)})
		}
		s.Edge = Edge{TopRadius: number("top radius", 0, 12), BottomRadius: number("bottom radius", 0, 12)}
		if rapid.IntRange(0, 3).Draw(t, "chamfered") == 0 {
			s.Edge = Edge{TopChamfer: s.Edge.TopRadius, BottomChamfer: s.Edge.BottomRadius}
		}
		if least, _ := s.leastThickness(0, s.Length); least < 30 {
			s.Profile.Bottom = []Station{{0, 0}}
		}
		return s
	})
}

// Reference values: scipy 1.10.1, scipy.interpolate.PchipInterpolator, on the
// data set RPN 14 of Fritsch and Carlson (1980), Table 1, and on a bowed
// profile with a dip.
func TestSplineMatchesScipy(t *testing.T) {
	rpn := Spline{{7.99, 0}, {8.09, 2.76429e-5}, {8.19, 4.37498e-2}, {8.7, 0.169183}, {9.2, 0.469428}, {10, 0.943740}, {12, 0.998636}, {15, 0.999919}, {20, 0.999994}}
	bow := Spline{{0, 38}, {300, 60.5}, {700, 74}, {1100, 71}, {1500, 55}, {1828.8, 90}}
	for _, c := range []struct {
		s              Spline
		x, value, grad float64
	}{
		{rpn, 8.0, 2.767433863187248e-07, 5.534518408242687e-05},
		{rpn, 8.05, 9.956474181099992e-06, 0.00033175671817583645},
		{rpn, 8.15, 0.023528278365786123, 0.5891170393088024},
		{rpn, 8.4, 0.09666880560766512, 0.20090997151559742},
		{rpn, 8.9, 0.2713755846049045, 0.6317450634211128},
		{rpn, 9.5, 0.6852179451108994, 0.7673210945216192},
		{rpn, 10.7, 0.9769037458487124, 0.03520667855573266},
		{rpn, 13, 0.9993618220922759, 0.0005597473276787557},
		{rpn, 17.5, 0.9999761404272691, 1.4643829092402939e-05},
		{rpn, 19.9, 0.99999397279238, 5.447222751398541e-07},
		{bow, 10, 38.924087175505655, 0.09212784878165313},
		{bow, 150, 50.947645425226945, 0.07747835045389392},
		{bow, 299, 60.452467065476185, 0.04765773214285713},
		{bow, 500, 69.62040133779264, 0.03877299331103679},
		{bow, 900, 73.13157894736841, -0.008092105263157894},
		{bow, 1300, 62.36842105263158, -0.0568421052631579},
		{bow, 1650, 63.78682218138242, 0.10875417872840545},
		{bow, 1820, 88.48814789174399, 0.17105588803338173},
	} {
		assert.InDelta(t, c.value, c.s.At(c.x), 1e-11*100, "at %g", c.x)
		assert.InDelta(t, c.grad, c.s.SlopeAt(c.x), 1e-11, "slope at %g", c.x)
	}
	assert.Equal(t, 0.0, Spline{}.At(5))
	assert.Equal(t, 7.0, Spline{{3, 7}}.At(100))
	assert.Equal(t, 38.0, bow.At(-5))
	assert.Equal(t, 90.0, bow.At(5000))
}

// Between stations the curve stays between their values and only goes one
// way; Range and SlopeBound hold against a fine comb of samples and are met.
func TestSplineLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s Spline
		x := 0.0
		for range rapid.IntRange(1, 7).Draw(t, "n") {
			s = append(s, Station{x, rapid.Float64Range(0, 100).Draw(t, "value")})
			x += rapid.Float64Range(1, 400).Draw(t, "step")
		}
		end := s[len(s)-1].X
		slope := s.SlopeBound()
		for i := 0; i+1 < len(s); i++ {
			up := math.Copysign(1, s[i+1].Value-s[i].Value)
			last := s[i].Value
			for k := 1; k <= 50; k++ {
				x := s[i].X + (s[i+1].X-s[i].X)*float64(k)/50
				v := s.At(x)
				if up*(v-last) < -1e-9 {
					t.Fatalf("wiggle between %v and %v at %g", s[i], s[i+1], x)
				}
				if math.Abs(s.SlopeAt(x)) > slope+1e-12 {
					t.Fatalf("slope %g at %g beyond the bound %g", s.SlopeAt(x), x, slope)
				}
				last = v
			}
		}
		a := rapid.Float64Range(-50, end+50).Draw(t, "from")
		b := a + rapid.Float64Range(0, end).Draw(t, "over")
		least, greatest, xl, xg := s.Range(a, b)
		if s.At(xl) != least || s.At(xg) != greatest || xl < a || xl > b || xg < a || xg > b {
			t.Fatalf("range %g %g is not found at %g %g", least, greatest, xl, xg)
		}
		for k := 0; k <= 200; k++ {
			v := s.At(a + (b-a)*float64(k)/200)
			if v < least-1e-9 || v > greatest+1e-9 {
				t.Fatalf("%g outside %g..%g", v, least, greatest)
			}
		}
	})
}

// The cells' laws, on random slabs.
func TestCellsCoverTheStack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
		cells := s.Cells()
		w := s.Width()
		sum := 0.0
		for _, c := range cells {
			ring := geom.Polygon(c.Region)
			sum += ring.Area()
			y0, y1 := s.Band(c.Strip)
			for k, p := range ring {
				q, r := ring[(k+1)%len(ring)], ring[(k+2)%len(ring)]
				if q.Sub(p).Cross(r.Sub(q)) < -1e-9 {
					t.Fatalf("cell %v is not convex", ring)
				}
				if p.X < 0 || p.X > s.Length || p.Y < y0 || p.Y > y1 {
					t.Fatalf("cell %v leaves its strip", ring)
				}
			}
		}
		if math.Abs(sum-s.Length*w) > 1e-7*s.Length*w {
			t.Fatalf("cells cover %g of %g mm²", sum, s.Length*w)
		}
		// Any place lies in one cell, or on edges between cells.
		for range 20 {
			p := geom.Pt(rapid.Float64Range(0, s.Length).Draw(t, "x"), rapid.Float64Range(-w/2, w/2).Draw(t, "y"))
			in := 0
			near := math.Inf(1)
			for _, c := range cells {
				d, _ := geom.Polygon(c.Region).BoundaryDistance(p)
				near = math.Min(near, d)
				if geom.Polygon(c.Region).Locate(p) == geom.Inside {
					in++
				}
			}
			if near > 1e-6 && in != 1 {
				t.Fatalf("%v lies in %d cells", p, in)
			}
		}
	})
}

// Slips measure their width square to the joint, whatever the angle.
func TestSlipWidthIsSquareToTheJoint(t *testing.T) {
	for _, kind := range []TransitionKind{Square, Diagonal, Chevron} {
		tr := Transition{Kind: kind, At: 500, Angle: 25 * degree, Slips: []Slip{{Width: 7}, {Width: 3}}}
		js := tr.joints(40)
		require.Len(t, js, 3)
		for k, want := range []float64{7, 3} {
			a, b := geom.Pt(js[k].right, 0), geom.Pt(js[k].mid, 20)
			along := b.Sub(a).Unit()
			assert.InDelta(t, want, along.Cross(a.Sub(geom.Pt(js[k+1].right, 0))), 1e-9, kind)
		}
		middle := (js[0].mid + js[2].mid) / 2
		assert.InDelta(t, 500, middle, 1e-9, "At is the middle of the slips")
	}
}

// Every glue line lies between the two woods it names: a step to its left is
// in a cell of the left wood, a step to its right in one of the right wood.
// Together the lines are all edges between cells.
func TestGlueLinesStandBetweenTheirWoods(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		cells := s.Cells()
		woodAt := func(p geom.Point) Piece {
			for _, c := range cells {
				if geom.Polygon(c.Region).Locate(p) == geom.Inside {
					return c.Wood
				}
			}
			return Piece{}
		}
		length := 0.0
		for _, g := range s.GlueLines() {
			length += g.A.Distance(g.B)
			if g.A.Distance(g.B) < 0.1 {
				continue
			}
			m := g.A.Lerp(g.B, 0.37) // not where two halves meet
			side := g.B.Sub(g.A).Unit().Left().Mul(1e-3)
			if l := woodAt(m.Add(side)); l.Wood != g.Left.Wood || l.Density != g.Left.Density {
				t.Fatalf("%v: left of %v is %v", g.Name, m, l)
			}
			if r := woodAt(m.Add(side.Neg())); r.Wood != g.Right.Wood || r.Density != g.Right.Density {
				t.Fatalf("%v: right of %v is %v", g.Name, m, r)
			}
		}
		edges := 0.0 // every inner edge belongs to two cells
		for _, c := range cells {
			edges += geom.Polygon(c.Region).Perimeter()
		}
		outer := 2 * (s.Length + s.Width())
		halves := 0.0 // a part with a chevron is cut in two along its centreline: no joint there
		for i := range s.Strips {
			for _, p := range s.parts(i) {
				if p.bentFrom || p.bentTo {
					halves += p.to.mid - p.from.mid
				}
			}
		}
		if want := (edges-outer)/2 - halves; math.Abs(length-want) > 1e-6*edges {
			t.Fatalf("glue lines are %g mm long, edges between cells %g mm", length, want)
		}
	})
}

func TestBenchGlueLines(t *testing.T) {
	s := bench()
	require.NoError(t, s.Check())
	n := map[bool]int{}
	for _, g := range s.GlueLines() {
		n[g.Transition]++
	}
	// Right/accent 1, accent/middle 3 (two pieces and a slip), middle/accent
	// 3, accent/left 2. Chevron with one slip: two joints of two halves; the
	// diagonal: one.
	assert.Equal(t, map[bool]int{false: 9, true: 5}, n)
	assert.Equal(t, 192.0, s.Width())
	y0, y1 := s.Band(2)
	assert.Equal(t, -30.0, y0)
	assert.Equal(t, 30.0, y1)
	assert.Equal(t, "#5c3f2d", s.Colour(s.Strips[1].Pieces[0]))
	assert.InDelta(t, 1120*0.32, s.Density(s.Strips[0].Pieces[0]), 1e-9)
	own := Piece{Wood: "teak", Colour: "#ABCDEF", Density: 700}
	assert.Equal(t, "#abcdef", s.Colour(own))
	assert.Equal(t, 700.0, s.Density(own))
}

// The outline passes the stations, never leaves the stack between them, is
// counter-clockwise, and does not cross itself.
func TestOutlineLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		path := s.Outline()
		if path.Area() <= 0 {
			t.Fatal("not counter-clockwise")
		}
		ring := path.Polygon(0.01)
		if x, ok := ring.SelfCrossing(); ok {
			t.Fatalf("crosses itself at %v", x)
		}
		for i, c := range path.Curves {
			if next := path.Curves[(i+1)%len(path.Curves)]; c.P3 != next.P0 {
				t.Fatalf("curve %d ends at %v, the next begins at %v", i, c.P3, next.P0)
			}
		}
		for i, st := range s.Plan.Stations {
			if d, _ := ring.BoundaryDistance(geom.Pt(st.X, st.Value)); d > 0.02 {
				t.Fatalf("misses station %d by %g", i+1, d)
			}
			if d, _ := ring.BoundaryDistance(geom.Pt(st.X, -st.Value)); d > 0.02 {
				t.Fatalf("misses station %d on the right by %g", i+1, d)
			}
			if i == 0 {
				continue
			}
			before := s.Plan.Stations[i-1]
			last := before.Value
			for k := 1; k <= 20; k++ {
				y := s.Plan.HalfBreadthAt(math.Min(st.X, before.X+(st.X-before.X)*float64(k)/20))
				if (y-last)*(st.Value-before.Value) < -1e-6 {
					t.Fatalf("wiggle before station %d", i+1)
				}
				last = y
			}
		}
	})
}

// A rounded end stands square on the centreline and is a good copy of a half
// ellipse, which has the same two ends: within 2.5 % of the half-breadth.
func TestRoundedEndIsANose(t *testing.T) {
	p := RoundedPlan(1000, 200, 100)
	path := p.outline()
	first := path.Curves[0]
	assert.Equal(t, geom.Pt(0, 0), first.P0)
	assert.InDelta(t, 0, first.Velocity(0).X, 1e-12)
	assert.Negative(t, first.Velocity(0).Y)
	last := path.Curves[len(path.Curves)-1]
	assert.InDelta(t, last.Curvature(1), first.Curvature(0), 1e-12, "both sides of the nose bend alike")
	assert.Positive(t, first.Curvature(0))
	for x := 1.0; x < 100; x++ {
		ellipse := 100 * math.Sqrt(1-(1-x/100)*(1-x/100))
		assert.InDelta(t, ellipse, p.HalfBreadthAt(x), 2.7, "at %g", x)
		assert.InDelta(t, p.HalfBreadthAt(x), p.HalfBreadthAt(1000-x), 1e-9)
	}
	point := PointedPlan(1000, 200, 400)
	require.NoError(t, (&Slab{Length: 1000, Strips: []Strip{{Pieces: []Piece{{Wood: "teak", Thickness: 200}}}}, Plan: point, Profile: Profile{Top: []Station{{0, 40}}}}).Check())
	assert.Equal(t, 100.0, point.HalfBreadthAt(400))
	assert.Len(t, TaperedPlan(1000, 200, 100).outline().Curves, 4)
	assert.InDelta(t, 1000*200, TaperedPlan(1000, 200, 200).outline().Area(), 1e-6)
	assert.InDelta(t, 75, TaperedPlan(1000, 200, 100).HalfBreadthAt(500), 1e-12)
}

func TestCheckNamesTheRule(t *testing.T) {
	for _, c := range []struct {
		spoil func(*Slab)
		want  string
	}{
		{func(s *Slab) { s.Length = math.NaN() }, "rule 1"},
		{func(s *Slab) { s.Strips = nil }, "rule 2"},
		{func(s *Slab) { s.Strips[0].Pieces = nil }, "rule 3"},
		{func(s *Slab) { s.Strips[2].Transitions = nil }, "2 pieces need 1"},
		{func(s *Slab) { s.Strips[0].Pieces[0].Thickness = 0 }, "rule 4"},
		{func(s *Slab) { s.Strips[2].Pieces[1].Thickness = 59 }, "pieces of one strip finish equal"},
		{func(s *Slab) { s.Strips[0].Pieces[0].Rough = 40 }, "less than the finished"},
		{func(s *Slab) { s.Strips[0].Pieces[0].Wood = "wlnut" }, "nearest are"},
		{func(s *Slab) { s.Strips[0].Pieces[0].Colour = "brown" }, "six hex digits"},
		{func(s *Slab) { s.Strips[0].Pieces[0].Density = 4 }, "between 50 and 1500"},
		{func(s *Slab) { s.Strips[0].Pieces[0].Moisture = 45 }, "moisture"},
		{func(s *Slab) { s.Strips[0].Pieces[0].RingAngle = 3 }, "ring angle"},
		{func(s *Slab) { s.Strips[2].Transitions[0].Kind = "dovetail" }, `"square", "diagonal" or "chevron"`},
		{func(s *Slab) { s.Strips[2].Transitions[0].Angle = 0 }, "rule 6"},
		{func(s *Slab) { s.Strips[2].Transitions[0].At = 1799 }, "rule 6"},
		{func(s *Slab) { s.Strips[2].Transitions[0].Slips[0].Width = -1 }, "slip"},
		{func(s *Slab) { s.Plan.Stations[1].Value = 97 }, "half the stack"},
		{func(s *Slab) { s.Plan.Stations[1].X = 900 }, "must grow"},
		{func(s *Slab) { s.Plan.Stations[4].Value = 5 }, "rounded end needs"},
		{func(s *Slab) { s.Plan.Stations[2].Value = 0 }, "only an end may be 0"},
		{func(s *Slab) { s.Plan = Plan{Stations: []Station{{0, 0}, {1800, 0}}} }, "give a station"},
		{func(s *Slab) {
			s.Plan = Plan{Path: geom.PathOf(geom.Polygon{geom.Pt(0, -50), geom.Pt(1800, 50), geom.Pt(1800, -50), geom.Pt(0, 50)})}
		}, "crosses itself"},
		{func(s *Slab) { s.Plan = Plan{Path: geom.PathOf(geom.Regular(geom.Pt(0, 0), 90, 8))} }, "must lie on the stack"},
		{func(s *Slab) { s.Profile.Top = nil }, "rule 8"},
		{func(s *Slab) { s.Profile.Top[1].Value = 0 }, "not above the bottom"},
		{func(s *Slab) { s.Edge.TopRadius = 70 }, "rule 9"},
		{func(s *Slab) { s.Edge = Edge{TopChamfer: 70} }, "rule 9"},
		{func(s *Slab) { s.Edge = Edge{TopChamfer: 3, TopRadius: 3} }, "a radius or a chamfer"},
		{func(s *Slab) { s.Edge = Edge{BottomChamfer: -1} }, "at least 0"},
		{func(s *Slab) { s.Chambers = []Chamber{{Strip: 9}} }, "strips 1 to 5"},
		{func(s *Slab) {
			s.Chambers = []Chamber{{Strip: 2, From: 1700, To: 1795, TopSkin: 6, BottomSkin: 6, State: Cut}}
		}, "leaves the slab's outline"},
		{func(s *Slab) {
			s.Chambers = []Chamber{{Strip: 2, From: 200, To: 300, TopSkin: 30, BottomSkin: 30, State: Cut}}
		}, "two skins"},
		{func(s *Slab) {
			c := Chamber{Strip: 2, From: 200, To: 300, TopSkin: 6, BottomSkin: 6, State: Cut}
			s.Chambers = []Chamber{c, c}
		}, "overlaps"},
		{func(s *Slab) { s.Fasteners = []Fastener{{Length: 50, Shank: 4}} }, "rule 11"},
		{func(s *Slab) { s.Flaws = []Flaw{{Kind: "knot"}} }, "knot 1"},
	} {
		s := bench()
		require.NoError(t, s.Check())
		c.spoil(s)
		assert.ErrorContains(t, s.Check(), c.want)
	}
}

// Obstacles contain the real thing: points of a chamber's hollow, of a
// screw's shank and head, of a knot.
func TestObstaclesContainWhatTheyStandFor(t *testing.T) {
	s := bench()
	s.Chambers = []Chamber{
		{Name: "c", Strip: 2, From: 200, To: 500, TopSkin: 8, BottomSkin: 7, State: Cut},
		{Strip: 2, From: 1000, To: 1200, TopSkin: 8, BottomSkin: 7, State: Planned},
	}
	s.Flaws = []Flaw{{Kind: "knot", At: geom.Pt(300, 20), Radius: 11, From: 10, To: 30}, {Kind: "check", Ring: geom.Polygon{geom.Pt(0, 0), geom.Pt(50, 1), geom.Pt(20, 0.5), geom.Pt(50, 5)}}}
	require.NoError(t, s.Check())
	list := s.Obstacles()
	require.Len(t, list, 3, "planned chambers are no obstacles")
	assert.Equal(t, "chamber", list[0].Kind)
	for x := 200.0; x <= 500; x += 5 {
		assert.LessOrEqual(t, s.TopAt(x)-8, list[0].Top)
		assert.GreaterOrEqual(t, s.BottomAt(x)+7, list[0].Bottom)
	}
	assert.False(t, list[1].WholeThrough)
	assert.True(t, list[2].WholeThrough)
	for a := 0.0; a < 7; a += 0.1 {
		assert.GreaterOrEqual(t, geom.Polygon(list[1].Region).Depth(geom.Pt(300, 20).Add(geom.Polar(11, a))), -1e-9)
	}
	rapid.Check(t, func(t *rapid.T) {
		n := func(name string, a, b float64) float64 { return rapid.Float64Range(a, b).Draw(t, name) }
		f := Fastener{
			At:        geom.Point3{X: n("x", 0, 500), Y: n("y", -90, 90), Z: n("z", 0, 60)},
			Direction: geom.Vec3{X: n("dx", -1, 1), Y: n("dy", -1, 1), Z: n("dz", -1, 1.01)}.Unit(),
			Length:    n("length", 5, 120), Shank: n("shank", 2, 8), Head: n("head", 8, 14), Pilot: 3,
		}
		if math.Abs(f.Direction.Len()-1) > 1e-12 {
			return // too short for a direction; Check refuses it
		}
		var plain Slab
		plain.Fasteners = []Fastener{f}
		obstacles := plain.Obstacles()
		least := geom.Vec3{X: 1} // the axis that the rod leaves most
		if math.Abs(f.Direction.X) > 0.6 {
			least = geom.Vec3{Y: 1}
		}
		side := f.Direction.Cross(least).Unit()
		other := f.Direction.Cross(side)
		for _, c := range []struct {
			o            Obstacle
			length, diam float64
		}{{obstacles[0], f.Length, f.Shank}, {obstacles[2], f.Head / 2, f.Head}} {
			for k := range 60 {
				a := float64(k) / 3
				along := c.length * float64(k%4) / 3
				q := f.At.Add(f.Direction.Mul(along)).Add(side.Mul(math.Cos(a) * c.diam / 2)).Add(other.Mul(math.Sin(a) * c.diam / 2))
				if d := geom.Polygon(c.o.Region).Depth(q.Plan()); d < -1e-9 {
					t.Fatalf("%s: %v is %g outside in plan", c.o.Name, q, -d)
				}
				if q.Z < c.o.Bottom-1e-9 || q.Z > c.o.Top+1e-9 {
					t.Fatalf("%s: %v is not within %g to %g", c.o.Name, q, c.o.Bottom, c.o.Top)
				}
			}
		}
	})
}
