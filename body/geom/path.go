package geom

import (
	"math"
	"slices"
)

// Curve is a cubic Bézier curve from P0 to P3, drawn toward P1 at its start
// and from P2 at its end. A straight line has P1 and P2 on it at the thirds.
type Curve struct{ P0, P1, P2, P3 Point }

// Line is the straight Curve from a to b.
func Line(a, b Point) Curve { return Curve{a, a.Lerp(b, 1.0/3), a.Lerp(b, 2.0/3), b} }

// Straight tells whether c is what Line makes of its ends, within 1e-9 mm, so
// that a line stays one when it is moved.
func (c Curve) Straight() bool {
	l := Line(c.P0, c.P3)
	return c.P1.Distance(l.P1) < 1e-9 && c.P2.Distance(l.P2) < 1e-9
}

// At is the point at parameter t in [0, 1].
func (c Curve) At(t float64) Point {
	s := 1 - t
	a, b, d, e := s*s*s, 3*s*s*t, 3*s*t*t, t*t*t
	return Point{a*c.P0.X + b*c.P1.X + d*c.P2.X + e*c.P3.X, a*c.P0.Y + b*c.P1.Y + d*c.P2.Y + e*c.P3.Y}
}

// Velocity is the derivative of At by t.
func (c Curve) Velocity(t float64) Vec {
	s := 1 - t
	return c.P1.Sub(c.P0).Mul(3 * s * s).Add(c.P2.Sub(c.P1).Mul(6 * s * t)).Add(c.P3.Sub(c.P2).Mul(3 * t * t))
}

// Acceleration is the second derivative of At by t.
func (c Curve) Acceleration(t float64) Vec {
	return c.P2.Sub(c.P1).Sub(c.P1.Sub(c.P0)).Mul(6 * (1 - t)).Add(c.P3.Sub(c.P2).Sub(c.P2.Sub(c.P1)).Mul(6 * t))
}

// Curvature is 1/radius at t, positive where the curve turns left. It is 0
// where the velocity vanishes.
func (c Curve) Curvature(t float64) float64 {
	v := c.Velocity(t)
	l := v.Len()
	if l == 0 {
		return 0
	}
	return v.Cross(c.Acceleration(t)) / (l * l * l)
}

// Split cuts c at t into two (de Casteljau).
func (c Curve) Split(t float64) (Curve, Curve) {
	a, b, d := c.P0.Lerp(c.P1, t), c.P1.Lerp(c.P2, t), c.P2.Lerp(c.P3, t)
	e, f := a.Lerp(b, t), b.Lerp(d, t)
	m := e.Lerp(f, t)
	return Curve{c.P0, a, e, m}, Curve{m, f, d, c.P3}
}

// Reversed is c run the other way.
func (c Curve) Reversed() Curve { return Curve{c.P3, c.P2, c.P1, c.P0} }

// Moved is c moved by r.
func (c Curve) Moved(r Rigid) Curve {
	return Curve{r.Apply(c.P0), r.Apply(c.P1), r.Apply(c.P2), r.Apply(c.P3)}
}

// Area is the signed area between c and the origin, ∮ (x dy − y dx)/2 along
// c, in closed form for a cubic (integrating the Bernstein products).
func (c Curve) Area() float64 {
	w := func(a, b Point) float64 { return a.X*b.Y - a.Y*b.X }
	return (6*w(c.P0, c.P1) + 3*w(c.P0, c.P2) + w(c.P0, c.P3) +
		3*w(c.P1, c.P2) + 3*w(c.P1, c.P3) + 6*w(c.P2, c.P3)) / 20
}

// steps is how many equal parameter steps keep the chords within tol of c:
// the chord over a step h misses a curve by at most h²/8 times the greatest
// second derivative, which for a cubic is reached at an end.
func (c Curve) steps(tol float64) int {
	m := math.Max(c.Acceleration(0).Len(), c.Acceleration(1).Len())
	n := math.Ceil(math.Sqrt(m / (8 * tol)))
	if !(n >= 1) || c.Straight() {
		return 1
	}
	return int(math.Min(n, 1<<16))
}

// Path is a chain of curves, each beginning where the one before ends. A
// Closed path ends where it begins.
type Path struct {
	Curves []Curve
	Closed bool
}

// PathOf is the closed path of straight lines round the ring.
func PathOf(g Polygon) Path {
	p := Path{Closed: true}
	for i, a := range g {
		p.Curves = append(p.Curves, Line(a, g[(i+1)%len(g)]))
	}
	return p
}

// Moved is the path moved by r; a mirrored closed path is run the other way,
// so that the sign of its area stays.
func (p Path) Moved(r Rigid) Path {
	out := Path{Closed: p.Closed, Curves: make([]Curve, len(p.Curves))}
	for i, c := range p.Curves {
		out.Curves[i] = c.Moved(r)
	}
	if r.Mirror && p.Closed {
		return out.Reversed()
	}
	return out
}

// Reversed is the path run the other way.
func (p Path) Reversed() Path {
	out := Path{Closed: p.Closed, Curves: make([]Curve, len(p.Curves))}
	for i, c := range p.Curves {
		out.Curves[len(p.Curves)-1-i] = c.Reversed()
	}
	return out
}

// Area is the enclosed area of a closed path in mm², exact to rounding,
// positive counter-clockwise.
func (p Path) Area() float64 {
	if len(p.Curves) == 0 {
		return 0
	}
	o := Shift(Point{}.Sub(p.Curves[0].P0)) // near the origin digits are kept
	a := 0.0
	for _, c := range p.Curves {
		a += c.Moved(o).Area()
	}
	return a
}

// Length is the length of the path within tol: the mean of chord and control
// lengths brackets each small piece (Gravesen, Adaptive subdivision and the
// length and energy of Bézier curves, 1997).
func (p Path) Length(tol float64) float64 {
	l := 0.0
	for _, c := range p.Curves {
		l += c.length(tol/float64(len(p.Curves)), 32)
	}
	return l
}

func (c Curve) length(tol float64, depth int) float64 {
	chord := c.P0.Distance(c.P3)
	control := c.P0.Distance(c.P1) + c.P1.Distance(c.P2) + c.P2.Distance(c.P3)
	if control-chord <= tol || depth == 0 {
		return (chord + control) / 2
	}
	a, b := c.Split(0.5)
	return a.length(tol/2, depth-1) + b.length(tol/2, depth-1)
}

// Bounds is the smallest box round the path, exact to rounding: extremes lie
// at ends or where one velocity component vanishes.
func (p Path) Bounds() Box {
	b := EmptyBox()
	for _, c := range p.Curves {
		b = b.Include(c.P0).Include(c.P3)
		for _, t := range c.extremes() {
			b = b.Include(c.At(t))
		}
	}
	return b
}

func (c Curve) extremes() []float64 {
	var ts []float64
	solve := func(a, b, d float64) { // a s² + 2 b s t + d t² = 0, s = 1 − t
		qa, qb, qc := a-2*b+d, 2*(b-a), a
		if qa == 0 {
			if qb != 0 {
				ts = append(ts, -qc/qb)
			}
			return
		}
		disc := qb*qb - 4*qa*qc
		if disc < 0 {
			return
		}
		q := -(qb + math.Copysign(math.Sqrt(disc), qb)) / 2
		ts = append(ts, q/qa)
		if q != 0 {
			ts = append(ts, qc/q)
		}
	}
	solve(c.P1.X-c.P0.X, c.P2.X-c.P1.X, c.P3.X-c.P2.X)
	solve(c.P1.Y-c.P0.Y, c.P2.Y-c.P1.Y, c.P3.Y-c.P2.Y)
	return slices.DeleteFunc(ts, func(t float64) bool { return !(t > 0 && t < 1) })
}

// Flatten is a chain of points on the path whose chords stay within tol mm of
// it. A closed path gives a ring; an open one includes both ends.
func (p Path) Flatten(tol float64) []Point {
	var out []Point
	for _, c := range p.Curves {
		n := c.steps(tol)
		for i := 0; i < n; i++ {
			q := c.P0
			if i > 0 {
				q = c.At(float64(i) / float64(n))
			}
			if len(out) == 0 || out[len(out)-1] != q {
				out = append(out, q)
			}
		}
	}
	if n := len(p.Curves); n > 0 {
		if last := p.Curves[n-1].P3; !p.Closed {
			out = append(out, last)
		} else if len(out) > 1 && out[len(out)-1] == out[0] {
			out = out[:len(out)-1]
		}
	}
	return out
}

// Polygon is the ring of a closed path within tol, counter-clockwise.
func (p Path) Polygon(tol float64) Polygon { return Polygon(p.Flatten(tol)).CCW() }

// FlattenOutside is a counter-clockwise ring that contains the closed path and
// stays within tol of it at smooth places (at a sharp outward corner of angle
// a, within tol/(2 sin(a/2)), and never farther than 2 tol). It takes chords
// within tol/2 and moves each out by tol/2. The path must not cross itself;
// where two parts of it run closer together than tol the ring may touch
// itself.
func (p Path) FlattenOutside(tol float64) Polygon { return p.Polygon(tol / 2).mitred(tol / 2) }

// FlattenInside is the same on the inner side: a ring that the path contains.
// Of a path too small to hold one nothing is left.
func (p Path) FlattenInside(tol float64) Polygon { return p.Polygon(tol / 2).mitred(-tol / 2) }

// mitred moves every edge of a counter-clockwise ring out by d (in, when d is
// negative), joining neighbours where they then meet.
//
// On the side where edges grow, corners sharper than a mitre of 4 d allows are
// cut square, which still contains the circle of radius d. On the side where
// they shrink, an edge too short for d turns about; it is dropped and its
// neighbours joined, as long as there are such edges.
//
//	  grows (d > 0)              shrinks (d > 0)
//	---------+                     |  ||
//	-------. |                     |  |'--------
//	       | |                     '--X---------
func (g Polygon) mitred(d float64) Polygon {
	type edge struct {
		at  Point // a point on the edge before it was moved
		dir Vec
	}
	var edges []edge
	for i, a := range g {
		if b := g[(i+1)%len(g)]; a != b {
			edges = append(edges, edge{a, b.Sub(a).Unit()})
		}
	}
	// corner is where the moved edge e passes to the moved edge f.
	corner := func(e, f edge) []Point {
		ne, nf := e.dir.Left().Neg(), f.dir.Left().Neg()
		k, turn := 1+ne.Dot(nf), e.dir.Cross(f.dir)
		p := f.at
		if math.Abs(turn) > 1e-12 { // f.at lies on both, unless an edge between was dropped
			p = e.at.Add(e.dir.Mul(f.at.Sub(e.at).Cross(f.dir) / turn))
			if p.Distance(f.at) < 1e-9 {
				p = f.at
			}
		}
		if k >= 0.125 || turn*d < 0 && k > 1e-9 { // mitre length |d|·√(2/k) ≤ 4 |d|, or shrinking
			return []Point{p.Add(ne.Add(nf).Mul(d / k))}
		}
		past := math.Abs(d)
		return []Point{p.Add(ne.Mul(d)).Add(e.dir.Mul(past)), p.Add(nf.Mul(d)).Add(f.dir.Mul(-past))}
	}
	for len(edges) >= 3 {
		n := len(edges)
		corners := make([][]Point, n) // corners[i] begins edge i
		for i, e := range edges {
			corners[i] = corner(edges[(i+n-1)%n], e)
		}
		worst, length := -1, 0.0
		for i, e := range edges {
			from, to := corners[i][len(corners[i])-1], corners[(i+1)%n][0]
			if l := to.Sub(from).Dot(e.dir); l < length {
				worst, length = i, l
			}
		}
		if worst < 0 {
			out := make(Polygon, 0, n)
			for _, c := range corners {
				out = append(out, c...)
			}
			return out
		}
		edges = slices.Delete(edges, worst, worst+1)
	}
	return nil
}

// Tangents are the directions in which c leaves P0 and arrives at P3, of
// length 1, also where control points lie on the ends. A curve of no length
// has none.
func (c Curve) Tangents() (out, in Vec) {
	for _, p := range []Point{c.P1, c.P2, c.P3} {
		if p != c.P0 {
			out = p.Sub(c.P0).Unit()
			break
		}
	}
	for _, p := range []Point{c.P2, c.P1, c.P0} {
		if p != c.P3 {
			in = c.P3.Sub(p).Unit()
			break
		}
	}
	return out, in
}

// Joints tighter than this are corners. A smaller turn φ between curves comes
// from rounding in drawing programs: a bit of radius r leaves r φ²/8 of wood in
// it, 0.0013 mm for a 25 mm bit.
const cornerAngle = 0.02

// Between two straight lines a turn up to this is taken for facets of a curve.
const facetAngle = 0.35

// TightestInside is the smallest radius of curvature where the outline of a
// closed counter-clockwise path turns inward (to the right), where a router
// bit must fit, with its place. A joint that turns right by more than 0.02 rad
// is a corner of radius 0; but between straight lines a turn of up to 0.35 rad
// is taken for the facets of a curve, with the radius of the circle that
// touches both lines within half of the shorter one. +Inf when the path never
// turns inward. Curvature is sampled at 33 places a curve and refined by golden
// section where a curve comes within 20 % of the sharpest sample.
func (p Path) TightestInside() (radius float64, at Point) {
	const samples = 32
	sharpest := 0.0
	bend, where := make([]float64, len(p.Curves)), make([]float64, len(p.Curves)) // each curve's sharpest sample
	for i, c := range p.Curves {
		if c.Straight() {
			continue
		}
		for s := 0; s <= samples; s++ {
			if k := -c.Curvature(float64(s) / samples); k > bend[i] {
				bend[i], where[i] = k, float64(s)/samples
			}
		}
		sharpest = math.Max(sharpest, bend[i])
	}
	radius = math.Inf(1)
	n := len(p.Curves)
	for i, c := range p.Curves {
		if bend[i] > 0 && bend[i] >= 0.8*sharpest {
			if k, t := c.sharpen(bend[i], where[i], 1.0/samples); 1/k < radius {
				radius, at = 1/k, c.At(t)
			}
		}
		if !p.Closed && i == n-1 {
			continue
		}
		next := p.Curves[(i+1)%n]
		_, v := c.Tangents()
		w, _ := next.Tangents()
		turn := -math.Atan2(v.Cross(w), v.Dot(w))
		facet := math.Inf(1)
		switch l := math.Min(c.P0.Distance(c.P3), next.P0.Distance(next.P3)); {
		case c.Straight() && next.Straight() && turn > 1e-9 && turn <= facetAngle:
			facet = l / 2 / math.Tan(turn/2)
		case turn > cornerAngle:
			facet = 0
		}
		if facet < radius {
			radius, at = facet, c.P3
		}
	}
	return radius, at
}

// sharpen looks for a greater curvature to the right than k at t, within dt of
// it.
func (c Curve) sharpen(k, t, dt float64) (curvature, at float64) {
	right := func(t float64) float64 { return -c.Curvature(t) }
	lo, hi := math.Max(0, t-dt), math.Min(1, t+dt)
	const phi = 0.6180339887498949
	for range 40 {
		a, b := hi-phi*(hi-lo), lo+phi*(hi-lo)
		if right(a) > right(b) {
			hi = b
		} else {
			lo = a
		}
	}
	if m := (lo + hi) / 2; right(m) > k {
		return right(m), m
	}
	return k, t
}
