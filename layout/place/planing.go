package place

import (
	"math"

	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret/measure"
)

// Planing is the wood to take off over and under a placed body before it is
// cut free, and how the slab must be wedged up to do so. Thicknesses are mm,
// square to the body's faces.
type Planing struct {
	Placement Placement
	Above     Removal // over the body's upper plane: its front where the face is Top
	Below     Removal // under its lower plane
	// Wedges hold the slab, its bottom on a level bench, so that the body's
	// faces are level too.
	Wedges [4]Wedge
}

// Flat tells whether no wedge is needed, to what a maker could set.
func (g Planing) Flat() bool {
	for _, w := range g.Wedges {
		if w.Height > 0.05 {
			return false
		}
	}
	return true
}

// Slack is the lesser of the wood over the body and under it.
func (g Planing) Slack() float64 { return min(g.Above.Least.Value, g.Below.Least.Value) }

// Removal is a map of the wood to take off one side.
//
// Cell (i, j) of the grid is the square round
//
//	u = U0 + i·Step,  v = V0 + j·Step     0 ≤ i < NU, 0 ≤ j < NV
//
// of the body frame, U0 and V0 being whole steps; Thick[j·NU+i] is the wood in its middle, NaN where the
// middle is not in the body's outline.
type Removal struct {
	Plane        float64   // w of the finished plane in the body frame, mm
	Into         geom.Vec3 // from it into the wood, in the slab frame
	U0, V0, Step float64
	NU, NV       int
	Thick        []float64
	// Outline is where the body's sides, square to its faces, meet the slab's
	// face: in the slab's plan, a corner at least every 3 mm.
	Outline geom.Polygon
	// Least is where planing reaches the finished plane first: with a negative
	// value the slab has not enough wood there and the body breaks through.
	// Most is where most comes off. Both look at the corners of the outline as
	// well, and At is on the finished plane.
	Least, Most Spare
}

// BreaksThrough tells whether wood is missing somewhere.
func (r Removal) BreaksThrough() bool { return r.Least.Value < 0 }

// At is the wood in the middle of a cell, NaN outside the outline.
func (r Removal) At(i, j int) float64 { return r.Thick[j*r.NU+i] }

// Middle is the middle of a cell: (u, v) in the body frame.
func (r Removal) Middle(i, j int) geom.Point {
	return geom.Pt(r.U0+float64(i)*r.Step, r.V0+float64(j)*r.Step)
}

// OnFace is where on the slab's face the wood in the middle of a cell ends.
func (r Removal) OnFace(f Frame, i, j int) geom.Point3 {
	q := r.Middle(i, j)
	return f.Apply(q.X, q.Y, r.Plane).Add(r.Into.Mul(r.At(i, j)))
}

// Wedge is a support on the bench under one place of the slab's bottom.
type Wedge struct {
	Name string // where on the body, as "neck end, treble side"
	// At is the place on the slab's bottom in the slab frame: under a corner of
	// the box round the body's outline, or, where the slab does not reach so
	// far, the place nearest to it towards the body's middle.
	At     geom.Point3
	Height float64 // from the bench up to it, when the slab's lowest place touches the bench
}

// planingStep is the size of the cells of a planing map: 5 mm, or 1/5 in for
// those who measure in inches.
func (c *Case) planingStep() float64 {
	if c.Body.Unit == measure.Inches {
		return 25.4 / 5
	}
	return 5
}

// Planing says how much wood is over and under the body where it lies, and how
// to wedge the slab up. The placement's height and tilt are taken as they are;
// BestPlane and Settle find good ones.
func (c *Case) Planing(p Placement) Planing {
	f := p.Frame()
	upper, lower := c.sides(p.Face)
	up := f.W.Mul(p.Face.upward())
	above, below := c.spare(p, f)
	above.At, below.At = c.onOutline(above.At, f.flat(-upper)), c.onOutline(below.At, f.flat(-lower))
	return Planing{
		Placement: p,
		Above:     c.removal(f, -upper, up, above),
		Below:     c.removal(f, -lower, up.Mul(-1), below),
		Wedges:    c.wedges(f, up),
	}
}

// removal maps the wood from the plane w of the body in the direction d.
func (c *Case) removal(f Frame, w float64, d geom.Vec3, thinnest Spare) Removal {
	step := c.planingStep()
	u0, v0 := math.Ceil(c.box.Min.X/step), math.Ceil(c.box.Min.Y/step)
	nu, nv := int(math.Floor(c.box.Max.X/step)-u0)+1, int(math.Floor(c.box.Max.Y/step)-v0)+1
	r := Removal{
		Plane: w, Into: d, U0: u0 * step, V0: v0 * step, Step: step,
		NU: nu, NV: nv, Thick: make([]float64, nu*nv), Least: thinnest, Most: Spare{Value: math.Inf(-1)},
	}
	face := c.bottom
	if d.Z > 0 {
		face = c.top
	}
	thick := func(q geom.Point) float64 {
		p := f.Apply(q.X, q.Y, w)
		s := face.square(p, d)
		if c.rim != nil {
			s = c.along(p, d, s, face, 0)
		}
		if s > r.Most.Value {
			r.Most = Spare{s, p}
		}
		if s < r.Least.Value && !c.carved() { // else the thinnest is over a carved face
			r.Least = Spare{s, p}
		}
		return s
	}
	for j := range nv {
		for i := range nu {
			q := r.Middle(i, j)
			r.Thick[j*nu+i] = math.NaN()
			if c.shape.atLeast(q) > 0 || c.shape.depth(q) > 0 {
				r.Thick[j*nu+i] = thick(q)
			}
		}
	}
	for _, q := range c.front {
		r.Outline = append(r.Outline, f.Apply(q.X, q.Y, w).Add(d.Mul(thick(q))).Plan())
	}
	return r
}

// wedges turns the slab so that the body's upward normal is upright. Heights
// are then measured along it, from the lowest place of the slab's bottom. As
// the bottom's height depends on x alone, that place is on the outline.
func (c *Case) wedges(f Frame, up geom.Vec3) [4]Wedge {
	height := func(q geom.Point3) float64 { return q.X*up.X + q.Y*up.Y + q.Z*up.Z }
	under := func(q geom.Point) geom.Point3 {
		z, _ := c.bottom.look(q.X)
		return geom.Point3{X: q.X, Y: q.Y, Z: z}
	}
	bench := math.Inf(1)
	for _, q := range fine(c.outline) {
		bench = min(bench, height(under(q)))
	}
	m := f.flat(0)
	left, right := "treble side", "bass side" // of +v and −v, the body as it is played
	if c.Body.Hand == outline.LeftHanded {
		left, right = right, left
	}
	var out [4]Wedge
	for k, corner := range []struct {
		name string
		at   geom.Point
	}{
		{"neck end, " + left, geom.Pt(c.box.Min.X, c.box.Max.Y)},
		{"neck end, " + right, c.box.Min},
		{"tail end, " + left, c.box.Max},
		{"tail end, " + right, geom.Pt(c.box.Max.X, c.box.Min.Y)},
	} {
		at := m.apply(corner.at)
		const steps = 64
		for i := 1; i <= steps && c.outline.Locate(at) == geom.Outside; i++ {
			at = m.apply(corner.at.Lerp(c.pivot(), float64(i)/steps))
		}
		q := under(at)
		out[k] = Wedge{Name: corner.name, At: q, Height: height(q)}
		bench = min(bench, height(q))
	}
	for k := range out {
		out[k].Height -= bench
	}
	return out
}
