package outline

import (
	"errors"
	"math"

	"slabwright/body/geom"
)

// parsePath reads the d attribute of a path (SVG 1.1, 8.3): one piece for each
// subpath that draws something.
func parsePath(d string) ([]piece, error) {
	n := numbers{text: d}
	var pieces []piece
	var current piece
	var at, start, control geom.Point
	last := byte(0) // the command before, in capitals, for S and T
	add := func(c geom.Curve) { current.curves = append(current.curves, c); at = c.P3 }
	finish := func(closed bool) {
		if len(current.curves) > 0 {
			current.closed = closed
			pieces = append(pieces, current)
		}
		current = piece{}
	}
	command := byte(0)
	for !n.done() {
		if c := n.text[n.at]; c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' {
			command = c
			n.at++
		} else if command == 0 {
			return nil, n.wrong("the command M")
		} else if command == 'Z' || command == 'z' {
			return nil, n.wrong("a command")
		}
		if last == 0 && command != 'M' && command != 'm' {
			return nil, errors.New("a path begins with M, not with " + string(command))
		}
		capital := command &^ 0x20
		origin := geom.Vec{}
		if command != capital {
			origin = geom.V(at.X, at.Y)
		}
		var err error
		point := func() geom.Point {
			if err != nil {
				return geom.Point{}
			}
			var x, y float64
			if x, err = n.number(); err == nil {
				y, err = n.number()
			}
			return geom.Pt(x, y).Add(origin)
		}
		mirror := func(of string) geom.Point { // the control point before, turned about at
			for _, c := range []byte(of) {
				if last == c {
					return at.Add(at.Sub(control))
				}
			}
			return at
		}
		quadratic := func(q, to geom.Point) {
			control = q
			add(geom.Curve{P0: at, P1: at.Lerp(q, 2.0/3), P2: to.Lerp(q, 2.0/3), P3: to})
		}
		switch capital {
		case 'M':
			p := point()
			if err != nil {
				return nil, err
			}
			finish(false)
			at, start = p, p
			command -= 'M' - 'L' // further pairs are lines
		case 'L':
			if p := point(); err == nil {
				add(geom.Line(at, p))
			}
		case 'H':
			var x float64
			if x, err = n.number(); err == nil {
				add(geom.Line(at, geom.Pt(x+origin.X, at.Y)))
			}
		case 'V':
			var y float64
			if y, err = n.number(); err == nil {
				add(geom.Line(at, geom.Pt(at.X, y+origin.Y)))
			}
		case 'C':
			a, b, p := point(), point(), point()
			control = b
			if err == nil {
				add(geom.Curve{P0: at, P1: a, P2: b, P3: p})
			}
		case 'S':
			a := mirror("CS")
			b, p := point(), point()
			control = b
			if err == nil {
				add(geom.Curve{P0: at, P1: a, P2: b, P3: p})
			}
		case 'Q':
			q, p := point(), point()
			if err == nil {
				quadratic(q, p)
			}
		case 'T':
			q := mirror("QT")
			p := point()
			if err == nil {
				quadratic(q, p)
			}
		case 'A':
			var rx, ry, tilt float64
			var large, sweep bool
			for _, v := range []*float64{&rx, &ry, &tilt} {
				if err == nil {
					*v, err = n.number()
				}
			}
			for _, f := range []*bool{&large, &sweep} {
				if err == nil {
					*f, err = n.flag()
				}
			}
			if p := point(); err == nil {
				for _, c := range svgArc(at, p, rx, ry, tilt*math.Pi/180, large, sweep) {
					add(c)
				}
				at = p
			}
		case 'Z':
			if len(current.curves) > 0 && at != start {
				add(geom.Line(at, start))
			}
			finish(true)
			at = start
		default:
			return nil, errors.New("there is no path command " + string(rune(n.text[n.at-1])))
		}
		if err != nil {
			return nil, err
		}
		last = capital
	}
	finish(false)
	return pieces, nil
}

// svgArc is the elliptic arc from p to q, by the formulas of SVG 1.1, appendix
// F.6.5 (centre) and F.6.6 (radii that are zero, negative or too small).
func svgArc(p, q geom.Point, rx, ry, tilt float64, large, sweep bool) []geom.Curve {
	rx, ry = math.Abs(rx), math.Abs(ry)
	if p == q {
		return nil
	}
	if rx < 1e-12 || ry < 1e-12 {
		return []geom.Curve{geom.Line(p, q)}
	}
	sin, cos := math.Sincos(tilt)
	half := p.Sub(q).Mul(0.5)
	x, y := cos*half.X+sin*half.Y, -sin*half.X+cos*half.Y
	if l := x*x/(rx*rx) + y*y/(ry*ry); l > 1 {
		rx, ry = rx*math.Sqrt(l), ry*math.Sqrt(l)
	}
	a, b := rx*rx*y*y+ry*ry*x*x, rx*rx*ry*ry
	k := math.Sqrt(math.Max(0, (b-a)/a))
	if large == sweep {
		k = -k
	}
	cx, cy := k*rx*y/ry, -k*ry*x/rx
	centre := p.Lerp(q, 0.5).Add(geom.V(cos*cx-sin*cy, sin*cx+cos*cy))
	from := math.Atan2((y-cy)/ry, (x-cx)/rx)
	to := math.Atan2((-y-cy)/ry, (-x-cx)/rx)
	turn := to - from
	if sweep && turn < 0 {
		turn += 2 * math.Pi
	} else if !sweep && turn > 0 {
		turn -= 2 * math.Pi
	}
	arc := ellipse(centre, geom.V(rx*cos, rx*sin), geom.V(-ry*sin, ry*cos), from, turn)
	arc[0].P0, arc[len(arc)-1].P3 = p, q // to the last digit
	return arc
}
