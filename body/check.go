package body

import (
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
)

// Check is the answer to one question about the wood that is left. It passes
// when Margin ≥ Need, both in mm.
type Check struct {
	Name    string
	OK      bool
	Margin  float64
	Need    float64
	At      geom.Point3
	Message string
}

// near is how far beyond its need a clearance may lie and still be told.
// Farther things are left out of the list: they are neither trouble nor news.
const near = 12.0

// roundOff forgives rounding in margins that are met exactly.
const roundOff = 1e-6

type checker struct {
	b     *Body
	boxes []geom.Box // of the features
	out   []Check
}

func newChecker(b *Body) *checker {
	c := &checker{b: b, boxes: make([]geom.Box, len(b.Features))}
	for i, f := range b.Features {
		c.boxes[i] = f.Ring.Bounds()
	}
	return c
}

func (c *checker) add(name string, margin, need float64, at geom.Point3, message string, args ...any) {
	ok := margin >= need-roundOff
	c.out = append(c.out, Check{name, ok, margin, need, at, fmt.Sprintf(message, args...)})
}

// mm words a length.
func (c *checker) mm(v float64) string { return c.b.length(v) }

// wood words how much wood is left.
func (c *checker) wood(v float64) string {
	if v < 0 {
		return "no wood (" + c.mm(v) + ")"
	}
	return c.mm(v) + " of wood"
}

// Check tests the body in three dimensions: floors, walls, webs between
// cavities, hole to hole, hole to outline, holes against cavities, wires that
// must reach both their ends and can be drilled, parts that must fit their
// cavity, and the outline against the router bit. Things farther than 12 mm
// over their need from each other are not listed.
//
// Distances are between prisms and cylinders as they are, but the ends of
// slanted holes count as round, which is on the safe side.
func (b *Body) Check() []Check {
	c := newChecker(b)
	c.router()
	for i := range b.Features {
		c.floor(&b.Features[i])
		c.wall(&b.Features[i])
	}
	for i := range b.Features {
		for j := range i {
			c.web(j, i)
		}
	}
	for i := range b.Holes {
		c.holeEnd(&b.Holes[i])
		c.holeEdge(&b.Holes[i])
		for j := range b.Features {
			c.holeCavity(&b.Holes[i], j)
		}
		for j := range i {
			c.holeHole(&b.Holes[j], &b.Holes[i])
		}
	}
	for _, w := range b.wired {
		c.wire(w)
	}
	c.partsFit()
	c.flats()
	c.carved()
	c.covers()
	c.thinnest()
	return c.out
}

func (c *checker) router() {
	r, at := c.b.measures.SmallestInsideRadius, c.b.measures.SmallestInsideAt
	const name = "outline to router bit"
	switch {
	case math.IsInf(r, 1): // it never turns inward
	case r == 0:
		c.add(name, 0, c.b.Limits.RouterBit, at3(at, 0), "the outline has an inward corner, into which no bit reaches")
	default:
		c.add(name, r, c.b.Limits.RouterBit, at3(at, 0), "the outline's tightest inward curve has a radius of %s", c.mm(r))
	}
}

// under is the wood between a flat ring at a depth under a face's plane and the
// face as it is carved, measured square to the carved surface, and where it is
// thinnest. Drops are convex, so corners tell; that the surface also bends over
// the few mm to its foot is let go, as it changes less than 0.01 mm.
func (b *Body) under(face Face, ring geom.Polygon, depth float64) (float64, geom.Point) {
	least, at := depth, ring[0]
	for i := range b.Shaped {
		s := &b.Shaped[i]
		if s.Face != face {
			continue
		}
		for _, p := range ring {
			d := s.Drop(p)
			if d == 0 {
				continue
			}
			if left := (depth - d) / math.Sqrt(1+s.steepness(p)); left < least {
				least, at = left, p
			}
		}
	}
	if least == depth && len(ring) > 2 {
		at = ring.Moments().Centroid()
	}
	return least, at
}

// floor is the wood between a cavity's bottom and the other face.
func (c *checker) floor(f *Feature) {
	if f.Through {
		return
	}
	b := c.b
	if f.Face == Back {
		left, at := b.under(Front, f.Ring, -f.WTop)
		need := b.Limits.Floor
		if f.Kind == KindControl {
			need = b.Limits.Top
		}
		c.add(f.Name+" top", left, need, at3(at, f.WTop), "%s over the %s", c.wood(left), f.Name)
		return
	}
	left, at := b.under(Back, f.Ring, f.WBottom+b.Thickness)
	need := b.Limits.Floor
	if f.Kind == KindPocket {
		for _, h := range b.Holes {
			if h.Kind == KindNeckHole {
				need = b.Limits.PocketFloor
			}
		}
		// The screws' heads draw against what their recesses leave.
		sunk := 0.0
		for _, g := range b.Features {
			if g.Face == Back && g.Kind == KindRecess {
				sunk = math.Max(sunk, g.Depth(b.Thickness))
			}
		}
		for _, h := range b.Holes {
			if h.Face == Back && h.Kind == KindRecess {
				sunk = math.Max(sunk, h.B.Z+b.Thickness)
			}
		}
		left -= sunk
	}
	c.add(f.Name+" floor", left, need, at3(at, f.WBottom), "%s under the %s", c.wood(left), f.Name)
}

// wall is the wood between a cavity and the body's side, and the edge
// treatment of the face it opens to.
func (c *checker) wall(f *Feature) {
	b := c.b
	if f.CutsEdge {
		c.pocketWalls(f)
		return
	}
	need := b.Limits.Wall
	if f.Kind == KindLedge {
		need = math.Min(need, 3) // thin wood beside a shallow ledge: ours
	}
	m := b.side.room(f.Ring, need+near)
	w := (f.WTop + f.WBottom) / 2
	if m.Value <= need+near {
		c.add(f.Name+" wall", m.Value, need, at3(m.At, w), "%s between the %s and the side", c.wood(m.Value), f.Name)
	}
	eased, at := b.Edges.FrontRadius+b.Edges.FrontChamfer, 0.0
	if f.Face == Back {
		eased, at = b.Edges.BackRadius+b.Edges.BackChamfer, -b.Thickness
	}
	if left := m.Value - eased; eased > 0 && left <= 1+near {
		c.add(f.Name+" to edge rounding", left, 1, at3(m.At, at), "%s of flat wood between the %s and the rounded %s edge", c.mm(left), f.Name, f.Face)
	}
}

// pocketWalls looks at the half of the pocket that lies farther inside: the
// cutaways may well reach beside its mouth.
func (c *checker) pocketWalls(f *Feature) {
	b := c.b
	end := f.Ring.Bounds().Max.X
	inner := f.Ring.Clipped(geom.HalfPlane{At: geom.Pt((b.Joint.X+end)/2, 0), Along: geom.V(0, -1)})
	m := b.side.room(inner, math.Inf(1))
	c.add(f.Name+" wall", m.Value, b.Limits.Wall, at3(m.At, f.WBottom/2), "%s beside the inner half of the %s", c.wood(m.Value), f.Name)
}

// root is the name of the cavity that a feature is part of.
func (f *Feature) root() string {
	if f.Within != "" {
		return f.Within
	}
	return f.Name
}

// joined tells whether two features are meant to meet: parts of one cavity, or
// a channel that begins or ends in the other.
func joined(f, g *Feature) bool {
	if f.root() == g.root() {
		return true
	}
	for _, pair := range [][2]*Feature{{f, g}, {g, f}} {
		if ch := pair[0]; ch.Kind == KindChannel && ch.Face == pair[1].Face {
			// The ends of a stadium's axis, halfway between opposite points of
			// its two caps.
			n := len(ch.Ring) / 2
			a := ch.Ring[0].Lerp(ch.Ring[n-1], 0.5)
			b := ch.Ring[n].Lerp(ch.Ring[len(ch.Ring)-1], 0.5)
			if pair[1].Ring.Locate(a) != geom.Outside || pair[1].Ring.Locate(b) != geom.Outside {
				return true
			}
		}
	}
	return false
}

// web is the wood between two cavities, in plan or in height.
func (c *checker) web(i, j int) {
	b := c.b
	f, g := &b.Features[i], &b.Features[j]
	need := b.Limits.Web
	high := math.Max(g.WBottom-f.WTop, f.WBottom-g.WTop)
	if math.Hypot(boxGap(c.boxes[i], c.boxes[j]), math.Max(0, high)) > need+near || joined(f, g) {
		return
	}
	name := fmt.Sprintf("%s to %s", f.Name, g.Name)
	m := ringGap(f.Ring, g.Ring)
	w := heightBetween(f, g)
	switch {
	case m.Value <= 0 && high <= 0:
		deep := math.Max(m.Value, high)
		c.add(name, deep, need, at3(m.At, w), "the %s and the %s run into each other", f.Name, g.Name)
	default:
		d := math.Hypot(math.Max(0, m.Value), math.Max(0, high))
		if d <= need+near {
			c.add(name, d, need, at3(m.At, w), "%s between the %s and the %s", c.wood(d), f.Name, g.Name)
		}
	}
}

// ringGap is Polygon.Gap, but looks only at pairs of edges that can be nearest.
func ringGap(g, h geom.Polygon) geom.Margin {
	m := geom.Margin{Value: math.Inf(1)}
	box := h.Bounds()
	for i, a := range g {
		b := g[(i+1)%len(g)]
		edge := spanBox(a, b)
		if boxGap(edge, box) > m.Value {
			continue
		}
		for j, p := range h {
			q := h[(j+1)%len(h)]
			if boxGap(edge, spanBox(p, q)) > m.Value {
				continue
			}
			if d, at, _ := geom.SegmentSegment(a, b, p, q); d < m.Value {
				m = geom.Margin{Value: d, At: at}
			}
		}
	}
	if m.Value > 0 && g.Locate(h[0]) == geom.Outside && h.Locate(g[0]) == geom.Outside {
		return m
	}
	return g.Gap(h)
}

func heightBetween(f, g *Feature) float64 {
	lo, hi := math.Max(f.WBottom, g.WBottom), math.Min(f.WTop, g.WTop)
	return (lo + hi) / 2
}

// holeEnd is the wood between the end of a blind hole and the face ahead, and
// for holes along the body, the wood between them and both faces.
func (c *checker) holeEnd(h *Hole) {
	b := c.b
	if h.Through {
		return
	}
	need := b.Limits.FaceSkin
	if h.square() {
		ring := circle(h.A.Plan(), h.Diameter/2)
		if h.B.Z < h.A.Z {
			left, _ := b.under(Back, ring, h.B.Z+b.Thickness)
			if !c.endsInCavity(h) {
				c.add(h.Name+" end", left, need, h.B, "%s under the %s", c.wood(left), h.Name)
			}
		} else {
			left, _ := b.under(Front, ring, -h.B.Z)
			if !c.endsInCavity(h) {
				c.add(h.Name+" end", left, need, h.B, "%s over the end of the %s", c.wood(left), h.Name)
			}
		}
		return
	}
	r := h.Diameter / 2 * math.Cos(h.Tilt()) // half the height of a slanted section's end
	// Where the hole starts in a face, that end is open by intent.
	ends := []geom.Point3{h.A, h.B}
	for _, s := range []struct {
		face Face
		room func(p geom.Point3) float64
	}{
		{Front, func(p geom.Point3) float64 { left, _ := b.under(Front, geom.Polygon{p.Plan()}, -p.Z); return left - r }},
		{Back, func(p geom.Point3) float64 {
			left, _ := b.under(Back, geom.Polygon{p.Plan()}, p.Z+b.Thickness)
			return left - r
		}},
	} {
		least, at := math.Inf(1), geom.Point3{}
		for i, p := range ends {
			plane := 0.0
			if s.face == Back {
				plane = -b.Thickness
			}
			if i == 0 && math.Abs(p.Z-plane) < 1e-9 {
				continue
			}
			if m := s.room(p); m < least {
				least, at = m, p
			}
		}
		if least <= need+near {
			c.add(fmt.Sprintf("%s to %s", h.Name, s.face), least, need, at, "%s between the %s and the %s", c.wood(least), h.Name, s.face)
		}
	}
}

// endsInCavity tells whether the hole's far end lies in a cavity that it is
// meant to open.
func (c *checker) endsInCavity(h *Hole) bool {
	for _, name := range h.Opens {
		if f, ok := c.b.Feature(name); ok && f.Ring.Locate(h.B.Plan()) != geom.Outside {
			return true
		}
	}
	return false
}

// holeEdge is the wood between a hole and the body's side. A hole that starts
// in the side is measured at its far end only.
func (c *checker) holeEdge(h *Hole) {
	b := c.b
	need := b.Limits.HoleToEdge
	a, e := h.A.Plan(), h.B.Plan()
	if h.Face == Side {
		a = e
	}
	m := b.side.segment(a, e, need+near+h.Diameter/2+1)
	if b.Ring.Locate(a) == geom.Outside {
		m.Value = -b.side.segment(a, e, math.Inf(1)).Value
	}
	if h.Face == Side && len(h.Opens) > 0 {
		return // it ends in a cavity, whose own wall is checked
	}
	left := m.Value - h.Diameter/2
	if left <= need+near {
		c.add(h.Name+" to side", left, need, at3(m.At, (h.A.Z+h.B.Z)/2), "%s between the %s and the side", c.wood(left), h.Name)
	}
}

// opens tells whether hole h is meant to meet the feature. A hole into a cavity
// may meet all parts of it, but no slot beside the hole.
func (c *checker) opens(h *Hole, f *Feature) bool {
	if f.Kind == KindSlot {
		return slices.Contains(h.Opens, f.Name)
	}
	for _, name := range h.Opens {
		if name == f.Name || name == f.root() {
			return true
		}
		if o, ok := c.b.Feature(name); ok && o.root() == f.root() {
			return true
		}
	}
	return false
}

// holeCavity is the wood between a hole and a cavity that it has no business
// with.
func (c *checker) holeCavity(h *Hole, i int) {
	f := &c.b.Features[i]
	need := c.b.Limits.HoleCavity
	r := h.Diameter / 2
	lo, hi := math.Min(h.A.Z, h.B.Z), math.Max(h.A.Z, h.B.Z)
	far := math.Hypot(boxGap(spanBox(h.A.Plan(), h.B.Plan()), c.boxes[i]), math.Max(0, math.Max(lo-f.WTop, f.WBottom-hi)))
	if far-r > need+near || c.opens(h, f) {
		return
	}
	if left, at := holePrism(h, f); left <= need+near {
		message, words := "%s between the %s and the %s", c.wood(left)
		if left < 0 {
			message, words = "short by %s: the %s runs into the %s", c.mm(-left)
		}
		c.add(fmt.Sprintf("%s to %s", h.Name, f.Name), left, need, at, message, words, h.Name, f.Name)
	}
}

// prismDistance is how far p lies from the prism of f, negative inside.
func prismDistance(p geom.Point3, f *Feature) float64 {
	plan := -f.Ring.Depth(p.Plan())
	return apart(plan, math.Max(p.Z-f.WTop, f.WBottom-p.Z))
}

// holePrism is the wood between a hole and the prism of f, negative where they
// meet. For a square hole, a cylinder with flat ends, it is exact. The axis of a
// slanted one is sampled every millimetre and refined round the best place, so
// that it is right to 0.01 mm, with round ends.
func holePrism(h *Hole, f *Feature) (float64, geom.Point3) {
	a, b, r := h.A, h.B, h.Diameter/2
	if h.square() {
		lo, hi := math.Min(a.Z, b.Z), math.Max(a.Z, b.Z)
		p := at3(a.Plan(), math.Max(lo, math.Min(hi, (f.WBottom+f.WTop)/2)))
		plan := -f.Ring.Depth(a.Plan()) - r
		high := math.Max(lo-f.WTop, f.WBottom-hi)
		return apart(plan, high), p
	}
	d := b.Sub(a)
	at := func(t float64) geom.Point3 { return a.Add(d.Mul(t)) }
	n := max(8, int(math.Ceil(d.Len())))
	best, bt := math.Inf(1), 0.0
	for i := range n + 1 {
		t := float64(i) / float64(n)
		if v := prismDistance(at(t), f); v < best {
			best, bt = v, t
		}
	}
	lo, hi := math.Max(0, bt-1/float64(n)), math.Min(1, bt+1/float64(n))
	for range 20 {
		m1, m2 := lo+(hi-lo)/3, hi-(hi-lo)/3
		if prismDistance(at(m1), f) < prismDistance(at(m2), f) {
			hi = m2
		} else {
			lo = m1
		}
	}
	if v := prismDistance(at((lo+hi)/2), f); v < best {
		best, bt = v, (lo+hi)/2
	}
	return best - r, at(bt)
}

// apart joins a gap in plan and one in height: negative when both are.
func apart(plan, high float64) float64 {
	if plan <= 0 || high <= 0 {
		return math.Max(plan, high)
	}
	return math.Hypot(plan, high)
}

// holeHole is the wood between two holes.
func (c *checker) holeHole(g, h *Hole) {
	for _, name := range g.Opens {
		if name == h.Name {
			return
		}
	}
	for _, name := range h.Opens {
		if name == g.Name {
			return
		}
	}
	need := c.b.Limits.HoleToHole
	if g.Kind == KindFerrule && h.Kind == KindFerrule {
		need = math.Min(need, 1.5) // the strings' spacing sets it; common practice, from memory
	}
	radii := (g.Diameter + h.Diameter) / 2
	if boxGap(spanBox(g.A.Plan(), g.B.Plan()), spanBox(h.A.Plan(), h.B.Plan()))-radii > need+near {
		return
	}
	d, at := SegmentDistance(g.A, g.B, h.A, h.B)
	left := d - radii
	if g.square() && h.square() { // their ends are flat
		left = apart(g.A.Plan().Distance(h.A.Plan())-radii,
			math.Max(math.Min(h.A.Z, h.B.Z)-math.Max(g.A.Z, g.B.Z), math.Min(g.A.Z, g.B.Z)-math.Max(h.A.Z, h.B.Z)))
	}
	if left <= need+near {
		c.add(fmt.Sprintf("%s to %s", g.Name, h.Name), left, need, at, "%s between the %s and the %s", c.wood(left), g.Name, h.Name)
	}
}

// SegmentDistance is the least distance between the segments ab and cd in
// space, and the place on the first (Ericson, Real-Time Collision Detection,
// 2005, section 5.1.9).
func SegmentDistance(a, b, c, d geom.Point3) (float64, geom.Point3) {
	u, v, w := b.Sub(a), d.Sub(c), a.Sub(c)
	uu, vv, uv := u.Dot(u), v.Dot(v), u.Dot(v)
	clamp := func(t float64) float64 { return math.Max(0, math.Min(1, t)) }
	var s, t float64
	switch {
	case uu == 0 && vv == 0:
	case uu == 0:
		t = clamp(v.Dot(w) / vv)
	case vv == 0:
		s = clamp(-u.Dot(w) / uu)
	default:
		if den := uu*vv - uv*uv; den > 1e-12*uu*vv {
			s = clamp((uv*v.Dot(w) - vv*u.Dot(w)) / den)
		}
		t = (uv*s + v.Dot(w)) / vv
		if t < 0 {
			t, s = 0, clamp(-u.Dot(w)/uu)
		} else if t > 1 {
			t, s = 1, clamp((uv-u.Dot(w))/uu)
		}
	}
	p, q := a.Add(u.Mul(s)), c.Add(v.Mul(t))
	return p.Distance(q), p
}

// wire checks that a drilled wire hole opens into both its cavities, or the stud's
// hole that it begins in, with its full width, and that a straight drill can get at
// it.
func (c *checker) wire(w wiring) {
	h, _ := c.b.Hole(w.hole)
	reach := math.Inf(-1) // the best access
	at := h.A
	if h.Face == Side || w.from == "" {
		reach = math.Inf(1)
	}
	for _, name := range []string{w.from, w.to} {
		f, ok := c.b.hollow(name)
		if !ok {
			continue
		}
		end, other := h.A, h.B
		if prismDistance(h.B, &f) < prismDistance(h.A, &f) {
			end, other = other, end
		}
		m, p := mouth(end, other, h.Diameter/2, &f)
		message := "the %s opens into the %s with its whole width, %s to spare"
		if m < 0 {
			message = "the %s does not open into the %s with its whole width, it misses by %s"
		}
		c.add(fmt.Sprintf("%s opens into %s", h.Name, name), m, 0, p, message, h.Name, name, c.mm(math.Abs(m)))
		if a := c.access(end, other, h.Diameter/2, &f); a > reach {
			reach, at = a, end
		}
	}
	if !math.IsInf(reach, 0) {
		message := "a straight drill reaches the %s with %s to spare over the rim"
		if reach < 0 {
			message = "no straight drill reaches the %s: it would have to sink %s into the rim"
		}
		c.add(h.Name+" can be drilled", reach, 0, at, message, h.Name, c.mm(math.Abs(reach)))
	}
}

// mouth is how much of the cavity's height is to spare above and below the
// hole where it comes through the wall, negative when it does not open fully.
func mouth(end, other geom.Point3, r float64, f *Feature) (float64, geom.Point3) {
	d := other.Sub(end)
	if d.X == 0 && d.Y == 0 { // square: through the floor
		m := f.Ring.Depth(end.Plan()) - r
		if gap := math.Max(end.Z-f.WTop, f.Floor(end.X)-end.Z); gap > 0.05 {
			m = math.Min(m, -gap)
		}
		return m, end
	}
	p := end
	if depth := f.Ring.Depth(end.Plan()); depth < -0.05 {
		return depth, end // it stops short of the cavity
	} else if depth > 0.05 { // it ends inside: where does it come through the wall?
		u := geom.V(d.X, d.Y)
		if t, ok := rayEnters(f.Ring, end.Plan(), u.Unit()); ok && t <= u.Len()+0.05 {
			p = end.Add(d.Mul(math.Min(1, t/u.Len())))
		}
	}
	tall := r / math.Cos(math.Atan2(math.Abs(d.Z), math.Hypot(d.X, d.Y)))
	return math.Min(f.WTop-p.Z, p.Z-f.Floor(p.X)) - tall, p
}

// access is the clearance over the rim of the cavity's open face for a drill
// that comes in through it and leaves by end toward other.
func (c *checker) access(end, other geom.Point3, r float64, f *Feature) float64 {
	plane, out := c.b.open(*f)
	back := end.Sub(other)
	if back.X == 0 && back.Y == 0 {
		if back.Z*out < 0 {
			return math.Inf(-1)
		}
		return f.Ring.Depth(end.Plan()) - r
	}
	u := geom.V(back.X, back.Y)
	// Start a hair inside the wall.
	start := end.Plan().Add(u.Unit().Mul(1e-3))
	t, ok := rayEnters(f.Ring, start, u.Unit())
	if !ok || f.Ring.Locate(start) == geom.Outside {
		return math.Inf(-1)
	}
	if f.CutsEdge && c.b.Ring.Locate(start.Add(u.Unit().Mul(t))) == geom.Outside {
		return math.Min(f.WTop-end.Z, end.Z-f.Floor(end.X)) - r // in by the mouth
	}
	rim := end.Z + back.Z*(t+1e-3)/u.Len()
	return out*(rim-plane) - r
}

// partsFit checks that cans and switches find room in their cavity and between
// each other, and that bushes pass the wood.
func (c *checker) partsFit() {
	b := c.b
	for i, p := range b.parts {
		f, ok := b.Feature(p.cavity)
		if !ok {
			continue
		}
		wall := newSide(f.Ring)
		m := wall.room(p.room, math.Inf(1))
		c.add(p.name+" in "+f.Name, m.Value, 0.5, at3(m.At, (f.WTop+f.WBottom)/2), "%s between the %s and the wall of the %s", c.mm(m.Value), p.name, f.Name)
		at := at3(p.room.Moments().Centroid(), f.WTop)
		if wood := -f.WTop - b.fallen(Front, at.Plan()); p.passes > 0 && f.Face == Back {
			c.add(p.name+" bush", p.passes-wood, 0, at, "the bush of the %s passes %s and has %s of wood before it", p.name, c.mm(p.passes), c.mm(wood))
		}
		for _, q := range b.parts[:i] {
			if q.cavity != p.cavity {
				continue
			}
			if g := p.room.Gap(q.room); g.Value <= 1+near {
				c.add(q.name+" to "+p.name, g.Value, 1, at3(g.At, f.WTop), "%s between the %s and the %s", c.mm(g.Value), q.name, p.name)
			}
		}
	}
}

// flats checks that nothing which needs a flat front lies on a bevel.
func (c *checker) flats() {
	b := c.b
	for _, h := range b.Hidden {
		most, at := 0.0, geom.Point{}
		name := ""
		for _, s := range b.Shaped {
			if s.Kind == ArchedTop || s.Face != Front {
				continue
			}
			for _, p := range h.Ring {
				if d := s.Drop(p); d > most && b.Ring.Locate(p) != geom.Outside {
					most, at, name = d, p, s.Name
				}
			}
		}
		if name != "" {
			c.add(h.Name+" on a flat front", -most, 0, at3(at, -most), "the %s lowers the front by %s under the %s", name, c.mm(most), h.Name)
		}
	}
}

// What carving must leave of a cavity's depth and of a blind hole's, as a share,
// and how far from flat a plate's seat may be: ours.
const (
	leastDepth     = 1.0
	leastOfTheHole = 0.5
	leastFlat      = 0.5
)

// carved checks that the carving leaves cavities deep enough to be there, and
// screws and posts enough wood to hold in; and that a bridge's plate finds the
// front as flat as its screws can draw it.
func (c *checker) carved() {
	b := c.b
	if len(b.Shaped) == 0 {
		return
	}
	for i, f := range b.Features {
		drop := 0.0 // at most
		for _, p := range c.boxes[i].Polygon() {
			drop = max(drop, b.fallen(f.Face, p))
		}
		if f.FloorSlope == 0 && f.Depth(b.Thickness)-drop > leastDepth+near {
			continue
		}
		if least, most := b.CarvedDepth(f); most > 0 && least <= leastDepth+near && !f.Through {
			c.add(f.Name+" after carving", least, leastDepth, at3(f.Ring.Moments().Centroid(), b.plane(f.Face)), "carving the %s leaves the %s %s to %s deep", f.Face, f.Name, c.mm(least), c.mm(most))
		}
	}
	for i := range b.Holes {
		h := &b.Holes[i]
		if drop := b.fallen(h.Face, h.A.Plan()); drop > 0 && !h.Through && h.square() && h.Face != Side && math.Abs(h.A.Z-b.plane(h.Face)) < 1e-6 {
			left, need := h.Length()-drop, leastOfTheHole*h.Length()
			if left <= need+near {
				c.add(h.Name+" after carving", left, need, h.A, "carving the %s leaves %s of the %s", h.Face, c.mm(left), h.Name)
			}
		}
	}
	for _, h := range b.Hidden {
		if h.Name != "bridge" || !b.seated {
			continue
		}
		most, at := 0.0, geom.Point{}
		for _, p := range h.Ring {
			if d := b.fallen(Front, p); d > most {
				most, at = d, p
			}
		}
		gap := most - b.fallen(Front, h.Ring.Moments().Centroid())
		for i := range b.Shaped {
			if s := &b.Shaped[i]; s.Kind == ArchedTop && gap > 0 {
				c.add("bridge on the "+s.Name, leastFlat-gap, 0, at3(at, -most), "the front falls by %s under the bridge's plate; screws draw down %s, else level its seat", c.mm(gap), c.mm(leastFlat))
				break
			}
		}
	}
}

// covers checks that nobody looks into a wire channel: that guards, plates,
// pickups or other cavities, which have covers of their own, lie over all of it.
func (c *checker) covers() {
	b := c.b
	for _, name := range b.uncovered {
		f, _ := b.Feature(name)
		rings := []geom.Polygon{f.Ring}
		if f.Face == Front {
			for _, h := range b.Hidden {
				rings = append(rings, h.Ring)
			}
		}
		for _, g := range b.Features {
			if g.Face == f.Face && g.Name != name {
				rings = append(rings, g.Ring)
			}
		}
		open, u, v := 0.0, 0.0, 0.0
		new(sweeper).sweep(rings, func(k cell) {
			if len(k.In) == 1 && k.In[0] == 0 {
				a, mu, mv := k.moments()
				open, u, v = open+a, u+mu, v+mv
			}
		})
		at, long, message := f.Ring.Moments().Centroid(), 0.0, "covers lie over all of the %s"
		if open > 1 { // mm²: a hair beside a cover's round corner
			wall := newSide(f.Ring)
			width := 2 * wall.depth(at)
			at, long = geom.Pt(u/open, v/open), open/width
			message = "the %s lies open to the " + string(f.Face) + " over " + c.mm(long) + ": lay a guard over it, or say that it is covered when a plug or a veneer will be"
		}
		c.add(name+" under a cover", -long, 0, at3(at, b.plane(f.Face)), message, name)
	}
}

// thinnest is the wood between contours of the front and of the back, and what
// the edge treatments leave of the side. Drops are convex, and so are their
// sums: the outline's corners tell.
func (c *checker) thinnest() {
	b := c.b
	if e := b.Edges.FrontRadius + b.Edges.FrontChamfer + b.Edges.BackRadius + b.Edges.BackChamfer; e > 0 && len(b.Shaped) > 0 {
		least, at := math.Inf(1), geom.Point3{}
		for _, p := range b.Ring {
			front, back := b.fallen(Front, p), b.fallen(Back, p)
			if left := b.Thickness - front - back - e; left < least {
				least, at = left, at3(p, -front-(b.Thickness-front-back)/2)
			}
		}
		if least <= near {
			c.add("side between the edges", least, 0, at, "the edges' treatments leave %s of the side", c.mm(least))
		}
	}
	faces := map[Face]bool{}
	for _, s := range b.Shaped {
		faces[s.Face] = true
	}
	if !faces[Front] || !faces[Back] {
		return // one face's contours are looked at when the body is built
	}
	left, at := math.Inf(1), geom.Point3{}
	for _, p := range b.Ring {
		front, back := b.fallen(Front, p), b.fallen(Back, p)
		if t := b.Thickness - front - back; t < left {
			left, at = t, at3(p, -front-t/2)
		}
	}
	c.add("between the contours", left, b.Limits.Floor, at, "%s between the contours of the front and the back", c.wood(left))
}
