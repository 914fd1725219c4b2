package format_test

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
	"slabwright/layout/sheet"
	"slabwright/layout/sheet/format"
)

// program finds an outside program or skips, naming the Debian package.
func program(t *testing.T, name, debian string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("needs %s: apt-get install %s", name, debian)
	}
	return path
}

func run(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	require.NoError(t, err, "%s %v: %s", name, args, out)
	return string(out)
}

func written(t *testing.T, dir, name string, data []byte) string {
	t.Helper()
	path := filepath.Join(dir, name)
	require.NoError(t, os.WriteFile(path, data, 0o644))
	return path
}

func svg(t *testing.T, s sheet.Scene) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, format.SVG(&b, s))
	return b.Bytes()
}

func dxf(t *testing.T, s sheet.Scene) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, format.DXF(&b, s))
	return b.Bytes()
}

func TestSVGGolden(t *testing.T) { golden(t, "shelf.svg", svg(t, shelf())) }
func TestDXFGolden(t *testing.T) { golden(t, "shelf.dxf", dxf(t, shelf())) }

func TestInlineSVGGolden(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, format.InlineSVG(&b, shelf(), "top-"))
	golden(t, "shelf_inline.svg", b.Bytes())
	assert.NotContains(t, b.String(), `width="16`, "the page's style sizes it")
	assert.Contains(t, b.String(), `<g id="top-SLAB" data-layer="SLAB">`)
	assert.Contains(t, b.String(), `id="top-strip-1" data-id="strip-1" class="wood"`)
}

// The file read back by Go's own XML reader: one group a layer in the order of
// painting, width and height in mm that agree with the viewBox, the hole of
// (20, 45) at (20, −45): y is negated, x is not.
func TestSVGSaysWhatItIs(t *testing.T) {
	d := xml.NewDecoder(bytes.NewReader(svg(t, shelf())))
	var layers []string
	circle := ""
	words := ""
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		switch e := token.(type) {
		case xml.CharData:
			words += string(e)
		case xml.StartElement:
			at := map[string]string{}
			for _, a := range e.Attr {
				at[a.Name.Local] = a.Value
			}
			switch e.Name.Local {
			case "svg":
				box := strings.Fields(at["viewBox"])
				require.Len(t, box, 4)
				assert.Equal(t, box[2]+"mm", at["width"])
				assert.Equal(t, box[3]+"mm", at["height"])
			case "g":
				if at["id"] != "" && at["id"] == strings.ToUpper(at["id"]) {
					layers = append(layers, at["id"])
				}
			case "circle":
				circle = at["cx"] + " " + at["cy"] + " " + at["r"]
			}
		}
	}
	var want []string
	for _, l := range sheet.Layers() {
		want = append(want, string(l))
	}
	assert.Equal(t, want, layers)
	assert.Equal(t, "20 -45 6", circle)
	assert.Contains(t, words, "25½ in × 3°")
	assert.Contains(t, words, "shelf <test>")
}

// mark is a drawing of one black square that is neither in the middle nor on
// an axis: x from 10 to 20, y from 30 to 45, in a frame of 0 … 100 by 0 … 60.
func mark() sheet.Scene {
	s := sheet.Scene{Name: "mark"}
	s.Add(
		sheet.Item{Layer: sheet.Slab, Shape: sheet.Ring(geom.Box{Max: geom.Point{X: 100, Y: 60}}.Polygon()), Stroke: sheet.Stroke{Colour: "#dddddd", Width: 0.2}},
		sheet.Item{Layer: sheet.Body, Shape: sheet.Ring(geom.Box{Min: geom.Point{X: 10, Y: 30}, Max: geom.Point{X: 20, Y: 45}}.Polygon()), Fill: sheet.Fill{Colour: "#000000"}},
	)
	return s
}

// blackBox is the box of all dark pixels in mm, y up, for a picture of
// dots pixels a mm whose lower left corner is the origin.
func blackBox(img image.Image, dots float64) geom.Box {
	b := geom.EmptyBox()
	r := img.Bounds()
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if c, _, _, _ := img.At(x, y).RGBA(); c < 0x6000 {
				b = b.Include(geom.Point{X: float64(x) / dots, Y: float64(r.Max.Y-y-1) / dots})
				b = b.Include(geom.Point{X: float64(x+1) / dots, Y: float64(r.Max.Y-y) / dots})
			}
		}
	}
	return b
}

func sameBox(t *testing.T, want, got geom.Box, tol float64) {
	t.Helper()
	assert.InDelta(t, want.Min.X, got.Min.X, tol)
	assert.InDelta(t, want.Min.Y, got.Min.Y, tol)
	assert.InDelta(t, want.Max.X, got.Max.X, tol)
	assert.InDelta(t, want.Max.Y, got.Max.Y, tol)
}

// The square comes out where it is, not mirrored, at its size: in our own PNG
// and in the SVG as librsvg draws it. The drawing has 5.1 mm round it (white
// edge and half a line).
func TestNotMirroredAndFullSize(t *testing.T) {
	want := geom.Box{Min: geom.Point{X: 15.1, Y: 35.1}, Max: geom.Point{X: 25.1, Y: 50.1}}
	t.Run("PNG", func(t *testing.T) {
		var b bytes.Buffer
		require.NoError(t, format.PNG(&b, mark(), 10))
		img, err := png.Decode(&b)
		require.NoError(t, err)
		assert.Equal(t, image.Pt(1102, 702), img.Bounds().Size())
		sameBox(t, want, blackBox(img, 10), 0.11)
	})
	t.Run("SVG", func(t *testing.T) {
		rsvg := program(t, "rsvg-convert", "librsvg2-bin")
		dir := t.TempDir()
		run(t, rsvg, "-d", "254", "-p", "254", "-o", dir+"/mark.png", written(t, dir, "mark.svg", svg(t, mark())))
		f, err := os.Open(dir + "/mark.png")
		require.NoError(t, err)
		defer f.Close()
		img, err := png.Decode(f)
		require.NoError(t, err)
		assert.InDelta(t, 1102, img.Bounds().Dx(), 1)
		sameBox(t, want, blackBox(img, 10), 0.11)
	})
	t.Run("PDF", func(t *testing.T) {
		pdftoppm := program(t, "pdftoppm", "poppler-utils")
		s := mark()
		b := s.Bounds().Grow(5)
		dir := t.TempDir()
		img := raster(t, pdftoppm, dir, sheet.Document{Title: "mark", Pages: []sheet.Page{{Width: b.Width(), Height: b.Height(), Views: []sheet.View{{Scene: &s, Window: b}}}}}, 254)[0]
		sameBox(t, want, blackBox(img, 10), 0.11)
	})
}

// pairs reads a DXF file as what it is, lines of code and value, knowing
// nothing of how it was written.
func pairs(t *testing.T, file []byte) (codes []int, values []string) {
	t.Helper()
	lines := strings.Split(strings.TrimRight(string(file), "\n"), "\n")
	require.Zero(t, len(lines)%2)
	for i := 0; i < len(lines); i += 2 {
		c, err := strconv.Atoi(strings.TrimSpace(lines[i]))
		require.NoError(t, err, "line %d", i+1)
		codes = append(codes, c)
		values = append(values, lines[i+1])
	}
	return codes, values
}

// Our own look at the file: pure ASCII, unit and layers, the circle where it
// is with y up.
func TestDXFSaysWhatItIs(t *testing.T) {
	file := dxf(t, shelf())
	for i, c := range file {
		require.True(t, c == '\n' || c >= 0x20 && c < 0x7f, "byte %d is %#x", i, c)
	}
	codes, values := pairs(t, file)
	var layers []string
	header := map[string]string{}
	for i, c := range codes {
		if c == 9 {
			header[values[i]] = values[i+1]
		}
		if c == 0 && values[i] == "LAYER" {
			layers = append(layers, values[i+1])
		}
		if c == 0 && values[i] == "CIRCLE" {
			assert.Equal(t, []string{"HOLE", "20.0", "45.0", "0.0", "6.0"}, values[i+1:i+6])
		}
	}
	assert.Equal(t, "AC1009", header["$ACADVER"])
	assert.Equal(t, "4", header["$INSUNITS"], "millimetres")
	assert.Equal(t, "1", header["$MEASUREMENT"], "metric")
	assert.Len(t, layers, 1+len(sheet.Layers()))
	assert.Contains(t, string(file), "25 1/2 in x 3%%d %%p0.1 - %%c6")
}

// The polyline of a curve stays within 0.01 mm of it: dense points of the true
// curve against the vertices in the file.
func TestDXFCurvesKeepTheirBound(t *testing.T) {
	s := shelf()
	codes, values := pairs(t, dxf(t, s))
	var ring geom.Polygon
	on := false
	for i := range codes {
		if codes[i] == 0 {
			on = values[i] == "VERTEX" && values[i+1] == "SLAB"
		}
		if on && codes[i] == 10 {
			x, err := strconv.ParseFloat(values[i], 64)
			require.NoError(t, err)
			y, err := strconv.ParseFloat(values[i+1], 64)
			require.NoError(t, err)
			ring = append(ring, geom.Point{X: x, Y: y})
		}
	}
	require.Greater(t, len(ring), 10)
	worst := 0.0
	for _, c := range s.Items[0].Shape.(sheet.Path).Parts[0].Curves {
		for i := range 2001 {
			d, _ := ring.BoundaryDistance(c.At(float64(i) / 2000))
			worst = math.Max(worst, d)
		}
	}
	assert.LessOrEqual(t, worst, 0.01)
	assert.Greater(t, worst, 0.0001, "the curve is not straight")
}

// A reader from outside, ezdxf, finds no fault and the same things.
func TestDXFReadByEzdxf(t *testing.T) {
	python := "/usr/bin/python3" // Debian's own, which sees Debian's packages
	if exec.Command(python, "-c", "import ezdxf").Run() != nil {
		t.Skip("needs ezdxf: apt-get install python3-ezdxf")
	}
	dir := t.TempDir()
	path := written(t, dir, "shelf.dxf", dxf(t, shelf()))
	script := written(t, dir, "read.py", []byte(`
import sys, ezdxf
from ezdxf import recover
doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()
print("errors", len(audit.errors), "fixes", len(audit.fixes))
print("units", doc.units, doc.dxfversion)
rec, audit = recover.readfile(sys.argv[1])
print("recover errors", len(audit.errors), "fixes", len(audit.fixes))
for e in doc.modelspace():
    k = e.dxftype()
    if k == "CIRCLE":
        print(k, e.dxf.layer, e.dxf.center.x, e.dxf.center.y, e.dxf.radius)
    elif k == "POLYLINE":
        p = list(e.points())
        a = sum(p[i].x*p[(i+1)%len(p)].y - p[(i+1)%len(p)].x*p[i].y for i in range(len(p)))/2
        print(k, e.dxf.layer, e.is_closed, "%.1f" % a)
    elif k == "LINE":
        print(k, e.dxf.layer, e.dxf.start.x, e.dxf.start.y, e.dxf.end.x, e.dxf.end.y, e.dxf.linetype)
    elif k == "TEXT":
        print(k, e.dxf.layer, e.dxf.height, e.dxf.text)
`))
	s := shelf()
	area := s.Items[0].Shape.(sheet.Path).Parts[0].Area()
	got := strings.Split(strings.TrimSpace(run(t, python, script, path)), "\n")
	assert.Equal(t, "errors 0 fixes 0", got[0])
	assert.Equal(t, "units 4 AC1009", got[1])
	assert.Equal(t, "recover errors 0 fixes 0", got[2])
	require.Len(t, got, 3+7)
	assert.Contains(t, got, "CIRCLE HOLE 20.0 45.0 6.0")
	assert.Contains(t, got, "POLYLINE STRIP True 2400.0")
	assert.Contains(t, got, "POLYLINE FLAW True 300.0")
	assert.Contains(t, got, "LINE CENTRELINE -5.0 30.0 145.0 30.0 DASH_9_1P5_1P5_1P5")
	assert.Contains(t, got, "TEXT NOTE 2.0 board frame: x along the board, y across it, mm")
	for _, l := range got {
		if v, ok := strings.CutPrefix(l, "POLYLINE SLAB True "); ok {
			a, err := strconv.ParseFloat(v, 64)
			require.NoError(t, err)
			assert.InDelta(t, area, a, 0.01*70, "within 0.01 mm of a curve some 70 mm long")
		}
	}
}

// FuzzDXFWords: whatever the words, the file stays ASCII, in pairs.
func FuzzDXFWords(f *testing.F) {
	for _, s := range []string{"25½ in", "", "a\nb\r\n0\nEOF", "木", "%%c", "\x00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, words string) {
		s := sheet.Scene{Name: words, Frame: words}
		s.Add(sheet.Item{Layer: sheet.Note, Shape: sheet.Text{Words: words, Height: 2}})
		var b bytes.Buffer
		require.NoError(t, format.DXF(&b, s))
		for _, c := range b.Bytes() {
			require.True(t, c == '\n' || c >= 0x20 && c < 0x7f)
		}
		_, values := pairs(t, b.Bytes())
		require.Equal(t, "EOF", values[len(values)-1])
		b.Reset()
		require.NoError(t, format.SVG(&b, s))
		d := xml.NewDecoder(&b)
		for {
			_, err := d.Token()
			if err == io.EOF {
				break
			}
			require.NoError(t, err)
		}
	})
}

func document(t *testing.T, paper string) sheet.Document {
	t.Helper()
	p, err := sheet.PaperNamed(paper)
	require.NoError(t, err)
	s := shelf().Scaled(4)
	s.Items = append(s.Items, sheet.Item{Layer: sheet.Cavity, Shape: sheet.Circle{Centre: geom.Point{X: 300, Y: 60}, Radius: 40}, Fill: sheet.Fill{Colour: "#0b6a66"}})
	pages, err := sheet.TilePages(s, sheet.TileOptions{Paper: p, Project: "Hall bench", Date: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)})
	require.NoError(t, err)
	return sheet.Document{Title: "Hall bench — shelf", Pages: pages}
}

func pdf(t *testing.T, d sheet.Document) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, format.PDF(&b, d))
	return b.Bytes()
}

// raster draws the document's pages with poppler; more are further arguments.
func raster(t *testing.T, pdftoppm, dir string, d sheet.Document, dpi int, more ...string) []image.Image {
	t.Helper()
	run(t, pdftoppm, append(more, "-r", fmt.Sprint(dpi), "-png", written(t, dir, "doc.pdf", pdf(t, d)), dir+"/page")...)
	names, err := filepath.Glob(dir + "/page-*.png")
	require.NoError(t, err)
	require.Len(t, names, len(d.Pages))
	var out []image.Image
	for _, n := range names {
		f, err := os.Open(n)
		require.NoError(t, err)
		img, err := png.Decode(f)
		f.Close()
		require.NoError(t, err)
		out = append(out, img)
	}
	return out
}

func TestPDFIsTheSameEveryTime(t *testing.T) {
	a := pdf(t, document(t, "A4"))
	time.Sleep(1100 * time.Millisecond) // a clock in the file would show
	assert.True(t, bytes.Equal(a, pdf(t, document(t, "A4"))))
}

func TestPDFIsSoundAndAsksForNoScaling(t *testing.T) {
	file := pdf(t, document(t, "Letter"))
	assert.True(t, bytes.HasPrefix(file, []byte("%PDF-1.7")))
	dir := t.TempDir()
	path := written(t, dir, "doc.pdf", file)
	t.Run("qpdf", func(t *testing.T) {
		qpdf := program(t, "qpdf", "qpdf")
		assert.Contains(t, run(t, qpdf, "--check", path), "No syntax or stream encoding errors")
		// What a reader takes as the root is the second one, with the wish.
		run(t, qpdf, "--qdf", "--object-streams=disable", path, dir+"/plain.pdf")
		plain, err := os.ReadFile(dir + "/plain.pdf")
		require.NoError(t, err)
		assert.Regexp(t, regexp.MustCompile(`/ViewerPreferences <<\s+/PickTrayByPDFSize true\s+/PrintScaling /None\s+>>`), string(plain))
		assert.Equal(t, len(sheet.Layers()), len(regexp.MustCompile(`/Type /OCG`).FindAll(plain, -1)))
	})
	t.Run("poppler", func(t *testing.T) {
		info := run(t, program(t, "pdfinfo", "poppler-utils"), path)
		assert.Contains(t, info, "792 x 612 pts (letter)")
		assert.Contains(t, info, "Hall bench — shelf")
		fonts := run(t, program(t, "pdffonts", "poppler-utils"), path)
		for _, l := range strings.Split(strings.TrimSpace(fonts), "\n")[2:] {
			assert.Regexp(t, `yes\s+\w+\s+yes`, l, "embedded, with its letters' meaning")
		}
		words := run(t, program(t, "pdftotext", "poppler-utils"), path, "-")
		for _, w := range []string{"25½", "×", "°", "±", "Ø", "—", "board frame: x along the board"} {
			assert.Contains(t, words, w)
		}
		assert.Contains(t, words, "Print at 100 %")
	})
}

// The bar on paper, measured on the page as poppler draws it, is 100 mm long
// within 0.1 mm, on every page of every paper; the inch bar 101.6 mm.
func TestTheBarsMeasureRight(t *testing.T) {
	pdftoppm := program(t, "pdftoppm", "poppler-utils")
	for _, paper := range []string{"A4", "Tabloid"} {
		d := document(t, paper)
		d.Pages = d.Pages[:2]                     // the cover and a sheet; all are made alike
		const dpi = 508                           // 20 pixels a mm
		low := int((d.Pages[0].Height - 45) * 20) // both bars stand in the lowest 45 mm
		for i, page := range raster(t, pdftoppm, t.TempDir(), d, dpi, "-y", fmt.Sprint(low), "-H", "900", "-x", "0", "-W", "3000") {
			img := page.(*image.RGBA)
			r := img.Bounds()
			lengths := map[int]bool{}
			for y := 0; y < r.Max.Y; y++ {
				run := 0
				for x := 0; x <= r.Max.X; x++ {
					if x < r.Max.X && img.Pix[img.PixOffset(x, y)] < 0x80 {
						run++
						continue
					}
					if run > 80*20 {
						lengths[run] = true
					}
					run = 0
				}
			}
			near := func(want float64) bool {
				for l := range lengths {
					if math.Abs(float64(l)/20-want) <= 0.1 {
						return true
					}
				}
				return false
			}
			assert.True(t, near(100), "%s page %d: no line of 100 mm, only %v/20", paper, i+1, lengths)
			assert.True(t, near(101.6), "%s page %d: no line of 4 in, only %v/20", paper, i+1, lengths)
		}
	}
}

// Words are as wide on the page as the drawing reckoned when it looked for a
// free place: against the boxes that poppler's text reader gives.
func TestWordsAreAsWideAsReckoned(t *testing.T) {
	pdftotext := program(t, "pdftotext", "poppler-utils")
	for _, bold := range []bool{false, true} {
		words := sheet.Text{Words: "Transition-walnut-127.5", At: geom.Point{X: 20, Y: 50}, Height: 6, Bold: bold}
		d := sheet.Document{Pages: []sheet.Page{{Width: 200, Height: 100, Items: []sheet.Item{{Layer: sheet.Note, Shape: words}}}}}
		dir := t.TempDir()
		out := run(t, pdftotext, "-bbox", written(t, dir, "words.pdf", pdf(t, d)), "-")
		m := regexp.MustCompile(`xMin="([\d.]+)" yMin="[\d.]+" xMax="([\d.]+)"`).FindStringSubmatch(out)
		require.NotNil(t, m, out)
		x0, err := strconv.ParseFloat(m[1], 64)
		require.NoError(t, err)
		x1, err := strconv.ParseFloat(m[2], 64)
		require.NoError(t, err)
		assert.InDelta(t, 20, x0*25.4/72, 0.01)
		assert.InDelta(t, words.Width(), (x1-x0)*25.4/72, 0.005*words.Width())
	}
}

// Two neighbouring sheets, laid over each other, show the same in the strip
// they share; and no sheet is blank.
func TestNeighboursAgreeWhereTheyOverlap(t *testing.T) {
	s := shelf().Scaled(4)
	p, err := sheet.PaperNamed("A4")
	require.NoError(t, err)
	o := sheet.TileOptions{Paper: p}
	tiling, err := sheet.PlanTiles(s, o)
	require.NoError(t, err)
	pages, err := sheet.TilePages(s, o)
	require.NoError(t, err)
	const dots = 4
	pictures := map[string]*image.RGBA{}
	for i, k := range tiling.Tiles {
		page := pages[i+1]
		var err error
		pictures[k.Name], err = format.Image(page, dots)
		require.NoError(t, err)
		page.Items = nil
		bare, err := format.Image(page, dots)
		require.NoError(t, err)
		dark := 0
		for j := 0; j < len(bare.Pix); j += 4 {
			if bare.Pix[j] != 0xff || bare.Pix[j+1] != 0xff || bare.Pix[j+2] != 0xff {
				dark++
			}
		}
		assert.Positive(t, dark, "sheet %s is blank", k.Name)
	}
	compared := 0
	for i, a := range tiling.Tiles {
		for j, b := range tiling.Tiles {
			if b.Column-a.Column+b.Row-a.Row != 1 || b.Column < a.Column || b.Row < a.Row {
				continue
			}
			va, vb := pages[i+1].Views[0], pages[j+1].Views[0]
			compared++
			bad, all := 0, 0
			// Look at points of the shared strip, the middles of pixels
			// (windows begin on whole pixels), a millimetre inside the frames.
			x0, x1 := math.Max(a.Window.Min.X, b.Window.Min.X)+1+0.5/dots, math.Min(a.Window.Max.X, b.Window.Max.X)-1
			y0, y1 := math.Max(a.Window.Min.Y, b.Window.Min.Y)+1+0.5/dots, math.Min(a.Window.Max.Y, b.Window.Max.Y)-1
			for x := x0; x < x1; x += 1.0 / dots {
				for y := y0; y < y1; y += 1.0 / dots {
					q := geom.Point{X: x, Y: y}
					ca := pixel(pictures[a.Name], q.Add(va.Shift()), pages[i+1].Height, dots)
					cb := pixel(pictures[b.Name], q.Add(vb.Shift()), pages[j+1].Height, dots)
					all++
					if math.Abs(ca-cb) > 40 {
						bad++
					}
				}
			}
			assert.Less(t, float64(bad), 0.002*float64(all), "%s and %s differ at %d of %d points", a.Name, b.Name, bad, all)
			require.Greater(t, all, 1000)
		}
	}
	assert.Greater(t, compared, 3)
}

// Lines that run back over themselves, on which the library that strokes them
// panics: the middle of every edge is inked all the same, and the paper beside
// them is not.
func TestPicturesOfStrangeLines(t *testing.T) {
	ring := geom.Polygon{geom.Pt(50, 30), geom.Pt(40, 50), geom.Pt(0, 20), geom.Pt(50, 20), geom.Pt(50, 0), geom.Pt(50, 50), geom.Pt(50, 10)}
	for _, dash := range [][]float64{nil, {4, 1}} {
		page := sheet.Page{Width: 60, Height: 60, Items: []sheet.Item{{
			Layer: sheet.Body, Shape: sheet.Ring(ring), Stroke: sheet.Stroke{Colour: "#000000", Width: 5, Dash: dash},
		}}}
		img, err := format.Image(page, 8)
		require.NoError(t, err)
		dark := 0
		for i, p := range ring {
			for _, at := range []float64{0.4, 0.5, 0.6} {
				if pixel(img, p.Lerp(ring[(i+1)%len(ring)], at), page.Height, 8) < 10 {
					dark++
				}
			}
		}
		assert.GreaterOrEqual(t, dark, 3*len(ring)-4, "of %d places, some between dashes", 3*len(ring))
		assert.Equal(t, 255.0, pixel(img, geom.Pt(10, 50), page.Height, 8))
		assert.Equal(t, 255.0, pixel(img, geom.Pt(40, 30), page.Height, 8))
	}
}

// pixel is the grey value at a point of the page.
func pixel(img *image.RGBA, p geom.Point, height, dots float64) float64 {
	c := img.RGBAAt(int(math.Floor(p.X*dots)), int(math.Floor((height-p.Y)*dots)))
	return (float64(c.R) + float64(c.G) + float64(c.B)) / 3
}

func TestWritersRefuseWhatTheyCanNotDraw(t *testing.T) {
	bad := sheet.Scene{Items: []sheet.Item{{Layer: sheet.Hole, Shape: sheet.Circle{Radius: math.NaN()}}}}
	assert.Error(t, format.SVG(io.Discard, bad))
	assert.Error(t, format.InlineSVG(io.Discard, bad, ""))
	assert.Error(t, format.DXF(io.Discard, bad))
	assert.Error(t, format.PNG(io.Discard, bad, 4))
	assert.Error(t, format.PDF(io.Discard, sheet.Document{Pages: []sheet.Page{{Width: 100, Height: 100, Items: bad.Items}}}))
	assert.ErrorContains(t, format.PDF(io.Discard, sheet.Document{Title: "none"}), "no pages")
	assert.ErrorContains(t, format.PNG(io.Discard, shelf(), 1e6), "fewer pixels")
	assert.Error(t, format.PNG(io.Discard, shelf(), 0))
}

func TestEmptyDrawingIsAFileToo(t *testing.T) {
	for _, write := range []func(io.Writer, sheet.Scene) error{format.SVG, format.DXF,
		func(w io.Writer, s sheet.Scene) error { return format.PNG(w, s, 4) }} {
		var b bytes.Buffer
		assert.NoError(t, write(&b, sheet.Scene{}))
		assert.NotEmpty(t, b.Bytes())
	}
}

// A project may be called anything: words that the fonts or the PDF library do
// not know must not break a file, nor be read as PDF.
func TestPDFTakesAnyWords(t *testing.T) {
	for _, words := range []string{"", "木", "🎸 bench", "\x00\x01", "\xff\xfe", "(brackets) \\ and \r\n lines", "a\tb", "half ½ of 25 ″", strings.Repeat("long ", 400)} {
		for _, halo := range []float64{0, 0.5} {
			d := sheet.Document{Title: words, Subject: words, Pages: []sheet.Page{{Width: 200, Height: 100, Items: []sheet.Item{
				{Layer: sheet.Note, Shape: sheet.Text{Words: words, At: geom.Point{X: 20, Y: 50}, Height: 3, Halo: halo}},
				{Layer: sheet.Note, Shape: sheet.Text{Words: words, At: geom.Point{X: 20, Y: 30}, Height: 3, Bold: true}},
			}}}}
			file := pdf(t, d)
			_, err := format.Image(d.Pages[0], 2)
			require.NoError(t, err)
			if qpdf, err := exec.LookPath("qpdf"); err == nil {
				run(t, qpdf, "--check", written(t, t.TempDir(), "words.pdf", file))
			}
		}
	}
}
