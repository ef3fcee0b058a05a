package operator

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"unicode"
)

// Console is where the person sits: lines in, prompts out. One console serves
// all devices and outlives the bench, so that nothing typed is lost when the
// bench is opened again.
type Console interface {
	// ReadLine returns the next line without its end and without the blanks
	// around it. It returns ctx's cause as soon as ctx is done; a line that
	// comes later is the next call's. At the end of the input it returns
	// [io.EOF], again and again; for a line of more than 4096 bytes
	// errLineTooLong, and the line is dropped.
	ReadLine(ctx context.Context) (string, error)
	// Say writes a text and ends its line.
	Say(text string)
}

// maxLineBytes bounds a line; the longest reading has about a hundred.
const maxLineBytes = 4096

// errLineTooLong says that a line was dropped because of its length.
var errLineTooLong = errors.New("the line is too long")

type line struct {
	text string
	err  error
}

type console struct {
	in    *bufio.Reader
	lines chan line
	start sync.Once

	mu  sync.Mutex
	out io.Writer
}

// NewConsole returns a console that reads in and writes out. Nothing is read
// before the first ReadLine, and then no further than one line ahead. Reading
// goes on in a goroutine that ends with the input.
//
// Lines end with LF or CRLF, the last one also with the input. A byte order
// mark before the first line is dropped.
func NewConsole(in io.Reader, out io.Writer) Console {
	return &console{in: bufio.NewReader(in), lines: make(chan line), out: out}
}

// ReadLine is described at [Console].
func (c *console) ReadLine(ctx context.Context) (string, error) {
	if ctx.Err() != nil {
		return "", context.Cause(ctx)
	}
	c.start.Do(func() { go c.readAll() })
	select {
	case l, ok := <-c.lines:
		if !ok {
			return "", io.EOF
		}
		return l.text, l.err
	case <-ctx.Done():
		return "", context.Cause(ctx)
	}
}

// Say is described at [Console]. A text that cannot be written is dropped:
// there is no other way to tell the person.
func (c *console) Say(text string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	fmt.Fprintln(c.out, text)
}

// readAll hands over line after line, and closes the channel at the end. An
// error of the input, such as a terminal that was hung up, is handed over once.
func (c *console) readAll() {
	defer close(c.lines)
	for first := true; ; first = false {
		text, err := readLine(c.in)
		if first {
			text = strings.TrimPrefix(text, "\ufeff")
		}
		text = strings.TrimFunc(text, unicode.IsSpace)
		switch {
		case err == nil, errors.Is(err, errLineTooLong):
			c.lines <- line{text, err}
		case errors.Is(err, io.EOF):
			if text != "" {
				c.lines <- line{text, nil}
			}
			return
		default:
			c.lines <- line{"", err}
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
