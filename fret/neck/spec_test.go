package neck_test

import (
	"github.com/stretchr/testify/require"

	"slabwright/fret/neck"
)

type tester interface {
	require.TestingT
	Helper()
}

// work works a Spec out that must be buildable.
func work(t tester, s neck.Spec) *neck.Report {
	t.Helper()
	r, err := neck.Work(s)
	require.NoError(t, err)
	return r
}
