package body_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"slabwright/body"
)

func TestReport(t *testing.T) {
	b, err := body.Build(bench())
	require.NoError(t, err)
	_, err = b.NewReport(body.Setting{Wood: b.Uniform(600)})
	require.NoError(t, err)
}

func BenchmarkReport(b *testing.B) {
	made, err := body.Build(bench())
	require.NoError(b, err)
	for b.Loop() {
		if _, err := made.NewReport(body.Setting{Wood: made.Uniform(600)}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBuild(b *testing.B) {
	s := bench()
	for b.Loop() {
		if _, err := body.Build(s); err != nil {
			b.Fatal(err)
		}
	}
}
