package place

import (
	"context"
	"slices"

	"slabwright/body/geom"
	"slabwright/layout/slab"
)

// things are the hollows, fasteners and flaws of a case, each as the obstacles that
// are its parts: from one index to before another.
func (c *Case) things() [][2]int {
	var out [][2]int
	for i, o := range c.obstacles {
		if o.Part == 0 {
			out = append(out, [2]int{i, i})
		}
		out[len(out)-1][1] = i + 1
	}
	return out
}

// with is the case with other obstacles.
func (c *Case) with(list []slab.Obstacle) *Case {
	return c.loosened(func(d *Case) { d.obstacles = list })
}

// withoutEach finds out of each hollow, fastener and flaw whether a body would fit if
// only it were not there.
//
// Most places in a crowded slab are refused by several of them: so of each range that
// the search has left it is found first which ones refuse all of it, each by itself.
// Where two do, leaving out one will not help; where one does, only leaving out that
// one might. What is left is hunted through for each.
func (s *search) withoutEach(ctx context.Context, out *Infeasible) {
	c := s.c
	things := c.things()
	if len(things) == 0 || ctx.Err() != nil {
		return
	}
	s.doing("nothing fits; would it without one hollow, fastener or flaw?")
	bare := c.with(nil)
	only := make([]*Case, len(things))
	boxes := make([]geom.Box, len(things))
	s.each(len(things), func(_ *scratch, i int) {
		parts := c.obstacles[things[i][0]:things[i][1]]
		only[i] = c.with(parts)
		boxes[i] = geom.EmptyBox()
		for _, o := range parts {
			for _, p := range o.Region {
				boxes[i] = boxes[i].Include(p)
			}
		}
	})
	// refuse tells which refuse all of a range, up to two, and whether it is of use at
	// all.
	refuse := func(n node) (by []int, use bool) {
		n.span = n.flattened()
		n.sure = false
		var lies bool
		if n.span, lies = bare.lie(n.span); !lies {
			return nil, false
		}
		if possible, _ := bare.possibleLying(n.span); !possible {
			return nil, false
		}
		_, moves := n.moves(c.radius)
		reach := c.radius + moves + c.Need.Clearance() + c.Body.Thickness
		for i := range things {
			if !boxes[i].Grow(reach).Has(geom.Pt(n.x, n.y)) {
				continue
			}
			if possible, _ := only[i].possible(n.flattened()); !possible {
				if by = append(by, i); len(by) == 2 {
					return by, false
				}
			}
		}
		return by, true
	}
	ranges := s.hunt(bare, finest).open
	slices.SortFunc(ranges, func(a, b quarry) int { return a.number - b.number })
	by := make([][]int, len(ranges))
	use := make([]bool, len(ranges))
	s.each(len(ranges), func(_ *scratch, i int) {
		if ctx.Err() == nil {
			by[i], use[i] = refuse(ranges[i].node)
		}
	})
	s.evaluated += len(ranges)

	var useless []string
	found := 0
	var open []string
	for i, parts := range things {
		if ctx.Err() != nil {
			return
		}
		without := slices.Delete(slices.Clone(c.obstacles), parts[0], parts[1])
		h := &hunt{s: s, c: c.with(without), fine: finest}
		for k, q := range ranges {
			if use[k] && (len(by[k]) == 0 || by[k][0] == i) {
				h.push(quarry{node: q.node, asked: -1})
			}
		}
		name := "without " + c.obstacles[parts[0]].Name
		switch p, fits := h.next(ctx, patience); {
		case fits && s.adopt(p):
			return
		case fits:
			found++
			out.Relaxations = append(out.Relaxations, Relaxation{Limit: name, Unit: YesOrNo, Placement: p})
		case h.proved():
			useless = append(useless, name)
		default:
			open = append(open, name)
		}
	}
	const told = 12 // by name
	switch {
	case len(useless) <= told || len(open) > 0:
	case found == 0:
		useless = []string{"without any one hollow, fastener or flaw"}
	default:
		useless = []string{"without any one of the other hollows, fasteners and flaws"}
	}
	out.Useless = append(out.Useless, useless...)
	out.Undecided = append(out.Undecided, open...)
}
