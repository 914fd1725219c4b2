package project

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret"
	"slabwright/fret/measure/spelling"
)

// hair stands for a 0 that a maker has written where the body engine takes 0
// as "not given": no tool tells 1e-9 mm from 0.
const hair = 1e-9

// readBody reads [body] and [neck]'s joint and lets the engine build it. The
// neck has been worked out before.
func (p *Project) readBody(top table) {
	s := &p.BodySpec
	s.Unit = p.Unit
	t := top.sub("body")
	before := len(t.r.problems)
	t.fill("thickness", &s.Thickness)
	if t.text("hand") == "left" {
		s.Hand = outline.LeftHanded
	}
	p.readOutline(t)
	p.readJoint(top.sub("neck"))

	for _, pt := range t.list("pickup") {
		var k body.Pickup
		pt.fill("name", &k.Name, "kind", &k.Kind, "from_saddle", &k.FromSaddle, "fraction", &k.Fraction, "across", &k.Across, "angle", &k.Angle,
			"length", &k.Length, "width", &k.Width, "depth", &k.Depth, "ear_length", &k.EarLength, "ear_width", &k.EarWidth, "ear_depth", &k.EarDepth,
			"cover_length", &k.Cover.Length, "cover_width", &k.Cover.Width, "mass", &k.Mass)
		orNone(pt, "ear_length", &k.EarLength)
		if pt.has("from_saddle") == pt.has("fraction") {
			pt.wrong("from_saddle", "the pickup's place is not given, or twice", "write one of from_saddle and fraction")
		}
		s.Pickups = append(s.Pickups, k)
	}
	p.readBridge(t.sub("bridge"))
	for _, ct := range t.list("cavity") {
		var c body.Cavity
		ct.fill("name", &c.Name, "face", &c.Face, "at", &c.At, "ring", &c.Ring, "length", &c.Length, "width", &c.Width, "turn", &c.Turn,
			"inset", &c.InsetFromEdge, "corner_radius", &c.CornerRadius, "depth", &c.Depth, "ledge", &c.Ledge, "ledge_depth", &c.LedgeDepth, "cover_mass", &c.CoverMass)
		orNone(ct, "ledge", &c.Ledge)
		if ct.has("at") == ct.has("ring") {
			ct.wrong("at", "the cavity's place is not given, or twice", "write one of at and ring")
		}
		s.Cavities = append(s.Cavities, c)
	}
	for _, pt := range t.list("pot") {
		var k body.Pot
		pt.fill("name", &k.Name, "at", &k.At, "hole", &k.Hole, "can", &k.Body, "knob", &k.Knob, "bush_length", &k.BushLength, "mass", &k.Mass)
		s.Pots = append(s.Pots, k)
	}
	for _, st := range t.list("switch") {
		var k body.Switch
		st.fill("name", &k.Name, "kind", &k.Kind, "at", &k.At, "turn", &k.Turn, "hole", &k.Hole, "slot_length", &k.Slot.Length, "slot_width", &k.Slot.Width,
			"screws", &k.Screws, "room_length", &k.Body.Length, "room_width", &k.Body.Width, "mass", &k.Mass)
		s.Switches = append(s.Switches, k)
	}
	t.sub("jack").fill("none", &s.Jack.None, "face", &s.Jack.Face, "at", &s.Jack.At, "w", &s.Jack.W, "into", &s.Jack.Into,
		"diameter", &s.Jack.Diameter, "recess", &s.Jack.Recess, "mass", &s.Jack.Mass)
	for _, ct := range t.list("channel") {
		var c body.Channel
		ct.fill("name", &c.Name, "face", &c.Face, "from", &c.From, "to", &c.To, "width", &c.Width, "depth", &c.Depth, "covered", &c.Covered)
		s.Channels = append(s.Channels, c)
	}
	for _, wt := range t.list("wire_hole") {
		var w body.WireHole
		wt.fill("name", &w.Name, "from", &w.From, "to", &w.To, "through", &w.Through, "start", &w.A, "end", &w.B, "diameter", &w.Diameter)
		both(wt)
		s.WireHoles = append(s.WireHoles, w)
	}
	for _, gt := range t.list("guard") {
		var g body.Guard
		gt.fill("name", &g.Name, "ring", &g.Ring, "mass", &g.Mass)
		s.Guards = append(s.Guards, g)
	}
	for _, bt := range t.list("battery") {
		var b body.Battery
		bt.fill("name", &b.Name, "face", &b.Face, "at", &b.At, "turn", &b.Turn, "length", &b.Length, "width", &b.Width, "depth", &b.Depth, "mass", &b.Mass)
		s.Batteries = append(s.Batteries, b)
	}
	for _, st := range t.list("strap_button") {
		var b body.StrapButton
		st.fill("name", &b.Name, "at", &b.At, "on_back", &b.OnBack, "w", &b.W, "stand", &b.Stand, "pilot", &b.Pilot, "pilot_depth", &b.PilotDep, "mass", &b.Mass)
		s.StrapButtons = append(s.StrapButtons, b)
	}
	g := t.sub("ground_wire")
	g.fill("none", &s.GroundWire.None, "into", &s.GroundWire.Into, "start", &s.GroundWire.A, "end", &s.GroundWire.B, "diameter", &s.GroundWire.Diameter)
	both(g)
	t.sub("edges").fill("front_radius", &s.Edges.FrontRadius, "back_radius", &s.Edges.BackRadius,
		"front_chamfer", &s.Edges.FrontChamfer, "back_chamfer", &s.Edges.BackChamfer)
	for _, ct := range t.list("contour") {
		var c body.Contour
		along := ct.number("along")
		ct.fill("name", &c.Name, "kind", &c.Kind, "at", &c.At, "depth", &c.Depth, "reach", &c.Reach, "hollow", &c.Hollow,
			"radius_along", &c.RadiusAlong, "radius_across", &c.RadiusAcross)
		c.Along = geom.Polar(1, along)
		s.Contours = append(s.Contours, c)
	}
	l := &s.Limits
	t.sub("limits").fill("floor", &l.Floor, "top", &l.Top, "wall", &l.Wall, "web", &l.Web, "hole_to_hole", &l.HoleToHole, "hole_to_edge", &l.HoleToEdge,
		"hole_to_cavity", &l.HoleCavity, "pocket_floor", &l.PocketFloor, "face_skin", &l.FaceSkin, "router_bit", &l.RouterBit)
	m := t.sub("masses")
	m.fill("neck", &s.Masses.Neck, "neck_at", &s.Masses.NeckCG, "tuner", &s.Masses.TunersEach, "string", &s.Masses.StringEach, "tuners_at", &s.Masses.TunersAt)
	p.weighNeck(m)
	for _, ot := range m.list("other") {
		var o body.Mass
		ot.fill("name", &o.Name, "mass", &o.Grams, "at", &o.At)
		s.Masses.Other = append(s.Masses.Other, o)
	}
	f := t.sub("finish")
	f.fill("thickness", &s.Finish.Thickness, "density", &s.Finish.Density)
	orNone(f, "thickness", &s.Finish.Thickness)

	if len(t.r.problems) > before {
		return
	}
	var err error
	p.Body, err = body.Build(*s)
	for _, e := range flatten(err) {
		var fe *body.FieldError
		if errors.As(e, &fe) {
			t.r.problems = append(t.r.problems, t.r.Problem(nearestKey(bodyKey(fe.Field)), fe.Is, fe.Want))
		} else {
			t.r.problems = append(t.r.problems, t.r.Problem("body", e.Error(), ""))
		}
	}
}

// flatten takes joined errors apart.
func flatten(err error) []error {
	if err == nil {
		return nil
	}
	if j, ok := err.(interface{ Unwrap() []error }); ok {
		var out []error
		for _, e := range j.Unwrap() {
			out = append(out, flatten(e)...)
		}
		return out
	}
	return []error{err}
}

// orNone turns a written 0 into the engine's −1, "none".
func orNone(t table, name string, v *float64) {
	if *v == 0 && (t.has(name) || t.key(name, Length).Default != "") {
		*v = -1
	}
}

// both asks for start and end together.
func both(t table) {
	if t.has("start") != t.has("end") {
		t.wrong("start", "only one of start and end is given", "give both ends of the hole's axis, or none")
	}
}

// readOutline reads the family with its sizes, or a file.
func (p *Project) readOutline(t table) {
	s := &p.BodySpec
	t.fill("outline", &s.Family)
	sizes := t.sub("sizes")
	file, o := t.text("outline_file"), outline.Options{Show: p.Unit}
	t.fill("outline_length", &o.LengthMM, "outline_id", &o.ID, "outline_unit", &o.UnitMM, "outline_gap", &o.GapMM, "outline_deviation", &o.DeviationMM, "outline_mirror", &o.Mirror)
	o.Neck = map[string]outline.NeckSide{"left": outline.NeckLeft, "right": outline.NeckRight, "up": outline.NeckUp, "down": outline.NeckDown}[t.text("outline_neck")]
	hand := t.text("outline_hand")
	if file != "" {
		s.Family = ""
		for _, other := range []string{"outline", "sizes"} {
			if t.has(other) {
				t.wrong(other, other+" is given beside outline_file", "keep one of them")
			}
		}
		m, err := p.outlineFrom(file, o)
		if err != nil {
			t.wrong("outline_file", err.Error(), "")
			return
		}
		// A Spec is written for a right-handed instrument; Build mirrors it.
		s.Outline = m.Path
		if hand == "left" || hand == "" && m.HandSeen && m.Hand == outline.LeftHanded {
			s.Outline = m.Path.Moved(geom.FlipY()).Reversed()
		}
		return
	}
	for _, k := range children("body") {
		if strings.HasPrefix(k.name(), "outline_") && t.has(k.name()) {
			t.wrong(k.name(), "it is for an outline_file, and there is none", "leave it out; a family's length stands in [body.sizes]")
		}
	}
	s.Sizes = map[string]float64{} // all of them, so that a page can show what may be changed
	family, err := outline.FamilyNamed(s.Family)
	if err != nil {
		panic("project: read before check: " + err.Error())
	}
	for _, size := range outline.Sizes(family) {
		s.Sizes[size.Name] = size.Default
		if sizes.has(size.Name) {
			v, _ := t.r.value(Key{Kind: Length}, sizes.n.child[size.Name], sizes.at(size.Name)) // check has seen it
			s.Sizes[size.Name] = v.(float64)
		}
	}
	drawn, err := outline.New(s.Family, s.Sizes, outline.RightHanded)
	if err != nil {
		// The family says which sizes do not go together, the name first.
		key := "body.outline"
		for _, name := range slices.Sorted(maps.Keys(s.Sizes)) {
			if sizes.has(name) && strings.Contains(err.Error(), ": "+name+" ") {
				key = sizes.at(name)
			}
		}
		if key == "body.outline" && sizes.n != nil {
			key = sizesPath
		}
		t.r.problems = append(t.r.problems, t.r.Problem(key, err.Error(), ""))
		return
	}
	s.Outline = drawn
}

// checkSizes holds [body.sizes] against the sizes of the chosen family.
func (r *reading) checkSizes(n *node, at string) {
	family := outline.Families()[0]
	if b := r.root.child["body"]; b != nil && b.kind == tableNode && b.child["outline"] != nil {
		family = b.child["outline"].text
	}
	f, err := outline.FamilyNamed(family)
	if err != nil {
		return // told at body.outline
	}
	known := map[string]Key{}
	var names []string
	for _, s := range outline.Sizes(f) {
		known[s.Name] = Key{Path: at + "." + s.Name, Kind: Length, Min: s.Min, Max: s.Max, Doc: s.Doc}
		names = append(names, s.Name)
	}
	for _, name := range n.names {
		c := n.child[name]
		k, ok := known[name]
		if !ok {
			want := family + " takes " + orList(names)
			if near := spelling.Nearest(name, names); near != "" {
				want = "did you mean " + near + "?"
			}
			r.wrongKey(c, join(at, name), "the outline "+family+" has no such size", want)
			continue
		}
		if _, problem := r.value(k, c, k.Path); problem != nil {
			r.problems = append(r.problems, *problem)
		}
	}
}

// weighNeck puts in the neck's own mass, its centre of gravity and the tuners'
// middle where the maker gives none: from its geometry and the woods at 12 %
// moisture. A centre is kept when a mass is given alone, for a weighed neck has
// the same shape.
func (p *Project) weighNeck(m table) {
	r := p.NeckReport
	grams, u, v, w := r.MassInBody(p.NeckWoods)
	if !m.has("neck") {
		p.BodySpec.Masses.Neck = grams
	}
	if !m.has("neck_at") {
		p.BodySpec.Masses.NeckCG = geom.Point3{X: u, Y: v, Z: w}
	}
	if !m.has("tuners_at") {
		u, v, w := r.TunersInBody()
		p.BodySpec.Masses.TunersAt = geom.Point3{X: u, Y: v, Z: w}
	}
}

// readJoint reads the neck's joint as far as it shapes the body, and carries
// the strings and the board from the neck frame into the body frame.
func (p *Project) readJoint(t table) {
	s, report := &p.BodySpec, p.NeckReport
	plan, joint := report.Plan, report.Joint
	line := func(l fret.Line) body.Line {
		u0, v0 := inBody(joint.Seat, l.From)
		u1, v1 := inBody(joint.Seat, l.To)
		return body.Line{A: geom.Pt(u0, v0), B: geom.Pt(u1, v1)}
	}
	s.ScaleLength = plan.CentreScaleMm
	n := &s.Neck
	n.JointFret = report.Spec.Joint.JointFret
	u, _ := inBody(joint.Seat, fret.Point{U: joint.JointFromNutMm})
	n.Distance, n.Depth, n.Angle = -u, joint.PocketMm, joint.NeckAngleRad
	t.fill("heel_width", &n.HeelWidth, "joint_width", &n.JointWidth)
	t.sub("pocket").fill("length", &n.Length, "clearance", &n.FitClearance, "corner_radius", &n.CornerRadius)
	screws := t.sub("screws")
	screws.fill("count", &n.Screws, "diameter", &n.ScrewDiameter, "edge", &n.ScrewEdge, "head_depth", &n.HeadDepth,
		"head_diameter", &n.HeadDiameter, "plate_inset", &n.BackPlateInset)
	if t.text("joint") == "glued" {
		n.Screws = -1
		if t.has("screws") {
			t.wrong("screws", "a glued neck has no screws", "leave [neck.screws] out, or write joint = \"bolted\"")
		}
	}

	b := &s.Board
	b.LastFret = float64(plan.Layout.Count)
	b.Overhang = plan.Layout.Overhang
	end := line(plan.BoardEnd)
	b.End = (end.A.X + end.B.X) / 2
	b.EndSlope = end.A.X - end.B.X
	b.WidthNut, b.WidthEnd = plan.WidthAt(0), plan.WidthAt((plan.BoardEnd.From.U+plan.BoardEnd.To.U)/2)
	b.HeightOver = joint.BoardOverBodyMm

	s.Strings.Count = len(plan.Strings)
	s.Strings.SpreadNut, s.Strings.SpreadSaddle = plan.Layout.SpreadNut, plan.Layout.SpreadSaddle
	for _, str := range plan.Strings {
		s.Strings.Lines = append(s.Strings.Lines, line(str.Line()))
	}
}

func (p *Project) readBridge(t table) {
	b := &p.BodySpec.Bridge
	t.fill("kind", &b.Kind, "saddle_setback", &b.SaddleSetback, "slant", &b.Slant,
		"plate_length", &b.Plate.Length, "plate_width", &b.Plate.Width, "plate_ahead", &b.PlateAhead,
		"post_spacing", &b.PostSpacing, "post_ahead", &b.PostAhead, "post_diameter", &b.PostDiameter, "post_depth", &b.PostDepth,
		"stud_spacing", &b.StudSpacing, "stud_behind", &b.StudBehind, "stud_diameter", &b.StudDiameter, "stud_depth", &b.StudDepth,
		"string_through", &b.StringThrough, "string_hole", &b.StringHole, "string_behind", &b.StringBehind,
		"ferrule_hole", &b.FerruleHole, "ferrule_depth", &b.FerruleDepth,
		"screws", &b.Screws, "screw_diameter", &b.ScrewDiameter, "screw_depth", &b.ScrewDepth,
		"block_length", &b.BlockLength, "block_width", &b.BlockWidth, "block_behind", &b.BlockBehind,
		"spring_length", &b.SpringLength, "spring_width", &b.SpringWidth, "spring_depth", &b.SpringDepth, "spring_behind", &b.SpringBehind,
		"cover_ledge", &b.CoverLedge, "cover_depth", &b.CoverDepth, "mass", &b.Mass, "tail_mass", &b.TailMass)
	if !t.has("saddle_setback") {
		need := p.NeckReport.Bridge
		b.SaddleSetback = (need.NearestMm + need.FarthestMm) / 2
	}
	orNone(t, "cover_ledge", &b.CoverLedge)
	if t.has("screws") && b.Screws == 0 {
		b.Screws = -1
	}
	for name, v := range map[string]*float64{"saddle_setback": &b.SaddleSetback, "slant": &b.Slant, "post_ahead": &b.PostAhead} {
		if t.has(name) && *v == 0 {
			*v = hair // their 0 is "not given"
		}
	}
}

// nearestKey is the path itself, or of a path that is no key the table it
// stands in.
func nearestKey(at string) string {
	for at != "" {
		if _, ok := byPath()[withoutNumbers(at)]; ok {
			return at
		}
		at = at[:max(0, strings.LastIndexByte(at, '.'))]
	}
	return "body"
}

// bodyKey turns the name of a field of body.Spec, as its errors write it
// ("pickups[0].ear depth"), into the key that sets it.
func bodyKey(field string) string {
	whole := map[string]string{
		"scale length": "scale.length", "outline": "body.outline", "neck": "neck.screws",
		"neck.joint fret": "neck.joint_fret", "neck.distance": "neck.joint_fret", "neck.heel width": "neck.heel_width", "neck.joint width": "neck.joint_width",
		"neck.length": "neck.pocket.length", "neck.depth": "neck.pocket.depth", "neck.angle": "neck.angle",
		"neck.fit clearance": "neck.pocket.clearance", "neck.corner radius": "neck.pocket.corner_radius",
		"neck.screws": "neck.screws.count", "neck.screw diameter": "neck.screws.diameter", "neck.screw edge": "neck.screws.edge", "neck.head diameter": "neck.screws.head_diameter",
		"board.last fret": "scale.frets", "board.overhang": "neck.board.overhang", "board.end": "neck.board.overhang",
		"board.width at the nut": "strings.nut_width", "board.width at the end": "strings.end_width",
		"strings.count": "strings.count", "strings.spread at the nut": "strings.nut_spread", "strings.spread at the saddle": "strings.saddle_spread",
		"limits.hole to cavity": "body.limits.hole_to_cavity",
		"masses.neck's centre":  "body.masses.neck_at", "masses.tuners' place": "body.masses.tuners_at",
		"masses.tuners each": "body.masses.tuner", "masses.string each": "body.masses.string",
		"board.height over the front": "neck.bridge_height", "board.end slope": "scale.bass",
		"strap buttons": "body.strap_button",
	}
	if key, ok := whole[field]; ok {
		return key
	}
	if strings.HasPrefix(field, "strings.lines") {
		return "strings"
	}
	one := map[string]string{
		"pickups": "pickup", "cavities": "cavity", "pots": "pot", "switches": "switch", "channels": "channel", "guards": "guard",
		"wire holes": "wire_hole", "batteries": "battery", "strap buttons": "strap_button", "contours": "contour",
		"ground wire": "ground_wire", "inset from the edge": "inset", "A": "start", "B": "end",
		"body": "can", "body length": "room_length", "body width": "room_width",
	}
	var out []string
	for _, part := range strings.Split(field, ".") {
		name, index, listed := strings.Cut(part, "[")
		if n, ok := one[name]; ok {
			name = n
		}
		name = strings.ReplaceAll(name, " ", "_")
		if listed {
			n, _ := strconv.Atoi(strings.TrimSuffix(index, "]"))
			name = fmt.Sprintf("%s[%d]", name, n+1)
		}
		out = append(out, name)
	}
	return "body." + strings.Join(out, ".")
}

// outlineFrom reads an outline from a file beside the project.
func (p *Project) outlineFrom(name string, o outline.Options) (outline.Imported, error) {
	data, err := p.open(name)
	if err != nil {
		return outline.Imported{}, err
	}
	m, err := outline.Import(name, bytes.NewReader(data), o)
	for _, n := range m.Notes {
		p.Notes = append(p.Notes, name+": "+n)
	}
	return m, err
}

func readUpTo(r io.Reader, limit int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err == nil && int64(len(data)) > limit {
		err = errors.New("the file is too large")
	}
	return data, err
}
