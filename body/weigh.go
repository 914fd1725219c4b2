package body

import (
	"fmt"
	"math"

	"slabwright/body/geom"
	"slabwright/body/outline"
)

// DensityRegion is wood of one density, in the body frame: a prism whose ring
// lies at Ring + w·Lean at height w. Regions that belong together must not
// overlap.
type DensityRegion struct {
	Name    string
	Ring    geom.Convex
	KgPerM3 float64
	// MoisturePct is the wood's moisture content at that density, percent of
	// its oven-dry mass; 0 when it is not said.
	MoisturePct float64
	// Lean is how far, in mm per mm of w, the wood's joints lean from square to
	// the body's faces: zero where the body lies level in its slab.
	Lean geom.Vec
}

// at is the region's ring at a height.
func (r DensityRegion) at(w float64) geom.Convex {
	if r.Lean == (geom.Vec{}) {
		return r.Ring
	}
	return geom.Convex(geom.Polygon(r.Ring).Moved(geom.Shift(r.Lean.Mul(w))))
}

// Uniform is one region round the whole body.
func (b *Body) Uniform(kgPerM3 float64) []DensityRegion {
	return []DensityRegion{{Name: "all", Ring: geom.Convex(b.Ring.Bounds().Grow(1).Polygon()), KgPerM3: kgPerM3}}
}

// Heft is a mass and how it lies: the integrals of density over the wood.
type Heft struct {
	Volume  float64   // mm³
	Grams   float64   // the mass
	Moments geom.Vec3 // mass times place, g·mm
}

// Add joins two hefts.
func (h Heft) Add(o Heft) Heft {
	return Heft{h.Volume + o.Volume, h.Grams + o.Grams, h.Moments.Add(o.Moments)}
}

// Centre is the centre of gravity; for no mass the origin.
func (h Heft) Centre() geom.Point3 {
	if h.Grams == 0 {
		return geom.Point3{}
	}
	return geom.Point3{}.Add(h.Moments.Mul(1 / h.Grams))
}

// volume gathers the integral of 1, u, v, w over some wood.
type volume struct{ v, u, y, w float64 }

func (a volume) plus(b volume, k float64) volume {
	return volume{a.v + k*b.v, a.u + k*b.u, a.y + k*b.y, a.w + k*b.w}
}

// heft weighs it; kg/m³ times mm³ is 10⁻⁶ g.
func (a volume) heft(kgPerM3 float64) Heft {
	k := kgPerM3 * 1e-6
	return Heft{a.v, k * a.v, geom.Vec3{X: k * a.u, Y: k * a.y, Z: k * a.w}}
}

// WoodWeight is what the bare body weighs.
type WoodWeight struct {
	Heft
	ByRegion  []Heft  // in the order of the regions given
	Uncovered float64 // mm² of the outline that no region covers; its wood is not counted
}

// leanStep is how far, in mm, leaning joints may shift within one layer.
const leanStep = 0.2

// layer is the body's wood between two heights.
type layer struct{ lo, hi float64 }

// layers cuts the body's height so that joints that lean shift by leanStep at
// most within each layer. Joints square to the faces ask for one layer.
func (b *Body) layers(regions []DensityRegion) []layer {
	most := 0.0
	for _, r := range regions {
		most = max(most, r.Lean.Len())
	}
	n := max(1, int(math.Ceil(most*b.Thickness/leanStep)))
	out := make([]layer, n)
	for i := range out {
		out[i] = layer{-b.Thickness * float64(n-i) / float64(n), -b.Thickness * float64(n-i-1) / float64(n)}
	}
	return out
}

// Weigh integrates the wood of the body: the outline's prism, less contours,
// features, holes and edge treatments, each piece of wood at its own density.
//
// Flat-bottomed cavities, straight holes square to the faces and contours are
// integrated in closed form over the rings (which stray at most RingTolerance
// from the true curves). Where sloped surfaces cross each other, and for edge
// treatments, a quadrature takes over whose error stays under 0.1 % of their own
// volume; for slanted holes that lie partly in a cavity, under 1 %.
//
// Of regions that lean, the same is done layer by layer, each with the rings
// half way up the layer. So no bit of wood is taken farther than 0.1 mm across
// the joints from where it is, and what is taken too far one way in a layer's
// upper half is made up in its lower half.
func (b *Body) Weigh(regions []DensityRegion) (WoodWeight, error) {
	return b.weigh(regions, b.removals())
}

// weigh is Weigh, for the body's removals.
func (b *Body) weigh(regions []DensityRegion, cuts []removal) (WoodWeight, error) {
	out := WoodWeight{ByRegion: make([]Heft, len(regions))}
	for i, r := range regions {
		if len(r.Ring) < 3 || !(r.KgPerM3 > 0 && r.KgPerM3 < 5000) {
			return out, fmt.Errorf("density region %d %q: %d corners and %g kg/m³; it needs a ring and a density over 0", i+1, r.Name, len(r.Ring), r.KgPerM3)
		}
		if !(r.Lean.Len() < 10) {
			return out, fmt.Errorf("density region %d %q: its joints lean by %g mm per mm; give less than 10", i+1, r.Name, r.Lean.Len())
		}
	}
	rivals := b.rivals()
	covered := 0.0 // mm³ of the outline's prism
	box := b.Ring.Bounds()
	var k clipper
	for _, l := range b.layers(regions) {
		high := l.hi - l.lo
		k.spans.in = l
		for i, r := range regions {
			k.reset(r.at((l.lo + l.hi) / 2))
			ring := k.part(b.Ring, box)
			if ring == nil {
				continue
			}
			m := ring.Moments()
			covered += m.Area * high
			whole := volume{m.Area * high, m.X * high, m.Y * high, m.Area * (l.hi*l.hi - l.lo*l.lo) / 2}
			whole = whole.plus(b.contours(rivals, &k), -1).plus(b.cavities(cuts, &k), -1)
			out.ByRegion[i] = out.ByRegion[i].Add(whole.heft(r.KgPerM3))
		}
	}
	find := finder{regions: regions}
	b.slivers(cuts, func(p geom.Point, v volume) {
		if i := find.at(p, v.w/v.v); i >= 0 {
			out.ByRegion[i] = out.ByRegion[i].Add(volume{}.plus(v, -1).heft(regions[i].KgPerM3))
		}
	})
	for _, h := range out.ByRegion {
		out.Heft = out.Heft.Add(h)
	}
	out.Uncovered = max(0, b.Ring.Area()-covered/b.Thickness)
	return out, nil
}

// finder finds the region of a place, trying the last answer first.
type finder struct {
	regions []DensityRegion
	boxes   []geom.Box // at w = 0
	last    int
}

func (f *finder) at(p geom.Point, w float64) int {
	if f.boxes == nil {
		for _, r := range f.regions {
			f.boxes = append(f.boxes, geom.Polygon(r.Ring).Bounds())
		}
	}
	holds := func(i int) bool {
		at := p.Add(f.regions[i].Lean.Mul(-w))
		if !f.boxes[i].Has(at) {
			return false
		}
		ring := f.regions[i].Ring
		for j, a := range ring {
			if ring[(j+1)%len(ring)].Sub(a).Cross(at.Sub(a)) < 0 {
				return false
			}
		}
		return true
	}
	if len(f.regions) == 0 {
		return -1
	}
	if holds(f.last) {
		return f.last
	}
	for i := range f.regions {
		if holds(i) {
			f.last = i
			return i
		}
	}
	return -1
}

// removal is wood taken out over a ring: a feature or a hole square to the
// faces.
type removal struct {
	ring    geom.Polygon
	box     geom.Box
	lo, hi  float64
	slope   float64 // the lower end rises by slope·(u − from)
	from    float64
	crosses bool // it reaches outside the outline
	group   int
	within  geom.Polygon // the outline about a group that reaches outside it; the group's first has it
}

func (r removal) span(p geom.Point) (lo, hi float64) {
	return r.lo + r.slope*(p.X-r.from), r.hi
}

// removals lists features and square holes, grouped so that removals of
// different groups do not overlap in plan.
func (b *Body) removals() []removal {
	var cuts []removal
	t := b.Thickness
	for _, f := range b.Features {
		cuts = append(cuts, removal{ring: f.Ring, lo: f.WBottom, hi: f.WTop, slope: f.FloorSlope, from: f.FloorFrom})
	}
	for _, h := range b.Holes {
		if h.square() {
			cuts = append(cuts, removal{ring: circle(h.A.Plan(), h.Diameter/2), lo: max(-t, min(h.A.Z, h.B.Z)), hi: min(0, max(h.A.Z, h.B.Z))})
		}
	}
	for i := range cuts {
		c := &cuts[i]
		c.box = c.ring.Bounds()
		c.group = i
		c.crosses = b.reachesOut(c.ring, c.box)
		for j := range i {
			if !c.box.Meets(cuts[j].box) {
				continue
			}
			if old, now := c.group, cuts[j].group; old != now {
				for k := range i + 1 {
					if cuts[k].group == old {
						cuts[k].group = now
					}
				}
			}
		}
	}
	for i := range cuts {
		if !firstOfGroup(cuts, i) {
			continue
		}
		box, crosses := geom.EmptyBox(), false
		for _, c := range cuts[i:] {
			if c.group == cuts[i].group {
				box, crosses = box.Union(c.box), crosses || c.crosses
			}
		}
		if crosses {
			cuts[i].within = b.outlineBetween(box.Min.X, box.Max.X)
		}
	}
	return cuts
}

// square tells whether the hole's axis is at right angles to the faces.
func (h Hole) square() bool { return h.A.X == h.B.X && h.A.Y == h.B.Y }

// reachesOut tells whether a ring may reach outside the outline. It errs on
// the side of yes.
func (b *Body) reachesOut(ring geom.Polygon, box geom.Box) bool {
	hit, zero := false, 0.0
	b.side.near(box, &zero, func(_, _ geom.Point) { hit = true })
	if hit {
		return true
	}
	return b.Ring.Locate(ring[0]) != geom.Inside
}

// clipper cuts rings to one convex region. The rings that it returns hold
// until the next reset.
type clipper struct {
	edges    []geom.HalfPlane
	box      geom.Box
	from, to geom.Polygon // scratch
	keep     []geom.Point // the results, one after the other

	sweeper
	columnMemory
	spans   spanSet
	members []removal
	rings   []geom.Polygon
	shapes  []*Shaping
}

// bounds adds the layer's top and bottom inside a body of the given thickness.
func (k *clipper) bounds(out []parabola, thickness float64) []parabola {
	if k.spans.in.lo > -thickness {
		out = append(out, parabola{a: k.spans.in.lo})
	}
	if k.spans.in.hi < 0 {
		out = append(out, parabola{a: k.spans.in.hi})
	}
	return out
}

func (k *clipper) reset(c geom.Convex) {
	k.edges, k.box, k.keep = c.Edges(), geom.Polygon(c).Bounds(), k.keep[:0]
}

// part is the ring's part in the region, as Polygon.ClippedTo, or nil. Half
// planes that hold the ring's whole box are passed over.
func (k *clipper) part(g geom.Polygon, box geom.Box) geom.Polygon {
	if !box.Meets(k.box) {
		return nil
	}
	corners := [4]geom.Point{box.Min, {X: box.Max.X, Y: box.Min.Y}, box.Max, {X: box.Min.X, Y: box.Max.Y}}
	cur, cut := g, false
	for _, h := range k.edges {
		in := 0
		for _, p := range corners {
			if h.Depth(p) >= 0 {
				in++
			}
		}
		switch in {
		case 4:
			continue
		case 0:
			return nil
		}
		out := k.to[:0]
		prev := cur[len(cur)-1]
		dp := h.Depth(prev)
		for _, p := range cur {
			d := h.Depth(p)
			if (dp < 0) != (d < 0) && dp != 0 && d != 0 {
				out = append(out, prev.Lerp(p, dp/(dp-d)))
			}
			if d >= 0 {
				out = append(out, p)
			}
			prev, dp = p, d
		}
		if k.from, k.to = out, k.from; len(out) < 3 {
			return nil
		}
		cur, cut = out, true
	}
	if !cut {
		return g
	}
	n := len(k.keep)
	k.keep = append(k.keep, cur...)
	return geom.Polygon(k.keep[n:len(k.keep):len(k.keep)])
}

// rival is a place where two contours may take the same wood: the deeper one
// counts.
type rival struct {
	ring geom.Polygon
	box  geom.Box
}

func (b *Body) rivals() []rival {
	var out []rival
	for i, s := range b.Shaped {
		for _, o := range b.Shaped[:i] {
			if s.Face != o.Face && s.lowest(s.Ring)+o.lowest(o.Ring) <= b.Thickness {
				continue
			}
			ring := s.Ring
			if o.Kind != ArchedTop {
				ring = ring.Clipped(o.Line)
			}
			if ring != nil {
				out = append(out, rival{ring, ring.Bounds()})
			}
		}
	}
	return out
}

// lowest is the most that the surface lowers its face over a ring. Drops are
// convex, so corners tell.
func (s *Shaping) lowest(ring geom.Polygon) float64 {
	most := 0.0
	for _, p := range ring {
		most = max(most, s.Drop(p))
	}
	return most
}

// surface is the carved face at u, where it falls, as a height over v.
func (s *Shaping) surface(u, thickness float64) parabola {
	var q parabola // the fall
	if s.Kind == ArchedTop {
		du, v0 := u-s.Line.At.X, s.Line.At.Y
		q = parabola{s.Along*du*du + s.Across*v0*v0, -2 * s.Across * v0, s.Across}
	} else {
		d1 := s.Line.Along.X // the depth under the line is d0 + d1·v
		d0 := -d1*s.Line.At.Y - s.Line.Along.Y*(u-s.Line.At.X)
		q = parabola{s.Slope*d0 + s.Curve*d0*d0, s.Slope*d1 + 2*s.Curve*d0*d1, s.Curve * d1 * d1}
	}
	if s.Face == Back {
		return parabola{q.a - thickness, q.b, q.c}
	}
	return parabola{-q.a, -q.b, -q.c}
}

// carved is what the surface takes over a unit of area, where it falls.
func (s *Shaping) carved(p geom.Point, thickness float64) volume {
	d := s.fall(p)
	moment := -d * d / 2
	if s.Face == Back {
		moment = d * (d/2 - thickness)
	}
	return volume{d, d * p.X, d * p.Y, moment}
}

// part is the part of a box, a hair grown, where the surface falls, or nil.
func (s *Shaping) part(box geom.Box) geom.Polygon {
	switch {
	case !s.box.Meets(box):
		return nil
	case s.Kind == ArchedTop:
		return box.Polygon()
	}
	return box.Grow(1).Polygon().Clipped(s.Line)
}

// contours integrates what the shaped surfaces take off the layer, inside the
// clipper's region.
//
// Of the whole height, each surface's part is the integral of a polynomial over
// a ring. What two of them take is counted once: over the rivals' rings, that
// much is taken back.
func (b *Body) contours(rivals []rival, k *clipper) volume {
	var sum volume
	if len(b.Shaped) == 0 {
		return sum
	}
	lines := func(u float64, out []parabola) []parabola {
		for i := range b.Shaped {
			out = append(out, b.Shaped[i].surface(u, b.Thickness))
		}
		return k.bounds(out, b.Thickness)
	}
	if k.spans.in != (layer{-b.Thickness, 0}) {
		rings := k.rings[:0]
		for i := range b.Shaped {
			s := &b.Shaped[i]
			if ring := k.part(s.Ring, s.box); ring != nil {
				rings = append(rings, ring)
			}
		}
		spans := &k.spans
		k.sweep(rings, func(c cell) {
			c.columns(&k.columnMemory, lines, func(p geom.Point, area float64) {
				spans.reset()
				for i := range b.Shaped {
					spans.add(b.Shaped[i].span(p, b.Thickness))
				}
				sum = sum.plus(spans.column(p), area)
			})
		})
		return sum
	}
	for i := range b.Shaped {
		s := &b.Shaped[i]
		over(k.part(s.Ring, s.box), func(p geom.Point, area float64) { sum = sum.plus(s.carved(p, b.Thickness), area) })
	}
	rings := k.rings[:0]
	for _, g := range rivals {
		if ring := k.part(g.ring, g.box); ring != nil {
			rings = append(rings, ring)
		}
	}
	spans := &k.spans
	k.sweep(rings, func(c cell) {
		c.columns(&k.columnMemory, lines, func(p geom.Point, area float64) {
			var each volume
			spans.reset()
			for i := range b.Shaped {
				lo, hi := b.Shaped[i].span(p, b.Thickness)
				each = each.plus(volume{1, p.X, p.Y, (lo + hi) / 2}, hi-lo)
				spans.add(lo, hi)
			}
			sum = sum.plus(each, -area).plus(spans.column(p), area)
		})
	})
	return sum
}

// over visits places of a ring with the area, which may be negative, that each
// stands for, so that sums over them integrate polynomials of degree 4 exactly,
// also where they are only defined by going on beyond the ring. It fans the
// ring into triangles and takes six places of each (Dunavant, High degree
// efficient symmetrical Gaussian quadrature rules for the triangle, 1985, the
// rule of degree 4).
func over(ring geom.Polygon, visit func(p geom.Point, area float64)) {
	const a, wa = 0.445948490915965, 0.223381589678011
	const b, wb = 0.091576213509771, 0.109951743655322
	for i := 2; i < len(ring); i++ {
		o, e, f := ring[0], ring[i-1].Sub(ring[0]), ring[i].Sub(ring[0])
		area := e.Cross(f) / 2
		if area == 0 {
			continue
		}
		at := func(s, t float64) geom.Point {
			return geom.Point{X: o.X + s*e.X + t*f.X, Y: o.Y + s*e.Y + t*f.Y}
		}
		visit(at(a, a), wa*area)
		visit(at(a, 1-2*a), wa*area)
		visit(at(1-2*a, a), wa*area)
		visit(at(b, b), wb*area)
		visit(at(b, 1-2*b), wb*area)
		visit(at(1-2*b, b), wb*area)
	}
}

func (s *Shaping) span(p geom.Point, thickness float64) (lo, hi float64) {
	d := min(s.Drop(p), thickness)
	if s.Face == Back {
		return -thickness, -thickness + d
	}
	return -d, 0
}

// cavities integrates what removals take of the layer beyond the contours,
// inside the clipper's region and the outline.
func (b *Body) cavities(cuts []removal, k *clipper) volume {
	var sum volume
	for g := range cuts {
		if !firstOfGroup(cuts, g) {
			continue
		}
		members, rings := k.members[:0], k.rings[:0]
		box := geom.EmptyBox()
		for i := g; i < len(cuts); i++ {
			c := cuts[i]
			if c.group != cuts[g].group {
				continue
			}
			if ring := k.part(c.ring, c.box); ring != nil {
				members, rings = append(members, c), append(rings, ring)
				box = box.Union(c.box)
			}
		}
		if len(members) > 0 {
			sum = sum.plus(b.group(members, rings, box, cuts[g].within, k), 1)
		}
		k.members, k.rings = members, rings
	}
	return sum
}

func firstOfGroup(cuts []removal, g int) bool {
	for i := range g {
		if cuts[i].group == cuts[g].group {
			return false
		}
	}
	return true
}

// group integrates the union of some overlapping removals, within the layer of
// the clipper's spans and, unless nil, within a ring.
func (b *Body) group(members []removal, rings []geom.Polygon, box geom.Box, within geom.Polygon, k *clipper) volume {
	n := len(members)
	mask := -1
	if within != nil {
		mask = len(rings)
		rings = append(rings, within)
	}
	flat := true
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, m := range members {
		flat = flat && m.slope == 0
		lo, hi = min(lo, m.lo), max(hi, m.hi)
	}
	// The lines where contours begin are edges too, so that no cell has a kink.
	// A contour that stays clear of all that is taken here does not matter.
	shapes := k.shapes[:0]
	for i := range b.Shaped {
		s := &b.Shaped[i]
		part := s.part(box)
		if part == nil {
			continue
		}
		most := s.lowest(part)
		if flat && (s.Face == Front && hi <= -most || s.Face == Back && lo >= most-b.Thickness) {
			continue
		}
		if s.Kind != ArchedTop {
			rings = append(rings, part)
		}
		shapes = append(shapes, s)
	}
	k.shapes = shapes
	// Under one surface, and deeper than it wherever open to it, they take what
	// they would of a flat face, less what the surface has taken.
	var under *Shaping
	if flat && len(shapes) == 1 && k.spans.in == (layer{-b.Thickness, 0}) {
		under = shapes[0]
		most := under.lowest(box.Polygon())
		for _, m := range members {
			if !m.below(under.Face, most, b.Thickness) {
				under = nil
				break
			}
		}
	}
	flat = flat && (len(shapes) == 0 || under != nil)
	var sum volume
	spans := &k.spans
	if flat && len(rings) == 1 {
		a := members[0]
		if lo, hi := max(a.lo, spans.in.lo), min(a.hi, spans.in.hi); lo < hi {
			m, high := rings[0].Moments(), hi-lo
			sum = volume{m.Area * high, m.X * high, m.Y * high, m.Area * high * (lo + hi) / 2}
		}
		if under != nil && a.opens(under.Face, b.Thickness) {
			over(rings[0], func(p geom.Point, area float64) { sum = sum.plus(under.carved(p, b.Thickness), -area) })
		}
		return sum
	}
	k.sweep(rings, func(c cell) {
		wood, any, open := mask < 0, false, false
		for _, i := range c.In {
			wood = wood || i == mask
			any = any || i < n
			open = open || i < n && under != nil && members[i].opens(under.Face, b.Thickness)
		}
		if !wood || !any {
			return
		}
		if flat {
			spans.reset()
			for _, i := range c.In {
				if i < n {
					spans.add(members[i].lo, members[i].hi)
				}
			}
			length, moment := spans.measure()
			a, mu, mv := c.moments()
			sum = sum.plus(volume{length * a, length * mu, length * mv, moment * a}, 1)
			if open {
				c.points(func(p geom.Point, area float64) {
					if under.Drop(p) > 0 {
						sum = sum.plus(under.carved(p, b.Thickness), -area)
					}
				})
			}
			return
		}
		lines := func(u float64, out []parabola) []parabola {
			for _, s := range shapes {
				out = append(out, s.surface(u, b.Thickness))
			}
			for _, i := range c.In {
				if i < n {
					lo, hi := members[i].span(geom.Point{X: u})
					out = append(out, parabola{a: lo}, parabola{a: hi})
				}
			}
			return k.bounds(out, b.Thickness)
		}
		c.columns(&k.columnMemory, lines, func(p geom.Point, area float64) {
			spans.reset()
			for _, s := range shapes {
				spans.add(s.span(p, b.Thickness))
			}
			already := spans.column(p)
			for _, i := range c.In {
				if i < n {
					spans.add(members[i].span(p))
				}
			}
			sum = sum.plus(spans.column(p), area).plus(already, -area)
		})
	})
	return sum
}

// outlineBetween is the outline's part with u in [u0, u1], as a ring.
func (b *Body) outlineBetween(u0, u1 float64) geom.Polygon {
	return b.Ring.
		Clipped(geom.HalfPlane{At: geom.Pt(u0-1, 0), Along: geom.V(0, -1)}).
		Clipped(geom.HalfPlane{At: geom.Pt(u1+1, 0), Along: geom.V(0, 1)})
}

// spanSet is a union of heights within a layer.
type spanSet struct {
	in     layer
	lo, hi []float64
}

func (s *spanSet) reset() { s.lo, s.hi = s.lo[:0], s.hi[:0] }

// add joins [lo, hi] to the set, which stays disjoint.
func (s *spanSet) add(lo, hi float64) {
	if lo < s.in.lo {
		lo = s.in.lo
	}
	if hi > s.in.hi {
		hi = s.in.hi
	}
	if !(lo < hi) {
		return
	}
	k := 0
	for i := range s.lo {
		switch {
		case s.hi[i] < lo || s.lo[i] > hi: // apart: keep
			s.lo[k], s.hi[k] = s.lo[i], s.hi[i]
			k++
		default:
			lo, hi = min(lo, s.lo[i]), max(hi, s.hi[i])
		}
	}
	s.lo, s.hi = append(s.lo[:k], lo), append(s.hi[:k], hi)
}

// column is what the set takes over a unit of area at p.
func (s *spanSet) column(p geom.Point) volume {
	length, moment := s.measure()
	return volume{length, length * p.X, length * p.Y, moment}
}

// measure is the total length, and the integral of w.
func (s *spanSet) measure() (length, moment float64) {
	for i, lo := range s.lo {
		hi := s.hi[i]
		length += hi - lo
		moment += (hi*hi - lo*lo) / 2
	}
	return length, moment
}

// taken puts into spans what contours and removals take at p.
func (b *Body) taken(spans *spanSet, cuts []removal, p geom.Point) {
	spans.reset()
	for _, s := range b.Shaped {
		spans.add(s.span(p, b.Thickness))
	}
	for _, c := range cuts {
		if c.box.Has(p) && c.ring.Locate(p) != geom.Outside {
			spans.add(c.span(p))
		}
	}
}

// gauss4 are nodes and weights of the four-point Gauss–Legendre rule on
// [0, 1], exact to degree 7 (same source as gauss3).
func gauss4() (nodes, weights [4]float64) {
	const a, b = 0.43056815579702629, 0.16999052179242813
	const va, vb = 0.17392742256872693, 0.32607257743127307
	return [4]float64{0.5 - a, 0.5 - b, 0.5 + b, 0.5 + a}, [4]float64{va, vb, vb, va}
}

// slivers visits the small removals that have no prism: slanted holes and edge
// treatments, in pieces, each with its place in plan.
func (b *Body) slivers(cuts []removal, visit func(geom.Point, volume)) {
	for _, h := range b.Holes {
		if !h.square() {
			b.slanted(h, cuts, visit)
		}
	}
	b.edge(b.Edges.FrontRadius, b.Edges.FrontChamfer, Front, cuts, visit)
	b.edge(b.Edges.BackRadius, b.Edges.BackChamfer, Back, cuts, visit)
}

// slanted cuts the cylinder into discs, and each disc into places of equal
// area, and counts those that are still in wood. A disc that lies partly in wood
// is looked at more closely. Discs are turned against each other, so that no
// wall along the hole is missed by all of them alike.
func (b *Body) slanted(h Hole, cuts []removal, visit func(geom.Point, volume)) {
	d := h.B.Sub(h.A)
	e := d.Unit()
	// Two directions across the axis.
	x := e.Cross(geom.Vec3{Z: 1}).Unit()
	y := e.Cross(x)
	if b.Hand == outline.LeftHanded { // the places are the mirrored ones, too
		x = x.Mul(-1)
	}
	r := h.Diameter / 2
	const slices = 24
	near := make([]removal, 0, len(cuts))
	box := geom.Bounds(h.A.Plan(), h.B.Plan()).Grow(r)
	for _, c := range cuts {
		if c.box.Meets(box) {
			near = append(near, c)
		}
	}
	in := func(p geom.Point3) bool {
		if p.Z > 0 || p.Z < -b.Thickness {
			return false
		}
		for _, s := range b.Shaped {
			if lo, hi := s.span(p.Plan(), b.Thickness); p.Z > lo && p.Z < hi {
				return false
			}
		}
		for _, c := range near {
			if lo, hi := c.span(p.Plan()); p.Z > lo && p.Z < hi && c.box.Has(p.Plan()) && c.ring.Locate(p.Plan()) != geom.Outside {
				return false
			}
		}
		return true
	}
	coarse, fine := discPlaces(2, 6), discPlaces(4, 12)
	places := make([]geom.Point3, 0, len(fine))
	for i := range slices {
		c := h.A.Add(d.Mul((float64(i) + 0.5) / slices))
		sin, cos := math.Sincos(2 * math.Pi * math.Phi * float64(i))
		look := func(disc []geom.Vec) (whole int) {
			places = places[:0]
			for _, q := range disc {
				p := c.Add(x.Mul(r * (q.X*cos - q.Y*sin))).Add(y.Mul(r * (q.X*sin + q.Y*cos)))
				if in(p) {
					places = append(places, p)
				}
			}
			return len(disc)
		}
		whole := look(coarse)
		if len(places) > 0 && len(places) < whole {
			whole = look(fine)
		}
		piece := math.Pi * r * r * d.Len() / float64(slices*whole)
		for _, p := range places {
			visit(p.Plan(), volume{piece, piece * p.X, piece * p.Y, piece * p.Z})
		}
	}
}

// discPlaces are places in a disc of radius 1 that stand for equal areas.
func discPlaces(rings, spokes int) []geom.Vec {
	var out []geom.Vec
	for j := range rings {
		for k := range spokes {
			out = append(out, geom.Polar(math.Sqrt((float64(j)+0.5)/float64(rings)), 2*math.Pi*(float64(k)+0.5*float64(j))/float64(spokes)))
		}
	}
	return out
}

// edge takes off a round-over of the given radius, or a chamfer, along the
// whole outline, down from the face as it is carved. Seen across the edge, at
// distance d from the side:
//
//	d=0   d=r
//	 |     ________ face          round-over: depth = r − √(2rd − d²)
//	 |  .-'                       chamfer:    depth = c − d
//	 |.'   wood
//	 |
//
// Each edge of the ring owns the strip between the bisectors at its ends.
func (b *Body) edge(radius, chamfer float64, face Face, cuts []removal, visit func(geom.Point, volume)) {
	if radius <= 0 && chamfer <= 0 {
		return
	}
	nodes, weights := gauss4()
	var inset, depth, share [4]float64
	for i, s := range nodes {
		if radius > 0 {
			sin, cos := math.Sincos(s * math.Pi / 2)
			inset[i], depth[i] = radius*(1-sin), radius*(1-cos)
			share[i] = weights[i] * radius * cos * math.Pi / 2
		} else {
			inset[i], depth[i] = chamfer*s, chamfer*(1-s)
			share[i] = weights[i] * chamfer
		}
	}
	// Only what comes this near to the side can share wood with the edge.
	var beside []removal
	for _, c := range cuts {
		limit, close := radius+chamfer, c.crosses
		b.side.near(c.box, &limit, func(_, _ geom.Point) { close = true })
		if close {
			beside = append(beside, c)
		}
	}
	n := len(b.Ring)
	tan := b.mitres()
	across := max(b.Edges.FrontRadius, b.Edges.FrontChamfer) // the most that the other face is lowered
	for i := range b.Shaped {
		if s := &b.Shaped[i]; s.Face != face {
			across = max(across, s.lowest(s.Ring)+b.Edges.FrontRadius+b.Edges.FrontChamfer)
		}
	}
	spans := spanSet{in: layer{-b.Thickness, 0}}
	// left is what the treatment takes at p, from the carved face down to a depth,
	// of what is there. At distance d from the side the front's treatment comes
	// first, as both may meet where the wood is thin.
	left := func(p geom.Point, d, depth float64) (length, moment float64) {
		low := b.fallen(face, p)
		thin := low+depth+across > b.Thickness
		lo, hi := -low-depth, -low
		switch {
		case face == Back:
			lo, hi = low-b.Thickness, low+depth-b.Thickness
			if thin {
				hi = min(hi, -b.fallen(Front, p)-sunk(d, b.Edges.FrontRadius, b.Edges.FrontChamfer))
			}
		case thin:
			lo = max(lo, b.fallen(Back, p)-b.Thickness)
		}
		if lo >= hi {
			return 0, 0
		}
		alone := true
		for i := range beside {
			alone = alone && !beside[i].box.Has(p)
		}
		if alone {
			return hi - lo, (hi*hi - lo*lo) / 2
		}
		b.taken(&spans, beside, p)
		l0, m0 := spans.measure()
		spans.add(lo, hi)
		l1, m1 := spans.measure()
		return l1 - l0, m1 - m0
	}
	for i, p := range b.Ring {
		q := b.Ring[(i+1)%n]
		l := p.Distance(q)
		e := q.Sub(p).Mul(1 / l)
		pieces := max(1, int(math.Ceil(l/4)))
		for k, d := range inset {
			from, to := d*tan[i], l-d*tan[(i+1)%n]
			if from >= to {
				continue
			}
			step := (to - from) / float64(pieces)
			area := step * share[k]
			for j := range pieces {
				at := p.Add(e.Mul(from + (float64(j)+0.5)*step)).Add(e.Left().Mul(d))
				if length, moment := left(at, d, depth[k]); length > 0 {
					visit(at, volume{area * length, area * length * at.X, area * length * at.Y, area * moment})
				}
			}
		}
	}
}

// mitres are the tangents of half the turn at each corner of the ring: how much
// an edge becomes shorter there when it moves in by 1.
func (b *Body) mitres() []float64 {
	n := len(b.Ring)
	tan := make([]float64, n)
	for i, p := range b.Ring {
		in, on := p.Sub(b.Ring[(i+n-1)%n]), b.Ring[(i+1)%n].Sub(p)
		turn := math.Atan2(in.Cross(on), in.Dot(on))
		tan[i] = math.Tan(max(-1.5, min(1.5, turn/2)))
	}
	return tan
}

// fallen is how much contours lower a face at p.
func (b *Body) fallen(face Face, p geom.Point) float64 {
	most := 0.0
	for i := range b.Shaped {
		if s := &b.Shaped[i]; s.Face == face {
			most = max(most, s.Drop(p))
		}
	}
	return most
}
