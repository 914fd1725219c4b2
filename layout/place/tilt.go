package place

import (
	"math"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/slab"
)

// tilts is a box of slopes, along the body's centreline and to the left of it.
type tilts struct{ along, left [2]float64 }

// steepest are all slopes that a body may have.
func steepest() tilts {
	t := math.Tan(Steepest)
	return tilts{[2]float64{-t, t}, [2]float64{-t, t}}
}

func middle(r [2]float64) float64 { return (r[0] + r[1]) / 2 }

// most is the greatest |value| of a range, least the least.
func most(r [2]float64) float64 { return max(math.Abs(r[0]), math.Abs(r[1])) }
func least(r [2]float64) float64 {
	if r[0] <= 0 && r[1] >= 0 {
		return 0
	}
	return min(math.Abs(r[0]), math.Abs(r[1]))
}

// secants are the least and the greatest √(1 + slope²) of the box.
func (t tilts) secants() (lo, hi float64) {
	return math.Hypot(1, math.Hypot(least(t.along), least(t.left))), math.Hypot(1, math.Hypot(most(t.along), most(t.left)))
}

// halves cuts the box across its longer side.
func (t tilts) halves() (tilts, tilts) {
	a, b := t, t
	if t.along[1]-t.along[0] > t.left[1]-t.left[0] {
		a.along[1], b.along[0] = middle(t.along), middle(t.along)
	} else {
		a.left[1], b.left[0] = middle(t.left), middle(t.left)
	}
	return a, b
}

func (t tilts) area() float64 { return (t.along[1] - t.along[0]) * (t.left[1] - t.left[0]) }

// turned are the pitches and rolls that planes of these slopes are for a body
// turned by up to ha from the direction in which the slopes are taken.
func (t tilts) turned(f Face, ha float64) (pitch, roll [2]float64) {
	g := math.Hypot(most(t.along), most(t.left)) * ha
	along := [2]float64{t.along[0] - g, t.along[1] + g}
	left := [2]float64{t.left[0] - g, t.left[1] + g}
	p0, _ := tiltOf(f, along[0], 0)
	p1, _ := tiltOf(f, along[1], 0)
	pitch = [2]float64{min(p0, p1), max(p0, p1)}
	hi, lo := math.Cos(least(pitch)), math.Cos(most(pitch))
	roll = [2]float64{
		math.Atan(min(left[0]*lo, left[0]*hi)),
		math.Atan(max(left[1]*lo, left[1]*hi)),
	}
	return pitch, roll
}

// times is the range of the products of two ranges; sines and cosines those of
// the ranges of small angles.
func times(a, b [2]float64) [2]float64 {
	w, x, y, z := a[0]*b[0], a[0]*b[1], a[1]*b[0], a[1]*b[1]
	return [2]float64{min(w, x, y, z), max(w, x, y, z)}
}
func plus(a, b [2]float64) [2]float64 { return [2]float64{a[0] + b[0], a[1] + b[1]} }
func neg(a [2]float64) [2]float64     { return [2]float64{-a[1], -a[0]} }
func sines(a [2]float64) [2]float64   { return [2]float64{math.Sin(a[0]), math.Sin(a[1])} }
func cosines(a [2]float64) [2]float64 {
	return [2]float64{math.Cos(most(a)), math.Cos(least(a))}
}

// A stay is a place on the slab's top or bottom that surely lies over or under
// the body: along the centreline and left of it from the middle of the range,
// its height, and no less than what is taken off the body's face there.
type stay struct{ along, left, z, drop float64 }

// held bounds the planes that have at least so much slack (of a body lying
// anywhere in the plan range s, with a tilt in the box within): it narrows the
// box as far as the wood allows. None at all when it says false.
//
// The body stands square to its faces, so that what of the slab lies over it
// depends on its tilt. Places of the surface that lie over it whatever its
// place in s and its tilt in the box hold every such plane:
//
//	top place z − h − slope·xy ≥ (upper − drop + flatten + slack) · secant
//	h + slope·xy − bottom place z ≥ (lower − drop + flatten + slack) · secant
//
// with h the height of the front at the middle of s. Each pair of a top and a
// bottom place cuts a half of the plane of slopes off; what is left is a
// narrower box, for which more places are sure, and so on.
func (c *Case) held(s span, slack float64, within tilts, tight touching) (tilts, bool) {
	pivot := c.pivot()
	if !c.box.Has(pivot) || c.shape.depth(pivot) <= 0 {
		return within, true // cannot tell
	}
	s = s.flattened()
	p := c.at(s)
	m := p.Frame().flat(0)
	ref := geom.Pt(s.x, s.y)
	sin, cos := math.Sincos(s.a)
	place := func(q geom.Point) (along, left float64) {
		d := q.Sub(ref)
		return d.X*cos + d.Y*sin, d.Y*cos - d.X*sin
	}
	upper, lower := c.sides(p.Face)
	ask := c.Need.Flatten + slack
	room := c.Body.Thickness + 2*ask
	originAlong, originLeft := place(m.o)
	_, originOff := s.moves(pivot.Distance(geom.Point{}))
	_, off := s.moves(0)

	// The front over the pivot: the body's place there is in the slab, or out
	// of it by no more than slack says.
	steep := math.Hypot(most(within.along), most(within.left))
	shift := off + pivot.Distance(geom.Point{})*steep*steep
	high, low := c.facesOver(c.extent.Min.X, c.extent.Max.X)
	_, secant := within.secants()
	lost := max(0, -ask) + c.deepest*secant // the planes may lie out of the slab by so much
	far := shift + steep*(high-low+lost)    // the normal leans so far
	top, bottom := c.facesOver(s.x-far, s.x+far)
	out := lost + steep*shift
	height := [2]float64{bottom - out, top + out}

	box := within
	var over, under []stay
	var ring, spare []geom.Point
	for range 6 {
		steep = math.Hypot(most(box.along), most(box.left))
		pitch, roll := box.turned(p.Face, s.ha)
		origin := plus(height, plus(times(box.along, [2]float64{originAlong, originAlong}), times(box.left, [2]float64{originLeft, originLeft})))
		origin = plus(origin, [2]float64{-steep * originOff, steep * originOff})
		v := view{c: c, s: s, m: m, pitch: pitch, roll: roll, origin: origin}
		over, under = over[:0], under[:0]
		add := func(list []stay, corner int, top bool) []stay {
			if q, drop, ok := v.sure(corner, top); ok {
				x, y := place(q.Plan())
				list = append(list, stay{x, y, q.Z, drop})
			}
			return list
		}
		up, low := c.faces(p.Face)
		for i := 0; i < feelers; i++ {
			over = add(over, i*len(up.corners)/feelers, true)
			under = add(under, i*len(low.corners)/feelers, false)
		}
		for _, k := range tight.upper {
			over = add(over, k, true)
		}
		for _, k := range tight.lower {
			under = add(under, k, false)
		}
		lo, hi := box.secants()
		need := func(way float64) float64 { // the least of way × secant
			if way < 0 {
				return way*hi - outward
			}
			return way*lo - outward
		}
		ring = append(ring[:0], geom.Pt(box.along[0], box.left[0]), geom.Pt(box.along[1], box.left[0]),
			geom.Pt(box.along[1], box.left[1]), geom.Pt(box.along[0], box.left[1]))
		for _, t := range over {
			for _, b := range under {
				// (t − b)·z − slope · (t − b)·xy ≥ room
				free, da, dl := t.z-b.z-need(room-t.drop-b.drop), t.along-b.along, t.left-b.left
				ring, spare = keep(ring, spare, free, da, dl)
			}
		}
		if len(ring) == 0 {
			return tilts{}, false
		}
		before, stood := box, height
		bounds := geom.Bounds(ring...)
		const hair = 1e-12
		box.along = [2]float64{max(box.along[0], bounds.Min.X-hair), min(box.along[1], bounds.Max.X+hair)}
		box.left = [2]float64{max(box.left[0], bounds.Min.Y-hair), min(box.left[1], bounds.Max.Y+hair)}
		for _, t := range over {
			h := math.Inf(-1)
			for _, q := range ring {
				h = max(h, t.z-q.X*t.along-q.Y*t.left-need(upper-t.drop+ask))
			}
			height[1] = min(height[1], h)
		}
		for _, b := range under {
			h := math.Inf(1)
			for _, q := range ring {
				h = min(h, b.z-q.X*b.along-q.Y*b.left+need(lower-b.drop+ask))
			}
			height[0] = max(height[0], h)
		}
		if height[0] > height[1] {
			return tilts{}, false
		}
		if box.area() > 0.7*before.area() && height[1]-height[0] > 0.7*(stood[1]-stood[0]) {
			break
		}
	}
	return box, true
}

// feelers is how many corners of the outline are asked besides those known to
// matter.
const feelers = 16

// keep is the part of a convex ring where free − da·x − dl·y ≥ 0. The two
// slices are used in turn.
func keep(ring, spare []geom.Point, free, da, dl float64) (kept, other []geom.Point) {
	cuts := false
	for _, q := range ring {
		cuts = cuts || free-da*q.X-dl*q.Y < 0
	}
	if !cuts {
		return ring, spare
	}
	spare = spare[:0]
	for i, q := range ring {
		r := ring[(i+1)%len(ring)]
		a, b := free-da*q.X-dl*q.Y, free-da*r.X-dl*r.Y
		if a >= 0 {
			spare = append(spare, q)
		}
		if (a < 0) != (b < 0) {
			spare = append(spare, q.Lerp(r, a/(a-b)))
		}
	}
	return spare, ring
}

// facesOver is the highest top and the lowest bottom between two stations.
func (c *Case) facesOver(x0, x1 float64) (top, bottom float64) {
	_, top, _, _ = slab.Spline(c.Slab.Profile.Top).Range(x0, x1)
	bottom, _, _, _ = slab.Spline(c.Slab.Profile.Bottom).Range(x0, x1)
	return top, bottom
}

// view is a range of places in plan, tilts, and heights of the body's origin.
type view struct {
	c           *Case
	s           span // its middle level, laid by m
	m           flat
	pitch, roll [2]float64
	origin      [2]float64
}

// sure is a place of the slab's top or bottom near a corner of the body's face
// that lies over or under the body everywhere in the view, and how much is taken
// off the face there at most.
func (v view) sure(corner int, top bool) (p geom.Point3, drop float64, ok bool) {
	upper, lower := v.c.faces(v.s.face)
	side := lower
	if top {
		side = upper
	}
	q := side.corners[corner].at
	inward := side.inward[corner]
	in := 0.0
	for k := range 6 {
		p, body, reach := v.looksAt(q.Add(inward.Mul(in)), top)
		depth := 0.0 // at the corner, about
		if k > 0 {
			depth = v.c.shape.depth(body)
		}
		if k > 0 && depth >= reach {
			if side.carved {
				drop = v.c.Body.MostDrop(side.face, body, depth, reach)
			}
			return p, drop, true
		}
		in += 1.05*(reach-depth) + 1e-6
		if in > 2*v.c.radius {
			break
		}
	}
	return geom.Point3{}, 0, false
}

// looksAt is the place of the surface about over the body's place q, and where
// on the body that place can lie at all: within reach of a place of the body.
//
// With a, b, c the place as a level body would have it, (u, v) follow by
// undoing the pitch and then the roll (see Placement.Frame):
//
//	u = a cos pitch − c sin pitch      e = c cos pitch + a sin pitch
//	v = b cos roll + e sin roll
func (v view) looksAt(q geom.Point, top bool) (p geom.Point3, body geom.Point, reach float64) {
	height := func(at geom.Point) float64 {
		lo, hi := v.c.facesAt(at)
		if top {
			return hi
		}
		return lo
	}
	up := v.s.face.upward()
	sp, cp := math.Sincos(middle(v.pitch))
	sr, cr := math.Sincos(middle(v.roll))
	rise := up * (height(v.m.apply(q)) - middle(v.origin))
	a := (q.X + rise*sp) / cp
	b := (q.Y - (rise*cp+a*sp)*sr) / cr
	at := v.m.apply(geom.Pt(a, b))
	p = geom.Point3{X: at.X, Y: at.Y, Z: height(at)}

	c := plus([2]float64{up * p.Z, up * p.Z}, times([2]float64{-up, -up}, v.origin))
	aa, bb := [2]float64{a, a}, [2]float64{b, b}
	us := plus(times(aa, cosines(v.pitch)), neg(times(c, sines(v.pitch))))
	es := plus(times(c, cosines(v.pitch)), times(aa, sines(v.pitch)))
	vs := plus(times(bb, cosines(v.roll)), times(es, sines(v.roll)))
	_, off := v.s.moves(geom.Pt(a, b).Distance(v.c.pivot()))
	return p, geom.Pt(middle(us), middle(vs)), math.Hypot(us[1]-us[0], vs[1]-vs[0])/2 + off
}

// facesAt is surfaces by the quick tables.
func (c *Case) facesAt(p geom.Point) (bottom, top float64) {
	if c.rim != nil && c.rim.atLeast(p) < max(c.Slab.Edge.Covering().TopRadius, c.Slab.Edge.Covering().BottomRadius) {
		return c.surfaces(p)
	}
	bottom, _ = c.bottom.look(p.X)
	top, _ = c.top.look(p.X)
	return bottom, top
}

// mostSlack is a slack that no plane at the place of p is proved to exceed: a
// little over the slack found, or more where that cannot be proved soon.
func (c *Case) mostSlack(p Placement, slack float64, tight touching) float64 {
	s := c.over(p)
	for _, more := range []float64{Exact, 4 * Exact, 16 * Exact, 0.5, 2, 8, 32} {
		if !c.mayHave(s, slack+more, tight) {
			return slack + more
		}
	}
	return math.Inf(1)
}

// finestTilt is a width of slopes that is not halved further.
const finestTilt = 1e-7

// mayHave tells whether a plane somewhere in s may have the slack; false is
// proved. It halves boxes of tilts that do not narrow by themselves.
func (c *Case) mayHave(s span, slack float64, tight touching) bool {
	todo := []tilts{steepest()}
	for range 64 {
		n := len(todo) - 1
		box := todo[n]
		todo = todo[:n]
		if left, any := c.held(s, slack, box, tight); any {
			if max(left.along[1]-left.along[0], left.left[1]-left.left[0]) < finestTilt {
				return true
			}
			if left.area() > box.area()/2 {
				a, b := left.halves()
				todo = append(todo, a, b)
			} else {
				todo = append(todo, left)
			}
		}
		if len(todo) == 0 {
			return false
		}
	}
	return true
}

// mayTilt tells whether some tilt might give the body the wood that a level one
// lacks at the place of p: not where the slab itself is too thin.
func (c *Case) mayTilt(p Placement) bool {
	bottom, top := c.facesAt(p.Plan().Apply(c.pivot()))
	inside, off := c.shape.depth(c.pivot()), (top-bottom)*math.Tan(Steepest)
	if inside > off {
		left := c.Body.Thickness
		if c.carved() {
			left -= c.Body.MostDrop(body.Front, c.pivot(), inside, off) + c.Body.MostDrop(body.Back, c.pivot(), inside, off)
		}
		if top-bottom < left+2*c.Need.Flatten {
			return false
		}
	}
	_, any := c.held(c.over(p), 0, steepest(), touching{})
	return any
}

// levelFrom tells whether every allowed body lies level that, lying level, is between
// two stations. Each has the wood it needs then, clear of the slab's edge; and where
// its edge is rounded, so has each that would come clear of it by being tilted: which
// brings the places of its front nearer to each other in plan.
func (c *Case) levelFrom(x0, x1 float64) bool {
	return c.levelBut(x0, x1, func() float64 {
		_, cos := c.mostTilt(x0, x1)
		return cos
	})
}

// levelBut is levelFrom where the cosine of no tilt is less than least, which is asked
// where it matters.
func (c *Case) levelBut(x0, x1 float64, least func() float64) bool {
	edge, more := c.asks().edge, 0.0
	if c.carved() {
		// Carved faces are asked for wood at corners, which may lie a little
		// beyond the face and the outline, and for what the slab's faces sag
		// between them.
		const off = body.ReliefTolerance
		widest := max(c.fore.widest, c.back.widest)
		x0, x1, edge = x0-off, x1+off, edge-off-c.closer(widest)
		more = 2*off + sags(c.top, widest) + sags(c.bottom, widest)
	}
	e := c.Slab.Edge.Covering()
	rounded := func(edge float64) float64 { return drop(e.TopRadius, edge) + drop(e.BottomRadius, edge) }
	top, bottom, _, _ := c.Slab.HeightRange(x0, x1)
	spare := top - bottom - (c.Body.Thickness + 2*c.Need.Flatten + more)
	if spare < rounded(edge) || !c.slopes || spare >= rounded(0) { // wherever it lies
		return spare >= rounded(edge)
	}
	return spare >= rounded(edge-(1-least())*c.spread)
}

// mostTilt bounds how far from level a body may be tilted, and have the wood it
// needs, that would lie between two stations if it were level: by the sine and the cosine.
//
// The slab's top over one corner of the body and its bottom under another stand at
// least so far apart, square to the body, as it is thick and flattening asks, less what is
// taken off its faces: by n. Of the corners farthest uphill and farthest downhill
// the one is no less beside the other than the body is slim. With t the tilt and d
// the way from the lowest of the bottom to the highest of the top
//
//	slim · sin t + n · cos t ≤ d      1 − cos t = sin t · tan ½t
//
// Both places lie between the stations, or beyond by what a tilt changes.
func (c *Case) mostTilt(x0, x1 float64) (sin, cos float64) {
	off := c.deepest
	if c.carved() {
		off += body.ReliefTolerance
	}
	need := c.Body.Thickness + 2*c.Need.Flatten - 2*off
	sin = math.Sin(math.Atan(math.Sqrt2 * math.Tan(Steepest)))
	cos = math.Sqrt(1 - sin*sin)
	tall := c.top.highest - c.bottom.lowest
	for range 4 {
		far := (1-cos)*c.spread + tall*sin/cos + off*sin
		top, bottom := c.facesOver(x0-far, x1+far)
		tall = min(tall, top-bottom)
		slim := c.slim - 2*Exact - max(0, need)*sin/(1+cos)
		if slim <= 0 {
			break
		}
		sin = min(sin, max(0, tall-need)/slim)
		cos = math.Sqrt(1 - sin*sin)
	}
	return sin, cos
}

// levelAnywhere tells whether levelFrom holds for every part of the slab that is
// as long as a body can lie. Most slabs are thick enough for that, and no range
// of placements then asks about the wood over and under the body.
func (c *Case) levelAnywhere() bool {
	for x := c.extent.Min.X; x < c.extent.Max.X+blockStep; x += blockStep {
		if !c.levelFrom(x-c.radius-blockStep, x+c.radius+blockStep) {
			return false
		}
	}
	return true
}

// lie says what is known of how the body may lie in the range: false when there
// is not the wood for it anywhere, level or tilted. Where a level body has the
// wood all over the range, as in most of most slabs, nothing more is asked.
// Elsewhere the range gets a tilt to be looked at with, about that of its
// middle, and how far in plan any other tilt that Settle may give (or none,
// where a level body may fit) puts a point of the body from there.
func (c *Case) lie(s span) (span, bool) {
	if s, lies, known := c.lieRoughly(s); known {
		return s, lies
	}
	return c.lieFully(s)
}

// lieGripped is lie that asks, too, how the slab's faces grip the body, which tells
// more in ranges that are not large; it need not be small across the slab. The
// corners that held the body in the range of which this is a part are asked first, as
// they are at hand; those that hold it in the middle only where these leave the
// middle the wood.
func (c *Case) lieGripped(b *scratch, s span) (span, bool) {
	before := s.tilt
	s, lies, known := c.lieRoughly(s)
	if known {
		return s, lies
	}
	if !c.slopes || c.thick || !c.grippable(s) {
		return c.lieFully(s)
	}
	var g grip
	may := true
	if before != nil && before.grip != nil {
		if g, may = c.grip(b, s, *before.grip, before.grip.tight); !may {
			return s, false
		}
	}
	if g.lack = -g.wood.spare; g.lack <= 0 {
		_, slack, tight := c.bestTilt(c.at(s))
		if before == nil || before.grip == nil {
			if g, may = c.heldTilts(s, tight); !may {
				return s, false
			}
		}
		if g, may = c.grip(b, s, g, tight); !may {
			return s, false
		}
		g.lack = -2 * slack
	}
	return c.lieAs(s, &g)
}

// grippable tells whether a range is small enough, along the slab and by turning, to
// ask how the faces grip.
func (c *Case) grippable(s span) bool { return s.hx+c.radius*s.ha <= 40 }

// lieRoughly is what of lie takes no time; known is false where more must be asked.
func (c *Case) lieRoughly(s span) (_ span, lies, known bool) {
	if s.sure {
		return s, true, true
	}
	s = s.flattened()
	if !c.slopes || c.thick {
		return s, false, false
	}
	// Most ranges are out of the slab however the body is tilted.
	x0, x1 := c.xRange(c.at(s).Frame().flat(0))
	_, widest := s.moves(c.radius)
	if s.sure = c.levelFrom(x0-widest, x1+widest); s.sure {
		return s, true, true
	}
	pitch, roll := steepest().turned(s.face, s.ha)
	rough := c.leaning(s, pitch, roll, true)
	if !c.mayClear(c.at(rough).Frame().flat(0), rough, c.asks()) {
		return s, false, true
	}
	return s, false, false
}

// lieFully is lie that asks about the wood alone.
func (c *Case) lieFully(s span) (span, bool) { return c.lieAs(s, nil) }

// lieAs is lieFully with what is known of a grip, if anything is.
func (c *Case) lieAs(s span, g *grip) (span, bool) {
	if s.sure {
		return s, true
	}
	if s = s.flattened(); c.thick {
		s.sure = true
		return s, true
	}
	x0, x1 := c.xRange(c.at(s).Frame().flat(0))
	_, widest := s.moves(c.radius)
	if s.sure = c.levelFrom(x0-widest, x1+widest); s.sure {
		return s, true
	}
	level := c.mayBeThick(s, x0, x1, widest)
	if !c.slopes {
		return s, level
	}
	if level && c.rim != nil {
		if s.sure = c.leavesWood(c.at(s), tilt{}, s.ha, widest); s.sure {
			return s, true
		}
	}
	pitch, roll := steepest().turned(s.face, s.ha)
	switch {
	case g != nil:
		pitch, roll = g.pitch, g.roll
		if least(pitch) > 0 || least(roll) > 0 {
			level = false
		}
		if p, r, sure := c.plotTilts(s, widest); sure {
			pitch, roll = p, r
		}
	case c.shape.depth(c.pivot()) > widest: // else nothing surely lies over the body
		var any bool
		if pitch, roll, any = c.tiltsIn(s, widest); !any {
			return s, level
		}
	}
	if level && c.rim != nil {
		least := func() float64 { return math.Cos(most(pitch)) * math.Cos(most(roll)) }
		if s.sure = c.levelBut(x0-widest, x1+widest, least); s.sure {
			return s, true
		}
	}
	s = c.leaning(s, pitch, roll, level)
	s.tilt.grip = g
	return s, true
}

// tiltsIn are the pitches and rolls that Settle may give to tilted bodies in the
// range, false when none: those of its plots, where it is sure that these leave
// the wood that is needed, else of all planes that may leave it.
func (c *Case) tiltsIn(s span, widest float64) (pitch, roll [2]float64, any bool) {
	if pitch, roll, sure := c.plotTilts(s, widest); sure {
		return pitch, roll, true
	}
	const small = 30
	tight := touching{}
	if widest <= small {
		_, _, tight = c.bestTilt(c.at(s))
	}
	may, any := c.held(s, 0, steepest(), tight)
	pitch, roll = may.turned(s.face, s.ha)
	return pitch, roll, any
}

// plotTilts are the pitches and rolls of the plots that the range meets, if it is
// sure that each leaves the wood that is needed all over the range.
func (c *Case) plotTilts(s span, widest float64) (pitch, roll [2]float64, sure bool) {
	list, ok := c.plotsOf(s, plotsMost)
	if !ok {
		return pitch, roll, false
	}
	pitch, roll = [2]float64{math.Inf(1), math.Inf(-1)}, [2]float64{math.Inf(1), math.Inf(-1)}
	middle := c.at(s.flattened())
	for _, at := range list {
		t := c.tiltOn(at)
		if !c.leavesWood(middle, t, s.ha, widest) {
			return pitch, roll, false
		}
		pitch = [2]float64{min(pitch[0], t.pitch), max(pitch[1], t.pitch)}
		roll = [2]float64{min(roll[0], t.roll), max(roll[1], t.roll)}
	}
	return pitch, roll, true
}

// leavesWood tells whether it is sure that a tilt leaves the wood that is needed
// wherever no place of the outline is farther than widest from where the middle puts it,
// and the body turned by no more than ha from there.
//
// It has some wood to spare in the middle; elsewhere it can be so much less: a place
// of the outline moves by widest (a little more, as it leans) over faces that are no
// steeper than this against the plane. As the body turns about an upright axis, its
// plane turns with it and rises or falls by its own slope over the way. The
// height is found within a hair.
//
// The rounding of an edge is taken off first: all of it, wherever the body is. Where
// that is too much, it takes more the nearer the wood comes to the edge, and is
// steepest there.
func (c *Case) leavesWood(middle Placement, t tilt, ha, widest float64) bool {
	const hair = 0.001
	turned := math.Tan(math.Hypot(t.pitch, t.roll)) * ha * c.radius
	q, slack := c.square.laid(middle, t)
	f := q.Frame()
	cos, sin := math.Abs(f.W.Z), math.Hypot(f.W.X, f.W.Y)
	steep, gap := c.against(f, widest)
	rate := cos - (steep+sin/cos)*sin // of upright ways to those square to the body
	if rate <= 0 {
		return false
	}
	factor := max(1.2, 1.1/rate)
	if slack -= factor*(steep*widest+turned) + hair; c.rim == nil || slack <= 0 {
		return slack > 0
	}
	e := c.Slab.Edge.Covering()
	radius, hollow := max(e.TopRadius, e.BottomRadius), 0.0
	bend := max(c.top.bend, c.bottom.bend)
	if !c.bulges && !c.carved() {
		hollow = steep + bend*radius // see spareTilted
	}
	if slack-factor*(e.TopRadius+e.BottomRadius)/2-hollow*radius > 0 {
		return true
	}
	if q, slack = c.laid(middle, t); slack <= 0 {
		return false
	}
	edge := c.woodsEdge(q, gap*sin, 1.5*widest)
	for _, share := range []float64{0.25, 1} { // of its way with the body, the way that the wood goes besides
		all, d := steep, edge-1.2*widest*(1+share)
		switch {
		case d <= 0:
			return false // the foot of a rounding is upright
		case d < radius:
			all += (radius-d)/math.Sqrt(radius*radius-(radius-d)*(radius-d)) + hollow
			if hollow > 0 {
				all += bend * radius
			}
		}
		if rate := cos - (all+sin/cos)*sin; rate > 0 && all*sin <= share*rate {
			return slack-max(1.2, 1.1/rate)*(all*widest+turned)-hair > 0
		}
	}
	return false
}

// woodsEdge is no more than how near to the slab's edge the places of its faces are
// that are looked at for the wood over and under a tilted body. None is farther beside the
// body than beyond; where none is so near to the edge, or may come so by going far, that it lies on
// its rounding, they are not looked at one by one.
func (c *Case) woodsEdge(p Placement, beyond, far float64) float64 {
	f := p.Frame()
	least, closer, off := math.Inf(1), 0.0, beyond
	if c.carved() {
		closer = c.closer(max(c.fore.widest, c.back.widest))
		off += body.ReliefTolerance
	}
	for _, w := range []float64{0, -c.Body.Thickness} {
		d, _, _ := c.hoops.nearest(c.edge, f.flat(w))
		least = min(least, d)
	}
	e := c.Slab.Edge.Covering()
	if least -= off + closer; least-far >= max(e.TopRadius, e.BottomRadius) {
		return least
	}
	least = math.Inf(1)
	ask := func(r *relief, w float64, d geom.Vec3, face *surface) {
		for i := range r.corners {
			k := &r.corners[i]
			q := f.Apply(k.at.X, k.at.Y, w)
			hit := q.Add(d.Mul(c.along(q, d, face.square(q, d), face, 0))).Plan()
			if c.rim.atLeast(hit) < least {
				least = min(least, c.rim.depth(hit))
			}
		}
	}
	upper, lower := c.sides(p.Face)
	top, bottom := c.faces(p.Face)
	up := f.W.Mul(p.Face.upward())
	ask(top, -upper, up, c.top)
	ask(bottom, -lower, up.Mul(-1), c.bottom)
	return least - closer
}

// against is the steepest that a face of the slab is against the plane of a
// placed body, over it and up to off beyond, and how far the faces are from its planes
// there at most, upright.
func (c *Case) against(f Frame, off float64) (steep, gap float64) {
	along, left := -f.W.X/f.W.Z, -f.W.Y/f.W.Z
	x0, x1 := c.xRange(f.flat(0))
	far := off + c.Body.Thickness*math.Tan(Steepest) + 10
	x0, x1 = x0-far, x1+far
	pivot := c.pivot()
	front, back := f.Apply(pivot.X, pivot.Y, 0), f.Apply(pivot.X, pivot.Y, -c.Body.Thickness)
	if back.Z > front.Z {
		front, back = back, front
	}
	const n = 48
	step := (x1 - x0) / n
	for i := range n {
		x := x0 + (float64(i)+0.5)*step
		for _, face := range [...]*surface{c.top, c.bottom} {
			z, m := face.look(x)
			s := math.Abs(m - along)
			if !face.has(x) { // where it ends being level, no bend tells how steep it is
				_, m := face.within(x)
				s = max(s, math.Abs(m-along))
			}
			s += face.bend * step / 2
			steep = max(steep, s)
			plane := front
			if face == c.bottom {
				plane = back
			}
			gap = max(gap, math.Abs(z-plane.Z-along*(x-plane.X))+s*step/2)
		}
	}
	return math.Hypot(steep, left), gap + math.Abs(left)*(c.radius+far)
}

// leaning is the range looked at with a tilt out of these, and what others change.
//
// With pitch p and roll r the front's (u, v) comes to lie, in the directions of
// the level body's axes, at (u cos p + v sin p sin r, v cos r), and the back
// further by the thickness times (sin p cos r, −sin r). So much follows from
// Placement.Frame.
func (c *Case) leaning(s span, pitch, roll [2]float64, level bool) span {
	if level {
		pitch = [2]float64{min(0, pitch[0]), max(0, pitch[1])}
		roll = [2]float64{min(0, roll[0]), max(0, roll[1])}
	}
	l := &leaning{pitch: middle(pitch), roll: middle(roll)}
	s.tilt = l
	sp, cp := math.Sincos(l.pitch)
	sr, cr := math.Sincos(l.roll)
	from := func(r [2]float64, value float64) float64 { return max(math.Abs(r[0]-value), math.Abs(r[1]-value)) }
	dcp, dcr := from(cosines(pitch), cp), from(cosines(roll), cr)
	dss := from(times(sines(pitch), sines(roll)), sp*sr)
	u, v := max(math.Abs(c.box.Min.X), math.Abs(c.box.Max.X)), max(math.Abs(c.box.Min.Y), math.Abs(c.box.Max.Y))
	along, left := u*dcp+v*dss, v*dcr
	turned := u*(1-cp) + v*math.Abs(sp*sr) + v*(1-cr) // how far the middle's own tilt puts a point
	if len(c.look.back) > 0 {
		t := c.Body.Thickness
		along += t * from(times(sines(pitch), cosines(roll)), sp*cr)
		left += t * from(sines(roll), sr)
		turned += t * (math.Abs(sp) + math.Abs(sr))
	}
	// What the tilt shortens is longer on the body than in plan.
	long := 1/(math.Cos(most(pitch))*math.Cos(most(roll))) - 1
	long += math.Abs(sp * sr)
	sin, cos := math.Abs(math.Sin(s.a))+s.ha, math.Abs(math.Cos(s.a))+s.ha
	l.any = math.Hypot(along, left) + s.ha*turned + long*(math.Hypot(s.hx, s.hy)+c.radius*s.ha)
	l.across = along*sin + left*cos + s.ha*turned + long*(s.hy+c.radius*s.ha) +
		min(1, 2*sin*cos)*math.Hypot(along, left) // the mirror of what goes along the strips goes across them as well
	l.skew = 2 * long
	l.vary = dcp + dcr + dss
	return s
}
