package neck

import (
	"fmt"
	"math"

	"slabwright/fret/measure"
)

// BlankSpec is the wood a neck is sawn from. Defaults are common practice, no
// source.
type BlankSpec struct {
	// HeadAngleDeg is how far the headstock leans back; 0 for a flat one,
	// whose face then lies HeadStepMm under the board's glue line. Default
	// step 8 for a flat headstock, 0 for an angled one.
	HeadAngleDeg, HeadStepMm float64
	// HeadThicknessMm default 14, HeadMarginMm of wood past the last post
	// default 25, HeadWidthMm default: the posts' extent and margins.
	HeadThicknessMm, HeadMarginMm, HeadWidthMm float64
	// Scarf glues an angled headstock on instead of sawing it from one piece.
	Scarf bool
	// SpareLengthMm, SpareWidthMm and SpareThicknessMm are added to the
	// blank; default 25, 6 and 2.
	SpareLengthMm, SpareWidthMm, SpareThicknessMm float64
}

func (b BlankSpec) filled() BlankSpec {
	def := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	if b.HeadAngleDeg == 0 {
		def(&b.HeadStepMm, 8)
	}
	def(&b.HeadThicknessMm, 14)
	def(&b.HeadMarginMm, 25)
	def(&b.SpareLengthMm, 25)
	def(&b.SpareWidthMm, 6)
	def(&b.SpareThicknessMm, 2)
	return b
}

func (b BlankSpec) check() error {
	for _, c := range []struct {
		name         string
		v, low, high float64
	}{
		{"a headstock angle (degrees)", b.HeadAngleDeg, 0, 25},
		{"a headstock step", b.HeadStepMm, 0, 30},
		{"a headstock thickness", b.HeadThicknessMm, 0, 40},
		{"a headstock margin", b.HeadMarginMm, 0, 150},
		{"a headstock width", b.HeadWidthMm, 0, 300},
		{"a spare length", b.SpareLengthMm, 0, 300},
		{"a spare width", b.SpareWidthMm, 0, 100},
		{"a spare thickness", b.SpareThicknessMm, 0, 50},
	} {
		if math.IsNaN(c.v) || c.v < c.low || c.v > c.high {
			return fmt.Errorf("%s of %g: it must lie between %g and %g", c.name, c.v, c.low, c.high)
		}
	}
	if b.Scarf && b.HeadAngleDeg != 0 && b.HeadAngleDeg < 4 {
		return fmt.Errorf("a scarf at %g degrees would be longer than a headstock: from 4 degrees up, or without a scarf", b.HeadAngleDeg)
	}
	return nil
}

// ThicknessAt is the neck's thickness at a place.
type ThicknessAt struct {
	Name      string
	FromNutMm float64
	WidthMm   float64
	// WithBoardMm at the centre; WoodMm without the board.
	WithBoardMm, WoodMm float64
	// UnderChannelMm is the wood left under the rod's channel, at its corners
	// or its middle, whichever is less; 0 without a channel.
	UnderChannelMm float64
}

// Blank is the neck's wood without fretboard, finished measures plus spare.
type Blank struct {
	// LengthMm is from the head's end to the heel's end along the glue line
	// (for a scarf: of the stock that both parts are cut from), WidthMm across,
	// ThicknessMm up and down.
	LengthMm, WidthMm, ThicknessMm float64
	VolumeMm3                      float64 // of the blank
	HeadLengthMm, HeadWidthMm      float64
	// HeadDropMm is how far the head's end lies under the glue line.
	HeadDropMm float64
	// Scarf, when one is asked for.
	Scarf *Scarf
	// BoardLengthMm and BoardWidthMm of the fretboard, with OverhangMm past
	// the heel's end (negative: the heel is longer).
	BoardLengthMm, BoardWidthMm, OverhangMm float64
	Profile                                 []ThicknessAt
	LeastUnderChannelMm, LeastUnderAtMm     float64
	Warnings                                []string
}

// Scarf is a scarf joint under an angled headstock.
//
//	     nut
//	______|_                     shaft, ThicknessMm thick
//	        ‾‾--__  FaceMm
//	  head        ‾‾--__________
type Scarf struct {
	AngleRad float64
	// ThicknessMm is the stock's, FaceMm the glued face's length,
	// ThicknessMm / sin(angle); RunMm its length along the neck,
	// ThicknessMm / tan(angle).
	ThicknessMm, FaceMm, RunMm float64
}

// blank works the wood out. headLength and headWidth come from the headstock.
func (n neckShape) blank(spec BlankSpec, beam BeamSpec, joint Joint, headLength, headWidth float64) Blank {
	b := Blank{HeadLengthMm: headLength, HeadWidthMm: headWidth}
	if spec.HeadWidthMm > 0 {
		b.HeadWidthMm = spec.HeadWidthMm
	}
	p := n.plan
	sin, cos := math.Sincos(spec.HeadAngleDeg * math.Pi / 180)
	b.BoardLengthMm = math.Max(p.BoardEnd.From.U, p.BoardEnd.To.U) - math.Min(math.Min(p.NutEdge.From.U, p.NutEdge.To.U), 0)
	for _, e := range []float64{p.NutEdge.From.V, p.BoardEnd.From.V} {
		b.BoardWidthMm = math.Max(b.BoardWidthMm, -2*e)
	}
	for _, e := range []float64{p.NutEdge.To.V, p.BoardEnd.To.V} {
		b.BoardWidthMm = math.Max(b.BoardWidthMm, 2*e)
	}
	b.OverhangMm = (p.BoardEnd.From.U+p.BoardEnd.To.U)/2 - joint.HeelEndFromNutMm
	b.HeadDropMm = headLength*sin + spec.HeadThicknessMm*cos + spec.HeadStepMm
	shaft := 0.0
	stop := func(name string, u float64) {
		s := n.section(u)
		t := ThicknessAt{Name: name, FromNutMm: u, WidthMm: 2 * s.HalfWidthMm, WithBoardMm: n.thickness(u), WoodMm: s.DepthMm}
		shaft = math.Max(shaft, t.WoodMm)
		if beam.ChannelDepthMm > 0 {
			w := beam.ChannelWidthMm / 2
			t.UnderChannelMm = math.Min(s.Depth(-w), math.Min(s.Depth(0), s.Depth(w))) - beam.ChannelDepthMm
			if len(b.Profile) == 0 || t.UnderChannelMm < b.LeastUnderChannelMm {
				b.LeastUnderChannelMm, b.LeastUnderAtMm = t.UnderChannelMm, u
			}
		}
		b.Profile = append(b.Profile, t)
	}
	stop("nut", 0)
	for _, row := range p.Rows {
		if row.Fret == math.Trunc(row.Fret) && row.CentreFromNutMm < n.heel {
			stop(fmt.Sprintf("fret %g", row.Fret), row.CentreFromNutMm)
		}
	}
	stop("heel begins", n.heel)
	stop("joint", n.joint)
	if beam.ChannelDepthMm > 0 && b.LeastUnderChannelMm < beam.LeftUnderMm-1e-9 {
		b.Warnings = append(b.Warnings, fmt.Sprintf("only %.1f mm of wood is left under the rod's channel %.0f mm from the nut; %.1f mm was asked: a shallower channel or a thicker neck", b.LeastUnderChannelMm, b.LeastUnderAtMm, beam.LeftUnderMm))
	}
	heelWood := joint.HeelMm - n.boardMm
	b.WidthMm = math.Max(b.BoardWidthMm, b.HeadWidthMm) + spec.SpareWidthMm
	b.LengthMm = headLength*cos + joint.HeelEndFromNutMm + spec.SpareLengthMm
	b.ThicknessMm = math.Max(heelWood, b.HeadDropMm) + spec.SpareThicknessMm
	if spec.Scarf && spec.HeadAngleDeg > 0 {
		// Both parts come from one board as thick as the heel or the shaft; the
		// saw cut overlaps them by the scarf's run, and the head needs its own
		// length besides the glued face.
		t := math.Max(heelWood, math.Max(shaft, spec.HeadThicknessMm)) + spec.SpareThicknessMm
		b.Scarf = &Scarf{AngleRad: spec.HeadAngleDeg * math.Pi / 180, ThicknessMm: t, FaceMm: t / sin, RunMm: t * cos / sin}
		b.ThicknessMm = t
		b.LengthMm = headLength + joint.HeelEndFromNutMm + b.Scarf.FaceMm + spec.SpareLengthMm
	}
	b.VolumeMm3 = b.LengthMm * b.WidthMm * b.ThicknessMm
	return b
}

// BoardFeet of the blank: 144 cubic inches each.
func (b Blank) BoardFeet() float64 {
	return b.VolumeMm3 / math.Pow(float64(measure.Inch), 3) / 144
}
