package main

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rooms lists all packages of the module in the order of the one way: numbers,
// shapes, the slab, drawings, the page. A room imports rooms above it.
var rooms = []string{
	"fret/measure",
	"fret/measure/spelling",
	"fret",
	"body/geom",
	"fret/neck",
	"body/outline",
	"body",
	"layout/wood/colour",
	"layout/wood",
	"layout/slab",
	"layout/place",
	"layout/place/proof",
	"layout/project",
	"layout/sheet/heatmap",
	"layout/sheet",
	"layout/sheet/format",
	"web",
	"cmd/slabwright",
	"cmd/testall",
}

// TestRoomsImportOneWay reads the imports of every package, those of its tests
// aside: a test may look at rooms below, to try an engine on a whole project.
func TestRoomsImportOneWay(t *testing.T) {
	const module = "slabwright/"
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports", module+"...").Output()
	require.NoError(t, err)
	found := 0
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p struct {
			ImportPath string
			Imports    []string
		}
		err := d.Decode(&p)
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		found++
		room := strings.TrimPrefix(p.ImportPath, module)
		mine := slices.Index(rooms, room)
		if !assert.GreaterOrEqual(t, mine, 0, "the room %s has no place in the order", room) {
			continue
		}
		for _, i := range p.Imports {
			above, ours := strings.CutPrefix(i, module)
			if !ours {
				continue
			}
			assert.Less(t, slices.Index(rooms, above), mine, "%s imports %s, which is not above it", room, above)
		}
	}
	assert.Equal(t, len(rooms), found, "rooms in the order and rooms that exist")
}
