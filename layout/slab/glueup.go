package slab

import (
	"fmt"
	"math"
	"slices"

	"slabwright/fret/measure"
	"slabwright/layout/wood"
)

// GlueRules are the maker's clamps, glue and patience.
type GlueRules struct {
	StripsAtOnce   int     // at most so many strips, or sections, in one glue-up
	ClampForceN    float64 // what one clamp gives, by its maker
	ClampSpacingMm float64 // clamps stand no farther apart
	Clamps         int     // in the shop; 0 = as many as it takes
	CureHours      float64 // in clamps
	OpenMinutes    float64 // the glue's open assembly time, by its maker
	SpreadMmPerMin float64 // how fast the maker coats a joint: mm of length a minute
	SplineMm       float64 // width of a spline let in across each blunt end; 0 = none
}

// DefaultGlueRules are our own: common practice, no source. The glue's and
// the clamps' own sheets go before them.
func DefaultGlueRules() GlueRules {
	return GlueRules{StripsAtOnce: 5, ClampForceN: 4000, ClampSpacingMm: 200, CureHours: 12, OpenMinutes: 10, SpreadMmPerMin: 1500}
}

// Check says which rule makes no sense, or nil.
func (r GlueRules) Check() error {
	switch {
	case r.StripsAtOnce < 2:
		return fmt.Errorf("glue-up: %d strips at once: give at least 2", r.StripsAtOnce)
	case !(r.ClampForceN > 0):
		return fmt.Errorf("glue-up: clamp force %g N: give more than 0", r.ClampForceN)
	case !(r.ClampSpacingMm > 0):
		return measure.Errorf("glue-up: clamp spacing %v: give more than 0", measure.Length(r.ClampSpacingMm))
	case r.Clamps < 0 || !(r.CureHours > 0) || !(r.OpenMinutes > 0) || !(r.SpreadMmPerMin > 0) || !(r.SplineMm >= 0):
		return measure.Errorf("glue-up: %d clamps, %g h cure, %g min open, %v/min, spline %v: none may be below 0, times and speed must be above", r.Clamps, r.CureHours, r.OpenMinutes, measure.Length(r.SpreadMmPerMin), measure.Length(r.SplineMm))
	}
	return nil
}

// GluePlan is the order of gluing.
type GluePlan struct {
	Steps       []GlueStep  `json:"steps"`
	Days        int         `json:"days"` // steps of one day cure together, as far as the clamps go
	GlueAreaMm2 float64     `json:"glue_area_mm2"`
	GlueG       float64     `json:"glue_g"`
	MostClamps  int         `json:"most_clamps"`
	Moisture    []string    `json:"moisture_warnings"`
	Splines     []EndSpline `json:"splines"` // let in across blunt ends, where wanted
	Notes       []string    `json:"notes"`
}

// EndSpline is a strip of wood let into a groove across an end of the slab.
type EndSpline struct {
	End      string  `json:"end"` // "start", "end"
	LengthMm float64 `json:"length_mm"`
	WidthMm  float64 `json:"width_mm"`
}

// GlueStep is one glue-up.
type GlueStep struct {
	Day      int      `json:"day"`
	What     string   `json:"what"`
	From     int      `json:"from_strip"` // first strip, from 0 at the right
	To       int      `json:"to_strip"`   // last strip
	Joints   []string `json:"joints"`
	AreaMm2  float64  `json:"area_mm2"` // glued faces
	GlueG    float64  `json:"glue_g"`
	Pressure float64  `json:"pressure_mpa"` // about; the softest wood in the step sets it
	Softest  string   `json:"softest"`
	ForceN   float64  `json:"force_n"` // all clamps together: pressure times the largest joint
	Clamps   int      `json:"clamps"`
	Minutes  float64  `json:"spreading_minutes"`
	Warnings []string `json:"warnings"`

	// For a section, how its edges meet the clamps once the outline is sawn,
	// and the length of a strap once round it, where one of them is curved.
	Edges   []ClampEdge `json:"clamping_edges"`
	StrapMm float64     `json:"strap_mm"`
}

// GlueUp plans the glue-up. Strips with transitions are glued end to end
// first. Then sections of neighbouring strips, as equal as the number at once
// allows, each left to cure; then sections to each other in the same way,
// until one is left. Clamps reach across all joints of a step, so the largest
// joint sets the force; steps share a day while the shop's clamps last. The faces are those that chambers leave.
func (s *Slab) GlueUp(rules GlueRules) GluePlan {
	v := s.survey()
	hollows := s.byStrip(s.Chambers)
	area := make([]float64, max(0, len(s.Strips)-1))
	for i := range area {
		area[i] = v.glued(i, hollows[i], hollows[i+1]).glued
	}
	return v.glueUp(rules, area)
}

// glueUp is GlueUp with the glued faces between strips in mm² at hand.
func (v *survey) glueUp(rules GlueRules, area []float64) GluePlan {
	var plan GluePlan
	s := v.s
	lines := v.glueLines()
	softest := func(from, to int) (pressure float64, name string) {
		pressure = math.Inf(1)
		for i := from; i <= to; i++ {
			for _, part := range v.strips[i] {
				if sp := species(part.wood); sp.ClampPressure() < pressure {
					pressure, name = sp.ClampPressure(), sp.Common
				}
			}
		}
		return pressure, name
	}
	finish := func(st *GlueStep, largest float64) {
		st.Pressure, st.Softest = softest(st.From, st.To)
		st.ForceN = st.Pressure * largest
		st.GlueG = st.AreaMm2 * wood.GlueSpread
		st.Clamps = max(st.Clamps, int(math.Ceil(st.ForceN/rules.ClampForceN)))
		if st.Minutes > rules.OpenMinutes {
			st.Warnings = append(st.Warnings, fmt.Sprintf("spreading takes about %.0f min, the glue stays open for %.0f: glue fewer strips at once, or get help", st.Minutes, rules.OpenMinutes))
		}
		if rules.Clamps > 0 && st.Clamps > rules.Clamps {
			st.Warnings = append(st.Warnings, fmt.Sprintf("needs %d clamps, the shop has %d", st.Clamps, rules.Clamps))
		}
		plan.GlueAreaMm2 += st.AreaMm2
		plan.GlueG += st.GlueG
		plan.MostClamps = max(plan.MostClamps, st.Clamps)
	}

	day := 1
	// End joints inside strips.
	inside := make([][]GlueLine, len(s.Strips))
	for _, g := range lines {
		if g.Transition {
			inside[g.Strip] = append(inside[g.Strip], g)
		}
	}
	for i, t := range s.Strips {
		if len(t.Transitions) == 0 {
			continue
		}
		st := GlueStep{Day: day, What: "glue the pieces of " + s.StripName(i) + " end to end", From: i, To: i, Clamps: 2}
		largest := 0.0
		for _, g := range inside[i] {
			m := (g.A.X + g.B.X) / 2
			a := g.A.Distance(g.B) * (s.TopAt(m) - s.BottomAt(m))
			st.AreaMm2 += a
			largest = max(largest, a)
			st.Joints = append(st.Joints, g.Name)
			st.Minutes += g.A.Distance(g.B) / rules.SpreadMmPerMin
		}
		st.Joints = slices.Compact(st.Joints)
		finish(&st, largest)
		st.Warnings = append(st.Warnings, "end grain and slanting joints creep when clamped: pin them or stop both ends")
		plan.Steps = append(plan.Steps, st)
	}
	if len(plan.Steps) > 0 {
		day++
	}
	curing := int(math.Ceil(rules.CureHours / 24)) // days a step stays in its clamps
	type section struct{ from, to int }
	var sections []section
	for i := range s.Strips {
		sections = append(sections, section{i, i})
	}
	for len(sections) > 1 {
		groups := (len(sections) + rules.StripsAtOnce - 1) / rules.StripsAtOnce
		var next []section
		inUse := 0 // clamps of this day's steps
		for g := range groups {
			a, b := g*len(sections)/groups, (g+1)*len(sections)/groups
			sec := section{sections[a].from, sections[b-1].to}
			next = append(next, sec)
			if b-a < 2 {
				continue
			}
			st := GlueStep{Day: day, From: sec.from, To: sec.to}
			if st.What = fmt.Sprintf("glue strips %d to %d", sec.from+1, sec.to+1); groups == 1 {
				st.What += ": the whole stack"
			}
			largest, longestJoint := 0.0, 0.0
			for k := a; k+1 < b; k++ {
				j := sections[k].to
				st.Joints = append(st.Joints, s.StripName(j)+" / "+s.StripName(j+1))
				st.AreaMm2 += area[j]
				largest = max(largest, area[j])
				longestJoint = max(longestJoint, v.joint(j).mm)
				st.Minutes += v.joint(j).mm / rules.SpreadMmPerMin
			}
			st.Clamps = int(math.Ceil(longestJoint/rules.ClampSpacingMm)) + 1
			finish(&st, largest)
			st.Edges = v.clampEdges(sec.from, sec.to, rules)
			if slices.ContainsFunc(st.Edges, func(e ClampEdge) bool { return e.Cauls == ShapedCauls }) {
				st.StrapMm = v.strapAround(sec.from, sec.to)
			}
			if rules.Clamps > 0 && inUse > 0 && inUse+st.Clamps > rules.Clamps {
				day += curing
				inUse = 0
			}
			st.Day = day
			inUse += st.Clamps
			plan.Steps = append(plan.Steps, st)
		}
		sections = next
		day += curing
	}
	plan.Days = day - 1
	if len(plan.Steps) == 0 {
		plan.Days = 0
	}
	plan.Moisture = v.moistureSpread()
	plan.Notes = append(plan.Notes,
		"Dry-clamp every step first. Press until a thin even bead shows; more pressure starves the joint.",
		"Glue freshly planed faces: within the hour is good, a day is late.",
		"Pressures are about, between handbook figures from memory; the glue maker's sheet goes first.")
	if rules.SplineMm > 0 {
		w0, w1 := s.endWidths()
		for k, w := range [2]float64{w0, w1} {
			if w > 0 {
				plan.Splines = append(plan.Splines, EndSpline{[2]string{"start", "end"}[k], w, rules.SplineMm})
			}
		}
	}
	return plan
}

// endWidths are the widths of the outline's blunt ends, 0 for points and noses.
func (s *Slab) endWidths() (start, end float64) {
	if n := len(s.Plan.Stations); n > 1 {
		return 2 * s.Plan.Stations[0].Value, 2 * s.Plan.Stations[n-1].Value
	}
	if len(s.Plan.Path.Curves) > 0 {
		return 0, 0
	}
	return s.Width(), s.Width()
}

// MoistureSpread warns of neighbours whose moisture differs by more than 2
// points (shop practice, from memory) and of a stack that spreads over more
// than 5 (Wood Handbook on laminated members).
func (s *Slab) MoistureSpread() []string { return s.survey().moistureSpread() }

func (v *survey) moistureSpread() []string {
	s := v.s
	var out []string
	low, high := math.Inf(1), math.Inf(-1)
	warned := map[string]bool{}
	for _, t := range s.Strips {
		for _, p := range t.Pieces {
			low, high = min(low, p.moisture()), max(high, p.moisture())
		}
	}
	for _, g := range v.glueLines() {
		if d := math.Abs(g.Left.moisture() - g.Right.moisture()); d > 2 && !warned[g.Name] {
			warned[g.Name] = true
			out = append(out, fmt.Sprintf("%s: moistures of %.1f and %.1f %% differ by %.1f points; more than 2 strains the joint", g.Name, g.Right.moisture(), g.Left.moisture(), d))
		}
	}
	if high-low > 5 {
		out = append(out, fmt.Sprintf("moistures run from %.1f to %.1f %%: no more than 5 points belong in one lamination", low, high))
	}
	return out
}
