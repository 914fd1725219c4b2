// Package body answers: what does the instrument's body look like in three
// dimensions, can it be cut, what does it weigh, and how does it hang?
//
// A Spec is what a maker writes; zero fields take the defaults of defaults.go.
// Build turns it into a Body: an outline and the wood that is taken out of it.
// Check tells where too little wood is left, Weigh what the rest weighs when
// the caller says how heavy the wood is and where, Hang how the strung
// instrument comes to rest on a strap, and NewReport puts it all together.
//
// # The frame
//
// Every place here is in the body frame, lengths in mm, angles in radians.
// w = 0 is the finished front plane; wood lies below it, w in [−thickness, 0].
// The origin is the foot, on the front plane, of the scale point.
//
//	seen on the front, right-handed          seen from the bass side
//
//	           treble side                         nut                scale point
//	         .-''-.   .-----.         ^ +v          |  strings            |
//	nut ====/=======================. |      ======'====================|==
//	       '-.,'-.  O       .-'   --o-> +u  w = 0  ____________________0___|____ --> +u
//	            bass side                         |____|  pickups    wood      |
//	                                        w=−t  |____________________________|
//
// u, v, w are right-handed: seen from the front, +u to the right puts +v up,
// so the front is drawn as it stands and only views of the back are mirrored.
//
// Everything a maker writes is for a right-handed instrument. A left-handed
// one is built right-handed and mirrored as the last step, so that nothing can
// be mirrored twice.
//
// # What is taken away
//
// A Feature is a prism: a ring in plan, from WTop down to WBottom (a sloped
// floor is the one exception). A Hole is a drilled cylinder with flat ends. A
// Contour (bevel, belly cut, arch) and the edge treatments lower the faces.
// Weights count wood that several of them would take only once.
//
// Depths are counted from the flat faces, w = 0 and w = −thickness: cavities are
// routed and holes drilled before the faces are carved, when there is still a
// flat to stand on. An arched top touches w = 0 at its crown only. What is left
// of a depth, and of the wood over a floor, is checked against the carved
// surface, and templates tell both.
package body
