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
package place
