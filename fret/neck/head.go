package neck

import (
	"fmt"
	"math"

	"slabwright/fret"
)

// HeadSpec lays the tuner posts out.
type HeadSpec struct {
	// Layout is "in-line" (all on the bass side), "in-line treble", "even
	// sides" (half and half, the odd one on the bass side) or "split", with
	// BassPosts on the bass side. Default even sides; in-line up to six
	// strings when StraightPull is asked for.
	Layout    string
	BassPosts int
	// StraightPull places each post so that its string runs straight on past
	// the nut, whatever the row.
	StraightPull bool
	// FirstMm is the distance of the nearest post behind the nut, along the
	// headstock's face; SpacingMm from post to post in a row. Default 38 and
	// 25 (in-line), 45 and 38 (two rows); posts of 14 mm and scales above
	// 740 mm: 60 and 45.
	FirstMm, SpacingMm float64
	// NearMm is the nearest post's distance from the centreline and SlopeDeg
	// how fast its row opens outward (positive) toward the head's end. Default:
	// 7 mm outside the outer string at the nut, 0 degrees. Not used with
	// StraightPull.
	NearMm, SlopeDeg float64
	// PostMm is the post's diameter where the string winds, default 6;
	// WindMm the height of the string's lowest turn over the face, default 5.
	PostMm, WindMm float64
}

func (h HeadSpec) filled(strings int, scaleMm, spreadNut float64) HeadSpec {
	def := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	if h.Layout == "" {
		h.Layout = "even sides"
		if h.StraightPull && strings <= 6 {
			h.Layout = "in-line"
		}
	}
	switch h.Layout {
	case "in-line":
		h.BassPosts = strings
	case "in-line treble":
		h.BassPosts = 0
	case "even sides":
		h.BassPosts = (strings + 1) / 2
	}
	first, spacing := 45.0, 38.0
	if h.BassPosts == 0 || h.BassPosts == strings {
		first, spacing = 38, 25
	}
	if scaleMm > 740 {
		first, spacing = 60, 45
	}
	def(&h.FirstMm, first)
	def(&h.SpacingMm, spacing)
	def(&h.NearMm, spreadNut/2+7)
	def(&h.PostMm, 6)
	def(&h.WindMm, 5)
	return h
}

func (h HeadSpec) check(strings int) error {
	switch h.Layout {
	case "", "in-line", "in-line treble", "even sides":
	case "split":
		if h.BassPosts < 0 || h.BassPosts > strings {
			return fmt.Errorf("a headstock split with %d posts on the bass side: there are %d strings", h.BassPosts, strings)
		}
	default:
		return fmt.Errorf("headstock layout %q is not known: write in-line, in-line treble, even sides or split", h.Layout)
	}
	for _, c := range []struct {
		name         string
		v, low, high float64
	}{
		{"a first post", h.FirstMm, 0, 200}, {"a post spacing", h.SpacingMm, 0, 100},
		{"a post row from the centreline", h.NearMm, 0, 150}, {"a post row's slope (degrees)", h.SlopeDeg, -30, 45},
		{"a post diameter", h.PostMm, 0, 25}, {"a winding height", h.WindMm, 0, 30},
	} {
		if math.IsNaN(c.v) || c.v < c.low || c.v > c.high {
			return fmt.Errorf("%s of %g: it must lie between %g and %g", c.name, c.v, c.low, c.high)
		}
	}
	return nil
}

// Post is one tuner post.
type Post struct {
	String int
	Side   string // "bass" or "treble"
	// AlongMm is its distance behind the nut along the headstock's face, VMm
	// across; UMm where it stands in plan (negative: behind the nut).
	AlongMm, VMm, UMm float64
	// SidewaysRad is by how much the string turns at the nut, seen from above:
	// positive toward the treble side, 0 when it runs straight on.
	SidewaysRad float64
	// BreakRad is by how much it bends down over the nut.
	BreakRad float64
	// BehindMm is the string's length from nut to post.
	BehindMm float64
}

// Head is the headstock laid out.
type Head struct {
	Spec HeadSpec
	// Posts by string, string 1 first.
	Posts             []Post
	LengthMm, WidthMm float64 // along the face from the nut; across the posts with margin
	WorstSidewaysRad  float64
	Warnings          []string
}

// Limits for warnings, common practice, no source.
const (
	sidewaysMost = 12 * math.Pi / 180
	breakLeast   = 4 * math.Pi / 180
	breakMost    = 18 * math.Pi / 180
)

// head lays the posts out. The lowest string takes the nearest post on the
// bass side, the highest the nearest on the treble side, so that no string
// crosses another; in an in-line row the row's own side is nearest the nut.
func head(plan *fret.Plan, set Setup, spec HeadSpec, blank BlankSpec, boardMm float64) Head {
	out := Head{Spec: spec, Posts: make([]Post, len(plan.Strings))}
	sin, cos := math.Sincos(blank.HeadAngleDeg * math.Pi / 180)
	half := 0.0
	for i, s := range plan.Strings {
		n := len(plan.Strings)
		p := Post{String: i + 1, Side: "treble"}
		place, sign := i, 1.0
		if i >= n-spec.BassPosts {
			p.Side, place, sign = "bass", n-1-i, -1
		}
		p.AlongMm = spec.FirstMm + float64(place)*spec.SpacingMm
		p.UMm = -p.AlongMm * cos
		du, dv := s.Saddle.U-s.Nut.U, s.Saddle.V-s.Nut.V
		if spec.StraightPull {
			// The string passes the post on its inner side.
			p.VMm = s.Nut.V + (p.UMm-s.Nut.U)*dv/du + sign*spec.PostMm/2
		} else {
			p.VMm = sign * (spec.NearMm + float64(place)*spec.SpacingMm*math.Tan(spec.SlopeDeg*math.Pi/180))
		}
		// Past the nut the string runs toward (UMm, VMm − sign·radius).
		run := s.Nut.U - p.UMm
		out1 := math.Atan2(p.VMm-sign*spec.PostMm/2-s.Nut.V, run)
		straight := math.Atan2(-dv, du)
		p.SidewaysRad = out1 - straight
		// Down: from the string at the nut to its lowest turn on the post.
		nut := set.Strings[i].NutMm - set.Board.Drop(s.Nut.U, s.Nut.V, plan.CentreScaleMm)
		face := -boardMm - blank.HeadStepMm - p.AlongMm*sin
		// A winding stands square to a leaning face.
		down := nut - (face + spec.WindMm*cos)
		flat := math.Hypot(run-spec.WindMm*sin, p.VMm-sign*spec.PostMm/2-s.Nut.V)
		p.BreakRad = math.Atan2(down, flat)
		p.BehindMm = math.Hypot(down, flat)
		out.Posts[i] = p
		out.LengthMm = math.Max(out.LengthMm, p.AlongMm+blank.HeadMarginMm)
		half = math.Max(half, math.Abs(p.VMm))
		out.WorstSidewaysRad = math.Max(out.WorstSidewaysRad, math.Abs(p.SidewaysRad))
		if math.Abs(p.SidewaysRad) > sidewaysMost {
			out.Warnings = append(out.Warnings, fmt.Sprintf("string %d turns %.0f degrees sideways at the nut and may bind there: move its post in, or farther back", i+1, math.Abs(p.SidewaysRad)*180/math.Pi))
		}
		if p.BreakRad < breakLeast || p.BreakRad > breakMost {
			way := "too little to stay in its slot: lean the headstock back, lower its face, or add a string tree"
			if p.BreakRad > breakMost {
				way = "much, and may bind or break: move the post back or lean the headstock less"
			}
			out.Warnings = append(out.Warnings, fmt.Sprintf("string %d breaks %.0f degrees over the nut, %s", i+1, p.BreakRad*180/math.Pi, way))
		}
	}
	out.WidthMm = 2 * (half + 12)
	return out
}
