package project

import (
	"math"
	"slices"
	"strconv"
	"sync"

	"slabwright/body/outline"
	"slabwright/fret/measure"
	"slabwright/fret/neck"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

const halfTurn = math.Pi

// sizesPath is the one table whose keys depend on a value: the sizes that the
// chosen outline family takes.
const sizesPath = "body.sizes"

// far bounds places and sizes in a slab, in mm.
const far = 10000

// Keys lists every key of a project file, in the order in which a new file
// shows them.
func Keys() []Key { return slices.Clone(keys()) }

// keys is the list, put together once; nothing changes it afterwards.
var keys = sync.OnceValue(func() []Key {
	return slices.Concat(topKeys(), fretKeys(), neckKeys(), bodyKeys(), slabKeys(), placeKeys(), shopKeys())
})

// byPath finds a key by its path, children those that stand directly in a
// table, in order.
var (
	byPath = sync.OnceValue(func() map[string]Key {
		m := map[string]Key{}
		for _, k := range keys() {
			m[k.Path] = k
		}
		return m
	})
	byParent = sync.OnceValue(func() map[string][]Key {
		m := map[string][]Key{}
		for _, k := range keys() {
			m[k.parent()] = append(m[k.parent()], k)
		}
		return m
	})
)

func children(table string) []Key { return byParent()[table] }

func topKeys() []Key {
	return []Key{
		{Path: "name", Kind: Text, Doc: "What the project is called, on sheets and on the page.", Absent: "the file's name"},
		{Path: "unit", Kind: Choice, Choices: []string{"mm", "in"}, Default: `"mm"`, Doc: "The unit of every bare length in this file, and the one sizes are shown in."},
	}
}

func fretKeys() []Key {
	return []Key{
		{Path: "scale", Kind: Table, Required: true, Doc: "Scale length and frets. Give length for one scale, or bass, treble and square_fret for two-scale frets."},
		{Path: "scale.length", Kind: Length, Max: 3000, Open: true, Doc: "From the nut to the scale point along the centreline, uncompensated.", Absent: "bass and treble are given"},
		{Path: "scale.bass", Kind: Length, Max: 3000, Open: true, Doc: "Two-scale frets: along the lowest string.", Absent: "one scale"},
		{Path: "scale.treble", Kind: Length, Max: 3000, Open: true, Doc: "Two-scale frets: along the highest string.", Absent: "one scale"},
		{Path: "scale.square_fret", Kind: Number, Max: 36, Default: "0", Doc: "Two-scale frets: the fret at right angles to the centreline; 0 is the nut, 7.5 lies half way from fret 7 to 8."},
		{Path: "scale.frets", Kind: Whole, Required: true, Min: 1, Max: 36, Doc: "How many frets."},
		{Path: "scale.steps", Kind: Whole, Min: 1, Max: 1200, Default: "12", Doc: "Equal steps to the octave. A list of cents or ratios, or a file, goes before it."},
		{Path: "scale.cents", Kind: Numbers, Max: 12000, Open: true, Doc: "Degrees of another temperament in cents, rising, the last one where it repeats.", Absent: "equal steps"},
		{Path: "scale.ratios", Kind: Texts, Doc: `The same as frequency ratios: ["9/8", "5/4", ..., "2"].`, Absent: "equal steps"},
		{Path: "scale.file", Kind: Text, Doc: "The same from a tuning file (.scl), its path seen from this file.", Absent: "equal steps"},
		{Path: "scale.zero_fret", Kind: Flag, Default: "false", Doc: "A fret in the nut's place; the nut then only spaces the strings."},
		{Path: "scale.nut_behind", Kind: Length, Max: 50, Open: true, Default: `"3 mm"`, Doc: "How far the nut stands behind a zero fret."},
		{Path: "scale.slot_kept_back", Kind: Length, Max: 20, Default: `"0 mm"`, Doc: "Wood left between a slot's ends and the board's edges; 0 saws right through."},
		{Path: "scale.partial", Kind: Tables, Doc: "A fret under some strings only."},
		{Path: "scale.partial.fret", Kind: Number, Required: true, Max: 36, Open: true, Doc: "Its number; 6.5 adds a fret half way in pitch from 6 to 7."},
		{Path: "scale.partial.first_string", Kind: Whole, Required: true, Min: 1, Max: 12, Doc: "The highest string it serves; string 1 is the highest of all."},
		{Path: "scale.partial.last_string", Kind: Whole, Required: true, Min: 1, Max: 12, Doc: "The lowest string it serves."},

		{Path: "strings", Kind: Table, Doc: "Strings across the board. String 1 is the highest, on the treble side."},
		{Path: "strings.count", Kind: Whole, Min: 1, Max: 12, Default: "6", Doc: "How many strings."},
		{Path: "strings.nut_width", Kind: Length, Max: 300, Open: true, Doc: "Width of the board at the nut.", Absent: "from nut_spread and edge_margin"},
		{Path: "strings.nut_spread", Kind: Length, Max: 300, Open: true, Doc: "Between the outer strings' centres at the nut.", Absent: "from nut_width and edge_margin, or the usual"},
		{Path: "strings.saddle_spread", Kind: Length, Max: 300, Open: true, Doc: "Between the outer strings' centres at the saddle.", Absent: "the usual for the number of strings"},
		{Path: "strings.edge_margin", Kind: Length, Max: 50, Open: true, Default: `"3.2 mm"`, Doc: "From an outer string's centre to the board's edge at the nut."},
		{Path: "strings.end_margin", Kind: Length, Max: 50, Open: true, Default: `"3.3 mm"`, Doc: "The same at the last fret."},
		{Path: "strings.least_margin", Kind: Length, Max: 50, Open: true, Default: `"2.8 mm"`, Doc: "The least that is wanted anywhere along the board; less is warned of."},
		{Path: "strings.end_width", Kind: Length, Max: 400, Open: true, Doc: "Width of the board at the last fret.", Absent: "from end_margin"},
		{Path: "strings.nut_spacing", Kind: Choice, Choices: []string{"equal centres", "equal gaps"}, Default: `"equal centres"`, Doc: "How the strings share the spread at the nut; equal gaps need gauges."},
		{Path: "strings.saddle_spacing", Kind: Choice, Choices: []string{"equal centres", "equal gaps"}, Default: `"equal centres"`, Doc: "The same at the saddle."},
		{Path: "strings.tuning", Kind: Texts, Doc: `Open notes, string 1 first: ["E4", "B3", "G3", "D3", "A2", "E2"].`, Absent: "the usual for the number of strings"},
		{Path: "strings.gauges", Kind: Lengths, Max: 10, Open: true, Doc: "Outside diameters, string 1 first.", Absent: "the usual"},
		{Path: "strings.reference_pitch", Kind: Number, Min: 300, Max: 600, Default: "440", Doc: "Frequency of A4 in Hz (ISO 16)."},
		{Path: "strings.courses", Kind: Wholes, Min: 1, Max: 3, Doc: "Strings in each course from the treble side: [2, 2, 2, 2] is four pairs.", Absent: "every string by itself"},
		{Path: "strings.course_gap", Kind: Length, Min: 0.5, Max: 10, Default: `"2.2 mm"`, Doc: "Between centres inside a course."},
		{Path: "strings.string", Kind: Tables, Doc: "One string with all that is known of it, string 1 first, in place of tuning and gauges.", Absent: "tuning and gauges say it"},
		{Path: "strings.string.note", Kind: Text, Doc: "Its open note, like E4.", Absent: "frequency says it, or the usual"},
		{Path: "strings.string.frequency", Kind: Number, Min: 8, Max: 5000, Doc: "Its open frequency in Hz, where no note has it.", Absent: "the note's"},
		{Path: "strings.string.gauge", Kind: Length, Max: 10, Open: true, Doc: "Its outside diameter.", Absent: "chosen by its pull"},
		{Path: "strings.string.construction", Kind: Choice, Choices: []string{"plain", "wound"}, Doc: "How it is made.", Absent: "by its gauge and material"},
		{Path: "strings.string.material", Kind: Choice, Choices: materials(), Default: `"steel"`, Doc: "Of a plain string, or of a wound one's core."},
		{Path: "strings.string.winding", Kind: Choice, Choices: materials(), Doc: "A wound string's wrap.", Absent: "the usual over its core"},
		{Path: "strings.string.core", Kind: Length, Max: 10, Open: true, Doc: "A wound string's core: diameter, or across the flats.", Absent: "the usual for its gauge"},
		{Path: "strings.string.hex_core", Kind: Flag, Default: "false", Doc: "Its core is six-sided."},
		{Path: "strings.string.unit_mass", Kind: Number, Max: 200, Open: true, Doc: "Its measured mass in grams per metre.", Absent: "computed"},
		{Path: "strings.string.stretch", Kind: Number, Max: 200, Open: true, Doc: "Its measured relative change of pitch over relative change of length.", Absent: "computed"},
	}
}

func slabKeys() []Key {
	piece := func(table string) []Key {
		at := func(name string) string { return table + "." + name }
		return []Key{
			{Path: at("rough"), Kind: Length, Max: 1000, Open: true, Doc: "Its thickness as measured on the bench before planing.", Absent: "not measured, and [shop.stack] takes nothing off it"},
			{Path: at("colour"), Kind: Colour, Doc: "This board's own colour.", Absent: "the wood's"},
			{Path: at("density"), Kind: Number, Min: 50, Max: 1500, Doc: "This board's own weighed density in kg/m³.", Absent: "the wood's at 12 % moisture"},
			{Path: at("ring_angle"), Kind: Angle, Max: halfTurn / 2, Doc: "Between its growth rings and the slab's plane: 0 lies flat, 90 stands upright.", Absent: "the usual of a flat-sawn board on edge"},
			{Path: at("moisture"), Kind: Number, Min: 1, Max: 30, Default: "12", Doc: "Its moisture content in percent."},
		}
	}
	return slices.Concat([]Key{
		{Path: "slab", Kind: Table, Required: true, Doc: "The glued-up blank. x runs along its length from the datum end, y to the left of its centreline, z up from the bench."},
		{Path: "slab.length", Kind: Length, Required: true, Min: 100, Max: far, Doc: "Length along x."},
		{Path: "slab.thickness", Kind: Length, Max: 500, Open: true, Doc: "Height of a flat slab. A curved one has [slab.profile] instead.", Absent: "[slab.profile] says it"},

		{Path: "slab.strip", Kind: Tables, Required: true, Doc: "One strip, the rightmost (lowest y) first. Either wood, or piece and transition where it changes along its length."},
		{Path: "slab.strip.name", Kind: Text, Doc: "What it is called in wishes, chambers and lists.", Absent: `"strip" and its number`},
		{Path: "slab.strip.thickness", Kind: Length, Required: true, Max: 1000, Open: true, Doc: "Finished thickness across the slab, the same for all its pieces."},
		{Path: "slab.strip.wood", Kind: Wood, Doc: "Its wood, by a name of the wood table (slabwright wood).", Absent: "piece says it"},
	}, piece("slab.strip"), []Key{
		{Path: "slab.strip.piece", Kind: Tables, Doc: "The pieces of a strip along x, each { wood = ..., ... }.", Absent: "the strip is one piece"},
		{Path: "slab.strip.piece.wood", Kind: Wood, Required: true, Doc: "Its wood."},
	}, piece("slab.strip.piece"), []Key{
		{Path: "slab.strip.transition", Kind: Tables, Doc: "Where one piece follows another: one less than there are pieces."},
		{Path: "slab.strip.transition.at", Kind: Length, Required: true, Max: far, Open: true, Doc: "Station x of the joint's middle on the strip's own centreline."},
		{Path: "slab.strip.transition.kind", Kind: Choice, Choices: []string{"square", "diagonal", "chevron"}, Default: `"square"`, Doc: "How it is cut: square, diagonal, or chevron (two mirrored diagonals)."},
		{Path: "slab.strip.transition.angle", Kind: Angle, Max: halfTurn / 2, Open: true, Default: `"45 deg"`, Doc: "Between a diagonal's or chevron's joint and the strip's length."},
		{Path: "slab.strip.transition.lean", Kind: Choice, Choices: []string{"forward", "back"}, Default: `"forward"`, Doc: "Forward: a diagonal runs to +x as y grows, a chevron points to +x. Back: the other way."},
		{Path: "slab.strip.transition.slip", Kind: Tables, Doc: "Narrow pieces of a further wood in the joint, along x.", Absent: "none"},
		{Path: "slab.strip.transition.slip.wood", Kind: Wood, Required: true, Doc: "Its wood."},
		{Path: "slab.strip.transition.slip.width", Kind: Length, Required: true, Max: 500, Open: true, Doc: "Its width square to the joint."},
	}, piece("slab.strip.transition.slip"), []Key{

		{Path: "slab.plan", Kind: Table, Doc: "The outline in plan: a table of offsets, or a file.", Absent: "a rectangle of the slab's length and the stack's width"},
		{Path: "slab.plan.shape", Kind: Choice, Choices: []string{"tapered", "pointed", "rounded"}, Doc: "A plan made from a few sizes: straight sides from width to end_width, points at both ends, or round noses.", Absent: "stations or a file say it"},
		{Path: "slab.plan.width", Kind: Length, Max: far, Open: true, Doc: "With shape: width at the datum end, or the greatest.", Absent: "the stack's width"},
		{Path: "slab.plan.end_width", Kind: Length, Max: far, Open: true, Doc: "Tapered: width at the other end.", Absent: "width"},
		{Path: "slab.plan.widest", Kind: Length, Max: far, Open: true, Doc: "Pointed: station x of the greatest width.", Absent: "half the length"},
		{Path: "slab.plan.nose", Kind: Length, Max: far, Open: true, Doc: "Rounded: length of each nose.", Absent: "half the width"},
		{Path: "slab.plan.stations", Kind: Points, Max: far, Doc: "[station x, half-breadth] from one end to the other; both sides are alike. A smooth curve runs through them that rises and falls only where they do (a monotone cubic spline).", Absent: "a rectangle"},
		{Path: "slab.plan.start_rounded", Kind: Flag, Default: "false", Doc: "The first station has half-breadth 0 and is a smooth nose, not a point."},
		{Path: "slab.plan.end_rounded", Kind: Flag, Default: "false", Doc: "The same of the last station."},
		{Path: "slab.plan.file", Kind: Text, Doc: "An SVG or DXF file with the outline drawn along x, its path seen from this file. Its middle is laid on the slab's centreline.", Absent: "stations say it"},
		{Path: "slab.plan.file_start", Kind: Length, Min: -far, Max: far, Default: `"0 mm"`, Doc: "Station x of the low end of the file's outline."},

		{Path: "slab.profile", Kind: Table, Doc: "The side profile: heights over the bench along x.", Absent: "flat, of the slab's thickness"},
		{Path: "slab.profile.top", Kind: Points, Required: true, Max: far, Doc: "[station x, height z of the top], joined as the plan's are."},
		{Path: "slab.profile.bottom", Kind: Points, Required: true, Max: far, Doc: "[station x, height z of the bottom]."},

		{Path: "slab.edge", Kind: Table, Doc: "How the edges between faces and sides are rounded or chamfered; each face has one of them.", Absent: "square"},
		{Path: "slab.edge.top_radius", Kind: Length, Max: 200, Default: `"0 mm"`, Doc: "Radius along the top."},
		{Path: "slab.edge.bottom_radius", Kind: Length, Max: 200, Default: `"0 mm"`, Doc: "Radius along the bottom."},
		{Path: "slab.edge.top_chamfer", Kind: Length, Max: 200, Default: `"0 mm"`, Doc: "Chamfer of 45° along the top: so far in from the side, and down it."},
		{Path: "slab.edge.bottom_chamfer", Kind: Length, Max: 200, Default: `"0 mm"`, Doc: "The same along the bottom."},

		{Path: "slab.chamber", Kind: Tables, Doc: "A hollow through one strip. [chambers] has them planned instead."},
		{Path: "slab.chamber.name", Kind: Text, Doc: "What it is called.", Absent: "its strip and number"},
		{Path: "slab.chamber.strip", Kind: Strip, Required: true, Doc: "The strip it is cut through."},
		{Path: "slab.chamber.from", Kind: Length, Required: true, Max: far, Doc: "Station x where it starts."},
		{Path: "slab.chamber.to", Kind: Length, Required: true, Max: far, Open: true, Doc: "Station x where it stops."},
		{Path: "slab.chamber.top_skin", Kind: Length, Required: true, Max: 200, Open: true, Doc: "Wood over it, square to the finished top."},
		{Path: "slab.chamber.bottom_skin", Kind: Length, Required: true, Max: 200, Open: true, Doc: "Wood under it."},
		{Path: "slab.chamber.state", Kind: Choice, Choices: []string{"planned", "cut"}, Default: `"planned"`, Doc: "Planned chambers follow the placement; cut ones are in the wood and in its way."},

		{Path: "slab.fitting", Kind: Tables, Doc: "An inlay, hanger, handle, bracket or foot. Chambers keep away from it."},
		{Path: "slab.fitting.name", Kind: Text, Doc: "What it is called.", Absent: "its kind and number"},
		{Path: "slab.fitting.kind", Kind: Choice, Choices: []string{"inlay", "hanger", "handle", "bracket", "foot"}, Required: true, Doc: "What it is."},
		{Path: "slab.fitting.at", Kind: Point, Min: -far, Max: far, Doc: "[x, y] of its middle.", Absent: "ring says where"},
		{Path: "slab.fitting.radius", Kind: Length, Max: far, Open: true, Doc: "The wood round it that stays solid.", Absent: "ring says how large"},
		{Path: "slab.fitting.ring", Kind: Points, Min: -far, Max: far, Doc: "[x, y] of the corners of that wood, instead of at and radius.", Absent: "it is round"},
		{Path: "slab.fitting.mass", Kind: Mass, Max: 1e6, Default: `"0 g"`, Doc: "Its mass."},
		{Path: "slab.fitting.carries", Kind: Flag, Default: "false", Doc: "The slab hangs or stands on it."},
		{Path: "slab.fitting.forbids", Kind: Flag, Default: "false", Doc: "The instrument keeps away from it, too."},

		{Path: "slab.reserved", Kind: Tables, Doc: "A place in plan that no planned chamber may touch."},
		{Path: "slab.reserved.name", Kind: Text, Required: true, Doc: "What it is for."},
		{Path: "slab.reserved.ring", Kind: Points, Required: true, Min: -far, Max: far, Doc: "[x, y] of its corners."},

		{Path: "slab.fastener", Kind: Tables, Doc: "A screw, dowel or pin in the wood."},
		{Path: "slab.fastener.name", Kind: Text, Doc: "What it is called.", Absent: "its kind and number"},
		{Path: "slab.fastener.kind", Kind: Choice, Choices: []string{"screw", "dowel", "pin"}, Default: `"screw"`, Doc: "What it is."},
		{Path: "slab.fastener.at", Kind: Point3, Required: true, Min: -far, Max: far, Doc: "[x, y, z] where it enters."},
		{Path: "slab.fastener.direction", Kind: Numbers, Required: true, Min: -1e6, Max: 1e6, Doc: "[x, y, z] the way it is driven: [0, 1, 0] is to the left, across the strips."},
		{Path: "slab.fastener.length", Kind: Length, Required: true, Max: far, Open: true, Doc: "Its length."},
		{Path: "slab.fastener.shank", Kind: Length, Required: true, Max: 100, Open: true, Doc: "Diameter of its shank."},
		{Path: "slab.fastener.head", Kind: Length, Max: 100, Default: `"0 mm"`, Doc: "Diameter of its head; 0 has none."},
		{Path: "slab.fastener.pilot", Kind: Length, Max: 100, Default: `"0 mm"`, Doc: "Diameter of the pilot hole; 0 has none."},
		{Path: "slab.fastener.pilot_depth", Kind: Length, Max: far, Doc: "Depth of the pilot hole.", Absent: "the fastener's length"},
		{Path: "slab.fastener.left_in", Kind: Flag, Default: "false", Doc: "It stays in the slab. One taken out leaves its hole."},

		{Path: "slab.flaw", Kind: Tables, Doc: "Wood that must not come into the instrument: round, or any ring in plan."},
		{Path: "slab.flaw.name", Kind: Text, Doc: "What it is called.", Absent: "its kind and number"},
		{Path: "slab.flaw.kind", Kind: Choice, Choices: []string{"knot", "check", "pitch pocket", "patch", "hole"}, Default: `"knot"`, Doc: "What it is."},
		{Path: "slab.flaw.at", Kind: Point, Min: -far, Max: far, Doc: "[x, y] of its middle.", Absent: "ring says where"},
		{Path: "slab.flaw.radius", Kind: Length, Max: far, Open: true, Doc: "Its radius in plan.", Absent: "ring says how large"},
		{Path: "slab.flaw.ring", Kind: Points, Min: -far, Max: far, Doc: "[x, y] of its corners, instead of at and radius.", Absent: "it is round"},
		{Path: "slab.flaw.from", Kind: Length, Min: -far, Max: far, Default: `"0 mm"`, Doc: "Height z where it begins."},
		{Path: "slab.flaw.to", Kind: Length, Min: -far, Max: far, Default: `"0 mm"`, Doc: "Height z where it ends; not above from means through the whole slab."},
	})
}

func placeKeys() []Key {
	need, weights := place.DefaultNeed(), place.DefaultWish().Weights
	mm := func(v float64) string { return strconv.Quote(measure.Length(v).String()) }
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	must := func(table string, tolerance Kind) []Key {
		tol := Key{Path: table + ".tolerance", Kind: Length, Max: 1000, Default: `"0 mm"`, Doc: "With must: how far off it may be."}
		if tolerance == Angle {
			tol.Kind, tol.Max, tol.Default = Angle, halfTurn, `"0 deg"`
		}
		return []Key{
			{Path: table + ".must", Kind: Flag, Default: "false", Doc: "A limit that no placement may break, instead of a wish."},
			tol,
		}
	}
	rules := slab.DefaultChamberRules()
	rule := func(name string, v, most float64, doc string) Key {
		return Key{Path: "chambers." + name, Kind: Length, Max: most, Default: mm(v), Doc: doc}
	}
	least := func(k Key, v float64) Key { k.Min = v; return k }
	return slices.Concat([]Key{
		{Path: "chambers", Kind: Table, Doc: "Rules by which chambers are planned round the placement.", Absent: "none are planned"},
		least(rule("top_skin", rules.TopSkin, 200, "Wood over a chamber, square to the finished top."), 0.5),
		least(rule("bottom_skin", rules.BottomSkin, 200, "Wood under it."), 0.5),
		least(rule("rib", rules.Rib, 500, "Least wood between two chambers of a strip."), 1),
		rule("end", rules.End, 2000, "Least wood along the strip to where it leaves the outline."),
		least(rule("wall", rules.Wall, 500, "Least wood to the outline, in any direction."), 1),
		rule("longest", rules.Longest, far, "The longest chamber; 0 is any length."),
		least(rule("shortest", rules.Shortest, far, "A shorter chamber is not worth its corner holes."), 1),
		least(rule("shallowest", rules.Shallowest, 200, "A lower one neither."), 1),
		rule("narrowest", rules.Narrowest, 500, "Thinner strips stay solid."),
		{Path: "chambers.ribs", Kind: Choice, Choices: []string{"aligned", "staggered", "free"}, Default: strconv.Quote(string(rules.Ribs)), Doc: "Ribs stand in line across the slab, staggered, or where each strip likes."},
		{Path: "chambers.least_glue", Kind: Number, Max: 0.99, Default: num(rules.LeastGlue), Doc: "Share of its face that every glue line keeps."},
		rule("corner_hole", rules.CornerHole, 100, "Diameter of the holes drilled in the corners before sawing."),
		rule("screws", rules.Screws, 200, "Least wood round fasteners and their holes."),
		{Path: "chambers.solid_strips", Kind: Strips, Doc: "Strips to leave solid.", Absent: "none"},
		{Path: "chambers.over_transitions", Kind: Flag, Default: "false", Doc: "A chamber may run across a strip's own transitions."},

		{Path: "need", Kind: Table, Doc: "What a placement must leave."},
		{Path: "need.kerf", Kind: Length, Max: 50, Default: mm(need.Kerf), Doc: "Width of the cut round the body, all of it outside the finished outline."},
		{Path: "need.margin", Kind: Length, Max: 200, Default: mm(need.Margin), Doc: "Sound wood beyond the kerf, to the slab's edge and to every hollow, fastener and flaw."},
		{Path: "need.flatten", Kind: Length, Max: 50, Default: mm(need.Flatten), Doc: "Wood to plane away above and below the finished body."},
		{Path: "need.glue_line", Kind: Length, Max: 50, Default: mm(need.GlueLine), Doc: "From the edge of a post or screw hole to the nearest glue line."},

		{Path: "wish", Kind: Table, Doc: "What makes one allowed placement better than another."},
		{Path: "wish.face", Kind: Choice, Choices: []string{"top", "bottom"}, Doc: "The slab's face that becomes the front.", Absent: "either"},
		{Path: "wish.angle_from", Kind: Angle, Min: -2 * halfTurn, Max: 2 * halfTurn, Doc: "Least angle of the body in the slab; angle_to goes with it.", Absent: "any angle"},
		{Path: "wish.angle_to", Kind: Angle, Min: -2 * halfTurn, Max: 2 * halfTurn, Doc: "Greatest angle.", Absent: "any angle"},
		{Path: "wish.whole_front", Kind: Flag, Default: "false", Doc: "Compare the whole front, also under fretboard, bridge and pickups."},
		{Path: "wish.back", Kind: Flag, Default: "false", Doc: "Compare the back as well."},
		{Path: "wish.prefer", Kind: Choice, Choices: []string{string(place.Looks), string(place.Room)}, Default: strconv.Quote(string(place.Looks)), Doc: "What a search looks for: the lowest score, or the most that the saw may wander in any direction before a check fails."},
		{Path: "wish.strip", Kind: Tables, Doc: "A strip that should run along the instrument's centreline."},
		{Path: "wish.strip.strip", Kind: Strip, Required: true, Doc: "The strip."},
	}, must("wish.strip", Length), []Key{
		{Path: "wish.through", Kind: Tables, Doc: "A glue line or transition that should pass through a place of the body."},
		{Path: "wish.through.line", Kind: Text, Required: true, Doc: `Its name, as in "slabwright slab": the two strips right to left, "walnut / maple", or strip and woods of a transition, "band: teak / iroko".`},
		{Path: "wish.through.part", Kind: Whole, Min: 1, Max: 10000, Default: "1", Doc: "A line along which the woods beside it change has parts of the same name: which of them, along x."},
		{Path: "wish.through.at", Kind: Point, Required: true, Min: -far, Max: far, Doc: "[u, v] on the body: along the centreline from the scale point toward the tail, and to the treble side."},
	}, must("wish.through", Length), []Key{
		{Path: "wish.near_x", Kind: Table, Doc: "Where along the slab the body should lie.", Absent: "anywhere"},
		{Path: "wish.near_x.at", Kind: Length, Required: true, Min: -far, Max: far, Doc: "Station x of the scale point."},
	}, must("wish.near_x", Length), []Key{
		{Path: "wish.grain", Kind: Table, Doc: "How the grain should run in the body.", Absent: "along the centreline, as a wish"},
		{Path: "wish.grain.angle", Kind: Angle, Required: true, Min: -halfTurn, Max: halfTurn, Doc: "Between the instrument's centreline and the slab's length."},
	}, must("wish.grain", Angle), []Key{
		{Path: "wish.weights", Kind: Table, Doc: "What each thing costs in points; lower is better. One point is a mean colour difference of 1 over the front."},
		{Path: "wish.weights.mirror", Kind: Number, Max: 1000, Default: num(weights.Mirror), Doc: "For each point of colour difference across the centreline."},
		{Path: "wish.weights.lines_mean", Kind: Number, Max: 1000, Default: num(weights.LinesMean), Doc: "For each mm of mean mirror offset of the glue lines."},
		{Path: "wish.weights.lines_worst", Kind: Number, Max: 1000, Default: num(weights.LinesWorst), Doc: "For each mm of the worst line's offset."},
		{Path: "wish.weights.hardware", Kind: Number, Max: 1000, Default: num(weights.Hardware), Doc: "For each mm that a hole is too near a glue line."},
		{Path: "wish.weights.strip", Kind: Number, Max: 1000, Default: num(weights.Strip), Doc: "For each mm that a wished strip runs off the centreline."},
		{Path: "wish.weights.through", Kind: Number, Max: 1000, Default: num(weights.Through), Doc: "For each mm that a wished line misses its place."},
		{Path: "wish.weights.near_x", Kind: Number, Max: 1000, Default: num(weights.NearX), Doc: "For each mm from the wished station."},
		{Path: "wish.weights.grain", Kind: Number, Max: 1000, Default: num(weights.Grain), Doc: "For each degree from the wished grain angle."},

		{Path: "placement", Kind: Table, Doc: "Where the body lies in the slab.", Absent: "it is searched"},
		{Path: "placement.x", Kind: Length, Required: true, Min: -far, Max: far, Doc: "Station x of the body's origin, the scale point."},
		{Path: "placement.y", Kind: Length, Required: true, Min: -far, Max: far, Doc: "Its distance left of the slab's centreline."},
		{Path: "placement.angle", Kind: Angle, Min: -2 * halfTurn, Max: 2 * halfTurn, Default: "0", Doc: "From the slab's length to the instrument's centreline, counter-clockwise seen from above."},
		{Path: "placement.height", Kind: Length, Required: true, Min: -far, Max: far, Doc: "Height z of the finished front plane at the origin."},
		{Path: "placement.pitch", Kind: Angle, Min: -halfTurn / 6, Max: halfTurn / 6, Default: "0", Doc: "Tilt that dips the tail."},
		{Path: "placement.roll", Kind: Angle, Min: -halfTurn / 6, Max: halfTurn / 6, Default: "0", Doc: "Tilt about the centreline."},
		{Path: "placement.face", Kind: Choice, Choices: []string{"top", "bottom"}, Default: `"top"`, Doc: "The slab's face that becomes the front."},

		{Path: "paper", Kind: Table, Doc: "What overlays are printed on."},
		{Path: "paper.size", Kind: Choice, Choices: []string{"A4", "A3", "A2", "A1", "A0", "Letter", "Tabloid", "ANSI C", "ANSI D", "ANSI E"}, Default: `"A4"`, Doc: "Sheet size."},
		{Path: "paper.margin", Kind: Length, Min: 3, Max: 50, Default: `"8 mm"`, Doc: "What the printer cannot reach at each edge."},
		{Path: "paper.overlap", Kind: Length, Min: 3, Max: 80, Default: `"15 mm"`, Doc: "How far neighbouring tiles overlap."},
	})
}

func bodyKeys() []Key {
	length := func(path, standard, doc string) Key {
		return Key{Path: path, Kind: Length, Max: 2000, Open: true, Default: standard, Doc: doc}
	}
	byKind := func(path, doc string) Key {
		return Key{Path: path, Kind: Length, Max: 2000, Open: true, Doc: doc, Absent: "the usual for its kind"}
	}
	orNone := func(path, standard, doc string) Key {
		return Key{Path: path, Kind: Length, Max: 2000, Default: standard, Doc: doc + " 0 has none."}
	}
	place := func(path, doc string) Key {
		return Key{Path: path, Kind: Point, Min: -2000, Max: 2000, Required: true, Doc: doc}
	}
	grams := func(path, standard, doc string) Key {
		return Key{Path: path, Kind: Mass, Max: 1e4, Open: true, Default: standard, Doc: doc}
	}
	turn := func(path, doc string) Key {
		return Key{Path: path, Kind: Angle, Min: -2 * halfTurn, Max: 2 * halfTurn, Default: "0", Doc: doc}
	}
	name := func(table, standard string) Key {
		return Key{Path: table + ".name", Kind: Text, Doc: "What it is called.", Absent: standard}
	}
	faces := []string{"front", "back"}
	return []Key{
		{Path: "body", Kind: Table, Doc: "The solid body. Places on it are [u, v]: u along the centreline from the scale point toward the tail, v to the treble side, always as for a right-handed instrument."},
		{Path: "body.outline", Kind: Choice, Choices: outline.Families(), Default: strconv.Quote(outline.Families()[0]), Doc: "The family of its outline."},
		{Path: "body.outline_file", Kind: Text, Doc: "A file with the finished outline instead, its path seen from this file: SVG, DXF, or the points of a trace, x and y one a line (.csv, .txt, .xy).", Absent: "outline and [body.sizes] say it"},
		{Path: "body.outline_length", Kind: Length, Min: 50, Max: 5000, Doc: "The file's outline is scaled to this length along the neck's direction.", Absent: "as the file says"},
		{Path: "body.outline_id", Kind: Text, Doc: "Which of the file: an id in SVG, a layer in DXF.", Absent: "the largest closed outline"},
		{Path: "body.outline_unit", Kind: Length, Max: 1000, Open: true, Doc: "The size of the file's unit, for a file that does not say.", Absent: "1/96 in for SVG, 1 mm for DXF and a trace"},
		{Path: "body.outline_gap", Kind: Length, Max: 10, Open: true, Default: `"0.05 mm"`, Doc: "The widest gap between ends that is closed."},
		{Path: "body.outline_deviation", Kind: Length, Max: 20, Open: true, Absent: "0.5 mm", Doc: "How far from the points of a trace the outline may run."},
		{Path: "body.outline_neck", Kind: Choice, Choices: []string{"left", "right", "up", "down"}, Doc: "Where the neck end is in the drawing.", Absent: "along the longer side, at the end with less wood"},
		{Path: "body.outline_mirror", Kind: Flag, Default: "false", Doc: "The drawing is seen from the back."},
		{Path: "body.outline_hand", Kind: Choice, Choices: []string{"right", "left"}, Doc: "The hand the drawing is made for.", Absent: "one cutaway is taken for the treble side's, the longer horn for the bass one; without either right"},
		{Path: "body.hand", Kind: Choice, Choices: []string{"right", "left"}, Default: `"right"`, Doc: "Who plays it. Left mirrors everything as the last step."},
		{Path: "body.thickness", Kind: Length, Min: 10, Max: 150, Default: `"44.5 mm"`, Doc: "Finished thickness."},
		{Path: "body.sizes", Kind: Table, Doc: "Sizes of the outline; each family has its own, all with defaults."},

		{Path: "body.pickup", Kind: Tables, Doc: "A pickup and its cavity in the front. Give from_saddle or fraction."},
		name("body.pickup", `"pickup" and its number`),
		{Path: "body.pickup.kind", Kind: Choice, Choices: []string{"single-coil", "wide single-coil", "humbucking", "small humbucking"}, Required: true, Doc: "Its kind."},
		{Path: "body.pickup.from_saddle", Kind: Length, Max: 2000, Open: true, Doc: "From the scale point to its middle along the centreline.", Absent: "fraction says where"},
		{Path: "body.pickup.fraction", Kind: Number, Max: 0.99, Open: true, Doc: "The same as a fraction of the scale length.", Absent: "from_saddle says where"},
		{Path: "body.pickup.across", Kind: Length, Min: -500, Max: 500, Default: `"0 mm"`, Doc: "How far to the treble side of the centreline."},
		turn("body.pickup.angle", "More than 0: the treble end lies nearer the bridge."),
		byKind("body.pickup.length", "Of its cavity, across the strings."),
		byKind("body.pickup.width", "Of its cavity, along the strings."),
		byKind("body.pickup.depth", "Of its cavity."),
		{Path: "body.pickup.ear_length", Kind: Length, Max: 2000, Doc: "Of the cavity for its screw ears, over all. 0 has none.", Absent: "the usual for its kind"},
		byKind("body.pickup.ear_width", "Of the cavity for its ears, along the strings."),
		byKind("body.pickup.ear_depth", "Of the cavity for its ears."),
		byKind("body.pickup.cover_length", "What shows of it on the front (cover or ring), across the strings."),
		byKind("body.pickup.cover_width", "The same along the strings."),
		{Path: "body.pickup.mass", Kind: Mass, Max: 1e4, Open: true, Doc: "Its mass.", Absent: "the usual for its kind"},

		{Path: "body.bridge", Kind: Table, Doc: "The bridge and what it needs in the wood."},
		{Path: "body.bridge.kind", Kind: Choice, Choices: []string{"flat-mount fixed bridge", "two-post bridge with tailpiece", "wrap-over bridge", "pivoting vibrato bridge", "none"}, Default: `"flat-mount fixed bridge"`, Doc: "Its kind."},
		{Path: "body.bridge.saddle_travel", Kind: Length, Min: 0.1, Max: 60, Default: `"10 mm"`, Doc: "How far a saddle can be moved."},
		{Path: "body.bridge.saddle_spare", Kind: Length, Min: 0.001, Max: 30, Default: `"1 mm"`, Doc: "Travel to keep at both ends for other strings."},
		{Path: "body.bridge.saddle_setback", Kind: Length, Min: -20, Max: 40, Doc: "Middle of the saddles' travel behind the scale point.", Absent: "midway between the setbacks that the strings need"},
		{Path: "body.bridge.slant", Kind: Length, Min: -50, Max: 50, Doc: "How much farther toward the tail the bass post, stud or screw sits.", Absent: "the usual for its kind"},
		byKind("body.bridge.plate_length", "What the front is covered with, across the strings."),
		byKind("body.bridge.plate_width", "The same along the strings."),
		byKind("body.bridge.plate_ahead", "How far the plate reaches ahead of the saddles."),
		byKind("body.bridge.post_spacing", "Posts or pivots, centre to centre."),
		{Path: "body.bridge.post_ahead", Kind: Length, Min: -100, Max: 100, Doc: "Posts or pivots ahead of the saddles; behind them when less than 0.", Absent: "the usual for its kind"},
		byKind("body.bridge.post_diameter", "Of the post's hole."),
		byKind("body.bridge.post_depth", "Of the post's hole."),
		byKind("body.bridge.stud_spacing", "Tailpiece studs, centre to centre."),
		byKind("body.bridge.stud_behind", "Stud line behind the post line."),
		byKind("body.bridge.stud_diameter", "Of the stud's hole."),
		byKind("body.bridge.stud_depth", "Of the stud's hole."),
		{Path: "body.bridge.string_through", Kind: Flag, Default: "false", Doc: "The strings come through the body from ferrules in the back."},
		byKind("body.bridge.string_hole", "Diameter of a string's hole."),
		byKind("body.bridge.string_behind", "String holes behind the saddles."),
		byKind("body.bridge.ferrule_hole", "Diameter of a ferrule's hole."),
		byKind("body.bridge.ferrule_depth", "Depth of a ferrule's hole."),
		{Path: "body.bridge.screws", Kind: Whole, Max: 12, Doc: "Mounting screws of a flat-mount bridge. 0 has none.", Absent: "the usual for its kind"},
		byKind("body.bridge.screw_diameter", "Of a mounting screw's pilot hole."),
		byKind("body.bridge.screw_depth", "Of a mounting screw's pilot hole."),
		byKind("body.bridge.block_length", "Vibrato: cavity through the body, across the strings."),
		byKind("body.bridge.block_width", "The same along the strings."),
		byKind("body.bridge.block_behind", "Its middle behind the pivots."),
		byKind("body.bridge.spring_length", "Vibrato: spring cavity in the back, along the strings."),
		byKind("body.bridge.spring_width", "The same across the strings."),
		byKind("body.bridge.spring_depth", "Its depth."),
		byKind("body.bridge.spring_behind", "How far its tail end lies behind the block cavity's."),
		{Path: "body.bridge.cover_ledge", Kind: Length, Max: 50, Doc: "Width of the ledge for the back cover. 0 has none.", Absent: "the usual for its kind"},
		byKind("body.bridge.cover_depth", "Depth of the ledge for the back cover."),
		{Path: "body.bridge.mass", Kind: Mass, Max: 1e4, Open: true, Doc: "Its mass.", Absent: "the usual for its kind"},
		{Path: "body.bridge.tail_mass", Kind: Mass, Max: 1e4, Open: true, Doc: "Mass of the tailpiece or the springs.", Absent: "the usual for its kind"},

		{Path: "body.cavity", Kind: Tables, Doc: "A routed hollow for controls or the like: a rounded rectangle, or any ring."},
		name("body.cavity", `"control cavity" and its number`),
		{Path: "body.cavity.face", Kind: Choice, Choices: faces, Default: `"back"`, Doc: "The face it is cut from."},
		{Path: "body.cavity.at", Kind: Point, Min: -2000, Max: 2000, Doc: "[u, v] of its middle.", Absent: "ring says where"},
		{Path: "body.cavity.ring", Kind: Points, Min: -2000, Max: 2000, Doc: "[u, v] of its corners, instead of at, length, width and turn.", Absent: "it is a rectangle"},
		length("body.cavity.length", `"110 mm"`, "Along the centreline, before its turn."),
		length("body.cavity.width", `"60 mm"`, "Across the centreline, before its turn."),
		turn("body.cavity.turn", "Counter-clockwise, seen on the front."),
		{Path: "body.cavity.inset", Kind: Length, Max: 200, Default: `"0 mm"`, Doc: "Keep the part that stays this far inside the outline; 0 keeps all."},
		length("body.cavity.corner_radius", `"8 mm"`, "Of its corners; not less than the router bit's."),
		{Path: "body.cavity.depth", Kind: Length, Max: 150, Open: true, Doc: "Its depth.", Absent: "37 mm, less in a thin body"},
		orNone("body.cavity.ledge", `"8 mm"`, "Width of the cover's ledge."),
		length("body.cavity.ledge_depth", `"2.5 mm"`, "Depth of the cover's ledge."),
		grams("body.cavity.cover_mass", `"15 g"`, "Mass of its cover."),

		{Path: "body.pot", Kind: Tables, Doc: "A control; its shaft goes through the wood over its cavity."},
		name("body.pot", `"pot" and its number`),
		place("body.pot.at", "[u, v] of its shaft."),
		length("body.pot.hole", `"10 mm"`, "Diameter of its hole."),
		length("body.pot.can", `"24 mm"`, "Diameter of its can."),
		length("body.pot.knob", `"19 mm"`, "Diameter of its knob."),
		length("body.pot.bush_length", `"9 mm"`, "The most wood it can pass."),
		grams("body.pot.mass", `"40 g"`, "With its knob."),

		{Path: "body.switch", Kind: Tables, Doc: "A pickup selector."},
		name("body.switch", `"switch" and its number`),
		{Path: "body.switch.kind", Kind: Choice, Choices: []string{"toggle switch", "blade switch"}, Default: `"toggle switch"`, Doc: "Its kind."},
		place("body.switch.at", "[u, v] of its middle."),
		turn("body.switch.turn", "Of a blade's slot, from the centreline counter-clockwise."),
		length("body.switch.hole", `"12.7 mm"`, "Toggle: diameter of its hole."),
		length("body.switch.slot_length", `"28 mm"`, "Blade: its slot."),
		length("body.switch.slot_width", `"1.6 mm"`, "Blade: its slot."),
		length("body.switch.screws", `"41.3 mm"`, "Blade: from screw to screw."),
		byKind("body.switch.room_length", "Room it needs below, along its slot."),
		byKind("body.switch.room_width", "Room it needs below, across its slot."),
		grams("body.switch.mass", `"30 g"`, "Its mass."),

		{Path: "body.jack", Kind: Table, Doc: "The output socket."},
		{Path: "body.jack.none", Kind: Flag, Default: "false", Doc: "There is none."},
		{Path: "body.jack.face", Kind: Choice, Choices: []string{"edge", "front", "back"}, Default: `"edge"`, Doc: "Where it is let in."},
		{Path: "body.jack.at", Kind: Point, Min: -2000, Max: 2000, Doc: "[u, v]; at the edge, the nearest place of the outline is taken.", Absent: "the edge nearest its cavity"},
		{Path: "body.jack.w", Kind: Length, Min: -150, Max: 0, Doc: "At the edge: its height, negative below the front.", Absent: "the middle of the thickness"},
		{Path: "body.jack.into", Kind: Text, Doc: "The cavity it must reach.", Absent: "the first"},
		byKind("body.jack.diameter", "Of its hole."),
		orNone("body.jack.recess", `"0 mm"`, "On a face: diameter of a counterbore."),
		grams("body.jack.mass", `"25 g"`, "Its mass."),

		{Path: "body.channel", Kind: Tables, Doc: "A routed wire channel with rounded ends."},
		name("body.channel", `"channel" and its number`),
		{Path: "body.channel.face", Kind: Choice, Choices: faces, Default: `"front"`, Doc: "The face it is cut from."},
		place("body.channel.from", "[u, v] of one end."),
		place("body.channel.to", "[u, v] of the other."),
		length("body.channel.width", `"8 mm"`, "Its width."),
		length("body.channel.depth", `"12 mm"`, "Its depth."),
		{Path: "body.channel.covered", Kind: Flag, Default: "false", Doc: "A plug or a veneer will be glued over it, so that it need not lie under a guard."},

		{Path: "body.wire_hole", Kind: Tables, Doc: "A hole drilled from one cavity to another."},
		name("body.wire_hole", `"wire hole" and its number`),
		{Path: "body.wire_hole.from", Kind: Text, Required: true, Doc: "The cavity it is drilled from, by name."},
		{Path: "body.wire_hole.to", Kind: Text, Required: true, Doc: "The cavity it must reach, by name."},
		{Path: "body.wire_hole.through", Kind: Texts, Doc: "Cavities it passes on its way.", Absent: "none"},
		{Path: "body.wire_hole.start", Kind: Point3, Min: -2000, Max: 2000, Doc: "[u, v, w] where it starts; end goes with it.", Absent: "a line that a straight drill can reach is looked for"},
		{Path: "body.wire_hole.end", Kind: Point3, Min: -2000, Max: 2000, Doc: "[u, v, w] where it ends.", Absent: "looked for"},
		length("body.wire_hole.diameter", `"6 mm"`, "Its diameter."),

		{Path: "body.guard", Kind: Tables, Doc: "A plate screwed onto the front; it hides what lies under it."},
		name("body.guard", `"guard" and its number`),
		{Path: "body.guard.ring", Kind: Points, Required: true, Min: -2000, Max: 2000, Doc: "[u, v] of its corners."},
		{Path: "body.guard.mass", Kind: Mass, Max: 1e4, Open: true, Doc: "Its mass.", Absent: "2.5 mm of plastic"},

		{Path: "body.battery", Kind: Tables, Doc: "A battery box."},
		name("body.battery", `"battery" and its number`),
		{Path: "body.battery.face", Kind: Choice, Choices: faces, Default: `"back"`, Doc: "The face it is let into."},
		place("body.battery.at", "[u, v] of its middle."),
		turn("body.battery.turn", "Counter-clockwise, seen on the front."),
		length("body.battery.length", `"56 mm"`, "Along the centreline, before its turn."),
		length("body.battery.width", `"32 mm"`, "Across the centreline, before its turn."),
		length("body.battery.depth", `"24 mm"`, "Its depth."),
		grams("body.battery.mass", `"50 g"`, "With the battery."),

		{Path: "body.strap_button", Kind: Tables, Doc: "A strap button. Give two, the tail's first.", Absent: "one at the tail and one at the horn or neck end"},
		name("body.strap_button", "by its place"),
		place("body.strap_button.at", "[u, v]; the nearest place of the outline is taken."),
		{Path: "body.strap_button.on_back", Kind: Flag, Default: "false", Doc: "Screwed into the back at that very place instead."},
		{Path: "body.strap_button.w", Kind: Length, Min: -150, Max: 0, Doc: "Its height on the side, negative below the front.", Absent: "the middle of the thickness"},
		length("body.strap_button.stand", `"8 mm"`, "How far out the strap sits."),
		length("body.strap_button.pilot", `"2.8 mm"`, "Diameter of its pilot hole."),
		length("body.strap_button.pilot_depth", `"25 mm"`, "Depth of its pilot hole."),
		grams("body.strap_button.mass", `"8 g"`, "Its mass."),

		{Path: "body.ground_wire", Kind: Table, Doc: "The hole from under the bridge to a cavity."},
		{Path: "body.ground_wire.none", Kind: Flag, Default: "false", Doc: "There is none."},
		{Path: "body.ground_wire.into", Kind: Text, Doc: "The cavity it must reach.", Absent: "the jack's"},
		{Path: "body.ground_wire.start", Kind: Point3, Min: -2000, Max: 2000, Doc: "[u, v, w] where it starts; end goes with it.", Absent: "looked for"},
		{Path: "body.ground_wire.end", Kind: Point3, Min: -2000, Max: 2000, Doc: "[u, v, w] where it ends.", Absent: "looked for"},
		length("body.ground_wire.diameter", `"3 mm"`, "Its diameter."),

		{Path: "body.edges", Kind: Table, Doc: "Edges of front and back: a radius, or a chamfer's width at 45°.", Absent: "square"},
		{Path: "body.edges.front_radius", Kind: Length, Max: 50, Default: `"0 mm"`, Doc: "Round-over along the front."},
		{Path: "body.edges.back_radius", Kind: Length, Max: 50, Default: `"0 mm"`, Doc: "Round-over along the back."},
		{Path: "body.edges.front_chamfer", Kind: Length, Max: 50, Default: `"0 mm"`, Doc: "Chamfer along the front."},
		{Path: "body.edges.back_chamfer", Kind: Length, Max: 50, Default: `"0 mm"`, Doc: "Chamfer along the back."},

		{Path: "body.contour", Kind: Tables, Doc: "A carved surface."},
		name("body.contour", "its kind"),
		{Path: "body.contour.kind", Kind: Choice, Choices: []string{"forearm bevel", "belly cut", "arched top"}, Required: true, Doc: "A bevel on the front, a cut in the back, or a whole front that falls from a crown."},
		place("body.contour.at", "[u, v] on the line where it starts; of an arched top, its crown."),
		{Path: "body.contour.along", Kind: Angle, Min: -2 * halfTurn, Max: 2 * halfTurn, Default: "0", Doc: "Direction of that line from the centreline; the wood falls to its left."},
		byKind("body.contour.depth", "How deep it goes within reach."),
		byKind("body.contour.reach", "How far from the line it gets that deep."),
		{Path: "body.contour.hollow", Kind: Flag, Default: "false", Doc: "It falls in a curve tangent to the face, not in a plane."},
		{Path: "body.contour.radius_along", Kind: Length, Max: 100000, Doc: "Arched top: its radius along the centreline.", Absent: "no fall that way"},
		{Path: "body.contour.radius_across", Kind: Length, Max: 100000, Doc: "Arched top: its radius across.", Absent: "no fall that way"},

		{Path: "body.limits", Kind: Table, Doc: "The least wood that the checks ask for."},
		length("body.limits.floor", `"5 mm"`, "Under (or over) a cavity."),
		length("body.limits.top", `"3 mm"`, "Over a control cavity."),
		length("body.limits.wall", `"8 mm"`, "Between a cavity and the outline."),
		length("body.limits.web", `"3 mm"`, "Between two cavities."),
		length("body.limits.hole_to_hole", `"3 mm"`, "Between two holes."),
		length("body.limits.hole_to_edge", `"6 mm"`, "Between a hole and the outline."),
		length("body.limits.hole_to_cavity", `"2 mm"`, "Between a hole and a cavity it has nothing to do with."),
		length("body.limits.pocket_floor", `"14 mm"`, "Under a bolted neck's pocket."),
		length("body.limits.face_skin", `"3 mm"`, "Between a drilled wire hole and either face."),
		length("body.limits.router_bit", `"6.35 mm"`, "Radius of the bit that cuts the outline."),

		{Path: "body.masses", Kind: Table, Doc: "Masses of what is not the body's wood."},
		{Path: "body.masses.neck", Kind: Mass, Max: 1e4, Open: true, Doc: "The neck with frets and rod, without tuners.", Absent: "from its geometry and woods"},
		{Path: "body.masses.neck_at", Kind: Point3, Min: -3000, Max: 3000, Doc: "[u, v, w] of its centre of gravity.", Absent: "from its geometry and woods"},
		grams("body.masses.tuner", `"35 g"`, "Each tuner."),
		grams("body.masses.string", `"5 g"`, "Each string."),
		{Path: "body.masses.tuners_at", Kind: Point3, Min: -3000, Max: 3000, Doc: "[u, v, w] of their middle.", Absent: "the middle of the posts"},
		{Path: "body.masses.other", Kind: Tables, Doc: "Anything else that weighs."},
		{Path: "body.masses.other.name", Kind: Text, Required: true, Doc: "What it is."},
		{Path: "body.masses.other.mass", Kind: Mass, Max: 1e4, Open: true, Required: true, Doc: "Its mass."},
		{Path: "body.masses.other.at", Kind: Point3, Min: -3000, Max: 3000, Required: true, Doc: "[u, v, w] of its middle."},

		{Path: "body.finish", Kind: Table, Doc: "The coat on the body's outside."},
		orNone("body.finish.thickness", `"0.15 mm"`, "Its dry thickness."),
		{Path: "body.finish.density", Kind: Number, Min: 500, Max: 3000, Default: "1100", Doc: "Its density in kg/m³."},
	}
}

func neckKeys() []Key {
	length := func(path, standard, doc string) Key {
		return Key{Path: path, Kind: Length, Max: 2000, Open: true, Default: standard, Doc: doc}
	}
	maybe := func(path string, most float64, standard, doc string) Key {
		return Key{Path: path, Kind: Length, Max: most, Default: strconv.Quote(standard), Doc: doc}
	}
	section := func(at, thickness string) []Key {
		return []Key{
			{Path: at + ".shape", Kind: Choice, Choices: []string{"round", "oval", "V", "asymmetrical"}, Default: `"round"`, Doc: "Its shape: half an ellipse, fuller shoulders, V, or deepest toward the bass side."},
			{Path: at + ".fullness", Kind: Number, Min: 1.1, Max: 6, Doc: "Exponent of the superellipse in place of the shape's: 2 round, 2.5 oval, 1.5 V.", Absent: "the shape's"},
			{Path: at + ".shift", Kind: Length, Min: -20, Max: 20, Default: `"0 mm"`, Doc: "Moves the deepest line toward the treble side."},
			{Path: at + ".thickness", Kind: Length, Min: 8, Max: 80, Default: strconv.Quote(thickness), Doc: "Whole thickness with the fretboard, at the centre."},
		}
	}
	return slices.Concat([]Key{
		{Path: "neck", Kind: Table, Doc: "The neck and how it meets the body. Of angle, pocket depth, heel height and bridge height one follows from the others."},
		{Path: "neck.joint_fret", Kind: Number, Min: 1, Max: 36, Doc: "The fret at the body's edge.", Absent: "the last but six"},
		{Path: "neck.joint", Kind: Choice, Choices: []string{"bolted", "glued"}, Default: `"bolted"`, Doc: "How it is held."},
		{Path: "neck.solve", Kind: Choice, Choices: []string{"angle", "pocket", "heel", "bridge"}, Doc: "Which of the four follows.", Absent: "the first that is not given: the pocket (with a bridge on posts the angle), then bridge, angle, heel"},
		{Path: "neck.angle", Kind: Angle, Min: -halfTurn / 18, Max: halfTurn / 18, Default: "0", Doc: "Neck angle; more than 0 leans the headstock back, the pocket's floor rises toward the tail."},
		{Path: "neck.heel_height", Kind: Length, Min: 5, Max: 100, Default: `"25.4 mm"`, Doc: "Thickness of the heel with the board."},
		{Path: "neck.bridge_height", Kind: Length, Min: 1, Max: 80, Doc: "The strings' underside at the saddle over the body's front.", Absent: "the usual for the bridge's kind"},
		length("neck.heel_width", `"56 mm"`, "Width of the heel at the pocket's end."),
		{Path: "neck.joint_width", Kind: Length, Max: 300, Open: true, Doc: "Width of the heel at the body's edge.", Absent: "heel_width"},
		{Path: "neck.wood", Kind: Wood, Default: `"hard-maple"`, Doc: "Its wood; gives its stiffness and its mass."},
		{Path: "neck.modulus", Kind: Number, Min: 0.5, Max: 500, Doc: "Its stiffness along the grain in GPa, where the wood table's is not wanted.", Absent: "the wood's"},

		{Path: "neck.density", Kind: Number, Min: 50, Max: 1500, Doc: "Its weighed density in kg/m³.", Absent: "the wood's at 12 % moisture"},
		{Path: "neck.board", Kind: Table, Doc: "The fretboard."},
		maybe("neck.board.overhang", 300, "6 mm", "How far it runs on past the last fret."),
		length("neck.board.radius", `"254 mm"`, "Radius of its surface at the nut."),
		{Path: "neck.board.saddle_radius", Kind: Length, Max: 100000, Open: true, Doc: "Radius at the saddle line; between, it changes evenly.", Absent: "that at the nut"},
		{Path: "neck.board.flat", Kind: Flag, Default: "false", Doc: "It has no radius."},
		{Path: "neck.board.thickness", Kind: Length, Min: 1, Max: 20, Default: `"6 mm"`, Doc: "At the centre."},
		{Path: "neck.board.wood", Kind: Wood, Default: `"hard-maple"`, Doc: "Its wood; gives its stiffness and its mass."},
		{Path: "neck.board.modulus", Kind: Number, Min: 0.5, Max: 500, Doc: "Its stiffness along the grain in GPa.", Absent: "the wood's"},

		{Path: "neck.board.density", Kind: Number, Min: 50, Max: 1500, Doc: "Its weighed density in kg/m³.", Absent: "the wood's at 12 % moisture"},
		{Path: "neck.pocket", Kind: Table, Doc: "The pocket in the body, open toward the neck."},
		length("neck.pocket.length", `"76 mm"`, "Along the centreline from the body's edge."),
		{Path: "neck.pocket.depth", Kind: Length, Min: 2, Max: 60, Doc: "At the body's edge.", Absent: "it follows; where another follows, 16 mm"},
		{Path: "neck.pocket.clearance", Kind: Length, Min: 0.001, Max: 3, Default: `"0.1 mm"`, Doc: "Room on each side of the heel."},
		length("neck.pocket.corner_radius", `"6 mm"`, "Of its inner corners; not less than the router bit's."),

		{Path: "neck.screws", Kind: Table, Doc: "The screws of a bolted neck."},
		{Path: "neck.screws.count", Kind: Whole, Min: 1, Max: 6, Default: "4", Doc: "How many."},
		length("neck.screws.diameter", `"5 mm"`, "Of the clearance hole in the body."),
		length("neck.screws.edge", `"12 mm"`, "From a screw's centre to the pocket's sides and ends."),
		maybe("neck.screws.head_depth", 50, "0 mm", "Depth of a counterbore or ferrule in the back; 0 has none."),
		{Path: "neck.screws.head_diameter", Kind: Length, Max: 50, Open: true, Doc: "Diameter of that counterbore.", Absent: "twice the hole's"},
		maybe("neck.screws.plate_inset", 50, "0 mm", "Depth of a recess for a neck plate; 0 has none."),

		{Path: "neck.setup", Kind: Table, Doc: "How the strings lie over the frets."},
		{Path: "neck.setup.crown", Kind: Length, Min: 0.1, Max: 4, Default: `"1.15 mm"`, Doc: "Height of the frets over the board."},
		{Path: "neck.setup.action_fret", Kind: Whole, Min: 1, Max: 36, Doc: "The fret at which the action is measured.", Absent: "12, or the last"},
		{Path: "neck.setup.action_treble", Kind: Length, Min: 0.1, Max: 20, Doc: "From that fret's crown to the highest string.", Absent: "1.6 mm; above 740 mm of scale 2.0 mm"},
		{Path: "neck.setup.action_bass", Kind: Length, Min: 0.1, Max: 20, Doc: "The same to the lowest string.", Absent: "2.0 mm; above 740 mm of scale 2.5 mm"},
		{Path: "neck.setup.first_fret", Kind: Length, Min: 0.01, Max: 5, Default: `"0.5 mm"`, Doc: "Gap over fret 1 under an open string; sets the nut."},
		maybe("neck.setup.relief", 5, "0.2 mm", "Neck relief at its middle; 0 is straight."),
		{Path: "neck.setup.nut_blank", Kind: Length, Min: 1, Max: 40, Default: `"10 mm"`, Doc: "Height of the nut blank over the board."},
		{Path: "neck.setup.share_above", Kind: Number, Min: 0.01, Max: 1, Default: "0.4", Doc: "Share of a wound string that stands above its nut slot."},
		{Path: "neck.setup.tang", Kind: Length, Min: 0.3, Max: 5, Default: `"1.6 mm"`, Doc: "Depth of the fret's tang."},
		{Path: "neck.setup.tang_clearance", Kind: Length, Min: 0.01, Max: 3, Default: `"0.5 mm"`, Doc: "Room in the slot under the tang."},
		{Path: "neck.setup.wire_over", Kind: Length, Min: 0.1, Max: 50, Default: `"3 mm"`, Doc: "Fret wire left over each end of a slot."},
		{Path: "neck.setup.wire_spare", Kind: Number, Min: 0.001, Max: 2, Default: "0.1", Doc: "Share of fret wire bought on top."},

		{Path: "neck.intonation", Kind: Table, Doc: "How setbacks at nut and saddle are found."},
		{Path: "neck.intonation.frets", Kind: Whole, Min: 1, Max: 36, Doc: "Over how many frets the error is made least.", Absent: "12, or all"},
		{Path: "neck.intonation.weights", Kind: Numbers, Max: 1e6, Doc: "Weights of frets 1, 2, ...; a fret past the list has none.", Absent: "all alike"},
		{Path: "neck.intonation.tonic", Kind: Text, Doc: "The note that an uneven temperament starts from, like A3.", Absent: "each string's own open note"},
		{Path: "neck.intonation.keep_nut", Kind: Flag, Default: "false", Doc: "Leave the nut where it is and set back the saddle only."},
		maybe("neck.intonation.finger", 15, "0 mm", "How far behind the fret the finger presses the string."),
		{Path: "neck.intonation.fall", Kind: Length, Min: -2, Max: 10, Default: `"0 mm"`, Doc: "How far the fret tops fall away from the strings, in a straight line from the nut, at the octave."},
		{Path: "neck.intonation.full_stiffness", Kind: Flag, Default: "false", Doc: "Take a stopped string's stiffness from its own length and tension, not as the open string's times the pitch ratio; up to 0.05 mm of setback."},
		{Path: "neck.intonation.nut_height", Kind: Length, Max: 10, Open: true, Doc: "Nut over the fret tops; saddle_rise goes with it.", Absent: "from [neck.setup]"},
		{Path: "neck.intonation.saddle_rise", Kind: Length, Min: -5, Max: 40, Doc: "Saddle over the nut.", Absent: "from [neck.setup]"},

		{Path: "neck.blank", Kind: Table, Doc: "The wood the neck is sawn from."},
		{Path: "neck.blank.head_angle", Kind: Angle, Max: halfTurn * 25 / 180, Default: "0", Doc: "How far the headstock leans back; 0 is a flat one."},
		maybe("neck.blank.head_step", 30, "3 mm", "A flat headstock's face under the board's glue line."),
		{Path: "neck.blank.head_thickness", Kind: Length, Min: 5, Max: 40, Default: `"14 mm"`, Doc: "Of the headstock."},
		{Path: "neck.blank.head_margin", Kind: Length, Min: 1, Max: 150, Default: `"25 mm"`, Doc: "Wood past the last post."},
		{Path: "neck.blank.head_width", Kind: Length, Min: 10, Max: 300, Doc: "Of the headstock.", Absent: "the posts with their margins"},
		{Path: "neck.blank.scarf", Kind: Flag, Default: "false", Doc: "Glue an angled headstock on by a scarf joint."},
		{Path: "neck.blank.spare_length", Kind: Length, Min: 0.1, Max: 300, Default: `"25 mm"`, Doc: "Added to the finished length."},
		{Path: "neck.blank.spare_width", Kind: Length, Min: 0.1, Max: 100, Default: `"6 mm"`, Doc: "Added to the finished width."},
		{Path: "neck.blank.spare_thickness", Kind: Length, Min: 0.1, Max: 50, Default: `"2 mm"`, Doc: "Added to the finished thickness."},

		{Path: "neck.headstock", Kind: Table, Doc: "Where the tuner posts stand."},
		{Path: "neck.headstock.layout", Kind: Choice, Choices: []string{"in-line", "in-line treble", "even sides", "split"}, Doc: "All on the bass side, all on the treble side, half and half, or split by bass_posts.", Absent: "even sides; with straight_pull in-line"},
		{Path: "neck.headstock.bass_posts", Kind: Whole, Min: 1, Max: 12, Doc: "Posts on the bass side of a split layout.", Absent: "by the layout"},
		{Path: "neck.headstock.straight_pull", Kind: Flag, Default: "false", Doc: "Each string runs straight on past the nut."},
		{Path: "neck.headstock.first", Kind: Length, Max: 200, Open: true, Doc: "The nearest post behind the nut.", Absent: "the usual for the layout"},
		{Path: "neck.headstock.spacing", Kind: Length, Max: 100, Open: true, Doc: "From post to post in a row.", Absent: "the usual for the layout"},
		{Path: "neck.headstock.near", Kind: Length, Max: 150, Open: true, Doc: "The nearest post from the centreline.", Absent: "7 mm outside the outer string"},
		{Path: "neck.headstock.slope", Kind: Angle, Min: -halfTurn / 6, Max: halfTurn / 4, Default: "0", Doc: "How a row opens outward toward the head's end."},
		{Path: "neck.headstock.post", Kind: Length, Min: 1, Max: 25, Default: `"6 mm"`, Doc: "Diameter of a post where the string winds."},
		{Path: "neck.headstock.wind", Kind: Length, Min: 0.1, Max: 30, Default: `"5 mm"`, Doc: "Height of the string's lowest turn over the face."},

		{Path: "neck.back", Kind: Table, Doc: "The shape of the neck's back, blended from fret 1 to the heel."},
		{Path: "neck.back.leave", Kind: Length, Min: 0.001, Max: 5, Default: `"0.5 mm"`, Doc: "Wood to leave on the facets."},
		{Path: "neck.back.rounds", Kind: Whole, Min: 1, Max: 4, Default: "2", Doc: "How many times corners are planed off."},
		{Path: "neck.back.heel_run", Kind: Length, Min: 1, Max: 200, Default: `"40 mm"`, Doc: "Over what length the shaft runs into the heel."},
		{Path: "neck.back.first", Kind: Table, Doc: "The section at fret 1."},
	}, section("neck.back.first", "21 mm"), []Key{
		{Path: "neck.back.heel", Kind: Table, Doc: "The section where the heel begins."},
	}, section("neck.back.heel", "24 mm"), []Key{
		{Path: "neck.rod", Kind: Table, Doc: "The reinforcement rod and its channel."},
		{Path: "neck.rod.none", Kind: Flag, Default: "false", Doc: "There is no channel."},
		{Path: "neck.rod.channel_width", Kind: Length, Min: 0.5, Max: 20, Default: `"6.3 mm"`, Doc: "Width of its channel; measure the rod in hand."},
		{Path: "neck.rod.channel_depth", Kind: Length, Min: 0.5, Max: 30, Default: `"9.5 mm"`, Doc: "Depth from the board's glue line."},
		{Path: "neck.rod.left_under", Kind: Length, Min: 0.1, Max: 20, Default: `"3 mm"`, Doc: "Wood asked for under the channel."},
		{Path: "neck.rod.mass", Kind: Mass, Max: 1e4, Open: true, Doc: "Mass of the rod.", Absent: "250 g a metre of its channel"},
		{Path: "neck.rod.stiffness", Kind: Number, Max: 10000, Default: "0", Doc: "Bending stiffness of a rod that is glued in, in N·m²; 0 for an adjustable one."},
	})
}

// materials are the names of what strings are made of.
func materials() []string {
	var names []string
	for _, m := range neck.Materials() {
		names = append(names, m.Name)
	}
	return names
}
