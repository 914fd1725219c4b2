package project

import (
	"slices"
	"strconv"
	"strings"

	"slabwright/fret/measure"
	"slabwright/layout/slab"
)

// Shop is how the slab is made: what [shop] says. Lengths are mm.
type Shop struct {
	Cut    slab.CutRules
	Kerf   float64 // of the saw that rips the blanks
	Boards []slab.Board
	Stack  *slab.StackWish // nil: the stack is as the strips say
	Glue   slab.GlueRules
	Finish slab.FinishRules
	Screws slab.FastenerRules // holding screws, and what all fasteners keep clear of

	TemperatureC, HumidityPct float64 // of the air it will live in
	SkinLoadN, SlabLoadN      float64 // that the strength estimates ask about
	HangerFactor              float64 // each hanger carries so many times its share
}

func shopKeys() []Key {
	cut, glue, finish, screws := slab.DefaultCutRules(), slab.DefaultGlueRules(), slab.DefaultFinishRules(), slab.DefaultFastenerRules()
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	mm := func(v float64) string { return strconv.Quote(num(v) + " mm") }
	var lengths []string
	for _, l := range screws.LengthsMm {
		lengths = append(lengths, num(l))
	}
	return []Key{
		{Path: "shop", Kind: Table, Doc: "How the slab is made. Lists and estimates follow it; the placement does not."},
		{Path: "shop.cut", Kind: Table, Doc: "Allowances of the cut list."},
		{Path: "shop.cut.end", Kind: Length, Max: 1000, Default: mm(cut.EndMm), Doc: "At each end of a blank."},
		{Path: "shop.cut.height", Kind: Length, Max: 1000, Default: mm(cut.HeightMm), Doc: "Above and below a blank, together."},
		{Path: "shop.cut.thickness", Kind: Length, Max: 100, Default: mm(cut.ThicknessMm), Doc: "Planing and sanding, both faces together, where no rough thickness was measured."},
		{Path: "shop.cut.waste", Kind: Number, Max: 10, Default: num(cut.WasteFactor), Doc: "Bought over cut: 0.15 buys 15 % more."},
		{Path: "shop.cut.rip_step", Kind: Length, Max: 50, Absent: "1 mm, or 1/16 in where the unit is in", Doc: "Rips are rounded up to the next such step of the saw's fence."},
		{Path: "shop.cut.kerf", Kind: Length, Max: 50, Default: `"3 mm"`, Doc: "Kerf of the saw that rips the blanks."},
		{Path: "shop.price", Kind: Tables, Doc: "What a wood costs.", Absent: "prices are left out"},
		{Path: "shop.price.wood", Kind: Wood, Required: true, Doc: "The wood."},
		{Path: "shop.price.board_foot", Kind: Number, Max: 1e6, Required: true, Doc: "For each board foot, in your money."},
		{Path: "shop.board", Kind: Tables, Doc: "A board that lies in the shop.", Absent: "blanks are not laid out on boards"},
		{Path: "shop.board.name", Kind: Text, Doc: "What it is called.", Absent: `"board" and its number`},
		{Path: "shop.board.wood", Kind: Wood, Required: true, Doc: "Its wood."},
		{Path: "shop.board.length", Kind: Length, Max: 20000, Open: true, Required: true, Doc: "Its length."},
		{Path: "shop.board.width", Kind: Length, Max: 2000, Open: true, Required: true, Doc: "Its width."},
		{Path: "shop.board.thickness", Kind: Length, Max: 1000, Open: true, Required: true, Doc: "Its thickness, rough."},
		{Path: "shop.board.flaw", Kind: Tables, Doc: "A stretch of it to cut around."},
		{Path: "shop.board.flaw.from", Kind: Length, Max: 20000, Required: true, Doc: "Along the board."},
		{Path: "shop.board.flaw.to", Kind: Length, Max: 20000, Required: true, Doc: "Along the board."},
		{Path: "shop.board.flaw.low", Kind: Length, Max: 2000, Default: `"0 mm"`, Doc: "Across the board; low and high both 0 are its whole width."},
		{Path: "shop.board.flaw.high", Kind: Length, Max: 2000, Default: `"0 mm"`, Doc: "Across the board."},
		{Path: "shop.stack", Kind: Table, Doc: "A finished width to bring the rough stack to.", Absent: "the strips' finished thicknesses say it"},
		{Path: "shop.stack.width", Kind: Length, Max: 5000, Open: true, Required: true, Doc: "The finished width wanted."},
		{Path: "shop.stack.keep", Kind: Strips, Doc: "Strips whose finished thickness stays.", Absent: "none"},
		{Path: "shop.stack.take", Kind: Tables, Doc: "So much out of these strips, before the rest is shared."},
		{Path: "shop.stack.take.strips", Kind: Strips, Required: true, Doc: "The strips."},
		{Path: "shop.stack.take.total", Kind: Length, Max: 1000, Open: true, Required: true, Doc: "Out of all of them together, in equal parts."},
		{Path: "shop.stack.mirror_pairs", Kind: Flag, Default: "false", Doc: "Strips at equal places left and right finish equal."},
		{Path: "shop.stack.share", Kind: Choice, Choices: []string{"equally", "by-thickness"}, Default: `"equally"`, Doc: "How the rest is shared: the same from each strip, or by thickness."},
		{Path: "shop.stack.least_take", Kind: Length, Max: 100, Default: `"0 mm"`, Doc: "Planing and sanding that every other strip needs, both faces together."},
		{Path: "shop.stack.least_finished", Kind: Length, Max: 1000, Default: `"0 mm"`, Doc: "No strip may finish thinner."},
		{Path: "shop.glue", Kind: Table, Doc: "How it is glued. The glue's and the clamps' own sheets go before these."},
		{Path: "shop.glue.strips_at_once", Kind: Whole, Min: 2, Max: 100, Default: strconv.Itoa(glue.StripsAtOnce), Doc: "The most strips or sections in one glue-up."},
		{Path: "shop.glue.clamp_force", Kind: Force, Max: 1e6, Open: true, Default: strconv.Quote(num(glue.ClampForceN) + " N"), Doc: "What one clamp gives."},
		{Path: "shop.glue.clamp_spacing", Kind: Length, Max: 2000, Open: true, Default: mm(glue.ClampSpacingMm), Doc: "Clamps stand no farther apart."},
		{Path: "shop.glue.clamps", Kind: Whole, Max: 1000, Default: strconv.Itoa(glue.Clamps), Doc: "Clamps in the shop; 0 is as many as it takes."},
		{Path: "shop.glue.cure_hours", Kind: Number, Max: 1000, Open: true, Default: num(glue.CureHours), Doc: "Hours in clamps."},
		{Path: "shop.glue.open_minutes", Kind: Number, Max: 1000, Open: true, Default: num(glue.OpenMinutes), Doc: "The glue's open time."},
		{Path: "shop.glue.spread", Kind: Length, Max: 100000, Open: true, Default: mm(glue.SpreadMmPerMin), Doc: "Length of joint that is coated in a minute."},
		{Path: "shop.glue.spline", Kind: Length, Max: 200, Default: mm(glue.SplineMm), Doc: "Width of a spline let in across each blunt end; 0 has none."},
		{Path: "shop.finish", Kind: Table, Doc: "The slab's coat. Its maker's sheet goes before these."},
		{Path: "shop.finish.coats", Kind: Whole, Max: 50, Default: strconv.Itoa(finish.Coats), Doc: "How many."},
		{Path: "shop.finish.wet", Kind: Length, Max: 10, Default: mm(finish.WetUm / 1000), Doc: "Wet thickness of one coat."},
		{Path: "shop.finish.density", Kind: Number, Min: 100, Max: 3000, Default: num(finish.DensityGMl * 1000), Doc: "Of the mixed finish in kg/m³."},
		{Path: "shop.finish.solids", Kind: Number, Max: 100, Default: num(finish.SolidsPct), Doc: "What stays when it is dry, percent by mass."},
		{Path: "shop.finish.waste", Kind: Number, Max: 500, Default: num(finish.WastePct), Doc: "Pots, brushes and drips, percent."},
		{Path: "shop.finish.pot_life", Kind: Number, Max: 10000, Default: num(finish.PotLifeMin), Doc: "Minutes by its maker; 0 does not set in the pot."},
		{Path: "shop.finish.largest_mix", Kind: Mass, Max: 1e6, Default: strconv.Quote(num(finish.LargestMixG) + " g"), Doc: "The largest batch its maker allows; 0 is not said."},
		{Path: "shop.finish.bottom", Kind: Flag, Default: strconv.FormatBool(finish.BottomToo), Doc: "The bottom is coated, too."},
		{Path: "shop.finish.sides", Kind: Flag, Default: strconv.FormatBool(finish.SidesToo), Doc: "The sides are coated, too."},
		{Path: "shop.finish.hardens", Kind: Flag, Default: strconv.FormatBool(finish.ResinHardens), Doc: "It sets by a reaction that makes heat."},
		{Path: "shop.screws", Kind: Table, Doc: "The screws that hold the dry stack while its outline is sawn, and what fasteners keep clear of."},
		{Path: "shop.screws.lengths", Kind: Lengths, Max: 1000, Open: true, Doc: "The lengths in the box.", Absent: strings.Join(lengths, ", ") + " mm"},
		{Path: "shop.screws.shank", Kind: Length, Min: 0.5, Max: 50, Default: mm(screws.ShankMm), Doc: "Diameter of the shank."},
		{Path: "shop.screws.head", Kind: Length, Max: 100, Default: mm(screws.HeadMm), Doc: "Diameter of the countersunk head. Thinner strips are held by the screws of the next."},
		{Path: "shop.screws.pilot", Kind: Length, Max: 50, Default: mm(screws.PilotMm), Doc: "Diameter of the pilot hole."},
		{Path: "shop.screws.bite", Kind: Length, Min: 1, Max: 500, Default: mm(screws.BiteMm), Doc: "Least length in the strips before."},
		{Path: "shop.screws.spacing", Kind: Length, Min: 10, Max: 2000, Default: mm(screws.SpacingMm), Doc: "Between screws along a strip, about."},
		{Path: "shop.screws.clear", Kind: Length, Max: 500, Default: mm(screws.ClearMm), Doc: "Least wood between a fastener and another, the saw's path, the faces or reserved wood."},
		{Path: "shop.screws.saw", Kind: Length, Max: 100, Default: mm(screws.SawMm), Doc: "Width of the saw's path along the outline."},
		{Path: "shop.screws.counterbore", Kind: Length, Max: 500, Default: mm(screws.CounterboreMm), Doc: "No head is sunk deeper."},
		{Path: "shop.screws.each_strip", Kind: Whole, Max: 100, Default: strconv.Itoa(screws.LeastPerStrip), Doc: "The fewest that hold a strip."},
		{Path: "shop.screws.offset", Kind: Length, Max: 200, Default: mm(screws.HeightOffsetMm), Doc: "Neighbouring strips' screws go so far above and below the middle."},
		{Path: "shop.air", Kind: Table, Doc: "The air the slab will live in."},
		{Path: "shop.air.temperature", Kind: Number, Min: -1, Max: 93, Default: "20", Doc: "In °C."},
		{Path: "shop.air.humidity", Kind: Number, Max: 95, Default: "50", Doc: "Relative, in percent."},
		{Path: "shop.load", Kind: Table, Doc: "Loads that the strength estimates ask about. They are no design values: where people sit or stand on or under it, licensed practice decides."},
		{Path: "shop.load.skin", Kind: Force, Max: 1e5, Default: `"200 N"`, Doc: "On the middle of a chamber's skin."},
		{Path: "shop.load.slab", Kind: Force, Max: 1e6, Default: `"1000 N"`, Doc: "On the middle of the slab."},
		{Path: "shop.load.hanger_factor", Kind: Number, Min: 1, Max: 100, Default: "5", Doc: "Each hanger carries so many times its share."},
	}
}

// readShop reads [shop].
func (p *Project) readShop(t table) {
	s := &p.Shop
	before := len(t.r.problems)
	t.sub("cut").fill("end", &s.Cut.EndMm, "height", &s.Cut.HeightMm, "thickness", &s.Cut.ThicknessMm, "waste", &s.Cut.WasteFactor, "rip_step", &s.Cut.RipStepMm, "kerf", &s.Kerf)
	for _, pt := range t.list("price") {
		if s.Cut.Prices == nil {
			s.Cut.Prices = map[string]float64{}
		}
		s.Cut.Prices[pt.text("wood")] = pt.number("board_foot")
	}
	for _, bt := range t.list("board") {
		var b slab.Board
		bt.fill("name", &b.Name, "wood", &b.Wood, "length", &b.LengthMm, "width", &b.WidthMm, "thickness", &b.ThicknessMm)
		for _, ft := range bt.list("flaw") {
			var f slab.BoardFlaw
			ft.fill("from", &f.FromMm, "to", &f.ToMm, "low", &f.LowMm, "high", &f.HighMm)
			if f.ToMm <= f.FromMm || f.HighMm < f.LowMm || f.HighMm == f.LowMm && f.HighMm != 0 {
				ft.wrong("to", "the flaw has no size", "to must be more than from, high more than low")
			}
			b.Flaws = append(b.Flaws, f)
		}
		s.Boards = append(s.Boards, b)
	}
	st := t.sub("stack")
	w := &slab.StackWish{Unit: p.Unit}
	st.fill("width", &w.WidthMm, "mirror_pairs", &w.MirrorPairs, "share", &w.Share, "least_take", &w.LeastTakeMm, "least_finished", &w.LeastFinishedMm)
	w.Keep = p.strips(st, "keep")
	for _, tt := range st.list("take") {
		w.Take = append(w.Take, slab.Take{Strips: p.strips(tt, "strips"), TotalMm: tt.number("total")})
	}
	if t.has("stack") {
		s.Stack = w
	}
	g := &s.Glue
	t.sub("glue").fill("strips_at_once", &g.StripsAtOnce, "clamp_force", &g.ClampForceN, "clamp_spacing", &g.ClampSpacingMm, "clamps", &g.Clamps,
		"cure_hours", &g.CureHours, "open_minutes", &g.OpenMinutes, "spread", &g.SpreadMmPerMin, "spline", &g.SplineMm)
	f := &s.Finish
	ft := t.sub("finish")
	ft.fill("coats", &f.Coats, "solids", &f.SolidsPct, "waste", &f.WastePct, "pot_life", &f.PotLifeMin, "largest_mix", &f.LargestMixG,
		"bottom", &f.BottomToo, "sides", &f.SidesToo, "hardens", &f.ResinHardens)
	f.WetUm, f.DensityGMl = ft.number("wet")*1000, ft.number("density")/1000
	c, screws := &s.Screws, t.sub("screws")
	screws.fill("shank", &c.ShankMm, "head", &c.HeadMm, "pilot", &c.PilotMm, "bite", &c.BiteMm, "spacing", &c.SpacingMm, "clear", &c.ClearMm,
		"saw", &c.SawMm, "counterbore", &c.CounterboreMm, "each_strip", &c.LeastPerStrip, "offset", &c.HeightOffsetMm)
	if c.LengthsMm = screws.numbers("lengths"); len(c.LengthsMm) == 0 {
		c.LengthsMm = slab.DefaultFastenerRules().LengthsMm
	}
	t.sub("air").fill("temperature", &s.TemperatureC, "humidity", &s.HumidityPct)
	t.sub("load").fill("skin", &s.SkinLoadN, "slab", &s.SlabLoadN, "hanger_factor", &s.HangerFactor)
	if len(t.r.problems) > before {
		return
	}
	if s.Stack != nil && len(t.r.problems) == 0 { // the strips are sound
		if _, err := p.Slab.Stack(*s.Stack); err != nil {
			_, what, _ := strings.Cut(measure.Reword(err, p.Unit), ": ")
			t.r.problems = append(t.r.problems, t.r.Problem("shop.stack", what, ""))
		}
	}
	// The limits of the keys are those of the engines; what is left are rules
	// that hold between values.
	for _, c := range []struct {
		key string
		err error
	}{{"shop.cut", s.Cut.Check()}, {"shop.board", slab.CheckBoards(s.Boards, s.Kerf)}, {"shop.glue", s.Glue.Check()}, {"shop.finish", s.Finish.Check()}, {"shop.screws", s.Screws.Check()}} {
		if c.err != nil {
			_, what, _ := strings.Cut(measure.Reword(c.err, p.Unit), ": ")
			t.r.problems = append(t.r.problems, t.r.Problem(c.key, what, ""))
		}
	}
}

// strips finds the strips of a list.
func (p *Project) strips(t table, key string) []int {
	var out []int
	for i := range t.texts(key) {
		n := p.strip(t, key+"["+strconv.Itoa(i+1)+"]")
		if slices.Contains(out, n) && len(t.r.problems) == 0 {
			t.wrong(key, "a strip is named twice", "name each strip once")
		}
		out = append(out, n)
	}
	return out
}
