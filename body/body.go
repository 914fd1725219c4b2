package body

import (
	"fmt"

	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret/measure"
)

// Body is a finished body: what is left of a slab of the outline's shape when
// all features, holes, contours and edge treatments are taken away.
type Body struct {
	Outline   geom.Path    // closed, counter-clockwise
	Ring      geom.Polygon // Outline flattened within RingTolerance, counter-clockwise
	Thickness float64
	Hand      outline.Hand
	Unit      measure.Unit // of lengths in messages and notes; numbers stay in mm

	Features []Feature
	Holes    []Hole
	Shaped   []Shaping // contours: surfaces that lower a face
	Edges    Edges

	Hidden       []Hidden
	Solid        []Zone
	Marks        []Mark
	KeepFromGlue []Spot
	Buttons      []Button // tail first
	Pickups      []PickupPlace
	Strings      []Line // string 1 (the highest) first, nut to scale point
	Joint        geom.Point
	ScaleLength  float64

	Limits    Limits
	Masses    []Mass // all hardware and the neck, in place
	Finish    Finish
	wired     []wiring
	uncovered []string // channels over which nothing is glued
	seated    bool     // the bridge's plate lies on the front
	parts     []part
	side      side
	measures  outline.Report // of Outline
}

// length words a length in the body's unit.
func (b *Body) length(mm float64) string { return measure.Length(mm).Format(b.Unit) }

// place words a place in plan.
func (b *Body) place(p geom.Point) string {
	return fmt.Sprintf("(%s, %s)", b.length(p.X), b.length(p.Y))
}

// RingTolerance is how far, in mm, Ring and the rings of round features may
// stray from the true curves. It is a tenth of a pencil line.
const RingTolerance = 0.01

// Kind says what a feature, hole, zone or spot is for.
type Kind string

// The kinds.
const (
	KindPocket   Kind = "neck pocket"
	KindPickup   Kind = "pickup cavity"
	KindEars     Kind = "pickup ears"
	KindControl  Kind = "control cavity"
	KindLedge    Kind = "cover ledge"
	KindBlock    Kind = "vibrato block cavity"
	KindSprings  Kind = "spring cavity"
	KindChannel  Kind = "wire channel"
	KindBattery  Kind = "battery cavity"
	KindSlot     Kind = "switch slot"
	KindRecess   Kind = "recess"
	KindNeckHole Kind = "neck screw hole"
	KindPost     Kind = "post hole"
	KindStud     Kind = "stud hole"
	KindScrew    Kind = "screw pilot hole"
	KindString   Kind = "string hole"
	KindFerrule  Kind = "ferrule hole"
	KindPot      Kind = "pot hole"
	KindSwitch   Kind = "switch hole"
	KindJack     Kind = "jack hole"
	KindWire     Kind = "wire hole"
	KindGround   Kind = "ground wire hole"
	KindStrap    Kind = "strap button hole"
	KindBridge   Kind = "bridge"
)

// Feature is a prism of wood taken away with a router: Ring in plan, from
// WTop down to WBottom.
type Feature struct {
	Name string
	Kind Kind
	Face Face // the side it is cut from
	Ring geom.Polygon
	// WTop ≥ WBottom. A cavity from the front has WTop = 0, one from the back
	// WBottom = −thickness.
	WTop, WBottom float64
	// FloorSlope makes the floor of a front cavity rise toward +u, in mm per mm;
	// WBottom is its deepest place, at u = FloorFrom.
	FloorSlope, FloorFrom float64
	CutsEdge              bool   // meant to break through the outline
	Through               bool   // meant to go through
	Within                string // the feature that it belongs to, "" if it is its own
	Note                  string // depth and the like in words, for templates
}

// Depth is how deep it goes from the face it is cut from, in a body of the
// given thickness.
func (f Feature) Depth(thickness float64) float64 {
	if f.Face == Back {
		return f.WTop + thickness
	}
	return -f.WBottom
}

// Floor is the height of the floor at u.
func (f Feature) Floor(u float64) float64 { return f.WBottom + f.FloorSlope*(u-f.FloorFrom) }

// Hole is drilled: a cylinder from A to B. A is where the drill enters.
type Hole struct {
	Name     string
	Kind     Kind
	Face     Face
	A, B     geom.Point3 // X, Y, Z are u, v, w
	Diameter float64
	Through  bool     // meant to go through the wood or to end in a cavity
	Opens    []string // features and holes that it is meant to meet
	Note     string
}

// Length is the distance from A to B.
func (h Hole) Length() float64 { return h.A.Distance(h.B) }

// Hidden is a part of the front that something covers, so that the wood's
// pattern does not show there.
type Hidden struct {
	Name string
	Ring geom.Polygon
}

// Zone is where wood must be solid in the slab: Ring from WTop to WBottom.
type Zone struct {
	Name          string
	Kind          Kind
	Ring          geom.Polygon
	WTop, WBottom float64
	Why           string
}

// MarkKind says what a mark is.
type MarkKind string

// The kinds of marks.
const (
	Centreline  MarkKind = "centreline"
	SaddleLine  MarkKind = "saddle line"
	ScaleLine   MarkKind = "scale point line"
	StringMark  MarkKind = "string"
	JointLine   MarkKind = "neck joint"
	BoardEdge   MarkKind = "fretboard"
	ContourLine MarkKind = "contour start"
)

// Mark is a line to draw.
type Mark struct {
	Name string
	Kind MarkKind
	Line Line
}

// Spot is a place that a glue line should keep away from, as screws and posts
// hold badly in one and can open it.
type Spot struct {
	Name   string
	Kind   Kind
	At     geom.Point
	Radius float64 // of the hole
	Wanted float64 // from the hole's rim to the nearest glue line
}

// Button is where the strap pulls.
type Button struct {
	Name string
	At   geom.Point3 // of the strap, off the wood
	Out  geom.Vec3   // unit, out of the wood
}

// PickupPlace is a pickup as placed: the middle and direction of its coils.
type PickupPlace struct {
	Name  string
	Kind  PickupKind
	At    geom.Point
	Along geom.Vec // unit, along a coil toward the treble side
	Coils []Line   // bass end to treble end
}

// wiring remembers which features a wire hole has to join.
type wiring struct {
	hole     string
	from, to string
}

// Feature finds a feature by name.
func (b *Body) Feature(name string) (Feature, bool) {
	for _, f := range b.Features {
		if f.Name == name {
			return f, true
		}
	}
	return Feature{}, false
}

// Hole finds a hole by name.
func (b *Body) Hole(name string) (Hole, bool) {
	for _, h := range b.Holes {
		if h.Name == name {
			return h, true
		}
	}
	return Hole{}, false
}

// Shaping is a surface that lowers a face: over Ring, the finished face lies
// Drop(p) below the front plane (or above the back plane).
//
//	Drop(p) = max(0, Slope·d + Curve·d²) with d = Line.Depth(p), for a bevel or belly cut
//	Drop(p) = Along·(u−u0)² + Across·(v−v0)², for an arch round Line.At
type Shaping struct {
	Name          string
	Kind          ContourKind
	Face          Face
	Ring          geom.Polygon   // the outline's part where it takes wood
	Line          geom.HalfPlane // its Along has length 1
	Slope, Curve  float64
	Along, Across float64
	box           geom.Box // of Ring
}

// Drop is how much the face is lowered at p.
func (s *Shaping) Drop(p geom.Point) float64 {
	if s.Kind != ArchedTop && s.Line.Depth(p) <= 0 {
		return 0
	}
	return s.fall(p)
}

// fall is Drop on the falling side, and the polynomial that it is there
// everywhere else.
func (s *Shaping) fall(p geom.Point) float64 {
	if s.Kind == ArchedTop {
		d := p.Sub(s.Line.At)
		return s.Along*d.X*d.X + s.Across*d.Y*d.Y
	}
	d := s.Line.Depth(p)
	return s.Slope*d + s.Curve*d*d
}

// steepness is the square of how steeply the surface falls, in mm per mm; like
// fall it goes on smoothly beyond the falling side.
func (s *Shaping) steepness(p geom.Point) float64 {
	if s.Kind == ArchedTop {
		d := p.Sub(s.Line.At)
		x, y := 2*s.Along*d.X, 2*s.Across*d.Y
		return x*x + y*y
	}
	k := s.Slope + 2*s.Curve*s.Line.Depth(p)
	return k * k
}
