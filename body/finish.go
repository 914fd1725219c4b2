package body

import (
	"math"
	"slices"

	"slabwright/body/geom"
)

// coat weighs the finish and measures what it covers, in mm²: the faces as they
// are carved, less the mouths of cavities and holes; the side, less the neck
// pocket's mouth and the holes in it; and the edges' rounds or chamfers.
//
// The insides of cavities, holes and the neck pocket stay bare: a maker masks
// the pocket, as its fit and its glue or screws want wood, and leaves a cavity
// bare or coats it with a shield, which is hardware (name its mass if it
// counts).
//
// Areas follow the true curves within 0.1 %; along the side a contour is taken
// as deep as it is at the outline.
func (b *Body) coat(cuts []removal) (Heft, float64) {
	s := b.face(Front, cuts).plus(b.face(Back, cuts), 1).plus(b.sides(cuts), 1)
	k := b.Finish.Thickness * b.Finish.Density * 1e-6 // grams per mm²
	return Heft{s.v * b.Finish.Thickness, k * s.v, geom.Vec3{X: k * s.u, Y: k * s.y, Z: k * s.w}}, s.v
}

// plane is the height of a face before it is carved.
func (b *Body) plane(face Face) float64 {
	if face == Back {
		return -b.Thickness
	}
	return 0
}

// face is the surface of a carved face without its cavities' mouths: the
// integrals of 1, u, v, w over it.
func (b *Body) face(face Face, cuts []removal) volume {
	plane, inward := b.plane(face), -1.0
	if face == Back {
		inward = 1
	}
	m := b.Ring.Moments()
	sum := volume{m.Area, m.X, m.Y, m.Area * plane}
	// carved is what a unit of plan area is more than flat under one surface.
	carved := func(s *Shaping, p geom.Point) volume {
		f, w := math.Sqrt(1+s.steepness(p)), plane+inward*s.fall(p)
		return volume{f - 1, (f - 1) * p.X, (f - 1) * p.Y, f*w - plane}
	}
	// deepest is carved under the surface that counts at p.
	var shapes []*Shaping
	deepest := func(p geom.Point) (volume, float64) {
		var on *Shaping
		most := 0.0
		for _, s := range shapes {
			if d := s.Drop(p); d > most {
				on, most = s, d
			}
		}
		if on == nil {
			return volume{}, 0
		}
		return carved(on, p), most
	}
	for i := range b.Shaped {
		if s := &b.Shaped[i]; s.Face == face {
			shapes = append(shapes, s)
			over(s.Ring, func(p geom.Point, area float64) { sum = sum.plus(carved(s, p), area) })
		}
	}
	var w sweeper
	if len(shapes) > 1 {
		var rings []geom.Polygon
		for _, r := range b.rivals() {
			rings = append(rings, r.ring)
		}
		w.sweep(rings, func(c cell) {
			c.points(func(p geom.Point, area float64) {
				for _, s := range shapes {
					if s.Drop(p) > 0 {
						sum = sum.plus(carved(s, p), -area)
					}
				}
				d, _ := deepest(p)
				sum = sum.plus(d, area)
			})
		})
	}
	// The mouths, less what the carving has taken of them.
	for g := range cuts {
		if !firstOfGroup(cuts, g) {
			continue
		}
		var rings []geom.Polygon
		var mouths []removal
		box, shallow, within := geom.EmptyBox(), false, cuts[g].within
		for _, c := range cuts[g:] {
			if c.group != cuts[g].group || !c.opens(face, b.Thickness) {
				continue
			}
			rings, mouths = append(rings, c.ring), append(mouths, c)
			box = box.Union(c.box)
			for _, s := range shapes {
				shallow = shallow || c.depth(face, b.Thickness) < s.lowest(c.box.Polygon())
			}
		}
		// The surfaces here, and the lines where they begin: on one side of a
		// line all is smooth.
		near, smooth := 0, true
		var lines []geom.Polygon
		for _, s := range shapes {
			if part := s.part(box); part != nil {
				near++
				if s.Kind != ArchedTop {
					lines = append(lines, part)
					smooth = smooth && !slices.ContainsFunc(box.Polygon(), func(p geom.Point) bool { return s.Line.Depth(p) < 0 })
				}
			}
		}
		mouth := func(p geom.Point, area float64) {
			more, _ := deepest(p)
			sum = sum.plus(more, -area).plus(volume{1, p.X, p.Y, plane}, -area)
		}
		switch {
		case len(rings) == 1 && within == nil && near == 0:
			m := rings[0].Moments()
			sum = sum.plus(volume{m.Area, m.X, m.Y, m.Area * plane}, -1)
			continue
		case len(rings) == 1 && within == nil && !shallow && smooth && near == 1:
			over(rings[0], mouth)
			continue
		}
		mask := len(rings)
		if within != nil {
			rings = append(rings, within)
		}
		rings = append(rings, lines...)
		w.sweep(rings, func(c cell) {
			wood, any := within == nil, false
			for _, i := range c.In {
				wood, any = wood || i == mask, any || i < mask
			}
			switch {
			case !wood || !any:
			case near == 0:
				a, mu, mv := c.moments()
				sum = sum.plus(volume{a, mu, mv, a * plane}, -1)
			case !shallow: // cells are slim: what is more than flat hardly varies
				a, mu, mv := c.moments()
				if a == 0 {
					return
				}
				more, _ := deepest(geom.Pt(mu/a, mv/a))
				sum = sum.plus(more, -a).plus(volume{a, mu, mv, a * plane}, -1)
			default:
				c.points(func(p geom.Point, area float64) {
					if slices.ContainsFunc(c.In, func(i int) bool {
						return i < mask && mouths[i].depth(face, b.Thickness) > b.fallen(face, p)
					}) {
						mouth(p, area)
					}
				})
			}
		})
	}
	for _, h := range b.Holes {
		if h.square() || math.Abs(h.A.Z-plane) > 1e-6 {
			continue
		}
		p := h.A.Plan()
		if !slices.ContainsFunc(cuts, func(c removal) bool {
			return c.opens(face, b.Thickness) && c.box.Has(p) && c.ring.Locate(p) != geom.Outside
		}) {
			r := h.Diameter / 2
			mouth := min(math.Pi*r*r/math.Abs(math.Sin(h.Tilt())), h.Diameter*h.Length())
			sum = sum.plus(volume{1, p.X, p.Y, plane}, -mouth)
		}
	}
	return sum
}

// depth is how deep a removal that opens into a face goes at the least.
func (r removal) depth(face Face, thickness float64) float64 {
	if face == Back {
		return r.hi + thickness
	}
	if r.slope != 0 { // its floor may rise to here
		u := r.box.Max.X
		if r.slope < 0 {
			u = r.box.Min.X
		}
		return -(r.lo + r.slope*(u-r.from))
	}
	return -r.lo
}

// below tells whether a removal goes deeper than most from a face, or begins
// deeper: in neither case does it leave off above a surface so deep.
func (r removal) below(face Face, most, thickness float64) bool {
	switch {
	case r.opens(face, thickness):
		return r.depth(face, thickness) >= most
	case face == Back:
		return r.lo >= most-thickness
	}
	return r.hi <= -most
}

// opens tells whether a removal has its mouth in a face.
func (r removal) opens(face Face, thickness float64) bool {
	const touch = 1e-6
	if face == Back {
		return r.lo <= touch-thickness
	}
	return r.hi >= -touch
}

// eased is what an edge treatment makes of an edge whose face lies low below
// its plane there.
type eased struct {
	reach         float64 // how far from the plane the side begins
	wide          float64 // across the round or chamfer
	inset, middle float64 // of the middle of that, from the side and from the plane
	strip, low    float64 // the strip of the face that it takes: its width and depth
}

func ease(radius, chamfer, low float64) eased {
	switch {
	case radius > 0: // a quarter circle: its centroid lies 2r/π from the centre's axes
		in := radius * (1 - 2/math.Pi)
		return eased{low + radius, radius * math.Pi / 2, in, low + in, radius, low}
	case chamfer > 0:
		return eased{low + chamfer, chamfer * math.Sqrt2, chamfer / 2, low + chamfer/2, chamfer, low}
	}
	return eased{low, 0, 0, low, 0, low}
}

// sides is the surface of the side with the edges' treatments, less the strips
// that these take from the faces.
func (b *Body) sides(cuts []removal) volume {
	var sum volume
	t := b.Thickness
	var pockets []removal
	for _, c := range cuts {
		if c.crosses {
			pockets = append(pockets, c)
		}
	}
	tan := b.mitres()
	spans := spanSet{in: layer{-t, 0}}
	var ends []float64
	for i, p := range b.Ring {
		q := b.Ring[(i+1)%len(b.Ring)]
		d := q.Sub(p)
		long := d.Len()
		in := d.Mul(1 / long).Left()
		turns := tan[i] + tan[(i+1)%len(b.Ring)]
		// Cut the edge where a pocket's sides pass it and where a contour begins,
		// and under contours into short pieces.
		ends = append(ends[:0], 0, 1)
		for _, c := range pockets {
			if !c.box.Meets(spanBox(p, q)) {
				continue
			}
			for j, r := range c.ring {
				e := c.ring[(j+1)%len(c.ring)].Sub(r)
				if det := d.Cross(e); det != 0 {
					at, on := r.Sub(p).Cross(e)/det, r.Sub(p).Cross(d)/det
					if at > 0 && at < 1 && on >= 0 && on <= 1 {
						ends = append(ends, at)
					}
				}
			}
		}
		for k := range b.Shaped {
			from, to := b.Shaped[k].Line.Depth(p), b.Shaped[k].Line.Depth(q)
			if b.Shaped[k].Kind != ArchedTop && from*to < 0 {
				ends = append(ends, from/(from-to))
			}
		}
		if n := math.Ceil(long / 8); len(b.Shaped) > 0 {
			for k := 1.0; k < n; k++ {
				ends = append(ends, k/n)
			}
		}
		slices.Sort(ends)
		for j := 1; j < len(ends); j++ {
			mid := p.Lerp(q, (ends[j-1]+ends[j])/2)
			piece := long * (ends[j] - ends[j-1])
			if piece == 0 {
				continue
			}
			front := ease(b.Edges.FrontRadius, b.Edges.FrontChamfer, b.fallen(Front, mid))
			back := ease(b.Edges.BackRadius, b.Edges.BackChamfer, b.fallen(Back, mid))
			frontOpen, backOpen := false, false
			spans.reset()
			for _, c := range pockets {
				if c.box.Has(mid) && c.ring.Locate(mid) == geom.Inside {
					lo, hi := c.span(mid)
					spans.add(max(lo, back.reach-t), min(hi, -front.reach))
					frontOpen, backOpen = frontOpen || c.opens(Front, t), backOpen || c.opens(Back, t)
				}
			}
			// A line inside the outline is shorter where the outline turns.
			add := func(inset, wide, w float64) {
				at := mid.Add(in.Mul(inset))
				sum = sum.plus(volume{1, at.X, at.Y, w}, piece*wide*(1-inset*turns/long))
			}
			bare, moment := spans.measure()
			lo, hi := back.reach-t, -front.reach
			if high := hi - lo; high > bare {
				add(0, high-bare, ((hi*hi-lo*lo)/2-moment)/(high-bare))
			}
			if front.strip > 0 && !frontOpen {
				add(front.inset, front.wide, -front.middle)
				add(front.strip/2, -front.strip, -front.low)
			}
			if back.strip > 0 && !backOpen {
				add(back.inset, back.wide, back.middle-t)
				add(back.strip/2, -back.strip, back.low-t)
			}
		}
	}
	for _, h := range b.Holes {
		if h.Face == Side {
			r := h.Diameter / 2
			sum = sum.plus(volume{1, h.A.X, h.A.Y, h.A.Z}, -math.Pi*r*r)
		}
	}
	return sum
}
