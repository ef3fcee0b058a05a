// Package inbox keeps what comes over a connection until it is asked for, so that all waiting has
// a deadline, and what nobody asked for can be thrown away.
package inbox

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"sync"
	"syscall"
	"time"
)

// Most is how many bytes an inbox holds, unless stated otherwise. Whoever sends more without
// being asked is broken.
const Most = 1 << 20

// ErrFlood is a connection over which more came than an inbox holds.
var ErrFlood = errors.New("too much came without being asked for")

// Inbox is what came over one connection. Many goroutines may use it.
type Inbox struct {
	most int

	mu   sync.Mutex
	held []byte
	err  error         // why nothing more will come; nil while more may
	news chan struct{} // closed when held or err has changed
	done chan struct{} // closed when the reader is read to its end
}

// New reads r to its end, in a goroutine that ends with it. At most most bytes are held.
func New(r io.Reader, most int) *Inbox {
	b := &Inbox{most: most, news: make(chan struct{}), done: make(chan struct{})}
	go b.fill(r)
	return b
}

func (b *Inbox) fill(r io.Reader) {
	defer close(b.done)
	buffer := make([]byte, 32<<10)
	for {
		n, err := r.Read(buffer)
		if b.add(buffer[:n], err) {
			return
		}
	}
}

// add takes in what was read, and says whether that was the end. What comes after a flood is read
// and dropped, so that the sender does not hang.
func (b *Inbox) add(p []byte, err error) (ended bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.err == nil {
		if len(b.held)+len(p) > b.most {
			b.err = fmt.Errorf("%w: more than %d bytes", ErrFlood, b.most)
		} else {
			b.held = append(b.held, p...)
		}
	}
	if err != nil && b.err == nil {
		b.err = err
		if errors.Is(err, os.ErrClosed) || errors.Is(err, syscall.EIO) { // at our end, or by the last who held a terminal
			b.err = io.EOF
		}
	}
	close(b.news)
	b.news = make(chan struct{})
	return err != nil
}

// Take waits until find finds the end of something in what came, and gives all up to there. find is given all that is
// held, and gives 0 where it has not all come yet; an error of its own ends the waiting. It ends with ctx's cause, or with
// why nothing more will come ([io.EOF] where the connection was closed).
func (b *Inbox) Take(ctx context.Context, find func([]byte) (end int, err error)) ([]byte, error) {
	for {
		b.mu.Lock()
		if errors.Is(b.err, ErrFlood) {
			defer b.mu.Unlock()
			return nil, b.err
		}
		end, err := find(b.held)
		if end > 0 {
			got := slices.Clone(b.held[:end])
			b.held = b.held[end:]
			b.mu.Unlock()
			return got, err
		}
		if err == nil {
			err = b.err
		}
		news := b.news
		b.mu.Unlock()
		if err != nil {
			return nil, err
		}
		select {
		case <-news:
		case <-ctx.Done():
			return nil, context.Cause(ctx)
		}
	}
}

// Quiet waits for a time, and says whether nothing came.
func (b *Inbox) Quiet(ctx context.Context, d time.Duration) bool {
	b.mu.Lock()
	news := b.news
	b.mu.Unlock()
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-news:
		return false
	case <-ctx.Done():
		return false
	case <-timer.C:
		return true
	}
}

// Drain throws away what came until now, and gives it.
func (b *Inbox) Drain() []byte {
	b.mu.Lock()
	defer b.mu.Unlock()
	got := b.held
	b.held = nil
	return got
}

// Err is why nothing more will come, nil while more may.
func (b *Inbox) Err() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.err
}

// Done is closed when the connection was read to its end.
func (b *Inbox) Done() <-chan struct{} { return b.done }
