package sheet

import (
	"math"

	"slabwright/body/geom"
)

// Labels finds free places for words. It keeps what has been taken and gives
// every label the first of its candidate places that is free, so that the
// outcome depends on the order of calls and nothing else.
type Labels struct {
	taken []geom.Convex
}

// labelGap is the least white between two labels in mm.
const labelGap = 0.5

// Keep takes a region: no label will lie in it.
func (l *Labels) Keep(c geom.Convex) { l.taken = append(l.taken, c) }

// KeepBox takes an upright rectangle.
func (l *Labels) KeepBox(b geom.Box) { l.Keep(geom.Convex(b.Polygon())) }

// KeepLine takes a line with half mm on both sides.
func (l *Labels) KeepLine(a, b geom.Point, half float64) {
	n := b.Sub(a).Unit().Left().Mul(half)
	l.Keep(geom.Convex{a.Add(n.Neg()), b.Add(n.Neg()), b.Add(n), a.Add(n)})
}

// Free tells whether the region, with a little white round it, is untaken.
func (l *Labels) Free(c geom.Convex) bool {
	for _, t := range l.taken {
		if !apart(c, t, labelGap) {
			return false
		}
	}
	return true
}

// Place puts the words at the first place where they are free, and takes it.
// ok is false when no place is.
func (l *Labels) Place(t Text, places ...geom.Point) (placed Text, ok bool) {
	for _, p := range places {
		t.At = p
		if box := t.Box(); l.Free(box) {
			l.Keep(box)
			return t, true
		}
	}
	return t, false
}

// Around places the words beside the point p, at first within gap of it, then
// farther out; right and left before above and below, then the corners. Words
// more than 3 mm away get a leader: a thin line from p. ok is false when they
// find no place within reach, and then nothing is drawn.
func (l *Labels) Around(t Text, p geom.Point, gap, reach float64) (items []Item, ok bool) {
	t.Rise = Middle
	half := t.Height / 2
	for out := gap; out <= reach; out += 1.5 {
		for _, d := range []geom.Vec{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {X: 0.7, Y: 0.7}, {X: 0.7, Y: -0.7}, {X: -0.7, Y: 0.7}, {X: -0.7, Y: -0.7}} {
			switch {
			case d.X > 0:
				t.Align = Left
			case d.X < 0:
				t.Align = Right
			default:
				t.Align = Centre
			}
			at := p.Add(d.Mul(out))
			if d.X == 0 {
				at = at.Add(geom.Vec{Y: math.Copysign(half, d.Y)})
			}
			placed, free := l.Place(t, at)
			if !free {
				continue
			}
			if out > 3 {
				end := p.Add(d.Mul(out - 0.6))
				l.KeepLine(p, end, 0.1)
				items = append(items, Line(Note, pen(colourSoft, penHair), p, end))
			}
			return append(items, Item{Layer: Note, Shape: placed, Fill: Fill{Colour: colourInk}}), true
		}
	}
	return nil, false
}

// Along places the words on the line from a to b, turned with it and readable
// from below or from the right, lifted off it by lift (on its upper or left
// side; below when negative). It tries the middle first, then places ever
// nearer to the ends.
func (l *Labels) Along(t Text, a, b geom.Point, lift float64) (Text, bool) {
	d := b.Sub(a)
	t.Angle = readable(math.Atan2(d.Y, d.X))
	t.Align, t.Rise = Centre, Baseline
	up := geom.Polar(1, t.Angle+math.Pi/2)
	if lift < 0 {
		t.Rise = Top
	}
	w := t.Width()
	if w > d.Len() {
		return t, false
	}
	room := (d.Len() - w) / 2 / d.Len() // of the way, to either side of the middle
	var places []geom.Point
	const steps = 12
	for i := range steps + 1 {
		k := room * float64(i) / steps
		places = append(places, a.Lerp(b, 0.5-k).Add(up.Mul(lift)))
		if i > 0 {
			places = append(places, a.Lerp(b, 0.5+k).Add(up.Mul(lift)))
		}
	}
	return l.Place(t, places...)
}

// readable turns an angle by half a turn where words along it would stand on
// their heads: the result is in (−π/2, π/2].
func readable(a float64) float64 {
	a = math.Mod(a, math.Pi)
	if a > math.Pi/2+1e-9 {
		a -= math.Pi
	}
	if a <= -math.Pi/2+1e-9 {
		a += math.Pi
	}
	return a
}

// apart tells whether two convex regions lie farther from each other than
// gap along some edge's normal (the separating axis theorem; for a gap above
// zero the test is on the safe side at corners).
func apart(a, b geom.Convex, gap float64) bool {
	return separates(a, b, gap) || separates(b, a, gap)
}

func separates(a, b geom.Convex, gap float64) bool {
	for _, h := range a.Edges() {
		limit := -gap * h.Along.Len()
		out := true
		for _, p := range b {
			if h.Depth(p) > limit {
				out = false
				break
			}
		}
		if out {
			return true
		}
	}
	return false
}
