// Package heatmap draws how far out of tune each string is at each fret, as a
// table of coloured cells: one row a string (the highest on top), one column
// a fret (the nut on the left).
//
//	        1     2     3   …
//	E4   [+1.7][+1.6][+1.5]      red: sharp
//	B3   [+2.0][ 0.0][-0.4]      white: in tune; blue: flat
//
// Every cell carries its number as well, so nothing is told by colour alone.
// Words are drawn as outlines: the files need no font and come out the same,
// byte for byte, every time.
package heatmap

import (
	"bytes"
	"fmt"
	"html"
	"image/color"
	"image/png"
	"io"
	"math"
	"sync"

	"github.com/tdewolff/canvas"
	"github.com/tdewolff/canvas/renderers/rasterizer"
	"github.com/tdewolff/canvas/renderers/svg"
	"golang.org/x/image/font/gofont/goregular"
)

// Map is what is drawn.
type Map struct {
	Title string
	// Rows names the strings, the highest first: "1 E4".
	Rows []string
	// Cents is the error by string and fret, [string][fret], fret 1 first.
	Cents [][]float64
	// LimitCents is where the colours end; 0: the largest error, at least 1.
	LimitCents float64
}

// Sizes in mm.
const (
	cellWide, cellHigh = 11.0, 8.0
	leftMargin, margin = 18.0, 6.0
	head, foot         = 16.0, 14.0
	words              = 3.0 // type size
)

// MostCells bounds the map.
const MostCells = 12 * 48

// Check says what keeps the map from being drawn.
func (m Map) Check() error {
	if len(m.Cents) == 0 || len(m.Cents[0]) == 0 {
		return fmt.Errorf("a heat map needs at least one string and one fret")
	}
	if len(m.Rows) != len(m.Cents) {
		return fmt.Errorf("a heat map of %d strings has %d names", len(m.Cents), len(m.Rows))
	}
	if len(m.Cents)*len(m.Cents[0]) > MostCells {
		return fmt.Errorf("a heat map of %d strings and %d frets is too large; at most %d cells", len(m.Cents), len(m.Cents[0]), MostCells)
	}
	for i, row := range m.Cents {
		if len(row) != len(m.Cents[0]) {
			return fmt.Errorf("a heat map's string %d has %d frets, the first has %d", i+1, len(row), len(m.Cents[0]))
		}
		for n, c := range row {
			if math.IsNaN(c) || math.Abs(c) > 1e4 {
				return fmt.Errorf("a heat map's string %d has %g cents at fret %d", i+1, c, n+1)
			}
		}
	}
	if math.IsNaN(m.LimitCents) || m.LimitCents < 0 || m.LimitCents > 1e4 {
		return fmt.Errorf("a heat map with colours to %g cents: they end between 0 and 10000", m.LimitCents)
	}
	return nil
}

// Size of the picture in mm.
func (m Map) Size() (width, height float64) {
	frets := 0
	if len(m.Cents) > 0 {
		frets = len(m.Cents[0])
	}
	return math.Max(leftMargin+cellWide*float64(frets)+margin, 90), head + cellHigh*float64(len(m.Cents)) + foot
}

func (m Map) limit() float64 {
	if m.LimitCents > 0 {
		return m.LimitCents
	}
	most := 1.0
	for _, row := range m.Cents {
		for _, c := range row {
			most = math.Max(most, math.Abs(c))
		}
	}
	return most
}

// The ends of the colours: our own, dark enough to stay apart for most eyes,
// with white between.
var (
	flat  = [3]float64{0x1c, 0x5a, 0x92}
	sharp = [3]float64{0xa3, 0x23, 0x1b}
	ink   = color.RGBA{0x22, 0x20, 0x1d, 0xff}
	faint = color.RGBA{0xb9, 0xb3, 0xa8, 0xff}
	white = color.RGBA{0xff, 0xff, 0xff, 0xff}
)

// Colour of an error, white at 0 and full at the limit, and of words on it:
// dark on light, light on dark.
func Colour(cents, limit float64) (fill, text color.RGBA) {
	share := math.Min(1, math.Abs(cents)/limit)
	end := sharp
	if cents < 0 {
		end = flat
	}
	mix := func(i int) uint8 { return uint8(math.Round(255 + share*(end[i]-255))) }
	fill = color.RGBA{mix(0), mix(1), mix(2), 255}
	if share > 0.6 {
		return fill, white
	}
	return fill, ink
}

var face = sync.OnceValues(func() (*canvas.FontFace, error) {
	family := canvas.NewFontFamily("Go")
	if err := family.LoadFont(goregular.TTF, 0, canvas.FontRegular); err != nil {
		return nil, fmt.Errorf("the embedded Go font: %w", err)
	}
	return family.Face(words*72/25.4, canvas.Black), nil // type is sized in points
})

// draw makes the picture, y up, on white.
func (m Map) draw() (*canvas.Canvas, error) {
	if err := m.Check(); err != nil {
		return nil, err
	}
	letters, err := face()
	if err != nil {
		return nil, err
	}
	width, height := m.Size()
	c := canvas.New(width, height)
	ctx := canvas.NewContext(c)
	box := func(x, y, w, h float64, fill color.RGBA) {
		ctx.SetFillColor(fill)
		ctx.DrawPath(x, y, canvas.Rectangle(w, h))
	}
	// say writes words with their middle (0.5), left (0) or right (1) end at x.
	type outline struct {
		path    *canvas.Path
		advance float64
	}
	known := map[string]outline{} // shaping is slow, and many cells say the same
	say := func(x, y, scale, anchor float64, colour color.RGBA, text string) error {
		o, ok := known[text]
		if !ok {
			path, advance, err := letters.ToPath(text)
			if err != nil {
				return fmt.Errorf("drawing %q: %w", text, err)
			}
			o = outline{path, advance}
			known[text] = o
		}
		ctx.SetFillColor(colour)
		ctx.DrawPath(x-anchor*o.advance*scale, y, o.path.Copy().Scale(scale, scale))
		return nil
	}
	box(0, 0, width, height, white)
	errs := []error{say(margin, height-7, 1.3, 0, ink, m.Title)}
	limit, top := m.limit(), height-head
	for n := range m.Cents[0] {
		errs = append(errs, say(leftMargin+cellWide*(float64(n)+0.5), top+1.5, 1, 0.5, ink, fmt.Sprint(n+1)))
	}
	for i, row := range m.Cents {
		y := top - cellHigh*float64(i+1)
		errs = append(errs, say(leftMargin-2, y+cellHigh/2-1.1, 1, 1, ink, m.Rows[i]))
		for n, cents := range row {
			fill, text := Colour(cents, limit)
			x := leftMargin + cellWide*float64(n)
			box(x, y, cellWide, cellHigh, faint) // a hairline between cells
			box(x+0.1, y+0.1, cellWide-0.2, cellHigh-0.2, fill)
			errs = append(errs, say(x+cellWide/2, y+cellHigh/2-1, 0.9, 0.5, text, number(cents)))
		}
	}
	// The key: a strip of colours from flat to sharp.
	const steps, keyWide = 40, 60.0
	y := foot - 8
	for k := range steps {
		fill, _ := Colour(limit*(2*(float64(k)+0.5)/steps-1), limit)
		box(leftMargin+keyWide*float64(k)/steps, y, keyWide/steps+0.01, 3, fill)
	}
	for _, mark := range []struct{ at, cents float64 }{{0, -limit}, {0.5, 0}, {1, limit}} {
		errs = append(errs, say(leftMargin+keyWide*mark.at, y-3.5, 0.9, 0.5, ink, number(mark.cents)))
	}
	errs = append(errs, say(leftMargin+keyWide+5, y+0.3, 0.9, 0, ink, "cents"))
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return c, nil
}

// number shows cents with one decimal and always a sign, but 0.0 without.
func number(cents float64) string {
	s := fmt.Sprintf("%+.1f", cents)
	if s == "+0.0" || s == "-0.0" {
		return "0.0"
	}
	return s
}

// SVG writes the map as SVG in millimetres.
func SVG(w io.Writer, m Map) error {
	c, err := m.draw()
	if err != nil {
		return err
	}
	var b bytes.Buffer
	r := svg.New(&b, c.W, c.H, &svg.Options{SizeUnits: "mm"})
	c.RenderTo(r)
	if err := r.Close(); err != nil {
		return fmt.Errorf("writing the heat map: %w", err)
	}
	// The words are outlines; say them for those who listen to the picture.
	head, body, _ := bytes.Cut(b.Bytes(), []byte(">"))
	_, err = fmt.Fprintf(w, "%s role=\"img\"><title>%s</title>%s", head, html.EscapeString(m.Title), body)
	return err
}

// PNG writes the map on white with dots pixels per mm, 1 to 40.
func PNG(w io.Writer, m Map, dots float64) error {
	if math.IsNaN(dots) || dots < 1 || dots > 40 {
		return fmt.Errorf("a heat map with %g pixels a mm: from 1 to 40", dots)
	}
	c, err := m.draw()
	if err != nil {
		return err
	}
	return png.Encode(w, rasterizer.Draw(c, canvas.DPMM(dots), canvas.LinearColorSpace{}))
}
