package body

import (
	"math"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	g "slabwright/body/geom"
)

// plank is an outline of the given size whose neck end is at u = 0 of its own
// frame. Off the origin in the body frame, and longer than wide, so that no
// mistake between u and v can hide.
func plank(length, width float64) g.Path {
	return g.PathOf(g.Box{Min: g.Pt(0, -width/2), Max: g.Pt(length, width/2)}.Polygon())
}

// bare builds a spec without bridge and jack, and takes the neck pocket and
// strap holes away, so that one thing at a time can be weighed.
func bare(t require.TestingT, s Spec) *Body {
	s.Bridge.Kind, s.Jack.None, s.GroundWire.None = NoBridge, true, true
	b, err := Build(s)
	require.NoError(t, err)
	var keep []Feature
	for _, f := range b.Features {
		if f.Kind != KindPocket {
			keep = append(keep, f)
		}
	}
	b.Features, b.Holes = keep, nil
	return b
}

// A plank of 400 × 300 × 44 mm: every volume below is a closed form.
func TestVolumesInClosedForm(t *testing.T) {
	const length, width, thick = 400.0, 300.0, 44.0
	whole := length * width * thick
	spec := func(f func(*Spec)) Spec {
		s := Spec{Outline: plank(length, width), Thickness: thick}
		f(&s)
		return s
	}
	corner := func(r float64) float64 { return (4 - math.Pi) * r * r } // what four round corners lack
	for _, c := range []struct {
		name string
		spec Spec
		gone float64
		tol  float64
	}{
		{"nothing taken", spec(func(*Spec) {}), 0, 1e-6},
		{"a cavity with round corners", spec(func(s *Spec) {
			s.Cavities = []Cavity{{At: g.Pt(0, 20), Length: 100, Width: 60, Depth: 30, CornerRadius: 8, Ledge: -1}}
		}), (100*60 - corner(8)) * 30, 100},
		{"its ledge counts only beyond the cavity", spec(func(s *Spec) {
			s.Cavities = []Cavity{{At: g.Pt(0, 20), Length: 100, Width: 60, Depth: 30, CornerRadius: 8, Ledge: 10, LedgeDepth: 3}}
		}), (100*60-corner(8))*30 + ((120*80-corner(18))-(100*60-corner(8)))*3, 100},
		{"two crossing channels count their crossing once", spec(func(s *Spec) {
			s.Channels = []Channel{
				{From: g.Pt(-50, 0), To: g.Pt(50, 0), Width: 10, Depth: 12},
				{From: g.Pt(0, -40), To: g.Pt(0, 40), Width: 10, Depth: 9},
			}
		}), (100*10+math.Pi*25)*12 + (80*10+math.Pi*25-100)*9, 20},
		{"a cavity from the front and one from the back, one over the other", spec(func(s *Spec) {
			s.Cavities = []Cavity{
				{At: g.Pt(0, 20), Length: 100, Width: 60, Depth: 30, CornerRadius: 8, Ledge: -1},
				{Face: Front, At: g.Pt(0, 20), Length: 50, Width: 40, Depth: 20, CornerRadius: 5, Ledge: -1},
			}
		}), (100*60-corner(8))*30 + (50*40-corner(5))*14, 100},
		{"a chamfer round a plank: its strips meet in mitres", spec(func(s *Spec) { s.Edges.FrontChamfer = 6 }),
			// ∫ h(d)·(perimeter − 8 d) dd over h = 6 − d
			18*(2*(length+width)) - 8*36, 1e-6},
		{"a round-over likewise", spec(func(s *Spec) { s.Edges.BackRadius = 6 }),
			// section (1 − π/4) r², first moment about the side (5/6 − π/4) r³
			(1-math.Pi/4)*36*2*(length+width) - 8*(5.0/6-math.Pi/4)*216, 0.05},
		{"a bevel across a whole end", spec(func(s *Spec) {
			s.Contours = []Contour{{Kind: ForearmBevel, At: g.Pt(100, 0), Along: g.V(0, -7), Depth: 10, Reach: 50}}
		}), bevelVolume(100, length, width, 10.0/50), 1e-6},
		{"a hollow belly cut", spec(func(s *Spec) {
			s.Contours = []Contour{{Kind: BellyCut, At: g.Pt(100, 0), Along: g.V(0, -1), Depth: 10, Reach: 50, Hollow: true}}
		}), hollowVolume(100, length, width, 10.0/2500), 1e-4},
		{"an arched top", spec(func(s *Spec) {
			s.Contours = []Contour{{Kind: ArchedTop, At: g.Pt(-60, 10), RadiusAlong: 2500, RadiusAcross: 900}}
		}), archVolume(length, width, -60, 10, 2500, 900), 1e-4},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := bare(t, c.spec)
			w, err := b.Weigh(b.Uniform(500))
			require.NoError(t, err)
			assert.InDelta(t, c.gone, whole-w.Volume, c.tol)
			assert.InDelta(t, w.Volume*500e-6, w.Grams, 1e-6)
			assert.Zero(t, w.Uncovered)
		})
	}
}

// The plank's tail end lies at u = joint + length.
func tailEnd(length float64) float64 { return -JointDistance(defaultScale, defaultJointFret) + length }

func bevelVolume(at, length, width, slope float64) float64 {
	d := tailEnd(length) - at
	return slope * d * d / 2 * width
}

func hollowVolume(at, length, width, curve float64) float64 {
	d := tailEnd(length) - at
	return curve * d * d * d / 3 * width
}

func archVolume(length, width, u0, v0, along, across float64) float64 {
	third := func(lo, hi float64) float64 { return (hi*hi*hi - lo*lo*lo) / 3 }
	end := tailEnd(length)
	return third(end-length-u0, end-u0)*width/(2*along) + third(-width/2-v0, width/2-v0)*length/(2*across)
}

// Two woods side by side: each half keeps its own density, and the centre of
// gravity moves toward the heavy one.
func TestEachWoodWeighsItsOwn(t *testing.T) {
	b := bare(t, Spec{Outline: plank(400, 300), Thickness: 40})
	far := 1000.0
	split := 30.0
	w, err := b.Weigh([]DensityRegion{
		{"light", g.Convex(g.Box{Min: g.Pt(-far, -far), Max: g.Pt(far, split)}.Polygon()), 400, 12, g.Vec{}},
		{"heavy", g.Convex(g.Box{Min: g.Pt(-far, split), Max: g.Pt(far, far)}.Polygon()), 900, 12, g.Vec{}},
	})
	require.NoError(t, err)
	light, heavy := 400*180*40*400e-6, 400*120*40*900e-6
	assert.InDelta(t, light, w.ByRegion[0].Grams, 1e-9)
	assert.InDelta(t, heavy, w.ByRegion[1].Grams, 1e-9)
	c := w.Centre()
	assert.InDelta(t, tailEnd(400)-200, c.X, 1e-9)
	assert.InDelta(t, (light*(-150+split)/2+heavy*(150+split)/2)/(light+heavy), c.Y, 1e-9)
	assert.InDelta(t, -20, c.Z, 1e-9)
}

func TestWoodThatDoesNotReachIsTold(t *testing.T) {
	b := bare(t, Spec{Outline: plank(400, 300), Thickness: 40})
	w, err := b.Weigh([]DensityRegion{{"half", g.Convex(g.Box{Min: g.Pt(-1000, 0), Max: g.Pt(1000, 500)}.Polygon()), 500, 12, g.Vec{}}})
	require.NoError(t, err)
	assert.InDelta(t, 400*150, w.Uncovered, 1e-6)
	_, err = b.Weigh([]DensityRegion{{"no wood", g.Convex(b.Ring), 0, 12, g.Vec{}}})
	assert.ErrorContains(t, err, "no wood")
}

// solid tells by looking at the parts one after the other whether there is
// wood at p: the slow and obvious answer to what Weigh integrates.
func solid(b *Body, p g.Point3) bool {
	plan := p.Plan()
	if p.Z > 0 || p.Z < -b.Thickness || b.Ring.Locate(plan) == g.Outside {
		return false
	}
	for _, s := range b.Shaped {
		if s.Face == Front && p.Z > -s.Drop(plan) || s.Face == Back && p.Z < -b.Thickness+s.Drop(plan) {
			return false
		}
	}
	for _, f := range b.Features {
		if p.Z < f.WTop && p.Z > f.Floor(p.X) && f.Ring.Locate(plan) != g.Outside {
			return false
		}
	}
	for _, h := range b.Holes {
		d := h.B.Sub(h.A)
		t := p.Sub(h.A).Dot(d) / d.Dot(d)
		if t >= 0 && t <= 1 && p.Distance(h.A.Add(d.Mul(t))) < h.Diameter/2 {
			return false
		}
	}
	low := map[Face]float64{}
	for _, s := range b.Shaped {
		low[s.Face] = math.Max(low[s.Face], s.Drop(plan))
	}
	eased := func(radius, chamfer, depth float64) bool { // below the carved face
		if depth > math.Max(radius, chamfer) {
			return false
		}
		d, _ := b.Ring.BoundaryDistance(plan)
		if chamfer > 0 {
			return d+depth < chamfer
		}
		return d < radius && math.Hypot(radius-d, radius-depth) > radius
	}
	return !eased(b.Edges.FrontRadius, b.Edges.FrontChamfer, -p.Z-low[Front]) && !eased(b.Edges.BackRadius, b.Edges.BackChamfer, p.Z+b.Thickness-low[Back])
}

// sampled weighs by looking at n places spread evenly through the body's box
// (an additive recurrence with the plastic number: Roberts, The unreasonable
// effectiveness of quasirandom sequences, 2018).
func sampled(b *Body, n int) (volume float64, centre g.Point3) {
	const phi = 1.2207440846057596 // the root of x⁴ = x + 1
	box := b.Ring.Bounds()
	step := [3]float64{1 / phi, 1 / phi / phi, 1 / phi / phi / phi}
	var sum g.Vec3
	hits := 0
	x := [3]float64{0.5, 0.5, 0.5}
	for range n {
		for k := range x {
			if x[k] += step[k]; x[k] >= 1 {
				x[k]--
			}
		}
		p := g.Point3{X: box.Min.X + x[0]*box.Width(), Y: box.Min.Y + x[1]*box.Height(), Z: -x[2] * b.Thickness}
		if solid(b, p) {
			hits++
			sum = sum.Add(g.Vec3{X: p.X, Y: p.Y, Z: p.Z})
		}
	}
	return float64(hits) / float64(n) * box.Width() * box.Height() * b.Thickness, g.Point3{}.Add(sum.Mul(1 / float64(hits)))
}

func TestWeighAgreesWithLookingAtEveryPlace(t *testing.T) {
	full := func(kind BridgeKind, more func(*Spec)) Spec {
		s := Spec{
			Outline: plank(400, 300),
			Neck:    NeckJoint{Angle: 0.03, HeadDepth: 5},
			Pickups: []Pickup{{Kind: Humbucking, FromSaddle: 44, Angle: 0.1}, {Kind: SingleCoil, FromSaddle: 150}},
			Bridge:  Bridge{Kind: kind, StringThrough: kind == FlatMount},
			Cavities: []Cavity{
				{At: g.Pt(62, 85), Length: 100, Width: 60},
				{Face: Front, At: g.Pt(60, -95), Length: 60, Width: 40, Depth: 20},
			},
			Pots:      []Pot{{At: g.Pt(60, 85)}},
			Channels:  []Channel{{From: g.Pt(-44, 0), To: g.Pt(-150, 0)}},
			Batteries: []Battery{{At: g.Pt(90, -100)}},
			WireHoles: []WireHole{{From: "pickup 1", To: "control cavity", Diameter: 10}},
		}
		more(&s)
		return s
	}
	for name, s := range map[string]Spec{
		"fixed bridge, strings through": full(FlatMount, func(*Spec) {}),
		"a jack half in a cavity's floor": full(FlatMount, func(s *Spec) {
			s.Cavities = []Cavity{{Name: "deep", At: g.Pt(62, -85), Depth: 30}, {Face: Front, At: g.Pt(39, 109), Length: 115, Width: 39, Turn: 2.05, Depth: 17.7, Ledge: 5, LedgeDepth: 1.5}}
			s.Pots, s.Batteries, s.WireHoles, s.Jack.Into = nil, nil, nil, "control cavity 2"
		}),
		"vibrato": full(Vibrato, func(s *Spec) { s.Edges = Edges{FrontRadius: 12, BackChamfer: 10} }),
		"bevel over a cavity, belly under another, edges": full(TwoPost, func(s *Spec) {
			s.Edges = Edges{FrontRadius: 10, BackRadius: 10}
			s.Contours = []Contour{
				{Kind: ForearmBevel, At: g.Pt(60, -80), Along: g.V(-1, 0.4), Depth: 14, Reach: 60},
				{Kind: BellyCut, At: g.Pt(0, -60), Along: g.V(-1, -0.2), Depth: 8, Reach: 60, Hollow: true},
			}
		}),
		"arch with a round edge": full(WrapOver, func(s *Spec) {
			s.Edges = Edges{FrontRadius: 14, BackChamfer: 4}
			s.Contours = []Contour{{Kind: ArchedTop, At: g.Pt(-40, 0), RadiusAlong: 3000, RadiusAcross: 700}}
		}),
	} {
		t.Run(name, func(t *testing.T) {
			b, err := Build(s)
			require.NoError(t, err)
			w, err := b.Weigh(b.Uniform(500))
			require.NoError(t, err)
			box := b.Ring.Bounds().Width() * b.Ring.Bounds().Height() * b.Thickness
			volume, centre := sampled(b, 400_000)
			// Even spreading leaves an error of a few hundred places in 400 000;
			// what is taken away here is a tenth to a quarter of the box.
			assert.InDelta(t, volume/box, w.Volume/box, 4e-4)
			got := w.Centre()
			assert.InDelta(t, centre.X, got.X, 0.15)
			assert.InDelta(t, centre.Y, got.Y, 0.15)
			assert.InDelta(t, centre.Z, got.Z, 0.03)
		})
	}
}

// The sweep's unions against an independent geometry library (simplefeatures,
// pure Go overlay), over random polygons that overlap.
func TestUnionsAgreeWithAnIndependentLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "rings")
		var rings []g.Polygon
		var theirs geom.Geometry
		for i := range n {
			ring := randomStar(t)
			rings = append(rings, ring)
			if i == 0 {
				theirs = toWKT(t, ring)
				continue
			}
			var err error
			theirs, err = geom.Union(theirs, toWKT(t, ring))
			require.NoError(t, err)
		}
		area, mu, mv := 0.0, 0.0, 0.0
		new(sweeper).sweep(rings, func(c cell) {
			a, u, v := c.moments()
			area, mu, mv = area+a, mu+u, mv+v
		})
		assert.InEpsilon(t, theirs.Area(), area, 1e-9)
		centre, ok := theirs.Centroid().XY()
		require.True(t, ok)
		assert.InDelta(t, centre.X, mu/area, 1e-6)
		assert.InDelta(t, centre.Y, mv/area, 1e-6)
	})
}

// randomStar is a ring round a random middle with corners at random distances:
// never convex for long, never meeting itself.
func randomStar(t *rapid.T) g.Polygon {
	f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	c := g.Pt(f("u", -50, 50), f("v", -50, 50))
	n := rapid.IntRange(3, 12).Draw(t, "corners")
	ring := make(g.Polygon, n)
	for i := range ring {
		a := 2 * math.Pi * (float64(i) + f("turn", 0, 0.8)) / float64(n)
		ring[i] = c.Add(g.Polar(f("reach", 5, 60), a))
	}
	return ring
}

func toWKT(t require.TestingT, ring g.Polygon) geom.Geometry {
	var xy []float64
	for i := range len(ring) + 1 {
		p := ring[i%len(ring)]
		xy = append(xy, p.X, p.Y)
	}
	poly := geom.NewPolygon([]geom.LineString{geom.NewLineString(geom.NewSequence(xy, geom.DimXY))})
	require.NoError(t, poly.Validate())
	return poly.AsGeometry()
}

// Clearances between rings, against the same library.
func TestGapsAndRoomAgreeWithAnIndependentLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := randomStar(t), randomStar(t).Moved(g.Shift(g.V(rapid.Float64Range(-200, 200).Draw(t, "du"), rapid.Float64Range(-200, 200).Draw(t, "dv"))))
		want, ok := geom.Distance(toWKT(t, a), toWKT(t, b))
		require.True(t, ok)
		got := ringGap(a, b).Value
		assert.InDelta(t, want, math.Max(0, got), 1e-9)

		// A star inside a large outline: the room is its distance to the line.
		outer := g.Regular(g.Pt(3, -7), 300, rapid.IntRange(3, 90).Draw(t, "sides"))
		s := newSide(outer)
		line := toWKT(t, outer).MustAsPolygon().ExteriorRing().AsGeometry()
		want, ok = geom.Distance(toWKT(t, a), line)
		require.True(t, ok)
		limit := rapid.Float64Range(1, 400).Draw(t, "limit")
		if room := s.room(a, limit).Value; want <= limit {
			assert.InDelta(t, want, room, 1e-9)
		} else {
			assert.True(t, math.IsInf(room, 1))
		}
		p := a[0]
		assert.InDelta(t, outer.Depth(p), s.depth(p), 1e-9)
	})
}

// The finished faces are where a plumb line through a body without cavities
// enters and leaves the wood.
func TestFacesBoundTheWood(t *testing.T) {
	b := bare(t, Spec{Outline: plank(400, 300),
		Edges: Edges{FrontRadius: 9, BackChamfer: 7},
		Contours: []Contour{
			{Kind: ForearmBevel, At: g.Pt(60, -80), Along: g.V(-1, 0.4), Depth: 14, Reach: 60},
			{Kind: BellyCut, At: g.Pt(0, -60), Along: g.V(-1, -0.2), Depth: 8, Reach: 60, Hollow: true},
			{Kind: ArchedTop, At: g.Pt(-40, 0), RadiusAcross: 900},
		}})
	rapid.Check(t, func(t *rapid.T) {
		box := b.Ring.Bounds().Grow(-1e-3)
		p := g.Pt(rapid.Float64Range(box.Min.X, box.Max.X).Draw(t, "u"), rapid.Float64Range(box.Min.Y, box.Max.Y).Draw(t, "v"))
		front, back := b.Faces(p)
		for w := -b.Thickness; w <= 0; w += 0.25 {
			if math.Abs(w-front) < 1e-9 || math.Abs(w-back) < 1e-9 {
				continue
			}
			assert.Equal(t, w < front && w > back, solid(b, at3(p, w)), "at w = %g between %g and %g", w, back, front)
		}
	})
}

// A plank of two woods whose joint leans by a tenth: the light wood's section
// is a trapezoid with a known middle.
func TestLeaningJoint(t *testing.T) {
	const far, split, lean, thick = 1000.0, 30.0, 0.1, 40.0
	b := bare(t, Spec{Outline: plank(400, 300), Thickness: thick})
	w, err := b.Weigh([]DensityRegion{
		{"light", g.Convex(g.Box{Min: g.Pt(-far, -far), Max: g.Pt(far, split)}.Polygon()), 400, 12, g.V(0, lean)},
		{"heavy", g.Convex(g.Box{Min: g.Pt(-far, split), Max: g.Pt(far, far)}.Polygon()), 900, 12, g.V(0, lean)},
	})
	require.NoError(t, err)
	// At height w the light wood reaches from v = −150 to v = 30 + w/10.
	front, back := 150+split, 150+split-lean*thick
	area := thick * (front + back) / 2
	assert.InDelta(t, 400*area*400e-6, w.ByRegion[0].Grams, 1e-9)
	assert.InDelta(t, 400*(300*thick-area)*900e-6, w.ByRegion[1].Grams, 1e-9)
	// Trapezoid: its centroid below the longer side.
	down := thick / 3 * (front + 2*back) / (front + back)
	assert.InDelta(t, -down, w.ByRegion[0].Centre().Z, 1e-3)
	across := (front*front + front*back + back*back) / (3 * (front + back))
	assert.InDelta(t, across-150, w.ByRegion[0].Centre().Y, 1e-3)
	assert.Zero(t, w.Uncovered)
}

// A carved body with cavities on both faces, steeply tilted in a slab of light
// and heavy strips, against looking at what stands at each place.
func TestLeaningWoodAgreesWithLookingAtEveryPlace(t *testing.T) {
	b, err := Build(Spec{
		Outline: plank(400, 300),
		Pickups: []Pickup{{Kind: Humbucking, FromSaddle: 60, Depth: 25}},
		Bridge:  Bridge{Kind: NoBridge},
		Cavities: []Cavity{
			{At: g.Pt(30, 80), Length: 130, Width: 80, Depth: 36},
			{Face: Front, At: g.Pt(30, -90), Length: 90, Width: 80, Depth: 30},
		},
		Edges: Edges{FrontRadius: 8},
		Contours: []Contour{
			{Kind: BellyCut, At: g.Pt(0, -40), Along: g.V(-1, -0.2), Depth: 14, Reach: 60},
			{Kind: ArchedTop, At: g.Pt(-40, 0), RadiusAlong: 3000, RadiusAcross: 900},
		},
	})
	require.NoError(t, err)
	box := b.Ring.Bounds()
	for _, lean := range []g.Vec{g.V(0.02, 0.16), g.V(-0.1, -0.12)} {
		var regions []DensityRegion
		turn := g.Turn(0.35) // askew, so that the grid below favours no side of a joint
		for i := range 16 {
			v := -360 + 45*float64(i)
			ring := g.Box{Min: g.Pt(-500, v), Max: g.Pt(500, v+45)}.Polygon()
			regions = append(regions, DensityRegion{"", g.Convex(ring.Moved(turn)), 300 + 900*float64(i%2), 12, lean})
		}
		w, err := b.Weigh(regions)
		require.NoError(t, err)
		// The grid's own error is that of a body of one wood, whose weight is
		// known: only what the two woods make of it is compared.
		even, err := b.Weigh(b.Uniform(750))
		require.NoError(t, err)
		var grams float64
		var moment g.Vec3
		const step = 2.5
		deep := b.Thickness / 45
		start := 0.0 // of the column's places, so that no level surface is favoured either
		for u := box.Min.X + step/2; u < box.Max.X; u += step {
			for v := box.Min.Y + step/2; v < box.Max.Y; v += step {
				start = math.Mod(start+math.Phi, 1)
				for z := -deep * start; z > -b.Thickness; z -= deep {
					p := g.Point3{X: u, Y: v, Z: z}
					if !solid(b, p) {
						continue
					}
					k := int(math.Floor((turn.Inverse().Apply(p.Plan().Add(lean.Mul(-z))).Y + 360) / 45))
					m := step * step * deep * (300 + 900*float64(k%2) - 750) * 1e-6
					grams += m
					moment = moment.Add(g.Vec3{X: p.X, Y: p.Y, Z: p.Z}.Mul(m))
				}
			}
		}
		assert.InDelta(t, grams, w.Grams-even.Grams, 1)
		got := w.Moments.Sub(even.Moments)
		assert.InDelta(t, moment.X, got.X, 250, "g·mm of some 190 000")
		assert.InDelta(t, moment.Y, got.Y, 250)
		assert.InDelta(t, moment.Z, got.Z, 30)
	}
}

// One wood weighs the same however its joints lean, whatever is carved and cut:
// by layers and quadrature as in closed form.
func TestLeaningChangesNothingInOneWood(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		s := Spec{Outline: plank(400, 300), Neck: NeckJoint{Angle: f("neck angle", -0.03, 0.05)},
			Bridge: Bridge{Kind: rapid.SampledFrom([]BridgeKind{FlatMount, TwoPost, WrapOver, Vibrato}).Draw(t, "bridge")},
			Edges:  Edges{FrontRadius: f("radius", 0, 15), BackChamfer: f("chamfer", 0, 15)}}
		for range rapid.IntRange(1, 3).Draw(t, "cavities") {
			s.Cavities = append(s.Cavities, Cavity{Face: rapid.SampledFrom([]Face{Front, Back}).Draw(t, "face"), Ledge: -1,
				At: g.Pt(f("u", -200, 120), f("v", -130, 130)), Length: f("length", 20, 120), Width: f("width", 20, 100), Turn: f("turn", 0, 3), Depth: f("depth", 2, 43)})
		}
		hollow := rapid.Bool()
		s.Contours = []Contour{
			{Kind: ArchedTop, At: g.Pt(f("crown u", -100, 50), f("crown v", -30, 30)), RadiusAcross: f("across", 600, 3000), RadiusAlong: f("along", 1500, 5000)},
			{Kind: ForearmBevel, At: g.Pt(f("bevel u", 0, 100), f("bevel v", -100, -40)), Along: g.V(-1, f("bevel turn", -0.5, 0.5)), Depth: f("bevel", 3, 10), Reach: 70, Hollow: hollow.Draw(t, "hollow")},
			{Kind: BellyCut, At: g.Pt(f("belly u", -100, 100), f("belly v", -90, -20)), Along: g.V(-1, f("belly turn", -0.5, 0.5)), Depth: f("belly", 3, 10), Reach: 70, Hollow: hollow.Draw(t, "hollow too")},
		}
		s.Contours = s.Contours[rapid.IntRange(0, 2).Draw(t, "without"):]
		b, err := Build(s)
		if err != nil {
			t.Skip(err)
		}
		wood := b.Uniform(500)
		level, err := b.Weigh(wood)
		require.NoError(t, err)
		wood[0].Ring = g.Convex(b.Ring.Bounds().Grow(20).Polygon())
		wood[0].Lean = g.V(f("lean u", -0.05, 0.05), f("lean v", -0.05, 0.05))
		leaning, err := b.Weigh(wood)
		require.NoError(t, err)
		assert.InDelta(t, level.Grams, leaning.Grams, 0.4)
		assert.InDelta(t, level.Centre().X, leaning.Centre().X, 0.05)
		assert.InDelta(t, level.Centre().Y, leaning.Centre().Y, 0.05)
		assert.InDelta(t, level.Centre().Z, leaning.Centre().Z, 0.02)
	})
}
