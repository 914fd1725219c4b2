package fret_test

import (
	"fmt"

	"slabwright/fret"
)

// Positions of a 25 1/2 in scale, as a maker marks them.
func ExampleTable() {
	for _, row := range fret.Table(647.7, 3, fret.Temperament{}) {
		fmt.Printf("fret %g: %.2f mm from the nut, %s (%+.2f mm lost)\n", row.Fret, row.FromNut.HundredthsMm, row.FromNut.Rule, row.FromNut.RuleLostMm)
	}
	// Output:
	// fret 1: 36.35 mm from the nut, 1 7/16 in (-0.16 mm lost)
	// fret 2: 70.66 mm from the nut, 2 25/32 in (+0.02 mm lost)
	// fret 3: 103.05 mm from the nut, 4 1/16 in (-0.14 mm lost)
}

// Two-scale frets, square at the seventh.
func ExampleLayout_Plan() {
	plan, err := fret.TwoScale(686, 648, 7, 24).Plan()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, n := range []int{1, 7, 24} {
		s := plan.Slots[n-1]
		fmt.Printf("fret %d leans %+.2f degrees and is %.1f mm long\n", n, s.AngleRad*57.29577951308232, s.LengthMm)
	}
	// Output:
	// fret 1 leans +16.09 degrees and is 44.6 mm long
	// fret 7 leans +0.00 degrees and is 47.5 mm long
	// fret 24 leans -18.33 degrees and is 57.4 mm long
}
