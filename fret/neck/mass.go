package neck

import (
	"math"

	"slabwright/fret"
)

// Densities is what the neck's parts weigh, given from outside: woods in
// kg/m³ (10⁻⁶ g/mm³ each).
type Densities struct {
	Neck, Board float64
	// RodGrams is the rod's mass; 0: 250 g a metre of its channel, a steel rod
	// with two arms (common practice, from memory; weigh yours).
	RodGrams float64
}

// Mass is a part of the neck: grams, and its centre of gravity in the neck
// frame, w from the board's surface.
type Mass struct {
	Name                 string
	Grams, UMm, VMm, WMm float64
}

func together(name string, parts []Mass) Mass {
	m := Mass{Name: name}
	for _, p := range parts {
		m.Grams += p.Grams
		m.UMm += p.Grams * p.UMm
		m.VMm += p.Grams * p.VMm
		m.WMm += p.Grams * p.WMm
	}
	if m.Grams > 0 {
		m.UMm, m.VMm, m.WMm = m.UMm/m.Grams, m.VMm/m.Grams, m.WMm/m.Grams
	}
	return m
}

// Fret wire is taken as a crown 2.3 mm wide that fills seven tenths of its
// box, on a tang 0.55 mm wide (common practice, no source).
const (
	crownWidthMm = 2.3
	crownFill    = 0.7
	tangWidthMm  = 0.55
	wireDensity  = 8700 // kg/m³, copper with nickel and zinc (from memory)
	rodGramsPerM = 250
)

// Mass is what the bare neck weighs, with fretboard, frets and rod but without
// tuners, nut and strings: whole first, then its parts. Shaft and heel are
// taken section by section (in the pocket the heel is a block as wide as the
// board), the headstock as its outline at its thickness, less nothing for the
// tuners' holes and plus nothing for a volute: about two percent either way.
func (r *Report) Mass(d Densities) (whole Mass, parts []Mass) {
	parts = []Mass{r.shaftMass(d.Neck * 1e-6), r.headMass(d.Neck * 1e-6), r.boardMass(d.Board * 1e-6), r.wireMass(wireDensity * 1e-6)}
	if channel := r.Outline().SideChannel; len(channel) > 0 {
		from, to := channel[0], channel[2]
		grams := d.RodGrams
		if grams == 0 {
			grams = rodGramsPerM * (to.U - from.U) / 1000
		}
		parts = append(parts, Mass{"rod", grams, (from.U + to.U) / 2, 0, (from.W + to.W) / 2})
	}
	return together("neck", parts), parts
}

// MassInBody is the whole of Mass with its place in the body frame.
func (r *Report) MassInBody(d Densities) (grams, u, v, w float64) {
	m, _ := r.Mass(d)
	u, v, w = r.Joint.Seat.Body(m.UMm, m.VMm, m.WMm)
	return m.Grams, u, v, w
}

// TunersInBody is the middle of the tuners in the body frame: that of their
// posts, at half of the headstock's thickness.
func (r *Report) TunersInBody() (u, v, w float64) {
	n := float64(len(r.Head.Posts))
	along, across := 0.0, 0.0
	for _, p := range r.Head.Posts {
		along += p.AlongMm / n
		across += p.VMm / n
	}
	q := r.headFace(along, r.Spec.Blank.HeadThicknessMm/2)
	return r.Joint.Seat.Body(q.U, across, q.W)
}

// areaAndMoments are the section's area, and its first moments: of x, and of
// y (negative, it hangs below the glue line). A quarter of a superellipse with
// half axes a and b, exponent p, has with G = Γ(1 + 1/p)
//
//	area      a b G² / Γ(1 + 2/p)
//	∫ x dA    a² b  I,   ∫ y dA = a b² I,   I = ½ ∫₀¹ (1 − t^p)^(2/p) dt
//	                                          = ½ G Γ(1 + 2/p) / Γ(1 + 3/p)
//
// (Dirichlet's integral; I is the same for both by symmetry.)
func (s Section) areaAndMoments() (area, mx, my float64) {
	q := 1 / s.Fullness
	g1, g2, g3 := math.Gamma(1+q), math.Gamma(1+2*q), math.Gamma(1+3*q)
	unit, first := g1*g1/g2, g1*g2/g3/2
	for _, half := range []float64{s.HalfWidthMm - s.ShiftMm, -(s.HalfWidthMm + s.ShiftMm)} {
		a := math.Abs(half) * s.DepthMm * unit
		area += a
		mx += a*s.ShiftMm + half*math.Abs(half)*s.DepthMm*first
		my -= math.Abs(half) * s.DepthMm * s.DepthMm * first
	}
	return area, mx, my
}

// shaftMass is the wood under the board from nut to heel's end, less the
// rod's channel. density is in g/mm³.
func (r *Report) shaftMass(density float64) Mass {
	shape, board := r.shape(), r.Spec.Board.ThicknessMm
	end, joint := r.Joint.HeelEndFromNutMm, r.Joint.JointFromNutMm
	parts := []Mass{}
	const steps = 200
	slice := func(u, du float64, block bool) {
		area, mx, my := shape.section(u).areaAndMoments()
		if block {
			deep := r.Joint.HeelMm - board
			area, mx = r.Plan.WidthAt(u)*deep, 0
			my = -area * deep / 2
		}
		parts = append(parts, Mass{"", density * area * du, u, mx / area, my/area - board})
	}
	// Midpoints of even steps, on either side of the joint.
	for i := range steps {
		du := joint / steps
		slice((float64(i)+0.5)*du, du, false)
	}
	for i := range steps / 4 {
		du := (end - joint) / (steps / 4)
		slice(joint+(float64(i)+0.5)*du, du, true)
	}
	if c := r.Outline().SideChannel; len(c) > 0 {
		w := r.Spec.Beam.ChannelWidthMm
		parts = append(parts, Mass{"", -density * w * (c[2].U - c[0].U) * (c[0].W - c[2].W), (c[0].U + c[2].U) / 2, 0, (c[0].W + c[2].W) / 2})
	}
	return together("shaft and heel", parts)
}

// headMass is the headstock's outline, laid flat, at its thickness.
func (r *Report) headMass(density float64) Mass {
	area, u, v := centroid(r.Outline().HeadFace)
	q := r.headFace(-u, r.Spec.Blank.HeadThicknessMm/2)
	return Mass{"headstock", density * area * r.Spec.Blank.HeadThicknessMm, q.U, v, q.W}
}

// boardMass is the fretboard, rounded by its radius. Across the board a
// circle's drop averages a third of the edge's, to first order. A board with a
// slanted nut or end is its ring in plan at the mean thickness of the slices.
func (r *Report) boardMass(density float64) Mass {
	ring, thick := r.Outline().Board, r.Spec.Board.ThicknessMm
	area, u, v := centroid(ring)
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range ring {
		low, high = math.Min(low, p.U), math.Max(high, p.U)
	}
	const steps = 60
	width, plan, volume, along, moment := 0.0, 0.0, 0.0, 0.0, 0.0
	for i := range steps {
		x := low + (float64(i)+0.5)*(high-low)/steps
		wide := r.Plan.WidthAt(x)
		lost := r.Spec.Board.Drop(x, wide/2, r.Plan.CentreScaleMm) / 3
		width += wide
		plan += wide * x
		along += wide * (thick - lost) * x
		volume += wide * (thick - lost)
		moment -= wide * (thick*thick - lost*lost) / 2
	}
	return Mass{"fretboard", density * area * volume / width, u + along/volume - plan/width, v, moment / volume}
}

// wireMass is the frets, without what is nipped off.
func (r *Report) wireMass(density float64) Mass {
	s := r.Setup.Spec
	crown, tang := crownFill*crownWidthMm*s.CrownMm, tangWidthMm*s.TangMm
	parts := []Mass{}
	for i, slot := range r.Plan.Slots {
		length := r.Setup.Frets[i].WireMm - 2*s.WireOverMm
		parts = append(parts, Mass{"", density * length * (crown + tang),
			(slot.Bass.U + slot.Treble.U) / 2, (slot.Bass.V + slot.Treble.V) / 2,
			(crown*s.CrownMm*0.4-tang*s.TangMm/2)/(crown+tang) - r.Setup.Frets[i].EdgeDropMm/3})
	}
	return together("frets", parts)
}

// centroid of a ring, and its area (shoelace).
func centroid(ring []fret.Point) (area, u, v float64) {
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		cross := p.U*q.V - q.U*p.V
		area += cross / 2
		u += (p.U + q.U) * cross / 6
		v += (p.V + q.V) * cross / 6
	}
	return math.Abs(area), u / area, v / area
}
