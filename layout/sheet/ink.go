package sheet

import (
	"math"

	"slabwright/body/geom"
)

// inkBound is how closely curves are followed when it is asked whether they
// leave ink in a box.
const inkBound = 0.005

// ink is what an item leaves on the paper, made ready for asking where.
type ink struct {
	box    geom.Box
	half   float64 // half the width of the line; negative: no line
	lines  []Chain // what the pen draws, dashes apart
	region []Chain // what is filled or hatched
}

// inkOf lists the ink of a drawing. White is not ink.
func inkOf(s Scene) []ink {
	var out []ink
	for _, it := range s.Items {
		chains := Chains(it.Shape, inkBound)
		k := ink{box: geom.EmptyBox(), half: -1}
		_, words := it.Shape.(Text)
		if words || it.Fill.Colour != "" && it.Fill.Colour != "#ffffff" || it.Hatch.Spacing > 0 {
			k.region = chains
		}
		if !words && it.Stroke.Width > 0 && it.Stroke.Colour != "#ffffff" {
			k.half = it.Stroke.Width / 2
			for _, c := range chains {
				k.lines = append(k.lines, dashed(c, it.Stroke.Dash)...)
			}
		}
		for _, c := range append(k.lines, k.region...) {
			k.box = k.box.Union(geom.Bounds(c.Points...))
		}
		if !k.box.Empty() {
			k.box = k.box.Grow(math.Max(k.half, 0))
			out = append(out, k)
		}
	}
	return out
}

// inks tells whether any ink lies in the box. It is exact for the flattened
// shapes: a line counts by its width, a region by its inside.
func inks(all []ink, b geom.Box) bool {
	for _, k := range all {
		if !k.box.Meets(b) {
			continue
		}
		for _, c := range k.lines {
			if chainNear(c, b, k.half) {
				return true
			}
		}
		winding := 0
		for _, c := range k.region {
			c.Closed = true
			if chainNear(c, b, 0) {
				return true
			}
			winding += windingNumber(c.Points, b.Centre())
		}
		if winding != 0 { // no edge meets the box: it is all in, or all out
			return true
		}
	}
	return false
}

// chainNear tells whether the chain comes within d of the box.
func chainNear(c Chain, b geom.Box, d float64) bool {
	n := len(c.Points)
	sides := b.Polygon()
	for i, p := range c.Points {
		q := p
		switch {
		case i+1 < n:
			q = c.Points[i+1]
		case c.Closed:
			q = c.Points[0]
		case n > 1:
			continue
		}
		if b.Has(p) {
			return true
		}
		if !geom.Bounds(p, q).Grow(d).Meets(b) {
			continue
		}
		for j, s := range sides {
			if dist, _, _ := geom.SegmentSegment(p, q, s, sides[(j+1)%4]); dist <= d {
				return true
			}
		}
	}
	return false
}

// windingNumber counts how often the ring runs round p, counter-clockwise.
func windingNumber(ring []geom.Point, p geom.Point) int {
	n := 0
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		left := b.Sub(a).Cross(p.Sub(a))
		switch {
		case a.Y <= p.Y && b.Y > p.Y && left > 0:
			n++
		case a.Y > p.Y && b.Y <= p.Y && left < 0:
			n--
		}
	}
	return n
}

// dashed cuts a chain into the dashes of a pattern of dash and gap lengths; no
// pattern leaves it whole. An odd pattern runs twice, as in SVG.
func dashed(c Chain, pattern []float64) []Chain {
	total := 0.0
	for _, v := range pattern {
		total += v
	}
	if !(total > 0) {
		return []Chain{c}
	}
	points := c.Points
	if c.Closed && len(points) > 0 {
		points = append(append([]geom.Point(nil), points...), points[0])
	}
	var out []Chain
	var now []geom.Point
	k, left := 0, pattern[0]
	for i, p := range points {
		if i == 0 {
			now = []geom.Point{p}
			continue
		}
		a := points[i-1]
		for p.Distance(a) > left {
			a = a.Lerp(p, left/p.Distance(a))
			if k%2 == 0 {
				out = append(out, Chain{Points: append(now, a)})
			}
			now = []geom.Point{a}
			k++
			left = pattern[k%len(pattern)]
		}
		left -= p.Distance(a)
		if k%2 == 0 {
			now = append(now, p)
		}
	}
	if k%2 == 0 && len(now) > 1 {
		out = append(out, Chain{Points: now})
	}
	return out
}
