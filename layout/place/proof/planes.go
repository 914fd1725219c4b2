package proof

import (
	"math"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/place"
)

// probes is how many corners of the outline are asked what planes leave the
// wood over them and under them.
const probes = 32

// planes are all tilts within place.Steepest that may leave the wood that is
// needed somewhere in the range, at any height; not any when none does.
//
// Look along the body's axes, with ζ the height on the side of its front, and
// ζ₀ that of its origin. With pitch p and roll r let a = tan p, b = −tan r / cos p.
// The line square to the body over its point (u, v) is at the height ζ
//
//	u / cos p + a (ζ − ζ₀) along and v / cos r + b (ζ − ζ₀ + u sin p) left
//
// of the origin. The slab's face over a corner i and that under a corner j are
// at least the thickness and what flattening takes apart, square to the body:
// with A and L so far along and left, and n = √(1 + a² + b²),
//
//	(ζ + a A + b L) of i − (ζ + a A + b L) of j ≥ (thickness + 2 · flatten) · n
//
// Over a box of a and b, of the range and of ζ₀, each side of this is bounded by a plane in
// a and b. So each pair cuts a half off; what is left is a smaller box, and so
// on.
func (k *checker) planes(r place.Range) (t tilted, any bool) {
	steepest := math.Tan(place.Steepest) + fine
	plan := middle(r, k.pivot).Plan()
	b := slopes{k: k, r: r, u: plan.Turn(geom.V(1, 0)), v: plan.Turn(geom.V(0, 1)), a: span{-steepest, steepest}, b: span{-steepest, steepest}}
	all := k.outline.Bounds()
	_, high, _, _ := k.topFace.Range(all.Min.X, all.Max.X)
	low, _, _, _ := k.underside.Range(all.Min.X, all.Max.X)
	b.origin = span{low, high}
	if r.Face == place.Bottom {
		b.origin = span{-high, -low}
	}
	// A corner lies between the faces; the origin off from there by the slope.
	far := 0.0
	for _, q := range k.body {
		far = max(far, q.Distance(geom.Point{}))
	}
	b.origin = b.origin.wide(2*steepest*(far+k.c.Body.Thickness) + 1.1*k.deepest)
	for range 8 {
		before := b
		if !b.narrow() {
			return tilted{}, false
		}
		if b.a.half() > 0.7*before.a.half() && b.b.half() > 0.7*before.b.half() && b.origin.half() > 0.7*before.origin.half() {
			break
		}
	}
	pitch := span{math.Atan(b.a.from), math.Atan(b.a.to)}
	_, cos := sines([2]float64{pitch.from, pitch.to})
	left := b.b.times(cos)
	return tiltedBy([2]float64{pitch.from, pitch.to}, [2]float64{-math.Atan(left.to), -math.Atan(left.from)}), true
}

// slopes is a box of planes; see planes.
type slopes struct {
	k      *checker
	r      place.Range
	u, v   geom.Vec // the body's axes in the slab, in the middle
	a, b   span
	origin span // ζ₀
}

// touch bounds ζ + a A + b L over a corner, or under one: it is no more, or no
// less, than z + a · along + b · left for all planes of the box; absolute wherever the
// body lies in the range, and relative but for what moving along the middle plane
// changes at all corners alike.
type touch struct{ along, left, absolute, relative float64 }

// narrow takes off the box what surely leaves too little wood; false when nothing
// is left.
func (s *slopes) narrow() bool {
	k := s.k
	var over, under []touch
	for _, q := range k.probes[0] {
		over = append(over, s.touch(q, true))
	}
	for _, q := range k.probes[1] {
		under = append(under, s.touch(q, false))
	}
	least := math.Hypot(1, math.Hypot(s.a.nearest(), s.b.nearest()))
	apart := (k.c.Body.Thickness+2*k.c.Need.Flatten)*least - fine
	left := geom.Polygon{{X: s.a.from, Y: s.b.from}, {X: s.a.to, Y: s.b.from}, {X: s.a.to, Y: s.b.to}, {X: s.a.from, Y: s.b.to}}
	for range 48 {
		f, cuts := s.cut(left, over, under, apart)
		if !cuts {
			break
		}
		if left = f.above(left); left == nil {
			return false
		}
	}
	bounds := geom.Bounds(left...)
	s.a = span{max(s.a.from, bounds.Min.X-fine), min(s.a.to, bounds.Max.X+fine)}
	s.b = span{max(s.b.from, bounds.Min.Y-fine), min(s.b.to, bounds.Max.Y+fine)}
	// The front lies under what is over it, the back over what is under it.
	for _, t := range over {
		high := math.Inf(-1)
		for _, q := range left {
			high = max(high, t.absolute+q.X*t.along+q.Y*t.left)
		}
		s.origin.to = min(s.origin.to, high-k.c.Need.Flatten*least+fine)
	}
	for _, t := range under {
		low := math.Inf(1)
		for _, q := range left {
			low = min(low, t.absolute+q.X*t.along+q.Y*t.left)
		}
		s.origin.from = max(s.origin.from, low+(k.c.Need.Flatten+k.c.Body.Thickness)*least-fine)
	}
	return s.a.from <= s.a.to && s.b.from <= s.b.to && s.origin.from <= s.origin.to
}

// cut is the half that the worst pair leaves at the middle of a ring of planes, or
// at a corner of it, where it cuts that off.
func (s *slopes) cut(ring geom.Polygon, over, under []touch, apart float64) (f affine, cuts bool) {
	middle := geom.Point{}
	for _, q := range ring {
		middle = middle.Add(geom.V(q.X, q.Y).Mul(1 / float64(len(ring))))
	}
	for n := -1; n < len(ring); n++ {
		at := middle
		if n >= 0 {
			at = ring[n]
		}
		height := func(t touch) float64 { return t.relative + at.X*t.along + at.Y*t.left }
		i, j := over[0], under[0]
		for _, t := range over {
			if height(t) < height(i) {
				i = t
			}
		}
		for _, t := range under {
			if height(t) > height(j) {
				j = t
			}
		}
		f = affine{i.along - j.along, i.left - j.left, i.relative - j.relative - apart}
		if f.at(at) < -1e-6 {
			return f, true
		}
	}
	return f, false
}

// touch is what is known of the face of the slab over a corner of the body, or
// under it.
func (s *slopes) touch(corner body.ReliefPoint, over bool) touch {
	k, q := s.k, corner.At
	// The face, as ζ of x is up · z.
	up, face, radius := 1.0, k.topFace, k.c.Slab.Edge.Covering().TopRadius
	if s.r.Face == place.Bottom {
		up = -1
	}
	sign := -1.0
	if over {
		sign = 1
	}
	if over != (up > 0) {
		face, radius = k.underside, k.c.Slab.Edge.Covering().BottomRadius
	}
	rounded := span{0, radius} // what the rounding takes off there
	e, f := s.u, s.v
	// How far along and left, from the heights that the face can have there.
	pitch := span{math.Atan(s.a.from), math.Atan(s.a.to)}
	sin, cos := sines([2]float64{pitch.from, pitch.to})
	tan := s.b.times(cos) // of the roll, but for its sign
	secP := span{1 / cos.to, 1 / cos.from}
	secR := span{math.Hypot(1, tan.nearest()), math.Hypot(1, tan.most())}
	along0, left0 := secP.times(span{q.X, q.X}), secR.times(span{q.Y, q.Y})
	lo, hi, _, _ := face.Range(math.Inf(-1), math.Inf(1))
	z := span{lo, hi}
	var along, left, x span
	var turn float64
	for n := range 3 {
		rise := span{up, up}.times(z).less(s.origin).plus(span{-sign, -sign}.times(rounded))
		along = along0.plus(s.a.times(rise))
		left = left0.plus(s.b.times(rise.plus(sin.times(span{q.X, q.X}))))
		// From the pivot's place, and what the turn does.
		u, v := along.wide(0).less(span{k.pivot.X, k.pivot.X}), left
		turn = chord(s.r.Angle[1]) * math.Hypot(u.most(), v.most())
		x = span{e.X, e.X}.times(u).plus(span{f.X, f.X}.times(v)).wide(turn + s.r.X[1] + fine).plus(span{s.r.X[0], s.r.X[0]})
		lo, hi, _, _ := face.Range(x.from, x.to)
		z = span{lo, hi}
		if n == 1 && radius > 0 {
			a, l := along.middle()-k.pivot.X, left.middle()
			off := math.Hypot(along.half(), left.half()) + turn + math.Hypot(s.r.X[1], s.r.Y[1]) + fine
			depth := k.outline.Depth(geom.Pt(s.r.X[0]+e.X*a+f.X*l, s.r.Y[0]+e.Y*a+f.Y*l))
			rounded = span{sunk(radius, depth+off), sunk(radius, depth-off-k.nearer)}
		}
	}
	t := touch{along: along.middle(), left: left.middle()}
	mx := s.r.X[0] + e.X*(t.along-k.pivot.X) + f.X*t.left
	mid := up * face.At(mx)
	rises := span{up, up}.times(face.slopes(x))
	// The body's plane, in the middle of the box, rises by −plane along x.
	plane := s.a.middle()*e.X + s.b.middle()*f.X
	// What other planes of the box do: A and L differ from their middle, and the face with them.
	off := rises.times(span{e.X, e.X}).plus(s.a).most()*along.half() + rises.times(span{f.X, f.X}).plus(s.b).most()*left.half()
	off += rises.most()*turn + fine
	least, most := math.Hypot(1, math.Hypot(s.a.nearest(), s.b.nearest())), math.Hypot(1, math.Hypot(s.a.most(), s.b.most()))
	mid += sign * (max(corner.Drop*least, corner.Drop*most) - rounded.from)
	t.absolute = mid + sign*(off+rises.most()*s.r.X[1])
	t.relative = mid + sign*(off+rises.plus(span{plane, plane}).most()*s.r.X[1])
	return t
}
