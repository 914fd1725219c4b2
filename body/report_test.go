package body_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret/measure"
)

func report(t testing.TB, s body.Spec, set body.Setting) (*body.Body, *body.Report) {
	b, err := body.Build(s)
	require.NoError(t, err)
	if set.Wood == nil {
		set.Wood = b.Uniform(600)
	}
	r, err := b.NewReport(set)
	require.NoError(t, err)
	return b, r
}

// The keys that other programs rely on.
func TestReportKeepsItsKeys(t *testing.T) {
	_, r := report(t, bench(), body.Setting{})
	text, err := json.Marshal(r)
	require.NoError(t, err)
	var got map[string]any
	require.NoError(t, json.Unmarshal(text, &got))
	for _, key := range []string{"area_mm2", "perimeter_mm", "length_mm", "width_mm", "mass_kg", "body_mass_kg",
		"centre_of_gravity_mm", "hang_angle_deg", "smallest_inside_radius_mm", "upper_bout_mm", "waist_mm", "lower_bout_mm"} {
		assert.Contains(t, got, key)
	}
	assert.Len(t, got["centre_of_gravity_mm"], 3)
}

// What lies on the centreline of a left-handed body lies at 0, not at −0.
func TestNoNegativeZero(t *testing.T) {
	s := bench()
	s.Hand = outline.LeftHanded
	_, r := report(t, s, body.Setting{})
	text, err := json.Marshal(r)
	require.NoError(t, err)
	assert.NotRegexp(t, `-0[,\]}]`, string(text))
}

// A disc: area πr², perimeter 2πr, no inside radius. Four cubic arcs stray
// from the circle by 0.03 % of the radius, hence the tolerances.
func TestReportOfADisc(t *testing.T) {
	const r, k = 150.0, 0.5522847498307936 // 4(√2−1)/3
	p := geom.Pt
	c := func(a, b, d, e geom.Point) geom.Curve { return geom.Curve{P0: a, P1: b, P2: d, P3: e} }
	s := body.Spec{Bridge: body.Bridge{Kind: body.NoBridge}, Outline: geom.Path{Closed: true, Curves: []geom.Curve{
		c(p(0, 0), p(0, -k*r), p(r-k*r, -r), p(r, -r)),
		c(p(r, -r), p(r+k*r, -r), p(2*r, -k*r), p(2*r, 0)),
		c(p(2*r, 0), p(2*r, k*r), p(r+k*r, r), p(r, r)),
		c(p(r, r), p(r-k*r, r), p(0, k*r), p(0, 0)),
	}}}
	_, rep := report(t, s, body.Setting{})
	assert.InEpsilon(t, math.Pi*r*r, rep.Area, 3e-4)
	assert.InEpsilon(t, 2*math.Pi*r, rep.Perimeter, 3e-4)
	assert.InDelta(t, 2*r, rep.Length, 1e-9)
	assert.InDelta(t, 2*r, rep.Width, 1e-9)
	assert.Nil(t, rep.SmallestInside)
}

// Mass and centre of gravity are sums; each part is added by hand here.
func TestReportAddsUp(t *testing.T) {
	s := bench()
	s.Finish.Thickness = -1
	s.Masses.Other = []body.Mass{{Name: "lead in the tail", Grams: 500, At: geom.Point3{X: 140, Y: 20, Z: -10}}}
	b, r := report(t, s, body.Setting{Moisture: 9})
	grams, u := r.BodyMass*1000, r.BodyMass*1000*r.BodyCG[0]
	hardware := 0.0
	for _, m := range b.Masses {
		grams, u, hardware = grams+m.Grams, u+m.Grams*m.At.X, hardware+m.Grams
	}
	assert.InDelta(t, grams/1000, r.Mass, 1e-9)
	assert.InDelta(t, hardware/1000, r.Hardware, 1e-9)
	for _, p := range r.Parts {
		hardware -= p.Grams
	}
	assert.InDelta(t, 0, hardware, 1e-9, "the parts told are all there are")
	assert.InDelta(t, u/grams, r.CG[0], 1e-9)
	// At 9 % moisture 109 parts hold 100 dry ones.
	assert.InDelta(t, r.BodyMass/109, r.PerPoint, 1e-12)
}

// Each half of the body has its own moisture; a point more is a hundredth of
// the oven-dry wood.
func TestMoistureOfEachPiece(t *testing.T) {
	b, err := body.Build(bench())
	require.NoError(t, err)
	box := b.Ring.Bounds()
	half := func(v0, v1 float64) geom.Convex {
		return geom.Convex(geom.Box{Min: geom.Pt(box.Min.X-1, v0), Max: geom.Pt(box.Max.X+1, v1)}.Polygon())
	}
	r, err := b.NewReport(body.Setting{Wood: []body.DensityRegion{
		{Name: "dry", Ring: half(-400, 0), KgPerM3: 600, MoisturePct: 8},
		{Name: "usual", Ring: half(0, 400), KgPerM3: 400},
	}})
	require.NoError(t, err)
	dry := r.WoodByRegion[0].Grams/1.08 + r.WoodByRegion[1].Grams/1.12
	assert.InDelta(t, dry/1e5, r.PerPoint, 1e-12)
	assert.InDelta(t, 100*(r.BodyMass*1000-dry)/dry, r.Moisture, 1e-9)
	assert.Equal(t, [2]float64{8, 12}, r.MoistureSpan)
	var text strings.Builder
	require.NoError(t, r.Write(&text, measure.Millimetres))
	assert.Contains(t, text.String(), "at its pieces' moisture of 8 to 12 %")

	away, err := b.NewReport(body.Setting{})
	require.NoError(t, err)
	assert.Zero(t, away.PerPoint)
	assert.Equal(t, 12.0, away.Moisture)
	_, err = b.NewReport(body.Setting{Wood: b.Uniform(500), Moisture: 40})
	assert.ErrorContains(t, err, "moisture: 40 %; give 0 to 30")
}

// A pickup in the middle between scale point and fret 12 sits at a quarter of
// the string: on the first node of harmonic 4. Its outer strings are longer by
// their spread, which shifts nothing there, as the fraction is what counts.
func TestNodesUnderAPickup(t *testing.T) {
	s := bench()
	s.WireHoles = nil
	s.Pickups = []body.Pickup{{Name: "quarter", Kind: body.SingleCoil, Fraction: 0.25}, {Name: "off", Kind: body.SingleCoil, FromSaddle: 90}}
	b, _ := report(t, s, body.Setting{})
	found := false
	for _, n := range b.Nodes() {
		if n.Pickup == "quarter" && n.Harmonic == 4 {
			found = true
			assert.Equal(t, 1, n.Index)
			assert.InDelta(t, 0, n.Off, 1e-9)
		}
		// 90/648 of the string lies 2.57 mm from 1/7 and 9 mm from 1/8.
		if n.Pickup == "off" {
			assert.Equal(t, 7, n.Harmonic)
			assert.InDelta(t, 90-648.0/7, n.Off, 0.01)
		}
	}
	assert.True(t, found)
}

func TestReadableReport(t *testing.T) {
	s := bench()
	s.Cavities[0].Depth = 43
	_, r := report(t, s, body.Setting{})
	var out bytes.Buffer
	require.NoError(t, r.Write(&out, measure.Millimetres))
	text := out.String()
	assert.Contains(t, text, "strung instrument")
	assert.Contains(t, text, "12 % moisture")
	assert.Contains(t, text, "FAIL  control cavity top: 1.5 mm of wood over the control cavity; margin 1.5 mm, need 3 mm")
	assert.Less(t, strings.Index(text, "FAIL"), strings.Index(text, "ok    "), "trouble first")
	assert.False(t, r.OK)
}

// A lighter set of tuners never makes the neck hang lower.
func TestWhatIfs(t *testing.T) {
	_, r := report(t, bench(), body.Setting{})
	require.NotNil(t, r.HangAngle)
	seen := 0
	for _, w := range r.WhatIfs {
		if strings.HasPrefix(w.Change, "tuners") {
			seen++
			assert.Greater(t, w.Angle, *r.HangAngle)
			assert.Less(t, *w.LevelFriction, *r.LevelFriction)
		}
		if strings.Contains(w.Change, "pull alike") {
			seen++
		}
	}
	assert.Equal(t, 2, seen)
}

// strips is a slab of n strips of two woods along the body.
func strips(b *body.Body, n int) []body.DensityRegion {
	box := b.Ring.Bounds().Grow(5)
	var out []body.DensityRegion
	for i := range n {
		v0, v1 := box.Min.Y+box.Height()*float64(i)/float64(n), box.Min.Y+box.Height()*float64(i+1)/float64(n)
		out = append(out, body.DensityRegion{
			Name: fmt.Sprint("strip ", i+1), KgPerM3: 400 + 300*float64(i%2),
			Ring: geom.Convex(geom.Box{Min: geom.Pt(box.Min.X, v0), Max: geom.Pt(box.Max.X, v1)}.Polygon())})
	}
	return out
}

// Cutting one wood into many strips changes nothing.
func TestStripsOfOneWoodWeighLikeOnePiece(t *testing.T) {
	s := bench()
	s.Edges = body.Edges{FrontRadius: 6, BackRadius: 6}
	s.Contours = []body.Contour{{Kind: body.ForearmBevel, At: geom.Pt(90, -70), Along: geom.V(-1, 0.3), Depth: 12, Reach: 60}}
	b, whole := report(t, s, body.Setting{})
	cut := strips(b, 23)
	for i := range cut {
		cut[i].KgPerM3 = 600
	}
	_, r := report(t, s, body.Setting{Wood: cut})
	assert.InDelta(t, whole.BodyMass, r.BodyMass, 1e-9)
	assert.InDelta(t, whole.BodyCG[1], r.BodyCG[1], 1e-6)
	assert.InDelta(t, 0, r.UncoveredMM2, 1e-6)
	assert.Len(t, r.WoodByRegion, 23)
}

// A full report: measures, weight over strips of two woods, balance and all
// checks.
func BenchmarkReport(b *testing.B) {
	for _, n := range []int{1, 15, 40} {
		b.Run(fmt.Sprintf("strips=%d", n), func(b *testing.B) {
			s := bench()
			s.Edges = body.Edges{FrontRadius: 3, BackRadius: 3}
			made, err := body.Build(s)
			require.NoError(b, err)
			set := body.Setting{Wood: strips(made, n)}
			for b.Loop() {
				if _, err := made.NewReport(set); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// With a bevel, a belly cut and an arched top on 15 strips.
func BenchmarkReportCarved(b *testing.B) {
	s := bench()
	s.Edges = body.Edges{FrontRadius: 3, BackRadius: 3}
	s.Contours = []body.Contour{
		{Kind: body.ForearmBevel, At: geom.Pt(60, -110), Along: geom.V(-1, 0.2)},
		{Kind: body.BellyCut, At: geom.Pt(-60, -110), Along: geom.V(-1, 0), Hollow: true},
		{Kind: body.ArchedTop, At: geom.Pt(-20, 0), RadiusAcross: 4000},
	}
	made, err := body.Build(s)
	require.NoError(b, err)
	set := body.Setting{Wood: strips(made, 15)}
	for b.Loop() {
		if _, err := made.NewReport(set); err != nil {
			b.Fatal(err)
		}
	}
}

// The same with its joints leaning by 3°: a body tilted in its slab.
func BenchmarkReportTilted(b *testing.B) {
	s := bench()
	s.Edges = body.Edges{FrontRadius: 3, BackRadius: 3}
	made, err := body.Build(s)
	require.NoError(b, err)
	set := body.Setting{Wood: strips(made, 15)}
	for i := range set.Wood {
		set.Wood[i].Lean = geom.V(0.01, 0.05)
	}
	for b.Loop() {
		if _, err := made.NewReport(set); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBuild(b *testing.B) {
	s := bench()
	for b.Loop() {
		if _, err := body.Build(s); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCheck(b *testing.B) {
	made, err := body.Build(bench())
	require.NoError(b, err)
	for b.Loop() {
		made.Check()
	}
}

// What both outer strings have alike is told once.
func TestNodesOfBothStringsAreToldOnce(t *testing.T) {
	s := bench()
	s.WireHoles, s.Unit = nil, measure.Inches
	s.Pickups = []body.Pickup{{Name: "quarter", Kind: body.SingleCoil, Fraction: 0.25}}
	_, r := report(t, s, body.Setting{})
	var out bytes.Buffer
	require.NoError(t, r.Write(&out, measure.Inches))
	assert.Equal(t, 1, strings.Count(out.String(), "harmonic 4:"))
	assert.Contains(t, out.String(), "it lies on that node, at 1/4 of strings 1 and 6 from the saddle")
	assert.Contains(t, out.String(), " oz over ")
	assert.Contains(t, out.String(), "cavities and the neck pocket stay bare")
	assert.NotContains(t, out.String(), " g ")
	assert.NotContains(t, out.String(), "mm")
	assert.NotContains(t, out.String(), "kg")
	assert.Contains(t, out.String(), "tuners 0.5 oz lighter each")
	assert.Len(t, r.Nodes, 2)
}
