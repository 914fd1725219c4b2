package place

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/fret/measure"
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
	v := Verdict{Checks: make([]Check, 0, 8+len(c.zones)+len(c.Body.KeepFromGlue)+len(c.bodily))}
	v.add(c.outlineCheck(f))
	v.add(c.solidCheck(f, low, high))
	v.add(c.thicknessChecks(p, f)...)
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

// mm words a length in the unit in which the body speaks.
func (c *Case) mm(v float64) string { return measure.Length(v).Format(c.Body.Unit) }

func (v *Verdict) add(checks ...Check) { v.Checks = append(v.Checks, checks...) }

// measured fills a check that has a length; say gives its words.
func measured(name string, margin, need float64, at geom.Point3, say func(ok bool) string) Check {
	k := Check{Name: name, OK: margin >= need, Measured: true, Margin: margin, Need: need, At: at}
	k.Message = say(k.OK)
	return k
}

// room is how far a placed body keeps from the slab's edge, and where in which plane of
// the body that is least.
func (c *Case) room(f Frame) (room float64, at geom.Point, plane float64) {
	sweep := c.sweep(f)
	room = math.Inf(1)
	for _, w := range sweep.planes {
		if r, q, _ := c.hoops.nearest(c.edge, f.flat(w)); r < room {
			room, at, plane = r, q, w
		}
	}
	return sweep.least(room), at, plane
}

func (c *Case) outlineCheck(f Frame) Check {
	need := c.Need.Clearance()
	room, at, plane := c.room(f)
	return measured("outline in the slab", room, need, c.onPlane(f, at, plane), func(ok bool) string {
		if ok {
			return fmt.Sprintf("the body keeps %s from the slab's edge", c.mm(room))
		}
		return fmt.Sprintf("the body comes within %s of the slab's edge (negative: beyond it); kerf and margin ask %s", c.mm(room), c.mm(need))
	})
}

// onPlane is the point of the body's plane w over the plan point q.
func (c *Case) onPlane(f Frame, q geom.Point, w float64) geom.Point3 {
	b := f.flat(w).into(q)
	return f.Apply(b.X, b.Y, w)
}

// solidCheck asks for solid wood wherever the finished body is under its
// footprint: what contours and edges take off may hold a hollow, a fastener or a
// flaw.
func (c *Case) solidCheck(f Frame, low, high float64) Check {
	need := c.Need.Clearance()
	const name = "solid wood under the footprint"
	best, which := c.nearestObstacle(f, low, high)
	off := c.carvedOff(f, low, high)
	if which < 0 {
		return Check{Name: name, OK: true, Message: "no hollow, fastener or flaw is near" + off}
	}
	o := c.obstacles[which]
	at := geom.Point3{X: best.At.X, Y: best.At.Y, Z: (max(low, o.Bottom) + min(high, o.Top)) / 2}
	return measured(name, best.Value, need, at, func(ok bool) string {
		if ok {
			return fmt.Sprintf("nearest is %s, %s away%s", o.Name, c.mm(best.Value), off)
		}
		return fmt.Sprintf("%s is %s away (negative: inside the body); kerf and margin ask %s", o.Name, c.mm(best.Value), c.mm(need))
	})
}

// carvedOff warns of what lies in the footprint, where only wood that is carved
// away reaches: tools will get there.
func (c *Case) carvedOff(f Frame, low, high float64) string {
	var names []string
	for _, i := range c.shallow {
		o := c.obstacles[i]
		if c.carved() && meets(o, low, high) && c.footGap(f, o).Value <= 0 && c.gap(f, o).Value > 0 {
			names = append(names, o.Name)
		}
	}
	if names == nil {
		return ""
	}
	return fmt.Sprintf("; in wood that is carved away: %s. Take metal out before a tool gets there", strings.Join(names, ", "))
}

// nearestObstacle is the least room between the body and an obstacle that it
// reaches, and which; −1 when it reaches none.
func (c *Case) nearestObstacle(f Frame, low, high float64) (geom.Margin, int) {
	best, which := geom.Margin{Value: math.Inf(1)}, -1
	ask := func(list []int) {
		for _, i := range list {
			if o := c.obstacles[i]; meets(o, low, high) {
				if m := c.gap(f, o); m.Value < best.Value {
					best, which = m, i
				}
			}
		}
	}
	ask(c.shallow)
	if len(c.deep) == 0 {
		return best, which
	}
	sweep := c.sweep(f)
	apart := true // from all deep obstacles: then distances tell all
	deep := geom.Margin{Value: math.Inf(1)}
	nearest := -1
	for _, w := range sweep.planes {
		m := f.flat(w)
		d, at, owner := c.hoops.nearest(c.hollow, m)
		if apart = apart && d > 0 && owner >= 0 && !c.swallows(m); !apart {
			break
		}
		if d < deep.Value {
			deep, nearest = geom.Margin{Value: d, At: at}, c.deep[owner]
		}
	}
	if deep.Value = sweep.least(deep.Value); apart && deep.Value < best.Value {
		best, which = deep, nearest
	}
	if !apart {
		best, which = geom.Margin{Value: math.Inf(1)}, -1
		ask(c.shallow)
		ask(c.deep)
	}
	return best, which
}

// Spares are how much wood there is over and under a placed body, square to it, as Check
// measures it, mm.
func (c *Case) Spares(p Placement) (over, under float64) {
	above, below := c.spare(p, p.Frame())
	return above.Value, below.Value
}

// WoodsEdge is how near to the slab's edge the places of its faces are at which the wood over
// and under a placed body is measured, mm; +Inf where no edge is rounded.
func (c *Case) WoodsEdge(p Placement) float64 {
	if c.rim == nil {
		return math.Inf(1)
	}
	return c.woodsEdge(p, math.Inf(1), 0)
}

func (c *Case) thicknessChecks(p Placement, f Frame) []Check {
	above, below := c.spare(p, f)
	need := c.Need.Flatten
	check := func(s Spare, side string) Check {
		return measured("wood "+side+" the body", s.Value, need, c.onOutline(s.At, f.flat(0)), func(ok bool) string {
			if ok {
				return fmt.Sprintf("at least %s of wood %s the body", c.mm(s.Value), side)
			}
			return fmt.Sprintf("only %s of wood %s the body (negative: it breaks through); flattening asks %s", c.mm(s.Value), side, c.mm(need))
		})
	}
	return []Check{check(above, "over"), check(below, "under")}
}

// zoneChecks ask for solid wood under each pickup, the bridge, the neck pocket
// and every hole, over the zone's own depth.
func (c *Case) zoneChecks(p Placement, f Frame) []Check {
	var out []Check
	need := c.Need.Margin
	// Where the whole body is clear of the deep obstacles, so is every zone in
	// it, and distances to their edges tell all.
	clear := !c.swallows(f.flat(0)) && c.hoops.clear(c.wood, f.flat(0), 0)
	for i, z := range c.solid {
		low, high := c.zoneHeights(z, f)
		best, what := geom.Margin{}, ""
		if p.Level() && clear && c.allReach(low, high) {
			best, what = c.zoneQuick(i, z, f, low, high)
		} else {
			best, what = c.zoneSlow(p, z, f, low, high)
		}
		at := geom.Point3{X: best.At.X, Y: best.At.Y, Z: (low + high) / 2}
		out = append(out, measured("solid wood "+z.Name, best.Value, need, at, func(ok bool) string {
			if ok {
				return fmt.Sprintf("%s is nearest, %s away", what, c.mm(best.Value))
			}
			return fmt.Sprintf("%s is %s away (negative: inside); the margin asks %s", what, c.mm(best.Value), c.mm(need))
		}))
	}
	return out
}

func (c *Case) zoneHeights(z body.Zone, f Frame) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, w := range []float64{z.WTop, z.WBottom} {
		for _, q := range z.Ring {
			h := f.Apply(q.X, q.Y, w).Z
			low, high = min(low, h), max(high, h)
		}
	}
	return low, high
}

// allReach tells whether every deep obstacle reaches into the heights.
func (c *Case) allReach(low, high float64) bool {
	for _, i := range c.deep {
		if !meets(c.obstacles[i], low, high) {
			return false
		}
	}
	return true
}

func (c *Case) zoneQuick(i int, z body.Zone, f Frame, low, high float64) (geom.Margin, string) {
	m := f.flat(z.WTop)
	d, at, _ := c.zones[i].nearest(c.edge, m)
	best, what := geom.Margin{Value: d, At: at}, slabsEdge
	if len(c.deep) > 0 {
		if d, at, owner := c.zones[i].nearest(c.hollow, m); d < best.Value && owner >= 0 {
			best, what = geom.Margin{Value: d, At: at}, c.obstacles[c.deep[owner]].Name
		}
	}
	if len(c.shallow) > 0 {
		foot := f.Project(z.Ring, z.WTop)
		for _, i := range c.shallow {
			best, what = c.nearer(best, what, foot, c.obstacles[i], low, high)
		}
	}
	return best, what
}

func (c *Case) zoneSlow(p Placement, z body.Zone, f Frame, low, high float64) (geom.Margin, string) {
	foot := f.Project(z.Ring, z.WTop)
	if !p.Level() {
		foot = hull(slices.Concat(foot, f.Project(z.Ring, z.WBottom)))
	}
	best, what := foot.Room(c.outline), slabsEdge
	for _, o := range c.obstacles {
		best, what = c.nearer(best, what, foot, o, low, high)
	}
	return best, what
}

const slabsEdge = "the slab's edge"

func (c *Case) nearer(best geom.Margin, what string, foot geom.Polygon, o slab.Obstacle, low, high float64) (geom.Margin, string) {
	if meets(o, low, high) {
		if m := foot.Gap(geom.Polygon(o.Region)); m.Value < best.Value {
			return m, o.Name
		}
	}
	return best, what
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
		out = append(out, measured("glue line clear of "+s.Name, m, c.Need.GlueLine, at, func(ok bool) string {
			if ok {
				return fmt.Sprintf("%s is nearest, %s from the hole's edge", line, c.mm(m))
			}
			return fmt.Sprintf("%s is %s from the hole's edge (negative: through the hole); the need is %s", line, c.mm(m), c.mm(c.Need.GlueLine))
		}))
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
		out = append(out, measured(name, tolerance-off, 0, at, func(ok bool) string {
			if ok {
				return fmt.Sprintf("%s, %s off; %s allowed", what, c.mm(off), c.mm(tolerance))
			}
			return fmt.Sprintf("%s, %s off; only %s allowed", what, c.mm(off), c.mm(tolerance))
		}))
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
	for _, k := range c.bodily {
		out = append(out, Check{Name: k.Name, OK: k.OK, Measured: true, Margin: k.Margin, Need: k.Need,
			At: f.Apply(k.At.X, k.At.Y, k.At.Z), Message: k.Message})
	}
	return out
}
