package body

import (
	"math"
	"slices"

	"slabwright/body/geom"
)

// cell is a trapezoid between two lines u = U0 and u = U1, on which the same
// rings hold everywhere:
//
//	v ^        . Hi1
//	  |  Hi0 .'|
//	  |     |  |
//	  |  Lo0 '.|
//	  |        ' Lo1
//	  +----U0--U1--> u
type cell struct {
	U0, U1, Lo0, Lo1, Hi0, Hi1 float64
	In                         []int // the rings that hold here, rising; only valid during the visit
}

// area, and the integrals of u and v.
func (c cell) moments() (a, mu, mv float64) {
	h, d0, d1 := c.U1-c.U0, c.Hi0-c.Lo0, c.Hi1-c.Lo1
	a = h * (d0 + d1) / 2
	mu = c.U0*a + h*h*(d0+2*d1)/6
	mv = h / 6 * (c.Hi0*c.Hi0 + c.Hi0*c.Hi1 + c.Hi1*c.Hi1 - c.Lo0*c.Lo0 - c.Lo0*c.Lo1 - c.Lo1*c.Lo1)
	return a, mu, mv
}

// gauss3 are the nodes and weights of the three-point Gauss–Legendre rule on
// [0, 1], exact to degree 5 (Abramowitz and Stegun, Handbook of Mathematical
// Functions, 1964, table 25.4).
func gauss3() (nodes, weights [3]float64) {
	const d = 0.38729833462074170 // √(3/5)/2
	return [3]float64{0.5 - d, 0.5, 0.5 + d}, [3]float64{5.0 / 18, 8.0 / 18, 5.0 / 18}
}

// points visits nine places of the cell with the area that each stands for, so
// that sums over them integrate polynomials of degree 2 in each coordinate
// exactly.
func (c cell) points(visit func(p geom.Point, area float64)) {
	nodes, weights := gauss3()
	for i, s := range nodes {
		lo, hi := c.Lo0+(c.Lo1-c.Lo0)*s, c.Hi0+(c.Hi1-c.Hi0)*s
		u, da := c.U0+(c.U1-c.U0)*s, (c.U1-c.U0)*(hi-lo)*weights[i]
		for j, r := range nodes {
			visit(geom.Point{X: u, Y: lo + (hi-lo)*r}, da*weights[j])
		}
	}
}

// parabola is a + b·v + c·v².
type parabola struct{ a, b, c float64 }

func (q parabola) minus(o parabola) parabola { return parabola{q.a - o.a, q.b - o.b, q.c - o.c} }

// zeros adds the places between lo and hi where it is 0.
func (q parabola) zeros(lo, hi float64, out []float64) []float64 {
	add := func(v float64) {
		if v > lo && v < hi {
			out = append(out, v)
		}
	}
	if q.c == 0 {
		if q.b != 0 {
			add(-q.a / q.b)
		}
		return out
	}
	d := q.b*q.b - 4*q.a*q.c
	if d <= 0 {
		return out
	}
	// The larger of the two sums keeps its digits.
	h := -(q.b + math.Copysign(math.Sqrt(d), q.b)) / 2
	add(h / q.c)
	if h != 0 {
		add(q.a / h)
	}
	return out
}

// widestColumn is the widest piece of a cell along u that columns takes at once.
const widestColumn = 12.0

// columns visits places of the cell as points does, for sums over columns of
// wood under carved surfaces. lines gives, at one u, the heights that matter as
// parabolas in v: between their crossings all is a polynomial, and each such
// piece has three places of its own.
func (c cell) columns(m *columnMemory, lines func(u float64, out []parabola) []parabola, visit func(p geom.Point, area float64)) {
	nodes, weights := gauss3()
	n := max(1, int(math.Ceil((c.U1-c.U0)/widestColumn)))
	for k := range n {
		for i, s := range nodes {
			s = (float64(k) + s) / float64(n)
			lo, hi := c.Lo0+(c.Lo1-c.Lo0)*s, c.Hi0+(c.Hi1-c.Hi0)*s
			u := c.U0 + (c.U1-c.U0)*s
			m.lines, m.cuts = lines(u, m.lines[:0]), m.cuts[:0]
			for a := range m.lines {
				for b := range a {
					m.cuts = m.lines[a].minus(m.lines[b]).zeros(lo, hi, m.cuts)
				}
			}
			slices.Sort(m.cuts)
			da := (c.U1 - c.U0) / float64(n) * weights[i]
			from := lo
			for a := range len(m.cuts) + 1 {
				to := hi
				if a < len(m.cuts) {
					to = m.cuts[a]
				}
				for j, r := range nodes {
					visit(geom.Point{X: u, Y: from + (to-from)*r}, da*(to-from)*weights[j])
				}
				from = to
			}
		}
	}
}

// columnMemory is the memory of columns; the zero one is ready.
type columnMemory struct {
	lines []parabola
	cuts  []float64
}

type sweepEdge struct {
	u0, u1, v0, v1 float64 // u0 < u1
	ring           int
}

func (e sweepEdge) at(u float64) float64 {
	switch u {
	case e.u0:
		return e.v0
	case e.u1:
		return e.v1
	}
	return e.v0 + (e.v1-e.v0)*(u-e.u0)/(e.u1-e.u0)
}

// sweeper is the memory of sweep; the zero sweeper is ready.
type sweeper struct {
	edges  []sweepEdge
	cuts   []float64
	open   []int
	at     []crossing
	inside []bool
	in     []int
}

// crossing is an edge between two cuts.
type crossing struct {
	lo, hi, mid float64
	ring        int
}

// sweep cuts the plane into cells by the edges of the rings and visits those
// that lie in at least one ring (by the even-odd rule), in order of u. Rings
// may overlap, share edges, and touch themselves. It is the trapezoidal
// decomposition (Preparata and Shamos, Computational Geometry, 1985) with
// every end and crossing of edges as a cut, which is simple and fast enough
// for the few dozens of edges that meet in a body's cavities.
func (w *sweeper) sweep(rings []geom.Polygon, visit func(cell)) {
	edges, cuts := w.edges[:0], w.cuts[:0]
	for r, g := range rings {
		for i, a := range g {
			b := g[(i+1)%len(g)]
			cuts = append(cuts, a.X)
			switch {
			case a.X < b.X:
				edges = append(edges, sweepEdge{a.X, b.X, a.Y, b.Y, r})
			case a.X > b.X:
				edges = append(edges, sweepEdge{b.X, a.X, b.Y, a.Y, r})
			}
		}
	}
	slices.SortFunc(edges, func(a, b sweepEdge) int {
		switch {
		case a.u0 < b.u0:
			return -1
		case a.u0 > b.u0:
			return 1
		}
		return a.ring - b.ring
	})
	// Crossings, among edges whose spans overlap.
	open := w.open[:0]
	for i, e := range edges {
		keep := open[:0]
		for _, j := range open {
			f := edges[j]
			if f.u1 <= e.u0 {
				continue
			}
			keep = append(keep, j)
			if f.ring == e.ring {
				continue
			}
			lo, hi := e.u0, min(e.u1, f.u1)
			d0, d1 := e.at(lo)-f.at(lo), e.at(hi)-f.at(hi)
			if (d0 < 0 && d1 > 0) || (d0 > 0 && d1 < 0) {
				cuts = append(cuts, lo+(hi-lo)*d0/(d0-d1))
			}
		}
		open = append(keep, i)
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)

	at, in := w.at[:0], w.in[:0]
	inside := append(w.inside[:0], make([]bool, len(rings))...)
	open = open[:0]
	next := 0
	for k := 0; k+1 < len(cuts); k++ {
		u0, u1 := cuts[k], cuts[k+1]
		keep := open[:0]
		for _, j := range open {
			if edges[j].u1 > u0 {
				keep = append(keep, j)
			}
		}
		open = keep
		for next < len(edges) && edges[next].u0 <= u0 {
			open = append(open, next)
			next++
		}
		at = at[:0]
		for _, j := range open {
			e := edges[j]
			a, b := e.at(u0), e.at(u1)
			at = append(at, crossing{a, b, a + b, e.ring})
		}
		// Insertion sort: the order hardly changes from cut to cut.
		for i := 1; i < len(at); i++ {
			for j := i; j > 0 && at[j].mid < at[j-1].mid; j-- {
				at[j], at[j-1] = at[j-1], at[j]
			}
		}
		count := 0
		for i, x := range at {
			if count > 0 && (x.lo > at[i-1].lo || x.hi > at[i-1].hi) {
				in = in[:0]
				for r, yes := range inside {
					if yes {
						in = append(in, r)
					}
				}
				visit(cell{u0, u1, at[i-1].lo, at[i-1].hi, x.lo, x.hi, in})
			}
			if inside[x.ring] = !inside[x.ring]; inside[x.ring] {
				count++
			} else {
				count--
			}
		}
		for r := range inside {
			inside[r] = false
		}
	}
	w.edges, w.cuts, w.open, w.at, w.inside, w.in = edges, cuts, open, at, inside, in
}
