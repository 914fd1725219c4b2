package web

import (
	"net/http"

	"slabwright/body"
	"slabwright/fret/measure"
)

// weightAnswer is what wood and instrument weigh in a placement, in lines to
// show.
type weightAnswer struct {
	Lines   []weightLine `json:"lines"`
	Balance string       `json:"balance"` // how the instrument hangs, in words
}

type weightLine struct {
	Name string `json:"name"`
	Says string `json:"says"`
}

// weight weighs the slab with its chambers and the instrument cut from it.
func (s *Server) weight(w http.ResponseWriter, r *http.Request) error {
	b, p, err := s.placementFrom(r)
	if err != nil {
		return err
	}
	slab := b.project.Hollowed(b.fit.Reserved(p)).Weight()
	wood := b.fit.Wood(p)
	report, err := b.project.Body.NewReport(body.Setting{Wood: wood})
	if err != nil {
		return err
	}
	heavy := func(grams float64) string { return measure.Mass(grams).Format(b.project.Unit) }
	a := weightAnswer{Lines: []weightLine{
		{"slab, before chambers", heavy(slab.BeforeG)},
		{"slab, chambers cut", heavy(slab.AfterG)},
		{"bare body", heavy(report.BodyMass * 1000)},
		{"strung instrument", heavy(report.Mass * 1000)},
	}, Balance: report.Balance}
	if report.UncoveredMM2 > 1 {
		a.Lines = append(a.Lines, weightLine{"no wood under", measure.Area(report.UncoveredMM2).Format(b.project.Unit) + " of the body, weighed as nothing"})
	}
	writeJSON(w, http.StatusOK, a)
	return nil
}
