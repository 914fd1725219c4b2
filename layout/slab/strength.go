package slab

import (
	"math"

	"slabwright/body/geom"
)

// Strength is an estimate from averages of clear wood, for comparing layouts:
// not a design value. Where people sit or stand under or on the slab it is
// for licensed practice to decide.
type Strength struct {
	Skins   []SkinStrength `json:"skins"`
	Bending BeamStrength   `json:"bending"`
	Notes   []string       `json:"notes"`
}

// SkinStrength is a chamber's thinner skin under a point load in its middle.
type SkinStrength struct {
	Chamber     string  `json:"chamber"`
	SpanMm      float64 `json:"span_mm"`       // along the grain, rib to rib
	AcrossMm    float64 `json:"across_mm"`     // across the grain, to the next solid wood on both sides
	LoadN       float64 `json:"load_n"`        // given
	SagMm       float64 `json:"sag_mm"`        // under it
	BreaksAtN   float64 `json:"breaks_at_n"`   // about; 0 where the wood's strength is not known
	LoadToBreak float64 `json:"load_to_break"` // LoadN / BreaksAtN
}

// BeamStrength is the whole slab resting near its ends with a load in the
// middle, with the hole that the instrument leaves, if one is given.
type BeamStrength struct {
	SpanMm    float64 `json:"span_mm"`
	LoadN     float64 `json:"load_n"`
	WeakestMm float64 `json:"weakest_at_mm"` // where the stress is greatest
	StressMpa float64 `json:"stress_mpa"`
	UsedOfMOR float64 `json:"share_of_rupture"` // of the weakest wood there; 0 where not known
	SagMm     float64 `json:"sag_mm"`
}

// Ratio of stiffness across the grain to that along it, and strength across:
// Wood Handbook Tables 5-1 and 5-3 in the round, from memory.
const (
	acrossStiffness = 0.06
	acrossStrength  = 0.05
)

// thumbPatch is the side of the square that a point load is spread over, mm.
const thumbPatch = 20

// plateAnswer is what a load of 1 N in the middle of a plate does: the sag in
// mm and the bending moments along and across, N·mm for each mm of width.
type plateAnswer struct{ sag, along, across float64 }

// plate is a simply supported rectangle of sides a (along) and b (across) with
// bending stiffnesses da and db (N·mm), twisting stiffness √(da·db) (Huber's
// assumption), loaded by 1 N spread over a square of thumbPatch in its middle:
// Navier's double series (S. Timoshenko and S. Woinowsky-Krieger, Theory of
// Plates and Shells, 1959, sections 34 and 85). The series of the moments
// converges as the patch is a patch; terms up to 61 leave about a percent.
func plate(a, b, da, db float64) plateAnswer {
	u, v := min(thumbPatch, a), min(thumbPatch, b)
	h := math.Sqrt(da * db)
	var out plateAnswer
	const terms = 61
	var row, column [terms + 1]float64 // sin(mπu/2a)/(mπu/2a), the patch's share in each wave
	share := func(x float64) float64 { return math.Sin(x) / x }
	for m := 1; m <= terms; m += 2 {
		row[m] = share(float64(m) * math.Pi * u / (2 * a))
		column[m] = share(float64(m) * math.Pi * v / (2 * b))
	}
	for m := 1; m <= terms; m += 2 {
		km := float64(m) * math.Pi / a
		km *= km
		sum, across := 0.0, 0.0
		for n := 1; n <= terms; n += 2 {
			kn := float64(n) * math.Pi / b
			kn *= kn
			w := column[n] / (da*km*km + (2*h*km+db*kn)*kn)
			sum += w
			across += kn * w
		}
		c := 4 / (a * b) * row[m]
		out.sag += c * sum
		out.along += da * km * c * sum
		out.across += db * c * across
	}
	return out
}

// Strength estimates. hole, in plan, is the outline of what has been cut out;
// nil for none.
//
// A skin is an orthotropic plate, simply supported all round (glued edges hold
// better), under the load spread over a square of thumbPatch in its middle;
// see plate.
//
// The slab is a beam on two supports at a twentieth of its length from the
// ends; its stiffness at each station is the sum of its strips' E·I about the
// common neutral height, chambers and hole left out; sag by integrating
// M·m/EI along it (unit-load method).
func (s *Slab) Strength(skinLoadN, slabLoadN float64, hole geom.Polygon) Strength {
	return s.survey().strength(skinLoadN, slabLoadN, hole)
}

func (v *survey) strength(skinLoadN, slabLoadN float64, hole geom.Polygon) Strength {
	var out Strength
	s, f, bands := v.s, v.f, v.bands
	layout := s.byStrip(s.Chambers)
	// hollowAt is the chamber of a strip at x, if there is one.
	hollowAt := func(strip int, x float64) *Chamber {
		for k := range layout[strip] {
			if c := &layout[strip][k]; x > c.From && x < c.To {
				return c
			}
		}
		return nil
	}
	faces := map[hollowKey][2]float64{} // roof and floor at a station, by skins
	type skinKey struct{ span, across, thickness, moe float64 }
	plates := map[skinKey]plateAnswer{}
	for i, c := range s.Chambers {
		x := (c.From + c.To) / 2
		lo, hi := c.Strip, c.Strip
		for lo > 0 && hollowAt(lo-1, x) != nil {
			lo--
		}
		for hi+1 < len(s.Strips) && hollowAt(hi+1, x) != nil {
			hi++
		}
		sp := v.woodAt(c.Strip, x)
		k := SkinStrength{Chamber: s.chamberName(i), SpanMm: c.To - c.From, AcrossMm: bands[hi+1] - bands[lo], LoadN: skinLoadN}
		if sp.moe > 0 {
			t := min(c.TopSkin, c.BottomSkin)
			key := skinKey{k.SpanMm, k.AcrossMm, t, sp.moe}
			p, ok := plates[key]
			if !ok {
				d := sp.moe * t * t * t / 12
				p = plate(k.SpanMm, k.AcrossMm, d, acrossStiffness*d)
				plates[key] = p
			}
			k.SagMm = skinLoadN * p.sag
			if sp.mor > 0 {
				along, across := 6*p.along/(t*t), 6*p.across/(t*t) // MPa for each N
				k.BreaksAtN = min(sp.mor/along, acrossStrength*sp.mor/across)
				k.LoadToBreak = skinLoadN / k.BreaksAtN
			}
		}
		out.Skins = append(out.Skins, k)
	}

	ring := newRows(transposed(v.chord))
	holeAcross := newRows(transposed(hole))
	a := s.Length * 0.05
	b := s.Length - a
	out.Bending = BeamStrength{SpanMm: b - a, LoadN: slabLoadN}
	type fibre struct{ area, z, own, e float64 }
	fs := make([]fibre, 0, 2*len(s.Strips))
	section := func(x float64) (ei, top, bottom, neutral, mor float64) {
		in, gone := ring.crossings(x), holeAcross.crossings(x)
		t, bt := f.heights(x)
		fs = fs[:0]
		mor = math.Inf(1)
		for i := range s.Strips {
			width := 0.0
			for _, c := range in {
				width += max(0, min(c.to, bands[i+1])-max(c.from, bands[i]))
				for _, g := range gone {
					width -= max(0, min(c.to, bands[i+1], g.to)-max(c.from, bands[i], g.from))
				}
			}
			if width <= 1e-9 {
				continue
			}
			sp := v.woodAt(i, x)
			if sp.moe == 0 {
				continue
			}
			if sp.mor > 0 {
				mor = min(mor, sp.mor)
			}
			h := t - bt
			fs = append(fs, fibre{width * h, (t + bt) / 2, width * h * h * h / 12, sp.moe})
			if c := hollowAt(i, x); c != nil {
				key := hollowKey{x, x, c.TopSkin, c.BottomSkin}
				rf, ok := faces[key]
				if !ok {
					rf = [2]float64{f.roof(x, c.TopSkin), f.floor(x, c.BottomSkin)}
					faces[key] = rf
				}
				d := rf[0] - rf[1]
				fs = append(fs, fibre{-width * d, (rf[0] + rf[1]) / 2, -width * d * d * d / 12, sp.moe})
			}
		}
		ea, ez := 0.0, 0.0
		for _, q := range fs {
			ea += q.e * q.area
			ez += q.e * q.area * q.z
		}
		if ea <= 0 {
			return 0, t, bt, (t + bt) / 2, 0
		}
		neutral = ez / ea
		for _, q := range fs {
			ei += q.e * (q.own + q.area*(q.z-neutral)*(q.z-neutral))
		}
		if math.IsInf(mor, 1) {
			mor = 0
		}
		return ei, t, bt, neutral, mor
	}
	// Stress in the stiffest fibre bounds the others; E is taken as the mean
	// over the width, σ = M y E/EI with E·I over the same section's strips.
	mean, width := 0.0, 0.0
	for i, t := range s.Strips {
		if e := v.woods[v.first[i]].moe; e > 0 {
			mean += e * t.Thickness()
			width += t.Thickness()
		}
	}
	mean /= max(width, 1e-9)
	const n = 120
	h := (b - a) / n
	for k := range n {
		x := a + h*(float64(k)+0.5)
		ei, t, bt, neutral, mor := section(x)
		m := slabLoadN / 2 * min(x-a, b-x) // N·mm
		if ei <= 0 {
			out.Bending.SagMm = math.Inf(1)
			out.Notes = append(out.Notes, "The hole leaves no wood across the whole width.")
			break
		}
		out.Bending.SagMm += m * min(x-a, b-x) / 2 / ei * h
		stress := m * max(t-neutral, neutral-bt) * mean / ei
		if stress > out.Bending.StressMpa {
			out.Bending.StressMpa, out.Bending.WeakestMm = stress, x
			if mor > 0 {
				out.Bending.UsedOfMOR = stress / mor
			}
		}
	}
	if math.IsInf(out.Bending.SagMm, 1) {
		out.Bending.SagMm = 0
	}
	out.Notes = append(out.Notes,
		"Estimates from averages of small clear specimens; boards differ by a fifth and more, glue lines and knots count for nothing here. Long loads sag about twice as far.",
		"If people sit or stand on or under it, have it judged by licensed practice under the local code.")
	return out
}
