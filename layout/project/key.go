package project

import (
	"fmt"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"slabwright/body/geom"
	"slabwright/fret/measure"
	"slabwright/fret/measure/spelling"
	"slabwright/layout/wood"
)

// Kind says what a key holds.
type Kind int

// The kinds. Lengths are written as numbers in the project's unit or as texts
// with their own ("25 1/2 in"), angles as degrees or texts ("30 deg"), masses
// as kilograms or texts ("120 g").
const (
	Table   Kind = iota // [key]
	Tables              // [[key]], as often as wanted
	Text                // "any text"
	Texts               // a list of them
	Choice              // a text out of Choices
	Whole               // a whole number
	Wholes              // a list of them
	Number              // a number
	Numbers             // a list of them
	Flag                // true or false
	Length              // mm inside
	Lengths             // a list of them
	Point               // [x, y]: two lengths
	Point3              // [x, y, z]: three lengths
	Points              // a list of [x, y]
	Angle               // radians inside
	Mass                // grams inside
	Force               // newtons inside
	Wood                // key in the wood table
	Colour              // "#rrggbb"
	Strip               // a strip, by its name or by its number from 1
	Strips              // a list of them
)

// what the kinds look like, for messages and for the comments of a new file.
var kindWords = [...]string{
	Table: "a table", Tables: "a list of tables", Text: "a text in quotes", Texts: "a list of texts", Choice: "a text in quotes",
	Whole: "a whole number", Wholes: "a list of whole numbers", Number: "a number", Numbers: "a list of numbers", Flag: "true or false",
	Length: "a length", Lengths: "a list of lengths", Point: "[x, y], two lengths", Point3: "[x, y, z], three lengths",
	Points: "a list of [x, y] pairs of lengths", Angle: "an angle in degrees", Mass: "a mass", Force: "a force", Wood: "the name of a wood",
	Colour: `a colour like "#8a5a33"`, Strip: "the name or number of a strip", Strips: "a list of strip names or numbers",
}

// String is the kind in words.
func (k Kind) String() string { return kindWords[k] }

// A Key is one thing a project file may say. Keys is the list of all of them:
// the reader refuses what is not in it, and a new project prints it.
type Key struct {
	Path     string // without list numbers: "slab.strip.piece.wood"
	Kind     Kind
	Doc      string // what it means, one or two sentences
	Default  string // what holds when it is absent, as TOML; lengths carry their unit
	Absent   string // what absence means where no value can say it
	Required bool   // must be given where its table is
	Choices  []string
	Min, Max float64 // of each number in it, in mm, radians, grams, newtons or bare; both 0 = no limits
	Open     bool    // Min itself is too little
}

func (k Key) name() string { return k.Path[strings.LastIndexByte(k.Path, '.')+1:] }

func (k Key) parent() string { return k.Path[:max(0, strings.LastIndexByte(k.Path, '.'))] }

// amount writes a number of the key's kind for a message.
func (k Key) amount(v float64, unit measure.Unit) string {
	switch k.Kind {
	case Length, Lengths, Point, Point3, Points:
		return measure.Length(v).Format(unit)
	case Angle:
		return measure.Angle(v).String()
	case Mass:
		return measure.Mass(v).String()
	case Force:
		return measure.Force(v).String()
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// allowed says in words what the key may hold.
func (k Key) allowed(unit measure.Unit) string {
	switch {
	case len(k.Choices) > 0:
		return "write " + orList(quoted(k.Choices))
	case k.Min == 0 && k.Max == 0:
	case k.Open:
		return fmt.Sprintf("write %s of more than %s and at most %s", k.Kind, k.amount(k.Min, unit), k.amount(k.Max, unit))
	default:
		return fmt.Sprintf("write %s from %s to %s", k.Kind, k.amount(k.Min, unit), k.amount(k.Max, unit))
	}
	return "write " + k.Kind.String()
}

func quoted(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = strconv.Quote(w)
	}
	return out
}

// reading is one pass over a source: what it takes to turn nodes into values.
type reading struct {
	*Source
	unit     measure.Unit
	problems Problems
	read     map[string]bool // paths that were asked for; tests look at it
}

// wrong notes a problem at n.
func (r *reading) wrong(n *node, path, what, want string) {
	start, end := n.start, n.end
	r.problems = append(r.problems, r.problemAt(start, end, path, what, want))
}

// wrongKey notes a problem at the key that names n.
func (r *reading) wrongKey(n *node, path, what, want string) {
	r.problems = append(r.problems, r.problemAt(n.keyStart, n.keyEnd, path, what, want))
}

// check holds the table n against the keys: unknown ones, missing ones, wrong
// kinds and values out of range are noted. schema is its path without list
// numbers, path with them.
func (r *reading) check(n *node, schema, path string) {
	var names []string
	for _, k := range children(schema) {
		names = append(names, k.name())
	}
	if schema == sizesPath {
		r.checkSizes(n, path)
		return
	}
	for _, name := range n.names {
		c := n.child[name]
		key, known := byPath()[join(schema, name)]
		here := join(path, name)
		if !known {
			r.wrongKey(c, here, "this key is not known", r.suggest(name, schema, names))
			continue
		}
		switch key.Kind {
		case Table:
			if c.kind != tableNode {
				r.wrong(c, here, "expected a table, found "+c.describe(), fmt.Sprintf("write [%s] with its keys below it", key.Path))
				continue
			}
			r.check(c, key.Path, here)
		case Tables:
			r.checkList(c, key, here)
		default:
			if _, problem := r.value(key, c, here); problem != nil {
				r.problems = append(r.problems, *problem)
			}
		}
	}
	for _, key := range children(schema) {
		name := key.name()
		if key.Required && n.child[name] == nil {
			want := "write " + name + " = ... with " + key.Kind.String()
			switch key.Kind {
			case Table:
				want = "write [" + join(schema, name) + "] with its keys below it"
			case Tables:
				want = "write [[" + join(schema, name) + "]] at least once, with its keys below it"
			}
			start, end := n.start, n.end
			if n.keyEnd > 0 {
				start, end = n.keyStart, n.keyEnd
			}
			if n == r.root { // nowhere in particular: the end of the file
				start, end = len(r.text), len(r.text)
			}
			r.problems = append(r.problems, r.problemAt(start, end, join(path, name), "it is missing", want))
		}
	}
}

func (r *reading) checkList(c *node, key Key, here string) {
	if c.kind != listNode {
		r.wrong(c, here, "expected a list of tables, found "+c.describe(), fmt.Sprintf("write [[%s]] with two brackets, once for each", key.Path))
		return
	}
	for i, item := range c.item {
		at := fmt.Sprintf("%s[%d]", here, i+1)
		if item.kind != tableNode {
			r.wrong(item, at, "expected a table in braces, found "+item.describe(), "write { key = value, ... }")
			continue
		}
		r.check(item, key.Path, at)
	}
}

// suggest says what would be right instead of an unknown name: the nearest key
// of this table, else the place where a key of that very name belongs.
func (r *reading) suggest(name, schema string, names []string) string {
	if near := spelling.Nearest(name, names); near != "" {
		return "did you mean " + near + "?"
	}
	// Not here, then elsewhere: keys slip into the wrong table when a header is
	// left out.
	var all []string
	for _, k := range keys() {
		all = append(all, k.name())
	}
	if near := spelling.Nearest(name, all); near != "" {
		var homes []string
		for _, k := range keys() {
			if k.name() == near {
				homes = append(homes, "["+k.parent()+"]")
			}
		}
		switch {
		case slices.Contains(homes, "[]"):
			return near + " belongs at the top of the file, above the first [table]"
		case len(homes) <= 3:
			return near + " belongs in " + orList(homes)
		}
	}
	if schema == "" {
		return "at the top stand " + orList(names)
	}
	return "[" + schema + "] knows " + orList(names)
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// describe says what a node is, for "found ...".
func (n *node) describe() string {
	switch n.kind {
	case tableNode, listNode, timeNode:
		return n.kind.String()
	case textNode:
		if len(n.text) > 40 {
			return "a long text"
		}
		return "the text " + strconv.Quote(n.text)
	}
	return n.text
}

// value reads what n holds as the key's kind wants it: string, []string, int,
// []int, float64, []float64, bool or [][]float64. The node may be wrong in
// any way; then it returns the problem.
func (r *reading) value(k Key, n *node, path string) (any, *Problem) {
	bad := func(n *node, what string) (any, *Problem) {
		// What measure and wood say often ends with what would be right.
		want := k.allowed(r.unit)
		if is, right, ok := strings.Cut(what, "; "); ok {
			what, want = is, right
		}
		p := r.problemAt(n.start, n.end, path, what, want)
		return nil, &p
	}
	one := func(n *node) (any, *Problem) {
		v, what := r.scalar(k, n)
		if what != "" {
			return bad(n, what)
		}
		return v, nil
	}
	switch k.Kind {
	case Texts, Strips:
		if n.kind != listNode {
			return bad(n, "expected a list, found "+n.describe())
		}
		out := []string{}
		for _, item := range n.item {
			v, p := one(item)
			if p != nil {
				return nil, p
			}
			out = append(out, v.(string))
		}
		return out, nil
	case Wholes:
		if n.kind != listNode {
			return bad(n, "expected a list, found "+n.describe())
		}
		out := []int{}
		for _, item := range n.item {
			v, p := one(item)
			if p != nil {
				return nil, p
			}
			out = append(out, v.(int))
		}
		return out, nil
	case Numbers, Lengths, Point, Point3:
		if n.kind != listNode {
			return bad(n, "expected a list, found "+n.describe())
		}
		if want := map[Kind]int{Point: 2, Point3: 3}[k.Kind]; want > 0 && len(n.item) != want {
			return bad(n, fmt.Sprintf("expected %d lengths, found %d", want, len(n.item)))
		}
		out := []float64{}
		for _, item := range n.item {
			v, p := one(item)
			if p != nil {
				return nil, p
			}
			out = append(out, v.(float64))
		}
		return out, nil
	case Points:
		if n.kind != listNode {
			return bad(n, "expected a list, found "+n.describe())
		}
		out := [][2]float64{}
		for _, item := range n.item {
			if item.kind != listNode || len(item.item) != 2 {
				return bad(item, "expected a pair [x, y], found "+item.describe())
			}
			x, p := one(item.item[0])
			if p != nil {
				return nil, p
			}
			y, p := one(item.item[1])
			if p != nil {
				return nil, p
			}
			out = append(out, [2]float64{x.(float64), y.(float64)})
		}
		return out, nil
	}
	return one(n)
}

var colourShape = regexp.MustCompile(`^#[0-9a-fA-F]{6}$`)

// scalar reads one value of the key's kind: string, int, float64 or bool.
// what says what is wrong with it, if anything.
func (r *reading) scalar(k Key, n *node) (v any, what string) {
	isNumber := n.kind == wholeNode || n.kind == numberNode
	var x float64
	switch k.Kind {
	case Text, Texts:
		if n.kind != textNode {
			return nil, "expected a text in quotes, found " + n.describe()
		}
		return n.text, ""
	case Choice:
		if n.kind != textNode {
			return nil, "expected a text in quotes, found " + n.describe()
		}
		if !slices.Contains(k.Choices, n.text) {
			what = fmt.Sprintf("%q is not one of the choices", clip(n.text))
			if near := spelling.Nearest(n.text, k.Choices); near != "" {
				what += fmt.Sprintf(" (did you mean %q?)", near)
			}
			return nil, what
		}
		return n.text, ""
	case Wood:
		if n.kind != textNode {
			return nil, "expected the name of a wood in quotes, found " + n.describe()
		}
		species, err := wood.Find(n.text)
		if err != nil {
			return nil, strings.TrimPrefix(err.Error(), "wood: ")
		}
		return species.Key, ""
	case Colour:
		if n.kind != textNode || !colourShape.MatchString(n.text) {
			return nil, "expected a colour, found " + n.describe()
		}
		return strings.ToLower(n.text), ""
	case Strip, Strips:
		switch n.kind {
		case textNode:
			return n.text, ""
		case wholeNode:
			return n.text, ""
		}
		return nil, "expected the name or number of a strip, found " + n.describe()
	case Flag:
		if n.kind != flagNode {
			return nil, "expected true or false, found " + n.describe()
		}
		return n.text == "true", ""
	case Length, Lengths, Point, Point3, Points:
		if !isNumber && n.kind != textNode {
			return nil, "expected a length, found " + n.describe()
		}
		l, err := measure.ParseLength(plainNumber(n), r.unit)
		if err != nil {
			return nil, err.Error()
		}
		x = l.Mm()
	case Angle:
		if !isNumber && n.kind != textNode {
			return nil, "expected an angle, found " + n.describe()
		}
		a, err := measure.ParseAngle(plainNumber(n))
		if err != nil {
			return nil, err.Error()
		}
		x = a.Radians()
	case Mass:
		if !isNumber && n.kind != textNode {
			return nil, "expected a mass, found " + n.describe()
		}
		m, err := measure.ParseMass(plainNumber(n))
		if err != nil {
			return nil, err.Error()
		}
		x = m.Grams()
	case Force:
		if !isNumber && n.kind != textNode {
			return nil, "expected a force, found " + n.describe()
		}
		f, err := measure.ParseForce(plainNumber(n))
		if err != nil {
			return nil, err.Error()
		}
		x = f.Newtons()
	case Whole, Wholes:
		if n.kind != wholeNode {
			return nil, "expected a whole number, found " + n.describe()
		}
		i, err := strconv.ParseInt(strings.ReplaceAll(n.text, "_", ""), 0, 32)
		if err != nil {
			return nil, fmt.Sprintf("the whole number %s is too large or not written in tens", clip(n.text))
		}
		if what := k.limit(float64(i), r.unit); what != "" {
			return nil, what
		}
		return int(i), ""
	case Number, Numbers:
		if !isNumber {
			return nil, "expected a number, found " + n.describe()
		}
		f, err := strconv.ParseFloat(plainNumber(n), 64)
		if err != nil || math.IsNaN(f) || math.IsInf(f, 0) {
			return nil, fmt.Sprintf("%s is not an ordinary number", clip(n.text))
		}
		x = f
	default:
		panic("project: no reading for kind " + k.Kind.String())
	}
	if what := k.limit(x, r.unit); what != "" {
		return nil, what
	}
	return x, ""
}

// plainNumber is the number as a maker would write it on paper: TOML allows
// underscores between digits, hexadecimals and exponents.
func plainNumber(n *node) string {
	if n.kind == textNode {
		return n.text
	}
	text := strings.ReplaceAll(n.text, "_", "")
	if n.kind == wholeNode {
		if i, err := strconv.ParseInt(text, 0, 64); err == nil {
			return strconv.FormatInt(i, 10)
		}
		return text
	}
	if f, err := strconv.ParseFloat(text, 64); err == nil && strings.ContainsAny(text, "eE") {
		return strconv.FormatFloat(f, 'f', -1, 64)
	}
	return text
}

// limit says how x breaks the key's limits, if it does.
func (k Key) limit(x float64, unit measure.Unit) string {
	switch {
	case k.Min == 0 && k.Max == 0:
	case k.Open && k.Min == 0 && x <= 0:
		return "it is " + k.amount(x, unit)
	case k.Open && x <= k.Min:
		return fmt.Sprintf("%s is not more than %s", k.amount(x, unit), k.amount(k.Min, unit))
	case x < k.Min:
		return fmt.Sprintf("%s is less than %s", k.amount(x, unit), k.amount(k.Min, unit))
	case x > k.Max:
		return fmt.Sprintf("%s is more than %s", k.amount(x, unit), k.amount(k.Max, unit))
	}
	return ""
}

func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

// A table is a cursor on one table of the project while it is turned into
// values. Its methods read a key's value, or its default where the text does
// not give it. They are called only after check has passed, so they cannot
// meet a bad value; asking for a key that Keys does not list is a mistake of
// the program and panics.
type table struct {
	r      *reading
	n      *node // nil where the text has no such table
	path   string
	schema string
}

func (t table) key(name string, kinds ...Kind) Key {
	k, ok := byPath()[join(t.schema, name)]
	if !ok || !slices.Contains(kinds, k.Kind) {
		panic("project: no such key: " + join(t.schema, name))
	}
	t.r.read[k.Path] = true
	return k
}

// has tells whether the text itself gives the key.
func (t table) has(name string) bool { return t.n != nil && t.n.child[name] != nil }

// at is the key's path with list numbers, for messages.
func (t table) at(name string) string { return join(t.path, name) }

// wrong notes a problem at the key, or at its table when it is not written.
func (t table) wrong(name, what, want string) {
	t.r.problems = append(t.r.problems, t.r.Problem(t.at(name), what, want))
}

func (t table) get(k Key) any {
	if c := t.n; c != nil {
		if c = c.child[k.name()]; c != nil {
			v, p := t.r.value(k, c, t.at(k.name()))
			if p != nil {
				panic("project: read before check: " + p.Error())
			}
			return v
		}
	}
	if k.Default == "" {
		return nil
	}
	return k.defaultValue()
}

// defaultValue reads Default; that all of them can be read is tested.
func (k Key) defaultValue() any {
	s, err := ReadSource("default", []byte("v = "+k.Default))
	if err != nil {
		panic("project: default of " + k.Path + ": " + err.Error())
	}
	r := reading{Source: s}
	v, p := r.value(k, s.root.child["v"], k.Path)
	if p != nil {
		panic("project: default of " + k.Path + ": " + p.Error())
	}
	return v
}

// fill puts the values of keys into the fields given, name by name:
//
//	t.fill("at", &f.At, "length", &f.Length)
//
// A field keeps what it holds where the text gives nothing and the key has no
// default.
func (t table) fill(pairs ...any) {
	for i := 0; i < len(pairs); i += 2 {
		name := pairs[i].(string)
		switch dst := pairs[i+1].(type) {
		case *float64:
			if v, ok := t.get(t.key(name, Number, Length, Angle, Mass, Force)).(float64); ok {
				*dst = v
			}
		case *int:
			if v, ok := t.get(t.key(name, Whole)).(int); ok {
				*dst = v
			}
		case *bool:
			if v, ok := t.get(t.key(name, Flag)).(bool); ok {
				*dst = v
			}
		case *[]float64:
			if v, ok := t.get(t.key(name, Numbers, Lengths)).([]float64); ok {
				*dst = v
			}
		case *[]int:
			if v, ok := t.get(t.key(name, Wholes)).([]int); ok {
				*dst = v
			}
		case *[]string:
			if v, ok := t.get(t.key(name, Texts)).([]string); ok {
				*dst = v
			}
		case *geom.Point:
			if v, ok := t.get(t.key(name, Point)).([]float64); ok {
				*dst = geom.Pt(v[0], v[1])
			}
		case *geom.Point3:
			if v, ok := t.get(t.key(name, Point3)).([]float64); ok {
				*dst = geom.Point3{X: v[0], Y: v[1], Z: v[2]}
			}
		case *geom.Polygon:
			if v, ok := t.get(t.key(name, Points)).([][2]float64); ok {
				*dst = nil
				for _, p := range v {
					*dst = append(*dst, geom.Pt(p[0], p[1]))
				}
			}
		default: // *string and the engines' own kinds of text
			if v, ok := t.get(t.key(name, Text, Choice, Wood, Colour)).(string); ok {
				reflect.ValueOf(dst).Elem().SetString(v)
			}
		}
	}
}

func (t table) text(name string) string {
	s, _ := t.get(t.key(name, Text, Choice, Wood, Colour, Strip)).(string)
	return s
}

func (t table) texts(name string) []string {
	s, _ := t.get(t.key(name, Texts, Strips)).([]string)
	return s
}

func (t table) whole(name string) int {
	i, _ := t.get(t.key(name, Whole)).(int)
	return i
}

// number reads lengths in mm, angles in radians, masses in grams, forces in newtons.
func (t table) number(name string) float64 {
	x, _ := t.get(t.key(name, Number, Length, Angle, Mass, Force)).(float64)
	return x
}

func (t table) numbers(name string) []float64 {
	x, _ := t.get(t.key(name, Numbers, Lengths, Point, Point3)).([]float64)
	return x
}

func (t table) points(name string) [][2]float64 {
	x, _ := t.get(t.key(name, Points)).([][2]float64)
	return x
}

// sub is the table of that name, empty where the text has none.
func (t table) sub(name string) table {
	k := t.key(name, Table)
	out := table{r: t.r, path: t.at(name), schema: k.Path}
	if t.has(name) {
		out.n = t.n.child[name]
	}
	return out
}

// list is the tables of that name.
func (t table) list(name string) []table {
	k := t.key(name, Tables)
	var out []table
	if !t.has(name) {
		return nil
	}
	for i, n := range t.n.child[name].item {
		out = append(out, table{r: t.r, n: n, path: fmt.Sprintf("%s[%d]", t.at(name), i+1), schema: k.Path})
	}
	return out
}
