// Package geom answers: where is it, how big is it, how far apart are they?
//
// It knows points, curves and closed outlines in the plane, and points in
// space; it knows nothing of wood. Lengths are millimetres, angles radians.
// All frames are right-handed seen from their +z side: x to the right, y up,
// positive angles turn x toward y (counter-clockwise).
//
//	y ^
//	  |   . Point{X, Y}
//	  |  /
//	  | / a > 0
//	  +--------> x
//
// The ideas, in the order in which one needs them:
//
//   - A Point is a place, a Vec a displacement. Point − Point = Vec,
//     Point + Vec = Point; nothing else compiles.
//   - A Rigid moves things without changing their size: a turn, a shift and
//     perhaps a mirror. The one map between two frames is a Rigid.
//   - A Polygon is a closed ring of points. Its area is signed: positive when
//     it runs counter-clockwise.
//   - A Path is a chain of lines and cubic curves, open or closed. Curved
//     outlines are Paths; they become Polygons by Flatten with a stated bound,
//     or by FlattenOutside and FlattenInside, which keep to one side, so that
//     "it fits" and "it does not fit" can both be proofs.
//   - A Convex region is kept apart, as clipping by it is exact and cheap.
//
// Values are never changed after they are made: operations return new ones.
package geom
