package web_test

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"slabwright/layout/project"
	"slabwright/web"
)

// A tab is one page in a real browser. What it complains of, and whom it asks,
// is kept and checked when the test ends.
type tab struct {
	t   *testing.T
	ctx context.Context

	mu         sync.Mutex
	complaints []string
	hosts      map[string]bool
}

// TestBrowser opens the page in chromium, each test in a tab of its own.
func TestBrowser(t *testing.T) {
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		t.Skip("needs chromium: apt-get install chromium")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("disable-dev-shm-usage", true))
	alloc, end := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(end)
	browser, end := chromedp.NewContext(alloc)
	t.Cleanup(end)
	require.NoError(t, chromedp.Run(browser))

	for _, c := range []struct {
		what string
		test func(*testing.T, context.Context)
	}{
		{"drag", browserDrag}, {"the script's map is the server's", browserMap}, {"keys", browserKeys},
		{"nonsense in fields", browserNonsense}, {"find the best", browserBest}, {"save", browserSave},
		{"words and size", browserWords}, {"print", browserPrint}, {"a tilted body", browserTilted}, {"a body that fails by itself", browserBody}, {"narrow", browserNarrow},
	} {
		t.Run(c.what, func(t *testing.T) { c.test(t, browser) })
	}
}

// openTab serves the project and opens it in a new tab at a width and height.
func openTab(t *testing.T, browser context.Context, s *web.Server, width, height int64, more ...chromedp.EmulateViewportOption) *tab {
	t.Helper()
	require.NoError(t, s.Open("127.0.0.1:0"))
	t.Cleanup(func() { _ = s.Close(context.Background()) })
	ctx, end := chromedp.NewContext(browser)
	t.Cleanup(end)
	ctx, end = context.WithTimeout(ctx, 90*time.Second)
	t.Cleanup(end)

	b := &tab{t: t, ctx: ctx, hosts: map[string]bool{}}
	chromedp.ListenTarget(ctx, func(event any) {
		b.mu.Lock()
		defer b.mu.Unlock()
		switch e := event.(type) {
		case *runtime.EventConsoleAPICalled:
			for _, a := range e.Args {
				b.complaints = append(b.complaints, fmt.Sprintf("console: %s %s", a.Value, a.Description))
			}
		case *runtime.EventExceptionThrown:
			b.complaints = append(b.complaints, e.ExceptionDetails.Error())
		case *log.EventEntryAdded:
			// A field with nonsense in it is refused with 422; the browser
			// notes that, and it is as it should be.
			if !strings.Contains(e.Entry.Text, "status of 422") {
				b.complaints = append(b.complaints, e.Entry.Text+" "+e.Entry.URL)
			}
		case *network.EventRequestWillBeSent:
			if u, err := url.Parse(e.Request.URL); err == nil && u.Scheme != "data" && u.Scheme != "blob" {
				b.hosts[u.Host] = true
			}
		}
	})
	b.do(log.Enable(), network.Enable(), chromedp.EmulateViewport(width, height, more...), chromedp.Navigate(s.URL()),
		chromedp.WaitReady(`html[data-ready="yes"]`))
	b.settle()
	u, err := url.Parse(s.URL())
	require.NoError(t, err)
	t.Cleanup(func() {
		b.mu.Lock()
		defer b.mu.Unlock()
		assert.Empty(t, b.complaints, "the browser has nothing to complain of")
		assert.Equal(t, map[string]bool{u.Host: true}, b.hosts, "no request leaves the machine")
	})
	return b
}

func (b *tab) do(actions ...chromedp.Action) {
	b.t.Helper()
	require.NoError(b.t, chromedp.Run(b.ctx, actions...))
}

// get evaluates an expression of the page.
func get[T any](b *tab, expression string) (v T) {
	b.t.Helper()
	require.NoError(b.t, chromedp.Run(b.ctx, chromedp.Evaluate(expression, &v)), expression)
	return v
}

func (b *tab) wait(expression string) {
	b.t.Helper()
	require.NoError(b.t, chromedp.Run(b.ctx, chromedp.Poll(expression, nil, chromedp.WithPollingTimeout(40*time.Second))), "waiting for %s", expression)
}

func (b *tab) number(field string) float64 {
	b.t.Helper()
	text := get[string](b, fmt.Sprintf("document.getElementById(%q).value", field))
	v, err := strconv.ParseFloat(strings.ReplaceAll(text, "−", "-"), 64)
	require.NoError(b.t, err, field)
	return v
}

func (b *tab) text(id string) string {
	b.t.Helper()
	return get[string](b, fmt.Sprintf("document.getElementById(%q).textContent", id))
}

// settle waits until the server's own drawing of the placement is on the page.
func (b *tab) settle() {
	b.t.Helper()
	b.wait(`document.documentElement.dataset.settled === "yes"`)
}

// centre is the middle of an element on the screen.
func (b *tab) centre(selector string) (x, y float64) {
	b.t.Helper()
	p := get[[]float64](b, fmt.Sprintf(`(() => { const r = document.querySelector(%q).getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2] })()`, selector))
	return p[0], p[1]
}

// pixels is how many pixels a millimetre of the drawing has.
func (b *tab) pixels() float64 {
	return get[float64](b, `(() => { const m = document.querySelector("#tool").parentNode.getScreenCTM(); return Math.hypot(m.a, m.b) })()`)
}

func (b *tab) drag(x, y, dx, dy float64) {
	b.t.Helper()
	b.do(chromedp.MouseEvent(input.MousePressed, x, y, chromedp.ButtonLeft))
	for i := 1; i <= 10; i++ {
		k := float64(i) / 10
		b.do(chromedp.MouseEvent(input.MouseMoved, x+k*dx, y+k*dy, chromedp.ButtonLeft))
	}
	b.do(chromedp.MouseEvent(input.MouseReleased, x+dx, y+dy, chromedp.ButtonLeft))
}

func browserDrag(t *testing.T, browser context.Context) {
	b := openTab(t, browser, demo(), 1440, 900)
	x0, y0 := b.number("x"), b.number("y")
	px := b.pixels()
	cx, cy := b.centre("#grip")

	b.drag(cx, cy, 40, -15)
	b.settle()
	assert.InDelta(t, x0+40/px, b.number("x"), 0.1, "right on the screen is +x")
	assert.InDelta(t, y0+15/px, b.number("y"), 0.1, "up on the screen is +y")

	// The verdict follows: half off the slab it cannot fit.
	cx, cy = b.centre("#grip")
	b.drag(cx, cy, 0, -120)
	b.settle()
	assert.Equal(t, "It does not fit", b.text("word"))
	assert.Contains(t, b.text("bad"), "outline in the slab")

	// Picking the check marks its place on the drawing, picking again clears it.
	first := `#bad button[data-check="outline in the slab"]`
	b.do(chromedp.Click(first))
	b.wait(`document.querySelector(".spot.bad circle") !== null`)
	b.do(chromedp.Click(first))
	b.wait(`document.querySelector(".spot circle") === null`)
}

// The script moves the body by its own map until the server's drawing comes.
// Both must agree, on either face and at any angle.
func browserMap(t *testing.T, browser context.Context) {
	b := openTab(t, browser, demo(), 1440, 900)
	for _, face := range []string{"top", "bottom"} {
		b.do(chromedp.Click(fmt.Sprintf(`#place input[name="face"][value=%q]`, face)))
		b.settle()
		hx, hy := b.centre(".handle circle")
		b.drag(hx, hy, -20, 60)
		b.settle()
		angle := b.number("angle")
		assert.NotZero(t, angle, "the handle turns the body")
		// The least and greatest places on the screen of points along each line.
		boxes := get[[][]float64](b, `["#grip", '#tool [data-id="body-outline"]'].map(s => {
			const path = document.querySelector(s), m = path.getScreenCTM(), long = path.getTotalLength(), n = 3000
			const p = Array.from({ length: n }, (_, i) => path.getPointAtLength((long * i) / n).matrixTransform(m))
			const x = p.map(q => q.x), y = p.map(q => q.y)
			return [Math.min(...x), Math.min(...y), Math.max(...x), Math.max(...y)]
		})`)
		for i := range 4 {
			assert.InDelta(t, boxes[1][i], boxes[0][i], 0.05, "%s, %g°", face, angle)
		}
	}
}

func browserKeys(t *testing.T, browser context.Context) {
	b := openTab(t, browser, demo(), 1440, 900)
	x0, y0, a0 := b.number("x"), b.number("y"), b.number("angle")
	b.do(chromedp.Focus("#grip"), chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowUp, chromedp.KeyModifiers(input.ModifierShift)), chromedp.KeyEvent("["))
	b.settle()
	// The body turns about its own middle, so its origin moves a little.
	assert.InDelta(t, a0+0.5, b.number("angle"), 1e-9, "[ turns to the left")
	assert.InDelta(t, x0+1, b.number("x"), 0.1)
	assert.InDelta(t, y0+10, b.number("y"), 3)
	assert.Equal(t, "grip", get[string](b, "document.activeElement.id"), "the new drawing keeps the focus")
}

func browserNonsense(t *testing.T, browser context.Context) {
	b := openTab(t, browser, demo(), 1440, 900)
	y0 := b.number("y")
	type_ := func(field, words string) {
		b.do(chromedp.Focus("#"+field), chromedp.Evaluate(fmt.Sprintf("document.getElementById(%q).select()", field), nil), chromedp.KeyEvent(words))
	}
	type_("x", "two bananas")
	b.wait(`document.getElementById("x-wrong").textContent.includes("bananas")`)
	assert.Equal(t, "true", get[string](b, `document.getElementById("x").getAttribute("aria-invalid")`))

	type_("x", "36 1/2 in")
	b.wait(`document.getElementById("x-wrong").textContent === ""`)
	b.do(chromedp.Focus("#angle"))
	b.settle()
	assert.InDelta(t, 36.5*25.4, b.number("x"), 0.01, "shown in the project's unit")
	assert.Equal(t, y0, b.number("y"), "the other fields stay")

	type_("seconds", "soon")
	b.do(chromedp.Click("#find"))
	b.wait(`document.getElementById("seconds-wrong").textContent.includes("soon")`)
}

func browserBest(t *testing.T, browser context.Context) {
	b := openTab(t, browser, demo(), 1440, 900)
	b.do(chromedp.Click("#find"))
	b.wait(`document.getElementById("best").textContent !== "–"`)
	b.do(chromedp.Evaluate(`document.getElementById("stop").click()`, nil)) // it may have ended by itself
	b.wait(`document.getElementById("outcome").textContent !== ""`)
	b.settle()
	assert.Equal(t, "It fits", b.text("word"))
	assert.Regexp(t, "You stopped it|Proven|No allowed placement", b.text("outcome"))
	assert.Equal(t, b.text("best"), b.text("total"), "the score of the search is the score of the verdict")
	b.wait(`document.querySelector('#others button[aria-pressed="true"]') !== null`)
}

func browserSave(t *testing.T, browser context.Context) {
	path := filepath.Join(t.TempDir(), "hall.toml")
	require.NoError(t, os.WriteFile(path, project.Demo().Source.Bytes(), 0o600))
	s := web.New(web.Config{File: path, Read: func() (*project.Project, error) { return project.Read(path) }})
	b := openTab(t, browser, s, 1440, 900)
	cx, cy := b.centre("#grip")
	b.drag(cx, cy, 33, 0)
	b.settle()
	b.do(chromedp.Click("#save"))
	b.wait(`document.getElementById("kept").textContent.includes("hall.toml")`)
	p, err := project.Read(path)
	require.NoError(t, err)
	require.NotNil(t, p.Placement)
	assert.InDelta(t, b.number("x"), p.Placement.X, 0.006)
}

// With its words the picture is the whole printed overlay; near enough they
// can be read, and the marked check stays in view.
func browserWords(t *testing.T, browser context.Context) {
	b := openTab(t, browser, demo(), 1440, 900)
	assert.Zero(t, get[int](b, `document.querySelectorAll('[data-layer="NOTE"] text').length`))
	b.do(chromedp.Click("#words"))
	b.wait(`document.querySelectorAll('[data-layer="NOTE"] text').length > 20`)
	px := b.pixels()
	b.do(chromedp.Click("#tight button"), chromedp.Click("#larger"), chromedp.Click("#larger"), chromedp.Click("#larger"))
	assert.Greater(t, b.pixels(), 3*px)
	stage := get[[]float64](b, `(() => { const r = document.getElementById("stage").getBoundingClientRect(); return [r.left, r.top, r.right, r.bottom] })()`)
	x, y := b.centre(".spot .dot")
	assert.True(t, x > stage[0] && x < stage[2] && y > stage[1] && y < stage[3], "the mark is at %v, %v; the drawing is %v", x, y, stage)
	b.do(chromedp.Click("#whole"))
	assert.InDelta(t, px, b.pixels(), 0.3*px)
}

func browserPrint(t *testing.T, browser context.Context) {
	b := openTab(t, browser, demo(), 1440, 900)
	b.do(chromedp.SetValue("#paper", "A99"), chromedp.Click(`#print button[type="submit"]`))
	b.wait(`document.getElementById("paper-wrong").textContent.includes("A99")`)
	b.do(chromedp.SetValue("#paper", "A3"), chromedp.Click(`#print button[type="submit"]`))
	b.wait(`document.getElementById("printed").textContent.includes("hall-panel-placement.pdf")`)
}

// On a telephone: nothing runs over the side, and a finger moves the body.
func browserNarrow(t *testing.T, browser context.Context) {
	b := openTab(t, browser, demo(), 390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch)
	assert.LessOrEqual(t, get[float64](b, "document.documentElement.scrollWidth"), 390.0)
	x0, y0 := b.number("x"), b.number("y")
	px := b.pixels()
	b.do(chromedp.Evaluate(`document.querySelector("#grip").scrollIntoView({ block: "center" })`, nil))
	cx, cy := b.centre("#grip")
	touch := func(kind input.TouchType, x, y float64) {
		p := []*input.TouchPoint{{X: x, Y: y}}
		if kind == input.TouchEnd {
			p = []*input.TouchPoint{}
		}
		b.do(input.DispatchTouchEvent(kind, p))
	}
	touch(input.TouchStart, cx, cy)
	for i := 1; i <= 6; i++ {
		touch(input.TouchMove, cx+4*float64(i), cy+5*float64(i))
	}
	touch(input.TouchEnd, 0, 0)
	b.settle()
	// The slab stands upright here: down the screen is +x, right is +y.
	assert.InDelta(t, x0+30/px, b.number("x"), 0.2)
	assert.InDelta(t, y0+24/px, b.number("y"), 0.2)
}

// What fails of the body itself is not told as a place in which it does not fit.
func browserBody(t *testing.T, browser context.Context) {
	const path = "../cmd/slabwright/testdata/projects/shelf.toml"
	s := web.New(web.Config{Read: func() (*project.Project, error) {
		text, err := os.ReadFile(path)
		if err != nil {
			return nil, err
		}
		return project.Parse(path, append(text, "\n[body.limits]\nfloor = \"1 in\"\n"...), nil)
	}})
	b := openTab(t, browser, s, 1440, 900)
	b.settle()
	assert.Equal(t, "It fits, but the body fails", b.text("word"))
	assert.Contains(t, b.text("why"), "wherever it lies")
}

// In a board bent so far that the body must tilt, the page shows the tilt, the
// wedges and the planing maps, tells what a level body lacks, and lays it right
// again.
func browserTilted(t *testing.T, browser context.Context) {
	const path = "../cmd/slabwright/testdata/projects/bowed.toml"
	s := web.New(web.Config{Read: func() (*project.Project, error) { return project.Read(path) }})
	b := openTab(t, browser, s, 1440, 900)
	lies := `!document.getElementById("lie").classList.contains("stale")`
	b.wait(lies)
	assert.Equal(t, "It fits", b.text("word"))
	pitch := b.number("pitch")
	assert.Greater(t, pitch, 5.0)
	assert.Regexp(t, "pitch .*tilting gains [0-9.]+ mm", b.text("plane"))
	assert.Contains(t, b.text("leeway"), "1.5 mm", "of the 2 mm that the wished strip may be off")
	assert.Equal(t, 4, get[int](b, `document.querySelectorAll("#wedges dd").length`))
	assert.Equal(t, 6, get[int](b, `document.querySelectorAll("#ways tbody tr").length`))
	// On a narrow screen the slab stands upright, and the arrows with it: +x is down.
	points := `(m => [Math.round(m.a), Math.round(m.b)].join())(new DOMMatrix(getComputedStyle(document.querySelector("#ways .arrow")).transform))`
	assert.Equal(t, "1,0", get[string](b, points))
	b.do(chromedp.EmulateViewport(390, 844))
	assert.Equal(t, "0,1", get[string](b, points))
	b.do(chromedp.EmulateViewport(1440, 900))
	for _, id := range []string{"planing-top", "planing-bottom"} {
		assert.Greater(t, get[int](b, fmt.Sprintf(`document.querySelectorAll("#%s .contour").length`, id)), 2)
		assert.Greater(t, get[float64](b, fmt.Sprintf(`document.querySelector("#%s text").getBoundingClientRect().height`, id)), 7.0, "the numbers can be read")
	}
	assert.True(t, get[bool](b, `document.getElementById("lay").hidden`), "it lies in its best plane")

	// Laid level by hand it breaks through.
	b.do(chromedp.Evaluate(`document.getElementById("auto").click()`, nil), chromedp.SetValue("#pitch", "0"),
		chromedp.Evaluate(`document.getElementById("pitch").dispatchEvent(new Event("change"))`, nil))
	b.wait(`document.getElementById("word").textContent === "It does not fit"`)
	b.wait(lies)
	assert.Contains(t, b.text("planing-top-says"), "breaks through")
	assert.Contains(t, b.text("leeway"), "does not pass")
	b.do(chromedp.Click("#lay"))
	b.wait(`document.getElementById("word").textContent === "It fits"`)
	b.wait(lies)
	assert.InDelta(t, pitch, b.number("pitch"), 0.02)

	// The search for the saw's room.
	b.do(chromedp.Click(`#search input[value="room"]`), chromedp.Click("#find"))
	b.wait(`document.getElementById("outcome").textContent.includes("wander farther")`)
	assert.Equal(t, "most room", b.text("best-is"))
	assert.Contains(t, b.text("best"), " mm")
}
