package slab

import (
	"math"
	"slices"
	"strings"

	"slabwright/body/geom"
	"slabwright/layout/wood"
)

// species is the wood of p; pieces have passed Check, so it is in the table.
func species(p Piece) wood.Species {
	s, err := wood.Find(p.Wood)
	if err != nil {
		panic("slab: a piece that has not passed Check: " + err.Error())
	}
	return s
}

// Colour is the piece's own colour or its species', "#rrggbb".
func (s *Slab) Colour(p Piece) string {
	if p.Colour != "" {
		return strings.ToLower(p.Colour)
	}
	return species(p).Colour
}

// moisture is the piece's moisture in percent, 12 where none is given.
func (p Piece) moisture() float64 {
	if p.Moisture > 0 {
		return p.Moisture
	}
	return 12
}

// Density is the piece's density in kg/m³: as weighed, or the species' at the
// piece's moisture (12 % where none is given, 1000·sg12·1.12).
func (s *Slab) Density(p Piece) float64 {
	if p.Density > 0 {
		return p.Density
	}
	return species(p).Density(p.moisture())
}

// Moisture is a piece's moisture content in percent, at which Density holds.
func (s *Slab) Moisture(p Piece) float64 { return p.moisture() }

// Obstacles are the cut chambers, all fasteners (left in or not: a hole stays),
// the flaws and the fittings that forbid the instrument. Each region contains the
// real thing, and so do its heights: the roof of a chamber is taken as high as it gets
// anywhere over it. The parts of one thing stand together, its first part first.
func (s *Slab) Obstacles() []Obstacle {
	var list []Obstacle
	for i, c := range s.Chambers {
		if c.State != Cut {
			continue
		}
		y0, y1 := s.Band(c.Strip)
		_, top, _, _ := Spline(s.Profile.Top).Range(c.From, c.To)
		bottom, _, _, _ := Spline(s.Profile.Bottom).Range(c.From, c.To)
		// The roof lies square under the face, so at least a skin below it.
		list = append(list, Obstacle{
			Name: s.chamberName(i), Kind: "chamber",
			Region: geom.Convex{geom.Pt(c.From, y0), geom.Pt(c.To, y0), geom.Pt(c.To, y1), geom.Pt(c.From, y1)},
			Bottom: bottom + c.BottomSkin, Top: top - c.TopSkin,
		})
	}
	for i, f := range s.Fasteners {
		name := fastenerName(f, i)
		list = append(list, rod(name, f.At, f.Direction, f.Length, f.Shank))
		part := func(name string, length, diameter float64) {
			o := rod(name, f.At, f.Direction, length, diameter)
			o.Part = list[len(list)-1].Part + 1
			list = append(list, o)
		}
		if f.Pilot > 0 {
			depth := max(f.PilotDepth, 0)
			if f.PilotDepth == 0 {
				depth = f.Length
			}
			part(name+" (pilot hole)", depth, f.Pilot)
		}
		if f.Head > 0 {
			// A countersunk head is half as high as it is wide (90°,
			// ISO 7721); a cylinder of that height contains it.
			part(name+" (head)", f.Head/2, f.Head)
		}
	}
	for i, f := range s.Flaws {
		o := Obstacle{Name: flawName(f, i), Kind: "flaw", Bottom: f.From, Top: f.To}
		if len(f.Ring) > 0 {
			o.Region = hull(f.Ring)
		} else {
			o.Region = geom.Convex(around(f.At, f.Radius))
		}
		if f.To <= f.From {
			o.WholeThrough = true
			_, o.Top, _, _ = Spline(s.Profile.Top).Range(0, s.Length)
			o.Bottom, _, _, _ = Spline(s.Profile.Bottom).Range(0, s.Length)
		}
		list = append(list, o)
	}
	for i, f := range s.Fittings {
		if !f.Forbids {
			continue
		}
		o := Obstacle{Name: fittingName(f, i), Kind: "fitting", Region: hull(f.ring()), WholeThrough: true}
		_, o.Top, _, _ = Spline(s.Profile.Top).Range(0, s.Length)
		o.Bottom, _, _, _ = Spline(s.Profile.Bottom).Range(0, s.Length)
		list = append(list, o)
	}
	return list
}

// ring is where the fitting keeps wood solid.
func (f Fitting) ring() geom.Polygon {
	if len(f.Ring) > 0 {
		return f.Ring
	}
	return around(f.At, f.Radius)
}

// around is a ring of 16 corners that contains the circle.
func around(c geom.Point, r float64) geom.Polygon {
	return geom.Regular(c, r/math.Cos(math.Pi/16), 16)
}

// rod is the obstacle of a round bar that starts at a point: seen from above
// the hull of the discs round its ends, which contains the bar's shadow at any
// slant. An upright bar is a disc.
func rod(name string, at geom.Point3, direction geom.Vec3, length, diameter float64) Obstacle {
	end := at.Add(direction.Mul(length))
	r := diameter / 2
	o := Obstacle{Name: name, Kind: "fastener"}
	o.Region = hull(append(around(at.Plan(), r), around(end.Plan(), r)...))
	tilt := r * math.Hypot(direction.X, direction.Y) // of the end discs' rims
	o.Bottom = min(at.Z, end.Z) - tilt
	o.Top = max(at.Z, end.Z) + tilt
	return o
}

// hull is the smallest convex ring round the points, counter-clockwise
// (A. M. Andrew, Another efficient algorithm for convex hulls in two
// dimensions, Information Processing Letters 9, 1979).
func hull(points geom.Polygon) geom.Convex {
	ps := slices.Clone(points)
	slices.SortFunc(ps, func(a, b geom.Point) int {
		switch {
		case a.X < b.X || a.X == b.X && a.Y < b.Y:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	ps = slices.Compact(ps)
	if len(ps) < 3 {
		return geom.Convex(ps)
	}
	var ring geom.Convex
	half := func(ps geom.Polygon) {
		first := len(ring)
		for _, p := range ps {
			for len(ring) >= first+2 && ring[len(ring)-1].Sub(ring[len(ring)-2]).Cross(p.Sub(ring[len(ring)-2])) <= 0 {
				ring = ring[:len(ring)-1]
			}
			ring = append(ring, p)
		}
		ring = ring[:len(ring)-1] // the last is the first of the other half
	}
	half(ps)
	slices.Reverse(ps)
	half(ps)
	return ring
}
