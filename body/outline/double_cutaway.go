package outline

import "slabwright/body/geom"

// DoubleCutaway has two rounded horns, the bass one longer, and a waist.
//
//	   .--.      ____
//	  (    `-..-'    `-.
//	   `-.              \
//	   ___|              |
//	   ___|              |
//	 .-'                 |
//	(      _.._         /
//	 `----'    `-.____.'
type DoubleCutaway struct {
	Length     float64 // neck end to tail, on the centreline
	UpperBout  float64 // greatest width in front of the waist
	Waist      float64 // least width between the bouts
	LowerBout  float64 // greatest width behind the waist
	UpperAt    float64 // neck end to the upper bout's widest place, along the centreline
	WaistAt    float64 // neck end to the waist, along the centreline
	LowerAt    float64 // tail to the lower bout's widest place, along the centreline
	BassHorn   float64 // how far the bass horn reaches past the neck end
	TrebleHorn float64 // how far the treble horn reaches past the neck end
	BassCut    float64 // depth of the bass cutaway from the neck end
	TrebleCut  float64 // depth of the treble cutaway from the neck end
	NeckWidth  float64 // straight edge at the neck end, wider than the neck pocket
}

// NewDoubleCutaway has the default sizes.
func NewDoubleCutaway() *DoubleCutaway { return withDefaults(&DoubleCutaway{}) }

// Name, Doc and Symmetric say what the family is.
func (*DoubleCutaway) Name() string { return "double-cutaway" }

// Doc is a line for the maker.
func (*DoubleCutaway) Doc() string { return "two rounded horns, the bass one longer, and a waist" }

// Symmetric tells whether both sides are alike.
func (*DoubleCutaway) Symmetric() bool { return false }

func (o *DoubleCutaway) fields() []field {
	return []field{
		{"length", &o.Length, 340, 368, 420, "neck end to tail, on the centreline"},
		{"upper_bout", &o.UpperBout, 280, 306, 350, "greatest width in front of the waist"},
		{"waist", &o.Waist, 215, 244, 290, "least width between the bouts"},
		{"lower_bout", &o.LowerBout, 300, 328, 380, "greatest width behind the waist"},
		{"upper_at", &o.UpperAt, 34, 40, 52, "neck end to the upper bout's widest place, along the centreline"},
		{"waist_at", &o.WaistAt, 130, 146, 165, "neck end to the waist, along the centreline"},
		{"lower_at", &o.LowerAt, 85, 104, 125, "tail to the lower bout's widest place, along the centreline"},
		{"bass_horn", &o.BassHorn, 30, 52, 75, "how far the bass horn reaches past the neck end"},
		{"treble_horn", &o.TrebleHorn, 8, 18, 40, "how far the treble horn reaches past the neck end"},
		{"bass_cut", &o.BassCut, 15, 28, 45, "depth of the bass cutaway from the neck end"},
		{"treble_cut", &o.TrebleCut, 35, 56, 75, "depth of the treble cutaway from the neck end"},
		{"neck_width", &o.NeckWidth, 50, 66, 76, "straight edge at the neck end, wider than the neck pocket"},
	}
}

// Check keeps sizes in range and the waist narrower than the bouts.
func (o *DoubleCutaway) Check() error {
	if err := checkRanges(o); err != nil {
		return err
	}
	return checkWaist(o, o.UpperBout, o.Waist, o.LowerBout, o.UpperAt, o.WaistAt, o.Length-o.LowerAt)
}

// knots follow the bass side to the tail and the treble side back; the neck end has
// two corners.
func (o *DoubleCutaway) knots() []Knot {
	n, bout := o.NeckWidth/2, o.UpperBout/2
	side := func(horn, cut, r float64) []Knot {
		tip := bout - 34
		return append(cutaway(n, cut, r, 8, geom.Pt(-horn, -tip+14)),
			headed(-horn, -tip, toBass),
			widest(o.UpperAt, -bout),
			narrowest(o.WaistAt, -o.Waist/2),
			widest(o.Length-o.LowerAt, -o.LowerBout/2),
			quarter(o.Length-o.LowerAt, -o.LowerBout/2, o.Length, 0, 0.715),
		)
	}
	knots := side(o.BassHorn, o.BassCut, 16)
	knots = append(knots, headed(o.Length, 0, toTreble))
	knots = append(knots, mirrored(side(o.TrebleHorn, o.TrebleCut, 22))...)
	return closeNeck(knots)
}
