package body_test

import (
	"encoding/json"
	"math"
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/body/outline"
)

// bean is a smooth outline with a waist, in the outline's own frame: its neck
// end crosses the centreline at u = 0. Only tests know it.
func bean() geom.Path {
	c := func(a, b, d, e geom.Point) geom.Curve { return geom.Curve{P0: a, P1: b, P2: d, P3: e} }
	p := geom.Pt
	return geom.Path{Closed: true, Curves: []geom.Curve{
		c(p(0, 0), p(0, -40), p(-20, -60), p(-20, -100)),
		c(p(-20, -100), p(-20, -170), p(110, -120), p(190, -115)),
		c(p(190, -115), p(270, -110), p(410, -200), p(410, 0)),
		c(p(410, 0), p(410, 200), p(270, 110), p(190, 115)),
		c(p(190, 115), p(110, 120), p(-20, 170), p(-20, 100)),
		c(p(-20, 100), p(-20, 60), p(0, 40), p(0, 0)),
	}}
}

// bench is a whole instrument for the tests: two pickups, a fixed bridge,
// controls in the back, wires.
func bench() body.Spec {
	return body.Spec{
		Outline: bean(),
		Pickups: []body.Pickup{
			{Name: "neck pickup", Kind: body.SmallHumbucking, FromSaddle: 150},
			{Name: "bridge pickup", Kind: body.Humbucking, FromSaddle: 44},
		},
		Cavities: []body.Cavity{{At: geom.Pt(62, 72), Length: 100, Width: 60}},
		Pots:     []body.Pot{{At: geom.Pt(37, 72)}, {At: geom.Pt(82, 72)}},
		WireHoles: []body.WireHole{
			{Name: "pickup wires", From: "neck pocket", To: "bridge pickup", Through: []string{"neck pickup"}},
			{Name: "control wires", From: "bridge pickup", To: "control cavity"},
		},
	}
}

func TestBuildPlacesTheOutlineAtTheJoint(t *testing.T) {
	b, err := body.Build(bench())
	require.NoError(t, err)
	// 648·2^(−16/12) = 257.159 mm from joint to scale point.
	assert.InDelta(t, -257.159, b.Joint.X, 0.001)
	assert.InDelta(t, -257.159-20, b.Ring.Bounds().Min.X, 0.05)
	assert.Positive(t, b.Outline.Area())
}

// Where things land, by hand, for the default instrument.
func TestPartsLandWhereTheyShould(t *testing.T) {
	s := bench()
	s.Pickups = append(s.Pickups, body.Pickup{Kind: body.SingleCoil, Fraction: 0.15, Angle: 0.2})
	s.Bridge = body.Bridge{Kind: body.TwoPost}
	b, err := body.Build(s)
	require.NoError(t, err)

	near := func(want, got geom.Point, msg string) {
		t.Helper()
		assert.InDelta(t, 0, want.Distance(got), 1e-6, "%s: want %v, got %v", msg, want, got)
	}
	near(geom.Pt(-150, 0), b.Pickups[0].At, "by distance from the saddle")
	near(geom.Pt(-0.15*648, 0), b.Pickups[2].At, "by fraction of the scale")
	// Turned by angle > 0 the treble end lies nearer the bridge.
	assert.Greater(t, b.Pickups[2].Coils[0].B.X, b.Pickups[2].Coils[0].A.X)
	assert.Positive(t, b.Pickups[2].Coils[0].B.Y)

	treble, _ := b.Hole("bridge post, treble")
	bass, _ := b.Hole("bridge post, bass")
	near(geom.Pt(2.5-1.5, 37), treble.A.Plan(), "posts 74 apart, 2.5 behind the scale point, slanted by 3")
	near(geom.Pt(2.5+1.5, -37), bass.A.Plan(), "the bass post farther toward the tail")
	stud, _ := b.Hole("tailpiece stud, bass")
	near(geom.Pt(42.5, -41), stud.A.Plan(), "studs 82 apart, 40 behind the posts")
	assert.Equal(t, -25.0, stud.B.Z)

	screw, _ := b.Hole("neck screw 1")
	near(geom.Pt(b.Joint.X+12, 28-12), screw.A.Plan(), "12 in from the pocket's side and mouth")
	assert.Equal(t, -44.5, screw.A.Z)
	assert.Equal(t, -16.0, screw.B.Z)

	pocket, _ := b.Feature("neck pocket")
	box := pocket.Ring.Bounds()
	assert.InDelta(t, b.Joint.X+76.1, box.Max.X, 1e-9)
	assert.InDelta(t, 56.2, box.Height(), 1e-9)
	assert.Less(t, box.Min.X, b.Joint.X)

	// The tail button on the centreline at the tail, the other on the bass side.
	assert.InDelta(t, b.Joint.X+410, b.Holes[indexOf(b, "tail button")].A.X, 0.02)
	assert.InDelta(t, 8, b.Buttons[0].At.X-b.Holes[indexOf(b, "tail button")].A.X, 1e-3)
	assert.Negative(t, b.Buttons[1].At.Y)
	assert.InDelta(t, b.Ring.Bounds().Min.X-8, b.Buttons[1].At.X, 0.05)
}

func indexOf(b *body.Body, hole string) int {
	for i, h := range b.Holes {
		if h.Name == hole {
			return i
		}
	}
	return -1
}

func TestNeckAngleTiltsThePocketsFloor(t *testing.T) {
	s := bench()
	s.Neck.Angle = 3 * math.Pi / 180
	b, err := body.Build(s)
	require.NoError(t, err)
	p, _ := b.Feature("neck pocket")
	assert.InDelta(t, -16, p.Floor(b.Joint.X), 1e-9, "as deep as written at the body's edge")
	assert.InDelta(t, -16+76*math.Tan(3*math.Pi/180), p.Floor(b.Joint.X+76), 1e-9)
	assert.Contains(t, p.Note, "16 mm deep at the joint, 12.01 mm at the end")
}

// Every family of outlines carries every bridge: whatever the checks say,
// the body is whole.
func TestEveryFamilyCarriesEveryBridge(t *testing.T) {
	for _, family := range outline.Families() {
		for _, kind := range []body.BridgeKind{body.FlatMount, body.TwoPost, body.WrapOver, body.Vibrato, body.NoBridge} {
			s := bench()
			s.Outline, s.Family = geom.Path{}, family
			s.Bridge.Kind = kind
			b, err := body.Build(s)
			require.NoError(t, err, "%s with %s", family, kind)
			r, err := b.NewReport(body.Setting{Wood: b.Uniform(600)})
			require.NoError(t, err)
			assert.InDelta(t, b.Ring.Area()*b.Thickness, r.Volume, 0.25*b.Ring.Area()*b.Thickness)
			assert.Less(t, r.Volume, b.Ring.Area()*b.Thickness)
			_, err = json.Marshal(r)
			require.NoError(t, err)
		}
	}
}

// Each mistake has its field named, told what it is, and what would be right.
func TestMistakesAreToldByField(t *testing.T) {
	for _, c := range []struct {
		field string
		make  func(*body.Spec)
	}{
		{"outline", func(s *body.Spec) { s.Outline = geom.Path{} }},
		{"outline", func(s *body.Spec) {
			s.Outline = geom.PathOf(geom.Polygon{{X: 0, Y: 0}, {X: 300, Y: 200}, {X: 300, Y: 0}, {X: 0, Y: 200}})
		}},
		{"outline", func(s *body.Spec) { s.Outline = geom.PathOf(geom.Polygon{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 0, Y: 1}}) }},
		{"outline", func(s *body.Spec) { s.Outline.Curves[2].P1.X = math.NaN() }},
		{"thickness", func(s *body.Spec) { s.Thickness = -3 }},
		{"scale length", func(s *body.Spec) { s.ScaleLength = 6480 }},
		{"neck.depth", func(s *body.Spec) { s.Neck.Depth = 50 }},
		{"neck.angle", func(s *body.Spec) { s.Neck.Angle = 1 }},
		{"neck.screws", func(s *body.Spec) { s.Neck.Screws = 9 }},
		{"strings.count", func(s *body.Spec) { s.Strings.Count = -1 }},
		{"pickups[0].kind", func(s *body.Spec) { s.Pickups[0].Kind = "triple" }},
		{"pickups[1]", func(s *body.Spec) { s.Pickups[1].Fraction = 0.2 }},
		{"pickups[0]", func(s *body.Spec) { s.Pickups[0].FromSaddle = 700 }},
		{"pickups[0].depth", func(s *body.Spec) { s.Pickups[0].Depth = 60 }},
		{"bridge.kind", func(s *body.Spec) { s.Bridge.Kind = "suspension" }},
		{"bridge.post depth", func(s *body.Spec) { s.Bridge = body.Bridge{Kind: body.TwoPost, PostDepth: 90} }},
		{"cavities[0].face", func(s *body.Spec) { s.Cavities[0].Face = "top" }},
		{"cavities[0].ring", func(s *body.Spec) {
			s.Cavities[0].Ring = geom.Polygon{{X: 0, Y: 0}, {X: 40, Y: 40}, {X: 40, Y: 0}, {X: 0, Y: 40}}
		}},
		{"pots[0].at", func(s *body.Spec) { s.Pots[0].At = geom.Pt(-100, -90) }},
		{"wire holes[0].from", func(s *body.Spec) { s.WireHoles[0].From = "kitchen" }},
		{"wire holes[1]", func(s *body.Spec) { s.WireHoles[1].To = s.WireHoles[1].From }},
		{"jack.into", func(s *body.Spec) { s.Jack.Into = "kitchen" }},
		{"jack.face", func(s *body.Spec) { s.Jack.Face = "left" }},
		{"strap buttons", func(s *body.Spec) { s.StrapButtons = make([]body.StrapButton, 3) }},
		{"contours[0].along", func(s *body.Spec) { s.Contours = []body.Contour{{Kind: body.BellyCut}} }},
		{"contours[0]", func(s *body.Spec) {
			s.Contours = []body.Contour{{Kind: body.BellyCut, Along: geom.V(0, 1), Depth: 40, Reach: 5}}
		}},
		{"edges.front chamfer", func(s *body.Spec) { s.Edges = body.Edges{FrontRadius: 3, FrontChamfer: 3} }},
		{"masses.neck", func(s *body.Spec) { s.Masses.Neck = -1 }},
		{"neck pickup", func(s *body.Spec) { s.Pickups[1].Name = "neck pickup"; s.WireHoles = nil }},
	} {
		s := bench()
		c.make(&s)
		_, err := body.Build(s)
		var field *body.FieldError
		if assert.ErrorAs(t, err, &field, c.field) {
			assert.Equal(t, c.field, field.Field)
			assert.NotEmpty(t, field.Is)
			assert.NotEmpty(t, field.Want)
		}
	}
}

func TestAllMistakesAreToldAtOnce(t *testing.T) {
	s := bench()
	s.Pickups[0].Kind, s.Bridge.Kind = "", "hinge"
	_, err := body.Build(s)
	assert.ErrorContains(t, err, "pickups[0].kind")
	assert.ErrorContains(t, err, "bridge.kind")
}

// A control cavity that follows the outline keeps its inset everywhere, and no
// corner is tighter than the router bit.
func TestCavityThatFollowsTheOutline(t *testing.T) {
	s := bench()
	s.Cavities[0] = body.Cavity{At: geom.Pt(80, 80), Length: 120, Width: 110, InsetFromEdge: 14, CornerRadius: 8, Depth: 30}
	s.Pots = nil
	s.WireHoles = s.WireHoles[:1]
	s.Bridge.Kind = body.NoBridge
	b, err := body.Build(s)
	require.NoError(t, err)
	f, _ := b.Feature("control cavity")
	room := f.Ring.Room(b.Ring)
	assert.InDelta(t, 14, room.Value, 0.03)
	_, crossing := f.Ring.SelfCrossing()
	assert.False(t, crossing)
	ledge, _ := b.Feature("control cavity ledge")
	assert.InDelta(t, 8, f.Ring.Room(ledge.Ring).Value, 0.03)
	// No sharp corners: every turn of the ring is a small one.
	for i, p := range f.Ring {
		in := p.Sub(f.Ring[(i+len(f.Ring)-1)%len(f.Ring)])
		on := f.Ring[(i+1)%len(f.Ring)].Sub(p)
		assert.Less(t, math.Abs(math.Atan2(in.Cross(on), in.Dot(on))), 0.3)
	}
}

// Whatever numbers a spec holds, Build answers with a body or with errors, and
// a body has no number that is none.
func FuzzBuild(f *testing.F) {
	f.Add(44.5, 648.0, 76.0, 16.0, 0.0, 150.0, 20.0, 62.0, 72.0, 100.0, 37.0, uint8(0))
	f.Add(10.0, 200.0, 10.0, 2.0, 0.19, 1.0, 9.0, -500.0, 0.0, 5.0, 1.0, uint8(3))
	f.Fuzz(func(t *testing.T, thick, scale, pocket, depth, angle, pickup, pickupDepth, u, v, long, cavity float64, kind uint8) {
		s := bench()
		s.Thickness, s.ScaleLength = thick, scale
		s.Neck.Length, s.Neck.Depth, s.Neck.Angle = pocket, depth, angle
		s.Pickups[0].FromSaddle, s.Pickups[0].Depth = pickup, pickupDepth
		s.Cavities[0].At, s.Cavities[0].Length, s.Cavities[0].Depth = geom.Pt(u, v), long, cavity
		s.Pots = nil
		s.Bridge.Kind = []body.BridgeKind{body.FlatMount, body.TwoPost, body.WrapOver, body.Vibrato, body.NoBridge}[kind%5]
		b, err := body.Build(s)
		if err != nil {
			return
		}
		r, err := b.NewReport(body.Setting{Wood: b.Uniform(600)})
		require.NoError(t, err)
		_, err = json.Marshal(r) // refuses NaN and infinities
		require.NoError(t, err)
	})
}

// Not one number of a spec may be NaN, infinite or absurd: each in turn is, and
// Build says so or lives with it, and never panics.
func TestEveryNumberOfASpecMayBeWrong(t *testing.T) {
	whole := func() body.Spec {
		s := bench()
		s.Pickups[1].Cover = body.Size{Length: 90, Width: 45}
		s.Bridge = body.Bridge{Kind: body.Vibrato, PostSpacing: 56}
		s.Switches = []body.Switch{{Kind: body.Blade, At: geom.Pt(60, 72)}}
		s.Channels = []body.Channel{{From: geom.Pt(-44, 0), To: geom.Pt(-120, 0)}}
		s.Batteries = []body.Battery{{At: geom.Pt(60, -80)}}
		s.StrapButtons = []body.StrapButton{{At: geom.Pt(150, 0)}, {At: geom.Pt(-270, -100)}}
		s.Guards = []body.Guard{{Ring: geom.Polygon{{X: -100, Y: 20}, {X: -50, Y: 20}, {X: -50, Y: 60}}}}
		s.Contours = []body.Contour{{Kind: body.BellyCut, At: geom.Pt(100, 0), Along: geom.V(0, -1)}}
		s.Masses.Other = []body.Mass{{Name: "weight", Grams: 10}}
		s.GroundWire = body.GroundWire{A: geom.Point3{X: 10}, B: geom.Point3{X: 40, Y: 45, Z: -20}}
		s.WireHoles[1].A, s.WireHoles[1].B = geom.Point3{X: -24, Z: -12}, geom.Point3{X: 43, Y: 42, Z: -33}
		return s
	}
	require.Greater(t, len(numbers(reflect.ValueOf(new(body.Spec)).Elem())), 90)
	s := whole()
	count := len(numbers(reflect.ValueOf(&s).Elem()))
	for _, bad := range []float64{math.NaN(), math.Inf(1), -1e300, -1} {
		for i := range count {
			s := whole()
			// Slices are shared with no other spec: bench makes them anew.
			numbers(reflect.ValueOf(&s).Elem())[i].SetFloat(bad)
			b, err := body.Build(s)
			if err != nil {
				assert.Less(t, len(err.Error()), 2000)
				continue
			}
			r, err := b.NewReport(body.Setting{Wood: b.Uniform(600)})
			require.NoError(t, err)
			_, err = json.Marshal(r)
			require.NoError(t, err, "number %d = %g", i, bad)
		}
	}
}

// numbers are all settable float64s within v.
func numbers(v reflect.Value) []reflect.Value {
	var out []reflect.Value
	switch v.Kind() {
	case reflect.Float64:
		return []reflect.Value{v}
	case reflect.Struct:
		for i := range v.NumField() {
			out = append(out, numbers(v.Field(i))...)
		}
	case reflect.Slice:
		for i := range v.Len() {
			out = append(out, numbers(v.Index(i))...)
		}
	}
	return out
}
