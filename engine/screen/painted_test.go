//go:build linux

package screen

import (
	"testing"
	"time"

	"candelua/engine/bench"
)

// From asking to painted, in a browser that has nothing else to do; the settling comes on top.
func TestTimeToPaint(t *testing.T) {
	screen := openDisplay(t, 1281, 721)
	s := New(Options{})
	d := openUnit(t, s, func(url string) { openChromium(t, screen, url) })
	var took []time.Duration
	for n := range 40 {
		v := float64(n%2) / 2
		began := d.clock.Now()
		shown, err := d.Show(t.Context(), bench.Patch{RGB: [3]float64{v, v, v}, Window: 10, At: [2]float64{0.5, 0.5}, Signal: bench.SDR})
		if err != nil {
			t.Fatal(err)
		}
		took = append(took, shown.Lit-s.settle-began)
	}
	t.Log("from asking to painted:", quantiles(took))
}
