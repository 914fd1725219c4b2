package slab

import (
	"math"
	"slices"

	"slabwright/body/geom"
)

// Where a chamber may lie: the free spans of every strip.

// span is an interval along x.
type span struct{ from, to float64 }

func (a span) length() float64 { return a.to - a.from }

// newPlanner finds the free spans: what is left of each strip's length when
// everything is taken away that the rules forbid.
func newPlanner(v *survey, rules ChamberRules, reserved []geom.Polygon) *planner {
	s := v.s
	p := &planner{survey: v, rules: rules}
	ring := p.ring
	p.cumulate()
	walls := p.wall()
	shallow := p.shallow()
	for _, o := range s.Obstacles() {
		if o.Kind == "fastener" {
			b := geom.Polygon(o.Region).Bounds().Grow(rules.Screws)
			p.keepOut = append(p.keepOut, b.Polygon())
		}
	}
	for _, t := range s.Fittings {
		p.keepOut = append(p.keepOut, t.ring())
	}
	p.keepOut = append(p.keepOut, reserved...)
	keepOut := keep(p.keepOut)
	near := v.edgesNear(ring, walls)
	var no []span
	for i := range s.Strips {
		if s.Strips[i].Thickness() < rules.Narrowest || slices.Contains(rules.SolidStrips, i) {
			p.free = append(p.free, nil)
			continue
		}
		y0, y1 := p.bands[i], p.bands[i+1]
		no = no[:0]
		for _, k := range near[i] {
			a, b := ring[k], ring[(int(k)+1)%len(ring)]
			if lo, hi, ok := reach(a, b, y0, y1, walls); ok {
				no = append(no, span{lo, hi})
			}
			if lo, hi, ok := reach(a, b, y0, y1, 0); ok {
				no = append(no, span{lo - rules.End, hi + rules.End})
			}
		}
		no = append(no, shallow...)
		for _, k := range keepOut {
			if k.box.Min.Y < y1 && k.box.Max.Y > y0 {
				no = append(no, shadow(k.ring, y0, y1)...)
			}
		}
		parts := v.strips[i]
		for k := 0; k+1 < len(parts); k++ {
			j := parts[k].to
			// Across a joint a chamber leaves only skins to be glued; where
			// that is too little it may not run there after all.
			t, b := p.f.heights(j.mid)
			if !rules.OverJoints || t-b-p.height(j.mid) < (rules.LeastGlue+0.01)*(t-b) {
				no = append(no, span{
					min(j.right, j.mid, j.left) - rules.Rib,
					max(j.right, j.mid, j.left) + rules.Rib,
				})
			}
		}
		for _, c := range s.Chambers {
			if c.Strip == i && c.State == Cut {
				no = append(no, span{c.From - rules.Rib, c.To + rules.Rib})
			}
		}
		var free []span
		inside := crossed(ring, near[i], (y0+y1)/2)
		for _, g := range gaps(no, p.f.x[0], p.f.x[len(p.f.x)-1]) {
			mid := (g.from + g.to) / 2
			if g.length() >= rules.Shortest && slices.ContainsFunc(inside, func(in span) bool { return in.from < mid && mid < in.to }) {
				free = append(free, g)
			}
		}
		p.free = append(p.free, apart(free, rules.Rib, rules.Shortest))
	}
	return p
}

// apart trims free spans that lie nearer together than a rib (wood to be kept
// can be narrower than one), each time the longer of the two.
func apart(free []span, rib, shortest float64) []span {
	var out []span
	for _, g := range free {
		if n := len(out); n > 0 && g.from-out[n-1].to < rib {
			if before := &out[n-1]; before.length() > g.length() {
				before.to = max(before.from, g.from-rib)
				if before.length() < shortest {
					out = out[:n-1]
				}
			} else {
				g.from = before.to + rib
			}
		}
		if g.length() >= shortest {
			out = append(out, g)
		}
	}
	return out
}

// wall is the least distance in plan from a chamber to the outline: the
// rule's, and no less than an edge radius that is larger than the skin beside
// it. For there the roof's corner, at the distance w from the side and a skin
// below the face, keeps a skin to the rounded edge only for w ≥ r:
//
//	──────╮   centre of the rounding at (r, r):
//	roof┐  ╲  r − √((r−w)² + (r−skin)²) ≥ skin  ⇒  w ≥ r
//	    │w  │
//
// To a chamfer of c it keeps (w + skin − c)/√2, which is a skin for
// w ≥ c + (√2 − 1) skin.
func (p *planner) wall() float64 {
	w := p.rules.Wall
	for _, f := range [2]struct {
		easing
		skin float64
	}{{p.s.Edge.top(), p.rules.TopSkin}, {p.s.Edge.bottom(), p.rules.BottomSkin}} {
		switch {
		case f.chamfer:
			w = max(w, f.size+(math.Sqrt2-1)*f.skin)
		case f.size > f.skin:
			w = max(w, f.size)
		}
	}
	return w
}

// reach is where along x an upright line over the band [y0, y1] comes nearer
// than w to the edge ab (touches it, for w = 0).
//
// The points of ab within w of the band in y make it an interval. Its ends
// are the extremes of x ± √(w² − g²) over them, g being how far the point
// lies outside the band: a concave function, so they lie at an end of the
// clipped edge or where its derivative vanishes, g = w m/√(1+m²) with m the
// edge's dx/dg.
func reach(a, b geom.Point, y0, y1, w float64) (lo, hi float64, ok bool) {
	low, high := y0-w, y1+w
	if a.Y > b.Y {
		a, b = b, a
	}
	if b.Y < low || a.Y > high || w == 0 && (b.Y <= low || a.Y >= high) {
		return 0, 0, false
	}
	lo, hi = math.Inf(1), math.Inf(-1)
	visit := func(x, y float64) {
		g := max(0, max(y0-y, y-y1))
		r := math.Sqrt(max(0, w*w-g*g))
		lo, hi = min(lo, x-r), max(hi, x+r)
	}
	if a.Y == b.Y {
		visit(a.X, a.Y)
		visit(b.X, b.Y)
		return lo, hi, true
	}
	m := (b.X - a.X) / (b.Y - a.Y)
	at := func(y float64) {
		if y = max(max(a.Y, low), min(y, min(b.Y, high))); true {
			visit(a.X+m*(y-a.Y), y)
		}
	}
	at(a.Y)
	at(b.Y)
	at(y0)
	at(y1)
	g := w * math.Abs(m) / math.Sqrt(1+m*m)
	at(y0 - g)
	at(y1 + g)
	return lo, hi, true
}

// shadow is where along x the inside of the ring meets the band (y0, y1).
func shadow(ring geom.Polygon, y0, y1 float64) []span {
	var xs []float64
	type edge struct{ a, b geom.Point }
	var in []edge // parts of edges within the band
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		lo, hi := a, b
		if lo.Y > hi.Y {
			lo, hi = hi, lo
		}
		if hi.Y <= y0 || lo.Y >= y1 {
			continue
		}
		c, d := lo, hi
		if lo.Y < y0 {
			c = lo.Lerp(hi, (y0-lo.Y)/(hi.Y-lo.Y))
		}
		if hi.Y > y1 {
			d = lo.Lerp(hi, (y1-lo.Y)/(hi.Y-lo.Y))
		}
		in = append(in, edge{c, d})
		xs = append(xs, c.X, d.X)
	}
	var out []span
	middle := crossings(ring, (y0+y1)/2)
	for _, c := range middle {
		xs = append(xs, c.from, c.to)
	}
	xs = sortedUnique(xs)
	for i := 0; i+1 < len(xs); i++ {
		m := (xs[i] + xs[i+1]) / 2
		meets := slices.ContainsFunc(in, func(e edge) bool { return min(e.a.X, e.b.X) <= m && m <= max(e.a.X, e.b.X) })
		if meets || slices.ContainsFunc(middle, func(c span) bool { return c.from <= m && m <= c.to }) {
			// A whisker wider than found: a cut through an edge is rounded.
			out = append(out, span{xs[i] - 1e-6, xs[i+1] + 1e-6})
		}
	}
	return out
}

// gaps is what the spans leave of [x0, x1].
func gaps(no []span, x0, x1 float64) []span {
	slices.SortFunc(no, func(a, b span) int {
		switch {
		case a.from < b.from:
			return -1
		case a.from > b.from:
			return 1
		}
		return 0
	})
	var out []span
	x := x0
	for _, n := range no {
		if n.from > x {
			out = append(out, span{x, min(n.from, x1)})
		}
		x = max(x, n.to)
		if x >= x1 {
			return out
		}
	}
	return append(out, span{x, x1})
}

// shallow is where the hollow would be too low, found on the comb and widened
// to the next tooth on either side.
func (p *planner) shallow() []span {
	var out []span
	for i, h := range p.comb {
		if x := p.start + float64(i)*p.step; h < p.rules.Shallowest {
			out = append(out, span{x - p.step, x + p.step})
		}
	}
	return out
}

// crossings are where the line y = const lies inside the ring.
func crossings(ring geom.Polygon, y float64) []span {
	var xs []float64
	for i := range ring {
		if x, ok := crossing(ring, i, y); ok {
			xs = append(xs, x)
		}
	}
	return pairs(nil, xs)
}

// crossed is crossings where the edges that may cross the line are known.
func crossed(ring geom.Polygon, edges []int32, y float64) []span {
	var xs []float64
	for _, i := range edges {
		if x, ok := crossing(ring, int(i), y); ok {
			xs = append(xs, x)
		}
	}
	return pairs(nil, xs)
}

// crossing is where edge i of the ring crosses y = const, if it does.
func crossing(ring geom.Polygon, i int, y float64) (x float64, ok bool) {
	a, b := ring[i], ring[0]
	if i+1 < len(ring) {
		b = ring[i+1]
	}
	if (a.Y > y) == (b.Y > y) {
		return 0, false
	}
	return a.X + (b.X-a.X)*(y-a.Y)/(b.Y-a.Y), true
}

func pairs(dst []span, xs []float64) []span {
	slices.Sort(xs)
	for i := 0; i+1 < len(xs); i += 2 {
		dst = append(dst, span{xs[i], xs[i+1]})
	}
	return dst
}
