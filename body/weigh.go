package body

import (
	"fmt"
	"math"

	"slabwright/body/geom"
)

// DensityRegion is a part of the plan where the wood has one density, in the
// body frame. Regions that belong together must not overlap.
type DensityRegion struct {
	Name    string
	Ring    geom.Convex
	KgPerM3 float64
	// MoisturePct is the wood's moisture content at that density, percent of
	// its oven-dry mass; 0 when it is not said.
	MoisturePct float64
}

// Uniform is one region round the whole body.
func (b *Body) Uniform(kgPerM3 float64) []DensityRegion {
	return []DensityRegion{{"all", geom.Convex(b.Ring.Bounds().Grow(1).Polygon()), kgPerM3, 0}}
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

// Weigh integrates the wood of the body: the outline's prism, less contours,
// features, holes and edge treatments, each piece of wood at its own density.
//
// Flat-bottomed cavities, straight holes square to the faces and contours are
// integrated in closed form over the rings (which stray at most RingTolerance
// from the true curves); where sloped surfaces cross each other within a
// cavity, and for slanted holes and edge treatments, a quadrature takes over
// whose error stays under 0.1 % of their own volume.
func (b *Body) Weigh(regions []DensityRegion) (WoodWeight, error) {
	out := WoodWeight{ByRegion: make([]Heft, len(regions))}
	for i, r := range regions {
		if len(r.Ring) < 3 || !(r.KgPerM3 > 0 && r.KgPerM3 < 5000) {
			return out, fmt.Errorf("density region %d %q: %d corners and %g kg/m³; it needs a ring and a density over 0", i+1, r.Name, len(r.Ring), r.KgPerM3)
		}
	}
	cuts := b.removals()
	covered := 0.0
	box := b.Ring.Bounds()
	var k clipper
	for i, r := range regions {
		k.reset(r.Ring)
		ring := k.part(b.Ring, box)
		if ring == nil {
			continue
		}
		m := ring.Moments()
		covered += m.Area
		t := b.Thickness
		whole := volume{m.Area * t, m.X * t, m.Y * t, -m.Area * t * t / 2}
		whole = whole.plus(b.contours(&k), -1).plus(b.cavities(cuts, &k), -1)
		out.ByRegion[i] = whole.heft(r.KgPerM3)
	}
	find := finder{regions: regions}
	b.slivers(cuts, func(p geom.Point, v volume) {
		if i := find.at(p); i >= 0 {
			out.ByRegion[i] = out.ByRegion[i].Add(volume{}.plus(v, -1).heft(regions[i].KgPerM3))
		}
	})
	for _, h := range out.ByRegion {
		out.Heft = out.Heft.Add(h)
	}
	out.Uncovered = math.Max(0, b.Ring.Area()-covered)
	return out, nil
}

// finder finds the region of a place, trying the last answer first.
type finder struct {
	regions []DensityRegion
	boxes   []geom.Box
	last    int
}

func (f *finder) at(p geom.Point) int {
	if f.boxes == nil {
		for _, r := range f.regions {
			f.boxes = append(f.boxes, geom.Polygon(r.Ring).Bounds())
		}
	}
	holds := func(i int) bool {
		if !f.boxes[i].Has(p) {
			return false
		}
		ring := f.regions[i].Ring
		for j, a := range ring {
			if ring[(j+1)%len(ring)].Sub(a).Cross(p.Sub(a)) < 0 {
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
			cuts = append(cuts, removal{ring: circle(h.A.Plan(), h.Diameter/2), lo: math.Max(-t, math.Min(h.A.Z, h.B.Z)), hi: math.Min(0, math.Max(h.A.Z, h.B.Z))})
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

// contours integrates what the shaped surfaces take off, inside the clipper's
// region.
func (b *Body) contours(k *clipper) volume {
	if len(b.Shaped) == 0 {
		return volume{}
	}
	var rings []geom.Polygon
	var shapes []Shaping
	for _, s := range b.Shaped {
		if ring := k.part(s.Ring, s.box); ring != nil {
			rings, shapes = append(rings, ring), append(shapes, s)
		}
	}
	var sum volume
	var spans spanSet
	sweep(rings, func(c cell) {
		c.points(func(p geom.Point, area float64) {
			spans.reset()
			for _, i := range c.In {
				spans.add(shapes[i].span(p, b.Thickness))
			}
			length, moment := spans.measure()
			sum = sum.plus(volume{length, length * p.X, length * p.Y, moment}, area)
		})
	})
	return sum
}

func (s Shaping) span(p geom.Point, thickness float64) (lo, hi float64) {
	d := math.Min(s.Drop(p), thickness)
	if s.Face == Back {
		return -thickness, -thickness + d
	}
	return -d, 0
}

// cavities integrates what removals take beyond the contours, inside the
// clipper's region and the outline.
func (b *Body) cavities(cuts []removal, k *clipper) volume {
	var sum volume
	var members []removal
	var rings []geom.Polygon
	for g := range cuts {
		if !firstOfGroup(cuts, g) {
			continue
		}
		members, rings = members[:0], rings[:0]
		box, crosses := geom.EmptyBox(), false
		for i := g; i < len(cuts); i++ {
			c := cuts[i]
			if c.group != cuts[g].group {
				continue
			}
			if ring := k.part(c.ring, c.box); ring != nil {
				members, rings = append(members, c), append(rings, ring)
				box = box.Union(c.box)
				crosses = crosses || c.crosses
			}
		}
		if len(members) == 0 {
			continue
		}
		sum = sum.plus(b.group(members, rings, box, crosses), 1)
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

// group integrates the union of some overlapping removals.
func (b *Body) group(members []removal, rings []geom.Polygon, box geom.Box, crosses bool) volume {
	n := len(members)
	mask := -1
	if crosses {
		mask = len(rings)
		rings = append(rings, b.outlineBetween(box.Min.X, box.Max.X))
	}
	// The lines where contours begin are edges too, so that no cell has a kink.
	flat := true
	var shapes []Shaping
	for _, s := range b.Shaped {
		if !s.box.Meets(box) {
			continue
		}
		if s.Kind != ArchedTop {
			half := box.Grow(1).Polygon().Clipped(s.Line)
			if half == nil {
				continue
			}
			rings = append(rings, half)
		}
		shapes = append(shapes, s)
		flat = false
	}
	for _, m := range members {
		flat = flat && m.slope == 0
	}
	var sum volume
	var spans spanSet
	sweep(rings, func(c cell) {
		wood, any := mask < 0, false
		for _, i := range c.In {
			wood = wood || i == mask
			any = any || i < n
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
			return
		}
		c.points(func(p geom.Point, area float64) {
			spans.reset()
			for _, s := range shapes {
				spans.add(s.span(p, b.Thickness))
			}
			l0, m0 := spans.measure()
			for _, i := range c.In {
				if i < n {
					spans.add(members[i].span(p))
				}
			}
			l1, m1 := spans.measure()
			sum = sum.plus(volume{l1 - l0, (l1 - l0) * p.X, (l1 - l0) * p.Y, m1 - m0}, area)
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

// spanSet is a union of heights.
type spanSet struct{ lo, hi []float64 }

func (s *spanSet) reset() { s.lo, s.hi = s.lo[:0], s.hi[:0] }

// add joins [lo, hi] to the set, which stays sorted and disjoint.
func (s *spanSet) add(lo, hi float64) {
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
			lo, hi = math.Min(lo, s.lo[i]), math.Max(hi, s.hi[i])
		}
	}
	s.lo, s.hi = append(s.lo[:k], lo), append(s.hi[:k], hi)
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
// area, and counts those that are still in wood.
func (b *Body) slanted(h Hole, cuts []removal, visit func(geom.Point, volume)) {
	d := h.B.Sub(h.A)
	e := d.Unit()
	// Two directions across the axis.
	x := e.Cross(geom.Vec3{Z: 1}).Unit()
	y := e.Cross(x)
	r := h.Diameter / 2
	const slices, rings, spokes = 24, 2, 6
	piece := math.Pi * r * r * d.Len() / (slices * rings * spokes)
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
	for i := range slices {
		c := h.A.Add(d.Mul((float64(i) + 0.5) / slices))
		for j := range rings {
			rho := r * math.Sqrt((float64(j)+0.5)/rings)
			for k := range spokes {
				sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5*float64(j)) / spokes)
				p := c.Add(x.Mul(rho * cos)).Add(y.Mul(rho * sin))
				if in(p) {
					visit(p.Plan(), volume{piece, piece * p.X, piece * p.Y, piece * p.Z})
				}
			}
		}
	}
}

// edge takes off a round-over of the given radius, or a chamfer, along the
// whole outline. Seen across the edge, at distance d from the side:
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
	tan := make([]float64, n) // of half the turn at each corner
	for i, p := range b.Ring {
		in, on := p.Sub(b.Ring[(i+n-1)%n]), b.Ring[(i+1)%n].Sub(p)
		turn := math.Atan2(in.Cross(on), in.Dot(on))
		tan[i] = math.Tan(math.Max(-1.5, math.Min(1.5, turn/2)))
	}
	var spans spanSet
	for i, p := range b.Ring {
		q := b.Ring[(i+1)%n]
		l := p.Distance(q)
		e := q.Sub(p).Unit()
		pieces := max(1, int(math.Ceil(l/4)))
		for k, d := range inset {
			from, to := d*tan[i], l-d*tan[(i+1)%n]
			if from >= to {
				continue
			}
			step := (to - from) / float64(pieces)
			for j := range pieces {
				at := p.Add(e.Mul(from + (float64(j)+0.5)*step)).Add(e.Left().Mul(d))
				b.taken(&spans, beside, at)
				l0, m0 := spans.measure()
				if face == Front {
					spans.add(-depth[k], 0)
				} else {
					spans.add(-b.Thickness, -b.Thickness+depth[k])
				}
				l1, m1 := spans.measure()
				if l1 > l0 {
					area := step * share[k]
					visit(at, volume{area * (l1 - l0), area * (l1 - l0) * at.X, area * (l1 - l0) * at.Y, area * (m1 - m0)})
				}
			}
		}
	}
}
