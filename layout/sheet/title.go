package sheet

import (
	"fmt"
	"math"

	"slabwright/body/geom"
	"slabwright/fret/measure"
)

// Size words for drawings: millimetres to a tenth, or inches as read on a rule
// with the decimals behind, since a rule's 1/64 in loses up to 0.2 mm.
func size(mm float64, u measure.Unit) string {
	if u == measure.Inches {
		text, lost := measure.Length(mm).Sixtyfourths()
		if math.Abs(lost.Mm()) < 0.01 {
			return text
		}
		return fmt.Sprintf("%s (%.3f)", text, mm/25.4)
	}
	return tenth(mm) + " mm"
}

// degrees words an angle given in radians.
func degrees(rad float64) string {
	d := rad * 180 / math.Pi
	if math.Abs(d) < 0.005 {
		d = 0
	}
	return fmt.Sprintf("%.2f°", d)
}

// sample is a line of a legend.
type sample struct {
	stroke Stroke
	words  string
}

// titleBlock writes name, frame and more lines under everything drawn so far,
// from the drawing's left edge, then a legend. The first line under the title
// names the frame, as every file must.
func (s *Scene) titleBlock(title string, lines []string, legend []sample) {
	b := s.Bounds()
	if b.Empty() {
		b = geom.Box{}
	}
	x, y := b.Min.X, b.Min.Y-9
	wide := math.Max(b.Width(), 160)
	s.Add(Item{Layer: Note, Shape: Text{Words: title, At: geom.Point{X: x, Y: y}, Height: 4, Bold: true}, Fill: Fill{Colour: colourInk}})
	frame := "Frame: " + s.Frame
	y -= 1.5
	for _, l := range append([]string{frame}, lines...) {
		for _, part := range Wrap(l, wide, 2.2) {
			y -= 4
			s.Add(Words(part, geom.Point{X: x, Y: y}, 2.2, colourInk))
		}
	}
	y -= 5
	at := x
	for _, k := range legend {
		t := Text{Words: k.words, Height: 2.2}
		if at > x && at+13+t.Width() > x+wide {
			at = x
			y -= 4.5
		}
		s.Add(Line(Note, k.stroke, geom.Point{X: at, Y: y + 1.1}, geom.Point{X: at + 11, Y: y + 1.1}),
			Words(k.words, geom.Point{X: at + 13, Y: y}, 2.2, colourSoft))
		at += 13 + t.Width() + 7
	}
}

// inside cuts the segment from a to b to a ring, by the nonzero rule: the
// parts that lie inside.
func inside(a, b geom.Point, ring geom.Polygon) [][2]geom.Point {
	d := b.Sub(a)
	l2 := d.Dot(d)
	if l2 == 0 {
		return nil
	}
	var cuts []cut
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		dp, dq := d.Cross(p.Sub(a)), d.Cross(q.Sub(a))
		if (dp > 0) == (dq > 0) {
			continue
		}
		turn := 1
		if dp > 0 {
			turn = -1
		}
		x := p.Lerp(q, dp/(dp-dq))
		cuts = append(cuts, cut{x.Sub(a).Dot(d) / l2, turn})
	}
	var out [][2]geom.Point
	for _, s := range spans(cuts) {
		from, to := math.Max(0, s[0]), math.Min(1, s[1])
		if to > from {
			out = append(out, [2]geom.Point{a.Lerp(b, from), a.Lerp(b, to)})
		}
	}
	return out
}
