package geom

import "math"

// Point is a place in the plane, in mm.
type Point struct{ X, Y float64 }

// Vec is a displacement in the plane, in mm.
type Vec struct{ X, Y float64 }

// Pt and V are short for Point{x, y} and Vec{x, y}.
func Pt(x, y float64) Point { return Point{x, y} }

// V makes the displacement (x, y).
func V(x, y float64) Vec { return Vec{x, y} }

// Polar is the displacement of length r in direction angle.
func Polar(r, angle float64) Vec {
	s, c := math.Sincos(angle)
	return Vec{r * c, r * s}
}

// Add moves p by v.
func (p Point) Add(v Vec) Point { return Point{p.X + v.X, p.Y + v.Y} }

// Sub is the displacement that leads from q to p.
func (p Point) Sub(q Point) Vec { return Vec{p.X - q.X, p.Y - q.Y} }

// Distance is the length of the straight line from p to q.
func (p Point) Distance(q Point) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }

// Lerp is p at t = 0, q at t = 1, and on the line through both elsewhere.
func (p Point) Lerp(q Point, t float64) Point {
	return Point{p.X + (q.X-p.X)*t, p.Y + (q.Y-p.Y)*t}
}

// Finite tells whether both coordinates are ordinary numbers.
func (p Point) Finite() bool {
	return !math.IsNaN(p.X+p.Y) && !math.IsInf(p.X, 0) && !math.IsInf(p.Y, 0)
}

// Add and Sub chain displacements.
func (v Vec) Add(w Vec) Vec { return Vec{v.X + w.X, v.Y + w.Y} }

// Sub is v followed by w backwards.
func (v Vec) Sub(w Vec) Vec { return Vec{v.X - w.X, v.Y - w.Y} }

// Mul is v made k times as long.
func (v Vec) Mul(k float64) Vec { return Vec{k * v.X, k * v.Y} }

// Neg is v turned about.
func (v Vec) Neg() Vec { return Vec{-v.X, -v.Y} }

// Dot is |v||w| times the cosine of the angle between them.
func (v Vec) Dot(w Vec) float64 { return v.X*w.X + v.Y*w.Y }

// Cross is |v||w| times the sine of the angle from v to w: positive when w
// points to the left of v.
func (v Vec) Cross(w Vec) float64 { return v.X*w.Y - v.Y*w.X }

// Len is the length of v.
func (v Vec) Len() float64 { return math.Hypot(v.X, v.Y) }

// Unit is v made 1 mm long; the zero Vec stays zero.
func (v Vec) Unit() Vec {
	l := v.Len()
	if l == 0 {
		return Vec{}
	}
	return Vec{v.X / l, v.Y / l}
}

// Left is v turned a quarter to the left.
func (v Vec) Left() Vec { return Vec{-v.Y, v.X} }

// Angle is the direction of v, in (−π, π].
func (v Vec) Angle() float64 { return math.Atan2(v.Y, v.X) }

// Point3 is a place in space, in mm.
type Point3 struct{ X, Y, Z float64 }

// Vec3 is a displacement in space, in mm.
type Vec3 struct{ X, Y, Z float64 }

// Add moves p by v.
func (p Point3) Add(v Vec3) Point3 { return Point3{p.X + v.X, p.Y + v.Y, p.Z + v.Z} }

// Sub is the displacement that leads from q to p.
func (p Point3) Sub(q Point3) Vec3 { return Vec3{p.X - q.X, p.Y - q.Y, p.Z - q.Z} }

// Plan drops z: the place seen from above.
func (p Point3) Plan() Point { return Point{p.X, p.Y} }

// Distance is the length of the straight line from p to q.
func (p Point3) Distance(q Point3) float64 { return p.Sub(q).Len() }

// Add chains displacements.
func (v Vec3) Add(w Vec3) Vec3 { return Vec3{v.X + w.X, v.Y + w.Y, v.Z + w.Z} }

// Sub is v followed by w backwards.
func (v Vec3) Sub(w Vec3) Vec3 { return Vec3{v.X - w.X, v.Y - w.Y, v.Z - w.Z} }

// Mul is v made k times as long.
func (v Vec3) Mul(k float64) Vec3 { return Vec3{k * v.X, k * v.Y, k * v.Z} }

// Dot is |v||w| times the cosine of the angle between them.
func (v Vec3) Dot(w Vec3) float64 { return v.X*w.X + v.Y*w.Y + v.Z*w.Z }

// Cross is at right angles to both, by the right-hand rule.
func (v Vec3) Cross(w Vec3) Vec3 {
	return Vec3{v.Y*w.Z - v.Z*w.Y, v.Z*w.X - v.X*w.Z, v.X*w.Y - v.Y*w.X}
}

// Len is the length of v.
func (v Vec3) Len() float64 { return math.Sqrt(v.Dot(v)) }

// Unit is v made 1 mm long; the zero Vec3 stays zero.
func (v Vec3) Unit() Vec3 {
	l := v.Len()
	if l == 0 {
		return Vec3{}
	}
	return v.Mul(1 / l)
}
