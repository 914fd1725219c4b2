package slab

import (
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
	"slabwright/layout/wood"
)

// ReportOptions say what a report is asked for and by which rules.
type ReportOptions struct {
	Chambers ChamberRules
	Reserved []geom.Polygon // wood to be kept, in plan
	Hole     geom.Polygon   // what has been cut out, for the bending estimate; nil = nothing
	Compare  bool           // lay out the chambers with each rib pattern too

	Cut    CutRules
	Boards []Board // the maker's boards; none = no nesting
	KerfMm float64

	Glue   GlueRules
	Finish FinishRules
	Stack  *StackWish // nil = none

	Fasteners  FastenerRules // that fasteners are checked by and holding screws planned
	PlanScrews bool

	MoisturePct  float64 // weigh at this moisture; 0 = each piece at its own
	TemperatureC float64 // of the room the slab will live in
	HumidityPct  float64

	SkinLoadN    float64 // a thumb, an elbow
	SlabLoadN    float64
	HangerFactor float64
}

// DefaultReportOptions are the defaults of all rules, a living room's air and
// loads of our own choice.
func DefaultReportOptions() ReportOptions {
	return ReportOptions{
		Chambers: DefaultChamberRules(), Cut: DefaultCutRules(), KerfMm: 3, Glue: DefaultGlueRules(), Finish: DefaultFinishRules(), Fasteners: DefaultFastenerRules(),
		TemperatureC: 20, HumidityPct: 50, SkinLoadN: 200, SlabLoadN: 1000, HangerFactor: 4,
	}
}

// Check says which option makes no sense, or nil.
func (o ReportOptions) Check() error {
	for _, err := range []error{o.Chambers.Check(), o.Cut.Check(), o.Glue.Check(), o.Finish.Check(), o.Fasteners.Check(), CheckBoards(o.Boards, o.KerfMm)} {
		if err != nil {
			return err
		}
	}
	if !(o.MoisturePct >= 0 && o.MoisturePct <= 30) {
		return fmt.Errorf("moisture %g %%: give 0 (each piece at its own) to 30", o.MoisturePct)
	}
	if !(o.SkinLoadN >= 0) || !(o.SlabLoadN >= 0) || !(o.HangerFactor >= 1) || math.IsInf(o.SkinLoadN+o.SlabLoadN+o.HangerFactor, 1) {
		return fmt.Errorf("loads %g N on a skin, %g N on the slab, hanger factor %g: loads must be at least 0, the factor at least 1", o.SkinLoadN, o.SlabLoadN, o.HangerFactor)
	}
	return nil
}

// Report is everything the shop needs to know of the slab.
type Report struct {
	WeightBeforeKg float64 `json:"weight_before_kg"`
	WeightAfterKg  float64 `json:"weight_after_kg"`
	FinishedKg     float64 `json:"finished_kg"` // with chambers, fittings and dry finish
	BoardFeet      float64 `json:"board_feet"`  // of the blanks, without waste
	WidthMm        float64 `json:"width_mm"`
	LengthMm       float64 `json:"length_mm"`

	Strips   []StripLine   `json:"strips"`
	Chambers []ChamberLine `json:"chambers"`

	Symmetry  Symmetry        `json:"symmetry"`
	Weight    Weight          `json:"weight"`
	Hollowing Hollowing       `json:"hollowing"`
	Patterns  []PatternEffect `json:"rib_patterns,omitempty"`
	Stack     *StackPlan      `json:"stack,omitempty"`
	CutList   CutList         `json:"cut_list"`
	Nesting   *Nesting        `json:"nesting,omitempty"`
	GlueUp    GluePlan        `json:"glue_up"`
	Screws    *FastenerPlan   `json:"holding_screws,omitempty"`
	Fasteners []FastenerLine  `json:"fasteners"`       // in the slab, in the order of driving
	Faults    []FastenerFault `json:"fastener_faults"` // of those
	Motion    Motion          `json:"movement"`
	Edges     []EdgePlan      `json:"edges"`
	Fittings  FittingsReport  `json:"fittings"`
	Finish    Finish          `json:"finish"`
	Strength  Strength        `json:"strength_estimate"`
	OK        bool            `json:"ok"` // no glue line short of glue, no fastener at fault, the stack adds up
	Cautions  []string        `json:"cautions"`
}

// StripLine is one strip as it stands in the slab.
type StripLine struct {
	Strip       int       `json:"strip"` // from 0 at the right
	Name        string    `json:"name"`
	RightMm     float64   `json:"right_mm"` // y of its two sides
	LeftMm      float64   `json:"left_mm"`
	ThicknessMm float64   `json:"thickness_mm"`
	Parts       []PartRow `json:"parts"` // pieces and slips along the slab
}

// FastenerLine is one fastener in the slab, or the hole it left.
type FastenerLine struct {
	Name     string     `json:"name"`
	Kind     string     `json:"kind"`
	StartMm  [3]float64 `json:"start_mm"`
	TipMm    [3]float64 `json:"tip_mm"`
	LengthMm float64    `json:"length_mm"`
	LeftIn   bool       `json:"left_in"`
	OK       bool       `json:"ok"`
}

// PartRow is a piece or slip.
type PartRow struct {
	Name        string  `json:"name"`
	Wood        string  `json:"wood"`
	Common      string  `json:"common"`
	Colour      string  `json:"colour"`
	FromMm      float64 `json:"from_mm"` // on the strip's centreline
	ToMm        float64 `json:"to_mm"`
	RoughMm     float64 `json:"rough_mm"` // 0 = not given
	DensityKgM3 float64 `json:"density_kg_m3"`
	MoisturePct float64 `json:"moisture_pct"`
	RingDeg     float64 `json:"ring_deg"`
}

// WithPlan is the slab with its planned chambers laid out afresh; cut ones
// stay. A slab that does not pass Check comes back as it is.
func (s *Slab) WithPlan(rules ChamberRules, reserved []geom.Polygon) *Slab {
	if s.Check() != nil {
		return s
	}
	return s.with(PlanChambers(s, rules, reserved))
}

// with is the slab with its cut chambers and these.
func (s *Slab) with(planned []Chamber) *Slab {
	out := *s
	out.Chambers = nil
	for _, c := range s.Chambers {
		if c.State == Cut {
			out.Chambers = append(out.Chambers, c)
		}
	}
	out.Chambers = append(out.Chambers, planned...)
	return &out
}

// StripLines are the strips as they stand, from the right.
func (s *Slab) StripLines() []StripLine {
	var out []StripLine
	bands := s.bands()
	for i, t := range s.Strips {
		line := StripLine{Strip: i, Name: s.StripName(i), RightMm: bands[i], LeftMm: bands[i+1], ThicknessMm: t.Thickness()}
		line.Parts = make([]PartRow, 0, len(t.Pieces))
		for _, p := range s.parts(i) {
			sp := species(p.wood)
			line.Parts = append(line.Parts, PartRow{
				Name: s.pieceName(i, p.piece), Wood: sp.Key, Common: sp.Common, Colour: s.Colour(p.wood), FromMm: p.from.mid, ToMm: p.to.mid,
				RoughMm: p.wood.Rough, DensityKgM3: s.Density(p.wood), MoisturePct: p.wood.moisture(), RingDeg: p.wood.ring() * 180 / math.Pi,
			})
		}
		out = append(out, line)
	}
	return out
}

// Report works everything out for the slab with the chambers it has. A slab
// that does not pass Check is an error.
func (s *Slab) Report(o ReportOptions) (Report, error) {
	if err := o.Check(); err != nil {
		return Report{}, err
	}
	if err := s.Check(); err != nil {
		return Report{}, err
	}
	return newPlanner(s.survey(), o.Chambers, o.Reserved).report(o)
}

// ReportPlanned is WithPlan and Report in one, which measures the slab once.
func (s *Slab) ReportPlanned(o ReportOptions) (*Slab, Report, error) {
	s = s.with(nil)
	if err := o.Check(); err != nil {
		return s, Report{}, err
	}
	if err := s.Check(); err != nil {
		return s, Report{}, err
	}
	p := newPlanner(s.survey(), o.Chambers, o.Reserved)
	p.s = s.with(p.plan()) // the rest that p knows does not depend on planned chambers
	r, err := p.report(o)
	return p.s, r, err
}

// report is Report of the planner's slab, by the planner's rules.
func (p *planner) report(o ReportOptions) (Report, error) {
	s := p.s
	r := Report{WidthMm: s.Width(), LengthMm: s.Length, Strips: s.StripLines(), Symmetry: s.Symmetry(), OK: true}
	moisture := math.NaN()
	if o.MoisturePct > 0 {
		moisture = o.MoisturePct
	}
	r.Weight = p.weigh(moisture)
	r.WeightBeforeKg, r.WeightAfterKg = r.Weight.BeforeG/1000, r.Weight.AfterG/1000
	r.Hollowing = p.hollowing(o.Reserved)
	var faces []float64 // between strips
	r.Chambers = r.Hollowing.Chambers
	for _, g := range r.Hollowing.Glue {
		if !g.Inside {
			faces = append(faces, g.GluedMm2)
		}
		r.OK = r.OK && g.OK
	}
	if o.Compare {
		r.Patterns = s.ComparePatterns(o.Chambers, o.Reserved)
	}
	r.CutList = p.cutList(o.Cut)
	r.BoardFeet = r.CutList.BoardFeet
	if len(o.Boards) > 0 {
		n := Nest(r.CutList.Blanks, o.Boards, o.KerfMm)
		r.Nesting = &n
	}
	if o.Stack != nil {
		plan, err := s.Stack(*o.Stack)
		if err != nil {
			return Report{}, err
		}
		r.Stack = &plan
		r.OK = r.OK && plan.OK
	}
	r.GlueUp = p.glueUp(o.Glue, faces)
	if o.PlanScrews {
		plan := s.PlanFasteners(o.Fasteners, o.Reserved)
		r.Screws = &plan
	}
	r.Faults = s.CheckFasteners(s.Fasteners, o.Fasteners, o.Reserved)
	r.OK = r.OK && len(r.Faults) == 0
	for i, f := range s.Fasteners {
		name, tip := fastenerName(f, i), f.At.Add(f.Direction.Mul(f.Length))
		r.Fasteners = append(r.Fasteners, FastenerLine{
			Name: name, Kind: f.Kind, StartMm: [3]float64{f.At.X, f.At.Y, f.At.Z}, TipMm: [3]float64{tip.X, tip.Y, tip.Z}, LengthMm: f.Length, LeftIn: f.LeftIn,
			OK: !slices.ContainsFunc(r.Faults, func(q FastenerFault) bool { return q.Name == name }),
		})
	}
	motion, err := p.motion(o.TemperatureC, o.HumidityPct)
	if err != nil {
		return Report{}, err
	}
	r.Motion = motion
	r.Edges = p.edges()
	r.Fittings = s.FittingsReport(r.Weight.AfterG, o.HangerFactor)
	r.Finish = p.finish(o.Finish)
	r.FinishedKg = (r.Fittings.Everything + r.Finish.DryG) / 1000
	r.Strength = p.strength(o.SkinLoadN, o.SlabLoadN, o.Hole)
	r.Cautions = []string{
		wood.Caution,
		"Saws, planers and routers take fingers: guards on, push sticks, and the tool maker's instructions before these lists.",
		"Look for screws and holes before any cut or pass of the planer.",
	}
	return r, nil
}
