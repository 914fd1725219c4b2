package neck_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
	"slabwright/fret"
	"slabwright/fret/neck"
)

func TestOutline(t *testing.T) {
	for _, head := range []neck.HeadSpec{{}, {Layout: "in-line", StraightPull: true}} {
		for _, lean := range []float64{0, 13} {
			r := work(t, neck.Spec{Head: head, Blank: neck.BlankSpec{HeadAngleDeg: lean}})
			o := r.Outline()
			var face geom.Polygon
			for _, p := range o.HeadFace {
				face = append(face, geom.Pt(p.U, p.V))
			}
			for _, p := range o.Posts {
				assert.GreaterOrEqual(t, face.Depth(geom.Pt(p.U, p.V)), 11.9, "wood round every post")
			}
			assert.InDelta(t, -r.Head.LengthMm, face.Bounds().Min.X, 1e-9)
			assert.InDelta(t, r.Blank.HeadWidthMm, face.Bounds().Height(), 30)
			_, crosses := face.SelfCrossing()
			assert.False(t, crosses)

			var side geom.Polygon
			for _, p := range o.SideNeck {
				side = append(side, geom.Pt(p.U, p.W))
			}
			_, crosses = side.SelfCrossing()
			assert.False(t, crosses, "lean %g", lean)
			along, end := side[3].Sub(side[2]), side[4].Sub(side[3])
			assert.InDelta(t, 0, along.Dot(end), 1e-9, "the headstock's end is square to its face")
			assert.InDelta(t, r.Head.LengthMm, along.Len(), 1e-9)
			assert.InDelta(t, r.Spec.Blank.HeadThicknessMm, end.Len(), 1e-9)
			b := side.Bounds()
			// The blank holds the neck: its thickness is counted from the glue
			// line down.
			assert.InDelta(t, -6, b.Max.Y, 1e-9)
			assert.LessOrEqual(t, b.Height(), r.Blank.ThicknessMm+1e-9)
			assert.LessOrEqual(t, b.Width(), r.Blank.LengthMm+1e-9)
			assert.InDelta(t, r.Joint.HeelEndFromNutMm, b.Max.X, 1e-9)
		}
	}
}

// Hostile numbers: whatever is asked for, there is an answer without NaN or a
// message, never a panic.
func TestHostileSpecs(t *testing.T) {
	numbers := rapid.OneOf(
		rapid.SampledFrom([]float64{0, -1, 1, math.NaN(), math.Inf(1), math.Inf(-1), 1e308, 1e-308, 0.5, 12, 24, 36}),
		rapid.Float64Range(-10, 1000),
	)
	seldom := rapid.SampledFrom(append(make([]int, 40), 1))
	rapid.Check(t, func(t *rapid.T) {
		n := func() float64 {
			if seldom.Draw(t, "set") == 0 {
				return 0
			}
			return numbers.Draw(t, "number")
		}
		s := neck.Spec{
			ScaleMm: rapid.SampledFrom([]float64{0, 0, 300, 648, 864, 864, 2000, math.NaN()}).Draw(t, "scale"),
			Layout: fret.Layout{
				Count: rapid.SampledFrom([]int{0, 0, 1, 2, 12, 24, 36, 37}).Draw(t, "count"), SquareFret: n(), SpreadNut: n(), SpreadSaddle: n(), NutWidth: n(), EndWidth: n(),
				MarginNut: n(), Overhang: n(), ZeroFret: rapid.Bool().Draw(t, "zero"), SlotKeptBack: n(),
				Strings: fret.Across{Count: rapid.SampledFrom([]int{0, 0, 1, 2, 6, 12, 13}).Draw(t, "strings"), CourseGap: n()},
			},
			A4Hz:       n(),
			Board:      neck.BoardSpec{RadiusNutMm: n(), RadiusSaddleMm: n(), ThicknessMm: n(), Flat: rapid.Bool().Draw(t, "flat")},
			Setup:      neck.SetupSpec{CrownMm: n(), ActionTrebleMm: n(), FirstFretMm: n(), ReliefMm: n(), ActionFret: rapid.SampledFrom([]int{0, 0, 0, 1, 30}).Draw(t, "action")},
			Intonation: neck.IntonationSpec{FingerMm: n(), NutHeightMm: n(), SaddleRiseMm: n(), FallMm: n()},
			Joint:      neck.JointSpec{JointFret: n(), NeckAngleDeg: n(), PocketMm: n(), HeelMm: n(), BridgeMm: n(), PocketLengthMm: n()},
			Head:       neck.HeadSpec{FirstMm: n(), SpacingMm: n(), NearMm: n(), SlopeDeg: n(), PostMm: n()},
			Back:       neck.BackSpec{First: neck.SectionSpec{Fullness: n(), ShiftMm: n(), ThicknessMm: n()}, LeaveMm: n(), HeelRunMm: n()},
			Beam:       neck.BeamSpec{NeckModulusGPa: n(), RodStiffnessNm2: n(), ChannelWidthMm: n(), ChannelDepthMm: n()},
			Blank:      neck.BlankSpec{HeadAngleDeg: n(), HeadStepMm: n(), HeadThicknessMm: n(), Scarf: rapid.Bool().Draw(t, "scarf")},
		}
		r, err := neck.Work(s)
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		o := r.Outline()
		for _, v := range []float64{
			r.TotalTensionN, r.Bridge.FrontFromNutMm, r.Joint.BridgeMm, r.Joint.PocketMm, r.Joint.ActionAtJointMm, r.Deflection.ReliefMm,
			r.Deflection.RiseAtNutMm, r.Blank.VolumeMm3, r.Head.LengthMm, r.Setup.WireMm, r.MeanSaddleMm, r.MeanNutMm, o.SideString[1].W,
		} {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0))
		}
		for _, row := range r.Cents() {
			for _, c := range row {
				require.False(t, math.IsNaN(c) || math.IsInf(c, 0))
			}
		}
		for _, c := range r.Carving {
			for _, m := range c.Marks {
				require.False(t, math.IsNaN(m.DistanceMm))
			}
		}
	})
}
