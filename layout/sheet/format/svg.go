package format

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"slabwright/body/geom"
	"slabwright/layout/sheet"
)

// svgEdge is the white edge round the drawing in mm.
const svgEdge = 5

// fontFamily names the face that sizes and widths are reckoned with first,
// then common ones that are no wider.
const fontFamily = "Go, 'Liberation Sans', Arial, Helvetica, sans-serif"

// SVG writes the drawing as a file: width and height in mm with a viewBox of
// the same numbers, so that it prints 1:1. Coordinates are the drawing's own
// with the sign of y turned, since y runs down in SVG: the point (x, y) of the
// frame stands in the file as (x, −y). Every layer is a group with the layer's
// name as its id.
func SVG(w io.Writer, s sheet.Scene) error { return writeSVG(w, s, false, "") }

// InlineSVG writes the drawing as an <svg> element to stand in a page: no
// width and height (the page's style sizes it), no white edge beyond the
// viewBox. Every id, those of layers included, gets the prefix, so that several
// drawings can stand in one page; layers also carry data-layer="SLAB", items
// data-id with their ID as it is.
func InlineSVG(w io.Writer, s sheet.Scene, prefix string) error { return writeSVG(w, s, true, prefix) }

func writeSVG(out io.Writer, s sheet.Scene, inline bool, prefix string) error {
	if err := s.Check(); err != nil {
		return err
	}
	b := s.Bounds()
	if b.Empty() {
		b = geom.Box{}
	}
	b = b.Grow(svgEdge)
	w := bufio.NewWriter(out)
	box := fmt.Sprintf(`viewBox="%s %s %s %s"`, mm(b.Min.X), mm(-b.Max.Y), mm(b.Width()), mm(b.Height()))
	if inline {
		fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" class="drawing" %s font-family="%s">`+"\n", box, fontFamily)
	} else {
		fmt.Fprintln(w, `<?xml version="1.0" encoding="UTF-8"?>`)
		fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" %s font-family="%s">`+"\n",
			mm(b.Width()), mm(b.Height()), box, fontFamily)
	}
	fmt.Fprintf(w, "<title>%s</title>\n", escape(s.Name))
	if s.Frame != "" {
		fmt.Fprintf(w, "<desc>Millimetres at 1:1. %s. In this file y runs down: the sign of y is turned.</desc>\n", escape(strings.TrimSuffix(s.Frame, ".")))
	}
	if !inline {
		fmt.Fprintf(w, `<rect x="%s" y="%s" width="%s" height="%s" fill="#ffffff"/>`+"\n", mm(b.Min.X), mm(-b.Max.Y), mm(b.Width()), mm(b.Height()))
	}
	for _, l := range sheet.Layers() {
		if inline {
			fmt.Fprintf(w, `<g id="%s%s" data-layer="%s">`+"\n", prefix, l, l)
		} else {
			fmt.Fprintf(w, `<g id="%s">`+"\n", l)
		}
		for _, it := range s.On(l) {
			svgItem(w, it, inline, prefix)
		}
		fmt.Fprintln(w, "</g>")
	}
	fmt.Fprintln(w, "</svg>")
	return w.Flush()
}

// svgItem writes one element, or a group of two where there is a hatch.
func svgItem(w *bufio.Writer, it sheet.Item, inline bool, prefix string) {
	var names strings.Builder
	if it.ID != "" {
		fmt.Fprintf(&names, ` id="%s%s"`, prefix, escape(it.ID))
		if inline {
			fmt.Fprintf(&names, ` data-id="%s"`, escape(it.ID))
		}
	}
	if it.Class != "" {
		fmt.Fprintf(&names, ` class="%s"`, escape(it.Class))
	}
	title := ""
	if it.Title != "" {
		title = "<title>" + escape(it.Title) + "</title>"
	}
	if t, ok := it.Shape.(sheet.Text); ok {
		svgText(w, it, t, names.String(), title)
		return
	}
	hatch := it.HatchLines()
	if len(hatch) > 0 {
		fmt.Fprintf(w, "<g%s>%s", names.String(), title)
		if it.Fill.Colour != "" {
			svgShape(w, it.Shape, svgFill(it.Fill)+` stroke="none"`, "", "")
		}
		var d strings.Builder
		for _, l := range hatch {
			fmt.Fprintf(&d, "M%s %sL%s %s", mm(l[0].X), mm(-l[0].Y), mm(l[1].X), mm(-l[1].Y))
		}
		fmt.Fprintf(w, `<path d="%s" fill="none"%s/>`, d.String(), svgStroke(it.Hatch.Line))
		if it.Stroke.Width > 0 {
			svgShape(w, it.Shape, `fill="none"`+svgStroke(it.Stroke), "", "")
		}
		fmt.Fprintln(w, "</g>")
		return
	}
	ink := `fill="none"`
	if it.Fill.Colour != "" {
		ink = svgFill(it.Fill)
	}
	svgShape(w, it.Shape, ink+svgStroke(it.Stroke), names.String(), title)
	fmt.Fprintln(w)
}

func svgShape(w *bufio.Writer, s sheet.Shape, ink, names, title string) {
	element := ""
	switch s := s.(type) {
	case sheet.Circle:
		element = fmt.Sprintf(`circle%s cx="%s" cy="%s" r="%s" %s`, names, mm(s.Centre.X), mm(-s.Centre.Y), mm(s.Radius), ink)
	case sheet.Path:
		element = fmt.Sprintf(`path%s d="%s" %s`, names, svgPath(s), ink)
	}
	if title == "" {
		fmt.Fprintf(w, "<%s/>", element)
		return
	}
	name, _, _ := strings.Cut(element, " ")
	fmt.Fprintf(w, "<%s>%s</%s>", element, title, name)
}

func svgPath(p sheet.Path) string {
	var d strings.Builder
	for _, part := range p.Parts {
		for i, c := range part.Curves {
			if i == 0 {
				fmt.Fprintf(&d, "M%s %s", mm(c.P0.X), mm(-c.P0.Y))
			}
			if straight(c) {
				if part.Closed && i == len(part.Curves)-1 {
					continue // Z draws it
				}
				fmt.Fprintf(&d, "L%s %s", mm(c.P3.X), mm(-c.P3.Y))
				continue
			}
			fmt.Fprintf(&d, "C%s %s %s %s %s %s", mm(c.P1.X), mm(-c.P1.Y), mm(c.P2.X), mm(-c.P2.Y), mm(c.P3.X), mm(-c.P3.Y))
		}
		if part.Closed {
			d.WriteByte('Z')
		}
	}
	return d.String()
}

func svgText(w *bufio.Writer, it sheet.Item, t sheet.Text, names, title string) {
	// The letters stand on a line whose place is reckoned here, not by the
	// reader; only left, centre and right are left to it, so that another
	// font stays centred.
	left := t
	left.Align = sheet.Left
	at := left.Start()
	anchor := ""
	switch t.Align {
	case sheet.Centre:
		anchor = ` text-anchor="middle"`
	case sheet.Right:
		anchor = ` text-anchor="end"`
	}
	turn := ""
	if t.Angle != 0 {
		turn = fmt.Sprintf(` transform="rotate(%s %s %s)"`, mm(-t.Angle*180/math.Pi), mm(at.X), mm(-at.Y))
	}
	weight := ""
	if t.Bold {
		weight = ` font-weight="bold"`
	}
	halo := ""
	if t.Halo > 0 {
		halo = fmt.Sprintf(` stroke="#ffffff" stroke-width="%s" stroke-linejoin="round" paint-order="stroke"`, mm(2*t.Halo))
	}
	fmt.Fprintf(w, `<text%s x="%s" y="%s" font-size="%s"%s%s%s%s %s>%s%s</text>`+"\n", names, mm(at.X), mm(-at.Y),
		mm(t.FontSize()), weight, anchor, halo, turn, svgFill(it.Fill), title, escape(t.Words))
}

func svgFill(f sheet.Fill) string {
	s := fmt.Sprintf(`fill="%s"`, f.Colour)
	if f.Colour == "" {
		s = `fill="#000000"`
	}
	if f.Alpha() < 1 {
		s += fmt.Sprintf(` fill-opacity="%s"`, mm(f.Alpha()))
	}
	return s
}

func svgStroke(s sheet.Stroke) string {
	if !(s.Width > 0) {
		return ""
	}
	out := fmt.Sprintf(` stroke="%s" stroke-width="%s"`, s.Colour, mm(s.Width))
	if len(s.Dash) > 0 {
		var d []string
		for _, v := range s.Dash {
			d = append(d, mm(v))
		}
		out += fmt.Sprintf(` stroke-dasharray="%s"`, strings.Join(d, " "))
	}
	return out
}

// straight tells whether c runs along its chord within a nanometre, so that a
// line may stand for it.
func straight(c geom.Curve) bool {
	line := geom.Line(c.P0, c.P3)
	return c.P1.Distance(line.P1) < 1e-6 && c.P2.Distance(line.P2) < 1e-6
}

// mm writes a number to four decimals, a tenth of a micrometre, without
// trailing zeros.
func mm(v float64) string {
	s := strconv.FormatFloat(v, 'f', 4, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func escape(s string) string {
	var b strings.Builder
	// Writing to a Builder cannot fail.
	_ = xml.EscapeText(&b, []byte(s))
	return b.String()
}
