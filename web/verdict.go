package web

import (
	"net/http"

	"slabwright/layout/place"
)

// verdictAnswer is all that the page shows of one placement.
type verdictAnswer struct {
	Placement placed        `json:"placement"`
	Shown     wanted        `json:"shown"` // for the fields
	Exact     wanted        `json:"exact"` // to send back without loss
	OK        bool          `json:"ok"`
	Checks    []checkAnswer `json:"checks"`
	Score     scoreAnswer   `json:"score"`
}

type checkAnswer struct {
	Name     string      `json:"name"`
	OK       bool        `json:"ok"`
	Body     bool        `json:"body"`                // of the body itself, wherever it lies
	MarginMM *float64    `json:"margin_mm,omitempty"` // nil for a check without a length
	NeedMM   *float64    `json:"need_mm,omitempty"`
	AtMM     *[3]float64 `json:"at_mm,omitempty"`
	Margin   string      `json:"margin,omitempty"` // in the project's unit
	Need     string      `json:"need,omitempty"`
	Message  string      `json:"message"`
}

// scoreAnswer has null for what is not known of a body that lies beyond the slab.
type scoreAnswer struct {
	Total *float64     `json:"total"`
	Terms []termAnswer `json:"terms"`
}

type termAnswer struct {
	Name   string   `json:"name"`
	Points *float64 `json:"points"`
	What   string   `json:"what"`
}

func (s *Server) verdict(w http.ResponseWriter, r *http.Request) error {
	var ask asked
	if err := readJSON(r, &ask); err != nil {
		return err
	}
	b, err := s.open(ask.Bench)
	if err != nil {
		return err
	}
	p, err := b.placement(ask.wanted)
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, b.answer(p))
	return nil
}

// answer asks the engines for all that is shown of a placement.
func (b *bench) answer(p place.Placement) verdictAnswer {
	v := b.fit.Check(p)
	a := verdictAnswer{Placement: placedOf(p), Shown: b.shown(p), Exact: exactly(p), OK: v.OK, Checks: []checkAnswer{}, Score: scoreOf(b.fit.Score(p))}
	show := b.lengths()
	for _, k := range v.Checks {
		c := checkAnswer{Name: k.Name, OK: k.OK, Body: b.ofBody[k.Name], Message: k.Message}
		if k.Measured {
			c.MarginMM, c.NeedMM, c.AtMM = &k.Margin, &k.Need, &[3]float64{k.At.X, k.At.Y, k.At.Z}
			c.Margin, c.Need = show(k.Margin), show(k.Need)
		}
		a.Checks = append(a.Checks, c)
	}
	return a
}

// scoreOf names the terms of a score in the maker's words. The first three
// are always shown, the wishes when they cost something.
func scoreOf(s place.Score) scoreAnswer {
	a := scoreAnswer{Total: finite(s.Total)}
	add := func(name, what string, points float64, always bool) {
		if always || points != 0 {
			a.Terms = append(a.Terms, termAnswer{name, finite(points), what})
		}
	}
	add("colours that differ", "how different the wood looks at mirror points left and right of the centreline", s.Mirror, true)
	add("glue lines off, mean", "how far the glue lines lie from the mirror of one another", s.LinesMean, true)
	add("glue lines off, worst", "the same for the one line that shows it most", s.LinesWorst, true)
	add("holes near glue lines", "how much posts and screws lack to their wanted distance from a glue line", s.Hardware, true)
	add("wished strips", "how far wished strips run off the centreline", s.Strip, false)
	add("wished glue lines", "how far wished glue lines miss their place", s.Through, false)
	add("wished place", "how far the body lies from its wished place along the slab", s.NearX, false)
	add("wished grain", "how far the centreline is turned from the wished angle", s.Grain, false)
	return a
}
