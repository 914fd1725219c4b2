package spelling_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"slabwright/fret/measure/spelling"
)

func TestNearest(t *testing.T) {
	keys := []string{"scale", "slab", "strings", "placement"}
	for _, row := range []struct{ written, meant string }{
		{"scael", "scale"},
		{"Slab", "slab"},
		{"strngs", "strings"},
		{"placment", "placement"},
		{"bridge", ""},
		{"", ""},
	} {
		assert.Equal(t, row.meant, spelling.Nearest(row.written, keys), row.written)
	}
}

// The pair is the usual example of the literature: kitten becomes sitting by
// two changes and one letter more (common practice, no source).
func TestSlips(t *testing.T) {
	assert.Equal(t, 3, spelling.Slips("kitten", "sitting"))
	assert.Equal(t, 1, spelling.Slips("fret", "fert"), "a swap is one slip")
	assert.Equal(t, 4, spelling.Slips("", "slab"))
	word := rapid.StringMatching(`[a-d]{0,8}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		d := spelling.Slips(a, b)
		assert.Equal(t, d, spelling.Slips(b, a), "either way the same")
		assert.Equal(t, a == b, d == 0)
		assert.LessOrEqual(t, d, max(len(a), len(b)))
		assert.GreaterOrEqual(t, d, max(len(a), len(b))-min(len(a), len(b)))
	})
}
