package place

import (
	"math"

	"slabwright/body/geom"
)

// disc is a round part of a body in plan, in the body frame. A body is known to
// be too near to another when one of its discs is.
type disc struct {
	at     geom.Point
	radius float64
}

// discs are round parts of the body's outline, one a corner of it in order: each
// touches the outline there from within, and is about as large as can be.
//
//	 ______
//	|(    )|
//	| (__) |
func (c *Case) discs() []disc {
	out := make([]disc, len(c.front))
	n := len(c.front)
	for i, q := range c.front {
		inward := c.front[(i+1)%n].Sub(c.front[(i+n-1)%n]).Unit().Left()
		at := func(r float64) disc {
			p := q.Add(inward.Mul(r))
			return disc{p, max(0, c.shape.depth(p))}
		}
		lo, hi := 0.0, min(c.box.Width(), c.box.Height())
		for range 16 {
			if r := (lo + hi) / 2; at(r).radius > r-0.01 {
				lo = r
			} else {
				hi = r
			}
		}
		out[i] = disc{at: q}
		if d := at(lo); d.radius > 0 {
			out[i] = d
		}
	}
	return out
}

// throughInto is the map of one body's plane into another's frame, both lying in the
// same plan.
func (m flat) throughInto(n flat) flat {
	o := n.into(m.o)
	r := flat{o: o, u: n.into(m.o.Add(m.u)).Sub(o), v: n.into(m.o.Add(m.v)).Sub(o)}
	r.det = r.u.Cross(r.v)
	return r
}

// outside is how far a place is out of a box; 0 within.
func outside(b geom.Box, p geom.Point) float64 {
	return math.Hypot(max(0, b.Min.X-p.X, p.X-b.Max.X), max(0, b.Min.Y-p.Y, p.Y-b.Max.Y))
}

// apart tells whether two placed bodies keep the distance need in plan, as each
// takes all the wood over and under it.
func apart(a *Case, pa Placement, b *Case, pb Placement, need float64) bool {
	if need+reach < 4*blockStep && pa.Level() && pb.Level() {
		ma, mb := pa.Frame().flat(0), pb.Frame().flat(0)
		return !holds(a, ma, b, mb) && !holds(b, mb, a, ma) &&
			a.hoops.apart(b.shape, b.box, ma.throughInto(mb), need, len(a.hoops.nodes)-1)
	}
	fa, fb := pa.Frame(), pb.Frame()
	sa, sb := a.sweep(fa), b.sweep(fb)
	need = math.Hypot(need, (sa.apart+sb.apart)/2) // see sweep
	for _, w := range sa.planes {
		for _, v := range sb.planes {
			if a.footprint(fa, w).Gap(b.footprint(fb, v)).Value < need {
				return false
			}
		}
	}
	return true
}

// holds tells whether the first corner of body b lies in body a.
func holds(a *Case, ma flat, b *Case, mb flat) bool {
	q := mb.throughInto(ma).apply(b.front[0])
	return a.box.Has(q) && a.shape.depth(q) >= 0
}

// apart tells whether no edge of the ring, laid by m into the frame of the
// body whose inside is f and whose box is given, comes nearer to it than need.
// Need and reach together must be less than f's grid goes beyond the box.
func (h *hoops) apart(f *field, box geom.Box, m flat, need float64, i int) bool {
	n := &h.nodes[i]
	z := m.apply(n.centre)
	if max(outside(box, z), -f.atMost(z)) >= need+n.radius {
		return true
	}
	if f.atLeast(z) > n.radius {
		return false
	}
	if n.left >= 0 {
		return h.apart(f, box, m, need, n.left) && h.apart(f, box, m, need, n.right)
	}
	a := m.apply(h.at(n.from))
	for k := n.from; k < n.to; k++ {
		b := m.apply(h.at(k + 1))
		if outside(box, a) < need+reach {
			d := -f.depth(a)
			if d < need {
				return false
			}
			if d < need+reach {
				if e, _, _ := f.segment(a, b); e < need {
					return false
				}
			}
		}
		a = b
	}
	return true
}

// A stand is where a body may stand in plan: a range of level placements, and
// how far from there a tilt may put any of its points.
type stand struct {
	span
	lean float64
}

// leans bounds how far the tilts of a range put a point of the body's front from
// where a level body in the middle of the range has it.
//
// With pitch p and roll r the front's (u, v) lies at (u cos p + v sin p sin r,
// v cos r), in the directions of the level body's axes, as leaning has it.
func (c *Case) leans(s span) float64 {
	if s.level() {
		return 0
	}
	sp, cp := math.Sincos(s.tilt.pitch)
	sr, cr := math.Sincos(s.tilt.roll)
	u, v := max(math.Abs(c.box.Min.X), math.Abs(c.box.Max.X)), max(math.Abs(c.box.Min.Y), math.Abs(c.box.Max.Y))
	return s.tilt.any + u*(1-cp) + v*(math.Abs(sp*sr)+1-cr)
}

// spot is a disc of a body in a stand: where the middle of the stand puts it, and
// by how much along the slab and across it may lie elsewhere.
type spot struct {
	at     geom.Point
	radius float64
	dx, dy float64
}

// spot lays a disc.
//
// A turn by δ about the pivot moves what lies (rx, ry) from it by
// (cos δ − 1)(rx, ry) + sin δ (−ry, rx). A tilt makes a disc a narrow ellipse, but
// moves none of its points by more than lean, so that it holds a disc smaller by
// that.
func (s stand) spot(m flat, d disc) spot {
	p := spot{at: m.apply(d.at), radius: d.radius - s.lean}
	r := p.at.Sub(geom.Pt(s.x, s.y))
	sin, gone := 1.0, 2.0
	if s.ha < math.Pi/2 {
		sin, gone = math.Sin(s.ha), 1-math.Cos(s.ha)
	}
	p.dx = s.hx + math.Abs(r.X)*gone + math.Abs(r.Y)*sin
	p.dy = s.hy + math.Abs(r.Y)*gone + math.Abs(r.X)*sin
	return p
}

// gap is the most that can be left free between two discs.
func (p spot) gap(q spot) float64 {
	dx, dy := math.Abs(p.at.X-q.at.X)+p.dx+q.dx, math.Abs(p.at.Y-q.at.Y)+p.dy+q.dy
	return math.Sqrt(dx*dx+dy*dy) - p.radius - q.radius
}

// crowd is two bodies and the distance that both keep.
type crowd struct {
	cases [2]*Case
	discs [2][]disc
	need  float64
}

func newCrowd(a, b *Case) crowd {
	return crowd{
		cases: [2]*Case{a, b},
		discs: [2][]disc{a.discs(), b.discs()},
		need:  max(a.Need.Clearance(), b.Need.Clearance()),
	}
}

// closest is the most that can be left free between two bodies wherever each
// lies in its stand, by the two of their discs that tell most, and which these
// are. Less than enough need not be found. Every so many discs are looked at
// first, then those beside the closest.
func (w *crowd) closest(stands [2]stand, enough float64, room *[2][]spot) (free float64, which [2]int) {
	const first = 72
	var m [2]flat
	var every [2]int
	for i, c := range w.cases {
		m[i] = c.at(stands[i].span).Frame().flat(0)
		every[i] = max(1, len(w.discs[i])/first)
		room[i] = room[i][:0]
		for k := 0; k < len(w.discs[i]); k += every[i] {
			room[i] = append(room[i], stands[i].spot(m[i], w.discs[i][k]))
		}
	}
	free = math.Inf(1)
	for i, p := range room[0] {
		for k, q := range room[1] {
			dx, dy := math.Abs(p.at.X-q.at.X)+p.dx+q.dx, math.Abs(p.at.Y-q.at.Y)+p.dy+q.dy
			if far := free + p.radius + q.radius; far > 0 && dx*dx+dy*dy < far*far {
				free, which = p.gap(q), [2]int{i * every[0], k * every[1]}
				if free < enough {
					return free, which
				}
			}
		}
	}
	for range 2 {
		for i := range w.cases {
			n := len(w.discs[i])
			other := stands[1-i].spot(m[1-i], w.discs[1-i][which[1-i]])
			from := which[i]
			for k := from - every[i]; k <= from+every[i]; k++ {
				k := (k + n) % n
				if d := stands[i].spot(m[i], w.discs[i][k]).gap(other); d < free {
					free, which[i] = d, k
				}
			}
		}
	}
	return free, which
}

// between is the most that can be left free between two discs.
func (w *crowd) between(stands [2]stand, which [2]int) float64 {
	var p [2]spot
	for i, c := range w.cases {
		p[i] = stands[i].spot(c.at(stands[i].span).Frame().flat(0), w.discs[i][which[i]])
	}
	return p[0].gap(p[1])
}

// doubt is how much of what may be left free between two discs comes from where
// each body lies in its stand: along the slab, across it and turned.
func (w *crowd) doubt(stands [2]stand, which [2]int) (out [2][3]float64) {
	all := w.between(stands, which)
	for i := range stands {
		s := &stands[i]
		for way, half := range []*float64{&s.hx, &s.hy, &s.ha} {
			was := *half
			*half = 0
			out[i][way] = all - w.between(stands, which)
			*half = was
		}
	}
	return out
}
