package measure

import (
	"fmt"
	"math/big"
	"strings"
)

// Force is a force in newtons.
type Force float64

// Newtons gives the force as a bare number of newtons.
func (f Force) Newtons() float64 { return float64(f) }

// String shows newtons to a tenth.
func (f Force) String() string { return trimZeros(float64(f), 1) + " N" }

const forceWanted = "write it like 4000 N, 900 lbf or 400 kgf"

// forceUnit: the kilogram-force is exactly 9.80665 N by the standard acceleration
// of free fall (CGPM 1901), and the pound-force 0.45359237 of it.
func forceUnit(name string) (*big.Rat, bool) {
	switch name {
	case "n", "newton", "newtons":
		return rat(1, 1), true
	case "kn":
		return rat(1000, 1), true
	case "lbf":
		return rat(44482216152605, 10000000000000), true
	case "kgf":
		return rat(980665, 100000), true
	}
	return nil, false
}

// ParseForce reads a force: "4000 N", "900 lbf", "400 kgf". A bare number is taken as
// newtons. Negative forces and those beyond ten meganewtons are refused.
func ParseForce(s string) (Force, error) {
	v, err := parseQuantity(s, rat(1, 1), forceUnit, "force", forceWanted)
	if err != nil {
		return 0, err
	}
	if v < 0 || v > 1e7 {
		return 0, fmt.Errorf("force %q must lie between 0 and 10000 kN; %s", strings.TrimSpace(s), forceWanted)
	}
	return Force(v), nil
}
