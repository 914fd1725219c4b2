package place

import (
	"context"
	"errors"
	"math"
	"slices"
	"time"

	"slabwright/body/geom"
	"slabwright/layout/slab"
)

// Several is a joint placement of several pieces in one slab.
type Several struct {
	Placed []Found // one a piece, in the order given; nil when not all found room
	// Score is the sum of the pieces' scores. Bound is the sum of what each
	// piece alone could not score less than with the whole slab to itself: no
	// joint placement scores less, so that Gap = Score − Bound is proved.
	Score, Bound, Gap float64
	Elapsed           time.Duration
	Stopped           Stopped
	// Missing is the piece that found no room beside the others, −1 when all
	// did. It is not proved that there is none.
	Missing int
}

// rounds is how often each piece may be placed anew with the others standing.
const rounds = 3

// Together places several pieces, each a case of the same slab with its own
// body, needs and wishes, so that none overlaps another: what lies between two
// footprints is at least the kerf and margin of either.
//
// It is an honest best-found, not a proof of the best: in every order of up to
// three pieces (for more, in the order given and its reverse), each takes the
// best place that those before it leave; then each is placed anew with the
// others standing, as long as that helps. The bound is proved all the same, if
// seldom sharp: where the pieces want the same wood, it cannot be reached.
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
	o.Alternatives = 0
	if show := o.Progress; show != nil {
		o.Progress = func(p Progress) {
			p.Doing, p.Elapsed = "each piece in turn, beside the others", time.Since(begun)
			show(p)
		}
	}
	o.noReasons = true
	alone := make([]Result, len(cases))
	for i, c := range cases {
		r, err := c.Search(ctx, o)
		if err != nil {
			return out, err
		}
		alone[i] = r
		out.Bound += r.Bound
		if r.Stopped != ToTheEnd {
			out.Stopped = r.Stopped
		}
		if r.Best == nil {
			out.Missing, out.Elapsed = i, time.Since(begun)
			return out, nil
		}
	}
	best := func(i int, placed []*Found) (*Found, error) {
		c := cases[i]
		for j, f := range placed {
			if f != nil && j != i {
				c = c.beside(cases[j], f.Placement)
			}
		}
		r, err := c.Search(ctx, o)
		return r.Best, err
	}
	missing := -1
	for _, order := range orders(len(cases)) {
		placed := make([]*Found, len(cases))
		placed[order[0]] = alone[order[0]].Best
		full := true
		for _, i := range order[1:] {
			f, err := best(i, placed)
			if err != nil {
				return out, err
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
				f, err := best(i, placed)
				if err != nil {
					return out, err
				}
				if f != nil && f.Score.Total < placed[i].Score.Total {
					placed[i] = f
				}
			}
			if total(placed) >= before-gapShare {
				break
			}
		}
		if t := total(placed); t < out.Score {
			out.Score = t
			out.Placed = nil
			for _, f := range placed {
				out.Placed = append(out.Placed, *f)
			}
		}
		if ctx.Err() != nil {
			break
		}
	}
	if ctx.Err() != nil {
		out.Stopped = ByHand
	}
	out.Elapsed = time.Since(begun)
	if out.Placed == nil {
		out.Missing = missing
		return out, nil
	}
	out.Bound = min(out.Bound, out.Score)
	out.Gap = out.Score - out.Bound
	return out, nil
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

// beside is the case with another piece's placed body as an obstacle through
// the whole slab. The obstacle is grown by what the other needs beyond this
// one's own clearance, so that both keep their needs.
func (c *Case) beside(other *Case, at Placement) *Case {
	d := *c
	f := at.Frame()
	grow := max(0, other.Need.Clearance()-c.Need.Clearance())
	var parts []geom.Convex
	planes := []float64{0}
	if !at.Level() {
		planes = append(planes, -other.Body.Thickness)
	}
	for _, w := range planes {
		ring := f.Project(other.Body.Outline.FlattenOutside(0.1), w)
		if grow > 0 {
			ring = geom.Offset(ring, grow)[0]
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
