package slab

import (
	"math"
	"slices"
	"sort"
)

// Spline is the fair curve through stations with growing X: a cubic between
// each two stations, smooth where they join, that rises only where the
// stations rise and falls only where they fall. So it has no wiggle between
// stations: its highest and lowest points are stations.
//
// Slopes at inner stations are the weighted harmonic mean of the two chords
// (F. N. Fritsch and J. Butland, A method for constructing local monotone
// piecewise cubic interpolants, SIAM J. Sci. Stat. Comput. 5, 1984), which
// meet the condition of F. N. Fritsch and R. E. Carlson (Monotone piecewise
// cubic interpolation, SIAM J. Numer. Anal. 17, 1980); end slopes are the
// limited three-point formula (C. Moler, Numerical Computing with MATLAB,
// 2004, chapter 3).
//
// One station means the same value everywhere; outside the stations the end
// values hold. The empty Spline is 0.
type Spline []Station

// At is the value at x.
func (s Spline) At(x float64) float64 {
	v, _ := s.eval(x)
	return v
}

// SlopeAt is the derivative at x; 0 outside the stations.
func (s Spline) SlopeAt(x float64) float64 {
	_, d := s.eval(x)
	return d
}

func (s Spline) eval(x float64) (value, slope float64) {
	n := len(s)
	switch {
	case n == 0:
		return 0, 0
	case n == 1 || x < s[0].X:
		return s[0].Value, 0
	case x > s[n-1].X:
		return s[n-1].Value, 0
	}
	c := s.piece(s.find(x))
	return c.at(x), c.slope(x)
}

// find is the piece that holds x, for x within the stations.
func (s Spline) find(x float64) int {
	i := sort.Search(len(s), func(i int) bool { return s[i].X > x }) - 1
	return max(0, min(i, len(s)-2))
}

// cubic is the piece over [x, x+h]: its ends and the slopes there.
type cubic struct{ x, h, v0, v1, m0, m1 float64 }

func (s Spline) piece(i int) cubic {
	a, b := s[i], s[i+1]
	return cubic{a.X, b.X - a.X, a.Value, b.Value, s.stationSlope(i), s.stationSlope(i + 1)}
}

func (s Spline) chord(i int) (h, d float64) {
	h = s[i+1].X - s[i].X
	return h, (s[i+1].Value - s[i].Value) / h
}

func (s Spline) stationSlope(i int) float64 {
	n := len(s)
	if n == 2 {
		_, d := s.chord(0)
		return d
	}
	if i == 0 {
		h0, d0 := s.chord(0)
		h1, d1 := s.chord(1)
		return endSlope(h0, h1, d0, d1)
	}
	if i == n-1 {
		h0, d0 := s.chord(n - 2)
		h1, d1 := s.chord(n - 3)
		return endSlope(h0, h1, d0, d1)
	}
	h0, d0 := s.chord(i - 1)
	h1, d1 := s.chord(i)
	if d0*d1 <= 0 {
		return 0
	}
	w0, w1 := 2*h1+h0, h1+2*h0
	return (w0 + w1) / (w0/d0 + w1/d1)
}

func endSlope(h0, h1, d0, d1 float64) float64 {
	m := ((2*h0+h1)*d0 - h0*d1) / (h0 + h1)
	if m*d0 <= 0 {
		return 0
	}
	if d0*d1 <= 0 && math.Abs(m) > 3*math.Abs(d0) {
		return 3 * d0
	}
	return m
}

func (c cubic) at(x float64) float64 {
	if c.v0 == c.v1 && c.m0 == 0 && c.m1 == 0 {
		return c.v0 // level pieces are asked for values far outside them
	}
	t := (x - c.x) / c.h
	s := 1 - t
	return s*s*(1+2*t)*c.v0 + t*t*(3-2*t)*c.v1 + c.h*t*s*(s*c.m0-t*c.m1)
}

func (c cubic) slope(x float64) float64 {
	t := (x - c.x) / c.h
	a, b, d := c.slopeTerms()
	return (a*t+b)*t + d
}

// slopeTerms are the factors of the slope a t² + b t + d, t from 0 to 1.
func (c cubic) slopeTerms() (a, b, d float64) {
	chord := (c.v1 - c.v0) / c.h
	return 3 * (c.m0 + c.m1 - 2*chord), 6*chord - 4*c.m0 - 2*c.m1, c.m0
}

// level lists the x inside the piece where the slope is zero.
func (c cubic) level() []float64 {
	a, b, d := c.slopeTerms()
	var ts []float64
	if a == 0 {
		if b != 0 {
			ts = append(ts, -d/b)
		}
	} else if disc := b*b - 4*a*d; disc >= 0 {
		q := -(b + math.Copysign(math.Sqrt(disc), b)) / 2
		ts = append(ts, q/a)
		if q != 0 {
			ts = append(ts, d/q)
		}
	}
	var xs []float64
	for _, t := range ts {
		if t > 0 && t < 1 {
			xs = append(xs, c.x+t*c.h)
		}
	}
	sort.Float64s(xs)
	return xs
}

// Range is the least and the greatest value over [x0, x1] and where they
// are, exact to rounding: they lie at the ends, at stations, or where the
// slope of a piece is zero. Of equal values the first along x is named.
func (s Spline) Range(x0, x1 float64) (least, greatest, xLeast, xGreatest float64) {
	least, greatest = math.Inf(1), math.Inf(-1)
	look := func(x float64) {
		v := s.At(x)
		if v < least {
			least, xLeast = v, x
		}
		if v > greatest {
			greatest, xGreatest = v, x
		}
	}
	look(x0)
	if len(s) > 1 {
		first := s.find(max(x0, s[0].X))
		for i := first; i < len(s)-1 && s[i].X < x1; i++ {
			if s[i].X > x0 {
				look(s[i].X)
			}
			// A piece of a Spline is monotone, so its slope is zero inside
			// only to rounding; looking costs nothing and needs no proof.
			for _, x := range s.piece(i).level() {
				if x > x0 && x < x1 {
					look(x)
				}
			}
		}
		if last := s[len(s)-1].X; last > x0 && last < x1 {
			look(last)
		}
	}
	look(x1)
	return least, greatest, xLeast, xGreatest
}

// SlopeBound is the greatest |slope| anywhere, exact to rounding.
func (s Spline) SlopeBound() float64 {
	m := 0.0
	for i := 0; i+1 < len(s); i++ {
		c := s.piece(i)
		a, b, d := c.slopeTerms()
		m = max(m, max(math.Abs(d), math.Abs(a+b+d)))
		if a != 0 {
			if t := -b / (2 * a); t > 0 && t < 1 {
				m = max(m, math.Abs((a*t+b)*t+d))
			}
		}
	}
	return m
}

// bendBound is the greatest |second derivative|, in 1/mm.
func (s Spline) bendBound() float64 {
	m := 0.0
	for i := 0; i+1 < len(s); i++ {
		c := s.piece(i)
		a, b, _ := c.slopeTerms()
		m = max(m, max(math.Abs(b), math.Abs(2*a+b))/c.h)
	}
	return m
}

// knots are the x of the stations inside (x0, x1), appended to dst.
func (s Spline) knots(dst []float64, x0, x1 float64) []float64 {
	for _, p := range s {
		if p.X > x0 && p.X < x1 {
			dst = append(dst, p.X)
		}
	}
	return dst
}

// over is the piece that holds x; beyond the stations a level one.
func (s Spline) over(x float64) cubic {
	n := len(s)
	switch {
	case n == 0:
		return cubic{x, 1, 0, 0, 0, 0}
	case n == 1 || x < s[0].X:
		return cubic{x, 1, s[0].Value, s[0].Value, 0, 0}
	case x > s[n-1].X:
		return cubic{x, 1, s[n-1].Value, s[n-1].Value, 0, 0}
	}
	return s.piece(s.find(x))
}

func sortedUnique(xs []float64) []float64 {
	slices.Sort(xs)
	return slices.Compact(xs)
}
