package outline_test

import (
	"math"
	"math/rand"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
	. "slabwright/body/outline"
)

// trace makes a scan of an outline: points about step apart with even noise of
// up to noise mm across both axes.
func trace(p geom.Path, step, noise float64, seed int64) []geom.Point {
	random := rand.New(rand.NewSource(seed))
	var points []geom.Point
	last := geom.Pt(math.Inf(1), 0)
	for _, c := range p.Curves {
		for i := range 400 {
			q := c.At(float64(i) / 400)
			if q.Distance(last) < step {
				continue
			}
			last = q
			points = append(points, q.Add(geom.V((2*random.Float64()-1)*noise, (2*random.Float64()-1)*noise)))
		}
	}
	return points
}

func TestFitTracedOutlines(t *testing.T) {
	for _, c := range []struct {
		family           string
		step, noise, tol float64
		curves           int
		strays           float64 // from the true outline
	}{
		{"no-horn", 2, 0, 0.05, 40, 0.1},
		{"no-horn", 2, 0.25, 0.5, 24, 0.5},
		{"offset-waist", 1.5, 0.3, 0.6, 60, 0.8},
		{"single-cutaway", 1.5, 0.2, 0.5, 60, 0.8},
	} {
		t.Run(c.family, func(t *testing.T) {
			p, err := New(c.family, nil, RightHanded)
			require.NoError(t, err)
			points := trace(p, c.step, c.noise, 7)
			got, err := Fit(points, c.tol)
			require.NoError(t, err)
			assert.LessOrEqual(t, len(got.Curves), c.curves)
			ring := geom.Polygon(got.Flatten(0.001))
			for _, q := range points { // the promise
				d, _ := ring.BoundaryDistance(q)
				require.LessOrEqual(t, d, c.tol+0.002)
			}
			if c.family == "no-horn" { // without corners it also comes near the truth
				assert.Less(t, distance(p, got), c.strays)
			}
			for i, k := range got.Curves { // and smooth
				next := got.Curves[(i+1)%len(got.Curves)]
				_, a := k.Tangents()
				b, _ := next.Tangents()
				assert.InDelta(t, 0, a.Cross(b), 1e-6)
				assert.InDelta(t, k.Curvature(1), next.Curvature(0), 1e-6)
			}
			// the same points give the same curve, and a clockwise trace a counter-clockwise one
			if c.family == "offset-waist" {
				again, err := Fit(points, c.tol)
				require.NoError(t, err)
				assert.Equal(t, got, again)
				back, err := Fit(geom.Polygon(points).Reversed(), c.tol)
				require.NoError(t, err)
				assert.Positive(t, back.Area())
			}
		})
	}
}

func TestFitRefuses(t *testing.T) {
	p, err := New("teardrop", nil, RightHanded)
	require.NoError(t, err)
	for _, c := range []struct {
		name   string
		points []geom.Point
		tol    float64
		says   string
	}{
		{"no deviation", trace(p, 1, 0, 1), 0, "must be over 0"},
		{"few points", trace(p, 150, 0, 1), 1, "at least 12 are wanted"},
		{"one place", make([]geom.Point, 50), 1, "1 different points"},
		{"not a number", append(trace(p, 1, 0, 1), geom.Pt(math.NaN(), 0)), 1, "no place on a trace"},
		{"noise above the deviation", trace(p, 1, 0.5, 1), 0.05, "no smooth curve stays within 0.05 mm of the trace: the nearest misses it by"},
	} {
		_, err := Fit(c.points, c.tol)
		require.Error(t, err, c.name)
		assert.Contains(t, err.Error(), c.says, c.name)
	}
}

func BenchmarkFit(b *testing.B) {
	p, _ := New("no-horn", nil, RightHanded)
	points := trace(p, 1, 0.2, 1)
	for b.Loop() {
		if _, err := Fit(points, 0.5); err != nil {
			b.Fatal(err)
		}
	}
}
