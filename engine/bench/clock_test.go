package bench

import (
	"context"
	"errors"
	"testing"
	"testing/synctest"
	"time"
)

func TestRealClock(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		opened := time.Now()
		clock := NewRealClock()
		if now := clock.Now(); now != 0 {
			t.Errorf("a new clock says %v", now)
		}
		for _, at := range []time.Duration{3 * time.Second, 3 * time.Second, time.Second, 0, -time.Second} {
			if err := clock.WaitUntil(t.Context(), at); err != nil {
				t.Fatal(err)
			}
			if now := clock.Now(); now != 3*time.Second {
				t.Errorf("after a wait until %v it is %v, want 3s", at, now)
			}
		}
		if wall := clock.Wall(); !wall.Equal(opened.Add(3 * time.Second)) {
			t.Errorf("wall time is %v", wall)
		}
	})
}

func TestRealClockStops(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		clock := NewRealClock()
		cause := errors.New("stopped")
		ctx, cancel := context.WithCancelCause(t.Context())
		time.AfterFunc(time.Second, func() { cancel(cause) })
		for range 2 { // while it waits, and before
			if err := clock.WaitUntil(ctx, time.Hour); err != cause {
				t.Errorf("error is %v, want the cause", err)
			}
			if now := clock.Now(); now != time.Second {
				t.Errorf("stopped at %v, want 1s", now)
			}
		}
		if err := clock.WaitUntil(ctx, 0); err != cause {
			t.Errorf("stopped, and a time already past: error is %v, want the cause", err)
		}
	})
}
