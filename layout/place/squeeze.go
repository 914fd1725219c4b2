package place

import (
	"math"

	"slabwright/body/geom"
)

// A push is what one thing asks of a placement in a range, off its middle by
// (dx, dy) and turned by da:
//
//	x·dx + y·dy + turn·radius·da + spare ≥ 0
//
// with the radius of the body, so that all three are ways.
type push struct{ x, y, turn, spare float64 }

// maySettle tells whether some placement in the range may have all that is asked in
// plan at once: true when it cannot tell. A place of the rim that alone could find
// room to the left, and another to the right, cannot both.
//
// A corner p of the rim is off from an edge of the slab or of a hollow by d, in the
// direction n. In the range it lies at
//
//	q = p + (dx, dy) + da · (p − pivot)⊥ + at most |p − pivot| ha²/2
//
// and keeps d + n·(q − p) from the edge, seen square to it. Of a slab whose outline
// has no hollow no place has more room than it keeps from the line through any
// edge. Elsewhere, and of a hollow, none has more than its way to that one edge:
// that is √(square way² + o²) for a place that has come beyond the edge's end by
// o. A corner of a hollow and an edge of the rim are held apart likewise, the
// corner being the one that moves, the other way. Posts are held off their nearest
// glue line so, and musts hold what they speak of from both sides. Where bodies may be
// tilted, the wood over and under them is a push, too, if it is known how the slab's
// faces grip the body there.
//
// So each gives a push or two. Where no placement of the box of (dx, dy, da) stands
// all of them at once, the range holds nothing.
func (c *Case) maySettle(b *scratch, s span, m flat) bool {
	if !c.gather(b, s, m) {
		return false
	}
	_, ok := b.stand([3]float64{s.hx, s.hy, s.ha * c.radius})
	return ok
}

// gather finds the pushes on a range; false when they need not be asked, as nothing
// is allowed in it.
func (c *Case) gather(b *scratch, s span, m flat) bool {
	b.pushes = b.pushes[:0]
	z := squeeze{c: c, b: b, s: s, m: m, need: c.asks()}
	z.rim()
	if !z.corners() {
		return false
	}
	z.posts()
	z.musts()
	if t := s.tilt; t != nil && t.grip != nil {
		b.pushes = append(b.pushes, t.grip.wood)
	}
	return true
}

// slide walks downhill along the limits from an allowed place that scores v, where a
// step along an axis would leave them: to where, in a box round it, what is asked in
// plan is stood and the score falls most, by its slopes; again and again, in ever
// smaller boxes.
func (c *Case) slide(b *scratch, at span, v float64) (span, float64) {
	for h := crammed; h > fineMM*roughly; {
		moved := func(dx, dy, turn float64) span {
			q := at
			q.x, q.y, q.a = at.x+dx, at.y+dy, at.a+turn/c.radius
			return q
		}
		slope := func(dx, dy, turn float64) float64 {
			const far = 0.25
			e := far * h
			return (c.lower(b, moved(e*dx, e*dy, e*turn)) - c.lower(b, moved(-e*dx, -e*dy, -e*turn))) / (2 * e)
		}
		g := [3]float64{slope(1, 0, 0), slope(0, 1, 0), slope(0, 0, 1)}
		box := at
		box.hx, box.hy, box.ha = h, h, h/c.radius
		q, w := at, v
		if c.gather(b, box, c.at(box).Frame().flat(0)) {
			for i := range b.pushes {
				b.pushes[i].spare -= c.radius * box.ha * box.ha // what turns may take, instead of give
			}
			b.pushes = append(b.pushes, push{x: -g[0], y: -g[1], turn: -g[2]})
			falls := &b.pushes[len(b.pushes)-1].spare
			fall := h * (math.Abs(g[0]) + math.Abs(g[1]) + math.Abs(g[2]))
			const steps = 8
			for range steps {
				*falls -= fall
				if to, ok := b.stand([3]float64{h, h, h}); ok {
					q = moved(to[0], to[1], to[2])
				} else {
					*falls += fall
				}
				fall /= 2
			}
			w = c.lower(b, q)
		}
		if w < v-1e-12 && c.passes(c.Settle(c.at(q))) {
			at, v = q, w
		} else {
			h /= 2
		}
	}
	return at, v
}

// squeeze gathers the pushes on a range, whose middle is laid by m.
type squeeze struct {
	c    *Case
	b    *scratch
	s    span
	m    flat
	need rooms
}

// press adds what the place p asks, moving with the body (by = 1) or against it
// (by = −1): from spare on, not to go below 0 by going against n.
func (z *squeeze) press(p geom.Point, n geom.Vec, by, spare float64) {
	w := p.Sub(geom.Pt(z.s.x, z.s.y))
	z.b.pushes = append(z.b.pushes, push{
		x: by * n.X, y: by * n.Y, turn: by * n.Dot(w.Left()) / z.c.radius,
		spare: spare + w.Len()*z.s.ha*z.s.ha/2 + z.s.lean().any + roundOff,
	})
}

// beside is the need seen square to an edge from a to e, of which the nearest place
// is foot, by something d off that moves by up to any; it is not ok when the thing
// may come out beyond the edge, or past its end.
func beside(a, e, foot geom.Point, d, any, need float64) (square float64, ok bool) {
	o := max(0, any-min(foot.Distance(a), foot.Distance(e)))
	if d < touchy || o >= need {
		return 0, false
	}
	need = math.Sqrt(need*need - o*o)
	return need, any < d+need
}

// rim holds the corners of the rim off the slab's edge and the hollows.
func (z *squeeze) rim() {
	c := z.c
	for i := range c.hoops.nodes {
		h := &c.hoops.nodes[i]
		if h.left >= 0 {
			continue
		}
		_, any := z.s.moves(h.farthest)
		middle := z.m.apply(h.centre)
		edge := c.edge.atLeast(middle) < z.need.edge+any+h.radius
		hollow := len(c.deep) > 0 && c.hollow.atLeast(middle) < z.need.hollow+any+h.radius
		for k := h.from; k < h.to && (edge || hollow); k++ {
			p := z.m.apply(c.hoops.at(k))
			if edge {
				z.off(c.edge, p, any, z.need.edge, c.bulges)
			}
			if hollow {
				z.off(c.hollow, p, any, z.need.hollow, false)
			}
		}
	}
}

// off holds a place of the body, which moves by up to any, off the nearest edge of
// a field; bulges tells that it has no hollows in it.
func (z *squeeze) off(f *field, p geom.Point, any, need float64, bulges bool) {
	if f.atLeast(p) >= need+any {
		return
	}
	e, foot, free := f.nearestEdge(p)
	d := p.Distance(foot)
	n := e.b.Sub(e.a).Unit().Left() // the outline is counter-clockwise
	switch {
	case bulges && free || d < touchy: // of the line through the edge
	case free:
		n = p.Sub(foot).Mul(1 / d)
	default:
		n = foot.Sub(p).Mul(1 / d)
	}
	if !free {
		d = -d
	}
	if !bulges {
		var ok bool
		if need, ok = beside(e.a, e.b, foot, d, any, need); !ok {
			return
		}
	}
	z.press(p, n, 1, d-need)
}

// corners holds the corners of hollows off the rim; false when one of them lies
// deeper in the body than the range can move it.
func (z *squeeze) corners() bool {
	c, need := z.c, z.need.hollow
	if need <= 0 || len(c.deep) == 0 {
		return true
	}
	_, most := z.s.moves(c.radius)
	near := c.box.Grow(need + most)
	for _, h := range c.hollow.holes {
		for _, v := range h.ring {
			q := z.m.into(v)
			if !near.Has(q) {
				continue
			}
			_, any := z.s.moves(q.Distance(c.pivot()))
			if c.shape.atMost(q) < -need-any {
				continue
			}
			e, _, inside := c.shape.nearestEdge(q)
			pa, pb := z.m.apply(e.a), z.m.apply(e.b)
			foot := nearestOn(v, pa, pb)
			d := v.Distance(foot)
			if inside {
				if z.s.level() && any < d+need {
					return false
				}
				continue
			}
			if need, ok := beside(pa, pb, foot, d, any, need); ok {
				// It turns about where the pivot has gone, by what goes beyond da
				// times its way there.
				z.press(v, v.Sub(foot).Mul(1/d), -1, d-need+z.s.ha*(1+z.s.ha)*math.Hypot(z.s.hx, z.s.hy))
			}
		}
	}
	return true
}

// posts holds posts and screws off their nearest glue lines.
func (z *squeeze) posts() {
	for _, k := range z.c.Body.KeepFromGlue {
		p := z.m.apply(k.At)
		d, i := z.c.glueDistance(p)
		if i < 0 {
			return
		}
		g := z.c.lines[i]
		foot := nearestOn(p, g.A, g.B)
		_, any := z.s.moves(k.At.Distance(z.c.pivot()))
		if need, ok := beside(g.A, g.B, foot, d, any, z.c.Need.GlueLine+k.Radius); ok {
			z.press(p, p.Sub(foot).Mul(1/d), 1, d-need)
		}
	}
}

// musts holds what they speak of within their tolerances.
func (z *squeeze) musts() {
	c, w := z.c, &z.c.Wish
	// A place of the body from which something is off in the direction n.
	both := func(p geom.Point, n geom.Vec, off, tolerance float64) {
		z.press(p, n, 1, tolerance+off)
		z.press(p, n, -1, tolerance-off)
	}
	for _, k := range w.Strips {
		if k.Must {
			y0, y1 := c.Slab.Band(k.Strip)
			for _, u := range []float64{c.box.Min.X, c.box.Max.X} {
				p := z.m.apply(geom.Pt(u, 0))
				both(p, geom.V(0, 1), p.Y-(y0+y1)/2, k.Tolerance)
			}
		}
	}
	for _, k := range w.Through {
		if k.Must { // no nearer to the line's part than to all of it
			p, g := z.m.apply(geom.Pt(k.U, k.V)), c.lines[k.Line]
			n := g.B.Sub(g.A).Unit().Left()
			both(p, n, n.Dot(p.Sub(g.A)), k.Tolerance)
		}
	}
	if k := w.NearX; k != nil && k.Must {
		p := z.m.apply(geom.Pt(0, 0))
		both(p, geom.V(1, 0), p.X-k.Value, k.Tolerance)
	}
	turned := func(by, spare float64) {
		z.b.pushes = append(z.b.pushes, push{turn: by, spare: c.radius*spare + roundOff})
	}
	if k := w.Grain; k != nil && k.Must {
		// Where the range passes neither along the strips nor square to them.
		if a := math.Remainder(z.s.a, math.Pi); math.Abs(a) > z.s.ha && math.Abs(a)+z.s.ha < math.Pi/2 {
			by := math.Copysign(1, a)
			turned(by, math.Abs(a)-(k.Value-k.Tolerance))
			turned(-by, k.Value+k.Tolerance-math.Abs(a))
		}
	}
	if r := w.Angles; r != nil && r[1]-r[0]+2*z.s.ha < math.Pi {
		off := math.Remainder(z.s.a-middle(*r), 2*math.Pi)
		turned(1, (r[1]-r[0])/2+off)
		turned(-1, (r[1]-r[0])/2-off)
	}
}

// nearestOn is the place on the segment a b that is nearest to p.
func nearestOn(p, a, b geom.Point) geom.Point {
	ab := b.Sub(a)
	if n := ab.Dot(ab); n > 0 {
		return a.Add(ab.Mul(max(0, min(1, p.Sub(a).Dot(ab)/n))))
	}
	return a
}

// roundOff is taken for the rounding of the sums, in mm. The direction from a
// place to one nearer than touchy is not used, as too little of it is certain.
const (
	roundOff = 1e-6
	touchy   = 0.01
)

// stand finds a place in the box of half sizes h that stands all pushes, if there is one, by
// adding one push after another (Seidel, Small-dimensional linear programming
// and convex hulls made easy, 1991): a new push that the last place does not stand
// is stood, if at all, somewhere on its own plane, which is the same question with a
// number less.
func (w *scratch) stand(h [3]float64) (at [3]float64, ok bool) {
	for i, p := range w.pushes {
		g := [3]float64{p.x, p.y, p.turn}
		if g[0]*at[0]+g[1]*at[1]+g[2]*at[2]+p.spare >= 0 {
			continue
		}
		// The way with most to say is told by the two others: z = c − a·x − b·y.
		k := 0
		for j := 1; j < 3; j++ {
			if math.Abs(g[j]) > math.Abs(g[k]) {
				k = j
			}
		}
		if math.Abs(g[0])*h[0]+math.Abs(g[1])*h[1]+math.Abs(g[2])*h[2]+p.spare < 0 {
			return at, false
		}
		u, v := (k+1)%3, (k+2)%3
		a, b, c := g[u]/g[k], g[v]/g[k], -p.spare/g[k]
		lines := append(w.lines[:0], line{-a, -b, h[k] + c}, line{a, b, h[k] - c}) // |z| ≤ h
		for _, q := range w.pushes[:i] {
			f := [3]float64{q.x, q.y, q.turn}
			lines = append(lines, line{f[u] - f[k]*a, f[v] - f[k]*b, q.spare + f[k]*c})
		}
		w.lines = lines
		x, y, ok := standOn(lines, h[u], h[v])
		if !ok {
			return at, false
		}
		at[u], at[v], at[k] = x, y, c-a*x-b*y
	}
	return at, true
}

// line asks x·dx + y·dy + spare ≥ 0.
type line struct{ x, y, spare float64 }

// standOn is stand in the plane, |dx| ≤ hx and |dy| ≤ hy.
func standOn(lines []line, hx, hy float64) (dx, dy float64, ok bool) {
	for i, l := range lines {
		if l.x*dx+l.y*dy+l.spare >= -planar {
			continue
		}
		// Along the line: from the foot of the origin, by t in its direction.
		n := l.x*l.x + l.y*l.y
		if n == 0 {
			return 0, 0, false
		}
		ox, oy := -l.spare*l.x/n, -l.spare*l.y/n
		r := math.Sqrt(n)
		tx, ty := -l.y/r, l.x/r
		lo, hi := math.Inf(-1), math.Inf(1)
		cut := func(g, spare float64) { // g·t + spare ≥ 0
			switch {
			case math.Abs(g) < 1e-15:
				if spare < -planar {
					lo, hi = 1, 0
				}
			case g > 0:
				lo = max(lo, -spare/g)
			default:
				hi = min(hi, -spare/g)
			}
		}
		for _, q := range lines[:i] {
			cut(q.x*tx+q.y*ty, q.x*ox+q.y*oy+q.spare)
		}
		cut(tx, ox+hx)
		cut(-tx, hx-ox)
		cut(ty, oy+hy)
		cut(-ty, hy-oy)
		if lo > hi+planar {
			return 0, 0, false
		}
		t := (lo + hi) / 2
		dx, dy = ox+t*tx, oy+t*ty
	}
	return dx, dy, true
}

// planar is taken for rounding in the plane.
const planar = 1e-9
