package neck

import (
	"errors"
	"fmt"
	"math"
)

// JointSpec is how neck, body and bridge meet. Of NeckAngleDeg, PocketMm,
// HeelMm and BridgeMm three are given and one is solved.
//
//	                  board's surface   neck angle φ > 0: it rises
//	______________________________________----------->   toward the bridge
//	neck and board   |  heel  |      | BridgeMm
//	                 |________|______|____ body's front plane
//	                 |////////|/////////// pocket, PocketMm deep
//	               joint  (pocket's floor is parallel to the board)
type JointSpec struct {
	// Solve names the unknown: "angle", "pocket", "heel" or "bridge". Empty:
	// the first of pocket, bridge and angle that is 0; if none is, an error.
	Solve string
	// JointFret is the fret at the body's edge, which may lie between frets.
	// Default: the last but six, at least half of the frets.
	JointFret float64
	// NeckAngleDeg is positive where the neck tips back. May be 0.
	NeckAngleDeg float64
	// PocketMm is the pocket's depth under the body's front plane at the
	// joint.
	PocketMm float64
	// HeelMm is the neck's thickness in the pocket with the board, square to
	// the board. Default 25.4.
	HeelMm float64
	// BridgeMm is the string's underside at the saddle (mean of the outer
	// strings) over the body's front plane. Default 12 (a flat-mount fixed
	// bridge), unless it is what is solved for.
	BridgeMm float64
	// PocketLengthMm along the board, from the joint; default 76.
	PocketLengthMm float64
	// NoDefaults keeps a 0 in PocketMm, HeelMm, BridgeMm as 0.
	NoDefaults bool
}

func (j JointSpec) filled(count int) JointSpec {
	if j.JointFret == 0 {
		j.JointFret = math.Max(float64(count-6), math.Ceil(float64(count)/2))
	}
	if j.PocketLengthMm == 0 {
		j.PocketLengthMm = 76
	}
	if j.Solve == "" {
		switch {
		case j.PocketMm == 0:
			j.Solve = "pocket"
		case j.BridgeMm == 0:
			j.Solve = "bridge"
		case j.NeckAngleDeg == 0:
			j.Solve = "angle"
		}
	}
	if !j.NoDefaults {
		if j.HeelMm == 0 && j.Solve != "heel" {
			j.HeelMm = 25.4
		}
		if j.BridgeMm == 0 && j.Solve != "bridge" {
			j.BridgeMm = 12
		}
		if j.PocketMm == 0 && j.Solve != "pocket" {
			j.PocketMm = 16
		}
	}
	return j
}

// Seat is where the neck sits on the body, and the one map from the neck
// frame to the body frame. The body frame's origin is the foot, on the front
// plane, of the scale point; +w out of the front.
type Seat struct {
	// AngleRad is the neck angle; positive: the neck tips back and the board's
	// plane rises toward the bridge.
	AngleRad float64
	// ScaleMm is where the scale point lies in the neck frame.
	ScaleMm float64
	// BoardAtScaleMm is the height of the board's plane, drawn on to the scale
	// point, over the body's front plane.
	BoardAtScaleMm float64
}

// Body maps a point of the neck frame (u, v, w over the board's plane) to the
// body frame.
func (s Seat) Body(u, v, w float64) (bu, bv, bw float64) {
	sin, cos := math.Sincos(s.AngleRad)
	return (u-s.ScaleMm)*cos - w*sin, v, s.BoardAtScaleMm + (u-s.ScaleMm)*sin + w*cos
}

// Neck maps a point of the body frame back to the neck frame.
func (s Seat) Neck(bu, bv, bw float64) (u, v, w float64) {
	sin, cos := math.Sincos(s.AngleRad)
	bw -= s.BoardAtScaleMm
	return s.ScaleMm + bu*cos + bw*sin, bv, -bu*sin + bw*cos
}

// Joint is the solved geometry of neck and body.
type Joint struct {
	Solved string // which of the four was solved
	// The four, all known now.
	NeckAngleRad, NeckAngleDeg, PocketMm, HeelMm, BridgeMm float64

	Seat             Seat
	JointFromNutMm   float64 // along the board, mm
	HeelEndFromNutMm float64 // the heel's tail end, along the board, mm
	// PocketInnerMm is the pocket's depth at its inner end: the floor is
	// parallel to the board. WedgeMm is the difference, as a shim's taper.
	PocketInnerMm, WedgeMm float64
	// BoardOverBodyMm is the board's surface over the front plane at the joint.
	BoardOverBodyMm float64
	// BoardEndOverBodyMm is the same at the board's end, BoardEndFree the gap
	// left under the board there (its underside over the front plane).
	BoardEndOverBodyMm, BoardEndFreeMm float64
	// ActionAtJointMm and ActionAtLastMm are the outer strings' mean gap to
	// the fret crowns at the joint and at the last fret.
	ActionAtJointMm, ActionAtLastMm float64
	// StringOverBodyAtLastMm is the mean underside of the outer strings over
	// the front plane at the last fret.
	StringOverBodyAtLastMm float64
}

// seatGeometry is what the solver needs to know of the board: the distance
// from joint to saddle along the board and the saddle's height over the
// board's plane.
type seatGeometry struct{ toSaddle, saddle float64 }

// The relation between the four, exactly:
//
//	bridge = heel/cos φ − pocket + toSaddle sin φ + saddle cos φ
//
// heel/cos φ − pocket is the board's surface over the front plane at the
// joint, measured upright there.
func (g seatGeometry) bridge(phi, pocket, heel float64) float64 {
	sin, cos := math.Sincos(phi)
	return heel/cos - pocket + g.toSaddle*sin + g.saddle*cos
}

// angle solves for φ by Newton's method from φ = 0. The relation rises with φ
// all over ±0.5 rad as long as the saddle is farther off than heel and saddle
// are high, which check makes sure of.
func (g seatGeometry) angle(pocket, heel, bridge float64) (float64, error) {
	phi := 0.0
	for range 50 {
		sin, cos := math.Sincos(phi)
		slope := heel*sin/(cos*cos) + g.toSaddle*cos - g.saddle*sin
		step := (bridge - g.bridge(phi, pocket, heel)) / slope
		phi += step
		if math.Abs(phi) > 0.5 || math.IsNaN(phi) {
			return 0, fmt.Errorf("no neck angle below 28 degrees brings the strings to a bridge of %.1f mm with a heel of %.1f and a pocket of %.1f mm", bridge, heel, pocket)
		}
		if math.Abs(step) < 1e-15 {
			break
		}
	}
	return phi, nil
}

func (g seatGeometry) solve(j JointSpec) (phi, pocket, heel, bridge float64, err error) {
	phi, pocket, heel, bridge = j.NeckAngleDeg*math.Pi/180, j.PocketMm, j.HeelMm, j.BridgeMm
	rest := func() float64 { return g.bridge(phi, pocket, heel) - bridge }
	switch j.Solve {
	case "pocket":
		pocket += rest()
	case "heel":
		heel -= rest() * math.Cos(phi)
	case "bridge":
		bridge += rest()
	case "angle":
		phi, err = g.angle(pocket, heel, bridge)
	}
	return phi, pocket, heel, bridge, err
}

func (j JointSpec) check(count int) error {
	switch j.Solve {
	case "", "angle", "pocket", "heel", "bridge":
	default:
		return fmt.Errorf("cannot solve the neck joint for %q: write angle, pocket, heel or bridge", j.Solve)
	}
	f := j.filled(count)
	if f.Solve == "" {
		return errors.New("neck angle, pocket depth and bridge height are all given: leave one at 0, or say which to solve")
	}
	for _, c := range []struct {
		name      string
		v         float64
		low, high float64
		unit      string
	}{
		{"a neck angle", j.NeckAngleDeg, -20, 20, "degrees"},
		{"a pocket depth", j.PocketMm, 0, 60, "mm"},
		{"a heel height", j.HeelMm, 0, 100, "mm"},
		{"a bridge height", j.BridgeMm, 0, 80, "mm"},
		{"a pocket length", j.PocketLengthMm, 0, 300, "mm"},
		{"a joint at fret", j.JointFret, 0, float64(count) + 12, ""},
	} {
		if math.IsNaN(c.v) || c.v < c.low || c.v > c.high {
			return fmt.Errorf("%s of %g: it must lie between %g and %g %s", c.name, c.v, c.low, c.high, c.unit)
		}
	}
	return nil
}
