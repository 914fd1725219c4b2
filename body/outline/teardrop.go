package outline

// Teardrop widens from narrow shoulders to one wide round bout; it has no waist.
//
//	         ______
//	    .--''      `-.
//	 .-'              \
//	|_                 |
//	|_                 |
//	 `-.              /
//	    `--..______.-'
type Teardrop struct {
	Length    float64 // neck end to tail, on the centreline
	Shoulder  float64 // width a quarter of the length from the neck end
	Bout      float64 // greatest width
	BoutAt    float64 // tail to the widest place, along the centreline
	NeckWidth float64 // straight edge at the neck end, wider than the neck pocket
}

// NewTeardrop has the default sizes.
func NewTeardrop() *Teardrop { return withDefaults(&Teardrop{}) }

// Name, Doc and Symmetric say what the family is.
func (*Teardrop) Name() string { return "teardrop" }

// Doc is a line for the maker.
func (*Teardrop) Doc() string {
	return "widening from narrow shoulders to one wide round bout, no waist"
}

// Symmetric tells whether both sides are alike.
func (*Teardrop) Symmetric() bool { return true }

func (o *Teardrop) fields() []field {
	return []field{
		{"length", &o.Length, 370, 410, 460, "neck end to tail, on the centreline"},
		{"shoulder", &o.Shoulder, 130, 160, 190, "width a quarter of the length from the neck end"},
		{"bout", &o.Bout, 280, 318, 350, "greatest width"},
		{"bout_at", &o.BoutAt, 125, 148, 170, "tail to the widest place, along the centreline"},
		{"neck_width", &o.NeckWidth, 50, 66, 80, "straight edge at the neck end, wider than the neck pocket"},
	}
}

// Check keeps sizes in range.
func (o *Teardrop) Check() error { return checkRanges(o) }

// knots follow one side to the tail and the other back; the neck end has two corners.
func (o *Teardrop) knots() []Knot {
	side := []Knot{
		smooth(o.Length/4, -o.Shoulder/2),
		widest(o.Length-o.BoutAt, -o.Bout/2),
		quarter(o.Length-o.BoutAt, -o.Bout/2, o.Length, 0, 0.705),
	}
	knots := append([]Knot{corner(0, -o.NeckWidth/2)}, side...)
	knots = append(knots, headed(o.Length, 0, toTreble))
	knots = append(knots, mirrored(side)...)
	return append(knots, straight(corner(0, o.NeckWidth/2)))
}
