package slab

import (
	"fmt"
	"math"
	"slices"
	"strings"
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
// project's unit.
type Show struct {
	Length  func(mm float64) string
	Change  func(mm float64) string // of a size: two figures and the unit
	Area    func(mm2 float64) string
	Surface func(mm2 float64) string // a large area
	Mass    func(g float64) string
}

// ShowMetric writes millimetres to a tenth and kilograms to the gram.
func ShowMetric() Show {
	return Show{
		Length:  func(mm float64) string { return fmt.Sprintf("%.1f mm", mm) },
		Change:  func(mm float64) string { return TwoFigures(mm) + " mm" },
		Area:    func(mm2 float64) string { return fmt.Sprintf("%.0f cm²", mm2/100) },
		Surface: func(mm2 float64) string { return fmt.Sprintf("%.2f m²", mm2/1e6) },
		Mass:    func(g float64) string { return fmt.Sprintf("%.3f kg", g/1000) },
	}
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
	l, m := show.Length, show.Mass
	var out []Table
	add := func(t Table) {
		if len(t.Rows) > 0 || len(t.Notes) > 0 {
			out = append(out, t)
		}
	}
	yes := func(ok bool) string {
		if ok {
			return "yes"
		}
		return "NO"
	}
	percent := func(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

	t := Table{Title: "Strips, from the right", Head: []string{"strip", "piece", "wood", "thick", "from", "to", "rough", "kg/m³", "rings", "moisture"}}
	for _, s := range r.Strips {
		for _, p := range s.Parts {
			rough := ""
			if p.RoughMm > 0 {
				rough = l(p.RoughMm)
			}
			t.Rows = append(t.Rows, []string{fmt.Sprint(s.Strip + 1), p.Name, p.Common, l(s.ThicknessMm), l(p.FromMm), l(p.ToMm), rough, fmt.Sprintf("%.0f", p.DensityKgM3), fmt.Sprintf("%.0f°", p.RingDeg), fmt.Sprintf("%.1f %%", p.MoisturePct)})
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
	add(t)

	if p := r.Stack; p != nil {
		t = Table{Title: fmt.Sprintf("From rough to finished: %s to %s", l(p.RoughWidthMm), l(p.WidthMm)), Head: []string{"strip", "rough", "comes off", "finished", "why"}}
		for _, s := range p.Strips {
			t.Rows = append(t.Rows, []string{s.Name, l(s.RoughMm), l(s.TakeMm), l(s.FinishedMm), s.Why})
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
		add(t)
	}

	t = Table{Title: "Blanks to cut, on edge in the slab, bow and joints included", Head: []string{"piece", "wood", "count", "length", "width", "thick", "template turned", "board feet"}}
	for _, b := range r.CutList.Blanks {
		t.Rows = append(t.Rows, []string{b.Name, b.Wood, fmt.Sprint(b.Count), l(b.LengthMm), l(b.WidthMm), l(b.ThicknessMm), fmt.Sprintf("%.1f°", b.TiltDeg), fmt.Sprintf("%.2f", b.BoardFeet)})
	}
	for _, idle := range r.CutList.Idle {
		t.Notes = append(t.Notes, idle+" lies outside the outline and is not needed.")
	}
	add(t)
	t = Table{Title: "Rips", Head: []string{"wood", "thick", "width", "count", "running", "longest"}}
	for _, p := range r.CutList.Rips {
		t.Rows = append(t.Rows, []string{p.Wood, l(p.ThicknessMm), l(p.WidthMm), fmt.Sprint(p.Count), l(p.RunningMm), l(p.LongestMm)})
	}
	add(t)
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
	add(t)
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
		add(t)
	}

	if p := r.Screws; p != nil {
		t = Table{Title: "Holding screws, in the order of driving", Head: []string{"screw", "along", "across", "up", "length", "pilot", "head sunk"}}
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
		t.Notes = append(t.Notes, "Write the screws that were driven into the project as [[slab.fastener]]: their holes stay in the wood.")
		add(t)
	}
	t = Table{Title: "Fasteners in the slab, in the order of driving", Head: []string{"fastener", "kind", "from: along", "across", "up", "to: along", "across", "up", "length", "clear"}}
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
	add(t)
	t = Table{Title: "Fasteners at fault", Head: []string{"fastener", "what", "short by", "along", "across", "up"}}
	for _, f := range r.Faults {
		t.Rows = append(t.Rows, []string{f.Name, f.What, l(f.ShortMm), l(f.AtMm[0]), l(f.AtMm[1]), l(f.AtMm[2])})
	}
	add(t)

	h := r.Hollowing
	t = Table{Title: "Chambers", Head: []string{"chamber", "state", "from", "to", "across", "high at start", "high at end", "saves"}}
	for _, c := range h.Chambers {
		t.Rows = append(t.Rows, []string{c.Name, c.State, l(c.FromMm), l(c.ToMm), l(c.AcrossMm), l(c.HeightFromMm), l(c.HeightToMm), m(c.SavedG)})
	}
	if len(h.Chambers) > 0 {
		t.Notes = append(t.Notes,
			fmt.Sprintf("They save %s; no layout under these rules can save more than %s.", m(h.SavedG), m(h.MostG)),
			fmt.Sprintf("The widest skin with nothing under it is a circle of %s at %s along, %s across.", l(h.Widest.DiameterMm), l(h.Widest.AtMm[0]), l(h.Widest.AtMm[1])),
			fmt.Sprintf("Left: %s in reserved wood, %s in skins, %s in ribs, %s in strips left solid, %s in walls and ends.", m(h.Remains.ReservedG), m(h.Remains.SkinsG), m(h.Remains.RibsG), m(h.Remains.SolidStripsG), m(h.Remains.WallsAndEndsG)))
		t.Notes = append(t.Notes, h.Notes...)
	}
	add(t)
	t = Table{Title: "Rib patterns compared", Head: []string{"ribs", "chambers", "saves", "least glued face", "widest skin"}}
	for _, p := range r.Patterns {
		t.Rows = append(t.Rows, []string{string(p.Ribs), fmt.Sprint(p.Chambers), m(p.SavedG), percent(p.LeastGlued), l(p.WidestSkinMm)})
	}
	add(t)
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
	add(t)
	t = Table{Title: "Air", Head: []string{"what", "where", "diameter", "along", "across", "up"}}
	for _, b := range h.Bores {
		t.Rows = append(t.Rows, []string{"bore", b.From + " to " + b.To, l(b.DiameterMm), l(b.FromMm[0]), l(b.FromMm[1]), l(b.FromMm[2])})
	}
	for _, v := range h.Vents {
		t.Rows = append(t.Rows, []string{"vent from below", v.Chamber, l(v.DiameterMm), l(v.AtMm[0]), l(v.AtMm[1]), ""})
	}
	add(t)
	t = Table{Title: "Glue lines beside the chambers", Head: []string{"joint", "face", "glued", "share", "enough"}}
	for _, g := range h.Glue {
		t.Rows = append(t.Rows, []string{g.Name, show.Area(g.FullMm2), show.Area(g.GluedMm2), percent(g.Share), yes(g.OK)})
	}
	add(t)

	g := r.GlueUp
	t = Table{Title: fmt.Sprintf("Glue-up: %d days, about %s of glue", g.Days, m(g.GlueG)), Head: []string{"day", "step", "joints", "area", "pressure, about", "softest", "clamps", "spreading"}}
	for _, s := range g.Steps {
		t.Rows = append(t.Rows, []string{fmt.Sprint(s.Day), s.What, fmt.Sprint(len(s.Joints)), show.Area(s.AreaMm2), fmt.Sprintf("%.1f MPa", s.Pressure), s.Softest, fmt.Sprint(s.Clamps), fmt.Sprintf("%.0f min", s.Minutes)})
		for _, w := range s.Warnings {
			t.Notes = append(t.Notes, s.What+": "+w+".")
		}
	}
	t.Notes = append(append(t.Notes, g.Moisture...), g.Notes...)
	for _, sp := range g.Splines {
		t.Notes = append(t.Notes, fmt.Sprintf("Spline across the %s: %s long, %s wide, grain across the strips only if it may move with them; glue its middle third.", sp.End, l(sp.LengthMm), l(sp.WidthMm)))
	}
	add(t)

	t = Table{Title: "Edges: plane the flats, then sand round", Head: []string{"face", "radius", "pass", "sole at", "from: in, down", "to: in, down", "wood left to the nearest chamber"}}
	for _, e := range r.Edges {
		for k, round := range e.Rounds {
			for _, f := range round.Flats {
				row := []string{e.Face, l(e.RadiusMm), fmt.Sprint(k + 1), fmt.Sprintf("%.1f°", f.AngleDeg), l(f.FromInMm) + ", " + l(f.FromDownMm), l(f.ToInMm) + ", " + l(f.ToDownMm), ""}
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
	add(t)

	f := r.Finish
	add(Table{Title: "Finish", Head: []string{"coated", "mix for a coat", "batches", "mix in all", "adds"},
		Rows:  [][]string{{show.Surface(f.CoatedMm2), m(f.CoatG), fmt.Sprint(f.Batches), m(f.MixG), m(f.DryG)}},
		Notes: f.Notes})
	c := r.Fittings
	t = Table{Title: "Fittings", Head: []string{"fitting", "kind", "along", "across", "weighs", "round it", "must hold"}}
	for _, f := range c.Fittings {
		round, hold := "no chamber", ""
		if f.Forbids {
			round = "no chamber, no instrument"
		}
		if f.Carries {
			hold = fmt.Sprintf("%.0f N", c.EachN)
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
	add(t)

	w := r.Weight
	moist := fmt.Sprintf("all wood at %.1f %% moisture", w.MoisturePct)
	if w.OwnMoisture {
		moist = "each piece at its own moisture"
	}
	t = Table{Title: fmt.Sprintf("Weight: %s solid, %s with chambers, %s", m(w.BeforeG), m(w.AfterG), moist), Head: []string{"piece", "wood", "kg/m³", "cm³", "solid", "with chambers"}}
	for _, p := range w.Pieces {
		t.Rows = append(t.Rows, []string{p.Name, p.Wood, fmt.Sprintf("%.0f", p.DensityKgM3), fmt.Sprintf("%.0f", p.VolumeAfterMm3/1000), m(p.BeforeG), m(p.AfterG)})
	}
	t.Notes = []string{fmt.Sprintf("Balances at %s along, %s across, %s up.", l(w.CentreMm[0]), l(w.CentreMm[1]), l(w.CentreMm[2])),
		fmt.Sprintf("With fittings and dry finish %s.", m(1000*r.FinishedKg)),
		"Densities are averages: one board differs by a tenth. Weigh yours."}
	add(t)

	v := r.Motion
	t = Table{Title: fmt.Sprintf("Movement of the pieces at %.0f °C and %.0f %%: the wood comes to %.1f %% moisture", v.TemperatureC, v.HumidityPct, v.MoisturePct), Head: []string{"piece", "rings", "moisture now", "across the slab", "through its thickness"}}
	for _, p := range v.Pieces {
		t.Rows = append(t.Rows, []string{p.Name, fmt.Sprintf("%.0f°", p.RingDegrees), fmt.Sprintf("%.1f %%", p.FromPct), show.Change(p.AcrossMm), show.Change(p.ThroughMm)})
	}
	t.Notes = []string{"Rings: between the growth rings and the slab's plane; 90° is a flat-sawn board on edge, which moves across the slab by its radial and through it by its tangential coefficient."}
	add(t)
	t = Table{Title: "Steps that open at the glue lines", Head: []string{"glue line", "step on each face", "at", "telegraphs"}}
	for _, s := range v.Steps {
		t.Rows = append(t.Rows, []string{s.Name, show.Change(s.Mm), l(s.AtMm), map[bool]string{true: "yes", false: "no"}[s.Telegraphs]})
	}
	t.Notes = []string{fmt.Sprintf("The width changes by %s, the thickness by up to %s.", show.Change(v.WidthMm), show.Change(v.ThickestMm))}
	if !v.InRange {
		t.Notes = append(t.Notes, "Some moisture lies outside the 6 to 14 % that the coefficients are given for: a rough guess.")
	}
	add(t)

	b := r.Strength.Bending
	t = Table{Title: "Strength, estimated", Head: []string{"what", "load", "sags", "share of breaking"}}
	t.Rows = append(t.Rows, []string{"the slab, resting near its ends", fmt.Sprintf("%.0f N", b.LoadN), show.Change(b.SagMm), percent(b.UsedOfMOR)})
	weakest := -1
	for i, s := range r.Strength.Skins {
		if weakest < 0 || s.LoadToBreak > r.Strength.Skins[weakest].LoadToBreak {
			weakest = i
		}
	}
	if weakest >= 0 {
		s := r.Strength.Skins[weakest]
		t.Rows = append(t.Rows, []string{"weakest skin: " + s.Chamber, fmt.Sprintf("%.0f N", s.LoadN), show.Change(s.SagMm), percent(s.LoadToBreak)})
	}
	t.Notes = r.Strength.Notes
	add(t)
	add(Table{Title: "Cautions", Notes: r.Cautions})
	return out
}
