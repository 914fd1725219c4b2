package proof

import (
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
	"slabwright/layout/slab"
	"slabwright/layout/wood/colour"
)

// What the words of place.Score leave to the look of it, again: how finely the
// seen region is drawn (mm); the offset of a line that has no partner (mm); by
// how many mm a partner counts as farther for each point that it is fainter;
// and the seen length (mm) below which a line weighs less as the worst one.
const (
	drawn    = 0.05
	alone    = 20.0
	fainter  = 1.0
	glimpsed = 20.0
)

// sight is what is seen of the body, and the woods and lines that are looked at.
type sight struct {
	seen   geom.Region    // the part of the front that is seen together with its mirror
	parts  []geom.Polygon // the half of seen with v ≥ 0 in simple rings; and of the back, when that is wished
	fronts int            // how many parts are of the front; they come first
	area   float64        // of parts
	edges  []float64      // y of the strips' sides
	woods  [][]patch      // by strip
	diff   [][]float64    // CIEDE2000 between colours
	seams  []seam
	joints []joint
	top    float64 // the strongest contrast
}

// patch is a cell of the slab and the number of its colour.
type patch struct {
	region geom.Convex
	box    geom.Box
	colour int
}

// seam is a piece of a glue line between strips.
type seam struct {
	x0, x1, y float64
	contrast  float64
	offset    vees
}

// joint is a piece of a transition.
type joint struct {
	a, b     geom.Point
	contrast float64
}

func newSight(k *checker) (sight, error) {
	var s sight
	c := k.c
	front := geom.Region{c.Body.Outline.FlattenInside(drawn)}
	both := front.Intersect(front.Moved(geom.FlipY()))
	s.seen = both
	if !c.Wish.WholeFront {
		for _, h := range c.Body.Hidden {
			ring := geom.Region{h.Ring.CCW()}
			s.seen = s.seen.Subtract(ring).Subtract(ring.Moved(geom.FlipY()))
		}
	}
	s.parts = k.simple(s.seen)
	s.fronts = len(s.parts)
	if c.Wish.Back {
		s.parts = append(s.parts, k.simple(both)...)
	}
	for _, g := range s.parts {
		s.area += g.Area()
	}

	var labs []colour.Lab
	number := map[string]int{}
	numberOf := func(p slab.Piece) (int, error) {
		hex := c.Slab.Colour(p)
		if i, ok := number[hex]; ok {
			return i, nil
		}
		rgb, err := colour.Parse(hex)
		if err != nil {
			return 0, err
		}
		number[hex] = len(labs)
		labs = append(labs, rgb.Lab())
		return number[hex], nil
	}
	s.woods = make([][]patch, len(c.Slab.Strips))
	for _, cell := range c.Slab.Cells() {
		i, err := numberOf(cell.Wood)
		if err != nil {
			return s, fmt.Errorf("strip %d: %w", cell.Strip+1, err)
		}
		s.woods[cell.Strip] = append(s.woods[cell.Strip], patch{cell.Region, geom.Polygon(cell.Region).Bounds(), i})
	}
	for i := range c.Slab.Strips {
		y0, y1 := c.Slab.Band(i)
		if i == 0 {
			s.edges = append(s.edges, y0)
		}
		s.edges = append(s.edges, y1)
	}
	for _, a := range labs {
		row := make([]float64, len(labs))
		for j, b := range labs {
			if a != b {
				row[j] = colour.Difference(a, b)
			}
		}
		s.diff = append(s.diff, row)
	}

	contrasts := make([]float64, len(k.lines))
	sum, length := map[float64]float64{}, map[float64]float64{} // by y, of the lines between strips
	for i, g := range k.lines {
		a, err := numberOf(g.Left)
		if err != nil {
			return s, err
		}
		b, err := numberOf(g.Right)
		if err != nil {
			return s, err
		}
		contrasts[i] = s.diff[a][b]
		s.top = max(s.top, contrasts[i])
		if !g.Transition {
			d := g.A.Distance(g.B)
			sum[g.A.Y] += contrasts[i] * d
			length[g.A.Y] += d
		}
	}
	for i, g := range k.lines {
		if g.Transition {
			s.joints = append(s.joints, joint{g.A, g.B, contrasts[i]})
			continue
		}
		var v vees
		for y := range sum {
			mean := 0.0
			if length[y] > 0 {
				mean = sum[y] / length[y]
			}
			v.of = append(v.of, vee{y, fainter * max(0, contrasts[i]-mean)})
		}
		v.bend()
		s.seams = append(s.seams, seam{min(g.A.X, g.B.X), max(g.A.X, g.B.X), g.A.Y, contrasts[i], v})
	}
	return s, nil
}

// simple cuts the half v ≥ 0 of a region into pieces without holes, few enough
// and small enough that a turn moves each of them little across the strips.
func (k *checker) simple(r geom.Region) []geom.Polygon {
	const parts = 8
	var cuts []float64
	for i := range parts + 1 {
		cuts = append(cuts, k.box.Min.X-1+(k.box.Width()+2)*float64(i)/parts)
	}
	for _, g := range r {
		if g.Area() < 0 { // a hole
			cuts = append(cuts, g.Bounds().Centre().X)
		}
	}
	slices.Sort(cuts)
	var out []geom.Polygon
	for i := 0; i+1 < len(cuts); i++ {
		if cuts[i+1]-cuts[i] < 1e-6 {
			continue
		}
		window := geom.Box{Min: geom.Pt(cuts[i], 0), Max: geom.Pt(cuts[i+1], k.box.Height()+1)}
		for _, g := range r.Intersect(geom.Region{window.Polygon()}) {
			if g.Area() > 0 {
				out = append(out, g)
			}
		}
	}
	return out
}

// vees is the mirror offset of a line as a function of the y on which a point's
// mirror falls:
//
//	h(y) = min(alone, minₖ(|y − yₖ| + bₖ))
//
// It is straight between its bends, and nowhere steeper than 1.
type vees struct {
	of    []vee
	bends []float64 // all places where h may bend, in order
}

type vee struct{ y, b float64 }

func (v *vees) bend() {
	for _, p := range v.of {
		v.bends = append(v.bends, p.y, p.y-(alone-p.b), p.y+(alone-p.b))
		for _, q := range v.of {
			v.bends = append(v.bends, (p.y+q.y+q.b-p.b)/2)
		}
	}
	slices.Sort(v.bends)
	v.bends = slices.Compact(v.bends)
}

func (v vees) at(y float64) float64 {
	h := alone
	for _, p := range v.of {
		h = min(h, math.Abs(y-p.y)+p.b)
	}
	return h
}

// between are the bends strictly between lo and hi.
func (v vees) between(lo, hi float64) []float64 {
	i, _ := slices.BinarySearch(v.bends, lo)
	for i < len(v.bends) && v.bends[i] <= lo {
		i++
	}
	j, _ := slices.BinarySearch(v.bends, hi)
	return v.bends[i:max(i, j)]
}

// mean is the mean of h from y0 to y1, in either order.
func (v vees) mean(y0, y1 float64) float64 {
	lo, hi := min(y0, y1), max(y0, y1)
	if hi-lo < 1e-7 {
		return v.at((lo + hi) / 2)
	}
	sum, at := 0.0, lo
	for _, b := range append(slices.Clone(v.between(lo, hi)), hi) {
		sum += (b - at) * (v.at(at) + v.at(b)) / 2
		at = b
	}
	return sum / (hi - lo)
}

// least is the least of h from lo to hi.
func (v vees) least(lo, hi float64) float64 {
	h := min(v.at(lo), v.at(hi))
	for _, b := range v.between(lo, hi) {
		h = min(h, v.at(b))
	}
	return h
}

// slope is the slope of h from lo to hi, where it has but one.
func (v vees) slope(lo, hi float64) (float64, bool) {
	if hi-lo < 1e-7 {
		return 0, false
	}
	for _, b := range v.between(lo, hi) { // a place listed as a bend need not be one
		if math.Abs((v.at(b)-v.at(lo))*(hi-b)-(v.at(hi)-v.at(b))*(b-lo)) > 1e-9*(hi-lo) {
			return 0, false
		}
	}
	return (v.at(hi) - v.at(lo)) / (hi - lo), true
}
