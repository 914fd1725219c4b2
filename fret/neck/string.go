package neck

import (
	"fmt"
	"math"
)

// LbfPerNewton turns newtons into pounds-force: 1 lbf = 4.4482216152605 N.
const LbfPerNewton = 1 / 4.4482216152605

// StringSpec is one string as a maker knows it. Only a pitch or nothing at
// all need be given; String says what is assumed for the rest.
type StringSpec struct {
	// Note is the open pitch by name; FrequencyHz in its place for any other.
	Note        string
	FrequencyHz float64
	// GaugeMm is the outside diameter.
	GaugeMm float64
	// Construction is "plain" or "wound"; empty: wound from 0.53 mm in steel
	// and below 170 Hz in nylon, fluorocarbon and gut.
	Construction string
	// Material of a plain string or of a wound one's core. Default steel.
	Material string
	// Winding is a wound string's wrap. Default nickel-plated steel over
	// steel, copper over the others.
	Winding string
	// CoreMm is a wound string's core: its diameter, or across the flats when
	// HexCore. Default: see DefaultCore.
	CoreMm  float64
	HexCore bool
	// UnitMassGPerM is a measured mass per length, in place of the computed.
	UnitMassGPerM float64
	// StretchR is a measured relative change of pitch over relative change of
	// length, d ln f / d ln L, in place of the modulus.
	StretchR float64
}

// String is one string worked out.
type String struct {
	Number        int // 1 is the highest
	Note          string
	FrequencyHz   float64
	NoteOffCents  float64 // frequency above the named note
	ScaleMm       float64 // its own scale length
	GaugeMm       float64
	Wound         bool
	CoreMm        float64 // the gauge of a plain string
	HexCore       bool
	Material      string
	Winding       string // "" when plain
	UnitMassGPerM float64
	MassMeasured  bool
	// TensionN is for the scale without setbacks.
	TensionN   float64
	TensionLbf float64
	// StressMPa is the tension over the core's section; StrengthMPa what it
	// bears at least; StressShare their ratio, 0 where strength is not known.
	StressMPa, StrengthMPa, StressShare float64
	// StretchMm is how much the string stretches over its scale length from
	// slack to pitch.
	StretchMm float64
	// StretchNumber is K = E A / T of the core, BendingNumber
	// B = sqrt(E I / (T L²)); see Intonation.
	StretchNumber, BendingNumber float64
	Cautions                     []string
}

// DefaultCore is the core assumed for a wound string of an outside diameter,
// in millimetres. Steel: 0.30 + 0.115 D, at most 0.6 D (from memory of usual
// sets; measure a cut end where it matters). Nylon,
// fluorocarbon and gut: a core of 0.47 mm, at most 0.65 D, which gives the
// unit masses of the wound strings in Anderson and Beausoleil (2024) within
// 8 percent.
func DefaultCore(material string, gaugeMm float64) float64 {
	if material == "steel" {
		return math.Min(0.30+0.115*gaugeMm, 0.6*gaugeMm)
	}
	return math.Min(0.47, 0.65*gaugeMm)
}

// PlainUnitMass is ρ π d²/4 in g/m, for g/cm³ and mm.
func PlainUnitMass(densityGCm3, diameterMm float64) float64 {
	return densityGCm3 * math.Pi * diameterMm * diameterMm / 4
}

// WoundUnitMass is core plus one layer of round wire wound tight, in g/m:
//
//	ρ_c A_core + ρ_w (π w²/4) sqrt(1 + (π (d + w)/w)²),  w = (D − d)/2
//
// which is the wire's section times its length per length of string. d is the
// core's diameter; for a hexagonal core of a across flats the winding bears on
// the corners, taken at the mean (a + 1.155 a)/2. It runs a few percent high
// there, as the wire sinks in. Geometry after the usual description: M.
// Zollner, Physics of the Electric Guitar, section 1.2.
func WoundUnitMass(core, winding Material, outsideMm, coreMm float64, hex bool) float64 {
	area, d := coreSection(coreMm, hex)
	w := (outsideMm - d) / 2
	turns := math.Pi * (d + w) / w
	return core.DensityGCm3*area + winding.DensityGCm3*math.Pi*w*w/4*math.Sqrt(1+turns*turns)
}

// coreSection is a core's area in mm² and the diameter the winding bears on.
func coreSection(coreMm float64, hex bool) (area, diameter float64) {
	if hex {
		return math.Sqrt(3) / 2 * coreMm * coreMm, coreMm * (1 + 2/math.Sqrt(3)) / 2
	}
	return math.Pi * coreMm * coreMm / 4, coreMm
}

// Tension is μ (2 L f)² in newtons, for g/m, mm and Hz (Mersenne, Harmonie
// universelle, 1636).
func Tension(unitMassGPerM, scaleMm, frequencyHz float64) float64 {
	v := 2 * scaleMm / 1000 * frequencyHz
	return unitMassGPerM / 1000 * v * v
}

// MeasuredR is R = d ln f / d ln L from a string tuned over a range on the
// instrument: a mark on the string, markMm from the saddle, moves by movedMm
// while the pitch changes by cents (Anderson and Beausoleil, 2024: mark near
// fret 1, about 3 mm of movement). Strings that tune easily have 20 to 30.
func MeasuredR(markMm, movedMm, cents float64) float64 {
	return markMm / movedMm * cents * math.Ln2 / 1200
}

// fill puts defaults into s: targetN is the pull a string without a gauge is
// chosen for.
func (s StringSpec) fill(scaleMm, targetN float64) StringSpec {
	if s.Material == "" {
		s.Material = "steel"
	}
	core, _ := MaterialByName(s.Material)
	s.Material = core.Name
	isSteel := core.StrengthMPa == 0
	if s.GaugeMm == 0 {
		s.GaugeMm = s.chooseGauge(scaleMm, targetN)
	}
	if s.Construction == "" {
		s.Construction = "plain"
		if (isSteel && s.GaugeMm >= 0.53) || (!isSteel && s.FrequencyHz < 170) {
			s.Construction = "wound"
		}
	}
	if s.Construction == "wound" {
		if s.Winding == "" {
			s.Winding = "copper"
			if isSteel {
				s.Winding = "nickel-plated steel"
			}
		}
		if s.CoreMm == 0 {
			s.CoreMm = DefaultCore(s.Material, s.GaugeMm)
		}
	}
	return s
}

// chooseGauge finds the gauge whose pull comes nearest to targetN (or whose
// mass comes nearest to the measured one): whole
// thousandths of an inch in steel, hundredths of a millimetre otherwise.
func (s StringSpec) chooseGauge(scaleMm, targetN float64) float64 {
	step := 0.0254
	if s.Material != "steel" {
		step = 0.01
	}
	// The pull rises with the gauge but for the change from plain to wound;
	// it stops at 4.9 mm, the thickest string taken.
	best, miss := 0.0, math.Inf(1)
	for n := 7; n <= 500; n++ {
		try := s
		if try.GaugeMm = float64(n) * step; try.GaugeMm > 4.9 {
			break
		}
		try = try.fill(scaleMm, targetN)
		d := math.Abs(Tension(try.unitMass(), scaleMm, s.FrequencyHz) - targetN)
		if s.UnitMassGPerM > 0 { // the pull is known; find the gauge that weighs so
			measured := s.UnitMassGPerM
			try.UnitMassGPerM = 0
			d = math.Abs(try.unitMass() - measured)
		}
		if d < miss {
			best, miss = try.GaugeMm, d
		}
	}
	return best
}

// unitMass of a filled spec.
func (s StringSpec) unitMass() float64 {
	if s.UnitMassGPerM > 0 {
		return s.UnitMassGPerM
	}
	core, _ := MaterialByName(s.Material)
	if s.Construction != "wound" {
		return PlainUnitMass(core.DensityGCm3, s.GaugeMm)
	}
	winding, _ := MaterialByName(s.Winding)
	return WoundUnitMass(core, winding, s.GaugeMm, s.CoreMm, s.HexCore)
}

// check says what is wrong with a string of which the frequency is known.
func (s StringSpec) check() error {
	bad := func(name string, v, low, high float64, unit string) error {
		if v != 0 && (math.IsNaN(v) || v < low || v > high) {
			return fmt.Errorf("%s of %g %s: it must lie between %g and %g %s", name, v, unit, low, high, unit)
		}
		return nil
	}
	for _, err := range []error{
		bad("a gauge", s.GaugeMm, 0.1, 5, "mm"),
		bad("a core", s.CoreMm, 0.1, 4, "mm"),
		bad("a unit mass", s.UnitMassGPerM, 0.01, 500, "g/m"),
		bad("a stretch number R", s.StretchR, 1, 1000, ""),
		bad("a frequency", s.FrequencyHz, 10, 5000, "Hz"),
	} {
		if err != nil {
			return err
		}
	}
	switch s.Construction {
	case "", "plain", "wound":
	default:
		return fmt.Errorf("construction %q is not known: write plain or wound", s.Construction)
	}
	for _, name := range []string{s.Material, s.Winding} {
		if name != "" {
			if _, err := MaterialByName(name); err != nil {
				return err
			}
		}
	}
	if s.CoreMm != 0 && s.GaugeMm != 0 {
		if _, d := coreSection(s.CoreMm, s.HexCore); d >= s.GaugeMm-0.02 {
			return fmt.Errorf("a core of %g mm leaves no room for a winding in a gauge of %g mm", s.CoreMm, s.GaugeMm)
		}
	}
	return nil
}

// Cautions stand at these shares of the least strength. The first is common
// practice, no source; plain strings of high pitch reach 0.5 to 0.6 in use.
const (
	stressCaution = 0.75
	stressBreaks  = 1.0
)

// work turns a filled, checked spec into a String.
func (s StringSpec) work(number int, scaleMm, a4 float64) String {
	core, _ := MaterialByName(s.Material)
	out := String{
		Number: number, FrequencyHz: s.FrequencyHz, ScaleMm: scaleMm, GaugeMm: s.GaugeMm,
		Wound: s.Construction == "wound", CoreMm: s.GaugeMm, Material: s.Material,
		UnitMassGPerM: s.unitMass(), MassMeasured: s.UnitMassGPerM > 0,
	}
	note, off := NearestNote(s.FrequencyHz, a4)
	out.Note, out.NoteOffCents = note.String(), off
	if math.Abs(off) < 1e-9 {
		out.NoteOffCents = 0
	}
	if out.Wound {
		out.CoreMm, out.HexCore, out.Winding = s.CoreMm, s.HexCore, s.Winding
	}
	out.TensionN = Tension(out.UnitMassGPerM, scaleMm, s.FrequencyHz)
	out.TensionLbf = out.TensionN * LbfPerNewton

	// Stretch and bending by the core alone: the winding opens like a spring.
	// Wound strings on other cores than steel have strands that slide on each
	// other; their modulus in the table is an effective one for the outside
	// radius, so they are taken as a solid of it.
	area, radius := math.Pi*out.CoreMm*out.CoreMm/4, out.CoreMm/2
	if out.HexCore {
		// Regular hexagon, a across flats: A = (√3/2) a², I = (5√3/144) a⁴. A round
		// section has I/A = r²/4: the radius is that of the same I/A.
		second := 5 * math.Sqrt(3) / 144 * math.Pow(out.CoreMm, 4)
		area = math.Sqrt(3) / 2 * out.CoreMm * out.CoreMm
		radius = 2 * math.Sqrt(second/area)
	}
	stressArea := area
	if core.Name != "steel" && core.StrengthMPa != 0 && out.Wound {
		radius = out.GaugeMm / 2
		area = math.Pi * radius * radius
	}
	modulus := core.ModulusGPa
	if core.StrengthMPa != 0 && out.Wound {
		modulus = 5.6 // mean of eighteen wound strings, 3.1 to 10.7, same source as nylon
	}
	out.StretchNumber = modulus * 1000 * area / out.TensionN
	if s.StretchR > 0 {
		out.StretchNumber = 2*s.StretchR + 1
	}
	out.BendingNumber = math.Sqrt(out.StretchNumber) * radius / (2 * scaleMm)
	out.StretchMm = scaleMm / out.StretchNumber
	out.StressMPa = out.TensionN / stressArea
	out.StrengthMPa = core.StrengthMPa
	if core.Name == "steel" {
		out.StrengthMPa = WireStrength(out.CoreMm)
	}
	if out.Wound && core.StrengthMPa != 0 {
		out.StrengthMPa = 0 // a core of strands: section and strength are not known
	}
	if out.StrengthMPa > 0 {
		out.StressShare = out.StressMPa / out.StrengthMPa
	}
	switch {
	case out.StressShare >= stressBreaks:
		out.Cautions = append(out.Cautions, fmt.Sprintf("string %d would break before it reaches %s: %.0f MPa of at least %.0f; tune lower or shorten the scale", number, out.Note, out.StressMPa, out.StrengthMPa))
	case out.StressShare >= stressCaution:
		out.Cautions = append(out.Cautions, fmt.Sprintf("string %d is near its strength: %.0f of at least %.0f MPa (%.0f percent); wear eye protection, and expect it to break early", number, out.StressMPa, out.StrengthMPa, 100*out.StressShare))
	}
	return out
}
