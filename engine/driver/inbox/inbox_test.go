package inbox

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math/rand/v2"
	"testing"
	"testing/iotest"
	"testing/synctest"
	"time"
)

func line(held []byte) (int, error) { return bytes.IndexByte(held, '\n') + 1, nil }

// TestTakesAll: in whatever pieces text comes, all lines are taken, in order, and then the end.
func TestTakesAll(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		var text []byte
		for range random.IntN(500) {
			text = append(text, "ab\n"[random.IntN(3)])
		}
		text = append(text, '\n')
		var r io.Reader = bytes.NewReader(text)
		switch random.IntN(3) {
		case 0:
			r = iotest.OneByteReader(r)
		case 1:
			r = iotest.HalfReader(r)
		}
		b := New(r, Most)
		var got []byte
		for {
			l, err := b.Take(t.Context(), line)
			if err != nil {
				if err != io.EOF || !bytes.Equal(got, text) {
					t.Fatalf("it took %q of %q, and then %v", got, text, err)
				}
				break
			}
			got = append(got, l...)
		}
	}
}

// TestWaits: waiting ends with its context, and what comes later is there for the next.
func TestWaits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r, w := io.Pipe()
		b := New(r, Most)
		late := errors.New("late")
		ctx, cancel := context.WithTimeoutCause(t.Context(), time.Second, late)
		defer cancel()
		if _, err := b.Take(ctx, line); err != late {
			t.Errorf("waiting ends with %v", err)
		}
		go w.Write([]byte("ab\n"))
		synctest.Wait()
		if got := b.Drain(); string(got) != "ab\n" {
			t.Errorf("drained %q", got)
		}
		w.Close()
		<-b.Done()
		if _, err := b.Take(t.Context(), line); err != io.EOF || b.Err() != io.EOF {
			t.Errorf("at the end it gives %v", err)
		}
	})
}

// TestFlood: more than it holds is an error, and the sender does not hang.
func TestFlood(t *testing.T) {
	r, w := io.Pipe()
	b := New(r, 10)
	for range 5 {
		if _, err := w.Write([]byte("abcdef")); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := b.Take(t.Context(), line); !errors.Is(err, ErrFlood) {
		t.Errorf("it gives %v", err)
	}
	w.Close()
	<-b.Done()
}

// TestFindRefuses: an error of whoever looks ends the waiting.
func TestFindRefuses(t *testing.T) {
	r, w := io.Pipe()
	defer w.Close()
	wrong := errors.New("wrong")
	if _, err := New(r, 10).Take(t.Context(), func([]byte) (int, error) { return 0, wrong }); err != wrong {
		t.Errorf("it gives %v", err)
	}
}
