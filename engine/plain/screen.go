package plain

import (
	"bytes"
	"io"
	"os"
	"strings"
	"sync"
	"unicode/utf8"
)

// Own is a text of candelua's own. It is for constants.
type Own string

// marks are how candelua's own lines begin, those by which somebody tells what
// candelua says from what a script says. A line from outside that begins so gets a
// bar before it.
var marks = []string{
	name, "[TRACE]", "[DEBUG]", "[INFO]", "[WARN]", "[ERROR]", "note:", "caution:", "CAUTION:",
	"Run:", "Replay:", "This bench was simulated", "Measured on the bench", "The replay agrees",
}

// name begins most of them. In capitals it looks the same to a hurried reader.
const name = "candelua:"

// Screen is stdout or stderr, or a page that goes there. What is written to it
// is from outside and made safe; [Screen.Own] and [Screen.Say] write candelua's
// own. It can be used by several goroutines.
type Screen struct {
	mu     sync.Mutex
	out    io.Writer
	within bool   // a line, not at its start
	held   []byte // a start of a line that may become a mark, or of a character
}

// Page returns a screen that collects what is written to it, for [Screen.Paste].
func Page() *Screen { return &Screen{out: &bytes.Buffer{}} }

// On returns the screen that w is, or a screen that writes to w.
func On(w io.Writer) *Screen {
	if s, ok := w.(*Screen); ok {
		return s
	}
	return &Screen{out: w}
}

// File is the file behind a screen, or nil.
func (s *Screen) File() *os.File {
	f, _ := s.out.(*os.File)
	return f
}

// Write makes a text safe and writes it. The start of a line that may turn out to
// be a mark is kept back until the next call.
func (s *Screen) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.held = append(s.held, p...)
	if err := s.flush(false); err != nil {
		return 0, err
	}
	return len(p), nil
}

// Own writes a text of candelua's own as it is.
func (s *Screen) Own(text Own) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.flush(true); err != nil {
		return err
	}
	_, err := io.WriteString(s.out, string(text))
	if text != "" {
		s.within = !strings.HasSuffix(string(text), "\n")
	}
	return err
}

// Say writes a message as a line, or as several with a bar before each further one.
// The lead is how it begins, such as "candelua: error: ".
func (s *Screen) Say(lead Own, text string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.flush(true); err != nil {
		return err
	}
	_, err := io.WriteString(s.out, string(lead)+Lines(text)+"\n")
	s.within = false
	return err
}

// Paste writes what a page collected, all at once and as it is: it was made safe.
func (s *Screen) Paste(page *Screen) error {
	if err := page.Close(); err != nil {
		return err
	}
	if page.Len() == 0 {
		return nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.flush(true); err != nil {
		return err
	}
	_, err := page.out.(*bytes.Buffer).WriteTo(s.out)
	s.within = page.within
	return err
}

// Len is how many bytes a page has collected.
func (s *Screen) Len() int {
	page, isPage := s.out.(*bytes.Buffer)
	if !isPage {
		return 0
	}
	return page.Len()
}

// Close writes what was kept back. The screen stays usable.
func (s *Screen) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.flush(true)
}

// flush writes what is held as far as it can be judged, or all of it.
func (s *Screen) flush(all bool) error {
	out := make([]byte, 0, len(s.held)+len(bar))
	rest := s.held
	for len(rest) > 0 {
		if !s.within {
			is, may := mark(rest)
			if may && !all {
				break
			}
			if is {
				out = append(out, bar...)
			}
			s.within = true
		}
		r, size := utf8.DecodeRune(rest)
		switch {
		case r == utf8.RuneError && !utf8.FullRune(rest) && !all:
			s.held = append(s.held[:0], rest...)
			_, err := s.out.Write(out)
			return err
		case r == '\n':
			s.within = false
			out = append(out, '\n')
		case r != '\t' && unsafe(r):
			out = utf8.AppendRune(out, instead)
		default:
			out = utf8.AppendRune(out, r)
		}
		rest = rest[size:]
	}
	s.held = append(s.held[:0], rest...)
	if len(out) == 0 {
		return nil
	}
	_, err := s.out.Write(out)
	return err
}

// mark says whether the start of a line is a mark, or may become one.
func mark(text []byte) (is, may bool) {
	for _, m := range marks {
		n := min(len(m), len(text))
		if string(text[:n]) == m[:n] || m == name && strings.EqualFold(string(text[:n]), m[:n]) {
			is, may = is || n == len(m), may || n < len(m)
		}
	}
	return is, may && !is
}

// Log is where a log is written, each entry by one call of Write. Its first line is
// candelua's own.
func (s *Screen) Log() io.Writer { return entries{s} }

type entries struct{ screen *Screen }

func (e entries) Write(p []byte) (int, error) {
	if err := e.screen.Say("", string(p)); err != nil {
		return 0, err
	}
	return len(p), nil
}

// What a terminal does not show: colours, and the start of a line that is written
// over. They are for [Screen.Own].
const (
	Red      Own = "\x1b[31m"
	Green    Own = "\x1b[32m"
	Yellow   Own = "\x1b[33m"
	NoColour Own = "\x1b[0m"

	ClearLine Own = "\r\x1b[K"
)
