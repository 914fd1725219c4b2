package slab

import (
	"fmt"
	"math"
	"slices"

	"slabwright/fret/measure"
)

// Board is a board the maker has.
type Board struct {
	Name        string
	Wood        string
	LengthMm    float64
	WidthMm     float64
	ThicknessMm float64
	Flaws       []BoardFlaw
}

// BoardFlaw is a stretch of a board to cut around: along it from FromMm to
// ToMm, across it from LowMm to HighMm (both 0: the whole width).
type BoardFlaw struct{ FromMm, ToMm, LowMm, HighMm float64 }

// Nesting says which blank is cut from which board.
type Nesting struct {
	Boards      []NestedBoard `json:"boards"` // those used, in the order given
	Unplaced    []Unplaced    `json:"unplaced"`
	Used        int           `json:"boards_used"`
	LeastBoards int           `json:"least_boards"` // proven: fewer cannot hold the placed blanks
}

// NestedBoard is a board with its rips.
type NestedBoard struct {
	Board   int      `json:"board"` // index into the boards given
	Name    string   `json:"name"`
	Rips    []Rip    `json:"rips"`
	Offcuts []Offcut `json:"offcuts"`
}

// Rip is one strip ripped from a clear section of a board and cross-cut into
// blanks.
type Rip struct {
	FromMm  float64  `json:"from_mm"` // along the board: where the section begins
	LowMm   float64  `json:"low_mm"`  // across it: the rip's lower edge
	WidthMm float64  `json:"width_mm"`
	Cuts    []RipCut `json:"cuts"`
}

// RipCut is one blank in a rip.
type RipCut struct {
	Blank    int     `json:"blank"` // index into the cut list's blanks
	Name     string  `json:"name"`
	FromMm   float64 `json:"from_mm"`
	LengthMm float64 `json:"length_mm"`
	WidthMm  float64 `json:"width_mm"`
}

// Offcut is a clear rectangle left over.
type Offcut struct {
	FromMm   float64 `json:"from_mm"`
	LowMm    float64 `json:"low_mm"`
	LengthMm float64 `json:"length_mm"`
	WidthMm  float64 `json:"width_mm"`
}

// Unplaced is a blank that no board holds.
type Unplaced struct {
	Blank int    `json:"blank"`
	Name  string `json:"name"`
	Why   string `json:"why"`

	LengthMm    float64 `json:"length_mm"`
	WidthMm     float64 `json:"width_mm"`
	ThicknessMm float64 `json:"thickness_mm"`
}

// CheckBoards says what is wrong with the boards, or nil.
func CheckBoards(boards []Board, kerfMm float64) error {
	if !(kerfMm >= 0 && kerfMm <= 50) {
		return measure.Errorf("boards: kerf %v: give 0 to %v", measure.Length(kerfMm), measure.Length(50))
	}
	for i, b := range boards {
		name := boardName(boards, i)
		if err := (Piece{Wood: b.Wood}).check(); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if !(b.LengthMm > 0 && b.LengthMm <= longest) || !(b.WidthMm > 0 && b.WidthMm <= longest) || !(b.ThicknessMm > 0 && b.ThicknessMm <= longest) {
			return measure.Errorf("%s: %v × %v × %v: length, width and thickness must be above 0", name, measure.Length(b.LengthMm), measure.Length(b.WidthMm), measure.Length(b.ThicknessMm))
		}
		for _, f := range b.Flaws {
			if !(f.ToMm > f.FromMm) || !(f.HighMm > f.LowMm || f.HighMm == 0 && f.LowMm == 0) {
				return measure.Errorf("%s: a flaw from %v to %v along and %v to %v across: both must grow", name, measure.Length(f.FromMm), measure.Length(f.ToMm), measure.Length(f.LowMm), measure.Length(f.HighMm))
			}
		}
	}
	return nil
}

func boardName(boards []Board, i int) string {
	if n := boards[i].Name; n != "" {
		return n
	}
	return fmt.Sprintf("board %d", i+1)
}

// section is a clear rectangle of a board with its rips.
type section struct {
	x, y, l, w float64
	rips       []Rip
	ends       []float64 // where the next cut of each rip may begin
	used       float64   // width taken by rips, kerfs included
}

// sections are the clear rectangles left when a board is cut through, end to
// end or edge to edge, round its flaws: of the ways to cut, the one with the
// greatest sum of squared areas, which favours large pieces. Beyond five flaws
// it only cross-cuts.
func (b Board) sections(kerf float64) []section {
	var cut func(x0, y0, x1, y1 float64, depth int) ([]section, float64)
	cut = func(x0, y0, x1, y1 float64, depth int) ([]section, float64) {
		if x1 <= x0 || y1 <= y0 {
			return nil, 0
		}
		for _, f := range b.Flaws {
			lo, hi := f.LowMm, f.HighMm
			if lo == 0 && hi == 0 {
				lo, hi = 0, b.WidthMm
			}
			if f.FromMm >= x1 || f.ToMm <= x0 || lo >= y1 || hi <= y0 {
				continue
			}
			var best []section
			score := -1.0
			try := func(rects ...[4]float64) {
				var all []section
				sum := 0.0
				for _, r := range rects {
					s, v := cut(r[0], r[1], r[2], r[3], depth+1)
					all = append(all, s...)
					sum += v
				}
				if sum > score {
					best, score = all, sum
				}
			}
			try([4]float64{x0, y0, f.FromMm - kerf, y1}, [4]float64{f.ToMm + kerf, y0, x1, y1})
			if depth < 5 {
				try([4]float64{x0, y0, x1, lo - kerf}, [4]float64{x0, hi + kerf, x1, y1})
				try([4]float64{x0, y0, f.FromMm - kerf, y1}, [4]float64{max(x0, f.FromMm), y0, x1, lo - kerf}, [4]float64{max(x0, f.FromMm), hi + kerf, x1, y1})
				try([4]float64{f.ToMm + kerf, y0, x1, y1}, [4]float64{x0, y0, min(x1, f.ToMm), lo - kerf}, [4]float64{x0, hi + kerf, min(x1, f.ToMm), y1})
			}
			return best, score
		}
		a := (x1 - x0) * (y1 - y0)
		return []section{{x: x0, y: y0, l: x1 - x0, w: y1 - y0}}, a * a
	}
	list, _ := cut(0, 0, b.LengthMm, b.WidthMm, 0)
	return list
}

// Nest cuts the blanks from the boards with as few boards as it can find: rips
// first, then cross-cuts, grain along the board, kerf between all cuts.
//
// It is first-fit decreasing level packing over finitely many bins (J. O.
// Berkey and P. Y. Wang, Two-dimensional finite bin-packing algorithms, J.
// Operational Research Society 38, 1987), tried with blanks sorted by width,
// length and area, boards largest first and smallest fitting first, and with
// each board in turn left out; the best of all is kept. LeastBoards is the
// area bound, and the number of blanks no two of which share a board if that
// is more.
func Nest(blanks []Blank, boards []Board, kerfMm float64) Nesting {
	type item struct {
		blank   int
		l, w, t float64
		wood    string
	}
	var items []item
	for i, b := range blanks {
		for range b.Count {
			items = append(items, item{i, b.LengthMm, b.WidthMm, b.ThicknessMm, b.Wood})
		}
	}
	keys := make([]string, len(boards))
	clear := make([]float64, len(boards)) // area without flaws
	for i, b := range boards {
		keys[i] = species(Piece{Wood: b.Wood}).Key
		for _, s := range b.sections(kerfMm) {
			clear[i] += (s.l + kerfMm) * (s.w + kerfMm)
		}
	}
	fits := func(it item, b int) bool {
		return keys[b] == it.wood && boards[b].ThicknessMm >= it.t-1e-9
	}
	type state struct {
		open     map[int][]section
		order    []int
		unplaced []item
	}
	pack := func(items []item, allowed []int) state {
		st := state{open: map[int][]section{}}
		place := func(it item) bool {
			type spot struct {
				board, section, rip int
				waste               float64
			}
			best := spot{board: -1, waste: math.Inf(1)}
			for _, b := range st.order {
				if !fits(it, b) {
					continue
				}
				for k, s := range st.open[b] {
					for r, rip := range s.rips {
						if rip.WidthMm >= it.w-1e-9 && s.ends[r]+it.l <= s.x+s.l+1e-9 {
							if v := (rip.WidthMm - it.w) * it.l; v < best.waste {
								best = spot{b, k, r, v}
							}
						}
					}
				}
			}
			if best.board < 0 {
				for _, b := range st.order {
					if !fits(it, b) {
						continue
					}
					for k, s := range st.open[b] {
						if s.used+it.w <= s.w+1e-9 && it.l <= s.l+1e-9 {
							if v := s.l - it.l; v < best.waste {
								best = spot{b, k, -1, v}
							}
						}
					}
				}
			}
			if best.board < 0 {
				return false
			}
			s := &st.open[best.board][best.section]
			if best.rip < 0 {
				s.rips = append(s.rips, Rip{FromMm: s.x, LowMm: s.y + s.used, WidthMm: it.w})
				s.ends = append(s.ends, s.x)
				s.used += it.w + kerfMm
				best.rip = len(s.rips) - 1
			}
			rip := &s.rips[best.rip]
			rip.Cuts = append(rip.Cuts, RipCut{it.blank, blanks[it.blank].Name, s.ends[best.rip], it.l, it.w})
			s.ends[best.rip] += it.l + kerfMm
			return true
		}
		for _, it := range items {
			if place(it) {
				continue
			}
			placed := false
			for _, b := range allowed {
				if _, open := st.open[b]; open || !fits(it, b) {
					continue
				}
				sections := boards[b].sections(kerfMm)
				if !slices.ContainsFunc(sections, func(s section) bool { return it.w <= s.w+1e-9 && it.l <= s.l+1e-9 }) {
					continue
				}
				st.open[b] = sections
				st.order = append(st.order, b)
				placed = place(it)
				break
			}
			if !placed {
				st.unplaced = append(st.unplaced, it)
			}
		}
		return st
	}
	better := func(a, b state) bool {
		if len(a.unplaced) != len(b.unplaced) {
			return len(a.unplaced) < len(b.unplaced)
		}
		return len(a.open) < len(b.open)
	}
	all := make([]int, len(boards))
	for i := range all {
		all[i] = i
	}
	by := func(less func(a, b int) float64) []int {
		o := slices.Clone(all)
		slices.SortStableFunc(o, func(a, b int) int { return compare(less(a, b)) })
		return o
	}
	orders := [][]int{
		by(func(a, b int) float64 { return clear[b] - clear[a] }),
		by(func(a, b int) float64 { return clear[a] - clear[b] }),
		by(func(a, b int) float64 { return boards[b].LengthMm - boards[a].LengthMm }),
	}
	var best state
	first := true
	for _, key := range []func(a, b item) float64{
		func(a, b item) float64 { return b.w - a.w },
		func(a, b item) float64 { return b.l - a.l },
		func(a, b item) float64 { return b.l*b.w - a.l*a.w },
	} {
		sorted := slices.Clone(items)
		slices.SortStableFunc(sorted, func(a, b item) int {
			// Thick blanks have fewer boards to go to: they go first.
			if c := compare(b.t - a.t); c != 0 {
				return c
			}
			if c := compare(key(a, b)); c != 0 {
				return c
			}
			return compare(b.l - a.l)
		})
		for _, order := range orders {
			st := pack(sorted, order)
			if first || better(st, best) {
				best, first = st, false
			}
			for drop := 0; drop < len(st.open) && len(boards) <= 60; drop++ {
				without := slices.DeleteFunc(slices.Clone(st.order), func(b int) bool { return b == st.order[drop] })
				if again := pack(sorted, without); better(again, best) {
					best = again
				}
			}
		}
	}

	var out Nesting
	out.Used = len(best.open)
	for b := range boards {
		sections, ok := best.open[b]
		if !ok {
			continue
		}
		nb := NestedBoard{Board: b, Name: boardName(boards, b)}
		for _, s := range sections {
			nb.Rips = append(nb.Rips, s.rips...)
			for r, rip := range s.rips {
				if left := s.x + s.l - s.ends[r]; left > 0 {
					nb.Offcuts = append(nb.Offcuts, Offcut{s.ends[r], rip.LowMm, left, rip.WidthMm})
				}
			}
			if left := s.w - s.used; left > 0 {
				nb.Offcuts = append(nb.Offcuts, Offcut{s.x, s.y + s.used, s.l, left})
			}
		}
		out.Boards = append(out.Boards, nb)
	}
	missing := map[int]int{}
	for _, it := range best.unplaced {
		why := "the boards are full"
		if !slices.ContainsFunc(all, func(b int) bool { return keys[b] == it.wood }) {
			why = "no board of this wood"
		} else if !slices.ContainsFunc(all, func(b int) bool { return fits(it, b) }) {
			why = "no board of this wood is so thick"
		} else if !slices.ContainsFunc(all, func(b int) bool {
			return fits(it, b) && slices.ContainsFunc(boards[b].sections(kerfMm), func(s section) bool { return it.l <= s.l+1e-9 && it.w <= s.w+1e-9 })
		}) {
			why = "no board of this wood has so much clear"
		}
		missing[it.blank]++
		out.Unplaced = append(out.Unplaced, Unplaced{it.blank, blanks[it.blank].Name, why, it.l, it.w, it.t})
	}

	// Lower bounds, wood by wood, on the placed blanks.
	type tally struct {
		area      float64
		big       int
		longest   float64
		widest    float64
		boardArea []float64
	}
	woods := map[string]*tally{}
	for b := range boards {
		t := woods[keys[b]]
		if t == nil {
			t = &tally{}
			woods[keys[b]] = t
		}
		t.boardArea = append(t.boardArea, (boards[b].LengthMm+kerfMm)*(boards[b].WidthMm+kerfMm))
		t.longest, t.widest = max(t.longest, boards[b].LengthMm), max(t.widest, boards[b].WidthMm)
	}
	for _, it := range items {
		if missing[it.blank] > 0 {
			missing[it.blank]--
			continue
		}
		t := woods[it.wood]
		t.area += (it.l + kerfMm) * (it.w + kerfMm)
		if 2*it.l+kerfMm > t.longest && 2*it.w+kerfMm > t.widest {
			t.big++
		}
	}
	for _, t := range woods {
		slices.SortFunc(t.boardArea, func(a, b float64) int { return compare(b - a) })
		n, sum := 0, 0.0
		for n < len(t.boardArea) && sum < t.area-1e-6 {
			sum += t.boardArea[n]
			n++
		}
		out.LeastBoards += max(n, t.big)
	}
	return out
}

func compare(d float64) int {
	switch {
	case d < 0:
		return -1
	case d > 0:
		return 1
	}
	return 0
}
