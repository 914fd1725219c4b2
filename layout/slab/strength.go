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

// Strength estimates. hole, in plan, is the outline of what has been cut out;
// nil for none.
//
// A skin is taken as two crossed strips of itself, simply supported, that
// share the load by stiffness: one along the grain from rib to rib, one across
// it; each as wide as the other is long, but no wider than half its own span.
// For a strip of span L, width b, thickness t: sag P L³/(4 E b t³), stress
// 3 P L/(2 b t²) (any text on beams).
//
// The slab is a beam on two supports at a twentieth of its length from the
// ends; its stiffness at each station is the sum of its strips' E·I about the
// common neutral height, chambers and hole left out; sag by integrating
// M·m/EI along it (unit-load method).
func (s *Slab) Strength(skinLoadN, slabLoadN float64, hole geom.Polygon) Strength {
	var out Strength
	f := s.field()
	bands := s.bands()
	layout := make([][]span, len(s.Strips))
	for _, c := range s.Chambers {
		layout[c.Strip] = append(layout[c.Strip], span{c.From, c.To})
	}
	hollowAt := func(strip int, x float64) bool {
		for _, g := range layout[strip] {
			if x > g.from && x < g.to {
				return true
			}
		}
		return false
	}
	for i, c := range s.Chambers {
		x := (c.From + c.To) / 2
		lo, hi := c.Strip, c.Strip
		for lo > 0 && hollowAt(lo-1, x) {
			lo--
		}
		for hi+1 < len(s.Strips) && hollowAt(hi+1, x) {
			hi++
		}
		parts := s.parts(c.Strip)
		sp := species(parts[partAt(parts, bands[c.Strip], bands[c.Strip+1], geom.Pt(x, (bands[c.Strip]+bands[c.Strip+1])/2))].wood)
		k := SkinStrength{Chamber: s.chamberName(i), SpanMm: c.To - c.From, AcrossMm: bands[hi+1] - bands[lo], LoadN: skinLoadN}
		if sp.MOE > 0 {
			t := min(c.TopSkin, c.BottomSkin)
			stiff := func(l, b, e float64) float64 { return 4 * e * b * t * t * t / (l * l * l) } // N/mm
			bAlong, bAcross := min(k.AcrossMm, k.SpanMm/2), min(k.SpanMm, k.AcrossMm/2)
			along, across := stiff(k.SpanMm, bAlong, sp.MOE), stiff(k.AcrossMm, bAcross, acrossStiffness*sp.MOE)
			k.SagMm = skinLoadN / (along + across)
			if sp.MOR > 0 {
				// Load at which the strip along breaks, and the one across.
				breakAlong := sp.MOR * 2 * bAlong * t * t / (3 * k.SpanMm) * (along + across) / along
				breakAcross := acrossStrength * sp.MOR * 2 * bAcross * t * t / (3 * k.AcrossMm) * (along + across) / across
				k.BreaksAtN = min(breakAlong, breakAcross)
				k.LoadToBreak = skinLoadN / k.BreaksAtN
			}
		}
		out.Skins = append(out.Skins, k)
	}

	ring := transposed(s.Outline().Polygon(flatness))
	holeAcross := transposed(hole)
	a := s.Length * 0.05
	b := s.Length - a
	out.Bending = BeamStrength{SpanMm: b - a, LoadN: slabLoadN}
	type fibre struct{ area, z, own, e, mor float64 }
	section := func(x float64) (ei, top, bottom, neutral, mor float64) {
		in, gone := crossings(ring, x), crossings(holeAcross, x)
		t, bt := f.heights(x)
		var fs []fibre
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
			parts := s.parts(i)
			sp := species(parts[partAt(parts, bands[i], bands[i+1], geom.Pt(x, (bands[i]+bands[i+1])/2))].wood)
			if sp.MOE == 0 {
				continue
			}
			if sp.MOR > 0 {
				mor = min(mor, sp.MOR)
			}
			h := t - bt
			fs = append(fs, fibre{width * h, (t + bt) / 2, width * h * h * h / 12, sp.MOE, sp.MOR})
			for _, c := range s.Chambers {
				if c.Strip == i && x > c.From && x < c.To {
					r, fl := f.roof(x, c.TopSkin), f.floor(x, c.BottomSkin)
					d := r - fl
					fs = append(fs, fibre{-width * d, (r + fl) / 2, -width * d * d * d / 12, sp.MOE, sp.MOR})
				}
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
		// Stress in the stiffest fibre bounds the others; its E is taken as
		// the mean, σ = M y E/EI with E·I over I of the same section.
		mean := 0.0
		area := 0.0
		for _, st := range s.Strips {
			if sp := species(st.Pieces[0]); sp.MOE > 0 {
				mean += sp.MOE * st.Thickness()
				area += st.Thickness()
			}
		}
		mean /= max(area, 1e-9)
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
