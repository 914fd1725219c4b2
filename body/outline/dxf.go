package outline

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"slabwright/body/geom"
)

// ImportDXF reads an outline from an ASCII DXF file: the entities LINE, ARC,
// CIRCLE, ELLIPSE, LWPOLYLINE and POLYLINE with bulges, and SPLINE, in the
// model space of any release, and blocks of them where INSERT puts them.
// Pieces whose ends lie within the gap are joined.
// The unit is the header's $INSUNITS; a file without one is taken to be in mm
// unless Options.UnitMM says otherwise. Arcs become cubics within 1e-7 of their
// radius, splines of degree over 3 or with weights within 1e-6 of their size.
//
// The format is a chain of pairs of lines, a group code and a value; what the
// codes mean is from the published DXF reference, from memory.
func ImportDXF(r io.Reader, o Options) (Imported, error) {
	var m Imported
	d := dxfReader{note: m.note, layer: o.ID, skipped: map[string]int{}}
	if o.UnitMM != 0 && !(o.UnitMM > 1e-6 && o.UnitMM < 1e6) {
		return m, fmt.Errorf("the file's unit is given as %g mm, which cannot be", o.UnitMM)
	}
	if err := d.read(r); err != nil {
		return Imported{}, fmt.Errorf("DXF: %w", err)
	}
	if o.ID != "" && !d.found {
		return Imported{}, fmt.Errorf("DXF: nothing is drawn on a layer %q%s", o.ID, suggest(strings.ToLower(o.ID), d.layers))
	}
	unit := 1.0
	switch known, ok := dxfUnits[d.unit]; {
	case ok:
		unit = known.mm
		m.note("the file is in %s", known.name)
	case o.UnitMM != 0:
		unit = o.UnitMM
		m.note("the file names no unit: taken as %s, as given", o.fine(unit))
	default:
		m.note("the file names no unit: taken as millimetres")
	}
	for _, p := range d.pieces {
		for i, c := range p.curves {
			k := func(q geom.Point) geom.Point { return geom.Pt(unit*q.X, unit*q.Y) }
			p.curves[i] = geom.Curve{P0: k(c.P0), P1: k(c.P1), P2: k(c.P2), P3: k(c.P3)}
		}
	}
	for _, kind := range []string{"INSERT", "HATCH", "MLINE", "REGION", "3DFACE", "SOLID"} {
		if n := d.skipped[kind]; n > 0 {
			m.note("%d %s left out: only lines, arcs, circles, ellipses, polylines, splines and blocks of them are read", n, kind)
		}
	}
	if err := m.finish(d.pieces, o, func(p geom.Point) geom.Point { return geom.Pt(p.X/unit, p.Y/unit) }); err != nil {
		return Imported{}, fmt.Errorf("DXF: %w", err)
	}
	return m, nil
}

// dxfUnits are the values of $INSUNITS.
var dxfUnits = map[int]struct {
	mm   float64
	name string
}{
	1: {25.4, "inches"}, 2: {304.8, "feet"}, 4: {1, "millimetres"}, 5: {10, "centimetres"}, 6: {1000, "metres"},
	8: {25.4e-6, "microinches"}, 9: {0.0254, "thousandths of an inch"}, 10: {914.4, "yards"}, 13: {0.001, "micrometres"}, 14: {100, "decimetres"},
}

// group is one pair of lines.
type group struct {
	code  int
	value string
	line  int // of the value
}

func (g group) number() (float64, error) {
	v, err := strconv.ParseFloat(g.value, 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > 1e12 {
		return 0, fmt.Errorf("line %d: %q is not a number one can draw with", g.line, g.value)
	}
	return v, nil
}

type dxfReader struct {
	note    func(string, ...any)
	layer   string
	found   bool
	layers  []string
	unit    int
	pieces  []piece
	skipped map[string]int
	blocks  map[string]block // by name, in capitals
	drawn   int              // what INSERT has copied
}

// entity is one entity with its groups; a POLYLINE has vertices of its own.
type entity struct {
	group
	body     []group
	vertices [][]group
}

// block is a drawing that INSERT puts into another, base on the insertion's
// point.
type block struct {
	base geom.Point
	list []entity
}

// setting is where and how entities are drawn: on the page itself, or in it by
// an INSERT.
type setting struct {
	t      affine
	layer  string // of the INSERT, which entities on layer 0 take on
	inside int    // how many INSERTs are round it
}

func (d *dxfReader) read(r io.Reader) error {
	const limit = 64 << 20
	data, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return err
	}
	if len(data) > limit {
		return fmt.Errorf("it is longer than %d MB", limit>>20)
	}
	if bytes.IndexByte(data, 0) >= 0 {
		return errors.New("it is a binary file: save it as ASCII DXF")
	}
	scanner := bufio.NewScanner(bytes.NewReader(data))
	scanner.Buffer(nil, 1<<20)
	var groups []group
	line := 0
	for scanner.Scan() {
		line++
		code, err := strconv.Atoi(strings.TrimSpace(scanner.Text()))
		if err != nil {
			if strings.TrimSpace(scanner.Text()) == "" {
				break // some writers end with an empty line
			}
			return fmt.Errorf("line %d: a group code is wanted, a whole number, not %.40q", line, scanner.Text())
		}
		if !scanner.Scan() {
			return fmt.Errorf("line %d: the file breaks off after a group code", line)
		}
		line++
		groups = append(groups, group{code, strings.TrimSpace(scanner.Text()), line})
	}
	if err := scanner.Err(); err != nil {
		return fmt.Errorf("line %d: %w", line+1, err)
	}
	section := ""
	sawEntities := false
	d.blocks = map[string]block{}
	var drawing []entity
	var in block // the block that is being read
	var inName string
	for i := 0; i < len(groups); {
		g := groups[i]
		if g.code != 0 {
			if section == "HEADER" && g.code == 9 && g.value == "$INSUNITS" && i+1 < len(groups) {
				if v, err := strconv.Atoi(groups[i+1].value); err == nil {
					d.unit = v
				}
			}
			i++
			continue
		}
		next := i + 1
		for next < len(groups) && groups[next].code != 0 {
			next++
		}
		e := entity{group: g, body: groups[i+1 : next]}
		if g.value == "POLYLINE" {
			for next < len(groups) && groups[next].value == "VERTEX" {
				end := next + 1
				for end < len(groups) && groups[end].code != 0 {
					end++
				}
				e.vertices = append(e.vertices, groups[next+1:end])
				next = end
			}
		}
		switch {
		case g.value == "SECTION":
			section = ""
			if len(e.body) > 0 && e.body[0].code == 2 {
				section = e.body[0].value
			}
			sawEntities = sawEntities || section == "ENTITIES"
			if section == "HEADER" { // its variables follow without a code 0
				i++
				continue
			}
		case g.value == "ENDSEC":
			section = ""
		case section == "ENTITIES":
			drawing = append(drawing, e)
		case section == "BLOCKS" && g.value == "BLOCK":
			f, err := readFields(e.body, 10, 20)
			if err != nil {
				return err
			}
			in, inName = block{base: geom.Pt(f.one[10], f.one[20])}, named(e.body)
		case section == "BLOCKS" && g.value == "ENDBLK":
			d.blocks[inName] = in
		case section == "BLOCKS":
			in.list = append(in.list, e)
		}
		i = next
	}
	if !sawEntities {
		return errors.New("there is no ENTITIES section in it")
	}
	return d.drawAll(drawing, setting{t: affine{a: 1, d: 1}})
}

// named is the value of group 2, in capitals: a block's name is the same
// however it is written.
func named(body []group) string {
	for _, g := range body {
		if g.code == 2 {
			return strings.ToUpper(g.value)
		}
	}
	return ""
}

func (d *dxfReader) drawAll(list []entity, in setting) error {
	for _, e := range list {
		if err := d.draw(e, in); err != nil {
			return err
		}
	}
	return nil
}

// insert draws a block's copies, in rows and columns.
func (d *dxfReader) insert(e entity, in setting, below bool) error {
	b, ok := d.blocks[named(e.body)]
	if !ok {
		d.skipped[e.value]++ // a block of another file
		return nil
	}
	f, err := readFields(e.body, 10, 20, 41, 42, 44, 45, 50, 70, 71)
	if err != nil {
		return err
	}
	one := func(code int, otherwise float64) float64 {
		if v, ok := f.one[code]; ok {
			return v
		}
		return otherwise
	}
	kx, ky := one(41, 1), one(42, 1)
	sin, cos := math.Sincos(f.one[50] * math.Pi / 180)
	if below {
		in.t = in.t.times(affine{a: -1, d: 1})
	}
	in.t = in.t.times(affine{a: 1, d: 1, e: f.one[10], f: f.one[20]}).times(affine{a: cos, b: sin, c: -sin, d: cos})
	if in.inside++; in.inside > 100 {
		return fmt.Errorf("INSERT in line %d: the block %q holds itself", e.line, named(e.body))
	}
	at := in.t
	for column := range int(math.Max(1, math.Min(1000, one(70, 1)))) {
		for row := range int(math.Max(1, math.Min(1000, one(71, 1)))) {
			in.t = at.times(affine{a: kx, d: ky, e: float64(column) * f.one[44], f: float64(row) * f.one[45]}).
				times(affine{a: 1, d: 1, e: -b.base.X, f: -b.base.Y})
			if err := d.copied(e, 1); err != nil {
				return err
			}
			if err := d.drawAll(b.list, in); err != nil {
				return err
			}
		}
	}
	return nil
}

// copied ends blocks of blocks of blocks.
func (d *dxfReader) copied(e entity, n int) error {
	if d.drawn += n; d.drawn > 5*maxCurves {
		return fmt.Errorf("line %d: INSERT makes more of the drawing than can be read", e.line)
	}
	return nil
}

// fields of an entity: the last value of each code, and all of the repeated
// ones in order.
type fields struct {
	one  map[int]float64
	many map[int][]float64
}

func readFields(body []group, codes ...int) (fields, error) {
	f := fields{map[int]float64{}, map[int][]float64{}}
	for _, g := range body {
		for _, c := range codes {
			if g.code != c {
				continue
			}
			v, err := g.number()
			if err != nil {
				return f, err
			}
			f.one[c] = v
			f.many[c] = append(f.many[c], v)
		}
	}
	return f, nil
}

// draw draws one entity, if it lies on the layer that is asked for and in
// model space.
func (d *dxfReader) draw(e entity, in setting) error {
	if in.inside > 0 {
		if err := d.copied(e, 1+len(e.vertices)+len(e.body)/4); err != nil {
			return err
		}
	}
	layer := ""
	extrusion := geom.Vec3{Z: 1}
	for _, b := range e.body {
		var err error
		switch b.code {
		case 8:
			layer = b.value
		case 67:
			if b.value == "1" {
				return nil // paper space
			}
		case 210:
			extrusion.X, err = b.number()
		case 220:
			extrusion.Y, err = b.number()
		case 230:
			extrusion.Z, err = b.number()
		}
		if err != nil {
			return err
		}
	}
	if in.inside > 0 && (layer == "" || layer == "0") {
		layer = in.layer
	}
	flat := math.Abs(extrusion.X) < 1e-6 && math.Abs(extrusion.Y) < 1e-6
	if e.value == "INSERT" {
		if !flat {
			return fmt.Errorf("INSERT in line %d does not lie in the x-y plane", e.line)
		}
		in.layer = layer
		return d.insert(e, in, extrusion.Z < 0)
	}
	if len(d.layers) < 200 {
		d.layers = append(d.layers, strings.ToLower(layer))
	}
	if d.layer != "" {
		if !strings.EqualFold(d.layer, layer) {
			return nil
		}
		d.found = true
	}
	draw, ok := map[string]func([]group, [][]group) (piece, error){
		"LINE": dxfLine, "ARC": dxfArc, "CIRCLE": dxfCircle, "ELLIPSE": dxfEllipse,
		"LWPOLYLINE": dxfLightPolyline, "POLYLINE": dxfPolyline, "SPLINE": dxfSpline,
	}[e.value]
	if !ok {
		d.skipped[e.value]++
		return nil
	}
	p, err := draw(e.body, e.vertices)
	if err != nil {
		return fmt.Errorf("%s in line %d: %w", e.value, e.line, err)
	}
	if len(p.curves) == 0 {
		return nil
	}
	// Arcs, circles and polylines are drawn in their own plane, whose x axis
	// points the other way when it is seen from below.
	if !flat && e.value != "LINE" && e.value != "SPLINE" {
		return fmt.Errorf("%s in line %d does not lie in the x-y plane", e.value, e.line)
	} else if extrusion.Z < 0 && flat && (e.value == "ARC" || e.value == "CIRCLE" || strings.HasSuffix(e.value, "POLYLINE")) {
		p.curves = geom.Path{Curves: p.curves}.Moved(geom.FlipY().Then(geom.Rigid{C: -1})).Curves
	}
	if in.inside > 0 {
		for i, c := range p.curves {
			k := geom.Curve{P0: in.t.apply(c.P0), P1: in.t.apply(c.P1), P2: in.t.apply(c.P2), P3: in.t.apply(c.P3)}
			if c.Straight() {
				k = geom.Line(k.P0, k.P3)
			}
			p.curves[i] = k
		}
	}
	p.name = fmt.Sprintf("the %s in line %d", e.value, e.line)
	if layer != "" {
		p.name += fmt.Sprintf(" on layer %q", layer)
	}
	d.pieces = append(d.pieces, p)
	return nil
}

func dxfLine(body []group, _ [][]group) (piece, error) {
	f, err := readFields(body, 10, 20, 11, 21)
	if err != nil {
		return piece{}, err
	}
	a, b := geom.Pt(f.one[10], f.one[20]), geom.Pt(f.one[11], f.one[21])
	if a == b {
		return piece{}, nil
	}
	return piece{curves: []geom.Curve{geom.Line(a, b)}}, nil
}

func dxfCircle(body []group, _ [][]group) (piece, error) {
	f, err := readFields(body, 10, 20, 40)
	if err != nil {
		return piece{}, err
	}
	r := f.one[40]
	if !(r > 0) {
		return piece{}, fmt.Errorf("its radius is %g", r)
	}
	return piece{closed: true, curves: ellipse(geom.Pt(f.one[10], f.one[20]), geom.V(r, 0), geom.V(0, r), 0, 2*math.Pi)}, nil
}

// dxfArc runs counter-clockwise from the angle in 50 to that in 51, degrees.
func dxfArc(body []group, _ [][]group) (piece, error) {
	f, err := readFields(body, 10, 20, 40, 50, 51)
	if err != nil {
		return piece{}, err
	}
	r := f.one[40]
	if !(r > 0) {
		return piece{}, fmt.Errorf("its radius is %g", r)
	}
	a, sweep := turnBetween(f.one[50]*math.Pi/180, f.one[51]*math.Pi/180)
	return piece{curves: ellipse(geom.Pt(f.one[10], f.one[20]), geom.V(r, 0), geom.V(0, r), a, sweep)}, nil
}

// dxfEllipse runs counter-clockwise from parameter 41 to 42, radians from the
// major axis 11, 21; 40 is the ratio of the axes.
func dxfEllipse(body []group, _ [][]group) (piece, error) {
	f, err := readFields(body, 10, 20, 11, 21, 40, 41, 42, 230)
	if err != nil {
		return piece{}, err
	}
	major := geom.V(f.one[11], f.one[21])
	if !(major.Len() > 0 && f.one[40] > 0) {
		return piece{}, errors.New("it has no axes")
	}
	minor := major.Left().Mul(f.one[40])
	if f.one[230] < 0 {
		minor = minor.Neg()
	}
	a, sweep := turnBetween(f.one[41], f.one[42])
	return piece{closed: sweep > 2*math.Pi-1e-9, curves: ellipse(geom.Pt(f.one[10], f.one[20]), major, minor, a, sweep)}, nil
}

// turnBetween is the counter-clockwise turn from a to b, a whole one when they
// are the same.
func turnBetween(a, b float64) (from, sweep float64) {
	sweep = math.Mod(b-a, 2*math.Pi)
	if sweep <= 1e-12 {
		sweep += 2 * math.Pi
	}
	return math.Mod(a, 2*math.Pi), sweep
}

// bulged is a polyline whose stretch i bends by bulges[i], the tangent of a
// quarter of its arc's angle, positive when it runs counter-clockwise.
func bulged(points []geom.Point, bulges []float64, closed bool) (piece, error) {
	p := piece{closed: closed}
	n := len(points)
	if !closed {
		n--
	}
	for i := range max(n, 0) {
		a, b := points[i], points[(i+1)%len(points)]
		if a == b {
			continue
		}
		k := bulges[i]
		if math.Abs(k) < 1e-12 {
			p.curves = append(p.curves, geom.Line(a, b))
			continue
		}
		if math.Abs(k) > 1e6 {
			return p, fmt.Errorf("a bulge is %g", k)
		}
		chord := b.Sub(a)
		centre := a.Lerp(b, 0.5).Add(chord.Left().Mul((1 - k*k) / (4 * k)))
		r := chord.Len() * (1 + k*k) / (4 * math.Abs(k))
		arc := ellipse(centre, geom.V(r, 0), geom.V(0, r), a.Sub(centre).Angle(), 4*math.Atan(k))
		arc[0].P0, arc[len(arc)-1].P3 = a, b
		p.curves = append(p.curves, arc...)
	}
	return p, nil
}

func dxfLightPolyline(body []group, _ [][]group) (piece, error) {
	var points []geom.Point
	var bulges []float64
	closed := false
	for _, g := range body {
		if g.code != 10 && g.code != 20 && g.code != 42 && g.code != 70 {
			continue
		}
		v, err := g.number()
		if err != nil {
			return piece{}, err
		}
		last := len(points) - 1
		switch {
		case g.code == 70:
			closed = int(v)&1 != 0
		case g.code == 10:
			points, bulges = append(points, geom.Pt(v, 0)), append(bulges, 0)
		case last < 0:
			return piece{}, fmt.Errorf("line %d: a vertex begins with group 10", g.line)
		case g.code == 20:
			points[last].Y = v
		default:
			bulges[last] = v
		}
	}
	return bulged(points, bulges, closed)
}

func dxfPolyline(body []group, vertices [][]group) (piece, error) {
	f, err := readFields(body, 70)
	if err != nil {
		return piece{}, err
	}
	flags := int(f.one[70])
	if flags&(16|64) != 0 {
		return piece{}, errors.New("it is a mesh, not a line")
	}
	var points []geom.Point
	var bulges []float64
	for _, v := range vertices {
		f, err := readFields(v, 10, 20, 42, 70)
		if err != nil {
			return piece{}, err
		}
		if int(f.one[70])&16 != 0 {
			continue // a spline's control frame
		}
		points, bulges = append(points, geom.Pt(f.one[10], f.one[20])), append(bulges, f.one[42])
	}
	return bulged(points, bulges, flags&1 != 0)
}
