package place

import (
	"math"
	"sort"
	"sync"
	"sync/atomic"

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
	b := c.desks.Get().(*scratch)
	defer c.desks.Put(b)
	t, _ := c.terms(b, p.Frame(), c.over(p), math.Inf(1))
	return t
}

// terms are lower bounds on the terms of the score over all placements in the
// span s, whose middle has the frame f. What takes longer is left out, or
// blunt, where the Total is enough without, or could not be with it. For a span
// of one placement they are the terms themselves if enough is infinite; else
// the score is at most doubt above the Total, as long as that is not enough.
func (c *Case) terms(b *scratch, f Frame, s span, enough float64) (t Score, doubt float64) {
	if t = c.plainTerms(f, s); t.Total >= enough {
		return t, math.Inf(1)
	}
	doubt = c.looks(b, f, s, enough, &t, nil)
	return t, doubt
}

// plainTerms are the terms that are a distance or an angle, summed.
func (c *Case) plainTerms(f Frame, s span) (t Score) {
	w := c.Wish.Weights
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
	t.Strip, t.Grain = c.centredTerms(f, s)
	t.NearX = w.NearX * max(0, near(c.Wish.NearX, f.Origin.X)-anyAt(geom.Point{}))
	t.Total = t.Hardware + t.Strip + t.Through + t.NearX + t.Grain
	return t
}

// centredTerms are the terms of plainTerms that depend on how the centreline runs
// through the strips alone.
func (c *Case) centredTerms(f Frame, s span) (strip, grained float64) {
	w := c.Wish.Weights
	across, _ := s.moves(c.box.Width() / 2)
	for _, wish := range c.Wish.Strips {
		strip += w.Strip * max(0, meanAbs(c.stripOff(f, wish.Strip))-across)
	}
	return strip, w.Grain * max(0, near(c.Wish.Grain, grain(s.a))-s.ha) * 180 / math.Pi
}

// centredTally is how these terms go along with dy and da where bodies lie level. As
// distances from where they would be 0 they bulge downward, and are nowhere less
// than what goes on straight from the middle. The angle's sine is taken to first
// order; the rest is at most da²/2.
func (c *Case) centredTally(f Frame, s span) (t tally) {
	w := c.Wish.Weights
	pivot, cos := c.pivot().X, math.Cos(s.a)
	ways := [...]float64{c.box.Min.X - pivot, c.box.Max.X - pivot}
	for _, wish := range c.Wish.Strips {
		start, end := c.stripOff(f, wish.Strip)
		t.sum += w.Strip * meanAbs(start, end)
		for i, g := range meanAbsSlopes(start, end) {
			t.sum -= w.Strip * math.Abs(g*ways[i]) * s.ha * s.ha / 2
			t.perY -= w.Strip * g
			t.perA -= w.Strip * g * ways[i] * cos
		}
	}
	if wish := c.Wish.Grain; wish != nil {
		off := math.Remainder(s.a, math.Pi)
		per, sign := w.Grain*180/math.Pi, 1.0
		if off < 0 {
			sign = -1
		}
		fold := math.Pi/2-math.Abs(off) < s.ha || wish.Value > 0 && math.Abs(off) < s.ha
		switch v := math.Abs(off) - wish.Value; {
		case fold: // the angle to the strips bends the wrong way there
			t.sum += per * max(0, math.Abs(v)-s.ha)
		case v > 0:
			t.sum += per * v
			t.perA += per * sign
		default:
			t.sum -= per * v
			t.perA -= per * sign
		}
	}
	return t
}

// glimpse is the terms of the score that depend on the woods alone, not
// weighted.
type glimpse struct {
	mean, worst float64 // of the lines
	mirror      float64 // by exact areas, if they were taken
	exact       bool
}

// glimpses are what a search has seen of single placements already, see asSeen. Nil
// keeps none.
type glimpses struct {
	seen sync.Map // by span
	kept atomic.Int64
}

// glimpsesMost bounds the memory that glimpses take.
const glimpsesMost = 1 << 18

func (g *glimpses) of(s span) (glimpse, bool) {
	if g == nil || !s.level() || s.hy > 0 || s.ha > 0 {
		return glimpse{}, false
	}
	v, ok := g.seen.Load(s)
	if !ok {
		return glimpse{}, false
	}
	return v.(glimpse), true
}

func (g *glimpses) keep(s span, v glimpse) {
	if g != nil && s.level() && s.hy == 0 && s.ha == 0 && g.kept.Add(1) <= glimpsesMost {
		g.seen.Store(s, v)
	}
}

// lineTerms are what is known of the terms of the lines over a range before it
// is looked at: what they cost at least, as all of a larger range does, and what
// they can be hoped to cost, or the lines are not looked at.
type lineTerms struct{ least, hoped float64 }

// looks adds what the eye sees to the terms t, and gives the doubt. What it finds
// of the lines goes into known, if that is not nil.
func (c *Case) looks(b *scratch, f Frame, s span, enough float64, t *Score, known *lineTerms) (doubt float64) {
	w := c.Wish.Weights
	mirrored := w.Mirror > 0 && c.look.area > 0
	// The table first: it takes the least time and says the most.
	quick, straight := 0.0, tally{}
	if tabled := !math.IsInf(enough, 1) && s.level(); mirrored && tabled {
		quick, doubt, straight = c.table().mismatch(s)
		each := w.Mirror / c.look.area
		quick, doubt, straight = quick*each, doubt*each, straight.times(each)
	} else if mirrored {
		doubt = math.Inf(1)
	}
	if t.Total+quick >= enough {
		t.Mirror = quick
		t.Total += quick
		return math.Inf(1)
	}
	if known != nil && (t.Total+quick+known.least >= enough || t.Total+quick+known.hoped < enough && !c.areasTell(s, doubt)) {
		t.Mirror, t.LinesMean = quick, known.least
		t.Total += quick + known.least
		return math.Inf(1)
	}
	if lines := (w.LinesMean + w.LinesWorst) * alone; doubt < math.Inf(1) && t.Total+quick+doubt+lines < enough {
		t.Mirror = quick
		t.Total += quick
		return doubt + lines
	}
	if b.looks != nil && s.level() {
		// What is kept must be the same to the last bit whichever came first.
		s = c.asSeen(s)
		f = c.at(s).Frame()
	}
	v, seen := b.looks.of(s)
	var meanAt corners
	if !seen {
		v.mean, v.worst, meanAt = c.linesOff(b, s, f.flat(0))
		if vary := s.lean().vary; vary > 0 { // a mean weighted by lengths, and one length against a fixed one
			v.mean, v.worst = v.mean*max(0, 1-2*vary), v.worst*max(0, 1-2*vary)
		}
	}
	t.LinesMean, t.LinesWorst = w.LinesMean*v.mean, w.LinesWorst*v.worst
	t.Total += t.LinesMean + t.LinesWorst
	if known != nil {
		known.least = max(known.least, t.LinesMean+t.LinesWorst)
	}
	// joint is the mirror term with which the Total is a bound on the sum of what goes
	// along with dy and da, 0 where that is not known.
	joint := func(mirror tally) float64 {
		if math.IsInf(enough, 1) || !s.level() || s.hy == 0 && s.ha == 0 {
			return 0
		}
		strip, grained := c.centredTerms(f, s)
		sum, least := mirror.plus(c.centredTally(f, s)).corners(s), math.Inf(1)
		for k, v := range sum {
			least = min(least, v+w.LinesMean*meanAt[k])
		}
		return least - t.LinesMean - strip - grained
	}
	if mirrored && t.Total+quick < enough {
		quick = max(quick, joint(straight))
	}
	t.Mirror = quick
	switch {
	case !mirrored:
	case t.Total+quick >= enough:
		doubt = math.Inf(1)
	case math.IsInf(enough, 1) || t.Total+quick+doubt >= enough && c.areasTell(s, doubt):
		if !v.exact {
			exact := c.mirror(b, f, s)
			v.mirror, v.exact, seen = max(0, exact.least(s)), true, false
			quick = max(quick, joint(exact.times(w.Mirror)))
		}
		t.Mirror, doubt = max(quick, w.Mirror*v.mirror), 0
	}
	t.Total += t.Mirror
	if !seen {
		b.looks.keep(s, v)
	}
	return doubt
}

// asSeen is the span that stands for all that look the same to the eye as s:
// turning a level body over in place swaps its two sides and changes none of
// what looks adds, and where no strip changes its wood, nor does moving it
// along the slab.
func (c *Case) asSeen(s span) span {
	if !s.level() {
		return s
	}
	s.face, s.sure = Top, false
	if !c.changesAlong {
		s.x, s.hx = c.Slab.Length/2, 0
	}
	return s
}

// looksOnly is what looks adds to terms that make plain.
func (c *Case) looksOnly(b *scratch, s span, plain, enough float64, known *lineTerms) float64 {
	if plain >= enough {
		return 0
	}
	t := Score{Total: plain}
	c.looks(b, c.at(s).Frame(), s, enough, &t, known)
	return t.Total - plain
}

// areasTell tells whether the exact areas are likely to say more of a span than
// the table, whose doubt is given: they let each glue line lie where it costs
// least, wherever bands of the movement overlap.
func (c *Case) areasTell(s span, doubt float64) bool {
	across, _ := s.moves(c.radius)
	if s.hx == 0 && across == 0 {
		return true
	}
	strip := c.Slab.Width() / float64(len(c.Slab.Strips))
	if math.IsInf(doubt, 1) {
		return across < 2*strip
	}
	const per = 10 // points that they lose, about, when the movement is as wide as a strip; found by trial
	narrow := 1. / 128
	if w := c.Wish.Weights.Mirror; w > 0 {
		narrow = min(1, max(narrow, doubt/(per*w)))
	}
	return across < strip*narrow
}

// inkling is the part of the score of a span of one level placement that takes
// no time to find: all but the lines, the mirror term by the table.
func (c *Case) inkling(s span) float64 {
	v := c.plainTerms(c.at(s).Frame(), s).Total
	if w := c.Wish.Weights.Mirror; w > 0 && c.look.area > 0 {
		least, _, _ := c.table().mismatch(s)
		v += w * least / c.look.area
	}
	return v
}

// below tells whether the score of a span of one placement is below limit.
func (c *Case) below(b *scratch, s span, limit float64) bool {
	f := c.at(s).Frame()
	t, doubt := c.terms(b, f, s, limit)
	if t.Total >= limit || t.Total+doubt < limit {
		return t.Total < limit
	}
	t, _ = c.terms(b, f, s, math.Inf(1))
	return t.Total < limit
}

// mirror is the mirror term, not weighted: its least is a bound.
func (c *Case) mirror(b *scratch, f Frame, s span) tally {
	l := &c.look
	var t tally
	for _, k := range l.front {
		l.woods.mismatch(b, &t, k, f.flat(0), s)
	}
	for _, k := range l.back {
		l.woods.mismatch(b, &t, k, f.flat(-c.Body.Thickness), s)
	}
	return t.times(1 / l.area)
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

// meanAbsSlopes is by how much meanAbs grows with each of its two.
func meanAbsSlopes(a, b float64) [2]float64 {
	sign := 1.0
	if a < 0 || a == 0 && b < 0 {
		sign = -1
	}
	if a*b >= 0 {
		return [2]float64{sign / 2, sign / 2}
	}
	t := a / (a - b) // where it is 0
	return [2]float64{sign * (2*t - t*t - 0.5), sign * (t*t - 0.5)}
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
	seams := c.look.seams
	above := sort.Search(len(seams), func(i int) bool { return seams[i].y >= p.Y })
	if above < len(seams) {
		d = seams[above].y - p.Y + across
	}
	if above > 0 {
		d = min(d, p.Y-seams[above-1].y+across)
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
