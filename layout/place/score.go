package place

import (
	"math"
	"sort"

	"slabwright/body/geom"
)

// Score is how good a placement looks, in points; less is better. Total is the
// sum of the terms, each already weighted:
//
//	Mirror      mean CIEDE2000 difference between each seen point of the front
//	            and its mirror across the centreline, over the points seen
//	            together with their mirror
//	LinesMean   mean, over the seen length of all glue lines and transitions
//	            weighted by contrast, of the mirror offset in mm: how far the
//	            mirror of the line lies from the nearest line that is not fainter
//	LinesWorst  the same of the one line for which contrast × offset is greatest,
//	            its contrast as a share of the slab's strongest
//	Hardware    sum over posts and screws of the mm that each lacks to its wanted
//	            distance from the nearest glue line
//	Strip       mm by which wished strips run off the centreline, averaged along
//	            the body
//	Through     mm by which wished glue lines miss their place
//	NearX       mm from the wished place along the slab
//	Grain       degrees from the wished grain angle
type Score struct {
	Total                                                                 float64
	Mirror, LinesMean, LinesWorst, Hardware, Strip, Through, NearX, Grain float64
}

// Score says how good a placement looks. It does not ask whether the
// placement is allowed.
func (c *Case) Score(p Placement) Score {
	w := c.Wish.Weights
	f := p.Frame()
	s := Score{
		Mirror: w.Mirror * c.mirror(f),
		Strip:  w.Strip * c.stripsOff(f),
		NearX:  w.NearX * near(c.Wish.NearX, p.X),
		Grain:  w.Grain * near(c.Wish.Grain, grain(p.Angle)) * 180 / math.Pi,
	}
	mean, worst := c.linesOff(f)
	s.LinesMean, s.LinesWorst = w.LinesMean*mean, w.LinesWorst*worst
	for _, spot := range c.Body.KeepFromGlue {
		d, _ := c.glueDistance(f.Apply(spot.At.X, spot.At.Y, 0).Plan())
		s.Hardware += w.Hardware * math.Max(0, spot.Wanted-(d-spot.Radius))
	}
	for _, t := range c.Wish.Through {
		s.Through += w.Through * c.misses(f, t)
	}
	s.Total = s.Mirror + s.LinesMean + s.LinesWorst + s.Hardware + s.Strip + s.Through + s.NearX + s.Grain
	return s
}

// grain folds an angle between two lines into [0, π/2].
func grain(a float64) float64 {
	a = math.Abs(math.Remainder(a, math.Pi))
	return a
}

func near(w *NearWish, v float64) float64 {
	if w == nil {
		return 0
	}
	return math.Abs(v - w.Value)
}

// flat is the map of one plane of the body, (u, v, w) with w fixed, to the
// slab's plan, and its inverse. For a level body it is a rigid movement.
type flat struct {
	o    geom.Point
	u, v geom.Vec
	det  float64
}

func (f Frame) flat(w float64) flat {
	o := f.Apply(0, 0, w).Plan()
	m := flat{o: o, u: geom.V(f.U.X, f.U.Y), v: geom.V(f.V.X, f.V.Y)}
	m.det = m.u.Cross(m.v)
	return m
}

func (m flat) apply(q geom.Point) geom.Point { return m.o.Add(m.u.Mul(q.X)).Add(m.v.Mul(q.Y)) }

func (m flat) into(p geom.Point) geom.Point {
	d := p.Sub(m.o)
	return geom.Pt(d.Cross(m.v)/m.det, m.u.Cross(d)/m.det)
}

// mirror is the mean colour difference between mirror points.
func (c *Case) mirror(f Frame) float64 {
	l := &c.look
	sum := c.mismatch(f.flat(0), l.seenHalf)
	area := l.halfArea
	if c.Wish.Back {
		sum += c.mismatch(f.flat(-c.Body.Thickness), l.back)
		area += l.backArea
	}
	if area == 0 {
		return 0
	}
	return sum / area
}

// mismatch is ∫ ΔE(wood at q, wood at the mirror of q) over a region with
// v ≥ 0 of one plane of the body: the sum over pairs of patches i, j of
// ΔE · area(region ∩ patch i ∩ mirror of patch j), all brought into the body's
// frame, where the mirror is the v axis turned about.
func (c *Case) mismatch(m flat, region geom.Region) float64 {
	l := &c.look
	box := region.Bounds()
	if box.Empty() {
		return 0
	}
	type here struct {
		region geom.Convex
		bounds geom.Box
		colour int
	}
	var right, left []here // patches under v ≥ 0, and mirrored ones of v ≤ 0
	for _, p := range l.patches {
		ring := make(geom.Polygon, len(p.region))
		flip := make(geom.Polygon, len(p.region))
		for i, q := range p.region {
			ring[i] = m.into(q)
			flip[i] = geom.Pt(ring[i].X, -ring[i].Y)
		}
		ring, flip = ring.CCW(), flip.CCW()
		if b := ring.Bounds(); b.Meets(box) {
			right = append(right, here{geom.Convex(ring), b, p.colour})
		}
		if b := flip.Bounds(); b.Meets(box) {
			left = append(left, here{geom.Convex(flip), b, p.colour})
		}
	}
	sum := 0.0
	for _, a := range right {
		var part geom.Region
		var partBox geom.Box
		for _, b := range left {
			if a.colour == b.colour || !a.bounds.Meets(b.bounds) {
				continue
			}
			if part == nil {
				if part = region.ClippedTo(a.region); part == nil {
					break
				}
				partBox = part.Bounds()
			}
			if partBox.Meets(b.bounds) {
				sum += l.diff[a.colour][b.colour] * part.ClippedTo(b.region).Area()
			}
		}
	}
	return sum
}

// linesOff is the mirror offset of the seen glue lines, in mm: the mean
// weighted by contrast and seen length, and the worst.
func (c *Case) linesOff(f Frame) (mean, worst float64) {
	l := &c.look
	if l.top == 0 {
		return 0, 0
	}
	m := f.flat(0)
	mirrorOf := func(p geom.Point) geom.Point {
		q := m.into(p)
		return m.apply(geom.Pt(q.X, -q.Y))
	}
	sum, weight := 0.0, 0.0
	add := func(contrast, length, offset float64) {
		sum += contrast * length * offset
		weight += contrast * length
		worst = math.Max(worst, contrast/l.top*offset*math.Min(1, length/glimpsed))
	}
	var cuts []float64
	for _, s := range l.seams {
		for _, p := range s.parts {
			if p.contrast == 0 {
				continue
			}
			a, b := geom.Pt(p.x0, s.y), geom.Pt(p.x1, s.y)
			cuts = c.seenSpans(cuts[:0], m.into(a), m.into(b))
			length, off := 0.0, 0.0
			for i := 0; i+1 < len(cuts); i += 2 {
				p0, p1 := a.Lerp(b, cuts[i]), a.Lerp(b, cuts[i+1])
				d := p1.Distance(p0)
				length += d
				off += d * p.offset.mean(mirrorOf(p0).Y, mirrorOf(p1).Y)
			}
			if length > 0 {
				add(p.contrast, length, off/length)
			}
		}
	}
	for _, j := range l.joints {
		if j.contrast == 0 {
			continue
		}
		cuts = c.seenSpans(cuts[:0], m.into(j.a), m.into(j.b))
		length := 0.0
		for i := 0; i+1 < len(cuts); i += 2 {
			length += (cuts[i+1] - cuts[i]) * j.a.Distance(j.b)
		}
		if length > 0 {
			add(j.contrast, length, c.jointOff(j, mirrorOf(j.a), mirrorOf(j.b)))
		}
	}
	if weight == 0 {
		return 0, 0
	}
	return sum / weight, worst
}

// jointOff is the mirror offset of a transition: the mean way that the ends of
// its mirror a, b would have to go to lie on the best partner.
func (c *Case) jointOff(j joint, a, b geom.Point) float64 {
	best := alone
	for _, k := range c.look.joints {
		lack := fainter * math.Max(0, j.contrast-k.contrast)
		best = math.Min(best, lack+(a.Distance(k.a)+b.Distance(k.b))/2)
		best = math.Min(best, lack+(a.Distance(k.b)+b.Distance(k.a))/2)
	}
	return best
}

// seenSpans appends the pairs of parameters between which the segment from a
// to b (in the body's frame) runs through the seen region.
func (c *Case) seenSpans(cuts []float64, a, b geom.Point) []float64 {
	d := b.Sub(a)
	first := len(cuts)
	for _, g := range c.look.seen {
		for i, p := range g {
			q := g[(i+1)%len(g)]
			// The half-open rule counts a corner once.
			dp, dq := d.Cross(p.Sub(a)), d.Cross(q.Sub(a))
			if (dp < 0) == (dq < 0) {
				continue
			}
			at := p.Lerp(q, dp/(dp-dq))
			cuts = append(cuts, at.Sub(a).Dot(d)/d.Dot(d))
		}
	}
	found := cuts[first:]
	sort.Float64s(found)
	for i := range found {
		found[i] = math.Max(0, math.Min(1, found[i]))
	}
	return cuts
}

// stripsOff is the mean way that wished strips run off the centreline over
// the body's length, summed over strips, in mm.
func (c *Case) stripsOff(f Frame) float64 {
	sum := 0.0
	for _, w := range c.Wish.Strips {
		sum += meanAbs(c.stripOff(f, w.Strip))
	}
	return sum
}

// stripOff is how far left of the centreline, at the body's two ends, the
// middle of a strip lies.
func (c *Case) stripOff(f Frame, strip int) (start, end float64) {
	y0, y1 := c.Slab.Band(strip)
	mid := (y0 + y1) / 2
	return mid - f.Apply(c.box.Min.X, 0, 0).Y, mid - f.Apply(c.box.Max.X, 0, 0).Y
}

// meanAbs is the mean of |linear from a to b|.
func meanAbs(a, b float64) float64 {
	if a*b >= 0 {
		return math.Abs(a+b) / 2
	}
	return (a*a + b*b) / (2 * (math.Abs(a) + math.Abs(b)))
}

// misses is the distance from a wished glue line to its place.
func (c *Case) misses(f Frame, w ThroughWish) float64 {
	g := c.lines[w.Line]
	d, _ := geom.PointSegment(f.Apply(w.U, w.V, 0).Plan(), g.A, g.B)
	return d
}

// glueDistance is the distance in plan from a point to the nearest glue line,
// and which.
func (c *Case) glueDistance(p geom.Point) (float64, int) {
	best, at := math.Inf(1), -1
	for i, g := range c.lines {
		if d, _ := geom.PointSegment(p, g.A, g.B); d < best {
			best, at = d, i
		}
	}
	return best, at
}

// gluesClear tells whether every post and screw keeps its need from the glue
// lines.
func (c *Case) gluesClear(f Frame) bool {
	for _, s := range c.Body.KeepFromGlue {
		if d, _ := c.glueDistance(f.Apply(s.At.X, s.At.Y, 0).Plan()); d-s.Radius < c.Need.GlueLine {
			return false
		}
	}
	return true
}

// musts tells whether all wishes that are limits hold.
func (c *Case) musts(p Placement) bool {
	for _, k := range c.mustChecks(p) {
		if !k.OK {
			return false
		}
	}
	return true
}
