package project

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"slabwright/layout/place"
)

func TestSetChangesOnlyItsBytes(t *testing.T) {
	for _, c := range []struct {
		name, text, path string
		value            any
		want             string
	}{
		{"a value gives way, its remark stays",
			"[placement]\nx = 803.5 # from the datum end\ny = 0\n", "placement.x", 811.25,
			"[placement]\nx = 811.25 # from the datum end\ny = 0\n"},
		{"a text gives way to a number",
			"a = \"25 1/2 in\"\n", "a", 648.0,
			"a = 648\n"},
		{"a list over several lines",
			"a = [\n  1, # one\n  2\n]\nb = 1\n", "a", []float64{3, 4.5},
			"a = [3, 4.5]\nb = 1\n"},
		{"a member of a list",
			"s = [[0, 182], [420, 202]] # stations\n", "s[2][2]", 205.5,
			"s = [[0, 182], [420, 205.5]] # stations\n"},
		{"a new key goes behind the last of its table",
			"[a]\nb = 1 # one\n\n# next\n[c]\nd = 2\n", "a.e", true,
			"[a]\nb = 1 # one\ne = true\n\n# next\n[c]\nd = 2\n"},
		{"... and keeps the indent",
			"[a]\n\tb = 1\n[c]\n", "a.e", "x",
			"[a]\n\tb = 1\n\te = \"x\"\n[c]\n"},
		{"... also behind a bare header",
			"[a]\n[c]\nd = 1\n", "a.e", 1,
			"[a]\ne = 1\n[c]\nd = 1\n"},
		{"... also at the end of a text without a line break",
			"[a]\nb = 1", "a.e", 2,
			"[a]\nb = 1\ne = 2\n"},
		{"a new key among dotted ones",
			"a.b.c = 1\nd = 2\n", "a.b.e", 3,
			"a.b.c = 1\na.b.e = 3\nd = 2\n"},
		{"a new key at the top",
			"a = 1\n[b]\nc = 1\n", "d", 2,
			"a = 1\nd = 2\n[b]\nc = 1\n"},
		{"a new table goes to the end",
			"a = 1\n[b]\nc = 1\n", "placement.x", 1.5,
			"a = 1\n[b]\nc = 1\n\n[placement]\nx = 1.5\n"},
		{"... below one that stands already",
			"[b]\nc = 1\n[d]\n", "b.e.f", 1,
			"[b]\nc = 1\n[d]\n\n[b.e]\nf = 1\n"},
		{"a table that only its own tables have made",
			"[a.b]\nc = 1\n", "a.d", 1,
			"[a.b]\nc = 1\n\n[a]\nd = 1\n"},
		{"the second member of a list of tables",
			"[[a]]\nb = 1\n[[a]]\nb = 2\n[[a]]\nb = 3\n", "a[2].c", 9,
			"[[a]]\nb = 1\n[[a]]\nb = 2\nc = 9\n[[a]]\nb = 3\n"},
		{"a table inside a member of a list",
			"[[a]]\nb = 1\n[[a]]\nb = 2\n", "a[1].c.d", 9,
			"[[a]]\nb = 1\nc.d = 9\n[[a]]\nb = 2\n"},
		{"a table in braces",
			"p = [{ wood = \"ash\" }, { wood = \"oak\", x.y = 1 }]\n", "p[2].moisture", 8.5,
			"p = [{ wood = \"ash\" }, { wood = \"oak\", x.y = 1, moisture = 8.5 }]\n"},
		{"empty braces",
			"p = {}\n", "p.q", "r",
			"p = { q = \"r\" }\n"},
		{"line breaks of the other kind",
			"[a]\r\nb = 1\r\n", "c.d", 1,
			"[a]\r\nb = 1\r\n\r\n[c]\r\nd = 1\r\n"},
		{"... inside a table",
			"[a]\r\nb = 1\r\n[c]\r\n", "a.d", 1,
			"[a]\r\nb = 1\r\nd = 1\r\n[c]\r\n"},
		{"a byte order mark stays",
			"\uFEFFa = 1\r\n", "b", 2,
			"\uFEFFa = 1\r\nb = 2\r\n"},
		{"an empty text", "", "a.b", 1, "[a]\nb = 1\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := ReadSource("x", []byte(c.text))
			require.NoError(t, err)
			require.NoError(t, s.Set(c.path, c.value))
			assert.Equal(t, c.want, string(s.Bytes()))
		})
	}
}

func TestSetRefusesWhatCannotBe(t *testing.T) {
	for _, c := range []struct {
		text, path string
		value      any
		want       string
	}{
		{"a = 1\n", "a", math.NaN(), "a: it is not an ordinary number"},
		{"a = 1\n", "a", struct{}{}, "a: a struct {} cannot be written"},
		{"a = 1\n", "a.b", 1, "a.b: a is a whole number, not a table"},
		{"[a]\n", "a", 1, "a: it is a table, not a value"},
		{"[[a]]\n", "a", 1, "a: it is a table, not a value"},
		{"[[a]]\n", "a[2].b", 1, "a[2].b: a has no member 2"},
		{"a = [1]\n", "a[2]", 1, "a[2]: the list has no such member"},
		{"[[a]]\n", "b[1].c", 1, "b[1].c: a list it lies in does not exist"},
		{"a = 1\n", "a..b", 1, `path "a..b" has an empty or quoted name`},
		{"a = 1\n", "a[0]", 1, `path "a[0]": members of a list are counted [1], [2], ...`},
	} {
		s, err := ReadSource("x", []byte(c.text))
		require.NoError(t, err)
		assert.EqualError(t, s.Set(c.path, c.value), c.want)
		assert.Equal(t, c.text, string(s.Bytes()), "the text stays")
	}
}

// oneStretch fails when after differs from before outside [start, end).
func oneStretch(t require.TestingT, before, after string, start, end int) {
	require.Equal(t, before[:start], after[:start], "the bytes before the place")
	require.True(t, strings.HasSuffix(after, before[end:]), "the bytes behind the place")
}

// Whatever the text, a value that Set has accepted is read back, and all bytes
// around its place are what they were.
func FuzzSet(f *testing.F) {
	f.Add("a.b.c = 1\n[x]\ny.z = {p = [1,2], q.r = 3}\n[[l]]\nm = 2\n[[l]]\n[l.k]\no = 1", "l[1].k.v", 2.5)
	f.Add("[a]\r\nb = [\r\n1]\r\n", "a.b", 1e300)
	f.Add("a = {b = {c = 1}, }\n", "a.b.d", -0.0)
	f.Add("a = [{b=1}]\n# end", "a[1].b", 1e-7)
	f.Fuzz(func(t *testing.T, text, path string, value float64) {
		s, err := ReadSource("x", []byte(text))
		if err != nil {
			return
		}
		before := string(s.Bytes())
		steps, err := parsePath(path)
		if err != nil {
			return
		}
		encoded, err := encode(value)
		if err != nil {
			require.Error(t, s.Set(path, value))
			return
		}
		start, end, put, placed := s.edit(steps, encoded)
		if s.mark {
			start, end = start+len(byteOrderMark), end+len(byteOrderMark)
		}
		if err := s.Set(path, value); err != nil {
			require.Equal(t, before, string(s.Bytes()), "a refused value changes nothing")
			return
		}
		require.NoError(t, placed)
		after := string(s.Bytes())
		oneStretch(t, before, after, start, end)
		require.Equal(t, len(before)-(end-start)+len(put), len(after))
		n, done := s.find(steps)
		require.Equal(t, len(steps), done)
		r := reading{Source: s}
		got, problem := r.value(Key{Kind: Number}, n, path)
		require.Nil(t, problem)
		require.Equal(t, value+0, got.(float64)+0) // +0: TOML keeps no sign of 0
	})
}

// Every key of a valid project can be set, in both units, and gives the value
// back but for the last bit that decimals lose.
func TestSetGivesTheValueBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, err := Sample(rapid.SampledFrom(Samples()).Draw(t, "sample"))
		require.NoError(t, err)
		before := string(p.Source.Bytes())
		l := rapid.Float64Range(3, 30).Draw(t, "mm")
		require.NoError(t, p.Set("paper.margin", l))
		assert.InDelta(t, l, p.Paper.Margin, 1e-14)
		assert.NotEqual(t, before, string(p.Source.Bytes()))
		kerf := rapid.Float64Range(0, 5).Draw(t, "kerf")
		require.NoError(t, p.Set("need.kerf", kerf))
		assert.InDelta(t, kerf, p.Need.Kerf, 1e-15)
		angle := rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "angle")
		require.NoError(t, p.SetAll([]Change{{"wish.angle_from", angle}, {"wish.angle_to", angle + 1}}))
		assert.InDelta(t, angle, p.Wish.Angles[0], 1e-15)
	})
}

func TestSetPlacement(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, err := Sample(rapid.SampledFrom(Samples()).Draw(t, "sample"))
		require.NoError(t, err)
		require.Nil(t, p.Placement)
		before := string(p.Source.Bytes())
		want := place.Placement{
			X: rapid.Float64Range(0, 1800).Draw(t, "x"), Y: rapid.Float64Range(-200, 200).Draw(t, "y"),
			Angle:  rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "angle"),
			Height: rapid.Float64Range(0, 80).Draw(t, "height"),
			Pitch:  rapid.Float64Range(-0.1, 0.1).Draw(t, "pitch"), Roll: rapid.Float64Range(-0.1, 0.1).Draw(t, "roll"),
			Face: rapid.SampledFrom([]place.Face{place.Top, place.Bottom}).Draw(t, "face"),
		}
		require.NoError(t, p.SetPlacement(want))
		got := *p.Placement
		const mm, rad = 0.0006, 0.00006 * math.Pi / 180
		assert.InDelta(t, want.X, got.X, mm)
		assert.InDelta(t, want.Y, got.Y, mm)
		assert.InDelta(t, want.Height, got.Height, mm)
		assert.InDelta(t, want.Angle, got.Angle, rad)
		assert.InDelta(t, want.Pitch, got.Pitch, rad)
		assert.InDelta(t, want.Roll, got.Roll, rad)
		assert.Equal(t, want.Face, got.Face)
		assert.True(t, strings.HasPrefix(string(p.Source.Bytes()), before), "what stood there stands there still")
		// Once written it is a number of the file: writing it again is no change.
		once := string(p.Source.Bytes())
		require.NoError(t, p.SetPlacement(got))
		assert.Equal(t, once, string(p.Source.Bytes()))
	})
}

func TestAProjectThatWouldBreakStaysAsItWas(t *testing.T) {
	p := Demo()
	before := string(p.Source.Bytes())
	err := p.Set("slab.length", 12.0)
	require.ErrorContains(t, err, "slab.length: 12 mm is less than 100 mm")
	assert.Equal(t, before, string(p.Source.Bytes()))
	assert.Equal(t, 1700.0, p.Slab.Length)
	require.ErrorContains(t, p.Set("slab.lenght", 1500.0), "this key is not known")
	require.ErrorContains(t, p.Set("slab", 1500.0), "this key is not known")
	require.ErrorContains(t, p.Set("need.kerf", "wide"), "need.kerf")
	require.ErrorContains(t, p.Set("need.kerf", math.Inf(1)), "not an ordinary number")
}

func TestSaveIsWholeOrNotAtAll(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "panel.toml")
	text, err := shipped.ReadFile("demo.toml")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, text, 0o640))
	link := filepath.Join(dir, "link.toml")
	require.NoError(t, os.Symlink(path, link))

	p, err := Read(link)
	require.NoError(t, err)
	require.NoError(t, p.Set("name", "Other"))
	require.NoError(t, p.Save())
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink, "a link stays a link")
	info, err = os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm(), "the mode stays")
	now, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(string(text), "Hall panel", "Other", 1), string(now))
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, left, 2, "nothing is left lying about")

	require.NoError(t, os.WriteFile(path, append(now, "\n# by hand\n"...), 0o640))
	assert.ErrorContains(t, p.Save(), "changed on disk")
	require.NoError(t, p.SaveAs(filepath.Join(dir, "second.toml")))
	require.NoError(t, p.Save())
	assert.ErrorContains(t, Demo().Save(), "not read from a file")
	assert.Error(t, p.SaveAs(filepath.Join(dir, "no", "such.toml")))
}

func TestAppend(t *testing.T) {
	put := []Change{{"name", "a"}, {"n", 2.5}}
	for text, want := range map[string]string{
		"":                             "\n[[s.f]]\nname = \"a\"\nn = 2.5\n",
		"[s]\nb = 1":                   "[s]\nb = 1\n\n[[s.f]]\nname = \"a\"\nn = 2.5\n",
		"[[s.f]]\nn = 1 # one\n[c]\n":  "[[s.f]]\nn = 1 # one\n[c]\n\n[[s.f]]\nname = \"a\"\nn = 2.5\n",
		"[s]\r\nb = 1\r\n":             "[s]\r\nb = 1\r\n\r\n[[s.f]]\r\nname = \"a\"\r\nn = 2.5\r\n",
		"[s]\nf = [{ n = 1 }] # one\n": "[s]\nf = [{ n = 1 }, { name = \"a\", n = 2.5 }] # one\n",
		"[s]\nf = [{ n = 1 },\n]\n":    "[s]\nf = [{ n = 1 }, { name = \"a\", n = 2.5 },\n]\n",
		"[s]\nf = []\n":                "[s]\nf = [{ name = \"a\", n = 2.5 }]\n",
	} {
		s, err := ReadSource("p.toml", []byte(text))
		require.NoError(t, err, text)
		require.NoError(t, s.Append("s.f", put), text)
		assert.Equal(t, want, string(s.Bytes()))
	}
	for _, text := range []string{"[s]\nf = 1\n", "s = { b = 1 }\n", "[s.f]\n", "s = 1\n"} {
		s, err := ReadSource("p.toml", []byte(text))
		require.NoError(t, err, text)
		assert.Error(t, s.Append("s.f", put), text)
		assert.Equal(t, text, string(s.Bytes()))
	}
}

// Planned screws that are written into a project come back as they were, to a
// thousandth of a millimetre, are still at no fault, and are wood that an
// instrument may not have.
func TestAddFasteners(t *testing.T) {
	for _, name := range Samples() {
		p, err := Sample(name)
		require.NoError(t, err)
		before := string(p.Source.Bytes())
		plan := p.Slab.PlanFasteners(p.Shop.Screws, nil)
		require.NotEmpty(t, plan.Fasteners, name)
		old := len(p.Slab.Fasteners)
		require.NoError(t, p.AddFasteners(plan.Fasteners), name)
		assert.True(t, strings.HasPrefix(string(p.Source.Bytes()), before), "what stood there stands there")
		again, err := Parse(name, p.Source.Bytes(), nil)
		require.NoError(t, err)
		assert.Equal(t, p.Slab.Fasteners, again.Slab.Fasteners)
		require.Len(t, again.Slab.Fasteners, old+len(plan.Fasteners))
		for k, f := range again.Slab.Fasteners[old:] {
			w := plan.Fasteners[k]
			assert.Less(t, f.At.Distance(w.At), 0.001)
			assert.InDelta(t, w.Length, f.Length, 0.001)
			assert.InDelta(t, w.Head, f.Head, 0.001)
			assert.Equal(t, w.Direction, f.Direction)
			assert.Equal(t, w.Name, f.Name)
		}
		assert.Empty(t, again.Slab.CheckFasteners(again.Slab.Fasteners, again.Shop.Screws, nil), name)

		// A second plan keeps clear of the first, and no name is given twice.
		require.NoError(t, again.AddFasteners(plan.Fasteners[:1]))
		assert.Equal(t, plan.Fasteners[0].Name+" (2)", again.Slab.Fasteners[old+len(plan.Fasteners)].Name)

		// The body laid over a screw's hole fails by it, and did not before.
		over := func(p *Project) (hits int) {
			fit, err := place.NewCase(p.Slab, p.Body, p.Need, p.Wish)
			require.NoError(t, err)
			f := plan.Fasteners[len(plan.Fasteners)/2]
			mid := f.At.Add(f.Direction.Mul(f.Length / 2))
			for _, c := range fit.Check(place.Placement{X: mid.X, Y: mid.Y, Height: mid.Z + p.BodySpec.Thickness/2, Face: place.Top}).Checks {
				if !c.OK && strings.Contains(c.Message, f.Name) {
					hits++
				}
			}
			return hits
		}
		bare, err := Sample(name)
		require.NoError(t, err)
		assert.Zero(t, over(bare), name)
		assert.Positive(t, over(p), name)
	}
}
