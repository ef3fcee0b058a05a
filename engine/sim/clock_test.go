package sim

import (
	"context"
	"errors"
	"testing"
	"testing/synctest"
	"time"
)

func TestClockAtOnce(t *testing.T) {
	w := world(t, "default", nil)
	if got, want := w.Wall(), time.Date(2030, 1, 1, 9, 0, 0, 0, time.UTC); !got.Equal(want) {
		t.Errorf("opens at %v, want %v", got, want)
	}
	passTo(t, w, 2*time.Hour)
	passTo(t, w, time.Hour) // past: no wait, and no way back
	w.Skip(time.Hour)
	if w.Now() != 2*time.Hour || w.Wall().Sub(epoch) != 2*time.Hour {
		t.Errorf("time is %v, %v", w.Now(), w.Wall())
	}
	stop := errors.New("stop")
	ctx, cancel := context.WithCancelCause(t.Context())
	cancel(stop)
	if err := w.WaitUntil(ctx, 3*time.Hour); err != stop || w.Now() != 2*time.Hour {
		t.Errorf("stopped wait: %v, at %v", err, w.Now())
	}
}

// TestClockPaced: with speed 60 a minute takes a second, and the answers are
// those of the world that does not wait.
func TestClockPaced(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := Default()
		p.ExactMeters()
		w, err := New(p, 1, 60)
		if err != nil {
			t.Fatal(err)
		}
		start := time.Now()
		got := luminance(t, w, patch(1, 10), 10*time.Minute)
		if want := luminance(t, world(t, "default", nil), patch(1, 10), 10*time.Minute); got != want {
			t.Errorf("paced world reads %v, the other %v", got, want)
		}
		real, simulated := time.Since(start), w.Now()
		if off := real - simulated/60; off < -time.Millisecond || off > time.Millisecond {
			t.Errorf("%v took %v", simulated, real)
		}
	})
}

func TestClockPacedStop(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w, err := New(Default(), 1, 60)
		if err != nil {
			t.Fatal(err)
		}
		stop := errors.New("stop")
		ctx, cancel := context.WithCancelCause(t.Context())
		go func() {
			time.Sleep(time.Second)
			if got := w.Now(); got != time.Minute {
				t.Errorf("a second into the wait it is %v, want 1m0s", got)
			}
			time.Sleep(time.Second)
			cancel(stop)
		}()
		if err := w.WaitUntil(ctx, time.Hour); err != stop {
			t.Errorf("got %v, want stop", err)
		}
		if got := w.Now(); got != 2*time.Minute {
			t.Errorf("stopped at %v, want 2m0s", got)
		}
	})
}

func TestSpeedError(t *testing.T) {
	if _, err := New(Default(), 1, -1); err == nil || err.Error() != "speed is -1; it must be 0 (at once) or more simulated seconds a second" {
		t.Errorf("got %v", err)
	}
}
