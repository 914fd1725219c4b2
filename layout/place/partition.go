package place

import (
	"math"
	"math/bits"
	"slices"

	"slabwright/body/geom"
)

// A woodmap answers, for a region of the body that may lie a little this way
// or that: which woods can be there, and over how much area? It works in the
// body's frame, where the region is fixed and the slab moves.
//
// Every glue line between strips is a line y = const of the slab. If the slab
// may move by up to r across it, the line becomes a band of half-width r: off
// the band the wood is certain, in it two woods (or more, where bands overlap)
// are possible.
//
//	 strip 2 (certain)
//	─ ─ ─ ─ ─ ─ ─ ─ ─ ─   y + r
//	 strip 1 or strip 2
//	─ ─ ─ ─ ─ ─ ─ ─ ─ ─   y − r
//	 strip 1 (certain)
//
// With r = 0 the answer is exact, and the mirror term is the sum of areas
// times colour differences. With r > 0, taking the least difference of the
// colours possible on either side gives a lower bound that holds for every
// slab position within r: colours are compared pair by pair, as CIEDE2000
// obeys no triangle inequality.
type woodmap struct {
	edges  []float64    // y of all strip sides, from right to left; len = strips + 1
	strips []stripWoods // by strip
	diff   [][]float64  // by colour
}

// stripWoods are the patches of one strip, in order of x.
type stripWoods struct {
	colours colours // all of them
	patches []patch // empty when the strip has one colour
}

// colours is a set of colour numbers. Numbers from wild on share the last bit,
// which is taken to match everything: sound, if blunt.
type colours uint64

const wild = 63

func colourSet(i int) colours { return 1 << min(i, wild) }

// noWood stands for the difference to what lies off the slab, where there is no
// colour: more than CIEDE2000 gives for any two (119.2 was the most over a grid of the
// sRGB colours in steps of 51).
const noWood = 200.0

// least is the least difference between a colour of a and one of b.
func (w *woodmap) least(a, b colours) float64 {
	if a == 0 || b == 0 {
		return noWood
	}
	if a&b != 0 || (a|b)>>wild != 0 {
		return 0
	}
	best := math.Inf(1)
	for x := a; x != 0; x &= x - 1 {
		row := w.diff[bits.TrailingZeros64(uint64(x))]
		for y := b; y != 0; y &= y - 1 {
			best = math.Min(best, row[bits.TrailingZeros64(uint64(y))])
		}
	}
	return best
}

func (c *Case) newWoodmap(l *look) *woodmap {
	w := &woodmap{diff: l.diff}
	for i := range c.Slab.Strips {
		y0, y1 := c.Slab.Band(i)
		if i == 0 {
			w.edges = append(w.edges, y0)
		}
		w.edges = append(w.edges, y1)
		w.strips = append(w.strips, stripWoods{})
	}
	for i, cell := range c.Slab.Cells() {
		s := &w.strips[cell.Strip]
		s.colours |= colourSet(l.patches[i].colour)
		s.patches = append(s.patches, l.patches[i])
	}
	for i := range w.strips {
		if s := &w.strips[i]; bits.OnesCount64(uint64(s.colours)) == 1 && s.colours>>wild == 0 {
			s.patches = nil
		}
	}
	return w
}

// piece is a part of a region and the colours that can show on it.
type piece struct {
	ring    geom.Polygon
	area    float64
	colours colours
	// seam is k when the piece spans the whole band round the line between
	// strips k−1 and k, each of one colour; else 0.
	seam int
}

// scratch is where the rings of one bound are kept; it is used again for the
// next one, as nothing of a ring outlives its bound.
type scratch struct {
	points      []geom.Point
	here, there []piece
	spans       []stretch
	rims        []rim
	crossed     [][]rim // by seam
	unsure      []maybe
	pushes      []push
	lines       []line
	over, under []hold
	weighted    []weighted
	cuts        []cut
	best        tilt
	ring, other []geom.Point
	events      events    // of the row of the table being made
	passed      []float64 // by row, of the column of the table being made
	across      float64   // of the partition being made
	looks       *glimpses // of a search; nil outside one
	plain       bool      // bounds as a certificate's reader can follow them
}

// room gives space for a ring of up to n points.
func (b *scratch) room(n int) geom.Polygon {
	if cap(b.points)-len(b.points) < n {
		b.points = make([]geom.Point, 0, max(n, 2*cap(b.points), 4096))
	}
	at := len(b.points)
	b.points = b.points[:at+n]
	return geom.Polygon(b.points[at : at : at+n])
}

// split cuts a ring along the line where the affine function a·X + b·Y + c is
// zero: below where it is negative, above where it is not. The same caveat as
// for geom's Clipped holds: areas are exact.
func (w *scratch) split(g geom.Polygon, a, b, c float64) (below, above geom.Polygon) {
	n := len(g)
	if n == 0 {
		return nil, nil
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	crossings := 0
	dp := a*g[n-1].X + b*g[n-1].Y + c
	for _, p := range g {
		d := a*p.X + b*p.Y + c
		lo, hi = min(lo, d), max(hi, d)
		if (dp < 0) != (d < 0) {
			crossings++
		}
		dp = d
	}
	if lo >= 0 {
		return nil, g
	}
	if hi <= 0 {
		return g, nil
	}
	below, above = w.room(n+crossings), w.room(n+crossings)
	prev := g[n-1]
	dp = a*prev.X + b*prev.Y + c
	for _, p := range g {
		d := a*p.X + b*p.Y + c
		if dp < 0 && d > 0 || dp > 0 && d < 0 {
			q := prev.Lerp(p, dp/(dp-d))
			below, above = append(below, q), append(above, q)
		}
		if d <= 0 {
			below = append(below, p)
		}
		if d >= 0 {
			above = append(above, p)
		}
		prev, dp = p, d
	}
	if len(below) < 3 {
		below = nil
	}
	if len(above) < 3 {
		above = nil
	}
	return below, above
}

// partition cuts a ring of the body's plane m into pieces by the colours that
// can show on it when the slab may move by up to across (square to the strips)
// and by up to any (in any direction), both in mm. Pieces are appended to out.
func (w *woodmap) partition(b *scratch, out []piece, g geom.Polygon, m flat, across, any float64) []piece {
	b.across = across
	// y = o.Y + u.Y·X + v.Y·Y in body coordinates X, Y.
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range g {
		y := m.u.Y*p.X + m.v.Y*p.Y + m.o.Y
		lo, hi = min(lo, y), max(hi, y)
	}
	n := len(w.strips)
	// Boundaries k and k+1 part strip k; strips first..last can touch the ring.
	first := min(max(0, w.stripAt(lo-across)), n-1)
	last := min(n-1, w.stripAt(hi+across))
	rest := g
	from := first // first strip still possible at the bottom of rest
	// Walk the cut lines upward: entering strip k+1 at edge−across, leaving
	// strip k at edge+across. Cuts of neighbouring lines may interleave.
	enter, leave := first+1, first+1
	possible := w.colourRange(from, enter-1)
	for rest != nil {
		var y float64
		entering := false
		switch {
		case enter <= last && (leave >= enter || w.edges[enter]-across <= w.edges[leave]+across):
			y, entering = w.edges[enter]-across, true
		case leave < enter && leave <= last:
			y = w.edges[leave] + across
		default:
			return w.place(b, out, rest, m, from, enter-1, possible, any)
		}
		var below geom.Polygon
		below, rest = b.split(rest, m.u.Y, m.v.Y, m.o.Y-y)
		if below != nil {
			out = w.place(b, out, below, m, from, enter-1, possible, any)
		}
		if entering {
			enter++
		} else {
			leave++
			from++
		}
		possible = w.colourRange(from, enter-1)
	}
	return out
}

func (w *woodmap) colourRange(from, to int) colours {
	var s colours
	for i := from; i <= to; i++ {
		s |= w.strips[i].colours
	}
	return s
}

// stripAt is the strip at y, −1 right of all, len(strips) left of all.
func (w *woodmap) stripAt(y float64) int {
	i, _ := slices.BinarySearch(w.edges, y)
	return i - 1
}

// place appends a ring on which strips from..to are possible. On a ring that
// is certain to lie in one strip, the strip's own patches are told apart.
func (w *woodmap) place(b *scratch, out []piece, g geom.Polygon, m flat, from, to int, possible colours, any float64) []piece {
	if from != to || w.strips[from].patches == nil {
		k := 0
		if to == from+1 && w.apart(to, b.across) && w.strips[from].patches == nil && w.strips[to].patches == nil {
			k = to
		}
		return append(out, piece{g, g.Area(), possible, k})
	}
	s := w.strips[from]
	box := geom.EmptyBox()
	for _, p := range g {
		box = box.Include(m.apply(p))
	}
	var near colours
	for _, p := range s.patches {
		if p.bounds.Grow(any).Meets(box) {
			near |= colourSet(p.colour)
		}
	}
	if near&(near-1) == 0 && near>>wild == 0 {
		return append(out, piece{g, g.Area(), near, 0})
	}
	left := g.Area()
	for _, p := range s.patches {
		if !p.bounds.Meets(box) {
			continue
		}
		// The part that lies at least any inside the patch's cuts. The sides
		// of the strip are dealt with already.
		part := g
		for i, a := range p.region {
			d := p.region[(i+1)%len(p.region)].Sub(a)
			margin := any * d.Len()
			if d.Y == 0 {
				if a.Y <= w.edges[from] || a.Y >= w.edges[from+1] {
					continue // a side of the strip
				}
				// The line down the middle of a chevron parts two patches of
				// one piece. Across it one stays in the piece as long as one
				// keeps from the cut of one's own side.
				margin = 0
			}
			// d × (m(q) − a) ≥ margin, as an affine function of q
			ca, cb := d.Cross(m.u), d.Cross(m.v)
			cc := d.Cross(m.o.Sub(a)) - margin
			if _, part = b.split(part, ca, cb, cc); part == nil {
				break
			}
		}
		if part != nil {
			area := part.Area()
			left -= area
			out = append(out, piece{part, area, colourSet(p.colour), 0})
		}
	}
	// What is left lies near a cut; its shape does not matter, only its area.
	if math.Abs(left) > 1e-9 {
		out = append(out, piece{nil, left, near, 0})
	}
	return out
}

// apart tells whether the band round the line k meets no other line's band.
func (w *woodmap) apart(k int, across float64) bool {
	return across > 0 &&
		(k-1 == 0 || w.edges[k-1]+across <= w.edges[k]-across) &&
		(k+1 == len(w.edges)-1 || w.edges[k+1]-across >= w.edges[k]+across)
}

// A tally adds up the mirror term over a range of placements, of which the
// middle differs from any other by a shift dy across the strips and a turn da.
//
// Most of a bound's looseness would come from taking each glue line where it
// costs least. But the lines move together: what one gains another loses. So,
// of a band round a line between strips A and B that meets one certain wood C
// in the mirror, the value in the middle is summed, and by how much it changes
// with dy and da; only the sums of the changes are taken at their worst.
//
//	value = area · (ΔE(A,C) + ΔE(B,C))/2 + (ΔE(B,C) − ΔE(A,C)) · ∫ (dy + da·X) dX
//
// along the line, where X is the way from the pivot along the strips.
type tally struct {
	sum        float64
	perY, perA float64 // change with dy, per mm, and with da, per radian
}

// least is the least that the tally can be over the range.
func (t tally) least(s span) float64 {
	return t.sum - s.hy*math.Abs(t.perY) - s.ha*math.Abs(t.perA)
}

// times is the tally, weighted.
func (t tally) times(k float64) tally { return tally{t.sum * k, t.perY * k, t.perA * k} }

func (t tally) plus(u tally) tally { return tally{t.sum + u.sum, t.perY + u.perY, t.perA + u.perA} }

// corners is what the tally says at the corners of the range.
func (t tally) corners(s span) corners {
	y, a := s.hy*t.perY, s.ha*t.perA
	return corners{t.sum - y - a, t.sum - y + a, t.sum + y - a, t.sum + y + a}
}

// corners are bounds at the corners of a range of dy and da, in one order for all:
// low and low, low and high, high and low, high and high. Between them a bound is
// straight, or bulges upward, so that the least of a sum of such bounds is at a
// corner. It is more than the sum of their leasts where one gains what another
// loses.
type corners [4]float64

// mismatch adds ∫ ΔE over a chunk of the plane m: exact for a range of one
// placement, else so that the tally's least is a lower bound over the range s.
func (w *woodmap) mismatch(b *scratch, t *tally, k chunk, m flat, s span) {
	across, any := s.movesOf(k)
	mirrored := m
	mirrored.v = m.v.Mul(-1)
	for _, ring := range k.region {
		b.points = b.points[:0]
		b.here = w.partition(b, b.here[:0], ring, m, across, any)
		for _, p := range b.here {
			if p.ring == nil {
				continue // its mirror is not known: count the least, 0
			}
			b.there = w.partition(b, b.there[:0], p.ring, mirrored, across, any)
			for _, q := range b.there {
				switch {
				case q.ring == nil || (p.seam == 0) == (q.seam == 0):
					t.sum += q.area * w.least(p.colours, q.colours)
				case p.seam > 0:
					w.band(t, q.ring, q.area, p.seam, q.colours, m, s, across, k.radius)
				default:
					w.band(t, q.ring, q.area, q.seam, p.colours, mirrored, s, across, k.radius)
				}
			}
		}
	}
}

// band adds a piece of the band round the line seam, seen by the map m, whose
// mirror shows the colours other.
func (w *woodmap) band(t *tally, ring geom.Polygon, area float64, seam int, other colours, m flat, s span, across, radius float64) {
	low, high := w.least(w.strips[seam-1].colours, other), w.least(w.strips[seam].colours, other)
	worst := area * min(low, high)
	if other&(other-1) != 0 {
		t.sum += worst // more than one wood may meet it
		return
	}
	// Columns of the band that the piece does not fill from side to side are
	// taken as if they did; they are no longer than the run, along the line, of
	// the edges that are not on the band's sides. The turn is taken to first
	// order; the rest is at most r·da²/2.
	run, moment := 0.0, 0.0
	o := ring[0]
	prev := ring[len(ring)-1]
	yp := m.u.Y*prev.X + m.v.Y*prev.Y + m.o.Y - w.edges[seam]
	for i, p := range ring {
		y := m.u.Y*p.X + m.v.Y*p.Y + m.o.Y - w.edges[seam]
		onSide := math.Abs(math.Abs(y)-across) < 1e-7 && math.Abs(y-yp) < 1e-7
		if !onSide {
			run += math.Abs(m.u.X*(p.X-prev.X) + m.v.X*(p.Y-prev.Y))
		}
		if i > 0 {
			a, b := prev.Sub(o), p.Sub(o)
			c := a.Cross(b) / 6
			moment += c * (m.u.X*(a.X+b.X) + m.v.X*(a.Y+b.Y))
		}
		prev, yp = p, y
	}
	moment += area * (m.o.X + m.u.X*o.X + m.v.X*o.Y - s.x)
	step := high - low
	slack := math.Abs(step) * (2*across*run*(1+s.lean().skew) + area/(2*across)*(radius*s.ha*s.ha+s.lean().across))
	if slack > math.Abs(step)*area/8 {
		t.sum += worst // too ragged for that
		return
	}
	t.sum += area*(low+high)/2 - slack
	t.perY += step * area / (2 * across)
	t.perA += step * moment / (2 * across)
}
