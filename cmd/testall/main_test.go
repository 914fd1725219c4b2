package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// stream joins events as go test -json prints them.
func stream(lines ...string) *strings.Reader { return strings.NewReader(strings.Join(lines, "\n")) }

// A skipped test is told at the very end, with its reason; a failed one where
// it fails, with its words; passing ones are only counted.
func TestReport(t *testing.T) {
	var out strings.Builder
	r := newReport(&out)
	require.NoError(t, r.read(stream(
		`{"Action":"run","Package":"p","Test":"TestA"}`,
		`{"Action":"output","Package":"p","Test":"TestA","Output":"=== RUN   TestA\n"}`,
		`{"Action":"run","Package":"p","Test":"TestA/one"}`,
		`{"Action":"pass","Package":"p","Test":"TestA/one"}`,
		`{"Action":"pass","Package":"p","Test":"TestA"}`,
		`{"Action":"run","Package":"p","Test":"TestB"}`,
		`{"Action":"output","Package":"p","Test":"TestB","Output":"=== RUN   TestB\n"}`,
		`{"Action":"output","Package":"p","Test":"TestB","Output":"    b_test.go:7: needs pdftoppm: apt-get install poppler-utils\n"}`,
		`{"Action":"output","Package":"p","Test":"TestB","Output":"--- SKIP: TestB (0.00s)\n"}`,
		`{"Action":"skip","Package":"p","Test":"TestB"}`,
		`{"Action":"run","Package":"p","Test":"TestC"}`,
		`{"Action":"output","Package":"p","Test":"TestC","Output":"    c_test.go:9: 1 is not 2\n"}`,
		`{"Action":"fail","Package":"p","Test":"TestC"}`,
		`{"Action":"fail","Package":"p","Elapsed":1.5}`,
		`{"Action":"skip","Package":"q"}`,
	)))
	assert.Equal(t, 1, r.end(false))
	assert.Equal(t, ""+
		"    c_test.go:9: 1 is not 2\n"+
		"FAIL  p  1.5 s\n"+
		"none  q (no tests)\n"+
		"\nSkipped:\n"+
		"  p TestB: needs pdftoppm: apt-get install poppler-utils\n"+
		"1 passed, 1 failed, 1 skipped\n", out.String())
	assert.Equal(t, 2, r.end(true), "with --no-skips the skip counts")
}

// A package that does not build, or that a panic ends, is a failure with its
// words, though no test of it failed.
func TestReportOfNoTests(t *testing.T) {
	var out strings.Builder
	r := newReport(&out)
	require.NoError(t, r.read(stream(
		`{"ImportPath":"p","Action":"build-output","Output":"p/a.go:3:1: syntax error\n"}`,
		`{"Action":"output","Package":"p","Output":"FAIL\tp [build failed]\n"}`,
		`{"Action":"fail","Package":"p","Elapsed":0}`,
		`{"Action":"run","Package":"q","Test":"TestD"}`,
		`{"Action":"output","Package":"q","Test":"TestD","Output":"panic: index out of range\n"}`,
		`{"Action":"fail","Package":"q","Elapsed":0.1}`,
	)))
	assert.Contains(t, out.String(), "p/a.go:3:1: syntax error")
	assert.Contains(t, out.String(), "panic: index out of range")
	assert.Equal(t, 2, r.end(false))
}
