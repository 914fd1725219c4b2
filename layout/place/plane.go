package place

import (
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/layout/slab"
)

// Steepest is the most that a body is ever tilted to find it wood, radians
// from level along its centreline and across it. No bench plane is set up for
// more, and what is said of all planes is said of those within it.
const Steepest = 15 * math.Pi / 180

// Gains below worthTilting mm are none: no maker could set the wedges so fine.
const worthTilting = 0.01

// Plane is how a body lies best in curved wood at one place in plan.
//
//	   ____-------____      the slab's top
//	---  ___________  ---
//	    |___________|       the body, level here: it is tilted where the
//	     ___-----___        middles of top and bottom run uphill
//	----             ----   the slab's bottom
type Plane struct {
	Placement Placement // with its height, pitch and roll
	// Slack is the lesser of the wood over the body and under it, each
	// measured square to the body, less what flattening takes, in mm. Negative:
	// by so much the wood is short.
	Slack float64
	// Bound is proved: no plane within Steepest, at any height, has more slack
	// at this place, angle and face.
	Bound float64
	// Level is the slack of the best level body, TiltGains what tilting adds:
	// exactly 0, with a level Placement, when that is less than 0.01 mm.
	Level, TiltGains float64
}

// Words say what a maker wants to know of it, lengths in the unit u.
func (l Plane) Words(u measure.Unit) string {
	show := func(mm float64) string { return measure.Length(mm).Format(u) }
	fit := "with " + show(l.Slack) + " of wood to spare over and under the body, beyond what flattening takes"
	if l.Slack < 0 {
		fit = "and the slab is " + show(-l.Slack) + " too thin over or under the body"
	}
	if l.TiltGains == 0 {
		return "level, " + fit + "; tilting gains nothing"
	}
	return fmt.Sprintf("pitch %s and roll %s, %s; tilting gains %s over the best level plane",
		measure.Angle(l.Placement.Pitch), measure.Angle(l.Placement.Roll), fit, show(l.TiltGains))
}

// BestPlane finds the height, pitch and roll that leave most wood to spare over
// and under the body at the place, angle and face of p (its own height and tilt
// are not looked at). It does not ask whether the placement is allowed.
//
// It fails on a placement that is not finite or has no face.
func (c *Case) BestPlane(p Placement) (Plane, error) {
	if math.IsNaN(p.X-p.X) || math.IsNaN(p.Y-p.Y) || math.IsNaN(p.Angle-p.Angle) {
		return Plane{}, fmt.Errorf("best plane: x %g, y %g and angle %g must be finite numbers", p.X, p.Y, p.Angle)
	}
	if p.Face != Top && p.Face != Bottom {
		return Plane{}, fmt.Errorf("best plane: the face is %q; it must be %q or %q", p.Face, Top, Bottom)
	}
	p.Pitch, p.Roll = 0, 0
	lo, hi := c.levelRange(p)
	out := Plane{Placement: c.settleLevel(p, (lo+hi)/2, (lo+hi)/2), Level: (hi - lo) / 2}
	tilted, slack, tight := c.bestTilt(p)
	out.Slack = out.Level
	if slack > out.Level+worthTilting {
		out.Placement, out.Slack, out.TiltGains = tilted, slack, slack-out.Level
	}
	out.Bound = c.mostSlack(p, max(slack, out.Level), tight)
	return out, nil
}

// slack is the lesser spare of a placement beyond what flattening takes.
func (c *Case) slack(p Placement) float64 {
	above, below := c.spare(p, p.Frame())
	return min(above.Value, below.Value) - c.Need.Flatten
}

// sides are how far the body's upper and its lower plane lie from its front,
// square to it: (0, thickness) with the front up.
func (c *Case) sides(f Face) (upper, lower float64) {
	if f == Bottom {
		return c.Body.Thickness, 0
	}
	return 0, c.Body.Thickness
}

// upward is +1 where the body's front is up, −1 where it is down.
func (f Face) upward() float64 {
	if f == Bottom {
		return -1
	}
	return 1
}

// tiltOf is the pitch and the roll of a body whose planes rise by along mm a mm
// in the direction of its centreline and by left mm a mm to the left of it,
// seen from above. It follows from Placement.Frame: the upward normal there is
//
//	(±sin pitch · cos roll, −sin roll, cos pitch · cos roll)
//
// along the centreline, to the left and upward; + for the top face.
func tiltOf(f Face, along, left float64) (pitch, roll float64) {
	pitch = -f.upward() * math.Atan(along)
	return pitch, math.Atan(left * math.Cos(pitch))
}

// A surface is one face of the slab along x, made ready to be asked often: the
// cubics of its Spline as powers of x − the piece's start.
type surface struct {
	at    []float64 // where pieces begin, and the last ends
	piece [][4]float64
	x0    float64 // bins of equal width tell where to begin to look
	bins  []int32
	perMM float64
	bend  float64 // greatest |second derivative|
	kink  float64 // greatest |slope| where the stations end, from where on the face is level

	lowest, highest float64
}

func newSurface(s slab.Spline, length float64) *surface {
	f := &surface{}
	f.lowest, f.highest, _, _ = s.Range(math.Inf(-1), math.Inf(1))
	switch len(s) {
	case 0:
		f.at, f.piece = []float64{0, 1}, [][4]float64{{}}
	case 1:
		f.at, f.piece = []float64{s[0].X, s[0].X + 1}, [][4]float64{{s[0].Value}}
	}
	for i := range s {
		if len(s) < 2 {
			break
		}
		f.at = append(f.at, s[i].X)
		if i+1 == len(s) {
			break
		}
		// Hermite's cubic from the values and slopes at both ends.
		h := s[i+1].X - s[i].X
		v0, v1, m0, m1 := s[i].Value, s[i+1].Value, s.SlopeAt(s[i].X), s.SlopeAt(s[i+1].X)
		chord := (v1 - v0) / h
		c := [4]float64{v0, m0, (3*chord - 2*m0 - m1) / h, (m0 + m1 - 2*chord) / (h * h)}
		f.piece = append(f.piece, c)
		f.bend = max(f.bend, math.Abs(2*c[2]), math.Abs(2*c[2]+6*c[3]*h))
	}
	if n := len(s); n > 1 && s[0].X > 0 {
		f.kink = math.Abs(s.SlopeAt(s[0].X))
	}
	if n := len(s); n > 1 && s[n-1].X < length {
		f.kink = max(f.kink, math.Abs(s.SlopeAt(s[n-1].X)))
	}
	n := 4 * len(f.piece)
	f.x0 = f.at[0]
	f.perMM = float64(n) / (f.at[len(f.at)-1] - f.x0)
	k := int32(0)
	for b := range n {
		for int(k)+1 < len(f.piece) && f.at[k+1] <= f.x0+float64(b)/f.perMM {
			k++
		}
		f.bins = append(f.bins, k)
	}
	return f
}

// level tells whether the surface has one height.
func (f *surface) level() bool {
	for _, c := range f.piece {
		if c[0] != f.piece[0][0] || c[1] != 0 || c[2] != 0 || c[3] != 0 {
			return false
		}
	}
	return true
}

// look is the height and the slope at x; beyond the stations the end heights
// hold, as for Spline.
func (f *surface) look(x float64) (z, slope float64) {
	last := f.at[len(f.at)-1]
	if x < f.x0 {
		return f.piece[0][0], 0
	}
	if x > last {
		z, _ = f.look(last)
		return z, 0
	}
	k := f.bins[min(len(f.bins)-1, int((x-f.x0)*f.perMM))]
	for int(k)+1 < len(f.piece) && f.at[k+1] <= x {
		k++
	}
	for k > 0 && f.at[k] > x {
		k--
	}
	c, u := &f.piece[k], x-f.at[k]
	return ((c[3]*u+c[2])*u+c[1])*u + c[0], (3*c[3]*u+2*c[2])*u + c[1]
}

// within is look, but beyond the stations with the slope that the end has from
// within.
func (f *surface) within(x float64) (z, slope float64) {
	return f.look(max(f.x0, min(f.at[len(f.at)-1], x)))
}

// bends are the least and the greatest second derivative between two places, as far
// as there are stations.
func (f *surface) bends(x0, x1 float64) (least, most float64) {
	last := len(f.at) - 1
	x0, x1 = max(x0, f.x0), min(x1, f.at[last])
	k := int(f.bins[max(0, min(len(f.bins)-1, int((x0-f.x0)*f.perMM)))])
	for k > 0 && f.at[k] > x0 {
		k--
	}
	least, most = math.Inf(1), math.Inf(-1)
	for ; k < last && f.at[k] <= x1; k++ {
		if f.at[k+1] < x0 {
			continue
		}
		c := &f.piece[k]
		u, v := max(0, x0-f.at[k]), min(f.at[k+1], x1)-f.at[k] // of a piece the bend changes evenly
		p, q := 2*c[2]+6*c[3]*u, 2*c[2]+6*c[3]*v
		least, most = min(least, p, q), max(most, p, q)
	}
	return least, most
}

// has tells whether x is where the surface is smooth: beyond its stations it goes on
// level.
func (f *surface) has(x float64) bool { return x >= f.x0 && x <= f.at[len(f.at)-1] }

// square is the way from p along the unit vector d to the surface, by Newton's
// rule: for an upright d the first step is exact, for the tilts of a body each
// step squares an error of (tilt × bend) of the last.
func (f *surface) square(p geom.Point3, d geom.Vec3) float64 {
	s := 0.0
	for range 8 {
		z, m := f.look(p.X + s*d.X)
		step := (z - p.Z - s*d.Z) / (d.Z - m*d.X)
		s += step
		if off := step * d.X; f.bend*off*off < 1e-10 {
			break
		}
	}
	return s
}

// spareTilted is spare for a tilted body whose planes lie at over and under in
// its own frame: the least over the corners of its faces. Those of a flat face
// are the corners of its outline.
//
// For surfaces z(x) the way to them, square to the body, changes one way only
// along every line of the body over x = const, so that over a plane it is least
// at an end of that line, on the outline; without roll it is the same all along
// it. The rounding of the edges is a convex function of the distance from the
// edge, and that is concave where the slab's plan has no hollow in it: with the
// rounding, too, the least is on the outline, or at a corner of the part where
// a face is carved. Elsewhere go from any place of a flat face to the nearest of
// the slab's edge, over the outline: on the way the rounding takes more and
// more, and the surface itself can come no more than its slope against the body
// times the way, no longer than the rounding is wide. So much is taken off
// there; over a carved face the edge is taken to be nearer, see Case.closer.
//
// Between two corners the surface may sag below what is seen at the corners;
// that is taken off as well.
func (c *Case) spareTilted(face Face, f Frame, over, under float64) (above, below Spare) {
	up := f.W.Mul(face.upward())
	upper, lower := c.faces(face)
	return c.leastTilted(upper, f, over, up, c.top), c.leastTilted(lower, f, under, up.Mul(-1), c.bottom)
}

// leastTilted is the least way in direction d (unit, square to the body) from
// one of its faces, whose plane lies at w, to the face of the slab.
func (c *Case) leastTilted(r *relief, f Frame, w float64, d geom.Vec3, face *surface) Spare {
	best := Spare{Value: math.Inf(1)}
	off := hollowOff{r: c.edgeRadius(face)}
	for i := 0; i < len(r.corners); i++ {
		if r.carved && i%blockRun == 0 && c.leastInBlock(&r.blocks[i/blockRun], f, w, d, face) >= best.Value {
			i += blockRun - 1
			continue
		}
		k := &r.corners[i]
		q := f.Apply(k.at.X, k.at.Y, w)
		s := face.square(q, d)
		switch {
		case c.rim == nil:
		case r.carved:
			s = c.along(q, d, s, face, c.closer(k.span))
		default:
			s = c.rounded(q, d, s, face, &off)
		}
		if s += k.drop - 1.1*sags(face, k.span); s < best.Value {
			best = Spare{s, q.Add(d.Mul(-k.drop))}
		}
	}
	best.Value -= off.most
	return best
}

// leastInBlock is no more than the least way from the corners of a block: what
// it is from the middle, less what the slab's face rises against the body over
// the block's radius. A way along d is at most a quarter longer than upright, as
// neither is steep.
func (c *Case) leastInBlock(b *block, f Frame, w float64, d geom.Vec3, face *surface) float64 {
	q := f.Apply(b.centre.X, b.centre.Y, w)
	s := face.square(q, d)
	hit := q.Add(d.Mul(s)).Plan()
	if radius := c.edgeRadius(face); radius > 0 && c.rim.atLeast(hit) < radius+1.3*b.radius+c.closer(b.widest) {
		return math.Inf(-1)
	}
	_, m := face.within(hit.X)
	against := math.Hypot(m+d.X/d.Z, d.Y/d.Z)
	return s - 1.25*(against*b.radius+face.bend*b.radius*b.radius) + b.drop - 1.1*sags(face, b.widest)
}

// hollowOff is what is taken off for hollows in the slab's plan, as far as
// looked, for a rounding of radius r.
type hollowOff struct{ r, most float64 }

// rounded is the way from q along d to a face where that is rounded; way is the
// one to the face without its rounding.
func (c *Case) rounded(q geom.Point3, d geom.Vec3, way float64, face *surface, off *hollowOff) float64 {
	hit := q.Add(d.Mul(way))
	if off.r == 0 || c.rim.atLeast(hit.Plan()) >= off.r {
		return way
	}
	way = c.along(q, d, way, face, 0)
	if !c.bulges {
		if wide := off.r - c.rim.depth(hit.Plan()); wide > 0 {
			_, m := face.look(hit.X)
			against := math.Hypot(m+d.X/d.Z, d.Y/d.Z) + face.bend*off.r
			off.most = max(off.most, min(wide, off.r)*against)
		}
	}
	return way
}

// bulges tells whether a ring has no hollow in it.
func bulges(g geom.Polygon) bool {
	n := len(g)
	for i := range g {
		a, b := g[(i+1)%n].Sub(g[i]), g[(i+2)%n].Sub(g[(i+1)%n])
		if a.Cross(b) < -1e-6*a.Len()*b.Len() {
			return false
		}
	}
	return true
}

// A cut bounds a concave function of the two slopes from above:
// value + along·α + left·β. It comes from a corner of the body's upper plane
// and one of its lower plane; −1 where it only keeps the slopes in their box.
type cut struct {
	value, along, left float64
	upper, lower       int
}

func (k cut) at(a, b float64) float64 { return k.value + k.along*a + k.left*b }

// shadow is where the sides of the body meet one surface of the slab: places
// along the centreline and left of it from the pivot's place, and heights.
type shadow struct {
	along, left, z []float64
	from           []int // corner of the outline, growing
}

// index is the place of a corner in the shadow.
func (s *shadow) index(corner int) (int, bool) { return slices.BinarySearch(s.from, corner) }

func (s *shadow) add(along, left, z float64, corner int) {
	s.along, s.left, s.z, s.from = append(s.along, along), append(s.left, left), append(s.z, z), append(s.from, corner)
}

// lowest is the corner over which a plane of the given slopes through the
// pivot's place has least height to the shadow, and that height.
func (s *shadow) lowest(a, b float64) (int, float64) {
	at, least := 0, math.Inf(1)
	for i, z := range s.z {
		if h := z - a*s.along[i] - b*s.left[i]; h < least {
			at, least = i, h
		}
	}
	return at, least
}

func (s *shadow) highest(a, b float64) (int, float64) {
	at, most := 0, math.Inf(-1)
	for i, z := range s.z {
		if h := z - a*s.along[i] - b*s.left[i]; h > most {
			at, most = i, h
		}
	}
	return at, most
}

// within lists the corners that lie no more than near farther from a plane than
// the one that is nearest, at value; side is +1 for the corners over the plane.
func (s *shadow) within(a, b, value, near, side float64) []int {
	var out []int
	for i, z := range s.z {
		if side*(z-a*s.along[i]-b*s.left[i]-value) <= near {
			out = append(out, s.from[i])
		}
	}
	return out
}

// ends are the corners farthest out in eight directions among those that all
// but touch the plane: a plane that touches along an edge or on a face is held
// by the ends of it.
func (s *shadow) ends(a, b, value, side float64) []int {
	const touch = 0.02
	var at [8]int
	var far [8]float64
	for i, z := range s.z {
		if side*(z-a*s.along[i]-b*s.left[i]-value) > touch {
			continue
		}
		x, y := s.along[i], s.left[i]
		for k, d := range [8]float64{x, -x, y, -y, x + y, x - y, y - x, -x - y} {
			if d > far[k] {
				at[k], far[k] = s.from[i], d
			}
		}
	}
	var out []int
	for k, i := range at {
		if far[k] > 0 {
			out = append(out, i)
		}
	}
	return out
}

// touching are the corners of the body's upper and its lower face that keep a plane from getting better, or nearly.
type touching struct{ upper, lower []int }

// bestTilt is the plane of most slack within Steepest, its slack, and the
// corners that hold it.
//
// With the places fixed where the body's sides meet the slab's surfaces, the
// widest gap between parallel planes that keeps all top places over it and all
// bottom places under it (each moved by what the body's face has lost there) is a concave problem in the two slopes α and β:
//
//	greatest of  min over top (z − αx − βy) − max over bottom (z − αx − βy) − w √(1+α²+β²)
//
// with w the width itself (Dinkelbach's rule for a quotient), solved by cutting
// planes (J. E. Kelley, The cutting-plane method for solving convex programs,
// J. SIAM 8, 1960). The places depend on the tilt a little, as the sides stand
// square to the faces; they are taken anew until the tilt rests, which each
// time leaves the error times (slope × tilt) of the last.
func (c *Case) bestTilt(p Placement) (Placement, float64, touching) {
	// Corners that lie far over the first plane found hold none: first without.
	near := 3.0
	if c.carved() {
		near = 1 // there are many
	}
	if q, slack, tight, ok := c.tiltBy(p, near); ok {
		return q, slack, tight
	}
	q, slack, tight, _ := c.tiltBy(p, math.Inf(1))
	return q, slack, tight
}

// tiltBy is bestTilt looking, after the first round, only at corners within
// near mm of the plane of the first round; not ok when another corner turns out
// to have had a say.
func (c *Case) tiltBy(p Placement, near float64) (_ Placement, slack float64, tight touching, ok bool) {
	p.Pitch, p.Roll, p.Height = 0, 0, 0
	upper, lower := c.sides(p.Face)
	ref := p.Plan().Apply(c.pivot())
	sin, cos := math.Sincos(p.Angle)
	place := func(q geom.Point) (along, left float64) {
		d := q.Sub(ref)
		return d.X*cos + d.Y*sin, d.Y*cos - d.X*sin
	}
	along, left := place(geom.Pt(p.X, p.Y)) // of the body's origin

	top, bottom := c.faces(p.Face)
	f, up := p.Frame(), geom.Vec3{}
	meet := func(s *shadow, r *relief, only []int, w float64, face *surface, d geom.Vec3) {
		*s = shadow{s.along[:0], s.left[:0], s.z[:0], s.from[:0]}
		for _, i := range only {
			k := &r.corners[i]
			q := f.Apply(k.at.X, k.at.Y, w)
			way := face.square(q, d)
			if c.rim != nil {
				way = c.along(q, d, way, face, 0)
			}
			hit := q.Add(d.Mul(way))
			x, y := place(hit.Plan())
			s.add(x, y, hit.Z+k.drop/d.Z, i) // as if the plane itself needed wood there
		}
	}
	all := make([]int, max(len(top.corners), len(bottom.corners)))
	for i := range all {
		all[i] = i
	}
	ask := touching{all[:len(top.corners)], all[:len(bottom.corners)]}
	quick := !math.IsInf(near, 1)
	if quick && top.carved { // of each block the corner that sticks out most
		ask = touching{top.farthest, bottom.farthest}
	}
	var over, under shadow
	var s slopes
	for round := range 8 {
		f = p.Frame()
		up = f.W.Mul(p.Face.upward())
		meet(&over, top, ask.upper, -upper, c.top, up)
		meet(&under, bottom, ask.lower, -lower, c.bottom, up.Mul(-1))
		before := s
		s = widest(&over, &under, s)
		p.Pitch, p.Roll = tiltOf(p.Face, s.along, s.left)
		p.Height = (s.lo+s.hi)/2 + s.along*along + s.left*left + s.nu()*(lower-upper)/2
		if round == 0 && quick {
			ask = touching{over.within(s.along, s.left, s.lo, near, 1), under.within(s.along, s.left, s.hi, near, -1)}
			if top.carved {
				ask = touching{top.besides(ask.upper), bottom.besides(ask.lower)}
			}
		}
		if round > 0 && max(math.Abs(s.along-before.along), math.Abs(s.left-before.left)) < 1e-7 {
			break
		}
	}
	f = p.Frame()
	above, below := c.spare(p, f)
	for range 2 { // as much over as under, now that all corners are looked at
		off := (above.Value - below.Value) / 2 * math.Abs(f.W.Z)
		if math.Abs(off) < 1e-6 {
			break
		}
		p.Height += off
		f = p.Frame()
		above, below = c.spare(p, f)
	}
	slack = min(above.Value, below.Value) - c.Need.Flatten
	expected := ((s.lo-s.hi)/s.nu()-c.Body.Thickness)/2 - c.Need.Flatten
	for _, k := range s.cuts {
		if k.upper >= 0 && k.at(s.along, s.left) < s.value+2 {
			tight.upper, tight.lower = append(tight.upper, k.upper), append(tight.lower, k.lower)
		}
	}
	tight.upper = append(tight.upper, over.ends(s.along, s.left, s.lo, 1)...)
	tight.lower = append(tight.lower, under.ends(s.along, s.left, s.hi, -1)...)
	for _, list := range []*[]int{&tight.upper, &tight.lower} {
		slices.Sort(*list)
		*list = slices.Compact(*list)
	}
	if top.carved {
		expected -= max(sags(c.top, top.widest), sags(c.bottom, bottom.widest))
	}
	return p, slack, tight, slack > expected-Exact/2
}

// slopes are a plane's slopes along the body's centreline and to the left of
// it, the heights at the pivot of the planes of these slopes that touch the
// lowest place over them and the highest under them, and how they were found.
type slopes struct {
	along, left float64
	lo, hi      float64
	value       float64 // of the function that widest maximises
	cuts        []cut
}

// nu is the secant of the tilt: how much longer the upright way through a
// thickness is.
func (s slopes) nu() float64 { return math.Sqrt(1 + s.along*s.along + s.left*s.left) }

// widest finds the slopes of the widest gap between over and under, beginning
// at those of from.
func widest(over, under *shadow, from slopes) slopes {
	const wall = 1e4 // mm a unit of slope: steeper than any slab is long
	steep := math.Tan(Steepest)
	cuts := append(make([]cut, 0, 48),
		cut{wall * steep, -wall, 0, -1, -1}, cut{wall * steep, wall, 0, -1, -1},
		cut{wall * steep, 0, -wall, -1, -1}, cut{wall * steep, 0, wall, -1, -1})
	const fences = 4
	best := slopes{value: math.Inf(-1)}
	at := slopes{along: from.along, left: from.left}
	width := math.NaN()
	add := func(i, j int) { // places of the shadows, seen from the slopes at
		nu := at.nu()
		k := cut{along: under.along[j] - over.along[i] - width*at.along/nu, left: under.left[j] - over.left[i] - width*at.left/nu,
			upper: over.from[i], lower: under.from[j]}
		k.value = over.z[i] - under.z[j] - width*(nu-(at.along*at.along+at.left*at.left)/nu)
		cuts = append(cuts, k)
	}
	fresh := fences // first cut not yet looked at
	for range 80 {
		var i, j int
		i, at.lo = over.lowest(at.along, at.left)
		j, at.hi = under.highest(at.along, at.left)
		nu := at.nu()
		if math.IsNaN(width) {
			width = max(0, (at.lo-at.hi)/nu) // else the function is not concave
			for _, k := range from.cuts {    // what held the plane will about hold it again
				if k.upper < 0 || k.at(at.along, at.left) > from.value+1 {
					continue
				}
				if i, ok := over.index(k.upper); ok {
					if j, ok := under.index(k.lower); ok {
						add(i, j)
					}
				}
			}
		}
		at.value = at.lo - at.hi - width*nu
		if at.value > best.value {
			best = at
		}
		add(i, j)
		var most float64
		at.along, at.left, most = highestUnder(cuts, fresh)
		fresh = len(cuts)
		if most-best.value < 1e-7 {
			break
		}
		if len(cuts) > 40 { // the one that matters least
			last, slackest := fences, math.Inf(-1)
			for i := fences; i < len(cuts); i++ {
				if v := cuts[i].at(at.along, at.left); v > slackest {
					last, slackest = i, v
				}
			}
			cuts = append(cuts[:last], cuts[last+1:]...)
			fresh--
		}
	}
	best.cuts = cuts
	return best
}

// highestUnder is the highest point under all cuts, which is the crossing of
// three. The highest point under those before fresh alone was found earlier and
// lies over one of the others, so that one of the three is among these.
func highestUnder(cuts []cut, fresh int) (along, left, value float64) {
	value = math.Inf(-1)
	for f, n := range cuts[fresh:] {
		before := cuts[:fresh+f]
		for i, p := range before {
			pa, pl, pv := p.along-n.along, p.left-n.left, n.value-p.value
			for _, q := range before[i+1:] {
				qa, ql, qv := q.along-n.along, q.left-n.left, n.value-q.value
				det := pa*ql - pl*qa
				if math.Abs(det) < 1e-9 {
					continue
				}
				a, l := (pv*ql-pl*qv)/det, (pa*qv-pv*qa)/det
				least := n.at(a, l)
				for k := len(cuts) - 1; k >= 0 && least > value; k-- {
					least = min(least, cuts[k].at(a, l))
				}
				if least > value {
					along, left, value = a, l, least
				}
			}
		}
	}
	return along, left, value
}
