package geom

import "math"

// Support is a convex section as a maker's straightedge feels it: for an
// outward direction (any length but 0) it gives the point of the section that
// lies farthest that way, where a straightedge at right angles to the
// direction would touch.
type Support func(outward Vec) Point

// Support of a convex ring. On an edge at right angles to the direction it is
// the edge's middle.
func (g Polygon) Support() Support {
	return func(n Vec) Point {
		best, from, to := math.Inf(-1), Point{}, Point{}
		tie := 1e-12 * (math.Abs(n.X) + math.Abs(n.Y)) * (1 + g.Bounds().Width() + g.Bounds().Height())
		for _, p := range g {
			d := n.X*p.X + n.Y*p.Y
			switch {
			case d > best+tie:
				best, from, to = d, p, p
			case d >= best-tie:
				to = p
			}
		}
		return from.Lerp(to, 0.5)
	}
}

// Superellipse is the curve |x/A|^P + |y/B|^P = 1 about Centre, P > 1: the
// ellipse at 2, fuller above, slimmer (toward a V) below.
type Superellipse struct {
	Centre  Point
	A, B, P float64
}

// Support in closed form: with Q = P/(P−1) and h = ((A|nx|)^Q + (B|ny|)^Q)^(1/Q),
// Hölder's inequality holds as an equality at x = ±A (A|nx|/h)^(Q/P), y alike.
func (s Superellipse) Support() Support {
	q := s.P / (s.P - 1)
	return func(n Vec) Point {
		a, b := s.A*math.Abs(n.X), s.B*math.Abs(n.Y)
		m := math.Max(a, b) // scaled, so that large Q does not overflow
		if m == 0 {
			return s.Centre
		}
		h := m * math.Pow(math.Pow(a/m, q)+math.Pow(b/m, q), 1/q)
		return Point{
			s.Centre.X + math.Copysign(s.A*math.Pow(a/h, q/s.P), n.X),
			s.Centre.Y + math.Copysign(s.B*math.Pow(b/h, q/s.P), n.Y),
		}
	}
}

// Facet is a flat planed on the way from a square blank to a rounded section.
//
//	      From . — — — — — (the flat before)
//	         /
//	Facet   / Normal ->
//	       . Touch          the finished curve lies inside, touching the
//	      /                 flat at Touch when nothing is left on
//	  To .
//	     |  (the flat after)
type Facet struct {
	// Normal is the outward unit direction.
	Normal Vec
	// Touch is the point of the finished section under the flat; the flat
	// lies leave outside it.
	Touch Point
	// From and To are where the flat meets its neighbours: the lines to mark.
	// At the open ends of a row of facets they are the foot of Touch.
	From, To Point
	// Round is when it is planed: 0 for the blank's own faces, then 1, 2, …
	Round int
}

// Width of the flat.
func (f Facet) Width() float64 { return f.From.Distance(f.To) }

// FacetRounds plans the roughing of a convex section out of a blank. faces
// are the blank's faces as outward directions, in turn counter-clockwise, each
// less than a half turn from the one before; closed tells that the last is
// followed by the first. The blank is the section's own enclosing shape, leave
// larger all round.
//
// Each round planes away every corner by a flat parallel to the chord between
// the touching points of its two neighbours and leave outside the section. On
// a circle in a square that gives the octagon, then sixteen sides; on an
// ellipse the same stretched, so that a proportion stepped off on the blank's
// faces (7:10:7) stays good. The result has rounds + 1 entries: the blank,
// then the flats after each round. A corner that the section fills is left.
func FacetRounds(section Support, faces []Vec, closed bool, leave float64, rounds int) [][]Facet {
	row := make([]Facet, len(faces))
	for i, n := range faces {
		row[i] = Facet{Normal: n.Mul(1 / n.Len()), Touch: section(n)}
	}
	out := [][]Facet{meet(row, closed, leave)}
	for round := 1; round <= rounds; round++ {
		var next []Facet
		for i, f := range row {
			next = append(next, f)
			if i+1 == len(row) && !closed {
				break
			}
			g := row[(i+1)%len(row)]
			chord := g.Touch.Sub(f.Touch)
			if chord.Len() < 1e-9 {
				continue
			}
			n := Vec{chord.Y, -chord.X}.Mul(1 / chord.Len())
			if f.Normal.Cross(n) < 1e-12 || n.Cross(g.Normal) < 1e-12 {
				continue // the section is flat here
			}
			next = append(next, Facet{Normal: n, Touch: section(n), Round: round})
		}
		row = next
		out = append(out, meet(row, closed, leave))
	}
	return out
}

// meet sets the ends of a row of facets. Neighbouring tangents of a convex
// section meet in order, so each end is a corner of the row.
func meet(row []Facet, closed bool, leave float64) []Facet {
	out := make([]Facet, len(row))
	copy(out, row)
	height := func(f Facet) float64 { return f.Normal.X*f.Touch.X + f.Normal.Y*f.Touch.Y + leave }
	for i, f := range out {
		foot := f.Touch.Add(f.Normal.Mul(leave))
		if i == 0 && !closed {
			out[i].From = foot
		}
		if i+1 == len(out) && !closed {
			out[i].To = foot
			break
		}
		j := (i + 1) % len(out)
		g := out[j]
		// Normal_f · p = h_f and Normal_g · p = h_g.
		det := f.Normal.Cross(g.Normal)
		hf, hg := height(f), height(g)
		corner := Point{(hf*g.Normal.Y - hg*f.Normal.Y) / det, (hg*f.Normal.X - hf*g.Normal.X) / det}
		out[i].To, out[j].From = corner, corner
	}
	return out
}
