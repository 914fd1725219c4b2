package place

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"slabwright/body/geom"
)

// within is how sharply "nothing fits" is proved, relaxed how closely the
// smallest relaxations are sought, in mm. A proof that a little less would not
// do can take very long; patience is how many ranges it may look at.
const (
	within   = 0.01
	relaxed  = 0.2
	lifted   = 1e4 // a limit relaxed by this much is none
	patience = 12000
)

// A limit is one need that could give way.
type limit struct {
	name string
	// loosen is the case with the need smaller by that many mm.
	loosen func(by float64) *Case
	// lacks is by how many mm a placement fails it, ≤ 0 when it passes.
	lacks func(Placement) float64
}

// infeasible says whether it is proved that nothing fits, and which single
// limit would have to give by how much.
func (s *search) infeasible(ctx context.Context) *Infeasible {
	out := &Infeasible{Proved: s.stopped == ToTheEnd && s.unresolved == 0, Within: within}
	if s.first || s.o.noReasons || s.stopped == ByHand {
		return out
	}
	for _, l := range s.c.limits() {
		if ctx.Err() != nil {
			break
		}
		if by, p, ok := s.relax(ctx, l); ok {
			out.Relaxations = append(out.Relaxations, Relaxation{l.name, by, p})
		}
	}
	slices.SortStableFunc(out.Relaxations, func(a, b Relaxation) int { return cmp.Compare(a.By, b.By) })
	return out
}

// relax finds the least loosening of one limit that lets a placement pass: all
// of it first, then by halves between what is proved too little and what was
// found to be enough.
func (s *search) relax(ctx context.Context, l limit) (by float64, at Placement, ok bool) {
	try := func(by float64) (Placement, bool, Stopped) {
		if s.o.Progress != nil {
			s.o.Progress(Progress{Doing: "nothing fits; can it give: " + l.name, Evaluated: s.evaluated, Elapsed: time.Since(s.begun)})
		}
		c := l.loosen(by)
		t := &search{c: c, o: Options{Workers: s.o.Workers, Limit: s.o.Limit}, begun: time.Now(), desks: s.desks, first: true, patience: patience, dropped: math.Inf(1)}
		t.run(ctx)
		if t.best == nil {
			return Placement{}, false, t.stopped
		}
		return t.best.Placement, true, t.stopped
	}
	at, ok, _ = try(lifted)
	if !ok {
		return 0, at, false
	}
	lo, hi := 0.0, l.lacks(at)
	for hi-lo > relaxed {
		mid := (lo + hi) / 2
		p, found, stopped := try(mid)
		switch {
		case found:
			at, hi = p, min(mid, l.lacks(p))
		case stopped == ByHand:
			return hi, at, true
		default: // proved too little, or not found in patience
			lo = mid
		}
	}
	return hi, at, true
}

// limits are those needs of the case that could give.
func (c *Case) limits() []limit {
	clearance := c.Need.Clearance()
	out := []limit{
		{
			name: "room to the slab's edge",
			loosen: func(by float64) *Case {
				d := *c
				if by >= lifted {
					d.outline = c.outline.Bounds().Grow(2 * c.radius).Polygon()
				} else {
					d.outline = geom.Offset(c.outline, by)[0]
				}
				d.extent = d.outline.Bounds()
				d.breadth = newBreadth(d.outline, blockStep)
				d.wood = newField(d.outline, d.holes(), blockStep, reach)
				return &d
			},
			lacks: func(p Placement) float64 { return clearance - c.outlineRoom(p) },
		},
		{
			name: "room to hollows, fasteners and flaws",
			loosen: func(by float64) *Case {
				d := *c
				d.deep, d.shallow = nil, nil
				d.obstacles = slices.Clone(c.obstacles)
				for _, i := range c.deep {
					if r := shrunk(c.obstacles[i].Region, by); r != nil {
						d.obstacles[i].Region = r
						d.deep = append(d.deep, i)
					}
				}
				for _, i := range c.shallow {
					if r := shrunk(c.obstacles[i].Region, by); r != nil {
						d.obstacles[i].Region = r
						d.shallow = append(d.shallow, i)
					}
				}
				d.wood = newField(d.outline, d.holes(), blockStep, reach)
				return &d
			},
			lacks: func(p Placement) float64 {
				low, high := c.zRange(p)
				worst := math.Inf(-1)
				for _, o := range c.obstacles {
					if meets(o, low, high) {
						worst = max(worst, clearance-c.gap(p.Frame(), o).Value)
					}
				}
				return worst
			},
		},
		{
			name: "thickness of the slab",
			loosen: func(by float64) *Case {
				d := *c
				thin := *c.Body
				thin.Thickness = max(0.1, c.Body.Thickness-by)
				d.Body = &thin
				if by > c.Body.Thickness {
					d.Need.Flatten -= (by - c.Body.Thickness) / 2
				}
				return &d
			},
			lacks: func(p Placement) float64 {
				if !p.Level() {
					return -2 * c.slack(p)
				}
				lo, hi := c.levelRange(p)
				return lo - hi
			},
		},
	}
	if len(c.Body.KeepFromGlue) > 0 {
		out = append(out, limit{
			name: "glue lines clear of posts and screws",
			loosen: func(by float64) *Case {
				d := *c
				d.Need.GlueLine -= by
				return &d
			},
			lacks: func(p Placement) float64 {
				worst := math.Inf(-1)
				for _, k := range c.glueChecks(p.Frame()) {
					worst = max(worst, k.Need-k.Margin)
				}
				return worst
			},
		})
	}
	for i, w := range c.Wish.Strips {
		if w.Must {
			out = append(out, limit{
				name: fmt.Sprintf("strip %s on the centreline", c.stripName(w.Strip)),
				loosen: func(by float64) *Case {
					d := *c
					d.Wish.Strips = slices.Clone(c.Wish.Strips)
					d.Wish.Strips[i].Tolerance += by
					return &d
				},
				lacks: func(p Placement) float64 {
					a, b := c.stripOff(p.Frame(), w.Strip)
					return max(math.Abs(a), math.Abs(b)) - w.Tolerance
				},
			})
		}
	}
	for i, w := range c.Wish.Through {
		if w.Must {
			out = append(out, limit{
				name: describe(c.lines[w.Line]) + " at its place",
				loosen: func(by float64) *Case {
					d := *c
					d.Wish.Through = slices.Clone(c.Wish.Through)
					d.Wish.Through[i].Tolerance += by
					return &d
				},
				lacks: func(p Placement) float64 { return c.misses(p.Frame(), w) - w.Tolerance },
			})
		}
	}
	if w := c.Wish.NearX; w != nil && w.Must {
		out = append(out, limit{
			name: "near the wished x",
			loosen: func(by float64) *Case {
				d := *c
				n := *w
				n.Tolerance += by
				d.Wish.NearX = &n
				return &d
			},
			lacks: func(p Placement) float64 { return near(w, p.X) - w.Tolerance },
		})
	}
	return out
}

// holes are the regions of the deep obstacles.
func (c *Case) holes() []geom.Convex {
	var out []geom.Convex
	for _, i := range c.deep {
		out = append(out, c.obstacles[i].Region)
	}
	return out
}

// outlineRoom is the room of a placed body to the slab's outline.
func (c *Case) outlineRoom(p Placement) float64 {
	f := p.Frame()
	sweep, room := c.sweep(f), math.Inf(1)
	for _, w := range sweep.planes {
		room = min(room, f.Project(c.front, w).Room(c.outline).Value)
	}
	return sweep.least(room)
}

// shrunk is a convex region with every side moved in by d; nil when nothing is
// left.
func shrunk(c geom.Convex, d float64) geom.Convex {
	g := geom.Polygon(c)
	for _, h := range c.Edges() {
		h.At = h.At.Add(h.Along.Unit().Left().Mul(d))
		if g = g.Clipped(h); g == nil {
			return nil
		}
	}
	return geom.Convex(g)
}
