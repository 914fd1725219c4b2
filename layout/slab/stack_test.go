package slab

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/fret/measure"
)

const inch = 25.4

// A trade fact (common practice, no source): a rough stack of 22½ in comes to
// 20 in finished by taking 1¼ in out of one thick pair and the rest by sanding
// all.
func TestStackOfTwentyTwoAndAHalfInches(t *testing.T) {
	s := &Slab{Length: 1800, Profile: Profile{Top: []Station{{0, 60}}}}
	for _, in := range []float64{1.5, 2.25, 0.25, 3, 0.25, 2.25, 3.5, 2.25, 0.25, 3, 0.25, 2.25, 1.5} {
		s.Strips = append(s.Strips, Strip{Pieces: []Piece{{Wood: "basswood", Thickness: in * inch, Rough: in * inch}}})
	}
	plan, err := s.Stack(StackWish{
		WidthMm: 20 * inch, Take: []Take{{Strips: []int{3, 9}, TotalMm: 1.25 * inch}}, MirrorPairs: true, Share: ShareEqually,
	})
	require.NoError(t, err)
	require.True(t, plan.OK, plan.Why)
	assert.InDelta(t, 22.5*inch, plan.RoughWidthMm, 1e-9)
	sum, sanded := 0.0, 0.0
	for i, st := range plan.Strips {
		sum += st.FinishedMm
		assert.InDelta(t, st.RoughMm, st.FinishedMm+st.TakeMm, 1e-9)
		assert.InDelta(t, plan.Strips[12-i].FinishedMm, st.FinishedMm, 1e-9, "mirrored pairs finish equal")
		if i == 3 || i == 9 {
			sanded += st.TakeMm - 1.25*inch/2
		} else {
			sanded += st.TakeMm
		}
	}
	assert.InDelta(t, 20*inch, sum, 1e-6)
	assert.InDelta(t, 1.25*inch, sanded, 1e-6)
	assert.InDelta(t, 1.25*inch/13, plan.Strips[0].TakeMm, 1e-6, "a good 2.4 mm each")
}

// Pieces of a strip differ rough: the thinnest sets the strip, the station
// where the rough stack is narrowest limits the width, and the width adds up
// at every station.
func TestStackStations(t *testing.T) {
	s := plain(3, 40, 1000, 50)
	s.Strips[1].Pieces = []Piece{{Wood: "teak", Thickness: 40, Rough: 46}, {Wood: "teak", Thickness: 40, Rough: 43}}
	s.Strips[1].Transitions = []Transition{{Kind: Square, At: 600}}
	s.Strips[0].Pieces[0].Rough = 45
	plan, err := s.Stack(StackWish{WidthMm: 120, Keep: []int{2}, LeastTakeMm: 1})
	require.NoError(t, err)
	require.True(t, plan.OK, plan.Why)
	assert.Equal(t, []StackStation{{0, 600, 131, 11, 120}, {600, 1000, 128, 8, 120}}, rounded(plan.Stations))
	assert.Equal(t, "600 mm to 1000 mm along the slab, 128 mm rough", plan.Limiting)
	assert.InDeltaSlice(t, []float64{7, 4}, plan.Strips[1].PiecesMm, 1e-6)
	finished := s.Finished(plan)
	require.NoError(t, finished.Check())
	assert.InDelta(t, 120, finished.Width(), 1e-6)

	plan, err = s.Stack(StackWish{WidthMm: 130, LeastTakeMm: 1})
	require.NoError(t, err)
	assert.False(t, plan.OK)
	assert.Contains(t, plan.Why, "comes to 126 mm at most, 4 mm less than wanted", "a millimetre off each strip that was measured")
	plan, err = s.Stack(StackWish{WidthMm: 30, LeastFinishedMm: 20})
	require.NoError(t, err)
	assert.False(t, plan.OK)
	assert.Contains(t, plan.Why, "more than wanted")
	for _, bad := range []StackWish{{}, {WidthMm: 100, Keep: []int{7}}, {WidthMm: 100, Keep: []int{1, 1}}, {WidthMm: 100, Share: "randomly"}, {WidthMm: 100, Take: []Take{{}}}, {WidthMm: 100, LeastTakeMm: math.NaN()}} {
		_, err := s.Stack(bad)
		assert.Error(t, err, bad)
	}
}

// An accent that was bought to size has no rough thickness: nothing comes off
// it, however much the others lose.
func TestStackLeavesWhatWasNotMeasured(t *testing.T) {
	s := plain(3, 40, 1000, 50)
	s.Strips[0].Pieces[0].Rough, s.Strips[2].Pieces[0].Rough = 50, 52
	s.Strips[1].Pieces[0].Thickness = 4
	plan, err := s.Stack(StackWish{WidthMm: 86, MirrorPairs: true, LeastTakeMm: 2, Unit: measure.Inches})
	require.NoError(t, err)
	require.True(t, plan.OK, plan.Why)
	assert.InDelta(t, 4, plan.Strips[1].FinishedMm, 1e-9)
	assert.Equal(t, "not measured", plan.Strips[1].Why)
	assert.InDelta(t, 41, plan.Strips[0].FinishedMm, 1e-6)
	assert.InDelta(t, 41, plan.Strips[2].FinishedMm, 1e-6)
	assert.Equal(t, "0 in to 39.3701 in along the slab, 4.1732 in rough", plan.Limiting)
}

func rounded(list []StackStation) []StackStation {
	r := func(v float64) float64 { return math.Round(v*1e6) / 1e6 }
	for i, s := range list {
		list[i] = StackStation{r(s.FromMm), r(s.ToMm), r(s.RoughMm), r(s.TakeMm), r(s.FinishedMm)}
	}
	return list
}

// Whatever the wish: what comes off and what stays add up, nothing grows, and
// a plan is OK exactly when the width lies between the least and the most.
func TestStackAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		for i := range s.Strips {
			for k := range s.Strips[i].Pieces {
				p := &s.Strips[i].Pieces[k]
				p.Rough = p.Thickness + rapid.Float64Range(0, 12).Draw(t, "over")
			}
		}
		wish := StackWish{
			WidthMm:     s.Width() * rapid.Float64Range(0.5, 1.3).Draw(t, "width"),
			MirrorPairs: rapid.Bool().Draw(t, "pairs"), Share: rapid.SampledFrom([]ShareRule{ShareEqually, ShareByThickness}).Draw(t, "share"),
			LeastTakeMm: rapid.Float64Range(0, 2).Draw(t, "least"), LeastFinishedMm: 1,
		}
		plan, err := s.Stack(wish)
		if err != nil {
			t.Fatal(err)
		}
		if !plan.OK {
			return
		}
		for i, st := range plan.Strips {
			if st.TakeMm < wish.LeastTakeMm-1e-6 || st.FinishedMm < 1-1e-6 {
				t.Fatalf("%+v", st)
			}
			for k, p := range s.Strips[i].Pieces {
				if math.Abs(p.Rough-st.PiecesMm[k]-st.FinishedMm) > 1e-9 || st.PiecesMm[k] < -1e-9 {
					t.Fatalf("%+v: piece %d of %g", st, k, p.Rough)
				}
			}
		}
		for _, x := range plan.Stations {
			if math.Abs(x.FinishedMm-wish.WidthMm) > 1e-5 || math.Abs(x.RoughMm-x.TakeMm-x.FinishedMm) > 1e-9 {
				t.Fatalf("%+v", x)
			}
		}
	})
}

// Twins of one wood that dry, turn or weigh otherwise are told; what is a little
// off, or not given on both sides, is not.
func TestTwinsMoveAlike(t *testing.T) {
	unknown := math.NaN()
	deg := func(a float64) float64 { return a * math.Pi / 180 }
	for _, c := range []struct {
		right, left Piece
		want        string
	}{
		{Piece{RingAngle: unknown}, Piece{RingAngle: unknown}, ""},
		{Piece{RingAngle: unknown, Moisture: 8}, Piece{RingAngle: unknown, Moisture: 9}, ""},
		{Piece{RingAngle: unknown, Moisture: 8}, Piece{RingAngle: unknown}, "piece 1: 8 % moist on the right, 12 % on the left: they will move unlike"},
		{Piece{RingAngle: deg(80)}, Piece{RingAngle: unknown}, ""},
		{Piece{RingAngle: deg(10)}, Piece{RingAngle: deg(70)}, "piece 1: growth rings at 10° on the right, at 70° on the left: they will move unlike"},
		{Piece{RingAngle: unknown, Density: 600}, Piece{RingAngle: unknown, Density: 650}, ""},
		{Piece{RingAngle: unknown, Density: 600}, Piece{RingAngle: unknown, Density: 720}, "piece 1: the left one is heavier by 20 %"},
	} {
		s := &Slab{Length: 900, Strips: []Strip{{Pieces: []Piece{c.right}}, {Pieces: []Piece{{RingAngle: unknown}}}, {Pieces: []Piece{c.left}}}}
		for i := range s.Strips {
			p := &s.Strips[i].Pieces[0]
			p.Wood, p.Thickness = "black-cherry", 60
		}
		sym := s.Symmetry()
		if c.want == "" {
			assert.Empty(t, sym.Differences)
			continue
		}
		require.Len(t, sym.Differences, 1, c.want)
		assert.Equal(t, c.want, sym.Differences[0].What)
		assert.Equal(t, []int{0, 2}, []int{sym.Differences[0].Right, sym.Differences[0].Left})
	}
}

func TestSymmetry(t *testing.T) {
	s := bench()
	sym := s.Symmetry()
	assert.False(t, sym.Symmetric)
	require.Len(t, sym.Differences, 1)
	assert.Contains(t, sym.Differences[0].What, "pieces on the right: 1, on the left: 2")
	s.Strips[4] = s.Strips[0]
	assert.True(t, s.Symmetry().Symmetric)
	s.Strips[4] = Strip{Pieces: []Piece{{Wood: "western-redcedar", Thickness: 61, Colour: "#c0c0c0"}}}
	sym = s.Symmetry() // the shift moves every joint by half a millimetre
	assert.Equal(t, "the middle strip stands to the right", sym.Differences[0].What)
	assert.InDelta(t, 0.5, sym.Differences[0].OffMm, 1e-9)
	shades := 0
	for _, d := range sym.Differences {
		if strings.Contains(d.What, "shades differ") {
			shades++
		}
	}
	assert.NotZero(t, shades)
	// One strip on the right against two of the same width on the left: only
	// there is the stack out of true.
	s.Strips[4] = Strip{Name: "half", Pieces: []Piece{{Wood: "western-redcedar", Thickness: 30, RingAngle: math.NaN()}}}
	s.Strips = append(s.Strips, s.Strips[4])
	sym = s.Symmetry()
	require.Len(t, sym.Differences, 2)
	assert.Equal(t, 36.0, sym.Differences[0].FromMm)
	assert.Equal(t, 96.0, sym.Differences[1].ToMm)
	assert.Contains(t, sym.Differences[0].What, "no twins")
	s.Strips = s.Strips[:5]
	// Mirrored diagonals lean apart: that is symmetric.
	d := Strip{Pieces: []Piece{{Wood: "teak", Thickness: 60}, {Wood: "limba", Thickness: 60}}, Transitions: []Transition{{Kind: Diagonal, At: 700, Angle: 1, Lean: 1}}}
	e := d
	e.Transitions = []Transition{{Kind: Diagonal, At: 700, Angle: 1, Lean: -1}}
	s.Strips[0], s.Strips[4] = d, e
	assert.True(t, s.Symmetry().Symmetric)
	s.Strips[4] = d
	assert.False(t, s.Symmetry().Symmetric)
	// Slips are compared, too: by wood, then by width.
	slip := func(wood string, width float64) []Slip {
		return []Slip{{Piece: Piece{Wood: wood, Thickness: 60}, Width: width}}
	}
	s.Strips[4] = e
	s.Strips[0].Transitions[0].Slips = slip("hard-maple", 3)
	s.Strips[4].Transitions[0].Slips = slip("hard-maple", 3)
	assert.True(t, s.Symmetry().Symmetric)
	s.Strips[4].Transitions[0].Slips = slip("hard-maple", 5)
	sym = s.Symmetry()
	require.Len(t, sym.Differences, 1)
	assert.Equal(t, "transition 1, slip 1: the left one is wider", sym.Differences[0].What)
	assert.InDelta(t, 2, sym.Differences[0].OffMm, 1e-9)
	s.Strips[4].Transitions[0].Slips = slip("teak", 3)
	assert.Contains(t, s.Symmetry().Differences[0].What, "slip 1: sugar maple (hard maple) on the right, teak on the left")
}
