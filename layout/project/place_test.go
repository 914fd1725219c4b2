package project

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The body engine names fields; each name that its source can write must lead
// to a key of the file. The names are gathered from the source itself, so a
// new one cannot be forgotten.
func TestEveryFieldNameOfTheBodyLeadsToAKey(t *testing.T) {
	files, err := filepath.Glob("../../body/*.go")
	require.NoError(t, err)
	var source strings.Builder
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		source.Write(text)
	}
	names := map[string]bool{}
	for _, m := range regexp.MustCompile(`w\.(?:fail|number|place3?|turn)\("([^"]+)"[,)]`).FindAllStringSubmatch(source.String(), -1) {
		names[m[1]] = true
	}
	for _, m := range regexp.MustCompile(`num\("([^"]+)"`).FindAllStringSubmatch(source.String(), -1) {
		names["bridge."+m[1]] = true
	}
	// A member's field is known by its name alone: some list must have it.
	lists := []string{"pickups", "cavities", "pots", "switches", "channels", "guards", "wire holes", "batteries", "strap buttons", "contours"}
	for _, m := range regexp.MustCompile(`field ?\+ ?"\.([^"]+)"`).FindAllStringSubmatch(source.String(), -1) {
		var found bool
		for _, list := range lists {
			key := bodyKey(list + "[2]." + m[1])
			assert.Contains(t, key, "[3]")
			_, ok := byPath()[withoutNumbers(key)]
			found = found || ok
		}
		assert.True(t, found, "no key for a member's field %q", m[1])
	}
	require.Greater(t, len(names), 50)
	for name := range names {
		if strings.HasSuffix(name, ".") || name == "edges." {
			continue // the first half of a name made at run time
		}
		key := bodyKey(name)
		_, ok := byPath()[withoutNumbers(key)]
		assert.True(t, ok, "%s leads to %s", name, key)
	}
	for name, key := range map[string]string{
		"limits.hole to edge": "body.limits.hole_to_edge", "masses.other[0]": "body.masses.other[1]", "edges.front radius": "body.edges.front_radius",
		"pots[0].body": "body.pot[1].can", "switches[0].body width": "body.switch[1].room_width", "pickups[1].ear depth": "body.pickup[2].ear_depth",
		"masses.tuners each": "body.masses.tuner", "masses.string each": "body.masses.string",
	} {
		assert.Equal(t, key, bodyKey(name))
	}
}

// What the slab engine refuses is told at the thing itself: each row makes one
// fault that the reader does not know of, and names the key.
func TestTheSlabsMessagesFindTheirKeys(t *testing.T) {
	for _, c := range []struct{ old, new, key string }{
		{"thickness = 55", "thickness = 55\nedge.top_radius = 40\nedge.bottom_radius = 40", "slab.edge"},
		{"thickness = 55", "thickness = 55\nplan.stations = [[0, 0], [600, 0], [1200, 100]]", "slab.plan.stations[2]"},
		{"thickness = 55", "profile = { top = [[0, 50], [0, 60]], bottom = [[0, 0]] }", "slab.profile.top[2]"},
		{"thickness = 55", "profile = { top = [[0, 50]], bottom = [[0, 0], [2000, 0]] }", "slab.profile.bottom[2]"},
		{`wood = "hard-maple"`, "piece = [{ wood = 'teak' }, { wood = 'iroko' }, { wood = 'teak' }]\ntransition = [{ at = 600 }, { at = 500 }]", "slab.strip[2].transition[1]"},
		{`name = "maple side"`, "", ""},
		{`wood = "hard-maple"`, "wood = \"hard-maple\"\nchamber = 3", "slab.strip[2].chamber"},
		{`wood = "hard-maple"`, "wood = \"hard-maple\"\n[[slab.chamber]]\nname = 'c'\nstrip = 1\nfrom = 300\nto = 200\ntop_skin = 5\nbottom_skin = 5", "slab.chamber[1]"},
		{`wood = "hard-maple"`, "wood = \"hard-maple\"\n[[slab.chamber]]\nstrip = 1\nfrom = 100\nto = 200\ntop_skin = 5\nbottom_skin = 5\n[[slab.chamber]]\nstrip = 1\nfrom = 150\nto = 250\ntop_skin = 5\nbottom_skin = 5", "slab.chamber[2]"},
		{`wood = "hard-maple"`, "wood = \"hard-maple\"\n[[slab.flaw]]\nring = [[1, 2], [3, 4]]", "slab.flaw[1]"},
	} {
		require.Contains(t, small, c.old)
		_, err := Parse("x.toml", []byte(strings.Replace(small, c.old, c.new, 1)), nil)
		if c.key == "" {
			assert.NoError(t, err)
			continue
		}
		var ps Problems
		require.ErrorAs(t, err, &ps, c.new)
		assert.Equal(t, c.key, ps[0].Key, "%v", err)
		assert.NotContains(t, err.Error(), "(rule", "the rule's number is for programmers")
	}
}

// So with the neck engine: each row is refused by it, not by the reader.
func TestTheNecksMessagesFindTheirKeys(t *testing.T) {
	for _, c := range []struct{ text, key string }{
		{"[neck]\nboard.radius = 20\n", "neck.board.radius"},
		{"[neck]\nheel_height = 7\n", "neck.heel_height"},
		{"[neck]\nsetup.action_fret = 30\n", "neck.setup.action_fret"},
		{"[neck]\nintonation.frets = 30\n", "neck.intonation.frets"},
		{"[neck]\nintonation.weights = [0, 0]\n", "neck.intonation.frets"},
		{"[neck]\nintonation.tonic = 'H9'\n", "neck.intonation.tonic"},
		{"[neck]\nblank.scarf = true\nblank.head_angle = 2\n", "neck.blank.scarf"},
		{"[neck]\nheadstock.layout = 'split'\nheadstock.bass_posts = 9\n", "neck.headstock.bass_posts"},
		{"[neck]\nback.first.thickness = 9\nboard.thickness = 8\n", "neck.back.first"},
		{"[strings]\ncount = 1\n[[strings.string]]\nnote = 'Q'\n", "strings.string[1]"},
	} {
		_, err := Parse("x.toml", []byte(strings.Replace(small, "[slab]", c.text+"[slab]", 1)), nil)
		if c.key == "" {
			continue
		}
		var ps Problems
		require.ErrorAs(t, err, &ps, c.text)
		assert.Len(t, ps, 1)
		assert.Equal(t, c.key, ps[0].Key, "%v", err)
	}
}

// Without a word about the grain it is wished along the centreline, as the key's
// help says; weight 0 takes the wish away.
func TestGrainWithoutAWord(t *testing.T) {
	p, err := Parse("new.toml", []byte("[scale]\nlength = 650\nfrets = 22\n[slab]\nlength = 900\nthickness = 50\n[[slab.strip]]\nthickness = 400\nwood = \"sapele\"\n"), nil)
	require.NoError(t, err)
	require.NotNil(t, p.Wish.Grain)
	assert.Zero(t, *p.Wish.Grain)
	assert.Positive(t, p.Wish.Weights.Grain)
}
