// Package spell finds the word that was meant by one that is not known, for
// errors that say what to write instead.
package spell

import (
	"slices"
	"strings"
	"unicode"
)

// Nearest returns that of the known words that word was most likely meant to
// be, or "" where none is near. Case does not count, nor which mark joins two
// words. A word is near when at most one in three of its letters must be
// inserted, dropped, changed or swapped with its neighbour, or one letter of a
// short word; of equally near words the first in alphabetical order wins.
func Nearest(word string, known []string) string {
	w := fold(word)
	best, least := "", max(1, len(w)/3)+1
	for _, k := range slices.Sorted(slices.Values(known)) {
		cost := editCost(w, fold(k))
		if k != word && cost < least && (cost < len(w) || cost == 0 && len(w) > 0) {
			best, least = k, cost
		}
	}
	return best
}

// longest bounds the words that are compared, in letters.
const longest = 100

func fold(s string) []rune {
	r := []rune(strings.ToLower(strings.Map(dashes, s)))
	return r[:min(len(r), longest)]
}

// dashes makes the marks that join words alike.
func dashes(r rune) rune {
	if r == '_' || r == '-' || unicode.IsSpace(r) {
		return '-'
	}
	return r
}

// editCost returns how many letters must be inserted, dropped, changed or
// swapped with their neighbour to make b of a (optimal string alignment).
func editCost(a, b []rune) int {
	before, last := make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row := make([]int, len(b)+1)
		row[0] = i + 1
		for j := range b {
			change := last[j]
			if a[i] != b[j] {
				change++
			}
			row[j+1] = min(last[j+1]+1, row[j]+1, change)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last = last, row
	}
	return last[len(b)]
}
