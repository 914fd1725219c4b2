package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"slabwright/body/geom"
)

// Layer is the kind of a thing drawn; its name is that of the layer in DXF and
// of the group in SVG.
type Layer string

// The layers. Nothing else is ever drawn.
const (
	Slab       Layer = "SLAB"
	Strip      Layer = "STRIP"
	GlueLine   Layer = "GLUE-LINE"
	Chamber    Layer = "CHAMBER"
	Fastener   Layer = "FASTENER"
	Flaw       Layer = "FLAW"
	Body       Layer = "BODY"
	Centreline Layer = "CENTRELINE"
	Cavity     Layer = "CAVITY"
	Hole       Layer = "HOLE"
	Fret       Layer = "FRET"
	String     Layer = "STRING"
	Note       Layer = "NOTE"
)

// Layers lists all layers in the order in which they are painted: wood first,
// then what is in the wood, then the instrument, words last.
func Layers() []Layer {
	return []Layer{Strip, GlueLine, Slab, Chamber, Flaw, Fastener, Body, Cavity, Hole, Fret, String, Centreline, Note}
}

// Scene is one drawing at full size. Its zero value is an empty drawing.
type Scene struct {
	Name      string // what it shows: "placement overlay"
	Frame     string // origin and axes of the coordinates, one line: "slab frame: x along the slab, …"
	FromBelow bool   // mirrored: y is the frame's y with the sign turned
	Items     []Item

	// Notes and Legend are what the drawing's title block says. They stand in
	// Items too, with the class TitleBlock; on tiled paper the cover shows them
	// instead, so that they take no sheets.
	Notes  []string
	Legend []Sample
}

// TitleBlock is the class of the items that make up a drawing's title block.
const TitleBlock = "title-block"

// ListBlock is the class of the items of a drawing's lists, which on paper may
// have pages of their own.
const ListBlock = "list-block"

// Sample is one line of a legend.
type Sample struct {
	Stroke Stroke
	Words  string
}

// Item is one thing drawn.
type Item struct {
	Layer  Layer
	Shape  Shape
	Stroke Stroke // no line when its Width is 0; not used for Text
	Fill   Fill   // no fill when its Colour is empty; the colour of Text
	Hatch  Hatch  // no hatch when its Spacing is 0; over the fill, under the stroke

	ID    string // picks the item on the page; unique in the scene, or empty
	Class string // groups items on the page: "fret", "pickup bridge"
	Title string // what a maker reads when pointing at the item
}

// Stroke is a line with butt ends. Dash lists lengths of dash and gap in mm.
type Stroke struct {
	Colour string // "#rrggbb"
	Width  float64
	Dash   []float64
}

// Fill is a plain colour. Opacity runs from 0 (not set, taken as 1) to 1.
type Fill struct {
	Colour  string // "#rrggbb"
	Opacity float64
}

// Alpha is the opacity to paint with: 1 where none was set.
func (f Fill) Alpha() float64 {
	if f.Opacity == 0 {
		return 1
	}
	return f.Opacity
}

// Hatch is a set of parallel lines within a closed shape.
type Hatch struct {
	Angle   float64 // radians from x
	Spacing float64 // mm between lines
	Line    Stroke
}

// Shape is a Path, a Circle or a Text; there are no others.
type Shape interface {
	// Bounds is the box round the shape, without the width of its line.
	Bounds() geom.Box
	shape()
}

// Path is one or several chains drawn as one thing. It is filled by the
// nonzero rule: a hole is a part that runs the other way.
type Path struct{ Parts []geom.Path }

// Circle is a full circle.
type Circle struct {
	Centre geom.Point
	Radius float64
}

// Text is one line of words.
type Text struct {
	Words  string
	At     geom.Point
	Height float64 // of a capital letter, mm
	Angle  float64 // radians, counter-clockwise
	Align  Align   // which part of the words stands at At, along them
	Rise   Rise    // the same, across them
	Bold   bool
	Halo   float64 // width of the white edge round the letters, mm
}

// Align says where along the words At lies.
type Align int

// The aligns.
const (
	Left Align = iota
	Centre
	Right
)

// Rise says where across the words At lies.
type Rise int

// The rises: on the line the letters stand on, half up a capital, or at its top.
const (
	Baseline Rise = iota
	Middle
	Top
)

func (Path) shape()   {}
func (Circle) shape() {}
func (Text) shape()   {}

// Bounds is the box round all parts.
func (p Path) Bounds() geom.Box {
	b := geom.EmptyBox()
	for _, part := range p.Parts {
		b = b.Union(part.Bounds())
	}
	return b
}

// Bounds is the square round the circle.
func (c Circle) Bounds() geom.Box {
	return geom.Box{Min: c.Centre, Max: c.Centre}.Grow(c.Radius)
}

// Bounds is the upright box round Box.
func (t Text) Bounds() geom.Box { return geom.Polygon(t.Box()).Bounds() }

// Curve is the Path of one chain.
func Curve(p geom.Path) Path { return Path{Parts: []geom.Path{p}} }

// Polyline is the open Path through the points.
func Polyline(points ...geom.Point) Path {
	var p geom.Path
	for i := 1; i < len(points); i++ {
		p.Curves = append(p.Curves, geom.Line(points[i-1], points[i]))
	}
	return Curve(p)
}

// Ring is the closed Path round the polygon.
func Ring(g geom.Polygon) Path { return Curve(geom.PathOf(g)) }

// Path is the circle as a closed path of four cubic curves, which leave the
// true circle by at most 0.00028 of its radius (the usual 4/3·(√2−1) handles).
func (c Circle) Path() geom.Path {
	const k = 0.5522847498307936
	r := c.Radius
	at := func(x, y float64) geom.Point { return c.Centre.Add(geom.Vec{X: x * r, Y: y * r}) }
	return geom.Path{Closed: true, Curves: []geom.Curve{
		{P0: at(1, 0), P1: at(1, k), P2: at(k, 1), P3: at(0, 1)},
		{P0: at(0, 1), P1: at(-k, 1), P2: at(-1, k), P3: at(-1, 0)},
		{P0: at(-1, 0), P1: at(-1, -k), P2: at(-k, -1), P3: at(0, -1)},
		{P0: at(0, -1), P1: at(k, -1), P2: at(1, -k), P3: at(1, 0)},
	}}
}

// Chain is a run of straight lines through Points; a Closed one joins the
// last point to the first.
type Chain struct {
	Points []geom.Point
	Closed bool
}

// Chains are the shape's lines flattened within tol mm. A Text gives the
// outlines of its letters.
func Chains(s Shape, tol float64) []Chain {
	var paths []geom.Path
	switch s := s.(type) {
	case Path:
		paths = s.Parts
	case Circle:
		n := int(math.Ceil(math.Pi / math.Acos(1-math.Min(1, tol/math.Max(s.Radius, tol)))))
		return []Chain{{Points: geom.Regular(s.Centre, s.Radius, max(n, 8)), Closed: true}}
	case Text:
		paths = s.Letters()
	}
	var out []Chain
	for _, p := range paths {
		if points := p.Flatten(tol); len(points) > 0 {
			out = append(out, Chain{points, p.Closed})
		}
	}
	return out
}

// Bounds is the box round everything drawn, the widths of lines included.
func (s Scene) Bounds() geom.Box {
	b := geom.EmptyBox()
	for _, it := range s.Items {
		if box := it.Shape.Bounds(); !box.Empty() {
			b = b.Union(box.Grow(it.Stroke.Width / 2))
		}
	}
	return b
}

// axes is the Frame without its unit: on paper the rulers have one of their own.
func (s Scene) axes() string { return strings.Replace(s.Frame, ", mm", "", 1) }

// On is the items of a layer in painting order.
func (s Scene) On(l Layer) []Item {
	var out []Item
	for _, it := range s.Items {
		if it.Layer == l {
			out = append(out, it)
		}
	}
	return out
}

// Painted is all items in painting order.
func (s Scene) Painted() []Item {
	out := make([]Item, 0, len(s.Items))
	for _, l := range Layers() {
		out = append(out, s.On(l)...)
	}
	return out
}

// Add puts items on the drawing.
func (s *Scene) Add(items ...Item) { s.Items = append(s.Items, items...) }

// Check finds what no writer could draw: an unknown layer, a number that is
// not finite, a colour that is none, an ID used twice.
func (s Scene) Check() error {
	known := map[Layer]bool{}
	for _, l := range Layers() {
		known[l] = true
	}
	seen := map[string]bool{}
	for i, it := range s.Items {
		where := fmt.Sprintf("drawing %q, item %d on layer %s", s.Name, i, it.Layer)
		if !known[it.Layer] {
			return fmt.Errorf("%s: no such layer", where)
		}
		if it.Shape == nil {
			return fmt.Errorf("%s: nothing to draw", where)
		}
		if b := it.Shape.Bounds(); !b.Empty() && !finite(b.Min.X, b.Min.Y, b.Max.X, b.Max.Y, it.Stroke.Width) {
			return fmt.Errorf("%s: a coordinate is not a finite number", where)
		}
		for _, c := range []string{it.Stroke.Colour, it.Fill.Colour, it.Hatch.Line.Colour} {
			if _, _, _, err := RGB(c); c != "" && err != nil {
				return fmt.Errorf("%s: %w", where, err)
			}
		}
		if it.ID != "" && seen[it.ID] {
			return fmt.Errorf("%s: ID %q is used twice", where, it.ID)
		}
		seen[it.ID] = true
	}
	return nil
}

func finite(vs ...float64) bool {
	for _, v := range vs {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// RGB reads a colour written "#rrggbb".
func RGB(colour string) (r, g, b uint8, err error) {
	hex, ok := strings.CutPrefix(colour, "#")
	v, err := strconv.ParseUint(hex, 16, 32)
	if !ok || err != nil || len(hex) != 6 {
		return 0, 0, 0, fmt.Errorf("colour %q is not written #rrggbb", colour)
	}
	return uint8(v >> 16), uint8(v >> 8), uint8(v), nil
}

// HatchLines are the lines of the item's hatch, cut to the shape (nonzero
// rule, flattened within 0.02 mm). They lie on a fixed grid of the frame, so
// that the hatch runs on from one shape, or one tile, to the next.
func (it Item) HatchLines() [][2]geom.Point {
	h := it.Hatch
	if !(h.Spacing > 0) {
		return nil
	}
	turn := geom.Turn(-h.Angle) // hatch lines become horizontal
	back := turn.Inverse()
	type edge struct{ a, b geom.Point }
	var edges []edge
	box := geom.EmptyBox()
	for _, c := range Chains(it.Shape, 0.02) {
		for i, p := range c.Points {
			a, b := turn.Apply(p), turn.Apply(c.Points[(i+1)%len(c.Points)])
			edges = append(edges, edge{a, b})
			box = box.Include(a)
		}
	}
	if box.Empty() {
		return nil
	}
	var out [][2]geom.Point
	for k := math.Ceil(box.Min.Y / h.Spacing); k*h.Spacing <= box.Max.Y; k++ {
		y := k * h.Spacing
		var cuts []cut
		for _, e := range edges {
			if (e.a.Y <= y) == (e.b.Y <= y) {
				continue
			}
			turn := 1
			if e.a.Y > y {
				turn = -1
			}
			cuts = append(cuts, cut{e.a.X + (y-e.a.Y)/(e.b.Y-e.a.Y)*(e.b.X-e.a.X), turn})
		}
		for _, s := range spans(cuts) {
			out = append(out, [2]geom.Point{back.Apply(geom.Point{X: s[0], Y: y}), back.Apply(geom.Point{X: s[1], Y: y})})
		}
	}
	return out
}

// Scaled is the drawing k times as large: places and letters are scaled, the
// widths of lines are not, dashes neither. Words smaller than 1.2 mm after
// scaling are left out, as nobody could read them.
func (s Scene) Scaled(k float64) Scene {
	out := Scene{Name: s.Name, Frame: s.Frame, FromBelow: s.FromBelow, Notes: s.Notes, Legend: s.Legend}
	at := func(p geom.Point) geom.Point { return geom.Point{X: k * p.X, Y: k * p.Y} }
	for _, it := range s.Items {
		switch shape := it.Shape.(type) {
		case Path:
			parts := make([]geom.Path, len(shape.Parts))
			for i, p := range shape.Parts {
				parts[i].Closed = p.Closed
				for _, c := range p.Curves {
					parts[i].Curves = append(parts[i].Curves, geom.Curve{P0: at(c.P0), P1: at(c.P1), P2: at(c.P2), P3: at(c.P3)})
				}
			}
			it.Shape = Path{parts}
		case Circle:
			it.Shape = Circle{at(shape.Centre), k * shape.Radius}
		case Text:
			shape.At, shape.Height, shape.Halo = at(shape.At), k*shape.Height, k*shape.Halo
			if shape.Height < 1.2 {
				continue
			}
			it.Shape = shape
		}
		out.Add(it)
	}
	return out
}
