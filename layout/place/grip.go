package place

import (
	"math"
	"slices"

	"slabwright/body"
	"slabwright/body/geom"
)

// A grip tells how the slab's faces hold the body all over a range: in which tilts
// alone it may have the wood it needs there, and, as one push, where.
//
// The body grown on both faces by what is to be planed away must lie between the
// slab's faces. A corner of its upper face, at (X, Y, Z), is under the top there:
//
//	top(X) − Z ≥ 0        and of the lower face        Z − bottom(X) ≥ 0
//
// In a range of places, angles and tilts each of these ways is its value in the
// middle and changes about evenly; how far it is from that is bounded by how far
// corners turn and by how much the faces bend. A corner over and one under the body
// add up to a sum in which the body's height is no more, and which must not be
// negative either. Such pairs leave a range of tilts, for which all is known more
// closely, and so on. As the best tilt goes with the place and the angle, tilts are
// then taken from where it goes.
//
// In the end the corners that hold the body in the middle are summed, each with
// such a weight that the tilt does not matter: what is left is a push, sharp to the
// second order of the size of the range.
//
// The faces change along the slab alone, and so it does not matter where across the
// slab the body lies, but for corners that surely lie under the rounding of an edge. The
// rounding, which only takes more, is left out elsewhere, and where the slab's plan has
// a hollow in it.
type grip struct {
	pitch, roll [2]float64
	wood        push
	tight       touching // the corners asked
	lack        float64  // how much thickness is missing in the middle of the range, at least; ≤ 0 if none
}

// tilted is a range of tilts: off by so much from those that a tilt in the middle
// of the range becomes as the body goes along x by dx and turns by da.
type tilted struct {
	tilt
	pitchOff, rollOff [2]float64
	byX, byTurn       tilt
}

// most is by how much pitch and roll may differ from those in the middle.
func (t *tilted) most(s span) (pitch, roll float64) {
	return most(t.pitchOff) + math.Abs(t.byX.pitch)*s.hx + math.Abs(t.byTurn.pitch)*s.ha,
		most(t.rollOff) + math.Abs(t.byX.roll)*s.hx + math.Abs(t.byTurn.roll)*s.ha
}

// all are the pitches and rolls in it.
func (t *tilted) all(s span) (pitch, roll [2]float64) {
	p := math.Abs(t.byX.pitch)*s.hx + math.Abs(t.byTurn.pitch)*s.ha
	r := math.Abs(t.byX.roll)*s.hx + math.Abs(t.byTurn.roll)*s.ha
	return [2]float64{t.pitch + t.pitchOff[0] - p, t.pitch + t.pitchOff[1] + p},
		[2]float64{t.roll + t.rollOff[0] - r, t.roll + t.rollOff[1] + r}
}

// A hold is a way from a corner of the body to the slab's face over it or under
// it, in the middle of a range, and how that changes as the body goes along x,
// turns, pitches and rolls.
type hold struct {
	way, x, y, turn, pitch, roll float64

	under  bool
	corner [3]float64 // in the body
	slope  float64    // of the slab's face
	bend   float64    // the most by which the way bends along x
	far    float64    // from what the corner turns about
	off    float64    // how far along x turns and tilts put it
	steep  float64    // of the rounding of the slab's edge there
}

// weighted is a hold and its share in a sum.
type weighted struct {
	*hold
	share float64
}

// gripping is how often the range of tilts is narrowed at most; below nearly all
// radians, tilts are taken from where the best one goes.
const (
	gripping = 12
	nearly   = 0.06
)

// anyTilt is a grip of which nothing is known.
func anyTilt() grip {
	const steep = Steepest + 1e-6 // the fences of bestTilt give by a hair
	return grip{pitch: [2]float64{-steep, steep}, roll: [2]float64{-steep, steep}}
}

// heldTilts is a grip of the tilts that held leaves, false when it leaves none.
func (c *Case) heldTilts(s span, tight touching) (grip, bool) {
	// Wherever across the slab, and with the edges not rounded, in which there is
	// no less wood.
	d := *c
	d.rim, s.hy = nil, 0
	left, any := d.held(s, 0, steepest(), tight)
	g := anyTilt()
	pitch, roll := left.turned(s.face, s.ha) // of bodies turned off the middle, too
	g.pitch = [2]float64{max(g.pitch[0], pitch[0]), min(g.pitch[1], pitch[1])}
	g.roll = [2]float64{max(g.roll[0], roll[0]), min(g.roll[1], roll[1])}
	return g, any && g.pitch[0] <= g.pitch[1] && g.roll[0] <= g.roll[1]
}

// grip is the grip in the range, of which one is known already that holds there. It
// is false where no plane within Steepest anywhere in the range leaves the wood, as
// far as the corners tell.
func (c *Case) grip(b *scratch, s span, g grip, tight touching) (grip, bool) {
	t := tilted{pitchOff: g.pitch, rollOff: g.roll}
	t.centre()
	g.tight, g.wood = tight, push{}
	follows := false
	for range gripping {
		if c.hold(b, s, &t, tight); len(b.over) == 0 || len(b.under) == 0 {
			return g, true
		}
		if !follows && max(width(t.pitchOff), width(t.rollOff)) < nearly {
			follows = true
			b.balance(&t)
			t.follow(b, s)
			if c.hold(b, s, &t, tight); len(b.over) == 0 || len(b.under) == 0 {
				return g, true
			}
		}
		p, r := t.pitchOff, t.rollOff
		ring := append(b.ring[:0], geom.Pt(p[0], r[0]), geom.Pt(p[1], r[0]), geom.Pt(p[1], r[1]), geom.Pt(p[0], r[1]))
		other := b.other
		for i := range b.over {
			for j := range b.under {
				k := c.pinch(s, &t, weighted{&b.over[i], 1}, weighted{&b.under[j], 1})
				ring, other = keep(ring, other, k.brings(s), -k.pitch, -k.roll)
			}
		}
		b.ring, b.other = ring, other
		if len(ring) == 0 {
			return g, false
		}
		box := geom.Bounds(ring...)
		const hair = 1e-12
		t.pitchOff = [2]float64{max(p[0], box.Min.X-hair), min(p[1], box.Max.X+hair)}
		t.rollOff = [2]float64{max(r[0], box.Min.Y-hair), min(r[1], box.Max.Y+hair)}
		stays := width(t.pitchOff) > 0.8*width(p) && width(t.rollOff) > 0.8*width(r)
		if stays && follows {
			break
		}
		if !follows {
			if stays {
				break
			}
			t.centre()
		}
	}
	g.pitch, g.roll = t.all(s)
	if c.hold(b, s, &t, tight); len(b.over) == 0 || len(b.under) == 0 {
		return g, true
	}
	b.balance(&t)
	if len(b.weighted) == 0 {
		return g, true
	}
	k := c.pinch(s, &t, b.weighted...)
	all := func(r [2]float64, by float64) float64 { return max(r[0]*by, r[1]*by) }
	g.wood = push{x: k.x, y: k.y, turn: k.turn / c.radius, spare: k.spare + all(t.pitchOff, k.pitch) + all(t.rollOff, k.roll) + roundOff}
	k.spare = g.wood.spare
	return g, k.brings(s) >= 0
}

// brings is the most that it comes to in the range, with the tilt in the middle.
func (k pinch) brings(s span) float64 {
	return k.spare + math.Abs(k.x)*s.hx + math.Abs(k.y)*s.hy + math.Abs(k.turn)*s.ha
}

func width(r [2]float64) float64 { return r[1] - r[0] }

// centre takes the tilts from the middle of their range.
func (t *tilted) centre() {
	p, r := middle(t.pitchOff), middle(t.rollOff)
	t.pitch, t.roll = t.pitch+p, t.roll+r
	t.pitchOff = [2]float64{t.pitchOff[0] - p, t.pitchOff[1] - p}
	t.rollOff = [2]float64{t.rollOff[0] - r, t.rollOff[1] - r}
}

// follow takes the tilts from where the best one goes, as far as three pairs that
// have been balanced tell.
func (t *tilted) follow(b *scratch, s span) {
	off := b.best
	if len(b.weighted) == 6 {
		// A pair keeps its sum as far as all three do.
		pair := func(i int) (x, turn, pitch, roll float64) {
			o, u := b.weighted[2*i], b.weighted[2*i+1]
			return o.x + u.x, o.turn + u.turn, o.pitch + u.pitch, o.roll + u.roll
		}
		x0, a0, p0, r0 := pair(0)
		x1, a1, p1, r1 := pair(1)
		x2, a2, p2, r2 := pair(2)
		if det := (p1-p0)*(r2-r0) - (p2-p0)*(r1-r0); math.Abs(det) > 1 {
			solve := func(v1, v2 float64) tilt {
				return tilt{(-v1*(r2-r0) + v2*(r1-r0)) / det, (-v2*(p1-p0) + v1*(p2-p0)) / det}
			}
			t.byX, t.byTurn = solve(x1-x0, x2-x0), solve(a1-a0, a2-a0)
		}
	}
	p := math.Abs(t.byX.pitch)*s.hx + math.Abs(t.byTurn.pitch)*s.ha
	r := math.Abs(t.byX.roll)*s.hx + math.Abs(t.byTurn.roll)*s.ha
	t.pitchOff = [2]float64{t.pitchOff[0] - p - off.pitch, t.pitchOff[1] + p - off.pitch}
	t.rollOff = [2]float64{t.rollOff[0] - r - off.roll, t.rollOff[1] + r - off.roll}
	t.pitch, t.roll = t.pitch+off.pitch, t.roll+off.roll
}

// hold finds the holds of the corners over and under the body.
func (c *Case) hold(b *scratch, s span, t *tilted, tight touching) {
	up := s.face.upward()
	pivot := c.pivot()
	upper, lower := c.sides(s.face)
	top, bottom := c.faces(s.face)
	sin, cos := math.Sincos(s.a)
	sp, cp := math.Sincos(t.pitch)
	sr, cr := math.Sincos(t.roll)
	hp, hr := t.most(s)
	inside := c.staysInside()
	add := func(list []hold, r *relief, i int, w float64, face *surface, sign float64) []hold {
		k := &r.corners[i]
		drop := k.drop
		if r.carved {
			drop -= sags(face, k.span)
		}
		u, v := k.at.X, k.at.Y
		w += sign * up * (c.Need.Flatten - drop)
		e := v*sr + w*cr // after the roll
		along, rise := u*cp+e*sp, e*cp-u*sp
		aside := v*cr - w*sr // by which e changes with the roll
		x := s.x + cos*(along-pivot.X) - sin*up*aside
		h := hold{under: sign < 0, corner: [3]float64{u, v, w}}
		xTurn := -sin*(along-pivot.X) - cos*up*aside
		xPitch := cos * rise
		xRoll := cos*aside*sp + sin*up*e
		h.far = max(math.Hypot(math.Hypot(u, v), w), math.Hypot(math.Hypot(u-pivot.X, v), w)+0.07*math.Abs(pivot.X))
		h.off = math.Abs(xTurn)*s.ha + math.Abs(xPitch)*hp + math.Abs(xRoll)*hr + h.far*sq(s.ha+hp+hr)/2
		x0, x1 := x-s.hx-h.off, x+s.hx+h.off
		if !face.has(x) || !inside && !(face.has(x0) && face.has(x1)) {
			return list
		}
		least, most := face.bends(x0, x1)
		h.bend = most
		if sign < 0 {
			h.bend = -least
		}
		z, slope := face.look(x)
		h.slope = slope
		h.way = sign * (z - up*rise)
		h.x, h.turn = sign*slope, sign*slope*xTurn
		h.pitch, h.roll = sign*(slope*xPitch+up*along), sign*(slope*xRoll-up*aside*cp)
		if radius := c.edgeRadius(face); radius > 0 && c.bulges {
			y := s.y + sin*(along-pivot.X) + cos*up*aside
			turn, pitch, roll := geom.V(xTurn, cos*(along-pivot.X)-sin*up*aside), geom.V(xPitch, sin*rise), geom.V(xRoll, sin*aside*sp-cos*up*e)
			most := h.far * sq(s.ha+hp+hr) / 2
			if loss, by := c.loss(radius, geom.Pt(x, y)); loss > by.Len()*most+math.Abs(by.X)*s.hx+math.Abs(by.Y)*s.hy+
				math.Abs(by.Dot(turn))*s.ha+math.Abs(by.Dot(pitch))*hp+math.Abs(by.Dot(roll))*hr {
				h.way -= loss
				h.x, h.y, h.turn, h.pitch, h.roll = h.x+by.X, h.y+by.Y, h.turn+by.Dot(turn), h.pitch+by.Dot(pitch), h.roll+by.Dot(roll)
				h.steep = by.Len()
			}
		}
		h.x, h.turn = h.x+h.pitch*t.byX.pitch+h.roll*t.byX.roll, h.turn+h.pitch*t.byTurn.pitch+h.roll*t.byTurn.roll
		return append(list, h)
	}
	b.over, b.under = b.over[:0], b.under[:0]
	for _, i := range tight.upper {
		b.over = add(b.over, top, i, -upper, c.top, 1)
	}
	for _, i := range tight.lower {
		b.under = add(b.under, bottom, i, -lower, c.bottom, -1)
	}
}

// loss is what the rounding of the slab's edge takes off a face at a place in plan, and
// how that becomes less as one goes from there; it becomes less by no more anywhere, as
// the rounding is hollow, and the way from an edge that bulges is not. Where the
// rounding is steep it says nothing.
func (c *Case) loss(radius float64, at geom.Point) (float64, geom.Vec) {
	if c.rim.atLeast(at) >= radius {
		return 0, geom.Vec{}
	}
	_, foot, inside := c.rim.nearestEdge(at)
	d := at.Distance(foot)
	if !inside || d >= radius || d < radius/10 {
		return 0, geom.Vec{}
	}
	off := drop(radius, d)
	return off, at.Sub(foot).Mul((radius - d) / (radius - off) / d)
}

// staysInside tells whether all of the body that must be wood lies between the first
// station and the last, over and under it, wherever it is allowed to lie.
func (c *Case) staysInside() bool {
	for _, face := range [...]*surface{c.top, c.bottom} {
		if !face.has(c.extent.Min.X) || !face.has(c.extent.Max.X) {
			return false
		}
	}
	// Grown on its faces, it leans out farther; corners of a carved face may lie beyond it.
	return c.asks().edge >= max(0, c.Need.Flatten)*math.Sin(1.5*Steepest)+body.ReliefTolerance
}

func sq(x float64) float64 { return x * x }

// pinch is the sum of ways over and under the body: no more than
//
//	spare + x·dx + y·dy + turn·da + pitch·dp + roll·dr
//
// all over the range.
type pinch struct{ x, y, turn, pitch, roll, spare float64 }

// pinch adds holds up, whose shares are 1 in all over the body and 1 under it.
//
// What turns and tilts do to all corners alike is no more in the sum: it is as if
// the difference between the corners' means over and under the body turned, over a
// face of their mean slope, and each of them over the rest of its slope.
func (c *Case) pinch(s span, t *tilted, of ...weighted) (k pinch) {
	hp, hr := t.most(s)
	var apart [3]float64
	slope, bend := 0.0, 0.0
	for _, h := range of {
		slope += h.share * h.slope / 2
	}
	tilted, turned := sq(hp+hr)/2, sq(s.ha+hp+hr)/2
	for _, h := range of {
		k.spare += h.share * h.way
		k.x += h.share * h.x
		k.y += h.share * h.y
		k.turn += h.share * h.turn
		k.pitch += h.share * h.pitch
		k.roll += h.share * h.roll
		bend += h.share * h.bend
		k.spare += h.share * ((math.Abs(h.slope-slope)+h.steep)*h.far*turned +
			math.Abs(h.bend)*h.off*s.hx + max(0, h.bend)*h.off*h.off/2)
		sign := h.share
		if h.under {
			sign = -sign
		}
		for i, v := range h.corner {
			apart[i] += sign * v
		}
	}
	d := math.Hypot(math.Hypot(apart[0], apart[1]), apart[2])
	k.spare += outward + max(0, bend)*s.hx*s.hx/2 + d*(tilted+math.Abs(slope)*turned)
	return k
}

// balance weighs the holds so that, if it can be, the tilt does not matter to their
// sum, and that is least; and finds the tilt that leaves as much, off the middle.
func (b *scratch) balance(t *tilted) {
	const wall = 1e4 // mm a unit of slope, as for widest
	p0, r0 := t.pitchOff, t.rollOff
	cuts := append(b.cuts[:0],
		cut{wall * p0[1], -wall, 0, -1, -1}, cut{-wall * p0[0], wall, 0, -1, -1},
		cut{wall * r0[1], 0, -wall, -1, -1}, cut{-wall * r0[0], 0, wall, -1, -1})
	least := func(list []hold, p, r float64) int {
		at, best := 0, math.Inf(1)
		for i := range list {
			if v := list[i].way + list[i].pitch*p + list[i].roll*r; v < best {
				at, best = i, v
			}
		}
		return at
	}
	fresh := len(cuts)
	p, r, most := 0.0, 0.0, math.Inf(1)
	for range 24 {
		i, j := least(b.over, p, r), least(b.under, p, r)
		o, u := &b.over[i], &b.under[j]
		k := cut{o.way + u.way, o.pitch + u.pitch, o.roll + u.roll, i, j}
		if k.at(p, r) > most-1e-9 {
			break
		}
		cuts = append(cuts, k)
		p, r, most = highestUnder(cuts, fresh)
		fresh = len(cuts)
	}
	b.cuts, b.best = cuts, tilt{p, r}
	b.weigh(p, r)
}

// weigh gives shares to the holds in the lowest cuts at a place that leave of the
// slopes of their sum as little as can be: of two cuts or three, of which some may be
// the ends of the tilts.
func (b *scratch) weigh(p, r float64) {
	const touch = 1e-6
	lowest := math.Inf(1)
	for _, k := range b.cuts {
		lowest = min(lowest, k.at(p, r))
	}
	low := slices.DeleteFunc(b.cuts, func(k cut) bool { return k.at(p, r) > lowest+touch })
	at := func(k cut) geom.Vec { return geom.V(k.along, k.left) }
	var best [3]float64
	var of [3]cut
	left := math.Inf(1)
	take := func(shares [3]float64, cuts [3]cut) {
		var sum geom.Vec
		for i, k := range cuts {
			sum = sum.Add(at(k).Mul(shares[i]))
		}
		if sum.Len() < left {
			best, of, left = shares, cuts, sum.Len()
		}
	}
	for i, k := range low {
		take([3]float64{1}, [3]cut{k, k, k})
		for j, l := range low[:i] {
			d := at(l).Sub(at(k))
			if n := d.Dot(d); n > 0 {
				t := max(0, min(1, -at(k).Dot(d)/n))
				take([3]float64{1 - t, t}, [3]cut{k, l, l})
			}
			for _, m := range low[:j] {
				e := at(m).Sub(at(k))
				det := d.Cross(e)
				if math.Abs(det) < 1e-9 {
					continue
				}
				v, w := -at(k).Cross(e)/det, at(k).Cross(d)/det
				if v >= 0 && w >= 0 && v+w <= 1 {
					take([3]float64{1 - v - w, v, w}, [3]cut{k, l, m})
				}
			}
		}
	}
	b.weighted = b.weighted[:0]
	all := 0.0
	for i, share := range best {
		if of[i].upper >= 0 {
			all += share
		}
	}
	for i, share := range best {
		if share > 0 && of[i].upper >= 0 {
			share /= all
			b.weighted = append(b.weighted, weighted{&b.over[of[i].upper], share}, weighted{&b.under[of[i].lower], share})
		}
	}
}
