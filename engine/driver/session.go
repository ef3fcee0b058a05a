package driver

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"candelua/engine/bench"
)

// Session is one connection to one instrument, which answers one request at a time. It is what
// a driver is made of; all else (time-outs, tries, plausibility, times) is done by the [line]
// around it.
type Session interface {
	// Do asks for one thing, and fills answer, a pointer to the verb's answer (see [Messages]).
	// It ends when ctx does, with ctx's cause. An error that wraps [ErrLost] says that
	// nothing more will come over the connection.
	Do(ctx context.Context, v Verb, ask, answer any) error
	// Resync makes sure that what comes next belongs to what is asked next, by a question whose
	// answer is known. Waiting for silence does not: a late answer would be taken for the next
	// one. A session that cannot be sure returns [ErrNoResync], and is opened anew.
	Resync(context.Context) error
	// Close ends it, and returns when nothing of it is left.
	Close() error
}

// Explainer is a session that can say more of an answer which it gave and which cannot be used: where it comes from, what the
// instrument sent. The error keeps its code.
type Explainer interface {
	Explain(v Verb, err error) error
}

// Card is what an instrument says of itself when its session is opened.
type Card struct {
	Name     string
	Serial   string
	Firmware string
	Verbs    []Verb   // what it can do
	Spectrum bool     // a meter's readings may have a spectrum
	Sync     bool     // a meter can fit its integration to whole refresh periods
	Lamps    []string // of a rig, by name; nil where it takes any
	Shows    []string // of patches, what they show besides windows in SDR and PQ: [bench.ShowWords]
	Floor    float64  // of a meter, cd/m²; 0 where it does not say
}

// Can says whether the instrument can do something.
func (c Card) Can(v Verb) bool { return slices.Contains(c.Verbs, v) }

// Same says whether two cards can be of one instrument.
func (c Card) Same(d Card) bool { return c.Name == d.Name && c.Serial == d.Serial }

// CheckShows refuses a word of [Card.Shows] that means nothing.
func CheckShows(words []string) error {
	for _, word := range words {
		if !slices.Contains(bench.ShowWords, word) {
			return Garbled("the words are "+strings.Join(bench.ShowWords, ", "), "the source says that it shows %q, which is unknown", Short(word))
		}
	}
	return nil
}

// Connect opens a session, and asks once who is there. It ends when ctx does.
type Connect func(ctx context.Context) (Session, Card, error)

// What a session says of itself. The texts after the colon are for people.
var (
	// ErrLost is a connection over which nothing more will come.
	ErrLost = errors.New("the connection is lost")
	// ErrNoResync is a session that cannot tell a late answer from the next one.
	ErrNoResync = errors.New("cannot be brought back in step")
)

// Garbled is an answer that cannot be understood. got is a part of it, for the message.
func Garbled(hint, format string, args ...any) error {
	return bench.Errorf(bench.CodeGarbled, hint, format, args...)
}

// Refused is an error that the instrument itself reported. It is tried again.
func Refused(format string, args ...any) error {
	return bench.Errorf(bench.CodeInstrument, "", "the instrument reports: "+format, args...)
}

// Lost says why a connection is lost: an [ErrLost].
func Lost(format string, args ...any) error { return &lostError{fmt.Errorf(format, args...)} }

type lostError struct{ error }

func (e *lostError) Unwrap() error { return e.error }

func (e *lostError) Is(target error) bool { return target == ErrLost }

// Short is what an instrument said, cut to what a message has room for.
func Short(text string) string {
	const most = 80
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}

// TimedOut is an answer that did not come in time.
func TimedOut(what string, seconds float64) error {
	return bench.Errorf(bench.CodeTimeout, "", "%s did not come within %g s", what, seconds)
}
