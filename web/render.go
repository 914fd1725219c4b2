package web

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"html/template"
	"io/fs"
	"mime"
	"net/http"
	"net/url"
	"path"
	"strings"

	"github.com/go-chi/chi/v5"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/gofont/gosmallcaps"
)

//go:embed assets templates
var files embed.FS

var templates = template.Must(template.ParseFS(files, "templates/*.html"))

// assets are the files the page loads. The fonts are the ones that PDF
// embeds, so that words take the same room on screen and paper.
var assets = readAssets()

// assetsPath holds the hash of all assets, so that a browser may keep them for
// ever and still never shows old ones.
var assetsPath = "/assets/" + hashAssets() + "/"

func readAssets() map[string][]byte {
	all := map[string][]byte{
		"go-regular.ttf":   goregular.TTF,
		"go-bold.ttf":      gobold.TTF,
		"go-smallcaps.ttf": gosmallcaps.TTF,
	}
	names, err := fs.Glob(files, "assets/*")
	if err != nil {
		panic("the embedded assets cannot be listed: " + err.Error())
	}
	for _, n := range names {
		data, err := files.ReadFile(n)
		if err != nil {
			panic("an embedded asset cannot be read: " + err.Error())
		}
		all[path.Base(n)] = data
	}
	return all
}

func hashAssets() string {
	h := sha256.New()
	names, _ := fs.Glob(files, "assets/*") // sorted
	for _, n := range names {
		fmt.Fprintln(h, n)
		h.Write(assets[path.Base(n)])
	}
	return hex.EncodeToString(h.Sum(nil))[:12]
}

func (s *Server) asset(w http.ResponseWriter, r *http.Request) error {
	name := chi.URLParam(r, "name")
	data, ok := assets[name]
	if !ok {
		return refusal{Status: http.StatusNotFound, Message: "there is no such file"}
	}
	kind := mime.TypeByExtension(path.Ext(name))
	switch path.Ext(name) { // what the machine's own tables may lack or bend
	case ".js":
		kind = "text/javascript; charset=utf-8"
	case ".ttf":
		kind = "font/ttf"
	case ".svg":
		kind = "image/svg+xml"
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	_, err := w.Write(data)
	return err
}

// render writes a page. The template runs into memory first, so that a fault
// in it does not leave half a page.
func (s *Server) render(w http.ResponseWriter, status int, name string, data any) {
	var b bytes.Buffer
	if err := templates.ExecuteTemplate(&b, name, data); err != nil {
		s.log.Error("a page failed", "page", name, "error", err)
		http.Error(w, "slabwright itself failed at this page; its terminal window tells more", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = b.WriteTo(w) // the reader may be gone; nothing is left to do
}

func writeJSON(w http.ResponseWriter, status int, v any) {
	data, err := json.Marshal(v)
	if err != nil {
		// Only a number that is not finite can do this.
		panic("an answer cannot be written: " + err.Error())
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(append(data, '\n'))
}

// attachment names a download; letters that a header cannot hold give way.
func attachment(name string) string {
	plain := strings.Map(func(r rune) rune {
		if r < 0x20 || r > 0x7e || strings.ContainsRune(`"\/:`, r) {
			return '_'
		}
		return r
	}, name)
	return fmt.Sprintf(`attachment; filename="%s"; filename*=UTF-8''%s`, plain, url.PathEscape(name))
}
