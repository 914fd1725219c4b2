package outline

import "slabwright/body/geom"

// OffsetWaist has its bass side shifted toward the neck and its treble side toward the
// tail, so that the body lies slanted on the knee.
//
//	    .--.        ____
//	   (    `-._.--'    `.
//	    `-.               \
//	    ___|               )
//	    ___|              /
//	 .-'                 /
//	(       __         .'
//	 `-----'  `-.___.-'
type OffsetWaist struct {
	Length     float64 // neck end to the farthest place of the tail, along the centreline
	UpperBout  float64 // greatest width in front of the waist
	Waist      float64 // least width between the bouts
	LowerBout  float64 // greatest width behind the waist
	UpperAt    float64 // neck end to the upper bout's widest place, along the centreline, amid both sides
	WaistAt    float64 // neck end to the waist, along the centreline, amid both sides
	LowerAt    float64 // tail to the lower bout's widest place, along the centreline, amid both sides
	Offset     float64 // how far the treble side is shifted against the bass side
	BassHorn   float64 // how far the bass horn reaches past the neck end
	TrebleHorn float64 // how far the treble horn reaches past the neck end
	BassCut    float64 // depth of the bass cutaway from the neck end
	TrebleCut  float64 // depth of the treble cutaway from the neck end
	NeckWidth  float64 // straight edge at the neck end, wider than the neck pocket
}

// NewOffsetWaist has the default sizes.
func NewOffsetWaist() *OffsetWaist { return withDefaults(&OffsetWaist{}) }

// Name, Doc and Symmetric say what the family is.
func (*OffsetWaist) Name() string { return "offset-waist" }

// Doc is a line for the maker.
func (*OffsetWaist) Doc() string { return "the two sides shifted along each other, for playing seated" }

// Symmetric tells whether both sides are alike.
func (*OffsetWaist) Symmetric() bool { return false }

func (o *OffsetWaist) fields() []field {
	return []field{
		{"length", &o.Length, 360, 392, 440, "neck end to the farthest place of the tail, along the centreline"},
		{"upper_bout", &o.UpperBout, 285, 310, 345, "greatest width in front of the waist"},
		{"waist", &o.Waist, 220, 246, 265, "least width between the bouts"},
		{"lower_bout", &o.LowerBout, 310, 336, 370, "greatest width behind the waist"},
		{"upper_at", &o.UpperAt, 40, 44, 52, "neck end to the upper bout's widest place, along the centreline, amid both sides"},
		{"waist_at", &o.WaistAt, 145, 160, 180, "neck end to the waist, along the centreline, amid both sides"},
		{"lower_at", &o.LowerAt, 110, 128, 145, "tail to the lower bout's widest place, along the centreline, amid both sides"},
		{"offset", &o.Offset, 12, 32, 44, "how far the treble side is shifted against the bass side"},
		{"bass_horn", &o.BassHorn, 30, 48, 65, "how far the bass horn reaches past the neck end"},
		{"treble_horn", &o.TrebleHorn, 0, 12, 25, "how far the treble horn reaches past the neck end"},
		{"bass_cut", &o.BassCut, 15, 28, 40, "depth of the bass cutaway from the neck end"},
		{"treble_cut", &o.TrebleCut, 40, 58, 75, "depth of the treble cutaway from the neck end"},
		{"neck_width", &o.NeckWidth, 50, 66, 76, "straight edge at the neck end, wider than the neck pocket"},
	}
}

// Check keeps sizes in range and the waist narrower than the bouts.
func (o *OffsetWaist) Check() error {
	if err := checkRanges(o); err != nil {
		return err
	}
	return checkWaist(o, o.UpperBout, o.Waist, o.LowerBout, o.UpperAt, o.WaistAt, o.Length-o.LowerAt)
}

// knots follow the bass side to the tail, whose farthest place lies on the treble
// side, and the treble side back; the neck end has two corners.
func (o *OffsetWaist) knots() []Knot {
	n, bout := o.NeckWidth/2, o.UpperBout/2
	side := func(horn, cut, r, shift, full float64) []Knot {
		tip := bout - 34
		return append(cutaway(n, cut, r, 8, geom.Pt(-horn, -tip+14)),
			headed(-horn, -tip, toBass),
			widest(o.UpperAt+shift, -bout),
			narrowest(o.WaistAt+shift, -o.Waist/2),
			widest(o.Length-o.LowerAt+shift, -o.LowerBout/2),
			quarter(o.Length-o.LowerAt+shift, -o.LowerBout/2, o.Length, o.Offset, full),
		)
	}
	knots := side(o.BassHorn, o.BassCut, 16, -o.Offset/2, 0.7)
	knots = append(knots, headed(o.Length, o.Offset, toTreble))
	treble := side(o.TrebleHorn, o.TrebleCut, 22, o.Offset/2, 0.7)
	treble[len(treble)-1] = quarter(o.Length-o.LowerAt+o.Offset/2, -o.LowerBout/2, o.Length, -o.Offset, 0.705)
	knots = append(knots, mirrored(treble)...)
	return closeNeck(knots)
}
