package place_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// curved is a slab of one pale strip, 400 wide, with the given faces.
func curved(length float64, top, bottom func(x float64) float64, step float64) *slab.Slab {
	s := board(length, 1, strip(400, pale))
	s.Profile = slab.Profile{}
	n := int(math.Ceil(length / step))
	for i := range n + 1 {
		x := length * float64(i) / float64(n)
		s.Profile.Top = append(s.Profile.Top, slab.Station{X: x, Value: top(x)})
		s.Profile.Bottom = append(s.Profile.Bottom, slab.Station{X: x, Value: bottom(x)})
	}
	return s
}

// block is a body that is a plain box, its origin in its middle.
func block(length, width, thickness float64) *body.Body {
	return &body.Body{Outline: geom.PathOf(geom.Box{Min: geom.Pt(-length/2, -width/2), Max: geom.Pt(length/2, width/2)}.Polygon()), Thickness: thickness}
}

func planeCase(t require.TestingT, s *slab.Slab, b *body.Body) *place.Case {
	c, err := place.NewCase(s, b, place.Need{Flatten: 1}, place.Wish{})
	require.NoError(t, err)
	return c
}

// In a straight plank that rises by m the body lies along the plank, and has
// the plank's whole thickness, which is its upright one times cos atan m.
func TestBestPlaneInATiltedPlank(t *testing.T) {
	const m, upright, thick = 0.12, 60, 40
	c := planeCase(t, curved(1500, func(x float64) float64 { return m*x + upright }, func(x float64) float64 { return m * x }, 1500),
		plainBody(380, 300, thick, 0.15))
	for _, face := range []place.Face{place.Top, place.Bottom} {
		for _, angle := range []float64{0, 0.4, math.Pi / 2, 3, -2} {
			p, err := c.BestPlane(place.Placement{X: 700, Y: 10, Angle: angle, Face: face})
			require.NoError(t, err)
			want := (upright*math.Cos(math.Atan(m))-thick)/2 - 1
			assert.InDelta(t, want, p.Slack, 1e-6)
			assert.GreaterOrEqual(t, p.Bound, p.Slack)
			assert.LessOrEqual(t, p.Bound, want+place.Exact+1e-6)
			up := p.Placement.Frame().W
			assert.InDelta(t, -m, up.X/up.Z, 1e-7, "rises with the plank")
			assert.InDelta(t, 0, up.Y/up.Z, 1e-7)
			assert.Positive(t, p.TiltGains)
			assert.InDelta(t, p.Slack-p.Level, p.TiltGains, 1e-12)
		}
	}
}

// Top and bottom are arcs about one centre. A box of length 2a lies square to
// the radius through its middle; over it the arc of radius R is nearest at its
// ends, √(R² − a²) from the centre, under it the arc of radius r in its middle.
func TestBestPlaneInARing(t *testing.T) {
	const top, bottom, length, thick = 3000.0, 2940.0, 360.0, 40.0
	centre := geom.Pt(900, -bottom)
	arc := func(r float64) func(float64) float64 {
		return func(x float64) float64 { return centre.Y + math.Sqrt(r*r-(x-centre.X)*(x-centre.X)) }
	}
	c := planeCase(t, curved(1800, arc(top), arc(bottom), 4), block(length, 280, thick))
	over, under := math.Sqrt(top*top-length*length/4), bottom
	want := (over-under-thick)/2 - 1
	for _, face := range []place.Face{place.Top, place.Bottom} {
		for _, x := range []float64{900, 700, 500, 1300} {
			for _, angle := range []float64{0, math.Pi} {
				p, err := c.BestPlane(place.Placement{X: x, Angle: angle, Face: face})
				require.NoError(t, err)
				assert.InDelta(t, want, p.Slack, 0.002, "the stations' spline is no arc by so little")
				assert.GreaterOrEqual(t, p.Bound, p.Slack)
				assert.LessOrEqual(t, p.Bound, p.Slack+0.03)
				origin := (over+under)/2 + thick/2
				if face == place.Bottom {
					origin -= thick
				}
				f := p.Placement.Frame()
				assert.InDelta(t, math.Abs(x-centre.X)/origin, math.Abs(f.W.X), 2e-5, "square to the radius")
				assert.InDelta(t, centre.Y+math.Sqrt(origin*origin-(x-centre.X)*(x-centre.X)), p.Placement.Height, 0.01)
				if x == 900 {
					assert.Zero(t, p.TiltGains)
					assert.True(t, p.Placement.Level())
					assert.Contains(t, p.Words(measure.Millimetres), "tilting gains nothing")
				} else {
					assert.Contains(t, p.Words(measure.Inches), " in over the best level plane")
				}
			}
		}
	}
}

func TestBestPlaneRefusesNonsense(t *testing.T) {
	c := planeCase(t, board(1000, 50, strip(400, pale)), block(300, 200, 40))
	_, err := c.BestPlane(place.Placement{X: math.NaN(), Face: place.Top})
	assert.ErrorContains(t, err, "finite")
	_, err = c.BestPlane(place.Placement{X: 500})
	assert.ErrorContains(t, err, "face")
}

// bent draws a slab with sloping and bowed faces, thick at one place and thin
// at another, perhaps with rounded edges and a hollow plan.
func bent(t *rapid.T) *slab.Slab {
	length := rapid.Float64Range(700, 1600).Draw(t, "length")
	s := board(length, 1, strip(rapid.Float64Range(300, 460).Draw(t, "width"), pale))
	bow := rapid.Float64Range(-90, 90).Draw(t, "bow")
	rise := rapid.Float64Range(-60, 60).Draw(t, "rise")
	thick := rapid.Float64Range(42, 75).Draw(t, "thick")
	n := rapid.IntRange(2, 7).Draw(t, "stations")
	s.Profile = slab.Profile{}
	for i := range n {
		u := float64(i) / float64(n-1)
		z := 100 + bow*4*u*(1-u) + rise*u + rapid.Float64Range(-4, 4).Draw(t, "wave")
		s.Profile.Bottom = append(s.Profile.Bottom, slab.Station{X: u * length, Value: z})
		s.Profile.Top = append(s.Profile.Top, slab.Station{X: u * length, Value: z + thick + rapid.Float64Range(-5, 5).Draw(t, "thicker")})
	}
	if rapid.Bool().Draw(t, "rounded") {
		s.Edge = slab.Edge{TopRadius: rapid.Float64Range(3, 20).Draw(t, "top radius"), BottomRadius: rapid.Float64Range(3, 20).Draw(t, "bottom radius")}
	}
	if rapid.Bool().Draw(t, "waist") {
		w := s.Width() / 2
		s.Plan = slab.Plan{Stations: []slab.Station{{X: 0, Value: w}, {X: length * 0.45, Value: w * 0.93}, {X: length, Value: w}}}
	}
	return s
}

func bentCase(t *rapid.T) (*place.Case, place.Placement) {
	s := bent(t)
	b := plainBody(rapid.Float64Range(180, 340).Draw(t, "body length"), rapid.Float64Range(140, 230).Draw(t, "body width"),
		rapid.Float64Range(30, 44).Draw(t, "body thickness"), rapid.Float64Range(-0.2, 0.2).Draw(t, "lean"))
	c := planeCase(t, s, b)
	return c, place.Placement{X: rapid.Float64Range(0.25, 0.75).Draw(t, "x") * s.Length, Y: rapid.Float64Range(-40, 40).Draw(t, "y"),
		Angle: rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "angle"), Face: rapid.SampledFrom([]place.Face{place.Top, place.Bottom}).Draw(t, "face")}
}

// slowSlack is the wood over and under a placed body, square to it, least over
// a lattice of places of the whole body and its outline, each found by halving.
func slowSlack(c *place.Case, p place.Placement, step float64) (over, under float64, inside bool) {
	f := p.Frame()
	up, upper, lower := f.W, 0.0, -c.Body.Thickness
	if p.Face == place.Bottom {
		up, upper, lower = up.Mul(-1), lower, upper
	}
	outline := c.Slab.Outline().Polygon(0.01)
	e := c.Slab.Edge
	round := func(r float64, q geom.Point) float64 {
		d := outline.Depth(q)
		if d >= r {
			return 0
		}
		d = max(0, d)
		return r - math.Sqrt(r*r-(r-d)*(r-d))
	}
	inside = true
	way := func(q geom.Point3, d geom.Vec3, above func(geom.Point3) float64) float64 {
		lo, hi := -100.0, 150.0
		for range 50 {
			mid := (lo + hi) / 2
			if above(q.Add(d.Mul(mid))) > 0 {
				hi = mid
			} else {
				lo = mid
			}
		}
		return lo
	}
	over, under = math.Inf(1), math.Inf(1)
	rounded := e.TopRadius > 0
	try := func(u, v float64) {
		top := func(q geom.Point3) float64 {
			z := c.Slab.TopAt(q.X)
			if rounded {
				z -= round(e.TopRadius, q.Plan())
			}
			return q.Z - z
		}
		bottom := func(q geom.Point3) float64 {
			z := c.Slab.BottomAt(q.X)
			if rounded {
				z += round(e.BottomRadius, q.Plan())
			}
			return z - q.Z
		}
		a, b := f.Apply(u, v, upper), f.Apply(u, v, lower)
		inside = inside && outline.Locate(a.Plan()) != geom.Outside && outline.Locate(b.Plan()) != geom.Outside
		over = min(over, way(a, up, top))
		under = min(under, way(b, up.Mul(-1), bottom))
	}
	front := c.Body.Outline.Polygon(0.01)
	box := front.Bounds()
	for u := box.Min.X; u <= box.Max.X; u += step {
		for v := box.Min.Y; v <= box.Max.Y; v += step {
			if front.Locate(geom.Pt(u, v)) != geom.Outside {
				try(u, v)
			}
		}
	}
	for i, q := range front {
		r := front[(i+1)%len(front)]
		for k := range 3 {
			s := q.Lerp(r, float64(k)/3)
			try(s.X, s.Y)
		}
	}
	return over, under, inside
}

// The wood measured on the outline is the least over the whole body, as far as
// a lattice over the body sees, whatever the tilt.
func TestSpareIsLeastOnTheOutline(t *testing.T) {
	tight := 0
	rapid.Check(t, func(t *rapid.T) {
		c, p := bentCase(t)
		l, err := c.BestPlane(p)
		require.NoError(t, err)
		p = l.Placement
		if rapid.Bool().Draw(t, "another tilt") {
			p.Pitch += rapid.Float64Range(-0.05, 0.05).Draw(t, "pitch")
			p.Roll += rapid.Float64Range(-0.05, 0.05).Draw(t, "roll")
		}
		over, under, inside := slowSlack(c, p, 20)
		if !inside {
			return
		}
		var got [2]float64
		for _, k := range c.Check(p).Checks {
			switch k.Name {
			case "wood over the body":
				got[0] = k.Margin
			case "wood under the body":
				got[1] = k.Margin
			}
		}
		// The flattened curves lie within Exact of the true ones.
		assert.LessOrEqual(t, got[0], over+2*place.Exact)
		assert.LessOrEqual(t, got[1], under+2*place.Exact)
		if c.Slab.Edge.TopRadius == 0 {
			assert.InDelta(t, over, got[0], 0.02)
			assert.InDelta(t, under, got[1], 0.02)
			tight++
		}
	})
	assert.NotZero(t, tight, "no square edge was drawn")
}

// No plane of a lattice of slopes has more slack than the bound; none has more
// than the best plane by more than the bound says.
func TestNoPlaneBeatsTheBound(t *testing.T) {
	t.Run("flat", func(t *testing.T) { noPlaneBeatsTheBound(t, false, 2) })
	t.Run("carved", func(t *testing.T) { noPlaneBeatsTheBound(t, true, 9) })
}

func noPlaneBeatsTheBound(t *testing.T, carved bool, far float64) {
	worst, drawn := 0.0, 0
	rapid.Check(t, func(t *rapid.T) {
		if drawn++; drawn > 30 && carved { // they take a while
			return
		}
		c, p := bentCase(t)
		if carved {
			carve(t, c.Body)
			c = planeCase(t, c.Slab, c.Body)
		}
		l, err := c.BestPlane(p)
		require.NoError(t, err)
		require.GreaterOrEqual(t, l.Bound, l.Slack)
		if c.Slab.Edge.TopRadius == 0 { // what hollows in the plan take off at rounded edges is pessimistic
			worst = max(worst, l.Bound-l.Slack)
		}
		require.GreaterOrEqual(t, l.Slack, l.Level)
		got := c.Slack(l.Placement)
		if l.TiltGains > 0 {
			require.InDelta(t, l.Slack, got, 1e-9)
		} else {
			require.InDelta(t, l.Level, got, 1e-9)
		}
		size := rapid.SampledFrom([]float64{0.2, 0.02, 0.002}).Draw(t, "lattice")
		best := math.Inf(-1)
		for i := -4; i <= 4; i++ {
			for j := -4; j <= 4; j++ {
				q := l.Placement
				q.Pitch += size / 4 * float64(i)
				q.Roll += size / 4 * float64(j)
				if max(math.Abs(q.Pitch), math.Abs(q.Roll)) > place.Steepest {
					continue
				}
				best = max(best, c.SlackAtBestHeight(q))
			}
		}
		assert.LessOrEqual(t, best, l.Bound, fmt.Sprintf("%+v", l))
	})
	// How near the bound comes is luck of the draw: half a millimetre was seen
	// for flat bodies.
	assert.Less(t, worst, far, "the bound is far from what is found")
	t.Logf("greatest bound − slack: %.4f mm", worst)
}

func BenchmarkBestPlane(b *testing.B) {
	c := planeCase(b, curved(1600, func(x float64) float64 { return 60 + x*(1600-x)/7000 }, func(x float64) float64 { return x * (1600 - x) / 7000 }, 400),
		plainBody(400, 310, 40, 0.1))
	p := place.Placement{X: 500, Y: 10, Angle: 0.1, Face: place.Top}
	for b.Loop() {
		if _, err := c.BestPlane(p); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(c.Front())), "vertices")
}

func BenchmarkBestTilt(b *testing.B) {
	c := planeCase(b, curved(1600, func(x float64) float64 { return 60 + x*(1600-x)/7000 }, func(x float64) float64 { return x * (1600 - x) / 7000 }, 400),
		plainBody(400, 310, 40, 0.1))
	p := place.Placement{X: 500, Y: 10, Angle: 0.1, Face: place.Top}
	for b.Loop() {
		c.BestTilt(p)
	}
}
