package place

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"sync"

	"slabwright/body/geom"
	"slabwright/layout/slab"
	"slabwright/layout/wood/colour"
)

// look is the slab and the instrument as the eye sees them: patches of colour,
// the part of the front that is seen, and the glue lines.
type look struct {
	patches []patch
	diff    [][]float64 // CIEDE2000 between colours, by patch.colour

	seen   geom.Region    // of the front: seen together with its mirror; symmetric
	rims   []run          // the rim of seen, in short runs
	share  float64        // of the front's area that it is
	front  []chunk        // the half of seen with v ≥ 0
	back   []chunk        // the same of the whole back, when it is wished
	area   float64        // of all chunks
	shapes func() *shapes // of them, made when first asked for

	woods *woodmap

	seams  []seam // from right to left
	joints []joint
	top    float64 // greatest contrast of any line, points; 0 when there is none
}

// run is a few points of a ring in a row, and the box round them.
type run struct {
	points []geom.Point
	box    geom.Box
}

func runsOf(r geom.Region) []run {
	const edges = 12
	var out []run
	for _, g := range r {
		for i := 0; i < len(g); i += edges {
			points := slices.Clone(g[i:min(i+edges+1, len(g))])
			if i+edges >= len(g) {
				points = append(points, g[0])
			}
			out = append(out, run{points, geom.Bounds(points...)})
		}
	}
	return out
}

// patch is a convex piece of the slab's plan of one colour.
type patch struct {
	region geom.Convex
	bounds geom.Box
	colour int
}

// seam is the glue line between two neighbouring strips, along y = const. Its
// contrast changes where the woods beside it do.
type seam struct {
	name  string
	y     float64
	mean  float64 // contrast, averaged over the length
	parts []part
}

type part struct {
	x0, x1   float64
	contrast float64
	offset   offsets // mirror offset by the y on which a point's mirror falls
}

// joint is one straight piece of a transition.
type joint struct {
	name     string
	a, b     geom.Point
	contrast float64
}

// A line that has no partner nearer than this reads as alone; a partner counts
// as farther off by this many mm for each point of contrast that it is fainter.
// Both were chosen by eye; there is no source.
const (
	alone    = 20.0
	fainter  = 1.0
	glimpsed = 20.0 // mm of visible length below which a line's weight fades in the worst-line term
)

func (c *Case) newLook(lines []slab.GlueLine, was *Case) (look, error) {
	var l look
	index := map[string]int{}
	var labs []colour.Lab
	indexOf := func(hex string) (int, error) {
		if i, ok := index[hex]; ok {
			return i, nil
		}
		rgb, err := colour.Parse(hex)
		if err != nil {
			return 0, err
		}
		index[hex] = len(labs)
		labs = append(labs, rgb.Lab())
		return len(labs) - 1, nil
	}
	for _, cell := range c.Slab.Cells() {
		i, err := indexOf(c.Slab.Colour(cell.Wood))
		if err != nil {
			return l, fmt.Errorf("strip %d: %w", cell.Strip+1, err)
		}
		l.patches = append(l.patches, patch{cell.Region, geom.Polygon(cell.Region).Bounds(), i})
	}
	l.diff = make([][]float64, len(labs))
	for i := range labs {
		l.diff[i] = make([]float64, len(labs))
		for j := range labs {
			if i != j {
				l.diff[i][j] = colour.Difference(labs[i], labs[j])
			}
		}
	}
	contrast := func(g slab.GlueLine) float64 {
		i, j := index[c.Slab.Colour(g.Left)], index[c.Slab.Colour(g.Right)]
		return l.diff[i][j]
	}
	for _, g := range lines {
		k := contrast(g)
		l.top = math.Max(l.top, k)
		if g.Transition {
			l.joints = append(l.joints, joint{g.Name, g.A, g.B, k})
			continue
		}
		x0, x1 := math.Min(g.A.X, g.B.X), math.Max(g.A.X, g.B.X)
		at := slices.IndexFunc(l.seams, func(s seam) bool { return s.y == g.A.Y })
		if at < 0 {
			l.seams = append(l.seams, seam{name: g.Name, y: g.A.Y})
			at = len(l.seams) - 1
		}
		s := &l.seams[at]
		s.parts = append(s.parts, part{x0: x0, x1: x1, contrast: k})
	}
	slices.SortFunc(l.seams, func(a, b seam) int { return cmp.Compare(a.y, b.y) })
	for i := range l.seams {
		s := &l.seams[i]
		sum, length := 0.0, 0.0
		for _, p := range s.parts {
			sum += p.contrast * (p.x1 - p.x0)
			length += p.x1 - p.x0
		}
		if length > 0 {
			s.mean = sum / length
		}
	}
	for i := range l.seams {
		for j := range l.seams[i].parts {
			p := &l.seams[i].parts[j]
			p.offset = newOffsets(l.seams, p.contrast)
		}
	}
	if was != nil { // of the same body
		l.seen, l.rims, l.share = was.look.seen, was.look.rims, was.look.share
		l.front, l.back, l.area, l.shapes = was.look.front, was.look.back, was.look.area, was.look.shapes
	} else {
		c.setSeen(&l)
	}
	l.woods = c.newWoodmap(&l)
	return l, nil
}

// sight is how finely, in mm, the outline is drawn for the score: the compared
// region is bounded by a polygon inside the outline by at most this much. The
// limits use far finer ones.
const sight = 0.05

// setSeen finds the part of the front that is seen together with its mirror.
func (c *Case) setSeen(l *look) {
	mirror := geom.FlipY()
	front := geom.Region{c.Body.Outline.FlattenInside(sight)}
	both := front.Intersect(front.Moved(mirror))
	l.seen = both
	if !c.Wish.WholeFront {
		for _, h := range c.Body.Hidden {
			ring := geom.Region{h.Ring.CCW()}
			l.seen = l.seen.Subtract(ring).Subtract(ring.Moved(mirror))
		}
	}
	l.rims = runsOf(l.seen)
	l.share = l.seen.Area() / front.Area()
	l.front = c.newChunks(l.seen)
	if c.Wish.Back {
		l.back = c.newChunks(both)
	}
	for _, k := range slices.Concat(l.front, l.back) {
		l.area += k.region.Area()
	}
	of := look{front: l.front, back: l.back}
	l.shapes = sync.OnceValue(of.newShapes)
}

// SeenShare is the share of the front's area that the mirror term compares:
// seen, and its mirror seen too.
func (c *Case) SeenShare() float64 { return c.look.share }

// offsets is the distance, along y, from the mirror of a point of a glue line
// to the nearest line that could be its partner:
//
//	h(y) = min(alone, minₖ(|y − yₖ| + fainter · max(0, contrast − contrastₖ)))
//
// It is piecewise linear; knots and running integral are kept, so that its
// mean over a stretch needs two look-ups.
type offsets struct {
	y, h, sum []float64
	bins      []int32 // first knot at or above each of as many even steps from the first knot to the last
	perStep   float64 // steps a mm
}

func newOffsets(seams []seam, contrast float64) offsets {
	type vee struct{ y, b float64 }
	var vs []vee
	for _, s := range seams {
		if b := fainter * math.Max(0, contrast-s.mean); b < alone {
			vs = append(vs, vee{s.y, b})
		}
	}
	sort.Slice(vs, func(i, j int) bool { return vs[i].y < vs[j].y })
	// One that lies in another's shade has no say: walk up and down with the
	// lowest of the slopes met so far.
	shaded := make([]bool, len(vs))
	for i, low := 0, math.Inf(1); i < len(vs); i++ {
		shaded[i] = low+vs[i].y <= vs[i].b
		low = min(low, vs[i].b-vs[i].y)
	}
	for i, low := len(vs)-1, math.Inf(1); i >= 0; i-- {
		shaded[i] = shaded[i] || low-vs[i].y <= vs[i].b
		low = min(low, vs[i].b+vs[i].y)
	}
	kept := vs[:0]
	for i, v := range vs {
		if !shaded[i] {
			kept = append(kept, v)
		}
	}
	vs = kept
	var o offsets
	knot := func(y, h float64) {
		if n := len(o.y); n > 0 && y <= o.y[n-1] {
			return
		}
		o.y, o.h = append(o.y, y), append(o.h, h)
	}
	for i, v := range vs {
		if i == 0 {
			knot(v.y-(alone-v.b), alone)
		} else {
			u := vs[i-1]
			if h := (v.y - u.y + u.b + v.b) / 2; h <= alone {
				knot((u.y+v.y+v.b-u.b)/2, h)
			} else {
				knot(u.y+alone-u.b, alone)
				knot(v.y-(alone-v.b), alone)
			}
		}
		knot(v.y, v.b)
	}
	if n := len(vs); n > 0 {
		knot(vs[n-1].y+alone-vs[n-1].b, alone)
	}
	o.sum = make([]float64, len(o.y))
	for i := 1; i < len(o.y); i++ {
		o.sum[i] = o.sum[i-1] + (o.y[i]-o.y[i-1])*(o.h[i]+o.h[i-1])/2
	}
	if n := len(o.y); n > 1 {
		o.perStep = float64(n) / (o.y[n-1] - o.y[0])
		for i, k := 0, 0; i < n; i++ {
			for k < n && o.y[k] < o.y[0]+float64(i)/o.perStep {
				k++
			}
			o.bins = append(o.bins, int32(k))
		}
	}
	return o
}

// find is the first knot at or above y, or the number of knots.
func (o *offsets) find(y float64) int {
	n := len(o.y)
	if n == 0 || y <= o.y[0] {
		return 0
	}
	if y > o.y[n-1] {
		return n
	}
	i := int(o.bins[min(int((y-o.y[0])*o.perStep), n-1)])
	for i > 0 && o.y[i-1] >= y {
		i--
	}
	for o.y[i] < y {
		i++
	}
	return i
}

// at is h(y).
func (o *offsets) at(y float64) float64 { return o.below(o.find(y), y) }

// below is h(y), given the first knot at or above y.
func (o *offsets) below(i int, y float64) float64 {
	if i == 0 || i == len(o.y) {
		return alone
	}
	t := (y - o.y[i-1]) / (o.y[i] - o.y[i-1])
	return o.h[i-1] + t*(o.h[i]-o.h[i-1])
}

// integral is ∫ h from the first knot to y (negative before it).
func (o *offsets) integral(y float64) float64 {
	n := len(o.y)
	if n == 0 {
		return alone * y
	}
	i := o.find(y)
	switch i {
	case 0:
		return alone * (y - o.y[0])
	case n:
		return o.sum[n-1] + alone*(y-o.y[n-1])
	}
	return o.sum[i-1] + (y-o.y[i-1])*(o.h[i-1]+o.below(i, y))/2
}

// least is the least of h from y0 to y1, y0 ≤ y1.
func (o *offsets) least(y0, y1 float64) float64 {
	i := o.find(y0)
	h := o.below(i, y0)
	for ; i < len(o.y) && o.y[i] < y1 && h > 0; i++ { // h is never below 0
		h = min(h, o.h[i])
	}
	return min(h, o.below(i, y1))
}

// between is the integral of h from y0 to y1, 0 where that is the wrong way round, or
// so little that the difference of integrals would lose its digits.
func (o *offsets) between(y0, y1 float64) float64 {
	if y1-y0 < 0.1 {
		return 0
	}
	return o.integral(y1) - o.integral(y0)
}

// A grade is how h runs over a range: straight with one slope, or down to the
// bottom of a valley and up again, with slopes −1 and 1.
type grade struct {
	slope  float64
	valley bool
	bottom float64
}

// grade tells how h runs from y0 to y1, y0 ≤ y1; not where it has a summit there.
func (o *offsets) grade(y0, y1 float64) (grade, bool) {
	i, n := o.find(y0), len(o.y)
	if i == n || o.y[i] > y1 {
		if i == 0 || i == n {
			return grade{}, true
		}
		return grade{slope: (o.h[i] - o.h[i-1]) / (o.y[i] - o.y[i-1])}, true
	}
	if i+1 < n && o.y[i+1] <= y1 || i == 0 || i+1 == n || o.h[i-1] <= o.h[i] || o.h[i+1] <= o.h[i] {
		return grade{}, false
	}
	return grade{valley: true, bottom: o.y[i]}, true
}

// over gives the slopes of h on the way from y0 to y1: the first for the share t
// of the way, then the second.
func (g grade) over(y0, y1 float64) (first, second, t float64) {
	side := func(y float64) float64 {
		if y < g.bottom {
			return -1
		}
		return 1
	}
	switch a, b := side(y0), side(y1); {
	case !g.valley:
		return g.slope, g.slope, 1
	case a == b:
		return a, a, 1
	default:
		return a, b, (g.bottom - y0) / (y1 - y0)
	}
}

// mean is the mean of h between y0 and y1, in either order.
func (o *offsets) mean(y0, y1 float64) float64 {
	// Closer than this the difference of integrals loses more digits than the
	// slope of h, which is at most 1, can matter.
	if math.Abs(y1-y0) < 1e-6 {
		return o.at((y0 + y1) / 2)
	}
	return (o.integral(y1) - o.integral(y0)) / (y1 - y0)
}
