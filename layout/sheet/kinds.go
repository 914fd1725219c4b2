package sheet

import (
	"fmt"
	"slices"

	"slabwright/body"
	"slabwright/body/geom"
	"slabwright/body/outline"
	"slabwright/fret/neck"
	"slabwright/layout/slab"
)

// Set is all that the sheets of one project are drawn from.
type Set struct {
	Overlay               // its Slab has the chambers that go round the placement
	Neck     *neck.Report // never nil
	Rules    slab.ChamberRules
	Reserved []geom.Polygon // wood in plan that stays solid
	Around   bool           // of the overlay, only the part round the body goes on paper
}

// Kind is a kind of sheet that can be asked for by name.
type Kind struct {
	Name, Title string
	Placed      bool // it shows a placement, or the chambers round one
	Draw        func(Set) []Drawing
}

// Drawing is one scene, the name of its file, and the part that goes on paper;
// the zero Part is all of it. List, where it is set, makes pages that tell the
// same in numbers, and they go on paper in place of the full-size scene. Lists,
// where they are set, make the last pages, in place of the scene's ListBlock. A
// Titled one goes on paper with its title block under it and without a cover,
// if it finds room on one sheet.
type Drawing struct {
	Name   string
	Scene  Scene
	Part   geom.Box
	List   func(TileOptions) ([]Page, error)
	Lists  func(TileOptions) ([]Page, error)
	Titled bool
}

// Pages are what goes on paper.
func (d Drawing) Pages(o TileOptions) ([]Page, error) {
	if d.List != nil {
		return d.List(o)
	}
	o.Part = d.Part
	if d.Titled {
		if page, ok := onePage(d.Scene, o); ok {
			return []Page{page}, nil
		}
	}
	if d.Lists == nil {
		return TilePages(d.Scene, o)
	}
	pages, err := TilePages(d.Scene.without(ListBlock), o)
	if err != nil {
		return nil, err
	}
	lists, err := d.Lists(o)
	if err != nil {
		return nil, err
	}
	return append(pages, lists...), nil
}

// Kinds lists every kind of sheet, in the order in which a maker needs them.
func Kinds() []Kind {
	one := func(name, title string, placed bool, draw func(Set) Scene) Kind {
		return Kind{name, title, placed, func(s Set) []Drawing { return []Drawing{{Name: name, Scene: draw(s)}} }}
	}
	// A neck is drawn in its own frame, treble side up, and so right-handed.
	ofNeck := func(name, title string, draw func(Set) Scene) Kind {
		return one(name, title, false, func(s Set) Scene {
			scene := draw(s)
			if s.Body != nil && s.Body.Hand == outline.LeftHanded {
				scene.Notes = append(slices.Clip(scene.Notes), "The instrument is left-handed, and this drawing is not: print it mirrored, with the printer's own setting, or prick it through from the back of the paper.")
			}
			return scene
		})
	}
	return []Kind{
		{"placement", "placement overlay", true, func(s Set) []Drawing {
			d := Drawing{Name: "placement", Scene: s.PlacementOverlay()}
			if s.Around {
				d.Part = s.Overlay.Around(d.Scene)
			}
			return []Drawing{d}
		}},
		{"planing", "planing, a map of either face", true, func(s Set) []Drawing {
			if s.Planing == nil {
				return nil
			}
			part := s.AroundPlaning()
			return []Drawing{{Name: "planing-top", Scene: s.PlaningMap(false), Part: part}, {Name: "planing-bottom", Scene: s.PlaningMap(true), Part: seenBox(true, part)}}
		}},
		{"body-front", "body, front", false, func(s Set) []Drawing { return []Drawing{bodyDrawing(s.Body, body.Front, s.Unit)} }},
		{"body-back", "body, back", false, func(s Set) []Drawing { return []Drawing{bodyDrawing(s.Body, body.Back, s.Unit)} }},
		{"cavities", "body, a template a cavity", false, func(s Set) []Drawing { return cavityDrawings(s.Body, s.Unit) }},
		ofNeck("fretboard", "fretboard", func(s Set) Scene { return Fretboard(s.Frets, s.Unit) }),
		ofNeck("neck-plan", "neck, plan", func(s Set) Scene { return NeckPlan(s.Neck, s.Unit) }),
		one("neck-side", "neck, side", false, func(s Set) Scene { return NeckSide(s.Neck, s.Unit) }),
		ofNeck("headstock", "headstock", func(s Set) Scene { return Headstock(s.Neck, s.Unit) }),
		ofNeck("neck-carving", "neck, carving its back", func(s Set) Scene { return NeckCarving(s.Neck, s.Unit) }),
		one("slab", "slab, plan", true, func(s Set) Scene { return SlabPlan(s.Slab, false, s.Unit) }),
		one("slab-side", "slab, side", true, func(s Set) Scene { return SlabSide(s.Slab, s.Unit) }),
		one("stack", "stack of strips", false, func(s Set) Scene { return StackEnd(s.Slab, s.Unit) }),
		{"edge", "slab, section across its edge", true, func(s Set) []Drawing {
			scene, ok := EdgeSection(s.Slab, s.Unit)
			if !ok {
				return nil
			}
			return []Drawing{{Name: "edge", Scene: scene, List: func(o TileOptions) ([]Page, error) { return EdgeSheet(s.Slab, s.Unit, o) }}}
		}},
		{"chambers", "chambers, a marking list a strip", true, func(s Set) (out []Drawing) {
			for _, m := range s.Slab.Marks(s.Rules, s.Reserved) {
				out = append(out, Drawing{Name: fmt.Sprintf("chambers-strip-%d", m.Strip+1), Scene: ChamberSheet(s.Slab, m, s.Unit),
					List: func(o TileOptions) ([]Page, error) { return MarkingList(s.Slab, m, s.Unit, o) }})
			}
			return out
		}},
	}
}
