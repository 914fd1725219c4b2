package place

import (
	"slabwright/body"
	"slabwright/body/geom"
)

// Wood is the slab's wood as the placed body meets it: every patch of one
// wood, in the body frame, with its density in kg/m³. Joints are upright in the
// slab; of a tilted body the patches are those half way down its thickness.
func (c *Case) Wood(p Placement) []body.DensityRegion {
	m := p.Frame().flat(-c.Body.Thickness / 2)
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
		})
	}
	return out
}

// Reserved is the wood that must stay solid for a placement: the footprints of
// the body's front and back, each grown by the clearance, as rings in plan.
func (c *Case) Reserved(p Placement) []geom.Polygon {
	feet := []geom.Polygon{c.Footprint(p)}
	if !p.Level() {
		feet = append(feet, c.BackFootprint(p))
	}
	var out []geom.Polygon
	for _, f := range feet {
		// The first ring is the outer one; holes that a waist closes over
		// stay solid, too.
		// A hair more, as Offset is for drawing and may fall short.
		if grown := geom.Offset(f, c.Need.Clearance()+2*Exact); len(grown) > 0 {
			f = grown[0]
		}
		out = append(out, f)
	}
	return out
}
