package measure

import (
	"fmt"
	"math"
	"math/big"
	"strings"
)

// Mass is a mass in grams.
type Mass float64

// The pound is exactly 453.59237 g and the ounce a sixteenth of it
// (international yard and pound agreement, 1959).
const (
	Gram     Mass = 1
	Kilogram Mass = 1000
	Pound    Mass = 453.59237
	Ounce    Mass = 453.59237 / 16
)

// Kilograms gives the mass as a bare number of kilograms.
func (m Mass) Kilograms() float64 { return float64(m) / 1000 }

// Grams gives the mass as a bare number of grams.
func (m Mass) Grams() float64 { return float64(m) }

// Pounds gives the mass as a bare number of pounds.
func (m Mass) Pounds() float64 { return float64(m) / 453.59237 }

// String shows kilograms to a gram, or grams to 0.1 below one kilogram.
func (m Mass) String() string {
	if m.below(Kilogram, Gram) {
		return trimZeros(float64(m), 1) + " g"
	}
	return trimZeros(m.Kilograms(), 3) + " kg"
}

// Format shows the mass for those who work in u: as String does, or in pounds
// to a hundredth, ounces to a tenth below one pound.
func (m Mass) Format(u Unit) string {
	switch {
	case u != Inches:
		return m.String()
	case m.below(Pound, Ounce):
		return trimZeros(float64(m/Ounce), 1) + " oz"
	}
	return trimZeros(m.Pounds(), 2) + " lb"
}

// below tells whether the mass, rounded to a tenth of the small unit, is less than the
// large one: 999.97 g are 1 kg and not 1000 g.
func (m Mass) below(large, small Mass) bool {
	return math.Round(math.Abs(float64(m/small))*10) < math.Round(float64(large/small)*10)
}

const massWanted = "write it like 3.2 kg, 120 g, 7 lb 4 oz or 7.5 lb"

func massUnit(name string) (*big.Rat, bool) {
	switch name {
	case "g", "gram", "grams":
		return rat(1, 1), true
	case "kg":
		return rat(1000, 1), true
	case "lb", "lbs", "pound", "pounds":
		return rat(45359237, 100000), true
	case "oz", "ounce", "ounces":
		return rat(45359237, 1600000), true
	}
	return nil, false
}

// ParseMass reads a mass: "3.2 kg", "120 g", "7 lb 4 oz". A bare number is
// taken as kilograms, the unit masses are shown in. Negative masses and
// masses beyond ten tonnes are refused.
func ParseMass(s string) (Mass, error) {
	v, err := parseQuantity(s, rat(1000, 1), massUnit, "mass", massWanted)
	if err != nil {
		return 0, err
	}
	if v < 0 || v > 1e7 {
		return 0, fmt.Errorf("mass %q must lie between 0 and 10000 kg; %s", strings.TrimSpace(s), massWanted)
	}
	return Mass(v), nil
}
