package body

// Defaults. Every number here is common practice, from memory, no source: a
// start for a maker who measures the part in hand. Those of the first block
// are the typical values of the project's table of trade practice; those
// marked (ours) are choices of this package where that table is silent.
const (
	defaultThickness = 44.5
	defaultScale     = 648.0
	defaultJointFret = 16.0 // (ours)

	defaultHeelWidth     = 56.0
	defaultPocketLength  = 76.0
	defaultPocketDepth   = 16.0
	defaultFitClearance  = 0.1 // (ours)
	defaultPocketCorner  = 6.0 // (ours) fits a 12 mm bit
	defaultNeckScrews    = 4   // (ours)
	defaultNeckScrewHole = 5.0
	defaultNeckScrewEdge = 12.0 // (ours)

	defaultStrings      = 6
	defaultSpreadNut    = 35.5
	defaultSpreadSaddle = 52.0
	defaultLastFret     = 22.0
	defaultOverhang     = 6.0 // (ours)
	defaultBoardNut     = 42.5
	defaultBoardEnd     = 56.5 // (ours)
	defaultBoardOver    = 9.0  // (ours) heel 25 mm less pocket 16 mm

	defaultCavityLength = 110.0 // (ours)
	defaultCavityWidth  = 60.0  // (ours)
	defaultCavityDepth  = 37.0
	defaultCavityCorner = 8.0 // (ours)
	defaultLedge        = 8.0 // (ours)
	defaultLedgeDepth   = 2.5

	defaultPotHole    = 10.0
	defaultPotBody    = 24.0
	defaultKnob       = 19.0
	defaultBush       = 9.0
	defaultToggle     = 12.7
	defaultSlotLength = 28.0
	defaultSlotWidth  = 1.6
	defaultSlotScrews = 41.3
	defaultJackEdge   = 22.0
	defaultJackFace   = 9.8

	defaultChannelWidth = 8.0
	defaultChannelDepth = 12.0 // (ours)
	defaultWireHole     = 6.0
	defaultGroundHole   = 3.0

	defaultBatteryLength = 56.0 // (ours) a small block battery lying down
	defaultBatteryWidth  = 32.0 // (ours)
	defaultBatteryDepth  = 24.0 // (ours)

	defaultStrapPilot = 2.8
	defaultStrapDepth = 25.0 // (ours)
	defaultStrapStand = 8.0  // (ours)

	defaultScrewPilot = 2.8  // (ours)
	defaultScrewDepth = 20.0 // (ours)
)

// pickupDefaults are the sizes of a pickup kind: common practice, from memory.
// A humbucking pickup's ears hold its height screws; the single coils' ears
// are part of their cavity.
func pickupDefaults(k PickupKind) (Pickup, bool) {
	switch k {
	case SingleCoil:
		return Pickup{Length: 87, Width: 20, Depth: 18, EarLength: -1, Cover: Size{85, 19}, Mass: 70}, true
	case WideSingleCoil:
		return Pickup{Length: 87, Width: 37, Depth: 19, EarLength: -1, Cover: Size{86, 36}, Mass: 100}, true
	case Humbucking:
		return Pickup{Length: 72, Width: 40, Depth: 20, EarLength: 86, EarWidth: 16, EarDepth: 24, Cover: Size{90, 45}, Mass: 130}, true
	case SmallHumbucking:
		return Pickup{Length: 83, Width: 31, Depth: 20, EarLength: -1, Cover: Size{67, 29}, Mass: 110}, true
	}
	return Pickup{}, false
}

// coilOffsets is how far the coils lie from the pickup's middle, along the
// strings (common practice, from memory: pole rows 18 mm apart, 14 in a small
// one).
func coilOffsets(k PickupKind) []float64 {
	switch k {
	case Humbucking:
		return []float64{-9, 9}
	case SmallHumbucking:
		return []float64{-7, 7}
	}
	return []float64{0}
}

// bridgeDefaults are the sizes of a bridge kind: common practice, from memory;
// plate sizes, screw places and masses are ours.
func bridgeDefaults(k BridgeKind) (Bridge, bool) {
	b := Bridge{
		SaddleSetback: 2.5,
		StringHole:    3.2, FerruleHole: 8, FerruleDepth: 10,
		Screws: -1, ScrewDiameter: defaultScrewPilot, ScrewDepth: defaultScrewDepth,
	}
	switch k {
	case FlatMount:
		b.Plate, b.PlateAhead = Size{82, 45}, 14
		b.StringBehind = 22
		b.Screws = 4
		b.Mass = 250
	case TwoPost:
		b.Plate, b.PlateAhead = Size{90, 16}, 8
		b.PostSpacing, b.PostDiameter, b.PostDepth, b.Slant = 74, 8, 22, 3
		b.StudSpacing, b.StudBehind, b.StudDiameter, b.StudDepth = 82, 40, 11.3, 25
		b.Mass, b.TailMass = 180, 110
	case WrapOver:
		b.Plate, b.PlateAhead = Size{98, 24}, 10
		b.PostSpacing, b.PostDiameter, b.PostDepth, b.PostAhead = 82, 11.3, 25, -4
		b.Mass = 200
	case Vibrato:
		b.Plate, b.PlateAhead = Size{84, 60}, 14
		b.PostSpacing, b.PostDiameter, b.PostDepth, b.PostAhead = 56, 8, 25, 10
		b.BlockLength, b.BlockWidth, b.BlockBehind = 76, 16, 16
		b.SpringLength, b.SpringWidth, b.SpringDepth, b.SpringBehind = 100, 57, 16, 8
		b.CoverLedge, b.CoverDepth = 8, 2.5
		b.Mass, b.TailMass = 330, 60
	default:
		return Bridge{}, k == NoBridge
	}
	return b, true
}

// defaultLimits are the needs of the checks: common practice, from memory; web,
// hole and skin values are ours.
func defaultLimits() Limits {
	return Limits{
		Floor: 5, Top: 3, Wall: 8, Web: 3,
		HoleToHole: 3, HoleToEdge: 6, HoleCavity: 2,
		PocketFloor: 14, FaceSkin: 3, RouterBit: 6.35,
	}
}

// or is v, or the default when v was left out.
func or(v, otherwise float64) float64 {
	if v == 0 {
		return otherwise
	}
	return v
}
