package fret

import (
	"errors"
	"fmt"
	"math"
)

// MostFrets and MostStrings bound what is laid out.
const (
	MostFrets   = 36
	MostStrings = 12
	longest     = 3000 // mm; no fretted instrument has a longer scale
)

// Layout holds the parameters of a fretted board, in millimetres. Fill what
// is known; Filled puts the stated default in the place of every zero.
// Check tells whether it can be built; Plan works it out.
type Layout struct {
	// Scale is the scale length along the centreline of a board with one
	// scale. Leave it 0 and set the two below for two-scale frets.
	Scale float64
	// BassScale and TrebleScale are the scale lengths along the lowest and
	// the highest string. Set both or neither.
	BassScale, TrebleScale float64
	// SquareFret is the fret at right angles to the centreline, 0 (the nut)
	// to Count; 7.5 lies half way in pitch between frets 7 and 8. It matters
	// only with two scales.
	SquareFret float64
	// Count is how many frets there are, 1 to MostFrets.
	Count int
	// Temperament is where they sound; the zero value is twelve equal steps.
	Temperament Temperament

	// SpreadNut and SpreadSaddle are the distances between the centres of the
	// outer strings, square to the centreline. Default: by number of strings
	// (DefaultSpreads).
	SpreadNut, SpreadSaddle float64
	// Strings says how the strings share the spread. Default: six, equal
	// centres.
	Strings Across

	// NutWidth and EndWidth are the board's widths at the nut and at the last
	// fret, square to the centreline. 0: made from the margins.
	NutWidth, EndWidth float64
	// MarginNut and MarginEnd are the distances from an outer string's centre
	// to the board's edge at the nut and at the last fret, where the width is
	// not given. Default 3.2 and 3.3 (common practice, no source).
	MarginNut, MarginEnd float64
	// MarginAsked is the least distance from an outer string's centre to the
	// edge that the maker wants anywhere along the board. Default 2.8
	// (common practice, no source).
	MarginAsked float64
	// Overhang is how far the board runs on past the last fret, along the
	// centreline. Default 10, less where the scale ends sooner.
	Overhang float64

	// ZeroFret puts a fret where the nut's front edge would be; the nut then
	// only spaces the strings, NutBehind further back. Default 3.
	ZeroFret  bool
	NutBehind float64

	// Partial lists frets that do not cross the whole board.
	Partial []PartialFret
	// SlotKeptBack is the wood left between a slot's ends and the board's
	// edges; 0 cuts through.
	SlotKeptBack float64
}

// PartialFret is a fret under some strings only.
type PartialFret struct {
	// Fret is its number. A whole number shortens that fret; one between
	// (6.5) adds a fret there, half way in pitch.
	Fret float64
	// FirstString and LastString are the outer strings it serves, 1 being the
	// highest. It reaches half way to the neighbours, or to the board's edge.
	FirstString, LastString int
}

// Plain is a board with one scale and defaults for all else.
func Plain(scale float64, count int) Layout { return Layout{Scale: scale, Count: count} }

// TwoScale is a board with two scales and defaults for all else.
func TwoScale(bass, treble, squareFret float64, count int) Layout {
	return Layout{BassScale: bass, TrebleScale: treble, SquareFret: squareFret, Count: count}
}

// Two tells whether the layout has two scales (which may be equal).
func (l Layout) Two() bool { return l.BassScale != 0 || l.TrebleScale != 0 }

// MeanScale is the scale, or the mean of the two.
func (l Layout) MeanScale() float64 {
	if l.Two() {
		return (l.BassScale + l.TrebleScale) / 2
	}
	return l.Scale
}

// DefaultSpreads gives usual distances between the outer strings' centres at
// nut and saddle (common practice, no source): 7.1 and 10.4 mm from string to
// string; on scales above 740 mm, basses, 10.5 and 19 mm.
func DefaultSpreads(strings int, scale float64) (nut, saddle float64) {
	gaps := float64(max(strings-1, 1))
	if scale > 740 {
		return gaps * 10.5, gaps * 19
	}
	return gaps * 7.1, gaps * 10.4
}

// Filled is l with every zero that has a default replaced by it.
func (l Layout) Filled() Layout {
	fill := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	l.Strings = l.Strings.filled()
	nut, saddle := DefaultSpreads(len(l.Strings.courses()), l.MeanScale())
	fill(&l.SpreadNut, nut)
	fill(&l.SpreadSaddle, saddle)
	fill(&l.MarginNut, 3.2)
	fill(&l.MarginEnd, 3.3)
	fill(&l.MarginAsked, 2.8)
	fill(&l.NutBehind, 3)
	if l.Overhang == 0 && l.Count > 0 {
		l.Overhang = math.Min(10, l.MeanScale()*l.Temperament.Left(float64(l.Count))/4)
	}
	return l
}

// Check tells what keeps the layout from being built: one message with what
// is wrong and what would be right, or nil. It fills defaults first.
func (l Layout) Check() error {
	within := func(name string, v, low, high float64) error {
		if math.IsNaN(v) || v < low || v > high {
			return fmt.Errorf("%s of %g mm: it must lie between %g and %g mm", name, v, low, high)
		}
		return nil
	}
	if l.Two() {
		if l.BassScale == 0 || l.TrebleScale == 0 {
			return errors.New("two-scale frets need both a bass scale and a treble scale")
		}
		if l.Scale != 0 && l.Scale != l.MeanScale() {
			return errors.New("give either one scale length or a bass and a treble scale, not both")
		}
		if err := within("a bass scale", l.BassScale, 50, longest); err != nil {
			return err
		}
		if err := within("a treble scale", l.TrebleScale, 50, longest); err != nil {
			return err
		}
	} else if err := within("a scale length", l.Scale, 50, longest); err != nil {
		return err
	}
	if l.Count < 1 || l.Count > MostFrets {
		return fmt.Errorf("%d frets: write a whole number from 1 to %d", l.Count, MostFrets)
	}
	if math.IsNaN(l.SquareFret) || l.SquareFret < 0 || l.SquareFret > float64(l.Count) {
		return fmt.Errorf("square fret %g is off the board: it must lie between 0 (the nut) and %d (the last fret)", l.SquareFret, l.Count)
	}
	if err := l.Strings.check(); err != nil {
		return err
	}
	f := l.Filled()
	for _, c := range []struct {
		name string
		v    float64
		low  float64
		high float64
	}{
		{"a spread of the strings at the nut", f.SpreadNut, 1, 300},
		{"a spread of the strings at the saddle", f.SpreadSaddle, 1, 300},
		{"a board width at the nut", f.NutWidth, 0, 400},
		{"a board width at the last fret", f.EndWidth, 0, 400},
		{"an edge margin at the nut", f.MarginNut, 0, 50},
		{"an edge margin at the last fret", f.MarginEnd, 0, 50},
		{"an asked edge margin", f.MarginAsked, 0, 50},
		{"a board end past the last fret", f.Overhang, 0, 300},
		{"a nut behind the zero fret", f.NutBehind, 0, 50},
		{"a slot end kept back", f.SlotKeptBack, 0, 20},
	} {
		if err := within(c.name, c.v, c.low, c.high); err != nil {
			return err
		}
	}
	// The outer strings must be long enough to span the difference of spreads.
	if d := math.Abs(f.SpreadSaddle-f.SpreadNut) / 2; f.Two() && d >= math.Min(f.BassScale, f.TrebleScale)/2 {
		return fmt.Errorf("spreads of %g mm at the nut and %g mm at the saddle are too far apart for the scales", f.SpreadNut, f.SpreadSaddle)
	}
	for _, at := range []struct {
		where string
		v     float64
	}{{"nut", f.SpreadNut}, {"saddle", f.SpreadSaddle}} {
		if _, err := f.Strings.offsets(at.v, at.where == "nut"); err != nil {
			return fmt.Errorf("at the %s: %w", at.where, err)
		}
	}
	for _, p := range l.Partial {
		if math.IsNaN(p.Fret) || p.Fret <= 0 || p.Fret > float64(l.Count) {
			return fmt.Errorf("partial fret %g is off the board: it must lie above 0 and not beyond fret %d", p.Fret, l.Count)
		}
		if n := f.Strings.Count; p.FirstString < 1 || p.LastString > n || p.FirstString > p.LastString {
			return fmt.Errorf("partial fret %g under strings %d to %d: strings are counted 1 (highest) to %d", p.Fret, p.FirstString, p.LastString, n)
		}
	}
	return l.checkFan(f)
}

// checkFan refuses frets that fan so much that two of them meet on the board.
func (l Layout) checkFan(f Layout) error {
	if !f.Two() {
		return nil
	}
	p := f.plan()
	for _, s := range p.Slots {
		if math.Abs(s.AngleRad) > math.Pi/3 {
			return fmt.Errorf("fret %g would lie %.0f degrees from square: bring the scales nearer to each other or move the square fret (60 degrees is the most)", s.Fret, s.AngleRad*180/math.Pi)
		}
	}
	for i := 1; i < len(p.Slots); i++ {
		a, b := p.Slots[i-1], p.Slots[i]
		if !a.Partial && !b.Partial && (b.Bass.U <= a.Bass.U || b.Treble.U <= a.Treble.U) {
			return fmt.Errorf("frets %g and %g would meet on the board: bring the scales nearer to each other or narrow the board", a.Fret, b.Fret)
		}
	}
	return nil
}
