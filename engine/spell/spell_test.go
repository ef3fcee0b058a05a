package spell

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestNearest(t *testing.T) {
	builtins := []string{"luminance", "window", "patches", "meter", "Y"}
	for _, c := range []struct {
		word  string
		known []string
		want  string
	}{
		{"lumninance", []string{"luminance", "lit"}, "luminance"}, // inserted
		{"windw", []string{"window", "wide"}, "window"},           // dropped
		{"tiemout", []string{"timeout", "retries"}, "timeout"},    // swapped
		{"Automatic_Brightness", []string{"Automatic brightness"}, "Automatic brightness"},
		{"mx", []string{"min", "max"}, "max"}, // one letter of a short word
		{"x", []string{"y"}, ""},              // nothing of it is left
		{"ON", []string{"on"}, "on"},
		{"no", []string{"on", "off"}, ""},              // the opposite
		{"abcdx", []string{"abcdf", "abcde"}, "abcde"}, // the first of equals
		{"window", []string{"window"}, ""},             // the word itself is known
		{"entirely", []string{"different"}, ""},
		{"", []string{"a"}, ""},
		{"grosse", []string{"grösse"}, "grösse"}, // letters, not bytes
		{"windwo", builtins, "window"},
		{"Window", builtins, "window"},
		{"patch", builtins, ""},
		{"meters", builtins, "meter"},
		{"zebra", builtins, ""},
		{"x", builtins, ""},
		{"y", builtins, "Y"},
	} {
		if got := Nearest(c.word, c.known); got != c.want {
			t.Errorf("nearest to %q of %q is %q, want %q", c.word, c.known, got, c.want)
		}
	}
}

// The costs are those of the optimal string alignment distance as the
// literature gives them: "ca" to "abc" is 3 (Boytsov 2011, Indexing methods for
// approximate dictionary searching, 2.2; from memory), "kitten" to "sitting" 3.
func TestEditCost(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"ca", "abc", 3}, {"kitten", "sitting", 3}, {"", "abc", 3}, {"abc", "", 3}, {"ab", "ba", 1}, {"é", "e", 1}} {
		if got := new(table).editCost([]rune(c.a), []rune(c.b), 100); got != c.want {
			t.Errorf("%q to %q costs %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

// Stopping early gives the same as going to the end, up to the limit; and from it on, no less.
func TestEditCostStops(t *testing.T) {
	letters := rapid.StringOfN(rapid.RuneFrom([]rune("ab-é")), 0, 12, -1)
	rapid.Check(t, func(t *rapid.T) {
		a, b, most := []rune(letters.Draw(t, "a")), []rune(letters.Draw(t, "b")), rapid.IntRange(1, 8).Draw(t, "most")
		whole, got := new(table).editCost(a, b, 100), new(table).editCost(a, b, most)
		if got != whole && (got < most || whole < most) {
			t.Fatalf("%q to %q costs %d, and %d with the limit %d", string(a), string(b), whole, got, most)
		}
	})
}

// hostile are words that take long to compare: many, long, alike.
func hostile(n, letters int) (word string, known []string) {
	for i := range n {
		known = append(known, strings.Repeat("ab", letters/2)[:letters/2]+fmt.Sprintf("%0*d", letters/2, i))
	}
	return strings.Repeat("ab", letters/2), known
}

// A search compares so many letters at most, or none. The order of the words does not matter.
func TestSearchIsBounded(t *testing.T) {
	for _, c := range [][2]int{{30_000, 10}, {30_000, 8_000}, {1000, 100}, {200, 100}, {10, 1 << 20}} {
		word, known := hostile(c[0], c[1])
		w, work := fold(nil, word), 0
		most := max(1, len(w)/3)
		if !affordable(len(w), most, known) {
			if got := Nearest(word, known); got != "" {
				t.Errorf("%d words of %d letters: %.40q", c[0], c[1], got)
			}
			continue
		}
		for _, k := range known {
			work += len(w) * len(fold(nil, k))
		}
		if work > mostWork {
			t.Errorf("%d words of %d letters: %d pairs of letters", c[0], c[1], work)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		known := rapid.SliceOfNDistinct(rapid.StringMatching(`[abc_-]{1,8}`), 1, 20, rapid.ID[string]).Draw(t, "known")
		word := rapid.StringMatching(`[abcAB -]{0,8}`).Draw(t, "word")
		want := Nearest(word, known)
		slices.Reverse(known)
		if got := Nearest(word, known); got != want {
			t.Fatalf("%q of %q is %q, and %q in the other order", word, known, got, want)
		}
	})
}

// Command names, parameters of a procedure and columns of a table are few enough.
func TestUsualListsAreSearched(t *testing.T) {
	var known []string
	for i := range 200 {
		known = append(known, fmt.Sprintf("luminance at %d", i))
	}
	if got := Nearest("luminanec at 7", known); got != "luminance at 7" {
		t.Errorf("found %q", got)
	}
}

func BenchmarkNearest(b *testing.B) {
	for _, c := range [][2]int{{30_000, 10}, {200, 15}, {25, 40}, {10, 1 << 20}} {
		word, known := hostile(c[0], c[1])
		b.Run(fmt.Sprintf("%d of %d", c[0], c[1]), func(b *testing.B) {
			for b.Loop() {
				Nearest(word, known)
			}
		})
	}
}
