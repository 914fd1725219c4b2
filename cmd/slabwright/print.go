package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/sheet"
	"slabwright/layout/sheet/format"
)

type printCommand struct {
	projectArg
	searching
	Out    string   `default:"overlays" placeholder:"DIR" help:"Folder to write into; it is made when it is not there (${default})."`
	Sheets []string `default:"all" placeholder:"LIST" help:"Sheets, parted by commas: all, or of ${sheets}."`
	Paper  string   `placeholder:"NAME" help:"Paper for PDF: ${papers}, a size like \"420 x 900 mm\", or \"roll 610 mm\" (the project's)."`
	Format []string `default:"pdf,svg,dxf" placeholder:"LIST" help:"File formats, parted by commas: ${formats} (${default})."`
	Around bool     `help:"Of the placement overlay, print only the part round the body and the nut: less paper. SVG and DXF hold all of it."`
	JSON   bool     `name:"json" help:"Answer with one JSON object."`
}

// Examples end the help.
func (*printCommand) Examples() []string {
	return []string{
		"slabwright print --out overlays",
		"slabwright print panel.toml --out overlays --paper A3",
		"slabwright print panel.toml --out overlays --sheets placement,body-front --format pdf",
		"slabwright print panel.toml --out overlays --sheets placement --format svg,dxf,png",
	}
}

// drawing is one scene and the name of its files.
type drawing struct {
	name  string
	scene sheet.Scene
	part  geom.Box // what goes on paper; the zero Box: all of it
}

// sheetKind is a sheet that can be asked for.
type sheetKind struct {
	name string
	// placed tells that it shows a placement, or the chambers round one.
	placed bool
	draw   func(j *job, p *place.Placement) ([]drawing, error)
}

func oneSheet(name string, placed bool, draw func(j *job, p *place.Placement) sheet.Scene) sheetKind {
	return sheetKind{name, placed, func(j *job, p *place.Placement) ([]drawing, error) {
		return []drawing{{name: name, scene: draw(j, p)}}, nil
	}}
}

// sheetKinds lists every sheet, in the order in which they are made.
func sheetKinds() []sheetKind {
	return []sheetKind{
		{"placement", true, func(j *job, p *place.Placement) ([]drawing, error) {
			o := j.overlay(*p)
			d := drawing{name: "placement", scene: o.PlacementOverlay()}
			if j.around {
				d.part = o.Around()
			}
			return []drawing{d}, nil
		}},
		oneSheet("body-front", false, func(j *job, _ *place.Placement) sheet.Scene {
			return sheet.BodyTemplate(j.Body, body.Front, j.Unit)
		}),
		oneSheet("body-back", false, func(j *job, _ *place.Placement) sheet.Scene {
			return sheet.BodyTemplate(j.Body, body.Back, j.Unit)
		}),
		oneSheet("fretboard", false, func(j *job, _ *place.Placement) sheet.Scene { return sheet.Fretboard(j.board, j.Unit) }),
		oneSheet("neck-plan", false, func(j *job, _ *place.Placement) sheet.Scene { return sheet.NeckPlan(j.NeckReport, j.Unit) }),
		oneSheet("neck-side", false, func(j *job, _ *place.Placement) sheet.Scene { return sheet.NeckSide(j.NeckReport, j.Unit) }),
		oneSheet("slab", true, func(j *job, p *place.Placement) sheet.Scene {
			return sheet.SlabPlan(j.hollowed(p), false, j.Unit)
		}),
		oneSheet("slab-side", true, func(j *job, p *place.Placement) sheet.Scene { return sheet.SlabSide(j.hollowed(p), j.Unit) }),
		oneSheet("stack", false, func(j *job, _ *place.Placement) sheet.Scene { return sheet.StackEnd(j.Slab, j.Unit) }),
		{"chambers", true, func(j *job, p *place.Placement) ([]drawing, error) {
			s := j.hollowed(p)
			hole := 0.0
			if j.Chambers != nil {
				hole = j.Chambers.CornerHole
			}
			var out []drawing
			for i := range s.Strips {
				if scene, ok := sheet.ChamberSheet(s, i, hole, j.Unit); ok {
					out = append(out, drawing{name: fmt.Sprintf("chambers-strip-%d", i+1), scene: scene})
				}
			}
			return out, nil
		}},
	}
}

// overlay is all that is drawn of a placement.
func (j *job) overlay(p place.Placement) sheet.Overlay {
	v := j.fit.Check(p)
	return sheet.Overlay{
		Slab: j.hollowed(&p), Body: j.Body, Frets: j.board, Seat: j.NeckReport.Joint.Seat,
		Placement: p, Need: j.Need, Verdict: &v, Unit: j.Unit, Project: j.Name,
	}
}

func sheetNames() string {
	var names []string
	for _, k := range sheetKinds() {
		names = append(names, k.name)
	}
	return strings.Join(names, ", ")
}

func paperNames() string {
	var names []string
	for _, p := range sheet.Papers() {
		names = append(names, p.Name)
	}
	return strings.Join(names, ", ")
}

// dotsPerMM is the fineness of PNG pictures: about 100 dots an inch, enough to
// look at; paper is printed from PDF.
const dotsPerMM = 4

// fileFormat writes a drawing in one format.
type fileFormat struct {
	name  string
	write func(b *bytes.Buffer, d drawing, o sheet.TileOptions) (pages int, err error)
}

func fileFormats() []fileFormat {
	return []fileFormat{
		{"pdf", func(b *bytes.Buffer, d drawing, o sheet.TileOptions) (int, error) {
			o.Part = d.part
			pages, err := sheet.TilePages(d.scene, o)
			if err != nil {
				return 0, err
			}
			return len(pages), format.PDF(b, sheet.Document{Title: o.Project + ": " + d.scene.Name, Subject: d.scene.Frame, Pages: pages})
		}},
		{"svg", func(b *bytes.Buffer, d drawing, _ sheet.TileOptions) (int, error) { return 1, format.SVG(b, d.scene) }},
		{"dxf", func(b *bytes.Buffer, d drawing, _ sheet.TileOptions) (int, error) { return 1, format.DXF(b, d.scene) }},
		{"png", func(b *bytes.Buffer, d drawing, _ sheet.TileOptions) (int, error) {
			return 1, format.PNG(b, d.scene, dotsPerMM)
		}},
	}
}

func formatNames() string {
	var names []string
	for _, f := range fileFormats() {
		names = append(names, f.name)
	}
	return strings.Join(names, ", ")
}

// pick finds the named members of a list, in the list's order. "all" is all.
func pick[T any](flag string, wanted []string, list []T, name func(T) string) ([]T, error) {
	left := map[string]bool{}
	for _, w := range wanted {
		if w = strings.TrimSpace(w); w != "" {
			left[w] = true
		}
	}
	all := left["all"]
	delete(left, "all")
	var out []T
	var names []string
	for _, t := range list {
		names = append(names, name(t))
		if all || left[name(t)] {
			out = append(out, t)
		}
		delete(left, name(t))
	}
	for w := range left {
		return nil, fmt.Errorf("%s: %q is not known; there are all, %s", flag, w, strings.Join(names, ", "))
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s names nothing; there are all, %s", flag, strings.Join(names, ", "))
	}
	return out, nil
}

// file is what is to be written.
type file struct {
	Name   string `json:"file"`
	Sheet  string `json:"sheet"`
	Format string `json:"format"`
	Pages  int    `json:"pages"`
	data   []byte
}

// Run makes all files, then writes them.
func (p *printCommand) Run(c *console) error {
	kinds, err := pick("--sheets", p.Sheets, sheetKinds(), func(k sheetKind) string { return k.name })
	if err != nil {
		return err
	}
	formats, err := pick("--format", p.Format, fileFormats(), func(f fileFormat) string { return f.name })
	if err != nil {
		return err
	}
	j, err := p.open()
	if err != nil {
		return err
	}
	j.around = p.Around
	name := j.Paper.Size
	if p.Paper != "" {
		name = p.Paper
	}
	paper, err := sheet.PaperNamed(name)
	if err != nil {
		return fmt.Errorf("--paper: %w", err)
	}
	var at *place.Placement
	if slices.ContainsFunc(kinds, func(k sheetKind) bool { return k.placed }) {
		if at, _, err = j.placed(c, p.searching); err != nil {
			return err
		}
		if at == nil {
			c.say("nothing is written; sheets that need no placement can be asked for by name")
			return errFailed
		}
	}
	options := sheet.TileOptions{Paper: paper, Margin: j.Paper.Margin, Overlap: j.Paper.Overlap, Project: j.Name}
	files, err := makeFiles(j, at, kinds, formats, options)
	if err != nil {
		return err
	}
	if err := writeAll(p.Out, files); err != nil {
		return err
	}
	var v *place.Verdict
	if at != nil {
		found := j.fit.Check(*at)
		v = &found
	}
	if p.JSON {
		a := struct {
			Project   string           `json:"project"`
			Placement *placementAnswer `json:"placement"`
			OK        *bool            `json:"ok"`
			Folder    string           `json:"folder"`
			Files     []file           `json:"files"`
		}{Project: j.Name, Folder: p.Out, Files: files}
		if at != nil {
			w := answerOf(*at)
			a.Placement, a.OK = &w, &v.OK
		}
		if err := c.answerJSON(a); err != nil {
			return err
		}
	} else {
		j.tellPrinted(c, p.Out, at, v, files)
	}
	if v != nil && !v.OK {
		return errFailed
	}
	return nil
}

func (j *job) tellPrinted(c *console, folder string, at *place.Placement, v *place.Verdict, files []file) {
	if at != nil {
		wrap(c.out, "", j.Name+": "+j.placement(*at))
		fmt.Fprintf(c.out, "score %.3f points\n\n", j.fit.Score(*at).Total)
		j.verdict(c.out, *v, false)
		fmt.Fprintln(c.out)
	}
	g := table("written to "+folder, "sheet", "pages")
	for _, f := range files {
		pages := ""
		if f.Format == "pdf" {
			pages = fmt.Sprint(f.Pages)
		}
		g.row(f.Name, f.Sheet, pages)
	}
	g.write(c.out)
	fmt.Fprintln(c.out)
	wrap(c.out, "", "Print at full size, not \"fit to page\", and measure the bars of 100 mm and 4 in on every sheet before you trust it. Saws, routers, glue and dust can hurt: follow the tool and glue makers' instructions.")
}

// makeFiles renders everything in memory, so that a drawing that fails leaves
// the folder as it was.
func makeFiles(j *job, at *place.Placement, kinds []sheetKind, formats []fileFormat, o sheet.TileOptions) ([]file, error) {
	files := []file{}
	for _, k := range kinds {
		drawings, err := k.draw(j, at)
		if err != nil {
			return nil, fmt.Errorf("sheet %s: %w", k.name, err)
		}
		for _, d := range drawings {
			for _, f := range formats {
				var b bytes.Buffer
				pages, err := f.write(&b, d, o)
				if err != nil {
					return nil, fmt.Errorf("sheet %s as %s: %w", d.name, f.name, err)
				}
				files = append(files, file{d.name + "." + f.name, d.scene.Name, f.name, pages, b.Bytes()})
			}
		}
	}
	return files, nil
}

// writeAll writes every file beside its place, then moves all of them there:
// a full disk leaves the folder as it was, and a reader sees whole files only.
func writeAll(folder string, files []file) (err error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("cannot make the folder: %w", err)
	}
	waiting := make([]string, 0, len(files))
	defer func() {
		for _, name := range waiting {
			_ = os.Remove(name) // moved ones are gone already
		}
	}()
	for _, f := range files {
		t, err := os.CreateTemp(folder, "."+f.Name+".*")
		if err != nil {
			return fmt.Errorf("cannot write: %w", err)
		}
		waiting = append(waiting, t.Name())
		_, err = t.Write(f.data)
		if err := errors.Join(err, t.Chmod(0o644), t.Close()); err != nil {
			return fmt.Errorf("cannot write %s: %w", f.Name, err)
		}
	}
	for i, f := range files {
		if err := os.Rename(waiting[i], filepath.Join(folder, f.Name)); err != nil {
			return fmt.Errorf("cannot write %s: %w", f.Name, err)
		}
	}
	return nil
}
