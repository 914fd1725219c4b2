package place_test

// The slow, obvious twins of the fast engines, made from other parts: areas by
// an independent general-purpose geometry library (peterstace/simplefeatures),
// lines by stepping along them, the search by a grid and local refinement.

import (
	"math"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
	"slabwright/layout/place"
	"slabwright/layout/slab"
	"slabwright/layout/wood/colour"
)

func sfPolygon(t require.TestingT, ring geom.Polygon) sf.Geometry {
	var xy []float64
	for _, p := range ring {
		xy = append(xy, p.X, p.Y)
	}
	xy = append(xy, ring[0].X, ring[0].Y)
	g := sf.NewPolygon([]sf.LineString{sf.NewLineString(sf.NewSequence(xy, sf.DimXY))}).AsGeometry()
	return g
}

func flipped(g geom.Polygon) geom.Polygon { return g.Moved(geom.FlipY()) }

// slowSeen is the part of the front that is seen together with its mirror.
func slowSeen(t require.TestingT, c *place.Case) sf.Geometry {
	front := c.Body.Outline.FlattenInside(place.Sight)
	seen, err := sf.Intersection(sfPolygon(t, front), sfPolygon(t, flipped(front)))
	require.NoError(t, err)
	if c.Wish.WholeFront {
		return seen
	}
	for _, h := range c.Body.Hidden {
		for _, ring := range []geom.Polygon{h.Ring.CCW(), flipped(h.Ring.CCW())} {
			seen, err = sf.Difference(seen, sfPolygon(t, ring))
			require.NoError(t, err)
		}
	}
	return seen
}

func lab(t require.TestingT, s *slab.Slab, p slab.Piece) colour.Lab {
	rgb, err := colour.Parse(s.Colour(p))
	require.NoError(t, err)
	return rgb.Lab()
}

// slowMirror is the mirror term: every pair of cells, clipped by the library.
func slowMirror(t require.TestingT, c *place.Case, p place.Placement) float64 {
	f := p.Frame()
	into := func(ring geom.Convex, flip float64) geom.Polygon {
		out := make(geom.Polygon, len(ring))
		for i, q := range ring {
			u, v, _ := f.Into(geom.Point3{X: q.X, Y: q.Y, Z: p.Height})
			out[i] = geom.Pt(u, flip*v)
		}
		return out.CCW()
	}
	seen := slowSeen(t, c)
	sum := 0.0
	cells := c.Slab.Cells()
	for _, a := range cells {
		part, err := sf.Intersection(seen, sfPolygon(t, into(a.Region, 1)))
		require.NoError(t, err)
		if part.Area() == 0 {
			continue
		}
		for _, b := range cells {
			d := colour.Difference(lab(t, c.Slab, a.Wood), lab(t, c.Slab, b.Wood))
			if d == 0 {
				continue
			}
			both, err := sf.Intersection(part, sfPolygon(t, into(b.Region, -1)))
			require.NoError(t, err)
			sum += d * both.Area()
		}
	}
	return sum / seen.Area()
}

// slowLines is the mean and worst mirror offset of the glue lines, in mm, by
// small steps along each line.
func slowLines(t require.TestingT, c *place.Case, p place.Placement, step float64) (mean, worst float64) {
	f := p.Frame()
	into := func(q geom.Point) geom.Point {
		u, v, _ := f.Into(geom.Point3{X: q.X, Y: q.Y, Z: p.Height})
		return geom.Pt(u, v)
	}
	mirror := func(q geom.Point) geom.Point {
		b := into(q)
		return f.Apply(b.X, -b.Y, 0).Plan()
	}
	front := c.Body.Outline.FlattenInside(place.Sight)
	visible := func(b geom.Point) bool {
		for _, q := range []geom.Point{b, geom.Pt(b.X, -b.Y)} {
			if front.Locate(q) == geom.Outside {
				return false
			}
			for _, h := range c.Body.Hidden {
				if !c.Wish.WholeFront && h.Ring.Locate(q) != geom.Outside {
					return false
				}
			}
		}
		return true
	}
	lines := c.Slab.GlueLines()
	contrast := make([]float64, len(lines))
	top := 0.0
	for i, g := range lines {
		contrast[i] = colour.Difference(lab(t, c.Slab, g.Left), lab(t, c.Slab, g.Right))
		top = max(top, contrast[i])
	}
	meanOfSeam := func(y float64) float64 { // contrast averaged along a line between strips
		sum, length := 0.0, 0.0
		for i, g := range lines {
			if !g.Transition && g.A.Y == y {
				sum += contrast[i] * g.A.Distance(g.B)
				length += g.A.Distance(g.B)
			}
		}
		return sum / length
	}
	sum, weight := 0.0, 0.0
	for i, g := range lines {
		if contrast[i] == 0 {
			continue
		}
		n := int(math.Ceil(g.A.Distance(g.B) / step))
		seen, off := 0.0, 0.0
		joint := place.Alone
		if g.Transition {
			a, b := mirror(g.A), mirror(g.B)
			for k, h := range lines {
				if h.Transition {
					lack := place.Fainter * max(0, contrast[i]-contrast[k])
					joint = min(joint, lack+(a.Distance(h.A)+b.Distance(h.B))/2, lack+(a.Distance(h.B)+b.Distance(h.A))/2)
				}
			}
		}
		for k := range n {
			q := g.A.Lerp(g.B, (float64(k)+0.5)/float64(n))
			if !visible(into(q)) {
				continue
			}
			o := joint
			if !g.Transition {
				o = place.Alone
				y := mirror(q).Y
				for _, h := range lines {
					if !h.Transition {
						o = min(o, math.Abs(y-h.A.Y)+place.Fainter*max(0, contrast[i]-meanOfSeam(h.A.Y)))
					}
				}
			}
			d := g.A.Distance(g.B) / float64(n)
			seen, off = seen+d, off+d*o
		}
		if seen > 0 {
			sum, weight = sum+contrast[i]*off, weight+contrast[i]*seen
			worst = max(worst, contrast[i]/top*off/seen*min(1, seen/place.Glimpsed))
		}
	}
	if weight == 0 {
		return 0, 0
	}
	return sum / weight, worst
}

// slowSearch tries a grid of placements and walks downhill from the best few.
func slowSearch(c *place.Case, nx, ny int, angles []float64) (best place.Placement, score float64) {
	score = math.Inf(1)
	box := c.Slab.Outline().Bounds()
	type try struct {
		p place.Placement
		v float64
	}
	value := func(p place.Placement) try {
		p = c.Settle(p)
		if !c.Allowed(p) { // proved equal to Check by a test of its own
			return try{p, math.Inf(1)}
		}
		return try{p, c.Score(p).Total}
	}
	var starts []try
	for _, face := range []place.Face{place.Top, place.Bottom} {
		for _, a := range angles {
			for i := range nx {
				for j := range ny {
					t := value(place.Placement{Face: face, Angle: a,
						X: box.Min.X + box.Width()*(float64(i)+0.5)/float64(nx),
						Y: box.Min.Y + box.Height()*(float64(j)+0.5)/float64(ny)})
					if !math.IsInf(t.v, 1) {
						starts = append(starts, t)
					}
				}
			}
		}
	}
	for len(starts) > 0 {
		least := 0
		for i := range starts {
			if starts[i].v < starts[least].v {
				least = i
			}
		}
		at := starts[least]
		for step := 4.0; step > 0.02; {
			better := false
			for _, d := range [][3]float64{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}} {
				p := at.p
				p.X, p.Y, p.Angle = p.X+d[0]*step, p.Y+d[1]*step, p.Angle+d[2]*step/150
				if t := value(p); t.v < at.v {
					at, better = t, true
				}
			}
			if !better {
				step /= 2
			}
		}
		if at.v < score {
			best, score = at.p, at.v
		}
		// Leave the neighbourhood of this start.
		var rest []try
		for _, s := range starts {
			if math.Hypot(s.p.X-starts[least].p.X, s.p.Y-starts[least].p.Y) > box.Width()/3 || s.p.Face != starts[least].p.Face {
				rest = append(rest, s)
			}
		}
		starts = rest
	}
	return best, score
}

var _ testing.TB
