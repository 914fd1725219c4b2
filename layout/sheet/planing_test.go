package sheet_test

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/layout/place"
	"slabwright/layout/sheet"
)

// planed is an overlay with what is to be planed off.
func planed(t testing.TB, o sheet.Overlay) sheet.Overlay {
	o.Body.Unit = o.Unit
	c, err := place.NewCase(o.Slab, o.Body, o.Need, place.DefaultWish())
	require.NoError(t, err)
	g := c.Planing(o.Placement)
	o.Planing = &g
	return o
}

// Every number of the map is how far the slab's face at that place stands over
// the finished plane, square to it, and every line joins places of one depth.
// Both are reckoned here from the face's height alone.
func TestPlaningMapTellsDepths(t *testing.T) {
	for _, u := range []measure.Unit{measure.Millimetres, measure.Inches} {
		for _, face := range []place.Face{place.Top, place.Bottom} {
			for _, bottom := range []bool{false, true} {
				o := overlay(t, face)
				o.Unit, o.Placement.Height, o.Placement.Pitch, o.Placement.Roll = u, 51, -0.011, 0.007
				if face == place.Bottom {
					o.Placement.Height = 9
				}
				o = planed(t, o)
				s := o.PlaningMap(bottom)
				require.NoError(t, s.Check())
				want := "the body's flat back"
				if bottom == (face == place.Bottom) {
					want = "the body's flat front"
				}
				assert.Contains(t, strings.Join(s.Notes, " "), want)
				require.NoError(t, o.PlaningPicture(bottom).Check())
				f := o.Placement.Frame()
				depth := func(p geom.Point) float64 {
					z := o.Slab.TopAt(p.X)
					if bottom {
						p.Y, z = -p.Y, o.Slab.BottomAt(p.X)
					}
					_, _, w := f.Into(geom.Point3{X: p.X, Y: p.Y, Z: z})
					if bottom == (face == place.Bottom) { // the front
						return w
					}
					return -o.Body.Thickness - w
				}
				numbers, lines := 0, 0
				var at geom.Point
				for _, it := range s.Items {
					switch it.Class {
					case "depth-point":
						at = it.Shape.(sheet.Circle).Centre
					case "depth":
						numbers++
						words, step := it.Shape.(sheet.Text).Words, 0.1
						got, err := strconv.ParseFloat(words, 64)
						if u == measure.Inches {
							var l measure.Length
							l, err = measure.ParseLength(words, measure.Inches)
							got, step = l.Mm(), 25.4/64
						}
						require.NoError(t, err, words)
						assert.InDelta(t, depth(at), got, step/2+1e-6)
						assert.Less(t, at.Distance(it.Shape.Bounds().Centre()), 6.0, "the number stands beside its point")
					case "contour":
						lines++
						var first float64
						for i, c := range it.Shape.(sheet.Path).Parts {
							for k, e := range c.Curves {
								if i == 0 && k == 0 {
									first = depth(e.P0)
								}
								assert.InDelta(t, first, depth(e.P0), 0.01)
							}
						}
					}
				}
				assert.Greater(t, numbers, 100)
				assert.NotZero(t, lines)
			}
		}
	}
}

// Where wood is missing the map says so, in red and negative.
func TestPlaningMapShowsWhereItBreaksThrough(t *testing.T) {
	o := overlay(t, place.Top)
	o.Placement.Height = 66
	o = planed(t, o)
	marked, red := 0, 0
	for _, it := range o.PlaningMap(false).Items {
		if it.Class == "least breaks" {
			marked++
			assert.Contains(t, it.Title, "breaks through: -")
			p := it.Shape.(sheet.Circle).Centre
			assert.InDelta(t, o.Planing.Above.Least.At.X, p.X, 1e-9)
		}
		if words, ok := it.Shape.(sheet.Text); ok && it.Class == "depth" && words.Words[0] == '-' {
			red++
		}
	}
	assert.Equal(t, 1, marked)
	assert.NotZero(t, red)
}
