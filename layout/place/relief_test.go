package place_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// carve gives a body random contours and edges.
func carve(t *rapid.T, b *body.Body) {
	box := b.Outline.Bounds()
	line := func() geom.HalfPlane {
		// Across the body's corner, so that some of the face stays.
		way := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "contour's way")
		far := rapid.Float64Range(0.1, 0.4).Draw(t, "contour's place")
		out := geom.Polar(1, way)
		return geom.HalfPlane{At: geom.Pt(out.X*far*box.Width(), out.Y*far*box.Height()), Along: geom.Polar(1, way-math.Pi/2)}
	}
	if rapid.Bool().Draw(t, "bevel") {
		b.Shaped = append(b.Shaped, body.Shaping{Kind: body.ForearmBevel, Face: body.Front, Line: line(), Slope: rapid.Float64Range(0.05, 0.25).Draw(t, "slope")})
	}
	if rapid.Bool().Draw(t, "belly cut") {
		b.Shaped = append(b.Shaped, body.Shaping{Kind: body.BellyCut, Face: body.Back, Line: line(), Curve: rapid.Float64Range(3e-4, 2e-3).Draw(t, "curve")})
	}
	if rapid.IntRange(0, 3).Draw(t, "arch") == 0 {
		b.Shaped = append(b.Shaped, body.Shaping{Kind: body.ArchedTop, Face: body.Front, Line: geom.HalfPlane{At: geom.Pt(10, -5), Along: geom.V(1, 0)},
			Along: 1 / (2 * rapid.Float64Range(1500, 6000).Draw(t, "radius along")), Across: 1 / (2 * rapid.Float64Range(700, 6000).Draw(t, "radius across"))})
	}
	edge := func(radius, chamfer *float64) {
		switch rapid.IntRange(0, 2).Draw(t, "edge") {
		case 1:
			*radius = rapid.Float64Range(1, 12).Draw(t, "radius")
		case 2:
			*chamfer = rapid.Float64Range(1, 12).Draw(t, "chamfer")
		}
	}
	edge(&b.Edges.FrontRadius, &b.Edges.FrontChamfer)
	edge(&b.Edges.BackRadius, &b.Edges.BackChamfer)
}

// slowFaces are the drops of the finished front and back, by all edges of ring,
// off from the side more than they are.
func slowFaces(b *body.Body, ring geom.Polygon, p geom.Point) (front, back float64) {
	d := max(0, ring.Depth(p))
	edge := func(radius, chamfer float64) float64 {
		if d < radius {
			return radius - math.Sqrt(radius*radius-(radius-d)*(radius-d))
		}
		return max(0, chamfer-d)
	}
	for _, s := range b.Shaped {
		u, v := p.X-s.Line.At.X, p.Y-s.Line.At.Y
		far := max(0, s.Line.Along.X*v-s.Line.Along.Y*u)
		drop := s.Slope*far + s.Curve*far*far + s.Along*u*u + s.Across*v*v
		if s.Face == body.Front {
			front = max(front, drop)
		} else {
			back = max(back, drop)
		}
	}
	return front + edge(b.Edges.FrontRadius, b.Edges.FrontChamfer), back + edge(b.Edges.BackRadius, b.Edges.BackChamfer)
}

// slowSpare is the wood over and under the finished faces, square to the planes,
// least over a lattice of places and then walked downhill.
func slowSpare(c *place.Case, p place.Placement) (over, under float64) {
	f := p.Frame()
	ring := c.Body.Outline.Polygon(place.Exact)
	outline := c.Slab.Outline().Polygon(place.Exact)
	up, upper, lower := f.W, 0.0, -c.Body.Thickness
	if p.Face == place.Bottom {
		up, upper, lower = up.Mul(-1), lower, upper
	}
	round := func(r float64, q geom.Point3) float64 {
		if r == 0 {
			return 0
		}
		d := max(0, outline.Depth(q.Plan()))
		if d >= r {
			return 0
		}
		return r - math.Sqrt(r*r-(r-d)*(r-d))
	}
	way := func(q geom.Point3, d geom.Vec3, above func(geom.Point3) float64) float64 {
		lo, hi := -400.0, 400.0
		for range 36 {
			if mid := (lo + hi) / 2; above(q.Add(d.Mul(mid))) > 0 {
				hi = mid
			} else {
				lo = mid
			}
		}
		return lo
	}
	at := func(q geom.Point, top bool) float64 {
		front, back := slowFaces(c.Body, ring, q)
		if p.Face == place.Bottom {
			front, back = back, front
		}
		if top {
			return front + way(f.Apply(q.X, q.Y, upper), up, func(q geom.Point3) float64 {
				return q.Z - c.Slab.TopAt(q.X) + round(c.Slab.Edge.TopRadius, q)
			})
		}
		return back + way(f.Apply(q.X, q.Y, lower), up.Mul(-1), func(q geom.Point3) float64 {
			return c.Slab.BottomAt(q.X) + round(c.Slab.Edge.BottomRadius, q) - q.Z
		})
	}
	least := func(top bool) float64 {
		best, where := math.Inf(1), geom.Point{}
		try := func(q geom.Point) bool {
			if ring.Locate(q) == geom.Outside {
				return false
			}
			if v := at(q, top); v < best {
				best, where = v, q
				return true
			}
			return false
		}
		box := ring.Bounds()
		const n = 18
		for i := range n {
			for j := range n {
				try(geom.Pt(box.Min.X+box.Width()*(float64(i)+0.5)/n, box.Min.Y+box.Height()*(float64(j)+0.5)/n))
			}
		}
		for i := 0; i < len(ring); i += max(1, len(ring)/90) {
			try(ring[i])
		}
		for step := 6.0; step > 1e-3; {
			better := false
			for k := range 40 { // many ways, as the faces have creases
				better = try(where.Add(geom.Polar(step, math.Pi/20*float64(k)))) || better
			}
			if !better {
				step /= 2
			}
		}
		return best
	}
	return least(true), least(false)
}

// bend is how sharply a profile bends, by its slopes beside each station.
func bend(s slab.Spline) float64 {
	most := 0.0
	for i := 0; i+1 < len(s); i++ {
		h := (s[i+1].X - s[i].X) / 1000
		for _, x := range []float64{s[i].X + h/10, s[i+1].X - 1.1*h} {
			most = max(most, math.Abs(s.SlopeAt(x+h)-s.SlopeAt(x))/h)
		}
	}
	return most
}

// The wood over and under a carved body is that over its finished faces, never
// more, and less by no more than Relief's tolerance, in depth and as the faces
// of slab and body change over it in plan, and by what the slab's face may sag.
func TestSpareOfACarvedBody(t *testing.T) {
	level, tilted, gained := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		if level+tilted >= 40 { // each takes a while
			return
		}
		c, p := bentCase(t)
		carve(t, c.Body)
		c, err := place.NewCase(c.Slab, c.Body, c.Need, c.Wish)
		require.NoError(t, err)
		if rapid.Bool().Draw(t, "level") {
			p.Height = 130
			level++
		} else {
			p, _ = c.BestTilt(p)
			p.Pitch += rapid.Float64Range(-0.05, 0.05).Draw(t, "pitch")
			p.Roll += rapid.Float64Range(-0.05, 0.05).Draw(t, "roll")
			tilted++
		}
		outline := c.Slab.Outline().Polygon(0.005)
		room := math.Inf(1)
		for _, w := range []float64{0, -c.Body.Thickness} {
			room = min(room, p.Frame().Project(c.Front(), w).Room(outline).Value)
		}
		if room < 1 {
			return // the slab is asked for no wood that it has not
		}
		over, under := slowSpare(c, p)
		got := map[string]float64{}
		for _, k := range c.Check(p).Checks {
			got[k.Name] = k.Margin
		}
		flat := *c.Body
		flat.Shaped, flat.Edges = nil, body.Edges{}
		d, err := place.NewCase(c.Slab, &flat, c.Need, c.Wish)
		require.NoError(t, err)
		slope, _ := c.Slab.ProfileSlopeBound()
		for name, want := range map[string]float64{"wood over the body": over, "wood under the body": under} {
			assert.LessOrEqual(t, got[name], want+2*place.Exact, name)
			steep := slope + math.Hypot(math.Tan(p.Pitch), math.Tan(p.Roll))
			sag := 0.02 + 1.1*15*15/8*max(bend(c.Slab.Profile.Top), bend(c.Slab.Profile.Bottom)) // the parts are halves of 10 mm squares
			if r := max(c.Slab.Edge.TopRadius, c.Slab.Edge.BottomRadius); room < r {
				steep += (r - room) / math.Sqrt(r*r-(r-room)*(r-room))
			}
			assert.GreaterOrEqual(t, got[name], want-body.ReliefTolerance*(1+1.5*steep)-sag, name)
		}
		for _, k := range d.Check(p).Checks {
			if k.Name == "wood over the body" && got[k.Name] > k.Margin+1 {
				gained++
			}
		}
	})
	t.Logf("%d level, %d tilted, in %d carving gave a millimetre and more", level, tilted, gained)
	assert.NotZero(t, gained)
}

// carvedCase is a slab hardly thicker than a carved body, perhaps bowed, with
// rounded edges and screws that do not go through.
func carvedCase(t *rapid.T) *place.Case {
	s := anySlab(t)
	b := anyBody(t)
	carve(t, b)
	thick := b.Thickness + 2 + rapid.Float64Range(-5, 10).Draw(t, "more")
	bow := rapid.Float64Range(0, 8).Draw(t, "bow")
	s.Profile = slab.Profile{
		Top:    []slab.Station{{X: 0, Value: thick}, {X: s.Length / 2, Value: thick + bow}, {X: s.Length, Value: thick}},
		Bottom: []slab.Station{{X: 0, Value: 0}, {X: s.Length / 3, Value: bow / 2}, {X: s.Length, Value: 0}},
	}
	if rapid.Bool().Draw(t, "rounded") {
		s.Edge = slab.Edge{TopRadius: rapid.Float64Range(3, 25).Draw(t, "top radius"), BottomRadius: rapid.Float64Range(0, 12).Draw(t, "bottom radius")}
	}
	for i := range rapid.IntRange(0, 8).Draw(t, "screws") {
		f := slab.Fastener{Name: fmt.Sprint("screw ", i+1), Kind: "screw", Direction: geom.Vec3{Z: -1}, Shank: 4, Length: rapid.Float64Range(3, 25).Draw(t, "screw length"), LeftIn: true,
			At: geom.Point3{X: rapid.Float64Range(0.2, 0.8).Draw(t, "screw x") * s.Length, Y: rapid.Float64Range(-0.4, 0.4).Draw(t, "screw y") * s.Width()}}
		f.At.Z = s.TopAt(f.At.X)
		if rapid.Bool().Draw(t, "from below") {
			f.At.Z, f.Direction.Z = s.BottomAt(f.At.X), 1
		}
		s.Fasteners = append(s.Fasteners, f)
	}
	w := place.DefaultWish()
	if rapid.Bool().Draw(t, "near") {
		w.NearX = &place.NearWish{Value: s.Length / 3}
	}
	c, err := place.NewCase(s, b, place.Need{Kerf: 3, Margin: rapid.Float64Range(0, 5).Draw(t, "margin"), Flatten: 1, GlueLine: -100}, w)
	require.NoError(t, err)
	return c
}

// middling is a placement in about the middle of the slab.
func middling(t *rapid.T, c *place.Case) place.Placement {
	p := anyPlacement(t, c)
	p.X, p.Y = c.Slab.Length/2+(p.X-c.Slab.Length/2)/3, p.Y/6
	return p
}

// No place of the finished body that is as high as an obstacle is nearer to it
// than the verdict says.
func TestRoomOfACarvedBodyToObstacles(t *testing.T) {
	met, gained := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		if met >= 50 {
			return
		}
		c := carvedCase(t)
		p := c.Settle(middling(t, c))
		if rapid.Bool().Draw(t, "tilted") {
			p.Pitch, p.Roll = rapid.Float64Range(-0.05, 0.05).Draw(t, "pitch"), rapid.Float64Range(-0.05, 0.05).Draw(t, "roll")
		}
		var check place.Check
		for _, k := range c.Check(p).Checks {
			if k.Name == "solid wood under the footprint" {
				check = k
			}
		}
		margin := math.Inf(1)
		if check.Measured {
			margin = check.Margin
		}
		f := p.Frame()
		ring := c.Body.Outline.Polygon(0.01)
		box := ring.Bounds()
		seen := math.Inf(1)
		for range 150 {
			q := geom.Pt(rapid.Float64Range(box.Min.X, box.Max.X).Draw(t, "u"), rapid.Float64Range(box.Min.Y, box.Max.Y).Draw(t, "v"))
			if ring.Locate(q) == geom.Outside {
				_, q = ring.BoundaryDistance(q)
			}
			front, back := slowFaces(c.Body, ring, q)
			high, low := -front, back-c.Body.Thickness
			if high <= low {
				continue // carved through
			}
			for k := range 9 {
				at := f.Apply(q.X, q.Y, low+(high-low)*(0.001+0.998*float64(k)/8))
				for _, o := range c.Slab.Obstacles() {
					if o.WholeThrough || at.Z > o.Bottom && at.Z < o.Top {
						seen = min(seen, -geom.Polygon(o.Region).Depth(at.Plan()))
					}
				}
			}
		}
		if !math.IsInf(seen, 1) {
			met++
		}
		if margin > 0 { // inside, the measure is another
			assert.GreaterOrEqual(t, seen, margin-2*place.Exact)
		}
		flat := *c.Body
		flat.Shaped, flat.Edges = nil, body.Edges{}
		d, err := place.NewCase(c.Slab, &flat, c.Need, c.Wish)
		require.NoError(t, err)
		for _, k := range d.Check(p).Checks {
			if k.Name == check.Name && k.Measured && k.Margin < margin-0.1 {
				gained++
			}
			if k.Name == check.Name && k.Measured && k.Margin > 0 {
				assert.LessOrEqual(t, k.Margin, margin+1e-9, "carving takes room away")
			}
		}
	})
	t.Logf("%d met an obstacle, in %d carving gave room", met, gained)
	assert.Greater(t, met, 20)
	assert.NotZero(t, gained)
}

// A bevel of 0.2 mm a mm from a line on falls 4 mm in 20 mm: a screw that comes
// 4 mm into the body's height may stand 20 mm from the line, and the room to it
// is counted from there. Worked by hand.
func TestAScrewInTheBevelledOffCorner(t *testing.T) {
	s := board(900, 50, strip(400, pale))
	// The body lies from z = 4 to 44, 1 mm of the top's 6 to be planed away.
	s.Fasteners = []slab.Fastener{{Name: "screw", Kind: "screw", At: geom.Point3{X: 520, Y: 0, Z: 50}, Direction: geom.Vec3{Z: -1}, Length: 10, Shank: 6, LeftIn: true}}
	b := block(200, 150, 40)
	need := place.Need{Kerf: 3, Margin: 2, Flatten: 1}
	verdict := func(b *body.Body, x float64) place.Verdict {
		c, err := place.NewCase(s, b, need, place.Wish{})
		require.NoError(t, err)
		p := place.Placement{X: x, Height: 44, Face: place.Top}
		v := c.Check(p)
		assert.Equal(t, v.OK, c.Allowed(p))
		return v
	}
	room := func(v place.Verdict) float64 {
		for _, k := range v.Checks {
			if k.Name == "solid wood under the footprint" {
				return k.Margin
			}
		}
		return math.NaN()
	}
	assert.False(t, verdict(b, 450).OK)

	// From u = 20 on the front falls towards the tail. At x = 450 the screw's
	// near rim is at u = 67, where the front has fallen by 4 mm at u = 40.
	b.Shaped = []body.Shaping{{Kind: body.ForearmBevel, Face: body.Front, Line: geom.HalfPlane{At: geom.Pt(20, 0), Along: geom.V(0, -1)}, Slope: 0.2}}
	v := verdict(b, 450)
	assert.True(t, v.OK)
	assert.Contains(t, v.Checks[1].Message, "carved away: screw")
	assert.InDelta(t, 27, room(v), 0.07) // the screw is kept from as a ring of edges round it
	assert.InDelta(t, 5, room(verdict(b, 472)), 0.07)
	assert.False(t, verdict(b, 473).OK)

	// Turned over it is the back that the screw meets.
	c, err := place.NewCase(s, b, need, place.Wish{})
	require.NoError(t, err)
	assert.False(t, c.Allowed(place.Placement{X: 450, Height: 4, Face: place.Bottom}))
	b.Shaped[0].Face, b.Shaped[0].Kind = body.Back, body.BellyCut
	c, err = place.NewCase(s, b, need, place.Wish{})
	require.NoError(t, err)
	assert.True(t, c.Allowed(place.Placement{X: 450, Height: 4, Face: place.Bottom}))

	// Settle finds a height for it by itself: the top may come up to 45, the
	// screw be met where the front has not fallen by as much as it is over 40.
	p := c.Settle(place.Placement{X: 450, Face: place.Bottom})
	assert.True(t, c.Allowed(p), "%+v", p)

	// A rounded edge of 10 mm has fallen by 4 mm where it is 10 − √(10² − 6²) = 2
	// mm from the side: the screw may be as near to that as the need is.
	b.Shaped, b.Edges = nil, body.Edges{FrontRadius: 10}
	v = verdict(b, 520-101.5) // its middle 1.5 mm out of the outline, its rim 1.5 mm in
	assert.InDelta(t, 0.5, room(v), 0.09)
	v = verdict(b, 520-106.1)
	assert.True(t, v.OK)
	assert.InDelta(t, 3.1+2, room(v), 0.07)
	b.Edges = body.Edges{}
	assert.False(t, verdict(b, 520-106.1).OK)
}

// A slab whose rounded edge leaves too little wood for a flat body at its rim
// holds one with a rounded or bevelled edge there; a belly cut does the same
// under the bottom, and in a slab that is thin at one end.
func TestWoodThatIsCarvedAwayIsNotAskedFor(t *testing.T) {
	s := board(800, 44, strip(200, pale))
	s.Edge.TopRadius = 20
	need := place.Need{Kerf: 3, Margin: 3, Flatten: 1}
	allowed := func(b *body.Body, x, y float64, face place.Face) bool {
		c, err := place.NewCase(s, b, need, place.Wish{})
		require.NoError(t, err)
		p := c.Settle(place.Placement{X: x, Y: y, Face: face})
		return p.Level() && c.Allowed(p)
	}
	b := block(300, 150, 40)
	assert.True(t, allowed(b, 400, 0, place.Top), "in the middle there is room for a flat one")
	// 7 mm from the edge the rounding has taken 20 − √(20² − 13²) = 4.8 mm of
	// the 2 that are over the body.
	assert.False(t, allowed(b, 400, 18, place.Top))
	b.Edges.FrontRadius = 8
	assert.True(t, allowed(b, 400, 18, place.Top))
	assert.False(t, allowed(b, 400, 18, place.Bottom), "there the back is up")
	b.Edges = body.Edges{BackRadius: 8}
	assert.True(t, allowed(b, 400, 18, place.Bottom))

	s.Edge.TopRadius = 0
	b.Edges = body.Edges{}
	// The bottom rises by 10 mm over the last 300 mm.
	s.Profile.Bottom = []slab.Station{{X: 0, Value: 0}, {X: 500, Value: 0}, {X: 800, Value: 10}}
	assert.False(t, allowed(b, 530, 0, place.Top))
	assert.True(t, allowed(b, 340, 0, place.Top))
	b.Shaped = []body.Shaping{{Kind: body.BellyCut, Face: body.Back, Line: geom.HalfPlane{At: geom.Pt(-40, 0), Along: geom.V(0, -1)}, Curve: 10.0 / (150 * 150)}}
	assert.True(t, allowed(b, 530, 0, place.Top))
	assert.False(t, allowed(b, 530, 0, place.Bottom))
	// Nothing is lost where the wood is there.
	assert.True(t, allowed(b, 340, 0, place.Top))
}
