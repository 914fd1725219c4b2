package place

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"sync"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/slab"
)

// Exact is how far, in mm, the polygons that a Case works with may lie from
// the true curves: the body's outside it, the slab's free wood inside it, so
// that "it fits" is proved of the curves too.
const Exact = 0.005

// reach is the longest edge of the body's polygon; blockStep the size of the
// blocks in which the slab's edges are filed. Both only trade memory for time.
const (
	reach     = 3.0
	blockStep = 8.0
)

// Case is one slab, one body, what is needed and what is wished, made ready
// for many placements. It does not change after NewCase and may be used by
// several goroutines at once.
type Case struct {
	Slab *slab.Slab
	Body *body.Body
	Need Need
	Wish Wish

	front   geom.Polygon // the body's outline, containing the true one; both faces have the same
	box     geom.Box     // of front
	radius  float64      // of front about the pivot
	hull    geom.Polygon // the convex ring round front
	reaches support      // of hull
	slim    float64      // how broad the hull is where it is slimmest
	spread  float64      // (1 − cos) of a tilt moves no point (u, v) of front farther in plan than by so much, √((|u| + |v|)² + v²)
	shape   *field       // the inside of front
	hoops   *hoops       // of front
	solid   []body.Zone  // the body's solid zones, as far as they lie in its outline
	zones   []*hoops     // of them
	bodily  []body.Check // the body's own checks, which no placement changes
	fore    *relief      // the body's front as the slab is asked for wood
	back    *relief
	// the most that contours and edges take off either of them, and the least
	// that they take off all of one
	deepest, shallowest float64

	breadth    breadth      // of outline
	extent     geom.Box     // of outline
	outline    geom.Polygon // the slab's plan outline, inside the true one
	obstacles  []slab.Obstacle
	deep       []int   // obstacles that no allowed height avoids anywhere in the outline, in order of their middles' x
	shallow    []int   // obstacles that some height, or some part of the body, may pass over or under
	wood       *field  // free wood: inside the outline, outside the deep obstacles
	rim        *field  // inside the outline alone; nil when no edge is rounded
	square     *Case   // the same in the slab without its edges' rounding; itself when no edge is rounded
	bulges     bool    // the outline has no hollow in it
	hollowness float64 // of outline

	top, bottom *surface // the slab's faces without the rounding of their edges
	slopes      bool     // one of them is not level
	thick       bool     // a level body has the wood it needs anywhere

	middles      []geom.Point // of the obstacles, by index
	changesAlong bool         // some strip changes its wood along its length

	lines  []slab.GlueLine
	edge   *field // inside the outline alone
	hollow *field // outside the deep obstacles alone

	less rooms // how much less room than Need.Clearance is asked for; see limits

	look  look                // the woods as the eye sees them
	table func() *columnTable // of look, made when first asked for
	desks *sync.Pool          // of *scratch
	plots *plots
}

// NewCase makes a case ready. It fails when a wish speaks of a strip or glue
// line that the slab does not have.
func NewCase(s *slab.Slab, b *body.Body, need Need, wish Wish) (*Case, error) {
	c := &Case{Slab: s, Body: b, Need: need, Wish: wish}
	c.easeMusts(justSo, justSo)
	c.desks = &sync.Pool{New: func() any { return new(scratch) }}
	c.fitBody()
	if err := c.fitSlab(nil); err != nil {
		return nil, err
	}
	return c, nil
}

// Changed is the case of a slab that was changed, for the same body, need and
// wish. What the change leaves as it was is not made again.
func (c *Case) Changed(s *slab.Slab) (*Case, error) {
	d := *c
	d.Slab = s
	if err := d.fitSlab(c); err != nil {
		return nil, err
	}
	return &d, nil
}

// fitBody makes ready what depends on the body alone.
func (c *Case) fitBody() {
	b := c.Body
	c.front = fine(b.Outline.FlattenOutside(Exact))
	c.box = c.front.Bounds()
	for _, q := range c.front {
		c.radius = math.Max(c.radius, q.Distance(c.pivot()))
	}
	c.hull = hull(c.front)
	c.reaches = newSupport(c.hull)
	c.slim = c.reaches.slimmest()
	for _, q := range c.front {
		c.spread = max(c.spread, math.Hypot(math.Abs(q.X)+math.Abs(q.Y), q.Y))
	}
	c.hoops = newHoops(c.front, c.pivot())
	c.shape = newField(c.front, nil, blockStep, reach)
	for _, z := range b.Solid {
		if z.Ring = c.inBody(z.Ring.CCW()); len(z.Ring) == 0 {
			continue
		}
		c.solid = append(c.solid, z)
		c.zones = append(c.zones, newHoops(fine(z.Ring), c.pivot()))
	}
	c.bodily = b.Check()
	c.fore, c.back = c.newReliefs()
	c.deepest, c.shallowest = c.drops()
}

// fitSlab makes ready what depends on the slab, too. The case was, if there is
// one, is of the same body, need and wish, with another slab.
func (c *Case) fitSlab(was *Case) error {
	s, wish := c.Slab, c.Wish
	c.outline = s.Outline().FlattenInside(Exact)
	c.extent = c.outline.Bounds()
	c.breadth = newBreadth(c.outline, blockStep)
	c.bulges, c.hollowness = bulges(c.outline), hollowness(c.outline)
	c.top, c.bottom = newSurface(s.Profile.Top, s.Length), newSurface(s.Profile.Bottom, s.Length)
	c.slopes = !c.top.level() || !c.bottom.level()
	c.obstacles = s.Obstacles()
	c.fitNeeds(was)
	c.changesAlong = false
	for _, st := range s.Strips {
		c.changesAlong = c.changesAlong || len(st.Pieces) > 1
	}
	for _, w := range wish.Strips {
		if w.Strip < 0 || w.Strip >= len(s.Strips) {
			return fmt.Errorf("wished strip %d: the slab has strips 1 to %d", w.Strip+1, len(s.Strips))
		}
	}
	c.lines = s.GlueLines()
	for _, w := range wish.Through {
		if w.Line < 0 || w.Line >= len(c.lines) {
			return fmt.Errorf("wished glue line %d: the slab has glue lines 1 to %d", w.Line+1, len(c.lines))
		}
	}
	var err error
	if c.look, err = c.newLook(c.lines, was); err != nil {
		return err
	}
	if was == nil || !was.looksLike(c) {
		c.table = sync.OnceValue(c.newColumns)
	}
	return nil
}

// fitNeeds makes ready what depends on the slab and on what is needed in it. The
// case was, if there is one, may have been of another slab, or of other needs.
func (c *Case) fitNeeds(was *Case) {
	s, b := c.Slab, c.Body
	c.plots = new(plots)
	c.thick = c.levelAnywhere()
	low, high := c.heights()
	low, high = low-c.shallowest, high+c.shallowest // where all of a face is carved
	c.middles, c.deep, c.shallow = nil, nil, nil
	for i, o := range c.obstacles {
		c.middles = append(c.middles, geom.Polygon(o.Region).Moments().Centroid())
		// The lowest body the slab could hold fills [low−t, low], the highest
		// [high−t, high], less at most the deepest drop on either face. What
		// meets both meets all between, everywhere in the outline.
		if o.WholeThrough || o.Top > high-b.Thickness+c.deepest && o.Bottom < low-c.deepest {
			c.deep = append(c.deep, i)
		} else {
			c.shallow = append(c.shallow, i)
		}
	}
	c.fileDeep()
	holes := c.holes()
	if was == nil || !was.hasOutline(c) {
		c.edge = newField(c.outline, nil, blockStep, reach)
	}
	c.rim, c.square = nil, c
	if s.Edge != (slab.Edge{}) {
		c.rim = c.edge
		d, plain := *c, *s
		plain.Edge = slab.Edge{}
		d.Slab, d.rim = &plain, nil
		d.square = &d
		c.square = &d
	}
	if was == nil || !was.hasOutline(c) || !was.hasHoles(holes) {
		c.wood = newField(c.outline, holes, blockStep, reach)
		far := c.outline.Bounds().Grow(4 * c.radius).Polygon() // never the nearest
		c.hollow = newField(far, holes, 4*blockStep, reach)
	}
}

// inBody is the part of a zone that lies in the body: round the hole of a strap
// button, say, there is wood to one side only. Of a zone with hollows in its
// ring, a part of the convex ring round it.
func (c *Case) inBody(zone geom.Polygon) geom.Polygon {
	for _, q := range zone {
		if c.shape.depth(q) < 0 {
			return c.front.ClippedTo(geom.Convex(hull(zone)))
		}
	}
	return zone
}

// fine splits edges longer than reach.
func fine(g geom.Polygon) geom.Polygon {
	var out geom.Polygon
	for i, a := range g {
		b := g[(i+1)%len(g)]
		n := int(math.Ceil(a.Distance(b) / reach))
		for k := range max(n, 1) {
			out = append(out, a.Lerp(b, float64(k)/float64(max(n, 1))))
		}
	}
	return out
}

// heights are the lowest and the highest z that the front plane of a level
// body could have anywhere in the slab (for the bottom face: the upper plane).
func (c *Case) heights() (low, high float64) {
	b := c.outline.Bounds()
	low, high = math.Inf(1), math.Inf(-1)
	const n = 512
	for i := range n + 1 {
		x := b.Min.X + b.Width()*float64(i)/n
		low = math.Min(low, c.Slab.BottomAt(x))
		high = math.Max(high, c.Slab.TopAt(x))
	}
	top, bottom := c.Slab.ProfileSlopeBound()
	h := b.Width() / n / 2
	return low - h*bottom + c.Need.Flatten + c.Body.Thickness, high + h*top - c.Need.Flatten
}

// footprint is the outline of the body's front (w = 0) or back
// (w = −thickness) as it lies in the slab's plan, within Exact outside.
func (c *Case) footprint(f Frame, w float64) geom.Polygon { return f.Project(c.front, w) }

// Footprint is the outline in plan of the front plane of a placed body,
// containing the true one within Exact.
func (c *Case) Footprint(p Placement) geom.Polygon { return c.footprint(p.Frame(), 0) }

// BackFootprint is the same of the back plane; it lies under the front's when
// the body is level.
func (c *Case) BackFootprint(p Placement) geom.Polygon {
	return c.footprint(p.Frame(), -c.Body.Thickness)
}

// surfaces gives the heights of the slab's bottom and top at a place in plan,
// with the rounding of its edges.
func (c *Case) surfaces(p geom.Point) (bottom, top float64) {
	bottom, top = c.Slab.BottomAt(p.X), c.Slab.TopAt(p.X)
	if c.rim == nil {
		return bottom, top
	}
	e := c.Slab.Edge.Covering()
	if c.rim.atLeast(p) >= math.Max(e.TopRadius, e.BottomRadius) {
		return bottom, top
	}
	d := c.rim.depth(p)
	return bottom + drop(e.BottomRadius, d), top - drop(e.TopRadius, d)
}

// drop is how much a rounding of radius r takes off the face at distance d
// from the side: a quarter circle tangent to both.
//
//	d = 0 |   __----  d = r
//	      | /
//	      |/
func drop(r, d float64) float64 {
	if d >= r {
		return 0
	}
	d = math.Max(d, 0)
	return r - math.Sqrt(r*r-(r-d)*(r-d))
}

// spare is the wood over the body's upper face and under its lower face, each
// measured square to their planes, least over the body, and where.
func (c *Case) spare(p Placement, f Frame) (above, below Spare) {
	upper, lower := c.sides(p.Face)
	if p.Level() {
		return c.spareLevel(p.Face, f.flat(0), p.Height+upper, p.Height-lower)
	}
	return c.spareTilted(p.Face, f, -upper, -lower)
}

// spareLevel is spare for a level body whose planes lie at the heights upper and
// lower. Of flat faces it is the profile's own extremes over the body's length,
// which are exact, and the corners of the outline that lie on the rounding of
// the slab's edges.
func (c *Case) spareLevel(face Face, m flat, upper, lower float64) (above, below Spare) {
	if c.carved() {
		over, under := c.faces(face)
		above, _ = c.leastLevel(over, m, c.top, nil)
		below, _ = c.leastLevel(under, m, c.bottom, nil)
		above.Value, above.At.Z = above.Value-upper, upper+above.At.Z
		below.Value, below.At.Z = below.Value+lower, lower-below.At.Z
		return above, below
	}
	x0, x1 := c.xRange(m)
	top, bottom, xTop, xBottom := c.Slab.HeightRange(x0, x1)
	above = Spare{top - upper, geom.Point3{X: xTop, Y: math.NaN(), Z: upper}}
	below = Spare{lower - bottom, geom.Point3{X: xBottom, Y: math.NaN(), Z: lower}}
	if c.rim != nil {
		r := max(c.Slab.Edge.Covering().TopRadius, c.Slab.Edge.Covering().BottomRadius)
		c.hoops.near(c.rim, m, r, func(q geom.Point) {
			lo, hi := c.surfaces(q)
			if d := hi - upper; d < above.Value {
				above = Spare{d, geom.Point3{X: q.X, Y: q.Y, Z: upper}}
			}
			if d := lower - lo; d < below.Value {
				below = Spare{d, geom.Point3{X: q.X, Y: q.Y, Z: lower}}
			}
		})
	}
	return above, below
}

// xRange is how far along the slab the plane m of the body reaches.
func (c *Case) xRange(m flat) (lo, hi float64) {
	lo, hi = c.reaches.over(m.u.X, m.v.X)
	return m.o.X + lo, m.o.X + hi
}

// onOutline gives a point found at a station alone (its Y unknown) the y of
// the outline's corner that lies nearest to the station.
func (c *Case) onOutline(p geom.Point3, m flat) geom.Point3 {
	if !math.IsNaN(p.Y) {
		return p
	}
	best := math.Inf(1)
	x := p.X
	for _, q := range c.front {
		if at := m.apply(q); math.Abs(at.X-x) < best {
			best, p.Y = math.Abs(at.X-x), at.Y
		}
	}
	return p
}

// Spare is a thickness of wood and where it was found.
type Spare struct {
	Value float64
	At    geom.Point3
}

// along is the way from p in direction d (unit) to a face of the slab, with the
// rounding of its edges seen from less nearer to them; way is the one to the
// face without it. Each step leaves the error times (tilt × slope), so that
// few are far below a micron but at the very foot of a rounding.
func (c *Case) along(p geom.Point3, d geom.Vec3, way float64, face *surface, less float64) float64 {
	radius := c.edgeRadius(face)
	q := p.Add(d.Mul(way))
	if radius == 0 || c.rim.atLeast(q.Plan()) >= radius+less {
		return way
	}
	for range 40 {
		z, _ := face.look(q.X)
		if off := c.roundedBy(radius, q.Plan(), less, 0, nil); face == c.top {
			z -= off
		} else {
			z += off
		}
		step := (z - q.Z) / d.Z
		way += step
		if math.Abs(step) < 1e-9 {
			break
		}
		q = p.Add(d.Mul(way))
	}
	return way
}

// levelRange is the range of heights that the upper plane of the body may have
// when it lies level at the place of p; lo > hi when there is none.
func (c *Case) levelRange(p Placement) (lo, hi float64) {
	p.Pitch, p.Roll = 0, 0
	above, below := c.spareLevel(p.Face, p.Frame().flat(0), 0, 0)
	return c.Need.Flatten + c.Body.Thickness - below.Value, above.Value - c.Need.Flatten
}

// zRange is the span of heights that the placed body fills.
func (c *Case) zRange(p Placement) (low, high float64) {
	f := p.Frame()
	low, high = math.Inf(1), math.Inf(-1)
	for _, w := range []float64{0, -c.Body.Thickness} {
		for _, q := range c.front {
			z := f.Apply(q.X, q.Y, w).Z
			low, high = math.Min(low, z), math.Max(high, z)
			if p.Level() {
				break // one corner tells all
			}
		}
	}
	return low, high
}

// Settle gives a placement its height and its tilt. It lies level where a level
// body has the wood for it: in the middle of what the slab allows there, or,
// where an obstacle such as a short pin can be passed over or under, in the
// middle of the tallest span that is clear. Only where it has not, and the slab's
// faces are not both level, it lies tilted as its plot says, or where that has not
// the wood in the best plane of its own, if that has. It does not ask whether the
// placement is allowed.
func (c *Case) Settle(p Placement) Placement {
	p.Pitch, p.Roll = 0, 0
	lo, hi := c.levelRange(p)
	if lo > hi && c.slopes && c.mayTilt(p) {
		if q, slack := c.laid(p, c.tiltOn(c.plotOf(p))); slack >= 0 {
			return q
		}
		if q, slack, _ := c.bestTilt(p); slack >= 0 {
			return q
		}
	}
	return c.settleLevel(p, lo, hi)
}

// Lay is Settle, but a body that must be tilted lies in the best plane of its own
// place, where that leaves noticeably more wood than its plot's.
func (c *Case) Lay(p Placement) Placement {
	p = c.Settle(p)
	if p.Level() {
		return p
	}
	if q, slack, _ := c.bestTilt(p); slack >= c.slack(p)+worthTilting {
		return q
	}
	return p
}

// settleLevel gives a placement the height of a level body whose upper plane
// may lie from lo to hi.
func (c *Case) settleLevel(p Placement, lo, hi float64) Placement {
	p.Pitch, p.Roll = 0, 0
	z := (lo + hi) / 2 // upper plane
	if lo <= hi && len(c.shallow) > 0 {
		z = c.clearSpan(p, lo, hi)
	}
	p.Height = z
	if p.Face == Bottom {
		p.Height = z - c.Body.Thickness
	}
	return p
}

// clearSpan is the middle of the tallest part of [lo, hi] in which a level body
// at the place of p meets no shallow obstacle; the middle of all when there is
// none.
func (c *Case) clearSpan(p Placement, lo, hi float64) float64 {
	t, need := c.Body.Thickness, c.asks().hollow
	type span struct{ lo, hi float64 }
	var blocked []span
	f := p.Frame()
	box := f.Project(c.hull, 0).Bounds().Grow(need)
	upper, lower := body.Front, body.Back
	if p.Face == Bottom {
		upper, lower = lower, upper
	}
	for _, i := range c.shallow {
		o := c.obstacles[i]
		if !box.Meets(geom.Polygon(o.Region).Bounds()) {
			continue
		}
		foot := c.footGap(f, o)
		if foot.Value >= need {
			continue
		}
		b := span{o.Bottom, o.Top + t} // upper planes that meet it
		if c.carved() && !o.WholeThrough {
			b.lo += c.metAt(f, o, foot, upper, c.deepest)
			b.hi -= c.metAt(f, o, foot, lower, c.deepest)
		}
		blocked = append(blocked, b)
	}
	slices.SortFunc(blocked, func(a, b span) int {
		switch {
		case a.lo < b.lo:
			return -1
		case a.lo > b.lo:
			return 1
		}
		return 0
	})
	best, tall := (lo+hi)/2, -1.0
	at := lo
	for _, b := range append(blocked, span{hi, hi}) {
		if end := math.Min(b.lo, hi); end-at > tall {
			best, tall = (at+end)/2, end-at
		}
		at = math.Max(at, b.hi)
	}
	if tall < 0 {
		return (lo + hi) / 2
	}
	return best
}

// meets tells whether obstacle o reaches into the heights low to high.
func meets(o slab.Obstacle, low, high float64) bool {
	return o.WholeThrough || o.Top > low && o.Bottom < high
}

// Allowed tells, as fast as it can, whether Check would pass the placement.
// The body's own checks do not depend on the placement and are not asked.
func (c *Case) Allowed(p Placement) bool {
	f := p.Frame()
	need := c.asks()
	if !c.clearInPlan(f.flat(0), need) {
		return false
	}
	low, high := c.zRange(p)
	if !p.Level() && !c.clearTilted(f, need) {
		return false
	}
	above, below := c.spare(p, f)
	if above.Value < c.Need.Flatten || below.Value < c.Need.Flatten {
		return false
	}
	for _, i := range c.shallow {
		o := c.obstacles[i]
		if meets(o, low, high) && !c.clearOf(f, o, need.hollow) {
			return false
		}
	}
	return c.gluesClear(f) && c.musts(p)
}

// clearInPlan tells whether the plane m of the body keeps the distances need
// from the slab's outline and the deep obstacles.
func (c *Case) clearInPlan(m flat, need rooms) bool {
	if need.edge == need.hollow {
		if !c.hoops.clear(c.wood, m, need.edge) {
			return false
		}
	} else if !c.hoops.clear(c.edge, m, need.edge) || !c.hoops.clear(c.hollow, m, need.hollow) {
		return false
	}
	// The rim of the footprint runs through free wood. A hollow that lies
	// whole under the body would not have been met.
	return !c.swallows(m)
}

// holes are the regions of the deep obstacles.
func (c *Case) holes() []geom.Convex {
	var out []geom.Convex
	for _, i := range c.deep {
		out = append(out, c.obstacles[i].Region)
	}
	return out
}

// fileDeep puts the deep obstacles in order, and gives what deepNear needs.
func (c *Case) fileDeep() {
	slices.SortStableFunc(c.deep, func(i, j int) int { return cmp.Compare(c.middles[i].X, c.middles[j].X) })
}

// deepNear are the deep obstacles of which the middle may lie within far of the
// pivot, in the plane m of the body: a tilt makes ways shorter in plan, never longer.
func (c *Case) deepNear(m flat, far float64) []int {
	x := m.apply(c.pivot()).X
	lo := sort.Search(len(c.deep), func(k int) bool { return c.middles[c.deep[k]].X >= x-far })
	hi := lo + sort.Search(len(c.deep)-lo, func(k int) bool { return c.middles[c.deep[lo+k]].X > x+far })
	return c.deep[lo:hi]
}

// swallows tells whether the middle of a deep obstacle lies under the body.
func (c *Case) swallows(m flat) bool {
	for _, i := range c.deepNear(m, c.radius) {
		q := m.into(c.middles[i])
		if !c.box.Has(q) || c.shape.atMost(q) <= 0 {
			continue
		}
		if c.shape.atLeast(q) > 0 || c.shape.depth(q) > 0 {
			return true
		}
	}
	return false
}
