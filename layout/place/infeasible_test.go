package place_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// relaxation finds one limit's relaxation by its name.
func relaxation(r place.Result, limit string) (place.Relaxation, bool) {
	for _, x := range r.Infeasible.Relaxations {
		if x.Limit == limit {
			return x, true
		}
	}
	return place.Relaxation{}, false
}

// fits searches and asks that there be nothing.
func nothing(t require.TestingT, s *slab.Slab, b *body.Body, n place.Need, w place.Wish) (*place.Case, place.Result) {
	c, err := place.NewCase(s, b, n, w)
	require.NoError(t, err)
	r := search(t, c, place.Options{})
	require.Nil(t, r.Best)
	require.NotNil(t, r.Infeasible)
	return c, r
}

const (
	edgeRoom   = "room to the slab's edge"
	hollowRoom = "room to hollows, fasteners and flaws"
	allRoom    = "kerf and margin together"
	thickness  = "thickness of the slab"
	planeOff   = "wood to plane away on each face"
	otherFace  = "the other face as the front"
)

// The least loosening that can be told beforehand: AtLeast ≤ it ≤ By, and the two
// within a few hundredths.
func TestLeastRelaxationsInClosedForm(t *testing.T) {
	need := place.Need{Kerf: 3, Margin: 2, Flatten: 1}
	aligned := place.DefaultWish()
	aligned.Angles = &[2]float64{0, 0}
	pocket := func(x0, y0, x1, y1 float64) slab.Flaw {
		return slab.Flaw{Name: "pocket", Kind: "pitch pocket", From: 0, To: 50,
			Ring: geom.Box{Min: geom.Pt(x0, y0), Max: geom.Pt(x1, y1)}.Polygon()}
	}
	for _, c := range []struct {
		name    string
		slab    *slab.Slab
		flaws   []slab.Flaw
		wish    place.Wish
		want    map[string]float64
		useless []string
		hair    float64 // by how much more the checks ask than the shapes say
	}{
		{
			name: "4 mm of room on either side where 5 are asked",
			slab: board(400, 50, strip(108, pale)), wish: place.DefaultWish(),
			want: map[string]float64{edgeRoom: 1}, useless: []string{thickness, planeOff},
		},
		{
			name: "0.02 mm too little",
			slab: board(400, 50, strip(109.96, pale)), wish: place.DefaultWish(),
			want: map[string]float64{edgeRoom: 0.02}, useless: []string{thickness},
		},
		{
			name: "the slab 6 mm narrower than the body",
			slab: board(400, 50, strip(94, pale)), wish: place.DefaultWish(),
			want: map[string]float64{edgeRoom: 8}, useless: []string{thickness},
		},
		{
			name: "1.5 mm too thin",
			slab: board(400, 40.5, strip(140, pale)), wish: place.DefaultWish(),
			want: map[string]float64{thickness: 1.5, planeOff: 0.75}, useless: []string{edgeRoom},
		},
		{
			name: "thinner than the body",
			slab: board(400, 38, strip(140, pale)), wish: place.DefaultWish(),
			want: map[string]float64{thickness: 4}, useless: []string{edgeRoom, planeOff},
		},
		{
			// From the pocket's end at 6 to the slab's at 212 there are 206 mm, of
			// which the body takes 200.
			name: "a pocket at one end",
			slab: board(212, 50, strip(112, pale)), flaws: []slab.Flaw{pocket(-2, -4, 6, 4)}, wish: aligned,
			want:    map[string]float64{edgeRoom: 4, hollowRoom: 4, allRoom: 2},
			useless: []string{thickness},
		},
		{
			// Of what is round, the checks see the polygon round it.
			name: "a knot at one end",
			slab: board(212, 50, strip(112, pale)), flaws: []slab.Flaw{{Name: "knot", Kind: "knot", At: geom.Pt(2, 0), Radius: 4, From: 0, To: 50}}, wish: aligned,
			want: map[string]float64{edgeRoom: 4, hollowRoom: 4, allRoom: 2}, hair: 0.1,
			useless: []string{thickness},
		},
		{
			name: "two pockets with too little between them",
			slab: board(600, 50, strip(150, pale)), wish: aligned,
			flaws:   []slab.Flaw{pocket(-10, -80, 190, 80), pocket(397, -80, 610, 80)},
			want:    map[string]float64{hollowRoom: 1.5},
			useless: []string{},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.slab.Flaws = c.flaws
			fit, r := nothing(t, c.slab, block(200, 100, 40), need, c.wish)
			assert.True(t, r.Infeasible.Proved)
			assert.Equal(t, 0.01, r.Infeasible.Within)
			for limit, want := range c.want {
				x, ok := relaxation(r, limit)
				if !assert.True(t, ok, limit) {
					continue
				}
				assert.Equal(t, place.Millimetres, x.Unit)
				assert.LessOrEqual(t, x.AtLeast, want+c.hair+1e-9, limit)
				assert.GreaterOrEqual(t, x.By, want-1e-9, limit)
				assert.InDelta(t, want, x.By, 0.03+c.hair, limit)
				assert.InDelta(t, want, x.AtLeast, 0.03+c.hair, limit)
				assert.LessOrEqual(t, x.By-x.AtLeast, 0.03)
				onlyFails(t, fit, x)
			}
			for _, name := range c.useless {
				assert.Contains(t, r.Infeasible.Useless, name)
			}
		})
	}
}

// The wishes that were made into limits, of a body 200 × 100 mm that keeps 5 mm
// from the edges of a slab 400 × 150 mm.
func TestLeastRelaxationsOfMusts(t *testing.T) {
	const degree = math.Pi / 180
	need := place.Need{Kerf: 3, Margin: 2, Flatten: 1}
	straight := &[2]float64{0, 0}
	// The steepest that the body may lie: 200 sin a + 100 cos a = 140.
	steepest, over := 0.0, math.Pi/4
	for over-steepest > 1e-12 {
		if a := (steepest + over) / 2; 200*math.Sin(a)+100*math.Cos(a) <= 140 {
			steepest = a
		} else {
			over = a
		}
	}
	spotted := block(200, 100, 40)
	spotted.KeepFromGlue = []body.Spot{{Name: "post", At: geom.Pt(0, 0), Radius: 3}}
	// Above the diagonal there is no body.
	half := block(200, 100, 40)
	half.Outline = geom.PathOf(geom.Polygon{geom.Pt(-100, -50), geom.Pt(100, -50), geom.Pt(-100, 50)})
	wide := board(400, 50, strip(30, pale), strip(120, brown)) // the glue line at y = −45
	striped := board(400, 50, strip(20, pale), strip(20, brown), strip(20, pale), strip(20, brown), strip(20, pale), strip(20, brown), strip(20, pale))
	pocket := board(212, 50, strip(112, pale))
	pocket.Flaws = []slab.Flaw{{Name: "pocket", Kind: "pitch pocket", From: 0, To: 50, Ring: geom.Box{Min: geom.Pt(180, -46), Max: geom.Pt(200, -36)}.Polygon()}}

	for _, c := range []struct {
		limit string
		slab  *slab.Slab
		body  *body.Body
		wish  place.Wish
		glue  float64
		unit  place.Unit
		want  float64
	}{
		{limit: "strip 1 on the centreline", slab: wide, want: 40 - 1, // its middle at −60, the body's at −20 at least
			wish: place.Wish{Angles: straight, Strips: []place.StripWish{{Strip: 0, Must: true, Tolerance: 1}}}},
		{limit: "the glue line strip 1 / strip 2 at its place", slab: wide, want: 25 - 10 - 2, // its place 10 off the body's middle, to the right with the bottom up
			wish: place.Wish{Angles: straight, Through: []place.ThroughWish{{Line: 0, V: 10, Must: true, Tolerance: 2}}}},
		{limit: "near the wished x", slab: wide, want: 55 - 1, // the body's middle from 105 on
			wish: place.Wish{Angles: straight, NearX: &place.NearWish{Value: 50, Must: true, Tolerance: 1}}},
		{limit: "grain angle", slab: wide, want: 30*degree - steepest - 2*degree, unit: place.Radians,
			wish: place.Wish{Grain: &place.NearWish{Value: 30 * degree, Must: true, Tolerance: 2 * degree}}},
		{limit: "wished angles", slab: wide, want: 20*degree - steepest, unit: place.Radians,
			wish: place.Wish{Angles: &[2]float64{20 * degree, 50 * degree}}},
		{limit: "glue lines clear of posts and screws", slab: striped, body: spotted, glue: 8, want: 8 - (10 - 3)},
		{limit: "the other face as the front", slab: pocket, body: half, unit: place.YesOrNo,
			wish: place.Wish{Angles: straight, Faces: []place.Face{place.Top}}},
		{limit: "without pocket", slab: pocket, body: half, unit: place.YesOrNo,
			wish: place.Wish{Angles: straight, Faces: []place.Face{place.Top}}},
	} {
		t.Run(c.limit, func(t *testing.T) {
			b, n, w := c.body, need, place.DefaultWish()
			if b == nil {
				b = block(200, 100, 40)
			}
			n.GlueLine = c.glue
			w.Strips, w.Through, w.NearX, w.Angles, w.Faces = c.wish.Strips, c.wish.Through, c.wish.NearX, c.wish.Angles, c.wish.Faces
			if c.wish.Grain != nil {
				w.Grain = c.wish.Grain
			}
			fit, r := nothing(t, c.slab, b, n, w)
			assert.True(t, r.Infeasible.Proved)
			assert.Equal(t, 0.01, r.Infeasible.Within)
			x, ok := relaxation(r, c.limit)
			require.True(t, ok, "%+v", r.Infeasible)
			assert.Equal(t, c.unit, x.Unit)
			fine := 0.02
			if c.unit == place.Radians {
				fine *= degree
			}
			if c.unit != place.YesOrNo {
				assert.LessOrEqual(t, x.AtLeast, c.want+1e-9)
				assert.GreaterOrEqual(t, x.By, c.want-1e-9)
				assert.InDelta(t, c.want, x.By, fine)
				assert.InDelta(t, c.want, x.AtLeast, fine)
			}
			onlyFails(t, fit, x)
			assert.Contains(t, r.Infeasible.Useless, thickness)
		})
	}
}

// checksOf names the checks that ask for a limit.
var checksOf = map[string][]string{
	edgeRoom:   {"outline in the slab"},
	hollowRoom: {"solid wood under the footprint"},
	allRoom:    {"outline in the slab", "solid wood under the footprint"},
	thickness:  {"wood over the body", "wood under the body"},
	planeOff:   {"wood over the body", "wood under the body"},
	otherFace:  {"wished face"},

	"glue lines clear of posts and screws": {"glue line clear of post"},
	"without pocket":                       {"solid wood under the footprint"},
}

// onlyFails asks that a relaxation's placement fail no other checks than its
// limit's, and these by no more than the limit gives.
func onlyFails(t require.TestingT, c *place.Case, x place.Relaxation) {
	for _, k := range c.Check(x.Placement).Checks {
		if k.OK {
			continue
		}
		by := x.By
		if x.Limit == thickness {
			by /= 2 // on each face
		}
		names := checksOf[x.Limit]
		if names == nil {
			names = []string{x.Limit}
		}
		assert.Contains(t, names, k.Name, x.Limit)
		if x.Unit != place.Millimetres {
			continue
		}
		assert.LessOrEqual(t, k.Need-k.Margin, by+1e-6, "%s: %s", x.Limit, k.Name)
	}
}

// What lacks less than is claimed is not claimed: a slab 0.005 mm short of
// the room asked for does not fit, but would with a hundredth less.
func TestNoMoreIsClaimedThanIsProved(t *testing.T) {
	need := place.Need{Kerf: 3, Margin: 2, Flatten: 1}
	_, r := nothing(t, board(400, 50, strip(109.99, pale)), block(200, 100, 40), need, place.DefaultWish())
	assert.True(t, r.Infeasible.Proved)
	assert.Zero(t, r.Infeasible.Within)
	x, ok := relaxation(r, edgeRoom)
	require.True(t, ok)
	assert.InDelta(t, 0.005, x.By, 0.015)
	assert.LessOrEqual(t, x.AtLeast, 0.005)
}

// No placement is allowed in a range of which it is said that nothing may be;
// also where less room is asked for, even none, or the body may stick out.
func TestRangesTellTheTruthOfEasedNeeds(t *testing.T) {
	met := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase(t)
		easy := rapid.Bool().Draw(t, "easy")
		if easy {
			c = roomy(t, c)
		}
		k := c.Need.Clearance()
		c = c.Eased(rapid.Float64Range(0, k+30).Draw(t, "edge"), rapid.Float64Range(0, k).Draw(t, "hollow"), rapid.Float64Range(0, 3).Draw(t, "flatten"))
		at := anyPlacement(t, c)
		if easy {
			at = middling(t, c)
		}
		scale := math.Exp(rapid.Float64Range(math.Log(0.01), math.Log(30)).Draw(t, "log size"))
		r := c.Around(at, scale*rapid.Float64Range(0, 2).Draw(t, "hx"),
			scale*rapid.Float64Range(0, 2).Draw(t, "hy"), scale*rapid.Float64Range(0, 2).Draw(t, "ha")/150)
		possible, _ := c.Possible(r)
		if !possible && c.MaySettle(r) {
			met["refused one by one"]++
		} else if !possible {
			met["refused at once"]++
		}
		fraction := rapid.OneOf(rapid.Float64Range(-1, 1), rapid.SampledFrom([]float64{-1, 1}))
		for range 20 {
			p := c.Settle(r.Inside(c, fraction.Draw(t, "fx"), fraction.Draw(t, "fy"), fraction.Draw(t, "fa")))
			if c.Allowed(p) {
				met["allowed"]++
				assert.True(t, possible, "allowed in an impossible range: %+v in %+v", p, r)
			}
		}
	})
	t.Log(met)
	assert.Greater(t, met["refused at once"], 10)
	assert.Greater(t, met["allowed"], 10)
}

// justKept is the case with musts that a placement keeps by a hair.
func justKept(t *rapid.T, c *place.Case, p place.Placement) *place.Case {
	const hair = 1e-9
	w := c.Wish
	at := func(name string, v float64) float64 { return v + rapid.Float64Range(-50, 50).Draw(t, name) }
	if rapid.Bool().Draw(t, "must x") {
		v := at("x wished", p.X)
		w.NearX = &place.NearWish{Value: v, Must: true, Tolerance: math.Abs(p.X-v) + hair}
	}
	if rapid.Bool().Draw(t, "must grain") {
		g := math.Abs(math.Remainder(p.Angle, math.Pi))
		v := rapid.Float64Range(0, math.Pi/2).Draw(t, "grain")
		w.Grain = &place.NearWish{Value: v, Must: true, Tolerance: math.Abs(g-v) + hair}
	}
	if rapid.Bool().Draw(t, "angles") {
		wide := rapid.Float64Range(0, 6).Draw(t, "wide")
		w.Angles = &[2]float64{p.Angle - hair, p.Angle + wide}
		if rapid.Bool().Draw(t, "at the other end") {
			w.Angles = &[2]float64{p.Angle - wide, p.Angle + hair}
		}
	}
	if rapid.Bool().Draw(t, "must strip") {
		k := rapid.IntRange(0, len(c.Slab.Strips)-1).Draw(t, "strip")
		y0, y1 := c.Slab.Band(k)
		off := 0.0
		for _, u := range []float64{c.Body.Outline.Bounds().Min.X - 1, c.Body.Outline.Bounds().Max.X + 1} {
			off = max(off, math.Abs(p.Plan().Apply(geom.Pt(u, 0)).Y-(y0+y1)/2))
		}
		w.Strips = []place.StripWish{{Strip: k, Must: true, Tolerance: off + hair}}
	}
	if lines := c.Slab.GlueLines(); len(lines) > 0 && rapid.Bool().Draw(t, "must through") {
		k := place.ThroughWish{Line: rapid.IntRange(0, len(lines)-1).Draw(t, "line"), U: rapid.Float64Range(-80, 80).Draw(t, "u"), V: rapid.Float64Range(-40, 40).Draw(t, "v"), Must: true}
		d, _ := geom.PointSegment(p.Plan().Apply(geom.Pt(k.U, k.V)), lines[k.Line].A, lines[k.Line].B)
		k.Tolerance = d + hair
		w.Through = []place.ThroughWish{k}
	}
	return c.Wishing(t, w)
}

// Of a range that holds a placement that just touches, if only at its corner, it is
// never said that nothing is allowed in it.
func TestRangesRoundATouchTellTheTruth(t *testing.T) {
	met := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase(t)
		k := c.Need.Clearance()
		c = c.Eased(rapid.SampledFrom([]float64{0, k, k + 60}).Draw(t, "edge"), rapid.SampledFrom([]float64{0, k / 2, k}).Draw(t, "hollow"), 2)
		at := c.Settle(anyPlacement(t, c))
		for range 5 {
			if c.Allowed(at) {
				break
			}
			at = c.Settle(anyPlacement(t, c))
		}
		if !c.Allowed(at) {
			return
		}
		// Into one direction until it is not allowed any more.
		dir := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "direction")
		lo, hi := 0.0, 2*c.Slab.Length
		slid := func(by float64) place.Placement {
			p := at
			p.X, p.Y = at.X+by*math.Cos(dir), at.Y+by*math.Sin(dir)
			return c.Settle(p)
		}
		for hi-lo > 1e-7 {
			if mid := (lo + hi) / 2; c.Allowed(slid(mid)) {
				lo = mid
			} else {
				hi = mid
			}
		}
		p := slid(lo)
		c = justKept(t, c, p)
		size := math.Exp(rapid.Float64Range(math.Log(0.001), math.Log(20)).Draw(t, "log size"))
		hx, hy, ha := size*rapid.Float64Range(0, 2).Draw(t, "hx"), size*rapid.Float64Range(0, 2).Draw(t, "hy"), size*rapid.Float64Range(0, 2).Draw(t, "ha")/150
		// A range that holds the touching placement anywhere, also at its corner.
		r := c.Around(p, hx, hy, ha)
		side := rapid.SampledFrom([]float64{-1, 0, 1})
		r.X, r.Y, r.A = r.X+hx*side.Draw(t, "sx"), r.Y+hy*side.Draw(t, "sy"), r.A+ha*side.Draw(t, "sa")
		possible, _ := c.Possible(r)
		require.True(t, c.Allowed(p))

		met["touched"]++
		assert.True(t, possible, "%+v is allowed in %+v; at once: %v", p, r, c.MaySettle(r))
	})
	t.Log(met)
	assert.Greater(t, met["touched"], 10)
}

// Boxes in rectangles: what the room to the edge lacks follows from the shorter
// sides, whichever way the body is turned.
func TestLeastRelaxationsOfRandomRectangles(t *testing.T) {
	left := 12 // each takes as long as a few searches
	rapid.Check(t, func(t *rapid.T) {
		if left--; left < 0 {
			return
		}
		width := rapid.Float64Range(60, 160).Draw(t, "body width")
		length := width + rapid.Float64Range(10, 200).Draw(t, "body longer by")
		thick := rapid.Float64Range(20, 50).Draw(t, "body thickness")
		need := place.Need{Kerf: rapid.Float64Range(0, 4).Draw(t, "kerf"), Margin: rapid.Float64Range(0, 4).Draw(t, "margin"), Flatten: rapid.Float64Range(0, 2).Draw(t, "flatten")}
		lack := rapid.Float64Range(0.03, 8).Draw(t, "lack") // with a hundredth less on each face it still does not fit
		long := 3 * length
		what, s := edgeRoom, board(long, thick+10, strip(width+2*need.Clearance()-2*lack, pale))
		if rapid.Bool().Draw(t, "too thin") {
			what, s = thickness, board(long, thick+2*need.Flatten-lack, strip(width+2*need.Clearance()+10, pale))
		}
		c, r := nothing(t, s, block(length, width, thick), need, place.DefaultWish())
		assert.True(t, r.Infeasible.Proved)
		assert.Equal(t, 0.01, r.Infeasible.Within)
		x, ok := relaxation(r, what)
		require.True(t, ok)
		assert.LessOrEqual(t, x.AtLeast, lack+1e-9)
		assert.GreaterOrEqual(t, x.By, lack-1e-9)
		assert.LessOrEqual(t, x.By-x.AtLeast, 0.03)
		onlyFails(t, c, x)
		by, least := x.Told()
		assert.GreaterOrEqual(t, by, x.By-1e-7)
		assert.LessOrEqual(t, least, x.AtLeast+1e-7)
		assert.InDelta(t, x.By, by, 0.01)
	})
}

// A search for room proves no more than one for looks: the needs as they are, and
// a hair less where that holds.
func TestNothingFitsInASearchForRoom(t *testing.T) {
	need := place.Need{Kerf: 3, Margin: 2, Flatten: 1}
	for _, c := range []struct{ width, within float64 }{{109.9, 0.01}, {109.99, 0}} {
		fit, err := place.NewCase(board(400, 50, strip(c.width, pale)), block(200, 100, 40), need, place.DefaultWish())
		require.NoError(t, err)
		r := search(t, fit, place.Options{Prefer: place.Room})
		require.NotNil(t, r.Infeasible)
		assert.True(t, r.Infeasible.Proved)
		assert.Equal(t, c.within, r.Infeasible.Within)
	}
}

// Stopped by hand while it asks what could give, it tells what is known by then.
func TestRelaxationsStoppedByHand(t *testing.T) {
	need := place.Need{Kerf: 3, Margin: 2, Flatten: 1}
	c, err := place.NewCase(board(400, 50, strip(108, pale)), block(200, 100, 40), need, place.DefaultWish())
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	r, err := c.Search(ctx, place.Options{Progress: func(p place.Progress) {
		if strings.HasSuffix(p.Doing, thickness) {
			cancel()
		}
	}})
	require.NoError(t, err)
	require.NotNil(t, r.Infeasible)
	assert.True(t, r.Infeasible.Proved)
	assert.Len(t, r.Infeasible.Relaxations, 1)
	assert.Empty(t, r.Infeasible.Useless)
}

// Musts that speak against each other leave nothing, however much room there is,
// and that is proved.
func TestMustsAgainstEachOther(t *testing.T) {
	w := place.DefaultWish()
	w.Strips = []place.StripWish{{Strip: 0, Must: true, Tolerance: 1}, {Strip: 2, Must: true, Tolerance: 2}}
	_, r := nothing(t, board(900, 50, strip(200, pale), strip(100, brown), strip(200, pale)), block(100, 60, 40), place.DefaultNeed(), w)
	assert.True(t, r.Infeasible.Proved)
	// Their middles are 300 mm apart.
	for limit, want := range map[string]float64{"strip 1 on the centreline": 300 - 2 - 1, "strip 3 on the centreline": 300 - 1 - 2} {
		x, ok := relaxation(r, limit)
		require.True(t, ok, "%+v", r.Infeasible)
		assert.InDelta(t, want, x.By, 0.02)
		assert.LessOrEqual(t, x.AtLeast, want+1e-9)
	}
	assert.Contains(t, r.Infeasible.Useless, edgeRoom)
}

// What fails of the body itself is told besides.
func TestBodysOwnFailuresAreTold(t *testing.T) {
	b := block(200, 100, 40)
	b.Limits.RouterBit = 6 // and its inward corners are not known to be so wide
	_, r := nothing(t, board(400, 50, strip(90, pale)), b, place.DefaultNeed(), place.DefaultWish())
	var failing []string
	for _, k := range b.Check() {
		if !k.OK {
			failing = append(failing, k.Name)
		}
	}
	require.NotEmpty(t, failing)
	var told []string
	for _, k := range r.Infeasible.Body {
		told = append(told, k.Name)
	}
	assert.Equal(t, failing, told)
}
