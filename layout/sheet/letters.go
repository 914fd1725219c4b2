package sheet

import (
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"slabwright/body/geom"
)

// typeface is a font with the sizes that drawings need, in font units.
type typeface struct {
	font    *sfnt.Font
	em      float64
	capital float64 // height of a capital letter
}

// The Go fonts are part of the program; that they parse is a promise of the
// library, checked by TestLetters.
var (
	regular = sync.OnceValue(func() typeface { return parseFace(goregular.TTF) })
	bold    = sync.OnceValue(func() typeface { return parseFace(gobold.TTF) })
)

func parseFace(ttf []byte) typeface {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic("the embedded Go font does not parse: " + err.Error())
	}
	em := fixed.Int26_6(f.UnitsPerEm())
	var buf sfnt.Buffer
	m, err := f.Metrics(&buf, em<<6, font.HintingNone)
	if err != nil {
		panic("the embedded Go font has no metrics: " + err.Error())
	}
	return typeface{f, float64(em), float64(m.CapHeight) / 64}
}

func (t Text) face() typeface {
	if t.Bold {
		return bold()
	}
	return regular()
}

// FontSize is the size of the type (the em) in mm that gives the text's
// capital letters their Height.
func (t Text) FontSize() float64 {
	f := t.face()
	return t.Height * f.em / f.capital
}

// Printable is the words with a question mark for every letter that the Go
// fonts do not have, and a blank for control characters.
func (t Text) Printable() string {
	f := t.face()
	var buf sfnt.Buffer
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		if g, err := f.font.GlyphIndex(&buf, r); err != nil || g == 0 {
			return '?'
		}
		return r
	}, t.Words)
}

// Width is the length of the words in the Go fonts, without kerning, in mm.
func (t Text) Width() float64 {
	f := t.face()
	var buf sfnt.Buffer
	w := fixed.Int26_6(0)
	for _, r := range t.Printable() {
		g, err := f.font.GlyphIndex(&buf, r)
		if err != nil {
			continue
		}
		if a, err := f.font.GlyphAdvance(&buf, g, fixed.Int26_6(f.em)<<6, font.HintingNone); err == nil {
			w += a
		}
	}
	return float64(w) / 64 * t.Height / f.capital
}

// Start is where the first letter stands on its line.
func (t Text) Start() geom.Point {
	v := geom.Vec{}
	switch t.Align {
	case Centre:
		v.X = -t.Width() / 2
	case Right:
		v.X = -t.Width()
	}
	v.Y = t.drop()
	return t.At.Add(geom.Turn(t.Angle).Turn(v))
}

// drop is how far the line lies above At (negative: below), before the turn.
func (t Text) drop() float64 {
	switch t.Rise {
	case Middle:
		return -t.Height / 2
	case Top:
		return -t.Height
	}
	return 0
}

// descent is how far letters like g reach below their line, in heights of a
// capital: a little more than the Go fonts need.
const descent = 0.32

// Box is the turned rectangle that the words fill, from below the g to the top
// of the capitals.
func (t Text) Box() geom.Convex {
	w := t.Width()
	turn := geom.Turn(t.Angle)
	o := t.Start()
	at := func(x, y float64) geom.Point { return o.Add(turn.Turn(geom.Vec{X: x, Y: y})) }
	return geom.Convex{at(0, -descent*t.Height), at(w, -descent*t.Height), at(w, t.Height), at(0, t.Height)}
}

// Letters are the outlines of the letters, closed paths to be filled together
// by the nonzero rule.
func (t Text) Letters() []geom.Path {
	f := t.face()
	ppem := fixed.Int26_6(f.em) << 6
	k := t.Height / f.capital / 64
	turn := geom.Turn(t.Angle)
	o := t.Start()
	x := 0.0
	at := func(p fixed.Point26_6) geom.Point {
		return o.Add(turn.Turn(geom.Vec{X: x + float64(p.X)*k, Y: -float64(p.Y) * k}))
	}
	var out []geom.Path
	var buf sfnt.Buffer
	for _, r := range t.Printable() {
		g, err := f.font.GlyphIndex(&buf, r)
		if err != nil {
			continue
		}
		segments, err := f.font.LoadGlyph(&buf, g, ppem, nil)
		if err != nil {
			continue
		}
		var p geom.Path
		var start, here geom.Point
		end := func() {
			if here != start {
				p.Curves = append(p.Curves, geom.Line(here, start))
			}
			if len(p.Curves) > 0 {
				p.Closed = true
				out = append(out, p)
			}
			p = geom.Path{}
		}
		for _, s := range segments {
			switch s.Op {
			case sfnt.SegmentOpMoveTo:
				end()
				start = at(s.Args[0])
				here = start
			case sfnt.SegmentOpLineTo:
				to := at(s.Args[0])
				p.Curves = append(p.Curves, geom.Line(here, to))
				here = to
			case sfnt.SegmentOpQuadTo: // a quadratic as a cubic: handles at two thirds
				c, to := at(s.Args[0]), at(s.Args[1])
				p.Curves = append(p.Curves, geom.Curve{P0: here, P1: here.Lerp(c, 2.0/3), P2: to.Lerp(c, 2.0/3), P3: to})
				here = to
			case sfnt.SegmentOpCubeTo:
				to := at(s.Args[2])
				p.Curves = append(p.Curves, geom.Curve{P0: here, P1: at(s.Args[0]), P2: at(s.Args[1]), P3: to})
				here = to
			}
		}
		end()
		if a, err := f.font.GlyphAdvance(&buf, g, ppem, font.HintingNone); err == nil {
			x += float64(a) * k
		}
	}
	return out
}
