package geom

import (
	"math"
	"slices"

	"github.com/tdewolff/canvas"
)

// Offset is the ring moved out by d everywhere (in, when d is negative), for
// drawing lines beside an outline: a saw kerf, a ledge. Outward corners are
// rounded, within 0.002 mm. A ring may fall apart when it shrinks, and close
// round a hole when it grows; each part is given, outer rings counter-clockwise,
// holes clockwise, the largest first.
//
// It is a drawing aid, not a proof: use FlattenOutside, FlattenInside, Room
// and Gap for checks.
//
// The work is done by the path engine of github.com/tdewolff/canvas on straight
// edges, where it was seen to keep within 0.007 mm of an independent library;
// on curves it does not. Where it fails, the work is done again rounded and turned.
// A ring for which even that fails has no offset, which is the answer for numbers that
// are not finite, too.
func Offset(ring Polygon, d float64) []Polygon {
	if len(ring) < 3 {
		return nil
	}
	ring = ring.CCW()
	const tolerance = 0.002
	poses := poses(pose{turn: Identity()})
	work := func(p pose) Region {
		return ringsOf(toCanvas(p.lay(Region{ring})).Offset(d, tolerance).Flatten(tolerance).Settle(canvas.NonZero))
	}
	// Steiner's bounds: a band of width |d| along the ring has at most its
	// length times |d|, and outside a disc more. A grown ring reaches d further
	// on every side.
	area, long := ring.Area(), ring.Perimeter()
	slack := 0.01*long + 0.1
	right := func(got Region, try int) bool {
		a, box := got.Area(), got.Bounds()
		if d < 0 {
			return a >= math.Max(0, area+d*long)-slack && a <= area+slack
		}
		want := poses[try].lay(Region{ring}).Bounds().Grow(d)
		const near = 0.05
		return a >= area-slack && a <= area+d*long+math.Pi*d*d+slack &&
			box.Min.Distance(want.Min) < near && box.Max.Distance(want.Max) < near
	}
	none := func() (Region, bool) { return nil, false }
	out := sturdy(poses, work, right, slack, none)
	slices.SortStableFunc(out, bySize)
	return out
}
