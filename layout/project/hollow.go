package project

import (
	"slices"

	"slabwright/body/geom"
	"slabwright/layout/slab"
)

// Hollowed is the slab with the chambers that [chambers] asks for, planned
// anew round the wood that must stay solid: the rings in plan, such as the
// footprint with its need, and the project's reserved places. Chambers that
// are only planned give way to them, cut ones stay. Without [chambers] it is
// the slab as written.
func (p *Project) Hollowed(solid []geom.Polygon) *slab.Slab {
	if p.Chambers == nil {
		return p.Slab
	}
	solid = p.Solid(solid)
	s := *p.Slab
	s.Chambers = slices.DeleteFunc(slices.Clone(s.Chambers), func(c slab.Chamber) bool { return c.State != slab.Cut })
	s.Chambers = append(s.Chambers, slab.PlanChambers(&s, *p.Chambers, solid)...)
	return &s
}

// Solid is the wood, as rings in plan, that no chamber may meet: what a
// placement asks for and the project's reserved places.
func (p *Project) Solid(placed []geom.Polygon) []geom.Polygon {
	solid := slices.Clip(placed)
	for _, r := range p.Reserved {
		solid = append(solid, r.Ring)
	}
	return solid
}

// ChamberRules are those of [chambers]. Without it they are the defaults, and
// what was drilled in the corners of cut chambers is not known.
func (p *Project) ChamberRules() slab.ChamberRules {
	if p.Chambers != nil {
		return *p.Chambers
	}
	rules := slab.DefaultChamberRules()
	rules.CornerHole = 0
	return rules
}
