package slab

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
)

const pound = 453.59237 // grams

// A trade fact, common practice, no source: a shaped, solid, strip-built board
// about 6 ft by 20 in of mostly light softwood weighs about 68 lb, and about
// 22 lb hollowed in roughly one-foot chambers with quarter-inch skins, one
// solid body-sized area left.
//
// Every dimension used here: 72 in long, a stack of 20 in of fifteen strips
// from right to left, each with its mirror image: redwood (second growth) 1⅞,
// walnut ¼, redcedar 2½, maple ¼, redwood 2½, walnut ¼, redcedar 1⅞ in, then a
// redwood middle of 1 in; half-breadths 6 in at the start, 9 at 12 in, 9.9 at
// 30 in, 10 at 42 in, 9.2 at 60 in, 6.5 at 72 in; 4¼ in thick amidships, 3¼ in
// at the ends, which stand 2 in up; edges rounded ¾ in above and ½ in below;
// skins ¼ in, ribs ¾ in, ends 2 in, walls ¾ in, chambers at most 12 in;
// reserved a body-sized 18 × 13 in oval.
func tradeSlab() (*Slab, ChamberRules, []geom.Polygon) {
	s := &Slab{Length: 72 * inch, Edge: Edge{TopRadius: 0.75 * inch, BottomRadius: 0.5 * inch}}
	half := []struct {
		wood string
		in   float64
	}{{"redwood-second-growth", 1.875}, {"black-walnut", 0.25}, {"western-redcedar", 2.5}, {"hard-maple", 0.25}, {"redwood-second-growth", 2.5}, {"black-walnut", 0.25}, {"western-redcedar", 1.875}}
	strip := func(k int) Strip {
		return Strip{Pieces: []Piece{{Wood: half[k].wood, Thickness: half[k].in * inch, RingAngle: math.NaN()}}}
	}
	for k := range half {
		s.Strips = append(s.Strips, strip(k))
	}
	s.Strips = append(s.Strips, Strip{Pieces: []Piece{{Wood: "redwood-second-growth", Thickness: 1 * inch, RingAngle: math.NaN()}}})
	for k := len(half) - 1; k >= 0; k-- {
		s.Strips = append(s.Strips, strip(k))
	}
	at := func(list ...float64) (out []Station) {
		for i := 0; i < len(list); i += 2 {
			out = append(out, Station{list[i] * inch, list[i+1] * inch})
		}
		return out
	}
	s.Plan = Plan{Stations: at(0, 6, 12, 9, 30, 9.9, 42, 10, 60, 9.2, 72, 6.5)}
	s.Profile = Profile{Top: at(0, 5.25, 18, 4.5, 36, 4.25, 54, 4.5, 72, 5.25), Bottom: at(0, 2, 18, 0.4, 36, 0, 54, 0.4, 72, 2)}
	rules := DefaultChamberRules()
	rules.TopSkin, rules.BottomSkin, rules.Rib, rules.End, rules.Wall, rules.Longest = 0.25*inch, 0.25*inch, 0.75*inch, 2*inch, 0.75*inch, 12*inch
	rules.LeastGlue = 0
	var oval geom.Polygon
	for k := range 180 {
		a := 2 * math.Pi * float64(k) / 180
		oval = append(oval, geom.Pt(36*inch+9*inch*math.Cos(a), 6.5*inch*math.Sin(a)))
	}
	return s, rules, []geom.Polygon{oval}
}

func TestTradeFactSixFootBoard(t *testing.T) {
	s, rules, reserved := tradeSlab()
	require.NoError(t, s.Check())
	assert.InDelta(t, 20*inch, s.Width(), 1e-9)
	s.Chambers = PlanChambers(s, rules, reserved)
	w := s.Weight()
	h := s.Hollowing(rules, reserved)
	before, after := w.BeforeG/pound, w.AfterG/pound
	assert.True(t, before >= 55 && before <= 80, "%.1f lb before", before)
	assert.True(t, after/before >= 0.30 && after/before <= 0.60, "%.1f of %.1f lb", after, before)
	r := h.Remains
	parts := r.ReservedG + r.SkinsG + r.RibsG + r.SolidStripsG + r.WallsAndEndsG
	assert.InDelta(t, w.AfterG, parts-w.EdgeRoundingG, 1e-3*w.AfterG, "what is left adds up")
	t.Logf("%.1f lb solid, %.1f lb hollowed in %d chambers (remembered: 68 and 22). Of what is left: reserved %.1f, skins %.1f, ribs %.1f, accent strips left solid %.1f, walls and ends %.1f lb, less %.1f lb of edge rounding.",
		before, after, len(s.Chambers), r.ReservedG/pound, r.SkinsG/pound, r.RibsG/pound, r.SolidStripsG/pound, r.WallsAndEndsG/pound, w.EdgeRoundingG/pound)
	for _, part := range []float64{r.ReservedG, r.SkinsG, r.RibsG, r.SolidStripsG, r.WallsAndEndsG} {
		assert.Positive(t, part)
	}
}
