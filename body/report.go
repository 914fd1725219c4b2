package body

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"slabwright/body/geom"
	"slabwright/fret/measure"
)

// Setting is what a report needs to know beside the body.
type Setting struct {
	Wood     []DensityRegion
	Moisture float64 // percent of oven-dry mass, of regions that do not say theirs; default 12
	Strap    Strap
}

// Report is what one can say about a body. Its JSON keys are a contract; see
// the fields' comments for those that others rely on.
type Report struct {
	Area      float64 `json:"area_mm2"`      // of the finished outline
	Perimeter float64 `json:"perimeter_mm"`  // of the finished outline
	Length    float64 `json:"length_mm"`     // along u
	Width     float64 `json:"width_mm"`      // along v
	UpperBout float64 `json:"upper_bout_mm"` // 0, as the waist, when the outline has no waist
	Waist     float64 `json:"waist_mm"`
	LowerBout float64 `json:"lower_bout_mm"`
	Thickness float64 `json:"thickness_mm"`
	Volume    float64 `json:"wood_volume_mm3"`

	Mass     float64 `json:"mass_kg"`      // the strung instrument
	BodyMass float64 `json:"body_mass_kg"` // the bare body, wood only
	Finish   float64 `json:"finish_kg"`
	// FinishedMM2 is the surface that the finish covers; cavities are bare.
	FinishedMM2 float64    `json:"finished_mm2"`
	Hardware    float64    `json:"hardware_kg"`          // with the neck
	Parts       []PartMass `json:"masses"`               // what makes up Hardware
	CG          [3]float64 `json:"centre_of_gravity_mm"` // u, v, w of the strung instrument
	BodyCG      [3]float64 `json:"body_centre_of_gravity_mm"`

	Moisture     float64      `json:"moisture_percent"`       // of all wood: its water over its oven-dry mass
	MoistureSpan [2]float64   `json:"moisture_range_percent"` // driest and wettest piece
	PerPoint     float64      `json:"kg_per_moisture_point"`  // of wood
	UncoveredMM2 float64      `json:"uncovered_mm2"`          // of the outline that no wood covers
	WoodByRegion []RegionMass `json:"wood"`

	// HangAngle is degrees of the neck over level; null when it turns over or
	// cannot hang, and then Balance says why.
	HangAngle     *float64       `json:"hang_angle_deg"`
	EqualPull     *float64       `json:"equal_pull_deg"` // nearest to level where both parts of the strap pull alike, though it may not stay there
	HangRange     *[2]float64    `json:"hang_range_deg"` // what friction may hold
	Friction      float64        `json:"friction"`       // at which the range holds
	LevelFriction *float64       `json:"level_friction"` // the least coefficient that holds it level; null when none does
	Balance       string         `json:"balance"`
	WhatIfs       []ReportWhatIf `json:"what_if"`

	// SmallestInside is the smallest radius where the outline turns inward;
	// null when it never does.
	SmallestInside   *float64    `json:"smallest_inside_radius_mm"`
	SmallestInsideAt *[2]float64 `json:"smallest_inside_radius_at_mm"`

	Nodes  []Node        `json:"nodes"`
	OK     bool          `json:"ok"`
	Checks []ReportCheck `json:"checks"`

	farFromNodes []string // pickups that no node lies near
}

// RegionMass is the body's wood in one region.
type RegionMass struct {
	Name        string  `json:"name"`
	Grams       float64 `json:"mass_g"`
	MoisturePct float64 `json:"moisture_percent"`
}

// PartMass is a part that is not of the body's wood.
type PartMass struct {
	Name  string     `json:"name"`
	Grams float64    `json:"mass_g"`
	At    [3]float64 `json:"at_mm"`
}

// ReportWhatIf is a WhatIf in degrees.
type ReportWhatIf struct {
	Change        string   `json:"change"`
	Angle         float64  `json:"hang_angle_deg"`
	LevelFriction *float64 `json:"level_friction"`
}

// ReportCheck is a Check as other programs read it.
type ReportCheck struct {
	Name    string     `json:"name"`
	OK      bool       `json:"ok"`
	Margin  float64    `json:"margin_mm"`
	Need    float64    `json:"need_mm"`
	At      [3]float64 `json:"at_mm"`
	Message string     `json:"message"`
}

// triple adds 0, as a mirrored −0 would be written "-0".
func triple(p geom.Point3) [3]float64 { return [3]float64{p.X + 0, p.Y + 0, p.Z + 0} }

// NewReport measures, weighs, hangs and checks the body.
func (b *Body) NewReport(s Setting) (*Report, error) {
	cuts := b.removals()
	wood, err := b.weigh(s.Wood, cuts)
	if err != nil {
		return nil, err
	}
	m := b.measures
	r := &Report{
		Area: m.Area, Perimeter: m.Perimeter, Length: m.Length, Width: m.Width, Thickness: b.Thickness,
		UpperBout: m.UpperBout.Width, Waist: m.Waist.Width, LowerBout: m.LowerBout.Width,
		Volume: wood.Volume, BodyMass: wood.Grams / 1000, BodyCG: triple(wood.Centre()),
		UncoveredMM2: wood.Uncovered, MoistureSpan: [2]float64{math.Inf(1), math.Inf(-1)},
	}
	// Moisture content is water over oven-dry mass, so a point more adds a
	// hundredth of the dry mass.
	dry := 0.0
	for i, h := range wood.ByRegion {
		pct := or(s.Wood[i].MoisturePct, or(s.Moisture, 12))
		if !(pct > 0 && pct <= 30) {
			return nil, fmt.Errorf("moisture: %g %%; give 0 to 30, above which the cells hold free water", pct)
		}
		if h.Grams > 0 {
			r.WoodByRegion = append(r.WoodByRegion, RegionMass{s.Wood[i].Name, h.Grams, pct})
			r.MoistureSpan = [2]float64{math.Min(r.MoistureSpan[0], pct), math.Max(r.MoistureSpan[1], pct)}
			dry += h.Grams / (1 + pct/100)
		}
	}
	if dry > 0 {
		r.Moisture, r.PerPoint = 100*(wood.Grams/dry-1), dry/1000/100
	} else { // it lies beside the wood
		r.Moisture = or(s.Moisture, 12)
		r.MoistureSpan = [2]float64{r.Moisture, r.Moisture}
	}
	coat, coated := b.coat(cuts)
	r.Finish, r.FinishedMM2 = coat.Grams/1000, coated
	all := wood.Heft.Add(coat)
	for _, m := range b.Masses {
		all = all.Add(m.heft())
		r.Hardware += m.Grams / 1000
		r.Parts = append(r.Parts, PartMass{m.Name, m.Grams, triple(m.At)})
	}
	r.Mass, r.CG = all.Grams/1000, triple(all.Centre())

	switch hang, err := b.Hang(all.Centre(), s.Strap); {
	case err != nil:
		r.Balance = err.Error()
	default:
		r.Balance = hang.Words()
		if hang.Rests {
			a := hang.Angle * 180 / math.Pi
			equal := hang.EqualPull * 180 / math.Pi
			r.HangAngle, r.EqualPull, r.Friction = &a, &equal, hang.Friction
			if !math.IsInf(hang.LevelFriction, 1) {
				r.LevelFriction = &hang.LevelFriction
			}
			r.HangRange = &[2]float64{hang.Low * 180 / math.Pi, hang.High * 180 / math.Pi}
			for _, w := range b.WhatIfs(all, s.Strap) {
				i := ReportWhatIf{Change: w.Change, Angle: w.Angle * 180 / math.Pi}
				if !math.IsInf(w.LevelFriction, 1) {
					i.LevelFriction = &w.LevelFriction
				}
				r.WhatIfs = append(r.WhatIfs, i)
			}
		}
	}
	if m := b.measures; !math.IsInf(m.SmallestInsideRadius, 1) {
		r.SmallestInside, r.SmallestInsideAt = &m.SmallestInsideRadius, &[2]float64{m.SmallestInsideAt.X + 0, m.SmallestInsideAt.Y + 0}
	}
	r.Nodes = b.Nodes()
	for _, p := range b.Pickups {
		if !slices.ContainsFunc(r.Nodes, func(n Node) bool { return n.Pickup == p.Name }) && len(p.Coils) > 0 {
			r.farFromNodes = append(r.farFromNodes, p.Name)
		}
	}
	r.OK = true
	for _, c := range b.Check() {
		r.OK = r.OK && c.OK
		r.Checks = append(r.Checks, ReportCheck{c.Name, c.OK, c.Margin, c.Need, triple(c.At), c.Message})
	}
	return r, nil
}

// Write prints the report for a reader, lengths in u: measures, weight,
// balance, pickups and checks, failed ones first.
func (r *Report) Write(out io.Writer, u measure.Unit) error {
	l := func(mm float64) string { return measure.Length(mm).Format(u) }
	n := func(mm float64) string { return measure.Length(mm).Number(u) }
	m := func(kg float64) string { return measure.Mass(kg * 1000).Format(u) }
	w := tabwriter.NewWriter(out, 0, 4, 2, ' ', 0)
	row := func(name, format string, args ...any) { fmt.Fprintf(w, "%s\t%s\n", name, fmt.Sprintf(format, args...)) }
	row("length × width × thickness", "%s × %s × %s", l(r.Length), l(r.Width), l(r.Thickness))
	wood := fmt.Sprintf("%.0f cm³", r.Volume/1000)
	if u == measure.Inches {
		wood = fmt.Sprintf("%.1f in³", r.Volume/(25.4*25.4*25.4))
	}
	area := func(mm2 float64) string { return measure.Area(mm2).Format(u) }
	if r.Waist > 0 {
		row("upper bout, waist, lower bout", "%s, %s, %s", l(r.UpperBout), l(r.Waist), l(r.LowerBout))
	}
	row("area", "%s", area(r.Area))
	row("perimeter", "%s", l(r.Perimeter))
	if r.SmallestInside != nil {
		row("smallest inside radius", "%s at u %s, v %s", l(*r.SmallestInside), n(r.SmallestInsideAt[0]), n(r.SmallestInsideAt[1]))
	}
	row("wood", "%s", wood)
	moisture := fmt.Sprintf("%.3g %% moisture", r.Moisture)
	if lo, hi := r.MoistureSpan[0], r.MoistureSpan[1]; lo != hi {
		moisture = fmt.Sprintf("its pieces' moisture of %.3g to %.3g %%", lo, hi)
	}
	row("bare body", "%s at %s, %s more for each point", m(r.BodyMass), moisture, m(r.PerPoint))
	row("finish", "%s over %s; cavities and the neck pocket stay bare", m(r.Finish), area(r.FinishedMM2))
	row("neck and hardware", "%s", m(r.Hardware))
	for _, p := range r.Parts {
		if p.Grams >= 20 {
			row("  "+p.Name, "%s at u %s, v %s, w %s", m(p.Grams/1000), n(p.At[0]), n(p.At[1]), n(p.At[2]))
		}
	}
	row("strung instrument", "%s", m(r.Mass))
	row("centre of gravity", "u %s, v %s, w %s", n(r.CG[0]), n(r.CG[1]), l(r.CG[2]))
	row("balance", "%s", r.Balance)
	for _, i := range r.WhatIfs {
		level := "nothing holds it level"
		if i.LevelFriction != nil {
			level = fmt.Sprintf("level from a friction of %.2f", *i.LevelFriction)
		}
		row("  "+i.Change, "%+.1f°, %s", i.Angle, level)
	}
	if r.UncoveredMM2 > 1 {
		row("warning", "%s of the outline lie on no wood and are not weighed", area(r.UncoveredMM2))
	}
	for i, k := range r.Nodes {
		if i > 0 && k.alike(r.Nodes[i-1]) { // told with it
			continue
		}
		words := k.Words(u)
		if i+1 < len(r.Nodes) && r.Nodes[i+1].alike(k) {
			words = strings.Replace(words, fmt.Sprintf("string %d ", k.String), fmt.Sprintf("strings %d and %d ", k.String, r.Nodes[i+1].String), 1)
		}
		row(k.Pickup, "%s", words)
	}
	for _, p := range r.farFromNodes {
		row(p, "no coil lies near a node of harmonics 2 to 12")
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, want := range []bool{false, true} {
		for _, c := range r.Checks {
			if c.OK != want {
				continue
			}
			word := "ok  "
			if !c.OK {
				word = "FAIL"
			}
			if _, err := fmt.Fprintf(out, "%s  %s: %s; margin %s, need %s, at u %s, v %s, w %s\n", word, c.Name, c.Message, l(c.Margin), l(c.Need), n(c.At[0]), n(c.At[1]), n(c.At[2])); err != nil {
				return err
			}
		}
	}
	return nil
}

// Node is a place on an open string where one of its harmonics stands still,
// near a pickup's coil: the pickup hears that harmonic little.
type Node struct {
	Pickup   string  `json:"pickup"`
	Coil     int     `json:"coil"`   // 1 nearest the neck
	String   int     `json:"string"` // 1 is the highest
	Harmonic int     `json:"harmonic"`
	Index    int     `json:"node"`   // the Index-th node from the saddle
	Off      float64 `json:"off_mm"` // from the node to the coil, > 0 when the coil lies toward the neck
}

// Words says where the coil lies.
func (n Node) Words(u measure.Unit) string {
	where := "on"
	if off := measure.Length(math.Abs(n.Off)); off >= 0.05 {
		side := "toward the neck"
		if n.Off < 0 {
			side = "toward the bridge"
		}
		where = off.Format(u) + " " + side + " of"
	}
	return fmt.Sprintf("coil %d hears little of harmonic %d: it lies %s that node, at %d/%d of string %d from the saddle",
		n.Coil, n.Harmonic, where, n.Index, n.Harmonic, n.String)
}

// alike tells whether two nodes differ by no more than their strings.
func (n Node) alike(o Node) bool {
	off := math.Abs(n.Off - o.Off)
	n.String, n.Off = o.String, o.Off
	return n == o && off < 0.05
}

// nodeReach is how near to a node a coil must lie to be told, in mm; about
// half of what a coil "sees" along the string. Common practice, from memory.
const nodeReach = 4.0

// Nodes lists the nodes of harmonics 2 to 12 that coils lie near, on the
// highest and the lowest string, uncompensated and open. The k-th node of
// harmonic n lies at k/n of the string's length from the saddle (an ideal
// string, Mersenne, Harmonie universelle, 1636).
func (b *Body) Nodes() []Node {
	var out []Node
	ends := []int{1, len(b.Strings)}
	if ends[1] == 1 {
		ends = ends[:1]
	}
	for _, p := range b.Pickups {
		for i, coil := range p.Coils {
			for n := 2; n <= 12; n++ {
				for _, s := range ends {
					l := b.Strings[s-1]
					dir, across := l.A.Sub(l.B), coil.B.Sub(coil.A)
					det := dir.Cross(across)
					if det == 0 {
						continue
					}
					f := coil.A.Sub(l.B).Cross(across) / det // fraction of the string from the saddle
					k := int(math.Round(f * float64(n)))
					if k < 1 || k >= n || gcd(k, n) > 1 { // shared nodes belong to the lower harmonic
						continue
					}
					if off := (f - float64(k)/float64(n)) * dir.Len(); math.Abs(off) <= nodeReach {
						out = append(out, Node{p.Name, i + 1, s, n, k, off})
					}
				}
			}
		}
	}
	return out
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
