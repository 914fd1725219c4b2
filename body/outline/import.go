package outline

import (
	"errors"
	"fmt"
	"math"

	"slabwright/body/geom"
	"slabwright/fret/measure"
)

// NeckSide says where the neck end of the body is in a drawing.
type NeckSide int

const (
	// NeckInferred: along the longer side of the drawing's box, at the end
	// with less wood.
	NeckInferred NeckSide = iota
	// NeckLeft, NeckRight, NeckUp and NeckDown are said by the maker.
	NeckLeft
	NeckRight
	NeckUp
	NeckDown
	// AsDrawn keeps the drawing's axes and origin; y runs up.
	AsDrawn
)

// Options for reading an outline from a file. The zero value is good.
type Options struct {
	// ID picks the outline: an element's or group's id in SVG, a layer in DXF.
	// Empty picks the largest closed outline.
	ID string
	// UnitMM is the size of the file's unit, for a file that does not say. 0
	// means the usual assumption: 1/96 in for SVG, 1 mm for DXF.
	UnitMM float64
	// GapMM is the widest gap between ends that is closed. 0 means 0.05 mm.
	GapMM float64
	// LengthMM, when not 0, scales the outline to this length along the
	// neck's direction (as drawn: along x).
	LengthMM float64
	// Neck turns the outline so that the neck end points to −u.
	Neck NeckSide
	// DeviationMM is how far from the points of a trace the outline may run. 0
	// means 0.5 mm.
	DeviationMM float64
	// Show is the unit of lengths in notes and errors.
	Show measure.Unit
	// Mirror is for drawings seen from the back, or for the other hand.
	Mirror bool
}

// words is a length in the unit of the notes.
func (o Options) words(mm float64) string { return measure.Length(mm).Format(o.Show) }

// fine words what one unit of a drawing measures, in six digits.
func (o Options) fine(mm float64) string {
	return fmt.Sprintf("%.6g %s", mm/o.Show.Length().Mm(), o.Show)
}

// Imported is an outline from a file.
type Imported struct {
	// Path is closed and counter-clockwise, in mm. Unless AsDrawn it lies in
	// the package's frame: the neck end at u = 0 on the centreline, which runs
	// through the middle of a straight neck end, or of the whole width.
	Path geom.Path
	// Hand is inferred from cutaways and horns: one cutaway alone is on the
	// treble side, and the horn that reaches farther is the bass one. HandSeen
	// is false when both sides are alike, within 3 mm.
	Hand     Hand
	HandSeen bool
	// Notes say what was chosen, assumed, closed and inferred.
	Notes []string
}

func (m *Imported) note(format string, args ...any) {
	m.Notes = append(m.Notes, fmt.Sprintf(format, args...))
}

const (
	defaultGapMM = 0.05
	maxCurves    = 20000 // an outline of more pieces is not one a maker drew
	maxPoints    = 60000
	minSizeMM    = 50
	maxSizeMM    = 5000
)

// piece is one drawn chain of curves, in mm, y up.
type piece struct {
	curves []geom.Curve
	closed bool
	name   string // what to call it in a message
}

func (p piece) start() geom.Point { return p.curves[0].P0 }
func (p piece) end() geom.Point   { return p.curves[len(p.curves)-1].P3 }

func (p piece) reversed() piece {
	p.curves = geom.Path{Curves: p.curves}.Reversed().Curves
	return p
}

func (p piece) bounds() geom.Box { return geom.Path{Curves: p.curves}.Bounds() }

// finish makes an outline of the pieces of a drawing: joins them, chooses the
// largest closed one, checks it and turns it into place. Messages tell places
// as the drawing has them, which file makes of mm.
func (m *Imported) finish(pieces []piece, o Options, file func(geom.Point) geom.Point) error {
	gap := o.GapMM
	if gap == 0 {
		gap = defaultGapMM
	}
	if !(gap > 0 && gap <= 10) {
		return fmt.Errorf("gaps to close are %s wide, must be over 0 and at most %s", o.words(o.GapMM), o.words(10))
	}
	if o.LengthMM != 0 && !(o.LengthMM >= minSizeMM && o.LengthMM <= maxSizeMM) {
		return fmt.Errorf("known length is %s, must be from %s to %s", o.words(o.LengthMM), o.words(minSizeMM), o.words(maxSizeMM))
	}
	var kept []piece
	count := 0
	for _, p := range pieces {
		p.curves = withLength(p.curves)
		if len(p.curves) == 0 {
			continue
		}
		for _, c := range p.curves {
			for _, q := range []geom.Point{c.P0, c.P1, c.P2, c.P3} {
				if !q.Finite() || math.Abs(q.X) > 1e6 || math.Abs(q.Y) > 1e6 {
					q = file(q)
					return fmt.Errorf("%s goes to (%g, %g), which is no place on a drawing", p.name, q.X, q.Y)
				}
			}
		}
		if count += len(p.curves); count > maxCurves {
			return fmt.Errorf("the drawing has more than %d curves: leave only the outline in it, or name the outline", maxCurves)
		}
		kept = append(kept, p)
	}
	if len(kept) == 0 {
		return errors.New("the drawing has no line or curve in it that could be an outline")
	}
	// A known length scales the drawing, and gaps are meant at full size.
	if o.LengthMM != 0 {
		if gap = gap / scaleGuess(kept, o.LengthMM); !(gap > 0) {
			gap = defaultGapMM
		}
	}
	chains, widest := join(kept, gap)
	best, largest, closed := -1, 0.0, 0
	open, openSize := -1, 0.0
	for i, c := range chains {
		if !c.closed {
			b := c.bounds()
			if s := b.Width() * b.Height(); open < 0 || s > openSize {
				open, openSize = i, s
			}
			continue
		}
		closed++
		if a := math.Abs(geom.Path{Curves: c.curves, Closed: true}.Area()); best < 0 || a > largest {
			best, largest = i, a
		}
	}
	if open >= 0 && (best < 0 || openSize > 4*largest) {
		c := chains[open]
		a, b := file(c.start()), file(c.end())
		return fmt.Errorf("the outline is open: %s begins at (%.6g, %.6g) and ends at (%.6g, %.6g) of the drawing, %s apart; gaps up to %s are closed",
			c.name, a.X, a.Y, b.X, b.Y, o.words(c.start().Distance(c.end())), o.words(gap))
	}
	chosen := chains[best]
	switch others := closed - 1; {
	case others > 0:
		m.note("took the largest of %d closed outlines, %s; the others are left out", closed, chosen.name)
	case len(chains) > 1:
		m.note("took the one closed outline, %s; open lines are left out", chosen.name)
	default:
		m.note("took %s", chosen.name)
	}
	if widest > 1e-6 {
		m.note("closed gaps of up to %s between ends", o.words(widest))
	}
	path := geom.Path{Curves: chosen.curves, Closed: true}
	if path.Area() < 0 {
		path = path.Reversed()
	}
	placed, err := m.place(path, o)
	if err != nil {
		return err
	}
	if err := o.checkSize(placed, chosen.name); err != nil {
		return err
	}
	// Looked for in the drawing's own place, so that the message tells it.
	ring := geom.Polygon(path.Flatten(0.005 * controlLength(path) / controlLength(placed)))
	if len(ring) > maxPoints {
		return fmt.Errorf("the outline %s is too involved: %d curves", chosen.name, len(path.Curves))
	}
	if c, ok := ring.SelfCrossing(); ok {
		at := file(c.At)
		return fmt.Errorf("the outline %s crosses or touches itself near (%.6g, %.6g) of the drawing", chosen.name, at.X, at.Y)
	}
	if !(placed.Area() > 1) {
		return fmt.Errorf("the outline %s encloses nothing", chosen.name)
	}
	m.Path = placed
	return nil
}

// checkSize refuses what no body can measure.
func (o Options) checkSize(p geom.Path, name string) error {
	b := p.Bounds()
	w, h := b.Width(), b.Height()
	if !(w >= minSizeMM && h >= minSizeMM) {
		return fmt.Errorf("the outline %s is tiny: %s × %s; a body is at least %s both ways. Is the unit right?", name, o.words(w), o.words(h), o.words(minSizeMM))
	}
	if !(w <= maxSizeMM && h <= maxSizeMM) {
		return fmt.Errorf("the outline %s is huge: %s × %s; at most %s both ways. Is the unit right?", name, o.words(w), o.words(h), o.words(maxSizeMM))
	}
	if long := controlLength(p); long > 40*maxSizeMM {
		return fmt.Errorf("the outline %s is too involved: %d curves, %s of line", name, len(p.Curves), o.words(long))
	}
	return nil
}

// controlLength is the length of the lines through all control points.
func controlLength(p geom.Path) float64 {
	l := 0.0
	for _, c := range p.Curves {
		l += c.P0.Distance(c.P1) + c.P1.Distance(c.P2) + c.P2.Distance(c.P3)
	}
	return l
}

// place turns a counter-clockwise path into the package's frame and scales it.
func (m *Imported) place(path geom.Path, o Options) (geom.Path, error) {
	if o.Mirror {
		path = path.Moved(geom.FlipY())
		m.note("mirrored, as asked")
	}
	b := path.Bounds()
	side := o.Neck
	if side == NeckInferred {
		c := geom.Polygon(path.Flatten(math.Max(b.Width(), b.Height())/1000 + 1e-12)).Moments().Centroid()
		if b.Width() >= b.Height() {
			if side = NeckLeft; c.X < b.Centre().X {
				side = NeckRight
			}
		} else if side = NeckUp; c.Y > b.Centre().Y {
			side = NeckDown
		}
		m.note("the neck end was taken to be %s in the drawing: along its longer side, at the end with less wood", sideNames[side])
	}
	turn := map[NeckSide]float64{NeckLeft: 0, NeckUp: math.Pi / 2, NeckRight: math.Pi, NeckDown: -math.Pi / 2, AsDrawn: 0}
	angle, ok := turn[side]
	if !ok {
		return path, fmt.Errorf("unknown neck side %d", side)
	}
	if angle != 0 {
		path = path.Moved(quarterTurns(angle))
	}
	b = path.Bounds()
	if side != AsDrawn {
		path = m.centre(path, o)
	}
	if o.LengthMM != 0 {
		k := o.LengthMM / b.Width()
		if !(k > 1e-6 && k < 1e6) {
			return path, fmt.Errorf("the outline is %s long and cannot be scaled to %s", o.words(b.Width()), o.words(o.LengthMM))
		}
		path = scaled(path, k)
		m.note("scaled by %.6g to the known length of %s", k, o.words(o.LengthMM))
	}
	m.inferHand(path, o)
	return path, nil
}

// centre moves a path whose neck end points to −u so that the neck end lies at
// the origin.
func (m *Imported) centre(path geom.Path, o Options) geom.Path {
	b := path.Bounds()
	k := 1.0 // from the drawing to full size
	if o.LengthMM != 0 {
		k = o.LengthMM / b.Width()
	}
	v := b.Centre().Y
	if at, width, ok := neckEnd(path, k); ok {
		v = at
		m.note("the centreline was taken to run through the middle of the straight neck end, %s wide", o.words(width*k))
	} else {
		m.note("the centreline was taken to run through the middle of the width: there is no straight neck end, %s to %s wide, to tell", o.words(40), o.words(100))
	}
	// The neck end on the centreline is the first crossing.
	u := math.Inf(1)
	ring := path.Flatten(b.Width() * 1e-6)
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		if (p.Y > v) != (q.Y > v) {
			u = math.Min(u, p.Lerp(q, (v-p.Y)/(q.Y-p.Y)).X)
		}
	}
	if math.IsInf(u, 1) { // an outline without height; it will be refused
		u = b.Min.X
	}
	return path.Moved(geom.Shift(geom.V(-u, -v)))
}

// neckEnd finds the longest straight stretch square across u, 40 to 100 mm wide
// at full size (k times the drawing), that faces the neck in the front half and
// whose middle lies in the middle third of the width: its middle v, and its
// width in the drawing.
func neckEnd(path geom.Path, k float64) (v, width float64, ok bool) {
	b := path.Bounds()
	n := len(path.Curves)
	facing := func(c geom.Curve) bool { // counter-clockwise, the neck end runs toward −v
		for _, d := range []geom.Vec{c.P3.Sub(c.P0), c.P1.Sub(c.P0), c.P3.Sub(c.P2)} {
			if !(d.Y < 0 && math.Abs(d.X) <= 0.01*-d.Y) { // square within 1 %, as rounded files have it
				return false
			}
		}
		return c.P0.X < b.Centre().X
	}
	for i := range path.Curves {
		if !facing(path.Curves[i]) || n > 1 && facing(path.Curves[(i+n-1)%n]) {
			continue // not the beginning of a stretch
		}
		j := i
		for j+1 < i+n && facing(path.Curves[(j+1)%n]) {
			j++
		}
		from, to := path.Curves[i].P0, path.Curves[j%n].P3
		w, mid := from.Distance(to), (from.Y+to.Y)/2
		if w*k >= 40 && w*k <= 100 && w > width && math.Abs(mid-b.Centre().Y) < b.Height()/6 {
			v, width, ok = mid, w, true
		}
	}
	return v, width, ok
}

var sideNames = map[NeckSide]string{NeckLeft: "left", NeckRight: "right", NeckUp: "up", NeckDown: "down"}

// quarterTurns is the exact turn by a multiple of 90°.
func quarterTurns(angle float64) geom.Rigid {
	s, c := math.Sincos(angle)
	return geom.Rigid{C: math.Round(c), S: math.Round(s)}
}

func scaled(p geom.Path, k float64) geom.Path {
	out := geom.Path{Closed: p.Closed, Curves: make([]geom.Curve, len(p.Curves))}
	s := func(q geom.Point) geom.Point { return geom.Pt(k*q.X, k*q.Y) }
	for i, c := range p.Curves {
		out.Curves[i] = geom.Curve{P0: s(c.P0), P1: s(c.P1), P2: s(c.P2), P3: s(c.P3)}
	}
	return out
}

// inferHand looks for cutaways: of two, the shorter horn is the treble one; one
// alone is on the treble side, where the hand goes; without any it compares how
// far both sides reach toward the neck.
func (m *Imported) inferHand(path geom.Path, o Options) {
	b := path.Bounds()
	ring := geom.Polygon(path.Flatten(b.Width() / 2000))
	// Begin at the neck end, in the middle of the width.
	v, start, at := b.Centre().Y, -1, math.Inf(1)
	for i, p := range ring {
		if q := ring[(i+1)%len(ring)]; (p.Y > v) != (q.Y > v) && p.X < at {
			start, at = i, p.X
		}
	}
	if start < 0 {
		return
	}
	// horn follows one side from there as far as the tail: how far forward its
	// horn reaches, and how deep the cutaway before it is.
	horn := func(first, step int) (tip, cut float64) {
		n := len(ring)
		tip, bay := math.Inf(1), math.Inf(-1)
		for k := range n {
			p := ring[((first+step*k)%n+n)%n]
			away := (v - p.Y) * float64(step) // a counter-clockwise ring goes from the neck end to −v
			if away < 0 {
				break
			}
			if away > b.Height()/20 { // the middle tenth is the neck end itself
				tip = math.Min(tip, p.X)
			}
			if p.X < b.Centre().X {
				cut = math.Max(cut, bay-p.X)
			}
			bay = math.Max(bay, p.X)
		}
		return tip, cut
	}
	bass, bassCut := horn(start+1, 1)
	treble, trebleCut := horn(start, -1)
	deep := b.Width() / 20
	const (
		right = "taken for right-handed: the "
		left  = "taken for left-handed: the "
	)
	switch d := treble - bass; {
	case trebleCut > deep && bassCut <= deep:
		m.Hand, m.HandSeen = RightHanded, true
		m.note(right + "one cutaway is on the treble side")
	case bassCut > deep && trebleCut <= deep:
		m.Hand, m.HandSeen = LeftHanded, true
		m.note(left + "one cutaway is on the other side, which makes that the treble side")
	case d > 3:
		m.Hand, m.HandSeen = RightHanded, true
		m.note(right+"horn that reaches %s farther, the bass one, is on the bass side", o.words(d))
	case d < -3:
		m.Hand, m.HandSeen = LeftHanded, true
		m.note(left+"horn that reaches %s farther, the bass one, is on the other side", o.words(-d))
	default:
		m.Hand = RightHanded
		m.note("both sides reach equally far: it cannot be seen for which hand it is; taken for right-handed")
	}
}

// scaleGuess is about what a known length will scale the drawing by.
func scaleGuess(pieces []piece, length float64) float64 {
	b := geom.EmptyBox()
	for _, p := range pieces {
		b = b.Union(p.bounds())
	}
	return length / math.Max(b.Width(), b.Height())
}

// withLength drops curves that go nowhere.
func withLength(curves []geom.Curve) []geom.Curve {
	out := make([]geom.Curve, 0, len(curves))
	for _, c := range curves {
		if c.P0 != c.P3 || c.P0 != c.P1 || c.P0 != c.P2 {
			out = append(out, c)
		}
	}
	return out
}

// join chains pieces whose ends lie within gap of each other, nearest first,
// and moves such ends to their middle. It tells the widest gap it closed.
func join(pieces []piece, gap float64) (chains []piece, widest float64) {
	type cell struct{ x, y int64 }
	at := func(p geom.Point) cell { return cell{int64(math.Floor(p.X / gap)), int64(math.Floor(p.Y / gap))} }
	ends := map[cell][]int{} // 2·piece for its start, 2·piece+1 for its end
	used := make([]bool, len(pieces))
	place := func(e int) geom.Point {
		if e%2 == 0 {
			return pieces[e/2].start()
		}
		return pieces[e/2].end()
	}
	for i, p := range pieces {
		if p.closed || p.start() == p.end() {
			continue
		}
		for _, e := range []int{2 * i, 2*i + 1} {
			c := at(place(e))
			ends[c] = append(ends[c], e)
		}
	}
	nearest := func(p geom.Point) (int, float64) {
		best, d := -1, gap
		c := at(p)
		for dx := int64(-1); dx <= 1; dx++ {
			for dy := int64(-1); dy <= 1; dy++ {
				for _, e := range ends[cell{c.x + dx, c.y + dy}] {
					if !used[e/2] {
						if f := place(e).Distance(p); f < d || f == d && (best < 0 || e < best) {
							best, d = e, f
						}
					}
				}
			}
		}
		return best, d
	}
	for i, p := range pieces {
		if used[i] {
			continue
		}
		used[i] = true
		p.curves = append([]geom.Curve(nil), p.curves...)
		if p.closed || p.start() == p.end() {
			if d := p.start().Distance(p.end()); d > 0 { // drawn shut: a straight line closes it
				p.curves = append(p.curves, geom.Line(p.end(), p.start()))
			}
			p.closed = true
			chains = append(chains, p)
			continue
		}
		parts := 1
		grow := func() {
			for p.start().Distance(p.end()) > gap || parts == 1 && len(p.curves) < 2 {
				e, d := nearest(p.end())
				if e < 0 {
					return
				}
				next := pieces[e/2]
				next.curves = append([]geom.Curve(nil), next.curves...)
				used[e/2] = true
				if e%2 == 1 {
					next = next.reversed()
				}
				snap(&p.curves[len(p.curves)-1], &next.curves[0])
				p.curves = append(p.curves, next.curves...)
				widest = math.Max(widest, d)
				parts++
			}
		}
		grow()
		if p.start().Distance(p.end()) > gap { // also from its other end
			p = p.reversed()
			grow()
			p = p.reversed()
		}
		if d := p.start().Distance(p.end()); d <= gap && len(p.curves) > 1 {
			snap(&p.curves[len(p.curves)-1], &p.curves[0])
			widest = math.Max(widest, d)
			p.closed = true
		}
		if parts > 1 {
			p.name = fmt.Sprintf("the chain of %d pieces that begins with %s", parts, p.name)
		}
		chains = append(chains, p)
	}
	return chains, widest
}

// snap moves the end of a and the beginning of b to their middle, and the
// control points beside them along; a straight line stays one.
func snap(a, b *geom.Curve) {
	m := a.P3.Lerp(b.P0, 0.5)
	if a.P3 != m {
		if a.Straight() {
			*a = geom.Line(a.P0, m)
		} else {
			a.P2 = a.P2.Add(m.Sub(a.P3))
			a.P3 = m
		}
	}
	if b.P0 != m {
		if b.Straight() {
			*b = geom.Line(m, b.P3)
		} else {
			b.P1 = b.P1.Add(m.Sub(b.P0))
			b.P0 = m
		}
	}
}

// ellipse is the arc round centre whose point at angle a is centre + M·(cos a,
// sin a), with M the columns p and q, from angle a over sweep, in cubics of at
// most 1/16 turn. Such a cubic strays from the arc by less than 1e-7 of its
// radius (the error of a quarter, 2.7e-4, falls with the sixth power of the
// angle; Goldapp, Approximation of circular arcs by cubic polynomials, CAGD 8,
// 1991).
func ellipse(centre geom.Point, p, q geom.Vec, a, sweep float64) []geom.Curve {
	n := max(1, int(math.Ceil(math.Abs(sweep)/(math.Pi/8)-1e-9)))
	step := sweep / float64(n)
	k := 4.0 / 3 * math.Tan(step/4)
	at := func(t float64) (geom.Point, geom.Vec) {
		s, c := math.Sincos(t)
		return centre.Add(p.Mul(c)).Add(q.Mul(s)), p.Mul(-s).Add(q.Mul(c))
	}
	curves := make([]geom.Curve, n)
	p0, v0 := at(a)
	for i := range curves {
		p1, v1 := at(a + step*float64(i+1))
		curves[i] = geom.Curve{P0: p0, P1: p0.Add(v0.Mul(k)), P2: p1.Add(v1.Mul(-k)), P3: p1}
		p0, v0 = p1, v1
	}
	return curves
}
