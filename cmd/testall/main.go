// Command testall runs all tests of the module and ends with the list of the
// skipped ones and why, such as a program to install, so that a run that left
// something out cannot be taken for one that did not.
//
//	go run ./cmd/testall             all tests
//	go run ./cmd/testall ./fret/...  some of them
//	go run ./cmd/testall --no-skips  a skipped test counts as failed
//
// It exits with 0 when all is well, 1 when a test failed (or was skipped, with
// --no-skips), 2 when the tests could not be run.
package main

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, stdout, stderr io.Writer) int {
	flags := flag.NewFlagSet("testall", flag.ContinueOnError)
	flags.SetOutput(stderr)
	noSkips := flags.Bool("no-skips", false, "a skipped test counts as failed")
	if err := flags.Parse(args); err != nil {
		return 2
	}
	packages := flags.Args()
	if len(packages) == 0 {
		packages = []string{"./..."}
	}
	test := exec.Command("go", append([]string{"test", "-json"}, packages...)...)
	test.Stderr = stderr
	events, err := test.StdoutPipe()
	if err == nil {
		err = test.Start()
	}
	if err != nil {
		fmt.Fprintf(stderr, "testall: cannot run go test: %v\n", err)
		return 2
	}
	r := newReport(stdout)
	readErr := r.read(events)
	// The exit status of go test says no more than its events, except when it
	// could not begin; then there are none.
	waitErr := test.Wait()
	if readErr != nil || r.packages == 0 {
		fmt.Fprintf(stderr, "testall: go test gave no results: %v %v\n", readErr, waitErr)
		return 2
	}
	failures := r.end(*noSkips)
	if failures > 0 || waitErr != nil {
		return 1
	}
	return 0
}

// event is a line of go test -json (go doc test2json).
type event struct {
	Action  string
	Package string
	Test    string
	Output  string
	Elapsed float64
	// ImportPath is set where a package does not build.
	ImportPath string
}

// report gathers what the events say.
type report struct {
	out      io.Writer
	output   map[string][]string // lines of a test or a package, until it ends
	children map[string]bool     // tests that have subtests
	failing  map[string]bool     // packages of failed tests
	skips    []string            // "package test: why"

	packages                int
	passed, failed, skipped int
}

func newReport(out io.Writer) *report {
	return &report{out: out, output: map[string][]string{}, children: map[string]bool{}, failing: map[string]bool{}}
}

// read takes all events, printing packages as they end and what failed tests
// said.
func (r *report) read(events io.Reader) error {
	s := bufio.NewScanner(events)
	s.Buffer(nil, 16<<20)
	for s.Scan() {
		var e event
		if err := json.Unmarshal(s.Bytes(), &e); err != nil {
			fmt.Fprintln(r.out, s.Text()) // a tool speaking out of turn
			continue
		}
		r.take(e)
	}
	return s.Err()
}

func (r *report) take(e event) {
	key := e.Package + " " + e.Test
	switch e.Action {
	case "build-output":
		fmt.Fprint(r.out, e.Output)
	case "run":
		if i := strings.LastIndex(e.Test, "/"); i >= 0 {
			r.children[e.Package+" "+e.Test[:i]] = true
		}
	case "output":
		r.output[key] = append(r.output[key], e.Output)
	case "pass", "fail", "skip":
		if e.Test == "" {
			r.packageEnds(e)
		} else {
			r.testEnds(e, key)
		}
		delete(r.output, key)
	}
}

// testEnds counts a test. One with subtests stands for them unless it failed
// by itself, so only its failures' words are printed.
func (r *report) testEnds(e event, key string) {
	leaf := !r.children[key]
	switch e.Action {
	case "pass":
		if leaf {
			r.passed++
		}
	case "skip":
		r.skipped++
		r.skips = append(r.skips, fmt.Sprintf("%s %s: %s", e.Package, e.Test, why(r.output[key])))
	case "fail":
		r.failing[e.Package] = true
		if leaf {
			r.failed++
		}
		for _, line := range r.output[key] {
			fmt.Fprint(r.out, line)
		}
	}
}

func (r *report) packageEnds(e event) {
	r.packages++
	switch e.Action {
	case "skip":
		fmt.Fprintf(r.out, "none  %s (no tests)\n", e.Package)
	case "pass":
		fmt.Fprintf(r.out, "ok    %s  %.1f s\n", e.Package, e.Elapsed)
	case "fail":
		// What no test said: a panic, a package that does not build.
		for _, line := range r.output[e.Package+" "] {
			fmt.Fprint(r.out, line)
		}
		for key, lines := range r.output { // tests that a panic cut short
			if strings.HasPrefix(key, e.Package+" ") && key != e.Package+" " {
				r.failing[e.Package] = true
				r.failed++
				fmt.Fprint(r.out, strings.Join(lines, ""))
				delete(r.output, key)
			}
		}
		if !r.failing[e.Package] {
			r.failed++
		}
		fmt.Fprintf(r.out, "FAIL  %s  %.1f s\n", e.Package, e.Elapsed)
	}
}

// why is what a skipped test gave as its reason: the line that Skip wrote, less
// the file and line that the testing package puts before it.
func why(lines []string) string {
	for _, l := range lines {
		l = strings.TrimSpace(l)
		if l == "" || strings.HasPrefix(l, "===") || strings.HasPrefix(l, "---") {
			continue
		}
		if file, rest, ok := strings.Cut(l, ": "); ok && strings.Contains(file, ".go:") {
			return rest
		}
		return l
	}
	return "no reason given"
}

// end prints the skips and the sums, and returns how many failures there are.
func (r *report) end(noSkips bool) int {
	failures := r.failed
	if len(r.skips) > 0 {
		fmt.Fprintln(r.out, "\nSkipped:")
		slices.Sort(r.skips)
		for _, s := range r.skips {
			fmt.Fprintln(r.out, "  "+s)
		}
		if noSkips {
			fmt.Fprintln(r.out, "With --no-skips these count as failures.")
			failures += r.skipped
		}
	} else {
		fmt.Fprintln(r.out, "\nNothing was skipped.")
	}
	fmt.Fprintf(r.out, "%d passed, %d failed, %d skipped\n", r.passed, r.failed, r.skipped)
	return failures
}
