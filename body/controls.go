package body

import (
	"fmt"
	"math"
	"strings"

	"slabwright/body/geom"
)

// cavity routes one control cavity and its cover's ledge.
func (w *builder) cavity(i int) {
	c, b := w.spec.Cavities[i], w.b
	field := fmt.Sprintf("cavities[%d]", i)
	if c.Name == "" {
		c.Name = "control cavity"
		if i > 0 {
			c.Name = fmt.Sprintf("control cavity %d", i+1)
		}
	}
	if c.Face == "" {
		c.Face = Back
	}
	if c.Face != Front && c.Face != Back {
		w.fail(field+".face", fmt.Sprintf("%q", c.Face), `write "front" or "back"`)
		return
	}
	corner := w.size(field+".corner radius", c.CornerRadius, defaultCavityCorner, 0.01, 100)
	ring, ok := w.cavityRing(field, c, corner)
	if !ok {
		return
	}
	depth := w.size(field+".depth", c.Depth, math.Min(defaultCavityDepth, b.Thickness-5), 1, b.Thickness)
	f := Feature{Name: c.Name, Kind: KindControl, Face: c.Face, Ring: ring}
	f.WTop, f.WBottom = w.span(c.Face, depth)
	f.Through = depth == b.Thickness
	w.feature(f)
	ledge := c.Ledge
	if ledge == 0 {
		ledge = defaultLedge
	}
	if ledge < 0 {
		return
	}
	ld := w.size(field+".ledge depth", c.LedgeDepth, math.Min(defaultLedgeDepth, depth), 0.1, depth)
	l := Feature{Name: c.Name + " ledge", Kind: KindLedge, Face: c.Face, Within: c.Name, Ring: grown(ring, w.size(field+".ledge", ledge, defaultLedge, 1, 60))}
	if at, bad := l.Ring.SelfCrossing(); bad {
		w.fail(field+".ledge", fmt.Sprintf("the cover's outline meets itself near %s", w.b.place(at.At)), "give a narrower ledge or a ring without deep notches")
		return
	}
	l.WTop, l.WBottom = w.span(c.Face, ld)
	w.feature(l)
	if c.Face == Front {
		b.Hidden = append(b.Hidden, Hidden{c.Name + " cover", l.Ring})
	}
	w.mass(c.Name+" cover", or(c.CoverMass, 15), at3(ring.Moments().Centroid(), (l.WTop+l.WBottom)/2))
}

// span is the heights of a cavity of a depth cut from a face.
func (w *builder) span(face Face, depth float64) (top, bottom float64) {
	if face == Back {
		return -w.b.Thickness + depth, -w.b.Thickness
	}
	return 0, -depth
}

func (w *builder) cavityRing(field string, c Cavity, corner float64) (geom.Polygon, bool) {
	if len(c.Ring) > 0 {
		if len(c.Ring) < 3 || math.Abs(c.Ring.Area()) < 1 {
			w.fail(field+".ring", "it encloses nothing", "give at least three places that are not on one line")
			return nil, false
		}
		for _, p := range c.Ring {
			if !p.Finite() {
				w.fail(field+".ring", "it holds a place that is not a number", "give places in mm")
				return nil, false
			}
		}
		if at, bad := c.Ring.SelfCrossing(); bad {
			w.fail(field+".ring", fmt.Sprintf("it meets itself at %s", w.b.place(at.At)), "give its corners in order, once round")
			return nil, false
		}
		return c.Ring.CCW(), true
	}
	w.place(field+".at", c.At)
	w.turn(field+".turn", c.Turn)
	long := w.size(field+".length", c.Length, defaultCavityLength, 5, 1000)
	wide := w.size(field+".width", c.Width, defaultCavityWidth, 5, 1000)
	inset := c.InsetFromEdge
	if inset == 0 {
		return roundedRectangle(c.At, long, wide, corner, c.Turn), true
	}
	if !(inset > 0 && inset < 200) {
		w.fail(field+".inset from the edge", fmt.Sprintf("%g", inset), "give 0 to 200")
		return nil, false
	}
	// A cutter of radius r rolled inside: shrink both shapes by r more, take
	// the common part, and let it grow back by r.
	r := math.Min(corner, math.Min(long, wide)/2-0.1)
	inner := roundedRectangle(c.At, long-2*r, wide-2*r, 0, c.Turn)
	var core, ring geom.Polygon
	for _, part := range geom.Offset(w.b.Ring, -(inset + r)) {
		if g := part.ClippedTo(geom.Convex(inner)); g.Area() > core.Area() {
			core = g
		}
	}
	if core != nil {
		ring = grown(core, r)
	}
	if at, bad := ring.SelfCrossing(); core == nil || bad || ring.Area() < 100 {
		where := ""
		if bad {
			where = fmt.Sprintf(" near %s", w.b.place(at.At))
		}
		w.fail(field, fmt.Sprintf("a rectangle of %s × %s kept %s inside the outline leaves no simple shape%s", w.b.length(long), w.b.length(wide), w.b.length(inset), where), "move it, make the inset smaller, or give a ring")
		return nil, false
	}
	return ring, true
}

func (w *builder) battery(i int) {
	c := w.spec.Batteries[i]
	field := fmt.Sprintf("batteries[%d]", i)
	if c.Name == "" {
		c.Name = "battery cavity"
		if i > 0 {
			c.Name = fmt.Sprintf("battery cavity %d", i+1)
		}
	}
	if c.Face == "" {
		c.Face = Back
	}
	if c.Face != Front && c.Face != Back {
		w.fail(field+".face", fmt.Sprintf("%q", c.Face), `write "front" or "back"`)
		return
	}
	w.place(field+".at", c.At)
	w.turn(field+".turn", c.Turn)
	f := Feature{Name: c.Name, Kind: KindBattery, Face: c.Face,
		Ring: roundedRectangle(c.At, w.size(field+".length", c.Length, defaultBatteryLength, 5, 300), w.size(field+".width", c.Width, defaultBatteryWidth, 5, 300), 4, c.Turn)}
	f.WTop, f.WBottom = w.span(c.Face, w.size(field+".depth", c.Depth, defaultBatteryDepth, 1, w.b.Thickness-0.1))
	w.feature(f)
	if c.Face == Front {
		w.b.Hidden = append(w.b.Hidden, Hidden{c.Name, f.Ring})
	}
	w.mass(strings.TrimSuffix(c.Name, " cavity"), or(c.Mass, 50), at3(c.At, (f.WTop+f.WBottom)/2))
}

func (w *builder) channel(i int) {
	c := w.spec.Channels[i]
	field := fmt.Sprintf("channels[%d]", i)
	if c.Name == "" {
		c.Name = fmt.Sprintf("channel %d", i+1)
	}
	if c.Face == "" {
		c.Face = Front
	}
	if c.Face != Front && c.Face != Back {
		w.fail(field+".face", fmt.Sprintf("%q", c.Face), `write "front" or "back"`)
		return
	}
	w.place(field+".from", c.From)
	w.place(field+".to", c.To)
	if c.From == c.To {
		w.fail(field, "it begins where it ends", "give two places")
		return
	}
	f := Feature{Name: c.Name, Kind: KindChannel, Face: c.Face,
		Ring: stadium(c.From, c.To, w.size(field+".width", c.Width, defaultChannelWidth, 1, 60))}
	f.WTop, f.WBottom = w.span(c.Face, w.size(field+".depth", c.Depth, defaultChannelDepth, 0.5, w.b.Thickness-0.1))
	w.feature(f)
	if !c.Covered {
		w.b.uncovered = append(w.b.uncovered, c.Name)
	}
}

// under is the control cavity over or under p.
func (w *builder) under(p geom.Point) (Feature, bool) {
	for _, f := range w.b.Features {
		if f.Kind == KindControl && f.Ring.Locate(p) != geom.Outside {
			return f, true
		}
	}
	return Feature{}, false
}

// shaft drills from the front into a cavity cut from the back. A cavity cut
// from the front has no wood over it: the part sits on its cover.
func (w *builder) shaft(name string, k Kind, p geom.Point, dia float64, cavity Feature) {
	if cavity.Face == Back {
		w.hole(Hole{Name: name, Kind: k, Face: Front, A: at3(p, 0), B: at3(p, cavity.WTop), Diameter: dia, Through: true, Opens: []string{cavity.Name}})
	}
}

func (w *builder) pot(i int) {
	p := w.spec.Pots[i]
	field := fmt.Sprintf("pots[%d]", i)
	if p.Name == "" {
		p.Name = fmt.Sprintf("pot %d", i+1)
	}
	w.place(field+".at", p.At)
	cavity, ok := w.under(p.At)
	if !ok {
		w.fail(field+".at", fmt.Sprintf("no control cavity lies at %s", w.b.place(p.At)), "move it over a control cavity, or add one")
		return
	}
	w.shaft(p.Name, KindPot, p.At, w.size(field+".hole", p.Hole, defaultPotHole, 2, 30), cavity)
	bush := w.size(field+".bush length", p.BushLength, defaultBush, 1, 40)
	can := w.size(field+".body", p.Body, defaultPotBody, 3, 80)
	w.b.parts = append(w.b.parts, part{p.Name, cavity.Name, circle(p.At, can/2), bush})
	knob := w.size(field+".knob", p.Knob, defaultKnob, 1, 100)
	w.b.Hidden = append(w.b.Hidden, Hidden{p.Name + " knob", circle(p.At, knob/2)})
	w.mass(p.Name, or(p.Mass, 40), at3(p.At, 0))
}

func (w *builder) switches(i int) {
	s := w.spec.Switches[i]
	field := fmt.Sprintf("switches[%d]", i)
	if s.Name == "" {
		s.Name = "switch"
		if i > 0 {
			s.Name = fmt.Sprintf("switch %d", i+1)
		}
	}
	w.place(field+".at", s.At)
	w.turn(field+".turn", s.Turn)
	cavity, ok := w.under(s.At)
	if !ok {
		w.fail(field+".at", fmt.Sprintf("no control cavity lies at %s", w.b.place(s.At)), "move it over a control cavity, or add one")
		return
	}
	room := s.Body
	switch s.Kind {
	case "", Toggle:
		if room == (Size{}) {
			room = Size{24, 24}
		}
		w.shaft(s.Name, KindSwitch, s.At, w.size(field+".hole", s.Hole, defaultToggle, 2, 40), cavity)
	case Blade:
		if room == (Size{}) {
			room = Size{45, 18}
		}
		slot := Size{w.size(field+".slot length", s.Slot.Length, defaultSlotLength, 5, 100), w.size(field+".slot width", s.Slot.Width, defaultSlotWidth, 0.5, 20)}
		along := geom.Polar(1, s.Turn)
		if cavity.Face == Back {
			w.feature(Feature{Name: s.Name + " slot", Kind: KindSlot, Face: Front, WBottom: cavity.WTop, Within: cavity.Name, Through: true,
				Ring: stadium(s.At.Add(along.Mul(-(slot.Length-slot.Width)/2)), s.At.Add(along.Mul((slot.Length-slot.Width)/2)), slot.Width)})
		}
		spacing := w.size(field+".screws", s.Screws, defaultSlotScrews, slot.Length, 150)
		w.shaft(s.Name+" screw 1", KindScrew, s.At.Add(along.Mul(-spacing/2)), 3.2, cavity)
		w.shaft(s.Name+" screw 2", KindScrew, s.At.Add(along.Mul(spacing/2)), 3.2, cavity)
	default:
		w.fail(field+".kind", fmt.Sprintf("%q", s.Kind), "use %q or %q", Toggle, Blade)
		return
	}
	room = Size{w.size(field+".body length", room.Length, 24, 1, 200), w.size(field+".body width", room.Width, 18, 1, 200)}
	w.b.parts = append(w.b.parts, part{s.Name, cavity.Name, roundedRectangle(s.At, room.Length, room.Width, 0, s.Turn), 0})
	w.mass(s.Name, or(s.Mass, 30), at3(s.At, -5))
}

// part is something that must find room in a cavity under the front.
type part struct {
	name, cavity string
	room         geom.Polygon
	passes       float64 // most wood its bush can pass; 0 = any
}

// jack drills for the output socket: into the edge, square to the outline, or
// into a face, until it meets its cavity.
func (w *builder) jack() {
	j, b := w.spec.Jack, w.b
	if j.None {
		return
	}
	var into Feature
	ok := false
	for _, f := range b.Features {
		if f.Kind == KindControl && (j.Into == "" || f.Name == j.Into) {
			into, ok = f, true
			break
		}
	}
	if !ok {
		if j.Into != "" {
			w.fail("jack.into", fmt.Sprintf("there is no control cavity named %q", j.Into), "name one of the cavities")
		} else if j.Diameter != 0 || j.At != (geom.Point{}) {
			w.fail("jack", "there is no control cavity for it to reach", "add one, or leave the jack out")
		}
		return
	}
	w.place("jack.at", j.At)
	w.turn("jack.recess", j.Recess)
	switch j.Face {
	case "", Side:
		if j.At == (geom.Point{}) {
			// No place given: straight out from the cavity's middle.
			j.At = into.Ring.Moments().Centroid()
		}
		dia := w.size("jack.diameter", j.Diameter, defaultJackEdge, 3, 40)
		height := w.size("jack.w", j.W, -b.Thickness/2, -b.Thickness, -0.01)
		at, in := nearestOn(b.Ring, j.At)
		reach, hit := rayEnters(into.Ring, at, in)
		if !hit { // square to the edge it would miss: aim at the nearest part of the cavity
			_, q := into.Ring.BoundaryDistance(at)
			in = q.Sub(at).Unit()
			reach = q.Distance(at)
		}
		a := at3(at, height)
		w.hole(Hole{Name: "jack", Kind: KindJack, Face: Side, A: a, B: a.Add(geom.Vec3{X: in.X, Y: in.Y}.Mul(reach + 2)), Diameter: dia, Opens: []string{into.Name}})
		b.wired = append(b.wired, wiring{"jack", "", into.Name})
		w.mass("jack", or(j.Mass, 25), a)
	case Front, Back:
		if into.Ring.Locate(j.At) == geom.Outside {
			w.fail("jack.at", fmt.Sprintf("%s does not lie over the %s", w.b.place(j.At), into.Name), "move it over the cavity")
			return
		}
		dia := w.size("jack.diameter", j.Diameter, defaultJackFace, 3, 40)
		if into.Face != j.Face {
			from, to := 0.0, into.WTop
			if j.Face == Back {
				from, to = -b.Thickness, into.WBottom
			}
			opens := []string{into.Name}
			if j.Recess > 0 {
				opens = append(opens, "jack recess")
				w.hole(Hole{Name: "jack recess", Kind: KindRecess, Face: j.Face, A: at3(j.At, from), B: at3(j.At, from+(to-from)*0.4), Diameter: math.Max(j.Recess, dia), Opens: []string{"jack"}})
			}
			w.hole(Hole{Name: "jack", Kind: KindJack, Face: j.Face, A: at3(j.At, from), B: at3(j.At, to), Diameter: dia, Through: true, Opens: opens})
		}
		if j.Face == Front {
			b.Hidden = append(b.Hidden, Hidden{"jack", circle(j.At, math.Max(j.Recess, dia)/2)})
		}
		w.mass("jack", or(j.Mass, 25), at3(j.At, 0))
	default:
		w.fail("jack.face", fmt.Sprintf("%q", j.Face), `write "edge", "front" or "back"`)
	}
}

// straps places the strap buttons. Left out, one sits at the tail on the
// centreline, the other where the bass side reaches farthest toward the neck.
func (w *builder) straps() {
	b := w.b
	buttons := w.spec.StrapButtons
	if len(buttons) == 0 {
		tail, horn := geom.Pt(math.Inf(-1), 0), geom.Pt(math.Inf(1), 0)
		for i, p := range b.Ring {
			q := b.Ring[(i+1)%len(b.Ring)]
			if (p.Y > 0) != (q.Y > 0) {
				if u := p.X + (q.X-p.X)*p.Y/(p.Y-q.Y); u > tail.X {
					tail.X = u
				}
			}
			if p.Y < -or(w.spec.Neck.HeelWidth, defaultHeelWidth)/2-10 && p.X < horn.X {
				horn = p
			}
		}
		if math.IsInf(tail.X, 0) || math.IsInf(horn.X, 0) {
			w.fail("strap buttons", "the outline has no wood on the centreline or on the bass side", "place the buttons yourself")
			return
		}
		buttons = []StrapButton{{Name: "tail button", At: tail}, {Name: "horn button", At: horn}}
	}
	if len(buttons) != 2 {
		w.fail("strap buttons", fmt.Sprint(len(buttons)), "give two, the tail's first, or none for the usual places")
		return
	}
	for i, s := range buttons {
		field := fmt.Sprintf("strap buttons[%d]", i)
		if s.Name == "" {
			s.Name = []string{"tail button", "horn button"}[i]
		}
		w.place(field+".at", s.At)
		dia := w.size(field+".pilot", s.Pilot, defaultStrapPilot, 0.5, 12)
		depth := w.size(field+".pilot depth", s.PilotDep, defaultStrapDepth, 2, 100)
		stand := w.size(field+".stand", s.Stand, defaultStrapStand, 0.1, 60)
		a, in := at3(s.At, -b.Thickness), geom.Vec3{Z: 1}
		face := Back
		if !s.OnBack {
			at, dir := nearestOn(b.Ring, s.At)
			a = at3(at, w.size(field+".w", s.W, -b.Thickness/2, -b.Thickness, -0.01))
			in, face = geom.Vec3{X: dir.X, Y: dir.Y}, Side
		}
		h := Hole{Name: s.Name, Kind: KindStrap, Face: face, A: a, B: a.Add(in.Mul(depth)), Diameter: dia}
		w.hole(h)
		w.spot(s.Name, KindStrap, a.Plan(), dia, glueFromScrew)
		mid := a.Plan().Lerp(h.B.Plan(), 0.5)
		ring := circle(mid, dia/2+b.Limits.HoleToEdge)
		if face == Side {
			ring = stadium(a.Plan(), h.B.Plan(), dia+2*b.Limits.HoleToEdge)
		}
		top, bottom := math.Max(h.A.Z, h.B.Z)+b.Limits.HoleToEdge, math.Min(h.A.Z, h.B.Z)-b.Limits.HoleToEdge
		w.solid(Zone{"round " + s.Name, KindStrap, ring, math.Min(top, 0), bottom, "the strap's pull"})
		b.Buttons = append(b.Buttons, Button{s.Name, a.Add(in.Mul(-stand)), in.Mul(-1)})
		w.mass(s.Name, or(s.Mass, 8), a.Add(in.Mul(-stand/2)))
	}
}

// guard hides what lies under a plate on the front.
func (w *builder) guard(i int) {
	s := w.spec.Guards[i]
	field := fmt.Sprintf("guards[%d]", i)
	if s.Name == "" {
		s.Name = fmt.Sprintf("guard %d", i+1)
	}
	ring, ok := w.cavityRing(field, Cavity{Ring: s.Ring}, 0)
	if len(s.Ring) == 0 || !ok {
		if ok {
			w.fail(field+".ring", "there is none", "give its corners in order, once round")
		}
		return
	}
	m := ring.Moments()
	w.b.Hidden = append(w.b.Hidden, Hidden{s.Name, ring})
	w.mass(s.Name, or(s.Mass, m.Area*2.5*1200e-6), at3(m.Centroid(), 1.25))
}
