package outline

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"

	"slabwright/body/geom"
)

// ImportSVG reads an outline from an SVG file: paths with all commands,
// polygons, polylines, lines, rectangles, circles and ellipses, and copies of
// them by <use>, under nested transforms and views, in any absolute unit. Lengths without a unit are px, of
// which CSS has 96 to the inch, unless Options.UnitMM says otherwise. y is
// turned to run up. Elliptic arcs become cubics within 1e-7 of their radius.
//
// The format is Scalable Vector Graphics (SVG) 1.1 (Second Edition), W3C 2011;
// places in it are named below.
func ImportSVG(r io.Reader, o Options) (Imported, error) {
	var m Imported
	s := svgReader{note: m.note, fine: o.fine, want: o.ID, pxMM: 25.4 / 96}
	if o.UnitMM != 0 {
		if !(o.UnitMM > 1e-6 && o.UnitMM < 1e6) {
			return m, fmt.Errorf("the file's unit is given as %g mm, which cannot be", o.UnitMM)
		}
	}
	s.unitMM = o.UnitMM
	if err := s.read(r); err != nil {
		return Imported{}, fmt.Errorf("SVG: %w", err)
	}
	if o.ID != "" && !s.found {
		return Imported{}, fmt.Errorf("SVG: no element has the id %q%s", o.ID, suggest(o.ID, s.ids))
	}
	m.note("%s", s.units)
	if err := m.finish(s.pieces, o, s.file); err != nil {
		return Imported{}, fmt.Errorf("SVG: %w", err)
	}
	return m, nil
}

// affine is [a c e; b d f], as in SVG 1.1, 7.4.
type affine struct{ a, b, c, d, e, f float64 }

func (t affine) apply(p geom.Point) geom.Point {
	return geom.Pt(t.a*p.X+t.c*p.Y+t.e, t.b*p.X+t.d*p.Y+t.f)
}

// times is first u, then t.
func (t affine) times(u affine) affine {
	return affine{
		t.a*u.a + t.c*u.b, t.b*u.a + t.d*u.b,
		t.a*u.c + t.c*u.d, t.b*u.c + t.d*u.d,
		t.a*u.e + t.c*u.f + t.e, t.b*u.e + t.d*u.f + t.f,
	}
}

// svgReader draws the elements and gathers pieces in mm, y up.
type svgReader struct {
	note   func(string, ...any)
	fine   func(mm float64) string
	pxMM   float64
	unitMM float64 // of a unitless root, when the maker said
	want   string  // the id to read, empty for all
	found  bool
	ids    []string
	units  string                      // what was made of the root's units
	file   func(geom.Point) geom.Point // from mm, y up, to the root's coordinates
	byID   map[string]*element
	drawn  int // characters of elements, each copy counted
	pieces []piece
}

// frame is what an element inherits from those round it.
type frame struct {
	t      affine
	wanted bool   // it or something round it has the id that is asked for
	hidden bool   // visibility
	inside int    // how many elements are round it
	copied string // by which <use>, "" for a thing that stands where it is drawn
}

// unseen elements hold shapes that are not drawn where they stand.
var unseen = map[string]bool{"defs": true, "clipPath": true, "mask": true, "symbol": true, "marker": true, "pattern": true}

var xmlEntity = regexp.MustCompile(`<?!?ENTITY\s+([\w.-]+)\s+(?:"([^"]*)"|'([^']*)')`)

func (s *svgReader) read(r io.Reader) error {
	root, err := s.tree(r)
	if err != nil {
		return err
	}
	t, err := s.root(*root)
	if err != nil {
		return fmt.Errorf("line %d: %w", root.line, err)
	}
	return s.draw(root, frame{t: t})
}

// tree reads all elements.
func (s *svgReader) tree(r io.Reader) (*element, error) {
	const limit = 32 << 20
	counted := &io.LimitedReader{R: r, N: limit + 1}
	d := xml.NewDecoder(counted)
	d.Entity = map[string]string{}
	d.CharsetReader = func(charset string, in io.Reader) (io.Reader, error) {
		switch strings.ToLower(charset) {
		case "us-ascii", "iso-8859-1", "latin1", "windows-1252":
			return latin1{in}, nil // numbers and element names are ASCII in all of these
		}
		return nil, fmt.Errorf("it is written in %q: save it as UTF-8", charset)
	}
	var root *element
	var open []*element
	s.byID = map[string]*element{}
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			if counted.N <= 0 {
				return nil, fmt.Errorf("it is longer than %d MB", limit>>20)
			}
			return nil, fmt.Errorf("not well-formed: %w", err)
		}
		switch token := token.(type) {
		case xml.Directive:
			for _, e := range xmlEntity.FindAllStringSubmatch(string(token), -1) {
				d.Entity[e[1]] = e[2] + e[3]
			}
		case xml.StartElement:
			line, _ := d.InputPos()
			e := &element{name: token.Name.Local, line: line, attributes: map[string]string{}}
			if root == nil && e.name != "svg" {
				return nil, fmt.Errorf("line %d: it begins with <%s>, not with <svg>", line, e.name)
			}
			if len(open) > 500 {
				return nil, fmt.Errorf("line %d: elements are nested more than 500 deep", line)
			}
			for _, a := range token.Attr {
				switch {
				case a.Name.Space == "":
					e.attributes[a.Name.Local] = strings.TrimSpace(a.Value)
				case a.Name.Local == "href" && e.attributes["href"] == "": // xlink:href, as SVG 1.1 has it
					e.attributes["href"] = strings.TrimSpace(a.Value)
				}
			}
			e.readStyle()
			if id := e.attributes["id"]; id != "" && s.byID[id] == nil {
				s.byID[id] = e
				if len(s.ids) < 200 {
					s.ids = append(s.ids, id)
				}
			}
			if len(open) == 0 {
				if root == nil {
					root = e
				}
			} else {
				up := open[len(open)-1]
				up.children = append(up.children, e)
			}
			open = append(open, e)
		case xml.EndElement:
			open = open[:len(open)-1]
		}
	}
	if root == nil {
		return nil, errors.New("there is no <svg> in it")
	}
	return root, nil
}

// maxDrawn ends copies of copies of copies.
const maxDrawn = 32 << 20

// draw draws an element and all that is in it.
func (s *svgReader) draw(e *element, f frame) error {
	if unseen[e.name] || e.attributes["display"] == "none" {
		return nil
	}
	s.drawn += 256 + len(e.attributes["d"]) + len(e.attributes["points"])
	if s.drawn > maxDrawn || f.inside > 1000 {
		return fmt.Errorf("line %d: <use> copies make more of the drawing than can be read, or copy themselves", e.line)
	}
	if err := s.enter(e, &f); err != nil {
		return fmt.Errorf("line %d: %w", e.line, err)
	}
	if e.name == "use" {
		return s.use(e, f)
	}
	if (s.want == "" || f.wanted) && !f.hidden {
		if err := s.gather(e, f); err != nil {
			return fmt.Errorf("line %d: %w", e.line, err)
		}
	}
	return s.drawAll(e.children, f)
}

func (s *svgReader) drawAll(list []*element, f frame) error {
	for _, e := range list {
		if err := s.draw(e, f); err != nil {
			return err
		}
	}
	return nil
}

// enter makes of the frame round an element the one inside it.
func (s *svgReader) enter(e *element, f *frame) error {
	if e.name == "svg" && f.inside > 0 {
		t, err := nested(*e)
		if err != nil {
			return err
		}
		f.t = f.t.times(t)
	}
	f.inside++
	t, err := parseTransform(e.attributes["transform"])
	if err != nil {
		return fmt.Errorf("<%s>: %w", e.name, err)
	}
	f.t = f.t.times(t)
	if id := e.attributes["id"]; id != "" && id == s.want {
		s.found, f.wanted = true, true
	}
	if v := e.attributes["visibility"]; v != "" {
		f.hidden = v == "hidden" || v == "collapse"
	}
	return nil
}

// use draws a copy of another element, shifted (SVG 1.1, 5.6).
func (s *svgReader) use(e *element, f frame) error {
	name, local := strings.CutPrefix(e.attributes["href"], "#")
	target := s.byID[name]
	if !local || target == nil {
		s.note("%s copies %q, which is not in the file, and was left out", e.label(), e.attributes["href"])
		return nil
	}
	var at [2]float64
	for i, name := range []string{"x", "y"} {
		v, _, err := e.size(name)
		if err != nil {
			return fmt.Errorf("line %d: %w", e.line, err)
		}
		at[i] = v
	}
	f.t = f.t.times(affine{a: 1, d: 1, e: at[0], f: at[1]})
	f.copied = e.label()
	if target.name != "symbol" && target.name != "svg" {
		return s.draw(target, f)
	}
	// A symbol is drawn like an <svg> of the size that the copy asks for.
	view := *target
	view.name, view.attributes = "svg", map[string]string{}
	for name, v := range target.attributes {
		view.attributes[name] = v
	}
	for _, name := range []string{"width", "height"} {
		if v := e.attributes[name]; v != "" {
			view.attributes[name] = v
		}
	}
	return s.draw(&view, f)
}

// gather adds the pieces of a shape.
func (s *svgReader) gather(e *element, f frame) error {
	chains, err := e.shape()
	if err != nil {
		return fmt.Errorf("%s: %w", e.label(), err)
	}
	for i, c := range chains {
		for j, k := range c.curves {
			straight := k.Straight()
			k = geom.Curve{P0: f.t.apply(k.P0), P1: f.t.apply(k.P1), P2: f.t.apply(k.P2), P3: f.t.apply(k.P3)}
			if straight {
				k = geom.Line(k.P0, k.P3)
			}
			c.curves[j] = k
		}
		c.name = e.label()
		if len(chains) > 1 {
			c.name += fmt.Sprintf(", part %d", i+1)
		}
		if f.copied != "" {
			c.name += ", copied by " + f.copied
		}
		s.pieces = append(s.pieces, c)
	}
	return nil
}

// root finds how big the drawing's unit is and turns y up (SVG 1.1, 7.7 and
// 7.8).
func (s *svgReader) root(e element) (affine, error) {
	pxMM := s.pxMM
	box, hasBox, err := e.viewBox()
	if err != nil {
		return affine{}, err
	}
	width, wUnit, err := e.size("width")
	if err != nil {
		return affine{}, err
	}
	height, hUnit, err := e.size("height")
	if err != nil {
		return affine{}, err
	}
	plain := pxMM
	if s.unitMM != 0 {
		plain = s.unitMM
	}
	mm := func(v float64, unit string) float64 { // width or height in mm
		if unit == "" {
			return v * plain
		}
		return v * pxMM // size gives px
	}
	kx, ky := plain, plain
	switch {
	case hasBox && (width > 0 || height > 0):
		if width > 0 {
			kx = mm(width, wUnit) / box[2]
		}
		if height > 0 {
			ky = mm(height, hUnit) / box[3]
		}
		if width == 0 {
			kx = ky
		}
		if height == 0 {
			ky = kx
		}
		if e.attributes["preserveAspectRatio"] != "none" {
			// "meet"; "slice" crops, which no outline is meant to be
			kx = math.Min(kx, ky)
			ky = kx
		}
		unit := wUnit
		if width == 0 {
			unit = hUnit
		}
		if unit == "" {
			s.units = fmt.Sprintf("the file's width has no unit: taken as %s; one unit of the drawing is %s", s.unitText(), s.fine(kx))
		} else {
			s.units = fmt.Sprintf("the file's size is in %s: one unit of the drawing is %s", unitNames[unit], s.fine(kx))
		}
	case wUnit != "" && wUnit != "px":
		// no viewBox: user units are px whatever the width
		kx, ky = pxMM, pxMM
		s.units = fmt.Sprintf("the file has a width in %s but no viewBox: one unit of the drawing is 1 px, %s", unitNames[wUnit], s.fine(pxMM))
	default:
		s.units = fmt.Sprintf("the file has no unit: taken as %s", s.unitText())
	}
	if !(kx > 1e-9 && ky > 1e-9 && kx < 1e9 && ky < 1e9) {
		return affine{}, fmt.Errorf("<svg>: width, height and viewBox %q make no scale", e.attributes["viewBox"])
	}
	// The drawing's own origin stays: the viewBox only says what of it is seen.
	s.file = func(p geom.Point) geom.Point { return geom.Pt(p.X/kx, 0-p.Y/ky) } // never −0
	return affine{a: kx, d: -ky}, nil
}

func (s *svgReader) unitText() string {
	if s.unitMM == 0 {
		return "px, 96 to the inch"
	}
	return s.fine(s.unitMM) + ", as given"
}

// nested is the view of an <svg> inside another, in user units of the outer.
func nested(e element) (affine, error) {
	box, hasBox, err := e.viewBox()
	if err != nil {
		return affine{}, err
	}
	v := map[string]float64{}
	for _, name := range []string{"x", "y", "width", "height"} {
		if v[name], _, err = e.size(name); err != nil {
			return affine{}, err
		}
	}
	t := affine{a: 1, d: 1, e: v["x"], f: v["y"]}
	if hasBox && v["width"] > 0 && v["height"] > 0 {
		kx, ky := v["width"]/box[2], v["height"]/box[3]
		ex, ey := 0.0, 0.0
		if e.attributes["preserveAspectRatio"] != "none" {
			k := math.Min(kx, ky) // xMidYMid meet; other alignments only shift
			ex, ey = (v["width"]-k*box[2])/2, (v["height"]-k*box[3])/2
			kx, ky = k, k
		}
		t = t.times(affine{a: kx, d: ky, e: ex - kx*box[0], f: ey - ky*box[1]})
	}
	return t, nil
}

// element is a start tag with its attributes that have no namespace.
type element struct {
	name       string
	line       int
	attributes map[string]string
	children   []*element
}

func (e element) label() string {
	if id := e.attributes["id"]; id != "" {
		return fmt.Sprintf("<%s id=%q> in line %d", e.name, id, e.line)
	}
	return fmt.Sprintf("<%s> in line %d", e.name, e.line)
}

// readStyle copies what matters here from the style attribute.
func (e element) readStyle() {
	for _, rule := range strings.Split(e.attributes["style"], ";") {
		name, value, ok := strings.Cut(rule, ":")
		name = strings.TrimSpace(name)
		if ok && (name == "display" || name == "visibility") {
			e.attributes[name] = strings.TrimSpace(value)
		}
	}
}

func (e element) viewBox() (box [4]float64, ok bool, err error) {
	text := e.attributes["viewBox"]
	if text == "" {
		return box, false, nil
	}
	n := numbers{text: text}
	for i := range box {
		if box[i], err = n.number(); err != nil {
			return box, false, fmt.Errorf("viewBox %q: %w", text, err)
		}
	}
	if !(box[2] > 0 && box[3] > 0) || !n.done() {
		return box, false, fmt.Errorf("viewBox %q: four numbers are wanted, the last two over 0", text)
	}
	return box, true, nil
}

// px to a unit (CSS Values and Units, 6.2: fixed by 96 px to the inch).
var pxPer = map[string]float64{"px": 1, "in": 96, "cm": 96 / 2.54, "mm": 96 / 25.4, "q": 96 / 101.6, "pt": 96 / 72., "pc": 16}

var unitNames = map[string]string{"px": "px, 96 to the inch", "in": "inches", "cm": "centimetres", "mm": "millimetres", "q": "quarter millimetres", "pt": "points", "pc": "picas"}

// size is a length attribute in px, and the unit it was in: empty for none. A
// missing one is 0, and so is a percentage of the whole page on the root.
func (e element) size(name string) (float64, string, error) {
	text, ok := e.attributes[name]
	if !ok || text == "auto" {
		return 0, "", nil
	}
	n := numbers{text: text}
	v, err := n.number()
	if err != nil {
		return 0, "", fmt.Errorf("%s=%q: %w", name, text, err)
	}
	unit := strings.ToLower(strings.TrimSpace(n.text[n.at:]))
	if unit == "" {
		return v, "", nil
	}
	if unit == "%" && e.name == "svg" {
		return 0, "", nil
	}
	k, ok := pxPer[unit]
	if !ok {
		return 0, "", fmt.Errorf("%s=%q: cannot use the unit %q; there are mm, cm, in, pt, pc, px", name, text, unit)
	}
	return v * k, unit, nil
}

// shape draws the element in its own coordinates (SVG 1.1, chapters 8 and 9).
func (e element) shape() ([]piece, error) {
	v := map[string]float64{}
	need := func(names ...string) error {
		for _, name := range names {
			var err error
			if v[name], _, err = e.size(name); err != nil {
				return err
			}
		}
		return nil
	}
	switch e.name {
	case "path":
		return parsePath(e.attributes["d"])
	case "polygon", "polyline":
		n := numbers{text: e.attributes["points"]}
		var points []geom.Point
		for !n.done() {
			x, err := n.number()
			if err != nil {
				return nil, err
			}
			y, err := n.number()
			if err != nil {
				return nil, err
			}
			points = append(points, geom.Pt(x, y))
		}
		if len(points) < 2 {
			return nil, nil
		}
		p := piece{closed: e.name == "polygon"}
		for i := 1; i < len(points); i++ {
			p.curves = append(p.curves, geom.Line(points[i-1], points[i]))
		}
		return []piece{p}, nil
	case "line":
		if err := need("x1", "y1", "x2", "y2"); err != nil {
			return nil, err
		}
		return []piece{{curves: []geom.Curve{geom.Line(geom.Pt(v["x1"], v["y1"]), geom.Pt(v["x2"], v["y2"]))}}}, nil
	case "circle":
		if err := need("cx", "cy", "r"); err != nil {
			return nil, err
		}
		if !(v["r"] > 0) {
			return nil, nil
		}
		return []piece{{closed: true, curves: ellipse(geom.Pt(v["cx"], v["cy"]), geom.V(v["r"], 0), geom.V(0, v["r"]), 0, 2*math.Pi)}}, nil
	case "ellipse":
		if err := need("cx", "cy", "rx", "ry"); err != nil {
			return nil, err
		}
		if !(v["rx"] > 0 && v["ry"] > 0) {
			return nil, nil
		}
		return []piece{{closed: true, curves: ellipse(geom.Pt(v["cx"], v["cy"]), geom.V(v["rx"], 0), geom.V(0, v["ry"]), 0, 2*math.Pi)}}, nil
	case "rect":
		if err := need("x", "y", "width", "height", "rx", "ry"); err != nil {
			return nil, err
		}
		return rectangle(v, e), nil
	}
	return nil, nil
}

// rectangle may have rounded corners; one radius alone stands for both.
func rectangle(v map[string]float64, e element) []piece {
	x, y, w, h, rx, ry := v["x"], v["y"], v["width"], v["height"], v["rx"], v["ry"]
	if !(w > 0 && h > 0) {
		return nil
	}
	if _, ok := e.attributes["rx"]; !ok {
		rx = ry
	}
	if _, ok := e.attributes["ry"]; !ok {
		ry = rx
	}
	rx, ry = math.Max(0, math.Min(rx, w/2)), math.Max(0, math.Min(ry, h/2))
	p := piece{closed: true}
	var last geom.Point
	for i, c := range []geom.Point{{X: x + w - rx, Y: y + ry}, {X: x + w - rx, Y: y + h - ry}, {X: x + rx, Y: y + h - ry}, {X: x + rx, Y: y + ry}} {
		a := math.Pi/2*float64(i) - math.Pi/2
		arc := ellipse(c, geom.V(rx, 0), geom.V(0, ry), a, math.Pi/2)
		if i > 0 {
			p.curves = append(p.curves, geom.Line(last, arc[0].P0))
		}
		if rx > 0 && ry > 0 {
			p.curves = append(p.curves, arc...)
		}
		last = arc[len(arc)-1].P3
	}
	p.curves = append(p.curves, geom.Line(last, p.curves[0].P0))
	return []piece{p}
}

var transformCall = regexp.MustCompile(`^[\s,]*(\w+)\s*\(([^)]*)\)`)

// parseTransform reads a transform list; the leftmost is outermost.
func parseTransform(text string) (affine, error) {
	t := affine{a: 1, d: 1}
	rest := text
	for strings.Trim(rest, " \t\r\n,") != "" {
		call := transformCall.FindStringSubmatch(rest)
		if call == nil {
			return t, fmt.Errorf("cannot read the transform %q", text)
		}
		rest = rest[len(call[0]):]
		n := numbers{text: call[2]}
		var v []float64
		for !n.done() {
			x, err := n.number()
			if err != nil {
				return t, fmt.Errorf("transform %q: %w", text, err)
			}
			v = append(v, x)
		}
		var u affine
		ok := true
		switch name := call[1]; {
		case name == "matrix" && len(v) == 6:
			u = affine{v[0], v[1], v[2], v[3], v[4], v[5]}
		case name == "translate" && len(v) == 1:
			u = affine{a: 1, d: 1, e: v[0]}
		case name == "translate" && len(v) == 2:
			u = affine{a: 1, d: 1, e: v[0], f: v[1]}
		case name == "scale" && len(v) == 1:
			u = affine{a: v[0], d: v[0]}
		case name == "scale" && len(v) == 2:
			u = affine{a: v[0], d: v[1]}
		case name == "rotate" && (len(v) == 1 || len(v) == 3):
			sin, cos := math.Sincos(v[0] * math.Pi / 180)
			u = affine{a: cos, b: sin, c: -sin, d: cos}
			if len(v) == 3 {
				u = affine{a: 1, d: 1, e: v[1], f: v[2]}.times(u).times(affine{a: 1, d: 1, e: -v[1], f: -v[2]})
			}
		case name == "skewX" && len(v) == 1:
			u = affine{a: 1, d: 1, c: math.Tan(v[0] * math.Pi / 180)}
		case name == "skewY" && len(v) == 1:
			u = affine{a: 1, d: 1, b: math.Tan(v[0] * math.Pi / 180)}
		default:
			ok = false
		}
		if !ok {
			return t, fmt.Errorf("cannot read %s of the transform %q", strings.TrimSpace(call[0]), text)
		}
		t = t.times(u)
	}
	return t, nil
}

// numbers reads numbers parted by spaces and commas, or by nothing where a
// sign or a second point begins the next (SVG 1.1, 8.3.9).
type numbers struct {
	text string
	at   int
}

var numberToken = regexp.MustCompile(`^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?`)

func (n *numbers) space() {
	for n.at < len(n.text) && strings.IndexByte(" \t\r\n\f,", n.text[n.at]) >= 0 {
		n.at++
	}
}

func (n *numbers) done() bool {
	n.space()
	return n.at >= len(n.text)
}

func (n *numbers) number() (float64, error) {
	n.space()
	token := numberToken.FindString(n.text[n.at:])
	if token == "" {
		return 0, n.wrong("a number")
	}
	v, err := strconv.ParseFloat(token, 64)
	if err != nil || math.Abs(v) > 1e12 {
		return 0, fmt.Errorf("the number %s is out of all measure", token)
	}
	// "10em" is not 10e…: the pattern takes an exponent only with digits
	n.at += len(token)
	return v, nil
}

// flag reads a 0 or 1, which may stand without a space behind it.
func (n *numbers) flag() (bool, error) {
	n.space()
	if n.at < len(n.text) && (n.text[n.at] == '0' || n.text[n.at] == '1') {
		n.at++
		return n.text[n.at-1] == '1', nil
	}
	return false, n.wrong("a flag 0 or 1")
}

func (n *numbers) wrong(wanted string) error {
	if n.at >= len(n.text) {
		return fmt.Errorf("%s is missing at the end", wanted)
	}
	rest := n.text[n.at:]
	if len(rest) > 12 {
		rest = rest[:12] + "…"
	}
	return fmt.Errorf("at character %d %s is wanted, not %q", n.at+1, wanted, rest)
}

// latin1 makes UTF-8 of one-byte text.
type latin1 struct{ r io.Reader }

func (l latin1) Read(p []byte) (int, error) {
	if len(p) < 2 {
		return 0, io.ErrShortBuffer
	}
	buf := make([]byte, len(p)/2)
	n, err := l.r.Read(buf)
	out := 0
	for _, b := range buf[:n] {
		if b < 0x80 {
			p[out] = b
			out++
		} else {
			p[out], p[out+1] = 0xC0|b>>6, 0x80|b&0x3F
			out += 2
		}
	}
	return out, err
}
