package proof

import "slabwright/layout/place"

// Bounds gives a case's plain score of one placement and plain lower bound over
// a range, for tests.
func Bounds(c *place.Case) (score func(place.Placement) float64, lower func(place.Range) float64, err error) {
	k, err := newChecker(c)
	return k.score, func(r place.Range) float64 { return k.lower(r, 1e9) }, err
}

// Thin tells whether there is too little wood all over a range over one corner
// of the body's upper face and under one of its lower face.
func Thin(c *place.Case) (func(r place.Range, over, under int) bool, error) {
	k, err := newChecker(c)
	if err != nil {
		return nil, err
	}
	return func(r place.Range, over, under int) bool {
		_, err := k.holds(place.Proved{Range: r, Reason: place.ByRelief, Index: over, Line: under}, 0)
		return err == nil
	}, nil
}
