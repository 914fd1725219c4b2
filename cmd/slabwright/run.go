package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"reflect"
	"runtime/debug"
	"strings"

	"github.com/alecthomas/kong"

	"slabwright/layout/project"
)

// The exit statuses.
const (
	done   = 0
	failed = 1 // done, and a check failed or nothing fits
	misuse = 2 // bad use or bad input
)

// commands is the command line, one field a command.
type commands struct {
	Serve serveCommand `cmd:"" help:"Open the local page: see the slab, drag and turn the body, print."`
	New   newCommand   `cmd:"" help:"Write a commented project file to begin with."`
	Frets fretsCommand `cmd:"" help:"Fret positions of a scale or a project."`
	Neck  neckCommand  `cmd:"" help:"Strings, intonation, neck angle, neck blank."`
	Body  bodyCommand  `cmd:"" help:"Outline, cavities, weight and balance of the body."`
	Slab  slabCommand  `cmd:"" help:"The stack of strips, what to buy, chambers and weight."`
	Place placeCommand `cmd:"" help:"The best placement of the body in the slab, with proof."`
	Check checkCommand `cmd:"" help:"The verdict: is all of it solid wood, and with how much to spare?"`
	Print printCommand `cmd:"" help:"Overlays and shop sheets at full size."`
	Wood  woodCommand  `cmd:"" help:"The wood table."`

	Version kong.VersionFlag `help:"Tell the version."`
}

// console is what a command works with.
type console struct {
	ctx      context.Context
	in       io.Reader
	out, err io.Writer
}

// say writes a message for the maker, who may be reading results elsewhere.
func (c *console) say(format string, args ...any) { fmt.Fprintf(c.err, format+"\n", args...) }

// errFailed ends a command whose work is done and whose answer is no; all that
// is to be said has been said.
var errFailed = errors.New("a check failed")

// exit is what the command-line library wants to leave the program with.
type exit int

// Run does what the arguments say and returns the exit status. Results go to
// stdout, messages to stderr. When ctx ends, long work ends with what it has.
func Run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) (status int) {
	var line commands
	parser, err := kong.New(&line,
		kong.Name("slabwright"),
		kong.Description("Lays an instrument's body out in a slab of glued strips and says whether it is all solid wood."),
		kong.Writers(stdout, stderr),
		kong.Vars{"version": version(), "samples": samples(), "sheets": sheetNames(), "slabLists": slabListNames(), "papers": paperNames(), "formats": formatNames()},
		kong.ConfigureHelp(kong.HelpOptions{NoExpandSubcommands: true, WrapUpperBound: 96}),
		kong.Help(help),
		// --help and --version leave from within the parser.
		kong.Exit(func(code int) { panic(exit(code)) }),
	)
	if err != nil {
		panic("slabwright: the command line is declared wrongly: " + err.Error())
	}
	defer func() {
		if v := recover(); v != nil {
			code, ok := v.(exit)
			if !ok {
				panic(v)
			}
			status = int(code)
		}
	}()
	c := &console{ctx, stdin, stdout, stderr}
	if len(args) == 0 {
		c.say("slabwright: no command is given; %s", commandList(parser))
		return misuse
	}
	parsed, err := parser.Parse(args)
	if err != nil {
		c.say("slabwright: %s", usage(err, parser, args))
		return misuse
	}
	return c.status(parsed.Run(c))
}

// status tells the maker of an error and turns it into an exit status.
func (c *console) status(err error) int {
	var problems project.Problems
	switch {
	case err == nil:
		return done
	case errors.Is(err, errFailed):
		return failed
	case errors.As(err, &problems):
		c.say("%v", err) // begins with file and line, as editors like it
	default:
		c.say("slabwright: %v", err)
	}
	return misuse
}

// usage is the message about a command line that could not be read, with the
// way to its help.
func usage(err error, parser *kong.Kong, args []string) string {
	words := err.Error()
	if flag, rest, ok := strings.Cut(words, ": expected duration but got "); ok {
		got, _, _ := strings.Cut(rest, ": time:")
		words = fmt.Sprintf("%s: %s is no time; write one such as 10s or 2m", flag, got)
	}
	command := ""
	for _, n := range parser.Model.Children {
		if n.Name == args[0] {
			command = " " + n.Name
		}
	}
	if command == "" && !strings.HasPrefix(args[0], "-") && !strings.Contains(words, "did you mean") {
		words = fmt.Sprintf("there is no command %q; %s", args[0], commandList(parser))
	}
	return fmt.Sprintf("%s (slabwright%s --help tells more)", words, command)
}

func commandList(parser *kong.Kong) string {
	var names []string
	for _, n := range parser.Model.Children {
		names = append(names, n.Name)
	}
	return "the commands are " + strings.Join(names, ", ")
}

// exampled is a command whose help ends in example lines.
type exampled interface{ Examples() []string }

// help prints what the library prints, then the examples.
func help(options kong.HelpOptions, ctx *kong.Context) error {
	if err := kong.DefaultHelpPrinter(options, ctx); err != nil {
		return err
	}
	examples := []string{
		"slabwright print --out overlays            # the demo: placement, verdict, overlays",
		"slabwright new panel.toml                  # a project of your own",
		"slabwright check panel.toml                # its verdict",
		"slabwright serve panel.toml                # the same by hand and eye",
	}
	if n := ctx.Selected(); n != nil {
		e, ok := reflect.Indirect(n.Target).Addr().Interface().(exampled)
		if !ok {
			return nil
		}
		examples = e.Examples()
	}
	fmt.Fprint(ctx.Stdout, "\nExamples:\n")
	for _, e := range examples {
		fmt.Fprintln(ctx.Stdout, "  "+e)
	}
	return nil
}

// version is the module's version or, when built from a work tree, its commit.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "slabwright, unknown version"
	}
	words := "slabwright " + info.Main.Version
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && !strings.Contains(words, s.Value[:min(12, len(s.Value))]) {
			words += " " + s.Value[:min(12, len(s.Value))]
		}
	}
	return words + ", " + info.GoVersion
}
