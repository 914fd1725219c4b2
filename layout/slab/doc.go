// Package slab answers: what is the glued-up blank made of, what has to be
// bought, cut, hollowed and glued to make it, and what will it weigh and do?
//
// Everything is in the slab frame: origin at the datum end on the centreline,
// +x along the slab, +y to the left, +z up from the bench. Millimetres,
// radians and grams; moisture in percent; stresses in MPa.
//
//	side view                                  z ^      ______ top _______
//	                                             |  ---               ---
//	the slab lies on the bench at z = 0          |  ---______ bottom ___---
//	                                             +-----------------------------> x
//
// All joints are upright, so the wood seen in plan is the same at any height.
//
// The ideas, in the order in which one needs them:
//
//   - A Slab is what the maker says: strips of pieces, a plan, a profile,
//     edges, and what is in the wood. Check tells whether it can be one; all
//     else takes that for granted.
//   - Cells, GlueLines, Outline, TopAt and BottomAt are its geometry. Curves
//     through stations are Splines, which cannot wiggle.
//   - Obstacles are what an instrument must stay clear of.
//   - Stack and Symmetry look at the strips before they are glued; CutList and
//     Nest at the boards they come from; PlanFasteners and GlueUp at putting
//     them together.
//   - PlanChambers hollows the strips under ChamberRules, with wood to be kept
//     given from outside; Hollowing says what that saves, how far it is from
//     the most that could be saved, and how to mark and vent it.
//   - Weight, Motion, Edges, Finish and Strength say what comes of it. What is
//     an estimate is called one.
//   - Report is all of that, and Tables writes it for people.
//
// Numbers that leave the package carry their unit in the name. Strips count
// from 0 at the right in numbers and from 1 in words.
package slab
