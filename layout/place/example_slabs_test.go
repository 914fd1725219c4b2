package place_test

import (
	"math"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/slab"
)

// waisted is a body outline of our own for tests: a closed smooth curve about
// 2·half wide and length long, lopsided, round the origin's middle.
//
//	r(t) = long axis · cos t, short axis · sin t, with a waist and a lean
func waisted(length, width, lean float64) geom.Path {
	const n = 12
	at := func(t float64) geom.Point {
		s, c := math.Sincos(t)
		w := width / 2 * (1 - 0.18*math.Exp(-8*c*c)) * (1 + lean*c)
		return geom.Pt(length/2*c, w*s)
	}
	slope := func(t float64) geom.Vec {
		const h = 1e-5
		return at(t + h).Sub(at(t - h)).Mul(1 / (2 * h))
	}
	p := geom.Path{Closed: true}
	for i := range n {
		t0, t1 := 2*math.Pi*float64(i)/n, 2*math.Pi*float64(i+1)/n
		a, b, d := at(t0), at(t1), (t1-t0)/3
		if i == n-1 {
			b = at(0)
		}
		p.Curves = append(p.Curves, geom.Curve{P0: a, P1: a.Add(slope(t0).Mul(d)), P2: b.Add(slope(t1).Mul(-d)), P3: b})
	}
	return p
}

// plainBody is a body with nothing in it but a covered strip for the neck.
func plainBody(length, width, thickness, lean float64) *body.Body {
	return &body.Body{
		Outline: waisted(length, width, lean), Thickness: thickness,
		Hidden: []body.Hidden{{Name: "fretboard", Ring: geom.Box{Min: geom.Pt(-length/2-10, -28), Max: geom.Pt(-length/2+90, 28)}.Polygon()}},
	}
}

// board is a flat slab from strips given as wood colour and thickness.
func board(length, thickness float64, strips ...slab.Piece) *slab.Slab {
	s := &slab.Slab{Length: length, Profile: slab.Profile{
		Top:    []slab.Station{{X: 0, Value: thickness}, {X: length, Value: thickness}},
		Bottom: []slab.Station{{X: 0, Value: 0}, {X: length, Value: 0}},
	}}
	for _, p := range strips {
		s.Strips = append(s.Strips, slab.Strip{Pieces: []slab.Piece{p}})
	}
	return s
}

func strip(thickness float64, colour string) slab.Piece {
	return slab.Piece{Wood: "red-alder", Thickness: thickness, Colour: colour}
}

const (
	pale  = "#e8d5a8"
	brown = "#6b4226"
	red   = "#a0442c"
)
