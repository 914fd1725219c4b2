package sheet

import (
	"math"
	"strings"

	"slabwright/body/geom"
)

func pen(colour string, width float64, dash ...float64) Stroke {
	return Stroke{Colour: colour, Width: width, Dash: dash}
}

// Line is a straight line as an item.
func Line(l Layer, s Stroke, points ...geom.Point) Item {
	return Item{Layer: l, Shape: Polyline(points...), Stroke: s}
}

// Words is text on the NOTE layer.
func Words(words string, at geom.Point, height float64, colour string) Item {
	return Item{Layer: Note, Shape: Text{Words: words, At: at, Height: height}, Fill: Fill{Colour: colour}}
}

// Cross is a pair of lines through p, each 2·arm long, turned by angle.
func Cross(l Layer, s Stroke, p geom.Point, arm, angle float64) Item {
	a, b := geom.Polar(arm, angle), geom.Polar(arm, angle+math.Pi/2)
	path := Polyline(p.Add(a.Neg()), p.Add(a))
	path.Parts = append(path.Parts, Polyline(p.Add(b.Neg()), p.Add(b)).Parts...)
	return Item{Layer: l, Shape: path, Stroke: s}
}

// Arrow is a filled arrowhead with its tip at p, pointing along d.
func Arrow(colour string, p geom.Point, d geom.Vec, length float64) Item {
	u := d.Unit()
	back := p.Add(u.Mul(-length))
	side := u.Left().Mul(length * 0.16)
	return Item{Layer: Note, Shape: Ring(geom.Polygon{p, back.Add(side), back.Add(side.Neg())}), Fill: Fill{Colour: colour}}
}

// dimension sizes, mm
const (
	dimArrow  = 2.6
	dimText   = 2.2
	dimGap    = 1.0 // between the thing measured and its extension line
	dimBeyond = 1.5 // of the extension line beyond the dimension line
)

// LinearDimension measures from a to b along a direction: the part of b − a along
// it. The dimension line lies off to the left of a→b by offset from a (right when
// negative), with extension lines, arrowheads and the words over it, readable from
// below or from the right. Where the words find no room between the arrows, the
// arrows come from outside and the words stand beyond b.
func LinearDimension(a, b geom.Point, along geom.Vec, offset float64, words string) []Item {
	u := along.Unit()
	if b.Sub(a).Dot(u) < 0 {
		u = u.Neg()
		offset = -offset
	}
	n := u.Left()
	p := a.Add(n.Mul(offset))
	q := p.Add(u.Mul(b.Sub(a).Dot(u)))
	line := pen(colourSoft, penHair)
	var items []Item
	extension := func(from, to geom.Point) {
		v := to.Sub(from)
		if v.Len() < dimGap {
			return
		}
		w := v.Unit()
		items = append(items, Line(Note, line, from.Add(w.Mul(dimGap)), to.Add(w.Mul(dimBeyond))))
	}
	extension(a, p)
	extension(b, q)
	text := Text{Words: words, Height: dimText, Align: Centre, Halo: 0.6, Angle: math.Atan2(u.Y, u.X)}
	up := n
	if text.Angle > math.Pi/2+1e-9 || text.Angle <= -math.Pi/2+1e-9 {
		text.Angle = math.Atan2(-u.Y, -u.X)
		up = n.Neg()
	}
	length := q.Sub(p).Len()
	if length > text.Width()+2*dimArrow+2 {
		text.At = p.Lerp(q, 0.5).Add(up.Mul(0.9))
		items = append(items, Line(Note, line, p, q), Arrow(colourSoft, p, u.Neg(), dimArrow), Arrow(colourSoft, q, u, dimArrow))
	} else {
		out := dimArrow + 2
		items = append(items, Line(Note, line, p.Add(u.Mul(-out)), q.Add(u.Mul(out+text.Width()+1))),
			Arrow(colourSoft, p, u, dimArrow), Arrow(colourSoft, q, u.Neg(), dimArrow))
		text.At = q.Add(u.Mul(out + text.Width()/2 + 0.5)).Add(up.Mul(0.9))
	}
	return append(items, Item{Layer: Note, Shape: text, Fill: Fill{Colour: colourInk}})
}

// Wrap breaks words into lines no wider than width at a letter height.
func Wrap(words string, width, height float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(words) {
		longer := strings.TrimSpace(line + " " + word)
		if line != "" && (Text{Words: longer, Height: height}).Width() > width {
			lines = append(lines, line)
			longer = word
		}
		line = longer
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
