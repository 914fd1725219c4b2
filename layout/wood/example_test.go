package wood_test

import (
	"fmt"

	"slabwright/layout/wood"
)

func ExampleFind() {
	s, err := wood.Find("Western Red Cedar")
	fmt.Printf("%s %.1f %v\n", s.Key, s.Density(12), err)
	_, err = wood.Find("walnutt")
	fmt.Println(err)
	// Output:
	// western-redcedar 358.4 <nil>
	// wood: "walnutt" is not in the table; nearest are black-walnut, red-alder, obeche
}

func ExampleEMC() {
	m, _ := wood.EMC(20, 65)
	fmt.Printf("%.1f %%\n", m)
	// Output: 12.0 %
}

func ExampleMovement() {
	// A flat-sawn white fir board 232 mm wide, from 8 to 11 % (Wood Handbook).
	fir, _ := wood.Find("white-fir")
	fmt.Printf("%.1f mm\n", wood.Movement(232, fir.Tangent, 8, 11))
	// Output: 1.7 mm
}
