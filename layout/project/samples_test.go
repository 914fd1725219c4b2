package project_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/fret/measure"
	"slabwright/layout/project"
)

func TestTheShippedProjectsAreValid(t *testing.T) {
	for _, name := range project.Samples() {
		t.Run(name, func(t *testing.T) {
			p, err := project.Sample(name)
			require.NoError(t, err)
			assert.NotEmpty(t, p.Name)
			assert.NotNil(t, p.Body)
			assert.NoError(t, p.Slab.Check())
		})
	}
	_, err := project.Sample("demmo")
	assert.EqualError(t, err, `no sample is named "demmo"; did you mean demo?`)
}

func TestTheStarterIsValidAndShowsEveryKey(t *testing.T) {
	text := project.Starter()
	p, err := project.Parse("new.toml", text, nil)
	require.NoError(t, err, "%s", text)
	assert.Equal(t, "First panel", p.Name)
	assert.Equal(t, measure.Millimetres, p.Unit)
}
