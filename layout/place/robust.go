package place

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"time"

	"slabwright/body/geom"
)

// Preference is what makes one allowed placement better than another. The zero
// Preference is Looks.
type Preference string

// Looks is the least score, Room the greatest leeway.
const (
	Looks Preference = "looks"
	Room  Preference = "room"
)

// Clearance is the least free distance in plan, in mm, from the placed body to
// the slab's edge and to every hollow, fastener and flaw that it reaches. It is
// not positive where the body is not in solid wood.
func (c *Case) Clearance(p Placement) float64 {
	f := p.Frame()
	d, low, high := math.Inf(1), 0.0, 0.0
	sweep := c.sweep(f)
	for _, w := range sweep.planes {
		m := f.flat(w)
		room, _, _ := c.hoops.nearest(c.wood, m)
		if c.swallows(m) {
			room = min(room, 0)
		}
		d = min(d, room)
	}
	d = sweep.least(d)
	if len(c.shallow) > 0 {
		low, high = c.zRange(p)
	}
	for _, i := range c.shallow {
		if o := c.obstacles[i]; meets(o, low, high) {
			d = min(d, c.gap(f, o).Value)
		}
	}
	return d
}

// Leeway is how far, in mm, a placed body may be off in any direction in plan
// before it comes too near to the slab's edge or an obstacle, a post or screw to
// a glue line, or a must measured in mm breaks: the least that such a check has
// to spare. Negative: by so much one fails. Being off takes no more from any of
// them than its length.
func (c *Case) Leeway(p Placement) float64 { return c.leeway(p, c.Clearance(p)) }

// leeway is Leeway, given the clearance.
func (c *Case) leeway(p Placement, clearance float64) float64 {
	spare := clearance - c.Need.Clearance()
	f := p.Frame()
	for _, k := range c.Body.KeepFromGlue {
		d, _ := c.glueDistance(f.Apply(k.At.X, k.At.Y, 0).Plan())
		spare = min(spare, d-k.Radius-c.Need.GlueLine)
	}
	for _, k := range c.mustChecks(p) {
		if k.Measured {
			spare = min(spare, k.Margin-k.Need)
		}
	}
	return spare
}

// Way is how far a placed body may go one way before a check fails.
type Way struct {
	Far   float64 // mm; radians for a turn
	Until string  // name of the check that fails a hair farther; "" where none does
}

// Wander is how far a placed body may be moved, or turned about the middle of
// its outline, before a check fails: each way alone and straight, at the same
// height and tilt. Exact to 0.01 mm (of the farthest point, for turns), on the
// safe side; a gap narrower than a millimetre that a move crosses may be missed.
type Wander struct {
	Along, Back         Way // toward +x and −x
	Left, Right         Way // toward +y and −y
	TurnLeft, TurnRight Way // counter-clockwise seen from above, and clockwise; at most π
}

// Nudge is what a small move does to the score.
type Nudge struct {
	DX, DY, Turn float64 // mm, mm, radians
	Allowed      bool
	Change       float64 // of the score, points; what it would be, where it is not allowed
}

// Robustness is how much a placement forgives.
type Robustness struct {
	Clearance float64 // see Case.Clearance; mm
	Leeway    float64 // see Case.Leeway; mm
	Wander    Wander
	Nudges    []Nudge // ±1 mm along x, ±1 mm along y, ±1°
}

// moved is p moved, and turned about the middle of the outline.
func (c *Case) moved(p Placement, dx, dy, turn float64) Placement {
	if turn != 0 {
		f := p.Frame()
		q := f.Apply(c.pivot().X, c.pivot().Y, 0)
		p.Angle += turn
		r := p.Frame().Apply(c.pivot().X, c.pivot().Y, 0)
		p.X, p.Y = p.X+q.X-r.X, p.Y+q.Y-r.Y
	}
	p.X, p.Y = p.X+dx, p.Y+dy
	return p
}

// passes tells whether the placement passes all checks that it has a say in.
func (c *Case) passes(p Placement) bool { return c.angleOK(p.Angle) && c.Allowed(p) }

// fails is the name of the first check that fails at p, those aside that no
// placement changes.
func (c *Case) fails(p Placement) string {
	checks := c.Check(p).Checks
	for _, k := range checks[:len(checks)-len(c.bodily)] {
		if !k.OK {
			return k.Name
		}
	}
	return ""
}

// Robustness says how much a placement forgives. It fails on one that does not
// pass, as there is nothing to forgive.
func (c *Case) Robustness(p Placement) (Robustness, error) {
	if !c.passes(p) {
		return Robustness{}, errors.New("the placement does not pass; there is no room in which the saw may wander")
	}
	far := func(step, most, fine float64, at func(d float64) Placement) Way {
		w := Way{Far: farthest(step, most, fine, func(d float64) bool { return c.passes(at(d)) })}
		if w.Far < most {
			w.Until = c.fails(at(w.Far + fine))
		}
		return w
	}
	const step, fine = 1.0, 0.01
	most := 2 * (c.outline.Bounds().Width() + c.outline.Bounds().Height()) // out of the slab
	way := func(dx, dy float64) Way {
		return far(step, most, fine, func(d float64) Placement { return c.moved(p, d*dx, d*dy, 0) })
	}
	turn := func(sign float64) Way {
		return far(step/c.radius, math.Pi, fine/c.radius, func(d float64) Placement { return c.moved(p, 0, 0, sign*d) })
	}
	r := Robustness{Clearance: c.Clearance(p), Leeway: c.Leeway(p)}
	r.Wander = Wander{Along: way(1, 0), Back: way(-1, 0), Left: way(0, 1), Right: way(0, -1), TurnLeft: turn(1), TurnRight: turn(-1)}
	now := c.Score(p).Total
	const degree = math.Pi / 180
	for _, d := range [][3]float64{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, degree}, {0, 0, -degree}} {
		q := c.moved(p, d[0], d[1], d[2])
		r.Nudges = append(r.Nudges, Nudge{d[0], d[1], d[2], c.passes(q), c.Score(q).Total - now})
	}
	return r, nil
}

// farthest is how far ok holds from 0 on, at most most: found by steps, then by
// halves to within fine. It is on the safe side.
func farthest(step, most, fine float64, ok func(float64) bool) float64 {
	at := 0.0
	for at < most && ok(min(at+step, most)) {
		at = min(at+step, most)
	}
	if at >= most {
		return most
	}
	for bad := at + step; bad-at > fine; {
		if mid := (at + bad) / 2; ok(mid) {
			at = mid
		} else {
			bad = mid
		}
	}
	return at
}

// Flat is a range round a placement in which the score stays within the gap
// asked for and the placement allowed: along x alone, along y alone, and turned
// alone about the middle of the outline. Positions are those of Placement.
type Flat struct {
	XFrom, XTo, YFrom, YTo float64 // mm
	AngleFrom, AngleTo     float64 // radians
}

// roomiest walks from the best placement to the one with the greatest leeway
// that it can reach without scoring more than most, by ever shorter steps, and
// says how flat the score is there. Of places with the same leeway, as where a
// screw between two glue lines has the say all along the slab, it takes the one
// with the greatest clearance.
func (s *search) roomiest(best Found, most float64) (Found, Flat) {
	c := s.c
	fits := func(b *scratch, p Placement) bool { return c.below(b, c.over(p), most) && c.passes(p) }
	at := best.Placement
	room := c.forgiving(at)
	s.climb(&at, &room, 8, 2*math.Pi/180, 0.02, func(b *scratch, dx, dy, turn, above float64) (Placement, float64, bool) {
		p := c.Settle(c.moved(at, dx, dy, turn))
		// Most steps cost too much or leave no more room: what tells so soonest is asked first.
		if p.Level() && c.inkling(c.over(p)) >= most || !c.mayForgive(p, above) || !c.below(b, c.over(p), most) {
			return p, 0, false
		}
		r := c.forgiving(p)
		return p, r, r > above+gain && c.passes(p)
	})
	if at != best.Placement {
		best = Found{at, c.Score(at)}
	}
	far := 2 * (c.outline.Bounds().Width() + c.outline.Bounds().Height())
	// Along x, y and turned, back and forth, in mm and radians.
	var ways [6]float64
	s.each(len(ways), func(b *scratch, i int) {
		sign := float64(1 - 2*(i%2))
		switch i / 2 {
		case 0:
			ways[i] = farthest(2, far, 0.01, func(d float64) bool { return fits(b, c.moved(at, sign*d, 0, 0)) })
		case 1:
			ways[i] = farthest(2, far, 0.01, func(d float64) bool { return fits(b, c.moved(at, 0, sign*d, 0)) })
		default:
			ways[i] = farthest(2/c.radius, math.Pi, 0.01/c.radius, func(d float64) bool { return fits(b, c.moved(at, 0, 0, sign*d)) })
		}
	})
	return best, Flat{
		XFrom: at.X - ways[1], XTo: at.X + ways[0],
		YFrom: at.Y - ways[3], YTo: at.Y + ways[2],
		AngleFrom: at.Angle - ways[5], AngleTo: at.Angle + ways[4],
	}
}

// forgiving is the leeway and a hundredth of the clearance, which has the say
// where the leeway is the same.
func (c *Case) forgiving(p Placement) float64 {
	d := c.Clearance(p)
	return c.leeway(p, d) + d/100
}

// mayForgive is false where forgiving is certain to be no more than above: the
// leeway is no more than what glue lines and musts leave, nor than the clearance
// less its need, and whether a body has a clearance is found sooner than how much.
func (c *Case) mayForgive(p Placement, above float64) bool {
	f := p.Frame()
	room := max((above+c.Need.Clearance())/1.01, 100*(above-c.leeway(p, math.Inf(1))))
	return c.hoops.clear(c.wood, f.flat(0), room) &&
		(p.Level() || c.hoops.clear(c.wood, f.flat(-c.Body.Thickness), room))
}

// gain is by how many mm a leeway must be greater to be worth a step.
const gain = 1e-4

// climb walks uphill from a placement by ever shorter steps in x, y, the angle
// and mixtures of them, each time to the highest of its neighbours, as long as a
// step gains a four-hundredth of its length (what tells between places of equal
// leeway gains a hundredth at most). Try gives the placement so far off, its
// height, and whether it may be gone to, being higher than above.
func (s *search) climb(at *Placement, height *float64, step, turn, finest float64, try func(b *scratch, dx, dy, turn, above float64) (Placement, float64, bool)) {
	type neighbour struct {
		Placement
		height float64
		ok     bool
	}
	var near [27]neighbour
	for step > finest {
		s.each(len(near), func(b *scratch, i int) {
			n := &near[i]
			if n.ok = false; i == len(near)/2 {
				return // the place itself
			}
			dx, dy, da := float64(i/9-1), float64(i/3%3-1), float64(i%3-1)
			n.Placement, n.height, n.ok = try(b, dx*step, dy*step, da*turn, *height+step/400)
		})
		better := false
		for _, n := range near {
			if n.ok && n.height > *height {
				*at, *height, better = n.Placement, n.height, true
			}
		}
		if !better {
			step, turn = step/2, turn/2
		}
	}
}

// Spacious is what a search that prefers room found and proved.
type Spacious struct {
	Leeway float64 // of the best placement so far, mm
	Most   float64 // no allowed placement has more: proved
}

// roomGap is how closely, in mm, the greatest leeway is proved.
const roomGap = 0.01

// roomNode is a range and a bound on the leeway in it.
type roomNode struct {
	span
	most float64
}

// searchRoom finds the allowed placement with the greatest leeway, by branch
// and bound: in a range no point of the outline is farther from the slab's
// edge, or a hollow, than where the middle puts it and the way it goes from
// there, and no screw from a glue line. Nothing is proved of the score but that it is not below 0.
func (s *search) searchRoom(ctx context.Context) Result {
	c := s.c
	best, found := Found{}, false
	room := math.Inf(-1)
	take := func(p Placement) {
		p = c.Settle(p)
		if !c.passes(p) || found && c.Leeway(p) <= room {
			return
		}
		at, h := p, c.Leeway(p)
		s.climb(&at, &h, 8, math.Pi/90, roomGap/10, func(_ *scratch, dx, dy, turn, above float64) (Placement, float64, bool) {
			q := c.Settle(c.moved(at, dx, dy, turn))
			r := c.Leeway(q)
			return q, r, r > above+gain/10 && c.passes(q)
		})
		best, room, found = Found{Placement: at}, h, true
	}
	var open []roomNode
	done := math.Inf(-1) // the greatest bound of the ranges that are too fine to cut
	// Ranges are judged in rounds of a fixed number, each by itself and the
	// best of the rounds before, so that the answer is the same with any number
	// of processors.
	judge := func(nodes []roomNode) {
		allowed := make([]bool, len(nodes))
		s.each(len(nodes), func(_ *scratch, i int) {
			lying, ok := c.lie(nodes[i].span)
			if !ok {
				return
			}
			nodes[i].span = lying
			if allowed[i], _ = c.possibleLying(lying); allowed[i] {
				nodes[i].most = min(nodes[i].most, c.mostLeeway(nodes[i].span, room+roomGap))
			}
		})
		s.evaluated += len(nodes)
		for i, n := range nodes {
			if !allowed[i] {
				continue
			}
			if n.most > room {
				take(c.at(n.span))
			}
			switch {
			case found && n.most <= room+roomGap:
				done = max(done, n.most)
			case node{span: n.span}.size(c) < finest:
				done = max(done, n.most)
			default:
				open = append(open, n)
			}
		}
	}
	var roots []roomNode
	for _, n := range s.roots() {
		roots = append(roots, roomNode{n.span, math.Inf(1)})
	}
	judge(roots)
	most := func() float64 {
		m := max(done, room)
		for _, n := range open {
			m = max(m, n.most)
		}
		return m
	}
	for len(open) > 0 {
		slices.SortStableFunc(open, func(a, b roomNode) int { return cmp.Compare(b.most, a.most) })
		for found && len(open) > 0 && open[len(open)-1].most <= room+roomGap {
			done = max(done, open[len(open)-1].most)
			open = open[:len(open)-1]
		}
		switch {
		case ctx.Err() != nil:
			s.stopped = ByHand
		case s.late(found):
			s.stopped = ByTime
		}
		if s.stopped != ToTheEnd || len(open) == 0 {
			break
		}
		n := min(round, len(open))
		batch := slices.Clone(open[:n])
		open = open[n:]
		halves := make([]roomNode, 2*n)
		s.each(n, func(_ *scratch, i int) { halves[2*i], halves[2*i+1] = c.cutRoom(batch[i]) })
		judge(halves)
		if s.o.Progress != nil {
			p := Progress{Evaluated: s.evaluated, Elapsed: time.Since(s.begun)}
			if found {
				p.Best = &Found{best.Placement, c.Score(best.Placement)}
				p.Spacious = &Spacious{Leeway: room, Most: most()}
			}
			s.o.Progress(p)
		}
	}
	r := Result{Evaluated: s.evaluated, Stopped: s.stopped}
	if !found {
		if r.Infeasible = s.infeasible(ctx); s.best != nil {
			best, room, found = *s.best, c.Leeway(s.best.Placement), true
		}
	}
	if found {
		best.Placement.Angle = math.Remainder(best.Placement.Angle, 2*math.Pi)
		best.Score = c.Score(best.Placement)
		r.Best, r.Gap = &best, best.Score.Total
		r.Spacious = &Spacious{Leeway: room, Most: most()}
	}
	r.Elapsed = time.Since(s.begun)
	return r
}

// mostLeeway is no less than the leeway of any placement in the range; it stops
// looking once it is no more than enough.
func (c *Case) mostLeeway(s span, enough float64) float64 {
	p := c.at(s)
	most := c.mustsAtMost(s, p)
	m := p.Frame().flat(0)
	for _, k := range c.Body.KeepFromGlue {
		most = min(most, c.glueAtMost(m.apply(k.At), s, k.At)-k.Radius-c.Need.GlueLine)
	}
	if most <= enough {
		return most + outward
	}
	need := c.Need.Clearance()
	return min(most+outward, c.mostRoom(s, enough+need)-need)
}

// mustsAtMost is the most that the musts measured in mm may have to spare in the
// range, whose middle is p.
func (c *Case) mustsAtMost(s span, p Placement) float64 {
	most := math.Inf(1)
	f, pivot := p.Frame(), c.pivot()
	for _, w := range c.Wish.Strips {
		if !w.Must {
			continue
		}
		a, b := c.stripOff(f, w.Strip)
		for _, end := range [...]struct{ off, u float64 }{{a, c.box.Min.X}, {b, c.box.Max.X}} {
			across, _ := s.moves(pivot.Distance(geom.Pt(end.u, 0)))
			most = min(most, w.Tolerance-max(0, math.Abs(end.off)-across))
		}
	}
	for _, w := range c.Wish.Through {
		if w.Must {
			_, any := s.moves(geom.Pt(w.U, w.V).Distance(pivot))
			most = min(most, w.Tolerance-max(0, c.misses(f, w)-any))
		}
	}
	if w := c.Wish.NearX; w != nil && w.Must {
		_, any := s.moves(pivot.Distance(geom.Point{}))
		most = min(most, w.Tolerance-max(0, near(w, f.Origin.X)-any))
	}
	return most
}

// mostRoom is no less than the clearance of any placement in the range; it stops
// looking once it is no more than enough.
func (c *Case) mostRoom(s span, enough float64) float64 {
	m := c.at(s).Frame().flat(0)
	most := math.Inf(1)
	for _, q := range c.front {
		if most <= enough {
			break
		}
		_, any := s.moves(q.Distance(c.pivot()))
		at := m.apply(q)
		if c.wood.atLeast(at)+any >= most {
			continue
		}
		most = min(most, c.wood.depth(at)+any)
	}
	// Across the slab alone, which tells of ranges that are long in x, too.
	for _, q := range c.hull {
		if most <= enough {
			break
		}
		at := m.apply(q)
		r := q.Distance(c.pivot())
		_, any := s.moves(r)
		across := s.hy + min(r*s.ha, math.Abs(at.X-s.x)*s.ha+r*s.ha*s.ha/2) + s.lean().across
		lo, hi := c.breadth.over(at.X-any, at.X+any)
		most = min(most, at.Y+across-lo, hi-at.Y+across)
	}
	for _, i := range c.deep {
		q := m.into(c.middles[i])
		_, any := s.moves(q.Distance(c.pivot()))
		if c.box.Has(q) && c.shape.depth(q) > any {
			return min(most, 0)
		}
	}
	return most + outward
}

// cutRoom halves a range across the side whose loss would lower its bound most.
func (c *Case) cutRoom(n roomNode) (lower, upper roomNode) {
	way, gained := alongX, -1.0
	for i, size := range []float64{n.hx, n.hy, n.ha * c.radius} {
		if size == 0 {
			continue
		}
		thin := n.span
		*[]*float64{&thin.hx, &thin.hy, &thin.ha}[i] = 0
		// Where none would, the one that moves the body most.
		if g := n.most - min(n.most, c.mostLeeway(thin, 0)) + size/1e3; g > gained {
			way, gained = side(i), g
		}
	}
	l, r := n, n
	l.span, r.span = n.halved(way)
	return l, r
}
