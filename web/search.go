package web

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"time"

	"slabwright/layout/place"
)

// searchAsked is what the page sends to begin a search.
type searchAsked struct {
	Bench   string `json:"bench"`
	Seconds string `json:"seconds"` // at most; empty for as long as it takes
	Prefer  string `json:"prefer"`  // "looks" or "room"; empty for what the project prefers
}

// alternatives is how many further placements the page offers to pick from.
const alternatives = 5

// longest bounds the time a maker may give a search, in seconds.
const longest = 3600

// progressAnswer is one event of a search.
type progressAnswer struct {
	Doing     string      `json:"doing"`     // where it is not the search itself
	Placement *placed     `json:"placement"` // best so far; null before the first
	Score     *float64    `json:"score"`
	Bound     *float64    `json:"bound"` // null while nothing is proved
	Gap       *float64    `json:"gap"`
	Room      *roomAnswer `json:"room"` // of a search for room; then score, bound and gap mean nothing
	Evaluated int         `json:"evaluated"`
	ElapsedMS int64       `json:"elapsed_ms"`
}

// roomAnswer is how far a search for room has come.
type roomAnswer struct {
	LeewayMM float64 `json:"leeway_mm"`
	MostMM   float64 `json:"most_mm"` // no allowed placement has more
	Leeway   string  `json:"leeway"`
	Most     string  `json:"most"`
	Gap      string  `json:"gap"`
}

// resultAnswer is the last event.
type resultAnswer struct {
	progressAnswer
	Flat         string              `json:"flat"` // where the score stays as good, in words
	Exact        *wanted             `json:"exact"`
	Shown        *wanted             `json:"shown"`
	Stopped      place.Stopped       `json:"stopped"`
	Alternatives []alternativeAnswer `json:"alternatives"`
	Infeasible   *infeasibleAnswer   `json:"infeasible"`
}

type alternativeAnswer struct {
	Placement placed  `json:"placement"`
	Exact     wanted  `json:"exact"`
	Score     float64 `json:"score"`
	Shown     wanted  `json:"shown"`
}

type infeasibleAnswer struct {
	Proved      bool               `json:"proved"`
	WithinMM    float64            `json:"within_mm"`
	Within      string             `json:"within"`
	Relaxations []relaxationAnswer `json:"relaxations"`
	Useless     []string           `json:"useless"`
	Undecided   []string           `json:"undecided"`
	Complete    bool               `json:"complete"`
	Body        []string           `json:"body"`
}

type relaxationAnswer struct {
	Limit     string `json:"limit"`
	By        string `json:"by"`
	Placement placed `json:"placement"`
	Exact     wanted `json:"exact"`
}

// search looks for the best placement and streams what it finds as
// server-sent events: "progress" now and then, "result" at the end. It ends
// when it has its proof, when its time is over, when it is stopped, or when
// the page goes away. A new search ends the one before.
func (s *Server) search(w http.ResponseWriter, r *http.Request) error {
	var ask searchAsked
	if err := readJSON(r, &ask); err != nil {
		return err
	}
	limit, err := seconds(ask.Seconds)
	if err != nil {
		return err
	}
	b, err := s.open(ask.Bench)
	if err != nil {
		return err
	}
	prefer := b.project.Prefer
	switch p := place.Preference(ask.Prefer); p {
	case "":
	case place.Looks, place.Room:
		prefer = p
	default:
		return wrong("prefer", "what to look for: %q; write looks or room", ask.Prefer)
	}
	ctx, done := s.startSearch(r.Context())
	defer done()

	news := make(chan progressAnswer, 1)
	type outcome struct {
		place.Result
		error
	}
	end := make(chan outcome, 1)
	go func() {
		defer func() {
			// A panic here would end the whole program, not one request.
			if v := recover(); v != nil {
				end <- outcome{error: fmt.Errorf("panic in the search: %v", v)}
			}
		}()
		o := place.Options{Limit: limit, Alternatives: alternatives, Prefer: prefer, After: s.found.Load()}
		o.Progress = func(p place.Progress) {
			// Copied here, in the searching goroutine: what p.Best points to is
			// the search's own and may still change.
			a := b.progressOf(p.Best, p.Bound, p.Spacious, p.Evaluated, p.Elapsed)
			a.Doing = p.Doing
			select { // only the newest matters
			case <-news:
			default:
			}
			select {
			case news <- a:
			default:
			}
		}
		res, err := b.fit.Search(ctx, o)
		if err == nil && res.Spacious == nil {
			s.found.Store(&res)
		}
		end <- outcome{res, err}
	}()

	stream := eventStream(w)
	beat := time.NewTicker(100 * time.Millisecond) // no page needs more
	defer beat.Stop()
	for {
		select {
		case o := <-end:
			if o.error != nil {
				if r.Context().Err() != nil {
					return nil
				}
				s.log.Error("a search failed", "error", o.error)
				stream.send("error", refusal{Message: o.error.Error()})
				return nil
			}
			stream.send("result", b.resultAnswer(o.Result))
			return nil
		case <-beat.C:
			select {
			case a := <-news:
				stream.send("progress", a)
			default:
			}
		case <-r.Context().Done():
			<-end // the search watches the same context
			return nil
		}
	}
}

// startSearch ends the search that runs and gives the new one its context.
func (s *Server) startSearch(request context.Context) (context.Context, func()) {
	ctx, cancel := context.WithCancel(request)
	unhook := context.AfterFunc(s.alive, cancel)
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.stop != nil {
		s.stop()
	}
	s.ticket++
	mine := s.ticket
	s.stop = cancel
	return ctx, func() {
		unhook()
		cancel()
		s.mu.Lock()
		defer s.mu.Unlock()
		if s.ticket == mine {
			s.stop = nil
		}
	}
}

// stopSearch ends the search that runs; it answers on its own stream.
func (s *Server) stopSearch(w http.ResponseWriter, r *http.Request) error {
	s.mu.Lock()
	running := s.stop != nil
	if running {
		s.stop()
	}
	s.mu.Unlock()
	writeJSON(w, http.StatusOK, map[string]bool{"stopped": running})
	return nil
}

func seconds(text string) (time.Duration, error) {
	if text == "" {
		return 0, nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v > 0) || v > longest {
		return 0, wrong("seconds", "time for the search: %q; write seconds from 1 to %d, or nothing for as long as it takes", text, longest)
	}
	return time.Duration(v * float64(time.Second)), nil
}

func (b *bench) progressOf(best *place.Found, bound float64, room *place.Spacious, evaluated int, elapsed time.Duration) progressAnswer {
	a := progressAnswer{Evaluated: evaluated, ElapsedMS: elapsed.Milliseconds(), Bound: finite(bound)}
	if best != nil {
		p := placedOf(best.Placement)
		a.Placement, a.Score = &p, finite(best.Score.Total)
		a.Gap = finite(best.Score.Total - bound)
	}
	if room != nil && finite(room.Most) != nil {
		show := b.lengths()
		a.Room = &roomAnswer{room.Leeway, room.Most, show(room.Leeway), show(room.Most), show(room.Most - room.Leeway)}
	}
	return a
}

// flat words where the score stays as good as that of the best placement.
func (b *bench) flat(f *place.Flat) string {
	if f == nil {
		return ""
	}
	show := b.lengths()
	between := func(from, to float64) string {
		if to-from < 0.05 {
			return show((from + to) / 2)
		}
		return show(from) + " to " + show(to)
	}
	turned := fmt.Sprintf("%.2f°", f.AngleFrom/degree)
	if to := fmt.Sprintf("%.2f°", f.AngleTo/degree); to != turned {
		turned += " to " + to
	}
	return fmt.Sprintf("As good, each alone: x %s, y %s, turned by %s. Of these the saw has most room here.",
		between(f.XFrom, f.XTo), between(f.YFrom, f.YTo), turned)
}

// finite leaves out what JSON cannot hold and nobody can read.
func finite(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	return &v
}

func (b *bench) resultAnswer(r place.Result) resultAnswer {
	show := b.lengths()
	a := resultAnswer{progressAnswer: b.progressOf(r.Best, r.Bound, r.Spacious, r.Evaluated, r.Elapsed), Flat: b.flat(r.Flat), Stopped: r.Stopped, Alternatives: []alternativeAnswer{}}
	if r.Best != nil {
		w, v := exactly(r.Best.Placement), b.shown(r.Best.Placement)
		a.Exact, a.Shown = &w, &v
	}
	for _, f := range r.Alternatives {
		a.Alternatives = append(a.Alternatives, alternativeAnswer{placedOf(f.Placement), exactly(f.Placement), f.Score.Total, b.shown(f.Placement)})
	}
	if n := r.Infeasible; n != nil {
		i := infeasibleAnswer{Proved: n.Proved, WithinMM: n.Within, Within: show(n.Within), Relaxations: []relaxationAnswer{},
			Useless: append([]string{}, n.Useless...), Undecided: append([]string{}, n.Undecided...), Complete: n.Complete, Body: []string{}}
		for _, x := range n.Relaxations {
			i.Relaxations = append(i.Relaxations, relaxationAnswer{x.Limit, gives(x, show), placedOf(x.Placement), exactly(x.Placement)})
		}
		for _, k := range n.Body {
			i.Body = append(i.Body, k.Name+": "+k.Message)
		}
		a.Infeasible = &i
	}
	return a
}

// gives tells by how much a limit would have to give; "" for what is there or not.
func gives(x place.Relaxation, show func(float64) string) string {
	switch x.Unit {
	case place.YesOrNo:
		return ""
	case place.Radians:
		show = func(v float64) string { return fmt.Sprintf("%.2f°", v/degree) }
	}
	by, least := x.Told()
	if least == 0 {
		return show(by) + " less; not so much may do"
	}
	return fmt.Sprintf("%s less; %s would not do", show(by), show(least))
}

// events writes server-sent events (WHATWG HTML, section 9.2).
type events struct {
	w http.ResponseWriter
	c *http.ResponseController
}

func eventStream(w http.ResponseWriter) events {
	w.Header().Set("Content-Type", "text/event-stream")
	w.WriteHeader(http.StatusOK)
	e := events{w, http.NewResponseController(w)}
	// The server's time for reading a request goes on counting after it was
	// read, and at its end would take the maker for gone.
	_ = e.c.SetReadDeadline(time.Time{})
	_ = e.c.Flush()
	return e
}

// send writes one event. When the page is gone its context ends, which is
// noticed elsewhere; so nothing is done about a failed write.
func (e events) send(name string, v any) {
	data, err := json.Marshal(v)
	if err != nil {
		panic("an event cannot be written: " + err.Error())
	}
	fmt.Fprintf(e.w, "event: %s\ndata: %s\n\n", name, data)
	_ = e.c.Flush()
}
