package outline

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slabwright/body/geom"
	"slabwright/fret/measure/spelling"
)

// Size is one measure of a family, in mm.
type Size struct {
	Name            string
	Value, Min, Max float64
	Default         float64
	Doc             string
}

// Hand tells for which hand an instrument is made.
type Hand int

const (
	// RightHanded instruments have the treble side at +v.
	RightHanded Hand = iota
	// LeftHanded ones are mirrored across the centreline.
	LeftHanded
)

func (h Hand) String() string {
	if h == LeftHanded {
		return "left-handed"
	}
	return "right-handed"
}

// Family is a parameter struct of one of our outline families. Its sizes are
// those that can be measured on its bodies. At the far ends of their ranges the
// fairest line may be widest or narrowest a little beside the place asked for,
// but it is as wide or narrow as asked.
type Family interface {
	// Name is the family's name, as in a project file.
	Name() string
	// Doc says in a line what it looks like.
	Doc() string
	// Symmetric tells whether its two sides are alike.
	Symmetric() bool
	// Check refuses sizes out of range, or that do not go together, naming the
	// size, its value and what is allowed.
	Check() error

	// knots are the places through which the right-handed outline is meant to
	// go. The sizes must have passed Check.
	knots() []Knot
	// fields binds the names of sizes to the struct's fields.
	fields() []field
}

// field is a size bound to its place in a parameter struct.
type field struct {
	name              string
	value             *float64
	min, initial, max float64
	doc               string
}

// families makes one of each, with default sizes, in the order shown to the
// maker.
func families() []Family {
	return []Family{
		NewDoubleCutaway(), NewLongHorn(), NewSingleCutaway(), NewPointedCutaway(),
		NewOffsetWaist(), NewNoHorn(), NewTeardrop(), NewCornerWaist(),
	}
}

// Families are the names of all families.
func Families() []string {
	var names []string
	for _, f := range families() {
		names = append(names, f.Name())
	}
	return names
}

// FamilyNamed is the family of that name with its default sizes.
func FamilyNamed(name string) (Family, error) {
	for _, f := range families() {
		if f.Name() == name {
			return f, nil
		}
	}
	return nil, fmt.Errorf("no outline family %q%s", name, suggest(name, Families()))
}

// Sizes are the sizes of f as they stand.
func Sizes(f Family) []Size {
	var out []Size
	for _, s := range f.fields() {
		out = append(out, Size{s.name, *s.value, s.min, s.max, s.initial, s.doc})
	}
	return out
}

// Set gives the size of that name a value. The range is checked by Check, when
// all sizes are in.
func Set(f Family, name string, mm float64) error {
	var names []string
	for _, s := range f.fields() {
		if s.name == name {
			*s.value = mm
			return nil
		}
		names = append(names, s.name)
	}
	return fmt.Errorf("%s has no size %q%s", f.Name(), name, suggest(name, names))
}

// New draws an outline of a family: sizes not given have their defaults.
func New(family string, sizes map[string]float64, hand Hand) (geom.Path, error) {
	f, err := FamilyNamed(family)
	if err != nil {
		return geom.Path{}, err
	}
	names := make([]string, 0, len(sizes))
	for name := range sizes {
		names = append(names, name)
	}
	slices.Sort(names) // the first bad one is told, always the same
	for _, name := range names {
		if err := Set(f, name, sizes[name]); err != nil {
			return geom.Path{}, err
		}
	}
	return Outline(f, hand)
}

// Outline draws the family's outline, closed and counter-clockwise. It is
// tangent-continuous throughout: corners that are meant are eased by a small arc.
func Outline(f Family, hand Hand) (geom.Path, error) {
	knots, err := Knots(f, hand)
	if err != nil {
		return geom.Path{}, err
	}
	p, err := Draw(knots)
	if err != nil {
		return geom.Path{}, fmt.Errorf("%s: %w", f.Name(), err)
	}
	return eased(p), nil
}

// Knots are the places through which the family's outline goes, for Draw.
func Knots(f Family, hand Hand) ([]Knot, error) {
	if err := f.Check(); err != nil {
		return nil, err
	}
	knots, err := settle(f.knots())
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.Name(), err)
	}
	if hand == LeftHanded {
		knots = mirrored(knots)
	}
	return knots, nil
}

// settle moves the knots that stand for the widest or narrowest place of a side
// across the outline until the line drawn through them is as wide there as they
// were meant: the fairest line may swing a little past such a knot on its way.
func settle(meant []Knot) ([]Knot, error) {
	knots := slices.Clone(meant)
	const rounds = 3 // each leaves about a tenth of the error
	for range rounds {
		path, err := draw(knots)
		if err != nil {
			return nil, err
		}
		drawn := slices.Clone(knots) // where the path goes, while knots move on
		index := map[geom.Point]int{}
		for i, c := range path.Curves {
			index[c.P0] = i
		}
		for i, k := range drawn {
			if k.extreme == 0 {
				continue
			}
			// Look along the spans on both sides of the knot.
			from, to := index[drawn[(i+len(drawn)-1)%len(drawn)].At], index[drawn[(i+1)%len(drawn)].At]
			best := math.Inf(-1)
			for j := from; j != to; j = (j + 1) % len(path.Curves) {
				c := path.Curves[j]
				for s := range 8 {
					best = math.Max(best, k.extreme*c.At(float64(s)/8).Y)
				}
			}
			const most = 4 // mm; a line that needs more is not the one that was meant
			moved := k.At.Y + meant[i].At.Y - k.extreme*best
			knots[i].At.Y = math.Max(meant[i].At.Y-most, math.Min(meant[i].At.Y+most, moved))
		}
	}
	return knots, nil
}

// checkRanges refuses the first size outside its range.
func checkRanges(f Family) error {
	for _, s := range f.fields() {
		if v := *s.value; !(v >= s.min && v <= s.max) {
			return fmt.Errorf("%s: %s is %s mm, must be from %s to %s mm", f.Name(), s.name, number(v), number(s.min), number(s.max))
		}
	}
	return nil
}

// withDefaults sets every size of f to its default.
func withDefaults[F Family](f F) F {
	for _, s := range f.fields() {
		*s.value = s.initial
	}
	return f
}

// number writes mm without needless decimals.
func number(v float64) string {
	s := fmt.Sprintf("%.2f", v)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// suggest names the known word nearest to a misspelt one, and all of them when
// none is near.
func suggest(word string, known []string) string {
	if best := spelling.Nearest(word, known); best != "" {
		return fmt.Sprintf(": did you mean %q?", best)
	}
	return ": there are " + strings.Join(known, ", ")
}

// Headings along the frame, for the families' tables.
const (
	toTail   = 0.0
	toTreble = math.Pi / 2
	toNeck   = math.Pi
	toBass   = -math.Pi / 2
)

func smooth(u, v float64) Knot { return Knot{At: geom.Pt(u, v)} }
func headed(u, v, heading float64) Knot {
	return Knot{At: geom.Pt(u, v), Kind: Headed, Heading: heading}
}
func corner(u, v float64) Knot { return Knot{At: geom.Pt(u, v), Kind: Corner} }

// widest and narrowest are places on the bass side where it is so.
func widest(u, v float64) Knot {
	return Knot{At: geom.Pt(u, v), Kind: Headed, Heading: toTail, extreme: -1}
}

func narrowest(u, v float64) Knot {
	return Knot{At: geom.Pt(u, v), Kind: Headed, Heading: toTail, extreme: 1}
}

// straight makes the stretch to the next knot straight.
func straight(k Knot) Knot { k.Straight = true; return k }

// mirrored are the same places across the centreline, the other way round: the
// knots of the treble side for those of the bass side, or of a whole outline
// for the other hand.
func mirrored(knots []Knot) []Knot {
	n := len(knots)
	out := make([]Knot, n)
	for i, k := range knots {
		k.At.Y = -k.At.Y
		k.Heading = math.Pi - k.Heading
		k.extreme = -k.extreme
		k.Straight = knots[(i+n-1)%n].Straight // the stretch behind it is now in front
		out[n-1-i] = k
	}
	return out
}

// quarter is a knot on the rounding between a bout's widest place (uBout, v)
// and the tail (uTail, 0), or between a bout and the neck end: on the
// superellipse |x|^p + |y|^p = 1 at equal x and y, whose fullness f = 2^(−1/p)
// is 0.707 for an ellipse and nears 1 for a rectangle.
func quarter(uBout, v, uEnd, vEnd, f float64) Knot {
	return smooth(uBout+(uEnd-uBout)*f, vEnd+(v-vEnd)*f)
}

// closeNeck makes the neck end straight: from the last knot back to the first.
func closeNeck(knots []Knot) []Knot {
	knots[len(knots)-1].Straight = true
	return knots
}

// checkWaist keeps a waist 30 mm narrower than both bouts, and far enough from
// them for a flowing line between: 60 mm, and 1.5 times the step in half width;
// but no farther than 175 mm from the lower bout.
func checkWaist(f Family, upper, waist, lower, upperAt, waistAt, boutAt float64) error {
	if most := min(upper, lower) - 30; waist > most {
		return fmt.Errorf("%s: waist is %s mm, must be at most %s mm here, 30 mm less than the narrower bout", f.Name(), number(waist), number(most))
	}
	if least := upperAt + max(60, 0.75*(upper-waist)); waistAt < least {
		return fmt.Errorf("%s: waist_at is %s mm, must be at least %s mm here, to leave room for the line from the upper bout", f.Name(), number(waistAt), number(least))
	}
	if most := boutAt - max(60, 0.75*(lower-waist)); waistAt > most {
		return fmt.Errorf("%s: waist_at is %s mm, must be at most %s mm here, to leave room for the line to the lower bout", f.Name(), number(waistAt), number(most))
	}
	if least := boutAt - 175; waistAt < least {
		return fmt.Errorf("%s: waist_at is %s mm, must be at least %s mm here: on a longer line the body would grow wider than its lower bout", f.Name(), number(waistAt), number(least))
	}
	return nil
}

// cutaway are the knots of a cutaway on the bass side of the neck end, whose
// corner lies at (0, −n): round the bottom, which lies at u = depth, with a
// radius of about r at most, and on to a horn whose inner side ends near the place to.
// On the way it passes the middle of the straight line from the horn to where
// it touches the circle of the bottom.
//
//	(0,−n) *-------._
//	                 `.
//	                   * (depth, −n−lean−r)
//	     to     ___...'
//	      *--*''
func cutaway(n, depth, r, lean float64, to geom.Point) []Knot {
	r = min(r, 0.42*(-to.Y-n-lean)) // a wide neck under a narrow bout leaves less
	centre := geom.Pt(depth-r, -n-lean-r)
	d := to.Sub(centre)
	touch := centre.Add(geom.Polar(r, d.Angle()+math.Acos(min(1, r/d.Len()))))
	return []Knot{
		corner(0, -n),
		headed(depth, centre.Y, toBass),
		{At: to.Lerp(touch, 0.5)},
	}
}
