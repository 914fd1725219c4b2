package body_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body"
	"slabwright/body/geom"
)

// bean is a smooth outline with a waist, in the outline's own frame: its neck
// end crosses the centreline at u = 0. Only tests know it.
func bean() geom.Path {
	c := func(a, b, d, e geom.Point) geom.Curve { return geom.Curve{P0: a, P1: b, P2: d, P3: e} }
	p := geom.Pt
	return geom.Path{Closed: true, Curves: []geom.Curve{
		c(p(0, 0), p(0, -40), p(-20, -60), p(-20, -100)),
		c(p(-20, -100), p(-20, -170), p(110, -120), p(190, -115)),
		c(p(190, -115), p(270, -110), p(410, -200), p(410, 0)),
		c(p(410, 0), p(410, 200), p(270, 110), p(190, 115)),
		c(p(190, 115), p(110, 120), p(-20, 170), p(-20, 100)),
		c(p(-20, 100), p(-20, 60), p(0, 40), p(0, 0)),
	}}
}

// bench is a whole instrument for the tests: two pickups, a fixed bridge,
// controls in the back, wires.
func bench() body.Spec {
	return body.Spec{
		Outline: bean(),
		Pickups: []body.Pickup{
			{Name: "neck pickup", Kind: body.SmallHumbucking, FromSaddle: 150},
			{Name: "bridge pickup", Kind: body.Humbucking, FromSaddle: 44},
		},
		Cavities: []body.Cavity{{At: geom.Pt(62, 72), Length: 100, Width: 60}},
		Pots:     []body.Pot{{At: geom.Pt(37, 72)}, {At: geom.Pt(82, 72)}},
		WireHoles: []body.WireHole{
			{Name: "pickup wires", From: "neck pocket", To: "bridge pickup", Through: []string{"neck pickup"}},
			{Name: "control wires", From: "bridge pickup", To: "control cavity"},
		},
	}
}

func TestBuildPlacesTheOutlineAtTheJoint(t *testing.T) {
	b, err := body.Build(bench())
	require.NoError(t, err)
	// 648·2^(−16/12) = 257.159 mm from joint to scale point.
	assert.InDelta(t, -257.159, b.Joint.X, 0.001)
	assert.InDelta(t, -257.159-20, b.Ring.Bounds().Min.X, 0.05)
	assert.Positive(t, b.Outline.Area())
	for _, f := range b.Features {
		t.Log(f.Name, f.Face, f.WTop, f.WBottom, f.Note, f.Ring.Bounds())
	}
	for _, h := range b.Holes {
		t.Log(h.Name, h.Note, h.A, h.B, h.Opens)
	}
}
