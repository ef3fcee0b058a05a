//go:build unix

package operator

import (
	"fmt"
	"io"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/google/go-cmp/cmp"

	"candelua/engine/bench"
)

// terminal returns the person's side of a terminal, and a console on the other.
func terminal(t *testing.T) (hand *os.File, c Console) {
	t.Helper()
	hand, screen, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { hand.Close(); screen.Close() })
	return hand, NewConsole(screen, screen)
}

// On a terminal the person corrects a line before it counts, and ends the input
// with Ctrl-D.
func TestConsoleOnATerminal(t *testing.T) {
	hand, c := terminal(t)
	const backspace, ctrlU, ctrlD = "\x7f", "\x15", "\x04"
	for _, l := range []struct{ typed, want string }{{"201" + backspace + "0 0.31 0.33\r", "200 0.31 0.33"}, {"wrong" + ctrlU + "back\r", "back"}, {"\r", ""}} {
		time.AfterFunc(200*time.Millisecond, func() { io.WriteString(hand, l.typed) }) // once it is asked for
		if got, err := c.ReadLine(t.Context()); got != l.want || err != nil {
			t.Errorf("typed %q: %q, %v", l.typed, got, err)
		}
	}
	if _, err := io.WriteString(hand, ctrlD); err != nil {
		t.Fatal(err)
	}
	if lines := readAll(t, c); len(lines) > 0 {
		t.Errorf("after the end came %q", lines)
	}
}

// What is typed at a terminal while nothing is asked answers nothing: neither the first question nor a later one. What is
// pasted as several lines answers one.
func TestEarlyAtATerminal(t *testing.T) {
	hand, c := terminal(t)
	s := &story{t: t, typed: c}
	c.(*console).listen() // as opening the driver does
	types := func(text string) {
		if _, err := io.WriteString(hand, text); err != nil {
			t.Error(err)
		}
	}
	s.open(Options{})
	for n, early := range []string{"48\r", "49\r\r50\r", ""} {
		types(early)
		time.Sleep(300 * time.Millisecond) // a wait of the script
		pasted := fmt.Sprintf("%d\r%d\r", 200+n, 300+n)
		time.AfterFunc(300*time.Millisecond, func() { types(pasted) })
		s.read("meter", bench.ReadRequest{Most: 1})
	}
	types("51\rpause\r")
	time.Sleep(300 * time.Millisecond)
	s.read("meter", bench.ReadRequest{Most: 1}) // to stop is never wrong
	var answers []string
	for l := range strings.Lines(s.text.String()) {
		if strings.HasPrefix(l, "=") || strings.Contains(l, "before this was asked") {
			answers = append(answers, strings.TrimSpace(l))
		}
	}
	const unused = " was typed before this was asked, so it is not used. Please answer now."
	want := []string{`"48"` + unused, `= Y 200.0000, at 1s to 1s, typed "200", flags []`,
		`"300"` + unused, `"49"` + unused, `"50"` + unused, `= Y 201.0000, at 2s to 2s, typed "201", flags []`,
		`"301"` + unused, `= Y 202.0000, at 3s to 3s, typed "202", flags []`,
		`"302"` + unused, `"51"` + unused, "= error: operator: paused at the operator's word"}
	if d := cmp.Diff(want, answers); d != "" {
		t.Error(d)
	}
}

// A terminal that is hung up is the end of the input, as a pause.
func TestTerminalHungUp(t *testing.T) {
	hand, c := terminal(t)
	s := &story{t: t, typed: c}
	s.open(Options{})
	hand.Close()
	err := s.confirmed(t.Context())
	if !isPaused(err) {
		t.Errorf("error is %v, want a pause", err)
	}
}
