// Package spelling answers: which of the words that are known did the maker
// mean?
package spelling

import "strings"

// Nearest is the one of the known words that a typing slip most likely meant,
// or "" when none is near. A slip is at most a third of the word wrong. Capital
// and small letters are the same; of equally near words the first is given.
func Nearest(word string, known []string) string {
	best, least := "", 0
	for _, w := range known {
		longer := max(len(word), len(w))
		d := Slips(strings.ToLower(word), strings.ToLower(w))
		if d <= longer/3+1 && d < longer && (best == "" || d < least) {
			best, least = w, d
		}
	}
	return best
}

// Slips counts the letters to put in, take out or change, and the neighbours to
// swap, to make a into b (Damerau, A technique for computer detection and
// correction of spelling errors, Comm. ACM 7(3), 1964; here no letter is
// touched twice). Letters are bytes. Words of more than 64 are told apart by
// their lengths alone.
func Slips(a, b string) int {
	if len(a) > 64 || len(b) > 64 {
		return len(a) + len(b)
	}
	before, row := make([]int, len(b)+1), make([]int, len(b)+1)
	var beforeThat []int
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		beforeThat, before = before, row
		row = make([]int, len(b)+1)
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			row[j] = min(before[j]+1, row[j-1]+1, before[j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], beforeThat[j-2]+1)
			}
		}
	}
	return row[len(b)]
}
