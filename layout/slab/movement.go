package slab

import (
	"math"

	"slabwright/layout/wood"
)

// Motion is how the slab moves when its wood comes to another moisture. It
// predicts a mean of many boards and is worth two figures.
type Motion struct {
	TemperatureC float64 `json:"temperature_c"`
	HumidityPct  float64 `json:"humidity_pct"`
	MoisturePct  float64 `json:"moisture_pct"`    // that the wood comes to
	WidthMm      float64 `json:"width_change_mm"` // of the whole stack, positive = wider
	ThickestMm   float64 `json:"thickness_change_mm"`
	InRange      bool    `json:"in_range"` // all moistures within the 6 to 14 % the coefficients are given for

	Pieces []PieceMotion `json:"pieces"`
	Steps  []Step        `json:"steps"`
}

// PieceMotion is one piece's share.
type PieceMotion struct {
	Name        string  `json:"name"`
	FromPct     float64 `json:"from_pct"`
	AcrossMm    float64 `json:"across_mm"`  // over its thickness, across the slab
	ThroughMm   float64 `json:"through_mm"` // over its height, where the slab is thickest along it
	Across      float64 `json:"across_coefficient"`
	Through     float64 `json:"through_coefficient"`
	RingDegrees float64 `json:"ring_deg"` // between rings and the slab's plane
}

// Step is the difference in height that opens at a glue line on each face,
// where it is greatest; half of what one side swells more through its height
// comes out above and half below.
type Step struct {
	Name       string  `json:"name"`
	Mm         float64 `json:"step_mm"`
	AtMm       float64 `json:"at_mm"` // along the slab
	Telegraphs bool    `json:"telegraphs"`
}

// visibleStep in mm shows through a glossy coat: from memory, common practice.
const visibleStep = 0.05

// ring is the angle between the piece's growth rings and the slab's plane;
// where none is given that of a flat-sawn board on edge, π/2.
func (p Piece) ring() float64 {
	if math.IsNaN(p.RingAngle) {
		return math.Pi / 2
	}
	return p.RingAngle
}

// coefficients are how much the piece moves for each percent of moisture,
// across the slab and through its thickness, as it stands there:
//
//	end view, rings at the angle a to the slab's plane:   z ^  / /  rings
//	y makes the angle a with the rings, z the angle         | / /
//	π/2 − a. Rings upright: y is radial, z tangential.      +/-/-----> y
func (p Piece) coefficients() (across, through float64) {
	sp := species(p)
	return sp.Coefficient(p.ring()), sp.Coefficient(math.Pi/2 - p.ring())
}

// Motion works out the movement from the moisture each piece has to what it
// comes to in air of the given temperature (°C) and relative humidity (%).
func (s *Slab) Motion(temperatureC, humidityPct float64) (Motion, error) {
	return s.survey().motion(temperatureC, humidityPct)
}

func (v *survey) motion(temperatureC, humidityPct float64) (Motion, error) {
	s := v.s
	to, err := wood.EMC(temperatureC, humidityPct)
	if err != nil {
		return Motion{}, err
	}
	m := Motion{TemperatureC: temperatureC, HumidityPct: humidityPct, MoisturePct: to, InRange: wood.InMovementRange(to)}
	thickest := func(x0, x1 float64) (at float64) {
		best := math.Inf(-1)
		look := func(x float64) {
			if h := s.TopAt(x) - s.BottomAt(x); h > best {
				best, at = h, x
			}
		}
		cuts := s.profileCuts(x0, x1)
		for i, x := range cuts {
			look(x)
			if i+1 < len(cuts) {
				for _, z := range s.thicknessPiece(x, cuts[i+1]).level() {
					look(z)
				}
			}
		}
		return at
	}
	height := func(x float64) float64 { return s.TopAt(x) - s.BottomAt(x) }
	for i := range s.Strips {
		widest := 0.0
		for _, p := range v.strips[i] {
			across, through := p.wood.coefficients()
			from := p.wood.moisture()
			m.InRange = m.InRange && wood.InMovementRange(from)
			h := height(thickest(p.from.mid, p.to.mid))
			pm := PieceMotion{
				Name: s.pieceName(i, p.piece), FromPct: from, Across: across, Through: through, RingDegrees: p.wood.ring() * 180 / math.Pi,
				AcrossMm:  wood.Movement(s.Strips[i].Thickness(), across, from, to),
				ThroughMm: wood.Movement(h, through, from, to),
			}
			m.Pieces = append(m.Pieces, pm)
			// Pieces of one strip move differently: the one that moves most
			// counts for the width.
			if math.Abs(pm.AcrossMm) > math.Abs(widest) {
				widest = pm.AcrossMm
			}
			if math.Abs(pm.ThroughMm) > math.Abs(m.ThickestMm) {
				m.ThickestMm = pm.ThroughMm
			}
		}
		m.WidthMm += widest
	}
	at := map[[2]float64]float64{}
	for _, g := range v.glueLines() {
		a, b := min(g.A.X, g.B.X), max(g.A.X, g.B.X)
		x, ok := at[[2]float64{a, b}]
		if !ok {
			x = thickest(a, b)
			at[[2]float64{a, b}] = x
		}
		swell := func(p Piece) float64 {
			_, c := p.coefficients()
			return wood.Movement(height(x), c, p.moisture(), to)
		}
		step := (swell(g.Left) - swell(g.Right)) / 2
		m.Steps = append(m.Steps, Step{Name: g.Name, Mm: step, AtMm: x, Telegraphs: math.Abs(step) >= visibleStep})
	}
	return m, nil
}
