package place_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/project"
	"slabwright/layout/slab"
)

// box is a rectangular body.
func box(length, width float64) *body.Body {
	return &body.Body{Outline: geom.PathOf(geom.Box{Min: geom.Pt(-length/2, -width/2), Max: geom.Pt(length/2, width/2)}.Polygon()), Thickness: 44}
}

// A rectangle in a rectangle: all of it can be reckoned by hand.
func TestWanderOfARectangle(t *testing.T) {
	s := board(500, 60, strip(100, pale), strip(100, brown))
	need := place.Need{Kerf: 3, Margin: 2, Flatten: 1}
	c, err := place.NewCase(s, box(200, 100), need, place.DefaultWish())
	require.NoError(t, err)
	p := c.Settle(place.Placement{X: 220, Y: 10, Face: place.Top})
	r, err := c.Robustness(p)
	require.NoError(t, err)
	// The polygons are within 0.005 mm of the true shapes, on the safe side.
	const fine = 0.01 + 2*place.Exact + 1e-9
	assert.InDelta(t, 40, r.Clearance, fine)
	assert.InDelta(t, 500-100-220-5, r.Wander.Along.Far, fine)
	assert.InDelta(t, 220-100-5, r.Wander.Back.Far, fine)
	assert.InDelta(t, 100-50-10-5, r.Wander.Left.Far, fine)
	assert.InDelta(t, 100-50+10-5, r.Wander.Right.Far, fine)
	// Turned by a, its corner is 100 sin a + 50 cos a over the middle; that is
	// 85 at a = asin(85 / √(100² + 50²)) − atan(50/100).
	want := math.Asin(85/math.Hypot(100, 50)) - math.Atan2(50, 100)
	assert.InDelta(t, want, r.Wander.TurnLeft.Far, fine/80)
	assert.InDelta(t, want, r.Wander.TurnRight.Far, fine/80)
	assert.InDelta(t, 35, r.Leeway, fine, "40 less kerf and margin")
	for _, w := range []place.Way{r.Wander.Along, r.Wander.Left, r.Wander.TurnLeft} {
		assert.Equal(t, "outline in the slab", w.Until)
	}
}

// What ends a way is named: a knot, a wished angle, or nothing at all.
func TestWhatEndsAWay(t *testing.T) {
	s := board(900, 60, strip(160, pale), strip(160, brown))
	s.Flaws = []slab.Flaw{{Name: "knot", Kind: "knot", Radius: 10, At: geom.Pt(700, 0)}}
	w := place.DefaultWish()
	w.Angles = &[2]float64{-0.1, 0.2}
	need := place.Need{Kerf: 3, Margin: 2, Flatten: 1}
	round := &body.Body{Outline: geom.PathOf(geom.Regular(geom.Pt(0, 0), 60, 300)), Thickness: 44}
	c, err := place.NewCase(s, round, need, w)
	require.NoError(t, err)
	r, err := c.Robustness(c.Settle(place.Placement{X: 400, Angle: 0.05, Face: place.Top}))
	require.NoError(t, err)
	const fine = 0.05 // of the polygons that stand for the circles
	assert.InDelta(t, 300-10-60-5, r.Wander.Along.Far, 0.25, "the knot is taken as a ring of corners round it")
	assert.Equal(t, "solid wood under the footprint", r.Wander.Along.Until)
	assert.InDelta(t, 400-60-5, r.Wander.Back.Far, fine)
	assert.Equal(t, "outline in the slab", r.Wander.Back.Until)
	assert.InDelta(t, 0.15, r.Wander.TurnLeft.Far, 1e-3)
	assert.InDelta(t, 0.15, r.Wander.TurnRight.Far, 1e-3)
	assert.Equal(t, "wished angles", r.Wander.TurnRight.Until)
	_, err = c.Robustness(c.Settle(place.Placement{X: 400, Angle: 0.3, Face: place.Top}))
	assert.ErrorContains(t, err, "does not pass", "the angle is out of the wished ones")

	w.Angles = nil
	c, err = place.NewCase(s, round, need, w)
	require.NoError(t, err)
	r, err = c.Robustness(c.Settle(place.Placement{X: 400, Face: place.Top}))
	require.NoError(t, err)
	assert.Equal(t, place.Way{Far: math.Pi}, r.Wander.TurnLeft, "a disc turns all round")
}

// The nudges are what the score and the limits say of the moved placement.
func TestNudges(t *testing.T) {
	s := board(500, 60, strip(100, pale), strip(100, brown))
	need := place.Need{Kerf: 3, Margin: 2, Flatten: 1}
	c, err := place.NewCase(s, box(200, 100), need, place.Wish{Weights: place.Weights{Grain: 1, NearX: 1}, NearX: &place.NearWish{Value: 300}, Grain: &place.NearWish{}})
	require.NoError(t, err)
	r, err := c.Robustness(c.Settle(place.Placement{X: 220, Y: 44.5, Face: place.Top}))
	require.NoError(t, err)
	require.Len(t, r.Nudges, 6)
	for i, want := range []struct {
		allowed bool
		change  float64
	}{{true, -1}, {true, 1}, {false, 0}, {true, 0}, {false, 1}, {false, 1}} {
		assert.Equal(t, want.allowed, r.Nudges[i].Allowed, i)
		assert.InDelta(t, want.change, r.Nudges[i].Change, 1e-6, i)
	}
	_, err = c.Robustness(c.Settle(place.Placement{X: 90, Face: place.Top}))
	assert.ErrorContains(t, err, "does not pass")
}

// Where looks do not matter, the roomiest place of a rectangle is known: beside
// a hollow, half way between it and the edge.
func TestRoomiestPlaceOfARectangle(t *testing.T) {
	s := board(600, 60, strip(40, pale), strip(160, brown))
	// A flaw of 10 mm radius at x = 120: right of it are 470 mm.
	s.Flaws = []slab.Flaw{{Name: "knot", Kind: "knot", Radius: 10, At: geom.Pt(120, 0)}}
	w := place.DefaultWish()
	w.Angles = &[2]float64{-0.3, 0.3}
	c, err := place.NewCase(s, box(430, 60), place.Need{Kerf: 3, Flatten: 1}, w)
	require.NoError(t, err)
	r := search(t, c, place.Options{Prefer: place.Room})
	require.NotNil(t, r.Best)
	require.NotNil(t, r.Spacious)
	assert.Equal(t, place.ToTheEnd, r.Stopped)
	assert.LessOrEqual(t, r.Spacious.Most-r.Spacious.Leeway, 0.01+1e-9)
	assert.InDelta(t, c.Leeway(r.Best.Placement), r.Spacious.Leeway, 1e-9)
	// Straight, in the middle of 130 … 600, it has (470 − 430) / 2 = 20 mm; the
	// flaw is round, and a slab's corner has more than its sides, so a body laid
	// askew or aside may have a little more, never less.
	assert.GreaterOrEqual(t, r.Spacious.Leeway, 20-3-0.03, "the kerf is 3 mm")
	assert.True(t, c.Allowed(r.Best.Placement))
}

// No allowed placement has more leeway than is proved; nor do those near the
// best. A move uses up no more leeway than its length.
func TestRoomIsProved(t *testing.T) {
	w := place.DefaultWish()
	w.Faces, w.Angles = []place.Face{place.Top}, &[2]float64{-0.5, 0.5}
	b := plainBody(220, 150, 44, 0.1)
	b.KeepFromGlue = []body.Spot{{Name: "post", At: geom.Pt(30, 31), Radius: 2}, {Name: "button", At: geom.Pt(100, 4), Radius: 1.5}}
	c, err := place.NewCase(lopsided(0), b, place.DefaultNeed(), w)
	require.NoError(t, err)
	r := search(t, c, place.Options{Prefer: place.Room})
	require.NotNil(t, r.Spacious)
	require.LessOrEqual(t, r.Spacious.Most-r.Spacious.Leeway, 0.01+1e-9)
	best := r.Best.Placement
	assert.Less(t, c.Leeway(best), c.Clearance(best)-c.Need.Clearance(), "the post has the say")
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlacement(t, c)
		if rapid.Bool().Draw(t, "near") {
			one := rapid.Float64Range(-1, 1)
			p = best // of the others, those turned too far are not allowed
			p.X, p.Y, p.Angle = p.X+20*one.Draw(t, "dx"), p.Y+one.Draw(t, "dy"), p.Angle+0.02*one.Draw(t, "da")
		}
		if p = c.Settle(p); c.Allowed(p) && math.Abs(math.Remainder(p.Angle, 2*math.Pi)) < 0.5 && p.Face == place.Top {
			assert.LessOrEqual(t, c.Leeway(p), r.Spacious.Most)
		}
	})
	f, err := c.Robustness(best)
	require.NoError(t, err)
	for _, v := range []place.Way{f.Wander.Along, f.Wander.Back, f.Wander.Left, f.Wander.Right} {
		assert.GreaterOrEqual(t, v.Far, r.Spacious.Leeway-0.02)
	}
	looks := search(t, c, place.Options{})
	assert.LessOrEqual(t, c.Leeway(looks.Best.Placement), r.Spacious.Most)
	assert.LessOrEqual(t, looks.Bound, r.Best.Score.Total)
}

// What is said of the leeway in a range holds for every placement in it, and a
// placement is allowed in plan just where its leeway is not negative.
func TestLeewayInRanges(t *testing.T) {
	within := 0
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase(t)
		scale := math.Exp(rapid.Float64Range(math.Log(0.01), math.Log(60)).Draw(t, "log size"))
		r := c.Around(anyPlacement(t, c), scale*rapid.Float64Range(0, 4).Draw(t, "hx"),
			scale*rapid.Float64Range(0, 1).Draw(t, "hy"), scale*rapid.Float64Range(0, 1).Draw(t, "ha")/150)
		most := c.MostLeeway(r)
		one := rapid.Float64Range(-1, 1)
		for range 4 {
			p := c.Settle(r.Inside(c, one.Draw(t, "fx"), one.Draw(t, "fy"), one.Draw(t, "fa")))
			l := c.Leeway(p)
			if c.Allowed(p) {
				within++
				assert.GreaterOrEqual(t, l, -1e-9)
				assert.LessOrEqual(t, l, most, "%+v", p)
			}
			dx, dy := one.Draw(t, "dx"), one.Draw(t, "dy")
			q := p
			q.X, q.Y = q.X+dx, q.Y+dy
			if p.Level() {
				assert.InDelta(t, l, c.Leeway(q), math.Hypot(dx, dy)+1e-9, "a move takes no more than its length")
			}
		}
	})
	assert.NotZero(t, within)
}

// Along strips that do not change the score is flat: the body goes where it has
// most room, and the flat range is told.
func TestWhereTheScoreIsFlatTheRoomiestWins(t *testing.T) {
	s := board(900, 60, strip(60, pale), strip(12, red), strip(70, brown), strip(12, red), strip(60, pale))
	c, err := place.NewCase(s, box(300, 120), place.DefaultNeed(), place.DefaultWish())
	require.NoError(t, err)
	r := search(t, c, place.Options{})
	require.NotNil(t, r.Flat)
	assert.LessOrEqual(t, r.Gap, gapAsked(0)+1e-9)
	// 47 mm of room at the sides; at the ends as much is to be had.
	assert.InDelta(t, (214-120)/2, c.Clearance(r.Best.Placement), 0.03)
	assert.InDelta(t, 150+6, r.Flat.XFrom, 0.05)
	assert.InDelta(t, 900-150-6, r.Flat.XTo, 0.05)
	assert.Less(t, r.Flat.YTo-r.Flat.YFrom, 0.1)
	assert.Less(t, r.Flat.AngleTo-r.Flat.AngleFrom, 0.01)
	for _, x := range []float64{r.Flat.XFrom, r.Flat.XTo} {
		p := r.Best.Placement
		p.X = x
		assert.True(t, c.Allowed(p))
		assert.LessOrEqual(t, c.Score(p).Total, r.Bound+gapAsked(0)+1e-9)
	}
}

// The demo forgives, and says how much.
func TestRobustnessOfTheDemo(t *testing.T) {
	d := project.Demo()
	w := d.Wish
	w.Faces, w.Angles = []place.Face{place.Top}, &[2]float64{-0.2, 0.2}
	c, err := place.NewCase(d.Slab, d.Body, d.Need, w)
	require.NoError(t, err)
	r, err := c.Search(context.Background(), place.Options{Prefer: place.Room})
	require.NoError(t, err)
	require.NotNil(t, r.Spacious)
	assert.LessOrEqual(t, r.Spacious.Most-r.Spacious.Leeway, 0.01+1e-9)
	b, err := c.Robustness(r.Best.Placement)
	require.NoError(t, err)
	assert.InDelta(t, r.Spacious.Leeway, b.Leeway, 1e-9)
}

// Bounds on the lines hold at steep angles too, where a turn moves the mirror of
// a point across the strips though the centreline is near.
func TestBoundsAtSteepAngles(t *testing.T) {
	d := project.Demo()
	w := d.Wish
	w.Strips, w.WholeFront = nil, true
	c, err := place.NewCase(d.Slab, d.Body, d.Need, w)
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		one := rapid.Float64Range(-1, 1)
		s := place.Span{Face: place.Top, X: 850 + 250*one.Draw(t, "x"), Y: 20 * one.Draw(t, "y"),
			A:  rapid.Float64Range(0.1, 1.6).Draw(t, "a"),
			HY: rapid.SampledFrom([]float64{0, 1, 12}).Draw(t, "hy"),
			HA: math.Pow(10, rapid.Float64Range(-4, -1.1).Draw(t, "ha"))}
		low := c.Terms(s)
		for _, fa := range []float64{-1, one.Draw(t, "fa"), 1} {
			got := c.Score(s.Inside(c, 0, one.Draw(t, "fy"), fa))
			assert.LessOrEqual(t, low.LinesMean, got.LinesMean+1e-9)
			assert.LessOrEqual(t, low.LinesWorst, got.LinesWorst+1e-9)
		}
	})
}

// Wishes for the centreline cost nowhere less than what goes along straight from the
// middle of a range, and just that in the middle.
func TestCentredTermsGoAlong(t *testing.T) {
	d := benchCase(t, 15, 60, 1)
	rapid.Check(t, func(t *rapid.T) {
		one := rapid.Float64Range(-1, 1)
		w := d.Wish
		w.Strips = []place.StripWish{{Strip: rapid.IntRange(0, len(d.Slab.Strips)-1).Draw(t, "strip")}}
		w.Grain = &place.NearWish{Value: rapid.SampledFrom([]float64{0, 0.2, math.Pi / 2}).Draw(t, "grain")}
		c, err := place.NewCase(d.Slab, d.Body, d.Need, w)
		require.NoError(t, err)
		s := place.Span{Face: rapid.SampledFrom([]place.Face{place.Top, place.Bottom}).Draw(t, "face"), X: 850,
			Y: 150 * one.Draw(t, "y"), A: 4 * one.Draw(t, "a"), HY: 20 * rapid.Float64Range(0, 1).Draw(t, "hy"),
			HA: math.Pow(10, rapid.Float64Range(-4, -0.5).Draw(t, "ha"))}
		if rapid.Bool().Draw(t, "along") {
			s.A /= 20
		}
		cost := func(fy, fa float64) float64 {
			sc := c.Score(s.Inside(c, 0, fy, fa))
			return sc.Strip + sc.Grain
		}
		still := place.Span{Face: s.Face, X: s.X, Y: s.Y, A: s.A}
		assert.InDelta(t, cost(0, 0), c.CentredAt(still, 0, 0), 1e-9)
		for range 4 {
			fy, fa := one.Draw(t, "fy"), one.Draw(t, "fa")
			assert.LessOrEqual(t, c.CentredAt(s, fy, fa), cost(fy, fa)+1e-9)
		}
	})
}

// What is allowed passes the verdict, also where the wood round a strap button's
// hole would reach beyond the body: only what lies in the body is asked for.
func TestAllowedNearAButtonPasses(t *testing.T) {
	d := project.Demo()
	c, err := place.NewCase(d.Slab, d.Body, d.Need, d.Wish)
	require.NoError(t, err)
	for _, p := range []place.Placement{
		{X: 643, Y: -27.5, Angle: 3.1, Height: 20.554339, Face: place.Bottom},
		{X: 656, Y: 87.2, Angle: 1.4, Height: 20.203942, Face: place.Bottom},
	} {
		require.True(t, c.Allowed(p))
		for _, k := range c.Check(p).Checks {
			assert.True(t, k.OK, "%+v", k)
		}
	}
}

// While it looks for what could give, the progress says for which limit.
func TestProgressTellsWhatCouldGive(t *testing.T) {
	w := place.DefaultWish()
	w.Faces, w.Angles = []place.Face{place.Top}, &[2]float64{0, 0}
	c, err := place.NewCase(board(300, 60, strip(200, pale)), box(290, 100), place.DefaultNeed(), w)
	require.NoError(t, err)
	said := map[string]bool{}
	r := search(t, c, place.Options{Progress: func(p place.Progress) { said[p.Doing] = true }})
	require.NotNil(t, r.Infeasible)
	assert.True(t, said["nothing fits; can it give: room to the slab's edge"], "%v", said)
}
