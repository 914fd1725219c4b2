package project

import (
	"embed"
	"fmt"
	"strings"

	"slabwright/body/outline"
	"slabwright/fret/measure"
	"slabwright/fret/measure/spelling"
)

// shipped holds the projects that come with the program: the demo and the
// bench, both of our own invention, and the values of the starter.
//
//go:embed demo.toml bench.toml starter.toml
var shipped embed.FS

// Samples are the names of the projects that come with the program.
func Samples() []string { return []string{"demo", "bench"} }

// Demo is the project that commands work on when none is named.
func Demo() *Project {
	p, err := Sample("demo")
	if err != nil {
		panic("project: the embedded demo is broken: " + err.Error()) // a test reads it
	}
	return p
}

// Sample reads a project that comes with the program.
func Sample(name string) (*Project, error) {
	for _, s := range Samples() {
		if s == name {
			text, err := shipped.ReadFile(name + ".toml")
			if err != nil {
				return nil, err
			}
			return Parse(name+".toml", text, nil)
		}
	}
	want := "there are " + orList(Samples())
	if near := spelling.Nearest(name, Samples()); near != "" {
		want = "did you mean " + near + "?"
	}
	return nil, fmt.Errorf("no sample is named %q; %s", clip(name), want)
}

// Starter is a project to begin with: a few values that make a valid project,
// and every key there is, explained, those with a default commented out.
func Starter() []byte {
	text, err := shipped.ReadFile("starter.toml")
	if err != nil {
		panic("project: the embedded starter is missing: " + err.Error())
	}
	s, err := ReadSource("starter.toml", text)
	if err != nil {
		panic("project: the embedded starter is broken: " + err.Error()) // a test reads it
	}
	w := &starter{Source: s, shown: map[string]bool{}}
	w.remark("", `A slabwright project. A line that begins with # is a remark; one that begins with #: is a key with what holds when it is left out. Take the #: away to give your own value.`)
	w.remark("#\n", `A length is a number in the project's unit, or a text with its own: "648 mm", "64.8 cm", "25.5 in", "25 1/2 in", "1 ft 3 in". An angle is a number of degrees or "30 deg". A mass is a number of kilograms or "120 g". A force is a number of newtons, "900 lbf" or "400 kgf".`)
	w.b.WriteByte('\n')
	w.given(s.root, "", false, true)
	w.remark("\n#\n#\n", "EVERYTHING ELSE that can be said. Take the #: from the header of a table, too. A table in double brackets may stand several times, and it belongs to the one of its parent that stands before it: put it there.")
	w.rest("")
	return []byte(w.b.String())
}

// starter prints the keys with the values of a source.
type starter struct {
	*Source
	b     strings.Builder
	shown map[string]bool // tables all of whose keys have been printed
}

// given prints the tables that the source gives, explained the first time.
// The keys that a table leaves out are printed, too, but not among the members
// of a list, which would become long.
func (w *starter) given(n *node, schema string, listed, first bool) {
	w.shown[schema] = w.shown[schema] || !listed
	for _, k := range children(schema) {
		if k.Kind == Table || k.Kind == Tables {
			continue
		}
		switch v := n.child[k.name()]; {
		case v != nil && first:
			w.remark("", k.words(measure.Millimetres))
			fallthrough
		case v != nil:
			fmt.Fprintf(&w.b, "%s = %s\n", k.name(), w.text[v.start:v.end])
		case !listed:
			w.absent(k)
		}
	}
	if schema == sizesPath {
		w.sizes(n)
	}
	for _, k := range children(schema) {
		v := n.child[k.name()]
		switch {
		case v == nil:
		case k.Kind == Table:
			w.remark("\n", k.Doc)
			fmt.Fprintf(&w.b, "[%s]\n", k.Path)
			w.given(v, k.Path, listed, first)
		case k.Kind == Tables:
			for i, item := range v.item {
				w.b.WriteByte('\n')
				if i == 0 && first {
					w.remark("", k.Doc)
				}
				fmt.Fprintf(&w.b, "[[%s]]\n", k.Path)
				w.given(item, k.Path, true, first && i == 0)
			}
		}
	}
}

// rest prints the tables under schema that given has not shown in full.
func (w *starter) rest(schema string) {
	for _, k := range children(schema) {
		if k.Kind != Table && k.Kind != Tables {
			continue
		}
		if !w.shown[k.Path] {
			w.remark("\n", k.words(measure.Millimetres))
			header := "[" + k.Path + "]"
			if k.Kind == Tables {
				header = "[" + header + "]"
			}
			w.b.WriteString("#: " + header + "\n")
			for _, c := range children(k.Path) {
				if c.Kind != Table && c.Kind != Tables {
					w.absent(c)
				}
			}
			if k.Path == sizesPath {
				w.sizes(newTable())
			}
		}
		w.rest(k.Path)
	}
}

// absent prints a key that is left out.
func (w *starter) absent(k Key) {
	w.remark("", k.words(measure.Millimetres))
	value := k.Default
	if value == "" {
		value = "(" + k.Kind.String() + ")"
	}
	fmt.Fprintf(&w.b, "#: %s = %s\n", k.name(), value)
}

// sizes prints the sizes of the default family.
func (w *starter) sizes(n *node) {
	f, err := outline.FamilyNamed(outline.Families()[0])
	if err != nil {
		panic("project: " + err.Error())
	}
	for _, s := range outline.Sizes(f) {
		w.remark("", fmt.Sprintf("%s of a %s. From %g to %g mm.", upper(s.Doc), f.Name(), s.Min, s.Max))
		if v := n.child[s.Name]; v != nil {
			fmt.Fprintf(&w.b, "%s = %s\n", s.Name, w.text[v.start:v.end])
			continue
		}
		fmt.Fprintf(&w.b, "#: %s = \"%g mm\"\n", s.Name, s.Default)
	}
}

// remark prints words as comment lines of at most 78 characters.
func (w *starter) remark(before, words string) {
	w.b.WriteString(before)
	line := "#"
	for _, word := range strings.Fields(words) {
		if len([]rune(line))+1+len([]rune(word)) > 78 {
			w.b.WriteString(line + "\n")
			line = "#"
		}
		line += " " + word
	}
	w.b.WriteString(line + "\n")
}

// words is the key's meaning with what it may hold.
func (k Key) words(unit measure.Unit) string {
	out := []string{k.Doc}
	switch {
	case len(k.Choices) > 0:
		out = append(out, upper(orList(quoted(k.Choices)))+".")
	case k.Open || k.Min == 0 && k.Max == 0 || k.Max >= far || k.Min == -k.Max:
		// The bound only catches slips of the pen; nobody needs to read it.
	default:
		out = append(out, fmt.Sprintf("From %s to %s.", k.amount(k.Min, unit), k.amount(k.Max, unit)))
	}
	if k.Absent != "" {
		out = append(out, "Left out: "+k.Absent+".")
	}
	return strings.Join(out, " ")
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
