package measure_test

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/fret/measure"
)

func TestParseLength(t *testing.T) {
	for _, row := range []struct {
		text string
		bare measure.Unit
		want measure.Length
	}{
		{"648 mm", measure.Millimetres, 648},
		{"648mm", measure.Inches, 648},
		{"64.8 cm", measure.Millimetres, 648},
		{"0.648 m", measure.Millimetres, 648},
		{"25.5 in", measure.Millimetres, 647.7},
		{"25.5in.", measure.Millimetres, 647.7},
		{"25 1/2 in", measure.Millimetres, 647.7},
		{`25-1/2"`, measure.Millimetres, 647.7},
		{`25 - 1/2 in`, measure.Millimetres, 647.7},
		{`25½"`, measure.Millimetres, 647.7},
		{"½ in", measure.Millimetres, 12.7},
		{"1/2 in", measure.Millimetres, 12.7},
		{"1 ft 3 in", measure.Millimetres, 381},
		{"1 ft 3 1/2 in", measure.Millimetres, 393.7},
		{`1' 3"`, measure.Millimetres, 381},
		{`1'3"`, measure.Millimetres, 381},
		{"1 ft", measure.Millimetres, 304.8},
		{"648", measure.Millimetres, 648},
		{"25.5", measure.Inches, 647.7},
		{"25 1/2", measure.Inches, 647.7},
		{".5", measure.Inches, 12.7},
		{"-0.38 mm", measure.Millimetres, -0.38},
		{"− 1/64 in", measure.Millimetres, -0.396875},
		{"+3", measure.Millimetres, 3},
		{"-0", measure.Millimetres, 0},
		{"  648   MM ", measure.Millimetres, 648},
	} {
		got, err := measure.ParseLength(row.text, row.bare)
		if assert.NoError(t, err, row.text) {
			assert.Equal(t, row.want, got, row.text)
			assert.False(t, math.Signbit(float64(got)) && got == 0, row.text)
		}
	}
}

func TestParseLengthRefuses(t *testing.T) {
	for _, row := range []struct{ text, says string }{
		{"", "empty"},
		{"   ", "empty"},
		{"mm", "expected a number"},
		{"NaN", "ordinary number"},
		{"Inf mm", "ordinary number"},
		{"-inf", "ordinary number"},
		{"1e400", `unit "e" is not known`},
		{"12 furlong", `unit "furlong" is not known`},
		{"648 mm wide", "expected a number"},
		{"648 648", "did not understand"},
		{"25 1/0 in", "bottom of zero"},
		{"1/2.5 in", "not a fraction of whole numbers"},
		{"1/ in", "not a fraction"},
		{"25,5 in", "point, not a comma"},
		{"3 in 1 ft", "larger unit to the smaller"},
		{"1 ft 2 ft", "larger unit to the smaller"},
		{"1 ft 3", "no unit"},
		{"2000000 mm", "one kilometre"},
		{"--3 mm", "expected a number"},
		{"1 ft -3 in", "expected a number"}, // a sum or a difference? it cannot be told
		{"-", "no number"},
		{"1111111111111111111111111111111111111111111111111111111111111111111 mm", "too long"},
	} {
		_, err := measure.ParseLength(row.text, measure.Millimetres)
		if assert.Error(t, err, row.text) {
			assert.Contains(t, err.Error(), row.says, row.text)
		}
	}
}

func TestLengthFormat(t *testing.T) {
	assert.Equal(t, "648 mm", measure.Length(648).Format(measure.Millimetres))
	assert.Equal(t, "36.37 mm", measure.Length(36.3694).String())
	assert.Equal(t, "25.5 in", measure.Length(647.7).Format(measure.Inches))
	assert.Equal(t, "1.4319 in", measure.Length(36.3694).Format(measure.Inches))
	assert.Equal(t, "0 mm", measure.Length(-0.001).String())
	assert.Equal(t, "-0.38 mm", measure.Length(-0.38).String())
	assert.Equal(t, "100 mm", measure.Length(100).String())
}

func TestSixtyfourths(t *testing.T) {
	for _, row := range []struct {
		length measure.Length
		text   string
		lost   float64
	}{
		{647.7, "25 1/2 in", 0},
		{25.4, "1 in", 0},
		{0, "0 in", 0},
		{0.396875, "1/64 in", 0},
		{36.3694, "1 7/16 in", 36.3694 - 36.5125}, // fret 1 of 648 mm
		{-12.7, "-1/2 in", 0},
		{25.35, "1 in", -0.05},
	} {
		text, lost := row.length.Sixtyfourths()
		assert.Equal(t, row.text, text)
		assert.InDelta(t, row.lost, float64(lost), 1e-12)
	}
	rounded, lost := measure.Length(36.3694).Hundredths()
	assert.InDelta(t, 36.37, float64(rounded), 1e-12)
	assert.InDelta(t, -0.0006, float64(lost), 1e-12)
}

// What the rule says can be read back, and the text plus what was lost is the
// length again.
func TestSixtyfourthsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := measure.Length(rapid.Float64Range(-5000, 5000).Draw(t, "length"))
		text, lost := l.Sixtyfourths()
		back, err := measure.ParseLength(text, measure.Millimetres)
		require.NoError(t, err)
		assert.InDelta(t, float64(l), float64(back+lost), 1e-9)
		assert.LessOrEqual(t, math.Abs(float64(lost)), 25.4/128+1e-9)
	})
}

// The fraction is summed exactly: the result is the float64 nearest to the
// true value, found here with big numbers another way.
func TestParseLengthRoundsOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.Int64Range(0, 900).Draw(t, "whole")
		bottom := rapid.SampledFrom([]int64{2, 3, 4, 7, 8, 16, 32, 64, 100}).Draw(t, "bottom")
		top := rapid.Int64Range(0, bottom).Draw(t, "top")
		text := big.NewInt(whole).String() + " " + big.NewInt(top).String() + "/" + big.NewInt(bottom).String() + " in"
		got, err := measure.ParseLength(text, measure.Millimetres)
		require.NoError(t, err)
		exact := big.NewRat((whole*bottom+top)*254, bottom*10)
		want, _ := exact.Float64()
		assert.Equal(t, want, float64(got), text)
	})
}

func TestParseAngle(t *testing.T) {
	for text, degrees := range map[string]float64{
		"30": 30, "30 deg": 30, "30°": 30, "30 degrees": 30, "-1.5": -1.5, "1° 30′": 1.5, "1 1/2 deg": 1.5, "0": 0,
	} {
		a, err := measure.ParseAngle(text)
		if assert.NoError(t, err, text) {
			assert.InDelta(t, degrees, a.Degrees(), 1e-12, text)
		}
	}
	for _, text := range []string{"", "x", "30 mm", "400", "nan", "30 rad"} {
		_, err := measure.ParseAngle(text)
		assert.ErrorContains(t, err, "degrees", text)
	}
	assert.Equal(t, "1.5°", (1.5 * measure.Degree).String())
	assert.InDelta(t, math.Pi/6, (30 * measure.Degree).Radians(), 1e-15)
}

func TestParseMass(t *testing.T) {
	for text, grams := range map[string]float64{
		"3.2 kg": 3200, "120 g": 120, "7 lb": 3175.14659, "7 lb 4 oz": 3288.5446825, "2": 2000, "16 oz": 453.59237,
	} {
		m, err := measure.ParseMass(text)
		if assert.NoError(t, err, text) {
			assert.InDelta(t, grams, m.Grams(), 1e-9, text)
		}
	}
	for _, text := range []string{"", "-1 kg", "heavy", "3 mm", "20000 kg"} {
		_, err := measure.ParseMass(text)
		assert.Error(t, err, text)
	}
	assert.Equal(t, "3.2 kg", measure.Mass(3200).String())
	assert.Equal(t, "120 g", measure.Mass(120).String())
	assert.Equal(t, "120 g", measure.Mass(120).Format(measure.Millimetres))
	assert.Equal(t, "4.2 oz", measure.Mass(120).Format(measure.Inches)) // 120/28.349523
	assert.Equal(t, "7.05 lb", measure.Mass(3200).Format(measure.Inches))
	assert.Equal(t, "-0.5 oz", (-measure.Ounce / 2).Format(measure.Inches))
	assert.Equal(t, "1 lb", measure.Mass(453.2).Format(measure.Inches)) // 15.99 oz
	assert.Equal(t, "-1 kg", measure.Mass(-999.97).String())
	assert.Equal(t, "999.9 g", measure.Mass(999.94).String())
}

// One pound-force is 4.4482216152605 N, one kilogram-force 9.80665 N (BIPM, The
// International System of Units; NIST SP 811, appendix B.8).
func TestParseForce(t *testing.T) {
	for text, newtons := range map[string]float64{
		"4000": 4000, "4000 N": 4000, "2.5 kN": 2500, "1 lbf": 4.4482216152605, "900 lbf": 4003.39945373445, "1/2 kgf": 4.903325,
	} {
		f, err := measure.ParseForce(text)
		if assert.NoError(t, err, text) {
			assert.InDelta(t, newtons, f.Newtons(), 1e-9, text)
		}
	}
	for _, text := range []string{"", "-1 N", "strong", "900 lb", "30 mm", "20000 kN"} {
		_, err := measure.ParseForce(text)
		assert.ErrorContains(t, err, "write it like 4000 N, 900 lbf or 400 kgf", text)
	}
	assert.Equal(t, "4000 N", measure.Force(4000).String())
}

func TestAreaFormat(t *testing.T) {
	assert.Equal(t, "1020.7 cm²", measure.Area(102066).Format(measure.Millimetres))
	assert.Equal(t, "158.2 in²", measure.Area(102066).Format(measure.Inches)) // 102066/645.16
}

func TestParseUnit(t *testing.T) {
	u, err := measure.ParseUnit("in")
	require.NoError(t, err)
	assert.Equal(t, measure.Inches, u)
	assert.Equal(t, measure.Inch, u.Length())
	_, err = measure.ParseUnit("cubit")
	assert.ErrorContains(t, err, "write mm or in")
}

// Whatever is accepted is a finite number, and reads the same after being
// written in full.
func FuzzParseLength(f *testing.F) {
	for _, s := range []string{"648 mm", "25 1/2 in", `25-1/2"`, "1 ft 3 in", "½", "-0.38", "1e9", "NaN", "1/0", "9/9/9", "′"} {
		f.Add(s, false)
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, s string, inches bool) {
		unit := measure.Millimetres
		if inches {
			unit = measure.Inches
		}
		l, err := measure.ParseLength(s, unit)
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without words")
			}
			return
		}
		if math.IsNaN(float64(l)) || math.Abs(float64(l)) > 1e6 {
			t.Fatalf("%q read as %v", s, float64(l))
		}
		again, err := measure.ParseLength(big.NewFloat(float64(l)).Text('f', 20), measure.Millimetres)
		if err != nil || math.Abs(float64(again-l)) > 1e-9 {
			t.Fatalf("%q read as %v, written and read again %v (%v)", s, l, again, err)
		}
		l.Sixtyfourths()
	})
}

func FuzzParseAngleAndMass(f *testing.F) {
	for _, s := range []string{"30 deg", "1° 30′", "-1 1/2", "7 lb 4 oz", "3.2 kg", "NaN", "1/0 g"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if a, err := measure.ParseAngle(s); err == nil && !(math.Abs(a.Degrees()) <= 360.0000001) {
			t.Fatalf("%q read as %v", s, a)
		}
		if m, err := measure.ParseMass(s); err == nil && !(m >= 0 && m <= 1e7) {
			t.Fatalf("%q read as %v", s, m)
		}
	})
}
