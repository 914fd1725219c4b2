package place

import (
	"math"
	"math/bits"

	"slabwright/body/geom"
)

// breadth answers how far to the right and to the left a ring reaches anywhere
// between two stations: the least and greatest y of the ring over a range of
// x, rounded outward to whole columns. Columns are joined in runs of 1, 2, 4 …,
// so that any range is the union of two runs.
type breadth struct {
	x0, step float64
	lo, hi   [][]float64 // lo[k][i]: least y over columns i … i+2ᵏ−1
	in       [][]float64 // likewise the least of how far the columns reach to both sides of y = 0
}

func newBreadth(ring geom.Polygon, step float64) breadth {
	box := ring.Bounds()
	n := int(box.Width()/step) + 1
	b := breadth{x0: box.Min.X, step: step}
	lo, hi := make([]float64, n), make([]float64, n)
	for i := range lo {
		lo[i], hi[i] = math.Inf(1), math.Inf(-1)
	}
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		if p.X > q.X {
			p, q = q, p
		}
		for k := min(n-1, b.column(p.X)); k <= min(n-1, b.column(q.X)); k++ {
			// The part of the edge in the column, ends included.
			u, v := b.x0+float64(k)*step, b.x0+float64(k+1)*step
			for _, x := range []float64{max(u, p.X), min(v, q.X)} {
				y := p.Y
				if q.X > p.X {
					y += (q.Y - p.Y) * (x - p.X) / (q.X - p.X)
				} else {
					lo[k], hi[k] = min(lo[k], q.Y), max(hi[k], q.Y)
				}
				lo[k], hi[k] = min(lo[k], y), max(hi[k], y)
			}
		}
	}
	in := make([]float64, n)
	for i := range in {
		in[i] = min(-lo[i], hi[i])
	}
	b.lo, b.hi, b.in = [][]float64{lo}, [][]float64{hi}, [][]float64{in}
	for run := 1; 2*run <= n; run *= 2 {
		pl, ph, pi := b.lo[len(b.lo)-1], b.hi[len(b.hi)-1], b.in[len(b.in)-1]
		nl, nh, ni := make([]float64, n-2*run+1), make([]float64, n-2*run+1), make([]float64, n-2*run+1)
		for i := range nl {
			nl[i], nh[i], ni[i] = min(pl[i], pl[i+run]), max(ph[i], ph[i+run]), min(pi[i], pi[i+run])
		}
		b.lo, b.hi, b.in = append(b.lo, nl), append(b.hi, nh), append(b.in, ni)
	}
	return b
}

func (b breadth) column(x float64) int {
	return max(0, min(len1(b.lo), int(math.Floor((x-b.x0)/b.step))))
}

// len1 is the last column; before the table stands, any.
func len1(t [][]float64) int {
	if len(t) == 0 {
		return math.MaxInt32
	}
	return len(t[0]) - 1
}

// over is the least and greatest y for x0 ≤ x ≤ x1; where the ring does not
// reach, lo > hi.
func (b breadth) over(x0, x1 float64) (lo, hi float64) {
	end := b.x0 + float64(len(b.lo[0]))*b.step
	if x1 < b.x0 || x0 > end {
		return math.Inf(1), math.Inf(-1)
	}
	i, j := b.column(x0), b.column(x1)
	k := bits.Len(uint(j-i+1)) - 1
	w := 1 << k
	return min(b.lo[k][i], b.lo[k][j-w+1]), max(b.hi[k][i], b.hi[k][j-w+1])
}

// least is a reach that every column between x0 and x1 has to both sides of
// y = 0: what stays within it is not beyond the ring anywhere. It is −∞ where
// the ring does not go on from x0 to x1.
func (b breadth) least(x0, x1 float64) float64 {
	end := b.x0 + float64(len(b.lo[0]))*b.step
	if x0 < b.x0 || x1 > end {
		return math.Inf(-1)
	}
	i, j := b.column(x0), b.column(x1)
	k := bits.Len(uint(j-i+1)) - 1
	return min(b.in[k][i], b.in[k][j-(1<<k)+1])
}
