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
	Lines               []string // what is measured, in words
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
	p := fretsPage{Assets: assetsPath, Name: b.project.Name, Title: "Frets", Two: b.project.Fret.Two()}
	l := b.project.Fret
	if p.Two {
		p.Lines = append(p.Lines, fmt.Sprintf("Two scales, %s on the bass side and %s on the treble side; fret %s is the square one.",
			measure.Length(l.BassScale), measure.Length(l.TrebleScale), plain(l.SquareFret)))
	} else {
		p.Lines = append(p.Lines, fmt.Sprintf("Scale length %s.", measure.Length(l.MeanScale())))
	}
	for _, row := range b.board.Rows {
		p.Rows = append(p.Rows, fretRowOf(row))
	}
	s.render(w, http.StatusOK, "frets.html", p)
	return nil
}

func fretRowOf(r fret.Row) fretRow {
	return fretRow{
		Fret:         plain(r.Fret),
		FromNut:      two(r.FromNut.Mm),
		FromPrevious: two(r.FromPrevious.Mm),
		Inches:       measure.Length(r.FromNut.Mm).Number(measure.Inches),
		Rule:         r.FromNut.Rule,
		Lost:         fmt.Sprintf("%+.2f", -r.FromNut.RuleLostMm),
		Bass:         two(r.BassFromNutMm),
		Treble:       two(r.TrebleFromNutMm),
		Angle:        fmt.Sprintf("%.2f", r.AngleRad/degree),
		Width:        two(r.BoardWidthMm),
	}
}

func two(v float64) string   { return fmt.Sprintf("%.2f", v) }
func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
