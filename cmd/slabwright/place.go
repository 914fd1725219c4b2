package main

import (
	"fmt"
	"io"
	"math"

	"slabwright/body"
	"slabwright/layout/place"
)

type placeCommand struct {
	projectArg
	searching
	JSON         bool     `name:"json" help:"Answer with one JSON object; numbers are not rounded."`
	Alternatives int      `default:"3" placeholder:"N" help:"How many further, distinct placements to give (${default})."`
	Also         []string `placeholder:"FILE" help:"Place the body of this project too, in the same slab; may be given again."`
	Save         bool     `help:"Write the placement into the project file; no other byte of it changes."`
	Certificate  string   `placeholder:"FILE" help:"Write the proof, range by range, for slabwright check --certificate."`
}

// Examples end the help.
func (*placeCommand) Examples() []string {
	return []string{
		"slabwright place",
		"slabwright place panel.toml --limit 10s --alternatives 5",
		"slabwright place panel.toml --prefer room",
		"slabwright place panel.toml --save",
		"slabwright place panel.toml --json > placement.json",
		"slabwright place panel.toml --also plate.toml",
		"slabwright place panel.toml --certificate panel.proof",
	}
}

// placeAnswer is the result for other programs. What was not found is null.
type placeAnswer struct {
	Project      string            `json:"project"`
	Placement    *placementAnswer  `json:"placement"`
	Score        *number           `json:"score"`
	Bound        *number           `json:"bound"`
	Gap          *number           `json:"gap"`
	Terms        *termsAnswer      `json:"terms"`
	SeenShare    number            `json:"seen_share"` // of the front, that the mirror term compares
	Evaluated    int               `json:"evaluated"`
	Elapsed      number            `json:"elapsed_ms"`
	Stopped      place.Stopped     `json:"stopped"`
	Alternatives []foundAnswer     `json:"alternatives"`
	Infeasible   *infeasibleAnswer `json:"infeasible"`
	BodyFails    []string          `json:"body_fails"` // checks of the body itself, wherever it lies

	Prefer place.Preference `json:"prefer"`
	Room   *roomAnswer      `json:"room"` // of a search for room
	Flat   *flatAnswer      `json:"flat"` // of one for looks
	lieAnswer
}

type foundAnswer struct {
	Placement placementAnswer `json:"placement"`
	Score     number          `json:"score"`
}

type infeasibleAnswer struct {
	Proved      bool               `json:"proved"`
	Within      number             `json:"within_mm"`
	Relaxations []relaxationAnswer `json:"relaxations"`
	Useless     []string           `json:"useless"` // limits that alone would not do, for certain
	Undecided   []string           `json:"undecided"`
	Complete    bool               `json:"complete"` // every limit was asked, not only those for which there was time
	Body        []string           `json:"body"`     // what fails wherever the body lies
}

// relaxationAnswer has lengths or degrees, or neither for what is there or not.
type relaxationAnswer struct {
	Limit      string          `json:"limit"`
	By         *number         `json:"by_mm"`
	AtLeast    *number         `json:"at_least_mm"` // proved: less would not do
	ByDeg      *number         `json:"by_deg"`
	AtLeastDeg *number         `json:"at_least_deg"`
	Placement  placementAnswer `json:"placement"`
}

func infeasibleOf(n *place.Infeasible) infeasibleAnswer {
	i := infeasibleAnswer{Relaxations: []relaxationAnswer{}, Useless: []string{}, Undecided: []string{}, Body: []string{}}
	if n == nil {
		return i
	}
	i.Proved, i.Within, i.Complete = n.Proved, number(n.Within), n.Complete
	i.Useless, i.Undecided = append(i.Useless, n.Useless...), append(i.Undecided, n.Undecided...)
	for _, x := range n.Relaxations {
		r := relaxationAnswer{Limit: x.Limit, Placement: answerOf(x.Placement)}
		switch x.Unit {
		case place.Millimetres:
			r.By, r.AtLeast = pointer(x.By), pointer(x.AtLeast)
		case place.Radians:
			r.ByDeg, r.AtLeastDeg = pointer(x.By*180/math.Pi), pointer(x.AtLeast*180/math.Pi)
		}
		i.Relaxations = append(i.Relaxations, r)
	}
	for _, k := range n.Body {
		i.Body = append(i.Body, k.Name+": "+k.Message)
	}
	return i
}

// termsAnswer is the score by its terms, in points; they add up to the score.
type termsAnswer struct {
	Mirror     number `json:"mirror"`
	LinesMean  number `json:"lines_mean"`
	LinesWorst number `json:"lines_worst"`
	Hardware   number `json:"hardware"`
	Strip      number `json:"strip"`
	Through    number `json:"through"`
	NearX      number `json:"near_x"`
	Grain      number `json:"grain"`
}

func placeAnswerOf(name string, prefer place.Preference, seen float64, r place.Result) placeAnswer {
	a := placeAnswer{Project: name, Prefer: prefer, SeenShare: number(seen), Evaluated: r.Evaluated, Elapsed: number(r.Elapsed.Seconds() * 1000), Stopped: r.Stopped, Alternatives: []foundAnswer{}, BodyFails: []string{}}
	if r.Best != nil {
		p, s := answerOf(r.Best.Placement), r.Best.Score
		a.Placement, a.Score, a.Bound, a.Gap = &p, pointer(s.Total), pointer(r.Bound), pointer(r.Gap)
		a.Terms = &termsAnswer{number(s.Mirror), number(s.LinesMean), number(s.LinesWorst), number(s.Hardware),
			number(s.Strip), number(s.Through), number(s.NearX), number(s.Grain)}
		for _, f := range r.Alternatives {
			a.Alternatives = append(a.Alternatives, foundAnswer{answerOf(f.Placement), number(f.Score.Total)})
		}
		a.Flat = flatOf(r.Flat)
		if r.Spacious != nil {
			a.Room = &roomAnswer{number(r.Spacious.Leeway), number(r.Spacious.Most)}
		}
		return a
	}
	i := infeasibleOf(r.Infeasible)
	a.Infeasible, a.BodyFails = &i, i.Body
	return a
}

// Run searches and prints what was found and what was proved.
func (p *placeCommand) Run(c *console) error {
	if p.Alternatives < 0 || p.Alternatives > 100 {
		return fmt.Errorf("--alternatives %d: give 0 to 100", p.Alternatives)
	}
	if p.Save && p.Project == "" {
		return fmt.Errorf("--save: the demo cannot be written to; name a project file (slabwright new FILE --from demo writes the demo out)")
	}
	j, err := p.open(c)
	if err != nil {
		return err
	}
	prefer, err := p.preference(j)
	if err != nil {
		return err
	}
	if p.Certificate != "" && prefer == place.Room {
		return fmt.Errorf("--certificate: it proves the lowest score, and this search looks for room; give --prefer looks")
	}
	if len(p.Also) > 0 {
		if prefer == place.Room {
			return fmt.Errorf("--also: several pieces are placed by their looks alone; give --prefer looks")
		}
		if p.Save {
			return fmt.Errorf("--save: with --also nothing is written; put each placement into its own file")
		}
		if p.Certificate != "" {
			return fmt.Errorf("--certificate: only the placement of one body has one; leave out --also")
		}
		return p.together(c, j)
	}
	if p.Certificate != "" {
		if err := certificateFolder(p.Certificate); err != nil {
			return err
		}
	}
	r, err := j.search(c, p.searching, place.Options{Alternatives: p.Alternatives, Certificate: p.Certificate != ""})
	if err != nil {
		return err
	}
	if p.Certificate != "" {
		if err := c.writeCertificate(p.Certificate, r.Certificate); err != nil {
			return err
		}
	}
	if p.Save && r.Best != nil {
		if err := j.save(c, r.Best.Placement); err != nil {
			return err
		}
	}
	if r.Best == nil {
		if p.JSON {
			if err := c.answerJSON(placeAnswerOf(j.Name, prefer, j.fit.SeenShare(), r)); err != nil {
				return err
			}
		} else {
			j.tellInfeasible(c.out, r)
		}
		return errFailed
	}
	l, err := j.lie(r.Best.Placement)
	if err != nil {
		return err
	}
	fails := j.failing()
	if p.JSON {
		a := placeAnswerOf(j.Name, prefer, j.fit.SeenShare(), r)
		a.lieAnswer = l.answer(j.unit)
		for _, k := range fails {
			a.BodyFails = append(a.BodyFails, k.Name+": "+k.Message)
		}
		return c.answerJSON(a)
	}
	j.tell(c.out, r, l)
	tellBodyFails(c.out, fails)
	return nil
}

// failing are the checks that the body fails by itself; of a placement that is
// allowed no other fails.
func (j *job) failing() (out []body.Check) {
	for _, k := range j.Body.Check() {
		if !k.OK {
			out = append(out, k)
		}
	}
	return out
}

// tellBodyFails says what no placement mends.
func tellBodyFails(w io.Writer, fails []body.Check) {
	if len(fails) == 0 {
		return
	}
	fmt.Fprintln(w, "\nWherever the body lies, this fails of the body itself:")
	for _, k := range fails {
		wrap(w, "  ", k.Name+": "+k.Message)
	}
}

// points shows points to a thousandth; a hair below 0 is 0.
func points(v float64) string {
	if math.Abs(v) < 0.0005 {
		v = 0
	}
	return fmt.Sprintf("%.3f", v)
}

// save writes the placement into the file. What is written is rounded far
// below what a saw follows; the verdict is asked of that.
func (j *job) save(c *console, p place.Placement) error {
	if err := j.SetPlacement(p); err != nil {
		return err
	}
	if err := j.Save(); err != nil {
		return err
	}
	c.say("wrote the placement into %s", j.Source.Name)
	if !j.fit.Allowed(*j.Placement) {
		c.say("rounded to the digits written, it misses a need by a hair: see slabwright check")
	}
	return nil
}

// tell prints what was found for a reader.
func (j *job) tell(w io.Writer, r place.Result, l lie) {
	what := "the best placement"
	if r.Spacious != nil {
		what = "the placement with most room"
	}
	fmt.Fprintf(w, "%s: %s\n\n", j.Name, what)
	b := r.Best
	wrap(w, "  ", j.placement(b.Placement))
	fmt.Fprintln(w)
	if s := r.Spacious; s != nil {
		fmt.Fprintf(w, "  leeway  %s: so far the saw may wander in any direction\n", j.length(s.Leeway))
		fmt.Fprintf(w, "  bound   %s: no allowed placement has more\n", j.length(s.Most))
	}
	fmt.Fprintf(w, "  score   %s points (less is better)\n", points(b.Score.Total))
	switch {
	case r.Spacious != nil:
	case number(r.Bound).ok():
		fmt.Fprintf(w, "  bound   %s points: no allowed placement scores less\n", points(r.Bound))
		fmt.Fprintf(w, "  gap     %s points\n", points(r.Gap))
	default:
		fmt.Fprintln(w, "  bound   none proved yet")
	}
	tellStopped(w, r.Stopped)
	fmt.Fprintf(w, "  %d placements and ranges looked at in %.2f s\n", r.Evaluated, r.Elapsed.Seconds())
	g := table("  what it costs", "points")
	for _, t := range []struct {
		name   string
		points float64
	}{
		{"colours that differ across the centreline", b.Score.Mirror},
		{"glue lines off their mirror, mean", b.Score.LinesMean},
		{"glue lines off their mirror, worst", b.Score.LinesWorst},
		{"posts and screws near glue lines", b.Score.Hardware},
		{"wished strips off the centreline", b.Score.Strip},
		{"wished glue lines off their place", b.Score.Through},
		{"off the wished place along the slab", b.Score.NearX},
		{"off the wished grain angle", b.Score.Grain},
	} {
		if t.points != 0 {
			g.row("  "+t.name, points(t.points))
		}
	}
	if len(g.rows) > 0 {
		fmt.Fprintln(w)
		g.write(w)
	}
	share := fmt.Sprintf("Colours are compared over %.0f %% of the front: what is seen together with its mirror.", 100*j.fit.SeenShare())
	if j.fit.SeenShare() < 0.5 {
		share += " That is less than half of it: fretboard, bridge, pickups and covers hide the rest. whole_front = true in [wish] compares all."
	}
	fmt.Fprintln(w)
	wrap(w, "  ", share)
	if f := r.Flat; f != nil {
		fmt.Fprintln(w)
		between := func(from, to float64, show func(float64) string) string { return show(from) + " to " + show(to) }
		wrap(w, "  ", fmt.Sprintf("The score stays within the gap asked for from x %s, from y %s, turned from %s, each alone; of all that scores so, this place leaves the saw most room.",
			between(f.XFrom, f.XTo, j.length), between(f.YFrom, f.YTo, j.length), between(f.AngleFrom, f.AngleTo, angle)))
	}
	fmt.Fprintln(w)
	j.tellLie(w, l)
	if len(r.Alternatives) > 0 {
		u := j.unit.String()
		fmt.Fprintln(w, "\nOther placements, each the best of its kind:")
		g := table("  points", "x "+u, "y "+u, "angle", "height "+u, "face")
		for _, f := range r.Alternatives {
			p := f.Placement
			g.row(fmt.Sprintf("  %.3f", f.Score.Total), j.fixed(p.X), j.fixed(p.Y), angle(p.Angle), j.fixed(p.Height), string(p.Face))
		}
		g.write(w)
	}
}

// tellStopped says why a search ended before its gap was closed, if it did.
func tellStopped(w io.Writer, s place.Stopped) {
	switch s {
	case place.ByTime:
		fmt.Fprintln(w, "  stopped by the time limit; a longer --limit may close the gap")
	case place.ByHand:
		fmt.Fprintln(w, "  stopped by hand; what is said of the bound holds all the same")
	}
}

// tellInfeasible says that nothing fits, how sure that is, and what would have
// to give.
func (j *job) tellInfeasible(w io.Writer, r place.Result) {
	i := r.Infeasible
	switch {
	case i == nil || !i.Proved:
		wrap(w, "", fmt.Sprintf("%s: no allowed placement was found in %.1f s; it is not proved that there is none", j.Name, r.Elapsed.Seconds()))
	case i.Within == 0:
		wrap(w, "", fmt.Sprintf("%s: nothing fits: no placement passes, if only by a hair", j.Name))
	default:
		wrap(w, "", fmt.Sprintf("%s: nothing fits: no placement passes, even with every need %s smaller", j.Name, j.length(i.Within)))
	}
	if i == nil {
		return
	}
	if len(i.Relaxations) > 0 {
		fmt.Fprintln(w, "Each of these alone would let a placement pass:")
	}
	for _, x := range i.Relaxations {
		fmt.Fprintf(w, "  %s%s\n", x.Limit, j.gives(x))
		wrap(w, "      ", "then at "+j.placement(x.Placement))
	}
	if len(i.Useless) > 0 {
		fmt.Fprintln(w, "Proved not to do alone, however far they gave:")
		for _, name := range i.Useless {
			fmt.Fprintf(w, "  %s\n", name)
		}
	}
	if len(i.Undecided) > 0 {
		fmt.Fprintln(w, "Not decided in the ranges that were looked at:")
		for _, name := range i.Undecided {
			fmt.Fprintf(w, "  %s\n", name)
		}
	}
	if !i.Complete {
		fmt.Fprintln(w, "It was ended before every limit was asked: others may do as well.")
	}
	tellBodyFails(w, i.Body)
}

// gives tells by how much a limit would have to give.
func (j *job) gives(x place.Relaxation) string {
	show := j.length
	switch x.Unit {
	case place.YesOrNo:
		return ""
	case place.Radians:
		show = angle
	}
	by, least := x.Told()
	if least == 0 {
		return fmt.Sprintf(": give %s; less may do", show(by))
	}
	return fmt.Sprintf(": give %s; less than %s would not do", show(by), show(least))
}
