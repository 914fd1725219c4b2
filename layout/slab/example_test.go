package slab_test

import (
	"fmt"
	"math"

	"slabwright/body/geom"
	"slabwright/layout/slab"
)

// panel is a small wall panel: three strips, light, dark, light, with a bowed
// top.
func panel() *slab.Slab {
	strip := func(wood string, thickness float64) slab.Strip {
		return slab.Strip{Pieces: []slab.Piece{{Wood: wood, Thickness: thickness, RingAngle: math.NaN()}}}
	}
	return &slab.Slab{
		Length:  900,
		Strips:  []slab.Strip{strip("basswood", 90), strip("black-walnut", 40), strip("basswood", 90)},
		Profile: slab.Profile{Top: []slab.Station{{X: 0, Value: 40}, {X: 450, Value: 55}, {X: 900, Value: 40}}},
	}
}

func ExampleSlab_Weight() {
	s := panel()
	if err := s.Check(); err != nil {
		fmt.Println(err)
		return
	}
	w := s.Weight()
	fmt.Printf("%.2f kg, balances at %.0f mm\n", w.BeforeG/1000, w.CentreMm[0])
	// Output: 4.47 kg, balances at 450 mm
}

func ExamplePlanChambers() {
	s := panel()
	keep := geom.Regular(geom.Pt(450, 0), 150, 90) // a round of solid wood
	rules := slab.DefaultChamberRules()
	rules.Wall = 15
	for _, c := range slab.PlanChambers(s, rules, []geom.Polygon{keep}) {
		fmt.Printf("%s: %.0f to %.0f mm\n", c.Name, c.From, c.To)
	}
	// Output:
	// strip 2, chamber 1: 40 to 300 mm
	// strip 2, chamber 2: 600 to 860 mm
}

func ExampleSlab_Check() {
	s := panel()
	s.Strips[1].Pieces[0].Wood = "black walnt"
	fmt.Println(s.Check())
	// Output: strip 2: wood: "black walnt" is not in the table; nearest are black-walnut, black-ash, black-locust (rule 5)
}

func ExampleSlab_Stack() {
	s := panel()
	for i := range s.Strips {
		s.Strips[i].Pieces[0].Rough = s.Strips[i].Pieces[0].Thickness + 4
	}
	plan, _ := s.Stack(slab.StackWish{WidthMm: 224, Keep: []int{1}, MirrorPairs: true})
	for _, st := range plan.Strips {
		fmt.Printf("%s: %.1f − %.1f = %.1f (%s)\n", st.Name, st.RoughMm, st.TakeMm, st.FinishedMm, st.Why)
	}
	// Output:
	// strip 1: 94.0 − 2.0 = 92.0 (shared)
	// strip 2: 44.0 − 4.0 = 40.0 (kept)
	// strip 3: 94.0 − 2.0 = 92.0 (shared)
}
