package web

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"slabwright/layout/place"
	"slabwright/layout/project"
)

// Config says what is served.
type Config struct {
	// Read reads the project. It is called when the server opens and again
	// when the page is loaded, so that a maker who edits the file sees it.
	Read func() (*project.Project, error)
	// File is the project file that a placement may be saved into; empty for
	// the embedded demo, which nobody can write to.
	File string
	// Log takes what went wrong inside. nil is silent.
	Log *slog.Logger
}

// Server serves one project on this machine alone. Make it with New.
type Server struct {
	config Config
	log    *slog.Logger
	http   *http.Server
	listen net.Listener

	alive context.Context // ends all long work at Close
	end   context.CancelFunc

	mu     sync.Mutex
	bench  *bench             // what the last good reading gave
	stop   context.CancelFunc // of the search that runs, or nil
	ticket int                // of the search that runs

	found atomic.Pointer[place.Result] // of the last search for looks; the next goes on from it
}

// New wires the routes. Open begins to serve.
func New(c Config) *Server {
	s := &Server{config: c, log: c.Log}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	s.alive, s.end = context.WithCancel(context.Background())
	s.http = &http.Server{
		Handler:           s.routes(),
		ReadHeaderTimeout: 10 * time.Second,
		ReadTimeout:       30 * time.Second,
		// No WriteTimeout: a search streams for as long as it runs.
		IdleTimeout:    2 * time.Minute,
		MaxHeaderBytes: 64 << 10,
		ErrorLog:       slog.NewLogLogger(s.log.Handler(), slog.LevelWarn),
	}
	return s
}

// Open reads the project and listens on addr, "127.0.0.1:0" for any free
// port. It tells at once when the project is wrong or the port is taken; then
// it serves until Close. Only addresses of this machine are taken.
func (s *Server) Open(addr string) error {
	if err := loopback(addr); err != nil {
		return err
	}
	if _, err := s.read(); err != nil {
		return err
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return fmt.Errorf("cannot listen on %s: %w; give another port, or port 0 for any that is free", addr, err)
	}
	s.listen = l
	go func() {
		if err := s.http.Serve(l); !errors.Is(err, http.ErrServerClosed) {
			s.log.Error("the server ended", "error", err)
		}
	}()
	return nil
}

// URL is where the page is, once Open has returned.
func (s *Server) URL() string { return "http://" + s.listen.Addr().String() + "/" }

// Handler is all that is served, for tests and for other servers.
func (s *Server) Handler() http.Handler { return s.http.Handler }

// Close stops the search that runs and lets open requests end until ctx does.
func (s *Server) Close(ctx context.Context) error {
	s.end()
	return s.http.Shutdown(ctx)
}

// loopback refuses addresses by which other machines could reach the page.
func loopback(addr string) error {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return fmt.Errorf("address %q: write HOST:PORT, such as 127.0.0.1:8017", addr)
	}
	if ip := net.ParseIP(host); host == "localhost" || ip != nil && ip.IsLoopback() {
		return nil
	}
	return fmt.Errorf("address %q: the page is for this machine alone; write 127.0.0.1, [::1] or localhost before the port", addr)
}
