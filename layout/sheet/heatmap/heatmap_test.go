package heatmap_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image/color"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/fret/neck"
	"slabwright/layout/sheet/heatmap"
)

func example() heatmap.Map {
	return heatmap.Map{
		Title: "Cents from equal temperament & <bare>",
		Rows:  []string{"1 E4", "2 B3"},
		Cents: [][]float64{{10, 0, -10, 5}, {1, 2, 3, -2.5}},
	}
}

// The middle of each cell's left part (free of words) shows the cell's colour.
func TestPNGShowsTheColours(t *testing.T) {
	m := example()
	var b bytes.Buffer
	require.NoError(t, heatmap.PNG(&b, m, 10))
	img, err := png.Decode(&b)
	require.NoError(t, err)
	width, height := m.Size()
	assert.InDelta(t, width*10, float64(img.Bounds().Dx()), 1)
	assert.InDelta(t, height*10, float64(img.Bounds().Dy()), 1)
	for i, row := range m.Cents {
		for n, cents := range row {
			want, _ := heatmap.Colour(cents, 10)
			x := (18 + 11*float64(n) + 0.6) * 10
			y := (16 + 8*float64(i) + 1) * 10
			got := color.RGBAModel.Convert(img.At(int(x), int(y))).(color.RGBA)
			for _, pair := range [][2]uint8{{want.R, got.R}, {want.G, got.G}, {want.B, got.B}} {
				assert.InDelta(t, float64(pair[0]), float64(pair[1]), 2, "string %d fret %d", i+1, n+1)
			}
		}
	}
}

func TestColours(t *testing.T) {
	in, _ := heatmap.Colour(0, 5)
	assert.Equal(t, color.RGBA{255, 255, 255, 255}, in)
	up, _ := heatmap.Colour(5, 5)
	assert.Greater(t, up.R, up.B, "sharp is red")
	down, words := heatmap.Colour(-50, 5)
	assert.Greater(t, down.B, down.R, "flat is blue")
	assert.Equal(t, color.RGBA{255, 255, 255, 255}, words)
}

func TestSVGIsWellFormedAndTheSameEachTime(t *testing.T) {
	var a, b bytes.Buffer
	require.NoError(t, heatmap.SVG(&a, example()))
	require.NoError(t, heatmap.SVG(&b, example()))
	assert.Equal(t, a.String(), b.String())
	assert.Contains(t, a.String(), `width="90mm"`)
	assert.Contains(t, a.String(), "&amp; &lt;bare&gt;</title>")
	assert.NotContains(t, a.String(), "font")
	d := xml.NewDecoder(&a)
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else {
			require.NoError(t, err)
		}
	}
}

// An outside reader draws the SVG as wide as it says and with the same colour
// in the same place as the PNG.
func TestSVGInAnotherReader(t *testing.T) {
	tool, err := exec.LookPath("rsvg-convert")
	if err != nil {
		t.Skip("needs rsvg-convert: apt-get install librsvg2-bin")
	}
	path := filepath.Join(t.TempDir(), "map.svg")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, heatmap.SVG(f, example()))
	require.NoError(t, f.Close())
	out, err := exec.Command(tool, "-d", "254", "-p", "254", path).Output()
	require.NoError(t, err)
	img, err := png.Decode(bytes.NewReader(out))
	require.NoError(t, err)
	assert.InDelta(t, 900, float64(img.Bounds().Dx()), 1)
	want, _ := heatmap.Colour(10, 10)
	got := color.RGBAModel.Convert(img.At(186, 170)).(color.RGBA)
	assert.InDelta(t, float64(want.R), float64(got.R), 2)
	assert.InDelta(t, float64(want.B), float64(got.B), 2)
}

func TestMapOfANeck(t *testing.T) {
	r, err := neck.Work(neck.Spec{})
	require.NoError(t, err)
	m := heatmap.Map{Title: "Compensated", Cents: r.Cents()}
	for _, s := range r.Strings {
		m.Rows = append(m.Rows, s.Note)
	}
	var b bytes.Buffer
	require.NoError(t, heatmap.SVG(&b, m))
	assert.Greater(t, b.Len(), 10000)
}

func TestRefuses(t *testing.T) {
	for says, m := range map[string]heatmap.Map{
		"at least one string":  {},
		"has 0 names":          {Cents: [][]float64{{1}}},
		"string 2 has 1 frets": {Rows: []string{"a", "b"}, Cents: [][]float64{{1, 2}, {1}}},
		"NaN cents at fret 1":  {Rows: []string{"a"}, Cents: [][]float64{{math.NaN()}}},
		"colours to -1 cents":  {Rows: []string{"a"}, Cents: [][]float64{{1}}, LimitCents: -1},
		"at most 576 cells":    {Rows: []string{"a"}, Cents: [][]float64{make([]float64, 1000)}},
	} {
		assert.ErrorContains(t, heatmap.SVG(io.Discard, m), says)
		assert.ErrorContains(t, heatmap.PNG(io.Discard, m, 4), says)
	}
	assert.ErrorContains(t, heatmap.PNG(io.Discard, example(), math.NaN()), "pixels a mm")
}

func BenchmarkSVG12Strings36Frets(b *testing.B) {
	m := heatmap.Map{Title: "all"}
	for i := range 12 {
		m.Rows = append(m.Rows, "E4")
		row := make([]float64, 36)
		for n := range row {
			row[n] = float64(i) - float64(n)/3
		}
		m.Cents = append(m.Cents, row)
	}
	for b.Loop() {
		if err := heatmap.SVG(io.Discard, m); err != nil {
			b.Fatal(err)
		}
	}
}
