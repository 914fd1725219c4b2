package sheet_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret"
	"slabwright/fret/measure"
	"slabwright/fret/neck"
	"slabwright/layout/place"
	"slabwright/layout/project"
	"slabwright/layout/sheet"
	"slabwright/layout/slab"
)

// panel is a small slab of three strips, one with a diagonal transition.
func panel() *slab.Slab {
	return &slab.Slab{
		Length: 1100,
		Strips: []slab.Strip{
			{Name: "right", Pieces: []slab.Piece{{Wood: "black-walnut", Thickness: 150}}},
			{Name: "line", Pieces: []slab.Piece{{Wood: "hard-maple", Thickness: 6}}},
			{Name: "left", Pieces: []slab.Piece{{Wood: "black-cherry", Thickness: 260}, {Wood: "sapele", Thickness: 260}},
				Transitions: []slab.Transition{{Kind: slab.Diagonal, At: 400, Angle: math.Pi / 4}}},
		},
		Plan:    slab.TaperedPlan(1100, 380, 416),
		Profile: slab.Profile{Top: []slab.Station{{X: 0, Value: 60}, {X: 1100, Value: 70}}, Bottom: []slab.Station{{X: 0, Value: 0}, {X: 1100, Value: 0}}},
		Chambers: []slab.Chamber{
			{Name: "one", Strip: 0, From: 60, To: 180, TopSkin: 9, BottomSkin: 7, State: slab.Cut},
			{Name: "two", Strip: 0, From: 200, To: 320, TopSkin: 9, BottomSkin: 7, State: slab.Planned},
		},
		Fasteners: []slab.Fastener{{Name: "a", Kind: "screw", At: geom.Point3{X: 50, Y: 150, Z: 60}, Direction: geom.Vec3{Z: -1}, Length: 40, Shank: 4, Head: 8}},
		Flaws:     []slab.Flaw{{Name: "k", Kind: "knot", At: geom.Point{X: 1050, Y: -100}, Radius: 9}},
	}
}

func board(t testing.TB) *fret.Plan {
	p, err := fret.Plain(628, 21).Plan()
	require.NoError(t, err)
	return p
}

func solid(t testing.TB, hand outline.Hand) *body.Body {
	b, err := body.Build(body.Spec{Family: "offset-waist", Hand: hand, ScaleLength: 628,
		Pickups: []body.Pickup{{Name: "middle", Kind: body.SingleCoil, FromSaddle: 90}}})
	require.NoError(t, err)
	return b
}

func overlay(t testing.TB, face place.Face) sheet.Overlay {
	return sheet.Overlay{Slab: panel(), Body: solid(t, outline.RightHanded), Frets: board(t), Project: "Hall panel",
		Placement: place.Placement{X: 760, Y: -20, Angle: 0.11, Height: 50, Face: face}, Need: place.DefaultNeed()}
}

func item(t testing.TB, s sheet.Scene, id string) sheet.Item {
	t.Helper()
	for _, it := range s.Items {
		if it.ID == id {
			return it
		}
	}
	require.Fail(t, "no item "+id, s.Name)
	return sheet.Item{}
}

// ends are the ends of a straight item.
func ends(t testing.TB, it sheet.Item) (a, b geom.Point) {
	t.Helper()
	c := it.Shape.(sheet.Path).Parts[0].Curves
	require.Len(t, c, 1)
	return c[0].P0, c[0].P3
}

func middle(t testing.TB, it sheet.Item) geom.Point {
	a, b := ends(t, it)
	return a.Lerp(b, 0.5)
}

func near(t testing.TB, want, got geom.Point, tol float64, what string) {
	t.Helper()
	assert.InDelta(t, 0, want.Distance(got), tol, "%s: want %v, got %v", what, want, got)
}

// drilled are the default rules with corner holes of the given diameter.
func drilled(mm float64) slab.ChamberRules {
	rules := slab.DefaultChamberRules()
	rules.CornerHole = mm
	return rules
}

// all is every drawing of a project's parts.
func all(t testing.TB, o sheet.Overlay) map[string]sheet.Scene {
	r, err := neck.Work(neck.Spec{Layout: o.Frets.Layout})
	require.NoError(t, err)
	out := map[string]sheet.Scene{
		"overlay": o.PlacementOverlay(), "placed": o.Placed(), "wood": sheet.Wood(o.Slab, false), "slab": sheet.SlabPlan(o.Slab, false, o.Unit),
		"slab below": sheet.SlabPlan(o.Slab, true, o.Unit), "side": sheet.SlabSide(o.Slab, o.Unit), "end": sheet.StackEnd(o.Slab, o.Unit),
		"front": sheet.BodyTemplate(o.Body, body.Front, o.Unit), "back": sheet.BodyTemplate(o.Body, body.Back, o.Unit),
		"instrument": sheet.Instrument(o.Body, o.Frets, neck.Seat{}), "fretboard": sheet.Fretboard(o.Frets, o.Unit),
		"neck plan": sheet.NeckPlan(r, o.Unit), "neck side": sheet.NeckSide(r, o.Unit),
		"headstock": sheet.Headstock(r, o.Unit), "neck carving": sheet.NeckCarving(r, o.Unit),
	}
	planed := planed(t, o)
	out["planing top"], out["planing bottom"] = planed.PlaningMap(false), planed.PlaningMap(true)
	for _, d := range cavities(t, o) {
		out[d.Name] = d.Scene
	}
	for _, m := range o.Slab.Marks(drilled(10), nil) {
		out[fmt.Sprintf("chambers %d", m.Strip)] = sheet.ChamberSheet(o.Slab, m, o.Unit)
	}
	return out
}

// samples are overlays of the projects that come with the program, and of the
// small panel on both faces.
func samples(t testing.TB) map[string]sheet.Overlay {
	out := map[string]sheet.Overlay{"panel": overlay(t, place.Top), "panel below": overlay(t, place.Bottom)}
	for _, name := range project.Samples() {
		p, err := project.Sample(name)
		require.NoError(t, err)
		plan, err := p.Fret.Plan()
		require.NoError(t, err)
		face := place.Top
		if name == "bench" {
			face = place.Bottom
		}
		out[name] = sheet.Overlay{Slab: p.Slab, Body: p.Body, Frets: plan, Unit: p.Unit, Project: p.Name, Need: p.Need,
			Placement: place.Placement{X: 0.62 * p.Slab.Length, Angle: 0.05, Height: 45, Face: face}}
	}
	return out
}

// Every drawing can be written, says its frame in a NOTE (unless it is one of
// those without words for the screen), and uses only letters that the fonts
// have.
func TestEveryDrawingIsSound(t *testing.T) {
	fonts := map[bool]*sfnt.Font{}
	for bold, ttf := range map[bool][]byte{false: goregular.TTF, true: gobold.TTF} {
		f, err := sfnt.Parse(ttf)
		require.NoError(t, err)
		fonts[bold] = f
	}
	for name, o := range samples(t) {
		for kind, s := range all(t, o) {
			require.NoError(t, s.Check(), "%s %s", name, kind)
			framed := kind == "placed" || kind == "wood" || kind == "instrument"
			for _, it := range s.Items {
				x, ok := it.Shape.(sheet.Text)
				if !ok {
					continue
				}
				framed = framed || it.Layer == sheet.Note && strings.HasPrefix(x.Words, "Frame: ")
				var buf sfnt.Buffer
				for _, r := range x.Words {
					g, err := fonts[x.Bold].GlyphIndex(&buf, r)
					assert.True(t, err == nil && g != 0, "%s %s: the font has no %q in %q", name, kind, r, x.Words)
				}
			}
			assert.True(t, framed, "%s %s does not name its frame", name, kind)
		}
	}
}

// No two words overlap on any drawing, by exact clipping of their boxes.
func TestWordsDoNotOverlap(t *testing.T) {
	for name, o := range samples(t) {
		for kind, s := range all(t, o) {
			var texts []sheet.Text
			for _, it := range s.Items {
				if x, ok := it.Shape.(sheet.Text); ok {
					texts = append(texts, x)
				}
			}
			boxes := make([]geom.Box, len(texts))
			for i, x := range texts {
				boxes[i] = x.Bounds()
			}
			for i, a := range texts {
				pa, box := geom.Polygon(a.Box()), boxes[i]
				for k, b := range texts[:i] {
					if !box.Meets(boxes[k]) {
						continue
					}
					if area := pa.ClippedTo(b.Box()).Area(); area > 0.05 {
						assert.Fail(t, "words overlap", "%s, %s: %q and %q by %.2f mm²", name, kind, a.Words, b.Words, area)
					}
				}
			}
		}
	}
}

// The overlay lies where the placement says. The wanted places are worked out
// here by hand from the definition of the frames: on the top face
// u = (cos a, sin a), v = (−sin a, cos a); on the bottom face v = (sin a, −cos a)
// and the drawing shows (x, −y). Frets by equal temperament, 2^(−n/12).
func TestOverlayLiesWhereThePlacementSays(t *testing.T) {
	for _, face := range []place.Face{place.Top, place.Bottom} {
		o := overlay(t, face)
		p := o.Placement
		sin, cos := math.Sincos(p.Angle)
		at := func(u, v float64) geom.Point {
			if face == place.Top {
				return geom.Point{X: p.X + u*cos - v*sin, Y: p.Y + u*sin + v*cos}
			}
			return geom.Point{X: p.X + u*cos + v*sin, Y: -(p.Y + u*sin - v*cos)}
		}
		for kind, s := range map[string]sheet.Scene{"overlay": o.PlacementOverlay(), "placed": o.Placed()} {
			assert.Equal(t, face == place.Bottom, s.FromBelow, kind)
			near(t, at(-628, 0), middle(t, item(t, s, "nut")), 1e-6, "nut")
			for n := 1; n <= 21; n++ {
				near(t, at(-628*math.Exp2(-float64(n)/12), 0), middle(t, item(t, s, fmt.Sprintf("fret-%d", n))), 1e-6, fmt.Sprint("fret ", n))
			}
			a, b := ends(t, item(t, s, "string-1"))
			top := o.Body.Strings[0]
			near(t, at(top.A.X, top.A.Y), a, 1e-6, "string 1 at the nut")
			near(t, at(top.B.X, top.B.Y), b, 1e-6, "string 1 at the scale point")
			assert.Greater(t, top.B.Y, 0.0, "string 1 is on the treble side")

			// The outline is the body's own curve, not a polygon near it.
			got := item(t, s, "body-outline").Shape.(sheet.Path).Parts[0]
			require.Len(t, got.Curves, len(o.Body.Outline.Curves))
			for i, c := range o.Body.Outline.Curves {
				near(t, at(c.At(0.3).X, c.At(0.3).Y), got.Curves[i].At(0.3), 1e-6, "outline")
			}
			// The kerf lies its width outside, all round.
			ring := got.Polygon(0.002)
			for _, q := range item(t, s, "kerf").Shape.(sheet.Path).Parts[0].Flatten(0.01) {
				d, _ := ring.BoundaryDistance(q)
				assert.InDelta(t, o.Need.Kerf, d, 0.06)
				assert.Equal(t, geom.Outside, ring.Locate(q))
			}
		}
	}
}

// A tilted body casts different outlines with front and back; both are drawn,
// through the placement's own frame.
func TestTiltedOverlayShowsTheBackToo(t *testing.T) {
	o := overlay(t, place.Top)
	for _, it := range o.Placed().Items {
		assert.NotEqual(t, "body-back", it.ID)
	}
	o.Placement.Pitch = 0.03
	s := o.Placed()
	f := o.Placement.Frame()
	front, back := item(t, s, "body-outline").Shape.(sheet.Path).Parts[0], item(t, s, "body-back").Shape.(sheet.Path).Parts[0]
	for i, c := range o.Body.Outline.Curves {
		q := c.At(0.5)
		near(t, f.Apply(q.X, q.Y, 0).Plan(), front.Curves[i].At(0.5), 1e-6, "front")
		near(t, f.Apply(q.X, q.Y, -o.Body.Thickness).Plan(), back.Curves[i].At(0.5), 1e-6, "back")
	}
	assert.Greater(t, front.Curves[0].P0.Distance(back.Curves[0].P0), 1.0)
}

func TestLeftHandedFretsAreMirrored(t *testing.T) {
	right := sheet.Instrument(solid(t, outline.RightHanded), board(t), neck.Seat{})
	left := sheet.Instrument(solid(t, outline.LeftHanded), board(t), neck.Seat{})
	a, _ := ends(t, item(t, right, "fret-5"))
	b, _ := ends(t, item(t, left, "fret-5"))
	near(t, geom.Point{X: a.X, Y: -a.Y}, b, 1e-9, "bass end")
	a, _ = ends(t, item(t, right, "string-1"))
	b, _ = ends(t, item(t, left, "string-1"))
	near(t, geom.Point{X: a.X, Y: -a.Y}, b, 1e-9, "string 1")
}

// The neck's lean and height go through the one map from neck to body.
func TestLeaningNeckIsForeshortened(t *testing.T) {
	seat := neck.Seat{AngleRad: 0.06, ScaleMm: 628, BoardAtScaleMm: 14}
	s := sheet.Instrument(solid(t, outline.RightHanded), board(t), seat)
	near(t, geom.Point{X: -628 * math.Cos(0.06)}, middle(t, item(t, s, "nut")), 1e-6, "nut")
}

// Strips tile the slab: their areas add up to the outline's, on both faces.
func TestStripsTileTheSlab(t *testing.T) {
	for _, below := range []bool{false, true} {
		s := sheet.Wood(panel(), below)
		sum := 0.0
		for _, it := range s.On(sheet.Strip) {
			for _, p := range it.Shape.(sheet.Path).Parts {
				sum += math.Abs(p.Area())
			}
		}
		assert.InDelta(t, panel().Outline().Area(), sum, 20, "mm² of some 430000")
		for _, l := range []sheet.Layer{sheet.Slab, sheet.GlueLine, sheet.Chamber, sheet.Fastener, sheet.Flaw} {
			assert.NotEmpty(t, s.On(l), l)
		}
	}
	// The screw is at y = +150: up on the top face, down as seen from below.
	top, below := item(t, sheet.Wood(panel(), false), "fastener-1"), item(t, sheet.Wood(panel(), true), "fastener-1")
	assert.Equal(t, geom.Point{X: 50, Y: 150}, top.Shape.(sheet.Circle).Centre)
	assert.Equal(t, geom.Point{X: 50, Y: -150}, below.Shape.(sheet.Circle).Centre)
}

// Datum strokes lie on glue lines, datum circles on the transition's ends, and
// the stations' distances are written.
func TestDatumsLieOnTheWood(t *testing.T) {
	o := overlay(t, place.Top)
	s := o.PlacementOverlay()
	strokes, circles := 0, 0
	for _, it := range s.Items {
		if it.Class != "datum" {
			continue
		}
		switch x := it.Shape.(type) {
		case sheet.Circle:
			circles++
			found := false
			for _, g := range o.Slab.GlueLines() {
				d, _ := geom.PointSegment(x.Centre, g.A, g.B)
				found = found || g.Transition && d < 1e-9
			}
			assert.True(t, found, "%v is on no transition", x.Centre)
		case sheet.Path:
			if len(x.Parts) > 1 {
				continue // the cross on a transition's middle
			}
			strokes++
			a, b := ends(t, it)
			assert.Equal(t, a.Y, b.Y)
			found := false
			for _, g := range o.Slab.GlueLines() {
				found = found || !g.Transition && math.Abs(g.A.Y-a.Y) < 1e-9
			}
			assert.True(t, found, "y %v is no glue line", a.Y)
		}
	}
	assert.Equal(t, 4, strokes, "two glue lines at two stations")
	assert.Equal(t, 2, circles)
	words := ""
	for _, it := range s.Items {
		if x, ok := it.Shape.(sheet.Text); ok {
			words += x.Words + "\n"
		}
	}
	for _, w := range []string{"diagonal transition, left 400.0 mm", "scale point 760.0 mm", "slab length 1100.0 mm", "datum station"} {
		assert.Contains(t, words, w)
	}
}

func TestFailedChecksAreMarked(t *testing.T) {
	o := overlay(t, place.Top)
	o.Verdict = &place.Verdict{Checks: []place.Check{
		{Name: "outline in the slab", Measured: true, At: geom.Point3{X: 900, Y: 90}, Message: "too near"},
		{Name: "fine", OK: true, Measured: true},
	}}
	it := item(t, o.Placed(), "failed-1")
	near(t, geom.Point{X: 900, Y: 90}, it.Shape.Bounds().Centre(), 1e-9, "mark")
	assert.Equal(t, "too near", it.Title)
	for _, it := range o.Placed().Items {
		assert.NotEqual(t, "failed-2", it.ID)
	}
}

// Around holds the body, the nut and both datum stations.
func TestAroundSavesPaper(t *testing.T) {
	p, err := project.Sample("demo")
	require.NoError(t, err)
	plan, err := p.Fret.Plan()
	require.NoError(t, err)
	o := sheet.Overlay{Slab: p.Slab, Body: p.Body, Frets: plan, Placement: place.Placement{X: 1080, Height: 50, Face: place.Top}}
	s := o.PlacementOverlay()
	around := o.Around(s)
	for _, id := range []string{"body-outline", "nut"} {
		b := item(t, s, id).Shape.Bounds()
		assert.True(t, around.Has(b.Min) && around.Has(b.Max), id)
	}
	whole, err := sheet.PlanTiles(s, sheet.TileOptions{})
	require.NoError(t, err)
	part, err := sheet.PlanTiles(s, sheet.TileOptions{Part: around})
	require.NoError(t, err)
	assert.Less(t, len(part.Tiles), len(whole.Tiles))
	_, err = sheet.PlanTiles(s, sheet.TileOptions{Part: box(9000, 9000, 9100, 9100)})
	assert.ErrorContains(t, err, "nothing on it")

	// Turned about, the words beside the nut run outward; they go on paper whole.
	o.Placement.X, o.Placement.Angle = 620, math.Pi
	o.Verdict = &place.Verdict{Checks: []place.Check{{Name: "a wall", Measured: true, At: geom.Point3{X: 621, Y: 1}}}}
	s = o.PlacementOverlay()
	around = o.Around(s)
	told := 0
	for _, it := range s.Items {
		if words, ok := it.Shape.(sheet.Text); ok && (strings.HasPrefix(words.Words, "nut on") || strings.HasSuffix(words.Words, "fails here")) {
			b := words.Bounds()
			assert.True(t, around.Has(b.Min) && around.Has(b.Max), words.Words)
			told++
		}
	}
	assert.Equal(t, 2, told)
}

// A strip is told by its number and name; one without a name by its number alone.
func TestStripsWithoutNames(t *testing.T) {
	o := overlay(t, place.Top)
	o.Slab.Strips[1].Name = ""
	for _, s := range []sheet.Scene{o.PlacementOverlay(), sheet.SlabPlan(o.Slab, false, o.Unit), sheet.StackEnd(o.Slab, o.Unit)} {
		var all []string
		for _, it := range s.Items {
			if words, ok := it.Shape.(sheet.Text); ok {
				all = append(all, words.Words)
			}
		}
		told := strings.Join(all, "\n")
		assert.Contains(t, told, "1 right", s.Name)
		assert.Contains(t, told, "strip 2", s.Name)
		assert.NotContains(t, told, "2 strip 2", s.Name)
	}
}

// The back template is the body turned over: what is at (u, v) stands at
// (u, −v), and what is cut from the back is drawn solid there.
// Every cavity and hole is told in words, with its depth, on the template of
// the face that it is cut from; holes in the edge on both; and what is carved.
func TestTemplatesTellWhatIsCut(t *testing.T) {
	b, err := body.Build(body.Spec{
		Family: "double-cutaway", Unit: measure.Inches,
		Neck:     body.NeckJoint{Angle: 0.03, HeadDepth: 5},
		Pickups:  []body.Pickup{{Kind: body.Humbucking, FromSaddle: 45}},
		Bridge:   body.Bridge{Kind: body.Vibrato},
		Cavities: []body.Cavity{{At: geom.Pt(40, 90), Length: 80, Width: 45}},
		Pots:     []body.Pot{{At: geom.Pt(40, 90)}},
		Channels: []body.Channel{{From: geom.Pt(-120, -40), To: geom.Pt(-60, -60)}},
		Edges:    body.Edges{FrontRadius: 4, BackChamfer: 3},
		Contours: []body.Contour{
			{Kind: body.ForearmBevel, At: geom.Pt(60, -120), Along: geom.V(-1, 0.2)},
			{Kind: body.BellyCut, At: geom.Pt(-60, -120), Along: geom.V(-1, 0), Hollow: true},
			{Kind: body.ArchedTop, At: geom.Pt(-20, 0), RadiusAcross: 4000},
		},
	})
	require.NoError(t, err)
	words := map[body.Face][]string{}
	for _, face := range []body.Face{body.Front, body.Back} {
		for _, it := range sheet.BodyTemplate(b, face, measure.Inches).Items {
			if x, ok := it.Shape.(sheet.Text); ok {
				words[face] = append(words[face], x.Words)
			}
		}
	}
	for _, f := range b.Features {
		assert.Contains(t, words[f.Face], f.Name)
	}
	for _, h := range b.Holes {
		for face, list := range words {
			if h.Face == face || h.Face == body.Side {
				told := slices.Contains(list, h.Name) || slices.Contains(list, h.Name+", from the "+string(h.Face))
				assert.True(t, told, "%s on the %s", h.Name, face)
			}
		}
	}
	front, back := strings.Join(words[body.Front], "\n"), strings.Join(words[body.Back], "\n")
	assert.Contains(t, front, "deep at the joint")
	assert.Contains(t, front, "radius of 5/32 in (0.157)")
	assert.Contains(t, front, "Forearm bevel: plane of 11.31° from the dotted line") // 12 mm over 60
	assert.Contains(t, front, "Arched top: radius 157 31/64 in")
	assert.Contains(t, back, "Belly cut: hollow of radius 4 59/64 in (4.921)") // 50²/(2·10) = 125 mm
	assert.Contains(t, back, "chamfered by 1/8 in (0.118) at 45°")
	for face, list := range words {
		for _, w := range list {
			if !strings.HasPrefix(w, "Frame: ") {
				assert.NotContains(t, w, " mm", face)
			}
		}
	}
}

func TestBackTemplateIsMirrored(t *testing.T) {
	b := solid(t, outline.RightHanded)
	front, back := sheet.BodyTemplate(b, body.Front, measure.Millimetres), sheet.BodyTemplate(b, body.Back, measure.Millimetres)
	assert.True(t, back.FromBelow)
	q := b.Outline.Curves[2].At(0.4)
	near(t, q, item(t, front, "body-outline").Shape.(sheet.Path).Parts[0].Curves[2].At(0.4), 1e-9, "front")
	near(t, geom.Point{X: q.X, Y: -q.Y}, item(t, back, "body-outline").Shape.(sheet.Path).Parts[0].Curves[2].At(0.4), 1e-9, "back")
	holes := 0
	for i, h := range b.Holes {
		if h.Face != body.Back || h.A.X != h.B.X || h.A.Y != h.B.Y {
			continue
		}
		holes++
		it := item(t, back, fmt.Sprintf("hole-%d", i+1))
		assert.Empty(t, it.Stroke.Dash, h.Name)
		near(t, geom.Point{X: h.A.X, Y: -h.A.Y}, it.Shape.(sheet.Circle).Centre, 1e-9, h.Name)
		assert.Equal(t, h.Diameter/2, it.Shape.(sheet.Circle).Radius)
	}
	assert.Positive(t, holes)
}

// Frets on the fretboard sheet against equal temperament, d = L(1 − 2^(−n/12)),
// and the table's words against the same numbers.
func TestFretboardSheet(t *testing.T) {
	s := sheet.Fretboard(board(t), measure.Millimetres)
	words := map[string]bool{}
	for _, it := range s.Items {
		if x, ok := it.Shape.(sheet.Text); ok {
			words[x.Words] = true
		}
	}
	for n := 1; n <= 21; n++ {
		d := 628 * (1 - math.Exp2(-float64(n)/12))
		a, b := ends(t, item(t, s, fmt.Sprintf("fret-%d", n)))
		assert.InDelta(t, d, a.X, 1e-9)
		assert.InDelta(t, d, b.X, 1e-9)
		assert.Less(t, a.Y, 0.0, "bass end first, at −v")
		assert.True(t, words[fmt.Sprintf("%.2f mm", d)], "fret %d at %.2f", n, d)
	}
}

// A chamber's roof and floor on the strip's sheet leave the skins, measured
// square to the faces, and the corner holes lie within it.
func TestChamberSheetLeavesTheSkins(t *testing.T) {
	sl := panel()
	marks := sl.Marks(drilled(12), nil)
	require.Len(t, marks, 1)
	require.Equal(t, 0, marks[0].Strip)
	s := sheet.ChamberSheet(sl, marks[0], measure.Millimetres)
	var rings []geom.Polygon
	for _, it := range s.On(sheet.Chamber) {
		rings = append(rings, it.Shape.(sheet.Path).Parts[0].Polygon(0.001))
	}
	require.Len(t, rings, 2)
	tilt := math.Hypot(1, 10.0/1100) // the top rises 10 mm over the length
	b := rings[0].Bounds()
	assert.InDelta(t, 60, b.Min.X, 1e-9)
	assert.InDelta(t, 180, b.Max.X, 1e-9)
	assert.InDelta(t, 7, b.Min.Y, 1e-6)
	assert.InDelta(t, sl.TopAt(180)-9*tilt, b.Max.Y, 1e-6)
	holes := 0
	for _, it := range s.On(sheet.Hole) {
		c, ok := it.Shape.(sheet.Circle)
		if !ok {
			continue
		}
		holes++
		assert.Equal(t, 6.0, c.Radius)
		inside := math.Max(rings[0].Depth(c.Centre), rings[1].Depth(c.Centre))
		assert.InDelta(t, 6, inside, 0.001, "the hole touches two sides of the corner")
	}
	assert.Equal(t, 8, holes)
}

// A strip's marking list takes one page of office paper; many chambers or small
// paper run on over several; its words stay on the page and clear of each other, it says that
// it is not to scale, and its numbers are those of the chambers and of holes
// that touch two sides of their corners.
func TestMarkingList(t *testing.T) {
	sl := panel()
	for i := range 18 {
		x := 340 + 40*float64(i)
		sl.Chambers = append(sl.Chambers, slab.Chamber{Name: fmt.Sprint("more ", i), Strip: 0, From: x, To: x + 30, TopSkin: 9, BottomSkin: 7, State: slab.Planned})
	}
	m := sl.Marks(drilled(12), nil)[0]
	few := m
	few.Chambers, few.Air = m.Chambers[:9], m.Air[:3]
	pages, err := sheet.MarkingList(sl, few, measure.Millimetres, sheet.TileOptions{})
	require.NoError(t, err)
	assert.Len(t, pages, 1, "nine chambers fit A4")
	for size, most := range map[string]int{"A4": 2, "Letter": 2, "A3": 2, "roll 610 mm": 2, "200 x 150 mm": 5} {
		for _, u := range []measure.Unit{measure.Millimetres, measure.Inches} {
			pages, err := sheet.MarkingList(sl, m, u, sheet.TileOptions{Paper: paper(t, size), Project: "Hall panel"})
			require.NoError(t, err)
			assert.LessOrEqual(t, len(pages), most, size)
			all := ""
			for _, p := range pages {
				var boxes []geom.Box
				for _, it := range p.Items {
					x, ok := it.Shape.(sheet.Text)
					if !ok {
						continue
					}
					b := x.Bounds()
					assert.True(t, b.Min.X > 4 && b.Min.Y > 4 && b.Max.X < p.Width-4 && b.Max.Y < p.Height-4, "%s: %q leaves the page", size, x.Words)
					for _, other := range boxes {
						both := geom.Box{Min: geom.Pt(math.Max(b.Min.X, other.Min.X), math.Max(b.Min.Y, other.Min.Y)), Max: geom.Pt(math.Min(b.Max.X, other.Max.X), math.Min(b.Max.Y, other.Max.Y))}
						assert.False(t, both.Max.X-both.Min.X > 0.1 && both.Max.Y-both.Min.Y > 0.1, "%s: %q lies on other words", size, x.Words)
					}
					boxes = append(boxes, b)
					all += x.Words + "\n"
				}
			}
			assert.Contains(t, all, "not to scale")
			assert.Contains(t, all, "bore along")
			want := []string{"more 17", "1020.0 mm", "1050.0 mm", "1026.0 mm", "1044.0 mm", "15.0 mm", "13.0 mm"}
			if u == measure.Inches {
				want = []string{"more 17", "(40.157)", "(41.339)", "(40.394)", "(41.102)"}
			}
			for _, w := range want {
				assert.Contains(t, all, w, size)
			}
		}
	}
}

// Fittings are drawn where they stand, named on the plan, and told apart where
// the instrument may not come. The lines to mark before the edges are chamfered
// lie as far in as a flat of 45° under the radius asks: r (2 − √2).
func TestPlanShowsFittingsAndChamferLines(t *testing.T) {
	sl := panel()
	sl.Edge = slab.Edge{TopRadius: 10, BottomRadius: 6}
	sl.Fittings = []slab.Fitting{
		{Name: "hook", Kind: "hanger", At: geom.Pt(50, 150), Radius: 20, Carries: true},
		{Kind: "inlay", Ring: geom.Polygon{{X: 900, Y: -20}, {X: 940, Y: -20}, {X: 940, Y: 20}}, Forbids: true},
	}
	for _, below := range []bool{false, true} {
		s := sheet.SlabPlan(sl, below, measure.Millimetres)
		flip := 1.0
		if below {
			flip = -1
		}
		near(t, geom.Pt(50, 150*flip), item(t, s, "fitting-1").Shape.(sheet.Circle).Centre, 1e-9, "hook")
		assert.Equal(t, "fitting", item(t, s, "fitting-1").Class)
		assert.Equal(t, "fitting forbids", item(t, s, "fitting-2").Class)
		assert.Equal(t, geom.Bounds(geom.Pt(900, -20), geom.Pt(940, 20)), item(t, s, "fitting-2").Shape.Bounds())
		var words []string
		for _, it := range s.Items {
			if x, ok := it.Shape.(sheet.Text); ok {
				words = append(words, x.Words)
			}
		}
		assert.Contains(t, words, "hook")
		assert.Contains(t, words, "inlay 2")
		r := map[bool]float64{false: 10, true: 6}[below]
		ring := sl.Outline().Polygon(0.01)
		for _, q := range item(t, s, "chamfer").Shape.(sheet.Path).Parts[0].Flatten(0.1) {
			d, _ := ring.BoundaryDistance(geom.Pt(q.X, q.Y*flip))
			assert.InDelta(t, r*(2-math.Sqrt2), d, 0.02)
		}
	}
	side := sheet.SlabSide(sl, measure.Millimetres)
	near(t, geom.Pt(0, sl.TopAt(0)-10*(2-math.Sqrt2)), item(t, side, "chamfer-top").Shape.(sheet.Path).Parts[0].Curves[0].P0, 1e-9, "top")
	near(t, geom.Pt(0, 6*(2-math.Sqrt2)), item(t, side, "chamfer-bottom").Shape.(sheet.Path).Parts[0].Curves[0].P0, 1e-9, "bottom")
	// On the overlay the fittings stand too, so that nothing is cut there.
	o := overlay(t, place.Top)
	o.Slab = sl
	item(t, o.PlacementOverlay(), "fitting-2")
	item(t, o.Placed(), "fitting-1")
}

// On every page of every paper the furniture's words stay on the page and do
// not overlap each other.
func TestPageFurnitureFits(t *testing.T) {
	for name, o := range samples(t) {
		for kind, s := range map[string]sheet.Scene{"overlay": o.PlacementOverlay(), "back": sheet.BodyTemplate(o.Body, body.Back, o.Unit), "fretboard": sheet.Fretboard(o.Frets, o.Unit)} {
			for _, size := range []string{"A4", "Letter", "Tabloid", "A1", "roll 300 mm", "200 x 150 mm"} {
				pages, err := sheet.TilePages(s, sheet.TileOptions{Paper: paper(t, size), Project: "A hall panel with rather a long name for a small sheet"})
				require.NoError(t, err)
				for _, p := range pages {
					var texts []sheet.Text
					for _, it := range p.Items {
						if x, ok := it.Shape.(sheet.Text); ok {
							b := x.Bounds()
							if b.Min.X < 3 || b.Min.Y < 3 || b.Max.X > p.Width-3 || b.Max.Y > p.Height-3 {
								assert.Fail(t, "words off the page", "%s %s on %s, %s: %q", name, kind, size, p.Name, x.Words)
							}
							texts = append(texts, x)
						}
					}
					for i, a := range texts {
						box := a.Bounds()
						for _, b := range texts[:i] {
							if box.Meets(b.Bounds()) && geom.Polygon(a.Box()).ClippedTo(b.Box()).Area() > 0.05 {
								assert.Fail(t, "words overlap", "%s %s on %s, %s: %q and %q", name, kind, size, p.Name, a.Words, b.Words)
							}
						}
					}
				}
			}
		}
	}
}

// From the side, chambers of strips behind each other share their lines: two
// alike have four, a longer one in a third strip adds its end.
func TestSideDrawsHiddenLinesOnce(t *testing.T) {
	sl := panel()
	ch := func(strip int, to float64) slab.Chamber {
		return slab.Chamber{Strip: strip, From: 200, To: to, TopSkin: 9, BottomSkin: 7, State: slab.Planned}
	}
	lines := func(list ...slab.Chamber) (n int) {
		sl.Chambers = list
		for _, it := range sheet.SlabSide(sl, measure.Millimetres).On(sheet.Chamber) {
			if it.Stroke.Width > 0 {
				n++
			}
		}
		return n
	}
	assert.Equal(t, 4, lines(ch(0, 400)))
	assert.Equal(t, 4, lines(ch(0, 400), ch(1, 400)))
	assert.Equal(t, 5, lines(ch(0, 400), ch(1, 400), ch(2, 600)))
}
