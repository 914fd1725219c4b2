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
	assert.InDelta(t, 500-100-220-5, r.Wander.Along, fine)
	assert.InDelta(t, 220-100-5, r.Wander.Back, fine)
	assert.InDelta(t, 100-50-10-5, r.Wander.Left, fine)
	assert.InDelta(t, 100-50+10-5, r.Wander.Right, fine)
	// Turned by a, its corner is 100 sin a + 50 cos a over the middle; that is
	// 85 at a = asin(85 / √(100² + 50²)) − atan(50/100).
	want := math.Asin(85/math.Hypot(100, 50)) - math.Atan2(50, 100)
	assert.InDelta(t, want, r.Wander.TurnLeft, fine/80)
	assert.InDelta(t, want, r.Wander.TurnRight, fine/80)
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
	assert.LessOrEqual(t, r.Spacious.Most-r.Spacious.Clearance, 0.01+1e-9)
	assert.InDelta(t, c.Clearance(r.Best.Placement), r.Spacious.Clearance, 1e-9)
	// Straight, in the middle of 130 … 600, it has (470 − 430) / 2 = 20 mm; the
	// flaw is round, and a slab's corner has more than its sides, so a body laid
	// askew or aside may have a little more, never less.
	assert.GreaterOrEqual(t, r.Spacious.Clearance, 20-0.03)
	assert.True(t, c.Allowed(r.Best.Placement))
}

// No allowed placement has more clearance than is proved; nor do those near the
// best.
func TestRoomIsProved(t *testing.T) {
	w := place.DefaultWish()
	w.Faces, w.Angles = []place.Face{place.Top}, &[2]float64{-0.5, 0.5}
	c, err := place.NewCase(lopsided(0), plainBody(220, 150, 44, 0.1), place.DefaultNeed(), w)
	require.NoError(t, err)
	r := search(t, c, place.Options{Prefer: place.Room})
	require.NotNil(t, r.Spacious)
	require.LessOrEqual(t, r.Spacious.Most-r.Spacious.Clearance, 0.01+1e-9)
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlacement(t, c)
		if rapid.Bool().Draw(t, "near") {
			one := rapid.Float64Range(-1, 1)
			p = r.Best.Placement // of the others, those turned too far are not allowed
			p.X, p.Y, p.Angle = p.X+20*one.Draw(t, "dx"), p.Y+one.Draw(t, "dy"), p.Angle+0.02*one.Draw(t, "da")
		}
		if p = c.Settle(p); c.Allowed(p) {
			assert.LessOrEqual(t, c.Clearance(p), r.Spacious.Most)
		}
	})
	b, err := c.Robustness(r.Best.Placement)
	require.NoError(t, err)
	for _, v := range []float64{b.Wander.Along, b.Wander.Back, b.Wander.Left, b.Wander.Right} {
		assert.GreaterOrEqual(t, v, r.Spacious.Clearance-c.Need.Clearance()-0.02, "a move uses up no more clearance than its length")
	}
	looks := search(t, c, place.Options{})
	assert.LessOrEqual(t, c.Clearance(looks.Best.Placement), r.Spacious.Most)
	assert.LessOrEqual(t, looks.Bound, r.Best.Score.Total)
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
	assert.LessOrEqual(t, r.Spacious.Most-r.Spacious.Clearance, 0.01+1e-9)
	b, err := c.Robustness(r.Best.Placement)
	require.NoError(t, err)
	assert.InDelta(t, r.Spacious.Clearance, b.Clearance, 1e-9)
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
			A:  rapid.Float64Range(0.3, 1.6).Draw(t, "a"),
			HA: math.Pow(10, rapid.Float64Range(-4, -1.5).Draw(t, "ha"))}
		low := c.Terms(s)
		for _, fa := range []float64{-1, one.Draw(t, "fa"), 1} {
			got := c.Score(s.Inside(c, 0, 0, fa))
			assert.LessOrEqual(t, low.LinesMean, got.LinesMean+1e-9)
			assert.LessOrEqual(t, low.LinesWorst, got.LinesWorst+1e-9)
		}
	})
}
