package outline

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
)

// Kind says how the curve goes through a knot.
type Kind int

const (
	// Smooth knots are passed in whatever direction is fairest.
	Smooth Kind = iota
	// Headed knots are passed in the direction Heading.
	Headed
	// Corner knots are corners that are meant: the curve ends and begins anew.
	Corner
)

// Knot is a place through which an outline goes.
type Knot struct {
	At      geom.Point
	Kind    Kind
	Heading float64 // radians from +u toward +v; used by Headed
	// Straight makes the stretch to the next knot a straight line. A Headed
	// knot at its end must head along it.
	Straight bool

	// extreme is −1 or 1 where the outline is meant to reach its least or
	// greatest v near this knot, 0 elsewhere.
	extreme float64
}

// Draw is the fairest closed path through the knots, in their order: of all
// curves through them it is, nearly, the one whose bend changes least, that is,
// with the least integral of the squared third derivative along its length (in
// the spirit of Moreton and Séquin, Functional optimization for fair surface
// design, SIGGRAPH 1992, who minimise the change of curvature). Circles come
// out as circles, nearly. Tangent and curvature are continuous except at
// Corners; where a curve meets a straight stretch at a Headed knot its
// curvature there is within 1e-4 /mm of none.
//
// It needs at least three knots, finite and no two neighbours in one place, and
// refuses an outline that crosses itself. A clockwise order is kept: the caller
// decides.
func Draw(knots []Knot) (geom.Path, error) {
	path, err := draw(knots)
	if err != nil {
		return geom.Path{}, err
	}
	if at, ok := crossing(path); ok {
		return geom.Path{}, fmt.Errorf("the outline crosses itself near (%.1f, %.1f)", at.X, at.Y)
	}
	return path, nil
}

// draw is Draw without the last look.
func draw(knots []Knot) (geom.Path, error) {
	n := len(knots)
	if n < 3 {
		return geom.Path{}, fmt.Errorf("an outline needs at least 3 points, got %d", n)
	}
	first := -1 // a knot at which a chain may begin
	for i, k := range knots {
		if !k.At.Finite() || math.IsNaN(k.Heading) || math.IsInf(k.Heading, 0) {
			return geom.Path{}, fmt.Errorf("point %d of the outline is not a place: (%g, %g)", i+1, k.At.X, k.At.Y)
		}
		if d := k.At.Distance(knots[(i+1)%n].At); d < 0.01 {
			return geom.Path{}, fmt.Errorf("points %d and %d of the outline lie in one place, (%.2f, %.2f)", i+1, (i+1)%n+1, k.At.X, k.At.Y)
		} else if d > 1e5 {
			return geom.Path{}, fmt.Errorf("points %d and %d of the outline are %g mm apart: too far", i+1, (i+1)%n+1, d)
		}
		if first < 0 && (k.Kind == Corner || k.Straight) {
			first = i
		}
	}
	if knots[n-1].Straight {
		first = 0 // keep the caller's order
	}
	path := geom.Path{Closed: true}
	if first < 0 {
		curves, err := fair(knots, true)
		if err != nil {
			return geom.Path{}, err
		}
		path.Curves = curves
	} else {
		for i := first; i < first+n; {
			k := knots[i%n]
			if k.Straight {
				path.Curves = append(path.Curves, geom.Line(k.At, knots[(i+1)%n].At))
				i++
				continue
			}
			chain := []Knot{k}
			for {
				i++
				k := knots[i%n]
				chain = append(chain, k)
				if k.Kind == Corner || k.Straight || i == first+n {
					break
				}
			}
			curves, err := fair(chain, false)
			if err != nil {
				return geom.Path{}, err
			}
			path.Curves = append(path.Curves, curves...)
		}
	}
	return path, nil
}

// crossing looks for a self-crossing of the path, on its ring within 0.05 mm.
func crossing(p geom.Path) (geom.Point, bool) {
	c, ok := geom.Polygon(p.Flatten(0.05)).SelfCrossing()
	return c.At, ok
}

// Between two knots a span is the quintic with given place, velocity and
// acceleration at both ends. In the six values
//
//	p0, h·v0, h²·a0, h²·a1, h·v1, p1
//
// (h the span's length in the parameter) its second and third derivatives are
// sums of the Hermite quintics' derivatives below, in powers of t in [0, 1].
var hermite = [6][6]float64{ // coefficients of 1, t, … t⁵
	{1, 0, 0, -10, 15, -6},
	{0, 1, 0, -6, 8, -3},
	{0, 0, 0.5, -1.5, 1.5, -0.5},
	{0, 0, 0, 0.5, -1, 0.5},
	{0, 0, 0, -4, 7, -3},
	{0, 0, 0, 10, -15, 6},
}

// energy is the matrix of ∫ (order-th derivative)² dt over [0, 1] in the six
// values.
func energy(order int) (m [6][6]float64) {
	var d [6][6]float64
	for i, c := range hermite {
		for k := order; k < 6; k++ {
			f := c[k]
			for j := range order {
				f *= float64(k - j)
			}
			d[i][k-order] = f
		}
	}
	for i := range d {
		for j := range d {
			for a, x := range d[i] {
				for b, y := range d[j] {
					m[i][j] += x * y / float64(a+b+1)
				}
			}
		}
	}
	return m
}

// value is one of the six values of a span along one axis: known, or a sum of
// up to two unknowns with factors.
type value struct {
	known float64
	at    [2]int // unknowns, −1 for none
	by    [2]float64
}

// fair draws the chain of knots as C² cubics: the quintics of least energy,
// then a cubic spline through points of them. The parameter is made to follow
// the arc length by drawing again with the lengths of the last drawing.
func fair(knots []Knot, periodic bool) ([]geom.Curve, error) {
	n := len(knots)
	spans := n - 1
	if periodic {
		spans = n
	}
	h := make([]float64, spans)
	for i := range h {
		h[i] = knots[i].At.Distance(knots[(i+1)%n].At)
	}
	system := newUnknowns(knots, periodic)
	var quintics []quintic
	const rounds = 5 // later rounds move the families' curves by less than 0.1 mm
	for round := range rounds {
		var err error
		if quintics, err = system.solve(h); err != nil {
			return nil, err
		}
		if round == rounds-1 {
			break
		}
		for i, q := range quintics {
			l, prev := 0.0, q.at(0)
			for s := 1; s <= 16; s++ {
				p := q.at(float64(s) / 16)
				l += p.Distance(prev)
				prev = p
			}
			// A wild first drawing must not run away.
			chord := knots[i].At.Distance(knots[(i+1)%n].At)
			h[i] = math.Min(l, 4*chord)
		}
	}
	// Points crowd toward the ends of an open chain, where the spline's own
	// curvature is least sure.
	even := []float64{0, 1. / 8, 2. / 8, 3. / 8, 4. / 8, 5. / 8, 6. / 8, 7. / 8}
	begin := []float64{0, 1. / 64, 1. / 32, 1. / 16, 1. / 8, 2. / 8, 3. / 8, 4. / 8, 5. / 8, 6. / 8, 7. / 8}
	end := append(slices.Clone(even), 15./16, 31./32, 63./64)
	both := append(slices.Clone(begin), 15./16, 31./32, 63./64)
	var points []geom.Point
	var ts []float64
	t := 0.0
	for i, q := range quintics {
		at := even
		switch {
		case periodic:
		case spans == 1:
			at = both
		case i == 0:
			at = begin
		case i == spans-1:
			at = end
		}
		for _, s := range at {
			points = append(points, q.at(s))
			ts = append(ts, t+h[i]*s)
		}
		t += h[i]
	}
	last := quintics[spans-1]
	points, ts = append(points, last.at(1)), append(ts, t)
	return spline(points, ts, quintics[0].velocity(0), last.velocity(1), periodic), nil
}

// quintic is one solved span: the six values along both axes, and h.
type quintic struct {
	x, y [6]float64
	h    float64
}

func (q quintic) at(t float64) geom.Point {
	var p geom.Point
	for i, c := range hermite {
		b := c[0] + t*(c[1]+t*(c[2]+t*(c[3]+t*(c[4]+t*c[5]))))
		p.X += b * q.x[i]
		p.Y += b * q.y[i]
	}
	return p
}

func (q quintic) velocity(t float64) geom.Vec {
	var v geom.Vec
	for i, c := range hermite {
		b := (c[1] + t*(2*c[2]+t*(3*c[3]+t*(4*c[4]+t*5*c[5])))) / q.h
		v.X += b * q.x[i]
		v.Y += b * q.y[i]
	}
	return v
}

// unknowns numbers what the knots leave open: velocities and accelerations.
type unknowns struct {
	knots    []Knot
	periodic bool
	v, a     [][2]value // by knot, by axis, for h = 1
	count    int
}

func newUnknowns(knots []Knot, periodic bool) *unknowns {
	u := &unknowns{knots: knots, periodic: periodic}
	free := func() [2]value {
		u.count += 2
		return [2]value{{at: [2]int{u.count - 2, -1}, by: [2]float64{1}}, {at: [2]int{u.count - 1, -1}, by: [2]float64{1}}}
	}
	along := func(heading float64) [2]value {
		s, c := math.Sincos(heading)
		u.count++
		return [2]value{{at: [2]int{u.count - 1, -1}, by: [2]float64{c}}, {at: [2]int{u.count - 1, -1}, by: [2]float64{s}}}
	}
	for i, k := range knots {
		v, a := [2]value{}, [2]value{}
		if k.Kind == Headed {
			v = along(k.Heading)
		} else {
			v = free()
		}
		// The ends of an open chain meet a straight stretch, or are corners.
		if end := i == 0 || i == len(knots)-1; end && !periodic && k.Kind == Headed {
			a = along(k.Heading)
		} else {
			a = free()
		}
		u.v, u.a = append(u.v, v), append(u.a, a)
	}
	return u
}

// span gives the six values of span i along one axis.
func (u *unknowns) span(i, axis int, h float64) [6]value {
	j := (i + 1) % len(u.knots)
	place := func(k Knot) value {
		if axis == 0 {
			return value{known: k.At.X, at: [2]int{-1, -1}}
		}
		return value{known: k.At.Y, at: [2]int{-1, -1}}
	}
	times := func(v value, f float64) value {
		v.by[0] *= f
		v.by[1] *= f
		return v
	}
	return [6]value{place(u.knots[i]), times(u.v[i][axis], h), times(u.a[i][axis], h*h),
		times(u.a[j][axis], h*h), times(u.v[j][axis], h), place(u.knots[j])}
}

func (u *unknowns) solve(h []float64) ([]quintic, error) {
	total := 0.0
	for _, l := range h {
		total += l
	}
	e3, e2 := energy(3), energy(2)
	// A trace of bending energy settles chains of two knots, which the third
	// derivative alone leaves open.
	trace := 1e-6 / (total * total)
	matrix := make([][]float64, u.count)
	for i := range matrix {
		matrix[i] = make([]float64, i+1)
	}
	right := make([]float64, u.count)
	for i, l := range h {
		w3, w2 := math.Pow(l, -5), trace*math.Pow(l, -3)
		for axis := range 2 {
			q := u.span(i, axis, l)
			for r := range q {
				for c := range q {
					m := w3*e3[r][c] + w2*e2[r][c]
					for x, ur := range q[r].at {
						if ur < 0 || q[r].by[x] == 0 {
							continue
						}
						right[ur] -= m * q[r].by[x] * q[c].known
						for y, uc := range q[c].at {
							if uc >= 0 && uc <= ur {
								matrix[ur][uc] += m * q[r].by[x] * q[c].by[y]
							}
						}
					}
				}
			}
		}
	}
	z, ok := cholesky(matrix, right)
	if !ok {
		return nil, errors.New("no smooth curve goes through these points: two of them may be too close for their headings")
	}
	out := make([]quintic, len(h))
	for i, l := range h {
		out[i].h = l
		for axis := range 2 {
			for r, v := range u.span(i, axis, l) {
				f := v.known
				for x, at := range v.at {
					if at >= 0 {
						f += v.by[x] * z[at]
					}
				}
				if axis == 0 {
					out[i].x[r] = f
				} else {
					out[i].y[r] = f
				}
			}
		}
	}
	return out, nil
}

// cholesky solves the positive definite system whose lower triangle is m,
// overwriting both; rows are short at their left end (a chain couples
// neighbours only), which is made use of.
func cholesky(m [][]float64, b []float64) ([]float64, bool) {
	n := len(b)
	first := make([]int, n)
	for i, row := range m {
		for first[i] < i && row[first[i]] == 0 {
			first[i]++
		}
		for j := first[i]; j <= i; j++ {
			s := row[j]
			for k := max(first[i], first[j]); k < j; k++ {
				s -= row[k] * m[j][k]
			}
			if j < i {
				row[j] = s / m[j][j]
				continue
			}
			if !(s > 0) || math.IsInf(s, 0) {
				return nil, false
			}
			row[j] = math.Sqrt(s)
		}
	}
	for i := range n {
		for k := first[i]; k < i; k++ {
			b[i] -= m[i][k] * b[k]
		}
		b[i] /= m[i][i]
	}
	for i := n - 1; i >= 0; i-- {
		b[i] /= m[i][i]
		for k := first[i]; k < i; k++ {
			b[k] -= m[i][k] * b[i]
		}
	}
	return b, true
}

// spline is the C² cubic spline through the points at parameters ts: clamped to
// the end velocities, or periodic, when the last point is the first again. The
// unknowns are the velocities v (de Boor, A practical guide to splines, ch. IV):
//
//	v[i−1]/h[i−1] + 2 v[i] (1/h[i−1] + 1/h[i]) + v[i+1]/h[i]
//	  = 3 (Δ[i−1]/h[i−1]² + Δ[i]/h[i]²)
func spline(points []geom.Point, ts []float64, first, last geom.Vec, periodic bool) []geom.Curve {
	n := len(points) - 1 // spans
	h := make([]float64, n)
	d := make([]geom.Vec, n)
	for i := range h {
		h[i] = ts[i+1] - ts[i]
		d[i] = points[i+1].Sub(points[i])
	}
	v := make([]geom.Vec, n+1)
	if periodic {
		for axis := range 2 {
			m := make([][]float64, n)
			b := make([]float64, n)
			for i := range m {
				m[i] = make([]float64, i+1)
			}
			for i := range n {
				p := (i + n - 1) % n
				m[i][i] += 2 * (1/h[p] + 1/h[i])
				j := (i + 1) % n
				m[max(i, j)][min(i, j)] += 1 / h[i]
				get := func(w geom.Vec) float64 {
					if axis == 0 {
						return w.X
					}
					return w.Y
				}
				b[i] = 3 * (get(d[p])/(h[p]*h[p]) + get(d[i])/(h[i]*h[i]))
			}
			z, _ := cholesky(m, b) // diagonally dominant: always solvable
			for i, f := range z {
				if axis == 0 {
					v[i].X = f
				} else {
					v[i].Y = f
				}
			}
		}
		v[n] = v[0]
	} else {
		v[0], v[n] = first, last
		diag := make([]float64, n)
		for i := 1; i < n; i++ { // forward elimination of the tridiagonal rows
			diag[i] = 2 * (1/h[i-1] + 1/h[i])
			r := d[i-1].Mul(3 / (h[i-1] * h[i-1])).Add(d[i].Mul(3 / (h[i] * h[i])))
			if i == 1 {
				r = r.Sub(v[0].Mul(1 / h[0]))
			} else {
				f := 1 / h[i-1] / diag[i-1]
				diag[i] -= f / h[i-1]
				r = r.Sub(v[i-1].Mul(f))
			}
			v[i] = r
		}
		for i := n - 1; i >= 1; i-- {
			v[i] = v[i].Sub(v[i+1].Mul(1 / h[i])).Mul(1 / diag[i])
		}
	}
	curves := make([]geom.Curve, n)
	for i := range curves {
		p, q := points[i], points[i+1]
		if i == n-1 && periodic {
			q = points[0]
		}
		curves[i] = geom.Curve{P0: p, P1: p.Add(v[i].Mul(h[i] / 3)), P2: q.Add(v[i+1].Mul(-h[i] / 3)), P3: q}
	}
	return curves
}
