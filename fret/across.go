package fret

import (
	"fmt"
	"math"
)

// Spacing is the rule by which strings share a spread.
type Spacing int

const (
	// EqualCentres: the same distance from centre to centre.
	EqualCentres Spacing = iota
	// EqualGaps: the same free gap between one string's side and the next
	// one's, which gives thick strings more room. It needs the gauges.
	EqualGaps
)

// Across says how strings stand side by side. String 1 is the highest, on the
// treble side.
type Across struct {
	// Count is how many strings there are, 1 to MostStrings. Default: the sum
	// of Courses, else as many as Gauges, else six.
	Count int
	// Gauges are the strings' outside diameters in millimetres, string 1
	// first. Needed for EqualGaps.
	Gauges []float64
	// AtNut and AtSaddle are the rules at the two ends.
	AtNut, AtSaddle Spacing
	// Courses lists how many strings stand in each course, from the treble
	// side: 2, 2, 2, 2 is four pairs. Empty: every string by itself.
	Courses []int
	// CourseGap is the distance between centres inside a course. Default 2.2
	// (common practice, no source).
	CourseGap float64
}

func (a Across) filled() Across {
	if a.Count == 0 {
		for _, n := range a.Courses {
			a.Count += n
		}
	}
	if a.Count == 0 {
		a.Count = len(a.Gauges)
	}
	if a.Count == 0 {
		a.Count = 6
	}
	if a.CourseGap == 0 {
		a.CourseGap = 2.2
	}
	return a
}

// courses is how many strings stand in each course.
func (a Across) courses() []int {
	if len(a.Courses) > 0 {
		return a.Courses
	}
	c := make([]int, a.Count)
	for i := range c {
		c[i] = 1
	}
	return c
}

func (a Across) check() error {
	sum := 0
	for _, n := range a.Courses {
		if n < 1 || n > 3 {
			return fmt.Errorf("a course of %d strings: write 1, 2 or 3", n)
		}
		sum += n
	}
	f := a.filled()
	switch {
	case f.Count < 1 || f.Count > MostStrings:
		return fmt.Errorf("%d strings: write a whole number from 1 to %d", f.Count, MostStrings)
	case len(a.Courses) > 0 && sum != f.Count:
		return fmt.Errorf("the courses hold %d strings in all, but there are %d", sum, f.Count)
	case len(a.Gauges) > 0 && len(a.Gauges) != f.Count:
		return fmt.Errorf("%d gauges are given for %d strings; give one for each, the highest string first", len(a.Gauges), f.Count)
	case (a.AtNut == EqualGaps || a.AtSaddle == EqualGaps) && len(a.Gauges) == 0:
		return fmt.Errorf("equal gaps need the strings' gauges")
	case math.IsNaN(f.CourseGap) || f.CourseGap < 0.5 || f.CourseGap > 10:
		return fmt.Errorf("a course with %g mm between centres: it must lie between 0.5 and 10 mm", f.CourseGap)
	}
	for i, g := range a.Gauges {
		if math.IsNaN(g) || g <= 0 || g > 10 {
			return fmt.Errorf("string %d has a gauge of %g mm: it must lie above 0 and up to 10 mm", i+1, g)
		}
	}
	return nil
}

// offsets are the strings' v coordinates, string 1 first, for a spread
// between the outer strings' centres; the outer two are at ±spread/2.
//
//	courses of 2, equal centres:       |<---D--->|
//	                               o o       o o       o o
//	equal gaps:                    O   O  o  o .  .       (O thick, . thin)
func (a Across) offsets(spread float64, nut bool) ([]float64, error) {
	rule := a.AtSaddle
	if nut {
		rule = a.AtNut
	}
	gauge := func(i int) float64 {
		if i < len(a.Gauges) && rule == EqualGaps {
			return a.Gauges[i]
		}
		return 0
	}
	if a.Count == 1 {
		return []float64{0}, nil
	}
	// What is not free between the courses: the courses' own widths, and with
	// equal gaps half of each neighbour's gauge. With equal centres the step
	// from course to course counts from the courses' middles.
	courses := a.courses()
	taken, i := 0.0, 0
	steps := make([]float64, 0, a.Count-1) // from string to string without the free share
	free := make([]bool, 0, a.Count-1)
	for k, n := range courses {
		for range n - 1 {
			steps, free = append(steps, a.CourseGap), append(free, false)
			i++
		}
		if k+1 < len(courses) {
			own := gauge(i)/2 + gauge(i+1)/2
			if rule == EqualCentres {
				own = -a.CourseGap * float64(n-1+courses[k+1]-1) / 2
			}
			steps, free = append(steps, own), append(free, true)
			i++
		}
	}
	for _, s := range steps {
		taken += s
	}
	share := 0.0
	if len(courses) > 1 {
		share = (spread - taken) / float64(len(courses)-1)
	}
	v := make([]float64, a.Count)
	v[0] = spread / 2
	if len(courses) == 1 {
		v[0] = taken / 2
	}
	for j, s := range steps {
		if free[j] {
			s += share
		}
		if s < 0.5 || (free[j] && rule == EqualGaps && share <= 0) {
			return nil, fmt.Errorf("a spread of %g mm leaves no room between strings %d and %d", spread, j+1, j+2)
		}
		v[j+1] = v[j] - s
	}
	return v, nil
}
