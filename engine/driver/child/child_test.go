//go:build unix

package child

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"candelua/testdata/campaign"
)

func start(t *testing.T, k *Keeper, script string, terminal bool) (p *Program, folder string) {
	t.Helper()
	folder = t.TempDir()
	p, err := k.Start(Spec{Args: []string{"sh", "-c", script}, Dir: folder, Terminal: terminal})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Close() })
	return p, folder
}

func lineOf(t *testing.T, p *Program) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	got, err := p.Out.Take(ctx, func(held []byte) (int, error) { return bytes.IndexByte(held, '\n') + 1, nil })
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(string(got))
}

// lives says whether a process runs.
func lives(pid int) bool {
	state, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(pid), "stat"))
	if err != nil {
		return syscall.Kill(pid, 0) == nil
	}
	return !bytes.Contains(state, []byte(") Z "))
}

// TestEnds: however a program clings to life, it ends, with those that it started.
func TestEnds(t *testing.T) {
	for _, c := range []struct {
		name, script string
		terminal     bool
	}{
		{"ends with its input", `echo $$ $$; cat`, false},
		{"ends when told", `echo $$ $$; sleep 60`, false},
		{"ignores it", `trap "" TERM INT HUP; echo $$ $$; while true; do sleep 60; done`, false},
		{"child ignores it", `sh -c 'trap "" TERM INT HUP; sleep 60 & wait' & echo $$ $!; exit 0`, false},
		{"on a terminal", `trap "" TERM INT HUP; echo $$ $$; while true; do sleep 60; done`, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p, _ := start(t, &Keeper{}, c.script, c.terminal)
			pids := strings.Fields(lineOf(t, p))
			if err := p.Close(); err != nil {
				t.Error(err)
			}
			for _, text := range pids {
				pid, _ := strconv.Atoi(text)
				for until := time.Now().Add(5 * time.Second); pid == 0 || lives(pid); time.Sleep(5 * time.Millisecond) {
					if time.Now().After(until) {
						t.Errorf("process %s of %v is left", text, pids)
						break
					}
				}
			}
		})
	}
}

// TestService: what leaves the group for a session of its own goes on, and its hold on the output does not keep the
// driver waiting.
func TestService(t *testing.T) {
	campaign.Needs(t, "setsid", "apt-get install util-linux")
	for _, terminal := range []bool{false, true} {
		before := runtime.NumGoroutine()
		p, _ := start(t, &Keeper{}, `trap "" HUP; setsid sh -c 'trap "" HUP; echo $$; exec sleep 60' & read line`, terminal)
		pid, err := strconv.Atoi(lineOf(t, p))
		if err != nil {
			t.Fatal(err)
		}
		began := time.Now()
		p.Close()
		if took := time.Since(began); took > 10*time.Second {
			t.Errorf("terminal %v: closing takes %v", terminal, took)
		}
		for until := time.Now().Add(5 * time.Second); runtime.NumGoroutine() > before; time.Sleep(5 * time.Millisecond) {
			if time.Now().After(until) {
				t.Fatalf("terminal %v: %d goroutines were there before, and %d are left", terminal, before, runtime.NumGoroutine())
			}
		}
		if !lives(pid) {
			t.Errorf("terminal %v: the service has ended", terminal)
		}
		syscall.Kill(pid, syscall.SIGKILL)
	}
}

// TestNoneAfterKillAll: while the process ends, no program is started that nobody would end.
func TestNoneAfterKillAll(t *testing.T) {
	var k Keeper
	k.KillAll()
	if _, err := k.Start(Spec{Args: []string{"sleep", "60"}}); err == nil || err.Error() != "no program is started any more" {
		t.Errorf("it gives %v", err)
	}
}

// TestKillAll ends all programs at once.
func TestKillAll(t *testing.T) {
	var k Keeper
	a, _ := start(t, &k, `trap "" TERM; echo ready; while true; do sleep 60; done`, false)
	b, _ := start(t, &k, `trap "" TERM; echo ready; while true; do sleep 60; done`, true)
	lineOf(t, a)
	lineOf(t, b)
	k.KillAll()
	for _, p := range []*Program{a, b} {
		select {
		case <-p.Ended():
		case <-time.After(10 * time.Second):
			t.Fatal("a program goes on")
		}
	}
}

// TestEnding says how a program ended, and what it said last.
func TestEnding(t *testing.T) {
	p, _ := start(t, &Keeper{}, `echo first >&2; echo "no instrument" >&2; exit 3`, false)
	<-p.Ended()
	if got := p.Ending(); got != "ended with exit status 3: no instrument" || !p.Failed() {
		t.Errorf("%s, failed %v", got, p.Failed())
	}
	p, _ = start(t, &Keeper{}, `head -c 100000 /dev/zero | tr '\0' 'a' >&2; exit 0`, false)
	<-p.Ended()
	if got := len(p.Errors()); got != mostLast || p.Failed() {
		t.Errorf("%d bytes are kept, failed %v", got, p.Failed())
	}
}

// TestWrite gives up on a program that does not read.
func TestWrite(t *testing.T) {
	p, _ := start(t, &Keeper{}, `sleep 60`, false)
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	if err := p.Write(ctx, make([]byte, 1<<20)); err != context.DeadlineExceeded {
		t.Errorf("it gives %v", err)
	}
}

func TestStartErrors(t *testing.T) {
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "plain"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		says string
	}{
		{nil, "no program is named"},
		{[]string{"nosuch-program"}, `the program "nosuch-program" cannot be started: executable file not found in $PATH`},
		{[]string{filepath.Join(folder, "plain")}, "cannot be started: permission denied"},
	} {
		if _, err := new(Keeper).Start(Spec{Args: c.args, Dir: folder}); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v: the error is %v, want %s", c.args, err, c.says)
		}
	}
}
