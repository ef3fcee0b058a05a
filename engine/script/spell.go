package script

import "slices"

// nearest returns the known word that was most likely meant by word: the one
// with the smallest Damerau-Levenshtein distance (insert, delete, replace,
// swap of neighbours), if that is at most a third of the word's length. Of
// equally near words the first in alphabetical order wins.
func nearest(word string, known []string) (string, bool) {
	best, found := "", false
	least := max(1, len(word)/3) + 1
	for _, k := range slices.Sorted(slices.Values(known)) {
		if d := distance(word, k, least); d < least && (d == 0 || d < len(word)) && k != word {
			best, found, least = k, true, d
		}
	}
	return best, found
}

// distance returns the restricted Damerau-Levenshtein distance of a and b in
// bytes, or limit if it is at least that. Letter case does not count.
func distance(a, b string, limit int) int {
	if diff := len(a) - len(b); diff >= limit || -diff >= limit {
		return limit
	}
	before, last := make([]int, len(b)+1), make([]int, len(b)+1)
	row := make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := 1
			if lowerByte(a[i-1]) == lowerByte(b[j-1]) {
				change = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return min(last[len(b)], limit)
}

func lowerByte(c byte) byte {
	if 'A' <= c && c <= 'Z' {
		return c + 'a' - 'A'
	}
	return c
}
