// Command slabwright lays an instrument's body out in a slab of glued strips:
// frets, neck, body, slab, the best placement with its proof, the verdict, and
// overlays at full size. "slabwright --help" lists what it does.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	// The first Ctrl-C asks long work to end with what it has; after that the
	// signal has its usual effect again.
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	// Answers go where Run is told. What a library prints by itself, as the path
	// engine does before it panics, must not get between them.
	out := os.Stdout
	os.Stdout = nil // prints to it fail, and nobody minds
	os.Exit(Run(ctx, os.Args[1:], os.Stdin, out, os.Stderr))
}
