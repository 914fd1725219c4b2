package outline_test

import (
	"fmt"
	"strings"

	"slabwright/body/outline"
)

// An outline from sizes, and what is measured on it.
func ExampleNew() {
	p, err := outline.New("no-horn", map[string]float64{"length": 430, "lower_bout": 330}, outline.RightHanded)
	if err != nil {
		fmt.Println(err)
		return
	}
	r := outline.Measure(p)
	fmt.Printf("%.0f × %.0f mm, waist %.0f mm\n", r.Length, r.Width, r.Waist.Width)

	_, err = outline.New("no-horn", map[string]float64{"lower_bout": 500}, outline.RightHanded)
	fmt.Println(err)
	// Output:
	// 430 × 330 mm, waist 206 mm
	// no-horn: lower_bout is 500 mm, must be from 290 to 370 mm
}

// An outline from a drawing, with what had to be taken for granted.
func ExampleImportSVG() {
	drawing := `<svg xmlns="http://www.w3.org/2000/svg" width="8in" height="14in" viewBox="0 0 8 14">
	  <path id="plate" d="m1 1 h6 v9 a3 3 0 0 1 -6 0 z"/></svg>`
	m, err := outline.ImportSVG(strings.NewReader(drawing), outline.Options{Neck: outline.NeckUp})
	if err != nil {
		fmt.Println(err)
		return
	}
	r := outline.Measure(m.Path)
	fmt.Printf("%.1f × %.1f mm\n%s\n", r.Length, r.Width, strings.Join(m.Notes, "\n"))
	// Output:
	// 304.8 × 152.4 mm
	// the file's size is in inches: one unit of the drawing is 25.4 mm
	// took <path id="plate"> in line 2
	// the centreline was taken to run through the middle of the width: there is no straight neck end, 40 mm to 100 mm wide, to tell
	// both sides reach equally far: it cannot be seen for which hand it is; taken for right-handed
}
