package main

import (
	"fmt"

	"slabwright/layout/wood"
)

type woodCommand struct {
	Name     string  `arg:"" optional:"" placeholder:"NAME" help:"One wood, by its key, common or Latin name; all when none is named."`
	Moisture float64 `default:"12" placeholder:"PERCENT" help:"Moisture content for the densities (${default})."`
	answers
}

// Examples end the help.
func (*woodCommand) Examples() []string {
	return []string{
		"slabwright wood",
		`slabwright wood "western redcedar" --moisture 8`,
		"slabwright wood --csv > woods.csv",
	}
}

type woodAnswer struct {
	Key       string  `json:"key"`
	Common    string  `json:"common"`
	Also      string  `json:"also,omitempty"`
	Latin     string  `json:"latin"`
	Group     string  `json:"group"`
	Density   number  `json:"density_kg_m3"`
	SG12      number  `json:"specific_gravity_12"`
	SGGreen   number  `json:"specific_gravity_green"`
	Radial    number  `json:"radial_per_percent"`
	Tangent   number  `json:"tangential_per_percent"`
	Stiffness *number `json:"stiffness_mpa"`
	Strength  *number `json:"bending_strength_mpa"`
	Hardness  *number `json:"side_hardness_n"`
	Colour    string  `json:"colour"`
	Source    string  `json:"source"`
	Verified  string  `json:"verified"`
}

// known is null for what is not in the tables.
func known(v float64) *number {
	if v == 0 {
		return nil
	}
	return pointer(v)
}

// Run prints the table.
func (w *woodCommand) Run(c *console) error {
	if !(w.Moisture >= 0 && w.Moisture <= 30) {
		return fmt.Errorf("--moisture %g: give 0 to 30 percent; above that the cells hold free water", w.Moisture)
	}
	list := wood.All()
	if w.Name != "" {
		s, err := wood.Find(w.Name)
		if err != nil {
			return err
		}
		list = []wood.Species{s}
	}
	switch {
	case w.JSON:
		a := struct {
			Moisture number       `json:"moisture_percent"`
			Woods    []woodAnswer `json:"woods"`
			Caution  string       `json:"caution"`
			Colours  string       `json:"colours"`
		}{number(w.Moisture), []woodAnswer{}, wood.Caution, "for drawings; from memory, not measured"}
		for _, s := range list {
			a.Woods = append(a.Woods, woodAnswer{s.Key, s.Common, s.Also, s.Latin, s.Group, number(s.Density(w.Moisture)), number(s.SG12), number(s.SGGreen),
				number(s.Radial), number(s.Tangent), known(s.MOE), known(s.MOR), known(s.Hardness), s.Colour, s.Source, s.Verified})
		}
		return c.answerJSON(a)
	case w.CSV:
		var rows [][]any
		for _, s := range list {
			rows = append(rows, []any{s.Key, s.Common, s.Latin, s.Group, s.Density(w.Moisture), s.SG12, s.SGGreen, s.Radial, s.Tangent,
				orNil(s.MOE), orNil(s.MOR), orNil(s.Hardness), s.Colour, s.Source})
		}
		return c.answerCSV([]string{"key", "common", "latin", "group", "density_kg_m3", "specific_gravity_12", "specific_gravity_green",
			"radial_per_percent", "tangential_per_percent", "stiffness_mpa", "bending_strength_mpa", "side_hardness_n", "colour", "source"}, rows)
	}
	g := table("key", "common name", "group", fmt.Sprintf("kg/m³ at %g %%", w.Moisture), "movement %/%: radial", "tangential", "stiffness GPa", "colour")
	for _, s := range list {
		stiff := ""
		if s.MOE != 0 {
			stiff = fmt.Sprintf("%.1f", s.MOE/1000)
		}
		g.row(s.Key, s.Common, s.Group, fmt.Sprintf("%.0f", s.Density(w.Moisture)), fmt.Sprintf("%.3f", 100*s.Radial), fmt.Sprintf("%.3f", 100*s.Tangent), stiff, s.Colour)
	}
	g.write(c.out)
	fmt.Fprintln(c.out)
	wrap(c.out, "", "Averages over many trees: a board differs by about a tenth in density and a fifth in stiffness, so a weighed board beats the table. Colours are for drawings, from memory. --json tells each row's source.")
	wrap(c.out, "", wood.Caution)
	return nil
}

func orNil(v float64) any {
	if v == 0 {
		return nil
	}
	return v
}
