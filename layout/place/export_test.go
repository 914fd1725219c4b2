package place

import (
	"context"
	"math"
	"time"

	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
)

// Span is a range of placements, for tests of what is said about ranges.
type Span struct {
	Face       Face
	X, Y, A    float64
	HX, HY, HA float64
}

func (s Span) span() span {
	return span{face: s.Face, x: s.X, y: s.Y, a: s.A, hx: s.HX, hy: s.HY, ha: s.HA}
}

// Inside is the placement at the fractions fx, fy, fa ∈ [−1, 1] of the range.
func (s Span) Inside(c *Case, fx, fy, fa float64) Placement {
	return c.at(span{face: s.Face, x: s.X + fx*s.HX, y: s.Y + fy*s.HY, a: s.A + fa*s.HA})
}

// LowerTo is a lower bound on the score, blunter where enough is reached.
func (c *Case) LowerTo(s Span, enough float64) float64 {
	var b scratch
	return c.lowerTo(&b, c.lying(s), enough)
}

// Lower is the bound on the score over the range.
func (c *Case) Lower(s Span) float64 { var b scratch; return c.lower(&b, c.lying(s)) }

// lying is the range with what is known of how the body lies in it.
func (c *Case) lying(s Span) span {
	r, _ := c.lie(s.span())
	return r
}

// Lean is how far tilts in the range put points in plan.
func (c *Case) Lean(s Span) float64 { return c.lying(s).lean().any }

// Possible is what is known of the limits over the range, asked one by one and all
// at once.
func (c *Case) Possible(s Span) (possible, clear bool) {
	possible, clear = c.possible(s.span())
	return possible && c.MaySettle(s), clear
}

// MaySettle is what all places of the rim at once tell of the range.
func (c *Case) MaySettle(s Span) bool {
	var b scratch
	r, lies := c.lie(s.span())
	return !lies || c.maySettle(&b, r, c.at(r).Frame().flat(0))
}

// Eased asks for less room to the slab's edge and to hollows, and for less wood
// over and under the body.
func (c *Case) Eased(edge, hollow, flatten float64) *Case {
	return c.loosened(func(d *Case) {
		d.less = rooms{edge, hollow}
		d.Need.Flatten -= flatten
	})
}

// ClearInPlan tells whether a placement keeps clear of the edge and of deep
// obstacles.
func (c *Case) ClearInPlan(p Placement) bool {
	return c.clearInPlan(p.Frame().flat(0), c.asks())
}

// Front is the body's outline as the limits use it.
func (c *Case) Front() geom.Polygon { return c.front }

// Around is the range round a placement.
func (c *Case) Around(p Placement, hx, hy, ha float64) Span {
	s := c.over(p)
	return Span{p.Face, s.x, s.y, s.a, hx, hy, ha}
}

// FieldDepth and FieldSegment ask a field made of the rings.
func FieldDepth(outer geom.Polygon, holes []geom.Convex, step, reach float64) (depth func(geom.Point) float64, segment func(a, b geom.Point) float64, bounds func(geom.Point) (lo, hi float64)) {
	f := newField(outer, holes, step, reach)
	return f.depth, func(a, b geom.Point) float64 { d, _, _ := f.segment(a, b); return d },
		func(p geom.Point) (float64, float64) { return f.atLeast(p), f.atMost(p) }
}

// Sight and the constants of the lines term, for the slow twin.
const (
	Sight    = sight
	Alone    = alone
	Fainter  = fainter
	Glimpsed = glimpsed
)

// Terms are the bounds of the single terms over the range.
func (c *Case) Terms(s Span) Score {
	var b scratch
	r := c.lying(s)
	t, _ := c.terms(&b, c.at(r).Frame(), r, math.Inf(1))
	return t
}

// Areas are the compared area (the half of it, as summed over the chunks) and
// the area of the seen region.
func (c *Case) Areas() (chunks, seen float64) { return c.look.area, c.look.seen.Area() }

// Slack is the slack of a placement as it stands.
func (c *Case) Slack(p Placement) float64 { return c.slack(p) }

// LevelRoom is how much wood a level body has to spare at the place of p.
func (c *Case) LevelRoom(p Placement) float64 {
	lo, hi := c.levelRange(p)
	return hi - lo
}

// SlackAtBestHeight is the most slack of the placement's tilt at any height.
func (c *Case) SlackAtBestHeight(p Placement) float64 {
	for range 4 {
		above, below := c.spare(p, p.Frame())
		p.Height += (above.Value - below.Value) / 2 * math.Abs(p.Frame().W.Z)
	}
	return c.slack(p)
}

// BestTilt is the plane without its bound.
func (c *Case) BestTilt(p Placement) (Placement, float64) {
	q, slack, _ := c.bestTilt(p)
	return q, slack
}

// WithoutReasons leaves out what would have to give where nothing fits.
func (o Options) WithoutReasons() Options {
	o.noReasons = true
	return o
}

// WithPatience stops a search after so many ranges, on any machine.
func (o Options) WithPatience(n int) Options {
	o.patience = n
	return o
}

// MostLeeway is the bound on the leeway of the placements in the range.
func (c *Case) MostLeeway(s Span) float64 {
	lying, ok := c.lie(s.span())
	if !ok {
		return math.Inf(-1)
	}
	return c.mostLeeway(lying, math.Inf(-1))
}

// TabledMirror is the bound on the mirror term over the range that the table
// gives alone.
func (c *Case) TabledMirror(s Span) float64 {
	if c.look.area == 0 || c.table() == nil {
		return 0
	}
	least, _, _ := c.table().mismatch(s.span())
	return least / c.look.area
}

// Mirror is the mirror term of a placement, not weighted.
func (c *Case) Mirror(p Placement) float64 {
	var b scratch
	if c.look.area == 0 {
		return 0
	}
	return c.mirror(&b, p.Frame(), c.over(p)).sum
}

// Wishing is the case with another wish.
func (c *Case) Wishing(t require.TestingT, w Wish) *Case {
	d, err := NewCase(c.Slab, c.Body, c.Need, w)
	require.NoError(t, err)
	d.less = c.less
	d.fitNeeds(c)
	return d
}

// AtMostPairs ends the joint search for two pieces after about n pairs.
func (o Options) AtMostPairs(n int) Options {
	o.pairs = n
	return o
}

// Apart tells whether two placed bodies keep the distance need.
func Apart(a *Case, pa Placement, b *Case, pb Placement, need float64) bool {
	return apart(a, pa, b, pb, need)
}

// Crowd is what is known of two bodies.
type Crowd struct{ crowd }

// NewCrowd makes two bodies ready.
func NewCrowd(a, b *Case) Crowd { return Crowd{newCrowd(a, b)} }

// MostFree is the most that can be left free between the two anywhere in two
// ranges; infinite when one of them is known to hold no room for its body.
func (w Crowd) MostFree(a, b Span) float64 {
	var stands [2]stand
	for i, s := range []Span{a, b} {
		r, lies := w.cases[i].lie(s.span())
		if !lies {
			return math.Inf(1)
		}
		stands[i] = stand{r.flattened(), w.cases[i].leans(r)}
	}
	var room [2][]spot
	free, _ := w.closest(stands, math.Inf(-1), &room)
	return free
}

// CentredAt is what the terms of the centreline are at least at the place (fy, fa) of
// a range, by what goes along straight from its middle.
func (c *Case) CentredAt(s Span, fy, fa float64) float64 {
	t := c.centredTally(c.at(s.span()).Frame(), s.span())
	return t.sum + fy*s.HY*t.perY + fa*s.HA*t.perA
}

// Grip is what holds the body over the range: whether it may have the wood it
// needs, and for a placement in the range whether its tilt is one of those left, and
// what is left of the push there.
func (c *Case) Grip(s Span) (may bool, tells func(p Placement) (tilt bool, left float64)) {
	var b scratch
	r := s.span()
	_, _, tight := c.bestTilt(c.at(r))
	g, may := c.heldTilts(r, tight)
	if may {
		g, may = c.grip(&b, r, g, tight)
	}
	return may, func(p Placement) (bool, float64) {
		q := c.over(Placement{X: p.X, Y: p.Y, Angle: p.Angle, Face: p.Face})
		in := func(r [2]float64, v float64) bool { return v >= r[0]-1e-9 && v <= r[1]+1e-9 }
		turn := math.Remainder(q.a-r.a, 2*math.Pi)
		return in(g.pitch, p.Pitch) && in(g.roll, p.Roll), g.wood.spare + g.wood.x*(q.x-r.x) + g.wood.y*(q.y-r.y) + g.wood.turn*c.radius*turn
	}
}

// LeastThickness is the relaxation of the slab's thickness alone, whatever else is
// asked; not found where no thickness would do.
func (c *Case) LeastThickness(t require.TestingT, workers int) (r Relaxation, found bool) {
	s := &search{c: c, begun: time.Now(), desks: make([]scratch, workers)}
	s.o.Workers = workers
	for _, l := range c.limits() {
		if l.name == "thickness of the slab" {
			r, found, _ := s.ease(context.Background(), l, 0)
			return r, found
		}
	}
	require.Fail(t, "no such limit")
	return r, false
}

// WithoutEach are the relaxations by what might not be there, of a case in which nothing
// fits; false when something does.
func (c *Case) WithoutEach() (helps []Relaxation, useless []string, none bool) {
	ctx := context.Background()
	s := newSearch(c, Options{})
	if s.run(ctx); s.best != nil {
		return nil, nil, false
	}
	var out Infeasible
	s.withoutEach(ctx, &out)
	return out.Relaxations, out.Useless, true
}
