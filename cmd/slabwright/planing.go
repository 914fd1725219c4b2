package main

import (
	"fmt"
	"io"

	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/layout/place"
)

// planeAnswer is the best height, pitch and roll at a place in plan, for other
// programs.
type planeAnswer struct {
	Placement placementAnswer `json:"placement"`
	Slack     number          `json:"slack_mm"`      // the lesser of the wood over and under the body, beyond what flattening takes
	Bound     number          `json:"bound_mm"`      // no plane has more
	Level     number          `json:"level_mm"`      // what the best level plane has
	Gains     number          `json:"tilt_gains_mm"` // 0 where tilting gains nothing
	Says      string          `json:"says"`
}

// planingAnswer is what to take off the slab over and under the body as it
// lies, and how to wedge the slab up for that.
type planingAnswer struct {
	Above  removalAnswer `json:"above"`
	Below  removalAnswer `json:"below"`
	Wedges []wedgeAnswer `json:"wedges"`
}

type removalAnswer struct {
	Least         number    `json:"least_mm"` // square to the body; negative where wood is missing
	LeastAt       [3]number `json:"least_at_mm"`
	Most          number    `json:"most_mm"`
	MostAt        [3]number `json:"most_at_mm"`
	BreaksThrough bool      `json:"breaks_through"`
}

type wedgeAnswer struct {
	Name   string    `json:"name"`
	At     [3]number `json:"at_mm"` // on the slab's bottom
	Height number    `json:"height_mm"`
}

func point(p geom.Point3) [3]number { return [3]number{number(p.X), number(p.Y), number(p.Z)} }

func planeOf(l place.Plane, u measure.Unit) *planeAnswer {
	return &planeAnswer{answerOf(l.Placement), number(l.Slack), number(l.Bound), number(l.Level), number(l.TiltGains), l.Words(u)}
}

func planingOf(g place.Planing) *planingAnswer {
	side := func(r place.Removal) removalAnswer {
		return removalAnswer{number(r.Least.Value), point(r.Least.At), number(r.Most.Value), point(r.Most.At), r.BreaksThrough()}
	}
	a := &planingAnswer{Above: side(g.Above), Below: side(g.Below)}
	for _, w := range g.Wedges {
		a.Wedges = append(a.Wedges, wedgeAnswer{w.Name, point(w.At), number(w.Height)})
	}
	return a
}

// planes prints the best plane at a place, what to plane off over and under the
// body as it lies, and the wedges that hold the slab for it.
func (j *job) planes(w io.Writer, l place.Plane, g place.Planing) {
	wrap(w, "  ", "The best plane here: "+l.Words(j.unit)+". It is proved that no plane has more than "+j.length(l.Bound)+".")
	fmt.Fprintln(w)
	t := table("  to plane off", "least", "at x, y", "most", "at x, y")
	for _, s := range []struct {
		name string
		place.Removal
	}{{"over the body", g.Above}, {"under the body", g.Below}} {
		least := j.length(s.Least.Value)
		if s.BreaksThrough() {
			least += ": breaks through"
		}
		at := func(p geom.Point3) string { return j.number(p.X) + ", " + j.number(p.Y) }
		t.row("  "+s.name, least, at(s.Least.At), j.length(s.Most.Value), at(s.Most.At))
	}
	t.write(w)
	fmt.Fprintln(w)
	if g.Flat() {
		wrap(w, "  ", "The slab lies on the bench as the body lies in it: no wedges.")
		return
	}
	wrap(w, "  ", "Wedges that make the body's faces level, on the bench under the slab's bottom where it touches nothing else:")
	t = table("  under the body's", "height", "at x, y")
	for _, k := range g.Wedges {
		t.row("  "+k.Name, j.rule(k.Height), j.number(k.At.X)+", "+j.number(k.At.Y))
	}
	t.write(w)
}
