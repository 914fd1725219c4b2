package sheet

import (
	"fmt"
	"math"
	"strings"

	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/layout/place"
)

// numberEvery is how many cells of a planing map lie from one number to the
// next: 25 mm, or 1 in.
const numberEvery = 5

// PlaningMap is the 1:1 drawing of the wood to plane off one face of the slab
// over the placed body: depths square to the body, on a grid along its
// centreline and across it and as lines of equal depth, where planing reaches
// the finished plane first, and the wedges that make that plane level on the
// bench. It lies on the slab as the overlay does. o.Planing must be there.
func (o Overlay) PlaningMap(bottom bool) Scene {
	s := Scene{Name: "planing, top face", Frame: slabFrame(bottom), FromBelow: bottom}
	if bottom {
		s.Name = "planing, bottom face"
	}
	s.wood(o.Slab, bottom, onPlaning)
	m := seen(bottom)
	var l Labels
	o.datums(&s, &l, m)
	r := o.removal(bottom)
	step := contourStep(r, o.Unit)
	o.depths(&s, &l, m, r, step, planingText, numberEvery)
	o.wedges(&s, &l, m)

	side, front := "top", "front"
	first := "Plane this face first: the bench then carries the slab by it, level, for the other."
	if bottom {
		side = "bottom"
		first = "Seen from below. Where the top is planed already, the slab lies on it without wedges, and this face is planed parallel to the bench."
	}
	lines := []string{
		fmt.Sprintf("Numbers are the depth from the slab's %s face down to the finished plane, square to it, %s, at the points beside them: every %s along the instrument's centreline and across it, from the scale point. %s", side, depthUnit(o.Unit), size(numberEvery*r.Step, o.Unit), contourWords(step, o.Unit)),
		fmt.Sprintf("Least %s, most %s. %s The body lies at pitch %s, roll %s.", size(r.Least.Value, o.Unit), size(r.Most.Value, o.Unit), leastWords(r), degrees(o.Placement.Pitch), degrees(o.Placement.Roll)),
		o.wedgeWords(), first,
		"To line up: at both datum stations the bold blue strokes lie on the real glue lines. Leave the finished plane for the last passes, and check the depth at the first and the last point. Follow the planer's and router's makers' instructions; hold the slab fast, and wear eye, ear and dust protection.",
	}
	if bottom != o.below() {
		front = "back"
	}
	lines[0] += fmt.Sprintf(" The finished plane is that of the body's flat %s: contours and edge rounding are cut into it afterwards, and cavities and holes are measured from it.", front)
	title := "Planing the " + side + " face"
	if o.Project != "" {
		title += " — " + o.Project
	}
	s.titleBlock(title, lines, []Sample{
		{pen(colourCut, penStrong), "where the body's sides meet this face"}, {pen(colourCavity, penMedium), "equal depth"},
		{pen(colourAxis, penThin, dashAxis...), "instrument's centreline"}, {pen(colourAxis, penBold), "datum on a glue line"},
		{pen(colourWarn, penMedium, dashHidden...), "wedge under the slab"},
	})
	return s
}

// PlaningPicture is the planing map of one face for the page: the body's
// outline, lines of equal depth and few large numbers.
func (o Overlay) PlaningPicture(bottom bool) Scene {
	s := Scene{Name: "planing", Frame: slabFrame(bottom), FromBelow: bottom}
	r := o.removal(bottom)
	var l Labels
	o.depths(&s, &l, seen(bottom), r, contourStep(r, o.Unit), pictureText, pictureEvery)
	return s
}

// On the page the map is some 300 pixels wide.
const (
	pictureText  = 13.0
	pictureEvery = 24
)

// onPlaning is how strongly the woods cover under the numbers.
const onPlaning = 0.16

// planingText is the height of a number's capital letters, mm.
const planingText = 2.0

// removal is the map of one face.
func (o Overlay) removal(bottom bool) place.Removal {
	if bottom {
		return o.Planing.Below
	}
	return o.Planing.Above
}

// AroundPlaning is the part of the slab's plan that the planing maps need.
func (o Overlay) AroundPlaning() geom.Box {
	b := o.Planing.Above.Outline.Bounds().Union(o.Planing.Below.Outline.Bounds())
	b.Min.X, b.Max.X = b.Min.X-datumReach-datumStroke, b.Max.X+datumReach+datumStroke
	for _, w := range o.Planing.Wedges {
		b = b.Include(w.At.Plan())
	}
	return b.Grow(10)
}

// seenBox is a box of the slab's plan as the drawing has it.
func seenBox(below bool, b geom.Box) geom.Box { return b.Polygon().Moved(seen(below)).Bounds() }

// depths draws outline, centreline, lines of equal depth and numbers.
func (o Overlay) depths(s *Scene, l *Labels, m geom.Rigid, r place.Removal, step, text float64, every int) {
	f := o.Placement.Frame()
	onFace := func(i, j int) geom.Point { return m.Apply(r.OnFace(f, i, j).Plan()) }
	s.Add(Item{Layer: Body, Shape: Ring(r.Outline.Moved(m)), Stroke: pen(colourCut, penStrong), ID: "body-outline", Class: "body", Title: "where the body's sides meet this face"})
	box := o.Body.Ring.Bounds()
	at := func(u float64) geom.Point { return m.Apply(f.Apply(u, 0, r.Plane).Plan()) }
	s.Add(Line(Centreline, pen(colourAxis, penThin, dashAxis...), at(box.Min.X-12), at(box.Max.X+12)))

	// The place where planing reaches the plane first, and where most comes off.
	mark := func(p geom.Point3, colour, words, class string) {
		q := m.Apply(p.Plan())
		s.Add(Item{Layer: Note, Shape: Circle{Centre: q, Radius: 1.5 + text/2}, Stroke: pen(colour, penBold), Class: class, Title: words})
		l.KeepBox(geom.Box{Min: q, Max: q}.Grow(1.5 + text/2))
		items, _ := l.Around(Text{Words: words, Height: text * 1.1, Halo: 0.3 * text, Bold: true}, q, 2+text*0.8, 30*text)
		for _, i := range items { // numbers keep their distance: these are larger
			if t, ok := i.Shape.(Text); ok {
				l.KeepBox(geom.Polygon(t.Box()).Bounds().Grow(0.4 * text))
			}
		}
		s.Add(items...)
	}
	uneven := r.Most.Value-r.Least.Value >= flatWithin
	switch {
	case r.BreaksThrough():
		mark(r.Least.At, colourCut, "breaks through: "+depth(r.Least.Value, o.Unit), "least breaks")
	case uneven:
		mark(r.Least.At, colourCut, "first here: "+depth(r.Least.Value, o.Unit), "least")
	}
	if uneven {
		mark(r.Most.At, colourAxis, "most: "+depth(r.Most.Value, o.Unit), "most")
	}

	// Numbers first take their places, then lines run under their white edges.
	whole := func(v float64) int { return int(math.Round(v / r.Step)) }
	for j := range r.NV {
		for i := range r.NU {
			v := r.At(i, j)
			if (whole(r.U0)+i)%every != 0 || (whole(r.V0)+j)%every != 0 || math.IsNaN(v) {
				continue
			}
			p, colour := onFace(i, j), colourInk
			if v < 0 {
				colour = colourCut
			}
			t := Text{Words: depth(v, o.Unit), Height: text, Rise: Middle, Halo: text / 4, Bold: v < 0}
			if placed, ok := l.Place(t, p.Add(geom.Vec{X: text / 2}), p.Add(geom.Vec{X: -text/2 - t.Width()}), p.Add(geom.Vec{X: -t.Width() / 2, Y: text * 1.2}), p.Add(geom.Vec{X: -t.Width() / 2, Y: -text * 1.2})); ok {
				s.Add(Item{Layer: Note, Shape: Circle{Centre: p, Radius: text / 6}, Fill: Fill{Colour: colour}, Class: "depth-point"},
					Item{Layer: Note, Shape: placed, Fill: Fill{Colour: colour}, Class: "depth"})
			}
		}
	}
	if step == 0 {
		return
	}
	for k := math.Ceil(r.Least.Value / step); k*step <= r.Most.Value; k++ {
		var shape Path
		for _, line := range contour(r, k*step, onFace) {
			shape.Parts = append(shape.Parts, Polyline(line...).Parts...)
		}
		if len(shape.Parts) > 0 {
			s.Add(Item{Layer: Body, Shape: shape, Stroke: pen(colourCavity, penMedium), Class: "contour", Title: "equal depth, " + depth(k*step, o.Unit)})
		}
	}
}

// wedges marks the places of the wedges under the slab.
func (o Overlay) wedges(s *Scene, l *Labels, m geom.Rigid) {
	if o.Planing.Flat() {
		return
	}
	for i, w := range o.Planing.Wedges {
		q := m.Apply(w.At.Plan())
		s.Add(Item{Layer: Note, Shape: Ring(geom.Box{Min: q, Max: q}.Grow(4).Polygon()), Stroke: pen(colourWarn, penMedium, dashHidden...), ID: fmt.Sprintf("wedge-%d", i+1), Class: "wedge", Title: "wedge, " + w.Name})
		l.KeepBox(geom.Box{Min: q, Max: q}.Grow(4))
		items, _ := l.Around(Text{Words: fmt.Sprintf("wedge %d: %s", i+1, onBench(w.Height, o.Unit)), Height: 2.2, Halo: 0.6, Bold: true}, q, 5.5, 60)
		s.Add(items...)
	}
}

func (o Overlay) wedgeWords() string {
	if o.Planing.Flat() {
		return "The slab lies on the bench, bottom down, as the body lies in it: no wedges."
	}
	var list []string
	for i, w := range o.Planing.Wedges {
		list = append(list, fmt.Sprintf("%d under the body's %s, %s", i+1, w.Name, onBench(w.Height, o.Unit)))
	}
	return "With the bottom on the bench, wedges make the body's faces level: " + strings.Join(list, "; ") + ". Their places are marked."
}

func leastWords(r place.Removal) string {
	if r.BreaksThrough() {
		return "Where the least is marked the slab has not enough wood: the body breaks through."
	}
	if r.Most.Value-r.Least.Value < flatWithin {
		return "Planing reaches the finished plane everywhere at once."
	}
	return "Planing reaches the finished plane first where the least is marked."
}

// onBench words a height to be set: millimetres to a tenth, inches to 1/64.
func onBench(mm float64, u measure.Unit) string {
	if u == measure.Inches {
		text, _ := measure.Length(mm).Sixtyfourths()
		return text
	}
	return tenth(mm) + " mm"
}

// depth is onBench without the unit.
func depth(mm float64, u measure.Unit) string {
	return strings.TrimSuffix(onBench(mm, u), " "+u.String())
}

func depthUnit(u measure.Unit) string {
	if u == measure.Inches {
		return "in inches to the nearest 1/64"
	}
	return "in mm"
}

// flatWithin is how much a depth may vary, mm, and still be one to a maker.
const flatWithin = 0.1

// contourStep is the depth from one line of equal depth to the next: a round one
// that gives at most eight lines; 0 where the depth is the same all over.
func contourStep(r place.Removal, u measure.Unit) float64 {
	rise := r.Most.Value - r.Least.Value
	if rise < flatWithin {
		return 0
	}
	steps := []float64{0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100}
	if u == measure.Inches {
		steps = []float64{25.4 / 64, 25.4 / 32, 25.4 / 16, 25.4 / 8, 25.4 / 4, 25.4 / 2, 25.4, 50.8, 101.6}
	}
	for _, step := range steps {
		if rise/step <= 8 {
			return step
		}
	}
	return steps[len(steps)-1]
}

func contourWords(step float64, u measure.Unit) string {
	if step == 0 {
		return "It is the same all over."
	}
	return "Green lines join places of equal depth, " + onBench(step, u) + " apart."
}

// contour are the lines along which the map has a value, led through the middles
// of its cells by linear interpolation between neighbours, where all four of a
// square are known (W. E. Lorensen and H. E. Cline, Marching cubes, 1987, in the
// plane; a saddle's lines join the neighbours in order). at puts a cell's middle
// on the drawing.
func contour(r place.Removal, value float64, at func(i, j int) geom.Point) [][]geom.Point {
	// A crossing is named by the cell it starts from and whether it goes on along
	// v (or u); every crossing lies in at most two squares.
	type crossing struct {
		i, j   int
		upward bool
	}
	place := map[crossing]geom.Point{}
	next := map[crossing][]crossing{}
	cross := func(i, j int, upward bool) (crossing, bool) {
		k, l := i+1, j
		if upward {
			k, l = i, j+1
		}
		a, b := r.At(i, j)-value, r.At(k, l)-value
		if (a < 0) == (b < 0) {
			return crossing{}, false
		}
		c := crossing{i, j, upward}
		place[c] = at(i, j).Lerp(at(k, l), a/(a-b))
		return c, true
	}
	var order []crossing
	for j := range r.NV - 1 {
		for i := range r.NU - 1 {
			if math.IsNaN(r.At(i, j) + r.At(i+1, j) + r.At(i, j+1) + r.At(i+1, j+1)) {
				continue
			}
			var met []crossing
			for _, e := range [...]crossing{{i, j, false}, {i + 1, j, true}, {i, j + 1, false}, {i, j, true}} {
				if c, ok := cross(e.i, e.j, e.upward); ok {
					met = append(met, c)
				}
			}
			for k := 0; k+1 < len(met); k += 2 {
				a, b := met[k], met[k+1]
				next[a], next[b] = append(next[a], b), append(next[b], a)
				order = append(order, a, b)
			}
		}
	}
	var out [][]geom.Point
	used := map[crossing]bool{}
	walk := func(from crossing) {
		line := []geom.Point{place[from]}
		for c, on := from, true; on; {
			used[c] = true
			on = false
			for _, n := range next[c] {
				if !used[n] {
					line, c, on = append(line, place[n]), n, true
					break
				}
			}
			if !on && len(line) > 2 {
				for _, n := range next[c] {
					if n == from { // a ring
						line = append(line, place[from])
					}
				}
			}
		}
		if len(line) > 1 {
			out = append(out, line)
		}
	}
	for _, ends := range []bool{true, false} { // open lines from their ends, then rings
		for _, c := range order {
			if !used[c] && (!ends || len(next[c]) == 1) {
				walk(c)
			}
		}
	}
	return out
}
