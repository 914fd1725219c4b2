package slab

import (
	"math"
	"slices"

	"slabwright/body/geom"
)

// How far the volumes of weigh can be from those of the model, proven but for
// the rounding of floating-point arithmetic. Four things are not exact, and
// each has a bound of its own here:
//
//   - slivers between chords and curves are taken as high as the chord's
//     middle (sliverBound);
//   - eased edges are integrated over insets of the chords (easingBound),
//   - and not of the curves (chordBound);
//   - roofs and floors are integrated by Gauss's rule (field.hollowBound).

// curvature is how a face bends: bounds of |z′|, |z″| and |z‴| along the slab.
type curvature struct{ slope, bend, third float64 }

func bendsOf(face [][4]float64, s Spline) curvature {
	c := curvature{slope: s.SlopeBound(), bend: s.bendBound()}
	for _, p := range face {
		c.third = max(c.third, 6*math.Abs(p[3]))
	}
	return c
}

// sliver bounds, for one chord: the area between it and its curve, however
// often that crosses it; how far the curve strays from it; and how far along
// the slab from its middle.
//
// With control points at most d off the chord the curve is at most
// 3 t (1−t) d off it, so no farther than ¾ d; and along it the curve moves no
// faster than three times its longest leg l, so the area it sweeps is at most
// ∫ 3 t (1−t) d · 3 l dt = 3/2 d l.
type sliverBound struct{ area, stray, along float64 }

func boundSliver(c geom.Curve) sliverBound {
	chord := c.P3.Sub(c.P0).Unit()
	mid := c.P0.Lerp(c.P3, 0.5)
	d := max(math.Abs(chord.Cross(c.P1.Sub(c.P0))), math.Abs(chord.Cross(c.P2.Sub(c.P0))))
	leg := max(c.P0.Distance(c.P1), c.P1.Distance(c.P2), c.P2.Distance(c.P3))
	along := 0.0
	for _, p := range [4]geom.Point{c.P0, c.P1, c.P2, c.P3} {
		along = max(along, math.Abs(p.X-mid.X))
	}
	return sliverBound{1.5 * d * leg, 0.75 * d, along}
}

// safeDepths are the shares of an easing's size at which rim.safe is asked. Most of
// what is rounded off lies near the outline.
var safeDepths = [2]float64{0.25, 1}

// easingBound is between which values the volume lies that an easing takes off
// a face over the ring of chords.
//
// Every place within its size of the outline has a nearest place on it, on a
// chord or in a corner that turns inward. So the volume, ∬ drop, is at most
//
//	length · ∫ drop dd + Σ turn · ∫ d · drop dd    over corners that turn inward.
//
// And where a circle of radius u that touches a chord from inside holds nothing
// of the outline, the places up to u straight in from where it touches are
// nearest to that; they add up to at least ∫ drop(u) · safe(u) du, and safe
// only falls with u.
func (r *rim) easingBound(e easing) (least, most float64) {
	if e.size == 0 {
		return 0, 0
	}
	inward := 0.0
	for _, t := range r.turn {
		inward += max(0, -t)
	}
	most = r.ring.Perimeter()*e.taken(e.size) + inward*e.moment()
	if r.clean == nil { // what is safe for the larger easing is for the other
		clean := r.safe(r.reach)
		r.clean = &clean
	}
	before := 0.0
	for k, length := range r.clean {
		now := e.taken(safeDepths[k] * e.size)
		least += length * (now - before)
		before = now
	}
	return least, most
}

// safe is, for each of safeDepths, the length of all chords where a circle of
// that share of the radius touches from inside without reaching over another
// chord. The middles of those that do
// reach over one chord are an interval, for the places nearer to it than u are
// convex: it ends where the line of middles crosses the circles round the
// chord's ends or the lines beside it.
func (r *rim) safe(u float64) (sum [len(safeDepths)]float64) {
	n := len(r.ring)
	var no [len(safeDepths)][]span
	for i, a := range r.ring {
		b, t := r.ring[(i+1)%n], r.along[i]
		length := a.Distance(b)
		in := t.Left()
		for d := range no {
			no[d] = no[d][:0]
		}
		lo, hi := min(a.X, b.X)-2*u, max(a.X, b.X)+2*u
		low, high := min(a.Y, b.Y)-2*u, max(a.Y, b.Y)+2*u
		for col := r.grid.column(lo); col <= r.grid.column(hi); col++ {
			for _, j := range r.grid.cells[col] {
				p, q := r.ring[j], r.ring[(int(j)+1)%n]
				if int(j) == i || max(p.X, q.X) < lo || min(p.X, q.X) > hi || max(p.Y, q.Y) < low || min(p.Y, q.Y) > high {
					continue
				}
				x0, y0, x1, y1 := p.Sub(a).Dot(t), p.Sub(a).Dot(in), q.Sub(a).Dot(t), q.Sub(a).Dot(in)
				if max(y0, y1) <= 0 || min(y0, y1) >= 2*u || max(x0, x1) <= -u || min(x0, x1) >= length+u {
					continue
				}
				for d, k := range safeDepths {
					if s, ok := touching(x0, y0, x1, y1, k*u); ok && s.from < length && s.to > 0 {
						no[d] = append(no[d], s)
					}
				}
			}
		}
		for d := range no {
			for _, g := range gaps(no[d], 0, length) {
				sum[d] += max(0, g.length())
			}
		}
	}
	return sum
}

// touching is where along the line y = u the segment from (x0, y0) to (x1, y1)
// comes nearer than u.
func touching(x0, y0, x1, y1, u float64) (span, bool) {
	from, to := math.Inf(1), math.Inf(-1)
	if h := y0 * (2*u - y0); h > 0 {
		h = math.Sqrt(h)
		from, to = x0-h, x0+h
	}
	if h := y1 * (2*u - y1); h > 0 {
		h = math.Sqrt(h)
		from, to = min(from, x1-h), max(to, x1+h)
	}
	dx, dy := x1-x0, y1-y0
	if dy != 0 {
		l := math.Sqrt(dx*dx + dy*dy)
		for side := -u; side <= u; side += 2 * u {
			if k := (u - y0 - side*dx/l) / dy; k >= 0 && k <= 1 {
				x := x0 - side*dy/l + k*dx
				from, to = min(from, x), max(to, x)
			}
		}
	}
	return span{from, to}, from < to
}

// chordBound is how much the volume that an easing of a size takes off over the chords
// can differ from that over the curves. The two outlines lie within stray of
// each other, so what lies nearer than d to one lies nearer than d + stray to
// the other, but for the slivers between; a strip that wide round the ring is
// no larger than stray · (length + turn · (size + stray)); and the drop is size at
// most.
func (r *rim) chordBound(size float64) float64 {
	stray, area, inward := 0.0, 0.0, 0.0
	for i, b := range r.bounds {
		stray, area = max(stray, b.stray), area+b.area
		inward += max(0, -r.turn[i])
	}
	return size * (stray*(r.ring.Perimeter()+inward*(size+stray)) + area)
}

// hollowBound is by how much, in mm², hollowLine can be off from x0 to x1.
//
// The roof a gauge of radius g scribes runs parallel to its face. With q =
// 1 − g·bend its own bend and third derivative are at most
//
//	bend/q · (1+m²)^(3/2)    and    (1+m²)^(3/2) (third + 3 bend² m)/q³ + 3 m (1+m²)² (bend/q)²
//
// for slopes up to m. Over a panel of length h a parabola then comes within
// h³/192 of the third derivative's bound (Chebyshev), and Gauss's rule, whose
// weights are positive and which takes parabolas exactly, is off by 2 h times
// that at most. Where the profile's pieces meet, the bend jumps; the jump
// reaches the roof up to o = g m/√(1+m²) from the panel's end and adds no more
// than jump · o²/2 · (h + o). Where a face bends tighter than twice the gauge
// only the slope is relied on.
func (f *field) hollowBound(x0, x1, topSkin, bottomSkin float64) float64 {
	parts := math.Ceil((x1-x0)/longestPanel) + float64(f.panel(x1)-f.panel(x0))
	sum := 0.0
	for _, s := range [2]struct {
		c curvature
		g float64
	}{{f.topBends, topSkin}, {f.bottomBends, bottomSkin}} {
		m, g := s.c.slope, s.g
		if g*s.c.bend >= rollsAt {
			sum += (x1 - x0) * longestPanel * m
			continue
		}
		q, k := 1-g*s.c.bend, math.Sqrt(1+m*m)
		third := k*k*k*(s.c.third+3*s.c.bend*s.c.bend*m)/(q*q*q) + 3*m*k*k*k*k*(s.c.bend/q)*(s.c.bend/q)
		sum += (x1 - x0) * longestPanel * longestPanel * longestPanel / 96 * third
		o := g * m / k
		jump := 2 * s.c.bend / q * k * k * k
		sum += 2 * parts * jump * o * o / 2 * (longestPanel + o)
	}
	return sum
}

// chamberBound is by how much, in mm³, the volume of a chamber can be off. One
// that crosses joints is summed up round each piece of it, at its places across
// the strip.
func (v *survey) chamberBound(c Chamber) float64 {
	y0, y1 := v.bands[c.Strip], v.bands[c.Strip+1]
	line := v.f.hollowBound(c.From, c.To, c.TopSkin, c.BottomSkin)
	crosses := slices.ContainsFunc(v.strips[c.Strip], func(p part) bool {
		lo, hi := min(p.to.right, p.to.mid, p.to.left), max(p.to.right, p.to.mid, p.to.left)
		return c.To > lo && c.From < hi
	})
	if !crosses {
		return line * (y1 - y0)
	}
	// Round all its pieces there are the chamber's sides, twice the line halfway
	// between them where there is a chevron, and each joint twice in two halves;
	// an edge at a joint is no longer than the chamber.
	edges := 4 + 4*float64(len(v.strips[c.Strip]))
	return line * edges * (y1 - y0)
}
