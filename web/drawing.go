package web

import (
	"bytes"
	"html/template"
	"net/http"

	"slabwright/layout/place"
	"slabwright/layout/sheet"
	"slabwright/layout/sheet/format"
)

// The ids of each drawing in the page begin with these.
const (
	planPrefix = "plan-"
	sidePrefix = "side-"

	planingTopPrefix    = "planing-top-"
	planingBottomPrefix = "planing-bottom-"
)

// drawing is the slab with the body on it, the same scene that is printed,
// made ready to stand in the page. With words=yes it is the whole overlay.
func (s *Server) drawing(w http.ResponseWriter, r *http.Request) error {
	b, p, err := s.placementFrom(r)
	if err != nil {
		return err
	}
	scene := b.overlay(p).Placed()
	if r.URL.Query().Get("words") == "yes" {
		scene = b.overlay(p).PlacementOverlay()
	}
	return writeDrawing(w, scene, planPrefix)
}

// side is the slab from the side with the body in it.
func (s *Server) side(w http.ResponseWriter, r *http.Request) error {
	b, p, err := s.placementFrom(r)
	if err != nil {
		return err
	}
	return writeDrawing(w, b.overlay(p).Side(), sidePrefix)
}

// placementFrom reads bench and placement from an address.
func (s *Server) placementFrom(r *http.Request) (*bench, place.Placement, error) {
	b, err := s.open(r.URL.Query().Get("bench"))
	if err != nil {
		return nil, place.Placement{}, err
	}
	want, any := wantedFrom(r.URL.Query())
	if !any {
		return b, b.begin(), nil
	}
	p, err := b.placement(want)
	return b, p, err
}

// overlay is all that is drawn of a placement. Planned chambers go round it.
func (b *bench) overlay(p place.Placement) sheet.Overlay {
	return sheet.Overlay{
		Slab: b.project.Hollowed(b.fit.Reserved(p)), Body: b.project.Body, Frets: b.board, Seat: b.project.NeckReport.Joint.Seat,
		Placement: p, Need: b.project.Need, Unit: b.project.Unit, Project: b.project.Name,
	}
}

func writeDrawing(w http.ResponseWriter, scene sheet.Scene, prefix string) error {
	svg, err := inline(scene, prefix)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	_, err = w.Write([]byte(svg))
	return err
}

// inline is the scene as an element of the page. The writer escapes all words.
func inline(scene sheet.Scene, prefix string) (template.HTML, error) {
	var b bytes.Buffer
	if err := format.InlineSVG(&b, scene, prefix); err != nil {
		return "", err
	}
	return template.HTML(b.String()), nil
}
