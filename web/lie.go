package web

import (
	"fmt"
	"net/http"

	"slabwright/fret/measure"
	"slabwright/layout/place"
	"slabwright/layout/sheet"
)

// lieAnswer is how a body lies in the wood, in words: what its placement
// forgives, the best plane there, what is to be planed off, and the wedges.
type lieAnswer struct {
	Leeway string      `json:"leeway"` // "" where the placement does not pass
	Ways   []wayAnswer `json:"ways"`
	Plane  planeAnswer `json:"plane"`
	Over   sideAnswer  `json:"over"`
	Under  sideAnswer  `json:"under"`
	Wedges []wedge     `json:"wedges"` // none where the slab lies on the bench as it is
}

type wayAnswer struct {
	Sign    string `json:"sign"` // an arrow, seen on the top face
	Way     string `json:"way"`
	By      string `json:"by"`
	Until   string `json:"until"`   // the check that fails then, or "nothing"
	Cost    string `json:"cost"`    // points for a small move that way
	Allowed bool   `json:"allowed"` // it
}

type planeAnswer struct {
	Words  string `json:"words"`
	Bound  string `json:"bound"`
	Better bool   `json:"better"` // than the body lies now
	Exact  wanted `json:"exact"`
	Placed placed `json:"placement"`
}

type sideAnswer struct {
	Least         string `json:"least"`
	Most          string `json:"most"`
	BreaksThrough bool   `json:"breaks_through"`
}

type wedge struct {
	Name   string `json:"name"`
	Height string `json:"height"`
}

func (s *Server) lie(w http.ResponseWriter, r *http.Request) error {
	b, p, err := s.placementFrom(r)
	if err != nil {
		return err
	}
	a, err := b.lie(p)
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, a)
	return nil
}

// planing is the planing map of one face of the slab.
func (s *Server) planing(w http.ResponseWriter, r *http.Request) error {
	b, p, err := s.placementFrom(r)
	if err != nil {
		return err
	}
	bottom := r.URL.Query().Get("side") == "bottom"
	g := b.fit.Planing(p)
	o := sheet.Overlay{Slab: b.project.Slab, Body: b.project.Body, Placement: p, Planing: &g, Unit: b.project.Unit}
	prefix := planingTopPrefix
	if bottom {
		prefix = planingBottomPrefix
	}
	return writeDrawing(w, o.PlaningPicture(bottom), prefix)
}

func (b *bench) lie(p place.Placement) (lieAnswer, error) {
	show := b.lengths()
	l, err := b.fit.BestPlane(p)
	if err != nil {
		return lieAnswer{}, err
	}
	g := b.fit.Planing(p)
	side := func(r place.Removal) sideAnswer {
		return sideAnswer{show(r.Least.Value), show(r.Most.Value), r.BreaksThrough()}
	}
	const hair = 0.02 // mm of slack that no maker could set
	a := lieAnswer{
		Ways:  []wayAnswer{},
		Plane: planeAnswer{l.Words(b.project.Unit), show(l.Bound), l.Slack > g.Slack()-b.project.Need.Flatten+hair, exactly(l.Placement), placedOf(l.Placement)},
		Over:  side(g.Above), Under: side(g.Below), Wedges: []wedge{},
	}
	if !g.Flat() {
		for _, k := range g.Wedges {
			a.Wedges = append(a.Wedges, wedge{k.Name, b.onBench(k.Height)})
		}
	}
	// It fails where the placement does not pass: then there is nothing to tell.
	if f, err := b.fit.Robustness(p); err == nil {
		a.Leeway = show(f.Leeway)
		// The bottom face is drawn as seen from below: +y is down there, and a turn
		// to the left is one clockwise.
		up, down, left, right := "↑", "↓", "↺", "↻"
		if p.Face == place.Bottom {
			up, down, left, right = down, up, right, left
		}
		for i, one := range []struct {
			sign, way string
			place.Way
		}{
			{"→", "toward +x", f.Wander.Along}, {"←", "toward −x", f.Wander.Back}, {up, "toward +y", f.Wander.Left}, {down, "toward −y", f.Wander.Right},
			{left, "turned left", f.Wander.TurnLeft}, {right, "turned right", f.Wander.TurnRight},
		} {
			w := wayAnswer{Sign: one.sign, Way: one.way, By: show(one.Far), Until: one.Until, Allowed: f.Nudges[i].Allowed, Cost: fmt.Sprintf("%+.2f", f.Nudges[i].Change)}
			if i >= 4 {
				w.By = fmt.Sprintf("%.2f°", one.Far/degree)
			}
			if w.Until == "" {
				w.Until = "nothing"
			}
			if w.Cost == "-0.00" {
				w.Cost = "+0.00"
			}
			a.Ways = append(a.Ways, w)
		}
	}
	return a, nil
}

// onBench shows a height to be set: millimetres to a tenth, inches to the nearest
// 1/64.
func (b *bench) onBench(mm float64) string {
	if b.project.Unit == measure.Inches {
		text, _ := measure.Length(mm).Sixtyfourths()
		return text
	}
	return fmt.Sprintf("%.1f mm", mm)
}
