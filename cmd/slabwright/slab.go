package main

import (
	"fmt"
	"io"

	"slabwright/fret/measure"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

type slabCommand struct {
	projectArg
	searching
	answers
	Moisture float64 `placeholder:"PERCENT" help:"Weigh at this moisture content (each piece at its own)."`
	Patterns bool    `help:"Also lay the chambers out with each pattern of ribs, and compare."`
	Screws   bool    `help:"Also plan holding screws for sawing the outline, with the order of driving and of taking apart."`
	Save     bool    `help:"With --screws: write them into the project as [[slab.fastener]], every other byte left alone. From then on their holes count in all checks."`
	List     string  `placeholder:"NAME" default:"cut-list" help:"With --csv: which list (${default}): ${slabLists}."`
	Out      string  `placeholder:"DIR" help:"With --csv: write all lists into this folder, a file each."`
}

// Examples end the help.
func (*slabCommand) Examples() []string {
	return []string{
		"slabwright slab",
		"slabwright slab panel.toml --patterns --screws",
		"slabwright slab panel.toml --json             # strips in it are counted from 0, the rightmost",
		"slabwright slab panel.toml --csv > cut-list.csv",
		"slabwright slab panel.toml --csv --list rip-list",
		"slabwright slab panel.toml --csv --out lists",
		"slabwright slab panel.toml --screws --save    # planned screws become part of the project",
	}
}

// slabAnswer is the slab for other programs. Strips are counted from 0, so that
// their numbers are places in the list of strips.
type slabAnswer struct {
	Project   string           `json:"project"`
	Placement *placementAnswer `json:"placement"`
	slab.Report
	GlueLines []glueAnswer `json:"glue_lines"`
}

type glueAnswer struct {
	Name       string    `json:"name"`
	Transition bool      `json:"transition"`
	From       [2]number `json:"from_mm"`
	To         [2]number `json:"to_mm"`
}

// Run prints the lists.
func (s *slabCommand) Run(c *console) error {
	list, err := s.check()
	if err != nil {
		return err
	}
	j, err := s.open(c)
	if err != nil {
		return err
	}
	p := j.Placement
	if j.Chambers != nil { // they lie round the placement
		if p, _, err = j.placed(c, s.searching); err != nil {
			return err
		}
		if p == nil {
			c.say("the chambers are planned as if nothing were to be cut from the slab")
		}
	}
	o := j.slabOptions(p)
	o.MoisturePct, o.Compare, o.PlanScrews = s.Moisture, s.Patterns, s.Screws
	sl := j.Slab
	var r slab.Report
	if j.Chambers != nil {
		sl, r, err = sl.ReportPlanned(o)
	} else {
		r, err = sl.Report(o)
	}
	if err != nil {
		return err
	}
	if s.Save {
		if err := j.saveScrews(c, r.Screws.Fasteners); err != nil {
			return err
		}
	}
	switch {
	case s.JSON:
		a := slabAnswer{j.Name, placementOrNil(p), r, []glueAnswer{}}
		if a.Chambers == nil {
			a.Chambers = []slab.ChamberLine{}
		}
		for _, g := range sl.GlueLines() {
			a.GlueLines = append(a.GlueLines, glueAnswer{g.Name, g.Transition, [2]number{number(g.A.X), number(g.A.Y)}, [2]number{number(g.B.X), number(g.B.Y)}})
		}
		err = c.answerJSON(a)
	case s.Out != "":
		err = j.writeLists(c, s.Out, r)
	case s.CSV:
		head, rows := list.table(r)
		err = c.answerCSV(head, rows)
	default:
		j.tellSlab(c.out, r)
	}
	if err == nil && (!r.OK || p == nil && j.Chambers != nil) {
		err = errFailed
	}
	return err
}

// check tells which flags do not go together, and finds the list asked for.
func (s *slabCommand) check() (slabList, error) {
	list, err := listed(s.List)
	switch {
	case err != nil:
		return list, err
	case !s.CSV && s.Out != "":
		return list, fmt.Errorf("--out: only lists as comma-separated values go into a folder; give --csv too")
	case !s.CSV && s.List != "cut-list":
		return list, fmt.Errorf("--list: the readable answer has all lists; give --csv too")
	case s.Out != "" && s.List != "cut-list":
		return list, fmt.Errorf("--list: --out writes every list; leave one of them out")
	case s.Save && !s.Screws:
		return list, fmt.Errorf("--save: it writes the holding screws; give --screws too")
	case s.Save && s.Project == "":
		return list, fmt.Errorf("--save: the demo cannot be written to; name a project file (slabwright new FILE --from demo writes the demo out)")
	}
	return list, nil
}

// writeLists writes every list with something in it into the folder.
func (j *job) writeLists(c *console, folder string, r slab.Report) error {
	files, err := listFiles(r)
	if err != nil {
		return err
	}
	if err := writeAll(folder, files); err != nil {
		return err
	}
	g := table("written to "+folder, "what")
	for _, f := range files {
		g.row(f.Name, f.Sheet)
	}
	g.write(c.out)
	return nil
}

// saveScrews writes the screws into the project file.
func (j *job) saveScrews(c *console, screws []slab.Fastener) error {
	if len(screws) == 0 {
		c.say("no screw could be planned: nothing was written")
		return nil
	}
	if err := j.AddFasteners(screws); err != nil {
		return err
	}
	if err := j.Project.Save(); err != nil {
		return err
	}
	c.say("wrote %d screws into %s; their holes count from now on", len(screws), j.Source.Name)
	return nil
}

// slabOptions are the project's own rules for the slab's report.
func (j *job) slabOptions(p *place.Placement) slab.ReportOptions {
	o := slab.DefaultReportOptions()
	shop := j.Shop
	o.Cut, o.Boards, o.KerfMm, o.Glue, o.Finish, o.Stack, o.Fasteners = shop.Cut, shop.Boards, shop.Kerf, shop.Glue, shop.Finish, shop.Stack, shop.Screws
	if o.Cut.RipStepMm == 0 && j.unit == measure.Inches {
		o.Cut.RipStepMm = 25.4 / 16 // as a rip fence's scale is read
	}
	o.TemperatureC, o.HumidityPct = shop.TemperatureC, shop.HumidityPct
	o.SkinLoadN, o.SlabLoadN, o.HangerFactor = shop.SkinLoadN, shop.SlabLoadN, shop.HangerFactor
	o.Chambers, o.Reserved = j.ChamberRules(), j.solid(p)
	if p != nil {
		o.Hole = j.fit.Footprint(*p)
	}
	return o
}

func (j *job) tellSlab(w io.Writer, r slab.Report) {
	fmt.Fprintf(w, "%s: the slab, %s × %s, %d strips\n", j.Name, j.length(r.LengthMm), j.length(r.WidthMm), len(r.Strips))
	for _, t := range r.Tables(slab.ShowIn(j.unit)) {
		fmt.Fprintf(w, "\n%s\n", t.Title)
		g := table(t.Head...)
		for _, row := range t.Rows {
			g.row(row...)
		}
		g.write(w)
		for _, note := range t.Notes {
			wrap(w, "  ", note)
		}
	}
	fmt.Fprintf(w, "\nLengths without a unit are %s.\n", map[measure.Unit]string{measure.Millimetres: "mm", measure.Inches: "inches"}[j.unit])
}
