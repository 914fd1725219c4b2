package place

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"time"

	"slabwright/body/geom"
	"slabwright/layout/slab"
)

// Several is a joint placement of several pieces in one slab.
type Several struct {
	Placed []Found // one a piece, in the order given; nil when not all found room
	// Score is the sum of the pieces' scores. No joint placement scores less
	// than Bound, so that Gap = Score − Bound is proved.
	Score, Bound, Gap float64
	Evaluated         int // placements, and ranges and pairs of ranges of them, looked at
	Elapsed           time.Duration
	Stopped           Stopped
	// Missing is the piece that found no room beside the others, −1 when all
	// did; Proved tells whether it is certain that there is none.
	Missing int
	Proved  bool
}

// rounds is how often each piece may be placed anew with the others standing,
// patientPairs how many pairs are made to lift the bound of three, and
// patientTurn how many ranges are looked at to begin with one after the other.
const (
	rounds       = 3
	patientPairs = 1 << 16
	patientTurn  = 1 << 15
)

// Together places several pieces, each a case of the same slab with its own
// body, needs and wishes, so that none overlaps another: what lies between two
// footprints is at least the kerf and margin of either.
//
// Two pieces are placed by a joint branch and bound, see pairing, which ends with
// the same gap as the search for one, or proves that the slab holds no two.
// Where the pieces can crowd each other in very many ways that score alike, a
// limit of time ends it sooner, with the gap it really has; and where none is
// found among very many, it ends without proof.
//
// For more it is an honest best-found, not a proof of the best: in every order of
// three pieces (for more, in the order given and its reverse), each takes the
// best place that those before it leave; then each is placed anew with the
// others standing, as long as that helps. The bound is proved all the same, if
// seldom sharp: it is the sum of what each piece alone could not score less than
// with the whole slab to itself, for three also of what two of them could not.
//
// The limit of time is one for the whole. Progress tells of the first piece's
// placement, with the score of both, while two are searched for.
func Together(ctx context.Context, cases []*Case, o Options) (Several, error) {
	begun := time.Now()
	out := Several{Score: math.Inf(1), Missing: -1}
	if len(cases) == 0 {
		return out, errors.New("no piece to place")
	}
	for _, c := range cases[1:] {
		if c.Slab != cases[0].Slab {
			return out, errors.New("the pieces to place together must lie in one and the same slab")
		}
	}
	t := &together{cases: cases, o: o, begun: begun}
	t.o.Prefer, t.o.After, t.o.Certificate, t.o.Alternatives, t.o.noReasons = Looks, nil, false, 0, true
	if show := o.Progress; show != nil {
		t.o.Progress = func(p Progress) {
			p.Elapsed = time.Since(begun)
			if p.Doing == "" {
				p.Doing, p.Best = "each piece by itself", nil
			}
			show(p)
		}
	}
	missing, err := t.alone(ctx)
	if err != nil || missing >= 0 {
		return t.answer(nil, missing), err
	}
	if len(cases) == 2 {
		return t.two(ctx)
	}
	return t.many(ctx)
}

// together is the work of placing several pieces.
type together struct {
	cases     []*Case
	o         Options
	begun     time.Time
	single    []Result // of each piece, with the whole slab to itself
	bound     float64
	evaluated int
	stopped   Stopped
	proved    bool // that no room for all is there, when none was found
}

// left is the time that is left of the limit, or of a share of it; 0 without one.
func (t *together) left(share float64) time.Duration {
	if t.o.Limit <= 0 {
		return 0
	}
	return max(time.Duration(share*float64(t.o.Limit-time.Since(t.begun))), time.Millisecond)
}

// search places one piece, in a share of the time that is left.
func (t *together) search(ctx context.Context, c *Case, share float64) (Result, error) {
	o := t.o
	o.Limit = t.left(share)
	r, err := c.Search(ctx, o)
	t.evaluated += r.Evaluated
	return r, err
}

// alone searches for each piece with the whole slab to itself, and tells which
// finds no room even so.
func (t *together) alone(ctx context.Context) (missing int, err error) {
	for i, c := range t.cases {
		var r Result
		if k := slices.IndexFunc(t.cases[:i], c.sameAs); k >= 0 {
			r = t.single[k]
		} else if r, err = t.search(ctx, c, 0.5/float64(len(t.cases)-i)); err != nil {
			return -1, err
		}
		t.single = append(t.single, r)
		t.bound += r.Bound
		if r.Stopped != ToTheEnd {
			t.stopped = r.Stopped
		}
		if r.Best == nil {
			t.proved = r.Infeasible.Proved
			return i, nil
		}
	}
	return -1, nil
}

// sameAs tells whether two cases ask for the same.
func (c *Case) sameAs(d *Case) bool {
	return c == d || c.Slab == d.Slab && c.Need == d.Need && reflect.DeepEqual(c.Wish, d.Wish) && c.sameBody(d)
}

// best is the best placement of a piece beside the others that are placed.
func (t *together) best(ctx context.Context, i int, placed []*Found, share float64) (*Found, error) {
	r, err := t.search(ctx, t.beside(i, placed), share)
	return r.Best, err
}

func (t *together) beside(i int, placed []*Found) *Case {
	c := t.cases[i]
	for j, f := range placed {
		if f != nil && j != i {
			c = c.beside(t.cases[j], f.Placement)
		}
	}
	return c
}

// two places two pieces by a joint branch and bound, which begins with the best
// place of either that the other's best leaves.
func (t *together) two(ctx context.Context) (Several, error) {
	s := t.pairing(0, 1, t.o)
	s.o.Limit = t.left(1)
	push := true
	s.join(*t.single[0].Best, *t.single[1].Best, &push)
	if math.IsInf(s.score, 1) {
		if err := t.oneAfterOther(ctx, s); err != nil {
			return Several{}, err
		}
	}
	s.run(ctx)
	t.evaluated += s.evaluated
	t.stopped = s.stopped
	t.bound = s.bound()
	if math.IsInf(s.score, 1) {
		t.proved = s.none()
		return t.answer(nil, 1), nil
	}
	s.polish(s.best, fineMM)
	placed := []*Found{&s.best[0], &s.best[1]}
	for i := range placed { // of what is as good, what leaves the saw most room
		most := max(s.score, t.bound+s.gap()) - placed[1-i].Score.Total
		one := newSearch(t.beside(i, placed), t.o)
		f, _ := one.roomiest(*placed[i], math.Nextafter(most, math.Inf(1)))
		f.Placement.Angle = math.Remainder(f.Placement.Angle, 2*math.Pi)
		placed[i] = &f
	}
	return t.answer(placed, -1), nil
}

// oneAfterOther offers the best place of the one piece that the other's best leaves, as
// something to better.
func (t *together) oneAfterOther(ctx context.Context, s *pairing) error {
	for i := range 2 {
		placed := []*Found{nil, nil}
		placed[i] = t.single[i].Best
		o := t.o
		o.Limit, o.patience = t.left(0.1), patientTurn
		r, err := t.beside(1-i, placed).Search(ctx, o)
		if err != nil {
			return err
		}
		t.evaluated += r.Evaluated
		if placed[1-i] = r.Best; r.Best != nil {
			s.offer(*placed[0], *placed[1])
		}
	}
	return nil
}

// pairing is the joint search for two of the pieces.
func (t *together) pairing(i, j int, o Options) *pairing {
	a, b := t.cases[i], t.cases[j]
	return newPairing([2]*Case{a, b}, [2]Result{t.single[i], t.single[j]}, a.sameAs(b), o)
}

// byPairs lifts the bound for three pieces: as each piece is in two pairs, half
// of what the pairs cannot score less than is a bound as well. It tells whether
// it is proved that some two of them find no room.
func (t *together) byPairs(ctx context.Context) (none bool) {
	sum := 0.0
	for _, p := range [][2]int{{0, 1}, {0, 2}, {1, 2}} {
		o := t.o
		o.Limit, o.pairs = t.left(0.1), patientPairs
		s := t.pairing(p[0], p[1], o)
		push := true
		s.join(*t.single[p[0]].Best, *t.single[p[1]].Best, &push)
		s.run(ctx)
		t.evaluated += s.evaluated
		if s.none() {
			return true
		}
		sum += s.bound()
	}
	t.bound = max(t.bound, sum/2)
	return false
}

// many places pieces in turn: in every order of three (for more, in the
// order given and its reverse) each takes the best place that those before it
// leave; then each is placed anew with the others standing, as long as that helps.
func (t *together) many(ctx context.Context) (Several, error) {
	n := len(t.cases)
	if n == 3 {
		if t.proved = t.byPairs(ctx); t.proved {
			return t.answer(nil, n-1), nil
		}
	}
	var out []*Found
	least, missing := math.Inf(1), n-1
	share := 1 / float64(4*n)
	for _, order := range t.distinct(orders(n)) {
		placed := make([]*Found, n)
		placed[order[0]] = t.single[order[0]].Best
		full := true
		for _, i := range order[1:] {
			f, err := t.best(ctx, i, placed, share)
			if err != nil {
				return Several{}, err
			}
			if placed[i] = f; f == nil {
				full, missing = false, i
				break
			}
		}
		if !full {
			continue
		}
		for range rounds {
			before := total(placed)
			for _, i := range order {
				f, err := t.best(ctx, i, placed, share)
				if err != nil {
					return Several{}, err
				}
				if f != nil && f.Score.Total < placed[i].Score.Total {
					placed[i] = f
				}
			}
			if total(placed) >= before-gapShare {
				break
			}
		}
		if v := total(placed); v < least {
			least, out = v, placed
		}
		if ctx.Err() != nil {
			t.stopped = ByHand
			break
		}
	}
	return t.answer(out, missing), nil
}

// answer sums up; placed is nil where the piece missing found no room.
func (t *together) answer(placed []*Found, missing int) Several {
	out := Several{Score: math.Inf(1), Bound: t.bound, Missing: -1, Evaluated: t.evaluated, Stopped: t.stopped, Elapsed: time.Since(t.begun)}
	if placed == nil {
		out.Missing, out.Proved = missing, t.proved
		return out
	}
	for _, f := range placed {
		out.Placed = append(out.Placed, *f)
	}
	out.Score = total(placed)
	out.Bound = min(out.Bound, out.Score)
	out.Gap = out.Score - out.Bound
	return out
}

func total(placed []*Found) float64 {
	t := 0.0
	for _, f := range placed {
		t += f.Score.Total
	}
	return t
}

// orders are all orders of up to three pieces; of more, the given one and its
// reverse.
func orders(n int) [][]int {
	first := make([]int, n)
	for i := range first {
		first[i] = i
	}
	if n > 3 {
		back := slices.Clone(first)
		slices.Reverse(back)
		return [][]int{first, back}
	}
	var out [][]int
	var grow func(order []int)
	grow = func(order []int) {
		if len(order) == n {
			out = append(out, slices.Clone(order))
			return
		}
		for i := range n {
			if !slices.Contains(order, i) {
				grow(append(order, i))
			}
		}
	}
	grow(nil)
	return out
}

// distinct leaves out orders that differ only in pieces that are the same.
func (t *together) distinct(orders [][]int) (out [][]int) {
	kinds := make([]int, len(t.cases))
	for i, c := range t.cases {
		kinds[i] = slices.IndexFunc(t.cases, c.sameAs)
	}
	seen := map[string]bool{}
	for _, order := range orders {
		var key []int
		for _, i := range order {
			key = append(key, kinds[i])
		}
		if k := fmt.Sprint(key); !seen[k] {
			seen[k] = true
			out = append(out, order)
		}
	}
	return out
}

// beside is the case with another piece's placed body as an obstacle through
// the whole slab. The obstacle is grown by what the other needs beyond this
// one's own clearance, so that both keep their needs.
func (c *Case) beside(other *Case, at Placement) *Case {
	d := *c
	f := at.Frame()
	grow := max(0, other.Need.Clearance()-c.Need.Clearance())
	var parts []geom.Convex
	for _, w := range other.sweep(f).planes {
		ring := f.Project(other.Body.Outline.FlattenOutside(0.1), w)
		if grow > 0 {
			ring = grownRing(ring, grow)
		}
		parts = append(parts, trapezoids(ring)...)
	}
	d.obstacles = slices.Clone(c.obstacles)
	d.deep = slices.Clone(c.deep)
	d.middles = slices.Clone(c.middles)
	for _, p := range parts {
		d.deep = append(d.deep, len(d.obstacles))
		d.obstacles = append(d.obstacles, slab.Obstacle{Name: "the other piece", Kind: "piece", Region: p, WholeThrough: true})
		d.middles = append(d.middles, geom.Polygon(p).Moments().Centroid())
	}
	d.fileDeep()
	d.wood = newField(d.outline, d.holes(), blockStep, reach)
	return &d
}

// trapezoids cuts a ring into convex parts that together cover it: upright cuts
// through every corner leave trapezoids, each between two edges of the ring.
// Parts thinner than a hundredth of a millimetre are left out; their edges are
// their neighbours' edges too.
//
//	  ____
//	 /|  |\___
//	/ |  | |  |\
//	\_|__|_|__|/
func trapezoids(ring geom.Polygon) []geom.Convex {
	xs := make([]float64, 0, len(ring))
	for _, p := range ring {
		xs = append(xs, p.X)
	}
	slices.Sort(xs)
	xs = slices.Compact(xs)
	var out []geom.Convex
	type cut struct{ y0, y1 float64 } // of an edge at the two sides of a trapezoid
	for i := 0; i+1 < len(xs); i++ {
		a, b := xs[i], xs[i+1]
		if b-a < 0.01 {
			continue
		}
		var cuts []cut
		for k, p := range ring {
			q := ring[(k+1)%len(ring)]
			if p.X > q.X {
				p, q = q, p
			}
			if p.X <= a && q.X >= b {
				at := func(x float64) float64 { return p.Y + (q.Y-p.Y)*(x-p.X)/(q.X-p.X) }
				cuts = append(cuts, cut{at(a), at(b)})
			}
		}
		slices.SortFunc(cuts, func(s, t cut) int {
			if s.y0+s.y1 < t.y0+t.y1 {
				return -1
			}
			return 1
		})
		for k := 0; k+1 < len(cuts); k += 2 {
			g := geom.Polygon{{X: a, Y: cuts[k].y0}, {X: b, Y: cuts[k].y1}, {X: b, Y: cuts[k+1].y1}, {X: a, Y: cuts[k+1].y0}}
			if g.Area() > 1e-6 {
				out = append(out, geom.Convex(slices.CompactFunc(g, func(p, q geom.Point) bool { return p == q })))
			}
		}
	}
	return out
}
