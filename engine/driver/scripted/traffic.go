package scripted

import (
	"errors"
	"strconv"
	"strings"

	"candelua/engine/fault"
)

// What became of bytes.
const (
	sent     = "sent"
	received = "received"
	dropped  = "dropped" // came and was not read
)

// mostTraffic is how many bytes of a request are kept, mostShown how many of them are in its message.
const (
	mostTraffic = 2 << 10
	mostShown   = 60
)

// traffic is what went over the link during one request: the end of it.
type traffic struct {
	parts []part
	held  int

	question []byte // what was sent last, and the beginning of what came since
	answer   []byte
}

type part struct {
	what string
	text []byte
}

func (t *traffic) begin() { *t = traffic{parts: t.parts[:0]} }

// add takes in bytes. Those of one kind in a row are one part, but each that was sent is its own.
func (t *traffic) add(what string, b []byte) {
	if len(b) == 0 {
		return
	}
	if what == sent {
		t.question, t.answer = append(t.question[:0], b...), t.answer[:0]
	} else if room := mostShown + 1 - len(t.answer); room > 0 {
		t.answer = append(t.answer, b[:min(room, len(b))]...)
	}
	if over := len(b) - mostTraffic; over > 0 {
		b = b[over:]
	}
	if n := len(t.parts); n > 0 && what != sent && t.parts[n-1].what == what {
		last := &t.parts[n-1]
		last.text = append(last.text, b...)
	} else {
		t.parts = append(t.parts, part{what, append([]byte(nil), b...)})
	}
	for t.held += len(b); t.held > mostTraffic; {
		first := &t.parts[0]
		cut := min(t.held-mostTraffic, len(first.text))
		first.text = first.text[cut:]
		if t.held -= cut; len(first.text) == 0 {
			t.parts = t.parts[1:]
		}
	}
}

// String is all of it, made printable: sent "M\r"; received "OK".
func (t *traffic) String() string {
	var all []string
	for _, p := range t.parts {
		all = append(all, p.what+" "+strconv.Quote(string(p.text)))
	}
	return strings.Join(all, "; ")
}

// last is what was sent last and what came then, for a message; empty where nothing was sent.
func (t *traffic) last() string {
	switch {
	case len(t.question) == 0:
		return ""
	case len(t.answer) == 0:
		return "sent " + quoted(t.question) + ", received nothing"
	}
	return "sent " + quoted(t.question) + ", received " + quoted(t.answer)
}

func quoted(b []byte) string {
	if len(b) > mostShown {
		return strconv.Quote(string(b[:mostShown])) + "…"
	}
	return strconv.Quote(string(b))
}

// failed is an error of a request, with its traffic. It hands on what the error is, and not the error itself: its place in
// the driver's file would be taken for the place in the procedure.
type failed struct {
	err     error
	last    string
	traffic string
}

func (e *failed) Error() string {
	if e.last == "" {
		return e.err.Error()
	}
	return e.err.Error() + " (" + e.last + ")"
}

// Is says what the error is.
func (e *failed) Is(target error) bool { return errors.Is(e.err, target) }

// Code is the error's code.
func (e *failed) Code() string { return fault.CodeOf(e.err) }

// Hint says what to do next.
func (e *failed) Hint() string { return fault.HintOf(e.err) }

// Traffic is what went over the link during the request, made printable: the last 2 KiB.
func (e *failed) Traffic() string { return e.traffic }
