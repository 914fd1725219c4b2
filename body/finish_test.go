package body

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	g "slabwright/body/geom"
)

// The finish of a plank of 400 × 300 × 44 mm, whose surface less its mouths is
// known in closed form. At 0.2 mm and 1000 kg/m³ a square metre takes 200 g.
func TestFinishOfAPlank(t *testing.T) {
	const length, width, thick = 400.0, 300.0, 44.0
	const faces, side = 2 * length * width, 2 * (length + width) * thick
	corner := func(r float64) float64 { return (4 - math.Pi) * r * r }
	for _, c := range []struct {
		name string
		plan func(*Spec)
		want float64 // mm²
		tol  float64
	}{
		{"nothing cut", func(*Spec) {}, faces + side, 1e-6},
		{"a cavity and its ledge, which is the mouth", func(s *Spec) {
			s.Cavities = []Cavity{{At: g.Pt(0, 20), Length: 100, Width: 60, CornerRadius: 8, Ledge: 10}}
		}, faces + side - (120*80 - corner(18)), 5},
		{"two crossing channels have one mouth", func(s *Spec) {
			s.Channels = []Channel{
				{From: g.Pt(-50, 0), To: g.Pt(50, 0), Width: 10, Depth: 12},
				{From: g.Pt(0, -40), To: g.Pt(0, 40), Width: 10, Depth: 9},
			}
		}, faces + side - (100*10 + 80*10 - 100 + 2*math.Pi*25), 5},
		{"a cavity right through has two mouths", func(s *Spec) {
			s.Cavities = []Cavity{{At: g.Pt(0, 20), Length: 100, Width: 60, Depth: thick, CornerRadius: 8, Ledge: -1}}
		}, faces + side - 2*(100*60-corner(8)), 5},
		{"a plane bevel across the tail is longer than its plan", func(s *Spec) {
			s.Contours = []Contour{{Kind: ForearmBevel, At: g.Pt(100, 0), Along: g.V(0, -7), Depth: 10, Reach: 50}}
		}, faces + side + bevelled(tailEnd(length)-100, width, 0.2), 1e-6},
		{"a ball of 1000 mm for a top", func(s *Spec) {
			s.Contours = []Contour{{Kind: ArchedTop, At: g.Pt(tailEnd(length)-200, 0), RadiusAlong: 1000, RadiusAcross: 1000}}
		}, faces/2 + side + paraboloid(length, width, 1000), 30},
		{"round edges on both faces", func(s *Spec) { s.Edges = Edges{FrontRadius: 6, BackRadius: 6} },
			// a quarter circle's centre line is shorter by 8 times its mean inset, round a mitred rectangle
			faces - 2*((length+width)*2*6-4*36) + 2*(length+width)*(thick-12) +
				2*(2*(length+width)*3*math.Pi-8*(3*math.Pi*6-36)), 40},
		{"a chamfer on the back", func(s *Spec) { s.Edges.BackChamfer = 5 },
			faces - (2*(length+width)*5 - 4*25) + 2*(length+width)*(thick-5) + math.Sqrt2*(2*(length+width)*5-4*25), 20},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := Spec{Outline: plank(length, width), Thickness: thick, Finish: Finish{Thickness: 0.2, Density: 1000}}
			c.plan(&s)
			b := bare(t, s)
			h, area := b.coat(b.removals())
			assert.InDelta(t, c.want, area, c.tol)
			assert.InDelta(t, area*200e-6, h.Grams, 1e-9)
		})
	}
}

// A bevel d long and sloping lies longer on the face, and takes a triangle from
// each of two sides and a strip from the end.
func bevelled(d, width, slope float64) float64 {
	return d*width*(math.Sqrt(1+slope*slope)-1) - slope*d*d - slope*d*width
}

// What a paraboloid x²/2R + y²/2R over the plank adds to its plan, less what
// it takes from the sides, by a fine grid.
func paraboloid(length, width, r float64) float64 {
	const n = 1000
	sum := 0.0
	for i := range n {
		x := length * ((float64(i)+0.5)/n - 0.5)
		for j := range n {
			y := width * ((float64(j)+0.5)/n - 0.5)
			sum += math.Sqrt(1+(x*x+y*y)/(r*r)) * length * width / n / n
		}
		sum -= 2 * (x*x + width*width/4) / (2 * r) * length / n
		y := x / length * width
		sum -= 2 * (y*y + length*length/4) / (2 * r) * width / n
	}
	return sum
}

// With everything on it, the finish is what a fine grid over both faces and
// small steps round the side find by looking at each place.
func TestFinishAgreesWithLookingAtEveryPlace(t *testing.T) {
	b, err := Build(Spec{
		Outline:   plank(400, 300),
		Neck:      NeckJoint{HeelWidth: 57, Depth: 15},
		Pickups:   []Pickup{{Kind: Humbucking, FromSaddle: 60}},
		Bridge:    Bridge{Kind: TwoPost},
		Cavities:  []Cavity{{At: g.Pt(62, 85), Length: 100, Width: 60}, {Face: Front, At: g.Pt(70, -110), Length: 60, Width: 40, Depth: 14, Ledge: -1}},
		Jack:      Jack{Diameter: 20},
		Finish:    Finish{Thickness: 0.1, Density: 1200},
		Thickness: 46,
		Contours: []Contour{
			{Kind: ForearmBevel, At: g.Pt(60, -80), Along: g.V(-1, 0.4), Depth: 14, Reach: 60},
			{Kind: BellyCut, At: g.Pt(0, -60), Along: g.V(-1, -0.2), Depth: 8, Reach: 60, Hollow: true},
			{Kind: ArchedTop, At: g.Pt(-40, 0), RadiusAcross: 2500},
		},
		GroundWire: GroundWire{None: true},
	})
	require.NoError(t, err)
	box := b.Ring.Bounds()
	var area, u, v, w float64
	add := func(a float64, p g.Point3) { area, u, v, w = area+a, u+a*p.X, v+a*p.Y, w+a*p.Z }
	const step = 1.0
	for x := box.Min.X + step/2; x < box.Max.X; x += step {
		for y := box.Min.Y + step/2; y < box.Max.Y; y += step {
			p := g.Pt(x, y)
			f0, b0 := b.Faces(p)
			fu, bu := b.Faces(p.Add(g.V(1e-4, 0)))
			fv, bv := b.Faces(p.Add(g.V(0, 1e-4)))
			if solid(b, at3(p, f0-1e-3)) {
				add(step*step*math.Sqrt(1+math.Pow((fu-f0)/1e-4, 2)+math.Pow((fv-f0)/1e-4, 2)), at3(p, f0))
			}
			if solid(b, at3(p, b0+1e-3)) {
				add(step*step*math.Sqrt(1+math.Pow((bu-b0)/1e-4, 2)+math.Pow((bv-b0)/1e-4, 2)), at3(p, b0))
			}
		}
	}
	for i, p := range b.Ring {
		q := b.Ring[(i+1)%len(b.Ring)]
		n := int(p.Distance(q) / step)
		for j := range n {
			at := p.Lerp(q, (float64(j)+0.5)/float64(n)).Add(q.Sub(p).Unit().Left().Mul(1e-3))
			for z := -b.Thickness + step/4; z < 0; z += step / 2 {
				if solid(b, at3(at, z)) {
					add(p.Distance(q)/float64(n)*step/2, at3(at, z))
				}
			}
		}
	}
	h, got := b.coat(b.removals())
	assert.InEpsilon(t, area, got, 1e-3)
	c := h.Centre()
	assert.InDelta(t, u/area, c.X, 0.1)
	assert.InDelta(t, v/area, c.Y, 0.1)
	assert.InDelta(t, w/area, c.Z, 0.03)
}
