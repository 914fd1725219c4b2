package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/fret/neck"
)

// shownSections is how many sections of the back are drawn; the table has all.
const shownSections = 5

// NeckCarving is the neck's back in sections at full size, from fret 1 to
// where the heel begins: the finished curve, the square blank, the flats of
// every round, and where to mark their edges on the blank before planing.
//
//	|‾‾‾‾‾‾‾‾‾|  glue line
//	| \     / |
//	|__\___/__|  flats, tangent to the curve with wood to leave
func NeckCarving(r *neck.Report, u measure.Unit) Scene {
	s := Scene{Name: "neck carving", Frame: "sections of the neck's back, mm, each as it is seen from the bridge, moved aside to its own place: the drawing's x is v from the section's middle, to the treble side, the drawing's y is w from the glue line under the fretboard"}
	wide := 0.0
	for _, c := range r.Carving {
		wide = math.Max(wide, 2*c.Section.HalfWidthMm)
	}
	step := wide + 16
	n := min(shownSections, len(r.Carving))
	deep := 0.0
	for i := range n {
		c := r.Carving[0]
		if n > 1 {
			c = r.Carving[i*(len(r.Carving)-1)/(n-1)]
		}
		o := geom.Vec{X: float64(i) * step}
		curve := make([]geom.Point, 0, 73)
		for _, q := range c.Section.Curve(72) {
			curve = append(curve, q.Add(o))
		}
		name := strconv.Itoa(i + 1)
		half := c.Section.HalfWidthMm
		board := c.ThicknessMm - c.Section.DepthMm
		s.Add(Item{Layer: Body, Shape: Ring(geom.Polygon(curve)), Stroke: pen(colourInk, penStrong), Fill: Fill{Colour: "#e9d9ba", Opacity: 0.6}, ID: "section-" + name, Title: "finished section, " + c.Name})
		s.Add(Item{Layer: Fret, Shape: Ring(geom.Box{Min: geom.Point{X: o.X - half}, Max: geom.Point{X: o.X + half, Y: board}}.Polygon()), Stroke: pen(colourInk, penThin), ID: "board-" + name, Title: "fretboard"})
		for round, flats := range c.Rounds {
			number := 0
			stroke := pen(colourInk, penThin, dashHidden...)
			if round > 0 {
				stroke = pen(colourCut, penThin)
			}
			for _, f := range flats {
				if f.Round != round {
					continue
				}
				number++
				a, b := f.From.Add(o), f.To.Add(o)
				if round == 0 { // the blank's sides begin at the glue line
					a.Y, b.Y = math.Min(a.Y, 0), math.Min(b.Y, 0)
				}
				s.Add(Item{Layer: Cavity, Shape: Polyline(a, b), Stroke: stroke, ID: fmt.Sprintf("flat-%s-%d-%d", name, round, number), Title: fmt.Sprintf("round %d", round)})
				deep = math.Max(deep, -math.Min(a.Y, b.Y))
			}
		}
		s.Add(Line(Centreline, pen(colourAxis, penThin, dashAxis...), geom.Point{X: o.X, Y: board + 3}, geom.Point{X: o.X, Y: -c.Section.DepthMm - 5}))
		for i, words := range []string{size(c.ThicknessMm, u) + " thick with the board", size(2*half, u) + " wide", c.Name + ", " + size(c.FromNutMm, u) + " from the nut"} {
			s.Add(Item{Layer: Note, Shape: Text{Words: words, At: geom.Point{X: o.X, Y: board + 5 + 4*float64(i)}, Height: 2.2, Align: Centre}, Fill: Fill{Colour: colourInk}})
		}
	}
	heads, rows := markTable(r.Carving, u)
	s.Add(tables(geom.Point{X: -wide / 2, Y: -deep - 12}, heads, rows, 2.2, float64(n)*step)...)
	s.titleBlock("Carving the neck's back", []string{
		fmt.Sprintf("Saw the blank to the dashed lines, mark the lines of round 1, plane the flats, mark round 2 on them, and so on; the flats leave %s over the finished curve.", size(r.Spec.Back.LeaveMm, u)),
		"Columns: round, and where to draw. Side: down from the glue line. Back: from the deepest line. Flat: from the upper edge of the flat of the round before. Keep blades away from the holding hand, and the wood clamped.",
	}, []Sample{{pen(colourInk, penStrong), "finished"}, {pen(colourInk, penThin, dashHidden...), "blank"}, {pen(colourCut, penThin), "flats to plane"}})
	return s
}

// markTable is a row for each section and side, or for both sides where they
// are alike, and a column for each line to mark.
func markTable(stations []neck.CarveStation, u measure.Unit) (heads []string, rows [][]string) {
	heads = []string{"at", "", "from the nut"}
	for _, c := range stations {
		sides := map[string][]string{}
		var names []string
		for _, m := range c.Marks {
			if m.Side == "treble" {
				names = append(names, fmt.Sprintf("%d %s", m.Round, m.Face))
			}
			sides[m.Side] = append(sides[m.Side], exact(m.DistanceMm, u))
		}
		// The treble side's marks run from the deepest line up in each round,
		// the bass side's from the glue line down.
		bass := bassDown(c.Marks, u)
		if len(heads) == 3 {
			heads = append(heads, names...)
		}
		row := func(side string, cells []string) {
			r := append([]string{c.Name, side, exact(c.FromNutMm, u)}, cells...)
			for len(r) < len(heads) {
				r = append(r, "")
			}
			rows = append(rows, r[:len(heads)])
		}
		if slices.Equal(bass, sides["treble"]) {
			row("both sides", bass)
			continue
		}
		row("bass", bass)
		row("treble", sides["treble"])
	}
	return heads, rows
}

// bassDown lists the bass side's marks in the order of the treble side's.
func bassDown(marks []neck.Mark, u measure.Unit) (out []string) {
	for i := 0; i < len(marks); {
		j := i
		var round []string
		for ; j < len(marks) && marks[j].Round == marks[i].Round; j++ {
			if marks[j].Side == "bass" {
				round = append(round, exact(marks[j].DistanceMm, u))
			}
		}
		slices.Reverse(round)
		out, i = append(out, round...), j
	}
	return out
}
