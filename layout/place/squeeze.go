package place

import (
	"math"

	"slabwright/body/geom"
)

// A push is what one place of the body's rim asks of a placement in a range, off
// its middle by (dx, dy) and turned by da:
//
//	x·dx + y·dy + turn·radius·da + spare ≥ 0
//
// with the radius of the body, so that all three are ways.
type push struct{ x, y, turn, spare float64 }

// maySettle tells whether some placement in the range may give all of the body's
// rim its room at once: true when it cannot tell. A place that alone could find
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
// corner being the one that moves, the other way.
//
// So each corner gives one push. Where no placement of the box of (dx, dy, da)
// stands all of them at once, the range holds nothing.
func (c *Case) maySettle(b *scratch, s span, m flat) bool {
	need := c.asks()
	lean := s.lean().any
	b.pushes = b.pushes[:0]
	// press adds what a place p asks that keeps d from an edge in the direction n,
	// moving with the body (by = 1) or against it (by = −1).
	press := func(p geom.Point, n geom.Vec, by, d, need float64) {
		w := p.Sub(geom.Pt(s.x, s.y))
		b.pushes = append(b.pushes, push{
			x: by * n.X, y: by * n.Y, turn: by * n.Dot(w.Left()) / c.radius,
			spare: d - need + w.Len()*s.ha*s.ha/2 + lean + roundOff,
		})
	}
	// beside is the need seen square to an edge from a to e, of which the place is
	// foot, by something that moves by up to any; it is not ok when the thing may
	// come out beyond the edge, or past its end.
	beside := func(a, e, foot geom.Point, d, any, need float64) (float64, bool) {
		o := max(0, any-min(foot.Distance(a), foot.Distance(e)))
		if d <= 0 || o >= need {
			return 0, false
		}
		need = math.Sqrt(need*need - o*o)
		return need, any < d+need
	}
	ask := func(f *field, p geom.Point, any, need float64, convex bool) {
		if f.atLeast(p) >= need+any {
			return
		}
		e, foot, free := f.nearestEdge(p)
		d := p.Distance(foot)
		n := e.b.Sub(e.a).Unit().Left() // the outline is counter-clockwise
		switch {
		case d > 1e-9 && free:
			n = p.Sub(foot).Mul(1 / d)
		case d > 1e-9:
			n, d = foot.Sub(p).Mul(1/d), -d
		}
		ok := true
		if !convex {
			need, ok = beside(e.a, e.b, foot, d, any, need)
		}
		if ok {
			press(p, n, 1, d, need)
		}
	}
	for i := range c.hoops.nodes {
		h := &c.hoops.nodes[i]
		if h.left >= 0 {
			continue
		}
		_, any := s.moves(h.farthest)
		middle := m.apply(h.centre)
		edge := c.edge.atLeast(middle) < need.edge+any+h.radius
		hollow := len(c.deep) > 0 && c.hollow.atLeast(middle) < need.hollow+any+h.radius
		for k := h.from; k < h.to && (edge || hollow); k++ {
			p := m.apply(c.hoops.at(k))
			if edge {
				ask(c.edge, p, any, need.edge, c.bulges)
			}
			if hollow {
				ask(c.hollow, p, any, need.hollow, false)
			}
		}
	}
	if need.hollow > 0 {
		_, most := s.moves(c.radius)
		near := c.box.Grow(need.hollow + most)
		for _, h := range c.hollow.holes {
			for _, v := range h.ring {
				q := m.into(v)
				if !near.Has(q) {
					continue
				}
				_, any := s.moves(q.Distance(c.pivot()))
				if c.shape.atMost(q) < -need.hollow-any {
					continue
				}
				e, _, inside := c.shape.nearestEdge(q)
				pa, pb := m.apply(e.a), m.apply(e.b)
				foot := nearestOn(v, pa, pb)
				d := v.Distance(foot)
				if inside && s.level() && any < d+need.hollow {
					return false
				}
				if inside || d < 1e-9 {
					continue
				}
				if need, ok := beside(pa, pb, foot, d, any, need.hollow); ok {
					press(v, v.Sub(foot).Mul(1/d), -1, d, need)
				}
			}
		}
	}
	return b.stand([3]float64{s.hx, s.hy, s.ha * c.radius})
}

// nearestOn is the place on the segment a b that is nearest to p.
func nearestOn(p, a, b geom.Point) geom.Point {
	ab := b.Sub(a)
	if n := ab.Dot(ab); n > 0 {
		return a.Add(ab.Mul(max(0, min(1, p.Sub(a).Dot(ab)/n))))
	}
	return a
}

// roundOff is taken for the rounding of the sums, in mm.
const roundOff = 1e-7

// stand tells whether a place in the box of half sizes h stands all pushes, by
// adding one push after another (Seidel, Small-dimensional linear programming
// and convex hulls made easy, 1991): a new push that the last place does not stand
// is stood, if at all, somewhere on its own plane, which is the same question with a
// number less.
func (w *scratch) stand(h [3]float64) bool {
	var at [3]float64
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
			return false
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
			return false
		}
		at[u], at[v], at[k] = x, y, c-a*x-b*y
	}
	return true
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
