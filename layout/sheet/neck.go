package sheet

import (
	"fmt"
	"math"
	"strconv"

	"slabwright/body/geom"
	"slabwright/fret"
	"slabwright/fret/measure"
	"slabwright/fret/neck"
)

const neckFrame = "neck frame, mm; origin at the nut's front edge on the fretboard's centre, u (the drawing's x) along the fretboard's surface toward the bridge, the drawing's y is v, to the treble side"

func neckPoint(p fret.Point) geom.Point { return geom.Point{X: p.U, Y: p.V} }

func neckLine(l fret.Line) Path { return Polyline(neckPoint(l.From), neckPoint(l.To)) }

// boardRing is the fretboard's outline from the nut to its end.
func boardRing(p *fret.Plan) geom.Polygon {
	nut := p.NutEdge
	if p.NutGuide != (fret.Line{}) {
		nut = p.NutGuide
	}
	return geom.Polygon{neckPoint(nut.From), neckPoint(p.BassEdge.To), neckPoint(p.TrebleEdge.To), neckPoint(nut.To)}
}

// slots draws the frets as they are sawn, with ends marked, and their numbers.
func (s *Scene) slots(p *fret.Plan, ends bool) {
	for _, f := range p.Slots {
		a, b := neckPoint(f.Bass), neckPoint(f.Treble)
		name := strconv.FormatFloat(f.Fret, 'g', -1, 64)
		s.Add(Item{Layer: Fret, Shape: Polyline(a, b), Stroke: pen(colourFret, penMedium), ID: "fret-" + name, Class: "fret", Title: "fret " + name})
		if ends {
			s.Add(Item{Layer: Fret, Shape: Circle{Centre: a, Radius: 0.5}, Stroke: pen(colourFret, penHair)},
				Item{Layer: Fret, Shape: Circle{Centre: b, Radius: 0.5}, Stroke: pen(colourFret, penHair)})
		}
		full := neckPoint(f.Full.From).Sub(neckPoint(f.Full.To)).Unit()
		s.Add(Item{Layer: Note, Shape: Text{Words: name, At: neckPoint(f.Full.From).Add(full.Mul(3)), Height: 2, Align: Centre, Rise: Middle, Halo: 0.4}, Fill: Fill{Colour: colourFret}})
	}
}

// Fretboard is the board at full size: edges, nut, slots with their ends,
// string lines, and a table of every fret from the nut. Mark all frets from
// the nut, never from fret to fret, or errors add up.
func Fretboard(p *fret.Plan, u measure.Unit) Scene {
	s := Scene{Name: "fretboard", Frame: neckFrame}
	ring := boardRing(p)
	s.Add(Item{Layer: Fret, Shape: Ring(ring), Stroke: pen(colourInk, penStrong), Fill: Fill{Colour: "#efe6d6", Opacity: 0.6}, ID: "fretboard", Title: "fretboard"})
	s.Add(Item{Layer: Fret, Shape: neckLine(p.NutEdge), Stroke: pen(colourFret, penBold), ID: "nut", Title: "nut, front edge"})
	for _, k := range p.Strings {
		a, b := neckPoint(k.Nut), neckPoint(k.Saddle)
		for _, part := range inside(a, b, ring.CCW()) {
			s.Add(Item{Layer: String, Shape: Polyline(part[0], part[1]), Stroke: pen(colourString, penHair), ID: fmt.Sprintf("string-%d", k.Number)})
		}
	}
	s.slots(p, true)
	box := ring.Bounds()
	s.Add(Line(Centreline, pen(colourAxis, penThin, dashAxis...), geom.Point{X: box.Min.X - 12}, geom.Point{X: box.Max.X + 12}))
	nut, end := p.NutEdge, p.BoardEnd
	s.Add(LinearDimension(neckPoint(nut.From), neckPoint(nut.To), geom.Vec{Y: 1}, 12, size(nut.To.V-nut.From.V, u))...)
	s.Add(LinearDimension(neckPoint(end.From), neckPoint(end.To), geom.Vec{Y: 1}, -10, size(end.To.V-end.From.V, u))...)
	s.Add(LinearDimension(geom.Point{Y: box.Max.Y}, geom.Point{X: box.Max.X, Y: box.Max.Y}, geom.Vec{X: 1}, 8, "nut to the board's end "+size(box.Max.X, u))...)

	heads := []string{"fret", "", "from nut", "from previous", "to saddle"}
	if p.Layout.Two() {
		heads = []string{"fret", "", "bass string", "treble string", "angle", "bass end u", "bass end v", "treble end u", "treble end v"}
	} else if u == measure.Inches {
		heads = append(heads, "from nut, mm")
	}
	var rows [][]string
	slot := map[float64]fret.Slot{}
	for _, f := range p.Slots {
		slot[f.Fret] = f
	}
	for _, r := range p.Rows {
		name := strconv.FormatFloat(r.Fret, 'g', -1, 64)
		f := slot[r.Fret]
		switch {
		case p.Layout.Two():
			rows = append(rows, []string{name, "", exact(r.BassFromNutMm, u), exact(r.TrebleFromNutMm, u), degrees(r.AngleRad),
				exact(f.Bass.U, u), exact(f.Bass.V, u), exact(f.Treble.U, u), exact(f.Treble.V, u)})
		case u == measure.Inches:
			rows = append(rows, []string{name, "", r.FromNut.Rule + exactBehind(r.FromNut.Mm), exact(r.FromPrevious.Mm, u), exact(r.ToSaddle.Mm, u), fmt.Sprintf("%.2f", r.FromNut.Mm)})
		default:
			rows = append(rows, []string{name, "", exact(r.FromNut.Mm, u), exact(r.FromPrevious.Mm, u), exact(r.ToSaddle.Mm, u)})
		}
	}
	s.Add(tables(geom.Point{Y: box.Min.Y - 14}, heads, rows, 2.2, box.Width())...)
	what := fmt.Sprintf("Scale length %s, %d frets.", size(p.CentreScaleMm, u), p.Layout.Count)
	if p.Layout.Two() {
		what = fmt.Sprintf("Two scales: bass %s, treble %s, fret %g is square; %d frets.", size(p.Layout.BassScale, u), size(p.Layout.TrebleScale, u), p.Layout.SquareFret, p.Layout.Count)
	}
	s.titleBlock("Fretboard", []string{what + " Measure every fret from the nut, never from fret to fret." + octave(p),
		"Slot with a fine saw in a guide, fingers behind the teeth; fret wire ends are sharp. Let the paper lie flat: it may have swollen or shrunk with the air."}, nil)
	return s
}

// octave names the fret that halves the scale, where there is one.
func octave(p *fret.Plan) string {
	for _, r := range p.Rows {
		if math.Abs(r.Cents-1200) < 1e-6 {
			return fmt.Sprintf(" Check fret %g against half of the scale length.", r.Fret)
		}
	}
	return ""
}

// exact words a length for a table: 0.01 mm, or thousandths of an inch.
func exact(mm float64, u measure.Unit) string {
	if u == measure.Inches {
		return fmt.Sprintf("%.3f in", mm/25.4)
	}
	return fmt.Sprintf("%.2f mm", mm)
}

// exactBehind is the decimal inch behind a fraction that has lost something.
func exactBehind(mm float64) string {
	if _, lost := measure.Length(mm).Sixtyfourths(); math.Abs(lost.Mm()) < 0.005 {
		return ""
	}
	return fmt.Sprintf(" (%.3f)", mm/25.4)
}

// NeckPlan is the neck seen on the fretboard: board, frets, rod channel, heel,
// headstock with tuner posts, and where every saddle belongs.
func NeckPlan(r *neck.Report, u measure.Unit) Scene {
	p, j, o := r.Plan, r.Joint, r.Outline()
	s := Scene{Name: "neck plan", Frame: neckFrame}
	ring := boardRing(p)
	head := neckRing(o.Head)
	s.Add(Item{Layer: Body, Shape: Ring(head), Stroke: pen(colourInk, penStrong), Fill: Fill{Colour: "#e9d9ba", Opacity: 0.6}, ID: "headstock", Title: "headstock"})
	s.Add(Item{Layer: Fret, Shape: Ring(ring), Stroke: pen(colourInk, penStrong), Fill: Fill{Colour: "#efe6d6", Opacity: 0.5}, ID: "fretboard", Title: "fretboard"})
	s.Add(Item{Layer: Fret, Shape: neckLine(p.NutEdge), Stroke: pen(colourFret, penBold), ID: "nut", Title: "nut, front edge"})
	s.slots(p, false)

	// The heel: from the joint to its end, as wide as the board there.
	at := func(u float64) (bass, treble geom.Point) {
		half := p.WidthAt(u) / 2
		return geom.Point{X: u, Y: -half}, geom.Point{X: u, Y: half}
	}
	a0, a1 := at(j.JointFromNutMm)
	b0, b1 := at(j.HeelEndFromNutMm)
	s.Add(Item{Layer: Body, Shape: Ring(geom.Polygon{a0, b0, b1, a1}), Stroke: pen(colourCut, penMedium), Hatch: Hatch{Angle: math.Pi / 4, Spacing: 6, Line: pen(colourCut, penHair)}, ID: "heel", Title: "heel in the pocket"})
	if len(o.Channel) > 0 {
		b := r.Spec.Beam
		s.Add(Item{Layer: Cavity, Shape: Ring(neckRing(o.Channel)), Stroke: pen(colourCavity, penThin, dashHidden...), ID: "rod-channel", Title: fmt.Sprintf("rod channel, %.1f × %.1f mm", b.ChannelWidthMm, b.ChannelDepthMm)})
	}
	for _, k := range r.Head.Posts {
		sign := 1.0
		if k.Side == "bass" {
			sign = -1
		}
		s.Add(Item{Layer: String, Shape: Polyline(neckPoint(p.Strings[k.String-1].Nut), geom.Point{X: k.UMm, Y: k.VMm - sign*r.Head.Spec.PostMm/2}), Stroke: pen(colourString, penHair)})
		s.post(k, geom.Point{X: k.UMm, Y: k.VMm}, r.Head.Spec.PostMm)
	}
	// Strings of a pair stand too near each other for two numbers in a column.
	column := 0.0
	for i, k := range p.Strings {
		s.Add(Item{Layer: String, Shape: Polyline(neckPoint(k.Nut), neckPoint(k.Saddle)), Stroke: pen(colourString, penHair), ID: fmt.Sprintf("string-%d", k.Number)})
		c := neckPoint(r.Intonation[i].SaddleAt)
		if column = 6 - column; i == 0 || math.Abs(k.Saddle.V-p.Strings[i-1].Saddle.V) > 3.5 {
			column = 0
		}
		s.Add(Cross(String, pen(colourCut, penThin), c, 1.2, 0))
		s.Add(Item{Layer: Note, Shape: Text{Words: strconv.Itoa(k.Number), At: geom.Point{X: p.CentreScaleMm + r.Bridge.FarthestMm + math.Abs(p.SaddleLine.From.U-p.SaddleLine.To.U)/2 + 4 + column, Y: c.Y}, Height: 2, Rise: Middle, Halo: 0.4}, Fill: Fill{Colour: colourInk}})
	}
	s.Add(Item{Layer: String, Shape: neckLine(p.SaddleLine), Stroke: pen(colourFret, penThin, dashHidden...), ID: "scale-line", Title: "scale point line, uncompensated"})
	box := s.Bounds()
	s.Add(Line(Centreline, pen(colourAxis, penThin, dashAxis...), geom.Point{X: box.Min.X - 8}, geom.Point{X: box.Max.X + 8}))
	y := box.Min.Y - 8
	tip := head.Bounds().Min
	nut := p.NutEdge.From
	s.Add(LinearDimension(tip, geom.Point{Y: nut.V}, geom.Vec{X: 1}, y-tip.Y, "head "+size(-tip.X, u))...)
	for _, d := range []struct {
		u    float64
		name string
	}{{j.JointFromNutMm, "body joint"}, {j.HeelEndFromNutMm, "heel's end"}, {p.CentreScaleMm, "scale length"}} {
		bass, _ := at(math.Min(d.u, ring.Bounds().Max.X))
		s.Add(LinearDimension(geom.Point{Y: nut.V}, geom.Point{X: d.u, Y: bass.Y}, geom.Vec{X: 1}, y-nut.V, d.name+" "+size(d.u, u))...)
		y -= 6.5
	}
	var rows [][]string
	for i, k := range r.Intonation {
		rows = append(rows, []string{strconv.Itoa(k.Number), r.Strings[i].Note, exact(k.SaddleFromNutMm, u), exact(k.Chosen.SaddleMm, u), exact(k.Chosen.NutMm, u)})
	}
	s.Add(table(geom.Point{Y: y - 4}, []string{"string", "note", "saddle from the nut's place", "set back at the saddle", "at the nut"}, rows, 2.2)...)
	s.Add(tables(geom.Point{X: 190, Y: y - 4}, postHeads, postRows(r, u), 2.2, 0)...)
	what := fmt.Sprintf("Joint at %s from the nut, heel %s long and %s thick with the board, neck angle %s.", size(j.JointFromNutMm, u), size(j.HeelEndFromNutMm-j.JointFromNutMm, u), size(j.HeelMm, u), degrees(j.NeckAngleRad))
	if r.Spec.Blank.HeadAngleDeg != 0 {
		what += fmt.Sprintf(" The headstock leans back %s and looks shorter from here: drill its posts from the headstock sheet.", degrees(r.Spec.Blank.HeadAngleDeg*math.Pi/180))
	}
	s.titleBlock("Neck plan", []string{what,
		"Red crosses: where each saddle belongs for the strings chosen. Set them by ear and tuner in the end. Strings under tension can whip when they break: wear eye protection.",
	}, nil)
	return s
}

func neckRing(points []fret.Point) geom.Polygon {
	out := make(geom.Polygon, len(points))
	for i, q := range points {
		out[i] = neckPoint(q)
	}
	return out
}

// post draws a tuner post with its string's number beside it, away from the
// centreline.
func (s *Scene) post(k neck.Post, at geom.Point, diameter float64) {
	out := math.Copysign(diameter/2+3.2, at.Y)
	s.Add(Item{Layer: Hole, Shape: Circle{Centre: at, Radius: diameter / 2}, Stroke: pen(colourCavity, penMedium), ID: fmt.Sprintf("post-%d", k.String), Title: fmt.Sprintf("post of string %d", k.String)},
		Cross(Hole, pen(colourCavity, penHair), at, diameter/2+1.5, 0),
		Item{Layer: Note, Shape: Text{Words: strconv.Itoa(k.String), At: at.Add(geom.Vec{Y: out}), Height: 2.5, Align: Centre, Rise: Middle, Halo: 0.4}, Fill: Fill{Colour: colourCavity}})
}

var postHeads = []string{"post", "", "along the face", "off centre", "turns sideways", "breaks over the nut"}

func postRows(r *neck.Report, u measure.Unit) (rows [][]string) {
	for _, k := range r.Head.Posts {
		side := k.Side
		if k.VMm*map[string]float64{"bass": -1, "treble": 1}[side] < 0 { // straight pull may cross the centreline
			side = map[string]string{"bass": "treble", "treble": "bass"}[side]
		}
		rows = append(rows, []string{strconv.Itoa(k.String), side, exact(k.AlongMm, u), exact(math.Abs(k.VMm), u), degrees(math.Abs(k.SidewaysRad)), degrees(k.BreakRad)})
	}
	return rows
}

// Headstock is the headstock's face laid flat, a template for its outline and
// the holes of the tuner posts.
func Headstock(r *neck.Report, u measure.Unit) Scene {
	p, o := r.Plan, r.Outline()
	s := Scene{Name: "headstock", Frame: "headstock face laid flat, mm; origin at the nut's front edge on the centreline, the drawing's x runs along the face, negative away from the nut, the drawing's y is v, to the treble side"}
	face := neckRing(o.HeadFace)
	s.Add(Item{Layer: Body, Shape: Ring(face), Stroke: pen(colourInk, penStrong), Fill: Fill{Colour: "#e9d9ba", Opacity: 0.6}, ID: "headstock", Title: "headstock"})
	s.Add(Item{Layer: Fret, Shape: neckLine(p.NutEdge), Stroke: pen(colourFret, penBold), ID: "nut", Title: "nut, front edge"})
	for i, k := range r.Head.Posts {
		c := neckPoint(o.Posts[i])
		sign := 1.0
		if k.Side == "bass" {
			sign = -1
		}
		s.Add(Item{Layer: String, Shape: Polyline(neckPoint(p.Strings[k.String-1].Nut), c.Add(geom.Vec{Y: -sign * r.Head.Spec.PostMm / 2})), Stroke: pen(colourString, penHair)})
		s.post(k, c, r.Head.Spec.PostMm)
	}
	box := face.Bounds()
	s.Add(Line(Centreline, pen(colourAxis, penThin, dashAxis...), geom.Point{X: box.Min.X - 8}, geom.Point{X: box.Max.X + 8}))
	s.Add(LinearDimension(geom.Point{X: box.Min.X, Y: box.Min.Y}, geom.Point{Y: box.Min.Y}, geom.Vec{X: 1}, -8, "head "+size(-box.Min.X, u))...)
	s.Add(LinearDimension(box.Min, geom.Point{X: box.Min.X, Y: box.Max.Y}, geom.Vec{Y: 1}, 8, size(box.Height(), u))...)
	s.Add(table(geom.Point{X: box.Min.X, Y: box.Min.Y - 14}, postHeads, postRows(r, u), 2.2)...)
	lies := fmt.Sprintf("Leans back %s", degrees(r.Spec.Blank.HeadAngleDeg*math.Pi/180))
	if r.Spec.Blank.HeadAngleDeg == 0 {
		lies = fmt.Sprintf("Lies level, its face %s under the fretboard's glue line", size(r.Spec.Blank.HeadStepMm, u))
	}
	s.titleBlock("Headstock", []string{
		fmt.Sprintf("%s; %s thick. The outline is the least wood round the nut and the posts: draw your own outside it.", lies, size(r.Spec.Blank.HeadThicknessMm, u)),
		fmt.Sprintf("Circles are the posts where the strings wind, %s across: drill for the tuners in hand, clamped on a board that backs the wood up.", size(r.Head.Spec.PostMm, u)),
	}, nil)
	return s
}

// NeckSide is the neck seen from the bass side: fretboard, wood with its
// thickness at every fret, rod channel, heel, headstock, and the body's front
// plane with the pocket's floor and the bridge's height.
func NeckSide(r *neck.Report, u measure.Unit) Scene {
	p, j := r.Plan, r.Joint
	s := Scene{Name: "neck side", Frame: "side view of the neck from the bass side, mm; origin at the nut's front edge on the fretboard's surface, the drawing's x is u, toward the bridge, the drawing's y is w, up from the board's surface"}
	wood := pen(colourInk, penStrong)

	angle := r.Spec.Blank.HeadAngleDeg * math.Pi / 180
	thick := r.Spec.Blank.HeadThicknessMm
	o := r.Outline()
	side := func(points []neck.SidePoint) geom.Polygon {
		out := make(geom.Polygon, len(points))
		for i, q := range points {
			out[i] = geom.Point{X: q.U, Y: q.W}
		}
		return out
	}
	s.Add(Item{Layer: Body, Shape: Ring(side(o.SideNeck)), Stroke: wood, Fill: Fill{Colour: "#e9d9ba", Opacity: 0.6}, ID: "neck", Title: "neck"})
	s.Add(Item{Layer: Fret, Shape: Ring(side(o.SideBoard)), Stroke: wood, Fill: Fill{Colour: "#8d7660", Opacity: 0.55}, ID: "fretboard", Title: "fretboard"})
	for _, f := range p.Slots {
		x := (f.Full.From.U + f.Full.To.U) / 2
		s.Add(Line(Fret, pen(colourFret, penMedium), geom.Point{X: x}, geom.Point{X: x, Y: r.Spec.Setup.CrownMm}))
	}
	if len(o.SideChannel) > 0 {
		s.Add(Item{Layer: Cavity, Shape: Ring(side(o.SideChannel)), Stroke: pen(colourCavity, penThin, dashHidden...), ID: "rod-channel", Title: "rod channel"})
	}
	// The body, from the joint to beyond the bridge, through the one map.
	front := func(bu, bw float64) geom.Point {
		x, _, y := j.Seat.Neck(bu, 0, bw)
		return geom.Point{X: x, Y: y}
	}
	joint := j.JointFromNutMm - j.Seat.ScaleMm
	s.Add(Item{Layer: Body, Shape: Polyline(front(joint, -j.PocketMm-15), front(joint, 0), front(60, 0)), Stroke: pen(colourCut, penMedium), ID: "body-front", Title: "the body's front plane"})
	s.Add(Item{Layer: Body, Shape: Polyline(geom.Point{X: j.JointFromNutMm, Y: -j.HeelMm}, geom.Point{X: j.HeelEndFromNutMm, Y: -j.HeelMm}, front(j.HeelEndFromNutMm-j.Seat.ScaleMm, 0)), Stroke: pen(colourCut, penThin, dashHidden...), ID: "pocket-floor", Title: "pocket"})
	// The strings: the mean of the outer ones, at the centre.
	if n := len(r.Setup.Strings); n > 0 {
		s.Add(Item{Layer: String, Shape: Polyline(side(o.SideString[:])...), Stroke: pen(colourString, penThin), ID: "strings", Title: "strings"})
		foot := front(0, 0)
		s.Add(Line(Note, pen(colourSoft, penHair), foot, geom.Point{X: foot.X, Y: r.Setup.SaddleOuterMm}))
		s.Add(Item{Layer: Note, Shape: Text{Words: "strings " + size(j.BridgeMm, u) + " over the front plane", At: geom.Point{X: foot.X + 4, Y: r.Setup.SaddleOuterMm / 2}, Height: 2, Rise: Middle, Halo: 0.4}, Fill: Fill{Colour: colourInk}})
	}
	var l Labels
	l.KeepLine(front(joint, -j.PocketMm-15), front(joint, 0), 0.5)
	for _, k := range r.Blank.Profile {
		t := Text{Words: fmt.Sprintf("%s: %s", k.Name, size(k.WithBoardMm, u)), Height: 2, Angle: math.Pi / 2, Align: Right, Rise: Middle}
		back := lowest(o.SideNeck, k.FromNutMm)
		at := geom.Point{X: k.FromNutMm, Y: back - 3}
		// Beside the body's edge, or past a neighbour, the words move aside.
		if t, ok := l.Place(t, at, at.Add(geom.Vec{X: -2}), at.Add(geom.Vec{X: 2}), at.Add(geom.Vec{X: -4}), at.Add(geom.Vec{X: 4})); ok {
			s.Add(Line(Note, pen(colourSoft, penHair), geom.Point{X: k.FromNutMm, Y: back - 0.5}, t.At.Add(geom.Vec{Y: 0.5})),
				Item{Layer: Note, Shape: t, Fill: Fill{Colour: colourInk}})
		}
	}
	s.titleBlock("Neck side", []string{
		fmt.Sprintf("Thicknesses are with the board, on its centre. Neck angle %s, pocket %s deep at the joint, headstock leans back %s, %s thick.",
			degrees(j.NeckAngleRad), size(j.PocketMm, u), degrees(angle), size(thick, u)),
		fmt.Sprintf("Blank without board: %s × %s × %s. Frets are drawn on the centreline, their crowns above the board's surface.", size(r.Blank.LengthMm, u), size(r.Blank.WidthMm, u), size(r.Blank.ThicknessMm, u)),
	}, []Sample{{wood, "neck"}, {pen(colourCut, penMedium), "body's front plane"}, {pen(colourCavity, penThin, dashHidden...), "rod channel"}, {pen(colourString, penThin), "strings"}})
	return s
}

// lowest is the lowest w of the side at u: there the headstock's underside may
// lie lower than the shaft's back.
func lowest(side []neck.SidePoint, u float64) float64 {
	low := math.Inf(1)
	for i, a := range side {
		b := side[(i+1)%len(side)]
		if (a.U-u)*(b.U-u) > 0 {
			continue
		}
		if a.U == b.U {
			low = math.Min(low, math.Min(a.W, b.W))
			continue
		}
		low = math.Min(low, a.W+(u-a.U)/(b.U-a.U)*(b.W-a.W))
	}
	return low
}
