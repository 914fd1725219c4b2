package place

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"slabwright/body/geom"
)

// A range of placements is a box in the plan position of the pivot (the middle
// of the body's outline) and the angle, for one face. Turning about the middle
// moves the body's points least.
type span struct {
	face       Face
	x, y, a    float64 // of the pivot, mm, and the angle, radians
	hx, hy, ha float64 // half sizes

	sure bool     // a level body has the wood it needs all over the range
	tilt *leaning // how bodies may be tilted there; nil where all lie level
}

// leaning is how the bodies in a range may be tilted: about so, and by how far
// another tilt in the range, or none, moves a point of the body in plan, across
// the strips and at all. See Case.leaning.
type leaning struct {
	pitch, roll float64
	across, any float64
	skew        float64 // by what share a tilted movement differs from a level one
	vary        float64 // by what share a line's length on the body differs between the tilts
	grip        *grip   // how the slab's faces hold the body there, if that was asked
}

// side is a way across which a range can be cut.
type side int

const (
	alongX side = iota
	alongY
	turning
)

// longest is the side of the greatest of three sizes; of equal ones the turn, then x.
func longest(x, y, turn float64) side {
	switch {
	case turn >= x && turn >= y:
		return turning
	case x >= y:
		return alongX
	}
	return alongY
}

// halved cuts the range in two in the middle of a side, the lower half first.
func (s span) halved(way side) (lower, upper span) {
	lower, upper = s, s
	switch way {
	case alongX:
		h := s.hx / 2
		lower.hx, upper.hx, lower.x, upper.x = h, h, s.x-h, s.x+h
	case alongY:
		h := s.hy / 2
		lower.hy, upper.hy, lower.y, upper.y = h, h, s.y-h, s.y+h
	default:
		h := s.ha / 2
		lower.ha, upper.ha, lower.a, upper.a = h, h, s.a-h, s.a+h
	}
	return lower, upper
}

// level tells whether nothing in the range is tilted.
func (s span) level() bool { return s.tilt == nil }

// lean is what tilts in the range do; all zero where bodies lie level.
func (s span) lean() leaning {
	if s.tilt == nil {
		return leaning{}
	}
	return *s.tilt
}

// flattened is the same range with all lying level.
func (s span) flattened() span {
	return span{face: s.face, x: s.x, y: s.y, a: s.a, hx: s.hx, hy: s.hy, ha: s.ha, sure: s.sure}
}

// chunk is a part of the compared front for which one bound on the movement of
// its points is sharp enough.
type chunk struct {
	region geom.Region
	radius float64 // greatest distance from the pivot
	// Greatest distances from the pivot along the body and across it, of the
	// chunk and of its mirror.
	along, aside float64
}

// pivot is the place about which ranges turn: on the centreline, so that the
// same range of the other face has the same centreline in the slab.
func (c *Case) pivot() geom.Point { return geom.Pt(c.box.Centre().X, 0) }

// newChunks cuts the compared regions across the centreline, so that a turn of
// the body moves each chunk little, and through the middle of every hole.
func (c *Case) newChunks(r geom.Region) []chunk {
	const parts = 6
	cuts := []float64{c.box.Min.X - 1, c.box.Max.X + 1}
	for i := 1; i < parts; i++ {
		cuts = append(cuts, c.box.Min.X+c.box.Width()*float64(i)/parts)
	}
	for _, g := range r {
		if g.Area() < 0 {
			cuts = append(cuts, g.Bounds().Centre().X)
		}
	}
	sort.Float64s(cuts)
	var out []chunk
	for i := 0; i+1 < len(cuts); i++ {
		if cuts[i+1]-cuts[i] < 1e-6 {
			continue
		}
		half := geom.Box{Min: geom.Pt(cuts[i], 0), Max: geom.Pt(cuts[i+1], c.box.Height()+1)}
		part := r.Intersect(geom.Region{half.Polygon()})
		k := chunk{}
		for _, g := range part {
			if g.Area() <= 0 {
				continue // a hole that no cut went through; none is left by the choice of cuts
			}
			k.region = append(k.region, g)
			for _, p := range g {
				q := c.pivot()
				for _, p := range []geom.Point{p, {X: p.X, Y: -p.Y}} {
					k.radius = max(k.radius, p.Distance(q))
					k.along = max(k.along, math.Abs(p.X-q.X))
					k.aside = max(k.aside, math.Abs(p.Y-q.Y))
				}
			}
		}
		if k.region != nil {
			out = append(out, k)
		}
	}
	return out
}

// at is the placement in the middle of the span, not settled.
func (c *Case) at(s span) Placement {
	p := Placement{Angle: s.a, Face: s.face}
	if s.tilt != nil {
		p.Pitch, p.Roll = s.tilt.pitch, s.tilt.roll
	}
	q := p.Plan().Apply(c.pivot())
	p.X, p.Y = s.x-q.X, s.y-q.Y
	return p
}

// over is the span that is just the placement p.
func (c *Case) over(p Placement) span {
	q := p.Plan().Apply(c.pivot())
	s := span{face: p.Face, x: q.X, y: q.Y, a: p.Angle}
	if !p.Level() {
		s.tilt = &leaning{pitch: p.Pitch, roll: p.Roll}
	}
	return s
}

// moves bounds how far a body point at distance r from the pivot can be from
// where the middle of the span puts it: across the strips, and at all. A turn
// by δ moves it by 2 r sin(δ/2) ≤ r δ.
func (s span) moves(r float64) (across, any float64) {
	across, any = s.hy+r*s.ha, math.Hypot(s.hx, s.hy)+r*s.ha
	if s.tilt != nil {
		across, any = across+s.tilt.across, any+s.tilt.any
	}
	return across, any
}

// movesOf is the same for the points of a chunk. A turn by δ moves a point that
// lies X along the strips and Y across them from the pivot by
// X sin δ − Y (1 − cos δ) across, at most |X| δ + r δ²/2: those abreast of the
// pivot hardly move.
func (s span) movesOf(k chunk) (across, any float64) {
	sin, cos := math.Sincos(s.a)
	x := math.Abs(cos)*k.along + math.Abs(sin)*k.aside
	_, any = s.moves(k.radius)
	across = min(s.hy+x*s.ha+k.radius*s.ha*s.ha/2, s.hy+k.radius*s.ha)
	if s.tilt != nil {
		across += s.tilt.across
	}
	return across, any
}

// outward widens a bound by more than the rounding of the sums in it, which
// have some thousands of terms of a few points: 1e4 · 2⁻⁵² · 100 ≈ 2e-10.
const outward = 1e-9

// lower is a lower bound on the total score of every placement in the span,
// lying as the span says, whatever is allowed. For a span of one placement it
// is the score.
func (c *Case) lower(b *scratch, s span) float64 { return c.lowerTo(b, s, math.Inf(1)) }

// lowerTo is lower, blunter where enough is reached without the terms that take
// longer.
func (c *Case) lowerTo(b *scratch, s span, enough float64) float64 {
	f := c.at(s).Frame()
	t, _ := c.terms(b, f, s, enough)
	if s.hx == 0 && s.hy == 0 && s.ha == 0 {
		return t.Total
	}
	return t.Total - outward*(1+t.Total)
}

// linesOff is the mirror offset of the seen glue lines in mm, the mean weighted
// by contrast and seen length, and the worst: lower bounds over the span, and
// exact for a span of one placement.
//
// A line's seen length is certain off the places where the rim of the seen
// region comes within reach of the line; there it may be seen or not. The
// mirror of a point of the slab moves by at most twice what the centreline
// moves, so no offset shrinks by more. Where that can be far more than the
// greatest offset, the lines are not looked at.
//
// Corners is the mean as it goes along with dy and da; nothing is known of it where
// bodies are tilted.
func (c *Case) linesOff(w *scratch, s span, m flat) (mean, worst float64, at corners) {
	l := &c.look
	if l.top == 0 {
		return 0, 0, at
	}
	radius := c.radius
	across, any := s.moves(radius)
	reach := c.mirrorMoves(w, s, across)
	if reach > 3.2*alone {
		return 0, 0, at
	}
	lean := s.lean()
	beyond := 2*radius + s.hx + c.Slab.Length
	mirrorOf := func(p geom.Point) geom.Point {
		q := m.into(p)
		return m.apply(geom.Pt(q.X, -q.Y))
	}
	var sure maybe // summed: weight, and weight × offset
	unsure := w.unsure[:0]
	var together tally // of the sure stretches, with what they share
	// line adds one line, given the length on the body of its part a b and where
	// the rim comes within reach of it.
	line := func(contrast, length float64, a, b geom.Point, exact bool, atA, atB float64, offset func(q0, q1 geom.Point, sure bool) offsetOver) {
		w.spans = stretches(w.spans[:0], w.rims, length, exact, atA, atB)
		first := len(unsure)
		seen := maybe{}
		for _, t := range w.spans {
			d := contrast * (t.t1 - t.t0)
			o := offset(a.Lerp(b, t.t0/length), a.Lerp(b, t.t1/length), t.sure)
			if t.sure {
				seen.weight += d
				seen.offset += d * o.least
				together.sum += d * o.linear.sum
				together.perY += d * o.linear.perY
				together.perA += d * o.linear.perA
			} else {
				unsure = append(unsure, maybe{d, o.least})
			}
		}
		sure.weight += seen.weight
		sure.offset += seen.offset
		if seen.weight == 0 {
			return
		}
		length = seen.weight / contrast
		for _, u := range unsure[first:] { // what may be seen beside it can lower the line's mean
			if u.offset < seen.offset/seen.weight {
				seen.weight += u.weight
				seen.offset += u.weight * u.offset
			}
		}
		worst = max(worst, contrast/l.top*seen.offset/seen.weight*min(1, length/glimpsed))
	}
	sin, cos := m.u.Y, m.u.X // of the angle, for a level body
	if s.level() {
		c.crossings(w, m, across)
	}
	for i := range l.seams {
		sm := &l.seams[i]
		for k := range sm.parts {
			p := &sm.parts[k]
			if p.contrast == 0 || s.level() && len(w.crossed[i]) == 0 {
				continue
			}
			a, b := geom.Pt(p.x0, sm.y), geom.Pt(p.x1, sm.y)
			atA, atB := any, any
			// The slab's own end is never in an allowed body: the line is taken
			// to go on, so that a range whose middle sticks out is not misjudged.
			if p.x0 <= 0 {
				a.X, atA = -beyond, 0
			}
			if p.x1 >= c.Slab.Length {
				b.X, atB = c.Slab.Length+beyond, 0
			}
			length := a.Distance(b)
			if s.level() {
				w.rims = w.rims[:0]
				for _, r := range w.crossed[i] {
					w.rims = append(w.rims, rim{r.t0 - a.X, r.t1 - a.X, r.flips})
				}
			} else {
				length = c.rimsNear(w, m.into(a), m.into(b), across)
			}
			line(p.contrast, length, a, b, across == 0, atA, atB, func(q0, q1 geom.Point, sure bool) offsetOver {
				y0, y1 := mirrorOf(q0).Y, mirrorOf(q1).Y
				lo, hi := min(y0, y1)-reach, max(y0, y1)+reach
				o := offsetOver{least: p.offset.least(lo, hi)}
				if !sure {
					return o
				}
				// The mirror of a point moves by twice what the centreline
				// moves abreast of it, which is at K: hy, and ha times the way
				// of K from the pivot along x, less what the point itself goes
				// along the line to stay at its place of the rim. On average
				// over the stretch it is the average way; what is left out is
				// of the second order.
				x0, x1 := q0.X-s.x, q1.X-s.x
				way0 := m.apply(geom.Pt(m.into(q0).X, 0)).X - s.x - sin*sin*x0
				way1 := m.apply(geom.Pt(m.into(q1).X, 0)).X - s.x - sin*sin*x1
				second := 4*s.ha*(across+radius*s.ha) + 4*(lean.across+lean.skew*any)
				mean := p.offset.mean(y0, y1)
				moved := s.hy + s.ha*meanAbs(way0, way1) + second/2
				o.least = max(mean-min(2*moved, reach), o.least)
				// However it moves, the mirror of the stretch sweeps all that lies well
				// between y0 and y1, and not much more than from one to the other.
				if swept := p.offset.between(min(y0, y1)+reach, max(y0, y1)-reach); swept > 0 && across > 0 && !w.plain {
					o.least = max(o.least, swept/(math.Abs(y1-y0)+2*s.ha*math.Abs(x1-x0)+2*second))
				}
				o.linear.sum = o.least
				if g, ok := p.offset.grade(lo, hi); ok && (s.hy > 0 || s.ha > 0) {
					// Where h is straight, or a valley, over all that can be
					// reached, its mean is no less than what its slopes say of
					// a change dy, da: the mirror's y changes by 2 cos² a · dy
					// and by 2 · way · da.
					g0, g1, t := g.over(y0, y1)
					at := way0 + t*(way1-way0)
					o.linear = tally{
						sum:  mean - max(math.Abs(g0), math.Abs(g1))*second,
						perY: (t*g0 + (1-t)*g1) * 2 * cos * cos,
						perA: t*g0*(way0+at) + (1-t)*g1*(at+way1),
					}
				}
				return o
			})
		}
	}
	for _, j := range l.joints {
		if j.contrast == 0 {
			continue
		}
		far := max(m.into(j.a).Distance(c.pivot()), m.into(j.b).Distance(c.pivot()))
		_, any := s.moves(far)
		if far-j.a.Distance(j.b) > radius+any {
			continue // out of sight
		}
		off := max(0, c.jointOff(j, mirrorOf(j.a), mirrorOf(j.b))-2*any)
		length := c.rimsNear(w, m.into(j.a), m.into(j.b), any)
		line(j.contrast, length, j.a, j.b, any == 0, any, any, func(_, _ geom.Point, _ bool) offsetOver {
			return offsetOver{off, tally{sum: off}}
		})
	}
	slices.SortFunc(unsure, func(a, b maybe) int {
		switch {
		case a.offset < b.offset:
			return -1
		case a.offset > b.offset:
			return 1
		}
		return 0
	})
	w.unsure = unsure
	if sure.weight == 0 {
		return 0, worst, at // perhaps nothing is seen at all
	}
	// The least mean: take in what may be seen as long as it lowers it.
	least := func(sum float64) float64 {
		weight := sure.weight
		for _, u := range unsure {
			if u.offset >= sum/weight {
				break
			}
			sum, weight = sum+u.weight*u.offset, weight+u.weight
		}
		return sum / weight
	}
	if s.level() {
		for k, sum := range together.corners(s) {
			at[k] = least(sum)
		}
	}
	return least(max(sure.offset, together.least(s))), worst, at
}

// mirrorMoves bounds by how far along y the mirror of a glue line's point moves over a
// range, the point staying at its place along the line as the body has it, and the line
// moving in the body by up to across square to itself. With v the point's way from the
// centreline, its mirror lies 2 v cos a from the line: where the body lies across the
// strips, moving it along itself changes nothing.
func (c *Case) mirrorMoves(w *scratch, s span, across float64) float64 {
	if w.plain || !s.level() {
		return 2 * across
	}
	v := max(math.Abs(c.box.Min.Y), math.Abs(c.box.Max.Y))
	cos := math.Abs(math.Cos(s.a))
	return min(2*across, 2*v*s.ha+2*across*cos*min(1, cos+s.ha))
}

// offsetOver is what is known of the mirror offset of a stretch over a range:
// the least of its mean, and, where more is known, how its mean changes.
type offsetOver struct {
	least  float64
	linear tally
}

// maybe is a weight and an offset, summed or of one stretch.
type maybe struct{ weight, offset float64 }

// rim is where the edge of the seen region comes within reach of a line.
type rim struct {
	t0, t1 float64
	flips  int
}

// stretch is a part of a line, in mm from its start, that is surely seen, or
// perhaps.
type stretch struct {
	t0, t1 float64
	sure   bool
}

// crossings finds, for every seam, where along it (as x) the rim of the seen
// region comes within reach when the plane m of a level body may lie off by up
// to across square to the strips. It walks round the rim once, with the seams
// that are abreast of it at hand.
func (c *Case) crossings(w *scratch, m flat, across float64) {
	seams := c.look.seams
	if len(w.crossed) < len(seams) {
		w.crossed = make([][]rim, len(seams))
	}
	for i := range seams {
		w.crossed[i] = w.crossed[i][:0]
	}
	first := 0 // seam at or above the rim's lower reach
	sin, cos := math.Abs(m.u.Y), math.Abs(m.u.X)
	for _, r := range c.look.rims {
		// A run that lies whole within reach of a seam is one rim.
		mid, w2, h2 := m.apply(r.box.Centre()), r.box.Width()/2, r.box.Height()/2
		halfX, halfY := cos*w2+sin*h2, sin*w2+cos*h2
		p := m.apply(r.points[0])
		end := m.apply(r.points[len(r.points)-1])
		low := sort.Search(len(seams), func(i int) bool { return seams[i].y >= mid.Y+halfY-across })
		high := low
		for ; high < len(seams) && seams[high].y <= mid.Y-halfY+across; high++ {
			whole := rim{t0: mid.X - halfX, t1: mid.X + halfX}
			if (p.Y < seams[high].y) != (end.Y < seams[high].y) {
				whole.flips = 1
			}
			w.crossed[high] = addRim(w.crossed[high], whole, true)
		}
		for _, q := range r.points[1:] {
			q := m.apply(q)
			lo, hi := min(p.Y, q.Y)-across, max(p.Y, q.Y)+across
			for first > 0 && seams[first-1].y >= lo {
				first--
			}
			for first < len(seams) && seams[first].y < lo {
				first++
			}
			for i := first; i < len(seams) && seams[i].y <= hi; i++ {
				if i >= low && i < high {
					i = high - 1
					continue
				}
				if r, ok := reached(p.Y-seams[i].y, p.X, q.Y-seams[i].y, q.X, across); ok {
					w.crossed[i] = addRim(w.crossed[i], r, math.Abs(p.Y-seams[i].y) <= across)
				}
			}
			p = q
		}
	}
}

// rimsNear finds where along the segment a b (body frame) the rim of the seen
// region comes within reach when the segment may lie off by up to across
// square to itself, and gives the segment's length.
func (c *Case) rimsNear(w *scratch, a, b geom.Point, across float64) (length float64) {
	d := b.Sub(a)
	length = d.Len()
	e := d.Mul(1 / length)
	rims := w.rims[:0]
	for _, r := range c.look.rims {
		// Most runs of the rim lie whole on one side of the line.
		q := r.box.Centre().Sub(a)
		reach := (math.Abs(e.X)*r.box.Height()+math.Abs(e.Y)*r.box.Width())/2 + across
		if h := e.Cross(q); h > reach || h < -reach {
			continue
		}
		p := r.points[0].Sub(a)
		hp, tp := e.Cross(p), e.Dot(p)
		for k, q0 := range r.points[1:] {
			q := q0.Sub(a)
			hq, tq := e.Cross(q), e.Dot(q)
			if r, ok := reached(hp, tp, hq, tq, across); ok {
				rims = addRim(rims, r, k > 0 && math.Abs(hp) <= across)
			}
			hp, tp = hq, tq
		}
	}
	w.rims = rims
	return length
}

// addRim appends a rim. One whose edge goes on from the edge before, from a
// corner within reach, is one with the last: long rows of them would be slow to
// put in order.
func addRim(rims []rim, r rim, goesOn bool) []rim {
	if n := len(rims) - 1; goesOn && n >= 0 && r.t0 <= rims[n].t1 && r.t1 >= rims[n].t0 {
		rims[n] = rim{min(rims[n].t0, r.t0), max(rims[n].t1, r.t1), rims[n].flips + r.flips}
		return rims
	}
	return append(rims, r)
}

// reached is the part of the rim's edge from (tp, hp) to (tq, hq) that is
// within reach of the line h = 0, which may lie off by up to across.
func reached(hp, tp, hq, tq, across float64) (rim, bool) {
	crosses := (hp < 0) != (hq < 0)
	if across > 0 && max(hp, hq) <= across && min(hp, hq) >= -across {
		r := rim{min(tp, tq), max(tp, tq), 0}
		if crosses {
			r.flips = 1
		}
		return r, true
	}
	if !crosses && (across == 0 || hp > across && hq > across || hp < -across && hq < -across) {
		return rim{}, false
	}
	s0, s1 := 0.0, 1.0
	if dh := hq - hp; dh != 0 {
		u, v := (-across-hp)/dh, (across-hp)/dh
		s0, s1 = max(0, min(u, v)), min(1, max(u, v))
	}
	u, v := tp+s0*(tq-tp), tp+s1*(tq-tp)
	r := rim{min(u, v), max(u, v), 0}
	if crosses {
		r.flips = 1
	}
	return r, true
}

// stretches finds what is seen of a line's part, length mm long on the body,
// from where the rim comes within reach of the line; exact where it lies for
// certain. The part's ends may lie off by up to atA and atB along it. The seen
// region stays where it is, so that sliding the line along itself matters at
// its ends alone. The rims are put in order.
func stretches(out []stretch, rims []rim, length float64, exact bool, atA, atB float64) []stretch {
	if len(rims) > 24 {
		slices.SortFunc(rims, func(a, b rim) int { return cmp.Compare(a.t0, b.t0) })
	}
	for i := 1; i < len(rims); i++ { // few are quicker put in order without calls
		for k := i; k > 0 && rims[k].t0 < rims[k-1].t0; k-- {
			rims[k], rims[k-1] = rims[k-1], rims[k]
		}
	}
	add := func(t0, t1 float64, sure bool) {
		if !sure {
			if t0, t1 = max(t0, -atA), min(t1, length+atB); t1 > t0 {
				out = append(out, stretch{t0, t1, false})
			}
			return
		}
		// The ends of the segment itself are known within atA and atB.
		if u, v := max(t0, atA), min(t1, length-atB); v > u {
			out = append(out, stretch{u, v, true})
		}
		if u, v := max(t0, -atA), min(t1, atA, length+atB); v > u {
			out = append(out, stretch{u, v, false})
		}
		if u, v := max(t0, length-atB, atA), min(t1, length+atB); v > u && atB > 0 {
			out = append(out, stretch{u, v, false})
		}
	}
	inside, end := false, math.Inf(-1)
	for i := 0; i < len(rims); {
		r := rims[i]
		if inside && r.t0 > end {
			add(end, r.t0, true)
		}
		t0, t1, flips := r.t0, r.t1, r.flips
		for i++; i < len(rims) && rims[i].t0 <= t1; i++ {
			t1 = max(t1, rims[i].t1)
			flips += rims[i].flips
		}
		if !exact {
			add(t0, t1, false)
		}
		inside = inside != (flips%2 == 1)
		end = t1
	}
	return out
}
