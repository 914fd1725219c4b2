package neck_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/fret/neck"
)

// Solving for one of the four and then for another returns the start.
func TestJointRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.Float64Range(-2, 6).Draw(t, "angle")
		heel := rapid.Float64Range(20, 30).Draw(t, "heel")
		pocket := rapid.Float64Range(8, 19).Draw(t, "pocket")
		fretAt := rapid.Float64Range(12, 20).Draw(t, "joint")
		start := work(t, neck.Spec{Joint: neck.JointSpec{Solve: "bridge", NeckAngleDeg: angle, PocketMm: pocket, HeelMm: heel, JointFret: fretAt}}).Joint
		if start.BridgeMm <= 0 {
			return
		}
		for _, unknown := range []string{"angle", "pocket", "heel"} {
			again := neck.JointSpec{Solve: unknown, NeckAngleDeg: angle, PocketMm: pocket, HeelMm: heel, BridgeMm: start.BridgeMm, JointFret: fretAt}
			switch unknown {
			case "angle":
				again.NeckAngleDeg = 0
			case "pocket":
				again.PocketMm = 0
			case "heel":
				again.HeelMm = 0
			}
			j := work(t, neck.Spec{Joint: again}).Joint
			assert.InDelta(t, angle, j.NeckAngleDeg, 1e-9, unknown)
			assert.InDelta(t, pocket, j.PocketMm, 1e-9, unknown)
			assert.InDelta(t, heel, j.HeelMm, 1e-9, unknown)
			assert.InDelta(t, start.BridgeMm, j.BridgeMm, 1e-9, unknown)
		}
	})
}

// The joint by points: the saddle's foot carried into the body frame stands as
// high as the bridge, the heel's underside at the body's edge as deep as the
// pocket.
func TestJointByPoints(t *testing.T) {
	r := work(t, neck.Spec{Joint: neck.JointSpec{Solve: "bridge", NeckAngleDeg: 3, PocketMm: 15, HeelMm: 25}})
	j := r.Joint
	bu, bv, bw := j.Seat.Body(r.Plan.CentreScaleMm, 0, r.Setup.SaddleOuterMm)
	assert.InDelta(t, j.BridgeMm, bw, 1e-9)
	assert.InDelta(t, -r.Setup.SaddleOuterMm*math.Sin(3*math.Pi/180), bu, 1e-9)
	assert.Zero(t, bv)
	// The scale point's foot is the origin.
	bu, _, _ = j.Seat.Body(r.Plan.CentreScaleMm, 0, 0)
	assert.Zero(t, bu)
	// The underside of the heel, along its line to where it is under the
	// board's surface at the joint.
	ju, _, jw := j.Seat.Body(j.JointFromNutMm, 0, 0)
	assert.InDelta(t, j.BoardOverBodyMm, jw, 1e-9)
	u0, _, w0 := j.Seat.Body(j.JointFromNutMm, 0, -25)
	u1, _, w1 := j.Seat.Body(j.JointFromNutMm+100, 0, -25)
	floor := w0 + (w1-w0)*(ju-u0)/(u1-u0)
	assert.InDelta(t, -15, floor, 1e-9)
	// Neck is the way back.
	u, v, w := j.Seat.Neck(j.Seat.Body(100, 7, 3))
	assert.InDelta(t, 100, u, 1e-9)
	assert.InDelta(t, 7, v, 1e-9)
	assert.InDelta(t, 3, w, 1e-9)
	// A tipped-back neck's pocket gets shallower toward the bridge.
	assert.InDelta(t, 15-76*math.Sin(3*math.Pi/180), j.PocketInnerMm, 1e-9)
}

func TestJointActions(t *testing.T) {
	r := work(t, neck.Spec{Joint: neck.JointSpec{JointFret: 22}, Setup: neck.SetupSpec{NoRelief: true}})
	assert.InDelta(t, r.Joint.ActionAtLastMm, r.Joint.ActionAtJointMm, 0.01, "joint at the last fret")
	assert.Greater(t, r.Joint.ActionAtLastMm, 1.8, "more than at fret 12")
}

func TestJointRefuses(t *testing.T) {
	for says, j := range map[string]neck.JointSpec{
		"leave one at 0":                {NeckAngleDeg: 2, PocketMm: 15, BridgeMm: 15},
		"write angle, pocket":           {Solve: "luck"},
		"a neck angle of 45":            {NeckAngleDeg: 45},
		"cannot be built":               {Solve: "pocket", BridgeMm: 60},
		"no neck angle below":           {Solve: "angle", PocketMm: 16, BridgeMm: 80, JointFret: 30},
		"a heel height of 5":            {HeelMm: 5},
		"a joint at fret of 50":         {JointFret: 50},
		"a pocket depth of NaN: it mus": {PocketMm: math.NaN()},
	} {
		_, err := neck.Work(neck.Spec{Joint: j})
		require.ErrorContains(t, err, says)
	}
}
