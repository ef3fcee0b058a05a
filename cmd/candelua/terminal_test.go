//go:build unix

package main

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"

	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/progress"
)

// lockedBuffer is written by a process and read by a test.
type lockedBuffer struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.Write(p)
}

func (b *lockedBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.String()
}

// values takes the numbers of the values out of results.json.
func values(text string) []float64 {
	var results struct{ Values []struct{ Value float64 } }
	if err := json.Unmarshal([]byte(text), &results); err != nil {
		return nil
	}
	var all []float64
	for _, v := range results.Values {
		all = append(all, v.Value)
	}
	return all
}

// near allows for the noise of a reading that was taken at another time: 1 %.
func near(a, b float64) bool { return math.Abs(a-b) < 0.01*math.Abs(b) }

// terminal is the command at a terminal of its own.
type terminal struct {
	*exec.Cmd
	end  *os.File
	seen lockedBuffer
	done chan struct{}
}

func atTerminal(t *testing.T, dir string, columns uint16, args ...string) *terminal {
	t.Helper()
	c := &terminal{Cmd: exec.CommandContext(t.Context(), "candelua", args...), done: make(chan struct{})}
	c.Dir = dir
	c.Env = append(os.Environ(), "TERM=xterm", "NO_COLOR=1")
	end, err := pty.StartWithSize(c.Cmd, &pty.Winsize{Rows: 24, Cols: columns})
	if err != nil {
		t.Fatal(err)
	}
	c.end = end
	t.Cleanup(func() { end.Close() })
	go func() {
		_, _ = io.Copy(&c.seen, end) // ends with an error when the terminal closes
		close(c.done)
	}()
	return c
}

func (c *terminal) waits(t *testing.T, text string) {
	t.Helper()
	until(t, "the terminal shows "+text, func() bool { return strings.Contains(c.seen.String(), text) })
}

func (c *terminal) types(t *testing.T, text string) {
	t.Helper()
	if _, err := io.WriteString(c.end, text); err != nil {
		t.Fatal(err)
	}
}

// screen gives the lines as a terminal shows them at the end: what a carriage
// return and an erase put an end to is gone.
func (c *terminal) screen(t *testing.T) string {
	t.Helper()
	err := c.Wait()
	select {
	case <-c.done:
	case <-time.After(2 * time.Minute):
		t.Fatal("the terminal does not close")
	}
	if err != nil {
		t.Logf("ended with %v", err)
	}
	return shownLines(c.seen.String())
}

// shownLines plays the only two things that the status line asks of a terminal.
func shownLines(raw string) string {
	var all []string
	for line := range strings.SplitSeq(strings.ReplaceAll(raw, "\r\n", "\n"), "\n") {
		if at := strings.LastIndex(line, string(plain.ClearLine)); at >= 0 {
			line = line[at+len(string(plain.ClearLine)):]
		}
		all = append(all, line)
	}
	return strings.Join(all, "\n")
}

// On a terminal one line says what is done, is written over, and is gone at the
// end.
func TestStatusLine(t *testing.T) {
	t.Parallel()
	dir := folderWith(t, "slow", slow)
	c := atTerminal(t, dir, 40, "run", "./slow.lua", "--speed", "3")
	c.waits(t, " of about 6: ") // once the rehearsal is through
	screen := c.screen(t)
	if strings.Contains(screen, "step ") || strings.Contains(screen, "\x1b") {
		t.Errorf("the status line is left on the screen:\n%q", screen)
	}
	if !strings.Contains(screen, "Run: runs/slow-1 (done, 6 steps, ") {
		t.Errorf("the screen is\n%s", screen)
	}
	raw := c.seen.String()
	for _, line := range regexp.MustCompile(`\x1b\[K(step [^\r\n\x1b]*)`).FindAllStringSubmatch(raw, -1) {
		if n := len([]rune(line[1])); n > 39 {
			t.Errorf("%q is %d columns wide on a terminal of 40", line[1], n)
		}
	}
	if !strings.Contains(raw, "(2 s)") && !strings.Contains(raw, "…") {
		t.Errorf("a long step does not say how long it has taken:\n%q", raw)
	}
}

// At a terminal the operator reads prompts, and never meets the status line.
func TestOperatorAtATerminal(t *testing.T) {
	t.Parallel()
	dir := folderWith(t, "slow", slow)
	c := atTerminal(t, dir, 100, "run", "./slow.lua", "--bench", "operator")
	c.waits(t, "Reading, 2 s after the patch is lit")
	time.Sleep(5 * redrawEvery)
	c.types(t, "200 0.31 0.33\n")
	c.waits(t, "full screen; SDR.")
	time.Sleep(5 * redrawEvery)
	c.types(t, "pause\n")
	screen := c.screen(t)
	for _, want := range []string{
		"Please show white 100 %, window 10 % of the screen, centred, on black; SDR.\nCareful: if the meter touches the screen, let it press no harder than the instructions of meter and unit allow.\nReading, 2 s after the patch is lit, in cd/m² (Y x y, or xyz X Y Z, or Y alone):\n",
		"200 0.31 0.33\nWaiting: clock.wait{seconds=2}.\nPlease show white 100 %, full screen; SDR.\n",
		"candelua: you paused the run after step ",
		"; go on with: candelua resume runs/slow-1\n",
	} {
		if !strings.Contains(screen, want) {
			t.Errorf("the screen has no\n%s\nbut is\n%s", want, screen)
		}
	}
	if strings.Contains(c.seen.String(), "\x1b") {
		t.Errorf("a status line was shown to a person who types:\n%q", c.seen.String())
	}
}

// A step that a prompt belongs to is not shown again behind it.
func TestStatusLineStaysAwayFromPrompts(t *testing.T) {
	master, slave, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer master.Close()
	t.Setenv("TERM", "xterm")
	var seen lockedBuffer
	done := make(chan struct{})
	go func() { _, _ = io.Copy(&seen, master); close(done) }()
	s := newStatusLine(slave)
	begins := func(p play.Progress) { s.follower.Tell(p); s.show(p) }
	begins(play.Progress{Step: 1, Show: func() string { return "patches.show{grey=1}\x1b[2J" }})
	until(t, "the line", func() bool { return strings.Contains(seen.String(), "step 1, 0:00:00: patches.show{grey=1}\uFFFD[2J") })
	if _, err := s.Write([]byte("Please press Enter.\n")); err != nil {
		t.Fatal(err)
	}
	time.Sleep(5 * redrawEvery)
	until(t, "the prompt", func() bool {
		return strings.HasSuffix(seen.String(), string(plain.ClearLine)+"Please press Enter.\r\n")
	})
	begins(play.Progress{Step: 2, Show: func() string { return "meter.read{}" }})
	until(t, "the next step", func() bool { return strings.Contains(seen.String(), "step 2") })
	s.finish()
	s.finish() // twice is no harm
	slave.Close()
	<-done
	if !strings.HasSuffix(seen.String(), string(plain.ClearLine)) {
		t.Errorf("the line is left: %q", seen.String())
	}
}

// A terminal that cannot move its cursor, and a file, get no status line.
func TestNoStatusLine(t *testing.T) {
	file, err := os.CreateTemp(t.TempDir(), "")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	s := newStatusLine(file)
	s.show(play.Progress{Step: 1})
	s.redraw()
	s.finish()
	if text := read(t, file.Name()); text != "" {
		t.Errorf("a file got %q", text)
	}
	_, slave, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer slave.Close()
	t.Setenv("TERM", "dumb")
	if newStatusLine(slave).terminal {
		t.Error("a dumb terminal would get a status line")
	}
}

func TestStepText(t *testing.T) {
	v := progress.View{Step: 12, Time: 3671, Doing: "clock.wait(600)"}
	for taken, want := range map[int]string{0: "step 12, 1:01:11: clock.wait(600)", 1: "step 12, 1:01:11: clock.wait(600)", 41: "step 12, 1:01:11: clock.wait(600) (41 s)"} {
		if v.Taken = taken; stepText(v, 120) != want {
			t.Errorf("after %d s it says %q, want %q", taken, stepText(v, 120), want)
		}
	}
	v.Taken, v.Part, v.Reading = 41, "dark", "612.4 cd/m², x 0.3127, y 0.3290"
	if got, want := stepText(v, 120), "step 12 (dark), 1:01:11, 612.4 cd/m²: clock.wait(600) (41 s)"; got != want {
		t.Errorf("after a reading it says %q, want %q", got, want)
	}
	v.About, v.Left = 96, "about 14 min"
	if got, want := stepText(v, 120), "step 12 of about 96 (dark), about 14 min left, 612.4 cd/m²: clock.wait(600) (41 s)"; got != want {
		t.Errorf("of a foreseen run it says %q, want %q", got, want)
	}
	v.Left = "longer than expected"
	if got, want := stepText(v, 120), "step 12 of about 96 (dark), longer than expected, 612.4 cd/m²: clock.wait(600) (41 s)"; got != want {
		t.Errorf("of a late run it says %q, want %q", got, want)
	}
	if v.Left = ""; !strings.HasPrefix(stepText(v, 120), "step 12 of about 96 (dark), 612.4") { // a bench as fast as possible
		t.Errorf("without a time left it says %q", stepText(v, 120))
	}
	v.Left, v.Doing, v.Taken = "about 14 min", "meter.measure{relative=0.5, chromaticity=0.0005}", 0
	for columns, want := range map[int]string{
		120: "step 12 of about 96 (dark), about 14 min left, 612.4 cd/m²: ",
		80:  "step 12 of about 96, about 14 min left, 612.4 cd/m²: ",
		79:  "step 12 of about 96, about 14 min left, 612.4 cd/m²: ",
		70:  "step 12 of about 96, about 14 min left: ",
		40:  "step 12 of about 96: ",
		10:  "step 12 of about 96: ",
	} {
		if got := stepText(v, columns); got != want+v.Doing {
			t.Errorf("at %d columns it says %q, want %q", columns, got, want+v.Doing)
		}
	}
}
