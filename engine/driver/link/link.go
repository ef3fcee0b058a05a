package link

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"candelua/engine/driver/inbox"
)

var (
	// ErrStuck is a link on which a write was given up: nobody knows how much of it was sent.
	ErrStuck = errors.New("what was sent was not taken")
	// ErrTooLong is a line that does not end.
	ErrTooLong = errors.New("the line is too long")
)

// MostLine is how many bytes a line may have.
const MostLine = 64 << 10

// Link is an open link. One goroutine at a time may use it.
type Link struct {
	conn io.ReadWriteCloser
	in   *inbox.Inbox

	writes  sync.WaitGroup
	stuck   bool
	release func() // gives back what was claimed
}

// New makes a link of a connection, which it then owns.
func New(conn io.ReadWriteCloser) *Link {
	return &Link{conn: conn, in: inbox.New(conn, inbox.Most), release: func() {}}
}

// Write sends. What came before stays where it is; see [Link.Drain].
func (l *Link) Write(ctx context.Context, b []byte) error {
	if l.stuck {
		return ErrStuck
	}
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	if err := l.in.Err(); err != nil {
		return err
	}
	result := make(chan error, 1)
	l.writes.Go(func() {
		_, err := l.conn.Write(b)
		result <- err
	})
	select {
	case err := <-result:
		return err
	case <-ctx.Done():
		l.stuck = true
		return fmt.Errorf("%w: %w", ErrStuck, context.Cause(ctx))
	}
}

// Line gives the next line, without its end. It is an error that it has more than [MostLine] bytes.
func (l *Link) Line(ctx context.Context, end []byte) ([]byte, error) {
	got, err := l.take(ctx, func(held []byte) (int, error) {
		at := bytes.Index(held, end)
		if at > MostLine || at < 0 && len(held) > MostLine+len(end) {
			return 0, fmt.Errorf("%w: more than %d bytes came without its end", ErrTooLong, MostLine)
		}
		if at < 0 {
			return 0, nil
		}
		return at + len(end), nil
	})
	if err != nil {
		return nil, err
	}
	return got[:len(got)-len(end)], nil
}

// Bytes gives the next n bytes, at least one.
func (l *Link) Bytes(ctx context.Context, n int) ([]byte, error) {
	return l.take(ctx, func(held []byte) (int, error) {
		if len(held) < n {
			return 0, nil
		}
		return n, nil
	})
}

// demanding is a connection that is read only when something is wanted of it.
type demanding interface {
	want()   // one more read
	unwant() // the wanted one, if it has not begun
}

func (l *Link) take(ctx context.Context, find func([]byte) (int, error)) ([]byte, error) {
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	d, ok := l.conn.(demanding)
	if !ok {
		return l.in.Take(ctx, find)
	}
	defer d.unwant()
	return l.in.Take(ctx, func(held []byte) (end int, err error) {
		if end, err = find(held); end == 0 && err == nil {
			d.want()
		}
		return end, err
	})
}

// Await waits until something more comes, at most for a time, and takes nothing. A link that is read only on demand is not waited for.
func (l *Link) Await(ctx context.Context, d time.Duration) {
	if _, is := l.conn.(demanding); !is {
		l.in.Quiet(ctx, d)
	}
}

// Drain throws away what came and was not taken, and gives it.
func (l *Link) Drain() []byte { return l.in.Drain() }

// closeWithin is how long the system may take to give up what was under way. A read of a USBTMC file
// cannot be broken off; it ends by the system's own time-out, 5 s unless somebody changed it.
const closeWithin = 6 * time.Second

// Close closes the connection, and returns when all reading and writing of it has ended.
func (l *Link) Close() error {
	defer l.release()
	err := l.conn.Close()
	idle := make(chan struct{})
	go func() {
		l.writes.Wait()
		<-l.in.Done()
		close(idle)
	}()
	select {
	case <-idle:
	case <-time.After(closeWithin):
		err = errors.Join(err, fmt.Errorf("the system did not let go of the link within %v", closeWithin))
	}
	return err
}
