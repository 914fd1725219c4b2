// Package wood answers: how heavy is this wood, how does it move, how stiff is
// it, and what does it look like on a drawing?
//
// The table is embedded: species.csv and strength.csv keep each row's source
// beside it (the Wood Handbook of the U.S. Forest Products Laboratory,
// FPL-GTR-190 and FPL-GTR-282, read in public transcriptions; a row says what
// was checked and what is from memory). looks.csv adds our own short keys and
// display colours.
//
// Densities are kg/m³, moisture contents percent of the oven-dry mass,
// stresses MPa. Every value is an average over many trees: one board differs
// by about a tenth in density and a fifth in stiffness (Wood Handbook,
// Table 5-6), so a weighed board beats the table.
package wood

import (
	"bytes"
	_ "embed" // for the tables
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"slabwright/fret/measure/spelling"
)

// Species is a row of the wood table.
type Species struct {
	Key    string // as in project files: "western-redcedar"
	Common string // "western redcedar"
	Also   string // one more name in use, or empty
	Latin  string // "Thuja plicata"
	Group  string // "softwood", "hardwood", "imported"

	SG12    float64 // oven-dry mass over volume at 12 % moisture, over 1000 kg/m³
	SGGreen float64 // the same over green volume
	Radial  float64 // CR: change of a radial dimension, fraction for each percent of moisture
	Tangent float64 // CT: the same for a tangential one

	MOE      float64 // MPa, modulus of elasticity at 12 %; 0 = not in the tables
	MOR      float64 // MPa, modulus of rupture; 0 = not in the tables
	Hardness float64 // N, side hardness; 0 = not in the tables

	Colour string // "#rrggbb" for drawings: from memory, ours, not measured

	Source, Verified                 string // of density and movement
	StrengthSource, StrengthVerified string
}

//go:embed species.csv
var speciesCSV []byte

//go:embed strength.csv
var strengthCSV []byte

//go:embed looks.csv
var looksCSV []byte

// table is read once; nothing changes it afterwards.
var table = sync.OnceValue(func() []Species {
	list, err := read(speciesCSV, strengthCSV, looksCSV)
	if err != nil {
		panic("wood: the embedded table is broken: " + err.Error()) // a test reads it
	}
	return list
})

// All is the wood table in the order of its source.
func All() []Species { return slices.Clone(table()) }

var byName = sync.OnceValue(func() map[string]int {
	m := map[string]int{}
	list := table()
	for i, s := range list {
		for _, n := range []string{s.Key, s.Common, s.Latin, s.Also} {
			n = fold(n)
			if _, taken := m[n]; n != "" && !taken {
				m[n] = i
			}
		}
	}
	for i, s := range list {
		m[s.Key] = i // as it is written in most projects, without folding
	}
	return m
})

// Find looks a wood up by key, common name, Latin name or other name. Case,
// hyphens and spaces do not matter. An unknown name is answered with the
// nearest ones.
func Find(name string) (Species, error) {
	if i, ok := byName()[name]; ok {
		return table()[i], nil
	}
	if i, ok := byName()[fold(name)]; ok {
		return table()[i], nil
	}
	if strings.TrimSpace(name) == "" {
		return Species{}, fmt.Errorf("wood: no name given; for example %q", "western-redcedar")
	}
	near := nearest(name, 3)
	return Species{}, fmt.Errorf("wood: %q is not in the table; nearest are %s", name, strings.Join(near, ", "))
}

// fold makes names that read alike equal: letters and digits only, small.
func fold(name string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		}
		return -1
	}, name)
}

// nearest lists the n keys whose names are fewest letter changes away. A name
// that holds what was typed ("redcedar"), or a word near to it, counts as near.
func nearest(name string, n int) []string {
	want := fold(name)
	if len(want) > 60 {
		want = want[:60] // no name is longer; keeps the work small
	}
	type near struct {
		key  string
		away int
	}
	var list []near
	for _, s := range table() {
		best := near{s.Key, 1 << 30}
		for _, c := range []string{s.Key, s.Common, s.Also} {
			f := fold(c)
			if f == "" {
				continue
			}
			d := 2 * spelling.Slips(want, f)
			if want != "" && strings.Contains(f, want) {
				d = min(d, len(f)-len(want))
			}
			for _, word := range strings.FieldsFunc(c, func(r rune) bool { return strings.ContainsRune(" -,()", r) }) {
				if len(word) > 3 { // "fir" is near to everything
					d = min(d, 2*spelling.Slips(want, fold(word))+1)
				}
			}
			best.away = min(best.away, d)
		}
		list = append(list, best)
	}
	slices.SortStableFunc(list, func(a, b near) int { return a.away - b.away })
	var keys []string
	for _, l := range list[:min(n, len(list))] {
		keys = append(keys, l.key)
	}
	return keys
}

func read(species, strength, looks []byte) ([]Species, error) {
	rows, err := records(species, "species", "common", "group", "sg12", "sg_green", "cr", "ct", "source", "verified")
	if err != nil {
		return nil, fmt.Errorf("species: %w", err)
	}
	strong, err := records(strength, "common", "moe_mpa", "mor_mpa", "hardness_n", "source", "verified")
	if err != nil {
		return nil, fmt.Errorf("strength: %w", err)
	}
	look, err := records(looks, "common", "key", "also", "colour")
	if err != nil {
		return nil, fmt.Errorf("looks: %w", err)
	}
	if len(strong) != len(rows) || len(look) != len(rows) {
		return nil, fmt.Errorf("%d species, %d strengths, %d looks", len(rows), len(strong), len(look))
	}
	list := make([]Species, len(rows))
	for i, r := range rows {
		m, l := strong[i], look[i]
		if m[0] != r[1] || l[0] != r[1] {
			return nil, fmt.Errorf("row %d: %q, %q and %q are not one wood", i+1, r[1], m[0], l[0])
		}
		s := Species{
			Latin: r[0], Common: r[1], Group: r[2], Source: r[7], Verified: r[8],
			Key: l[1], Also: l[2], Colour: l[3],
			StrengthSource: m[4], StrengthVerified: m[5],
		}
		for _, f := range []struct {
			to   *float64
			text string
		}{{&s.SG12, r[3]}, {&s.SGGreen, r[4]}, {&s.Radial, r[5]}, {&s.Tangent, r[6]}, {&s.MOE, m[1]}, {&s.MOR, m[2]}, {&s.Hardness, m[3]}} {
			if f.text == "" {
				continue
			}
			if *f.to, err = strconv.ParseFloat(f.text, 64); err != nil {
				return nil, fmt.Errorf("%s: %w", s.Common, err)
			}
		}
		list[i] = s
	}
	return list, nil
}

// records reads the named columns of a table with a head line.
func records(data []byte, columns ...string) ([][]string, error) {
	all, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		return nil, err
	}
	var at []int
	for _, c := range columns {
		i := slices.Index(all[0], c)
		if i < 0 {
			return nil, fmt.Errorf("no column %q", c)
		}
		at = append(at, i)
	}
	var out [][]string
	for _, row := range all[1:] {
		pick := make([]string, len(at))
		for k, i := range at {
			pick[k] = row[i]
		}
		out = append(out, pick)
	}
	return out, nil
}
