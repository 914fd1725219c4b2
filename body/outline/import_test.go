package outline_test

import (
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
	. "slabwright/body/outline"
	"slabwright/fret/measure"
)

func openFile(t *testing.T, name string) io.Reader {
	f, err := os.Open(filepath.Join("testdata", name))
	require.NoError(t, err)
	t.Cleanup(func() { f.Close() })
	return f
}

// Two files as drawing programs write them come in at the right size. The
// wanted figures are worked from the radii alone, not from the files' numbers.
func TestImportSVGAtTheRightSize(t *testing.T) {
	t.Run("two lobes: relative arcs, packed flags, nested transforms, inches", func(t *testing.T) {
		got, err := ImportSVG(openFile(t, "two-lobes.svg"), Options{})
		require.NoError(t, err)
		// Lobes of radius r and R at distance d, waists of radius w touching both
		// from outside: the centres form two triangles with sides r+w, R+w, d.
		const in = 25.4
		r, R, d, w := 3.5*in, 4.75*in, 7.5*in, 3.0*in
		a, b := r+w, R+w
		s := (a + b + d) / 2
		triangle := math.Sqrt(s * (s - a) * (s - b) * (s - d)) // Heron
		angle := func(opposite, x, y float64) float64 { return math.Acos((x*x + y*y - opposite*opposite) / (2 * x * y)) }
		area := 2*triangle + r*r*(math.Pi-angle(b, a, d)) + R*R*(math.Pi-angle(a, b, d)) - w*w*angle(d, a, b)

		m := Measure(got.Path)
		assert.InDelta(t, area, m.Area, area*1e-6)
		assert.InDelta(t, r+d+R, m.Length, 1e-3)
		assert.InDelta(t, 2*R, m.Width, 1e-3)
		assert.InDelta(t, 2*r, m.UpperBout.Width, 0.01)
		assert.InDelta(t, w, m.SmallestInsideRadius, 0.01)
		assert.InDelta(t, 0, m.Bounds.Min.X, 1e-3, "the neck end was found at the small lobe")
		assert.False(t, got.HandSeen)
		notes := strings.Join(got.Notes, "\n")
		for _, want := range []string{"size is in inches", "one unit of the drawing is 0.254 mm", `largest of 2 closed outlines, <path id="body"> in line 12`,
			"neck end was taken to be up", "middle of the width", "cannot be seen for which hand"} {
			assert.Contains(t, notes, want)
		}
	})
	t.Run("notes in the project's unit", func(t *testing.T) {
		got, err := ImportSVG(openFile(t, "two-lobes.svg"), Options{Show: measure.Inches, LengthMM: 400})
		require.NoError(t, err)
		notes := strings.Join(got.Notes, "\n")
		assert.Contains(t, notes, "one unit of the drawing is 0.01 in")
		assert.Contains(t, notes, "known length of 15.748 in")
		assert.NotContains(t, notes, " mm")
		got, err = ImportSVG(strings.NewReader(`<svg><rect width="100" height="80"/></svg>`), Options{Show: measure.Inches, UnitMM: 2.54})
		require.NoError(t, err)
		assert.Contains(t, got.Notes[0], "taken as 0.1 in, as given")
	})
	t.Run("waves: curves of all kinds, entities, a view that is shifted", func(t *testing.T) {
		got, err := ImportSVG(openFile(t, "waves.svg"), Options{Neck: AsDrawn})
		require.NoError(t, err)
		m := Measure(got.Path)
		assert.InDelta(t, 254*254-4*50.8*50.8/6, m.Area, 1e-6)
		assert.InDelta(t, 254, m.Length, 1e-9)
		// the wave's height is 180/(6√3) units of 1/72 in
		assert.InDelta(t, 254+180/(6*math.Sqrt(3))/72*25.4, m.Width, 1e-9)
		assert.InDelta(t, 0, m.Bounds.Min.X, 1e-9)
		assert.InDelta(t, -10*25.4, m.Bounds.Min.Y, 1e-9, "y runs up")
	})
}

// A small drawing in a page of 300 × 200 mm.
func svg(shapes string) string {
	return `<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200">` + shapes + `</svg>`
}

func TestImportSVGShapes(t *testing.T) {
	for _, c := range []struct {
		name, svg           string
		area, width, height float64
		notes               string
	}{
		{"polygon", svg(`<polygon points="10,10 110,10 110,90 10 90"/>`), 8000, 100, 80, ""},
		{"polyline drawn shut", svg(`<polyline points="10,10,110,10,110,90,10,90,10,10"/>`), 8000, 100, 80, ""},
		{"lines joined, one run backwards, gaps of 0.03", svg(`<line x1="10" y1="10" x2="110" y2="10"/><line x1="110" y1="90" x2="110.03" y2="10"/><path d="M110 90H10V10.02"/>`), 8000, 100, 80, "closed gaps of up to 0.03 mm"},
		{"rectangle, lengths in cm", svg(`<g transform="scale(0.2645833333333333)"><rect x="1cm" y="1cm" width="10cm" height="8cm"/></g>`), 8000, 100, 80, ""},
		{"rounded rectangle", svg(`<rect x="10" y="20" width="100" height="80" rx="20"/>`), 8000 - (4-math.Pi)*400, 100, 80, ""},
		{"circle turned and mirrored", svg(`<circle cx="100" cy="100" r="50" transform="rotate(33) scale(-1 1)"/>`), math.Pi * 2500, 100, 100, ""},
		{"ellipse", svg(`<ellipse cx="100" cy="100" rx="50" ry="40"/>`), math.Pi * 2000, 100, 80, ""},
		{"skewed square keeps its area", svg(`<rect x="50" y="50" width="80" height="80" transform="skewX(30)"/>`), 6400, 80 + 80*math.Tan(math.Pi/6), 80, ""},
		{"half discs by arcs, radii too small are grown", svg(`<path d="M50 100 A1 1 0 0 1 150 100 A 1 1 0 0 1 50 100"/>`), math.Pi * 2500, 100, 100, ""},
		{"smooth curves", svg(`<path d="M50,100c0-30 20-50 50-50s50 20 50 50-20 50-50 50S50 130 50 100z"/>`), 8060, 100, 100, ""}, // a quarter with handles of k r is r² (1/2 + 3k/5 − 3k²/20),
		{"smooth quadratics", svg(`<path d="M50 100q0-50 50-50t50 50 -50 50T50 100"/>`), 0, 0, 0, ""},
		{"largest of several subpaths", svg(`<path d="M0 0h100v80h-100zm10 10h30v30h-30z"/>`), 8000, 100, 80, "largest of 2 closed outlines, <path> in line 1, part 1"},
		{"hidden shapes are not seen", svg(`<rect width="250" height="150" style="fill:red; display : none"/><g visibility="hidden"><rect width="250" height="150"/></g><defs><rect width="250" height="150"/></defs><rect width="100" height="80"/>`), 8000, 100, 80, ""},
		{"px", `<svg xmlns="http://www.w3.org/2000/svg"><rect width="960" height="480"/></svg>`, 254 * 127, 254, 127, "px, 96 to the inch"},
		{"no unit but a view", `<svg xmlns="http://www.w3.org/2000/svg" width="960" viewBox="0 0 10 10"><rect width="10" height="5"/></svg>`, 254 * 127, 254, 127, "no unit"},
		{"points", `<svg xmlns="http://www.w3.org/2000/svg" width="720pt" viewBox="0 0 10 10"><rect width="10" height="5"/></svg>`, 254 * 127, 254, 127, "in points"},
		{"percent", `<svg xmlns="http://www.w3.org/2000/svg" width="100%" height="100%" viewBox="0 0 960 480"><rect width="960" height="480"/></svg>`, 254 * 127, 254, 127, "no unit"},
		{"view of other proportions", `<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 10 10"><rect width="10" height="8"/></svg>`, 8000, 100, 80, ""},
		{"nested view", svg(`<svg x="10" y="10" width="100" height="80" viewBox="0 0 5 4"><rect width="5" height="4"/></svg>`), 8000, 100, 80, ""},
		{"old text encoding", `<?xml version="1.0" encoding="ISO-8859-1"?>` + svg("<desc>M\xf6bel</desc><rect width='100' height='80'/>"), 8000, 100, 80, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := ImportSVG(strings.NewReader(c.svg), Options{Neck: AsDrawn})
			require.NoError(t, err)
			b := got.Path.Bounds()
			if c.area == 0 { // t repeats q's bend: it only has to be read
				return
			}
			tol := 0.01
			if strings.Contains(c.name, "gaps") {
				tol = 3
			}
			assert.InDelta(t, c.area, got.Path.Area(), tol)
			assert.InDelta(t, c.width, b.Width(), 0.05)
			assert.InDelta(t, c.height, b.Height(), 0.05)
			assert.Contains(t, strings.Join(got.Notes, "\n"), c.notes)
		})
	}
}

func TestImportSVGChoosesAndScales(t *testing.T) {
	two := svg(`<g id="big"><rect width="200" height="150"/></g><g id="small"><rect id="r" x="5" y="5" width="100" height="80"/></g>`)
	for _, id := range []string{"small", "r"} {
		got, err := ImportSVG(strings.NewReader(two), Options{ID: id})
		require.NoError(t, err)
		assert.InDelta(t, 8000, got.Path.Area(), 1e-9)
	}
	_, err := ImportSVG(strings.NewReader(two), Options{ID: "smal"})
	assert.EqualError(t, err, `SVG: no element has the id "smal": did you mean "small"?`)

	got, err := ImportSVG(strings.NewReader(two), Options{LengthMM: 400})
	require.NoError(t, err)
	assert.InDelta(t, 400*300, got.Path.Area(), 1e-6)
	assert.Contains(t, strings.Join(got.Notes, "\n"), "scaled by 2 to the known length of 400 mm")

	got, err = ImportSVG(strings.NewReader(`<svg><rect width="100" height="80"/></svg>`), Options{UnitMM: 2})
	require.NoError(t, err)
	assert.InDelta(t, 200*160, got.Path.Area(), 1e-9)
}

// An outline in any of four orientations, mirrored or not, comes in with the
// neck end at u = 0 and its hand seen.
func TestImportTurnsTheOutline(t *testing.T) {
	p, err := New("double-cutaway", nil, RightHanded)
	require.NoError(t, err)
	want := Measure(p)
	for _, c := range []struct {
		turn float64
		neck NeckSide
		says string
	}{{0, NeckLeft, "left"}, {-90, NeckUp, "up"}, {180, NeckRight, "right"}, {90, NeckDown, "down"}} {
		for _, hand := range []Hand{RightHanded, LeftHanded} {
			drawn := p
			if hand == LeftHanded {
				drawn = p.Moved(geom.FlipY())
			}
			drawn = drawn.Moved(geom.Turn(c.turn * math.Pi / 180)).Moved(geom.Shift(geom.V(800, 900)))
			for _, neck := range []NeckSide{NeckInferred, c.neck} {
				got, err := ImportSVG(strings.NewReader(writeSVG(drawn)), Options{Neck: neck})
				require.NoError(t, err)
				m := Measure(got.Path)
				assert.InDelta(t, want.Length, m.Length, 1e-3)
				// the whole frame is found again, by the straight neck end
				assert.InDelta(t, want.Bounds.Min.X, m.Bounds.Min.X, 1e-3)
				assert.InDelta(t, want.Centroid.X, m.Centroid.X, 1e-3)
				assert.InDelta(t, math.Abs(want.Centroid.Y), math.Abs(m.Centroid.Y), 1e-3)
				assert.Equal(t, hand, got.Hand)
				assert.True(t, got.HandSeen)
				assert.Contains(t, strings.Join(got.Notes, "\n"), "straight neck end, 63")
				if neck == NeckInferred {
					assert.Contains(t, strings.Join(got.Notes, "\n"), "taken to be "+c.says)
				}
			}
		}
	}
	got, err := ImportSVG(strings.NewReader(writeSVG(p)), Options{Mirror: true})
	require.NoError(t, err)
	assert.Equal(t, LeftHanded, got.Hand)
}

func TestImportSVGRefuses(t *testing.T) {
	for _, c := range []struct{ name, svg, says string }{
		{"nothing", "", "there is no <svg>"},
		{"another kind of file", "<html></html>", "line 1: it begins with <html>, not with <svg>"},
		{"broken off", `<svg><path d="M0 0`, "not well-formed"},
		{"an empty drawing", svg(""), "no line or curve"},
		{"text only", svg("<text>body</text>"), "no line or curve"},
		{"open", svg(`<path d="M10 10H110V90H10V12"/>`), "the outline is open: <path> in line 1 begins at (10, 10) and ends at (10, 12) of the drawing, 2 mm apart; gaps up to 0.05 mm are closed"},
		{"crossing itself", svg(`<polygon points="10,10 110,90 110,10 10,90"/>`), "crosses or touches itself near (60, 50) of the drawing"},
		{"tiny", svg(`<rect width="30" height="20"/>`), "tiny: 30 mm × 20 mm"},
		{"huge", svg(`<rect width="30000" height="20000"/>`), "huge: 30000 mm × 20000 mm"},
		{"no number", svg("<path d='M0 0 L\n1O 20'/>"), `<path> in line 2: at character 9 a number is wanted, not "O 20"`},
		{"no such command", svg(`<path d="M0 0 K 3 4"/>`), "there is no path command K"},
		{"not beginning with M", svg(`<path d="L0 0 3 4"/>`), "begins with M"},
		{"numbers after z", svg(`<path d="M0 0h3v3z 4 4"/>`), "a command is wanted"},
		{"a bad flag", svg(`<path d="M0 0 A 3 3 0 2 0 4 4"/>`), "a flag 0 or 1 is wanted"},
		{"infinite", svg(`<path d="M0 0 L1e400 3"/>`), "out of all measure"},
		{"not a number", svg(`<path d="M0 0 LNaN 3"/>`), "a number is wanted"},
		{"an odd number of coordinates", svg(`<polygon points="1 2 3"/>`), "a number is missing at the end"},
		{"an unknown unit", svg(`<rect width="3em" height="2"/>`), `cannot use the unit "em"`},
		{"a bad view", `<svg viewBox="0 0 0 10"/>`, `viewBox "0 0 0 10"`},
		{"a bad transform", svg(`<g transform="rotate(1,2)"/>`), "cannot read rotate(1,2)"},
		{"half a transform", svg(`<g transform="rotate(1"/>`), `cannot read the transform "rotate(1"`},
		{"squashed flat", svg(`<g transform="scale(1 0)"><rect width="100" height="80"/></g>`), "tiny: 100 mm × 0 mm"},
		{"an unreadable encoding", `<?xml version="1.0" encoding="UTF-16"?><svg/>`, "save it as UTF-8"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ImportSVG(strings.NewReader(c.svg), Options{})
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.says)
		})
	}
	for _, o := range []Options{{GapMM: -1}, {GapMM: math.NaN()}, {LengthMM: 3}, {UnitMM: -2}, {Neck: 77}} {
		_, err := ImportSVG(strings.NewReader(svg(`<rect width="100" height="80"/>`)), o)
		assert.Error(t, err, "%+v", o)
	}
}

// writeSVG writes the path as a drawing in mm, y down.
func writeSVG(p geom.Path) string {
	var b strings.Builder
	for i, c := range p.Curves {
		if i == 0 {
			fmt.Fprintf(&b, "M%.6f %.6f", c.P0.X, -c.P0.Y)
		}
		fmt.Fprintf(&b, "C%.6f %.6f %.6f %.6f %.6f %.6f", c.P1.X, -c.P1.Y, c.P2.X, -c.P2.Y, c.P3.X, -c.P3.Y)
	}
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="600mm" viewBox="-100 -300 600 600"><path id="BODY" d="%sZ"/></svg>`, b.String())
}

// pairs writes DXF groups: code, value, code, value …
func pairs(of ...any) string {
	var b strings.Builder
	for i := 0; i < len(of); i += 2 {
		fmt.Fprintf(&b, "%3d\n%v\n", of[i], of[i+1])
	}
	return b.String()
}

func dxf(units int, entities string) string {
	return pairs(0, "SECTION", 2, "HEADER", 9, "$ACADVER", 1, "AC1009", 9, "$INSUNITS", 70, units, 0, "ENDSEC", 0, "SECTION", 2, "ENTITIES") +
		entities + pairs(0, "ENDSEC", 0, "EOF")
}

// writePolyline, writeSplines and writeLines write the path in three ways: one
// closed polyline of straight stretches, a spline a curve, loose lines.
func writePolyline(p geom.Path) string {
	b := pairs(0, "POLYLINE", 8, "BODY", 66, 1, 70, 1)
	for _, q := range p.Flatten(0.002) {
		b += pairs(0, "VERTEX", 8, "BODY", 10, q.X, 20, q.Y)
	}
	return dxf(4, b+pairs(0, "SEQEND"))
}

func writeSplines(p geom.Path) string {
	b := ""
	for _, c := range p.Curves {
		b += pairs(0, "SPLINE", 8, "BODY", 70, 8, 71, 3, 72, 8, 73, 4, 74, 0, 40, 0, 40, 0, 40, 0, 40, 0, 40, 1, 40, 1, 40, 1, 40, 1)
		for _, q := range []geom.Point{c.P0, c.P1, c.P2, c.P3} {
			b += pairs(10, fmt.Sprintf("%.6f", q.X), 20, fmt.Sprintf("%.6f", q.Y), 30, 0)
		}
	}
	return dxf(4, b)
}

func writeLines(p geom.Path) string {
	b := ""
	ring := p.Flatten(0.002)
	for i := range ring {
		k := i * 7 % len(ring) // out of order, every other one backwards
		if len(ring)%7 == 0 {
			k = i
		}
		from, to := ring[k], ring[(k+1)%len(ring)]
		if k%2 == 0 {
			from, to = to, from
		}
		b += pairs(0, "LINE", 8, "BODY", 10, fmt.Sprintf("%.5f", from.X), 20, fmt.Sprintf("%.5f", from.Y), 11, fmt.Sprintf("%.5f", to.X), 21, fmt.Sprintf("%.5f", to.Y))
	}
	return dxf(4, b)
}

// distance is how far the paths stray from each other at many places.
func distance(a, b geom.Path) float64 {
	worst := 0.0
	for _, two := range [][2]geom.Path{{a, b}, {b, a}} {
		ring := geom.Polygon(two[1].Flatten(0.002))
		step := max(1, len(two[0].Curves)/100)
		for i := 0; i < len(two[0].Curves); i += step {
			for s := range 3 {
				d, _ := ring.BoundaryDistance(two[0].Curves[i].At(float64(s) / 3))
				worst = max(worst, d)
			}
		}
	}
	return worst
}

func TestRoundTrips(t *testing.T) {
	eachFamily(t, func(t *testing.T, name string) {
		p, err := New(name, nil, LeftHanded)
		require.NoError(t, err)
		o := Options{Neck: AsDrawn}
		for kind, read := range map[string]func() (Imported, error){
			"SVG":          func() (Imported, error) { return ImportSVG(strings.NewReader(writeSVG(p)), o) },
			"DXF polyline": func() (Imported, error) { return ImportDXF(strings.NewReader(writePolyline(p)), o) },
			"DXF splines":  func() (Imported, error) { return ImportDXF(strings.NewReader(writeSplines(p)), o) },
			"DXF lines":    func() (Imported, error) { return ImportDXF(strings.NewReader(writeLines(p)), o) },
		} {
			got, err := read()
			require.NoError(t, err, kind)
			assert.Less(t, distance(p, got.Path), 0.01, kind)
			assert.InDelta(t, p.Area(), got.Path.Area(), 0.01*p.Length(0.1), kind)
		}
	})
}

func TestImportDXFEntities(t *testing.T) {
	stadium := pairs( // 100 mm apart, half discs of radius 40: 180 × 80
		0, "LINE", 8, "OUT", 10, 0, 20, 40, 11, 100, 21, 40,
		0, "ARC", 8, "OUT", 10, 100, 20, 0, 40, 40, 50, 270, 51, 90,
		0, "LINE", 8, "OUT", 10, 0.04, 20, -40, 11, 100, 21, -40,
		0, "ARC", 8, "OUT", 10, 0, 20, 0, 40, 40, 50, 90, 51, 270)
	area := 8000 + math.Pi*1600
	bulges := pairs(10, 0, 20, -40, 10, 100, 20, -40, 42, 1, 10, 100, 20, 40, 10, 0, 20, 40, 42, 1)
	vertices := pairs(0, "VERTEX", 10, 0, 20, -40, 0, "VERTEX", 10, 100, 20, -40, 42, 1, 0, "VERTEX", 10, 100, 20, 40, 0, "VERTEX", 10, 0, 20, 40, 42, 1, 0, "SEQEND")
	// The unit circle as a rational spline of degree 2 (Piegl and Tiller, The
	// NURBS book, 7.5: nine points, weights 1 and √2/2), radius 50.
	w := math.Sqrt2 / 2
	circle := pairs(0, "SPLINE", 70, 5, 71, 2, 40, 0, 40, 0, 40, 0, 40, 1, 40, 1, 40, 2, 40, 2, 40, 3, 40, 3, 40, 4, 40, 4, 40, 4,
		41, 1, 41, w, 41, 1, 41, w, 41, 1, 41, w, 41, 1, 41, w, 41, 1)
	for _, q := range [][2]int{{50, 0}, {50, 50}, {0, 50}, {-50, 50}, {-50, 0}, {-50, -50}, {0, -50}, {50, -50}, {50, 0}} {
		circle += pairs(10, q[0], 20, q[1], 30, 0)
	}
	fitted := pairs(0, "SPLINE", 70, 11, 71, 3, 74, 25)
	for i := range 25 {
		a := 2 * math.Pi * float64(i%24) / 24
		fitted += pairs(11, 50*math.Cos(a), 21, 50*math.Sin(a), 31, 0)
	}
	for _, c := range []struct {
		name, entities string
		units          int
		area, width    float64
		notes          string
	}{
		{"lines and arcs", stadium, 4, area, 180, "closed gaps of up to 0.04 mm"},
		{"light polyline with bulges", pairs(0, "LWPOLYLINE", 8, "OUT", 90, 4, 70, 1) + bulges, 4, area, 180, "LWPOLYLINE"},
		{"polyline with bulges", pairs(0, "POLYLINE", 66, 1, 70, 1) + vertices, 4, area, 180, "POLYLINE"},
		{"seen from below: x runs the other way", pairs(0, "LWPOLYLINE", 90, 4, 70, 1, 210, 0, 220, 0, 230, -1) + bulges, 4, area, 180, ""},
		{"circle", pairs(0, "CIRCLE", 10, 7, 20, 8, 40, 50), 4, math.Pi * 2500, 100, ""},
		{"ellipse", pairs(0, "ELLIPSE", 10, 7, 20, 8, 11, 0, 21, 50, 40, 0.8, 41, 0, 42, 2*math.Pi), 4, math.Pi * 2000, 80, ""},
		{"rational spline", circle, 4, math.Pi * 2500, 100, "SPLINE"},
		{"spline by points on it", fitted, 4, math.Pi * 2500, 100, "SPLINE"},
		{"inches", pairs(0, "CIRCLE", 10, 7, 20, 8, 40, 5), 1, math.Pi * 127 * 127, 254, "in inches"},
		{"no unit", pairs(0, "CIRCLE", 10, 7, 20, 8, 40, 50), 0, math.Pi * 2500, 100, "taken as millimetres"},
		{"blocks of other files are told", pairs(0, "CIRCLE", 10, 7, 20, 8, 40, 50, 0, "INSERT", 2, "B", 0, "INSERT", 2, "C"), 4, math.Pi * 2500, 100, "2 INSERT left out"},
		{"paper space is not read", pairs(0, "CIRCLE", 10, 7, 20, 8, 40, 50, 0, "CIRCLE", 67, 1, 10, 7, 20, 8, 40, 500), 4, math.Pi * 2500, 100, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, eol := range []string{"\n", "\r\n"} {
				got, err := ImportDXF(strings.NewReader(strings.ReplaceAll(dxf(c.units, c.entities), "\n", eol)), Options{Neck: AsDrawn})
				require.NoError(t, err)
				assert.InDelta(t, c.area, got.Path.Area(), c.area*3e-4)
				assert.InDelta(t, c.width, got.Path.Bounds().Width(), 0.02)
				assert.Contains(t, strings.Join(got.Notes, "\n"), c.notes)
			}
		})
	}
	layers := dxf(4, stadium+pairs(0, "CIRCLE", 8, "SHEET", 10, 0, 20, 0, 40, 500))
	got, err := ImportDXF(strings.NewReader(layers), Options{ID: "out"})
	require.NoError(t, err)
	assert.InDelta(t, area, got.Path.Area(), 5)
	_, err = ImportDXF(strings.NewReader(layers), Options{ID: "otu"})
	assert.ErrorContains(t, err, `nothing is drawn on a layer "otu": did you mean "out"?`)
	got, err = ImportDXF(strings.NewReader(layers), Options{ID: "OUT", LengthMM: 360, GapMM: 0.1})
	require.NoError(t, err)
	assert.InDelta(t, 4*area, got.Path.Area(), 20)
}

// A block holds half an outline, drawn to the left of its base point; the
// drawing puts it in twice, once mirrored and once as a block in a block, and a
// row of copies of a small circle beside it.
func TestImportDXFBlocks(t *testing.T) {
	blocks := pairs(0, "SECTION", 2, "BLOCKS",
		0, "BLOCK", 2, "half", 70, 0, 10, 7, 20, 3,
		0, "LINE", 8, 0, 10, 7, 20, 43, 11, -43, 21, 43,
		0, "ARC", 8, 0, 10, -43, 20, 3, 40, 40, 50, 90, 51, 270,
		0, "LINE", 8, 0, 10, 7, 20, -37, 11, -43, 21, -37, 0, "ENDBLK",
		0, "BLOCK", 2, "outer", 10, 0, 20, 0, 0, "INSERT", 2, "HALF", 10, 0, 20, 0, 0, "ENDBLK",
		0, "BLOCK", 2, "peg", 10, 0, 20, 0, 0, "CIRCLE", 8, "PEGS", 10, 0, 20, 0, 40, 30, 0, "ENDBLK",
		0, "BLOCK", 2, "again", 10, 0, 20, 0, 0, "INSERT", 2, "again", 0, "INSERT", 2, "again", 0, "ENDBLK",
		0, "BLOCK", 2, "nothing", 10, 0, 20, 0, 0, "ENDBLK",
		0, "ENDSEC")
	// Turned by 90° round (200, 100), one half stretched 1.5 times along its
	// length: 2·(50·80) + 25·80 + half an ellipse + half a disc.
	entities := pairs(
		0, "INSERT", 8, "BODY", 2, "outer", 10, 200, 20, 100, 41, 1.5, 50, 90,
		0, "INSERT", 8, "BODY", 2, "half", 10, 200, 20, 100, 41, -1, 50, 90,
		0, "INSERT", 8, "BODY", 2, "peg", 10, 0, 20, 300, 70, 3, 71, 2, 44, 100, 45, 90)
	file := blocks + dxf(4, entities)
	got, err := ImportDXF(strings.NewReader(file), Options{Neck: AsDrawn})
	require.NoError(t, err)
	assert.InDelta(t, 50*80*2.5+math.Pi*1600/2*2.5, got.Path.Area(), 1e-2)
	box := got.Path.Bounds()
	assert.InDelta(t, 0, box.Min.Distance(geom.Pt(160, 100-1.5*90)), 1e-6)
	assert.InDelta(t, 0, box.Max.Distance(geom.Pt(240, 190)), 1e-6)
	assert.Contains(t, strings.Join(got.Notes, "\n"), "the largest of 7 closed outlines")

	// What lies on layer 0 of a block lies on the layer of its INSERT.
	got, err = ImportDXF(strings.NewReader(file), Options{Neck: AsDrawn, ID: "pegs"})
	require.NoError(t, err)
	assert.InDelta(t, math.Pi*900, got.Path.Area(), 1)

	for name, c := range map[string]struct{ entities, says string }{
		"a block that holds itself":       {pairs(0, "INSERT", 2, "again"), "holds itself"},
		"rows without end":                {strings.Repeat(pairs(0, "INSERT", 2, "nothing", 70, 1000, 71, 1000), 3), "more of the drawing than can be read"},
		"a block that stands on its edge": {pairs(0, "INSERT", 2, "peg", 210, 1, 220, 0, 230, 0), "does not lie in the x-y plane"},
	} {
		_, err := ImportDXF(strings.NewReader(blocks+dxf(4, c.entities)), Options{})
		assert.ErrorContains(t, err, c.says, name)
	}
}

// Copies by <use>: half an outline and its mirror image, a symbol with a view
// of its own, and what cannot be followed.
func TestImportSVGCopies(t *testing.T) {
	half := `<path id="half" d="M0 0 h50 a40 40 0 0 1 0 80 h-50"/>`
	got, err := ImportSVG(strings.NewReader(svg(`<defs>`+half+`</defs>
		<g transform="translate(100 50)"><use href="#half" x="3"/><use xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href="#half" transform="translate(3 0) scale(-2 1)"/></g>
		<use href="#gone"/><use href="other.svg#half"/>`)), Options{Neck: AsDrawn})
	require.NoError(t, err)
	assert.InDelta(t, 3*50*80+3*math.Pi*1600/2, got.Path.Area(), 1e-2)
	assert.InDelta(t, 103-180, got.Path.Bounds().Min.X, 1e-6)
	notes := strings.Join(got.Notes, "\n")
	assert.Contains(t, notes, `copies "#gone", which is not in the file`)
	assert.Contains(t, notes, `copies "other.svg#half", which is not in the file`)

	// 40 × 20 in the symbol's own units, shown 200 × 100 mm large
	got, err = ImportSVG(strings.NewReader(svg(`<symbol id="s" viewBox="10 10 40 20"><rect x="10" y="10" width="40" height="20"/></symbol><use id="wanted" href="#s" x="5" y="7" width="200" height="100"/><circle r="300"/>`)),
		Options{Neck: AsDrawn, ID: "wanted"})
	require.NoError(t, err)
	assert.InDelta(t, 0, got.Path.Bounds().Min.Distance(geom.Pt(5, -107)), 1e-9)
	assert.InDelta(t, 0, got.Path.Bounds().Max.Distance(geom.Pt(205, -7)), 1e-9)
	assert.Contains(t, strings.Join(got.Notes, "\n"), `copied by <use id="wanted"`)

	for _, endless := range []string{
		`<g id="a"><use href="#a"/></g>`,
		`<g id="a"><use href="#b"/><use href="#b"/></g><g id="b"><use href="#a"/><use href="#a"/></g>`,
	} {
		_, err = ImportSVG(strings.NewReader(svg(endless)), Options{})
		assert.ErrorContains(t, err, "or copy themselves")
	}
}

func TestImportDXFRefuses(t *testing.T) {
	for _, c := range []struct{ name, dxf, says string }{
		{"nothing", "", "no ENTITIES section"},
		{"text", "hello\nworld\n", `line 1: a group code is wanted`},
		{"binary", "AC\x00\x1a", "binary"},
		{"broken off", "0\nSECTION\n2", "line 3: the file breaks off"},
		{"open", dxf(4, pairs(0, "LWPOLYLINE", 70, 0, 10, 0, 20, 0, 10, 100, 20, 0, 10, 100, 20, 80, 10, 0, 20, 80)), "the outline is open: the LWPOLYLINE in line 20 begins at (0, 0) and ends at (0, 80) of the drawing, 80 mm apart"},
		{"crossing", dxf(4, pairs(0, "LWPOLYLINE", 70, 1, 10, 0, 20, 0, 10, 100, 20, 80, 10, 100, 20, 0, 10, 0, 20, 80)), "crosses or touches itself near (50, 40) of the drawing"},
		{"tiny", dxf(4, pairs(0, "CIRCLE", 10, 0, 20, 0, 40, 5)), "tiny"},
		{"not a number", dxf(4, pairs(0, "CIRCLE", 10, "NaN", 20, 0, 40, 50)), `line 22: "NaN" is not a number`},
		{"no radius", dxf(4, pairs(0, "ARC", 10, 0, 20, 0, 40, 0)), "its radius is 0"},
		{"too few knots", dxf(4, pairs(0, "SPLINE", 71, 3, 40, 0, 10, 0, 20, 0, 10, 1, 20, 0, 10, 1, 20, 2, 10, 5, 20, 5)), "it has 1 knots, 8 are wanted"},
		{"a mesh", dxf(4, pairs(0, "POLYLINE", 70, 64)), "a mesh"},
		{"a leaning arc", dxf(4, pairs(0, "CIRCLE", 10, 0, 20, 0, 40, 50, 210, 1, 220, 0, 230, 0)), "does not lie in the x-y plane"},
		{"an empty drawing", dxf(4, ""), "no line or curve"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ImportDXF(strings.NewReader(c.dxf), Options{})
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.says)
		})
	}
}

// A DXF written by an independent library comes in as that library measures it.
func TestImportDXFFromAnIndependentWriter(t *testing.T) {
	const python = "/usr/bin/python3"
	if exec.Command(python, "-c", "import ezdxf").Run() != nil {
		t.Skip("needs python3-ezdxf: apt-get install python3-ezdxf")
	}
	file := filepath.Join(t.TempDir(), "out.dxf")
	script := `
import sys, ezdxf, math
doc = ezdxf.new("R2000"); doc.header["$INSUNITS"] = 1; m = doc.modelspace()
m.add_lwpolyline([(0,0,0.3),(10,0,0),(12,6,-0.2),(9,12,0.5),(1,12,0)], format="xyb", close=True, dxfattribs={"layer":"BODY"})
m.add_line((-5,5),(20,5)); m.add_text("body")
p = [(0,0,0.2),(12,1,0),(9,11,-0.3),(2,8,0)]
b = doc.blocks.new("Part", base_point=(3,4)); b.add_lwpolyline(p, format="xyb", close=True)
r = m.add_blockref("PART", (40,30), dxfattribs={"layer":"OTHER","xscale":-1.5,"yscale":1.5,"rotation":33})
e = list(r.virtual_entities())[0]
v = [q for q in __import__("ezdxf.path",fromlist=["path"]).make_path(e).flattening(1e-7)]
print(repr(25.4**2*abs(sum(v[i].x*v[(i+1)%len(v)].y-v[i].y*v[(i+1)%len(v)].x for i in range(len(v)))/2)), repr(25.4*min(q.x for q in v)), repr(25.4*max(q.y for q in v)))
doc.saveas(sys.argv[1])
from ezdxf.math import bulge_to_arc
pts=[(0,0,0.3),(10,0,0),(12,6,-0.2),(9,12,0.5),(1,12,0)]
a=0
for i,(x,y,b) in enumerate(pts):
    X,Y,_=pts[(i+1)%len(pts)]
    a+=(x*Y-X*y)/2
    if b:
        c,s,e,r=bulge_to_arc((x,y),(X,Y),b); t=4*math.atan(abs(b)); a+=math.copysign(r*r*(t-math.sin(t))/2,b)
print(repr(a*25.4**2))
`
	out, err := exec.Command(python, "-c", script, file).CombinedOutput()
	require.NoError(t, err, "%s", out)
	var area, other, left, top float64
	_, err = fmt.Sscan(string(out), &other, &left, &top, &area)
	require.NoError(t, err, "%s", out)
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	got, err := ImportDXF(f, Options{ID: "BODY"})
	require.NoError(t, err)
	assert.InDelta(t, area, got.Path.Area(), area*1e-6)
	assert.Contains(t, strings.Join(got.Notes, "\n"), "in inches")

	_, err = f.Seek(0, 0)
	require.NoError(t, err)
	got, err = ImportDXF(f, Options{ID: "OTHER", Neck: AsDrawn}) // a block, mirrored and turned
	require.NoError(t, err)
	assert.InDelta(t, other, got.Path.Area(), other*2e-5) // its library draws arcs as coarser cubics
	assert.InDelta(t, left, got.Path.Bounds().Min.X, 1e-2)
	assert.InDelta(t, top, got.Path.Bounds().Max.Y, 1e-2)
}

// What an importer accepts is an outline: closed, counter-clockwise, finite,
// without self-crossing, and within the sizes a body may have.
func checkImported(t *testing.T, m Imported, err error) {
	if err != nil {
		return
	}
	require.True(t, m.Path.Closed)
	require.Positive(t, m.Path.Area())
	b := m.Path.Bounds()
	require.True(t, b.Width() >= 50 && b.Height() >= 50 && b.Width() <= 5000 && b.Height() <= 5000)
	for i, c := range m.Path.Curves {
		require.True(t, c.P0.Finite() && c.P1.Finite() && c.P2.Finite())
		require.Equal(t, c.P3, m.Path.Curves[(i+1)%len(m.Path.Curves)].P0)
	}
	require.NotEmpty(t, m.Notes)
	Measure(m.Path)
}

func FuzzImportSVG(f *testing.F) {
	for _, name := range []string{"two-lobes.svg", "waves.svg"} {
		data, err := os.ReadFile(filepath.Join("testdata", name))
		require.NoError(f, err)
		f.Add(data)
	}
	f.Add([]byte(svg(`<path d="m50 100a50,50 -30 0,1 1e2-2.5.5.5z"/><polygon points="0,0 100,0 100,80"/>`)))
	f.Add([]byte(svg(`<g id="a"><use href="#b" x="2"/></g><symbol id="b" viewBox="0 0 2 1"><circle r="90"/><use href="#a"/></symbol>`)))
	f.Add([]byte(svg(`<g transform="matrix(1 0 0 1 3 4) skewX(3)"><rect rx="3" width="100" height="80"/></g>`)))
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := ImportSVG(strings.NewReader(string(data)), Options{})
		checkImported(t, m, err)
	})
}

func FuzzImportDXF(f *testing.F) {
	circle := geom.Path{Closed: true}
	for _, q := range [][4]float64{{50, 0, 0, 50}, {0, 50, -50, 0}, {-50, 0, 0, -50}, {0, -50, 50, 0}} {
		const k = 0.55
		circle.Curves = append(circle.Curves, geom.Curve{P0: geom.Pt(q[0], q[1]), P1: geom.Pt(q[0]+k*q[2], q[1]+k*q[3]),
			P2: geom.Pt(q[2]+k*q[0], q[3]+k*q[1]), P3: geom.Pt(q[2], q[3])})
	}
	f.Add([]byte(writeSplines(circle)))
	f.Add([]byte(dxf(1, pairs(0, "LWPOLYLINE", 8, "OUT", 90, 4, 70, 1, 10, 0, 20, 0, 42, 0.5, 10, 9, 20, 0, 10, 9, 20, 9))))
	f.Add([]byte(dxf(4, pairs(0, "ARC", 10, 0, 20, 0, 40, 50, 50, 10, 51, 200, 0, "LINE", 10, 0, 20, 0, 11, 7, 21, 9))))
	f.Add([]byte(pairs(0, "SECTION", 2, "BLOCKS", 0, "BLOCK", 2, "B", 10, 1, 20, 2, 0, "CIRCLE", 10, 3, 20, 0, 40, 60, 0, "ENDBLK", 0, "ENDSEC") +
		dxf(4, pairs(0, "INSERT", 2, "b", 10, 5, 20, 6, 41, 2, 50, 30))))
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := ImportDXF(strings.NewReader(string(data)), Options{GapMM: 0.5})
		checkImported(t, m, err)
	})
}

// Which hand each family is for is seen when it is drawn, but for those that
// are the same on both sides.
func TestTheHandIsSeen(t *testing.T) {
	eachFamily(t, func(t *testing.T, name string) {
		for _, hand := range []Hand{RightHanded, LeftHanded} {
			p, err := New(name, nil, hand)
			require.NoError(t, err)
			f, err := FamilyNamed(name)
			require.NoError(t, err)
			m, err := ImportSVG(strings.NewReader(writeSVG(p)), Options{Neck: NeckLeft})
			require.NoError(t, err)
			assert.Equal(t, !f.Symmetric(), m.HandSeen, strings.Join(m.Notes, "\n"))
			if m.HandSeen {
				assert.Equal(t, hand, m.Hand)
			}
		}
	})
}
