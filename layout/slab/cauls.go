package slab

import (
	"math"
	"slices"

	"slabwright/body/geom"
)

// ClampEdge is one long edge of a section as clamps meet it when the outline
// has been sawn before the glue-up: the face of its outermost strip where the
// outline runs outside it, the outline elsewhere. Only what faces the clamps
// to within 45° counts; the rest are ends.
//
//	shaped caul  ________________________
//	            |      length            | depth: reach and a back
//	            |    ..--''''''''--..    |
//	            |.-'   reach          '-.|   reach: how far the edge moves
//	            .                        .          across the slab
//	     slope at its ends       the section
type ClampEdge struct {
	Side   string  `json:"side"` // "right", "left"
	FromMm float64 `json:"from_mm"`
	ToMm   float64 `json:"to_mm"`

	// Between FlatFromMm and FlatToMm it is the strip's own straight face;
	// both 0 where it is the outline all along.
	FlatFromMm float64 `json:"flat_from_mm"`
	FlatToMm   float64 `json:"flat_to_mm"`

	// SagittaMm is how far the edge strays from the straight line between its
	// ends; ReachMm how far it moves across the slab.
	SagittaMm        float64 `json:"sagitta_mm"`
	ReachMm          float64 `json:"reach_mm"`
	SmallestRadiusMm float64 `json:"smallest_radius_mm"` // of the outline in it; 0 = none of it is curved
	Corners          bool    `json:"corners"`            // it has corners, which no strap follows
	StartSlopeDeg    float64 `json:"start_slope_deg"`    // to the slab's length, positive where the slab widens along x
	EndSlopeDeg      float64 `json:"end_slope_deg"`

	Cauls        CaulKind `json:"cauls"`
	CaulLengthMm float64  `json:"caul_length_mm"` // of a shaped or wedged one
	CaulDepthMm  float64  `json:"caul_depth_mm"`  // its reach and its back

	// StrapMpa is what a strap pulled as hard as one clamp presses presses
	// where the edge is flattest, by tension over radius and height; 0 where it
	// is straight or hollow. A strap presses hardest where the edge bends most.
	StrapMpa float64 `json:"strap_mpa"`
}

// CaulKind says which cauls bring clamps to bear square on an edge.
type CaulKind string

// The kinds.
const (
	FlatCauls   CaulKind = "flat"
	WedgeCauls  CaulKind = "wedge" // straight, but not along the slab: clamps would slide on flat ones
	ShapedCauls CaulKind = "shaped"
)

// Common practice, no source.
const (
	flatCaul  = 0.5               // mm that a padded flat caul makes up for
	flatSlope = 5 * math.Pi / 180 // an edge that slants more lets clamps slide
	caulBack  = 50                // mm of a shaped caul behind its deepest place
	steepest  = 1                 // across over along: an edge that slants more than 45° is an end
	straight  = 1e-6              // 1/mm: curves flatter than a radius of 1 km
	cornered  = 0.2               // radians that the outline turns at a corner
)

// clampEdges are the right and the left edge of the section of strips from to
// to, once the outline is sawn.
func (v *survey) clampEdges(from, to int, rules GlueRules) []ClampEdge {
	y0, y1 := v.bands[from], v.bands[to+1]
	var out []ClampEdge
	for _, side := range [2]struct {
		name  string
		y     float64 // of the section's own face
		along float64 // the way the outline runs there
	}{{"right", y0, 1}, {"left", y1, -1}} {
		e := ClampEdge{Side: side.name, Cauls: FlatCauls}
		var line geom.Polygon // what faces the clamps, both ends of every piece
		n := len(v.chord)
		for i, a := range v.chord {
			b := v.chord[(i+1)%n]
			if min(a.Y, b.Y) > y1 || max(a.Y, b.Y) < y0 {
				continue
			}
			if d := b.Sub(a); d.X*side.along <= 0 || math.Abs(d.Y) > math.Abs(d.X)*steepest {
				continue
			}
			if a, b, ok := within(a, b, y0, y1); ok {
				line = append(line, a, b)
			}
		}
		face := crossings(v.chord, side.y)
		for _, c := range face {
			line = append(line, geom.Pt(c.from, side.y), geom.Pt(c.to, side.y))
		}
		slices.SortFunc(line, func(a, b geom.Point) int { return compare(a.X - b.X) })
		if line = slices.Compact(line); len(line) < 2 {
			continue
		}
		a, b := line[0], line[len(line)-1]
		e.FromMm, e.ToMm = a.X, b.X
		chord := b.Sub(a).Unit()
		low, high := a.Y, a.Y
		for _, p := range line {
			e.SagittaMm = max(e.SagittaMm, math.Abs(chord.Cross(p.Sub(a))))
			low, high = min(low, p.Y), max(high, p.Y)
		}
		e.ReachMm = high - low
		slope := func(p, q geom.Point) float64 { return -side.along * math.Atan2(q.Y-p.Y, q.X-p.X) }
		start, end := slope(line[0], line[1]), slope(line[len(line)-2], b)
		e.StartSlopeDeg, e.EndSlopeDeg = start*180/math.Pi, end*180/math.Pi
		curved, flattest := v.bends(y0, y1, side.along)
		if curved > 0 {
			e.SmallestRadiusMm = 1 / curved
		}
		e.Corners = v.corners(y0, y1, side.along)
		if len(face) > 0 {
			e.FlatFromMm, e.FlatToMm = face[0].from, face[len(face)-1].to
		}
		switch {
		case len(face) == 1 && max(e.FlatFromMm-e.FromMm, e.ToMm-e.FlatToMm) <= rules.ClampSpacingMm:
			// No clamp need stand beyond its straight face.
		case e.SagittaMm > flatCaul:
			e.Cauls = ShapedCauls
		case max(math.Abs(start), math.Abs(end)) > flatSlope:
			e.Cauls = WedgeCauls
		}
		if e.Cauls != FlatCauls {
			e.CaulLengthMm, e.CaulDepthMm = e.ToMm-e.FromMm, e.ReachMm+caulBack
		}
		if len(face) == 0 && flattest > straight { // curved all along
			t, bottom := v.f.heights((e.FromMm + e.ToMm) / 2)
			e.StrapMpa = rules.ClampForceN * flattest / (t - bottom)
		}
		out = append(out, e)
	}
	return out
}

// within is the part of ab between the heights y0 and y1.
func within(a, b geom.Point, y0, y1 float64) (geom.Point, geom.Point, bool) {
	at := func(y float64) geom.Point { return a.Lerp(b, (y-a.Y)/(b.Y-a.Y)) }
	p, q := a, b
	if min(a.Y, b.Y) >= y1 || max(a.Y, b.Y) <= y0 {
		return p, q, a.Y == b.Y && a.Y >= y0 && a.Y <= y1
	}
	for _, y := range [2]float64{y0, y1} {
		if (a.Y-y)*(b.Y-y) < 0 {
			if (a.Y < y) == (y == y0) {
				p = at(y)
			} else {
				q = at(y)
			}
		}
	}
	return p, q, true
}

// bends are the greatest curvature of the outline where it faces the clamps
// between y0 and y1, in 1/mm, and the least that is bent outward there (0 or
// below: straight or hollow somewhere), looked at in 33 places of each curve.
func (v *survey) bends(y0, y1, along float64) (greatest, least float64) {
	least = math.Inf(1)
	for _, c := range v.path.Curves {
		if min(c.P0.Y, c.P1.Y, c.P2.Y, c.P3.Y) > y1 || max(c.P0.Y, c.P1.Y, c.P2.Y, c.P3.Y) < y0 {
			continue
		}
		for k := range 33 {
			t := float64(k) / 32
			p, d := c.At(t), c.Velocity(t)
			if p.Y < y0 || p.Y > y1 || d.X*along <= 0 || math.Abs(d.Y) > math.Abs(d.X)*steepest {
				continue
			}
			k := c.Curvature(t)
			least = min(least, k)
			if k = math.Abs(k); k > straight {
				greatest = max(greatest, k)
			}
		}
	}
	if math.IsInf(least, 1) {
		least = 0
	}
	return greatest, least
}

// corners tells whether the outline has a corner inside what faces the clamps.
func (v *survey) corners(y0, y1, along float64) bool {
	faces := func(d geom.Vec) bool {
		return d.X*along > 0 && math.Abs(d.Y) <= math.Abs(d.X)*steepest
	}
	curves := v.path.Curves
	for i, c := range curves {
		next := curves[(i+1)%len(curves)]
		_, in := c.Tangents()
		out, _ := next.Tangents()
		if c.P3.Y > y0 && c.P3.Y < y1 && faces(in) && faces(out) && math.Abs(math.Atan2(in.Cross(out), in.Dot(out))) > cornered {
			return true
		}
	}
	return false
}

// strapAround is the length of a taut strap once round the section in plan.
func (v *survey) strapAround(from, to int) float64 {
	y0, y1 := v.bands[from], v.bands[to+1]
	var ring geom.Polygon
	for i, a := range v.chord {
		if a, b, ok := within(a, v.chord[(i+1)%len(v.chord)], y0, y1); ok {
			ring = append(ring, a, b)
		}
	}
	return geom.Polygon(hull(ring)).Perimeter()
}
