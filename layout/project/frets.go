package project

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"strings"

	"slabwright/fret"
)

// readFret reads [scale] and [strings] and lets the engine check them.
func (p *Project) readFret(top table) {
	l := &p.Fret
	scale, across, board := top.sub("scale"), top.sub("strings"), top.sub("neck").sub("board")
	scale.fill("length", &l.Scale, "bass", &l.BassScale, "treble", &l.TrebleScale, "square_fret", &l.SquareFret,
		"frets", &l.Count, "zero_fret", &l.ZeroFret, "nut_behind", &l.NutBehind, "slot_kept_back", &l.SlotKeptBack)
	switch {
	case !scale.has("length") && !scale.has("bass") && !scale.has("treble"):
		scale.wrong("length", "no scale length is given", "write length = 648, or bass and treble for two-scale frets")
	case scale.has("length") && (scale.has("bass") || scale.has("treble")):
		scale.wrong("length", "a scale length stands beside bass or treble", "give length alone, or bass and treble for two-scale frets")
	case scale.has("bass") && !scale.has("treble"):
		scale.wrong("treble", "bass is given without treble", "give both, or length for one scale")
	case scale.has("treble") && !scale.has("bass"):
		scale.wrong("bass", "treble is given without bass", "give both, or length for one scale")
	case l.SquareFret > float64(l.Count):
		scale.wrong("square_fret", "it lies beyond the last fret", "write a fret of the board, or 0 for the nut")
	}
	l.Temperament = p.temperament(scale)
	for _, t := range scale.list("partial") {
		var f fret.PartialFret
		t.fill("fret", &f.Fret, "first_string", &f.FirstString, "last_string", &f.LastString)
		l.Partial = append(l.Partial, f)
	}

	across.fill("count", &l.Strings.Count, "nut_width", &l.NutWidth, "nut_spread", &l.SpreadNut, "saddle_spread", &l.SpreadSaddle,
		"edge_margin", &l.MarginNut, "end_margin", &l.MarginEnd, "least_margin", &l.MarginAsked, "end_width", &l.EndWidth,
		"courses", &l.Strings.Courses, "course_gap", &l.Strings.CourseGap)
	gaps := map[string]fret.Spacing{"equal centres": fret.EqualCentres, "equal gaps": fret.EqualGaps}
	l.Strings.AtNut, l.Strings.AtSaddle = gaps[across.text("nut_spacing")], gaps[across.text("saddle_spacing")]
	if !across.has("count") && len(l.Strings.Courses) > 0 {
		l.Strings.Count = 0 // as many as the courses hold
	}
	if across.has("nut_width") && !across.has("nut_spread") {
		if l.SpreadNut = l.NutWidth - 2*l.MarginNut; l.SpreadNut <= 0 && l.Strings.Count != 1 {
			across.wrong("nut_width", "the edge margins leave no room for the strings", "write a wider nut or smaller margins")
		}
	}
	board.fill("overhang", &l.Overhang)
	l.Overhang = math.Max(l.Overhang, hair) // 0 is "not given" there

	if len(scale.r.problems) > 0 {
		return
	}
	probe := *l
	probe.Strings.AtNut, probe.Strings.AtSaddle = fret.EqualCentres, fret.EqualCentres // the gauges are not known yet
	if err := probe.Check(); err != nil {
		scale.r.problems = append(scale.r.problems, scale.r.Problem(fretKey(err.Error(), scale, across), err.Error(), ""))
	}
}

// fretKey finds the key that a message of the fret engine is about. The
// engine speaks of one thing at a time and begins with its name.
func fretKey(message string, scale, across table) string {
	for _, k := range []struct {
		words string
		t     table
		key   string
	}{
		{"bass scale", scale, "bass"}, {"treble scale", scale, "treble"}, {"scale length", scale, "length"},
		{"square fret", scale, "square_fret"}, {"partial fret", scale, "partial"}, {"frets:", scale, "frets"},
		{"would lie", scale, "square_fret"}, {"would meet", scale, "bass"},
		{"course", across, "courses"}, {"gauge", across, "gauges"}, {"strings:", across, "count"},
		{"spread of the strings at the saddle", across, "saddle_spread"}, {"at the saddle", across, "saddle_spread"},
		{"spread of the strings at the nut", across, "nut_spread"}, {"at the nut:", across, "nut_spread"}, {"spreads of", across, "nut_spread"},
		{"board width at the nut", across, "nut_width"}, {"board width at the last", across, "end_width"},
		{"edge margin at the nut", across, "edge_margin"}, {"edge margin at the last", across, "end_margin"}, {"asked edge", across, "least_margin"},
		{"nut behind", scale, "nut_behind"}, {"slot end", scale, "slot_kept_back"},
	} {
		if strings.Contains(message, k.words) {
			return k.t.at(k.key)
		}
	}
	return "scale"
}

// temperament reads the one way of saying it that the text uses.
func (p *Project) temperament(scale table) fret.Temperament {
	var given []string
	for _, name := range []string{"file", "cents", "ratios"} {
		if scale.has(name) {
			given = append(given, name)
		}
	}
	cents, ratios, file, steps := scale.numbers("cents"), scale.texts("ratios"), scale.text("file"), scale.whole("steps")
	if len(given) > 1 || len(given) == 1 && scale.has("steps") {
		scale.wrong(given[0], "the temperament is given twice", "keep one of steps, cents, ratios and file")
		return fret.Temperament{}
	}
	var t fret.Temperament
	var err error
	key := "steps"
	switch {
	case len(given) == 0:
		t, err = fret.Equal(steps)
	case given[0] == "cents":
		key = "cents"
		t, err = fret.FromCents("", cents...)
	case given[0] == "ratios":
		key = "ratios"
		t, err = fret.FromRatios("", ratios...)
	default:
		key = "file"
		var data []byte
		if data, err = p.open(file); err == nil {
			var scl fret.Scl
			if scl, err = fret.ParseScl(data); err == nil {
				t, err = scl.Temperament()
			}
		}
	}
	if err != nil {
		scale.wrong(key, err.Error(), "")
	}
	return t
}

// open reads a file named in the project, beside or below it.
func (p *Project) open(name string) ([]byte, error) {
	if p.files == nil {
		return nil, fmt.Errorf("%s: there is no folder to look for it in", name)
	}
	if !fs.ValidPath(name) {
		return nil, fmt.Errorf("%q does not lie beside or below the project: write a path like outlines/body.svg", clip(name))
	}
	f, err := p.files.Open(name)
	var why *fs.PathError
	if errors.As(err, &why) {
		return nil, fmt.Errorf("%s cannot be opened: %w", name, why.Err)
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return readUpTo(f, largest)
}
