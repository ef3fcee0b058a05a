package bench

import (
	"testing"
	"time"
)

// The system's count does not run while the machine is awake.
func TestAsleep(t *testing.T) {
	clock := NewRealClock().(Sleeper)
	before, ok := clock.Asleep()
	time.Sleep(50 * time.Millisecond)
	after, again := clock.Asleep()
	if !ok || !again || before < -time.Millisecond || (after-before).Abs() > 20*time.Millisecond {
		t.Errorf("slept for %v, %v, and then %v, %v", before, ok, after, again)
	}
}
