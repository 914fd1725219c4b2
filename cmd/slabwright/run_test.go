package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"math"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/fret/measure"
	"slabwright/layout/place"
)

// A number that is none is null, so that no answer breaks what reads it.
func TestNumbersForOtherPrograms(t *testing.T) {
	got, err := json.Marshal([]number{1.5, number(math.Inf(1)), number(math.Inf(-1)), number(math.NaN()), 0})
	require.NoError(t, err)
	assert.JSONEq(t, "[1.5, null, null, null, 0]", string(got))
}

func TestPlaceAnswers(t *testing.T) {
	keys := func(r place.Result) map[string]any {
		data, err := json.Marshal(placeAnswerOf("x", place.Looks, 0.6, r))
		require.NoError(t, err)
		var m map[string]any
		require.NoError(t, json.Unmarshal(data, &m))
		return m
	}
	at := place.Placement{X: 100, Angle: math.Pi / 2, Face: place.Bottom}

	t.Run("found, stopped before anything was proved", func(t *testing.T) {
		m := keys(place.Result{Best: &place.Found{Placement: at, Score: place.Score{Total: 3}}, Bound: math.Inf(-1), Gap: math.Inf(1), Stopped: place.ByHand,
			Alternatives: []place.Found{{Placement: at, Score: place.Score{Total: 4}}}})
		assert.Equal(t, 90.0, m["placement"].(map[string]any)["angle_deg"])
		assert.Equal(t, "bottom", m["placement"].(map[string]any)["face"])
		assert.Equal(t, "hand", m["stopped"])
		assert.Nil(t, m["bound"])
		assert.Nil(t, m["gap"])
		other := m["alternatives"].([]any)[0].(map[string]any)
		assert.Equal(t, 4.0, other["score"])
		assert.Equal(t, 100.0, other["placement"].(map[string]any)["x_mm"])
		assert.Nil(t, m["infeasible"])
	})
	t.Run("nothing fits", func(t *testing.T) {
		m := keys(place.Result{Bound: math.Inf(1), Infeasible: &place.Infeasible{Proved: true, Within: 0.01,
			Relaxations: []place.Relaxation{{Limit: "margin", By: 2.5, Placement: at}}}})
		for _, k := range []string{"placement", "score", "bound", "gap"} {
			v, there := m[k]
			assert.True(t, there, k)
			assert.Nil(t, v, k)
		}
		i := m["infeasible"].(map[string]any)
		assert.Equal(t, true, i["proved"])
		assert.Equal(t, 2.5, i["relaxations"].([]any)[0].(map[string]any)["by_mm"])
	})
}

// Ctrl-C ends a search with what it has: the context is over before it begins,
// so there is little, but an answer all the same.
func TestStoppedByHand(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var out, errs bytes.Buffer
	status := Run(ctx, []string{"place", "testdata/projects/hollowed.toml", "--json"}, nil, &out, &errs)
	var got struct {
		Stopped   string `json:"stopped"`
		Placement any    `json:"placement"`
	}
	require.NoError(t, json.Unmarshal(out.Bytes(), &got), out.String())
	assert.Equal(t, "hand", got.Stopped)
	if got.Placement == nil {
		assert.Equal(t, failed, status)
	} else {
		assert.Equal(t, done, status)
	}
}

// A table for a reader: numbers flush right, words flush left.
func TestTable(t *testing.T) {
	g := table("wood", "mm")
	g.row("maple", "5")
	g.row("elm", "-12.5")
	var b strings.Builder
	g.write(&b)
	assert.Equal(t, ""+
		"wood      mm\n"+
		"-----  -----\n"+
		"maple      5\n"+
		"elm    -12.5\n", b.String())
}

func TestLengthsInColumns(t *testing.T) {
	mm, in := ruler{measure.Millimetres}, ruler{measure.Inches}
	for _, row := range []struct {
		show ruler
		mm   float64
		want string
	}{
		{mm, 12.345, "12.35"}, {mm, -0.001, "0.00"}, {mm, -0.01, "-0.01"}, {in, 25.4, "1.000"}, {in, -0.001, "0.000"},
	} {
		assert.Equal(t, row.want, row.show.fixed(row.mm))
	}
	assert.Equal(t, "+0.00", mm.signed(-1e-9))
	assert.Equal(t, "-2.00", mm.signed(-2))
}

// Files are whole or not there: when one of them cannot be moved into its
// place, none is left half written, nor are the waiting ones.
func TestWriteAll(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "new", "folder")
	files := []file{{Name: "a.svg", data: []byte("a")}, {Name: "b.svg", data: []byte("b")}}
	require.NoError(t, writeAll(folder, files))
	data, err := os.ReadFile(filepath.Join(folder, "b.svg"))
	require.NoError(t, err)
	assert.Equal(t, "b", string(data))

	require.NoError(t, os.Mkdir(filepath.Join(folder, "c.svg"), 0o755)) // in the way
	err = writeAll(folder, []file{{Name: "c.svg", data: []byte("c")}})
	assert.ErrorContains(t, err, "c.svg")
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	var names []string
	for _, e := range left {
		names = append(names, e.Name())
	}
	assert.Equal(t, []string{"a.svg", "b.svg", "c.svg"}, names)
}

// output is a buffer that one goroutine writes and another reads.
type output struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (o *output) Write(p []byte) (int, error) { o.mu.Lock(); defer o.mu.Unlock(); return o.b.Write(p) }
func (o *output) String() string              { o.mu.Lock(); defer o.mu.Unlock(); return o.b.String() }

// serve prints its address, answers there, and ends with the context.
func TestServe(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var out, errs output
	ended := make(chan int)
	go func() {
		ended <- Run(ctx, []string{"serve", "testdata/projects/shelf.toml", "--no-open", "--addr", "127.0.0.1:0"}, nil, &out, &errs)
	}()
	var url string
	require.Eventually(t, func() bool {
		url = strings.TrimSpace(out.String())
		return url != ""
	}, 20*time.Second, 10*time.Millisecond, errs.String())
	answer, err := http.Get(url)
	require.NoError(t, err)
	page, err := io.ReadAll(answer.Body)
	require.NoError(t, errors.Join(err, answer.Body.Close()))
	assert.Equal(t, http.StatusOK, answer.StatusCode)
	assert.Contains(t, string(page), "Wall shelf")
	cancel()
	assert.Equal(t, done, <-ended)
	_, err = http.Get(url)
	assert.Error(t, err)
}

// A line of progress is never broken over two of a terminal, where the next
// could not erase it.
func TestProgressIsOneLine(t *testing.T) {
	var errs bytes.Buffer
	w := watcher{console: &console{err: &errs}, ruler: ruler{measure.Inches}}
	w.show(place.Progress{Doing: "nothing fits; can it give: room to " + strings.Repeat("a strip with a long name, ", 9)})
	line := strings.TrimPrefix(errs.String(), "\r\x1b[K")
	assert.Less(t, len([]rune(line)), 80)
	assert.True(t, strings.HasSuffix(line, "…"))
	errs.Reset()
	w.last = time.Time{}
	w.show(place.Progress{Best: &place.Found{}, Spacious: &place.Spacious{Leeway: 2.54, Most: 5.08}, Evaluated: 7, Elapsed: time.Second})
	assert.Equal(t, "\r\x1b[Kleeway 0.1 in, bound 0.2 in; 7 looked at, 1.0 s", errs.String())
}
