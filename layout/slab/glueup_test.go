package slab

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/layout/wood"
)

// Seven plain strips, three at once: sections of 2, 2 and 3, then the stack:
// two days. Redcedar (0.32) sets 0.7 MPa; a joint of 1000 × 50 mm then takes
// 35 kN, nine clamps of 4 kN.
func TestGlueUpBySections(t *testing.T) {
	s := plain(7, 40, 1000, 50)
	rules := DefaultGlueRules()
	rules.StripsAtOnce = 3
	require.NoError(t, rules.Check())
	g := s.GlueUp(rules)
	require.Len(t, g.Steps, 4)
	assert.Equal(t, 2, g.Days)
	joints := 0
	for _, st := range g.Steps {
		joints += len(st.Joints)
		assert.InDelta(t, 0.7, st.Pressure, 1e-12)
		assert.Equal(t, "western redcedar", st.Softest)
		assert.InDelta(t, 35000, st.ForceN, 5)
		assert.Equal(t, 9, st.Clamps)
	}
	assert.Equal(t, 6, joints, "every joint once")
	assert.InDelta(t, 6*50000, g.GlueAreaMm2, 30)
	assert.InDelta(t, 0.165*0.3, g.GlueG/1000, 1e-4, "0.15 L/m² on one face at 1.1 kg/L")
	assert.Empty(t, g.Moisture)

	// Twenty clamps do for two steps of a day, not for three.
	rules.Clamps = 20
	g = s.GlueUp(rules)
	assert.Equal(t, []int{1, 1, 2, 3}, []int{g.Steps[0].Day, g.Steps[1].Day, g.Steps[2].Day, g.Steps[3].Day})
	assert.Equal(t, 3, g.Days)

	// Slow spreading and few clamps are warned of.
	rules.SpreadMmPerMin, rules.Clamps = 90, 4
	g = s.GlueUp(rules)
	assert.Len(t, g.Steps[0].Warnings, 2)
	// Strips with transitions come first, on a day of their own.
	g = bench().GlueUp(DefaultGlueRules())
	assert.Equal(t, 2, g.Days)
	assert.Contains(t, g.Steps[0].What, "end to end")
	assert.Equal(t, "western redcedar", g.Steps[2].Softest)
	for _, bad := range []GlueRules{{}, {StripsAtOnce: 2}, {StripsAtOnce: 2, ClampForceN: 1}, {StripsAtOnce: 2, ClampForceN: 1, ClampSpacingMm: 5}} {
		assert.Error(t, bad.Check())
	}
}

func TestMoistureSpread(t *testing.T) {
	s := plain(4, 40, 1000, 50)
	s.Strips[1].Pieces[0].Moisture = 14.5
	assert.Len(t, s.MoistureSpread(), 2, "both neighbours of the wet strip")
	s.Strips[3].Pieces[0].Moisture = 8
	assert.Len(t, s.MoistureSpread(), 4, "and the whole stack")
}

// A flat-sawn board on edge moves by the radial coefficient across the slab
// and the tangential one through it; the Handbook's white fir, 8 to 11 %.
func TestMotionFollowsTheRings(t *testing.T) {
	fir, err := wood.Find("white fir")
	require.NoError(t, err)
	s := &Slab{Length: 1000, Strips: []Strip{{Pieces: []Piece{{Wood: "white-fir", Thickness: 232, RingAngle: math.NaN(), Moisture: 8}}}}, Profile: Profile{Top: []Station{{0, 50}}}}
	// 11 % is what 20 °C and 60.33 % come to by the EMC equation.
	h := 60.0
	for range 60 {
		m, _ := wood.EMC(20, h)
		h += (11 - m) * 3
	}
	m, err := s.Motion(20, h)
	require.NoError(t, err)
	assert.InDelta(t, 11, m.MoisturePct, 1e-6)
	assert.True(t, m.InRange)
	assert.InDelta(t, 232*fir.Radial*3, m.WidthMm, 1e-6)
	assert.InDelta(t, 50*fir.Tangent*3, m.ThickestMm, 1e-6)
	s.Strips[0].Pieces[0].RingAngle = 0 // rings flat in the slab: the worked example, 1.7 mm
	m, _ = s.Motion(20, h)
	assert.InDelta(t, 1.7, m.WidthMm, 0.05)
	_, err = s.Motion(20, 100)
	assert.ErrorContains(t, err, "0 to 95")
}

// Steps: the side that swells more through its height stands proud by half of
// the difference on each face.
func TestSteps(t *testing.T) {
	s := plain(2, 40, 1000, 60)
	s.Strips[0].Pieces[0].Wood, s.Strips[1].Pieces[0].Wood = "teak", "american-beech"
	m, err := s.Motion(20, 80)
	require.NoError(t, err)
	require.Len(t, m.Steps, 1)
	teak, _ := wood.Find("teak")
	beech, _ := wood.Find("beech")
	want := 60 * (beech.Tangent - teak.Tangent) * (m.MoisturePct - 12) / 2
	assert.InDelta(t, want, m.Steps[0].Mm, 1e-9)
	assert.True(t, m.Steps[0].Telegraphs)
	assert.False(t, m.InRange, "80 % comes to 16 %")
}
