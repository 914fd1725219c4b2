package sheet

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/layout/slab"
)

// slabFrame words the slab frame for a drawing of its top, or of its bottom as
// seen from below.
func slabFrame(below bool) string {
	const frame = "slab frame, mm; origin at the datum end on the slab's centreline, x along the slab's length, y to the left seen on the top face"
	if below {
		return frame + "; drawn as seen from below: the drawing's y is minus the slab's y"
	}
	return frame
}

// seen maps the slab's plan to a drawing of its top, or of its bottom as seen
// from below.
func seen(below bool) geom.Rigid {
	if below {
		return geom.FlipY()
	}
	return geom.Identity()
}

// Wood is the slab alone, without words, in the slab frame: strips in their
// colours, glue lines, outline, chambers, fasteners and flaws. It is what the
// page shows under the body.
func Wood(s *slab.Slab, below bool) Scene {
	out := Scene{Name: "slab", Frame: slabFrame(below), FromBelow: below}
	out.wood(s, below, onScreen)
	return out
}

// How strongly the woods' colours cover: on the screen nearly as they are, on
// paper pale, so that lines and words stay clear and ink is saved.
const (
	onScreen = 0.92
	onPaper  = 0.42
)

// outlineBound is how closely the slab's outline is followed where strips and
// glue lines are cut to it, mm.
const outlineBound = 0.01

func (s *Scene) wood(sl *slab.Slab, below bool, strong float64) {
	m := seen(below)
	path := sl.Outline()
	ring := path.Polygon(outlineBound)
	cells := sl.Cells()
	for i := 0; i < len(cells); {
		// The two halves of a piece that meets a chevron are one thing drawn.
		c := cells[i]
		var shape Path
		for ; i < len(cells) && cells[i].Strip == c.Strip && cells[i].Piece == c.Piece; i++ {
			if region := ring.ClippedTo(cells[i].Region); len(region) > 2 {
				shape.Parts = append(shape.Parts, geom.PathOf(region.Moved(m)))
			}
		}
		if len(shape.Parts) == 0 {
			continue
		}
		s.Add(Item{Layer: Strip, Shape: shape, Fill: Fill{Colour: sl.Colour(c.Wood), Opacity: strong},
			ID: fmt.Sprintf("cell-%d", i), Class: "wood", Title: fmt.Sprintf("%s: %s", sl.StripName(c.Strip), c.Wood.Wood)})
	}
	for i, g := range sl.GlueLines() {
		width := penHair
		class := "glue-line"
		if g.Transition {
			width, class = penThin, "glue-line transition"
		}
		for k, part := range inside(g.A, g.B, ring) {
			it := Line(GlueLine, pen(colourGlue, width), m.Apply(part[0]), m.Apply(part[1]))
			it.ID, it.Class, it.Title = fmt.Sprintf("glue-line-%d-%d", i+1, k+1), class, g.Name
			s.Add(it)
		}
	}
	s.Add(Item{Layer: Slab, Shape: Curve(path.Moved(m)), Stroke: pen(colourInk, penStrong), ID: "slab-outline", Title: "slab outline"})
	for i, c := range sl.Chambers {
		y0, y1 := sl.Band(c.Strip)
		box := geom.Polygon{{X: c.From, Y: y0}, {X: c.To, Y: y0}, {X: c.To, Y: y1}, {X: c.From, Y: y1}}
		it := Item{Layer: Chamber, Shape: Ring(box.Moved(m)), ID: fmt.Sprintf("chamber-%d", i+1), Class: "chamber " + string(c.State),
			Title: fmt.Sprintf("%s chamber %s, %.1f to %.1f mm", c.State, chamberName(c, i), c.From, c.To)}
		if c.State == slab.Cut {
			it.Stroke = pen(colourChamber, penMedium)
			it.Hatch = Hatch{Angle: math.Pi / 4, Spacing: 4, Line: pen(colourChamber, penHair)}
		} else {
			it.Stroke = pen(colourChamber, penThin, dashHidden...)
			it.Fill = Fill{Colour: colourChamber, Opacity: 0.08}
		}
		s.Add(it)
	}
	for i, f := range sl.Fasteners {
		s.fastener(f, fmt.Sprintf("fastener-%d", i+1), m)
	}
	for i, f := range sl.Fittings {
		it := Item{Layer: Fastener, Stroke: pen(colourAxis, penThin), Fill: Fill{Colour: colourAxis, Opacity: 0.12}, ID: fmt.Sprintf("fitting-%d", i+1), Class: "fitting", Title: f.Kind + " " + f.Name}
		if f.Forbids {
			it.Class, it.Stroke.Width = "fitting forbids", penMedium
			it.Hatch = Hatch{Angle: -math.Pi / 4, Spacing: 3, Line: pen(colourAxis, penHair)}
		}
		if len(f.Ring) > 2 {
			it.Shape = Ring(f.Ring.Moved(m))
		} else {
			it.Shape = Circle{Centre: m.Apply(f.At), Radius: f.Radius}
		}
		s.Add(it)
	}
	for i, f := range sl.Flaws {
		it := Item{Layer: Flaw, Stroke: pen(colourWarn, penMedium), Hatch: Hatch{Angle: -math.Pi / 4, Spacing: 2, Line: pen(colourWarn, penHair)},
			ID: fmt.Sprintf("flaw-%d", i+1), Class: "flaw", Title: f.Kind + " " + f.Name}
		if len(f.Ring) > 2 {
			it.Shape = Ring(f.Ring.Moved(m))
		} else {
			it.Shape = Circle{Centre: m.Apply(f.At), Radius: f.Radius}
		}
		s.Add(it)
	}
}

func chamberName(c slab.Chamber, i int) string {
	if c.Name != "" {
		return c.Name
	}
	return fmt.Sprint(i + 1)
}

// fastener draws the shank as it lies in plan and the head where it went in.
func (s *Scene) fastener(f slab.Fastener, id string, m geom.Rigid) {
	a := f.At.Plan()
	b := f.At.Add(f.Direction.Unit().Mul(f.Length)).Plan()
	title := fmt.Sprintf("%s %s, Ø %.1f × %.1f mm", f.Kind, f.Name, f.Shank, f.Length)
	line := pen(colourWarn, penThin)
	if d := b.Sub(a); d.Len() > 0.5 {
		n := d.Unit().Left().Mul(f.Shank / 2)
		ring := geom.Polygon{a.Add(n), a.Add(n.Neg()), b.Add(n.Neg()), b.Add(n)}
		s.Add(Item{Layer: Fastener, Shape: Ring(ring.Moved(m)), Stroke: line, Fill: Fill{Colour: colourWarn, Opacity: 0.25}, ID: id + "-shank", Class: "fastener", Title: title})
	}
	r := math.Max(f.Shank, f.Head) / 2
	s.Add(Item{Layer: Fastener, Shape: Circle{Centre: m.Apply(a), Radius: r}, Stroke: line, Fill: Fill{Colour: colourWarn, Opacity: 0.25}, ID: id, Class: "fastener", Title: title},
		Cross(Fastener, line, m.Apply(a), r+1.2, 0))
}

// stripNames writes the strips' names into them, near the slab's datum end,
// thin strips with a leader. Names that find no room are left out.
func (s *Scene) stripNames(sl *slab.Slab, below bool, l *Labels, u measure.Unit) {
	m := seen(below)
	ring := sl.Outline().Polygon(outlineBound)
	box := ring.Bounds()
	for i, t := range sl.Strips {
		y0, y1 := sl.Band(i)
		mid := (y0 + y1) / 2
		parts := inside(geom.Point{X: box.Min.X - 1, Y: mid}, geom.Point{X: box.Max.X + 1, Y: mid}, ring)
		if len(parts) == 0 {
			continue
		}
		a, b := parts[0][0], parts[len(parts)-1][1]
		woods := ""
		for k, p := range t.Pieces {
			if k > 0 {
				woods += " | "
			}
			woods += p.Wood
		}
		words := Text{Words: fmt.Sprintf("%s: %s, %s", numbered(sl, i), woods, size(t.Thickness(), u)), Height: 2, Halo: 0.5}
		if t.Thickness() < 4 {
			words.Height = 1.6
		}
		w := words.Width()
		lift := -0.5 * words.Height
		placed := false
		high := words.Height*0.75 + 0.3
		room := func(x float64) bool { // the words lie in the strip and in the slab
			for _, q := range []geom.Point{{X: x, Y: mid - high}, {X: x, Y: mid + high}, {X: x + w, Y: mid - high}, {X: x + w, Y: mid + high}} {
				if ring.Locate(q) != geom.Inside {
					return false
				}
			}
			return true
		}
		step := math.Max(10, (b.X-a.X-w-28)/60)
		for x := a.X + 14; x+w < b.X-14 && !placed; x += step {
			if !room(x) {
				continue
			}
			p := m.Apply(geom.Point{X: x, Y: mid})
			p.Y += lift
			if k, ok := l.Place(words, p); ok {
				s.Add(Item{Layer: Note, Shape: k, Fill: Fill{Colour: colourInk}})
				placed = true
			}
		}
		if placed {
			continue
		}
		for x := a.X + 10; x < b.X-10 && !placed; x += 15 {
			items, ok := l.Around(words, m.Apply(geom.Point{X: x, Y: mid}), 1, 10)
			if ok {
				s.Add(items...)
				placed = true
			}
		}
	}
}

// numbered is a strip's number and name; "strip 3" where it has none.
func numbered(sl *slab.Slab, strip int) string {
	if sl.Strips[strip].Name == "" {
		return sl.StripName(strip)
	}
	return fmt.Sprintf("%d %s", strip+1, sl.Strips[strip].Name)
}

// SlabPlan is the slab from above (or from below): every strip named, glue
// lines and transitions measured from the datum end, chambers with their
// stations.
func SlabPlan(sl *slab.Slab, below bool, u measure.Unit) Scene {
	s := Scene{Name: "slab plan", Frame: slabFrame(below), FromBelow: below}
	s.wood(sl, below, onPaper)
	m := seen(below)
	box := s.Bounds()
	var l Labels
	s.Add(Line(Centreline, pen(colourSoft, penThin, dashAxis...), geom.Point{X: box.Min.X - 8}, geom.Point{X: box.Max.X + 8}))
	for i, c := range sl.Chambers {
		y0, y1 := sl.Band(c.Strip)
		a, b := m.Apply(geom.Point{X: c.From, Y: (y0 + y1) / 2}), m.Apply(geom.Point{X: c.To, Y: (y0 + y1) / 2})
		words := Text{Words: chamberName(c, i), Height: math.Min(2, 0.3*math.Abs(y1-y0)+0.6), Halo: 0.4}
		words.Rise = Middle
		if t, ok := l.Along(words, a, b, 0); ok {
			s.Add(Item{Layer: Note, Shape: t, Fill: Fill{Colour: colourChamber}})
		}
	}
	for i, f := range sl.Flaws {
		words := Text{Words: named(f.Name, f.Kind, i), Height: 2, Halo: 0.4}
		items, _ := l.Around(words, m.Apply(flawPlace(f)), math.Max(f.Radius, 2)+1, 20)
		s.Add(items...)
	}
	for i, f := range sl.Fittings {
		at, reach := f.At, f.Radius
		if len(f.Ring) > 0 {
			at, reach = f.Ring.Bounds().Centre(), f.Ring.Bounds().Height()/2
		}
		items, _ := l.Around(Text{Words: named(f.Name, f.Kind, i), Height: 2, Halo: 0.4}, m.Apply(at), reach+1, reach+20)
		s.Add(items...)
	}
	for i, f := range sl.Fasteners {
		items, _ := l.Around(Text{Words: named(f.Name, f.Kind, i), Height: 2, Halo: 0.4}, m.Apply(f.At.Plan()), math.Max(f.Shank, f.Head)/2+2, 20)
		s.Add(items...)
	}
	s.stripNames(sl, below, &l, u)
	s.stations(slabStations(sl), sl, below, u)
	legend := []Sample{
		{pen(colourInk, penStrong), "slab outline"}, {pen(colourGlue, penHair), "glue line"},
		{pen(colourChamber, penMedium), "cut chamber"}, {pen(colourChamber, penThin, dashHidden...), "planned chamber"},
		{pen(colourWarn, penMedium), "fastener, flaw"},
	}
	if len(sl.Fittings) > 0 {
		legend = append(legend, Sample{pen(colourAxis, penThin), "fitting (hatched: no instrument there)"})
	}
	in := chamferIn(sl, map[bool]string{false: "top", true: "bottom"}[below])
	if in > 0 {
		for i, g := range geom.Offset(sl.Outline().Polygon(outlineBound), -in) {
			it := Item{Layer: Slab, Shape: Ring(g.Moved(m)), Stroke: pen(colourCut, penHair, 4, 2), Title: "chamfer line"}
			if i == 0 {
				it.ID = "chamfer"
			}
			s.Add(it)
		}
		legend = append(legend, Sample{pen(colourCut, penHair, 4, 2), "chamfer line, " + size(in, u) + " from the edge: gauge it before rounding"})
	}
	lines := []string{
		fmt.Sprintf("Length %s, stack width %s, %d strips. Strips are numbered from the right (lowest y).", size(sl.Length, u), size(sl.Width(), u), len(sl.Strips)),
		"Stations are measured from the datum end. Cut and glue with the cautions of the tool and glue makers; wear eye, ear and dust protection.",
	}
	s.titleBlock("Slab plan", lines, legend)
	return s
}

// chamferIn is how far from the edge, on the face and on the side, the first
// flat is marked before a face's edges are rounded; 0 where they stay square.
func chamferIn(sl *slab.Slab, face string) float64 {
	for _, e := range sl.Edges() {
		if e.Face == face {
			return e.Rounds[0].Flats[0].ToInMm
		}
	}
	return 0
}

func named(name, kind string, i int) string {
	if name != "" {
		return name
	}
	return fmt.Sprintf("%s %d", kind, i+1)
}

func flawPlace(f slab.Flaw) geom.Point {
	if len(f.Ring) > 0 {
		return f.Ring.Bounds().Centre()
	}
	return f.At
}

// station is a place along the slab to be dimensioned from the datum end.
type station struct {
	x    float64
	from geom.Point // in the drawing, where the extension line begins
	name string
}

// slabStations are the transitions' joints on their strips' centrelines, and
// the slab's end.
func slabStations(sl *slab.Slab) []station {
	var list []station
	for i, t := range sl.Strips {
		y0, y1 := sl.Band(i)
		for _, tr := range t.Transitions {
			list = append(list, station{tr.At, geom.Point{X: tr.At, Y: (y0 + y1) / 2}, string(tr.Kind) + " transition, " + sl.StripName(i)})
		}
	}
	return append(list, station{sl.Length, geom.Point{X: sl.Length}, "slab length"})
}

// stations dimensions places along the slab below the drawing, each from the
// datum end, the shortest nearest to the wood.
func (s *Scene) stations(list []station, sl *slab.Slab, below bool, u measure.Unit) {
	m := seen(below)
	b := Scene{Items: s.On(Slab)}.Bounds()
	slices.SortStableFunc(list, func(a, b station) int { return cmp.Compare(a.x, b.x) })
	y := b.Min.Y - 6
	foot := sl.Outline().Polygon(outlineBound)
	for i, k := range list {
		if i > 0 && math.Abs(k.x-list[i-1].x) < 0.05 && k.name == list[i-1].name {
			continue
		}
		from := m.Apply(k.from)
		if k.x == sl.Length { // begin where the end is
			from = endOf(foot, sl.Length, m)
		}
		a := endOf(foot, 0, m)
		s.Add(LinearDimension(geom.Point{X: 0, Y: math.Min(a.Y, 0)}, geom.Point{X: k.x, Y: from.Y}, geom.Vec{X: 1}, y-math.Min(a.Y, 0), k.name+" "+size(k.x, u))...)
		y -= 4.6
	}
}

// endOf is the lowest point of the slab's outline, as drawn, near a station at
// its end.
func endOf(ring geom.Polygon, x float64, m geom.Rigid) geom.Point {
	best := geom.Point{X: x, Y: math.Inf(1)}
	for _, p := range ring {
		if q := m.Apply(p); math.Abs(p.X-x) < 1 && q.Y < best.Y {
			best.Y = q.Y
		}
	}
	if math.IsInf(best.Y, 1) {
		best.Y = 0
	}
	return best
}

// SlabSide is the slab seen from the side: top and bottom profile with the
// chambers between their skins, each strip's own in dashes, x along the slab
// and z up from the bench.
func SlabSide(sl *slab.Slab, u measure.Unit) Scene {
	s := Scene{Name: "slab side", Frame: "side view of the slab, mm; origin at the datum end on the bench, x along the slab's length, the drawing's y is z, up from the bench"}
	box := sl.Outline().Bounds()
	x0, x1 := box.Min.X, box.Max.X
	top := curveOf(sl.TopAt, x0, x1)
	bottom := curveOf(sl.BottomAt, x0, x1)
	ring := append(geom.Polygon{}, bottom...)
	for i := len(top) - 1; i >= 0; i-- {
		ring = append(ring, top[i])
	}
	s.Add(Item{Layer: Slab, Shape: Ring(ring), Stroke: pen(colourInk, penStrong), Fill: Fill{Colour: "#e9dcc4", Opacity: 0.6}, ID: "slab-side"})
	s.Add(Line(Note, pen(colourSoft, penThin), geom.Point{X: x0 - 10}, geom.Point{X: x1 + 10}))
	for i, c := range sl.Chambers {
		up := curveOf(under(sl.TopAt, -c.TopSkin), c.From, c.To)
		down := curveOf(under(sl.BottomAt, c.BottomSkin), c.From, c.To)
		g := append(geom.Polygon{}, down...)
		for k := len(up) - 1; k >= 0; k-- {
			g = append(g, up[k])
		}
		it := Item{Layer: Chamber, Shape: Ring(g), Class: "chamber " + string(c.State), Title: fmt.Sprintf("%s, strip %d", chamberName(c, i), c.Strip+1)}
		if c.State == slab.Cut {
			it.Stroke = pen(colourChamber, penMedium)
		} else {
			it.Fill = Fill{Colour: colourChamber, Opacity: 0.05}
		}
		s.Add(it)
	}
	s.plannedBehindEachOther(sl)
	for _, f := range sl.Fasteners {
		d := f.Direction.Unit().Mul(f.Length)
		a := geom.Point{X: f.At.X, Y: f.At.Z}
		b := geom.Point{X: f.At.X + d.X, Y: f.At.Z + d.Z}
		if n := b.Sub(a).Unit().Left().Mul(f.Shank / 2); n.Len() > 0 {
			s.Add(Item{Layer: Fastener, Shape: Ring(geom.Polygon{a.Add(n), a.Add(n.Neg()), b.Add(n.Neg()), b.Add(n)}), Stroke: pen(colourWarn, penThin), Fill: Fill{Colour: colourWarn, Opacity: 0.25}, Title: f.Name})
		}
	}
	// Heights at the profile's stations, on the outside.
	heights := map[float64]bool{}
	for _, st := range append(append([]slab.Station{}, sl.Profile.Top...), sl.Profile.Bottom...) {
		if !heights[st.X] && st.X >= x0 && st.X <= x1 {
			heights[st.X] = true
			a, b := geom.Point{X: st.X, Y: sl.BottomAt(st.X)}, geom.Point{X: st.X, Y: sl.TopAt(st.X)}
			s.Add(Line(Note, pen(colourSoft, penHair, 1, 1), a, b))
			s.Add(Item{Layer: Note, Shape: Text{Words: "top " + size(b.Y, u), At: b.Add(geom.Vec{Y: 2}), Height: 2.2, Align: Centre, Halo: 0.5}, Fill: Fill{Colour: colourInk}},
				Item{Layer: Note, Shape: Text{Words: "bottom " + size(a.Y, u), At: geom.Point{X: st.X, Y: -2}, Height: 2.2, Align: Centre, Rise: Top}, Fill: Fill{Colour: colourInk}},
				Item{Layer: Note, Shape: Text{Words: "at " + size(st.X, u), At: geom.Point{X: st.X, Y: -5.5}, Height: 2, Align: Centre, Rise: Top}, Fill: Fill{Colour: colourSoft}})
		}
	}
	legend := []Sample{{pen(colourInk, penStrong), "profile on the centreline"}, {pen(colourChamber, penMedium), "cut chamber"}, {pen(colourChamber, penThin, dashHidden...), "planned chamber"}}
	for _, e := range []struct {
		face  string
		curve []geom.Point
		down  float64
	}{{"top", top, -1}, {"bottom", bottom, 1}} {
		if in := chamferIn(sl, e.face); in > 0 {
			line := make([]geom.Point, len(e.curve))
			for i, q := range e.curve {
				line[i] = q.Add(geom.Vec{Y: e.down * in})
			}
			it := Line(Slab, pen(colourCut, penHair, 4, 2), line...)
			it.ID, it.Title = "chamfer-"+e.face, "chamfer line"
			s.Add(it)
			legend = append(legend, Sample{pen(colourCut, penHair, 4, 2), "chamfer line, " + e.face + ": " + size(in, u) + " from the face"})
		}
	}
	s.titleBlock("Slab side", []string{"Seen from the right (from −y). Of the edge rounding, the lines to gauge on the sides before the first flat is planed."}, legend)
	return s
}

// plannedBehindEachOther draws the edges of planned chambers as seen from the
// side, each line once: strips' chambers lie behind each other, and dashes over
// dashes would look whole.
func (s *Scene) plannedBehindEachOther(sl *slab.Slab) {
	line := pen(colourChamber, penThin, dashHidden...)
	type skins struct{ top, bottom float64 }
	ends := map[skins][]float64{} // of all chambers with such skins
	var order []skins
	for _, c := range sl.Chambers {
		if c.State == slab.Cut {
			continue
		}
		k := skins{c.TopSkin, c.BottomSkin}
		if len(ends[k]) == 0 {
			order = append(order, k)
		}
		ends[k] = append(ends[k], c.From, c.To)
	}
	for _, k := range order {
		roof, floor := under(sl.TopAt, -k.top), under(sl.BottomAt, k.bottom)
		var ups []cut // where chambers begin and end, to join those that overlap
		for i := 0; i < len(ends[k]); i += 2 {
			ups = append(ups, cut{ends[k][i], 1}, cut{ends[k][i+1], -1})
		}
		for _, g := range spans(ups) {
			s.Add(Line(Chamber, line, curveOf(roof, g[0], g[1])...), Line(Chamber, line, curveOf(floor, g[0], g[1])...))
		}
		xs := slices.Clone(ends[k])
		slices.Sort(xs)
		for i, x := range xs {
			if i == 0 || x-xs[i-1] > 0.2 {
				s.Add(Line(Chamber, line, geom.Point{X: x, Y: floor(x)}, geom.Point{X: x, Y: roof(x)}))
			}
		}
	}
}

// under moves a height by a skin that is measured square to the face: along z
// that is skin·√(1 + slope²), to first order of the curve's bend.
func under(height func(float64) float64, skin float64) func(float64) float64 {
	return func(x float64) float64 {
		const h = 0.01
		slope := (height(x+h) - height(x-h)) / (2 * h)
		return height(x) + skin*math.Sqrt(1+slope*slope)
	}
}

// curveOf samples a height along the slab finely enough for a drawing: chords
// of at most 5 mm leave a radius of 1 m by 0.003 mm.
func curveOf(height func(float64) float64, x0, x1 float64) []geom.Point {
	n := max(1, int(math.Ceil((x1-x0)/5)))
	out := make([]geom.Point, 0, n+1)
	for i := range n + 1 {
		x := x0 + (x1-x0)*float64(i)/float64(n)
		out = append(out, geom.Point{X: x, Y: height(x)})
	}
	return out
}

// StackEnd is the stack of strips seen from its datum end: woods, thicknesses
// and glue lines across, at the slab's height there. y of the slab runs to the
// left, as it does for someone who looks along +x.
func StackEnd(sl *slab.Slab, u measure.Unit) Scene {
	s := Scene{Name: "stack end", Frame: "end view at the datum end looking along +x, mm; the drawing's x is minus the slab's y (left is left), the drawing's y is z, up from the bench"}
	z0, z1 := sl.BottomAt(0), sl.TopAt(0)
	if sl.Length > 0 {
		least, greatest := math.Inf(1), math.Inf(-1)
		for _, p := range curveOf(sl.TopAt, 0, sl.Length) {
			greatest = math.Max(greatest, p.Y)
		}
		for _, p := range curveOf(sl.BottomAt, 0, sl.Length) {
			least = math.Min(least, p.Y)
		}
		z0, z1 = least, greatest
	}
	w := sl.Width()
	var rows [][]string
	for i, t := range sl.Strips {
		y0, y1 := sl.Band(i)
		box := geom.Box{Min: geom.Point{X: -y1, Y: z0}, Max: geom.Point{X: -y0, Y: z1}}
		colour := colourFaint
		woods := ""
		for k, p := range t.Pieces {
			if k == 0 {
				colour = sl.Colour(p)
			} else {
				woods += " | "
			}
			woods += p.Wood
		}
		s.Add(Item{Layer: Strip, Shape: Ring(box.Polygon()), Fill: Fill{Colour: colour, Opacity: 0.75}, ID: fmt.Sprintf("strip-%d", i+1), Title: sl.StripName(i)})
		if i > 0 {
			s.Add(Line(GlueLine, pen(colourGlue, penThin), geom.Point{X: -y0, Y: z0}, geom.Point{X: -y0, Y: z1}))
		}
		mid := -(y0 + y1) / 2
		name := Text{Words: numbered(sl, i), Height: 2.2, Angle: math.Pi / 2, Align: Left, Rise: Middle, At: geom.Point{X: mid, Y: z1 + 4}}
		s.Add(Line(Note, pen(colourSoft, penHair), geom.Point{X: mid, Y: z1 - 2}, geom.Point{X: mid, Y: z1 + 3}))
		s.Add(Item{Layer: Note, Shape: name, Fill: Fill{Colour: colourInk}})
		rough := ""
		for k, p := range t.Pieces {
			switch {
			case p.Rough == 0:
			case rough == "":
				rough = size(p.Rough, u)
			case p.Rough != t.Pieces[k-1].Rough:
				rough += " | " + size(p.Rough, u)
			}
		}
		what := woods
		if t.Name != "" {
			what = t.Name + ": " + woods
		}
		rows = append(rows, []string{fmt.Sprint(i + 1), what, size(t.Thickness(), u), rough})
	}
	s.Add(table(geom.Point{X: -w / 2, Y: z0 - 18}, []string{"", "strip", "thickness", "rough"}, rows, 2.4)...)
	s.Add(Item{Layer: Slab, Shape: Ring(geom.Box{Min: geom.Point{X: -w / 2, Y: z0}, Max: geom.Point{X: w / 2, Y: z1}}.Polygon()), Stroke: pen(colourInk, penStrong), ID: "stack"})
	s.Add(Line(Centreline, pen(colourAxis, penThin, dashAxis...), geom.Point{Y: z0 - 4}, geom.Point{Y: z1 + 3}))
	s.Add(LinearDimension(geom.Point{X: -w / 2, Y: z0}, geom.Point{X: w / 2, Y: z0}, geom.Vec{X: 1}, -9, size(w, u))...)
	s.Add(LinearDimension(geom.Point{X: w / 2, Y: z0}, geom.Point{X: w / 2, Y: z1}, geom.Vec{Y: 1}, -9, size(z1-z0, u))...)
	s.titleBlock("Stack, end view", []string{"Strips are numbered from the right (lowest y). Height is that of the blank: from the lowest bottom to the highest top."}, nil)
	return s
}
