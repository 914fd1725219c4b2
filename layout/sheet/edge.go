package sheet

import (
	"fmt"
	"math"

	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/layout/slab"
)

// edgeSection is the section square to the outline, where it is drawn: x in
// from the side, y up from the bench.
type edgeSection struct {
	sl    *slab.Slab
	plans []slab.EdgePlan
	at    geom.Point // in plan
	wide  float64    // how far in from the side it is drawn
}

// newEdgeSection takes the section beside the chamber that comes nearest to
// the edge, or where the slab is thinnest along its outline; false where no
// edge is rounded.
func newEdgeSection(sl *slab.Slab) (edgeSection, bool) {
	e := edgeSection{sl: sl, plans: sl.Edges()}
	if len(e.plans) == 0 {
		return e, false
	}
	p := e.plans[0]
	e.at, e.wide = geom.Pt(p.SideAtMm[0], p.SideAtMm[1]), 20.0
	for _, q := range e.plans {
		e.wide = math.Max(e.wide, 2*math.Max(q.RadiusMm, q.ChamferMm))
	}
	if p.Chamber != "" {
		e.at = geom.Pt(p.LeastAtMm[0], p.LeastAtMm[1])
		e.wide = math.Max(e.wide, p.InMm+15)
	}
	return e, true
}

// heights are those of top and bottom at the section.
func (e edgeSection) heights() (top, bottom float64) {
	return e.sl.TopAt(e.at.X), e.sl.BottomAt(e.at.X)
}

// on is a place so far in from the side and so far from the plan's face.
func (e edgeSection) on(p slab.EdgePlan, in, down float64) geom.Point {
	top, bottom := e.heights()
	if p.Face == "top" {
		return geom.Pt(in, top-down)
	}
	return geom.Pt(in, bottom+down)
}

// items draw the section k times as large, its corner of side and bench at
// the origin given.
func (e edgeSection) items(origin geom.Point, k float64, u measure.Unit) []Item {
	top, bottom := e.heights()
	to := func(p geom.Point) geom.Point {
		return geom.Pt(origin.X+k*p.X, origin.Y+k*(p.Y-bottom))
	}
	ring := func(g geom.Polygon) Path {
		out := make(geom.Polygon, len(g))
		for i, p := range g {
			out[i] = to(p)
		}
		return Ring(out)
	}
	var wood geom.Polygon // the section, its rounded corners as fine chords
	corner := func(face string, start, turn float64) {
		for _, p := range e.plans {
			if p.Face != face {
				continue
			}
			if p.ChamferMm > 0 {
				ends := geom.Polygon{e.on(p, 0, p.ChamferMm), e.on(p, p.ChamferMm, 0)}
				if turn < 0 {
					ends[0], ends[1] = ends[1], ends[0]
				}
				wood = append(wood, ends...)
				return
			}
			for i := range 25 {
				a := start + turn*float64(i)/24
				sin, cos := math.Sincos(a)
				wood = append(wood, e.on(p, p.RadiusMm*(1-cos), p.RadiusMm*(1-sin)))
			}
			return
		}
		wood = append(wood, e.on(slab.EdgePlan{Face: face}, 0, 0))
	}
	corner("bottom", math.Pi/2, -math.Pi/2)
	corner("top", 0, math.Pi/2)
	wood = append(wood, geom.Pt(e.wide, top), geom.Pt(e.wide, bottom))
	items := []Item{{Layer: Slab, Shape: ring(wood), Stroke: pen(colourInk, penStrong), Fill: Fill{Colour: e.colour(), Opacity: 0.35}}}
	// The wood as it is before any pass.
	items = append(items, Line(Slab, pen(colourSoft, penThin, 2.2, 1.1), to(geom.Pt(e.wide, top)), to(geom.Pt(0, top)), to(geom.Pt(0, bottom)), to(geom.Pt(e.wide, bottom))))
	if p := e.plans[0]; p.Chamber != "" && p.InMm < e.wide {
		roof, floor := top-p.SkinMm, bottom+p.OtherSkinMm
		if p.Face == "bottom" {
			roof, floor = top-p.OtherSkinMm, bottom+p.SkinMm
		}
		g := geom.Polygon{geom.Pt(p.InMm, floor), geom.Pt(e.wide, floor), geom.Pt(e.wide, roof), geom.Pt(p.InMm, roof)}
		items = append(items, Item{Layer: Chamber, Shape: ring(g), Stroke: pen(colourChamber, penMedium), Fill: Fill{Colour: colourPaper, Opacity: 0.8}, Title: p.Chamber},
			Item{Layer: Note, Shape: Text{Words: p.Chamber, At: to(geom.Pt((p.InMm+e.wide)/2, (roof+floor)/2)), Height: 2.2, Align: Centre, Rise: Middle, Angle: math.Pi / 2, Halo: 0.6}, Fill: Fill{Colour: colourChamber}})
	}
	for _, p := range e.plans {
		for pass, round := range p.Rounds {
			ink := pen(colourCut, penMedium)
			if pass > 0 {
				ink = pen(colourCut, penHair, 2, 1)
			}
			for _, f := range round.Flats {
				items = append(items, Line(Note, ink, to(e.on(p, f.FromInMm, f.FromDownMm)), to(e.on(p, f.ToInMm, f.ToDownMm))))
			}
		}
		first := p.Rounds[0].Flats[0]
		down, in := first.FromDownMm, first.ToInMm
		side, face := to(e.on(p, 0, down)), to(e.on(p, in, 0))
		edge := to(e.on(p, 0, 0))
		mark := pen(colourCut, penStrong)
		out := 7.0 // of a dimension's line from the wood
		if p.Face == "bottom" {
			out = -out
		}
		items = append(items, Item{Layer: Note, Shape: Circle{Centre: side, Radius: 0.8}, Stroke: mark}, Item{Layer: Note, Shape: Circle{Centre: face, Radius: 0.8}, Stroke: mark})
		items = append(items, LinearDimension(edge, face, geom.V(1, 0), out, size(in, u))...)
		d := math.Abs(edge.Y - side.Y)
		items = append(items, Line(Note, pen(colourSoft, penHair), geom.Pt(edge.X-1, edge.Y), geom.Pt(edge.X-6, edge.Y)), Line(Note, pen(colourSoft, penHair), geom.Pt(side.X-1.5, side.Y), geom.Pt(side.X-6, side.Y)))
		words := fmt.Sprintf("%s, %s", p.Face, size(down, u))
		items = append(items, Item{Layer: Note, Shape: Text{Words: words, At: geom.Pt(edge.X-7, edge.Y+math.Copysign(math.Max(d, 3)/2, side.Y-edge.Y)), Height: dimText, Align: Right, Rise: Middle}, Fill: Fill{Colour: colourInk}})
	}
	return items
}

// colour is that of the strip that the section stands in.
func (e edgeSection) colour() string {
	for i := range e.sl.Strips {
		if y0, y1 := e.sl.Band(i); e.at.Y <= y1 && e.at.Y >= y0 {
			return e.sl.Colour(e.sl.Strips[i].Pieces[0])
		}
	}
	return e.sl.Colour(e.sl.Strips[0].Pieces[0])
}

// left tells what wood is left near the edge.
func (e edgeSection) left(u measure.Unit) []string {
	var out []string
	p := e.plans[0]
	out = append(out, fmt.Sprintf("The side stays upright over %s where the slab is thinnest, at %s along.", size(p.SideMm, u), size(p.SideAtMm[0], u)))
	for _, p := range e.plans {
		if p.Chamber != "" {
			out = append(out, fmt.Sprintf("At the %s %s of wood stays between the eased edge and %s, the nearest chamber, which lies %s in from the side behind a skin of %s.", p.Face, size(p.LeastWoodMm, u), p.Chamber, size(p.InMm, u), size(p.SkinMm, u)))
		}
	}
	return out
}

const edgeOrder = "Gauge the first pass's two lines, one on the side and one on the face, all round. Plane to them with the sole at the angle given; that is a chamfer. For a radius then plane the next flats off the corners that leaves, and sand round to a card cut to it. Keep fingers clear of the iron, and follow the tool maker's instructions."

// EdgeSection is the section across the slab's edge at full size: the
// rounding or chamfer, the flats of each pass, the lines to mark, and the nearest chamber.
// EdgeSheet tells the same enlarged. ok is false where no edge is rounded.
func EdgeSection(sl *slab.Slab, u measure.Unit) (s Scene, ok bool) {
	e, ok := newEdgeSection(sl)
	if !ok {
		return s, false
	}
	s = Scene{Name: "edge section", Frame: "section square to the slab's side, mm; origin at the side on the bottom face, x in from the side, y up"}
	s.Add(e.items(geom.Point{}, 1, u)...)
	s.titleBlock("Section across the edge", append(e.left(u), edgeOrder), nil)
	return s, true
}

// EdgeSheet is EdgeSection on a page, as many times as large as fits, with the
// flats in numbers. It is to be read, not measured.
func EdgeSheet(sl *slab.Slab, u measure.Unit, o TileOptions) ([]Page, error) {
	o, err := o.filled()
	if err != nil {
		return nil, err
	}
	e, ok := newEdgeSection(sl)
	if !ok {
		return nil, nil
	}
	p := newLeaves("Section across the edge", o)
	top, bottom := e.heights()
	const margin = 44 // for words on the left
	k := math.Min((p.wide()-margin-10)/e.wide, (p.y-p.foot)*0.5/(top-bottom))
	if k = math.Floor(k*2) / 2; k < 1 {
		k = math.Max(0.1, math.Floor(k*20)/20)
	}
	p.write(fmt.Sprintf("Drawn %g times as large as it is: measure nothing from this sheet, mark by the numbers. The section at full size is in the SVG and DXF files.", k), 2.3)
	p.y -= 12 + k*(top-bottom)
	p.add(e.items(geom.Pt(p.left+margin, p.y), k, u)...)
	p.y -= 14
	p.write("Flats, in the order of planing. In: from the side. Down: from the face. The red lines are the flats of the first pass; ring and line show where they are gauged.", 2.3)
	p.y -= 1
	var rows [][]string
	for _, plan := range e.plans {
		for pass, round := range plan.Rounds {
			for _, f := range round.Flats {
				rows = append(rows, []string{plan.Face, fmt.Sprintf("pass %d", pass+1), fmt.Sprintf("%.1f°", f.AngleDeg), size(f.FromInMm, u), size(f.FromDownMm, u), size(f.ToInMm, u), size(f.ToDownMm, u)})
			}
		}
	}
	p.rows([]string{"face", "", "sole at", "from: in", "down", "to: in", "down"}, rows)
	for _, words := range append(e.left(u), edgeOrder) {
		p.write(words, 2.3)
	}
	return p.pages, nil
}
