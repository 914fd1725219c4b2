package place_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// anySlab draws a slab of some strips, perhaps with transitions, chambers,
// a bowed profile and a tapered plan.
func anySlab(t *rapid.T) *slab.Slab {
	palette := []string{pale, brown, red, "#c9a26b", "#3b2a20", "#8a6f4e"}
	length := rapid.Float64Range(600, 1500).Draw(t, "length")
	s := &slab.Slab{Length: length}
	for i := range rapid.IntRange(3, 9).Draw(t, "strips") {
		p := strip(rapid.Float64Range(6, 70).Draw(t, "thickness"), rapid.SampledFrom(palette).Draw(t, "colour"))
		st := slab.Strip{Pieces: []slab.Piece{p}}
		if rapid.IntRange(0, 4).Draw(t, "change") == 0 {
			q := p
			q.Colour = rapid.SampledFrom(palette).Draw(t, "second colour")
			st.Pieces = append(st.Pieces, q)
			st.Transitions = []slab.Transition{{
				Kind:  rapid.SampledFrom([]slab.TransitionKind{slab.Square, slab.Diagonal, slab.Chevron}).Draw(t, "kind"),
				At:    rapid.Float64Range(0.4, 0.6).Draw(t, "at") * length,
				Angle: rapid.Float64Range(math.Pi/5, math.Pi/2.2).Draw(t, "angle"),
			}}
			if st.Transitions[0].Kind == slab.Square {
				st.Transitions[0].Angle = math.Pi / 2
			}
		}
		_ = i
		s.Strips = append(s.Strips, st)
	}
	w := s.Width() / 2
	taper := rapid.Float64Range(0.8, 1).Draw(t, "taper")
	s.Plan = slab.Plan{Stations: []slab.Station{{X: 0, Value: w * taper}, {X: length / 2, Value: w}, {X: length, Value: w * taper}}}
	bow := rapid.Float64Range(0, 6).Draw(t, "bow")
	s.Profile = slab.Profile{
		Top:    []slab.Station{{X: 0, Value: 60}, {X: length / 2, Value: 60 + bow}, {X: length, Value: 60}},
		Bottom: []slab.Station{{X: 0, Value: 0}, {X: length / 2, Value: bow}, {X: length, Value: 0}},
	}
	for i := range rapid.IntRange(0, 5).Draw(t, "chambers") {
		from := rapid.Float64Range(0, length-120).Draw(t, "from")
		k := rapid.IntRange(0, len(s.Strips)-1).Draw(t, "strip")
		s.Chambers = append(s.Chambers, slab.Chamber{Name: fmt.Sprint("chamber ", i+1), Strip: k, From: from,
			To: from + rapid.Float64Range(20, 110).Draw(t, "long"), TopSkin: 6, BottomSkin: 6, State: slab.Cut})
	}
	if rapid.Bool().Draw(t, "flaw") {
		s.Flaws = append(s.Flaws, slab.Flaw{Name: "knot", Kind: "knot", Radius: rapid.Float64Range(3, 12).Draw(t, "radius"),
			At: geom.Pt(rapid.Float64Range(0, length).Draw(t, "knot x"), rapid.Float64Range(-w, w).Draw(t, "knot y"))})
	}
	return s
}

// anyBody draws a body with a fretboard, a plate off the middle and posts.
func anyBody(t *rapid.T) *body.Body {
	b := plainBody(rapid.Float64Range(150, 320).Draw(t, "body length"), rapid.Float64Range(110, 230).Draw(t, "body width"),
		rapid.Float64Range(30, 44).Draw(t, "body thickness"), rapid.Float64Range(-0.2, 0.2).Draw(t, "lean"))
	b.Hidden = append(b.Hidden, body.Hidden{Name: "plate", Ring: geom.Regular(geom.Pt(20, 30), rapid.Float64Range(5, 15).Draw(t, "plate"), 24)})
	for i := range rapid.IntRange(0, 2).Draw(t, "posts") {
		b.KeepFromGlue = append(b.KeepFromGlue, body.Spot{Name: fmt.Sprint("post ", i+1), Radius: 2, Wanted: 5,
			At: geom.Pt(rapid.Float64Range(-50, 50).Draw(t, "post u"), rapid.Float64Range(-40, 40).Draw(t, "post v"))})
	}
	return b
}

func anyCase(t *rapid.T) *place.Case {
	s := anySlab(t)
	w := place.DefaultWish()
	w.WholeFront = rapid.Bool().Draw(t, "whole front")
	if rapid.Bool().Draw(t, "strip wish") {
		w.Strips = []place.StripWish{{Strip: rapid.IntRange(0, len(s.Strips)-1).Draw(t, "wished strip")}}
	}
	if rapid.Bool().Draw(t, "near") {
		w.NearX = &place.NearWish{Value: s.Length / 3}
	}
	if rapid.Bool().Draw(t, "grain") {
		w.Grain = &place.NearWish{Value: 0.2}
	}
	n := place.Need{Kerf: 3, Margin: rapid.Float64Range(0, 5).Draw(t, "margin"), Flatten: 1,
		GlueLine: rapid.SampledFrom([]float64{-100, 0}).Draw(t, "glue need")}
	c, err := place.NewCase(s, anyBody(t), n, w)
	require.NoError(t, err)
	return c
}

// roomy is the case with a level slab, and a body that will mostly fit.
func roomy(t *rapid.T, c *place.Case) *place.Case {
	s, b, n := *c.Slab, *c.Body, c.Need
	s.Profile = slab.Profile{
		Top:    []slab.Station{{X: 0, Value: 60}, {X: s.Length, Value: 60}},
		Bottom: []slab.Station{{X: 0, Value: 0}, {X: s.Length, Value: 0}},
	}
	b.Outline = plainBody(rapid.Float64Range(120, 250).Draw(t, "length"), 0.6*s.Width(), 30, 0.1).Outline
	b.Hidden, n.GlueLine = nil, -100
	c, err := place.NewCase(&s, &b, n, c.Wish)
	require.NoError(t, err)
	return c
}

func anyPlacement(t *rapid.T, c *place.Case) place.Placement {
	w := c.Slab.Width()
	return place.Placement{
		X:     rapid.Float64Range(0, c.Slab.Length).Draw(t, "x"),
		Y:     rapid.Float64Range(-w/2, w/2).Draw(t, "y"),
		Angle: rapid.SampledFrom([]float64{0, math.Pi, 0.3, -0.02, 1.4, 2.9}).Draw(t, "angle") + rapid.Float64Range(-0.05, 0.05).Draw(t, "turn"),
		Face:  rapid.SampledFrom([]place.Face{place.Top, place.Bottom}).Draw(t, "face"),
	}
}

// Placement's doc, as laws: the axes without tilt; right-handed always; Into
// undoes Apply; Plan agrees with Frame.
func TestPlacementAxes(t *testing.T) {
	a := 30 * math.Pi / 180
	c, s := math.Cos(a), math.Sin(a)
	top := place.Placement{Angle: a, Face: place.Top}.Frame()
	assert.InDeltaSlice(t, []float64{c, s, 0, -s, c, 0, 0, 0, 1}, axes(top), 1e-15)
	bottom := place.Placement{Angle: a, Face: place.Bottom}.Frame()
	assert.InDeltaSlice(t, []float64{c, s, 0, s, -c, 0, 0, 0, -1}, axes(bottom), 1e-15)

	dips := place.Placement{Pitch: 0.01, Face: place.Top}.Frame()
	assert.Negative(t, dips.Apply(100, 0, 0).Z, "a positive pitch dips the tail")
	rolls := place.Placement{Roll: 0.01, Face: place.Top}.Frame()
	assert.Positive(t, rolls.Apply(0, 100, 0).Z, "a positive roll lifts +v")

	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.Float64Range(-4, 4)
		p := place.Placement{X: 12, Y: -7, Height: 40, Angle: angle.Draw(t, "a"),
			Pitch: angle.Draw(t, "pitch") / 20, Roll: angle.Draw(t, "roll") / 20,
			Face: rapid.SampledFrom([]place.Face{place.Top, place.Bottom}).Draw(t, "face")}
		f := p.Frame()
		assert.InDelta(t, 1, f.U.Cross(f.V).Dot(f.W), 1e-12)
		u, v, w := f.Into(f.Apply(3, 5, -7))
		assert.InDeltaSlice(t, []float64{3, 5, -7}, []float64{u, v, w}, 1e-12)
		p.Pitch, p.Roll = 0, 0
		want := p.Frame().Apply(3, 5, 0).Plan()
		got := p.Plan().Apply(geom.Pt(3, 5))
		assert.InDelta(t, 0, want.Distance(got), 1e-12)
	})
}

func axes(f place.Frame) []float64 {
	return []float64{f.U.X, f.U.Y, f.U.Z, f.V.X, f.V.Y, f.V.Z, f.W.X, f.W.Y, f.W.Z}
}

// The fast score equals the slow twins.
func TestScoreEqualsItsSlowTwin(t *testing.T) {
	compared := 0
	defer func() { assert.Greater(t, compared, 10, "too few placements lay in their slab") }()
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase(t)
		p := c.Settle(anyPlacement(t, c))
		p.X, p.Y = c.Slab.Length/2, p.Y/8 // the twins stop at the slab's edge
		if c.Footprint(p).Room(c.Slab.Outline().Polygon(0.01)).Value < 1 {
			return
		}
		compared++
		s := c.Score(p)
		w := c.Wish.Weights
		half, seen := c.Areas()
		require.InDelta(t, slowSeen(t, c).Area(), seen, 1e-3)
		require.InDelta(t, seen/2, half, 1e-3)
		// The library snaps nothing; both work on the same polygon within
		// 0.05 mm, so only rounding is left. Half the front is compared.
		assert.InDelta(t, w.Mirror*slowMirror(t, c, p), s.Mirror, 1e-4, "mirror")
		const step = 0.2
		mean, worst := slowLines(t, c, p, step)
		// A line's ends are found within a step; the shortest line that
		// counts in full is 20 mm.
		assert.InDelta(t, w.LinesMean*mean, s.LinesMean, 0.05, "lines, mean")
		assert.InDelta(t, w.LinesWorst*worst, s.LinesWorst, 0.1, "lines, worst")
	})
}

// What is said of a range holds for every placement in it: none scores less
// than the bound, none is allowed in an impossible range, all are clear in a
// clear one.
func TestRangesTellTheTruth(t *testing.T) {
	t.Run("flat", func(t *testing.T) { rapid.Check(t, rangesTellTheTruth(anyCase, anyPlacement, map[string]int{})) })
	t.Run("carved", func(t *testing.T) {
		met := map[string]int{}
		rapid.Check(t, rangesTellTheTruth(carvedCase, middling, met))
		t.Log(met)
		assert.Greater(t, met["refused"], 10)
		assert.Greater(t, met["allowed"], 10)
	})
}

func rangesTellTheTruth(anyCase func(*rapid.T) *place.Case, anyPlacement func(*rapid.T, *place.Case) place.Placement, met map[string]int) func(*rapid.T) {
	return func(t *rapid.T) {
		c := anyCase(t)
		scale := math.Exp(rapid.Float64Range(math.Log(0.01), math.Log(60)).Draw(t, "log size"))
		r := c.Around(anyPlacement(t, c), scale*rapid.Float64Range(0, 4).Draw(t, "hx"),
			scale*rapid.Float64Range(0, 1).Draw(t, "hy"), scale*rapid.Float64Range(0, 1).Draw(t, "ha")/150)
		// With the help of tables, as far as is enough; and without.
		enough := rapid.Float64Range(0.5, 1.1).Draw(t, "enough") * c.Score(r.Inside(c, 0, 0, 0)).Total
		bound := max(c.Lower(r), c.LowerTo(r, enough))
		possible, clear := c.Possible(r)
		fraction := rapid.OneOf(rapid.Float64Range(-1, 1), rapid.SampledFrom([]float64{-1, 1}))
		for range 12 {
			p := r.Inside(c, fraction.Draw(t, "fx"), fraction.Draw(t, "fy"), fraction.Draw(t, "fa"))
			p = c.Settle(p)
			if c.ClearInPlan(p) { // bounds speak of bodies in the slab
				assert.GreaterOrEqual(t, c.Score(p).Total, bound, "score under its bound at %+v in %+v:\n%+v\n%+v", p, r, c.Score(p), c.Terms(r))
			}
			other := p
			other.Height += rapid.Float64Range(-2, 2).Draw(t, "higher")
			for _, p := range []place.Placement{p, other} {
				if c.Allowed(p) {
					met["allowed"]++
					assert.True(t, possible, "allowed in an impossible range: %+v in %+v", p, r)
				}
			}
			if clear {
				assert.True(t, c.ClearInPlan(p), "not clear in a clear range: %+v in %+v", p, r)
			}
		}
		if !possible {
			met["refused"]++
		}
	}
}

// Allowed is Check without the words.
func TestAllowedMeansThatChecksPass(t *testing.T) {
	t.Run("flat", func(t *testing.T) { allowedMeansThatChecksPass(t, anyCase) })
	t.Run("carved", func(t *testing.T) { allowedMeansThatChecksPass(t, carvedCase) })
}

func allowedMeansThatChecksPass(t *testing.T, anyCase func(*rapid.T) *place.Case) {
	both := map[bool]int{}
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase(t)
		p := c.Settle(middling(t, c))
		ofBody := map[string]bool{}
		for _, k := range c.Body.Check() {
			ofBody[k.Name] = true
		}
		ok := true
		for _, k := range c.Check(p).Checks {
			ok = ok && (k.OK || ofBody[k.Name])
		}
		both[ok]++
		assert.Equal(t, ok, c.Allowed(p), "%+v", c.Check(p))
	})
	assert.NotZero(t, both[true], "no allowed placement was drawn")
	assert.NotZero(t, both[false], "no forbidden placement was drawn")
}

// The field's answers equal those of all edges asked one by one.
func TestFieldEqualsAllEdges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		outer := waisted(rapid.Float64Range(80, 400).Draw(t, "length"), rapid.Float64Range(60, 200).Draw(t, "width"), 0.15).Polygon(0.05)
		var holes []geom.Convex
		for range rapid.IntRange(0, 3).Draw(t, "holes") {
			holes = append(holes, geom.Convex(geom.Regular(geom.Pt(rapid.Float64Range(-60, 60).Draw(t, "hx"), rapid.Float64Range(-30, 30).Draw(t, "hy")),
				rapid.Float64Range(2, 20).Draw(t, "hr"), 5)))
		}
		depth, segment, bounds := place.FieldDepth(outer, holes, rapid.Float64Range(2, 12).Draw(t, "step"), 3)
		rings := []geom.Polygon{outer}
		for _, h := range holes {
			rings = append(rings, geom.Polygon(h))
		}
		for range 20 {
			p := geom.Pt(rapid.Float64Range(-220, 220).Draw(t, "x"), rapid.Float64Range(-120, 120).Draw(t, "y"))
			want, free := math.Inf(1), outer.Locate(p) != geom.Outside
			for i, r := range rings {
				d, _ := r.BoundaryDistance(p)
				want = min(want, d)
				free = free && (i == 0 || r.Locate(p) == geom.Outside)
			}
			if !free {
				want = -want
			}
			assert.InDelta(t, want, depth(p), 1e-9)
			lo, hi := bounds(p)
			if !math.IsInf(lo, -1) {
				assert.LessOrEqual(t, lo, want+1e-9)
				assert.GreaterOrEqual(t, hi, want-1e-9)
			}
			q := p.Add(geom.Polar(rapid.Float64Range(0, 3).Draw(t, "long"), rapid.Float64Range(0, 7).Draw(t, "way")))
			gap := math.Inf(1)
			for _, r := range rings {
				for i, a := range r {
					d, _, _ := geom.SegmentSegment(p, q, a, r[(i+1)%len(r)])
					gap = min(gap, d)
				}
			}
			if !math.IsInf(lo, -1) {
				assert.InDelta(t, gap, segment(p, q), 1e-9)
			}
		}
	})
}

// The verdict's fast distances equal those of all edges against all edges.
func TestVerdictEqualsItsSlowTwin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyCase(t)
		for i, b := range []geom.Polygon{geom.Regular(geom.Pt(-20, 10), 15, 16), geom.Box{Min: geom.Pt(10, -40), Max: geom.Pt(50, -10)}.Polygon()} {
			c.Body.Solid = append(c.Body.Solid, body.Zone{Name: fmt.Sprint("zone ", i+1), Ring: b, WTop: 0, WBottom: -c.Body.Thickness})
		}
		c, err := place.NewCase(c.Slab, c.Body, c.Need, c.Wish)
		require.NoError(t, err)
		p := c.Settle(anyPlacement(t, c))
		f := p.Frame()
		foot := c.Footprint(p)
		low, high := f.Apply(0, 0, 0).Z, f.Apply(0, 0, -c.Body.Thickness).Z
		low, high = min(low, high), max(high, low)
		outline := c.Slab.Outline().FlattenInside(place.Exact)
		gap := func(g geom.Polygon) float64 {
			d := math.Inf(1)
			for _, o := range c.Slab.Obstacles() {
				if o.WholeThrough || o.Top > low && o.Bottom < high {
					d = min(d, g.Gap(geom.Polygon(o.Region)).Value)
				}
			}
			return d
		}
		for _, k := range c.Check(p).Checks {
			switch k.Name {
			case "outline in the slab":
				if want := foot.Room(outline).Value; want > 0 || k.Margin > 0 {
					assert.InDelta(t, want, k.Margin, 1e-9)
				}
			case "solid wood under the footprint":
				if k.Measured {
					assert.InDelta(t, gap(foot), k.Margin, 1e-9)
				}
			case "solid wood zone 1", "solid wood zone 2":
				z := c.Body.Solid[0]
				if k.Name == "solid wood zone 2" {
					z = c.Body.Solid[1]
				}
				if slices.ContainsFunc(z.Ring, func(q geom.Point) bool { return c.Front().Locate(q) == geom.Outside }) {
					continue // only what of the zone lies in the body is asked for
				}
				g := f.Project(z.Ring, 0)
				if want := min(g.Room(outline).Value, gap(g)); want > 0 || k.Margin > 0 {
					assert.InDelta(t, want, k.Margin, 1e-9, k.Name)
				}
			}
		}
	})
}
