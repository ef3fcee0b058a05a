// Package spell finds the word that was meant by one that is not known, for
// errors that say what to write instead.
package spell

import (
	"slices"
	"unicode"
	"unicode/utf8"
)

// Nearest returns that of the known words that word was most likely meant to
// be, or "" where none is near. Case does not count, nor which mark joins two
// words. A word is near when at most one in three of its letters must be
// inserted, dropped, changed or swapped with its neighbour, or one letter of a
// short word; of equally near words the first in alphabetical order wins.
func Nearest(word string, known []string) string {
	if near := Near(word, known); len(near) > 0 {
		return near[0]
	}
	return ""
}

// Near returns all of the known words that [Nearest] chooses among: the nearest ones, which
// are equally near, in alphabetical order.
//
// The search ends within a millisecond, however many words are known and however
// long they are: a script may have made them. Where it would take longer, nothing is found.
func Near(word string, known []string) []string {
	w := fold(nil, word)
	most := max(1, len(w)/3)
	if !affordable(len(w), most, known) {
		return nil
	}
	var best []string
	least := most + 1
	var folded []rune
	var rows table
	for _, k := range known {
		if k == word || !comparable(len(w), most, k) {
			continue
		}
		folded = fold(folded[:0], k)
		cost := rows.editCost(w, folded, least+1)
		if cost > most || turned(w, folded) || !(cost < len(w) || cost == 0 && len(w) > 0) {
			continue
		}
		switch {
		case cost < least:
			best, least = append(best[:0], k), cost
		case cost == least:
			best = append(best, k)
		}
	}
	slices.Sort(best)
	return slices.Compact(best)
}

// Slip returns the known word from which word differs by one slip: a letter that was inserted, dropped, changed or swapped
// with its neighbour. It is "" where there is none, and where word differs only in what [Nearest] does not count.
func Slip(word string, known []string) string {
	w := fold(nil, word)
	var rows table
	for _, k := range known {
		if folded := fold(nil, k); rows.editCost(w, folded, 2) == 1 {
			return k
		}
	}
	return ""
}

// turned says whether a word of two letters is another one back to front: "no" was never meant to be "on".
func turned(a, b []rune) bool {
	return len(a) == 2 && len(b) == 2 && a[0] == b[1] && a[1] == b[0] && a[0] != a[1]
}

// longest bounds the words that are compared, in letters.
const longest = 100

// The bounds of a search, in words and in pairs of letters that are compared, which take some
// nanoseconds each.
const (
	mostKnown = 2000
	mostWork  = 50_000
)

// affordable says whether a word can be compared with all that are known.
func affordable(letters, most int, known []string) bool {
	if len(known) > mostKnown {
		return false
	}
	work := 0
	for _, k := range known {
		if comparable(letters, most, k) {
			work += letters * min(len(k), longest)
		}
	}
	return work <= mostWork
}

// comparable says whether a known word is about as long as one of so many letters.
func comparable(letters, most int, k string) bool {
	n := min(len(k), 4*longest)
	n = min(utf8.RuneCountInString(k[:n]), longest)
	return n-letters <= most && letters-n <= most
}

// fold appends the letters of a word, without what does not count.
func fold(to []rune, s string) []rune {
	for _, r := range s {
		if len(to) == longest {
			break
		}
		to = append(to, dashes(unicode.ToLower(r)))
	}
	return to
}

// dashes makes the marks that join words alike.
func dashes(r rune) rune {
	if r == '_' || r == '-' || unicode.IsSpace(r) {
		return '-'
	}
	return r
}

// table holds three rows of costs, for one comparison after another.
type table struct{ before, last, row [longest + 1]int }

// editCost returns how many letters must be inserted, dropped, changed or
// swapped with their neighbour to make b of a (optimal string alignment), or
// some number from most on where it is no less. Both have at most longest letters.
func (t *table) editCost(a, b []rune, most int) int {
	before, last, row := &t.before, &t.last, &t.row
	for j := range len(b) + 1 {
		last[j] = j
	}
	leastBefore := 0 // of the row before
	for i := range a {
		row[0] = i + 1
		least := row[0]
		for j := range b {
			change := last[j]
			if a[i] != b[j] {
				change++
			}
			cost := min(last[j+1]+1, row[j]+1, change)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				cost = min(cost, before[j-1]+1)
			}
			row[j+1] = cost
			least = min(least, cost)
		}
		if least >= most && leastBefore >= most {
			return least // a later row is made of these two
		}
		leastBefore = least
		before, last, row = last, row, before
	}
	return last[len(b)]
}
