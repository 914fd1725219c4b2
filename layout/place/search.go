package place

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"slabwright/body/geom"
)

// Tolerances of the search. A gap of gapShare × max(1, |score|) ends it; what
// is found is polished to fineMM and fineAngle; ranges in which no point moves
// by more than finest are not cut further.
const (
	gapShare  = 0.005
	fineMM    = 0.05
	fineAngle = 0.01 * math.Pi / 180
	finest    = 0.002
	// What is polished to be compared, as the answer, and where there is no proof to
	// hold it against, as shares of fineMM and fineAngle.
	barely, roughly, finely = 10, 0.2, 0.01
	// crammed is the size in mm below which all limits may be asked at once.
	crammed = 8.0
	// round is how many ranges are looked at between two looks at the best so
	// far. It is fixed so that the answer does not depend on the machine.
	round = 128
)

// Search finds the allowed placement with the least score, by branch and bound
// over the plan position, the angle and both faces. Height and tilt are those that
// Settle gives to each.
//
// A range of placements is dropped when it is proved that none in it is
// allowed, or that none scores less than the best so far by more than the gap
// asked for; else it is cut in two. What is dropped for its score keeps its
// bound, so that Bound holds for every allowed placement whenever the search
// ends. Ranges are taken in rounds of a fixed number, each range's result
// depending on the range alone and the best of the rounds before, so that the
// answer is the same with any number of processors.
//
// A cancelled context ends it with the best so far and Stopped = ByHand.
func (c *Case) Search(ctx context.Context, o Options) (Result, error) {
	s := newSearch(c, o)
	if o.Prefer == Room {
		return s.searchRoom(ctx), nil
	}
	if o.Certificate {
		s.record = &recorder{tilted: c.provesTilts()}
		for i := range s.desks {
			s.desks[i].plain = true
		}
	}
	s.run(ctx)
	r := s.result(ctx)
	var err error
	r.Certificate, err = s.certificate(r)
	return r, err
}

func newSearch(c *Case, o Options) *search {
	s := &search{c: c, o: o, begun: time.Now(), dropped: math.Inf(1)}
	s.o.Workers = o.workers()
	s.desks = make([]scratch, s.o.Workers)
	looks := new(glimpses)
	for i := range s.desks {
		s.desks[i].looks = looks
	}
	return s
}

type search struct {
	c     *Case
	o     Options
	begun time.Time

	open    []node // ranges to look at, least bound first
	best    *Found
	others  []Found // allowed placements met on the way, for alternatives
	dropped float64 // least bound of the ranges dropped for their score

	scored     []node // those ranges
	impossible []span // the ranges in which nothing is allowed
	fresh      int    // see tree

	record     *recorder // nil: no certificate is asked for
	desks      []scratch // one a worker
	unresolved int       // ranges too fine to cut, not proved impossible
	evaluated  int
	stopped    Stopped
}

// node is a range, a lower bound on the score in it, and what is known of it.
type node struct {
	span
	bound    float64
	lack     float64 // mm by which the middle fails, roughly; orders the ranges until something allowed is found
	lines    float64 // a lower bound on the terms of the lines in it
	passed   bool    // the lines were not looked at, as there was no hope in them
	middle   float64 // score of the placement in the middle
	tempting bool    // that would be the best so far, if it were allowed
	clear    bool    // every placement in it is clear in plan
	may      bool    // one in it may be allowed, as far as can be told
	level    int     // how often it was cut
	trail    *trail  // how it came about, for the certificate
}

// seen is what looking at a range gave.
type seen struct {
	impossible bool
	node       node
	plain      float64 // what plainTerms add to the bound
	centre     *Found  // the placement in the middle, when allowed and better than the best
}

func (s *search) run(ctx context.Context) {
	if !s.resume(ctx) {
		s.seed(ctx)
		roots := s.roots()
		s.record.begin(roots)
		s.judge(roots)
	}
	for len(s.open) > 0 {
		if s.best != nil && s.open[0].bound >= s.goal() {
			return
		}
		switch {
		case ctx.Err() != nil:
			s.stopped = ByHand
			return
		case s.late(s.best != nil), s.o.patience > 0 && s.evaluated > s.o.patience:
			s.stopped = ByTime
			return
		}
		n := min(round, len(s.open))
		batch := slices.Clone(s.open[:n])
		s.open = s.open[n:]
		halves := make([][]node, n)
		s.each(n, func(b *scratch, i int) { halves[i] = s.c.cutRange(b, batch[i], s.enough(s.goal())) })
		s.record.cut(batch, halves)
		children := slices.Concat(halves...)
		s.judge(children)
		if s.o.Progress != nil {
			s.o.Progress(Progress{Best: s.best, Bound: s.bound(), Evaluated: s.evaluated, Elapsed: time.Since(s.begun)})
		}
	}
}

// late tells whether the time for the search is over. As long as nothing is found a
// third of it is kept for asking why.
func (s *search) late(found bool) bool {
	limit := s.o.Limit
	if !found && !s.o.noReasons {
		limit = limit * 2 / 3
	}
	return limit > 0 && time.Since(s.begun) > limit
}

// judge looks at ranges and keeps what is left of them to look at.
func (s *search) judge(nodes []node) {
	results := make([]seen, len(nodes))
	s.each(len(nodes), func(b *scratch, i int) { results[i] = s.look(b, nodes[i]) })
	s.weigh(results)
	s.evaluated += len(nodes)
	before := s.best
	for _, r := range results {
		if r.centre != nil {
			s.found(*r.centre)
		}
	}
	if s.best != before {
		// Walk on from the better one, lest it be bettered by halves.
		if f := s.c.polish(s.each, s.c.over(s.best.Placement), 4, 0.02, roughly); f != nil {
			s.found(*f)
		}
	}
	for _, r := range results {
		s.keep(r)
	}
	s.order()
	// What the best so far makes needless goes now, to keep the list short.
	goal := s.goal()
	for s.best != nil && len(s.open) > 0 && s.open[len(s.open)-1].bound >= goal {
		s.drop(s.open[len(s.open)-1], ByScore)
		s.open = s.open[:len(s.open)-1]
	}
}

// drop takes a range out of the search for its bound.
func (s *search) drop(n node, why Reason) {
	s.dropped = min(s.dropped, n.bound)
	s.scored = append(s.scored, n)
	s.record.leaf(n, why)
}

// order puts the ranges to look at next first: those of least bound; until
// something allowed is known, those whose middle fails by least.
func (s *search) order() {
	slices.SortStableFunc(s.open, func(a, b node) int {
		if s.best == nil {
			return cmp.Compare(a.lack, b.lack)
		}
		return cmp.Compare(a.bound, b.bound)
	})
}

// each calls f(0..n−1) on the workers, each with a scratch of its own.
func (s *search) each(n int, f func(*scratch, int)) {
	share(s.o.Workers, n, func(worker, i int) { f(&s.desks[worker], i) })
}

// share calls f(worker, 0..n−1), shared out between so many workers.
func share(workers, n int, f func(worker, i int)) {
	w := min(workers, n)
	if w <= 1 {
		for i := range n {
			f(0, i)
		}
		return
	}
	var wg sync.WaitGroup
	var next atomic.Int64
	for k := range w {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				f(k, i)
			}
		})
	}
	wg.Wait()
}

// goal is the bound from which on a range is of no interest.
func (s *search) goal() float64 {
	if s.best == nil {
		return math.Inf(1)
	}
	return s.best.Score.Total - gapShare*math.Max(1, math.Abs(s.best.Score.Total))
}

// enough is the bound at which nothing sharper need be found. A certificate's
// reader finds bounds without the help of tables, and so must its writer.
func (s *search) enough(goal float64) float64 {
	if s.record != nil {
		return math.Inf(1)
	}
	return goal
}

// worthwhile is the score below which a placement is worth keeping as the best
// so far. Steps much smaller than the gap asked for are left to the polish, or
// ranges where the score is flat would all be found a hair better than others.
func (s *search) worthwhile() float64 {
	if s.best == nil {
		return math.Inf(1)
	}
	return s.best.Score.Total - gapShare/10*max(1, math.Abs(s.best.Score.Total))
}

func (s *search) found(f Found) {
	s.others = append(s.others, f)
	if s.best == nil || f.Score.Total < s.best.Score.Total {
		s.best = &f
	}
}

func (s *search) keep(r seen) {
	switch {
	case r.impossible:
		s.impossible = append(s.impossible, r.node.span)
		s.record.leaf(r.node, "")
	case r.node.bound >= s.goal():
		s.drop(r.node, ByScore)
	case r.node.size(s.c) < finest:
		s.unresolved++
		s.drop(r.node, NotDone)
	default:
		s.open = append(s.open, r.node)
	}
}

// look judges one range by the limits, and by what of the score takes no time.
// It reads s.best, which does not change during a round.
func (s *search) look(b *scratch, n node) seen {
	c := s.c
	if !n.sure {
		var lies bool
		if n.span, lies = c.lie(n.span); !lies {
			return seen{impossible: true, node: n}
		}
	}
	if !n.clear && !n.may {
		possible, clear := c.possibleLying(n.span)
		if !possible {
			return seen{impossible: true, node: n}
		}
		n.clear = clear
	} else if n.clear && !c.mayBesides(n.span, c.at(n.span)) {
		return seen{impossible: true, node: n}
	}
	// A small range in which only the limits speak against the middle is asked for
	// all limits at once. A certificate's reader asks them one by one, and so must
	// its writer.
	if (s.best == nil || n.tempting) && n.size(c) < crammed && s.record == nil &&
		!c.maySettle(b, n.span, c.at(n.span).Frame().flat(0)) {
		return seen{impossible: true, node: n}
	}
	out := seen{node: n}
	if s.best == nil { // nothing to compare with yet: look for something allowed
		out.node.tempting = true
		p := c.Settle(c.at(n.span))
		if out.node.lack = c.lack(p); out.node.lack <= 0 && c.Allowed(p) {
			out.centre = &Found{p, c.Score(p)}
		}
		return out
	}
	out.plain = c.plainTerms(c.at(n.span).Frame(), n.span).Total
	m := n.middlemost()
	out.node.middle = c.plainTerms(c.at(m).Frame(), m).Total
	return out
}

// weigh finds the bounds on the score of the ranges looked at, and whether
// their middles are better than the best. Ranges that look the same, see asSeen,
// are looked at once.
func (s *search) weigh(results []seen) {
	if s.best == nil {
		return
	}
	c, goal := s.c, s.goal()
	type aspect struct {
		span
		plain, middle      float64 // the least of them
		looks, looksMiddle float64
		lines              lineTerms
		passed             bool
	}
	atBest := s.best.Score.LinesMean + s.best.Score.LinesWorst
	groups := make([]aspect, 0, len(results))
	of := make([]int, len(results))
	index := make(map[span]int, len(results))
	for i := range results {
		r := &results[i]
		if r.impossible {
			continue
		}
		key := c.asSeen(r.node.span)
		g, known := index[key]
		if !known {
			g = len(groups)
			index[key] = g
			groups = append(groups, aspect{span: key, plain: r.plain, middle: r.node.middle, passed: r.node.passed})
		}
		of[i] = g
		groups[g].lines.least = max(groups[g].lines.least, r.node.lines)
		groups[g].plain, groups[g].middle = min(groups[g].plain, r.plain), min(groups[g].middle, r.node.middle)
	}
	s.each(len(groups), func(b *scratch, i int) {
		g := &groups[i]
		// As a range gets smaller, its bound comes nearer to what is in its middle:
		// half the way from range to half, about. Lest that be hoped in vain
		// for ever, lines that were passed over once are looked at the next time.
		before := g.lines.least
		if g.lines.hoped = math.Inf(1); !g.passed && s.record == nil {
			g.lines.hoped = 1.2 * (before + atBest) / 2
		}
		g.looks = c.looksOnly(b, g.span, g.plain, s.enough(goal), &g.lines)
		g.passed = !g.passed && g.lines.least == before
		if g.plain+g.looks < goal {
			g.looksMiddle = c.looksOnly(b, g.span.middlemost(), g.middle, s.worthwhile(), nil)
		}
	})
	var tempting []int
	for i := range results {
		r := &results[i]
		if r.impossible {
			continue
		}
		g := &groups[of[i]]
		bound := r.plain + g.looks
		r.node.bound = max(r.node.bound, bound-outward*(1+bound))
		r.node.middle += g.looksMiddle
		r.node.lines, r.node.passed = g.lines.least, g.passed
		r.node.tempting = r.node.bound < goal && r.node.middle < s.worthwhile()
		if r.node.tempting {
			tempting = append(tempting, i)
		}
	}
	s.each(len(tempting), func(_ *scratch, i int) {
		r := &results[tempting[i]]
		if p := c.Settle(c.at(r.node.span)); c.Allowed(p) {
			if sc := c.Score(p); sc.Total < s.worthwhile() {
				r.centre = &Found{p, sc}
			}
		}
	})
}

// middlemost is the range that is just the middle of s.
func (s span) middlemost() span {
	m := span{face: s.face, x: s.x, y: s.y, a: s.a}
	if s.tilt != nil {
		m.tilt = &leaning{pitch: s.tilt.pitch, roll: s.tilt.roll}
	}
	return m
}

// middleX is the range with x fixed in its middle.
func (s span) middleX() span {
	s.hx = 0
	return s
}

// roots covers all placements that a body inside the slab's bounds can have.
func (s *search) roots() []node {
	c := s.c
	box := c.outline.Bounds()
	from, to := -math.Pi, math.Pi
	if r := c.Wish.Angles; r != nil {
		from, to = r[0], r[1]
	}
	faces := c.Wish.Faces
	if len(faces) == 0 {
		faces = []Face{Top, Bottom}
	}
	parts := max(1, int(math.Ceil((to-from)/(math.Pi/16))))
	var out []node
	for _, f := range faces {
		for i := range parts {
			h := (to - from) / float64(parts) / 2
			m := box.Centre()
			sp := span{face: f, x: m.X, y: m.Y, a: from + h*float64(2*i+1), hx: box.Width() / 2, hy: box.Height() / 2, ha: h}
			out = append(out, node{span: sp, bound: 0})
		}
	}
	return out
}

// size is how far the farthest point of the body can be from where the middle
// of the range puts it.
func (n node) size(c *Case) float64 {
	_, any := n.flattened().moves(c.radius)
	return any
}

// cutRange halves a range. Where the middle would be better than the best so
// far, only the limits can have spoken against it, and the side that moves the
// body most is halved. Elsewhere the bound is too loose, and the side that
// loosens it most is: how much comes from x is measured by taking the bound
// again for x fixed, as bluntly, as along the strips nothing changes for most of
// the slab.
func (c *Case) cutRange(b *scratch, n node, enough float64) []node {
	x, y, a := n.hx, n.hy, n.ha*c.radius
	switch {
	case n.lean().any > max(y, a) && x > max(y, a):
		// How the body may be tilted is open, as it lies anywhere along x.
		y, a = 0, 0
	case n.tempting:
		// Is it x that leaves the limits in doubt? Not if they still are with
		// x fixed.
		if possible, _ := c.possible(n.middleX()); possible && max(y, a) > finest/2 {
			x = 0
		}
	case max(y, a) < finest/10: // the bound cannot get tighter by these
		y, a = 0, 0
	default:
		byX := 0.0
		if c.alongTells() {
			byX = c.lowerTo(b, n.middleX(), enough) - n.bound
		}
		if byX < (n.middle-n.bound)/2 {
			x = 0
		} else {
			y, a = 0, 0
		}
	}
	n.level++
	n.may = false
	return n.halves(longest(x, y, a))
}

// halves cuts a range across one of its sides.
func (n node) halves(way side) []node {
	l, r := n, n
	l.span, r.span = n.halved(way)
	return []node{l, r}
}

// possible tells whether some placement in the range may be allowed (true when
// it cannot tell), and whether all are clear in plan of the slab's edge and
// the deep obstacles.
func (c *Case) possible(s span) (possible, clear bool) {
	s, lies := c.lie(s)
	if !lies {
		return false, false
	}
	return c.possibleLying(s)
}

// possibleLying is possible for a range of which lie has told how the body lies
// there.
func (c *Case) possibleLying(s span) (possible, clear bool) {
	p := c.at(s)
	m := p.Frame().flat(0)
	need := c.asks()
	pivot := c.pivot()
	_, widest := s.moves(c.radius)

	x0, x1 := c.xRange(m)
	if !c.mayClear(m, s, need) || !c.mayReach(m, s, x0, x1) {
		return false, false
	}
	// Hollows that surely lie in the body.
	for _, i := range c.deepNear(m, c.radius) {
		q := m.into(c.middles[i])
		if !c.box.Has(q) || c.shape.atMost(q) <= 0 {
			continue
		}
		_, any := s.moves(q.Distance(pivot))
		if c.shape.atMost(q) > any-need.hollow && c.shape.depth(q) > any-need.hollow {
			return false, false
		}
	}
	clear = widest < 50 && c.allClear(m, s, need) && !c.mayHold(m, s)
	return c.mayBesides(s, p), clear
}

// mayBesides tells whether some placement in the range, whose middle is p, may keep
// what is asked besides room: the way to glue lines, and the musts.
func (c *Case) mayBesides(s span, p Placement) bool {
	m := p.Frame().flat(0)
	for _, spot := range c.Body.KeepFromGlue {
		if c.glueAtMost(m.apply(spot.At), s, spot.At)-spot.Radius < c.Need.GlueLine {
			return false
		}
	}
	return c.mayKeepMusts(s, p)
}

// lack is how many mm a settled placement fails by, roughly, at some corners
// of its outline and in its thickness; ≤ 0 when no failure was seen.
func (c *Case) lack(p Placement) float64 {
	m := p.Frame().flat(0)
	worst := c.lackInPlan(p)
	if !p.Level() { // as Settle lays it only where it finds the wood
		return worst
	}
	lo, hi := c.xRange(m)
	top, bottom, _, _ := c.Slab.HeightRange(lo, hi)
	thin := c.Body.Thickness + 2*c.Need.Flatten - (top - bottom)
	if c.carved() {
		lo, hi = c.levelRange(p)
		thin = lo - hi
	}
	if c.slopes && thin > 0 {
		// A tilt may still help where the slab itself is thick enough.
		low, high := c.facesAt(m.apply(c.pivot()))
		thin = min(thin, max(c.Body.Thickness+2*c.Need.Flatten-(high-low), thin/16))
	}
	return max(worst, thin)
}

// lackInPlan is how many mm of room are missing, at some corners of the outline.
func (c *Case) lackInPlan(p Placement) float64 {
	m := p.Frame().flat(0)
	worst := math.Inf(-1)
	for i := 0; i < len(c.front); i += max(1, len(c.front)/160) {
		worst = max(worst, c.lacksAt(m.apply(c.front[i])))
	}
	return worst
}

// mayReach tells whether the slab is broad enough for the body anywhere along
// the range of x: every corner must find an outline that goes far enough to
// either side within its reach.
func (c *Case) mayReach(m flat, s span, x0, x1 float64) bool {
	need := c.asks().edge
	beyond := max(0, -need) // a corner may lie so far out of the slab
	_, widest := s.moves(c.radius)
	// Most ranges keep to the breadth that the slab has all along them, and
	// nothing need be looked up corner by corner. Beyond its ends nothing fits.
	sure := c.breadth.least(max(c.extent.Min.X, x0-widest), min(c.extent.Max.X, x1+widest)) - need
	low, high := c.reaches.over(m.u.Y, m.v.Y)
	if low, high = m.o.Y+low, m.o.Y+high; low >= -sure && high <= sure {
		return true
	}
	// Many others go beyond the slab wherever it is broadest.
	most := s.hy + c.radius*s.ha + s.lean().across
	right, left := c.breadth.over(x0-widest-beyond, x1+widest+beyond)
	if low+most < right+need || high-most > left-need {
		return false
	}
	for _, q := range c.hull {
		at := m.apply(q)
		dx := math.Abs(at.X - s.x)
		if math.Abs(at.Y) <= sure {
			continue
		}
		r := q.Distance(c.pivot())
		_, any := s.moves(r)
		// As for a chunk: what is abreast of the pivot hardly moves across.
		across := s.hy + min(r*s.ha, dx*s.ha+r*s.ha*s.ha/2) + s.lean().across
		lo, hi := c.breadth.over(at.X-any-beyond, at.X+any+beyond)
		if at.Y+across < lo+need || at.Y-across > hi-need {
			return false
		}
	}
	return true
}

// mayHold tells whether a deep obstacle may lie whole in the body somewhere in
// the range.
func (c *Case) mayHold(m flat, s span) bool {
	for _, i := range c.deepNear(m, c.radius*1.5) {
		q := m.into(c.middles[i])
		d := q.Distance(c.pivot())
		_, any := s.moves(d)
		if c.shape.depth(q) > -any {
			return true
		}
	}
	return false
}

// mayBeThick tells whether a level body may find the thickness it needs in a
// range, where it goes up to off from where the middle puts it, from lo to hi
// along the slab: for flat faces, the part of the slab that it covers in every
// such position must do, and where its corners may lie over the rounding of an
// edge, what that leaves.
func (c *Case) mayBeThick(s span, lo, hi, off float64) bool {
	if off > c.radius {
		return true
	}
	if c.carved() {
		room, _, _ := c.roomLevel(s, c.at(s).Frame().flat(0))
		return room >= c.Body.Thickness+2*c.Need.Flatten-outward
	}
	lo, hi = lo+off, hi-off
	if lo >= hi {
		return true
	}
	top, bottom, _, _ := c.Slab.HeightRange(lo, hi)
	need := c.Body.Thickness + 2*c.Need.Flatten
	e := c.Slab.Edge.Covering()
	if r := max(e.TopRadius, e.BottomRadius); c.rim != nil && off < r && top-bottom >= need {
		c.hoops.near(c.rim, c.at(s).Frame().flat(0), r, func(q geom.Point) {
			most := func(face *surface, sign float64) float64 {
				z, m := face.within(q.X)
				return sign*z + math.Abs(m)*off + face.bend*off*off/2 - c.roundedBy(c.edgeRadius(face), q, 0, c.radius, &s)
			}
			top, bottom = min(top, most(c.top, 1)), max(bottom, -most(c.bottom, -1))
		})
	}
	return top-bottom >= need-outward
}

func (c *Case) mayKeepMusts(s span, p Placement) bool {
	if c.mustsAtMost(s, p) < 0 {
		return false
	}
	w := c.Wish.Grain
	return w == nil || !w.Must || near(w, grain(s.a))-s.ha <= w.Tolerance
}

// bound is what is proved of every allowed placement.
func (s *search) bound() float64 {
	b := s.dropped
	for _, n := range s.open {
		b = min(b, n.bound)
		if s.best != nil {
			break // they are in order
		}
	}
	if s.best != nil {
		b = math.Min(b, s.best.Score.Total)
	}
	return b
}

// seed tries a coarse lattice of placements first and polishes the best, so
// that the search can drop most ranges at once. Once ctx has ended it polishes one
// alone, so that there is something to show.
func (s *search) seed(ctx context.Context) {
	c := s.c
	box := c.outline.Bounds()
	faces := c.Wish.Faces
	if len(faces) == 0 {
		faces = []Face{Top, Bottom}
	}
	angles := []float64{0, math.Pi, math.Pi / 2, -math.Pi / 2}
	if w := c.Wish.Grain; w != nil {
		for _, a := range []float64{w.Value, -w.Value, math.Pi - w.Value, w.Value - math.Pi} {
			if !slices.ContainsFunc(angles, func(b float64) bool { return math.Abs(math.Remainder(a-b, 2*math.Pi)) < 1e-9 }) {
				angles = append(angles, a)
			}
		}
	}
	if r := c.Wish.Angles; r != nil {
		angles = slices.DeleteFunc(angles, func(a float64) bool { return !withinAngles(r, a) })
		for i := range 9 {
			angles = append(angles, r[0]+(r[1]-r[0])*float64(i)/8)
		}
	}
	const nx, ny = 20, 16
	var lattice []span
	for _, f := range faces {
		for _, a := range angles {
			for i := range nx {
				for j := range ny {
					lattice = append(lattice, span{face: f, a: a,
						x: box.Min.X + box.Width()*(float64(i)+0.5)/nx,
						y: box.Min.Y + box.Height()*(float64(j)+0.5)/ny})
				}
			}
		}
	}
	may := make([]bool, len(lattice))
	s.each(len(lattice), func(_ *scratch, i int) { may[i], _ = c.possible(lattice[i]) })
	type try struct {
		span
		score float64
	}
	var tries []try
	for k := 0; k < len(lattice); k += nx * ny { // of one face and angle
		for _, sp := range s.between(lattice[k:k+nx*ny], may[k:k+nx*ny], box.Height()/ny) {
			tries = append(tries, try{span: sp})
		}
	}
	rank := func(tries []try, score func(*scratch, span) float64) {
		s.each(len(tries), func(b *scratch, i int) { tries[i].score = score(b, tries[i].span) })
		slices.SortStableFunc(tries, func(a, b try) int { return cmp.Compare(a.score, b.score) })
		s.evaluated += len(tries)
	}
	// Ever fewer are looked at ever more closely. Along the slab the score is
	// often the same: such places start one walk.
	const closely, starts = 64, 4
	if !c.changesAlong {
		rank(tries, func(_ *scratch, sp span) float64 { return c.inkling(sp) })
		tries = tries[:min(len(tries), closely)]
	}
	rank(tries, func(b *scratch, sp span) float64 { return c.lower(b, sp) })
	var from []span
	for i, t := range tries {
		if len(from) < starts && (i == 0 || t.score > tries[i-1].score+1e-9) {
			from = append(from, t.span)
		}
	}
	got := make([]*Found, len(from))
	s.each(len(from), func(b *scratch, i int) {
		if i == 0 || ctx.Err() == nil {
			got[i] = c.polish(inTurn(b), from[i], 8, math.Pi/90, barely)
		}
	})
	for _, f := range got {
		if f != nil {
			s.found(*f)
		}
	}
	if s.best != nil {
		if f := c.polish(s.each, c.over(s.best.Placement), fineMM*barely/2, fineAngle*barely/2, roughly); f != nil {
			s.found(*f)
		}
		return
	}
	// Nothing allowed on the lattice: walk to where the limits fail least from
	// the places where they fail little.
	lacks := make([]float64, len(lattice))
	s.each(len(lattice), func(_ *scratch, i int) { lacks[i] = c.lack(c.at(lattice[i])) })
	order := make([]int, len(lattice))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(lacks[a], lacks[b]) })
	const walks = 24
	ends := make([]span, min(walks, len(order)))
	s.each(len(ends), func(_ *scratch, i int) { ends[i] = c.leastLack(lattice[order[i]], 8, math.Pi/90) })
	for _, at := range ends {
		if p := c.Settle(c.at(at)); c.Allowed(p) && c.angleOK(at.a) {
			s.found(Found{p, c.Score(p)})
		}
	}
}

// between gives the places of a lattice that are possible. Where the score does
// not change along the slab, they are the places across it, closely spaced as
// the strips are narrow, each as far along as the nearest possible place.
func (s *search) between(lattice []span, may []bool, pitch float64) []span {
	c := s.c
	var out []span
	for i, sp := range lattice {
		if may[i] {
			out = append(out, sp)
		}
	}
	if c.alongTells() || len(out) == 0 {
		return out
	}
	at := slices.Clone(out)
	slices.SortStableFunc(at, func(a, b span) int { return cmp.Compare(a.y, b.y) })
	step := max(min(pitch, c.Slab.Width()/float64(len(c.Slab.Strips))/8), pitch/64)
	low, high := at[0].y-pitch/2, at[len(at)-1].y+pitch/2
	out = out[:0]
	for k, y := 0, low; y <= high; y += step {
		for k+1 < len(at) && math.Abs(at[k+1].y-y) <= math.Abs(at[k].y-y) {
			k++
		}
		sp := at[k]
		sp.y = y
		out = append(out, sp)
	}
	return out
}

// alongTells tells whether the score depends on where along the slab the body
// lies.
func (c *Case) alongTells() bool {
	return c.changesAlong || c.Wish.NearX != nil || len(c.Wish.Through) > 0
}

// leastLack walks downhill in what the limits lack.
func (c *Case) leastLack(at span, step, turn float64) span {
	v := c.lack(c.at(at))
	downhill(step, turn, 0.1, func(dx, dy, da float64) bool {
		q := at
		q.x, q.y, q.a = at.x+dx, at.y+dy, at.a+da
		w := c.lack(c.at(q))
		if w >= v-1e-9 {
			return false
		}
		at, v = q, w
		return true
	})
	return at
}

// downhill tries ever shorter steps in x, y, the angle and mixtures of them, as
// long as one is taken, down to a share of the promised fineness.
func downhill(step, turn, share float64, try func(dx, dy, da float64) bool) {
	for step > fineMM*share || turn > fineAngle*share {
		better := false
		for dx := -1.0; dx <= 1; dx++ {
			for dy := -1.0; dy <= 1; dy++ {
				for da := -1.0; da <= 1; da++ {
					better = try(dx*step, dy*step, da*turn) || better
				}
			}
		}
		if !better {
			step, turn = step/2, turn/2
		}
	}
}

func withinAngles(r *[2]float64, a float64) bool {
	a -= 2 * math.Pi * math.Floor((a-r[0])/(2*math.Pi))
	return a <= r[1]
}

// polish walks downhill from a range's middle by ever shorter steps in x, y,
// the angle and mixtures of them, each time to the best of its neighbours, down
// to a share of the promised fineness. It returns nil when it meets nothing
// allowed. The neighbours are looked at by each.
func (c *Case) polish(each func(int, func(*scratch, int)), from span, step, turn, share float64) *Found {
	// The score is cheaper than the limits, and most steps go uphill.
	value := func(b *scratch, s span, below float64) (v float64, uphill bool) {
		switch {
		case !c.angleOK(s.a) || !c.below(b, s, below):
			return math.Inf(1), true
		case !c.Allowed(c.Settle(c.at(s))):
			return math.Inf(1), false
		}
		return c.lower(b, s), false
	}
	at, v := from.middlemost(), math.Inf(1)
	each(1, func(b *scratch, _ int) { v, _ = value(b, at, v) })
	alongTells := c.alongTells()
	type neighbour struct {
		span
		value   float64
		pressed bool
	}
	var near [9]neighbour
	pressed := false // something better is near, but not allowed
	for step > fineMM*share || turn > fineAngle*share {
		each(len(near), func(b *scratch, i int) {
			n := &near[i]
			n.value, n.pressed = v-1e-12, false
			for _, dx := range [...]float64{0, -1, 1} {
				q := at
				q.x, q.y, q.a = at.x+dx*step, at.y+float64(i/3-1)*step, at.a+float64(i%3-1)*turn
				w, uphill := value(b, q, n.value)
				n.pressed = n.pressed || !uphill && math.IsInf(w, 1)
				if w < n.value {
					n.span, n.value = q, w
					uphill = true // as far as going along the slab might better it
				}
				if uphill && !alongTells {
					break
				}
			}
		})
		better := false
		pressed = false
		for _, n := range near {
			pressed = pressed || n.pressed
			if n.value < v-1e-12 {
				at, v, better = n.span, n.value, true
			}
		}
		if !better {
			step, turn = step/2, turn/2
		}
	}
	if math.IsInf(v, 1) {
		return nil
	}
	if pressed && share <= 1 {
		each(1, func(b *scratch, _ int) { at, v = c.slide(b, at, v) })
	}
	p := c.Settle(c.at(at))
	return &Found{p, c.Score(p)}
}

// inTurn calls f(0..n−1) in turn.
func inTurn(b *scratch) func(n int, f func(*scratch, int)) {
	return func(n int, f func(*scratch, int)) {
		for i := range n {
			f(b, i)
		}
	}
}

func (c *Case) angleOK(a float64) bool { return c.Wish.Angles == nil || withinAngles(c.Wish.Angles, a) }

func (s *search) result(ctx context.Context) Result {
	var why *Infeasible
	if s.best == nil {
		why = s.infeasible(ctx)
	}
	if s.best != nil {
		if f := s.c.polish(s.each, s.c.over(s.best.Placement), fineMM, fineAngle, roughly); f != nil {
			s.found(*f)
		}
	}
	r := Result{Best: s.best, Infeasible: why, Evaluated: s.evaluated, Stopped: s.stopped, Bound: s.bound()}
	if s.best != nil {
		// Of what scores no more than the gap asked for allows, the roomiest.
		most := math.Nextafter(max(s.best.Score.Total, r.Bound+gapShare*max(1, math.Abs(s.best.Score.Total))), math.Inf(1))
		best, flat := s.roomiest(*s.best, most)
		r.Flat = &flat
		best = s.laidBest(best, r.Bound, most)
		best.Placement.Angle = math.Remainder(best.Placement.Angle, 2*math.Pi)
		r.Best = &best
		r.Gap = best.Score.Total - r.Bound
		r.Alternatives = s.alternatives()
	}
	r.tree = s.tree()
	r.Elapsed = time.Since(s.begun)
	return r
}

// laidBest is a tilted placement in the best plane of its own place, instead of
// its plot's, if it scores no less than the bound so and no more than most.
func (s *search) laidBest(best Found, bound, most float64) Found {
	q := s.c.Lay(best.Placement)
	if q == best.Placement || !s.c.passes(q) {
		return best
	}
	if f := (Found{q, s.c.Score(q)}); f.Score.Total >= bound && f.Score.Total < most {
		return f
	}
	return best
}

// alternatives are the best placements that differ from each other and from
// the best by more than a glance: 10 mm, 3 degrees, or the face.
func (s *search) alternatives() []Found {
	better := func(a, b Found) int { return cmp.Compare(a.Score.Total, b.Score.Total) }
	slices.SortStableFunc(s.others, better)
	var out []Found
	kept := []Found{*s.best}
	for _, f := range s.others {
		if len(out) >= s.o.Alternatives {
			break
		}
		isKept := func(k Found) bool { return alike(k.Placement, f.Placement) }
		if slices.ContainsFunc(kept, isKept) {
			continue
		}
		before := kept
		kept = append(kept, f)
		if p := s.c.polish(s.each, s.c.over(f.Placement), fineMM*barely/2, fineAngle*barely/2, 1); p != nil {
			if f = *p; slices.ContainsFunc(before, isKept) {
				continue // it was on its way there
			}
		}
		out = append(out, f)
	}
	for i := range out {
		out[i].Placement.Angle = math.Remainder(out[i].Placement.Angle, 2*math.Pi)
	}
	slices.SortStableFunc(out, better)
	return out
}

func alike(a, b Placement) bool {
	return a.Face == b.Face && math.Hypot(a.X-b.X, a.Y-b.Y) < 10 &&
		math.Abs(math.Remainder(a.Angle-b.Angle, 2*math.Pi)) < 3*math.Pi/180
}
