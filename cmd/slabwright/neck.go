package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"slabwright/fret/neck"
	"slabwright/layout/sheet/heatmap"
)

type neckCommand struct {
	projectArg
	answers
	Cents   bool   `help:"Also list the error of every string at every fret, with and without compensation."`
	Heights bool   `help:"Also list every fret: slot depths, wire, board and crown heights under each string, and the gaps to the strings."`
	Carving bool   `help:"Also list the neck's thickness along its length, and the lines to mark for roughing out its back."`
	HeatMap string `placeholder:"FILE" help:"Also draw those errors as a heat map into this .svg or .png file."`
}

// Examples end the help.
func (*neckCommand) Examples() []string {
	return []string{
		"slabwright neck",
		"slabwright neck panel.toml --cents --heights --carving",
		"slabwright neck panel.toml --heat-map cents.svg",
		"slabwright neck panel.toml --json",
	}
}

type neckAnswer struct {
	Project       string         `json:"project"`
	Strings       []stringAnswer `json:"strings"`
	TotalTension  number         `json:"total_tension_n"`
	NeckAngle     number         `json:"neck_angle_deg"`
	Cents         [][]number     `json:"cents"`
	Uncompensated [][]number     `json:"uncompensated_cents"`
	Frequencies   [][]number     `json:"frequencies_hz"`
	TotalLbf      number         `json:"total_tension_lbf"`
	Relief        number         `json:"relief_mm"`
	SaddleRadius  *number        `json:"saddle_radius_mm"`
	Frets         []fretSetup    `json:"frets"`
	Bridge        bridgeAnswer   `json:"bridge"`
	Joint         jointAnswer    `json:"joint"`
	Blank         blankAnswer    `json:"blank"`
	Head          headAnswer     `json:"headstock"`
	Deflection    bendAnswer     `json:"deflection_estimate"`
	Carving       []carveAnswer  `json:"carving"`
	WireMm        number         `json:"fret_wire_mm"`
	Mass          massAnswer     `json:"mass"`
	Warnings      []string       `json:"warnings"`
}

type stringAnswer struct {
	String        int      `json:"string"`
	Note          string   `json:"note"`
	Frequency     number   `json:"frequency_hz"`
	Gauge         number   `json:"gauge_mm"`
	Wound         bool     `json:"wound"`
	Core          number   `json:"core_mm"`
	HexCore       bool     `json:"hex_core"`
	Material      string   `json:"material"`
	Winding       string   `json:"winding,omitempty"`
	Scale         number   `json:"scale_mm"`
	UnitMass      number   `json:"unit_mass_g_per_m"`
	Tension       number   `json:"tension_n"`
	TensionLbf    number   `json:"tension_lbf"`
	Stress        number   `json:"stress_mpa"`
	Strength      *number  `json:"strength_mpa"`
	StressShare   *number  `json:"stress_share"`
	Stretch       number   `json:"stretch_mm"`
	SaddleSetback number   `json:"saddle_setback_mm"`
	NutSetback    number   `json:"nut_setback_mm"`
	RmsCents      number   `json:"rms_cents"`
	SaddleOnly    setback  `json:"saddle_only"`
	SaddleAndNut  setback  `json:"saddle_and_nut"`
	SaddleFromNut number   `json:"saddle_from_nut_mm"`
	Action        number   `json:"action_mm"`
	NutSlot       number   `json:"nut_slot_mm"`
	NutOverBoard  number   `json:"nut_over_board_mm"`
	Saddle        number   `json:"saddle_over_board_plane_mm"`
	SaddleOver    number   `json:"saddle_over_board_mm"`
	Gaps          []number `json:"gap_mm"`
	LeastStopped  number   `json:"least_stopped_gap_mm"`
	Cautions      []string `json:"cautions"`
}

// setback is where saddle and nut go, and what is left.
type setback struct {
	Saddle number `json:"saddle_mm"`
	Nut    number `json:"nut_mm"`
	Rms    number `json:"rms_cents"`
}

func setbackOf(s neck.Setback) setback {
	return setback{number(s.SaddleMm), number(s.NutMm), number(s.RmsCents)}
}

// fretSetup is a fret's wood and wire; heights are over the centre of the
// board's surface, a number a string.
type fretSetup struct {
	Fret       number   `json:"fret"`
	Radius     *number  `json:"radius_mm"`
	AtCentre   number   `json:"slot_depth_centre_mm"`
	AtEdge     number   `json:"slot_depth_edge_mm"`
	Wire       number   `json:"wire_mm"`
	BoardUnder []number `json:"board_height_mm"`
	Crown      []number `json:"crown_height_mm"`
}

type bridgeAnswer struct {
	Front  number `json:"front_from_nut_mm"`
	Back   number `json:"back_from_nut_mm"`
	Needed number `json:"travel_needed_mm"`
	Travel number `json:"travel_mm"`
	Enough bool   `json:"enough"`
}

type jointAnswer struct {
	Solved    string `json:"solved"`
	NeckAngle number `json:"neck_angle_deg"`
	Pocket    number `json:"pocket_depth_mm"`
	PocketEnd number `json:"pocket_depth_at_its_end_mm"`
	Heel      number `json:"heel_height_mm"`
	Bridge    number `json:"bridge_height_mm"`
	Action    number `json:"action_at_joint_mm"`
	LastFret  number `json:"action_at_last_fret_mm"`
	Board     number `json:"board_over_body_mm"`
}

type thicknessAnswer struct {
	Name    string `json:"name"`
	FromNut number `json:"from_nut_mm"`
	Width   number `json:"width_mm"`
	Whole   number `json:"thickness_mm"`
	Wood    number `json:"wood_mm"`
	Under   number `json:"under_channel_mm"`
}

type carveAnswer struct {
	Name    string       `json:"name"`
	FromNut number       `json:"from_nut_mm"`
	Whole   number       `json:"thickness_mm"`
	Marks   []markAnswer `json:"marks"`
}

type markAnswer struct {
	Round    int    `json:"round"`
	Side     string `json:"side"`
	Face     string `json:"face"`
	Distance number `json:"distance_mm"`
}

type postAnswer struct {
	String   int    `json:"string"`
	Side     string `json:"side"`
	Along    number `json:"along_face_mm"`
	V        number `json:"v_mm"`
	Sideways number `json:"sideways_deg"`
	Break    number `json:"break_deg"`
}

type blankAnswer struct {
	Length    number  `json:"length_mm"`
	Width     number  `json:"width_mm"`
	Thickness number  `json:"thickness_mm"`
	BoardFeet number  `json:"board_feet"`
	Under     number  `json:"least_wood_under_channel_mm"`
	ScarfFace *number `json:"scarf_face_mm"`
	ScarfRun  *number `json:"scarf_run_mm"`
	Overhang  number  `json:"board_overhang_mm"`
	HeadAngle number  `json:"head_angle_deg"`

	Profile []thicknessAnswer `json:"profile"`
}

type headAnswer struct {
	Length   number `json:"length_mm"`
	Width    number `json:"width_mm"`
	Sideways number `json:"worst_sideways_turn_deg"`

	Posts []postAnswer `json:"posts"`
}

// massAnswer is the bare neck; its centre of gravity is in the body frame.
type massAnswer struct {
	Mass  number         `json:"mass_kg"`
	At    [3]number      `json:"centre_of_gravity_mm"`
	Parts []massPartOnly `json:"parts"`
}

type massPartOnly struct {
	Name string `json:"name"`
	Mass number `json:"mass_kg"`
}

type bendAnswer struct {
	Relief number `json:"relief_mm"`
	Rise   number `json:"rise_at_nut_mm"`

	MomentFirst    number `json:"moment_at_fret_1_nm"`
	MomentJoint    number `json:"moment_at_joint_nm"`
	StiffnessFirst number `json:"stiffness_at_fret_1_nm2"`
	StiffnessJoint number `json:"stiffness_at_joint_nm2"`
}

func neckOf(name string, r *neck.Report, woods neck.Densities) neckAnswer {
	a := neckAnswer{Project: name, TotalTension: number(r.TotalTensionN), NeckAngle: number(r.Joint.NeckAngleDeg),
		Strings: []stringAnswer{}, Cents: [][]number{}, Uncompensated: [][]number{}, Frequencies: [][]number{},
		TotalLbf: number(r.TotalTensionLbf), Relief: number(r.Setup.Spec.ReliefMm), Frets: []fretSetup{}, Carving: []carveAnswer{}, WireMm: number(r.Setup.WireMm), Warnings: append([]string{}, r.Warnings...)}
	for i, s := range r.Strings {
		one := stringAnswer{String: s.Number, Note: s.Note, Frequency: number(s.FrequencyHz), Gauge: number(s.GaugeMm), Wound: s.Wound, Core: number(s.CoreMm), HexCore: s.HexCore, Material: s.Material, Winding: s.Winding,
			Scale: number(s.ScaleMm), UnitMass: number(s.UnitMassGPerM), Tension: number(s.TensionN), TensionLbf: number(s.TensionLbf),
			Stress: number(s.StressMPa), StressShare: known(s.StressShare), Stretch: number(s.StretchMm), Cautions: append([]string{}, s.Cautions...)}
		if s.StrengthMPa > 0 {
			one.Strength = pointer(s.StrengthMPa)
		}
		t, u := r.Intonation[i], r.Setup.Strings[i]
		one.SaddleOnly, one.SaddleAndNut, one.SaddleFromNut = setbackOf(t.SaddleOnly), setbackOf(t.Both), number(t.SaddleFromNutMm)
		one.NutOverBoard, one.SaddleOver, one.Gaps, one.LeastStopped = number(u.NutMm), number(u.SaddleOverBoardMm), numbers(u.GapMm), number(u.LeastStoppedGapMm)
		a.Frequencies = append(a.Frequencies, numbers(t.FrequencyHz))
		one.SaddleSetback, one.NutSetback, one.RmsCents = number(t.Chosen.SaddleMm), number(t.Chosen.NutMm), number(t.Chosen.RmsCents)
		one.Action, one.NutSlot, one.Saddle = number(u.ActionMm), number(u.NutSlotMm), number(u.SaddleMm)
		a.Strings = append(a.Strings, one)
	}
	for _, row := range r.Cents() {
		a.Cents = append(a.Cents, numbers(row))
	}
	for _, row := range r.UncompensatedCents() {
		a.Uncompensated = append(a.Uncompensated, numbers(row))
	}
	if r.Setup.SaddleRadiusMm > 0 {
		a.SaddleRadius = pointer(r.Setup.SaddleRadiusMm)
	}
	for _, f := range r.Setup.Frets {
		one := fretSetup{Fret: number(f.Fret), AtCentre: number(f.SlotAtCentreMm), AtEdge: number(f.SlotAtEdgeMm), Wire: number(f.WireMm),
			BoardUnder: numbers(f.BoardHeightMm), Crown: numbers(f.CrownHeightMm)}
		if f.RadiusMm > 0 {
			one.Radius = pointer(f.RadiusMm)
		}
		a.Frets = append(a.Frets, one)
	}
	b, j := r.Bridge, r.Joint
	a.Bridge = bridgeAnswer{number(b.FrontFromNutMm), number(b.BackFromNutMm), number(b.NeededMm), number(b.TravelMm), b.Enough}
	a.Joint = jointAnswer{j.Solved, number(j.NeckAngleDeg), number(j.PocketMm), number(j.PocketInnerMm), number(j.HeelMm), number(j.BridgeMm),
		number(j.ActionAtJointMm), number(j.ActionAtLastMm), number(j.BoardOverBodyMm)}
	a.Blank = blankAnswer{number(r.Blank.LengthMm), number(r.Blank.WidthMm), number(r.Blank.ThicknessMm), number(r.Blank.BoardFeet()), number(r.Blank.LeastUnderChannelMm), nil, nil,
		number(r.Blank.OverhangMm), number(r.Spec.Blank.HeadAngleDeg), []thicknessAnswer{}}
	if s := r.Blank.Scarf; s != nil {
		a.Blank.ScarfFace, a.Blank.ScarfRun = pointer(s.FaceMm), pointer(s.RunMm)
	}
	for _, t := range r.Blank.Profile {
		a.Blank.Profile = append(a.Blank.Profile, thicknessAnswer{t.Name, number(t.FromNutMm), number(t.WidthMm), number(t.WithBoardMm), number(t.WoodMm), number(t.UnderChannelMm)})
	}
	for _, s := range r.Carving {
		one := carveAnswer{s.Name, number(s.FromNutMm), number(s.ThicknessMm), []markAnswer{}}
		for _, m := range s.Marks {
			one.Marks = append(one.Marks, markAnswer{m.Round, m.Side, m.Face, number(m.DistanceMm)})
		}
		a.Carving = append(a.Carving, one)
	}
	a.Head = headAnswer{Length: number(r.Head.LengthMm), Width: number(r.Head.WidthMm), Sideways: number(degrees(r.Head.WorstSidewaysRad))}
	for _, p := range r.Head.Posts {
		a.Head.Posts = append(a.Head.Posts, postAnswer{p.String, p.Side, number(p.AlongMm), number(p.VMm), number(degrees(p.SidewaysRad)), number(degrees(p.BreakRad))})
	}
	grams, bu, bv, bw := r.MassInBody(woods)
	a.Mass = massAnswer{number(grams / 1000), [3]number{number(bu), number(bv), number(bw)}, []massPartOnly{}}
	_, parts := r.Mass(woods)
	for _, p := range parts {
		a.Mass.Parts = append(a.Mass.Parts, massPartOnly{p.Name, number(p.Grams / 1000)})
	}
	d := r.Deflection
	a.Deflection = bendAnswer{number(d.ReliefMm), number(d.RiseAtNutMm), number(d.MomentFirstNm), number(d.MomentJointNm), number(d.StiffnessFirstNm2), number(d.StiffnessJointNm2)}
	return a
}

// Run prints the report.
func (n *neckCommand) Run(c *console) error {
	p, err := n.read()
	if err != nil {
		return err
	}
	r := p.NeckReport
	if n.HeatMap != "" {
		if err := drawHeatMap(n.HeatMap, p.Name, r); err != nil {
			return err
		}
		c.say("wrote %s", n.HeatMap)
	}
	a := neckOf(p.Name, r, p.NeckWoods)
	switch {
	case n.JSON:
		return c.answerJSON(a)
	case n.CSV:
		head := []string{"string", "note", "frequency_hz", "gauge_mm", "wound", "scale_mm", "unit_mass_g_per_m", "tension_n", "saddle_setback_mm", "nut_setback_mm", "rms_cents",
			"saddle_only_setback_mm", "saddle_only_rms_cents", "action_mm", "nut_slot_mm", "saddle_over_board_plane_mm", "stretch_mm", "stress_mpa"}
		for f := range r.Cents()[0] {
			head = append(head, fmt.Sprintf("cents_fret_%d", f+1))
		}
		var rows [][]any
		for i, s := range r.Strings {
			t, only, u := r.Intonation[i].Chosen, r.Intonation[i].SaddleOnly, r.Setup.Strings[i]
			row := []any{s.Number, s.Note, s.FrequencyHz, s.GaugeMm, s.Wound, s.ScaleMm, s.UnitMassGPerM, s.TensionN, t.SaddleMm, t.NutMm, t.RmsCents,
				only.SaddleMm, only.RmsCents, u.ActionMm, u.NutSlotMm, u.SaddleMm, s.StretchMm, s.StressMPa}
			for _, v := range r.Cents()[i] {
				row = append(row, v)
			}
			rows = append(rows, row)
		}
		return c.answerCSV(head, rows)
	}
	n.print(c, p.Name, ruler{p.Unit}, r, p.NeckWoods)
	return nil
}

func (n *neckCommand) print(c *console, name string, show ruler, r *neck.Report, woods neck.Densities) {
	u := show.unit.String()
	fmt.Fprintf(c.out, "%s: the neck\n\n", name)
	g := table("string", "note", "Hz", "gauge "+u, "kind", "core "+u, "g/m", "tension N", "lbf", "stretch "+u, "stress MPa", "of strength")
	for _, s := range r.Strings {
		kind, core, share := s.Material, "", ""
		if s.Wound {
			kind, core = s.Winding+" on "+s.Material, show.fixed(s.CoreMm)
			if s.HexCore {
				core += " hex"
			}
		}
		if s.StressShare > 0 {
			share = fmt.Sprintf("%.0f %%", 100*s.StressShare)
		}
		g.row(strconv.Itoa(s.Number), s.Note, fmt.Sprintf("%.2f", s.FrequencyHz), show.fixed(s.GaugeMm), kind, core, fmt.Sprintf("%.3f", s.UnitMassGPerM),
			fmt.Sprintf("%.1f", s.TensionN), fmt.Sprintf("%.1f", s.TensionLbf), show.fixed(s.StretchMm), fmt.Sprintf("%.0f", s.StressMPa), share)
	}
	g.write(c.out)
	fmt.Fprintf(c.out, "\ntogether %.0f N (%.0f lbf)\n\n", r.TotalTensionN, r.TotalTensionLbf)

	g = table("string", "saddle alone back "+u, "rms cents", "saddle back "+u, "nut back "+u, "rms cents", "saddle from nut "+u, "action "+u, "nut slot "+u, "saddle height "+u)
	for i, s := range r.Strings {
		t, up := r.Intonation[i], r.Setup.Strings[i]
		g.row(strconv.Itoa(s.Number), show.fixed(t.SaddleOnly.SaddleMm), fmt.Sprintf("%.2f", t.SaddleOnly.RmsCents),
			show.fixed(t.Both.SaddleMm), show.fixed(t.Both.NutMm), fmt.Sprintf("%.2f", t.Both.RmsCents),
			show.fixed(t.SaddleFromNutMm), show.fixed(up.ActionMm), show.fixed(up.NutSlotMm), show.fixed(up.SaddleMm))
	}
	g.write(c.out)
	chosen := "saddle and nut are set back"
	if r.Spec.Intonation.KeepNut {
		chosen = "the nut stays, the saddle alone is set back"
	}
	fmt.Fprintf(c.out, "\nback: from the uncompensated end, positive away from the other end: of the saddle\nalone, or of saddle and nut together. Here %s.\nWith one line for all strings, the saddle by %s and the nut by %s.\nsaddle from nut: along the string from the nut's uncompensated place. nut slot: how deep in a\nblank of %s. saddle height: the string's underside over the fretboard's plane.\n",
		chosen, show.length(r.MeanSaddleMm), show.length(r.MeanNutMm), show.length(r.Setup.Spec.NutBlankMm))

	if n.Cents {
		printCents(c, "cents at fret, compensated", r, r.Cents())
		printCents(c, "cents at fret, without setbacks", r, r.UncompensatedCents())
	}
	if n.Heights {
		printHeights(c, show, r)
	}

	g = table("post", "side", "along the face "+u, "off centre "+u, "turns sideways", "breaks over the nut")
	for _, p := range r.Head.Posts {
		g.row(strconv.Itoa(p.String), p.Side, show.fixed(p.AlongMm), show.signed(p.VMm), angle(p.SidewaysRad), angle(p.BreakRad))
	}
	fmt.Fprintln(c.out)
	g.write(c.out)
	if n.Carving {
		printCarving(c, show, r)
	}

	j, b, k, d := r.Joint, r.Bridge, r.Blank, r.Deflection
	g = table("neck and body", "")
	g.row("neck angle", fmt.Sprintf("%.2f°", j.NeckAngleDeg))
	g.row("pocket, at the joint", show.length(j.PocketMm))
	g.row("pocket, at its end", show.length(j.PocketInnerMm))
	g.row("heel with fretboard", show.length(j.HeelMm))
	g.row("strings over the body at the saddle", show.length(j.BridgeMm))
	g.row("solved for", j.Solved)
	g.row("fretboard over the body at the joint", show.length(j.BoardOverBodyMm))
	g.row("action at the joint, at the last fret", show.length(j.ActionAtJointMm)+", "+show.length(j.ActionAtLastMm))
	g.row("saddles, from the nut", show.length(b.FrontFromNutMm)+" to "+show.length(b.BackFromNutMm))
	g.row("saddle travel needed, there", show.length(b.NeededMm)+", "+show.length(b.TravelMm))
	if r.Setup.SaddleRadiusMm > 0 {
		g.row("radius over the saddles", show.length(r.Setup.SaddleRadiusMm))
	}
	g.row("fret wire to buy", show.length(r.Setup.WireMm))
	g.row("neck blank", fmt.Sprintf("%s × %s × %s, %.2f board feet", show.length(k.LengthMm), show.length(k.WidthMm), show.length(k.ThicknessMm), k.BoardFeet()))
	if k.Scarf != nil {
		g.row("scarf joint, its face and its run", show.length(k.Scarf.FaceMm)+", "+show.length(k.Scarf.RunMm))
	}
	if k.OverhangMm > 0 {
		g.row("fretboard past the heel", show.length(k.OverhangMm))
	}
	if r.Spec.Beam.ChannelDepthMm > 0 {
		g.row("least wood under the rod's channel", show.length(k.LeastUnderChannelMm))
	}
	head := fmt.Sprintf("%s × %s", show.length(r.Head.LengthMm), show.length(r.Head.WidthMm))
	if lean := r.Spec.Blank.HeadAngleDeg; lean > 0 {
		head += fmt.Sprintf(", leans back %.1f°", lean)
	}
	g.row("headstock", head)
	whole, _ := r.Mass(woods)
	g.row("mass without tuners", show.mass(whole.Grams))
	g.row("bending by the strings, at fret 1, at the joint", fmt.Sprintf("%.1f N·m, %.1f N·m", d.MomentFirstNm, d.MomentJointNm))
	g.row("relief under string load, an estimate", show.length(d.ReliefMm))
	fmt.Fprintln(c.out)
	g.write(c.out)
	fmt.Fprintln(c.out)
	for _, w := range r.Warnings { // the strings' cautions are among them
		wrap(c.out, "", "Warning: "+w)
	}
	wrap(c.out, "", "Strings under tension whip when they break: wear eye protection.")
}

func printCents(c *console, what string, r *neck.Report, cents [][]float64) {
	head := []string{what}
	for f := range cents[0] {
		head = append(head, strconv.Itoa(f+1))
	}
	g := table(head...)
	for i, row := range cents {
		cells := []string{fmt.Sprintf("string %d %s", r.Strings[i].Number, r.Strings[i].Note)}
		for _, v := range row {
			cells = append(cells, fmt.Sprintf("%+.1f", v))
		}
		g.row(cells...)
	}
	fmt.Fprintln(c.out)
	g.write(c.out)
}

// printHeights lists what lies under the strings, fret by fret.
func printHeights(c *console, show ruler, r *neck.Report) {
	u := show.unit.String()
	g := table("fret", "radius "+u, "slot at centre "+u, "at edge "+u, "wire "+u)
	for _, f := range r.Setup.Frets {
		radius := "flat"
		if f.RadiusMm > 0 {
			radius = show.fixed(f.RadiusMm)
		}
		g.row(fretName(f.Fret), radius, show.fixed(f.SlotAtCentreMm), show.fixed(f.SlotAtEdgeMm), show.fixed(f.WireMm))
	}
	fmt.Fprintln(c.out)
	g.write(c.out)
	per := func(what string, row func(f neck.FretSetup) []float64) {
		head := []string{what + ", " + u}
		for _, s := range r.Strings {
			head = append(head, fmt.Sprintf("string %d", s.Number))
		}
		g := table(head...)
		for _, f := range r.Setup.Frets {
			values := row(f)
			if values == nil {
				continue
			}
			cells := []string{"fret " + fretName(f.Fret)}
			for _, v := range values {
				cells = append(cells, show.fixed(v))
			}
			g.row(cells...)
		}
		fmt.Fprintln(c.out)
		g.write(c.out)
	}
	per("board", func(f neck.FretSetup) []float64 { return f.BoardHeightMm })
	per("crown", func(f neck.FretSetup) []float64 { return f.CrownHeightMm })
	per("gap to the open string", func(f neck.FretSetup) (gaps []float64) {
		i := int(f.Fret) - 1
		if float64(i+1) != f.Fret || i < 0 {
			return nil // a zero fret touches, a fret between is not measured
		}
		for _, s := range r.Setup.Strings {
			gaps = append(gaps, s.GapMm[i])
		}
		return gaps
	})
	fmt.Fprintf(c.out, "\nboard, crown: over the board's centre, without relief. The gaps are with a relief of %s.\nslot: sawn straight it is deepest at the centre; along the curve, as at the edge all over.\n", show.length(r.Setup.Spec.ReliefMm))
}

// printCarving lists the neck's thickness and the marks for its facets.
func printCarving(c *console, show ruler, r *neck.Report) {
	u := show.unit.String()
	g := table("at", "from nut "+u, "width "+u, "thickness "+u, "wood "+u, "under channel "+u)
	for _, t := range r.Blank.Profile {
		under := ""
		if r.Spec.Beam.ChannelDepthMm > 0 {
			under = show.fixed(t.UnderChannelMm)
		}
		g.row(t.Name, show.fixed(t.FromNutMm), show.fixed(t.WidthMm), show.fixed(t.WithBoardMm), show.fixed(t.WoodMm), under)
	}
	fmt.Fprintln(c.out)
	g.write(c.out)
	g = table("mark at", "round", "side", "on the", "distance "+u)
	for _, s := range r.Carving {
		for _, m := range s.Marks {
			g.row(s.Name, strconv.Itoa(m.Round), m.Side, m.Face, show.fixed(m.DistanceMm))
		}
	}
	fmt.Fprintln(c.out)
	g.write(c.out)
	fmt.Fprintf(c.out, "\non the side: down from the glue line; on the back: from its deepest line; on a flat: from the\nupper edge of the flat of the round before. The flats leave %s.\n", show.length(r.Spec.Back.LeaveMm))
}

func drawHeatMap(path, name string, r *neck.Report) error {
	m := heatmap.Map{Title: name + ": cents off, compensated", Cents: r.Cents()}
	for _, s := range r.Strings {
		m.Rows = append(m.Rows, strings.TrimSpace(fmt.Sprintf("%d %s", s.Number, s.Note)))
	}
	var b bytes.Buffer
	var err error
	switch ext := strings.ToLower(filepath.Ext(path)); ext {
	case ".svg":
		err = heatmap.SVG(&b, m)
	case ".png":
		err = heatmap.PNG(&b, m, 2*dotsPerMM)
	default:
		return fmt.Errorf("--heat-map %s: name a file that ends in .svg or .png", path)
	}
	if err != nil {
		return fmt.Errorf("--heat-map: %w", err)
	}
	return writeAll(filepath.Dir(path), []file{{Name: filepath.Base(path), data: b.Bytes()}})
}
