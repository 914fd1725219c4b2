package neck_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/fret/neck"
)

func TestNotesAgainstTable(t *testing.T) {
	for _, row := range table(t, "note_frequencies.csv") {
		n, err := neck.ParseNote(row["note"])
		require.NoError(t, err, row["note"])
		assert.EqualValues(t, number(t, row["midi"]), n)
		assert.InDelta(t, number(t, row["frequency_hz"]), n.Frequency(neck.A4), 5.1e-7, row["note"])
		assert.Equal(t, row["note"], n.String())
		near, off := neck.NearestNote(n.Frequency(neck.A4), neck.A4)
		assert.Equal(t, n, near)
		assert.InDelta(t, 0, off, 1e-9)
	}
	flat, err := neck.ParseNote("B♭1")
	require.NoError(t, err)
	assert.Equal(t, "A#1", flat.String())
	for _, bad := range []string{"", "H2", "E", "E99", "E-7", ".3", "Ex", "E+2", "E##########9"} {
		_, err := neck.ParseNote(bad)
		assert.ErrorContains(t, err, "is not known", bad)
	}
	for text, hz := range map[string]float64{"A4": 440, "82.41 Hz": 82.41, "110hz": 110} {
		f, err := neck.ParsePitch(text, neck.A4)
		require.NoError(t, err)
		assert.InDelta(t, hz, f, 1e-9)
	}
	for _, bad := range []string{"NaN Hz", "-3 Hz", "9999999 Hz", "loud Hz", "Hz", "C-1"} {
		_, err := neck.ParsePitch(bad, neck.A4)
		assert.Error(t, err, bad)
	}
}

func FuzzParsePitch(f *testing.F) {
	for _, s := range []string{"E4", "F#1", "Bb3", "82.41 Hz", "C♯-1", "hz", "Ebbb2"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if hz, err := neck.ParsePitch(s, neck.A4); err == nil && !(hz >= 10 && hz <= 5000) {
			t.Fatalf("%q read as %v", s, hz)
		}
		n, err := neck.ParseNote(s)
		if err != nil {
			return
		}
		if again, err := neck.ParseNote(n.String()); err != nil || again != n {
			// Many flats under C-1 leave the octaves that can be written.
			if n >= 0 && n < 132 {
				t.Fatalf("%q is %v, written and read again %v (%v)", s, n, again, err)
			}
		}
	})
}

// Plain steel: mass computed from 7.85 g/cm³; strength as listed for ASTM A228
// class wire.
func TestPlainSteelTable(t *testing.T) {
	steel, err := neck.MaterialByName("steel")
	require.NoError(t, err)
	for _, row := range table(t, "plain_steel_strings.csv") {
		d := number(t, row["diameter_mm"])
		assert.InDelta(t, number(t, row["mass_per_length_g_per_m"]), neck.PlainUnitMass(steel.DensityGCm3, d), 6e-6)
		if row["a228_tensile_min_ksi"] == "" {
			continue
		}
		strength := neck.WireStrength(d)
		assert.InDelta(t, number(t, row["a228_tensile_min_ksi"]), strength/6.894757293168361, 1e-6)
		assert.InDelta(t, number(t, row["breaking_load_at_min_n"]), strength*math.Pi*d*d/4, 0.06)
	}
}

// Densities and moduli agree with the table of properties with sources.
func TestMaterialsAgainstTable(t *testing.T) {
	named := map[string]string{
		"music wire (ASTM A228)": "steel", "phosphor bronze C51000": "phosphor bronze",
		"80/20 copper-zinc (red brass, sold as bronze)": "bronze", "nickel, commercially pure": "nickel",
		"nickel-plated steel winding wire": "nickel-plated steel", "stainless steel 302": "stainless steel",
		"copper (silver-plated winding on nylon strings)": "copper", "nylon string, settled on the instrument": "nylon",
		"fluorocarbon string": "fluorocarbon", "gut": "gut",
	}
	seen := 0
	for _, row := range table(t, "string_materials.csv") {
		name, ok := named[row["material"]]
		if !ok {
			continue
		}
		seen++
		m, err := neck.MaterialByName(name)
		require.NoError(t, err)
		assert.InDelta(t, number(t, row["density_typical_g_cm3"]), m.DensityGCm3, 1e-9, name)
		if low := row["modulus_low_gpa"]; low != "" {
			assert.GreaterOrEqual(t, m.ModulusGPa, number(t, low), name)
			assert.LessOrEqual(t, m.ModulusGPa, number(t, row["modulus_high_gpa"]), name)
		}
	}
	assert.Len(t, named, seen)
	_, err := neck.MaterialByName("cheese")
	assert.ErrorContains(t, err, "write one of steel")
}

// The check number of a plain .010 in string at E4 on 648 mm: μ 0.39776 g/m,
// T 72.6 N (16.3 lbf), stress 1.43 GPa or 54 percent of the least breaking
// load; with E = 190 GPa, K = 133 and B = 0.00113.
func TestPlainSteelString(t *testing.T) {
	r := work(t, neck.Spec{Strings: []neck.StringSpec{{Note: "E4", GaugeMm: 0.254}}})
	s := r.Strings[0]
	assert.False(t, s.Wound)
	assert.InDelta(t, 0.39776, s.UnitMassGPerM, 1e-5)
	assert.InDelta(t, 72.6, s.TensionN, 0.05)
	assert.InDelta(t, 16.3, s.TensionLbf, 0.05)
	assert.InDelta(t, 1430, s.StressMPa, 5)
	assert.InDelta(t, 0.54, s.StressShare, 0.005)
	assert.InDelta(t, 133, s.StretchNumber, 0.5)
	assert.InDelta(t, 0.00113, s.BendingNumber, 5e-6)
	assert.InDelta(t, 648/s.StretchNumber, s.StretchMm, 1e-9)
	// The same in inch units: T[lbf] = w (2 L f)² / 386.09.
	assert.InDelta(t, 2.22738e-5*math.Pow(2*648/25.4*329.6276, 2)/386.09, s.TensionLbf, 0.01)
}

func TestStressCaution(t *testing.T) {
	long := neck.Spec{ScaleMm: 864, Strings: []neck.StringSpec{{Note: "E4", GaugeMm: 0.254}}}
	s := work(t, long).Strings[0]
	require.Len(t, s.Cautions, 1)
	assert.Contains(t, s.Cautions[0], "near its strength")
	long.Strings[0].Note = "G4"
	s = work(t, long).Strings[0]
	assert.Contains(t, s.Cautions[0], "would break")
}

// The winding by another way: wind the wire turn by turn as a helix of many
// short chords, and weigh it.
func TestWoundMassAgainstHelix(t *testing.T) {
	steel, _ := neck.MaterialByName("steel")
	wrap, _ := neck.MaterialByName("nickel-plated steel")
	const outside, core = 1.168, 0.434
	w := (outside - core) / 2
	chord, n := 0.0, 2000
	at := func(i int) (x, y, z float64) {
		a := 2 * math.Pi * float64(i) / float64(n)
		return (core + w) / 2 * math.Cos(a), (core + w) / 2 * math.Sin(a), w * float64(i) / float64(n)
	}
	for i := range n {
		x0, y0, z0 := at(i)
		x1, y1, z1 := at(i + 1)
		chord += math.Sqrt((x1-x0)*(x1-x0) + (y1-y0)*(y1-y0) + (z1-z0)*(z1-z0))
	}
	want := neck.PlainUnitMass(steel.DensityGCm3, core) + neck.PlainUnitMass(wrap.DensityGCm3, w)*chord/w
	assert.InDelta(t, want, neck.WoundUnitMass(steel, wrap, outside, core, false), 1e-4)
	hex := neck.WoundUnitMass(steel, wrap, outside, core, true)
	assert.Greater(t, hex, want*0.97)
	assert.Less(t, hex, want*1.03)
}

// Wound nylon, computed, against the weights of the published sets.
func TestWoundNylonMass(t *testing.T) {
	for _, row := range table(t, "intonation_strings.csv") {
		if row["construction"] != "wound" || strings.HasPrefix(row["set"], "carbon") {
			continue
		}
		s := work(t, neck.Spec{ScaleMm: 650, Strings: []neck.StringSpec{
			{Note: row["note"], GaugeMm: 2 * number(t, row["radius_mm"]), Construction: "wound", Material: "nylon"}}}).Strings[0]
		assert.InEpsilon(t, number(t, row["mass_per_length_g_per_m"]), s.UnitMassGPerM, 0.08, row["set"]+" "+row["string"])
	}
}

func TestMeasuredMassWins(t *testing.T) {
	s := work(t, neck.Spec{Strings: []neck.StringSpec{{Note: "E2", GaugeMm: 1.17, UnitMassGPerM: 6.5}}}).Strings[0]
	assert.True(t, s.MassMeasured)
	assert.InDelta(t, neck.Tension(6.5, 648, 82.4069), s.TensionN, 0.01)
}
