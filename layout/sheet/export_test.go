package sheet

import (
	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/fret"
	"slabwright/fret/neck"
)

// Instrument is the body and the neck on it seen from the front, in the body
// frame, without words: what every drawing of a placement maps into its own frame.
func Instrument(b *body.Body, frets *fret.Plan, seat neck.Seat) Scene {
	s := Scene{Name: "instrument", Frame: bodyFrame(body.Front)}
	instrument{b, frets, seat, body.Front, plainFront}.draw(&s)
	return s
}

// Rings is the closed Path of several rings: the first runs counter-clockwise,
// the rest, holes in it, clockwise.
func Rings(outer geom.Polygon, holes ...geom.Polygon) Path {
	p := Ring(outer.CCW())
	for _, h := range holes {
		p.Parts = append(p.Parts, geom.PathOf(h.CCW().Reversed()))
	}
	return p
}
