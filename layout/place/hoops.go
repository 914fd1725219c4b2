package place

import (
	"math"

	"slabwright/body/geom"
)

// hoops is a ring of the body cut into short runs of edges, the runs joined in
// pairs, the pairs in pairs, up to the whole ring, with a circle round each.
// Where the circle is far enough from every edge of the slab nothing inside it
// need be asked, so that a ring of a thousand edges costs a few dozen looks.
type hoops struct {
	ring  geom.Polygon
	nodes []hoop // the root is the last
}

type hoop struct {
	centre      geom.Point
	radius      float64
	from, to    int // edges from … to−1 of the ring
	left, right int // nodes; −1 in a run

	nearest, farthest float64 // from the pivot
}

func newHoops(ring geom.Polygon, pivot geom.Point) *hoops {
	const run = 6
	h := &hoops{ring: ring}
	var build func(from, to int) int
	build = func(from, to int) int {
		n := hoop{from: from, to: to, left: -1, right: -1}
		box := geom.EmptyBox()
		for i := from; i <= to; i++ {
			box = box.Include(h.at(i))
		}
		n.centre = box.Centre()
		n.nearest = math.Inf(1)
		for i := from; i <= to; i++ {
			n.radius = max(n.radius, n.centre.Distance(h.at(i)))
			n.nearest = min(n.nearest, pivot.Distance(h.at(i)))
			n.farthest = max(n.farthest, pivot.Distance(h.at(i)))
		}
		if to-from > run {
			mid := (from + to) / 2
			n.left = build(from, mid)
			n.right = build(mid, to)
		}
		h.nodes = append(h.nodes, n)
		return len(h.nodes) - 1
	}
	if len(ring) > 0 {
		build(0, len(ring))
	}
	return h
}

func (h *hoops) at(i int) geom.Point {
	if i == len(h.ring) {
		i = 0
	}
	return h.ring[i]
}

// clear tells whether the ring, laid in the plan by m, keeps the distance need
// from every edge of the field and lies in its free part.
func (h *hoops) clear(f *field, m flat, need float64) bool {
	return h.clearNode(f, m, need, len(h.nodes)-1)
}

func (h *hoops) clearNode(f *field, m flat, need float64, i int) bool {
	n := &h.nodes[i]
	// A tilted plane seen from above is narrower, never wider: the circle holds.
	c := m.apply(n.centre)
	switch {
	case f.atLeast(c) >= need+n.radius:
		return true
	case f.atMost(c) < need-n.radius:
		return false
	case n.left >= 0:
		return h.clearNode(f, m, need, n.left) && h.clearNode(f, m, need, n.right)
	}
	a := m.apply(h.at(n.from))
	for k := n.from; k < n.to; k++ {
		b := m.apply(h.at(k + 1))
		if f.atLeast(a) < need+reach {
			if f.depth(a) < need {
				return false
			}
			if d, _, _ := f.segment(a, b); d < need {
				return false
			}
		}
		a = b
	}
	return true
}

// mayClear tells whether every corner of the ring may keep the distance need
// somewhere in the span s, whose middle lays the ring by m: true when it
// cannot tell, false when some corner surely cannot.
func (h *hoops) mayClear(f *field, m flat, s span, need float64) bool {
	return h.mayClearNode(f, m, s, need, len(h.nodes)-1)
}

func (h *hoops) mayClearNode(f *field, m flat, s span, need float64, i int) bool {
	n := &h.nodes[i]
	c := m.apply(n.centre)
	_, least := s.moves(n.nearest)
	if f.atLeast(c)-n.radius+least >= need {
		return true
	}
	if _, most := s.moves(n.farthest); f.atMost(c)+n.radius+most < need {
		return false
	}
	if n.left >= 0 {
		return h.mayClearNode(f, m, s, need, n.left) && h.mayClearNode(f, m, s, need, n.right)
	}
	_, most := s.moves(n.farthest)
	for k := n.from; k < n.to; k++ {
		if p := m.apply(h.at(k)); f.atLeast(p)+most < need && f.depth(p)+most < need {
			return false
		}
	}
	return true
}

// allClear tells whether the ring keeps the distance need everywhere in the
// span s, whose middle lays it by m.
func (h *hoops) allClear(f *field, m flat, s span, need float64) bool {
	return h.allClearNode(f, m, s, need, len(h.nodes)-1)
}

func (h *hoops) allClearNode(f *field, m flat, s span, need float64, i int) bool {
	n := &h.nodes[i]
	_, most := s.moves(n.farthest)
	c := m.apply(n.centre)
	switch {
	case f.atLeast(c) >= need+most+n.radius:
		return true
	case f.atMost(c) < need+most-n.radius:
		return false
	case n.left >= 0:
		return h.allClearNode(f, m, s, need, n.left) && h.allClearNode(f, m, s, need, n.right)
	}
	a := m.apply(h.at(n.from))
	for k := n.from; k < n.to; k++ {
		b := m.apply(h.at(k + 1))
		if f.atLeast(a) < need+most+reach {
			if f.depth(a) < need+most {
				return false
			}
			if d, _, _ := f.segment(a, b); d < need+most {
				return false
			}
		}
		a = b
	}
	return true
}

// nearest is the least signed distance from the ring, laid in the plan by m, to
// the edges of the field, where on the ring, and whose edge it is. It is
// negative when a corner of the ring is not free, and 0 when only edges cross.
func (h *hoops) nearest(f *field, m flat) (d float64, at geom.Point, owner int) {
	d, owner = math.Inf(1), -1
	h.nearestNode(f, m, len(h.nodes)-1, &d, &at, &owner)
	return d, at, owner
}

func (h *hoops) nearestNode(f *field, m flat, i int, best *float64, at *geom.Point, owner *int) {
	n := &h.nodes[i]
	if n.left >= 0 {
		l, r := &h.nodes[n.left], &h.nodes[n.right]
		cl, cr := m.apply(l.centre), m.apply(r.centre)
		dl, dr := f.atLeast(cl)-l.radius, f.atLeast(cr)-r.radius
		if min(dl, dr) >= *best {
			return
		}
		if dl < *best {
			dl = f.depth(cl) - l.radius
		}
		if dr < *best {
			dr = f.depth(cr) - r.radius
		}
		first, second, d1, d2 := n.left, n.right, dl, dr
		if dr < dl {
			first, second, d1, d2 = n.right, n.left, dr, dl
		}
		if d1 < *best {
			h.nearestNode(f, m, first, best, at, owner)
		}
		if d2 < *best {
			h.nearestNode(f, m, second, best, at, owner)
		}
		return
	}
	a := m.apply(h.at(n.from))
	for k := n.from; k < n.to; k++ {
		b := m.apply(h.at(k + 1))
		if f.atLeast(a)-reach < *best {
			d := f.depth(a)
			if d-a.Distance(b) >= *best {
				a = b
				continue
			}
			if d < *best && d < 0 {
				_, o, _ := f.segment(a, a)
				*best, *at, *owner = d, a, o
			}
			if d, o, q := f.segment(a, b); d < *best {
				*best, *at, *owner = d, q, o
			}
		}
		a = b
	}
}

// near calls visit for every corner of the ring, laid in the plan by m, that
// may be nearer than reach to an edge of the field or not free.
func (h *hoops) near(f *field, m flat, within float64, visit func(p geom.Point)) {
	var walk func(i int)
	walk = func(i int) {
		n := &h.nodes[i]
		if f.atLeast(m.apply(n.centre)) >= within+n.radius {
			return
		}
		if n.left >= 0 {
			walk(n.left)
			walk(n.right)
			return
		}
		for k := n.from; k < n.to; k++ {
			visit(m.apply(h.at(k)))
		}
	}
	walk(len(h.nodes) - 1)
}
