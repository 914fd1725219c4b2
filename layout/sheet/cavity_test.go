package sheet_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret/measure"
	"slabwright/layout/sheet"
)

// cavities are the templates of a body's cavities.
func cavities(t testing.TB, o sheet.Overlay) []sheet.Drawing {
	for _, k := range sheet.Kinds() {
		if k.Name == "cavities" {
			return k.Draw(sheet.Set{Overlay: o})
		}
	}
	require.Fail(t, "there are no templates of cavities")
	return nil
}

// wired is a body with cavities of many kinds on both faces, one of them under
// an arch, and one far off the centreline.
func wired(t testing.TB, hand outline.Hand) *body.Body {
	b, err := body.Build(body.Spec{
		Hand: hand, Family: "offset-waist", Thickness: 46,
		Neck:    body.NeckJoint{Angle: 0.02},
		Pickups: []body.Pickup{{Name: "near the bridge", Kind: body.Humbucking, FromSaddle: 60, Angle: 0.1}},
		Bridge:  body.Bridge{Kind: body.Vibrato},
		Cavities: []body.Cavity{
			{Name: "control cavity", At: geom.Pt(50, 90), Length: 80, Width: 40, Turn: 0.2},
			{Name: "Well #2", Face: body.Front, At: geom.Pt(-60, -135), Length: 30, Width: 12, Depth: 20, Ledge: -1, Ring: geom.Polygon{geom.Pt(-60, -152), geom.Pt(-30, -152), geom.Pt(-30, -140), geom.Pt(-60, -140)}},
		},
		Pots:     []body.Pot{{Name: "loudness", At: geom.Pt(50, 90)}},
		Contours: []body.Contour{{Kind: body.ArchedTop, RadiusAcross: 1200}},
	})
	require.NoError(t, err)
	return b
}

// Each cavity has a sheet, on which its ring lies where it lies on the body: as
// it is for the front, turned over for the back, for either hand.
func TestEveryCavityHasItsTemplate(t *testing.T) {
	for _, hand := range []outline.Hand{outline.RightHanded, outline.LeftHanded} {
		b := wired(t, hand)
		drawings := cavities(t, sheet.Overlay{Body: b, Unit: measure.Millimetres})
		var names []string
		drawn := map[string]bool{}
		for _, d := range drawings {
			names = append(names, d.Name)
			require.NoError(t, d.Scene.Check())
			for i, f := range b.Features {
				id := fmt.Sprintf("cavity-%d", i+1)
				for _, it := range d.Scene.On(sheet.Cavity) {
					if it.ID != id {
						continue
					}
					assert.False(t, drawn[f.Name], "%s is on two sheets", f.Name)
					drawn[f.Name] = true
					assert.Equal(t, f.Face == body.Back, d.Scene.FromBelow)
					got := it.Shape.(sheet.Path).Parts[0]
					require.Len(t, got.Curves, len(f.Ring))
					for k, c := range got.Curves {
						want := f.Ring[k]
						if f.Face == body.Back {
							want.Y = -want.Y
						}
						near(t, want, c.P0, 1e-9, f.Name)
					}
				}
			}
		}
		assert.Len(t, drawn, len(b.Features), "every part is on one sheet")
		assert.Equal(t, []string{"cavity-neck-pocket", "cavity-near-the-bridge", "cavity-vibrato-block", "cavity-spring", "cavity-control", "cavity-well-2"}, names)
	}
}

// The words on a template, by hand.
func TestCavityTemplatesSayWhatTheRouterNeeds(t *testing.T) {
	sheets := map[string]string{}
	for _, d := range cavities(t, sheet.Overlay{Body: wired(t, outline.RightHanded), Unit: measure.Millimetres}) {
		var words []string
		for _, it := range d.Scene.Items {
			if x, ok := it.Shape.(sheet.Text); ok {
				words = append(words, x.Words)
			}
		}
		sheets[d.Name] = strings.Join(words, " ")
	}
	for name, wants := range map[string][]string{
		"cavity-control": {"Control cavity, cut from the back", "37.0 mm deep", "control cavity ledge, 2.5 mm deep", "radius 8.0 mm",
			"loudness, from the front", "lay this sheet, printed side up, on the back", "at 50.0 mm from the scale point toward the tail"},
		"cavity-near-the-bridge": {"cut from the front", "toward the neck", "radius 4.0 mm"},
		"cavity-well-2":          {"sharp: square it by chisel", "20.0 mm deep, ", fmt.Sprintf("%.1f mm to %.1f mm when carved", 20-152*152/2400., 20-140*140/2400.), "v -146.0 mm", "along the centreline, 146.0 mm from it"},
		"cavity-neck-pocket":     {"clamp a scrap of wood there", "deep at the joint", "radius 6.0 mm", "76.1 mm along the centreline, 56.2 mm across"},
		"cavity-vibrato-block":   {"through"},
	} {
		for _, want := range wants {
			assert.Contains(t, sheets[name], want, name)
		}
	}
}

// File names are short, of plain letters, and each its own.
func TestCavityTemplatesHaveNamesOfTheirOwn(t *testing.T) {
	spec := body.Spec{Family: "offset-waist", Bridge: body.Bridge{Kind: body.NoBridge}}
	for i, name := range []string{"пазуха", "a/../b", "A b", "a b", strings.Repeat("long ", 60)} {
		spec.Cavities = append(spec.Cavities, body.Cavity{Name: name, At: geom.Pt(30*float64(i)-100, 60), Length: 20, Width: 20, Ledge: -1})
	}
	b, err := body.Build(spec)
	require.NoError(t, err)
	var names []string
	for _, d := range cavities(t, sheet.Overlay{Body: b}) {
		names = append(names, d.Name)
		assert.Regexp(t, "^cavity-[a-z0-9-]{1,62}$", d.Name)
	}
	assert.Equal(t, []string{"cavity-neck-pocket", "cavity-2", "cavity-a-b", "cavity-a-b-2", "cavity-a-b-3"}, names[:5])
	assert.Len(t, names, 6)
}

// A template that fits one sheet is one page, with its words and no cover.
func TestCavityTemplatesAreOnePage(t *testing.T) {
	for _, d := range cavities(t, sheet.Overlay{Body: wired(t, outline.LeftHanded), Unit: measure.Inches}) {
		pages, err := d.Pages(sheet.TileOptions{})
		require.NoError(t, err)
		require.Equal(t, 1, len(pages), d.Name)
		small, err := d.Pages(sheet.TileOptions{Paper: sheet.Paper{Name: "card", Width: 120, Height: 120}})
		require.NoError(t, err)
		assert.Greater(t, len(small), 1, "a cover and tiles")
		window := pages[0].Views[0].Window
		box := d.Scene.Bounds()
		assert.True(t, window.Min.X <= box.Min.X && window.Max.Y >= box.Max.Y && window.Min.Y <= box.Min.Y, "all of it")
		assert.False(t, math.IsNaN(box.Min.X))
	}
}

// On paper a body's lists stand on pages of their own, all of them within the
// page, and not on the tiles; in a file they stand under the drawing.
func TestBodyListsAreNotTiled(t *testing.T) {
	for _, hand := range []outline.Hand{outline.RightHanded, outline.LeftHanded} {
		b := wired(t, hand)
		for _, k := range sheet.Kinds() {
			if k.Name != "body-front" && k.Name != "body-back" {
				continue
			}
			d := k.Draw(sheet.Set{Overlay: sheet.Overlay{Body: b, Unit: measure.Inches}})[0]
			listed := map[string]bool{} // the words under the drawing
			for _, it := range d.Scene.Items {
				if x, ok := it.Shape.(sheet.Text); ok && it.Class == sheet.ListBlock {
					listed[x.Words] = true
				}
			}
			assert.True(t, listed["drill centres"] || listed["routed from this face"], k.Name)
			pages, err := d.Pages(sheet.TileOptions{})
			require.NoError(t, err)
			last := pages[len(pages)-1]
			assert.Empty(t, last.Views)
			frame := geom.Box{Max: geom.Pt(last.Width, last.Height)}.Grow(-9)
			for _, it := range last.Items {
				x, ok := it.Shape.(sheet.Text)
				if !ok {
					continue
				}
				delete(listed, x.Words)
				box := x.Bounds()
				assert.True(t, frame.Has(box.Min) && frame.Has(box.Max), "%q leaves the page", x.Words)
			}
			assert.Empty(t, listed, "words that are not on the last page")
			for _, p := range pages[:len(pages)-1] {
				for _, v := range p.Views {
					for _, it := range v.Scene.Items {
						assert.NotEqual(t, sheet.ListBlock, it.Class)
					}
				}
			}
		}
	}
}
