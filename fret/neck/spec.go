package neck

import (
	"fmt"
	"math"

	"slabwright/fret"
)

// Spec is a neck as its maker describes it, millimetres. The zero Spec is a
// six-string guitar of 648 mm and 22 frets with usual sizes; each zero field
// has its default, stated beside it. A project file should expose
//
//	scale, bass scale, treble scale, square fret, count, temperament, zero fret
//	spreads at nut and saddle, board width, margins, spacing, courses
//	strings: note, gauge, and where known construction, core, unit mass, R
//	board: radius at nut and saddle, flat, thickness
//	set-up: crown, action treble and bass, relief, gap over fret 1, tang
//	intonation: nut compensation, frets, weights, finger
//	joint: solve, fret, neck angle, pocket, heel, bridge height
//	bridge: saddle travel
//	blank, headstock, back, beam: their fields as named here
type Spec struct {
	// Layout of frets and strings. A scale of 0 is 648 mm (864 with four to
	// six strings that are tuned below 60 Hz), a count of 0 is 22.
	Layout fret.Layout
	// ScaleMm is short for Layout.Scale.
	ScaleMm float64
	// Strings, string 1 (the highest) first. Empty: DefaultStrings. A gauge
	// alone takes the default set's note. Twelve strings in pairs need
	// Layout.Strings.Courses as well; only when no string is described are ten
	// or twelve taken as pairs.
	Strings []StringSpec
	// A4Hz is the reference pitch, default 440 (ISO 16).
	A4Hz float64

	Board      BoardSpec
	Setup      SetupSpec
	Intonation IntonationSpec
	Joint      JointSpec
	Bridge     BridgeSpec
	Blank      BlankSpec
	Head       HeadSpec
	Back       BackSpec
	Beam       BeamSpec
}

// IntonationSpec says how setbacks are found.
type IntonationSpec struct {
	// Frets is over how many frets the error is made least; default 12.
	Frets int
	// Weights are for frets 1, 2, …; empty: all equal. A fret past the list
	// has weight 0.
	Weights []float64
	// KeepNut leaves the nut where it is and compensates at the saddle only.
	KeepNut bool
	// FingerMm is how far behind the fret the finger presses the string down;
	// default 0, where it just bends over the fret.
	FingerMm float64
	// FallMm and FullStiffness are as in Instrument.
	FallMm        float64
	FullStiffness bool
	// Tonic is the note an uneven temperament starts from. Each string then
	// sounds as the degree nearest to its pitch, and its frets are judged by
	// the scale from there; straight frets cannot suit all strings. Empty:
	// every string's open note is taken as the start. It makes no difference
	// with equal steps.
	Tonic string
	// NutHeightMm and SaddleRiseMm, h and k of Instrument, in place of those
	// of the set-up. Give both or neither.
	NutHeightMm, SaddleRiseMm float64
}

// BridgeSpec is what the bridge can do.
type BridgeSpec struct {
	// TravelMm is how far a saddle can be moved; default 10 (common practice).
	TravelMm float64
	// SpareMm is the travel to keep at both ends for other strings; default 1.
	SpareMm float64
}

// prepared is a Spec with defaults filled in and its plan worked out.
type prepared struct {
	Spec
	plan *fret.Plan
}

func (s Spec) prepare() (*prepared, error) {
	if s.A4Hz == 0 {
		s.A4Hz = A4
	}
	if math.IsNaN(s.A4Hz) || s.A4Hz < 300 || s.A4Hz > 600 {
		return nil, fmt.Errorf("a reference pitch of %g Hz: it must lie between 300 and 600 Hz", s.A4Hz)
	}
	l := s.Layout
	if s.ScaleMm != 0 {
		if (l.Scale != 0 && l.Scale != s.ScaleMm) || l.Two() {
			return nil, fmt.Errorf("a scale of %g mm is given beside another in the layout", s.ScaleMm)
		}
		l.Scale = s.ScaleMm
	}
	if len(s.Strings) > fret.MostStrings {
		return nil, fmt.Errorf("%d strings: write from 1 to %d", len(s.Strings), fret.MostStrings)
	}
	l = withStrings(l, s.Strings)
	strings := append([]StringSpec(nil), s.Strings...)

	// Pitches given, so that a bass without a scale gets a bass's.
	lowest := math.Inf(1)
	for i := range strings {
		t := &strings[i]
		if err := t.check(); err != nil {
			return nil, fmt.Errorf("string %d: %w", i+1, err)
		}
		if t.Note != "" {
			f, err := ParsePitch(t.Note, s.A4Hz)
			if err != nil {
				return nil, fmt.Errorf("string %d: %w", i+1, err)
			}
			if t.FrequencyHz != 0 && math.Abs(t.FrequencyHz-f) > 0.01*f {
				return nil, fmt.Errorf("string %d: note %s is %.2f Hz, but %g Hz is given as well; leave one out", i+1, t.Note, f, t.FrequencyHz)
			}
			if t.FrequencyHz == 0 {
				t.FrequencyHz = f
			}
		}
		if t.FrequencyHz > 0 {
			lowest = math.Min(lowest, t.FrequencyHz)
		}
	}
	if l.Scale == 0 && !l.Two() {
		l.Scale = 648
		if len(strings) >= 4 && len(strings) <= 6 && lowest < 60 {
			l.Scale = 864
		}
	}
	if l.Count == 0 {
		l.Count = 22
	}
	gauges := l.Strings.Gauges // before filling, to see whether the maker gave them
	probe := l
	probe.Strings.AtNut, probe.Strings.AtSaddle = fret.EqualCentres, fret.EqualCentres
	if err := probe.Check(); err != nil {
		return nil, err
	}
	filled := probe.Filled()
	n, scale := filled.Strings.Count, filled.MeanScale()
	if len(strings) != 0 && len(strings) != n {
		return nil, fmt.Errorf("%d strings are described but the layout has %d", len(strings), n)
	}

	// Notes for strings without one, gauges for strings without one.
	usual := DefaultStrings(n, scale, l.Strings.Courses)
	if len(strings) == 0 {
		strings = make([]StringSpec, n)
		copy(strings, usual)
		for i := range strings {
			if i < len(gauges) {
				strings[i].GaugeMm = gauges[i]
			}
		}
	}
	for i := range strings {
		t := &strings[i]
		if i < len(gauges) && t.GaugeMm == 0 {
			t.GaugeMm = gauges[i]
		}
		if t.FrequencyHz == 0 {
			if t.Note == "" {
				t.Note = usual[i].Note
			}
			f, err := ParsePitch(t.Note, s.A4Hz)
			if err != nil {
				return nil, fmt.Errorf("string %d: %w", i+1, err)
			}
			t.FrequencyHz = f
		}
		own := scale
		if filled.Two() && n > 1 {
			own = filled.TrebleScale + (filled.BassScale-filled.TrebleScale)*float64(i)/float64(n-1)
		}
		*t = t.fill(own, defaultPull(scale, t.Material))
		if err := t.check(); err != nil {
			return nil, fmt.Errorf("string %d: %w", i+1, err)
		}
	}
	l.Strings.Gauges = make([]float64, n)
	for i := range strings {
		l.Strings.Gauges[i] = strings[i].GaugeMm
	}
	plan, err := l.Plan()
	if err != nil {
		return nil, err
	}
	s.Layout, s.ScaleMm, s.Strings = plan.Layout, 0, strings
	if err := s.fillRest(plan); err != nil {
		return nil, err
	}
	return &prepared{s, plan}, nil
}

func (s *Spec) fillRest(plan *fret.Plan) error {
	scale, count, n := plan.Layout.MeanScale(), plan.Layout.Count, len(s.Strings)
	if s.Board.RadiusNutMm == 0 {
		s.Board.RadiusNutMm = 254
	}
	if s.Board.RadiusSaddleMm == 0 {
		s.Board.RadiusSaddleMm = s.Board.RadiusNutMm
	}
	if s.Board.ThicknessMm == 0 {
		s.Board.ThicknessMm = 6
	}
	s.Setup = s.Setup.filled(scale, count)
	if s.Intonation.Frets == 0 {
		s.Intonation.Frets = min(12, count)
	}
	if s.Bridge.TravelMm == 0 {
		s.Bridge.TravelMm = 10
	}
	if s.Bridge.SpareMm == 0 {
		s.Bridge.SpareMm = 1
	}
	if err := s.Joint.check(count); err != nil {
		return err
	}
	if err := s.Blank.check(); err != nil {
		return err
	}
	if err := s.Head.check(n); err != nil {
		return err
	}
	for _, e := range []error{s.Back.First.check("at fret 1", s.Board.ThicknessMm), s.Back.Heel.check("at the heel", s.Board.ThicknessMm)} {
		if e != nil {
			return e
		}
	}
	s.Joint = s.Joint.filled(count)
	s.Blank = s.Blank.filled()
	s.Head = s.Head.filled(n, scale, plan.Layout.SpreadNut)
	s.Back = s.Back.filled()
	s.Beam = s.Beam.filled()
	if s.Joint.HeelMm != 0 && s.Joint.HeelMm < s.Board.ThicknessMm+3 {
		return fmt.Errorf("a heel height of %g mm with a fretboard of %g mm: heel height counts the board, so it must be at least %g mm", s.Joint.HeelMm, s.Board.ThicknessMm, s.Board.ThicknessMm+3)
	}
	for _, c := range []struct {
		name         string
		v, low, high float64
	}{
		{"a fretboard thickness", s.Board.ThicknessMm, 1, 20},
		{"a fret crown", s.Setup.CrownMm, 0.1, 4},
		{"an action on the treble side", s.Setup.ActionTrebleMm, 0.1, 20},
		{"an action on the bass side", s.Setup.ActionBassMm, 0.1, 20},
		{"a gap over fret 1", s.Setup.FirstFretMm, 0.01, 5},
		{"a relief", s.Setup.ReliefMm, 0, 5},
		{"a nut blank", s.Setup.NutBlankMm, 1, 40},
		{"a share above the nut slot", s.Setup.ShareAbove, 0, 1},
		{"a tang", s.Setup.TangMm, 0.3, 5},
		{"a clearance under the tang", s.Setup.ClearanceMm, 0, 3},
		{"fret wire over each end", s.Setup.WireOverMm, 0, 50},
		{"a spare share of fret wire", s.Setup.WireSpare, 0, 2},
		{"a finger behind the fret", s.Intonation.FingerMm, 0, 15},
		{"a fall of the board", s.Intonation.FallMm, -2, 10},
		{"a nut height over the fret tops", s.Intonation.NutHeightMm, 0, 10},
		{"a saddle's rise over the nut", s.Intonation.SaddleRiseMm, -5, 40},
		{"a saddle travel", s.Bridge.TravelMm, 0, 60},
		{"a spare saddle travel", s.Bridge.SpareMm, 0, 30},
		{"a neck modulus (GPa)", s.Beam.NeckModulusGPa, 0.5, 500},
		{"a fretboard modulus (GPa)", s.Beam.BoardModulusGPa, 0.5, 500},
		{"a rod's stiffness (N·m²)", s.Beam.RodStiffnessNm2, 0, 10000},
		{"a rod channel's width", s.Beam.ChannelWidthMm, 0, 20},
		{"a rod channel's depth", s.Beam.ChannelDepthMm, 0, 30},
		{"wood under the channel", s.Beam.LeftUnderMm, 0, 20},
		{"wood left on the facets", s.Back.LeaveMm, 0, 5},
		{"a run into the heel", s.Back.HeelRunMm, 1, 200},
	} {
		if math.IsNaN(c.v) || c.v < c.low || c.v > c.high {
			return fmt.Errorf("%s of %g: it must lie between %g and %g", c.name, c.v, c.low, c.high)
		}
	}
	if s.Back.Rounds < 1 || s.Back.Rounds > 4 {
		return fmt.Errorf("%d rounds of facets: from 1 to 4", s.Back.Rounds)
	}
	if !s.Board.Flat {
		half := 0.0
		for _, p := range []fret.Point{plan.BoardEnd.From, plan.BoardEnd.To, plan.NutEdge.From, plan.NutEdge.To, plan.SaddleLine.From, plan.SaddleLine.To} {
			half = math.Max(half, math.Abs(p.V))
		}
		for _, r := range []float64{s.Board.RadiusNutMm, s.Board.RadiusSaddleMm} {
			if math.IsNaN(r) || r < 1.2*half || r > 1e5 {
				return fmt.Errorf("a fretboard radius of %g mm: on this board it must lie between %.0f and 100000 mm, or say flat", r, math.Ceil(1.2*half))
			}
		}
	}
	if s.Setup.ActionFret < 1 || s.Setup.ActionFret > count {
		return fmt.Errorf("action measured at fret %d: the board has frets 1 to %d", s.Setup.ActionFret, count)
	}
	if s.Intonation.Tonic != "" {
		if _, err := ParsePitch(s.Intonation.Tonic, s.A4Hz); err != nil {
			return fmt.Errorf("the temperament's tonic: %w", err)
		}
	}
	return s.Intonation.check(count)
}

func (i IntonationSpec) check(count int) error {
	if i.Frets < 1 || i.Frets > count {
		return fmt.Errorf("intonation over %d frets: the board has 1 to %d", i.Frets, count)
	}
	need := 2
	if i.KeepNut {
		need = 1
	}
	used := i.Frets
	if len(i.Weights) > 0 {
		used = 0
		for n, w := range i.Weights {
			if math.IsNaN(w) || w < 0 || w > 1e6 {
				return fmt.Errorf("weight %g of fret %d: it must lie between 0 and 1000000", w, n+1)
			}
			if w > 0 && n < i.Frets {
				used++
			}
		}
	}
	if used < need {
		return fmt.Errorf("intonation is asked for over %d frets: setbacks at nut and saddle need two, at the saddle alone one", used)
	}
	return nil
}
