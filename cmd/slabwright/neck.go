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
	Cents   bool   `help:"Also list the error of every string at every fret."`
	HeatMap string `placeholder:"FILE" help:"Also draw those errors as a heat map into this .svg or .png file."`
}

// Examples end the help.
func (*neckCommand) Examples() []string {
	return []string{
		"slabwright neck",
		"slabwright neck panel.toml --cents",
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
	Bridge        bridgeAnswer   `json:"bridge"`
	Joint         jointAnswer    `json:"joint"`
	Blank         blankAnswer    `json:"blank"`
	Head          headAnswer     `json:"headstock"`
	Deflection    bendAnswer     `json:"deflection_estimate"`
	WireMm        number         `json:"fret_wire_mm"`
	Warnings      []string       `json:"warnings"`
}

type stringAnswer struct {
	String        int      `json:"string"`
	Note          string   `json:"note"`
	Frequency     number   `json:"frequency_hz"`
	Gauge         number   `json:"gauge_mm"`
	Wound         bool     `json:"wound"`
	Core          number   `json:"core_mm"`
	Scale         number   `json:"scale_mm"`
	UnitMass      number   `json:"unit_mass_g_per_m"`
	Tension       number   `json:"tension_n"`
	TensionLbf    number   `json:"tension_lbf"`
	Stress        number   `json:"stress_mpa"`
	StressShare   *number  `json:"stress_share"`
	Stretch       number   `json:"stretch_mm"`
	SaddleSetback number   `json:"saddle_setback_mm"`
	NutSetback    number   `json:"nut_setback_mm"`
	RmsCents      number   `json:"rms_cents"`
	Action        number   `json:"action_mm"`
	NutSlot       number   `json:"nut_slot_mm"`
	Saddle        number   `json:"saddle_over_board_plane_mm"`
	Cautions      []string `json:"cautions"`
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

type blankAnswer struct {
	Length    number  `json:"length_mm"`
	Width     number  `json:"width_mm"`
	Thickness number  `json:"thickness_mm"`
	BoardFeet number  `json:"board_feet"`
	Under     number  `json:"least_wood_under_channel_mm"`
	ScarfFace *number `json:"scarf_face_mm"`
}

type headAnswer struct {
	Length   number `json:"length_mm"`
	Width    number `json:"width_mm"`
	Sideways number `json:"worst_sideways_turn_deg"`
}

type bendAnswer struct {
	Relief number `json:"relief_mm"`
	Rise   number `json:"rise_at_nut_mm"`
}

func neckOf(name string, r *neck.Report) neckAnswer {
	a := neckAnswer{Project: name, TotalTension: number(r.TotalTensionN), NeckAngle: number(r.Joint.NeckAngleDeg),
		Strings: []stringAnswer{}, Cents: [][]number{}, Uncompensated: [][]number{}, WireMm: number(r.Setup.WireMm), Warnings: append([]string{}, r.Warnings...)}
	for i, s := range r.Strings {
		one := stringAnswer{String: s.Number, Note: s.Note, Frequency: number(s.FrequencyHz), Gauge: number(s.GaugeMm), Wound: s.Wound, Core: number(s.CoreMm),
			Scale: number(s.ScaleMm), UnitMass: number(s.UnitMassGPerM), Tension: number(s.TensionN), TensionLbf: number(s.TensionLbf),
			Stress: number(s.StressMPa), StressShare: known(s.StressShare), Stretch: number(s.StretchMm), Cautions: append([]string{}, s.Cautions...)}
		t, u := r.Intonation[i], r.Setup.Strings[i]
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
	b, j := r.Bridge, r.Joint
	a.Bridge = bridgeAnswer{number(b.FrontFromNutMm), number(b.BackFromNutMm), number(b.NeededMm), number(b.TravelMm), b.Enough}
	a.Joint = jointAnswer{j.Solved, number(j.NeckAngleDeg), number(j.PocketMm), number(j.PocketInnerMm), number(j.HeelMm), number(j.BridgeMm),
		number(j.ActionAtJointMm), number(j.ActionAtLastMm), number(j.BoardOverBodyMm)}
	a.Blank = blankAnswer{number(r.Blank.LengthMm), number(r.Blank.WidthMm), number(r.Blank.ThicknessMm), number(r.Blank.BoardFeet()), number(r.Blank.LeastUnderChannelMm), nil}
	if s := r.Blank.Scarf; s != nil {
		a.Blank.ScarfFace = pointer(s.FaceMm)
	}
	a.Head = headAnswer{Length: number(r.Head.LengthMm), Width: number(r.Head.WidthMm), Sideways: number(degrees(r.Head.WorstSidewaysRad))}
	a.Deflection = bendAnswer{number(r.Deflection.ReliefMm), number(r.Deflection.RiseAtNutMm)}
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
	a := neckOf(p.Name, r)
	switch {
	case n.JSON:
		return c.answerJSON(a)
	case n.CSV:
		head := []string{"string", "note", "frequency_hz", "gauge_mm", "wound", "scale_mm", "unit_mass_g_per_m", "tension_n", "saddle_setback_mm", "nut_setback_mm", "rms_cents"}
		for f := range r.Cents()[0] {
			head = append(head, fmt.Sprintf("cents_fret_%d", f+1))
		}
		var rows [][]any
		for i, s := range r.Strings {
			t := r.Intonation[i].Chosen
			row := []any{s.Number, s.Note, s.FrequencyHz, s.GaugeMm, s.Wound, s.ScaleMm, s.UnitMassGPerM, s.TensionN, t.SaddleMm, t.NutMm, t.RmsCents}
			for _, v := range r.Cents()[i] {
				row = append(row, v)
			}
			rows = append(rows, row)
		}
		return c.answerCSV(head, rows)
	}
	n.print(c, p.Name, ruler{p.Unit}, r)
	return nil
}

func (n *neckCommand) print(c *console, name string, show ruler, r *neck.Report) {
	u := show.unit.String()
	fmt.Fprintf(c.out, "%s: the neck\n\nStrings; setbacks are from the uncompensated ends, positive away from the other end.\n\n", name)
	g := table("string", "note", "Hz", "gauge "+u, "kind", "tension N", "lbf", "of strength", "saddle back "+u, "nut back "+u, "rms cents", "nut slot "+u, "saddle height "+u)
	for i, s := range r.Strings {
		kind, share := "plain", ""
		if s.Wound {
			kind = "wound"
		}
		if s.StressShare > 0 {
			share = fmt.Sprintf("%.0f %%", 100*s.StressShare)
		}
		t, up := r.Intonation[i].Chosen, r.Setup.Strings[i]
		g.row(strconv.Itoa(s.Number), s.Note, fmt.Sprintf("%.2f", s.FrequencyHz), show.number(s.GaugeMm), kind, fmt.Sprintf("%.1f", s.TensionN), fmt.Sprintf("%.1f", s.TensionLbf), share,
			show.fixed(t.SaddleMm), show.fixed(t.NutMm), fmt.Sprintf("%.2f", t.RmsCents), show.fixed(up.NutSlotMm), show.fixed(up.SaddleMm))
	}
	g.write(c.out)
	fmt.Fprintf(c.out, "\ntogether %.0f N (%.0f lbf); fret wire to buy: %s\n\n", r.TotalTensionN, r.TotalTensionLbf, show.length(r.Setup.WireMm))
	if n.Cents {
		head := []string{"cents at fret"}
		for f := range r.Cents()[0] {
			head = append(head, strconv.Itoa(f+1))
		}
		g := table(head...)
		for i, row := range r.Cents() {
			cells := []string{fmt.Sprintf("string %d %s", r.Strings[i].Number, r.Strings[i].Note)}
			for _, v := range row {
				cells = append(cells, fmt.Sprintf("%+.1f", v))
			}
			g.row(cells...)
		}
		g.write(c.out)
		fmt.Fprintln(c.out)
	}
	j, b, k, d := r.Joint, r.Bridge, r.Blank, r.Deflection
	g = table("neck and body", "")
	g.row("neck angle", fmt.Sprintf("%.2f°", j.NeckAngleDeg))
	g.row("pocket, at the joint", show.length(j.PocketMm))
	g.row("pocket, at its end", show.length(j.PocketInnerMm))
	g.row("heel with fretboard", show.length(j.HeelMm))
	g.row("strings over the body at the saddle", show.length(j.BridgeMm))
	g.row("solved for", j.Solved)
	g.row("action at the joint, at the last fret", show.length(j.ActionAtJointMm)+", "+show.length(j.ActionAtLastMm))
	g.row("saddles, from the nut", show.length(b.FrontFromNutMm)+" to "+show.length(b.BackFromNutMm))
	g.row("saddle travel needed, there", show.length(b.NeededMm)+", "+show.length(b.TravelMm))
	g.row("neck blank", fmt.Sprintf("%s × %s × %s", show.length(k.LengthMm), show.length(k.WidthMm), show.length(k.ThicknessMm)))
	if k.Scarf != nil {
		g.row("scarf joint, length of its face", show.length(k.Scarf.FaceMm))
	}
	if k.LeastUnderChannelMm > 0 {
		g.row("least wood under the rod's channel", show.length(k.LeastUnderChannelMm))
	}
	g.row("headstock", fmt.Sprintf("%s × %s", show.length(r.Head.LengthMm), show.length(r.Head.WidthMm)))
	g.row("relief under string load, an estimate", show.length(d.ReliefMm))
	g.write(c.out)
	fmt.Fprintln(c.out)
	for _, w := range r.Warnings {
		wrap(c.out, "", "Warning: "+w)
	}
	for _, s := range r.Strings {
		for _, w := range s.Cautions {
			wrap(c.out, "", fmt.Sprintf("Caution, string %d: %s", s.Number, w))
		}
	}
	wrap(c.out, "", "Strings under tension whip when they break: wear eye protection.")
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
