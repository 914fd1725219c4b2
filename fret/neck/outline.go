package neck

import (
	"math"
	"sort"

	"slabwright/fret"
)

// SidePoint is a point of the neck seen from its treble side, in the neck
// frame: u along the board, w up, 0 on the board's surface at its centre.
type SidePoint struct{ U, W float64 }

// Outline is the neck's shape for drawings: the plan as closed rings of
// fret.Point, the side as closed rings of SidePoint, all in the neck frame.
type Outline struct {
	// Board is the fretboard in plan; Shaft the neck under it from nut to
	// heel's end; Head the headstock, from the nut, as it lies in plan (an
	// angled one is foreshortened); HeadFace the same laid flat, u measured
	// along its face, for a template.
	Board, Shaft, Head, HeadFace []fret.Point
	// Posts are the centres of the tuner posts on HeadFace; PostMm their
	// diameter.
	Posts  []fret.Point
	PostMm float64
	// Channel is the rod's channel in plan, from the nut to the heel; nil
	// without one.
	Channel []fret.Point
	// SideNeck is neck, heel and headstock from the side; SideBoard the
	// fretboard; SideChannel the channel; SideString the mean underside of
	// the outer strings, from nut to saddle.
	SideNeck, SideBoard, SideChannel []SidePoint
	SideString                       [2]SidePoint
}

// headRound is the wood kept round a post, mm (common practice, no source).
const headRound = 12

// Outline works the shapes out.
func (r *Report) Outline() Outline {
	p := r.Plan
	o := Outline{PostMm: r.Head.Spec.PostMm}
	front := p.NutEdge
	if p.Layout.ZeroFret {
		front = p.NutGuide
	}
	o.Board = []fret.Point{front.From, p.BoardEnd.From, p.BoardEnd.To, front.To}
	edge := func(e fret.Line, u float64) fret.Point { return e.At((u - e.From.U) / (e.To.U - e.From.U)) }
	heel := r.Joint.HeelEndFromNutMm
	o.Shaft = []fret.Point{front.From, edge(p.BassEdge, heel), edge(p.TrebleEdge, heel), front.To}

	// The headstock's face is the tightest convex shape round the nut's ends
	// and a disc of wood round every post, with the margin past the last.
	points := []fret.Point{front.From, front.To}
	for _, post := range r.Head.Posts {
		o.Posts = append(o.Posts, fret.Point{U: -post.AlongMm, V: post.VMm})
		for k := range 48 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 48)
			points = append(points, fret.Point{U: -post.AlongMm + headRound*cos, V: post.VMm + headRound*sin})
		}
		if end := post.AlongMm + r.Spec.Blank.HeadMarginMm; end > r.Head.LengthMm-1e-9 {
			points = append(points, fret.Point{U: -end, V: post.VMm / 2}, fret.Point{U: -end, V: -post.VMm / 2})
		}
	}
	o.HeadFace = hull(points)
	lean := r.Spec.Blank.HeadAngleDeg * math.Pi / 180
	for _, q := range o.HeadFace {
		if q.U < 0 {
			q.U *= math.Cos(lean)
		}
		o.Head = append(o.Head, q)
	}

	board := r.Spec.Board.ThicknessMm
	last := (p.BoardEnd.From.U + p.BoardEnd.To.U) / 2
	nutU := (front.From.U + front.To.U) / 2
	o.SideBoard = []SidePoint{{nutU, 0}, {last, 0}, {last, -board}, {nutU, -board}}
	nut, saddle := 0.0, 0.0
	for _, i := range []int{0, len(r.Strings) - 1} {
		at := p.Strings[i].Nut
		nut += (r.Setup.Strings[i].NutMm - r.Spec.Board.Drop(at.U, at.V, p.CentreScaleMm)) / 2
		saddle += r.Setup.Strings[i].SaddleMm / 2
	}
	o.SideString = [2]SidePoint{{0, nut}, {p.CentreScaleMm, saddle}}

	// From the side: along the glue line from the heel's end to the nut, down
	// the headstock's face, round its end, back along its underside, and along
	// the shaft's back.
	sin, cos := math.Sincos(lean)
	step, length, thick := r.Spec.Blank.HeadStepMm, r.Head.LengthMm, r.Spec.Blank.HeadThicknessMm
	face := r.headFace
	o.SideNeck = []SidePoint{{heel, -board}, {nutU, -board}, face(0, 0), face(length, 0), face(length, thick)}
	shape := r.shape()
	first := -shape.thickness(nutU)
	// The head's underside runs until it meets the shaft's back, or ends under
	// the nut where it would not do so before fret 1 (a volute is left to the
	// maker).
	meet := face(0, thick)
	if sin > 0 {
		along := (-first - board - step - thick*cos) / sin
		if at := face(along, thick); along < length && at.U < shape.first {
			meet = at
		}
	}
	o.SideNeck = append(o.SideNeck, meet)
	const steps = 60
	for k := range steps + 1 {
		u := nutU + (shape.joint-nutU)*float64(k)/steps
		if u > meet.U {
			o.SideNeck = append(o.SideNeck, SidePoint{u, -shape.thickness(u)})
		}
	}
	o.SideNeck = append(o.SideNeck, SidePoint{heel, -r.Joint.HeelMm})

	if d := r.Spec.Beam.ChannelDepthMm; d > 0 {
		w := r.Spec.Beam.ChannelWidthMm / 2
		o.Channel = []fret.Point{{U: 0, V: -w}, {U: shape.heel, V: -w}, {U: shape.heel, V: w}, {U: 0, V: w}}
		o.SideChannel = []SidePoint{{0, -board}, {shape.heel, -board}, {shape.heel, -board - d}, {0, -board - d}}
	}
	return o
}

// headFace is a place in the headstock, along its face from the nut and deep
// under it, in the neck frame.
func (r *Report) headFace(along, deep float64) SidePoint {
	front := r.Plan.NutEdge
	if r.Plan.Layout.ZeroFret {
		front = r.Plan.NutGuide
	}
	sin, cos := math.Sincos(r.Spec.Blank.HeadAngleDeg * math.Pi / 180)
	return SidePoint{
		(front.From.U+front.To.U)/2 - along*cos + deep*sin,
		-r.Spec.Board.ThicknessMm - r.Spec.Blank.HeadStepMm - along*sin - deep*cos,
	}
}

// hull is the convex hull, counter-clockwise (A. M. Andrew, Information
// Processing Letters 9, 1979).
func hull(points []fret.Point) []fret.Point {
	sort.Slice(points, func(i, j int) bool {
		if points[i].U != points[j].U {
			return points[i].U < points[j].U
		}
		return points[i].V < points[j].V
	})
	left := func(a, b, c fret.Point) bool { return (b.U-a.U)*(c.V-a.V)-(b.V-a.V)*(c.U-a.U) > 0 }
	half := func(next func(i int) fret.Point) []fret.Point {
		var out []fret.Point
		for i := range points {
			p := next(i)
			for len(out) > 1 && !left(out[len(out)-2], out[len(out)-1], p) {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		return out[:len(out)-1]
	}
	lower := half(func(i int) fret.Point { return points[i] })
	upper := half(func(i int) fret.Point { return points[len(points)-1-i] })
	return append(lower, upper...)
}
