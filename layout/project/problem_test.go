package project

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// small is the least that makes a project, with a wish and a chamber to spoil.
const small = `unit = "mm"
[scale]
length = 648
frets = 22
[slab]
length = 1200
thickness = 55
[[slab.strip]]
name = "walnut side"
thickness = 190
wood = "black-walnut"
[[slab.strip]]
name = "maple side"
thickness = 190
wood = "hard-maple"
`

func TestSmallIsValid(t *testing.T) {
	_, err := Parse("small.toml", []byte(small), nil)
	require.NoError(t, err)
}

// Each row spoils one thing and names the line it must be told at: the line
// that holds what is between the arrows is found by the test itself.
func TestEachProblemIsToldAtItsPlace(t *testing.T) {
	for _, c := range []struct {
		name      string
		old, new  string // in small; the problem's line is that of new's first line holding "#!"
		key, what string
		want      string
	}{
		{"unknown key", "frets = 22", "frets = 22\nfret = 3 #!", "scale.fret", "this key is not known", "did you mean frets?"},
		{"key of another table", "frets = 22", "frets = 22\nkerf = 3 #!", "scale.kerf", "this key is not known", "kerf belongs in [need] or [shop.cut]"},
		{"key of the top", "frets = 22", "frets = 22\nname = 'x' #!", "scale.name", "this key is not known", "name belongs at the top of the file, above the first [table]"},
		{"unknown table", "[slab]", "[slap] #!\n[slab]", "slap", "this key is not known", "did you mean slab?"},
		{"unknown unit", `unit = "mm"`, `unit = "furlong" #!`, "unit", `"furlong" is not one of the choices`, `write "mm" or "in"`},
		{"unit that is no text", `unit = "mm"`, `unit = 3 #!`, "unit", "expected a text in quotes, found 3", `write "mm" or "in"`},
		{"wrong unit of a length", "length = 648", `length = "648 furlong" #!`, "scale.length", `length "648 furlong": unit "furlong" is not known`, "write it like 648 mm, 64.8 cm, 25.5 in, 25 1/2 in or 1 ft 3 in"},
		{"an angle for a length", "length = 648", `length = "30 deg" #!`, "scale.length", `length "30 deg": unit "deg" is not known`, "write it like 648 mm, 64.8 cm, 25.5 in, 25 1/2 in or 1 ft 3 in"},
		{"wrong type", "frets = 22", "frets = true #!", "scale.frets", "expected a whole number, found true", "write a whole number from 1 to 36"},
		{"part of a fret", "frets = 22", "frets = 22.5 #!", "scale.frets", "expected a whole number, found 22.5", "write a whole number from 1 to 36"},
		{"too many frets", "frets = 22", "frets = 400 #!", "scale.frets", "400 is more than 36", "write a whole number from 1 to 36"},
		{"no scale", "length = 648", "length = 0 #!", "scale.length", "it is 0 mm", "write a length of more than 0 mm and at most 3000 mm"},
		{"infinite", "length = 648", "length = inf #!", "scale.length", `length "inf": it must be an ordinary number`, "write it like 648 mm, 64.8 cm, 25.5 in, 25 1/2 in or 1 ft 3 in"},
		{"missing key", "frets = 22\n", "", "scale.frets", "it is missing", "write frets = ... with a whole number"},
		{"unknown wood", `wood = "hard-maple"`, `wood = "hard-mapel" #!`, "slab.strip[2].wood", `"hard-mapel" is not in the table`, ""},
		{"table for a list", "[[slab.strip]]\nname = \"walnut side\"\nthickness = 190\nwood = \"black-walnut\"\n[[slab.strip]]\nname", "[slab.strip] #!\nname", "slab.strip", "expected a list of tables, found a table", "write [[slab.strip]] with two brackets, once for each"},
		{"list for a table", "[scale]", "[[scale]] #!", "scale", "expected a table, found a list", "write [scale] with its keys below it"},
		{"not TOML", "frets = 22", "frets = = 22 #!", "", "not TOML here: unexpected character U+003D '=' at start of value", "check the quotes, brackets and equals signs here"},
		{"same key twice", "frets = 22", "frets = 22\nfrets = 23 #!", "frets", "not TOML here: key frets is already defined", "check the quotes, brackets and equals signs here"},

		{"two scales at once", "length = 648", "length = 648 #!\nbass = 660", "scale.length", "a scale length stands beside bass or treble", "give length alone, or bass and treble for two-scale frets"},
		{"half of two scales", "length = 648", "bass = 660", "scale.treble", "bass is given without treble", "give both, or length for one scale"},
		{"square fret off the board", "frets = 22", "frets = 22\nsquare_fret = 30 #!", "scale.square_fret", "it lies beyond the last fret", "write a fret of the board, or 0 for the nut"},
		{"partial fret off the board", "frets = 22", "frets = 22\n[[scale.partial]] #!\nfret = 30\nfirst_string = 1\nlast_string = 2", "scale.partial", "partial fret 30 is off the board: it must lie above 0 and not beyond fret 22", ""},
		{"temperament twice", "frets = 22", "frets = 22\nsteps = 19\ncents = [100, 1200] #!", "scale.cents", "the temperament is given twice", "keep one of steps, cents, ratios and file"},
		{"falling cents", "frets = 22", "frets = 22\ncents = [200, 100, 1200] #!", "scale.cents", `scale "": degree 2 (100 cents) is not above the one before (200 cents); frets need degrees that rise`, ""},
		{"no strings", "[slab]", "[strings]\ncount = 0 #!\n[slab]", "strings.count", "0 is less than 1", "write a whole number from 1 to 12"},
		{"gauge missing", "[slab]", "[strings]\ngauges = [0.25, 0.33] #!\n[slab]", "strings.gauges", "2 are given for 6 strings", "give one for each string, string 1 (the highest) first"},
		{"no such note", "[slab]", "[strings]\ntuning = [\"E4\", \"B3\", \"G3\", \"D3\", \"A2\", \"H2\"] #!\n[slab]", "strings.tuning[6]", "", ""},
		{"all four of the joint", "[slab]", "[neck]\nheel_height = 25\nbridge_height = 12\nangle = 0 #!\npocket = { depth = 16 }\n[slab]", "neck.angle", "angle, pocket depth, heel height and bridge height are all given", "leave one out, or say with solve which follows from the others"},
		{"heel under the board", "[slab]", "[neck]\nheel_height = 7 #!\n[slab]", "neck.heel_height", "", ""},
		{"cents of thickness", "[slab]", "[body]\nthickness = 2 #!\n[slab]", "body.thickness", "2 mm is less than 10 mm", "write a length from 10 mm to 150 mm"},
		{"unknown family", "[slab]", "[body]\noutline = \"doublecutaway\" #!\n[slab]", "body.outline", `"doublecutaway" is not one of the choices (did you mean "double-cutaway"?)`, ""},
		{"unknown size", "[slab]", "[body.sizes]\nwaste = 200 #!\n[slab]", "body.sizes.waste", "the outline double-cutaway has no such size", "did you mean waist?"},
		{"size out of range", "[slab]", "[body.sizes]\nwaist = 20 #!\n[slab]", "body.sizes.waist", "20 mm is less than ", ""},
		{"sizes that do not go together", "[slab]", "[body.sizes]\nupper_bout = 300\nwaist = 290 #!\n[slab]", "body.sizes.waist", "", ""},
		{"pickup nowhere", "[slab]", "[[body.pickup]] #!\nkind = \"humbucking\"\n[slab]", "body.pickup[1].from_saddle", "the pickup's place is not given, or twice", "write one of from_saddle and fraction"},
		{"engine refuses a pickup", "[slab]", "[[body.pickup]]\nkind = \"humbucking\"\nfrom_saddle = 40\ndepth = 80 #!\n[slab]", "body.pickup[1].depth", "", ""},

		{"negative slab", "length = 1200", "length = -40 #!", "slab.length", "-40 mm is less than 100 mm", "write a length from 100 mm to 10000 mm"},
		{"flat and curved", "thickness = 55", "thickness = 55 #!\nprofile = { top = [[0, 55]], bottom = [[0, 0]] }", "slab.thickness", "a thickness stands beside [slab.profile]", "keep one of them"},
		{"no thickness", "thickness = 55\n", "", "slab.thickness", "neither a thickness nor [slab.profile] is given", "write thickness for a flat slab, or [slab.profile] with top and bottom"},
		{"top under bottom", "thickness = 55", "[slab.profile] #!\ntop = [[0, 10], [1200, 10]]\nbottom = [[0, 0], [1200, 20]]", "slab.profile", "profile: at 1200 mm the top (10 mm) is not above the bottom (20 mm)", ""},
		{"stations that go back", "thickness = 55", "thickness = 55\nplan.stations = [[0, 100], [600, 100], [500, 90]] #!", "slab.plan.stations[3]", "plan, station 3: 500 mm follows 600 mm: stations must grow along the slab", ""},
		{"half-breadth beyond the stack", "thickness = 55", "thickness = 55\nplan.stations = [[0, 100], [1200, 500]] #!", "slab.plan.stations[2]", "plan, station 2: half-breadth 500 mm is more than half the stack, 190 mm", ""},
		{"a pair of three", "thickness = 55", "thickness = 55\nplan.stations = [[0, 100, 3], [1200, 90]] #!", "slab.plan.stations", "expected a pair [x, y], found a list", "write a list of [x, y] pairs of lengths from 0 mm to 10000 mm"},
		{"strip without wood", "wood = \"black-walnut\"\n", "", "slab.strip[1].wood", "the strip has no wood", `write wood = "black-walnut", or piece where it changes along its length`},
		{"pieces without a transition", `wood = "black-walnut"`, "piece = [{ wood = \"teak\" }, { wood = \"iroko\" }]", "slab.strip[1].transition", "2 pieces have 0 transitions between them", "give 1, one less than there are pieces"},
		{"transition off the slab", `wood = "black-walnut"`, "piece = [{ wood = \"teak\" }, { wood = \"iroko\" }]\ntransition = [{ at = 1300 }] #!", "slab.strip[1].transition[1]", "", ""},
		{"angle of a square cut", `wood = "black-walnut"`, "piece = [{ wood = \"teak\" }, { wood = \"iroko\" }]\ntransition = [{ at = 600, angle = 30 }] #!", "slab.strip[1].transition[1].angle", "a square transition has no angle", `leave angle out, or write kind = "diagonal" or "chevron"`},
		{"rough under finished", `wood = "hard-maple"`, "wood = \"hard-maple\"\nrough = 180 #!", "slab.strip[2].rough", "the rough thickness is less than the finished one", "write what was measured before planing"},
		{"same name twice", `name = "maple side"`, `name = "walnut side" #!`, "slab.strip[2].name", `strip 1 has the name "walnut side" already`, "give each strip a name of its own, or none"},
		{"not a colour", `wood = "hard-maple"`, "wood = \"hard-maple\"\ncolour = \"red\" #!", "slab.strip[2].colour", `expected a colour, found the text "red"`, `write a colour like "#8a5a33"`},
		{"chamber in no strip", `wood = "hard-maple"`, "wood = \"hard-maple\"\n[[slab.chamber]]\nstrip = \"maple sid\" #!\nfrom = 1\nto = 2\ntop_skin = 5\nbottom_skin = 5", "slab.chamber[1].strip", `no strip is named "maple sid"`, `did you mean "maple side"?`},
		{"chamber in strip 3 of 2", `wood = "hard-maple"`, "wood = \"hard-maple\"\n[[slab.chamber]]\nstrip = 3 #!\nfrom = 1\nto = 2\ntop_skin = 5\nbottom_skin = 5", "slab.chamber[1].strip", "there is no strip 3", "write a number from 1 (the rightmost) to 2, or a strip's name"},
		{"skins that meet", `wood = "hard-maple"`, "wood = \"hard-maple\"\n[[slab.chamber]] #!\nstrip = 1\nfrom = 100\nto = 200\ntop_skin = 30\nbottom_skin = 30", "slab.chamber[1]", "chamber 1: at 100 mm the slab is 55 mm thick, no more than its two skins", ""},
		{"screw going nowhere", `wood = "hard-maple"`, "wood = \"hard-maple\"\n[[slab.fastener]]\nat = [1, 2, 3]\ndirection = [0, 0, 0] #!\nlength = 4\nshank = 5", "slab.fastener[1].direction", "it is no direction", "write three numbers [x, y, z], not all 0: [0, 1, 0] is to the left"},
		{"flaw nowhere", `wood = "hard-maple"`, "wood = \"hard-maple\"\n[[slab.flaw]] #!\nkind = \"knot\"", "slab.flaw[1].at", "the flaw has no place", "write at and radius for a round flaw, or ring for another"},
		{"unknown glue line", `wood = "hard-maple"`, "wood = \"hard-maple\"\n[[wish.through]]\nline = \"walnut side / mapel side\" #!\nat = [0, 0]", "wish.through[1].line", `no glue line is named "walnut side / mapel side"`, `did you mean "walnut side / maple side"?`},
		{"a part that the line has not", `wood = "hard-maple"`, "wood = \"hard-maple\"\n[[wish.through]]\nline = \"walnut side / maple side\"\npart = 2 #!\nat = [0, 0]", "wish.through[1].part", `the glue line "walnut side / maple side" has 1 parts`, "write a number from 1 to 1"},
		{"half a range of angles", `wood = "hard-maple"`, "wood = \"hard-maple\"\n[wish]\nangle_from = 3 #!", "wish.angle_from", "only one of angle_from and angle_to is given", "give both"},
		{"placement without a place", `wood = "hard-maple"`, "wood = \"hard-maple\"\n[placement] #!\ny = 3\nheight = 50", "placement.x", "it is missing", "write x = ... with a length"},
		{"paper of no size", `wood = "hard-maple"`, "wood = \"hard-maple\"\n[paper]\nsize = \"A44\" #!", "paper.size", `"A44" is not one of the choices (did you mean "A4"?)`, ""},
		{"strip kept and taken from", `wood = "hard-maple"`, "wood = \"hard-maple\"\n[shop.stack] #!\nwidth = 370\nkeep = [1]\ntake = [{ strips = [1], total = 2 }]", "shop.stack", "walnut side is named twice: keep it or take from it once", ""},
		{"screw of no length", `wood = "hard-maple"`, "wood = \"hard-maple\"\n[shop.screws]\nlengths = [40, 0] #!", "shop.screws.lengths", "it is 0 mm", ""},
		{"corner holes that do not fit", `wood = "hard-maple"`, "wood = \"hard-maple\"\n[chambers]\ncorner_hole = 40 #!", "chambers.corner_hole", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Contains(t, small, c.old)
			text := strings.Replace(small, c.old, c.new, 1)
			_, err := Parse("small.toml", []byte(text), nil)
			var ps Problems
			require.ErrorAs(t, err, &ps, "%v", err)
			require.Len(t, ps, 1, "%v", err)
			p := ps[0]
			assert.Equal(t, c.key, p.Key)
			if c.what != "" {
				assert.True(t, strings.HasPrefix(p.What, c.what), p.What)
			}
			if c.want != "" {
				assert.Equal(t, c.want, p.Want)
			}
			assert.NotEmpty(t, p.What)
			if before, _, marked := strings.Cut(text, "#!"); marked {
				assert.Equal(t, 1+strings.Count(before, "\n"), p.Line, "%v", err)
			}
			assert.Equal(t, strings.Split(text, "\n")[p.Line-1], p.Text)
			assert.LessOrEqual(t, p.Col-1+p.Width, len([]rune(p.Text)), "the caret stays on the line")
		})
	}
}

func TestTheMessageShowsLineAndCaret(t *testing.T) {
	text := "# Wände\n[scale]\n\tlength = \"25 1/2 inn\" # eh\n\tfrets = 99\n\tfrets_ = 1\n[slab]\n"
	_, err := Parse("panel.toml", []byte(text), nil)
	assert.EqualError(t, err, strings.Join([]string{
		`panel.toml:3: scale.length: length "25 1/2 inn": unit "inn" is not known; write it like 648 mm, 64.8 cm, 25.5 in, 25 1/2 in or 1 ft 3 in`,
		"   3 | \tlength = \"25 1/2 inn\" # eh",
		"     | \t         ^^^^^^^^^^^^",
		"panel.toml:4: scale.frets: 99 is more than 36; write a whole number from 1 to 36",
		"   4 | \tfrets = 99",
		"     | \t        ^^",
		"panel.toml:5: scale.frets_: this key is not known; did you mean frets?",
		"   5 | \tfrets_ = 1",
		"     | \t^^^^^^",
		"panel.toml:6: slab.length: it is missing; write length = ... with a length",
		"   6 | [slab]",
		"     |  ^^^^",
		"panel.toml:6: slab.strip: it is missing; write [[slab.strip]] at least once, with its keys below it",
		"   6 | [slab]",
		"     |  ^^^^",
	}, "\n"))
}

func TestManyProblemsAreCountedAndSorted(t *testing.T) {
	var b strings.Builder
	b.WriteString(small)
	for i := range 30 {
		fmt.Fprintf(&b, "x%d = 1\n", i)
	}
	_, err := Parse("x.toml", []byte(b.String()), nil)
	var ps Problems
	require.ErrorAs(t, err, &ps)
	assert.Len(t, ps, 30)
	assert.True(t, strings.HasSuffix(err.Error(), "\nand 22 more in this file"))
	for i := range len(ps) - 1 {
		assert.Less(t, ps[i].Line, ps[i+1].Line)
	}
}

func TestTheUnitMayStandAnywhereAtTheTop(t *testing.T) {
	metric, err := Parse("a.toml", []byte(small), nil)
	require.NoError(t, err)
	inches := strings.Replace(small, "unit = \"mm\"\n", "name = \"x\"\nneed.kerf = 0.125\nunit = \"in\"\n", 1)
	for _, v := range []struct{ mm, in string }{{"= 648", "= \"25 1/2 in\""}, {"= 1200", "= 48"}, {"= 55", "= 2.25"}, {"thickness = 190", "thickness = \"7 1/2 in\""}} {
		require.Contains(t, inches, v.mm)
		inches = strings.ReplaceAll(inches, v.mm, v.in)
	}
	p, err := Parse("a.toml", []byte(inches), nil)
	require.NoError(t, err)
	assert.Equal(t, 647.7, p.Fret.Scale)
	assert.Equal(t, 1219.2, p.Slab.Length)
	assert.Equal(t, 3.175, p.Need.Kerf)
	assert.Equal(t, 381.0, p.Slab.Width())
	assert.Equal(t, 3.0, metric.Need.Kerf, "defaults carry their own unit")
}

func TestWhatIsNoTextIsRefused(t *testing.T) {
	for _, text := range []string{"\xff\xfe", "a = \"\x00\"", strings.Repeat("[", 20000), "a = " + strings.Repeat("[", 20000), strings.Repeat("# x\n", 1<<20+1)} {
		_, err := Parse("x.toml", []byte(text), nil)
		require.Error(t, err)
		assert.Contains(t, err.Error(), "x.toml:1: ")
	}
}

// Whatever the text, there is a message or a project that every engine holds
// for valid.
func FuzzParse(f *testing.F) {
	f.Add(small)
	f.Add(strings.Replace(small, "[slab]", "[strings]\ncount=1\n[[body.pickup]]\nkind=\"single-coil\"\nfraction=0.2\n[slab]", 1))
	f.Add(small + "piece=[{wood=\"teak\"}]\n[[slab.chamber]]\nstrip=1\nfrom=10\nto=50\ntop_skin=3\nbottom_skin=3\nstate=\"cut\"\n[placement]\nx=1\ny=2\nheight=3")
	f.Add("unit='in'\nscale={bass=27,treble=25,frets=24}\nslab={length=40,thickness=2,strip=[{wood='ash',thickness=15}]}\n[neck]\nangle=2\n")
	f.Fuzz(func(t *testing.T, text string) {
		p, err := Parse("x.toml", []byte(text), nil)
		if err != nil {
			var ps Problems
			require.ErrorAs(t, err, &ps)
			for _, p := range ps {
				require.NotEmpty(t, p.What)
				require.Positive(t, p.Line)
				require.Positive(t, p.Col)
			}
			require.NotEmpty(t, err.Error())
			return
		}
		require.NoError(t, p.Slab.Check())
		require.NoError(t, p.Fret.Check())
		require.NotNil(t, p.Body)
		require.NotNil(t, p.NeckReport)
	})
}
