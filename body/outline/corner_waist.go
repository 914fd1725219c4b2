package outline

import "fmt"

// CornerWaist has deep round waists that meet both bouts in corners.
//
//	    ____      ______
//	  .'    \.--./      `.
//	 /                    \
//	|_                     |
//	|_                     |
//	 \                    /
//	  `.____/.--.\______.'
type CornerWaist struct {
	Length       float64 // neck end to tail, on the centreline
	UpperBout    float64 // greatest width in front of the waist
	Waist        float64 // least width between the bouts
	LowerBout    float64 // greatest width behind the waist
	UpperAt      float64 // neck end to the upper bout's widest place, along the centreline
	WaistAt      float64 // neck end to the waist, along the centreline
	LowerAt      float64 // tail to the lower bout's widest place, along the centreline
	Corners      float64 // between the two corners of a waist, along the centreline
	UpperCorners float64 // across the upper bout's corners
	LowerCorners float64 // across the lower bout's corners
	NeckWidth    float64 // straight edge at the neck end, wider than the neck pocket
}

// NewCornerWaist has the default sizes.
func NewCornerWaist() *CornerWaist { return withDefaults(&CornerWaist{}) }

// Name, Doc and Symmetric say what the family is.
func (*CornerWaist) Name() string { return "corner-waist" }

// Doc is a line for the maker.
func (*CornerWaist) Doc() string { return "deep round waists that meet both bouts in corners" }

// Symmetric tells whether both sides are alike.
func (*CornerWaist) Symmetric() bool { return true }

func (o *CornerWaist) fields() []field {
	return []field{
		{"length", &o.Length, 380, 414, 460, "neck end to tail, on the centreline"},
		{"upper_bout", &o.UpperBout, 220, 238, 260, "greatest width in front of the waist"},
		{"waist", &o.Waist, 140, 158, 175, "least width between the bouts"},
		{"lower_bout", &o.LowerBout, 280, 304, 330, "greatest width behind the waist"},
		{"upper_at", &o.UpperAt, 68, 82, 95, "neck end to the upper bout's widest place, along the centreline"},
		{"waist_at", &o.WaistAt, 175, 190, 205, "neck end to the waist, along the centreline"},
		{"lower_at", &o.LowerAt, 105, 122, 140, "tail to the lower bout's widest place, along the centreline"},
		{"corners", &o.Corners, 76, 90, 104, "between the two corners of a waist, along the centreline"},
		{"upper_corners", &o.UpperCorners, 196, 212, 226, "across the upper bout's corners"},
		{"lower_corners", &o.LowerCorners, 240, 262, 280, "across the lower bout's corners"},
		{"neck_width", &o.NeckWidth, 50, 66, 80, "straight edge at the neck end, wider than the neck pocket"},
	}
}

// Check keeps sizes in range, the waist narrower than the bouts, and the corners
// within the bouts.
func (o *CornerWaist) Check() error {
	if err := checkRanges(o); err != nil {
		return err
	}
	for _, c := range []struct {
		name        string
		value, most float64
		why         string
	}{
		{"upper_corners", o.UpperCorners, o.UpperBout - 4, "4 mm less than the upper bout"},
		{"lower_corners", o.LowerCorners, o.LowerBout - 4, "4 mm less than the lower bout"},
		{"waist", o.Waist, o.UpperCorners - 30, "30 mm less than across the upper corners"},
	} {
		if c.value > c.most {
			return fmt.Errorf("%s: %s is %s mm, must be at most %s mm here, %s", o.Name(), c.name, number(c.value), number(c.most), c.why)
		}
	}
	if room := o.Length - o.LowerAt - 25 - o.WaistAt - o.Corners/2; room < 0 {
		return fmt.Errorf("%s: waist_at is %s mm, must be at most %s mm here, so that the lower corners stay 25 mm in front of the lower bout", o.Name(), number(o.WaistAt), number(o.WaistAt+room))
	}
	if room := o.WaistAt - o.Corners/2 - 25 - o.UpperAt; room < 0 {
		return fmt.Errorf("%s: waist_at is %s mm, must be at least %s mm here, so that the upper corners stay 25 mm behind the upper bout", o.Name(), number(o.WaistAt), number(o.WaistAt-room))
	}
	return nil
}

// knots follow one side to the tail and the other back; two corners to a waist.
func (o *CornerWaist) knots() []Knot {
	side := []Knot{
		quarter(o.UpperAt, -o.UpperBout/2, 0, -o.NeckWidth/2, 0.715),
		widest(o.UpperAt, -o.UpperBout/2),
		corner(o.WaistAt-o.Corners/2, -o.UpperCorners/2),
		narrowest(o.WaistAt, -o.Waist/2),
		corner(o.WaistAt+o.Corners/2, -o.LowerCorners/2),
		widest(o.Length-o.LowerAt, -o.LowerBout/2),
		quarter(o.Length-o.LowerAt, -o.LowerBout/2, o.Length, 0, 0.71),
	}
	knots := append([]Knot{headed(0, -o.NeckWidth/2, toBass)}, side...)
	knots = append(knots, headed(o.Length, 0, toTreble))
	knots = append(knots, mirrored(side)...)
	return append(knots, straight(headed(0, o.NeckWidth/2, toBass)))
}
