package draw

import "testing"

// What the noise goes with: 1/t, Y/t and Y². Of whatever has no time it is that of 1 s,
// so that readings that say how long they took and readings that do not are known beside
// each other; what is darker than dark, by chance, is dark.
func TestPowersOfLight(t *testing.T) {
	for _, c := range []struct {
		light light
		want  noise
	}{
		{light{10, 0.5}, noise{2, 20, 100}},
		{light{10, 4}, noise{0.25, 2.5, 100}},
		{light{10, 0}, noise{1, 10, 100}},
		{light{0.5, 1}, noise{1, 0.5, 0.25}},
		{light{-0.1, 2}, noise{0.5, 0, 0}},
	} {
		if got := c.light.powers(); got != c.want {
			t.Errorf("%+v: got %v, want %v", c.light, got, c.want)
		}
	}
}
