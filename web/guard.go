package web

import (
	"fmt"
	"net"
	"net/http"
	"runtime/debug"
	"strings"
)

// largestRequest bounds what is read of a request: a placement is far smaller.
const largestRequest = 64 << 10

// policy is what the page may do in the browser: load from this server and
// nothing else, not even inline script or style.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; " +
	"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// thisMachine refuses requests that name another host. A page anywhere can
// make its own name point to 127.0.0.1; then browser and server would take it
// for this page.
func (s *Server) thisMachine(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		host := r.Host
		if h, _, err := net.SplitHostPort(host); err == nil {
			host = h
		}
		switch strings.ToLower(strings.Trim(host, "[]")) {
		case "127.0.0.1", "localhost", "::1":
			next.ServeHTTP(w, r)
		default:
			s.fail(w, r, refusal{Status: http.StatusForbidden, Message: fmt.Sprintf("the address bar says %q; open the page as 127.0.0.1 or localhost", r.Host)})
		}
	})
}

// thisPage refuses what another site makes the browser send here.
func (s *Server) thisPage(next http.Handler) http.Handler {
	p := http.NewCrossOriginProtection()
	p.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.fail(w, r, refusal{Status: http.StatusForbidden, Message: "another site asked for this; only slabwright's own page may"})
	}))
	return p.Handler(next)
}

// headers tells the browser what the page may do.
func headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		next.ServeHTTP(w, r)
	})
}

func limited(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, largestRequest)
		next.ServeHTTP(w, r)
	})
}

// caught turns a broken promise inside into a message; the place goes into
// the log.
func (s *Server) caught(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			switch v := recover(); v {
			case nil:
			case http.ErrAbortHandler:
				panic(v)
			default:
				s.fail(w, r, fmt.Errorf("panic: %v\n%s", v, debug.Stack()))
			}
		}()
		next.ServeHTTP(w, r)
	})
}
