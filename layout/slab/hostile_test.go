package slab

import (
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"

	"slabwright/body/geom"
	"slabwright/fret/measure"
)

// hostile draws slabs at the edges of what Check lets pass: tiny and huge
// sizes, plans that begin late and are narrower than their edge radius, drawn
// outlines with bays, profiles with steps, and things in odd places.
func hostile() *rapid.Generator[*Slab] {
	return rapid.Custom(func(t *rapid.T) *Slab {
		s := slabs().Draw(t, "slab")
		size := rapid.SampledFrom([]float64{1e-3, 0.5, 5, 40, 400}).Draw(t, "size")
		for i := range s.Strips {
			if rapid.Bool().Draw(t, "odd") {
				for k := range s.Strips[i].Pieces {
					s.Strips[i].Pieces[k].Thickness = size
				}
			}
		}
		half := s.Width() / 2
		switch rapid.IntRange(0, 4).Draw(t, "hostile plan") {
		case 0:
			a := rapid.Float64Range(0, s.Length/2).Draw(t, "start")
			s.Plan = Plan{Stations: []Station{{a, 0}, {a + s.Length/8, half * rapid.Float64Range(1e-4, 1).Draw(t, "b")}, {a + s.Length/4, 0}}, StartRounded: rapid.Bool().Draw(t, "round")}
		case 1: // a star with bays, touching the stack's sides
			var ring geom.Polygon
			for k := range 16 {
				r := 1.0
				if k%2 == 1 {
					r = rapid.Float64Range(0.05, 0.95).Draw(t, "bay")
				}
				q := geom.Polar(r, 2*math.Pi*float64(k)/16)
				ring = append(ring, geom.Pt(s.Length/2*(1+0.999*q.X), half*0.999*q.Y))
			}
			s.Plan = Plan{Path: geom.PathOf(ring)}
			if rapid.Bool().Draw(t, "clockwise") {
				s.Plan.Path = s.Plan.Path.Reversed()
			}
		case 2:
			s.Plan = Plan{Stations: []Station{{0, half}, {s.Length, half * 1e-6}}}
		}
		if rapid.Bool().Draw(t, "step") {
			x := rapid.Float64Range(1, s.Length-2).Draw(t, "step at")
			s.Profile = Profile{Top: []Station{{0, 40}, {x, 40}, {x + 0.01, 90}, {s.Length, 90}}, Bottom: []Station{{x, 1}}}
		}
		s.Edge = Edge{TopRadius: rapid.SampledFrom([]float64{0, 1e-3, 10, 19}).Draw(t, "top edge"), BottomRadius: rapid.SampledFrom([]float64{0, 5, 19}).Draw(t, "bottom edge")}
		if rapid.IntRange(0, 2).Draw(t, "chamfered") == 0 {
			s.Edge = Edge{TopChamfer: s.Edge.TopRadius, BottomRadius: s.Edge.BottomRadius}
		}
		if rapid.Bool().Draw(t, "things") {
			p := geom.Pt(rapid.Float64Range(-500, 3000).Draw(t, "px"), rapid.Float64Range(-500, 500).Draw(t, "py"))
			s.Flaws = []Flaw{{At: p, Radius: 30}, {Ring: geom.Polygon{p, p, p}}}
			s.Fittings = []Fitting{{At: p, Radius: 1e4}, {At: p, Radius: 1, Forbids: true, Carries: true}}
			s.Fasteners = []Fastener{{At: geom.Point3{X: p.X, Y: p.Y, Z: -1e3}, Direction: geom.Vec3{Z: 1}, Length: 1e4, Shank: 1, Head: 300, Pilot: 3, PilotDepth: 2e4}}
		}
		return s
	})
}

// A slab that nobody has checked gets an error from the report, not a panic.
func TestUncheckedSlabsAreRefused(t *testing.T) {
	for what, spoil := range map[string]func(*Slab){
		"nothing":          func(s *Slab) { *s = Slab{} },
		"unknown wood":     func(s *Slab) { s.Strips[1].Pieces[0].Wood = "unobtainium" },
		"no pieces":        func(s *Slab) { s.Strips[1].Pieces = nil },
		"no profile":       func(s *Slab) { s.Profile = Profile{} },
		"no number":        func(s *Slab) { s.Length = math.NaN() },
		"odd transition":   func(s *Slab) { s.Strips[1].Transitions = []Transition{{Kind: "x", At: 500}} },
		"chamber nowhere":  func(s *Slab) { s.Chambers = []Chamber{{Strip: 9, From: 1, To: 2, State: Cut}} },
		"stations go back": func(s *Slab) { s.Plan.Stations = []Station{{500, 10}, {200, 20}, {100, 3}} },
		"open outline":     func(s *Slab) { s.Plan.Path = geom.PathOf(geom.Polygon{{X: 0, Y: 0}, {X: 1, Y: 1}}) },
		"no colour":        func(s *Slab) { s.Strips[0].Pieces[0].Colour = "red" },
	} {
		s := plain(3, 40, 1000, 50)
		spoil(s)
		if _, err := s.WithPlan(DefaultChamberRules(), nil).Report(DefaultReportOptions()); err == nil {
			t.Error(what + ": reported on")
		}
	}
}

// What Check lets pass never breaks an engine: the report can be had, all its
// numbers are numbers, and no weight or saving is negative.
func TestWhatPassesCheckCanBeReported(t *testing.T) {
	passed := 0
	rapid.Check(t, func(t *rapid.T) {
		s := hostile().Draw(t, "slab")
		if s.Check() != nil {
			return
		}
		passed++
		o := DefaultReportOptions()
		o.Chambers.Shallowest = 10
		o.Reserved = reservedIn(s).Draw(t, "reserved")
		o.Compare = true
		p := s.WithPlan(o.Chambers, o.Reserved)
		if err := p.Check(); err != nil {
			t.Fatal(err)
		}
		r, err := p.Report(o)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := json.Marshal(r); err != nil {
			t.Fatal(err)
		}
		r.Tables(ShowIn(measure.Millimetres))
		if r.WeightAfterKg < 0 || r.WeightAfterKg > r.WeightBeforeKg+1e-12 || r.Hollowing.SavedG < 0 {
			t.Fatalf("weighs %g kg, then %g kg", r.WeightBeforeKg, r.WeightAfterKg)
		}
		for _, w := range r.Weight.Pieces {
			if w.AfterG < -1e-3*math.Max(1, r.WeightBeforeKg) {
				t.Fatalf("%+v", w)
			}
		}
		s.Cells()
		s.GlueLines()
		s.Obstacles()
	})
	if passed < 20 {
		t.Fatalf("only %d hostile slabs passed Check: the test has lost its teeth", passed)
	}
}
