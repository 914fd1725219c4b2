package web

import (
	"fmt"
	"net/http"

	"github.com/go-chi/chi/v5"
)

// routes is the table of contents of the server.
func (s *Server) routes() http.Handler {
	r := chi.NewRouter()
	r.Use(s.caught, headers, s.thisMachine, s.thisPage, limited)

	r.Get("/", s.do(s.page))                // the slab, the body on it, everything to steer it
	r.Get("/frets", s.do(s.frets))          // the fret table
	r.Get("/drawing.svg", s.do(s.drawing))  // the placement overlay, as the page shows it
	r.Get("/side.svg", s.do(s.side))        // the slab from the side with the body's height
	r.Get("/lie", s.do(s.lie))              // what the placement forgives, the best plane, the wedges
	r.Get("/planing.svg", s.do(s.planing))  // depths to plane off one face
	r.Get("/weight", s.do(s.weight))        // what wood and instrument weigh there
	r.Get("/project.toml", s.do(s.project)) // the project file as it was read
	r.Get(assetsPath+"{name}", s.do(s.asset))

	r.Post("/api/verdict", s.do(s.verdict)) // the verdict and score of a placement
	r.Post("/api/search", s.do(s.search))   // the best placement, as a stream of events
	r.Post("/api/stop", s.do(s.stopSearch)) // ends the search with what it has
	r.Post("/api/save", s.do(s.save))       // writes the placement into the project file
	r.Post("/api/print", s.do(s.print))     // overlays, as a download

	r.NotFound(s.do(func(w http.ResponseWriter, r *http.Request) error {
		return refusal{Status: http.StatusNotFound, Message: fmt.Sprintf("there is nothing at %s", r.URL.Path)}
	}))
	r.MethodNotAllowed(s.do(func(w http.ResponseWriter, r *http.Request) error {
		return refusal{Status: http.StatusMethodNotAllowed, Message: fmt.Sprintf("%s cannot be asked with %s", r.URL.Path, r.Method)}
	}))
	return r
}

// handler reads its input, asks the engines and renders, or returns why not.
type handler func(w http.ResponseWriter, r *http.Request) error

func (s *Server) do(h handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := h(w, r); err != nil {
			s.fail(w, r, err)
		}
	}
}
