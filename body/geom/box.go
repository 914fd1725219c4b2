package geom

import "math"

// Box is an axis-parallel rectangle, edges included. The zero Box holds the
// origin alone; EmptyBox holds nothing.
type Box struct{ Min, Max Point }

// EmptyBox holds nothing and grows by Include.
func EmptyBox() Box {
	inf := math.Inf(1)
	return Box{Point{inf, inf}, Point{-inf, -inf}}
}

// Bounds is the smallest Box round the points.
func Bounds(points ...Point) Box {
	b := EmptyBox()
	for _, p := range points {
		b = b.Include(p)
	}
	return b
}

// Include is the smallest Box that holds b and p.
func (b Box) Include(p Point) Box {
	return Box{
		Point{math.Min(b.Min.X, p.X), math.Min(b.Min.Y, p.Y)},
		Point{math.Max(b.Max.X, p.X), math.Max(b.Max.Y, p.Y)},
	}
}

// Union is the smallest Box that holds both.
func (b Box) Union(c Box) Box { return b.Include(c.Min).Include(c.Max) }

// Grow moves every side out by d (in, when d is negative).
func (b Box) Grow(d float64) Box {
	return Box{Point{b.Min.X - d, b.Min.Y - d}, Point{b.Max.X + d, b.Max.Y + d}}
}

// Empty tells whether b holds no point.
func (b Box) Empty() bool { return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y }

// Meets tells whether the boxes share a point.
func (b Box) Meets(c Box) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X && b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y
}

// Has tells whether p lies in b or on its edge.
func (b Box) Has(p Point) bool {
	return b.Min.X <= p.X && p.X <= b.Max.X && b.Min.Y <= p.Y && p.Y <= b.Max.Y
}

// Width is the size along x, Height along y.
func (b Box) Width() float64 { return b.Max.X - b.Min.X }

// Height is the size along y.
func (b Box) Height() float64 { return b.Max.Y - b.Min.Y }

// Centre is the middle of b.
func (b Box) Centre() Point { return b.Min.Lerp(b.Max, 0.5) }

// Polygon is b's outline, counter-clockwise.
func (b Box) Polygon() Polygon {
	return Polygon{b.Min, {b.Max.X, b.Min.Y}, b.Max, {b.Min.X, b.Max.Y}}
}
