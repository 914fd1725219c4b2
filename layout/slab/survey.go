package slab

import (
	"slices"
	"sort"

	"slabwright/body/geom"
)

// A survey is a slab's geometry without its chambers, measured once for all
// parts of a report. It serves one caller.
type survey struct {
	s     *Slab
	f     *field
	path  geom.Path    // the outline
	ring  geom.Polygon // the outline, flattened inside
	chord geom.Polygon // the outline, its corners on it
	tiling
	woods  []timber // of each part, as tiling counts them
	joints []joining
	within *rows // of ring
	lines  []GlueLine
}

// joining is the joint on the left of a strip, without chambers.
type joining struct{ mm, mm2 float64 }

// timber is what the wood table and the maker say of a part's wood.
type timber struct {
	gramsPerMm3 float64
	moe, mor    float64 // MPa; 0 = not in the tables
}

func (s *Slab) survey() *survey {
	path := s.Outline()
	v := &survey{s: s, f: s.field(), path: path, ring: path.FlattenInside(flatness), chord: path.Polygon(flatness), tiling: s.tiles()}
	for _, parts := range v.strips {
		for _, p := range parts {
			sp := species(p.wood)
			v.woods = append(v.woods, timber{s.Density(p.wood) * 1e-6, sp.MOE, sp.MOR})
		}
	}
	return v
}

// joint is the length and the area of the joint on the left of strip i.
func (v *survey) joint(i int) joining {
	if v.joints == nil {
		v.joints = make([]joining, len(v.strips)-1)
		near := v.edgesNear(v.ring, 0)
		for k := range v.joints {
			for _, in := range crossed(v.ring, near[k], v.bands[k+1]) {
				v.joints[k].mm += in.length()
				v.joints[k].mm2 += v.f.between(in.from, in.to).v
			}
		}
	}
	return v.joints[i]
}

// glueLines are the slab's, found once.
func (v *survey) glueLines() []GlueLine {
	if v.lines == nil {
		v.lines = v.s.GlueLines()
	}
	return v.lines
}

// woodAt is the wood in the middle of a strip at x.
func (v *survey) woodAt(strip int, x float64) timber {
	y0, y1 := v.bands[strip], v.bands[strip+1]
	return v.woods[v.first[strip]+partAt(v.strips[strip], y0, y1, geom.Pt(x, (y0+y1)/2))]
}

// edgesNear lists, strip by strip, the edges of the ring (by their first
// corner) that come within w of the strip's band across the slab.
func (t tiling) edgesNear(ring geom.Polygon, w float64) [][]int32 {
	n := len(t.strips)
	out := make([][]int32, n)
	if n == 0 {
		return out
	}
	ends := func(k int) (lo, hi int) {
		a, b := ring[k].Y, ring[(k+1)%len(ring)].Y
		lo = sort.SearchFloat64s(t.bands, min(a, b)-w) - 1
		hi = sort.Search(n+1, func(i int) bool { return t.bands[i] > max(a, b)+w }) - 1
		return max(lo, 0), min(hi, n-1)
	}
	count := make([]int, n+1)
	for k := range ring {
		lo, hi := ends(k)
		for i := lo; i <= hi; i++ {
			count[i+1]++
		}
	}
	for i := range n {
		count[i+1] += count[i]
	}
	store := make([]int32, count[n])
	for i := range n {
		out[i] = store[count[i]:count[i]:count[i+1]]
	}
	for k := range ring {
		lo, hi := ends(k)
		for i := lo; i <= hi; i++ {
			out[i] = append(out[i], int32(k))
		}
	}
	return out
}

// inside tells whether p lies inside the outline.
func (v *survey) inside(p geom.Point) bool {
	if v.within == nil {
		v.within = newRows(v.ring)
	}
	return slices.ContainsFunc(v.within.crossings(p.Y), func(in span) bool { return in.from <= p.X && p.X <= in.to })
}

// rows are a ring's edges sorted into rows of equal height, so that a line of
// equal y need look at few.
type rows struct {
	ring      geom.Polygon
	low, tall float64
	edges     [][]int32
	xs        []float64
	spans     []span
}

func newRows(ring geom.Polygon) *rows {
	if len(ring) == 0 {
		return &rows{}
	}
	box := ring.Bounds()
	n := max(1, len(ring)/2)
	r := &rows{ring: ring, low: box.Min.Y, tall: max(box.Height(), 1e-9) / float64(n), edges: make([][]int32, n)}
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		for k := r.row(min(a.Y, b.Y)); k <= r.row(max(a.Y, b.Y)); k++ {
			r.edges[k] = append(r.edges[k], int32(i))
		}
	}
	return r
}

func (r *rows) row(y float64) int { return max(0, min(int((y-r.low)/r.tall), len(r.edges)-1)) }

// crossings are where the line y = const lies inside the ring, until the next
// call.
func (r *rows) crossings(y float64) []span {
	r.xs, r.spans = r.xs[:0], r.spans[:0]
	if len(r.ring) == 0 {
		return nil
	}
	for _, i := range r.edges[r.row(y)] {
		if x, ok := crossing(r.ring, int(i), y); ok {
			r.xs = append(r.xs, x)
		}
	}
	r.spans = pairs(r.spans, r.xs)
	return r.spans
}
