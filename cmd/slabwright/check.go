package main

import (
	"fmt"
	"io"

	"slabwright/layout/place"
)

type checkCommand struct {
	projectArg
	searching
	JSON        bool   `name:"json" help:"Answer with one JSON object; numbers are not rounded."`
	All         bool   `help:"List every check, not only those that fail or have little to spare."`
	Certificate string `placeholder:"FILE" help:"Verify this proof too, written by slabwright place --certificate; a project without a placement takes the proof's."`
}

// Examples end the help.
func (*checkCommand) Examples() []string {
	return []string{
		"slabwright check",
		"slabwright check panel.toml --all",
		"slabwright check panel.toml --json && echo fits",
		"slabwright check panel.toml --certificate panel.proof",
	}
}

// verdictAnswer is a verdict for other programs. placement and ok are null
// when nothing fits.
type verdictAnswer struct {
	Project   string           `json:"project"`
	OK        bool             `json:"ok"`
	Placement *placementAnswer `json:"placement"`
	Searched  bool             `json:"searched"`
	Score     *number          `json:"score"`
	Checks    []checkAnswer    `json:"checks"`
	lieAnswer
}

type checkAnswer struct {
	Name    string     `json:"name"`
	OK      bool       `json:"ok"`
	Margin  *number    `json:"margin_mm,omitempty"`
	Need    *number    `json:"need_mm,omitempty"`
	At      *[3]number `json:"at_mm,omitempty"`
	Message string     `json:"message"`
}

// Run gives the verdict of the project's placement, or of the best one.
func (k *checkCommand) Run(c *console) error {
	j, err := k.open(c)
	if err != nil {
		return err
	}
	var proved place.Check
	if k.Certificate != "" {
		var best *place.Placement
		if proved, best, err = j.certified(k.Certificate); err != nil {
			return err
		}
		if j.Placement == nil {
			j.Placement = best
		}
	}
	p, searched, err := j.placed(c, k.searching)
	if err != nil {
		return err
	}
	a := verdictAnswer{Project: j.Name, Searched: searched, Checks: []checkAnswer{}}
	var v place.Verdict
	var l lie
	if p == nil {
		const none = "nothing fits, so there is nothing to check"
		v.Checks = []place.Check{{Name: "placement", Message: none}}
	} else {
		v = j.fit.Check(*p)
		at := answerOf(*p)
		a.Placement, a.Score = &at, pointer(j.fit.Score(*p).Total)
		if l, err = j.lie(*p); err != nil {
			return err
		}
		a.lieAnswer = l.answer(j.unit)
	}
	if k.Certificate != "" {
		v.Checks = append(v.Checks, proved)
		v.OK = v.OK && proved.OK
	}
	a.OK = v.OK
	if k.JSON {
		for _, x := range v.Checks {
			one := checkAnswer{Name: x.Name, OK: x.OK, Message: x.Message}
			// A margin without end is no length: nothing was near.
			if x.Measured && number(x.Margin).ok() {
				one.Margin, one.Need = pointer(x.Margin), pointer(x.Need)
				one.At = &[3]number{number(x.At.X), number(x.At.Y), number(x.At.Z)}
			}
			a.Checks = append(a.Checks, one)
		}
		if err := c.answerJSON(a); err != nil {
			return err
		}
	} else if p != nil {
		wrap(c.out, "", j.Name+": "+j.placement(*p))
		fmt.Fprintln(c.out)
		j.verdict(c.out, v, k.All)
		fmt.Fprintln(c.out)
		j.tellLie(c.out, l)
	}
	if proved.OK && !k.JSON {
		fmt.Fprintln(c.out)
		wrap(c.out, "", proved.Message)
	}
	if !v.OK {
		return errFailed
	}
	return nil
}

// spareShown is how much a check may have to spare, in mm, and still be listed
// when not all are asked for.
const spareShown = 5.0

// verdict prints the failed checks, then the tight ones, then how many are
// left.
func (j *job) verdict(w io.Writer, v place.Verdict, all bool) {
	u := j.unit.String()
	g := table("", "check", "margin "+u, "need "+u, "at x, y, z "+u)
	failures, rest := 0, 0
	for _, want := range []bool{false, true} {
		for _, x := range v.Checks {
			if x.OK != want {
				continue
			}
			if x.OK && !all && !(x.Measured && x.Margin-x.Need < spareShown) {
				rest++
				continue
			}
			word := "ok"
			if !x.OK {
				word = "FAIL"
				failures++
			}
			if !x.Measured {
				g.row(word, x.Name, "", "", "")
				continue
			}
			g.row(word, x.Name, j.fixed(x.Margin), j.fixed(x.Need), fmt.Sprintf("%s, %s, %s", j.number(x.At.X), j.number(x.At.Y), j.number(x.At.Z)))
		}
	}
	g.write(w)
	if rest > 0 {
		fmt.Fprintf(w, "%d more checks pass with %s or more to spare (--all lists them)\n", rest, j.length(spareShown))
	}
	fmt.Fprintln(w)
	for _, x := range v.Checks {
		if !x.OK {
			wrap(w, "", "FAIL "+x.Name+": "+x.Message)
		}
	}
	if failures == 0 {
		fmt.Fprintf(w, "all %d checks pass: the body is solid wood where it lies\n", len(v.Checks))
		return
	}
	fmt.Fprintf(w, "%d of %d checks fail\n", failures, len(v.Checks))
}
