package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"slabwright": main})
}

// TestScripts runs the command lines of testdata/script, each in a fresh
// folder that holds the projects of testdata/projects.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			files, err := filepath.Glob("testdata/projects/*.toml")
			for _, f := range files {
				data, readErr := os.ReadFile(f)
				err = errors.Join(err, readErr, os.WriteFile(filepath.Join(e.WorkDir, filepath.Base(f)), data, 0o644))
			}
			return err
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"json": jsonCommand, "jsonkeys": jsonKeys, "proven": proven,
		},
		// A script that runs a name twice or leaves a file unread is a slip.
		RequireUniqueNames: true, RequireExplicitExec: true,
	})
}

// lastJSON reads standard output of the last command, which must be one JSON
// object and nothing else, and steps down a path such as frets.0.angle_deg; len
// is how long a list is.
func lastJSON(ts *testscript.TestScript, path string) any {
	d := json.NewDecoder(strings.NewReader(ts.ReadFile("stdout")))
	d.UseNumber()
	var v map[string]any
	ts.Check(d.Decode(&v))
	if _, err := d.Token(); err != io.EOF {
		ts.Fatalf("something stands behind the JSON object")
	}
	var at any = v
	for _, step := range strings.Split(path, ".") {
		if path == "." {
			break
		}
		switch in := at.(type) {
		case map[string]any:
			next, ok := in[step]
			if !ok {
				ts.Fatalf("%s: there is no key %q", path, step)
			}
			at = next
		case []any:
			if step == "len" {
				at = json.Number(strconv.Itoa(len(in)))
				continue
			}
			n, err := strconv.Atoi(step)
			if err != nil || n < 0 || n >= len(in) {
				ts.Fatalf("%s: the list has %d members", path, len(in))
			}
			at = in[n]
		default:
			ts.Fatalf("%s: %v has nothing below it", path, at)
		}
	}
	return at
}

// jsonCommand is "json PATH WANT": the value is WANT; of numbers, "json PATH
// LEAST..MOST" asks for a range.
func jsonCommand(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: json PATH WANT")
	}
	v := lastJSON(ts, args[0])
	got := fmt.Sprint(v)
	if v == nil {
		got = "null"
	}
	same := got == args[1]
	if least, most, ok := strings.Cut(args[1], ".."); ok {
		x, err := strconv.ParseFloat(got, 64)
		lo, err1 := strconv.ParseFloat(least, 64)
		hi, err2 := strconv.ParseFloat(most, 64)
		ts.Check(errors.Join(err, err1, err2))
		same = lo <= x && x <= hi
	}
	if same == neg {
		ts.Fatalf("%s is %s", args[0], got)
	}
}

// jsonKeys is "jsonkeys PATH KEY...": the object has all these keys.
func jsonKeys(ts *testscript.TestScript, neg bool, args []string) {
	o, ok := lastJSON(ts, args[0]).(map[string]any)
	if !ok {
		ts.Fatalf("%s is no object", args[0])
	}
	for _, k := range args[1:] {
		if _, ok := o[k]; ok == neg {
			ts.Fatalf("%s: key %s: present is %v", args[0], k, ok)
		}
	}
}

// proven is "proven SHARE": the bound is no higher than the score, the gap is
// the difference, and it is at most SHARE × max(1, score).
func proven(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 1 || neg {
		ts.Fatalf("usage: proven SHARE")
	}
	number := func(path string) float64 {
		n, ok := lastJSON(ts, path).(json.Number)
		if !ok {
			ts.Fatalf("%s is no number", path)
		}
		v, err := n.Float64()
		ts.Check(err)
		return v
	}
	share, err := strconv.ParseFloat(args[0], 64)
	ts.Check(err)
	score, bound, gap := number("score"), number("bound"), number("gap")
	if bound > score || math.Abs(score-bound-gap) > 1e-9 || gap > share*max(1, math.Abs(score)) {
		ts.Fatalf("score %v, bound %v, gap %v", score, bound, gap)
	}
}
