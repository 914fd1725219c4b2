package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"slabwright/body/geom"
	"slabwright/fret/measure"
)

// Tiling, in a picture. A drawing wider than the paper is cut into windows
// that overlap; each window is one sheet, and keeps the drawing's scale:
//
//	 column 1            column 2
//	+----------------+
//	|  A1        ◇   |          The window A1 is the left frame, A2 the right
//	|          +-|---|----+     one. They share a strip `overlap` wide. Joining
//	|          |  ◇  | A2 |     marks ◇ lie on the middle of the shared strip,
//	+----------|-----+    |     at places fixed in the drawing, so that both
//	           |          |     sheets show the same marks.
//	           +----------+
//
// The middles of the strips cut the drawing into cells, one a window. A sheet
// is made when its cell has ink, so no sheet is blank, none shows only what
// its neighbours show, and every point of the drawing is on a sheet.

// TileOptions says what the drawing is printed on and what stands beside it.
type TileOptions struct {
	Paper   Paper
	Margin  float64      // white edge on all sides, mm; 0 means 10
	Overlap float64      // width of the shared strips, mm; 0 means 10
	Project string       // name of the project
	Unit    measure.Unit // of the rulers and of what is told in words
	Date    time.Time    // as the maker wants it printed; the zero Time prints none
	Notes   []string     // more lines for the cover, each a paragraph
	Part    geom.Box     // the part of the drawing to print; the zero Box: all of it
}

// Sheet sizes, mm.
const (
	tileFooter  = 26.0  // under the window: bars, map, words
	barsWidth   = 116.0 // of the two bars with their words
	leastWindow = 60.0  // a smaller window would be all edge
)

// Tiling is the grid that Tile chose.
type Tiling struct {
	Paper         Paper // turned the way it is used
	Columns, Rows int
	Tiles         []Tile // with ink, row by row from the top, left to right
	overlap       float64
}

// Tile is one sheet of a Tiling.
type Tile struct {
	Name        string // row letter and column number: "B2"
	Column, Row int    // from 0; row 0 is at the top
	Window      geom.Box
	Cell        geom.Box // the part no other tile has to itself
}

// At finds the tile of a column and row, which may have no ink and so no sheet.
func (t Tiling) At(column, row int) (Tile, bool) {
	for _, k := range t.Tiles {
		if k.Column == column && k.Row == row {
			return k, true
		}
	}
	return Tile{}, false
}

func (o TileOptions) filled() (TileOptions, error) {
	if o.Margin == 0 {
		o.Margin = 10
	}
	if o.Overlap == 0 {
		o.Overlap = 10
	}
	if !(o.Margin >= 4) || o.Margin > 40 {
		return o, fmt.Errorf("margin of %.4g mm: must be from 4 to 40 mm, as few printers reach the paper's edge", o.Margin)
	}
	if !(o.Overlap >= 4) || o.Overlap > 40 {
		return o, fmt.Errorf("overlap of %.4g mm: must be from 4 to 40 mm, room for the joining marks", o.Overlap)
	}
	if o.Paper.Width == 0 {
		o.Paper = Papers()[0]
	}
	return o, nil
}

// PlanTiles lays windows over the drawing: upright or turned paper, whichever
// takes fewer sheets (upright when equal), and of a few ways to share out the
// slack the one that leaves most cells without ink (centred when equal).
func PlanTiles(s Scene, o TileOptions) (Tiling, error) {
	o, err := o.filled()
	if err != nil {
		return Tiling{}, err
	}
	if err := s.Check(); err != nil {
		return Tiling{}, err
	}
	all := inkOf(s.untitled())
	b := geom.EmptyBox()
	for _, k := range all {
		b = b.Union(k.box)
	}
	if b.Empty() {
		return Tiling{}, fmt.Errorf("drawing %q is empty: there is nothing to print", s.Name)
	}
	b = b.Grow(0.5) // so that nothing touches the frame of an outer window
	wanted := func(c geom.Box) geom.Box { return c }
	if o.Part != (geom.Box{}) {
		if !finite(o.Part.Min.X, o.Part.Min.Y, o.Part.Max.X, o.Part.Max.Y) || o.Part.Empty() {
			return Tiling{}, fmt.Errorf("the part to print, from %v to %v, is empty", o.Part.Min, o.Part.Max)
		}
		wanted = func(c geom.Box) geom.Box { return common(c, o.Part) }
		if b = wanted(b); b.Empty() || !inks(all, b) {
			return Tiling{}, fmt.Errorf("the part of drawing %q to print has nothing on it", s.Name)
		}
	}
	var best Tiling
	for _, p := range turns(o, b) {
		w := p.Width - 2*o.Margin
		h := p.Height - 2*o.Margin - tileFooter
		if w < leastWindow || h < leastWindow || w < 2*o.Overlap || h < 2*o.Overlap {
			continue
		}
		columns, rows := count(b.Width(), w, o.Overlap), count(b.Height(), h, o.Overlap)
		slackX := float64(columns)*(w-o.Overlap) + o.Overlap - b.Width()
		slackY := float64(rows)*(h-o.Overlap) + o.Overlap - b.Height()
		for _, kx := range []float64{0.5, 0, 1} {
			for _, ky := range []float64{0.5, 0, 1} {
				t := Tiling{Paper: p, Columns: columns, Rows: rows, overlap: o.Overlap}
				left, top := b.Min.X-kx*slackX, b.Max.Y+ky*slackY
				for r := range rows {
					for c := range columns {
						k := tileAt(c, r, columns, rows, left, top, w, h, o.Overlap)
						if c := wanted(k.Cell).Grow(-0.01); !c.Empty() && inks(all, c) {
							t.Tiles = append(t.Tiles, k)
						}
					}
				}
				if best.Tiles == nil || len(t.Tiles) < len(best.Tiles) {
					best = t
				}
			}
		}
	}
	if best.Tiles == nil {
		return Tiling{}, fmt.Errorf("paper %s with a margin of %.4g mm leaves no room to draw: take a larger paper or a smaller margin", o.Paper.Name, o.Margin)
	}
	return best, nil
}

// untitled is the drawing without its title block.
func (s Scene) untitled() Scene { return s.without(TitleBlock) }

// without is the drawing without the items of a class.
func (s Scene) without(class string) Scene {
	s.Items = slices.DeleteFunc(slices.Clone(s.Items), func(it Item) bool { return it.Class == class })
	return s
}

// common is what two boxes share; empty when nothing.
func common(a, b geom.Box) geom.Box {
	return geom.Box{
		Min: geom.Point{X: math.Max(a.Min.X, b.Min.X), Y: math.Max(a.Min.Y, b.Min.Y)},
		Max: geom.Point{X: math.Min(a.Max.X, b.Max.X), Y: math.Min(a.Max.Y, b.Max.Y)},
	}
}

// turns are the ways to use the paper. Of a roll as much is cut as the drawing
// needs, along the roll or across it.
func turns(o TileOptions, b geom.Box) []Paper {
	p := o.Paper
	if p.Height > 0 {
		return []Paper{p, p.Turned()}
	}
	up, across := p, p
	up.Height = math.Min(math.Ceil(b.Height()+2*o.Margin+tileFooter)+1, longestRoll)
	across.Height = p.Width
	across.Width = math.Min(math.Max(math.Ceil(b.Width()+2*o.Margin)+1, smallestSheet), longestRoll)
	return []Paper{up, across}
}

func count(length, window, overlap float64) int {
	return max(1, int(math.Ceil((length-overlap)/(window-overlap)-1e-9)))
}

func tileAt(c, r, columns, rows int, left, top, w, h, overlap float64) Tile {
	x := left + float64(c)*(w-overlap)
	y := top - float64(r)*(h-overlap)
	t := Tile{Name: rowName(r) + fmt.Sprint(c+1), Column: c, Row: r,
		Window: geom.Box{Min: geom.Point{X: x, Y: y - h}, Max: geom.Point{X: x + w, Y: y}}}
	t.Cell = t.Window
	if c > 0 {
		t.Cell.Min.X += overlap / 2
	}
	if c < columns-1 {
		t.Cell.Max.X -= overlap / 2
	}
	if r > 0 {
		t.Cell.Max.Y -= overlap / 2
	}
	if r < rows-1 {
		t.Cell.Min.Y += overlap / 2
	}
	return t
}

// rowName counts A to Z, then AA, AB, …
func rowName(r int) string {
	if r < 26 {
		return string(rune('A' + r))
	}
	return rowName(r/26-1) + string(rune('A'+r%26))
}

// TilePages is a cover (on small paper several pages of it) and one page for
// every tile of the drawing, in the order of PlanTiles, last. What the
// title block says stands on the cover; the tiles show the drawing without it.
func TilePages(s Scene, o TileOptions) ([]Page, error) {
	s = s.untitled()
	t, err := PlanTiles(s, o)
	if err != nil {
		return nil, err
	}
	o, _ = o.filled() // PlanTiles has found it good
	pages := cover(s, t, o)
	for i := range t.Tiles {
		pages = append(pages, tilePage(s, t, i, o))
	}
	return pages, nil
}

// onePage is the drawing with its title block on one sheet; ok is false when it
// takes more.
func onePage(s Scene, o TileOptions) (page Page, ok bool) {
	o, err := o.filled()
	if err != nil {
		return Page{}, false
	}
	s.Items = slices.Clone(s.Items)
	for i := range s.Items {
		if s.Items[i].Class == TitleBlock {
			s.Items[i].Class = ""
		}
	}
	t, err := PlanTiles(s, o)
	if err != nil || len(t.Tiles) != 1 {
		return Page{}, false
	}
	return tilePage(s, t, 0, o), true
}

func tilePage(s Scene, t Tiling, i int, o TileOptions) Page {
	tile := t.Tiles[i]
	p := Page{Name: s.Name + " " + tile.Name, Width: t.Paper.Width, Height: t.Paper.Height}
	at := geom.Point{X: o.Margin, Y: o.Margin + tileFooter}
	v := View{Scene: &s, Window: tile.Window, At: at}
	p.Views = []View{v}
	frame := v.OnPage()

	p.add(Item{Layer: Note, Shape: Ring(frame.Polygon()), Stroke: pen(colourSoft, penHair)})
	ruler := rulerIn(o.Unit)
	p.rulers(ruler, tile.Window, v.Shift())
	p.joins(ruler, t, tile, v.Shift(), frame)

	// The footer: words left, bars under them, the map on the right.
	// Where the sheet is so narrow that the map would lie on the bars, it stays
	// on the cover alone.
	rightEnd := frame.Max.X
	if wide := math.Min(math.Min(0.36*frame.Width(), 80), frame.Width()-barsWidth); wide > 12 {
		m := fitMap(s, t, wide, tileFooter-8)
		m.at = geom.Point{X: frame.Max.X - m.size.X, Y: frame.Min.Y - 6 - m.size.Y}
		p.add(m.items(i)...)
		rightEnd = m.at.X - 3
	}

	x, y := frame.Min.X, frame.Min.Y
	p.add(Item{Layer: Note, Shape: Text{Words: tile.Name, At: geom.Point{X: x, Y: y - 9.6}, Height: 4.2, Bold: true}, Fill: Fill{Colour: colourInk}})
	wx := x + (Text{Words: tile.Name, Height: 4.2, Bold: true}).Width() + 3
	title := s.Name
	if o.Project != "" {
		title = o.Project + " — " + s.Name
	}
	room := rightEnd - wx
	p.add(Words(shortened(title, room, 2.2), geom.Point{X: wx, Y: y - 7.6}, 2.2, colourInk))
	show := func(v float64) string { return tenth(v / float64(o.Unit.Length())) }
	shows := fmt.Sprintf("sheet %d of %d · shows x %s … %s, y %s … %s %s", i+1, len(t.Tiles),
		show(tile.Window.Min.X), show(tile.Window.Max.X), show(tile.Window.Min.Y), show(tile.Window.Max.Y), o.Unit)
	p.add(Words(shortened(shows, room, 1.7), geom.Point{X: wx, Y: y - 10.2}, 1.7, colourSoft))
	p.bars(geom.Point{X: x, Y: y - 20})
	p.add(Words(shortened(caution, rightEnd-x, 1.7), geom.Point{X: x, Y: y - tileFooter + 0.8}, 1.7, colourCut))
	return p
}

const caution = "Print at 100 %. Measure the bars before you trust the sheet."

func tenth(v float64) string {
	if math.Abs(v) < 0.05 {
		v = 0
	}
	return fmt.Sprintf("%.1f", v)
}

// shortened cuts words to a width, with … for what is lost.
func shortened(words string, width, height float64) string {
	fits := func(s string) bool { return (Text{Words: s, Height: height}).Width() <= width }
	if fits(words) {
		return words
	}
	r := []rune(words)
	for len(r) > 1 && !fits(string(r)+"…") {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}

func (p *Page) add(items ...Item) { p.Items = append(p.Items, items...) }

// bars draws a bar of 100 mm and one of 4 in, for a rule of either kind, with
// their left ends at p and 5.5 mm above it.
func (p *Page) bars(at geom.Point) {
	bar := func(at geom.Point, length float64, steps int, words string) {
		line := pen(colourInk, penMedium)
		p.add(Line(Note, line, at, at.Add(geom.Vec{X: length})))
		for i := range steps + 1 {
			// The end ticks stand wholly within the bar, so that it is exactly
			// as long over all as it says.
			x := length * float64(i) / float64(steps)
			switch i {
			case 0:
				x += penMedium / 2
			case steps:
				x -= penMedium / 2
			}
			high := 1.4
			if i == 0 || i == steps || 2*i == steps {
				high = 2.4
			}
			q := at.Add(geom.Vec{X: x, Y: -penMedium / 2})
			p.add(Line(Note, line, q, q.Add(geom.Vec{Y: high})))
		}
		p.add(Item{Layer: Note, Shape: Text{Words: words, At: at.Add(geom.Vec{X: length + 1.5, Y: 0.2}), Height: 1.8}, Fill: Fill{Colour: colourInk}})
	}
	bar(at.Add(geom.Vec{Y: 5.5}), 100, 10, "100 mm")
	bar(at, 4*25.4, 8, "4 in")
}

// ruler is how a window's edges are ticked: a tick every step of the drawing, mm,
// and a number at every so manieth, in units of so many mm.
type ruler struct {
	step   float64
	number int
	unit   float64
}

// rulerIn has a tick every 10 mm and a number every 50 mm, or every half inch and
// every 2 in.
func rulerIn(u measure.Unit) ruler {
	if u == measure.Inches {
		return ruler{12.7, 4, 25.4}
	}
	return ruler{10, 5, 1}
}

// apart is the way from number to number.
func (r ruler) apart() float64 { return r.step * float64(r.number) }

// rulers puts ticks round the window, with the drawing's coordinates on the left
// and at the top.
func (p *Page) rulers(r ruler, w geom.Box, shift geom.Vec) {
	line := pen(colourSoft, penHair)
	ticks := func(from, to float64, draw func(v, length float64, named bool)) {
		for k := math.Ceil(from / r.step); k*r.step <= to; k++ {
			if int(k)%r.number == 0 {
				draw(k*r.step, 1.8, true)
			} else {
				draw(k*r.step, 1, false)
			}
		}
	}
	tick := func(x, y, dx, dy float64) {
		a := geom.Point{X: x, Y: y}.Add(shift)
		p.add(Line(Note, line, a, a.Add(geom.Vec{X: dx, Y: dy})))
	}
	name := func(v, x, y, dx, dy, angle float64) {
		words := fmt.Sprint(math.Round(v/r.unit) + 0) // + 0, as −0 is written "-0"
		p.add(Item{Layer: Note, Shape: Text{Words: words, At: geom.Point{X: x, Y: y}.Add(shift).Add(geom.Vec{X: dx, Y: dy}),
			Height: 1.5, Align: Centre, Angle: angle}, Fill: Fill{Colour: colourSoft}})
	}
	ticks(w.Min.X, w.Max.X, func(v, length float64, named bool) {
		tick(v, w.Max.Y, 0, length)
		tick(v, w.Min.Y, 0, -length)
		if named {
			name(v, v, w.Max.Y, 0, 2.3, 0)
		}
	})
	ticks(w.Min.Y, w.Max.Y, func(v, length float64, named bool) {
		tick(w.Min.X, v, -length, 0)
		tick(w.Max.X, v, length, 0)
		if named {
			name(v, w.Min.X, v, -2.3, 0, math.Pi/2)
		}
	})
}

// joinMarks are the places in the drawing where the marks of a tile's joints
// with its right and its lower neighbour lie.
func joinMarks(t Tiling, k Tile) (right, below []geom.Point) {
	const a, b = 1.0 / 6, 5.0 / 6
	if _, ok := t.At(k.Column+1, k.Row); ok {
		x := k.Window.Max.X - t.overlap/2
		for _, f := range []float64{a, 0.5, b} {
			right = append(right, geom.Point{X: x, Y: k.Cell.Min.Y + f*k.Cell.Height()})
		}
	}
	if _, ok := t.At(k.Column, k.Row+1); ok {
		y := k.Window.Min.Y + t.overlap/2
		for _, f := range []float64{a, 0.5, b} {
			below = append(below, geom.Point{X: k.Cell.Min.X + f*k.Cell.Width(), Y: y})
		}
	}
	return right, below
}

// joins draws the joining marks, the neighbours' names and the lines to cut.
func (p *Page) joins(r ruler, t Tiling, k Tile, shift geom.Vec, frame geom.Box) {
	arm := math.Min(t.overlap/2-0.3, 4.5)
	mark := func(at geom.Point) {
		c := at.Add(shift)
		far := 0.62 * arm
		p.add(Item{Layer: Note, Shape: Ring(geom.Polygon{c.Add(geom.Vec{X: far}), c.Add(geom.Vec{Y: far}), c.Add(geom.Vec{X: -far}), c.Add(geom.Vec{Y: -far})}), Stroke: pen(colourAxis, penThin)},
			Cross(Note, pen(colourAxis, penHair), c, arm, 0))
	}
	name := func(words string, at geom.Point, angle float64, rise Rise) {
		p.add(Item{Layer: Note, Shape: Text{Words: words, At: at, Height: 1.9, Angle: angle, Align: Centre, Rise: rise, Bold: true}, Fill: Fill{Colour: colourAxis}})
	}
	cutAlong := func(a, b geom.Point) { p.add(Line(Note, pen(colourAxis, penMedium, 4, 2), a, b)) }

	right, below := joinMarks(t, k)
	for _, at := range right {
		mark(at)
	}
	for _, at := range below {
		mark(at)
	}
	// Names stand midway between two numbers of the ruler.
	between := func(v, shift float64) float64 { return r.apart()*(math.Floor((v-shift)/r.apart())+0.5) + shift }
	mid := frame.Centre()
	mid = geom.Point{X: between(mid.X, shift.X), Y: between(mid.Y, shift.Y)}
	if n, ok := t.At(k.Column+1, k.Row); ok {
		name(k.Name+" → "+n.Name, geom.Point{X: frame.Max.X + 2.4, Y: mid.Y}, math.Pi/2, Top)
	}
	if n, ok := t.At(k.Column, k.Row+1); ok {
		name(k.Name+" ↓ "+n.Name+" · cut here", geom.Point{X: mid.X, Y: frame.Min.Y - 2.6}, 0, Top)
		cutAlong(frame.Min, geom.Point{X: frame.Max.X, Y: frame.Min.Y})
	}
	if n, ok := t.At(k.Column-1, k.Row); ok {
		name(n.Name+" ← "+k.Name+" · cut here", geom.Point{X: frame.Min.X - 2.4, Y: mid.Y}, math.Pi/2, Baseline)
		cutAlong(frame.Min, geom.Point{X: frame.Min.X, Y: frame.Max.Y})
		r, _ := joinMarks(t, n)
		for _, at := range r {
			mark(at)
		}
	}
	if n, ok := t.At(k.Column, k.Row-1); ok {
		name(n.Name+" ↑ "+k.Name, geom.Point{X: mid.X, Y: frame.Max.Y + 2.4}, 0, Baseline)
		_, d := joinMarks(t, n)
		for _, at := range d {
			mark(at)
		}
	}
}

// sheetMap is the small picture of which sheet lies where.
type sheetMap struct {
	scene Scene
	tiles Tiling
	k     float64    // scale
	box   geom.Box   // of all windows, in the drawing
	size  geom.Vec   // on the page
	at    geom.Point // lower left corner on the page
	names float64    // height of the sheets' names
}

// fitMap scales the map into a width and a height.
func fitMap(s Scene, t Tiling, wide, high float64) sheetMap {
	m := sheetMap{scene: s, tiles: t, box: geom.EmptyBox()}
	for _, k := range t.Tiles {
		m.box = m.box.Union(k.Window)
	}
	m.k = math.Min(wide/m.box.Width(), high/m.box.Height())
	m.size = geom.Vec{X: m.k * m.box.Width(), Y: m.k * m.box.Height()}
	w := t.Tiles[0].Window
	m.names = math.Min(4, m.k*math.Min(0.25*w.Height(), 0.28*w.Width()))
	return m
}

// items draws the map; sheet i is marked, none when i is −1.
func (m sheetMap) items(marked int) []Item {
	on := func(p geom.Point) geom.Point { return m.at.Add(p.Sub(m.box.Min).Mul(m.k)) }
	frame := m.box.Grow(1e-6 / m.k).Polygon() // an edge on the frame itself is shown
	var items []Item
	for i, t := range m.tiles.Tiles {
		it := Item{Layer: Note, Shape: Ring(geom.Box{Min: on(t.Cell.Min), Max: on(t.Cell.Max)}.Polygon()), Stroke: pen(colourSoft, penHair)}
		if i == marked {
			it.Fill = Fill{Colour: "#cfdfee"}
		}
		items = append(items, it)
	}
	for _, it := range m.scene.Painted() {
		if it.Layer != Slab && it.Layer != Body {
			continue
		}
		if _, words := it.Shape.(Text); words {
			continue
		}
		for _, c := range Chains(it.Shape, 0.1/m.k) {
			points := c.Points
			if c.Closed {
				points = append(slices.Clone(points), points[0])
			}
			// Of a drawing of which a part is printed, the map shows that part.
			var shape Path
			for i := 1; i < len(points); i++ {
				for _, s := range inside(points[i-1], points[i], frame) {
					shape.Parts = append(shape.Parts, Polyline(on(s[0]), on(s[1])).Parts...)
				}
			}
			if len(shape.Parts) > 0 {
				items = append(items, Item{Layer: Note, Shape: shape, Stroke: pen(it.Stroke.Colour, penHair)})
			}
		}
	}
	for i, t := range m.tiles.Tiles {
		if m.names < 1 && i != marked {
			continue // too small to read
		}
		colour := colourSoft
		if i == marked {
			colour = colourInk
		}
		items = append(items, Item{Layer: Note, Shape: Text{Words: t.Name, At: on(t.Cell.Centre()), Height: math.Max(m.names, 1.2), Align: Centre, Rise: Middle, Bold: i == marked, Halo: 0.3}, Fill: Fill{Colour: colour}})
	}
	return items
}

// cover is the first sheet: what the drawing is, how the sheets are joined.
// On small paper it runs on over several.
func cover(s Scene, t Tiling, o TileOptions) []Page {
	left, right, bottom := o.Margin+2, t.Paper.Width-o.Margin-2, o.Margin+2
	var pages []Page
	var p *Page
	y := 0.0
	turnOver := func() {
		pages = append(pages, Page{Name: s.Name + " cover", Width: t.Paper.Width, Height: t.Paper.Height})
		p = &pages[len(pages)-1]
		y = p.Height - o.Margin - 2
		p.bars(geom.Point{X: left, Y: bottom + 6})
		p.add(Words(caution, geom.Point{X: left, Y: bottom}, 2, colourCut))
	}
	room := func(high float64) {
		if y-high < bottom+16 {
			turnOver()
		}
	}
	turnOver()
	y -= 6
	p.add(Item{Layer: Note, Shape: Text{Words: shortened(capital(s.Name), 0.9*(right-left), 6), At: geom.Point{X: left, Y: y}, Height: 6, Bold: true}, Fill: Fill{Colour: colourInk}})
	y -= 7
	under := o.Project
	if !o.Date.IsZero() {
		if under != "" {
			under += " · "
		}
		under += o.Date.Format("2 January 2006")
	}
	p.add(Words(shortened(under, right-left, 3), geom.Point{X: left, Y: y}, 3, colourInk))
	y -= 4
	p.add(Line(Note, pen(colourInk, penThin), geom.Point{X: left, Y: y}, geom.Point{X: right, Y: y}))
	y -= 2

	paragraphs := []string{fmt.Sprintf("Full size, on %s of %s. %s.", sheets(len(t.Tiles)), t.Paper.Name, capital(s.axes()))}
	paragraphs = append(append(paragraphs, s.Notes...), o.Notes...)
	steps := []string{
		"Print all sheets at 100 % (“actual size”), without “fit to page”.",
		"On every sheet measure both bars, and a long run of the ruler ticks up the side. If any is off by more than you would accept on the wood, do not use the sheet.",
		"Let the paper lie in the shop for an hour before you join it, and measure again on the day you use it: paper swells and shrinks with the air.",
	}
	if len(t.Tiles) > 1 {
		steps = append(steps,
			"Cut each sheet along its broken blue lines, which say “cut here”. They are on the left and at the bottom, where a neighbour joins. The bars fall away with them, so measure first.",
			fmt.Sprintf("Lay the cut edge over its neighbour so that the blue diamonds and crosses of both meet; edges overlap by %s. Join one row from left to right, then the rows from the bottom up. Tape or glue thinly, flat on a board.", size(o.Overlap, o.Unit)))
	}
	steps = append(steps, "Before you mark the wood, measure the joined drawing from end to end against a dimension written on it.")
	write := func(words, number string, indent float64) {
		lines := Wrap(words, right-left-indent, 2.3)
		room(4*float64(len(lines)) + 1.2)
		if number != "" {
			p.add(Item{Layer: Note, Shape: Text{Words: number, At: geom.Point{X: left, Y: y - 4}, Height: 2.3, Bold: true}, Fill: Fill{Colour: colourAxis}})
		}
		for _, line := range lines {
			y -= 4
			p.add(Words(line, geom.Point{X: left + indent, Y: y}, 2.3, colourInk))
		}
		y -= 1.2
	}
	for _, w := range paragraphs {
		write(w, "", 0)
	}
	y -= 1
	for i, w := range steps {
		write(w, fmt.Sprint(i+1), 6)
	}
	_, high := legendItems(s.Legend, geom.Point{}, right-left)
	room(high + 4)
	legend, _ := legendItems(s.Legend, geom.Point{X: left, Y: y - 4}, right-left)
	p.add(legend...)
	y -= high

	// The map takes what is left between the words and the bars.
	room(30)
	high = y - 4 - (bottom + 20)
	m := fitMap(s, t, right-left, high)
	m.at = geom.Point{X: (left+right)/2 - m.size.X/2, Y: bottom + 20 + (high-m.size.Y)/2}
	p.add(m.items(-1)...)
	return pages
}

func capital(s string) string {
	_, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(s[:n]) + s[n:]
}

func sheets(n int) string {
	if n == 1 {
		return "one sheet"
	}
	return fmt.Sprintf("%d sheets", n)
}
