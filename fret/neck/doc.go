// Package neck answers: which strings, how hard do they pull, how well do they
// play in tune, how is the board set up, how does the neck meet the body, what
// wood does it need, and how is its back carved?
//
// It works in the neck frame of package fret (origin at the middle of the
// nut's front edge, +u along the fretboard's surface toward the bridge, +v to
// the treble side), with +w up out of the fretboard's surface at its
// centreline. Seat is the one map from there to the body frame.
//
//	     w ^
//	       |  nut                                       saddle
//	string |--+-------------------------------------------+
//	       |  |    action at fret 12 ↕                     |
//	 board +==+===|====|===|==|==|=|=======......----------+--> u
//	  neck  \______________________________|  heel
//
// Lengths are millimetres, angles radians, forces newtons, frequencies hertz,
// pitch differences cents, moduli gigapascals, stresses megapascals, masses
// per length grams per metre. String 1 is the highest.
//
// Everything hangs on a Spec: fill in what is known, and Work fills the rest
// with stated defaults and gives a Report.
//
// # Care
//
// Strings under tension whip when they break: eye protection, and follow the
// string maker's instructions. Estimates of tension, stress and deflection
// here are no licence to load an instrument beyond what its maker allows.
package neck
