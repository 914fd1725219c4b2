package body

import (
	"math"

	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret/measure"
)

// Face is the side of the body from which a thing is cut.
type Face string

// The faces. The zero Face is the front unless a field says otherwise.
const (
	Front Face = "front"
	Back  Face = "back"
	Side  Face = "edge"
)

// Spec is a body as a maker writes it: lengths in mm, angles in radians, all
// for a right-handed instrument (v > 0 is the treble side; see Hand). Places
// are in the body frame. Zero fields take the defaults named beside them,
// which defaults.go lists with their standing.
type Spec struct {
	// Outline is the finished plan outline, closed, in its own frame: u = 0
	// where the neck end of the body crosses the centreline, +u toward the
	// tail. Build shifts it so that this place falls on the neck joint. When it
	// is empty, Family and Sizes ask for an outline of body/outline.
	Outline geom.Path
	Family  string
	Sizes   map[string]float64

	Hand      outline.Hand
	Unit      measure.Unit // of lengths in messages and notes; this Spec is in mm all the same
	Thickness float64      // default 44.5

	ScaleLength float64 // nut to scale point on the centreline; default 648
	Neck        NeckJoint
	Strings     Strings
	Board       Fretboard

	Pickups      []Pickup
	Bridge       Bridge
	Cavities     []Cavity
	Pots         []Pot
	Switches     []Switch
	Jack         Jack
	Channels     []Channel
	WireHoles    []WireHole
	Batteries    []Battery
	StrapButtons []StrapButton // default: one at the tail, one at the horn or the neck end
	GroundWire   GroundWire
	Guards       []Guard

	Edges    Edges
	Contours []Contour

	Limits Limits // what the checks ask for
	Masses Masses // hardware and neck
	Finish Finish
}

// NeckJoint is where and how the neck sits in the body. The pocket opens
// toward the neck, through the outline.
type NeckJoint struct {
	JointFret      float64 // the fret at the body's edge; default 16
	Distance       float64 // from the joint to the scale point; default scale·2^(−JointFret/12)
	HeelWidth      float64 // the neck's width at the pocket's end; default 56
	JointWidth     float64 // the neck's width at the body's edge; default HeelWidth
	Length         float64 // of the pocket along u; default 76
	Depth          float64 // at the body's edge; default 16
	Angle          float64 // neck angle, > 0 leans the headstock back: the floor rises toward the tail; default 0
	FitClearance   float64 // all round, on each side; default 0.1
	CornerRadius   float64 // of the pocket's inner corners; default 6
	Screws         int     // default 4; −1 for a glued neck
	ScrewDiameter  float64 // clearance hole in the body; default 5
	ScrewEdge      float64 // screw centre from the pocket's sides and ends; default 12
	HeadDepth      float64 // counterbore or ferrule in the back, default 0
	HeadDiameter   float64 // default 10
	BackPlateInset float64 // depth of a recess for a neck plate; default 0
}

// Strings are the string lines in plan.
type Strings struct {
	Count        int     // default 6
	SpreadNut    float64 // outer strings, centre to centre; default 35.5
	SpreadSaddle float64 // default 52
	Lines        []Line  // one for each string from nut (A) to scale point (B), string 1 (the highest) first; overrides the rest
}

// Fretboard covers some of the front.
type Fretboard struct {
	LastFret   float64 // default 22
	Overhang   float64 // board beyond the last fret; default 6
	End        float64 // u of the board's end; default from LastFret and Overhang
	WidthNut   float64 // default 42.5
	WidthEnd   float64 // at the board's end; default 56.5
	EndSlope   float64 // two-scale boards: how much farther toward the tail the bass edge reaches, in mm
	HeightOver float64 // the board's surface over the front plane at the joint; default 9
}

// PickupKind is a generic kind of pickup.
type PickupKind string

// The kinds.
const (
	SingleCoil      PickupKind = "single-coil"
	WideSingleCoil  PickupKind = "wide single-coil"
	Humbucking      PickupKind = "humbucking"
	SmallHumbucking PickupKind = "small humbucking"
)

// Pickup is one pickup and its cavity in the front. Give either FromSaddle or
// Fraction.
type Pickup struct {
	Name       string // default "pickup 1", "pickup 2", …
	Kind       PickupKind
	FromSaddle float64 // from the scale point to the pickup's middle, along the centreline
	Fraction   float64 // the same as a fraction of the scale length, in (0, 1)
	Across     float64 // v of its middle; default 0, the centreline
	Angle      float64 // > 0 when the treble end lies nearer the bridge
	Length     float64 // of the cavity, across the strings; default by kind
	Width      float64 // of the cavity, along the strings; default by kind
	Depth      float64 // default by kind
	EarLength  float64 // of the screw ears, over all; default by kind, −1 for none
	EarWidth   float64
	EarDepth   float64
	Cover      Size    // what shows on the front (cover or ring); default by kind
	Mass       float64 // grams; default by kind
}

// Size is a rectangle: Length across the strings (v), Width along them (u).
type Size struct{ Length, Width float64 }

// BridgeKind is a generic kind of bridge.
type BridgeKind string

// The kinds. The zero kind is FlatMount.
const (
	NoBridge  BridgeKind = "none"
	FlatMount BridgeKind = "flat-mount fixed bridge"
	TwoPost   BridgeKind = "two-post bridge with tailpiece"
	WrapOver  BridgeKind = "wrap-over bridge"
	Vibrato   BridgeKind = "pivoting vibrato bridge"
)

// Bridge and what it needs in the wood. Every field has a default by kind.
type Bridge struct {
	Kind           BridgeKind
	SaddleSetback  float64 // middle of the saddles' travel behind the scale point; default 2.5
	Slant          float64 // how much farther toward the tail the bass post, stud or screw sits; default 0 (two posts 3)
	Plate          Size    // what the front of the body is covered with
	PlateAhead     float64 // how far the plate reaches ahead of the saddles
	PostSpacing    float64 // posts or pivots, centre to centre
	PostAhead      float64 // posts or pivots ahead of the saddles (behind when negative)
	PostDiameter   float64 // of the hole
	PostDepth      float64
	StudSpacing    float64 // tailpiece studs
	StudBehind     float64 // stud line behind the post line
	StudDiameter   float64
	StudDepth      float64
	StringThrough  bool    // strings come from ferrules in the back
	StringHole     float64 // diameter
	StringBehind   float64 // string holes behind the saddles
	FerruleHole    float64 // diameter
	FerruleDepth   float64
	Screws         int // mounting screws, flat-mount; −1 for none
	ScrewDiameter  float64
	ScrewDepth     float64
	BlockLength    float64 // vibrato: through cavity across the strings
	BlockWidth     float64 // along the strings
	BlockBehind    float64 // middle of the through cavity behind the pivots
	SpringLength   float64 // cavity in the back along the strings, ahead of its tail end
	SpringWidth    float64
	SpringDepth    float64
	SpringBehind   float64 // how far its tail end lies behind the block cavity's tail end
	CoverLedge     float64 // width of the ledge for the back cover; −1 for none
	CoverDepth     float64
	Mass, TailMass float64 // grams: bridge; tailpiece or springs
}

// Cavity is a routed hollow for controls or the like. Its shape is Ring if
// given, or a rounded rectangle (At, Length along u, Width along v, Turn), or,
// when InsetFromEdge > 0, the part of that rectangle that stays this far
// inside the outline.
type Cavity struct {
	Name          string // default "control cavity", "control cavity 2", …
	Face          Face   // default back
	Ring          geom.Polygon
	At            geom.Point
	Length, Width float64 // default 110 × 60
	Turn          float64 // counter-clockwise in (u, v)
	InsetFromEdge float64
	CornerRadius  float64 // default 8; keep it at or over the router bit's radius
	Depth         float64 // default 37, but never less than 5 mm of wood left
	Ledge         float64 // width of the cover's ledge; default 8, −1 for no cover
	LedgeDepth    float64 // default 2.5
	CoverMass     float64 // grams; default 15
}

// Pot is a control: its shaft goes through the wood over the cavity that lies
// under it (or is cut from the front, then its shaft goes through the cover).
type Pot struct {
	Name       string // default "pot 1", …
	At         geom.Point
	Hole       float64 // default 10
	Body       float64 // diameter of its can; default 24
	Knob       float64 // default 19
	BushLength float64 // the most wood it can pass; default 9
	Mass       float64 // grams, with knob; default 40
}

// SwitchKind is a generic kind of switch.
type SwitchKind string

// The kinds. The zero kind is Toggle.
const (
	Toggle SwitchKind = "toggle switch"
	Blade  SwitchKind = "blade switch"
)

// Switch is a pickup selector.
type Switch struct {
	Name   string
	Kind   SwitchKind
	At     geom.Point
	Turn   float64 // of a blade's slot, from +u counter-clockwise
	Hole   float64 // toggle: diameter, default 12.7
	Slot   Size    // blade: default 28 × 1.6
	Screws float64 // blade: spacing, default 41.3
	Body   Size    // room it needs below; default 45 × 18 (blade) or 24 × 24
	Mass   float64 // default 30
}

// Jack is the output socket.
type Jack struct {
	None     bool
	Face     Face       // default Side
	At       geom.Point // on the face; for Side the nearest place of the outline is taken
	W        float64    // Side: height; default the middle of the thickness
	Into     string     // the cavity that it must reach; default the first of Cavities
	Diameter float64    // default 22 at the edge, 9.8 on a face
	Recess   float64    // face: diameter of a counterbore, default none
	Mass     float64    // default 25
}

// Channel is a routed wire channel with rounded ends.
type Channel struct {
	Name     string // default "channel 1", …
	Face     Face   // default front
	From, To geom.Point
	Width    float64 // default 8
	Depth    float64 // default 12
	Covered  bool    // a plug or a veneer goes over it: it may lie open to its face
}

// WireHole is drilled from one cavity to another. From and To name features;
// A and B, if given, are the ends of its axis, else Build looks for a line
// that a straight drill can reach through the open face of one of them, or
// through the mouth of the neck pocket.
type WireHole struct {
	Name     string // default "wire hole 1", …
	From, To string
	Through  []string // cavities that it passes on its way
	A, B     geom.Point3
	Diameter float64 // default 6
}

// Battery is a battery box.
type Battery struct {
	Name   string
	Face   Face // default back
	At     geom.Point
	Turn   float64
	Length float64 // default 56 along u before the turn
	Width  float64 // default 32
	Depth  float64 // default 24
	Mass   float64 // default 50
}

// StrapButton is screwed into the body's side or back.
type StrapButton struct {
	Name     string     // default "tail button", "horn button", …
	At       geom.Point // the nearest place of the outline is taken
	OnBack   bool       // screwed into the back at At instead (default the side)
	W        float64    // default the middle of the thickness
	Stand    float64    // how far out the strap sits; default 8
	Pilot    float64    // diameter; default 2.8
	PilotDep float64    // default 25
	Mass     float64    // default 8
}

// GroundWire is the hole from under the bridge to a cavity.
type GroundWire struct {
	None     bool
	Into     string // default the jack's cavity
	A, B     geom.Point3
	Diameter float64 // default 3
}

// Guard is a plate screwed onto the front: a pick guard, a control plate. It
// hides what lies under it.
type Guard struct {
	Name string // default "guard 1", …
	Ring geom.Polygon
	Mass float64 // default 2.5 mm of plastic at 1200 kg/m³
}

// Edges are the edge treatments of front and back. Give a radius for a
// round-over or a chamfer's width (at 45°); both zero leave the edge square.
// Where a contour lowers the face beside the edge, the treatment goes down from
// the carved face.
type Edges struct {
	FrontRadius, BackRadius   float64 // default 0
	FrontChamfer, BackChamfer float64
}

// ContourKind is a kind of carved surface.
type ContourKind string

// The kinds.
const (
	ForearmBevel ContourKind = "forearm bevel" // a plane on the front
	BellyCut     ContourKind = "belly cut"     // a plane or a hollow on the back
	ArchedTop    ContourKind = "arched top"    // the whole front, falling from a crown
)

// Contour is a carved surface.
//
// A bevel and a belly cut start along the line through At in direction Along
// and fall to the left of it by Depth within Reach (and go on falling). With
// Hollow the fall is a parabola tangent to the face at the line, else a plane.
//
// An arched top touches w = 0 at At and falls with the square of the distance:
// (u/RadiusAlong + v/RadiusAcross terms) x²/2R each, which is a ball or barrel
// of that radius to within x⁴/8R³. A zero radius means no fall that way.
type Contour struct {
	Name                      string
	Kind                      ContourKind
	At                        geom.Point
	Along                     geom.Vec
	Depth, Reach              float64 // default 12 over 60 (forearm), 10 over 50 (belly)
	Hollow                    bool
	RadiusAlong, RadiusAcross float64
}

// Limits are the needs of the checks, in mm. Zero fields take the defaults.
type Limits struct {
	Floor       float64 // wood left under (or over) a cavity; 5
	Top         float64 // wood left over a control cavity; 3
	Wall        float64 // between a cavity and the outline; 8
	Web         float64 // between two cavities; 3
	HoleToHole  float64 // between two holes; 3
	HoleToEdge  float64 // between a hole and the outline; 6
	HoleCavity  float64 // between a hole and a cavity it has nothing to do with; 2
	PocketFloor float64 // under a bolted neck's pocket; 14
	FaceSkin    float64 // between a drilled wire hole and either face; 3
	RouterBit   float64 // radius of the bit that cuts the outline; 6.35
}

// Masses of what is not wood of the body, in grams.
type Masses struct {
	Neck       float64     // with frets and rod, without tuners; default 550
	NeckCG     geom.Point3 // default: 0.47 of the way from the nut to the joint's end, 10 mm over the front plane
	TunersEach float64     // default 35
	StringEach float64     // default 5
	TunersAt   geom.Point3 // middle of the tuners; default 95 mm behind the nut, 5 mm under the front plane
	Other      []Mass
}

// Mass is a thing of known mass at a place.
type Mass struct {
	Name  string
	Grams float64
	At    geom.Point3
}

// Finish is the coat on the body's outside: faces, side and edges. Cavities,
// holes and the neck pocket stay bare.
type Finish struct {
	Thickness float64 // dry; default 0.15; −1 for none
	Density   float64 // kg/m³; default 1100
}

// Line is a straight line in plan.
type Line struct{ A, B geom.Point }

// At is the point of the line at distance u along the centreline.
func (l Line) At(u float64) geom.Point {
	if l.A.X == l.B.X {
		return l.A
	}
	return l.A.Lerp(l.B, (u-l.A.X)/(l.B.X-l.A.X))
}

// JointDistance is how far fret n lies from the scale point on a string of
// the given length, in twelve equal steps to the octave.
func JointDistance(scaleLength, n float64) float64 { return scaleLength * math.Exp2(-n/12) }
