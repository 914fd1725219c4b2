package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/fret/measure"
)

// hollow is what is routed from one face in one place: a cavity with its ledge
// or ears.
type hollow []body.Feature

// hollows lists the body's cavities in the order in which they are cut. Parts
// of one cavity that are cut from the other face make a hollow of their own.
func hollows(b *body.Body) []hollow {
	var out []hollow
	for _, f := range b.Features {
		root := f.Name
		if f.Within != "" {
			root = f.Within
		}
		k := slices.IndexFunc(out, func(h hollow) bool {
			return h[0].Face == f.Face && (h[0].Name == root || h[0].Within != "" && h[0].Within == f.Within)
		})
		if k < 0 {
			out = append(out, hollow{f})
		} else {
			out[k] = append(out[k], f)
		}
	}
	return out
}

// cavityDrawings is a template for each cavity, with a file name of its own.
func cavityDrawings(b *body.Body, u measure.Unit) []Drawing {
	var out []Drawing
	taken := map[string]bool{}
	for i, h := range hollows(b) {
		slug := strings.Join(strings.FieldsFunc(strings.ToLower(h[0].Name), func(r rune) bool {
			return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9')
		}), "-")
		slug = strings.TrimSuffix(slug[:min(len(slug), 60)], "-cavity")
		if slug == "" { // a name in other letters
			slug = fmt.Sprint(i + 1)
		}
		name := "cavity-" + slug
		for n := 2; taken[name]; n++ {
			name = fmt.Sprintf("cavity-%s-%d", slug, n)
		}
		taken[name] = true
		out = append(out, Drawing{Name: name, Scene: cavityTemplate(b, h, u), Titled: true})
	}
	return out
}

// How far from a cavity its template shows what is round it, and how far off
// the centreline may lie to be on the sheet.
const (
	cavityMargin  = 14.0
	cavityToAxis  = 120.0
	sharpestCurve = 35 * math.Pi / 180 // a turn of a ring beyond this is a corner
)

// cavityTemplate is one cavity at full size, as seen on the face it is cut
// from: its rings with their depths, the lines by which it is laid on the body,
// and the drill centres in it.
func cavityTemplate(b *body.Body, h hollow, u measure.Unit) Scene {
	face := h[0].Face
	s := Scene{Name: "cavity template, " + h[0].Name, Frame: bodyFrame(face), FromBelow: face == body.Back}
	k := instrument{body: b, face: face, at: plainFront}
	if face == body.Back {
		k.at = mirroredBack
	}
	within := func(f body.Feature) geom.Polygon { // the body
		if f.CutsEdge {
			return f.Ring.Clipped(geom.HalfPlane{At: b.Joint, Along: geom.V(0, -1)})
		}
		return f.Ring
	}
	box := geom.EmptyBox()
	for _, f := range h {
		box = box.Union(k.ring(within(f), 0).Bounds())
	}
	mid := box.Centre()
	view := box.Grow(cavityMargin)
	axis := view.Min.Y <= cavityToAxis-cavityMargin && view.Max.Y >= cavityMargin-cavityToAxis
	if axis {
		view = view.Union(geom.Bounds(geom.Pt(mid.X, -8), geom.Pt(mid.X, 8)))
	}

	// What lies round it.
	line := pen(colourAxis, penThin, dashAxis...)
	legend := []Sample{{pen(colourCavity, penStrong), "cavity"}, {line, "lines to lay it on by"}}
	if edge := clippedLine(k.ring(b.Ring, 0), view); len(edge.Parts) > 0 {
		legend = append(legend, Sample{pen(colourCut, penMedium), "finished outline"})
		s.Add(Item{Layer: Body, Shape: edge, Stroke: pen(colourCut, penMedium), ID: "body-outline", Class: "body", Title: "finished outline"})
	}
	var l Labels
	for i, f := range b.Features {
		if slices.ContainsFunc(h, func(g body.Feature) bool { return g.Name == f.Name }) {
			it := k.feature(f, i)
			it.Stroke.Width = penStrong
			s.Add(it)
		}
	}
	n := 0
	var rows [][]string
	for i, o := range b.Holes {
		number := ""
		if o.Face == face && upright(o) {
			n++ // as on the face's sheet
			number = fmt.Sprint(n)
		}
		if o.Face != face && !o.Through || !upright(o) || !slices.ContainsFunc(h, func(f body.Feature) bool { return f.Ring.Locate(o.A.Plan()) != geom.Outside }) {
			continue
		}
		s.Add(k.hole(o, i)...)
		at := k.at(o.A.X, o.A.Y, o.A.Z)
		l.KeepBox(Circle{Centre: at, Radius: o.Diameter/2 + 0.4}.Bounds())
		deep := size(o.Length(), u) + " deep"
		if o.Through {
			deep = "through"
		}
		if number != "" {
			if items, ok := l.Around(Text{Words: number, Height: 1.8, Halo: 0.4, Bold: true}, at, o.Diameter/2+1, o.Diameter/2+16); ok {
				s.Add(items...)
			}
		}
		rows = append(rows, []string{number, o.Name + ", from the " + string(o.Face), size(o.A.X, u), size(o.A.Y, u), "Ø " + size(o.Diameter, u), deep})
	}

	// The lines by which it is laid on: one square to the centreline, and the
	// centreline or a line along it.
	s.Add(Line(Centreline, line, geom.Pt(mid.X, view.Min.Y), geom.Pt(mid.X, view.Max.Y)))
	v := mid.Y
	if axis {
		v = 0
	}
	along := Line(Centreline, line, geom.Pt(view.Min.X, v), geom.Pt(view.Max.X, v))
	along.ID, along.Title = "centreline", "the instrument's centreline"
	if !axis {
		along.ID, along.Title = "", "along the centreline"
	}
	s.Add(along)
	l.KeepLine(geom.Pt(view.Min.X, v), geom.Pt(view.Max.X, v), 0.2)
	body0 := func(y float64) float64 { // the body's v at the drawing's y
		if face == body.Back {
			return -y
		}
		return y
	}
	name := "centreline, v 0"
	if !axis {
		name = "v " + size(body0(v), u)
	}
	mark := Text{Height: 2, Halo: 0.5, Rise: Middle}
	mark.Words, mark.At, mark.Align = name, geom.Pt(view.Max.X+1.5, v), Left
	s.Add(Item{Layer: Note, Shape: mark, Fill: Fill{Colour: colourAxis}})
	mark.Words, mark.At, mark.Align, mark.Rise = "u "+size(mid.X, u), geom.Pt(mid.X, view.Max.Y+1.5), Centre, Baseline
	s.Add(Item{Layer: Note, Shape: mark, Fill: Fill{Colour: colourAxis}})

	// Names and depths, the widest part's last, as it has most room.
	lines := map[string]string{}
	for _, f := range h {
		lines[f.Name] = f.Name + ", " + k.depth(f, u)
	}
	for i := len(h) - 1; i >= 0; i-- {
		ring := k.ring(h[i].Ring, 0)
		c, r := ring.Moments().Centroid(), ring.Bounds()
		t := Text{Words: lines[h[i].Name], Height: 2, Halo: 0.5, Align: Centre, Rise: Middle}
		var places []geom.Point
		for _, dy := range []float64{0, 5, -5, 10, -10, 15, -15} {
			places = append(places, c.Add(geom.Vec{X: 0.2 * r.Width(), Y: dy}), c.Add(geom.Vec{X: -0.2 * r.Width(), Y: dy}), c.Add(geom.Vec{Y: dy}))
		}
		if i > 0 {
			places = []geom.Point{{X: c.X, Y: r.Max.Y + 2.5}, {X: c.X, Y: r.Min.Y - 2.5}, {X: c.X, Y: r.Max.Y + 6}, {X: c.X, Y: r.Min.Y - 6}}
		}
		if t, ok := l.Place(t, places...); ok {
			s.Add(Item{Layer: Note, Shape: t, Fill: Fill{Colour: colourCavity}})
		}
	}
	s.Add(LinearDimension(geom.Pt(box.Min.X, view.Min.Y), geom.Pt(box.Max.X, view.Min.Y), geom.Vec{X: 1}, -6, size(box.Width(), u))...)
	up := func(from, to, offset float64) {
		s.Add(LinearDimension(geom.Pt(view.Min.X, from), geom.Pt(view.Min.X, to), geom.Vec{Y: 1}, offset, size(to-from, u))...)
	}
	up(box.Min.Y, box.Max.Y, 6)
	if axis && box.Min.Y > 3 {
		up(0, box.Min.Y, 15)
	} else if axis && box.Max.Y < -3 {
		up(box.Max.Y, 0, 15)
	}

	if len(rows) > 0 {
		s.Add(table(geom.Pt(view.Min.X, s.Bounds().Min.Y-3), []string{"", "drill centres in it", "u", "v", "drill", "depth"}, rows, 2)...)
	}

	where := fmt.Sprintf("%s from the scale point toward the neck (u %s)", size(-mid.X, u), size(mid.X, u))
	switch {
	case math.Abs(mid.X) < 0.05:
		where = "the scale point"
	case mid.X > 0:
		where = fmt.Sprintf("%s from the scale point toward the tail (u %s)", size(mid.X, u), size(mid.X, u))
	}
	beside := ""
	if !axis {
		beside = ", " + size(math.Abs(v), u) + " from it"
	}
	var words []string
	for _, f := range h {
		r := within(f).Bounds()
		words = append(words, fmt.Sprintf("%s: %s; %s along the centreline, %s across; tightest corner %s.", capital(f.Name), k.depthAndCarving(f, u), size(r.Width(), u), size(r.Height(), u), k.corner(f.Ring, u)))
	}
	words = append(words, fmt.Sprintf("Lay the line across at %s, the other along the centreline%s.", where, beside))
	if face == body.Back {
		words = append(words, "Seen from the back: lay this sheet, printed side up, on the back of the body.")
	}
	words = append(words,
		"Depths are from the flat face, before it is carved. Template: open it to this line for a bit whose bearing is as wide as the bit; for a guide bush, wider all round by half of what the bush is wider than the bit. A corner takes a bit of at most twice its radius.")
	if slices.ContainsFunc(h, func(f body.Feature) bool { return f.CutsEdge }) {
		words = append(words, "It runs out through the edge: clamp a scrap of wood there, so that nothing tears out.")
	}
	words = append(words, "Try template and depth on scrap. Clamp the work, take shallow passes, and follow the router maker's instructions; eye, ear and dust protection.")
	s.titleBlock(capital(h[0].Name)+", cut from the "+string(face), words, legend)
	return s
}

// clippedLine is what of a ring's line lies in a box.
func clippedLine(g geom.Polygon, box geom.Box) Path {
	var path Path
	frame := box.Polygon()
	var run []geom.Point
	end := func() {
		if len(run) > 1 {
			path.Parts = append(path.Parts, Polyline(run...).Parts...)
		}
		run = nil
	}
	for i, p := range g {
		for _, part := range inside(p, g[(i+1)%len(g)], frame) {
			if len(run) == 0 || run[len(run)-1].Distance(part[0]) > 1e-9 {
				end()
				run = append(run, part[0])
			}
			run = append(run, part[1])
		}
	}
	end()
	return path
}

// corner words the smallest radius by which a ring turns inside: what the bit
// must reach. Corners outside the body are in air.
func (k instrument) corner(g geom.Polygon, u measure.Unit) string {
	least := math.Inf(1)
	for i, p := range g {
		if k.body.Ring.Locate(p) == geom.Outside {
			continue
		}
		in, on := p.Sub(g[(i+len(g)-1)%len(g)]), g[(i+1)%len(g)].Sub(p)
		turn := math.Atan2(in.Cross(on), in.Dot(on))
		switch {
		case turn > sharpestCurve:
			return "sharp: square it by chisel"
		case turn > 1e-6:
			least = math.Min(least, math.Min(in.Len(), on.Len())/(2*math.Sin(turn/2)))
		}
	}
	return "radius " + size(least, u)
}
