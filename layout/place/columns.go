package place

import (
	"cmp"
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
// a column, however many strips there are; and so does a row of the table, as
// the columns share what each row's strips add up to, see events.
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
	*shape
	first   int                  // which row of the table its row 0 is,
	from    float64              // and the y of that
	partial [len(slants)]float64 // greatest sum of steps of ΔE that meet its partly compared parts
	rows    []row
	low     []float64   // low[i] is a lower bound on f from row i to the next
	least   [][]float64 // least[k][i] is that from row lowRun·i to row lowRun·(i + 2ᵏ)
}

// row is what is known of f at one y.
type row struct {
	value, slope float64 // f and f′
	bend         float64 // total variation of f′ from row 0
	sag          float64 // the same of what lets f fall below its tangent: all but where f′ grows
}

const lowRun = 8

// shape is the part of a column that the body alone makes.
type shape struct {
	u, half float64 // its middle, and half its breadth
	profile
}

// Tilts of the columns against the strips for which the table holds, and how
// far the foot may move along a column's breadth.
const (
	columnTilt = 0.6 // radians
	slantMax   = 3.0 // mm
)

// slants are two that are told apart: there are far more small ranges than large ones.
var slants = [...]float64{0.5, slantMax}

// The greatest breadth of a column, and rows a strip; both trade making time
// for sharpness.
const (
	columnBreadth = 10.0
	rowsAStrip    = 16
	finestRow     = 0.15 // mm
	coarsestRow   = 1.0
)

// profile is the breadth w of a column at v: it steps at knots, and runs
// straight between them.
type profile struct {
	knots []knot
	most  float64 // v beyond which w is 0
}

type knot struct {
	v       float64
	w, rise float64 // w just above v, and dw/dv until the next knot
	jump    float64 // by how much w steps at v
}

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
	slices.SortFunc(changes, func(a, b edge) int { return cmp.Compare(a.v, b.v) })
	var pr profile
	w, rise := 0.0, 0.0
	for i := 0; i < len(changes); {
		v := changes[i].v
		before := w + rise*v
		for ; i < len(changes) && changes[i].v <= v; i++ {
			w, rise = w+changes[i].w, rise+changes[i].rise
		}
		pr.knots = append(pr.knots, knot{v: v, w: w + rise*v, rise: rise, jump: w + rise*v - before})
	}
	if n := len(pr.knots); n > 0 {
		// All edges have ended: what is left is rounding.
		l := &pr.knots[n-1]
		pr.most = l.v
		l.jump, l.w, l.rise = l.jump-l.w, 0, 0
	}
	return pr
}

// shapes are the columns' own part, of a look at a body, and ∫ v du along the
// rims of what is compared.
type shapes struct {
	each []shape
	rim  float64
}

func (l *look) newShapes() *shapes {
	type task struct {
		region   geom.Region
		from, to float64
	}
	var tasks []task
	out := new(shapes)
	for _, k := range slices.Concat(l.front, l.back) {
		for _, ring := range k.region {
			for i, p := range ring {
				q := ring[(i+1)%len(ring)]
				out.rim += math.Abs(q.X-p.X) * (p.Y + q.Y) / 2
			}
		}
		cuts := columnCuts(k.region)
		for i := 0; i+1 < len(cuts); i++ {
			tasks = append(tasks, task{k.region, cuts[i], cuts[i+1]})
		}
	}
	out.each = make([]shape, len(tasks))
	inParallel(len(tasks), func(b *scratch, i int) {
		t := &tasks[i]
		b.points = b.points[:0]
		var part geom.Region
		for _, ring := range t.region {
			_, ring = b.split(ring, 1, 0, -t.from)
			if ring, _ = b.split(ring, 1, 0, -t.to); ring != nil {
				part = append(part, ring)
			}
		}
		s := &out.each[i]
		s.u, s.half = (t.from+t.to)/2, (t.to-t.from)/2
		s.profile = newProfile(part, s.u)
	})
	out.each = slices.DeleteFunc(out.each, func(s shape) bool { return s.most == 0 })
	return out
}

// newColumns makes the table; nil where there is nothing to compare.
func (c *Case) newColumns() *columnTable {
	l := &c.look
	if l.area == 0 || c.Wish.Weights.Mirror == 0 {
		return nil
	}
	shapes := l.shapes()
	step := min(max(c.Slab.Width()/float64(len(c.Slab.Strips))/rowsAStrip, finestRow), coarsestRow)
	m := newMirrors(l.woods)
	cs := &columnTable{pivot: c.pivot().X, step: step, greatest: m.greatest, rim: shapes.rim, blunt: c.changesAlong}
	// Both sides of an allowed body lie in the slab, which bounds s. All
	// columns have their rows at the same places.
	most := 0.0
	start := c.extent.Min.Y
	for i := range shapes.each {
		s := &shapes.each[i]
		off := s.most * math.Cos(columnTilt)
		first := math.Floor(off / step)
		last := math.Ceil((c.extent.Height() - off) / step)
		if last > first {
			col := column{shape: s, first: int(first), from: start + first*step, rows: make([]row, int(last-first)+1)}
			cs.each = append(cs.each, col)
			most = max(most, s.most)
		}
	}
	rows := int(math.Ceil(c.extent.Height()/step)) + 2
	cells := m.cells(start, step, rows)
	const batch = 16
	inParallel((rows+batch-1)/batch, func(b *scratch, n int) {
		for k := n * batch; k < min(rows, (n+1)*batch); k++ {
			b.events.fill(m, start+float64(k)*step, most)
			for i := range cs.each {
				col := &cs.each[i]
				if at := k - col.first; at >= 0 && at < len(col.rows) {
					col.rows[at] = b.events.row(col)
				}
			}
		}
	})
	ladder := newLadder(m.sides, m.steps)
	inParallel(len(cs.each), func(b *scratch, i int) {
		col := &cs.each[i]
		col.bends(b, ladder, cells[col.first:], step)
		col.finish(step)
	})
	return cs
}

// inParallel calls f(0..n−1) on all processors, each with a scratch of its own.
func inParallel(n int, f func(*scratch, int)) {
	desks := make([]scratch, Options{}.workers())
	share(len(desks), n, func(worker, i int) { f(&desks[worker], i) })
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
	bend  float64 // by how much f′ grows, for a column one mm broad
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
		// At its own foot a side becomes its own mirror: w·ΔE becomes −w·ΔE, as all
		// beside the foot differs there.
		m.turns = append(m.turns, turn{e, 0, -2 * d[k][k+1]})
		for j, low := range m.sides[:k] {
			if b := 2 * (d[k+1][j+1] + d[k][j] - d[k][j+1] - d[k+1][j]); b != 0 {
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

// cells sorts the turns into rows: those between a row and the next. A turn at
// a row itself may count to either side of it.
func (m *mirrors) cells(from, step float64, rows int) [][]turn {
	const hair = 1e-6
	out := make([][]turn, rows)
	at := func(y float64) int { return int(math.Floor((y - from) / step)) }
	i, j := 0, 0 // the turns of a row are those from i to j
	for k := range out {
		for ; i < len(m.turns) && at(m.turns[i].at+hair) < k; i++ {
		}
		for j = max(i, j); j < len(m.turns) && at(m.turns[j].at-hair) <= k; j++ {
		}
		out[k] = m.turns[i:j]
	}
	return out
}

// events are the strip sides that a column with its foot at one y meets, in order
// of their distance v from there, and what has added up from 0 to each of them.
// Event 0 is the foot itself. All columns of a row share them: with G, the
// integral of ΔE up to v, a column costs
//
//	f = ∫ w dG = −∫ G dw
//
// which is a sum over the few knots of w; and so is its slope.
type events struct {
	v      []float64
	diff   []float64 // ΔE from here to the next
	g, h   []float64 // ∫ ΔE dv, and the integral of that
	s, t   []float64 // sum of the signed steps of ΔE up to here, and its integral
	bins   []int32   // last event at or before each of as many even steps up to the greatest v
	perBin float64
}

// fill finds the events up to v = most of a column whose foot is at y.
func (e *events) fill(m *mirrors, y, most float64) {
	e.v, e.diff, e.g, e.h = e.v[:0], e.diff[:0], e.g[:0], e.h[:0]
	e.s, e.t = e.s[:0], e.t[:0]
	up := sort.SearchFloat64s(m.sides, y)
	down := up - 1
	p, q := up, up // strips at y + v and y − v
	add := func(v, g, h, s, t float64) {
		e.v, e.diff, e.g, e.h = append(e.v, v), append(e.diff, m.diff[p][q]), append(e.g, g), append(e.h, h)
		e.s, e.t = append(e.s, s), append(e.t, t)
	}
	add(0, 0, 0, 0, 0)
	for {
		vu, vd := math.Inf(1), math.Inf(1)
		if up < len(m.sides) {
			vu = m.sides[up] - y
		}
		if down >= 0 {
			vd = y - m.sides[down]
		}
		v := min(vu, vd)
		if v > most {
			break
		}
		k := len(e.v) - 1
		dv, d := v-e.v[k], e.diff[k]
		s := e.s[k]
		if vu <= vd {
			p, up = p+1, up+1
			s += m.diff[p][q] - d
		} else {
			q, down = q-1, down-1
			s += d - m.diff[p][q]
		}
		add(v, e.g[k]+d*dv, e.h[k]+(e.g[k]+d*dv/2)*dv, s, e.t[k]+e.s[k]*dv)
	}
	n := len(e.v)
	e.perBin = float64(n) / most
	e.bins = e.bins[:0]
	for b, k := 0, 0; b < n; b++ {
		for k+1 < n && e.v[k+1] <= float64(b)/e.perBin {
			k++
		}
		e.bins = append(e.bins, int32(k))
	}
}

// find is the last event at or before v ≥ 0.
func (e *events) find(v float64) int {
	k := int(e.bins[min(int(v*e.perBin), len(e.bins)-1)])
	for k+1 < len(e.v) && e.v[k+1] <= v {
		k++
	}
	for e.v[k] > v {
		k--
	}
	return k
}

// row is what a column costs at this row, and its slope.
func (e *events) row(col *column) (r row) {
	g, t := 0.0, 0.0 // ∫∫ ΔE, ∫ steps up to the knot
	for i := range col.knots {
		k := &col.knots[i]
		at := e.find(k.v)
		dv := k.v - e.v[at]
		d := e.diff[at]
		gv, sv := e.g[at]+d*dv, e.s[at]
		hv, tv := e.h[at]+(e.g[at]+d*dv/2)*dv, e.t[at]+sv*dv
		r.value -= k.jump * gv
		r.slope -= k.jump * sv
		if i > 0 {
			before := &col.knots[i-1]
			r.value -= before.rise * (hv - g)
			r.slope -= before.rise * (tv - t)
		}
		g, t = hv, tv
	}
	return r
}

// A ladder is what the steps of the sides add up to along y, and the integral of
// that.
type ladder struct{ y, sum, integral []float64 }

func newLadder(sides, steps []float64) *ladder {
	l := &ladder{y: sides}
	sum, integral := 0.0, 0.0
	for i, y := range sides {
		if i > 0 {
			integral += sum * (y - sides[i-1])
		}
		sum += steps[i]
		l.sum, l.integral = append(l.sum, sum), append(l.integral, integral)
	}
	return l
}

// A rung is a place on a ladder that only goes up.
type rung struct {
	*ladder
	i int // how many sides are at or below it
}

func (l *ladder) from(y float64) rung { return rung{l, sort.SearchFloat64s(l.y, y)} }

// to goes up to y, and is what has added up there, and its integral.
func (r *rung) to(y float64) (sum, integral float64) {
	for r.i < len(r.y) && r.y[r.i] <= y {
		r.i++
	}
	if r.i == 0 {
		return 0, 0
	}
	k := r.i - 1
	return r.sum[k], r.integral[k] + r.sum[k]*(y-r.y[k])
}

// bends finds by how much f′ may vary from each row to the next, and what meets the
// partly compared parts. While the foot goes up by a step, the sides that come by at
// the distance v to its left are those from y + v to y + v + step, and to its right
// those from y − v to y − v + step; these are to its left when they come out on the
// other side. A knot at which w jumps lets all of the steps of those sides into f′,
// a stretch on which w rises the integral of them times its rise.
func (col *column) bends(b *scratch, l *ladder, turns [][]turn, step float64) {
	const hair = 1e-9
	n := len(col.rows) - 1
	b.passed = slices.Grow(b.passed[:0], n)[:n]
	clear(b.passed)
	for i, k := range col.knots {
		rise := 0.0
		if i > 0 {
			rise = math.Abs(col.knots[i-1].rise)
		}
		jump := math.Abs(k.jump)
		if k.v <= 0 {
			jump = 0 // what passes the foot itself is a turn
		}
		y := col.from
		left, leftNext := l.from(y+k.v-hair), l.from(y+k.v+step)
		right, rightNext := l.from(y-k.v-hair), l.from(y-k.v+step)
		for j := range n {
			y := col.from + float64(j)*step
			l0, il0 := left.to(y + k.v - hair)
			l1, il1 := leftNext.to(y + k.v + step + hair)
			r0, ir0 := right.to(y - k.v - hair)
			r1, ir1 := rightNext.to(y - k.v + step + hair)
			passed := il1 - il0 - ir1 + ir0
			col.rows[j].bend += jump*(l1-l0+r1-r0) + rise*(passed-b.passed[j])
			b.passed[j] = passed
		}
	}
	breadth := 2 * col.half
	for j := range n {
		r := &col.rows[j]
		r.sag = r.bend
		for _, t := range turns[j] {
			if t.v > col.most {
				continue
			}
			r.bend += math.Abs(t.bend) * breadth
			r.sag += max(0, -t.bend) * breadth
		}
	}
	for i, slant := range slants {
		b.passed = slices.Grow(b.passed[:0], n+1)[:n+1]
		clear(b.passed)
		for _, p := range col.inPart(breadth, slant+step) {
			from, to := max(0, p[0]-hair), p[1]
			y := col.from
			l0, l1, r0, r1 := l.from(y+from), l.from(y+to), l.from(y-to-hair), l.from(y-from)
			for j := range b.passed {
				y := col.from + float64(j)*step
				a0, _ := l0.to(y + from)
				a1, _ := l1.to(y + to)
				b0, _ := r0.to(y - to - hair)
				b1, _ := r1.to(y - from)
				b.passed[j] += a1 - a0 + b1 - b0
			}
		}
		col.partial[i] = slices.Max(b.passed)
	}
}

// finish sums the bends from row to row, and makes the tables of the least.
func (col *column) finish(step float64) {
	n := len(col.rows) - 1
	col.low = make([]float64, n)
	bend, sag := 0.0, 0.0
	for i := range col.rows {
		r := &col.rows[i]
		if i < n {
			col.low[i] = max(0, min(r.value, col.rows[i+1].value)-step/4*r.bend)
		}
		r.bend, bend = bend, bend+r.bend
		r.sag, sag = sag, sag+r.sag
	}
	runs := make([]float64, n/lowRun)
	for i := range runs {
		runs[i] = slices.Min(col.low[i*lowRun : (i+1)*lowRun])
	}
	col.least = [][]float64{runs}
	for d := 1; 2*d <= len(runs); d *= 2 {
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

// inPart are where the breadth is neither full nor empty, grown by grow.
func (p *profile) inPart(breadth, grow float64) stretchesOf {
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

// over is a lower bound on f from s0 to s1, and the rows that hold them.
func (col *column) over(s0, s1, step float64) (least float64, first, last int) {
	i, j := int(math.Floor((s0-col.from)/step)), int(math.Floor((s1-col.from)/step))+1
	if i < 0 || j > len(col.low) {
		return 0, 0, 0 // no allowed body has its foot there
	}
	least = math.Inf(1)
	from, to := (i+lowRun-1)/lowRun, j/lowRun // whole runs
	if from >= to {
		for _, v := range col.low[i:j] {
			least = min(least, v)
		}
		return least, i, j
	}
	k := bits.Len(uint(to-from)) - 1
	least = min(col.least[k][from], col.least[k][to-1<<k])
	for _, v := range col.low[i : from*lowRun] {
		least = min(least, v)
	}
	for _, v := range col.low[to*lowRun : j] {
		least = min(least, v)
	}
	return least, i, j
}

// mismatch is a lower bound on the mirror term's integral over the span, which
// must be level; and its doubt, in which a span of one placement would have
// the exact value above the bound, infinite where it is not known, and a bound that
// goes along with dy and da. Where the table cannot tell at all, they are 0,
// infinite and 0.
func (cs *columnTable) mismatch(s span) (least, doubt float64, straight tally) {
	turned := math.Abs(math.Remainder(s.a, math.Pi)) + s.ha
	if turned > columnTilt {
		return 0, math.Inf(1), tally{}
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
		partial := col.partial[0]
		if slant > slants[0] {
			partial = col.partial[1]
		}
		lost += partial * col.half * slant
		apart += most
		// From the nearest row f goes on straight, less what it may bend.
		near := min(max(int(math.Round((foot-col.from)/cs.step)), first), last)
		off := foot - (col.from + float64(near)*cs.step)
		r, r0, r1 := &col.rows[near], &col.rows[first], &col.rows[last]
		slope := r.slope
		bent += (slant + math.Abs(off)) * max(r1.bend-r.bend, r.bend-r0.bend)
		sag := max(r1.sag-r.sag, r.sag-r0.sag)
		straight := r.value + slope*off - (moves+slant+math.Abs(off))*sag -
			math.Abs(slope*x)*s.ha*s.ha/2
		if straight-math.Abs(slope)*moves/2 < most {
			together.sum += most
			continue
		}
		together.sum += straight
		together.perY += slope
		together.perA += slope * x * cos
	}
	together.sum -= lost
	least = max(0, apart-lost, together.least(s))
	long := 1 / math.Cos(max(0, turned-2*s.ha))
	return least * long, doubt + 2*(lost+bent), together.times(long)
}
