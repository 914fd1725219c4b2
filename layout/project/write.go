package project

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"slabwright/fret/measure"
	"slabwright/layout/place"
	"slabwright/layout/slab"
)

// Set writes a value into the text at a path and changes no other byte of it:
// where the value stands already its bytes are replaced; where its table
// stands, a line is put in behind the table's last one; where there is no such
// table, it is put at the end of the file. value is a string, a bool, an int,
// a float64, []string, []float64, or [][2]float64, in the units of the text.
//
// When Set returns an error the text is as it was.
func (s *Source) Set(path string, value any) error {
	steps, err := parsePath(path)
	if err != nil {
		return err
	}
	if steps[len(steps)-1].number > 0 {
		if _, done := s.find(steps); done < len(steps) {
			return fmt.Errorf("%s: the list has no such member", path)
		}
	}
	text, err := encode(value)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	at, end, put, err := s.edit(steps, text)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	changed := slices.Concat(s.text[:at], []byte(put), s.text[end:])
	again, err := ReadSource(s.Name, changed)
	if err != nil {
		return fmt.Errorf("%s: it cannot be written there: %w", path, err)
	}
	n, done := again.find(steps)
	if done < len(steps) || string(again.text[n.start:n.end]) != text {
		return fmt.Errorf("%s: it cannot be written there", path)
	}
	again.mark = s.mark
	*s = *again
	return nil
}

// edit says which bytes [at, end) give way to put.
func (s *Source) edit(steps []step, text string) (at, end int, put string, err error) {
	n, done := s.find(steps)
	if done == len(steps) {
		if n.kind == tableNode || n.kind == listNode && !n.inline {
			return 0, 0, "", errors.New("it is a table, not a value")
		}
		return n.start, n.end, text, nil
	}
	// Up to the deepest table that the text has, then by a dotted key.
	if n.kind == listNode && steps[done].number > 0 {
		return 0, 0, "", fmt.Errorf("%s has no member %d", pathOf(steps[:done]), steps[done].number)
	}
	if n.kind != tableNode {
		return 0, 0, "", fmt.Errorf("%s is %s, not a table", pathOf(steps[:done]), n.kind)
	}
	var rest []string
	for _, st := range steps[done:] {
		if st.number > 0 {
			return 0, 0, "", errors.New("a list it lies in does not exist")
		}
		rest = append(rest, bareKey(st.name))
	}
	line := strings.Join(rest, ".") + " = " + text
	inList := slices.ContainsFunc(steps, func(st step) bool { return st.number > 0 })
	eol := s.lineBreak()
	switch {
	case n.inline:
		at, put = s.insideBraces(n, line)
		return at, at, put, nil
	case n.anchor >= 0 && (len(rest) == 1 || inList):
		at, put = n.anchor, n.indent+n.prefix+line+eol
		if at > 0 && s.text[at-1] != '\n' { // the last line of the file has no break
			put = eol + put
		}
		return at, at, put, nil
	}
	// No table yet, or one that only a [table.below] has made: a new header.
	var names []string
	for _, st := range steps[:len(steps)-1] {
		names = append(names, bareKey(st.name))
	}
	at = len(s.text)
	put = "[" + strings.Join(names, ".") + "]" + eol + bareKey(steps[len(steps)-1].name) + " = " + text + eol
	if at > 0 {
		put = eol + put
		if s.text[at-1] != '\n' {
			put = eol + put
		}
	}
	return at, at, put, nil
}

// Append writes a new member behind those that the list of tables at path has
// and changes no other byte: into the brackets of a list within a line, or as
// a [[path]] of its own at the end of the text. The members of values are named
// within the new table.
//
// When Append returns an error the text is as it was.
func (s *Source) Append(path string, values []Change) error {
	steps, err := parsePath(path)
	if err != nil {
		return err
	}
	var lines []string
	for _, v := range values {
		text, err := encode(v.Value)
		if err != nil {
			return fmt.Errorf("%s.%s: %w", path, v.Path, err)
		}
		lines = append(lines, bareKey(v.Path)+" = "+text)
	}
	members := 0
	at, eol := len(s.text), s.lineBreak()
	put := eol + "[[" + path + "]]" + eol + strings.Join(lines, eol) + eol
	if at > 0 && s.text[at-1] != '\n' {
		put = eol + put
	}
	if n, done := s.find(steps); done == len(steps) {
		if n.kind != listNode {
			return fmt.Errorf("%s is %s, not a list of tables", path, n.kind)
		}
		members = len(n.item)
		if n.inline {
			put = "{ " + strings.Join(lines, ", ") + " }"
			at = n.start + 1
			if members > 0 {
				at = n.item[members-1].end
				put = ", " + put
			}
		}
	}
	again, err := ReadSource(s.Name, slices.Concat(s.text[:at], []byte(put), s.text[at:]))
	if err != nil {
		return fmt.Errorf("%s: it cannot be written there: %w", path, err)
	}
	if n, done := again.find(steps); done < len(steps) || len(n.item) != members+1 {
		return fmt.Errorf("%s: it cannot be written there", path)
	}
	again.mark = s.mark
	*s = *again
	return nil
}

// insideBraces is where and how a key goes into an inline table: behind its
// last one.
func (s *Source) insideBraces(n *node, line string) (int, string) {
	last := n.start + 1
	for _, c := range n.child {
		last = max(last, deepEnd(c))
	}
	if len(n.child) == 0 {
		return last, " " + line + " "
	}
	return last, ", " + line
}

// deepEnd is where the value ends that stands last under n; a table that
// dotted keys have made has no bytes of its own.
func deepEnd(n *node) int {
	end := n.end
	if n.kind == tableNode {
		for _, c := range n.child {
			end = max(end, deepEnd(c))
		}
	}
	return end
}

// lineBreak is the one that the text uses first.
func (s *Source) lineBreak() string {
	if i := bytes.IndexByte(s.text, '\n'); i > 0 && s.text[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

func bareKey(name string) string {
	for _, c := range name {
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '_' || c == '-') {
			return quote(name)
		}
	}
	return name
}

// encode writes a value as TOML.
func encode(value any) (string, error) {
	switch v := value.(type) {
	case string:
		return quote(v), nil
	case bool:
		return strconv.FormatBool(v), nil
	case int:
		return strconv.Itoa(v), nil
	case float64:
		return encodeNumber(v)
	case literal:
		return string(v), nil
	case []string:
		return encodeList(v, func(s string) (string, error) { return quote(s), nil })
	case []float64:
		return encodeList(v, encodeNumber)
	case [][2]float64:
		return encodeList(v, func(p [2]float64) (string, error) { return encodeList(p[:], encodeNumber) })
	case []literal:
		return encodeList(v, func(l literal) (string, error) { return string(l), nil })
	}
	return "", fmt.Errorf("a %T cannot be written", value)
}

// literal is text that is TOML already.
type literal string

func encodeList[T any](list []T, one func(T) (string, error)) (string, error) {
	var parts []string
	for _, v := range list {
		s, err := one(v)
		if err != nil {
			return "", err
		}
		parts = append(parts, s)
	}
	return "[" + strings.Join(parts, ", ") + "]", nil
}

// encodeNumber writes the shortest decimal that reads back as v. Whole numbers
// go without a point, as makers write them.
func encodeNumber(v float64) (string, error) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "", errors.New("it is not an ordinary number")
	}
	if v == 0 {
		return "0", nil
	}
	if v == math.Trunc(v) && math.Abs(v) < 1e15 {
		return strconv.FormatFloat(v, 'f', -1, 64), nil
	}
	s := strconv.FormatFloat(v, 'g', -1, 64)
	if !strings.ContainsAny(s, ".e") {
		s += ".0"
	}
	return s, nil
}

// quote writes a basic string of TOML.
func quote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range strings.ToValidUTF8(s, "\uFFFD") {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// Set writes a value into the project's text as Source.Set does, and reads the
// project anew from it. The value is as the engines have it: lengths and
// points in mm, angles in radians, masses in grams; lengths are written in the
// project's unit, angles in degrees. When the project would not be valid with
// it, p stays as it was and the error says why.
func (p *Project) Set(path string, value any) error { return p.SetAll([]Change{{path, value}}) }

// Change is one value for SetAll.
type Change struct {
	Path  string
	Value any
}

// SetAll is Set for several values that only together make a valid project.
func (p *Project) SetAll(changes []Change) error {
	s, err := ReadSource(p.Source.Name, p.Source.Bytes())
	if err != nil {
		return err
	}
	for _, c := range changes {
		v, err := p.written(c.Path, c.Value)
		if err != nil {
			return err
		}
		if err := s.Set(c.Path, v); err != nil {
			return err
		}
	}
	again, _, err := parse(s, p.files)
	if err != nil {
		return err
	}
	again.path, again.asRead = p.path, p.asRead
	*p = *again
	return nil
}

// written turns a value of the engines into what the text should hold.
func (p *Project) written(path string, value any) (any, error) {
	k, ok := keyOf(path)
	if !ok {
		return nil, fmt.Errorf("%s: this key is not known", path)
	}
	switch k.Kind {
	case Length, Lengths, Point, Point3, Points:
		switch v := value.(type) {
		case float64:
			return p.length(v)
		case []float64:
			return lengths(v, p.length)
		case [][2]float64:
			var out []literal
			for _, pair := range v {
				l, err := lengths(pair[:], p.length)
				if err != nil {
					return nil, err
				}
				text, _ := encode(l)
				out = append(out, literal(text))
			}
			return out, nil
		}
	case Angle:
		if v, ok := value.(float64); ok {
			return shortest(v*180/math.Pi, func(s string) bool {
				a, err := measure.ParseAngle(s)
				return err == nil && a.Radians() == v
			})
		}
	case Mass:
		if v, ok := value.(float64); ok {
			return shortest(v/1000, func(s string) bool {
				m, err := measure.ParseMass(s)
				return err == nil && m.Grams() == v
			})
		}
	case Force:
		if v, ok := value.(float64); ok {
			return shortest(v, func(s string) bool {
				f, err := measure.ParseForce(s)
				return err == nil && f.Newtons() == v
			})
		}
	}
	return value, nil
}

func lengths(v []float64, one func(float64) (literal, error)) ([]literal, error) {
	out := []literal{}
	for _, x := range v {
		l, err := one(x)
		if err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	return out, nil
}

// length writes mm as a bare number in the project's unit.
func (p *Project) length(mm float64) (literal, error) {
	return shortest(mm/p.Unit.Length().Mm(), func(s string) bool {
		l, err := measure.ParseLength(s, p.Unit)
		return err == nil && l.Mm() == mm
	})
}

// shortest is the decimal nearest to v with the fewest digits that reads back
// exactly, or else the one with all its digits.
func shortest(v float64, exact func(string) bool) (literal, error) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "", errors.New("it is not an ordinary number")
	}
	if v == 0 {
		return "0", nil
	}
	for digits := range 18 {
		s := strconv.FormatFloat(v, 'f', digits, 64)
		if exact(s) {
			return literal(s), nil
		}
	}
	return literal(strconv.FormatFloat(v, 'f', 17, 64)), nil
}

// keyOf is the key that a path with list numbers belongs to; of a path into a
// list of lengths, the list's key with the kind of its members.
func keyOf(path string) (Key, bool) {
	schema := withoutNumbers(path)
	if strings.HasPrefix(schema, sizesPath+".") {
		return Key{Path: schema, Kind: Length}, true
	}
	k, ok := byPath()[schema]
	return k, ok && k.Kind != Table && k.Kind != Tables
}

// AddFasteners writes fasteners into the text behind those that it has, and
// reads the project anew from it. Lengths are rounded as SetPlacement's are, so
// that what p.Slab has afterwards is what the file says. A name that another
// fastener has gets a number. When the project would not be valid with them, p
// stays as it was and the error says why.
func (p *Project) AddFasteners(list []slab.Fastener) error {
	s, err := ReadSource(p.Source.Name, p.Source.Bytes())
	if err != nil {
		return err
	}
	unit, grain := p.Unit.Length().Mm(), 1000.0
	if p.Unit == measure.Inches {
		grain = 100000
	}
	length := func(mm float64) literal { return rounded(mm/unit, grain) }
	taken := map[string]bool{}
	for _, f := range p.Slab.Fasteners {
		taken[f.Name] = true
	}
	for _, f := range list {
		name := f.Name
		for n := 2; name != "" && taken[name]; n++ {
			name = fmt.Sprintf("%s (%d)", f.Name, n)
		}
		taken[name] = true
		values := []Change{
			{"name", name}, {"kind", f.Kind},
			{"at", []literal{length(f.At.X), length(f.At.Y), length(f.At.Z)}},
			{"direction", []float64{f.Direction.X, f.Direction.Y, f.Direction.Z}},
			{"length", length(f.Length)}, {"shank", length(f.Shank)}, {"head", length(f.Head)}, {"pilot", length(f.Pilot)},
		}
		if f.PilotDepth > 0 {
			values = append(values, Change{"pilot_depth", length(f.PilotDepth)})
		}
		values = append(values, Change{"left_in", f.LeftIn})
		values = slices.DeleteFunc(values, func(v Change) bool { return v.Value == "" })
		if err := s.Append("slab.fastener", values); err != nil {
			return err
		}
	}
	again, _, err := parse(s, p.files)
	if err != nil {
		return err
	}
	again.path, again.asRead = p.path, p.asRead
	*p = *again
	return nil
}

// SetPlacement writes [placement]. Lengths are rounded to 0.001 mm (0.00001
// in), angles to 0.0001°, far below what a saw follows; p.Placement is the
// rounded one afterwards, so that a verdict on it is a verdict on the file.
func (p *Project) SetPlacement(l place.Placement) error {
	unit, grain := p.Unit.Length().Mm(), 1000.0
	if p.Unit == measure.Inches {
		grain = 100000
	}
	// The text is made here, because rounded inches are short only as inches.
	length := func(mm float64) literal { return rounded(mm/unit, grain) }
	angle := func(rad float64) literal { return rounded(rad*180/math.Pi, 10000) }
	changes := []Change{
		{"placement.x", length(l.X)}, {"placement.y", length(l.Y)}, {"placement.angle", angle(l.Angle)},
		{"placement.height", length(l.Height)}, {"placement.pitch", angle(l.Pitch)}, {"placement.roll", angle(l.Roll)},
		{"placement.face", string(l.Face)},
	}
	for _, v := range []float64{l.X, l.Y, l.Angle, l.Height, l.Pitch, l.Roll} {
		if math.IsNaN(v) || math.Abs(v) > far {
			return fmt.Errorf("placement: %g is not a place in a slab", v)
		}
	}
	return p.SetAll(changes)
}

func rounded(v, grain float64) literal {
	r := math.Round(v*grain) / grain
	if r == 0 {
		return "0"
	}
	return literal(strconv.FormatFloat(r, 'f', -1, 64))
}

// Save writes the text back to the file that Read read, whole or not at all,
// and keeps the file's mode. When the file is no longer what was read, someone
// else has changed it: Save leaves it alone and says so.
func (p *Project) Save() error {
	if p.path == "" {
		return errors.New("the project was not read from a file: save it under a name")
	}
	now, err := os.ReadFile(p.path)
	if err != nil {
		return fmt.Errorf("cannot save the project: %w", err)
	}
	if !bytes.Equal(now, p.asRead) {
		return fmt.Errorf("%s has been changed on disk since it was read: read it again, or save under another name", p.path)
	}
	return p.SaveAs(p.path)
}

// SaveAs writes the text to the file at path, whole or not at all. An existing
// file keeps its mode, a link stays a link. From then on it is p's file.
func (p *Project) SaveAs(path string) error {
	if err := writeWhole(path, p.Source.Bytes()); err != nil {
		return fmt.Errorf("cannot save the project: %w", err)
	}
	p.path, p.asRead = path, p.Source.Bytes()
	return nil
}

// writeWhole writes beside the file and renames, so that a reader sees the old
// bytes or the new ones and a full disk costs nothing.
func writeWhole(path string, data []byte) error {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	mode := os.FileMode(0o644)
	if info, err := os.Stat(path); err == nil {
		mode = info.Mode().Perm()
	}
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // after the rename there is nothing to remove
	_, err = f.Write(data)
	err = errors.Join(err, f.Chmod(mode), f.Sync(), f.Close())
	if err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
