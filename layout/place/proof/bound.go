package proof

import (
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
	"slabwright/layout/place"
)

// A range is cut further until a plain bound shows what is to be shown; past so
// many boxes it is given up.
const mostLooks = 20000

// scores tells whether no placement in the range that is spoken of scores less
// than bound.
func (k *checker) scores(p place.Proved, bound float64) (looks int, err error) {
	lower := func(r place.Range, enough float64) float64 {
		low := math.Inf(1)
		for _, lie := range k.lies(r, p.Plots) {
			low = min(low, k.lower(box{r, lie}, enough))
		}
		return low
	}
	list := []place.Range{p.Range}
	for len(list) > 0 {
		b := list[len(list)-1]
		list = list[:len(list)-1]
		looks++
		low := lower(b, bound)
		if low >= bound-points {
			continue
		}
		// Cutting cannot help where the middle itself is below.
		looks++
		if one := lower(thin(b, 0, 1, 2), math.Inf(1)); one < bound-points || looks > mostLooks {
			return looks, fmt.Errorf("a score below the bound, %.6f points, is not ruled out: it is %.6f where the body's middle is at x %.4f mm, y %.4f mm, angle %.5f°",
				bound, one, b.X[0], b.Y[0], b.Angle[0]*180/math.Pi)
		}
		half := k.loosest(b, low, lower)
		list = append(list, half[0], half[1])
		looks += 3
	}
	return looks, nil
}

// loosest halves the side whose loss would raise the bound most; where none
// would, the one that moves the body most.
func (k *checker) loosest(r place.Range, low float64, lower func(place.Range, float64) float64) [2]place.Range {
	reach := max(k.box.Width(), k.box.Height()) / 2
	way, gain := 0, -1.0
	for i, size := range []float64{r.X[1], r.Y[1], r.Angle[1] * reach} {
		if g := lower(thin(r, i), math.Inf(1)) - low + points*size; size > 0 && g > gain {
			way, gain = i, g
		}
	}
	return cutBox(r, way)
}

// thin is a range with some of its sides (0 x, 1 y, 2 angle) gone.
func thin(r place.Range, ways ...int) place.Range {
	for _, w := range ways {
		side(&r, w)[1] = 0
	}
	return r
}

// score is the score of one placement.
func (k *checker) score(p place.Placement) float64 {
	q := p.Plan().Apply(k.pivot)
	r := place.Range{Face: p.Face, X: [2]float64{q.X, 0}, Y: [2]float64{q.Y, 0}, Angle: [2]float64{p.Angle, 0}}
	return k.lower(box{r, tiltedBy([2]float64{p.Pitch, p.Pitch}, [2]float64{p.Roll, p.Roll})}, math.Inf(1))
}

// lower is a lower bound on the score of every body in the box that may be
// allowed. It stops counting once it has enough.
func (k *checker) lower(r box, enough float64) float64 {
	w := k.c.Wish.Weights
	sum := w.Grain*k.awayGrain(r.Range)*180/math.Pi + w.NearX*k.awayX(r)
	for _, wish := range k.c.Wish.Strips {
		sum += w.Strip * k.stripOff(r, wish.Strip)
	}
	for _, wish := range k.c.Wish.Through {
		sum += w.Through * k.misses(r, wish)
	}
	if sum < enough {
		for i, spot := range k.c.Body.KeepFromGlue {
			far := math.Inf(1)
			for line := range k.lines {
				far = min(far, k.gluesWithin(r, i, line))
			}
			if !math.IsInf(far, 1) {
				sum += w.Hardware * max(0, spot.Wanted-(far-spot.Radius))
			}
		}
	}
	if sum < enough && k.area > 0 && w.Mirror > 0 {
		sum += w.Mirror * k.mirror(r) / k.area
	}
	if sum < enough && k.top > 0 {
		mean, worst := k.linesOff(r)
		sum += w.LinesMean*mean + w.LinesWorst*worst
	}
	return sum - fine*(1+sum)
}

// wanders is how far q, which the middle of the range puts at, can be from
// there: across the strips, and at all. A turn by d takes what lies X along the
// strips and Y across them from the pivot by X sin d − Y (1 − cos d) across.
func (k *checker) wanders(r box, q geom.Point, w float64, at geom.Point) (across, any float64) {
	d := min(r.Angle[1], math.Pi)
	_, lean := r.leansOver(q, w)
	across = r.Y[1] + math.Abs(at.X-r.X[0])*math.Sin(min(d, math.Pi/2)) + math.Abs(at.Y-r.Y[0])*(1-math.Cos(d)) + lean + fine
	any = math.Hypot(r.X[1], r.Y[1]) + chord(d)*at.Distance(geom.Pt(r.X[0], r.Y[0])) + math.Hypot(r.leans(q, w)) + fine
	return across, any
}

// stripOff is the least mean offset of a strip's middle from the centreline
// over the body's length: what it is in the middle of the range, less the most
// that an end moves.
func (k *checker) stripOff(r box, strip int) float64 {
	y0, y1 := k.c.Slab.Band(strip)
	mid := (y0 + y1) / 2
	start, end := geom.Pt(k.box.Min.X, 0), geom.Pt(k.box.Max.X, 0)
	a, b := k.inMiddle(r, start), k.inMiddle(r, end)
	atA, _ := k.wanders(r, start, 0, a)
	atB, _ := k.wanders(r, end, 0, b)
	return max(0, meanAbs(mid-a.Y, mid-b.Y)-max(atA, atB))
}

// meanAbs is the mean of |v| as v goes evenly from a to b.
func meanAbs(a, b float64) float64 {
	if a*b >= 0 {
		return math.Abs(a+b) / 2
	}
	return (a*a + b*b) / (2 * math.Abs(a-b))
}

// mirror is ∫ ΔE over the compared half, for every placement in the range at
// least this much. Each part is cut into bands by which strips can lie there, and each
// band again by which can lie on its mirror; the least difference of a colour
// here and a colour there counts.
func (k *checker) mirror(r box) float64 {
	plan := middle(r.Range, k.pivot).Plan()
	sum := 0.0
	for i, g := range k.parts {
		w := 0.0
		if i >= k.fronts {
			w = -k.c.Body.Thickness
		}
		lay := func(q geom.Point) geom.Point { return plan.Apply(r.layAt(q, w)) }
		o := lay(geom.Point{})
		here := affine{lay(geom.Pt(1, 0)).Y - o.Y, lay(geom.Pt(0, 1)).Y - o.Y, o.Y}
		there := here
		there.b = -there.b
		across, any := 0.0, 0.0
		for _, q := range g {
			for _, q := range []geom.Point{q, {X: q.X, Y: -q.Y}} {
				a, b := k.wanders(r, q, w, lay(q))
				across, any = max(across, a), max(any, b)
			}
		}
		if r.one() {
			across, any = 0, 0 // one placement: exact
		}
		for _, p := range k.bands(g, here, lay, 1, across, any) {
			if p.ring == nil {
				continue // where its mirror lies is not known
			}
			for _, q := range k.bands(p.ring, there, lay, -1, across, any) {
				sum += q.area * k.leastDifference(p.colours, q.colours)
			}
		}
	}
	return sum
}

// affine is a·X + b·Y + c.
type affine struct{ a, b, c float64 }

func (f affine) at(p geom.Point) float64 { return f.a*p.X + f.b*p.Y + f.c }

// above is the part of a ring where f ≥ 0 (Sutherland and Hodgman).
func (f affine) above(g geom.Polygon) geom.Polygon {
	var out geom.Polygon
	for i, p := range g {
		q := g[(i+1)%len(g)]
		u, v := f.at(p), f.at(q)
		if u >= 0 {
			out = append(out, p)
		}
		if u > 0 && v < 0 || u < 0 && v > 0 {
			out = append(out, p.Lerp(q, u/(u-v)))
		}
	}
	if len(out) < 3 {
		return nil
	}
	return out
}

// piece is a part of the body and the colours that can lie on it; ring is nil
// when only its area is known.
type piece struct {
	ring    geom.Polygon
	area    float64
	colours []int
}

// bands cuts a ring by the strips that can lie on it. y gives the slab's y of a
// point of the body, or of its mirror; flip is −1 for the mirror.
func (k *checker) bands(g geom.Polygon, y affine, lay func(geom.Point) geom.Point, flip, across, any float64) []piece {
	n := len(k.woods)
	cuts := []float64{math.Inf(-1), math.Inf(1)}
	for _, e := range k.edges[1:n] {
		cuts = append(cuts, e-across, e+across)
	}
	slices.Sort(cuts)
	var out []piece
	for i := 0; i+1 < len(cuts); i++ {
		lo, hi := cuts[i], cuts[i+1]
		if lo == hi {
			continue
		}
		part := g
		if i > 0 {
			part = affine{y.a, y.b, y.c - lo}.above(part)
		}
		if i+2 < len(cuts) {
			part = affine{-y.a, -y.b, hi - y.c}.above(part)
		}
		if part == nil {
			continue
		}
		// Strip s can lie here when it reaches into the band from as far as across.
		var strips []int
		for s := range n {
			if (s == 0 || k.edges[s]-across < hi) && (s == n-1 || k.edges[s+1]+across > lo) {
				strips = append(strips, s)
			}
		}
		out = append(out, k.woodsOn(part, strips, lay, flip, any)...)
	}
	return out
}

// woodsOn finds the colours that strips can show on a ring. Where only one strip
// can be there, it is told apart where its wood is certain.
func (k *checker) woodsOn(g geom.Polygon, strips []int, lay func(geom.Point) geom.Point, flip, any float64) []piece {
	place := func(q geom.Point) geom.Point { return lay(geom.Pt(q.X, flip*q.Y)) }
	box := geom.EmptyBox()
	for _, q := range g {
		box = box.Include(place(q))
	}
	var colours []int
	for _, s := range strips {
		for _, p := range k.woods[s] {
			if len(k.woods[s]) == 1 || p.box.Grow(any).Meets(box) {
				colours = append(colours, p.colour)
			}
		}
	}
	slices.Sort(colours)
	colours = slices.Compact(colours)
	if len(colours) < 2 || len(strips) > 1 {
		return []piece{{g, g.Area(), colours}}
	}
	var out []piece
	left := g.Area()
	s := strips[0]
	for _, p := range k.woods[s] {
		part := g
		for i, a := range p.region {
			b := p.region[(i+1)%len(p.region)]
			if a.Y == b.Y && (a.Y <= k.edges[s] || a.Y >= k.edges[s+1]) {
				continue // a side of the strip; that it keeps within them is known
			}
			// f(q) = how far left of a → b the place of q is, less any.
			d := b.Sub(a).Unit()
			o := place(geom.Point{})
			u, v := place(geom.Pt(1, 0)).Sub(o), place(geom.Pt(0, 1)).Sub(o)
			if part = (affine{d.Cross(u), d.Cross(v), d.Cross(o.Sub(a)) - any}).above(part); part == nil {
				break
			}
		}
		if part != nil {
			out = append(out, piece{part, part.Area(), []int{p.colour}})
			left -= part.Area()
		}
	}
	if left > 1e-9 {
		out = append(out, piece{nil, left, colours})
	}
	return out
}

func (k *checker) leastDifference(a, b []int) float64 {
	least := math.Inf(1)
	for _, i := range a {
		for _, j := range b {
			least = min(least, k.diff[i][j])
		}
	}
	if math.IsInf(least, 1) {
		return 0 // nothing of the slab is there: the body is not in it
	}
	return least
}
