package fret

import (
	"fmt"
	"math"
	"sort"
)

// Point is a place on the fretboard in the neck frame, millimetres.
type Point struct{ U, V float64 }

// Line runs from the bass side to the treble side, or from the nut toward the
// saddle, as its owner says.
type Line struct{ From, To Point }

// Length of the line in millimetres.
func (l Line) Length() float64 { return math.Hypot(l.To.U-l.From.U, l.To.V-l.From.V) }

// At is the point a share t of the way from From to To.
func (l Line) At(t float64) Point {
	return Point{l.From.U + t*(l.To.U-l.From.U), l.From.V + t*(l.To.V-l.From.V)}
}

// cut is where the endless lines through a and b meet, as a share of a. The
// lines of a board that passed Check are never parallel.
func (a Line) cut(b Line) float64 {
	du, dv := a.To.U-a.From.U, a.To.V-a.From.V
	eu, ev := b.To.U-b.From.U, b.To.V-b.From.V
	return ((b.From.U-a.From.U)*ev - (b.From.V-a.From.V)*eu) / (du*ev - dv*eu)
}

func (a Line) meet(b Line) Point { return a.At(a.cut(b)) }

// Slot is one fret as it is sawn.
type Slot struct {
	// Fret is the fret's number; between whole numbers for an added partial
	// fret, 0 for a zero fret.
	Fret float64
	// Bass and Treble are the ends: on the fretboard's edges, or kept back
	// from them, or half way between strings for a partial fret.
	Bass, Treble Point
	// Full is the whole line from edge to edge, bass end first.
	Full Line
	// AngleRad is 0 at right angles to the centreline, positive where the
	// bass end is nearer the nut.
	AngleRad float64
	// LengthMm is the slot's own length, BoardWidthMm the board's width there,
	// square to the centreline at the fret's middle.
	LengthMm, BoardWidthMm float64
	// Partial tells that the slot does not serve all strings.
	Partial bool
}

// String is one string's place on the board.
type String struct {
	// Number counts from 1, the highest.
	Number int
	// Nut and Saddle are its ends, uncompensated.
	Nut, Saddle Point
	// ScaleMm is its own scale length: the distance between them.
	ScaleMm float64
}

// Line is the string from nut to saddle.
func (s String) Line() Line { return Line{s.Nut, s.Saddle} }

// EdgeMargin is the least distance from an outer string's centre to its edge
// of the board.
type EdgeMargin struct {
	Side     string // "treble" or "bass"
	LeastMm  float64
	AtUMm    float64 // where, along the centreline
	AskedMm  float64
	AtNutMm  float64
	AtLastMm float64 // at the last fret
}

// OK tells whether the margin is as asked, to 0.001 mm.
func (e EdgeMargin) OK() bool { return e.LeastMm >= e.AskedMm-0.001 }

// Plan is a Layout worked out.
type Plan struct {
	Layout Layout // with defaults filled in
	// Nut is the nut's front edge (or the zero fret) and SaddleLine the
	// uncompensated saddle, both from bass to treble between the outer
	// strings' centres. NutEdge is Nut drawn out to the board's edges.
	Nut, SaddleLine, NutEdge Line
	// NutGuide is the string guide behind a zero fret, edge to edge; the zero
	// Line without one.
	NutGuide Line
	// BassEdge and TrebleEdge are the board's edges from the nut to its end;
	// BoardEnd is its end, bass to treble, parallel to the last fret.
	BassEdge, TrebleEdge, BoardEnd Line
	// Strings, string 1 first.
	Strings []String
	// Slots in order from the nut.
	Slots []Slot
	// Rows are the table, in the same order without the zero fret.
	Rows []Row
	// CentreScaleMm is the distance along the centreline from nut to saddle.
	CentreScaleMm float64
	// NutAngleRad and SaddleAngleRad as in Slot.
	NutAngleRad, SaddleAngleRad float64
	// TaperRad is the angle between the board's edges, positive where it
	// widens toward the bridge.
	TaperRad float64
	// Margins of the treble and the bass side.
	Margins []EdgeMargin
	// Warnings are complete sentences for the maker.
	Warnings []string
}

// Plan works the layout out, or says what keeps it from being built.
func (l Layout) Plan() (*Plan, error) {
	if err := l.Check(); err != nil {
		return nil, err
	}
	return l.Filled().plan(), nil
}

// plan assumes a checked layout with defaults filled in.
func (l Layout) plan() *Plan {
	p := &Plan{Layout: l}

	// Where the outer strings end. Each runs over a length projected on the
	// centreline; the square fret cuts both at the same u.
	//
	//	treble  u0t +---|---|---|-----------+
	//	            |       | square        |
	//	bass  u0b +-----|---|---|-------------+
	side := (l.SpreadSaddle - l.SpreadNut) / 2
	bass, treble := l.Scale, l.Scale
	if l.Two() {
		bass = math.Sqrt(l.BassScale*l.BassScale - side*side)
		treble = math.Sqrt(l.TrebleScale*l.TrebleScale - side*side)
	}
	square := 1 - l.Temperament.Left(l.SquareFret)
	lead := (bass - treble) * square / 2 // treble end ahead of the middle
	p.Nut = Line{Point{-lead, -l.SpreadNut / 2}, Point{lead, l.SpreadNut / 2}}
	p.SaddleLine = Line{Point{bass - lead, -l.SpreadSaddle / 2}, Point{treble + lead, l.SpreadSaddle / 2}}
	p.CentreScaleMm = (bass + treble) / 2
	outerBass, outerTreble := Line{p.Nut.From, p.SaddleLine.From}, Line{p.Nut.To, p.SaddleLine.To}
	fretLine := func(fret float64) Line {
		t := 1 - l.Temperament.Left(fret)
		return Line{outerBass.At(t), outerTreble.At(t)}
	}

	// The board's edges: straight, through a point beside each end of the nut
	// and one beside each end of the last fret.
	last := fretLine(float64(l.Count))
	edge := func(nut, last Point, sign float64) Line {
		n, e := math.Abs(nut.V)+l.MarginNut, math.Abs(last.V)+l.MarginEnd
		if l.NutWidth > 0 {
			n = l.NutWidth / 2
		}
		if l.EndWidth > 0 {
			e = l.EndWidth / 2
		}
		return Line{Point{nut.U, sign * n}, Point{last.U, sign * e}}
	}
	p.BassEdge, p.TrebleEdge = edge(p.Nut.From, last.From, -1), edge(p.Nut.To, last.To, 1)
	across := func(line Line) Line { return Line{line.meet(p.BassEdge), line.meet(p.TrebleEdge)} }
	shift := func(line Line, du float64) Line {
		line.From.U += du
		line.To.U += du
		return line
	}
	p.NutEdge = across(p.Nut)
	p.BoardEnd = across(shift(last, l.Overhang))
	lastEdge := across(last)
	front := p.NutEdge
	if l.ZeroFret {
		p.NutGuide = across(shift(p.Nut, -l.NutBehind))
		front = p.NutGuide
	}
	full := [2]Line{p.BassEdge, p.TrebleEdge}
	p.BassEdge, p.TrebleEdge = Line{front.From, p.BoardEnd.From}, Line{front.To, p.BoardEnd.To}

	// Strings.
	nutV, _ := l.Strings.offsets(l.SpreadNut, true)
	saddleV, _ := l.Strings.offsets(l.SpreadSaddle, false)
	for i := range l.Strings.Count {
		on := func(line Line, v float64) Point {
			return line.At((v - line.From.V) / (line.To.V - line.From.V))
		}
		s := String{Number: i + 1, Nut: on(p.Nut, nutV[i]), Saddle: on(p.SaddleLine, saddleV[i])}
		s.ScaleMm = s.Line().Length()
		p.Strings = append(p.Strings, s)
	}

	// Slots.
	slot := func(fret float64) Slot {
		line := fretLine(fret)
		s := Slot{Fret: fret, Full: across(line), AngleRad: lean(line)}
		middle := Line{Point{0, -1}, Point{0, 1}}
		middle = shift(middle, (line.From.U+line.To.U)/2)
		s.BoardWidthMm = Line{middle.meet(full[0]), middle.meet(full[1])}.Length()
		s.Bass, s.Treble = s.Full.From, s.Full.To
		if k := l.SlotKeptBack / s.Full.Length(); k > 0 && k < 0.5 {
			s.Bass, s.Treble = s.Full.At(k), s.Full.At(1-k)
		}
		s.LengthMm = Line{s.Bass, s.Treble}.Length()
		return s
	}
	if l.ZeroFret {
		p.Slots = append(p.Slots, slot(0))
	}
	byNumber := map[float64][]PartialFret{}
	for _, f := range l.Partial {
		byNumber[f.Fret] = append(byNumber[f.Fret], f)
	}
	for n := 1; n <= l.Count; n++ {
		if partial := byNumber[float64(n)]; len(partial) == 0 {
			p.Slots = append(p.Slots, slot(float64(n)))
		}
	}
	for _, f := range l.Partial {
		p.Slots = append(p.Slots, p.shorten(slot(f.Fret), f))
	}
	sort.SliceStable(p.Slots, func(i, j int) bool { return p.Slots[i].Fret < p.Slots[j].Fret })

	p.NutAngleRad, p.SaddleAngleRad = lean(p.Nut), lean(p.SaddleLine)
	slope := func(e Line) float64 { return math.Atan2(e.To.V-e.From.V, e.To.U-e.From.U) }
	p.TaperRad = slope(p.TrebleEdge) - slope(p.BassEdge)
	p.Rows = rows(p)
	p.Margins = []EdgeMargin{
		margin("treble", p.Strings[0], p.TrebleEdge, p.NutEdge.To.U, lastEdge.To.U, l),
		margin("bass", p.Strings[len(p.Strings)-1], p.BassEdge, p.NutEdge.From.U, lastEdge.From.U, l),
	}
	for _, m := range p.Margins {
		if !m.OK() {
			p.Warnings = append(p.Warnings, fmt.Sprintf(
				"the outer string on the %s side comes within %.2f mm of the board's edge %.1f mm from the nut; %.2f mm was asked: widen the board or bring the strings together",
				m.Side, m.LeastMm, m.AtUMm, m.AskedMm))
		}
	}
	return p
}

// lean is how far a line from bass to treble is from square to the centreline.
// Less than a nanometre is float noise of the square fret and counts as 0.
func lean(l Line) float64 {
	du := l.To.U - l.From.U
	if math.Abs(du) < 1e-6 {
		return 0
	}
	return math.Atan2(du, l.To.V-l.From.V)
}

// shorten keeps the part of s under the strings of f.
func (p *Plan) shorten(s Slot, f PartialFret) Slot {
	place := func(i int) Point { return s.Full.meet(p.Strings[i-1].Line()) }
	half := func(i, j int) Point {
		a, b := place(i), place(j)
		return Point{(a.U + b.U) / 2, (a.V + b.V) / 2}
	}
	if f.FirstString > 1 {
		s.Treble = half(f.FirstString-1, f.FirstString)
	}
	if f.LastString < len(p.Strings) {
		s.Bass = half(f.LastString, f.LastString+1)
	}
	s.Partial = f.FirstString > 1 || f.LastString < len(p.Strings)
	s.LengthMm = Line{s.Bass, s.Treble}.Length()
	return s
}

// margin measures an outer string against its edge. Both are straight, so the
// distance changes evenly and is least at an end of the board.
func margin(side string, s String, edge Line, nutU, lastU float64, l Layout) EdgeMargin {
	length := edge.Length()
	nu, nv := -(edge.To.V-edge.From.V)/length, (edge.To.U-edge.From.U)/length
	at := func(u float64) float64 {
		line := s.Line()
		q := line.At((u - line.From.U) / (line.To.U - line.From.U))
		d := (edge.From.U-q.U)*nu + (edge.From.V-q.V)*nv
		if side == "bass" {
			return -d
		}
		return d
	}
	m := EdgeMargin{Side: side, AskedMm: l.MarginAsked, AtNutMm: at(nutU), AtLastMm: at(lastU)}
	m.LeastMm, m.AtUMm = m.AtNutMm, nutU
	if d := at(edge.To.U); d < m.LeastMm {
		m.LeastMm, m.AtUMm = d, edge.To.U
	}
	return m
}

// FretOnString is where fret n (it may lie between frets) crosses string
// number i, and the length of string left from there to the uncompensated
// saddle. On strings with equal centres the share left is the same for all.
func (p *Plan) FretOnString(i int, n float64) (Point, float64) {
	t := 1 - p.Layout.Temperament.Left(n)
	line := Line{
		Line{p.Nut.From, p.SaddleLine.From}.At(t),
		Line{p.Nut.To, p.SaddleLine.To}.At(t),
	}
	s := p.Strings[i-1].Line()
	at := s.cut(line)
	return s.At(at), (1 - at) * s.Length()
}

// CentreFromNut is where fret n (it may lie between frets) cuts the centreline.
func (p *Plan) CentreFromNut(n float64) float64 {
	return p.CentreScaleMm * (1 - p.Layout.Temperament.Left(n))
}

// WidthAt is the board's width square to the centreline at u.
func (p *Plan) WidthAt(u float64) float64 {
	square := Line{Point{u, -1}, Point{u, 1}}
	return Line{square.meet(p.BassEdge), square.meet(p.TrebleEdge)}.Length()
}
