package main

import (
	"fmt"
	"io/fs"
	"os"
	"strings"

	"errors"

	"slabwright/layout/project"
)

type newCommand struct {
	File string `arg:"" optional:"" placeholder:"FILE" help:"File to write; standard output when none is named. An existing file is left alone."`
	From string `default:"starter" placeholder:"NAME" help:"What to begin with: starter (every key explained), or a sample: ${samples} (${default})."`
}

// Examples end the help.
func (*newCommand) Examples() []string {
	return []string{
		"slabwright new panel.toml",
		"slabwright new bench.toml --from bench",
		"slabwright new > panel.toml",
	}
}

// Run writes the file, whole or not at all.
func (n *newCommand) Run(c *console) error {
	text := project.Starter()
	if n.From != "starter" {
		p, err := project.Sample(n.From)
		if err != nil {
			return fmt.Errorf("--from: %w, or starter", err)
		}
		text = p.Source.Bytes()
	}
	if n.File == "" {
		_, err := c.out.Write(text)
		return err
	}
	f, err := os.OpenFile(n.File, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s exists already and is left as it is; name another file", n.File)
	}
	if err != nil {
		return fmt.Errorf("cannot write the project: %w", err)
	}
	_, err = f.Write(text)
	if err = errors.Join(err, f.Close()); err != nil {
		return errors.Join(fmt.Errorf("cannot write the project: %w", err), os.Remove(n.File))
	}
	c.say("wrote %s; change its values, then: slabwright check %s", n.File, n.File)
	return nil
}

func samples() string { return strings.Join(project.Samples(), ", ") }
