package format_test

import (
	"flag"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"slabwright/body/geom"
	"slabwright/layout/sheet"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// shelf is a small made-up drawing that is different left and right, up and
// down: a board with a rounded end, a hole off the middle, an arrow and words.
//
//	y 60 +-----------.
//	     |  o        |)      hole at (20, 45), r 6
//	     |           |)      hatched patch at the lower left
//	   0 +-----------'
//	     0          120
func shelf() sheet.Scene {
	board := geom.Path{Closed: true, Curves: []geom.Curve{
		geom.Line(geom.Point{X: 0, Y: 0}, geom.Point{X: 120, Y: 0}),
		{P0: geom.Point{X: 120, Y: 0}, P1: geom.Point{X: 150, Y: 5}, P2: geom.Point{X: 140, Y: 60}, P3: geom.Point{X: 120, Y: 60}},
		geom.Line(geom.Point{X: 120, Y: 60}, geom.Point{X: 0, Y: 60}),
		geom.Line(geom.Point{X: 0, Y: 60}, geom.Point{X: 0, Y: 0}),
	}}
	ink := sheet.Stroke{Colour: "#22201d", Width: 0.35}
	s := sheet.Scene{Name: "shelf <test>", Frame: "board frame: x along the board, y across it, mm"}
	s.Add(
		sheet.Item{Layer: sheet.Slab, Shape: sheet.Curve(board), Stroke: ink, ID: "board", Title: "oak & ash"},
		sheet.Item{Layer: sheet.Strip, Shape: sheet.Ring(geom.Polygon{{X: 0, Y: 40}, {X: 120, Y: 40}, {X: 120, Y: 60}, {X: 0, Y: 60}}), Fill: sheet.Fill{Colour: "#c89f6a", Opacity: 0.6}, Class: "wood", ID: "strip-1"},
		sheet.Item{Layer: sheet.Hole, Shape: sheet.Circle{Centre: geom.Point{X: 20, Y: 45}, Radius: 6}, Stroke: ink},
		sheet.Item{Layer: sheet.Flaw, Shape: sheet.Ring(geom.Polygon{{X: 5, Y: 5}, {X: 35, Y: 5}, {X: 35, Y: 25}}), Hatch: sheet.Hatch{Angle: math.Pi / 4, Spacing: 3, Line: sheet.Stroke{Colour: "#b45309", Width: 0.18}}, Stroke: ink},
		sheet.Item{Layer: sheet.Centreline, Shape: sheet.Polyline(geom.Point{X: -5, Y: 30}, geom.Point{X: 145, Y: 30}), Stroke: sheet.Stroke{Colour: "#1c5a92", Width: 0.18, Dash: []float64{9, 1.5, 1.5, 1.5}}},
		sheet.Item{Layer: sheet.Note, Shape: sheet.Text{Words: "25½ in × 3° ±0.1 — Ø6", At: geom.Point{X: 60, Y: 50}, Height: 3, Align: sheet.Centre, Rise: sheet.Middle, Angle: 0.2, Halo: 0.5}, Fill: sheet.Fill{Colour: "#22201d"}},
		sheet.Item{Layer: sheet.Note, Shape: sheet.Text{Words: "board frame: x along the board, y across it, mm", At: geom.Point{X: 0, Y: -6}, Height: 2, Bold: true}},
	)
	return s
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, got, 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "go test -update writes it")
	require.Equal(t, string(want), string(got))
}
