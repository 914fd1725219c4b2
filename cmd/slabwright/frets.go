package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"slabwright/fret"
	"slabwright/fret/measure"
)

// length is a length on the command line; a bare number is millimetres.
type length float64

// UnmarshalText reads "648 mm", "25 1/2 in" or a bare number of millimetres.
func (l *length) UnmarshalText(text []byte) error {
	v, err := measure.ParseLength(string(text), measure.Millimetres)
	if err != nil {
		return err
	}
	if v <= 0 {
		return fmt.Errorf("%s is not above 0", text)
	}
	*l = length(v)
	return nil
}

// unit is "mm" or "in".
type unit struct{ measure.Unit }

// UnmarshalText reads a unit's name.
func (u *unit) UnmarshalText(text []byte) (err error) {
	u.Unit, err = measure.ParseUnit(string(text))
	return err
}

type fretsCommand struct {
	projectArg
	answers

	Scale        length   `placeholder:"LENGTH" group:"Without a project" help:"Scale length: 648mm, \"25 1/2 in\"."`
	Count        *int     `placeholder:"N" group:"Without a project" help:"How many frets, 1 to 36 (22)."`
	BassScale    length   `placeholder:"LENGTH" group:"Without a project" help:"Two-scale frets: scale length along the lowest string."`
	TrebleScale  length   `placeholder:"LENGTH" group:"Without a project" help:"Two-scale frets: scale length along the highest string."`
	SquareFret   *float64 `placeholder:"FRET" group:"Without a project" help:"Two-scale frets: the fret at right angles to the centreline; 0 is the nut, 7.5 lies half way from 7 to 8 (0)."`
	SpreadNut    length   `placeholder:"LENGTH" group:"Without a project" help:"Between the outer strings' centres at the nut (usual for the strings)."`
	SpreadSaddle length   `placeholder:"LENGTH" group:"Without a project" help:"The same at the saddle (usual for the strings)."`
	Strings      *int     `placeholder:"N" group:"Without a project" help:"How many strings, 1 to 12 (6)."`
	ZeroFret     bool     `group:"Without a project" help:"A fret in the nut's place; the nut behind it only spaces the strings."`
	Temperament  string   `placeholder:"LIST" group:"Without a project" help:"Equal steps to the octave, or pitches as ratios or cents: 12, \"19 equal\", \"9/8 5/4 4/3 3/2 5/3 15/8 2/1\" (12)."`
	Tuning       string   `placeholder:"FILE" group:"Without a project" help:"Tuning file (.scl) in place of --temperament."`
	Unit         *unit    `placeholder:"mm|in" help:"Unit to show (the project's, or mm)."`

	DividerError length `placeholder:"LENGTH" help:"Also tell how far off each fret would be that is stepped off from the one before with dividers that err by this much."`
	Measured     string `placeholder:"LIST" xor:"measured" help:"Find the scale length of a neck that exists from measured distances from the nut, as 1=36.4,5=162.5,12=324.1 (bare numbers in mm; \"5=6 13/32 in\" works too)."`
	MeasuredFile string `placeholder:"FILE" xor:"measured" help:"The same from a text file, one fret a line; # begins a remark."`
	NutMoved     bool   `help:"With --measured: the nut may stand in the wrong place; find by how much."`
}

// Examples end the help.
func (*fretsCommand) Examples() []string {
	return []string{
		"slabwright frets --scale 648mm --count 22",
		`slabwright frets --scale "25 1/2 in" --count 24 --unit in --csv > frets.csv`,
		"slabwright frets --bass-scale 686mm --treble-scale 648mm --square-fret 7 --count 24 --json",
		"slabwright frets --measured 1=36.4,5=162.6,12=324.1,19=431.8",
		"slabwright frets panel.toml",
	}
}

// fromFlags tells whether a flag that describes a board is given.
func (f *fretsCommand) fromFlags() bool {
	return f.Scale != 0 || f.BassScale != 0 || f.TrebleScale != 0 || f.Count != nil || f.SquareFret != nil ||
		f.SpreadNut != 0 || f.SpreadSaddle != 0 || f.Strings != nil || f.ZeroFret || f.Temperament != "" || f.Tuning != ""
}

// layout is the board that the flags describe.
func (f *fretsCommand) layout() (fret.Layout, error) {
	var l fret.Layout
	switch {
	case f.Project != "":
		return l, errors.New("a project is named beside flags that describe a board: give one of them")
	case f.Scale != 0 && (f.BassScale != 0 || f.TrebleScale != 0):
		return l, errors.New("--scale stands beside --bass-scale or --treble-scale: give --scale alone, or the other two for two-scale frets")
	case (f.BassScale != 0) != (f.TrebleScale != 0):
		return l, errors.New("two-scale frets need both --bass-scale and --treble-scale")
	case f.Scale == 0 && f.BassScale == 0:
		return l, errors.New("no scale length is given: add --scale 648mm, or --bass-scale and --treble-scale")
	case f.Scale != 0 && f.SquareFret != nil:
		return l, errors.New("--square-fret is for two-scale frets: give --bass-scale and --treble-scale in place of --scale")
	}
	t, err := f.temperament()
	if err != nil {
		return l, err
	}
	l = fret.Layout{Scale: float64(f.Scale), BassScale: float64(f.BassScale), TrebleScale: float64(f.TrebleScale),
		Count: 22, Temperament: t, SpreadNut: float64(f.SpreadNut), SpreadSaddle: float64(f.SpreadSaddle)}
	if f.Count != nil {
		l.Count = *f.Count
	}
	if f.SquareFret != nil {
		l.SquareFret = *f.SquareFret
	}
	if f.Strings != nil {
		if l.Strings.Count = *f.Strings; l.Strings.Count == 0 { // the engine takes 0 as "not given"
			return l, fmt.Errorf("0 strings: write a whole number from 1 to %d", fret.MostStrings)
		}
	}
	l.ZeroFret = f.ZeroFret
	return l, nil
}

func (f *fretsCommand) temperament() (fret.Temperament, error) {
	switch {
	case f.Temperament != "" && f.Tuning != "":
		return fret.Temperament{}, errors.New("--temperament stands beside --tuning: give one of them")
	case f.Tuning == "":
		return fret.ParseTemperament(f.Temperament)
	}
	data, err := os.ReadFile(f.Tuning)
	if err != nil {
		return fret.Temperament{}, fmt.Errorf("cannot read the tuning file: %w", err)
	}
	scl, err := fret.ParseScl(data)
	if err != nil {
		return fret.Temperament{}, fmt.Errorf("%s: %w", filepath.Base(f.Tuning), err)
	}
	t, err := scl.Temperament()
	if err != nil {
		return fret.Temperament{}, fmt.Errorf("%s: %w", filepath.Base(f.Tuning), err)
	}
	return t, nil
}

// fretsAnswer is the table for other programs.
type fretsAnswer struct {
	Name        string        `json:"name,omitempty"`
	Temperament string        `json:"temperament"`
	Scale       number        `json:"scale_mm"`
	BassScale   *number       `json:"bass_scale_mm,omitempty"`
	TrebleScale *number       `json:"treble_scale_mm,omitempty"`
	SquareFret  *number       `json:"square_fret,omitempty"`
	NutAngle    *number       `json:"nut_angle_deg,omitempty"`
	SaddleAngle *number       `json:"saddle_angle_deg,omitempty"`
	ZeroFret    bool          `json:"zero_fret"`
	Frets       []fretAnswer  `json:"frets"`
	Slots       []slotAnswer  `json:"slots"`
	Strings     []stringPlace `json:"strings"`
	Board       boardAnswer   `json:"board"`
	Warnings    []string      `json:"warnings"`
}

type fretAnswer struct {
	Fret         number `json:"fret"`
	FromNut      number `json:"from_nut_mm"`
	FromPrevious number `json:"from_previous_mm"`
	ToSaddle     number `json:"to_saddle_mm"`
	Cents        number `json:"cents"`

	FromNutRounded      rounded `json:"from_nut_rounded"`
	FromPreviousRounded rounded `json:"from_previous_rounded"`
	ToSaddleRounded     rounded `json:"to_saddle_rounded"`

	BoardWidth    number  `json:"board_width_mm"`
	SlotLength    number  `json:"slot_length_mm"`
	Bass          *number `json:"bass_from_nut_mm,omitempty"`
	Treble        *number `json:"treble_from_nut_mm,omitempty"`
	Angle         *number `json:"angle_deg,omitempty"`
	SteppedWorst  *number `json:"stepped_worst_mm,omitempty"`
	Stepped       *number `json:"stepped_likely_mm,omitempty"`
	SteppedCents  *number `json:"stepped_worst_cents,omitempty"`
	SteppedLikely *number `json:"stepped_likely_cents,omitempty"`
}

// rounded is a length as it is marked, and what that loses.
type rounded struct {
	Hundredths     number `json:"hundredths_mm"`
	HundredthsLost number `json:"hundredths_lost_mm"`
	Rule           string `json:"rule"`
	RuleLost       number `json:"rule_lost_mm"`
}

func roundedOf(r fret.Rounded) rounded {
	return rounded{number(r.HundredthsMm), number(r.HundredthsLostMm), r.Rule, number(r.RuleLostMm)}
}

// slotAnswer is a slot as it is sawn, its ends in the neck frame.
type slotAnswer struct {
	Fret    number    `json:"fret"`
	Bass    [2]number `json:"bass_end_mm"`
	Treble  [2]number `json:"treble_end_mm"`
	Angle   number    `json:"angle_deg"`
	Length  number    `json:"length_mm"`
	Partial bool      `json:"partial"`
}

type boardAnswer struct {
	NutWidth number         `json:"nut_width_mm"`
	EndWidth number         `json:"end_width_mm"`
	Taper    number         `json:"taper_deg"`
	Margins  []marginAnswer `json:"edge_margins"`
}

type marginAnswer struct {
	Side  string `json:"side"`
	Least number `json:"least_mm"`
	At    number `json:"at_mm"`
	Asked number `json:"asked_mm"`
	OK    bool   `json:"ok"`
}

type stringPlace struct {
	String int       `json:"string"`
	Scale  number    `json:"scale_mm"`
	Nut    [2]number `json:"nut_mm"`
	Saddle [2]number `json:"saddle_mm"`
}

func pair(p fret.Point) [2]number { return [2]number{number(p.U), number(p.V)} }

func pointer(v float64) *number { n := number(v); return &n }

// Run prints the table.
func (f *fretsCommand) Run(c *console) error {
	if f.Measured != "" || f.MeasuredFile != "" {
		return f.fit(c)
	}
	if f.NutMoved {
		return errors.New("--nut-moved goes with --measured or --measured-file")
	}
	var l fret.Layout
	var name string
	show := ruler{measure.Millimetres}
	if f.fromFlags() {
		var err error
		if l, err = f.layout(); err != nil {
			return err
		}
	} else {
		p, err := f.read()
		if err != nil {
			return err
		}
		l, name, show = p.Fret, p.Name, ruler{p.Unit}
	}
	if f.Unit != nil {
		show = ruler{f.Unit.Unit}
	}
	plan, err := l.Plan()
	if err != nil {
		return err
	}
	a := fretsOf(plan)
	a.Name = name
	var stepping []fret.Stepping
	if f.DividerError != 0 {
		stepping = fret.SteppingErrors(plan.Layout.MeanScale(), plan.Layout.Count, plan.Layout.Temperament, float64(f.DividerError))
		for i, row := range a.Frets {
			if s := stepped(stepping, float64(row.Fret)); s != nil {
				a.Frets[i].SteppedWorst, a.Frets[i].Stepped = pointer(s.WorstMm), pointer(s.LikelyMm)
				a.Frets[i].SteppedCents, a.Frets[i].SteppedLikely = pointer(s.WorstCents), pointer(s.LikelyCents)
			}
		}
	}
	switch {
	case f.JSON:
		return c.answerJSON(a)
	case f.CSV:
		return f.csv(c, plan, stepping)
	}
	f.print(c, plan, show, name, stepping)
	return nil
}

func stepped(list []fret.Stepping, n float64) *fret.Stepping {
	for i := range list {
		if float64(list[i].Fret) == n {
			return &list[i]
		}
	}
	return nil
}

func fretsOf(plan *fret.Plan) fretsAnswer {
	l := plan.Layout
	a := fretsAnswer{Temperament: l.Temperament.Name(), Scale: number(l.MeanScale()), ZeroFret: l.ZeroFret,
		Frets: []fretAnswer{}, Slots: []slotAnswer{}, Strings: []stringPlace{}, Warnings: append([]string{}, plan.Warnings...)}
	if l.Two() {
		a.BassScale, a.TrebleScale, a.SquareFret = pointer(l.BassScale), pointer(l.TrebleScale), pointer(l.SquareFret)
		a.NutAngle, a.SaddleAngle = pointer(degrees(plan.NutAngleRad)), pointer(degrees(plan.SaddleAngleRad))
	}
	for _, r := range plan.Rows {
		row := fretAnswer{Fret: number(r.Fret), FromNut: number(r.FromNut.Mm), FromPrevious: number(r.FromPrevious.Mm),
			ToSaddle: number(r.ToSaddle.Mm), Cents: number(r.Cents), FromNutRounded: roundedOf(r.FromNut),
			FromPreviousRounded: roundedOf(r.FromPrevious), ToSaddleRounded: roundedOf(r.ToSaddle),
			BoardWidth: number(r.BoardWidthMm), SlotLength: number(r.SlotLengthMm)}
		if l.Two() {
			row.Bass, row.Treble, row.Angle = pointer(r.BassFromNutMm), pointer(r.TrebleFromNutMm), pointer(degrees(r.AngleRad))
		}
		a.Frets = append(a.Frets, row)
	}
	for _, s := range plan.Slots {
		a.Slots = append(a.Slots, slotAnswer{number(s.Fret), pair(s.Bass), pair(s.Treble), number(degrees(s.AngleRad)), number(s.LengthMm), s.Partial})
	}
	for _, s := range plan.Strings {
		a.Strings = append(a.Strings, stringPlace{s.Number, number(s.ScaleMm), pair(s.Nut), pair(s.Saddle)})
	}
	nut, end := boardWidths(plan)
	a.Board = boardAnswer{NutWidth: number(nut), EndWidth: number(end), Taper: number(degrees(plan.TaperRad))}
	for _, m := range plan.Margins {
		a.Board.Margins = append(a.Board.Margins, marginAnswer{m.Side, number(m.LeastMm), number(m.AtUMm), number(m.AskedMm), m.OK()})
	}
	return a
}

// boardWidths are the board's widths at the nut's middle and at its end, square
// to the centreline.
func boardWidths(plan *fret.Plan) (nut, end float64) {
	return plan.WidthAt(0), plan.WidthAt((plan.BoardEnd.From.U + plan.BoardEnd.To.U) / 2)
}

func (f *fretsCommand) csv(c *console, plan *fret.Plan, stepping []fret.Stepping) error {
	head := []string{"fret", "from_nut_mm", "from_previous_mm", "to_saddle_mm", "cents", "board_width_mm", "slot_length_mm"}
	for _, name := range []string{"from_nut", "from_previous", "to_saddle"} {
		head = append(head, name+"_hundredths_mm", name+"_hundredths_lost_mm", name+"_rule", name+"_rule_lost_mm")
	}
	head = append(head, "bass_end_u_mm", "bass_end_v_mm", "treble_end_u_mm", "treble_end_v_mm")
	two := plan.Layout.Two()
	if two {
		head = append(head, "bass_from_nut_mm", "treble_from_nut_mm", "angle_deg")
	}
	if stepping != nil {
		head = append(head, "stepped_worst_mm", "stepped_likely_mm")
	}
	var rows [][]any
	for _, r := range plan.Rows {
		row := []any{r.Fret, r.FromNut.Mm, r.FromPrevious.Mm, r.ToSaddle.Mm, r.Cents, r.BoardWidthMm, r.SlotLengthMm}
		for _, d := range []fret.Rounded{r.FromNut, r.FromPrevious, r.ToSaddle} {
			row = append(row, d.HundredthsMm, d.HundredthsLostMm, d.Rule, d.RuleLostMm)
		}
		bass, treble := slotEnds(plan, r.Fret)
		row = append(row, bass.U, bass.V, treble.U, treble.V)
		if two {
			row = append(row, r.BassFromNutMm, r.TrebleFromNutMm, degrees(r.AngleRad))
		}
		if stepping != nil {
			var worst, likely any
			if s := stepped(stepping, r.Fret); s != nil {
				worst, likely = s.WorstMm, s.LikelyMm
			}
			row = append(row, worst, likely)
		}
		rows = append(rows, row)
	}
	return c.answerCSV(head, rows)
}

// slotEnds are the ends of a fret's slot; of a fret in several parts the
// outermost ones.
func slotEnds(plan *fret.Plan, n float64) (bass, treble fret.Point) {
	first := true
	for _, s := range plan.Slots {
		if s.Fret != n {
			continue
		}
		if first || s.Bass.V < bass.V {
			bass = s.Bass
		}
		if first || s.Treble.V > treble.V {
			treble = s.Treble
		}
		first = false
	}
	return bass, treble
}

// lost shows what rounding lost, with its sign; nothing is +0.
func lost(mm float64, digits int) string {
	s := fmt.Sprintf("%+.*f", digits, mm)
	if strings.Trim(s, "-0.") == "" {
		s = "+" + s[1:]
	}
	return s
}

func fretName(n float64) string { return strconv.FormatFloat(n, 'f', -1, 64) }

func (f *fretsCommand) print(c *console, plan *fret.Plan, show ruler, name string, stepping []fret.Stepping) {
	l := plan.Layout
	title := fmt.Sprintf("%d frets on a scale of %s", l.Count, show.length(l.MeanScale()))
	if l.Two() {
		title = fmt.Sprintf("%d frets on two scales, bass %s and treble %s, square at fret %g", l.Count, show.length(l.BassScale), show.length(l.TrebleScale), l.SquareFret)
	}
	if l.ZeroFret {
		title += ", and a zero fret"
	}
	if name != "" {
		title = name + ": " + title
	}
	fmt.Fprintf(c.out, "%s; %s.\nMark every fret from the nut, never from fret to fret.\n\n", title, l.Temperament.Name())

	// Positions. Shown in inches, a length has its 0.01 mm beside it.
	u := show.unit.String()
	inches := show.unit == measure.Inches
	head := []string{"fret"}
	for _, what := range []string{"from nut ", "from previous ", "to saddle "} {
		head = append(head, what+u)
		if inches {
			head = append(head, "0.01 mm")
		}
		head = append(head, "lost", "1/64 in", "lost")
	}
	g := table(head...)
	for _, r := range plan.Rows {
		row := []string{fretName(r.Fret)}
		for _, d := range []fret.Rounded{r.FromNut, r.FromPrevious, r.ToSaddle} {
			if inches {
				row = append(row, show.fixed(d.Mm))
			}
			row = append(row, fmt.Sprintf("%.2f", d.HundredthsMm), lost(d.HundredthsLostMm, 4), strings.TrimSuffix(d.Rule, " in"), lost(d.RuleLostMm, 3))
		}
		g.row(row...)
	}
	g.write(c.out)
	fmt.Fprintln(c.out, "\nlost: the true length less the rounded one, mm.")
	if l.Two() {
		fmt.Fprintln(c.out, "from nut, from previous, to saddle: half of bass and treble string together.")
	}

	head = []string{"slot", "board width " + u, "slot length " + u, "bass end u " + u, "v " + u, "treble end u " + u, "v " + u, "angle"}
	if l.Two() {
		head = append(head, "bass string "+u, "treble string "+u)
	}
	g = table(head...)
	rows := map[float64]fret.Row{}
	for _, r := range plan.Rows {
		rows[r.Fret] = r
	}
	for _, s := range plan.Slots {
		row := []string{fretName(s.Fret), show.fixed(s.BoardWidthMm), show.fixed(s.LengthMm), show.fixed(s.Bass.U), show.fixed(s.Bass.V),
			show.fixed(s.Treble.U), show.fixed(s.Treble.V), fmt.Sprintf("%+.3f°", degrees(s.AngleRad))}
		if s.AngleRad == 0 {
			row[7] = "0°"
		}
		if l.Two() {
			r := rows[s.Fret]
			row = append(row, show.fixed(r.BassFromNutMm), show.fixed(r.TrebleFromNutMm))
		}
		g.row(row...)
	}
	fmt.Fprintln(c.out)
	g.write(c.out)
	fmt.Fprintln(c.out, "\nu along the centreline from the nut, v from it to the treble side. angle: 0 at right angles to\nthe centreline, positive where the bass end is nearer the nut.")
	if l.Two() {
		fmt.Fprintln(c.out, "bass string, treble string: from the nut along the outer strings.")
	}

	g = table("string", "scale "+u, "nut v "+u, "saddle v "+u)
	for _, s := range plan.Strings {
		g.row(strconv.Itoa(s.Number), show.fixed(s.ScaleMm), show.fixed(s.Nut.V), show.fixed(s.Saddle.V))
	}
	fmt.Fprintln(c.out)
	g.write(c.out)

	nut, end := boardWidths(plan)
	fmt.Fprintf(c.out, "\nboard %s wide at the nut, %s at its end; its edges taper by %s\n", show.length(nut), show.length(end), angle(plan.TaperRad))
	if l.Two() {
		fmt.Fprintf(c.out, "nut at %s, saddle line at %s\n", angle(plan.NutAngleRad), angle(plan.SaddleAngleRad))
	}
	for _, m := range plan.Margins {
		fmt.Fprintf(c.out, "outer string on the %s side: at least %s from the edge, %s asked\n", m.Side, show.length(m.LeastMm), show.length(m.AskedMm))
	}

	if stepping != nil {
		g = table("stepped to fret", "off at worst "+u, "cents", "likely "+u, "cents")
		for _, s := range stepping {
			g.row(strconv.Itoa(s.Fret), show.fixed(s.WorstMm), fmt.Sprintf("%.1f", s.WorstCents), show.fixed(s.LikelyMm), fmt.Sprintf("%.1f", s.LikelyCents))
		}
		fmt.Fprintln(c.out)
		g.write(c.out)
		fmt.Fprintf(c.out, "\nStepped off from fret to fret with dividers that err by %s a step: at worst every step errs\nthe same way; likely is the root mean square when they err either way.\n", show.length(float64(f.DividerError)))
	}
	for _, w := range plan.Warnings {
		wrap(c.out, "", "Warning: "+w)
	}
}

// fit finds the scale length of an existing neck.
func (f *fretsCommand) fit(c *console) error {
	if f.Project != "" || f.Scale != 0 || f.BassScale != 0 || f.TrebleScale != 0 {
		return errors.New("--measured finds the scale: leave the project and the scale length out")
	}
	t, err := f.temperament()
	if err != nil {
		return err
	}
	text := f.Measured
	if f.MeasuredFile != "" {
		data, err := os.ReadFile(f.MeasuredFile)
		if err != nil {
			return fmt.Errorf("cannot read the measured frets: %w", err)
		}
		text = string(data)
	}
	list, err := fret.ParseMeasured(text, measure.Millimetres)
	if err != nil {
		return err
	}
	fit, err := fret.FitScale(list, t, f.NutMoved)
	if err != nil {
		return err
	}
	type residual struct {
		Fret     int    `json:"fret"`
		Measured number `json:"measured_mm"`
		Expected number `json:"expected_mm"`
		Off      number `json:"off_mm"`
		Suspect  bool   `json:"suspect"`
	}
	a := struct {
		Scale    number     `json:"scale_mm"`
		Error    number     `json:"scale_error_mm"`
		Offset   number     `json:"nut_offset_mm"`
		Rms      number     `json:"rms_mm"`
		Frets    []residual `json:"frets"`
		Suspects []int      `json:"suspects"`
	}{number(fit.ScaleMm), number(fit.ScaleErrorMm), number(fit.NutOffsetMm), number(fit.RmsMm), []residual{}, append([]int{}, fit.Suspects...)}
	for _, r := range fit.Residuals {
		a.Frets = append(a.Frets, residual{r.Fret, number(r.MeasuredMm), number(r.ExpectedMm), number(r.OffMm), r.Suspect})
	}
	if f.JSON {
		return c.answerJSON(a)
	}
	if f.CSV {
		var rows [][]any
		for _, r := range fit.Residuals {
			rows = append(rows, []any{r.Fret, r.MeasuredMm, r.ExpectedMm, r.OffMm, r.Suspect})
		}
		return c.answerCSV([]string{"fret", "measured_mm", "expected_mm", "off_mm", "suspect"}, rows)
	}
	show := ruler{measure.Millimetres}
	if f.Unit != nil {
		show = ruler{f.Unit.Unit}
	}
	fmt.Fprintf(c.out, "scale length %s, give or take %s\n", show.length(fit.ScaleMm), show.length(fit.ScaleErrorMm))
	if f.NutMoved {
		fmt.Fprintf(c.out, "the nut stands %s too far from the frets\n", show.length(fit.NutOffsetMm))
	}
	fmt.Fprintln(c.out)
	g := table("fret", "measured", "expected", "off", "")
	for _, r := range fit.Residuals {
		note := ""
		if r.Suspect {
			note = "left out: misplaced or mismeasured"
		}
		g.row(strconv.Itoa(r.Fret), show.fixed(r.MeasuredMm), show.fixed(r.ExpectedMm), show.signed(r.OffMm), note)
	}
	g.write(c.out)
	if len(fit.Suspects) == 0 && len(fit.Residuals) < 4 {
		fmt.Fprintln(c.out, "\nMeasure four frets or more, so that a wrong one can be told.")
	}
	return nil
}
