package web

import (
	"encoding/json"
	"errors"
	"io"
	"math"
	"mime"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"slabwright/fret/measure"
	"slabwright/layout/place"
)

// wanted is a placement as the page sends it: words in every field. An empty
// height asks the slab for one.
type wanted struct {
	X      string `json:"x"`
	Y      string `json:"y"`
	Angle  string `json:"angle"`
	Height string `json:"height"`
	Pitch  string `json:"pitch"`
	Roll   string `json:"roll"`
	Face   string `json:"face"`
}

// asked is a wanted placement and the bench it was made on.
type asked struct {
	Bench string `json:"bench"`
	wanted
}

// fields are the names by which a placement stands in an address or a form.
func wantedFrom(v url.Values) (w wanted, any bool) {
	w = wanted{v.Get("x"), v.Get("y"), v.Get("angle"), v.Get("height"), v.Get("pitch"), v.Get("roll"), v.Get("face")}
	return w, w != wanted{}
}

// farthest bounds how far from the slab a body may be put, in mm.
const farthest = 20000

// placement reads what was wanted. It is the only way in for a placement.
func (b *bench) placement(w wanted) (place.Placement, error) {
	var p place.Placement
	for _, f := range []struct {
		field, name, text string
		to                *float64
	}{{"x", "x", w.X, &p.X}, {"y", "y", w.Y, &p.Y}, {"height", "height", w.Height, &p.Height}} {
		if f.text == "" {
			if f.field == "height" {
				continue
			}
			return p, wrong(f.field, "%s is empty; write a length such as %s", f.name, b.example())
		}
		l, err := measure.ParseLength(f.text, b.project.Unit)
		if err != nil {
			return p, wrong(f.field, "%s: %v", f.name, err)
		}
		if math.Abs(l.Mm()) > farthest {
			return p, wrong(f.field, "%s: %s is far off the slab, which is %s", f.name, f.text, b.describe())
		}
		*f.to = l.Mm()
	}
	for _, f := range []struct {
		field, name, text string
		most              float64
		to                *float64
	}{{"angle", "angle", w.Angle, 360, &p.Angle}, {"pitch", "pitch", w.Pitch, 45, &p.Pitch}, {"roll", "roll", w.Roll, 45, &p.Roll}} {
		if f.text == "" {
			continue // not turned, not tilted
		}
		a, err := measure.ParseAngle(f.text)
		if err != nil {
			return p, wrong(f.field, "%s: %v", f.name, err)
		}
		if math.Abs(a.Degrees()) > f.most {
			return p, wrong(f.field, "%s: %s is more than %g°", f.name, f.text, f.most)
		}
		*f.to = a.Radians()
	}
	switch p.Face = place.Face(w.Face); p.Face {
	case place.Top, place.Bottom:
	default:
		return p, wrong("face", "face: %q is none of the slab's faces; write top or bottom", w.Face)
	}
	if w.Height == "" {
		if p.Pitch != 0 || p.Roll != 0 {
			return p, wrong("height", "a tilted body needs a height; write one, or set pitch and roll to 0")
		}
		p = b.fit.Lay(p)
	}
	return p, nil
}

func (b *bench) example() string {
	if b.project.Unit == measure.Inches {
		return "25 1/2"
	}
	return "512.5"
}

// lengths shows lengths in the project's unit.
func (b *bench) lengths() func(mm float64) string {
	return func(mm float64) string { return measure.Length(mm).Format(b.project.Unit) }
}

// placed is a placement in an answer, the keys as the command line has them.
type placed struct {
	X      float64    `json:"x_mm"`
	Y      float64    `json:"y_mm"`
	Angle  float64    `json:"angle_deg"`
	Height float64    `json:"height_mm"`
	Pitch  float64    `json:"pitch_deg"`
	Roll   float64    `json:"roll_deg"`
	Face   place.Face `json:"face"`
}

const degree = math.Pi / 180

func placedOf(p place.Placement) placed {
	return placed{p.X, p.Y, p.Angle / degree, p.Height, p.Pitch / degree, p.Roll / degree, p.Face}
}

// shown is the placement as the fields show it.
func (b *bench) shown(p place.Placement) wanted {
	length := func(mm float64) string { return measure.Length(mm).Number(b.project.Unit) }
	angle := func(rad float64) string { return strings.TrimSuffix(measure.Angle(rad).String(), "°") }
	return wanted{length(p.X), length(p.Y), angle(p.Angle), length(p.Height), angle(p.Pitch), angle(p.Roll), string(p.Face)}
}

// exactly is the placement in words that lose nothing.
func exactly(p place.Placement) wanted {
	num := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	return wanted{num(p.X) + " mm", num(p.Y) + " mm", num(p.Angle / degree), num(p.Height) + " mm", num(p.Pitch / degree), num(p.Roll / degree), string(p.Face)}
}

// readJSON reads the body of a request strictly.
func readJSON(r *http.Request, into any) error {
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		return refusal{Status: http.StatusUnsupportedMediaType, Message: "this address takes application/json"}
	}
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	err := d.Decode(into)
	if err == nil {
		if _, more := d.Token(); more != io.EOF {
			err = errors.New("something stands after it")
		}
	}
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return err
	}
	if err != nil {
		return refusal{Status: http.StatusBadRequest, Message: "the request is not what this address takes: " + err.Error()}
	}
	return nil
}
