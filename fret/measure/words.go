package measure

import (
	"errors"
	"fmt"
	"strings"
)

// Errorf is fmt.Errorf for a message with lengths in it: an argument that is a
// Length, written with %v, is shown with its unit. Error shows millimetres;
// Reword writes the message for a reader who measures in another unit. It
// does not wrap.
func Errorf(format string, args ...any) error { return &message{format, args} }

type message struct {
	format string
	args   []any
}

func (m *message) Error() string { return m.in(Millimetres) }

func (m *message) in(u Unit) string {
	args := make([]any, len(m.args))
	for i, a := range m.args {
		if l, ok := a.(Length); ok {
			a = l.Format(u)
		}
		args[i] = a
	}
	return fmt.Sprintf(m.format, args...)
}

// Reword is the error's message with the lengths of an Errorf in it, wrapped or
// not, written in u.
func Reword(err error, u Unit) string {
	var m *message
	if !errors.As(err, &m) {
		return err.Error()
	}
	return strings.Replace(err.Error(), m.Error(), m.in(u), 1)
}
