package geom

import "math"

// Rigid is a movement of the plane that keeps all lengths: first a mirror
// across the x axis (if Mirror), then a turn by the angle whose cosine and
// sine are C and S, then the shift T.
//
//	r(p) = T + [C −S; S C] · (p.X, ±p.Y)
//
// The zero Rigid is not a movement; begin with Identity, Turn, Shift or
// MirrorAcross. Composition: a.Then(b) is first a, then b, so that
// a.Then(b).Apply(p) = b.Apply(a.Apply(p)).
type Rigid struct {
	C, S   float64
	T      Vec
	Mirror bool
}

// Identity leaves everything where it is.
func Identity() Rigid { return Rigid{C: 1} }

// Shift moves by v.
func Shift(v Vec) Rigid { return Rigid{C: 1, T: v} }

// Turn turns about the origin, counter-clockwise for angle > 0.
func Turn(angle float64) Rigid {
	s, c := math.Sincos(angle)
	return Rigid{C: c, S: s}
}

// FlipY mirrors across the x axis.
func FlipY() Rigid { return Rigid{C: 1, Mirror: true} }

// Apply moves the point p.
func (r Rigid) Apply(p Point) Point { return Point{}.Add(r.Turn(Vec{p.X, p.Y})).Add(r.T) }

// Turn moves the displacement v: mirror and turn without the shift.
func (r Rigid) Turn(v Vec) Vec {
	if r.Mirror {
		v.Y = -v.Y
	}
	return Vec{r.C*v.X - r.S*v.Y, r.S*v.X + r.C*v.Y}
}

// Then is first r, then next.
func (r Rigid) Then(next Rigid) Rigid {
	s := r.S
	c := r.C
	if next.Mirror {
		s = -s
	}
	return Rigid{
		C:      next.C*c - next.S*s,
		S:      next.S*c + next.C*s,
		T:      next.Turn(r.T).Add(next.T),
		Mirror: r.Mirror != next.Mirror,
	}
}

// Inverse undoes r.
func (r Rigid) Inverse() Rigid {
	inv := Rigid{C: r.C, S: -r.S, Mirror: r.Mirror}
	if r.Mirror {
		inv.S = r.S // a mirror followed by a turn is its own kind of mirror
	}
	inv.T = inv.Turn(r.T).Neg()
	return inv
}

// Angle is the turn of r, in (−π, π].
func (r Rigid) Angle() float64 { return math.Atan2(r.S, r.C) }
