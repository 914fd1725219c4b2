package body

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	g "slabwright/body/geom"
)

// lopsided is a closed smooth curve with a waist round the origin.
func lopsided(length, width, waist, lean float64) g.Path {
	const n = 12
	at := func(t float64) g.Point {
		s, c := math.Sincos(t)
		return g.Pt(length/2*c, width/2*s*(1-waist*math.Exp(-8*c*c))*(1+lean*c))
	}
	slope := func(t float64) g.Vec {
		const h = 1e-5
		return at(t + h).Sub(at(t - h)).Mul(1 / (2 * h))
	}
	p := g.Path{Closed: true}
	for i := range n {
		t0, t1 := 2*math.Pi*float64(i)/n, 2*math.Pi*float64((i+1)%n)/n
		d := 2 * math.Pi / n / 3
		a, b := at(t0), at(t1)
		p.Curves = append(p.Curves, g.Curve{P0: a, P1: a.Add(slope(t0).Mul(d)), P2: b.Add(slope(t1).Mul(-d)), P3: b})
	}
	return p
}

// cornered is a plan with sharp corners, one of them inward, and a thin tip.
func cornered(size float64) g.Path {
	var ring g.Polygon
	for _, p := range []g.Point{{X: -100, Y: -70}, {X: 60, Y: -80}, {X: 130, Y: -66}, {X: 40, Y: -30}, {X: 110, Y: 60}, {X: -20, Y: 85}, {X: -90, Y: 30}} {
		ring = append(ring, g.Pt(p.X*size, p.Y*size))
	}
	return g.PathOf(ring)
}

// carved is a body with random contours and edges, without anything else.
func carved(t *rapid.T) *Body {
	size := rapid.Float64Range(0.3, 1.6).Draw(t, "size")
	b := &Body{Thickness: 44, Outline: cornered(size)}
	if rapid.Bool().Draw(t, "smooth") {
		b.Outline = lopsided(260*size, 190*size, rapid.Float64Range(0, 0.5).Draw(t, "waist"), rapid.Float64Range(-0.3, 0.3).Draw(t, "lean"))
	}
	b.Ring = b.Outline.Polygon(RingTolerance)
	b.side = newSide(b.Ring)
	edge := func(name string) (radius, chamfer float64) {
		switch rapid.IntRange(0, 2).Draw(t, name) {
		case 1:
			return rapid.Float64Range(0.5, 20).Draw(t, name+" radius"), 0
		case 2:
			return 0, rapid.Float64Range(0.5, 20).Draw(t, name+" chamfer")
		}
		return 0, 0
	}
	b.Edges.FrontRadius, b.Edges.FrontChamfer = edge("front")
	b.Edges.BackRadius, b.Edges.BackChamfer = edge("back")
	for range rapid.IntRange(0, 3).Draw(t, "contours") {
		s := Shaping{Face: rapid.SampledFrom([]Face{Front, Back}).Draw(t, "face"),
			Kind: rapid.SampledFrom([]ContourKind{ForearmBevel, BellyCut, ArchedTop}).Draw(t, "kind"),
			Line: g.HalfPlane{At: g.Pt(rapid.Float64Range(-60, 60).Draw(t, "u")*size, rapid.Float64Range(-60, 60).Draw(t, "v")*size), Along: g.V(1, 0)}}
		switch s.Kind {
		case ForearmBevel:
			s.Slope = rapid.Float64Range(0.02, 0.4).Draw(t, "slope")
		case BellyCut:
			s.Slope, s.Curve = rapid.Float64Range(0, 0.1).Draw(t, "slope"), rapid.Float64Range(1e-4, 2e-3).Draw(t, "curve")
		default:
			s.Face = Front
			s.Along, s.Across = 1/(2*rapid.Float64Range(700, 5000).Draw(t, "radius along")), 1/(2*rapid.Float64Range(400, 5000).Draw(t, "radius across"))
			if rapid.Bool().Draw(t, "one way") {
				s.Along = 0
			}
		}
		if s.Kind != ArchedTop {
			s.Line.Along = g.Polar(1, rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "way"))
		}
		b.Shaped = append(b.Shaped, s)
	}
	return b
}

// slowDrop is the drop at p by all edges of a fine ring; off is taken off the
// distance from the side.
func slowDrop(b *Body, ring g.Polygon, f Face, p g.Point, off float64) float64 {
	d := max(0, ring.Depth(p)-off)
	edge := 0.0
	radius, chamfer := b.Edges.FrontRadius, b.Edges.FrontChamfer
	if f == Back {
		radius, chamfer = b.Edges.BackRadius, b.Edges.BackChamfer
	}
	if d < radius {
		edge = radius - math.Sqrt(radius*radius-(radius-d)*(radius-d))
	}
	edge = max(edge, chamfer-d)
	low := 0.0
	for _, s := range b.Shaped {
		if s.Face != f {
			continue
		}
		u, v := p.X-s.Line.At.X, p.Y-s.Line.At.Y
		if s.Kind == ArchedTop {
			low = max(low, s.Along*u*u+s.Across*v*v)
		} else if far := s.Line.Along.X*v - s.Line.Along.Y*u; far > 0 {
			low = max(low, s.Slope*far+s.Curve*far*far)
		}
	}
	return min(low+edge, b.Thickness)
}

// The two promises of Relief. Covered: whatever is asked of the corners holds at
// every place of the finished face. With K/2 times the squared way from the
// place added, which bends by K, and what that can make of it in a triangle, K
// s²/6, taken off, only corners of the place's own part can keep the promise.
// Close: no corner asks for wood that lies farther from the body than is said.
func TestReliefCoversTheFaceClosely(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := carved(t)
		fine := b.Outline.Polygon(0.001)
		f := rapid.SampledFrom([]Face{Front, Back}).Draw(t, "of")
		r := b.Relief(f)
		require.NotEmpty(t, r)
		box := fine.Bounds()
		for range 30 {
			p := g.Pt(rapid.Float64Range(box.Min.X, box.Max.X).Draw(t, "pu"), rapid.Float64Range(box.Min.Y, box.Max.Y).Draw(t, "pv"))
			if rapid.Bool().Draw(t, "near the side") {
				_, at := fine.BoundaryDistance(p)
				p = at.Lerp(p, rapid.Float64Range(0, 0.3).Draw(t, "in"))
			}
			if fine.Depth(p) < 0.002 {
				continue
			}
			want := slowDrop(b, fine, f, p, 0.002)
			if want > b.Thickness-1 {
				continue // no such body can be built
			}
			for _, bend := range []float64{0, 1e-3, 1, 1e3} {
				least := math.Inf(1)
				for _, q := range r {
					d := q.At.Sub(p)
					least = min(least, q.Drop+bend/2*d.Dot(d)-bend*q.Span*q.Span/6)
				}
				assert.LessOrEqual(t, least, want+1e-9+bend*1e-6, "bend %g at %v", bend, p)
			}
		}
		for i := rapid.IntRange(0, 40).Draw(t, "first"); i < len(r); i += 41 {
			q, least := r[i], math.Inf(1)
			for k := range 48 {
				p := q.At.Add(g.Polar(ReliefTolerance*float64(1+k%3)/3, 2*math.Pi*float64(k)/48))
				if fine.Locate(p) != g.Outside {
					least = min(least, slowDrop(b, fine, f, p, 0))
				}
			}
			assert.LessOrEqual(t, least, q.Drop+ReliefTolerance+0.05, "%+v", q) // few of the ways may lead into a sharp tip
		}
	})
}

// MostDrop holds within its radius, and Within holds all places that keep.
func TestDropsHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := carved(t)
		f := rapid.SampledFrom([]Face{Front, Back}).Draw(t, "of")
		box := b.Ring.Bounds()
		p := g.Pt(rapid.Float64Range(box.Min.X, box.Max.X).Draw(t, "pu"), rapid.Float64Range(box.Min.Y, box.Max.Y).Draw(t, "pv"))
		far := rapid.Float64Range(0, 30).Draw(t, "far")
		depth := rapid.Float64Range(-1, 20).Draw(t, "depth")
		part, inset := b.Within(f, b.Ring, depth)
		most := b.MostDrop(f, p, b.Ring.Depth(p), far)
		assert.InDelta(t, slowDrop(b, b.Ring, f, p, 0), b.MostDrop(f, p, b.Ring.Depth(p), 0), 1e-9)
		kept := 0
		for range 20 {
			q := p.Add(g.Polar(far*rapid.Float64Range(0, 1).Draw(t, "r"), rapid.Float64Range(0, 7).Draw(t, "a")))
			if b.Ring.Locate(q) == g.Outside {
				continue
			}
			drop := slowDrop(b, b.Ring, f, q, 0)
			assert.LessOrEqual(t, drop, most+1e-9)
			if drop < depth-1e-9 {
				kept++
				require.NotNil(t, part)
				assert.GreaterOrEqual(t, part.Depth(q), -1e-9)
				assert.GreaterOrEqual(t, b.Ring.Depth(q), inset-1e-9)
			}
		}
		if kept == 0 && part != nil {
			assert.Positive(t, depth)
		}
	})
}

func BenchmarkRelief(b *testing.B) {
	d := &Body{Thickness: 44, Outline: lopsided(400, 310, 0.18, 0.1), Edges: Edges{FrontRadius: 6},
		Shaped: []Shaping{{Kind: ForearmBevel, Face: Front, Line: g.HalfPlane{At: g.Pt(60, -80), Along: g.V(-1, 0.1)}, Slope: 0.23}}}
	n := 0
	for b.Loop() {
		n = len(d.Relief(Front))
	}
	b.ReportMetric(float64(n), "points")
}
