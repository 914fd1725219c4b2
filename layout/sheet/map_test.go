package sheet_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
	"slabwright/layout/sheet"
)

// Where a part of a drawing is printed, the map of the sheets shows that part:
// nothing of it, and nothing else on the cover, leaves the paper.
func TestMapOfAPartStaysOnThePaper(t *testing.T) {
	var s sheet.Scene
	s.Name, s.Frame = "long board", "a frame of its own, mm"
	long := geom.Box{Min: geom.Pt(0, -150), Max: geom.Pt(2000, 150)}.Polygon()
	s.Add(sheet.Item{Layer: sheet.Slab, Shape: sheet.Ring(long), Stroke: sheet.Stroke{Width: 0.3, Colour: "#000000"}})
	paper, err := sheet.PaperNamed("A4")
	require.NoError(t, err)
	pages, err := sheet.TilePages(s, sheet.TileOptions{Paper: paper, Margin: 10, Overlap: 15, Project: "board",
		Part: geom.Box{Min: geom.Pt(1200, -200), Max: geom.Pt(1600, 200)}})
	require.NoError(t, err)
	shown := 0
	for _, p := range pages {
		sheetOf := geom.Box{Max: geom.Pt(p.Width, p.Height)}
		for _, it := range p.Items {
			if b := (sheet.Scene{Items: []sheet.Item{it}}).Bounds(); !b.Empty() {
				shown++
				assert.True(t, sheetOf.Has(b.Min) && sheetOf.Has(b.Max), "%s: %v leaves the paper", p.Name, b)
			}
		}
	}
	assert.NotZero(t, shown)
}
