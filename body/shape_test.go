package body

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
)

// Steiner's formula: a convex ring grown by d has area A + L·d + πd² and
// perimeter L + 2πd (Steiner, Über parallele Flächen, 1840). Arcs are chords
// within RingTolerance, which lacks at most that times the arcs' length.
func TestGrownRingsFollowSteiner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		g := roundedRectangle(geom.Pt(f("u", -99, 99), f("v", -99, 99)), f("long", 5, 200), f("wide", 5, 100), f("corner", 0, 20), f("turn", -3, 3))
		d := f("d", 0.5, 30)
		ring := grown(g, d)
		want := g.Area() + g.Perimeter()*d + math.Pi*d*d
		assert.InDelta(t, want, ring.Area(), RingTolerance*2*math.Pi*d)
		assert.LessOrEqual(t, ring.Area(), want+1e-6)
		for _, p := range ring {
			out, _ := g.BoundaryDistance(p)
			assert.InDelta(t, d, out, 1e-9)
		}
	})
}

func TestCircleHasTheCirclesArea(t *testing.T) {
	for _, r := range []float64{0.5, 1.4, 4, 11, 150} {
		c := circle(geom.Pt(3, -8), r)
		assert.InEpsilon(t, math.Pi*r*r, c.Area(), 1e-12)
		for _, p := range c {
			assert.InDelta(t, r, p.Distance(geom.Pt(3, -8)), RingTolerance)
		}
	}
}

// A stadium is a rectangle with two half discs.
func TestStadium(t *testing.T) {
	s := stadium(geom.Pt(10, 20), geom.Pt(40, 60), 8)
	assert.InDelta(t, 50*8+math.Pi*16, s.Area(), 0.3)
	c := s.Moments().Centroid()
	assert.InDelta(t, 25, c.X, 1e-9)
	assert.InDelta(t, 40, c.Y, 1e-9)
}

// Holes that Build finds for itself do what they are for, wherever the two
// cavities lie. Where they do not, throwing thousands of lines between the same
// places finds none that does with room to spare.
func TestFoundWireHolesJoinTheirCavities(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		faces := []Face{Front, Back}
		cavity := func(name string, u float64) Cavity {
			return Cavity{Name: name, Face: rapid.SampledFrom(faces).Draw(t, name+" face"),
				At: geom.Pt(u+f(name+" u", -20, 20), f(name+" v", -80, 80)), Turn: f(name+" turn", -1, 1),
				Length: f(name+" length", 30, 60), Width: f(name+" width", 25, 50), Depth: f(name+" depth", 12, 35), Ledge: -1}
		}
		s := Spec{Outline: plank(420, 320), Bridge: Bridge{Kind: NoBridge}, Jack: Jack{None: true},
			Cavities:  []Cavity{cavity("a", -110), cavity("b", 60)},
			WireHoles: []WireHole{{Name: "wires", From: "a", To: "b", Diameter: 5}}}
		b, err := Build(s)
		require.NoError(t, err)
		var trouble []Check
		for _, c := range b.Check() {
			if strings.HasPrefix(c.Name, "wires") && !c.OK {
				trouble = append(trouble, c)
			}
		}
		if len(trouble) == 0 {
			return
		}
		const spare = 3 // more than a step of the search's heights can lose
		c := newChecker(b)
		random := rand.New(rand.NewPCG(1, 2))
		a, z := b.Features[1], b.Features[2]
		for range 3000 {
			from, to := &a, &z
			if random.IntN(2) == 0 {
				from, to = to, from
			}
			p, q := quarters(from.Ring), quarters(to.Ring)
			cf, ct := p[random.IntN(len(p))], q[random.IntN(len(q))]
			dir := ct.Sub(cf).Unit()
			near, _ := rayEnters(from.Ring, cf, dir)
			enter, _ := rayEnters(to.Ring, cf.Add(dir.Mul(near+1e-6)), dir)
			wf := from.WBottom + random.Float64()*(from.WTop-from.WBottom)
			wt := to.WBottom + random.Float64()*(to.WTop-to.WBottom)
			end, far := at3(cf.Add(dir.Mul(near)), wf), at3(cf.Add(dir.Mul(near+enter)), wt)
			m1, _ := mouth(end, far, 2.5, from)
			m2, _ := mouth(far, end, 2.5, to)
			skin := math.Min(-math.Max(wf, wt), math.Min(wf, wt)+b.Thickness) - 2.5 - b.Limits.FaceSkin
			least := math.Min(math.Min(m1, m2), math.Min(skin, c.access(end, far, 2.5, from)))
			assert.Less(t, least, float64(spare), "a line from %v to %v would do, against: %s", end, far, trouble[0].Message)
		}
	})
}
