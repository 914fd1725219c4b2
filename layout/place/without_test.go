package place_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// crowded is a board with knots and screws all over.
func crowded(r *rand.Rand) (*slab.Slab, place.Need) {
	at := func() geom.Point { return geom.Pt(260*r.Float64(), 150*r.Float64()-75) }
	s := board(260, 50, strip(150, pale))
	for i := range 1 + r.IntN(3) {
		s.Flaws = append(s.Flaws, slab.Flaw{Name: fmt.Sprint("knot ", i+1), Kind: "knot", At: at(), Radius: 6})
	}
	for i := range r.IntN(3) {
		p := at()
		at := geom.Point3{X: p.X, Y: p.Y, Z: 40}
		s.Fasteners = append(s.Fasteners, slab.Fastener{Name: fmt.Sprint("screw ", i+1), At: at, Direction: geom.Vec3{Z: -1}, Length: 35, Shank: 5, Pilot: 3, PilotDepth: 38, Head: 9})
	}
	return s, place.Need{Kerf: 3, Margin: 2, Flatten: 1}
}

// Of each knot and each screw, whole, it is told whether a body would fit if that
// alone were not there: as a search in the slab without it finds.
func TestWithoutEach(t *testing.T) {
	helps, useless := 0, 0
	for seed := range uint64(8) {
		s, need := crowded(rand.New(rand.NewPCG(seed, 5)))
		w := place.DefaultWish()
		w.Faces = []place.Face{place.Top}
		w.Angles = &[2]float64{-0.1, 0.1}
		b := block(200, 100, 40)
		of := func(s *slab.Slab) *place.Case {
			c, err := place.NewCase(s, b, need, w)
			require.NoError(t, err)
			return c
		}
		list, refused, none := of(s).WithoutEach()
		if !none {
			continue
		}
		told := map[string]place.Placement{}
		for _, x := range list {
			told[x.Limit] = x.Placement
		}
		check := func(name string, without slab.Slab) {
			c := of(&without)
			r, err := c.Search(context.Background(), place.Options{}.WithoutReasons())
			require.NoError(t, err)
			p, helped := told["without "+name]
			if r.Best == nil {
				useless++
				assert.False(t, helped, "without %s nothing fits", name)
				assert.Contains(t, refused, "without "+name)
				return
			}
			helps++
			require.True(t, helped, "without %s it fits at %+v", name, r.Best.Placement)
			assert.True(t, c.Allowed(p), "without %s, at %+v", name, p)
		}
		for i, f := range s.Flaws {
			without := *s
			without.Flaws = append(append([]slab.Flaw{}, s.Flaws[:i]...), s.Flaws[i+1:]...)
			check(f.Name, without)
		}
		for i, f := range s.Fasteners {
			without := *s
			without.Fasteners = append(append([]slab.Fastener{}, s.Fasteners[:i]...), s.Fasteners[i+1:]...)
			check(f.Name, without)
		}
	}
	t.Logf("leaving out one helps %d times, and does not %d times", helps, useless)
	assert.Positive(t, helps)
	assert.Greater(t, useless, 6)
}
