package neck_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
	"slabwright/fret"
	"slabwright/fret/neck"
)

func TestBlankWithAngledHead(t *testing.T) {
	r := work(t, neck.Spec{Blank: neck.BlankSpec{HeadAngleDeg: 14}})
	b := r.Blank
	sin, cos := math.Sincos(14 * math.Pi / 180)
	assert.InDelta(t, b.HeadLengthMm*sin+14*cos, b.HeadDropMm, 1e-9)
	assert.InDelta(t, b.HeadDropMm+2, b.ThicknessMm, 1e-9, "one piece: the head hangs lowest")
	assert.Nil(t, b.Scarf)

	s := work(t, neck.Spec{Blank: neck.BlankSpec{HeadAngleDeg: 14, Scarf: true}}).Blank
	require.NotNil(t, s.Scarf)
	assert.InDelta(t, s.ThicknessMm/sin, s.Scarf.FaceMm, 1e-9)
	assert.InDelta(t, s.Scarf.FaceMm*cos, s.Scarf.RunMm, 1e-9)
	assert.Less(t, s.VolumeMm3, b.VolumeMm3, "a scarf saves wood")
}

func TestWoodUnderTheChannel(t *testing.T) {
	r := work(t, neck.Spec{Beam: neck.BeamSpec{ChannelDepthMm: 13}})
	require.NotEmpty(t, r.Blank.Warnings)
	assert.Contains(t, r.Blank.Warnings[0], "wood is left under the rod's channel")
	p := r.Blank.Profile[1]
	assert.Equal(t, "fret 1", p.Name)
	assert.InDelta(t, 21, p.WithBoardMm, 1e-9)
	// At the channel's corners, 3.15 from the middle of half an ellipse.
	half := p.WidthMm / 2
	assert.InDelta(t, 15*math.Sqrt(1-math.Pow(3.15/half, 2))-13, p.UnderChannelMm, 1e-9)
	last := r.Blank.Profile[len(r.Blank.Profile)-1]
	assert.InDelta(t, r.Joint.HeelMm, last.WithBoardMm, 1e-9)
}

func TestStraightPull(t *testing.T) {
	for _, layout := range []string{"in-line", "in-line treble", "even sides"} {
		r := work(t, neck.Spec{Head: neck.HeadSpec{Layout: layout, StraightPull: true}})
		for _, p := range r.Head.Posts {
			assert.InDelta(t, 0, p.SidewaysRad, 1e-12, layout)
		}
	}
}

func TestHeadPostsByHand(t *testing.T) {
	r := work(t, neck.Spec{
		Layout: fret.Layout{SpreadNut: 35, SpreadSaddle: 35},
		Board:  neck.BoardSpec{Flat: true},
		Head:   neck.HeadSpec{Layout: "even sides", FirstMm: 50, SpacingMm: 40, NearMm: 22, PostMm: 6, WindMm: 5},
		Blank:  neck.BlankSpec{HeadAngleDeg: 12},
	})
	p := r.Head.Posts[5] // lowest string, nearest post on the bass side
	sin, cos := math.Sincos(12 * math.Pi / 180)
	assert.Equal(t, "bass", p.Side)
	assert.InDelta(t, -50*cos, p.UMm, 1e-9)
	assert.InDelta(t, -22, p.VMm, 1e-9)
	assert.InDelta(t, -math.Atan2(1.5, 50*cos), p.SidewaysRad, 1e-9, "it turns 1.5 mm outward over its run")
	down := r.Setup.Strings[5].NutMm + 6 + 50*sin - 5*cos
	assert.InDelta(t, math.Atan2(down, math.Hypot(50*cos-5*sin, 1.5)), p.BreakRad, 1e-9)
	order := []float64{50, 90, 130, 130, 90, 50}
	for i, want := range order {
		assert.InDelta(t, want, r.Head.Posts[i].AlongMm, 1e-9)
	}
	split := work(t, neck.Spec{Head: neck.HeadSpec{Layout: "split", BassPosts: 4}}).Head
	assert.Equal(t, "bass", split.Posts[2].Side)
	assert.Equal(t, "treble", split.Posts[1].Side)
	flat := work(t, neck.Spec{Blank: neck.BlankSpec{HeadStepMm: 0.5}}).Head
	require.NotEmpty(t, flat.Warnings)
	assert.Contains(t, flat.Warnings[0], "too little to stay in its slot")
}

// Carving: the finished back lies inside the facets everywhere, as much as is
// to be left at each touch; the marks of the first round on a round neck keep
// the octagon's proportion of the enclosing whole.
func TestCarving(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shape := rapid.SampledFrom([]string{"round", "oval", "V", "asymmetrical"}).Draw(t, "shape")
		leave := rapid.Float64Range(0.1, 2).Draw(t, "leave")
		r := work(t, neck.Spec{Back: neck.BackSpec{First: neck.SectionSpec{Shape: shape}, Heel: neck.SectionSpec{Shape: "oval"}, LeaveMm: leave, Rounds: 3}})
		require.Equal(t, 14, len(r.Carving)) // frets 1 to 13, heel
		for _, c := range r.Carving {
			curve := c.Section.Curve(60)
			for _, round := range c.Rounds {
				for _, f := range round {
					assert.LessOrEqual(t, f.Normal.Y, 1e-12)
					clear := math.Inf(1)
					for _, p := range curve {
						clear = math.Min(clear, f.Normal.Dot(f.From.Sub(p)))
					}
					assert.GreaterOrEqual(t, clear, leave-1e-6)
				}
			}
			for _, m := range c.Marks {
				assert.Positive(t, m.DistanceMm)
			}
		}
	})
}

func TestCarvingMarksOfARoundNeck(t *testing.T) {
	r := work(t, neck.Spec{Back: neck.BackSpec{LeaveMm: 1e-9, Rounds: 1}})
	c := r.Carving[0]
	half, depth := c.Section.HalfWidthMm, c.Section.DepthMm
	require.Len(t, c.Marks, 4)
	for _, m := range c.Marks {
		switch m.Face {
		case "side": // s/(2+√2) from the corner leaves depth·(√2−1)
			assert.InDelta(t, depth-2*depth/(2+math.Sqrt2), m.DistanceMm, 1e-6)
		case "back":
			assert.InDelta(t, half-2*half/(2+math.Sqrt2), m.DistanceMm, 1e-6)
		default:
			t.Fatalf("first round marked on %q", m.Face)
		}
	}
}

func TestAsymmetricalBack(t *testing.T) {
	s := work(t, neck.Spec{Back: neck.BackSpec{First: neck.SectionSpec{Shape: "asymmetrical"}}}).Carving[0].Section
	assert.InDelta(t, -0.2*s.HalfWidthMm, s.ShiftMm, 1e-9)
	assert.InDelta(t, s.DepthMm, s.Depth(s.ShiftMm), 1e-12)
	assert.Greater(t, s.Depth(-10), s.Depth(10), "more wood on the bass side")
	// Support and curve are the same shape.
	for _, n := range []geom.Vec{{X: -1, Y: -2}, {X: 1, Y: -1}, {X: 0, Y: -1}} {
		best := math.Inf(-1)
		for _, p := range s.Curve(20000) {
			best = math.Max(best, n.X*p.X+n.Y*p.Y)
		}
		q := s.Support()(n)
		assert.InDelta(t, best, n.X*q.X+n.Y*q.Y, 1e-4)
	}
}

func TestSpecRefuses(t *testing.T) {
	for says, s := range map[string]neck.Spec{
		"between 50 and 3000 mm":           {ScaleMm: -5},
		"400 frets":                        {Layout: fret.Layout{Count: 400}},
		"is off the board":                 {Layout: fret.TwoScale(686, 648, 40, 24)},
		"13 strings":                       {Strings: make([]neck.StringSpec, 13)},
		"string 2: note \"H9\"":            {Strings: []neck.StringSpec{{Note: "E4"}, {Note: "H9"}}},
		"string 1: a gauge of 50":          {Strings: []neck.StringSpec{{Note: "E4", GaugeMm: 50}}},
		"string material \"cheese\"":       {Strings: []neck.StringSpec{{Note: "E4", Material: "cheese"}}},
		"leave one out":                    {Strings: []neck.StringSpec{{Note: "E4", FrequencyHz: 200}}},
		"construction \"woven\"":           {Strings: []neck.StringSpec{{Construction: "woven"}}},
		"no room for a winding":            {Strings: []neck.StringSpec{{GaugeMm: 1, CoreMm: 1.2, Construction: "wound"}}},
		"3 strings are described":          {Strings: make([]neck.StringSpec, 3), Layout: fret.Layout{Strings: fret.Across{Count: 6}}},
		"a fretboard radius of 20":         {Board: neck.BoardSpec{RadiusNutMm: 20}},
		"a fretboard thickness of NaN":     {Board: neck.BoardSpec{ThicknessMm: math.NaN()}},
		"action measured at fret 30":       {Setup: neck.SetupSpec{ActionFret: 30}},
		"intonation over 40 frets":         {Intonation: neck.IntonationSpec{Frets: 40}},
		"asked for over 1 frets":           {Intonation: neck.IntonationSpec{Weights: []float64{1}}},
		"weight -1":                        {Intonation: neck.IntonationSpec{Weights: []float64{-1, 2, 3}}},
		"shape \"square\"":                 {Back: neck.BackSpec{First: neck.SectionSpec{Shape: "square"}}},
		"a neck thickness of 8":            {Back: neck.BackSpec{First: neck.SectionSpec{ThicknessMm: 8}}},
		"layout \"spiral\"":                {Head: neck.HeadSpec{Layout: "spiral"}},
		"9 posts on the bass side":         {Head: neck.HeadSpec{Layout: "split", BassPosts: 9}},
		"reference pitch of 10":            {A4Hz: 10},
		"is given beside another":          {ScaleMm: 600, Layout: fret.Layout{Scale: 648}},
		"a scarf at 2 degrees":             {Blank: neck.BlankSpec{Scarf: true, HeadAngleDeg: 2}},
		"from 1 to 4":                      {Back: neck.BackSpec{Rounds: 9}},
		"a headstock angle (degrees) of 8": {Blank: neck.BlankSpec{HeadAngleDeg: 80}},
	} {
		_, err := neck.Work(s)
		require.ErrorContains(t, err, says)
		assert.NotContains(t, err.Error(), "\n")
	}
}

// Nothing given, only a number of strings, only notes, only gauges: there is
// always a first answer.
func TestLittleInput(t *testing.T) {
	for n := 1; n <= 12; n++ {
		for _, scale := range []float64{0, 350, 648, 864} {
			r := work(t, neck.Spec{ScaleMm: scale, Layout: fret.Layout{Strings: fret.Across{Count: n}}})
			require.Len(t, r.Strings, n)
			for i, s := range r.Strings {
				require.Positive(t, s.TensionN)
				require.False(t, math.IsNaN(r.Intonation[i].Chosen.SaddleMm))
				if n <= 6 && scale != 350 { // strings that are really made
					require.Less(t, r.Intonation[i].Chosen.SaddleMm, 12.0)
					require.Greater(t, r.Intonation[i].Chosen.SaddleMm, 0.2)
				}
			}
		}
	}
	usual := work(t, neck.Spec{})
	assert.Equal(t, "E4", usual.Strings[0].Note)
	assert.Equal(t, "E2", usual.Strings[5].Note)
	assert.Empty(t, usual.Warnings, strings.Join(usual.Warnings, "\n"))
	bass := work(t, neck.Spec{Strings: []neck.StringSpec{{Note: "G2"}, {Note: "D2"}, {Note: "A1"}, {Note: "E1"}}})
	assert.InDelta(t, 864, bass.Plan.Layout.Scale, 0)
	for _, s := range bass.Strings {
		assert.InDelta(t, 180, s.TensionN, 8)
	}
	gauges := work(t, neck.Spec{Layout: fret.Layout{Strings: fret.Across{Gauges: []float64{0.28, 0.36, 0.46, 0.76, 1, 1.3}}}})
	assert.InDelta(t, 0.28, gauges.Strings[0].GaugeMm, 0)
	assert.Equal(t, "E4", gauges.Strings[0].Note)
	pairs := work(t, neck.Spec{Layout: fret.Layout{Strings: fret.Across{Count: 12}}})
	assert.Equal(t, "E4", pairs.Strings[1].Note)
	assert.Equal(t, "G3", pairs.Strings[4].Note, "the octave stands on the bass side")
	assert.Equal(t, "G4", pairs.Strings[5].Note)
}

// The usual tunings of the table (common practice, from memory).
func TestDefaultTunings(t *testing.T) {
	named := map[string]struct {
		n     int
		scale float64
	}{
		"six-string guitar": {6, 648}, "seven-string guitar": {7, 648}, "eight-string guitar": {8, 686},
		"four-string bass": {4, 864}, "five-string bass": {5, 864}, "six-string bass": {6, 864},
	}
	for _, row := range table(t, "open_tunings.csv") {
		want, ok := named[row["instrument"]]
		if !ok {
			continue
		}
		var notes []string
		for _, s := range neck.DefaultStrings(want.n, want.scale, nil) {
			notes = append([]string{s.Note}, notes...)
		}
		assert.Equal(t, row["low_to_high"], strings.Join(notes, " "), row["instrument"])
		delete(named, row["instrument"])
	}
	assert.Empty(t, named)
}

func TestBridgeReachesAllSaddles(t *testing.T) {
	r := work(t, neck.Spec{})
	b := r.Bridge
	assert.True(t, b.Enough)
	for _, s := range r.Intonation {
		at := s.Chosen.SaddleMm - b.FrontSetbackMm
		assert.GreaterOrEqual(t, at, b.SpareMm-1e-9)
		assert.LessOrEqual(t, at, b.TravelMm-b.SpareMm+1e-9)
		assert.InDelta(t, r.Plan.Strings[s.Number-1].ScaleMm+s.Chosen.SaddleMm, s.SaddleFromNutMm, 1e-9)
		// Compensation helps, and the nut's setback does too.
		assert.LessOrEqual(t, s.Both.RmsCents, s.SaddleOnly.RmsCents+1e-12)
		for _, c := range s.Uncompensated {
			assert.Positive(t, c.Total())
		}
	}
	short := work(t, neck.Spec{Bridge: neck.BridgeSpec{TravelMm: 2}})
	assert.False(t, short.Bridge.Enough)
	assert.Contains(t, short.Warnings[0], "of travel")
	kept := work(t, neck.Spec{Intonation: neck.IntonationSpec{KeepNut: true}})
	for _, s := range kept.Intonation {
		assert.Zero(t, s.Chosen.NutMm)
	}
}

func BenchmarkWork12Strings36Frets(b *testing.B) {
	s := neck.Spec{Layout: fret.TwoScale(686, 648, 7, 36)}
	s.Layout.Strings.Count = 12
	for b.Loop() {
		if _, err := neck.Work(s); err != nil {
			b.Fatal(err)
		}
	}
}
