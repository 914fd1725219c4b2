package slab

import (
	"fmt"
	"math"

	"slabwright/body/geom"
)

// easing is how one face's edge is eased: a radius, or a chamfer of 45°.
type easing struct {
	size    float64 // in from the side, and down it
	chamfer bool
}

func ease(radius, chamfer float64) easing {
	if chamfer > 0 {
		return easing{chamfer, true}
	}
	return easing{radius, false}
}

func (e Edge) top() easing    { return ease(e.TopRadius, e.TopChamfer) }
func (e Edge) bottom() easing { return ease(e.BottomRadius, e.BottomChamfer) }

// reach is how far in from the side either face is eased.
func (e Edge) reach() float64 { return max(e.top().size, e.bottom().size) }

// Covering is an edge with radii alone that takes off no less than e does
// anywhere, for those who ask what wood is there for certain: a chamfer of
// r (2 − √2) touches a rounding of radius r from outside.
func (e Edge) Covering() Edge {
	round := func(e easing) float64 {
		if e.chamfer {
			return e.size / (2 - math.Sqrt2)
		}
		return e.size
	}
	return Edge{TopRadius: round(e.top()), BottomRadius: round(e.bottom())}
}

// taken is ∫ drop dd from 0 to d ≤ size, where drop is how deep the easing
// takes the face down at the distance d from the outline: r − √(r² − (r−d)²) or
// c − d.
func (e easing) taken(d float64) float64 {
	r := e.size
	if e.chamfer {
		return d * (r - d/2)
	}
	c := r - d // ∫ √(r² − c²) dc from c to r
	return r*d - (r*r*math.Acos(min(1, c/r))-c*math.Sqrt(max(0, r*r-c*c)))/2
}

// moment is ∫ d · drop dd over the whole easing.
func (e easing) moment() float64 {
	cube := e.size * e.size * e.size
	if e.chamfer {
		return cube / 6
	}
	return cube * (5.0/6 - math.Pi/4)
}

// layer is Gauss's point k of 4·panels over the depths of the easing: the
// distance t from the outline where it has that depth, the drop there, and the
// weight, for integrals ∫ −drop′(t) dt.
func (e easing) layer(panels, k int) (t, drop, w float64) {
	g := gauss4[k%4]
	at := (float64(k/4) + g[0]) / float64(panels)
	w = g[1] / float64(panels)
	if e.chamfer {
		return e.size * at, e.size * (1 - at), e.size * w
	}
	sin, cos := math.Sincos(math.Pi / 2 * at)
	return e.size * (1 - cos), e.size * (1 - sin), math.Pi / 2 * w * e.size * cos
}

// around is the length of the eased surface across the edge.
func (e easing) around() float64 {
	if e.chamfer {
		return math.Sqrt2 * e.size
	}
	return math.Pi / 2 * e.size
}

// wood is the least wood between the easing and a corner of a chamber that
// lies w in from the side and a skin from the face.
func (e easing) wood(w, skin float64) float64 {
	least := min(w, skin)
	switch {
	case e.chamfer && math.Abs(w-skin) <= e.size: // else an end of the chamfer is nearest
		least = min(least, (w+skin-e.size)/math.Sqrt2)
	case !e.chamfer && w < e.size && skin < e.size:
		least = e.size - math.Hypot(e.size-w, e.size-skin)
	}
	return least
}

// EdgePlan is how to ease one face's edge: lines to mark, flats to plane.
type EdgePlan struct {
	Face      string  `json:"face"` // "top", "bottom"
	RadiusMm  float64 `json:"radius_mm"`
	ChamferMm float64 `json:"chamfer_mm"` // in place of a radius

	// Rounds are the flats: the first takes off the corner, the second the
	// corners that leaves; sanding takes the rest.
	Rounds []ChamferRound `json:"rounds"`

	// What is left near the edge: upright side between what is taken off at the
	// two faces, where the slab is thinnest along its outline; and wood between
	// the eased edge and the chamber that comes nearest to it, which lies
	// InMm in from the side in plan (or so much and more, where that no longer
	// matters) under a skin of SkinMm. 0 without chambers.
	SideMm      float64    `json:"side_mm"`
	SideAtMm    [2]float64 `json:"side_at_mm"`
	LeastWoodMm float64    `json:"least_wood_mm"`
	LeastAtMm   [2]float64 `json:"least_at_mm"`
	Chamber     string     `json:"chamber"` // the one that comes nearest
	InMm        float64    `json:"in_mm"`
	SkinMm      float64    `json:"skin_mm"`
	OtherSkinMm float64    `json:"other_skin_mm"` // on the other face
}

// ChamferRound is the flats of one round, from the side to the face, each
// marked on the section by its two ends: how far in from the side and how far
// from the face.
type ChamferRound struct {
	Flats []ChamferFlat `json:"flats"`
}

// ChamferFlat is one flat. The ends of the first round's single flat are the
// two lines to mark: one on the side, one on the face.
type ChamferFlat struct {
	FromInMm   float64 `json:"from_in_mm"`
	FromDownMm float64 `json:"from_down_mm"`
	ToInMm     float64 `json:"to_in_mm"`
	ToDownMm   float64 `json:"to_down_mm"`
	AngleDeg   float64 `json:"angle_deg"` // of the plane's sole to the face
}

// Edges plans the rounding of both faces' edges with a hand plane.
func (s *Slab) Edges() []EdgePlan { return s.survey().edges() }

func (v *survey) edges() []EdgePlan {
	var out []EdgePlan
	s := v.s
	type side struct {
		mm float64
		at geom.Point
	}
	var sides []side      // the wood beside each chamber
	far := s.Edge.reach() // farther it cannot matter
	for _, c := range s.Chambers {
		far = max(far, c.TopSkin, c.BottomSkin)
	}
	far += 20 // as far as the section that is drawn reaches
	near := v.edgesNear(v.chord, far)
	for _, c := range s.Chambers {
		mm, at := v.sideWood(c, near[c.Strip], far)
		sides = append(sides, side{mm, at})
	}
	thinnest, thinAt := math.Inf(1), geom.Point{}
	for _, p := range v.chord {
		if t, b := v.f.heights(p.X); t-b < thinnest {
			thinnest, thinAt = t-b, p
		}
	}
	for _, e := range []struct {
		face string
		easing
		skin func(Chamber) float64
	}{
		{"top", s.Edge.top(), func(c Chamber) float64 { return c.TopSkin }},
		{"bottom", s.Edge.bottom(), func(c Chamber) float64 { return c.BottomSkin }},
	} {
		if e.size == 0 {
			continue
		}
		plan := EdgePlan{Face: e.face, RadiusMm: e.size, SideMm: thinnest - s.Edge.top().size - s.Edge.bottom().size, SideAtMm: [2]float64{thinAt.X, thinAt.Y}}
		// The section, side at x = 0, face at y = 0, wood at x, y < 0.
		arc := func(n geom.Vec) geom.Point { return geom.Pt(-e.size, -e.size).Add(n.Mul(e.size / n.Len())) }
		for _, row := range geom.FacetRounds(arc, []geom.Vec{{X: 1}, {Y: 1}}, false, 0, 2)[1:] {
			var round ChamferRound
			for _, f := range row {
				if f.Round == 0 {
					continue
				}
				round.Flats = append(round.Flats, ChamferFlat{
					FromInMm: 0 - f.From.X, FromDownMm: 0 - f.From.Y, ToInMm: 0 - f.To.X, ToDownMm: 0 - f.To.Y,
					AngleDeg: 90 - f.Normal.Angle()*180/math.Pi,
				})
			}
			plan.Rounds = append(plan.Rounds, round)
		}
		if e.chamfer {
			plan.RadiusMm, plan.ChamferMm = 0, e.size
			plan.Rounds = []ChamferRound{{Flats: []ChamferFlat{{FromDownMm: e.size, ToInMm: e.size, AngleDeg: 45}}}}
		}
		least := math.Inf(1)
		for i, c := range s.Chambers {
			w, at := sides[i].mm, sides[i].at
			// The roof's corner lies w in from the side and a skin down.
			wood := e.wood(w, e.skin(c))
			if wood < least-roundingTolerance || wood <= least && w < plan.InMm {
				least = wood
				plan.LeastWoodMm, plan.LeastAtMm, plan.Chamber = wood, [2]float64{at.X, at.Y}, s.chamberName(i)
				plan.InMm, plan.SkinMm, plan.OtherSkinMm = w, e.skin(c), c.TopSkin+c.BottomSkin-e.skin(c)
			}
		}
		out = append(out, plan)
	}
	return out
}

// sideWood is the wood in plan between a chamber and the outline, looked for
// no farther than best.
func (v *survey) sideWood(c Chamber, edges []int32, best float64) (float64, geom.Point) {
	ring, y0, y1 := v.chord, v.bands[c.Strip], v.bands[c.Strip+1]
	at := geom.Pt((c.From+c.To)/2, (y0+y1)/2)
	corners := geom.Polygon{geom.Pt(c.From, y0), geom.Pt(c.To, y0), geom.Pt(c.To, y1), geom.Pt(c.From, y1)}
	for _, i := range edges {
		a, b := ring[i], ring[(int(i)+1)%len(ring)]
		dx := max(0, min(a.X, b.X)-c.To, c.From-max(a.X, b.X))
		dy := max(0, min(a.Y, b.Y)-y1, y0-max(a.Y, b.Y))
		if dx*dx+dy*dy >= best*best {
			continue
		}
		for k, p := range corners {
			if d, on, _ := geom.SegmentSegment(p, corners[(k+1)%4], a, b); d < best {
				best, at = d, on
			}
		}
	}
	return best, at
}

// FittingsReport says what fittings weigh and what each hanger must carry.
type FittingsReport struct {
	Fittings   []FittingLine `json:"fittings"`
	MassG      float64       `json:"mass_g"`
	Carriers   []string      `json:"carriers"`
	EachN      float64       `json:"each_carries_n"` // with the factor
	Factor     float64       `json:"factor"`
	Everything float64       `json:"slab_and_fittings_g"`
	Notes      []string      `json:"notes"`
}

// FittingLine is one fitting: where its middle lies in plan and what it does.
type FittingLine struct {
	Name    string     `json:"name"`
	Kind    string     `json:"kind"`
	AtMm    [2]float64 `json:"at_mm"`
	MassG   float64    `json:"mass_g"`
	Carries bool       `json:"carries"`
	Forbids bool       `json:"forbids"`
}

// gravity is standard gravity in m/s² (ISO 80000-3).
const gravity = 9.80665

// FittingsReport adds up the fittings and shares the weight of a slab of the
// given mass among those that carry it, each to hold the factor times its
// share even with the next one gone: the load is divided by one carrier less
// than there are, where there are two or more.
func (s *Slab) FittingsReport(slabG, factor float64) FittingsReport {
	r := FittingsReport{Factor: factor}
	for i, f := range s.Fittings {
		r.MassG += f.Mass
		at := f.ring().Bounds().Centre()
		r.Fittings = append(r.Fittings, FittingLine{fittingName(f, i), f.Kind, [2]float64{at.X, at.Y}, f.Mass, f.Carries, f.Forbids})
		if f.Carries {
			r.Carriers = append(r.Carriers, fittingName(f, i))
		}
	}
	r.Everything = slabG + r.MassG
	if n := len(r.Carriers); n > 0 {
		r.EachN = r.Everything / 1000 * gravity * factor / float64(max(1, n-1))
		r.Notes = append(r.Notes, "Choose hangers and screws rated for at least this by their maker, and fix them to the building as local codes and a licensed tradesperson require.")
	}
	return r
}

// FinishRules are the maker's coat.
type FinishRules struct {
	Coats        int
	WetUm        float64 // wet thickness of one coat, µm
	DensityGMl   float64 // of the mixed finish, g/mL
	SolidsPct    float64 // by mass, what stays when dry: 100 for resins
	WastePct     float64 // pots, brushes, drips
	PotLifeMin   float64 // by its maker; 0 = does not set in the pot
	LargestMixG  float64 // largest batch its maker allows; 0 = not said
	BottomToo    bool
	SidesToo     bool
	ResinHardens bool // sets by a reaction that makes heat
}

// DefaultFinishRules are a brushed clear resin: from memory, no source.
func DefaultFinishRules() FinishRules {
	return FinishRules{Coats: 3, WetUm: 120, DensityGMl: 1.1, SolidsPct: 100, WastePct: 20, PotLifeMin: 25, LargestMixG: 250, BottomToo: true, SidesToo: true, ResinHardens: true}
}

// Check says which rule makes no sense, or nil.
func (r FinishRules) Check() error {
	if r.Coats < 0 || !(r.WetUm >= 0) || !(r.DensityGMl > 0) || !(r.SolidsPct >= 0 && r.SolidsPct <= 100) || !(r.WastePct >= 0) || !(r.PotLifeMin >= 0) || !(r.LargestMixG >= 0) {
		return fmt.Errorf("finish: %d coats of %g µm, %g g/mL, %g %% solids, %g %% waste, pot life %g min, mix %g g: none may be below 0, density above 0, solids up to 100", r.Coats, r.WetUm, r.DensityGMl, r.SolidsPct, r.WastePct, r.PotLifeMin, r.LargestMixG)
	}
	return nil
}

// Finish is how much finish the slab takes.
type Finish struct {
	TopMm2    float64  `json:"top_mm2"`
	BottomMm2 float64  `json:"bottom_mm2"`
	SidesMm2  float64  `json:"sides_mm2"` // with the rounded edges
	CoatedMm2 float64  `json:"coated_mm2"`
	Coats     int      `json:"coats"`
	WetMm     float64  `json:"wet_coat_mm"`    // thickness of one coat
	CoatG     float64  `json:"mix_per_coat_g"` // waste included
	MixG      float64  `json:"mix_g"`
	DryG      float64  `json:"dry_g"` // weight added to the slab
	Batches   int      `json:"batches_per_coat"`
	Notes     []string `json:"notes"`
}

// Finish works out areas and amounts. Faces are measured along their curve:
// ∬ √(1 + z′²); a rounded edge replaces 2r of flat by π r/2, a chamfer by √2 r.
func (s *Slab) Finish(rules FinishRules) Finish { return s.survey().finish(rules) }

func (v *survey) finish(rules FinishRules) Finish {
	var out Finish
	s, f, ring := v.s, v.f, v.chord
	turned := newRows(transposed(ring))
	f.along(ring.Bounds().Min.X, ring.Bounds().Max.X, func(x, w float64) {
		across := 0.0
		for _, c := range turned.crossings(x) {
			across += c.length()
		}
		out.TopMm2 += w * across * math.Hypot(1, Spline(s.Profile.Top).SlopeAt(x))
		out.BottomMm2 += w * across * math.Hypot(1, Spline(s.Profile.Bottom).SlopeAt(x))
	})
	around := 0.0
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		t0, b0 := f.heights(a.X)
		t1, b1 := f.heights(b.X)
		l := a.Distance(b)
		around += l
		out.SidesMm2 += l * (t0 - b0 + t1 - b1) / 2
	}
	for _, e := range []struct {
		easing
		face *float64
	}{{s.Edge.top(), &out.TopMm2}, {s.Edge.bottom(), &out.BottomMm2}} {
		*e.face -= around * e.size
		out.SidesMm2 += around * (e.easing.around() - e.size)
	}
	out.CoatedMm2 = out.TopMm2
	if rules.BottomToo {
		out.CoatedMm2 += out.BottomMm2
	}
	if rules.SidesToo {
		out.CoatedMm2 += out.SidesMm2
	}
	wet := out.CoatedMm2 * rules.WetUm / 1000 * rules.DensityGMl / 1000 // g a coat on the wood
	out.Coats, out.WetMm = rules.Coats, rules.WetUm/1000
	out.CoatG = wet * (1 + rules.WastePct/100)
	out.MixG = out.CoatG * float64(rules.Coats)
	out.DryG = wet * float64(rules.Coats) * rules.SolidsPct / 100
	out.Batches = 1
	if rules.LargestMixG > 0 {
		out.Batches = max(1, int(math.Ceil(out.CoatG/rules.LargestMixG)))
	}
	if rules.ResinHardens {
		out.Notes = append(out.Notes,
			"Setting resin heats itself, the more the deeper it stands in the pot: mix no larger batch than its maker allows, spread it out at once, and carry a smoking pot outdoors.",
			"Gloves, goggles, fresh air; resins sensitise skin for good. The maker's data sheet goes first.")
		if rules.PotLifeMin > 0 {
			out.Notes = append(out.Notes, fmt.Sprintf("Pot life is %.0f min by its maker, less when warm.", rules.PotLifeMin))
		}
	}
	if !rules.BottomToo {
		out.Notes = append(out.Notes, "A face left bare takes up moisture faster than the coated one: the slab will cup.")
	}
	return out
}

// transposed swaps x and y, so that crossings can look along y.
func transposed(ring geom.Polygon) geom.Polygon {
	out := make(geom.Polygon, len(ring))
	for i, p := range ring {
		out[i] = geom.Pt(p.Y, p.X)
	}
	return out
}
