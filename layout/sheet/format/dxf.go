package format

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"slabwright/body/geom"
	"slabwright/layout/sheet"
)

// dxfTolerance is how far a polyline may leave the curve it stands for, in mm.
const dxfTolerance = 0.005

// DXF writes the drawing as a DXF file of release 12 (AC1009, ASCII), the one
// every program reads: millimetres at 1:1, y up, one layer per kind. Curves
// are polylines within 0.005 mm, circles are circles, words are TEXT in plain
// ASCII. Fills and hatches are left out: their outlines stand for them.
//
// $INSUNITS (4 = millimetres) is newer than release 12 but read by programs
// that know it; $MEASUREMENT 1 and a comment say millimetres as well. Group
// codes after Autodesk's published DXF reference, release 12.
func DXF(out io.Writer, s sheet.Scene) error {
	if err := s.Check(); err != nil {
		return err
	}
	d := dxfWriter{Writer: bufio.NewWriter(out)}
	d.comment(s.Name)
	d.comment("unit: mm, scale 1:1")
	d.comment(s.Frame)
	d.header(s.Bounds())
	d.tables(dashes(s))
	d.pair(0, "SECTION")
	d.pair(2, "ENTITIES")
	for _, it := range s.Painted() {
		d.item(it)
	}
	d.pair(0, "ENDSEC")
	d.pair(0, "EOF")
	return d.Flush()
}

type dxfWriter struct{ *bufio.Writer }

func (d dxfWriter) pair(code int, value string) { fmt.Fprintf(d, "%3d\n%s\n", code, value) }

func (d dxfWriter) number(code int, v float64) {
	v = math.Round(v*1e6) / 1e6
	if v == 0 {
		v = 0 // no minus zero
	}
	s := fmt.Sprintf("%.6f", v)
	s = strings.TrimRight(s, "0")
	if strings.HasSuffix(s, ".") {
		s += "0"
	}
	d.pair(code, s)
}

func (d dxfWriter) point(code int, p geom.Point) {
	d.number(code, p.X)
	d.number(code+10, p.Y)
	d.number(code+20, 0)
}

func (d dxfWriter) comment(s string) {
	if s != "" {
		d.pair(999, ascii(s))
	}
}

func (d dxfWriter) header(b geom.Box) {
	d.pair(0, "SECTION")
	d.pair(2, "HEADER")
	d.pair(9, "$ACADVER")
	d.pair(1, "AC1009")
	d.pair(9, "$INSUNITS")
	d.pair(70, "4")
	d.pair(9, "$MEASUREMENT")
	d.pair(70, "1")
	if !b.Empty() {
		d.pair(9, "$EXTMIN")
		d.point(10, b.Min)
		d.pair(9, "$EXTMAX")
		d.point(10, b.Max)
	}
	d.pair(9, "$LTSCALE")
	d.number(40, 1)
	d.pair(0, "ENDSEC")
}

// dashes lists the dash patterns that the drawing uses, in order of first use.
func dashes(s sheet.Scene) [][]float64 {
	var out [][]float64
	seen := map[string]bool{}
	for _, it := range s.Painted() {
		if name := lineType(it.Stroke); len(it.Stroke.Dash) > 0 && !seen[name] {
			seen[name] = true
			out = append(out, it.Stroke.Dash)
		}
	}
	return out
}

// lineType names a line's dash pattern: CONTINUOUS, or DASH_8_2_1_2.
func lineType(s sheet.Stroke) string {
	if len(s.Dash) == 0 {
		return "CONTINUOUS"
	}
	name := "DASH"
	for _, v := range s.Dash {
		name += "_" + strings.ReplaceAll(mm(v), ".", "P")
	}
	return name
}

// layerColour is the layer's colour number, of the 255 fixed ones of the
// format: a choice of ours that tells kinds apart on a black or white screen.
func layerColour(l sheet.Layer) int {
	switch l {
	case sheet.Body:
		return 1 // red: the cut
	case sheet.Centreline:
		return 5 // blue
	case sheet.Cavity, sheet.Hole:
		return 4 // cyan
	case sheet.Chamber:
		return 6 // magenta
	case sheet.Fastener, sheet.Flaw:
		return 30 // orange
	case sheet.Strip, sheet.GlueLine:
		return 8 // grey
	case sheet.String:
		return 9 // light grey
	}
	return 7 // black or white
}

func (d dxfWriter) tables(patterns [][]float64) {
	d.pair(0, "SECTION")
	d.pair(2, "TABLES")

	d.pair(0, "TABLE")
	d.pair(2, "LTYPE")
	d.pair(70, fmt.Sprint(1+len(patterns)))
	d.pair(0, "LTYPE")
	d.pair(2, "CONTINUOUS")
	d.pair(70, "0")
	d.pair(3, "Solid line")
	d.pair(72, "65")
	d.pair(73, "0")
	d.number(40, 0)
	for _, p := range patterns {
		total := 0.0
		for _, v := range p {
			total += v
		}
		d.pair(0, "LTYPE")
		d.pair(2, lineType(sheet.Stroke{Dash: p}))
		d.pair(70, "0")
		d.pair(3, "Dashed line")
		d.pair(72, "65")
		d.pair(73, fmt.Sprint(len(p)))
		d.number(40, total)
		for i, v := range p {
			if i%2 == 1 {
				v = -v // a gap
			}
			d.number(49, v)
		}
	}
	d.pair(0, "ENDTAB")

	d.pair(0, "TABLE")
	d.pair(2, "LAYER")
	d.pair(70, fmt.Sprint(1+len(sheet.Layers())))
	layer := func(name string, colour int) {
		d.pair(0, "LAYER")
		d.pair(2, name)
		d.pair(70, "0")
		d.pair(62, fmt.Sprint(colour))
		d.pair(6, "CONTINUOUS")
	}
	layer("0", 7)
	for _, l := range sheet.Layers() {
		layer(string(l), layerColour(l))
	}
	d.pair(0, "ENDTAB")

	d.pair(0, "TABLE")
	d.pair(2, "STYLE")
	d.pair(70, "1")
	d.pair(0, "STYLE")
	d.pair(2, "STANDARD")
	d.pair(70, "0")
	d.number(40, 0)
	d.number(41, 1)
	d.number(50, 0)
	d.pair(71, "0")
	d.number(42, 2.5)
	d.pair(3, "txt")
	d.pair(4, "")
	d.pair(0, "ENDTAB")
	d.pair(0, "ENDSEC")
}

func (d dxfWriter) item(it sheet.Item) {
	begin := func(kind string) {
		d.pair(0, kind)
		d.pair(8, string(it.Layer))
		if t := lineType(it.Stroke); t != "CONTINUOUS" && kind != "TEXT" {
			d.pair(6, t)
		}
	}
	switch shape := it.Shape.(type) {
	case sheet.Circle:
		if shape.Radius > 0 {
			begin("CIRCLE")
			d.point(10, shape.Centre)
			d.number(40, shape.Radius)
		}
	case sheet.Text:
		begin("TEXT")
		d.text(shape)
	case sheet.Path:
		for _, c := range sheet.Chains(shape, dxfTolerance) {
			switch {
			case len(c.Points) < 2:
			case len(c.Points) == 2:
				begin("LINE")
				d.point(10, c.Points[0])
				d.point(11, c.Points[1])
			default:
				begin("POLYLINE")
				d.polyline(it.Layer, c)
			}
		}
	}
}

func (d dxfWriter) polyline(l sheet.Layer, c sheet.Chain) {
	flags := "0"
	if c.Closed {
		flags = "1"
	}
	d.pair(66, "1")
	d.point(10, geom.Point{})
	d.pair(70, flags)
	for _, p := range c.Points {
		d.pair(0, "VERTEX")
		d.pair(8, string(l))
		d.point(10, p)
	}
	d.pair(0, "SEQEND")
	d.pair(8, string(l))
}

// text writes the groups of a TEXT. With an alignment other than left on the
// base line the second point (11) is what counts.
func (d dxfWriter) text(t sheet.Text) {
	d.point(10, t.Start())
	d.number(40, t.Height)
	d.pair(1, ascii(t.Words))
	if t.Angle != 0 {
		d.number(50, t.Angle*180/math.Pi)
	}
	if t.Align != sheet.Left || t.Rise != sheet.Baseline {
		d.pair(72, fmt.Sprint(int(t.Align))) // 0 left, 1 centre, 2 right
		d.point(11, t.At)
		d.pair(73, fmt.Sprint([]int{0, 2, 3}[t.Rise])) // 0 base line, 2 middle, 3 top
	}
}

// ascii rewrites words for DXF, whose release 12 knows ASCII only. %%c, %%d
// and %%p are its own signs for diameter, degree and plus-minus.
func ascii(s string) string {
	s = strings.NewReplacer(
		"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
		"⌀", "%%c", "Ø", "%%c", "ø", "%%c", "°", "%%d", "±", "%%p",
		"×", "x", "−", "-", "–", "-", "—", "-", "→", "->", "←", "<-", "↑", "^", "↓", "v", "…", "...", "·", "-",
		"²", "2", "³", "3", "≥", ">=", "≤", "<=", "“", `"`, "”", `"`, "’", "'", "‘", "'", "µ", "u",
		"ä", "ae", "ö", "oe", "ü", "ue", "Ä", "Ae", "Ö", "Oe", "Ü", "Ue", "ß", "ss",
		"\n", " ", "\r", " ", "\t", " ",
	).Replace(s)
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < 0x20 || r > 0x7e {
			return '?'
		}
		return r
	}, s))
}
