package neck

import (
	"fmt"
	"math"

	"slabwright/fret"
)

// Report is everything worked out for a Spec.
type Report struct {
	// Spec with every default filled in.
	Spec Spec
	Plan *fret.Plan

	Strings                        []String
	TotalTensionN, TotalTensionLbf float64
	Setup                          Setup
	Intonation                     []StringIntonation
	MeanSaddleMm, MeanNutMm        float64 // one line for all strings: the mean is the least-squares answer
	Bridge                         Bridge
	Joint                          Joint
	Head                           Head
	Blank                          Blank
	Deflection                     Deflection
	Carving                        []CarveStation
	// Warnings of all parts, complete sentences, in the order of the parts.
	Warnings []string
}

// StringIntonation is how one string plays in tune.
type StringIntonation struct {
	Number int
	// Instrument is the geometry it was worked out in.
	Instrument Instrument
	// Estimate is the quick rule; SaddleOnly and Both the least-squares
	// setbacks without and with the nut. Chosen is one of the two, as asked.
	Estimate, SaddleOnly, Both, Chosen Setback
	// Uncompensated and Compensated (with Chosen) are cents by cause, fret 1
	// first; FrequencyHz is what the compensated frets sound.
	Uncompensated, Compensated []CentsByCause
	FrequencyHz                []float64
	// SaddleFromNutMm and NutFromNutMm are where saddle and nut belong along
	// the string, from the nut's uncompensated front edge; SaddleAt and NutAt
	// the same in the neck frame.
	SaddleFromNutMm, NutFromNutMm float64
	SaddleAt, NutAt               fret.Point
}

// Cents is the compensated error by string and fret, [string][fret].
func (r *Report) Cents() [][]float64 {
	return totals(r, func(s StringIntonation) []CentsByCause { return s.Compensated })
}

// UncompensatedCents is the same without setbacks.
func (r *Report) UncompensatedCents() [][]float64 {
	return totals(r, func(s StringIntonation) []CentsByCause { return s.Uncompensated })
}

func totals(r *Report, pick func(StringIntonation) []CentsByCause) [][]float64 {
	out := make([][]float64, len(r.Intonation))
	for i, s := range r.Intonation {
		for _, c := range pick(s) {
			out[i] = append(out[i], c.Total())
		}
	}
	return out
}

// Bridge is where the saddles go.
type Bridge struct {
	// NearestMm and FarthestMm are the least and the greatest saddle setback;
	// SpanMm their difference, NeededMm with the spare at both ends.
	NearestMm, FarthestMm, SpanMm, NeededMm float64
	TravelMm                                float64
	// Enough tells whether the travel reaches every saddle with its spare;
	// SpareMm is what is left at each end with the bridge placed midway.
	Enough  bool
	SpareMm float64
	// FrontFromNutMm is where, along the centreline from the nut, the saddles'
	// foremost position belongs, and BackFromNutMm their rearmost.
	FrontFromNutMm, BackFromNutMm float64
	// FrontSetbackMm is the foremost position from the scale point (negative:
	// toward the nut).
	FrontSetbackMm float64
	// AngleRad of the uncompensated saddle line, as a fret's.
	AngleRad float64
}

// Work fills in a Spec's defaults and works everything out. The error, if
// any, is one sentence for the maker.
func Work(spec Spec) (*Report, error) {
	p, err := spec.prepare()
	if err != nil {
		return nil, err
	}
	r := &Report{Spec: p.Spec, Plan: p.plan}
	r.Warnings = append(r.Warnings, p.plan.Warnings...)
	for i, s := range p.Strings {
		w := s.work(i+1, p.plan.Strings[i].ScaleMm, p.A4Hz)
		if !p.plan.Layout.Two() {
			// On a board with one scale the slant of the outer strings is left
			// out of tension and pitch, as everybody reckons.
			w = s.work(i+1, p.plan.Layout.Scale, p.A4Hz)
		}
		r.Strings = append(r.Strings, w)
		r.TotalTensionN += w.TensionN
		r.Warnings = append(r.Warnings, w.Cautions...)
	}
	r.TotalTensionLbf = r.TotalTensionN * LbfPerNewton
	r.Setup = setup(p.plan, r.Strings, p.Board, p.Spec.Setup)
	r.Warnings = append(r.Warnings, r.Setup.Warnings...)
	r.intonate()
	r.place()
	if err := r.join(); err != nil {
		return nil, err
	}
	shape := r.shape()
	r.Head = head(p.plan, r.Setup, p.Head, p.Blank, p.Board.ThicknessMm)
	r.Warnings = append(r.Warnings, r.Head.Warnings...)
	r.Blank = shape.blank(p.Blank, p.Beam, r.Joint, r.Head.LengthMm, r.Head.WidthMm)
	r.Warnings = append(r.Warnings, r.Blank.Warnings...)
	r.Deflection = shape.deflect(r.TotalTensionN, r.stringHeight(), p.Beam)
	r.Carving = []CarveStation{carve("fret 1", shape.first, shape)}
	for _, row := range p.plan.Rows {
		if u := row.CentreFromNutMm; row.Fret > 1 && row.Fret == math.Trunc(row.Fret) && u < shape.heel {
			r.Carving = append(r.Carving, carve(fmt.Sprintf("fret %g", row.Fret), u, shape))
		}
	}
	r.Carving = append(r.Carving, carve("heel begins", shape.heel, shape))
	return r, nil
}

// shape is the neck between nut and joint, once the joint is known.
func (r *Report) shape() neckShape {
	n := neckShape{
		plan: r.Plan, back: r.Spec.Back, boardMm: r.Spec.Board.ThicknessMm, heelMm: r.Joint.HeelMm,
		first: r.Plan.CentreFromNut(1), joint: r.Joint.JointFromNutMm,
	}
	n.heel = math.Max(n.joint-n.back.HeelRunMm, n.first+1)
	n.joint = math.Max(n.joint, n.heel+1)
	return n
}

// intonate finds every string's setbacks.
func (r *Report) intonate() {
	spec := r.Spec.Intonation
	l := r.Plan.Layout
	for i, s := range r.Strings {
		st := r.Setup.Strings[i]
		in := Instrument{
			ScaleMm: s.ScaleMm, NutHeightMm: st.NutHeightMm, SaddleRiseMm: st.SaddleRiseMm,
			FingerMm: spec.FingerMm, FallMm: spec.FallMm, FullStiffness: spec.FullStiffness,
		}
		if spec.NutHeightMm != 0 || spec.SaddleRiseMm != 0 {
			in.NutHeightMm, in.SaddleRiseMm = spec.NutHeightMm, spec.SaddleRiseMm
		}
		along := r.Plan.Strings[i]
		target := l.Temperament
		if spec.Tonic != "" {
			tonic, _ := ParsePitch(spec.Tonic, r.Spec.A4Hz) // checked
			target = target.From(target.Degree(1200 * math.Log2(s.FrequencyHz/tonic)))
		}
		for n := 1; n <= l.Count; n++ {
			_, left := r.Plan.FretOnString(i+1, float64(n))
			in.Ratios = append(in.Ratios, 1/target.Left(float64(n)))
			in.Left = append(in.Left, left/along.ScaleMm)
		}
		k, b := s.StretchNumber, s.BendingNumber
		si := StringIntonation{Number: i + 1, Instrument: in, Estimate: in.Estimate(k, b)}
		weights := spec.Weights
		if len(weights) == 0 {
			weights = nil
		}
		si.SaddleOnly = in.Compensate(k, b, spec.Frets, weights, false)
		si.Both = si.SaddleOnly
		if spec.Frets > 1 {
			si.Both = in.Compensate(k, b, spec.Frets, weights, true)
		}
		si.Chosen = si.Both
		if spec.KeepNut {
			si.Chosen = si.SaddleOnly
		}
		si.Uncompensated = in.Cents(k, b, 0, 0)
		si.Compensated = in.Cents(k, b, si.Chosen.SaddleMm, si.Chosen.NutMm)
		for n, c := range si.Compensated {
			si.FrequencyHz = append(si.FrequencyHz, s.FrequencyHz*in.Ratios[n]*math.Exp2(c.Total()/1200))
		}
		si.SaddleFromNutMm, si.NutFromNutMm = along.ScaleMm+si.Chosen.SaddleMm, -si.Chosen.NutMm
		si.SaddleAt = along.Line().At(si.SaddleFromNutMm / along.ScaleMm)
		si.NutAt = along.Line().At(si.NutFromNutMm / along.ScaleMm)
		r.Intonation = append(r.Intonation, si)
		r.MeanSaddleMm += si.Chosen.SaddleMm / float64(len(r.Strings))
		r.MeanNutMm += si.Chosen.NutMm / float64(len(r.Strings))
	}
}

// place finds where the bridge goes.
func (r *Report) place() {
	b := Bridge{NearestMm: math.Inf(1), FarthestMm: math.Inf(-1), TravelMm: r.Spec.Bridge.TravelMm, AngleRad: r.Plan.SaddleAngleRad}
	for _, s := range r.Intonation {
		b.NearestMm = math.Min(b.NearestMm, s.Chosen.SaddleMm)
		b.FarthestMm = math.Max(b.FarthestMm, s.Chosen.SaddleMm)
	}
	b.SpanMm = b.FarthestMm - b.NearestMm
	b.NeededMm = b.SpanMm + 2*r.Spec.Bridge.SpareMm
	b.Enough = b.NeededMm <= b.TravelMm+1e-9
	b.SpareMm = (b.TravelMm - b.SpanMm) / 2
	b.FrontSetbackMm = b.NearestMm - b.SpareMm
	b.FrontFromNutMm = r.Plan.CentreScaleMm + b.FrontSetbackMm
	b.BackFromNutMm = b.FrontFromNutMm + b.TravelMm
	if !b.Enough {
		r.Warnings = append(r.Warnings, fmt.Sprintf("the saddles need %.1f mm of travel (%.1f and %.1f mm to spare at each end) but the bridge has %.1f mm", b.NeededMm, b.SpanMm, r.Spec.Bridge.SpareMm, b.TravelMm))
	}
	r.Bridge = b
}

// stringHeight is the mean height of the strings' undersides over the glue
// line, along the centreline.
func (r *Report) stringHeight() func(u float64) float64 {
	nut, saddle := 0.0, 0.0
	n := float64(len(r.Strings))
	for i, s := range r.Setup.Strings {
		at := r.Plan.Strings[i].Nut
		nut += (s.NutMm - r.Spec.Board.Drop(at.U, at.V, r.Plan.CentreScaleMm)) / n
		saddle += s.SaddleMm / n
	}
	scale, board := r.Plan.CentreScaleMm, r.Spec.Board.ThicknessMm
	return func(u float64) float64 { return board + nut + (saddle-nut)*u/scale }
}

// join solves the neck joint.
func (r *Report) join() error {
	spec, plan := r.Spec.Joint, r.Plan
	scale := plan.CentreScaleMm
	at := plan.CentreFromNut(spec.JointFret)
	g := seatGeometry{toSaddle: scale - at, saddle: r.Setup.SaddleOuterMm}
	phi, pocket, heel, bridge, err := g.solve(spec)
	if err != nil {
		return err
	}
	if pocket < 0 || heel < r.Spec.Board.ThicknessMm || math.Abs(phi) > 0.36 {
		return fmt.Errorf("solving the neck joint for the %s gives a neck angle of %.2f degrees, a pocket of %.2f mm, a heel of %.2f mm and a bridge of %.2f mm, which cannot be built: change one of the given three", spec.Solve, phi*180/math.Pi, pocket, heel, bridge)
	}
	sin, cos := math.Sincos(phi)
	j := Joint{
		Solved: spec.Solve, NeckAngleRad: phi, NeckAngleDeg: phi * 180 / math.Pi,
		PocketMm: pocket, HeelMm: heel, BridgeMm: bridge,
		JointFromNutMm: at, HeelEndFromNutMm: at + spec.PocketLengthMm,
		BoardOverBodyMm: heel/cos - pocket,
		PocketInnerMm:   pocket - spec.PocketLengthMm*sin,
	}
	j.Seat = Seat{AngleRad: phi, ScaleMm: scale, BoardAtScaleMm: j.BoardOverBodyMm + (scale-at)*sin}
	j.WedgeMm = j.PocketMm - j.PocketInnerMm
	end := (plan.BoardEnd.From.U + plan.BoardEnd.To.U) / 2
	_, _, j.BoardEndOverBodyMm = j.Seat.Body(end, 0, 0)
	_, _, j.BoardEndFreeMm = j.Seat.Body(end, 0, -r.Spec.Board.ThicknessMm)
	strings, n := r.Setup.Strings, len(r.Setup.Strings)
	first, last := strings[0], strings[n-1]
	count := plan.Layout.Count
	j.ActionAtLastMm = (first.GapMm[count-1] + last.GapMm[count-1]) / 2
	under := func(s StringSetup, u float64) float64 {
		p := plan.Strings[s.Number-1].Nut
		nut := s.NutMm - r.Spec.Board.Drop(p.U, p.V, scale)
		return nut + (s.SaddleMm-nut)*u/scale
	}
	gap := func(s StringSetup) float64 {
		line := plan.Strings[s.Number-1].Line()
		v := line.At(at / scale).V
		return under(s, at) - (r.Setup.Spec.CrownMm - r.Spec.Board.Drop(at, v, scale))
	}
	j.ActionAtJointMm = (gap(first) + gap(last)) / 2
	lastU := plan.CentreFromNut(float64(count))
	_, _, j.StringOverBodyAtLastMm = j.Seat.Body(lastU, 0, (under(first, lastU)+under(last, lastU))/2)
	if j.BoardEndFreeMm < 0 && end > j.HeelEndFromNutMm {
		r.Warnings = append(r.Warnings, fmt.Sprintf("the board's end would sink %.1f mm into the body past the heel: a shallower pocket, or relieve the body there", -j.BoardEndFreeMm))
	}
	if j.BoardOverBodyMm < 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("the board's surface lies %.1f mm under the body's front at the joint", -j.BoardOverBodyMm))
	}
	r.Joint = j
	return nil
}
