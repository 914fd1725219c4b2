package web

import (
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"path/filepath"
	"strings"

	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/layout/place"
	"slabwright/layout/sheet"
	"slabwright/layout/slab"
)

// benchPage is what page.html shows.
type benchPage struct {
	Assets, Name, Slab string
	File               string // base name, "" for the demo
	Unit               measure.Unit
	State              string // JSON for the script
	Drawing, Side      template.HTML
	Layers             []layerChoice
	Sheets             []sheetChoice
	Papers             []string
	Paper              string
	Fields             []string // hidden ones of the print form
	Steps              string   // of the arrow keys, in words
	Room               bool     // a search looks for room unless told otherwise
}

// layerChoice is a box to tick over the drawing.
type layerChoice struct {
	Name  string
	Shows string // layers or classes, apart by blanks
	On    bool
	ID    string // when the script asks for it
}

// pageState is what the script begins with.
type pageState struct {
	Bench   string        `json:"bench"`
	Steps   [3]float64    `json:"steps_mm"` // of the arrow keys: plain, with Shift, with Alt
	Unit    string        `json:"unit"`
	Length  float64       `json:"length_mm"` // of the slab
	Width   float64       `json:"width_mm"`
	Body    bodyState     `json:"body"`
	Saved   *wanted       `json:"saved"`   // the file's placement, null for none
	Settled bool          `json:"settled"` // its height is the one the slab gives
	Verdict verdictAnswer `json:"verdict"`
}

// bodyState is the body's outline in its own frame, v turned down as in SVG.
type bodyState struct {
	Path   string  `json:"path"`
	From   float64 `json:"from_u_mm"`
	To     float64 `json:"to_u_mm"`
	Middle float64 `json:"middle_v_mm"`
	Nut    float64 `json:"nut_u_mm"`
	Half   float64 `json:"half_v_mm"`
}

func (s *Server) page(w http.ResponseWriter, r *http.Request) error {
	b, err := s.read()
	if err != nil {
		return err
	}
	p := b.begin()
	if want, any := wantedFrom(r.URL.Query()); any {
		if p, err = b.placement(want); err != nil {
			return err
		}
	}
	plan, err := inline(b.overlay(p).Placed(), planPrefix)
	if err != nil {
		return err
	}
	side, err := inline(b.overlay(p).Side(), sidePrefix)
	if err != nil {
		return err
	}
	steps, stepWords := [3]float64{1, 10, 0.1}, "1 mm, with Shift 10 mm, with Alt 0.1 mm"
	if b.project.Unit == measure.Inches {
		steps, stepWords = [3]float64{25.4 / 16, 25.4 / 2, 25.4 / 64}, "1/16 in, with Shift 1/2 in, with Alt 1/64 in"
	}
	state := pageState{
		Bench: b.id, Unit: b.project.Unit.String(), Length: b.project.Slab.Length, Width: b.project.Slab.Width(),
		Body: b.bodyState(), Steps: steps, Settled: b.settled(p), Verdict: b.answer(p),
	}
	if b.project.Placement != nil {
		w := exactly(*b.project.Placement)
		state.Saved = &w
	}
	data, err := json.Marshal(state)
	if err != nil {
		return fmt.Errorf("the page's state: %w", err)
	}
	page := benchPage{
		Assets: assetsPath, Name: b.project.Name, Slab: b.describe(), Unit: b.project.Unit, State: string(data),
		Drawing: plan, Side: side, Layers: layerChoices(), Sheets: sheetChoices(), Paper: b.project.Paper.Size, Steps: stepWords, Room: b.project.Prefer == place.Room,
		Fields: []string{"bench", "x", "y", "angle", "height", "pitch", "roll", "face"},
	}
	for _, paper := range sheet.Papers() {
		page.Papers = append(page.Papers, paper.Name)
	}
	if s.config.File != "" {
		page.File = filepath.Base(s.config.File)
	}
	s.render(w, http.StatusOK, "page.html", page)
	return nil
}

func layerChoices() []layerChoice {
	return []layerChoice{
		{"woods", string(sheet.Strip), true, ""},
		{"glue lines", string(sheet.GlueLine), true, ""},
		{"planned chambers", string(slab.Planned), true, ""},
		{"cut chambers", string(slab.Cut), true, ""},
		{"fasteners, flaws", string(sheet.Fastener) + " " + string(sheet.Flaw), true, ""},
		{"cavities", string(sheet.Cavity) + " " + string(sheet.Hole), true, ""},
		{"frets, strings", string(sheet.Fret) + " " + string(sheet.String), true, ""},
		{"words", string(sheet.Note), false, "words"},
	}
}

// bodyState hands the outline to the script, which clips the wood to it while
// the body is dragged.
func (b *bench) bodyState() bodyState {
	ring := b.project.Body.Ring
	box := ring.Bounds()
	s := bodyState{Path: svgRing(ring), From: box.Min.X, To: box.Max.X, Middle: box.Centre().Y, Half: box.Height() / 2}
	s.Nut = -b.project.Body.ScaleLength
	return s
}

func svgRing(g geom.Polygon) string {
	var d strings.Builder
	for i, q := range g {
		c := 'L'
		if i == 0 {
			c = 'M'
		}
		fmt.Fprintf(&d, "%c%.3f %.3f", c, q.X, -q.Y)
	}
	d.WriteByte('Z')
	return d.String()
}
