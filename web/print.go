package web

import (
	"archive/zip"
	"bytes"
	"fmt"
	"net/http"
	"strings"

	"slabwright/body"
	"slabwright/layout/place"
	"slabwright/layout/sheet"
	"slabwright/layout/sheet/format"
)

// sheetChoice is a drawing that can be ticked in the print form.
type sheetChoice struct {
	Name, Title string
	On          bool
	draw        func(p place.Placement) sheet.Scene
}

// sheetChoices are the drawings of the open project.
func (b *bench) sheetChoices() []sheetChoice {
	pr := b.project
	always := func(s sheet.Scene) func(place.Placement) sheet.Scene {
		return func(place.Placement) sheet.Scene { return s }
	}
	return []sheetChoice{
		{"placement", "placement overlay", true, func(p place.Placement) sheet.Scene { return b.overlay(p).PlacementOverlay() }},
		{"body-front", "body, front", false, always(sheet.BodyTemplate(pr.Body, body.Front, pr.Unit))},
		{"body-back", "body, back", false, always(sheet.BodyTemplate(pr.Body, body.Back, pr.Unit))},
		{"slab", "slab plan", false, always(sheet.SlabPlan(pr.Slab, false, pr.Unit))},
		{"side", "slab from the side", false, always(sheet.SlabSide(pr.Slab, pr.Unit))},
		{"stack", "stack of strips", false, always(sheet.StackEnd(pr.Slab, pr.Unit))},
	}
}

// print makes a download of the ticked sheets: one PDF of all, or one SVG or
// DXF a sheet, in a zip when there are several.
func (s *Server) print(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	b, err := s.open(r.PostForm.Get("bench"))
	if err != nil {
		return err
	}
	want, _ := wantedFrom(r.PostForm)
	p, err := b.placement(want)
	if err != nil {
		return err
	}
	scenes, names, err := b.scenes(r.PostForm["sheet"], p)
	if err != nil {
		return err
	}
	var d download
	switch kind := r.PostForm.Get("format"); kind {
	case "pdf":
		d, err = b.pdf(scenes, names, r.PostForm.Get("paper"))
	case "svg":
		d, err = b.drawings(scenes, names, ".svg", "image/svg+xml", func(buf *bytes.Buffer, s sheet.Scene) error { return format.SVG(buf, s) })
	case "dxf":
		d, err = b.drawings(scenes, names, ".dxf", "image/vnd.dxf", func(buf *bytes.Buffer, s sheet.Scene) error { return format.DXF(buf, s) })
	default:
		err = wrong("format", "format %q: choose pdf, svg or dxf", kind)
	}
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", d.kind)
	w.Header().Set("Content-Disposition", attachment(d.name))
	_, err = w.Write(d.data)
	return err
}

type download struct {
	name, kind string
	data       []byte
}

// scenes draws the named sheets, in the order of the form.
func (b *bench) scenes(wanted []string, p place.Placement) (scenes []sheet.Scene, names []string, err error) {
	left := map[string]bool{}
	for _, n := range wanted {
		left[n] = true
	}
	var all []string
	for _, c := range b.sheetChoices() {
		all = append(all, c.Name)
		if left[c.Name] {
			scenes, names = append(scenes, c.draw(p)), append(names, c.Name)
			delete(left, c.Name)
		}
	}
	for n := range left {
		return nil, nil, wrong("sheet", "sheet %q is not known; there are %s", n, strings.Join(all, ", "))
	}
	if len(scenes) == 0 {
		return nil, nil, wrong("sheet", "no sheet is ticked; tick at least one")
	}
	return scenes, names, nil
}

func (b *bench) pdf(scenes []sheet.Scene, names []string, paper string) (download, error) {
	size, err := sheet.PaperNamed(paper)
	if err != nil {
		return download{}, wrong("paper", "%v", err)
	}
	doc := sheet.Document{Title: b.project.Name, Subject: strings.Join(names, ", ")}
	for _, s := range scenes {
		pages, err := sheet.TilePages(s, sheet.TileOptions{Paper: size, Margin: b.project.Paper.Margin, Overlap: b.project.Paper.Overlap, Project: b.project.Name})
		if err != nil {
			return download{}, wrong("paper", "%s: %v", s.Name, err)
		}
		doc.Pages = append(doc.Pages, pages...)
	}
	var buf bytes.Buffer
	if err := format.PDF(&buf, doc); err != nil {
		return download{}, err
	}
	return download{b.fileName(names) + ".pdf", "application/pdf", buf.Bytes()}, nil
}

func (b *bench) drawings(scenes []sheet.Scene, names []string, ext, kind string, write func(*bytes.Buffer, sheet.Scene) error) (download, error) {
	var box bytes.Buffer
	z := zip.NewWriter(&box)
	for i, s := range scenes {
		var buf bytes.Buffer
		if err := write(&buf, s); err != nil {
			return download{}, err
		}
		if len(scenes) == 1 {
			return download{b.fileName(names) + ext, kind, buf.Bytes()}, nil
		}
		f, err := z.Create(b.fileName(names[i:i+1]) + ext)
		if err != nil {
			return download{}, err
		}
		if _, err := f.Write(buf.Bytes()); err != nil {
			return download{}, err
		}
	}
	if err := z.Close(); err != nil {
		return download{}, err
	}
	return download{b.fileName(nil) + ".zip", "application/zip", box.Bytes()}, nil
}

// fileName joins the project's name and the sheet's, when it is one.
func (b *bench) fileName(names []string) string {
	name := strings.ToLower(strings.Join(strings.Fields(b.project.Name), "-"))
	if len(names) == 1 {
		return fmt.Sprintf("%s-%s", name, names[0])
	}
	return name
}
