package outline

// NoHorn has two round shoulders, a gentle waist and no cutaway; the neck joins at
// the edge.
//
//	  .---..  ____
//	 /      `'    `-.
//	|               \
//	|_               |
//	|_               |
//	|                |
//	 \              /
//	  `---''.____.-'
type NoHorn struct {
	Length    float64 // neck end to tail, on the centreline
	UpperBout float64 // greatest width in front of the waist
	Waist     float64 // least width between the bouts
	LowerBout float64 // greatest width behind the waist
	UpperAt   float64 // neck end to the upper bout's widest place, along the centreline
	WaistAt   float64 // neck end to the waist, along the centreline
	LowerAt   float64 // tail to the lower bout's widest place, along the centreline
	NeckWidth float64 // straight edge at the neck end, wider than the neck pocket
}

// NewNoHorn has the default sizes.
func NewNoHorn() *NoHorn { return withDefaults(&NoHorn{}) }

// Name, Doc and Symmetric say what the family is.
func (*NoHorn) Name() string { return "no-horn" }

// Doc is a line for the maker.
func (*NoHorn) Doc() string { return "two round shoulders, a gentle waist, no cutaway" }

// Symmetric tells whether both sides are alike.
func (*NoHorn) Symmetric() bool { return true }

func (o *NoHorn) fields() []field {
	return []field{
		{"length", &o.Length, 390, 420, 455, "neck end to tail, on the centreline"},
		{"upper_bout", &o.UpperBout, 220, 244, 280, "greatest width in front of the waist"},
		{"waist", &o.Waist, 185, 206, 250, "least width between the bouts"},
		{"lower_bout", &o.LowerBout, 290, 324, 370, "greatest width behind the waist"},
		{"upper_at", &o.UpperAt, 75, 86, 100, "neck end to the upper bout's widest place, along the centreline"},
		{"waist_at", &o.WaistAt, 150, 170, 190, "neck end to the waist, along the centreline"},
		{"lower_at", &o.LowerAt, 118, 130, 150, "tail to the lower bout's widest place, along the centreline"},
		{"neck_width", &o.NeckWidth, 50, 66, 80, "straight edge at the neck end, wider than the neck pocket"},
	}
}

// Check keeps sizes in range and the waist narrower than the bouts.
func (o *NoHorn) Check() error {
	if err := checkRanges(o); err != nil {
		return err
	}
	return checkWaist(o, o.UpperBout, o.Waist, o.LowerBout, o.UpperAt, o.WaistAt, o.Length-o.LowerAt)
}

// knots follow one side to the tail and the other back; there are no corners.
func (o *NoHorn) knots() []Knot {
	side := []Knot{
		quarter(o.UpperAt, -o.UpperBout/2, 0, -o.NeckWidth/2, 0.715),
		widest(o.UpperAt, -o.UpperBout/2),
		narrowest(o.WaistAt, -o.Waist/2),
		widest(o.Length-o.LowerAt, -o.LowerBout/2),
		quarter(o.Length-o.LowerAt, -o.LowerBout/2, o.Length, 0, 0.71),
	}
	knots := append([]Knot{headed(0, -o.NeckWidth/2, toBass)}, side...)
	knots = append(knots, headed(o.Length, 0, toTreble))
	knots = append(knots, mirrored(side)...)
	return append(knots, straight(headed(0, o.NeckWidth/2, toBass)))
}
