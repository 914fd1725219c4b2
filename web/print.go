package web

import (
	"archive/zip"
	"bytes"
	"fmt"
	"net/http"
	"strings"

	"slabwright/layout/place"
	"slabwright/layout/sheet"
	"slabwright/layout/sheet/format"
)

// sheetChoice is a sheet that can be ticked in the print form.
type sheetChoice struct {
	Name, Title string
	On          bool
}

func sheetChoices() []sheetChoice {
	var all []sheetChoice
	for i, k := range sheet.Kinds() {
		all = append(all, sheetChoice{k.Name, k.Title, i == 0})
	}
	return all
}

// print makes a download of the ticked sheets: one PDF of all, or one SVG or
// DXF a drawing, in a zip when there are several.
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
	kinds, err := sheetsNamed(r.PostForm["sheet"])
	if err != nil {
		return err
	}
	set := b.sheets(p)
	set.Around = r.PostForm.Get("around") == "yes"
	var drawings []sheet.Drawing
	for _, k := range kinds {
		drawings = append(drawings, k.Draw(set)...)
	}
	if len(drawings) == 0 {
		return wrong("sheet", "no strip has a chamber, so there is nothing to draw")
	}
	name := fileName(b.project.Name)
	if len(kinds) == 1 {
		name += "-" + kinds[0].Name
	}
	var d download
	switch kind := r.PostForm.Get("format"); kind {
	case "pdf":
		d, err = b.pdf(name, drawings, r.PostForm.Get("paper"))
	case "svg":
		d, err = filed(name, drawings, ".svg", "image/svg+xml", func(buf *bytes.Buffer, s sheet.Scene) error { return format.SVG(buf, s) })
	case "dxf":
		d, err = filed(name, drawings, ".dxf", "image/vnd.dxf", func(buf *bytes.Buffer, s sheet.Scene) error { return format.DXF(buf, s) })
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

// download is a file to be kept by the browser.
type download struct {
	name, kind string
	data       []byte
}

// sheets is what the sheets of a placement are drawn from.
func (b *bench) sheets(p place.Placement) sheet.Set {
	o := b.overlay(p)
	v := b.fit.Check(p)
	g := b.fit.Planing(p)
	o.Verdict, o.Planing = &v, &g
	return sheet.Set{Overlay: o, Neck: b.project.NeckReport, Rules: b.project.ChamberRules(), Reserved: b.project.Solid(b.fit.Reserved(p))}
}

// sheetsNamed finds the kinds of sheet, in the order of the form.
func sheetsNamed(names []string) (kinds []sheet.Kind, err error) {
	left := map[string]bool{}
	for _, n := range names {
		left[n] = true
	}
	var all []string
	for _, k := range sheet.Kinds() {
		all = append(all, k.Name)
		if left[k.Name] {
			kinds = append(kinds, k)
			delete(left, k.Name)
		}
	}
	for _, n := range names {
		if left[n] {
			return nil, wrong("sheet", "sheet %q is not known; there are %s", n, strings.Join(all, ", "))
		}
	}
	if len(kinds) == 0 {
		return nil, wrong("sheet", "no sheet is ticked; tick at least one")
	}
	return kinds, nil
}

func (b *bench) pdf(name string, drawings []sheet.Drawing, paper string) (download, error) {
	size, err := sheet.PaperNamed(paper)
	if err != nil {
		return download{}, wrong("paper", "%v", err)
	}
	doc := sheet.Document{Title: b.project.Name}
	for _, d := range drawings {
		pages, err := d.Pages(sheet.TileOptions{Paper: size, Margin: b.project.Paper.Margin, Overlap: b.project.Paper.Overlap, Project: b.project.Name, Unit: b.project.Unit})
		if err != nil {
			return download{}, wrong("paper", "%s: %v", d.Scene.Name, err)
		}
		doc.Pages = append(doc.Pages, pages...)
	}
	var buf bytes.Buffer
	if err := format.PDF(&buf, doc); err != nil {
		return download{}, err
	}
	return download{name + ".pdf", "application/pdf", buf.Bytes()}, nil
}

// filed writes each drawing to a file of its own.
func filed(name string, drawings []sheet.Drawing, ext, kind string, write func(*bytes.Buffer, sheet.Scene) error) (download, error) {
	var box bytes.Buffer
	z := zip.NewWriter(&box)
	for _, d := range drawings {
		var buf bytes.Buffer
		if err := write(&buf, d.Scene); err != nil {
			return download{}, fmt.Errorf("%s: %w", d.Name, err)
		}
		if len(drawings) == 1 {
			return download{name + ext, kind, buf.Bytes()}, nil
		}
		f, err := z.Create(d.Name + ext)
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
	return download{name + ".zip", "application/zip", box.Bytes()}, nil
}

// fileName is a project's name as a file may have it.
func fileName(name string) string {
	return strings.ToLower(strings.Join(strings.Fields(name), "-"))
}
