package sheet

import (
	"fmt"

	"slabwright/body/geom"
)

// leaves are pages of words, tables and sketches, filled from the top down;
// what finds no room goes on the next one. Nothing on them is at full size.
type leaves struct {
	name              string
	o                 TileOptions
	pages             []Page
	left, right, foot float64
	y                 float64 // down to here the last page is full
}

// newLeaves begins the first page, under the name and the project's. The
// options are filled.
func newLeaves(name string, o TileOptions) *leaves {
	l := &leaves{name: name, o: o, left: o.Margin + 2, right: o.Paper.Width - o.Margin - 2, foot: o.Margin + 2}
	l.turnOver()
	return l
}

func (l *leaves) wide() float64 { return l.right - l.left }

// add puts items on the last page.
func (l *leaves) add(items ...Item) { l.pages[len(l.pages)-1].add(items...) }

func (l *leaves) turnOver() {
	w, h := l.o.Paper.Width, l.o.Paper.Height
	if h == 0 { // off a roll
		h = 300
	}
	l.pages = append(l.pages, Page{Name: fmt.Sprintf("%s %d", l.name, len(l.pages)+1), Width: w, Height: h})
	l.y = h - l.o.Margin - 7
	l.add(Item{Layer: Note, Shape: Text{Words: shortened(l.name, l.wide()*0.9, 5), At: geom.Point{X: l.left, Y: l.y}, Height: 5, Bold: true}, Fill: Fill{Colour: colourInk}})
	l.y -= 6
	l.add(Words(shortened(l.o.Project, l.wide(), 2.6), geom.Point{X: l.left, Y: l.y}, 2.6, colourInk))
	l.y -= 3
	l.add(Line(Note, pen(colourInk, penThin), geom.Point{X: l.left, Y: l.y}, geom.Point{X: l.right, Y: l.y}))
}

// write sets a paragraph.
func (l *leaves) write(words string, height float64) {
	for _, line := range Wrap(words, l.wide(), height) {
		if l.y-1.8*height < l.foot {
			l.turnOver()
		}
		l.y -= 1.8 * height
		l.add(Words(line, geom.Point{X: l.left, Y: l.y}, height, colourInk))
	}
	l.y -= height / 2
}

// rows sets a table, in letters as large as its width allows.
func (l *leaves) rows(heads []string, list [][]string) {
	height := 2.6
	for height > 1.4 && (Scene{Items: table(geom.Point{}, heads, list, height)}).Bounds().Width() > l.wide() {
		height -= 0.1
	}
	for len(list) > 0 {
		n := min(len(list), int((l.y-l.foot)/(1.9*height))-2)
		if n < 1 {
			l.turnOver()
			l.y -= 4
			continue
		}
		l.add(table(geom.Point{X: l.left, Y: l.y}, heads, list[:n], height)...)
		l.y -= float64(n+1)*1.9*height + 5
		list = list[n:]
	}
}
