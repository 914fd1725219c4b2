package slab

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
	"slabwright/fret/measure"
)

func TestTwoFigures(t *testing.T) {
	for v, want := range map[float64]string{1.705: "1.7", 0.01349: "0.013", -24.4: "-24", 155: "160", 0: "0", 9.96: "10", 0.996: "1.0"} {
		assert.Equal(t, want, TwoFigures(v), v)
	}
	assert.Equal(t, "NaN", TwoFigures(math.NaN()))
}

// Every row of every table is as wide as its head, and a full report has all
// parts.
func TestTables(t *testing.T) {
	s := bench()
	o := DefaultReportOptions()
	o.Compare = true
	o.Stack = &StackWish{WidthMm: s.Width()}
	o.PlanScrews = true
	o.Boards = []Board{{Wood: "western-redcedar", LengthMm: 2500, WidthMm: 300, ThicknessMm: 80}}
	s.Fittings = []Fitting{{Kind: "hanger", Carries: true, Radius: 20, Mass: 100}}
	s.Fasteners = []Fastener{{Length: 50, Shank: 4, Direction: geom.Vec3{Y: 1}}}
	require.NoError(t, s.Check())
	r, err := s.WithPlan(o.Chambers, nil).Report(o)
	require.NoError(t, err)
	titles := ""
	for _, table := range r.Tables(ShowIn(measure.Millimetres)) {
		titles += table.Title + "\n"
		for _, row := range table.Rows {
			assert.Len(t, row, len(table.Head), table.Title)
		}
	}
	for _, part := range []string{"Strips", "rough to finished", "Blanks", "Rips", "buy", "Boards", "Holding screws", "at fault", "Chambers", "patterns", "Marking", "Holes for air", "Glue lines", "Glue-up", "Edges", "Finish", "Fittings", "Weight", "Movement", "Steps", "Strength", "Cautions"} {
		assert.True(t, strings.Contains(titles, part), "%s in\n%s", part, titles)
	}
}

// The rules bound what planned chambers save, and say nothing of those that are cut.
func TestSavingsTellPlannedFromCut(t *testing.T) {
	grams := func(g float64) string { return fmt.Sprintf("%g g", g) }
	line := func(state ChamberState, g float64) ChamberLine { return ChamberLine{State: string(state), SavedG: g} }
	for _, c := range []struct {
		chambers []ChamberLine
		saved    float64
		gap      float64
		want     string
	}{
		{[]ChamberLine{line(Planned, 900)}, 900, 100, "They save 900 g; no layout under these rules can save more than 1000 g."},
		{[]ChamberLine{line(Planned, 900), line(Cut, 300)}, 1200, 100, "They save 1200 g, the planned ones 900 g; none planned under these rules can save more than 1000 g."},
		{[]ChamberLine{line(Cut, 300)}, 300, 1000, "They save 300 g."},
		{[]ChamberLine{line(Planned, 1200)}, 1200, -200, "They save 1200 g."},
	} {
		h := Hollowing{Chambers: c.chambers, SavedG: c.saved, MostG: 1000, GapG: c.gap}
		assert.Equal(t, c.want, h.savings(grams))
	}
}
