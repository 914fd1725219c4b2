package sheet

import (
	"fmt"
	"math"
	"strings"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/fret"
	"slabwright/fret/measure"
	"slabwright/fret/neck"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// Overlay is what a placement overlay shows.
type Overlay struct {
	Slab      *slab.Slab
	Body      *body.Body
	Frets     *fret.Plan // nil: no neck is drawn
	Seat      neck.Seat  // where the neck sits; the zero Seat lies flat on the front plane
	Placement place.Placement
	Need      place.Need
	Verdict   *place.Verdict // nil, or the verdict whose failed checks are marked
	Planing   *place.Planing // nil, or what the planing maps show
	Unit      measure.Unit
	Project   string
}

// below tells whether the front of the body lies on the slab's bottom face, so
// that the overlay is drawn as seen from below.
func (o Overlay) below() bool { return o.Placement.Face == place.Bottom }

func (o Overlay) instrument() instrument {
	f := o.Placement.Frame()
	m := seen(o.below())
	return instrument{o.Body, o.Frets, o.Seat, body.Front, func(u, v, w float64) geom.Point { return m.Apply(f.Apply(u, v, w).Plan()) }}
}

// Placed is the slab with the body on it, without words, in the slab frame:
// the page's picture of a placement.
func (o Overlay) Placed() Scene {
	s := Wood(o.Slab, o.below())
	s.Name = "placement"
	o.instrument().draw(&s)
	o.cutLines(&s)
	o.failures(&s, nil)
	return s
}

// cutLines adds the far side of the kerf and, where the body is tilted, the
// outline of its back.
func (o Overlay) cutLines(s *Scene) {
	k := o.instrument()
	if o.Need.Kerf > 0 {
		// 0.05 mm is far below a saw's wander, and the page draws this at every
		// move of the body.
		for i, g := range geom.Offset(o.Body.Outline.Polygon(0.05), o.Need.Kerf) {
			if i > 0 {
				break // holes that the kerf closes
			}
			s.Add(Item{Layer: Body, Shape: Ring(k.ring(g, 0)), Stroke: pen(colourCut, penThin, dashKerf...), ID: "kerf", Class: "kerf", Title: "far side of the kerf"})
		}
	}
	if !o.Placement.Level() {
		s.Add(Item{Layer: Body, Shape: k.path(o.Body.Outline, -o.Body.Thickness), Stroke: pen(colourCut, penThin, 1, 1), ID: "body-back", Class: "body back", Title: "outline of the back"})
	}
}

// Around is the part of the overlay that is needed to line it up and cut: the
// body, the neck's centreline to the nut and the two datum stations, with some
// wood round them and the words that s, the drawn overlay, says of them. Give it
// to Tile as Part to save paper.
func (o Overlay) Around(s Scene) geom.Box {
	k := o.instrument()
	b := k.ring(o.Body.Ring, 0).Bounds()
	b.Min.X, b.Max.X = b.Min.X-datumReach-datumStroke, b.Max.X+datumReach+datumStroke
	if o.Frets != nil {
		nut := geom.Bounds(k.onBoard(o.Frets.NutEdge.From), k.onBoard(o.Frets.NutEdge.To))
		b = b.Union(nut.Grow(5))
	}
	b = b.Grow(8)
	for _, it := range s.Items {
		if _, words := it.Shape.(Text); words && (it.Class == classFlag || it.Class == classFailed) {
			b = b.Union(it.Shape.Bounds().Grow(2))
		}
	}
	return b
}

// The classes of what tells a place and of what marks a failed check.
const (
	classFlag   = "flag"
	classFailed = "failed"
)

// failures marks where checks failed.
func (o Overlay) failures(s *Scene, l *Labels) {
	if o.Verdict == nil {
		return
	}
	m := seen(o.below())
	for i, c := range o.Verdict.Checks {
		if c.OK || !c.Measured {
			continue
		}
		p := m.Apply(c.At.Plan())
		it := Cross(Note, pen(colourCut, penBold), p, 4, math.Pi/4)
		it.ID, it.Class, it.Title = fmt.Sprintf("failed-%d", i+1), classFailed, c.Message
		s.Add(it, Item{Layer: Note, Shape: Circle{Centre: p, Radius: 6}, Stroke: pen(colourCut, penStrong)})
		if l != nil {
			items, _ := l.Around(Text{Words: c.Name + " fails here", Height: 2.2, Halo: 0.6, Bold: true}, p, 8, 40)
			s.classed(classFailed, items)
		}
	}
}

// classed adds the items under a class.
func (s *Scene) classed(class string, items []Item) {
	for _, it := range items {
		it.Class = class
		s.Add(it)
	}
}

// PlacementOverlay is the 1:1 drawing to lay on the slab: the finished outline
// and the kerf, centreline, neck, strings, cavities and holes on the woods and
// glue lines they will lie on, and the datums by which the paper is lined up:
//
//   - two datum stations, lines across the slab on both sides of the body.
//     Where they cross a glue line, a bold blue stroke lies on the glue line:
//     move the paper until these strokes lie on the real ones;
//   - every transition's ends, and with the stations, the scale point and the
//     nut, their distances from the slab's datum end.
//
// It is drawn in the slab frame, as seen from below when the front of the body
// lies on the slab's bottom face.
func (o Overlay) PlacementOverlay() Scene {
	s := Scene{Name: "placement overlay", Frame: slabFrame(o.below()), FromBelow: o.below()}
	s.wood(o.Slab, o.below(), onPaper)
	k := o.instrument()
	k.draw(&s)
	o.cutLines(&s)
	m := seen(o.below())
	var l Labels

	box := s.Bounds()
	s.Add(Line(Centreline, pen(colourSoft, penHair, dashAxis...), geom.Point{X: math.Min(box.Min.X, 0) - 4}, geom.Point{X: math.Max(box.Max.X, o.Slab.Length) + 4}))

	k.keepHoles(&l)
	list := o.datums(&s, &l, m)
	o.failures(&s, &l)
	k.fretNumbers(&s, &l)
	k.names(&s, &l, o.Unit)
	origin := geom.Point{X: o.Placement.X, Y: o.Placement.Y}
	s.Add(Cross(Note, pen(colourAxis, penMedium), m.Apply(origin), 5, math.Atan2(k.at(1, 0, 0).Y-k.at(0, 0, 0).Y, k.at(1, 0, 0).X-k.at(0, 0, 0).X)))
	flag := func(name string, p geom.Point) {
		words := fmt.Sprintf("%s: x %s, y %s", name, size(p.X, o.Unit), size(p.Y, o.Unit))
		items, _ := l.Around(Text{Words: words, Height: 2.2, Halo: 0.6, Bold: true}, m.Apply(p), 6, 60)
		s.classed(classFlag, items)
	}
	flag("scale point", origin)
	list = append(list, station{origin.X, m.Apply(origin), "scale point"})
	if o.Frets != nil {
		nut := m.Apply(k.onBoard(fret.Point{}))
		flag("nut on the centreline", nut)
		list = append(list, station{nut.X, m.Apply(nut), "nut"})
	}
	s.stripNames(o.Slab, o.below(), &l, o.Unit)
	s.stations(append(list, station{o.Slab.Length, geom.Point{X: o.Slab.Length}, "slab length"}), o.Slab, o.below(), o.Unit)

	face := "top"
	how := "Lay the sheet, printed side up, on the top face."
	if o.below() {
		face = "bottom"
		how = "Drawn as seen from below: turn the slab over and lay the sheet, printed side up, on the bottom face."
	}
	lines := []string{
		fmt.Sprintf("The front of the instrument is the slab's %s face. %s", face, how),
		fmt.Sprintf("Placement: scale point at x %s, y %s; the centreline is turned by %s from the slab's length toward +y; pitch %s, roll %s.",
			size(o.Placement.X, o.Unit), size(o.Placement.Y, o.Unit), degrees(o.Placement.Angle), degrees(o.Placement.Pitch), degrees(o.Placement.Roll)),
		"To line up: at both datum stations the bold blue strokes lie on the real glue lines, and the blue circles on the ends of the transitions. Then check two distances from the datum end with a rule.",
		"The solid red line is the finished outline, the broken one the far side of the kerf: the saw runs between them. Nothing here tells how to hold the work: follow the saw and router makers' instructions, and wear eye, ear and dust protection.",
	}
	title := "Placement overlay"
	if o.Project != "" {
		title += " — " + o.Project
	}
	s.titleBlock(title, lines, []Sample{
		{pen(colourCut, penBold), "finished outline"}, {pen(colourCut, penThin, dashKerf...), "far side of the kerf"},
		{pen(colourAxis, penThin, dashAxis...), "instrument's centreline"}, {pen(colourAxis, penBold), "datum on a glue line"},
		{pen(colourCavity, penMedium), "cavity from the front"}, {pen(colourCavity, penThin, dashHidden...), "cavity from the back"},
		{pen(colourChamber, penMedium), "cut chamber"}, {pen(colourChamber, penThin, dashHidden...), "planned chamber"},
		{pen(colourWarn, penMedium), "fastener, flaw"}, {pen(colourGlue, penHair), "glue line"},
	})
	return s
}

// datumReach is how far beyond the body the datum stations lie, and the strokes
// on the glue lines reach to each side, mm.
const (
	datumReach  = 22.0
	datumStroke = 9.0
)

// datums draws the datum stations and the transitions' ends, and lists what is
// to be measured from the datum end. m maps the slab's plan to the drawing.
func (o Overlay) datums(s *Scene, l *Labels, m geom.Rigid) []station {
	ring := o.Slab.Outline().Polygon(outlineBound)
	all := ring.Bounds()
	k := o.instrument()
	foot := k.ring(o.Body.Ring, 0)
	box := foot.Bounds()
	strong := pen(colourAxis, penBold)
	var list []station

	stationAt := func(x float64) {
		across := inside(geom.Point{X: x, Y: all.Min.Y - 1}, geom.Point{X: x, Y: all.Max.Y + 1}, ring)
		if len(across) == 0 {
			return
		}
		for _, part := range across {
			s.Add(Line(Note, pen(colourAxis, penHair, 5, 1.5), m.Apply(part[0]), m.Apply(part[1])))
		}
		for _, g := range o.Slab.GlueLines() {
			if g.Transition || !(g.A.X <= x && x <= g.B.X) {
				continue
			}
			for _, part := range inside(geom.Point{X: x - datumStroke, Y: g.A.Y}, geom.Point{X: x + datumStroke, Y: g.A.Y}, ring) {
				it := Line(Note, strong, m.Apply(part[0]), m.Apply(part[1]))
				it.Class, it.Title = "datum", g.Name
				s.Add(it)
			}
		}
		low := m.Apply(across[0][0])
		if q := m.Apply(across[len(across)-1][1]); q.Y < low.Y {
			low = q
		}
		l.KeepLine(m.Apply(across[0][0]), m.Apply(across[len(across)-1][1]), 1)
		list = append(list, station{x, low, "datum station"})
	}
	left := box.Min.X - datumReach
	right := box.Max.X + datumReach
	stationAt(math.Max(left, all.Min.X+datumStroke+2))
	stationAt(math.Min(right, all.Max.X-datumStroke-2))

	for _, g := range o.Slab.GlueLines() {
		if !g.Transition {
			continue
		}
		// Its ends on the strip's glue lines, or on the slab's outline.
		for _, part := range inside(g.A, g.B, ring) {
			for _, p := range part {
				s.Add(Item{Layer: Note, Shape: Circle{Centre: m.Apply(p), Radius: 1.6}, Stroke: pen(colourAxis, penStrong), Class: "datum", Title: g.Name})
			}
		}
	}
	for i, t := range o.Slab.Strips {
		y0, y1 := o.Slab.Band(i)
		for _, tr := range t.Transitions {
			p := geom.Point{X: tr.At, Y: (y0 + y1) / 2}
			if ring.Locate(p) == geom.Outside {
				continue
			}
			it := Cross(Note, pen(colourAxis, penMedium), m.Apply(p), 2.5, 0)
			it.Class, it.Title = "datum", string(tr.Kind)+" transition"
			s.Add(it)
			list = append(list, station{tr.At, m.Apply(p), strings.TrimSpace(string(tr.Kind) + " transition, " + o.Slab.StripName(i))})
		}
	}
	return list
}
