package project

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// Problem is one thing wrong in a project file: where, what, and what would
// be right.
type Problem struct {
	File      string
	Line, Col int    // from 1; Col counts characters
	Key       string // path of the value, may be empty
	What      string // what is wrong
	Want      string // what would be right
	Text      string // the line of the file
	Width     int    // characters to underline from Col on
}

// Error tells the problem in three lines:
//
//	panel.toml:12: slab.length: -40 mm is less than 100 mm; write a length from 100 mm to 10000 mm
//	  12 | length = -40
//	     |          ^^^
func (p Problem) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s:%d: ", p.File, p.Line)
	if p.Key != "" {
		b.WriteString(p.Key + ": ")
	}
	b.WriteString(p.What)
	if p.Want != "" {
		b.WriteString("; " + p.Want)
	}
	if strings.TrimSpace(p.Text) == "" {
		return b.String()
	}
	number := fmt.Sprintf("%4d", p.Line)
	// A tab stays a tab under a tab, so the caret stands right however wide
	// the terminal draws it.
	var pad strings.Builder
	for i, r := range []rune(p.Text) {
		if i >= p.Col-1 {
			break
		}
		if r == '\t' {
			pad.WriteByte('\t')
		} else {
			pad.WriteByte(' ')
		}
	}
	fmt.Fprintf(&b, "\n%s | %s\n%s | %s%s", number, p.Text, strings.Repeat(" ", len(number)), pad.String(), strings.Repeat("^", max(p.Width, 1)))
	return b.String()
}

// problemAt makes the message about the bytes from start to end.
func (s *Source) problemAt(start, end int, key, what, want string) Problem {
	start = min(max(start, 0), len(s.text))
	if start == len(s.text) && start > 0 && s.text[start-1] == '\n' {
		start-- // the end of the file belongs to its last line
	}
	from := start
	for from > 0 && s.text[from-1] != '\n' {
		from--
	}
	line := string(s.text[from:s.lineEnd(start)])
	line = strings.TrimRight(line, "\r\n")
	end = min(max(end, start+1), from+len(line))
	p := Problem{
		File: s.Name, Key: key, What: what, Want: want,
		Line: 1 + strings.Count(string(s.text[:from]), "\n"),
		Text: line,
	}
	cut := min(start-from, len(line))
	p.Col = 1 + utf8.RuneCountInString(line[:cut])
	p.Width = max(1, utf8.RuneCountInString(line[cut:max(end-from, cut)]))
	return p
}

// Problems is all that is wrong in a file, sorted by place.
type Problems []Problem

// shown is how many problems one message tells; the rest is counted.
const shown = 8

// Error tells the first few.
func (ps Problems) Error() string {
	var b strings.Builder
	for i, p := range ps {
		if i == shown {
			fmt.Fprintf(&b, "\nand %d more in this file", len(ps)-shown)
			break
		}
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(p.Error())
	}
	return b.String()
}

// err is ps sorted, each problem once, or nil when there are none.
func (ps Problems) err() error {
	if len(ps) == 0 {
		return nil
	}
	ps = slices.Clone(ps)
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	return slices.CompactFunc(ps, func(a, b Problem) bool {
		return a.Line == b.Line && a.Key == b.Key && a.What == b.What
	})
}

// orList writes "a, b or c".
func orList(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}
