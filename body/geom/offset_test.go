package geom_test

import (
	"bytes"
	"encoding/json"
	"math"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/body/geom"

	sf "github.com/peterstace/simplefeatures/geom"
)

// Every place of an offset line lies at the asked distance from the outline, as
// simplefeatures, an independent library, measures it.
func TestOffsetLiesAtItsDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring := blob(t).Polygon(0.01)
		d := rapid.Float64Range(0.5, 30).Draw(t, "d")
		if rapid.Bool().Draw(t, "in") {
			d = -d
		}
		line := independent(ring).MustAsPolygon().ExteriorRing().AsGeometry()
		for _, part := range geom.Offset(ring, d) {
			step := max(1, len(part)/40)
			for i := 0; i < len(part); i += step {
				p := part[i]
				for _, q := range []geom.Point{p, p.Lerp(part[(i+1)%len(part)], 0.5)} {
					far, ok := sf.Distance(line, sf.XY{X: q.X, Y: q.Y}.AsPoint().AsGeometry())
					require.True(t, ok)
					require.InDelta(t, math.Abs(d), far, 0.01)
					require.Equal(t, d > 0, ring.Locate(q) == geom.Outside)
				}
			}
		}
	})
}

// The whole offset against GEOS' buffer, an independent library, over random
// smooth and cornered outlines: what one has and the other has not is no wider
// than 0.01 mm along its line.
func TestOffsetAgreesWithABuffer(t *testing.T) {
	const python = "/usr/bin/python3"
	if exec.Command(python, "-c", "import shapely").Run() != nil {
		t.Skip("needs python3-shapely: apt-get install python3-shapely")
	}
	type job struct {
		Ring  geom.Polygon
		D     float64
		Parts []geom.Polygon
	}
	var jobs []job
	smooth, cornered := rapid.Custom(blob), rapid.Custom(func(t *rapid.T) geom.Polygon { return star(t, "star") })
	for i := range 60 {
		ring := smooth.Example(i).Polygon(0.01)
		if i%3 == 0 {
			ring = cornered.Example(i)
		}
		d := []float64{0.5, -0.5, 3, -3, 8, -8, 25, -25, 60, -60}[i%10]
		jobs = append(jobs, job{ring, d, geom.Offset(ring, d)})
	}
	data, err := json.Marshal(jobs)
	require.NoError(t, err)
	cmd := exec.Command(python, "-c", `
import json, sys
from shapely.geometry import Polygon
ring = lambda g: [(p["X"], p["Y"]) for p in g]
out = []
for j in json.load(sys.stdin):
    want = Polygon(ring(j["Ring"])).buffer(j["D"], 90)
    got = Polygon()
    parts = [Polygon(ring(g)) for g in j["Parts"] or []]
    ccw = lambda p: p.exterior.is_ccw
    for p in parts:
        if ccw(p): got = got.union(p)
    for p in parts:
        if not ccw(p): got = got.difference(p)
    out.append({"Off": want.symmetric_difference(got).area, "Length": want.length})
json.dump(out, sys.stdout)
`)
	cmd.Stdin = bytes.NewReader(data)
	out, err := cmd.Output()
	require.NoError(t, err)
	var answers []struct{ Off, Length float64 }
	require.NoError(t, json.Unmarshal(out, &answers))
	require.Len(t, answers, len(jobs))
	for i, a := range answers {
		assert.Less(t, a.Off, 0.01*a.Length+0.01, "outline %d by %g mm", i, jobs[i].D)
	}
}
