package outline

import (
	"math"

	"slabwright/body/geom"
)

// Report is what a maker asks of an outline. Lengths mm, area mm².
type Report struct {
	Area, Perimeter float64
	// Length is along u, Width along v, over all.
	Length, Width float64
	Bounds        geom.Box
	// Centroid is the balance point of an even plate of this outline.
	Centroid geom.Point
	// The widths across the two bouts and the waist, each side taken where it
	// is widest or narrowest: on a body whose sides are shifted against each
	// other that is not at one station. An outline without a waist has zero
	// UpperBout and Waist.
	UpperBout, Waist, LowerBout Width
	// SmallestInsideRadius is where a router bit must fit in; +Inf when the
	// outline never turns inward, 0 at an inward corner.
	SmallestInsideRadius float64
	SmallestInsideAt     geom.Point
}

// Width is a width across an outline, with the station u at which each side
// has it.
type Width struct{ Width, TrebleAt, BassAt float64 }

// Measure reports on a closed path, whichever way it runs. Area, bounds and
// centroid's area are exact to rounding; perimeter is within 0.01 mm; the
// centroid and the widths come from a ring within 0.005 mm and from stations
// 1/800 of the length apart.
func Measure(p geom.Path) Report {
	if p.Area() < 0 {
		p = p.Reversed()
	}
	ring := p.Polygon(0.005)
	r := Report{
		Area: p.Area(), Perimeter: p.Length(0.01),
		Bounds:   p.Bounds(),
		Centroid: ring.Moments().Centroid(),
	}
	if r.Bounds.Empty() {
		r.Bounds, r.SmallestInsideRadius = geom.Box{}, math.Inf(1)
		return r
	}
	r.Length, r.Width = r.Bounds.Width(), r.Bounds.Height()
	r.SmallestInsideRadius, r.SmallestInsideAt = p.TightestInside()
	treble, bass := sides(ring, r.Bounds)
	// The sides must agree that there is a waist.
	tw, tok := waist(treble)
	bw, bok := waist(bass)
	widest := func(side []float64, from, to int) (int, float64) {
		at := from
		for i := from; i <= to; i++ {
			if side[i] > side[at] {
				at = i
			}
		}
		return at, side[at]
	}
	last := len(treble) - 1
	u := func(i int) float64 { return r.Bounds.Min.X + r.Length*float64(i)/float64(last) }
	across := func(t, b int) Width { return Width{treble[t] + bass[b], u(t), u(b)} }
	if !tok || !bok {
		t, _ := widest(treble, 0, last)
		b, _ := widest(bass, 0, last)
		r.LowerBout = across(t, b)
		return r
	}
	t, _ := widest(treble, 0, tw)
	b, _ := widest(bass, 0, bw)
	r.UpperBout = across(t, b)
	r.Waist = across(tw, bw)
	t, _ = widest(treble, tw, last)
	b, _ = widest(bass, bw, last)
	r.LowerBout = across(t, b)
	return r
}

// sides are the outermost distances of the ring from the centreline, v to the
// treble side and −v to the bass side, at even stations from end to end.
func sides(ring geom.Polygon, box geom.Box) (treble, bass []float64) {
	const stations = 800
	treble, bass = make([]float64, stations+1), make([]float64, stations+1)
	for i := range treble {
		treble[i], bass[i] = math.Inf(-1), math.Inf(-1)
	}
	step := box.Width() / stations
	put := func(i int, v float64) {
		if i >= 0 && i <= stations {
			treble[i], bass[i] = max(treble[i], v), max(bass[i], -v)
		}
	}
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if a.X > b.X {
			a, b = b, a
		}
		// corners count at the nearest station, so that no extreme is lost
		put(int(math.Round((a.X-box.Min.X)/step)), a.Y)
		put(int(math.Round((b.X-box.Min.X)/step)), b.Y)
		for s := int(math.Ceil((a.X - box.Min.X) / step)); s <= stations && box.Min.X+float64(s)*step <= b.X; s++ {
			if b.X > a.X {
				put(s, a.Lerp(b, (box.Min.X+float64(s)*step-a.X)/(b.X-a.X)).Y)
			}
		}
	}
	return treble, bass
}

// waist finds the station where a side dips deepest below the lower of its
// greatest widths in front and behind; a dip under 0.5 mm is none.
func waist(side []float64) (int, bool) {
	n := len(side)
	behind := make([]float64, n)
	behind[n-1] = side[n-1]
	for i := n - 2; i >= 0; i-- {
		behind[i] = max(side[i], behind[i+1])
	}
	at, deepest, front := 0, 0.0, math.Inf(-1)
	for i, v := range side {
		front = max(front, v)
		if dip := min(front, behind[i]) - v; dip > deepest && !math.IsInf(dip, 0) {
			at, deepest = i, dip
		}
	}
	return at, deepest >= 0.5
}
