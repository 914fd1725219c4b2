package geom_test

import (
	"math"

	sf "github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"

	"slabwright/body/geom"
)

// star draws a ring without self-crossings: corners at random distances from a
// random centre, in order of angle.
func star(t *rapid.T, name string) geom.Polygon {
	n := rapid.IntRange(3, 24).Draw(t, name+" corners")
	cx := rapid.Float64Range(-200, 200).Draw(t, name+" x")
	cy := rapid.Float64Range(-200, 200).Draw(t, name+" y")
	turn := rapid.Float64Range(0, 1).Draw(t, name+" turn")
	var g geom.Polygon
	for i := range n {
		r := rapid.Float64Range(20, 200).Draw(t, name+" radius")
		g = append(g, geom.Pt(cx, cy).Add(geom.Polar(r, 2*math.Pi*(float64(i)+turn)/float64(n))))
	}
	return g
}

// blob draws a smooth closed counter-clockwise path round a random centre: a
// circle with waves too gentle to make it cross itself.
func blob(t *rapid.T) geom.Path {
	cx := rapid.Float64Range(-100, 100).Draw(t, "x")
	cy := rapid.Float64Range(-100, 100).Draw(t, "y")
	a := rapid.Float64Range(-0.25, 0.25).Draw(t, "a")
	b := rapid.Float64Range(-0.2, 0.2).Draw(t, "b")
	f := rapid.Float64Range(0, 6).Draw(t, "f")
	at := func(s float64) (geom.Point, geom.Vec) {
		r := 100 * (1 + a*math.Cos(2*s) + b*math.Sin(3*s+f))
		dr := 100 * (-2*a*math.Sin(2*s) + 3*b*math.Cos(3*s+f))
		sin, cos := math.Sincos(s)
		return geom.Pt(cx+r*cos, cy+r*sin), geom.V(dr*cos-r*sin, dr*sin+r*cos)
	}
	p := geom.Path{Closed: true}
	const n = 16
	h := 2 * math.Pi / n
	for i := range n {
		p0, v0 := at(h * float64(i))
		p3, v3 := at(h * float64((i+1)%n))
		p.Curves = append(p.Curves, geom.Curve{P0: p0, P1: p0.Add(v0.Mul(h / 3)), P2: p3.Add(v3.Mul(-h / 3)), P3: p3})
	}
	return p
}

// rigid draws any movement, mirrored or not.
func rigid(t *rapid.T, name string) geom.Rigid {
	r := geom.Turn(rapid.Float64Range(-7, 7).Draw(t, name+" turn"))
	if rapid.Bool().Draw(t, name+" mirror") {
		r = geom.FlipY().Then(r)
	}
	return r.Then(geom.Shift(geom.V(rapid.Float64Range(-300, 300).Draw(t, name+" dx"), rapid.Float64Range(-300, 300).Draw(t, name+" dy"))))
}

// independent is the ring as the simplefeatures library sees it.
func independent(g geom.Polygon) sf.Geometry {
	var xy []float64
	for i := range len(g) + 1 {
		p := g[i%len(g)]
		xy = append(xy, p.X, p.Y)
	}
	return sf.NewPolygon([]sf.LineString{sf.NewLineString(sf.NewSequence(xy, sf.DimXY))}).AsGeometry()
}
