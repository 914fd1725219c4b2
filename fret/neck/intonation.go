package neck

import "math"

// Instrument is the geometry one string is played in, millimetres. Heights
// are over the plane of the fret tops under that string.
//
//	nut                                             saddle
//	 |‾‾--__                                       __--|   k: saddle over nut
//	 |  h    ‾‾--__        finger          __---‾‾     |
//	 +--------|---------p_/|---------------------------+   plane of fret tops
//	        fret n−1      fret n
type Instrument struct {
	// ScaleMm is S, nut to saddle without setbacks.
	ScaleMm float64
	// NutHeightMm is h; SaddleRiseMm is k.
	NutHeightMm, SaddleRiseMm float64
	// FingerMm is p, how far behind the fret the finger's lowest point lies.
	FingerMm float64
	// FallMm is D, by how much the plane of the fret tops falls away from the
	// string, in a straight line, at the octave. It is not the hollow that
	// makers call relief.
	FallMm float64
	// Ratios are the wanted frequency ratios of frets 1, 2, … to the open
	// string; Left the share of the scale from each fret to the saddle. With
	// straight frets in their right places Left is 1/Ratio.
	Ratios, Left []float64
	// FullStiffness takes the bending number of a stopped string from its
	// definition, B (L₀/L_n)/sqrt(1 + K Q_n). Without it B_n is ratio · B, as
	// the tables of the paper need; they differ by up to 0.05 mm of setback.
	FullStiffness bool
}

// CentsByCause is the error of one fret, split as the paper splits it.
type CentsByCause struct{ Length, Weight, Tension, Stiffness float64 }

// Total of the four causes.
func (c CentsByCause) Total() float64 { return c.Length + c.Weight + c.Tension + c.Stiffness }

// The model is that of M. B. Anderson and R. G. Beausoleil, "Classical guitar
// intonation and compensation: The well-tempered guitar", J. Acoust. Soc. Am.
// 156, 683 (2024): a string pinned at the saddle and clamped at the nut or
// fret, stretched by being pressed to the fret,
//
//	f = 1/(2L) sqrt(T/μ) [1 + B + (1 + π²/2) B²].
//
// stiff is the bracket.
func stiff(b float64) float64 { return 1 + b + (1+math.Pi*math.Pi/2)*b*b }

// open and stopped lengths. s and m are the setbacks of saddle and nut, both
// positive where they make the open string longer.
func (in Instrument) open(s, m float64) float64 {
	return math.Hypot(in.ScaleMm+s+m, in.SaddleRiseMm)
}

// Stretch is Q_n of fret i (counted from 0), the relative lengthening of the
// string by pressing it down, and the sounding length.
func (in Instrument) stretch(i int, s, m float64) (q, sounding float64) {
	x := in.ScaleMm * in.Left[i]
	h, k, p := in.NutHeightMm, in.SaddleRiseMm, in.FingerMm
	rise := func(k float64) (sounding, total float64) {
		sounding = math.Hypot(x+s, h+k)
		behind := sounding*p/(x+s) + math.Hypot(in.ScaleMm-x+m-p, h+(h+k)*p/(x+s))
		return sounding, sounding + behind
	}
	l0 := in.open(s, m)
	sounding, total := rise(k)
	if in.FallMm != 0 {
		// The paper puts k + 2D in place of k in Q_n, but not in L₀ itself; the
		// open string it is compared with is straight, so its own rise cancels:
		// Q is taken with both lengths at the larger rise.
		_, total = rise(k + 2*in.FallMm)
		l0 = math.Hypot(in.ScaleMm+s+m, k+2*in.FallMm)
	}
	return (total - l0) / l0, sounding
}

// Cents is the error of every fret against Ratios for a string of stretch
// number K and bending number B, with setbacks s (saddle) and m (nut) in mm.
func (in Instrument) Cents(k, b, s, m float64) []CentsByCause {
	out := make([]CentsByCause, len(in.Ratios))
	l0 := in.open(s, m)
	f0 := stiff(b)
	for i, g := range in.Ratios {
		q, ln := in.stretch(i, s, m)
		bn := b * g
		if in.FullStiffness {
			bn = b * l0 / ln / math.Sqrt(1+k*q)
		}
		out[i] = CentsByCause{
			Length:    1200 * math.Log2(l0/(g*ln)),
			Weight:    600 * math.Log2(1+q),
			Tension:   600 * math.Log2(1+k*q),
			Stiffness: 1200 * math.Log2(stiff(bn)/f0),
		}
	}
	return out
}

// total is Cents with fewer logarithms, for the fits.
func (in Instrument) total(k, b, s, m float64, out []float64) {
	l0 := in.open(s, m)
	f0 := stiff(b)
	for i, g := range in.Ratios {
		q, ln := in.stretch(i, s, m)
		bn := b * g
		if in.FullStiffness {
			bn = b * l0 / ln / math.Sqrt(1+k*q)
		}
		r := l0 / (g * ln) * stiff(bn) / f0
		out[i] = 600 * math.Log2(r*r*(1+q)*(1+k*q))
	}
}

// Setback is how far saddle and nut are moved, in mm, positive where it makes
// the open string longer; RmsCents is the weighted root mean square error left
// over the frets of the fit.
type Setback struct{ SaddleMm, NutMm, RmsCents float64 }

// Compensate finds the setbacks that minimise the weighted sum of squares of
// the error over frets 1 … frets. weights may be nil (all equal) or hold one
// number ≥ 0 a fret; at least two frets (one without nut) need a weight. With
// nut false the nut stays where it is.
func (in Instrument) Compensate(k, b float64, frets int, weights []float64, nut bool) Setback {
	n := min(frets, len(in.Ratios))
	in.Ratios, in.Left = in.Ratios[:n], in.Left[:n]
	weight := func(i int) float64 {
		if i < len(weights) {
			return weights[i]
		}
		if weights != nil {
			return 0
		}
		return 1
	}
	var s, m float64
	e, es, em := make([]float64, n), make([]float64, n), make([]float64, n)
	// Gauss-Newton with differences. To first order the error is linear in s
	// and m, so the sum of squares is a smooth bowl and a few steps reach its
	// floor. A step that does not lower the sum is halved: needed only for
	// strings far too high over the frets.
	const d = 1e-4
	sum := func(e []float64) (total float64) {
		for i := range e {
			total += weight(i) * e[i] * e[i]
		}
		return total
	}
	in.total(k, b, s, m, e)
	now := sum(e)
	for range 40 {
		in.total(k, b, s+d, m, es)
		in.total(k, b, s, m+d, em)
		var ss, sm, mm, se, me float64
		for i := range n {
			w, a, c := weight(i), (es[i]-e[i])/d, (em[i]-e[i])/d
			ss += w * a * a
			sm += w * a * c
			mm += w * c * c
			se += w * a * e[i]
			me += w * c * e[i]
		}
		ds, dm := -se/ss, 0.0
		if nut {
			det := ss*mm - sm*sm
			ds, dm = -(se*mm-me*sm)/det, -(me*ss-se*sm)/det
		}
		if math.Abs(ds)+math.Abs(dm) < 1e-7 { // a tenth of a nanometre: arrived
			break
		}
		better := false
		for range 30 {
			if in.fits(s+ds, m+dm) {
				in.total(k, b, s+ds, m+dm, es)
				if next := sum(es); next <= now {
					s, m, now, better = s+ds, m+dm, next, true
					e, es = es, e
					break
				}
			}
			ds, dm = ds/2, dm/2
		}
		if !better {
			break
		}
	}
	return Setback{s, m, in.rms(k, b, s, m, weight)}
}

// fits tells whether saddle and nut stay clear of the frets, by half of the
// room at least.
func (in Instrument) fits(s, m float64) bool {
	first, last := in.Left[0], in.Left[len(in.Left)-1]
	return s > -in.ScaleMm*last/2 && m > -in.ScaleMm*(1-first)/2+in.FingerMm/2 && s < in.ScaleMm && m < in.ScaleMm
}

func (in Instrument) rms(k, b, s, m float64, weight func(int) float64) float64 {
	e := make([]float64, len(in.Ratios))
	in.total(k, b, s, m, e)
	sum, all := 0.0, 0.0
	for i := range e {
		sum += weight(i) * e[i] * e[i]
		all += weight(i)
	}
	return math.Sqrt(sum / all)
}

// Estimate is the quick rule of the same paper: s = B S and
// m = −K S mean(Q)/2, with the mean over the first twelve frets of equal
// temperament (77.9 h² + 35.6 h k + 5.82 k²)/(24 S²). It is for a first
// guess; Compensate is the answer.
func (in Instrument) Estimate(k, b float64) Setback {
	h, r, s := in.NutHeightMm, in.SaddleRiseMm, in.ScaleMm
	mean := (77.9*h*h + 35.6*h*r + 5.82*r*r) / (24 * s * s)
	return Setback{SaddleMm: b * s, NutMm: -k * s * mean / 2}
}
