package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"slabwright/layout/project"
)

// refusal is an answer to a request that cannot be done: in the maker's words,
// with the field it is about when there is one.
type refusal struct {
	Status  int    `json:"-"`
	Field   string `json:"field,omitempty"`
	Message string `json:"message"`
}

func (r refusal) Error() string { return r.Message }

// wrong is a refusal of one field.
func wrong(field, format string, args ...any) error {
	return refusal{Status: http.StatusUnprocessableEntity, Field: field, Message: fmt.Sprintf(format, args...)}
}

// fail ends every request that cannot be answered. What a maker can mend is
// told in full; anything else goes into the log and is told as what it is, a
// fault of the program.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	if errors.Is(err, context.Canceled) && r.Context().Err() != nil {
		return // nobody listens any more
	}
	var no refusal
	var large *http.MaxBytesError
	var problems project.Problems
	switch {
	case errors.As(err, &no):
	case errors.As(err, &large):
		no = refusal{Status: http.StatusRequestEntityTooLarge, Message: fmt.Sprintf("the request is larger than %d KiB", large.Limit>>10)}
	case errors.As(err, &problems):
		no = refusal{Status: http.StatusUnprocessableEntity, Message: err.Error()}
	default:
		s.log.Error("a request failed", "method", r.Method, "path", r.URL.Path, "error", err)
		no = refusal{Status: http.StatusInternalServerError, Message: "slabwright itself failed at this; its terminal window tells more"}
	}
	if strings.HasPrefix(r.URL.Path, "/api/") {
		writeJSON(w, no.Status, map[string]refusal{"error": no})
		return
	}
	s.render(w, no.Status, "problem.html", problemPage{Title: http.StatusText(no.Status), Message: no.Message, Assets: assetsPath})
}

// problemPage is what problem.html shows.
type problemPage struct{ Title, Message, Assets string }
