package place

import (
	"fmt"
	"math"
	"slices"

	"slabwright/body/geom"
	"slabwright/layout/slab"
)

// Verdict is the result of all checks of a placement.
type Verdict struct {
	OK     bool
	Checks []Check
}

// Check is one rule, what it asks, what was found and where it is tightest.
// A check passes when Margin ≥ Need. Measured is false for a check that has no
// length; then Margin, Need and At mean nothing.
type Check struct {
	Name     string
	OK       bool
	Measured bool
	Margin   float64     // mm
	Need     float64     // mm
	At       geom.Point3 // slab frame
	Message  string
}

// Check gives the verdict of one placement.
func (c *Case) Check(p Placement) Verdict {
	f := p.Frame()
	low, high := c.zRange(p)
	v := Verdict{}
	v.add(c.outlineCheck(p, f))
	v.add(c.solidCheck(p, f, low, high))
	v.add(c.thicknessChecks(p)...)
	v.add(c.zoneChecks(p, f)...)
	v.add(c.glueChecks(f)...)
	v.add(c.mustChecks(p)...)
	v.add(c.bodyChecks(f)...)
	v.OK = true
	for _, k := range v.Checks {
		v.OK = v.OK && k.OK
	}
	return v
}

func (v *Verdict) add(checks ...Check) { v.Checks = append(v.Checks, checks...) }

// measured fills a check that has a length.
func measured(name string, margin, need float64, at geom.Point3, good, bad string) Check {
	k := Check{Name: name, OK: margin >= need, Measured: true, Margin: margin, Need: need, At: at, Message: good}
	if !k.OK {
		k.Message = bad
	}
	return k
}

func (c *Case) outlineCheck(p Placement, f Frame) Check {
	need := c.Need.Clearance()
	m := f.Project(c.front, 0).Room(c.outline)
	w := 0.0
	if !p.Level() {
		if b := f.Project(c.front, -c.Body.Thickness).Room(c.outline); b.Value < m.Value {
			m, w = b, -c.Body.Thickness
		}
	}
	return measured("outline in the slab", m.Value, need, c.onPlane(f, m.At, w),
		fmt.Sprintf("the body keeps %.1f mm from the slab's edge", m.Value),
		fmt.Sprintf("the body comes within %.1f mm of the slab's edge (negative: beyond it); kerf and margin ask %.1f mm", m.Value, need))
}

// onPlane is the point of the body's plane w over the plan point q.
func (c *Case) onPlane(f Frame, q geom.Point, w float64) geom.Point3 {
	b := f.flat(w).into(q)
	return f.Apply(b.X, b.Y, w)
}

func (c *Case) solidCheck(p Placement, f Frame, low, high float64) Check {
	need := c.Need.Clearance()
	best, which := geom.Margin{Value: math.Inf(1)}, -1
	foot := f.Project(c.front, 0).Bounds().Grow(1000)
	for i, o := range c.obstacles {
		if !meets(o, low, high) || !foot.Meets(geom.Polygon(o.Region).Bounds()) {
			continue
		}
		if m := c.gap(f, o); m.Value < best.Value {
			best, which = m, i
		}
	}
	const name = "solid wood under the footprint"
	if which < 0 {
		return Check{Name: name, OK: true, Message: "no hollow, fastener or flaw is near"}
	}
	o := c.obstacles[which]
	at := geom.Point3{X: best.At.X, Y: best.At.Y, Z: (math.Max(low, o.Bottom) + math.Min(high, o.Top)) / 2}
	return measured(name, best.Value, need, at,
		fmt.Sprintf("nearest is %s, %.1f mm away", o.Name, best.Value),
		fmt.Sprintf("%s is %.1f mm away (negative: inside the body); kerf and margin ask %.1f mm", o.Name, best.Value, need))
}

func (c *Case) thicknessChecks(p Placement) []Check {
	above, below := c.spare(p)
	need := c.Need.Flatten
	say := func(s Spare, side string) (string, string) {
		return fmt.Sprintf("at least %.1f mm of wood %s the body", s.Value, side),
			fmt.Sprintf("only %.1f mm of wood %s the body (negative: it breaks through); flattening asks %.1f mm", s.Value, side, need)
	}
	g1, b1 := say(above, "over")
	g2, b2 := say(below, "under")
	return []Check{
		measured("wood over the body", above.Value, need, above.At, g1, b1),
		measured("wood under the body", below.Value, need, below.At, g2, b2),
	}
}

// zoneChecks ask for solid wood under each pickup, the bridge, the neck pocket
// and every hole, over the zone's own depth.
func (c *Case) zoneChecks(p Placement, f Frame) []Check {
	var out []Check
	for _, z := range c.Body.Solid {
		foot := f.Project(z.Ring, z.WTop)
		if !p.Level() {
			foot = hull(slices.Concat(foot, f.Project(z.Ring, z.WBottom)))
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, w := range []float64{z.WTop, z.WBottom} {
			for _, q := range z.Ring {
				h := f.Apply(q.X, q.Y, w).Z
				low, high = math.Min(low, h), math.Max(high, h)
			}
		}
		best, what := foot.Room(c.outline), "the slab's edge"
		for _, o := range c.obstacles {
			if !meets(o, low, high) {
				continue
			}
			if m := foot.Gap(geom.Polygon(o.Region)); m.Value < best.Value {
				best, what = m, o.Name
			}
		}
		at := geom.Point3{X: best.At.X, Y: best.At.Y, Z: (low + high) / 2}
		out = append(out, measured("solid wood at "+z.Name, best.Value, c.Need.Margin, at,
			fmt.Sprintf("%s is nearest, %.1f mm away", what, best.Value),
			fmt.Sprintf("%s is %.1f mm away (negative: inside); the margin asks %.1f mm", what, best.Value, c.Need.Margin)))
	}
	return out
}

// hull is the convex ring round the points (Andrew, Another efficient
// algorithm for convex hulls in two dimensions, 1979).
func hull(ps []geom.Point) geom.Polygon {
	ps = slices.Clone(ps)
	slices.SortFunc(ps, func(a, b geom.Point) int {
		switch {
		case a.X != b.X && a.X < b.X, a.X == b.X && a.Y < b.Y:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	ps = slices.Compact(ps)
	if len(ps) < 3 {
		return geom.Polygon(ps)
	}
	chain := func(out geom.Polygon, floor int, p geom.Point) geom.Polygon {
		for len(out) >= floor+2 && out[len(out)-1].Sub(out[len(out)-2]).Cross(p.Sub(out[len(out)-1])) <= 0 {
			out = out[:len(out)-1]
		}
		return append(out, p)
	}
	var out geom.Polygon
	for _, p := range ps {
		out = chain(out, 0, p)
	}
	floor := len(out) - 1
	for i := len(ps) - 2; i >= 0; i-- {
		out = chain(out, floor, ps[i])
	}
	return out[:len(out)-1]
}

func (c *Case) glueChecks(f Frame) []Check {
	var out []Check
	for _, s := range c.Body.KeepFromGlue {
		at := f.Apply(s.At.X, s.At.Y, 0)
		d, i := c.glueDistance(at.Plan())
		if i < 0 {
			continue // a slab of one piece
		}
		m := d - s.Radius
		line := describe(c.lines[i])
		out = append(out, measured("glue line clear of "+s.Name, m, c.Need.GlueLine, at,
			fmt.Sprintf("%s is nearest, %.1f mm from the hole's edge", line, m),
			fmt.Sprintf("%s is %.1f mm from the hole's edge (negative: through the hole); the need is %.1f mm", line, m, c.Need.GlueLine)))
	}
	return out
}

func describe(g slab.GlueLine) string {
	if g.Transition {
		return "the transition " + g.Name
	}
	return "the glue line " + g.Name
}

// mustChecks are the wishes that the maker made into limits.
func (c *Case) mustChecks(p Placement) []Check {
	var out []Check
	f := p.Frame()
	must := func(name string, off, tolerance float64, at geom.Point3, what string) {
		out = append(out, measured(name, tolerance-off, 0, at,
			fmt.Sprintf("%s, %.2f mm off; %.2f mm allowed", what, off, tolerance),
			fmt.Sprintf("%s, %.2f mm off; only %.2f mm allowed", what, off, tolerance)))
	}
	for _, w := range c.Wish.Strips {
		if !w.Must {
			continue
		}
		a, b := c.stripOff(f, w.Strip)
		at, off := f.Apply(c.box.Min.X, 0, 0), math.Abs(a)
		if math.Abs(b) > off {
			at, off = f.Apply(c.box.Max.X, 0, 0), math.Abs(b)
		}
		must(fmt.Sprintf("strip %s on the centreline", c.stripName(w.Strip)), off, w.Tolerance, at, "the strip's middle and the centreline")
	}
	for _, w := range c.Wish.Through {
		if w.Must {
			g := c.lines[w.Line]
			must(describe(g)+" at its place", c.misses(f, w), w.Tolerance, f.Apply(w.U, w.V, 0), "the line and its place")
		}
	}
	if w := c.Wish.NearX; w != nil && w.Must {
		must("near the wished x", near(w, p.X), w.Tolerance, f.Origin, "the scale point")
	}
	if w := c.Wish.Grain; w != nil && w.Must {
		off := near(w, grain(p.Angle)) * 180 / math.Pi
		tol := w.Tolerance * 180 / math.Pi
		out = append(out, Check{Name: "grain angle", OK: off <= tol,
			Message: fmt.Sprintf("%.2f° off the wished grain angle; %.2f° allowed", off, tol)})
	}
	if len(c.Wish.Faces) > 0 {
		out = append(out, Check{Name: "wished face", OK: slices.Contains(c.Wish.Faces, p.Face),
			Message: fmt.Sprintf("the %s face is the front", p.Face)})
	}
	if r := c.Wish.Angles; r != nil {
		a := p.Angle - 2*math.Pi*math.Floor((p.Angle-r[0])/(2*math.Pi))
		out = append(out, Check{Name: "wished angles", OK: a <= r[1]+1e-12,
			Message: fmt.Sprintf("%.2f°; allowed are %.2f° to %.2f°", p.Angle*180/math.Pi, r[0]*180/math.Pi, r[1]*180/math.Pi)})
	}
	return out
}

func (c *Case) stripName(i int) string {
	if n := c.Slab.Strips[i].Name; n != "" {
		return n
	}
	return fmt.Sprint(i + 1)
}

// bodyChecks carries the body's own checks into the slab's frame.
func (c *Case) bodyChecks(f Frame) []Check {
	var out []Check
	for _, k := range c.Body.Check() {
		out = append(out, Check{Name: k.Name, OK: k.OK, Measured: true, Margin: k.Margin, Need: k.Need,
			At: f.Apply(k.At.X, k.At.Y, k.At.Z), Message: k.Message})
	}
	return out
}
