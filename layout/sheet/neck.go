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
	s.titleBlock("Fretboard", []string{what + " Measure every fret from the nut, never from fret to fret. Check fret 12 against half of the scale length.",
		"Slot with a fine saw in a guide, fingers behind the teeth; fret wire ends are sharp. Let the paper lie flat: it may have swollen or shrunk with the air."}, nil)
	return s
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
	p := r.Plan
	s := Scene{Name: "neck plan", Frame: neckFrame}
	ring := boardRing(p)
	j := r.Joint
	width := r.Head.WidthMm
	if w := r.Spec.Blank.HeadWidthMm; w > 0 {
		width = w
	}
	cos := math.Cos(r.Spec.Blank.HeadAngleDeg * math.Pi / 180)
	head := geom.Box{Min: geom.Point{X: -r.Head.LengthMm * cos, Y: -width / 2}, Max: geom.Point{X: 0, Y: width / 2}}
	s.Add(Item{Layer: Body, Shape: Ring(head.Polygon()), Stroke: pen(colourInk, penThin, dashHidden...), ID: "headstock", Title: "wood for the headstock"})
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
	if b := r.Spec.Beam; !b.NoChannel && b.ChannelWidthMm > 0 {
		w := b.ChannelWidthMm / 2
		s.Add(Item{Layer: Cavity, Shape: Ring(geom.Box{Min: geom.Point{Y: -w}, Max: geom.Point{X: j.HeelEndFromNutMm, Y: w}}.Polygon()), Stroke: pen(colourCavity, penThin, dashHidden...), ID: "rod-channel", Title: fmt.Sprintf("rod channel, %.1f × %.1f mm", b.ChannelWidthMm, b.ChannelDepthMm)})
	}
	var l Labels
	for _, k := range r.Head.Posts {
		c := geom.Point{X: k.UMm, Y: k.VMm}
		s.Add(Item{Layer: Hole, Shape: Circle{Centre: c, Radius: r.Head.Spec.PostMm / 2}, Stroke: pen(colourCavity, penMedium), ID: fmt.Sprintf("post-%d", k.String), Title: fmt.Sprintf("post of string %d", k.String)},
			Cross(Hole, pen(colourCavity, penHair), c, r.Head.Spec.PostMm/2+1.5, 0))
		sign := 1.0
		if k.Side == "bass" {
			sign = -1
		}
		s.Add(Item{Layer: String, Shape: Polyline(neckPoint(p.Strings[k.String-1].Nut), geom.Point{X: k.UMm, Y: k.VMm - sign*r.Head.Spec.PostMm/2}), Stroke: pen(colourString, penHair)})
		l.KeepBox(Circle{Centre: c, Radius: r.Head.Spec.PostMm/2 + 1}.Bounds())
	}
	for _, k := range r.Head.Posts {
		words := Text{Words: fmt.Sprintf("%d: %s from the nut, %s off centre", k.String, size(k.AlongMm, u), size(math.Abs(k.VMm), u)), Height: 2, Halo: 0.4}
		out := geom.Point{X: k.UMm, Y: k.VMm + math.Copysign(r.Head.Spec.PostMm/2+3, k.VMm)}
		words.Align, words.Rise = Centre, Middle
		if t, ok := l.Place(words, out, out.Add(geom.Vec{Y: math.Copysign(4, k.VMm)}), out.Add(geom.Vec{Y: math.Copysign(8, k.VMm)}), out.Add(geom.Vec{Y: math.Copysign(12, k.VMm)})); ok {
			s.Add(Item{Layer: Note, Shape: t, Fill: Fill{Colour: colourCavity}})
		}
	}
	for i, k := range p.Strings {
		s.Add(Item{Layer: String, Shape: Polyline(neckPoint(k.Nut), neckPoint(k.Saddle)), Stroke: pen(colourString, penHair), ID: fmt.Sprintf("string-%d", k.Number)})
		if i < len(r.Intonation) {
			c := neckPoint(r.Intonation[i].SaddleAt)
			s.Add(Cross(String, pen(colourCut, penThin), c, 1.6, 0))
			s.Add(Item{Layer: Note, Shape: Text{Words: fmt.Sprintf("%d: saddle at %s", i+1, exact(r.Intonation[i].SaddleFromNutMm, u)), At: c.Add(geom.Vec{X: 4}), Height: 2, Rise: Middle, Halo: 0.4}, Fill: Fill{Colour: colourInk}})
		}
	}
	s.Add(Item{Layer: String, Shape: neckLine(p.SaddleLine), Stroke: pen(colourFret, penThin, dashHidden...), ID: "scale-line", Title: "scale point line, uncompensated"})
	box := s.Bounds()
	s.Add(Line(Centreline, pen(colourAxis, penThin, dashAxis...), geom.Point{X: box.Min.X - 8}, geom.Point{X: box.Max.X + 8}))
	y := box.Min.Y - 8
	for _, d := range []struct {
		u    float64
		name string
	}{{j.JointFromNutMm, "body joint"}, {j.HeelEndFromNutMm, "heel's end"}, {p.CentreScaleMm, "scale length"}} {
		bass, _ := at(math.Min(d.u, ring.Bounds().Max.X))
		s.Add(LinearDimension(geom.Point{Y: p.NutEdge.From.V}, geom.Point{X: d.u, Y: bass.Y}, geom.Vec{X: 1}, y-p.NutEdge.From.V, d.name+" "+size(d.u, u))...)
		y -= 6.5
	}
	s.Add(LinearDimension(geom.Point{X: head.Min.X, Y: head.Min.Y}, geom.Point{Y: head.Min.Y}, geom.Vec{X: 1}, box.Min.Y-8-head.Min.Y, "head "+size(-head.Min.X, u))...)
	s.titleBlock("Neck plan", []string{
		fmt.Sprintf("Joint at %s from the nut, heel %s long and %s thick with the board, neck angle %s. Posts are measured along the headstock's face.", size(j.JointFromNutMm, u), size(j.HeelEndFromNutMm-j.JointFromNutMm, u), size(j.HeelMm, u), degrees(j.NeckAngleRad)),
		"Red crosses: where each saddle belongs for the strings chosen. Set them by ear and tuner in the end. Strings under tension can whip when they break: wear eye protection.",
	}, nil)
	return s
}

// NeckSide is the neck seen from the bass side: fretboard, wood with its
// thickness at every fret, rod channel, heel, headstock, and the body's front
// plane with the pocket's floor and the bridge's height.
func NeckSide(r *neck.Report, u measure.Unit) Scene {
	p, j := r.Plan, r.Joint
	s := Scene{Name: "neck side", Frame: "side view of the neck from the bass side, mm; origin at the nut's front edge on the fretboard's surface, the drawing's x is u, toward the bridge, the drawing's y is w, up from the board's surface"}
	board := r.Spec.Board.ThicknessMm
	end := math.Max(p.BoardEnd.From.U, p.BoardEnd.To.U)
	wood := pen(colourInk, penStrong)

	// Wood: from the glue line down to the back. Thicknesses are those of the
	// centre; beyond the first and last stop they run on straight.
	var back []geom.Point
	for _, k := range r.Blank.Profile {
		back = append(back, geom.Point{X: k.FromNutMm, Y: -k.WithBoardMm})
	}
	angle := r.Spec.Blank.HeadAngleDeg * math.Pi / 180
	along := geom.Vec{X: -math.Cos(angle), Y: -math.Sin(angle)}
	down := geom.Vec{X: math.Sin(angle), Y: -math.Cos(angle)}
	face := geom.Point{Y: -board - r.Spec.Blank.HeadStepMm}
	tip := face.Add(along.Mul(r.Head.LengthMm))
	thick := r.Spec.Blank.HeadThicknessMm
	ring := geom.Polygon{{Y: -board}, face, tip, tip.Add(down.Mul(thick))}
	// The head's back meets the neck's back where their lines cross, or under
	// the nut.
	if len(back) > 0 {
		under := face.Add(down.Mul(thick))
		ring = append(ring, under.Add(along.Mul(math.Max(0, thick*0.6))))
		ring = append(ring, back...)
	}
	ring = append(ring, geom.Point{X: j.JointFromNutMm, Y: -j.HeelMm}, geom.Point{X: j.HeelEndFromNutMm, Y: -j.HeelMm}, geom.Point{X: j.HeelEndFromNutMm, Y: -board})
	s.Add(Item{Layer: Body, Shape: Ring(ring), Stroke: wood, Fill: Fill{Colour: "#e9d9ba", Opacity: 0.6}, ID: "neck", Title: "neck"})
	s.Add(Item{Layer: Fret, Shape: Ring(geom.Polygon{{Y: -board}, {X: end, Y: -board}, {X: end}, {}}), Stroke: wood, Fill: Fill{Colour: "#8d7660", Opacity: 0.55}, ID: "fretboard", Title: "fretboard"})
	for _, f := range p.Slots {
		x := (f.Full.From.U + f.Full.To.U) / 2
		s.Add(Line(Fret, pen(colourFret, penMedium), geom.Point{X: x}, geom.Point{X: x, Y: r.Spec.Setup.CrownMm}))
	}
	if b := r.Spec.Beam; !b.NoChannel && b.ChannelDepthMm > 0 {
		s.Add(Item{Layer: Cavity, Shape: Ring(geom.Polygon{{Y: -board}, {Y: -board - b.ChannelDepthMm}, {X: j.HeelEndFromNutMm, Y: -board - b.ChannelDepthMm}, {X: j.HeelEndFromNutMm, Y: -board}}), Stroke: pen(colourCavity, penThin, dashHidden...), ID: "rod-channel", Title: "rod channel"})
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
		nut := (r.Setup.Strings[0].NutMm + r.Setup.Strings[n-1].NutMm) / 2
		s.Add(Item{Layer: String, Shape: Polyline(geom.Point{Y: nut}, geom.Point{X: p.CentreScaleMm, Y: r.Setup.SaddleOuterMm}), Stroke: pen(colourString, penThin), ID: "strings", Title: "strings"})
		foot := front(0, 0)
		s.Add(Line(Note, pen(colourSoft, penHair), foot, geom.Point{X: foot.X, Y: r.Setup.SaddleOuterMm}))
		s.Add(Item{Layer: Note, Shape: Text{Words: "strings " + size(j.BridgeMm, u) + " over the front plane", At: geom.Point{X: foot.X + 4, Y: r.Setup.SaddleOuterMm / 2}, Height: 2, Rise: Middle, Halo: 0.4}, Fill: Fill{Colour: colourInk}})
	}
	var l Labels
	for _, k := range r.Blank.Profile {
		t := Text{Words: fmt.Sprintf("%s: %s", k.Name, size(k.WithBoardMm, u)), Height: 2, Angle: math.Pi / 2, Align: Right, Rise: Middle}
		at := geom.Point{X: k.FromNutMm, Y: -k.WithBoardMm - 3}
		if t, ok := l.Place(t, at); ok {
			s.Add(Line(Note, pen(colourSoft, penHair), geom.Point{X: k.FromNutMm, Y: -k.WithBoardMm - 0.5}, geom.Point{X: k.FromNutMm, Y: -k.WithBoardMm - 2.5}),
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
