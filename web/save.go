package web

import (
	"fmt"
	"net/http"
	"path/filepath"
)

// save writes the placement into the project file, changing the bytes of that
// value alone.
func (s *Server) save(w http.ResponseWriter, r *http.Request) error {
	var ask asked
	if err := readJSON(r, &ask); err != nil {
		return err
	}
	b, err := s.open(ask.Bench)
	if err != nil {
		return err
	}
	if s.config.File == "" {
		return refusal{Status: http.StatusConflict, Message: "this is the demo, which cannot be written to; download the project file, then serve your own copy"}
	}
	p, err := b.placement(ask.wanted)
	if err != nil {
		return err
	}
	changed := *b.project // others still work with the bench as it is
	if err := changed.SetPlacement(p); err != nil {
		return err
	}
	if err := changed.Save(); err != nil {
		return refusal{Status: http.StatusConflict, Message: err.Error()}
	}
	now, err := b.follow(&changed)
	if err != nil {
		return err
	}
	s.mu.Lock()
	s.bench = now
	s.mu.Unlock()
	writeJSON(w, http.StatusOK, struct {
		Bench   string        `json:"bench"`
		Message string        `json:"message"`
		Verdict verdictAnswer `json:"verdict"` // of what the file says now, which is rounded
	}{now.id, fmt.Sprintf("written into %s", filepath.Base(s.config.File)), now.answer(*changed.Placement)})
	return nil
}

// project gives the project file as it was read.
func (s *Server) project(w http.ResponseWriter, r *http.Request) error {
	b, err := s.open("")
	if err != nil {
		return err
	}
	name := filepath.Base(b.project.Source.Name)
	w.Header().Set("Content-Type", "application/toml; charset=utf-8")
	w.Header().Set("Content-Disposition", attachment(name))
	_, err = w.Write(b.project.Source.Bytes())
	return err
}
