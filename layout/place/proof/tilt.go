package proof

import (
	"fmt"
	"math"

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
	switch {
	case k.carved:
		return fmt.Errorf("it speaks of tilted bodies, but the body is carved")
	case k.c.Slab.Edge != slab.Edge{}:
		return fmt.Errorf("it speaks of tilted bodies, but the slab's edges are rounded")
	case k.body.Depth(k.pivot)*least*least < math.Abs(k.pivot.X)*(1-least)*1.1:
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
	least := k.c.Body.Thickness + 2*k.c.Need.Flatten
	top, _, _, _ := k.topFace.Range(over.from, over.to)
	_, bottom, _, _ := k.underside.Range(over.from, over.to)
	if top-bottom >= least { // as Settle compares them
		return []tilted{lyingLevel}
	}
	var out []tilted
	if !k.tooThin(r, least) {
		out = append(out, lyingLevel)
	}
	if t, sure := k.plotTilts(r, plots); sure {
		return append(out, t)
	}
	if t, any := k.planes(r); any {
		out = append(out, t)
	}
	return out
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

// tooThin tells whether the stations that are under a level body anywhere in the
// range leave it too little wood.
func (k *checker) tooThin(r place.Range, least float64) bool {
	from, to := math.Inf(1), math.Inf(-1)
	for _, q := range k.body {
		b := k.reach(box{r, lyingLevel}, q)
		from, to = min(from, b.Max.X), max(to, b.Min.X)
	}
	if from > to {
		return false
	}
	top, _, _, _ := k.topFace.Range(from, to)
	_, bottom, _, _ := k.underside.Range(from, to)
	return top-bottom < least-fine
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
func (k *checker) leavesWood(r place.Range, at place.Plot) bool {
	p := middle(r, k.pivot)
	p.Pitch, p.Roll = at.Pitch, at.Roll
	q := p.Plan().Apply(k.pivot)
	p.Height = (k.c.Slab.TopAt(q.X) + k.c.Slab.BottomAt(q.X)) / 2
	p.Height -= p.Frame().Apply(k.pivot.X, k.pivot.Y, -k.c.Body.Thickness/2).Z - p.Height
	slack := math.Inf(-1)
	for range 8 {
		over, under := k.c.Spares(p)
		slack = max(slack, min(over, under)-k.c.Need.Flatten)
		if math.Abs(over-under) < 1e-7 {
			break
		}
		p.Height += (over - under) / 2
	}
	if !(slack > hair) {
		return false
	}
	w := p.Frame().W
	along, left := -w.X/w.Z, -w.Y/w.Z // the plane's slopes in the slab
	steep := math.Hypot(along, left)
	level := k.stations(r)
	// The sides of the body stand off the upright by so much between the faces,
	// and a tilt brings its points nearer to its origin.
	const beyond = 100.0
	near := level.wide(beyond)
	_, high, _, _ := k.topFace.Range(near.from, near.to)
	low, _, _, _ := k.underside.Range(near.from, near.to)
	off := (high-low+k.c.Body.Thickness)*steep + (k.radius+math.Abs(k.pivot.X))*steep*steep
	if off > beyond {
		return false
	}
	turn := chord(r.Angle[1]) * (k.radius + off)
	way := math.Hypot(r.X[1], r.Y[1]) + turn + fine
	lost := 0.0
	for _, face := range []profile{k.topFace, k.underside} {
		s := face.slopes(level.wide(off))
		against := math.Hypot(span{s.from - along, s.to - along}.most(), left)
		// Square to the body the way is shorter than upright, but for how the face comes
		// nearer on it.
		rate := (1 - s.most()*steep) / math.Hypot(1, steep)
		if rate < 0.5 {
			return false
		}
		lost = max(lost, (against*way+steep*turn)/rate)
	}
	return slack-lost > hair
}
