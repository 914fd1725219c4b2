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

// titleBlock writes name, frame and more lines under everything drawn so far,
// from the drawing's left edge, then a legend. The first line under the title
// names the frame, as every file must.
func (s *Scene) titleBlock(title string, lines []string, legend []Sample) {
	b := s.Bounds()
	if b.Empty() {
		b = geom.Box{}
	}
	s.Notes, s.Legend = lines, legend
	add := func(items ...Item) {
		for _, it := range items {
			it.Class = TitleBlock
			s.Add(it)
		}
	}
	x, y := b.Min.X, b.Min.Y-9
	wide := math.Max(b.Width(), 160)
	add(Item{Layer: Note, Shape: Text{Words: title, At: geom.Point{X: x, Y: y}, Height: 4, Bold: true}, Fill: Fill{Colour: colourInk}})
	y -= 1.5
	for _, l := range append([]string{"Frame: " + s.axes() + "."}, lines...) {
		for _, part := range Wrap(l, wide, 2.2) {
			y -= 4
			add(Words(part, geom.Point{X: x, Y: y}, 2.2, colourInk))
		}
	}
	items, _ := legendItems(legend, geom.Point{X: x, Y: y - 5}, wide)
	add(items...)
}

// legendItems sets samples in rows no wider than a width, the first row's line
// of letters at the given point. It also tells how high all rows are.
func legendItems(legend []Sample, from geom.Point, wide float64) (items []Item, high float64) {
	at := from
	for _, k := range legend {
		t := Text{Words: k.Words, Height: 2.2}
		if at.X > from.X && at.X+13+t.Width() > from.X+wide {
			at = geom.Point{X: from.X, Y: at.Y - 4.5}
		}
		items = append(items, Line(Note, k.Stroke, at.Add(geom.Vec{Y: 1.1}), at.Add(geom.Vec{X: 11, Y: 1.1})),
			Words(k.Words, at.Add(geom.Vec{X: 13}), 2.2, colourSoft))
		at.X += 13 + t.Width() + 7
	}
	if len(legend) > 0 {
		high = from.Y - at.Y + 4.5
	}
	return items, high
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
