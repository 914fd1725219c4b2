package measure

import (
	"fmt"
	"math"
	"math/big"
	"strings"
)

// Angle is an angle in radians.
type Angle float64

const (
	Radian Angle = 1
	Degree Angle = math.Pi / 180
)

// Degrees gives the angle as a bare number of degrees.
func (a Angle) Degrees() float64 { return float64(a) * 180 / math.Pi }

// Radians gives the angle as a bare number of radians.
func (a Angle) Radians() float64 { return float64(a) }

// String shows degrees to 0.01, as in "1.5°".
func (a Angle) String() string { return trimZeros(a.Degrees(), 2) + "°" }

const angleWanted = "write it in degrees, like 1.5, 1.5 deg or 1.5°"

func angleUnit(name string) (*big.Rat, bool) {
	switch name {
	case "°", "deg", "degree", "degrees":
		return rat(1, 1), true
	case "'", "′", "min":
		return rat(1, 60), true
	case `"`, "″", "sec":
		return rat(1, 3600), true
	}
	return nil, false
}

// ParseAngle reads degrees: "30", "30 deg", "30°", "-1 1/2°", "1° 30′".
// Angles beyond 360 degrees either way are refused.
func ParseAngle(s string) (Angle, error) {
	v, err := parseQuantity(s, rat(1, 1), angleUnit, "angle", angleWanted)
	if err != nil {
		return 0, err
	}
	if math.Abs(v) > 360 {
		return 0, fmt.Errorf("angle %q is more than a full turn; %s", strings.TrimSpace(s), angleWanted)
	}
	return Angle(v) * Degree, nil
}
