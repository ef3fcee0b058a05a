package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/creack/pty"
	"github.com/mattn/go-isatty"
	"github.com/mattn/go-runewidth"

	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/progress"
)

// redrawEvery is how often the status line is written over.
const redrawEvery = 100 * time.Millisecond

// statusLine is stderr with, on a terminal, one line at its end that says what
// is being done and is written over. Whatever else is written clears the line
// first, and it stays away until the next step: a prompt is never overwritten.
type statusLine struct {
	screen   *plain.Screen // stderr for all others: it writes to the line
	mu       sync.Mutex
	out      *os.File
	bare     *plain.Screen // out, for the line itself
	terminal bool
	byHand   bool               // a person may be typing at any time, so nothing is written over
	follower *progress.Follower // of the run, which says what is being done
	stepping bool               // that is shown
	draws    string             // how far the draws are, once the steps are over
	shown    string             // what the line says; empty: there is none
	ticking  bool
	stop     chan struct{}
}

var _ io.Writer = (*statusLine)(nil)

func newStatusLine(out *os.File) *statusLine {
	s := &statusLine{out: out, follower: progress.New(progress.Options{}), bare: plain.On(out), terminal: isTerminal(out) && os.Getenv("TERM") != "dumb", stop: make(chan struct{})}
	s.screen = plain.On(s)
	if s.terminal {
		s.screen.Fit(func() int { return columnsOf(out) })
	}
	return s
}

// Write clears the status line and writes to stderr what the screen made safe.
func (s *statusLine) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.stepping = false
	s.clear()
	return s.out.Write(p)
}

// show says what is being done from now on.
func (s *statusLine) show(p play.Progress) {
	if !s.terminal {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.byHand {
		if p.Name == "clock.wait" {
			fmt.Fprintf(s.bare, "Waiting: %s.\n", plain.Line(p.Show()))
		}
		return
	}
	s.stepping = true
	s.start()
}

// drawing says how many of the draws for the uncertainties are made.
func (s *statusLine) drawing(made, of int) {
	if !s.terminal {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.stepping, s.draws = false, fmt.Sprintf("uncertainties: repetition %d of at most %d (Ctrl-C goes on without uncertainties)", made, of)
	s.start()
}

// start has the line written over from now on.
func (s *statusLine) start() {
	if !s.ticking {
		s.ticking = true
		go s.tick()
	}
}

// forHands leaves the line to a person who types. Only waits are still written,
// since nothing else would show them.
func (s *statusLine) forHands() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.byHand = true
}

func (s *statusLine) tick() {
	t := time.NewTicker(redrawEvery)
	defer t.Stop()
	for {
		select {
		case <-t.C:
			s.redraw()
		case <-s.stop:
			return
		}
	}
}

func (s *statusLine) redraw() {
	s.mu.Lock()
	defer s.mu.Unlock()
	text := s.draws
	switch {
	case s.stepping:
		text = stepText(s.follower.View(), columnsOf(s.out)-1)
	case text == "":
		return
	}
	text = runewidth.Truncate(text, columnsOf(s.out)-1, "…")
	if text != s.shown {
		s.shown = text
		s.write(text)
	}
}

// write writes a text over what the line says.
func (s *statusLine) write(text string) {
	s.bare.Own(plain.ClearLine)
	fmt.Fprint(s.bare, text)
	s.bare.Close()
}

// stepText is "step 12 of about 96 (dark), about 14 min left, 612.4 cd/m²: clock.wait{seconds=600} (41 s)": the step and its
// part, the time left, the last reading, what is asked, and how long that has taken. Where it is not known how the run will go,
// there is the script time at which the step began, "step 12, 0:03:10". Where the columns are few, what is asked matters more than
// the part and the last reading.
func stepText(v progress.View, columns int) string {
	step, left := fmt.Sprintf("step %d", v.Step), clockText(float64(v.Time))
	if v.About > 0 {
		step, left = fmt.Sprintf("step %d of about %d", v.Step, v.About), v.Left
	}
	if strings.HasPrefix(left, "about") {
		left += " left"
	}
	within := step
	if v.Part != "" {
		within += " (" + v.Part + ")"
	}
	doing := ": " + v.Doing
	if v.Taken >= 2 {
		doing += fmt.Sprintf(" (%d s)", v.Taken)
	}
	const enough = 24                               // columns, to see what is asked
	luminance, _, _ := strings.Cut(v.Reading, ", ") // the colour has no room here
	room := columns - min(enough, runewidth.StringWidth(doing))
	text := ""
	for _, parts := range [][]string{{within, left, luminance}, {step, left, luminance}, {step, left}, {step}} {
		text = strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), ", ")
		if runewidth.StringWidth(text) <= room {
			break
		}
	}
	return text + doing
}

func (s *statusLine) clear() {
	if s.shown != "" {
		s.bare.Own(plain.ClearLine)
		s.shown = ""
	}
}

// finish takes the status line away for good.
func (s *statusLine) finish() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.stepping, s.draws = false, ""
	s.clear()
	if s.ticking {
		s.ticking = false
		close(s.stop)
	}
}

// clockText writes seconds as 1:02:03.
func clockText(seconds float64) string {
	s := int(seconds)
	return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
}

func isTerminal(f *os.File) bool {
	return isatty.IsTerminal(f.Fd()) || isatty.IsCygwinTerminal(f.Fd())
}

// columnsOf is how wide a terminal is; 80 if it does not say.
func columnsOf(f *os.File) int {
	_, columns, err := pty.Getsize(f)
	if err != nil || columns <= 0 {
		return 80
	}
	return columns
}
