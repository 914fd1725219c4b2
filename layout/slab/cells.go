package slab

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"slabwright/body/geom"
)

// Thickness is the strip's finished thickness across the slab in mm, that of
// its first piece.
func (t Strip) Thickness() float64 {
	if len(t.Pieces) == 0 {
		return 0
	}
	return t.Pieces[0].Thickness
}

// Width is the sum of the strips' finished thicknesses in mm.
func (s *Slab) Width() float64 {
	w := 0.0
	for _, t := range s.Strips {
		w += t.Thickness()
	}
	return w
}

// Band is where strip lies across the slab: y0 its right side, y1 its left.
// Neighbours share the number: y1 of one is y0 of the next, exactly.
func (s *Slab) Band(strip int) (y0, y1 float64) {
	b := s.bands()
	return b[strip], b[strip+1]
}

// bands are the y of all joints and of both sides, from right to left. The
// last is set to +W/2 rather than summed up to it.
func (s *Slab) bands() []float64 {
	b := make([]float64, len(s.Strips)+1)
	half := s.Width() / 2
	y := -half
	for i, t := range s.Strips {
		b[i] = y
		y += t.Thickness()
	}
	b[len(s.Strips)] = half
	return b
}

// StripName is the strip's name, or its number from the right.
func (s *Slab) StripName(strip int) string {
	if n := s.Strips[strip].Name; n != "" {
		return n
	}
	return fmt.Sprintf("strip %d", strip+1)
}

// nthIn names chamber k of a strip, from 0: "heart 2", but "strip 3, chamber 2"
// where two numbers would meet.
func (s *Slab) nthIn(strip, k int) string {
	name := s.StripName(strip)
	if last := name[len(name)-1]; '0' <= last && last <= '9' {
		name += ", chamber"
	}
	return fmt.Sprintf("%s %d", name, k+1)
}

// joint is one upright saw cut through a strip: where it stands on the right
// side, on the centreline and on the left side. A straight joint has mid
// halfway.
//
//	y1 ──────*─────   left       y1 ───*────────
//	        /                           \
//	yc ····*·······   mid        yc ·····*······   a chevron leaning +1
//	      /                             /
//	y0 ──*─────────   right      y0 ───*────────
type joint struct{ right, mid, left float64 }

// joints are the transition's saw cuts along +x: one more than it has slips.
func (t Transition) joints(thickness float64) []joint {
	sin, tan := 1.0, math.Inf(1)
	if t.Kind != Square {
		sin, tan = math.Sin(t.Angle), math.Tan(t.Angle)
	}
	run := thickness / 2 / tan // along x over half the strip
	if t.Kind == Square {
		run = 0
	}
	if t.Lean < 0 {
		run = -run
	}
	total := 0.0
	for _, p := range t.Slips {
		total += p.Width / sin
	}
	x := t.At - total/2
	js := make([]joint, 0, len(t.Slips)+1)
	for k := 0; ; k++ {
		switch t.Kind {
		case Chevron:
			js = append(js, joint{x - run, x, x - run})
		default:
			js = append(js, joint{x - run, x, x + run})
		}
		if k == len(t.Slips) {
			return js
		}
		x += t.Slips[k].Width / sin
	}
}

// part is one wood of a strip between two joints.
type part struct {
	piece    int // as Cell.Piece
	wood     Piece
	from, to joint
	bentFrom bool
	bentTo   bool
}

// parts are the woods of a strip along x: its pieces with the slips between.
func (s *Slab) parts(strip int) []part {
	t := s.Strips[strip]
	if len(t.Pieces) == 0 {
		return nil
	}
	at := joint{}
	bent := false
	var out []part
	slips := 0
	for i, p := range t.Pieces {
		if i == len(t.Pieces)-1 || i >= len(t.Transitions) {
			out = append(out, part{i, p, at, joint{s.Length, s.Length, s.Length}, bent, false})
			break
		}
		tr := t.Transitions[i]
		js := tr.joints(t.Thickness())
		chevron := tr.Kind == Chevron
		out = append(out, part{i, p, at, js[0], bent, chevron})
		for k, sl := range tr.Slips {
			w := sl.Piece
			w.Thickness = t.Thickness()
			out = append(out, part{-1 - slips, w, js[k], js[k+1], chevron, chevron})
			slips++
		}
		at, bent = js[len(js)-1], chevron
	}
	return out
}

// Cells are the slab's patches of one wood each, strip by strip from the
// right, along +x, the right half of a chevron's neighbour before its left
// half.
//
// Laws: (1) every cell is convex and counter-clockwise; (2) together they
// cover [0, Length] × [−W/2, W/2]; (3) no two overlap. (2) and (3) hold to
// rounding: joints between strips are shared exactly, and so are the corners
// of neighbours in a strip.
func (s *Slab) Cells() []Cell {
	var cells []Cell
	b := s.bands()
	for i := range s.Strips {
		for _, p := range s.parts(i) {
			for _, region := range p.regions(b[i], b[i+1]) {
				cells = append(cells, Cell{i, p.piece, p.wood, region})
			}
		}
	}
	return cells
}

// regions are the part's convex patches: one, or two halves where it ends in
// a chevron.
func (p part) regions(y0, y1 float64) []geom.Convex {
	if !p.bentFrom && !p.bentTo {
		return []geom.Convex{{geom.Pt(p.from.right, y0), geom.Pt(p.to.right, y0), geom.Pt(p.to.left, y1), geom.Pt(p.from.left, y1)}}
	}
	yc := (y0 + y1) / 2
	return []geom.Convex{
		{geom.Pt(p.from.right, y0), geom.Pt(p.to.right, y0), geom.Pt(p.to.mid, yc), geom.Pt(p.from.mid, yc)},
		{geom.Pt(p.from.mid, yc), geom.Pt(p.to.mid, yc), geom.Pt(p.to.left, y1), geom.Pt(p.from.left, y1)},
	}
}

// GlueLines are all joints seen in plan: first those between strips, from
// right to left, each split along +x where the wood on either side changes;
// then those inside strips, a chevron as two. They are not cut to the plan
// outline.
func (s *Slab) GlueLines() []GlueLine {
	var lines []GlueLine
	b := s.bands()
	var right []part
	if len(s.Strips) > 0 {
		right = s.parts(0)
	}
	all := [][]part{right}
	for i := 1; i < len(s.Strips); i++ {
		left := s.parts(i)
		all = append(all, left)
		name := s.StripName(i-1) + " / " + s.StripName(i)
		y := b[i]
		x := 0.0
		for r, l := 0, 0; r < len(right) && l < len(left); {
			endR, endL := right[r].to.left, left[l].to.right
			end := min(endR, endL)
			if end > x {
				lines = append(lines, GlueLine{
					Name: name, A: geom.Pt(x, y), B: geom.Pt(end, y),
					Left: left[l].wood, Right: right[r].wood, Strip: i - 1,
				})
				x = end
			}
			if endR <= end {
				r++
			}
			if endL <= end {
				l++
			}
		}
		right = left
	}
	for i, parts := range all {
		y0, y1 := b[i], b[i+1]
		for k := 0; k+1 < len(parts); k++ {
			p, q := parts[k], parts[k+1]
			g := GlueLine{
				Name: s.StripName(i) + ": " + p.wood.Wood + " / " + q.wood.Wood,
				Left: p.wood, Right: q.wood, Transition: true, Strip: i,
			}
			if p.bentTo {
				yc := (y0 + y1) / 2
				lower, upper := g, g
				lower.A, lower.B = geom.Pt(p.to.right, y0), geom.Pt(p.to.mid, yc)
				upper.A, upper.B = geom.Pt(p.to.mid, yc), geom.Pt(p.to.left, y1)
				lines = append(lines, lower, upper)
				continue
			}
			g.A, g.B = geom.Pt(p.to.right, y0), geom.Pt(p.to.left, y1)
			lines = append(lines, g)
		}
	}
	return lines
}

// tiling is the stack's parts made ready to cut rings by.
type tiling struct {
	bands  []float64
	strips [][]part
	first  []int // number of the first part of each strip, counting all parts
}

func (s *Slab) tiles() tiling {
	t := tiling{bands: s.bands()}
	n := 0
	for i := range s.Strips {
		t.first = append(t.first, n)
		t.strips = append(t.strips, s.parts(i))
		n += len(t.strips[i])
	}
	return t
}

// each cuts the ring by all parts and visits what falls to each, in order
// along its strip; of a strip with a chevron first the right half and then the
// left. What is visited is gone after the visit.
func (t tiling) each(ring geom.Polygon, visit func(part int, cut geom.Polygon)) {
	var c cutter
	for i, mine := range t.slices(ring) {
		if len(mine) >= 3 {
			c.strip(t.strips[i], t.bands[i], t.bands[i+1], mine, func(k int, cut geom.Polygon) { visit(t.first[i]+k, cut) })
		}
	}
}

// cutter cuts rings by lines into the stores of those cut before.
type cutter struct{ halves, ends [2]geom.Polygon }

// strip cuts a ring that lies in the strip's band by the strip's joints.
func (c *cutter) strip(parts []part, y0, y1 float64, ring geom.Polygon, visit func(k int, cut geom.Polygon)) {
	switch {
	case len(parts) == 1:
		visit(0, ring)
	case !slices.ContainsFunc(parts, func(p part) bool { return p.bentTo }):
		c.pieces(parts, ring, func(j joint) (a, b geom.Point) { return geom.Pt(j.right, y0), geom.Pt(j.left, y1) }, visit)
	default:
		yc := (y0 + y1) / 2
		left, right := &c.halves[0], &c.halves[1]
		*left, *right = split(ring, geom.Pt(0, yc), geom.Pt(1, yc), *left, *right)
		c.pieces(parts, *right, func(j joint) (a, b geom.Point) { return geom.Pt(j.right, y0), geom.Pt(j.mid, yc) }, visit)
		c.pieces(parts, *left, func(j joint) (a, b geom.Point) { return geom.Pt(j.mid, yc), geom.Pt(j.left, y1) }, visit)
	}
}

// pieces cuts the ring by one straight line for each joint, along the slab.
func (c *cutter) pieces(parts []part, ring geom.Polygon, line func(joint) (a, b geom.Point), visit func(k int, cut geom.Polygon)) {
	var own geom.Polygon
	for k := range parts[:len(parts)-1] {
		a, b := line(parts[k].to)
		own, c.ends[k%2] = split(ring, a, b, own, c.ends[k%2])
		if len(own) >= 3 {
			visit(k, own)
		}
		if ring = c.ends[k%2]; len(ring) < 3 {
			return
		}
	}
	visit(len(parts)-1, ring)
}

// split cuts a ring along the line through a and b into what lies on its left
// and on its right (I. E. Sutherland and G. W. Hodgman, Reentrant polygon
// clipping, Communications of the ACM 17, 1974, for both sides at once),
// written into the stores given.
func split(ring geom.Polygon, a, b geom.Point, left, right geom.Polygon) (onLeft, onRight geom.Polygon) {
	left, right = left[:0], right[:0]
	if len(ring) == 0 {
		return left, right
	}
	d := b.Sub(a)
	p := ring[len(ring)-1]
	u := d.Cross(p.Sub(a))
	for _, q := range ring {
		v := d.Cross(q.Sub(a))
		if u > 0 && v < 0 || u < 0 && v > 0 {
			x := p.Lerp(q, u/(u-v))
			left, right = append(left, x), append(right, x)
		}
		if v >= 0 {
			left = append(left, q)
		}
		if v <= 0 {
			right = append(right, q)
		}
		p, u = q, v
	}
	return left, right
}

// slices cuts the ring by all bands in one walk round it. Each edge is cut
// where it crosses joints, and each piece of it goes to the strip it lies in.
// A ring that leaves a band over one side must come back over the same side,
// so joining the pieces in order closes every slice along the joints, as
// clipping by Sutherland and Hodgman would; parts that fall apart stay joined
// back and forth, which areas do not feel.
func (t tiling) slices(ring geom.Polygon) []geom.Polygon {
	n := len(t.strips)
	out := make([]geom.Polygon, n)
	if len(ring) == 0 {
		return out
	}
	const few = 12 // points that most slices come to, from one store
	store := make(geom.Polygon, few*n)
	for i := range out {
		out[i] = store[few*i : few*i : few*(i+1)]
	}
	put := func(i int, p geom.Point) {
		if k := len(out[i]); k == 0 || out[i][k-1] != p {
			out[i] = append(out[i], p)
		}
	}
	strip := func(y float64) int { return max(0, min(sort.SearchFloat64s(t.bands, y)-1, n-1)) }
	a := ring[len(ring)-1]
	for _, b := range ring {
		i, j := strip(a.Y), strip(b.Y)
		put(i, a)
		for i != j {
			side, next := i+1, i+1
			if j < i {
				side, next = i, i-1
			}
			y := t.bands[side]
			x := a.X + (b.X-a.X)*(y-a.Y)/(b.Y-a.Y)
			put(i, geom.Pt(x, y))
			put(next, geom.Pt(x, y))
			i = next
		}
		put(j, b)
		a = b
	}
	return out
}
