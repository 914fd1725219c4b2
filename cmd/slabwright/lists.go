package main

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"slabwright/layout/slab"
)

// slabList is one list of the slab's report as a table for other programs.
type slabList struct {
	name, what string
	rows       func(slab.Report) any // a slice of structs
}

// slabLists are the lists in the order of the work. Each column is called as
// its value is in JSON.
func slabLists() []slabList {
	return []slabList{
		{"cut-list", "the blanks to cut", func(r slab.Report) any { return r.CutList.Blanks }},
		{"rip-list", "what to rip", func(r slab.Report) any { return r.CutList.Rips }},
		{"woods", "the wood to buy", func(r slab.Report) any { return r.CutList.Woods }},
		{"boards", "the blanks and offcuts on the boards", func(r slab.Report) any { return onBoards(r) }},
		{"strips", "the strips and their pieces", func(r slab.Report) any { return piecesOf(r) }},
		{"stack", "what comes off the rough strips", func(r slab.Report) any {
			if r.Stack == nil {
				return []slab.StripTake{}
			}
			return r.Stack.Strips
		}},
		{"screws", "the holding screws planned, with --screws", func(r slab.Report) any {
			if r.Screws == nil {
				return []slab.Screw{}
			}
			return r.Screws.Screws
		}},
		{"fasteners", "the fasteners in the slab", func(r slab.Report) any { return r.Fasteners }},
		{"chambers", "the chambers", func(r slab.Report) any { return r.Hollowing.Chambers }},
		{"marks", "where chambers are marked on the strips", func(r slab.Report) any { return marksOf(r) }},
		{"air-holes", "bores and vents on the strips", func(r slab.Report) any { return airOf(r) }},
		{"glue-lines", "the faces of the joints beside chambers", func(r slab.Report) any { return r.Hollowing.Glue }},
		{"glue-up", "the steps of the glue-up", func(r slab.Report) any { return r.GlueUp.Steps }},
		{"cauls", "how each step's edges are clamped once sawn", func(r slab.Report) any { return caulsOf(r) }},
		{"edges", "the flats to plane: chamfers, or before rounding", func(r slab.Report) any { return flatsOf(r) }},
		{"fittings", "the fittings", func(r slab.Report) any { return r.Fittings.Fittings }},
		{"weights", "the weight piece by piece", func(r slab.Report) any { return r.Weight.Pieces }},
		{"movement", "how the pieces move", func(r slab.Report) any { return r.Motion.Pieces }},
		{"steps", "the steps that open at glue lines", func(r slab.Report) any { return r.Motion.Steps }},
		{"skins", "the skins under a load, estimated", func(r slab.Report) any { return r.Strength.Skins }},
	}
}

func slabListNames() string {
	var names []string
	for _, l := range slabLists() {
		names = append(names, l.name)
	}
	return strings.Join(names, ", ")
}

// table flattens the list's rows.
func (l slabList) table(r slab.Report) (head []string, rows [][]any) {
	list := reflect.ValueOf(l.rows(r))
	head, _ = columns(reflect.New(list.Type().Elem()).Elem())
	for i := range list.Len() {
		_, row := columns(list.Index(i))
		rows = append(rows, row)
	}
	return head, rows
}

// columns are the names of a struct's fields in JSON and their values. Points
// take a column each for x, y and z; lists of words stand in one, parted by
// semicolons; lists of anything else are lists of their own and left out.
// Strips are counted from 1, as a maker reads them.
func columns(v reflect.Value) (head []string, row []any) {
	for i := range v.NumField() {
		f := v.Type().Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		x := v.Field(i)
		switch {
		case f.Anonymous:
			h, r := columns(x)
			head, row = append(head, h...), append(row, r...)
			continue
		case name == "-":
			continue
		}
		switch x.Kind() {
		case reflect.Array:
			for k := range x.Len() {
				head = append(head, axis(name, k))
				row = append(row, x.Index(k).Interface())
			}
		case reflect.Slice:
			if words, ok := x.Interface().([]string); ok {
				head = append(head, name)
				row = append(row, strings.Join(words, "; "))
			}
		case reflect.Int:
			n := int(x.Int())
			if name == "strip" || strings.HasSuffix(name, "_strip") {
				n++
			}
			head, row = append(head, name), append(row, n)
		default:
			head, row = append(head, name), append(row, x.Interface())
		}
	}
	return head, row
}

// axis puts x, y or z before the unit: start_mm is start_x_mm first.
func axis(name string, k int) string {
	a := string("xyz"[k])
	if before, unit, ok := cutLast(name, "_"); ok {
		return before + "_" + a + "_" + unit
	}
	return name + "_" + a
}

func cutLast(s, sep string) (before, after string, ok bool) {
	i := strings.LastIndex(s, sep)
	if i < 0 {
		return s, "", false
	}
	return s[:i], s[i+len(sep):], true
}

type pieceRow struct {
	Strip       int     `json:"strip"`
	RightMm     float64 `json:"right_mm"`
	LeftMm      float64 `json:"left_mm"`
	ThicknessMm float64 `json:"thickness_mm"`
	slab.PartRow
}

func piecesOf(r slab.Report) (out []pieceRow) {
	for _, s := range r.Strips {
		for _, p := range s.Parts {
			out = append(out, pieceRow{s.Strip, s.RightMm, s.LeftMm, s.ThicknessMm, p})
		}
	}
	return out
}

type boardRow struct {
	Board    string  `json:"board"`
	What     string  `json:"what"` // a blank's name, or "offcut"
	LowMm    float64 `json:"low_mm"`
	FromMm   float64 `json:"from_mm"`
	LengthMm float64 `json:"length_mm"`
	WidthMm  float64 `json:"width_mm"`
}

func onBoards(r slab.Report) []boardRow {
	out := []boardRow{}
	if r.Nesting == nil {
		return out
	}
	for _, b := range r.Nesting.Boards {
		for _, rip := range b.Rips {
			for _, c := range rip.Cuts {
				out = append(out, boardRow{b.Name, c.Name, rip.LowMm, c.FromMm, c.LengthMm, c.WidthMm})
			}
		}
		for _, o := range b.Offcuts {
			out = append(out, boardRow{b.Name, "offcut", o.LowMm, o.FromMm, o.LengthMm, o.WidthMm})
		}
	}
	return out
}

type markRow struct {
	Strip int `json:"strip"`
	slab.ChamberMark
}

func marksOf(r slab.Report) (out []markRow) {
	for _, m := range r.Hollowing.Marks {
		for _, c := range m.Chambers {
			out = append(out, markRow{m.Strip, c})
		}
	}
	return out
}

type airRow struct {
	Strip int `json:"strip"`
	slab.AirMark
}

func airOf(r slab.Report) (out []airRow) {
	for _, m := range r.Hollowing.Marks {
		for _, a := range m.Air {
			out = append(out, airRow{m.Strip, a})
		}
	}
	return out
}

type caulRow struct {
	Step string `json:"step"`
	slab.ClampEdge
	StrapMm float64 `json:"strap_mm"`
}

func caulsOf(r slab.Report) (out []caulRow) {
	for _, s := range r.GlueUp.Steps {
		for _, e := range s.Edges {
			out = append(out, caulRow{s.What, e, s.StrapMm})
		}
	}
	return out
}

type flatRow struct {
	Face      string  `json:"face"`
	RadiusMm  float64 `json:"radius_mm"`
	ChamferMm float64 `json:"chamfer_mm"`
	Pass      int     `json:"pass"`
	slab.ChamferFlat
}

func flatsOf(r slab.Report) (out []flatRow) {
	for _, e := range r.Edges {
		for k, round := range e.Rounds {
			for _, f := range round.Flats {
				out = append(out, flatRow{e.Face, e.RadiusMm, e.ChamferMm, k + 1, f})
			}
		}
	}
	return out
}

// listed is the named list of the slab.
func listed(name string) (slabList, error) {
	all := slabLists()
	k := slices.IndexFunc(all, func(l slabList) bool { return l.name == name })
	if k < 0 {
		return slabList{}, fmt.Errorf("--list %s: give one of %s", name, slabListNames())
	}
	return all[k], nil
}

// listFiles are all lists with something in them, one file each.
func listFiles(r slab.Report) ([]file, error) {
	var files []file
	for _, l := range slabLists() {
		head, rows := l.table(r)
		if len(rows) == 0 {
			continue
		}
		var b bytes.Buffer
		if err := writeCSV(&b, head, rows); err != nil {
			return nil, err
		}
		files = append(files, file{Name: l.name + ".csv", Sheet: l.what, Format: "csv", data: b.Bytes()})
	}
	return files, nil
}
