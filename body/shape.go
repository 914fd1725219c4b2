package body

import (
	"math"

	"slabwright/body/geom"
)

// arcPoints adds points of the arc round c of radius r from angle a0 to a1,
// both ends included, with chords within RingTolerance.
func arcPoints(ring geom.Polygon, c geom.Point, r, a0, a1 float64) geom.Polygon {
	if r <= 0 {
		return append(ring, c)
	}
	n := 1
	if r > RingTolerance { // sagitta r(1 − cos(step/2)) ≤ RingTolerance
		n = max(1, int(math.Ceil(math.Abs(a1-a0)/(2*math.Acos(1-RingTolerance/r)))))
	}
	for i := 0; i <= n; i++ {
		ring = append(ring, c.Add(geom.Polar(r, a0+(a1-a0)*float64(i)/float64(n))))
	}
	return ring
}

// roundedRectangle has the given sizes along u and v before it is turned, and
// corners of radius r (at most half the shorter side).
func roundedRectangle(centre geom.Point, alongU, alongV, r, turn float64) geom.Polygon {
	r = math.Max(0, math.Min(r, math.Min(alongU, alongV)/2))
	x, y := alongU/2-r, alongV/2-r
	var ring geom.Polygon
	for i, c := range []geom.Point{{X: x, Y: -y}, {X: x, Y: y}, {X: -x, Y: y}, {X: -x, Y: -y}} {
		a := float64(i-1) * math.Pi / 2
		ring = arcPoints(ring, c, r, a, a+math.Pi/2)
	}
	return tidy(ring).Moved(geom.Turn(turn).Then(geom.Shift(centre.Sub(geom.Point{}))))
}

// tidy leaves out points that fall on their forerunner, such as where two
// round corners meet without a straight piece between.
func tidy(ring geom.Polygon) geom.Polygon {
	const same = 1e-9
	out := ring[:0]
	for i, p := range ring {
		if next := ring[(i+1)%len(ring)]; p.Distance(next) > same {
			out = append(out, p)
		}
	}
	return out
}

// circle is the ring round c whose area is that of the true circle, so that
// volumes come out right; it strays from the circle by less than
// RingTolerance.
func circle(c geom.Point, r float64) geom.Polygon {
	n := 12
	if r > RingTolerance {
		n = max(n, int(math.Ceil(math.Pi/math.Acos(1-RingTolerance/r))))
	}
	a := 2 * math.Pi / float64(n)
	return geom.Regular(c, r*math.Sqrt(a/math.Sin(a)), n)
}

// stadium is the ring of a channel of the given width round the line ab.
func stadium(a, b geom.Point, width float64) geom.Polygon {
	t := b.Sub(a).Angle()
	ring := arcPoints(nil, b, width/2, t-math.Pi/2, t+math.Pi/2)
	return arcPoints(ring, a, width/2, t+math.Pi/2, t+3*math.Pi/2)
}

// grown is the counter-clockwise ring whose points lie at distance d outside
// the simple counter-clockwise ring g: corners become arcs. Inward corners
// keep their mitre, which is right as long as the edges beside them are longer
// than the mitre takes; callers check the result where g is not their own.
func grown(g geom.Polygon, d float64) geom.Polygon {
	n := len(g)
	var out geom.Polygon
	for i, p := range g {
		in, on := p.Sub(g[(i+n-1)%n]).Unit(), g[(i+1)%n].Sub(p).Unit()
		na, nb := in.Left().Neg(), on.Left().Neg()
		turn := math.Atan2(in.Cross(on), in.Dot(on))
		if turn > 0 {
			out = arcPoints(out, p, d, na.Angle(), na.Angle()+turn)
			continue
		}
		out = append(out, p.Add(na.Add(nb).Mul(d/math.Max(1+na.Dot(nb), 0.1))))
	}
	return out
}

// nearestOn is the place of the ring nearest to p and the unit vector there
// that points into the counter-clockwise ring.
func nearestOn(g geom.Polygon, p geom.Point) (at geom.Point, inward geom.Vec) {
	best := math.Inf(1)
	for i, a := range g {
		b := g[(i+1)%len(g)]
		if d, q := geom.PointSegment(p, a, b); d < best {
			best, at, inward = d, q, b.Sub(a).Unit().Left()
		}
	}
	return at, inward
}

// rayEnters is how far along the unit direction from p the ring is first met.
func rayEnters(g geom.Polygon, p geom.Point, dir geom.Vec) (float64, bool) {
	best := math.Inf(1)
	for i, a := range g {
		e := g[(i+1)%len(g)].Sub(a)
		det := dir.Cross(e)
		if det == 0 {
			continue
		}
		t := a.Sub(p).Cross(e) / det
		s := a.Sub(p).Cross(dir) / det
		if t > 1e-9 && s >= 0 && s <= 1 && t < best {
			best = t
		}
	}
	return best, !math.IsInf(best, 1)
}
