package outline

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"path"
	"strconv"
	"strings"

	"slabwright/body/geom"
	"slabwright/fret/measure"
)

// Import reads an outline from a file by the ending of its name: .svg, .dxf, or
// .csv, .txt and .xy for the points of a trace.
func Import(name string, r io.Reader, o Options) (Imported, error) {
	switch strings.ToLower(path.Ext(name)) {
	case ".svg":
		return ImportSVG(r, o)
	case ".dxf":
		return ImportDXF(r, o)
	case ".csv", ".txt", ".xy":
		return ImportTrace(r, o)
	}
	return Imported{}, errors.New("an outline is read from a file that ends in .svg or .dxf, or from a trace's points in one that ends in .csv, .txt or .xy")
}

const defaultDeviationMM = 0.5 // ours: a pencil line

// ImportTrace fits a smooth outline of few curves to the points of a trace, as
// Fit does, within Options.DeviationMM at full size. The points stand one a
// line in order round the outline, x and y parted by a comma, a semicolon or
// spaces, y running up; a heading, blank lines and what follows a # are passed
// over. The unit is 1 mm unless Options.UnitMM says otherwise; with a known
// length any unit will do.
func ImportTrace(r io.Reader, o Options) (Imported, error) {
	var m Imported
	if o.ID != "" {
		return m, fmt.Errorf("a trace has no %q in it: its points are one outline", o.ID)
	}
	unit := o.UnitMM
	if unit == 0 {
		unit = 1
	}
	if !(unit > 1e-6 && unit < 1e6) {
		return m, fmt.Errorf("the file's unit is given as %g mm, which cannot be", o.UnitMM)
	}
	deviation := o.DeviationMM
	if deviation == 0 {
		deviation = defaultDeviationMM
	}
	if !(deviation > 0 && deviation <= 20) {
		return m, fmt.Errorf("the deviation to allow is %s, must be over 0 and at most %s", o.words(o.DeviationMM), o.words(20))
	}
	if o.LengthMM != 0 && !(o.LengthMM >= minSizeMM && o.LengthMM <= maxSizeMM) {
		return m, fmt.Errorf("known length is %s, must be from %s to %s", o.words(o.LengthMM), o.words(minSizeMM), o.words(maxSizeMM))
	}
	points, err := readPoints(r)
	if err != nil {
		return m, fmt.Errorf("trace: %w", err)
	}
	var ring geom.Polygon
	for _, p := range points {
		ring = append(ring, geom.Pt(unit*p.X, unit*p.Y))
	}
	full := 1.0 // from the drawing to full size, about
	b := ring.Bounds()
	if o.LengthMM != 0 {
		switch o.Neck {
		case NeckLeft, NeckRight, AsDrawn:
			full = o.LengthMM / b.Width()
		case NeckUp, NeckDown:
			full = o.LengthMM / b.Height()
		default:
			full = o.LengthMM / math.Max(b.Width(), b.Height())
		}
	} else if b.Width() < minSizeMM || b.Height() < minSizeMM || b.Width() > maxSizeMM || b.Height() > maxSizeMM {
		// said before the fit, which would complain about its deviation
		return m, fmt.Errorf("trace: the points cover %s × %s; a body is %s to %s both ways. Give the unit or a known length", o.words(b.Width()), o.words(b.Height()), o.words(minSizeMM), o.words(maxSizeMM))
	}
	file := func(p geom.Point) geom.Point { return geom.Pt(p.X/unit, p.Y/unit) }
	fitted, err := Fit(ring, deviation/full)
	if e := (misfit{}); errors.As(err, &e) {
		return m, fmt.Errorf("trace: %s", e.say(measure.Length(full), file(e.at), o.Show))
	}
	if err != nil {
		return m, fmt.Errorf("trace: %w", err)
	}
	worst, at := 0.0, geom.Point{}
	line := geom.Polygon(fitted.Flatten(deviation / full / 100))
	for _, p := range ring {
		if d, _ := line.BoundaryDistance(p); d > worst {
			worst, at = d, p
		}
	}
	m.note("fitted %d curves to %d points; the one that lies farthest off, at (%.6g, %.6g), is %s off", len(fitted.Curves), len(points), file(at).X, file(at).Y, o.words(worst*full))
	p := piece{curves: fitted.Curves, closed: true, name: "the trace"}
	if err := m.finish([]piece{p}, o, file); err != nil {
		return Imported{}, fmt.Errorf("trace: %w", err)
	}
	return m, nil
}

func readPoints(r io.Reader) ([]geom.Point, error) {
	const limit = 16 << 20
	data, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return nil, err
	}
	if len(data) > limit {
		return nil, fmt.Errorf("it is longer than %d MB", limit>>20)
	}
	var points []geom.Point
	headed := false
	scanner := bufio.NewScanner(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff"))))
	scanner.Buffer(nil, 1<<20)
	line := 0
	for ; scanner.Scan(); line++ {
		text, _, _ := strings.Cut(scanner.Text(), "#")
		cells := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",; \t\r", r) })
		if len(cells) == 0 {
			continue
		}
		var at [2]float64
		for i := range at {
			if i < len(cells) {
				at[i], err = strconv.ParseFloat(cells[i], 64)
			}
			if i >= len(cells) || err != nil || !(math.Abs(at[i]) < 1e9) {
				err = fmt.Errorf("line %d: two numbers are wanted, x and y, with points for decimals, not %.40q", line+1, strings.TrimSpace(text))
				break
			}
		}
		switch {
		case err != nil && len(points) == 0 && !headed:
			headed, err = true, nil // a heading
		case err != nil:
			return nil, err
		default:
			points = append(points, geom.Pt(at[0], at[1]))
		}
	}
	if err := scanner.Err(); err != nil {
		return nil, fmt.Errorf("line %d: %w", line+1, err)
	}
	if len(points) == 0 {
		return nil, errors.New("there are no points in it: write one a line, x and y parted by a comma")
	}
	return points, nil
}
