package neck

import (
	"fmt"
	"math"
	"strings"
)

// Material is what a string, its core or its winding is made of.
type Material struct {
	Name string
	// DensityGCm3 and ModulusGPa are the typical values.
	DensityGCm3, ModulusGPa float64
	// StrengthMPa is the least tensile strength; 0 where it goes by diameter
	// (music wire) or is not known.
	StrengthMPa float64
	Source      string
}

// materials lists string materials. The sources are pages and data sheets
// named beside each; "memory" marks what was not found in one.
var materials = []Material{
	{"steel", 7.85, 190, 0, "music wire, ASTM A228 class: 7.85 g/cm³ Materials Properties Database (annealed 1090), 190 GPa MakeItFrom; strength by diameter, see WireStrength"},
	{"nickel-plated steel", 7.95, 205, 0, "memory; mostly steel, plating adds about 1 percent"},
	{"nickel", 8.88, 207, 0, "8.88 g/cm³ Materials Properties Database; modulus from memory"},
	{"stainless steel", 7.86, 193, 0, "type 302: Materials Properties Database; Multimedia Engineering Mechanics appendix (28e6 psi)"},
	{"phosphor bronze", 8.86, 110, 0, "C51000: Olin Brass data sheet"},
	{"bronze", 8.76, 103, 0, "80/20 copper-zinc: Multimedia Engineering Mechanics appendix (17 slug/ft³, 15e6 psi)"},
	{"copper", 8.89, 110, 0, "C11000: Materials Properties Database; modulus Multimedia Engineering Mechanics appendix"},
	{"nylon", 0.97, 6.8, 400, "density and modulus (mean of twelve plain strings, 3.8 to 13.3) from Anderson and Beausoleil, J. Acoust. Soc. Am. 156, 683 (2024); strength from memory"},
	{"fluorocarbon", 1.61, 9.1, 500, "density and modulus (mean of six plain strings, 5.5 to 13.4) from Anderson and Beausoleil, J. Acoust. Soc. Am. 156, 683 (2024); strength from memory"},
	{"gut", 1.30, 6, 350, "memory, common practice"},
}

// Materials is the table, in its order.
func Materials() []Material { return append([]Material(nil), materials...) }

// MaterialByName finds a material.
func MaterialByName(name string) (Material, error) {
	for _, m := range materials {
		if strings.EqualFold(m.Name, strings.TrimSpace(name)) {
			return m, nil
		}
	}
	var names []string
	for _, m := range materials {
		names = append(names, m.Name)
	}
	return Material{}, fmt.Errorf("string material %q is not known: write one of %s", name, strings.Join(names, ", "))
}

// wireStrength is the least tensile strength of tinned music wire of ASTM
// A228 class by diameter (Interwire Group, tensile limits by diameter; ksi).
var wireStrength = []struct{ inches, ksi float64 }{
	{0.008, 399}, {0.009, 393}, {0.010, 387}, {0.011, 382}, {0.012, 377}, {0.013, 373}, {0.014, 369},
	{0.015, 365}, {0.016, 362}, {0.018, 356}, {0.020, 350}, {0.022, 345}, {0.024, 341}, {0.026, 337},
}

// ksi is 1000 lbf/in² in megapascals.
const ksi = 6.894757293168361

// WireStrength is the least tensile strength in MPa of plain music wire of a
// diameter in millimetres, between the rows of the table on a straight line;
// below the table its first row, above it falling as d^−0.145 (the exponent
// of ASTM A228 wire in machine-design handbooks, from memory).
func WireStrength(diameterMm float64) float64 {
	d := diameterMm / 25.4
	first, last := wireStrength[0], wireStrength[len(wireStrength)-1]
	switch {
	case d <= first.inches:
		return first.ksi * ksi
	case d >= last.inches:
		return last.ksi * ksi * math.Pow(last.inches/d, 0.145)
	}
	for i := 1; ; i++ {
		if a, b := wireStrength[i-1], wireStrength[i]; d <= b.inches {
			return ksi * (a.ksi + (b.ksi-a.ksi)*(d-a.inches)/(b.inches-a.inches))
		}
	}
}
