package sheet_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret"
	"slabwright/fret/measure"
	"slabwright/fret/neck"
	"slabwright/layout/sheet"
)

func report(t testing.TB, s neck.Spec) *neck.Report {
	t.Helper()
	r, err := neck.Work(s)
	require.NoError(t, err)
	return r
}

func ringOf(t testing.TB, s sheet.Scene, id string) geom.Polygon {
	t.Helper()
	var ring geom.Polygon
	for _, c := range item(t, s, id).Shape.(sheet.Path).Parts[0].Curves {
		ring = append(ring, c.P0)
	}
	return ring
}

func sheetWords(s sheet.Scene) string {
	var b strings.Builder
	for _, it := range s.Items {
		if x, ok := it.Shape.(sheet.Text); ok {
			b.WriteString(x.Words + "\n")
		}
	}
	return b.String()
}

// The headstock laid flat has every post where the engine puts it, with wood
// all round; seen from above, a leaning one is shorter by its cosine.
func TestHeadstockSheet(t *testing.T) {
	for name, s := range map[string]neck.Spec{
		"even sides":   {Blank: neck.BlankSpec{HeadAngleDeg: 13}},
		"in line":      {Head: neck.HeadSpec{Layout: "in-line"}},
		"twelve":       {Layout: fret.Layout{Strings: fret.Across{Count: 12}}, Blank: neck.BlankSpec{HeadAngleDeg: 10}},
		"fanned split": {Layout: fret.TwoScale(700, 660, 7, 24), Head: neck.HeadSpec{Layout: "split", BassPosts: 4}},
	} {
		r := report(t, s)
		flat, plan := sheet.Headstock(r, measure.Millimetres), sheet.NeckPlan(r, measure.Millimetres)
		ring := ringOf(t, flat, "headstock")
		for _, p := range r.Head.Posts {
			c := item(t, flat, fmt.Sprintf("post-%d", p.String)).Shape.(sheet.Circle)
			near(t, geom.Pt(-p.AlongMm, p.VMm), c.Centre, 1e-9, name)
			for k := range 12 { // 11.8 mm: the outline rounds a post in 48 steps
				q := c.Centre.Add(geom.Polar(11.8, float64(k)*math.Pi/6))
				assert.True(t, q.X > 0 || ring.Depth(q) > 0, "%s: no wood round post %d at %v", name, p.String, q)
			}
			seen := item(t, plan, fmt.Sprintf("post-%d", p.String)).Shape.(sheet.Circle)
			cos := math.Cos(s.Blank.HeadAngleDeg * math.Pi / 180)
			near(t, geom.Pt(-p.AlongMm*cos, p.VMm), seen.Centre, 1e-9, name)
		}
		cos := math.Cos(s.Blank.HeadAngleDeg * math.Pi / 180)
		assert.InDelta(t, ring.Bounds().Min.X*cos, ringOf(t, plan, "headstock").Bounds().Min.X, 1e-6, name)
	}
}

// Every flat on the carving sheet stays off the finished section by the wood
// to leave, and touches that distance somewhere.
func TestCarvingSheetLeavesWood(t *testing.T) {
	for name, shape := range map[string]string{"round": "round", "V": "V", "lopsided": "asymmetrical"} {
		r := report(t, neck.Spec{Back: neck.BackSpec{LeaveMm: 0.7, First: neck.SectionSpec{Shape: shape}, Heel: neck.SectionSpec{Shape: shape}}})
		s := sheet.NeckCarving(r, measure.Millimetres)
		section := ringOf(t, s, "section-1")
		flats := 0
		for _, it := range s.Items {
			if !strings.HasPrefix(it.ID, "flat-1-") || strings.HasPrefix(it.ID, "flat-1-0-") {
				continue
			}
			flats++
			a, b := ends(t, it)
			n := b.Sub(a).Unit().Left()
			least := math.Inf(1)
			for _, q := range section {
				least = math.Min(least, math.Abs(n.Dot(q.Sub(a))))
			}
			assert.InDelta(t, 0.7, least, 0.02, "%s: %s", name, it.ID) // the drawn curve has 72 pieces
		}
		assert.Equal(t, 6, flats, "two flats in the first round, four in the second")
		if words := sheetWords(s); shape == "asymmetrical" {
			assert.NotContains(t, words, "both sides")
			assert.Contains(t, words, "bass")
		} else {
			assert.Contains(t, words, "both sides")
		}
	}
}

// Only a fret that sounds the octave halves the scale.
func TestOctaveCheckOnTheFretboard(t *testing.T) {
	nineteen, err := fret.Equal(19)
	require.NoError(t, err)
	for _, c := range []struct {
		layout fret.Layout
		says   string
	}{
		{fret.Layout{Scale: 648, Count: 22}, "Check fret 12 against half"},
		{fret.Layout{Scale: 648, Count: 22, Temperament: nineteen}, "Check fret 19 against half"},
		{fret.Layout{Scale: 648, Count: 10}, ""},
	} {
		plan, err := c.layout.Plan()
		require.NoError(t, err)
		words := strings.ReplaceAll(sheetWords(sheet.Fretboard(plan, measure.Millimetres)), "\n", " ")
		if c.says == "" {
			assert.NotContains(t, words, "against half")
			continue
		}
		assert.Contains(t, words, c.says)
	}
}

// A fretboard is drawn right-handed; the cover tells a left-handed maker so.
func TestLeftHandedNeckIsToldToBeMirrored(t *testing.T) {
	for hand, told := range map[outline.Hand]bool{outline.RightHanded: false, outline.LeftHanded: true} {
		for _, k := range sheet.Kinds() {
			if k.Name == "fretboard" {
				d := k.Draw(sheet.Set{Overlay: sheet.Overlay{Frets: board(t), Body: &body.Body{Hand: hand}}})[0]
				assert.Equal(t, told, strings.Contains(strings.Join(d.Scene.Notes, " "), "print it mirrored"), hand)
			}
		}
	}
}
