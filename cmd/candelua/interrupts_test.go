//go:build unix

package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"candelua/testdata/campaign"
)

// slow reads white in two windows, seven simulated seconds each.
const slow = `return procedure {
  title   = "Slow",
  purpose = "White in two windows, three readings each.",
  needs   = { meter = {}, patches = {} },
  run = function()
    for _, window in ipairs { 10, 100 } do
      patches.show { grey = 1, window = window }
      local r = meter.read { after = 2, repeats = 3 }
      record.value { name = "Luminance at " .. window .. " %", value = r.Y, unit = "cd/m2" }
      clock.wait(2)
    end
  end,
}
`

// endless waits again and again, and never ends.
const endless = `return procedure {
  title = "Endless", purpose = "Waits for ever.", needs = { patches = {} },
  run = function()
    patches.show { grey = 1 }
    while true do clock.wait(0.5) end
  end,
}
`

// process is the command as a process of its own.
type process struct {
	*exec.Cmd
	out, err lockedBuffer
}

func start(t *testing.T, dir string, args ...string) *process {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Minute)
	t.Cleanup(cancel)
	p := &process{Cmd: exec.CommandContext(ctx, "candelua", args...)}
	p.Dir, p.Stdout, p.Stderr = dir, &p.out, &p.err
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	return p
}

// status waits for the end and gives the exit status.
func (p *process) status(t *testing.T) int {
	t.Helper()
	err := p.Wait()
	var exit *exec.ExitError
	switch {
	case err == nil:
		return 0
	case errors.As(err, &exit):
		return exit.ExitCode()
	}
	t.Fatal(err)
	return 0
}

func (p *process) signal(t *testing.T, s os.Signal) {
	t.Helper()
	if err := p.Process.Signal(s); err != nil {
		t.Fatal(err)
	}
}

// until waits for something to be so.
func until(t *testing.T, what string, so func() bool) {
	t.Helper()
	for range 12000 {
		if so() {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatalf("%s: not within 2 minutes", what)
}

func journalHas(dir, run, text string) func() bool {
	return func() bool {
		journal, _ := os.ReadFile(filepath.Join(dir, run, "journal.jsonl"))
		return bytes.Contains(journal, []byte(text))
	}
}

func read(t *testing.T, path ...string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(path...))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// goOn resumes a run at full speed and compares its results with those of one
// that nobody stopped.
func goOn(t *testing.T, dir string) {
	t.Helper()
	for _, args := range [][]string{{"resume", "runs/slow-1"}, {"replay", "runs/slow-1"}, {"run", "./slow.lua"}} {
		if p := start(t, dir, args...); p.status(t) != 0 {
			t.Fatalf("%v: %s%s", args, &p.out, &p.err)
		}
	}
	stopped, whole := values(read(t, dir, "runs/slow-1/results.json")), values(read(t, dir, "runs/slow-2/results.json"))
	if len(stopped) != 2 || len(whole) != 2 {
		t.Errorf("the resumed run has the values %v, the unbroken one %v", stopped, whole)
	}
	for i := range stopped {
		if !near(stopped[i], whole[i]) {
			t.Errorf("the resumed run has the values %v, the unbroken one %v", stopped, whole)
		}
	}
}

// The first signal pauses: a reading that has begun is finished, the wait is
// not, and the message says how to go on.
func TestInterruptPauses(t *testing.T) {
	for name, signal := range map[string]os.Signal{"interrupt": os.Interrupt, "terminate": syscall.SIGTERM} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := folderWith(t, "slow", slow)
			p := start(t, dir, "run", "./slow.lua", "--speed", "1")
			until(t, "a reading", journalHas(dir, "runs/slow-1", `"kind":"sample"`))
			p.signal(t, signal)
			if got := p.status(t); got != statusPaused {
				t.Errorf("exit status is %d, want %d", got, statusPaused)
			}
			want := "candelua: stopping after the current reading; press Ctrl-C again to stop at once\n" +
				"candelua: paused after step 1; go on with: candelua resume runs/slow-1\n"
			if got := p.err.String(); got != want {
				t.Errorf("stderr is\n%s\nwant\n%s", got, want)
			}
			if got := p.out.String(); !strings.Contains(got, "Run: runs/slow-1 (paused, 1 step, ") {
				t.Errorf("stdout is\n%s", got)
			}
			if !journalHas(dir, "runs/slow-1", `"name":"safe-end"`)() {
				t.Error("the unit was not left safe")
			}
			if p := start(t, dir, "replay", "runs/slow-1"); p.status(t) != statusDone {
				t.Errorf("the paused run's replay says %s", &p.err)
			}
			goOn(t, dir)
		})
	}
}

// Once all is measured the signal ends the draws: the run is done, and says where its
// uncertainties are to be had.
func TestInterruptLeavesDrawsOut(t *testing.T) {
	t.Parallel()
	dir := folderWith(t, "slow", slow)
	p := start(t, dir, "run", "./slow.lua", "--draws", "1000000")
	until(t, "readings", func() bool {
		_, err := os.Stat(filepath.Join(dir, "runs/slow-1/readings.json"))
		return err == nil
	})
	works(t, p) // it has drawn something
	p.signal(t, os.Interrupt)
	if got := p.status(t); got != statusDone {
		t.Errorf("exit status is %d, want %d", got, statusDone)
	}
	want := "candelua: leaving out the uncertainties; press Ctrl-C again to stop at once\n"
	got := p.err.String()
	if !strings.HasPrefix(got, want) || !strings.Contains(got, "candelua replay runs/slow-1 --draws 1000000") {
		t.Errorf("stderr is\n%s", got)
	}
	if p := start(t, dir, "replay", "runs/slow-1", "--draws", "100"); p.status(t) != statusDone || !strings.Contains(p.out.String(), "±") {
		t.Errorf("a replay that draws says %s%s", &p.out, &p.err)
	}
	for _, more := range []string{"--json=false", "--correction=none"} {
		p := start(t, dir, "replay", "runs/slow-1", "--draws", "1000000", more)
		works(t, p) // it says nothing of itself before it is done
		p.signal(t, os.Interrupt)
		want := "candelua: error: the replay was stopped by the user\ncandelua: hint: nothing of it was kept, and the run is unchanged; a replay cannot be resumed: run it again\n"
		if status := p.status(t); status != statusPaused || !strings.HasSuffix(p.err.String(), want) {
			t.Errorf("a replay that is stopped, %s: status %d\n%s", more, status, &p.err)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "runs/slow-1/replays/2")); err == nil {
		t.Error("a stopped replay was kept")
	}
}

// A pause as an object.
func TestInterruptJSON(t *testing.T) {
	t.Parallel()
	dir := folderWith(t, "slow", slow)
	p := start(t, dir, "run", "./slow.lua", "--speed", "1", "--json")
	until(t, "a step", journalHas(dir, "runs/slow-1", `"kind":"answer"`))
	p.signal(t, os.Interrupt)
	if got := p.status(t); got != statusPaused {
		t.Errorf("exit status is %d, want %d", got, statusPaused)
	}
	for _, want := range []string{`"run": "runs/slow-1"`, `"status": "paused"`, `"code": "interrupted"`} {
		if !strings.Contains(p.out.String(), want) {
			t.Errorf("stdout has no %s:\n%s", want, &p.out)
		}
	}
}

// The second signal ends the process in the middle of a reading, for which the
// first has to wait; the journal is whole.
func TestSecondInterruptStopsAtOnce(t *testing.T) {
	t.Parallel()
	dir := folderWith(t, "slow", strings.Replace(slow, "after = 2, ", "", 1))
	p := start(t, dir, "run", "./slow.lua", "--speed", "0.02") // a reading takes 50 s
	until(t, "a reading to begin", journalHas(dir, "runs/slow-1", `"name":"meter.read"`))
	rests(t, p) // there is no record of an integration's beginning
	p.signal(t, os.Interrupt)
	until(t, "the message", func() bool { return strings.Contains(p.err.String(), "stopping") })
	time.Sleep(2 * oneStop) // a second signal at once means the same stop
	p.signal(t, os.Interrupt)
	if got := p.status(t); got != statusPaused {
		t.Errorf("exit status is %d, want %d", got, statusPaused)
	}
	if !strings.Contains(p.err.String(), "candelua: stopped at once; the unit may still show the last patch; go on with: candelua resume runs/slow-1\n") {
		t.Errorf("stderr is\n%s", &p.err)
	}
	if journalHas(dir, "runs/slow-1", `"kind":"end"`)() {
		t.Error("the journal has an end, so the reading was not cut short")
	}
	replay := start(t, dir, "replay", "runs/slow-1")
	if got := replay.status(t); got != statusFailed || !strings.Contains(replay.err.String(), "no results to compare with; go on with: candelua resume runs/slow-1") {
		t.Errorf("its replay has the status %d and says %s", got, &replay.err)
	}
	goOn(t, dir)
}

// A resumption is interrupted like a run.
func TestInterruptedResumption(t *testing.T) {
	t.Parallel()
	dir := folderWith(t, "endless", endless)
	p := start(t, dir, "run", "./endless.lua", "--speed", "1")
	until(t, "a step", journalHas(dir, "runs/endless-1", `"step":2`))
	p.signal(t, os.Interrupt)
	if p.status(t) != statusPaused {
		t.Fatal(p.err.String())
	}
	p = start(t, dir, "resume", "runs/endless-1", "--speed", "1")
	until(t, "going live", journalHas(dir, "runs/endless-1", `"step":4`))
	p.signal(t, os.Interrupt)
	if p.status(t) != statusPaused || !regexp.MustCompile(`paused after step \d+; go on with: candelua resume runs/endless-1\n$`).MatchString(p.err.String()) {
		t.Errorf("stderr is\n%s", &p.err)
	}
}

// Results that cannot be printed are no success, and are not lost.
func TestUnprintableResults(t *testing.T) {
	t.Parallel()
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		if campaign.Full() {
			t.Fatal("this test is compulsory here and wants /dev/full: ", err)
		}
		t.Skip("this system has no full device, as Linux has at /dev/full: ", err)
	}
	defer full.Close()
	for _, more := range []string{"--json=false", "--json"} {
		dir := folderWith(t, "slow", slow)
		cmd := exec.CommandContext(t.Context(), "candelua", "run", "./slow.lua", more)
		var stderr lockedBuffer
		cmd.Dir, cmd.Stdout, cmd.Stderr = dir, full, &stderr
		var exit *exec.ExitError
		if err := cmd.Run(); !errors.As(err, &exit) || exit.ExitCode() != statusFailed {
			t.Errorf("it ended with %v", err)
		}
		if !strings.HasPrefix(stderr.String(), "candelua: error: the results cannot be printed; they are kept in runs/slow-1: ") {
			t.Errorf("stderr is\n%s", &stderr)
		}
		if !strings.HasSuffix(stderr.String(), "candelua: the run is done, and its results are in its folder; see them with: candelua runs runs/slow-1\n") {
			t.Errorf("the advice is\n%s", &stderr)
		}
		if p := start(t, dir, "runs", "runs/slow-1"); p.status(t) != 0 || !strings.Contains(p.out.String(), "cd/m2") {
			t.Errorf("the advice leads to\n%s%s", &p.out, &p.err)
		}
		if len(values(read(t, dir, "runs/slow-1/results.json"))) != 2 {
			t.Error("the results are not kept")
		}
	}
}

// TestASignalEndsEveryCommand stops commands whose output nobody takes.
func TestASignalEndsEveryCommand(t *testing.T) {
	t.Parallel() // most of it is waiting
	for _, args := range [][]string{{"api"}, {"procedures"}, {"runs", "--json"}, {"replay", "--help"}} {
		dir := folderWith(t, "slow", slow)
		if err := os.Mkdir(filepath.Join(dir, "runs"), 0o755); err != nil {
			t.Fatal(err)
		}
		stdout := fullPipe(t)
		cmd := exec.CommandContext(t.Context(), "candelua", args...)
		cmd.Dir, cmd.Stdout = dir, stdout
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Second) // until it writes, or before: it ends at either
		began := time.Now()
		if err := cmd.Process.Signal(syscall.SIGTERM); err != nil {
			t.Fatal(err)
		}
		ended := make(chan error, 1)
		go func() { ended <- cmd.Wait() }()
		select {
		case err := <-ended:
			if err == nil {
				t.Errorf("%v: ended by itself after %s", args, time.Since(began))
			}
		case <-time.After(30 * time.Second):
			t.Errorf("%v: a signal does not end it", args)
			cmd.Process.Kill()
			<-ended
		}
	}
}

// fullPipe is the end to write to of a pipe that takes no more.
func fullPipe(t *testing.T) *os.File {
	t.Helper()
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.Close(); w.Close() })
	if err := w.SetWriteDeadline(time.Now().Add(time.Second / 4)); err != nil {
		t.Fatal(err)
	}
	for err == nil {
		_, err = w.Write(make([]byte, 4096))
	}
	if !errors.Is(err, os.ErrDeadlineExceeded) {
		t.Fatal(err)
	}
	return w
}

// TestIgnoredSignals ignores a hang-up, as nohup does, and the run comes to its end.
func TestIgnoredSignals(t *testing.T) {
	t.Parallel() // most of it is waiting
	dir := folderWith(t, "slow", slow)
	p := start(t, dir, "run", "./slow.lua", "--speed", "5")
	until(t, "a step", journalHas(dir, "runs/slow-1", `"kind":"answer"`))
	p.signal(t, syscall.SIGHUP)
	if status := p.status(t); status != 3 {
		t.Errorf("a hang-up ends with %d, want a pause", status)
	}
	for _, ignored := range []struct {
		name string
		syscall.Signal
	}{{"HUP", syscall.SIGHUP}, {"INT", syscall.SIGINT}, {"INT QUIT", syscall.SIGQUIT}} {
		dir := folderWith(t, "slow", slow)
		cmd := exec.CommandContext(t.Context(), "sh", "-c", "trap '' "+ignored.name+"; exec candelua run ./slow.lua --speed 5")
		cmd.Dir = dir
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		until(t, "a step", journalHas(dir, "runs/slow-1", `"kind":"answer"`))
		if err := cmd.Process.Signal(ignored.Signal); err != nil {
			t.Fatal(err)
		}
		if err := cmd.Wait(); err != nil {
			t.Errorf("%s is ignored, and the run ends with %v", ignored.name, err)
		}
	}
}

// TestQuit stops a run, and a command without one, at once and without a trace.
func TestQuit(t *testing.T) {
	dir := folderWith(t, "slow", slow)
	p := start(t, dir, "run", "./slow.lua", "--speed", "1")
	until(t, "a step", journalHas(dir, "runs/slow-1", `"kind":"answer"`))
	p.signal(t, syscall.SIGQUIT)
	if status := p.status(t); status != 3 {
		t.Errorf("status is %d", status)
	}
	if got, want := p.err.String(), "candelua: stopped at once; the unit may still show the last patch; go on with: candelua resume runs/slow-1\n"; !strings.HasSuffix(got, want) || strings.Contains(got, "goroutine") {
		t.Errorf("stderr is\n%s", got)
	}
	p = start(t, dir, "resume", "runs/slow-1")
	if status := p.status(t); status != 0 {
		t.Errorf("resumed, it ends with %d\n%s", status, p.err.String())
	}
}

// TestFullAfterTheLastReading has no room for the results of a run that was measured to its end.
func TestFullAfterTheLastReading(t *testing.T) {
	dir := folderWith(t, "long", `return procedure {
  title = "Long", purpose = "More to say than to measure.", needs = { meter = {}, patches = {} },
  run = function()
    local t = record.table("Greys", { { "grey" }, { "luminance", "cd/m2" } })
    for i = 1, 2 do
      patches.show { grey = i / 2, window = 10 }
      t:add { grey = i / 2, luminance = meter.read().Y }
    end
    record.plot { table = t, x = "grey", y = "luminance" }
    for i = 1, 100 do record.note(i .. ("x"):rep(2000)) end
  end,
}
`)
	cmd := exec.CommandContext(t.Context(), "sh", "-c", "trap '' XFSZ; ulimit -f 128; exec candelua run ./long.lua")
	var stdout, stderr bytes.Buffer
	cmd.Dir, cmd.Stdout, cmd.Stderr = dir, &stdout, &stderr
	err := cmd.Run()
	if cmd.ProcessState.ExitCode() != 1 {
		t.Errorf("it ends with %v", err)
	}
	if !strings.Contains(stderr.String(), "results.json was not written") ||
		!strings.HasSuffix(stderr.String(), "candelua: everything was measured, and is in the journal; once the cause is mended, write the results with: candelua resume runs/long-1\n") {
		t.Errorf("stderr is\n%s", &stderr)
	}
	if strings.Contains(stdout.String(), "drawings in") {
		t.Errorf("it claims drawings:\n%s", &stdout)
	}
	p := start(t, dir, "resume", "runs/long-1")
	if status := p.status(t); status != 0 || !strings.Contains(p.out.String(), "drawings in runs/long-1/plots: ") {
		t.Errorf("resumed, it ends with %d\n%s%s", status, p.out.String(), p.err.String())
	}
}
