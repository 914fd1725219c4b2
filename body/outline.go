package body

import (
	"errors"

	"slabwright/body/geom"
)

// namedOutline draws one of the built-in outlines.
func namedOutline(family string, sizes map[string]float64) (geom.Path, error) {
	if family == "" {
		return geom.Path{}, errors.New("there is none")
	}
	return geom.Path{}, errors.New("the family " + family + " is not known")
}
