package place

import (
	"cmp"
	"container/heap"
	"context"
	"math"
	"slices"
	"time"
)

// pairing is a branch and bound over the joint placements of two pieces.
//
// Each piece's placements are kept in bays: boxes of them, cut in two as often
// as needed, each with the ranges that cover what is of interest in it. A pair
// is a bay of the one and a bay of the other; nothing in it scores less than
// the two bays' bounds together. Pairs are looked at in the order of that sum:
//
//   - where it is proved that the two bodies come too near to each other
//     anywhere in the pair, it goes;
//   - where a bay's bound is far below what was found in it, its ranges are cut
//     on, once for all the pairs that it is in;
//   - where both bounds are sharp and what was found in the bays stands apart,
//     that is a joint placement, and no other in the pair is better by more
//     than the gap;
//   - else one of the bays is cut in two, in the way that leaves most doubt whether
//     the bodies crowd each other.
//
// So the score is bounded for each piece by itself, and only where the pieces
// crowd each other are their places told apart.
type pairing struct {
	crowd
	o     Options
	begun time.Time
	desks [2][]scratch
	room  [][2][]spot // one a worker

	floor [2]float64 // no allowed placement of the piece scores less
	best  [2]Found
	score float64 // of both; +Inf while no joint placement is known

	open       pairs
	queued     int
	dropped    float64 // least bound of the pairs and ranges dropped for their score
	unresolved int     // pairs too fine to cut, or given up
	evaluated  int
	stopped    Stopped
}

const (
	bayCuts     = 64      // ranges of a bay cut at once
	bayTries    = 12      // how often that is done before the bay itself is cut
	pairsMost   = 1 << 20 // kept
	pairsBlind  = 1 << 22 // made as long as no joint placement is known
	pushesEvery = 8       // rounds from one try to push two bodies apart to the next
)

// bay is a part of the placements of a piece, all of one face.
type bay struct {
	piece  int
	ranges []node // they hold all that is of interest in the bay
	bound  float64
	guess  *span  // a placement worth a look before any other
	found  *Found // the best one known
	tries  int
	halves []*bay // once it was cut; a half with nothing in it is left out
}

type pair struct {
	a, b  *bay
	bound float64
	turn  int    // pairs of the same bound are looked at in the order in which they came
	discs [2]int // of the two bodies, that told most of the pair before
}

type pairs []pair

func (p pairs) Len() int      { return len(p) }
func (p pairs) Swap(i, j int) { p[i], p[j] = p[j], p[i] }
func (p pairs) Less(i, j int) bool {
	if p[i].bound != p[j].bound {
		return p[i].bound < p[j].bound
	}
	return p[i].turn < p[j].turn
}
func (p *pairs) Push(x any) { *p = append(*p, x.(pair)) }
func (p *pairs) Pop() any {
	n := len(*p) - 1
	x := (*p)[n]
	*p = (*p)[:n]
	return x
}

// newPairing begins with what a search for each piece alone proved. Where both
// are the same, they share their bays.
func newPairing(cases [2]*Case, alone [2]Result, same bool, o Options) *pairing {
	s := &pairing{crowd: newCrowd(cases[0], cases[1]), o: o, begun: time.Now(), score: math.Inf(1), dropped: math.Inf(1)}
	s.room = make([][2][]spot, o.workers())
	var bays [2][]*bay
	for i, c := range cases {
		s.floor[i] = alone[i].Bound
		looks := new(glimpses)
		s.desks[i] = make([]scratch, o.workers())
		for k := range s.desks[i] {
			s.desks[i][k].looks = looks
		}
		if i == 1 && same {
			s.desks[1], bays[1] = s.desks[0], bays[0]
			break
		}
		bays[i] = c.bays(i, alone[i])
	}
	for k, a := range bays[0] {
		for j, b := range bays[1] {
			if !same || j >= k {
				s.push(a, b, pair{})
			}
		}
	}
	return s
}

// bays are all placements of a piece that a search left, one bay a face.
func (c *Case) bays(piece int, r Result) []*bay {
	ranges := (&search{c: c}).roots()
	if r.tree != nil {
		ranges = r.tree.scored
	}
	var out []*bay
	for _, f := range []Face{Top, Bottom} {
		b := &bay{piece: piece}
		for _, n := range ranges {
			if n.face != f {
				continue
			}
			n.trail, n.middle, n.bound = nil, math.NaN(), max(n.bound, r.Bound)
			// Nothing has been asked yet of ranges that were never cut, not even
			// how a body may be tilted there.
			possible := true
			if n.level == 0 {
				n, possible = c.mayLie(n)
			}
			if possible {
				b.ranges = append(b.ranges, n)
			}
		}
		if b.ranges == nil {
			continue
		}
		b.settleBound()
		if r.Best.Placement.Face == f {
			b.found = r.Best
		}
		out = append(out, b)
	}
	return out
}

func (b *bay) settleBound() {
	slices.SortStableFunc(b.ranges, func(m, n node) int { return cmp.Compare(m.bound, n.bound) })
	if b.bound = math.Inf(1); len(b.ranges) > 0 {
		b.bound = b.ranges[0].bound
	}
}

// stand is where the body stands in the ranges of a bay with a bound below
// limit, or in the first of all, and the least bound of the others.
func (s *pairing) stand(b *bay, limit float64) (out stand, beyond float64) {
	lo, hi := [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}, [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	beyond = math.Inf(1)
	for i, n := range b.ranges {
		if i > 0 && n.bound >= limit {
			beyond = n.bound
			break
		}
		for k, r := range n.sides() {
			lo[k], hi[k] = min(lo[k], r[0]), max(hi[k], r[1])
		}
		out.lean = max(out.lean, s.cases[b.piece].leans(n.span))
	}
	out.span = span{face: b.ranges[0].face}
	for k, mid := range []*float64{&out.x, &out.y, &out.a} {
		*mid = (lo[k] + hi[k]) / 2
	}
	for k, half := range []*float64{&out.hx, &out.hy, &out.ha} {
		*half = (hi[k] - lo[k]) / 2
	}
	return out, beyond
}

// sides are the least and the greatest x, y and angle of a range.
func (s span) sides() [3][2]float64 {
	return [3][2]float64{{s.x - s.hx, s.x + s.hx}, {s.y - s.hy, s.y + s.hy}, {s.a - s.ha, s.a + s.ha}}
}

// clamp is the placement of the range, of no size, that is nearest to q.
func (s span) clamp(q span) span {
	out := span{face: s.face}
	turns := math.Round((s.a - q.a) / (2 * math.Pi))
	out.x = max(s.x-s.hx, min(s.x+s.hx, q.x))
	out.y = max(s.y-s.hy, min(s.y+s.hy, q.y))
	out.a = max(s.a-s.ha, min(s.a+s.ha, q.a+2*math.Pi*turns))
	return out
}

// goal is the bound from which on a pair is of no interest.
func (s *pairing) goal() float64 { return s.score - s.gap() }

// gap is the gap asked for.
func (s *pairing) gap() float64 {
	if math.IsInf(s.score, 1) {
		return gapShare * math.Max(1, math.Abs(s.floor[0]+s.floor[1]))
	}
	return gapShare * math.Max(1, math.Abs(s.score))
}

// limit is the bound from which on a range of a piece is of no interest,
// whatever the other does.
func (s *pairing) limit(piece int) float64 { return s.goal() - s.floor[1-piece] }

// push puts a pair of bays, cut from p or looked at again, among the open ones.
func (s *pairing) push(a, b *bay, p pair) {
	p.a, p.b = a, b
	if p.bound = max(p.bound, a.bound+b.bound); p.bound >= s.goal() {
		s.drop(p.bound)
		return
	}
	s.queued++
	p.turn = s.queued
	heap.Push(&s.open, p)
}

func (s *pairing) drop(bound float64) { s.dropped = min(s.dropped, bound) }

// bound is what is proved of all joint placements.
func (s *pairing) bound() float64 {
	b := min(s.dropped, s.score)
	if len(s.open) > 0 {
		b = min(b, s.open[0].bound)
	}
	return b
}

// none tells whether it is proved that there is no joint placement.
func (s *pairing) none() bool {
	return math.IsInf(s.score, 1) && s.stopped == ToTheEnd && s.unresolved == 0
}

// offer is a joint placement to better the best.
func (s *pairing) offer(a, b Found) {
	if t := a.Score.Total + b.Score.Total; t < s.score {
		s.best, s.score = [2]Found{a, b}, t
	}
}

func (s *pairing) run(ctx context.Context) {
	for rounds := 0; len(s.open) > 0 && s.open[0].bound < s.goal(); rounds++ {
		switch {
		case ctx.Err() != nil:
			s.stopped = ByHand
			return
		case s.o.Limit > 0 && time.Since(s.begun) > s.o.Limit:
			s.stopped = ByTime
			return
		case s.o.pairs > 0 && s.queued > s.o.pairs, math.IsInf(s.score, 1) && s.queued > pairsBlind:
			s.unresolved++
			return
		case len(s.open) > pairsMost:
			s.shed()
		}
		s.round(rounds%pushesEvery == 0)
		if s.o.Progress != nil {
			p := Progress{Doing: "both together", Bound: s.bound(), Evaluated: s.evaluated}
			if !math.IsInf(s.score, 1) {
				p.Best = &Found{Placement: s.best[0].Placement, Score: Score{Total: s.score}}
			}
			s.o.Progress(p)
		}
	}
}

// shed gives up the half of the pairs that is of least promise.
func (s *pairing) shed() {
	slices.SortFunc(s.open, func(p, q pair) int {
		return cmp.Or(cmp.Compare(p.bound, q.bound), cmp.Compare(p.turn, q.turn))
	})
	half := len(s.open) / 2
	s.unresolved += len(s.open) - half
	s.drop(s.open[half].bound)
	clear(s.open[half:])
	s.open = s.open[:half]
}

// round looks at the pairs of least bound.
func (s *pairing) round(pushes bool) {
	var batch []pair
	for len(batch) < round && len(s.open) > 0 && s.open[0].bound < s.goal() {
		p := heap.Pop(&s.open).(pair)
		if p.bound = max(p.bound, p.a.bound+p.b.bound); p.bound >= s.goal() {
			s.drop(p.bound)
		} else if p.a.halves != nil || p.b.halves != nil {
			s.descend(p)
		} else {
			batch = append(batch, p)
		}
	}
	free := make([]float64, len(batch))
	stands := make([][2]stand, len(batch))
	beyond := make([]float64, len(batch)) // the least bound of what is not looked at
	s.each(len(batch), func(worker, i int) {
		p := batch[i]
		a, overA := s.stand(p.a, s.goal()-p.b.bound)
		b, overB := s.stand(p.b, s.goal()-p.a.bound)
		stands[i] = [2]stand{a, b}
		if free[i] = s.between(stands[i], p.discs); free[i] >= s.need {
			free[i], _ = s.closest(stands[i], s.need, &s.room[worker])
		}
		beyond[i] = min(overA+p.b.bound, overB+p.a.bound)
	})
	s.evaluated += len(batch)
	var loose []*bay
	for i, p := range batch {
		if free[i] < s.need-outward {
			s.drop(beyond[i])
			continue
		}
		again := p.a.halves != nil || p.b.halves != nil // by a pair before, in this round
		for _, b := range []*bay{p.a, p.b} {
			if b.halves == nil && !s.sharp(b) {
				again = true
				if !slices.Contains(loose, b) {
					loose = append(loose, b)
				}
			}
		}
		if !again && p.a.found != nil && p.b.found != nil {
			s.join(*p.a.found, *p.b.found, &pushes)
		}
		if again || p.bound >= s.goal() {
			s.push(p.a, p.b, p)
		} else {
			s.cut(p, stands[i])
		}
	}
	looked := make([]int, len(loose))
	s.each(len(loose), func(w, i int) { looked[i] = s.sharpen(w, loose[i]) })
	for _, n := range looked {
		s.evaluated += n
	}
}

// each calls f(worker, 0..n−1) on the workers.
func (s *pairing) each(n int, f func(worker, i int)) { share(len(s.desks[0]), n, f) }

// sharp tells whether nothing is to be gained by cutting the ranges of a bay.
// As long as no joint placement is known all that counts is where bodies may lie.
func (s *pairing) sharp(b *bay) bool {
	return b.guess == nil && (math.IsInf(s.score, 1) || b.tries >= bayTries || b.bound >= s.limit(b.piece) ||
		b.found != nil && b.found.Score.Total-b.bound <= s.gap()/4)
}

// descend puts the pairs of a cut bay's halves in the place of a pair.
func (s *pairing) descend(p pair) {
	switch {
	case p.a == p.b: // of two that are the same it does not matter which is where
		for i, h := range p.a.halves {
			for _, k := range p.a.halves[i:] {
				s.push(h, k, p)
			}
		}
	case p.a.halves != nil:
		for _, h := range p.a.halves {
			s.push(h, p.b, p)
		}
	default:
		for _, h := range p.b.halves {
			s.push(p.a, h, p)
		}
	}
}

// cut cuts a bay of a pair across the way that leaves most doubt whether the
// two bodies, at the discs named, come too near to each other.
func (s *pairing) cut(p pair, at [2]stand) {
	middles := at
	for i := range middles {
		m := &middles[i]
		m.hx, m.hy, m.ha = 0, 0, 0
	}
	_, p.discs = s.closest(middles, math.Inf(-1), &s.room[0])
	doubt := s.doubt(at, p.discs)
	piece, way, most := 0, 0, 0.0
	for i := range doubt {
		for k, d := range doubt[i] {
			if d > most {
				piece, way, most = i, k, d
			}
		}
	}
	if most < finest {
		s.unresolved++
		s.drop(p.bound)
		return
	}
	if piece == 0 {
		s.halve(p.a, way, at[0])
	} else {
		s.halve(p.b, way, at[1])
	}
	s.descend(p)
}

// halve cuts a bay across a way, x, y or the angle, in the middle of a stand.
func (s *pairing) halve(b *bay, way int, at stand) {
	c := s.cases[b.piece]
	limit := s.limit(b.piece)
	mid := [...]float64{at.x, at.y, at.a}[way]
	low, high := &bay{piece: b.piece}, &bay{piece: b.piece}
	for _, n := range b.ranges {
		if n.bound >= limit {
			s.drop(n.bound + s.floor[1-b.piece])
			continue
		}
		side := n.sides()[way]
		if side[1] <= mid {
			low.ranges = append(low.ranges, n)
			continue
		}
		if side[0] >= mid {
			high.ranges = append(high.ranges, n)
			continue
		}
		for _, h := range []struct {
			*bay
			from, to float64
		}{{low, side[0], mid}, {high, mid, side[1]}} {
			part := n
			at, half := (h.from+h.to)/2, (h.to-h.from)/2
			switch way {
			case 0:
				part.x, part.hx = at, half
			case 1:
				part.y, part.hy = at, half
			default:
				part.a, part.ha = at, half
			}
			part.may, part.middle = false, math.NaN()
			if part, possible := c.mayLie(part); possible {
				h.ranges = append(h.ranges, part)
			}
		}
	}
	b.halves = []*bay{}
	for _, h := range []*bay{low, high} {
		if h.settleBound(); h.ranges == nil {
			continue
		}
		b.halves = append(b.halves, h)
		if b.found == nil {
			continue
		}
		at := c.over(b.found.Placement)
		room, _ := s.stand(h, math.Inf(1))
		near := room.clamp(at)
		if math.Hypot(near.x-at.x, near.y-at.y) == 0 && math.Abs(math.Remainder(near.a-at.a, 2*math.Pi)) < 1e-12 {
			h.found = b.found
		} else {
			h.guess = &near
		}
	}
	b.ranges = nil
}

// mayLie asks what is not known of a range yet: how the body lies in it, and
// whether it may be allowed there.
func (c *Case) mayLie(n node) (node, bool) {
	if !n.sure {
		var lies bool
		if n.span, lies = c.lie(n.span); !lies {
			return n, false
		}
	}
	if !n.clear && !n.may {
		possible, clear := c.possibleLying(n.span)
		if n.clear = clear; !possible {
			return n, false
		}
	}
	return n, true
}

// sharpen cuts the ranges that hold the bound of a bay down, and looks for a
// good placement in it. It tells how many ranges it looked at.
func (s *pairing) sharpen(worker int, b *bay) (looked int) {
	if b.halves != nil {
		return 0 // cut since, as a better joint placement was found
	}
	c, desk, limit := s.cases[b.piece], &s.desks[b.piece][worker], s.limit(b.piece)
	hair := s.gap() / 8
	if b.guess != nil {
		at := *b.guess
		b.guess = nil
		looked++
		if p := c.Settle(c.at(at)); c.angleOK(at.a) && c.Allowed(p) {
			b.found = &Found{p, c.Score(p)}
			s.walk(desk, b, 0.5)
		}
	}
	if s.sharp(b) {
		return looked
	}
	b.tries++
	goal := limit // what is not below is of no use
	if b.found != nil {
		goal = min(goal, b.found.Score.Total-hair)
	}
	worth := goal
	kept := b.ranges[:0:0]
	cuts := 0
	better := false
	for _, n := range b.ranges {
		if n.bound >= goal || cuts >= bayCuts || n.size(c) < finest {
			kept = append(kept, n)
			continue
		}
		cuts++
		if math.IsNaN(n.middle) {
			n.middle = c.lowerTo(desk, n.middlemost(), worth)
			n.tempting = n.middle < worth
		}
		for _, h := range c.cutRange(desk, n, goal) {
			looked++
			h, possible := c.mayLie(h)
			if !possible {
				continue
			}
			if h.bound = max(h.bound, c.lowerTo(desk, h.span, goal)); h.bound < goal {
				h.middle = c.lowerTo(desk, h.middlemost(), worth)
				if h.tempting = h.middle < worth; h.tempting {
					if p := c.Settle(c.at(h.span)); c.Allowed(p) {
						if v := c.Score(p); v.Total < worth {
							b.found, worth, better = &Found{p, v}, v.Total, true
						}
					}
				}
			}
			kept = append(kept, h)
		}
	}
	if cuts == 0 {
		b.tries = bayTries
	}
	b.ranges = kept
	b.settleBound()
	if better && b.bound < limit {
		s.walk(desk, b, 4)
	}
	return looked
}

// walk betters what was found in a bay by ever shorter steps that do not leave it.
func (s *pairing) walk(desk *scratch, b *bay, step float64) {
	c := s.cases[b.piece]
	room, _ := s.stand(b, s.limit(b.piece))
	at, v := room.clamp(c.over(b.found.Placement)), b.found.Score.Total
	downhill(step, step/c.radius, finely, func(dx, dy, da float64) bool {
		q := at
		q.x, q.y, q.a = q.x+dx, q.y+dy, q.a+da
		if q = room.clamp(q); q == at || !c.angleOK(q.a) || !c.below(desk, q, v-1e-12) {
			return false
		}
		p := c.Settle(c.at(q))
		if !c.Allowed(p) {
			return false
		}
		f := Found{p, c.Score(p)}
		if f.Score.Total >= v {
			return false
		}
		at, v, b.found = q, f.Score.Total, &f
		return true
	})
}

// join looks whether what was found for each piece makes a joint placement,
// and, when asked to push, whether it does when they are pushed apart.
func (s *pairing) join(a, b Found, push *bool) {
	if a.Score.Total+b.Score.Total >= s.score {
		return
	}
	if apart(s.cases[0], a.Placement, s.cases[1], b.Placement, s.need) {
		s.offer(a, b)
	} else if *push {
		*push = false
		s.pushApart(a, b)
	}
}

// pushApart pushes two bodies that are too near to each other apart, the one,
// the other or both of them, and walks on from where that costs least.
func (s *pairing) pushApart(a, b Found) {
	from := [2]span{s.cases[0].over(a.Placement), s.cases[1].over(b.Placement)}
	moved := func(dx, dy, way, part float64) (at [2]span) {
		at = from
		at[0].x, at[0].y = at[0].x+dx*way*part, at[0].y+dy*way*part
		at[1].x, at[1].y = at[1].x-dx*way*(1-part), at[1].y-dy*way*(1-part)
		return at
	}
	apart := func(at [2]span) bool {
		return apart(s.cases[0], s.cases[0].at(at[0]), s.cases[1], s.cases[1].at(at[1]), s.need)
	}
	ways := [][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}}
	if dx, dy := from[0].x-from[1].x, from[0].y-from[1].y; math.Hypot(dx, dy) > 0 {
		ways = append(ways, [2]float64{dx / math.Hypot(dx, dy), dy / math.Hypot(dx, dy)})
	}
	var best [2]Found
	least := math.Inf(1)
	for _, d := range ways {
		for _, part := range []float64{0, 0.5, 1} {
			lo, hi := 0.0, 2*(s.cases[0].radius+s.cases[1].radius)+s.need
			for hi-lo > fineMM {
				if mid := (lo + hi) / 2; apart(moved(d[0], d[1], mid, part)) {
					hi = mid
				} else {
					lo = mid
				}
			}
			for k := range 16 { // just so far, or farther
				far := hi + float64(k)*s.cases[0].radius/4
				if f, ok := s.settled(moved(d[0], d[1], far, part)); ok && f[0].Score.Total+f[1].Score.Total < least {
					best, least = f, f[0].Score.Total+f[1].Score.Total
				}
			}
		}
	}
	if !math.IsInf(least, 1) {
		s.polish(best, 4)
	}
}

// settled are the placements of two bodies, false when they are not allowed.
func (s *pairing) settled(at [2]span) (f [2]Found, ok bool) {
	for i, c := range s.cases {
		// Most are out of the slab: no tilt need be sought for them.
		p := c.at(at[i])
		if !c.angleOK(at[i].a) || !c.clearInPlan(p.Frame().flat(0), c.asks()) {
			return f, false
		}
		if p = c.Settle(p); !c.Allowed(p) {
			return f, false
		}
		f[i].Placement = p
	}
	for i, c := range s.cases {
		f[i].Score = c.Score(f[i].Placement)
	}
	return f, apart(s.cases[0], f[0].Placement, s.cases[1], f[1].Placement, s.need)
}

// polish walks downhill from a joint placement, moving the one body, the other,
// or both alike, and offers where it comes to.
func (s *pairing) polish(from [2]Found, step float64) {
	at := [2]span{s.cases[0].over(from[0].Placement), s.cases[1].over(from[1].Placement)}
	v := from[0].Score.Total + from[1].Score.Total
	downhill(step, step/max(s.cases[0].radius, s.cases[1].radius), finely, func(dx, dy, da float64) bool {
		better := false
		for _, who := range [][]int{{0}, {1}, {0, 1}} {
			q, others := at, v
			for _, i := range who {
				q[i].x, q[i].y, q[i].a = q[i].x+dx, q[i].y+dy, q[i].a+da
				others -= from[i].Score.Total // in the end, of the one that stays
			}
			if len(who) == 1 && !s.cases[who[0]].below(&s.desks[who[0]][0], q[who[0]], v-1e-12-others) {
				continue
			}
			f, ok := s.settled(q)
			if t := f[0].Score.Total + f[1].Score.Total; ok && t < v-1e-12 {
				at, v, from, better = q, t, f, true
			}
		}
		return better
	})
	s.offer(from[0], from[1])
}
