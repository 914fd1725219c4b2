package proof

import (
	"fmt"
	"math"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// checker is the case as the check sees it.
type checker struct {
	c         *place.Case
	body      geom.Polygon // contains the body's outline
	box       geom.Box     // of body
	pivot     geom.Point   // on the centreline, in the middle of its length
	radius    float64      // of body about the pivot
	outline   geom.Polygon // of the slab, within the true one
	obstacles []slab.Obstacle
	low, high float64     // of a body's upper plane, anywhere in the slab
	deepest   float64     // the most that is taken off one of the body's faces
	carved    bool        // its faces are not planes
	front     body.Relief // the corners that are asked for wood; of a plane, those of the outline
	back      body.Relief
	widest    float64               // the greatest span of them
	probes    [2][]body.ReliefPoint // of front and back, those that tilts are asked at
	square    *place.Case           // the same with no edge of the slab rounded
	slim      float64               // the body's least breadth
	bulges    bool                  // outline has no hollow in it
	nearer    float64               // how much nearer to it than two corners a place between them can be
	topFace   profile
	underside profile
	lines     []slab.GlueLine
	whole     []bool // by line: it goes from end to end of the slab
	tilts     bool   // bodies may be tilted, and the certificate speaks of them
	spots     []bool // by spot of Body.KeepFromGlue: it is a point of the body
	sight
}

func newChecker(c *place.Case) (*checker, error) {
	k := &checker{c: c, body: c.Body.Outline.FlattenOutside(place.Exact), outline: c.Slab.Outline().FlattenInside(place.Exact),
		obstacles: c.Slab.Obstacles(), lines: c.Slab.GlueLines()}
	k.box = k.body.Bounds()
	k.pivot = geom.Pt(k.box.Centre().X, 0)
	for _, q := range k.body {
		k.radius = max(k.radius, q.Distance(k.pivot))
	}
	k.topFace, k.underside = newProfile(c.Slab.Profile.Top, c.Slab.Length), newProfile(c.Slab.Profile.Bottom, c.Slab.Length)
	k.carve()
	k.low, k.high = k.heights()
	k.hollows()
	k.slim = k.slimmest()
	k.square = c
	if c.Slab.Edge != (slab.Edge{}) {
		plain := *c.Slab
		plain.Edge = slab.Edge{}
		var err error
		if k.square, err = place.NewCase(&plain, c.Body, c.Need, c.Wish); err != nil {
			return nil, err
		}
	}
	for _, g := range k.lines {
		k.whole = append(k.whole, !g.Transition && k.wholeSeam(g.A.Y))
	}
	for _, s := range c.Body.KeepFromGlue {
		k.spots = append(k.spots, k.ofBody(s.At))
	}
	var err error
	k.sight, err = newSight(k)
	return k, err
}

// carve finds out what contours and edges take off the body's faces: contours
// most at a corner of the outline, as their drop is convex, and edges, down from
// there, most at the side.
func (k *checker) carve() {
	b := k.c.Body
	e := b.Edges
	edge := map[body.Face]float64{body.Front: e.FrontRadius + e.FrontChamfer, body.Back: e.BackRadius + e.BackChamfer}
	k.deepest = max(edge[body.Front], edge[body.Back])
	for _, s := range b.Shaped {
		for _, q := range k.body {
			k.deepest = max(k.deepest, s.Drop(q)+edge[s.Face])
		}
	}
	if k.carved = len(b.Shaped) > 0 || k.deepest > 0; k.carved {
		k.front, k.back = b.Relief(body.Front), b.Relief(body.Back)
		for _, r := range []body.Relief{k.front, k.back} {
			for _, q := range r {
				k.widest = max(k.widest, q.Span)
			}
		}
		k.probes = [2][]body.ReliefPoint{probesOf(k.front), probesOf(k.back)}
		return
	}
	for _, q := range k.body {
		k.front = append(k.front, body.ReliefPoint{At: q})
	}
	k.back = k.front
	for i := range probes {
		q := k.front[i*len(k.front)/probes]
		k.probes[0], k.probes[1] = append(k.probes[0], q), append(k.probes[1], q)
	}
}

// probesOf are corners of a carved face that a tilt may come to touch: those which
// lie highest in some direction, as seen along the face or steeply down on it.
func probesOf(r body.Relief) []body.ReliefPoint {
	var out []body.ReliefPoint
	const ways = 24
	known := map[geom.Point]bool{}
	for i := range ways {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / ways)
		for _, steep := range []float64{0.01, 0.05, 0.3} {
			best, most := body.ReliefPoint{}, math.Inf(-1)
			for _, q := range r {
				if h := steep*(cos*q.At.X+sin*q.At.Y) - q.Drop; h > most {
					best, most = q, h
				}
			}
			if !known[best.At] {
				known[best.At] = true
				out = append(out, best)
			}
		}
	}
	return out
}

// hollows finds out whether the slab's outline has hollows, and how much nearer to it
// a place between corners of the body's face can be than they: for a distance that bends
// by so much as the outline turns inward over its edges, its bend times the mean of the squared
// ways, at most a third of the span's, and halved; and so much as the outline is off
// a smooth one.
func (k *checker) hollows() {
	k.bulges = true
	sharpest := 0.0
	for i, b := range k.outline {
		a, c := k.outline[(i+len(k.outline)-1)%len(k.outline)], k.outline[(i+1)%len(k.outline)]
		in, out := b.Sub(a), c.Sub(b)
		if turn := -math.Atan2(in.Cross(out), in.Dot(out)); turn > 0 {
			sharpest = max(sharpest, 2*turn/(in.Len()+out.Len()))
			k.bulges = k.bulges && turn < 1e-7
		}
	}
	if !k.bulges {
		k.nearer = min(k.widest, k.widest*k.widest/6*sharpest+place.Exact)
	}
}

// profile is one face of the slab along x, and how sharply it bends at least
// somewhere: no slope changes faster from place to place than it bends between.
type profile struct {
	slab.Spline
	bend float64
	kink float64 // how steep it is where its stations end short of the slab, from where on it is level
}

func newProfile(s slab.Spline, length float64) profile {
	p := profile{Spline: s}
	for i := 0; i+1 < len(s); i++ {
		long := s[i+1].X - s[i].X
		h := long / 1024
		for _, x := range []float64{s[i].X + h, s[i+1].X - 2*h} { // within the piece
			p.bend = max(p.bend, math.Abs(s.SlopeAt(x+h)-s.SlopeAt(x))/h-fine)
		}
	}
	for _, st := range s {
		if end := st == s[0] || st == s[len(s)-1]; end && len(s) > 1 && st.X > 0 && st.X < length {
			p.kink = max(p.kink, math.Abs(s.SlopeAt(st.X)))
		}
	}
	return p
}

// heights are bounds on where the upper plane of an allowed level body can be:
// under the highest top, over the lowest bottom. Between samples the profile
// cannot leave them by more than its steepest slope lets it.
func (k *checker) heights() (low, high float64) {
	const n = 4096
	s := k.c.Slab
	b := k.outline.Bounds()
	low, high = math.Inf(1), math.Inf(-1)
	for i := range n + 1 {
		x := b.Min.X + b.Width()*float64(i)/n
		low, high = min(low, s.BottomAt(x)), max(high, s.TopAt(x))
	}
	top, bottom := s.ProfileSlopeBound()
	half := b.Width() / n / 2
	// Where all of a face is carved, its plane may lie out of the slab.
	out := 0.0
	for _, r := range []body.Relief{k.front, k.back} {
		least := math.Inf(1)
		for _, q := range r {
			least = min(least, q.Drop)
		}
		if len(r) > 0 {
			out = max(out, least)
		}
	}
	return low - half*bottom + k.c.Need.Flatten + k.c.Body.Thickness - out, high + half*top - k.c.Need.Flatten + out
}

// inMiddle is where the middle of the range puts the body's point q.
func (k *checker) inMiddle(b box, q geom.Point) geom.Point {
	p := middle(b.Range, k.pivot)
	return p.Plan().Apply(b.lay(q))
}

// middle is the placement in the middle of a range.
func middle(r place.Range, pivot geom.Point) place.Placement {
	p := place.Placement{Angle: r.Angle[0], Face: r.Face}
	q := p.Plan().Apply(pivot)
	p.X, p.Y = r.X[0]-q.X, r.Y[0]-q.Y
	return p
}

// strays is how far from there q can be anywhere in the range: the pivot's way,
// the chord of the turn round it, and what other tilts do.
func (k *checker) strays(b box, q geom.Point) float64 {
	along, left := b.leans(q, 0)
	return math.Hypot(b.X[1], b.Y[1]) + chord(b.Angle[1])*b.lay(q).Distance(k.pivot) + math.Hypot(along, left) + fine
}

// chord is how far a point at distance 1 goes in a turn by up to a.
func chord(a float64) float64 { return 2 * math.Sin(min(a, math.Pi)/2) }

// reach is the box in the plan that q keeps to in the range. A point at distance
// d and direction b from the pivot is at d (cos, sin)(a + b) from it.
func (k *checker) reach(r box, q geom.Point) geom.Box {
	v := r.lay(q).Sub(k.pivot)
	leanX, leanY := r.leansOver(q, 0)
	leanX, leanY = leanX+fine, leanY+fine
	if r.Face == place.Bottom {
		v.Y = -v.Y
	}
	d, at := v.Len(), v.Angle()+r.Angle[0]
	x0, x1 := cosines(at, r.Angle[1])
	y0, y1 := cosines(at-math.Pi/2, r.Angle[1])
	return geom.Box{
		Min: geom.Pt(r.X[0]-r.X[1]+d*x0-leanX, r.Y[0]-r.Y[1]+d*y0-leanY),
		Max: geom.Pt(r.X[0]+r.X[1]+d*x1+leanX, r.Y[0]+r.Y[1]+d*y1+leanY),
	}
}

// cosines are the least and greatest cosine of the angles a ± h.
func cosines(a, h float64) (lo, hi float64) {
	u, v := math.Cos(a-h), math.Cos(a+h)
	lo, hi = min(u, v), max(u, v)
	if math.Abs(math.Remainder(a, 2*math.Pi)) <= h {
		hi = 1
	}
	if math.Abs(math.Remainder(a-math.Pi, 2*math.Pi)) <= h {
		lo = -1
	}
	return lo, hi
}

// holds tells whether what a certificate says of one range is true, and at how
// many boxes it had to look. Where bodies may be tilted, a range is cut further
// until a plain bound shows what is to be shown.
func (k *checker) holds(p place.Proved, bound float64) (looks int, err error) {
	if p.Reason == place.ByScore || p.Reason == place.NotDone {
		return k.scores(p, bound)
	}
	if err := k.names(p); err != nil {
		return 1, err
	}
	fails := func(r place.Range) bool {
		looks++
		for _, lie := range k.lies(r, p.Plots) {
			if !k.breaks(p, box{r, lie}) {
				return false
			}
		}
		return true
	}
	list := []place.Range{p.Range}
	for len(list) > 0 {
		r := list[len(list)-1]
		list = list[:len(list)-1]
		if fails(r) {
			continue
		}
		// Cutting cannot help where the middle itself is not known to fail.
		if !k.tilts || looks > mostCutsOfALimit || !fails(thin(r, 0, 1, 2)) {
			return looks, fmt.Errorf("the reason %q does not hold: some placement in it may be allowed", p.Reason)
		}
		way, most := 0, r.X[1]
		for i, size := range []float64{r.X[1], r.Y[1], r.Angle[1] * k.radius} {
			if size > most {
				way, most = i, size
			}
		}
		half := cutBox(r, way)
		list = append(list, half[0], half[1])
	}
	return looks, nil
}

// mostCutsOfALimit is how many boxes a range in which nothing is allowed may be
// cut into.
const mostCutsOfALimit = 3000

// names tells whether what a reason speaks of is there.
func (k *checker) names(p place.Proved) error {
	switch p.Reason {
	case place.ByEdge, place.ByObstacle:
		if p.At == nil {
			return fmt.Errorf("reason %q names no point of the body", p.Reason)
		}
		if p.Reason == place.ByObstacle {
			return within("obstacle", p.Index, len(k.obstacles))
		}
	case place.ByHollow:
		return within("obstacle", p.Index, len(k.obstacles))
	case place.ByThickness:
		if p.At == nil {
			return fmt.Errorf("reason %q names no stations", p.Reason)
		}
	case place.ByRelief:
		upper, lower := k.faces(p.Face)
		if err := within("corner of the upper face", p.Index, len(upper)); err != nil {
			return err
		}
		return within("corner of the lower face", p.Line, len(lower))
	case place.ByGlue:
		if err := within("spot", p.Index, len(k.c.Body.KeepFromGlue)); err != nil {
			return err
		}
		return within("glue line", p.Line, len(k.lines))
	case place.ByStrip:
		return within("strip wish", p.Index, len(k.c.Wish.Strips))
	case place.ByThrough:
		return within("glue line wish", p.Index, len(k.c.Wish.Through))
	case place.ByWood, place.ByNearX, place.ByGrain:
	default:
		return fmt.Errorf("reason %q is not known", p.Reason)
	}
	return nil
}

// breaks tells whether all bodies in a box fail by a reason.
func (k *checker) breaks(p place.Proved, b box) bool {
	switch p.Reason {
	case place.ByEdge:
		return k.byEdge(p, b)
	case place.ByObstacle:
		return k.byObstacle(p, b)
	case place.ByHollow:
		return k.byHollow(p, b)
	case place.ByThickness:
		return b.level() && k.byThickness(p, b)
	case place.ByRelief:
		upper, lower := k.faces(b.Face)
		return b.level() && k.mostOver(b, upper[p.Index])+k.mostUnder(b, lower[p.Line]) < k.c.Body.Thickness+2*k.c.Need.Flatten-fine
	case place.ByGlue:
		spot := k.c.Body.KeepFromGlue[p.Index]
		return k.gluesWithin(b, p.Index, p.Line)-spot.Radius < k.c.Need.GlueLine-fine
	case place.ByStrip:
		return k.byStrip(b, k.c.Wish.Strips[p.Index])
	case place.ByThrough:
		w := k.c.Wish.Through[p.Index]
		return w.Must && k.misses(b, w) > w.Tolerance
	case place.ByNearX:
		w := k.c.Wish.NearX
		return w != nil && w.Must && k.awayX(b) > w.Tolerance
	case place.ByGrain:
		w := k.c.Wish.Grain
		return w != nil && w.Must && k.awayGrain(b.Range) > w.Tolerance
	}
	return false // of ByWood: no body at all is in the box, or it does not hold
}

func within(what string, i, n int) error {
	if i < 0 || i >= n {
		return fmt.Errorf("there is no %s %d (they count from 0; there are %d)", what, i, n)
	}
	return nil
}

// ofBody tells whether q is a point of the body.
func (k *checker) ofBody(q geom.Point) bool { return k.body.Depth(q) >= -fine }

// byEdge: a point of the body is nearer than the need to the outline, or beyond
// it: as it is no farther from its middle place than it strays, or as it stays
// in a box that lies over, or under, all of the outline at those stations.
func (k *checker) byEdge(p place.Proved, b box) bool {
	q := geom.Pt(p.At[0], p.At[1])
	if !k.ofBody(q) {
		return false
	}
	need := k.c.Need.Clearance() - fine
	if k.outline.Depth(k.inMiddle(b, q))+k.strays(b, q) < need {
		return true
	}
	at := k.reach(b, q)
	lo, hi := breadth(k.outline, at.Min.X, at.Max.X)
	return at.Min.Y > hi-need || at.Max.Y < lo+need
}

// breadth is the least and greatest y of a ring at the stations x0 to x1.
func breadth(ring geom.Polygon, x0, x1 float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if a.X > b.X {
			a, b = b, a
		}
		if b.X < x0 || a.X > x1 {
			continue
		}
		for _, x := range []float64{max(x0, a.X), min(x1, b.X)} {
			y0, y1 := a.Y, b.Y
			if b.X > a.X {
				y0 = a.Y + (b.Y-a.Y)*(x-a.X)/(b.X-a.X)
				y1 = y0
			}
			lo, hi = min(lo, y0, y1), max(hi, y0, y1)
		}
	}
	return lo, hi
}

// deep tells whether no level body at an allowed height passes over or under
// an obstacle anywhere in its outline: the lowest and the highest meet it, also
// where most is taken off their faces.
func (k *checker) deep(o slab.Obstacle) bool {
	return o.WholeThrough || o.Top > k.high-k.c.Body.Thickness+k.deepest && o.Bottom < k.low-k.deepest
}

// byObstacle: a point of the body stays nearer than the need to an obstacle.
func (k *checker) byObstacle(p place.Proved, b box) bool {
	q := geom.Pt(p.At[0], p.At[1])
	o := k.obstacles[p.Index]
	away := -geom.Polygon(o.Region).Depth(k.inMiddle(b, q))
	return k.ofBody(q) && k.deep(o) && away+k.strays(b, q) < k.c.Need.Clearance()-fine
}

// byHollow: the middle of an obstacle stays in the body, or nearer than the need.
// Seen from the body, it goes as far as the body's point there goes in the slab. A
// tilt makes ways shorter in plan, by no more than the cosine.
func (k *checker) byHollow(p place.Proved, b box) bool {
	o := k.obstacles[p.Index]
	m := middle(b.Range, k.pivot).Plan().Inverse()
	q := b.under(m.Apply(geom.Polygon(o.Region).Moments().Centroid()))
	depth := k.body.Depth(q)
	return k.deep(o) && min(depth, depth*b.shortest)-k.strays(b, q) > -k.c.Need.Clearance()+fine
}

// byThickness: both stations are always under the body, the upper plane must be
// under the one's top and the lower plane over the other's bottom. Of carved
// faces it says nothing.
func (k *checker) byThickness(p place.Proved, r box) bool {
	if k.carved {
		return false
	}
	from, to := math.Inf(1), math.Inf(-1) // always under the body
	for _, q := range k.body {
		b := k.reach(r, q)
		from, to = min(from, b.Max.X), max(to, b.Min.X)
	}
	for _, x := range p.At {
		if x < from || x > to {
			return false
		}
	}
	return k.c.Slab.TopAt(p.At[0])-k.c.Slab.BottomAt(p.At[1]) < k.c.Body.Thickness+2*k.c.Need.Flatten-fine
}

// faces are the body's upper and its lower face.
func (k *checker) faces(f place.Face) (upper, lower body.Relief) {
	if f == place.Bottom {
		return k.back, k.front
	}
	return k.front, k.back
}

// mostOver is the highest that the plane of a level body's upper face can lie
// and have wood over a corner of the face, anywhere in the range: no higher than
// the top can be there, less what Case.Check takes off for what it may sag from
// corner to corner, more what is taken off the face.
func (k *checker) mostOver(r box, q body.ReliefPoint) float64 {
	b := k.reach(r, q.At)
	_, z, _, _ := k.topFace.Range(b.Min.X, b.Max.X)
	return z + q.Drop - q.Span*q.Span/8*k.topFace.bend - k.rounded(r, q, k.c.Slab.Edge.Covering().TopRadius)
}

// mostUnder is minus the lowest that the plane of the lower face can lie.
func (k *checker) mostUnder(r box, q body.ReliefPoint) float64 {
	b := k.reach(r, q.At)
	z, _, _, _ := k.underside.Range(b.Min.X, b.Max.X)
	return -z + q.Drop - q.Span*q.Span/8*k.underside.bend - k.rounded(r, q, k.c.Slab.Edge.Covering().BottomRadius)
}

// rounded is the least that a rounding of the slab's edge takes off its face at
// a corner in the range: the edge is no farther than from the middle place and
// the way from there, nor than straight across the slab.
func (k *checker) rounded(r box, q body.ReliefPoint, radius float64) float64 {
	if radius == 0 {
		return 0
	}
	b := k.reach(r, q.At)
	lo, hi := breadth(k.outline, b.Min.X, b.Max.X)
	d := min(k.outline.Depth(k.inMiddle(r, q.At))+k.strays(r, q.At), hi-b.Min.Y, b.Max.Y-lo)
	d = max(0, d)
	if d >= radius {
		return 0
	}
	return radius - math.Sqrt(radius*radius-(radius-d)*(radius-d))
}

// gluesWithin is the most that a spot of the body is away from a glue line. One
// between strips goes through the whole slab, though its woods may change and
// with them its number; and no point of an allowed body is past the slab's ends.
func (k *checker) gluesWithin(r box, spot, line int) float64 {
	q := k.c.Body.KeepFromGlue[spot].At
	g := k.lines[line]
	box := k.reach(r, q)
	if !g.Transition {
		if !k.spots[spot] || !k.whole[line] {
			return math.Inf(1)
		}
		return max(math.Abs(box.Min.Y-g.A.Y), math.Abs(box.Max.Y-g.A.Y))
	}
	// The distance from a segment is greatest in a corner of the box, as its
	// level lines are convex.
	far := 0.0
	for _, c := range box.Polygon() {
		d, _ := geom.PointSegment(c, g.A, g.B)
		far = max(far, d)
	}
	d, _ := geom.PointSegment(k.inMiddle(r, q), g.A, g.B)
	return min(far, d+k.strays(r, q))
}

// wholeSeam tells whether the glue lines at y go from end to end of the slab.
func (k *checker) wholeSeam(y float64) bool {
	at := 0.0
	for more := true; more; {
		more = false
		for _, g := range k.lines {
			lo, hi := min(g.A.X, g.B.X), max(g.A.X, g.B.X)
			if !g.Transition && g.A.Y == y && lo <= at+fine && hi > at+fine {
				at, more = hi, true
			}
		}
	}
	return at >= k.c.Slab.Length-fine
}

// byStrip: an end of the body's centreline stays off the strip's middle.
func (k *checker) byStrip(r box, w place.StripWish) bool {
	y0, y1 := k.c.Slab.Band(w.Strip)
	mid := (y0 + y1) / 2
	for _, u := range []float64{k.box.Min.X, k.box.Max.X} {
		b := k.reach(r, geom.Pt(u, 0))
		if w.Must && (b.Min.Y > mid+w.Tolerance || b.Max.Y < mid-w.Tolerance) {
			return true
		}
	}
	return false
}

// misses is the least by which a wished glue line misses its place.
func (k *checker) misses(r box, w place.ThroughWish) float64 {
	q := geom.Pt(w.U, w.V)
	d, _ := geom.PointSegment(k.inMiddle(r, q), k.lines[w.Line].A, k.lines[w.Line].B)
	return max(0, d-k.strays(r, q))
}

// awayX is the least that the body's origin is off the wished place along the
// slab.
func (k *checker) awayX(r box) float64 {
	w := k.c.Wish.NearX
	if w == nil {
		return 0
	}
	b := k.reach(r, geom.Point{})
	return max(0, b.Min.X-w.Value, w.Value-b.Max.X)
}

// awayGrain is the least that the grain is off its wished angle, radians.
func (k *checker) awayGrain(r place.Range) float64 {
	w := k.c.Wish.Grain
	if w == nil {
		return 0
	}
	now := math.Abs(math.Remainder(r.Angle[0], math.Pi))
	return max(0, math.Abs(now-w.Value)-r.Angle[1]-fine)
}
