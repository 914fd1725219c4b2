package geom

import "github.com/tdewolff/canvas"

// Region is a set of rings: outer ones counter-clockwise, holes clockwise, so
// that the areas of all add up to the area of the region.
type Region []Polygon

// Area is the area of the region in mm².
func (r Region) Area() float64 {
	a := 0.0
	for _, g := range r {
		a += g.Area()
	}
	return a
}

// Bounds is the smallest box round the region.
func (r Region) Bounds() Box {
	b := EmptyBox()
	for _, g := range r {
		b = b.Union(g.Bounds())
	}
	return b
}

// ClippedTo keeps the part of the region in c, ring by ring, with the caveat
// of Polygon.Clipped: areas and moments are exact, rings may touch themselves.
func (r Region) ClippedTo(c Convex) Region {
	var out Region
	for _, g := range r {
		if h := g.ClippedTo(c); h != nil {
			out = append(out, h)
		}
	}
	return out
}

// Has tells whether p lies in the region or on its rim.
func (r Region) Has(p Point) bool {
	in := false
	for _, g := range r {
		switch g.Locate(p) {
		case OnEdge:
			return true
		case Inside:
			in = !in
		}
	}
	return in
}

// Moved is the region moved by m.
func (r Region) Moved(m Rigid) Region {
	out := make(Region, len(r))
	for i, g := range r {
		out[i] = g.Moved(m)
	}
	return out
}

// Intersect is what lies in both regions, and Subtract what lies in r but not
// in s. The rings may be of any shape, but of finite numbers; of others nothing
// is left. The work is done by the path engine of github.com/tdewolff/canvas on
// straight edges, where its areas were seen to agree with an independent
// library to 2e-6 mm² on outlines of this size. As it may fail on edges that
// nearly coincide, regions with such corners are rounded to 1e-6 mm. Where it
// fails all the same, the work is done again rounded and turned, and at last by
// github.com/peterstace/simplefeatures.
func (r Region) Intersect(s Region) Region { return combine(r, s, intersection(), difference()) }

// Subtract is what lies in r but not in s; see Intersect.
func (r Region) Subtract(s Region) Region {
	if len(s) == 0 {
		return r
	}
	return combine(r, s, difference(), intersection())
}

func toCanvas(r Region) *canvas.Path {
	p := &canvas.Path{}
	for _, g := range r {
		if len(g) < 3 {
			continue
		}
		p.MoveTo(g[0].X, g[0].Y)
		for _, q := range g[1:] {
			p.LineTo(q.X, q.Y)
		}
		p.Close()
	}
	return p
}

// fromCanvas takes the rings of a result. Their directions are set anew: the
// engine was seen to return the hole of a first operation as an outer ring from
// a second one.
func fromCanvas(p *canvas.Path) Region { return directed(ringsOf(p)) }

// ringsOf are the rings of a path of straight edges, run as they are there.
func ringsOf(p *canvas.Path) []Polygon {
	var out []Polygon
	for _, part := range p.Split() {
		var g Polygon
		for _, c := range part.Coords() {
			g = append(g, Point{c.X, c.Y})
		}
		if n := len(g); n > 1 && g[n-1] == g[0] {
			g = g[:n-1]
		}
		if len(g) >= 3 {
			out = append(out, g)
		}
	}
	return out
}

// directed is the region of rings that do not cross, each run as an outer one
// or a hole by how deep it lies in the others.
func directed(rings []Polygon) Region {
	out := make(Region, len(rings))
	for i, g := range rings {
		out[i] = g.CCW()
		depth := 0
		for j, h := range rings {
			if i != j && h.surrounds(g) {
				depth++
			}
		}
		if depth%2 == 1 {
			out[i] = out[i].Reversed()
		}
	}
	return out
}

// surrounds tells whether g lies inside h, for rings that do not cross: by the
// first corner or middle of an edge of g that is not on h.
func (h Polygon) surrounds(g Polygon) bool {
	if !h.Bounds().Meets(g.Bounds()) {
		return false
	}
	for i, p := range g {
		for _, q := range []Point{p, p.Lerp(g[(i+1)%len(g)], 0.5)} {
			// On an edge means within the engine's own rounding.
			if d, _ := h.BoundaryDistance(q); d > 1e-6 {
				return h.Locate(q) == Inside
			}
		}
	}
	return false
}
