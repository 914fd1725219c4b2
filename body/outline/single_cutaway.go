package outline

import "slabwright/body/geom"

// SingleCutaway has a full shoulder on the bass side and one rounded cutaway on the treble
// side.
//
//	  .--.     ____
//	 (    `---'    `-.
//	  `-.             \
//	  ___|             |
//	  ___|             |
//	 /                 |
//	|                 /
//	 `-._..--..____.-'
type SingleCutaway struct {
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

// NewSingleCutaway has the default sizes.
func NewSingleCutaway() *SingleCutaway { return withDefaults(&SingleCutaway{}) }

// Name, Doc and Symmetric say what the family is.
func (*SingleCutaway) Name() string { return "single-cutaway" }

// Doc is a line for the maker.
func (*SingleCutaway) Doc() string {
	return "a full bass shoulder, and one rounded cutaway on the treble side"
}

// Symmetric tells whether both sides are alike.
func (*SingleCutaway) Symmetric() bool { return false }

func (o *SingleCutaway) fields() []field {
	return []field{
		{"length", &o.Length, 390, 424, 460, "neck end to tail, on the centreline"},
		{"upper_bout", &o.UpperBout, 248, 262, 285, "greatest width in front of the waist"},
		{"waist", &o.Waist, 205, 226, 250, "least width between the bouts"},
		{"lower_bout", &o.LowerBout, 300, 332, 365, "greatest width behind the waist"},
		{"upper_at", &o.UpperAt, 70, 86, 100, "neck end to the bass shoulder's widest place, along the centreline"},
		{"waist_at", &o.WaistAt, 150, 166, 185, "neck end to the waist, along the centreline"},
		{"lower_at", &o.LowerAt, 110, 130, 150, "tail to the lower bout's widest place, along the centreline"},
		{"horn", &o.Horn, -15, 0, 15, "how far the treble horn reaches past the neck end, negative when it ends short of it"},
		{"cut", &o.Cut, 50, 66, 80, "depth of the cutaway from the neck end"},
		{"neck_width", &o.NeckWidth, 50, 66, 76, "straight edge at the neck end, wider than the neck pocket"},
	}
}

// Check keeps sizes in range and the waist narrower than the bouts.
func (o *SingleCutaway) Check() error {
	if err := checkRanges(o); err != nil {
		return err
	}
	return checkWaist(o, o.UpperBout, o.Waist, o.LowerBout, o.UpperAt, o.WaistAt, o.Length-o.LowerAt)
}

// knots follow the shoulder to the tail and the treble side back; the cutaway begins
// at a corner of the neck end, the shoulder without one.
func (o *SingleCutaway) knots() []Knot {
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
	tip := bout - 19
	knots = append(knots, mirrored(append(append(cutaway(n, o.Cut, 23, 10, geom.Pt(-o.Horn, -tip+15)),
		headed(-o.Horn, -tip, toBass),
		widest(o.UpperAt*0.65, -bout),
	), back()...))...)
	return closeNeck(knots)
}
