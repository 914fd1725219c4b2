package place

import (
	"math"

	"slabwright/body/geom"
)

// Face says which face of the slab becomes the front of the instrument.
type Face string

// The two faces of a slab.
const (
	Top    Face = "top"
	Bottom Face = "bottom"
)

// Placement says where the body lies in the slab. It is the only map from the
// body frame (u, v, w) to the slab frame (x, y, z); both are right-handed.
//
//	Top:    u = ( cos a, sin a, 0)   v = (−sin a,  cos a, 0)   w = +z
//	Bottom: u = ( cos a, sin a, 0)   v = ( sin a, −cos a, 0)   w = −z
//
// Then the body is turned about its own v axis by Pitch, then about its own u
// axis by Roll (right-handed, so that a positive Pitch dips the tail), and its
// origin is put at (X, Y, Height). Lengths are mm, angles radians.
type Placement struct {
	X, Y   float64
	Angle  float64 // a, from +x toward +y
	Height float64 // z of the body's origin: of the finished front plane there
	Pitch  float64
	Roll   float64
	Face   Face
}

// Frame is the body frame seen from the slab frame.
type Frame struct {
	Origin  geom.Point3
	U, V, W geom.Vec3
}

// Frame is where the body's origin and axes lie in the slab.
func (p Placement) Frame() Frame {
	s, c := math.Sincos(p.Angle)
	f := Frame{
		Origin: geom.Point3{X: p.X, Y: p.Y, Z: p.Height},
		U:      geom.Vec3{X: c, Y: s},
		V:      geom.Vec3{X: -s, Y: c},
		W:      geom.Vec3{Z: 1},
	}
	if p.Face == Bottom {
		f.V, f.W = f.V.Mul(-1), f.W.Mul(-1)
	}
	if p.Pitch != 0 {
		s, c := math.Sincos(p.Pitch)
		f.U, f.W = f.U.Mul(c).Sub(f.W.Mul(s)), f.W.Mul(c).Add(f.U.Mul(s))
	}
	if p.Roll != 0 {
		s, c := math.Sincos(p.Roll)
		f.V, f.W = f.V.Mul(c).Add(f.W.Mul(s)), f.W.Mul(c).Sub(f.V.Mul(s))
	}
	return f
}

// Apply is the place in the slab of the body's point (u, v, w).
func (f Frame) Apply(u, v, w float64) geom.Point3 {
	return f.Origin.Add(f.U.Mul(u)).Add(f.V.Mul(v)).Add(f.W.Mul(w))
}

// Into is the inverse of Apply: the body coordinates of a point of the slab.
func (f Frame) Into(p geom.Point3) (u, v, w float64) {
	d := p.Sub(f.Origin)
	return d.Dot(f.U), d.Dot(f.V), d.Dot(f.W)
}

// Project drops a ring of the body that lies at depth w onto the slab's plan,
// counter-clockwise.
func (f Frame) Project(ring geom.Polygon, w float64) geom.Polygon {
	out := make(geom.Polygon, len(ring))
	for i, q := range ring {
		out[i] = f.Apply(q.X, q.Y, w).Plan()
	}
	return out.CCW()
}

// Plan is the map of the plan without tilt, (u, v) to (x, y). It mirrors for
// the bottom face.
func (p Placement) Plan() geom.Rigid {
	s, c := math.Sincos(p.Angle)
	return geom.Rigid{C: c, S: s, T: geom.V(p.X, p.Y), Mirror: p.Face == Bottom}
}

// Level tells whether the body lies flat.
func (p Placement) Level() bool { return p.Pitch == 0 && p.Roll == 0 }
