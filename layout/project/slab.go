package project

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret/measure"
	"slabwright/fret/measure/spelling"
	"slabwright/layout/slab"
)

// readSlab reads [slab] and lets the engine check it.
func (p *Project) readSlab(t table) {
	s := &slab.Slab{}
	p.Slab = s
	before := len(t.r.problems)
	t.fill("length", &s.Length)
	for _, st := range t.list("strip") {
		s.Strips = append(s.Strips, readStrip(st, s))
	}

	plan := t.sub("plan")
	s.Plan.Stations = stations(plan.points("stations"))
	plan.fill("start_rounded", &s.Plan.StartRounded, "end_rounded", &s.Plan.EndRounded)
	p.readPlan(plan)

	profile, thickness := t.sub("profile"), t.number("thickness")
	s.Profile.Top, s.Profile.Bottom = stations(profile.points("top")), stations(profile.points("bottom"))
	switch {
	case t.has("profile") && t.has("thickness"):
		t.wrong("thickness", "a thickness stands beside [slab.profile]", "keep one of them")
	case t.has("thickness"):
		s.Profile.Top = []slab.Station{{X: 0, Value: thickness}, {X: s.Length, Value: thickness}}
		s.Profile.Bottom = []slab.Station{{X: 0, Value: 0}, {X: s.Length, Value: 0}}
	case !t.has("profile"):
		t.wrong("thickness", "neither a thickness nor [slab.profile] is given", "write thickness for a flat slab, or [slab.profile] with top and bottom")
	}
	t.sub("edge").fill("top_radius", &s.Edge.TopRadius, "bottom_radius", &s.Edge.BottomRadius, "top_chamfer", &s.Edge.TopChamfer, "bottom_chamfer", &s.Edge.BottomChamfer)

	for _, ct := range t.list("chamber") {
		c := slab.Chamber{Strip: p.strip(ct, "strip")}
		ct.fill("name", &c.Name, "from", &c.From, "to", &c.To, "top_skin", &c.TopSkin, "bottom_skin", &c.BottomSkin, "state", &c.State)
		s.Chambers = append(s.Chambers, c)
	}
	for _, ft := range t.list("fastener") {
		s.Fasteners = append(s.Fasteners, readFastener(ft))
	}
	for _, ft := range t.list("fitting") {
		var f slab.Fitting
		ft.fill("name", &f.Name, "kind", &f.Kind, "at", &f.At, "radius", &f.Radius, "ring", &f.Ring, "mass", &f.Mass, "carries", &f.Carries, "forbids", &f.Forbids)
		round(ft, "fitting")
		s.Fittings = append(s.Fittings, f)
	}
	for _, ft := range t.list("flaw") {
		var f slab.Flaw
		ft.fill("name", &f.Name, "kind", &f.Kind, "at", &f.At, "radius", &f.Radius, "ring", &f.Ring, "from", &f.From, "to", &f.To)
		round(ft, "flaw")
		s.Flaws = append(s.Flaws, f)
	}
	if len(t.r.problems) > before {
		return
	}
	if err := s.Check(); err != nil {
		t.r.problems = append(t.r.problems, t.r.Problem(slabKey(err.Error(), s, plan.has("shape")), plainRule(measure.Reword(err, p.Unit)), ""))
	}
}

// readPlan reads [slab.plan], once length and strips are known.
func (p *Project) readPlan(t table) {
	s := p.Slab
	shape, start, file := t.text("shape"), t.number("file_start"), t.text("file")
	width, endWidth, widest, nose := s.Width(), 0.0, s.Length/2, 0.0
	t.fill("width", &width, "end_width", &endWidth, "widest", &widest, "nose", &nose)
	if endWidth == 0 {
		endWidth = width
	}
	if nose == 0 {
		nose = width / 2
	}
	var ways []string
	for _, way := range []string{"stations", "file", "shape"} {
		if t.has(way) {
			ways = append(ways, way)
		}
	}
	belongs := map[string][]string{"file": {"file_start"}, "tapered": {"width", "end_width"}, "pointed": {"width", "widest"}, "rounded": {"width", "nose"}, "stations": {"start_rounded", "end_rounded"}}
	way := shape
	if way == "" && len(ways) > 0 {
		way = ways[0]
	}
	for _, key := range []string{"file_start", "width", "end_width", "widest", "nose", "start_rounded", "end_rounded"} {
		if t.has(key) && !slices.Contains(belongs[way], key) {
			t.wrong(key, "it says nothing about this plan", "leave it out; shape, stations or file say which sizes are asked for")
		}
	}
	switch {
	case len(ways) > 1:
		t.wrong(ways[1], strings.Join(ways, " and ")+" are given", "keep one of them")
	case shape == "tapered":
		s.Plan = slab.TaperedPlan(s.Length, width, endWidth)
	case shape == "pointed" && widest >= s.Length:
		t.wrong("widest", "it lies beyond the slab", "write a station within the slab's length")
	case shape == "pointed":
		s.Plan = slab.PointedPlan(s.Length, width, widest)
	case shape == "rounded":
		s.Plan = slab.RoundedPlan(s.Length, width, nose)
	case file != "":
		m, err := p.outlineFrom(file, outline.Options{Neck: outline.AsDrawn})
		if err != nil {
			t.wrong("file", err.Error(), "")
			return
		}
		box := m.Path.Bounds()
		s.Plan.Path = m.Path.Moved(geom.Shift(geom.V(start-box.Min.X, -(box.Min.Y+box.Max.Y)/2)))
	}
}

// readChambers reads [chambers] and the reserved places.
func (p *Project) readChambers(top table) {
	for _, rt := range top.sub("slab").list("reserved") {
		var v Reserved
		rt.fill("name", &v.Name, "ring", &v.Ring)
		if _, bad := v.Ring.SelfCrossing(); bad || len(v.Ring) < 3 {
			rt.wrong("ring", "it is no ring", "give three corners or more, in order round it")
		}
		p.Reserved = append(p.Reserved, v)
	}
	t := top.sub("chambers")
	rules := &slab.ChamberRules{}
	t.fill("top_skin", &rules.TopSkin, "bottom_skin", &rules.BottomSkin, "rib", &rules.Rib, "end", &rules.End, "wall", &rules.Wall,
		"longest", &rules.Longest, "shortest", &rules.Shortest, "shallowest", &rules.Shallowest, "narrowest", &rules.Narrowest,
		"ribs", &rules.Ribs, "least_glue", &rules.LeastGlue, "corner_hole", &rules.CornerHole, "screws", &rules.Screws, "over_transitions", &rules.OverJoints)
	rules.SolidStrips = p.strips(t, "solid_strips")
	if !top.has("chambers") {
		return
	}
	p.Chambers = rules
	if err := rules.Check(); err != nil {
		what := strings.TrimPrefix(measure.Reword(err, p.Unit), "chambers: ")
		key := "longest"
		if strings.HasPrefix(what, "corner") {
			key = "corner_hole"
		}
		t.wrong(key, what, "")
	}
}

// round asks for at and radius, or a ring.
func round(t table, what string) {
	switch {
	case t.has("ring") && (t.has("at") || t.has("radius")):
		t.wrong("ring", "a ring stands beside at or radius", "keep at and radius for a round "+what+", or ring for another")
	case !t.has("ring") && !(t.has("at") && t.has("radius")):
		t.wrong("at", "the "+what+" has no place", "write at and radius for a round "+what+", or ring for another")
	}
}

func stations(points [][2]float64) []slab.Station {
	var out []slab.Station
	for _, p := range points {
		out = append(out, slab.Station{X: p[0], Value: p[1]})
	}
	return out
}

// readStrip reads one strip of s: wood alone, or pieces and transitions.
func readStrip(t table, s *slab.Slab) slab.Strip {
	var strip slab.Strip
	t.fill("name", &strip.Name)
	if strip.Name != "" {
		for i, other := range s.Strips {
			if other.Name == strip.Name {
				t.wrong("name", fmt.Sprintf("strip %d has the name %q already", i+1, strip.Name), "give each strip a name of its own, or none")
			}
		}
	}
	thickness := t.number("thickness")
	one := readPiece(t, thickness)
	pieces, transitions := t.list("piece"), t.list("transition")
	for _, pt := range pieces {
		strip.Pieces = append(strip.Pieces, readPiece(pt, thickness))
	}
	for _, tt := range transitions {
		var tr slab.Transition
		tt.fill("at", &tr.At, "kind", &tr.Kind, "angle", &tr.Angle)
		tr.Lean = 1
		if tt.text("lean") == "back" {
			tr.Lean = -1
		}
		if tr.Kind == slab.Square {
			tr.Angle = math.Pi / 2
			if tt.has("angle") {
				tt.wrong("angle", "a square transition has no angle", "leave angle out, or write kind = \"diagonal\" or \"chevron\"")
			}
		}
		for _, st := range tt.list("slip") {
			sl := slab.Slip{Piece: readPiece(st, thickness)}
			st.fill("width", &sl.Width)
			tr.Slips = append(tr.Slips, sl)
		}
		strip.Transitions = append(strip.Transitions, tr)
	}
	switch {
	case t.has("wood") && len(pieces) > 0:
		t.wrong("wood", "wood is given beside piece", "keep wood for a strip of one piece, or name each piece's wood")
	case len(pieces) == 0 && !t.has("wood"):
		t.wrong("wood", "the strip has no wood", `write wood = "black-walnut", or piece where it changes along its length`)
	case len(pieces) == 0:
		strip.Pieces = []slab.Piece{one}
	default:
		for _, own := range []string{"rough", "colour", "density", "ring_angle", "moisture"} {
			if t.has(own) {
				t.wrong(own, own+" of the whole strip stands beside piece", "write it in the piece it belongs to")
			}
		}
	}
	if n, m := len(strip.Pieces), len(strip.Transitions); n > 0 && m != n-1 {
		t.wrong("transition", fmt.Sprintf("%d pieces have %d transitions between them", n, m), fmt.Sprintf("give %d, one less than there are pieces", n-1))
	}
	return strip
}

func readPiece(t table, thickness float64) slab.Piece {
	p := slab.Piece{Thickness: thickness, RingAngle: math.NaN()} // NaN: not given
	t.fill("wood", &p.Wood, "rough", &p.Rough, "colour", &p.Colour, "density", &p.Density, "ring_angle", &p.RingAngle, "moisture", &p.Moisture)
	if t.has("rough") && p.Rough < thickness {
		t.wrong("rough", "the rough thickness is less than the finished one", "write what was measured before planing")
	}
	return p
}

func readFastener(t table) slab.Fastener {
	var f slab.Fastener
	var way []float64
	t.fill("name", &f.Name, "kind", &f.Kind, "at", &f.At, "direction", &way, "length", &f.Length, "shank", &f.Shank,
		"head", &f.Head, "pilot", &f.Pilot, "pilot_depth", &f.PilotDepth, "left_in", &f.LeftIn)
	var d geom.Vec3
	if len(way) == 3 {
		d = geom.Vec3{X: way[0], Y: way[1], Z: way[2]}
	}
	if f.Direction = d.Unit(); f.Direction.Len() == 0 {
		t.wrong("direction", "it is no direction", "write three numbers [x, y, z], not all 0: [0, 1, 0] is to the left")
	}
	return f
}

// strip finds the strip that a key names or numbers from 1, or a member of a
// list of such, as "key[2]"; a wrong one is noted and 0 returned.
func (p *Project) strip(t table, key string) int {
	steps, err := parsePath(key)
	if err != nil {
		panic("project: " + err.Error())
	}
	t.key(steps[0].name, Strip, Strips) // it is one, and has been read
	spot := t.n
	for _, st := range steps {
		spot = spot.next(st)
	}
	said := spot.text
	var names []string
	for i, s := range p.Slab.Strips {
		if s.Name == said && said != "" {
			return i
		}
		if s.Name != "" {
			names = append(names, s.Name)
		}
	}
	// A number is one only when written as one: "3" in quotes is a name.
	if n, err := strconv.Atoi(strings.ReplaceAll(said, "_", "")); err == nil && spot.kind == wholeNode {
		if n >= 1 && n <= len(p.Slab.Strips) {
			return n - 1
		}
		t.wrong(key, fmt.Sprintf("there is no strip %d", n), fmt.Sprintf("write a number from 1 (the rightmost) to %d, or a strip's name", len(p.Slab.Strips)))
		return 0
	}
	want := fmt.Sprintf("write a strip's name or a number from 1 (the rightmost) to %d", len(p.Slab.Strips))
	if near := spelling.Nearest(said, names); near != "" {
		want = fmt.Sprintf("did you mean %q?", near)
	}
	t.wrong(key, fmt.Sprintf("no strip is named %q", clip(said)), want)
	return 0
}

// glueLine finds the glue line of that name; a wrong one is noted.
func (p *Project) glueLine(t table, key string) int {
	if len(t.r.problems) > 0 {
		return 0 // the slab is not sound: its lines cannot be listed
	}
	said, part := t.text(key), t.whole("part")
	var names []string
	found := 0
	for i, l := range p.Slab.GlueLines() {
		if l.Name == said {
			if found++; found == part {
				return i
			}
		}
		names = append(names, l.Name)
	}
	if found > 0 {
		t.wrong("part", fmt.Sprintf("the glue line %q has %d parts", said, found), fmt.Sprintf("write a number from 1 to %d", found))
		return 0
	}
	want := `"slabwright slab" lists them`
	if near := spelling.Nearest(said, names); near != "" {
		want = fmt.Sprintf("did you mean %q?", near)
	} else if len(names) > 0 && len(names) <= 12 {
		want = "the glue lines are " + strings.Join(quoted(names), ", ")
	}
	t.wrong(key, fmt.Sprintf("no glue line is named %q", clip(said)), want)
	return 0
}

// slabKey finds the key that a message of the slab engine is about: it begins
// with the thing's name, then perhaps which piece, transition or station.
func slabKey(message string, s *slab.Slab, shaped bool) string {
	head, _, _ := strings.Cut(message, "(rule")
	number := func(word string) int {
		_, rest, ok := strings.Cut(head, word+" ")
		if !ok {
			return 0
		}
		end := strings.IndexFunc(rest, func(r rune) bool { return r < '0' || r > '9' })
		if end < 0 {
			end = len(rest)
		}
		n, _ := strconv.Atoi(rest[:end])
		return n
	}
	begins := func(name string) bool {
		rest, ok := strings.CutPrefix(message, name)
		return ok && name != "" && (strings.HasPrefix(rest, ":") || strings.HasPrefix(rest, ",") || strings.HasPrefix(rest, " overlaps"))
	}
	member := func(path string, n int) string {
		if n == 0 {
			return path
		}
		return fmt.Sprintf("%s[%d]", path, n)
	}
	switch {
	case strings.HasPrefix(message, "plan"):
		if len(s.Plan.Stations) == 0 {
			return "slab.plan.file"
		}
		if shaped {
			return "slab.plan"
		}
		return member("slab.plan.stations", number("station"))
	case strings.HasPrefix(message, "profile top"):
		return member("slab.profile.top", number("station"))
	case strings.HasPrefix(message, "profile bottom"):
		return member("slab.profile.bottom", number("station"))
	case strings.HasPrefix(message, "profile"):
		return "slab.profile"
	case strings.HasPrefix(message, "edge"):
		return "slab.edge"
	case strings.HasPrefix(message, "slab: length"):
		return "slab.length"
	}
	for i := range s.Strips {
		if !begins(s.StripName(i)) {
			continue
		}
		at := fmt.Sprintf("slab.strip[%d]", i+1)
		if strings.Contains(head, "transition ") {
			return member(at+".transition", number("transition"))
		}
		if n := number(", part"); n > 0 && len(s.Strips[i].Transitions) > 0 {
			return member(at+".transition", 1)
		}
		if strings.Contains(head, "piece ") && len(s.Strips[i].Pieces) > 1 {
			return member(at+".piece", number("piece"))
		}
		return at
	}
	for i, c := range s.Chambers {
		if begins(c.Name) || c.Name == "" && begins(fmt.Sprintf("chamber %d", i+1)) {
			return fmt.Sprintf("slab.chamber[%d]", i+1)
		}
	}
	for i, f := range s.Fasteners {
		if begins(f.Name) || f.Name == "" && begins(fmt.Sprintf("fastener %d", i+1)) {
			return fmt.Sprintf("slab.fastener[%d]", i+1)
		}
	}
	for i, f := range s.Fittings {
		if begins(f.Name) || f.Name == "" && begins(fmt.Sprintf("%s %d", f.Kind, i+1)) {
			return fmt.Sprintf("slab.fitting[%d]", i+1)
		}
	}
	for i, f := range s.Flaws {
		if begins(f.Name) || f.Name == "" && begins(fmt.Sprintf("%s %d", f.Kind, i+1)) {
			return fmt.Sprintf("slab.flaw[%d]", i+1)
		}
	}
	return "slab"
}

// plainRule takes the rule's number, which means nothing to a maker, out of a
// message of the slab engine.
func plainRule(message string) string {
	before, rest, ok := strings.Cut(message, " (rule ")
	if !ok {
		return message
	}
	_, after, _ := strings.Cut(rest, ")")
	return before + after
}
