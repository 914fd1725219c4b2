package neck_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"slabwright/fret"
	"slabwright/fret/neck"
)

// The circle's sagitta, by its other form.
func TestBoardDrop(t *testing.T) {
	b := neck.BoardSpec{RadiusNutMm: 254, RadiusSaddleMm: 406}
	assert.InDelta(t, 254-math.Sqrt(254*254-21*21), b.Drop(0, 21, 648), 1e-12)
	assert.InDelta(t, 330-math.Sqrt(330*330-21*21), b.Drop(324, -21, 648), 1e-10, "half way along a cone the radius is the mean")
	assert.Zero(t, neck.BoardSpec{Flat: true}.Drop(100, 25, 648))
}

// A flat board without relief is a plane problem: the string's underside is a
// straight line over the crowns.
func TestSetupOnFlatBoard(t *testing.T) {
	r := work(t, neck.Spec{
		ScaleMm: 650, Layout: fret.Layout{Count: 19, SpreadNut: 43, SpreadSaddle: 43},
		Board: neck.BoardSpec{Flat: true},
		Setup: neck.SetupSpec{CrownMm: 1, NoRelief: true, ActionTrebleMm: 3, ActionBassMm: 4, FirstFretMm: 0.7},
	})
	d1 := 650 * (1 - math.Exp2(-1.0/12))
	for i, s := range r.Setup.Strings {
		action := 3 + float64(i)/5
		slope := (action - 0.7) / (325 - d1)
		assert.InDelta(t, 1+0.7-slope*d1, s.NutMm, 1e-9)
		assert.InDelta(t, 1+action+slope*325, s.SaddleMm, 1e-9)
		assert.InDelta(t, s.SaddleMm, s.SaddleOverBoardMm, 1e-9)
		assert.InDelta(t, action, s.GapMm[11], 1e-9)
		assert.InDelta(t, 0.7, s.GapMm[0], 1e-9)
		assert.InDelta(t, s.NutMm-1, s.NutHeightMm, 1e-9)
		assert.InDelta(t, s.SaddleMm-s.NutMm, s.SaddleRiseMm, 1e-9)
		assert.InDelta(t, 10-s.NutMm, s.NutSlotMm, 1e-9)
		// Model and set-up agree: y = h + k/2 at the octave.
		assert.InDelta(t, action, s.NutHeightMm+s.SaddleRiseMm/2, 1e-9)
	}
	for _, f := range r.Setup.Frets {
		assert.Zero(t, f.EdgeDropMm)
		assert.InDelta(t, 2.1, f.SlotAtCentreMm, 1e-12)
	}
}

// Whatever the board, the gaps asked for come out at fret 1 and at the action
// fret, measured against the height of crown and string at that very place.
func TestSetupGaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := neck.Spec{
			Layout: fret.TwoScale(rapid.Float64Range(640, 690).Draw(t, "bass"), rapid.Float64Range(620, 650).Draw(t, "treble"), 7, 24),
			Board:  neck.BoardSpec{RadiusNutMm: rapid.Float64Range(184, 400).Draw(t, "nut"), RadiusSaddleMm: rapid.Float64Range(184, 600).Draw(t, "saddle")},
			Setup:  neck.SetupSpec{ReliefMm: rapid.Float64Range(0.01, 0.4).Draw(t, "relief"), ActionTrebleMm: rapid.Float64Range(1, 3).Draw(t, "action")},
		}
		r := work(t, s)
		for i, st := range r.Setup.Strings {
			assert.InDelta(t, st.ActionMm, st.GapMm[11], 1e-9)
			assert.InDelta(t, 0.5, st.GapMm[0], 1e-9)
			// String heights over board, between nut and saddle, at fret 12.
			p, left := r.Plan.FretOnString(i+1, 12)
			along := 1 - left/r.Plan.Strings[i].ScaleMm
			nut := st.NutMm - r.Spec.Board.Drop(r.Plan.Strings[i].Nut.U, r.Plan.Strings[i].Nut.V, r.Plan.CentreScaleMm)
			under := nut + along*(st.SaddleMm-nut)
			crown := r.Setup.Frets[11].CrownHeightMm[i]
			assert.InDelta(t, crown-r.Spec.Board.Drop(p.U, p.V, 1)*0, r.Setup.Spec.CrownMm-r.Spec.Board.Drop(p.U, p.V, r.Plan.CentreScaleMm), 1e-9)
			// Relief lowers the crown there, so the gap is a little larger.
			assert.LessOrEqual(t, under-crown, st.GapMm[11]+1e-9)
			assert.GreaterOrEqual(t, under-crown, st.GapMm[11]-r.Setup.Spec.ReliefMm-1e-9)
		}
	})
}

// Buzz, found by the slow way: every stopped fret against every fret beyond.
func TestLeastStoppedGap(t *testing.T) {
	r := work(t, neck.Spec{Board: neck.BoardSpec{Flat: true}, Setup: neck.SetupSpec{ReliefMm: 0.3}, Layout: fret.Layout{SpreadNut: 40, SpreadSaddle: 40}})
	u := func(n int) float64 { return 648 * (1 - math.Exp2(-float64(n)/12)) }
	top := func(n int) float64 {
		x := (u(n) - u(1)) / (u(22) - u(1))
		return 1.15 - 4*0.3*x*(1-x)
	}
	for _, s := range r.Setup.Strings {
		least := math.Inf(1)
		for n := 1; n <= 22; n++ {
			for k := n + 1; k <= 22; k++ {
				line := top(n) + (s.SaddleMm-top(n))*(u(k)-u(n))/(648-u(n))
				least = math.Min(least, line-top(k))
			}
		}
		assert.InDelta(t, least, s.LeastStoppedGapMm, 1e-9)
	}
	low := work(t, neck.Spec{Setup: neck.SetupSpec{ActionTrebleMm: 0.3, ActionBassMm: 0.3, ReliefMm: 1}})
	assert.Contains(t, low.Warnings[0], "would lie on fret")
}

func TestZeroFretSetsTheNut(t *testing.T) {
	r := work(t, neck.Spec{Layout: fret.Layout{ZeroFret: true}})
	for _, s := range r.Setup.Strings {
		assert.InDelta(t, 0, s.NutHeightMm, 1e-9)
		assert.Positive(t, s.FirstFretMm)
		assert.InDelta(t, s.FirstFretMm, s.GapMm[0], 1e-9)
	}
}

func TestFretWire(t *testing.T) {
	r := work(t, neck.Spec{Layout: fret.Layout{Scale: 648, Count: 3, NutWidth: 50, EndWidth: 50, SpreadNut: 36, SpreadSaddle: 36}})
	arc := 2 * 254 * math.Asin(25.0/254)
	assert.InDelta(t, 3*(arc+6)*1.1, r.Setup.WireMm, 1e-6)
	assert.InDelta(t, 2.1+254-math.Sqrt(254*254-25*25), r.Setup.Frets[0].SlotAtCentreMm, 1e-9)
}

// An added partial fret below fret 1 moves nothing else.
func TestPartialFretMovesNothing(t *testing.T) {
	plain := work(t, neck.Spec{})
	extra := work(t, neck.Spec{Layout: fret.Layout{Partial: []fret.PartialFret{{Fret: 0.5, FirstString: 1, LastString: 3}}}})
	assert.Equal(t, plain.Setup.Strings, extra.Setup.Strings)
	assert.Equal(t, plain.Deflection, extra.Deflection)
	assert.Equal(t, plain.Carving, extra.Carving)
	assert.Greater(t, extra.Setup.WireMm, plain.Setup.WireMm)
}

// Parallel strings over a cylinder with one action for all lie on a circle of
// nearly the board's own radius, raised by the height of the strings.
func TestSaddleRadius(t *testing.T) {
	r := work(t, neck.Spec{
		Layout: fret.Layout{SpreadNut: 44, SpreadSaddle: 44},
		Board:  neck.BoardSpec{RadiusNutMm: 300},
		Setup:  neck.SetupSpec{ActionTrebleMm: 2, ActionBassMm: 2},
	})
	assert.InEpsilon(t, 300, r.Setup.SaddleRadiusMm, 0.01)
	taper := work(t, neck.Spec{Board: neck.BoardSpec{RadiusNutMm: 254, RadiusSaddleMm: 406}})
	assert.Greater(t, taper.Setup.SaddleRadiusMm, 300.0)
	assert.Zero(t, work(t, neck.Spec{Board: neck.BoardSpec{Flat: true}}).Setup.SaddleRadiusMm)
}
