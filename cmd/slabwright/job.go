package main

import (
	"fmt"
	"os"
	"time"

	"slabwright/body/geom"
	"slabwright/fret"
	"slabwright/layout/place"
	"slabwright/layout/project"
	"slabwright/layout/slab"
)

// projectArg is the project that a command works on.
type projectArg struct {
	Project string `arg:"" optional:"" placeholder:"PROJECT.toml" help:"Project file; without one, the demo that comes with the program."`
}

func (a projectArg) read() (*project.Project, error) {
	if a.Project == "" {
		return project.Demo(), nil
	}
	return project.Read(a.Project)
}

// searching is for commands that need a placement and search it when the
// project has none.
type searching struct {
	Limit  time.Duration `default:"20s" placeholder:"TIME" help:"Stop a search after this time with the best so far, such as 10s or 2m; 0s has no limit (${default})."`
	Prefer string        `placeholder:"WHAT" help:"What a search looks for: looks, the lowest score, or room, the most that the saw may wander (the project's [wish], else looks)."`
}

// preference is what a search of the job is to look for.
func (s searching) preference(j *job) (place.Preference, error) {
	switch p := place.Preference(s.Prefer); p {
	case "":
		return j.Prefer, nil
	case place.Looks, place.Room:
		return p, nil
	}
	return "", fmt.Errorf("--prefer %q is not known; write looks or room", s.Prefer)
}

// job is a project made ready for placing.
type job struct {
	*project.Project
	ruler
	board *fret.Plan
	fit   *place.Case
}

// open reads the project and makes it ready. What was taken for granted in
// files that it names is told.
func (a projectArg) open(c *console) (*job, error) {
	p, err := a.read()
	if err != nil {
		return nil, err
	}
	for _, n := range p.Notes {
		c.say("%s: %s", p.Source.Name, n)
	}
	board, err := p.Fret.Plan()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", p.Source.Name, err)
	}
	fit, err := place.NewCase(p.Slab, p.Body, p.Need, p.Wish)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", p.Source.Name, err)
	}
	return &job{Project: p, ruler: ruler{p.Unit}, board: board, fit: fit}, nil
}

// search looks for the best placement, with progress where a maker watches.
func (j *job) search(c *console, s searching, o place.Options) (place.Result, error) {
	if s.Limit < 0 {
		return place.Result{}, fmt.Errorf("--limit %v: give a time, such as 10s; 0s has no limit", s.Limit)
	}
	o.Limit = s.Limit
	var err error
	if o.Prefer, err = s.preference(j); err != nil {
		return place.Result{}, err
	}
	watch := j.watch(c)
	o.Progress = watch.progress()
	r, err := j.fit.Search(c.ctx, o)
	watch.clear()
	return r, err
}

func (j *job) watch(c *console) *watcher { return &watcher{console: c, ruler: j.ruler} }

// progress is what a search is to call, nil where nobody watches.
func (w *watcher) progress() func(place.Progress) {
	if !w.live() {
		return nil
	}
	w.say("searching; Ctrl-C takes the best so far")
	return w.show
}

// watcher shows how far a search has come, on one line of a terminal.
type watcher struct {
	*console
	ruler
	last time.Time
	used bool
}

// live tells whether a maker watches standard error.
func (w *watcher) live() bool {
	f, ok := w.err.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

func (w *watcher) show(p place.Progress) {
	if now := time.Now(); now.Sub(w.last) < 100*time.Millisecond { // faster than anyone reads
		return
	} else {
		w.last = now
	}
	w.used = true
	best := "nothing allowed found yet"
	switch {
	case p.Doing != "" && p.Best == nil:
		best = p.Doing
	case p.Spacious != nil:
		best = fmt.Sprintf("leeway %s, bound %s", w.length(p.Spacious.Leeway), w.length(p.Spacious.Most))
	case p.Best != nil:
		best = fmt.Sprintf("best %.3f points", p.Best.Score.Total)
		if number(p.Bound).ok() {
			best += fmt.Sprintf(", bound %.3f, gap %.3f", p.Bound, p.Best.Score.Total-p.Bound)
		}
	}
	line := fmt.Sprintf("%s; %d looked at, %.1f s", best, p.Evaluated, p.Elapsed.Seconds())
	if short := []rune(line); len(short) >= terminalWidth {
		line = string(short[:terminalWidth-2]) + "…"
	}
	// \r and "erase to the end of the line" (ECMA-48, EL) keep it to one line.
	fmt.Fprint(w.err, "\r\x1b[K"+line)
}

// terminalWidth is how wide a terminal is at least; a longer line would go on in the
// next, which erasing does not reach.
const terminalWidth = 80

func (w *watcher) clear() {
	if w.used {
		fmt.Fprint(w.err, "\r\x1b[K")
	}
}

// placed is the project's placement, or the best one when it has none; nil
// when nothing fits, and then the maker has been told. searched tells which.
func (j *job) placed(c *console, s searching) (p *place.Placement, searched bool, err error) {
	if _, err := s.preference(j); err != nil {
		return nil, false, err
	}
	if j.Placement != nil {
		return j.Placement, false, nil
	}
	c.say("%s has no placement: searching the best one", j.Source.Name)
	r, err := j.search(c, s, place.Options{})
	if err != nil {
		return nil, true, err
	}
	if r.Best == nil {
		j.tellInfeasible(c.err, r)
		return nil, true, nil
	}
	switch {
	case r.Stopped != place.ToTheEnd && r.Spacious != nil:
		c.say("the search was stopped (%s): a placement may exist with a leeway of %s instead of %s", r.Stopped, j.length(r.Spacious.Most), j.length(r.Spacious.Leeway))
	case r.Stopped != place.ToTheEnd:
		c.say("the search was stopped (%s): a better placement may exist, by at most %.3f points", r.Stopped, r.Gap)
	}
	return &r.Best.Placement, true, nil
}

// solid is the wood that no chamber may meet, with a placement or without.
func (j *job) solid(p *place.Placement) []geom.Polygon {
	if p == nil {
		return j.Solid(nil)
	}
	return j.Solid(j.fit.Reserved(*p))
}

// hollowed is the slab with chambers planned round the placement, where the
// project wants them planned; nil: as if nothing were to be cut from it.
func (j *job) hollowed(p *place.Placement) *slab.Slab {
	if p == nil {
		return j.Hollowed(nil)
	}
	return j.Hollowed(j.fit.Reserved(*p))
}
