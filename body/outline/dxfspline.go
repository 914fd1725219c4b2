package outline

import (
	"errors"
	"fmt"
	"math"

	"slabwright/body/geom"
)

// dxfSpline draws a B-spline, with weights or without, or one that is given
// only by points on it.
func dxfSpline(body []group, _ [][]group) (piece, error) {
	f, err := readFields(body, 70, 71, 40, 41, 10, 20, 11, 21, 12, 22, 13, 23)
	if err != nil {
		return piece{}, err
	}
	points := func(x, y int) ([]geom.Point, error) {
		if len(f.many[x]) != len(f.many[y]) {
			return nil, fmt.Errorf("it has %d x and %d y of group %d", len(f.many[x]), len(f.many[y]), x)
		}
		var out []geom.Point
		for i, v := range f.many[x] {
			out = append(out, geom.Pt(v, f.many[y][i]))
		}
		return out, nil
	}
	control, err := points(10, 20)
	if err != nil {
		return piece{}, err
	}
	if len(control) == 0 {
		fit, err := points(11, 21)
		if err != nil {
			return piece{}, err
		}
		return throughPoints(fit, f)
	}
	b := bspline{degree: int(f.one[71]), knots: f.many[40], weights: f.many[41], control: control}
	if err := b.check(); err != nil {
		return piece{}, err
	}
	curves := b.curves()
	return piece{curves: curves, closed: len(curves) > 0 && curves[0].P0 == curves[len(curves)-1].P3}, nil
}

// throughPoints draws a C² cubic spline by chord length through the fit points
// of a SPLINE without control points, with the end tangents 12 and 13 where
// given, else with those of the parabola through the first and last three.
func throughPoints(fit []geom.Point, f fields) (piece, error) {
	var ps []geom.Point
	ts := []float64{}
	t := 0.0
	for i, p := range fit {
		if i > 0 {
			d := p.Distance(ps[len(ps)-1])
			if d == 0 {
				continue
			}
			t += d
		}
		ps, ts = append(ps, p), append(ts, t)
	}
	n := len(ps)
	if n < 3 {
		return piece{}, fmt.Errorf("it has %d fit points, at least 3 are wanted", n)
	}
	if ps[0] == ps[n-1] {
		return piece{closed: true, curves: spline(ps, ts, geom.Vec{}, geom.Vec{}, true)}, nil
	}
	slope := func(i, j int) geom.Vec { return ps[j].Sub(ps[i]).Mul(1 / (ts[j] - ts[i])) }
	first := slope(0, 1).Add(slope(0, 1).Sub(slope(1, 2)).Mul((ts[1] - ts[0]) / (ts[2] - ts[0])))
	last := slope(n-2, n-1).Add(slope(n-2, n-1).Sub(slope(n-3, n-2)).Mul((ts[n-1] - ts[n-2]) / (ts[n-1] - ts[n-3])))
	if v := geom.V(f.one[12], f.one[22]); v.Len() > 0 {
		first = v.Unit()
	}
	if v := geom.V(f.one[13], f.one[23]); v.Len() > 0 {
		last = v.Unit()
	}
	return piece{curves: spline(ps, ts, first, last, false)}, nil
}

// bspline is a B-spline of any degree, rational when it has weights.
type bspline struct {
	degree         int
	knots, weights []float64
	control        []geom.Point
}

func (b *bspline) check() error {
	n := len(b.control)
	if b.degree < 1 || b.degree > 25 {
		return fmt.Errorf("its degree is %d", b.degree)
	}
	if n <= b.degree {
		return fmt.Errorf("it has %d control points, more than its degree %d are wanted", n, b.degree)
	}
	if len(b.knots) != n+b.degree+1 {
		return fmt.Errorf("it has %d knots, %d are wanted for %d control points of degree %d", len(b.knots), n+b.degree+1, n, b.degree)
	}
	for i := 1; i < len(b.knots); i++ {
		if b.knots[i] < b.knots[i-1] {
			return errors.New("its knots do not rise")
		}
	}
	if !(b.knots[n] > b.knots[b.degree]) {
		return errors.New("its knots span nothing")
	}
	if len(b.weights) == 0 {
		b.weights = make([]float64, n)
		for i := range b.weights {
			b.weights[i] = 1
		}
	}
	if len(b.weights) != n {
		return fmt.Errorf("it has %d weights for %d control points", len(b.weights), n)
	}
	for _, w := range b.weights {
		if !(w > 0 && w < 1e9) {
			return fmt.Errorf("a weight is %g, must be over 0", w)
		}
	}
	return nil
}

// at is the point and the derivative at t, in the knot span k (knots[k] ≤ t ≤
// knots[k+1]): de Boor's algorithm on (w x, w y, w), whose last step also gives
// the derivative, and the quotient rule (Piegl and Tiller, The NURBS book, 4.3).
func (b *bspline) at(k int, t float64) (geom.Point, geom.Vec) {
	type h struct{ x, y, w float64 }
	p := b.degree
	d := make([]h, p+1)
	for j := range d {
		i := k - p + j
		w := b.weights[i]
		d[j] = h{w * b.control[i].X, w * b.control[i].Y, w}
	}
	var dv h
	for r := 1; r <= p; r++ {
		if r == p {
			f := float64(p) / (b.knots[k+1] - b.knots[k])
			dv = h{f * (d[p].x - d[p-1].x), f * (d[p].y - d[p-1].y), f * (d[p].w - d[p-1].w)}
		}
		for j := p; j >= r; j-- {
			i := k - p + j
			a := (t - b.knots[i]) / (b.knots[i+p-r+1] - b.knots[i])
			d[j] = h{(1-a)*d[j-1].x + a*d[j].x, (1-a)*d[j-1].y + a*d[j].y, (1-a)*d[j-1].w + a*d[j].w}
		}
	}
	q := d[p]
	return geom.Pt(q.x/q.w, q.y/q.w), geom.V((dv.x-q.x/q.w*dv.w)/q.w, (dv.y-q.y/q.w*dv.w)/q.w)
}

// curves are cubics with the spline's places and derivatives at their ends. In
// a knot span of degree up to 3 without weights that is the spline itself;
// other spans are halved until they agree within 1e-6 of the spline's size at
// three places between.
func (b *bspline) curves() []geom.Curve {
	size := geom.Bounds(b.control...)
	tol := 1e-6 * math.Hypot(size.Width(), size.Height())
	var out []geom.Curve
	var add func(k int, t0, t1 float64, depth int)
	add = func(k int, t0, t1 float64, depth int) {
		p0, v0 := b.at(k, t0)
		p1, v1 := b.at(k, t1)
		h := (t1 - t0) / 3
		c := geom.Curve{P0: p0, P1: p0.Add(v0.Mul(h)), P2: p1.Add(v1.Mul(-h)), P3: p1}
		for _, s := range []float64{0.25, 0.5, 0.75} {
			if q, _ := b.at(k, t0+s*(t1-t0)); depth < 12 && !(q.Distance(c.At(s)) <= tol) {
				m := t0 + (t1-t0)/2
				add(k, t0, m, depth+1)
				add(k, m, t1, depth+1)
				return
			}
		}
		if len(out) > 0 {
			c.P0 = out[len(out)-1].P3
		}
		out = append(out, c)
	}
	for k := b.degree; k < len(b.control); k++ {
		if b.knots[k+1] > b.knots[k] && len(out) < maxCurves {
			add(k, b.knots[k], b.knots[k+1], 0)
		}
	}
	return out
}
