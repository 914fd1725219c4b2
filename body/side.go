package body

import (
	"math"

	"slabwright/body/geom"
)

// side is the outline's ring, cut into short chains with a box round each, so
// that questions about a place look only at edges near it.
type side struct {
	ring   geom.Polygon
	chains []chain
}

type chain struct {
	box      geom.Box
	from, to int // edges
}

func newSide(ring geom.Polygon) side {
	const edges = 12
	s := side{ring: ring}
	for i := 0; i < len(ring); i += edges {
		c := chain{geom.EmptyBox(), i, min(i+edges, len(ring))}
		for k := c.from; k <= c.to; k++ {
			c.box = c.box.Include(ring[k%len(ring)])
		}
		s.chains = append(s.chains, c)
	}
	return s
}

// near visits edges that may lie within *limit of the box; the visitor may
// lower the limit.
func (s *side) near(box geom.Box, limit *float64, visit func(a, b geom.Point)) {
	for _, c := range s.chains {
		if boxGap(box, c.box) > *limit {
			continue
		}
		for k := c.from; k < c.to; k++ {
			a, b := s.ring[k], s.ring[(k+1)%len(s.ring)]
			if boxGap(box, spanBox(a, b)) <= *limit {
				visit(a, b)
			}
		}
	}
}

// distance is how far p lies from the side, and where the side is nearest; at
// most limit is looked at, beyond it the answer is the limit.
func (s *side) distance(p geom.Point, limit float64) (float64, geom.Point) {
	at := p
	// A corner of the nearest chain is a first bound, which spares the rest.
	box, least, first := geom.Box{Min: p, Max: p}, math.Inf(1), 0
	for i, c := range s.chains {
		if d := boxGap(box, c.box); d < least {
			least, first = d, i
		}
	}
	if c := s.ring[s.chains[first].from]; p.Distance(c) < limit {
		limit, at = p.Distance(c), c
	}
	s.near(box, &limit, func(a, b geom.Point) {
		if d, q := geom.PointSegment(p, a, b); d < limit {
			limit, at = d, q
		}
	})
	return limit, at
}

// depth is how far p lies inside, negative outside.
func (s *side) depth(p geom.Point) float64 {
	d, _ := s.distance(p, math.Inf(1))
	if s.ring.Locate(p) == geom.Outside {
		return -d
	}
	return d
}

// room is the least distance from the ring g to the side, if that is less than
// limit, else +Inf; when g reaches outside it is minus how far.
func (s *side) room(g geom.Polygon, limit float64) geom.Margin {
	m := geom.Margin{Value: math.Inf(1)}
	s.near(g.Bounds(), &limit, func(p, q geom.Point) {
		edge := spanBox(p, q)
		for i, a := range g {
			b := g[(i+1)%len(g)]
			if boxGap(edge, spanBox(a, b)) > limit {
				continue
			}
			if d, at, _ := geom.SegmentSegment(a, b, p, q); d < m.Value && d <= limit {
				m, limit = geom.Margin{Value: d, At: at}, d
			}
		}
	})
	if m.Value > 0 && s.ring.Locate(g[0]) == geom.Inside {
		return m
	}
	for _, p := range g {
		if d := s.depth(p); d < m.Value {
			m = geom.Margin{Value: d, At: p}
		}
	}
	// An inward corner of the side may poke into g.
	box := g.Bounds()
	for _, p := range s.ring {
		if box.Has(p) && g.Locate(p) == geom.Inside {
			if d, _ := g.BoundaryDistance(p); -d < m.Value {
				m = geom.Margin{Value: -d, At: p}
			}
		}
	}
	return m
}

// segment is the least distance from the segment ab to the side.
func (s *side) segment(a, b geom.Point, limit float64) geom.Margin {
	m := geom.Margin{Value: limit, At: a}
	s.near(spanBox(a, b), &m.Value, func(p, q geom.Point) {
		if d, at, _ := geom.SegmentSegment(a, b, p, q); d < m.Value {
			m = geom.Margin{Value: d, At: at}
		}
	})
	return m
}

// spanBox is the box round two points.
func spanBox(a, b geom.Point) geom.Box {
	if a.X > b.X {
		a.X, b.X = b.X, a.X
	}
	if a.Y > b.Y {
		a.Y, b.Y = b.Y, a.Y
	}
	return geom.Box{Min: a, Max: b}
}

// boxGap is the distance between two boxes, 0 when they meet.
func boxGap(a, b geom.Box) float64 {
	x, y := 0.0, 0.0
	if d := a.Min.X - b.Max.X; d > 0 {
		x = d
	} else if d := b.Min.X - a.Max.X; d > 0 {
		x = d
	}
	if d := a.Min.Y - b.Max.Y; d > 0 {
		y = d
	} else if d := b.Min.Y - a.Max.Y; d > 0 {
		y = d
	}
	switch {
	case x == 0:
		return y
	case y == 0:
		return x
	}
	return math.Sqrt(x*x + y*y)
}
