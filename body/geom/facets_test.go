package geom_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
)

var square = []geom.Vec{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}}

// The classic: a regular octagon from a square of side s is marked s/(2+√2)
// from each edge. The spar-maker's gauge steps off 7:10:7, which is within
// half a percent of it (shop rule, from memory).
func TestOctagonFromSquare(t *testing.T) {
	const s = 50.0
	circle := geom.Superellipse{Centre: geom.Pt(3, -7), A: s / 2, B: s / 2, P: 2}
	rounds := geom.FacetRounds(circle.Support(), square, true, 0, 2)
	require.Len(t, rounds[0], 4)
	require.Len(t, rounds[1], 8)
	require.Len(t, rounds[2], 16)
	corner := geom.Pt(3+s/2, -7+s/2)
	chamfer := rounds[1][1]
	assert.Equal(t, 1, chamfer.Round)
	assert.InDelta(t, s/(2+math.Sqrt2), chamfer.From.Distance(corner), 1e-9)
	assert.InDelta(t, s/(2+math.Sqrt2), chamfer.To.Distance(corner), 1e-9)
	assert.InEpsilon(t, s*7/24, chamfer.From.Distance(corner), 0.005)
	for _, f := range rounds[1] {
		assert.InDelta(t, s*(math.Sqrt2-1), f.Width(), 1e-9)
	}
	for _, f := range rounds[2] { // a regular 16-gon round a circle of radius r has sides 2 r tan(π/16)
		assert.InDelta(t, s*math.Tan(math.Pi/16), f.Width(), 1e-9)
	}
}

// On an ellipse the same, stretched: the marks keep their proportion on each
// face.
func TestFacetsOfAnEllipse(t *testing.T) {
	rounds := geom.FacetRounds(geom.Superellipse{A: 30, B: 12, P: 2}.Support(), square, true, 0, 1)
	corner := geom.Pt(30, 12)
	assert.InDelta(t, 24/(2+math.Sqrt2), rounds[1][1].From.Distance(corner), 1e-9)
	assert.InDelta(t, 60/(2+math.Sqrt2), rounds[1][1].To.Distance(corner), 1e-9)
}

// A quarter round as at the edge of a slab: an open row of two faces.
func TestFacetsOfAnEasedEdge(t *testing.T) {
	rounds := geom.FacetRounds(geom.Superellipse{A: 8, B: 8, P: 2}.Support(), []geom.Vec{{X: 1}, {Y: 1}}, false, 0.5, 2)
	require.Len(t, rounds[2], 5)
	assert.InDelta(t, 8.5, rounds[0][0].From.X, 1e-12)
	assert.InDelta(t, 0, rounds[0][0].From.Y, 1e-12)
	chamfer := rounds[1][1]
	// The flat x + y = 8√2 + 0.5√2 meets the face x = 8.5.
	assert.InDelta(t, 8.5*math.Sqrt2-8.5, chamfer.From.Y, 1e-9)
}

// Laws: every flat clears the section by at least leave and lies exactly leave
// off it at Touch; each round is inside the one before; its corners turn left.
func TestFacetLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := geom.Superellipse{
			Centre: geom.Pt(rapid.Float64Range(-50, 50).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y")),
			A:      rapid.Float64Range(5, 40).Draw(t, "a"), B: rapid.Float64Range(5, 40).Draw(t, "b"),
			P: rapid.Float64Range(1.2, 4).Draw(t, "p"),
		}
		leave := rapid.Float64Range(0, 3).Draw(t, "leave")
		var curve geom.Polygon // points of the curve by its own equation
		for i := range 400 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 400)
			curve = append(curve, geom.Pt(
				e.Centre.X+math.Copysign(e.A*math.Pow(math.Abs(cos), 2/e.P), cos),
				e.Centre.Y+math.Copysign(e.B*math.Pow(math.Abs(sin), 2/e.P), sin)))
		}
		var before geom.Polygon
		for _, round := range geom.FacetRounds(e.Support(), square, true, leave, 3) {
			var ring geom.Polygon
			for _, f := range round {
				ring = append(ring, f.From)
				h := f.Normal.Dot(f.From.Sub(e.Centre))
				assert.InDelta(t, leave, h-f.Normal.Dot(f.Touch.Sub(e.Centre)), 1e-7)
				clear := math.Inf(1)
				for _, p := range curve {
					clear = math.Min(clear, h-f.Normal.Dot(p.Sub(e.Centre)))
				}
				assert.GreaterOrEqual(t, clear, leave-1e-7)
				if before != nil {
					for _, end := range []geom.Point{f.From, f.To} {
						assert.GreaterOrEqual(t, before.Depth(end), -1e-7)
					}
				}
			}
			assert.Greater(t, ring.Area(), curve.Area())
			before = ring
		}
	})
}

// A polygon's own support gives the same flats as the curve it is sampled
// from, as near as the sampling.
func TestPolygonSupport(t *testing.T) {
	e := geom.Superellipse{A: 20, B: 10, P: 2}
	var ring geom.Polygon
	for i := range 2000 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 2000)
		ring = append(ring, geom.Pt(20*cos, 10*sin))
	}
	exact := geom.FacetRounds(e.Support(), square, true, 0, 2)[2]
	sampled := geom.FacetRounds(ring.Support(), square, true, 0, 2)[2]
	require.Len(t, sampled, len(exact))
	for i := range exact {
		assert.InDelta(t, 0, exact[i].From.Distance(sampled[i].From), 0.05)
	}
	box := geom.Polygon{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 2}, {X: 0, Y: 2}}
	assert.Equal(t, geom.Pt(2, 2), box.Support()(geom.V(0, 1)))
	flat := geom.FacetRounds(box.Support(), square, true, 0, 2)
	assert.Len(t, flat[1], 8, "chamfers between the middles of a box's sides")
}

func BenchmarkFacetRounds(b *testing.B) {
	s := geom.Superellipse{A: 20, B: 10, P: 2.4}.Support()
	for b.Loop() {
		geom.FacetRounds(s, square, true, 0.5, 3)
	}
}
