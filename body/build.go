package body

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"slabwright/body/geom"
	"slabwright/body/outline"
)

// FieldError says which field of a Spec is wrong, what it is, and what would
// be right.
type FieldError struct{ Field, Is, Want string }

func (e *FieldError) Error() string { return e.Field + ": " + e.Is + "; " + e.Want }

// builder gathers a body in the right-handed frame, and everything that is
// wrong with its spec.
type builder struct {
	spec Spec
	b    *Body
	errs []error
}

func (w *builder) fail(field, is, want string, args ...any) {
	w.errs = append(w.errs, &FieldError{field, is, fmt.Sprintf(want, args...)})
}

// size is number for a length in mm.
func (w *builder) size(field string, v, otherwise, lo, hi float64) float64 {
	if v == 0 {
		return otherwise
	}
	if !(v >= lo && v <= hi) {
		mm := w.b.length
		w.fail(field, mm(v), "give a length from %s to %s (0 for the default, %s)", mm(lo), mm(hi), mm(otherwise))
		return otherwise
	}
	return v
}

// number is v, or the default when v is zero; it complains unless
// lo ≤ v ≤ hi.
func (w *builder) number(field string, v, otherwise, lo, hi float64) float64 {
	if v == 0 {
		return otherwise
	}
	if !(v >= lo && v <= hi) {
		w.fail(field, fmt.Sprintf("%g", v), "give a value from %g to %g (0 for the default, %g)", lo, hi, otherwise)
		return otherwise
	}
	return v
}

// place complains about a point that is not a pair of ordinary numbers within
// five metres.
func (w *builder) place(field string, p geom.Point) {
	if !p.Finite() || math.Abs(p.X) > 5000 || math.Abs(p.Y) > 5000 {
		w.fail(field, fmt.Sprintf("(%g, %g)", p.X, p.Y), "give a place in the body frame, in mm")
	}
}

// place3 is place in space.
func (w *builder) place3(field string, p geom.Point3) {
	w.place(field, p.Plan())
	w.turn(field, p.Z/5000)
}

// turn complains about an angle, or any number of a size near 1, that is not a
// number or absurdly large.
func (w *builder) turn(field string, v float64) {
	if !(math.Abs(v) <= 100) {
		w.fail(field, fmt.Sprintf("%g", v), "give an ordinary number")
	}
}

// Build makes the body of a spec. All errors of the spec are told at once,
// each a *FieldError. A Body that comes without error has every part in
// place; whether enough wood is left is Check's business.
func Build(spec Spec) (*Body, error) {
	w := &builder{spec: spec, b: &Body{}}
	w.frame()
	if len(w.errs) > 0 {
		return nil, errors.Join(w.errs...)
	}
	w.neck()
	for i := range spec.Pickups {
		w.pickup(i)
	}
	w.bridge()
	for i := range spec.Cavities {
		w.cavity(i)
	}
	for i := range spec.Batteries {
		w.battery(i)
	}
	for i := range spec.Channels {
		w.channel(i)
	}
	for i := range spec.Pots {
		w.pot(i)
	}
	for i := range spec.Switches {
		w.switches(i)
	}
	w.jack()
	w.straps()
	for i := range spec.Guards {
		w.guard(i)
	}
	for i := range spec.Contours {
		w.contour(i)
	}
	w.edges()
	for i := range spec.WireHoles {
		w.wireHole(i)
	}
	w.ground()
	w.masses()
	w.names()
	w.zones()
	if len(w.errs) > 0 {
		return nil, errors.Join(w.errs...)
	}
	w.note()
	if spec.Hand == outline.LeftHanded {
		w.b.mirror()
	}
	w.b.side = newSide(w.b.Ring)
	w.b.measures = outline.Measure(w.b.Outline)
	return w.b, nil
}

// frame places the outline and reads the sizes that all else hangs on.
func (w *builder) frame() {
	s, b := &w.spec, w.b
	if s.Hand != outline.RightHanded && s.Hand != outline.LeftHanded {
		w.fail("hand", s.Hand.String(), "it is either right-handed or left-handed")
	}
	b.Hand, b.Unit = s.Hand, s.Unit
	b.Thickness = w.size("thickness", s.Thickness, defaultThickness, 10, 120)
	b.ScaleLength = w.size("scale length", s.ScaleLength, defaultScale, 200, 1500)
	fret := w.number("neck.joint fret", s.Neck.JointFret, defaultJointFret, 1, 36)
	d := w.size("neck.distance", s.Neck.Distance, JointDistance(b.ScaleLength, fret), 20, b.ScaleLength)
	b.Joint = geom.Pt(-d, 0)

	path := s.Outline
	if len(path.Curves) == 0 {
		if s.Family == "" {
			w.fail("outline", "there is none", "give one, or name a family: %s", strings.Join(outline.Families(), ", "))
			return
		}
		var err error
		if path, err = outline.New(s.Family, s.Sizes, outline.RightHanded); err != nil {
			w.errs = append(w.errs, fmt.Errorf("outline: %w", err))
			return
		}
	}
	path.Closed = true
	for _, c := range path.Curves {
		if !c.P0.Finite() || !c.P1.Finite() || !c.P2.Finite() || !c.P3.Finite() {
			w.fail("outline", "it holds a place that is not a number", "give places in mm")
			return
		}
	}
	b.Outline = path.Moved(geom.Shift(b.Joint.Sub(geom.Point{})))
	if b.Outline.Area() < 0 {
		b.Outline = b.Outline.Reversed()
	}
	b.Ring = b.Outline.Polygon(RingTolerance)
	box := b.Ring.Bounds()
	switch {
	case len(b.Ring) < 3 || b.Ring.Area() < 1000:
		w.fail("outline", fmt.Sprintf("it encloses %.0f mm²", b.Ring.Area()), "a body needs at least 1000 mm²; check the scale")
		return
	case box.Width() > 3000 || box.Height() > 3000:
		w.fail("outline", fmt.Sprintf("it measures %s × %s", b.length(box.Width()), b.length(box.Height())), "a body is shorter than 3 m; check the scale")
		return
	}
	if x, bad := b.Ring.SelfCrossing(); bad {
		at := x.At.Add(geom.Point{}.Sub(b.Joint))
		w.fail("outline", fmt.Sprintf("it crosses itself at %s of its own frame", w.b.place(at)), "draw it as one closed line that does not meet itself")
		return
	}
	w.limits()
	w.stringLines()
}

func (w *builder) limits() {
	d, l := defaultLimits(), &w.spec.Limits
	for _, f := range []struct {
		name string
		v    *float64
		d    float64
	}{
		{"floor", &l.Floor, d.Floor}, {"top", &l.Top, d.Top}, {"wall", &l.Wall, d.Wall}, {"web", &l.Web, d.Web},
		{"hole to hole", &l.HoleToHole, d.HoleToHole}, {"hole to edge", &l.HoleToEdge, d.HoleToEdge},
		{"hole to cavity", &l.HoleCavity, d.HoleCavity}, {"pocket floor", &l.PocketFloor, d.PocketFloor},
		{"face skin", &l.FaceSkin, d.FaceSkin}, {"router bit", &l.RouterBit, d.RouterBit},
	} {
		*f.v = w.size("limits."+f.name, *f.v, f.d, 0.01, 100)
	}
	w.b.Limits = *l
}

func (w *builder) stringLines() {
	s, b := w.spec.Strings, w.b
	mark := func(name string, k MarkKind, l Line) { b.Marks = append(b.Marks, Mark{name, k, l}) }
	if len(s.Lines) > 0 {
		for i, l := range s.Lines {
			w.place(fmt.Sprintf("strings.lines[%d]", i), l.A)
			w.place(fmt.Sprintf("strings.lines[%d]", i), l.B)
			if !(l.A.X < l.B.X) {
				w.fail(fmt.Sprintf("strings.lines[%d]", i), "it does not run from the nut toward the bridge", "A is at the nut, B at the scale point")
			}
		}
		b.Strings = s.Lines
	} else {
		n := s.Count
		if n == 0 {
			n = defaultStrings
		}
		if n < 1 || n > 24 {
			w.fail("strings.count", fmt.Sprint(n), "give 1 to 24")
			n = defaultStrings
		}
		nut := w.size("strings.spread at the nut", s.SpreadNut, defaultSpreadNut, 1, 200)
		saddle := w.size("strings.spread at the saddle", s.SpreadSaddle, defaultSpreadSaddle, 1, 300)
		for i := range n {
			f := 0.0
			if n > 1 {
				f = 0.5 - float64(i)/float64(n-1)
			}
			b.Strings = append(b.Strings, Line{geom.Pt(-b.ScaleLength, f*nut), geom.Pt(0, f*saddle)})
		}
	}
	box := b.Ring.Bounds()
	mark("centreline", Centreline, Line{geom.Pt(box.Min.X-20, 0), geom.Pt(box.Max.X+20, 0)})
	for i, l := range b.Strings {
		mark(fmt.Sprintf("string %d", i+1), StringMark, l)
	}
	first, last := b.Strings[0].B, b.Strings[len(b.Strings)-1].B
	if len(b.Strings) == 1 {
		first, last = first.Add(geom.V(0, 20)), last.Add(geom.V(0, -20))
	}
	mark("scale point line", ScaleLine, Line{last, first})
	mark("neck joint", JointLine, Line{b.Joint.Add(geom.V(0, -40)), b.Joint.Add(geom.V(0, 40))})
}

func (w *builder) feature(f Feature) { w.b.Features = append(w.b.Features, f) }
func (w *builder) hole(h Hole)       { w.b.Holes = append(w.b.Holes, h) }
func (w *builder) mass(name string, grams float64, at geom.Point3) {
	if !(grams >= 0 && grams < 1e6) {
		w.fail(name, fmt.Sprintf("a mass of %g g", grams), "give grams, 0 or more, under a tonne")
		return
	}
	if grams > 0 {
		w.b.Masses = append(w.b.Masses, Mass{name, grams, at})
	}
}
func (w *builder) solid(z Zone) {
	z.WBottom = math.Max(z.WBottom, -w.b.Thickness)
	w.b.Solid = append(w.b.Solid, z)
}
func (w *builder) spot(name string, k Kind, at geom.Point, diameter, wanted float64) {
	w.b.KeepFromGlue = append(w.b.KeepFromGlue, Spot{name, k, at, diameter / 2, wanted})
}

func at3(p geom.Point, w float64) geom.Point3 { return geom.Point3{X: p.X, Y: p.Y, Z: w} }

// How far a glue line should keep from the rim of a hole whose screw or post
// carries load. Common practice, from memory.
const (
	glueFromScrew = 3.0
	glueFromPost  = 5.0
)

// neck cuts the pocket, its screw holes, and hides what the board covers.
func (w *builder) neck() {
	n, b := w.spec.Neck, w.b
	clear := w.size("neck.fit clearance", n.FitClearance, defaultFitClearance, 0.001, 3)
	heel := w.size("neck.heel width", n.HeelWidth, defaultHeelWidth, 20, 200)
	atEdge := w.size("neck.joint width", n.JointWidth, heel, 20, 200)
	length := w.size("neck.length", n.Length, defaultPocketLength, 10, 400)
	depth := w.size("neck.depth", n.Depth, defaultPocketDepth, 2, b.Thickness)
	corner := w.size("neck.corner radius", n.CornerRadius, defaultPocketCorner, 0.01, heel/2)
	if !(math.Abs(n.Angle) <= 0.2) {
		w.fail("neck.angle", fmt.Sprintf("%.1f°", n.Angle*180/math.Pi), "give −11.4° to 11.4°")
		return
	}
	slope := math.Tan(n.Angle)
	if end := depth - slope*length; !(end > 0) {
		w.fail("neck.angle", fmt.Sprintf("the pocket's floor comes out of the front %s before its end", b.length(-end/slope)), "give a smaller angle or a deeper pocket")
		return
	}

	// The pocket runs out of the body: past the outline's foremost wood that
	// lies before it.
	u0 := b.Joint.X
	for _, p := range b.Ring {
		if math.Abs(p.Y) <= math.Max(heel, atEdge)/2+clear && p.X < u0 && p.X > b.Joint.X-40 {
			u0 = p.X
		}
	}
	u0 -= 2
	u1 := b.Joint.X + length + clear
	half := func(u float64) float64 {
		return (atEdge+(heel-atEdge)*(u-b.Joint.X)/length)/2 + clear
	}
	h1 := half(u1)
	r := math.Min(corner, h1)
	ring := geom.Polygon{geom.Pt(u0, half(u0)), geom.Pt(u0, -half(u0))}
	ring = arcPoints(ring, geom.Pt(u1-r, -h1+r), r, -math.Pi/2, 0)
	ring = arcPoints(ring, geom.Pt(u1-r, h1-r), r, 0, math.Pi/2)
	f := Feature{Name: "neck pocket", Kind: KindPocket, Face: Front, Ring: ring, FloorSlope: slope, FloorFrom: u0, CutsEdge: true}
	if slope < 0 {
		f.FloorFrom = u1
	}
	f.WBottom = -depth + slope*(f.FloorFrom-b.Joint.X)
	deepest := -f.WBottom
	if deepest >= b.Thickness {
		w.fail("neck.depth", fmt.Sprintf("the pocket is %s deep at its deepest", b.length(deepest)), "keep it under the body's thickness, %s", b.length(b.Thickness))
		return
	}
	w.feature(f)
	w.solid(Zone{"under the neck pocket", KindPocket, geom.Bounds(geom.Pt(b.Joint.X, -h1-b.Limits.Wall), geom.Pt(u1+b.Limits.Wall, h1+b.Limits.Wall)).Polygon(), 0, -b.Thickness, "the neck's pull and its screws"})

	screws := n.Screws
	if screws == 0 {
		screws = defaultNeckScrews
	}
	edge := w.size("neck.screw edge", n.ScrewEdge, defaultNeckScrewEdge, 3, heel/2)
	across := heel/2 - edge
	near, far := b.Joint.X+edge, b.Joint.X+length-edge
	mid := (near + far) / 2
	var places []geom.Point
	switch screws {
	case -1:
	case 1:
		places = []geom.Point{{X: mid}}
	case 2:
		places = []geom.Point{{X: near}, {X: far}}
	case 3:
		places = []geom.Point{{X: near, Y: across}, {X: near, Y: -across}, {X: far}}
	case 4:
		places = []geom.Point{{X: near, Y: across}, {X: near, Y: -across}, {X: far, Y: across}, {X: far, Y: -across}}
	case 5:
		places = []geom.Point{{X: near, Y: across}, {X: near, Y: -across}, {X: far, Y: across}, {X: far, Y: -across}, {X: mid}}
	case 6:
		places = []geom.Point{{X: near, Y: across}, {X: near, Y: -across}, {X: mid, Y: across}, {X: mid, Y: -across}, {X: far, Y: across}, {X: far, Y: -across}}
	default:
		w.fail("neck.screws", fmt.Sprint(screws), "give 1 to 6, or −1 for a glued neck")
	}
	d := w.size("neck.screw diameter", n.ScrewDiameter, defaultNeckScrewHole, 1, 15)
	head := w.size("neck.head diameter", n.HeadDiameter, 2*d, d, 30)
	inset := n.BackPlateInset
	if !(inset >= 0 && inset < b.Thickness-deepest) || !(n.HeadDepth >= 0 && n.HeadDepth < b.Thickness-deepest) {
		w.fail("neck", "the plate's or the heads' recess in the back is negative or meets the pocket", "keep both from 0 to %s", b.length(b.Thickness-deepest))
		return
	}
	for i, p := range places {
		name := fmt.Sprintf("neck screw %d", i+1)
		opens := []string{"neck pocket"}
		if inset > 0 {
			opens = append(opens, "neck plate recess")
		}
		from := -b.Thickness
		if n.HeadDepth > 0 {
			w.hole(Hole{Name: name + " head", Kind: KindRecess, Face: Back, A: at3(p, from), B: at3(p, from+inset+n.HeadDepth), Diameter: head, Opens: append([]string{name}, opens...)})
			opens = append(opens, name+" head")
		}
		w.hole(Hole{Name: name, Kind: KindNeckHole, Face: Back, A: at3(p, from), B: at3(p, f.Floor(p.X)), Diameter: d, Through: true, Opens: opens})
		w.spot(name, KindNeckHole, p, d, glueFromScrew)
		w.mass(name, 8, at3(p, -b.Thickness/2))
	}
	if inset > 0 && len(places) > 0 {
		w.feature(Feature{Name: "neck plate recess", Kind: KindRecess, Face: Back,
			Ring:    roundedRectangle(geom.Pt(mid, 0), far-near+2*edge-4, 2*across+2*edge-4, 5, 0),
			WTop:    -b.Thickness + inset,
			WBottom: -b.Thickness})
	}
	w.board()
}

func (w *builder) board() {
	s, b := w.spec.Board, w.b
	last := w.number("board.last fret", s.LastFret, defaultLastFret, 1, 40)
	over := w.size("board.overhang", s.Overhang, defaultOverhang, 0.01, 100)
	end := w.size("board.end", s.End, -JointDistance(b.ScaleLength, last)+over, -b.ScaleLength, -1)
	nut := w.size("board.width at the nut", s.WidthNut, defaultBoardNut, 10, 250)
	atEnd := w.size("board.width at the end", s.WidthEnd, defaultBoardEnd, 10, 250)
	half := func(u float64) float64 {
		return (nut + (atEnd-nut)*(u+b.ScaleLength)/(end+b.ScaleLength)) / 2
	}
	w.turn("board.end slope", s.EndSlope)
	u0 := math.Min(b.Ring.Bounds().Min.X, b.Joint.X) - 5
	bass, treble := end+s.EndSlope/2, end-s.EndSlope/2
	ring := geom.Polygon{geom.Pt(u0, -half(u0)), geom.Pt(bass, -half(bass)), geom.Pt(treble, half(treble)), geom.Pt(u0, half(u0))}
	b.Hidden = append(b.Hidden, Hidden{"fretboard", ring})
	b.Marks = append(b.Marks,
		Mark{"fretboard end", BoardEdge, Line{ring[1], ring[2]}},
		Mark{"fretboard bass edge", BoardEdge, Line{ring[0], ring[1]}},
		Mark{"fretboard treble edge", BoardEdge, Line{ring[3], ring[2]}})
}

// pickup cuts one pickup's cavity and hides what its cover covers.
//
// An unturned pickup lies across the strings. Turned by angle > 0 its treble
// end (+v) goes toward +u: clockwise in (u, v).
func (w *builder) pickup(i int) {
	p, b := w.spec.Pickups[i], w.b
	field := fmt.Sprintf("pickups[%d]", i)
	d, ok := pickupDefaults(p.Kind)
	if !ok {
		w.fail(field+".kind", fmt.Sprintf("%q", p.Kind), "use %q, %q, %q or %q", SingleCoil, WideSingleCoil, Humbucking, SmallHumbucking)
		return
	}
	if p.Name == "" {
		p.Name = fmt.Sprintf("pickup %d", i+1)
	}
	if (p.FromSaddle != 0) == (p.Fraction != 0) {
		w.fail(field, "its place is given twice or not at all", "give either the distance from the saddle or the fraction of the scale")
		return
	}
	from := p.FromSaddle
	if p.Fraction != 0 {
		from = p.Fraction * b.ScaleLength
	}
	if !(from > 0 && from < b.ScaleLength) {
		w.fail(field, fmt.Sprintf("it lies %s before the saddle", b.length(from)), "give a distance between 0 and the scale length, %s", b.length(b.ScaleLength))
		return
	}
	if !(math.Abs(p.Angle) < math.Pi/3) {
		w.fail(field+".angle", fmt.Sprintf("%.1f°", p.Angle*180/math.Pi), "give less than 60°")
		return
	}
	centre := geom.Pt(-from, p.Across)
	w.place(field, centre)
	length := w.size(field+".length", p.Length, d.Length, 10, 300)
	width := w.size(field+".width", p.Width, d.Width, 5, 200)
	depth := w.size(field+".depth", p.Depth, d.Depth, 1, b.Thickness)
	const corner = 4
	f := Feature{Name: p.Name, Kind: KindPickup, Face: Front, WBottom: -depth,
		Ring: roundedRectangle(centre, width, length, corner, -p.Angle), Through: depth == b.Thickness}
	w.feature(f)
	deepest := depth
	if p.EarLength == 0 {
		p.EarLength = d.EarLength
	}
	if p.EarLength > 0 {
		p.EarLength = w.size(field+".ear length", p.EarLength, length, 1, 400)
		ed := w.size(field+".ear depth", p.EarDepth, math.Min(or(d.EarDepth, depth), b.Thickness), 1, b.Thickness)
		w.feature(Feature{Name: p.Name + " ears", Kind: KindEars, Face: Front, WBottom: -ed, Within: p.Name,
			Ring: roundedRectangle(centre, w.size(field+".ear width", p.EarWidth, or(d.EarWidth, 16), 1, 200), p.EarLength, corner, -p.Angle)})
		deepest = math.Max(deepest, ed)
	}
	cover := Size{w.size(field+".cover length", p.Cover.Length, d.Cover.Length, 1, 400), w.size(field+".cover width", p.Cover.Width, d.Cover.Width, 1, 400)}
	b.Hidden = append(b.Hidden, Hidden{p.Name, roundedRectangle(centre, cover.Width, cover.Length, 3, -p.Angle)})
	z := b.Limits.Wall
	w.solid(Zone{"under " + p.Name, KindPickup,
		roundedRectangle(centre, math.Max(width, cover.Width)+z, math.Max(math.Max(length, p.EarLength), cover.Length)+z, corner+z/2, -p.Angle),
		0, -deepest - b.Limits.Floor, "the pickup's cavity, its floor and its walls"})
	w.mass(p.Name, or(p.Mass, d.Mass), at3(centre, -depth/3))

	along := geom.Polar(1, math.Pi/2-p.Angle)
	place := PickupPlace{Name: p.Name, Kind: p.Kind, At: centre, Along: along}
	square := geom.V(along.Y, -along.X) // toward the tail
	for _, o := range coilOffsets(p.Kind) {
		m := centre.Add(square.Mul(o))
		place.Coils = append(place.Coils, Line{m.Add(along.Mul(-length / 2)), m.Add(along.Mul(length / 2))})
	}
	b.Pickups = append(b.Pickups, place)
}

// bridge drills and cuts for the bridge.
func (w *builder) bridge() {
	s, b := w.spec.Bridge, w.b
	if s.Kind == "" {
		s.Kind = FlatMount
	}
	d, ok := bridgeDefaults(s.Kind)
	if !ok {
		w.fail("bridge.kind", fmt.Sprintf("%q", s.Kind), "use %q, %q, %q, %q or %q", FlatMount, TwoPost, WrapOver, Vibrato, NoBridge)
		return
	}
	setback := 0.0
	if s.Kind != NoBridge {
		setback = w.size("bridge.saddle setback", s.SaddleSetback, d.SaddleSetback, -20, 40)
	}
	// The saddles follow the scale points, which lie askew with two scales.
	treble, bass := b.Strings[0].B, b.Strings[len(b.Strings)-1].B
	saddle := Line{bass.Add(geom.V(setback, 0)), treble.Add(geom.V(setback, 0))}
	if len(b.Strings) == 1 {
		saddle = Line{geom.Pt(setback, -20), geom.Pt(setback, 20)}
	}
	b.Marks = append(b.Marks, Mark{"saddle line", SaddleLine, saddle})
	if s.Kind == NoBridge {
		return
	}
	num := func(name string, v, def, lo, hi float64) float64 { return w.size("bridge."+name, v, def, lo, hi) }
	for _, v := range []float64{s.PostSpacing, s.PostDepth} {
		w.turn("bridge", v/10)
	}
	plate := Size{num("plate length", s.Plate.Length, d.Plate.Length, 5, 300), num("plate width", s.Plate.Width, d.Plate.Width, 3, 300)}
	ahead := num("plate ahead", s.PlateAhead, d.PlateAhead, -100, 200)
	slant := num("slant", s.Slant, d.Slant, -60, 60)
	t := b.Thickness
	// askew turns a distance behind the saddles at height v into a place:
	// everything of the bridge shares the slant of the saddles and its own.
	lean := slant
	if n := len(b.Strings); n > 1 && treble.Y != bass.Y {
		lean += (bass.X - treble.X) / (treble.Y - bass.Y) * or(s.PostSpacing, or(d.PostSpacing, plate.Length))
	}
	spread := or(s.PostSpacing, or(d.PostSpacing, plate.Length))
	askew := func(behind, v float64) geom.Point { return geom.Pt(setback+behind-lean*v/spread, v) }
	turn := math.Atan2(lean, spread) // counter-clockwise takes the bass end toward +u
	plateRing := roundedRectangle(askew(plate.Width/2-ahead, 0), plate.Width, plate.Length, 2, turn)
	b.Hidden = append(b.Hidden, Hidden{"bridge", plateRing})
	w.solid(Zone{"under the bridge", KindBridge, grown(plateRing, 3), 0, -math.Max(or(s.PostDepth, d.PostDepth), defaultScrewDepth) - b.Limits.Floor, "screws and posts, and the strings' pull"})
	w.mass("bridge", or(s.Mass, d.Mass), at3(askew(plate.Width/2-ahead, 0), 8))

	post := func(name string, k Kind, p geom.Point, dia, depth, wanted float64) {
		h := Hole{Name: name, Kind: k, Face: Front, A: at3(p, 0), B: at3(p, -depth), Diameter: dia}
		w.hole(h)
		w.spot(name, k, p, dia, wanted)
		w.solid(Zone{"round " + name, k, circle(p, dia/2+b.Limits.HoleToEdge), 0, -depth - b.Limits.Floor, "it carries the strings' pull"})
	}
	postDia := num("post diameter", s.PostDiameter, d.PostDiameter, 1, 30)
	postDepth := num("post depth", s.PostDepth, d.PostDepth, 2, t)
	postSpacing := num("post spacing", s.PostSpacing, d.PostSpacing, 5, 300)
	postAhead := num("post ahead", s.PostAhead, d.PostAhead, -60, 60)
	switch s.Kind {
	case TwoPost, WrapOver, Vibrato:
		word := map[BridgeKind]string{TwoPost: "bridge post", WrapOver: "bridge stud", Vibrato: "pivot post"}[s.Kind]
		for _, side := range []float64{1, -1} {
			post(word+sideName(side), KindPost, askew(-postAhead, side*postSpacing/2), postDia, postDepth, glueFromPost)
		}
	}
	if s.Kind == TwoPost && !s.StringThrough {
		behind := num("stud behind", s.StudBehind, d.StudBehind, 5, 300)
		spacing := num("stud spacing", s.StudSpacing, d.StudSpacing, 5, 300)
		dia, depth := num("stud diameter", s.StudDiameter, d.StudDiameter, 1, 30), num("stud depth", s.StudDepth, d.StudDepth, 2, t)
		u := setback - postAhead + behind
		for _, side := range []float64{1, -1} {
			post("tailpiece stud"+sideName(side), KindStud, geom.Pt(u, side*spacing/2), dia, depth, glueFromPost)
		}
		b.Hidden = append(b.Hidden, Hidden{"tailpiece", roundedRectangle(geom.Pt(u, 0), 22, spacing+17, 8, 0)})
		w.mass("tailpiece", or(s.TailMass, d.TailMass), at3(geom.Pt(u, 0), 8))
	}
	b.seated = s.Kind == FlatMount
	if s.Kind == FlatMount {
		n := s.Screws
		if n == 0 {
			n = d.Screws
		}
		if n < -1 || n > 12 {
			w.fail("bridge.screws", fmt.Sprint(n), "give 1 to 12, or −1 for none")
			n = -1
		}
		dia, depth := num("screw diameter", s.ScrewDiameter, d.ScrewDiameter, 0.5, 12), num("screw depth", s.ScrewDepth, d.ScrewDepth, 2, t)
		// One row along the plate's tail edge.
		for i := range max(n, 0) {
			v := 0.0
			if n > 1 {
				v = (plate.Length - 12) * (float64(i)/float64(n-1) - 0.5)
			}
			p := askew(plate.Width-ahead-4, v)
			name := fmt.Sprintf("bridge screw %d", i+1)
			w.hole(Hole{Name: name, Kind: KindScrew, Face: Front, A: at3(p, 0), B: at3(p, -depth), Diameter: dia})
			w.spot(name, KindScrew, p, dia, glueFromScrew)
		}
	}
	if s.StringThrough {
		if s.Kind == Vibrato {
			w.fail("bridge.string through", "strings run through the block of a pivoting vibrato bridge", "leave it out")
			return
		}
		behind := num("string behind", s.StringBehind, or(d.StringBehind, 22), 1, 200)
		dia := num("string hole", s.StringHole, d.StringHole, 1, 10)
		fd := num("ferrule hole", s.FerruleHole, d.FerruleHole, dia, 20)
		depth := num("ferrule depth", s.FerruleDepth, d.FerruleDepth, 1, t-1)
		for i, l := range b.Strings {
			p := geom.Pt(l.B.X+setback+behind, l.B.Y)
			name := fmt.Sprintf("string hole %d", i+1)
			ferrule := fmt.Sprintf("string ferrule %d", i+1)
			w.hole(Hole{Name: name, Kind: KindString, Face: Front, A: at3(p, 0), B: at3(p, -t), Diameter: dia, Through: true, Opens: []string{ferrule}})
			w.hole(Hole{Name: ferrule, Kind: KindFerrule, Face: Back, A: at3(p, -t), B: at3(p, -t+depth), Diameter: fd, Opens: []string{name}})
			w.spot(ferrule, KindFerrule, p, fd, glueFromScrew)
		}
	}
	if s.Kind == Vibrato {
		w.vibrato(s, d, askew, turn, postAhead)
	}
}

func (w *builder) vibrato(s, d Bridge, askew func(behind, v float64) geom.Point, turn, postAhead float64) {
	b := w.b
	num := func(name string, v, def, lo, hi float64) float64 { return w.size("bridge."+name, v, def, lo, hi) }
	t := b.Thickness
	bl, bw := num("block length", s.BlockLength, d.BlockLength, 10, 200), num("block width", s.BlockWidth, d.BlockWidth, 5, 100)
	block := askew(num("block behind", s.BlockBehind, d.BlockBehind, -50, 100)-postAhead, 0)
	w.feature(Feature{Name: "vibrato block cavity", Kind: KindBlock, Face: Front, WBottom: -t, Through: true,
		Ring: roundedRectangle(block, bw, bl, 4, turn)})
	sl, sw := num("spring length", s.SpringLength, d.SpringLength, 20, 300), num("spring width", s.SpringWidth, d.SpringWidth, 10, 200)
	sd := num("spring depth", s.SpringDepth, d.SpringDepth, 2, t-1)
	tail := block.X + bw/2 + num("spring behind", s.SpringBehind, d.SpringBehind, -20, 100)
	w.feature(Feature{Name: "spring cavity", Kind: KindSprings, Face: Back, WTop: -t + sd, WBottom: -t, Within: "vibrato block cavity",
		Ring: roundedRectangle(geom.Pt(tail-sl/2, 0), sl, sw, 6, 0)})
	w.mass("springs", or(s.TailMass, d.TailMass), at3(geom.Pt(tail-sl/2, 0), -t+sd/2))
	ledge := s.CoverLedge
	w.turn("bridge.cover ledge", ledge)
	if ledge == 0 {
		ledge = d.CoverLedge
	}
	if ledge > 0 {
		cd := num("cover depth", s.CoverDepth, d.CoverDepth, 0.3, sd)
		w.feature(Feature{Name: "spring cover ledge", Kind: KindLedge, Face: Back, WTop: -t + cd, WBottom: -t, Within: "vibrato block cavity",
			Ring: roundedRectangle(geom.Pt(tail-sl/2, 0), sl+2*ledge, math.Max(sw, bl)+2*ledge, 8, 0)})
	}
	// Two screws pull the springs' claw toward the neck, into the cavity's
	// front wall.
	for _, side := range []float64{1, -1} {
		name := "claw screw" + sideName(side)
		a := geom.Point3{X: tail - sl, Y: side * sw / 4, Z: -t + sd/2}
		w.hole(Hole{Name: name, Kind: KindScrew, Face: Back, A: a, B: a.Add(geom.Vec3{X: -30}), Diameter: 3, Opens: []string{"spring cavity"}})
		w.spot(name, KindScrew, a.Plan(), 3, glueFromScrew)
	}
}

func sideName(side float64) string {
	if side > 0 {
		return ", treble"
	}
	return ", bass"
}

// masses adds the neck and everything else that the maker names.
func (w *builder) masses() {
	m, b := w.spec.Masses, w.b
	end := b.Joint.X + or(w.spec.Neck.Length, defaultPocketLength)
	cg := m.NeckCG
	if cg == (geom.Point3{}) {
		cg = geom.Point3{X: -b.ScaleLength + 0.47*(end+b.ScaleLength), Z: 10}
	}
	tuners := m.TunersAt
	if tuners == (geom.Point3{}) {
		tuners = geom.Point3{X: -b.ScaleLength - 95, Z: -5}
	}
	w.place3("masses.neck's centre", cg)
	w.place3("masses.tuners' place", tuners)
	w.turn("board.height over the front", w.spec.Board.HeightOver)
	neck, each, str := or(m.Neck, 550), or(m.TunersEach, 35), or(m.StringEach, 5)
	for _, f := range []struct {
		name string
		v    float64
	}{{"neck", neck}, {"tuners each", each}, {"string each", str}} {
		if !(f.v > 0 && f.v < 20000) {
			w.fail("masses."+f.name, fmt.Sprintf("%g g", f.v), "give grams over 0")
		}
	}
	w.mass("neck", neck, cg)
	w.mass("tuners", each*float64(len(b.Strings)), tuners)
	w.mass("strings", str*float64(len(b.Strings)), geom.Point3{X: -b.ScaleLength / 2, Z: or(w.spec.Board.HeightOver, defaultBoardOver) + 3})
	for i, o := range m.Other {
		if !(o.Grams >= 0) || math.IsInf(o.Grams, 1) {
			w.fail(fmt.Sprintf("masses.other[%d]", i), fmt.Sprintf("%g g", o.Grams), "give grams, 0 or more")
			continue
		}
		w.place3(fmt.Sprintf("masses.other[%d]", i), o.At)
		if o.Name == "" {
			o.Name = fmt.Sprintf("mass %d", i+1)
		}
		w.mass(o.Name, o.Grams, o.At)
	}
	f := w.spec.Finish
	if f.Thickness == -1 {
		f = Finish{}
	} else {
		f.Thickness = w.size("finish.thickness", f.Thickness, 0.15, 0.001, 5)
		f.Density = w.number("finish.density", f.Density, 1100, 100, 5000)
	}
	b.Finish = f
}

// names makes sure that every feature and hole can be told from the others.
func (w *builder) names() {
	seen := map[string]bool{}
	check := func(name string) {
		if seen[name] {
			w.fail(name, "two parts have this name", "give each its own")
		}
		seen[name] = true
	}
	for _, f := range w.b.Features {
		check(f.Name)
	}
	for _, h := range w.b.Holes {
		check(h.Name)
	}
}

// zones asks for solid wood round every cavity and hole that has not asked
// for itself.
func (w *builder) zones() {
	b := w.b
	has := map[string]bool{}
	for _, z := range b.Solid {
		has[z.Name] = true
	}
	for _, f := range b.Features {
		if f.CutsEdge || f.Kind == KindPickup || f.Kind == KindEars {
			continue
		}
		ring := grown(f.Ring, b.Limits.Web)
		if _, bad := ring.SelfCrossing(); bad {
			ring = f.Ring.Bounds().Grow(b.Limits.Web).Polygon()
		}
		top, bottom := math.Min(0, f.WTop+b.Limits.Floor), f.WBottom-b.Limits.Floor
		w.solid(Zone{"round " + f.Name, f.Kind, ring, top, bottom, "walls and floor of the cavity"})
	}
	for _, h := range b.Holes {
		if has["round "+h.Name] {
			continue
		}
		r := h.Diameter/2 + b.Limits.HoleCavity
		w.solid(Zone{"round " + h.Name, h.Kind, h.plan(r),
			math.Min(0, math.Max(h.A.Z, h.B.Z)+r), math.Min(h.A.Z, h.B.Z) - r, "wood round the hole"})
	}
}

// Plan is the hole as seen from the front: a circle, or for a slanted hole the
// strip that its axis covers, rounded at the ends.
func (h Hole) Plan() geom.Polygon { return h.plan(h.Diameter / 2) }

func (h Hole) plan(r float64) geom.Polygon {
	if h.square() {
		return circle(h.A.Plan(), r)
	}
	return stadium(h.A.Plan(), h.B.Plan(), 2*r)
}

// note writes depths in words for the templates.
func (w *builder) note() {
	b := w.b
	for i := range b.Features {
		f := &b.Features[i]
		switch {
		case f.Through:
			f.Note = "through"
		case f.FloorSlope != 0:
			near, far := -f.Floor(b.Joint.X), -f.Floor(f.Ring.Bounds().Max.X)
			f.Note = fmt.Sprintf("%s deep at the joint, %s at the end, from the %s", b.length(near), b.length(far), f.Face)
		default:
			f.Note = fmt.Sprintf("%s deep from the %s", b.length(f.Depth(b.Thickness)), f.Face)
		}
		if least, most := b.CarvedDepth(*f); !f.Through && most > 0 {
			f.Note += fmt.Sprintf(" before it is carved, %s to %s after", b.length(least), b.length(most))
		}
	}
	for i := range b.Holes {
		h := &b.Holes[i]
		parts := []string{b.length(h.Diameter) + " hole"}
		if h.Through {
			parts = append(parts, "through")
		} else {
			parts = append(parts, b.length(h.Length())+" deep")
		}
		d := h.B.Sub(h.A).Unit()
		switch {
		case math.Abs(d.Z) > 1-1e-12:
			parts = append(parts, fmt.Sprintf("from the %s, square to it", h.Face))
		default:
			parts = append(parts, fmt.Sprintf("from the %s, %.1f° to the front plane, heading %.1f° from the centreline", h.Face, math.Abs(h.Tilt())*180/math.Pi, math.Atan2(d.Y, d.X)*180/math.Pi))
		}
		h.Note = strings.Join(parts, ", ")
	}
}

// Tilt is the angle of the hole's axis to the front plane, in [−π/2, π/2],
// negative when it goes away from the front.
func (h Hole) Tilt() float64 { return math.Asin(h.B.Sub(h.A).Unit().Z) }

// mirror makes a left-handed body of a right-handed one, across the
// centreline.
func (b *Body) mirror() {
	flip := geom.FlipY()
	p3 := func(p geom.Point3) geom.Point3 { p.Y = -p.Y; return p }
	line := func(l Line) Line { return Line{flip.Apply(l.A), flip.Apply(l.B)} }
	b.Outline = b.Outline.Moved(flip)
	b.Ring = b.Ring.Moved(flip)
	for i := range b.Features {
		b.Features[i].Ring = b.Features[i].Ring.Moved(flip)
	}
	for i := range b.Holes {
		h := &b.Holes[i]
		h.A, h.B = p3(h.A), p3(h.B)
	}
	for i := range b.Shaped {
		s := &b.Shaped[i]
		s.Ring = s.Ring.Moved(flip)
		s.box = s.Ring.Bounds()
		// What lay on the left of the line now lies on its right: run it back.
		s.Line = geom.HalfPlane{At: flip.Apply(s.Line.At), Along: flip.Turn(s.Line.Along).Neg()}
	}
	for i := range b.Hidden {
		b.Hidden[i].Ring = b.Hidden[i].Ring.Moved(flip)
	}
	for i := range b.Solid {
		b.Solid[i].Ring = b.Solid[i].Ring.Moved(flip)
	}
	for i := range b.Marks {
		b.Marks[i].Line = line(b.Marks[i].Line)
	}
	for i := range b.KeepFromGlue {
		b.KeepFromGlue[i].At = flip.Apply(b.KeepFromGlue[i].At)
	}
	for i := range b.Buttons {
		n := &b.Buttons[i]
		n.At, n.Out.Y = p3(n.At), -n.Out.Y
	}
	for i := range b.Pickups {
		p := &b.Pickups[i]
		p.At, p.Along = flip.Apply(p.At), flip.Turn(p.Along)
		for j := range p.Coils {
			p.Coils[j] = line(p.Coils[j])
		}
	}
	strings := make([]Line, len(b.Strings))
	for i, l := range b.Strings {
		strings[i] = line(l)
	}
	b.Strings = strings
	for i := range b.Masses {
		b.Masses[i].At = p3(b.Masses[i].At)
	}
	for i := range b.parts {
		b.parts[i].room = b.parts[i].room.Moved(flip)
	}
}
