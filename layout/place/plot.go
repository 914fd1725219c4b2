package place

import (
	"math"
	"sync"
)

// A plot is a small box of placements, of one face, that share one tilt: the one
// that is best in its middle. Where that leaves the wood that is needed, Settle
// takes it, so that of a range within a plot the tilt is known, and a range of
// several has but a few. A tilt of its own for every place would leave a little
// more wood, and no way to say what it is in a range but by how well it was
// sought.
type plot struct {
	face    Face
	x, y, a int
}

// tilt is a pitch and a roll.
type tilt struct{ pitch, roll float64 }

// plotSide is how long a plot is along x and y, in mm; about the pivot it goes
// as far as turns a point of the outline by that. plotsMost is how many are
// looked at for one range, plotsListed how many a certificate lists of one.
const (
	plotSide  = 4.0
	plotsMost = 12

	plotsListed = 60
)

// plotStart is the angle from which plots are counted round a full turn, in radians.
// Ranges over it are not told apart; few bodies will lie so.
const plotStart = 2.2

// plots are what is known of the plots of a case.
type plots struct{ tilts sync.Map } // tilt by plot

// plotAngle counts an angle from there on, and the width of a plot there.
func (c *Case) plotAngle(a float64) (from, width float64) {
	from = math.Mod(a-plotStart, 2*math.Pi)
	if from < 0 {
		from += 2 * math.Pi
	}
	return from, plotSide / c.radius
}

// plotOf is the plot in which a placement lies.
func (c *Case) plotOf(p Placement) plot {
	q := p.Plan().Apply(c.pivot())
	a, width := c.plotAngle(p.Angle)
	at := func(v, width float64) int { return int(math.Floor(v / width)) }
	return plot{p.Face, at(q.X, plotSide), at(q.Y, plotSide), at(a, width)}
}

// plotsOf are the plots that a range meets, false when they are more than so many.
func (c *Case) plotsOf(s span, atMost int) ([]plot, bool) {
	const hair = 1e-9
	a, width := c.plotAngle(s.a)
	if a-s.ha < hair || a+s.ha > 2*math.Pi-hair {
		return nil, false
	}
	reach := func(v, half, width float64) (from, to int) {
		return int(math.Floor((v - half - hair) / width)), int(math.Floor((v + half + hair) / width))
	}
	x0, x1 := reach(s.x, s.hx, plotSide)
	y0, y1 := reach(s.y, s.hy, plotSide)
	a0, a1 := reach(a, s.ha, width)
	if (x1-x0+1)*(y1-y0+1)*(a1-a0+1) > atMost {
		return nil, false
	}
	var out []plot
	for x := x0; x <= x1; x++ {
		for y := y0; y <= y1; y++ {
			for a := a0; a <= a1; a++ {
				out = append(out, plot{s.face, x, y, a})
			}
		}
	}
	return out, true
}

// tiltOn is the tilt of a plot.
func (c *Case) tiltOn(at plot) tilt {
	if t, ok := c.plots.tilts.Load(at); ok {
		return t.(tilt)
	}
	_, width := c.plotAngle(0)
	middle := func(i int, width float64) float64 { return (float64(i) + 0.5) * width }
	q, _, _ := c.bestTilt(c.at(span{face: at.face, x: middle(at.x, plotSide), y: middle(at.y, plotSide), a: plotStart + middle(at.a, width)}))
	t := tilt{q.Pitch, q.Roll}
	c.plots.tilts.Store(at, t)
	return t
}

// A Plot is a small box of placements whose bodies, where they cannot lie level,
// share one tilt: its numbers along x, y and the angle, and the tilt. Certificates
// speak of them.
type Plot struct {
	Face  Face    `json:"face"`
	X     int     `json:"x"`
	Y     int     `json:"y"`
	Angle int     `json:"a"`
	Pitch float64 `json:"pitch_rad"`
	Roll  float64 `json:"roll_rad"`
}

// Numbers is which plot it is, without its tilt.
func (p Plot) Numbers() Plot { return Plot{Face: p.Face, X: p.X, Y: p.Y, Angle: p.Angle} }

// PlotOf is the plot in which a placement lies, without its tilt.
func (c *Case) PlotOf(p Placement) Plot {
	at := c.plotOf(p)
	return Plot{Face: at.face, X: at.x, Y: at.y, Angle: at.a}
}

// TiltOf is the tilt that Settle gives in a plot where that leaves the wood.
func (c *Case) TiltOf(p Plot) (pitch, roll float64) {
	t := c.tiltOn(plot{p.Face, p.X, p.Y, p.Angle})
	return t.pitch, t.roll
}

// laid is the placement with a tilt, at the height that leaves as much wood over
// it as under it, and its slack.
func (c *Case) laid(p Placement, t tilt) (Placement, float64) {
	p.Pitch, p.Roll, p.Height = t.pitch, t.roll, 0
	pivot := c.pivot()
	bottom, top := c.facesAt(p.Plan().Apply(pivot))
	p.Height = (bottom+top)/2 - p.Frame().Apply(pivot.X, pivot.Y, -c.Body.Thickness/2).Z
	for range 6 {
		f := p.Frame()
		above, below := c.spare(p, f)
		off := (above.Value - below.Value) / 2 * math.Abs(f.W.Z)
		if math.Abs(off) < 1e-6 {
			return p, min(above.Value, below.Value) - c.Need.Flatten
		}
		p.Height += off
	}
	return p, c.slack(p)
}
