package project

import (
	"fmt"
	"math"
	"strings"

	"slabwright/body"
	"slabwright/fret"
	"slabwright/fret/neck"
	"slabwright/layout/wood"
)

// readNeck reads [neck] and the strings, and has the engine work it all out.
// The layout has been read before.
func (p *Project) readNeck(top table) {
	s := &p.Neck
	s.Layout = p.Fret
	t, across := top.sub("neck"), top.sub("strings")
	before := len(t.r.problems)
	across.fill("reference_pitch", &s.A4Hz)
	readStrings(across, s)

	board := t.sub("board")
	board.fill("radius", &s.Board.RadiusNutMm, "saddle_radius", &s.Board.RadiusSaddleMm, "flat", &s.Board.Flat, "thickness", &s.Board.ThicknessMm)
	s.Beam.NeckModulusGPa, p.NeckWoods.Neck = modulusAndDensity(t)
	s.Beam.BoardModulusGPa, p.NeckWoods.Board = modulusAndDensity(board)

	u := t.sub("setup")
	u.fill("crown", &s.Setup.CrownMm, "action_fret", &s.Setup.ActionFret, "action_treble", &s.Setup.ActionTrebleMm, "action_bass", &s.Setup.ActionBassMm,
		"first_fret", &s.Setup.FirstFretMm, "relief", &s.Setup.ReliefMm, "nut_blank", &s.Setup.NutBlankMm, "share_above", &s.Setup.ShareAbove,
		"tang", &s.Setup.TangMm, "tang_clearance", &s.Setup.ClearanceMm, "wire_over", &s.Setup.WireOverMm, "wire_spare", &s.Setup.WireSpare)
	s.Setup.NoRelief = s.Setup.ReliefMm == 0
	i := t.sub("intonation")
	i.fill("frets", &s.Intonation.Frets, "weights", &s.Intonation.Weights, "tonic", &s.Intonation.Tonic, "keep_nut", &s.Intonation.KeepNut, "finger", &s.Intonation.FingerMm,
		"fall", &s.Intonation.FallMm, "full_stiffness", &s.Intonation.FullStiffness, "nut_height", &s.Intonation.NutHeightMm, "saddle_rise", &s.Intonation.SaddleRiseMm)
	if i.has("nut_height") != i.has("saddle_rise") {
		i.wrong("nut_height", "only one of nut_height and saddle_rise is given", "give both, or leave both to [neck.setup]")
	}
	if tonic := s.Intonation.Tonic; tonic != "" {
		if _, err := neck.ParsePitch(tonic, s.A4Hz); err != nil {
			i.wrong("tonic", err.Error(), "")
		}
	}
	k := t.sub("blank")
	k.fill("head_step", &s.Blank.HeadStepMm, "head_thickness", &s.Blank.HeadThicknessMm,
		"head_margin", &s.Blank.HeadMarginMm, "head_width", &s.Blank.HeadWidthMm, "scarf", &s.Blank.Scarf,
		"spare_length", &s.Blank.SpareLengthMm, "spare_width", &s.Blank.SpareWidthMm, "spare_thickness", &s.Blank.SpareThicknessMm)
	s.Blank.HeadAngleDeg = degrees(k.number("head_angle"))
	if s.Blank.HeadAngleDeg == 0 {
		s.Blank.HeadStepMm = math.Max(s.Blank.HeadStepMm, hair) // 0 is "not given" there
	}
	h := t.sub("headstock")
	h.fill("layout", &s.Head.Layout, "bass_posts", &s.Head.BassPosts, "straight_pull", &s.Head.StraightPull, "first", &s.Head.FirstMm,
		"spacing", &s.Head.SpacingMm, "near", &s.Head.NearMm, "post", &s.Head.PostMm, "wind", &s.Head.WindMm)
	s.Head.SlopeDeg = degrees(h.number("slope"))
	if h.has("bass_posts") && s.Head.Layout != "split" {
		h.wrong("bass_posts", "it belongs to a split layout", `write layout = "split", or leave it out`)
	}
	b := t.sub("back")
	b.fill("leave", &s.Back.LeaveMm, "rounds", &s.Back.Rounds, "heel_run", &s.Back.HeelRunMm)
	for name, section := range map[string]*neck.SectionSpec{"first": &s.Back.First, "heel": &s.Back.Heel} {
		b.sub(name).fill("shape", &section.Shape, "fullness", &section.Fullness, "shift", &section.ShiftMm, "thickness", &section.ThicknessMm)
	}
	r := t.sub("rod")
	r.fill("mass", &p.NeckWoods.RodGrams)
	r.fill("none", &s.Beam.NoChannel, "channel_width", &s.Beam.ChannelWidthMm, "channel_depth", &s.Beam.ChannelDepthMm,
		"left_under", &s.Beam.LeftUnderMm, "stiffness", &s.Beam.RodStiffnessNm2)
	bridge := top.sub("body").sub("bridge")
	bridge.fill("saddle_travel", &s.Bridge.TravelMm, "saddle_spare", &s.Bridge.SpareMm)
	p.readSeat(t, bridge)

	if len(t.r.problems) > before {
		return
	}
	report, err := neck.Work(*s)
	if err != nil {
		t.r.problems = append(t.r.problems, t.r.Problem(neckKey(err.Error(), top), err.Error(), ""))
		return
	}
	p.NeckReport = report
	p.Fret = report.Plan.Layout
}

func degrees(rad float64) float64 { return rad * 180 / math.Pi }

// readStrings reads tuning and gauges, or string by string.
func readStrings(t table, s *neck.Spec) {
	tuning, gauges := t.texts("tuning"), t.numbers("gauges")
	each := t.list("string")
	count := s.Layout.Strings.Count
	if count == 0 { // as many as the courses hold
		for _, n := range s.Layout.Strings.Courses {
			count += n
		}
	}
	many := func(key string, n int) {
		if n > 0 && n != count {
			t.wrong(key, fmt.Sprintf("%d are given for %d strings", n, count), "give one for each string, string 1 (the highest) first")
		}
	}
	many("tuning", len(tuning))
	many("gauges", len(gauges))
	many("string", len(each))
	if len(each) > 0 {
		for _, other := range []string{"tuning", "gauges"} {
			if t.has(other) {
				t.wrong(other, other+" stands beside [[strings.string]]", "keep one of them")
			}
		}
	}
	if len(tuning)+len(gauges)+len(each) > 0 {
		s.Strings = make([]neck.StringSpec, count)
	}
	for i := range s.Strings {
		if i < len(tuning) {
			s.Strings[i].Note = tuning[i]
			if _, err := neck.ParsePitch(tuning[i], s.A4Hz); err != nil {
				t.wrong(fmt.Sprintf("tuning[%d]", i+1), err.Error(), "")
			}
		}
		if i < len(gauges) {
			s.Strings[i].GaugeMm = gauges[i]
		}
		if i < len(each) {
			g := &s.Strings[i]
			each[i].fill("note", &g.Note, "frequency", &g.FrequencyHz, "gauge", &g.GaugeMm, "construction", &g.Construction, "material", &g.Material,
				"winding", &g.Winding, "core", &g.CoreMm, "hex_core", &g.HexCore, "unit_mass", &g.UnitMassGPerM, "stretch", &g.StretchR)
		}
	}
}

// modulusAndDensity are the stiffness of a table's wood in GPa, or the maker's
// own, and the wood's density at 12 % moisture in kg/m³, or as weighed.
func modulusAndDensity(t table) (gpa, density float64) {
	key, own := t.text("wood"), t.number("modulus")
	species, err := wood.Find(key)
	if err != nil {
		panic("project: read before check: " + err.Error())
	}
	if density = t.number("density"); density == 0 {
		density = species.Density(12)
	}
	if own > 0 {
		return own, density
	}
	if species.MOE == 0 {
		t.wrong("wood", "the wood table has no stiffness for "+species.Common, "write modulus = ... in GPa as well, or choose another wood")
	}
	return species.MOE / 1000, density
}

// readSeat reads the four sizes of which one follows from the others.
func (p *Project) readSeat(t, bridge table) {
	j := &p.Neck.Joint
	j.NoDefaults = true // all of them are here
	pocket := t.sub("pocket")
	t.fill("joint_fret", &j.JointFret, "heel_height", &j.HeelMm, "bridge_height", &j.BridgeMm, "solve", &j.Solve)
	pocket.fill("depth", &j.PocketMm, "length", &j.PocketLengthMm)
	j.NeckAngleDeg = degrees(t.number("angle"))
	kind := body.BridgeKind(bridge.text("kind"))
	posts := kind == body.TwoPost || kind == body.WrapOver
	given := map[string]bool{"angle": t.has("angle"), "pocket": pocket.has("depth"), "heel": t.has("heel_height"), "bridge": t.has("bridge_height")}
	order := []string{"pocket", "bridge", "angle", "heel"}
	if posts { // they are too high for a neck without an angle
		order = []string{"angle", "pocket", "bridge", "heel"}
	}
	for _, name := range order {
		if j.Solve == "" && !given[name] {
			j.Solve = name
		}
	}
	key := map[string]string{"angle": t.at("angle"), "pocket": pocket.at("depth"), "heel": t.at("heel_height"), "bridge": t.at("bridge_height")}
	switch {
	case j.Solve == "":
		t.wrong("angle", "angle, pocket depth, heel height and bridge height are all given", "leave one out, or say with solve which follows from the others")
	case given[j.Solve]:
		t.r.problems = append(t.r.problems, t.r.Problem(key[j.Solve], "it is given, but is also what solve asks for", "leave it out, or name another in solve"))
	}
	if !given["bridge"] {
		// Typical saddle heights by kind: common practice, from memory.
		j.BridgeMm = map[body.BridgeKind]float64{body.TwoPost: 18, body.WrapOver: 15, body.Vibrato: 11}[kind]
		if j.BridgeMm == 0 {
			j.BridgeMm = 12
		}
	}
	if !given["pocket"] {
		j.PocketMm = 16
	}
}

// neckKey finds the key that a message of the neck engine is about; the
// engine names one thing, near the beginning.
func neckKey(message string, top table) string {
	if rest, ok := strings.CutPrefix(message, "string "); ok {
		n, _, _ := strings.Cut(rest, ":")
		for _, list := range []string{"string", "gauges", "tuning"} {
			if top.r.Has("strings." + list) {
				return fmt.Sprintf("strings.%s[%s]", list, n)
			}
		}
		return "strings"
	}
	for _, k := range []struct{ words, key string }{
		{"heel height", "neck.heel_height"}, {"fretboard radius", "neck.board.radius"}, {"fretboard thickness", "neck.board.thickness"},
		{"action measured", "neck.setup.action_fret"}, {"action on the treble", "neck.setup.action_treble"}, {"action on the bass", "neck.setup.action_bass"},
		{"intonation", "neck.intonation.frets"}, {"weight", "neck.intonation.weights"}, {"finger", "neck.intonation.finger"},
		{"nut height", "neck.intonation.nut_height"}, {"saddle's rise", "neck.intonation.saddle_rise"},
		{"scarf", "neck.blank.scarf"}, {"headstock layout", "neck.headstock.layout"}, {"headstock split", "neck.headstock.bass_posts"}, {"headstock", "neck.blank"},
		{"first post", "neck.headstock.first"}, {"post spacing", "neck.headstock.spacing"}, {"post row", "neck.headstock"},
		{"at fret 1", "neck.back.first"}, {"at the heel", "neck.back.heel"},
		{"joint at fret", "neck.joint_fret"}, {"pocket depth", "neck.pocket.depth"}, {"pocket length", "neck.pocket.length"},
		{"bridge height", "neck.bridge_height"}, {"neck angle", "neck.angle"}, {"saddle travel", "body.bridge.saddle_travel"},
		{"scale", "scale"}, {"fret", "scale"}, {"strings", "strings"}, {"spread", "strings"},
	} {
		if strings.Contains(message, k.words) {
			return k.key
		}
	}
	return "neck"
}

// inBody is a point of the neck frame in the body frame, in plan.
func inBody(seat neck.Seat, q fret.Point) (u, v float64) {
	u, v, _ = seat.Body(q.U, q.V, 0)
	return u, v
}
