package neck_test

import (
	"fmt"

	"slabwright/fret/neck"
)

// With nothing but notes there is already a first answer.
func ExampleWork() {
	r, err := neck.Work(neck.Spec{
		ScaleMm: 648,
		Strings: []neck.StringSpec{{Note: "E4"}, {Note: "B3"}, {Note: "G3"}, {Note: "D3"}, {Note: "A2"}, {Note: "E2"}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, s := range r.Strings {
		in := r.Intonation[i]
		fmt.Printf("string %d %s: %.3f mm, %.0f N, saddle back %.1f mm (with the nut kept %.1f)\n", s.Number, s.Note, s.GaugeMm, s.TensionN, in.Both.SaddleMm, in.SaddleOnly.SaddleMm)
	}
	// Output:
	// string 1 E4: 0.254 mm, 73 N, saddle back 1.0 mm (with the nut kept 1.2)
	// string 2 B3: 0.330 mm, 69 N, saddle back 1.8 mm (with the nut kept 2.2)
	// string 3 G3: 0.432 mm, 74 N, saddle back 3.1 mm (with the nut kept 3.8)
	// string 4 D3: 0.610 mm, 72 N, saddle back 2.4 mm (with the nut kept 2.9)
	// string 5 A2: 0.813 mm, 70 N, saddle back 3.0 mm (with the nut kept 3.6)
	// string 6 E2: 1.118 mm, 73 N, saddle back 3.6 mm (with the nut kept 4.3)
}
