package neck

import "math"

// BeamSpec is what the neck is made of, as a beam.
type BeamSpec struct {
	// NeckModulusGPa and BoardModulusGPa are along the grain, in bending.
	// Default 12.6, sugar maple (Wood Handbook, FPL-GTR-190, Table 5-3a, 12
	// percent moisture).
	NeckModulusGPa, BoardModulusGPa float64
	// RodStiffnessNm2 is the bending stiffness E I of a reinforcement that is
	// glued in, N·m²; 0 for an adjustable rod, whose pull the maker sets.
	RodStiffnessNm2 float64
	// ChannelWidthMm and ChannelDepthMm are of the rod's channel from the glue
	// line down; default 6.3 and 9.5. NoChannel: none.
	ChannelWidthMm, ChannelDepthMm float64
	NoChannel                      bool
	// LeftUnderMm is the wood asked for under the channel; default 3.
	LeftUnderMm float64
}

func (b BeamSpec) filled() BeamSpec {
	def := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	def(&b.NeckModulusGPa, 12.6)
	def(&b.BoardModulusGPa, 12.6)
	def(&b.ChannelWidthMm, 6.3)
	def(&b.ChannelDepthMm, 9.5)
	def(&b.LeftUnderMm, 3)
	if b.NoChannel {
		b.ChannelWidthMm, b.ChannelDepthMm = 0, 0
	}
	return b
}

// Deflection is how the neck bends under the strings, by beam theory: an
// estimate. Wood varies by a fifth and more, creeps under load, and an
// adjustable rod counters it.
type Deflection struct {
	PullN float64 // all strings together
	// MomentFirstNm and MomentJointNm are the bending moments at fret 1 and
	// at the joint; StiffnessFirstNm2 and StiffnessJointNm2 the E I there.
	MomentFirstNm, MomentJointNm         float64
	StiffnessFirstNm2, StiffnessJointNm2 float64
	// RiseAtNutMm is how far the nut end is drawn up toward the strings, and
	// TurnAtNutRad how far it turns.
	RiseAtNutMm, TurnAtNutRad float64
	// ReliefMm is the hollow it leaves under a straightedge from fret 1 to the
	// joint, at ReliefAtMm from the nut.
	ReliefMm, ReliefAtMm float64
	// ShorteningMm is how much the pull shortens the neck.
	ShorteningMm float64
}

// Beam is a cantilever on a varying section, fixed at its far end. Curvature
// is M/(E I) (Euler and Bernoulli); small slopes.
type Beam struct {
	// StepMm is the distance between stations, the first at the free end.
	StepMm float64
	// MomentNmm and StiffnessNmm2 at each station, odd in number.
	MomentNmm, StiffnessNmm2 []float64
}

// Curve integrates the curvature twice from the fixed end and gives at every
// station the deflection (positive toward the side the moment draws the free
// end) and the slope there. It takes the curvature as straight between
// stations, for which the two integrals below are exact.
func (b Beam) Curve() (deflection, slope []float64) {
	n := len(b.MomentNmm)
	deflection, slope = make([]float64, n), make([]float64, n)
	h := b.StepMm
	for i := n - 2; i >= 0; i-- {
		k0, k1 := b.MomentNmm[i+1]/b.StiffnessNmm2[i+1], b.MomentNmm[i]/b.StiffnessNmm2[i]
		deflection[i] = deflection[i+1] + slope[i+1]*h + h*h*(2*k0+k1)/6
		slope[i] = slope[i+1] + h*(k0+k1)/2
	}
	return deflection, slope
}

// Composite is a section of several materials: the integrals of E, E y and
// E y² over it (N, N·mm, N·mm²), y up from the glue line.
type Composite struct{ EA, ES, EI0 float64 }

// Add joins a rectangle of modulus e (MPa), from y0 to y1, of a width; a
// negative width takes it away.
func (c Composite) Add(e, width, y0, y1 float64) Composite {
	c.EA += e * width * (y1 - y0)
	c.ES += e * width * (y1*y1 - y0*y0) / 2
	c.EI0 += e * width * (y1*y1*y1 - y0*y0*y0) / 3
	return c
}

// AddSection joins the neck's back, by thin upright slices; they stand closer
// together toward the edges, where the back is steep.
func (c Composite) AddSection(e float64, s Section) Composite {
	const n = 48
	for _, side := range []float64{s.HalfWidthMm - s.ShiftMm, s.HalfWidthMm + s.ShiftMm} {
		for i := range n {
			// x/side = sin θ at the middles of n equal steps of θ.
			sin, cos := math.Sincos((float64(i) + 0.5) * math.Pi / 2 / n)
			d := s.DepthMm * cos
			if s.Fullness != 2 {
				d = s.DepthMm * math.Pow(1-math.Pow(sin, s.Fullness), 1/s.Fullness)
			}
			c = c.Add(e, side*cos*math.Pi/2/n, -d, 0)
		}
	}
	return c
}

// Neutral is the height of the neutral axis over the glue line.
func (c Composite) Neutral() float64 { return c.ES / c.EA }

// Stiffness is E I about the neutral axis, N·mm².
func (c Composite) Stiffness() float64 { return c.EI0 - c.ES*c.ES/c.EA }

// deflect bends the neck from nut to joint. The strings do not press on it
// from above like weights on a shelf: they pull along it, over its neutral
// axis, so the moment at each place is the pull times that height.
//
//	strings  <———————————————————————— T
//	               ↕ height             |fixed
//	- - - - - - - neutral axis - - - - -|at the joint
//
// heightAt gives the mean height of the strings over the glue line at u.
func (n neckShape) deflect(pullN float64, heightAt func(u float64) float64, spec BeamSpec) Deflection {
	const stations = 61
	step := n.joint / (stations - 1)
	b := Beam{StepMm: step, MomentNmm: make([]float64, stations), StiffnessNmm2: make([]float64, stations)}
	out := Deflection{PullN: pullN}
	at := func(u float64) (moment, stiffness, ea float64) {
		c := Composite{}.AddSection(spec.NeckModulusGPa*1000, n.section(u))
		c = c.Add(spec.NeckModulusGPa*1000, -spec.ChannelWidthMm, -spec.ChannelDepthMm, 0)
		c = c.Add(spec.BoardModulusGPa*1000, n.plan.WidthAt(u), 0, n.boardMm)
		return pullN * (heightAt(u) - c.Neutral()), c.Stiffness() + spec.RodStiffnessNm2*1e6, c.EA
	}
	for i := range stations {
		var ea float64
		b.MomentNmm[i], b.StiffnessNmm2[i], ea = at(float64(i) * step)
		out.ShorteningMm += pullN / ea * step
	}
	y, slope := b.Curve()
	out.RiseAtNutMm, out.TurnAtNutRad = y[0], slope[0]
	m, s, _ := at(n.first)
	out.MomentFirstNm, out.StiffnessFirstNm2 = m/1000, s/1e6
	out.MomentJointNm, out.StiffnessJointNm2 = b.MomentNmm[stations-1]/1000, b.StiffnessNmm2[stations-1]/1e6

	// The straightedge rests on fret 1 and on the joint (deflection 0).
	k := n.first / step
	i := int(k)
	start := y[i] + (k-float64(i))*(y[i+1]-y[i])
	for j := i + 1; j < stations; j++ {
		u := float64(j) * step
		edge := start * (n.joint - u) / (n.joint - n.first)
		if d := edge - y[j]; d > out.ReliefMm {
			out.ReliefMm, out.ReliefAtMm = d, u
		}
	}
	return out
}
