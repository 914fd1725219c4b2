package slab

import "slabwright/body/geom"

// A Slab is the glued-up blank as the maker describes it. Strips lie side by
// side along +x; Strips[0] is the rightmost (lowest y), the last the leftmost,
// and the stack is centred on the slab's centreline:
//
//	y ^   +W/2  ______________________________
//	  |         | Strips[n-1]                 |
//	  |       0 |- - - - - centreline - - - - |---> x
//	  |         | Strips[0]                   |
//	  |   -W/2  |_____________________________|
//	            x = 0                  x = Length
type Slab struct {
	Length float64 // mm, along x
	Strips []Strip

	Plan    Plan    // outline seen from above; the zero Plan is the whole rectangle
	Profile Profile // heights of top and bottom along x
	Edge    Edge    // rounding of the edges between the faces and the sides

	Chambers  []Chamber
	Fasteners []Fastener
	Flaws     []Flaw
	Fittings  []Fitting
}

// Strip is one line of wood. Its Pieces follow each other along +x, parted by
// len(Pieces)−1 Transitions.
type Strip struct {
	Name        string
	Pieces      []Piece
	Transitions []Transition
}

// Piece is one length of wood in a strip. Where Colour, Density or Moisture
// are not given (zero), those of the species hold.
type Piece struct {
	Wood      string  // key in the wood table
	Thickness float64 // mm, finished, across the slab (along y); equal for the pieces of a strip
	Rough     float64 // mm, measured on the bench; 0 = not given
	Colour    string  // "#rrggbb"; empty = the species' display colour
	Density   float64 // kg/m³ as weighed; 0 = the species' at 12 % moisture
	RingAngle float64 // radians between the growth rings and the slab's plane: 0 flat, π/2 upright (a flat-sawn board on edge); NaN = not given, taken as π/2
	Moisture  float64 // percent; 0 = 12
}

// TransitionKind says how two pieces of a strip meet, seen in plan.
type TransitionKind string

// The kinds. Every cut is square to the slab's plane.
const (
	Square   TransitionKind = "square"
	Diagonal TransitionKind = "diagonal"
	Chevron  TransitionKind = "chevron" // two mirrored diagonals that meet on the strip's own centreline
)

// Transition is where a strip changes pieces. At is the station of the joint
// on the strip's centreline, measured to the middle of all its slips. Angle is
// between the joint and the strip's length, in (0, π/2]: π/2 is a square cut.
// For a diagonal a positive Lean makes the joint run toward +x as y grows
// (Lean +1 or −1, 0 counts as +1); for a chevron Lean +1 points toward +x.
type Transition struct {
	Kind  TransitionKind
	At    float64
	Angle float64
	Lean  int
	Slips []Slip
}

// Slip is a narrow piece of a further wood in a transition; Width is measured
// square to the joint.
type Slip struct {
	Piece
	Width float64
}

// Plan is the outline in plan: a table of offsets (half-breadths at stations,
// both sides alike), joined by the spline that Outline's doc names, or any
// closed path. The zero Plan is the rectangle Length × stack width.
type Plan struct {
	Stations []Station // x and half-breadth
	Path     geom.Path // an imported outline in the slab frame; used when Stations is empty

	// An end station of half-breadth 0 is a point, or a smooth nose where
	// it is said to be rounded.
	StartRounded, EndRounded bool
}

// Station is a value at a distance along the slab, both in mm.
type Station struct{ X, Value float64 }

// Profile is the side view: heights above the bench of the top and the bottom
// face, at stations.
type Profile struct{ Top, Bottom []Station }

// Edge is how the edges between faces and sides are eased, in mm: by a radius,
// tangent to face and side, or by a chamfer of 45°, so far down the side as in
// from it. At most one of them for each face; 0 leaves it square.
type Edge struct {
	TopRadius, BottomRadius   float64
	TopChamfer, BottomChamfer float64
}

// ChamberState says whether a chamber is in the wood or only wanted.
type ChamberState string

// Planned chambers follow the placement, cut chambers are obstacles to it.
const (
	Planned ChamberState = "planned"
	Cut     ChamberState = "cut"
)

// Chamber is a hollow through one strip, from x = From to x = To over the
// strip's whole thickness, between a bottom and a top skin.
type Chamber struct {
	Name       string
	Strip      int // index into Strips
	From, To   float64
	TopSkin    float64 // mm, square to the finished top
	BottomSkin float64
	State      ChamberState
}

// Fastener is a screw, dowel or pin in the wood.
type Fastener struct {
	Name       string
	Kind       string // "screw", "dowel", "pin"
	At         geom.Point3
	Direction  geom.Vec3 // unit, the way it was driven
	Length     float64
	Shank      float64 // diameter
	Head       float64 // diameter; 0 = no head
	Pilot      float64 // diameter of the pilot hole; 0 = none
	PilotDepth float64 // from At; 0 = Length
	LeftIn     bool
}

// Flaw is wood that the maker will not have in the instrument: an upright
// cylinder round At, or a ring in plan, between two heights. To ≤ From means
// through the whole thickness.
type Flaw struct {
	Name     string
	Kind     string // "knot", "check", "pitch pocket", "patch", "hole"
	At       geom.Point
	Radius   float64
	Ring     geom.Polygon // used instead of At and Radius when it has points
	From, To float64      // z above the bench
}

// Fitting is an inlay, hanger, handle, bracket or foot. Chambers keep away
// from it; where Forbids is set the instrument does too.
type Fitting struct {
	Name    string
	Kind    string // "inlay", "hanger", "handle", "bracket", "foot"
	At      geom.Point
	Radius  float64      // the wood round it that stays solid
	Ring    geom.Polygon // used instead of At and Radius when it has points
	Mass    float64      // g
	Carries bool         // the slab hangs or stands on it
	Forbids bool
}

// Cell is one patch of the slab's plan where one piece of wood shows: a convex
// region (a chevron is two of them), inside the strip's band but not cut to
// the plan outline. The cells of a slab cover the rectangle
// [0, Length] × [−W/2, W/2] without overlap.
type Cell struct {
	Strip, Piece int // Piece is −1−k for slip k of the strip, counted along x
	Wood         Piece
	Region       geom.Convex
}

// GlueLine is a straight joint in plan between two woods: between neighbouring
// strips (parallel to x) or inside a strip at a transition.
type GlueLine struct {
	Name       string // e.g. "band / walnut accent"
	A, B       geom.Point
	Left       Piece // wood on the left of A→B
	Right      Piece
	Transition bool
	Strip      int // the strip of the transition, or the strip on the right of the joint
}

// Obstacle is wood (or no wood) that must not come into the instrument: a
// convex region in plan between two heights. Heights are where it is worst
// over the region: the real hollow lies between them.
type Obstacle struct {
	Name         string
	Kind         string // "chamber", "fastener", "flaw", "fitting"
	Region       geom.Convex
	Bottom, Top  float64 // z
	WholeThrough bool    // reaches through the whole slab
	Part         int     // which part of one thing it is, from 0: a screw's shank, pilot hole and head are three
}
