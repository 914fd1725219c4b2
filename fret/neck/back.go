package neck

import (
	"fmt"
	"math"
	"strings"

	"slabwright/body/geom"
	"slabwright/fret"
)

// BackSpec is the shape of the neck's back.
type BackSpec struct {
	// First and Heel are the sections at fret 1 and where the heel begins;
	// between them the shape blends evenly along the board.
	First, Heel SectionSpec
	// LeaveMm is how much to leave on the facets for spokeshave, rasp and
	// scraper; default 0.5. Rounds is how many times corners are planed;
	// default 2.
	LeaveMm float64
	Rounds  int
	// HeelRunMm is over what length the shaft runs into the heel, ending at
	// the joint; default 40.
	HeelRunMm float64
}

// SectionSpec is a section of the back.
type SectionSpec struct {
	// Shape is "round" (half an ellipse), "oval" (fuller in the shoulders),
	// "V", or "asymmetrical" (round, with its deepest line moved toward the
	// bass side). Default round.
	Shape string
	// Fullness is the exponent of the superellipse, in place of the shape's:
	// 2 round, 2.5 oval, 1.5 V. From 1.1 to 6.
	Fullness float64
	// ShiftMm moves the deepest line toward the treble side (negative: bass).
	// Default 0; asymmetrical: a tenth of the width toward the bass.
	ShiftMm float64
	// ThicknessMm is the whole thickness with the fretboard at its centre.
	// Default 21 at fret 1; at the heel 24.
	ThicknessMm float64
}

func (s SectionSpec) filled(thickness float64) SectionSpec {
	if s.Shape == "" {
		s.Shape = "round"
	}
	s.Shape = strings.ToLower(s.Shape)
	if s.Fullness == 0 {
		s.Fullness = map[string]float64{"oval": 2.5, "v": 1.5}[s.Shape]
		if s.Fullness == 0 {
			s.Fullness = 2
		}
	}
	if s.ThicknessMm == 0 {
		s.ThicknessMm = thickness
	}
	return s
}

func (s SectionSpec) check(where string, boardMm float64) error {
	switch strings.ToLower(s.Shape) {
	case "", "round", "oval", "v", "asymmetrical":
	default:
		return fmt.Errorf("the back's shape %q %s is not known: write round, oval, V or asymmetrical", s.Shape, where)
	}
	f := s.filled(21)
	switch {
	case math.IsNaN(f.Fullness) || f.Fullness < 1.1 || f.Fullness > 6:
		return fmt.Errorf("the back's fullness %g %s: it must lie between 1.1 and 6", f.Fullness, where)
	case math.IsNaN(f.ThicknessMm) || f.ThicknessMm < boardMm+5 || f.ThicknessMm > 60:
		return fmt.Errorf("a neck thickness of %g mm %s: with a board of %g mm it must lie between %g and 60 mm", f.ThicknessMm, where, boardMm, boardMm+5)
	case math.IsNaN(f.ShiftMm) || math.Abs(f.ShiftMm) > 15:
		return fmt.Errorf("the back's deepest line %g mm off the centre %s: at most 15 mm", f.ShiftMm, where)
	}
	return nil
}

func (b BackSpec) filled() BackSpec {
	b.First, b.Heel = b.First.filled(21), b.Heel.filled(24)
	if b.LeaveMm == 0 {
		b.LeaveMm = 0.5
	}
	if b.Rounds == 0 {
		b.Rounds = 2
	}
	if b.HeelRunMm == 0 {
		b.HeelRunMm = 40
	}
	return b
}

// Section is the neck under its fretboard, cut square to the centreline. Its
// frame: x = v, toward the treble side; y up, 0 at the glue line under the
// board.
//
//	−b ___________________ +b     y = 0
//	   \                 /
//	     \___       ___/
//	          ‾‾‾‾‾              y = −depth at x = shift
//
// Left and right of the deepest line it is a quarter of a superellipse, so it
// is convex and meets the glue line upright.
type Section struct {
	HalfWidthMm, DepthMm, Fullness, ShiftMm float64
}

// Depth at x, 0 outside.
func (s Section) Depth(x float64) float64 {
	side := s.HalfWidthMm - s.ShiftMm
	if x < s.ShiftMm {
		side = s.HalfWidthMm + s.ShiftMm
	}
	t := math.Abs(x-s.ShiftMm) / side
	if t >= 1 {
		return 0
	}
	if s.Fullness == 2 {
		return s.DepthMm * math.Sqrt(1-t*t)
	}
	return s.DepthMm * math.Pow(1-math.Pow(t, s.Fullness), 1/s.Fullness)
}

// Support of the back, for directions that do not point up.
func (s Section) Support() geom.Support {
	half := func(side float64) geom.Support {
		return geom.Superellipse{Centre: geom.Pt(s.ShiftMm, 0), A: side, B: s.DepthMm, P: s.Fullness}.Support()
	}
	bass, treble := half(s.HalfWidthMm+s.ShiftMm), half(s.HalfWidthMm-s.ShiftMm)
	return func(n geom.Vec) geom.Point {
		if n.X < 0 {
			return bass(n)
		}
		return treble(n)
	}
}

// Curve is the back as n + 1 points from the bass to the treble edge.
func (s Section) Curve(n int) []geom.Point {
	out := make([]geom.Point, n+1)
	for i := range out {
		a := math.Pi * float64(i) / float64(n)
		side := s.HalfWidthMm - s.ShiftMm
		if a < math.Pi/2 {
			side = s.HalfWidthMm + s.ShiftMm
		}
		x := s.ShiftMm - side*math.Cos(a)
		if i == 0 || i == n {
			out[i] = geom.Pt(x, 0)
			continue
		}
		out[i] = geom.Pt(x, -s.Depth(x))
	}
	return out
}

// neckShape gives the section at any u, for the blank, the beam and the
// carving.
type neckShape struct {
	plan               *fret.Plan
	back               BackSpec
	boardMm            float64
	first, heel, joint float64 // u of fret 1, where the shaft ends, the joint
	heelMm             float64 // whole thickness at the joint
}

// thickness with the board at u: straight from fret 1 to where the heel
// begins (and on toward the nut), then smoothly into the heel.
func (n neckShape) thickness(u float64) float64 {
	f, h := n.back.First.ThicknessMm, n.back.Heel.ThicknessMm
	if u <= n.heel {
		return f + (h-f)*(u-n.first)/(n.heel-n.first)
	}
	t := math.Min(1, (u-n.heel)/(n.joint-n.heel))
	return h + (n.heelMm-h)*t*t*(3-2*t)
}

// section at u. Toward the heel the shape stays that of the heel section.
func (n neckShape) section(u float64) Section {
	t := math.Min(math.Max((u-n.first)/(n.heel-n.first), 0), 1)
	mix := func(a, b float64) float64 { return a + t*(b-a) }
	half := n.plan.WidthAt(u) / 2
	shift := func(s SectionSpec) float64 {
		if s.Shape == "asymmetrical" && s.ShiftMm == 0 {
			return -0.2 * half
		}
		return math.Max(-0.8*half, math.Min(0.8*half, s.ShiftMm))
	}
	return Section{
		HalfWidthMm: half, DepthMm: n.thickness(u) - n.boardMm,
		Fullness: mix(n.back.First.Fullness, n.back.Heel.Fullness),
		ShiftMm:  mix(shift(n.back.First), shift(n.back.Heel)),
	}
}

// CarveStation is the back at one place along the neck.
type CarveStation struct {
	Name        string
	FromNutMm   float64
	ThicknessMm float64 // with the board
	Section     Section
	// Rounds holds the blank's faces, then the flats after each round, from
	// the bass side down and round to the treble side, in the section's frame.
	Rounds [][]geom.Facet
	Marks  []Mark
}

// Mark is one line to draw on the blank before planing a round.
type Mark struct {
	Round int
	// Side is "bass" or "treble"; Face is where the line is drawn: on the
	// blank's "side" (DistanceMm down from the glue line), on its "back"
	// (DistanceMm from the deepest line), or on a "flat" of the round before
	// (DistanceMm from the flat's upper corner).
	Side, Face string
	DistanceMm float64
}

// carve roughs the section from a blank that clears it by leave.
func carve(name string, u float64, n neckShape) CarveStation {
	s := n.section(u)
	c := CarveStation{Name: name, FromNutMm: u, ThicknessMm: n.thickness(u), Section: s}
	down := []geom.Vec{{X: -1}, {Y: -1}, {X: 1}} // counter-clockwise under the board
	c.Rounds = geom.FacetRounds(s.Support(), down, false, n.back.LeaveMm, n.back.Rounds)
	for round := 1; round < len(c.Rounds); round++ {
		before := c.Rounds[round-1]
		for _, f := range c.Rounds[round] {
			if f.Round != round {
				continue
			}
			for _, end := range []geom.Point{f.From, f.To} {
				c.Marks = append(c.Marks, mark(round, f, end, before, s))
			}
		}
	}
	return c
}

// mark says where end lies on the row of flats before.
func mark(round int, f geom.Facet, end geom.Point, before []geom.Facet, s Section) Mark {
	m := Mark{Round: round, Side: "treble", Face: "flat"}
	if f.Normal.X < 0 {
		m.Side = "bass"
	}
	best := math.Inf(1)
	for _, g := range before {
		d := math.Abs(g.Normal.Dot(end.Sub(g.From)))
		if d >= best-1e-9 {
			continue
		}
		best = d
		switch {
		case math.Abs(g.Normal.X) == 1:
			m.Face, m.DistanceMm = "side", -end.Y
		case g.Normal.Y == -1:
			m.Face, m.DistanceMm = "back", math.Abs(end.X-s.ShiftMm)
		default:
			upper := g.From
			if g.To.Y > upper.Y {
				upper = g.To
			}
			m.Face, m.DistanceMm = "flat", end.Distance(upper)
		}
	}
	return m
}
