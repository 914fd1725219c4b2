package place_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// ramp is a plank that rises by 8 mm on 100, with edges so rounded that a level
// block half a millimetre from them just has the wood it needs. Nearer to the low
// end it has not, and is tilted; and as it then lies along the plank, its foot
// there comes in by half a millimetre.
//
//	            ____----
//	    ____----   |____|   level: short of wood at the low end's rounding,
//	.---  ____-----          and at the high end over the bottom
//	|.----
func ramp(t require.TestingT, rise float64) *place.Case {
	const long, room = 320, 0.5
	edge := slab.Edge{TopRadius: 25}
	taken := edge.TopRadius - math.Sqrt(edge.TopRadius*edge.TopRadius-(edge.TopRadius-room)*(edge.TopRadius-room))
	thick := 42 + rise*long + taken + 0.05
	s := curved(900, func(x float64) float64 { return rise*x + thick }, func(x float64) float64 { return rise * x }, 900)
	s.Edge, s.Strips = edge, board(900, 1, strip(244, pale)).Strips
	w := place.DefaultWish()
	w.Angles, w.Faces = &[2]float64{-0.001, 0.001}, []place.Face{place.Top}
	w.NearX = &place.NearWish{Value: 159, Must: true, Tolerance: 20}
	w.Weights.NearX = 0.05
	c, err := place.NewCase(s, block(long, 240, 40), place.Need{Margin: room, Flatten: 1}, w)
	require.NoError(t, err)
	return c
}

// A body that keeps its way to a rounded rim only as it is tilted is not missed:
// neither in the ranges that it lies in, nor by the search.
func TestTiltedAtARoundedRim(t *testing.T) {
	c := ramp(t, 0.08)
	var met []place.Placement
	for x := 159.5; x < 161; x += 0.02 {
		p := c.Settle(place.Placement{X: x, Face: place.Top})
		level := p
		level.Pitch, level.Roll = 0, 0
		if c.Allowed(p) && !p.Level() && !c.ClearInPlan(level) {
			met = append(met, p)
		}
	}
	require.Greater(t, len(met), 10, "none is allowed but for its tilt")
	for _, size := range []float64{0, 0.01, 0.05, 0.2, 1, 5, 40} {
		for _, p := range met {
			r := c.Around(p, size, size/4, size/1000)
			possible, _ := c.Possible(r)
			assert.True(t, possible, "%+v in %+v", p, r)
			assert.LessOrEqual(t, c.Lower(r), c.Score(p).Total, "%+v in %+v", p, r)
		}
	}
	r, err := c.Search(context.Background(), place.Options{Limit: 60e9})
	require.NoError(t, err)
	require.NotNil(t, r.Best)
	for _, p := range met {
		assert.LessOrEqual(t, r.Bound, c.Score(p).Total, "%+v", p)
	}
}

// rimCase is a body at the rim of a rounded slab with sloping and bowed faces,
// and its placement there. The slab is so thick that a level body has about the wood that
// it needs at that place.
func rimCase(t *rapid.T, carved bool) (*place.Case, place.Placement) {
	draw := func(what string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, what) }
	b := block(draw("length", 180, 320), draw("breadth", 120, 200), 40)
	if rapid.IntRange(0, 2).Draw(t, "round") == 0 {
		b = plainBody(320, 220, 40, draw("lean", -0.15, 0.15))
	}
	if carved {
		carve(t, b)
	}
	const long = 700
	s := board(long, 1, strip(draw("width", 260, 380), pale), strip(40, brown))
	rise, bow, thick := draw("rise", 0.05, 0.15), draw("bow", -20, 20), draw("thick", 50, 90)
	s.Edge = slab.Edge{TopRadius: draw("top radius", 5, 25), BottomRadius: draw("bottom radius", 0.1, 25)}
	if rapid.IntRange(0, 3).Draw(t, "square below") > 0 {
		s.Edge.BottomRadius = 0
	}
	if rapid.Bool().Draw(t, "waist") {
		w := s.Width() / 2
		s.Plan = slab.Plan{Stations: []slab.Station{{X: 0, Value: w}, {X: long * 0.45, Value: w * 0.95}, {X: long, Value: w}}}
	}
	n := place.Need{Margin: draw("clearance", 0.1, 2), Flatten: 1, GlueLine: -100}
	p := place.Placement{Face: rapid.SampledFrom([]place.Face{place.Top, place.Top, place.Bottom}).Draw(t, "face"),
		Angle: rapid.SampledFrom([]float64{0, math.Pi, math.Pi / 2}).Draw(t, "way") + rapid.SampledFrom([]float64{0, 0, 0.002, -0.03}).Draw(t, "askew")}
	at := geom.Pt(draw("x", 0.2, 0.8)*long, draw("y", -0.3, 0.3)*s.Width())
	atRim := rapid.SampledFrom([]string{"low end", "low end", "high end", "side"}).Draw(t, "rim")
	built := func(thick float64) *place.Case {
		s.Profile = slab.Profile{}
		for i := range 5 {
			u := float64(i) / 4
			z := 100 + rise*u*long + bow*4*u*(1-u)
			s.Profile.Bottom = append(s.Profile.Bottom, slab.Station{X: u * long, Value: z})
			s.Profile.Top = append(s.Profile.Top, slab.Station{X: u * long, Value: z + thick + 2*u})
		}
		w := place.DefaultWish()
		w.NearX, w.Strips = &place.NearWish{Value: p.X}, []place.StripWish{{Strip: 1}}
		c, err := place.NewCase(s, b, n, w)
		require.NoError(t, err)
		return c
	}
	c := built(thick)
	// To the rim.
	p.X, p.Y = at.X, at.Y
	rim := c.Slab.Outline().Polygon(0.01)
	away := map[string]geom.Vec{"low end": {X: -1}, "high end": {X: 1}, "side": {Y: math.Copysign(1, at.Y)}}[atRim]
	lo, hi := 0.0, float64(long)
	for range 30 {
		m := (lo + hi) / 2
		q := p
		q.X, q.Y = p.X+m*away.X, p.Y+m*away.Y
		if c.Footprint(q).Room(rim).Value >= n.Clearance() {
			lo = m
		} else {
			hi = m
		}
	}
	p.X, p.Y = p.X+lo*away.X, p.Y+lo*away.Y
	c = built(thick - c.LevelRoom(p) + draw("spare", -0.1, 0.3))
	nearer := draw("nearer", -0.1, 0.6)
	p.X, p.Y = p.X+nearer*away.X, p.Y+nearer*away.Y
	return c, p
}

// Whatever is known of a range at a rounded rim holds for all that Settle lays there.
func TestRangesAtARoundedRim(t *testing.T) {
	t.Run("flat", func(t *testing.T) { rangesAtARoundedRim(t, false, 40) })
	t.Run("carved", func(t *testing.T) { rangesAtARoundedRim(t, true, 12) })
}

func rangesAtARoundedRim(t *testing.T, carved bool, most int) {
	tilted, byTilt, refused, drawn := 0, 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		if drawn++; drawn > most {
			return
		}
		c, p := rimCase(t, carved)
		one := rapid.Float64Range(-1, 1)
		for range 3 {
			size := math.Exp(rapid.Float64Range(math.Log(0.003), math.Log(1)).Draw(t, "log size"))
			r := c.Around(p, size, size*math.Abs(one.Draw(t, "hy")), size/200*math.Abs(one.Draw(t, "ha")))
			r.X, r.Y = r.X+one.Draw(t, "dx")*0.4, r.Y+one.Draw(t, "dy")*0.4
			bound := c.Lower(r)
			possible, _ := c.Possible(r)
			if !possible {
				refused++
			}
			for range 4 {
				q := c.Settle(r.Inside(c, one.Draw(t, "fx"), one.Draw(t, "fy"), one.Draw(t, "fa")))
				if !c.Allowed(q) {
					continue
				}
				require.True(t, possible, "%+v in %+v", q, r)
				require.LessOrEqual(t, bound, c.Score(q).Total, "%+v in %+v", q, r)
				if level := q; !q.Level() {
					tilted++
					if level.Pitch, level.Roll = 0, 0; !c.ClearInPlan(level) {
						byTilt++
					}
				}
			}
		}
	})
	t.Logf("%d allowed as tilted, %d of them not if they lay level; %d ranges refused", tilted, byTilt, refused)
	assert.Greater(t, tilted, most/10)
	assert.Greater(t, byTilt, most/100)
	assert.Greater(t, refused, most/10)
}
