package sheet

// The pens and colours of all drawings, in one place. Widths follow the
// series of ISO 128 (0.13, 0.18, 0.25, 0.35, 0.5 mm); colours are ours: dark
// ones that stay apart on white paper, on wood colours and for most eyes, with
// the line's dash telling the same again.
const (
	penHair   = 0.13
	penThin   = 0.18
	penMedium = 0.25
	penStrong = 0.35
	penBold   = 0.5
)

const (
	colourInk     = "#22201d" // words, slab
	colourSoft    = "#6f6a62" // secondary words, dimensions
	colourFaint   = "#b9b3a8" // rulers, grids
	colourGlue    = "#4d3f30"
	colourCut     = "#a3231b" // where the saw and router go
	colourAxis    = "#1c5a92" // centreline and datums
	colourCavity  = "#0b6a66"
	colourFret    = "#3d3d45"
	colourString  = "#8a8a94"
	colourChamber = "#6a4c93"
	colourWarn    = "#b45309" // fasteners, flaws
	colourPaper   = "#ffffff"
)

var (
	dashKerf   = []float64{3, 1.2}
	dashHidden = []float64{2.2, 1.1}
	dashAxis   = []float64{9, 1.5, 1.5, 1.5}
)
