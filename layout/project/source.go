package project

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// Source is the text of a project file together with the place of everything
// in it. The text is the only truth: to change a value is to change its bytes
// (see Set), so a maker's comments and order survive.
//
// Paths name values the way the messages do, tables parted by points, the
// members of a list counted from 1:
//
//	scale.length    slab.strip[2].piece[1].wood    slab.plan.stations[3][1]
type Source struct {
	Name string // file name, for messages
	text []byte
	mark bool // a byte order mark stands before the text, as some editors put it
	root *node
}

// largest is the largest project file read; those of makers have a few
// kilobytes.
const largest = 4 << 20

// ReadSource takes TOML text apart. The error, if any, is a Problem.
func ReadSource(name string, text []byte) (*Source, error) {
	s := &Source{Name: name}
	text, s.mark = bytes.CutPrefix(text, []byte(byteOrderMark))
	s.text = slices.Clone(text)
	if len(text) > largest {
		return nil, Problem{File: name, Line: 1, Col: 1, What: "the file has more than 4 MB", Want: "a project file has a few kilobytes: is this the right file?"}
	}
	if at := firstBadRune(s.text); at >= 0 {
		return nil, s.problemAt(at, at+1, "", "the text is not UTF-8", "save the file as UTF-8 in the editor")
	}
	// The library's own reading is the judge of what is TOML (duplicate keys,
	// tables defined twice, numbers out of range ...); the tree is built from
	// what it has accepted.
	var all map[string]any
	if err := toml.Unmarshal(s.text, &all); err != nil {
		return nil, s.syntaxProblem(err)
	}
	if err := s.build(); err != nil {
		return nil, s.syntaxProblem(err)
	}
	return s, nil
}

const byteOrderMark = "\uFEFF"

// Bytes is a copy of the text as it stands, with its byte order mark if it has
// one.
func (s *Source) Bytes() []byte {
	if s.mark {
		return slices.Concat([]byte(byteOrderMark), s.text)
	}
	return slices.Clone(s.text)
}

func firstBadRune(b []byte) int {
	for i := 0; i < len(b); {
		r, n := utf8.DecodeRune(b[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return -1
}

func (s *Source) syntaxProblem(err error) Problem {
	what := strings.TrimPrefix(err.Error(), "toml: ")
	start, key := 0, ""
	var de *toml.DecodeError
	if errors.As(err, &de) {
		line, col := de.Position()
		start = s.offset(line, col)
		key = strings.Join(de.Key(), ".")
	}
	return s.problemAt(start, start+1, key, "not TOML here: "+what, "check the quotes, brackets and equals signs here")
}

// offset is the byte at a line and a column counted in bytes, both from 1.
func (s *Source) offset(line, col int) int {
	at := 0
	for ; line > 1; line-- {
		i := slices.Index(s.text[at:], '\n')
		if i < 0 {
			break
		}
		at += i + 1
	}
	return min(at+max(col-1, 0), len(s.text))
}

// A node is one value, list or table with its place in the text.
type node struct {
	kind       nodeKind
	start, end int // bytes of the value; of a table, its header or braces
	keyStart   int // bytes of the last part of the key that names it;
	keyEnd     int // both 0 for members of a list and tables nobody wrote
	text       string

	names []string // of a table, in the order of the text
	child map[string]*node
	item  []*node // of a list

	inline bool   // a table in braces, or a list in brackets
	anchor int    // of a table: where a line may be put in; -1 = nowhere
	indent string // what stands before its keys on a line ...
	prefix string // ... and the dotted part that they begin with
}

type nodeKind int

const (
	tableNode nodeKind = iota
	listNode
	textNode
	wholeNode
	numberNode
	flagNode
	timeNode
)

func (k nodeKind) String() string {
	return [...]string{"a table", "a list", "a text", "a whole number", "a number", "true or false", "a date or time"}[k]
}

func newTable() *node { return &node{kind: tableNode, child: map[string]*node{}, anchor: -1} }

func (n *node) add(name string, c *node) {
	if _, known := n.child[name]; !known {
		n.names = append(n.names, name)
	}
	n.child[name] = c
}

// build makes the tree from text that the library has accepted.
func (s *Source) build() error {
	s.root = newTable()
	s.root.anchor = 0
	section := s.root
	var p unstable.Parser
	p.Reset(s.text)
	for p.NextExpression() {
		e := p.Expression()
		var parts []part
		for it := e.Key(); it.Next(); {
			k := it.Node()
			parts = append(parts, part{string(k.Data), int(k.Raw.Offset), int(k.Raw.Offset + k.Raw.Length)})
		}
		last := parts[len(parts)-1]
		switch e.Kind {
		case unstable.KeyValue:
			s.keyValue(section, e, parts)
		case unstable.Table, unstable.ArrayTable:
			section = s.header(parts, e.Kind == unstable.ArrayTable)
			section.keyStart, section.keyEnd = last.start, last.end
			section.start, section.end = s.headerSpan(parts[0].start, last.end)
			section.anchor = s.lineEnd(section.end)
		}
	}
	return p.Error()
}

// A part of a dotted key.
type part struct {
	name       string
	start, end int
}

// headerSpan widens the bytes of a header's key to its brackets.
func (s *Source) headerSpan(start, end int) (int, int) {
	for start > 0 && (s.text[start-1] == '[' || s.text[start-1] == ' ' || s.text[start-1] == '\t') && s.text[start] != '\n' {
		start--
	}
	for s.text[start] != '[' {
		start++
	}
	for end < len(s.text) && s.text[end] != ']' {
		end++
	}
	for end < len(s.text) && s.text[end] == ']' {
		end++
	}
	return start, end
}

// lineEnd is the offset behind the line break that follows at.
func (s *Source) lineEnd(at int) int {
	if i := slices.Index(s.text[at:], '\n'); i >= 0 {
		return at + i + 1
	}
	return len(s.text)
}

// header finds or makes the table of a [header] or the next one of a
// [[header]].
func (s *Source) header(parts []part, list bool) *node {
	t := s.root
	for i, p := range parts {
		last := i == len(parts)-1
		next := t.child[p.name]
		switch {
		case last && list:
			if next == nil {
				next = &node{kind: listNode, anchor: -1, keyStart: p.start, keyEnd: p.end}
				next.start, next.end = s.headerSpan(parts[0].start, p.end)
				t.add(p.name, next)
			}
			item := newTable()
			next.item = append(next.item, item)
			return item
		case next == nil:
			next = newTable()
			next.keyStart, next.keyEnd = p.start, p.end
			next.start, next.end = s.headerSpan(parts[0].start, parts[len(parts)-1].end)
			t.add(p.name, next)
		case next.kind == listNode: // [list.table]: it belongs to the last member
			next = next.item[len(next.item)-1]
		}
		t = next
	}
	return t
}

// keyValue puts one "a.b.c = value" into the table it stands in.
func (s *Source) keyValue(t *node, e *unstable.Node, parts []part) {
	start := parts[0].start
	after := s.lineEnd(int(e.Raw.Offset + e.Raw.Length))
	lineStart := start
	for lineStart > 0 && s.text[lineStart-1] != '\n' {
		lineStart--
	}
	indent := string(s.text[lineStart:start])
	if !t.inline {
		t.anchor, t.indent = after, indent
	}
	inline := t.inline
	for i, p := range parts[:len(parts)-1] {
		next := t.child[p.name]
		if next == nil {
			next = newTable()
			next.keyStart, next.keyEnd = p.start, p.end
			next.start, next.end = p.start, p.end
			t.add(p.name, next)
		}
		if !inline {
			next.anchor, next.indent = after, indent
			next.prefix = string(s.text[start:parts[i+1].start])
		}
		t = next
	}
	last := parts[len(parts)-1]
	at := s.skip(last.end, " \t")
	at = s.skip(at+1, " \t") // behind the equals sign
	v := s.value(e.Value(), at)
	v.keyStart, v.keyEnd = last.start, last.end
	t.add(last.name, v)
}

// skip moves over any of the given characters.
func (s *Source) skip(at int, of string) int {
	for at < len(s.text) && strings.IndexByte(of, s.text[at]) >= 0 {
		at++
	}
	return at
}

// skipFiller moves over what may stand between the members of a list or an
// inline table: blanks, line breaks, commas and comments.
func (s *Source) skipFiller(at int) int {
	for {
		at = s.skip(at, " \t\r\n,")
		if at >= len(s.text) || s.text[at] != '#' {
			return at
		}
		at = s.lineEnd(at)
	}
}

// value makes the node of the value that begins at the byte at.
func (s *Source) value(v *unstable.Node, at int) *node {
	n := &node{start: at, anchor: -1}
	switch v.Kind {
	case unstable.Array:
		n.kind, n.inline = listNode, true
		at++
		for it := v.Children(); it.Next(); {
			member := s.value(it.Node(), s.skipFiller(at))
			n.item = append(n.item, member)
			at = member.end
		}
		n.end = s.skipFiller(at) + 1
		return n
	case unstable.InlineTable:
		n.kind, n.inline, n.child = tableNode, true, map[string]*node{}
		at++
		for it := v.Children(); it.Next(); {
			kv := it.Node()
			var parts []part
			for k := kv.Key(); k.Next(); {
				r := k.Node().Raw
				parts = append(parts, part{string(k.Node().Data), int(r.Offset), int(r.Offset + r.Length)})
			}
			s.keyValue(n, kv, parts)
			at = int(kv.Raw.Offset + kv.Raw.Length)
		}
		n.end = s.skipFiller(at) + 1
		return n
	case unstable.String:
		n.kind = textNode
	case unstable.Integer:
		n.kind = wholeNode
	case unstable.Float:
		n.kind = numberNode
	case unstable.Bool:
		n.kind = flagNode
	default:
		n.kind = timeNode
	}
	n.text = string(v.Data)
	n.end = int(v.Raw.Offset + v.Raw.Length)
	return n
}

// step is one step of a path: a name, or a member of a list counted from 1.
type step struct {
	name   string
	number int
}

// parsePath takes "slab.strip[2].wood" apart. Names with points, brackets or
// quotes in them do not occur in projects and are refused.
func parsePath(path string) ([]step, error) {
	var steps []step
	for _, part := range strings.Split(path, ".") {
		name, rest, _ := strings.Cut(part, "[")
		if name == "" || strings.ContainsAny(name, "]\"'") {
			return nil, fmt.Errorf("path %q has an empty or quoted name", path)
		}
		steps = append(steps, step{name: name})
		if len(part) == len(name) {
			continue
		}
		for _, digits := range strings.Split(rest, "[") {
			inner, ok := strings.CutSuffix(digits, "]")
			n := 0
			for _, c := range inner {
				if c < '0' || c > '9' || n > 1e6 {
					n, ok = 0, false
					break
				}
				n = n*10 + int(c-'0')
			}
			if !ok || n < 1 {
				return nil, fmt.Errorf("path %q: members of a list are counted [1], [2], ...", path)
			}
			steps = append(steps, step{number: n})
		}
	}
	return steps, nil
}

func pathOf(steps []step) string {
	var b strings.Builder
	for _, st := range steps {
		if st.number > 0 {
			fmt.Fprintf(&b, "[%d]", st.number)
			continue
		}
		if b.Len() > 0 {
			b.WriteByte('.')
		}
		b.WriteString(st.name)
	}
	return b.String()
}

// withoutNumbers is the path of the key that a value belongs to.
func withoutNumbers(path string) string {
	steps, err := parsePath(path)
	if err != nil {
		return path
	}
	return pathOf(slices.DeleteFunc(steps, func(st step) bool { return st.number > 0 }))
}

// next follows one step; nil when there is nothing.
func (n *node) next(st step) *node {
	switch {
	case st.number > 0 && n.kind == listNode && st.number <= len(n.item):
		return n.item[st.number-1]
	case st.number == 0 && n.kind == tableNode:
		return n.child[st.name]
	}
	return nil
}

// find follows the path as far as the text goes, and tells how many steps
// that were.
func (s *Source) find(steps []step) (n *node, done int) {
	n = s.root
	for i, st := range steps {
		next := n.next(st)
		if next == nil {
			return n, i
		}
		n = next
	}
	return n, len(steps)
}

// Has tells whether the text gives the value or table at the path.
func (s *Source) Has(path string) bool {
	steps, err := parsePath(path)
	if err != nil {
		return false
	}
	_, done := s.find(steps)
	return done == len(steps)
}

// Problem makes a message about the value at the path. When the text does not
// give it, the message points at the nearest table or value around it.
func (s *Source) Problem(path, what, want string) Problem {
	steps, err := parsePath(path)
	if err != nil {
		return s.problemAt(0, 0, path, what, want)
	}
	n, done := s.find(steps)
	start, end := n.start, n.end
	if done < len(steps) && n.kind == tableNode && n.keyEnd > 0 {
		start, end = n.keyStart, n.keyEnd
	}
	return s.problemAt(start, end, path, what, want)
}
