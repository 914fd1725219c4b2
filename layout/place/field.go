package place

import (
	"math"
	"sync/atomic"

	"slabwright/body/geom"
)

// A field answers how far a place in the plan is from the nearest edge of a
// set of rings, and on which side, in a time that does not grow with the
// number of edges. "Free" is inside the outer ring and outside every hole.
//
// The plan is cut into square blocks. Each block keeps the signed distance at
// its centre and the few edges that can be nearest to anything in the block.
// With r the half diagonal of the block, s the longest segment asked about and
// d the distance at the centre: whatever lies nearest to a point of a segment
// that begins in the block is at most d + r + s from that point, hence at most
// d + 2(r + s) from the centre. Those edges are kept; no others are needed.
//
// Blocks are made a tile at a time, when one of them is first asked for: one
// verdict needs few of them. Whoever makes a tile makes the same one, so that
// several may at once.
type field struct {
	origin geom.Point
	step   float64
	nx, ny int     // blocks
	tx     int     // tiles in a row
	reach  float64 // longest segment that may be asked about

	tiles []atomic.Pointer[tile]
	lots  []atomic.Pointer[lot]
	lx    int // lots in a row
	edges []edge
	outer geom.Polygon
	holes []hole
}

// tile is a square of blocks, tileSide each way.
type tile struct {
	centre [tileSide * tileSide]float64 // signed distance at the block's centre, positive when free
	start  [tileSide*tileSide + 1]int32 // block b's candidates are list[start[b]:start[b+1]]
	list   []int32
}

// lot is a square of tiles, lotSide each way: what its tiles are made from.
type lot struct {
	edges []int32 // those that can be nearest to anything in it
	holes []hole  // those that reach into it
}

const tileSide, lotSide = 8, 4

type edge struct {
	a, b  geom.Point
	owner int // −1 for the outer ring, else the hole
}

type hole struct {
	ring   geom.Convex
	bounds geom.Box
}

// newField indexes the region inside outer and outside the holes. step is
// the wanted block size in mm, reach the longest segment to be asked about.
func newField(outer geom.Polygon, holes []geom.Convex, step, reach float64) *field {
	f := &field{reach: reach, outer: outer}
	add := func(ring geom.Polygon, owner int) {
		for i, a := range ring {
			if b := ring[(i+1)%len(ring)]; a != b {
				f.edges = append(f.edges, edge{a, b, owner})
			}
		}
	}
	add(outer, -1)
	for i, h := range holes {
		add(geom.Polygon(h), i)
		f.holes = append(f.holes, hole{h, geom.Polygon(h).Bounds()})
	}
	box := outer.Bounds().Grow(4 * step)
	f.origin, f.step = box.Min, step
	f.nx = int(math.Ceil(box.Width() / step))
	f.ny = int(math.Ceil(box.Height() / step))
	f.tx = (f.nx + tileSide - 1) / tileSide
	ty := (f.ny + tileSide - 1) / tileSide
	f.tiles = make([]atomic.Pointer[tile], f.tx*ty)
	f.lx = (f.tx + lotSide - 1) / lotSide
	f.lots = make([]atomic.Pointer[lot], f.lx*((ty+lotSide-1)/lotSide))
	return f
}

// tile gives a tile, by its number along and up.
func (f *field) tile(x, y int) *tile {
	p := &f.tiles[y*f.tx+x]
	if t := p.Load(); t != nil {
		return t
	}
	t := f.newTile(x, y)
	p.Store(t)
	return t
}

// lot gives a lot, by its number along and up.
func (f *field) lot(x, y int) *lot {
	p := &f.lots[y*f.lx+x]
	if l := p.Load(); l != nil {
		return l
	}
	all := make([]int32, len(f.edges))
	for i := range all {
		all[i] = int32(i)
	}
	const n = tileSide * lotSide
	l := new(lot)
	l.edges, _ = f.nearest(nil, x*n, y*n, n, all, make([]float64, len(all)))
	half := float64(n) * f.step / 2
	c := f.centre(x*n, y*n, n)
	box := geom.Box{Min: geom.Pt(c.X-half, c.Y-half), Max: geom.Pt(c.X+half, c.Y+half)}
	for _, h := range f.holes {
		if h.bounds.Meets(box) {
			l.holes = append(l.holes, h)
		}
	}
	p.Store(l)
	return l
}

// nearest appends to kept the part of a list of edges that can be nearest to
// what begins in the square of n × n blocks from block x, y on, and gives the
// distance of the nearest to its middle. Of d there must be room for the list.
func (f *field) nearest(kept []int32, x, y, n int, list []int32, d []float64) (_ []int32, least float64) {
	c := f.centre(x, y, n)
	least = math.Inf(1)
	for i, e := range list {
		d[i] = square(c, f.edges[e].a, f.edges[e].b)
		least = min(least, d[i])
	}
	least = math.Sqrt(least)
	most := least + 2*(f.across(n)+f.reach)
	most *= most * (1 + 1e-12)
	for i, e := range list {
		if d[i] <= most {
			kept = append(kept, e)
		}
	}
	return kept, least
}

// across is half the diagonal of a square of n × n blocks, and a hair.
func (f *field) across(n int) float64 { return float64(n) * f.step * (math.Sqrt2/2 + 1e-9) }

// centre is the middle of the square of n × n blocks from block x, y on.
func (f *field) centre(x, y, n int) geom.Point {
	return f.origin.Add(geom.V((float64(x)+float64(n)/2)*f.step, (float64(y)+float64(n)/2)*f.step))
}

func (f *field) newTile(tx, ty int) *tile {
	t := new(tile)
	lot := f.lot(tx/lotSide, ty/lotSide)
	d := make([]float64, len(lot.edges))
	lists := make([]int32, 0, 8*len(lot.edges)) // one after the other
	var of [tileSide * tileSide][2]int          // where each block's is
	// Most tiles are inside the outer ring, or outside it, as a whole.
	middle := f.centre(tx*tileSide, ty*tileSide, tileSide)
	across, rim := f.across(tileSide), false
	for _, e := range lot.edges {
		edge := &f.edges[e]
		rim = rim || edge.owner < 0 && square(middle, edge.a, edge.b) <= across*across
	}
	outside := f.outer.Locate(middle) == geom.Outside
	isFree := func(p geom.Point) bool {
		if rim {
			return f.freeOf(lot.holes, p)
		}
		return !outside && !anyHas(lot.holes, p)
	}
	// A quad tree is walked, not kept: each level narrows its parent's list. A
	// square that no edge comes into is free, or not, as a whole.
	const unknown, taken, free = 0, -1, 1
	var walk func(x, y, n int, list []int32, side float64)
	walk = func(x, y, n int, list []int32, side float64) {
		from := len(lists)
		var least float64
		lists, least = f.nearest(lists, tx*tileSide+x, ty*tileSide+y, n, list, d)
		kept := lists[from:]
		if whole := least > f.across(n); side == unknown && (whole || n == 1) {
			if side = taken; isFree(f.centre(tx*tileSide+x, ty*tileSide+y, n)) {
				side = free
			}
		}
		if n > 1 {
			h := n / 2
			walk(x, y, h, kept, side)
			walk(x+h, y, h, kept, side)
			walk(x, y+h, h, kept, side)
			walk(x+h, y+h, h, kept, side)
			return
		}
		b := y*tileSide + x
		t.centre[b], of[b] = side*least, [2]int{from, len(lists)}
	}
	walk(0, 0, tileSide, lot.edges, unknown)
	n := 0
	for _, r := range of {
		n += r[1] - r[0]
	}
	t.list = make([]int32, 0, n)
	for b, r := range of {
		t.list = append(t.list, lists[r[0]:r[1]]...)
		t.start[b+1] = int32(len(t.list))
	}
	return t
}

// free tells by the rings themselves whether p is free.
func (f *field) free(p geom.Point) bool { return f.freeOf(f.holes, p) }

// freeOf is free where only these holes may hold p.
func (f *field) freeOf(holes []hole, p geom.Point) bool {
	return f.outer.Locate(p) != geom.Outside && !anyHas(holes, p)
}

func anyHas(holes []hole, p geom.Point) bool {
	for _, h := range holes {
		if h.has(p) {
			return true
		}
	}
	return false
}

func (h hole) has(p geom.Point) bool {
	if !h.bounds.Has(p) {
		return false
	}
	for i, a := range h.ring {
		if h.ring[(i+1)%len(h.ring)].Sub(a).Cross(p.Sub(a)) < 0 {
			return false
		}
	}
	return true
}

// block finds the tile of p, the block in it, and p's distance from the block's
// centre; it gives no tile outside the grid, where nothing is free.
func (f *field) block(p geom.Point) (t *tile, b int, off float64) {
	fx, fy := (p.X-f.origin.X)/f.step, (p.Y-f.origin.Y)/f.step
	if !(fx >= 0 && fy >= 0 && fx < float64(f.nx) && fy < float64(f.ny)) {
		return nil, 0, 0
	}
	x, y := int(fx), int(fy)
	dx, dy := fx-float64(x)-0.5, fy-float64(y)-0.5
	return f.tile(x/tileSide, y/tileSide), y%tileSide*tileSide + x%tileSide, f.step * math.Sqrt(dx*dx+dy*dy)
}

// near are the edges that can be nearest to what begins in block b.
func (t *tile) near(b int) []int32 { return t.list[t.start[b]:t.start[b+1]] }

// atLeast is a cheap lower bound on the signed distance at p: the distance at
// the block's centre less the way to it.
func (f *field) atLeast(p geom.Point) float64 {
	t, b, off := f.block(p)
	if t == nil {
		return math.Inf(-1)
	}
	return t.centre[b] - off
}

// atMost is a cheap upper bound on the signed distance at p; outside the grid
// it is 0, as nothing is free there.
func (f *field) atMost(p geom.Point) float64 {
	t, b, off := f.block(p)
	if t == nil {
		return 0
	}
	return t.centre[b] + off
}

// depth is the exact signed distance at p, positive when free. Outside the
// grid it is found the slow way.
func (f *field) depth(p geom.Point) float64 {
	t, b, off := f.block(p)
	d := math.Inf(1)
	if t == nil {
		for i := range f.edges {
			d = min(d, square(p, f.edges[i].a, f.edges[i].b))
		}
		return -math.Sqrt(d)
	}
	for _, i := range t.near(b) {
		d = min(d, square(p, f.edges[i].a, f.edges[i].b))
	}
	d = math.Sqrt(d)
	free := t.centre[b] > 0
	if math.Abs(t.centre[b]) <= off {
		free = f.free(p)
	}
	if !free {
		return -d
	}
	return d
}

// nearestEdge is the edge that is nearest to p, the place on it, and whether p is
// free; nil where there are no edges.
func (f *field) nearestEdge(p geom.Point) (e *edge, at geom.Point, free bool) {
	t, b, off := f.block(p)
	least := math.Inf(1)
	try := func(i int32) {
		if d := square(p, f.edges[i].a, f.edges[i].b); d < least {
			least, e = d, &f.edges[i]
		}
	}
	if t == nil {
		for i := range f.edges {
			try(int32(i))
		}
	} else {
		for _, i := range t.near(b) {
			try(i)
		}
		free = t.centre[b] > 0
		if math.Abs(t.centre[b]) <= off {
			free = f.free(p)
		}
	}
	if e != nil {
		at = nearestOn(p, e.a, e.b)
	}
	return e, at, free
}

// segment is the exact distance from the segment a b, no longer than reach,
// to the nearest edge: 0 when it touches one. owner and at tell which and
// where on the segment. Outside the grid the distance is 0.
func (f *field) segment(a, b geom.Point) (d float64, owner int, at geom.Point) {
	t, blk, _ := f.block(a)
	if t == nil {
		return 0, -1, a
	}
	least, which := math.Inf(1), int32(-1)
	// Of two segments that cross, an end of a b is within half its length of
	// the other.
	half := b.Sub(a).Dot(b.Sub(a)) / 4
	for _, i := range t.near(blk) {
		e := &f.edges[i]
		q := min(square(a, e.a, e.b), square(b, e.a, e.b), square(e.a, a, b), square(e.b, a, b))
		if q > 0 && q <= half && cross(a, b, e.a, e.b) {
			q = 0
		}
		if q < least {
			least, which = q, i
		}
	}
	if which < 0 {
		return math.Inf(1), -1, a
	}
	e := &f.edges[which]
	d, at, _ = geom.SegmentSegment(a, b, e.a, e.b) // once, for the place
	return d, e.owner, at
}

// square is the squared distance from p to the segment a b.
func square(p, a, b geom.Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	px, py := p.X-a.X, p.Y-a.Y
	if l := dx*dx + dy*dy; l > 0 {
		t := max(0, min(1, (px*dx+py*dy)/l))
		px, py = px-t*dx, py-t*dy
	}
	return px*px + py*py
}

// cross tells whether two segments cross, each strictly between the other's
// ends; where they only touch, a squared distance is 0 already.
func cross(a, b, c, d geom.Point) bool {
	ab, cd := b.Sub(a), d.Sub(c)
	return (ab.Cross(c.Sub(a)) > 0) != (ab.Cross(d.Sub(a)) > 0) && (cd.Cross(a.Sub(c)) > 0) != (cd.Cross(b.Sub(c)) > 0)
}
