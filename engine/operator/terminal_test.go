//go:build unix

package operator

import (
	"io"
	"os"
	"testing"

	"github.com/creack/pty"
	"github.com/google/go-cmp/cmp"
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
	if _, err := io.WriteString(hand, "201"+backspace+"0 0.31 0.33\r"+"wrong"+ctrlU+"back\r\r"+ctrlD); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff([]string{"200 0.31 0.33", "back", ""}, readAll(t, c)); d != "" {
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
