package place

import (
	"bytes"
	"context"
	"crypto/sha256"
	"math"
	"reflect"
	"slices"

	"slabwright/body/geom"
	"slabwright/layout/slab"
)

// A tree is what a search leaves for the next one: its ranges, which together
// hold every placement, as they were told apart in the end. Whatever has
// changed since, they still hold every placement of the same slab's bounds, and
// the next search judges them anew where it must and goes on from there.
type tree struct {
	of         *Case
	roots      []node
	scored     []node // ranges with a bound on the score
	impossible []span // ranges in which nothing was allowed
	found      []Found
	fresh      int // how many ranges the first search of the line left
}

// Trees grow from search to search, as ranges are cut and never joined. One
// that has grown so many times its first size is begun anew, and one larger
// than treeMost is not kept.
const (
	treeGrowth = 4
	treeMost   = 1 << 17
)

// tree is what the search leaves.
func (s *search) tree() *tree {
	t := &tree{of: s.c, roots: s.roots(), impossible: s.impossible, fresh: s.fresh}
	t.scored = append(s.scored, s.open...)
	if n := len(t.scored) + len(t.impossible); n > treeMost || s.best == nil {
		return nil
	} else if t.fresh == 0 {
		t.fresh = n
	}
	t.found = append(t.found, *s.best)
	const most = 12
	for _, f := range s.others { // in order, see alternatives
		if len(t.found) < most && !slices.ContainsFunc(t.found, func(k Found) bool { return alike(k.Placement, f.Placement) }) {
			t.found = append(t.found, f)
		}
	}
	return t
}

// resume begins with what a search before left, if that compares.
func (s *search) resume(ctx context.Context) bool {
	if s.o.After == nil || s.o.After.tree == nil || s.record != nil {
		return false
	}
	c, t := s.c, s.o.After.tree
	was := t.of
	if !was.sameBody(c) || was.Need != c.Need || !reflect.DeepEqual(was.Wish, c.Wish) ||
		!slices.EqualFunc(t.roots, s.roots(), func(a, b node) bool { return a.span == b.span }) ||
		len(t.scored)+len(t.impossible) > treeGrowth*t.fresh {
		return false
	}
	s.fresh = t.fresh
	// The best before, and others, are the ones to beat.
	again := make([]*Found, len(t.found))
	s.each(len(again), func(_ *scratch, i int) {
		if p := c.Settle(t.found[i].Placement); c.passes(p) {
			again[i] = &Found{p, c.Score(p)}
		}
	})
	for _, f := range again {
		if f != nil {
			s.found(*f)
		}
	}
	if again[0] == nil {
		s.seed(ctx) // the best before is not allowed any more
	} else if f := c.polish(s.each, c.over(s.best.Placement), 1, math.Pi/720, roughly); f != nil {
		s.found(*f)
	}
	if s.best == nil {
		return false
	}

	// What of the ranges still holds?
	sameOutline, sameLines := was.hasOutline(c), sameLines(was, c)
	noFewer := c.hasHollows(was.obstacles)
	sameHollows := noFewer && was.hasHollows(c.obstacles)
	sameScore := sameOutline && was.looksLike(c) // with other faces the body may be tilted otherwise, and look so
	anew := make([]node, 0, len(t.scored)+len(t.impossible))
	s.scored = make([]node, 0, 2*len(t.scored))
	for _, n := range t.scored {
		n.trail = nil
		n.clear = n.clear && sameHollows && sameOutline
		n.may = sameHollows && sameOutline && sameLines
		if !sameOutline {
			n.span = n.flattened()
			n.sure = false
		}
		if sameScore && n.bound >= s.goal() {
			s.drop(n, ByScore)
		} else if sameScore {
			s.open = append(s.open, n)
		} else {
			n.bound, n.lines, n.passed = 0, 0, true
			anew = append(anew, n)
		}
	}
	if sameOutline && noFewer && sameLines {
		s.impossible = append(s.impossible, t.impossible...)
	} else {
		for _, sp := range t.impossible {
			sp.sure = false
			anew = append(anew, node{span: sp.flattened()})
		}
	}
	s.judge(anew)
	return true
}

// sameBody tells whether two cases place the same body.
func (c *Case) sameBody(d *Case) bool {
	if c.Body == d.Body {
		return true
	}
	a, b := sha256.New(), sha256.New()
	return c.printBody(a) == nil && d.printBody(b) == nil && bytes.Equal(a.Sum(nil), b.Sum(nil))
}

// hasOutline tells whether another case's slab has the same outline, faces and
// edges.
func (c *Case) hasOutline(d *Case) bool {
	return slices.Equal(c.outline, d.outline) && reflect.DeepEqual(c.Slab.Profile, d.Slab.Profile) && c.Slab.Edge == d.Slab.Edge
}

// hasHoles tells whether the case's deep obstacles have these regions.
func (c *Case) hasHoles(holes []geom.Convex) bool {
	return slices.EqualFunc(c.holes(), holes, slices.Equal[geom.Convex])
}

// hasHollows tells whether all these obstacles are among the case's.
func (c *Case) hasHollows(list []slab.Obstacle) bool {
	byCorner := map[geom.Point][]slab.Obstacle{}
	for _, o := range c.obstacles {
		byCorner[o.Region[0]] = append(byCorner[o.Region[0]], o)
	}
	for _, o := range list {
		if !slices.ContainsFunc(byCorner[o.Region[0]], func(k slab.Obstacle) bool {
			return slices.Equal(k.Region, o.Region) && k.Bottom == o.Bottom && k.Top == o.Top && k.WholeThrough == o.WholeThrough
		}) {
			return false
		}
	}
	return true
}

// looksLike tells whether another case of the same body has the same score
// everywhere: its woods have the same shapes and the same differences of colour.
func (c *Case) looksLike(d *Case) bool {
	return sameLines(c, d) && reflect.DeepEqual(c.look.diff, d.look.diff) &&
		slices.EqualFunc(c.look.patches, d.look.patches, func(a, b patch) bool {
			return a.colour == b.colour && slices.Equal(a.region, b.region)
		})
}

// sameLines tells whether the glue lines of two slabs run alike.
func sameLines(c, d *Case) bool {
	return slices.EqualFunc(c.lines, d.lines, func(a, b slab.GlueLine) bool { return a.A == b.A && a.B == b.B })
}
