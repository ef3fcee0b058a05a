package plain

import (
	"bytes"
	"cmp"
	"io"
	"os"
	"strings"
	"sync"
	"unicode/utf8"

	"github.com/mattn/go-runewidth"
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
	width  func() int // of a terminal; nil where nothing breaks lines
	column int        // of the row that a terminal is in
	within bool       // a line, not at its start
	held   []byte     // a start of a row that may become a mark, or of a character
	lost   error      // of the first write that failed
}

// On returns the screen that w is, or a screen that writes to w.
func On(w io.Writer) *Screen {
	if s, ok := w.(*Screen); ok {
		return s
	}
	return &Screen{out: w}
}

// Fit tells a screen how wide the terminal is. It breaks long lines, and so a row
// could begin as a line of candelua's own does.
func (s *Screen) Fit(width func() int) { s.width = width }

// Page returns a screen that collects what is written to it, for [Screen.Paste].
func (s *Screen) Page() *Screen { return &Screen{out: &bytes.Buffer{}, width: s.width} }

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
	return s.own(string(text))
}

func (s *Screen) own(text string) error {
	if err := s.flush(true); err != nil {
		return err
	}
	err := s.put([]byte(text))
	switch seen := unseen.Replace(text); {
	case strings.HasSuffix(text, "\n"), text == string(ClearLine):
		s.within, s.column = false, 0
	case seen != "":
		s.within, s.column = true, s.column+runewidth.StringWidth(seen)
	}
	return err
}

// Say writes a message as a line, or as several with a bar before each further one.
// The lead is how it begins, such as "candelua: error: ".
func (s *Screen) Say(lead Own, text string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.say(string(lead), text)
}

func (s *Screen) say(lead, text string) error {
	if err := s.flush(true); err != nil {
		return err
	}
	if s.within {
		lead = "\n" + lead
	}
	if err := s.own(lead); err != nil {
		return err
	}
	s.within = true // the first line is candelua's, also if the lead is empty
	s.held = append(s.held, Lines(text)+"\n"...)
	return s.flush(true)
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
	err := s.put(page.out.(*bytes.Buffer).Bytes())
	page.out.(*bytes.Buffer).Reset()
	s.within, s.column = page.within, page.column
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

// Close writes what was kept back, and gives the error of the first write that failed, whoever
// looked at it. The screen stays usable.
func (s *Screen) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	err := s.flush(true)
	return cmp.Or(s.lost, err)
}

// put is the one way out.
func (s *Screen) put(p []byte) error {
	_, err := s.out.Write(p)
	if s.lost == nil {
		s.lost = err
	}
	return err
}

// flush writes what is held as far as it can be judged, or all of it.
func (s *Screen) flush(all bool) error {
	width := 0
	if s.width != nil {
		width = s.width()
	}
	out := make([]byte, 0, len(s.held)+len(bar))
	rest := s.held
	for len(rest) > 0 {
		r, size := utf8.DecodeRune(rest)
		if r != '\n' && r != '\t' && unsafe(r) {
			r = instead
		}
		columns := runewidth.RuneWidth(r)
		if newRow := width > 0 && columns > 0 && s.column+columns > width; newRow || !s.within {
			is, may := mark(rest)
			if may && !all {
				break
			}
			s.within, s.column = true, 0
			if is {
				out = append(out, bar...)
				s.column = len(bar)
			}
		}
		if r == instead && !utf8.FullRune(rest) && !all {
			break
		}
		s.column += columns
		switch r {
		case '\n':
			s.within, s.column = false, 0
		case '\t':
			s.column += 8 - s.column%8
		}
		out = utf8.AppendRune(out, r)
		rest = rest[size:]
	}
	s.held = append(s.held[:0], rest...)
	if len(out) == 0 {
		return nil
	}
	return s.put(out)
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
	e.screen.mu.Lock()
	defer e.screen.mu.Unlock()
	if err := e.screen.say("", string(p)); err != nil {
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

// unseen takes away what takes no room.
var unseen = strings.NewReplacer(string(Red), "", string(Green), "", string(Yellow), "", string(NoColour), "", string(ClearLine), "")
