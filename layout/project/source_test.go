package project

import (
	"strconv"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/fret/measure/spelling"
)

// plain turns the tree into what the library's own decoder makes of a file.
// Dates are left as text on both sides.
func (n *node) plain(t *testing.T) any {
	switch n.kind {
	case tableNode:
		m := map[string]any{}
		for name, c := range n.child {
			m[name] = c.plain(t)
		}
		return m
	case listNode:
		l := []any{}
		for _, c := range n.item {
			l = append(l, c.plain(t))
		}
		return l
	case textNode:
		return n.text
	case wholeNode:
		i, err := strconv.ParseInt(strings.ReplaceAll(n.text, "_", ""), 0, 64)
		require.NoError(t, err)
		return i
	case numberNode:
		f, err := strconv.ParseFloat(strings.ReplaceAll(n.text, "_", ""), 64)
		require.NoError(t, err)
		return strconv.FormatFloat(f, 'g', -1, 64)
	case flagNode:
		return n.text == "true"
	}
	return "a time"
}

func plainDecoded(v any) any {
	switch v := v.(type) {
	case map[string]any:
		m := map[string]any{}
		for k, c := range v {
			m[k] = plainDecoded(c)
		}
		return m
	case []any:
		l := []any{}
		for _, c := range v {
			l = append(l, plainDecoded(c))
		}
		return l
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case string, int64, bool:
		return v
	}
	return "a time"
}

// spots checks that the bytes of every value and key are those of itself: a
// value cut out and read alone is the same value.
func (s *Source) spots(t *testing.T, n *node, path string) {
	if n.keyEnd > 0 && n.kind != tableNode {
		var m map[string]any
		require.NoError(t, toml.Unmarshal([]byte(string(s.text[n.keyStart:n.keyEnd])+" = 1"), &m), path)
	}
	for name, c := range n.child {
		s.spots(t, c, join(path, name))
	}
	for i, c := range n.item {
		s.spots(t, c, path+"["+strconv.Itoa(i+1)+"]")
	}
	if n.kind == tableNode && !n.inline || n.kind == listNode && !n.inline {
		return
	}
	var m map[string]any
	require.NoError(t, toml.Unmarshal([]byte("v = "+string(s.text[n.start:n.end])), &m), "%s: %q", path, s.text[n.start:n.end])
	assert.Equal(t, plainDecoded(m["v"]), n.plain(t), path)
}

func TestTheTreeIsWhatTheLibraryReads(t *testing.T) {
	for name, text := range map[string]string{
		"tables": "a = 1\n[b]\nc = 2.5\n[b.d]\ne = 'x'\n[[f]]\ng = true\n[[f]]\n[f.h]\ni = []\n",
		"dotted": "a.b.c = 1\na.d = 2\n[x]\ny.z = 3\n[x.w]\nv = 4\n[p.q.r]\ns = 5\n[p]\nt = 6\n",
		"inline": "a = { b = 1, c.d = [1, 2, [3, 4], {e = 5}] , f = {} }\n",
		"spread": "a = [ # first\n  [1, # one\n   2], # two\n\n  # three\n  [3, 4,],\n]\nb = \"\"\"\nx]#\"\"\"\n",
		"quoted": "\"a b\" = 1\n'c.d' = 2\n[\"e]\"]\nf = \"]}#,\\\"\"\n",
		"crlf":   "a = 1\r\n[b]\r\nc = [1,\r\n 2]\r\n",
		"tabs":   "\ta\t=\t1\t# x\n[ b . c ]\n\td = 0x1F\n",
		"times":  "a = 2020-01-01\nb = 07:32:00\nc = 1979-05-27T07:32:00Z\n",
		"no end": "a = 1\n[b]\nc = 2",
		"mark":   "\uFEFFa = 1\n",
		"empty":  "",
	} {
		t.Run(name, func(t *testing.T) {
			var want map[string]any
			require.NoError(t, toml.Unmarshal([]byte(strings.TrimPrefix(text, "\uFEFF")), &want))
			if want == nil {
				want = map[string]any{}
			}
			s, err := ReadSource("x", []byte(text))
			require.NoError(t, err)
			assert.Equal(t, plainDecoded(want), s.root.plain(t))
			s.spots(t, s.root, "")
		})
	}
}

func FuzzSource(f *testing.F) {
	for _, name := range []string{"demo.toml", "bench.toml", "starter.toml"} {
		text, err := shipped.ReadFile(name)
		require.NoError(f, err)
		f.Add(string(text))
	}
	f.Add("a.b.c = 1\n[x]\ny.z = {p = [1,2], q.r = 3}\n[[l]]\nm = '''\n]'''\n[[l]]\n[l.k]\no = 1e3")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ReadSource("x", []byte(text))
		if err != nil {
			require.ErrorAs(t, err, &Problem{})
			return
		}
		var want map[string]any
		require.NoError(t, toml.Unmarshal([]byte(strings.TrimPrefix(text, "\uFEFF")), &want))
		if want == nil {
			want = map[string]any{}
		}
		require.Equal(t, plainDecoded(want), s.root.plain(t))
		s.spots(t, s.root, "")
	})
}

func TestPathsNameValues(t *testing.T) {
	s, err := ReadSource("x", []byte("a = [[1, 2], [3, 4]]\n[[b]]\nc = 1\n[[b]]\nc = { d = 2 }\n"))
	require.NoError(t, err)
	for path, has := range map[string]bool{
		"a": true, "a[2][1]": true, "a[3]": false, "a[0]": false, "a.b": false, "b[2].c.d": true, "b[1].c.d": false,
		"": false, "a[": false, "a[x]": false, "a[99999999999999999999]": false, "b[2]": true,
	} {
		assert.Equal(t, has, s.Has(path), path)
	}
}

func TestNearestWords(t *testing.T) {
	words := []string{"length", "thickness", "top_radius", "kerf"}
	for typed, want := range map[string]string{
		"lenght": "length", "Length": "length", "thicknes": "thickness", "topradius": "top_radius", "krf": "kerf",
		"colour": "", "": "", "x": "",
	} {
		assert.Equal(t, want, spelling.Nearest(typed, words), typed)
	}
}
