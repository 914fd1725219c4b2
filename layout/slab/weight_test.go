package slab

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
)

// A plain bar, weighed by hand: 1000 × 100 × 40 mm of walnut at 12 %,
// 1000·0.55·1.12 kg/m³. A chamber 300 mm long with 5 mm skins takes out
// 300 × 100 × 30 mm³. Edges of 10 mm take (1 − π/4)·10² mm² along every edge,
// less what the four mitred corners count twice: with the drop e = r·E(d/r),
// the two strips overlap there and the deeper drop holds.
func TestWeightOfAPlainBar(t *testing.T) {
	s := &Slab{
		Length:  1000,
		Strips:  []Strip{{Pieces: []Piece{{Wood: "black-walnut", Thickness: 100}}}},
		Profile: Profile{Top: []Station{{0, 40}}},
	}
	require.NoError(t, s.Check())
	w := s.Weight()
	assert.InDelta(t, 4e6, w.VolumeBeforeMm3, 1e-6)
	assert.InDelta(t, 4e6*616e-6, w.BeforeG, 1e-9)
	assert.InDeltaSlice(t, []float64{500, 0, 20}, w.CentreMm[:], 1e-9)
	s.Chambers = []Chamber{{From: 100, To: 400, TopSkin: 5, BottomSkin: 5, State: Planned}}
	w = s.Weight()
	assert.InDelta(t, 4e6-9e5, w.VolumeAfterMm3, 1e-6)
	assert.InDelta(t, 4e6, w.VolumeBeforeMm3, 1e-6)
	assert.InDelta(t, (4e6*500-9e5*250)/31e5, w.CentreMm[0], 1e-9)

	s.Chambers = nil
	s.Edge = Edge{TopRadius: 10}
	w = s.Weight()
	// Straight runs: 2200 mm. At a corner both edges' strips overlap in a
	// 10 mm square; the drop is that of the nearer edge, so the square keeps
	// 2·∬_{x<y} e(x) = 2 ∫ e(x) (r − x) dx and the runs counted 2 r ∫ e dx.
	// The surplus is 2 ∫ x e(x) dx.
	e := func(d float64) float64 { return 10 - math.Sqrt(20*d-d*d) }
	surplus := simpson(func(d float64) float64 { return 2 * d * e(d) }, 0, 10, 4000)
	want := 2200*(1-math.Pi/4)*100 - 4*surplus
	assert.InDelta(t, want, 4e6-w.VolumeBeforeMm3, 0.3)
	assert.InDelta(t, 4e6*616e-6, w.BeforeG+w.EdgeRoundingG, 1e-9)
}

// A round table top: the rounding of its edge by Pappus' theorem, as the
// integral of the drop over rings 2π(R − d).
func TestEdgeRoundingOfADisc(t *testing.T) {
	const R, r = 200, 25
	k := 4.0 / 3 * (math.Sqrt2 - 1) * R // the usual cubic arc, within 0.03 % of a circle
	c := geom.Pt(R, 0)
	at := func(x, y float64) geom.Point { return c.Add(geom.V(x, y)) }
	s := &Slab{
		Length:  2 * R,
		Strips:  []Strip{{Pieces: []Piece{{Wood: "teak", Thickness: 150}}}, {Pieces: []Piece{{Wood: "teak", Thickness: 250.2}}}},
		Profile: Profile{Top: []Station{{0, 60}}},
		Plan: Plan{Path: geom.Path{Closed: true, Curves: []geom.Curve{
			{P0: at(R, 0), P1: at(R, k), P2: at(k, R), P3: at(0, R)},
			{P0: at(0, R), P1: at(-k, R), P2: at(-R, k), P3: at(-R, 0)},
			{P0: at(-R, 0), P1: at(-R, -k), P2: at(-k, -R), P3: at(0, -R)},
			{P0: at(0, -R), P1: at(k, -R), P2: at(R, -k), P3: at(R, 0)},
		}}},
	}
	solid := s.Weight().VolumeBeforeMm3
	assert.InEpsilon(t, math.Pi*R*R*60, solid, 4e-4)
	s.Edge.TopRadius = r
	got := solid - s.Weight().VolumeBeforeMm3
	want := simpson(func(q float64) float64 { // d = q², to tame the root
		d := q * q
		return 2 * math.Pi * (R - d) * (r - math.Sqrt(2*r*d-d*d)) * 2 * q
	}, 0, 5, 4000)
	assert.InEpsilon(t, want, got, 4e-4)
	s.Edge.BottomRadius = r
	assert.InEpsilon(t, 2*want, solid-s.Weight().VolumeBeforeMm3, 4e-4)
	assert.InDelta(t, 30, s.Weight().CentreMm[2], 1e-6, "rounded alike above and below")
	s.Edge.BottomRadius = 0
	// The wood taken off lies between 60 − e and 60.
	moment := simpson(func(q float64) float64 {
		d := q * q
		e := r - math.Sqrt(2*r*d-d*d)
		return 2 * math.Pi * (R - d) * (60*e - e*e/2) * 2 * q
	}, 0, 5, 4000)
	w := s.Weight()
	assert.InDelta(t, (solid*30-moment)/w.VolumeBeforeMm3, w.CentreMm[2], 5e-4)
}

// A sharp wedge: along each side of a triangle the rounding runs between the
// bisectors of its corners, so
//
//	∬ e = perimeter · ∫ e dd − 2 Σ cot(A/2) · ∫ d e dd
//
// as long as the radius is no more than the inscribed circle's.
func TestEdgeRoundingOfAWedge(t *testing.T) {
	const r = 20
	for _, point := range []geom.Point{geom.Pt(1200, 0), geom.Pt(900, 90), geom.Pt(300, -100)} {
		ring := geom.Polygon{geom.Pt(0, -100), point, geom.Pt(0, 100)}.CCW()
		if ring.SelfCrossing(); math.Abs(ring.Area()) < 2*r*ring.Perimeter()/2 {
			t.Fatal("the inscribed circle is too small for this test")
		}
		s := &Slab{
			Length:  1200,
			Strips:  []Strip{{Pieces: []Piece{{Wood: "teak", Thickness: 70}}}, {Pieces: []Piece{{Wood: "teak", Thickness: 130}}}},
			Profile: Profile{Top: []Station{{0, 60}}},
			Plan:    Plan{Path: geom.PathOf(ring)},
		}
		require.NoError(t, s.Check())
		solid := s.Weight().VolumeBeforeMm3
		s.Edge.TopRadius = r
		got := solid - s.Weight().VolumeBeforeMm3
		cot := 0.0
		for i, a := range ring {
			u, v := ring[(i+1)%3].Sub(a), ring[(i+2)%3].Sub(a)
			cot += 1 / math.Tan(math.Atan2(math.Abs(u.Cross(v)), u.Dot(v))/2)
		}
		e := func(d float64) float64 { return r - math.Sqrt(2*r*d-d*d) }
		i1 := simpson(func(q float64) float64 { return q * q * e(q*q) * 2 * q }, 0, math.Sqrt(r), 2000)
		want := ring.Perimeter()*(1-math.Pi/4)*r*r - 2*cot*i1
		assert.InDelta(t, want, got, 1e-4*want)
		assert.LessOrEqual(t, math.Abs(want-got), s.Weight().VolumeUncertainMm3, "the stated bound holds")
	}
}

func simpson(f func(float64) float64, a, b float64, n int) float64 {
	h := (b - a) / float64(n)
	sum := f(a) + f(b)
	for i := 1; i < n; i++ {
		sum += f(a+h*float64(i)) * float64(2+2*(i%2))
	}
	return sum * h / 3
}

// At another moisture the dry wood stays and the water changes.
func TestWeightAtMoisture(t *testing.T) {
	s := bench()
	at12 := s.Weight()
	assert.InDelta(t, at12.BeforeG, s.WeightAt(12).BeforeG, 1e-9)
	assert.InDelta(t, at12.BeforeG*1.06/1.12, s.WeightAt(6).BeforeG, 1e-9)
	s.Strips[0].Pieces[0].Density, s.Strips[0].Pieces[0].Moisture = 500, 20
	own, dry := s.Weight(), s.WeightAt(0)
	assert.InDelta(t, own.Pieces[0].BeforeG/1.2, dry.Pieces[0].BeforeG, 1e-9)
}

// slowWeight integrates the same model in the obvious way: columns of wood on
// a fine grid, ny across each strip, each with the distance to the outline and
// the roof found by trial.
func slowWeight(s *Slab, nx, ny int) (before, after map[[2]int]float64, centre [3]float64) {
	before, after = map[[2]int]float64{}, map[[2]int]float64{}
	ring := s.Outline().Polygon(0.005)
	box := ring.Bounds()
	cells := s.Cells()
	dx := box.Width() / float64(nx)
	r := math.Max(math.Max(s.Edge.TopRadius, s.Edge.BottomRadius), math.Max(s.Edge.TopChamfer, s.Edge.BottomChamfer))
	drop := func(r, c, d float64) float64 {
		switch {
		case d < r:
			return r - math.Sqrt(r*r-(r-d)*(r-d))
		case d < c:
			return c - d
		}
		return 0
	}
	mass := 0.0
	for i := range nx {
		x := box.Min.X + (float64(i)+0.5)*dx
		low, high := math.Inf(1), math.Inf(-1) // the outlines drawn here have no bays
		for k, a := range ring {
			if b := ring[(k+1)%len(ring)]; (a.X > x) != (b.X > x) {
				y := a.Y + (b.Y-a.Y)*(x-a.X)/(b.X-a.X)
				low, high = math.Min(low, y), math.Max(high, y)
			}
		}
		roofs, floors := make([]float64, len(s.Chambers)), make([]float64, len(s.Chambers))
		for k, c := range s.Chambers {
			if x > c.From && x < c.To {
				roofs[k], floors[k] = slowRoof(s, x, c.TopSkin), slowFloor(s, x, c.BottomSkin)
			}
		}
		var close geom.Polygon // both ends of each edge near this row of columns
		for k, a := range ring {
			if b := ring[(k+1)%len(ring)]; math.Min(a.X, b.X) < x+r && math.Max(a.X, b.X) > x-r {
				close = append(close, a, b)
			}
		}
		for j := range ny * len(s.Strips) {
			y0, y1 := s.Band(j / ny)
			y0, y1 = math.Max(y0, low), math.Min(y1, high)
			dy := (y1 - y0) / float64(ny)
			if dy <= 0 {
				continue
			}
			p := geom.Pt(x, y0+(float64(j%ny)+0.5)*dy)
			d := math.Inf(1)
			for k := 0; k < len(close); k += 2 {
				e, _ := geom.PointSegment(p, close[k], close[k+1])
				d = math.Min(d, e)
			}
			var cell Cell
			for _, c := range cells {
				if geom.Polygon(c.Region).Locate(p) != geom.Outside {
					cell = c
					break
				}
			}
			top, bottom := s.TopAt(x)-drop(s.Edge.TopRadius, s.Edge.TopChamfer, d), s.BottomAt(x)+drop(s.Edge.BottomRadius, s.Edge.BottomChamfer, d)
			key := [2]int{cell.Strip, cell.Piece}
			before[key] += (top - bottom) * dx * dy
			v, z := top-bottom, (top*top-bottom*bottom)/2
			for k, c := range s.Chambers {
				if y0, y1 := s.Band(c.Strip); x > c.From && x < c.To && p.Y > y0 && p.Y < y1 {
					roof, floor := roofs[k], floors[k]
					v -= roof - floor
					z -= (roof*roof - floor*floor) / 2
				}
			}
			after[key] += v * dx * dy
			rho := s.Density(cell.Wood) * 1e-6 * dx * dy
			mass += rho * v
			centre[0] += rho * v * x
			centre[1] += rho * v * p.Y
			centre[2] += rho * z
		}
	}
	for k := range centre {
		centre[k] /= mass
	}
	return before, after, centre
}

// goesOn is a face that runs straight on beyond the slab's ends.
func goesOn(face Spline, length, x float64) float64 {
	q := math.Max(0, math.Min(length, x))
	return face.At(q) + face.SlopeAt(q)*(x-q)
}

// slowRoof is the lowest point of a circle's upper half rolled under the top.
func slowRoof(s *Slab, x, skin float64) float64 {
	best := math.Inf(1)
	for k := -400; k <= 400; k++ {
		u := skin * float64(k) / 400
		best = math.Min(best, goesOn(s.Profile.Top, s.Length, x+u)-math.Sqrt(skin*skin-u*u))
	}
	return best
}

func slowFloor(s *Slab, x, skin float64) float64 {
	best := math.Inf(-1)
	for k := -400; k <= 400; k++ {
		u := skin * float64(k) / 400
		best = math.Max(best, goesOn(s.Profile.Bottom, s.Length, x+u)+math.Sqrt(skin*skin-u*u))
	}
	return best
}

// Random slabs, pieces and all, against slowWeight. The columns are some
// 3 × 2 mm; those cut by a chamber's end or a joint are all in or all out, and
// the steep start of an edge rounding is seen coarsely.
func TestWeightAgainstColumns(t *testing.T) {
	draw := slabs()
	const nx = 500
	for seed := range 6 {
		s := draw.Example(seed)
		s.Chambers = PlanChambers(s, DefaultChamberRules(), nil)
		require.NoError(t, s.Check())
		w := s.Weight()
		before, after, centre := slowWeight(s, nx, 16)
		b, a := 0.0, 0.0
		for _, p := range w.Pieces {
			key := [2]int{p.Strip, p.Piece}
			b += before[key]
			a += after[key]
			// A joint across the strip may be half a column off at each end.
			limit := 4e-3*p.VolumeBeforeMm3 + s.Length/nx*s.Strips[p.Strip].Thickness()*60
			assert.InDelta(t, before[key], p.VolumeBeforeMm3, limit, "seed %d, %s", seed, p.Name)
			assert.InDelta(t, after[key], p.VolumeAfterMm3, limit, "seed %d, %s", seed, p.Name)
		}
		assert.InEpsilon(t, b, w.VolumeBeforeMm3, 1e-3, "seed %d", seed)
		assert.InEpsilon(t, a, w.VolumeAfterMm3, 2e-3, "seed %d", seed)
		for k := range centre {
			assert.InDelta(t, centre[k], w.CentreMm[k], 0.5, "seed %d", seed)
		}
	}
}

// Without edge rounding and chambers the volume is a plain integral of width
// times thickness along x, which Simpson's rule finds to many digits.
func TestVolumeAgainstSimpson(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		s.Edge = Edge{}
		if len(s.Plan.Stations) == 0 || s.Plan.StartRounded || s.Plan.EndRounded {
			return // √ at a nose spoils Simpson's rule
		}
		want := 0.0
		cuts := s.profileCuts(s.Plan.Stations[0].X, s.Length)
		cuts = sortedUnique(Spline(s.Plan.Stations).knots(cuts, 0, s.Length))
		for i := 0; i+1 < len(cuts); i++ {
			// Degree 6 between stations: n panels of Simpson leave h⁴.
			want += simpson(func(x float64) float64 { return 2 * s.Plan.HalfBreadthAt(x) * (s.TopAt(x) - s.BottomAt(x)) }, cuts[i]+1e-12, cuts[i+1]-1e-12, 400)
		}
		got := s.Weight()
		if math.Abs(got.VolumeBeforeMm3-want) > 1e-6*want+0.5 {
			t.Fatalf("%.3f, Simpson says %.3f", got.VolumeBeforeMm3, want)
		}
		if d := math.Abs(got.VolumeBeforeMm3 - want); d > got.VolumeUncertainMm3+1e-9*want {
			t.Fatalf("off by %g mm³, more than the %g stated", d, got.VolumeUncertainMm3)
		}
	})
}

// The roof is a skin away from the top everywhere and touches that distance:
// also where the top bends tighter than the gauge.
func TestRoofIsASkinAway(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		if rapid.Bool().Draw(t, "tight") {
			s.Profile.Top = []Station{{0, 60}, {100, 60}, {104, 66}, {108, 60}, {s.Length, 90}}
		}
		f := s.field()
		skin := rapid.Float64Range(2, 12).Draw(t, "skin")
		for range 10 {
			x := rapid.Float64Range(0, s.Length).Draw(t, "x")
			if rapid.Bool().Draw(t, "near the bump") {
				x = 90 + math.Mod(x, 30)
			}
			if got, want := f.roof(x, skin), slowRoof(s, x, skin); math.Abs(got-want) > 2e-3 || got > want+1e-6 {
				t.Fatalf("roof at %g is %g, by trial %g", x, got, want)
			}
			if got, want := f.floor(x, skin), slowFloor(s, x, skin); math.Abs(got-want) > 2e-3 || got < want-1e-6 {
				t.Fatalf("floor at %g is %g, by trial %g", x, got, want)
			}
		}
	})
}
