// Package outline answers: what shape is the body?
//
// It draws outlines of our own from sizes a maker measures, reads outlines
// from SVG and DXF files, fits smooth curves to traced points, and reports on
// any of them.
//
// Lengths are mm. Families draw in the body frame's directions with an origin
// of their own: u = 0 at the neck end of the body on the centreline, +u toward
// the tail, +v to the treble side of a right-handed instrument. Whoever knows
// where the neck end lies in the body frame shifts the path there.
//
//	        +v  treble side
//	         ^     ________
//	   horn _|___ /        \___
//	       (_|__             . \
//	neck end |___|   .  .  .  . | tail
//	   ------+------------------+---> +u
//	       __|   |              |
//	   horn (____ \    ______ _/
//	                \_/
//	         bass side
//
// Paths are closed and run counter-clockwise. A left-handed outline is the
// right-handed one mirrored across the centreline.
//
// The ideas, in order:
//
//   - A Size is one named measure of a family, with its range and its default.
//   - A Family turns sizes into Knots: the few places through which its curve
//     goes, some with a heading.
//   - Draw makes the fairest smooth path through Knots. The page may move a
//     family's knots and draw again; curve and sizes are kept apart for that.
//   - ImportSVG and ImportDXF give a path from a file, with notes on everything
//     they had to take for granted.
//   - Fit draws few curves through many traced points; ImportTrace reads such
//     points from a file. Import chooses among the three by the file's name.
//   - Measure reports on any closed path.
package outline
