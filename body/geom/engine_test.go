package geom

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/tdewolff/canvas"
)

// Whatever the engine does, panic or answer nonsense, and however often, the
// answer is the same; at last it comes from the other library.
//
//	┌──────┐
//	│ ┌─┐ ┌┼─┐     a square of side 10 with a hole of side 2,
//	│ └─┘ └┼─┘     and another of side 4, half on it
//	└──────┘
func TestAnEngineThatFailsIsAskedAgain(t *testing.T) {
	square := func(x, y, side float64) Polygon {
		return Box{Pt(x, y), Pt(x+side, y+side)}.Polygon()
	}
	r := Region{square(0, 0, 10), square(2, 4, 2).Reversed()}
	s := Region{square(8, 3, 4)}
	box := func(side float64) *canvas.Path { return canvas.Rectangle(side, side) }
	faults := map[string]func(left int) *canvas.Path{
		"panics":           func(int) *canvas.Path { panic("no next node") },
		"finds too much":   func(left int) *canvas.Path { return box(100 + float64(left)) },
		"finds no numbers": func(int) *canvas.Path { return box(math.Inf(1)) },
	}
	for name, fault := range faults {
		for times := range 8 {
			left := times
			failing := func(op operation) operation {
				good := op.engine
				op.engine = func(p, q *canvas.Path) *canvas.Path {
					if left--; left >= 0 {
						return fault(left)
					}
					return good(p, q)
				}
				return op
			}
			t.Run(name, func(t *testing.T) {
				both := combine(r, s, failing(intersection()), difference())
				assert.InDelta(t, 2*4, both.Area(), 1e-4)
				assert.Len(t, both, 1)
				left = times
				rest := combine(r, s, failing(difference()), intersection())
				assert.InDelta(t, 100-4-8, rest.Area(), 1e-4)
				assert.Len(t, rest, 2, "the hole is kept")
			})
		}
	}
}
