// Package proof answers: is what a search says about the best placement true?
//
// It reads a certificate (place.Certificate, one JSON object a line) and checks
// it against the project with code of its own, written from what the words of
// package place mean: straight loops over all edges, and none of the indexes
// and bounds of the search. Frames and units are those of package place.
//
// What Verify makes sure of:
//
//   - the certificate is for this slab, body, need and wish;
//   - its ranges, cut in halves from the roots, fill all places in the bounds of
//     the slab's outline, all wished angles and all wished faces, without a gap;
//     the middle of an allowed body can be nowhere else, as it lies in the
//     hull of the body;
//   - where a limit is the reason, no placement in the range keeps that limit;
//   - where the score is the reason, no placement in the range scores less
//     than the bound, to a millionth of a point; ranges are cut further until a
//     plain bound shows it;
//   - the best placement passes, and has the score that is said.
//
// That is of level placements, which are all where the slab's faces are level, or it
// is so thick, its edges' rounding taken off, that level bodies have the wood wherever
// they lie. A certificate that is Tilted speaks of all that
// Case.Settle gives, and the above is shown of the level ones in a range that may
// have the wood, and of the tilted ones, which are
//
//   - none, where every level body surely has the wood, or near a rounded edge would have
//     it if it were clear of that, tilted;
//   - tilted as the range's plots say, where each of these tilts surely leaves the
//     wood all over it: by as much as it leaves in the middle, less what the faces
//     can come nearer on the way (tilt.go);
//   - else in any plane within place.Steepest but those which surely leave too little
//     between a place of the top and one of the bottom (planes.go).
//
// Ranges and distances are widened by far more than their rounding. What is
// taken for granted: the slab's and the body's own geometry, that a placed
// body is judged as Case.Check says, and that Case.Settle tilts a body as its plot
// is tilted wherever that leaves a micron more than is needed.
package proof
