package place

import (
	"math"
	"runtime"
	"time"

	"slabwright/body"
)

// Options steer a search. The zero Options search to the proven end with all
// processors.
type Options struct {
	Limit        time.Duration  // stop after this long with the honest gap; 0 = no limit
	Alternatives int            // how many further, distinct placements to give; 0 = none
	Workers      int            // goroutines; 0 = one a processor. The answer does not depend on it
	Progress     func(Progress) // called from time to time from the searching goroutine; may be nil

	Certificate bool       // take down the proof, as Result.Certificate; not with Room
	Prefer      Preference // Looks or Room

	// After is the result of a search for much the same slab, see Case.Changed:
	// what it proved and still holds is not looked at again. The answer is
	// within the same gap of the best, though not always the same. Nil, or one
	// that does not compare, is no help; nor is any to a certificate, or to Room.
	After *Result

	pairs     int  // of ranges of two pieces to make at most; 0 = as many as it takes
	noReasons bool // when nothing fits, do not look for what would have to give
	patience  int  // stop after so many ranges, as if time were up; 0 = never
}

// workers is how many goroutines are to share the work.
func (o Options) workers() int {
	if o.Workers <= 0 {
		return runtime.GOMAXPROCS(0)
	}
	return o.Workers
}

// Progress is how far a search has come.
type Progress struct {
	Doing     string // what it is about where that is not the search itself; else ""
	Best      *Found // nil while nothing allowed was found
	Bound     float64
	Spacious  *Spacious // with Room, once something was found
	Evaluated int
	Elapsed   time.Duration
}

// Found is an allowed placement and its score.
type Found struct {
	Placement Placement
	Score     Score
}

// Stopped says why a search ended before its gap was closed.
type Stopped string

// The reasons. A search that ran to its end says "".
const (
	ToTheEnd Stopped = ""
	ByTime   Stopped = "time"
	ByHand   Stopped = "hand"
)

// Result is what a search found and what it proved.
type Result struct {
	Best         *Found  // nil when nothing allowed was found
	Bound        float64 // no allowed placement scores less
	Gap          float64 // Best's total − Bound
	Evaluated    int     // placements and boxes of placements looked at
	Elapsed      time.Duration
	Stopped      Stopped
	Alternatives []Found // distinct, best first
	Infeasible   *Infeasible
	Certificate  *Certificate // nil unless it was asked for
	Flat         *Flat        // round Best; nil with Room
	tree         *tree        // the ranges that were told apart
	Spacious     *Spacious    // with Room, what is proved of the clearance; of the score only that it is not below 0
}

// Infeasible says why nothing fits. What is told of limits is so of the slab and the
// body as the checks see them: polygons within Exact of the true curves.
type Infeasible struct {
	// Proved is true when it is certain that no placement passes; not even with
	// every need smaller by Within, in mm: the room to the edge and to hollows,
	// what is planed off each face, the way to glue lines, and how far off a
	// must may be. Angles are widened by what moves no point of the body farther.
	// Within is 0 where only the needs as they are were proved not to be met.
	Proved bool
	Within float64
	// Relaxations are single changes, each of which alone would let a
	// placement pass: lengths first, then angles, then what is there or not; of
	// each the smallest first.
	Relaxations []Relaxation
	// Useless are the limits of which it is proved that they alone would not do,
	// however far they gave.
	Useless []string
	// Undecided are the limits of which the ranges that were looked at tell neither.
	Undecided []string
	// Complete is true when every limit was asked, and not only those for which there
	// was time.
	Complete bool
	// Body are the checks of the body itself that fail wherever it lies. They are
	// no reason why nothing fits, but would be left if something did.
	Body []body.Check
}

// Relaxation is a limit, by how much it would have to give, and a placement
// that then passes: of the checks in Case.Check, those of the limit fail by By at
// most, and no others but the body's own.
type Relaxation struct {
	Limit     string
	Unit      Unit
	By        float64 // enough for certain; 0 where Unit is YesOrNo
	AtLeast   float64 // proved: less would not do. 0 where nothing is proved
	Placement Placement
}

// Told is By and AtLeast to a hundredth of a millimetre or of a degree, By rounded up
// and AtLeast down, so that both hold as they are told.
func (r Relaxation) Told() (by, atLeast float64) {
	hundredth := 0.01
	if r.Unit == Radians {
		hundredth *= math.Pi / 180
	}
	const hair = 1e-6 // of a hundredth
	return math.Ceil(r.By/hundredth-hair) * hundredth, math.Floor(r.AtLeast/hundredth+hair) * hundredth
}

// Unit is in what a limit gives way.
type Unit int

// The units. A limit of YesOrNo is there or is not.
const (
	Millimetres Unit = iota
	Radians
	YesOrNo
)
