package place

import "math"

// sweep are the planes of a placed body in which its room in plan is looked
// for. A level body has one: front and back lie over each other. A tilted one
// stands square to its faces, so that its back's outline lies a way of shift
// beside its front's in plan, and a corner may come nearer to something between
// the two than in either.
//
// Each point of the body goes straight from one plane to the next, by apart. Where
// it is nearest to something between them, at the distance d, it is at most
// √(d² + (apart/2)²) from it in one of them. The planes lie so close that this is
// within Exact of d for all d that a limit asks for.
type sweep struct {
	planes       []float64 // w in the body frame, the front first
	shift, apart float64   // mm in plan
}

func (c *Case) sweep(f Frame) sweep {
	s := sweep{planes: []float64{0}, shift: c.Body.Thickness * math.Hypot(f.W.X, f.W.Y)}
	if s.shift == 0 {
		return s
	}
	n := math.Ceil(s.shift / math.Sqrt(8*Exact*max(1, c.Need.Clearance())))
	s.apart = s.shift / n
	for k := 1.0; k <= n; k++ {
		s.planes = append(s.planes, -c.Body.Thickness*k/n)
	}
	return s
}

// least is the least room that a body may have whose room in every plane is d.
func (s sweep) least(d float64) float64 {
	if d <= s.apart/2 {
		return min(d, 0)
	}
	return math.Sqrt(d*d - s.apart*s.apart/4)
}

// asks is the room that every plane must have for the body to have need.
func (s sweep) asks(need float64) float64 {
	if need <= 0 {
		return need
	}
	return math.Hypot(need, s.apart/2)
}

// clearTilted tells whether a tilted body keeps the distances need from the
// slab's outline and the deep obstacles.
func (c *Case) clearTilted(f Frame, need rooms) bool {
	s := c.sweep(f)
	ask := rooms{s.asks(need.edge), s.asks(need.hollow)}
	last := len(s.planes) - 1
	// Mostly front and back have so much room that nothing between has too little.
	if far := (rooms{math.Hypot(ask.edge, s.shift/2), math.Hypot(ask.hollow, s.shift/2)}); c.clearInPlan(f.flat(0), far) && c.clearInPlan(f.flat(s.planes[last]), far) {
		return true
	}
	for _, w := range s.planes {
		if !c.clearInPlan(f.flat(w), ask) {
			return false
		}
	}
	return true
}
