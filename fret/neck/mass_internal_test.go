package neck

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/fret"
)

// A section's area and moments against thin upright strips of Depth.
func TestSectionMomentsAgainstStrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		half := rapid.Float64Range(15, 40).Draw(t, "half")
		s := Section{half, rapid.Float64Range(5, 30).Draw(t, "depth"), rapid.Float64Range(1.1, 6).Draw(t, "fullness"),
			half * rapid.Float64Range(-0.8, 0.8).Draw(t, "shift")}
		area, mx, my := 0.0, 0.0, 0.0
		const n = 20000
		dx := 2 * half / n
		for i := range n {
			x := -half + (float64(i)+0.5)*dx
			d := s.Depth(x)
			area += d * dx
			mx += x * d * dx
			my -= d * d / 2 * dx
		}
		a, x, y := s.areaAndMoments()
		assert.InEpsilon(t, area, a, 1e-4)
		assert.InEpsilon(t, my, y, 1e-4)
		assert.InDelta(t, mx, x, 1e-4*area*half)
	})
}

// The whole neck against a count of small cells of the same shapes.
func TestMassAgainstCells(t *testing.T) {
	for name, spec := range map[string]Spec{
		"usual":      {},
		"leaning":    {Blank: BlankSpec{HeadAngleDeg: 13}, Joint: JointSpec{NeckAngleDeg: 3}, Back: BackSpec{First: SectionSpec{Shape: "asymmetrical"}}},
		"two scales": {Layout: fret.TwoScale(700, 660, 7, 24), Back: BackSpec{First: SectionSpec{Shape: "V"}}},
		"bass":       {Layout: fret.Layout{Scale: 864, Count: 20, Strings: fret.Across{Count: 4}}, Beam: BeamSpec{NoChannel: true}},
	} {
		t.Run(name, func(t *testing.T) {
			r, err := Work(spec)
			require.NoError(t, err)
			d := Densities{Neck: 700, Board: 900}
			whole, parts := r.Mass(d)
			byName := map[string]Mass{}
			sum := 0.0
			for _, p := range parts {
				byName[p.Name] = p
				sum += p.Grams
			}
			assert.InDelta(t, whole.Grams, sum, 1e-9)

			cells := func(name string, u0, u1, v, w0, w1, density float64, in func(u, v, w float64) bool) {
				const du, dv, dw = 2.5, 1.0, 0.5
				var m Mass
				for u := u0 + du/2; u < u1; u += du {
					for y := -v + dv/2; y < v; y += dv {
						for w := w0 + dw/2; w < w1; w += dw {
							if in(u, y, w) {
								g := density * 1e-6 * du * dv * dw
								m.Grams += g
								m.UMm, m.VMm, m.WMm = m.UMm+g*u, m.VMm+g*y, m.WMm+g*w
							}
						}
					}
				}
				p := byName[name]
				assert.InEpsilon(t, m.Grams, p.Grams, 0.012, name)
				assert.InDelta(t, m.UMm/m.Grams, p.UMm, 1.5, name)
				assert.InDelta(t, m.VMm/m.Grams, p.VMm, 0.4, name)
				assert.InDelta(t, m.WMm/m.Grams, p.WMm, 0.15, name)
			}
			shape, o, board := r.shape(), r.Outline(), r.Spec.Board.ThicknessMm
			channel := r.Spec.Beam
			cells("shaft and heel", 0, r.Joint.HeelEndFromNutMm, 60, -40, 0, 700, func(u, v, w float64) bool {
				if w > -board || math.Abs(v) > r.Plan.WidthAt(u)/2 {
					return false
				}
				if w > -board-channel.ChannelDepthMm && math.Abs(v) < channel.ChannelWidthMm/2 && u < shape.heel {
					return false
				}
				if u > r.Joint.JointFromNutMm {
					return w > -r.Joint.HeelMm
				}
				return -board-w < shape.section(u).Depth(v)
			})
			inside := func(ring []fret.Point, u, v float64) bool {
				odd := false
				for i, p := range ring {
					q := ring[(i+1)%len(ring)]
					if (p.V > v) != (q.V > v) && u < p.U+(v-p.V)/(q.V-p.V)*(q.U-p.U) {
						odd = !odd
					}
				}
				return odd
			}
			cells("fretboard", -40, r.Plan.CentreScaleMm, 60, -board, 0, 900, func(u, v, w float64) bool {
				return inside(o.Board, u, v) && w < -r.Spec.Board.Drop(u, v, r.Plan.CentreScaleMm)
			})
			// The headstock in its own slanted frame.
			sin, cos := math.Sincos(r.Spec.Blank.HeadAngleDeg * math.Pi / 180)
			zero := r.headFace(0, 0)
			cells("headstock", -400, 40, 90, -130, 0, 700, func(u, v, w float64) bool {
				a, b := zero.U-u, zero.W-w
				along, deep := a*cos+b*sin, b*cos-a*sin
				return deep > 0 && deep < r.Spec.Blank.HeadThicknessMm && inside(o.HeadFace, zero.U-along, v)
			})
		})
	}
}

// Twice the wood weighs twice; the body frame sees the neck through the seat.
func TestMassFollowsDensityAndSeat(t *testing.T) {
	r, err := Work(Spec{Joint: JointSpec{NeckAngleDeg: 2}})
	require.NoError(t, err)
	parts := func(d Densities) (wood, rest float64) {
		_, list := r.Mass(d)
		for _, p := range list {
			if p.Name == "shaft and heel" || p.Name == "headstock" || p.Name == "fretboard" {
				wood += p.Grams
			} else {
				rest += p.Grams
			}
		}
		return wood, rest
	}
	one, metal := parts(Densities{Neck: 600, Board: 800})
	two, same := parts(Densities{Neck: 1200, Board: 1600})
	assert.InDelta(t, 2*one, two, 1e-9)
	assert.InDelta(t, metal, same, 1e-9)

	whole, _ := r.Mass(Densities{Neck: 705, Board: 705})
	grams, u, v, w := r.MassInBody(Densities{Neck: 705, Board: 705})
	back, vv, ww := r.Joint.Seat.Neck(u, v, w)
	assert.InDelta(t, whole.Grams, grams, 1e-12)
	assert.InDelta(t, whole.UMm, back, 1e-9)
	assert.InDelta(t, whole.VMm, vv, 1e-9)
	assert.InDelta(t, whole.WMm, ww, 1e-9)
	// A bare maple neck with its rod: half a kilogram and more, with its centre
	// nearer the nut than half of its length (common practice, no source).
	assert.Greater(t, grams, 450.0)
	assert.Less(t, grams, 750.0)
	assert.Less(t, whole.UMm, r.Joint.HeelEndFromNutMm/2)
}
