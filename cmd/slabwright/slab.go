package main

import (
	"fmt"
	"strings"

	"slabwright/fret/measure"
	"slabwright/layout/place"
	"slabwright/layout/slab"
	"slabwright/layout/wood"
)

type slabCommand struct {
	projectArg
	searching
	answers
}

// Examples end the help.
func (*slabCommand) Examples() []string {
	return []string{
		"slabwright slab",
		"slabwright slab panel.toml --json",
		"slabwright slab panel.toml --csv > cut-list.csv",
	}
}

type slabAnswer struct {
	Project      string             `json:"project"`
	Placement    *placementAnswer   `json:"placement"`
	WeightBefore number             `json:"weight_before_kg"`
	WeightAfter  number             `json:"weight_after_kg"`
	BoardFeet    number             `json:"board_feet"`
	Width        number             `json:"width_mm"`
	Length       number             `json:"length_mm"`
	Centre       [3]number          `json:"centre_of_gravity_mm"`
	Strips       []stripAnswer      `json:"strips"`
	GlueLines    []glueAnswer       `json:"glue_lines"`
	Chambers     []chamberAnswer    `json:"chambers"`
	Blanks       []slab.Blank       `json:"cut_list"`
	Woods        []slab.WoodBuy     `json:"woods"`
	Pieces       []slab.PieceWeight `json:"pieces"`
}

type stripAnswer struct {
	Strip     int      `json:"strip"`
	Name      string   `json:"name"`
	Thickness number   `json:"thickness_mm"`
	Right     number   `json:"right_y_mm"`
	Left      number   `json:"left_y_mm"`
	Woods     []string `json:"woods"`
}

type glueAnswer struct {
	Name       string    `json:"name"`
	Transition bool      `json:"transition"`
	From       [2]number `json:"from_mm"`
	To         [2]number `json:"to_mm"`
}

type chamberAnswer struct {
	Strip      int               `json:"strip"`
	Name       string            `json:"name"`
	From       number            `json:"from_mm"`
	To         number            `json:"to_mm"`
	TopSkin    number            `json:"top_skin_mm"`
	BottomSkin number            `json:"bottom_skin_mm"`
	State      slab.ChamberState `json:"state"`
}

// Run prints the lists.
func (s *slabCommand) Run(c *console) error {
	j, err := s.open()
	if err != nil {
		return err
	}
	var p *place.Placement
	fits := true
	if j.Chambers != nil { // they lie round the placement
		if p, _, err = j.placed(c, s.searching); err != nil {
			return err
		}
		if fits = p != nil; !fits {
			c.say("the chambers are planned as if nothing were to be cut from the slab")
		}
	}
	sl := j.hollowed(p)
	cut := sl.CutList(slab.DefaultCutRules())
	switch {
	case s.JSON:
		err = c.answerJSON(slabOf(j, p, sl, cut))
	case s.CSV:
		var rows [][]any
		for _, b := range cut.Blanks {
			rows = append(rows, []any{b.Strip + 1, b.Name, b.Wood, b.Count, b.LengthMm, b.WidthMm, b.ThicknessMm, b.FinishedMm, b.BoardFeet})
		}
		err = c.answerCSV([]string{"strip", "name", "wood", "count", "length_mm", "width_mm", "thickness_mm", "finished_thickness_mm", "board_feet"}, rows)
	default:
		j.tellSlab(c, sl, cut)
	}
	if err == nil && !fits {
		err = errFailed
	}
	return err
}

func slabOf(j *job, p *place.Placement, sl *slab.Slab, cut slab.CutList) slabAnswer {
	w := sl.Weight()
	a := slabAnswer{Project: j.Name, Placement: placementOrNil(p), WeightBefore: number(w.BeforeG / 1000), WeightAfter: number(w.AfterG / 1000),
		BoardFeet: number(cut.BoardFeet), Width: number(sl.Width()), Length: number(sl.Length),
		Strips: []stripAnswer{}, GlueLines: []glueAnswer{}, Chambers: []chamberAnswer{}, Blanks: []slab.Blank{}, Woods: cut.Woods, Pieces: w.Pieces}
	for i, v := range w.CentreMm {
		a.Centre[i] = number(v)
	}
	for i, t := range sl.Strips {
		y0, y1 := sl.Band(i)
		one := stripAnswer{i + 1, sl.StripName(i), number(t.Thickness()), number(y0), number(y1), nil}
		for _, piece := range t.Pieces {
			one.Woods = append(one.Woods, piece.Wood)
		}
		a.Strips = append(a.Strips, one)
	}
	for _, g := range sl.GlueLines() {
		a.GlueLines = append(a.GlueLines, glueAnswer{g.Name, g.Transition, [2]number{number(g.A.X), number(g.A.Y)}, [2]number{number(g.B.X), number(g.B.Y)}})
	}
	for _, x := range sl.Chambers {
		a.Chambers = append(a.Chambers, chamberAnswer{x.Strip + 1, x.Name, number(x.From), number(x.To), number(x.TopSkin), number(x.BottomSkin), x.State})
	}
	// Strips are counted from 1 wherever a maker reads them.
	for _, b := range cut.Blanks {
		b.Strip++
		a.Blanks = append(a.Blanks, b)
	}
	for i := range a.Pieces {
		a.Pieces[i].Strip++
	}
	return a
}

func (j *job) tellSlab(c *console, sl *slab.Slab, cut slab.CutList) {
	u := j.unit.String()
	w := sl.Weight()
	fmt.Fprintf(c.out, "%s: the slab, %s × %s, %d strips\n\n", j.Name, j.length(sl.Length), j.length(sl.Width()), len(sl.Strips))
	g := table("strip", "name", "wood", "thickness "+u, "right side y "+u, "left side y "+u)
	for i, t := range sl.Strips {
		var woods []string
		for _, p := range t.Pieces {
			woods = append(woods, p.Wood)
		}
		y0, y1 := sl.Band(i)
		g.row(fmt.Sprint(i+1), sl.StripName(i), strings.Join(woods, ", then "), j.number(t.Thickness()), j.number(y0), j.number(y1))
	}
	g.write(c.out)

	fmt.Fprintln(c.out, "\nTo cut, standing on edge in the slab (rough sizes, joints and bow included):")
	g = table("strip", "piece", "wood", "count", "length "+u, "width "+u, "thickness "+u, "board feet")
	for _, b := range cut.Blanks {
		g.row(fmt.Sprint(b.Strip+1), b.Name, b.Wood, fmt.Sprint(b.Count), j.fixed(b.LengthMm), j.fixed(b.WidthMm), j.fixed(b.ThicknessMm), fmt.Sprintf("%.2f", b.BoardFeet))
	}
	g.write(c.out)
	fmt.Fprintln(c.out, "\nTo buy:")
	g = table("wood", "board feet", "with waste", "m³")
	for _, b := range cut.Woods {
		g.row(b.Common, fmt.Sprintf("%.2f", b.BoardFeet), fmt.Sprintf("%.2f", b.BuyBoardFeet), fmt.Sprintf("%.4f", b.VolumeM3))
	}
	g.row("all", fmt.Sprintf("%.2f", cut.BoardFeet), "", fmt.Sprintf("%.4f", cut.VolumeM3))
	g.write(c.out)

	if len(sl.Chambers) > 0 {
		fmt.Fprintln(c.out, "\nChambers, from the datum end:")
		g = table("strip", "name", "from "+u, "to "+u, "top skin "+u, "bottom skin "+u, "")
		for _, x := range sl.Chambers {
			g.row(fmt.Sprint(x.Strip+1), sl.StripName(x.Strip), j.fixed(x.From), j.fixed(x.To), j.fixed(x.TopSkin), j.fixed(x.BottomSkin), string(x.State))
		}
		g.write(c.out)
	}
	fmt.Fprintf(c.out, "\nweight before chambers  %s\n", measure.Mass(w.BeforeG))
	if len(sl.Chambers) > 0 {
		fmt.Fprintf(c.out, "weight after chambers   %s\n", measure.Mass(w.AfterG))
	}
	fmt.Fprintln(c.out)
	wrap(c.out, "", "Weights are estimates at each piece's own moisture; a weighed board beats the table. "+wood.Caution)
}
