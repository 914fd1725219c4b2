package main

import (
	"fmt"
	"io"
	"strings"

	"slabwright/fret/measure"
	"slabwright/layout/place"
)

// robustnessAnswer is what a placement forgives, for other programs.
type robustnessAnswer struct {
	Leeway      number        `json:"leeway_mm"`    // off in any direction in plan, before it comes too near to anything
	Clearance   number        `json:"clearance_mm"` // least room in plan to the slab's edge and all that is reached in it
	Ways        []wayAnswer   `json:"ways"`
	Sensitivity []nudgeAnswer `json:"sensitivity"`
}

// wayAnswer is how far the body may go one way; one of by_mm and by_deg is there.
type wayAnswer struct {
	Way   string  `json:"way"` // "+x", "-x", "+y", "-y", "+turn", "-turn"
	Mm    *number `json:"by_mm,omitempty"`
	Deg   *number `json:"by_deg,omitempty"`
	Until *string `json:"check"` // that fails then; null where none does
}

type nudgeAnswer struct {
	DX      number `json:"dx_mm"`
	DY      number `json:"dy_mm"`
	Turn    number `json:"turn_deg"`
	Allowed bool   `json:"allowed"`
	Change  number `json:"change"` // of the score, points
}

// way is one of the ways in which a body may be off, for a reader and for
// programs.
type way struct {
	place.Way
	says, code string
	turn       bool
}

func ways(w place.Wander) []way {
	return []way{
		{w.Along, "toward +x", "+x", false}, {w.Back, "toward −x", "-x", false},
		{w.Left, "toward +y", "+y", false}, {w.Right, "toward −y", "-y", false},
		{w.TurnLeft, "turned left", "+turn", true}, {w.TurnRight, "turned right", "-turn", true},
	}
}

func robustnessOf(r place.Robustness) *robustnessAnswer {
	a := &robustnessAnswer{Leeway: number(r.Leeway), Clearance: number(r.Clearance)}
	for _, w := range ways(r.Wander) {
		one := wayAnswer{Way: w.code}
		if w.turn {
			one.Deg = pointer(degrees(w.Far))
		} else {
			one.Mm = pointer(w.Far)
		}
		if w.Until != "" {
			one.Until = &w.Until
		}
		a.Ways = append(a.Ways, one)
	}
	for _, n := range r.Nudges {
		a.Sensitivity = append(a.Sensitivity, nudgeAnswer{number(n.DX), number(n.DY), number(degrees(n.Turn)), n.Allowed, number(n.Change)})
	}
	return a
}

// flatAnswer is where a placement may go alone one way, scoring no more than
// the gap asked for allows.
type flatAnswer struct {
	X     [2]number `json:"x_mm"`
	Y     [2]number `json:"y_mm"`
	Angle [2]number `json:"angle_deg"`
}

func flatOf(f *place.Flat) *flatAnswer {
	if f == nil {
		return nil
	}
	return &flatAnswer{[2]number{number(f.XFrom), number(f.XTo)}, [2]number{number(f.YFrom), number(f.YTo)},
		[2]number{number(degrees(f.AngleFrom)), number(degrees(f.AngleTo))}}
}

// roomAnswer is what a search for room found and proved.
type roomAnswer struct {
	Leeway number `json:"leeway_mm"`
	Most   number `json:"most_mm"` // no allowed placement has more
}

// forgives prints how much a placement forgives.
func (j *job) forgives(w io.Writer, r place.Robustness) {
	g := table("  may be off alone", "by", "then fails", "points for 1 mm or 1°")
	for i, one := range ways(r.Wander) {
		by, until := j.length(one.Far), one.Until
		if one.turn {
			by = angle(one.Far)
		}
		if until == "" {
			until = "nothing"
		}
		n := r.Nudges[i]
		cost := "not allowed"
		if n.Allowed {
			cost = points(n.Change)
			if !strings.HasPrefix(cost, "-") {
				cost = "+" + cost
			}
		}
		g.row("  "+one.says, by, until, cost)
	}
	g.write(w)
	fmt.Fprintln(w)
	wrap(w, "  ", fmt.Sprintf("The saw may wander %s in any direction before the body comes too near to anything: to the slab's edge and what is in the wood, of which it is %s clear, a screw to a glue line, or past a must.",
		j.length(r.Leeway), j.length(r.Clearance)))
}

// lie is how a body lies in the wood: what its placement forgives, nil where
// that does not pass, the best plane there, and what is to be planed off.
type lie struct {
	robust  *place.Robustness
	plane   place.Plane
	planing place.Planing
}

// lieAnswer is a lie for other programs.
type lieAnswer struct {
	Robustness *robustnessAnswer `json:"robustness"` // null where the placement does not pass
	Plane      *planeAnswer      `json:"plane"`
	Planing    *planingAnswer    `json:"planing"`
}

func (j *job) lie(p place.Placement) (l lie, err error) {
	if r, err := j.fit.Robustness(p); err == nil {
		l.robust = &r
	}
	if l.plane, err = j.fit.BestPlane(p); err != nil {
		return l, err
	}
	l.planing = j.fit.Planing(p)
	return l, nil
}

func (l lie) answer(u measure.Unit) (a lieAnswer) {
	if l.robust != nil {
		a.Robustness = robustnessOf(*l.robust)
	}
	a.Plane, a.Planing = planeOf(l.plane, u), planingOf(l.planing)
	return a
}

func (j *job) tellLie(w io.Writer, l lie) {
	if l.robust != nil {
		j.forgives(w, *l.robust)
		fmt.Fprintln(w)
	}
	j.planes(w, l.plane, l.planing)
}
