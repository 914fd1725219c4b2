// Package place answers: where in the slab should the body lie, and is all of
// it wood there?
//
// Frames: the body's (u, v, w) and the slab's (x, y, z); Placement is the one
// map between them and its doc has the axes. Lengths are mm, angles radians,
// scores points.
//
// A Case joins one slab, one body, what is needed and what is wished. Its
// Check gives the verdict of one placement, its Score says how good it looks,
// and its Search finds the best one that the verdict allows.
//
// What is asked of the slab is the wood of the finished body: all of its outline
// in plan, and in height as far as contours and edge treatments leave its faces,
// within body.ReliefTolerance on the safe side. Cavities are not taken off.
//
// # The score
//
// Less is better. One point is a mean colour difference (CIEDE2000, of the
// pieces' own colours) of 1 over the compared front; every other term is a
// length or an angle times a weight, in Weights, that says how many points a
// millimetre or a degree costs:
//
//	score = Mirror · 1/|A| ∫_A ΔE(p, p′) dA
//	      + LinesMean · Σ cᵢ ∫ hᵢ dl / Σ cᵢ lᵢ
//	      + LinesWorst · maxᵢ (cᵢ / c_max) · mean hᵢ · min(1, lᵢ / 20 mm)
//	      + Hardware · Σ max(0, wanted − distance of the hole's edge from the nearest glue line)
//	      + Strip · Σ mean way of a wished strip's middle from the centreline
//	      + Through · Σ distance of a wished glue line from its place
//	      + NearX · |x − wished x|  +  Grain · |angle of the strips to the centreline − wished|
//
// A is the compared part of the front (and of the back, when that is wished):
// the points that are seen together with their mirror p′ across the centreline.
// The sums over i are over the glue lines and transitions seen in A, lᵢ mm of
// each; cᵢ is the line's contrast, the ΔE of the woods beside it. hᵢ, its mirror
// offset, is the way in mm from the mirror of a point of the line to the nearest
// line that could be its partner, up to 20 mm; a partner counts as 1 mm farther
// off for each point of contrast that it is fainter. Weighted by contrast and
// not by area, a thin accent that runs off-centre costs what the eye sees.
//
// # The search
//
// Search is a branch and bound over x, y, angle and face: a range of placements
// is dropped when it is proved that nothing in it is allowed, or that nothing in
// it scores less than the best found by more than the gap asked for. Bounds of
// the mirror term come from a table of columns where the body lies nearly along
// the strips, and from exact areas where that cannot decide; colours are always
// compared pair by pair, as CIEDE2000 obeys no triangle inequality. What goes along
// with a small movement, one term gaining what another loses, is bounded in one sum.
//
// Together places several bodies in one slab, two of them by a branch and bound
// over both.
//
// Until something allowed is known, the limits of a range are not only asked one by
// one but all at once, as a small linear program in the three ways a placement can
// go (squeeze.go). When nothing fits, the same is asked of cases whose needs are
// loosened, one limit at a time, for the least that would do (infeasible.go); where
// bodies must be tilted, how the slab's faces hold the body all over a range is one of
// the limits of that program (grip.go).
package place
