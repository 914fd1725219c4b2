package web_test

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-chi/chi/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"slabwright/layout/project"
	"slabwright/web"
)

func demo() *web.Server {
	return web.New(web.Config{Read: func() (*project.Project, error) { return project.Demo(), nil }})
}

// ask sends one request to a server as a browser on this machine would.
func ask(t *testing.T, h http.Handler, method, target, body string, headers ...string) *http.Response {
	t.Helper()
	r := httptest.NewRequest(method, "http://127.0.0.1:8017"+target, strings.NewReader(body))
	if strings.HasPrefix(body, "{") {
		r.Header.Set("Content-Type", "application/json")
	} else if body != "" {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	for i := 0; i < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
		if headers[i] == "Host" {
			r.Host = headers[i+1]
		}
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w.Result()
}

func text(t *testing.T, r *http.Response) string {
	t.Helper()
	data, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	return string(data)
}

func decode[T any](t *testing.T, r *http.Response) (v T) {
	t.Helper()
	data := text(t, r)
	require.NoError(t, json.Unmarshal([]byte(data), &v), data)
	return v
}

type failure struct {
	Error struct{ Field, Message string }
}

type verdict struct {
	Placement struct {
		X      float64 `json:"x_mm"`
		Y      float64 `json:"y_mm"`
		Angle  float64 `json:"angle_deg"`
		Height float64 `json:"height_mm"`
		Face   string
	}
	Shown, Exact struct{ X, Y, Angle, Height, Pitch, Roll, Face string }
	OK           bool
	Checks       []struct {
		Name    string
		OK      bool
		Margin  *float64   `json:"margin_mm"`
		Need    *float64   `json:"need_mm"`
		At      *[]float64 `json:"at_mm"`
		Message string
	}
	Score struct {
		Total float64
		Terms []struct {
			Name   string
			Points float64
		}
	}
}

// find walks the tree for elements that are wanted.
func find(n *html.Node, want func(*html.Node) bool) (all []*html.Node) {
	if n.Type == html.ElementNode && want(n) {
		all = append(all, n)
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		all = append(all, find(c, want)...)
	}
	return all
}

func attr(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

func parsed(t *testing.T, r *http.Response) *html.Node {
	t.Helper()
	doc, err := html.Parse(r.Body)
	require.NoError(t, err)
	return doc
}

// Every route answers, and none answers to a method that it does not have.
func TestRoutes(t *testing.T) {
	h := demo().Handler()
	var routes []string
	require.NoError(t, chi.Walk(h.(chi.Routes), func(method, route string, _ http.Handler, _ ...func(http.Handler) http.Handler) error {
		routes = append(routes, method+" "+route)
		return nil
	}))
	hash := ""
	for i, r := range routes {
		if strings.Contains(r, "/assets/") {
			hash = strings.Split(r, "/")[2]
			routes[i] = "GET /assets/HASH/{name}"
		}
	}
	assert.ElementsMatch(t, []string{
		"GET /", "GET /frets", "GET /drawing.svg", "GET /side.svg", "GET /lie", "GET /planing.svg", "GET /weight", "GET /project.toml", "GET /assets/HASH/{name}",
		"POST /api/verdict", "POST /api/search", "POST /api/stop", "POST /api/save", "POST /api/print",
	}, routes)
	for _, r := range routes {
		method, path, _ := strings.Cut(r, " ")
		path = strings.NewReplacer("HASH", hash, "{name}", "style.css").Replace(path)
		if method == "GET" {
			assert.Equal(t, 200, ask(t, h, "GET", path, "").StatusCode, r)
			assert.Equal(t, 405, ask(t, h, "POST", path, "").StatusCode, r)
		} else {
			assert.Equal(t, 405, ask(t, h, "GET", path, "").StatusCode, "nothing happens on GET: %s", r)
		}
	}
	assert.Equal(t, 404, ask(t, h, "GET", "/nothing", "").StatusCode)
}

func TestOnlyThisMachineAndPage(t *testing.T) {
	h := demo().Handler()
	for _, c := range []struct {
		what    string
		status  int
		method  string
		headers []string
	}{
		{"as 127.0.0.1", 200, "GET", []string{"Host", "127.0.0.1:8017"}},
		{"as localhost", 200, "GET", []string{"Host", "localhost:8017"}},
		{"as [::1]", 200, "GET", []string{"Host", "[::1]:8017"}},
		{"without a port", 200, "GET", []string{"Host", "[::1]"}},
		{"a name that someone points to this machine", 403, "GET", []string{"Host", "hall.example"}},
		{"the same with its own origin", 403, "POST", []string{"Host", "hall.example", "Origin", "http://hall.example"}},
		{"a name that begins right", 403, "GET", []string{"Host", "127.0.0.1.hall.example"}},
		{"a network address", 403, "GET", []string{"Host", "192.168.1.4:8017"}},
		{"no host", 403, "GET", []string{"Host", ""}},
		{"another site's form", 403, "POST", []string{"Origin", "http://hall.example"}},
		{"another site's script", 403, "POST", []string{"Sec-Fetch-Site", "cross-site"}},
		{"this page", 200, "POST", []string{"Sec-Fetch-Site", "same-origin"}},
		{"this page in an older browser", 200, "POST", []string{"Origin", "http://127.0.0.1:8017"}},
	} {
		target, body := "/", ""
		if c.method == "POST" {
			target, body = "/api/stop", "{}"
		}
		r := ask(t, h, c.method, target, body, c.headers...)
		assert.Equal(t, c.status, r.StatusCode, c.what)
		assert.Contains(t, r.Header.Get("Content-Security-Policy"), "default-src 'none'", c.what)
	}
}

func TestOpenOnlyOnLoopback(t *testing.T) {
	for _, addr := range []string{"0.0.0.0:0", ":0", "192.168.1.4:0", "hall.example:0", "8017"} {
		err := demo().Open(addr)
		assert.Error(t, err, addr)
		assert.Contains(t, err.Error(), "127.0.0.1", "it says what would be right")
	}
}

func TestOpenServesAndCloses(t *testing.T) {
	s := demo()
	require.NoError(t, s.Open("127.0.0.1:0"))
	r, err := http.Get(s.URL())
	require.NoError(t, err)
	assert.Equal(t, 200, r.StatusCode)
	r.Body.Close()

	other := demo()
	addr := strings.Trim(strings.TrimPrefix(s.URL(), "http://"), "/")
	assert.ErrorContains(t, other.Open(addr), "another port")

	require.NoError(t, s.Close(context.Background()))
	_, err = http.Get(s.URL())
	assert.Error(t, err)
}

func TestPageStandsOnItsOwn(t *testing.T) {
	h := demo().Handler()
	doc := parsed(t, ask(t, h, "GET", "/", ""))
	for _, n := range find(doc, func(n *html.Node) bool { return attr(n, "src") != "" || n.Data == "link" || n.Data == "a" }) {
		address := attr(n, "src") + attr(n, "href")
		u, err := url.Parse(address)
		require.NoError(t, err)
		assert.Empty(t, u.Host, "%s leads off the page: %s", n.Data, address)
		if n.Data != "a" {
			assert.Equal(t, 200, ask(t, h, "GET", address, "").StatusCode, address)
		}
	}
	for _, n := range find(doc, func(n *html.Node) bool { return n.Data == "script" || n.Data == "style" }) {
		assert.Nil(t, n.FirstChild, "the policy lets no inline %s run", n.Data)
	}
	assert.Empty(t, find(doc, func(n *html.Node) bool { return attr(n, "style") != "" || attr(n, "onclick") != "" }))
}

// Every field, box and picture has a name for those who cannot see it, and no
// id stands twice.
func TestPageIsLabelled(t *testing.T) {
	doc := parsed(t, ask(t, demo().Handler(), "GET", "/", ""))
	labels := map[string]bool{}
	for _, n := range find(doc, func(n *html.Node) bool { return n.Data == "label" }) {
		labels[attr(n, "for")] = true
	}
	for _, n := range find(doc, func(n *html.Node) bool { return n.Data == "input" && attr(n, "type") != "hidden" }) {
		inside := n.Parent.Data == "label"
		assert.True(t, inside || labels[attr(n, "id")], "input %q has no label", attr(n, "name")+attr(n, "id"))
	}
	for _, n := range find(doc, func(n *html.Node) bool { return n.Data == "button" }) {
		assert.NotEmpty(t, attr(n, "aria-label")+strings.TrimSpace(words(n)), "a button says what it does")
	}
	seen := map[string]bool{}
	for _, n := range find(doc, func(n *html.Node) bool { return attr(n, "id") != "" }) {
		assert.False(t, seen[attr(n, "id")], "id %q stands twice", attr(n, "id"))
		seen[attr(n, "id")] = true
	}
	assert.Equal(t, "en", attr(find(doc, func(n *html.Node) bool { return n.Data == "html" })[0], "lang"))
	assert.Len(t, find(doc, func(n *html.Node) bool { return n.Data == "h1" }), 1)
}

func words(n *html.Node) string {
	if n.Type == html.TextNode {
		return n.Data
	}
	s := ""
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		s += words(c)
	}
	return s
}

// The picture on the page is the printed overlay's: same wood, same body.
func TestDrawingIsTheOverlay(t *testing.T) {
	h := demo().Handler()
	at := "?x=900&y=0&angle=2&face=top"
	plain, whole := ask(t, h, "GET", "/drawing.svg"+at, ""), ask(t, h, "GET", "/drawing.svg"+at+"&words=yes", "")
	require.Equal(t, 200, plain.StatusCode)
	a, b := parsed(t, plain), parsed(t, whole)
	for _, layer := range []string{"STRIP", "GLUE-LINE", "SLAB", "BODY", "CAVITY", "HOLE", "FRET", "STRING"} {
		var paths [2][]string
		for i, doc := range []*html.Node{a, b} {
			groups := find(doc, func(n *html.Node) bool { return attr(n, "data-layer") == layer })
			require.Len(t, groups, 1, layer)
			for _, p := range find(groups[0], func(n *html.Node) bool { return n.Data == "path" }) {
				paths[i] = append(paths[i], attr(p, "d"))
			}
		}
		assert.NotEmpty(t, paths[0], layer)
		assert.Equal(t, paths[1], paths[0], layer)
	}
}

func TestVerdict(t *testing.T) {
	h := demo().Handler()
	v := decode[verdict](t, ask(t, h, "POST", "/api/verdict", `{"x":"90 cm","y":"-12.5","angle":"1 1/2","height":"","pitch":"","roll":"","face":"top"}`))
	assert.Equal(t, 900.0, v.Placement.X)
	assert.Equal(t, -12.5, v.Placement.Y)
	assert.InDelta(t, 1.5, v.Placement.Angle, 1e-12)
	assert.NotZero(t, v.Placement.Height, "an empty height is settled")
	assert.Equal(t, "900", v.Shown.X)
	require.NotEmpty(t, v.Checks)
	ok, total := true, 0.0
	for _, c := range v.Checks {
		ok = ok && c.OK
		assert.NotEmpty(t, c.Message, c.Name)
		if c.Margin != nil {
			assert.Equal(t, *c.Margin >= *c.Need, c.OK, c.Name)
			assert.Len(t, *c.At, 3)
		}
	}
	assert.Equal(t, ok, v.OK)
	for _, s := range v.Score.Terms {
		total += s.Points
	}
	assert.InDelta(t, v.Score.Total, total, 1e-9)

	// Far off the slab nothing is under the body.
	off := decode[verdict](t, ask(t, h, "POST", "/api/verdict", `{"x":"900","y":"5000","angle":"0","height":"","pitch":"","roll":"","face":"top"}`))
	assert.False(t, off.OK)

	// The exact words come back as the very same placement.
	data, err := json.Marshal(map[string]string{"x": v.Exact.X, "y": v.Exact.Y, "angle": v.Exact.Angle, "height": v.Exact.Height, "pitch": "0", "roll": "0", "face": "top"})
	require.NoError(t, err)
	again := decode[verdict](t, ask(t, h, "POST", "/api/verdict", string(data)))
	assert.Equal(t, v.Placement, again.Placement)
}

// Wherever the body is dragged, half over an end of the slab or far from it, every
// part of the page has an answer; what is not known is left out.
func TestBodiesBeyondTheSlabAreAnswered(t *testing.T) {
	h := demo().Handler()
	for _, query := range []string{
		"x=-127&y=-6.35&angle=0.01&face=bottom", "x=1650&y=260&angle=-170&pitch=2&roll=-1&height=20&face=top", "x=-19000&y=19000&angle=90&face=top",
	} {
		values, err := url.ParseQuery(query)
		require.NoError(t, err)
		wanted := map[string]string{}
		for k := range values {
			wanted[k] = values.Get(k)
		}
		body, err := json.Marshal(wanted)
		require.NoError(t, err)
		require.Equal(t, http.StatusOK, ask(t, h, "POST", "/api/verdict", string(body)).StatusCode, query)
		for _, part := range []string{"/drawing.svg", "/side.svg", "/lie", "/planing.svg", "/weight"} {
			got := ask(t, h, "GET", part+"?"+query, "")
			require.Equal(t, http.StatusOK, got.StatusCode, "%s?%s: %s", part, query, text(t, got))
		}
	}
}

func TestNonsenseIsRefusedInTheMakersWords(t *testing.T) {
	h := demo().Handler()
	for _, c := range []struct {
		what, path, body string
		status           int
		field, message   string
	}{
		{"no number", "/api/verdict", `{"x":"banana","y":"0","face":"top"}`, 422, "x", "banana"},
		{"nothing", "/api/verdict", `{"x":"","y":"0","face":"top"}`, 422, "x", "empty"},
		{"far off", "/api/verdict", `{"x":"0","y":"300 m","face":"top"}`, 422, "y", ""},
		{"endless", "/api/verdict", `{"x":"NaN","y":"0","face":"top"}`, 422, "x", ""},
		{"an angle in millimetres", "/api/verdict", `{"x":"0","y":"0","angle":"3 mm","face":"top"}`, 422, "angle", ""},
		{"no face", "/api/verdict", `{"x":"0","y":"0","face":"left"}`, 422, "face", "top or bottom"},
		{"a tilt without a height", "/api/verdict", `{"x":"0","y":"0","pitch":"2","face":"top"}`, 422, "height", "height"},
		{"steep", "/api/verdict", `{"x":"0","y":"0","height":"50","roll":"89","face":"top"}`, 422, "roll", "45"},
		{"an unknown key", "/api/verdict", `{"x":"0","y":"0","face":"top","tilt":"1"}`, 400, "", "tilt"},
		{"not JSON", "/api/verdict", `{"x":`, 400, "", ""},
		{"two at once", "/api/verdict", `{"x":"0","y":"0","face":"top"}{}`, 400, "", ""},
		{"a form", "/api/verdict", `x=1`, 415, "", "json"},
		{"too long", "/api/verdict", `{"x":"` + strings.Repeat("1", 1<<17) + `"}`, 413, "", "64 KiB"},
		{"an old page", "/api/verdict", `{"bench":"0123","x":"0","y":"0","face":"top"}`, 409, "", "load the page again"},
		{"a search for ever", "/api/search", `{"seconds":"-3"}`, 422, "seconds", "seconds"},
		{"a search for nothing known", "/api/search", `{"seconds":"3","prefer":"beauty"}`, 422, "prefer", "looks or room"},
		{"paper that is none", "/api/print", "x=0&y=0&face=top&sheet=placement&format=pdf&paper=A99", 422, "paper", "A99"},
		{"an unknown sheet", "/api/print", "x=0&y=0&face=top&sheet=lid&format=pdf&paper=A4", 422, "sheet", "placement"},
		{"no sheet", "/api/print", "x=0&y=0&face=top&format=pdf&paper=A4", 422, "sheet", "tick"},
		{"an unknown format", "/api/print", "x=0&y=0&face=top&sheet=placement&format=doc&paper=A4", 422, "format", "svg"},
		{"the demo", "/api/save", `{"x":"0","y":"0","face":"top"}`, 409, "", "demo"},
	} {
		r := ask(t, h, "POST", c.path, c.body)
		assert.Equal(t, c.status, r.StatusCode, c.what)
		f := decode[failure](t, r)
		assert.Equal(t, c.field, f.Error.Field, c.what)
		assert.NotEmpty(t, f.Error.Message, c.what)
		assert.Contains(t, f.Error.Message, c.message, c.what)
		assert.NotContains(t, f.Error.Message, "itself failed", c.what)
	}
}

// Whatever the fields hold, the answer is a verdict or a message.
func FuzzPlacement(f *testing.F) {
	f.Add("900", "0", "1.5", "", "", "", "top")
	f.Add("25 1/2 in", "-3/8\"", "-170°", "40", "1", "-1", "bottom")
	f.Add("1e308", "½", "361", "-0", "NaN", "∞", "")
	h := demo().Handler()
	f.Fuzz(func(t *testing.T, x, y, angle, height, pitch, roll, face string) {
		body, err := json.Marshal(map[string]string{"x": x, "y": y, "angle": angle, "height": height, "pitch": pitch, "roll": roll, "face": face})
		require.NoError(t, err)
		r := ask(t, h, "POST", "/api/verdict", string(body))
		if r.StatusCode == 200 {
			assert.NotEmpty(t, decode[verdict](t, r).Checks)
			q := url.Values{"x": {x}, "y": {y}, "angle": {angle}, "height": {height}, "pitch": {pitch}, "roll": {roll}, "face": {face}}
			assert.Equal(t, 200, ask(t, h, "GET", "/lie?"+q.Encode(), "").StatusCode)
			return
		}
		require.Contains(t, []int{413, 422}, r.StatusCode)
		assert.NotEmpty(t, decode[failure](t, r).Error.Message)
	})
}

type event struct {
	name string
	data map[string]any
}

// events reads a stream of server-sent events, and tells each as it comes.
func events(t *testing.T, r io.Reader, each func(event)) (last event) {
	t.Helper()
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		line := lines.Text()
		switch {
		case strings.HasPrefix(line, "event: "):
			last = event{name: line[len("event: "):]}
		case strings.HasPrefix(line, "data: "):
			require.NoError(t, json.Unmarshal([]byte(line[len("data: "):]), &last.data))
			each(last)
		}
	}
	return last
}

// post sends JSON to an open server.
func post(t *testing.T, ctx context.Context, address, body string) *http.Response {
	t.Helper()
	r, err := http.NewRequestWithContext(ctx, "POST", address, strings.NewReader(body))
	require.NoError(t, err)
	r.Header.Set("Content-Type", "application/json")
	a, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	return a
}

// The search tells what it has while it runs, and gives it when it is stopped.
func TestSearchStreams(t *testing.T) {
	s := demo()
	require.NoError(t, s.Open("127.0.0.1:0"))
	defer s.Close(context.Background())
	r := post(t, context.Background(), s.URL()+"api/search", `{"seconds":"120"}`)
	defer r.Body.Close()
	require.Equal(t, 200, r.StatusCode)
	assert.Equal(t, "text/event-stream", r.Header.Get("Content-Type"))
	asked := false
	last := events(t, r.Body, func(e event) {
		score, found := e.data["score"].(float64)
		if bound, ok := e.data["bound"].(float64); ok && found { // null while nothing is proved
			assert.LessOrEqual(t, bound, score+1e-9)
		}
		if found && !asked {
			asked = true
			post(t, context.Background(), s.URL()+"api/stop", `{}`).Body.Close()
		}
	})
	require.Equal(t, "result", last.name, last.data)
	require.NotNil(t, last.data["placement"], "the demo has an allowed placement")
	assert.Contains(t, []any{"", "hand"}, last.data["stopped"])

	// The verdict agrees that it is allowed.
	exact, err := json.Marshal(last.data["exact"])
	require.NoError(t, err)
	a := post(t, context.Background(), s.URL()+"api/verdict", string(exact))
	defer a.Body.Close()
	v := decode[verdict](t, a)
	assert.True(t, v.OK)
	assert.InDelta(t, last.data["score"], v.Score.Total, 1e-9)
}

// A page that goes away ends its search.
func TestSearchEndsWithThePage(t *testing.T) {
	s := demo()
	require.NoError(t, s.Open("127.0.0.1:0"))
	ctx, leave := context.WithCancel(context.Background())
	a := post(t, ctx, s.URL()+"api/search", `{"seconds":""}`)
	leave()
	a.Body.Close()
	// Close waits for open requests; it would wait for ever for a search.
	require.NoError(t, s.Close(context.Background()))
}

func TestSaveChangesThePlacementAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "panel.toml")
	before := project.Demo().Source.Bytes()
	require.NoError(t, os.WriteFile(path, before, 0o600))
	h := web.New(web.Config{File: path, Read: func() (*project.Project, error) { return project.Read(path) }}).Handler()

	saved := decode[struct {
		Bench, Message string
		Verdict        verdict
	}](t, ask(t, h, "POST", "/api/save", `{"x":"901.25","y":"3","angle":"1.5","height":"60","pitch":"","roll":"","face":"top"}`))
	assert.Contains(t, saved.Message, "panel.toml")
	assert.NotEmpty(t, saved.Bench)

	// What the page asked just before it saved, or another page, is answered
	// still: only the placement in the file is another.
	old := fmt.Sprintf("%x", sha256.Sum256(before))[:12]
	assert.NotEqual(t, old, saved.Bench)
	for _, id := range []string{old, saved.Bench} {
		r := ask(t, h, "GET", "/weight?x=901.25&y=3&angle=1.5&height=60&pitch=0&roll=0&face=top&bench="+id, "")
		assert.Equal(t, 200, r.StatusCode, id)
	}

	p, err := project.Read(path)
	require.NoError(t, err)
	require.NotNil(t, p.Placement)
	assert.Equal(t, 901.25, p.Placement.X)
	assert.Equal(t, 60.0, p.Placement.Height)
	if !project.Demo().Source.Has("placement") {
		after, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.True(t, bytes.HasPrefix(after, before), "every byte of the maker's is where it was")
	}

	// The page now opens with it.
	doc := parsed(t, ask(t, h, "GET", "/", ""))
	main := find(doc, func(n *html.Node) bool { return attr(n, "id") == "bench" })[0]
	assert.Contains(t, attr(main, "data-state"), "901.25")

	// When someone edits the file meanwhile, it is left alone.
	edited := append([]byte("# a word of mine\n"), before...)
	require.NoError(t, os.WriteFile(path, edited, 0o600))
	r := ask(t, h, "POST", "/api/save", `{"x":"1","y":"3","angle":"1.5","height":"60","pitch":"","roll":"","face":"top"}`)
	assert.Equal(t, 409, r.StatusCode)
	assert.Contains(t, decode[failure](t, r).Error.Message, "changed on disk")
	now, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, edited, now)
}

// A file broken in the maker's editor gives its message, and the page again
// when it is mended.
func TestPageTellsWhatIsWrongInTheFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "panel.toml")
	good := project.Demo().Source.Bytes()
	require.NoError(t, os.WriteFile(path, good, 0o600))
	h := web.New(web.Config{File: path, Read: func() (*project.Project, error) { return project.Read(path) }}).Handler()
	require.Equal(t, 200, ask(t, h, "GET", "/", "").StatusCode)

	require.NoError(t, os.WriteFile(path, append([]byte("colour_of_the_van = 3\n"), good...), 0o600))
	r := ask(t, h, "GET", "/", "")
	assert.Equal(t, 422, r.StatusCode)
	alert := find(parsed(t, r), func(n *html.Node) bool { return attr(n, "role") == "alert" })
	require.Len(t, alert, 1)
	assert.Contains(t, words(alert[0]), "panel.toml:1")
	assert.Contains(t, words(alert[0]), "colour_of_the_van")

	require.NoError(t, os.WriteFile(path, good, 0o600))
	assert.Equal(t, 200, ask(t, h, "GET", "/", "").StatusCode)
}

func TestPrint(t *testing.T) {
	h := demo().Handler()
	at := "x=900&y=0&angle=2&height=&pitch=&roll=&face=top&paper=A3"
	for _, c := range []struct{ what, ask, name, begins string }{
		{"a PDF", "&sheet=placement&format=pdf", "hall-panel-placement.pdf", "%PDF-"},
		{"one SVG", "&sheet=placement&format=svg", "hall-panel-placement.svg", "<?xml"},
		{"one DXF", "&sheet=body-front&format=dxf", "hall-panel-body-front.dxf", ""},
		{"two DXF", "&sheet=placement&sheet=body-back&format=dxf", "hall-panel.zip", "PK"},
	} {
		r := ask(t, h, "POST", "/api/print", at+c.ask)
		require.Equal(t, 200, r.StatusCode, c.what)
		assert.Contains(t, r.Header.Get("Content-Disposition"), `filename="`+c.name+`"`, c.what)
		assert.True(t, strings.HasPrefix(text(t, r), c.begins), c.what)
	}
}

// The table on the page is equal temperament: fret 12 halves the scale, and
// twelve times the twelfth root of two is an octave (definition).
func TestFretTable(t *testing.T) {
	doc := parsed(t, ask(t, demo().Handler(), "GET", "/frets", ""))
	var twelfth []string
	rows := find(doc, func(n *html.Node) bool { return n.Data == "tr" })
	for _, r := range rows {
		var cells []string
		for _, c := range find(r, func(n *html.Node) bool { return n.Data == "td" || n.Data == "th" }) {
			cells = append(cells, words(c))
		}
		if cells[0] == "12" {
			twelfth = cells
		}
	}
	require.NotNil(t, twelfth)
	assert.Equal(t, "324.00", twelfth[1])
	assert.Len(t, rows, 1+22)
}

// A project in inches gets its table in inches: fret 12 halves both scales of
// the bench, 27 and 25 1/2 in.
func TestFretTableOfTwoScalesInInches(t *testing.T) {
	h := web.New(web.Config{Read: func() (*project.Project, error) { return project.Sample("bench") }}).Handler()
	doc := parsed(t, ask(t, h, "GET", "/frets", ""))
	for _, r := range find(doc, func(n *html.Node) bool { return n.Data == "tr" }) {
		cells := find(r, func(n *html.Node) bool { return n.Data == "td" || n.Data == "th" })
		if words(cells[0]) == "12" {
			assert.Equal(t, "13.5000", words(cells[1]))
			assert.Equal(t, "12.7500", words(cells[2]))
			return
		}
	}
	t.Fatal("the table has no fret 12")
}

// A project in inches reads bare numbers as inches, and shows them so.
func TestVerdictInInches(t *testing.T) {
	h := web.New(web.Config{Read: func() (*project.Project, error) { return project.Sample("bench") }}).Handler()
	v := decode[verdict](t, ask(t, h, "POST", "/api/verdict", `{"x":"37 1/2","y":"12.7 mm","angle":"0","face":"top"}`))
	assert.InDelta(t, 37.5*25.4, v.Placement.X, 1e-9)
	assert.Equal(t, "37.5", v.Shown.X)
	assert.Equal(t, "0.5", v.Shown.Y)
}

// What the page says of the lie is what the engine says.
func TestLie(t *testing.T) {
	const path = "../cmd/slabwright/testdata/projects/shelf.toml" // in inches, 3/8 in thicker than the body
	h := web.New(web.Config{Read: func() (*project.Project, error) { return project.Read(path) }}).Handler()
	type lie struct {
		Leeway string
		Ways   []struct{ Sign, Way, By, Until, Cost string }
		Plane  struct {
			Words  string
			Better bool
		}
		Over, Under struct {
			Least, Most   string
			BreaksThrough bool `json:"breaks_through"`
		}
		Wedges []struct{ Name, Height string }
	}
	got := decode[lie](t, ask(t, h, "GET", "/lie", ""))
	assert.Equal(t, "0.1875 in", got.Over.Least)
	assert.Equal(t, "0.1875 in", got.Under.Most)
	assert.Contains(t, got.Plane.Words, "tilting gains nothing")
	assert.False(t, got.Plane.Better)
	assert.Empty(t, got.Wedges)
	require.Len(t, got.Ways, 6)
	assert.Contains(t, got.Ways[4].By, "°")
	assert.NotEmpty(t, got.Leeway)

	// The arrows point as on the drawing, which shows the bottom face from below.
	signs := func(l lie) (out string) {
		for _, w := range l.Ways {
			out += w.Sign + " " + w.Way + "; "
		}
		return out
	}
	assert.Equal(t, "→ toward +x; ← toward −x; ↑ toward +y; ↓ toward −y; ↺ turned left; ↻ turned right; ", signs(got))
	below := decode[lie](t, ask(t, demo().Handler(), "GET", "/lie?x=1103&y=0&angle=180&face=bottom", ""))
	assert.Equal(t, "→ toward +x; ← toward −x; ↓ toward +y; ↑ toward −y; ↻ turned left; ↺ turned right; ", signs(below))

	// Lifted by 1/4 in and tilted it breaks through, forgives nothing, and must be wedged.
	got = decode[lie](t, ask(t, h, "GET", "/lie?x=17&y=0&angle=0&height=1.9375&pitch=1&roll=0&face=top", ""))
	assert.Empty(t, got.Leeway)
	assert.Empty(t, got.Ways)
	assert.True(t, got.Over.BreaksThrough)
	assert.False(t, got.Under.BreaksThrough)
	assert.True(t, got.Plane.Better)
	require.Len(t, got.Wedges, 4)
	// The slab is flat: turned by 1° it rises by its length times the sine, of which
	// a wedge under the body has its part, read to 1/64 in.
	assert.Regexp(t, `^([0-9]+/[0-9]+|[0-9]+) in$`, got.Wedges[2].Height)

	for _, side := range []string{"top", "bottom"} {
		svg := text(t, ask(t, h, "GET", "/planing.svg?side="+side, ""))
		assert.Contains(t, svg, ">3/16<")
	}
}
