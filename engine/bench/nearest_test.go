package bench

import "testing"

func TestNearest(t *testing.T) {
	known := []string{"timeout", "retries", "driver", "Adaptive brightness", "sim"}
	for _, tt := range []struct{ word, want string }{
		{"timout", "timeout"},   // dropped
		{"timeeout", "timeout"}, // inserted
		{"timeaut", "timeout"},  // changed
		{"tiemout", "timeout"},  // swapped
		{"TIMEOUT", "timeout"},
		{"adaptive_brightness", "Adaptive brightness"},
		{"adaptive britness", "Adaptive brightness"},
		{"smi", "sim"},
		{"link", ""},
		{"", ""},
		{"t", ""},
	} {
		if got := Nearest(tt.word, known); got != tt.want {
			t.Errorf("Nearest(%q) = %q, want %q", tt.word, got, tt.want)
		}
	}
	if got := Nearest("a", nil); got != "" {
		t.Errorf("nearest of nothing is %q", got)
	}
	if got := Nearest("abcdx", []string{"abcde", "abcdf"}); got != "abcde" {
		t.Errorf("of two equally near words came %q", got)
	}
}

// The distances are those of the optimal string alignment distance as the
// literature gives them: "ca" to "abc" is 3 (Boytsov 2011, Indexing methods for
// approximate dictionary searching, 2.2; from memory), "kitten" to "sitting" 3.
func TestEditCost(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want int
	}{{"ca", "abc", 3}, {"kitten", "sitting", 3}, {"", "abc", 3}, {"abc", "", 3}, {"ab", "ba", 1}, {"é", "e", 1}} {
		if got := editCost([]rune(tt.a), []rune(tt.b)); got != tt.want {
			t.Errorf("%q to %q costs %d, want %d", tt.a, tt.b, got, tt.want)
		}
	}
}
