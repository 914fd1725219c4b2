package format_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret/measure"
	"slabwright/layout/sheet"
)

// strays is how far the curves of p run from q at most.
func strays(p, q geom.Path) float64 {
	ring := geom.Polygon(q.Flatten(0.002))
	worst := 0.0
	for _, c := range p.Curves {
		for i := range 6 {
			d, _ := ring.BoundaryDistance(c.At(float64(i) / 6))
			worst = max(worst, d)
		}
	}
	return worst
}

// A body template that the program writes comes back as the same outline within
// 0.01 mm, from SVG and from DXF, front and back, for each family: the back as
// its mirror image, which Mirror undoes.
func TestTemplatesComeBackAsOutlines(t *testing.T) {
	for _, family := range outline.Families() {
		for _, face := range []body.Face{body.Front, body.Back} {
			b, err := body.Build(body.Spec{Family: family, Cavities: []body.Cavity{{At: geom.Pt(30, 60), Length: 60, Width: 40}}})
			require.NoError(t, err)
			scene := sheet.BodyTemplate(b, face, measure.Millimetres)
			o := outline.Options{Neck: outline.AsDrawn, Mirror: face == body.Back}
			for kind, read := range map[string]func() (outline.Imported, error){
				"SVG": func() (outline.Imported, error) {
					o := o
					o.ID = "body-outline"
					return outline.ImportSVG(bytes.NewReader(svg(t, scene)), o)
				},
				"DXF": func() (outline.Imported, error) {
					o := o
					o.ID = "BODY"
					return outline.ImportDXF(bytes.NewReader(dxf(t, scene)), o)
				},
			} {
				got, err := read()
				require.NoError(t, err, "%s %s %s", family, face, kind)
				off := got.Path.Bounds().Min.Sub(b.Outline.Bounds().Min) // a page puts its origin where it likes
				moved := got.Path.Moved(geom.Shift(off.Neg()))
				assert.Less(t, strays(b.Outline, moved), 0.01, "%s %s %s", family, face, kind)
				assert.Less(t, strays(moved, b.Outline), 0.01, "%s %s %s", family, face, kind)
				assert.Equal(t, outline.RightHanded, got.Hand, "%s %s %s", family, face, kind)
			}
		}
	}
}
