package slab

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"
	"slabwright/fret/measure"
)

// Other programs rely on these keys.
func TestReportKeys(t *testing.T) {
	s := bench()
	require.NoError(t, s.Check())
	o := DefaultReportOptions()
	planned := s.WithPlan(o.Chambers, nil)
	require.NoError(t, planned.Check())
	r, err := planned.Report(o)
	require.NoError(t, err)
	raw, err := json.Marshal(r)
	require.NoError(t, err)
	var keys map[string]any
	require.NoError(t, json.Unmarshal(raw, &keys))
	for _, k := range []string{"weight_before_kg", "weight_after_kg", "board_feet", "width_mm", "strips", "chambers"} {
		assert.Contains(t, keys, k)
	}
	c := keys["chambers"].([]any)[0].(map[string]any)
	for _, k := range []string{"strip", "from_mm", "to_mm"} {
		assert.Contains(t, c, k)
	}
	assert.InDelta(t, r.WeightBeforeKg-r.WeightAfterKg, r.Hollowing.SavedG/1000, 1e-9)
	assert.True(t, r.OK)
	assert.Equal(t, 192.0, r.WidthMm)
}

// Whatever the slab, the report can be had, is plain JSON, and is the same
// each time.
func TestReportIsPlainAndTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := slabs().Draw(t, "slab")
		o := DefaultReportOptions()
		o.Chambers = chamberRules().Draw(t, "rules")
		o.Reserved = reservedIn(s).Draw(t, "reserved")
		o.Compare = rapid.Bool().Draw(t, "compare")
		o.Stack = &StackWish{WidthMm: s.Width()}
		if rapid.IntRange(0, 9).Draw(t, "screws") == 0 { // slow to place among random wood
			o.PlanScrews, o.Fasteners.SpacingMm = true, 900
		}
		o.Boards = []Board{{Wood: "western-redcedar", LengthMm: 2500, WidthMm: 200, ThicknessMm: 80}}
		planned := s.WithPlan(o.Chambers, o.Reserved)
		a, err := planned.Report(o)
		if err != nil {
			t.Fatal(err)
		}
		first, err := json.Marshal(a)
		if err != nil {
			t.Fatal(err)
		}
		_, b, _ := s.ReportPlanned(o)
		second, _ := json.Marshal(b)
		if string(first) != string(second) {
			t.Fatal("two reports of one slab differ, planned apart and planned in one go")
		}
	})
}

func TestReportRefusesNonsense(t *testing.T) {
	for want, spoil := range map[string]func(*ReportOptions){
		"hanger factor": func(o *ReportOptions) { o.HangerFactor = 0 },
		"moisture":      func(o *ReportOptions) { o.MoisturePct = 50 },
		"0 to 95":       func(o *ReportOptions) { o.HumidityPct = 99 },
		"stack":         func(o *ReportOptions) { o.Stack = &StackWish{} },
		"screw lengths": func(o *ReportOptions) { o.Fasteners = FastenerRules{} },
		"chambers":      func(o *ReportOptions) { o.Chambers = ChamberRules{} },
		"glue-up":       func(o *ReportOptions) { o.Glue = GlueRules{} },
		"finish":        func(o *ReportOptions) { o.Finish.DensityGMl = 0 },
		"kerf":          func(o *ReportOptions) { o.KerfMm = -1 },
	} {
		o := DefaultReportOptions()
		spoil(&o)
		_, err := bench().Report(o)
		assert.ErrorContains(t, err, want)
	}
}

// The maker's own screws are listed as driven, checked, and drawn in reverse;
// those that are left in stay.
func TestReportListsTheMakersScrews(t *testing.T) {
	s := plain(5, 40, 1000, 60)
	screw := func(name string, x float64, left bool) Fastener {
		return Fastener{Name: name, Kind: "screw", At: geom.Point3{X: x, Y: -60, Z: 30}, Direction: geom.Vec3{Y: 1}, Length: 50, Shank: 5, Head: 9, LeftIn: left}
	}
	s.Fasteners = []Fastener{screw("a", 200, false), screw("b", 300, true), screw("c", 400, false), screw("d", 405, false)}
	require.NoError(t, s.Check())
	r, err := s.Report(DefaultReportOptions())
	require.NoError(t, err)
	require.Len(t, r.Fasteners, 4)
	assert.Equal(t, [3]float64{200, -10, 30}, r.Fasteners[0].TipMm)
	for i, ok := range []bool{true, true, true, false} {
		assert.Equal(t, ok, r.Fasteners[i].OK, r.Fasteners[i].Name)
	}
	assert.False(t, r.OK)
	for _, table := range r.Tables(ShowIn(measure.Millimetres)) {
		if strings.HasPrefix(table.Title, "Fasteners in the slab") {
			require.Len(t, table.Notes, 1)
			assert.Contains(t, table.Notes[0], "draw in turn d; c; a.")
			return
		}
	}
	t.Fatal("no list of fasteners")
}
