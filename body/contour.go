package body

import (
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
)

// contour turns a carved surface into the drop that it gives a face.
func (w *builder) contour(i int) {
	c, b := w.spec.Contours[i], w.b
	field := fmt.Sprintf("contours[%d]", i)
	if c.Name == "" {
		c.Name = string(c.Kind)
	}
	w.place(field+".at", c.At)
	s := Shaping{Name: c.Name, Kind: c.Kind, Face: Front, Ring: b.Ring, Line: geom.HalfPlane{At: c.At, Along: c.Along}}
	depth, reach := 12.0, 60.0
	switch c.Kind {
	case ForearmBevel:
	case BellyCut:
		s.Face, depth, reach = Back, 10, 50
	case ArchedTop:
		s.Line.Along = geom.V(1, 0)
		ra := w.size(field+".radius along", c.RadiusAlong, 0, 100, 1e6)
		rc := w.size(field+".radius across", c.RadiusAcross, 0, 100, 1e6)
		if ra == 0 && rc == 0 {
			w.fail(field, "an arched top without a radius is flat", "give a radius along, across, or both")
			return
		}
		if ra > 0 {
			s.Along = 1 / (2 * ra)
		}
		if rc > 0 {
			s.Across = 1 / (2 * rc)
		}
		w.shaped(field, s)
		return
	default:
		w.fail(field+".kind", fmt.Sprintf("%q", c.Kind), "use %q, %q or %q", ForearmBevel, BellyCut, ArchedTop)
		return
	}
	if l := c.Along.Len(); !(l > 0 && l < 1e9) {
		w.fail(field+".along", "it has no direction", "give the direction of the line from which the surface falls to the left")
		return
	}
	s.Line.Along = c.Along.Unit()
	depth = w.size(field+".depth", c.Depth, depth, 0.1, b.Thickness)
	reach = w.size(field+".reach", c.Reach, reach, 1, 1000)
	if c.Hollow {
		s.Curve = depth / (reach * reach)
	} else {
		s.Slope = depth / reach
	}
	if s.Ring = b.Ring.Clipped(s.Line); s.Ring == nil {
		w.fail(field, "no wood lies on the left of its line", "move the line, or turn it about")
		return
	}
	b.Marks = append(b.Marks, Mark{c.Name, ContourLine, Line{c.At.Add(c.Along.Unit().Mul(-200)), c.At.Add(c.Along.Unit().Mul(200))}})
	w.shaped(field, s)
}

// shaped refuses a surface that would leave no wood at the outline.
func (w *builder) shaped(field string, s Shaping) {
	for _, p := range s.Ring {
		if d := s.Drop(p); d > w.b.Thickness-1 {
			w.fail(field, fmt.Sprintf("it falls %s at %s, through a body of %s", w.b.length(d), w.b.place(p), w.b.length(w.b.Thickness)), "make it shallower, or move it outward")
			return
		}
	}
	s.box = s.Ring.Bounds()
	w.b.Shaped = append(w.b.Shaped, s)
}

func (w *builder) edges() {
	e, t := w.spec.Edges, w.b.Thickness
	front, back := 0.0, 0.0
	for _, f := range []struct {
		name string
		v    float64
		sum  *float64
	}{{"front radius", e.FrontRadius, &front}, {"front chamfer", e.FrontChamfer, &front}, {"back radius", e.BackRadius, &back}, {"back chamfer", e.BackChamfer, &back}} {
		if !(f.v >= 0 && f.v <= t/2) {
			w.fail("edges."+f.name, w.b.length(f.v), "give 0 to half the thickness, %s", w.b.length(t/2))
		}
		if f.v > 0 && *f.sum > 0 {
			w.fail("edges."+f.name, "this edge has a radius and a chamfer", "give one of them")
		}
		*f.sum += f.v
	}
	w.b.Edges = e
}

// Faces are the heights of the finished front and back at p, with contours and
// edge treatments but without cavities: between them lies what the slab must
// give. Outside the outline they mean nothing.
func (b *Body) Faces(p geom.Point) (front, back float64) {
	d := 0.0
	if reach := math.Max(b.Edges.reach(Front), b.Edges.reach(Back)); reach > 0 {
		d, _ = b.side.distance(p, reach)
	}
	front = -b.Drop(Front, p, d)
	return front, math.Min(front, b.Drop(Back, p, d)-b.Thickness)
}

// CarvedDepth is the least and the greatest depth of a cavity under its face as
// contours leave it; both 0 where they do not lower the face. A least depth
// below 0 says that the carving takes all of it there.
func (b *Body) CarvedDepth(f Feature) (least, most float64) {
	if !slices.ContainsFunc(b.Shaped, func(s Shaping) bool { return s.Face == f.Face }) {
		return 0, 0
	}
	least, most = math.Inf(1), math.Inf(-1)
	places, mid := f.Ring, f.Ring.Moments().Centroid()
	for _, s := range b.Shaped { // where an arch may be highest
		if s.Kind != ArchedTop {
			continue
		}
		for _, p := range []geom.Point{s.Line.At, {X: mid.X, Y: s.Line.At.Y}, {X: s.Line.At.X, Y: mid.Y}} {
			if f.Ring.Locate(p) != geom.Outside {
				places = append(places[:len(places):len(places)], p)
			}
		}
	}
	carved := false
	for _, p := range places {
		if f.CutsEdge && b.Ring.Locate(p) == geom.Outside {
			continue
		}
		drop := b.fallen(f.Face, p)
		carved = carved || drop > 0
		depth := -f.Floor(p.X) - drop
		if f.Face == Back {
			depth = f.WTop + b.Thickness - drop
		}
		least, most = math.Min(least, depth), math.Max(most, depth)
	}
	if !carved {
		return 0, 0
	}
	return least, most
}

// sunk is how deep an edge treatment cuts at distance d from the side.
func sunk(d, radius, chamfer float64) float64 {
	switch {
	case radius > 0 && d < radius:
		return radius - math.Sqrt(2*radius*d-d*d)
	case chamfer > 0 && d < chamfer:
		return chamfer - d
	}
	return 0
}
