package sheet

import (
	"slabwright/body/geom"
)

// Side is the slab from the side with the placed body in it, without words:
// the page's picture of a placement's height. The frame is that of SlabSide.
// The body is drawn as long as its footprint; where it is tilted, its faces
// are drawn between their ends.
func (o Overlay) Side() Scene {
	all := SlabSide(o.Slab, o.Unit)
	s := Scene{Name: "placement from the side", Frame: all.Frame}
	for _, it := range all.Items {
		if it.Layer != Note {
			s.Add(it)
		}
	}
	f := o.Placement.Frame()
	face := func(w float64) (from, to geom.Point) {
		for i, q := range o.Body.Ring {
			a := f.Apply(q.X, q.Y, w)
			p := geom.Point{X: a.X, Y: a.Z}
			if i == 0 || p.X < from.X {
				from = p
			}
			if i == 0 || p.X > to.X {
				to = p
			}
		}
		return from, to
	}
	a, b := face(0)
	c, d := face(-o.Body.Thickness)
	s.Add(Item{Layer: Body, Shape: Ring(geom.Polygon{c, d, b, a}), Stroke: pen(colourCut, penStrong), Fill: Fill{Colour: colourCut, Opacity: 0.12}, ID: "body-side", Class: "body", Title: "body"})
	front := Line(Body, pen(colourCut, penBold), a, b)
	front.ID, front.Class, front.Title = "body-front", "body front", "front of the body"
	s.Add(front)
	return s
}
