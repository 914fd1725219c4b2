package place

// Need is what an allowed placement must leave. Lengths are mm. The zero Need
// asks for no room at all; DefaultNeed is what a maker would begin with.
type Need struct {
	Kerf     float64 // width of the cut round the body, all of it outside the finished outline
	Margin   float64 // sound wood beyond the kerf, to the slab's edge and to every hollow, fastener and flaw
	Flatten  float64 // wood to plane away above and below the finished body
	GlueLine float64 // from the edge of a post or screw hole to the nearest glue line
}

// DefaultNeed is common practice, no source: a 3 mm saw kerf with 3 mm to
// clean up, 1 mm for flattening each face, holes not on a glue line.
func DefaultNeed() Need { return Need{Kerf: 3, Margin: 3, Flatten: 1} }

// Clearance is the free distance in plan that the footprint must keep.
func (n Need) Clearance() float64 { return n.Kerf + n.Margin }

// Wish is what makes one allowed placement better than another. The zero Wish
// has no weights; begin with DefaultWish.
type Wish struct {
	Weights Weights

	WholeFront bool // compare the whole front, also under fretboard, bridge and pickups
	Back       bool // add the back of the body to the mirror term

	Strips  []StripWish   // strips that should run on the centreline
	Through []ThroughWish // glue lines that should pass through a place on the body
	NearX   *NearWish     // where along the slab
	Grain   *NearWish     // angle between the centreline and the strips, radians, 0 to π/2

	Faces  []Face      // allowed faces; empty means both
	Angles *[2]float64 // allowed angles [from, to], radians, from ≤ to ≤ from + 2π; nil means all
}

// Weights turn each term into points. One point is a mean colour difference
// (CIEDE2000) of 1 over the compared front.
type Weights struct {
	Mirror     float64 // points per point: 1 keeps the unit
	LinesMean  float64 // points per mm of mean mirror offset of the glue lines
	LinesWorst float64 // points per mm of the worst line's offset
	Hardware   float64 // points per mm that a hole lacks to its wanted distance from a glue line, summed over holes
	Strip      float64 // points per mm that a wished strip runs off the centreline
	Through    float64 // points per mm that a wished line misses its place
	NearX      float64 // points per mm from the wished place along the slab
	Grain      float64 // points per degree from the wished grain angle
}

// DefaultWish weighs so that a millimetre that the eye sees costs about what a
// just visible colour difference over the front does. The weights were chosen
// by looking at results; there is no source. The grain is wished along the
// centreline: stripes that run straight across are their own mirror image too,
// and would win without it.
func DefaultWish() Wish {
	return Wish{
		Weights: Weights{
			Mirror: 1, LinesMean: 0.5, LinesWorst: 0.25, Hardware: 0.25,
			Strip: 2, Through: 1, NearX: 0.02, Grain: 0.5,
		},
		Grain: &NearWish{Value: 0},
	}
}

// StripWish wants a strip to run along the instrument's centreline.
type StripWish struct {
	Strip     int     // index into the slab's strips
	Must      bool    // a limit instead of a wish
	Tolerance float64 // with Must: how far off, in mm, anywhere along the body
}

// ThroughWish wants glue line Line (index into the slab's GlueLines) to pass
// through the place (U, V) of the body.
type ThroughWish struct {
	Line      int
	U, V      float64
	Must      bool
	Tolerance float64
}

// NearWish wants a number near Value.
type NearWish struct {
	Value     float64
	Must      bool
	Tolerance float64
}
