package slab

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"slabwright/fret/measure"
	"slabwright/layout/wood/colour"
)

// ShareRule says how what must still come off is shared among the strips.
type ShareRule string

// The rules: the same from each strip, or from each in proportion to its
// rough thickness.
const (
	ShareEqually     ShareRule = "equally"
	ShareByThickness ShareRule = "by-thickness"
)

// roundingTolerance, in mm, is what sums of takes may be off by.
const roundingTolerance = 1e-9

// StackWish is what the maker wants of the rough stack. Strips are counted
// from 0 at the right.
type StackWish struct {
	WidthMm         float64 // finished width of the whole stack
	Keep            []int   // strips whose finished thickness stays as given
	Take            []Take  // so much out of these strips, before the rest is shared
	MirrorPairs     bool    // strips at equal places left and right finish equal
	Share           ShareRule
	LeastTakeMm     float64 // planing and sanding that every other strip needs, both faces together
	LeastFinishedMm float64 // no strip may finish thinner

	Unit measure.Unit // that the plan's words are written in
}

// Take is a total taken out of some strips, in equal parts.
type Take struct {
	Strips  []int
	TotalMm float64
}

// StackPlan says how thick each strip finishes so that the width adds up.
type StackPlan struct {
	OK           bool           `json:"ok"`
	Why          string         `json:"why"`                    // empty when OK
	Spoilt       string         `json:"spoilt_strip,omitempty"` // the strip that cannot finish so, where it is one strip's fault
	RoughWidthMm float64        `json:"rough_width_mm"`
	WidthMm      float64        `json:"width_mm"`
	WantedMm     float64        `json:"wanted_mm"`
	MostMm       float64        `json:"most_mm"`  // widest and
	LeastMm      float64        `json:"least_mm"` // narrowest that the rules allow
	Strips       []StripTake    `json:"strips"`
	Stations     []StackStation `json:"stations"`
	Limiting     string         `json:"limiting"` // where the rough stack is narrowest
	LimitFromMm  float64        `json:"limit_from_mm"`
	LimitToMm    float64        `json:"limit_to_mm"`
	LimitRoughMm float64        `json:"limit_rough_mm"`
}

// StripTake is what comes off one strip. Pieces of a strip finish equal, so
// each loses its own amount; TakeMm is what the thinnest loses.
type StripTake struct {
	Strip      int       `json:"strip"`
	Name       string    `json:"name"`
	RoughMm    float64   `json:"rough_mm"` // of its thinnest piece
	FinishedMm float64   `json:"finished_mm"`
	TakeMm     float64   `json:"take_mm"`
	PiecesMm   []float64 `json:"piece_takes_mm"`
	Thinnest   int       `json:"thinnest_piece"`
	Why        string    `json:"why"` // "kept", "taken", "shared", "not measured": no rough thickness is given
}

// StackStation is a stretch of the slab between transitions: how wide the
// rough stack is there, how much comes off it, and what it finishes at, which
// is the same everywhere.
type StackStation struct {
	FromMm     float64 `json:"from_mm"`
	ToMm       float64 `json:"to_mm"`
	RoughMm    float64 `json:"rough_mm"`
	TakeMm     float64 `json:"take_mm"`
	FinishedMm float64 `json:"finished_mm"`
}

// rough is the piece's rough thickness, its finished one where none is given.
func (p Piece) rough() float64 {
	if p.Rough > 0 {
		return p.Rough
	}
	return p.Thickness
}

// Stack works out how thick every strip must finish for the stack to come to
// the wanted width. An impossible wish gives a plan that is not OK and says
// why; a wish that makes no sense is an error.
//
// With takes tᵢ between lᵢ (least) and mᵢ (most), what is left after kept and
// named strips is shared as tᵢ = clamp(lᵢ + λ wᵢ, mᵢ), with the one λ ≥ 0 for
// which the width adds up. The sum grows with λ, so λ is found by bisection.
func (s *Slab) Stack(wish StackWish) (StackPlan, error) {
	n := len(s.Strips)
	plan := StackPlan{WantedMm: wish.WidthMm}
	if !(wish.WidthMm > 0 && wish.WidthMm <= longest) {
		return plan, measure.Errorf("stack: finished width %v: it must be above 0", measure.Length(wish.WidthMm))
	}
	if !(wish.LeastTakeMm >= 0) || !(wish.LeastFinishedMm >= 0) {
		return plan, measure.Errorf("stack: least take %v, least finished thickness %v: both must be at least 0", measure.Length(wish.LeastTakeMm), measure.Length(wish.LeastFinishedMm))
	}
	if wish.Share == "" {
		wish.Share = ShareEqually
	}
	if wish.Share != ShareEqually && wish.Share != ShareByThickness {
		return plan, fmt.Errorf("stack: share %q: give %q or %q", wish.Share, ShareEqually, ShareByThickness)
	}
	const (
		shared = iota
		taken
		kept
	)
	how := make([]int, n)
	take := make([]float64, n)
	rough := make([]float64, n)
	for i, t := range s.Strips {
		k := thinnest(t)
		rough[i] = t.Pieces[k].rough()
		plan.RoughWidthMm += rough[i]
		plan.Strips = append(plan.Strips, StripTake{Strip: i, Name: s.StripName(i), RoughMm: rough[i], Thinnest: k, Why: "shared"})
	}
	claim := func(i, as int) error {
		if i < 0 || i >= n {
			return fmt.Errorf("stack: strip %d: the slab has strips 1 to %d", i+1, n)
		}
		if how[i] != shared {
			return fmt.Errorf("stack: %s is named twice: keep it or take from it once", s.StripName(i))
		}
		how[i] = as
		return nil
	}
	for _, i := range wish.Keep {
		if err := claim(i, kept); err != nil {
			return plan, err
		}
		take[i] = rough[i] - s.Strips[i].Thickness()
		plan.Strips[i].Why = "kept"
	}
	for _, t := range wish.Take {
		if !(t.TotalMm >= 0) || math.IsInf(t.TotalMm, 1) || len(t.Strips) == 0 {
			return plan, measure.Errorf("stack: take %v out of %d strips: name strips and an amount of at least 0", measure.Length(t.TotalMm), len(t.Strips))
		}
		for _, i := range t.Strips {
			if err := claim(i, taken); err != nil {
				return plan, err
			}
			take[i] = t.TotalMm / float64(len(t.Strips))
			plan.Strips[i].Why = "taken"
		}
	}
	// A strip whose rough thickness was not measured is there as it finishes.
	for i, t := range s.Strips {
		if how[i] == shared && !slices.ContainsFunc(t.Pieces, func(p Piece) bool { return p.Rough > 0 }) {
			how[i] = kept
			plan.Strips[i].Why = "not measured"
		}
	}
	// What is left to share: named strips may be sanded with the rest.
	least, most, weight := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range s.Strips {
		most[i] = max(0, rough[i]-wish.LeastFinishedMm)
		weight[i] = 1
		if wish.Share == ShareByThickness {
			weight[i] = rough[i]
		}
		switch how[i] {
		case kept:
			least[i], most[i], weight[i] = take[i], take[i], 0
		case taken:
			least[i] = take[i] + wish.LeastTakeMm
		default:
			least[i] = wish.LeastTakeMm
		}
	}
	finish := func(lambda float64) (sum float64) {
		for i := range take {
			take[i] = max(least[i], min(most[i], least[i]+lambda*weight[i]))
		}
		if wish.MirrorPairs {
			for i := range n / 2 {
				// The thinner of a pair sets both; kept ones stay.
				a, b := i, n-1-i
				if how[a] == kept && how[b] == kept {
					continue
				}
				t := min(rough[a]-take[a], rough[b]-take[b])
				if how[a] == kept {
					t = rough[a] - take[a]
				} else if how[b] == kept {
					t = rough[b] - take[b]
				}
				take[a], take[b] = rough[a]-t, rough[b]-t
			}
		}
		for i := range take {
			sum += rough[i] - take[i]
		}
		return sum
	}
	top := 0.0
	for i := range most {
		if weight[i] > 0 {
			top = max(top, (most[i]-least[i])/weight[i])
		}
	}
	plan.LeastMm, plan.MostMm = finish(top), finish(0)
	lo, hi := 0.0, top
	for range 200 {
		if m := (lo + hi) / 2; finish(m) > wish.WidthMm {
			lo = m
		} else {
			hi = m
		}
	}
	plan.WidthMm = finish(hi)
	plan.OK = math.Abs(plan.WidthMm-wish.WidthMm) <= 1e-6
	say := func(mm float64) string { return measure.Length(mm).Format(wish.Unit) }
	s.stackStations(&plan, take, rough)
	plan.Limiting = fmt.Sprintf("%s to %s along the slab, %s rough", say(plan.LimitFromMm), say(plan.LimitToMm), say(plan.LimitRoughMm))
	switch {
	case plan.OK:
	case plan.MostMm < wish.WidthMm:
		plan.Why = fmt.Sprintf("the stack comes to %s at most, %s less than wanted; it is narrowest at %s", say(plan.MostMm), say(wish.WidthMm-plan.MostMm), plan.Limiting)
	default:
		plan.Why = fmt.Sprintf("the stack still is %s wide, %s more than wanted, when all that may come off has: let more strips give, or thinner ones", say(plan.LeastMm), say(plan.LeastMm-wish.WidthMm))
	}
	for i := range take {
		if f := rough[i] - take[i]; plan.OK && (f < wish.LeastFinishedMm-roundingTolerance || f <= 0 || take[i] < -roundingTolerance) {
			plan.OK = false
			plan.Spoilt = s.StripName(i)
			plan.Why = fmt.Sprintf("%s would finish at %s from %s rough", s.StripName(i), say(f), say(rough[i]))
		}
	}
	return plan, nil
}

func thinnest(t Strip) int {
	k := 0
	for i, p := range t.Pieces {
		if p.rough() < t.Pieces[k].rough() {
			k = i
		}
	}
	return k
}

func (s *Slab) stackStations(plan *StackPlan, take, rough []float64) {
	cuts := []float64{0, s.Length}
	for i, t := range s.Strips {
		finished := rough[i] - take[i]
		st := &plan.Strips[i]
		st.FinishedMm, st.TakeMm = finished, take[i]
		for _, p := range t.Pieces {
			st.PiecesMm = append(st.PiecesMm, p.rough()-finished)
		}
		for _, tr := range t.Transitions {
			cuts = append(cuts, tr.At)
		}
	}
	cuts = sortedUnique(cuts)
	narrowest := math.Inf(1)
	for k := 0; k+1 < len(cuts); k++ {
		m := (cuts[k] + cuts[k+1]) / 2
		st := StackStation{FromMm: cuts[k], ToMm: cuts[k+1]}
		for i, t := range s.Strips {
			j := 0
			for j < len(t.Transitions) && t.Transitions[j].At < m {
				j++
			}
			st.RoughMm += t.Pieces[j].rough()
			st.FinishedMm += rough[i] - take[i]
		}
		st.TakeMm = st.RoughMm - st.FinishedMm
		if st.RoughMm < narrowest-roundingTolerance {
			narrowest = st.RoughMm
			plan.LimitFromMm, plan.LimitToMm, plan.LimitRoughMm = st.FromMm, st.ToMm, st.RoughMm
		}
		plan.Stations = append(plan.Stations, st)
	}
}

// Finished is the slab with its strips as thick as the plan has them.
func (s *Slab) Finished(plan StackPlan) *Slab {
	out := *s
	out.Strips = make([]Strip, len(s.Strips))
	for i, t := range s.Strips {
		t.Pieces = slices.Clone(t.Pieces)
		for k := range t.Pieces {
			if t.Pieces[k].Rough == 0 {
				t.Pieces[k].Rough = t.Pieces[k].Thickness
			}
			t.Pieces[k].Thickness = plan.Strips[i].FinishedMm
		}
		out.Strips[i] = t
	}
	return &out
}

// Symmetry says how far the stack is its own mirror image in the centreline.
type Symmetry struct {
	Symmetric   bool         `json:"symmetric"`
	Differences []Difference `json:"differences"`
}

// Difference is a stretch off the centreline where the left is not the mirror
// image of the right.
type Difference struct {
	FromMm float64 `json:"from_mm"` // off the centreline
	ToMm   float64 `json:"to_mm"`
	Right  int     `json:"right_strip"` // strips there, from 0
	Left   int     `json:"left_strip"`
	What   string  `json:"what"`
	OffMm  float64 `json:"off_mm,omitempty"` // by which, where What is a distance
}

// Symmetry compares the two sides place by place, from the centreline out:
// woods, shades (CIEDE2000 above 2, which a trained eye sees), what makes wood move
// and weigh unlike its twin (moisture, growth rings, density as weighed),
// transitions, and joints that have no twin. An odd strip more on one side so does
// not throw off all that lies beyond it.
func (s *Slab) Symmetry() Symmetry {
	const near = 0.01 // mm; joints nearer than this are twins
	sym := Symmetry{Symmetric: true}
	bands := s.bands()
	n := len(s.Strips)
	var cuts []float64
	for _, y := range bands {
		cuts = append(cuts, math.Abs(y))
	}
	cuts = sortedUnique(append(cuts, 0))
	strip := func(y float64) int { return max(0, min(sort.SearchFloat64s(bands, y)-1, n-1)) }
	for k := 0; k+1 < len(cuts); k++ {
		from, to := cuts[k], cuts[k+1]
		if to-from < near {
			continue
		}
		m := (from + to) / 2
		i, j := strip(-m), strip(m)
		say := func(format string, args ...any) {
			sym.Symmetric = false
			sym.Differences = append(sym.Differences, Difference{FromMm: from, ToMm: to, Right: i, Left: j, What: fmt.Sprintf(format, args...)})
		}
		by := func(off float64) { sym.Differences[len(sym.Differences)-1].OffMm = off }
		if i == j { // the strip on the centreline
			for q, tr := range s.Strips[i].Transitions {
				if tr.Kind == Diagonal && from < near {
					say("transition %d of the middle strip runs across the centreline", q+1)
				}
			}
			if math.Abs(bands[i]+bands[i+1]) > near && from < near {
				off := (bands[i] + bands[i+1]) / 2
				say("the middle strip stands to the %s", either(off > 0, "left", "right"))
				by(math.Abs(off))
			}
			continue
		}
		if math.Abs(bands[i+1]+bands[j]) > near || math.Abs(bands[i]+bands[j+1]) > near {
			say("%s on the right, %s on the left: their joints are no twins", s.StripName(i), s.StripName(j))
			if a, b := woodsOf(s.Strips[i]), woodsOf(s.Strips[j]); a != b {
				say("%s on the right, %s on the left", a, b)
				continue
			}
		}
		s.compareStrips(s.Strips[i], s.Strips[j], say, by)
	}
	return sym
}

// woodsOf names the woods of a strip, along the slab.
func woodsOf(t Strip) string {
	var names []string
	for _, p := range t.Pieces {
		names = append(names, species(p).Common)
	}
	return strings.Join(slices.Compact(names), ", ")
}

// compareStrips says how b is not the mirror image of a.
func (s *Slab) compareStrips(a, b Strip, say func(string, ...any), by func(mm float64)) {
	if len(a.Pieces) != len(b.Pieces) {
		say("pieces on the right: %d, on the left: %d", len(a.Pieces), len(b.Pieces))
		return
	}
	for k := range a.Pieces {
		p, q := a.Pieces[k], b.Pieces[k]
		if species(p).Key != species(q).Key {
			say("piece %d: %s on the right, %s on the left", k+1, species(p).Common, species(q).Common)
			continue
		}
		cp, _ := colour.Parse(s.Colour(p)) // both have passed Check
		cq, _ := colour.Parse(s.Colour(q))
		if d := colour.Difference(cp.Lab(), cq.Lab()); d > 2 {
			say("piece %d: shades differ by %.1f (CIEDE2000)", k+1, d)
		}
		s.compareMovement(k, p, q, say)
	}
	for k := range a.Transitions {
		p, q := a.Transitions[k], b.Transitions[k]
		switch {
		case p.Kind != q.Kind:
			say("transition %d: %s on the right, %s on the left", k+1, p.Kind, q.Kind)
		case math.Abs(p.At-q.At) > 0.1:
			say("transition %d: the %s one stands farther along", k+1, either(q.At > p.At, "left", "right"))
			by(math.Abs(q.At - p.At))
		case p.Kind != Square && math.Abs(p.Angle-q.Angle) > 1e-3:
			say("transition %d: angles differ", k+1)
		case p.Kind == Diagonal && sign(p.Lean) == sign(q.Lean):
			say("transition %d: both lean the same way", k+1)
		case p.Kind == Chevron && sign(p.Lean) != sign(q.Lean):
			say("transition %d: chevrons point apart", k+1)
		case len(p.Slips) != len(q.Slips):
			say("transition %d: slips on the right: %d, on the left: %d", k+1, len(p.Slips), len(q.Slips))
		default:
			for m, slip := range p.Slips {
				if twin := q.Slips[m]; species(slip.Piece).Key != species(twin.Piece).Key {
					say("transition %d, slip %d: %s on the right, %s on the left", k+1, m+1, species(slip.Piece).Common, species(twin.Piece).Common)
				} else if math.Abs(slip.Width-twin.Width) > 0.1 {
					say("transition %d, slip %d: the %s one is wider", k+1, m+1, either(twin.Width > slip.Width, "left", "right"))
					by(math.Abs(twin.Width - slip.Width))
				}
			}
		}
	}
}

// Common practice, no source: twins that differ by more pull the slab out of flat, or
// out of balance.
const (
	unlikeMoisture = 1.0                // points
	unlikeRings    = 15 * math.Pi / 180 // between growth rings
	unlikeDensity  = 0.1                // of the lighter one
)

// compareMovement says where piece k of twin strips moves or weighs otherwise than
// its twin. What was not given is the same on both sides.
func (s *Slab) compareMovement(k int, p, q Piece, say func(string, ...any)) {
	if a, b := p.moisture(), q.moisture(); math.Abs(a-b) > unlikeMoisture+1e-9 {
		say("piece %d: %.3g %% moist on the right, %.3g %% on the left: they will move unlike", k+1, a, b)
	}
	if a, b := p.ring(), q.ring(); math.Abs(a-b) > unlikeRings+1e-9 {
		say("piece %d: growth rings at %.3g° on the right, at %.3g° on the left: they will move unlike", k+1, a*180/math.Pi, b*180/math.Pi)
	}
	if a, b := s.Density(p), s.Density(q); math.Abs(a-b) > unlikeDensity*math.Min(a, b) {
		say("piece %d: the %s one is heavier by %.0f %%", k+1, either(b > a, "left", "right"), 100*(math.Max(a, b)/math.Min(a, b)-1))
	}
}

func either(first bool, a, b string) string {
	if first {
		return a
	}
	return b
}

func sign(lean int) int {
	if lean < 0 {
		return -1
	}
	return 1
}
