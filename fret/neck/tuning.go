package neck

import "slabwright/fret"

// Usual tunings and gauges, lowest string first as they are said (common
// practice, no source). Gauges in thousandths of an inch; 0: chosen by pull.
var (
	guitarNotes = []string{"F#1", "B1", "E2", "A2", "D3", "G3", "B3", "E4"}
	guitarThou  = []float64{74, 59, 46, 36, 26, 17, 13, 10}
	bassNotes   = []string{"B0", "E1", "A1", "D2", "G2", "C3"}
	bassThou    = []float64{130, 105, 85, 65, 45, 32}
)

// DefaultStrings is a usual set for a number of strings on a scale, string 1
// (the highest) first. Up to eight strings on scales up to 740 mm it is a
// guitar in E, with lower strings a fourth apart; four to six on longer scales
// a bass, five strings adding the low one; the rest goes on in fourths. Ten
// and twelve strings in pairs double a guitar's, the lower pairs in octaves.
// Gauges are those of a light set, else chosen for a pull of 72 N (bass 180 N).
// All of it is common practice, no source.
func DefaultStrings(strings int, scaleMm float64, courses []int) []StringSpec {
	notes, thou, lowest := guitarNotes, guitarThou, max(0, len(guitarNotes)-strings)
	bass := scaleMm > 740
	if bass {
		notes, thou = bassNotes, bassThou
		lowest = 1 // E1
		if strings > 4 {
			lowest = 0
		}
	}
	if pairs := len(courses); pairs > 0 && pairs < strings {
		return paired(DefaultStrings(pairs, scaleMm, nil), courses)
	}
	var out []StringSpec
	for i := min(len(notes), lowest+strings) - 1; i >= lowest; i-- {
		if bass && strings < 4 && len(out) == strings {
			break
		}
		out = append(out, StringSpec{Note: notes[i], GaugeMm: thou[i] * 0.0254})
	}
	for len(out) < strings { // on in fourths, downward on guitars, upward on basses
		if bass {
			n, _ := ParseNote(out[0].Note)
			out = append([]StringSpec{{Note: (n + 5).String()}}, out...)
			continue
		}
		n, _ := ParseNote(out[len(out)-1].Note)
		out = append(out, StringSpec{Note: (n - 5).String()})
	}
	return out
}

// paired repeats each string as often as its course says. From the third
// course on, the last of a pair, nearer the bass side and so struck first by a
// downstroke, is an octave higher and its gauge is chosen (common practice, no
// source).
func paired(single []StringSpec, courses []int) []StringSpec {
	var out []StringSpec
	for i, n := range courses {
		for k := range n {
			s := single[i]
			if note, err := ParseNote(s.Note); err == nil && i >= 2 && n > 1 && k == n-1 {
				s = StringSpec{Note: (note + 12).String()}
			}
			out = append(out, s)
		}
	}
	return out
}

// defaultPull is what a string without a gauge is chosen for, N (common
// practice, no source); softer materials are pulled less hard.
func defaultPull(scaleMm float64, material string) float64 {
	switch {
	case material != "" && material != "steel":
		return 62 // the mean of the 36 strings in Anderson and Beausoleil (2024)
	case scaleMm > 740:
		return 180
	}
	return 72
}

// withStrings makes layout and strings agree: as many strings as are given,
// or as the layout says, else six.
func withStrings(l fret.Layout, strings []StringSpec) fret.Layout {
	if l.Strings.Count == 0 && len(l.Strings.Courses) == 0 && len(l.Strings.Gauges) == 0 && len(strings) > 0 {
		l.Strings.Count = len(strings)
	}
	if n := l.Strings.Count; len(strings) == 0 && len(l.Strings.Courses) == 0 && (n == 10 || n == 12) {
		l.Strings.Courses = make([]int, n/2)
		for i := range l.Strings.Courses {
			l.Strings.Courses[i] = 2
		}
	}
	return l
}
