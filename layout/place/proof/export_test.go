package proof

import "slabwright/layout/place"

// Bounds gives a case's plain score of one placement and plain lower bound over
// a range, for tests.
func Bounds(c *place.Case) (score func(place.Placement) float64, lower func(place.Range) float64, err error) {
	k, err := newChecker(c)
	return k.score, func(r place.Range) float64 { return k.lower(r, 1e9) }, err
}
