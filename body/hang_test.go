package body

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
)

// letGo is the slow, obvious way to hang a thing: from level, turn it and slip
// the strap a little at a time, whichever way brings its weight lower. It knows
// nothing of plumb lines, ellipses or equal pulls.
func letGo(tail, horn, c geom.Point, bass geom.Vec, length float64) (angle, depth float64) {
	// share·length of the strap lies between the support and the tail button.
	low := func(turn, share float64) float64 {
		ra, rb := share*length, (1-share)*length
		d := tail.Distance(horn)
		if ra+rb <= d || math.Abs(ra-rb) >= d {
			return math.Inf(-1)
		}
		x := (ra*ra - rb*rb + d*d) / (2 * d)
		y := math.Sqrt(ra*ra - x*x)
		e := horn.Sub(tail).Unit()
		n := e.Left()
		if n.Dot(bass) < 0 {
			n = n.Neg()
		}
		p := tail.Add(e.Mul(x)).Add(n.Mul(y))
		return p.Sub(c).Dot(geom.Turn(turn).Turn(bass))
	}
	// Start level, with the support over the weight: the share whose support
	// has C's u.
	start, off := 0.5, math.Inf(1)
	for s := 0.0; s <= 1; s += 1e-4 {
		if l := low(0, s); !math.IsInf(l, -1) {
			sideways := low(math.Pi/2, s)
			if math.Abs(sideways) < off {
				start, off = s, math.Abs(sideways)
			}
		}
	}
	turn, share := 0.0, start
	depth = low(turn, share)
	for step := 0.005; step > 1e-10; {
		moved := false
		for i := range 16 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 16)
			if l := low(turn+step*cos, share+step*sin); l > depth {
				turn, share, depth, moved = turn+step*cos, share+step*sin, l, true
			}
		}
		if !moved {
			step /= 2
		}
	}
	// Seen with the bass side up, the neck points to −u; how far does it rise?
	return math.Asin(geom.V(-1, 0).Dot(geom.Turn(turn).Turn(bass))), depth
}

func TestHangIsWhereTheWeightSinksTo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		tail := geom.Pt(f("tail u", 120, 220), f("tail v", -30, 30))
		horn := geom.Pt(f("horn u", -330, -230), f("horn v", -160, -60))
		c := geom.Pt(f("c u", -200, 50), f("c v", -10, 200))
		strap := Strap{Length: f("strap", 700, 1500), Friction: -1}.filled()
		got, err := hang(tail, horn, c, geom.V(0, -1), strap)
		require.NoError(t, err)
		if !got.Rests || got.LevelFriction < 0.02 {
			t.Skip("it turns over, or stands on a knife's edge when level")
		}
		angle, depth := letGo(tail, horn, c, geom.V(0, -1), strap.Length)
		// Near a flat bottom the twin's angle is only as good as the square
		// root of its depth.
		assert.InDelta(t, depth, got.Over.Distance(c), 1e-5)
		assert.InDelta(t, math.Sin(angle), math.Sin(got.Angle), 2e-3)
		// Equal pulls: the plumb line halves the angle between the parts.
		down := c.Sub(got.Over).Unit()
		a, b := tail.Sub(got.Over).Unit(), horn.Sub(got.Over).Unit()
		assert.InDelta(t, 0, a.Add(b).Cross(down), 1e-9)
	})
}

// A frame hung over a smooth peg, the textbooks' old example: buttons 2f = 500
// mm apart, strap 2a = 1100 mm, weight d under the line of the buttons. The
// support's ellipse has half axes a and h = √(a² − f²) = 489.9 and a radius of
// curvature a²/h = 617.5 at the top, so level is stable just when h + d ≥ a²/h,
// that is when d ≥ f²/h = 127.6 mm.
func TestHangingFrameStaysLevelOnlyWhenItsWeightLiesDeep(t *testing.T) {
	for _, bass := range []geom.Vec{{Y: -1}, {Y: 1}} {
		c := func(d float64) geom.Point { return geom.Pt(0, -bass.Y*d) }
		deep, err := hang(geom.Pt(250, 0), geom.Pt(-250, 0), c(128), bass, Strap{}.filled())
		require.NoError(t, err)
		assert.InDelta(t, 0, deep.Angle, 1e-6)
		assert.InDelta(t, -deep.Low, deep.High, 1e-6)
		assert.Positive(t, deep.High)
		assert.InDelta(t, math.Sqrt(550*550-250*250), math.Abs(deep.Over.Y), 1e-6)

		high, err := hang(geom.Pt(250, 0), geom.Pt(-250, 0), c(126), bass, Strap{}.filled())
		require.NoError(t, err)
		assert.Greater(t, math.Abs(high.Angle), 0.02)
		assert.InDelta(t, 0, high.EqualPull, 1e-6) // it stands level, on its tip
		assert.InDelta(t, 0, deep.EqualPull, 1e-6)
	}
}

// Weight moved toward the neck makes the neck hang lower, for either hand.
func TestHeavyNeckHangsLower(t *testing.T) {
	for _, bass := range []float64{-1, 1} {
		last := math.Inf(1)
		for _, u := range []float64{-20, -40, -60} {
			h, err := hang(geom.Pt(170, 0), geom.Pt(-250, 60*bass), geom.Pt(u, -150*bass), geom.V(0, bass), Strap{}.filled())
			require.NoError(t, err)
			require.True(t, h.Rests)
			assert.Less(t, h.Angle, last)
			last = h.Angle
		}
	}
}

// At the ends of the range the pulls stand in the capstan ratio.
func TestFrictionHoldsUpToTheCapstanRatio(t *testing.T) {
	tail, horn, c := geom.Pt(170, 0), geom.Pt(-290, -110), geom.Pt(-80, 5)
	s := Strap{Friction: 0.25}.filled()
	h, err := hang(tail, horn, c, geom.V(0, -1), s)
	require.NoError(t, err)
	// A place of support that gives a hanging angle: P lies from C in direction
	// up, at the distance where the strap is taut.
	for _, angle := range []float64{h.Low, h.High} {
		up := geom.V(-math.Sin(angle), -math.Cos(angle))
		lo, hi := 0.0, s.Length
		for range 100 {
			m := (lo + hi) / 2
			if p := c.Add(up.Mul(m)); p.Distance(tail)+p.Distance(horn) < s.Length {
				lo = m
			} else {
				hi = m
			}
		}
		p := c.Add(up.Mul(lo))
		a, b := tail.Sub(p).Unit(), horn.Sub(p).Unit()
		// Solve T_a a + T_b b = −up·W for the pulls.
		det := a.Cross(b)
		ta, tb := up.Neg().Cross(b)/det, a.Cross(up.Neg())/det
		require.Positive(t, ta)
		require.Positive(t, tb)
		turn := math.Pi - math.Acos(a.Dot(b))
		assert.InDelta(t, s.Friction*turn, math.Abs(math.Log(ta/tb)), 1e-6)
	}
}

// Both parts pull alike where EqualPull says: tilted by that angle, a plumb line
// up from the centre of gravity meets the strap's ellipse where it halves the
// angle between the parts. Found by trying every angle.
func TestEqualPullIsWhereThePlumbLineHalvesTheStrap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		tail, horn := geom.Pt(f("tail u", 120, 220), f("tail v", -30, 30)), geom.Pt(f("horn u", -330, -230), f("horn v", -160, -60))
		c := geom.Pt(f("c u", -200, 50), f("c v", -10, 200))
		got, err := hang(tail, horn, c, geom.V(0, -1), Strap{Friction: -1}.filled())
		require.NoError(t, err)
		if !got.Rests {
			t.Skip("it turns over")
		}
		// Neck up by a, the way up in the body's plan is the bass side turned.
		lean := func(a float64) float64 {
			up := geom.V(-math.Sin(a), -math.Cos(a))
			lo, hi := 0.0, 3000.0
			for range 60 {
				if p := c.Add(up.Mul((lo + hi) / 2)); p.Distance(tail)+p.Distance(horn) < 1100 {
					lo = (lo + hi) / 2
				} else {
					hi = (lo + hi) / 2
				}
			}
			p := c.Add(up.Mul(lo))
			return tail.Sub(p).Unit().Add(horn.Sub(p).Unit()).Cross(up)
		}
		nearest := math.Inf(1)
		const step = 1e-3
		for a := -math.Pi / 2; a < math.Pi/2; a += step {
			if lean(a)*lean(a+step) <= 0 && math.Abs(a) < math.Abs(nearest) {
				nearest = a
			}
		}
		if math.Abs(got.EqualPull) < math.Pi/2-2*step {
			assert.InDelta(t, math.Abs(nearest), math.Abs(got.EqualPull), 2*step)
		}
	})
}

func TestShortStrapIsRefused(t *testing.T) {
	b := Body{Buttons: []Button{{At: geom.Point3{X: 250}}, {At: geom.Point3{X: -250}}}}
	_, err := b.Hang(geom.Point3{Y: 60}, Strap{Length: 480})
	assert.ErrorContains(t, err, "480 mm")
	assert.ErrorContains(t, err, "500 mm")
}

func TestWordsOfHanging(t *testing.T) {
	rad := math.Pi / 180
	for _, c := range []struct {
		h    Hanging
		want string
	}{
		{Hanging{Angle: 12 * rad, EqualPull: 12 * rad, Low: -2 * rad, High: 30 * rad, Friction: 0.3, LevelFriction: 0.06, Rests: true},
			"well balanced: a strap whose friction on the shoulder is at least 0.06 holds it level (0.2 to 0.5 is usual, from memory); at 0.30 it may stay anywhere from -2° to +30°; on a strap that runs freely the neck would rise to 12° above level"},
		{Hanging{Angle: -20 * rad, EqualPull: 4 * rad, Low: -50 * rad, High: -5 * rad, Friction: 0.3, LevelFriction: 0.42, Rests: true},
			"neck dive: a strap whose friction on the shoulder is at least 0.42 holds it level (0.2 to 0.5 is usual, from memory); at 0.30 it may stay anywhere from -50° to -5°; on a strap that runs freely the neck would sink to 20° below level; at +4.0° both its parts pull alike, but there the instrument stands like a pencil on its tip"},
		{Hanging{Angle: -20 * rad, EqualPull: -20 * rad, Low: -20 * rad, High: -20 * rad, LevelFriction: math.Inf(1), Rests: true},
			"neck dive: no usual strap holds it level; at 0.00 it may stay anywhere from -20° to -20°; on a strap that runs freely the neck would sink to 20° below level"},
		{Hanging{}, "it finds no rest on the strap with the bass side up: it turns over"},
	} {
		assert.Equal(t, c.want, c.h.Words())
	}
}
