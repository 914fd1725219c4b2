package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"strings"
	"unicode/utf8"

	"slabwright/fret/measure"
	"slabwright/layout/place"
)

// answers is how a command with lists answers: in words, or for programs.
type answers struct {
	JSON bool `name:"json" xor:"format" help:"Answer with one JSON object; numbers are not rounded."`
	CSV  bool `name:"csv" xor:"format" help:"Answer with comma-separated values; numbers are not rounded."`
}

// number is a float64 that other programs read. What is no number (nothing
// found, no bound) is null, as JSON has no other word for it.
type number float64

// MarshalJSON writes null for infinities and NaN.
func (n number) MarshalJSON() ([]byte, error) {
	if !n.ok() {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n) + 0) // + 0, as −0 is written "-0"
}

func (n number) ok() bool { return !math.IsInf(float64(n), 0) && !math.IsNaN(float64(n)) }

func numbers(list []float64) []number {
	out := make([]number, len(list))
	for i, v := range list {
		out[i] = number(v)
	}
	return out
}

// answerJSON writes one JSON object and nothing else. A list with nothing in
// it is [] and not null, so that programs can go through it unasked.
func (c *console) answerJSON(v any) error {
	answer := reflect.New(reflect.TypeOf(v)).Elem()
	answer.Set(reflect.ValueOf(v))
	emptyLists(answer)
	v = answer.Interface()
	e := json.NewEncoder(c.out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// emptyLists makes the nil slices of an answer empty ones.
func emptyLists(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			emptyLists(v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				emptyLists(v.Field(i))
			}
		}
	case reflect.Slice:
		if v.IsNil() && v.CanSet() {
			v.Set(reflect.MakeSlice(v.Type(), 0, 0))
		}
		for i := range v.Len() {
			emptyLists(v.Index(i))
		}
	}
}

// answerCSV writes a head and rows to standard output.
func (c *console) answerCSV(head []string, rows [][]any) error { return writeCSV(c.out, head, rows) }

// writeCSV writes a head and rows; numbers are written as JSON does, so that
// they read back exactly.
func writeCSV(out io.Writer, head []string, rows [][]any) error {
	w := csv.NewWriter(out)
	if err := w.Write(head); err != nil {
		return err
	}
	for _, row := range rows {
		cells := make([]string, len(row))
		for i, v := range row {
			switch v := v.(type) {
			case string:
				cells[i] = v
			case nil:
			case float64:
				if number(v).ok() {
					text, _ := json.Marshal(v)
					cells[i] = string(text)
				}
			default:
				cells[i] = fmt.Sprint(v)
			}
		}
		if err := w.Write(cells); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

// grid is a table for a reader: a head and rows of cells. Columns whose cells
// are all numbers or empty stand flush right.
type grid struct {
	head []string
	rows [][]string
}

func table(head ...string) *grid { return &grid{head: head} }

func (g *grid) row(cells ...string) { g.rows = append(g.rows, cells) }

func (g *grid) write(w io.Writer) {
	if len(g.rows) == 0 {
		return
	}
	width := make([]int, len(g.head))
	right := make([]bool, len(g.head))
	for i := range g.head {
		right[i] = true
		for _, r := range append([][]string{g.head}, g.rows...) {
			width[i] = max(width[i], utf8.RuneCountInString(r[i]))
		}
		for _, r := range g.rows {
			right[i] = right[i] && numeric(r[i])
		}
	}
	line := func(cells []string) {
		var b strings.Builder
		for i, cell := range cells {
			pad := strings.Repeat(" ", width[i]-utf8.RuneCountInString(cell))
			if i > 0 {
				b.WriteString("  ")
			}
			if right[i] {
				b.WriteString(pad + cell)
			} else {
				b.WriteString(cell + pad)
			}
		}
		fmt.Fprintln(w, strings.TrimRight(b.String(), " "))
	}
	line(g.head)
	rule := make([]string, len(g.head))
	for i := range rule {
		rule[i] = strings.Repeat("-", width[i])
	}
	line(rule)
	for _, r := range g.rows {
		line(r)
	}
}

// numeric tells whether a cell looks like a number, perhaps with its unit.
func numeric(cell string) bool {
	return cell == "" || strings.ContainsAny(cell[:1], "0123456789+-.") || strings.HasPrefix(cell, "−")
}

// wrap writes words as lines of at most 88 characters, each after the indent.
func wrap(w io.Writer, indent, words string) {
	line := ""
	for _, word := range strings.Fields(words) {
		if line != "" && utf8.RuneCountInString(indent+line)+1+utf8.RuneCountInString(word) > 88 {
			fmt.Fprintln(w, indent+line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	if line != "" {
		fmt.Fprintln(w, indent+line)
	}
}

// ruler shows lengths in a project's unit.
type ruler struct{ unit measure.Unit }

func (r ruler) length(mm float64) string { return measure.Length(mm).Format(r.unit) }
func (r ruler) number(mm float64) string { return measure.Length(mm).Number(r.unit) }

// rule shows a length as it is set on a bench: millimetres to a tenth, inches
// to the nearest 1/64.
func (r ruler) rule(mm float64) string {
	if r.unit == measure.Inches {
		text, _ := measure.Length(mm).Sixtyfourths()
		return text
	}
	return fmt.Sprintf("%.1f mm", mm+0)
}

// angle shows degrees to a hundredth; a hair below 0 is 0.
func angle(rad float64) string {
	return strings.Replace(fmt.Sprintf("%.2f°", degrees(rad)), "-0.00°", "0.00°", 1)
}

func degrees(rad float64) float64 { return rad * 180 / math.Pi }

// placementAnswer is a placement for other programs.
type placementAnswer struct {
	X      number     `json:"x_mm"`
	Y      number     `json:"y_mm"`
	Angle  number     `json:"angle_deg"`
	Height number     `json:"height_mm"`
	Pitch  number     `json:"pitch_deg"`
	Roll   number     `json:"roll_deg"`
	Face   place.Face `json:"face"`
}

func answerOf(p place.Placement) placementAnswer {
	return placementAnswer{number(p.X), number(p.Y), number(degrees(p.Angle)), number(p.Height),
		number(degrees(p.Pitch)), number(degrees(p.Roll)), p.Face}
}

// words is a placement for a reader, in one line.
func (r ruler) placement(p place.Placement) string {
	s := fmt.Sprintf("scale point at x %s, y %s; centreline turned by %s; front plane at height %s; front = %s face",
		r.length(p.X), r.length(p.Y), measure.Angle(p.Angle), r.length(p.Height), p.Face)
	if !p.Level() {
		s += fmt.Sprintf("; pitch %s, roll %s", measure.Angle(p.Pitch), measure.Angle(p.Roll))
	}
	return s
}

// fixed shows a length with as many digits as a maker can mark, so that the
// points of a column stand under each other: 0.01 mm, 0.001 in.
func (r ruler) fixed(mm float64) string {
	s := fmt.Sprintf("%.2f", mm)
	if r.unit == measure.Inches {
		s = fmt.Sprintf("%.3f", measure.Length(mm).Inches())
	}
	if strings.Trim(s, "-0.") == "" { // a hair below 0 is 0
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

func (r ruler) signed(mm float64) string {
	s := r.fixed(mm)
	if strings.HasPrefix(s, "-") {
		return s
	}
	return "+" + s
}

// mass shows kilograms or grams, or pounds or ounces where lengths are inches.
func (r ruler) mass(grams float64) string {
	return measure.Mass(grams).Format(r.unit)
}
