package outline

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
	"slabwright/fret/measure"
)

// Fit draws a smooth closed curve of few cubics through the points of a traced
// outline, given in order round it. The curve is C² (tangent and curvature
// continuous), so corners of the trace come out rounded, as far as tol allows.
//
// Every point lies within tol mm of the curve, and no place of the curve is
// farther than 2 tol from the ring of points. When that cannot be done without
// following the noise (a cubic for two points), Fit says how near
// it came, and where. It needs at least 12 points; tol must be over 0.
//
// The curve is a periodic cubic B-spline of least squares. Its pieces are
// halved where it misses the points, and the points' parameters are moved to
// their feet on the curve between rounds (Dierckx, Curve and surface fitting
// with splines, 1993, chapters 4 and 6; Piegl and Tiller, The NURBS book, 9.4).
func Fit(points []geom.Point, tol float64) (geom.Path, error) {
	if !(tol > 0) || math.IsInf(tol, 0) {
		return geom.Path{}, fmt.Errorf("the deviation to allow is %g mm, must be over 0", tol)
	}
	var ring geom.Polygon
	for i, p := range points {
		if !p.Finite() || math.Abs(p.X) > 1e6 || math.Abs(p.Y) > 1e6 {
			return geom.Path{}, fmt.Errorf("point %d is (%g, %g), which is no place on a trace", i+1, p.X, p.Y)
		}
		if len(ring) == 0 || p.Distance(ring[len(ring)-1]) > 1e-6 {
			ring = append(ring, p)
		}
	}
	if n := len(ring); n > 1 && ring[0].Distance(ring[n-1]) <= 1e-6 {
		ring = ring[:n-1]
	}
	if len(ring) < 12 {
		return geom.Path{}, fmt.Errorf("the trace has %d different points, at least 12 are wanted", len(ring))
	}
	if len(ring) > maxPoints {
		return geom.Path{}, fmt.Errorf("the trace has %d points, at most %d can be fitted", len(ring), maxPoints)
	}
	length := ring.Perimeter()
	// Parameters run over [0, 1), first by the length along the trace.
	ts := make([]float64, len(ring))
	for i, l := 1, 0.0; i < len(ring); i++ {
		l += ring[i].Distance(ring[i-1])
		ts[i] = l / length
	}
	breaks := make([]float64, 8)
	for i := range breaks {
		breaks[i] = float64(i) / float64(len(breaks))
	}
	for {
		f, err := fitRound(ring, ts, breaks, tol)
		if err != nil {
			return geom.Path{}, err
		}
		ts = f.ts
		if f.worst <= tol {
			return fitted(fewer(ring, f, tol).curves)
		}
		next := f.halved(tol)
		if len(next) == len(breaks) {
			return geom.Path{}, misfit{tol, f.worst, f.at}
		}
		breaks = next
	}
}

// misfit is what Fit says when noise or a corner is larger than tol.
type misfit struct {
	tol, worst float64
	at         geom.Point
}

func (e misfit) Error() string { return e.say(measure.Millimetre, e.at, measure.Millimetres) }

// say words it with lengths that are k times as long at full size.
func (e misfit) say(k measure.Length, at geom.Point, u measure.Unit) string {
	return fmt.Sprintf("no smooth curve stays within %s of the trace: the nearest misses it by %s near (%.1f, %.1f); allow more, or trace closer there",
		(k * measure.Length(e.tol)).Format(u), (k * measure.Length(e.worst)).Format(u), at.X, at.Y)
}

// attempt is a curve with given breaks that was brought as near to the points
// as moving their parameters allows.
type attempt struct {
	breaks, ts []float64 // of the pieces; of the points
	curves     []geom.Curve
	miss       []float64 // by piece, the farthest point
	worst      float64
	at         geom.Point // where it is worst
}

func fitRound(ring geom.Polygon, ts, breaks []float64, tol float64) (attempt, error) {
	f := attempt{breaks: breaks, ts: ts}
	for round := range 4 {
		var err error
		if f.curves, err = leastSquares(ring, f.ts, breaks); err != nil {
			return f, err
		}
		f.miss = make([]float64, len(f.curves))
		f.worst = 0
		feet := make([]float64, len(ts))
		for i, p := range ring {
			t, d, piece := foot(f.curves, breaks, p, f.ts[i])
			feet[i] = t
			if d > tol { // it counts for the piece that was meant for the point
				piece = pieceOf(breaks, f.ts[i])
			}
			f.take(piece, d, p)
		}
		// A curve that is still far off has feet in the wrong places.
		if f.worst <= tol || f.worst > 4*tol || round == 3 {
			break
		}
		f.ts = feet
	}
	if f.worst <= tol { // it may not swing out between the points either
		for i, c := range f.curves {
			for s := range 8 {
				q := c.At(float64(s) / 8)
				if d, _ := ring.BoundaryDistance(q); d > 2*tol {
					f.take(i, d, q)
				}
			}
		}
	}
	return f, nil
}

func (f *attempt) take(piece int, d float64, p geom.Point) {
	f.miss[piece] = max(f.miss[piece], d)
	if d > f.worst {
		f.worst, f.at = d, p
	}
}

// halved are the breaks with more of them where the curve misses worst: only
// there, as halving helps the neighbours too. A piece needs four points to be
// halved; when the worst one has fewer, a neighbour is.
func (f *attempt) halved(tol float64) []float64 {
	n := len(f.breaks)
	count := make([]int, n)
	for _, t := range f.ts {
		count[pieceOf(f.breaks, t)]++
	}
	stuck := -1
	if w := slices.Index(f.miss, f.worst); w >= 0 && count[w] < 4 {
		for _, i := range []int{(w + n - 1) % n, (w + 1) % n} {
			if count[i] >= 4 && (stuck < 0 || f.miss[i] > f.miss[stuck]) {
				stuck = i
			}
		}
		if stuck < 0 {
			return f.breaks
		}
	}
	var next []float64
	for i, b := range f.breaks {
		next = append(next, b)
		before, after := f.miss[(i+n-1)%n], f.miss[(i+1)%n]
		if count[i] >= 4 && (f.miss[i] > tol && f.miss[i] >= before && f.miss[i] > after || i == stuck) {
			next = append(next, b+(breakAfter(f.breaks, i)-b)/2)
		}
	}
	return next
}

// fewer drops the breaks that are not needed, one after the other. Long traces
// are left as they are: every try costs a fit.
func fewer(ring geom.Polygon, f attempt, tol float64) attempt {
	if len(ring) > 5000 {
		return f
	}
	for i := 1; i < len(f.breaks) && len(f.breaks) > 8; {
		without := slices.Delete(slices.Clone(f.breaks), i, i+1)
		if g, err := fitRound(ring, f.ts, without, tol); err == nil && g.worst <= tol {
			f = g
		} else {
			i++
		}
	}
	return f
}

func fitted(curves []geom.Curve) (geom.Path, error) {
	p := geom.Path{Curves: curves, Closed: true}
	if p.Area() < 0 {
		p = p.Reversed()
	}
	if at, ok := crossing(p); ok {
		return geom.Path{}, fmt.Errorf("the traced outline crosses itself near (%.1f, %.1f)", at.X, at.Y)
	}
	return p, nil
}

func breakAfter(breaks []float64, i int) float64 {
	if i+1 < len(breaks) {
		return breaks[i+1]
	}
	return breaks[0] + 1
}

// pieceOf is the piece in which the parameter t in [0, 1) lies; breaks[0] is 0.
func pieceOf(breaks []float64, t float64) int {
	lo, hi := 0, len(breaks)
	for hi-lo > 1 {
		if m := (lo + hi) / 2; breaks[m] <= t {
			lo = m
		} else {
			hi = m
		}
	}
	return lo
}

// leastSquares is the periodic cubic B-spline with these breaks that comes
// nearest to the points at their parameters, as cubics, one to a piece.
func leastSquares(points []geom.Point, ts, breaks []float64) ([]geom.Curve, error) {
	n := len(breaks)
	knot := func(i int) float64 { // the periodic knots
		turns := math.Floor(float64(i) / float64(n))
		return breaks[i-n*int(turns)] + turns
	}
	basis := func(k int, t float64) (b [4]float64) { // of the functions k−3 … k on piece k
		var left, right [4]float64
		b[0] = 1
		for j := 1; j <= 3; j++ {
			left[j], right[j] = t-knot(k+1-j), knot(k+j)-t
			saved := 0.0
			for r := range j {
				f := b[r] / (right[r+1] + left[j-r])
				b[r] = saved + right[r+1]*f
				saved = left[j-r] * f
			}
			b[j] = saved
		}
		return b
	}
	wrap := func(i int) int { return ((i % n) + n) % n }
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, i+1)
	}
	bx, by := make([]float64, n), make([]float64, n)
	add := func(cols [4]int, f [4]float64, w float64, p geom.Point) {
		for a, i := range cols {
			bx[i] += w * f[a] * p.X
			by[i] += w * f[a] * p.Y
			for c, j := range cols {
				if j <= i {
					m[i][j] += w * f[a] * f[c]
				}
			}
		}
	}
	columns := func(k int) [4]int { return [4]int{wrap(k - 3), wrap(k - 2), wrap(k - 1), wrap(k)} }
	for i, p := range points {
		k := pieceOf(breaks, ts[i])
		add(columns(k), basis(k, ts[i]), 1, p)
	}
	// A trace of evenness settles pieces without points of their own: each
	// control point is drawn, very weakly, to the middle of its neighbours.
	for i := range n {
		add([4]int{wrap(i - 1), i, wrap(i + 1), i}, [4]float64{-0.5, 0.5, -0.5, 0.5}, 1e-7, geom.Point{})
	}
	// One matrix, two right sides: it is overwritten, so keep a copy.
	m2 := make([][]float64, n)
	for i := range m {
		m2[i] = append([]float64(nil), m[i]...)
	}
	xs, ok := cholesky(m, bx)
	ys, ok2 := cholesky(m2, by)
	if !ok || !ok2 {
		return nil, errors.New("no curve can be fitted: too few points, or too many in one place")
	}
	curves := make([]geom.Curve, n)
	for k := range n {
		// In Bézier form by the blossom of the piece: de Boor with each argument
		// an end of the piece.
		u0, u1 := knot(k), knot(k+1)
		blossom := func(a, b, c float64) geom.Point {
			var d [4]geom.Point
			for j := range d {
				i := wrap(k - 3 + j)
				d[j] = geom.Pt(xs[i], ys[i])
			}
			for r, t := range []float64{a, b, c} {
				for j := 3; j > r; j-- {
					lo, hi := knot(k-3+j), knot(k+j-r)
					d[j] = d[j-1].Lerp(d[j], (t-lo)/(hi-lo))
				}
			}
			return d[3]
		}
		curves[k] = geom.Curve{P0: blossom(u0, u0, u0), P1: blossom(u0, u0, u1), P2: blossom(u0, u1, u1), P3: blossom(u1, u1, u1)}
	}
	for k := range curves { // joints agree to the last digit
		curves[k].P3 = curves[(k+1)%n].P0
	}
	return curves, nil
}

// foot is the parameter of the curve's nearest place to p, looked for in the
// piece of t and its two neighbours, with the distance and the piece.
func foot(curves []geom.Curve, breaks []float64, p geom.Point, t float64) (best, distance float64, piece int) {
	n := len(curves)
	k := pieceOf(breaks, t)
	distance = math.Inf(1)
	for turn, i := range []int{k, (k + n - 1) % n, (k + 1) % n} {
		if turn > 0 && piece == k && best > breaks[k] && best < breakAfter(breaks, k) && distance < math.Inf(1) {
			break // the foot lies well within its own piece
		}
		c := curves[i]
		s, d := 0.0, math.Inf(1)
		for j := range 9 {
			if e := c.At(float64(j) / 8).Distance(p); e < d {
				s, d = float64(j)/8, e
			}
		}
		sample := s
		for range 6 { // Newton on (c(s) − p)·c'(s) = 0, kept in the piece
			r, v := c.At(s).Sub(p), c.Velocity(s)
			slope := v.Dot(v) + r.Dot(c.Acceleration(s))
			if !(slope > 0) {
				break
			}
			s = math.Max(0, math.Min(1, s-r.Dot(v)/slope))
		}
		if e := c.At(s).Distance(p); e < d {
			d = e
		} else {
			s = sample // Newton ran away
		}
		if d < distance {
			b := breaks[i]
			best = math.Mod(b+s*(breakAfter(breaks, i)-b), 1)
			distance, piece = d, i
		}
	}
	return best, distance, piece
}
