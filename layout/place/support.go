package place

import (
	"math"
	"slices"
	"sort"

	"slabwright/body/geom"
)

// A support answers how far a convex ring reaches in a direction.
//
// Walking round the ring counter-clockwise, its edges' outward normals turn one
// way only; the corner that lies farthest in a direction is the one between
// the two edges whose normals have the direction between them.
type support struct {
	ring    geom.Polygon // counter-clockwise, convex; corner i begins edge i
	normals []float64    // directions of the edges' normals, rising, from −π to π
}

func newSupport(ring geom.Polygon) support {
	n := len(ring)
	s := support{normals: make([]float64, n)}
	first := 0
	for i, p := range ring {
		d := ring[(i+1)%n].Sub(p)
		s.normals[i] = math.Atan2(-d.X, d.Y)
		if s.normals[i] < s.normals[first] {
			first = i
		}
	}
	s.ring = slices.Concat(ring[first:], ring[:first])
	s.normals = slices.Concat(s.normals[first:], s.normals[:first])
	return s
}

// over is the least and the greatest of a·X + b·Y over the ring.
func (s *support) over(a, b float64) (lo, hi float64) {
	return -s.most(-a, -b), s.most(a, b)
}

// most is the greatest of a·X + b·Y over the ring. Beside a corner the value
// is nearly the same, so the neighbours are asked, too: rounding of the
// directions cannot matter then.
func (s *support) most(a, b float64) float64 {
	n := len(s.ring)
	i := sort.SearchFloat64s(s.normals, math.Atan2(b, a))
	best := math.Inf(-1)
	for k := i + n - 1; k <= i+n+1; k++ {
		q := s.ring[k%n]
		best = max(best, a*q.X+b*q.Y)
	}
	return best
}

// slimmest is the least breadth of the ring in any direction. It is square to an
// edge.
func (s *support) slimmest() float64 {
	least := math.Inf(1)
	for _, a := range s.normals {
		sin, cos := math.Sincos(a)
		lo, hi := s.over(cos, sin)
		least = min(least, hi-lo)
	}
	return least
}
