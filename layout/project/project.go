package project

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/fret"
	"slabwright/fret/measure"
	"slabwright/fret/neck"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// Project is one project file turned into what the engines work on. A Project
// that Parse has returned is valid: every engine has accepted its part.
type Project struct {
	Name string
	Unit measure.Unit

	Fret       fret.Layout // with defaults filled in
	Neck       neck.Spec
	NeckReport *neck.Report
	NeckWoods  neck.Densities // of its woods and its rod
	BodySpec   body.Spec
	Body       *body.Body
	Slab       *slab.Slab
	Chambers   *slab.ChamberRules // nil: none are planned
	Reserved   []Reserved         // beside the footprint

	Shop Shop

	Need      place.Need
	Wish      place.Wish
	Prefer    place.Preference
	Placement *place.Placement // nil: to be searched
	Paper     Paper

	Notes []string // what was taken for granted in files that the project names

	Source *Source // the text and the place of every value in it

	path   string // of the file, "" when it was not read from one
	asRead []byte // what stood in it
	files  fs.FS
}

// Reserved is a place in the slab's plan that planned chambers keep clear of.
type Reserved struct {
	Name string
	Ring geom.Polygon
}

// Paper says what overlays are printed on. Lengths are mm.
type Paper struct {
	Size            string // "A4", "A3", "Letter", "Tabloid", ...
	Margin, Overlap float64
}

// Read reads the project file at path. Outlines and tuning files that it names
// are looked for beside it. Everything wrong in the file comes as Problems.
func Read(path string) (*Project, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("cannot read the project: %w", err)
	}
	p, err := Parse(filepath.Base(path), text, os.DirFS(filepath.Dir(path)))
	if err != nil {
		return nil, err
	}
	p.path, p.asRead = path, text
	return p, nil
}

// Parse reads a project from its text. name stands in messages; files holds
// the outlines and tuning files that it may name, nil for none.
func Parse(name string, text []byte, files fs.FS) (*Project, error) {
	s, err := ReadSource(name, text)
	if err != nil {
		var p Problem
		if errors.As(err, &p) {
			return nil, Problems{p}
		}
		return nil, err
	}
	p, _, err := parse(s, files)
	return p, err
}

// parse checks the source against the keys, then turns it into values. It
// also tells which keys were asked for.
func parse(s *Source, files fs.FS) (*Project, map[string]bool, error) {
	r := &reading{Source: s, read: map[string]bool{}}
	if n := s.root.child["unit"]; n != nil {
		if u, err := measure.ParseUnit(n.text); err == nil {
			r.unit = u // a wrong one is told by check
		}
	}
	r.check(s.root, "", "")
	if err := r.problems.err(); err != nil {
		return nil, nil, err
	}
	p := &Project{Unit: r.unit, Source: s, files: files}
	top := table{r: r, n: s.root}
	top.text("unit") // read above
	p.Name = strings.TrimSuffix(s.Name, ".toml")
	top.fill("name", &p.Name)

	p.readFret(top)
	if len(r.problems) == 0 { // what hangs on frets and strings has no meaning without
		p.readNeck(top)
	}
	if len(r.problems) == 0 {
		p.readBody(top)
	}
	p.readSlab(top.sub("slab"))
	p.readChambers(top)
	p.readPlace(top)
	p.readShop(top.sub("shop"))
	if err := r.problems.err(); err != nil {
		return nil, nil, err
	}
	return p, r.read, nil
}

func (p *Project) readPlace(top table) {
	p.Need = place.Need{}
	need := top.sub("need")
	need.fill("kerf", &p.Need.Kerf, "margin", &p.Need.Margin, "flatten", &p.Need.Flatten, "glue_line", &p.Need.GlueLine)

	w := &p.Wish
	wish := top.sub("wish")
	wish.fill("whole_front", &w.WholeFront, "back", &w.Back, "prefer", &p.Prefer)
	if face := wish.text("face"); face != "" {
		w.Faces = []place.Face{place.Face(face)}
	}
	from, to := wish.number("angle_from"), wish.number("angle_to")
	switch {
	case wish.has("angle_from") != wish.has("angle_to"):
		wish.wrong("angle_from", "only one of angle_from and angle_to is given", "give both")
	case wish.has("angle_from") && (from > to || to > from+2*halfTurn):
		wish.wrong("angle_to", "angle_to lies below angle_from or more than a turn above it", "write the least angle in angle_from, the greatest in angle_to")
	case wish.has("angle_from"):
		w.Angles = &[2]float64{from, to}
	}
	for _, t := range wish.list("strip") {
		s := place.StripWish{Strip: p.strip(t, "strip")}
		t.fill("must", &s.Must, "tolerance", &s.Tolerance)
		w.Strips = append(w.Strips, s)
	}
	for _, t := range wish.list("through") {
		s := place.ThroughWish{Line: p.glueLine(t, "line")}
		at := t.numbers("at")
		s.U, s.V = at[0], at[1]
		t.fill("must", &s.Must, "tolerance", &s.Tolerance)
		w.Through = append(w.Through, s)
	}
	near := func(name, value string) *place.NearWish {
		t := wish.sub(name)
		n := &place.NearWish{}
		t.fill(value, &n.Value, "must", &n.Must, "tolerance", &n.Tolerance)
		if !wish.has(name) {
			return nil
		}
		return n
	}
	w.NearX = near("near_x", "at")
	if w.Grain = near("grain", "angle"); w.Grain == nil {
		w.Grain = place.DefaultWish().Grain // along the centreline
	}
	wish.sub("weights").fill("mirror", &w.Weights.Mirror, "lines_mean", &w.Weights.LinesMean, "lines_worst", &w.Weights.LinesWorst,
		"hardware", &w.Weights.Hardware, "strip", &w.Weights.Strip, "through", &w.Weights.Through,
		"near_x", &w.Weights.NearX, "grain", &w.Weights.Grain)

	lies := &place.Placement{}
	top.sub("placement").fill("x", &lies.X, "y", &lies.Y, "angle", &lies.Angle, "height", &lies.Height,
		"pitch", &lies.Pitch, "roll", &lies.Roll, "face", &lies.Face)
	if top.has("placement") {
		p.Placement = lies
	}

	top.sub("paper").fill("size", &p.Paper.Size, "margin", &p.Paper.Margin, "overlap", &p.Paper.Overlap)
}
