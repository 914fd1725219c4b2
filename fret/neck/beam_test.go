package neck_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/fret/neck"
)

func beam(n int, length float64, moment, stiffness func(x float64) float64) neck.Beam {
	b := neck.Beam{StepMm: length / float64(n-1)}
	for i := range n {
		x := float64(i) * b.StepMm // from the free end
		b.MomentNmm = append(b.MomentNmm, moment(x))
		b.StiffnessNmm2 = append(b.StiffnessNmm2, stiffness(x))
	}
	return b
}

func constant(v float64) func(float64) float64 { return func(float64) float64 { return v } }

// Textbook cantilevers (Gere and Goodno, Mechanics of Materials, appendix of
// deflections of beams, from memory): an end moment gives δ = M L²/(2 E I) and
// θ = M L/(E I); an end load δ = P L³/(3 E I).
func TestBeamAgainstTextbook(t *testing.T) {
	const length, m, ei = 400.0, 5000.0, 3e8
	y, slope := beam(61, length, constant(m), constant(ei)).Curve()
	assert.InEpsilon(t, m*length*length/(2*ei), y[0], 1e-12)
	assert.InEpsilon(t, m*length/ei, slope[0], 1e-12)
	assert.Zero(t, y[60])

	const load = 20.0
	y, _ = beam(61, length, func(x float64) float64 { return load * x }, constant(ei)).Curve()
	assert.InEpsilon(t, load*length*length*length/(3*ei), y[0], 1e-12)
}

// A varying section with a closed form: E I = e0 (1 + a x) from the free end
// under an end moment turns by M/(a e0) ln(1 + a L), and rises by
// ∫ x M/EI dx = M/(a e0) (L − ln(1 + a L)/a).
func TestTaperedBeam(t *testing.T) {
	const length, m, e0, a = 400.0, 5000.0, 3e8, 0.003
	y, slope := beam(61, length, constant(m), func(x float64) float64 { return e0 * (1 + a*x) }).Curve()
	log := math.Log(1 + a*length)
	assert.InEpsilon(t, m/(a*e0)*log, slope[0], 1e-4)
	assert.InEpsilon(t, m/(a*e0)*(length-log/a), y[0], 1e-4)
}

// Half a circle: centroid 4r/(3π) under its flat, I = (π/8 − 8/(9π)) r⁴ about
// it (handbook values).
func TestSectionOfHalfACircle(t *testing.T) {
	const r, e = 20.0, 12600.0
	c := neck.Composite{}.AddSection(e, neck.Section{HalfWidthMm: r, DepthMm: r, Fullness: 2})
	assert.InEpsilon(t, e*math.Pi*r*r/2, c.EA, 1e-3)
	assert.InEpsilon(t, -4*r/(3*math.Pi), c.Neutral(), 1e-3)
	assert.InEpsilon(t, e*(math.Pi/8-8/(9*math.Pi))*r*r*r*r, c.Stiffness(), 2e-3)
}

// Two equal boards glued are one of twice the height: b h³/12.
func TestCompositeOfRectangles(t *testing.T) {
	c := neck.Composite{}.Add(10000, 40, -10, 0).Add(10000, 40, 0, 10)
	assert.InEpsilon(t, 10000*40*20.0*20*20/12, c.Stiffness(), 1e-12)
	assert.Zero(t, c.Neutral())
	// A stiff layer draws the neutral axis; transformed-section method.
	c = neck.Composite{}.Add(10000, 40, -10, 0).Add(20000, 40, 0, 10)
	assert.InDelta(t, (-5*1+5*2)/3.0, c.Neutral(), 1e-12)
}

// The section's integrals against counting a fine grid of points.
func TestSectionAgainstGrid(t *testing.T) {
	s := neck.Section{HalfWidthMm: 21, DepthMm: 16, Fullness: 1.6, ShiftMm: -3}
	const h = 0.05
	var area, first, second float64
	for x := -21 + h/2; x < 21; x += h {
		d := s.Depth(x)
		for y := -h / 2; y > -16; y -= h {
			if -y < d {
				area, first, second = area+h*h, first+y*h*h, second+y*y*h*h
			}
		}
	}
	c := neck.Composite{}.AddSection(1, s)
	assert.InEpsilon(t, area, c.EA, 3e-3)
	assert.InEpsilon(t, first, c.ES, 3e-3)
	assert.InEpsilon(t, second, c.EI0, 3e-3)
}

func TestDeflection(t *testing.T) {
	d := work(t, neck.Spec{}).Deflection
	// By hand for the default neck: about 467 N some 12 mm over the neutral
	// axis on 290 to 630 N·m² over 390 mm. M L²/(2EI) lies between the two.
	require.InDelta(t, 467.5, d.PullN, 1)
	length := 0.3908
	assert.Greater(t, d.RiseAtNutMm, 1000*d.MomentFirstNm*length*length/2/d.StiffnessJointNm2)
	assert.Less(t, d.RiseAtNutMm, 1000*d.MomentJointNm*length*length/2/d.StiffnessFirstNm2)
	assert.Positive(t, d.ReliefMm)
	stiff := work(t, neck.Spec{Beam: neck.BeamSpec{RodStiffnessNm2: 1000}}).Deflection
	assert.Less(t, stiff.ReliefMm, d.ReliefMm/2)
	soft := work(t, neck.Spec{Beam: neck.BeamSpec{NeckModulusGPa: 6.3, BoardModulusGPa: 6.3}}).Deflection
	assert.InEpsilon(t, 2*d.ReliefMm, soft.ReliefMm, 1e-9, "half the modulus bends twice as far")
}
