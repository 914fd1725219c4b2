package proof

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"slabwright/layout/place"
)

// Report is what a certificate was found to prove.
type Report struct {
	Ranges    int     // in the certificate
	ByLimit   int     // of them, ranges in which nothing is allowed
	ByScore   int     // ranges in which nothing scores less than Bound
	Open      int     // of those, ranges that the search had not done with
	AllLevel  bool    // Settle tilts no body that is allowed in this slab
	Tilted    bool    // it speaks of all that Settle lays, level or tilted; else, if not AllLevel, of level placements alone
	Bound     float64 // no allowed placement that it speaks of scores less
	Best      *place.Best
	Gap       float64 // Best's score − Bound; 0 when there is no Best
	NoneFits  bool    // it is proved that no placement that it speaks of is allowed
	Evaluated int     // boxes that the check itself looked at
}

// fine is how far numbers that should be the same may differ, in mm and
// radians; points is the same for scores.
const (
	fine   = 1e-9
	points = 1e-6
	// how far the tilt of a plot may differ, radians: that of an optimum, which
	// another machine may find so far off
	sameTilt = 1e-7
)

// Verify checks a certificate against the case that it speaks of. The error
// says what does not hold, and on which line of the file.
func Verify(c *place.Case, t *place.Certificate) (Report, error) {
	r := Report{Ranges: len(t.Ranges), Bound: t.Bound, Best: t.Best}
	digest, err := c.Digest()
	if err != nil {
		return r, err
	}
	if digest != t.Digest {
		return r, errors.New("the certificate is for another project: the slab, the body, the needs or the wishes are not those it was made for")
	}
	k, err := newChecker(c)
	if err != nil {
		return r, err
	}
	if r.AllLevel = k.allLevel(); t.Tilted && !r.AllLevel {
		if err := k.canTilt(); err != nil {
			return r, fmt.Errorf("line 1: %w", err)
		}
		k.tilts, r.Tilted = true, true
	}
	if err := k.plotsOf(t); err != nil {
		return r, err
	}
	if err := k.roots(t.Roots); err != nil {
		return r, fmt.Errorf("line 1: %w", err)
	}
	if err := tiled(t); err != nil {
		return r, err
	}
	if err := k.best(t); err != nil {
		return r, fmt.Errorf("line 1: %w", err)
	}
	for _, p := range t.Ranges {
		switch p.Reason {
		case place.ByScore:
			r.ByScore++
		case place.NotDone:
			r.ByScore++
			r.Open++
		default:
			r.ByLimit++
		}
	}
	if r.Evaluated, err = k.all(t); err != nil {
		return r, err
	}
	if t.Best != nil {
		r.Gap = t.Best.Score - t.Bound
	}
	r.NoneFits = r.ByScore == 0
	if r.NoneFits && t.Best != nil && (t.Tilted || t.Best.Placement().Level()) {
		return r, errors.New("line 1: a best placement is given, but the ranges say that nothing is allowed")
	}
	return r, nil
}

// plotsOf tells whether the plots that the ranges name are tilted as they say.
func (k *checker) plotsOf(t *place.Certificate) error {
	known := map[place.Plot]bool{}
	for i, p := range t.Ranges {
		for _, at := range p.Plots {
			if known[at] {
				continue
			}
			known[at] = true
			pitch, roll := k.c.TiltOf(at)
			if !(math.Abs(pitch-at.Pitch) <= sameTilt && math.Abs(roll-at.Roll) <= sameTilt) {
				return fmt.Errorf("line %d: the bodies of a plot are said to be tilted by %.6f° and %.6f°; they are by %.6f° and %.6f°", i+2,
					at.Pitch*180/math.Pi, at.Roll*180/math.Pi, pitch*180/math.Pi, roll*180/math.Pi)
			}
		}
	}
	return nil
}

// all checks every range; the first fault in the order of the file is told.
func (k *checker) all(t *place.Certificate) (evaluated int, err error) {
	faults := make([]error, len(t.Ranges))
	var next, looks atomic.Int64
	var failed atomic.Bool
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for !failed.Load() {
				i := int(next.Add(1)) - 1
				if i >= len(t.Ranges) {
					return
				}
				n, err := k.holds(t.Ranges[i], t.Bound)
				looks.Add(int64(n))
				if err != nil {
					faults[i] = fmt.Errorf("line %d, %s: %w", i+2, say(t.Ranges[i].Range), err)
					failed.Store(true)
				}
			}
		}()
	}
	wg.Wait()
	for _, err := range faults {
		if err != nil {
			return int(looks.Load()), err
		}
	}
	return int(looks.Load()), nil
}

// say is a range in words.
func say(r place.Range) string {
	const degree = 180 / math.Pi
	return fmt.Sprintf("the range %s face, x %.3f to %.3f mm, y %.3f to %.3f mm, angle %.3f to %.3f°", r.Face,
		r.X[0]-r.X[1], r.X[0]+r.X[1], r.Y[0]-r.Y[1], r.Y[0]+r.Y[1], (r.Angle[0]-r.Angle[1])*degree, (r.Angle[0]+r.Angle[1])*degree)
}

// roots tells whether the roots hold every placement that may be allowed: for
// each face the angles without a gap, and with each the bounds of the outline.
func (k *checker) roots(roots []place.Range) error {
	if lo, hi := breadth(k.body, k.pivot.X, k.pivot.X); lo > 0 || hi < 0 {
		return errors.New("the middle of the body's length, on its centreline, is not between its sides; this cannot be checked")
	}
	box := k.outline.Bounds()
	from, to := -math.Pi, math.Pi
	if a := k.c.Wish.Angles; a != nil {
		from, to = a[0], a[1]
	}
	faces := k.c.Wish.Faces
	if len(faces) == 0 {
		faces = []place.Face{place.Top, place.Bottom}
	}
	for _, f := range faces {
		var of []place.Range
		for i, r := range roots {
			if r.Face != f {
				continue
			}
			if r.X[0]-r.X[1] > box.Min.X+fine || r.X[0]+r.X[1] < box.Max.X-fine || r.Y[0]-r.Y[1] > box.Min.Y+fine || r.Y[0]+r.Y[1] < box.Max.Y-fine {
				return fmt.Errorf("root %d does not hold the whole slab", i)
			}
			of = append(of, r)
		}
		slices.SortFunc(of, func(a, b place.Range) int {
			if a.Angle[0] < b.Angle[0] {
				return -1
			}
			return 1
		})
		at := from
		for _, r := range of {
			if r.Angle[0]-r.Angle[1] > at+fine {
				break
			}
			at = max(at, r.Angle[0]+r.Angle[1])
		}
		if at < to-fine {
			return fmt.Errorf("the roots leave out the angles from %.3f° on, %s face", at*180/math.Pi, f)
		}
	}
	return nil
}

// A leaf is a range of the certificate with its line.
type leaf struct {
	place.Proved
	line int
}

// tiled tells whether the ranges, cut in halves from the roots, leave no gap,
// and each is where its cuts put it.
func tiled(t *place.Certificate) error {
	of := make([][]leaf, len(t.Roots))
	for i, p := range t.Ranges {
		if p.Root < 0 || p.Root >= len(t.Roots) {
			return fmt.Errorf("line %d: there is no root %d", i+2, p.Root)
		}
		of[p.Root] = append(of[p.Root], leaf{p, i + 2})
	}
	for i, r := range t.Roots {
		if err := fills(of[i], r, 0); err != nil {
			return fmt.Errorf("root %d: %w", i, err)
		}
	}
	return nil
}

// fills tells whether the leaves, whose first depth cuts lead to the box, fill
// it.
func fills(leaves []leaf, box place.Range, depth int) error {
	if len(leaves) == 0 {
		return fmt.Errorf("no line speaks of %s", say(box))
	}
	for _, l := range leaves {
		if len(l.Cuts) > depth {
			continue
		}
		if len(leaves) > 1 {
			other := leaves[0].line
			if other == l.line {
				other = leaves[1].line
			}
			return fmt.Errorf("lines %d and %d speak of the same range, %s", l.line, other, say(box))
		}
		if !same(l.Range, box) {
			return fmt.Errorf("line %d: its box is %s, but its cuts lead to %s", l.line, say(l.Range), say(box))
		}
		return nil
	}
	way := axis(rune(leaves[0].Cuts[depth]))
	var halves [2][]leaf
	for _, l := range leaves {
		c := l.Cuts[depth]
		if axis(rune(c)) != way {
			return fmt.Errorf("lines %d and %d cut one range two ways, %s", leaves[0].line, l.line, say(box))
		}
		upper := 0
		if strings.ContainsRune("XYA", rune(c)) {
			upper = 1
		}
		halves[upper] = append(halves[upper], l)
	}
	for i, h := range cutBox(box, way) {
		if err := fills(halves[i], h, depth+1); err != nil {
			return err
		}
	}
	return nil
}

// cutBox halves a box along x (0), y (1) or the angle (2), lower half first.
func cutBox(r place.Range, way int) [2]place.Range {
	out := [2]place.Range{r, r}
	for i, sign := range []float64{-1, 1} {
		s := side(&out[i], way)
		*s = [2]float64{s[0] + sign*s[1]/2, s[1] / 2}
	}
	return out
}

// side is the middle and half size of a box along x (0), y (1) or the angle (2).
func side(r *place.Range, way int) *[2]float64 {
	return []*[2]float64{&r.X, &r.Y, &r.Angle}[way]
}

func same(a, b place.Range) bool {
	near := func(a, b [2]float64) bool { return math.Abs(a[0]-b[0]) <= fine && math.Abs(a[1]-b[1]) <= fine }
	return a.Face == b.Face && near(a.X, b.X) && near(a.Y, b.Y) && near(a.Angle, b.Angle)
}

// best tells whether the best placement passes and has the score that is said.
func (k *checker) best(t *place.Certificate) error {
	if t.Best == nil {
		return nil
	}
	p := t.Best.Placement()
	if math.Abs(t.Best.Score-k.c.Score(p).Total) > points {
		return fmt.Errorf("the best placement is said to score %.6f points; it scores %.6f", t.Best.Score, k.c.Score(p).Total)
	}
	if own := k.score(p); (p.Level() || t.Tilted) && math.Abs(own-t.Best.Score) > points {
		return fmt.Errorf("the best placement is said to score %.6f points; counted plainly it scores %.6f", t.Best.Score, own)
	}
	if t.Bound > t.Best.Score+points {
		return fmt.Errorf("the bound, %.6f points, is above the best placement's score, %.6f", t.Bound, t.Best.Score)
	}
	// What the body's own checks say does not depend on where it lies.
	own := map[string]bool{}
	for _, b := range k.c.Body.Check() {
		own[b.Name] = true
	}
	for _, check := range k.c.Check(p).Checks {
		if !check.OK && !own[check.Name] {
			return fmt.Errorf("the best placement does not pass: %s: %s", check.Name, check.Message)
		}
	}
	return nil
}
