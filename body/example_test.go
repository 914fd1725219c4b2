package body_test

import (
	"fmt"

	"slabwright/body"
	"slabwright/body/geom"
)

// A body from one of the built-in outlines: what is too thin is named, with its
// place.
func ExampleBuild() {
	b, err := body.Build(body.Spec{
		Family:   "no-horn",
		Pickups:  []body.Pickup{{Name: "bridge pickup", Kind: body.Humbucking, FromSaddle: 44}},
		Cavities: []body.Cavity{{At: geom.Pt(62, 72), Length: 90, Width: 55, Depth: 42}},
		Pots:     []body.Pot{{Name: "volume", At: geom.Pt(45, 72)}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range b.Check() {
		if !c.OK {
			fmt.Printf("%s: %s, %.1f mm needed\n", c.Name, c.Message, c.Need)
		}
	}
	pocket, _ := b.Feature("neck pocket")
	fmt.Println(pocket.Name+":", pocket.Note)
	// Output:
	// control cavity top: 2.5 mm of wood over the control cavity, 3.0 mm needed
	// neck pocket: 16 mm deep from the front
}

// Mistakes name their field, and say what would be right.
func ExampleFieldError() {
	_, err := body.Build(body.Spec{Family: "no-horn", Thickness: 4.45})
	fmt.Println(err)
	// Output:
	// thickness: 4.45 mm; give a length from 10 mm to 120 mm (0 for the default, 44.5 mm)
}
