package proof_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/place/proof"
	"slabwright/layout/slab"
)

// bent gives the slab faces along arcs about one centre, thick mm apart, at the
// top of their bow where x = at.
func bent(s *slab.Slab, radius, at, thick float64) {
	s.Profile = slab.Profile{}
	for x := 0.0; x <= s.Length; x += s.Length / 14 {
		z := func(r float64) float64 { return math.Copysign(math.Sqrt(r*r-(x-at)*(x-at)), radius) - radius + 200 }
		s.Profile.Bottom = append(s.Profile.Bottom, slab.Station{X: x, Value: z(radius)})
		s.Profile.Top = append(s.Profile.Top, slab.Station{X: x, Value: z(radius + thick)})
	}
}

// tiltedCase is the small case in a slab so bent that the body must lie tilted
// where it is wished.
func tiltedCase(t require.TestingT, thick float64, change func(*slab.Slab, *place.Wish)) *place.Case {
	return bentCase(t, thick, func(s *slab.Slab, _ *body.Body, w *place.Wish) {
		if change != nil {
			change(s, w)
		}
	})
}

// bentCase is the same of another body, perhaps.
func bentCase(t require.TestingT, thick float64, change func(*slab.Slab, *body.Body, *place.Wish)) *place.Case {
	return smallCase(t, func(s *slab.Slab, b *body.Body, _ *place.Need, w *place.Wish) {
		s.Length, s.Chambers, s.Strips = 420, nil, s.Strips[:5]
		s.Strips[1] = strip(40, brown)
		bent(s, 1200, 50, thick)
		w.Angles = &[2]float64{-0.003, 0.003}
		w.NearX = &place.NearWish{Value: 240, Must: true, Tolerance: 10}
		change(s, b, w)
	})
}

// tiltedProof is the certificate of a search that must tilt the body, which speaks of
// tilted bodies and holds; and a range in it that is done with by the score of bodies
// tilted as its plots are.
func tiltedProof(t *testing.T, c *place.Case) (good *place.Certificate, byPlots int) {
	good = certify(t, c, place.Options{})
	require.NotNil(t, good.Best)
	require.False(t, good.Best.Placement().Level())
	r, err := proof.Verify(c, through(t, good))
	require.NoError(t, err)
	assert.True(t, r.Tilted && !r.AllLevel)
	assert.Zero(t, r.Open)
	assert.Less(t, r.Gap, 0.005*max(1, good.Best.Score)+1e-9)
	byPlots = slices.IndexFunc(good.Ranges, func(p place.Proved) bool { return p.Reason == place.ByScore && len(p.Plots) > 0 })
	require.GreaterOrEqual(t, byPlots, 0)
	return good, byPlots
}

// A proof that speaks of tilted bodies is refused when it is corrupted.
func TestCertificateOfATiltedBody(t *testing.T) {
	c := tiltedCase(t, 56, nil)
	good, byPlots := tiltedProof(t, c)
	byEdge := reasoned(t, good, place.ByEdge)
	refuses(t, c, good, map[string]corruption{
		"a plot's pitch changed": {func(x *place.Certificate) { x.Ranges[byPlots].Plots[0].Pitch += 1e-4 }, "the bodies of a plot are said to be tilted"},
		"a plot's roll changed":  {func(x *place.Certificate) { x.Ranges[byPlots].Plots[0].Roll -= 1e-4 }, "the bodies of a plot are said to be tilted"},
		"a plot of no angle":     {func(x *place.Certificate) { x.Ranges[byPlots].Plots[0].Pitch = math.NaN() }, "the bodies of a plot are said to be tilted"},
		"all plots left out": {func(x *place.Certificate) {
			for i := range x.Ranges {
				x.Ranges[i].Plots = nil
			}
		}, "line"},
		"another range's plots": {func(x *place.Certificate) {
			for i := range x.Ranges {
				x.Ranges[i].Plots = x.Ranges[byPlots].Plots[:1]
			}
		}, "line"},
		"a range left out":      {func(x *place.Certificate) { x.Ranges = slices.Delete(x.Ranges, byPlots, byPlots+1) }, "no line speaks of"},
		"a bound raised":        {func(x *place.Certificate) { x.Best, x.Bound = nil, x.Best.Score+3 }, "a score below the bound"},
		"a limit for the score": {func(x *place.Certificate) { x.Ranges[byPlots].Reason = place.ByWood }, "does not hold"},
		"wood for the edge":     {func(x *place.Certificate) { x.Ranges[byEdge].Reason = place.ByWood }, "does not hold"},
		"as if no level one fits": {func(x *place.Certificate) {
			x.Ranges[byPlots].Reason, x.Ranges[byPlots].At = place.ByThickness, &[2]float64{240, 240}
		}, "does not hold"},
	})
}

// So is that of a carved body.
func TestCertificateOfATiltedCarvedBody(t *testing.T) {
	c := bentCase(t, 56, func(s *slab.Slab, b *body.Body, w *place.Wish) {
		carved(s, b, nil, new(place.Wish))
		s.Edge = slab.Edge{}
		bent(s, 1200, 50, 55)
		w.NearX.Tolerance = 1
	})
	good, byPlots := tiltedProof(t, c)
	byEdge := reasoned(t, good, place.ByEdge)
	refuses(t, c, good, map[string]corruption{
		"a plot's pitch changed": {func(x *place.Certificate) { x.Ranges[byPlots].Plots[0].Pitch += 1e-4 }, "the bodies of a plot are said to be tilted"},
		"a bound raised":         {func(x *place.Certificate) { x.Best, x.Bound = nil, x.Best.Score+3 }, "a score below the bound"},
		"a limit for the score":  {func(x *place.Certificate) { x.Ranges[byPlots].Reason = place.ByWood }, "does not hold"},
		"wood for the edge":      {func(x *place.Certificate) { x.Ranges[byEdge].Reason = place.ByWood }, "does not hold"},
		"too thin for a level one alone": {func(x *place.Certificate) {
			x.Ranges[byPlots].Reason, x.Ranges[byPlots].Index, x.Ranges[byPlots].Line = place.ByRelief, 0, 0
		}, "does not hold"},
	})
}

// In a slab with rounded edges a certificate speaks of level bodies alone.
func TestRoundedEdgesAreForLevelBodiesAlone(t *testing.T) {
	c := tiltedCase(t, 56, func(s *slab.Slab, w *place.Wish) {
		s.Edge = slab.Edge{TopRadius: 3}
		w.NearX.Tolerance = 1
	})
	cert := certify(t, c, place.Options{})
	assert.False(t, cert.Tilted)
	r, err := proof.Verify(c, cert)
	require.NoError(t, err)
	assert.False(t, r.Tilted || r.AllLevel)
}

// Where no allowed body is ever tilted, what is said of level ones is said of all.
func TestWhereAllLieLevel(t *testing.T) {
	verify := func(c *place.Case) proof.Report {
		r, err := proof.Verify(c, certify(t, c, place.Options{}))
		require.NoError(t, err)
		return r
	}
	near := func(_ *slab.Slab, _ *body.Body, _ *place.Need, w *place.Wish) {
		w.Angles, w.NearX = &[2]float64{-0.003, 0.003}, &place.NearWish{Value: 280, Must: true, Tolerance: 3}
	}
	r := verify(smallCase(t, near))
	assert.True(t, r.AllLevel && !r.Tilted, "level faces")
	r = verify(smallCase(t, func(s *slab.Slab, b *body.Body, n *place.Need, w *place.Wish) {
		near(s, b, n, w)
		bent(s, 30000, 260, 60)
		s.Edge = slab.Edge{TopRadius: 6}
	}))
	assert.True(t, r.AllLevel && !r.Tilted, "thick enough wherever it lies")
}

// That no plane leaves the wood is proved, where the slab is too thin however the
// body is tilted; and a slab is not said to be too thin that is not.
func TestThatNoTiltFitsIsProved(t *testing.T) {
	c := tiltedCase(t, 48, nil)
	// Once all is proved, nobody need find out what would have to give.
	ctx, enough := context.WithCancel(context.Background())
	found, err := c.Search(ctx, place.Options{Certificate: true, Progress: func(p place.Progress) {
		if math.IsInf(p.Bound, 1) {
			enough()
		}
	}})
	require.NoError(t, err)
	cert := through(t, found.Certificate)
	require.Nil(t, cert.Best)
	require.Equal(t, place.ToTheEnd, cert.Stop)
	assert.True(t, slices.ContainsFunc(cert.Ranges, func(p place.Proved) bool { return p.Reason == place.ByWood }))
	r, err := proof.Verify(c, cert)
	require.NoError(t, err)
	assert.True(t, r.NoneFits && r.Tilted)

	thicker := tiltedCase(t, 56, nil)
	cert.Digest, err = thicker.Digest()
	require.NoError(t, err)
	_, err = proof.Verify(thicker, cert)
	assert.ErrorContains(t, err, "does not hold")
}

// What the check says of tilted bodies in a range holds for all that are laid there:
// it knows how they may lie, what they score at least, and where none is allowed.
func TestPlainBoundsOfTiltedBodies(t *testing.T) {
	met, level, plots, narrow, refused, drawn := 0, 0, 0, 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		if drawn++; drawn > 300 {
			return
		}
		one := rapid.Float64Range(-1, 1)
		c := smallCase(t, func(s *slab.Slab, b *body.Body, n *place.Need, w *place.Wish) {
			switch rapid.IntRange(0, 3).Draw(t, "what else") {
			case 0:
				s.Edge = slab.Edge{TopRadius: 12, BottomRadius: 5}
			case 1:
				carved(s, b, n, w)
				s.Edge = slab.Edge{}
			case 2:
				carved(s, b, n, w)
			}
			s.Chambers = nil
			s.Flaws = []slab.Flaw{{Name: "knot", Kind: "knot", At: geom.Pt(100, 60), Radius: 20}}
			bow := rapid.Float64Range(-1.0/900, 1.0/900).Draw(t, "bow") + 1e-5
			bent(s, 1/bow, 260+150*one.Draw(t, "middle"), 50+rapid.Float64Range(-3, 7).Draw(t, "thick"))
			for i := range s.Profile.Top { // sloping, too
				rise := 0.1 * one.Draw(t, "rise")
				if i > 0 {
					rise = 0
				}
				for j := range s.Profile.Top {
					s.Profile.Top[j].Value += rise * s.Profile.Top[j].X
					s.Profile.Bottom[j].Value += rise * s.Profile.Bottom[j].X
				}
			}
			w.Faces, w.Angles, w.Back = nil, nil, rapid.Bool().Draw(t, "back")
			w.NearX = &place.NearWish{Value: 250}
			w.Strips = []place.StripWish{{Strip: 3}}
			w.Through = []place.ThroughWish{{Line: 2, U: 10, V: 15}}
			w.Grain = &place.NearWish{Value: 0.2}
		})
		score, _, err := proof.Bounds(c)
		require.NoError(t, err)
		tilts, err := proof.Tilts(c)
		require.NoError(t, err)
		box := c.Body.Outline.FlattenOutside(place.Exact).Bounds()
		pivot := box.Centre()
		pivot.Y = 0
		face := rapid.SampledFrom([]place.Face{place.Top, place.Bottom}).Draw(t, "face")
		size := math.Pow(10, rapid.Float64Range(-3, 1.6).Draw(t, "size"))
		r := place.Range{Face: face,
			X:     [2]float64{260 + 90*one.Draw(t, "x"), size * rapid.Float64Range(0, 3).Draw(t, "hx")},
			Y:     [2]float64{40 * one.Draw(t, "y"), size * rapid.Float64Range(0, 1).Draw(t, "hy")},
			Angle: [2]float64{rapid.SampledFrom([]float64{0, math.Pi, 0.4}).Draw(t, "way") + 0.2*one.Draw(t, "a"), min(0.1, size*rapid.Float64Range(0, 0.02).Draw(t, "ha"))}}
		has, low, byPlots, none := tilts(r, rapid.Bool().Draw(t, "listed"))
		if none {
			refused++
		}
		for range 4 {
			p := place.Placement{Face: face, Angle: r.Angle[0] + r.Angle[1]*one.Draw(t, "fa")}
			q := p.Plan().Apply(pivot)
			p.X, p.Y = r.X[0]+r.X[1]*one.Draw(t, "fx")-q.X, r.Y[0]+r.Y[1]*one.Draw(t, "fy")-q.Y
			if p = c.Settle(p); !c.Allowed(p) {
				continue
			}
			met++
			assert.False(t, none, "%+v is allowed in %+v", p, r)
			if p.Level() {
				level++
			} else if byPlots {
				plots++
			} else {
				narrow++
			}
			want := c.Score(p).Total
			assert.True(t, has(p), "%+v lies in %+v as it may not", p, r)
			assert.InDelta(t, want, score(p), 1e-6)
			assert.LessOrEqual(t, low, want+1e-9, "%+v in %+v", p, r)
		}
	})
	t.Logf("%d placements allowed, %d level, %d tilted by plots, %d by planes; %d ranges refused", met, level, plots, narrow, refused)
	assert.Greater(t, refused, 5)
	assert.Greater(t, plots, 5)
	assert.Greater(t, narrow, 5)
	assert.Greater(t, level, 5)
}
