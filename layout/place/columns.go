package place

import (
	"math"
	"math/bits"
	"slices"
	"sort"

	"slabwright/body/geom"
)

// A columnTable gives a quick lower bound on the mirror term over a range of level
// placements that lie nearly along the strips. The compared half of the front
// is cut across the centreline into narrow columns:
//
//	v ▲    outline
//	  │  ┌─┬─┬─┬─┬─┐        A column's foot, its middle on the centreline, lies
//	  │  │ │ │ │ │ │        somewhere on the slab; call its y there s. A point of
//	  │  │ │ │ │ │ │        the column at v meets the strip at s + v and, in the
//	  └──┴─┴─┴─┴─┴─┴──▶ u   mirror, the strip at s − v.
//
// So what a column costs depends on s alone,
//
//	f(s) = ∫ w(v) · ΔE(wood at s + v, wood at s − v) dv,
//
// w(v) being how much of the column's breadth is compared at v. It is tabled
// once, with its slope, and with the total variation of the slope, which tells
// how far f can be from straight in between. A bound then costs a few look-ups
// a column, however many strips there are.
//
// What the table leaves out is taken off the bound:
//
//   - the foot's y changes along the column's breadth D, by r = D/2 · |sin a| to
//     either side. Where the column is full from side to side at v, its cost is
//     the mean of f over [s − r, s + r]. Where it is only partly compared there,
//     each strip side that meets it adds at most (its largest step of ΔE) · D · r/2;
//   - at an angle, distances across the strips shrink by cos a. Put the other
//     way, the compared part shrinks toward the centreline by that, and all of it
//     counts 1/cos a times. What it can lose by shrinking is its rim,
//     (1 − cos a) · ∫ v du along it, at the greatest ΔE.
//
// Strips that change their wood along their length count as the wood of theirs
// that costs least at each place. The table is blunt then, by an unknown amount.
type columnTable struct {
	step     float64 // mm of y between rows
	pivot    float64 // u of the pivot
	greatest float64 // ΔE
	rim      float64 // ∫ v du along the rims, mm²
	blunt    bool    // some strip is of several woods
	each     []column
}

// column is one column's table. Costs are in mm² · ΔE.
type column struct {
	u, half float64     // its middle, and half its breadth
	from    float64     // y of row 0
	partial float64     // greatest sum of steps of ΔE that meet its partly compared parts
	value   []float64   // f
	slope   []float64   // f′
	bend    []float64   // total variation of f′ from row 0
	least   [][]float64 // least[k][i] is a lower bound on f from row i to row i + 2ᵏ
}

// Tilts of the columns against the strips for which the table holds, and how
// far the foot may move along a column's breadth.
const (
	columnTilt = 0.6 // radians
	slantMax   = 3.0 // mm
)

// The greatest breadth of a column, and rows a strip; both trade making time
// for sharpness.
const (
	columnBreadth = 7.0
	rowsAStrip    = 24
)

// profile is the breadth w of a column at v, with integrals from 0 to v: of w,
// and of |dw|.
type profile struct {
	knots []knot
	index []int32 // knot at or below each whole multiple of profileStep
	most  float64 // v beyond which w is 0
}

type knot struct {
	v              float64
	w, rise        float64 // w just above v, and dw/dv until the next knot
	area, wavering float64
}

const profileStep = 0.5

// newProfile adds up rings that lie in v ≥ 0, with holes clockwise.
func newProfile(rings geom.Region, middle float64) profile {
	type edge struct{ v, w, rise float64 }
	var changes []edge
	for _, g := range rings {
		for i, p := range g {
			q := g[(i+1)%len(g)]
			sign := 1.0 // an edge that goes up has the region on its left, toward −u
			if p.Y > q.Y {
				p, q, sign = q, p, -1
			}
			if q.Y-p.Y < 1e-9 {
				continue
			}
			rise := sign * (q.X - p.X) / (q.Y - p.Y)
			w := sign*(p.X-middle) - rise*p.Y // at v = 0
			changes = append(changes, edge{p.Y, w, rise}, edge{q.Y, -w, -rise})
		}
	}
	slices.SortFunc(changes, func(a, b edge) int {
		switch {
		case a.v < b.v:
			return -1
		case a.v > b.v:
			return 1
		}
		return 0
	})
	var pr profile
	w, rise := 0.0, 0.0
	for i := 0; i < len(changes); {
		v := changes[i].v
		before := w + rise*v
		for ; i < len(changes) && changes[i].v <= v; i++ {
			w, rise = w+changes[i].w, rise+changes[i].rise
		}
		k := knot{v: v, w: w + rise*v, rise: rise}
		if n := len(pr.knots); n > 0 {
			l := pr.knots[n-1]
			d := v - l.v
			k.area = l.area + d*(l.w+l.rise*d/2)
			k.wavering = l.wavering + math.Abs(l.rise)*d
		}
		k.wavering += math.Abs(k.w - before)
		pr.knots = append(pr.knots, k)
	}
	if n := len(pr.knots); n > 0 {
		pr.most = pr.knots[n-1].v
		pr.knots[n-1].w, pr.knots[n-1].rise = 0, 0 // all edges have ended: what is left is rounding
	}
	at := int32(-1)
	for i := 0; float64(i)*profileStep <= pr.most; i++ {
		for int(at)+1 < len(pr.knots) && pr.knots[at+1].v <= float64(i)*profileStep {
			at++
		}
		pr.index = append(pr.index, at)
	}
	return pr
}

// at is w just above v, and the integrals from 0 to v.
func (p *profile) at(v float64) (w, area, wavering float64) {
	if v >= p.most {
		l := &p.knots[len(p.knots)-1]
		return 0, l.area, l.wavering
	}
	i := int(p.index[int(v/profileStep)])
	for i+1 < len(p.knots) && p.knots[i+1].v <= v {
		i++
	}
	if i < 0 {
		return 0, 0, 0
	}
	k := &p.knots[i]
	d := v - k.v
	return k.w + k.rise*d, k.area + d*(k.w+k.rise*d/2), k.wavering + math.Abs(k.rise)*d
}

// newColumns makes the table; nil where there is nothing to compare.
func (c *Case) newColumns() *columnTable {
	l := &c.look
	if l.area == 0 || c.Wish.Weights.Mirror == 0 {
		return nil
	}
	n := len(c.Slab.Strips)
	cs := &columnTable{pivot: c.pivot().X, step: min(max(c.Slab.Width()/float64(n)/rowsAStrip, 0.1), 0.5)}
	m := newMirrors(l.woods)
	cs.greatest, cs.blunt = m.greatest, c.changesAlong
	var b scratch
	for _, k := range slices.Concat(l.front, l.back) {
		for _, ring := range k.region {
			for i, p := range ring {
				q := ring[(i+1)%len(ring)]
				cs.rim += math.Abs(q.X-p.X) * (p.Y + q.Y) / 2
			}
		}
		cuts := columnCuts(k.region)
		for i := 0; i+1 < len(cuts); i++ {
			b.points = b.points[:0]
			var part geom.Region
			for _, ring := range k.region {
				_, ring = b.split(ring, 1, 0, -cuts[i])
				if ring, _ = b.split(ring, 1, 0, -cuts[i+1]); ring != nil {
					part = append(part, ring)
				}
			}
			pr := newProfile(part, (cuts[i]+cuts[i+1])/2)
			if pr.most == 0 {
				continue
			}
			col := column{u: (cuts[i] + cuts[i+1]) / 2, half: (cuts[i+1] - cuts[i]) / 2}
			// Both sides of an allowed body lie in the slab, which bounds s.
			off := pr.most * math.Cos(columnTilt)
			col.from = c.extent.Min.Y + off
			if rows := int(math.Ceil((c.extent.Max.Y-off-col.from)/cs.step)) + 1; rows > 1 {
				col.fill(m, &pr, cs.step, rows)
				cs.each = append(cs.each, col)
			}
		}
	}
	return cs
}

// columnCuts are where along u a region is cut into columns: at its sides that
// run straight across, as a column is best full from side to side, and evenly
// between them.
func columnCuts(r geom.Region) []float64 {
	box := geom.EmptyBox()
	var at []float64
	for _, ring := range r {
		for i, p := range ring {
			box = box.Include(p)
			if q := ring[(i+1)%len(ring)]; math.Abs(q.X-p.X) < 1e-6 && math.Abs(q.Y-p.Y) > 1 {
				at = append(at, p.X)
			}
		}
	}
	at = append(at, box.Min.X, box.Max.X)
	sort.Float64s(at)
	out := at[:1:1]
	for _, u := range at[1:] {
		last := out[len(out)-1]
		if u-last < 1e-3 && u < box.Max.X {
			continue
		}
		n := math.Ceil((u - last) / columnBreadth)
		for i := 1.0; i <= n; i++ {
			out = append(out, last+(u-last)*i/n)
		}
	}
	return out
}

// mirrors is what a table is made from: the sides between strips, and the least
// ΔE between the woods of two strips. The outermost strips go on for ever, as
// they do for the exact term; no allowed body reaches beyond them.
type mirrors struct {
	sides    []float64
	diff     [][]float64
	steps    []float64 // by side: the most that crossing it changes the ΔE to any one strip
	turns    []turn
	greatest float64
}

// turn is where the sides i and j pass each other in the mirror, which bends f.
type turn struct {
	at, v float64 // the foot's y, and how far from it
	bend  float64 // change of f′ for a column one mm broad
}

func newMirrors(w *woodmap) *mirrors {
	n := len(w.strips)
	m := &mirrors{sides: w.edges[1:n], diff: make([][]float64, n)}
	for i := range n {
		m.diff[i] = make([]float64, n)
		for j := range i {
			d := w.least(w.strips[i].colours, w.strips[j].colours)
			m.diff[i][j], m.diff[j][i] = d, d
			m.greatest = max(m.greatest, d)
		}
	}
	d := m.diff
	for k, e := range m.sides {
		most := 0.0
		for j := range n {
			most = max(most, math.Abs(d[k][j]-d[k+1][j]))
		}
		m.steps = append(m.steps, most)
		// At its own foot a side becomes its own mirror: w·ΔE becomes −w·ΔE.
		m.turns = append(m.turns, turn{e, 0, 2 * d[k][k+1]})
		for j, low := range m.sides[:k] {
			if b := 2 * math.Abs(d[k+1][j+1]+d[k][j]-d[k][j+1]-d[k+1][j]); b > 0 {
				m.turns = append(m.turns, turn{(e + low) / 2, (e - low) / 2, b})
			}
		}
	}
	slices.SortFunc(m.turns, func(a, b turn) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		}
		return 0
	})
	return m
}

// fill makes the rows of a column.
func (col *column) fill(m *mirrors, pr *profile, step float64, rows int) {
	col.value, col.slope, col.bend = make([]float64, rows), make([]float64, rows), make([]float64, rows)
	breadth := 2 * col.half
	bends := make([]float64, rows) // in the cell after each row
	cellOf := func(s float64) int { return min(max(int(math.Floor((s-col.from)/step)), 0), rows-1) }
	first := sort.Search(len(m.turns), func(i int) bool { return m.turns[i].at >= col.from-step })
	for _, t := range m.turns[first:] {
		if t.at > col.from+float64(rows)*step {
			break
		}
		if t.v > pr.most {
			continue
		}
		// A turn at a row itself may count to either side of it.
		const hair = 1e-6
		a, b := cellOf(t.at-hair), cellOf(t.at+hair)
		bends[a] += t.bend * breadth
		if b != a {
			bends[b] += t.bend * breadth
		}
	}
	partly := pr.partly(breadth, slantMax+step)
	_, total, unsteady := pr.at(pr.most)
	waver := make([]float64, len(m.sides)) // of each side at the row before
	for k := range waver {
		waver[k] = unsteady
	}
	lastLow, lastHigh := len(m.sides), -1 // sides that the row before met
	for i := range rows {
		s := col.from + float64(i)*step
		up := sort.SearchFloat64s(m.sides, s)
		down := up - 1
		p, q := up, up // strips at s + v and s − v
		f, slope, met, before := 0.0, 0.0, 0.0, 0.0
		low, high := up, up-1
		for {
			vu, vd := math.Inf(1), math.Inf(1)
			if up < len(m.sides) {
				vu = m.sides[up] - s
			}
			if down >= 0 {
				vd = s - m.sides[down]
			}
			v := min(vu, vd)
			if v >= pr.most {
				break
			}
			w, area, wavering := pr.at(v)
			d := m.diff[p][q]
			f += d * (area - before)
			before = area
			k := up
			if vu <= vd {
				p++
				slope += w * (m.diff[p][q] - d)
				high = up
				up++
			} else {
				k = down
				q--
				slope += w * (d - m.diff[p][q])
				low = down
				down--
			}
			if partly.holds(v) {
				met += m.steps[k]
			}
			if i > 0 {
				// The way of the side over w since the row before.
				if k < len(m.sides) && (m.sides[k] >= s) == (m.sides[k] >= s-step) {
					bends[i-1] += m.steps[k] * math.Abs(wavering-waver[k])
				} else {
					bends[i-1] += m.steps[k] * (wavering + waver[k])
				}
			}
			waver[k] = wavering
		}
		f += m.diff[p][q] * (total - before)
		// Sides that the column met a row before and meets no longer.
		for k := lastLow; k < low; k++ {
			bends[i-1] += m.steps[k] * (unsteady - waver[k])
			waver[k] = unsteady
		}
		for k := max(high+1, lastLow); k <= lastHigh; k++ {
			bends[i-1] += m.steps[k] * (unsteady - waver[k])
			waver[k] = unsteady
		}
		lastLow, lastHigh = low, high
		col.value[i], col.slope[i] = f, slope
		col.partial = max(col.partial, met)
	}
	for i := 1; i < rows; i++ {
		col.bend[i] = col.bend[i-1] + bends[i-1]
	}
	low := make([]float64, rows-1)
	for i := range low {
		low[i] = max(0, min(col.value[i], col.value[i+1])-step/4*bends[i])
	}
	col.least = [][]float64{low}
	for d := 1; 2*d <= len(low); d *= 2 {
		last := col.least[len(col.least)-1]
		next := make([]float64, len(last)-d)
		for i := range next {
			next[i] = min(last[i], last[i+d])
		}
		col.least = append(col.least, next)
	}
}

// stretchesOf are intervals of v.
type stretchesOf [][2]float64

func (s stretchesOf) holds(v float64) bool {
	for _, t := range s {
		if v >= t[0] && v <= t[1] {
			return true
		}
	}
	return false
}

// partly are where the breadth is neither full nor empty, grown by grow.
func (p *profile) partly(breadth, grow float64) stretchesOf {
	const hair = 1e-6
	var out stretchesOf
	for i := 0; i+1 < len(p.knots); i++ {
		a, b := &p.knots[i], &p.knots[i+1]
		end := a.w + a.rise*(b.v-a.v)
		if min(a.w, end) > breadth-hair || max(a.w, end) < hair || b.v-a.v < 1e-9 {
			continue
		}
		lo, hi := a.v-grow, b.v+grow
		if n := len(out); n > 0 && lo <= out[n-1][1] {
			out[n-1][1] = hi
		} else {
			out = append(out, [2]float64{lo, hi})
		}
	}
	return out
}

// over is a lower bound on f from s0 to s1.
func (col *column) over(s0, s1, step float64) (least float64, first, last int) {
	i, j := int(math.Floor((s0-col.from)/step)), int(math.Floor((s1-col.from)/step))
	if i < 0 || j >= len(col.least[0]) {
		return 0, 0, 0 // no allowed body has its foot there
	}
	k := bits.Len(uint(j-i+1)) - 1
	row := col.least[k]
	return min(row[i], row[j+1-1<<k]), i, j + 1
}

// mismatch is a lower bound on the mirror term's integral over the span, which
// must be level; and its doubt, in which a span of one placement would have
// the exact value above the bound, infinite where it is not known. Where the
// table cannot tell at all, they are 0 and infinite.
func (cs *columnTable) mismatch(s span) (least, doubt float64) {
	turned := math.Abs(math.Remainder(s.a, math.Pi)) + s.ha
	if turned > columnTilt {
		return 0, math.Inf(1)
	}
	sin, cos := math.Sincos(s.a)
	apart := 0.0       // each column at its own least
	var together tally // the same, but what changes straight summed first
	lost := cs.greatest * (1 - math.Cos(turned)) * cs.rim
	bent := 0.0
	if cs.blunt {
		doubt = math.Inf(1)
	}
	for i := range cs.each {
		col := &cs.each[i]
		x := col.u - cs.pivot
		foot := s.y + x*sin
		moves := s.hy + math.Abs(x)*s.ha
		slant := col.half * (math.Abs(sin) + s.ha)
		most, first, last := 0.0, 0, 0
		if slant < slantMax {
			most, first, last = col.over(foot-moves-slant, foot+moves+slant, cs.step)
		}
		if last == 0 {
			// Nothing is known of it.
			doubt = math.Inf(1)
			continue
		}
		lost += col.partial * col.half * slant
		apart += most
		// From the nearest row f goes on straight, less what it may bend.
		near := min(max(int(math.Round((foot-col.from)/cs.step)), first), last)
		off := foot - (col.from + float64(near)*cs.step)
		slope := col.slope[near]
		bend := max(col.bend[last]-col.bend[near], col.bend[near]-col.bend[first])
		bent += (slant + math.Abs(off)) * bend
		straight := col.value[near] + slope*off - (moves+slant+math.Abs(off))*bend -
			math.Abs(slope*x)*s.ha*s.ha/2
		if straight-math.Abs(slope)*moves/2 < most {
			together.sum += most
			continue
		}
		together.sum += straight
		together.perY += slope
		together.perA += slope * x * cos
	}
	least = max(0, apart-lost, together.least(s)-lost)
	return least / math.Cos(max(0, turned-2*s.ha)), doubt + 2*(lost+bent)
}
