package place

import (
	"math"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/slab"
)

// A relief is one face of the body as the slab is asked for wood: corners that
// keep the finished face covered (see body.Relief), each some way down from the
// face's plane. Of a flat face they are the corners of the outline, as the wood
// over a plane is least there; see spareTilted.
type relief struct {
	face    body.Face
	carved  bool
	corners []corner
	inward  []geom.Vec // by corner, unit: the way into the outline
	away    []float64  // by corner: how far from the pivot
	blocks  []block    // runs of corners with a circle round each
	widest  float64    // the greatest span

	farthest []int // the corner of each block that sticks out most
}

// corner is a place of the face. Up to span from it, on the parts that have it
// as a corner, the face lies nowhere over the plane through the corners.
type corner struct {
	at         geom.Point
	drop, span float64
}

func (r *relief) add(k corner, inward geom.Vec, away float64) {
	r.corners, r.inward, r.away = append(r.corners, k), append(r.inward, inward), append(r.away, away)
}

// blockRun is how many corners make a block.
const blockRun = 24

type block struct {
	from, to     int // corners
	centre       geom.Point
	radius       float64
	drop, widest float64 // least, greatest
}

// newReliefs are the body's front and back. A body with one carved face has
// corners on both.
func (c *Case) newReliefs() (front, back *relief) {
	if !c.Body.Carved(body.Front) && !c.Body.Carved(body.Back) {
		r := &relief{face: body.Front, widest: reach}
		n := len(c.front)
		for i, q := range c.front {
			in := c.front[(i+1)%n].Sub(c.front[(i+n-1)%n]).Left().Unit()
			r.add(corner{q, 0, reach}, in, q.Distance(c.pivot()))
		}
		return r, r
	}
	of := func(f body.Face) *relief {
		r := &relief{face: f, carved: true}
		for _, p := range c.Body.Relief(f) {
			const h = 0.01
			d := func(u, v float64) float64 { return c.shape.depth(p.At.Add(geom.V(u, v))) }
			in := geom.V(d(h, 0)-d(-h, 0), d(0, h)-d(0, -h)).Unit()
			r.add(corner{p.At, p.Drop, p.Span}, in, p.At.Distance(c.pivot()))
			r.widest = max(r.widest, p.Span)
		}
		for i := 0; i < len(r.corners); i += blockRun {
			b := block{from: i, to: min(i+blockRun, len(r.corners)), drop: math.Inf(1)}
			box, out := geom.EmptyBox(), 0
			for i, k := range r.corners[b.from:b.to] {
				box = box.Include(k.at)
				if k.drop < b.drop {
					b.drop, out = k.drop, b.from+i
				}
				b.widest = max(b.widest, k.span)
			}
			r.farthest = append(r.farthest, out)
			b.centre = box.Centre()
			for _, k := range r.corners[b.from:b.to] {
				b.radius = max(b.radius, b.centre.Distance(k.at))
			}
			r.blocks = append(r.blocks, b)
		}
		return r
	}
	return of(body.Front), of(body.Back)
}

// besides are all corners of the blocks that the corners are of.
func (r *relief) besides(corners []int) []int {
	var out []int
	for _, i := range corners {
		b := r.blocks[i/blockRun]
		for k := b.from; k < b.to; k++ {
			out = append(out, k)
		}
	}
	return out
}

// faces are the body's upper and its lower face.
func (c *Case) faces(f Face) (upper, lower *relief) {
	if f == Bottom {
		return c.back, c.fore
	}
	return c.fore, c.back
}

// carved tells whether a face of the body is not a plane.
func (c *Case) carved() bool { return c.fore.carved }

// drops are the most that contours and edges take off either face of the body,
// and the least that they take off everywhere. Contours are deepest at a corner
// of the outline, as their drop is convex.
func (c *Case) drops() (deepest, shallowest float64) {
	for _, f := range []body.Face{body.Front, body.Back} {
		for _, q := range c.front {
			deepest = max(deepest, c.Body.Drop(f, q, 0))
		}
	}
	for _, r := range []*relief{c.fore, c.back} {
		least := math.Inf(1)
		for _, k := range r.corners {
			least = min(least, k.drop)
		}
		shallowest = max(shallowest, least)
	}
	return deepest, shallowest
}

// hollowness is how sharply the ring turns inward, radians a mm: so much the
// distance from it bends the wrong way, being concave elsewhere.
func hollowness(g geom.Polygon) float64 {
	n, most := len(g), 0.0
	for i := range g {
		a, b := g[(i+1)%n].Sub(g[i]), g[(i+2)%n].Sub(g[(i+1)%n])
		if turn := -math.Atan2(a.Cross(b), a.Dot(b)); turn > 1e-6 {
			most = max(most, 2*turn/(a.Len()+b.Len()))
		}
	}
	return most
}

// sags is how much lower a face of the slab can be between the corners of a
// part of the body of the given span than their mean: by what it bends between them, and
// by the kink where its stations end, if that lies in their middle.
func sags(face *surface, span float64) float64 { return span*span/8*face.bend + span/4*face.kink }

// closer is how much nearer to the slab's edge a place between the corners of a
// part of the given span can be than their mean: for a function that bends by
// k the weighted mean of the squared ways from the place, at most span²/3, times
// k/2; and the ring that is measured from lies within Exact of a smooth one.
func (c *Case) closer(span float64) float64 {
	if c.bulges {
		return 0
	}
	return min(span, span*span/6*c.hollowness+Exact)
}

// roundedBy is how much the rounding of the slab's edge takes off a face of it
// at q, seen from less nearer to the edge. With a range s, whose middle puts a
// point of the body at q, away from the pivot, it takes no less all over it.
func (c *Case) roundedBy(r float64, q geom.Point, less, away float64, s *span) float64 {
	if r == 0 {
		return 0
	}
	d, reach := math.Inf(1), 0.0
	if s != nil {
		// The edge is no farther than straight across the slab.
		_, across, any := s.goes(q, away)
		lo, hi := c.breadth.over(q.X-any, q.X+any)
		d, reach = max(0, min(hi-q.Y, q.Y-lo)+across), any
	}
	if c.rim.atLeast(q)+reach < r+less {
		d = min(d, c.rim.depth(q)+reach)
	}
	return drop(r, d-less)
}

// goes bounds how far a point of a level body, away from the pivot and put at q
// by the middle of the range, can be from there: along the slab, across it, and
// at all. See movesOf.
func (s *span) goes(q geom.Point, away float64) (along, across, any float64) {
	turn := away * s.ha
	bend := turn * s.ha / 2
	along = s.hx + min(turn, math.Abs(q.Y-s.y)*s.ha+bend)
	across = s.hy + min(turn, math.Abs(q.X-s.x)*s.ha+bend)
	return along, across, math.Hypot(s.hx, s.hy) + turn
}

// edgeRadius is the rounding of the slab's edge at one face of it.
func (c *Case) edgeRadius(face *surface) float64 {
	if face == c.top {
		return c.Slab.Edge.Covering().TopRadius
	}
	return c.Slab.Edge.Covering().BottomRadius
}

// leastLevel is the highest that the plane of a level body's upper face can lie
// under the slab's top, when m lays it in the plan; for the slab's bottom minus
// the lowest for the lower face; and the corner of the relief that is nearest.
// Z is minus the drop there. With a range s, whose middle m lays, it is a bound
// for all level bodies in it.
func (c *Case) leastLevel(r *relief, m flat, face *surface, s *span) (best Spare, at int) {
	sign, far := 1.0, face.highest
	if face == c.bottom {
		sign, far = -1, -face.lowest
	}
	radius := c.edgeRadius(face)
	best = Spare{Value: math.Inf(1)}
	for i := range r.blocks {
		b := &r.blocks[i]
		mid := m.apply(b.centre)
		z, slope := face.within(mid.X)
		slope = math.Abs(slope)
		low := sign*z - slope*b.radius - face.bend*b.radius*b.radius/2
		if radius > 0 {
			if d := c.rim.atLeast(mid) - b.radius - c.closer(b.widest); d < radius {
				low -= drop(radius, d)
			}
		}
		if min(low, far-radius)+b.drop-sags(face, b.widest) >= best.Value {
			continue
		}
		for k := b.from; k < b.to; k++ {
			q := &r.corners[k]
			p := m.apply(q.at)
			z, slope := face.within(p.X)
			v := sign * z
			if s != nil {
				along, _, _ := s.goes(p, r.away[k])
				v = min(far, v+math.Abs(slope)*along+face.bend*along*along/2)
			}
			if v += q.drop - sags(face, q.span); v >= best.Value+radius {
				continue
			}
			if radius > 0 {
				v -= c.roundedBy(radius, p, c.closer(q.span), r.away[k], s)
			}
			if v < best.Value {
				best, at = Spare{v, geom.Point3{X: p.X, Y: p.Y, Z: -q.drop}}, k
			}
		}
	}
	return best, at
}

// roomLevel is the greatest room that level bodies in a range, whose middle m
// lays, can have between the slab's faces, and the corners of the upper and the
// lower face that leave no more.
func (c *Case) roomLevel(s span, m flat) (room float64, over, under int) {
	upper, lower := c.faces(s.face)
	a, over := c.leastLevel(upper, m, c.top, &s)
	b, under := c.leastLevel(lower, m, c.bottom, &s)
	return a.Value + b.Value, over, under
}

// gap is the room between an obstacle and the part of the body that reaches as
// high, and as low, as the obstacle.
func (c *Case) gap(f Frame, o slab.Obstacle) geom.Margin {
	foot := c.footGap(f, o)
	if !c.carved() || o.WholeThrough {
		return foot
	}
	low, high := math.Inf(1), math.Inf(-1) // of the obstacle, in the body's frame
	for _, q := range o.Region {
		for _, z := range []float64{o.Bottom, o.Top} {
			_, _, w := f.Into(geom.Point3{X: q.X, Y: q.Y, Z: z})
			low, high = min(low, w), max(high, w)
		}
	}
	// What of a tilted body is as high in the slab, if off from the obstacle by
	// so much in plan, is not quite as high in the body.
	lean := math.Hypot(f.W.X, f.W.Y)
	within := func(off float64) geom.Margin {
		return c.partGap(f, o, foot, lean*off-low, high+lean*off+c.Body.Thickness)
	}
	if lean == 0 {
		return within(0)
	}
	best := foot
	for _, off := range []float64{c.asks().hollow, within(0).Value} {
		if off > best.Value && !math.IsInf(off, 1) { // no part is nearer than off but those within
			if m := within(off); min(m.Value, off) > best.Value {
				best = geom.Margin{Value: min(m.Value, off), At: m.At}
			}
		}
	}
	return best
}

// clearOf tells whether the body keeps the distance need from an obstacle, as
// gap says.
func (c *Case) clearOf(f Frame, o slab.Obstacle, need float64) bool {
	return c.footGap(f, o).Value >= need || c.carved() && c.gap(f, o).Value >= need
}

// footGap is the room between an obstacle and the whole footprint.
func (c *Case) footGap(f Frame, o slab.Obstacle) geom.Margin { return c.ringGap(f, c.front, o) }

// ringGap is the same for a part of the footprint.
func (c *Case) ringGap(f Frame, ring geom.Polygon, o slab.Obstacle) geom.Margin {
	sweep := c.sweep(f)
	best := geom.Margin{Value: math.Inf(1)}
	for _, w := range sweep.planes {
		if m := f.Project(ring, w).Gap(geom.Polygon(o.Region)); m.Value < best.Value {
			best = m
		}
	}
	best.Value = sweep.least(best.Value)
	return best
}

// partGap is the room between an obstacle and the part of the footprint where
// less than so much is taken off the body's front, and off its back; foot is the
// room to all of it. +Inf where there is no such part. It is no more than the
// true room, and the sharper of two bounds: the room to the part that contours
// leave, and, where edges are treated, how far in from the side the part begins.
func (c *Case) partGap(f Frame, o slab.Obstacle, foot geom.Margin, front, back float64) geom.Margin {
	part, inset := c.Body.Within(body.Front, c.front, front)
	part, under := c.Body.Within(body.Back, part, back)
	if part == nil {
		return geom.Margin{Value: math.Inf(1), At: foot.At}
	}
	m := foot
	if len(part) != len(c.front) || &part[0] != &c.front[0] {
		m = c.ringGap(f, part, o)
	}
	inset = max(inset, under)
	if inset == 0 {
		return m
	}
	away := 0.0
	if foot.Value <= 0 {
		sunk, sweep := math.Inf(-1), c.sweep(f)
		for _, w := range sweep.planes {
			sunk = max(sunk, c.sunk(f.flat(w), o.Region))
		}
		away = inset - sunk - sweep.apart/2 // between two planes it is no deeper
	} else {
		away = foot.Value + inset*math.Abs(f.W.Z) // seen from above, a tilted way is shorter
	}
	if away > m.Value {
		m = geom.Margin{Value: away, At: foot.At}
	}
	return m
}

// sunk is how deep a convex region of the plan reaches into the outline laid by
// m, at most 0.02 mm too much: boxes over the region are quartered as long as one
// could hold a deeper place, as no depth changes by more than the way.
func (c *Case) sunk(m flat, region geom.Convex) float64 {
	ring := make(geom.Polygon, len(region))
	deepest := math.Inf(-1)
	for i, q := range region {
		ring[i] = m.into(q)
		deepest = max(deepest, c.shape.depth(ring[i]))
	}
	ring = ring.CCW()
	const fine = 0.02
	type box struct {
		at   geom.Point
		half float64
	}
	b := ring.Bounds()
	todo := []box{{b.Centre(), max(b.Width(), b.Height()) / 2}}
	for len(todo) > 0 {
		b := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		far := b.half * math.Sqrt2
		in, depth := ring.Depth(b.at), c.shape.depth(b.at)
		if in >= 0 {
			deepest = max(deepest, depth)
		}
		if in < -far || depth+far <= deepest+fine {
			continue
		}
		h := b.half / 2
		for _, d := range []geom.Vec{{X: -h, Y: -h}, {X: h, Y: -h}, {X: -h, Y: h}, {X: h, Y: h}} {
			todo = append(todo, box{b.at.Add(d), h})
		}
	}
	return deepest + fine
}

// metAt is how deep below the plane of one of the body's faces an obstacle may
// begin before the body, lying in the plan as f says, comes nearer to it than
// the need: 0 where the face is not carved there. It is found by halves.
func (c *Case) metAt(f Frame, o slab.Obstacle, foot geom.Margin, face body.Face, deepest float64) float64 {
	near := func(depth float64) bool {
		front, back := depth, math.Inf(1)
		if face == body.Back {
			front, back = back, front
		}
		return c.partGap(f, o, foot, front, back).Value < c.asks().hollow
	}
	lo, hi := 0.0, deepest
	if near(1e-3) {
		return 0
	}
	for hi-lo > 0.02 {
		if mid := (lo + hi) / 2; near(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return lo
}
