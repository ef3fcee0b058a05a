package colour

import (
	"math"
	"testing"
)

// The table stands for the formula as it is published, in angles.
func TestBlueRotation(t *testing.T) {
	const c = 60
	for tenth := 0; tenth < 36000; tenth++ {
		h := float64(tenth) / 100
		k := (h - 275) / 25
		want := -2 * chromaRatio(c) * math.Sin(math.Pi/3*math.Exp(-k*k))
		sin, cos := math.Sincos(h * math.Pi / 180)
		if got := blueRotation(cos, sin, c); math.Abs(got-want) > 2e-13 {
			t.Fatalf("at hue %v it is %v, want %v", h, got, want)
		}
	}
	if got := blueRotation(1, 0, 0); got != 0 {
		t.Errorf("of grey it is %v, want 0", got)
	}
	if got := blueRotation(math.NaN(), 0, 1); got != 0 && !math.IsNaN(got) {
		t.Errorf("of no hue it is %v", got)
	}
}
