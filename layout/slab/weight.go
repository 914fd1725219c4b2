package slab

import (
	"math"
	"sort"
	"strconv"

	"slabwright/body/geom"
)

// Weight is what the slab weighs, before and after its chambers are cut.
type Weight struct {
	BeforeG            float64    `json:"before_g"`
	AfterG             float64    `json:"after_g"`
	VolumeBeforeMm3    float64    `json:"volume_before_mm3"`
	VolumeAfterMm3     float64    `json:"volume_after_mm3"`
	CentreBeforeMm     [3]float64 `json:"centre_of_gravity_before_mm"`
	CentreMm           [3]float64 `json:"centre_of_gravity_mm"`
	EdgeRoundingG      float64    `json:"edge_rounding_g"` // taken off by rounding the edges, part of neither
	MoisturePct        float64    `json:"moisture_pct"`
	OwnMoisture        bool       `json:"each_at_own_moisture"` // then MoisturePct is 0
	VolumeUncertainMm3 float64    `json:"volume_uncertain_mm3"`

	Pieces []PieceWeight `json:"pieces"`
}

// PieceWeight is the share of one piece or slip.
type PieceWeight struct {
	Strip           int        `json:"strip"` // from 0
	Piece           int        `json:"piece"` // as Cell.Piece
	Name            string     `json:"name"`
	Wood            string     `json:"wood"` // key
	DensityKgM3     float64    `json:"density_kg_m3"`
	VolumeBeforeMm3 float64    `json:"volume_before_mm3"`
	VolumeAfterMm3  float64    `json:"volume_after_mm3"`
	BeforeG         float64    `json:"before_g"`
	AfterG          float64    `json:"after_g"`
	CentreMm        [3]float64 `json:"centre_of_gravity_mm"` // after
}

// Weight weighs the slab as it stands, each piece at its own moisture, with
// all its chambers, cut and planned.
//
// The model: heights between the two profiles over the plan outline; edges
// rounded by the radius, dropping a face at the distance d < r from the
// outline by r − √(r² − (r−d)²), or chamfered, dropping it by c − d; chambers cut square through their strip with
// roof and floor a skin away, square to the finished curve. Both volumes of the
// whole slab are within VolumeUncertainMm3 of the model's: proven, see bound.go,
// but for the rounding of floating-point arithmetic. Shares of pieces carry no
// such bound: what chords leave out is given to the piece at their middle.
func (s *Slab) Weight() Weight { return s.survey().weigh(math.NaN()) }

// WeightAt weighs the slab when all its wood has come to the given moisture
// (percent). Dry wood stays, water comes and goes; the sizes given are taken
// as those at each piece's own moisture, and its volume there.
func (s *Slab) WeightAt(moisturePct float64) Weight {
	return s.survey().weigh(moisturePct)
}

// share is the integral of one piece.
type share struct {
	strip, piece  int
	wood          Piece
	chords        moments // inside the outline's chords
	solid, hollow moments // inside the outline; in the chambers
	rounding      moments // taken off at the edges
}

// weigh is Weight, or WeightAt where the moisture is a number.
func (v *survey) weigh(moisturePct float64) Weight {
	s := v.s
	shares, uncertain := v.shares()
	w := Weight{MoisturePct: moisturePct, VolumeUncertainMm3: uncertain}
	if math.IsNaN(moisturePct) {
		w.MoisturePct, w.OwnMoisture = 0, true
	}
	var before, after [3]float64
	w.Pieces = make([]PieceWeight, 0, len(shares))
	const perMm3 = 1e-6 // kg/m³ to g/mm³
	for k, sh := range shares {
		rho := v.woods[k].gramsPerMm3 / perMm3
		if !w.OwnMoisture {
			rho *= (1 + moisturePct/100) / (1 + sh.wood.moisture()/100)
		}
		full := sh.solid
		full.add(sh.rounding, -1)
		if full.v < 0 {
			w.VolumeUncertainMm3 -= full.v
			full = moments{} // a sliver all of which is rounded away
		}
		left := full
		left.add(sh.hollow, -1)
		if left.v < 0 {
			w.VolumeUncertainMm3 -= left.v
			left = moments{}
		}
		p := PieceWeight{
			Strip: sh.strip, Piece: sh.piece, Name: s.pieceName(sh.strip, sh.piece), Wood: species(sh.wood).Key,
			DensityKgM3: rho, VolumeBeforeMm3: full.v, VolumeAfterMm3: left.v,
			BeforeG: full.v * rho * perMm3, AfterG: left.v * rho * perMm3,
		}
		if left.v > 0 {
			p.CentreMm = [3]float64{left.vx / left.v, left.vy / left.v, left.vz / left.v}
		}
		for k, v := range [3]float64{full.vx, full.vy, full.vz} {
			before[k] += v * rho * perMm3
		}
		for k, v := range [3]float64{left.vx, left.vy, left.vz} {
			after[k] += v * rho * perMm3
		}
		w.BeforeG += p.BeforeG
		w.AfterG += p.AfterG
		w.VolumeBeforeMm3 += full.v
		w.VolumeAfterMm3 += left.v
		w.EdgeRoundingG += sh.rounding.v * rho * perMm3
		w.Pieces = append(w.Pieces, p)
	}
	for k := range before {
		if w.BeforeG > 0 {
			w.CentreBeforeMm[k] = before[k] / w.BeforeG
		}
		if w.AfterG > 0 {
			w.CentreMm[k] = after[k] / w.AfterG
		}
	}
	return w
}

func (s *Slab) pieceName(strip, piece int) string {
	name := s.StripName(strip)
	switch {
	case piece < 0:
		return name + ", slip " + strconv.Itoa(-piece)
	case len(s.Strips[strip].Pieces) > 1:
		return name + ", piece " + strconv.Itoa(piece+1)
	}
	return name
}

// shares integrates every piece: the solid, what edge rounding takes off it
// and what its chambers take out. Pieces run strip by strip along +x.
func (v *survey) shares() (list []share, uncertainMm3 float64) {
	s, f, tiles := v.s, v.f, v.tiling
	edge := newRim(v.path, s.Edge.reach())
	list = make([]share, 0, len(v.woods))
	for i, parts := range tiles.strips {
		for _, p := range parts {
			list = append(list, share{strip: i, piece: p.piece, wood: p.wood})
		}
	}
	bands := tiles.bands
	tiles.each(edge.ring, func(k int, cut geom.Polygon) { list[k].chords.add(f.solid(cut), 1) })
	spread := func(ring geom.Polygon, add func(*share, moments)) {
		tiles.each(ring, func(k int, cut geom.Polygon) { add(&list[k], f.faces(cut)) })
	}
	for i := range list {
		list[i].solid = list[i].chords
	}
	for i, area := range edge.sliver {
		if area == 0 {
			continue
		}
		m := edge.ring[i].Lerp(edge.ring[(i+1)%len(edge.ring)], 0.5)
		strip := max(0, min(sort.SearchFloat64s(bands, m.Y)-1, len(tiles.strips)-1))
		k := partAt(tiles.strips[strip], bands[strip], bands[strip+1], m)
		t, b := f.heights(m.X)
		h := t - b
		sh := &list[tiles.first[strip]+k]
		sh.solid.add(moments{a: area, ax: area * m.X, ay: area * m.Y, top: area * t, bottom: area * b,
			v: area * h, vx: area * h * m.X, vy: area * h * m.Y, vz: area * (t*t - b*b) / 2}, 1)
	}
	for _, b := range edge.bounds {
		uncertainMm3 += b.area * b.along * (f.topBends.slope + f.bottomBends.slope)
	}
	uncertainMm3 += s.roundEdges(list, edge, spread)
	for _, c := range s.Chambers {
		uncertainMm3 += v.chamberBound(c)
		y0, y1 := bands[c.Strip], bands[c.Strip+1]
		parts := tiles.strips[c.Strip]
		k := tiles.first[c.Strip]
		if len(parts) == 1 {
			list[k].hollow.add(f.chamber(c, y0, y1), 1)
			continue
		}
		f.split(c, parts, y0, y1, func(part int, m moments) { list[k+part].hollow.add(m, 1) })
	}
	return list, uncertainMm3
}

// split shares a chamber among the parts of its strip.
func (f *field) split(c Chamber, parts []part, y0, y1 float64, visit func(part int, m moments)) {
	for k, p := range parts {
		lo, hi := min(p.from.right, p.from.mid, p.from.left), max(p.to.right, p.to.mid, p.to.left)
		in, out := max(p.from.right, p.from.mid, p.from.left), min(p.to.right, p.to.mid, p.to.left)
		switch {
		case c.To <= lo || c.From >= hi:
		case c.From >= in && c.To <= out:
			visit(k, f.chamber(c, y0, y1))
		default:
			rect := geom.Polygon{geom.Pt(c.From, y0), geom.Pt(c.To, y0), geom.Pt(c.To, y1), geom.Pt(c.From, y1)}
			for _, region := range p.regions(y0, y1) {
				if cut := rect.ClippedTo(region); len(cut) > 0 {
					visit(k, f.hollow(cut, c.TopSkin, c.BottomSkin))
				}
			}
		}
	}
}

// partAt is the part of a strip that holds p.
func partAt(parts []part, y0, y1 float64, p geom.Point) int {
	yc := (y0 + y1) / 2
	for k := range parts[:len(parts)-1] {
		j := parts[k].to
		x := j.mid
		if p.Y < yc {
			x += (j.right - j.mid) * (yc - p.Y) / (yc - y0)
		} else {
			x += (j.left - j.mid) * (p.Y - yc) / (y1 - yc)
		}
		if p.X < x {
			return k
		}
	}
	return len(parts) - 1
}

// roundEdges integrates what edge rounding takes off, layer by layer: with
// e(d) the drop at the distance d from the outline and R(t) the part of the
// plan within t of it,
//
//	∬ g e(d) = ∫₀ʳ −e′(t) ∬_{R(t)} g dt,   ∬ e² = ∫₀ʳ −2 e(t) e′(t) area R(t) dt
//
// (Fubini). On a rounding t = r (1 − cos φ), the drop is r (1 − sin φ) and −e′ dt
// is r cos φ dφ: so smooth that four Gauss points leave a few millionths. On a
// chamfer −e′ is 1. It
// returns how far the volume can be from the model's.
func (s *Slab) roundEdges(list []share, edge *rim, spread func(geom.Polygon, func(*share, moments))) (uncertainMm3 float64) {
	top, bottom := s.Edge.top(), s.Edge.bottom()
	both := []easing{top}
	if bottom != top {
		both = append(both, bottom)
	}
	for _, e := range both {
		if e.size == 0 {
			continue
		}
		var insets [4]geom.Polygon
		for k := range insets {
			t, _, _ := e.layer(1, k)
			insets[k] = edge.inset(t)
		}
		panels := 1
		if insets[3].Area() < edge.ring.Area()/2 {
			panels = 16 // so narrow that insets vanish: areas then have kinks
		}
		volume, plan := 0.0, edge.ring.Area()
		for k := range 4 * panels {
			t, drop, w := e.layer(panels, k)
			inner := insets[k%4]
			if panels > 1 {
				inner = edge.inset(t)
			}
			volume += w * (plan - inner.Area())
			layer := func(sh *share, m moments, k float64) {
				// The wood taken off reaches from T − e to T, so its
				// moment about the bench is ∬ T e − e²/2; at the bottom
				// it reaches from B to B + e.
				if e == top {
					sh.rounding.add(moments{v: m.a, vx: m.ax, vy: m.ay, vz: m.top - drop*m.a}, k*w)
				}
				if e == bottom {
					sh.rounding.add(moments{v: m.a, vx: m.ax, vy: m.ay, vz: m.bottom + drop*m.a}, k*w)
				}
			}
			for i := range list {
				layer(&list[i], list[i].chords, 1)
			}
			spread(inner, func(sh *share, m moments) { layer(sh, m, -1) })
		}
		least, most := edge.easingBound(e)
		off := max(0, most-volume, volume-least) + edge.chordBound(e.size)
		if top == bottom {
			off *= 2 // it serves both faces
		}
		uncertainMm3 += off
	}
	return uncertainMm3
}
