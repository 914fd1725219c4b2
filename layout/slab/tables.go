package slab

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slabwright/fret/measure"
)

// Table is a part of the report for people: printed in columns, or written as
// comma-separated values.
type Table struct {
	Title string
	Head  []string
	Rows  [][]string
	Notes []string
}

// Show says how quantities are written, so that the tables speak the
// project's unit. A unit's name is empty where the table's foot tells it.
type Show struct {
	Length      func(mm float64) string
	Change      func(mm float64) string // of a size: two figures and the unit
	Area        func(mm2 float64) string
	Surface     func(mm2 float64) string // a large area
	Mass        func(g float64) string
	Force       func(n float64) string
	Pressure    func(mpa float64) string
	Temperature func(c float64) string
	Volume      func(mm3 float64) string // without its unit
	Density     func(kgM3 float64) string

	VolumeUnit, DensityUnit string
}

// ShowIn writes millimetres to 0.01, cm², m², kilograms, grams, newtons and
// MPa; or, where the unit is the inch, inches to 0.001, in², ft², pounds and
// ounces, pounds-force and psi.
func ShowIn(u measure.Unit) Show {
	// Units of the inch, exact (NIST Special Publication 811, appendix B.8) but
	// for the pound-force, to the digits given there.
	const (
		inch       = 25.4
		pound      = 453.59237      // g
		poundForce = 4.4482216      // N
		psi        = 6.894757e-3    // MPa
		cubicFoot  = 0.028316846592 // m³
	)
	in := func(format string, unit float64) func(float64) string {
		return func(v float64) string { return unsigned(fmt.Sprintf(format, v/unit)) }
	}
	two := func(unit float64, name string) func(float64) string {
		return func(v float64) string { return TwoFigures(v/unit) + " " + name }
	}
	mass := func(g float64) string { return measure.Mass(g).Format(u) }
	if u == measure.Inches {
		return Show{
			Length: in("%.3f", inch), Change: two(inch, "in"), Area: in("%.1f in²", inch*inch), Surface: in("%.1f ft²", 144*inch*inch),
			Mass: mass, Force: in("%.0f lbf", poundForce),
			Pressure:    two(psi, "psi"),
			Temperature: func(c float64) string { return fmt.Sprintf("%.0f °F", c*9/5+32) },
			Volume:      in("%.1f", inch*inch*inch), VolumeUnit: "in³",
			Density: in("%.1f", pound/1000/cubicFoot), DensityUnit: "lb/ft³",
		}
	}
	return Show{
		Length: in("%.2f", 1), Change: two(1, "mm"), Area: in("%.0f cm²", 100), Surface: in("%.2f m²", 1e6),
		Mass: mass, Force: in("%.0f N", 1),
		Pressure: two(1, "MPa"), Temperature: in("%.0f °C", 1),
		Volume: in("%.0f", 1000), VolumeUnit: "cm³", Density: in("%.0f", 1), DensityUnit: "kg/m³",
	}
}

// unsigned takes the minus from a number that is shown as 0.
func unsigned(s string) string {
	if strings.HasPrefix(s, "-") && !strings.ContainsAny(s, "123456789") {
		return s[1:]
	}
	return s
}

// TwoFigures writes a number that deserves no more, such as a movement: 1.7,
// 0.013, −24.
func TwoFigures(v float64) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Sprint(v)
	}
	for range 2 { // rounding can add a digit: 9.96 is 10
		places := 1 - int(math.Floor(math.Log10(math.Abs(v))))
		scale := math.Pow(10, float64(places))
		rounded := math.Round(v*scale) / scale
		if rounded == v {
			return fmt.Sprintf("%.*f", max(0, places), v)
		}
		v = rounded
	}
	return fmt.Sprint(v)
}

// Tables are the report's parts in the order of the work: the stack, the wood
// to buy and cut, the chambers, the glue-up, the edges, the finish; then
// weight, movement and the estimates. Parts with nothing to say are left out.
func (r Report) Tables(show Show) []Table {
	w := tabling{Report: r, show: show}
	w.strips()
	w.cutting()
	w.fastening()
	w.hollowing()
	w.gluing()
	w.easing()
	w.coating()
	w.weighing()
	w.moving()
	w.bearing()
	w.add(Table{Title: "Cautions", Notes: r.Cautions})
	return w.tables
}

// tabling is a report on its way into tables.
type tabling struct {
	Report
	show   Show
	tables []Table
}

// add adds a table with something in it.
func (r *tabling) add(t Table) {
	if len(t.Rows) > 0 || len(t.Notes) > 0 {
		r.tables = append(r.tables, t)
	}
}

func yes(ok bool) string {
	if ok {
		return "yes"
	}
	return "NO"
}

func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

// strips tells the strips, how far they mirror each other, and what comes off the rough ones.
func (r *tabling) strips() {
	show := r.show
	l := show.Length
	t := Table{Title: "Strips, from the right", Head: []string{"strip", "piece", "wood", "thick", "from", "to", "rough", show.DensityUnit, "rings", "moisture"}}
	for _, s := range r.Strips {
		for _, p := range s.Parts {
			rough := ""
			if p.RoughMm > 0 {
				rough = l(p.RoughMm)
			}
			t.Rows = append(t.Rows, []string{fmt.Sprint(s.Strip + 1), p.Name, p.Common, l(s.ThicknessMm), l(p.FromMm), l(p.ToMm), rough, show.Density(p.DensityKgM3), fmt.Sprintf("%.0f°", p.RingDeg), fmt.Sprintf("%.1f %%", p.MoisturePct)})
		}
	}
	for _, d := range r.Symmetry.Differences {
		what := d.What
		if d.OffMm != 0 {
			what += " by " + l(d.OffMm)
		}
		t.Notes = append(t.Notes, fmt.Sprintf("%s to %s off the centreline: %s", l(d.FromMm), l(d.ToMm), what))
	}
	if r.Symmetry.Symmetric {
		t.Notes = append(t.Notes, "The stack is its own mirror image.")
	}
	r.add(t)

	if p := r.Stack; p != nil {
		t = Table{Title: fmt.Sprintf("From rough to finished: %s to %s", l(p.RoughWidthMm), l(p.WidthMm)), Head: []string{"strip", "rough", "comes off", "finished", "why"}}
		for _, s := range p.Strips {
			t.Rows = append(t.Rows, []string{s.Name, l(s.RoughMm), l(s.TakeMm), l(s.FinishedMm), s.Why})
			for k, take := range s.PiecesMm {
				if math.Abs(take-s.TakeMm) > 0.001 { // a thicker piece than the strip's thinnest gives more
					t.Rows = append(t.Rows, []string{fmt.Sprintf("%s, piece %d", s.Name, k+1), l(s.FinishedMm + take), l(take), l(s.FinishedMm), "to its strip"})
				}
			}
		}
		t.Notes = append(t.Notes, fmt.Sprintf("Narrowest from %s to %s along the slab: %s rough there.", l(p.LimitFromMm), l(p.LimitToMm), l(p.LimitRoughMm)))
		switch {
		case p.OK:
		case p.MostMm < p.WantedMm:
			t.Notes = append(t.Notes, fmt.Sprintf("Cannot be done: the stack comes to %s at most, %s less than wanted.", l(p.MostMm), l(p.WantedMm-p.MostMm)))
		case p.LeastMm > p.WantedMm:
			t.Notes = append(t.Notes, fmt.Sprintf("Cannot be done: the stack still is %s when all that may come off has, %s more than wanted.", l(p.LeastMm), l(p.LeastMm-p.WantedMm)))
		default:
			for _, s := range p.Strips {
				if s.Name == p.Spoilt {
					t.Notes = append(t.Notes, fmt.Sprintf("Cannot be done: %s would finish at %s from %s rough.", s.Name, l(s.FinishedMm), l(s.RoughMm)))
				}
			}
		}
		for _, s := range p.Strips {
			if p.OK && math.Abs(s.FinishedMm-r.Strips[s.Strip].ThicknessMm) > 0.01 {
				t.Notes = append(t.Notes, "Some strips finish at other than the project's thickness, with which all else here is worked out: write what you decide on into the project.")
				break
			}
		}
		r.add(t)
	}
}

// cutting tells the blanks, the rips, the wood to buy and how it lies on the boards.
func (r *tabling) cutting() {
	l := r.show.Length
	t := Table{Title: "Blanks to cut, on edge in the slab, bow and joints included", Head: []string{"piece", "wood", "count", "length", "width", "thick", "template turned", "board feet"}}
	for _, b := range r.CutList.Blanks {
		t.Rows = append(t.Rows, []string{b.Name, b.Wood, fmt.Sprint(b.Count), l(b.LengthMm), l(b.WidthMm), l(b.ThicknessMm), unsigned(fmt.Sprintf("%.1f°", b.TiltDeg)), fmt.Sprintf("%.2f", b.BoardFeet)})
	}
	for _, idle := range r.CutList.Idle {
		t.Notes = append(t.Notes, idle+" lies outside the outline and is not needed.")
	}
	r.add(t)
	t = Table{Title: "Rips", Head: []string{"wood", "thick", "width", "count", "running", "longest"}}
	for _, p := range r.CutList.Rips {
		t.Rows = append(t.Rows, []string{p.Wood, l(p.ThicknessMm), l(p.WidthMm), fmt.Sprint(p.Count), l(p.RunningMm), l(p.LongestMm)})
	}
	r.add(t)
	t = Table{Title: "Wood to buy", Head: []string{"wood", "board feet", "m³", "to buy, board feet", "price", "cost"}}
	for _, w := range r.CutList.Woods {
		price, cost := "", ""
		if w.PricePerFoot > 0 {
			price, cost = fmt.Sprintf("%.2f", w.PricePerFoot), fmt.Sprintf("%.2f", w.Cost)
		}
		t.Rows = append(t.Rows, []string{w.Common, fmt.Sprintf("%.2f", w.BoardFeet), fmt.Sprintf("%.4f", w.VolumeM3), fmt.Sprintf("%.2f", w.BuyBoardFeet), price, cost})
	}
	t.Notes = append(t.Notes, fmt.Sprintf("Together %.2f board feet, %.4f m³. Stock under one inch counts as one inch.", r.CutList.BoardFeet, r.CutList.VolumeM3))
	if r.CutList.Cost > 0 {
		cost := fmt.Sprintf("Together it costs %.2f", r.CutList.Cost)
		var unpriced []string
		for _, w := range r.CutList.Woods {
			if slices.Contains(r.CutList.Unpriced, w.Wood) {
				unpriced = append(unpriced, w.Common)
			}
		}
		if len(unpriced) > 0 {
			cost += ", without " + strings.Join(unpriced, ", ")
		}
		t.Notes = append(t.Notes, cost+".")
	}
	r.add(t)
	if n := r.Nesting; n != nil {
		t = Table{Title: fmt.Sprintf("Boards: %d used, at least %d needed", n.Used, n.LeastBoards), Head: []string{"board", "rip at", "rip width", "blank", "from", "length"}}
		for _, b := range n.Boards {
			for _, rip := range b.Rips {
				for _, c := range rip.Cuts {
					t.Rows = append(t.Rows, []string{b.Name, l(rip.LowMm), l(rip.WidthMm), c.Name, l(c.FromMm), l(c.LengthMm)})
				}
			}
			for _, o := range b.Offcuts {
				if o.LengthMm > 50 && o.WidthMm > 20 { // smaller ones are firewood
					t.Rows = append(t.Rows, []string{b.Name, l(o.LowMm), l(o.WidthMm), "offcut", l(o.FromMm), l(o.LengthMm)})
				}
			}
		}
		for _, u := range n.Unplaced {
			t.Notes = append(t.Notes, fmt.Sprintf("%s, %s × %s × %s: %s.", u.Name, l(u.LengthMm), l(u.WidthMm), l(u.ThicknessMm), u.Why))
		}
		t.Notes = slices.Compact(t.Notes) // the halves of a chevron's slip are two
		r.add(t)
	}
}

// fastening tells the screws that hold the dry stack, and what is in the wood.
func (r *tabling) fastening() {
	l := r.show.Length
	if p := r.Screws; p != nil {
		t := Table{Title: "Holding screws, in the order of driving", Head: []string{"screw", "along", "across", "up", "length", "pilot", "head sunk"}}
		for _, s := range p.Screws {
			t.Rows = append(t.Rows, []string{s.Name, l(s.HeadMm[0]), l(s.HeadMm[1]), l(s.HeadMm[2]), l(s.LengthMm), l(s.PilotMm), l(s.SunkMm)})
		}
		t.Notes = append(t.Notes, p.Drive...)
		for _, m := range p.Missing {
			t.Notes = append(t.Notes, "NOT held: "+m+".")
		}
		t.Notes = append(t.Notes, "To take apart: "+p.Apart[0])
		if len(p.Apart) > 1 {
			t.Notes = append(t.Notes, "Then draw, in turn, "+strings.Join(p.Apart[1:], "; ")+".")
		}
		t.Notes = append(t.Notes, "Write the screws that were driven into the project as [[slab.fastener]] (--screws --save does): their holes stay in the wood.")
		r.add(t)
	}
	t := Table{Title: "Fasteners in the slab, in the order of driving", Head: []string{"fastener", "kind", "from: along", "across", "up", "to: along", "across", "up", "length", "clear"}}
	var draw []string
	for _, f := range r.Fasteners {
		t.Rows = append(t.Rows, []string{f.Name, f.Kind, l(f.StartMm[0]), l(f.StartMm[1]), l(f.StartMm[2]), l(f.TipMm[0]), l(f.TipMm[1]), l(f.TipMm[2]), l(f.LengthMm), yes(f.OK)})
		if !f.LeftIn {
			draw = append(draw, f.Name)
		}
	}
	if len(draw) > 0 {
		slices.Reverse(draw)
		t.Notes = append(t.Notes, "To take apart, draw in turn "+strings.Join(draw, "; ")+". Their holes stay in the wood and are kept clear of.")
	}
	r.add(t)
	t = Table{Title: "Fasteners at fault", Head: []string{"fastener", "what", "short by", "along", "across", "up"}}
	for _, f := range r.Faults {
		t.Rows = append(t.Rows, []string{f.Name, f.What, l(f.ShortMm), l(f.AtMm[0]), l(f.AtMm[1]), l(f.AtMm[2])})
	}
	r.add(t)
}

// hollowing tells the chambers, their marks, their air and the glue beside them.
func (r *tabling) hollowing() {
	show := r.show
	l, m := show.Length, show.Mass
	h := r.Hollowing
	t := Table{Title: "Chambers", Head: []string{"chamber", "state", "from", "to", "across", "high at start", "high at end", "saves"}}
	for _, c := range h.Chambers {
		t.Rows = append(t.Rows, []string{c.Name, c.State, l(c.FromMm), l(c.ToMm), l(c.AcrossMm), l(c.HeightFromMm), l(c.HeightToMm), m(c.SavedG)})
	}
	if len(h.Chambers) > 0 {
		t.Notes = append(t.Notes,
			h.savings(m),
			fmt.Sprintf("The widest skin with nothing under it is a circle of %s at %s along, %s across.", l(h.Widest.DiameterMm), l(h.Widest.AtMm[0]), l(h.Widest.AtMm[1])),
			fmt.Sprintf("Left: %s in reserved wood, %s in skins, %s in ribs, %s in strips left solid, %s in walls and ends.", m(h.Remains.ReservedG), m(h.Remains.SkinsG), m(h.Remains.RibsG), m(h.Remains.SolidStripsG), m(h.Remains.WallsAndEndsG)))
		t.Notes = append(t.Notes, h.Notes...)
	}
	r.add(t)
	t = Table{Title: "Rib patterns compared", Head: []string{"ribs", "chambers", "saves", "least glued face", "widest skin"}}
	for _, p := range r.Patterns {
		t.Rows = append(t.Rows, []string{string(p.Ribs), fmt.Sprint(p.Chambers), m(p.SavedG), percent(p.LeastGlued), l(p.WidestSkinMm)})
	}
	r.add(t)
	t = Table{Title: "Marking the chambers", Head: []string{"chamber", "start", "stop", "gauge, top", "gauge, bottom", "corner hole", "hole centres along", "hole gauge, top", "hole gauge, bottom"}}
	for _, s := range h.Marks {
		for _, c := range s.Chambers {
			half := c.HoleMm / 2
			row := []string{c.Name, l(c.StartMm), l(c.StopMm), l(c.TopGaugeMm), l(c.BottomGaugeMm), "", "", "", ""}
			if half > 0 {
				copy(row[5:], []string{l(c.HoleMm), l(c.StartMm+half) + ", " + l(c.StopMm-half), l(c.TopGaugeMm + half), l(c.BottomGaugeMm + half)})
			}
			t.Rows = append(t.Rows, row)
		}
	}
	if len(t.Rows) > 0 {
		t.Notes = []string{"Along: from the strip's squared start. Gauge: from the finished edges."}
	}
	r.add(t)
	t = Table{Title: "Holes for air", Head: []string{"strip", "hole", "chambers", "diameter", "along", "up from the bottom edge", "in from the right face", "deep"}}
	for _, s := range h.Marks {
		for _, a := range s.Air {
			up, in := l(a.BottomMm), l(a.InMm)
			switch a.What {
			case BoreAcross:
				in = "through"
			case VentBelow:
				up = "from below"
			}
			t.Rows = append(t.Rows, []string{fmt.Sprint(s.Strip + 1), string(a.What), a.To, l(a.DiameterMm), l(a.AlongMm), up, in, l(a.DepthMm)})
		}
	}
	if len(t.Rows) > 0 {
		t.Notes = []string{"Along: of the centre, from the strip's squared start; a bore along begins there."}
	}
	r.add(t)
	t = Table{Title: "Glue lines beside the chambers", Head: []string{"joint", "face", "glued", "share", "enough"}}
	for _, g := range h.Glue {
		t.Rows = append(t.Rows, []string{g.Name, show.Area(g.FullMm2), show.Area(g.GluedMm2), percent(g.Share), yes(g.OK)})
	}
	r.add(t)
}

// gluing tells the steps of the glue-up.
func (r *tabling) gluing() {
	show := r.show
	l := show.Length
	g := r.GlueUp
	t := Table{Title: fmt.Sprintf("Glue-up: %s, about %s of glue", days(g.Days), show.Mass(g.GlueG)), Head: []string{"day", "step", "joints", "area", "glue", "pressure, about", "softest", "force", "clamps", "spreading", "cauls once sawn"}}
	for _, s := range g.Steps {
		t.Rows = append(t.Rows, []string{fmt.Sprint(s.Day), s.What, fmt.Sprint(len(s.Joints)), show.Area(s.AreaMm2), show.Mass(s.GlueG), show.Pressure(s.Pressure), s.Softest, show.Force(s.ForceN), fmt.Sprint(s.Clamps), fmt.Sprintf("%.0f min", s.Minutes), caulsOf(s.Edges)})
		t.Notes = append(t.Notes, s.clamping(show)...)
		for _, w := range s.Warnings {
			t.Notes = append(t.Notes, s.What+": "+w+".")
		}
	}
	if slices.ContainsFunc(g.Steps, func(s GlueStep) bool { return caulsOf(s.Edges) != "" }) {
		t.Notes = append(t.Notes, "While a section has its square sides flat cauls serve. Cauls once sawn: what its right and left edge need if the outline is sawn before that step. Shaped cauls are best sawn from what the outline leaves, padded, and waxed or papered against glue.")
	}
	t.Notes = append(append(t.Notes, sentences(g.Moisture)...), g.Notes...)
	for _, sp := range g.Splines {
		t.Notes = append(t.Notes, fmt.Sprintf("Spline across the %s: %s long, %s wide, grain across the strips only if it may move with them; glue its middle third.", sp.End, l(sp.LengthMm), l(sp.WidthMm)))
	}
	r.add(t)
}

// easing tells the flats of the edges.
func (r *tabling) easing() {
	l := r.show.Length
	t := Table{Title: "Edges: plane the flats, then sand radii round", Head: []string{"face", "eased by", "pass", "sole at", "from: in, down", "to: in, down", "wood left to the nearest chamber"}}
	for _, e := range r.Edges {
		for k, round := range e.Rounds {
			for _, f := range round.Flats {
				by := "radius " + l(e.RadiusMm)
				if e.ChamferMm > 0 {
					by = "chamfer " + l(e.ChamferMm)
				}
				row := []string{e.Face, by, fmt.Sprint(k + 1), fmt.Sprintf("%.1f°", f.AngleDeg), l(f.FromInMm) + ", " + l(f.FromDownMm), l(f.ToInMm) + ", " + l(f.ToDownMm), ""}
				if k == 0 && e.Chamber != "" {
					row[6] = l(e.LeastWoodMm) + " (" + e.Chamber + ")"
				}
				t.Rows = append(t.Rows, row)
			}
		}
	}
	if len(t.Rows) > 0 {
		t.Notes = []string{"In: from the side. Down: from the face. Before planing, gauge the first pass's two lines, one on the side and one on the face, all round."}
	}
	r.add(t)
}

// coating tells the finish and the fittings.
func (r *tabling) coating() {
	show := r.show
	l, m := show.Length, show.Mass
	f := r.Finish
	r.add(Table{Title: "Finish", Head: []string{"coated", "coats", "each, wet", "mix for a coat", "batches", "mix in all", "adds"},
		Rows:  [][]string{{show.Surface(f.CoatedMm2), fmt.Sprint(f.Coats), show.Change(f.WetMm), show.Mass(f.CoatG), fmt.Sprint(f.Batches), show.Mass(f.MixG), show.Mass(f.DryG)}},
		Notes: f.Notes})
	c := r.Fittings
	t := Table{Title: "Fittings", Head: []string{"fitting", "kind", "along", "across", "weighs", "round it", "must hold"}}
	for _, f := range c.Fittings {
		round, hold := "no chamber", ""
		if f.Forbids {
			round = "no chamber, no instrument"
		}
		if f.Carries {
			hold = show.Force(c.EachN)
		}
		t.Rows = append(t.Rows, []string{f.Name, f.Kind, l(f.AtMm[0]), l(f.AtMm[1]), m(f.MassG), round, hold})
	}
	if len(c.Carriers) > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("Slab and fittings weigh %s; each that carries must hold %g times its share even when one of them fails.", m(c.Everything), c.Factor))
		if len(c.Carriers) == 1 {
			t.Notes[0] = fmt.Sprintf("Slab and fittings weigh %s; the one that carries must hold %g times that.", m(c.Everything), c.Factor)
		}
	}
	t.Notes = append(t.Notes, c.Notes...)
	r.add(t)
}

// weighing tells what the pieces weigh.
func (r *tabling) weighing() {
	show := r.show
	l, m := show.Length, show.Mass
	w := r.Weight
	moist := fmt.Sprintf("all wood at %.1f %% moisture", w.MoisturePct)
	if w.OwnMoisture {
		moist = "each piece at its own moisture"
	}
	t := Table{Title: fmt.Sprintf("Weight: %s solid, %s with chambers, %s", m(w.BeforeG), m(w.AfterG), moist), Head: []string{"piece", "wood", show.DensityUnit, show.VolumeUnit, "solid", "with chambers"}}
	for _, p := range w.Pieces {
		t.Rows = append(t.Rows, []string{p.Name, p.Wood, show.Density(p.DensityKgM3), show.Volume(p.VolumeAfterMm3), m(p.BeforeG), m(p.AfterG)})
	}
	t.Notes = []string{fmt.Sprintf("Balances at %s along, %s across, %s up.", l(w.CentreMm[0]), l(w.CentreMm[1]), l(w.CentreMm[2])),
		fmt.Sprintf("With fittings and dry finish %s.", m(1000*r.FinishedKg)),
		"Densities are averages: one board differs by a tenth. Weigh yours."}
	r.add(t)
}

// moving tells how the pieces move, and what that opens.
func (r *tabling) moving() {
	show := r.show
	l := show.Length
	v := r.Motion
	t := Table{Title: fmt.Sprintf("Movement of the pieces at %s and %.0f %%: the wood comes to %.1f %% moisture", show.Temperature(v.TemperatureC), v.HumidityPct, v.MoisturePct), Head: []string{"piece", "rings", "moisture now", "across the slab", "through its thickness"}}
	for _, p := range v.Pieces {
		t.Rows = append(t.Rows, []string{p.Name, fmt.Sprintf("%.0f°", p.RingDegrees), fmt.Sprintf("%.1f %%", p.FromPct), show.Change(p.AcrossMm), show.Change(p.ThroughMm)})
	}
	t.Notes = []string{"Rings: between the growth rings and the slab's plane; 90° is a flat-sawn board on edge, which moves across the slab by its radial and through it by its tangential coefficient."}
	r.add(t)
	t = Table{Title: "Steps that open at the glue lines", Head: []string{"glue line", "step on each face", "at", "telegraphs"}}
	for _, s := range v.Steps {
		t.Rows = append(t.Rows, []string{s.Name, show.Change(s.Mm), l(s.AtMm), map[bool]string{true: "yes", false: "no"}[s.Telegraphs]})
	}
	t.Notes = []string{fmt.Sprintf("The width changes by %s, the thickness by up to %s.", show.Change(v.WidthMm), show.Change(v.ThickestMm))}
	if !v.InRange {
		t.Notes = append(t.Notes, "Some moisture lies outside the 6 to 14 % that the coefficients are given for: a rough guess.")
	}
	r.add(t)
}

// bearing tells the estimates of strength.
func (r *tabling) bearing() {
	show := r.show
	b := r.Strength.Bending
	t := Table{Title: "Strength, estimated", Head: []string{"what", "load", "sags", "share of breaking"}}
	t.Rows = append(t.Rows, []string{"the slab with the body's hole, resting near its ends", show.Force(b.LoadN), show.Change(b.SagMm), percent(b.UsedOfMOR)})
	weakest := -1
	for i, s := range r.Strength.Skins {
		if weakest < 0 || s.LoadToBreak > r.Strength.Skins[weakest].LoadToBreak {
			weakest = i
		}
	}
	if weakest >= 0 {
		s := r.Strength.Skins[weakest]
		t.Rows = append(t.Rows, []string{"weakest skin: " + s.Chamber, show.Force(s.LoadN), show.Change(s.SagMm), percent(s.LoadToBreak)})
	}
	t.Notes = slices.Clone(r.Strength.Notes)
	if weakest >= 0 && r.Strength.Skins[weakest].LoadToBreak >= 1 {
		t.Notes = append(t.Notes, "By this estimate that load breaks the weakest skin: give it more thickness or a shorter chamber, or keep such loads off it.")
	}
	r.add(t)
}

// sentences end each of them with a full stop.
func sentences(list []string) []string {
	var out []string
	for _, s := range list {
		out = append(out, strings.TrimSuffix(s, ".")+".")
	}
	return out
}

// caulsOf names the cauls that a section's edges need: one word where both
// need the same.
func caulsOf(edges []ClampEdge) string {
	var out []string
	for _, e := range edges {
		out = append(out, string(e.Cauls))
	}
	return strings.Join(slices.Compact(out), ", ")
}

// clamping tells how a section's edges are clamped once the outline is sawn,
// for those that flat cauls do not fit.
func (s GlueStep) clamping(show Show) []string {
	var out []string
	strap := false
	same := func(a, b ClampEdge) bool { // as far as it is told
		of := func(e ClampEdge) [7]float64 {
			return [7]float64{e.FromMm, e.ToMm, e.SagittaMm, e.ReachMm, e.SmallestRadiusMm, e.StartSlopeDeg, e.EndSlopeDeg}
		}
		p, q := of(a), of(b)
		for k := range p {
			if math.Abs(p[k]-q[k]) > 0.01 {
				return false
			}
		}
		return a.Cauls == b.Cauls
	}
	for i, e := range s.Edges {
		if e.Cauls == FlatCauls {
			continue
		}
		edge := e.Side + " edge"
		if len(s.Edges) == 2 && same(s.Edges[0], s.Edges[1]) {
			if i == 1 {
				continue
			}
			edge = "both edges"
		}
		shape := "is straight but not along the slab"
		if e.Cauls == ShapedCauls {
			strap = true
			shape = "strays " + show.Length(e.SagittaMm) + " from a straight line"
			switch {
			case e.SmallestRadiusMm > 0 && e.Corners:
				shape += fmt.Sprintf(", with corners and a smallest radius of %s", show.Length(e.SmallestRadiusMm))
			case e.SmallestRadiusMm > 0:
				shape += fmt.Sprintf(", smallest radius %s", show.Length(e.SmallestRadiusMm))
			case e.Corners:
				shape += ", with corners"
			}
		}
		note := fmt.Sprintf("%s, %s once sawn: from %s to %s along it %s, and slopes %s and %s at its ends: %s caul %s long, %s deep.",
			s.What, edge, show.Length(e.FromMm), show.Length(e.ToMm), shape, slope(e.StartSlopeDeg), slope(e.EndSlopeDeg), e.Cauls, show.Length(e.CaulLengthMm), show.Length(e.CaulDepthMm))
		if e.Cauls == ShapedCauls {
			if e.StrapMpa > 0 {
				note += fmt.Sprintf(" A strap pulled as hard as one clamp presses gives it %s where it is flattest; %s is wanted.", show.Pressure(e.StrapMpa), show.Pressure(s.Pressure))
			} else {
				note += " A strap gives no pressure where it is straight or hollow."
			}
		}
		out = append(out, note)
	}
	if strap {
		out = append(out, fmt.Sprintf("%s: a strap is %s once round it, and what its buckle takes.", s.What, show.Length(s.StrapMm)))
	}
	return out
}

func days(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

func slope(deg float64) string { return unsigned(fmt.Sprintf("%.1f°", deg)) }

// savings says what the chambers save, and of the planned ones, to which alone the
// rules apply, how much they could at most. Those that a maker has laid out against
// the rules may save more than that; then nothing is said of it.
func (h Hollowing) savings(mass func(grams float64) string) string {
	cut, planned := false, false
	for _, c := range h.Chambers {
		cut = cut || c.State == string(Cut)
		planned = planned || c.State == string(Planned)
	}
	switch {
	case !planned || h.GapG < 0:
		return fmt.Sprintf("They save %s.", mass(h.SavedG))
	case cut:
		return fmt.Sprintf("They save %s, the planned ones %s; none planned under these rules can save more than %s.", mass(h.SavedG), mass(h.MostG-h.GapG), mass(h.MostG))
	}
	return fmt.Sprintf("They save %s; no layout under these rules can save more than %s.", mass(h.SavedG), mass(h.MostG))
}
