package geom

import (
	"cmp"
	"math"
	"slices"
)

// Polygon is a closed ring of points; the last one joins the first and is not
// repeated. Counter-clockwise rings have positive area. Fewer than three
// points enclose nothing.
type Polygon []Point

// Side tells where a point lies with regard to a region.
type Side int

// The three answers.
const (
	Outside Side = iota - 1
	OnEdge
	Inside
)

// Area is the enclosed area in mm², positive for a counter-clockwise ring
// (the shoelace formula, about the first point so that a ring far from the
// origin keeps its digits).
func (g Polygon) Area() float64 {
	if len(g) < 3 {
		return 0
	}
	a := 0.0
	for i := 1; i+1 < len(g); i++ {
		a += g[i].Sub(g[0]).Cross(g[i+1].Sub(g[0]))
	}
	return a / 2
}

// Moments are the integrals of 1, x and y (mm², mm³, mm³) over a region, and
// of x², y² and xy (mm⁴), all signed as the area is.
type Moments struct{ Area, X, Y, XX, YY, XY float64 }

// Add joins the moments of two regions.
func (m Moments) Add(n Moments) Moments {
	return Moments{m.Area + n.Area, m.X + n.X, m.Y + n.Y, m.XX + n.XX, m.YY + n.YY, m.XY + n.XY}
}

// Mul weighs the moments with k.
func (m Moments) Mul(k float64) Moments {
	return Moments{k * m.Area, k * m.X, k * m.Y, k * m.XX, k * m.YY, k * m.XY}
}

// Centroid is the balance point; for no area the origin.
func (m Moments) Centroid() Point {
	if m.Area == 0 {
		return Point{}
	}
	return Point{m.X / m.Area, m.Y / m.Area}
}

// Moments integrates by Green's theorem, as a sum over triangles from the
// first point (whose own offset is put back by the parallel-axis rule).
func (g Polygon) Moments() Moments {
	var m Moments
	if len(g) < 3 {
		return m
	}
	o := g[0]
	for i := 1; i+1 < len(g); i++ {
		a, b := g[i].Sub(o), g[i+1].Sub(o)
		t := a.Cross(b) / 2
		m.Area += t
		m.X += t * (a.X + b.X) / 3
		m.Y += t * (a.Y + b.Y) / 3
		m.XX += t * (a.X*a.X + a.X*b.X + b.X*b.X) / 6
		m.YY += t * (a.Y*a.Y + a.Y*b.Y + b.Y*b.Y) / 6
		m.XY += t * (2*a.X*a.Y + a.X*b.Y + b.X*a.Y + 2*b.X*b.Y) / 12
	}
	return Moments{
		Area: m.Area,
		X:    m.X + o.X*m.Area,
		Y:    m.Y + o.Y*m.Area,
		XX:   m.XX + 2*o.X*m.X + o.X*o.X*m.Area,
		YY:   m.YY + 2*o.Y*m.Y + o.Y*o.Y*m.Area,
		XY:   m.XY + o.X*m.Y + o.Y*m.X + o.X*o.Y*m.Area,
	}
}

// Perimeter is the length of the ring in mm.
func (g Polygon) Perimeter() float64 {
	l := 0.0
	for i, p := range g {
		l += p.Distance(g[(i+1)%len(g)])
	}
	return l
}

// Bounds is the smallest Box round the ring.
func (g Polygon) Bounds() Box { return Bounds(g...) }

// CCW is the ring run counter-clockwise.
func (g Polygon) CCW() Polygon {
	if g.Area() >= 0 {
		return g
	}
	return g.Reversed()
}

// Reversed is the ring run the other way.
func (g Polygon) Reversed() Polygon {
	r := slices.Clone(g)
	slices.Reverse(r)
	return r
}

// Moved is the ring moved by r. A mirrored ring is run the other way, so that
// the sign of the area stays.
func (g Polygon) Moved(r Rigid) Polygon {
	out := make(Polygon, len(g))
	for i, p := range g {
		out[i] = r.Apply(p)
	}
	if r.Mirror {
		slices.Reverse(out)
	}
	return out
}

// Locate tells whether p lies inside, outside or on the ring, by the even-odd
// rule, for a ring of either direction. On the ring means exactly on an edge
// in floating point; use Distance where a tolerance is meant.
func (g Polygon) Locate(p Point) Side {
	in := false
	for i, a := range g {
		b := g[(i+1)%len(g)]
		if a == p {
			return OnEdge
		}
		if (a.Y > p.Y) != (b.Y > p.Y) {
			c := b.Sub(a).Cross(p.Sub(a))
			if c == 0 {
				return OnEdge
			}
			if (c > 0) == (b.Y > a.Y) {
				in = !in
			}
		} else if a.Y == p.Y && b.Y == p.Y && (a.X > p.X) != (b.X > p.X) {
			return OnEdge
		}
	}
	if in {
		return Inside
	}
	return Outside
}

// Crossing is where two edges of rings meet: edge I of the first, edge J of
// the second.
type Crossing struct {
	I, J int
	At   Point
}

// SelfCrossing finds a place where the ring meets itself other than at the
// shared ends of neighbouring edges, the first in order of edge number. A
// neighbour that doubles back on itself counts; a corner given twice running
// does not. NaN coordinates meet nothing: check Finite first.
func (g Polygon) SelfCrossing() (Crossing, bool) {
	type edge struct {
		min, max float64 // along x
		i, k     int     // its number in g, and among the edges that have length
	}
	var edges []edge
	for i, a := range g {
		if b := g[(i+1)%len(g)]; a != b {
			edges = append(edges, edge{math.Min(a.X, b.X), math.Max(a.X, b.X), i, len(edges)})
		}
	}
	n := len(edges)
	slices.SortFunc(edges, func(a, b edge) int {
		return cmp.Or(cmp.Compare(a.min, b.min), cmp.Compare(a.i, b.i))
	})
	best, found := Crossing{I: len(g), J: len(g)}, false
	for s, a := range edges {
		for _, b := range edges[s+1:] {
			if b.min > a.max {
				break
			}
			first, second := a, b
			if first.i > second.i {
				first, second = b, a
			}
			if first.i > best.I || first.i == best.I && second.i >= best.J {
				continue
			}
			var at Point
			var ok bool
			switch {
			case second.k == first.k+1:
				at, ok = g.doublesBack(first.i, second.i)
				if n == 2 && !ok {
					at, ok = g.doublesBack(second.i, first.i)
				}
			case first.k == 0 && second.k == n-1:
				at, ok = g.doublesBack(second.i, first.i)
			default:
				at, ok = SegmentsMeet(g[first.i], g[(first.i+1)%len(g)], g[second.i], g[(second.i+1)%len(g)])
			}
			if ok {
				best, found = Crossing{first.i, second.i, at}, true
			}
		}
	}
	return best, found
}

// doublesBack tells whether edge j, the next with length after edge i, runs
// back over it, and where it turns.
func (g Polygon) doublesBack(i, j int) (Point, bool) {
	on := g[(i+1)%len(g)].Sub(g[i])
	back := g[(j+1)%len(g)].Sub(g[j])
	return g[j], on.Cross(back) == 0 && on.Dot(back) < 0
}

// SegmentsMeet tells whether the closed segments a and b share a point, and
// one that they share.
func SegmentsMeet(a0, a1, b0, b1 Point) (Point, bool) {
	if math.Max(a0.X, a1.X) < math.Min(b0.X, b1.X) || math.Max(b0.X, b1.X) < math.Min(a0.X, a1.X) ||
		math.Max(a0.Y, a1.Y) < math.Min(b0.Y, b1.Y) || math.Max(b0.Y, b1.Y) < math.Min(a0.Y, a1.Y) {
		return Point{}, false
	}
	da, db := a1.Sub(a0), b1.Sub(b0)
	c0, c1 := db.Cross(a0.Sub(b0)), db.Cross(a1.Sub(b0))
	d0, d1 := da.Cross(b0.Sub(a0)), da.Cross(b1.Sub(a0))
	if c0 > 0 && c1 > 0 || c0 < 0 && c1 < 0 || d0 > 0 && d1 > 0 || d0 < 0 && d1 < 0 {
		return Point{}, false
	}
	if c0 == c1 { // parallel, on one line, boxes overlap: an end of one lies on the other
		if da.Dot(da) == 0 {
			return a0, true
		}
		t0, t1 := b0.Sub(a0).Dot(da), b1.Sub(a0).Dot(da)
		switch l := da.Dot(da); {
		case t0 >= 0 && t0 <= l:
			return b0, true
		case t1 >= 0 && t1 <= l:
			return b1, true
		}
		return a0, true
	}
	return a0.Lerp(a1, c0/(c0-c1)), true
}

// HalfPlane is the region on the left of the line through At in direction
// Along, the line included.
type HalfPlane struct {
	At    Point
	Along Vec
}

// Depth is how far p lies inside (negative: outside), times |Along|.
func (h HalfPlane) Depth(p Point) float64 { return h.Along.Cross(p.Sub(h.At)) }

// Clipped keeps the part of the ring in h (Sutherland and Hodgman, Reentrant
// polygon clipping, CACM 17, 1974). Parts that fall apart stay joined along
// the line of h, back and forth, so that area and moments are exact while the
// ring may touch itself. The result is empty when nothing is left.
func (g Polygon) Clipped(h HalfPlane) Polygon { return g.clipInto(nil, h) }

func (g Polygon) clipInto(out Polygon, h HalfPlane) Polygon {
	if len(g) == 0 {
		return out
	}
	prev := g[len(g)-1]
	dp := h.Depth(prev)
	for _, p := range g {
		d := h.Depth(p)
		if (dp < 0) != (d < 0) && dp != 0 && d != 0 {
			out = append(out, prev.Lerp(p, dp/(dp-d)))
		}
		if d >= 0 {
			out = append(out, p)
		}
		prev, dp = p, d
	}
	if len(out) < 3 {
		return nil
	}
	return out
}

// Convex is a counter-clockwise ring without reflex corners.
type Convex Polygon

// Edges are the half planes whose common part is c.
func (c Convex) Edges() []HalfPlane {
	hs := make([]HalfPlane, 0, len(c))
	for i, p := range c {
		if q := c[(i+1)%len(c)]; q != p {
			hs = append(hs, HalfPlane{p, q.Sub(p)})
		}
	}
	return hs
}

// ClippedTo keeps the part of the ring in c, with the caveat of Clipped.
func (g Polygon) ClippedTo(c Convex) Polygon {
	if !g.Bounds().Meets(Polygon(c).Bounds()) {
		return nil
	}
	for i, p := range c {
		q := c[(i+1)%len(c)]
		if q == p {
			continue
		}
		if g = g.Clipped(HalfPlane{p, q.Sub(p)}); g == nil {
			return nil
		}
	}
	return g
}

// Regular is the n-gon round centre whose corners lie at radius r.
func Regular(centre Point, r float64, n int) Polygon {
	g := make(Polygon, n)
	for i := range g {
		g[i] = centre.Add(Polar(r, 2*math.Pi*float64(i)/float64(n)))
	}
	return g
}
