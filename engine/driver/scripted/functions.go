package scripted

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/driver"
	"candelua/engine/driver/inbox"
	"candelua/engine/driver/link"
	"candelua/engine/fault"
)

type writeArgs struct {
	Link *linkValue `lua:"self"`
	Text string     `lua:"text" pos:"1" most:"1048576" help:"bytes to send, as they are; end a line as the instrument wants it, as in \"READ?\\r\\n\""`
}

type lineArgs struct {
	Link    *linkValue `lua:"self"`
	Ends    *string    `lua:"ends" want:"a text of 1 to 16 bytes" help:"end of a line; without it a line feed, and a carriage return before it is dropped too"`
	Timeout *float64   `lua:"timeout" above:"0" max:"3600" unit:"s" help:"longest wait; without it, what is left of the request's time"`
}

type askArgs struct {
	Link    *linkValue `lua:"self"`
	Text    string     `lua:"text" pos:"1" most:"1048576" help:"bytes to send"`
	Ends    *string    `lua:"ends" want:"a text of 1 to 16 bytes" help:"end of the line that answers, as for link:line"`
	Timeout *float64   `lua:"timeout" above:"0" max:"3600" unit:"s" help:"longest wait for the line, as for link:line"`
}

type bytesArgs struct {
	Link    *linkValue `lua:"self"`
	Count   int        `lua:"count" pos:"1" min:"1" max:"524288" help:"number of bytes"`
	Timeout *float64   `lua:"timeout" above:"0" max:"3600" unit:"s" help:"longest wait; without it, what is left of the request's time"`
}

type flushArgs struct {
	Link *linkValue `lua:"self"`
}

type waitArgs struct {
	Link    *linkValue `lua:"self"`
	Seconds float64    `lua:"seconds" pos:"1" min:"0" max:"3600" unit:"s" help:"how long; the wait is part of the request's time"`
}

type refusedArgs struct {
	Text string `lua:"text" pos:"1" most:"1024" help:"what the instrument reports, as in \"error 12, no light\""`
}

// linkFunctions are the methods of the link.
var linkFunctions = []*function{
	contacting("link:write", "sends bytes; what came unasked before is dropped first", "", func(s *session, a writeArgs) ([]lua.LValue, error) {
		return nil, s.write(a.Text)
	}),
	contacting("link:line", "waits for a line, of 65536 bytes at most", "the line, without its end", func(s *session, a lineArgs) ([]lua.LValue, error) {
		return s.line(a.Ends, a.Timeout)
	}),
	contacting("link:ask", "sends bytes and waits for a line", "the line, without its end", func(s *session, a askArgs) ([]lua.LValue, error) {
		if err := checkEnds(a.Ends); err != nil {
			return nil, err
		}
		if err := s.write(a.Text); err != nil {
			return nil, err
		}
		return s.line(a.Ends, a.Timeout)
	}),
	contacting("link:bytes", "waits for a number of bytes", "the bytes, as a text", func(s *session, a bytesArgs) ([]lua.LValue, error) {
		return s.take(a.Timeout, "the answer's bytes", func(ctx context.Context) ([]byte, error) {
			got, err := s.link.Bytes(ctx, a.Count)
			s.traffic.add(received, got)
			return got, err
		})
	}),
	contacting("link:flush", "drops what came unasked", "", func(s *session, a flushArgs) ([]lua.LValue, error) {
		s.drop()
		return nil, context.Cause(s.ctx)
	}),
	contacting("link:wait", "waits, for an instrument that must be given time", "", func(s *session, a waitArgs) ([]lua.LValue, error) {
		if a.Seconds == 0 {
			return nil, context.Cause(s.ctx)
		}
		select {
		case <-time.After(time.Duration(a.Seconds * float64(time.Second))):
			return nil, nil
		case <-s.ctx.Done():
			return nil, context.Cause(s.ctx)
		}
	}),
}

// refused ends a request with an error of the instrument's own.
var refused = declared("refused", "says that the instrument itself reports an error: the request ends with the code \"instrument\", and is tried again", "", func(_ *session, a refusedArgs) ([]lua.LValue, error) {
	return nil, driver.Refused("%s", a.Text)
})

// write sends. What came is dropped before, unless this continues what was sent before.
func (s *session) write(text string) error {
	if s.heard {
		s.drop()
		s.heard = false
	}
	s.traffic.add(sent, []byte(text))
	return s.plain(s.ctx, s.link.Write(s.ctx, []byte(text)))
}

func (s *session) drop() { s.traffic.add(dropped, s.link.Drain()) }

// mostEnd is how many bytes the end of a line may have.
const mostEnd = 16

func checkEnds(ends *string) error {
	if ends != nil && (*ends == "" || len(*ends) > mostEnd) {
		return &fault.ArgError{Arg: "ends", Got: fmt.Sprintf("a text of %d bytes", len(*ends)), Want: "a text of 1 to 16 bytes"}
	}
	return nil
}

func (s *session) line(ends *string, timeout *float64) ([]lua.LValue, error) {
	if err := checkEnds(ends); err != nil {
		return nil, err
	}
	end := "\n"
	if ends != nil {
		end = *ends
	}
	out, err := s.take(timeout, "the answer's line", func(ctx context.Context) ([]byte, error) {
		line, err := s.link.Line(ctx, []byte(end))
		if err == nil {
			s.traffic.add(received, append(line[:len(line):len(line)], end...))
		}
		return line, err
	})
	if err == nil && ends == nil {
		out[0] = lua.LString(strings.TrimSuffix(string(out[0].(lua.LString)), "\r"))
	}
	return out, err
}

// take waits for something, for as long as the request may take or for a shorter time.
func (s *session) take(timeout *float64, what string, get func(context.Context) ([]byte, error)) ([]lua.LValue, error) {
	ctx := s.ctx
	if timeout != nil {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeoutCause(ctx, time.Duration(*timeout*float64(time.Second)), driver.TimedOut(what, *timeout))
		defer cancel()
	}
	s.heard = true
	got, err := get(ctx)
	if err != nil {
		return nil, s.plain(ctx, err)
	}
	return []lua.LValue{lua.LString(got)}, nil
}

// plain says of an error of the link what it means for the session.
func (s *session) plain(ctx context.Context, err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, link.ErrStuck):
		return driver.Lost("the instrument did not take what was sent")
	case errors.Is(err, link.ErrTooLong):
		return driver.Garbled("look whether ends is how the instrument ends its lines", "%w", err)
	case errors.Is(err, inbox.ErrFlood): // until the link is opened anew
		return driver.Garbled("look whether the link's settings, such as baud, are the instrument's", "%w", err)
	case ctx.Err() != nil:
		return context.Cause(ctx)
	case errors.Is(err, io.EOF):
		return driver.Lost("the connection was closed at the other end")
	}
	return driver.Lost("%w", err)
}
