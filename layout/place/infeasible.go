package place

import (
	"cmp"
	"container/heap"
	"context"
	"math"
	"slices"
	"time"

	"slabwright/body"
	"slabwright/body/geom"
)

// within is how sharply "nothing fits" is proved, in mm. patience is how many
// ranges are looked at before less is asked for, those where the body may have to be
// tilted counting as tilting many, unless their middle is known not to have the wood; so
// counted, and not by the clock, the answer is the same on every machine.
const (
	within   = 0.01
	patience = 20000
	tilting  = 10
)

// infeasible says what is proved of there being no placement, and which single
// limit would have to give by how much.
//
// The ranges that the search has dropped are looked at again, for a case whose
// needs are all smaller by within: dropped for the needs as they are, a range
// may still hold a placement that lacks a hair.
//
// Where the search has proved nothing, a placement met on the way may be allowed as it
// is: the search then has found it, and there is nothing to say. All ends when the
// search's own time is up.
func (s *search) infeasible(ctx context.Context) *Infeasible {
	out := &Infeasible{Body: s.c.failing()}
	roomy := s.o.Prefer == Room // such a search keeps no ranges
	out.Proved = !roomy && s.stopped == ToTheEnd && s.unresolved == 0
	if s.o.noReasons || s.stopped == ByHand {
		return out
	}
	if s.o.Limit > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithDeadline(ctx, s.begun.Add(s.o.Limit))
		defer cancel()
	}
	if s.stopped == ToTheEnd {
		s.doing("nothing fits; by how little?")
		h := s.hunt(s.c.hairBy(within), finest)
		// What the search could prove takes about as long again.
		long := max(patience, 2*tilting*s.evaluated)
		if _, found := h.next(ctx, long); !found && h.proved() {
			out.Proved, out.Within = true, within
		} else if roomy {
			h := s.hunt(s.c, finest)
			_, found := h.next(ctx, long)
			out.Proved = !found && h.proved()
		}
	}
	for _, l := range s.c.limits() {
		if ctx.Err() != nil {
			break
		}
		s.doing("nothing fits; can it give: " + l.name)
		r, found, refused := s.ease(ctx, l, out.Within)
		switch {
		case refused:
			out.Useless = append(out.Useless, l.name)
		case found && s.adopt(r.Placement):
			return nil
		case found:
			out.Relaxations = append(out.Relaxations, r)
		default:
			out.Undecided = append(out.Undecided, l.name)
		}
		if l.halved == nil {
			continue
		}
		switch h := *l.halved; {
		case refused || found && r.AtLeast/2 > h.most:
			out.Useless = append(out.Useless, h.name)
		case found && r.By/2 <= h.most:
			r.Limit, r.By, r.AtLeast = h.name, r.By/2, r.AtLeast/2
			out.Relaxations = append(out.Relaxations, r)
		}
	}
	if s.withoutEach(ctx, out); s.best != nil {
		return nil
	}
	out.Complete = ctx.Err() == nil
	// Lengths first, then angles, then what is there or not; of each the
	// smallest first.
	slices.SortStableFunc(out.Relaxations, func(a, b Relaxation) int {
		return cmp.Or(cmp.Compare(a.Unit, b.Unit), cmp.Compare(a.By, b.By))
	})
	return out
}

// adopt takes a placement for found, if it is allowed as it is.
func (s *search) adopt(p Placement) bool {
	if !s.c.passes(p) {
		return false
	}
	s.found(Found{p, s.c.Score(p)})
	return true
}

// failing are the body's own checks that fail wherever it lies.
func (c *Case) failing() []body.Check {
	return slices.DeleteFunc(slices.Clone(c.bodily), func(k body.Check) bool { return k.OK })
}

func (s *search) doing(what string) {
	if s.o.Progress != nil {
		s.o.Progress(Progress{Doing: what, Evaluated: s.evaluated, Elapsed: time.Since(s.begun)})
	}
}

// ease finds the least loosening of one limit that lets a placement pass. With all
// of the limit given up it hunts for any placement, walks from there to where the
// limit lacks least, and hunts for one that lacks less still by what the limit calls
// fine; and so on until there is none. Where that takes too long, one that
// lacks less by four times as much will do. Refused says that it is proved that the
// limit alone would not do; a loosening of no more than floor is proved not to. A limit
// that has its own way to lay the body is looked for in all ranges anew.
func (s *search) ease(ctx context.Context, l limit, floor float64) (r Relaxation, found, refused bool) {
	if l.unit == Radians {
		floor /= s.c.radius
	}
	loosen := func(by float64) *Case { return s.c.loosened(func(d *Case) { l.loosen(d, by) }) }
	h, left := s.hunt(loosen(l.most), finest), patience
	if l.lay != nil {
		// The ranges that the search has left are cut finely for other needs. Under
		// rounded edges so much time would mostly be lost.
		h = s.huntAnew(loosen(l.most), finest)
		if s.c.rim == nil {
			left *= 4
		}
	}
	h.lacks = l.lacks
	p, found := h.next(ctx, patience)
	if !found {
		return r, false, h.proved()
	}
	r = Relaxation{Limit: l.name, Unit: l.unit, Placement: p}
	if l.unit == YesOrNo {
		return r, true, false
	}
	r.By = l.most
	walk := func(p Placement) {
		if l.lay != nil {
			p = l.lay(p)
		}
		// Is what it lacks enough? Where the two are reckoned in different ways, by
		// a hair.
		if by := l.lacks(p) + 1e-9; by < r.By && loosen(by).Allowed(p) {
			r.By, r.Placement = max(0, by), p
		}
		s.descend(l, &r, loosen)
	}
	walk(p)
	r.AtLeast = floor
	for gap := l.fine; r.By-gap > floor && ctx.Err() == nil; {
		h.ask(loosen(r.By-gap), gap/8)
		before := h.looked
		p, found := h.next(ctx, left)
		left -= h.looked - before
		switch {
		case found:
			r.By, r.Placement = r.By-gap, p
			walk(p)
		case h.proved():
			r.AtLeast = max(floor, r.By-gap-l.safe)
			return r, true, false
		default:
			gap, left = 4*gap, patience/2
		}
	}
	return r, true, false
}

// descend walks downhill in what the limit lacks, all else allowed, from the
// placement of r, by ever shorter steps in x, y, the angle and mixtures of
// them.
func (s *search) descend(l limit, r *Relaxation, loosen func(float64) *Case) {
	c := loosen(r.By)
	at, v := s.c.over(r.Placement).middlemost(), r.By
	box := c.outline.Bounds()
	const most = 4000 // placements
	n := 0
	downhill(4, math.Pi/180, finely, func(dx, dy, da float64) bool {
		q := at
		q.x, q.y, q.a = at.x+dx, at.y+dy, at.a+da
		if n++; n > most || !box.Has(geom.Pt(q.x, q.y)) || !c.angleOK(q.a) {
			return false
		}
		p := c.at(q)
		if l.lay != nil {
			p = l.lay(p)
		} else {
			p = c.Settle(p)
		}
		by := l.lacks(p) + 1e-9
		if by >= v-1e-6 || !c.Allowed(p) {
			return false
		}
		at, v, r.Placement = q, by, p
		return true
	})
	if v < r.By {
		r.By = max(0, v)
	}
}

// A hunt looks for placements that a case allows, in ranges that together hold
// all of them, and drops what holds none.
type hunt struct {
	s     *search
	c     *Case
	fine  float64                 // smaller ranges are not cut
	lacks func(Placement) float64 // of the placements found at a time, the one that lacks least is given

	open   quarries
	left   []quarry // too small to cut, and not proved to hold none
	asked  int      // how often something else was asked for
	looked int      // ranges, those that may be tilted counted tilting times
	made   int      // quarries
}

// quarry is a range and what is known of it.
type quarry struct {
	node
	asked  int // for which it was judged
	number int // in the order of their making
}

// quarries are in order of what the middle of the range lacks.
type quarries []quarry

func (q quarries) Len() int { return len(q) }
func (q quarries) Less(i, j int) bool {
	return q[i].lack < q[j].lack || q[i].lack == q[j].lack && q[i].number < q[j].number
}
func (q quarries) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *quarries) Push(x any)   { *q = append(*q, x.(quarry)) }
func (q *quarries) Pop() any {
	n := len(*q) - 1
	x := (*q)[n]
	*q = (*q)[:n]
	return x
}

// hunt begins a hunt for what a case of other needs allows, in the ranges that the
// search has left; in all there are, where those do not hold all that it might allow.
func (s *search) hunt(c *Case, fine float64) *hunt {
	other := &search{c: c}
	nodes := other.roots()
	if slices.EqualFunc(nodes, s.roots(), func(a, b node) bool { return a.span == b.span }) && len(s.impossible)+len(s.scored)+len(s.open) > 0 {
		nodes = nil
		for _, sp := range s.impossible {
			nodes = append(nodes, node{span: sp})
		}
		nodes = append(nodes, s.scored...)
		nodes = append(nodes, s.open...)
	}
	return s.huntIn(nodes, c, fine)
}

// huntAnew begins a hunt in all ranges there are.
func (s *search) huntAnew(c *Case, fine float64) *hunt {
	other := &search{c: c}
	return s.huntIn(other.roots(), c, fine)
}

func (s *search) huntIn(nodes []node, c *Case, fine float64) *hunt {
	h := &hunt{s: s, c: c, fine: fine}
	for _, n := range nodes {
		h.push(quarry{node: node{span: n.span, tempting: true}, asked: -1})
	}
	return h
}

func (h *hunt) push(q quarry) {
	q.number = h.made
	h.made++
	heap.Push(&h.open, q)
}

// ask goes on with less loosened than before: what was dropped stays dropped.
func (h *hunt) ask(c *Case, fine float64) {
	h.c, h.fine = c, fine
	h.asked++
	for _, q := range h.left {
		h.push(q)
	}
	h.left = nil
}

// proved tells whether it is proved that there is no placement (after next has found
// none).
func (h *hunt) proved() bool { return len(h.open) == 0 && len(h.left) == 0 }

// next gives a placement that the case allows. It ends after so many ranges, and
// when ctx does.
func (h *hunt) next(ctx context.Context, patience int) (Placement, bool) {
	for end := h.looked + patience; len(h.open) > 0 && h.looked < end && ctx.Err() == nil; {
		size := round
		if h.looked == 0 { // with the best of all to begin with
			size = len(h.open)
		}
		var batch []quarry
		for len(batch) < size && len(h.open) > 0 {
			batch = append(batch, heap.Pop(&h.open).(quarry))
		}
		parts := make([][]quarry, len(batch))
		places := make([][]*Placement, len(batch))
		cost := make([]int, len(batch))
		h.s.each(len(batch), func(b *scratch, i int) {
			q := batch[i]
			var halves []node
			if q.asked == h.asked {
				halves = q.halves(h.c.across(q.span))
			} else {
				q.sure = false // of another thickness, perhaps
				halves = []node{q.node}
			}
			for _, n := range halves {
				n, p, ok := h.look(b, n)
				if cost[i]++; h.c.slopes && !n.sure && !n.thin() {
					cost[i] += tilting - 1
				}
				if ok {
					parts[i] = append(parts[i], quarry{node: n, asked: h.asked})
					places[i] = append(places[i], p)
				}
			}
		})
		var best *Placement
		least := math.Inf(1)
		for i := range batch {
			h.looked += cost[i]
			if h.s.evaluated++; batch[i].asked == h.asked {
				h.s.evaluated++ // both halves
			}
			for k, q := range parts[i] {
				if p := places[i][k]; p != nil {
					v := 0.0
					if h.lacks != nil {
						v = h.lacks(*p)
					}
					if best == nil || v < least {
						best, least = p, v
					}
				}
				if q.size(h.c) < h.fine {
					h.left = append(h.left, q)
				} else {
					h.push(q)
				}
			}
		}
		if best != nil {
			return *best, true
		}
	}
	return Placement{}, false
}

// thin tells whether it is known that the wood is not there in the middle of the
// range.
func (s span) thin() bool { return s.tilt != nil && s.tilt.grip != nil && s.tilt.grip.lack > 0 }

// across is the side across which a range is cut: what moves the body most, or where
// the wood is not there in the middle, what brings most of it.
func (c *Case) across(s span) side {
	x, y, turn := s.hx, s.hy, s.ha*c.radius
	switch {
	case s.sure || !c.slopes || c.thick:
	case !c.grippable(s):
		y = 0 // the wood is asked for the quicker
	case s.thin():
		w := s.tilt.grip.wood
		wx, wy, wt := math.Abs(w.x)*x, math.Abs(w.y)*y, math.Abs(w.turn)*turn
		if c.rim == nil {
			y = 0
		}
		if (c.rim == nil || w.spare < 0) && wx+wy+wt > math.Abs(w.spare)/2 {
			x, y, turn = wx, wy, wt
		}
	}
	return longest(x, y, turn)
}

// look judges a range: ok when something in it may be allowed, and the
// placement in its middle when that is.
func (h *hunt) look(b *scratch, n node) (_ node, p *Placement, ok bool) {
	c := h.c
	if r := c.Wish.Angles; r != nil && outOf(r, n.a) > n.ha+1e-12 {
		return n, nil, false
	}
	var lies bool
	if n.span, lies = c.lieGripped(b, n.span); !lies {
		return n, nil, false
	}
	if possible, _ := c.possibleLying(n.span); !possible {
		return n, nil, false
	}
	if !c.maySettle(b, n.span, c.at(n.span).Frame().flat(0)) {
		return n, nil, false
	}
	at := c.at(n.span)
	if n.tilt != nil && n.tilt.grip != nil {
		// Is it worth it to lay the body? A tilt puts its rim elsewhere by little.
		const little = 2.0 // mm
		n.lack = max(c.lackInPlan(at), c.lackBesides(at))
		if n.thin() || n.lack > little {
			n.lack = max(n.lack, n.tilt.grip.lack)
			return n, nil, true
		}
	}
	at = c.Settle(at)
	n.lack = max(c.lack(at), c.lackBesides(at))
	if n.lack <= 0 && c.angleOK(at.Angle) && c.Allowed(at) {
		p = &at
	}
	return n, p, true
}
