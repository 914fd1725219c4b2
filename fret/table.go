package fret

import (
	"math"

	"slabwright/fret/measure"
)

// Rounded is a length as a maker marks it.
type Rounded struct {
	// Mm is the length, unrounded.
	Mm float64
	// HundredthsMm is it to 0.01 mm; HundredthsLostMm what that lost.
	HundredthsMm, HundredthsLostMm float64
	// Rule is it on an inch rule, to the nearest 1/64; RuleLostMm what that
	// lost.
	Rule       string
	RuleLostMm float64
}

func round(mm float64) Rounded {
	l := measure.Length(mm)
	h, hLost := l.Hundredths()
	r, rLost := l.Sixtyfourths()
	return Rounded{mm, float64(h), float64(hLost), r, float64(rLost)}
}

// Row is one line of the fret table.
type Row struct {
	// Fret is the number; between whole numbers for an added partial fret.
	Fret float64
	// Cents above the open string.
	Cents float64
	// FromNut, FromPrevious and ToSaddle are measured on the scale: along the
	// centreline of a board with one scale, on the mean of the two otherwise
	// (half of the bass and treble distances together). FromPrevious counts
	// from the nut or the whole-numbered fret before.
	FromNut, FromPrevious, ToSaddle Rounded
	// BassFromNutMm and TrebleFromNutMm are measured along the outer strings
	// of a two-scale board; on a board with one scale they equal FromNut.
	BassFromNutMm, TrebleFromNutMm float64
	// CentreFromNutMm is measured along the centreline.
	CentreFromNutMm float64
	// AngleRad is the fret's angle as in Slot.
	AngleRad float64
	// BoardWidthMm and SlotLengthMm as in Slot.
	BoardWidthMm, SlotLengthMm float64
}

// Table is the rows of a board with one scale: count frets of the
// temperament on a scale length in millimetres. It is Plan without a board.
func Table(scale float64, count int, t Temperament) []Row {
	l := Layout{Scale: scale, Count: count, Temperament: t}
	p := &Plan{Layout: l, CentreScaleMm: scale}
	for n := 1; n <= count; n++ {
		p.Slots = append(p.Slots, Slot{Fret: float64(n)})
	}
	return rows(p)
}

func rows(p *Plan) []Row {
	l := p.Layout
	mean := l.MeanScale()
	bass, treble := mean, mean
	if l.Two() {
		bass, treble = l.BassScale, l.TrebleScale
	}
	// A fret split into several partial ones is one row.
	var out []Row
	for _, s := range p.Slots {
		if s.Fret == 0 || (len(out) > 0 && out[len(out)-1].Fret == s.Fret) {
			continue
		}
		left := l.Temperament.Left(s.Fret)
		before := l.Temperament.Left(math.Ceil(s.Fret) - 1)
		out = append(out, Row{
			Fret:            s.Fret,
			Cents:           l.Temperament.CentsBetween(s.Fret),
			FromNut:         round(mean * (1 - left)),
			FromPrevious:    round(mean * (before - left)),
			ToSaddle:        round(mean * left),
			BassFromNutMm:   bass * (1 - left),
			TrebleFromNutMm: treble * (1 - left),
			CentreFromNutMm: p.CentreScaleMm * (1 - left),
			AngleRad:        s.AngleRad,
			BoardWidthMm:    s.BoardWidthMm,
			SlotLengthMm:    s.LengthMm,
		})
	}
	return out
}

// Stepping is how far off a fret ends up when each is stepped off from the
// one before and every step has an error.
type Stepping struct {
	Fret int
	// WorstMm: every step errs the same way, as with dividers set wide, so
	// the errors add up: n times one error.
	WorstMm float64
	// LikelyMm: the steps err by chance either way, with the error given as
	// their standard deviation; it grows with the root of n.
	LikelyMm float64
	// WorstCents and LikelyCents are how sharp the fret sounds when it lies
	// that much too near the saddle.
	WorstCents, LikelyCents float64
}

// SteppingErrors tells someone who steps from fret to fret, with dividers
// that err by errMm at each step, where each fret would end up. scale is in
// millimetres. Measuring every fret from the nut avoids it.
func SteppingErrors(scale float64, count int, t Temperament, errMm float64) []Stepping {
	out := make([]Stepping, count)
	for i := range out {
		n := float64(i + 1)
		left := scale * t.Left(n)
		cents := func(off float64) float64 { return 1200 * math.Log2(left/math.Max(left-off, left*1e-6)) }
		s := Stepping{Fret: i + 1, WorstMm: n * errMm, LikelyMm: math.Sqrt(n) * errMm}
		s.WorstCents, s.LikelyCents = cents(s.WorstMm), cents(s.LikelyMm)
		out[i] = s
	}
	return out
}
