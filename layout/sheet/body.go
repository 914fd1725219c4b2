package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret"
	"slabwright/fret/measure"
	"slabwright/fret/neck"
)

// bodyFrame words the body frame for a drawing of its front or of its back.
func bodyFrame(face body.Face) string {
	const frame = "body frame, mm; origin at the scale point's foot on the front plane, u (the drawing's x) along the centreline from the neck toward the tail, v to the treble side of a right-handed instrument"
	if face == body.Back {
		return frame + "; drawn as seen from the back: the drawing's y is minus v"
	}
	return frame + "; the drawing's y is v"
}

// instrument draws a body and its neck through a map from the body frame to a
// drawing. The map must be affine, so that curves may be mapped by their
// control points: a placement's projection on the slab's plan is.
type instrument struct {
	body  *body.Body
	frets *fret.Plan // nil: no neck is drawn
	seat  neck.Seat  // where the neck sits; the zero Seat lies flat on the front plane
	face  body.Face  // the face that is looked at: what is cut from the other is hidden
	at    func(u, v, w float64) geom.Point
}

func (k instrument) path(p geom.Path, w float64) Path {
	on := func(q geom.Point) geom.Point { return k.at(q.X, q.Y, w) }
	out := geom.Path{Closed: p.Closed}
	for _, c := range p.Curves {
		out.Curves = append(out.Curves, geom.Curve{P0: on(c.P0), P1: on(c.P1), P2: on(c.P2), P3: on(c.P3)})
	}
	return Curve(out)
}

func (k instrument) ring(g geom.Polygon, w float64) geom.Polygon {
	out := make(geom.Polygon, len(g))
	for i, q := range g {
		out[i] = k.at(q.X, q.Y, w)
	}
	return out
}

// plane is the height of the face that is looked at.
func (k instrument) plane() float64 {
	if k.face == body.Back {
		return -k.body.Thickness
	}
	return 0
}

// onBoard is a place of the fretboard in the drawing; a left-handed board is
// mirrored.
func (k instrument) onBoard(p fret.Point) geom.Point {
	seat := k.seat
	if seat.ScaleMm == 0 {
		seat.ScaleMm = k.frets.CentreScaleMm
	}
	v := p.V
	if k.body.Hand == outline.LeftHanded {
		v = -v
	}
	return k.at(seat.Body(p.U, v, 0))
}

func (k instrument) boardLine(l fret.Line) Path {
	return Polyline(k.onBoard(l.From), k.onBoard(l.To))
}

// draw adds outline, cavities, holes, neck and lines, without words.
func (k instrument) draw(s *Scene) {
	b := k.body
	s.Add(Item{Layer: Body, Shape: k.path(b.Outline, k.plane()), Stroke: pen(colourCut, penBold), ID: "body-outline", Class: "body", Title: "finished outline"})
	for i, f := range b.Features {
		s.Add(k.feature(f, i))
	}
	for i, h := range b.Holes {
		s.Add(k.hole(h, i)...)
	}
	for i, z := range b.Shaped {
		if len(z.Ring) > 2 && z.Kind != body.ArchedTop {
			it := Item{Layer: Body, Shape: Ring(k.ring(z.Ring.Clipped(z.Line), k.plane())), Stroke: pen(colourCut, penThin, 1, 1), ID: fmt.Sprintf("contour-%d", i+1), Class: "contour " + string(z.Face), Title: z.Name}
			if k.hidden(z.Face) {
				it.Stroke = pen(colourCut, penHair, 0.6, 2)
			}
			s.Add(it)
		}
	}
	if k.face == body.Front {
		k.board(s)
		for i, l := range b.Strings {
			if k.frets == nil {
				l.A = l.At(math.Max(l.A.X, b.Ring.Bounds().Min.X-15))
			}
			s.Add(Item{Layer: String, Shape: Polyline(k.at(l.A.X, l.A.Y, 0), k.at(l.B.X, l.B.Y, 0)), Stroke: pen(colourString, penHair), ID: fmt.Sprintf("string-%d", i+1), Class: "string", Title: fmt.Sprintf("string %d", i+1)})
		}
		for _, m := range b.Marks {
			switch m.Kind {
			case body.SaddleLine:
				s.Add(k.mark(String, m, pen(colourFret, penMedium)))
			case body.ScaleLine:
				s.Add(k.mark(String, m, pen(colourFret, penHair, dashHidden...)))
			}
		}
	}
	from, to := b.Ring.Bounds().Min.X-15, b.Ring.Bounds().Max.X+15
	if k.frets != nil && k.face == body.Front {
		from = math.Min(from, -k.frets.CentreScaleMm-15)
	}
	axis := Line(Centreline, pen(colourAxis, penThin, dashAxis...), k.at(from, 0, k.plane()), k.at(to, 0, k.plane()))
	axis.ID, axis.Class, axis.Title = "centreline", "centreline", "the instrument's centreline"
	s.Add(axis)
}

func (k instrument) mark(l Layer, m body.Mark, stroke Stroke) Item {
	it := Line(l, stroke, k.at(m.Line.A.X, m.Line.A.Y, 0), k.at(m.Line.B.X, m.Line.B.Y, 0))
	it.ID, it.Class, it.Title = strings.ReplaceAll(m.Name, " ", "-"), string(m.Kind), m.Name
	return it
}

func (k instrument) board(s *Scene) {
	p := k.frets
	if p == nil {
		return
	}
	ring := boardRing(p)
	for i, q := range ring {
		ring[i] = k.onBoard(fret.Point{U: q.X, V: q.Y})
	}
	// A veil of white lets the frets stand out on any wood.
	s.Add(Item{Layer: Fret, Shape: Ring(ring), Fill: Fill{Colour: colourPaper, Opacity: 0.3}, ID: "fretboard", Class: "fretboard", Title: "fretboard"})
	thin := pen(colourFret, penThin)
	for _, e := range []struct {
		id   string
		line fret.Line
	}{{"board-bass-edge", p.BassEdge}, {"board-treble-edge", p.TrebleEdge}, {"board-end", p.BoardEnd}} {
		s.Add(Item{Layer: Fret, Shape: k.boardLine(e.line), Stroke: thin, ID: e.id, Class: "fretboard", Title: "fretboard"})
	}
	s.Add(Item{Layer: Fret, Shape: k.boardLine(p.NutEdge), Stroke: pen(colourFret, penBold), ID: "nut", Class: "nut", Title: "nut, front edge"})
	if p.NutGuide != (fret.Line{}) {
		s.Add(Item{Layer: Fret, Shape: k.boardLine(p.NutGuide), Stroke: pen(colourFret, penMedium), ID: "nut-guide", Class: "nut", Title: "string guide"})
	}
	for _, f := range p.Slots {
		s.Add(Item{Layer: Fret, Shape: k.boardLine(fret.Line{From: f.Bass, To: f.Treble}), Stroke: pen(colourFret, penMedium),
			ID: "fret-" + strings.ReplaceAll(fmt.Sprintf("%g", f.Fret), ".", "-"), Class: "fret", Title: fmt.Sprintf("fret %g", f.Fret)})
	}
}

func (k instrument) hidden(f body.Face) bool {
	return f != k.face && f != body.Side
}

func (k instrument) feature(f body.Feature, i int) Item {
	w := 0.0
	if f.Face == body.Back {
		w = -k.body.Thickness
	}
	it := Item{Layer: Cavity, Shape: Ring(k.ring(f.Ring, w)), Stroke: pen(colourCavity, penMedium), Fill: Fill{Colour: colourCavity, Opacity: 0.1},
		ID: fmt.Sprintf("cavity-%d", i+1), Class: "cavity " + string(f.Face), Title: fmt.Sprintf("%s, %.1f mm deep from the %s", f.Name, f.Depth(k.body.Thickness), f.Face)}
	if f.Through {
		it.Title = f.Name + ", through"
	}
	if k.hidden(f.Face) && !f.Through {
		it.Stroke = pen(colourCavity, penThin, dashHidden...)
		it.Fill = Fill{}
	}
	if f.Within != "" {
		it.Fill = Fill{}
		it.Stroke.Width = penThin
	}
	return it
}

// hole draws an upright hole as a circle with its centre marked, one that lies
// in the wood by its length and width.
func (k instrument) hole(h body.Hole, i int) []Item {
	a := k.at(h.A.X, h.A.Y, h.A.Z)
	stroke := pen(colourCavity, penThin)
	if k.hidden(h.Face) && !h.Through {
		stroke = pen(colourCavity, penThin, 1.2, 0.8)
	}
	it := Item{Layer: Hole, Stroke: stroke, ID: fmt.Sprintf("hole-%d", i+1), Class: "hole " + string(h.Face), Title: fmt.Sprintf("%s, Ø %.1f mm, %.1f mm deep", h.Name, h.Diameter, h.Length())}
	d := h.B.Sub(h.A)
	if math.Hypot(d.X, d.Y) < 0.02*h.Length()+1e-9 {
		it.Shape = Circle{Centre: a, Radius: h.Diameter / 2}
		return []Item{it, Cross(Hole, pen(colourCavity, penHair), a, h.Diameter/2+1.2, 0)}
	}
	n := geom.Vec{X: d.X, Y: d.Y}.Unit().Left().Mul(h.Diameter / 2)
	corner := func(p geom.Point3, side float64) geom.Point { return k.at(p.X+side*n.X, p.Y+side*n.Y, p.Z) }
	it.Shape = Ring(geom.Polygon{corner(h.A, 1), corner(h.A, -1), corner(h.B, -1), corner(h.B, 1)})
	it.Stroke = pen(colourCavity, penThin, 1.2, 0.8)
	return []Item{it, Line(Hole, pen(colourCavity, penHair, 4, 1, 1, 1), a, k.at(h.B.X, h.B.Y, h.B.Z))}
}

// keepHoles keeps labels off the upright holes.
func (k instrument) keepHoles(l *Labels) {
	for _, h := range k.body.Holes {
		if d := h.B.Sub(h.A); math.Hypot(d.X, d.Y) < 0.02*h.Length()+1e-9 {
			l.KeepBox(Circle{Centre: k.at(h.A.X, h.A.Y, h.A.Z), Radius: h.Diameter/2 + 0.4}.Bounds())
		}
	}
}

// fretNumbers writes the numbers beside the board, on its bass side.
func (k instrument) fretNumbers(s *Scene, l *Labels) {
	if k.frets == nil {
		return
	}
	for _, f := range k.frets.Slots {
		if f.Fret != math.Trunc(f.Fret) || f.Fret == 0 {
			continue
		}
		a, b := k.onBoard(f.Full.From), k.onBoard(f.Full.To)
		out := a.Sub(b).Unit()
		t := Text{Words: fmt.Sprintf("%g", f.Fret), Height: 1.8, Align: Centre, Rise: Middle, Halo: 0.4}
		if t, ok := l.Place(t, a.Add(out.Mul(3)), b.Add(out.Mul(-3))); ok {
			s.Add(Item{Layer: Note, Shape: t, Fill: Fill{Colour: colourFret}})
		}
	}
}

// names writes what the cavities and larger holes are, with their depths.
func (k instrument) names(s *Scene, l *Labels, u measure.Unit) {
	for _, f := range k.body.Features {
		if f.Within != "" {
			continue
		}
		words := f.Name + ", " + k.depth(f, u)
		if k.hidden(f.Face) {
			words += " (from the " + string(f.Face) + ")"
		}
		w := k.plane()
		ring := k.ring(f.Ring, w)
		box := ring.Bounds()
		c := ring.Moments().Centroid()
		t := Text{Words: words, Height: 2, Halo: 0.5, Align: Centre, Rise: Middle}
		lines := Wrap(words, math.Max(box.Width()-4, 24), 2)
		if len(lines)*4 > int(box.Height()) || len(lines) > 3 {
			lines = []string{words}
		}
		placed := false
		for _, dy := range []float64{0, 6, -6, 12, -12, 18, -18} {
			var block []Text
			free := true
			for i, w := range lines {
				t.Words = w
				t.At = c.Add(geom.Vec{Y: dy + 3.4*(float64(len(lines)-1)/2-float64(i))})
				free = free && l.Free(t.Box())
				block = append(block, t)
			}
			if !free {
				continue
			}
			for _, t := range block {
				l.Keep(t.Box())
				s.Add(Item{Layer: Note, Shape: t, Fill: Fill{Colour: colourCavity}})
			}
			placed = true
			break
		}
		if !placed {
			t.Words = words
			items, _ := l.Around(t, c, 3, 40)
			s.Add(items...)
		}
	}
}

// contours writes the names of carved surfaces beside the lines where they
// begin.
func (k instrument) contours(s *Scene, l *Labels) {
	for _, z := range k.body.Shaped {
		ring := z.Ring.Clipped(z.Line)
		if z.Kind == body.ArchedTop || len(ring) < 3 {
			continue
		}
		words := z.Name
		if k.hidden(z.Face) {
			words += " (on the " + string(z.Face) + ")"
		}
		c := k.ring(ring, k.plane()).Moments().Centroid()
		t := Text{Words: words, Height: 2, Halo: 0.5, Align: Centre, Rise: Middle}
		if t, ok := l.Place(t, c, c.Add(geom.Vec{Y: 5}), c.Add(geom.Vec{Y: -5}), c.Add(geom.Vec{X: 25}), c.Add(geom.Vec{X: -25})); ok {
			s.Add(Item{Layer: Note, Shape: t, Fill: Fill{Colour: colourCut}})
		}
	}
}

func plainFront(u, v, _ float64) geom.Point { return geom.Point{X: u, Y: v} }

// mirroredBack is the body as seen from its back: v turned over.
func mirroredBack(u, v, _ float64) geom.Point { return geom.Point{X: u, Y: -v} }

// BodyTemplate is the front or the back of the body at full size with all that
// is cut from that face, drill centres marked and numbered, and a table of
// them.
func BodyTemplate(b *body.Body, face body.Face, u measure.Unit) Scene {
	s := Scene{Name: "body template " + string(face), Frame: bodyFrame(face), FromBelow: face == body.Back}
	k := instrument{body: b, face: face, at: plainFront}
	if face == body.Back {
		k.at = mirroredBack
	}
	k.draw(&s)
	var l Labels
	k.keepHoles(&l)
	box := b.Ring.Bounds()
	low := box.Min.Y
	if face == body.Back {
		low = -box.Max.Y
	}
	for i, h := range k.drilled() {
		k.number(&s, &l, i+1, h)
	}
	var lists []Item
	at0 := geom.Point{X: box.Min.X, Y: low - 16}
	for _, list := range k.lists(u) {
		items := tables(at0, list.heads, list.rows, 2, box.Width())
		at0.Y = Scene{Items: items}.Bounds().Min.Y - 4
		for _, it := range items {
			it.Class = ListBlock
			lists = append(lists, it)
		}
	}
	k.names(&s, &l, u)
	k.contours(&s, &l)
	at := func(u, v float64) geom.Point { return k.at(u, v, 0) }
	s.Add(LinearDimension(geom.Point{X: box.Min.X, Y: low}, geom.Point{X: box.Max.X, Y: low}, geom.Vec{X: 1}, -10, "length "+size(box.Width(), u))...)
	s.Add(LinearDimension(geom.Point{X: box.Max.X, Y: low}, geom.Point{X: box.Max.X, Y: low + box.Height()}, geom.Vec{Y: 1}, -10, "width "+size(box.Height(), u))...)
	s.Add(Cross(Note, pen(colourAxis, penThin), at(0, 0), 4, 0))
	scale, _ := l.Around(Text{Words: "scale point, u 0 v 0", Height: 2, Halo: 0.5}, at(0, 0), 3, 30)
	s.Add(scale...)
	s.Add(lists...)

	lines := []string{
		fmt.Sprintf("Finished thickness %s. The red line is the finished outline: saw outside it and come to it with a template and router.", size(b.Thickness, u)),
		"Clamp the work, take shallow passes, mind the direction of feed and the grain, and follow the router maker's instructions; eye, ear and dust protection.",
	}
	if words := k.carving(u); words != "" {
		lines = append(lines[:1:1], append([]string{words}, lines[1:]...)...)
	}
	if face == body.Back {
		lines = append([]string{"Seen from the back: lay this sheet, printed side up, on the back of the body."}, lines...)
	}
	s.titleBlock("Body template, "+string(face), lines, []Sample{
		{pen(colourCut, penBold), "finished outline"}, {pen(colourCavity, penMedium), "cut from this face"},
		{pen(colourCavity, penThin, dashHidden...), "cut from the other face"}, {pen(colourAxis, penThin, dashAxis...), "centreline"},
	})
	return s
}

// upright tells whether a hole is drilled square to the faces.
func upright(h body.Hole) bool {
	d := h.B.Sub(h.A)
	return math.Hypot(d.X, d.Y) <= 0.02*h.Length()+1e-9
}

// number writes a hole's number beside it.
func (k instrument) number(s *Scene, l *Labels, n int, h body.Hole) {
	t := Text{Words: fmt.Sprint(n), Height: 1.8, Halo: 0.4, Bold: true}
	at, gap := h.A, h.Diameter/2+1
	if !upright(h) { // beside its middle
		at = h.A.Add(h.B.Sub(h.A).Mul(0.5))
	}
	if items, ok := l.Around(t, k.at(at.X, at.Y, at.Z), gap, gap+16); ok {
		s.Add(items...)
	}
}

// drilled lists the holes of the face in the order of their numbers: the upright
// ones, then those drilled into the edge and at an angle.
func (k instrument) drilled() []body.Hole {
	var straight, slanted []body.Hole
	for _, h := range k.body.Holes {
		switch {
		case k.hidden(h.Face):
		case !upright(h):
			slanted = append(slanted, h)
		case h.Face == k.face:
			straight = append(straight, h)
		}
	}
	return append(straight, slanted...)
}

// bodyList is one of the lists of a body's template.
type bodyList struct {
	heads []string
	rows  [][]string
}

// lists are the holes of the face by their numbers, and all that is routed from
// it, ledges and ears too. Empty ones are left out.
func (k instrument) lists(u measure.Unit) []bodyList {
	straight := bodyList{heads: []string{"", "drill centres", "u", "v", "drill", "depth"}}
	slanted := bodyList{heads: []string{"", "drilled at an angle or into the edge", "from u, v, w", "to u, v, w"}}
	angles := bodyList{heads: []string{"", "the same: angles and drills", "to the front plane", "to the centreline", "drill", "depth"}}
	routed := bodyList{heads: []string{"", "routed from this face", "u", "v", "depth"}}
	carved := bodyList{heads: []string{"", "depths when the face is carved", "least", "most"}}
	place := func(p geom.Point3) string {
		return fmt.Sprintf("%s, %s, %s", size(p.X, u), size(p.Y, u), size(p.Z, u))
	}
	for i, h := range k.drilled() {
		number := fmt.Sprint(i + 1)
		if !upright(h) {
			d := h.B.Sub(h.A)
			name := h.Name + ", from the " + string(h.Face)
			slanted.rows = append(slanted.rows, []string{number, name, place(h.A), place(h.B)})
			angles.rows = append(angles.rows, []string{number, name, degrees(math.Abs(h.Tilt())), degrees(math.Atan2(math.Abs(d.Y), math.Abs(d.X))), "Ø " + size(h.Diameter, u), size(h.Length(), u)})
			continue
		}
		deep := size(h.Length(), u)
		if h.Through {
			deep = "through"
		}
		straight.rows = append(straight.rows, []string{number, h.Name, size(h.A.X, u), size(h.A.Y, u), "Ø " + size(h.Diameter, u), deep})
	}
	for _, f := range k.body.Features {
		if k.hidden(f.Face) && !f.Through {
			continue
		}
		box := f.Ring.Bounds()
		routed.rows = append(routed.rows, []string{"", f.Name, size(box.Min.X, u) + " to " + size(box.Max.X, u), size(box.Min.Y, u) + " to " + size(box.Max.Y, u), k.depth(f, u)})
		if least, most := k.body.CarvedDepth(f); most > 0 && !f.Through {
			carved.rows = append(carved.rows, []string{"", f.Name, size(least, u), size(most, u)})
		}
	}
	return slices.DeleteFunc([]bodyList{straight, slanted, angles, routed, carved}, func(b bodyList) bool { return len(b.rows) == 0 })
}

// bodyDrawing is the template of a face. On paper its lists have pages of their
// own, so that no joint of two sheets runs through them.
func bodyDrawing(b *body.Body, face body.Face, u measure.Unit) Drawing {
	return Drawing{Name: "body-" + string(face), Scene: BodyTemplate(b, face, u), Lists: func(o TileOptions) ([]Page, error) {
		o, err := o.filled()
		if err != nil {
			return nil, err
		}
		p := newLeaves("Body, "+string(face)+": holes and cavities", o)
		p.write("Places are in the body frame: u along the centreline from the scale point toward the tail, v to the treble side of a right-handed instrument, w up from the front. Numbers are those of the template.", 2.3)
		p.y -= 4
		for _, list := range (instrument{body: b, face: face}).lists(u) {
			p.rows(list.heads, list.rows)
		}
		return p.pages, nil
	}}
}

// depth words how deep a cavity is.
func (k instrument) depth(f body.Feature, u measure.Unit) string {
	switch {
	case f.Through:
		return "through"
	case f.FloorSlope != 0:
		joint := k.body.Joint.X
		return fmt.Sprintf("%s deep at the joint, %s at its end", size(-f.Floor(joint), u), size(-f.Floor(f.Ring.Bounds().Max.X), u))
	}
	return size(f.Depth(k.body.Thickness), u) + " deep"
}

// depthAndCarving words what the carving leaves of a cavity's depth, too.
func (k instrument) depthAndCarving(f body.Feature, u measure.Unit) string {
	least, most := k.body.CarvedDepth(f)
	if f.Through || most == 0 {
		return k.depth(f, u)
	}
	return fmt.Sprintf("%s, %s to %s when carved", k.depth(f, u), size(least, u), size(most, u))
}

// carving words the edges and contours of the face.
func (k instrument) carving(u measure.Unit) string {
	var words []string
	carved := false
	e := k.body.Edges
	radius, chamfer := e.FrontRadius, e.FrontChamfer
	if k.face == body.Back {
		radius, chamfer = e.BackRadius, e.BackChamfer
	}
	if radius > 0 {
		words = append(words, "Edge rounded over with a radius of "+size(radius, u)+".")
	}
	if chamfer > 0 {
		words = append(words, "Edge chamfered by "+size(chamfer, u)+" at 45°.")
	}
	for _, z := range k.body.Shaped {
		if z.Face != k.face {
			continue
		}
		most := 0.0
		for _, p := range z.Ring {
			most = math.Max(most, z.Drop(p))
		}
		var how string
		switch {
		case z.Kind == body.ArchedTop:
			var radii []string
			if z.Along > 0 {
				radii = append(radii, size(0.5/z.Along, u)+" along")
			}
			if z.Across > 0 {
				radii = append(radii, size(0.5/z.Across, u)+" across")
			}
			how = "radius " + strings.Join(radii, " and ")
		case z.Curve > 0:
			how = "hollow of radius " + size(0.5/z.Curve, u) + " from the dotted line"
		default:
			how = "plane of " + degrees(math.Atan(z.Slope)) + " from the dotted line"
		}
		words = append(words, fmt.Sprintf("%s: %s, %s deep at most.", capital(z.Name), how, size(most, u)))
		carved = true
	}
	if carved {
		words = append(words, "Depths are from the flat face: rout and drill before it is carved.")
	}
	return strings.Join(words, " ")
}

// tables sets a long table in blocks side by side, as many as find room in a
// width, so that it is not high.
func tables(at geom.Point, heads []string, rows [][]string, height, wide float64) []Item {
	const gap = 12
	whole := Scene{Items: table(at, heads, rows, height)}.Bounds().Width()
	blocks := max(1, min(int((wide+gap)/(whole+gap)), (len(rows)+5)/6))
	each := (len(rows) + blocks - 1) / blocks
	var items []Item
	for i := 0; i < len(rows); i += each {
		items = append(items, table(at, heads, rows[i:min(i+each, len(rows))], height)...)
		at.X += whole + gap
	}
	return items
}

// table sets rows of words in columns as wide as they need, the heads bold,
// numbers right. at is the upper left corner.
func table(at geom.Point, heads []string, rows [][]string, height float64) []Item {
	wide := make([]float64, len(heads))
	for i, h := range heads {
		wide[i] = Text{Words: h, Height: height, Bold: true}.Width()
		for _, r := range rows {
			wide[i] = math.Max(wide[i], Text{Words: r[i], Height: height}.Width())
		}
	}
	var items []Item
	y := at.Y - height
	row := func(cells []string, bold bool, colour string) {
		x := at.X
		for i, c := range cells {
			t := Text{Words: c, At: geom.Point{X: x, Y: y}, Height: height, Bold: bold}
			if i >= 2 { // numbers
				t.Align, t.At.X = Right, x+wide[i]
			}
			items = append(items, Item{Layer: Note, Shape: t, Fill: Fill{Colour: colour}})
			x += wide[i] + 2*height
		}
		y -= 1.9 * height
	}
	row(heads, true, colourInk)
	total := -2 * height
	for _, w := range wide {
		total += w + 2*height
	}
	items = append(items, Line(Note, pen(colourSoft, penHair), geom.Point{X: at.X, Y: y + height*1.45}, geom.Point{X: at.X + total, Y: y + height*1.45}))
	for _, r := range rows {
		row(r, false, colourInk)
	}
	return items
}
