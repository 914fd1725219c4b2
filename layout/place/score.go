package place

import (
	"math"

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
	var b scratch
	f := p.Frame()
	return c.terms(&b, f, c.over(p))
}

// terms are lower bounds on the terms of the score over all placements in the
// span s, whose middle has the frame f. For a span of one placement they are
// the terms themselves.
func (c *Case) terms(b *scratch, f Frame, s span) Score {
	w := c.Wish.Weights
	var t Score
	t.Mirror, t.LinesMean, t.LinesWorst = c.looks(b, f, s)
	t.Mirror, t.LinesMean, t.LinesWorst = w.Mirror*t.Mirror, w.LinesMean*t.LinesMean, w.LinesWorst*t.LinesWorst

	anyAt := func(q geom.Point) float64 {
		_, any := s.moves(q.Distance(c.pivot()))
		return any
	}
	for _, spot := range c.Body.KeepFromGlue {
		d := c.glueAtMost(f.Apply(spot.At.X, spot.At.Y, 0).Plan(), s, spot.At)
		t.Hardware += w.Hardware * max(0, spot.Wanted-(d-spot.Radius))
	}
	for _, wish := range c.Wish.Through {
		t.Through += w.Through * max(0, c.misses(f, wish)-anyAt(geom.Pt(wish.U, wish.V)))
	}
	across, _ := s.moves(c.box.Width() / 2)
	for _, wish := range c.Wish.Strips {
		t.Strip += w.Strip * max(0, meanAbs(c.stripOff(f, wish.Strip))-across)
	}
	t.NearX = w.NearX * max(0, near(c.Wish.NearX, f.Origin.X)-anyAt(geom.Point{}))
	t.Grain = w.Grain * max(0, near(c.Wish.Grain, grain(s.a))-s.ha) * 180 / math.Pi
	t.Total = t.Mirror + t.LinesMean + t.LinesWorst + t.Hardware + t.Strip + t.Through + t.NearX + t.Grain
	return t
}

// looks are the terms of the score that depend on the woods alone: the mirror
// term, and the mean and worst of the lines, not weighted. Turning a level body
// over in place swaps its two sides and changes none of them, so that a search
// keeps them for the other face.
func (c *Case) looks(b *scratch, f Frame, s span) (mirror, mean, worst float64) {
	type key struct{ x, y, a, hx, hy, ha float64 }
	k := key{s.x, s.y, s.a, s.hx, s.hy, s.ha}
	keeps := b.looks != nil && s.level()
	if keeps {
		// Both faces are looked at as the top one, so that the kept terms are
		// the same to the last bit whichever came first.
		s.face = Top
		f = c.at(s).Frame()
		if v, ok := b.looks.LoadAndDelete(k); ok {
			t := v.([3]float64)
			return t[0], t[1], t[2]
		}
	}
	l := &c.look
	if l.area > 0 && c.Wish.Weights.Mirror > 0 {
		var t tally
		for _, k := range l.front {
			l.woods.mismatch(b, &t, k, f.flat(0), s)
		}
		for _, k := range l.back {
			l.woods.mismatch(b, &t, k, f.flat(-c.Body.Thickness), s)
		}
		mirror = max(0, t.least(s)) / l.area
	}
	mean, worst = c.linesOff(b, s, f.flat(0))
	if v := s.lean().vary; v > 0 { // a mean weighted by lengths, and one length against a fixed one
		mean, worst = mean*max(0, 1-2*v), worst*max(0, 1-2*v)
	}
	if keeps {
		b.looks.Store(k, [3]float64{mirror, mean, worst})
	}
	return mirror, mean, worst
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

// glueAtMost is the most that the distance from a body point at to the nearest
// glue line can be over the span, when the middle of the span puts it at p.
// Sliding along the strips takes it no farther from the lines between them.
func (c *Case) glueAtMost(p geom.Point, s span, at geom.Point) float64 {
	across, any := s.moves(at.Distance(c.pivot()))
	d := math.Inf(1)
	for i := range c.look.seams {
		d = min(d, math.Abs(p.Y-c.look.seams[i].y)+across)
	}
	for i := range c.look.joints {
		e, _ := geom.PointSegment(p, c.look.joints[i].a, c.look.joints[i].b)
		d = min(d, e+any)
	}
	return d
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
