package driver

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"candelua/engine/bench"
	"candelua/engine/fault"
)

// Policy is how long and how often a line tries.
type Policy struct {
	Timeout time.Duration // for one answer; 0: by the verb
	Tries   int           // how often a request is tried in all; at least 1
}

// What is taken where the bench file states nothing (common practice, no source): a meter may
// integrate for half a minute in the dark, and a turntable may go half around.
const (
	slowAnswer  = 60 * time.Second
	quickAnswer = 10 * time.Second
	// DefaultRetries is how often a request is tried again.
	DefaultRetries = 2
	openWithin     = 30 * time.Second
	firstBackOff   = 100 * time.Millisecond
	longestBackOff = 5 * time.Second
)

// notOpened is an instrument that does not say who it is.
func notOpened(within time.Duration) error {
	return bench.Errorf(bench.CodeTimeout, "switch it on; if it needs longer to start, state a longer timeout in the bench file", "the instrument's first answer did not come within %g s", within.Seconds())
}

// opening is how long an instrument may take until it has said who it is: longer than usual only where the bench file
// gives it longer for each answer.
func (p Policy) opening() time.Duration { return max(openWithin, p.Timeout) }

// leastResync is what an instrument has at the least to be brought back in step (common practice, no source).
const leastResync = 5 * time.Second

// resyncing is how long it may take to be brought back in step: as long as an answer, because it may have to end a reading first.
func (p Policy) resyncing() time.Duration {
	if p.Timeout > 0 {
		return max(p.Timeout, leastResync)
	}
	return openWithin
}

func (p Policy) within(v Verb) time.Duration {
	switch {
	case p.Timeout > 0:
		return p.Timeout
	case v == Show || v == Set || v == Lux:
		return quickAnswer
	}
	return slowAnswer
}

// line is the one way to an instrument. It keeps its session in step: what follows a failure is
// never asked before the session is brought back in step or opened anew.
type line struct {
	place   string // on the bench
	connect Connect
	policy  Policy
	clock   func() bench.Clock
	trace   func(string)

	mu      sync.Mutex // one request at a time
	session Session    // nil where there is none
	card    Card       // as it was first opened
	astray  bool       // an answer may still be under way
	closed  bool
}

// open connects for the first time.
func (l *line) open(ctx context.Context) error {
	within := l.policy.opening()
	ctx, cancel := context.WithTimeoutCause(ctx, within, notOpened(within))
	defer cancel()
	s, card, err := l.connect(ctx)
	if err != nil {
		return err
	}
	l.session, l.card = s, card
	return nil
}

func (l *line) close() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.closed = true
	return l.drop()
}

// drop closes the session.
func (l *line) drop() error {
	s := l.session
	l.session, l.astray = nil, false
	if s == nil {
		return nil
	}
	return s.Close()
}

// do asks for something until it is answered in a way that check accepts, as often as the policy
// allows, and says how many tries it took. answer is called for each try when it begins, once the
// session is in step. check may be nil.
//
// Each try has its time. A stop lets the try end that is under way, and no other begin.
func (l *line) do(ctx context.Context, v Verb, ask any, answer func() any, check func() error) (tries int, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.closed {
		return 0, &bench.GoneError{Device: l.place, Err: errors.New("it was closed")}
	}
	for tries = 1; ; tries++ {
		if ctx.Err() != nil {
			return tries, context.Cause(ctx)
		}
		if err = l.once(ctx, v, ask, answer); err == nil && check != nil {
			if err = check(); err != nil {
				err = l.explained(v, err)
			}
		}
		if err == nil && v != Read && tries > 1 {
			bench.Tried(ctx, tries)
		}
		var gone *bench.GoneError
		if err == nil || errors.As(err, &gone) || !passing(err) || tries >= l.policy.Tries {
			return tries, l.after(err, tries)
		}
		l.trace(fmt.Sprintf("%s: %s: try %d of %d failed: %v", l.place, v, tries, l.policy.Tries, err))
		if err := l.clock().WaitUntil(ctx, l.clock().Now()+backOff(tries)); err != nil {
			return tries, err
		}
	}
}

// explained adds to an answer that cannot be used what its session knows of it.
func (l *line) explained(v Verb, err error) error {
	if e, ok := l.session.(Explainer); ok {
		return e.Explain(v, err)
	}
	return err
}

// backOff is how long to wait after a try that failed.
func backOff(tries int) time.Duration {
	return min(firstBackOff<<(tries-1), longestBackOff)
}

// once tries one time.
func (l *line) once(ctx context.Context, v Verb, ask any, answer func() any) error {
	if err := l.ready(ctx); err != nil {
		return err
	}
	ctx, cancel := lasting(ctx, l.policy.within(v), func(d time.Duration) error { return TimedOut("the answer to "+string(v), d.Seconds()) })
	defer cancel()
	l.astray = true
	err := l.session.Do(ctx, v, ask, answer())
	if err == nil || settled(err) {
		l.astray = false
	}
	if errors.Is(err, ErrLost) {
		l.drop()
	}
	return err
}

// lasting is a context for something that a stop lets end, within a time and within the deadline of ctx.
func lasting(ctx context.Context, within time.Duration, inVain func(time.Duration) error) (context.Context, context.CancelFunc) {
	if d, ok := ctx.Deadline(); ok {
		within = min(within, time.Until(d))
	}
	return context.WithTimeoutCause(context.WithoutCancel(ctx), within, inVain(within))
}

// settled are failures after which nothing more is under way: the instrument has answered.
func settled(err error) bool {
	return slices.Contains([]string{bench.CodeInstrument, bench.CodeUnsupported, bench.CodeBadSetting}, fault.CodeOf(err))
}

// passing are failures that another try may mend.
func passing(err error) bool {
	return errors.Is(err, ErrLost) || slices.Contains([]string{bench.CodeTimeout, bench.CodeGarbled, bench.CodeInstrument, bench.CodeBadReading}, fault.CodeOf(err))
}

// after makes of the last failure what the engine is told: an instrument that cannot be reached is gone.
func (l *line) after(err error, tries int) error {
	var gone *bench.GoneError
	switch {
	case errors.As(err, &gone):
		return err
	case errors.Is(err, ErrLost):
		return &bench.GoneError{Device: l.place, Err: err}
	case err != nil && tries > 1:
		return bench.Errorf(fault.CodeOf(err), fault.HintOf(err), "%w (tried %d times)", err, tries)
	}
	return err
}

// ready brings the session in step, or opens it anew. Another instrument in the old one's place
// is none.
func (l *line) ready(ctx context.Context) error {
	l.resync(ctx)
	if l.session != nil {
		return nil
	}
	ctx, cancel := lasting(ctx, l.policy.opening(), notOpened)
	defer cancel()
	s, card, err := l.connect(ctx)
	if err != nil {
		return Lost("it cannot be opened again: %w", err)
	}
	if !card.Same(l.card) {
		s.Close()
		return &bench.GoneError{Device: l.place, Err: fmt.Errorf("%s answers in the place of %s", called(card), called(l.card))}
	}
	l.session, l.astray = s, false
	return nil
}

// resync brings the session in step, or drops it. An instrument that is silent has its time for that, and all of the time to
// open after it.
func (l *line) resync(ctx context.Context) {
	if l.session == nil || !l.astray {
		return
	}
	ctx, cancel := lasting(ctx, l.policy.resyncing(), func(d time.Duration) error { return TimedOut("the answer that brings it back in step", d.Seconds()) })
	defer cancel()
	if err := l.session.Resync(ctx); err != nil {
		l.trace(fmt.Sprintf("%s: opened anew: %v", l.place, err))
		l.drop()
		return
	}
	l.astray = false
}

func called(c Card) string { return bench.Identity{Name: c.Name, Serial: c.Serial}.Called() }
