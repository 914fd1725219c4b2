package outline

import "slabwright/body/geom"

// LongHorn is slim, with a bass horn that carries the strap button far forward, for
// long and heavy necks.
//
//	     .-.       ___
//	    (   `-..--'   `-.
//	     `-.             \
//	     ___|             |
//	     ___|             |
//	 .--'                 |
//	(        _.._        /
//	 `------'    `-.__.-'
type LongHorn struct {
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

// NewLongHorn has the default sizes.
func NewLongHorn() *LongHorn { return withDefaults(&LongHorn{}) }

// Name, Doc and Symmetric say what the family is.
func (*LongHorn) Name() string { return "long-horn" }

// Doc is a line for the maker.
func (*LongHorn) Doc() string {
	return "a slim body whose long bass horn carries the strap far forward"
}

// Symmetric tells whether both sides are alike.
func (*LongHorn) Symmetric() bool { return false }

func (o *LongHorn) fields() []field {
	return []field{
		{"length", &o.Length, 340, 372, 430, "neck end to tail, on the centreline"},
		{"upper_bout", &o.UpperBout, 278, 296, 330, "greatest width in front of the waist"},
		{"waist", &o.Waist, 190, 222, 234, "least width between the bouts"},
		{"lower_bout", &o.LowerBout, 280, 308, 350, "greatest width behind the waist"},
		{"upper_at", &o.UpperAt, 26, 32, 40, "neck end to the upper bout's widest place, along the centreline"},
		{"waist_at", &o.WaistAt, 140, 156, 168, "neck end to the waist, along the centreline"},
		{"lower_at", &o.LowerAt, 85, 102, 125, "tail to the lower bout's widest place, along the centreline"},
		{"bass_horn", &o.BassHorn, 75, 104, 125, "how far the bass horn reaches past the neck end"},
		{"treble_horn", &o.TrebleHorn, 28, 44, 65, "how far the treble horn reaches past the neck end"},
		{"bass_cut", &o.BassCut, 10, 24, 36, "depth of the bass cutaway from the neck end"},
		{"treble_cut", &o.TrebleCut, 45, 66, 85, "depth of the treble cutaway from the neck end"},
		{"neck_width", &o.NeckWidth, 50, 64, 72, "straight edge at the neck end, wider than the neck pocket"},
	}
}

// Check keeps sizes in range and the waist narrower than the bouts.
func (o *LongHorn) Check() error {
	if err := checkRanges(o); err != nil {
		return err
	}
	return checkWaist(o, o.UpperBout, o.Waist, o.LowerBout, o.UpperAt, o.WaistAt, o.Length-o.LowerAt)
}

// knots follow the bass side to the tail and the treble side back; the neck end has
// two corners.
func (o *LongHorn) knots() []Knot {
	n, bout := o.NeckWidth/2, o.UpperBout/2
	side := func(horn, cut, r, slim float64) []Knot {
		tip := bout - slim
		return append(cutaway(n, cut, r, 8, geom.Pt(-horn, -tip+16)),
			headed(-horn, -tip, toBass),
			widest(o.UpperAt, -bout),
			narrowest(o.WaistAt, -o.Waist/2),
			widest(o.Length-o.LowerAt, -o.LowerBout/2),
			quarter(o.Length-o.LowerAt, -o.LowerBout/2, o.Length, 0, 0.72),
		)
	}
	knots := side(o.BassHorn, o.BassCut, 16, 40)
	knots = append(knots, headed(o.Length, 0, toTreble))
	knots = append(knots, mirrored(side(o.TrebleHorn, o.TrebleCut, 22, 30))...)
	return closeNeck(knots)
}
