package slab

import (
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
	"slabwright/fret/measure"
)

// RibPattern says how the ribs of neighbouring strips stand to each other.
type RibPattern string

// The patterns. Aligned ribs meet across glue lines and bond through the
// stack; staggered ones face hollows, which shortens the skins' spans; with
// Free each strip loses as much wood as it can.
const (
	Aligned   RibPattern = "aligned"
	Staggered RibPattern = "staggered"
	Free      RibPattern = "free"
)

// ChamberRules say what planned chambers must leave. All lengths in mm.
type ChamberRules struct {
	TopSkin    float64 // square to the finished top
	BottomSkin float64
	Rib        float64 // least wood between two chambers of a strip
	End        float64 // least wood along the strip to where it leaves the outline
	Wall       float64 // least wood to the outline, in any direction
	Longest    float64 // 0 = any length
	Shortest   float64 // a chamber shorter than this is not worth its corner holes
	Shallowest float64 // the same for its height
	Narrowest  float64 // strips thinner than this stay solid

	Ribs       RibPattern
	LeastGlue  float64 // every glue line keeps at least this share of its face, 0 to 1
	CornerHole float64 // diameter of the holes drilled in the corners before sawing
	Screws     float64 // least wood round fasteners and their holes

	SolidStrips []int // strips to leave alone
	OverJoints  bool  // allow chambers across a strip's own transitions
}

// DefaultChamberRules are our own starting point: common practice, no source.
func DefaultChamberRules() ChamberRules {
	return ChamberRules{
		TopSkin: 6, BottomSkin: 6, Rib: 20, End: 40, Wall: 20, Longest: 300, Shortest: 50, Shallowest: 10,
		Narrowest: 12, Ribs: Aligned, LeastGlue: 0.2, CornerHole: 10, Screws: 6,
	}
}

// Check says which rule makes no sense, or nil.
func (r ChamberRules) Check() error {
	for _, f := range []struct {
		name  string
		value float64
		least float64
	}{
		{"top skin", r.TopSkin, 0.5}, {"bottom skin", r.BottomSkin, 0.5}, {"rib", r.Rib, 1}, {"end", r.End, 0}, {"wall", r.Wall, 1},
		{"shortest", r.Shortest, 1}, {"shallowest", r.Shallowest, 1}, {"narrowest", r.Narrowest, 0}, {"corner hole", r.CornerHole, 0}, {"screws", r.Screws, 0},
	} {
		if !(f.value >= f.least && f.value <= longest) {
			return measure.Errorf("chambers: %s %v: give at least %v", f.name, measure.Length(f.value), measure.Length(f.least))
		}
	}
	if r.Longest != 0 && !(r.Longest >= r.Shortest && r.Longest <= longest) {
		return measure.Errorf("chambers: longest %v: give 0 for no limit or at least the shortest, %v", measure.Length(r.Longest), measure.Length(r.Shortest))
	}
	if !(r.LeastGlue >= 0 && r.LeastGlue < 1) {
		return fmt.Errorf("chambers: least glue %g: it is a share of the joint's face, 0 to below 1", r.LeastGlue)
	}
	if r.CornerHole > r.Shallowest || r.CornerHole > r.Shortest {
		return measure.Errorf("chambers: corner holes of %v do not fit a chamber %v high and %v long: raise the shallowest and the shortest", measure.Length(r.CornerHole), measure.Length(r.Shallowest), measure.Length(r.Shortest))
	}
	switch r.Ribs {
	case Aligned, Staggered, Free:
		return nil
	}
	return fmt.Errorf("chambers: ribs %q: give %q, %q or %q", r.Ribs, Aligned, Staggered, Free)
}

// PlanChambers lays out chambers that take as much weight as the rules allow
// and leave the reserved wood, given as rings in plan, untouched. Cut chambers,
// fasteners and fittings are kept clear of, planned chambers already in the slab are
// ignored. The slab and the rules have passed Check.
//
// Laws: (1) no chamber meets the inside of a reserved ring; (2) skins, ribs,
// ends, walls, lengths and heights are as the rules say; (3) every glue line
// between strips keeps its least glued share as far as these chambers can
// spoil it.
func PlanChambers(s *Slab, rules ChamberRules, reserved []geom.Polygon) []Chamber {
	return newPlanner(s.survey(), rules, reserved).plan()
}

// planner holds what the planning of one slab needs.
type planner struct {
	*survey
	rules ChamberRules
	free  [][]span // by strip: where a chamber may lie
	// keepOut is what no hollow may meet: fasteners with the wood round them,
	// fittings, reserved wood.
	keepOut []geom.Polygon
	hoard   []float64 // ∫ hollow height dx up to x = start + i·step
	comb    []float64 // hollow height there
	start   float64
	step    float64
}

// height is the hollow's height at x.
func (p *planner) height(x float64) float64 {
	return p.f.roof(x, p.rules.TopSkin) - p.f.floor(x, p.rules.BottomSkin)
}

// cumulate fills hoard by Simpson's rule on a comb of about 4 mm.
func (p *planner) cumulate() {
	p.start = p.f.x[0]
	l := p.f.x[len(p.f.x)-1] - p.start
	n := int(math.Ceil(l / 4))
	p.step = l / float64(n)
	p.hoard = make([]float64, n+1)
	p.comb = make([]float64, n+1)
	a := p.height(p.start)
	p.comb[0] = a
	for i := range n {
		x := p.start + float64(i)*p.step
		m, b := p.height(x+p.step/2), p.height(x+p.step)
		p.hoard[i+1] = p.hoard[i] + p.step/6*(max(0, a)+4*max(0, m)+max(0, b))
		a = b
		p.comb[i+1] = b
	}
}

// upTo is ∫ hollow height dx from the slab's start to x.
func (p *planner) upTo(x float64) float64 {
	u := max(0, min((x-p.start)/p.step, float64(len(p.hoard)-1)))
	i := min(int(u), len(p.hoard)-2)
	return p.hoard[i] + (p.hoard[i+1]-p.hoard[i])*(u-float64(i))
}

func (p *planner) between(a, b float64) float64 { return p.upTo(b) - p.upTo(a) }

func (p *planner) plan() []Chamber {
	layout := p.layout()
	p.keepGlue(layout)
	if p.rules.Ribs == Free && p.rules.Longest > 0 && p.rules.LeastGlue > 0 {
		// Where glue is scarce a pattern may lose less to it: free ribs may
		// stand in one.
		for _, ribs := range []RibPattern{Aligned, Staggered} {
			q := *p
			q.rules.Ribs = ribs
			other := q.layout()
			q.keepGlue(other)
			if p.worth(other) > p.worth(layout)*(1+1e-9) {
				layout = other
			}
		}
	}
	var out []Chamber
	for i, spans := range layout {
		for k, c := range spans {
			out = append(out, Chamber{
				Name: p.s.nthIn(i, k), Strip: i, From: c.from, To: c.to,
				TopSkin: p.rules.TopSkin, BottomSkin: p.rules.BottomSkin, State: Planned,
			})
		}
	}
	return out
}

// worth is about what a layout saves, in grams.
func (p *planner) worth(layout [][]span) float64 {
	sum := 0.0
	for i, spans := range layout {
		t := p.s.Strips[i].Thickness()
		for _, g := range spans {
			sum += t * p.between(g.from, g.to) * p.woodAt(i, (g.from+g.to)/2).gramsPerMm3
		}
	}
	return sum
}

// layout is the chambers of each strip by the rib pattern.
func (p *planner) layout() [][]span {
	if p.rules.Longest == 0 {
		out := make([][]span, len(p.free))
		for i := range p.free {
			out[i] = slices.Clone(p.free[i])
		}
		return out
	}
	if p.rules.Ribs == Free {
		out := make([][]span, len(p.free))
		memo := map[span][]span{}
		for i, spans := range p.free {
			for _, g := range spans {
				best, ok := memo[g]
				if !ok {
					best = p.divide(g)
					memo[g] = best
				}
				out[i] = append(out[i], best...)
			}
		}
		return out
	}
	return p.grid()
}

// divide cuts one free span into chambers with the most hollow. It is a walk
// over a comb of about a millimetre: best[j] is the most that can be had
// before tooth j, and a chamber that ends at j begins where
// best[i − rib] − upTo(i) is greatest over all i that its length allows. The
// window of i slides, so a queue of candidates gives each step in constant
// time on average (the usual sliding maximum).
func (p *planner) divide(g span) []span {
	n := int(math.Ceil(g.length()))
	h := g.length() / float64(n)
	short := int(math.Ceil(p.rules.Shortest/h - 1e-9))
	long := min(n, int(math.Floor(p.rules.Longest/h+1e-9)))
	rib := int(math.Ceil(p.rules.Rib/h - 1e-9))
	if short > long {
		return nil
	}
	x := func(i int) float64 { return g.from + float64(i)*h }
	best := make([]float64, n+1)
	from := make([]int, n+1) // start of the chamber that ends at j, −1 = none
	gain := make([]float64, n+1)
	var queue []int
	for j := 0; j <= n; j++ {
		from[j] = -1
		if j > 0 {
			best[j] = best[j-1]
		}
		if i := j - short; i >= 0 {
			gain[i] = best[max(0, i-rib)] - p.upTo(x(i))
			for len(queue) > 0 && gain[queue[len(queue)-1]] <= gain[i] {
				queue = queue[:len(queue)-1]
			}
			queue = append(queue, i)
			for queue[0] < j-long {
				queue = queue[1:]
			}
			if v := gain[queue[0]] + p.upTo(x(j)); v > best[j]+1e-9 {
				best[j], from[j] = v, queue[0]
			}
		}
	}
	var out []span
	for j := n; j > 0; {
		if from[j] < 0 {
			j--
			continue
		}
		out = append(out, span{x(from[j]), x(j)})
		j = from[j] - rib
	}
	slices.Reverse(out)
	// Take up what the comb lost to rounding.
	for k := range out {
		end := g.to
		if k+1 < len(out) {
			end = out[k+1].from - p.rules.Rib
		}
		out[k].to = min(end, out[k].from+p.rules.Longest)
		if k == 0 {
			out[k].from = max(g.from, out[k].to-p.rules.Longest)
		}
	}
	for k := len(out) - 1; k > 0; k-- {
		out[k].from = max(out[k-1].to+p.rules.Rib, out[k].to-p.rules.Longest)
	}
	return out
}

// grid lays chambers between ribs that stand at even distances, the same for
// all strips (aligned) or half a distance on in every second hollowed strip
// (staggered). It tries every start in steps of 2 mm, at the longest distance
// and at those that divide the commonest long free spans evenly, and keeps
// the best.
func (p *planner) grid() [][]span {
	rib, full := p.rules.Rib, p.rules.Longest+p.rules.Rib
	pitches := []float64{full}
	longestFree := 0.0
	for _, spans := range p.free {
		for _, g := range spans {
			longestFree = max(longestFree, g.length())
		}
	}
	if n := math.Ceil((longestFree + rib) / full); n >= 1 {
		if q := (longestFree + rib) / n; q >= p.rules.Shortest+rib && q < full {
			pitches = append(pitches, q)
		}
	}
	// Strips with the same free spans and the same shift count once.
	type group struct {
		spans  []span
		shift  float64
		weight float64
	}
	var groups []group
	shift := make([]float64, len(p.free))
	odd := false
	for i, spans := range p.free {
		if len(spans) == 0 {
			continue
		}
		if odd && p.rules.Ribs == Staggered {
			shift[i] = 0.5
		}
		odd = !odd
		t := p.s.Strips[i].Thickness()
		if k := slices.IndexFunc(groups, func(g group) bool { return g.shift == shift[i] && slices.Equal(g.spans, spans) }); k >= 0 && len(groups) < 64 {
			groups[k].weight += t
			continue
		}
		groups = append(groups, group{spans, shift[i], t})
	}
	var rows [2]slotRow // by shift
	best, bestPitch, bestStart := -1.0, full, 0.0
	for _, pitch := range pitches {
		steps := max(1, math.Ceil(pitch/2))
		for k := 0.0; k < steps; k++ {
			start := p.start + pitch*k/steps
			sum := 0.0
			for side := range rows {
				rows[side].fill(p, start+float64(side)/2*pitch, pitch)
			}
			for _, g := range groups {
				sum += g.weight * rows[int(2*g.shift)].over(p, g.spans)
			}
			if sum > best+1e-6 {
				best, bestPitch, bestStart = sum, pitch, start
			}
		}
	}
	out := make([][]span, len(p.free))
	for i, spans := range p.free {
		p.slots(spans, bestStart+shift[i]*bestPitch, bestPitch, func(c span) { out[i] = append(out[i], c) })
	}
	return out
}

// slotRow is a row of slots along the whole slab and the sums of the hollow in
// those before each.
type slotRow struct {
	first, pitch, long float64
	before             []float64
}

func (r *slotRow) fill(p *planner, start, pitch float64) {
	r.pitch, r.long = pitch, pitch-p.rules.Rib
	r.first = start - math.Ceil((start-p.start)/pitch)*pitch
	r.before = append(r.before[:0], 0)
	end := p.start + p.step*float64(len(p.hoard)-1)
	sum := 0.0
	for k := 0; r.at(k) < end; k++ {
		sum += p.between(r.at(k), r.at(k)+r.long)
		r.before = append(r.before, sum)
	}
}

func (r *slotRow) at(k int) float64 { return r.first + float64(k)*r.pitch }

// over is the hollow of the chambers that the row leaves in the free spans, as
// slots visits them: whole slots from their sums, the first and the last cut.
func (r *slotRow) over(p *planner, spans []span) float64 {
	sum := 0.0
	part := func(from, to float64) {
		if to-from >= p.rules.Shortest {
			sum += p.between(from, to)
		}
	}
	for _, g := range spans {
		i, j := int((g.from-r.first)/r.pitch), int((g.to-r.first)/r.pitch)
		if i == j {
			part(g.from, min(g.to, r.at(i)+r.long))
			continue
		}
		part(g.from, r.at(i)+r.long)
		sum += r.before[j] - r.before[i+1]
		part(r.at(j), min(g.to, r.at(j)+r.long))
	}
	return sum
}

// slots visits the chambers that a row of slots, pitch − rib long, leaves in
// the free spans.
func (p *planner) slots(spans []span, start, pitch float64, visit func(span)) {
	for _, g := range spans {
		for x := start + math.Floor((g.from-start)/pitch)*pitch; x < g.to; x += pitch {
			c := span{max(g.from, x), min(g.to, x+pitch-p.rules.Rib)}
			if c.length() >= p.rules.Shortest {
				visit(c)
			}
		}
	}
}

// keepGlue shortens chambers until every glue line between strips keeps its
// least share: chambers beside a line that lacks glue shrink about their
// middles by what is lacking, and go when they become too short. That is the
// cheapest way where ribs are aligned; staggered ones lose more by it than
// they might. A line that cut chambers have spoilt already loses no more.
func (p *planner) keepGlue(layout [][]span) {
	if p.rules.LeastGlue == 0 {
		return
	}
	var cut []Chamber
	for _, c := range p.s.Chambers {
		if c.State == Cut {
			cut = append(cut, c)
		}
	}
	before := p.s.byStrip(cut)
	hollow := make([][]Chamber, len(layout))
	for i := range layout {
		hollow[i] = p.chambers(i, layout[i], before[i])
	}
	for range 50 {
		changed := false
		for i := 0; i+1 < len(layout); i++ {
			g := p.glued(i, hollow[i], hollow[i+1])
			lack := p.rules.LeastGlue*g.full - g.glued
			if lack <= 1e-6*g.full || len(layout[i])+len(layout[i+1]) == 0 {
				continue
			}
			k := max(0, 1-lack/(g.full-g.glued)-1e-3)
			for _, strip := range []int{i, i + 1} {
				var kept []span
				for _, c := range layout[strip] {
					m, h := (c.from+c.to)/2, c.length()/2*k
					if 2*h >= p.rules.Shortest {
						kept = append(kept, span{m - h, m + h})
					}
				}
				layout[strip] = kept
				hollow[strip] = p.chambers(strip, kept, before[strip])
			}
			changed = true
		}
		if !changed {
			return
		}
	}
}

// chambers are the strip's spans as chambers under the rules, after those cut.
func (p *planner) chambers(strip int, spans []span, cut []Chamber) []Chamber {
	out := slices.Clone(cut)
	for _, g := range spans {
		out = append(out, Chamber{Strip: strip, From: g.from, To: g.to, TopSkin: p.rules.TopSkin, BottomSkin: p.rules.BottomSkin, State: Planned})
	}
	return out
}

// gluedFace is a joint between two strips: its whole face and what is left of
// it beside the hollows, in mm².
type gluedFace struct{ full, glued float64 }

// glued measures the joint on the left of strip i, beside the chambers of the
// two strips: where both are hollow the face is open as high as the higher
// hollow.
func (v *survey) glued(i int, right, left []Chamber) gluedFace {
	face := v.joint(i)
	g := gluedFace{face.mm2, face.mm2}
	xs := make([]float64, 0, 2*(len(right)+len(left)))
	for _, list := range [2][]Chamber{right, left} {
		for _, c := range list {
			xs = append(xs, c.From, c.To)
		}
	}
	xs = sortedUnique(xs)
	for k := 0; k+1 < len(xs); k++ {
		open := 0.0
		for _, list := range [2][]Chamber{right, left} {
			for _, c := range list {
				if c.From <= xs[k] && c.To >= xs[k+1] {
					open = max(open, v.f.hollowLine(hollowKey{xs[k], xs[k+1], c.TopSkin, c.BottomSkin}).v)
				}
			}
		}
		g.glued -= open
	}
	return g
}

// byStrip sorts chambers by their strips.
func (s *Slab) byStrip(list []Chamber) [][]Chamber {
	out := make([][]Chamber, len(s.Strips))
	for _, c := range list {
		out[c.Strip] = append(out[c.Strip], c)
	}
	return out
}
