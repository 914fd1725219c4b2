// Package colour answers: how different do two colours look?
//
// It reads sRGB colours as they stand in project files ("#rrggbb"), turns them
// into CIELAB and measures the CIEDE2000 difference, in which about 1 is the
// least that a trained eye sees side by side and about 10 is seen at a glance.
//
// White is the sRGB white (D65) taken as the row sums of the matrix, so that
// every grey has a = b = 0.
package colour

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// RGB is an sRGB colour, 8 bits a channel. The zero RGB is black.
type RGB struct{ R, G, B uint8 }

// Lab is a colour in CIELAB (CIE 15): L from 0 (black) to 100 (white), A from
// green to red, B from blue to yellow.
type Lab struct{ L, A, B float64 }

// Parse reads "#rrggbb" or "#rgb", in small or capital letters.
func Parse(s string) (RGB, error) {
	wrong := func() (RGB, error) {
		return RGB{}, fmt.Errorf("colour %q: want # and six hex digits, for example #c19a6b", s)
	}
	hex, ok := strings.CutPrefix(s, "#")
	if !ok {
		return wrong()
	}
	if len(hex) == 3 {
		hex = string([]byte{hex[0], hex[0], hex[1], hex[1], hex[2], hex[2]})
	}
	if len(hex) != 6 {
		return wrong()
	}
	v, err := strconv.ParseUint(hex, 16, 32)
	if err != nil {
		return wrong()
	}
	return RGB{uint8(v >> 16), uint8(v >> 8), uint8(v)}, nil
}

// String is "#rrggbb".
func (c RGB) String() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// Lab is the colour in CIELAB.
func (c RGB) Lab() Lab {
	x, y, z := c.XYZ()
	return labOf(x/whiteX, y/whiteY, z/whiteZ)
}

// The matrix from linear sRGB to XYZ, IEC 61966-2-1:1999, four digits as the
// standard prints it; its row sums are the white.
const (
	xr, xg, xb = 0.4124, 0.3576, 0.1805
	yr, yg, yb = 0.2126, 0.7152, 0.0722
	zr, zg, zb = 0.0193, 0.1192, 0.9505

	whiteX = xr + xg + xb
	whiteY = yr + yg + yb
	whiteZ = zr + zg + zb
)

// XYZ is the colour in CIE XYZ with Y = 1 for white.
func (c RGB) XYZ() (x, y, z float64) {
	r, g, b := linear(c.R), linear(c.G), linear(c.B)
	return xr*r + xg*g + xb*b, yr*r + yg*g + yb*b, zr*r + zg*g + zb*b
}

// linear undoes the transfer curve of IEC 61966-2-1:1999.
func linear(v8 uint8) float64 {
	v := float64(v8) / 255
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// labOf is CIE 15:2004 on tristimulus values already divided by the white.
// The limits are fractions so that the two branches join without a step.
func labOf(x, y, z float64) Lab {
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	fx, fy, fz := f(x), f(y), f(z)
	return Lab{116*fy - 16, 500 * (fx - fy), 200 * (fy - fz)}
}

// Difference is CIEDE2000 with all weights 1: 0 for equal colours, the same
// either way round.
//
// Source: G. Sharma, W. Wu, E. N. Dalal, The CIEDE2000 color-difference
// formula: implementation notes, supplementary test data, and mathematical
// observations, Color Research and Application 30 (2005) 21–30.
func Difference(a, b Lab) float64 {
	const rad = math.Pi / 180
	pow7 := func(v float64) float64 { return v * v * v * v * v * v * v }
	const pow25to7 = 6103515625

	mean := (math.Hypot(a.A, a.B) + math.Hypot(b.A, b.B)) / 2
	g := 0.5 * (1 - math.Sqrt(pow7(mean)/(pow7(mean)+pow25to7)))
	a1, a2 := (1+g)*a.A, (1+g)*b.A
	c1, c2 := math.Hypot(a1, a.B), math.Hypot(a2, b.B)
	hue := func(a, b float64) float64 {
		if a == 0 && b == 0 {
			return 0
		}
		h := math.Atan2(b, a) / rad
		if h < 0 {
			h += 360
		}
		return h
	}
	h1, h2 := hue(a1, a.B), hue(a2, b.B)

	// Hues exactly opposite sit on a step of the formula; a hair of 1e-9
	// degrees keeps rounding from falling over it.
	const half = 180 + 1e-9
	dh, hm := h2-h1, h1+h2
	switch {
	case c1 == 0 || c2 == 0:
		dh = 0 // one is grey: the hue is that of the other
	case math.Abs(h1-h2) <= half:
		hm /= 2
	case h1+h2 < 360:
		hm = (hm + 360) / 2
	default:
		hm = (hm - 360) / 2
	}
	if dh > half {
		dh -= 360
	} else if dh < -half {
		dh += 360
	}
	dL, dC := b.L-a.L, c2-c1
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(dh/2*rad)

	cm := (c1 + c2) / 2
	t := 1 - 0.17*math.Cos((hm-30)*rad) + 0.24*math.Cos(2*hm*rad) +
		0.32*math.Cos((3*hm+6)*rad) - 0.20*math.Cos((4*hm-63)*rad)
	l50 := (a.L+b.L)/2 - 50
	sl := 1 + 0.015*l50*l50/math.Sqrt(20+l50*l50)
	sc := 1 + 0.045*cm
	sh := 1 + 0.015*cm*t
	swing := (hm - 275) / 25
	rt := -math.Sin(60*rad*math.Exp(-swing*swing)) * 2 * math.Sqrt(pow7(cm)/(pow7(cm)+pow25to7))
	l, c, h := dL/sl, dC/sc, dH/sh
	return math.Sqrt(math.Max(0, l*l+c*c+h*h+rt*c*h))
}
