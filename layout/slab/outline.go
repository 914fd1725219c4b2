package slab

import (
	"math"

	"slabwright/body/geom"
)

// Outline is the slab's plan, a closed counter-clockwise path.
//
// Stations are joined by the Spline (its doc says which and why it does not
// wiggle), mirrored in the centreline. An end whose half-breadth is 0 runs to
// a point, or, where the Plan says it is rounded, meets the centreline square:
// there the half-breadth is a cubic in √(distance from the end), so that the
// end is a smooth nose whose two sides join in tangent and in curvature. An
// end with a half-breadth is closed by a straight line.
//
// Where a Plan has neither stations nor a path the outline is the rectangle
// Length × Width.
func (s *Slab) Outline() geom.Path {
	switch {
	case len(s.Plan.Stations) > 0:
		return s.Plan.outline()
	case len(s.Plan.Path.Curves) > 0:
		if s.Plan.Path.Area() < 0 {
			return s.Plan.Path.Reversed()
		}
		return s.Plan.Path
	}
	w := s.Width() / 2
	return geom.PathOf(geom.Polygon{geom.Pt(0, -w), geom.Pt(s.Length, -w), geom.Pt(s.Length, w), geom.Pt(0, w)})
}

// outline joins the stations: the right side along +x, the end, the left side
// back, the start.
func (p Plan) outline() geom.Path {
	var right []geom.Curve
	for i := 0; i+1 < len(p.Stations); i++ {
		right = append(right, p.side(i))
	}
	path := geom.Path{Closed: true}
	n := len(right)
	if n == 0 {
		return path
	}
	flip := geom.FlipY() // side draws the left side; the right one is its mirror image
	for _, c := range right {
		path.Curves = append(path.Curves, c.Moved(flip))
	}
	if end := right[n-1].P3; end.Y > 0 {
		path.Curves = append(path.Curves, geom.Line(flip.Apply(end), end))
	}
	for i := n - 1; i >= 0; i-- {
		path.Curves = append(path.Curves, right[i].Reversed())
	}
	if start := right[0].P0; start.Y > 0 {
		path.Curves = append(path.Curves, geom.Line(start, flip.Apply(start)))
	}
	return path
}

// side is the left side between stations i and i+1, drawn along +x.
func (p Plan) side(i int) geom.Curve {
	c := Spline(p.Stations).piece(i)
	x0, x1 := c.x, c.x+c.h
	if p.StartRounded && i == 0 {
		return p.nose(c.v1, c.h, c.m1, func(along, y float64) geom.Point { return geom.Pt(x0+along, y) })
	}
	if p.EndRounded && i == len(p.Stations)-2 {
		return p.nose(c.v0, c.h, -c.m0, func(along, y float64) geom.Point { return geom.Pt(x1-along, y) }).Reversed()
	}
	// Limit the slope next to a nose on this side too, so that both agree.
	m0, m1 := c.m0, c.m1
	if p.StartRounded && i == 1 {
		m0 = noseSlope(p.Stations[1].Value, p.Stations[1].X-p.Stations[0].X, m0)
	}
	if p.EndRounded && i == len(p.Stations)-3 {
		n := len(p.Stations)
		m1 = -noseSlope(p.Stations[n-2].Value, p.Stations[n-1].X-p.Stations[n-2].X, -m1)
	}
	a, b := geom.Pt(x0, c.v0), geom.Pt(x1, c.v1)
	return geom.Curve{P0: a, P1: geom.Pt(x0+c.h/3, c.v0+m0*c.h/3), P2: geom.Pt(x1-c.h/3, c.v1-m1*c.h/3), P3: b}
}

// noseSlope limits the slope at the station behind a nose of length h that
// rises to v, so that the nose stays monotone and rounded.
func noseSlope(v, h, m float64) float64 { return min(m, v/h) }

// nose is the curve from the end (along 0, half-breadth 0) to the next
// station (along h, half-breadth v, slope m going inward): with along = q²,
// the half-breadth is a cubic in q. As an odd function of q it is smooth
// through the end; its second derivative there is therefore set to 0:
//
//	dy/dq(0) = (3 v/√h − dy/dq(√h)) / 2, with dy/dq(√h) = 2 √h m
//
// which lies between half and one and a half times v/√h, within Fritsch and
// Carlson's condition. Both along and half-breadth are cubics in q, so the
// nose is a Bézier curve exactly.
func (p Plan) nose(v, h, m float64, at func(along, y float64) geom.Point) geom.Curve {
	m = noseSlope(v, h, m)
	q := math.Sqrt(h)
	d1 := 2 * q * m
	d0 := (3*v/q - d1) / 2
	return geom.Curve{P0: at(0, 0), P1: at(0, d0*q/3), P2: at(h/3, v-d1*q/3), P3: at(h, v)}
}

// HalfBreadthAt is the half-breadth of a plan made of stations, 0 beyond its
// ends; for other plans use Outline.
func (p Plan) HalfBreadthAt(x float64) float64 {
	n := len(p.Stations)
	if n < 2 || x < p.Stations[0].X || x > p.Stations[n-1].X {
		return 0
	}
	i := Spline(p.Stations).find(x)
	c := p.side(i)
	h := c.P3.X - c.P0.X
	t := (x - c.P0.X) / h
	if p.StartRounded && i == 0 {
		t = math.Sqrt(t)
	} else if p.EndRounded && i == n-2 {
		t = 1 - math.Sqrt(1-t)
	}
	return c.At(t).Y
}

// TopAt is the height in mm of the top face at x, without edge rounding.
func (s *Slab) TopAt(x float64) float64 { return Spline(s.Profile.Top).At(x) }

// BottomAt is the height in mm of the bottom face at x, without edge rounding.
func (s *Slab) BottomAt(x float64) float64 { return Spline(s.Profile.Bottom).At(x) }

// HeightRange is the lowest top and the highest bottom over [x0, x1] and where
// they are, exact to rounding.
func (s *Slab) HeightRange(x0, x1 float64) (minTop, maxBottom, xTop, xBottom float64) {
	minTop, _, xTop, _ = Spline(s.Profile.Top).Range(x0, x1)
	_, maxBottom, _, xBottom = Spline(s.Profile.Bottom).Range(x0, x1)
	return minTop, maxBottom, xTop, xBottom
}

// ProfileSlopeBound is what |dz/dx| of top and bottom never exceed.
func (s *Slab) ProfileSlopeBound() (top, bottom float64) {
	return Spline(s.Profile.Top).SlopeBound(), Spline(s.Profile.Bottom).SlopeBound()
}

// TaperedPlan runs straight from one width at the start to another at the end.
func TaperedPlan(length, startWidth, endWidth float64) Plan {
	return Plan{Stations: []Station{{0, startWidth / 2}, {length, endWidth / 2}}}
}

// PointedPlan is widest at x = widest and runs to a point at both ends; halfway
// to a point it has three quarters of the width, as a parabola would.
func PointedPlan(length, width, widest float64) Plan {
	return Plan{Stations: []Station{
		{0, 0}, {widest / 2, 0.75 * width / 2}, {widest, width / 2},
		{(widest + length) / 2, 0.75 * width / 2}, {length, 0},
	}}
}

// RoundedPlan has parallel sides and noses of the given length at both ends.
// Noses of half the length and more meet in the middle.
func RoundedPlan(length, width, nose float64) Plan {
	if 2*nose >= length {
		return Plan{Stations: []Station{{0, 0}, {length / 2, width / 2}, {length, 0}}, StartRounded: true, EndRounded: true}
	}
	return Plan{
		Stations:     []Station{{0, 0}, {nose, width / 2}, {length - nose, width / 2}, {length, 0}},
		StartRounded: true, EndRounded: true,
	}
}
