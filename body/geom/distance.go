package geom

import "math"

// PointSegment is the distance from p to the segment ab, and the nearest
// point on it.
func PointSegment(p, a, b Point) (float64, Point) {
	d := b.Sub(a)
	l := d.Dot(d)
	if l == 0 {
		return p.Distance(a), a
	}
	t := math.Max(0, math.Min(1, p.Sub(a).Dot(d)/l))
	q := a.Lerp(b, t)
	return p.Distance(q), q
}

// SegmentSegment is the distance between two segments, and where on each it
// is found. Crossing segments have distance 0.
func SegmentSegment(a0, a1, b0, b1 Point) (d float64, onA, onB Point) {
	if at, ok := SegmentsMeet(a0, a1, b0, b1); ok {
		return 0, at, at
	}
	d, onB = PointSegment(a0, b0, b1)
	onA = a0
	if e, q := PointSegment(a1, b0, b1); e < d {
		d, onA, onB = e, a1, q
	}
	if e, q := PointSegment(b0, a0, a1); e < d {
		d, onA, onB = e, q, b0
	}
	if e, q := PointSegment(b1, a0, a1); e < d {
		d, onA, onB = e, q, b1
	}
	return d, onA, onB
}

// BoundaryDistance is how far p lies from the nearest edge of the ring, never
// negative, and the nearest point.
func (g Polygon) BoundaryDistance(p Point) (float64, Point) {
	best, at := math.Inf(1), Point{}
	for i, a := range g {
		if d, q := PointSegment(p, a, g[(i+1)%len(g)]); d < best {
			best, at = d, q
		}
	}
	return best, at
}

// Depth is how far p lies inside the ring: the distance to the nearest edge,
// negative when p is outside.
func (g Polygon) Depth(p Point) float64 {
	d, _ := g.BoundaryDistance(p)
	if g.Locate(p) == Outside {
		return -d
	}
	return d
}

// Margin is a signed distance and the place where it was found.
type Margin struct {
	Value float64
	At    Point
}

// Room is how much room g has inside the ring outer: the least Depth in outer
// over all points of g. It is negative when some of g lies outside, and then
// says how far out the farthest corner is. At is the point of g.
//
// Between corners of g the depth can dip only where a corner of outer comes
// near an edge of g, so edges are compared with edges.
func (g Polygon) Room(outer Polygon) Margin {
	m := Margin{Value: math.Inf(1)}
	for _, p := range g {
		if d := outer.Depth(p); d < m.Value {
			m = Margin{d, p}
		}
	}
	if m.Value <= 0 {
		return m
	}
	for i, a := range g {
		b := g[(i+1)%len(g)]
		for j, c := range outer {
			d, at, _ := SegmentSegment(a, b, c, outer[(j+1)%len(outer)])
			if d < m.Value {
				m = Margin{d, at}
			}
		}
	}
	if m.Value <= 0 {
		// Corners are inside yet edges meet: an inward corner of outer pokes
		// into g. It does so as deep as its corners lie in g.
		for _, c := range outer {
			if g.Locate(c) == Inside {
				if d, _ := g.BoundaryDistance(c); -d < m.Value {
					m = Margin{-d, c}
				}
			}
		}
	}
	return m
}

// Gap is the free distance between the regions of two rings: positive when
// apart. When they overlap it is minus the depth of the deepest corner of one
// inside the other (0 when only edges cross). At is on g, or the deepest
// corner.
func (g Polygon) Gap(other Polygon) Margin {
	m := Margin{Value: math.Inf(1)}
	for i, a := range g {
		b := g[(i+1)%len(g)]
		for j, c := range other {
			d, at, _ := SegmentSegment(a, b, c, other[(j+1)%len(other)])
			if d < m.Value {
				m = Margin{d, at}
			}
		}
	}
	deepest := func(a, b Polygon) {
		for _, p := range a {
			if b.Locate(p) == Inside {
				if d, _ := b.BoundaryDistance(p); -d < m.Value {
					m = Margin{-d, p}
				}
			}
		}
	}
	deepest(g, other)
	deepest(other, g)
	return m
}
