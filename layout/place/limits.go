package place

import (
	"fmt"
	"math"
	"slices"

	"slabwright/body"
	"slabwright/body/geom"
)

// rooms is a room to the slab's edge, and one to hollows, fasteners and flaws,
// in mm.
type rooms struct{ edge, hollow float64 }

// asks is the room in plan that a body needs.
func (c *Case) asks() rooms {
	k := c.Need.Clearance()
	return rooms{k - c.less.edge, k - c.less.hollow}
}

// lacksAt is how much room a place of the body's rim lacks, ≤ 0 when none.
func (c *Case) lacksAt(q geom.Point) float64 {
	need := c.asks()
	if need.edge == need.hollow {
		return need.edge - c.wood.depth(q)
	}
	return max(need.edge-c.edge.depth(q), need.hollow-c.hollow.depth(q))
}

// mayClear is hoops.mayClear of the body's outline for both kinds of room.
func (c *Case) mayClear(m flat, s span, need rooms) bool {
	if need.edge == need.hollow {
		return c.hoops.mayClear(c.wood, m, s, need.edge)
	}
	return c.hoops.mayClear(c.edge, m, s, need.edge) && c.hoops.mayClear(c.hollow, m, s, need.hollow)
}

// allClear is hoops.allClear of the body's outline for both kinds of room.
func (c *Case) allClear(m flat, s span, need rooms) bool {
	if need.edge == need.hollow {
		return c.hoops.allClear(c.wood, m, s, need.edge)
	}
	return c.hoops.allClear(c.edge, m, s, need.edge) && c.hoops.allClear(c.hollow, m, s, need.hollow)
}

// A limit is one need that could give way, by a length or an angle (radians).
// One that can only be there or not gives by 1.
type limit struct {
	name string
	unit Unit
	fine float64 // how closely the least loosening is sought
	most float64 // a greater loosening is not looked at
	// loosen makes the need of a case smaller by so much.
	loosen func(c *Case, by float64)
	// lacks is by how much a placement fails the need, ≤ 0 when it passes. A
	// placement that passes all else passes with the need loosened by that.
	lacks func(Placement) float64
	// safe is how far what is asked may lie on the safe side of the true shapes:
	// so much less may truly do.
	safe float64
	// lay is Settle, but as good as can be for this limit; nil where that is Settle.
	lay func(Placement) Placement
	// halved, if it is not nil, is a limit that gives the same way, by half as
	// much.
	halved *limit
}

// How closely the least loosening is sought.
const (
	closelyMM    = 0.01
	closelyAngle = 0.01 * math.Pi / 180
	lifted       = 1e4 // mm; more than any limit lacks
)

// loosened is the case with one need, or several, made smaller.
func (c *Case) loosened(change func(*Case)) *Case {
	d := *c
	change(&d)
	d.fitNeeds(c)
	return &d
}

// hairBy makes every need smaller by so many mm: each length by that, each angle by
// what moves no point of the body farther. Room in plan is measured between
// polygons that lie on the safe side of the true curves, the body's and the slab's by
// Exact each; as much less is asked.
func (c *Case) hairBy(by float64) *Case {
	turn := by / c.radius
	return c.loosened(func(d *Case) {
		d.Need.Margin -= by + 2*Exact
		d.Need.Flatten -= by
		d.Need.GlueLine -= by
		d.easeMusts(by, turn)
		easeAngles(d, turn)
	})
}

// justSo is by how much every must is eased from the first, in mm and radians: one
// that is kept exactly must not fail by rounding.
const justSo = 1e-9

// easeMusts eases all wishes that may be musts, lengths by so many mm and the grain angle
// by so many radians.
func (c *Case) easeMusts(by, turn float64) {
	for i := range c.Wish.Strips {
		easeStrip(c, i, by)
	}
	for i := range c.Wish.Through {
		easeThrough(c, i, by)
	}
	easeNear(&c.Wish.NearX, by)
	easeNear(&c.Wish.Grain, turn)
}

func easeStrip(c *Case, i int, by float64) {
	c.Wish.Strips = slices.Clone(c.Wish.Strips)
	c.Wish.Strips[i].Tolerance += by
}

func easeThrough(c *Case, i int, by float64) {
	c.Wish.Through = slices.Clone(c.Wish.Through)
	c.Wish.Through[i].Tolerance += by
}

func easeNear(w **NearWish, by float64) {
	if *w != nil {
		n := **w
		n.Tolerance += by
		*w = &n
	}
}

// easeAngles widens the wished angles to both sides; those that go all round
// are none.
func easeAngles(c *Case, by float64) {
	if r := c.Wish.Angles; r != nil {
		if c.Wish.Angles = nil; r[1]-r[0]+2*by < 2*math.Pi {
			c.Wish.Angles = &[2]float64{r[0] - by, r[1] + by}
		}
	}
}

// limits are those needs of the case that could give, each by its name; for hollows,
// fasteners and flaws that might not be there see withoutEach.
func (c *Case) limits() []limit {
	clearance := c.Need.Clearance()
	edge := func(p Placement) float64 {
		room, _, _ := c.room(p.Frame())
		return clearance - room
	}
	hollows := func(p Placement) float64 {
		low, high := c.zRange(p)
		m, _ := c.nearestObstacle(p.Frame(), low, high)
		return clearance - m.Value
	}
	flatten := func(p Placement) float64 { return -c.slack(p) }
	out := []limit{{
		// Of a body whose middle is in the slab's bounds, as that of all placements
		// looked at: farther out, the room is even less.
		name: "room to the slab's edge", unit: Millimetres, fine: closelyMM,
		most: clearance + max(0, c.shape.depth(c.pivot())), safe: 2 * Exact,
		loosen: func(d *Case, by float64) { d.less.edge += by },
		lacks:  edge,
	}}
	if len(c.obstacles) > 0 && clearance > 0 {
		out = append(out, limit{
			name: "room to hollows, fasteners and flaws", unit: Millimetres, fine: closelyMM,
			most: clearance, safe: 2 * Exact, // what lies in the body is no matter of room
			loosen: func(d *Case, by float64) { d.less.hollow += by },
			lacks:  hollows,
		}, limit{
			name: "kerf and margin together", unit: Millimetres, fine: closelyMM,
			most: clearance, safe: 2 * Exact,
			loosen: func(d *Case, by float64) { d.Need.Margin -= by },
			lacks:  func(p Placement) float64 { return max(edge(p), hollows(p)) },
		})
	}
	thick := limit{
		name: "thickness of the slab", unit: Millimetres, fine: closelyMM,
		most:   c.Body.Thickness,
		loosen: func(d *Case, by float64) { d.Need.Flatten -= by / 2 },
		lacks:  func(p Placement) float64 { return 2 * flatten(p) },
	}
	if c.carved() {
		thick.safe = 2 * body.ReliefTolerance
	}
	if c.slopes {
		thick.lay = c.thickest
	}
	if c.Need.Flatten > 0 {
		thick.halved = &limit{name: "wood to plane away on each face", unit: Millimetres, most: c.Need.Flatten}
	}
	out = append(out, thick)
	if len(c.Body.KeepFromGlue) > 0 && len(c.lines) > 0 {
		widest := 0.0
		for _, k := range c.Body.KeepFromGlue {
			widest = max(widest, k.Radius)
		}
		out = append(out, limit{
			name: "glue lines clear of posts and screws", unit: Millimetres, fine: closelyMM,
			most:   c.Need.GlueLine + widest,
			loosen: func(d *Case, by float64) { d.Need.GlueLine -= by },
			lacks: func(p Placement) float64 {
				worst := math.Inf(-1)
				for _, k := range c.glueChecks(p.Frame()) {
					worst = max(worst, k.Need-k.Margin)
				}
				return worst
			},
		})
	}
	return append(out, c.wishedLimits()...)
}

// thickest is the placement laid level or in the best plane of its place, whichever
// lacks less thickness.
func (c *Case) thickest(p Placement) Placement {
	lo, hi := c.levelRange(p)
	if q, slack, _ := c.bestTilt(p); slack > (hi-lo)/2 {
		return q
	}
	return c.settleLevel(p, lo, hi)
}

// lackBesides is how far a placement is from what is asked besides room and thickness,
// in mm: of an angle, how far the farthest point of the body must move. It is ≤ 0
// when all is kept.
func (c *Case) lackBesides(p Placement) float64 {
	worst := math.Inf(-1)
	for _, k := range c.Body.KeepFromGlue {
		if d, i := c.glueDistance(p.Frame().Apply(k.At.X, k.At.Y, 0).Plan()); i >= 0 {
			worst = max(worst, c.Need.GlueLine+k.Radius-d)
		}
	}
	for _, l := range c.wishedLimits() {
		switch l.unit {
		case Millimetres:
			worst = max(worst, l.lacks(p))
		case Radians:
			worst = max(worst, l.lacks(p)*c.radius)
		}
	}
	return worst
}

// wishedLimits are the wishes that the maker made into limits.
func (c *Case) wishedLimits() []limit {
	var out []limit
	must := func(name string, loosen func(d *Case, by float64), lacks func(Placement) float64) {
		out = append(out, limit{name: name, unit: Millimetres, fine: closelyMM, most: lifted, loosen: loosen, lacks: lacks})
	}
	for i, w := range c.Wish.Strips {
		if w.Must {
			must(fmt.Sprintf("strip %s on the centreline", c.stripName(w.Strip)),
				func(d *Case, by float64) { easeStrip(d, i, by) },
				func(p Placement) float64 {
					a, b := c.stripOff(p.Frame(), w.Strip)
					return max(math.Abs(a), math.Abs(b)) - w.Tolerance
				})
		}
	}
	for i, w := range c.Wish.Through {
		if w.Must {
			must(describe(c.lines[w.Line])+" at its place",
				func(d *Case, by float64) { easeThrough(d, i, by) },
				func(p Placement) float64 { return c.misses(p.Frame(), w) - w.Tolerance })
		}
	}
	if w := c.Wish.NearX; w != nil && w.Must {
		must("near the wished x",
			func(d *Case, by float64) { easeNear(&d.Wish.NearX, by) },
			func(p Placement) float64 { return near(w, p.X) - w.Tolerance })
	}
	turn := func(name string, most float64, loosen func(d *Case, by float64), lacks func(Placement) float64) {
		out = append(out, limit{name: name, unit: Radians, fine: closelyAngle, most: most, loosen: loosen, lacks: lacks})
	}
	if w := c.Wish.Grain; w != nil && w.Must {
		turn("grain angle", math.Pi/2,
			func(d *Case, by float64) { easeNear(&d.Wish.Grain, by) },
			func(p Placement) float64 { return near(w, grain(p.Angle)) - w.Tolerance })
	}
	if r := c.Wish.Angles; r != nil {
		turn("wished angles", math.Pi-(r[1]-r[0])/2,
			func(d *Case, by float64) { easeAngles(d, by) },
			func(p Placement) float64 { return outOf(r, p.Angle) })
	}
	if len(c.Wish.Faces) == 1 {
		out = append(out, limit{
			name: "the other face as the front", unit: YesOrNo, most: 1,
			loosen: func(d *Case, by float64) {
				if by > 0 {
					d.Wish.Faces = nil
				}
			},
			lacks: func(Placement) float64 { return 1 },
		})
	}
	return out
}

// outOf is by how much an angle lies out of a range of angles.
func outOf(r *[2]float64, a float64) float64 {
	if withinAngles(r, a) {
		return 0
	}
	return min(math.Abs(math.Remainder(a-r[0], 2*math.Pi)), math.Abs(math.Remainder(a-r[1], 2*math.Pi)))
}
