package spell

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestSlip: a word with one letter dropped, inserted, changed or swapped is a slip of the known one. With none, with other
// capitals, or with letters of its own it is not.
func TestSlip(t *testing.T) {
	known := []string{"automatic brightness", "brightness", "picture mode", "enhancements"}
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.SampledFrom(known).Draw(t, "word")
		if got := Slip(word, known) + Slip(strings.ToUpper(word), known); got != "" {
			t.Fatalf("%q is a slip of %q", word, got)
		}
		r := []rune(word)
		at := rapid.IntRange(0, len(r)-2).Draw(t, "at")
		switch rapid.IntRange(0, 3).Draw(t, "slip") {
		case 0:
			r = slices.Delete(r, at, at+1)
		case 1:
			r = slices.Insert(r, at, 'q')
		case 2:
			r[at] = 'q'
		default:
			if r[at] == r[at+1] {
				return
			}
			r[at], r[at+1] = r[at+1], r[at]
		}
		if got := Slip(string(r), known); got != word {
			t.Fatalf("%q is a slip of %q, want %q", string(r), got, word)
		}
		if got := Slip(string(r)+" zone", known); got != "" {
			t.Fatalf("%q is a slip of %q", string(r)+" zone", got)
		}
	})
}
