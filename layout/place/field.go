package place

import (
	"math"

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
type field struct {
	origin geom.Point
	step   float64
	nx, ny int
	reach  float64 // longest segment that may be asked about

	centre []float64 // signed distance at the block centre, positive when free
	start  []int32   // block b's candidates are list[start[b]:start[b+1]]
	list   []int32
	edges  []edge
	outer  geom.Polygon
	holes  []hole
}

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
	n := 1
	for float64(n)*step < math.Max(box.Width(), box.Height()) {
		n *= 2
	}
	f.origin, f.step = box.Min, step
	f.nx = int(math.Ceil(box.Width() / step))
	f.ny = int(math.Ceil(box.Height() / step))
	f.centre = make([]float64, f.nx*f.ny)
	candidates := make([][]int32, f.nx*f.ny)

	all := make([]int32, len(f.edges))
	for i := range all {
		all[i] = int32(i)
	}
	// A quad tree is walked, not kept: each level narrows its parent's list.
	var walk func(x, y, n int, list []int32)
	walk = func(x, y, n int, list []int32) {
		if x >= f.nx || y >= f.ny {
			return
		}
		size := float64(n) * step
		c := f.origin.Add(geom.V((float64(x)+float64(n)/2)*step, (float64(y)+float64(n)/2)*step))
		d := make([]float64, len(list))
		least := math.Inf(1)
		for i, e := range list {
			d[i], _ = geom.PointSegment(c, f.edges[e].a, f.edges[e].b)
			least = math.Min(least, d[i])
		}
		most := least + 2*(size*math.Sqrt2/2+reach)
		kept := make([]int32, 0, len(list))
		for i, e := range list {
			if d[i] <= most {
				kept = append(kept, e)
			}
		}
		if n > 1 {
			h := n / 2
			walk(x, y, h, kept)
			walk(x+h, y, h, kept)
			walk(x, y+h, h, kept)
			walk(x+h, y+h, h, kept)
			return
		}
		b := y*f.nx + x
		if !f.free(c) {
			least = -least
		}
		f.centre[b], candidates[b] = least, kept
	}
	walk(0, 0, n, all)
	f.start = make([]int32, len(candidates)+1)
	for b, c := range candidates {
		f.list = append(f.list, c...)
		f.start[b+1] = int32(len(f.list))
	}
	return f
}

// free tells by the rings themselves whether p is free.
func (f *field) free(p geom.Point) bool {
	if f.outer.Locate(p) == geom.Outside {
		return false
	}
	for _, h := range f.holes {
		if h.has(p) {
			return false
		}
	}
	return true
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

// block finds the block of p and p's distance from its centre; ok is false
// outside the grid, where nothing is free.
func (f *field) block(p geom.Point) (b int, off float64, ok bool) {
	fx, fy := (p.X-f.origin.X)/f.step, (p.Y-f.origin.Y)/f.step
	if !(fx >= 0 && fy >= 0 && fx < float64(f.nx) && fy < float64(f.ny)) {
		return 0, 0, false
	}
	x, y := int(fx), int(fy)
	dx, dy := fx-float64(x)-0.5, fy-float64(y)-0.5
	return y*f.nx + x, f.step * math.Sqrt(dx*dx+dy*dy), true
}

// atLeast is a cheap lower bound on the signed distance at p: the distance at
// the block's centre less the way to it.
func (f *field) atLeast(p geom.Point) float64 {
	b, off, ok := f.block(p)
	if !ok {
		return math.Inf(-1)
	}
	return f.centre[b] - off
}

// atMost is a cheap upper bound on the signed distance at p; outside the grid
// it is 0, as nothing is free there.
func (f *field) atMost(p geom.Point) float64 {
	b, off, ok := f.block(p)
	if !ok {
		return 0
	}
	return f.centre[b] + off
}

// depth is the exact signed distance at p, positive when free. Outside the
// grid it is found the slow way.
func (f *field) depth(p geom.Point) float64 {
	b, off, ok := f.block(p)
	d := math.Inf(1)
	if !ok {
		for i := range f.edges {
			d = min(d, square(p, f.edges[i].a, f.edges[i].b))
		}
		return -math.Sqrt(d)
	}
	for _, i := range f.list[f.start[b]:f.start[b+1]] {
		d = min(d, square(p, f.edges[i].a, f.edges[i].b))
	}
	d = math.Sqrt(d)
	free := f.centre[b] > 0
	if math.Abs(f.centre[b]) <= off {
		free = f.free(p)
	}
	if !free {
		return -d
	}
	return d
}

// segment is the exact distance from the segment a b, no longer than reach,
// to the nearest edge: 0 when it touches one. owner and at tell which and
// where on the segment. Outside the grid the distance is 0.
func (f *field) segment(a, b geom.Point) (d float64, owner int, at geom.Point) {
	blk, _, ok := f.block(a)
	if !ok {
		return 0, -1, a
	}
	least, which := math.Inf(1), int32(-1)
	// Of two segments that cross, an end of a b is within half its length of
	// the other.
	half := b.Sub(a).Dot(b.Sub(a)) / 4
	for _, i := range f.list[f.start[blk]:f.start[blk+1]] {
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
