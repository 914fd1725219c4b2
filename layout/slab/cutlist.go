package slab

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slabwright/body/geom"
	"slabwright/layout/wood"
)

// CutRules say how much larger than finished the blanks are cut, and what the
// wood costs.
type CutRules struct {
	EndMm       float64            // at each end of a blank
	HeightMm    float64            // above and below together
	ThicknessMm float64            // planing and sanding, both faces together, where no rough thickness was measured
	WasteFactor float64            // bought over cut: 0.15 buys 15 % more
	Prices      map[string]float64 // by wood key, per board foot, in the maker's money
	RipStepMm   float64            // rips are set to the next such step up; 0 = 1
}

// DefaultCutRules are our own: common practice, no source.
func DefaultCutRules() CutRules {
	return CutRules{EndMm: 15, HeightMm: 6, ThicknessMm: 3, WasteFactor: 0.15}
}

// Check says which rule makes no sense, or nil.
func (r CutRules) Check() error {
	for _, f := range []struct {
		name  string
		value float64
	}{{"end allowance", r.EndMm}, {"height allowance", r.HeightMm}, {"thickness allowance", r.ThicknessMm}, {"waste factor", r.WasteFactor}, {"rip step", r.RipStepMm}} {
		if !(f.value >= 0 && f.value <= 1000) {
			return fmt.Errorf("cut list: %s %g: give at least 0", f.name, f.value)
		}
	}
	for name, price := range r.Prices {
		if _, err := wood.Find(name); err != nil {
			return fmt.Errorf("cut list: price: %w", err)
		}
		if !(price >= 0) || math.IsInf(price, 1) {
			return fmt.Errorf("cut list: price of %s %g: give at least 0", name, price)
		}
	}
	return nil
}

// Blank is one piece of wood to cut, standing on edge in the slab: its
// thickness lies across the slab, its width is its height there.
type Blank struct {
	Strip  int     `json:"strip"`
	Piece  int     `json:"piece"` // as Cell.Piece
	Name   string  `json:"name"`
	Wood   string  `json:"wood"`    // key
	Count  int     `json:"count"`   // 2 for the halves of a chevron's slip
	FromMm float64 `json:"from_mm"` // where it lies along the slab, joints included
	ToMm   float64 `json:"to_mm"`

	LengthMm    float64 `json:"length_mm"`    // rough, along the board
	WidthMm     float64 `json:"width_mm"`     // rough, with the bow, the template laid on the board at TiltDeg
	ThicknessMm float64 `json:"thickness_mm"` // rough
	FinishedMm  float64 `json:"finished_thickness_mm"`

	TiltDeg float64 `json:"tilt_deg"` // turn the template by this to need the least width
	LevelMm float64 `json:"level_mm"` // width needed without turning

	BoardFeet float64 `json:"board_feet"` // of Count blanks
	VolumeM3  float64 `json:"volume_m3"`
}

// CutList is all blanks and what they come to.
type CutList struct {
	Blanks    []Blank   `json:"blanks"`
	Rips      []RipLine `json:"rips"`
	Woods     []WoodBuy `json:"woods"`
	BoardFeet float64   `json:"board_feet"`
	VolumeM3  float64   `json:"volume_m3"`
	Cost      float64   `json:"cost"`     // of what has a price, with waste
	Unpriced  []string  `json:"unpriced"` // woods without a price, when some have one
	Idle      []string  `json:"idle"`     // pieces that lie wholly outside the outline
}

// RipLine is one width to rip from stock of one thickness: all blanks of a wood
// that need it, the next step up (CutRules.RipStepMm).
type RipLine struct {
	Wood        string  `json:"wood"`
	ThicknessMm float64 `json:"thickness_mm"`
	WidthMm     float64 `json:"width_mm"`
	Count       int     `json:"count"`
	RunningMm   float64 `json:"running_length_mm"` // without kerfs
	LongestMm   float64 `json:"longest_mm"`
}

// WoodBuy is what to buy of one wood.
type WoodBuy struct {
	Wood          string  `json:"wood"`
	Common        string  `json:"common"`
	BoardFeet     float64 `json:"board_feet"`
	VolumeM3      float64 `json:"volume_m3"`
	BuyBoardFeet  float64 `json:"buy_board_feet"` // with waste
	PricePerFoot  float64 `json:"price_per_board_foot"`
	Cost          float64 `json:"cost"`
	RunningLength float64 `json:"running_length_mm"`
}

// CutList works out the blanks. A piece is as long as its part of the slab,
// slanting joints included; as wide as the narrowest straight board from which
// its side profile can be cut; as thick as measured, or finished plus the
// allowance. Board feet count stock under one inch as one inch.
func (s *Slab) CutList(rules CutRules) CutList { return s.survey().cutList(rules) }

func (v *survey) cutList(rules CutRules) CutList {
	var list CutList
	s, tiles := v.s, v.tiling
	type extent struct{ from, to float64 }
	var extents []extent
	for _, parts := range tiles.strips {
		for range parts {
			extents = append(extents, extent{math.Inf(1), math.Inf(-1)})
		}
	}
	tiles.each(v.chord, func(k int, cut geom.Polygon) {
		if math.Abs(cut.Area()) < 1e-6 {
			return
		}
		for _, p := range cut {
			extents[k].from = min(extents[k].from, p.X)
			extents[k].to = max(extents[k].to, p.X)
		}
	})
	sizes := map[extent][4]float64{}
	side := s.sideView()
	for i, parts := range tiles.strips {
		slip := 0
		for k, p := range parts {
			e := extents[tiles.first[i]+k]
			name := s.pieceName(i, p.piece)
			if !(e.to > e.from) {
				list.Idle = append(list.Idle, name)
				continue
			}
			size, ok := sizes[e]
			if !ok {
				size[0], size[1], size[2], size[3] = side.blank(max(0, e.from-rules.EndMm), min(s.Length, e.to+rules.EndMm))
				size[0] = max(size[0], e.to-e.from+2*rules.EndMm)
				sizes[e] = size
			}
			b := Blank{
				Strip: i, Piece: p.piece, Name: name, Wood: species(p.wood).Key, Count: 1, FromMm: e.from, ToMm: e.to,
				LengthMm: size[0], WidthMm: size[1] + rules.HeightMm, TiltDeg: size[2] * 180 / math.Pi, LevelMm: size[3] + rules.HeightMm,
				ThicknessMm: p.wood.Rough, FinishedMm: p.wood.Thickness,
			}
			if p.piece < 0 {
				b.LengthMm, b.FinishedMm, b.Count = s.slipSize(i, slip)
				b.LengthMm += 2 * rules.EndMm
				b.ThicknessMm, b.TiltDeg, b.WidthMm = 0, 0, b.LevelMm
				slip++
			}
			if b.ThicknessMm == 0 {
				b.ThicknessMm = b.FinishedMm + rules.ThicknessMm
			}
			n := float64(b.Count)
			b.BoardFeet = n * wood.BoardFeet(b.LengthMm, b.WidthMm, b.ThicknessMm)
			b.VolumeM3 = n * b.LengthMm * b.WidthMm * b.ThicknessMm * 1e-9
			list.Blanks = append(list.Blanks, b)
		}
	}
	list.total(rules)
	return list
}

// slipSize is the length along its joint, the width and the number of the
// strip's slip k: a chevron's slip is two.
func (s *Slab) slipSize(strip, k int) (length, width float64, count int) {
	t := s.Strips[strip]
	for _, tr := range t.Transitions {
		if k >= len(tr.Slips) {
			k -= len(tr.Slips)
			continue
		}
		length = t.Thickness()
		if tr.Kind != Square {
			length /= math.Sin(tr.Angle)
		}
		if tr.Kind == Chevron {
			return length / 2, tr.Slips[k].Width, 2
		}
		return length, tr.Slips[k].Width, 1
	}
	return 0, 0, 0
}

func (l *CutList) total(rules CutRules) {
	const hair = 0.05 // mm; no saw is set finer
	step := rules.RipStepMm
	if step == 0 {
		step = 1
	}
	set := func(mm float64) float64 { return math.Ceil((mm-hair)/step) * step }
	rips := map[RipLine]int{}
	for _, b := range l.Blanks {
		key := RipLine{Wood: b.Wood, ThicknessMm: set(b.ThicknessMm), WidthMm: set(b.WidthMm)}
		k, ok := rips[key]
		if !ok {
			k = len(l.Rips)
			rips[key] = k
			l.Rips = append(l.Rips, key)
		}
		r := &l.Rips[k]
		r.Count += b.Count
		r.RunningMm += b.LengthMm * float64(b.Count)
		r.LongestMm = max(r.LongestMm, b.LengthMm)
	}
	slices.SortStableFunc(l.Rips, func(a, b RipLine) int {
		if a.Wood != b.Wood {
			return strings.Compare(a.Wood, b.Wood)
		}
		if c := compare(b.ThicknessMm - a.ThicknessMm); c != 0 {
			return c
		}
		return compare(b.WidthMm - a.WidthMm)
	})
	at := map[string]int{}
	for _, b := range l.Blanks {
		k, ok := at[b.Wood]
		if !ok {
			k = len(l.Woods)
			at[b.Wood] = k
			l.Woods = append(l.Woods, WoodBuy{Wood: b.Wood, Common: species(Piece{Wood: b.Wood}).Common})
		}
		w := &l.Woods[k]
		w.BoardFeet += b.BoardFeet
		w.VolumeM3 += b.VolumeM3
		w.RunningLength += b.LengthMm * float64(b.Count)
		l.BoardFeet += b.BoardFeet
		l.VolumeM3 += b.VolumeM3
	}
	prices := map[string]float64{}
	for name, price := range rules.Prices {
		prices[species(Piece{Wood: name}).Key] = price
	}
	for k := range l.Woods {
		w := &l.Woods[k]
		w.BuyBoardFeet = w.BoardFeet * (1 + rules.WasteFactor)
		if price, ok := prices[w.Wood]; ok {
			w.PricePerFoot = price
			w.Cost = w.BuyBoardFeet * price
			l.Cost += w.Cost
		} else if len(prices) > 0 {
			l.Unpriced = append(l.Unpriced, w.Wood)
		}
	}
	slices.SortStableFunc(l.Woods, func(a, b WoodBuy) int {
		switch {
		case a.BoardFeet > b.BoardFeet:
			return -1
		case a.BoardFeet < b.BoardFeet:
			return 1
		}
		return 0
	})
}

// sideView is the side profile, sampled once along the whole slab for all the
// long pieces.
type sideView struct {
	s           *Slab
	bottom, top geom.Polygon
	bend        float64 // the greatest of both profiles together
}

const sideSamples = 96

func (s *Slab) sideView() sideView {
	v := sideView{s: s, bend: Spline(s.Profile.Top).bendBound() + Spline(s.Profile.Bottom).bendBound()}
	for k := range sideSamples + 1 {
		x := s.Length * float64(k) / sideSamples
		v.bottom = append(v.bottom, geom.Pt(x, s.BottomAt(x)))
		v.top = append(v.top, geom.Pt(x, s.TopAt(x)))
	}
	return v
}

// hullStep takes a point farther along x into a hull's lower side (turn 1) or
// its upper side (turn −1), as A. M. Andrew's algorithm does.
func hullStep(side geom.Polygon, p geom.Point, turn float64) geom.Polygon {
	for n := len(side); n >= 2 && turn*side[n-1].Sub(side[n-2]).Cross(p.Sub(side[n-2])) <= 0; n-- {
		side = side[:n-1]
	}
	return append(side, p)
}

// blank is the smallest straight board that holds the side profile over
// [x0, x1]: its length and width, the angle by which the board is turned up
// against the bench, and the width of a level board.
//
// A board of least width touches the profile's hull along one of its edges
// (M. E. Houle and G. T. Toussaint, Computing the width of a set, IEEE
// Transactions on Pattern Analysis and Machine Intelligence 10, 1988), so
// the edges are tried. The profile is sampled; what a sample step can miss,
// step²/8 times the greatest bend, is added.
func (v sideView) blank(x0, x1 float64) (length, width, tilt, level float64) {
	low, high := make(geom.Polygon, 0, sideSamples+2), make(geom.Polygon, 0, sideSamples+2)
	put := func(bottom, top geom.Point) { low, high = hullStep(low, bottom, 1), hullStep(high, top, -1) }
	at := func(x float64) { put(geom.Pt(x, v.s.BottomAt(x)), geom.Pt(x, v.s.TopAt(x))) }
	at(x0)
	step := v.s.Length / sideSamples
	if x1-x0 < v.s.Length/2 { // short pieces deserve finer samples
		const n = sideSamples / 2
		step = (x1 - x0) / n
		for k := 1; k < n; k++ {
			at(x0 + step*float64(k))
		}
	} else {
		for k, p := range v.bottom {
			if p.X > x0 && p.X < x1 {
				put(p, v.top[k])
			}
		}
	}
	at(x1)
	missed := step * step / 8 * v.bend
	slices.Reverse(high)
	ring := geom.Convex(append(low, high...))
	box := geom.Polygon(ring).Bounds()
	level = box.Height() + missed
	length, width = box.Width(), level
	far := 1 % len(ring)   // the corner farthest from the edge; it goes round with the edges
	const rounding = -1e-9 // mm; corners that lie on one line do not hold it up
	for i, p := range ring {
		u := ring[(i+1)%len(ring)].Sub(p).Unit()
		for k := 0; k < len(ring) && u.Cross(ring[(far+1)%len(ring)].Sub(ring[far])) > rounding; k++ {
			far = (far + 1) % len(ring)
		}
		if math.Abs(u.X) < 0.7 { // an end of the piece: no board runs that way
			continue
		}
		w := u.Cross(ring[far].Sub(p)) + missed
		if w >= width-1e-9 {
			continue
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, q := range ring {
			d := q.Sub(p).Dot(u)
			lo, hi = min(lo, d), max(hi, d)
		}
		length, width = hi-lo, w
		tilt = math.Atan(u.Y / u.X)
	}
	return length, width, tilt, level
}
