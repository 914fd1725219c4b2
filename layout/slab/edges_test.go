package slab

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
)

// The octagon in a square: the first chamfer leaves each face r(2 − √2) from
// the corner, the second round's flats meet it where sixteen sides would.
func TestChamferLines(t *testing.T) {
	s := plain(3, 60, 800, 50)
	s.Edge = Edge{TopRadius: 10}
	edges := s.Edges()
	require.Len(t, edges, 1)
	first := edges[0].Rounds[0].Flats
	require.Len(t, first, 1)
	d := 10 * (2 - math.Sqrt2)
	assert.InDelta(t, 0, first[0].FromInMm, 1e-9)
	assert.InDelta(t, d, first[0].FromDownMm, 1e-9)
	assert.InDelta(t, d, first[0].ToInMm, 1e-9)
	assert.InDelta(t, 0, first[0].ToDownMm, 1e-9)
	assert.InDelta(t, 45, first[0].AngleDeg, 1e-9)
	// All flats of the second round stay outside the arc and within half a
	// percent of a sixteen-sided ring's sagitta: r(1/cos(π/16) − 1).
	for _, f := range edges[0].Rounds[1].Flats {
		for _, p := range [][2]float64{{f.FromInMm, f.FromDownMm}, {f.ToInMm, f.ToDownMm}} {
			gap := math.Hypot(10-p[0], 10-p[1]) - 10
			assert.GreaterOrEqual(t, gap, -1e-9)
			assert.Less(t, gap, 10*(1/math.Cos(math.Pi/16)-1)+1e-9)
		}
	}
	// A chamber 12 mm in from the side under a skin of 4 mm keeps 4 mm to the
	// face; one that begins 6 mm in comes within 10 − √(4² + 6²) of the round.
	s.Chambers = []Chamber{{Strip: 1, From: 12, To: 300, TopSkin: 4, BottomSkin: 4, State: Cut}}
	assert.InDelta(t, 4, s.Edges()[0].LeastWoodMm, 1e-9)
	s.Chambers[0].From = 6
	e := s.Edges()[0]
	assert.InDelta(t, 10-math.Hypot(4, 6), e.LeastWoodMm, 1e-9)
	assert.Equal(t, "chamber 1", e.Chamber)
}

// A chamfer of c takes c²/2 a length of edge off, less c³/3 a square corner,
// where the nearer side counts: a rectangle's frustum, which Heron's rule for a
// prismoid gives too, c/6 (A + 4 M + a) with M halfway down.
func TestChamferedEdges(t *testing.T) {
	const c = 14.0
	s := plain(3, 60, 800, 50)
	whole := s.Weight().VolumeBeforeMm3
	s.Edge = Edge{TopChamfer: c}
	require.NoError(t, s.Check())
	frustum := c / 6 * (800*180 + 4*(800-c)*(180-c) + (800-2*c)*(180-2*c))
	w := s.Weight()
	assert.InDelta(t, whole-800*180*c+frustum, w.VolumeBeforeMm3, 1e-3)
	e := s.Edges()
	require.Len(t, e, 1)
	assert.Equal(t, c, e[0].ChamferMm)
	assert.Equal(t, []ChamferRound{{[]ChamferFlat{{FromDownMm: c, ToInMm: c, AngleDeg: 45}}}}, e[0].Rounds)
	assert.InDelta(t, 50-c, e[0].SideMm, 1e-9)
	// The eased surface is √2 c wide in place of 2 c of face and side.
	rules := DefaultFinishRules()
	flat := *s
	flat.Edge = Edge{}
	assert.InDelta(t, 2*(800+180)*c*(math.Sqrt2-2), s.Finish(rules).CoatedMm2-flat.Finish(rules).CoatedMm2, 1e-6)

	// A chamber 15 mm in from the side under a skin of 4 mm comes within
	// (15 + 4 − 14)/√2 of it; planned ones keep a skin.
	s.Chambers = []Chamber{{Strip: 1, From: 15, To: 300, TopSkin: 4, BottomSkin: 4, State: Cut}}
	assert.InDelta(t, 5/math.Sqrt2, s.Edges()[0].LeastWoodMm, 1e-9)
	big, reserved := wide(24)
	big.Edge = Edge{TopChamfer: 25, BottomChamfer: 4}
	chambers := DefaultChamberRules()
	chambers.Wall = 10
	big.Chambers = PlanChambers(big, chambers, reserved)
	require.NotEmpty(t, big.Chambers)
	for _, e := range big.Edges() {
		assert.GreaterOrEqual(t, e.LeastWoodMm, 6-0.03, e.Face)
	}
}

// The covering edge takes off no less than a chamfer, at any distance.
func TestCoveringEdgeCovers(t *testing.T) {
	const c = 10.0
	r := Edge{TopChamfer: c}.Covering().TopRadius
	for d := 0.0; d < c; d += 0.05 {
		assert.GreaterOrEqual(t, r-math.Sqrt(r*r-(r-d)*(r-d)), c-d-1e-9)
	}
	assert.Equal(t, Edge{TopRadius: 3, BottomRadius: 4}, Edge{TopRadius: 3, BottomRadius: 4}.Covering())
}

// Planned chambers keep at least a skin to the rounded edge.
func TestChambersKeepASkinToRoundedEdges(t *testing.T) {
	s, reserved := wide(24)
	s.Edge = Edge{TopRadius: 30, BottomRadius: 4}
	rules := DefaultChamberRules()
	rules.Wall = 10
	s.Chambers = PlanChambers(s, rules, reserved)
	require.NotEmpty(t, s.Chambers)
	for _, e := range s.Edges() {
		assert.GreaterOrEqual(t, e.LeastWoodMm, 6-0.03, e.Face)
	}
}

func TestFittings(t *testing.T) {
	s := plain(5, 60, 1200, 50)
	s.Fittings = []Fitting{
		{Kind: "hanger", At: geom.Pt(200, 0), Radius: 40, Mass: 120, Carries: true, Forbids: true},
		{Kind: "hanger", At: geom.Pt(1000, 0), Radius: 40, Mass: 120, Carries: true},
		{Name: "leaf", Kind: "inlay", Ring: geom.Polygon{geom.Pt(500, 10), geom.Pt(600, 20), geom.Pt(550, 60)}, Mass: 15},
	}
	require.NoError(t, s.Check())
	require.Len(t, s.Obstacles(), 1, "only what forbids the instrument")
	assert.True(t, s.Obstacles()[0].WholeThrough)
	r := s.FittingsReport(10000, 4)
	assert.InDelta(t, 255, r.MassG, 1e-12)
	assert.InDelta(t, 10.255*9.80665*4, r.EachN, 1e-9, "either of two must hold alone")
	for _, c := range PlanChambers(s, DefaultChamberRules(), nil) {
		y0, y1 := s.Band(c.Strip)
		box := geom.Convex(geom.Bounds(geom.Pt(c.From, y0), geom.Pt(c.To, y1)).Polygon())
		for _, f := range s.Fittings {
			assert.Zero(t, f.ring().CCW().ClippedTo(box).Area(), c.Name)
		}
	}
	s.Fittings[0].Radius = 0
	assert.ErrorContains(t, s.Check(), "rule 12")
	s.Fittings[0].Radius, s.Fittings[0].Mass = 5, -1
	assert.ErrorContains(t, s.Check(), "mass")
}

// A flat slab by hand: 1000 × 200 × 50 mm, edges of 10 mm above.
func TestFinishAmounts(t *testing.T) {
	s := plain(5, 40, 1000, 50)
	s.Edge = Edge{TopRadius: 10}
	rules := DefaultFinishRules()
	require.NoError(t, rules.Check())
	f := s.Finish(rules)
	assert.InDelta(t, 200000-2400*10, f.TopMm2, 1)
	assert.InDelta(t, 200000, f.BottomMm2, 1e-3)
	assert.InDelta(t, 2400*50+2400*10*(math.Pi/2-1), f.SidesMm2, 1e-3)
	wet := f.CoatedMm2 * 0.12 * 1.1e-3
	assert.InDelta(t, 1.2*wet, f.CoatG, 1e-9)
	assert.InDelta(t, 3*wet, f.DryG, 1e-9)
	assert.Equal(t, 1, f.Batches)
	rules.LargestMixG = 20
	assert.Equal(t, int(math.Ceil(1.2*wet/20)), s.Finish(rules).Batches)
	rules.DensityGMl = 0
	assert.Error(t, rules.Check())
	// A tilted top: 3-4-5 has 5/4 of the area along its slope.
	s.Edge = Edge{}
	s.Profile = Profile{Top: []Station{{0, 50}, {1000, 800}}}
	assert.InDelta(t, 1.25*200000, s.Finish(DefaultFinishRules()).TopMm2, 1e-3)
}

// A plain bar as a beam: span 900 of 1000 mm, 100 × 50 mm, sag P L³/(48 E I),
// stress P L/4 over W; hollowed to two skins it keeps the I of what is left.
func TestBendingOfABar(t *testing.T) {
	s := &Slab{Length: 1000, Strips: []Strip{{Pieces: []Piece{{Wood: "sitka-spruce", Thickness: 100}}}}, Profile: Profile{Top: []Station{{0, 50}}}}
	const e, mor = 10800.0, 70.0
	i := 100 * 50.0 * 50 * 50 / 12
	b := s.Strength(0, 1000, nil).Bending
	assert.InEpsilon(t, 1000*900.0*900*900/(48*e*i), b.SagMm, 1e-3)
	assert.InEpsilon(t, 1000*900.0/4/(i/25), b.StressMpa, 1e-2)
	assert.InEpsilon(t, b.StressMpa/mor, b.UsedOfMOR, 1e-12)
	assert.InDelta(t, 500, b.WeakestMm, 10)
	s.Chambers = []Chamber{{From: 1, To: 999, TopSkin: 10, BottomSkin: 10, State: Cut}}
	hollow := s.Strength(0, 1000, nil).Bending
	assert.InEpsilon(t, b.SagMm*i/(i-100*30.0*30*30/12), hollow.SagMm, 1e-6)
	// A hole of half the width in the middle doubles the stress there.
	s.Chambers = nil
	hole := s.Strength(0, 1000, geom.Bounds(geom.Pt(300, -25), geom.Pt(700, 25)).Polygon()).Bending
	assert.InEpsilon(t, 2*b.StressMpa, hole.StressMpa, 1e-6)
	through := s.Strength(0, 1000, geom.Bounds(geom.Pt(300, -60), geom.Pt(700, 60)).Polygon())
	assert.Contains(t, through.Notes[0], "no wood across")
}

// Sag of a simply supported isotropic plate under a point load in its middle,
// w = α P b²/D: α from Timoshenko and Woinowsky-Krieger, Theory of Plates and
// Shells (1959), table 23 (from memory). The plates here are so large that the
// patch is a point.
func TestPlateSagMatchesTimoshenko(t *testing.T) {
	for ratio, alpha := range map[float64]float64{1: 0.01160, 1.4: 0.01484, 2: 0.01651, 3: 0.01690} {
		got := plate(4000*ratio, 4000, 1e6, 1e6)
		assert.InEpsilon(t, alpha*4000*4000/1e6, got.sag, 2e-3, "ratio %g", ratio)
		turned := plate(4000, 4000*ratio, 1e6, 1e6)
		assert.InEpsilon(t, got.sag, turned.sag, 1e-12)
		assert.InEpsilon(t, got.along, turned.across, 1e-12)
	}
	// Stretching the plate by (Da/Db)^¼ along its stiffer side makes an
	// orthotropic plate out of an isotropic one of stiffness √(Da·Db)
	// (Huber); a patch is stretched too, but on a large plate it is a point.
	iso := plate(4000, 4000, 1e6, 1e6)
	ortho := plate(8000, 4000, 4e6, 0.25e6)
	assert.InEpsilon(t, iso.sag, ortho.sag/2, 2e-3, "twice the area for the same wave")
}

// Doubling a skin's thickness makes it eight times as stiff and four times as
// strong; neighbours that face each other span together.
func TestSkinStrength(t *testing.T) {
	s := plain(6, 50, 1000, 60)
	long := Chamber{Strip: 2, From: 100, To: 900, TopSkin: 5, BottomSkin: 6, State: Cut}
	s.Chambers = []Chamber{long}
	k := s.Strength(200, 0, nil).Skins[0]
	assert.Equal(t, 50.0, k.AcrossMm)
	assert.Equal(t, 800.0, k.SpanMm)
	assert.InEpsilon(t, 200/k.BreaksAtN, k.LoadToBreak, 1e-12)
	long.TopSkin, long.BottomSkin = 10, 10
	s.Chambers = []Chamber{long}
	thick := s.Strength(200, 0, nil).Skins[0]
	assert.InEpsilon(t, k.SagMm/8, thick.SagMm, 1e-9)
	assert.InEpsilon(t, 4*k.BreaksAtN, thick.BreaksAtN, 1e-9)
	long.Strip = 3
	s.Chambers = append(s.Chambers, long)
	both := s.Strength(200, 0, nil).Skins[0]
	assert.Equal(t, 100.0, both.AcrossMm)
	assert.Greater(t, both.SagMm, thick.SagMm)
}
