package slab

import (
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
)

// Hollowing reports on the slab's chambers: what they save, what they leave,
// how to mark them and how air gets about.
type Hollowing struct {
	Chambers []ChamberLine `json:"chambers"`
	SavedG   float64       `json:"saved_g"`

	// MostG is a proven bound on what planned chambers can save under the
	// rules, whatever the rib pattern: in every free stretch of every strip,
	// only the ribs that its length forces, standing where the hollow is
	// lowest, and no care for glue. GapG is MostG less what was planned.
	MostG float64 `json:"most_g"`
	GapG  float64 `json:"gap_g"`

	Glue      []GlueFace `json:"glue_lines"`
	LeastGlue float64    `json:"least_glued_share"`
	Widest    WidestSkin `json:"widest_skin"`
	Bores     []Bore     `json:"air_bores"`
	Vents     []Vent     `json:"vents"`
	Marks     []Marks    `json:"marks"`
	Remains   Remains    `json:"remains"`
	Notes     []string   `json:"notes"`
}

// Remains says where the weight is that the chambers leave, edge rounding not
// taken off. Wood is counted under the first heading that fits.
type Remains struct {
	ReservedG     float64 `json:"reserved_g"`       // in the reserved wood
	SkinsG        float64 `json:"skins_g"`          // over and under chambers
	RibsG         float64 `json:"ribs_g"`           // between two chambers of a strip, up to twice the least rib
	SolidStripsG  float64 `json:"solid_strips_g"`   // strips without a chamber
	WallsAndEndsG float64 `json:"walls_and_ends_g"` // the rest: beside the outline, at the ends, round joints
}

// ChamberLine is one chamber, measured.
type ChamberLine struct {
	Strip        int     `json:"strip"` // from 0
	Name         string  `json:"name"`
	FromMm       float64 `json:"from_mm"`
	ToMm         float64 `json:"to_mm"`
	AcrossMm     float64 `json:"across_mm"`
	HeightFromMm float64 `json:"height_at_from_mm"`
	HeightToMm   float64 `json:"height_at_to_mm"`
	VolumeMm3    float64 `json:"volume_mm3"`
	SavedG       float64 `json:"saved_g"`
	State        string  `json:"state"`
}

// GlueFace is the joint between two strips, or one inside a strip that a
// chamber runs across: its face and what of it is wood on wood beside the
// chambers.
type GlueFace struct {
	Name     string  `json:"name"`
	Strip    int     `json:"right_strip"` // or the strip of the transition
	Inside   bool    `json:"transition"`
	FullMm2  float64 `json:"full_mm2"`
	GluedMm2 float64 `json:"glued_mm2"`
	Share    float64 `json:"share"`
	Least    float64 `json:"least_share"`
	OK       bool    `json:"ok"`
}

// WidestSkin is the largest circle of skin, seen in plan, that nothing stands
// under: its diameter is at least DiameterMm and less than WithinMm more.
type WidestSkin struct {
	DiameterMm float64    `json:"diameter_mm"`
	WithinMm   float64    `json:"within_mm"`
	AtMm       [2]float64 `json:"at_mm"`
}

// Bore is a hole drilled before glue-up so that air gets from one chamber to
// another: along a strip through a rib, or across a solid strip.
type Bore struct {
	From       string     `json:"from"`
	To         string     `json:"to"`
	Strip      int        `json:"strip"`    // the first that it goes through, from 0
	ToStrip    int        `json:"to_strip"` // the last
	Across     bool       `json:"across"`   // through whole strips rather than along through a rib
	FromMm     [3]float64 `json:"from_mm"`
	ToMm       [3]float64 `json:"to_mm"`
	DiameterMm float64    `json:"diameter_mm"`
}

// Vent is a hole from below into a chamber, so that sealed air does not lift
// the coat. It lies outside the reserved wood and clear of fasteners.
type Vent struct {
	Chamber    string     `json:"chamber"`
	Strip      int        `json:"strip"` // from 0
	AtMm       [2]float64 `json:"at_mm"`
	DiameterMm float64    `json:"diameter_mm"`
	DepthMm    float64    `json:"depth_mm"` // through the bottom skin there
}

// Marks is a strip's marking list: distances along it from its squared start.
type Marks struct {
	Strip    int           `json:"strip"`
	Name     string        `json:"name"`
	Datum    string        `json:"datum"`
	Chambers []ChamberMark `json:"chambers"`
	Air      []AirMark     `json:"air_holes"`
}

// AirMark is where one hole for air is drilled: a bore along the strip through
// the rib between two of its chambers, a bore across a solid strip, or a vent
// from below.
type AirMark struct {
	What       AirHole `json:"what"`
	To         string  `json:"between"`   // the chambers it joins, or the one it vents
	AlongMm    float64 `json:"along_mm"`  // centre from the datum; of a bore along, where it begins
	UpMm       float64 `json:"up_mm"`     // centre above the bench; of a vent, where it begins
	BottomMm   float64 `json:"bottom_mm"` // centre above the finished bottom edge, upright; 0 for a vent
	InMm       float64 `json:"in_mm"`     // centre from the strip's right face; 0 for a bore across
	DiameterMm float64 `json:"diameter_mm"`
	DepthMm    float64 `json:"depth_mm"` // how far it is drilled
}

// AirHole is the kind of a hole for air.
type AirHole string

// The kinds.
const (
	BoreAlong  AirHole = "bore along"
	BoreAcross AirHole = "bore across"
	VentBelow  AirHole = "vent from below"
)

// ChamberMark is where one chamber is drawn on the strip's side: roof and
// floor are scribed with a gauge from the finished edges, then start and stop
// squared across, then a hole drilled in each corner, touching both lines.
type ChamberMark struct {
	Name          string       `json:"name"`
	StartMm       float64      `json:"start_mm"`
	StopMm        float64      `json:"stop_mm"`
	TopGaugeMm    float64      `json:"top_gauge_mm"`
	BottomGaugeMm float64      `json:"bottom_gauge_mm"`
	HoleMm        float64      `json:"corner_hole_diameter_mm"`
	Holes         []CornerHole `json:"corner_holes"`
}

// CornerHole is the centre of a hole on the strip's side: along from the
// datum, above the bench, and the gauge settings from the finished edge.
type CornerHole struct {
	AlongMm float64 `json:"along_mm"`
	UpMm    float64 `json:"up_mm"`
	GaugeMm float64 `json:"gauge_mm"`
	FromTop bool    `json:"from_top"`
}

// Diameters of air bores and vents: common practice, no source.
const (
	boreDiameter = 6.0
	ventDiameter = 3.0
)

// Hollowing reports on the chambers in the slab, cut and planned, under the
// rules they were planned by.
func (s *Slab) Hollowing(rules ChamberRules, reserved []geom.Polygon) Hollowing {
	return newPlanner(s.survey(), rules, reserved).hollowing(reserved)
}

func (p *planner) hollowing(reserved []geom.Polygon) Hollowing {
	var h Hollowing
	s, rules := p.s, p.rules
	layout := make([][]span, len(s.Strips))
	planned := 0.0
	for i, c := range s.Chambers {
		layout[c.Strip] = append(layout[c.Strip], span{c.From, c.To})
		line := ChamberLine{
			Strip: c.Strip, Name: s.chamberName(i), FromMm: c.From, ToMm: c.To, AcrossMm: s.Strips[c.Strip].Thickness(),
			HeightFromMm: p.f.roof(c.From, c.TopSkin) - p.f.floor(c.From, c.BottomSkin),
			HeightToMm:   p.f.roof(c.To, c.TopSkin) - p.f.floor(c.To, c.BottomSkin),
			State:        string(c.State),
		}
		line.VolumeMm3, line.SavedG = p.chamberWeight(c)
		h.SavedG += line.SavedG
		if c.State == Planned {
			planned += line.SavedG
		}
		h.Chambers = append(h.Chambers, line)
	}
	h.MostG = p.most()
	h.GapG = h.MostG - planned
	h.LeastGlue = 1
	byStrip := s.byStrip(s.Chambers)
	for i := 0; i+1 < len(s.Strips); i++ {
		g := p.glued(i, byStrip[i], byStrip[i+1])
		h.face(GlueFace{Name: s.StripName(i) + " / " + s.StripName(i+1), Strip: i}, g, rules.LeastGlue)
	}
	for _, l := range p.glueLines() {
		if !l.Transition {
			continue
		}
		if g, crossed := p.gluedInside(l, byStrip[l.Strip]); crossed {
			h.face(GlueFace{Name: l.Name, Strip: l.Strip, Inside: true}, g, rules.LeastGlue)
		}
	}
	h.Widest = p.widest(layout)
	p.remains(&h, reserved)
	p.air(&h, keep(p.keepOut))
	h.Marks = p.marks(rules.CornerHole, &h)
	return h
}

// face adds a joint as it was measured.
func (h *Hollowing) face(f GlueFace, g gluedFace, least float64) {
	f.FullMm2, f.GluedMm2, f.Share, f.Least = g.full, g.glued, 1, least
	if g.full > 0 {
		f.Share = g.glued / g.full
	}
	f.OK = f.Share >= least-1e-9
	h.LeastGlue = min(h.LeastGlue, f.Share)
	h.Glue = append(h.Glue, f)
	if !f.OK {
		h.Notes = append(h.Notes, fmt.Sprintf("%s keeps %.0f %% of its face, less than the %.0f %% asked for", f.Name, 100*f.Share, 100*f.Least))
	}
}

// gluedInside measures a joint inside a strip; crossed tells whether a chamber
// of the strip runs across any of it.
func (p *planner) gluedInside(l GlueLine, list []Chamber) (g gluedFace, crossed bool) {
	x0, x1 := min(l.A.X, l.B.X), max(l.A.X, l.B.X)
	list = slices.DeleteFunc(slices.Clone(list), func(c Chamber) bool { return c.To <= x0 || c.From >= x1+1e-9 })
	if len(list) == 0 {
		return g, false
	}
	const n = 128 // a chamber may end on the joint, so no finer rule serves
	w := l.A.Distance(l.B) / n
	for k := range n {
		q := l.A.Lerp(l.B, (float64(k)+0.5)/n)
		if p.ring.Locate(q) == geom.Outside {
			continue
		}
		t, b := p.f.heights(q.X)
		g.full += w * (t - b)
		g.glued += w * (t - b)
		for _, c := range list {
			if q.X > c.From && q.X < c.To {
				g.glued -= w * (p.f.roof(q.X, c.TopSkin) - p.f.floor(q.X, c.BottomSkin))
			}
		}
	}
	return g, true
}

// chamberWeight is the volume of a chamber and what the wood in it weighs.
func (p *planner) chamberWeight(c Chamber) (mm3, grams float64) {
	p.f.split(c, p.strips[c.Strip], p.bands[c.Strip], p.bands[c.Strip+1], func(part int, m moments) {
		mm3 += m.v
		grams += m.v * p.woods[p.first[c.Strip]+part].gramsPerMm3
	})
	return mm3, grams
}

// most bounds from above what planned chambers can save, in grams.
func (p *planner) most() float64 {
	sum := 0.0
	memo := map[span]float64{}
	for i, spans := range p.free {
		for _, g := range spans {
			rho := 0.0 // the heaviest wood that the span reaches
			for k, part := range p.strips[i] {
				from := min(part.from.right, part.from.mid, part.from.left)
				to := max(part.to.right, part.to.mid, part.to.left)
				if from < g.to && to > g.from {
					rho = max(rho, p.woods[p.first[i]+k].gramsPerMm3)
				}
			}
			area, ok := memo[g]
			if !ok {
				area = p.mostIn(g)
				memo[g] = area
			}
			sum += area * p.s.Strips[i].Thickness() * rho
		}
	}
	return sum
}

// mostIn bounds ∫ hollow height over all layouts in one free span. With n
// chambers the hollow length is at most min(n·longest, L − (n−1)·rib); over
// all n that is T, so L − T at least stays solid, where the hollow is lowest
// at best.
func (p *planner) mostIn(g span) float64 {
	all := p.between(g.from, g.to)
	if p.rules.Longest == 0 {
		return all
	}
	l, rib, long := g.length(), p.rules.Rib, p.rules.Longest
	t := 0.0
	for n := 1.0; (n-1)*(rib+p.rules.Shortest) < l; n++ {
		t = max(t, min(n*long, l-(n-1)*rib))
	}
	low := math.Inf(1)
	for i := max(0, int((g.from-p.start)/p.step)); i < len(p.comb) && p.start+float64(i-1)*p.step < g.to; i++ {
		low = min(low, p.comb[i])
	}
	// Between teeth of the comb the height can dip by the bend.
	low -= p.step * p.step / 8 * (p.f.topBends.bend + p.f.bottomBends.bend)
	return all - (l-t)*max(0, low) + 1e-9*all
}

// widest finds the largest circle over the hollows by halving the chambers'
// plans: a rectangle whose middle lies d from solid wood holds no circle of
// radius above d plus half its diagonal, and none above its middle's distance
// to solid wood in the same strip plus half its length.
func (p *planner) widest(layout [][]span) WidestSkin {
	const within = 0.5 // mm in diameter
	far := 10 * (p.s.Length + p.s.Width())
	solid := make([][]span, len(layout))
	for i := range layout {
		solid[i] = gaps(slices.Clone(layout[i]), -far, far)
	}
	// along is the distance along a strip to its nearest solid wood.
	along := func(strip int, x float64) float64 {
		best := far
		for _, s := range solid[strip] {
			if s.to < x {
				best = x - s.to
				continue
			}
			return min(best, max(0, s.from-x))
		}
		return best
	}
	// clear is the distance from a place in a strip to the nearest wood that
	// stands solid; it looks no farther than needed, and where it is found to
	// be no more than enough, no closer.
	clear := func(x, y float64, strip int, own, enough float64) float64 {
		best := own * own // squared
		enough *= enough
		for dir := -1; dir <= 1; dir += 2 {
			for i := strip; best > enough; i += dir {
				dy := 0.0
				switch {
				case i < strip:
					dy = y - p.bands[i+1]
				case i > strip:
					dy = p.bands[i] - y
				}
				if dy*dy >= best {
					break
				}
				if i < 0 || i >= len(solid) {
					best = dy * dy // beyond the slab nothing can hang
					break
				}
				if i == strip {
					continue
				}
				if dx := along(i, x); dx*dx+dy*dy < best {
					best = dx*dx + dy*dy
				}
			}
		}
		return math.Sqrt(best)
	}
	type patch struct {
		x, y, hx, hy float64 // middle and half the sides
		strip        int
	}
	w := WidestSkin{WithinMm: within}
	radius := 0.0
	var todo []patch
	look := func(q patch) {
		own := along(q.strip, q.x)
		if own+q.hx <= radius+within/2.0 {
			return
		}
		half := math.Hypot(q.hx, q.hy)
		d := clear(q.x, q.y, q.strip, own, max(0, min(radius, radius+within/2.0-half)))
		if d > radius {
			radius = d
			w.AtMm = [2]float64{q.x, q.y}
		}
		if d+half > radius+within/2.0 {
			todo = append(todo, q)
		}
	}
	for i, spans := range layout {
		y0, y1 := p.bands[i], p.bands[i+1]
		for _, g := range spans {
			look(patch{(g.from + g.to) / 2, (y0 + y1) / 2, g.length() / 2, (y1 - y0) / 2, i})
		}
	}
	for len(todo) > 0 {
		q := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		a, b := q, q
		if 4*q.hx > q.hy {
			a.hx, b.hx = q.hx/2, q.hx/2
			a.x, b.x = q.x-a.hx, q.x+a.hx
		} else {
			a.hy, b.hy = q.hy/2, q.hy/2
			a.y, b.y = q.y-a.hy, q.y+a.hy
		}
		look(a)
		look(b)
	}
	w.DiameterMm = 2 * radius
	return w
}

// remains shares out the wood that is left.
func (p *planner) remains(h *Hollowing, reserved []geom.Polygon) {
	s := p.s
	r := &h.Remains
	boxed := keep(reserved)
	var strip []int // of each part
	for i, parts := range p.strips {
		for range parts {
			strip = append(strip, i)
		}
	}
	var cut cutter
	hollowed := make([]bool, len(s.Strips))
	last := map[int]float64{}
	order := make([]int, len(s.Chambers))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return compare(s.Chambers[a].From - s.Chambers[b].From) })
	for _, i := range order {
		c := s.Chambers[i]
		hollowed[c.Strip] = true
		y0, y1 := p.bands[c.Strip], p.bands[c.Strip+1]
		block := func(from, to float64) float64 {
			parts, woods := p.strips[c.Strip], p.woods[p.first[c.Strip]:]
			if len(parts) == 1 {
				return p.f.block(from, to, y0, y1).v * woods[0].gramsPerMm3
			}
			g := 0.0
			cut.strip(parts, y0, y1, geom.Bounds(geom.Pt(from, y0), geom.Pt(to, y1)).Polygon(), func(k int, piece geom.Polygon) {
				g += p.f.solid(piece).v * woods[k].gramsPerMm3
			})
			return g
		}
		r.SkinsG += block(c.From, c.To) - h.Chambers[i].SavedG
		if x, ok := last[c.Strip]; ok && c.From-x <= 2*p.rules.Rib && !touches(boxed, span{x, c.From}, y0, y1) {
			r.RibsG += block(x, c.From)
		}
		last[c.Strip] = c.To
	}
	total := 0.0
	solid := make([]float64, len(s.Strips))
	p.each(p.ring, func(k int, cut geom.Polygon) {
		g := p.f.solid(cut).v * p.woods[k].gramsPerMm3
		total += g
		solid[strip[k]] += g
	})
	outline := geom.Region{p.ring}
	convex := true // then a ring with all corners inside lies inside
	for i, a := range p.ring {
		b, c := p.ring[(i+1)%len(p.ring)], p.ring[(i+2)%len(p.ring)]
		convex = convex && b.Sub(a).Cross(c.Sub(b)) >= 0
	}
	for i, ring := range reserved {
		region := geom.Region{ring.CCW()}
		if !convex || slices.ContainsFunc(ring, func(q geom.Point) bool { return !p.inside(q) }) {
			region = region.Intersect(outline)
		}
		for _, before := range reserved[:i] {
			region = region.Subtract(geom.Region{before.CCW()})
		}
		for _, part := range region {
			p.each(part, func(k int, cut geom.Polygon) {
				g := p.f.solid(cut).v * p.woods[k].gramsPerMm3
				r.ReservedG += g
				if !hollowed[strip[k]] {
					solid[strip[k]] -= g
				}
			})
		}
	}
	for i, g := range solid {
		if !hollowed[i] {
			r.SolidStripsG += g
		}
	}
	r.WallsAndEndsG = total - h.SavedG - r.ReservedG - r.SkinsG - r.RibsG - r.SolidStripsG
}

// air joins chambers that open into each other across a glue line, then adds
// bores, shortest first, where one joins two groups that were apart
// (Kruskal, On the shortest spanning subtree of a graph, Proc. AMS 7, 1956),
// and gives each group that is left a vent. Bores and vents keep clear of what
// is reserved, of fasteners and of fittings. Where all chambers are cut the slab
// may be glued up, and inside it nothing can be bored: each group has its vent.
func (p *planner) air(h *Hollowing, reserved []kept) {
	s := p.s
	n := len(s.Chambers)
	group := make([]int, n)
	for i := range group {
		group[i] = i
	}
	find := func(i int) int {
		for group[i] != i {
			group[i] = group[group[i]]
			i = group[i]
		}
		return i
	}
	join := func(a, b int) bool {
		a, b = find(a), find(b)
		if a == b {
			return false
		}
		group[max(a, b)] = min(a, b)
		return true
	}
	byStrip := make([][]int, len(s.Strips))
	for i, c := range s.Chambers {
		byStrip[c.Strip] = append(byStrip[c.Strip], i)
	}
	for _, list := range byStrip {
		slices.SortFunc(list, func(a, b int) int { return compare(s.Chambers[a].From - s.Chambers[b].From) })
	}
	overlap := func(a, b int) (from, to float64) {
		return max(s.Chambers[a].From, s.Chambers[b].From), min(s.Chambers[a].To, s.Chambers[b].To)
	}
	type bore struct {
		a, b   int
		length float64
		at     Bore
	}
	var bores []bore
	middle := func(x float64, c Chamber) float64 { return (p.f.roof(x, c.TopSkin) + p.f.floor(x, c.BottomSkin)) / 2 }
	lastHollow := -1
	for i, list := range byStrip {
		for k := 0; k+1 < len(list); k++ {
			a, b := list[k], list[k+1]
			ca, cb := s.Chambers[a], s.Chambers[b]
			l := cb.From - ca.To
			y := (p.bands[i] + p.bands[i+1]) / 2
			if l > 6*boreDiameter+2*p.rules.Rib || touches(reserved, span{ca.To, cb.From}, y-boreDiameter/2, y+boreDiameter/2) {
				continue // too deep to drill straight, or wood to be kept
			}
			bores = append(bores, bore{a, b, l, Bore{
				From: s.chamberName(a), To: s.chamberName(b), DiameterMm: boreDiameter, Strip: i, ToStrip: i,
				FromMm: [3]float64{ca.To, y, middle(ca.To, ca)}, ToMm: [3]float64{cb.From, y, middle(cb.From, cb)},
			}})
		}
		if len(list) == 0 {
			continue
		}
		if lastHollow >= 0 {
			wide := p.bands[i] - p.bands[lastHollow+1]
			for _, a := range byStrip[lastHollow] {
				for _, b := range list {
					from, to := overlap(a, b)
					if to-from <= 0 {
						continue
					}
					if wide == 0 {
						join(a, b)
						continue
					}
					if to-from < 2*boreDiameter || wide > 60 {
						continue
					}
					x, ok := clearPlace(reserved, span{from + boreDiameter, to - boreDiameter}, p.bands[lastHollow+1], p.bands[i])
					if !ok {
						continue
					}
					z := middle(x, s.Chambers[a])
					bores = append(bores, bore{a, b, wide, Bore{
						From: s.chamberName(a), To: s.chamberName(b), Across: true, DiameterMm: boreDiameter, Strip: lastHollow + 1, ToStrip: i - 1,
						FromMm: [3]float64{x, p.bands[lastHollow+1], z}, ToMm: [3]float64{x, p.bands[i], z},
					}})
				}
			}
		}
		lastHollow = i
	}
	if !slices.ContainsFunc(s.Chambers, func(c Chamber) bool { return c.State == Planned }) {
		bores = nil
	}
	slices.SortStableFunc(bores, func(a, b bore) int { return compare(a.length - b.length) })
	for _, b := range bores {
		if join(b.a, b.b) {
			h.Bores = append(h.Bores, b.at)
		}
	}
	// The vent goes into the group's largest chamber, in its middle, or where
	// nothing is in the way: a cut chamber may lie under or over a fastener, or
	// in wood that is to be kept now.
	members := map[int][]int{}
	for i := range s.Chambers {
		members[find(i)] = append(members[find(i)], i)
	}
	for i := range s.Chambers {
		if find(i) != i {
			continue
		}
		list := members[i]
		slices.SortStableFunc(list, func(a, b int) int { return compare(h.Chambers[b].VolumeMm3 - h.Chambers[a].VolumeMm3) })
		vented := false
		for _, k := range list {
			c := s.Chambers[k]
			y := (p.bands[c.Strip] + p.bands[c.Strip+1]) / 2
			x := (c.From + c.To) / 2
			const around = ventDiameter
			if touches(reserved, span{x - around, x + around}, y-around, y+around) {
				var ok bool
				if x, ok = clearPlace(reserved, span{c.From + around, c.To - around}, y-around, y+around); !ok {
					continue
				}
			}
			_, bottom := p.f.heights(x)
			h.Vents = append(h.Vents, Vent{Chamber: s.chamberName(k), Strip: c.Strip, AtMm: [2]float64{x, y}, DiameterMm: ventDiameter, DepthMm: p.f.floor(x, c.BottomSkin) - bottom})
			vented = true
			break
		}
		if !vented {
			h.Notes = append(h.Notes, fmt.Sprintf("%s and what opens into it have no place for a vent outside the reserved wood and clear of fasteners", s.chamberName(i)))
		}
	}
	if len(h.Bores) > 0 {
		h.Notes = append(h.Notes, "Drill air bores before glue-up and keep glue out of them.")
	}
	if len(h.Vents) > 0 {
		h.Notes = append(h.Notes, "Leave vents open through every coat.")
	}
}

// kept is a ring of reserved wood with its box, which settles most questions.
type kept struct {
	ring geom.Polygon
	box  geom.Box
}

func keep(reserved []geom.Polygon) []kept {
	out := make([]kept, len(reserved))
	for i, r := range reserved {
		out[i] = kept{r, r.Bounds()}
	}
	return out
}

// touches tells whether reserved wood reaches into x × (y0, y1).
func touches(reserved []kept, x span, y0, y1 float64) bool {
	for _, k := range reserved {
		if b := k.box; b.Min.Y >= y1 || b.Max.Y <= y0 || b.Min.X >= x.to || b.Max.X <= x.from {
			continue
		}
		for _, s := range shadow(k.ring, y0, y1) {
			if s.from < x.to && s.to > x.from {
				return true
			}
		}
	}
	return false
}

// clearPlace is an x in the span where a bore across (y0, y1) misses the
// reserved wood: the middle of the longest clear stretch.
func clearPlace(reserved []kept, in span, y0, y1 float64) (float64, bool) {
	var no []span
	for _, k := range reserved {
		if k.box.Min.Y >= y1 || k.box.Max.Y <= y0 || k.box.Min.X >= in.to+boreDiameter || k.box.Max.X <= in.from-boreDiameter {
			continue
		}
		for _, s := range shadow(k.ring, y0, y1) {
			no = append(no, span{s.from - boreDiameter/2, s.to + boreDiameter/2})
		}
	}
	best := span{0, -1}
	for _, g := range gaps(no, in.from, in.to) {
		if g.length() > best.length() {
			best = g
		}
	}
	return (best.from + best.to) / 2, best.length() >= 0
}

// Marks are the marking lists of the strips with chambers or holes for air,
// under the rules they were planned by.
func (s *Slab) Marks(rules ChamberRules, reserved []geom.Polygon) []Marks {
	return s.Hollowing(rules, reserved).Marks
}

// marks are the marking lists of the strips with chambers or air holes; the
// corner holes have the given diameter in mm.
func (v *survey) marks(cornerHole float64, h *Hollowing) []Marks {
	var out []Marks
	s, f := v.s, v.f
	r := cornerHole / 2
	byStrip := make([][]int, len(s.Strips))
	for k, c := range s.Chambers {
		byStrip[c.Strip] = append(byStrip[c.Strip], k)
	}
	air := v.airMarks(h)
	for i := range s.Strips {
		m := Marks{Strip: i, Name: s.StripName(i), Datum: "the strip's squared start (station 0)"}
		for _, k := range byStrip[i] {
			c := s.Chambers[k]
			cm := ChamberMark{
				Name: s.chamberName(k), StartMm: c.From, StopMm: c.To,
				TopGaugeMm: c.TopSkin, BottomGaugeMm: c.BottomSkin, HoleMm: cornerHole,
			}
			for _, x := range [2]float64{c.From + r, c.To - r} {
				cm.Holes = append(cm.Holes,
					CornerHole{AlongMm: x, UpMm: f.floor(x, c.BottomSkin+r), GaugeMm: c.BottomSkin + r},
					CornerHole{AlongMm: x, UpMm: f.roof(x, c.TopSkin+r), GaugeMm: c.TopSkin + r, FromTop: true})
			}
			m.Chambers = append(m.Chambers, cm)
		}
		m.Air = air[i]
		if len(m.Chambers)+len(m.Air) > 0 {
			slices.SortFunc(m.Chambers, func(a, b ChamberMark) int { return compare(a.StartMm - b.StartMm) })
			out = append(out, m)
		}
	}
	return out
}

// airMarks are the holes for air, strip by strip.
func (v *survey) airMarks(h *Hollowing) [][]AirMark {
	out := make([][]AirMark, len(v.strips))
	for _, b := range h.Bores {
		for i := b.Strip; i <= b.ToStrip; i++ {
			x, z := b.FromMm[0], b.FromMm[2]
			_, bottom := v.f.heights(x)
			m := AirMark{What: BoreAcross, To: b.From + " to " + b.To, AlongMm: x, UpMm: z, BottomMm: z - bottom, DiameterMm: b.DiameterMm, DepthMm: v.bands[i+1] - v.bands[i]}
			if !b.Across {
				m.What, m.InMm, m.DepthMm = BoreAlong, b.FromMm[1]-v.bands[i], math.Hypot(b.ToMm[0]-x, b.ToMm[2]-z)
			}
			out[i] = append(out[i], m)
		}
	}
	for _, w := range h.Vents {
		_, bottom := v.f.heights(w.AtMm[0])
		out[w.Strip] = append(out[w.Strip], AirMark{What: VentBelow, To: w.Chamber, AlongMm: w.AtMm[0], UpMm: bottom, InMm: w.AtMm[1] - v.bands[w.Strip], DiameterMm: w.DiameterMm, DepthMm: w.DepthMm})
	}
	for _, list := range out {
		slices.SortStableFunc(list, func(a, b AirMark) int { return compare(a.AlongMm - b.AlongMm) })
	}
	return out
}

// PatternEffect is what a rib pattern does under otherwise equal rules.
type PatternEffect struct {
	Ribs         RibPattern `json:"ribs"`
	Chambers     int        `json:"chambers"`
	SavedG       float64    `json:"saved_g"`
	LeastGlued   float64    `json:"least_glued_share"`
	WidestSkinMm float64    `json:"widest_skin_mm"`
}

// ComparePatterns plans the chambers with each rib pattern in turn, so that
// the maker can choose.
func (s *Slab) ComparePatterns(rules ChamberRules, reserved []geom.Polygon) []PatternEffect {
	var out []PatternEffect
	base := newPlanner(s.survey(), rules, reserved)
	for _, ribs := range []RibPattern{Aligned, Staggered, Free} {
		p := *base
		p.rules.Ribs = ribs
		e := PatternEffect{Ribs: ribs, LeastGlued: 1}
		var list []Chamber
		for _, c := range s.Chambers {
			if c.State == Cut {
				list = append(list, c)
			}
		}
		for _, c := range p.plan() {
			list = append(list, c)
			_, g := p.chamberWeight(c)
			e.SavedG += g
			e.Chambers++
		}
		byStrip := s.byStrip(list)
		layout := make([][]span, len(s.Strips))
		for i, chambers := range byStrip {
			for _, c := range chambers {
				layout[i] = append(layout[i], span{c.From, c.To})
			}
		}
		for i := 0; i+1 < len(s.Strips); i++ {
			if g := p.glued(i, byStrip[i], byStrip[i+1]); g.full > 0 {
				e.LeastGlued = min(e.LeastGlued, g.glued/g.full)
			}
		}
		e.WidestSkinMm = p.widest(layout).DiameterMm
		out = append(out, e)
	}
	return out
}
