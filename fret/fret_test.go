package fret_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/fret"
	"slabwright/fret/measure"
)

// table reads a reference table of testdata/music as rows by column name.
func table(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "music", name))
	require.NoError(t, err)
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var rows []map[string]string
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, c := range all[0] {
			row[c] = line[i]
		}
		rows = append(rows, row)
	}
	require.NotEmpty(t, rows)
	return rows
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// Positions worked out with 50-digit decimals, given to 0.0001 mm.
func TestPositionsToTheLastDigit(t *testing.T) {
	for _, row := range table(t, "fret_positions.csv") {
		n := int(number(t, row["fret"]))
		r := fret.Table(number(t, row["scale_mm"]), 24, fret.Temperament{})[n-1]
		for _, c := range []struct {
			column string
			got    float64
		}{{"from_nut_mm", r.FromNut.Mm}, {"from_saddle_mm", r.ToSaddle.Mm}, {"from_previous_mm", r.FromPrevious.Mm}} {
			assert.Equal(t, row[c.column], strconv.FormatFloat(c.got, 'f', 4, 64), "%s fret %d %s", row["scale"], n, c.column)
		}
		assert.Equal(t, row["from_nut_in"], strconv.FormatFloat(r.FromNut.Mm/25.4, 'f', 5, 64))
	}
}

// Positions published elsewhere, each within half a unit of its last digit;
// the sources stand in the table.
func TestPositionsPublished(t *testing.T) {
	for _, row := range table(t, "fret_positions_published.csv") {
		n := int(number(t, row["fret"]))
		r := fret.Table(number(t, row["scale_mm"]), 12, fret.Temperament{})[n-1]
		got := map[string]float64{
			"from_saddle_in": r.ToSaddle.Mm / 25.4, "from_saddle_mm": r.ToSaddle.Mm,
			"from_nut_in": r.FromNut.Mm / 25.4, "from_previous_in": r.FromPrevious.Mm / 25.4,
		}
		v, ok := got[row["quantity"]]
		require.True(t, ok, row["quantity"])
		assert.InDelta(t, number(t, row["value"]), v, number(t, row["tolerance"])*1.0001, "%s fret %d %s", row["scale"], n, row["quantity"])
	}
}

// The rule of 18 (V. Galilei 1581, from memory) is a temperament too: each
// fret one eighteenth of what is left.
func TestRuleOf18(t *testing.T) {
	step := 1200 * math.Log2(18.0/17)
	eighteen, err := fret.FromCents("rule of 18", step)
	require.NoError(t, err)
	rows := fret.Table(648, 24, eighteen)
	for _, row := range table(t, "rule_of_18.csv") {
		n := int(number(t, row["fret"]))
		assert.InDelta(t, number(t, row["rule18_from_nut_mm"]), rows[n-1].FromNut.Mm, 5.1e-5)
		assert.InDelta(t, number(t, row["rule18_cents"]), rows[n-1].Cents, 5.1e-5)
	}
}

func TestTemperaments(t *testing.T) {
	systems := map[string][]float64{}
	fractions := map[string][]float64{}
	for _, row := range table(t, "temperaments.csv") {
		if row["degree"] == "0" {
			continue
		}
		systems[row["system"]] = append(systems[row["system"]], number(t, row["cents"]))
		fractions[row["system"]] = append(fractions[row["system"]], number(t, row["from_nut_fraction"]))
		if row["ratio"] != "" {
			one, err := fret.FromRatios("one", row["ratio"])
			require.NoError(t, err)
			assert.InDelta(t, number(t, row["cents"]), one.Cents(1), 5.1e-6, row["ratio"])
		}
	}
	require.Len(t, systems, 8)
	for name, cents := range systems {
		tm, err := fret.FromCents(name, cents...)
		require.NoError(t, err, name)
		for i, r := range fret.Table(1, len(cents), tm) {
			assert.InDelta(t, fractions[name][i], r.FromNut.Mm, 1.1e-8, "%s degree %d", name, i+1)
		}
	}
}

func TestTemperamentRepeatsAndTurns(t *testing.T) {
	just, err := fret.FromRatios("just", "9/8", "5/4", "4/3", "3/2", "5/3", "15/8", "2")
	require.NoError(t, err)
	assert.InDelta(t, 1200+just.Cents(2), just.Cents(9), 1e-12)
	assert.InDelta(t, just.Cents(5)-1200, just.Cents(-2), 1e-9)
	from := just.From(4) // from the fifth: the fourth above it is the octave
	assert.InDelta(t, 1200-just.Cents(4), from.Cents(3), 1e-9)
	assert.InDelta(t, 1200, from.Cents(7), 1e-9)
	nineteen, err := fret.Equal(19)
	require.NoError(t, err)
	assert.InDelta(t, 0.5, nineteen.Left(19), 0)
	for _, bad := range []int{0, -3, 1201} {
		_, err := fret.Equal(bad)
		assert.ErrorContains(t, err, "from 1 to")
	}
	for _, bad := range [][]float64{{}, {0}, {100, 100}, {200, 100}, {math.NaN()}, {math.Inf(1)}, {-5, 100}} {
		_, err := fret.FromCents("bad", bad...)
		assert.Error(t, err, bad)
	}
	for _, bad := range []string{"", "3/0", "0", "-3/2", "3/2/1", "1.5", "x"} {
		_, err := fret.FromRatios("bad", bad)
		assert.Error(t, err, bad)
	}
}

func TestParseTemperament(t *testing.T) {
	for text, fifth := range map[string]float64{
		"": 700, "12": 700, " 12 equal ": 700,
		"16/15 9/8 6/5 5/4 4/3 45/32 3/2 8/5 5/3 9/5 15/8 2/1":                                            701.955000865,
		"76.049, 193.157, 310.265, 5/4, 503.422, 579.471, 696.578, 25/16, 889.735, 1006.843, 1082.892, 2": 696.578,
	} {
		tm, err := fret.ParseTemperament(text)
		require.NoError(t, err, text)
		assert.InDelta(t, fifth, tm.Cents(7), 1e-8, text)
		assert.Equal(t, 12, tm.Degrees())
		for n := -30; n < 30; n++ {
			assert.Equal(t, n, tm.Degree(tm.Cents(n)+10))
		}
	}
	for _, bad := range []string{"0", "99999999999999999999", "twelve", "3/2 5/4", "1/0", "NaN.", "2 2"} {
		_, err := fret.ParseTemperament(bad)
		assert.Error(t, err, bad)
	}
}

// Each octave halves what remains.
func TestEachOctaveHalves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "steps")
		tm, err := fret.Equal(n)
		require.NoError(t, err)
		at := rapid.Float64Range(0, 60).Draw(t, "fret")
		assert.InDelta(t, tm.Left(at)/2, tm.Left(at+float64(n)), 1e-15)
	})
}

// The slow way: step from fret to fret with what is left divided by
// 17.817153745105767553 (1 / (1 − 2^(−1/12))).
func TestSteppingWithTheDivisor(t *testing.T) {
	left := 647.7
	for i, r := range fret.Table(647.7, 36, fret.Temperament{}) {
		left -= left / 17.817153745105767553
		assert.InDelta(t, left, r.ToSaddle.Mm, 1e-10, "fret %d", i+1)
	}
}

func TestRowsSayWhatRoundingLost(t *testing.T) {
	r := fret.Table(648, 12, fret.Temperament{})[0]
	assert.Equal(t, "1 7/16 in", r.FromNut.Rule)
	assert.InDelta(t, -0.1431, r.FromNut.RuleLostMm, 5e-5)
	assert.InDelta(t, 36.37, r.FromNut.HundredthsMm, 1e-12)
	assert.InDelta(t, -0.0006, r.FromNut.HundredthsLostMm, 5e-5)
}

func TestSteppingErrors(t *testing.T) {
	s := fret.SteppingErrors(648, 12, fret.Temperament{}, 0.1)[11]
	assert.InDelta(t, 1.2, s.WorstMm, 1e-12)
	assert.InDelta(t, 0.1*math.Sqrt(12), s.LikelyMm, 1e-12)
	// At fret 12 the string is 324 mm long: 1.2 mm of it are 6.42 cents.
	assert.InDelta(t, 1200*math.Log2(324/322.8), s.WorstCents, 1e-12)
}

func TestTwoScaleLayout(t *testing.T) {
	l := fret.TwoScale(686, 648, 7, 24)
	p, err := l.Plan()
	require.NoError(t, err)
	outer := [2]fret.String{p.Strings[len(p.Strings)-1], p.Strings[0]}
	assert.InDelta(t, 686, outer[0].ScaleMm, 1e-9)
	assert.InDelta(t, 648, outer[1].ScaleMm, 1e-9)
	assert.Zero(t, p.Rows[6].AngleRad)
	assert.Positive(t, p.NutAngleRad)
	assert.Negative(t, p.SaddleAngleRad)
	assert.Positive(t, p.Rows[0].AngleRad)
	assert.Negative(t, p.Rows[23].AngleRad)
	assert.Less(t, p.Nut.From.U, p.Nut.To.U, "a positive angle: the bass end is nearer the nut end of the board")
	for i, row := range p.Rows {
		n := float64(i + 1)
		f := 1 - math.Exp2(-n/12)
		assert.InDelta(t, 686*f, row.BassFromNutMm, 1e-9)
		assert.InDelta(t, 648*f, row.TrebleFromNutMm, 1e-9)
		// Fret lines cross the outer strings at those distances, measured in
		// the drawing.
		for k, s := range outer {
			at, left := p.FretOnString(s.Number, n)
			want := [2]float64{row.BassFromNutMm, row.TrebleFromNutMm}[k]
			assert.InDelta(t, want, math.Hypot(at.U-s.Nut.U, at.V-s.Nut.V), 1e-9)
			assert.InDelta(t, s.ScaleMm-want, left, 1e-9)
		}
		// The middle lies on the centreline, CentreFromNut from the nut.
		slot := p.Slots[i]
		middle := slot.Full.At((0 - slot.Full.From.V) / (slot.Full.To.V - slot.Full.From.V))
		assert.InDelta(t, row.CentreFromNutMm, middle.U, 1e-9)
	}
	// Each inner string has its own scale, between the two, in even steps
	// apart from the slant.
	for i := 1; i < 6; i++ {
		assert.Greater(t, p.Strings[i].ScaleMm, p.Strings[i-1].ScaleMm)
	}
	assert.InDelta(t, 648+38.0*2/5, p.Strings[2].ScaleMm, 0.06)
}

// A fan worked by hand. Outer strings parallel, 40 apart; scales 520 and 500
// square at the octave: fret 12 is 260 and 250 from its nut ends, so the
// treble nut end lies 10 ahead of the bass one, and the saddle 10 behind.
func TestTwoScalesByHand(t *testing.T) {
	l := fret.Layout{BassScale: 700, TrebleScale: 500, SquareFret: 12, Count: 24, SpreadNut: 40, SpreadSaddle: 40, MarginNut: 5, MarginEnd: 5}
	_, err := l.Plan()
	if assert.ErrorContains(t, err, "degrees from square") {
		l.BassScale = 520 // too much of a fan; 520 leaves the nut ends 10 apart
	}
	p, err := l.Plan()
	require.NoError(t, err)
	assert.InDelta(t, -5, p.Nut.From.U, 1e-12)
	assert.InDelta(t, 5, p.Nut.To.U, 1e-12)
	assert.InDelta(t, math.Atan2(10, 40), p.NutAngleRad, 1e-12)
	assert.InDelta(t, math.Atan2(-10, 40), p.SaddleAngleRad, 1e-12)
	assert.InDelta(t, 255, p.Slots[11].Bass.U, 1e-12)
	assert.InDelta(t, 255, p.Slots[11].Treble.U, 1e-12)
	assert.InDelta(t, 50, p.Slots[11].LengthMm, 1e-9)
	assert.InDelta(t, -25, p.Slots[11].Bass.V, 1e-9)
	assert.InDelta(t, math.Hypot(50, 10*50/40.0), p.NutEdge.Length(), 1e-9)
}

// Two equal scales equal the plain layout: every number of the table that is
// measured along the scale, and all angles zero. The drawing differs by the
// slant of the outer strings only.
func TestTwoEqualScalesArePlain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := rapid.Float64Range(300, 900).Draw(t, "scale")
		count := rapid.IntRange(1, 36).Draw(t, "count")
		square := rapid.Float64Range(0, float64(count)).Draw(t, "square")
		two, err := fret.TwoScale(scale, scale, square, count).Plan()
		require.NoError(t, err)
		plain, err := fret.Plain(scale, count).Plan()
		require.NoError(t, err)
		slant := 1 - math.Cos(math.Atan2((plain.Layout.SpreadSaddle-plain.Layout.SpreadNut)/2, scale))
		for i, a := range plain.Rows {
			b := two.Rows[i]
			assert.Equal(t, a.FromNut, b.FromNut)
			assert.Equal(t, a.FromPrevious, b.FromPrevious)
			assert.Equal(t, a.FromNut.Mm, b.BassFromNutMm)
			assert.Equal(t, a.FromNut.Mm, b.TrebleFromNutMm)
			assert.Zero(t, b.AngleRad)
			assert.InDelta(t, plain.Slots[i].Bass.U, two.Slots[i].Bass.U, 1.5*slant*scale+1e-9)
		}
	})
}

// A two-scale layout mirrored, bass for treble, mirrors.
func TestTwoScalesMirror(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(600, 660).Draw(t, "a"), rapid.Float64Range(600, 660).Draw(t, "b")
		square := rapid.Float64Range(0, 24).Draw(t, "square")
		p, err := fret.TwoScale(a, b, square, 24).Plan()
		require.NoError(t, err)
		q, err := fret.TwoScale(b, a, square, 24).Plan()
		require.NoError(t, err)
		for i := range p.Slots {
			assert.InDelta(t, p.Slots[i].AngleRad, -q.Slots[i].AngleRad, 1e-12)
			assert.InDelta(t, p.Slots[i].Bass.U, q.Slots[i].Treble.U, 1e-9)
			assert.InDelta(t, p.Slots[i].Bass.V, -q.Slots[i].Treble.V, 1e-9)
			// The slot's ends lie on the board's edges.
			for _, pair := range []struct {
				at   fret.Point
				edge fret.Line
			}{{p.Slots[i].Bass, p.BassEdge}, {p.Slots[i].Treble, p.TrebleEdge}} {
				e := pair.edge
				cross := (e.To.U-e.From.U)*(pair.at.V-e.From.V) - (e.To.V-e.From.V)*(pair.at.U-e.From.U)
				assert.InDelta(t, 0, cross/e.Length(), 1e-9)
			}
		}
	})
}

func TestStringsAcross(t *testing.T) {
	at := func(a fret.Across) (nut, saddle []float64) {
		p, err := fret.Layout{Scale: 648, Count: 22, SpreadNut: 35, SpreadSaddle: 52, Strings: a}.Plan()
		require.NoError(t, err)
		for _, s := range p.Strings {
			nut, saddle = append(nut, s.Nut.V), append(saddle, s.Saddle.V)
		}
		return nut, saddle
	}
	nut, saddle := at(fret.Across{Count: 6})
	assert.InDeltaSlice(t, []float64{17.5, 10.5, 3.5, -3.5, -10.5, -17.5}, nut, 1e-12)
	assert.InDeltaSlice(t, []float64{26, 15.6, 5.2, -5.2, -15.6, -26}, saddle, 1e-12)

	gauges := []float64{0.254, 0.33, 0.432, 0.66, 0.914, 1.168}
	nut, _ = at(fret.Across{Gauges: gauges, AtNut: fret.EqualGaps})
	gap := nut[0] - nut[1] - (gauges[0]+gauges[1])/2
	for i := 1; i < 5; i++ {
		assert.InDelta(t, gap, nut[i]-nut[i+1]-(gauges[i]+gauges[i+1])/2, 1e-12)
	}
	assert.InDelta(t, 35, nut[0]-nut[5], 1e-12)

	nut, _ = at(fret.Across{Courses: []int{2, 2, 2, 2, 2, 2}, CourseGap: 2})
	require.Len(t, nut, 12)
	assert.InDelta(t, 2, nut[0]-nut[1], 1e-12)
	for k := 0; k < 5; k++ {
		assert.InDelta(t, 33.0/5, (nut[2*k]+nut[2*k+1])/2-(nut[2*k+2]+nut[2*k+3])/2, 1e-12)
	}
	assert.InDelta(t, 17.5, nut[0], 1e-12)
	assert.InDelta(t, -17.5, nut[11], 1e-12)

	nut, _ = at(fret.Across{Courses: []int{1, 2, 2}, CourseGap: 2}) // middles evenly spaced
	assert.InDelta(t, nut[0]-(nut[1]+nut[2])/2, (nut[1]+nut[2])/2-(nut[3]+nut[4])/2, 1e-12)
}

func TestEdgeMargins(t *testing.T) {
	p, err := fret.Layout{Scale: 648, Count: 22, NutWidth: 42, EndWidth: 51, SpreadNut: 35.5, SpreadSaddle: 52}.Plan()
	require.NoError(t, err)
	for _, m := range p.Margins {
		// 3.25 at the nut; at fret 22 the strings are 47.370 apart.
		assert.InDelta(t, 3.25, m.AtNutMm, 0.001)
		assert.InDelta(t, (51-(35.5+16.5*466.1611/648))/2, m.AtLastMm, 0.001)
		assert.False(t, m.OK())
		assert.Greater(t, m.AtUMm, 466.0)
	}
	assert.Len(t, p.Warnings, 2)
	assert.InDelta(t, 42, p.WidthAt(0), 1e-9)
	assert.InDelta(t, 51, p.Rows[21].BoardWidthMm, 1e-9)
	p, err = fret.Plain(648, 22).Plan()
	require.NoError(t, err)
	assert.Empty(t, p.Warnings)
	assert.InDelta(t, 35.5+6.4, p.WidthAt(0), 1e-9)
	// The strings spread by 16.5 over 648, the margins by 0.2 over 466.1611.
	assert.InDelta(t, 2*math.Atan((16.5/648+0.2/466.1611)/2), p.TaperRad, 1e-9)
}

func TestZeroAndPartialFrets(t *testing.T) {
	l := fret.Layout{Scale: 648, Count: 12, ZeroFret: true, Partial: []fret.PartialFret{
		{Fret: 6.5, FirstString: 1, LastString: 3}, {Fret: 10, FirstString: 3, LastString: 6}}}
	p, err := l.Plan()
	require.NoError(t, err)
	require.Len(t, p.Slots, 14) // zero, 1–12, six and a half
	require.Len(t, p.Rows, 13)
	assert.Zero(t, p.Slots[0].Fret)
	assert.InDelta(t, 0, p.Slots[0].Full.From.U, 1e-12)
	assert.InDelta(t, -3, p.NutGuide.From.U, 1e-12)
	half := p.Slots[7]
	assert.Equal(t, 6.5, half.Fret)
	assert.True(t, half.Partial)
	assert.InDelta(t, 0, half.Bass.V, 1e-9, "half way between strings 3 and 4 is the centreline")
	assert.InDelta(t, 648*(1-math.Exp2(-6.5/12)), half.Bass.U, 1e-9)
	assert.InDelta(t, p.Rows[7].FromNut.Mm+p.Rows[6].FromPrevious.Mm-p.Rows[6].FromPrevious.Mm, p.Rows[7].FromNut.Mm, 0)
	assert.InDelta(t, p.Rows[5].FromNut.Mm, p.Rows[7].FromNut.Mm-p.Rows[7].FromPrevious.Mm, 1e-9, "fret 7 counts from fret 6")
	assert.True(t, p.Slots[11].Partial)
	assert.Less(t, p.Slots[11].Treble.V, p.Strings[1].Nut.V+p.Strings[1].Saddle.V)
}

func TestLayoutRefuses(t *testing.T) {
	with := func(change func(*fret.Layout)) fret.Layout {
		l := fret.Plain(648, 22)
		change(&l)
		return l
	}
	for says, l := range map[string]fret.Layout{
		"scale length of 0 mm":           {Count: 22},
		"scale length of NaN mm":         {Scale: math.NaN(), Count: 22},
		"scale length of -3 mm":          {Scale: -3, Count: 22},
		"scale length of +Inf mm":        {Scale: math.Inf(1), Count: 22},
		"400 frets":                      {Scale: 648, Count: 400},
		"0 frets":                        {Scale: 648},
		"both a bass scale and a treble": {BassScale: 686, Count: 22},
		"not both":                       {Scale: 600, BassScale: 686, TrebleScale: 648, Count: 22},
		"square fret 30 is off":          fret.TwoScale(686, 648, 30, 22),
		"square fret -1 is off":          fret.TwoScale(686, 648, -1, 22),
		"square fret NaN is off":         fret.TwoScale(686, 648, math.NaN(), 22),
		"degrees from square":            fret.TwoScale(900, 500, 0, 22),
		"-2 strings":                     with(func(l *fret.Layout) { l.Strings.Count = -2 }),
		"13 strings":                     with(func(l *fret.Layout) { l.Strings.Count = 13 }),
		"the courses hold 4 strings":     with(func(l *fret.Layout) { l.Strings = fret.Across{Count: 5, Courses: []int{2, 2}} }),
		"5 gauges are given":             with(func(l *fret.Layout) { l.Strings = fret.Across{Count: 6, Gauges: make([]float64, 5)} }),
		"need the strings' gauges":       with(func(l *fret.Layout) { l.Strings.AtNut = fret.EqualGaps }),
		"no room between strings":        with(func(l *fret.Layout) { l.SpreadNut = 2 }),
		"partial fret 30 is off":         with(func(l *fret.Layout) { l.Partial = []fret.PartialFret{{30, 1, 6}} }),
		"partial fret 3 under strings":   with(func(l *fret.Layout) { l.Partial = []fret.PartialFret{{3, 1, 9}} }),
	} {
		_, err := l.Plan()
		assert.ErrorContains(t, err, says)
	}
}

func TestFitScale(t *testing.T) {
	var m []fret.Measured
	for _, r := range fret.Table(628, 22, fret.Temperament{}) {
		m = append(m, fret.Measured{Fret: int(r.Fret), Mm: r.FromNut.HundredthsMm})
	}
	m[8].Mm += 0.6
	f, err := fret.FitScale(m, fret.Temperament{}, false)
	require.NoError(t, err)
	assert.InDelta(t, 628, f.ScaleMm, 0.01)
	assert.Equal(t, []int{9}, f.Suspects)
	assert.InDelta(t, 0.6, f.Residuals[8].OffMm, 0.02)

	for i := range m { // a nut moved 0.4 toward fret 1
		m[i].Mm -= 0.4
	}
	f, err = fret.FitScale(m, fret.Temperament{}, true)
	require.NoError(t, err)
	assert.InDelta(t, 628, f.ScaleMm, 0.02)
	assert.InDelta(t, -0.4, f.NutOffsetMm, 0.01)
	assert.Equal(t, []int{9}, f.Suspects)

	one, err := fret.FitScale([]fret.Measured{{12, 324}}, fret.Temperament{}, false)
	require.NoError(t, err)
	assert.InDelta(t, 648, one.ScaleMm, 1e-9)

	for says, bad := range map[string][]fret.Measured{
		"at least 1": nil, "counted from 1": {{0, 10}}, "measured at NaN": {{1, math.NaN()}}, "measured at -4": {{1, -4}},
	} {
		_, err := fret.FitScale(bad, fret.Temperament{}, false)
		assert.ErrorContains(t, err, says)
	}
	_, err = fret.FitScale([]fret.Measured{{5, 100}, {5, 100.1}}, fret.Temperament{}, true)
	assert.ErrorContains(t, err, "two different frets")
}

func TestParseMeasured(t *testing.T) {
	got, err := fret.ParseMeasured("# old neck, measured twice\n1 = 36.4 mm, 5: 162.5; # 5, again\n12 12 3/4 in\n", measure.Millimetres)
	require.NoError(t, err)
	assert.Equal(t, []fret.Measured{{1, 36.4}, {5, 162.5}, {12, 323.85}}, got)
	for says, text := range map[string]string{
		"no measured frets": " ,\n", "write the fret's number": "twelve = 3 mm", "measured fret 5: length": "5 = wide", "measured fret \"5\"": "5",
	} {
		_, err := fret.ParseMeasured(text, measure.Millimetres)
		assert.ErrorContains(t, err, says, text)
	}
}

func FuzzParseMeasured(f *testing.F) {
	f.Add("1 = 36.4 mm, 5: 162.5; 12 12 3/4 in")
	f.Add("=,:")
	f.Fuzz(func(t *testing.T, s string) {
		m, err := fret.ParseMeasured(s, measure.Inches)
		if err != nil {
			return
		}
		if fit, err := fret.FitScale(m, fret.Temperament{}, false); err == nil && !(fit.ScaleMm > 0) {
			t.Fatalf("%q fits a scale of %v", s, fit.ScaleMm)
		}
	})
}

// Fitting perturbed positions finds the scale and the wrong frets.
func TestFitFindsScaleAndWrongFret(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := rapid.Float64Range(300, 900).Draw(t, "scale")
		count := rapid.IntRange(8, 24).Draw(t, "count")
		wrong := rapid.IntRange(1, count).Draw(t, "wrong")
		by := rapid.Float64Range(1, 5).Draw(t, "by") * rapid.SampledFrom([]float64{-1, 1}).Draw(t, "way")
		var m []fret.Measured
		for _, r := range fret.Table(scale, count, fret.Temperament{}) {
			noise := rapid.Float64Range(-0.02, 0.02).Draw(t, "noise")
			m = append(m, fret.Measured{Fret: int(r.Fret), Mm: r.FromNut.Mm + noise})
		}
		m[wrong-1].Mm += by
		f, err := fret.FitScale(m, fret.Temperament{}, false)
		require.NoError(t, err)
		assert.Equal(t, []int{wrong}, f.Suspects)
		// Noise of 0.02 at every fret moves the scale by at most 0.02 Σx/Σx².
		assert.InDelta(t, scale, f.ScaleMm, 0.3)
		assert.InDelta(t, by, f.Residuals[wrong-1].OffMm, 0.3)
	})
}

// The fit against ordinary least squares worked by brute force: no scale near
// it does better.
func TestFitIsLeastSquares(t *testing.T) {
	m := []fret.Measured{{1, 36.4}, {5, 162.5}, {7, 215.6}, {12, 323.9}}
	f, err := fret.FitScale(m, fret.Temperament{}, false)
	require.NoError(t, err)
	require.Empty(t, f.Suspects)
	sum := func(s float64) (total float64) {
		for _, x := range m {
			d := x.Mm - s*(1-math.Exp2(-float64(x.Fret)/12))
			total += d * d
		}
		return total
	}
	best := f.ScaleMm
	for s := 640.0; s < 656; s += 0.001 {
		if sum(s) < sum(best) {
			best = s
		}
	}
	assert.Equal(t, f.ScaleMm, best)
	assert.InDelta(t, math.Sqrt(sum(f.ScaleMm)/4), f.RmsMm, 1e-9)
}

func BenchmarkPlan36Frets12Strings(b *testing.B) {
	l := fret.TwoScale(686, 648, 7, 36)
	l.Strings.Count = 12
	for b.Loop() {
		if _, err := l.Plan(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFitScale36Frets(b *testing.B) {
	var m []fret.Measured
	for _, r := range fret.Table(648, 36, fret.Temperament{}) {
		m = append(m, fret.Measured{Fret: int(r.Fret), Mm: r.FromNut.HundredthsMm})
	}
	for b.Loop() {
		if _, err := fret.FitScale(m, fret.Temperament{}, true); err != nil {
			b.Fatal(err)
		}
	}
}
