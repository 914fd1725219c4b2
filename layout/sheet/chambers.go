package sheet

import (
	"fmt"
	"math"

	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/layout/slab"
)

const chamberCaution = "Drill the corner holes first, then saw from hole to hole. Clamp the strip, keep hands clear of the line of the blade, and follow the saw maker's instructions."

// strip is the strip's side face: its outline, and the ring of each marked
// chamber.
func stripSide(sl *slab.Slab, m slab.Marks) (face geom.Polygon, hollows []geom.Polygon) {
	between := func(top, bottom func(float64) float64, from, to float64) geom.Polygon {
		up, g := curveOf(top, from, to), geom.Polygon(curveOf(bottom, from, to))
		for k := len(up) - 1; k >= 0; k-- {
			g = append(g, up[k])
		}
		return g
	}
	for _, c := range m.Chambers {
		hollows = append(hollows, between(under(sl.TopAt, -c.TopGaugeMm), under(sl.BottomAt, c.BottomGaugeMm), c.StartMm, c.StopMm))
	}
	return between(sl.TopAt, sl.BottomAt, 0, sl.Length), hollows
}

// chambersTitle names a strip by its number, and by its name where it has one.
func chambersTitle(sl *slab.Slab, m slab.Marks) string {
	title := fmt.Sprintf("Chambers of strip %d", m.Strip+1)
	if name := sl.Strips[m.Strip].Name; name != "" {
		title += ", " + name
	}
	return title
}

// ChamberSheet is one strip laid on its side at full size, to be cut before
// glue-up: its face with the chambers, a drilled hole in every corner, and
// stations from the datum end. MarkingList says the same in numbers.
func ChamberSheet(sl *slab.Slab, m slab.Marks, u measure.Unit) Scene {
	s := Scene{Name: fmt.Sprintf("chambers of strip %d", m.Strip+1), Frame: "side face of the strip, mm; origin at the datum end on the bench, x along the slab's length, the drawing's y is z, up from the bench"}
	face, hollows := stripSide(sl, m)
	s.Add(Item{Layer: Slab, Shape: Ring(face), Stroke: pen(colourInk, penStrong), Fill: Fill{Colour: sl.Colour(sl.Strips[m.Strip].Pieces[0]), Opacity: 0.35}})
	low := face.Bounds().Min.Y
	var lines []string
	for i, c := range m.Chambers {
		g := hollows[i]
		s.Add(Item{Layer: Chamber, Shape: Ring(g), Stroke: pen(colourChamber, penStrong), Hatch: Hatch{Angle: math.Pi / 4, Spacing: 5, Line: pen(colourChamber, penHair)}, Title: c.Name})
		for _, h := range c.Holes {
			if r := c.HoleMm / 2; r > 0 {
				p := geom.Point{X: h.AlongMm, Y: h.UpMm}
				s.Add(Item{Layer: Hole, Shape: Circle{Centre: p, Radius: r}, Stroke: pen(colourCavity, penThin)}, Cross(Hole, pen(colourCavity, penHair), p, r+1, 0))
			}
		}
		s.Add(Item{Layer: Note, Shape: Text{Words: c.Name, At: g.Bounds().Centre(), Height: 5, Align: Centre, Rise: Middle, Bold: true, Halo: 1.2}, Fill: Fill{Colour: colourChamber}})
		y := low - 8
		for _, x := range []float64{c.StartMm, c.StopMm} {
			s.Add(Line(Note, pen(colourSoft, penHair), geom.Point{X: x, Y: sl.BottomAt(x) - 1}, geom.Point{X: x, Y: y}))
			s.Add(Item{Layer: Note, Shape: Text{Words: size(x, u), At: geom.Point{X: x, Y: y - 1}, Height: 2, Angle: math.Pi / 2, Align: Right, Rise: Middle}, Fill: Fill{Colour: colourInk}})
		}
		lines = append(lines, fmt.Sprintf("Chamber %s: from %s to %s, top skin %s, bottom skin %s", c.Name, size(c.StartMm, u), size(c.StopMm, u), size(c.TopGaugeMm, u), size(c.BottomGaugeMm, u)))
	}
	for _, a := range m.Air {
		p, q := airLine(sl, a)
		ink := pen(colourCavity, penThin)
		if a.What == slab.BoreAcross {
			s.Add(Item{Layer: Hole, Shape: Circle{Centre: p, Radius: a.DiameterMm / 2}, Stroke: ink, Title: airTitle(a)}, Cross(Hole, pen(colourCavity, penHair), p, a.DiameterMm/2+1, 0))
		} else {
			d := q.Sub(p).Unit().Left().Mul(a.DiameterMm / 2)
			s.Add(Item{Layer: Hole, Shape: Ring(geom.Polygon{p.Add(d), p.Add(d.Mul(-1)), q.Add(d.Mul(-1)), q.Add(d)}), Stroke: ink, Title: airTitle(a)})
		}
		lines = append(lines, airWords(a, u))
	}
	lines = append(lines, chamberCaution)
	s.titleBlock(chambersTitle(sl, m), lines, nil)
	return s
}

// airLine is where the axis of a hole for air begins and ends, seen on the
// strip's side; a bore across is seen from its end.
func airLine(sl *slab.Slab, a slab.AirMark) (from, to geom.Point) {
	from = geom.Point{X: a.AlongMm, Y: a.UpMm}
	switch a.What {
	case slab.BoreAlong:
		return from, geom.Point{X: a.AlongMm + a.DepthMm, Y: a.UpMm}
	case slab.VentBelow:
		return from, geom.Point{X: a.AlongMm, Y: a.UpMm + a.DepthMm}
	}
	return from, from
}

func airTitle(a slab.AirMark) string { return string(a.What) + ", " + a.To }

// airWords tells how to mark and drill a hole for air.
func airWords(a slab.AirMark, u measure.Unit) string {
	where := fmt.Sprintf("%s above the bottom edge", size(a.BottomMm, u))
	switch a.What {
	case slab.VentBelow:
		where = fmt.Sprintf("in the bottom edge, %s in from the right face", size(a.InMm, u))
	case slab.BoreAlong:
		where += fmt.Sprintf(", %s in from the right face", size(a.InMm, u))
	}
	return fmt.Sprintf("%s, %s: diameter %s at %s along, %s, %s deep", a.What, a.To, size(a.DiameterMm, u), size(a.AlongMm, u), where, size(a.DepthMm, u))
}

// MarkingList is what the bench needs to mark a strip's chambers, on as few
// pages as it takes, one as a rule: a sketch that is not to scale, and the
// numbers. Nothing has to be measured from it, so nothing is tiled.
func MarkingList(sl *slab.Slab, m slab.Marks, u measure.Unit, o TileOptions) ([]Page, error) {
	o, err := o.filled()
	if err != nil {
		return nil, err
	}
	name := chambersTitle(sl, m)
	p := newLeaves(name, o)
	write, rows := p.write, p.rows
	write("Marking list. The sketch is not to scale: measure nothing from this sheet, mark by the numbers. The face at full size is in the SVG and DXF files.", 2.3)

	// The sketch: as wide as the page, higher than true.
	face, hollows := stripSide(sl, m)
	box := face.Bounds()
	kx := (p.wide() - 8) / box.Width()
	high := math.Min(26, (p.y-p.foot)/3)
	kz := high / box.Height()
	p.y -= 6 + high
	if len(m.Air) > 0 {
		p.y -= 4 // for letters
	}
	left, y := p.left, p.y
	on := func(q geom.Point) geom.Point {
		return geom.Point{X: left + 4 + (q.X-box.Min.X)*kx, Y: y + (q.Y-box.Min.Y)*kz}
	}
	shrunk := func(g geom.Polygon) Path {
		out := make(geom.Polygon, len(g))
		for i, q := range g {
			out[i] = on(q)
		}
		return Ring(out)
	}
	p.add(Item{Layer: Slab, Shape: shrunk(face), Stroke: pen(colourInk, penMedium), Fill: Fill{Colour: sl.Colour(sl.Strips[m.Strip].Pieces[0]), Opacity: 0.3}})
	for i, g := range hollows {
		p.add(Item{Layer: Chamber, Shape: shrunk(g), Stroke: pen(colourChamber, penThin), Fill: Fill{Colour: colourPaper, Opacity: 0.8}})
		p.add(Item{Layer: Note, Shape: Text{Words: fmt.Sprint(i + 1), At: on(g.Bounds().Centre()), Height: 3, Align: Centre, Rise: Middle, Bold: true}, Fill: Fill{Colour: colourChamber}})
	}
	for k, a := range m.Air {
		q, _ := airLine(sl, a)
		c := on(q)
		letter := geom.Point{X: c.X, Y: y + high + 2.5 + 2.6*float64(k%2)}
		if a.What == slab.VentBelow {
			letter.Y = c.Y - 2.4
		} else {
			p.add(Line(Note, pen(colourCavity, penHair), c, geom.Point{X: c.X, Y: letter.Y - 1.2}))
		}
		p.add(Item{Layer: Hole, Shape: Circle{Centre: c, Radius: 0.8}, Stroke: pen(colourCavity, penThin), Fill: Fill{Colour: colourPaper}})
		p.add(Item{Layer: Note, Shape: Text{Words: airLetter(k), At: letter, Height: 2, Align: Centre, Rise: Middle, Bold: true}, Fill: Fill{Colour: colourCavity}})
	}
	datum := on(geom.Point{X: box.Min.X})
	p.add(Line(Note, pen(colourAxis, penStrong), geom.Point{X: datum.X, Y: y - 3}, geom.Point{X: datum.X, Y: y + high + 3}))
	p.add(Words("datum: squared start", geom.Point{X: left, Y: y - 6}, 2, colourAxis))
	p.y -= 10

	var lines, holes [][]string
	for i, c := range m.Chambers {
		n := fmt.Sprint(i + 1)
		lines = append(lines, []string{n, c.Name, size(c.StartMm, u), size(c.StopMm, u), size(c.TopGaugeMm, u), size(c.BottomGaugeMm, u)})
		if r := c.HoleMm / 2; r > 0 {
			holes = append(holes, []string{n, c.Name, size(c.HoleMm, u), size(c.StartMm+r, u), size(c.StopMm-r, u), size(c.TopGaugeMm+r, u), size(c.BottomGaugeMm+r, u)})
		}
	}
	if len(lines) > 0 {
		write("Lines. Along: from the datum. Gauge: from the finished top and bottom edge, as the gauge scribes.", 2.3)
		p.y -= 1
	}
	rows([]string{"", "chamber", "start", "stop", "top gauge", "bottom gauge"}, lines)
	if len(holes) > 0 {
		write("Corner holes, four to a chamber: their centres.", 2.3)
		p.y -= 1
		rows([]string{"", "chamber", "diameter", "along, at start", "along, at stop", "top gauge", "bottom gauge"}, holes)
	}
	if len(m.Air) > 0 {
		write("Holes for air, lettered in the sketch. Up: from the finished bottom edge, upright. In: from the strip's right face.", 2.3)
		p.y -= 1
		var air [][]string
		for k, a := range m.Air {
			up, in := size(a.BottomMm, u), size(a.InMm, u)
			switch a.What {
			case slab.BoreAcross:
				in = "through"
			case slab.VentBelow:
				up = "from below"
			}
			air = append(air, []string{airLetter(k), string(a.What), a.To, size(a.DiameterMm, u), size(a.AlongMm, u), up, in, size(a.DepthMm, u)})
		}
		rows([]string{"", "hole", "chambers", "diameter", "along", "up", "in", "deep"}, air)
	}
	for _, step := range []string{
		"1. Saw and plane the strip's top and bottom edge to their curves first, and square its start: everything is measured from these.",
		"2. Scribe roof and floor with the gauge, on both faces. Square start and stop across and round to the other face.",
		"3. " + chamberCaution,
		"4. Drill the holes for air before glue-up, vents last; keep glue and finish out of them.",
	} {
		if len(m.Air) == 0 && step[0] == '4' || len(m.Chambers) == 0 && (step[0] == '2' || step[0] == '3') {
			continue
		}
		write(step, 2.3)
	}
	return p.pages, nil
}

// airLetter names hole k of a marking list: a to z, then aa.
func airLetter(k int) string {
	s := string(rune('a' + k%26))
	if k >= 26 {
		s = airLetter(k/26-1) + s
	}
	return s
}
