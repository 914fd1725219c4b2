package format

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"

	"github.com/tdewolff/canvas"
	"github.com/tdewolff/canvas/renderers/rasterizer"

	"slabwright/body/geom"
	"slabwright/layout/sheet"
)

// mostPixels bounds a picture to what a machine surely holds (400 MB).
const mostPixels = 100e6

// PNG writes a picture of the drawing on white, with dots pixels per mm
// (11.811 is 300 dpi). The picture is the drawing's Bounds with 5 mm round it.
func PNG(w io.Writer, s sheet.Scene, dots float64) error {
	b := s.Bounds()
	if b.Empty() {
		b = geom.Box{}
	}
	b = b.Grow(svgEdge)
	return PagePNG(w, sheet.Page{Width: b.Width(), Height: b.Height(), Views: []sheet.View{{Scene: &s, Window: b}}}, dots)
}

// PagePNG writes a picture of the page on white, with dots pixels per mm.
func PagePNG(w io.Writer, p sheet.Page, dots float64) error {
	img, err := Image(p, dots)
	if err != nil {
		return err
	}
	return png.Encode(w, img)
}

// Image draws the page on white, with dots pixels per mm.
func Image(p sheet.Page, dots float64) (*image.RGBA, error) {
	if !(p.Width > 0) || !(p.Height > 0) || !(dots > 0) || p.Width*dots*p.Height*dots > mostPixels {
		return nil, fmt.Errorf("picture of %.4g × %.4g mm at %.4g pixels a mm: sizes must be above zero, and at most %.0f million pixels in all; ask for fewer pixels a mm", p.Width, p.Height, dots, mostPixels/1e6)
	}
	size := image.Rect(0, 0, int(math.Ceil(p.Width*dots)), int(math.Ceil(p.Height*dots)))
	img := image.NewRGBA(size)
	white(img)
	for _, v := range p.Views {
		if err := v.Scene.Check(); err != nil {
			return nil, err
		}
		// A view is drawn on paper of its own and its window copied over, so
		// that nothing is drawn outside the window.
		layer := image.NewRGBA(size)
		white(layer)
		paint(layer, v.Scene.Painted(), v.Shift(), p.Height, dots)
		at := v.OnPage()
		top := func(y float64) int { return int(math.Round((p.Height - y) * dots)) }
		px := image.Rect(int(math.Round(at.Min.X*dots)), top(at.Max.Y), int(math.Round(at.Max.X*dots)), top(at.Min.Y)).Intersect(size)
		for y := px.Min.Y; y < px.Max.Y; y++ {
			i, j := img.PixOffset(px.Min.X, y), img.PixOffset(px.Max.X, y)
			copy(img.Pix[i:j], layer.Pix[i:j])
		}
	}
	s := sheet.Scene{Items: p.Items}
	if err := s.Check(); err != nil {
		return nil, err
	}
	paint(img, s.Painted(), geom.Vec{}, p.Height, dots)
	return img, nil
}

func white(img *image.RGBA) {
	for i := range img.Pix {
		img.Pix[i] = 0xff
	}
}

// paint draws items moved by shift; y runs up from the picture's lower edge,
// which is the page's only if Height·dots is whole, so it is put right here.
func paint(img *image.RGBA, items []sheet.Item, shift geom.Vec, height, dots float64) {
	r := rasterizer.FromImage(img, canvas.DPMM(dots), canvas.LinearColorSpace{})
	up := float64(img.Bounds().Dy())/dots - height
	m := canvas.Identity.Translate(shift.X, shift.Y+up)
	seen := geom.Box{Max: geom.Point{X: float64(img.Bounds().Dx()) / dots, Y: float64(img.Bounds().Dy()) / dots}}
	moved := geom.Vec{X: shift.X, Y: shift.Y + up}
	draw := func(chains []sheet.Chain, fill sheet.Fill, stroke sheet.Stroke, join canvas.Joiner) {
		style := canvas.DefaultStyle
		style.Fill = canvas.Paint{}
		if fill.Colour != "" {
			style.Fill = canvas.Paint{Color: ink(fill.Colour, fill.Alpha())}
		}
		style.Stroke = canvas.Paint{}
		if stroke.Width > 0 {
			style.Stroke = canvas.Paint{Color: ink(stroke.Colour, 1)}
			style.StrokeWidth = stroke.Width
			style.StrokeCapper = canvas.ButtCap
			style.StrokeJoiner = join
			for _, d := range stroke.Dash {
				style.Dashes = append(style.Dashes, d/stroke.Width) // the library takes dashes in widths
			}
		}
		path := &canvas.Path{}
		for _, c := range chains {
			for i, p := range c.Points {
				if i == 0 {
					path.MoveTo(p.X, p.Y)
				} else {
					path.LineTo(p.X, p.Y)
				}
			}
			if c.Closed {
				path.Close()
			}
		}
		if !path.Empty() {
			render(r, path, style, m)
		}
	}
	sharp := canvas.MiterJoiner{GapJoiner: canvas.BevelJoin, Limit: 4}
	for _, it := range items {
		box := it.Shape.Bounds()
		if box.Empty() {
			continue
		}
		box = box.Grow(it.Stroke.Width)
		box = geom.Box{Min: box.Min.Add(moved), Max: box.Max.Add(moved)}
		if !box.Meets(seen) {
			continue
		}
		chains := sheet.Chains(it.Shape, 0.1/dots)
		if t, ok := it.Shape.(sheet.Text); ok {
			if t.Halo > 0 {
				draw(chains, sheet.Fill{}, sheet.Stroke{Colour: "#ffffff", Width: 2 * t.Halo}, canvas.RoundJoin)
			}
			draw(chains, orBlack(it.Fill), sheet.Stroke{}, sharp)
			continue
		}
		if it.Fill.Colour != "" {
			draw(chains, it.Fill, sheet.Stroke{}, sharp)
		}
		for _, l := range it.HatchLines() {
			draw([]sheet.Chain{{Points: l[:]}}, sheet.Fill{}, it.Hatch.Line, sharp)
		}
		draw(chains, sheet.Fill{}, it.Stroke, sharp)
	}
}

// render draws a path of straight edges. The library makes the outline of a
// stroke by booleans, which were seen to panic on lines that run back over
// themselves. Then the line is drawn turned on turned paper, which most often
// goes well; otherwise an edge at a time, with round ends for corners.
func render(r *rasterizer.Rasterizer, path *canvas.Path, style canvas.Style, m canvas.Matrix) {
	drawn := func(path *canvas.Path, m canvas.Matrix) (done bool) {
		defer func() { done = recover() == nil }()
		r.RenderPath(path, style, m)
		return
	}
	if drawn(path, m) {
		return
	}
	for _, degrees := range []float64{42.3, 121.3} {
		if drawn(path.Copy().Transform(canvas.Identity.Rotate(degrees)), m.Rotate(-degrees)) {
			return
		}
	}
	if len(style.Dashes) > 0 {
		offset, dashes := canvas.ScaleDash(style.StrokeWidth, style.DashOffset, style.Dashes)
		path = path.Dash(offset, dashes...)
		style.Dashes = nil
	} else {
		style.StrokeCapper = canvas.RoundCap
	}
	for edges := path.Scanner(); edges.Scan(); {
		if edges.Cmd() == canvas.MoveToCmd {
			continue
		}
		edge := &canvas.Path{}
		edge.MoveTo(edges.Start().X, edges.Start().Y)
		edge.LineTo(edges.End().X, edges.End().Y)
		drawn(edge, m)
	}
}

// orBlack is the colour of words that name none.
func orBlack(f sheet.Fill) sheet.Fill {
	if f.Colour == "" {
		f.Colour = "#000000"
	}
	return f
}

// ink is a checked colour with its opacity multiplied in, as the rasterizer
// wants it.
func ink(colour string, alpha float64) color.RGBA {
	r, g, b, _ := sheet.RGB(colour)
	k := func(v uint8) uint8 { return uint8(math.Round(float64(v) * alpha)) }
	return color.RGBA{k(r), k(g), k(b), uint8(math.Round(255 * alpha))}
}
