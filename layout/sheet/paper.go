package sheet

import (
	"fmt"
	"strings"
	"time"

	"slabwright/body/geom"
	"slabwright/fret/measure"
)

// Paper is a size of paper. A roll has Height 0: it is cut as long as need be.
type Paper struct {
	Name          string
	Width, Height float64 // mm, upright
	Standard      string
}

// Papers lists the sizes that have a name. The ISO sizes are those of ISO 216
// (A series), the others of ANSI/ASME Y14.1 (Letter = ANSI A, Tabloid = ANSI
// B), given there in whole and half inches.
func Papers() []Paper {
	const in = 25.4
	return []Paper{
		{"A4", 210, 297, "ISO 216"},
		{"A3", 297, 420, "ISO 216"},
		{"A2", 420, 594, "ISO 216"},
		{"A1", 594, 841, "ISO 216"},
		{"A0", 841, 1189, "ISO 216"},
		{"Letter", 8.5 * in, 11 * in, "ANSI/ASME Y14.1"},
		{"Tabloid", 11 * in, 17 * in, "ANSI/ASME Y14.1"},
		{"ANSI C", 17 * in, 22 * in, "ANSI/ASME Y14.1"},
		{"ANSI D", 22 * in, 34 * in, "ANSI/ASME Y14.1"},
		{"ANSI E", 34 * in, 44 * in, "ANSI/ASME Y14.1"},
	}
}

// smallestSheet is the narrowest paper on which the two bars and the words of
// a tile find room.
const smallestSheet = 140

// longestRoll bounds a page to what PDF can hold without a unit of its own
// (14400 points; ISO 32000-1, annex C).
const longestRoll = 5000

// PaperNamed finds a paper: one of Papers by its name in any letter case, a
// sheet of any size ("420 x 900 mm", "17 in x 30 in"), or a roll by its width
// ("roll 610 mm").
func PaperNamed(name string) (Paper, error) {
	plain := strings.ToLower(strings.Join(strings.Fields(name), " "))
	var names []string
	for _, p := range Papers() {
		if strings.ReplaceAll(strings.ToLower(p.Name), " ", "") == strings.ReplaceAll(plain, " ", "") {
			return p, nil
		}
		names = append(names, p.Name)
	}
	if w, ok := strings.CutPrefix(plain, "roll"); ok {
		width, err := measure.ParseLength(w, measure.Millimetres)
		if err != nil {
			return Paper{}, fmt.Errorf("paper %q: %w", name, err)
		}
		return Roll(width.Mm())
	}
	if w, h, ok := strings.Cut(strings.ReplaceAll(plain, "×", "x"), "x"); ok {
		height, err := measure.ParseLength(h, measure.Millimetres)
		if err != nil {
			return Paper{}, fmt.Errorf("paper %q: %w", name, err)
		}
		width, err := measure.ParseLength(w, measure.Millimetres)
		if err != nil {
			return Paper{}, fmt.Errorf("paper %q: %w", name, err)
		}
		return PaperOf(width.Mm(), height.Mm())
	}
	return Paper{}, fmt.Errorf("paper %q is not known: write one of %s, a size like 420 x 900 mm, or a roll like roll 610 mm", name, strings.Join(names, ", "))
}

// PaperOf is a sheet of any size, width and height in mm.
func PaperOf(width, height float64) (Paper, error) {
	if !(width >= smallestSheet) || !(height >= smallestSheet) || width > longestRoll || height > longestRoll {
		return Paper{}, fmt.Errorf("paper of %.4g × %.4g mm: both sides must be from %d to %d mm", width, height, smallestSheet, longestRoll)
	}
	return Paper{Name: fmt.Sprintf("%.4g × %.4g mm", width, height), Width: width, Height: height}, nil
}

// Roll is a roll of paper of a width in mm.
func Roll(width float64) (Paper, error) {
	if !(width >= smallestSheet) || width > longestRoll {
		return Paper{}, fmt.Errorf("a roll of %.4g mm: its width must be from %d to %d mm", width, smallestSheet, longestRoll)
	}
	return Paper{Name: fmt.Sprintf("roll %.4g mm", width), Width: width}, nil
}

// Turned is the paper on its side.
func (p Paper) Turned() Paper {
	p.Width, p.Height = p.Height, p.Width
	return p
}

// Page is one side of paper. The origin is its lower left corner, y runs up.
type Page struct {
	Name          string
	Width, Height float64 // mm
	Views         []View
	Items         []Item // furniture, in the page's frame, painted over the views
}

// View is a window on the page through which a drawing is seen at full size.
type View struct {
	Scene  *Scene
	Window geom.Box   // of the drawing, in its frame
	At     geom.Point // where on the page the window's lower left corner lies
}

// Shift moves places of the drawing to where they are on the page.
func (v View) Shift() geom.Vec { return v.At.Sub(v.Window.Min) }

// OnPage is the window in the page's frame.
func (v View) OnPage() geom.Box {
	return geom.Box{Min: v.Window.Min.Add(v.Shift()), Max: v.Window.Max.Add(v.Shift())}
}

// Document is what a printer gets.
type Document struct {
	Title, Subject string
	Date           time.Time // the zero Time: no date
	Pages          []Page
}
