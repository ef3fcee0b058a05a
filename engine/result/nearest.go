package result

// nearest returns the one of names that is closest to word, or "" where none
// is within a third of the word's length (two edits at least).
func nearest(word string, names []string) string {
	best, least := "", max(2, len([]rune(word))/3)+1
	for _, name := range names {
		if d := distance([]rune(word), []rune(name)); d < least {
			best, least = name, d
		}
	}
	return best
}

// distance counts the insertions, deletions and replacements between two
// words.
//
// Source: [Levenshtein1966].
func distance(a, b []rune) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j := range b {
			replace := diagonal
			if a[i] != b[j] {
				replace++
			}
			diagonal = row[j+1]
			row[j+1] = min(replace, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
