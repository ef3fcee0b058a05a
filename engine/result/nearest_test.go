package result

import "testing"

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"kitten", "sitting", 3}, // the usual textbook example
		{"", "abc", 3},
		{"abc", "", 3},
		{"flaw", "lawn", 2},
		{"größe", "grösse", 2},
		{"same", "same", 0},
	} {
		if got := distance([]rune(c.a), []rune(c.b)); got != c.want {
			t.Errorf("distance(%q, %q) = %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

func TestNearest(t *testing.T) {
	names := []string{"window", "luminance", "x"}
	for word, want := range map[string]string{"lumninance": "luminance", "windows": "window", "temperature": "", "Y": "x"} {
		if got := nearest(word, names); got != want {
			t.Errorf("nearest(%q) = %q, want %q", word, got, want)
		}
	}
}
