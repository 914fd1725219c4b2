package body

import (
	"math"

	"slabwright/body/geom"
)

// Drop is how much contours and edge treatments take off a face at p, which
// lies toSide from the side of the body.
func (b *Body) Drop(f Face, p geom.Point, toSide float64) float64 {
	return b.MostDrop(f, p, toSide, 0)
}

// MostDrop is no less than Drop anywhere within r of p, and equal to it for
// r = 0. Of p, toSide from the side, the places within r are no nearer to the
// side than toSide − r. Edges are treated down from the carved face.
func (b *Body) MostDrop(f Face, p geom.Point, toSide, r float64) float64 {
	radius, chamfer := b.Edges.of(f)
	return math.Min(b.Thickness, b.mostFallen(f, p, r)+sunk(math.Max(0, toSide-r), radius, chamfer))
}

// mostFallen is the most that contours lower a face within r of p.
func (b *Body) mostFallen(f Face, p geom.Point, r float64) float64 {
	most := 0.0
	for i := range b.Shaped {
		if s := &b.Shaped[i]; s.Face == f {
			most = math.Max(most, s.mostDrop(p, r))
		}
	}
	return most
}

// Carved tells whether a face is not a plane.
func (b *Body) Carved(f Face) bool {
	for _, s := range b.Shaped {
		if s.Face == f {
			return true
		}
	}
	return b.Edges.reach(f) > 0
}

// mostDrop is the greatest drop within r of p: a bevel or cut is deepest
// farthest from its line, and an arch no deeper than with both ways r longer.
func (s *Shaping) mostDrop(p geom.Point, r float64) float64 {
	if s.Kind == ArchedTop {
		d := p.Sub(s.Line.At)
		u, v := math.Abs(d.X)+r, math.Abs(d.Y)+r
		return s.Along*u*u + s.Across*v*v
	}
	if d := s.Line.Depth(p) + r; d > 0 {
		return s.Slope*d + s.Curve*d*d
	}
	return 0
}

// tangent is the plane that touches the surface over p: its drop there, and how
// that grows along u and v. The drop is convex, so that it is nowhere less than
// the plane's.
func (s *Shaping) tangent(p geom.Point) (drop float64, grows geom.Vec) {
	if s.Kind == ArchedTop {
		d := p.Sub(s.Line.At)
		return s.Drop(p), geom.V(2*s.Along*d.X, 2*s.Across*d.Y)
	}
	d := s.Line.Depth(p)
	if d <= 0 {
		return 0, geom.Vec{}
	}
	return s.Drop(p), s.Line.Along.Left().Mul(s.Slope + 2*s.Curve*d)
}

// of are the radius and the chamfer of a face's edge.
func (e Edges) of(f Face) (radius, chamfer float64) {
	if f == Back {
		return e.BackRadius, e.BackChamfer
	}
	return e.FrontRadius, e.FrontChamfer
}

// reach is how far from the side a face's edge treatment takes wood.
func (e Edges) reach(f Face) float64 {
	radius, chamfer := e.of(f)
	return math.Max(radius, chamfer)
}

// tangent is the line that touches the edge treatment at distance d from the
// side: its drop there, and how that grows with the distance, ≤ 0.
func (e Edges) tangent(f Face, d float64) (drop, grows float64) {
	radius, chamfer := e.of(f)
	switch {
	case radius > 0 && d < radius:
		d = math.Max(d, 1e-4*radius) // upright at its foot
		return sunk(d, radius, 0), -(radius - d) / math.Sqrt(2*radius*d-d*d)
	case chamfer > 0 && d < chamfer:
		return chamfer - d, -1
	}
	return 0, 0
}

// Within is where less than depth is taken off a face: the part of the ring,
// which runs round the outline or some part of it, that holds all such places.
// Each is also no nearer to the side than inset. The part is nil when there is
// no such place.
func (b *Body) Within(f Face, ring geom.Polygon, depth float64) (part geom.Polygon, inset float64) {
	if depth <= 0 {
		return nil, 0
	}
	if math.IsInf(depth, 1) {
		return ring, 0
	}
	radius, chamfer := b.Edges.of(f)
	switch {
	case depth < radius:
		inset = radius - math.Sqrt(radius*radius-(radius-depth)*(radius-depth))
	case depth < chamfer:
		inset = chamfer - depth
	}
	for i := range b.Shaped {
		s := &b.Shaped[i]
		if s.Face != f || ring == nil {
			continue
		}
		if s.Kind == ArchedTop {
			ring = clippedToArch(ring, s, depth)
			continue
		}
		far := depth / s.Slope // from its line, of places that have fallen by depth
		if s.Curve > 0 {
			far = (math.Sqrt(s.Slope*s.Slope+4*s.Curve*depth) - s.Slope) / (2 * s.Curve)
		}
		ring = ring.Clipped(geom.HalfPlane{At: s.Line.At.Add(s.Line.Along.Left().Mul(far)), Along: s.Line.Along.Neg()})
	}
	return ring, inset
}

// clippedToArch keeps the part of the ring round the places where an arch has
// fallen by less than depth: those within an ellipse, or between two lines.
func clippedToArch(ring geom.Polygon, s *Shaping, depth float64) geom.Polygon {
	u, v := math.Sqrt(depth/s.Along), math.Sqrt(depth/s.Across) // +Inf where it does not fall
	far := 1 + ring.Bounds().Width() + ring.Bounds().Height() + ring.Bounds().Centre().Distance(s.Line.At)
	u, v = math.Min(u, far), math.Min(v, far)
	if s.Along == 0 || s.Across == 0 {
		box := geom.Box{Min: s.Line.At.Add(geom.V(-u, -v)), Max: s.Line.At.Add(geom.V(u, v))}
		return ring.ClippedTo(geom.Convex(box.Polygon()))
	}
	const sides = 48
	around := geom.Regular(geom.Point{}, 1/math.Cos(math.Pi/sides), sides)
	for i, q := range around {
		around[i] = s.Line.At.Add(geom.V(u*q.X, v*q.Y))
	}
	return ring.ClippedTo(geom.Convex(around))
}

// ReliefTolerance is by how many mm, in plan and then in depth, what a Relief
// asks for may lie outside the finished body. It is far less than any maker
// leaves for sanding.
const ReliefTolerance = 0.2

// flattened is the part of the tolerance in plan that goes into flattening the
// outline, twice as much at its corners; the rest is left to the planes over the
// faces.
const flattened = 0.04

// Relief is one face of the finished body, without its cavities, as points that
// keep it covered. The outline is cut into small triangles and parts of such.
// On each a plane lies on or over the finished face; the points are the corners
// of the parts, lifted to the highest of the planes there.
//
//	         .----.        the planes over a rounded edge and a bevel: where
//	     .-''      ''-.    the corners have wood, all between has, as far as
//	  .-'              \   the slab's face bulges
//	.'                  |
type Relief []ReliefPoint

// ReliefPoint is a corner of the parts of a Relief.
type ReliefPoint struct {
	At   geom.Point
	Drop float64 // mm from the face's plane into the wood; below 0 by no more than ReliefTolerance
	Span float64 // the greatest width, mm, of a part that has this corner
}

// Relief covers a face. Each point lies within ReliefTolerance, first in plan and
// then in depth, of a place of the finished body.
//
// Along a treated edge the parts are strips beside the side, as wide as a plane
// can follow the treatment; elsewhere they are halves of squares, cut where a
// bevel or a cut begins. What no plane follows closely is halved.
func (b *Body) Relief(f Face) Relief {
	g := b.Outline.FlattenOutside(flattened)
	w := &reliefMaker{b: b, face: f, side: newSide(g), index: map[geom.Point]int{}}
	w.clip = []side{w.side}
	if inner := w.strips(); inner > 0 {
		w.clip = nil
		const overlap = 0.03 // more than Offset is off
		for _, part := range geom.Offset(g, overlap-inner) {
			w.clip = append(w.clip, newSide(part))
		}
	}
	w.squares(g.Bounds())
	return w.out
}

// squares covers what the clip leaves of the box.
func (w *reliefMaker) squares(box geom.Box) {
	const step = 10.0
	nu, nv := int(box.Width()/step)+1, int(box.Height()/step)+1
	at := func(i, j int) geom.Point {
		return geom.Pt(box.Min.X+box.Width()*float64(i)/float64(nu), box.Min.Y+box.Height()*float64(j)/float64(nv))
	}
	for i := range nu {
		for k := range nv {
			j := k
			if i%2 == 1 { // to and fro, so that neighbours in the list are near each other
				j = nv - 1 - k
			}
			w.cutAndCover(triangle{at(i, j), at(i+1, j), at(i, j+1)}, 0)
			w.cutAndCover(triangle{at(i+1, j+1), at(i, j+1), at(i+1, j)}, 0)
		}
	}
}

// cutAndCover cuts a triangle along the lines where the face's contours begin,
// from the i-th on, and covers the pieces.
func (w *reliefMaker) cutAndCover(t triangle, i int) {
	for ; i < len(w.b.Shaped); i++ {
		s := &w.b.Shaped[i]
		if s.Face != w.face || s.Kind == ArchedTop {
			continue
		}
		for k, p := range t { // p alone on one side
			q, r := t[(k+1)%3], t[(k+2)%3]
			dp, dq, dr := s.Line.Depth(p), s.Line.Depth(q), s.Line.Depth(r)
			// By their signs, as a product of two small numbers may be 0.
			if !(dp < 0 && dq > 0 || dp > 0 && dq < 0) || dp < 0 && dr < 0 || dp > 0 && dr > 0 {
				continue
			}
			a, b := zero(p, q, dp, dq), zero(p, r, dp, dr)
			w.cutAndCover(triangle{p, a, b}, i+1)
			w.cutAndCover(triangle{a, q, b}, i+1)
			w.cutAndCover(triangle{b, q, r}, i+1)
			return
		}
	}
	w.cover(t, run{})
}

// zero is where a function that is dp at p and dq at q is 0 between them;
// the same, to the last bit, from either end.
func zero(p, q geom.Point, dp, dq float64) geom.Point {
	if q.X < p.X || q.X == p.X && q.Y < p.Y {
		p, q, dp, dq = q, p, dq, dp
	}
	return p.Lerp(q, dp/(dp-dq))
}

// A run is a stretch of the side and the chord of it, from a to b: no place of
// the chord is farther from the side than rise.
type run struct {
	a, b geom.Point
	rise float64
}

// strips covers the places that an edge treatment reaches, and says how far in
// from the side: what is no nearer is left to do.
func (w *reliefMaker) strips() (inner float64) {
	radius, chamfer := w.b.Edges.of(w.face)
	depths := []float64{0, chamfer}
	switch {
	case radius > 0:
		// A tangent in the middle of an arc of 2α leaves the circle by
		// radius (1/cos α − 1) at the arc's ends.
		alpha := math.Acos(radius / (radius + ReliefTolerance))
		n := math.Ceil(math.Pi / 4 / alpha)
		depths = nil
		for i := 0.0; i <= n; i++ {
			depths = append(depths, radius*(1-math.Cos(i/n*math.Pi/2)))
		}
	case chamfer == 0:
		return 0
	}
	runs := w.side.runs(8, 0.03)
	n := len(runs)
	mitre := make([]geom.Vec, n) // at the beginning of each run: by how much it moves when the runs move in by 1
	for i, r := range runs {
		in, on := runs[(i+n-1)%n], r
		u, v := in.b.Sub(in.a).Unit().Left(), on.b.Sub(on.a).Unit().Left()
		mitre[i] = u.Add(v).Mul(1 / math.Max(0.05, 1+u.Dot(v)))
	}
	for i, r := range runs {
		at := func(k int, d float64) (a, b geom.Point) {
			if k == 0 {
				d = -2*r.rise - 0.02 // the side may bulge out over the chord
			}
			return r.a.Add(mitre[i].Mul(d)), r.b.Add(mitre[(i+1)%n].Mul(d))
		}
		for k := range len(depths) - 1 {
			a, b := at(k, depths[k])
			c, d := at(k+1, depths[k+1])
			w.cover(triangle{a, b, d}, r)
			w.cover(triangle{a, d, c}, r)
		}
	}
	return depths[len(depths)-1]
}

// runs cuts the side into stretches no longer than long whose chords rise no
// more than rise, or single edges.
func (s *side) runs(long, rise float64) []run {
	n := len(s.ring)
	var out []run
	for i := 0; i < n; {
		best := run{s.ring[i], s.ring[(i+1)%n], 0}
		j := i + 1
		for ; j < n; j++ {
			c := run{a: s.ring[i], b: s.ring[(j+1)%n]}
			if c.rise = s.rise(i, j+1); c.rise > rise || c.a.Distance(c.b) > long {
				break
			}
			best = c
		}
		m := math.Ceil(best.a.Distance(best.b) / long)
		for k := 0.0; k < m; k++ {
			out = append(out, run{best.a.Lerp(best.b, k/m), best.a.Lerp(best.b, (k+1)/m), best.rise})
		}
		i = j
	}
	return out
}

// rise is how far the side leaves the chord from corner i to corner j.
func (s *side) rise(i, j int) float64 {
	n := len(s.ring)
	a := s.ring[(i%n+n)%n]
	d := s.ring[j%n].Sub(a).Unit()
	rise := 0.0
	for m := i + 1; m < j; m++ {
		rise = math.Max(rise, math.Abs(d.Cross(s.ring[(m%n+n)%n].Sub(a))))
	}
	return rise
}

type triangle [3]geom.Point

func (t triangle) middle() geom.Point {
	return geom.Pt((t[0].X+t[1].X+t[2].X)/3, (t[0].Y+t[1].Y+t[2].Y)/3)
}

// longest is the longest edge of the triangle, from corner i to the next.
func (t triangle) longest() (i int, length float64) {
	for k, p := range t {
		if d := p.Distance(t[(k+1)%3]); d > length {
			i, length = k, d
		}
	}
	return i, length
}

// weights are p's barycentric coordinates.
func (t triangle) weights(p geom.Point) [3]float64 {
	area := t[1].Sub(t[0]).Cross(t[2].Sub(t[0]))
	b := p.Sub(t[0]).Cross(t[2].Sub(t[0])) / area
	c := t[1].Sub(t[0]).Cross(p.Sub(t[0])) / area
	return [3]float64{1 - b - c, b, c}
}

func (t triangle) has(p geom.Point) bool {
	w := t.weights(p)
	return w[0] >= 0 && w[1] >= 0 && w[2] >= 0
}

// plane is an affine function by its values at a triangle's corners.
type plane [3]float64

func (a plane) at(w [3]float64) float64 { return a[0]*w[0] + a[1]*w[1] + a[2]*w[2] }

type reliefMaker struct {
	b       *Body
	face    Face
	side    side
	clip    []side // what parts of triangles are covered
	out     Relief
	index   map[geom.Point]int
	corners []geom.Point
	drops   []float64 // the true ones at the corners
	depths  []float64 // how far the corners are from the side, as far as edges are treated
}

// cover puts the best plane over the triangle's part in the clip, or halves the
// triangle where none is close enough.
func (w *reliefMaker) cover(t triangle, beside run) {
	w.partCorners(t)
	if len(w.corners) == 0 {
		return
	}
	i, span := t.longest()
	carved := w.contourPlane(t)
	best, over := carved, w.over(t, carved)
	if over > ReliefTolerance {
		for _, a := range w.edgePlanes(t, span, beside) {
			for k := range a {
				a[k] += carved[k]
			}
			if o := w.over(t, a); o < over {
				best, over = a, o
			}
			if over <= ReliefTolerance/2 {
				break
			}
		}
	}
	const finest = 0.1
	if over > ReliefTolerance && span > finest {
		p, q, r := t[i], t[(i+1)%3], t[(i+2)%3]
		m := geom.Pt((p.X+q.X)/2, (p.Y+q.Y)/2)
		w.cover(triangle{r, p, m}, beside)
		w.cover(triangle{q, r, m}, beside)
		return
	}
	for _, q := range w.corners {
		drop := best.at(t.weights(q))
		k, ok := w.index[q]
		if !ok {
			w.index[q] = len(w.out)
			w.out = append(w.out, ReliefPoint{q, drop, span})
			continue
		}
		w.out[k].Drop, w.out[k].Span = math.Min(w.out[k].Drop, drop), math.Max(w.out[k].Span, span)
	}
}

// partCorners finds the corners of the parts of the triangle in the clip, and
// the drops there.
func (w *reliefMaker) partCorners(t triangle) {
	w.corners, w.drops, w.depths = w.corners[:0], w.drops[:0], w.depths[:0]
	if t[1].Sub(t[0]).Cross(t[2].Sub(t[0])) == 0 {
		return
	}
	box := geom.Bounds(t[:]...)
	for i := range w.clip {
		clip := &w.clip[i]
		near := 0.0
		clip.near(box, &near, func(a, b geom.Point) {
			if t.has(a) {
				w.corners = append(w.corners, a)
			}
			for k, p := range t {
				if at, ok := geom.SegmentsMeet(p, t[(k+1)%3], a, b); ok {
					w.corners = append(w.corners, at)
				}
			}
		})
	}
	in, cut := false, len(w.corners) > 0 // else the corners are all in, or all out
	for k, p := range t {
		if k == 0 || cut {
			in = false
			for i := range w.clip {
				if w.clip[i].ring.Locate(p) != geom.Outside {
					in = !in // a hole in a part is a ring of its own
				}
			}
		}
		if in {
			w.corners = append(w.corners, p)
		}
	}
	for _, q := range w.corners {
		drop, depth := w.drop(q)
		w.drops, w.depths = append(w.drops, drop), append(w.depths, depth)
	}
}

// drop is the true drop at p, and how far p is from the side, as far as that is
// asked.
func (w *reliefMaker) drop(p geom.Point) (drop, depth float64) {
	if reach := w.b.Edges.reach(w.face); reach > 0 {
		depth, _ = w.side.distance(p, reach)
	}
	return w.b.Drop(w.face, p, depth), depth
}

// over is the most by which the plane lies over the finished face at the
// part's corners, each seen from where it is moved by the tolerance toward
// where less is taken.
func (w *reliefMaker) over(t triangle, a plane) float64 {
	u, v := t[1].Sub(t[0]), t[2].Sub(t[0])
	c := u.Cross(v)
	g := geom.V(((a[1]-a[0])*v.Y-(a[2]-a[0])*u.Y)/c, ((a[2]-a[0])*u.X-(a[1]-a[0])*v.X)/c)
	aside := geom.Vec{}
	if l := g.Len(); l > 0 {
		aside = g.Mul((2*flattened - ReliefTolerance) / l)
	}
	most := math.Inf(-1)
	for i, q := range w.corners {
		z := a.at(t.weights(q))
		if over := w.drops[i] - z; over > most {
			if q := q.Add(aside); over > ReliefTolerance && (w.depths[i] > ReliefTolerance || w.side.ring.Locate(q) != geom.Outside) {
				drop, _ := w.drop(q)
				over = math.Min(over, drop-z)
			}
			most = math.Max(most, over)
		}
	}
	return most
}

// contourPlane is the plane that lies nowhere under the face as contours leave
// it, and least over it at the part's corners: a tangent of one of them, or the
// face's own.
func (w *reliefMaker) contourPlane(t triangle) plane {
	best, over := plane{}, math.Inf(-1)
	for _, q := range w.corners {
		over = math.Max(over, w.b.fallen(w.face, q))
	}
	for i := range w.b.Shaped {
		s := &w.b.Shaped[i]
		if s.Face != w.face {
			continue
		}
		for _, c := range []geom.Point{t.middle(), t[0], t[1], t[2]} {
			d, g := s.tangent(c)
			var a plane
			for k, p := range t {
				a[k] = d + g.Dot(p.Sub(c))
			}
			most := math.Inf(-1)
			for _, q := range w.corners {
				most = math.Max(most, w.b.fallen(w.face, q)-a.at(t.weights(q)))
			}
			if most < over {
				best, over = a, most
			}
		}
	}
	return best
}

// edgePlanes are planes that lie nowhere under the edge's treatment over the
// triangle.
func (w *reliefMaker) edgePlanes(t triangle, span float64, beside run) []plane {
	var out []plane
	reach := w.b.Edges.reach(w.face)
	if reach == 0 {
		return out
	}
	// The side is no farther than a chord of it and the chord's rise. The
	// distance from a chord is convex, so that it is no more than its mean by
	// the weights of the corners; the treatment takes less the farther the side
	// is, and no less than its tangent.
	k, d := w.side.nearest(t.middle())
	if d-span > reach {
		return out
	}
	chords := []run{w.side.chord(k, span), w.side.chord(k, 0)}
	if beside != (run{}) {
		chords = append([]run{beside}, chords...)
	}
	for _, c := range chords {
		var far [3]float64
		lo, hi, mean := math.Inf(1), 0.0, 0.0
		for i, p := range t {
			far[i], _ = geom.PointSegment(p, c.a, c.b)
			far[i] += c.rise
			lo, hi, mean = math.Min(lo, far[i]), math.Max(hi, far[i]), mean+far[i]/3
		}
		for _, d := range []float64{mean, (lo + mean) / 2, (hi + mean) / 2, (lo + hi) / 2} {
			drop, grows := w.b.Edges.tangent(w.face, d)
			out = append(out, plane{drop + grows*(far[0]-d), drop + grows*(far[1]-d), drop + grows*(far[2]-d)})
		}
	}
	return out
}

// nearest is the edge of the side that is nearest to p, and how far it is.
func (s *side) nearest(p geom.Point) (edge int, d float64) {
	d = math.Inf(1)
	box := geom.Box{Min: p, Max: p}
	for _, c := range s.chains {
		if boxGap(box, c.box) > d {
			continue
		}
		for k := c.from; k < c.to; k++ {
			if e, _ := geom.PointSegment(p, s.ring[k], s.ring[(k+1)%len(s.ring)]); e < d {
				edge, d = k, e
			}
		}
	}
	return edge, d
}

// chord joins corners of the side about long to both sides of edge k.
func (s *side) chord(k int, long float64) run {
	n := len(s.ring)
	i, j := k, k+1
	for l := 0.0; l < long && j-i < n/2; i-- {
		l += s.ring[((i-1)%n+n)%n].Distance(s.ring[(i%n+n)%n])
	}
	for l := 0.0; l < long && j-i < n/2; j++ {
		l += s.ring[j%n].Distance(s.ring[(j+1)%n])
	}
	return run{s.ring[(i%n+n)%n], s.ring[j%n], s.rise(i, j)}
}
