package proof

import (
	"cmp"
	"math"
	"slices"

	"slabwright/body/geom"
)

// bit is a stretch of a line: what it weighs (contrast × length) and the least
// that its mirror offset can be, mean over the stretch.
type bit struct{ weight, offset float64 }

// line is what is known of one line over a range: of the stretches that are
// surely seen, the sum of weights and of weight × least offset; and the
// stretches that may be seen or not.
type line struct {
	weight, offset float64
	maybe          []bit
}

// linesOff are lower bounds, over the range, on the mean mirror offset of the
// seen lines weighted by contrast and seen length, and on the worst line's.
//
// The lines are looked at from the body, as the middle of the range lays them. Over the range
// a line wanders by up to across, square to itself; so what is seen of it is
// uncertain where the rim of the seen region comes as near as that, and certain
// between. Lengths are told by their foot on the line in the middle, which
// shortens those of all lines by the same cosine.
//
// What a tilt shortens is longer on the body; how much longer depends on the
// line's direction, and over the box differs by a share of vary at most.
func (k *checker) linesOff(r box) (mean, worst float64) {
	v := k.view(r)
	if v.vary > 0.5 {
		return 0, 0 // too little is known
	}
	var all line
	count := func(l line, contrast float64) {
		all.weight += l.weight
		all.offset += l.offset
		all.maybe = append(all.maybe, l.maybe...)
		if l.weight > 0 {
			// What may be seen beside it counts where it lowers the mean.
			worst = max(worst, contrast/k.top*l.least()*min(1, (1-v.vary)*l.weight/contrast/glimpsed))
		}
	}
	var lean slant
	for _, s := range k.seams {
		if s.contrast > 0 {
			l := v.seam(s, &lean)
			count(l, s.contrast)
		}
	}
	for _, j := range k.joints {
		if j.contrast > 0 {
			l := v.joint(j)
			lean.sum += l.offset
			count(l, j.contrast)
		}
	}
	all.offset = max(all.offset, lean.sum-math.Abs(lean.perY)*r.Y[1]-math.Abs(lean.perA)*r.Angle[1])
	if all.weight == 0 {
		return 0, worst
	}
	return all.least() * (1 - v.vary) / (1 + v.vary), worst
}

// least is the least mean offset: stretches that may be seen are taken in as
// long as they lower it.
func (l line) least() float64 {
	slices.SortFunc(l.maybe, func(a, b bit) int { return cmp.Compare(a.offset, b.offset) })
	sum, weight := l.offset, l.weight
	for _, b := range l.maybe {
		if b.offset*weight >= sum {
			break
		}
		sum, weight = sum+b.weight*b.offset, weight+b.weight
	}
	return sum / weight
}

// slant is a sum of weight × offset that holds for the middle, less what is left out, and
// how it changes with the pivot's y (per mm) and the angle (per radian).
type slant struct{ sum, perY, perA float64 }

// view is the body and the slab, one laid over the other as in the middle of a
// range, and what can move.
type view struct {
	*checker
	r      box
	plan   geom.Rigid // level body to slab
	back   geom.Rigid // slab to level body
	radius float64    // of the seen region about the pivot
	across float64    // most that its points move across the strips
	any    float64    // most that they move
	one    bool       // the range is a single placement
	u, v   geom.Vec   // what a millimetre along u and v of the body is in the slab
	det    float64    // u × v
	sin2   float64    // sin² of the angle, or what takes its place where bodies are tilted
	cos2   float64
	vary   float64
	second float64 // bound on what is of the second order in a mirror's y
	rims   [][]rim // of the seen region, ring by ring
}

// rim is a corner of the seen region as the middle of the range lays it in the
// slab, and how far it can be from there, across the strips and at all.
type rim struct {
	at          geom.Point
	across, any float64
}

func (k *checker) view(r box) view {
	v := view{checker: k, r: r, plan: middle(r.Range, k.pivot).Plan()}
	v.back = v.plan.Inverse()
	v.one = r.one()
	for _, g := range k.seen {
		ring := make([]rim, len(g))
		for i, q := range g {
			v.radius = max(v.radius, q.Distance(k.pivot))
			ring[i].at = v.lay(q)
			if !v.one {
				ring[i].across, ring[i].any = k.wanders(r, q, 0, ring[i].at)
				v.across, v.any = max(v.across, ring[i].across), max(v.any, ring[i].any)
			}
		}
		v.rims = append(v.rims, ring)
	}
	u, w := r.lay(geom.Pt(1, 0)), r.lay(geom.Pt(0, 1))
	v.u, v.v = v.plan.Turn(geom.V(u.X, u.Y)), v.plan.Turn(geom.V(w.X, w.Y))
	v.det = v.u.Cross(v.v)
	v.sin2, v.cos2 = -v.v.X*v.u.Y/v.det, v.u.X*v.v.Y/v.det
	d := r.Angle[1]
	lean := k.leansMost(r)
	v.second = 2*d*(v.across*(1+d)+3*v.radius*d)/(r.shortest*r.shortest) + 5*lean
	if !r.level() && !v.one {
		c := r.shortest
		v.vary = 1.5 * ((r.off.uu+r.off.vu+r.off.vv)/c + d*(1/(c*c)-1)/2)
	}
	return v
}

// lay is where a point of the body's front lies in the slab, under what point of
// the body a place of the slab lies.
func (v view) lay(q geom.Point) geom.Point   { return v.plan.Apply(v.r.lay(q)) }
func (v view) under(p geom.Point) geom.Point { return v.r.under(v.back.Apply(p)) }

// longer is by what factor a line in direction e (unit) of the slab is longer on
// the body.
func (v view) longer(e geom.Vec) float64 {
	if v.r.level() {
		return 1
	}
	return math.Hypot(e.Cross(v.v), v.u.Cross(e)) / math.Abs(v.det)
}

// mirrored is where the mirror of a point of the slab lies in the slab.
func (v view) mirrored(p geom.Point) geom.Point {
	q := v.under(p)
	return v.lay(geom.Pt(q.X, -q.Y))
}

// seam is what is known of a line between strips.
//
// Where it is seen, at a foot (x, y) on the line, the mirror's y is
// 2 yᴷ − y, with K the place on the centreline abreast of the point: the middle
// of the two. When the pivot goes up by dy and the body turns by da, K goes up
// by dy + (xᴷ − x₀) da, x₀ the pivot's; but the line has left the point of the body that it
// went through, and the one that it goes through instead, at the same foot, is
// dy + (x − x₀) da lower, K with it by sin² of the angle times as much. So
//
//	change of the mirror's y = 2 cos² · dy + 2 (xᴷ − x₀ − sin² · (x − x₀)) · da
//
// but for terms of the second order: with R no less than all distances from the
// pivot, 2 da (across (1 + da) + 3 R da) is more than them.
//
// Of a tilted body let u and v be what a millimetre along its axes is in the slab's
// plan. What the line goes through then is v.x / (u × v) farther along the body for
// each mm higher, and K moves with it by u of that; so that u.x v.y / (u × v) stands for
// cos², −v.x u.y / (u × v) for sin². Where other tilts in the box put a point of the body
// up to lean elsewhere, the line goes through another by lean / cos da, and K
// lies off by as much and by lean; twice the sum is less than 5 lean.
func (v view) seam(s seam, lean *slant) line {
	far := 3*v.radius + v.r.X[1] + v.c.Slab.Length
	a, b := geom.Pt(s.x0, s.y), geom.Pt(s.x1, s.y)
	atA, atB := v.any, v.any
	// The slab's ends are never in an allowed body; the line is taken to go on.
	if s.x0 <= 0 {
		a.X, atA = -far, 0
	}
	if s.x1 >= v.c.Slab.Length {
		b.X, atB = v.c.Slab.Length+far, 0
	}
	var l line
	longer := v.longer(geom.V(1, 0))
	v.stretches(a, b, true, atA, atB, func(p, q geom.Point, sure bool) {
		weight := s.contrast * p.Distance(q) * longer
		y0, y1 := v.mirrored(p).Y, v.mirrored(q).Y
		way := func(p geom.Point) float64 {
			onCentre := v.lay(geom.Pt(v.under(p).X, 0))
			return onCentre.X - v.r.X[0] - v.sin2*(p.X-v.r.X[0])
		}
		w0, w1 := way(p), way(q)
		most := 2*math.Abs(v.cos2)*v.r.Y[1] + 2*v.r.Angle[1]*max(math.Abs(w0), math.Abs(w1)) + v.second
		lo, hi := min(y0, y1)-most, max(y0, y1)+most
		if !sure {
			l.maybe = append(l.maybe, bit{weight, s.offset.least(lo, hi)})
			return
		}
		// Nowhere is the offset steeper than 1.
		mean := s.offset.mean(y0, y1)
		least := mean - 2*math.Abs(v.cos2)*v.r.Y[1] - 2*v.r.Angle[1]*meanAbs(w0, w1) - v.second
		least = max(least, s.offset.least(lo, hi))
		if v.one {
			least = mean
		}
		l.weight += weight
		l.offset += weight * least
		if slope, ok := s.offset.slope(lo, hi); ok && !v.one {
			lean.sum += weight * (mean - math.Abs(slope)*v.second)
			lean.perY += weight * slope * 2 * v.cos2
			lean.perA += weight * slope * (w0 + w1)
		} else {
			lean.sum += weight * least
		}
	})
	return l
}

// joint is what is known of a piece of a transition. Its offset is the mean way
// that the ends of its mirror would have to go to lie on the best partner; the
// mirror of a point moves no farther than the point and its mirror in the body
// together.
func (v view) joint(j joint) line {
	a, b := v.mirrored(j.a), v.mirrored(j.b)
	moved := 0.0
	if !v.one {
		for _, p := range []geom.Point{j.a, j.b} {
			q := v.under(p)
			moved = max(moved, v.strays(v.r, q)/v.r.shortest+v.strays(v.r, geom.Pt(q.X, -q.Y)))
		}
	}
	off := alone
	for _, p := range v.joints {
		lack := fainter * max(0, j.contrast-p.contrast)
		off = min(off, lack+(a.Distance(p.a)+b.Distance(p.b))/2, lack+(a.Distance(p.b)+b.Distance(p.a))/2)
	}
	off = max(0, off-moved)
	var l line
	longer := v.longer(j.b.Sub(j.a).Unit())
	v.stretches(j.a, j.b, false, v.any, v.any, func(p, q geom.Point, sure bool) {
		weight := j.contrast * p.Distance(q) * longer
		if sure {
			l.weight += weight
			l.offset += weight * off
		} else {
			l.maybe = append(l.maybe, bit{weight, off})
		}
	})
	return l
}

// stretches tells what of the segment a b of the slab is surely seen and what
// perhaps. Its ends may slide along it, seen from the body, by atA and atB.
// across says that it runs along the strips.
func (v view) stretches(a, b geom.Point, along bool, atA, atB float64, tell func(p, q geom.Point, sure bool)) {
	d := b.Sub(a)
	length := d.Len()
	if length == 0 {
		return
	}
	e := d.Unit()
	type span struct{ from, to float64 }
	var near []span // where the rim comes within reach
	for _, ring := range v.rims {
		for i, p := range ring {
			q := ring[(i+1)%len(ring)]
			wander := max(p.any, q.any)
			if along {
				wander = max(p.across, q.across)
			}
			pv, qv := p.at.Sub(a), q.at.Sub(a)
			hp, hq := e.Cross(pv), e.Cross(qv)
			if hp > wander && hq > wander || hp < -wander && hq < -wander {
				continue
			}
			// The part of the edge with |height over the line| ≤ wander.
			s0, s1 := 0.0, 1.0
			if hq != hp {
				u, w := (-wander-hp)/(hq-hp), (wander-hp)/(hq-hp)
				s0, s1 = max(0, min(u, w)), min(1, max(u, w))
			}
			t0, t1 := e.Dot(pv.Add(qv.Sub(pv).Mul(s0))), e.Dot(pv.Add(qv.Sub(pv).Mul(s1)))
			near = append(near, span{min(t0, t1), max(t0, t1)})
		}
	}
	slices.SortFunc(near, func(a, b span) int { return cmp.Compare(a.from, b.from) })
	give := func(from, to float64, sure bool) {
		if to > from {
			tell(a.Add(e.Mul(from)), a.Add(e.Mul(to)), sure)
		}
	}
	// clip tells a stretch by what is known of the ends of the segment.
	clip := func(from, to float64, sure bool) {
		if !sure {
			give(max(from, -atA), min(to, length+atB), false)
			return
		}
		in0, in1 := atA, length-atB // surely on the segment
		if in0 > in1 {
			in0, in1 = (in0+in1)/2, (in0+in1)/2
		}
		give(max(from, -atA), min(to, in0), false)
		give(max(from, in0), min(to, in1), true)
		give(max(from, in1), min(to, length+atB), false)
	}
	end := math.Inf(-1)
	for _, s := range near {
		if s.from > end {
			// Nothing of the rim in between: all of it is seen or nothing.
			if !math.IsInf(end, -1) && v.seen.Has(v.under(a.Add(e.Mul((end+s.from)/2)))) {
				clip(end, s.from, true)
			}
		}
		if s.to > s.from && !v.one {
			clip(max(s.from, end), s.to, false)
		}
		end = max(end, s.to)
	}
}
