package uncertainty

import (
	"runtime/debug"
	"testing"
)

// percentNow is at how much growth garbage is collected.
func percentNow() int {
	percent := debug.SetGCPercent(100)
	debug.SetGCPercent(percent)
	return percent
}

// Whoever leaves last puts back what the first one found, in whatever order they
// leave.
func TestCollectSeldom(t *testing.T) {
	t.Setenv("GOGC", "")
	defer debug.SetGCPercent(debug.SetGCPercent(73))
	first := CollectSeldom()
	high := percentNow()
	if high < usualGrowth || high > seldomGrowth {
		t.Errorf("garbage is collected at %d %% of growth, want %d to %d", high, usualGrowth, seldomGrowth)
	}
	second := CollectSeldom()
	first()
	if now := percentNow(); now != high {
		t.Errorf("while another still wants it, garbage is collected at %d %%, want %d", now, high)
	}
	second()
	if now := percentNow(); now != 73 {
		t.Errorf("afterwards garbage is collected at %d %%, want 73 as before", now)
	}
}

// What the environment says stays.
func TestCollectSeldomEnvironment(t *testing.T) {
	t.Setenv("GOGC", "50")
	before := percentNow()
	leave := CollectSeldom()
	if now := percentNow(); now != before {
		t.Errorf("with GOGC set garbage is collected at %d %%, want %d", now, before)
	}
	leave()
}

// A large heap grows by no more than is good for the memory.
func TestGrowth(t *testing.T) {
	for bytes, want := range map[uint64]int{0: 800, 1 << 20: 800, 8 << 20: 800, 16 << 20: 400, 32 << 20: 200, 64 << 20: 100, 1 << 30: 100} {
		if got := growth(bytes); got != want {
			t.Errorf("a heap of %d MiB grows by %d %%, want %d", bytes>>20, got, want)
		}
	}
}
