package format

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"slabwright/body/geom"
	"slabwright/layout/sheet"
)

// pointsPerMM is the scale of PDF: a point is 1/72 in.
const pointsPerMM = 72 / 25.4

// noDate stands in the file where the document has no date, as the format's
// library would else write the clock and no two files were the same.
var noDate = time.Date(2000, time.January, 1, 0, 0, 0, 0, time.UTC)

// PDF writes the document: every page at its true size, one layer (optional
// content group) per kind that a viewer can switch, the Go fonts embedded, and
// the wish that viewers do not scale on printing (/PrintScaling /None; ISO
// 32000-1, 12.2) and take the tray by the page's size. It is advice that some
// printing programs ignore; the bars on every sheet are the proof.
func PDF(w io.Writer, d sheet.Document) error {
	if len(d.Pages) == 0 {
		return fmt.Errorf("document %q has no pages", d.Title)
	}
	first := d.Pages[0]
	f := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: first.Width, Ht: first.Height}})
	f.SetCatalogSort(true)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	date := d.Date
	if date.IsZero() {
		date = noDate
	}
	f.SetCreationDate(date)
	f.SetModificationDate(date)
	f.SetTitle(basic(d.Title), true)
	f.SetSubject(basic(d.Subject), true)
	f.SetCreator("slabwright", true)
	f.AddUTF8FontFromBytes("go", "", goregular.TTF)
	f.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	p := pdfWriter{f: f, layers: map[sheet.Layer]int{}}
	for _, l := range sheet.Layers() {
		p.layers[l] = f.AddLayer(string(l), true)
	}
	for i, page := range d.Pages {
		if err := p.page(page); err != nil {
			return fmt.Errorf("page %d: %w", i+1, err)
		}
	}
	var buf bytes.Buffer
	if err := f.Output(&buf); err != nil {
		return fmt.Errorf("document %q: %w", d.Title, err)
	}
	out, err := unscaled(buf.Bytes())
	if err != nil {
		return err
	}
	_, err = w.Write(out)
	return err
}

// basic puts a question mark for what the library can not write in a title: it
// knows two-byte characters only.
func basic(s string) string {
	return strings.Map(func(r rune) rune {
		if r > 0xffff {
			return '?'
		}
		return r
	}, s)
}

type pdfWriter struct {
	f      *fpdf.Fpdf
	layers map[sheet.Layer]int
}

// raw writes content operators as they are.
func (p pdfWriter) raw(format string, args ...any) { p.f.RawWriteStr(fmt.Sprintf(format, args...)) }

func (p pdfWriter) page(page sheet.Page) error {
	p.f.AddPageFormat("P", fpdf.SizeType{Wd: page.Width, Ht: page.Height})
	p.raw("q %s 0 0 %s 0 0 cm", pt(pointsPerMM), pt(pointsPerMM)) // from here on: millimetres
	for _, v := range page.Views {
		if err := v.Scene.Check(); err != nil {
			return err
		}
		b := v.OnPage()
		p.raw("q %s %s %s %s re W n", pt(b.Min.X), pt(b.Min.Y), pt(b.Width()), pt(b.Height()))
		p.items(*v.Scene, v.Shift(), b)
		p.raw("Q")
	}
	s := sheet.Scene{Name: page.Name, Items: page.Items}
	if err := s.Check(); err != nil {
		return err
	}
	p.items(s, geom.Vec{}, geom.Box{Max: geom.Point{X: page.Width, Y: page.Height}})
	p.raw("Q")
	return p.f.Error()
}

// items paints what can be seen in the window.
func (p pdfWriter) items(s sheet.Scene, shift geom.Vec, window geom.Box) {
	for _, l := range sheet.Layers() {
		open := false
		for _, it := range s.On(l) {
			b := it.Shape.Bounds()
			if b.Empty() {
				continue
			}
			b = b.Grow(it.Stroke.Width)
			if !(geom.Box{Min: b.Min.Add(shift), Max: b.Max.Add(shift)}).Meets(window) {
				continue
			}
			if !open {
				p.f.BeginLayer(p.layers[l])
				open = true
			}
			p.item(it, shift)
		}
		p.f.EndLayer()
	}
}

func (p pdfWriter) item(it sheet.Item, shift geom.Vec) {
	if t, ok := it.Shape.(sheet.Text); ok {
		p.text(it, t, shift)
		return
	}
	outline := pdfPath(it.Shape, shift)
	if it.Fill.Colour != "" {
		p.raw("q")
		if a := it.Fill.Alpha(); a < 1 {
			p.f.SetAlpha(a, "Normal")
		}
		p.raw("%s rg %s f Q", pdfColour(it.Fill.Colour), outline)
	}
	if lines := it.HatchLines(); len(lines) > 0 {
		var d strings.Builder
		for _, l := range lines {
			a, b := l[0].Add(shift), l[1].Add(shift)
			fmt.Fprintf(&d, "%s %s m %s %s l ", pt(a.X), pt(a.Y), pt(b.X), pt(b.Y))
		}
		p.stroke(d.String(), it.Hatch.Line)
	}
	if it.Stroke.Width > 0 {
		p.stroke(outline, it.Stroke)
	}
}

func (p pdfWriter) stroke(path string, s sheet.Stroke) {
	dash := ""
	if len(s.Dash) > 0 {
		var d []string
		for _, v := range s.Dash {
			d = append(d, pt(v))
		}
		dash = fmt.Sprintf("[%s] 0 d ", strings.Join(d, " "))
	}
	p.raw("q %s RG %s w 0 J 0 j 4 M %s%sS Q", pdfColour(s.Colour), pt(s.Width), dash, path)
}

// text sets the words with the library, which embeds the letters used; the
// matrix before them carries place, turn and the way back to points.
func (p pdfWriter) text(it sheet.Item, t sheet.Text, shift geom.Vec) {
	o := t.Start().Add(shift)
	s, c := math.Sincos(t.Angle)
	style := ""
	if t.Bold {
		style = "B"
	}
	_, height := p.f.GetPageSize()
	p.raw("q %s %s %s %s %s %s cm", pt(c/pointsPerMM), pt(s/pointsPerMM), pt(-s/pointsPerMM), pt(c/pointsPerMM), pt(o.X), pt(o.Y))
	p.f.SetFont("go", style, t.FontSize()*pointsPerMM)
	if t.Halo > 0 {
		p.raw("q 1 Tr 1 1 1 RG %s w 1 j", pt(2*t.Halo*pointsPerMM))
		p.f.Text(0, height, t.Printable())
		p.raw("Q")
	}
	p.raw("%s rg", pdfColour(orBlack(it.Fill).Colour))
	p.f.Text(0, height, t.Printable())
	p.raw("Q")
}

func pdfPath(s sheet.Shape, shift geom.Vec) string {
	var parts []geom.Path
	switch s := s.(type) {
	case sheet.Path:
		parts = s.Parts
	case sheet.Circle:
		parts = []geom.Path{s.Path()}
	}
	var d strings.Builder
	at := func(q geom.Point) string {
		q = q.Add(shift)
		return pt(q.X) + " " + pt(q.Y)
	}
	for _, part := range parts {
		for i, c := range part.Curves {
			if i == 0 {
				fmt.Fprintf(&d, "%s m ", at(c.P0))
			}
			if straight(c) {
				fmt.Fprintf(&d, "%s l ", at(c.P3))
			} else {
				fmt.Fprintf(&d, "%s %s %s c ", at(c.P1), at(c.P2), at(c.P3))
			}
		}
		if part.Closed {
			d.WriteString("h ")
		}
	}
	return d.String()
}

func pdfColour(colour string) string {
	r, g, b, err := sheet.RGB(colour)
	if err != nil { // none given
		return "0 0 0"
	}
	return fmt.Sprintf("%s %s %s", mm(float64(r)/255), mm(float64(g)/255), mm(float64(b)/255))
}

// pt writes a number to seven decimals, enough for places and scales alike.
func pt(v float64) string {
	s := strconv.FormatFloat(v, 'f', 7, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

var (
	rootEntry = regexp.MustCompile(`/Root (\d+) 0 R`)
	infoEntry = regexp.MustCompile(`/Info (\d+) 0 R`)
	sizeEntry = regexp.MustCompile(`/Size (\d+)`)
)

// unscaled asks viewers to print the file at its true size. The library knows
// no viewer preferences, so the file's root is written once more, with them,
// as an incremental update (ISO 32000-1, 7.5.6), which later readers take in
// place of the first. /PrintScaling is of PDF 1.6, so the header says 1.7.
func unscaled(file []byte) ([]byte, error) {
	fail := func(what string) ([]byte, error) {
		return nil, fmt.Errorf("the PDF library wrote a file without %s; /PrintScaling can not be set", what)
	}
	tail := bytes.LastIndex(file, []byte("trailer"))
	if tail < 0 {
		return fail("a trailer")
	}
	trailer := file[tail:]
	root, info, size := rootEntry.FindSubmatch(trailer), infoEntry.FindSubmatch(trailer), sizeEntry.FindSubmatch(trailer)
	if root == nil || info == nil || size == nil {
		return fail("Root, Info and Size")
	}
	head := []byte("\n" + string(root[1]) + " 0 obj\n")
	begin := bytes.LastIndex(file[:tail], head)
	if begin < 0 {
		return fail("its root")
	}
	begin++
	length := bytes.Index(file[begin:], []byte("endobj"))
	if length < 0 {
		return fail("the end of its root")
	}
	object := string(file[begin : begin+length])
	end := strings.LastIndex(object, ">>")
	if end < 0 {
		return fail("the end of its root")
	}
	start := strings.Fields(string(trailer[bytes.Index(trailer, []byte("startxref")):]))
	if len(start) < 2 {
		return fail("startxref")
	}
	var out bytes.Buffer
	out.Write(bytes.Replace(file, []byte("%PDF-1.5"), []byte("%PDF-1.7"), 1))
	if !bytes.HasSuffix(file, []byte("\n")) {
		out.WriteByte('\n')
	}
	at := out.Len()
	out.WriteString(object[:end] + "/ViewerPreferences <</PrintScaling /None /PickTrayByPDFSize true>>\n>>\nendobj\n")
	xref := out.Len()
	fmt.Fprintf(&out, "xref\n%s 1\n%010d 00000 n \ntrailer\n<<\n/Size %s\n/Root %s 0 R\n/Info %s 0 R\n/Prev %s\n>>\nstartxref\n%d\n%%%%EOF\n",
		root[1], at, size[1], root[1], info[1], start[1], xref)
	return out.Bytes(), nil
}
