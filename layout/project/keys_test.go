package project

import (
	"fmt"
	"math"
	"os"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// covering are projects that together give every key. Those after the first
// hold what cannot stand beside it.
func covering(t *testing.T) map[string]string {
	everything, err := os.ReadFile("testdata/everything.toml")
	require.NoError(t, err)
	plain := strings.Replace(small, `wood = "black-walnut"`, "wood = \"black-walnut\"\nring_angle = 50", 1)
	plain = strings.Replace(plain, `wood = "hard-maple"`, "wood = \"hard-maple\"\nring_angle = 50", 1)
	with := func(table, old string) string { return strings.Replace(plain, old, table, 1) }
	return map[string]string{
		"everything": string(everything),
		"two scales": with("bass = 670\ntreble = 650\nsquare_fret = 7.5\ncents = [100, 210, 300, 400, 500, 600, 700, 800, 900, 1000, 1100, 1200]", "length = 648"),
		"ratios":     with("length = 648\nratios = [\"9/8\", \"5/4\", \"4/3\", \"3/2\", \"5/3\", \"15/8\", \"2\"]", "length = 648") + "[slab.plan]\nshape = \"tapered\"\nwidth = 300\nend_width = 320\n[body]\nhand = \"left\"\n[neck]\nboard.flat = true\nheadstock.straight_pull = true\nrod.none = true\n",
		"file":       with("length = 648\nfile = \"scale.scl\"", "length = 648") + "[slab.plan]\nshape = \"pointed\"\nwidest = 700\n",
		"nose":       plain + "[slab.plan]\nshape = \"rounded\"\nnose = 80\n",
		"chamfers":   plain + "[slab.edge]\ntop_chamfer = 3\nbottom_radius = 2\n",
		"strings": with(`[strings]
count = 4
courses = [2, 2]
course_gap = 2.5
[[strings.string]]
note = "E4"
gauge = 0.3
construction = "wound"
material = "steel"
winding = "copper"
core = 0.2
hex_core = true
unit_mass = 0.5
stretch = 30
[[strings.string]]
frequency = 320
gauge = 0.3
[[strings.string]]
[[strings.string]]
[neck]
modulus = 12
density = 650
bridge_height = 13
pocket.depth = 15
board.modulus = 13
board.density = 900
[neck.blank]
head_step = 4
[slab]`, "[slab]"),
		"two posts": with(`[body.bridge]
kind = "two-post bridge with tailpiece"
stud_spacing = 83
stud_behind = 41
stud_diameter = 11
stud_depth = 24
[body.jack]
face = "front"
at = [60, 60]
recess = 24
[[body.cavity]]
at = [40, 80]
inset = 12
[body.edges]
front_chamfer = 3
back_radius = 4
[slab]`, "[slab]"),
		"flat mount": with(`[body.bridge]
string_through = true
string_hole = 3.1
string_behind = 23
ferrule_hole = 7
ferrule_depth = 9
screws = 3
screw_diameter = 2.5
screw_depth = 19
[body.jack]
none = true
[body.ground_wire]
none = true
[slab]`, "[slab]"),
		"drawn": with(`[body]
outline_file = "body.svg"
outline_length = 400
outline_id = "b"
outline_unit = "0.3 mm"
outline_gap = 0.1
outline_neck = "left"
outline_mirror = true
outline_hand = "left"
[slab.plan]
file = "slab.svg"
file_start = 5
[slab]`, "[slab]"),
		"traced": with(`[body]
outline_file = "trace.csv"
outline_length = 400
outline_neck = "left"
outline_deviation = "0.4 mm"
[slab]`, "[slab]"),
	}
}

// beside are the files that covering names.
func beside() fstest.MapFS {
	return fstest.MapFS{
		"scale.scl": {Data: []byte("! scale.scl\n!\nmade up\n 5\n!\n 240.0\n 480.\n 720.\n 960.\n 2/1\n")},
		// A made-up pear, wider toward its tail, one side fuller than the other.
		"body.svg": {Data: []byte(`<svg xmlns="http://www.w3.org/2000/svg" width="500" height="500">` +
			`<path id="a" d="M 0 100 L 300 0 L 300 200 Z"/><path id="b" d="M 0 150 C 0 100 100 60 200 20 C 350 0 400 100 400 170 C 400 260 330 320 220 300 C 100 260 0 220 0.09 150"/></svg>`)},
		"trace.csv": {Data: []byte(traced())},
		"slab.svg":  {Data: []byte(`<svg xmlns="http://www.w3.org/2000/svg" width="1200mm" height="380mm" viewBox="0 -190 1200 380"><path d="M 10 -150 L 1190 -180 L 1190 180 L 10 150 Z"/></svg>`)},
	}
}

// traced is an egg, its blunt end behind, in some unit of a scanner.
func traced() string {
	s := "x,y\n"
	for i := range 120 {
		a := 2 * math.Pi * float64(i) / 120
		s += fmt.Sprintf("%.1f,%.1f\n", 500+500*math.Cos(a), (360+60*math.Cos(a))*math.Sin(a))
	}
	return s
}

func TestEveryKeyIsRead(t *testing.T) {
	read := map[string]bool{}
	given := map[string]bool{}
	for name, text := range covering(t) {
		s, err := ReadSource(name, []byte(text))
		require.NoError(t, err)
		_, asked, err := parse(s, beside())
		require.NoError(t, err, name)
		for key := range asked {
			read[key] = true
		}
		for _, path := range valuePaths(s.root, "") {
			given[withoutNumbers(path)] = true
		}
	}
	for _, k := range Keys() {
		assert.True(t, k.Path == sizesPath || read[k.Path], "nothing reads %s", k.Path)
		if k.Kind != Table && k.Kind != Tables {
			assert.True(t, given[k.Path], "no test gives %s", k.Path)
		}
	}
}

// valuePaths lists the paths of all values with list numbers.
func valuePaths(n *node, path string) []string {
	switch {
	case n.kind == tableNode:
		var out []string
		for _, name := range n.names {
			out = append(out, valuePaths(n.child[name], join(path, name))...)
		}
		return out
	case n.kind == listNode && len(n.item) > 0 && n.item[0].kind == tableNode:
		var out []string
		for i, item := range n.item {
			out = append(out, valuePaths(item, fmt.Sprintf("%s[%d]", path, i+1))...)
		}
		return out
	}
	return []string{path}
}

// A key that is read and then dropped would be a lie to the maker. So each
// value of the covering projects is changed, one at a time: the project must
// change with it, or be refused because the change makes no sense.
func TestEveryKeyHasAnEffect(t *testing.T) {
	for name, text := range covering(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s, err := ReadSource(name, []byte(text))
			require.NoError(t, err)
			before, _, err := parse(s, beside())
			require.NoError(t, err)
			again, _, err := parse(s, beside())
			require.NoError(t, err)
			require.True(t, sameProject(before, again), "nothing changed, yet the projects differ")
			for _, path := range valuePaths(s.root, "") {
				k, ok := keyOf(path)
				require.True(t, ok, path)
				steps, _ := parsePath(path)
				n, _ := s.find(steps)
				other, err := ReadSource(name, []byte(text))
				require.NoError(t, err)
				require.NoError(t, other.Set(path, another(t, k, n)), path)
				after, _, err := parse(other, beside())
				if err != nil {
					continue
				}
				assert.False(t, sameProject(before, after), "%s has no effect", path)
			}
		})
	}
}

// sameProject compares all that engines see.
func sameProject(a, b *Project) bool {
	x, y := *a, *b
	x.Source, y.Source = nil, nil
	x.files, y.files = nil, nil
	return reflect.DeepEqual(x, y)
}

// another is a value of the key's kind that differs from n's, a little where
// it can.
func another(t *testing.T, k Key, n *node) any {
	r := reading{Source: &Source{}}
	v, problem := r.value(k, n, k.Path)
	if k.parent() == sizesPath {
		v, problem = r.value(Key{Kind: Length}, n, k.Path)
	}
	require.Nil(t, problem)
	more := func(x float64) float64 {
		if k.name() == "outline_gap" {
			return 0.02 // less than the gap in the drawing
		}
		if k.name() == "outline_deviation" {
			return 8 // so much that fewer curves do
		}
		if k.Kind == Angle {
			x = degrees(x)
		}
		if k.Kind == Mass {
			x /= 1000
		}
		if y := x * 1.004; y != x {
			return y
		}
		return x + 0.01
	}
	switch v := v.(type) {
	case string:
		for _, c := range k.Choices {
			if c != v {
				return c
			}
		}
		switch k.Kind {
		case Wood:
			return "white-ash"
		case Colour:
			return "#123456"
		}
		return v + "x"
	case []string:
		out := append([]string{}, v...)
		out[0] += "x"
		return out
	case int:
		if float64(v+1) <= k.Max {
			return v + 1
		}
		return v - 1
	case float64:
		return more(v)
	case []float64:
		out := append([]float64{}, v...)
		out[len(out)-1] = more(out[len(out)-1])
		return out
	case [][2]float64:
		out := append([][2]float64{}, v...)
		out[1][1] = more(out[1][1])
		return out
	case bool:
		return !v
	case []int:
		return append(append([]float64{}, float64(v[0]+1)), make([]float64, len(v)-1)...)
	}
	t.Fatalf("%s: a %T", k.Path, v)
	return nil
}

func TestKeysAreWellFormed(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range Keys() {
		assert.False(t, seen[k.Path], "%s stands twice", k.Path)
		seen[k.Path] = true
		assert.True(t, k.parent() == "" || seen[k.parent()], "%s stands before its table", k.Path)
		assert.Regexp(t, `^[a-z][a-z_]*$`, k.name())
		assert.Regexp(t, `^[A-Z0-9\[].*[.:)]$`, k.Doc, k.Path)
		assert.Equal(t, k.Kind == Choice, len(k.Choices) > 0, k.Path)
		assert.LessOrEqual(t, k.Min, k.Max, k.Path)
		if k.Kind == Table || k.Kind == Tables {
			continue
		}
		assert.False(t, k.Required && k.Default != "", "%s is required and has a default", k.Path)
		assert.True(t, k.Required || k.Default != "" || k.Absent != "", "%s: what holds when it is left out?", k.Path)
		if k.Default != "" {
			assert.NotPanics(t, func() { k.defaultValue() }, k.Path)
			if k.Kind == Length {
				assert.Contains(t, k.Default, " mm", "%s: a default must not depend on the unit", k.Path)
			}
		}
	}
}

func TestANewFileShowsEveryKey(t *testing.T) {
	text := string(Starter())
	for _, k := range Keys() {
		switch k.Kind {
		case Table:
			assert.Regexp(t, `(?m)^(#: )?\[`+k.Path+`\]$`, text)
		case Tables:
			assert.Regexp(t, `(?m)^(#: )?\[\[`+k.Path+`\]\]$`, text)
		default:
			assert.Regexp(t, `(?m)^(#: )?`+k.name()+` = `, text)
		}
	}
	for i, line := range strings.Split(text, "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 110, "line %d", i+1)
	}
}

// Taking the mark from the lines of keys with a default gives the same
// project: what the comments claim is what holds.
func TestTheShownDefaultsAreTheDefaults(t *testing.T) {
	text := string(Starter())
	before, err := Parse("new.toml", []byte(text), nil)
	require.NoError(t, err)
	// [placement], wishes and the like mean something by being there at all.
	on := map[string]bool{"scale": true, "strings": true, "neck": true, "body": true, "need": true, "paper": true, "slab": false}
	alone := map[string]bool{"steps": true, "outline_gap": true, "outline_mirror": true} // refused without their partners
	var out []string
	table := ""
	for _, line := range strings.Split(text, "\n") {
		bare := strings.TrimPrefix(line, "#: ")
		if strings.HasPrefix(bare, "[") {
			table = strings.Trim(bare, "[]")
		}
		head, _, _ := strings.Cut(table, ".")
		listed := strings.HasPrefix(bare, "[[") || keyIsListed(table)
		if bare != line && on[head] && !listed && !strings.Contains(bare, " = (") && !alone[strings.Split(bare, " ")[0]] {
			line = bare
		}
		out = append(out, line)
	}
	changed := strings.Join(out, "\n")
	require.Greater(t, strings.Count(text, "#: ")-strings.Count(changed, "#: "), 60)
	after, err := Parse("new.toml", []byte(changed), nil)
	require.NoError(t, err, changed)
	// Ring angles that are not given are NaN, which is unequal to itself.
	before.Slab, after.Slab = nil, nil
	assert.Equal(t, before.Need, after.Need)
	assert.Equal(t, before.Paper, after.Paper)
	assert.Equal(t, before.Fret, after.Fret)
	assert.Equal(t, before.Neck, after.Neck)
	assert.True(t, reflect.DeepEqual(before.BodySpec, after.BodySpec), "the bodies differ")
}

func keyIsListed(table string) bool {
	for p := table; p != ""; p = (Key{Path: p}).parent() {
		if byPath()[p].Kind == Tables {
			return true
		}
	}
	return false
}

// The engines grow. Each of their fields must be one that a maker can set, or
// stand here with the reason why not.
func TestEveryFieldOfTheEnginesCanBeSaid(t *testing.T) {
	not := map[string]string{
		"Neck.ScaleMm":               "short for Layout.Scale",
		"Neck.Joint.NoDefaults":      "always set: every value is in the file or a default of it",
		"Neck.Setup.NoRelief":        "relief = 0",
		"BodySpec.Board.LastFret":    "scale.frets",
		"BodySpec.Strings":           "from the fret layout",
		"BodySpec.Neck.Screws":       "neck.screws.count",
		"Slab.Plan.Path":             "an SVG or DXF file",
		"Wish.Strips[].Strip":        "an index; the first is 0",
		"Slab.Chambers[].Strip":      "an index",
		"BodySpec.Unit":              "the project's unit",
		"Shop.Stack.Unit":            "the project's unit",
		"Unit":                       "its zero is millimetres",
		"Neck.Layout.Strings.Gauges": "the strings have them",
		"Fret":                       "the layout of the neck, worked out",
	}
	said := map[string]bool{}
	fields := map[string]bool{}
	for name, text := range covering(t) {
		p, err := Parse(name, []byte(text), beside())
		require.NoError(t, err, name)
		visit(reflect.ValueOf(*p), "", said, fields)
	}
	for f := range fields {
		skip := false
		for prefix := range not {
			skip = skip || f == prefix || strings.HasPrefix(f, prefix+".") || strings.HasPrefix(f, prefix+"[")
		}
		for _, prefix := range []string{"Source", "Body.", "NeckReport", "Notes"} {
			skip = skip || strings.HasPrefix(f, prefix)
		}
		if !skip {
			assert.True(t, said[f], "no project sets %s", f)
		}
	}
}

// visit notes the paths of all exported fields under v, and which are not zero.
func visit(v reflect.Value, path string, said, fields map[string]bool) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			visit(v.Elem(), path, said, fields)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				visit(v.Field(i), join(path, f.Name), said, fields)
			}
		}
	case reflect.Slice, reflect.Array:
		fields[path] = true
		for i := range v.Len() {
			said[path] = true
			visit(v.Index(i), path+"[]", said, fields)
		}
	default:
		fields[path] = true
		if !v.IsZero() {
			said[path] = true
		}
	}
}
