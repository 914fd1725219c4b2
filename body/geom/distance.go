package geom

import (
	"math"
	"slices"
)

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
// over all points of g, at At. When some of g lies outside it is negative, and
// says how far the one reaches past the other: the farthest of g's corners out
// of outer, of outer's corners into g, and of the middles of the pieces into
// which outer cuts g's edges. 0 means touching from within.
//
// Between corners of g the depth can dip only where a corner of outer comes
// near an edge of g, so edges are compared with edges.
func (g Polygon) Room(outer Polygon) Margin {
	m := g.nearest(outer)
	for _, p := range g {
		if outer.Locate(p) == Outside {
			d, _ := outer.BoundaryDistance(p)
			m = m.least(Margin{-d, p})
		}
	}
	if m.Value > 0 {
		return m
	}
	// Edges meet. Corners alone can miss what sticks out: a slot in outer may
	// run right through g, its tip beyond.
	m = m.least(g.deepest(outer))
	for i, a := range g {
		for _, p := range outer.cutMiddles(a, g[(i+1)%len(g)]) {
			if outer.Locate(p) == Outside {
				d, _ := outer.BoundaryDistance(p)
				m = m.least(Margin{-d, p})
			}
		}
	}
	return m
}

// Gap is the free distance between the regions of two rings: positive when
// apart, with At on g, 0 when they touch. When they overlap it is minus the
// depth, in the other, of the deepest corner or piece of edge of either, at At.
func (g Polygon) Gap(other Polygon) Margin {
	m := g.nearest(other)
	m = m.least(g.deepest(other)).least(other.deepest(g))
	if m.Value != 0 {
		return m
	}
	// Edges meet and no corner lies inside: bars may cross, or the rings may
	// be one and the same.
	for _, two := range [][2]Polygon{{g, other}, {other, g}} {
		for i, a := range two[0] {
			for _, p := range two[1].cutMiddles(a, two[0][(i+1)%len(two[0])]) {
				if two[1].Locate(p) == Inside {
					d, _ := two[1].BoundaryDistance(p)
					m = m.least(Margin{-d, p})
				}
			}
		}
	}
	if p, ok := g.within(); ok && m.Value == 0 && other.Locate(p) == Inside {
		d, _ := other.BoundaryDistance(p)
		m = Margin{-d, p}
	}
	return m
}

// least is the smaller of two margins, the first when equal.
func (m Margin) least(n Margin) Margin {
	if n.Value < m.Value {
		return n
	}
	return m
}

// nearest is the distance between the edges of two rings, at its place on g.
// Pairs whose boxes are farther apart than the best so far are passed over.
func (g Polygon) nearest(other Polygon) Margin {
	m := Margin{Value: math.Inf(1)}
	for i, a := range g {
		b := g[(i+1)%len(g)]
		minX, maxX := min(a.X, b.X)-m.Value, max(a.X, b.X)+m.Value
		minY, maxY := min(a.Y, b.Y)-m.Value, max(a.Y, b.Y)+m.Value
		for j, c := range other {
			var e Point
			if j+1 < len(other) {
				e = other[j+1]
			} else {
				e = other[0]
			}
			if c.X < minX && e.X < minX || c.X > maxX && e.X > maxX || c.Y < minY && e.Y < minY || c.Y > maxY && e.Y > maxY {
				continue
			}
			if d, at, _ := SegmentSegment(a, b, c, e); d < m.Value {
				m = Margin{d, at}
				minX, maxX = min(a.X, b.X)-d, max(a.X, b.X)+d
				minY, maxY = min(a.Y, b.Y)-d, max(a.Y, b.Y)+d
			}
		}
	}
	return m
}

// deepest is minus the depth in g of the corner of other that lies deepest
// inside; +Inf when none does.
func (g Polygon) deepest(other Polygon) Margin {
	m := Margin{Value: math.Inf(1)}
	for _, c := range other {
		if g.Locate(c) == Inside {
			d, _ := g.BoundaryDistance(c)
			m = m.least(Margin{-d, c})
		}
	}
	return m
}

// cutMiddles are the middles of the pieces into which g's edges cut the
// segment ab.
func (g Polygon) cutMiddles(a, b Point) []Point {
	ts := []float64{0, 1}
	d := b.Sub(a)
	l := d.Dot(d)
	for i, c := range g {
		e := g[(i+1)%len(g)]
		at, ok := SegmentsMeet(a, b, c, e)
		if !ok || l == 0 {
			continue
		}
		for _, p := range []Point{at, c, e} { // c and e count when the edges share a stretch; else they do no harm
			ts = append(ts, math.Max(0, math.Min(1, p.Sub(a).Dot(d)/l)))
		}
	}
	slices.Sort(ts)
	ts = slices.Compact(ts)
	out := make([]Point, 0, len(ts))
	for i := 1; i < len(ts); i++ {
		out = append(out, a.Lerp(b, (ts[i-1]+ts[i])/2))
	}
	return out
}

// within is some point inside the ring: halfway along the first stretch of a
// level line that misses all corners. A ring without area has none.
func (g Polygon) within() (Point, bool) {
	ys := make([]float64, len(g))
	for i, p := range g {
		ys[i] = p.Y
	}
	slices.Sort(ys)
	y, widest := 0.0, 0.0
	for i := 1; i < len(ys); i++ {
		if h := ys[i] - ys[i-1]; h > widest {
			y, widest = ys[i-1]+h/2, h
		}
	}
	if widest == 0 {
		return Point{}, false
	}
	var xs []float64
	for i, a := range g {
		if b := g[(i+1)%len(g)]; (a.Y > y) != (b.Y > y) {
			xs = append(xs, a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
		}
	}
	if len(xs) < 2 {
		return Point{}, false
	}
	slices.Sort(xs)
	return Point{(xs[0] + xs[1]) / 2, y}, true
}
