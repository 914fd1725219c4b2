package main

import (
	"fmt"

	"slabwright/layout/place"
)

// togetherAnswer is a joint placement for other programs.
type togetherAnswer struct {
	Pieces  []pieceAnswer `json:"pieces"` // null when not all found room
	Score   *number       `json:"score"`
	Bound   *number       `json:"bound"` // no joint placement scores less
	Gap     *number       `json:"gap"`
	Looked  int           `json:"evaluated"`
	Elapsed number        `json:"elapsed_ms"`
	Stopped place.Stopped `json:"stopped"`
	Missing *string       `json:"missing"` // the project whose piece found no room
	Proved  bool          `json:"proved"`  // that there is no room for it beside the others
}

type pieceAnswer struct {
	Project   string          `json:"project"`
	Placement placementAnswer `json:"placement"`
	Score     number          `json:"score"`
}

// together places the bodies of several projects in the slab that all of them
// describe.
func (p *placeCommand) together(c *console, first *job) error {
	jobs := []*job{first}
	for _, file := range p.Also {
		j, err := projectArg{Project: file}.open(c)
		if err != nil {
			return err
		}
		// By their words, as a number that is not given is a NaN, which equals nothing.
		if fmt.Sprintf("%+v", *j.Slab) != fmt.Sprintf("%+v", *first.Slab) {
			return fmt.Errorf("--also %s: it describes another slab than %s; pieces placed together lie in one slab, so give both files the same [slab]", file, first.Source.Name)
		}
		// One and the same slab, not its equal twin.
		if j.fit, err = place.NewCase(first.Slab, j.Body, j.Need, j.Wish); err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		jobs = append(jobs, j)
	}
	var cases []*place.Case
	for _, j := range jobs {
		cases = append(cases, j.fit)
	}
	watch := first.watch(c)
	r, err := place.Together(c.ctx, cases, place.Options{Limit: p.Limit, Progress: watch.progress()})
	watch.clear()
	if err != nil {
		return err
	}
	if p.JSON {
		err = c.answerJSON(togetherAnswerOf(jobs, r))
	} else {
		tellTogether(c, jobs, r)
	}
	if err == nil && r.Placed == nil {
		err = errFailed
	}
	return err
}

func togetherAnswerOf(jobs []*job, r place.Several) togetherAnswer {
	a := togetherAnswer{Looked: r.Evaluated, Elapsed: number(r.Elapsed.Seconds() * 1000), Stopped: r.Stopped, Proved: r.Proved}
	if r.Placed == nil {
		if r.Missing >= 0 {
			a.Missing = &jobs[r.Missing].Name
		}
		return a
	}
	for i, f := range r.Placed {
		a.Pieces = append(a.Pieces, pieceAnswer{jobs[i].Name, answerOf(f.Placement), number(f.Score.Total)})
	}
	a.Score, a.Bound, a.Gap = pointer(r.Score), pointer(r.Bound), pointer(r.Gap)
	return a
}

func tellTogether(c *console, jobs []*job, r place.Several) {
	if r.Placed == nil {
		name := "one of the pieces"
		if r.Missing >= 0 {
			name = jobs[r.Missing].Name
		}
		beside := "the others"
		if len(jobs) == 2 {
			beside = "the other"
		}
		if r.Proved {
			fmt.Fprintf(c.out, "%s finds no room beside %s; it is proved that there is none\n", name, beside)
			return
		}
		until := ""
		switch r.Stopped {
		case place.ByHand:
			until = " until it was stopped"
		case place.ByTime:
			until = " within the time limit"
		}
		fmt.Fprintf(c.out, "%s found no room beside %s%s; it is not proved that there is none\n", name, beside, until)
		return
	}
	fmt.Fprintf(c.out, "%d pieces in one slab\n\n", len(r.Placed))
	for i, f := range r.Placed {
		wrap(c.out, "  ", fmt.Sprintf("%s: %s; score %s", jobs[i].Name, jobs[i].placement(f.Placement), points(f.Score.Total)))
	}
	fmt.Fprintf(c.out, "\n  score   %s points together (less is better)\n", points(r.Score))
	fmt.Fprintf(c.out, "  bound   %s points: no joint placement scores less\n", points(r.Bound))
	fmt.Fprintf(c.out, "  gap     %s points\n", points(r.Gap))
	tellStopped(c.out, r.Stopped)
}
