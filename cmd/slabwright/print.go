package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

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

// overlay is all that is drawn of a placement.
func (j *job) overlay(p place.Placement) sheet.Overlay {
	v := j.fit.Check(p)
	g := j.fit.Planing(p)
	return sheet.Overlay{
		Slab: j.hollowed(&p), Body: j.Body, Frets: j.board, Seat: j.NeckReport.Joint.Seat,
		Placement: p, Need: j.Need, Verdict: &v, Planing: &g, Unit: j.Unit, Project: j.Name,
	}
}

// sheets is all that the sheets are drawn from. Without a placement only those
// that show none can be.
func (j *job) sheets(p *place.Placement) sheet.Set {
	s := sheet.Set{Neck: j.NeckReport}
	if p != nil {
		s.Overlay = j.overlay(*p)
	} else {
		s.Overlay = sheet.Overlay{Slab: j.Slab, Body: j.Body, Frets: j.board, Unit: j.Unit, Project: j.Name}
	}
	s.Rules, s.Reserved = j.ChamberRules(), j.solid(p)
	return s
}

func sheetNames() string {
	var names []string
	for _, k := range sheet.Kinds() {
		names = append(names, k.Name)
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
	write func(b *bytes.Buffer, d sheet.Drawing, o sheet.TileOptions) (pages int, err error)
}

func fileFormats() []fileFormat {
	return []fileFormat{
		{"pdf", func(b *bytes.Buffer, d sheet.Drawing, o sheet.TileOptions) (int, error) {
			pages, err := d.Pages(o)
			if err != nil {
				return 0, err
			}
			return len(pages), format.PDF(b, sheet.Document{Title: o.Project + ": " + d.Scene.Name, Subject: d.Scene.Frame, Pages: pages})
		}},
		{"svg", func(b *bytes.Buffer, d sheet.Drawing, _ sheet.TileOptions) (int, error) {
			return 1, format.SVG(b, d.Scene)
		}},
		{"dxf", func(b *bytes.Buffer, d sheet.Drawing, _ sheet.TileOptions) (int, error) {
			return 1, format.DXF(b, d.Scene)
		}},
		{"png", func(b *bytes.Buffer, d sheet.Drawing, _ sheet.TileOptions) (int, error) {
			return 1, format.PNG(b, d.Scene, dotsPerMM)
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
	var names []string
	for _, t := range list {
		names = append(names, name(t))
	}
	for i, w := range wanted {
		wanted[i] = strings.TrimSpace(w)
		if w = wanted[i]; w != "" && w != "all" && !slices.Contains(names, w) {
			return nil, fmt.Errorf("%s: %q is not known; there are all, %s", flag, w, strings.Join(names, ", "))
		}
	}
	var out []T
	for _, t := range list {
		if slices.Contains(wanted, "all") || slices.Contains(wanted, name(t)) {
			out = append(out, t)
		}
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
	kinds, err := pick("--sheets", p.Sheets, sheet.Kinds(), func(k sheet.Kind) string { return k.Name })
	if err != nil {
		return err
	}
	formats, err := pick("--format", p.Format, fileFormats(), func(f fileFormat) string { return f.name })
	if err != nil {
		return err
	}
	j, err := p.open(c)
	if err != nil {
		return err
	}
	name := j.Paper.Size
	if p.Paper != "" {
		name = p.Paper
	}
	paper, err := sheet.PaperNamed(name)
	if err != nil {
		return fmt.Errorf("--paper: %w", err)
	}
	var at *place.Placement
	if slices.ContainsFunc(kinds, func(k sheet.Kind) bool { return k.Placed }) {
		if at, _, err = j.placed(c, p.searching); err != nil {
			return err
		}
		if at == nil {
			c.say("nothing is written; sheets that need no placement can be asked for by name")
			return errFailed
		}
	}
	options := sheet.TileOptions{Paper: paper, Margin: j.Paper.Margin, Overlap: j.Paper.Overlap, Project: j.Name, Unit: j.unit}
	set := j.sheets(at)
	set.Around = p.Around
	files, err := makeFiles(set, kinds, formats, options)
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
func makeFiles(set sheet.Set, kinds []sheet.Kind, formats []fileFormat, o sheet.TileOptions) ([]file, error) {
	files := []file{}
	for _, k := range kinds {
		for _, d := range k.Draw(set) {
			for _, f := range formats {
				var b bytes.Buffer
				pages, err := f.write(&b, d, o)
				if err != nil {
					return nil, fmt.Errorf("sheet %s as %s: %w", d.Name, f.name, err)
				}
				files = append(files, file{d.Name + "." + f.name, d.Scene.Name, f.name, pages, b.Bytes()})
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
