package geom

import (
	"cmp"
	"math"
	"slices"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/tdewolff/canvas"
)

// The path engine lets points snap to a grid of 1e-8 mm. Where edges come
// together within about that, as those of an outline that is its own mirror
// image but for rounding, it was seen to panic and, far more rarely, to leave
// out a piece or to come to no end. On corners that are rounded more coarsely
// beforehand it was not, as what nearly coincides then coincides:
//
//	──────___           ________
//	___──────     →     ________     rounded
//
// A pose is how operands are laid before the engine: turned about the origin,
// then rounded to the grid, unless that is 0.
type pose struct {
	turn Rigid
	grid float64
}

// coarse is a hundred times the engine's grid, and far below what a maker can
// measure.
const coarse = 1e-6

// poses are the ones to try after the first, in order.
func poses(first pose) []pose {
	return []pose{first, {Identity(), coarse}, {Identity(), 10 * coarse}, {Turn(0.7391), coarse}, {Turn(2.1173), 10 * coarse}}
}

// lay is r in the pose; r itself when there is nothing to do.
func (p pose) lay(r Region) Region {
	if p.turn != Identity() {
		r = r.Moved(p.turn)
	}
	if p.grid == 0 {
		return r
	}
	out := make(Region, len(r))
	for i, g := range r {
		out[i] = make(Polygon, len(g))
		for j, q := range g {
			out[i][j] = Point{math.Round(q.X/p.grid) * p.grid, math.Round(q.Y/p.grid) * p.grid}
		}
	}
	return out
}

// back turns an answer back.
func (p pose) back(r Region) Region {
	return pose{turn: p.turn.Inverse()}.lay(r)
}

// attempt does work that may panic, and tells whether it came to its end.
func attempt[T any](work func() T) (out T, done bool) {
	defer func() {
		if recover() != nil {
			done = false
		}
	}()
	return work(), true
}

// sturdy is the first good answer of work, which is asked with its operands in
// one pose after the other; answers come in that pose, too. An answer is good
// when right says so, or when an earlier one has the same area within slack:
// right may expect too much of rings that cross themselves. When none is good,
// last may give one; after that any answer will do, and if there was none,
// nothing is given.
func sturdy(poses []pose, work func(pose) Region, right func(got Region, try int) bool, slack float64, last func() (Region, bool)) Region {
	var answers []Region
	for i, p := range poses {
		got, done := attempt(func() Region { return work(p) })
		if !done {
			continue
		}
		if right(got, i) {
			return p.back(got)
		}
		for _, before := range answers {
			if math.Abs(before.Area()-got.Area()) <= slack {
				return before
			}
		}
		answers = append(answers, p.back(got))
	}
	if got, ok := last(); ok {
		return got
	}
	if len(answers) == 0 {
		return nil
	}
	return answers[0]
}

// operation is one of the two that make a region of two.
type operation struct {
	engine  func(p, q *canvas.Path) *canvas.Path
	overlay func(a, b sf.Geometry) (sf.Geometry, error) // the same by another library
	least   func(a, b float64) float64                  // the smallest area it can have, of the operands' areas
	most    func(a, b float64) float64
}

func intersection() operation {
	return operation{(*canvas.Path).And, sf.Intersection,
		func(_, _ float64) float64 { return 0 }, func(a, b float64) float64 { return math.Min(a, b) }}
}

func difference() operation {
	return operation{(*canvas.Path).Not, sf.Difference,
		func(a, b float64) float64 { return math.Max(0, a-b) }, func(a, _ float64) float64 { return a }}
}

// combine does op, whose complement gives the rest of r. The operands are only
// rounded when they need it.
//
// An answer is right when its area is possible; after a failure op and its
// complement must also add up to r. At first that would double the work for
// nothing.
func combine(r, s Region, op, complement operation) Region {
	a, b := r.Area(), s.Area()
	slack := coarse * (r.perimeter() + s.perimeter() + 1)
	first := pose{turn: Identity()}
	if nearlyCoincide(r, s) {
		first.grid = coarse
	}
	poses := poses(first)
	work := func(op operation, p pose) Region {
		return fromCanvas(op.engine(toCanvas(p.lay(r)), toCanvas(p.lay(s))))
	}
	possible := func(area float64) bool { // NaN is not
		return area >= op.least(a, b)-slack && area <= op.most(a, b)+slack
	}
	addsUp := func(got, rest Region) bool { return math.Abs(got.Area()+rest.Area()-a) <= 10*slack }
	right := func(got Region, try int) bool {
		if area := got.Area(); !possible(area) || try == 0 {
			return possible(area)
		}
		rest, done := attempt(func() Region { return work(complement, poses[try]) })
		return done && addsUp(got, rest)
	}
	last := func() (Region, bool) {
		// It was seen to err, too, where corners nearly coincide.
		r, s := poses[1].lay(r), poses[1].lay(s)
		got, done := attempt(func() Region { return overlaid(r, s, op.overlay) })
		rest, too := attempt(func() Region { return overlaid(r, s, complement.overlay) })
		return got, done && too && possible(got.Area()) && addsUp(got, rest)
	}
	return sturdy(poses, func(p pose) Region { return work(op, p) }, right, slack, last)
}

// nearlyCoincide tells whether a corner of r and one of s are the same but for
// rounding.
func nearlyCoincide(r, s Region) bool {
	shared := r.Bounds().Grow(coarse)
	var near []Point
	for _, g := range r {
		near = append(near, g...)
	}
	slices.SortFunc(near, func(p, q Point) int { return cmp.Compare(p.X, q.X) })
	for _, g := range s {
		for _, q := range g {
			if !shared.Has(q) {
				continue
			}
			i, _ := slices.BinarySearchFunc(near, q.X-coarse, func(p Point, x float64) int { return cmp.Compare(p.X, x) })
			for ; i < len(near) && near[i].X <= q.X+coarse; i++ {
				if p := near[i]; p != q && math.Abs(p.Y-q.Y) <= coarse {
					return true
				}
			}
		}
	}
	return false
}

func (r Region) perimeter() float64 {
	l := 0.0
	for _, g := range r {
		l += g.Perimeter()
	}
	return l
}

// overlaid does an operation by github.com/peterstace/simplefeatures. It
// panics when that gives an error.
func overlaid(r, s Region, op func(a, b sf.Geometry) (sf.Geometry, error)) Region {
	must := func(g sf.Geometry, err error) sf.Geometry {
		if err != nil {
			panic(err)
		}
		return g
	}
	geometry := func(r Region) sf.Geometry {
		// From the largest ring to the smallest: an island comes after the
		// hole that it lies in.
		rings := slices.Clone(r)
		slices.SortStableFunc(rings, bySize)
		var out sf.Geometry
		for _, g := range rings {
			xy := make([]float64, 0, 2*len(g)+2)
			for i := range len(g) + 1 {
				p := g[i%len(g)]
				xy = append(xy, p.X, p.Y)
			}
			ring := sf.NewPolygon([]sf.LineString{sf.NewLineString(sf.NewSequence(xy, sf.DimXY))}).AsGeometry()
			if g.Area() > 0 {
				out = must(sf.Union(out, ring))
			} else {
				out = must(sf.Difference(out, ring))
			}
		}
		return out
	}
	var rings []Polygon
	for _, part := range must(op(geometry(r), geometry(s))).Dump() {
		if !part.IsPolygon() {
			continue // where the operands only touch
		}
		for _, ring := range part.MustAsPolygon().DumpRings() {
			xy := ring.Coordinates()
			g := make(Polygon, xy.Length()-1)
			for i := range g {
				g[i] = Point{xy.GetXY(i).X, xy.GetXY(i).Y}
			}
			rings = append(rings, g)
		}
	}
	return directed(rings)
}

// bySize puts the ring with the larger area first.
func bySize(a, b Polygon) int {
	return cmp.Compare(math.Abs(b.Area()), math.Abs(a.Area()))
}
