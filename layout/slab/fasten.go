package slab

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slabwright/body/geom"
	"slabwright/fret/measure"
)

// FastenerRules are the screws that hold the dry stack while its outline is
// sawn, and what they must keep clear of.
type FastenerRules struct {
	LengthsMm      []float64 // in the box
	ShankMm        float64
	HeadMm         float64
	PilotMm        float64
	BiteMm         float64 // least length in the strips before
	SpacingMm      float64 // between screws along a strip, about
	ClearMm        float64 // least wood between a screw and anything it must not meet
	SawMm          float64 // width of the saw's path along the outline
	CounterboreMm  float64 // deepest
	LeastPerStrip  int
	HeightOffsetMm float64 // neighbours are driven so far above and below the middle
}

// DefaultFastenerRules are our own: common practice, no source.
func DefaultFastenerRules() FastenerRules {
	return FastenerRules{
		LengthsMm: []float64{30, 40, 50, 60, 80, 100, 120}, ShankMm: 5, HeadMm: 9.5, PilotMm: 3.2, BiteMm: 20,
		SpacingMm: 400, ClearMm: 5, SawMm: 8, CounterboreMm: 30, LeastPerStrip: 2, HeightOffsetMm: 9,
	}
}

// Check says which rule makes no sense, or nil.
func (r FastenerRules) Check() error {
	if len(r.LengthsMm) == 0 {
		return fmt.Errorf("fasteners: no screw lengths given")
	}
	for _, l := range r.LengthsMm {
		if !(l > 0 && l <= 1000) {
			return measure.Errorf("fasteners: screw of %v: give a length above 0", measure.Length(l))
		}
	}
	for _, f := range []struct {
		name  string
		value float64
		least float64
	}{{"shank", r.ShankMm, 0.5}, {"head", r.HeadMm, 0}, {"pilot hole", r.PilotMm, 0}, {"bite", r.BiteMm, 1}, {"spacing", r.SpacingMm, 10}, {"clearance", r.ClearMm, 0}, {"saw path", r.SawMm, 0}, {"counterbore", r.CounterboreMm, 0}, {"height offset", r.HeightOffsetMm, 0}} {
		if !(f.value >= f.least && f.value <= 2000) {
			return measure.Errorf("fasteners: %s %v: give at least %v", f.name, measure.Length(f.value), measure.Length(f.least))
		}
	}
	return nil
}

// FastenerPlan is a set of holding screws, in the order of driving.
type FastenerPlan struct {
	Fasteners []Fastener `json:"-"`
	Screws    []Screw    `json:"screws"`            // the same in numbers
	MiddleMm  float64    `json:"middle_joint_y_mm"` // where the two halves meet
	Drive     []string   `json:"drive"`
	Apart     []string   `json:"take_apart"`
	Missing   []string   `json:"missing"` // strips that could not be held as the rules ask
}

// Screw is one holding screw: where its head sits and where its tip ends.
type Screw struct {
	Name     string     `json:"name"`
	HeadMm   [3]float64 `json:"head_mm"`
	TipMm    [3]float64 `json:"tip_mm"`
	LengthMm float64    `json:"length_mm"`
	PilotMm  float64    `json:"pilot_diameter_mm"`
	SunkMm   float64    `json:"sunk_mm"`
}

// PlanFasteners holds the slab as two halves. Each half grows outward from the
// joint nearest the centreline: the next strip is laid on and screwed to those
// before it, heads sunk below its outer face so that the strip after it lies
// flat. A strip thinner than a screw's head is wide holds no head; it, and
// one that no screw can hold, is clamped by the screws of the next strip, which
// go through it:
//
//	middle  base   thin  next strip      y, or −y in the left half  <---
//	  |      |      ||      |
//	  |  <---+------++------+=  sunk head
//	  |   bite of the tip   |
//
// Every screw keeps clear of all earlier ones, of the saw's path along the
// outline, of the reserved wood and of what is in the slab already; its tip
// stays in its half. Places are looked for round even distances along the
// strip, at three heights. It is a search in order, not for the fewest
// screws.
func (s *Slab) PlanFasteners(rules FastenerRules, reserved []geom.Polygon) FastenerPlan {
	c := s.fastenerCheck(rules, reserved)
	n := len(s.Strips)
	mid := min(1, n) // the joint nearest the centreline
	for i := 2; i < n; i++ {
		if math.Abs(c.bands[i]) < math.Abs(c.bands[mid]) {
			mid = i
		}
	}
	plan := FastenerPlan{MiddleMm: c.bands[mid]}
	var right, left []int // strips from the middle outward
	for i := mid - 1; i >= 0; i-- {
		right = append(right, i)
	}
	for i := mid; i < n; i++ {
		left = append(left, i)
	}
	c.half(&plan, "right", right, 1)
	c.half(&plan, "left", left, -1)
	plan.Drive = append(plan.Drive, "Join the halves with a few spots of glue on paper along the middle joint: it is meant to be opened again. Saw the outline.")
	plan.Apart = append([]string{"Open the middle joint with a thin blade, working from both ends; never pry on the reserved wood."}, plan.Apart...)
	return plan
}

// half adds the screws of one half, whose strips are given from the middle
// outward, driven along dir (+1: toward +y).
func (c *fastenerCheck) half(plan *FastenerPlan, side string, strips []int, dir float64) {
	faces := func(i int) (outer, inner float64) {
		if dir > 0 {
			return c.bands[i], c.bands[i+1]
		}
		return c.bands[i+1], c.bands[i]
	}
	thin := func(i int) bool { return c.s.Strips[i].Thickness() < c.rules.HeadMm }
	name := c.s.StripName
	say := func(format string, args ...any) { plan.Drive = append(plan.Drive, fmt.Sprintf(format, args...)) }
	var loose []int // strips that no screw goes through yet, and why
	why := map[int]string{}
	base := -1
	var apart []string
	for _, i := range strips {
		switch {
		case thin(i):
			loose = append(loose, i)
			why[i] = "too thin for screws, and no strip is screwed on over it"
			continue
		case base < 0:
			base = i
			say("%s half: lay %s down, its inner face up.", side, name(i))
			for _, k := range loose {
				say("Spot %s to it with glue on paper: it is too thin for screws.", name(k))
			}
			say("Turn it over.")
			loose = nil
			continue
		}
		outer, inner := faces(i)
		what := name(i)
		if len(loose) > 0 {
			_, inner = faces(loose[0])
			var under []string
			for _, k := range loose {
				under = append(under, name(k))
			}
			what = strings.Join(under, ", ") + " and " + what
		}
		_, end := faces(base)
		ways := c.rules.ways(math.Abs(outer-inner), math.Abs(end-outer), c.s.Strips[i].Thickness())
		if len(ways) == 0 {
			loose = append(loose, i)
			why[i] = "no screw in the box bites deep enough and stays in its half"
			continue
		}
		_, own := faces(i)
		driven := 0
		open := make([][]span, len(ways))
		for k, w := range ways {
			open[k] = c.clearAlong(outer+dir*w.sunk, dir*w.length)
		}
		for _, in := range crossings(c.ring, (outer+own)/2) {
			count := max(c.rules.LeastPerStrip, int(math.Round(in.length()/c.rules.SpacingMm)))
			for q := range count {
				want := in.from + in.length()*(float64(q)+0.5)/float64(count)
				reach := in.length() / float64(count) / 2
				var f Fastener
				var w way
				ok := false
				for k := 0; k < len(ways) && !ok; k++ {
					w = ways[k]
					f, ok = c.place(want, reach, outer+dir*w.sunk, dir, w.length, i%2 == 0, open[k])
				}
				if !ok {
					continue
				}
				driven++
				f.Name = fmt.Sprintf("%s, screw %d", name(i), driven)
				c.have = append(c.have, f)
				plan.Fasteners = append(plan.Fasteners, f)
				tip := f.At.Add(f.Direction.Mul(w.length))
				plan.Screws = append(plan.Screws, Screw{f.Name, [3]float64{f.At.X, f.At.Y, f.At.Z}, [3]float64{tip.X, tip.Y, tip.Z}, w.length, f.Pilot, w.sunk})
			}
		}
		switch {
		case driven == 0:
			loose = append(loose, i)
			why[i] = fmt.Sprintf("room for 0 screws of %d", c.rules.LeastPerStrip)
			continue
		case driven == 1:
			say("Lay on %s; drive %s, screw 1.", what, name(i))
			apart = append(apart, name(i)+", screw 1")
		default:
			say("Lay on %s; drive %s, screws 1 to %d.", what, name(i), driven)
			apart = append(apart, fmt.Sprintf("%s, screws %d to 1", name(i), driven))
		}
		loose = nil
		if driven < c.rules.LeastPerStrip {
			plan.Missing = append(plan.Missing, fmt.Sprintf("%s: room for %d screws of %d", name(i), driven, c.rules.LeastPerStrip))
		}
	}
	for _, k := range loose {
		plan.Missing = append(plan.Missing, name(k)+": "+why[k])
	}
	slices.Reverse(apart)
	plan.Apart = append(plan.Apart, apart...)
}

// way is a screw from the box and how deep its head is sunk.
type way struct{ length, sunk float64 }

// ways are how a screw can go through the given thickness, bite, and end
// within room: first the shortest whose head needs no more than its own
// countersink, or the one sunk least; then, for places where the head would
// stand in the saw's path, ever deeper ones by the head's half width. own is
// the thickness of the strip that the head sits in.
func (r FastenerRules) ways(through, room, own float64) []way {
	flush := r.HeadMm / 2 // a head of 90° (ISO 7721) is half as high as wide
	deepest := max(flush, min(r.CounterboreMm, own-r.HeadMm/2))
	lengths := slices.Clone(r.LengthsMm)
	slices.Sort(lengths)
	var out []way
	for least := flush; least <= deepest; {
		best := way{sunk: math.Inf(1)}
		for _, l := range lengths {
			d := max(least, through+r.BiteMm-l)
			if d <= deepest && d+l <= room+roundingTolerance && d < best.sunk {
				best = way{l, d}
			}
		}
		if best.length == 0 {
			break
		}
		out = append(out, best)
		least = best.sunk + max(r.HeadMm/2, 2)
	}
	return out
}

// FastenerFault is one thing wrong with a fastener.
type FastenerFault struct {
	Name    string     `json:"name"`
	What    string     `json:"what"`
	ShortMm float64    `json:"short_mm"` // by how much
	AtMm    [3]float64 `json:"at_mm"`
}

// CheckFasteners looks at the maker's fasteners in the order of driving: each
// against those before it and against the saw's path, the reserved wood, the
// cut chambers and the slab's faces.
func (s *Slab) CheckFasteners(list []Fastener, rules FastenerRules, reserved []geom.Polygon) []FastenerFault {
	c := s.fastenerCheck(rules, reserved)
	c.have, c.hair = nil, 0.01
	var faults []FastenerFault
	for i, f := range list {
		f.Name = fastenerName(f, i)
		faults = append(faults, c.faults(f)...)
		c.have = append(c.have, f)
	}
	return faults
}

type fastenerCheck struct {
	s        *Slab
	rules    FastenerRules
	reserved []geom.Polygon
	ring     geom.Polygon
	bands    []float64
	have     []Fastener
	cut      []Obstacle
	hair     float64 // mm short that no rule shows, and that writing a plan down may cost
}

// clearAlong finds where along the slab a screw over y to y + run keeps clear
// of the saw's path and of the reserved wood, taking it as thick as its head
// all along. It spares place most of its trials.
func (c *fastenerCheck) clearAlong(y, run float64) []span {
	y0, y1 := min(y, y+run), max(y, y+run)
	w := max(c.rules.HeadMm, c.rules.ShankMm)/2 + c.rules.ClearMm
	var no []span
	ban := func(ring geom.Polygon, w float64) {
		for i, a := range ring {
			if lo, hi, ok := reach(a, ring[(i+1)%len(ring)], y0, y1, w); ok {
				no = append(no, span{lo, hi})
			}
		}
	}
	ban(c.ring, w+c.rules.SawMm/2)
	for _, ring := range c.reserved {
		ban(ring, w)
		no = append(no, shadow(ring, y0, y1)...)
	}
	return gaps(no, 0, c.s.Length)
}

func (s *Slab) fastenerCheck(rules FastenerRules, reserved []geom.Polygon) *fastenerCheck {
	c := &fastenerCheck{s: s, rules: rules, reserved: reserved, ring: s.Outline().Polygon(flatness), bands: s.bands(), have: slices.Clone(s.Fasteners)}
	for _, o := range s.Obstacles() {
		if o.Kind == "chamber" {
			c.cut = append(c.cut, o)
		}
	}
	return c
}

// place looks for the place nearest to want, no farther than reach and in one
// of the open spans, where a screw meets nothing.
func (c *fastenerCheck) place(want, reach, y, dir, length float64, high bool, open []span) (Fastener, bool) {
	for k := 0; float64(k)*4 <= 2*reach; k++ {
		x := want + 4*float64((k+1)/2)*float64(1-2*(k%2)) // out to both sides
		if !slices.ContainsFunc(open, func(g span) bool { return g.from <= x && x <= g.to }) {
			continue
		}
		m := (c.s.TopAt(x) + c.s.BottomAt(x)) / 2
		offset := c.rules.HeightOffsetMm
		if !high {
			offset = -offset
		}
		for _, z := range [3]float64{m + offset, m - offset, m} {
			f := Fastener{
				Kind: "screw", At: geom.Point3{X: x, Y: y, Z: z}, Direction: geom.Vec3{Y: dir},
				Length: length, Shank: c.rules.ShankMm, Head: c.rules.HeadMm, Pilot: c.rules.PilotMm,
			}
			if len(c.earlier(f)) == 0 && len(c.around(f)) == 0 { // the cheap one first
				return f, true
			}
		}
	}
	return Fastener{}, false
}

// capsules are the fastener as thick lines: shank, pilot hole, head.
type capsule struct {
	a, b geom.Point3
	r    float64
}

func (f Fastener) capsules() []capsule {
	end := func(l float64) geom.Point3 { return f.At.Add(f.Direction.Mul(l)) }
	out := []capsule{{f.At, end(f.Length), f.Shank / 2}}
	if f.Head > 0 {
		out = append(out, capsule{f.At, end(f.Head / 2), f.Head / 2})
	}
	if f.Pilot > 0 && f.PilotDepth > f.Length {
		out = append(out, capsule{f.At, end(f.PilotDepth), f.Pilot / 2})
	}
	return out
}

// longest is how far any of it reaches from its start, thickest its greatest
// radius.
func (f Fastener) longest() float64 {
	return max(f.Length, f.PilotDepth, f.Head/2) + f.thickest()
}

func (f Fastener) thickest() float64 { return max(f.Shank, f.Head, f.Pilot) / 2 }

// faults are what is wrong with f, given those driven before.
func (c *fastenerCheck) faults(f Fastener) []FastenerFault {
	return append(c.earlier(f), c.around(f)...)
}

func fault(f Fastener, at geom.Point3, short float64, format string, args ...any) FastenerFault {
	return FastenerFault{Name: f.Name, What: fmt.Sprintf(format, args...), ShortMm: short, AtMm: [3]float64{at.X, at.Y, at.Z}}
}

// earlier are the faults of f against fasteners driven before it.
func (c *fastenerCheck) earlier(f Fastener) []FastenerFault {
	var out []FastenerFault
	mine := f.capsules()
	for _, g := range c.have {
		if apart := f.At.Distance(g.At) - f.longest() - g.longest(); apart > c.rules.ClearMm {
			continue
		}
		if f.Direction.X == 0 && g.Direction.X == 0 && math.Abs(f.At.X-g.At.X) > f.thickest()+g.thickest()+c.rules.ClearMm {
			continue
		}
		worst, at := math.Inf(1), geom.Point3{}
		for _, a := range mine {
			for _, b := range g.capsules() {
				if d, p := segments3(a.a, a.b, b.a, b.b); d-a.r-b.r < worst {
					worst, at = d-a.r-b.r, p
				}
			}
		}
		if worst < c.rules.ClearMm-c.hair {
			out = append(out, fault(f, at, c.rules.ClearMm-worst, "comes too near %s", g.Name))
		}
	}
	return out
}

// around are the faults of f against the saw's path, wood to be kept, chambers
// and the slab's faces.
func (c *fastenerCheck) around(f Fastener) []FastenerFault {
	var out []FastenerFault
	say := func(at geom.Point3, short float64, format string, args ...any) {
		out = append(out, fault(f, at, short, format, args...))
	}
	mine := f.capsules()
	for _, a := range mine {
		p, q := a.a.Plan(), a.b.Plan()
		need := a.r + c.rules.ClearMm
		nearest := func(ring geom.Polygon) (best float64, at geom.Point) {
			best = math.Inf(1)
			for i, u := range ring {
				if d, on, _ := geom.SegmentSegment(p, q, u, ring[(i+1)%len(ring)]); d < best {
					best, at = d, on
				}
			}
			return best, at
		}
		if d, at := nearest(c.ring); d < need+c.rules.SawMm/2-c.hair {
			say(geom.Point3{X: at.X, Y: at.Y, Z: a.a.Z}, need+c.rules.SawMm/2-d, "lies in the saw's path")
		}
		for k, ring := range c.reserved {
			d, at := nearest(ring)
			if ring.Locate(p) != geom.Outside {
				d = -d
			}
			if d < need-c.hair {
				say(geom.Point3{X: at.X, Y: at.Y, Z: a.a.Z}, need-d, "comes too near the reserved wood %d", k+1)
			}
		}
		for _, o := range c.cut {
			d, at := nearest(geom.Polygon(o.Region))
			inside := geom.Polygon(o.Region).Locate(p) != geom.Outside
			low, high := min(a.a.Z, a.b.Z)-need, max(a.a.Z, a.b.Z)+need
			if (inside || d < need-c.hair) && high > o.Bottom && low < o.Top {
				say(geom.Point3{X: at.X, Y: at.Y, Z: a.a.Z}, need, "breaks into %s", o.Name)
			}
		}
		for _, e := range [2]geom.Point3{a.a, a.b} {
			tilt := a.r * math.Hypot(f.Direction.X, f.Direction.Y)
			if short := c.rules.ClearMm - (c.s.TopAt(e.X) - e.Z - tilt); short > c.hair && math.Abs(f.Direction.Z) < 0.7 {
				say(e, short, "comes too near the top")
			}
			if short := c.rules.ClearMm - (e.Z - tilt - c.s.BottomAt(e.X)); short > c.hair && math.Abs(f.Direction.Z) < 0.7 {
				say(e, short, "comes too near the bottom")
			}
		}
		if tip := a.b; tip.Y < c.bands[0] || tip.Y > c.bands[len(c.bands)-1] || tip.X < 0 || tip.X > c.s.Length {
			say(tip, 0, "its tip leaves the slab")
		}
	}
	return out
}

// segments3 is the distance between two segments in space, and where on the
// first it is found (C. Ericson, Real-Time Collision Detection, 2005, section
// 5.1.9).
func segments3(p1, q1, p2, q2 geom.Point3) (float64, geom.Point3) {
	d1, d2, r := q1.Sub(p1), q2.Sub(p2), p1.Sub(p2)
	a, e, f := d1.Dot(d1), d2.Dot(d2), d2.Dot(r)
	clamp := func(t float64) float64 { return max(0, min(1, t)) }
	var s, t float64
	switch {
	case a == 0 && e == 0:
	case a == 0:
		t = clamp(f / e)
	case e == 0:
		s = clamp(-d1.Dot(r) / a)
	default:
		c, b := d1.Dot(r), d1.Dot(d2)
		if denom := a*e - b*b; denom > 1e-12*a*e {
			s = clamp((b*f - c*e) / denom)
		}
		t = (b*s + f) / e
		if t < 0 {
			t, s = 0, clamp(-c/a)
		} else if t > 1 {
			t, s = 1, clamp((b-c)/a)
		}
	}
	on := p1.Add(d1.Mul(s))
	return on.Distance(p2.Add(d2.Mul(t))), on
}
