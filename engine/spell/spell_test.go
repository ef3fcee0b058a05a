package spell

import "testing"

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
		if got := editCost([]rune(c.a), []rune(c.b)); got != c.want {
			t.Errorf("%q to %q costs %d, want %d", c.a, c.b, got, c.want)
		}
	}
}
