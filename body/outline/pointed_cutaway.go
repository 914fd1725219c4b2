package outline

import "slabwright/body/geom"

// PointedCutaway has a full shoulder on the bass side and on the treble side a cutaway whose
// horn ends in a corner.
//
//	 \`.      ____
//	  \ `----'    `-.
//	   `.            \
//	  ___|            |
//	  ___|            |
//	 /                |
//	|                /
//	 `-._..-..____.-'
type PointedCutaway struct {
	Length    float64 // neck end to tail, on the centreline
	UpperBout float64 // greatest width in front of the waist
	Waist     float64 // least width between the bouts
	LowerBout float64 // greatest width behind the waist
	UpperAt   float64 // neck end to the bass shoulder's widest place, along the centreline
	WaistAt   float64 // neck end to the waist, along the centreline
	LowerAt   float64 // tail to the lower bout's widest place, along the centreline
	Horn      float64 // how far the treble horn reaches past the neck end, negative when it ends short of it
	Cut       float64 // depth of the cutaway from the neck end
	NeckWidth float64 // straight edge at the neck end, wider than the neck pocket
}

// NewPointedCutaway has the default sizes.
func NewPointedCutaway() *PointedCutaway { return withDefaults(&PointedCutaway{}) }

// Name, Doc and Symmetric say what the family is.
func (*PointedCutaway) Name() string { return "pointed-cutaway" }

// Doc is a line for the maker.
func (*PointedCutaway) Doc() string {
	return "a full bass shoulder, and one cutaway that ends in a sharp horn"
}

// Symmetric tells whether both sides are alike.
func (*PointedCutaway) Symmetric() bool { return false }

func (o *PointedCutaway) fields() []field {
	return []field{
		{"length", &o.Length, 390, 420, 460, "neck end to tail, on the centreline"},
		{"upper_bout", &o.UpperBout, 225, 248, 275, "greatest width in front of the waist"},
		{"waist", &o.Waist, 195, 214, 245, "least width between the bouts"},
		{"lower_bout", &o.LowerBout, 300, 326, 365, "greatest width behind the waist"},
		{"upper_at", &o.UpperAt, 70, 86, 100, "neck end to the bass shoulder's widest place, along the centreline"},
		{"waist_at", &o.WaistAt, 150, 166, 185, "neck end to the waist, along the centreline"},
		{"lower_at", &o.LowerAt, 110, 130, 150, "tail to the lower bout's widest place, along the centreline"},
		{"horn", &o.Horn, -10, 14, 30, "how far the treble horn reaches past the neck end, negative when it ends short of it"},
		{"cut", &o.Cut, 55, 72, 90, "depth of the cutaway from the neck end"},
		{"neck_width", &o.NeckWidth, 50, 66, 76, "straight edge at the neck end, wider than the neck pocket"},
	}
}

// Check keeps sizes in range and the waist narrower than the bouts.
func (o *PointedCutaway) Check() error {
	if err := checkRanges(o); err != nil {
		return err
	}
	return checkWaist(o, o.UpperBout, o.Waist, o.LowerBout, o.UpperAt, o.WaistAt, o.Length-o.LowerAt)
}

// knots follow the shoulder to the tail and the treble side back; corners are the
// horn's tip and the neck end on the treble side.
func (o *PointedCutaway) knots() []Knot {
	n, bout := o.NeckWidth/2, o.UpperBout/2
	back := func() []Knot {
		return []Knot{
			narrowest(o.WaistAt, -o.Waist/2),
			widest(o.Length-o.LowerAt, -o.LowerBout/2),
			quarter(o.Length-o.LowerAt, -o.LowerBout/2, o.Length, 0, 0.71),
		}
	}
	knots := []Knot{headed(0, -n, toBass), quarter(o.UpperAt, -bout, 0, -n, 0.715), widest(o.UpperAt, -bout)}
	knots = append(knots, back()...)
	knots = append(knots, headed(o.Length, 0, toTreble))
	tip := bout - 10
	knots = append(knots, mirrored(append(append(cutaway(n, o.Cut, 22, 8, geom.Pt(-o.Horn, -tip)),
		corner(-o.Horn, -tip),
		widest(o.UpperAt*0.7, -bout),
	), back()...))...)
	return closeNeck(knots)
}
