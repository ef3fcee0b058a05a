package plain

import "testing"

func TestUncoloured(t *testing.T) {
	for _, c := range []struct{ is, want string }{
		{"Y=5", "Y=5"}, {"\x1b[31mY\x1b[0m=\x1b[1;32m5\x1b[K", "Y=5"}, {"\x1b[2J\x1b[1;1HY", "Y"}, {"a\x1bb", "a\x1bb"}, {"", ""},
	} {
		if got := Uncoloured(c.is); got != c.want {
			t.Errorf("%q gives %q, want %q", c.is, got, c.want)
		}
	}
}
