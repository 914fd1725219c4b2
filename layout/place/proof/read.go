package proof

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"

	"slabwright/layout/place"
)

// levelOnly is the format before certificates spoke of tilted bodies.
const levelOnly = "slabwright certificate 1"

// Sizes that no honest certificate reaches.
const (
	longestLine = 1 << 20
	mostCuts    = 600
)

// Read reads a certificate. Whatever is not one is refused with the line where
// it goes wrong; what it says is not checked here.
func Read(r io.Reader) (*place.Certificate, error) {
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, longestLine)
	t := &place.Certificate{}
	n := 0
	for lines.Scan() {
		n++
		if n == 1 {
			if err := strict(lines.Bytes(), &t.CertificateHead); err != nil {
				return nil, fmt.Errorf("line 1: this is no certificate: %w", err)
			}
			if t.Format == levelOnly {
				return nil, fmt.Errorf("line 1: format %q: an earlier program wrote it, have slabwright place write it anew", t.Format)
			}
			if t.Format != place.CertificateFormat {
				return nil, fmt.Errorf("line 1: format %q; this program reads %q", t.Format, place.CertificateFormat)
			}
			if t.Bound < 0 {
				return nil, fmt.Errorf("line 1: bound %v; scores are never below 0", t.Bound)
			}
			for i, b := range t.Roots {
				if err := sound(b); err != nil {
					return nil, fmt.Errorf("line 1, root %d: %w", i, err)
				}
			}
			continue
		}
		var p place.Proved
		if err := strict(lines.Bytes(), &p); err != nil {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
		if err := sound(p.Range); err != nil {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
		if p.Root < 0 || p.Root >= len(t.Roots) {
			return nil, fmt.Errorf("line %d: root %d; there are roots 0 to %d", n, p.Root, len(t.Roots)-1)
		}
		if len(p.Cuts) > mostCuts {
			return nil, fmt.Errorf("line %d: %d cuts; at most %d are read", n, len(p.Cuts), mostCuts)
		}
		for _, c := range p.Cuts {
			if axis(c) < 0 {
				return nil, fmt.Errorf("line %d: cut %q; a cut is one of x, y, a, X, Y, A", n, c)
			}
		}
		t.Ranges = append(t.Ranges, p)
	}
	switch err := lines.Err(); {
	case errors.Is(err, bufio.ErrTooLong):
		return nil, fmt.Errorf("line %d: longer than %d bytes; this is no certificate", n+1, longestLine)
	case err != nil:
		return nil, fmt.Errorf("line %d: %w", n+1, err)
	case n == 0:
		return nil, errors.New("the certificate is empty")
	case len(t.Ranges) != t.Count:
		return nil, fmt.Errorf("line 1 promises %d ranges, but %d follow: lines were lost or added", t.Count, len(t.Ranges))
	}
	return t, nil
}

// strict reads one JSON object with no unknown keys and nothing after it.
func strict(line []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(line))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return fmt.Errorf("not as expected: %w", err)
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("something stands after the object")
	}
	return nil
}

// sound tells whether a range is one at all.
func sound(r place.Range) error {
	if r.Face != place.Top && r.Face != place.Bottom {
		return fmt.Errorf("face %q; it is top or bottom", r.Face)
	}
	for _, v := range [][2]float64{r.X, r.Y, r.Angle} {
		if v[1] < 0 {
			return fmt.Errorf("half size %v; it is 0 or more", v[1])
		}
		if math.Abs(v[0]) > 1e6 || v[1] > 1e6 {
			return fmt.Errorf("%v ± %v is out of this world", v[0], v[1])
		}
	}
	return nil
}

// axis is which side a cut halves, 0 x, 1 y, 2 angle; −1 when it is none.
func axis(cut rune) int {
	switch cut {
	case 'x', 'X':
		return 0
	case 'y', 'Y':
		return 1
	case 'a', 'A':
		return 2
	}
	return -1
}
