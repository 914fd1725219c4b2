package body_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret/measure"
)

func failed(t require.TestingT, s body.Spec) []body.Check {
	b, err := body.Build(s)
	require.NoError(t, err)
	var out []body.Check
	for _, c := range b.Check() {
		require.False(t, math.IsNaN(c.Margin), c.Name)
		if !c.OK {
			out = append(out, c)
		}
	}
	return out
}

func TestABodyAsItShouldBePassesAllChecks(t *testing.T) {
	assert.Empty(t, failed(t, bench()))
}

// Where the bridge stands on posts or studs, the ground wire's hole begins in the
// one on the cavity's side, opens fully into both, and a drill reaches it.
func TestTheGroundWireHoleCanBeDrilled(t *testing.T) {
	for _, hand := range []outline.Hand{outline.RightHanded, outline.LeftHanded} {
		for kind, stud := range map[body.BridgeKind]string{body.TwoPost: "tailpiece stud, treble", body.WrapOver: "bridge stud, treble"} {
			s := bench()
			s.Hand, s.Bridge = hand, body.Bridge{Kind: kind}
			s.Cavities[0].At = geom.Pt(72, 84) // clear of the studs
			s.Pots = nil
			b, err := body.Build(s)
			require.NoError(t, err)
			told := map[string]bool{}
			for _, c := range b.Check() {
				told[c.Name] = c.OK
			}
			for _, name := range []string{"can be drilled", "opens into " + stud, "opens into control cavity"} {
				assert.True(t, told["ground wire hole "+name], "%s, %s: %s", hand, kind, name)
			}
			h, ok := b.Hole("ground wire hole")
			require.True(t, ok)
			post, ok := b.Hole(stud)
			require.True(t, ok)
			enter := math.Min(h.A.Plan().Distance(post.A.Plan()), h.B.Plan().Distance(post.A.Plan()))
			assert.InDelta(t, post.Diameter/2, enter, 0.02, "it begins at the stud's wall")
		}
	}
}

// One conflict planted for each kind of cavity and hole. The margins are worked
// out by hand beside each.
func TestPlantedConflictsAreFoundAndNamed(t *testing.T) {
	planted := map[string]bool{} // the checks that failed
	kinds := map[string]body.Kind{}
	for _, c := range []struct {
		what   string
		plant  func(*body.Spec)
		want   string
		margin float64
	}{
		{"a pocket as deep as the body nearly is", func(s *body.Spec) { s.Neck.Depth = 33 },
			"neck pocket floor", 44.5 - 33},
		{"screw heads sunk far into the back", func(s *body.Spec) { s.Neck.HeadDepth = 20 },
			"neck pocket floor", 44.5 - 16 - 20},
		{"a neck plate let in as well", func(s *body.Spec) { s.Neck.BackPlateInset = 16 },
			"neck pocket floor", 44.5 - 16 - 16},
		{"a pickup through most of the wood", func(s *body.Spec) { s.Pickups[0].Depth = 41 },
			"neck pickup floor", 3.5},
		{"a pickup over the pocket's end", func(s *body.Spec) { s.Pickups[0].FromSaddle = 180 },
			// pocket ends 0.1 past −257.159 + 76; the cavity begins 15.5 before −180
			"neck pocket to neck pickup", -(195.5 - 181.059)},
		{"two pickups without a web", func(s *body.Spec) { s.Pickups[1].FromSaddle = 112.5 },
			// 150 − 15.5 and 112.5 + 20
			"neck pickup to bridge pickup", 2},
		{"deep ears over a battery", func(s *body.Spec) {
			s.Pickups[1].EarDepth = 26
			s.Batteries = []body.Battery{{At: geom.Pt(-44, 0), Depth: 17}}
			s.WireHoles = nil
		}, "bridge pickup ears to battery cavity", 44.5 - 26 - 17},
		{"a control cavity that comes out of the front", func(s *body.Spec) { s.Cavities[0].Depth = 43 },
			"control cavity top", 1.5},
		{"a control cavity near the side", func(s *body.Spec) { s.Cavities[0].At.X = 94; s.Pots = s.Pots[1:] },
			"control cavity ledge wall", math.NaN()},
		{"a channel under the control cavity's floor", func(s *body.Spec) {
			s.Cavities[0].Depth = 30
			s.Channels = []body.Channel{{From: geom.Pt(62, 60), To: geom.Pt(62, 90), Depth: 13}}
			s.Pots = nil
		}, "control cavity to channel 1", 44.5 - 30 - 13},
		{"a battery at the tail's edge", func(s *body.Spec) { s.Batteries = []body.Battery{{At: geom.Pt(120.841, 0)}} },
			// its end lies 4 mm from the tail, its round corners a little nearer the curved side
			"battery cavity wall", math.NaN()},
		{"a vibrato's springs under a deep neck pickup", func(s *body.Spec) {
			s.Bridge.Kind = body.Vibrato
			s.Bridge.SpringLength = 150
			s.Pickups[1].Depth, s.Pickups[1].EarDepth = 22, 27
		}, "bridge pickup ears to spring cavity", 44.5 - 16 - 27},
		{"a block cavity that runs into the pickup", func(s *body.Spec) {
			s.Bridge = body.Bridge{Kind: body.Vibrato, BlockBehind: -14}
			s.Pickups[1].FromSaddle = 44
		}, "bridge pickup to vibrato block cavity", math.NaN()},
		{"a tailpiece stud over the control cavity", func(s *body.Spec) {
			s.Bridge = body.Bridge{Kind: body.TwoPost, StudSpacing: 120}
		}, "tailpiece stud, treble to control cavity", math.NaN()},
		{"a post right through", func(s *body.Spec) { s.Bridge = body.Bridge{Kind: body.TwoPost, PostDepth: 42.5} },
			"bridge post, treble end", 2},
		{"pivots down to the springs", func(s *body.Spec) {
			s.Bridge = body.Bridge{Kind: body.Vibrato, PostDepth: 27}
		}, "pivot post, treble to spring cavity", 44.5 - 16 - 27},
		{"a stud beside a post", func(s *body.Spec) {
			s.Bridge = body.Bridge{Kind: body.TwoPost, StudBehind: 12, StudSpacing: 74, Slant: 0.001}
		}, "bridge post, treble to tailpiece stud, treble", 12 - (8+11.3)/2},
		{"string holes under the pickup", func(s *body.Spec) {
			s.Bridge = body.Bridge{StringThrough: true, SaddleSetback: -20, StringBehind: 3}
			s.Pickups[1].FromSaddle = 33
			s.WireHoles = nil
		}, "string hole 3 to bridge pickup", math.NaN()},
		{"a jack through both faces", func(s *body.Spec) { s.Jack.Diameter = 40 },
			"jack to front", 44.5/2 - 20},
		{"a jack too high for its cavity", func(s *body.Spec) { s.Jack.W = -14 },
			// the cavity begins at −7.5; the hole's top is at −14 + 11
			"jack opens into control cavity", -7.5 + 14 - 11},
		{"a strap screw into the jack's cavity", func(s *body.Spec) {
			s.StrapButtons = []body.StrapButton{{At: geom.Pt(150, 0)}, {At: geom.Pt(62, 140), PilotDep: 40}}
		}, "horn button to control cavity", math.NaN()},
		{"a wire hole out of the front", func(s *body.Spec) {
			s.WireHoles[1].A, s.WireHoles[1].B = geom.Point3{X: -24, Y: 0, Z: -4}, geom.Point3{X: 43, Y: 42, Z: -12}
		}, "control wires to front", math.NaN()},
		{"a wire hole that ends in wood", func(s *body.Spec) {
			s.WireHoles[1].A, s.WireHoles[1].B = geom.Point3{X: -24, Y: 10, Z: -12}, geom.Point3{X: 8, Y: 72, Z: -25}
		}, "control wires opens into control cavity", -4},
		{"a wire hole through a post", func(s *body.Spec) {
			s.Bridge = body.Bridge{Kind: body.WrapOver, PostSpacing: 82}
			s.WireHoles[1].A, s.WireHoles[1].B = geom.Point3{X: -24, Y: 40.9, Z: -12}, geom.Point3{X: 12, Y: 50, Z: -20}
		}, "bridge stud, treble to control wires", math.NaN()},
		{"a wire hole that no straight drill reaches", func(s *body.Spec) {
			s.WireHoles[0] = body.WireHole{Name: "pickup wires", From: "neck pickup", To: "bridge pickup",
				A: geom.Point3{X: -134.5, Z: -12}, B: geom.Point3{X: -64, Z: -12}}
		}, "pickup wires can be drilled", -15},
		{"a ground wire hole through a screw", func(s *body.Spec) {
			s.GroundWire = body.GroundWire{A: geom.Point3{X: 29.5, Y: 20, Z: 0}, B: geom.Point3{X: 29.5, Y: 42, Z: -18}}
		}, "bridge screw 4 to ground wire hole", math.NaN()},
		{"a level ground wire hole out of a stud's hole", func(s *body.Spec) {
			s.Bridge = body.Bridge{Kind: body.WrapOver, PostSpacing: 82}
			// a drill level at −15 would have to come through the stud's wall 15 mm under
			// its rim, or through the cavity's 29.5 mm over the back; its radius is 1.5
			s.GroundWire = body.GroundWire{A: geom.Point3{X: 6.5, Y: 41, Z: -15}, B: geom.Point3{X: 30, Y: 50, Z: -15}}
		}, "ground wire hole can be drilled", -15 - 1.5},
		{"a pot too near the cavity's wall", func(s *body.Spec) { s.Pots[0].At = geom.Pt(23, 72) },
			// the wall at 62 − 50 = 12, the can's radius 12
			"pot 1 in control cavity", -1},
		{"two pots in one place", func(s *body.Spec) { s.Pots[1].At = geom.Pt(60, 72) },
			"pot 1 to pot 2", 23 - 24},
		{"too much wood for the pot's bush", func(s *body.Spec) { s.Pots[0].BushLength = 5 },
			"pot 1 bush", 5 - 7.5},
		{"a bevel under the bridge pickup", func(s *body.Spec) {
			s.Contours = []body.Contour{{Kind: body.ForearmBevel, At: geom.Pt(-60, 0), Along: geom.V(0, -1), Depth: 5, Reach: 50}}
		}, "bridge pickup on a flat front", math.NaN()},
		{"a belly cut over the pocket", func(s *body.Spec) {
			s.Contours = []body.Contour{{Kind: body.BellyCut, At: geom.Pt(-181.059, 0), Along: geom.V(0, 1), Depth: 20, Reach: 100}}
		}, "neck pocket floor", math.NaN()},
		{"a bevel over a belly cut", func(s *body.Spec) {
			// they fall by 0.38 and 0.4 from v = −80 on, and the outline reaches beyond v = −130
			s.Contours = []body.Contour{
				{Kind: body.ForearmBevel, At: geom.Pt(0, -80), Along: geom.V(-1, 0), Depth: 38, Reach: 100},
				{Kind: body.BellyCut, At: geom.Pt(0, -80), Along: geom.V(-1, 0), Depth: 40, Reach: 100},
			}
		}, "between the contours", math.NaN()},
		{"edges that meet where the body is carved thin", func(s *body.Spec) {
			s.Edges = body.Edges{FrontRadius: 12, BackRadius: 10}
			s.Contours = []body.Contour{{Kind: body.ForearmBevel, At: geom.Pt(0, -80), Along: geom.V(-1, 0), Depth: 38, Reach: 80}}
		}, "side between the edges", math.NaN()},
		{"an edge rounded into the ledge", func(s *body.Spec) { s.Edges.BackRadius = 10 },
			"control cavity ledge to edge rounding", math.NaN()},
		{"a pot in the switch's slot", func(s *body.Spec) {
			s.Pots = s.Pots[:1]
			s.Switches = []body.Switch{{Kind: body.Blade, At: geom.Pt(55, 72)}}
			// the slot begins 14 before 55, the hole ends 5 after 37
		}, "pot 1 to switch slot", -1},
		{"a switch beside a pot", func(s *body.Spec) { s.Switches = []body.Switch{{At: geom.Pt(50, 72)}} },
			"pot 1 to switch", math.NaN()},
		{"a neck screw in a wire's way", func(s *body.Spec) {
			s.WireHoles[0].A, s.WireHoles[0].B = geom.Point3{X: -252, Y: 16, Z: -12}, geom.Point3{X: -60, Y: 16, Z: -18}
		}, "neck screw 1 to pickup wires", math.NaN()},
		{"a battery behind the neck plate", func(s *body.Spec) {
			s.Neck.BackPlateInset = 2
			s.Batteries = []body.Battery{{At: geom.Pt(-178, 0), Depth: 12}}
		}, "neck plate recess to battery cavity", math.NaN()},
		{"ferrules over the control cavity", func(s *body.Spec) {
			s.Bridge = body.Bridge{StringThrough: true}
			s.Cavities[0].At.Y = 52
			s.Pots = nil
		}, "string ferrule 1 to control cavity", math.NaN()},
		{"claw screws into a battery", func(s *body.Spec) {
			s.Bridge = body.Bridge{Kind: body.Vibrato}
			s.Batteries = []body.Battery{{At: geom.Pt(-95, 8)}}
		}, "claw screw, treble to battery cavity", math.NaN()},
		{"an arch that thins the control cavity's top", func(s *body.Spec) {
			s.Contours = []body.Contour{{Kind: body.ArchedTop, RadiusAcross: 900}}
			// the cavity reaches v = 102, where the arch has fallen 102²/1800 and
			// slopes by 102/900; 7.5 mm were over it
		}, "control cavity top", (7.5 - 102*102/1800.) / math.Hypot(1, 102/900.)},
		{"an arch that takes a cover's ledge", func(s *body.Spec) {
			s.Cavities = append(s.Cavities, body.Cavity{Name: "switch well", Face: body.Front, At: geom.Pt(20, -90), Length: 40, Width: 40, Depth: 30})
			s.Contours = []body.Contour{{Kind: body.ArchedTop, RadiusAcross: 1500}}
			// its ledge, 2.5 deep, reaches v = −118
		}, "switch well ledge after carving", 2.5 - 118*118/3000.},
		{"a short post in an arch", func(s *body.Spec) {
			s.Bridge = body.Bridge{Kind: body.TwoPost, PostDepth: 3}
			s.Contours = []body.Contour{{Kind: body.ArchedTop, RadiusAcross: 350}}
		}, "bridge post, treble after carving", 3 - 37*37/700.},
		{"a flat plate on an arch", func(s *body.Spec) { s.Contours = []body.Contour{{Kind: body.ArchedTop, RadiusAcross: 350}} },
			"bridge on the arched top", math.NaN()},
		{"a belly cut that thins a pickup's floor", func(s *body.Spec) {
			s.Pickups[0].Depth = 36
			s.Contours = []body.Contour{{Kind: body.BellyCut, At: geom.Pt(-100, 0), Along: geom.V(0, 1), Depth: 10, Reach: 100}}
			// it begins at u = −100; the cavity's far side lies 15.5 beyond −150
		}, "neck pickup floor", (44.5 - 36 - 6.55) / math.Hypot(1, 0.1)},
		{"a channel that nothing covers", func(s *body.Spec) {
			s.Channels = []body.Channel{{From: geom.Pt(-60, 60), To: geom.Pt(-20, 80), Width: 8}}
			// all of it: the axis and its round ends
		}, "channel 1 under a cover", -(math.Hypot(40, 20)*8 + math.Pi*16) / 8},
		{"an outline tighter than the bit", func(s *body.Spec) { s.Limits.RouterBit = 99 },
			"outline to router bit", math.NaN()},
	} {
		t.Run(c.what, func(t *testing.T) {
			s := bench()
			c.plant(&s)
			b, err := body.Build(s)
			require.NoError(t, err)
			for _, f := range b.Features {
				kinds[f.Name] = f.Kind
			}
			for _, h := range b.Holes {
				kinds[h.Name] = h.Kind
			}
			var names []string
			for _, f := range failed(t, s) {
				names = append(names, f.Name)
				planted[f.Name] = true
				if f.Name == c.want {
					if !math.IsNaN(c.margin) {
						assert.InDelta(t, c.margin, f.Margin, 0.02)
					}
					assert.Less(t, f.Margin, f.Need)
					assert.NotEmpty(t, f.Message)
					return
				}
			}
			t.Errorf("%q was not found; found: %s", c.want, strings.Join(names, "; "))
		})
	}
	// Every kind of cavity and hole was in trouble once, by name.
	for _, k := range []body.Kind{body.KindPocket, body.KindPickup, body.KindEars, body.KindControl, body.KindLedge, body.KindBlock, body.KindSprings,
		body.KindChannel, body.KindBattery, body.KindSlot, body.KindRecess, body.KindNeckHole, body.KindPost, body.KindStud, body.KindScrew,
		body.KindString, body.KindFerrule, body.KindPot, body.KindSwitch, body.KindJack, body.KindWire, body.KindGround, body.KindStrap} {
		found := false
		for check := range planted {
			for name, of := range kinds {
				found = found || of == k && (strings.HasPrefix(check, name+" ") || strings.HasSuffix(check, " "+name))
			}
		}
		assert.True(t, found, "no conflict of a %s was planted", k)
	}
}

// In a project written in inches nothing speaks of millimetres.
func TestWordsAreInTheBodysUnit(t *testing.T) {
	s := bench()
	s.Unit = measure.Inches
	s.Neck.Angle = 0.02
	s.Cavities[0].Depth = 43 // breaks through the front's need
	b, err := body.Build(s)
	require.NoError(t, err)
	var words []string
	for _, f := range b.Features {
		words = append(words, f.Note)
	}
	for _, h := range b.Holes {
		words = append(words, h.Note)
	}
	r, err := b.NewReport(body.Setting{Wood: b.Uniform(550)})
	require.NoError(t, err)
	for _, c := range r.Checks {
		words = append(words, c.Message)
	}
	for _, w := range r.WhatIfs {
		words = append(words, w.Change)
	}
	_, err = b.Hang(geom.Point3{}, body.Strap{Length: 100})
	words = append(words, err.Error())
	s.Thickness, s.Neck.Depth, s.Jack = 5, 600, body.Jack{Face: body.Back, At: geom.Pt(900, 0)}
	_, err = body.Build(s)
	words = append(words, err.Error())
	for _, w := range words {
		assert.NotContains(t, w, "mm")
	}
	assert.Contains(t, words, "0.0591 in of wood over the control cavity") // 44.5 − 43 mm
	assert.Contains(t, words, "horn button 1 in toward the nut")
	assert.Contains(t, words, "the outline's tightest inward curve has a radius of "+measure.Length(*r.SmallestInside).Format(measure.Inches))
}

// A left-handed body is the right-handed one in a mirror: same weight, same
// balance, same checks, at mirrored places.
func TestLeftHandedIsTheMirrorImage(t *testing.T) {
	s := bench()
	s.Contours = []body.Contour{{Kind: body.ForearmBevel, At: geom.Pt(90, -70), Along: geom.V(-1, 0.3), Depth: 12, Reach: 60}}
	s.Edges.FrontRadius = 5
	right, err := body.Build(s)
	require.NoError(t, err)
	s.Hand = outline.LeftHanded
	left, err := body.Build(s)
	require.NoError(t, err)
	a, err := right.NewReport(body.Setting{Wood: right.Uniform(550)})
	require.NoError(t, err)
	b, err := left.NewReport(body.Setting{Wood: left.Uniform(550)})
	require.NoError(t, err)
	assert.InDelta(t, a.Mass, b.Mass, 1e-9)
	assert.InDelta(t, a.CG[0], b.CG[0], 1e-6)
	assert.InDelta(t, a.CG[1], -b.CG[1], 1e-6)
	assert.InDelta(t, *a.HangAngle, *b.HangAngle, 1e-6)
	require.Len(t, b.Checks, len(a.Checks))
	for i, c := range a.Checks {
		assert.Equal(t, c.Name, b.Checks[i].Name)
		assert.Equal(t, c.OK, b.Checks[i].OK, c.Name)
		assert.InDelta(t, c.Margin, b.Checks[i].Margin, 1e-6, c.Name)
	}
	for i, h := range right.Holes {
		assert.Equal(t, geom.Point3{X: h.A.X, Y: -h.A.Y, Z: h.A.Z}, left.Holes[i].A)
	}
	assert.Positive(t, left.Outline.Area())
	for _, f := range left.Features {
		assert.Positive(t, f.Ring.Area(), f.Name)
	}
}

// The distance between two drilled lines, against trying all pairs of places.
func TestSegmentDistanceAgreesWithTryingEverything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func() float64 { return float64(rapid.IntRange(-20, 20).Draw(t, "x")) }
		p := func() geom.Point3 { return geom.Point3{X: f(), Y: f(), Z: f()} }
		a, b, c, d := p(), p(), p(), p()
		got, on := body.SegmentDistance(a, b, c, d)
		best := math.Inf(1)
		const n = 60
		for i := range n + 1 {
			for j := range n + 1 {
				x := a.Add(b.Sub(a).Mul(float64(i) / n))
				y := c.Add(d.Sub(c).Mul(float64(j) / n))
				best = math.Min(best, x.Distance(y))
			}
		}
		assert.LessOrEqual(t, got, best+1e-9)
		assert.GreaterOrEqual(t, got, best-(a.Distance(b)+c.Distance(d))/n)
		// on lies on the first segment, and at the told distance from the second
		back, _ := body.SegmentDistance(on, on, c, d)
		assert.InDelta(t, got, back, 1e-9)
		same, _ := body.SegmentDistance(c, d, b, a)
		assert.InDelta(t, got, same, 1e-9)
	})
}

// What is said of depths under a carved face: counted before carving, with what
// is left after it.
func TestCarvedDepths(t *testing.T) {
	s := bench()
	s.Contours = []body.Contour{{Kind: body.ArchedTop, RadiusAcross: 1000}}
	b, err := body.Build(s)
	require.NoError(t, err)
	f, _ := b.Feature("neck pickup")
	half := f.Ring.Bounds().Max.Y
	least, most := b.CarvedDepth(f)
	assert.InDelta(t, 20-half*half/2000, least, 1e-9)
	assert.InDelta(t, 20, most, 0.01)
	assert.Contains(t, f.Note, "20 mm deep from the front before it is carved, ")
	back, _ := b.Feature("control cavity")
	least, most = b.CarvedDepth(back)
	assert.Equal(t, [2]float64{}, [2]float64{least, most})
	assert.Equal(t, "37 mm deep from the back", back.Note)

	// A pot's bush passes the wood that the arch leaves: 7.5 mm less 72²/2000.
	for _, c := range b.Check() {
		if c.Name == "pot 1 bush" {
			assert.InDelta(t, 9-(7.5-72*72/2000.), c.Margin, 1e-9)
		}
	}
}

// A channel under a guard, between two cavities, or under a plug is no trouble.
func TestCoveredChannels(t *testing.T) {
	for _, cover := range []func(*body.Spec){
		func(s *body.Spec) {
			s.Guards = []body.Guard{{Ring: geom.Bounds(geom.Pt(-75, 50), geom.Pt(-10, 95)).Polygon()}}
		},
		func(s *body.Spec) { s.Channels[0].Covered = true },
	} {
		s := bench()
		s.Channels = []body.Channel{{From: geom.Pt(-60, 60), To: geom.Pt(-20, 80)}}
		cover(&s)
		assert.Empty(t, failed(t, s))
	}
	s := bench()
	s.Channels = []body.Channel{{From: geom.Pt(-44, 0), To: geom.Pt(-150, 0)}}
	for _, c := range failed(t, s) {
		assert.Equal(t, "channel 1 under a cover", c.Name)
		// From the bridge pickup's cover to the neck pickup's.
		assert.InDelta(t, -68, c.Margin, 1)
		assert.Contains(t, c.Message, "lies open to the front")
	}
}
