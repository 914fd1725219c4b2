package body

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
)

// wireHole drills from one cavity to another.
func (w *builder) wireHole(i int) {
	s, b := w.spec.WireHoles[i], w.b
	field := fmt.Sprintf("wire holes[%d]", i)
	if s.Name == "" {
		s.Name = fmt.Sprintf("wire hole %d", i+1)
	}
	from, ok := b.Feature(s.From)
	if !ok {
		w.fail(field+".from", fmt.Sprintf("there is no cavity named %q", s.From), "use one of %s", w.cavityNames())
		return
	}
	to, ok := b.Feature(s.To)
	if !ok {
		w.fail(field+".to", fmt.Sprintf("there is no cavity named %q", s.To), "use one of %s", w.cavityNames())
		return
	}
	if s.From == s.To {
		w.fail(field, "it begins and ends in the same cavity", "name two cavities")
		return
	}
	for _, name := range s.Through {
		if _, ok := b.Feature(name); !ok {
			w.fail(field+".through", fmt.Sprintf("there is no cavity named %q", name), "use some of %s", w.cavityNames())
			return
		}
	}
	dia := w.size(field+".diameter", s.Diameter, defaultWireHole, 0.5, 30)
	h := Hole{Name: s.Name, Kind: KindWire, Diameter: dia, Opens: append([]string{s.From, s.To}, s.Through...)}
	if s.A != s.B {
		w.place3(field+".A", s.A)
		w.place3(field+".B", s.B)
		h.A, h.B, h.Face = s.A, s.B, w.entryFace(s.A, from)
	} else {
		var met bool
		h, met = b.drillBetween(h, from, to)
		if met {
			w.fail(field, fmt.Sprintf("the %s and the %s already meet", s.From, s.To), "leave this hole out")
			return
		}
	}
	w.hole(h)
	b.wired = append(b.wired, wiring{h.Name, s.From, s.To})
}

func (w *builder) entryFace(a geom.Point3, from Feature) Face {
	if d, _ := w.b.Ring.BoundaryDistance(a.Plan()); d < 0.05 {
		return Side
	}
	return from.Face
}

func (w *builder) cavityNames() string {
	s := ""
	for i, f := range w.b.Features {
		if i > 0 {
			s += ", "
		}
		s += fmt.Sprintf("%q", f.Name)
	}
	return s
}

// open is the height of the plane through which a drill can get into f, and
// the direction (+1 or −1) in which open air lies.
func (b *Body) open(f Feature) (w, out float64) {
	if f.Face == Back {
		return -b.Thickness, -1
	}
	return 0, 1
}

// drillBetween chooses the axis of a straight hole between two cavities. It
// looks along lines between their middles and quarters for axes with most room:
//
//	        \  drill
//	w = 0 ___\  .______________  .___      the drill comes in over the far rim
//	         |\ |              |         of one cavity, through its near wall,
//	    from | \|.             | to      into the near wall of the other
//	         |__| '--..____.-->|
//
// and takes the first that stays clear of everything else. When none does, it
// takes the one with most room and leaves it to Check to say what is in the
// way. Where one cavity lies over the other, the hole is square to the front.
// met tells that no hole is needed.
func (b *Body) drillBetween(h Hole, from, to Feature) (_ Hole, met bool) {
	if p, ok := b.common(from, to); ok {
		upper, lower := from, to
		if upper.WBottom < lower.WTop {
			upper, lower = to, from
		}
		if upper.WBottom <= lower.WTop {
			return h, true
		}
		h.A, h.B, h.Face = at3(p, upper.Floor(p.X)), at3(p, lower.WTop), Front
		if upper.Face == Back { // a hollow inside, reached through the lower one only
			h.A, h.B, h.Face = h.B, h.A, Back
		}
		return h, false
	}
	type axis struct {
		a, b    geom.Point3
		swapped bool // the drill enters through to
		room    float64
	}
	var axes []axis
	best := axis{room: math.Inf(-1)}
	r := h.Diameter / 2
	try := func(f, t *Feature, cf, ct geom.Point, swapped bool) {
		dir := ct.Sub(cf).Unit()
		far, ok1 := rayEnters(f.Ring, cf, dir.Neg())
		near, ok2 := rayEnters(f.Ring, cf, dir)
		enter, ok3 := rayEnters(t.Ring, cf.Add(dir.Mul(near+1e-6)), dir)
		if !ok1 || !ok2 || !ok3 {
			return
		}
		wood := enter + 1e-6 // between the two walls
		mouth := f.CutsEdge && b.Ring.Locate(cf.Add(dir.Mul(-far))) == geom.Outside
		pf, pt := cf.Add(dir.Mul(near)), cf.Add(dir.Mul(near+wood))
		plane, out := b.open(*f)
		skin := r + b.Limits.FaceSkin
		const steps = 10
		for i := range steps + 1 {
			wf := f.WBottom + (f.WTop-f.WBottom)*float64(i)/steps
			for j := range steps + 1 {
				wt := t.WBottom + (t.WTop-t.WBottom)*float64(j)/steps
				tall := r * math.Hypot(1, (wf-wt)/wood)
				rim := wf + (wf-wt)*(far+near)/wood
				room := out*(rim-plane) - r // over the far rim
				if mouth {
					room = math.Inf(1)
				}
				for _, m := range []float64{
					wf - f.WBottom - tall, f.WTop - wf - tall, wt - t.WBottom - tall, t.WTop - wt - tall,
					-math.Max(wf, wt) - skin, math.Min(wf, wt) + b.Thickness - skin,
				} {
					room = math.Min(room, m)
				}
				x := axis{at3(pf, wf), at3(pt, wt), swapped, room}
				if room > best.room {
					best = x
				}
				if room >= 0 {
					axes = append(axes, x)
				}
			}
		}
	}
	for _, p := range quarters(from.Ring) {
		for _, q := range quarters(to.Ring) {
			try(&from, &to, p, q, false)
			try(&to, &from, q, p, true)
		}
	}
	take := func(x axis) {
		h.A, h.B, h.Face = x.a, x.b, from.Face
		if x.swapped {
			h.Face = to.Face
		}
	}
	// The best few in order; the order of the list settles ties.
	order := make([]int, len(axes))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(axes[j].room, axes[i].room), cmp.Compare(i, j))
	})
	for _, i := range order[:min(len(order), 60)] {
		if take(axes[i]); b.clear(&h) {
			return h, false
		}
	}
	if !math.IsInf(best.room, -1) {
		take(best)
	}
	return h, false
}

// quarters are the middle of a ring and the places halfway from it to the
// ring, to both sides.
func quarters(g geom.Polygon) []geom.Point {
	c := g.Moments().Centroid()
	out := []geom.Point{c}
	for _, d := range []geom.Vec{{Y: 1}, {Y: -1}, {X: 1}, {X: -1}} {
		if t, ok := rayEnters(g, c, d); ok {
			out = append(out, c.Add(d.Mul(t/2)))
		}
	}
	return out
}

// clear tells whether a hole keeps its distance from all cavities and holes
// that are there so far.
func (b *Body) clear(h *Hole) bool {
	c := newChecker(b)
	for i := range b.Features {
		c.holeCavity(h, i)
	}
	for i := range b.Holes {
		c.holeHole(&b.Holes[i], h)
	}
	for _, x := range c.out {
		if !x.OK {
			return false
		}
	}
	return true
}

// common is a place well inside both rings in plan.
func (b *Body) common(f, g Feature) (geom.Point, bool) {
	fb, gb := f.Ring.Bounds(), g.Ring.Bounds()
	lo := geom.Pt(math.Max(fb.Min.X, gb.Min.X), math.Max(fb.Min.Y, gb.Min.Y))
	hi := geom.Pt(math.Min(fb.Max.X, gb.Max.X), math.Min(fb.Max.Y, gb.Max.Y))
	best, at := 0.0, geom.Point{}
	const n = 12
	for i := 1; i < n; i++ {
		for j := 1; j < n; j++ {
			p := geom.Pt(lo.X+(hi.X-lo.X)*float64(i)/n, lo.Y+(hi.Y-lo.Y)*float64(j)/n)
			if lo.X >= hi.X || lo.Y >= hi.Y {
				return at, false
			}
			if d := math.Min(f.Ring.Depth(p), g.Ring.Depth(p)); d > best+1e-9 {
				best, at = d, p
			}
		}
	}
	return at, best > 0
}

// asFeature is an upright hole from the front as a cavity that a wire can be led
// into; the ring lies within the hole.
func (h Hole) asFeature() Feature {
	return Feature{Name: h.Name, Kind: h.Kind, Face: Front, Ring: geom.Regular(h.A.Plan(), h.Diameter/2, 64), WTop: h.A.Z, WBottom: h.B.Z}
}

// hollow finds a cavity by name, or the hole of a stud or post.
func (b *Body) hollow(name string) (Feature, bool) {
	if f, ok := b.Feature(name); ok {
		return f, true
	}
	h, ok := b.Hole(name)
	return h.asFeature(), ok
}

// ground drills for the wire that grounds bridge and strings: from the treble
// stud or post, from under the plate, or from the spring cavity.
func (w *builder) ground() {
	g, b := w.spec.GroundWire, w.b
	if g.None || w.spec.Bridge.Kind == NoBridge {
		return
	}
	var into Feature
	ok := false
	for _, f := range b.Features {
		if f.Kind == KindControl && (g.Into == "" || g.Into == f.Name) {
			into, ok = f, true
			break
		}
	}
	if !ok {
		if g.Into != "" {
			w.fail("ground wire.into", fmt.Sprintf("there is no control cavity named %q", g.Into), "name one of the cavities")
		}
		return
	}
	h := Hole{Name: "ground wire hole", Kind: KindGround, Face: Front, Diameter: w.size("ground wire.diameter", g.Diameter, defaultGroundHole, 0.5, 12), Opens: []string{into.Name}}
	from := "" // the hollow that it begins in
	if hollow, ok := b.groundedIn(into); g.A != g.B {
		w.place3("ground wire.A", g.A)
		w.place3("ground wire.B", g.B)
		h.A, h.B = g.A, g.B
		for _, o := range b.Holes {
			if o.Kind == KindStud || o.Kind == KindPost {
				h.Opens = append(h.Opens, o.Name)
				if f := o.asFeature(); prismDistance(g.A, &f) < 0.05 {
					from = o.Name
				}
			}
		}
	} else if ok {
		from = hollow.Name
		h.Opens = append(h.Opens, from)
		var met bool
		if h, met = b.drillBetween(h, hollow, into); met {
			return
		}
	} else {
		h.A, h.B = b.underPlate(into, h.Diameter)
	}
	w.hole(h)
	b.wired = append(b.wired, wiring{h.Name, from, into.Name})
}

// groundedIn is where the ground wire begins: the spring cavity, or the hole of the
// stud or post on the cavity's side.
func (b *Body) groundedIn(into Feature) (Feature, bool) {
	if springs, ok := b.Feature("spring cavity"); ok {
		return springs, true
	}
	target := into.Ring.Moments().Centroid()
	nearest, found := math.Inf(1), Feature{}
	for _, o := range b.Holes {
		if d := o.A.Plan().Distance(target); d < nearest && (o.Kind == KindStud || o.Kind == KindPost) {
			nearest, found = d, o.asFeature()
		}
	}
	return found, !math.IsInf(nearest, 1)
}

// underPlate is the axis of a ground wire's hole from the front under the bridge's
// plate: straight down where the cavity lies there, else into its near wall, high up
// so that it is steep enough to drill.
func (b *Body) underPlate(into Feature, diameter float64) (from, to geom.Point3) {
	for _, c := range b.Hidden {
		if c.Name == "bridge" {
			from = at3(c.Ring.Moments().Centroid().Lerp(into.Ring.Moments().Centroid(), 0.1), 0)
		}
	}
	if into.Ring.Locate(from.Plan()) != geom.Outside {
		return from, at3(from.Plan(), into.WTop)
	}
	_, near := into.Ring.BoundaryDistance(from.Plan())
	return from, at3(near, into.WTop-diameter/2-2)
}
