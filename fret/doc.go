// Package fret answers: where do the frets go?
//
// It knows scales, temperaments, fret positions, two-scale frets, where the
// strings and the fretboard's edges run, and how to find the scale length of a
// neck that exists. It knows nothing of wood, tension or height; that is
// fret/neck. Lengths are millimetres, angles radians, pitch differences cents.
//
// # The neck frame
//
//	            v ^   treble side of a right-handed instrument
//	  treble edge |______________________________
//	string 1  ----+---|----|---|---------------------------+  saddle
//	centreline  --O------------------------------------------> u
//	string 6  ----+---|----|---|---------------------------+
//	    bass edge |______________________________
//	             nut
//
// The origin O is the middle of the nut's front edge. +u runs along the
// fretboard's surface toward the bridge, +v to the treble side of a
// right-handed instrument. A left-handed one is the same with v negated; only
// drawings do that.
//
// # Positions
//
// A fret that sounds c cents above the open string leaves S·2^(−c/1200) of the
// scale length S between itself and the saddle, so it lies
//
//	d = S (1 − 2^(−c/1200))
//
// from the nut; in twelve equal steps d_n = S (1 − 2^(−n/12)). Each position is
// worked out from the nut, so errors do not add up from fret to fret. Source:
// the ideal string, f ∝ 1/L (Mersenne, Harmonie universelle, 1636). Strings
// are not ideal; what that costs, and what compensation buys back, is
// fret/neck. Compensation moves saddles, never frets.
//
// # Two scales
//
// Two-scale frets give the lowest string one scale length and the highest
// another, each measured along its own outer string. The nut and saddle ends
// of the outer strings lie half a spread from the centreline (spreads are
// measured square to it). Fret n cuts both outer strings at the same fraction
// of their length; hence its middle lies on the centreline, every string with
// equal centres is cut at that fraction too, and one straight fret is right
// for all of them.
//
// In a layout with one scale that scale is measured along the centreline; its
// outer strings, which spread toward the saddle, are longer by about 0.05 mm.
package fret
