package place

import (
	"slabwright/body"
	"slabwright/body/geom"
)

// Wood is the slab's wood as the placed body meets it: every patch of one
// wood, in the body frame, with its density in kg/m³. Joints are upright in the
// slab, so in a tilted body they lean: each patch shifts by the same vector for
// every mm of w.
func (c *Case) Wood(p Placement) []body.DensityRegion {
	f := p.Frame()
	m := f.flat(0)
	var lean geom.Vec
	if !p.Level() {
		lean = m.into(m.o).Sub(m.into(f.Apply(0, 0, 1).Plan()))
	}
	var out []body.DensityRegion
	for _, cell := range c.Slab.Cells() {
		ring := make(geom.Polygon, len(cell.Region))
		for i, q := range cell.Region {
			ring[i] = m.into(q)
		}
		out = append(out, body.DensityRegion{
			Name:    c.Slab.StripName(cell.Strip) + ", " + cell.Wood.Wood,
			Ring:    geom.Convex(ring.CCW()),
			KgPerM3: c.Slab.Density(cell.Wood), MoisturePct: c.Slab.Moisture(cell.Wood),
			Lean: lean,
		})
	}
	return out
}

// Reserved is the wood that must stay solid for a placement: the footprints of
// the body's front and back, each grown by the clearance, as rings in plan. What
// contours and edges take off counts as solid here: it carries the body's faces
// while they are planed, and a chamber under a bevel would be cut open by it.
func (c *Case) Reserved(p Placement) []geom.Polygon {
	feet := []geom.Polygon{c.Footprint(p)}
	if !p.Level() {
		feet = append(feet, c.BackFootprint(p))
	}
	var out []geom.Polygon
	for _, f := range feet {
		// A hair more, as Offset is for drawing and may fall short.
		out = append(out, grownRing(f, c.Need.Clearance()+2*Exact))
	}
	return out
}

// grownRing is the ring moved out by d ≥ 0. Holes that a waist closes over are
// filled. Should there be no offset, the box round it is on the safe side.
func grownRing(ring geom.Polygon, d float64) geom.Polygon {
	if grown := geom.Offset(ring, d); len(grown) > 0 {
		return grown[0]
	}
	return ring.Bounds().Grow(d).Polygon()
}
