package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"slabwright/body"
	"slabwright/body/outline"
	"slabwright/fret/measure"
	"slabwright/layout/place"
)

type bodyCommand struct {
	projectArg
	searching
	JSON  bool   `name:"json" help:"Answer with one JSON object; numbers are not rounded."`
	Strap length `placeholder:"LENGTH" help:"Length of the strap, button to button (1100 mm)."`

	Outline     string `placeholder:"FILE" group:"An outline alone" help:"Report on the outline in this file instead of a project: SVG, DXF, or the points of a trace, x and y one a line (.csv, .txt, .xy)."`
	KnownLength length `placeholder:"LENGTH" group:"An outline alone" help:"Scale it to this length along the neck's direction."`
	ID          string `name:"id" placeholder:"NAME" group:"An outline alone" help:"The SVG element or group, or the DXF layer (the largest closed outline)."`
	NeckEnd     string `placeholder:"SIDE" group:"An outline alone" help:"Where the neck end is in the drawing: left, right, up, down, or as-drawn to leave it (inferred)."`
	Mirror      bool   `group:"An outline alone" help:"Mirror it: drawn from the back, or for the other hand."`
	Gap         length `placeholder:"LENGTH" group:"An outline alone" help:"Widest gap between ends that is closed (0.05 mm)."`
	Deviation   length `placeholder:"LENGTH" group:"An outline alone" help:"How far from a trace's points the outline may run (0.5 mm)."`
	Unit        *unit  `placeholder:"mm|in" group:"An outline alone" help:"The file's unit, when it does not say; also the one shown."`
}

// Examples end the help.
func (*bodyCommand) Examples() []string {
	return []string{
		"slabwright body",
		"slabwright body panel.toml --strap 1200mm --json",
		"slabwright body --outline traced.svg --known-length 402mm --neck-end up",
	}
}

// Run reports on the project's body in the wood of its placement, or on an
// outline.
func (b *bodyCommand) Run(c *console) error {
	if b.Outline != "" {
		return b.alone(c)
	}
	if b.KnownLength != 0 || b.ID != "" || b.NeckEnd != "" || b.Mirror || b.Gap != 0 || b.Deviation != 0 || b.Unit != nil {
		return errors.New("--known-length, --id, --neck-end, --mirror, --gap, --deviation and --unit go with --outline FILE")
	}
	j, err := b.open(c)
	if err != nil {
		return err
	}
	p, searched, err := j.placed(c, b.searching)
	if err != nil {
		return err
	}
	setting := body.Setting{Strap: body.Strap{Length: float64(b.Strap)}}
	var wood string
	if p != nil {
		setting.Wood = j.fit.Wood(*p)
		wood = "the wood under its placement in the slab"
	} else {
		w := j.Slab.Weight()
		density := w.BeforeG / w.VolumeBeforeMm3 * 1e6
		setting.Wood = j.Body.Uniform(density)
		wood = fmt.Sprintf("the slab's mean density, %.0f kg/m³, as it fits nowhere", density)
	}
	r, err := j.Body.NewReport(setting)
	if err != nil {
		return err
	}
	if b.JSON {
		a := struct {
			Project   string           `json:"project"`
			Placement *placementAnswer `json:"placement"`
			Searched  bool             `json:"searched"`
			*body.Report
		}{j.Name, placementOrNil(p), searched, r}
		if err := c.answerJSON(a); err != nil {
			return err
		}
	} else {
		fmt.Fprintf(c.out, "%s: the body, weighed with %s\n\n", j.Name, wood)
		if err := r.Write(c.out, j.unit); err != nil {
			return err
		}
	}
	if !r.OK || p == nil {
		return errFailed
	}
	return nil
}

func placementOrNil(p *place.Placement) *placementAnswer {
	if p == nil {
		return nil
	}
	a := answerOf(*p)
	return &a
}

// alone reports on an outline from a file.
func (b *bodyCommand) alone(c *console) error {
	if b.Project != "" {
		return errors.New("a project is named beside --outline: give one of them")
	}
	sides := map[string]outline.NeckSide{"": outline.NeckInferred, "left": outline.NeckLeft, "right": outline.NeckRight,
		"up": outline.NeckUp, "down": outline.NeckDown, "as-drawn": outline.AsDrawn}
	side, ok := sides[b.NeckEnd]
	if !ok {
		return fmt.Errorf("--neck-end %q: give left, right, up, down or as-drawn", b.NeckEnd)
	}
	o := outline.Options{ID: b.ID, GapMM: float64(b.Gap), LengthMM: float64(b.KnownLength), DeviationMM: float64(b.Deviation), Neck: side, Mirror: b.Mirror}
	show := ruler{measure.Millimetres}
	if b.Unit != nil {
		show = ruler{b.Unit.Unit}
		o.UnitMM, o.Show = b.Unit.Length().Mm(), b.Unit.Unit
	}
	f, err := os.Open(b.Outline)
	if err != nil {
		return fmt.Errorf("cannot read the outline: %w", err)
	}
	defer f.Close()
	in, err := outline.Import(b.Outline, f, o)
	if err != nil {
		return fmt.Errorf("%s: %w", b.Outline, err)
	}
	r := outline.Measure(in.Path)
	if b.JSON {
		a := struct {
			Area      number     `json:"area_mm2"`
			Perimeter number     `json:"perimeter_mm"`
			Length    number     `json:"length_mm"`
			Width     number     `json:"width_mm"`
			Centroid  [2]number  `json:"centroid_mm"`
			UpperBout number     `json:"upper_bout_mm"`
			Waist     number     `json:"waist_mm"`
			LowerBout number     `json:"lower_bout_mm"`
			Inside    number     `json:"smallest_inside_radius_mm"`
			InsideAt  *[2]number `json:"smallest_inside_radius_at_mm"`
			Hand      *string    `json:"hand"`
			Notes     []string   `json:"notes"`
		}{number(r.Area), number(r.Perimeter), number(r.Length), number(r.Width), [2]number{number(r.Centroid.X), number(r.Centroid.Y)},
			number(r.UpperBout.Width), number(r.Waist.Width), number(r.LowerBout.Width), number(r.SmallestInsideRadius), nil, nil, append([]string{}, in.Notes...)}
		if a.Inside.ok() {
			a.InsideAt = &[2]number{number(r.SmallestInsideAt.X), number(r.SmallestInsideAt.Y)}
		}
		if in.HandSeen {
			hand := in.Hand.String()
			a.Hand = &hand
		}
		return c.answerJSON(a)
	}
	fmt.Fprintf(c.out, "%s: %s long, %s wide\n\n", filepath.Base(b.Outline), show.length(r.Length), show.length(r.Width))
	g := table("measure", "size")
	g.row("area", measure.Area(r.Area).Format(show.unit))
	g.row("perimeter", show.length(r.Perimeter))
	if r.UpperBout.Width > 0 {
		g.row("upper bout", show.length(r.UpperBout.Width))
		g.row("waist", show.length(r.Waist.Width))
	}
	g.row("lower bout", show.length(r.LowerBout.Width))
	if number(r.SmallestInsideRadius).ok() {
		at := fmt.Sprintf("at u %s, v %s", show.number(r.SmallestInsideAt.X), show.number(r.SmallestInsideAt.Y))
		if r.SmallestInsideRadius == 0 {
			g.row("smallest inside radius", "a sharp inward corner "+at+": no router bit reaches into it")
		} else {
			g.row("smallest inside radius", show.length(r.SmallestInsideRadius)+" "+at+": the router bit's may be no larger")
		}
	}
	g.write(c.out)
	fmt.Fprintln(c.out)
	for _, n := range in.Notes {
		wrap(c.out, "", n)
	}
	return nil
}
