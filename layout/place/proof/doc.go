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
//   - where the score is the reason, no level placement in the range scores less
//     than the bound, to a millionth of a point; ranges are cut further until a
//     plain bound shows it;
//   - the best placement passes, and has the score that is said.
//
// Ranges and distances are widened by far more than their rounding. What is
// taken for granted: the slab's and the body's own geometry, and that a placed
// body is judged as Case.Check says.
package proof
