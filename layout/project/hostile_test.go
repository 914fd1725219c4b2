package project

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/layout/place"
)

// hostile are values that no key, or hardly any, wants.
func hostile() []string {
	return []string{
		"nan", "inf", "-1", "0", "-0.0", "1e300", "1e-300", "7", "3.5", "0.001", "999", "9223372036854775807", "0xFF",
		`""`, `"x"`, `"-25 1/2 in"`, `"1/0 mm"`, `"90 deg"`, "'''\nmany\nlines'''", "true", "false", "1979-05-27",
		"[]", "[[]]", "[1]", "[1, 2]", "[0, 0, 0]", "[[1, 2], [3, 4], [1, 2]]", "[[0, 0], [0, 0], [0, 0]]", `["a", "b"]`, "{}", "[{}]", "{ x = 1 }",
	}
}

// tryHostile puts a literal in the place of one value. Whatever comes of it
// must be a valid project or Problems, never a panic.
func tryHostile(t require.TestingT, s *Source, path, value string) {
	steps, err := parsePath(path)
	require.NoError(t, err)
	n, done := s.find(steps)
	require.Equal(t, len(steps), done)
	text := slices.Concat(s.text[:n.start], []byte(value), s.text[n.end:])
	p, err := Parse("x.toml", text, beside())
	if err != nil {
		var ps Problems
		require.ErrorAs(t, err, &ps, "%s = %s", path, value)
		require.NotEmpty(t, ps)
		return
	}
	require.NoError(t, p.Slab.Check())
	_, err = place.NewCase(p.Slab, p.Body, p.Need, p.Wish)
	require.NoError(t, err, "%s = %s", path, value)
}

// Run with -rapid.checks=20000 to try nearly all of them.
func TestHostileValues(t *testing.T) {
	var sources []*Source
	for name, text := range covering(t) {
		s, err := ReadSource(name, []byte(text))
		require.NoError(t, err)
		sources = append(sources, s)
	}
	slices.SortFunc(sources, func(a, b *Source) int { return len(a.text) - len(b.text) })
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(sources).Draw(t, "project")
		path := rapid.SampledFrom(valuePaths(s.root, "")).Draw(t, "path")
		tryHostile(t, s, path, rapid.SampledFrom(hostile()).Draw(t, "value"))
	})
}
