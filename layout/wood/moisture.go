package wood

import (
	"fmt"
	"math"
)

// EMC is the equilibrium moisture content, in percent, of wood kept long in
// air of the given temperature (°C, −1 to 93) and relative humidity (percent,
// 0 to 95), for any species. Outside those limits there is no table to stand
// on and an error says so.
//
// Source: Wood Handbook (FPL-GTR-190), Eq. 4-5; against its Table 4-2 the
// equation is within 0.06 points, the rounding of the table.
func EMC(temperatureC, humidityPct float64) (float64, error) {
	if !(temperatureC >= -1.2 && temperatureC <= 93.5) {
		return 0, fmt.Errorf("temperature %g °C: the moisture table covers −1 to 93 °C", temperatureC)
	}
	if !(humidityPct >= 0 && humidityPct <= 95) {
		return 0, fmt.Errorf("relative humidity %g %%: the moisture table covers 0 to 95 %%", humidityPct)
	}
	t, h := temperatureC, humidityPct/100
	w := 349 + 1.29*t + 0.0135*t*t
	k := 0.805 + 0.000736*t - 0.00000273*t*t
	k1 := 6.27 - 0.00938*t - 0.000303*t*t
	k2 := 1.91 + 0.0407*t - 0.000293*t*t
	a := k * h
	return 1800 / w * (a/(1-a) + (k1*a+2*k1*k2*a*a)/(1+k1*a+k1*k2*a*a)), nil
}

// DensityOf is the density in kg/m³ of wood whose specific gravity, on its
// volume at that moisture, is sg: 1000·sg·(1 + moisture/100).
//
// Source: Wood Handbook, Chapter 4 (Table 4-6).
func DensityOf(sg, moisturePct float64) float64 { return 1000 * sg * (1 + moisturePct/100) }

// fibreSaturation is the moisture content, percent, above which wood no
// longer swells (Wood Handbook, Chapter 4).
const fibreSaturation = 30

// SpecificGravity is the species' oven-dry mass over its volume at the given
// moisture (percent), relative to water. The volume swells in proportion to
// the moisture up to 30 % (Wood Handbook, Chapter 4, the form of its equation
// from memory), set so that the tabulated values at 12 % and green are met.
func (s Species) SpecificGravity(moisturePct float64) float64 {
	m := math.Max(0, math.Min(moisturePct, fibreSaturation))
	shrink := (1 - s.SGGreen/s.SG12) / (1 - 12.0/fibreSaturation)
	return s.SGGreen / (1 - shrink*(1-m/fibreSaturation))
}

// Density is the density in kg/m³ at the given moisture (percent); at 12 %
// it is 1000·SG12·1.12.
func (s Species) Density(moisturePct float64) float64 {
	return DensityOf(s.SpecificGravity(moisturePct), moisturePct)
}

// Movement is the change in mm of a dimension in mm when the moisture goes
// from one content (percent) to another; positive is swelling. The
// coefficient is Radial or Tangent, or Across and Through of a board.
//
// Source: Wood Handbook Eq. 13-2, ΔD = D·C·(Mf − Mi), which it gives for 6 to
// 14 %. Outside that it is an estimate still, and no better than two figures
// anywhere: a coefficient predicts the mean of many boards.
func Movement(dimension, coefficient, fromPct, toPct float64) float64 {
	return dimension * coefficient * (toPct - fromPct)
}

// InMovementRange tells whether a moisture content lies in the 6 to 14 % for
// which Movement's coefficients are given.
func InMovementRange(moisturePct float64) bool { return moisturePct >= 6 && moisturePct <= 14 }

// Coefficient is the movement coefficient in a direction that makes the angle
// (radians) with the growth rings: along them (0) the tangential one, square
// to them (π/2) the radial one. Between, shrinkage is a strain and turns like
// one: C = CT·cos² + CR·sin² (plane strain transformation, any text on
// strength of materials; the Handbook only says that real boards lie between).
func (s Species) Coefficient(toRings float64) float64 {
	sin, cos := math.Sincos(toRings)
	return s.Tangent*cos*cos + s.Radial*sin*sin
}

// ClampPressure is about how hard a joint should be pressed while it is
// glued, in MPa (N/mm²): 0.7 for the lightest woods to 1.7 for the densest
// (Wood Handbook, Chapter 10, from memory; a glue maker's ranges of 0.69 to
// 1.03 for softwoods and 1.21 to 1.72 for hardwoods bracket it). Between
// SG12 0.35 and 0.75 it is linear: that interpolation is ours, not published.
// The glue maker's own sheet goes before it.
func (s Species) ClampPressure() float64 {
	t := (s.SG12 - 0.35) / (0.75 - 0.35)
	return 0.7 + math.Max(0, math.Min(1, t))*(1.7-0.7)
}

// GlueSpread is about how much wet glue a joint takes, in grams for each mm²
// of joint: 0.15 L/m² on one face (adhesive data sheets, from memory) at about
// 1.1 kg/L.
const GlueSpread = 0.15 * 1.1 * 1000 / 1e6

// CubicMetresPerBoardFoot is 144 cubic inches.
const CubicMetresPerBoardFoot = 144 * 0.0254 * 0.0254 * 0.0254

// BoardFeet is the board measure of a board of the given rough size in mm,
// by the trade's rule that stock under one inch thick counts as one inch.
func BoardFeet(length, width, thickness float64) float64 {
	return length * width * math.Max(thickness, 25.4) / (144 * 25.4 * 25.4 * 25.4)
}

// Caution says what is known to need care with the dust of, or the trade in,
// any wood; it is general on purpose, as no list stays complete.
const Caution = "Wood dust harms lungs and some woods sensitise: extract it and wear a mask. " +
	"Trade in some woods is regulated: check local rules before buying or selling."
