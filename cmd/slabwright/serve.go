package main

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"runtime"
	"time"

	"slabwright/layout/project"
	"slabwright/web"
)

type serveCommand struct {
	projectArg
	Addr   string `placeholder:"HOST:PORT" help:"Where to serve, on this machine alone (127.0.0.1:8017, or any free port when that is taken)."`
	NoOpen bool   `help:"Do not open the page in a browser."`
}

// Examples end the help.
func (*serveCommand) Examples() []string {
	return []string{
		"slabwright serve                             # the demo",
		"slabwright serve panel.toml",
		"slabwright serve panel.toml --addr 127.0.0.1:9000 --no-open",
	}
}

const usualAddr, anyAddr = "127.0.0.1:8017", "127.0.0.1:0"

// Run serves until the context ends.
func (s *serveCommand) Run(c *console) error {
	server := web.New(web.Config{
		Read: func() (*project.Project, error) { return s.read() },
		File: s.Project,
		Log:  slog.New(slog.NewTextHandler(c.err, &slog.HandlerOptions{Level: slog.LevelWarn})),
	})
	if _, err := s.read(); err != nil { // so that a wrong project is told as elsewhere
		return err
	}
	var err error
	if s.Addr != "" {
		err = server.Open(s.Addr)
	} else if err = server.Open(usualAddr); err != nil {
		err = server.Open(anyAddr)
	}
	if err != nil {
		return err
	}
	fmt.Fprintln(c.out, server.URL())
	c.say("serving on this machine alone; Ctrl-C ends it")
	if !s.NoOpen {
		openBrowser(c.ctx, server.URL())
	}
	<-c.ctx.Done()
	last, cancel := context.WithTimeout(context.WithoutCancel(c.ctx), 3*time.Second)
	defer cancel()
	if err := server.Close(last); err != nil && last.Err() == nil {
		return err
	}
	return nil
}

// openBrowser shows the page where a desktop is there to show it. When that
// fails the maker has the address in print.
func openBrowser(ctx context.Context, url string) {
	var command []string
	switch runtime.GOOS {
	case "darwin":
		command = []string{"open", url}
	case "windows":
		command = []string{"rundll32", "url.dll,FileProtocolHandler", url}
	default:
		if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
			return
		}
		command = []string{"xdg-open", url}
	}
	opener := exec.CommandContext(ctx, command[0], command[1:]...)
	if opener.Start() == nil {
		go func() { _ = opener.Wait() }() // reaps it
	}
}
