package sheet

import (
	"cmp"
	"slices"
)

// cut is where a boundary crosses a line, and which way: +1 upward, −1 down.
type cut struct {
	at   float64
	turn int
}

// spans are the stretches between cuts where the winding number is not zero.
func spans(cuts []cut) [][2]float64 {
	slices.SortFunc(cuts, func(a, b cut) int {
		if c := cmp.Compare(a.at, b.at); c != 0 {
			return c
		}
		return cmp.Compare(a.turn, b.turn)
	})
	var out [][2]float64
	winding := 0
	for i, c := range cuts {
		if winding != 0 && c.at > cuts[i-1].at {
			if n := len(out); n > 0 && out[n-1][1] == cuts[i-1].at {
				out[n-1][1] = c.at
			} else {
				out = append(out, [2]float64{cuts[i-1].at, c.at})
			}
		}
		winding += c.turn
	}
	return out
}
