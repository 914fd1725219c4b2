package geom_test

import (
	"math"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	. "slabwright/body/geom"
)

// Closed forms off the origin and different in x and y: areas and second
// moments of plane figures as in any table of mechanics (about the centroid:
// rectangle b h³/12, right triangle b h³/36 and −b² h²/72 for xy), carried to
// the origin by the parallel-axis rule.
func TestMomentsOfKnownFigures(t *testing.T) {
	shifted := func(a, x, y, ixx, iyy, ixy float64) Moments {
		return Moments{a, a * x, a * y, ixx + a*x*x, iyy + a*y*y, ixy + a*x*y}
	}
	for _, c := range []struct {
		name string
		ring Polygon
		want Moments
	}{
		{"30 × 7 rectangle about (25, −9.5)", Box{Pt(10, -13), Pt(40, -6)}.Polygon(),
			shifted(210, 25, -9.5, 7*27000/12., 30*343/12., 0)},
		{"right triangle with legs 12 and 5", Polygon{Pt(100, 50), Pt(112, 50), Pt(100, 55)},
			shifted(30, 104, 50+5/3., 5*1728/36., 12*125/36., -144*25/72.)},
		{"the same run clockwise has all signs turned", Polygon{Pt(100, 50), Pt(100, 55), Pt(112, 50)},
			shifted(30, 104, 50+5/3., 5*1728/36., 12*125/36., -144*25/72.).Mul(-1)},
		{"two points enclose nothing", Polygon{Pt(3, 4), Pt(5, 6)}, Moments{}},
		{"no points enclose nothing", nil, Moments{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := c.ring.Moments()
			for _, v := range [][2]float64{{c.want.Area, got.Area}, {c.want.X, got.X}, {c.want.Y, got.Y}, {c.want.XX, got.XX}, {c.want.YY, got.YY}, {c.want.XY, got.XY}} {
				assert.InDelta(t, v[0], v[1], 1e-9*(1+math.Abs(v[0])))
			}
			assert.InDelta(t, c.want.Area, c.ring.Area(), 1e-9)
		})
	}
	assert.Equal(t, Pt(0, 0), Moments{}.Centroid())
}

// The area of a regular n-gon is n r² sin(2π/n)/2; far from the origin no
// digits may be lost.
func TestAreaFarAway(t *testing.T) {
	g := Regular(Pt(1e7, -2e7), 3, 7)
	assert.InDelta(t, 7*9*math.Sin(2*math.Pi/7)/2, g.Area(), 1e-6)
}

// A cubic's area against Green's theorem worked by hand, and against the same
// curve flattened. The arch (0,0) (0,4) (6,4) (6,0) has x = 18t² − 12t³ and
// y = 12t − 12t², so ∫ y dx = ∫ (12t − 12t²)(36t − 36t²) dt = 432/30 = 14.4 mm²
// lie under it; run over the top and back along the base it is clockwise.
func TestPathArea(t *testing.T) {
	arch := Path{Closed: true, Curves: []Curve{
		{Pt(0, 0), Pt(0, 4), Pt(6, 4), Pt(6, 0)}, Line(Pt(6, 0), Pt(0, 0))}}
	assert.InDelta(t, -14.4, arch.Area(), 1e-12)
	assert.InDelta(t, -14.4, arch.Moved(Turn(1.1).Then(Shift(V(900, -40)))).Area(), 1e-10)
	assert.InDelta(t, -14.4, arch.Moved(FlipY()).Area(), 1e-12, "a mirrored path is run the other way")
	assert.Zero(t, Path{}.Area())
	rapid.Check(t, func(t *rapid.T) {
		p := blob(t)
		assert.InDelta(t, p.Area(), Polygon(p.Flatten(1e-4)).Area(), 1e-4*p.Length(1e-6))
	})
}

// Rigid laws: what every movement must do.
//  1. lengths stay
//  2. the inverse undoes it, on either side
//  3. a.Then(b) is first a, then b
//  4. it turns displacements as it turns differences of points
//  5. areas of rings and paths keep their sign
func TestRigidLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, g := rigid(t, "a"), rigid(t, "b"), star(t, "ring")
		p, q := g[0], g[1]
		near := func(p, q Point) { assert.InDelta(t, 0, p.Distance(q), 1e-9) }
		assert.InDelta(t, p.Distance(q), a.Apply(p).Distance(a.Apply(q)), 1e-9)
		near(p, a.Inverse().Apply(a.Apply(p)))
		near(p, a.Apply(a.Inverse().Apply(p)))
		near(b.Apply(a.Apply(p)), a.Then(b).Apply(p))
		near(Pt(0, 0).Add(a.Apply(q).Sub(a.Apply(p))), Pt(0, 0).Add(a.Turn(q.Sub(p))))
		assert.InDelta(t, g.Area(), g.Moved(a).Area(), 1e-6)
		assert.InDelta(t, PathOf(g).Area(), PathOf(g).Moved(a).Area(), 1e-6)
	})
}

// The ladder: ask for 1, 0.1 … 1e-6 mm and measure what one gets, sampling the
// true curve far more densely than the chords.
func TestFlattenKeepsItsTolerance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Curve{}
		for _, p := range []*Point{&c.P0, &c.P1, &c.P2, &c.P3} {
			*p = Pt(rapid.Float64Range(-50, 50).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y"))
		}
		for _, tol := range []float64{1, 0.1, 0.01, 1e-3, 1e-4, 1e-5, 1e-6} {
			chain := Path{Curves: []Curve{c}}.Flatten(tol)
			require.Equal(t, c.P0, chain[0])
			require.Equal(t, c.P3, chain[len(chain)-1])
			n := len(chain) - 1
			for _, i := range []int{0, n / 3, n / 2, n - 1} { // chord i spans [i/n, (i+1)/n]
				for s := range 33 {
					p := c.At((float64(i) + float64(s)/32) / float64(n))
					d, _ := PointSegment(p, chain[i], chain[i+1])
					require.LessOrEqual(t, d, tol*(1+1e-9)+1e-12, "tolerance %g", tol)
				}
			}
		}
	})
}

func TestFlattenOutsideContainsAndInsideIsContained(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := blob(t)
		for _, tol := range []float64{1, 0.05, 0.005} {
			out, in := p.FlattenOutside(tol), p.FlattenInside(tol)
			for _, c := range p.Curves {
				for s := range 40 {
					q := c.At(float64(s) / 40)
					do, di := out.Depth(q), in.Depth(q)
					require.GreaterOrEqual(t, do, -1e-9)
					require.LessOrEqual(t, do, tol+1e-9)
					require.LessOrEqual(t, di, 1e-9)
					require.GreaterOrEqual(t, di, -tol-1e-9)
				}
			}
		}
	})
}

// Corners and slivers, where moving edges goes wrong first: the outer ring's
// corners and edges must clear the true ring, and the other way about.
func TestFlattenKeepsToItsSideAtHostileCorners(t *testing.T) {
	for _, c := range []struct {
		name string
		ring Polygon
	}{
		{"square", Box{Pt(0, 0), Pt(10, 10)}.Polygon()},
		{"outward spike of 6°", Polygon{Pt(0, 0), Pt(10, 0), Pt(10, 4), Pt(20, 4.5), Pt(10, 5), Pt(10, 10), Pt(0, 10)}},
		{"inward spike of 6°", Polygon{Pt(0, 0), Pt(20, 0), Pt(20, 4.5), Pt(10, 5), Pt(20, 5.5), Pt(20, 10), Pt(0, 10)}},
		{"short edge at an inward corner", Polygon{Pt(0, 0), Pt(20, 0), Pt(20, 10), Pt(10, 5), Pt(9.9995, 5), Pt(0, 10)}},
		{"short edge at an outward corner", Polygon{Pt(0, 0), Pt(20, 0), Pt(20.0003, 0.0004), Pt(20, 10), Pt(0, 10)}},
		{"corner given twice", Polygon{Pt(0, 0), Pt(10, 0), Pt(10, 0), Pt(10, 10), Pt(0, 10)}},
		{"straight corner", Polygon{Pt(0, 0), Pt(5, 0), Pt(10, 0), Pt(10, 10), Pt(0, 10)}},
		{"clockwise", Box{Pt(0, 0), Pt(10, 10)}.Polygon().Reversed()},
	} {
		t.Run(c.name, func(t *testing.T) {
			const tol = 0.01
			for _, ring := range []Polygon{c.ring, c.ring.Moved(Turn(0.7))} {
				p := PathOf(ring)
				out, in := p.FlattenOutside(tol), p.FlattenInside(tol)
				_, crosses := out.SelfCrossing()
				assert.False(t, crosses, "outside ring crosses itself")
				_, crosses = in.SelfCrossing()
				assert.False(t, crosses, "inside ring crosses itself")
				assert.InDelta(t, tol/2, ring.Room(out).Value, 1e-9)
				assert.GreaterOrEqual(t, in.Room(ring).Value, tol/2-1e-9)
				for _, q := range out {
					assert.GreaterOrEqual(t, ring.Depth(q), -2*tol-1e-9)
				}
			}
		})
	}
	assert.Nil(t, PathOf(Regular(Pt(0, 0), 0.001, 12)).FlattenInside(0.01), "too small to hold anything")
	assert.Empty(t, Path{Closed: true}.FlattenOutside(0.01))
}

// Clips against simplefeatures' overlay, an independent library.
func TestClippedAreas(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g, c := star(t, "ring"), Convex(Regular(Pt(rapid.Float64Range(-200, 200).Draw(t, "cx"), 10), rapid.Float64Range(5, 300).Draw(t, "r"), rapid.IntRange(3, 9).Draw(t, "n")))
		both, err := sf.Intersection(independent(g), independent(Polygon(c)))
		require.NoError(t, err)
		assert.InDelta(t, both.Area(), g.ClippedTo(c).Area(), 1e-6)
		whole := g.Moments()
		h := HalfPlane{c[0], c[1].Sub(c[0])}
		left, right := g.Clipped(h).Moments(), g.Clipped(HalfPlane{h.At, h.Along.Neg()}).Moments()
		sum := left.Add(right)
		assert.InDelta(t, whole.Area, sum.Area, 1e-6)
		assert.InDelta(t, whole.XX, sum.XX, 1e-4*math.Abs(whole.XX)+1e-3)
		assert.InDelta(t, whole.XY, sum.XY, 1e-4*math.Abs(whole.XX)+1e-3)
	})
	square := Box{Pt(0, 0), Pt(10, 10)}.Polygon()
	assert.Nil(t, square.ClippedTo(Convex(Regular(Pt(50, 50), 1, 5))))
	assert.Nil(t, Polygon(nil).ClippedTo(Convex(square)))
	assert.Equal(t, 100.0, square.ClippedTo(Convex(square)).Area(), "edges on edges")
	assert.Len(t, Convex{Pt(0, 0), Pt(1, 0), Pt(1, 0), Pt(0, 1)}.Edges(), 3)
}

// Room and Gap against the independent library: distance between boundaries
// when they do not meet; overlap tells the sign.
func TestRoomAndGap(t *testing.T) {
	seen := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		a, b := star(t, "a"), star(t, "b")
		a = a.Moved(Rigid{C: rapid.SampledFrom([]float64{1, 0.1}).Draw(t, "size")}) // C alone scales: small ones fit inside
		a = a.Moved(Shift(b.Bounds().Centre().Sub(a.Bounds().Centre()).Mul(rapid.Float64Range(0, 1).Draw(t, "toward"))))
		ga, gb := independent(a), independent(b)
		both, err := sf.Intersection(ga, gb)
		require.NoError(t, err)
		edges, _ := sf.Distance(ga.Boundary(), gb.Boundary())
		room, gap := a.Room(b), a.Gap(b)
		switch over := both.Area(); {
		case over < 1e-9:
			seen["apart"]++
			assert.InDelta(t, edges, gap.Value, 1e-9)
			assert.Negative(t, room.Value)
		case over > a.Area()-1e-6 && edges > 0:
			seen["within"]++
			assert.InDelta(t, edges, room.Value, 1e-9)
			assert.Negative(t, gap.Value)
			d, _ := b.BoundaryDistance(room.At)
			assert.InDelta(t, edges, d, 1e-9, "the place is where the margin is")
		default:
			seen["overlapping"]++
			assert.Negative(t, gap.Value)
			assert.Negative(t, room.Value)
		}
	})
	for _, kind := range []string{"apart", "within", "overlapping"} {
		assert.NotZero(t, seen[kind], kind)
	}
}

func TestRoomAndGapHostile(t *testing.T) {
	bar := func(w, h float64) Polygon { return Box{Pt(-w/2, -h/2), Pt(w/2, h/2)}.Polygon() }
	//  +--+ +--+
	//  |  | |  |   a slot from above, its tip below the inner plate
	//  |  |_|  |
	//  +-------+
	slotted := Polygon{Pt(-20, -20), Pt(20, -20), Pt(20, 20), Pt(1, 20), Pt(1, -10), Pt(-1, -10), Pt(-1, 20), Pt(-20, 20)}
	plate := bar(10, 8)
	assert.InDelta(t, -1, plate.Room(slotted).Value, 1e-12, "the slot's middle is 1 from its sides")
	assert.InDelta(t, -4, bar(30, 8).Gap(bar(8, 30)).Value, 1e-12, "crossed bars: the edge middle lies 4 deep")
	assert.InDelta(t, -4, bar(30, 8).Gap(bar(30, 8)).Value, 1e-12, "a ring on itself")
	assert.Zero(t, bar(30, 8).Room(bar(30, 8)).Value, "fits itself with nothing to spare")
	assert.Zero(t, bar(10, 10).Gap(bar(10, 10).Moved(Shift(V(10, 3)))).Value, "shared stretch of edge")
	assert.Zero(t, bar(10, 10).Gap(bar(10, 10).Moved(Shift(V(10, 10)))).Value, "touching corners")
	assert.InDelta(t, 1, bar(8, 8).Room(bar(10, 20)).Value, 1e-12)
	assert.InDelta(t, -3, bar(8, 8).Moved(Shift(V(4, 0))).Room(bar(10, 20)).Value, 1e-12)
	// touching with corners while a tooth bites: corner margins alone say 0
	tooth := Polygon{Pt(-5, -5), Pt(5, -5), Pt(5, 5), Pt(0, 0), Pt(-5, 5)}
	assert.Negative(t, bar(10, 10).Room(tooth).Value)
}

// SelfCrossing against comparing all pairs, on coordinates of a small grid so
// that edges touch, overlap and repeat.
func TestSelfCrossingAgainstAllPairs(t *testing.T) {
	slow := func(g Polygon) bool { // edges that have length, each pair
		var e [][2]Point
		for i, a := range g {
			if b := g[(i+1)%len(g)]; a != b {
				e = append(e, [2]Point{a, b})
			}
		}
		for i := range e {
			for j := i + 1; j < len(e); j++ {
				neighbours := j == i+1 || i == 0 && j == len(e)-1
				if !neighbours {
					if d, _, _ := SegmentSegment(e[i][0], e[i][1], e[j][0], e[j][1]); d == 0 {
						return true
					}
					continue
				}
				for _, two := range [][4]Point{{e[i][0], e[i][1], e[j][0], e[j][1]}, {e[j][0], e[j][1], e[i][0], e[i][1]}} {
					if two[1] == two[2] { // does the far end of one lie on the other?
						d0, _ := PointSegment(two[3], two[0], two[1])
						d1, _ := PointSegment(two[0], two[2], two[3])
						if d0 == 0 || d1 == 0 {
							return true
						}
					}
				}
			}
		}
		return false
	}
	crossed, clean := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		var g Polygon
		for range rapid.IntRange(3, 7).Draw(t, "corners") {
			g = append(g, Pt(float64(rapid.IntRange(0, 6).Draw(t, "x")), float64(rapid.IntRange(0, 6).Draw(t, "y"))))
		}
		c, got := g.SelfCrossing()
		require.Equal(t, slow(g), got, "%v", g)
		if !got {
			clean++
			return
		}
		crossed++
		require.Less(t, c.I, c.J)
		for _, i := range []int{c.I, c.J} {
			d, _ := PointSegment(c.At, g[i], g[(i+1)%len(g)])
			require.InDelta(t, 0, d, 1e-9)
		}
	})
	assert.NotZero(t, crossed)
	assert.NotZero(t, clean)
	for name, g := range map[string]Polygon{
		"bow tie":        {Pt(0, 0), Pt(10, 10), Pt(10, 0), Pt(0, 10)},
		"there and back": {Pt(0, 0), Pt(10, 0)},
		"spike":          {Pt(0, 0), Pt(10, 0), Pt(10, 10), Pt(10, 20), Pt(10, 10), Pt(0, 10)},
	} {
		_, ok := g.SelfCrossing()
		assert.True(t, ok, name)
	}
	for name, g := range map[string]Polygon{
		"nothing": nil, "a point": {Pt(1, 1)}, "one place twice": {Pt(1, 1), Pt(1, 1)},
		"corner given twice": {Pt(0, 0), Pt(1, 0), Pt(1, 0), Pt(1, 1), Pt(0, 0)},
	} {
		_, ok := g.SelfCrossing()
		assert.False(t, ok, name)
	}
}

func TestLocate(t *testing.T) {
	//  4 +   +      an M: two teeth, a notch down to (2, 1)
	//    |\ /|
	//    | v |
	//  0 +---+
	g := Polygon{Pt(0, 0), Pt(4, 0), Pt(4, 4), Pt(2, 1), Pt(0, 4)}
	for _, c := range []struct {
		p    Point
		want Side
		why  string
	}{
		{Pt(2, 0.5), Inside, "under the notch"},
		{Pt(2, 2), Outside, "in the notch"},
		{Pt(2, 1), OnEdge, "the notch's corner"},
		{Pt(3, 0), OnEdge, "on the level edge"},
		{Pt(4, 2), OnEdge, "on the upright edge"},
		{Pt(-1, 4), Outside, "level with the tips"},
		{Pt(5, 0), Outside, "level with the bottom edge"},
		{Pt(1, 1), Inside, "level with the notch's corner"},
		{Pt(3, 2.5), OnEdge, "on a slanted edge"},
	} {
		assert.Equal(t, c.want, g.Locate(c.p), c.why)
		assert.Equal(t, c.want, g.Reversed().Locate(c.p), c.why)
	}
	assert.Equal(t, Outside, Polygon(nil).Locate(Pt(0, 0)))
	rapid.Check(t, func(t *rapid.T) { // against the independent library
		g := star(t, "ring")
		p := Pt(rapid.Float64Range(-400, 400).Draw(t, "x"), rapid.Float64Range(-400, 400).Draw(t, "y"))
		in, err := sf.Contains(independent(g), sf.XY{X: p.X, Y: p.Y}.AsPoint().AsGeometry())
		require.NoError(t, err)
		d, _ := sf.Distance(independent(g).Boundary(), sf.XY{X: p.X, Y: p.Y}.AsPoint().AsGeometry())
		if d > 1e-9 {
			assert.Equal(t, in, g.Locate(p) == Inside)
		}
		got, _ := g.BoundaryDistance(p)
		assert.InDelta(t, d, got, 1e-9)
	})
}

// Bounds, length, splitting and derivatives of a cubic against dense sampling
// and finite differences.
func TestCurveAgainstSampling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Curve{}
		for _, p := range []*Point{&c.P0, &c.P1, &c.P2, &c.P3} {
			*p = Pt(rapid.Float64Range(-50, 50).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y"))
		}
		b, chain, box := Path{Curves: []Curve{c}}.Bounds(), 0.0, EmptyBox()
		const n = 4000
		for i := range n + 1 {
			p := c.At(float64(i) / n)
			box = box.Include(p)
			if i > 0 {
				chain += p.Distance(c.At(float64(i-1) / n))
			}
			require.True(t, b.Grow(1e-9).Has(p))
		}
		assert.InDelta(t, 0, b.Min.Distance(box.Min)+b.Max.Distance(box.Max), 1e-3)
		assert.InDelta(t, chain, Path{Curves: []Curve{c}}.Length(1e-5), 1e-3)
		s := rapid.Float64Range(0.01, 0.99).Draw(t, "t")
		l, r := c.Split(s)
		assert.InDelta(t, 0, l.At(0.5).Distance(c.At(s/2)), 1e-9)
		assert.InDelta(t, 0, r.At(0.5).Distance(c.At((1+s)/2)), 1e-9)
		assert.InDelta(t, c.Area(), l.Area()+r.Area(), 1e-8)
		const h = 1e-5
		assert.InDelta(t, 0, c.At(s+h).Sub(c.At(s-h)).Mul(1/(2*h)).Sub(c.Velocity(s)).Len(), 1e-5)
		assert.InDelta(t, 0, c.Velocity(s+h).Sub(c.Velocity(s-h)).Mul(1/(2*h)).Sub(c.Acceleration(s)).Len(), 1e-5)
	})
}

// circle is four cubics with handles of 4/3·tan(π/8), the usual stand-in whose
// radius is right within 2.7e-4 of it.
func circle(r float64) Path {
	k := 4.0 / 3 * math.Tan(math.Pi/8) * r
	q := Curve{Pt(r, 0), Pt(r, k), Pt(k, r), Pt(0, r)}
	p := Path{Closed: true}
	for i := range 4 {
		p.Curves = append(p.Curves, q.Moved(Turn(float64(i)*math.Pi/2)))
	}
	return p
}

func TestTightestInside(t *testing.T) {
	r, _ := circle(20).TightestInside()
	assert.Equal(t, math.Inf(1), r, "a circle never turns inward")
	r, at := circle(20).Reversed().TightestInside()
	assert.InDelta(t, 20, r, 0.2)
	assert.InDelta(t, 20, at.Distance(Pt(0, 0)), 0.01)

	ell := Polygon{Pt(0, 0), Pt(30, 0), Pt(30, 10), Pt(10, 10), Pt(10, 30), Pt(0, 30)}
	r, at = PathOf(ell).Moved(Turn(0.3)).TightestInside()
	assert.Zero(t, r, "the inward corner of an L")
	assert.InDelta(t, 0, at.Distance(Turn(0.3).Apply(Pt(10, 10))), 1e-9)

	facets := PathOf(Regular(Pt(0, 0), 25, 60)).Reversed()
	r, _ = facets.TightestInside()
	assert.InDelta(t, 25*math.Cos(math.Pi/60), r, 1e-6, "facets of a hole: their inscribed circle")

	// control points on the ends, as drawing programs write them
	lazy := Path{Closed: true, Curves: []Curve{
		{Pt(0, 0), Pt(0, 0), Pt(10, 0), Pt(10, 0)}, {Pt(10, 0), Pt(10, 0), Pt(10, 5), Pt(10, 5)},
		{Pt(10, 5), Pt(10, 5), Pt(5, 2), Pt(5, 2)}, {Pt(5, 2), Pt(5, 2), Pt(0, 5), Pt(0, 5)}, {Pt(0, 5), Pt(0, 5), Pt(0, 0), Pt(0, 0)}}}
	r, at = lazy.TightestInside()
	assert.Zero(t, r)
	assert.Equal(t, Pt(5, 2), at)
}

// Steiner's formula: a convex ring moved out by d grows by P d + π d².
func TestOffset(t *testing.T) {
	box := Box{Pt(10, 20), Pt(110, 60)}.Polygon()
	for _, ring := range []Polygon{box, box.Reversed(), box.Moved(Turn(0.4))} {
		out := Offset(ring, 3)
		require.Len(t, out, 1)
		assert.InDelta(t, 4000+280*3+math.Pi*9, out[0].Area(), 0.5)
		in := Offset(ring, -3)
		require.Len(t, in, 1)
		assert.InDelta(t, 94*34, in[0].Area(), 0.05)
	}
	dumbbell := Polygon{Pt(0, 0), Pt(20, 0), Pt(20, 9), Pt(40, 9), Pt(40, 0), Pt(60, 0), Pt(60, 20), Pt(40, 20), Pt(40, 11), Pt(20, 11), Pt(20, 20), Pt(0, 20)}
	assert.Len(t, Offset(dumbbell, -2), 2, "the neck closes, two parts are left")
	assert.Empty(t, Offset(box, -30))
	assert.Nil(t, Offset(nil, 3))
	cshape := Polygon{Pt(0, 0), Pt(30, 0), Pt(30, 14), Pt(20, 14), Pt(20, 10), Pt(10, 10), Pt(10, 20), Pt(20, 20), Pt(20, 16), Pt(30, 16), Pt(30, 30), Pt(0, 30)}
	parts := Offset(cshape, 2)
	require.Len(t, parts, 2, "the mouth closes and leaves a hole")
	assert.Negative(t, parts[1].Area())
}

func TestZeroValues(t *testing.T) {
	assert.True(t, EmptyBox().Empty())
	assert.False(t, Box{}.Empty())
	assert.Equal(t, Vec{}, Vec{}.Unit())
	assert.Equal(t, Vec3{}, Vec3{}.Unit())
	assert.Zero(t, Polygon(nil).Perimeter())
	assert.Empty(t, Path{}.Flatten(0.1))
	assert.Zero(t, Path{}.Length(0.1))
	assert.True(t, Path{}.Bounds().Empty())
	assert.Zero(t, Curve{}.Curvature(0))
	assert.False(t, Pt(math.NaN(), 0).Finite())
	assert.False(t, Pt(0, math.Inf(-1)).Finite())
}
