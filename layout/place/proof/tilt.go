package proof

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// box is a range of places and how the bodies that lie there are tilted.
type box struct {
	place.Range
	tilted
}

// one tells whether a box is a single placement.
func (b box) one() bool {
	return b.X[1] == 0 && b.Y[1] == 0 && b.Angle[1] == 0 && b.off == shadow{}
}

// shadow is how a tilted body lies in plan. With pitch p and roll r the body's
// point (u, v, w) is
//
//	(u cos p + v sin p sin r + w sin p cos r,  v cos r − w sin r)
//
// from its origin, along and to the left of it as of the same body lying level.
type shadow struct{ uu, vu, wu, vv, wv float64 }

// tilted is how bodies are tilted: about as the shadow says, in each number
// by no more off than that. No way between two points of a face is shorter in
// plan than by the factor shortest.
type tilted struct {
	shadow
	off         shadow
	shortest    float64
	pitch, roll [2]float64 // from, to
}

// lyingLevel is no tilt.
var lyingLevel = tilted{shadow: shadow{uu: 1, vv: 1}, shortest: 1}

// level tells whether all bodies lie level.
func (t tilted) level() bool { return t == lyingLevel }

// tiltedBy are the tilts of a box of pitches and rolls.
func tiltedBy(pitch, roll [2]float64) tilted {
	if pitch == [2]float64{} && roll == [2]float64{} {
		return lyingLevel
	}
	t := tilted{pitch: pitch, roll: roll}
	sp, cp := sines(pitch)
	sr, cr := sines(roll)
	put := func(v span, to, off *float64) { *to, *off = v.middle(), v.half() }
	put(cp, &t.uu, &t.off.uu)
	put(sp.times(sr), &t.vu, &t.off.vu)
	put(sp.times(cr), &t.wu, &t.off.wu)
	put(cr, &t.vv, &t.off.vv)
	put(sr.times(span{-1, -1}), &t.wv, &t.off.wv)
	t.shortest = cp.from * cr.from
	return t
}

// lay is where a point of the front lies level; layAt one of the plane at w.
func (t tilted) lay(q geom.Point) geom.Point { return geom.Pt(t.uu*q.X+t.vu*q.Y, t.vv*q.Y) }

func (t tilted) layAt(q geom.Point, w float64) geom.Point {
	return t.lay(q).Add(geom.V(t.wu, t.wv).Mul(w))
}

// under is the point of the front that lay puts at p.
func (t tilted) under(p geom.Point) geom.Point {
	v := p.Y / t.vv
	return geom.Pt((p.X-t.vu*v)/t.uu, v)
}

// leans is how far other tilts put a point from where layAt does.
func (t tilted) leans(q geom.Point, w float64) (along, left float64) {
	u, v := math.Abs(q.X), math.Abs(q.Y)
	w = math.Abs(w)
	return t.off.uu*u + t.off.vu*v + t.off.wu*w, t.off.vv*v + t.off.wv*w
}

// leansOver is the same along the slab and across it.
func (b box) leansOver(q geom.Point, w float64) (x, y float64) {
	along, left := b.leans(q, w)
	u0, u1 := cosines(b.Angle[0], b.Angle[1])
	v0, v1 := cosines(b.Angle[0]-math.Pi/2, b.Angle[1])
	cos, sin := span{u0, u1}.most(), span{v0, v1}.most()
	return along*cos + left*sin, along*sin + left*cos
}

// leansMost is the most that any point of the body's front leans.
func (k *checker) leansMost(t box) float64 {
	far := geom.Pt(max(-k.box.Min.X, k.box.Max.X), max(-k.box.Min.Y, k.box.Max.Y))
	return math.Hypot(t.leans(far, 0))
}

// span is an interval of numbers.
type span struct{ from, to float64 }

func (a span) middle() float64      { return (a.from + a.to) / 2 }
func (a span) half() float64        { return (a.to - a.from) / 2 }
func (a span) most() float64        { return max(math.Abs(a.from), math.Abs(a.to)) }
func (a span) plus(b span) span     { return span{a.from + b.from, a.to + b.to} }
func (a span) wide(d float64) span  { return span{a.from - d, a.to + d} }
func (a span) less(b span) span     { return span{a.from - b.to, a.to - b.from} }
func (a span) holds(v float64) bool { return a.from <= v && v <= a.to }
func (a span) times(b span) span {
	w, x, y, z := a.from*b.from, a.from*b.to, a.to*b.from, a.to*b.to
	return span{min(w, x, y, z), max(w, x, y, z)}
}

// nearest is the least size of a number in a.
func (a span) nearest() float64 {
	if a.holds(0) {
		return 0
	}
	return min(math.Abs(a.from), math.Abs(a.to))
}

// sines are those, and the cosines, of angles of less than a right one.
func sines(a [2]float64) (sin, cos span) {
	s := span{a[0], a[1]}
	return span{math.Sin(s.from), math.Sin(s.to)}, span{math.Cos(s.most()), math.Cos(s.nearest())}
}

// mayTilt tells whether bodies may be tilted at all in this slab.
func (k *checker) mayTilt() bool {
	for _, f := range []slab.Spline{k.topFace.Spline, k.underside.Spline} {
		if lo, hi, _, _ := f.Range(math.Inf(-1), math.Inf(1)); lo != hi {
			return true
		}
	}
	return false
}

// canTilt tells why the check knows no bound for tilted bodies here, nil where it
// does.
func (k *checker) canTilt() error {
	least := math.Cos(place.Steepest)
	if k.body.Depth(k.pivot)*least*least < math.Abs(k.pivot.X)*(1-least)*1.1 {
		// Else a body in the slab has its pivot, as of the same body lying
		// level, within the bounds of the outline.
		return fmt.Errorf("it speaks of tilted bodies, but the middle of this one may lie out of the slab then")
	}
	return nil
}

// lies are the ways in which allowed bodies may lie in a range: as Settle lays
// them, level wherever a level body has the wood; else with the tilt of the
// plot, where that leaves the wood; else in any plane that does.
func (k *checker) lies(r place.Range, plots []place.Plot) []tilted {
	if !k.tilts {
		return []tilted{lyingLevel}
	}
	over := k.stations(r)
	spare, clear := k.levelSpare(over), k.c.Need.Clearance()
	if spare >= k.roundedAt(0) || spare >= k.roundedAt(clear) && spare >= k.roundedAt(clear-k.leftBy(k.steepest(over))) {
		return []tilted{lyingLevel}
	}
	var out []tilted
	if !k.tooThin(r) {
		if (k.carved || k.roundedAt(0) > 0) && k.leavesWood(r, place.Plot{}) {
			return []tilted{lyingLevel}
		}
		out = append(out, lyingLevel)
	}
	t, any := k.plotTilts(r, plots)
	if !any {
		t, any = k.planes(r)
	}
	if !any || len(out) > 0 && spare >= k.roundedAt(clear) && spare >= k.roundedAt(clear-k.leftBy(t)) {
		return out
	}
	return append(out, t)
}

// levelSpare is how much more wood than it needs a level body between two stations
// surely has, but for the rounding of the slab's edges. Of a carved one the corners that
// are asked for wood may lie a little beyond it, in plan and upward, and the slab's faces may
// sag between them.
func (k *checker) levelSpare(over span) float64 {
	need := k.c.Body.Thickness + 2*k.c.Need.Flatten
	if k.carved {
		const off = body.ReliefTolerance
		over = over.wide(off)
		need += 2*off + 1.11*k.widest*(k.widest/8*(k.topFace.bend+k.underside.bend+2*fine)+(k.topFace.kink+k.underside.kink)/4)
	}
	top, _, _, _ := k.topFace.Range(over.from, over.to)
	_, bottom, _, _ := k.underside.Range(over.from, over.to)
	return top - bottom - need
}

// roundedAt is what the rounding of the slab's edges takes off both its faces, for a
// body of which no point is nearer to the edge than away.
func (k *checker) roundedAt(away float64) float64 {
	if k.carved {
		away -= body.ReliefTolerance + k.nearer
	}
	e := k.c.Slab.Edge.Covering()
	return sunk(e.TopRadius, away) + sunk(e.BottomRadius, away)
}

// sunk is how deep a rounding of the radius r lies under its face at the distance d
// from the side.
func sunk(r, d float64) float64 {
	if d = max(0, d); d >= r {
		return 0
	}
	return r - math.Sqrt(r*r-(r-d)*(r-d))
}

// leftBy is how much farther into the slab the front of a tilted body may lie than
// it would level. So if tilted bodies keep away from the slab's edge, as level ones
// they keep away from it by so much less. An allowed body would be one of the level ones that have
// the wood, and would not be tilted, where that is enough.
func (k *checker) leftBy(t tilted) float64 {
	sp, cp := sines(t.pitch)
	sr, cr := sines(t.roll)
	far := 0.0
	for _, q := range k.body {
		u, v := math.Abs(q.X), math.Abs(q.Y)
		far = max(far, math.Hypot(u*(1-cp.from)+v*sp.times(sr).most(), v*(1-cr.from)))
	}
	return far + fine
}

// steepest are more than all tilts of bodies that have the wood they need, and would be
// over these stations if they lay level. One that is tilted by t has two corners that
// one side of it, t steep, is no shorter than the body is slim. So high and so thick as it is, and as is asked
// of it besides, upright, it must fit between the highest of the top and the lowest of
// the bottom:
//
//	slim · sin t + thick · cos t ≤ high − low
//
// which is more than (slim − thick · tan ½t) · sin t + thick.
func (k *checker) steepest(over span) tilted {
	off := k.deepest
	if k.carved {
		off += body.ReliefTolerance
	}
	thick := k.c.Body.Thickness + 2*k.c.Need.Flatten - 2*off
	t := math.Atan(math.Sqrt2 * math.Tan(place.Steepest))
	tall := math.Inf(1)
	for range 3 {
		bounds := span{math.Inf(-1), math.Inf(1)}
		if !math.IsInf(tall, 1) {
			// In plan a tilt changes the body's places by no more, nor is any place that it
			// has wood at farther beside it.
			bounds = over.wide(2*k.radius*(1-math.Cos(t)) + 2*math.Abs(k.pivot.X)*(1-math.Cos(t)) + tall*math.Tan(t) + off)
		}
		_, high, _, _ := k.topFace.Range(bounds.from, bounds.to)
		low, _, _, _ := k.underside.Range(bounds.from, bounds.to)
		tall = min(tall, high-low)
		if slim := k.slim - max(0, thick)*math.Tan(t/2); slim > 0 {
			t = min(t, math.Asin(min(1, max(0, tall-thick)/slim)))
		}
	}
	return tiltedBy([2]float64{-t, t}, [2]float64{-t, t})
}

// slimmest is no more than the least breadth of the body in any direction.
func (k *checker) slimmest() float64 {
	const ways = 720 // of half a turn; between them no breadth differs by more than its length on the way
	least := math.Inf(1)
	for i := range ways {
		sin, cos := math.Sincos(math.Pi * float64(i) / ways)
		across := span{math.Inf(1), math.Inf(-1)}
		for _, q := range k.body {
			d := cos*q.X + sin*q.Y
			across.from, across.to = min(across.from, d), max(across.to, d)
		}
		least = min(least, across.to-across.from)
	}
	return least - 2*k.radius*math.Pi/ways/2 - 2*place.Exact
}

// allLevel tells whether no allowed body is tilted anywhere in the slab: its faces are
// level, or it is thick enough for level ones wherever they lie.
func (k *checker) allLevel() bool {
	if !k.mayTilt() {
		return true
	}
	b := k.outline.Bounds()
	const step = 10
	for x := b.Min.X; x < b.Max.X+step; x += step {
		if k.levelSpare(span{x - k.radius - step, x + k.radius + step}) < k.roundedAt(0) {
			return false
		}
	}
	return true
}

// stations is how far along the slab a level body reaches in the range.
func (k *checker) stations(r place.Range) span {
	s := span{math.Inf(1), math.Inf(-1)}
	for _, q := range k.body {
		b := k.reach(box{r, lyingLevel}, q)
		s.from, s.to = min(s.from, b.Min.X), max(s.to, b.Max.X)
	}
	return s
}

// tooThin tells whether no level body in the range has the wood that it needs: by the
// stations that are under all of them, or by one corner of the body's upper face and one of
// its lower face.
func (k *checker) tooThin(r place.Range) bool {
	least := k.c.Body.Thickness + 2*k.c.Need.Flatten - fine
	b := box{r, lyingLevel}
	upper, lower := k.faces(r.Face)
	if !k.carved {
		from, to := math.Inf(1), math.Inf(-1)
		for _, q := range k.body {
			at := k.reach(b, q)
			from, to = min(from, at.Max.X), max(to, at.Min.X)
		}
		if from > to {
			return false
		}
		top, _, _, _ := k.topFace.Range(from, to)
		_, bottom, _, _ := k.underside.Range(from, to)
		if top-bottom < least {
			return true
		}
		if e := k.c.Slab.Edge.Covering(); max(e.TopRadius, e.BottomRadius) <= math.Hypot(r.X[1], r.Y[1])+chord(r.Angle[1])*k.radius {
			return false
		}
		return min(top, k.leastOf(b, upper, top, k.mostOver))+min(-bottom, k.leastOf(b, lower, -bottom, k.mostUnder)) < least
	}
	none := math.Inf(1)
	return k.leastOf(b, upper, none, k.mostOver)+k.leastOf(b, lower, none, k.mostUnder) < least
}

// leastOf is the least of what corners of a face give: of all of them where a
// box is a single placement, else of those about the lowest of some.
func (k *checker) leastOf(b box, r body.Relief, so float64, value func(box, body.ReliefPoint) float64) float64 {
	const run, runs = 12, 4
	if b.one() {
		for _, q := range r {
			so = min(so, value(b, q))
		}
		return so
	}
	type first struct {
		at    int
		value float64
	}
	var firsts []first
	for i := 0; i < len(r); i += run {
		firsts = append(firsts, first{i, value(b, r[i])})
	}
	slices.SortFunc(firsts, func(a, b first) int { return cmp.Compare(a.value, b.value) })
	for _, f := range firsts[:min(runs, len(firsts))] {
		for i := f.at; i < min(f.at+run, len(r)); i++ {
			so = min(so, value(b, r[i]))
		}
	}
	return so
}

// slopes is how steep a face of the slab can be between two stations. The slope
// of a piece is a parabola, told by three of its values.
func (p profile) slopes(over span) span {
	if len(p.Spline) < 2 {
		return span{}
	}
	out := span{math.Inf(1), math.Inf(-1)}
	take := func(v float64) { out.from, out.to = min(out.from, v), max(out.to, v) }
	if over.from < p.Spline[0].X || over.to > p.Spline[len(p.Spline)-1].X {
		take(0)
	}
	for i := 0; i+1 < len(p.Spline); i++ {
		x0, x1 := p.Spline[i].X, p.Spline[i+1].X
		if x1 < over.from || x0 > over.to {
			continue
		}
		h := (x1 - x0) / 4
		a, b, c := p.SlopeAt(x0+h), p.SlopeAt(x0+2*h), p.SlopeAt(x0+3*h)
		bend, rise := (a-2*b+c)/2, (c-a)/2 // slope = b + rise t + bend t², t in steps of h from the middle
		at := func(t float64) float64 { return b + (rise+bend*t)*t }
		t0, t1 := max(-2, (over.from-x0)/h-2), min(2, (over.to-x0)/h-2)
		take(at(t0))
		take(at(t1))
		if bend != 0 {
			if t := -rise / (2 * bend); t0 < t && t < t1 {
				take(at(t))
			}
		}
	}
	return out.wide(fine)
}

// hair is the wood, in mm, that a plot's tilt must surely leave besides what is
// needed: Settle finds the height within that.
const hair = 0.001

// plotTilts are the tilts of the plots that the range meets, if all are listed
// and each surely leaves the wood that is needed all over the range.
func (k *checker) plotTilts(r place.Range, listed []place.Plot) (tilted, bool) {
	if len(listed) == 0 {
		return tilted{}, false
	}
	pitch, roll := [2]float64{math.Inf(1), math.Inf(-1)}, [2]float64{math.Inf(1), math.Inf(-1)}
	met, ok := k.meets(r)
	for _, at := range met {
		i := 0
		for i < len(listed) && listed[i].Numbers() != at.Numbers() {
			i++
		}
		if !ok || i == len(listed) || !k.leavesWood(r, listed[i]) {
			return tilted{}, false
		}
		p := listed[i]
		pitch = [2]float64{min(pitch[0], p.Pitch), max(pitch[1], p.Pitch)}
		roll = [2]float64{min(roll[0], p.Roll), max(roll[1], p.Roll)}
	}
	return tiltedBy(pitch, roll), ok
}

// meets are the plots that a range meets; not ok when they are too many, or their
// angles are not in one row.
func (k *checker) meets(r place.Range) (met []place.Plot, ok bool) {
	corner := func(sign float64) place.Plot {
		far := func(v [2]float64) [2]float64 { return [2]float64{v[0] + sign*(v[1]+fine), 0} }
		return k.c.PlotOf(middle(place.Range{Face: r.Face, X: far(r.X), Y: far(r.Y), Angle: far(r.Angle)}, k.pivot))
	}
	a, b := corner(-1), corner(1)
	if r.Angle[1] > 1 || a.Angle > b.Angle || (b.X-a.X+1)*(b.Y-a.Y+1)*(b.Angle-a.Angle+1) > 100 {
		return nil, false
	}
	for x := a.X; x <= b.X; x++ {
		for y := a.Y; y <= b.Y; y++ {
			for t := a.Angle; t <= b.Angle; t++ {
				met = append(met, place.Plot{Face: r.Face, X: x, Y: y, Angle: t})
			}
		}
	}
	return met, true
}

// leavesWood tells whether a body with a plot's tilt, at the best height, surely
// has the wood that is needed all over the range: what it has in the middle, less
// what can be lost on the way from there.
//
// Take the body from the middle to another place: along its own plane, so that
// its height changes with it, and turned about an upright axis through the
// pivot's place. Seen from the body, the slab's face over a corner moves by as
// much as the body does, on a face that is so steep against the plane; and it
// rises or falls by what the plane itself does over the way of the turn.
//
// Of the rounding of the slab's edges either all is taken off, or so much as it takes
// in the middle, and for the way as steep as it is at the place nearest to the
// edge that wood was looked at or can be. Where the outline has hollows, what is taken
// off for them (see place's spare of tilted bodies) grows on the way, too.
func (k *checker) leavesWood(r place.Range, at place.Plot) bool {
	p, slack := k.laid(r, at, k.square)
	if !(slack > hair) {
		return false
	}
	f := p.Frame()
	w := f.W
	along, left := -w.X/w.Z, -w.Y/w.Z // the plane's slopes in the slab
	steep := math.Hypot(along, left)
	sin := steep / math.Hypot(1, steep)
	level := k.stations(r)
	// The sides of the body stand off the upright by so much between the faces,
	// and a tilt brings its points nearer to its origin.
	const beyond = 100.0
	near := level.wide(beyond)
	_, high, _, _ := k.topFace.Range(near.from, near.to)
	low, _, _, _ := k.underside.Range(near.from, near.to)
	off := (high-low+k.c.Body.Thickness)*steep + (k.radius+math.Abs(k.pivot.X))*steep*steep
	if k.carved {
		off += body.ReliefTolerance
	}
	if off > beyond {
		return false
	}
	turn := chord(r.Angle[1]) * (k.radius + off)
	way := math.Hypot(r.X[1], r.Y[1]) + turn + fine
	lost, against, steepest := 0.0, 0.0, 0.0
	for _, face := range []profile{k.topFace, k.underside} {
		s := face.slopes(level.wide(off))
		a := math.Hypot(span{s.from - along, s.to - along}.most(), left)
		// Square to the body the way is shorter than upright, but for how the face comes
		// nearer on it.
		rate := (1 - s.most()*steep) / math.Hypot(1, steep)
		if rate < 0.5 {
			return false
		}
		lost = max(lost, (a*way+steep*turn)/rate)
		against, steepest = max(against, a), max(steepest, s.most())
	}
	e := k.c.Slab.Edge.Covering()
	radius := max(e.TopRadius, e.BottomRadius)
	if slack-lost <= hair || radius == 0 {
		return slack-lost > hair
	}
	hollow, bend := 0.0, 1.01*max(k.topFace.bend, k.underside.bend)+fine
	if !k.bulges && !k.carved {
		hollow = against + bend*radius
	}
	if slack-lost-(e.TopRadius+e.BottomRadius)-hollow*radius > hair {
		return true
	}
	if p, slack = k.laid(r, at, k.c); !(slack > hair) {
		return false
	}
	// On its way the wood goes with the body, and along the line square to it: no
	// farther than twice as far, or this is not sure.
	d := k.c.WoodsEdge(p) - 2*way
	if d <= 0 {
		return false // at its foot a rounding is upright
	}
	if d < radius {
		against += (radius-d)/math.Sqrt(radius*radius-(radius-d)*(radius-d)) + hollow
		steepest += (radius - d) / math.Sqrt(radius*radius-(radius-d)*(radius-d))
		if hollow > 0 {
			against += bend * radius
		}
	}
	rate := (1 - steepest*steep) / math.Hypot(1, steep)
	if rate <= 0 || (against+steep)*sin > rate {
		return false
	}
	return slack-(against*way+steep*turn)/rate > hair
}

// laid is the body in the middle of a range with a plot's tilt, at the height that leaves
// as much wood over it as under it in a case's slab, and the lesser of both beyond
// what flattening takes.
func (k *checker) laid(r place.Range, at place.Plot, c *place.Case) (p place.Placement, slack float64) {
	p = middle(r, k.pivot)
	p.Pitch, p.Roll = at.Pitch, at.Roll
	q := p.Plan().Apply(k.pivot)
	p.Height = (k.c.Slab.TopAt(q.X) + k.c.Slab.BottomAt(q.X)) / 2
	p.Height -= p.Frame().Apply(k.pivot.X, k.pivot.Y, -k.c.Body.Thickness/2).Z - p.Height
	slack = math.Inf(-1)
	for range 8 {
		over, under := c.Spares(p)
		slack = max(slack, min(over, under)-k.c.Need.Flatten)
		if math.Abs(over-under) < 1e-7 {
			break
		}
		p.Height += (over - under) / 2
	}
	return p, slack
}
