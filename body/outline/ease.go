package outline

import (
	"math"

	"slabwright/body/geom"
)

// A family's corner is eased: its sides are joined by a small arc tangent to
// both, as sandpaper leaves it. The arc has the radius easeRadius, or less where
// that would take more than easeDepth off the corner, so that every size is
// still what was asked.
//
//	    ____  side
//	   /      depth: from the corner + to the arc
//	+ |       straight toward the middle
//	  |  side
//
// Lengths are mm. Both were chosen by eye; there is no source.
const (
	easeRadius = 3.0
	easeDepth  = 0.45
)

// eased is a closed path with an arc in place of every corner. The arc of the
// corner where the path begins and ends comes first.
//
// A straight stretch is shortened alike at both ends, so that its middle stays:
// by the middle of the straight neck end the centreline of a drawn outline is
// found again. Where it ends in no corner, the same length is left to a curve
// that only happens to be straight.
func eased(p geom.Path) geom.Path {
	n := len(p.Curves)
	curves := append([]geom.Curve(nil), p.Curves...)
	cuts := make([]float64, n) // at the beginning of curve i and the end of the one before
	for i, c := range curves {
		_, in := curves[(i+n-1)%n].Tangents()
		out, _ := c.Tangents()
		if half := math.Abs(math.Atan2(in.Cross(out), in.Dot(out))) / 2; half > 0.5e-6 {
			radius := min(easeRadius, easeDepth/(1/math.Cos(half)-1))
			cuts[i] = radius * math.Tan(half)
		}
	}
	flat := make([]float64, n) // at the end of curve i where that is no corner
	for i, c := range curves {
		k := (i + 1) % n
		switch first, last := cuts[i], cuts[k]; {
		case !c.Straight():
		case first > 0 && last > 0:
			cuts[i], cuts[k] = min(first, last), min(first, last)
		case first > 0:
			flat[i] = first
		}
	}
	out := geom.Path{Closed: p.Closed}
	arcs := make([]*geom.Curve, n) // at the corner before curve i
	gone := make([]bool, n)        // curves that lie whole in a corner
	for i, cut := range cuts {
		if cut == 0 {
			continue
		}
		q := p.Curves[i].P0
		a := i
		for ; curves[a].P3.Distance(q) < cut; a = (a + 1) % n {
			gone[a] = true
		}
		b := (i + n - 1) % n
		for ; curves[b].P0.Distance(q) < cut; b = (b + n - 1) % n {
			gone[b] = true
		}
		_, curves[a] = curves[a].Split(reach(curves[a], q, cut))
		curves[b], _ = curves[b].Split(1 - reach(curves[b].Reversed(), q, cut))
		from, to := curves[b], curves[a]
		_, in := from.Tangents()
		leave, _ := to.Tangents()
		// The handles of a cubic that is an arc over its turn; of none, a line.
		handle := from.P3.Distance(to.P0) / 3
		if turn := math.Abs(math.Atan2(in.Cross(leave), in.Dot(leave))); turn > 1e-3 {
			handle *= 2 * math.Tan(turn/4) / math.Sin(turn/2)
		}
		arcs[i] = &geom.Curve{P0: from.P3, P1: from.P3.Add(in.Mul(handle)), P2: to.P0.Add(leave.Mul(-handle)), P3: to.P0}
	}
	for i, c := range curves {
		if arcs[i] != nil {
			out.Curves = append(out.Curves, *arcs[i])
		}
		if gone[i] {
			continue
		}
		if d := flat[i]; d > 0 {
			line, rest := c.Split(1 - d/c.P0.Distance(c.P3))
			rest.P1, rest.P2 = rest.P0.Lerp(rest.P3, 0.3), rest.P0.Lerp(rest.P3, 0.7)
			out.Curves = append(out.Curves, line, rest)
			continue
		}
		out.Curves = append(out.Curves, c)
	}
	return out
}

// reach is the parameter at which a curve that leads away from q comes to the
// distance d from it, found by halving.
func reach(c geom.Curve, q geom.Point, d float64) float64 {
	lo, hi := 0.0, 1.0
	for range 60 {
		if mid := (lo + hi) / 2; c.At(mid).Distance(q) < d {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
