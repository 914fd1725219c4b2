package web

import (
	"fmt"
	"net/http"
	"strconv"

	"slabwright/fret"
	"slabwright/fret/measure"
)

// fretsPage is what frets.html shows.
type fretsPage struct {
	Assets, Name, Title string
	Two                 bool
	Unit                measure.Unit // of what is not said to be mm or in
	Lines               []string     // what is measured, in words
	Rows                []fretRow
}

type fretRow struct {
	Fret, FromNut, FromPrevious, Inches, Rule, Lost string
	Bass, Treble, Angle                             string // two scales only
	Width                                           string
}

func (s *Server) frets(w http.ResponseWriter, r *http.Request) error {
	b, err := s.read()
	if err != nil {
		return err
	}
	p := fretsPage{Assets: assetsPath, Name: b.project.Name, Title: "Frets", Two: b.project.Fret.Two(), Unit: b.project.Unit}
	l, show := b.project.Fret, b.lengths()
	if p.Two {
		p.Lines = append(p.Lines, fmt.Sprintf("Two scales, %s on the bass side and %s on the treble side; fret %s is the square one.",
			show(l.BassScale), show(l.TrebleScale), plain(l.SquareFret)))
	} else {
		p.Lines = append(p.Lines, fmt.Sprintf("Scale length %s.", show(l.MeanScale())))
	}
	for _, row := range b.board.Rows {
		p.Rows = append(p.Rows, fretRowOf(row, b.project.Unit))
	}
	s.render(w, http.StatusOK, "frets.html", p)
	return nil
}

func fretRowOf(r fret.Row, u measure.Unit) fretRow {
	number := two
	if u == measure.Inches {
		number = func(mm float64) string { return fmt.Sprintf("%.4f", measure.Length(mm).Inches()) }
	}
	return fretRow{
		Fret:         plain(r.Fret),
		FromNut:      two(r.FromNut.Mm),
		FromPrevious: two(r.FromPrevious.Mm),
		Inches:       measure.Length(r.FromNut.Mm).Number(measure.Inches),
		Rule:         r.FromNut.Rule,
		Lost:         fmt.Sprintf("%+.2f", -r.FromNut.RuleLostMm),
		Bass:         number(r.BassFromNutMm),
		Treble:       number(r.TrebleFromNutMm),
		Angle:        fmt.Sprintf("%.2f", r.AngleRad/degree),
		Width:        number(r.BoardWidthMm),
	}
}

func two(v float64) string   { return fmt.Sprintf("%.2f", v) }
func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
