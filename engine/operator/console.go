package operator

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"time"
	"unicode"

	"github.com/mattn/go-isatty"

	"candelua/engine/plain"
)

// Console is where the person sits: lines in, prompts out. One console serves
// all devices and outlives the bench, so that nothing typed is lost when the
// bench is opened again.
type Console interface {
	// ReadLine returns the next line without its end and without the blanks
	// around it. It returns ctx's cause as soon as ctx is done; a line that
	// comes later is the next call's. At the end of the input it returns
	// [io.EOF], again and again; for a line of more than 4096 bytes
	// errLineTooLong, and the line is dropped. A line that is no answer comes
	// with an error: one that was typed before the call ([ErrEarly]), and one
	// that the input broke off (errBrokenOff).
	ReadLine(ctx context.Context) (string, error)
	// Say writes a text and ends its line. What a script says in it has gone
	// through package plain, so that its further lines have a bar.
	Say(text string)
	// Listen begins to read, so that a line is heard before anything is asked.
	Listen()
	// Heard is when the last line came; the zero time before the first.
	Heard() time.Time
}

// maxLineBytes bounds a line; the longest reading has about a hundred.
const maxLineBytes = 4096

// errLineTooLong says that a line was dropped because of its length.
var errLineTooLong = errors.New("the line is too long")

// ErrEarly says that a line was typed while nothing was asked.
var ErrEarly = errors.New("the line was typed before it was asked for")

// errBrokenOff says that the input ended within a line, which may be a part of what was meant.
var errBrokenOff = errors.New("the input ended within a line")

type line struct {
	text   string
	err    error
	came   time.Time
	waited time.Duration // for the line, once the one before it was read
}

// linesAhead is how many lines are read before they are asked for.
const linesAhead = 256

// oneStream is how soon after the one before it a line comes that a program writes without waiting to be asked, as a file
// that is piped in. A line that comes later, while nothing is asked, was typed out of turn.
const oneStream = 250 * time.Millisecond

type console struct {
	in     *bufio.Reader
	lines  chan line
	start  sync.Once
	heard  atomic.Pointer[time.Time]
	typing bool // the input is a terminal: each line answers what is asked then

	out *plain.Screen
}

// NewConsole returns a console that reads in and writes out. Nothing is read
// before the first ReadLine or, from a terminal, before the driver is opened.
// Reading goes on in a goroutine that ends with the input.
//
// Lines end with LF or CRLF. A byte order mark before the first line is dropped.
func NewConsole(in io.Reader, out io.Writer) Console {
	f, isFile := in.(*os.File)
	return &console{in: bufio.NewReader(in), lines: make(chan line, linesAhead), out: plain.On(out), typing: isFile && isatty.IsTerminal(f.Fd())}
}

// listen begins to read a terminal, so that a line is known to be early that is typed before the first question.
func (c *console) listen() {
	if c.typing {
		c.start.Do(func() { go c.readAll() })
	}
}

// Listen is described at [Console].
func (c *console) Listen() { c.start.Do(func() { go c.readAll() }) }

// Heard is described at [Console].
func (c *console) Heard() time.Time {
	if at := c.heard.Load(); at != nil {
		return *at
	}
	return time.Time{}
}

// ReadLine is described at [Console].
func (c *console) ReadLine(ctx context.Context) (string, error) {
	if ctx.Err() != nil {
		return "", context.Cause(ctx)
	}
	asked := time.Now()
	c.start.Do(func() { go c.readAll() })
	select {
	case l, ok := <-c.lines:
		if !ok {
			return "", io.EOF
		}
		if l.err == nil && l.came.Before(asked) && (c.typing || l.waited > oneStream) {
			return l.text, ErrEarly
		}
		return l.text, l.err
	case <-ctx.Done():
		return "", context.Cause(ctx)
	}
}

// Say is described at [Console]. A text that cannot be written is dropped:
// there is no other way to tell the person.
func (c *console) Say(text string) {
	fmt.Fprintln(c.out, text)
}

// readAll hands over line after line, and closes the channel at the end. An
// error of the input, such as a terminal that was hung up, is handed over once.
func (c *console) readAll() {
	defer close(c.lines)
	for first := true; ; first = false {
		began := time.Now()
		text, err := readLine(c.in)
		l := line{came: time.Now()}
		if err == nil {
			c.heard.Store(&l.came)
		}
		l.waited = l.came.Sub(began)
		if first {
			text = strings.TrimPrefix(text, "\ufeff")
		}
		text = strings.TrimFunc(text, unicode.IsSpace)
		switch {
		case err == nil, errors.Is(err, errLineTooLong):
			l.text, l.err = text, err
			c.lines <- l
		case errors.Is(err, io.EOF):
			if text != "" {
				l.text, l.err = text, errBrokenOff
				c.lines <- l
			}
			return
		default:
			l.err = err
			c.lines <- l
			return
		}
	}
}

// readLine reads to the end of a line, and keeps no more of it than the bound.
func readLine(in *bufio.Reader) (string, error) {
	var kept []byte
	long := false
	for {
		part, err := in.ReadSlice('\n')
		if long = long || len(kept)+len(part) > maxLineBytes; !long {
			kept = append(kept, part...)
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case long && (err == nil || errors.Is(err, io.EOF)):
			return "", errLineTooLong
		}
		return string(kept), err
	}
}
