package place

import (
	"bufio"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"slices"
	"strings"

	"slabwright/body/geom"
	"slabwright/layout/slab"
)

// A Certificate is the proof of a search, for others to check: the best
// placement, and a tree of ranges that together hold every placement,
// each with the reason why nothing better is in it. Package proof checks one
// with code of its own.
//
// Where it is Tilted, it speaks of all placements that Settle gives: level ones,
// those with the tilt of their plot (as the ranges list them; another machine may find
// them 1e-7 radians off), and those in any plane within Steepest where that tilt
// has not the wood. Else it speaks of level placements alone: which are all that Settle
// gives in a slab with level faces, or thick enough for them wherever they lie. In another, where
// the slab's edges are rounded, or the middle of the body lies so near to its side that it may come out
// of the slab by a tilt, what other tilted ones than Best score is not proved.
//
// A range is a box in the plan place of the pivot (on the centreline, in the
// middle of the length of the body's flattened outline; of a tilted body, as of the
// same lying level) and the angle, for one face. The roots cover
// the bounds of the slab's outline, and all wished angles and faces. A range is
// cut in halves; Cuts tells the way from the root to it, a letter a cut: x, y
// or a for the lower half along x, y or the angle, X, Y or A for the upper.
type Certificate struct {
	CertificateHead
	Ranges []Proved // in the order of their roots, then of their Cuts
}

// CertificateFormat names the form of the file and its version.
const CertificateFormat = "slabwright certificate 2"

// CertificateHead is the first line of a certificate's file.
type CertificateHead struct {
	Format string  `json:"format"`
	Digest string  `json:"digest"` // of the Case, see Case.Digest
	Best   *Best   `json:"best"`   // nil when nothing allowed was found
	Tilted bool    `json:"tilted"` // it speaks of tilted placements, too
	Bound  float64 `json:"bound"`  // points: no allowed placement that it speaks of scores less; 0 when nothing is allowed
	Stop   Stopped `json:"stopped"`
	Roots  []Range `json:"roots"`
	Count  int     `json:"ranges"` // lines that follow
}

// Best is a placement as a certificate has it. Lengths are mm, angles radians.
type Best struct {
	X      float64 `json:"x_mm"`
	Y      float64 `json:"y_mm"`
	Angle  float64 `json:"angle_rad"`
	Height float64 `json:"height_mm"`
	Pitch  float64 `json:"pitch_rad"`
	Roll   float64 `json:"roll_rad"`
	Face   Face    `json:"face"`
	Score  float64 `json:"score"`
}

// Placement is where it lies.
func (b Best) Placement() Placement {
	return Placement{X: b.X, Y: b.Y, Angle: b.Angle, Height: b.Height, Pitch: b.Pitch, Roll: b.Roll, Face: b.Face}
}

// Range is a box of placements: middle and half size along x and y (mm, of the
// pivot) and of the angle (radians).
type Range struct {
	Face  Face       `json:"face"`
	X     [2]float64 `json:"x"`
	Y     [2]float64 `json:"y"`
	Angle [2]float64 `json:"angle"`
}

// Proved is a range and why nothing better is in it: one line of the file.
type Proved struct {
	Root int    `json:"root"`
	Cuts string `json:"cuts"`
	Range
	Reason Reason      `json:"reason"`
	At     *[2]float64 `json:"at,omitempty"`    // what the reason speaks of
	Index  int         `json:"index,omitempty"` // likewise
	Line   int         `json:"line,omitempty"`  // likewise
	// Of a Tilted certificate, the plots that the range meets, if they are few and bodies
	// may be tilted there: where the tilt of each surely leaves the wood, none lies tilted in
	// another way.
	Plots []Plot `json:"plots,omitempty"`
}

// Reason says why nothing better is in a range.
type Reason string

// The reasons, and what At, Index and Line say for each.
const (
	ByScore     Reason = "score"     // no placement in it scores less than the certificate's Bound
	NotDone     Reason = "open"      // the same; but it holds better ones, perhaps: the search was stopped, or the range too fine to cut
	ByEdge      Reason = "edge"      // the body's point At (u, v) stays too near to the slab's edge, or beyond it
	ByObstacle  Reason = "obstacle"  // the body's point At stays too near to obstacle Index of Slab.Obstacles, or in it
	ByHollow    Reason = "inside"    // the middle of obstacle Index stays too near to the body, or in it
	ByThickness Reason = "thickness" // between the top at x = At[0] and the bottom at x = At[1], both always under the body, is too little wood
	ByRelief    Reason = "relief"    // the same between the top over corner Index of the body's upper face and the bottom under corner Line of its lower face, see body.Relief
	ByWood      Reason = "wood"      // a level body has not the wood it needs, nor does any plane within Steepest leave it
	ByGlue      Reason = "glue"      // spot Index of Body.KeepFromGlue stays too near to Line of Slab.GlueLines
	ByStrip     Reason = "strip"     // strip wish Index, a must, is missed
	ByThrough   Reason = "through"   // glue line wish Index, a must, is missed
	ByNearX     Reason = "near-x"    // the wished place along the slab, a must, is missed
	ByGrain     Reason = "grain"     // the wished grain angle, a must, is missed
)

// Digest is a fingerprint (SHA-256) of all that a search depends on: the slab,
// the body's outline, faces and what is on it, the need and the wish.
func (c *Case) Digest() (string, error) {
	colours := []string{}
	for _, cell := range c.Slab.Cells() {
		colours = append(colours, c.Slab.Colour(cell.Wood))
	}
	h := sha256.New()
	if err := c.printBody(h); err != nil {
		return "", err
	}
	for _, v := range []any{c.Slab, colours, c.Need, c.Wish} {
		if err := fingerprint(h, reflect.ValueOf(v)); err != nil {
			return "", fmt.Errorf("fingerprint of the project: %w", err)
		}
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// printBody writes the fingerprint of what a placement asks of the body.
func (c *Case) printBody(w io.Writer) error {
	b := c.Body
	for _, v := range []any{b.Outline, b.Thickness, b.Shaped, b.Edges, b.Hidden, b.Solid, b.KeepFromGlue} {
		if err := fingerprint(w, reflect.ValueOf(v)); err != nil {
			return fmt.Errorf("fingerprint of the project: %w", err)
		}
	}
	return nil
}

// fingerprint writes a value field by field, each list with its length, and
// numbers by their bits.
func fingerprint(w io.Writer, v reflect.Value) error {
	put := func(n uint64) { _ = binary.Write(w, binary.BigEndian, n) } // a hash never fails
	switch v.Kind() {
	case reflect.Float64:
		f := v.Float()
		if f == 0 {
			f = 0 // −0 too
		}
		put(math.Float64bits(f))
	case reflect.Int, reflect.Int64, reflect.Int32:
		put(uint64(v.Int()))
	case reflect.Bool:
		if v.Bool() {
			put(1)
		} else {
			put(0)
		}
	case reflect.String:
		put(uint64(v.Len()))
		_, _ = io.WriteString(w, v.String())
	case reflect.Slice, reflect.Array:
		put(uint64(v.Len()))
		for i := range v.Len() {
			if err := fingerprint(w, v.Index(i)); err != nil {
				return err
			}
		}
	case reflect.Pointer:
		if v.IsNil() {
			put(0)
			return nil
		}
		put(1)
		return fingerprint(w, v.Elem())
	case reflect.Struct:
		for i := range v.NumField() {
			if err := fingerprint(w, v.Field(i)); err != nil {
				return fmt.Errorf("%s: %w", v.Type().Field(i).Name, err)
			}
		}
	default:
		return fmt.Errorf("a %s has no fingerprint", v.Type())
	}
	return nil
}

// Write writes the certificate: one JSON object a line, the head first. Numbers
// are not rounded.
func (t *Certificate) Write(w io.Writer) error {
	b := bufio.NewWriter(w)
	e := json.NewEncoder(b)
	t.Count = len(t.Ranges)
	if err := e.Encode(t.CertificateHead); err != nil {
		return fmt.Errorf("writing the certificate: %w", err)
	}
	for _, r := range t.Ranges {
		if err := e.Encode(r); err != nil {
			return fmt.Errorf("writing the certificate: %w", err)
		}
	}
	if err := b.Flush(); err != nil {
		return fmt.Errorf("writing the certificate: %w", err)
	}
	return nil
}

// recorder keeps what a search proved of each range. A nil recorder keeps
// nothing.
type recorder struct {
	tilted bool // of tilted bodies, too
	roots  []Range
	found  []record
}

// trail is how a range came about, from the last cut to the first.
type trail struct {
	from *trail
	root int
	cut  byte
}

func (t *trail) cuts() string {
	var b []byte
	for ; t.from != nil; t = t.from {
		b = append(b, t.cut)
	}
	slices.Reverse(b)
	return string(b)
}

type record struct {
	span
	trail  *trail
	reason Reason // ByScore, NotDone, or "" for one of the limits
	bound  float64
}

func (s span) asRange() Range {
	return Range{s.face, [2]float64{s.x, s.hx}, [2]float64{s.y, s.hy}, [2]float64{s.a, s.ha}}
}

// begin takes down the roots.
func (r *recorder) begin(roots []node) {
	if r == nil {
		return
	}
	for i := range roots {
		roots[i].trail = &trail{root: i}
		r.roots = append(r.roots, roots[i].asRange())
	}
}

// cut takes down how ranges were halved.
func (r *recorder) cut(parents []node, halves [][]node) {
	if r == nil {
		return
	}
	for i, p := range parents {
		lower, upper := &halves[i][0], &halves[i][1]
		c := byte('x')
		switch {
		case lower.hy != p.hy:
			c = 'y'
		case lower.ha != p.ha:
			c = 'a'
		}
		lower.trail = &trail{p.trail, p.trail.root, c}
		upper.trail = &trail{p.trail, p.trail.root, c - 'a' + 'A'}
	}
}

// leaf takes down that a range is done with.
func (r *recorder) leaf(n node, why Reason) {
	if r == nil {
		return
	}
	if !n.span.level() && !r.tilted {
		// What was bounded is the score of tilted ones; what keeps level ones
		// from lying here is looked for anew.
		why = ""
	}
	r.found = append(r.found, record{n.span.flattened(), n.trail, why, n.bound})
}

// certificate is the proof of what the search has done.
func (s *search) certificate(r Result) (*Certificate, error) {
	if s.record == nil {
		return nil, nil
	}
	for _, n := range s.open {
		why := NotDone
		if s.best != nil && n.bound >= s.goal() {
			why = ByScore
		}
		s.record.leaf(n, why)
	}
	t := &Certificate{}
	t.Format, t.Roots, t.Stop, t.Tilted = CertificateFormat, s.record.roots, r.Stopped, s.record.tilted
	var err error
	if t.Digest, err = s.c.Digest(); err != nil {
		return nil, err
	}
	parts := make([][]Proved, len(s.record.found))
	least := make([]float64, len(parts))
	s.each(len(parts), func(b *scratch, i int) { parts[i], least[i] = s.c.prove(b, s.record.found[i], r.Bound, proveCuts) })
	t.Ranges = slices.Concat(parts...)
	slices.SortStableFunc(t.Ranges, func(a, b Proved) int {
		if a.Root != b.Root {
			return a.Root - b.Root
		}
		return strings.Compare(a.Cuts, b.Cuts)
	})
	bound := math.Inf(1)
	if len(least) > 0 {
		bound = slices.Min(least)
	}
	if r.Best != nil {
		p := r.Best.Placement
		t.Best = &Best{p.X, p.Y, p.Angle, p.Height, p.Pitch, p.Roll, p.Face, r.Best.Score.Total}
		bound = min(bound, r.Bound)
	}
	if !math.IsInf(bound, 1) {
		t.Bound = max(0, bound)
	}
	return t, nil
}

// provesTilts tells whether a certificate speaks of tilted bodies, too: where they can be,
// and the middle of a body in the slab is in the bounds of its outline, which the roots
// cover, however it is tilted. At the rounding of an edge the check cannot always follow
// what is known here of all tilts at once.
func (c *Case) provesTilts() bool {
	least := math.Cos(Steepest)
	return c.slopes && (c.rim == nil || c.thick) &&
		c.shape.depth(c.pivot())*least*least > math.Abs(c.pivot().X)*(1-least)*1.2
}

// listed are the plots of a range with their tilts, none where they are too many.
// They are for the check of its parts, too, and so whether it is sure that they leave the wood all over the
// range or not.
func (c *Case) listed(s span) []Plot {
	list, _ := c.plotsOf(s.flattened(), plotsListed)
	var out []Plot
	for _, at := range list {
		t := c.tiltOn(at)
		out = append(out, Plot{at.face, at.x, at.y, at.a, t.pitch, t.roll})
	}
	return out
}

// proveCuts is how often a range may be halved to find the reasons of its
// parts, where none holds for the whole with enough to spare.
const proveCuts = 16

// prove finds the reason that a checker can follow, and a bound on the score
// where the score is the reason (else +Inf). enough is the bound that a score
// must have to be one, where no limit is.
func (c *Case) prove(b *scratch, r record, enough float64, cuts int) ([]Proved, float64) {
	p := Proved{Root: r.trail.root, Cuts: r.trail.cuts(), Range: r.asRange(), Reason: r.reason}
	lying, lies := r.span, true
	if c.provesTilts() {
		lying, lies = c.lieFully(r.span)
		if lies && !lying.level() {
			p.Plots = c.listed(r.span)
		}
	}
	switch {
	case r.reason != "":
		return []Proved{p}, r.bound
	case !lies:
		p.Reason = ByWood
		return []Proved{p}, math.Inf(1)
	case c.reason(lying, &p):
		return []Proved{p}, math.Inf(1)
	}
	if low := c.lower(b, lying); cuts == 0 || enough > 0 && low >= enough {
		if p.Reason = NotDone; low >= enough {
			p.Reason = ByScore
		}
		return []Proved{p}, low
	}
	way := longest(r.hx, r.hy, r.ha*c.radius)
	lower, upper, cut := r, r, "xya"[way]
	lower.span, upper.span = r.halved(way)
	lower.trail = &trail{r.trail, r.trail.root, cut}
	upper.trail = &trail{r.trail, r.trail.root, cut - 'a' + 'A'}
	ps, bound := c.prove(b, lower, enough, cuts-1)
	qs, other := c.prove(b, upper, enough, cuts-1)
	return append(ps, qs...), min(bound, other)
}

// surely is by how many mm a limit must be missed to be called a reason: far
// more than the rounding in either program's sums.
const surely = 1e-7

// reason finds which limit no placement in the range keeps, and by which point.
// It asks what possible asks, and looks for who said no.
func (c *Case) reason(s span, p *Proved) bool {
	m := c.at(s).Frame().flat(0)
	need := c.Need.Clearance() - surely
	say := func(why Reason, index int, at *[2]float64) bool {
		p.Reason, p.Index, p.At = why, index, at
		return true
	}

	// The corner that is worst off.
	worst, which := math.Inf(1), -1
	for i, q := range c.front {
		_, any := s.moves(q.Distance(c.pivot()))
		at := m.apply(q)
		if c.wood.atLeast(at)+any >= worst {
			continue
		}
		if d := c.wood.depth(at) + any; d < worst {
			worst, which = d, i
		}
	}
	if worst < need {
		q := c.front[which]
		at, uv := m.apply(q), &[2]float64{q.X, q.Y}
		_, any := s.moves(q.Distance(c.pivot()))
		if c.outline.Depth(at)+any < need {
			return say(ByEdge, 0, uv)
		}
		for _, i := range c.deep {
			if any-geom.Polygon(c.obstacles[i].Region).Depth(at) < need {
				return say(ByObstacle, i, uv)
			}
		}
	}
	for _, q := range c.hull {
		at := m.apply(q)
		r := q.Distance(c.pivot())
		_, any := s.moves(r)
		across := s.hy + min(r*s.ha, math.Abs(at.X-s.x)*s.ha+r*s.ha*s.ha/2)
		lo, hi := c.breadth.over(at.X-any, at.X+any)
		across += s.lean().across
		if at.Y+across < lo+need || at.Y-across > hi-need {
			return say(ByEdge, 0, &[2]float64{q.X, q.Y})
		}
	}
	for _, i := range c.deep {
		q := m.into(c.middles[i])
		_, any := s.moves(q.Distance(c.pivot()))
		if c.box.Has(q) && c.shape.depth(q) > any-need {
			return say(ByHollow, i, nil)
		}
	}
	_, widest := s.moves(c.radius)
	lo, hi := c.xRange(m)
	if !s.level() {
		// Where a body may lie has been asked already.
	} else if c.carved() {
		if over, under, ok := c.tooThin(s, m); ok {
			p.Line = under
			return say(ByRelief, over, nil)
		}
	} else if lo, hi = lo+widest, hi-widest; lo < hi {
		top, bottom, xTop, xBottom := c.Slab.HeightRange(lo, hi)
		if top-bottom < c.Body.Thickness+2*c.Need.Flatten-surely {
			return say(ByThickness, 0, &[2]float64{xTop, xBottom})
		}
	}
	for i, spot := range c.Body.KeepFromGlue {
		across, any := s.moves(spot.At.Distance(c.pivot()))
		at := m.apply(spot.At)
		for k, g := range c.lines {
			d := math.Abs(at.Y-g.A.Y) + across
			if g.Transition {
				d, _ = geom.PointSegment(at, g.A, g.B)
				d += any
			}
			if d-spot.Radius < c.Need.GlueLine-surely {
				p.Line = k
				return say(ByGlue, i, nil)
			}
		}
	}
	return c.reasonMust(s, say)
}

// tooThin finds a corner of the body's upper face and one of its lower face
// between which no level body in the range has enough wood, by the greatest
// height of the top and the least of the bottom that each can come to.
func (c *Case) tooThin(s span, m flat) (over, under int, ok bool) {
	room, over, under := c.roomLevel(s, m)
	need := c.Body.Thickness + 2*c.Need.Flatten - surely
	if room >= need {
		return 0, 0, false
	}
	upper, lower := c.faces(s.face)
	most := func(r *relief, i int, face *surface) float64 {
		k := r.corners[i]
		at := m.apply(k.at)
		along, _, _ := s.goes(at, r.away[i])
		_, z, _, _ := slab.Spline(c.Slab.Profile.Top).Range(at.X-along, at.X+along)
		if face == c.bottom {
			z, _, _, _ = slab.Spline(c.Slab.Profile.Bottom).Range(at.X-along, at.X+along)
			z = -z
		}
		return z + k.drop - sags(face, k.span) - c.roundedBy(c.edgeRadius(face), at, 0, r.away[i], &s)
	}
	return over, under, most(upper, over, c.top)+most(lower, under, c.bottom) < need
}

// reasonMust is reason for the wishes that are limits.
func (c *Case) reasonMust(s span, say func(Reason, int, *[2]float64) bool) bool {
	f := c.at(s).Frame()
	for i, w := range c.Wish.Strips {
		if !w.Must {
			continue
		}
		a, b := c.stripOff(f, w.Strip)
		start, _ := s.moves(c.pivot().Distance(geom.Pt(c.box.Min.X, 0)))
		end, _ := s.moves(c.pivot().Distance(geom.Pt(c.box.Max.X, 0)))
		if math.Abs(a)-start > w.Tolerance+surely || math.Abs(b)-end > w.Tolerance+surely {
			return say(ByStrip, i, nil)
		}
	}
	for i, w := range c.Wish.Through {
		if !w.Must {
			continue
		}
		_, any := s.moves(geom.Pt(w.U, w.V).Distance(c.pivot()))
		if c.misses(f, w)-any > w.Tolerance+surely {
			return say(ByThrough, i, nil)
		}
	}
	if w := c.Wish.NearX; w != nil && w.Must {
		_, any := s.moves(c.pivot().Distance(geom.Point{}))
		if near(w, f.Origin.X)-any > w.Tolerance+surely {
			return say(ByNearX, 0, nil)
		}
	}
	if w := c.Wish.Grain; w != nil && w.Must && near(w, grain(s.a))-s.ha > w.Tolerance+surely {
		return say(ByGrain, 0, nil)
	}
	return false
}
