package slab

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
)

// bowed is five strips of 60 mm whose right side is a parabola of the given
// sagitta and whose left side runs straight, in by taper at the far end.
func bowed(length, sagitta, taper float64) *Slab {
	s := plain(5, 60, length, 50)
	y := -150 + sagitta
	right := geom.Curve{P0: geom.Pt(0, y), P1: geom.Pt(length/3, y-4*sagitta/3), P2: geom.Pt(2*length/3, y-4*sagitta/3), P3: geom.Pt(length, y)}
	far, near := geom.Pt(length, 150-taper), geom.Pt(0, 150)
	s.Plan = Plan{Path: geom.Path{Closed: true, Curves: []geom.Curve{right, geom.Line(right.P3, far), geom.Line(far, near), geom.Line(near, right.P0)}}}
	return s
}

// A parabola of height s over a chord L has the slope 4 s/L at its ends and
// the radius L²/8s at its vertex (any textbook of calculus).
func TestClampEdgesOfAParabola(t *testing.T) {
	const l, sagitta = 1200, 25
	s := bowed(l, sagitta, 0)
	require.NoError(t, s.Check())
	rules := DefaultGlueRules()
	g := s.GlueUp(rules)
	e := g.Steps[len(g.Steps)-1].Edges
	require.Len(t, e, 2)
	right, left := e[0], e[1]
	assert.Equal(t, ShapedCauls, right.Cauls)
	assert.InDelta(t, sagitta, right.SagittaMm, 0.02)
	assert.InDelta(t, sagitta, right.ReachMm, 0.02)
	assert.InDelta(t, l*l/8.0/sagitta, right.SmallestRadiusMm, 1)
	ends := math.Atan(4.0*sagitta/l) * 180 / math.Pi
	assert.InDelta(t, ends, right.StartSlopeDeg, 0.2, "chords lag a little")
	assert.InDelta(t, -ends, right.EndSlopeDeg, 0.2)
	assert.InDelta(t, l, right.CaulLengthMm, 1e-6)
	assert.InDelta(t, sagitta+caulBack, right.CaulDepthMm, 0.02)
	// Hoop: pressure is tension over radius and height; the parabola is
	// flattest at its ends, (1+(4s/L)²)^1.5 times as flat as at its vertex.
	flattest := l * l / 8.0 / sagitta * math.Pow(1+math.Pow(4.0*sagitta/l, 2), 1.5)
	assert.InDelta(t, rules.ClampForceN/flattest/50, right.StrapMpa, 1e-5)
	assert.False(t, right.Corners)
	assert.Equal(t, FlatCauls, left.Cauls)
	assert.Zero(t, left.SagittaMm)
	assert.Zero(t, left.StrapMpa)
	// The arc of a parabola: L (1 + 8/3 (s/L)² − 32/5 (s/L)⁴) to that order.
	k := float64(sagitta) / l
	arc := l * (1 + 8*k*k/3 - 32*k*k*k*k/5)
	assert.InDelta(t, arc+l+2*(300-sagitta), g.Steps[len(g.Steps)-1].StrapMm, 0.05)
}

// Taken strip by strip at once, a section inside the outline needs nothing but
// flat cauls; one that slants wants wedges; and a curve that lies within a
// clamp's spacing of the end is left to the clamps beside it.
func TestClampEdgesByKind(t *testing.T) {
	s := bowed(1200, 25, 0)
	v := s.survey()
	rules := DefaultGlueRules()
	for _, e := range v.clampEdges(2, 3, rules) {
		assert.Equal(t, FlatCauls, e.Cauls, e.Side)
		assert.InDelta(t, 1200, e.FlatToMm-e.FlatFromMm, 1e-6)
	}
	s = bowed(600, 1e-9, 100)
	e := s.survey().clampEdges(0, 4, rules)
	assert.Equal(t, WedgeCauls, e[1].Cauls)
	assert.InDelta(t, -math.Atan(100.0/600)*180/math.Pi, e[1].EndSlopeDeg, 1e-6)
	assert.InDelta(t, 100+caulBack, e[1].CaulDepthMm, 1e-6)
	assert.Equal(t, FlatCauls, e[0].Cauls)

	// Rounded corners of 150 mm: with clamps 200 mm apart none stands there.
	s = plain(5, 60, 1200, 50)
	s.Plan = RoundedPlan(1200, 300, 150)
	e = s.survey().clampEdges(0, 4, rules)
	assert.Equal(t, FlatCauls, e[0].Cauls)
	rules.ClampSpacingMm = 40
	e = s.survey().clampEdges(0, 4, rules)
	assert.Equal(t, ShapedCauls, e[0].Cauls)
}
