package neck

import (
	"fmt"
	"math"

	"slabwright/fret"
)

// BoardSpec is the fretboard's cross shape.
type BoardSpec struct {
	// RadiusNutMm and RadiusSaddleMm are the radii of its surface at the nut
	// and, drawn on, at the saddle line; between them the radius changes
	// evenly along the board (a cone, "compound"). Equal: a cylinder. Default
	// 254 at the nut, and the nut's radius at the saddle.
	RadiusNutMm, RadiusSaddleMm float64
	// Flat is a board without radius.
	Flat bool
	// ThicknessMm at the centre, default 6.
	ThicknessMm float64
}

// Radius of the board's surface at u on a scale; +Inf when flat.
func (b BoardSpec) Radius(u, scaleMm float64) float64 {
	if b.Flat {
		return math.Inf(1)
	}
	return b.RadiusNutMm + (b.RadiusSaddleMm-b.RadiusNutMm)*u/scaleMm
}

// Drop is how far the surface lies under its centre, at v from the centreline:
// R − sqrt(R² − v²), a circle's sagitta.
func (b BoardSpec) Drop(u, v, scaleMm float64) float64 {
	r := b.Radius(u, scaleMm)
	if math.IsInf(r, 1) {
		return 0
	}
	return v * v / (r + math.Sqrt(math.Max(r*r-v*v, 0))) // no difference of near equals
}

// SetupSpec is how the strings shall lie over the frets.
type SetupSpec struct {
	// CrownMm is the frets' height over the board; default 1.15.
	CrownMm float64
	// ActionFret is where the action is measured; default 12, or the last
	// fret of a shorter board.
	ActionFret int
	// ActionTrebleMm and ActionBassMm are the wanted gaps between the fret's
	// crown and the underside of the outer strings; those between change
	// evenly. Default 1.6 and 2.0; with a scale above 740 mm 2.0 and 2.5.
	ActionTrebleMm, ActionBassMm float64
	// FirstFretMm is the gap over fret 1 with the string open; default 0.5.
	// It sets the nut. With a zero fret the nut has no say.
	FirstFretMm float64
	// ReliefMm is how hollow the neck is at its middle, between fret 1 and the
	// last fret; default 0.2. NoRelief makes it straight.
	ReliefMm float64
	NoRelief bool
	// NutBlankMm is the height of the nut blank over the board at its centre;
	// default 10. The blank's top is level.
	NutBlankMm float64
	// ShareAbove is the share of a wound string that stands above its nut
	// slot; default 0.4. Plain strings lie flush.
	ShareAbove float64
	// TangMm is the depth of the fret's tang under the crown, ClearanceMm the
	// room under it; default 1.6 and 0.5.
	TangMm, ClearanceMm float64
	// WireOverMm is the fret wire left over each end of a slot for nipping;
	// default 3. WireSpare is the share bought on top; default 0.1.
	WireOverMm, WireSpare float64
}

// All defaults of SetupSpec and BoardSpec are common practice, no source.

func (s SetupSpec) filled(scaleMm float64, count int) SetupSpec {
	def := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	def(&s.CrownMm, 1.15)
	if s.ActionFret == 0 {
		s.ActionFret = min(12, count)
	}
	treble, bass := 1.6, 2.0
	if scaleMm > 740 {
		treble, bass = 2.0, 2.5
	}
	def(&s.ActionTrebleMm, treble)
	def(&s.ActionBassMm, bass)
	def(&s.FirstFretMm, 0.5)
	def(&s.ReliefMm, 0.2)
	if s.NoRelief {
		s.ReliefMm = 0
	}
	def(&s.NutBlankMm, 10)
	def(&s.ShareAbove, 0.4)
	def(&s.TangMm, 1.6)
	def(&s.ClearanceMm, 0.5)
	def(&s.WireOverMm, 3)
	def(&s.WireSpare, 0.1)
	return s
}

// FretSetup is one fret's wood and wire.
type FretSetup struct {
	Fret     float64
	RadiusMm float64 // of the board there; 0 when flat
	// EdgeDropMm is how far the board's edge lies under its centre.
	EdgeDropMm float64
	// SlotAtEdgeMm and SlotAtCentreMm are the depths of a slot with a straight
	// bottom that leaves the tang its room everywhere; sawn along the curve,
	// SlotAtEdgeMm is the depth all along.
	SlotAtEdgeMm, SlotAtCentreMm float64
	// WireMm is the wire for it, along the curve, with what is nipped off.
	WireMm float64
	// BoardHeightMm and CrownHeightMm are w under each string, string 1 first:
	// the board's surface, and the fret's top, over the centre of the board's
	// surface at the nut end (without relief).
	BoardHeightMm, CrownHeightMm []float64
}

// StringSetup is how one string lies.
type StringSetup struct {
	Number int
	// ActionMm at the action fret and FirstFretMm are as asked.
	ActionMm, FirstFretMm float64
	// NutMm is the underside of the string over the board's surface at the
	// nut, under that string; NutSlotMm how deep to file its slot into the
	// blank, and NutTopMm where the nut's top belongs over the board there so
	// that the string stands out as asked.
	NutMm, NutSlotMm, NutTopMm float64
	// SaddleMm is the underside of the string at the saddle over the plane of
	// the board's centre; SaddleOverBoardMm over the board's curved surface
	// drawn on to there.
	SaddleMm, SaddleOverBoardMm float64
	// GapMm is the gap between the open string's underside and each fret's
	// crown, fret 1 first.
	GapMm []float64
	// LeastStoppedGapMm is the least gap over any fret between a stopped one
	// and the saddle, found with the string stopped at StoppedAt, over
	// StoppedOver. Negative: it buzzes there even when lightly plucked.
	LeastStoppedGapMm      float64
	StoppedAt, StoppedOver int
	// NutHeightMm and SaddleRiseMm are h and k of Instrument.
	NutHeightMm, SaddleRiseMm float64
}

// Setup is the whole of it.
type Setup struct {
	Spec    SetupSpec
	Board   BoardSpec
	Strings []StringSetup
	Frets   []FretSetup
	// WireMm is the fret wire to buy, with spare.
	WireMm float64
	// SaddleOuterMm is the mean of the outer strings' undersides at the
	// saddle, over the plane of the board's centre.
	SaddleOuterMm float64
	// SaddleRadiusMm is the radius of the curve on which the strings'
	// undersides lie at the saddle; 0 when they lie level or there are fewer
	// than three strings.
	SaddleRadiusMm float64
	Warnings       []string
}

func setup(plan *fret.Plan, strings []String, board BoardSpec, spec SetupSpec) Setup {
	scale := plan.CentreScaleMm
	count := plan.Layout.Count
	out := Setup{Spec: spec, Board: board}

	// sag is the hollow of the neck: a parabola between fret 1 and the last.
	first, last := plan.CentreFromNut(1), plan.CentreFromNut(float64(count))
	sag := func(u float64) float64 {
		t := (u - first) / (last - first)
		if count < 2 || t <= 0 || t >= 1 {
			return 0
		}
		return 4 * spec.ReliefMm * t * (1 - t)
	}
	surface := func(p fret.Point) float64 { return -board.Drop(p.U, p.V, scale) }
	// crownAt[i][n] is where fret n+1 crosses string i, and its top there.
	type place struct{ along, top float64 }
	crossings := make([][]place, len(strings))
	for i, s := range plan.Strings {
		for n := 1; n <= count; n++ {
			p, left := plan.FretOnString(i+1, float64(n))
			crossings[i] = append(crossings[i], place{s.ScaleMm - left, surface(p) + spec.CrownMm - sag(p.U)})
		}
	}
	blankTop := spec.NutBlankMm
	for i, s := range plan.Strings {
		share := 0.0
		if n := len(strings); n > 1 {
			share = float64(i) / float64(n-1)
		}
		st := StringSetup{Number: i + 1, ActionMm: spec.ActionTrebleMm + share*(spec.ActionBassMm-spec.ActionTrebleMm), FirstFretMm: spec.FirstFretMm}
		// The underside runs straight through its gap over fret 1 (or the top
		// of the zero fret) and its gap over the action fret.
		at := crossings[i]
		a := at[spec.ActionFret-1]
		a.top += st.ActionMm
		b := at[0]
		b.top += spec.FirstFretMm
		if plan.Layout.ZeroFret || spec.ActionFret == 1 {
			b = place{0, surface(s.Nut) + spec.CrownMm}
			if !plan.Layout.ZeroFret {
				b.top += spec.FirstFretMm
			}
		}
		slope := (a.top - b.top) / (a.along - b.along)
		under := func(along float64) float64 { return b.top + slope*(along-b.along) }
		if plan.Layout.ZeroFret {
			st.FirstFretMm = under(at[0].along) - at[0].top
		}
		nut, saddle := under(0), under(s.ScaleMm)
		st.NutMm = nut - surface(s.Nut)
		st.NutSlotMm = blankTop - nut
		st.NutTopMm = st.NutMm + strings[i].GaugeMm
		if strings[i].Wound {
			st.NutTopMm = st.NutMm + strings[i].GaugeMm*(1-spec.ShareAbove)
		}
		st.SaddleMm = saddle
		st.SaddleOverBoardMm = saddle - surface(s.Saddle)
		st.NutHeightMm = nut - (surface(s.Nut) + spec.CrownMm)
		st.SaddleRiseMm = saddle - (surface(s.Saddle) + spec.CrownMm) - st.NutHeightMm
		st.LeastStoppedGapMm = math.Inf(1)
		for n := range at {
			st.GapMm = append(st.GapMm, under(at[n].along)-at[n].top)
			down := (saddle - at[n].top) / (s.ScaleMm - at[n].along)
			for k := n + 1; k < count; k++ {
				gap := at[n].top + down*(at[k].along-at[n].along) - at[k].top
				if gap < st.LeastStoppedGapMm {
					st.LeastStoppedGapMm, st.StoppedAt, st.StoppedOver = gap, n+1, k+1
				}
			}
		}
		if count < 2 {
			st.LeastStoppedGapMm = 0
		}
		if st.StoppedAt > 0 && st.LeastStoppedGapMm < 0 {
			out.Warnings = append(out.Warnings, fmt.Sprintf("string %d stopped at fret %d would lie on fret %d (%.2f mm too low): raise the action, or level the frets with a fall-away", i+1, st.StoppedAt, st.StoppedOver, -st.LeastStoppedGapMm))
		}
		if st.NutSlotMm < 0 {
			out.Warnings = append(out.Warnings, fmt.Sprintf("the nut blank is %.2f mm too low for string %d", -st.NutSlotMm, i+1))
		}
		out.Strings = append(out.Strings, st)
	}
	n := len(out.Strings)
	out.SaddleOuterMm = (out.Strings[0].SaddleMm + out.Strings[n-1].SaddleMm) / 2

	out.SaddleRadiusMm = saddleRadius(plan, out.Strings)

	for _, slot := range plan.Slots {
		f := FretSetup{Fret: slot.Fret}
		mid := (slot.Full.From.U + slot.Full.To.U) / 2
		if r := board.Radius(mid, scale); !math.IsInf(r, 1) {
			f.RadiusMm = r
		}
		f.EdgeDropMm = math.Max(board.Drop(slot.Full.From.U, slot.Full.From.V, scale), board.Drop(slot.Full.To.U, slot.Full.To.V, scale))
		f.SlotAtEdgeMm = spec.TangMm + spec.ClearanceMm
		f.SlotAtCentreMm = f.SlotAtEdgeMm + f.EdgeDropMm
		f.WireMm = slot.LengthMm + 2*spec.WireOverMm
		if r := f.RadiusMm; r > 0 {
			f.WireMm = 2*r*math.Asin(math.Min(1, slot.LengthMm/(2*r))) + 2*spec.WireOverMm
		}
		for _, s := range plan.Strings {
			p, _ := plan.FretOnString(s.Number, slot.Fret)
			h := surface(p)
			f.BoardHeightMm = append(f.BoardHeightMm, h)
			f.CrownHeightMm = append(f.CrownHeightMm, h+spec.CrownMm)
		}
		if f.SlotAtCentreMm > board.ThicknessMm-1 {
			out.Warnings = append(out.Warnings, fmt.Sprintf("the slot of fret %g is %.1f mm deep at the centre, in a board of %.1f mm: saw it along the curve, or take a thicker board", slot.Fret, f.SlotAtCentreMm, board.ThicknessMm))
		}
		out.WireMm += f.WireMm
		out.Frets = append(out.Frets, f)
	}
	out.WireMm *= 1 + spec.WireSpare
	return out
}

// saddleRadius fits z = a + b v + c v² to the undersides at the saddle by
// least squares (b is the action's rise toward the bass side) and takes the
// radius of curvature at its middle, −1/(2c). On a saddle some 50 mm wide that
// differs from the circle's by well under a percent.
func saddleRadius(plan *fret.Plan, strings []StringSetup) float64 {
	if len(strings) < 3 {
		return 0
	}
	// With v measured from its mean, v and v² still mix; solve the 3 × 3
	// normal equations by Cramer's rule.
	var s [5]float64
	var t [3]float64
	for i, st := range strings {
		v, p := plan.Strings[i].Saddle.V, 1.0
		for k := range s {
			s[k] += p
			if k < 3 {
				t[k] += p * st.SaddleMm
			}
			p *= v
		}
	}
	det := func(a, b, c [3]float64) float64 {
		return a[0]*(b[1]*c[2]-b[2]*c[1]) - b[0]*(a[1]*c[2]-a[2]*c[1]) + c[0]*(a[1]*b[2]-a[2]*b[1])
	}
	a, b, c := [3]float64{s[0], s[1], s[2]}, [3]float64{s[1], s[2], s[3]}, [3]float64{s[2], s[3], s[4]}
	curve := det(a, b, t) / det(a, b, c)
	if curve > -1e-6 { // half a kilometre of radius
		return 0
	}
	return -1 / (2 * curve)
}
