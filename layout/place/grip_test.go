package place_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// A grip tells the truth: what has the wood it needs has a tilt that is left and
// stands the push, anywhere in the range.
func TestGripsTellTheTruth(t *testing.T) {
	t.Run("flat", func(t *testing.T) { gripsTellTheTruth(t, false, math.MaxInt) })
	t.Run("carved", func(t *testing.T) { gripsTellTheTruth(t, true, 25) }) // making a case ready takes long
}

func gripsTellTheTruth(t *testing.T, carved bool, left int) {
	met := map[string]int{}
	closest := math.Inf(1)
	rapid.Check(t, func(t *rapid.T) {
		if left--; left < 0 {
			return
		}
		c := bowedCase(t, carved)
		at := anyPlacement(t, c)
		at.X, at.Y = c.Slab.Length*(0.25+at.X/c.Slab.Length/2), at.Y/4
		scale := math.Exp(rapid.Float64Range(math.Log(0.003), math.Log(60)).Draw(t, "log size"))
		hx, hy, ha := scale*rapid.Float64Range(0, 2).Draw(t, "hx"), scale*rapid.Float64Range(0, 2).Draw(t, "hy"), scale*rapid.Float64Range(0, 2).Draw(t, "ha")/150
		fraction := rapid.OneOf(rapid.Float64Range(-1, 1), rapid.SampledFrom([]float64{-1, 1}))
		r := c.Around(at, hx, hy, ha)
		// Of a place in the range, the wood that is needed is just there, or nearly.
		best, slack := c.BestTilt(r.Inside(c, fraction.Draw(t, "fx"), fraction.Draw(t, "fy"), fraction.Draw(t, "fa")))
		less := rapid.SampledFrom([]float64{0, 1e-6, 0.1, 1}).Draw(t, "less")
		if -slack+less > c.Body.Thickness/2 {
			return // not even a body of no thickness has room
		}
		c = c.Eased(0, 0, -slack+less)
		may, tells := c.Grip(r)
		has := func(p place.Placement) {
			if c.Slack(p) < 0 || !withinLength(c, p) {
				return
			}
			met["have the wood"]++
			tilt, spare := tells(p)
			assert.True(t, may, "%+v has the wood", p)
			assert.True(t, tilt, "%+v lies in no tilt that is left", p)
			assert.GreaterOrEqual(t, spare, 0.0, "%+v", p)
			closest = min(closest, spare)
		}
		if less > 0 {
			has(best)
		}
		for range 5 {
			p := r.Inside(c, fraction.Draw(t, "gx"), fraction.Draw(t, "gy"), fraction.Draw(t, "ga"))
			q, _ := c.BestTilt(p)
			has(q)
			has(c.Settle(p))
			q.Pitch += rapid.Float64Range(-0.02, 0.02).Draw(t, "pitch off")
			q.Roll += rapid.Float64Range(-0.02, 0.02).Draw(t, "roll off")
			if max(math.Abs(q.Pitch), math.Abs(q.Roll)) <= place.Steepest {
				has(q)
			}
		}
		if !may {
			met["refused"]++
		}
	})
	t.Log(met, closest)
	assert.Greater(t, met["have the wood"], 50)
	assert.Less(t, closest, 0.001, "no push is sharp")
}

// withinLength tells whether a placed body lies between the slab's ends, where alone
// it may be allowed.
func withinLength(c *place.Case, p place.Placement) bool {
	for _, ring := range []geom.Polygon{c.Footprint(p), c.BackFootprint(p)} {
		if b := ring.Bounds(); b.Min.X < 3 || b.Max.X > c.Slab.Length-3 {
			return false
		}
	}
	return true
}

// thin is a small body in a slab that is so bowed, bent like an S or rising, and so
// thin, that it fits nowhere, and would have to be tilted in a thicker one.
type thin struct {
	bow, bend, rise, thick, more float64
	face                         place.Face
	knot                         bool
}

func (k thin) fit(t *testing.T) *place.Case {
	const length = 460
	s := board(length, 1, strip(55, pale), strip(60, brown), strip(55, pale))
	s.Profile = slab.Profile{}
	for x := 0.0; x <= length; x += 23 {
		u := x / length
		z := 100 + k.bow*4*u*(1-u) + k.bend*math.Sin(2*math.Pi*u) + k.rise*u
		s.Profile.Bottom = append(s.Profile.Bottom, slab.Station{X: x, Value: z})
		s.Profile.Top = append(s.Profile.Top, slab.Station{X: x, Value: z + k.thick + k.more*u})
	}
	if k.knot {
		s.Flaws = []slab.Flaw{{Name: "knot", Kind: "knot", From: -1000, To: 1000, Radius: 10, At: geom.Pt(220, 80)}}
	}
	w := place.DefaultWish()
	w.Angles = &[2]float64{-0.15, 0.1}
	w.Faces = []place.Face{k.face}
	b := plainBody(200, 125, 40, 0.1)
	c, err := place.NewCase(s, b, place.Need{Kerf: 3, Margin: 2, Flatten: 1}, w)
	require.NoError(t, err)
	return c
}

// slowThickness is the least thickness that is missing of all places on a lattice and
// round the best of them, each laid level or in its best plane.
func slowThickness(c *place.Case) float64 {
	least := math.Inf(1)
	var at place.Placement
	try := func(p place.Placement) bool {
		level := c.Eased(0, 0, 100).Settle(p)
		tilted, _ := c.BestTilt(p)
		better := false
		for _, q := range []place.Placement{level, tilted} {
			by := -2 * c.SlackAtBestHeight(q)
			if w := c.Wish.Angles; by < least && q.Angle >= w[0] && q.Angle <= w[1] && c.Eased(0, 0, by/2+1e-6).ClearInPlan(q) {
				least, at, better = by, p, true
			}
		}
		return better
	}
	for x := 90.0; x <= 370; x += 14 {
		for y := -30.0; y <= 30; y += 15 {
			for _, a := range []float64{-0.15, -0.07, 0, 0.05, 0.1} {
				try(place.Placement{X: x, Y: y, Angle: a, Face: c.Wish.Faces[0]})
			}
		}
	}
	step := 8.0
	for n := 0; step > 0.01 && n < 60; n++ {
		better := false
		for dx := -1.0; dx <= 1; dx++ {
			for dy := -1.0; dy <= 1; dy++ {
				for da := -1.0; da <= 1; da++ {
					p := at
					p.X, p.Y, p.Angle = p.X+dx*step, p.Y+dy*step, p.Angle+da*step/100
					better = try(p) || better
				}
			}
		}
		if !better {
			step /= 2
		}
	}
	return least
}

// What a bowed slab lacks in thickness is told within a few hundredths, and a slow
// search over a lattice finds nothing that lacks less.
func TestLeastThicknessOfBowedSlabs(t *testing.T) {
	for name, k := range map[string]thin{
		"bowed":             {bow: 11, rise: 20, thick: 36, face: place.Top},
		"bowed, and a knot": {bow: -9, rise: -50, thick: 38, face: place.Top, knot: true},
		"bent like an S":    {bend: 5, rise: 40, thick: 37, face: place.Bottom},
		"a wedge":           {rise: 55, thick: 39, more: 1, face: place.Bottom},
	} {
		t.Run(name, func(t *testing.T) {
			c := k.fit(t)
			r, found := c.LeastThickness(t, 2)
			require.True(t, found)
			slow := slowThickness(c)
			t.Logf("%.4f to %.4f, slowly %.4f", r.AtLeast, r.By, slow)
			assert.LessOrEqual(t, r.AtLeast, slow+1e-9)
			assert.LessOrEqual(t, r.By, slow+0.02)
			assert.LessOrEqual(t, r.By-r.AtLeast, 0.05)
			assert.True(t, c.Eased(0, 0, r.By/2).Allowed(r.Placement), "%+v", r)
			assert.False(t, r.Placement.Level())
			again, _ := c.LeastThickness(t, 1)
			assert.Equal(t, r, again, "with one worker")
		})
	}
}
