package proof

import (
	"math"

	"slabwright/layout/place"
)

// Bounds gives a case's plain score of one placement and plain lower bound over
// a range, for tests.
func Bounds(c *place.Case) (score func(place.Placement) float64, lower func(place.Range) float64, err error) {
	k, err := newChecker(c)
	return k.score, func(r place.Range) float64 { return k.lower(box{r, lyingLevel}, 1e9) }, err
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

// Tilts gives, for a range, what the check makes of bodies that may be tilted:
// whether it lets a placement lie there as it does, and the bound on the score;
// whether the range's plots, if they are listed, were enough to tell; and whether it knows, of the edge
// or an obstacle, that nothing there is allowed.
func Tilts(c *place.Case) (func(r place.Range, listed bool) (has func(place.Placement) bool, low float64, byPlots, none bool), error) {
	k, err := newChecker(c)
	if err != nil {
		return nil, err
	}
	if err := k.canTilt(); err != nil {
		return nil, err
	}
	k.tilts = k.mayTilt()
	return func(r place.Range, listed bool) (func(place.Placement) bool, float64, bool, bool) {
		plots, ok := k.meets(r)
		if ok = ok && listed && len(plots) <= 12; !ok {
			plots = nil
		}
		for i := range plots {
			plots[i].Pitch, plots[i].Roll = c.TiltOf(plots[i])
		}
		lies := k.lies(r, plots)
		low := math.Inf(1)
		for _, t := range lies {
			low = min(low, k.lower(box{r, t}, math.Inf(1)))
		}
		_, sure := k.plotTilts(r, plots)
		none := false
		for i := range 24 {
			q := k.body[i*len(k.body)/24]
			for _, reason := range []place.Reason{place.ByEdge, place.ByObstacle, place.ByHollow} {
				p := place.Proved{Range: r, Reason: reason, At: &[2]float64{q.X, q.Y}}
				all := true
				for _, t := range lies {
					all = all && k.breaks(p, box{r, t})
				}
				none = none || all
			}
		}
		return func(p place.Placement) bool {
			for _, t := range lies {
				if (span{t.pitch[0], t.pitch[1]}).wide(fine).holds(p.Pitch) && (span{t.roll[0], t.roll[1]}).wide(fine).holds(p.Roll) {
					return true
				}
			}
			return false
		}, low, sure, none
	}, nil
}
