package slab

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// By hand: three strips 1000 × 40 × 50 mm. Blanks are 15 mm longer at both
// ends, 6 mm higher and, with no rough size measured, 3 mm thicker: 1030 × 56
// × 43 mm, 1030·56·43/2359737.216 board feet.
func TestCutListByHand(t *testing.T) {
	s := plain(3, 40, 1000, 50)
	rules := DefaultCutRules()
	rules.Prices = map[string]float64{"western redcedar": 10}
	require.NoError(t, rules.Check())
	list := s.CutList(rules)
	require.Len(t, list.Blanks, 3)
	for _, b := range list.Blanks {
		assert.InDelta(t, 1030, b.LengthMm, 1e-9)
		assert.InDelta(t, 56, b.WidthMm, 1e-9)
		assert.InDelta(t, 43, b.ThicknessMm, 1e-9)
		assert.InDelta(t, 1030*56*43/2359737.216, b.BoardFeet, 1e-9)
	}
	assert.InDelta(t, 3*1030*56*43/2359737.216, list.BoardFeet, 1e-9)
	assert.InDelta(t, 2*1.15*10*list.Blanks[0].BoardFeet, list.Cost, 1e-9)
	assert.Equal(t, []string{"basswood"}, list.Unpriced)
	assert.Equal(t, []RipLine{
		{Wood: "basswood", ThicknessMm: 43, WidthMm: 56, Count: 1, RunningMm: 1030, LongestMm: 1030},
		{Wood: "western-redcedar", ThicknessMm: 43, WidthMm: 56, Count: 2, RunningMm: 2060, LongestMm: 1030},
	}, list.Rips)
	s.Strips[0].Pieces[0].Rough = 48
	assert.InDelta(t, 48, s.CutList(rules).Blanks[0].ThicknessMm, 1e-9)

	rules.Prices["wlnut"] = 3
	assert.ErrorContains(t, rules.Check(), "nearest are")
	assert.ErrorContains(t, CutRules{EndMm: -1}.Check(), "end allowance")
}

// Slanting joints lengthen pieces: a 45° joint in a 60 mm strip adds 30 mm to
// both, a chevron of 30° in it 60/2·√3 = 52 mm to the one it points from.
func TestPiecesReachThroughTheirJoints(t *testing.T) {
	s := bench()
	s.Plan = Plan{} // the whole stack
	list := s.CutList(CutRules{})
	at := map[string]Blank{}
	for _, b := range list.Blanks {
		at[b.Name] = b
	}
	assert.InDelta(t, 530, at["left, piece 1"].ToMm, 1e-9)
	assert.InDelta(t, 470, at["left, piece 2"].FromMm, 1e-9)
	slipAlong := 8 / math.Sin(30*degree)
	assert.InDelta(t, 900-slipAlong/2, at["middle, piece 1"].ToMm, 1e-9, "the point of the chevron")
	assert.InDelta(t, 900+slipAlong/2-30*math.Sqrt(3), at["middle, piece 2"].FromMm, 1e-9)
	slip := at["middle, slip 1"]
	assert.Equal(t, 2, slip.Count)
	assert.InDelta(t, 60, slip.LengthMm, 1e-9, "half of 60 mm at 30°")
	assert.InDelta(t, 8, slip.ThicknessMm, 1e-9)
}

// A bowed piece: the board of least width against turning the profile by
// small steps; the profile always lies in it.
func TestSideBlankIsNarrowest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		a := rapid.Float64Range(0, s.Length/2).Draw(t, "from")
		b := a + rapid.Float64Range(50, s.Length/2).Draw(t, "over")
		length, width, tilt, level := s.sideView().blank(a, b)
		spread := func(angle float64) (along, across float64) {
			sin, cos := math.Sincos(angle)
			lo, hi, left, right := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
			for k := 0; k <= 400; k++ {
				x := a + (b-a)*float64(k)/400
				for _, z := range []float64{s.TopAt(x), s.BottomAt(x)} {
					v, u := z*cos-x*sin, x*cos+z*sin
					lo, hi, left, right = math.Min(lo, v), math.Max(hi, v), math.Min(left, u), math.Max(right, u)
				}
			}
			return right - left, hi - lo
		}
		along, across := spread(tilt)
		if across > width+1e-6 || along > length+0.5 {
			t.Fatalf("board %g × %g, but the piece needs %g × %g at %g", length, width, along, across, tilt)
		}
		if _, flat := spread(0); flat > level+1e-6 {
			t.Fatalf("level %g, needs %g", level, flat)
		}
		step := (b - a) / 48
		// What samples can miss is added; the best turn lies between two chords.
		slack := 2*step*step/8*(Spline(s.Profile.Top).bendBound()+Spline(s.Profile.Bottom).bendBound()) + 1e-6
		for k := -60; k <= 60; k++ {
			if _, w := spread(float64(k) * 0.01); w < width-slack {
				t.Fatalf("%g wide, turned by %g only %g", width, float64(k)*0.01, w)
			}
		}
	})
}

func TestNestByHand(t *testing.T) {
	blank := func(l, w float64) Blank {
		return Blank{Name: "b", Wood: "teak", Count: 1, LengthMm: l, WidthMm: w, ThicknessMm: 25}
	}
	// Two rips of 100 with a kerf of 3 between fill a board 203 wide; two
	// pieces of 500 with a kerf fill its 1003.
	boards := []Board{{Wood: "teak", LengthMm: 1003, WidthMm: 203, ThicknessMm: 25}}
	n := Nest([]Blank{blank(500, 100), blank(500, 100), blank(500, 100), blank(500, 100)}, boards, 3)
	assert.Empty(t, n.Unplaced)
	assert.Equal(t, 1, n.Used)
	assert.Equal(t, 1, n.LeastBoards)
	require.Len(t, n.Boards[0].Rips, 2)
	assert.Equal(t, 103.0, n.Boards[0].Rips[1].LowMm)
	assert.Empty(t, n.Boards[0].Offcuts)
	n = Nest([]Blank{blank(500, 100), blank(500, 100), blank(500, 100), blank(500, 100)}, boards, 4)
	assert.Len(t, n.Unplaced, 3, "a wider kerf leaves room for one")
	assert.Equal(t, "the boards are full", n.Unplaced[0].Why)
	// A knot in the middle: cut round it.
	boards[0].Flaws = []BoardFlaw{{FromMm: 480, ToMm: 520, LowMm: 150, HighMm: 203}}
	n = Nest([]Blank{blank(1000, 140), blank(450, 55)}, boards, 3)
	assert.Equal(t, 1, n.Used)
	for why, b := range map[string]Blank{
		"no board of this wood":                   {Wood: "limba", Count: 1, LengthMm: 5, WidthMm: 5, ThicknessMm: 5},
		"no board of this wood is so thick":       {Wood: "teak", Count: 1, LengthMm: 5, WidthMm: 5, ThicknessMm: 60},
		"no board of this wood has so much clear": {Wood: "teak", Count: 1, LengthMm: 2000, WidthMm: 5, ThicknessMm: 5},
	} {
		n := Nest([]Blank{b}, boards, 3)
		require.Len(t, n.Unplaced, 1)
		assert.Equal(t, why, n.Unplaced[0].Why)
	}
	assert.ErrorContains(t, CheckBoards([]Board{{Wood: "teak"}}, 3), "must be above 0")
	assert.ErrorContains(t, CheckBoards(nil, -1), "kerf")
	assert.NoError(t, CheckBoards(boards, 3))
}

// Blanks as wide as the boards are a bin packing: the fewest boards by trying
// every way to share them out. What is found never needs more than what
// first-fit decreasing is known to need, ⌊11/9 OPT + 6/9⌋ (G. Dósa, The tight
// bound of first fit decreasing bin-packing algorithm is FFD(I) ≤ 11/9 OPT(I) +
// 6/9, ESCAPE 2007), and the bound never claims more than OPT.
func TestNestAgainstAllWays(t *testing.T) {
	best, cases := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		const long, kerf = 1000.0, 3.0
		var blanks []Blank
		var boards []Board
		var lengths []float64
		for range rapid.IntRange(1, 8).Draw(t, "blanks") {
			l := rapid.Float64Range(100, 990).Draw(t, "l")
			lengths = append(lengths, l)
			blanks = append(blanks, Blank{Name: "b", Wood: "teak", Count: 1, LengthMm: l, WidthMm: 90, ThicknessMm: 20})
			boards = append(boards, Board{Wood: "teak", LengthMm: long, WidthMm: 90, ThicknessMm: 20})
		}
		fewest := len(lengths)
		var fill []float64
		var try func(k int)
		try = func(k int) {
			if len(fill) >= fewest {
				return
			}
			if k == len(lengths) {
				fewest = len(fill)
				return
			}
			for i := range fill {
				if fill[i]+kerf+lengths[k] <= long {
					fill[i] += kerf + lengths[k]
					try(k + 1)
					fill[i] -= kerf + lengths[k]
				}
			}
			fill = append(fill, lengths[k])
			try(k + 1)
			fill = fill[:len(fill)-1]
		}
		fewest++
		try(0)
		n := Nest(blanks, boards, kerf)
		if len(n.Unplaced) > 0 || n.Used < fewest || n.Used > (11*fewest+6)/9 || n.LeastBoards > fewest {
			t.Fatalf("%d boards, at least %d; the fewest are %d; %d unplaced", n.Used, n.LeastBoards, fewest, len(n.Unplaced))
		}
		cases++
		if n.Used == fewest {
			best++
		}
	})
	assert.Greater(t, float64(best), 0.9*float64(cases), "nearly always the fewest")
}

// Small cases: nothing overlaps or leaves its board or touches a flaw, the
// number of boards is at least the proven bound, and mostly within one of it.
func TestNestLaws(t *testing.T) {
	close, cases := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		n := func(name string, a, b float64) float64 { return rapid.Float64Range(a, b).Draw(t, name) }
		var blanks []Blank
		for range rapid.IntRange(1, 9).Draw(t, "blanks") {
			blanks = append(blanks, Blank{Name: "b", Wood: "teak", Count: rapid.IntRange(1, 2).Draw(t, "count"), LengthMm: n("l", 100, 900), WidthMm: n("w", 40, 120), ThicknessMm: n("t", 10, 30)})
		}
		var boards []Board
		for range rapid.IntRange(1, 8).Draw(t, "boards") {
			b := Board{Wood: "teak", LengthMm: n("L", 700, 2000), WidthMm: n("W", 80, 260), ThicknessMm: n("T", 15, 40)}
			for range rapid.IntRange(0, 3).Draw(t, "flaws") {
				x, y := n("fx", 0, 600), n("fy", 0, 60)
				b.Flaws = append(b.Flaws, BoardFlaw{x, x + n("fl", 5, 80), y, y + n("fw", 5, 60)})
			}
			boards = append(boards, b)
		}
		kerf := n("kerf", 0, 5)
		got := Nest(blanks, boards, kerf)
		count := 0
		for _, nb := range got.Boards {
			b := boards[nb.Board]
			type box struct{ x0, y0, x1, y1 float64 }
			var boxes []box
			for _, r := range nb.Rips {
				for _, c := range r.Cuts {
					count++
					q := box{c.FromMm, r.LowMm, c.FromMm + c.LengthMm, r.LowMm + c.WidthMm}
					bl := blanks[c.Blank]
					if c.LengthMm != bl.LengthMm || c.WidthMm != bl.WidthMm || bl.ThicknessMm > b.ThicknessMm+1e-6 || c.WidthMm > r.WidthMm+1e-6 {
						t.Fatalf("%+v is not blank %+v", c, bl)
					}
					if q.x0 < -1e-6 || q.y0 < -1e-6 || q.x1 > b.LengthMm+1e-6 || q.y1 > b.WidthMm+1e-6 {
						t.Fatalf("%+v leaves its board", q)
					}
					for _, f := range b.Flaws {
						if q.x0 < f.ToMm && q.x1 > f.FromMm && q.y0 < f.HighMm && q.y1 > f.LowMm {
							t.Fatalf("%+v has flaw %+v", q, f)
						}
					}
					for _, p := range boxes {
						if q.x0 < p.x1+kerf-1e-6 && q.x1 > p.x0-kerf+1e-6 && q.y0 < p.y1+kerf-1e-6 && q.y1 > p.y0-kerf+1e-6 {
							t.Fatalf("%+v and %+v are nearer than a kerf", p, q)
						}
					}
					boxes = append(boxes, q)
				}
			}
		}
		want := 0
		for _, b := range blanks {
			want += b.Count
		}
		if count+len(got.Unplaced) != want {
			t.Fatalf("%d cut, %d not, of %d", count, len(got.Unplaced), want)
		}
		if got.Used < got.LeastBoards {
			t.Fatalf("%d boards, proven to need %d", got.Used, got.LeastBoards)
		}
		cases++
		if got.Used <= got.LeastBoards+1 {
			close++
		}
	})
	assert.Greater(t, float64(close), 0.7*float64(cases), "most small cases come within a board of the bound")
}
