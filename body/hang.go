package body

import (
	"errors"
	"fmt"
	"math"

	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret/measure"
)

// Strap is how the instrument is worn.
type Strap struct {
	Length   float64 // between the buttons, along the strap; default 1100
	Friction float64 // coefficient between strap and shoulder; default 0.3 (cloth on cloth, from memory), −1 for none
}

func (s Strap) filled() Strap {
	s.Length = or(s.Length, 1100)
	if s.Friction = or(s.Friction, 0.3); s.Friction < 0 {
		s.Friction = 0
	}
	return s
}

// Hanging is how an instrument comes to rest on a strap. Angles are of the
// neck from level, neck up positive.
type Hanging struct {
	// Angle is where it comes to rest without friction when let go level.
	Angle float64
	// EqualPull is the angle nearest to level at which both parts of the strap
	// pull alike: Angle itself, or a place on which it stands like a pencil on its
	// tip and that the slightest push sends it off.
	EqualPull float64
	// Low and High bound the angles round Angle at which it may also stay when
	// the strap's Friction holds it.
	Low, High, Friction float64
	// LevelFriction is the least coefficient of friction that holds it level;
	// +Inf when none does.
	LevelFriction float64
	Over          geom.Point // the point of support, in the body's plan
	Rests         bool       // false: it finds no rest with the bass side up
}

// Hang finds how the instrument with its centre of gravity c hangs from two
// buttons by a strap that runs freely over one point of support.
//
// The player's body keeps the back upright, so the problem is the plane one of
// the front's plan. In the body's frame the point of support P can be anywhere
// on the ellipse round the buttons A, B with |PA| + |PB| = length:
//
//	            P   ^
//	          .'|'.  up
//	        .'  |  '.
//	tail  A     |     B  horn
//	            C
//
// With C straight under P the instrument sits |PC| below the support, so it
// comes to rest where |PC| is greatest. There PC is square to the ellipse,
// and hence halves the angle between both parts of the strap: they pull
// equally, as a frictionless strap must. They also do so where |PC| is least,
// but there the slightest push sends it off: this is what happens near level
// when C lies less deep under the buttons than the ellipse's centre of
// curvature, as on most instruments. So the rest is sought downhill from
// level, and may well be steep.
//
// With friction μ the parts may pull unequally up to the ratio e^(μβ), β the
// angle by which the strap turns over the support (Euler and Eytelwein's
// capstan equation); balance across PC gives T_A sin φ_A = T_B sin φ_B with φ
// the angles from PC, which bounds P on both sides.
func (b *Body) Hang(c geom.Point3, strap Strap) (Hanging, error) {
	if len(b.Buttons) != 2 {
		return Hanging{}, errors.New("the body has no two strap buttons")
	}
	bass := geom.V(0, -1)
	if b.Hand == outline.LeftHanded {
		bass = geom.V(0, 1)
	}
	tail, horn, strap := b.Buttons[0].At.Plan(), b.Buttons[1].At.Plan(), strap.filled()
	if apart := tail.Distance(horn); !(strap.Length > apart) {
		return Hanging{}, fmt.Errorf("strap: it is %s long and the buttons are %s apart; give a longer strap", b.length(strap.Length), b.length(apart))
	}
	return hang(tail, horn, c.Plan(), bass, strap)
}

// hang wants a strap that reaches from button to button.
func hang(tail, horn, c geom.Point, bass geom.Vec, strap Strap) (Hanging, error) {
	span := horn.Sub(tail)
	// The ellipse: centre m, half axes a along the buttons and h toward the
	// bass side, which is up when worn.
	m := tail.Lerp(horn, 0.5)
	e1 := span.Unit()
	e2 := e1.Left()
	if e2.Dot(bass) < 0 {
		e2 = e2.Neg()
	}
	a := strap.Length / 2
	h := math.Sqrt(a*a - span.Dot(span)/4)
	at := func(t float64) geom.Point {
		s, k := math.Sincos(t)
		return m.Add(e1.Mul(a * k)).Add(e2.Mul(h * s))
	}
	// slope is half the derivative of |PC|² along the ellipse.
	off := m.Sub(c)
	x, y := off.Dot(e1), off.Dot(e2)
	slope := func(t float64) float64 {
		s, k := math.Sincos(t)
		return h*k*(y+h*s) - a*s*(x+a*k)
	}
	// Level: the support is straight over C, toward the bass side, where the ray
	// from C meets the ellipse (X/a)² + (Y/h)² = 1.
	level := math.NaN()
	if cx, cy := -x/a, -y/h; cx*cx+cy*cy < 1 {
		dx, dy := bass.Dot(e1)/a, bass.Dot(e2)/h
		dd, cd := dx*dx+dy*dy, cx*dx+cy*dy
		far := (math.Sqrt(cd*cd+dd*(1-cx*cx-cy*cy)) - cd) / dd
		if t := math.Atan2(cy+far*dy, cx+far*dx); t > 0 {
			level = t
		}
	}
	if math.IsNaN(level) {
		return Hanging{}, nil
	}
	// Downhill from there, a degree at a time, until |PC| stops growing.
	dir := math.Copysign(math.Pi/180, slope(level))
	bt := level
	for slope(bt)*dir > 0 {
		if bt += dir; bt <= 0 || bt >= math.Pi {
			return Hanging{}, nil
		}
	}
	bt = bisect(slope, bt-dir, bt)
	angle := func(t float64) float64 {
		up := at(t).Sub(c).Unit()
		neck := geom.V(-1, 0)
		// The horizontal direction to which the neck points when level.
		ahead := geom.V(-bass.Y*up.Y, bass.Y*up.X)
		return math.Atan2(neck.Dot(up), neck.Dot(ahead))
	}
	out := Hanging{Angle: angle(bt), Over: at(bt), Friction: strap.Friction, Rests: true}
	out.EqualPull = out.Angle
	// Uphill from level, to where |PC| is least.
	for up := level; up > 0 && up < math.Pi; up -= dir {
		if slope(up)*dir <= 0 {
			if e := angle(bisect(slope, up, up+dir)); math.Abs(e) < math.Abs(out.EqualPull) {
				out.EqualPull = e
			}
			break
		}
	}
	// imbalance is ln(T_tail/T_horn) less what friction can hold, on one side.
	imbalance := func(t float64) (ln, can float64) {
		p := at(t)
		down := c.Sub(p).Unit()
		pa, pb := tail.Sub(p).Unit(), horn.Sub(p).Unit()
		sa, sb := math.Abs(down.Cross(pa)), math.Abs(down.Cross(pb))
		turn := turnOver(p, tail, horn)
		// Both parts must pull to different sides of the plumb line.
		if down.Cross(pa)*down.Cross(pb) >= 0 || sa == 0 || sb == 0 {
			return math.Inf(1), strap.Friction * turn
		}
		return math.Abs(math.Log(sb / sa)), strap.Friction * turn
	}
	out.Low, out.High = out.Angle, out.Angle
	ln, _ := imbalance(level)
	out.LevelFriction = ln / turnOver(at(level), tail, horn)
	if strap.Friction == 0 {
		return out, nil
	}
	for _, dir := range []float64{-1, 1} {
		slack := func(t float64) float64 { ln, can := imbalance(t); return can - ln }
		t := bt
		const step = math.Pi / 720
		for slack(t+dir*step) >= 0 && math.Abs(t-bt) < math.Pi {
			t += dir * step
		}
		t0, t1 := t, t+dir*step
		for range 50 {
			if mid := (t0 + t1) / 2; slack(mid) >= 0 {
				t0 = mid
			} else {
				t1 = mid
			}
		}
		out.Low, out.High = math.Min(out.Low, angle(t0)), math.Max(out.High, angle(t0))
	}
	return out, nil
}

// turnOver is the angle by which the strap turns over the support p.
func turnOver(p, tail, horn geom.Point) float64 {
	a, b := tail.Sub(p).Unit(), horn.Sub(p).Unit()
	return math.Pi - math.Acos(math.Max(-1, math.Min(1, a.Dot(b))))
}

// bisect finds a zero of f between a and b, where its signs differ, to the
// last digit.
func bisect(f func(float64) float64, a, b float64) float64 {
	up := f(a) < 0
	for range 60 {
		m := (a + b) / 2
		if m == a || m == b {
			break
		}
		if (f(m) < 0) == up {
			a = m
		} else {
			b = m
		}
	}
	return (a + b) / 2
}

// Words says in plain words how it hangs.
func (h Hanging) Words() string {
	deg := func(r float64) float64 { return r * 180 / math.Pi }
	if !h.Rests {
		return "it finds no rest on the strap with the bass side up: it turns over"
	}
	a := deg(h.Angle)
	free := "would rise to"
	heavy, where := "tail", "above"
	if a < 0 {
		free, heavy, where = "would sink to", "neck", "below"
	}
	// The bounds are ours: what a hand does not notice, what a strap holds.
	var verdict string
	switch {
	case h.LevelFriction <= 0.1:
		verdict = "well balanced"
	case h.LevelFriction <= 0.3:
		verdict = "a little " + heavy + "-heavy"
	case a < 0:
		verdict = "neck dive"
	default:
		verdict = "tail-heavy"
	}
	need := "no usual strap holds it level"
	if h.LevelFriction < 1 {
		need = fmt.Sprintf("a strap whose friction on the shoulder is at least %.2f holds it level (0.2 to 0.5 is usual, from memory)", h.LevelFriction)
	}
	tip := ""
	if e := deg(h.EqualPull); math.Abs(e-a) > 0.5 {
		tip = fmt.Sprintf("; at %+.1f° both its parts pull alike, but there the instrument stands like a pencil on its tip", e)
	}
	return fmt.Sprintf("%s: %s; at %.2f it may stay anywhere from %+.0f° to %+.0f°; on a strap that runs freely the neck %s %.0f° %s level%s",
		verdict, need, h.Friction, deg(h.Low), deg(h.High), free, math.Abs(a), where, tip)
}

// WhatIf is a change and how the instrument then hangs.
type WhatIf struct {
	Change        string
	Angle         float64 // where it comes to rest when let go level
	LevelFriction float64 // the least that holds it level
}

// WhatIfs tells what moving a button or lightening the tuners would change,
// for the strung instrument's heft. Changes that cannot hang are left out.
func (b *Body) WhatIfs(all Heft, strap Strap) []WhatIf {
	if len(b.Buttons) != 2 {
		return nil
	}
	strap.Friction = -1 // its range is not asked for here
	var out []WhatIf
	try := func(change string, c Body, h Heft) {
		if r, err := c.Hang(h.Centre(), strap); err == nil && r.Rests {
			out = append(out, WhatIf{change, r.Angle, r.LevelFriction})
		}
	}
	moved := func(i int, d geom.Vec3) Body {
		c := *b
		c.Buttons = []Button{b.Buttons[0], b.Buttons[1]}
		c.Buttons[i].At = c.Buttons[i].At.Add(d)
		return c
	}
	bass := -1.0
	if b.Hand == outline.LeftHanded {
		bass = 1
	}
	tail, horn := b.Buttons[0].Name, b.Buttons[1].Name
	step := 20.0
	if b.Unit == measure.Inches {
		step = 25.4
	}
	try(horn+" "+b.length(step)+" toward the nut", moved(1, geom.Vec3{X: -step}), all)
	try(horn+" "+b.length(step)+" toward the tail", moved(1, geom.Vec3{X: step}), all)
	try(tail+" "+b.length(step)+" toward the bass side", moved(0, geom.Vec3{Y: step * bass}), all)
	for _, m := range b.Masses {
		if m.Name == "tuners" {
			each := 10.0
			if b.Unit == measure.Inches {
				each = float64(measure.Ounce) / 2
			}
			light := Mass{"", -math.Min(each*float64(len(b.Strings)), m.Grams), m.At}
			try("tuners "+measure.Mass(each).Format(b.Unit)+" lighter each", *b, all.Add(light.heft()))
		}
	}
	if d, ok := b.balanced(all.Centre(), strap, moved); ok {
		way := "nut"
		if d > 0 {
			way = "tail"
		}
		fine := 1.0 // to a millimetre, or a tenth of an inch
		if b.Unit == measure.Inches {
			fine = 2.54
		}
		far := math.Round(math.Abs(d)/fine) * fine
		out = append(out, WhatIf{fmt.Sprintf("%s %s toward the %s, where both parts of the strap pull alike when level", horn, b.length(far), way), 0, 0})
	}
	return out
}

// balanced is how far along u the horn's button would have to move, at most
// 300 mm, for level to be a balance: there the side to which it sinks changes.
func (b *Body) balanced(c geom.Point3, strap Strap, moved func(int, geom.Vec3) Body) (float64, bool) {
	sinks := func(d float64) (down, ok bool) {
		m := moved(1, geom.Vec3{X: d})
		r, err := m.Hang(c, strap)
		return r.Angle < 0, err == nil && r.Rests
	}
	now, ok := sinks(0)
	if !ok {
		return 0, false
	}
	for i := 1; i <= 10; i++ {
		for _, dir := range []float64{-1, 1} {
			d0, d1 := dir*30*float64(i-1), dir*30*float64(i)
			if then, ok := sinks(d1); !ok || then == now {
				continue
			}
			for range 10 {
				m := (d0 + d1) / 2
				if down, ok := sinks(m); ok && down == now {
					d0 = m
				} else {
					d1 = m
				}
			}
			return (d0 + d1) / 2, true
		}
	}
	return 0, false
}

func (m Mass) heft() Heft {
	return Heft{0, m.Grams, geom.Vec3{X: m.At.X, Y: m.At.Y, Z: m.At.Z}.Mul(m.Grams)}
}
