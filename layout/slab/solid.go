package slab

import (
	"math"
	"sort"

	"slabwright/body/geom"
)

// A field is the profile made ready for integration: between two neighbouring
// stations of either face both heights are one cubic each.
type field struct {
	x           []float64 // panel i is [x[i], x[i+1]]
	top, bottom [][4]float64
	topBends    curvature
	bottomBends curvature

	level []primitives             // of each panel, from the slab's start
	lines map[hollowKey]hollowLine // worked out so far; a field serves one caller
}

// primitives are integrals over x of a panel's heights: what stands before the
// panel, and the factors of the powers of u = x − x[i] within it, from u up.
type primitives struct {
	top, bottom [5]float64 // of T and of B
	v, vx       [6]float64 // of T − B, and of x times that
	vz          [8]float64 // of (T² − B²)/2
}

func (s *Slab) field() *field {
	f := &field{x: s.profileCuts(min(0, s.Plan.startX()), s.Length)}
	for i := 0; i+1 < len(f.x); i++ {
		m := (f.x[i] + f.x[i+1]) / 2
		f.top = append(f.top, Spline(s.Profile.Top).over(m).powers(f.x[i]))
		f.bottom = append(f.bottom, Spline(s.Profile.Bottom).over(m).powers(f.x[i]))
	}
	f.topBends, f.bottomBends = bendsOf(f.top, s.Profile.Top), bendsOf(f.bottom, s.Profile.Bottom)
	f.integrate()
	return f
}

// integrate fills level.
func (f *field) integrate() {
	f.level = make([]primitives, len(f.top))
	for i := range f.level {
		l, t, b := &f.level[i], &f.top[i], &f.bottom[i]
		if i > 0 {
			before, u := &f.level[i-1], f.x[i]-f.x[i-1]
			l.top[0], l.bottom[0] = power(before.top[:], u), power(before.bottom[:], u)
			l.v[0], l.vx[0], l.vz[0] = power(before.v[:], u), power(before.vx[:], u), power(before.vz[:], u)
		}
		for k := range 4 {
			d, n := t[k]-b[k], float64(k+1)
			l.top[k+1], l.bottom[k+1] = t[k]/n, b[k]/n
			l.v[k+1] += d / n
			l.vx[k+1] += f.x[i] * d / n
			l.vx[k+2] += d / (n + 1)
			for j := range 4 {
				l.vz[k+j+1] += (t[k]*t[j] - b[k]*b[j]) / 2 / float64(k+j+1)
			}
		}
	}
}

// power is a polynomial with the given factors at u.
func power(c []float64, u float64) float64 {
	v := 0.0
	for k := len(c) - 1; k >= 0; k-- {
		v = v*u + c[k]
	}
	return v
}

// under is the integral along y = 1 from the slab's start to x: of 1, x, top
// and bottom and over the solid between them. Beyond the ends the end heights
// hold.
func (f *field) under(x float64) moments {
	i := f.panel(x)
	l, u := &f.level[i], x-f.x[i]
	m := moments{a: x, ax: x * x / 2}
	if over := x - f.x[len(f.x)-1]; over > 0 || u < 0 {
		in := f.x[i]
		if over > 0 {
			in, u = f.x[i+1], f.x[i+1]-f.x[i]
		} else {
			u = 0
		}
		t, b := f.heights(x)
		d := x - in
		m.top, m.bottom, m.v = d*t, d*b, d*(t-b)
		m.vx, m.vz = (x*x-in*in)/2*(t-b), d*(t*t-b*b)/2
	}
	m.top += power(l.top[:], u)
	m.bottom += power(l.bottom[:], u)
	m.v += power(l.v[:], u)
	m.vx += power(l.vx[:], u)
	m.vz += power(l.vz[:], u)
	return m
}

// between is the integral along y = 1 from x0 to x1.
func (f *field) between(x0, x1 float64) moments {
	m := f.under(x1)
	m.add(f.under(x0), -1)
	return m
}

// block integrates over the rectangle x0 to x1, y0 to y1.
func (f *field) block(x0, x1, y0, y1 float64) moments {
	m := f.between(x0, x1)
	w, y := y1-y0, (y0+y1)/2
	return moments{a: w * m.a, ax: w * m.ax, ay: w * y * m.a, top: w * m.top, bottom: w * m.bottom,
		v: w * m.v, vx: w * m.vx, vy: w * y * m.v, vz: w * m.vz}
}

func (p Plan) startX() float64 {
	if len(p.Stations) > 0 {
		return p.Stations[0].X
	}
	return 0
}

// powers are the factors of the piece as a polynomial in x − x0.
func (c cubic) powers(x0 float64) [4]float64 {
	a, b, d := c.slopeTerms()
	t := (x0 - c.x) / c.h
	// slope = a τ² + b τ + d with τ = t + u/h
	return [4]float64{
		c.at(x0),
		(a*t+b)*t + d,
		(2*a*t + b) / c.h / 2,
		a / (c.h * c.h) / 3,
	}
}

// panel is the panel that holds x; places off the slab belong to the nearest.
func (f *field) panel(x float64) int {
	i := sort.SearchFloat64s(f.x, x) - 1
	return max(0, min(i, len(f.x)-2))
}

func horner(c *[4]float64, u float64) float64 { return ((c[3]*u+c[2])*u+c[1])*u + c[0] }
func slopeOf(c *[4]float64, u float64) float64 {
	return (3*c[3]*u+2*c[2])*u + c[1]
}

// heights are top and bottom at x; beyond the ends the end heights hold.
func (f *field) heights(x float64) (top, bottom float64) {
	i := f.panel(x)
	u := max(0, min(x, f.x[len(f.x)-1])-f.x[i])
	return horner(&f.top[i], u), horner(&f.bottom[i], u)
}

// roof is the height at x of the surface that lies skin below the finished
// top, measured square to it as a gauge scribes it: a circle of radius skin
// rolled under the top touches it from below. So the roof is
//
//	min over u of top(x+u) − √(skin² − u²)
//
// which also is right where the top bends tighter than the gauge. Beyond the
// slab's ends the faces are thought to go straight on.
func (f *field) roof(x, skin float64) float64 {
	return f.rolled(x, skin, f.top, f.topBends.bend, 1)
}

// floor is the same above the finished bottom.
func (f *field) floor(x, skin float64) float64 {
	return -f.rolled(x, skin, f.bottom, f.bottomBends.bend, -1)
}

// rollsAt is the gauge over the face's smallest radius up to which a roof is
// found step by step.
const rollsAt = 0.5

func (f *field) rolled(x, r float64, face [][4]float64, bend, sign float64) float64 {
	last := f.x[len(f.x)-1]
	at := func(u float64) (z, slope float64) {
		p := x + u
		q := max(f.x[0], min(p, last))
		i := f.panel(q)
		slope = slopeOf(&face[i], q-f.x[i])
		return sign * (horner(&face[i], q-f.x[i]) + slope*(p-q)), sign * slope
	}
	low := func(u float64) float64 {
		z, _ := at(u)
		return z - math.Sqrt(max(0, r*r-u*u))
	}
	if r*bend < rollsAt {
		// The function is convex; where it is least the circle's slope is
		// the face's. u ↦ −r·slope/√(1+slope²) closes in on that place by
		// the factor r·bend at each step.
		u := 0.0
		for range 60 {
			_, m := at(u)
			next := -r * m / math.Sqrt(1+m*m)
			done := math.Abs(next-u) < 1e-6*r // an error e in u raises the result by about e²/2r: here by less than 1e-12 r
			u = next
			if done {
				break
			}
		}
		return low(u)
	}
	const n = 64
	best, bu := math.Inf(1), 0.0
	for k := -n; k <= n; k++ {
		u := r * float64(k) / n
		if v := low(u); v < best {
			best, bu = v, u
		}
	}
	a, b := max(-r, bu-r/n), min(r, bu+r/n)
	for range 60 {
		c, d := a+(b-a)*0.381966, a+(b-a)*0.618034
		if low(c) < low(d) {
			b = d
		} else {
			a = c
		}
	}
	return min(best, low((a+b)/2))
}

// moments are integrals over a region of the plan: of 1, x, y; of top and
// bottom; and over the solid between two surfaces there: volume and its
// moments.
type moments struct {
	a, ax, ay     float64
	top, bottom   float64
	v, vx, vy, vz float64
}

func (m *moments) add(n moments, k float64) {
	m.a += k * n.a
	m.ax += k * n.ax
	m.ay += k * n.ay
	m.top += k * n.top
	m.bottom += k * n.bottom
	m.v += k * n.v
	m.vx += k * n.vx
	m.vy += k * n.vy
	m.vz += k * n.vz
}

// Gauss-Legendre points and weights on [0, 1]; n points are exact to degree
// 2n−1 (Abramowitz and Stegun, Handbook of Mathematical Functions, 25.4.30).
var gauss4 = [4][2]float64{
	{0.5 - 0.861136311594053/2, 0.347854845137454 / 2},
	{0.5 - 0.339981043584856/2, 0.652145154862546 / 2},
	{0.5 + 0.339981043584856/2, 0.652145154862546 / 2},
	{0.5 + 0.861136311594053/2, 0.347854845137454 / 2},
}

var gauss3 = [3][2]float64{
	{0.5 - 0.774596669241483/2, 5.0 / 18},
	{0.5, 8.0 / 18},
	{0.5 + 0.774596669241483/2, 5.0 / 18},
}

// solid integrates over the ring, by Green's theorem in the form
// ∬ f(x) yᵏ = −∮ f(x) yᵏ⁺¹/(k+1) dx. Edges are cut at the stations; between
// them every integrand is a polynomial in x of degree 7 at most, for which
// four Gauss points are exact.
func (f *field) solid(ring geom.Polygon) moments {
	var m moments
	n := len(ring)
	for i := range ring {
		f.edge(&m, ring[i], ring[(i+1)%n])
	}
	return m
}

// faces is solid without the solid: the area, its moments, and the integrals
// of top and bottom, for which three Gauss points are exact.
func (f *field) faces(ring geom.Polygon) moments {
	var m moments
	n := len(ring)
	for i, a := range ring {
		b := ring[0]
		if i+1 < n {
			b = ring[i+1]
		}
		c := a.X*b.Y - b.X*a.Y
		m.a += c / 2
		m.ax += c * (a.X + b.X) / 6
		m.ay += c * (a.Y + b.Y) / 6
		switch {
		case a.X == b.X:
		case a.Y == b.Y:
			l := f.between(a.X, b.X)
			m.top -= a.Y * l.top
			m.bottom -= a.Y * l.bottom
		default:
			slope := (b.Y - a.Y) / (b.X - a.X)
			x0, x1, k := a.X, b.X, -1.0
			if x1 < x0 {
				x0, x1, k = x1, x0, 1
			}
			for i := f.panel(x0); x0 < x1; i++ {
				end := x1
				if i+2 < len(f.x) {
					end = min(x1, f.x[i+1])
				}
				for _, g := range gauss3 {
					x := x0 + (end-x0)*g[0]
					wy := k * (end - x0) * g[1] * (a.Y + slope*(x-a.X))
					m.top += wy * horner(&f.top[i], x-f.x[i])
					m.bottom += wy * horner(&f.bottom[i], x-f.x[i])
				}
				x0 = end
			}
		}
	}
	return m
}

func (f *field) edge(m *moments, a, b geom.Point) {
	if a.X == b.X {
		return
	}
	if a.Y == b.Y { // along a joint
		l, y := f.between(a.X, b.X), a.Y
		m.add(moments{a: l.a, ax: l.ax, ay: l.a * y / 2, top: l.top, bottom: l.bottom, v: l.v, vx: l.vx, vy: l.v * y / 2, vz: l.vz}, -y)
		return
	}
	k := 1.0
	if b.X < a.X {
		a, b, k = b, a, -1
	}
	slope := (b.Y - a.Y) / (b.X - a.X)
	for i := f.panel(a.X); ; i++ {
		x0, x1 := a.X, b.X
		if i > 0 && f.x[i] > x0 {
			x0 = f.x[i]
		}
		if i+1 < len(f.x)-1 && f.x[i+1] < x1 {
			x1 = f.x[i+1]
		}
		if x1 > x0 {
			top, bottom := &f.top[i], &f.bottom[i]
			for _, g := range gauss4 {
				x := x0 + (x1-x0)*g[0]
				w := -k * (x1 - x0) * g[1]
				y := a.Y + slope*(x-a.X)
				t, b := horner(top, x-f.x[i]), horner(bottom, x-f.x[i])
				wy := w * y
				wyy := wy * y / 2
				m.a += wy
				m.ax += wy * x
				m.ay += wyy
				m.top += wy * t
				m.bottom += wy * b
				m.v += wy * (t - b)
				m.vx += wy * x * (t - b)
				m.vy += wyy * (t - b)
				m.vz += wy * (t*t - b*b) / 2
			}
		}
		if x1 >= b.X {
			return
		}
	}
}

// hollow integrates the space between floor and roof over the ring, with
// panels of at most longestPanel between stations; hollowBound says how far
// off that can be.
func (f *field) hollow(ring geom.Polygon, topSkin, bottomSkin float64) moments {
	var m moments
	n := len(ring)
	y0 := ring[0].Y // across is counted from here, so that what panels lose stays small
	for i := range ring {
		a, b := ring[i], ring[(i+1)%n]
		if a.X == b.X {
			continue
		}
		k := 1.0
		if b.X < a.X {
			a, b, k = b, a, -1
		}
		slope := (b.Y - a.Y) / (b.X - a.X)
		f.along(a.X, b.X, func(x, w float64) {
			y := a.Y - y0 + slope*(x-a.X)
			r, fl := f.roof(x, topSkin), f.floor(x, bottomSkin)
			wy := -k * w * y
			m.a += wy
			m.v += wy * (r - fl)
			m.vx += wy * x * (r - fl)
			m.vy += wy * y / 2 * (r - fl)
			m.vz += wy * (r*r - fl*fl) / 2
		})
	}
	m.vy += y0 * m.v
	return m
}

// hollowLine integrates over x alone: the hollow's height, x times it, and
// half the difference of squares. For a chamber in a strip of one wood the
// rest is multiplication, and aligned chambers share their line.
type hollowLine struct{ v, vx, vz float64 }

type hollowKey struct{ from, to, topSkin, bottomSkin float64 }

func (f *field) hollowLine(k hollowKey) hollowLine {
	if l, ok := f.lines[k]; ok {
		return l
	}
	var l hollowLine
	f.along(k.from, k.to, func(x, w float64) {
		r, fl := f.roof(x, k.topSkin), f.floor(x, k.bottomSkin)
		l.v += w * (r - fl)
		l.vx += w * x * (r - fl)
		l.vz += w * (r*r - fl*fl) / 2
	})
	if f.lines == nil {
		f.lines = map[hollowKey]hollowLine{}
	}
	f.lines[k] = l
	return l
}

// chamber integrates over a whole chamber in the band [y0, y1].
func (f *field) chamber(c Chamber, y0, y1 float64) moments {
	l := f.hollowLine(hollowKey{c.From, c.To, c.TopSkin, c.BottomSkin})
	t := y1 - y0
	return moments{a: t * (c.To - c.From), v: t * l.v, vx: t * l.vx, vy: t * l.v * (y0 + y1) / 2, vz: t * l.vz}
}

const longestPanel = 50 // mm

// along visits Gauss points between x0 and x1 with their weights.
func (f *field) along(x0, x1 float64, visit func(x, w float64)) {
	for i := f.panel(x0); ; i++ {
		a, b := x0, x1
		if i > 0 && f.x[i] > a {
			a = f.x[i]
		}
		if i+1 < len(f.x)-1 && f.x[i+1] < b {
			b = f.x[i+1]
		}
		if b > a {
			parts := math.Ceil((b - a) / longestPanel)
			h := (b - a) / parts
			for p := 0.0; p < parts; p++ {
				for _, g := range gauss4 {
					visit(a+h*(p+g[0]), h*g[1])
				}
			}
		}
		if b >= x1 {
			return
		}
	}
}

// rim is the outline as a ring of chords with what they leave out.
type rim struct {
	ring   geom.Polygon
	sliver []float64 // area between chord i and its curve, positive outside the chord
	bounds []sliverBound
	along  []geom.Vec // direction of chord i
	turn   []float64  // from the chord before to chord i, positive to the left
	grid   rimGrid
	reach  float64                   // no edge is eased farther in
	clean  *[len(safeDepths)]float64 // safe, once it has been asked for
}

type rimGrid struct {
	x0, step float64
	cells    [][]int32 // chords that may be within reach of a place in the column
}

// flatness is how far chords may stray from the outline in mm. What they cut
// off is put back as slivers, so that it matters only in second order.
const flatness = 0.01

func newRim(path geom.Path, reach float64) *rim {
	r := &rim{reach: reach}
	for _, c := range path.Curves {
		n := 1
		if !c.Straight() {
			m := max(c.Acceleration(0).Len(), c.Acceleration(1).Len())
			// Short enough for the height over a sliver to be nearly one.
			n = int(max(1, min(4096, max(math.Ceil(math.Sqrt(m/(8*flatness))), c.P0.Distance(c.P3)/25))))
		}
		rest := c
		for i := range n {
			piece := rest
			if i < n-1 {
				piece, rest = rest.Split(1 / float64(n-i))
			}
			if piece.P0 == piece.P3 {
				continue
			}
			r.ring = append(r.ring, piece.P0)
			local := piece.Moved(geom.Shift(geom.Point{}.Sub(piece.P0)))
			r.sliver = append(r.sliver, local.Area()) // the chord through the origin adds none
			r.bounds = append(r.bounds, boundSliver(local))
		}
	}
	n := len(r.ring)
	for i, p := range r.ring {
		r.along = append(r.along, r.ring[(i+1)%n].Sub(p).Unit())
	}
	for i, b := range r.along {
		a := r.along[(i+n-1)%n]
		r.turn = append(r.turn, math.Atan2(a.Cross(b), a.Dot(b)))
	}
	box := r.ring.Bounds()
	r.grid = rimGrid{x0: box.Min.X - reach, step: max(reach, box.Width()/256)}
	if r.grid.step > 0 && len(r.ring) > 0 {
		r.grid.cells = make([][]int32, int((box.Width()+2*reach)/r.grid.step)+1)
		for i, a := range r.ring {
			b := r.ring[(i+1)%len(r.ring)]
			lo := r.grid.column(min(a.X, b.X) - reach)
			hi := r.grid.column(max(a.X, b.X) + reach)
			for c := lo; c <= hi; c++ {
				r.grid.cells[c] = append(r.grid.cells[c], int32(i))
			}
		}
	}
	return r
}

func (g *rimGrid) column(x float64) int {
	return max(0, min(int((x-g.x0)/g.step), len(g.cells)-1))
}

// clear tells whether no chord is nearer to p than t; t must not exceed the
// reach the rim was made for.
func (r *rim) clear(p geom.Point, t float64) bool {
	for _, i := range r.grid.cells[r.grid.column(p.X)] {
		a, b := r.ring[i], r.ring[(int(i)+1)%len(r.ring)]
		if p.Y < min(a.Y, b.Y)-t || p.Y > max(a.Y, b.Y)+t {
			continue
		}
		if d, _ := geom.PointSegment(p, a, b); d < t {
			return false
		}
	}
	return true
}

// inset is the ring of places that lie t inside the outline: every corner
// moved in, and those left out that come nearer than t to another edge. Where
// corners were left out, the moved edges before and after are run together if
// that place is clear. What this misses lies round ends and tips that are
// narrower than twice t, and is less than a few mm² each.
func (r *rim) inset(t float64) geom.Polygon {
	n := len(r.ring)
	near := t * (1 - 1e-6)
	if near > flatness {
		near -= flatness / 2
	}
	type corner struct {
		p       geom.Point
		in, out geom.Vec // directions of the edges before and after
	}
	kept := make([]corner, 0, n+8)
	gap := make([]bool, 0, n) // a corner was left out before kept[i]
	missing := false
	offer := func(c corner) {
		if !r.clear(c.p, near) {
			missing = true
			return
		}
		kept = append(kept, c)
		gap = append(gap, missing)
		missing = false
	}
	for i, p := range r.ring {
		a, b := r.along[(i+n-1)%n], r.along[i]
		na, nb := a.Left(), b.Left() // inward
		turn := r.turn[i]
		if turn < -0.2 { // the outline turns inward: the inset goes round the corner
			steps := math.Ceil(-turn / 0.1)
			for k := 0.0; k <= steps; k++ {
				ang := na.Angle() + turn*k/steps
				d := geom.Polar(1, ang)
				tangent := geom.V(d.Y, -d.X)
				offer(corner{p.Add(d.Mul(t)), tangent, tangent})
			}
			continue
		}
		k := 1 + na.Dot(nb)
		if k < 1e-9 { // doubles back: a spike has no inside
			missing = true
			continue
		}
		offer(corner{p.Add(na.Add(nb).Mul(t / k)), a, b})
	}
	if len(kept) == 0 {
		return nil
	}
	gap[0] = gap[0] || missing
	out := make(geom.Polygon, 0, len(kept)+8)
	for i, c := range kept {
		if gap[i] {
			before := kept[(i+len(kept)-1)%len(kept)]
			if cross := before.out.Cross(c.in); math.Abs(cross) > 1e-9 {
				s := c.p.Sub(before.p).Cross(c.in) / cross
				if x := before.p.Add(before.out.Mul(s)); s > 0 && c.p.Sub(x).Dot(c.in) > 0 && r.clear(x, near) {
					out = append(out, x)
				}
			}
		}
		out = append(out, c.p)
	}
	if len(out) < 3 {
		return nil
	}
	return out
}
