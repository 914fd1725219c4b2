package proof_test

import (
	"bytes"
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/place/proof"
	"slabwright/layout/project"
	"slabwright/layout/slab"
)

const (
	pale  = "#e8d5a8"
	brown = "#6b4226"
	red   = "#a0442c"
)

func strip(thickness float64, colours ...string) slab.Strip {
	var s slab.Strip
	for i, c := range colours {
		s.Pieces = append(s.Pieces, slab.Piece{Wood: "red-alder", Thickness: thickness, Colour: c})
		if i > 0 {
			s.Transitions = append(s.Transitions, slab.Transition{Kind: slab.Diagonal, At: 300, Angle: math.Pi / 4})
		}
	}
	return s
}

func level(z, length float64) []slab.Station {
	return []slab.Station{{X: 0, Value: z}, {X: length, Value: z}}
}

// small is a slab of a few strips with a hollow at one end, and a body with a
// fretboard over a third of its front and a post.
func small() (*slab.Slab, *body.Body) {
	const length = 520
	s := &slab.Slab{Length: length, Profile: slab.Profile{Top: level(60, length), Bottom: level(0, length)},
		Strips: []slab.Strip{strip(60, pale), strip(40, brown, red), strip(30, pale), strip(14, red), strip(48, brown), strip(30, pale)},
	}
	s.Chambers = []slab.Chamber{{Name: "a", Strip: 2, From: 60, To: 120, TopSkin: 6, BottomSkin: 6, State: slab.Cut}}
	var ring geom.Polygon
	for i := range 60 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 60)
		ring = append(ring, geom.Pt(120*cos, 70*sin*(1-0.2*cos)))
	}
	b := &body.Body{Outline: geom.PathOf(ring), Thickness: 44,
		Hidden:       []body.Hidden{{Name: "fretboard", Ring: geom.Box{Min: geom.Pt(-130, -28), Max: geom.Pt(-50, 28)}.Polygon()}},
		KeepFromGlue: []body.Spot{{Name: "post", At: geom.Pt(30, 20), Radius: 3, Wanted: 4}},
	}
	return s, b
}

func smallCase(t require.TestingT, change func(*slab.Slab, *body.Body, *place.Need, *place.Wish)) *place.Case {
	s, b := small()
	n, w := place.DefaultNeed(), place.DefaultWish()
	n.GlueLine = -100
	w.Angles = &[2]float64{-0.4, 0.4}
	w.Faces = []place.Face{place.Top}
	if change != nil {
		change(s, b, &n, &w)
	}
	c, err := place.NewCase(s, b, n, w)
	require.NoError(t, err)
	return c
}

func certify(t require.TestingT, c *place.Case, o place.Options) *place.Certificate {
	o.Certificate = true
	r, err := c.Search(context.Background(), o)
	require.NoError(t, err)
	require.NotNil(t, r.Certificate)
	if r.Best != nil {
		assert.Equal(t, r.Bound, r.Certificate.Bound)
	}
	return r.Certificate
}

// through writes a certificate and reads it back.
func through(t require.TestingT, c *place.Certificate) *place.Certificate {
	var b bytes.Buffer
	require.NoError(t, c.Write(&b))
	back, err := proof.Read(&b)
	require.NoError(t, err)
	return back
}

// corruption is a change of a certificate, and what the check says of it then.
type corruption struct {
	corrupt func(*place.Certificate)
	says    string
}

// refuses tells that each corruption of a good certificate is refused, and why.
func refuses(t *testing.T, c *place.Case, good *place.Certificate, list map[string]corruption) {
	for name, k := range list {
		t.Run(name, func(t *testing.T) {
			bad := through(t, good)
			k.corrupt(bad)
			_, err := proof.Verify(c, bad)
			require.Error(t, err)
			assert.ErrorContains(t, err, k.says)
		})
	}
}

// reasoned is the first range that is done with for a reason.
func reasoned(t *testing.T, c *place.Certificate, reason place.Reason) int {
	i := slices.IndexFunc(c.Ranges, func(p place.Proved) bool { return p.Reason == reason })
	require.GreaterOrEqual(t, i, 0, reason)
	return i
}

func TestTheDemosCertificateHolds(t *testing.T) {
	p := project.Demo()
	c, err := place.NewCase(p.Slab, p.Body, p.Need, p.Wish)
	require.NoError(t, err)
	cert := through(t, certify(t, c, place.Options{}))
	r, err := proof.Verify(c, cert)
	require.NoError(t, err)
	assert.Equal(t, cert.Bound, r.Bound)
	assert.Less(t, r.Gap, 0.005*max(1, cert.Best.Score)+1e-9)
	assert.Positive(t, r.ByLimit)
	assert.Zero(t, r.Open)
	assert.False(t, r.NoneFits)
}

// Limits of every kind, wishes of every kind.
func TestCertificatesHold(t *testing.T) {
	for name, change := range map[string]func(*slab.Slab, *body.Body, *place.Need, *place.Wish){
		"musts": func(_ *slab.Slab, _ *body.Body, n *place.Need, w *place.Wish) {
			n.GlueLine = 1
			w.Grain = &place.NearWish{Value: 0, Must: true, Tolerance: 0.1}
			w.NearX = &place.NearWish{Value: 250, Must: true, Tolerance: 30}
			w.Strips = []place.StripWish{{Strip: 3, Must: true, Tolerance: 8}}
		},
		"back, near": func(_ *slab.Slab, _ *body.Body, _ *place.Need, w *place.Wish) {
			w.NearX, w.Back = &place.NearWish{Value: 250}, true
			w.Weights.NearX = 0.2
		},
		"bowed": func(s *slab.Slab, _ *body.Body, _ *place.Need, _ *place.Wish) {
			s.Profile.Top = []slab.Station{{X: 0, Value: 46}, {X: 200, Value: 60}, {X: 520, Value: 48}}
		},
	} {
		t.Run(name, func(t *testing.T) {
			c := smallCase(t, change)
			cert := through(t, certify(t, c, place.Options{}))
			require.NotNil(t, cert.Best)
			_, err := proof.Verify(c, cert)
			assert.NoError(t, err)
		})
	}
}

// carved arches the small case's body, cuts its belly and treats its edges. The
// slab is hardly thicker than the body and its top is rounded, so that a flat
// body must keep to its middle; what is wished lies off it.
func carved(s *slab.Slab, b *body.Body, _ *place.Need, w *place.Wish) {
	b.Shaped = []body.Shaping{
		{Kind: body.ArchedTop, Face: body.Front, Line: geom.HalfPlane{Along: geom.V(1, 0)}, Across: 1.0 / 600},
		{Kind: body.BellyCut, Face: body.Back, Line: geom.HalfPlane{At: geom.Pt(-40, 0), Along: geom.V(0, 1)}, Curve: 7.0 / (80 * 80)},
	}
	b.Edges = body.Edges{FrontRadius: 6, BackChamfer: 2}
	s.Profile.Top = level(46.5, 520)
	s.Edge = slab.Edge{TopRadius: 32, BottomRadius: 8}
	s.Chambers = nil
	w.Strips = []place.StripWish{{Strip: 4}}
}

// The wood that a carved body has not is not asked for, in the search and in its
// certificate; one that asks for less than the body needs is refused.
func TestCertificateOfACarvedBody(t *testing.T) {
	flat := smallCase(t, func(s *slab.Slab, b *body.Body, n *place.Need, w *place.Wish) {
		carved(s, b, n, w)
		b.Shaped, b.Edges = nil, body.Edges{}
	})
	c := smallCase(t, carved)
	good := certify(t, c, place.Options{})
	require.NotNil(t, good.Best)
	assert.False(t, flat.Allowed(good.Best.Placement()), "a flat body would lie there, too")
	r, err := proof.Verify(c, through(t, good))
	require.NoError(t, err)
	assert.Zero(t, r.Open)
	assert.Less(t, r.Gap, 0.005*max(1, good.Best.Score)+1e-9)
	thin := reasoned(t, good, place.ByRelief)
	byScore := reasoned(t, good, place.ByScore)
	front := c.Body.Relief(body.Front)
	lowest := 0 // the corner that asks for least
	for i, q := range front {
		if q.Drop > front[lowest].Drop {
			lowest = i
		}
	}
	refuses(t, c, good, map[string]corruption{
		"another corner":       {func(x *place.Certificate) { x.Ranges[thin].Index = lowest }, "does not hold"},
		"no such corner":       {func(x *place.Certificate) { x.Ranges[thin].Index = len(front) }, "no corner of the upper face"},
		"no such corner under": {func(x *place.Certificate) { x.Ranges[thin].Line = -1 }, "no corner of the lower face"},
		"too thin where it is not": {func(x *place.Certificate) {
			x.Ranges[byScore].Reason, x.Ranges[byScore].Index, x.Ranges[byScore].Line = place.ByRelief, 0, 0
		}, "does not hold"},
		"as if it were flat": {func(x *place.Certificate) {
			x.Ranges[thin].Reason, x.Ranges[thin].At = place.ByThickness, &[2]float64{x.Ranges[thin].X[0], x.Ranges[thin].X[0]}
		}, "does not hold"},
	})
}

// Where the wood over one corner of a carved body's face and under one of the
// other is too little all over a range, nothing in it is allowed.
func TestThinRangesHoldNothing(t *testing.T) {
	thin, allowed, drawn := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		if drawn++; drawn > 50 {
			return
		}
		c := smallCase(t, func(s *slab.Slab, b *body.Body, n *place.Need, w *place.Wish) {
			carved(s, b, n, w)
			z := rapid.Float64Range(-4, 4)
			s.Profile.Top = []slab.Station{{X: 0, Value: 44 + z.Draw(t, "z")}, {X: 240, Value: 47}, {X: 520, Value: 44 + z.Draw(t, "z")}}
			s.Profile.Bottom = []slab.Station{{X: 0, Value: z.Draw(t, "z") / 2}, {X: 300, Value: 0}, {X: 520, Value: z.Draw(t, "z") / 2}}
			w.Faces, w.Angles = nil, nil
		})
		holds, err := proof.Thin(c)
		require.NoError(t, err)
		one := rapid.Float64Range(-1, 1)
		size := math.Pow(10, rapid.Float64Range(-3, 1).Draw(t, "size"))
		face := rapid.SampledFrom([]place.Face{place.Top, place.Bottom}).Draw(t, "face")
		r := place.Range{Face: face,
			X:     [2]float64{260 + 100*one.Draw(t, "x"), size * rapid.Float64Range(0, 3).Draw(t, "hx")},
			Y:     [2]float64{30 * one.Draw(t, "y"), size * rapid.Float64Range(0, 1).Draw(t, "hy")},
			Angle: [2]float64{rapid.SampledFrom([]float64{0, math.Pi}).Draw(t, "way") + 0.2*one.Draw(t, "a"), min(0.1, size*rapid.Float64Range(0, 0.02).Draw(t, "ha"))}}
		too := false
		over, under := len(c.Body.Relief(body.Front)), len(c.Body.Relief(body.Back))
		if face == place.Bottom {
			over, under = under, over
		}
		for i := range 60 {
			too = too || holds(r, i*over/60, (i*37%60)*under/60)
		}
		pivot := c.Body.Outline.FlattenOutside(place.Exact).Bounds().Centre()
		if too {
			thin++
		}
		for range 8 {
			p := place.Placement{Face: face, Angle: r.Angle[0] + r.Angle[1]*one.Draw(t, "fa")}
			q := p.Plan().Apply(pivot)
			p.X, p.Y = r.X[0]+r.X[1]*one.Draw(t, "fx")-q.X, r.Y[0]+r.Y[1]*one.Draw(t, "fy")-q.Y
			if p = c.Settle(p); p.Level() && c.Allowed(p) {
				allowed++
				require.False(t, too, "%+v in %+v", p, r)
			}
		}
	})
	t.Logf("%d ranges too thin, %d placements allowed", thin, allowed)
	assert.Greater(t, thin, 3)
	assert.Greater(t, allowed, 10)
}

// A search that was stopped at once has proved little, and its certificate
// says just that.
func TestAStoppedSearchProvesItsHonestGap(t *testing.T) {
	c := smallCase(t, func(_ *slab.Slab, _ *body.Body, _ *place.Need, w *place.Wish) {
		w.NearX, w.Back = &place.NearWish{Value: 250}, true
		w.Strips = []place.StripWish{{Strip: 3}}
		w.Through = []place.ThroughWish{{Line: 2, U: 10, V: 15}}
	})
	ctx, cancel := context.WithCancel(context.Background())
	rounds := 0
	r, err := c.Search(ctx, place.Options{Certificate: true, Progress: func(place.Progress) {
		if rounds++; rounds == 3 {
			cancel()
		}
	}})
	require.NoError(t, err)
	cert := through(t, r.Certificate)
	report, err := proof.Verify(c, cert)
	require.NoError(t, err)
	assert.Positive(t, report.Open)
	assert.Equal(t, place.ByHand, cert.Stop)
	assert.InDelta(t, r.Gap, report.Gap, 1e-12)
	assert.Greater(t, report.Gap, 0.005*max(1, cert.Best.Score))
}

func TestThatNothingFitsIsProved(t *testing.T) {
	c := smallCase(t, func(s *slab.Slab, _ *body.Body, _ *place.Need, _ *place.Wish) {
		for i := range 5 {
			x := 60 + 90*float64(i)
			s.Chambers = append(s.Chambers, slab.Chamber{Name: "more", Strip: 2, From: x, To: x + 70, TopSkin: 6, BottomSkin: 6, State: slab.Cut})
		}
	})
	cert := through(t, certify(t, c, place.Options{}))
	require.Nil(t, cert.Best)
	r, err := proof.Verify(c, cert)
	require.NoError(t, err)
	assert.True(t, r.NoneFits)
}

// Every corrupted certificate is refused, and told where.
func TestCorruptedCertificatesAreRefused(t *testing.T) {
	c := smallCase(t, nil)
	good := certify(t, c, place.Options{})
	byLimit := reasoned(t, good, place.ByEdge)
	byScore := reasoned(t, good, place.ByScore)
	_, err := proof.Verify(c, through(t, good))
	require.NoError(t, err)

	refuses(t, c, good, map[string]corruption{
		"a range dropped": {func(x *place.Certificate) { x.Ranges = slices.Delete(x.Ranges, byScore, byScore+1) }, "no line speaks of the range top face"},
		"all of a root dropped": {func(x *place.Certificate) {
			x.Ranges = slices.DeleteFunc(x.Ranges, func(p place.Proved) bool { return p.Root == 1 })
		}, "root 1: no line speaks of"},
		"a range told twice":       {func(x *place.Certificate) { x.Ranges = append(x.Ranges, x.Ranges[0]) }, "lines"},
		"a range moved":            {func(x *place.Certificate) { x.Ranges[byLimit].X[0] += 0.01 }, "its box is"},
		"a range shrunk":           {func(x *place.Certificate) { x.Ranges[byScore].Y[1] *= 0.9 }, "its box is"},
		"a root moved":             {func(x *place.Certificate) { x.Roots[0].X[0] += 1 }, "root 0 does not hold the whole slab"},
		"a root's angles narrowed": {func(x *place.Certificate) { x.Roots[0].Angle[1] /= 2 }, "leave out the angles"},
		"a bound too high":         {func(x *place.Certificate) { x.Best, x.Bound = nil, x.Best.Score+0.2 }, "a score below the bound"},
		"a bound over the score":   {func(x *place.Certificate) { x.Bound = x.Best.Score + 1 }, "above the best placement's score"},
		"a better score":           {func(x *place.Certificate) { x.Best.Score -= 0.01 }, "is said to score"},
		"another best":             {func(x *place.Certificate) { x.Best.Y += 3 }, "is said to score"},
		"a best that fails": {func(x *place.Certificate) {
			x.Best.X = 100
			x.Best.Score = c.Score(x.Best.Placement()).Total
			x.Bound = min(x.Bound, x.Best.Score)
		}, "does not pass"},
		"the best lifted": {func(x *place.Certificate) { x.Best.Height += 30 }, "does not pass: wood over the body"},
		"another reason": {func(x *place.Certificate) {
			x.Ranges[byScore].Reason, x.Ranges[byScore].At = place.ByEdge, &[2]float64{0, 0}
		}, "does not hold"},
		"no such reason":       {func(x *place.Certificate) { x.Ranges[byScore].Reason = "luck" }, "not known"},
		"a point off the body": {func(x *place.Certificate) { x.Ranges[byLimit].At = &[2]float64{1000, 0} }, "does not hold"},
		"no such obstacle":     {func(x *place.Certificate) { x.Ranges[byLimit].Reason, x.Ranges[byLimit].Index = place.ByHollow, 99 }, "no obstacle 99"},
		"another project's":    {func(x *place.Certificate) { x.Digest = strings.Repeat("0", 64) }, "another project"},
		"all is said not to fit": {func(x *place.Certificate) {
			x.Best = nil
			x.Ranges[byScore].Reason = place.ByThickness
			x.Ranges[byScore].At = &[2]float64{250, 250}
		}, "does not hold"},
		"a must that is not one":  {func(x *place.Certificate) { x.Ranges[byScore].Reason = place.ByGrain }, "does not hold"},
		"a wish that is not made": {func(x *place.Certificate) { x.Ranges[byScore].Reason = place.ByNearX }, "does not hold"},
	})
}

// A certificate is of one project alone: whatever the placement depends on, a
// change of it is seen.
func TestAChangedProjectIsSeen(t *testing.T) {
	good := certify(t, smallCase(t, nil), place.Options{})
	for name, change := range map[string]func(*slab.Slab, *body.Body, *place.Need, *place.Wish){
		"a strip":  func(s *slab.Slab, _ *body.Body, _ *place.Need, _ *place.Wish) { s.Strips[1].Pieces[0].Colour = pale },
		"a hollow": func(s *slab.Slab, _ *body.Body, _ *place.Need, _ *place.Wish) { s.Chambers[0].From += 20 },
		"a contour": func(_ *slab.Slab, b *body.Body, _ *place.Need, _ *place.Wish) {
			b.Shaped = []body.Shaping{{Slope: 0.1, Line: geom.HalfPlane{Along: geom.V(1, 0)}}}
		},
		"an edge":    func(_ *slab.Slab, b *body.Body, _ *place.Need, _ *place.Wish) { b.Edges.BackRadius = 3 },
		"the body":   func(_ *slab.Slab, b *body.Body, _ *place.Need, _ *place.Wish) { b.Thickness += 0.1 },
		"the need":   func(_ *slab.Slab, _ *body.Body, n *place.Need, _ *place.Wish) { n.Kerf += 0.1 },
		"the wish":   func(_ *slab.Slab, _ *body.Body, _ *place.Need, w *place.Wish) { w.Weights.Grain = 0.6 },
		"the angles": func(_ *slab.Slab, _ *body.Body, _ *place.Need, w *place.Wish) { w.Angles[1] = 0.5 },
	} {
		t.Run(name, func(t *testing.T) {
			_, err := proof.Verify(smallCase(t, change), good)
			assert.ErrorContains(t, err, "another project")
			if name != "a hollow" && name != "the angles" {
				return
			}
			// Without the fingerprint it is seen where it makes a difference.
			forged := *good
			forged.Digest, err = smallCase(t, change).Digest()
			require.NoError(t, err)
			_, err = proof.Verify(smallCase(t, change), &forged)
			assert.Error(t, err)
		})
	}
}

// The plain score is the score, and the plain bound holds for every placement of
// a range.
func TestPlainBounds(t *testing.T) {
	c := smallCase(t, func(_ *slab.Slab, _ *body.Body, _ *place.Need, w *place.Wish) {
		w.Faces, w.Angles, w.Back = nil, nil, true
		w.NearX = &place.NearWish{Value: 250}
		w.Strips = []place.StripWish{{Strip: 3}}
		w.Through = []place.ThroughWish{{Line: 2, U: 10, V: 15}}
		w.Grain = &place.NearWish{Value: 0.2}
	})
	score, lower, err := proof.Bounds(c)
	require.NoError(t, err)
	pivot := c.Body.Outline.FlattenOutside(place.Exact).Bounds().Centre()
	met := 0
	rapid.Check(t, func(t *rapid.T) {
		one := rapid.Float64Range(-1, 1)
		face := rapid.SampledFrom([]place.Face{place.Top, place.Bottom}).Draw(t, "face")
		size := math.Pow(10, rapid.Float64Range(-4, 1.3).Draw(t, "size"))
		r := place.Range{Face: face,
			X:     [2]float64{270 + 80*one.Draw(t, "x"), size * rapid.Float64Range(0, 3).Draw(t, "hx")},
			Y:     [2]float64{15 * one.Draw(t, "y"), size * rapid.Float64Range(0, 1).Draw(t, "hy")},
			Angle: [2]float64{rapid.SampledFrom([]float64{0, math.Pi}).Draw(t, "way") + 0.2*one.Draw(t, "a"), min(0.1, size*rapid.Float64Range(0, 0.02).Draw(t, "ha"))}}
		low := lower(r)
		for range 4 {
			p := place.Placement{Face: face, Angle: r.Angle[0] + r.Angle[1]*one.Draw(t, "fa")}
			q := p.Plan().Apply(pivot)
			p.X, p.Y = r.X[0]+r.X[1]*one.Draw(t, "fx")-q.X, r.Y[0]+r.Y[1]*one.Draw(t, "fy")-q.Y
			if !c.Allowed(c.Settle(p)) {
				continue
			}
			met++
			want := c.Score(p).Total
			assert.InDelta(t, want, score(p), 1e-6)
			assert.LessOrEqual(t, low, want+1e-9)
		}
	})
	assert.Greater(t, met, 50, "too few of the placements were allowed")
}

func TestReadRefuses(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, certify(t, smallCase(t, nil), place.Options{}).Write(&b))
	lines := strings.SplitAfter(b.String(), "\n")
	for name, k := range map[string]struct{ text, says string }{
		"nothing":            {"", "empty"},
		"another file":       {"name = \"panel\"\n", "line 1: this is no certificate"},
		"another version":    {strings.Replace(lines[0], "certificate 2", "certificate 9", 1), "format"},
		"an earlier version": {strings.Replace(lines[0], "certificate 2", "certificate 1", 1), "an earlier program wrote it, have slabwright place write it anew"},
		"cut off":            {strings.Join(lines[:5], ""), "promises"},
		"cut off in a line":  {strings.Join(lines[:5], "") + lines[5][:20], "line 6"},
		"an unknown key":     {lines[0] + `{"root":0,"reson":"edge"}` + "\n", "line 2"},
		"two objects a line": {lines[0] + strings.TrimSpace(lines[1]) + lines[1], "line 2: something stands after"},
		"no such root":       {lines[0] + strings.Replace(lines[1], `"root":0`, `"root":77`, 1), "line 2: root 77"},
		"no such cut":        {lines[0] + strings.Replace(lines[1], `"cuts":"`, `"cuts":"q`, 1), `line 2: cut 'q'`},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := proof.Read(strings.NewReader(k.text))
			assert.ErrorContains(t, err, k.says)
		})
	}
}

// Whatever stands in the file, it is read or refused; and what was read is
// verified or refused.
func FuzzRead(f *testing.F) {
	c := smallCase(f, nil)
	var b bytes.Buffer
	require.NoError(f, certify(f, c, place.Options{}).Write(&b))
	lines := strings.SplitAfter(b.String(), "\n")
	f.Add([]byte(strings.Join(lines[:4], "")))
	f.Add([]byte(strings.Replace(lines[0], `"ranges":`, `"ranges":2,"x":`, 1)))
	f.Add([]byte(`{"format":"slabwright certificate 2","digest":"","best":null,"bound":0,"stopped":"","roots":[],"ranges":0}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		cert, err := proof.Read(bytes.NewReader(text))
		if err != nil {
			return
		}
		_, _ = proof.Verify(c, cert)
	})
}
