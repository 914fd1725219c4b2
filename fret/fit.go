package fret

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"

	"slabwright/fret/measure"
)

// Measured is a distance from the nut to a fret, measured on a neck.
type Measured struct {
	Fret int
	Mm   float64
}

// ParseMeasured reads distances from the nut as a maker notes them, one a
// line or with commas or semicolons between: the fret's number, then the
// length after "=", ":" or a blank: "1 = 36.4 mm, 5: 162.5, 12 12 3/4 in".
// What follows a # up to the line's end is a remark. bare is the unit of
// lengths without one.
func ParseMeasured(text string, bare measure.Unit) ([]Measured, error) {
	var out []Measured
	lines := strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' })
	for i, line := range lines {
		lines[i], _, _ = strings.Cut(line, "#")
	}
	for _, item := range strings.FieldsFunc(strings.Join(lines, ";"), func(r rune) bool { return r == ',' || r == ';' }) {
		item = strings.TrimSpace(item)
		if item == "" {
			continue
		}
		i := strings.IndexAny(item, "=: \t")
		if i < 1 || !digitsOnly(item[:i]) || i > 3 {
			return nil, fmt.Errorf("measured fret %q: write the fret's number and its distance from the nut, like 12 = 324 mm", clip(item))
		}
		n, _ := strconv.Atoi(item[:i]) // up to three digits
		l, err := measure.ParseLength(strings.TrimLeft(item[i:], "=: \t"), bare)
		if err != nil {
			return nil, fmt.Errorf("measured fret %d: %w", n, err)
		}
		out = append(out, Measured{n, l.Mm()})
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("no measured frets: write them like 1 = 36.4 mm, 12 = 324 mm")
	}
	return out, nil
}

// Residual is one measured fret against the fitted scale.
type Residual struct {
	Fret       int
	MeasuredMm float64
	ExpectedMm float64
	// OffMm is measured minus expected: positive when the fret lies too near
	// the saddle.
	OffMm float64
	// Suspect tells that the fret was left out of the fit: it is misplaced,
	// or was mismeasured.
	Suspect bool
}

// Fit is a scale length found from a neck.
type Fit struct {
	ScaleMm float64
	// ScaleErrorMm is the scale's standard error, from the residuals; 0 when
	// there are too few frets to tell.
	ScaleErrorMm float64
	// NutOffsetMm is by how much the nut (or the zero of the rule) stands
	// behind where the frets say it should be; 0 unless asked for. Positive:
	// the nut is too far from the frets.
	NutOffsetMm float64
	// RmsMm is over the frets that were used.
	RmsMm     float64
	Residuals []Residual
	Suspects  []int
}

// FitScale finds the scale length of a neck from distances of its frets from
// the nut, by least squares over all frets that agree with each other:
//
//	d_i = S (1 − 2^(−c_i/1200)) + offset
//
// The offset is fitted only when nutOffset is true, for a nut that was moved.
// Frets that disagree are named and left out: those farther than 3.5 robust
// standard deviations (1.4826 times the median absolute residual, at least
// 0.05 mm, about what one can measure with a rule and loupe) from a first fit
// that up to nearly a third of wrong frets cannot move (the median over all
// pairs; H. Theil 1950, P. K. Sen 1968). With fewer than four frets none can
// be told wrong.
func FitScale(measured []Measured, t Temperament, nutOffset bool) (Fit, error) {
	need := 1
	if nutOffset {
		need = 2
	}
	if len(measured) < need {
		return Fit{}, fmt.Errorf("%d measured frets: at least %d are needed", len(measured), need)
	}
	if len(measured) > 10*MostFrets {
		return Fit{}, fmt.Errorf("%d measured frets are too many; at most %d", len(measured), 10*MostFrets)
	}
	x, y := make([]float64, len(measured)), make([]float64, len(measured))
	numbers := map[int]bool{}
	for i, m := range measured {
		if m.Fret < 1 || m.Fret > 4*MostFrets {
			return Fit{}, fmt.Errorf("measured fret %d: frets are counted from 1", m.Fret)
		}
		if math.IsNaN(m.Mm) || m.Mm <= 0 || m.Mm > longest {
			return Fit{}, fmt.Errorf("fret %d measured at %g mm from the nut: it must lie above 0 and up to %d mm", m.Fret, m.Mm, longest)
		}
		x[i], y[i] = 1-t.Left(float64(m.Fret)), m.Mm
		numbers[m.Fret] = true
	}
	if nutOffset && len(numbers) < 2 {
		return Fit{}, fmt.Errorf("to find the nut's offset, measure at least two different frets")
	}
	use := make([]bool, len(measured))
	for i := range use {
		use[i] = true
	}
	if len(measured) >= 4 {
		scale, offset := robustLine(x, y, nutOffset)
		off := make([]float64, len(x))
		for i := range x {
			off[i] = math.Abs(y[i] - scale*x[i] - offset)
		}
		limit := 3.5 * math.Max(1.4826*median(append([]float64(nil), off...)), 0.05)
		for i := range off {
			use[i] = off[i] <= limit
		}
	}
	if nutOffset && !spread(x, use) { // what is left cannot tell scale from offset
		for i := range use {
			use[i] = true
		}
	}
	scale, offset, n := leastSquares(x, y, use, nutOffset)
	f := Fit{ScaleMm: scale, NutOffsetMm: offset}
	sum, sxx, sx := 0.0, 0.0, 0.0
	for i, m := range measured {
		r := Residual{Fret: m.Fret, MeasuredMm: m.Mm, ExpectedMm: scale*x[i] + offset, Suspect: !use[i]}
		r.OffMm = r.MeasuredMm - r.ExpectedMm
		f.Residuals = append(f.Residuals, r)
		if !use[i] {
			f.Suspects = append(f.Suspects, m.Fret)
			continue
		}
		sum += r.OffMm * r.OffMm
		sxx += x[i] * x[i]
		sx += x[i]
	}
	f.RmsMm = math.Sqrt(sum / float64(n))
	if nutOffset {
		sxx -= sx * sx / float64(n)
	}
	if n > need {
		f.ScaleErrorMm = math.Sqrt(sum / float64(n-need) / sxx)
	}
	return f, nil
}

// spread tells whether the used x are not all the same.
func spread(x []float64, use []bool) bool {
	first := math.NaN()
	for i := range x {
		if use[i] {
			if math.IsNaN(first) {
				first = x[i]
			} else if x[i] != first {
				return true
			}
		}
	}
	return false
}

// robustLine is the median-slope line, through the origin without an offset.
func robustLine(x, y []float64, withOffset bool) (slope, offset float64) {
	var slopes []float64
	if !withOffset {
		for i := range x {
			slopes = append(slopes, y[i]/x[i])
		}
		return median(slopes), 0
	}
	for i := range x {
		for j := range i {
			if x[i] != x[j] {
				slopes = append(slopes, (y[i]-y[j])/(x[i]-x[j]))
			}
		}
	}
	slope = median(slopes)
	rest := make([]float64, len(x))
	for i := range x {
		rest[i] = y[i] - slope*x[i]
	}
	return slope, median(rest)
}

func leastSquares(x, y []float64, use []bool, withOffset bool) (slope, offset float64, n int) {
	var mx, my float64
	for i := range x {
		if use[i] {
			mx, my, n = mx+x[i], my+y[i], n+1
		}
	}
	mx, my = mx/float64(n), my/float64(n)
	if !withOffset {
		mx, my = 0, 0
	}
	var xx, xy float64
	for i := range x {
		if use[i] {
			xx += (x[i] - mx) * (x[i] - mx)
			xy += (x[i] - mx) * (y[i] - my)
		}
	}
	slope = xy / xx
	return slope, my - slope*mx, n
}

// median sorts v.
func median(v []float64) float64 {
	sort.Float64s(v)
	if m := len(v) / 2; len(v)%2 == 1 {
		return v[m]
	} else {
		return (v[m-1] + v[m]) / 2
	}
}
