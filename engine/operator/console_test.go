package operator

import (
	"bytes"
	"context"
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"candelua/engine/bench"
)

// readAll returns the lines of a console to its end; a line that was too long
// is "(too long)", and one that the input broke off is marked.
func readAll(t *testing.T, c Console) []string {
	t.Helper()
	var lines []string
	for {
		l, err := c.ReadLine(t.Context())
		switch {
		case errors.Is(err, io.EOF):
			return lines
		case errors.Is(err, errLineTooLong):
			l = "(too long)"
		case errors.Is(err, errBrokenOff):
			l = "(broken off) " + l
		case err != nil:
			t.Fatal(err)
		}
		lines = append(lines, l)
	}
}

func TestConsoleLines(t *testing.T) {
	fits, long := strings.Repeat("x", maxLineBytes-1), strings.Repeat("x", maxLineBytes)
	for _, tt := range []struct {
		name, in string
		want     []string
	}{
		{"nothing", "", nil},
		{"lines", "a\nb c\n", []string{"a", "b c"}},
		{"no last end", "a\nb", []string{"a", "(broken off) b"}},
		{"blank lines", "\n \n", []string{"", ""}},
		{"blanks alone at the end", "a\n  ", []string{"a"}},
		{"CRLF", "a\r\nb\r\n", []string{"a", "b"}},
		{"blanks around", " \ta b\u00a0 \n", []string{"a b"}},
		{"byte order mark", "\ufeffa\n\ufeffb\n", []string{"a", "\ufeffb"}},
		{"bound", fits + "\nb\n", []string{fits, "b"}},
		{"over the bound", long + "\nb\n", []string{"(too long)", "b"}},
		{"far over the bound", strings.Repeat("x", 1<<20) + "\r\nb\n", []string{"(too long)", "b"}},
		{"over the bound at the end", "a\n" + long + "x", []string{"a", "(too long)"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for name, in := range map[string]io.Reader{
				"at once":       strings.NewReader(tt.in),
				"byte by byte":  iotest.OneByteReader(strings.NewReader(tt.in)),
				"end with data": iotest.DataErrReader(strings.NewReader(tt.in)),
			} {
				c := NewConsole(in, nil)
				if d := cmp.Diff(tt.want, readAll(t, c)); d != "" {
					t.Errorf("%s: %s", name, d)
				}
				if l, err := c.ReadLine(t.Context()); l != "" || err != io.EOF {
					t.Errorf("%s: after the end came %q, %v", name, l, err)
				}
			}
		})
	}
}

// A line that comes after its reader gave up is the next reader's.
func TestConsoleKeepsTheLineOfACancelledCall(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		in, typing := io.Pipe()
		c := NewConsole(in, nil)
		cause := errors.New("stopped")
		ctx, cancel := context.WithCancelCause(t.Context())
		stopped := make(chan error)
		go func() {
			_, err := c.ReadLine(ctx)
			stopped <- err
		}()
		synctest.Wait() // it waits for a line
		cancel(cause)
		if err := <-stopped; err != cause {
			t.Errorf("error is %v, want the cause", err)
		}
		go func() {
			io.WriteString(typing, "late\nnext\n")
			typing.Close()
		}()
		synctest.Wait() // the late line is there, and nobody wants it
		if _, err := c.ReadLine(ctx); err != cause {
			t.Errorf("error is %v, want the cause though a line is there", err)
		}
		if d := cmp.Diff([]string{"late", "next"}, readAll(t, c)); d != "" {
			t.Error(d)
		}
	})
}

// Who asks nothing reads nothing: the input may be another's.
func TestConsoleReadsNothingUnasked(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		in := strings.NewReader("a\nb\n")
		c := NewConsole(in, io.Discard)
		c.Say("hello")
		synctest.Wait()
		if in.Len() != 4 {
			t.Errorf("%d bytes of 4 are left", in.Len())
		}
	})
}

func TestConsoleInputFails(t *testing.T) {
	broken := errors.New("unplugged")
	c := NewConsole(io.MultiReader(strings.NewReader("a\nhalf a li"), iotest.ErrReader(broken)), nil)
	for _, want := range []struct {
		text string
		err  error
	}{{"a", nil}, {"", broken}, {"", io.EOF}} {
		if l, err := c.ReadLine(t.Context()); l != want.text || !errors.Is(err, want.err) {
			t.Errorf("got %q, %v, want %q, %v", l, err, want.text, want.err)
		}
	}
}

func TestConsoleSays(t *testing.T) {
	var out bytes.Buffer
	c := NewConsole(nil, &out)
	c.Say("one\ntwo")
	c.Say("three")
	if got := out.String(); got != "one\ntwo\nthree\n" {
		t.Errorf("said %q", got)
	}
}

// A line of a pipe that comes while nothing is asked, and is not one of a stream, answers nothing.
func TestEarlyLineOfAPipe(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		in, typing := io.Pipe()
		c := NewConsole(in, nil)
		go io.WriteString(typing, "200\n201\n")
		for _, want := range []string{"200", "201"} { // written at once, as a file is
			time.Sleep(time.Second)
			if l, err := c.ReadLine(t.Context()); l != want || err != nil {
				t.Errorf("got %q, %v, want %q", l, err, want)
			}
		}
		time.Sleep(time.Second) // a wait of the script
		io.WriteString(typing, "48\n")
		time.Sleep(time.Second)
		if l, err := c.ReadLine(t.Context()); l != "48" || !errors.Is(err, ErrEarly) {
			t.Errorf("got %q, %v, want it refused as early", l, err)
		}
		go func() {
			time.Sleep(time.Second)
			io.WriteString(typing, "202\n")
			typing.Close()
		}()
		if l, err := c.ReadLine(t.Context()); l != "202" || err != nil {
			t.Errorf("got %q, %v, want what is typed when it is asked for", l, err)
		}
	})
}

// Wherever the input is cut off, no piece of a reading is taken for one.
func TestNoPieceIsAReading(t *testing.T) {
	const typed = "480.3 0.31 0.33\n"
	for cut := range len(typed) {
		s := newStory(t, Options{})
		s.typed = NewConsole(strings.NewReader(typed[:cut]), nil)
		s.read("meter", bench.ReadRequest{Most: 1})
		if text := s.text.String(); !strings.HasSuffix(text, "= error: operator: the input ended before the answer (resume the run at a terminal, or give more lines in the input)\n") ||
			cut > 0 && !strings.Contains(text, "is not used: a line ends with Enter.") {
			t.Errorf("of %q:\n%s", typed[:cut], text)
		}
	}
}
