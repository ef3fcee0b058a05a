package store

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"candelua/engine/result"
)

// The test binary is also the second process: it opens a run in the way that
// childMode names, and says "open" or the error.
const (
	childMode = "CANDELUA_STORE_TEST_MODE"
	childPath = "CANDELUA_STORE_TEST_PATH"
)

func TestMain(m *testing.M) {
	if os.Getenv(childMode) != "" {
		os.Exit(child(os.Getenv(childMode), os.Getenv(childPath)))
	}
	os.Exit(m.Run())
}

// child holds a run until its input ends, or rewrites its results for ever.
func child(mode, path string) int {
	open := Open
	if mode == "read" {
		open = OpenReadOnly
	}
	r, err := open(path)
	if err != nil {
		fmt.Println(err)
		return 1
	}
	fmt.Println("open")
	for n := 0; mode == "rewrite"; n++ {
		res := result.New()
		peak := float64(n)
		_, err := res.Value(result.Value{Name: "Peak", Value: &peak})
		if err == nil {
			err = r.WriteResults(res)
		}
		if err != nil {
			fmt.Println(err)
			return 1
		}
	}
	_, _ = io.Copy(io.Discard, os.Stdin) // the end is what is waited for
	if err := r.Close(); err != nil {
		fmt.Println(err)
		return 1
	}
	return 0
}

// process is a second process that was started.
type process struct {
	*exec.Cmd
	stdin io.Closer
	said  string // its first line
}

func start(t *testing.T, mode, path string) *process {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childMode+"="+mode, childPath+"="+path)
	stdin, err := cmd.StdinPipe()
	must(t, err)
	stdout, err := cmd.StdoutPipe()
	must(t, err)
	must(t, cmd.Start())
	t.Cleanup(func() { _ = cmd.Process.Kill() }) // it may have ended by itself
	line := bufio.NewScanner(stdout)
	line.Scan()
	return &process{cmd, stdin, line.Text()}
}

// dies ends a process at once, without its leave.
func (p *process) dies(t *testing.T) {
	t.Helper()
	must(t, p.Process.Kill())
	if err := p.Wait(); err == nil {
		t.Fatal("the process ended well, want it killed")
	}
}

func TestLockInOneProcess(t *testing.T) {
	r := newRun(t)
	for _, open := range []func(string) (*Run, error){Open, OpenReadOnly} {
		_, err := open(r.Path())
		fails(t, err, ErrLocked, r.Path(), "already open in this process")
	}
	path := closed(t)
	reader, err := OpenReadOnly(path)
	must(t, err)
	_, err = Open(path)
	fails(t, err, ErrLocked, "is being read", "wait until it has finished")
	must(t, reader.Close())
	again, err := Open(path)
	must(t, err)
	must(t, again.Close())
	if _, err := os.Stat(filepath.Join(path, holderName)); err == nil {
		t.Error("a closed run still names a holder")
	}
}

func TestLockNamesTheOtherProcess(t *testing.T) {
	path := closed(t)
	p := start(t, "write", path)
	if p.said != "open" {
		t.Fatalf("the other process said %q", p.said)
	}
	for _, open := range []func(string) (*Run, error){Open, OpenReadOnly} {
		_, err := open(path)
		fails(t, err, ErrLocked, path, fmt.Sprintf("is open in process %d", p.Process.Pid), "stop that process")
	}
	must(t, os.WriteFile(filepath.Join(path, holderName), []byte("?"), 0o644)) // without it there is less to say
	_, err := Open(path)
	fails(t, err, ErrLocked, path)

	must(t, p.stdin.Close(), p.Wait())
	r, err := Open(path)
	must(t, err)
	second := start(t, "write", path)
	want := fmt.Sprintf("is open in process %d", os.Getpid())
	if err := second.Wait(); err == nil || !strings.Contains(second.said, want) {
		t.Errorf("the second process said %q, want %q in it", second.said, want)
	}
	must(t, r.Close())
}

func TestLockEndsWithItsProcess(t *testing.T) {
	path := closed(t)
	p := start(t, "write", path)
	if p.said != "open" {
		t.Fatalf("the other process said %q", p.said)
	}
	p.dies(t)
	if _, err := os.Stat(filepath.Join(path, holderName)); err != nil {
		t.Errorf("the killed process left no holder, so this tests nothing: %v", err)
	}
	reader, err := OpenReadOnly(path)
	must(t, err)
	_, err = Open(path)
	fails(t, err, ErrLocked, "is being read") // and not by the dead process
	must(t, reader.Close())
	r, err := Open(path)
	must(t, err)
	must(t, r.Close())
}

func TestReadersInTwoProcesses(t *testing.T) {
	path := closed(t)
	p := start(t, "read", path)
	if p.said != "open" {
		t.Fatalf("the other process said %q", p.said)
	}
	r, err := OpenReadOnly(path)
	must(t, err)
	must(t, r.Close())
	_, err = Open(path)
	fails(t, err, ErrLocked, "is being read")
	must(t, p.stdin.Close(), p.Wait())
}

// A copy without a lock file is nobody's, and reading it makes none.
func TestReadingACopyWithoutALock(t *testing.T) {
	path := closed(t)
	must(t, os.Remove(filepath.Join(path, lockName)))
	r, err := OpenReadOnly(path)
	must(t, err)
	must(t, r.Close())
	if _, err := os.Stat(filepath.Join(path, lockName)); err == nil {
		t.Error("reading made a lock file")
	}
}

// Two processes that create at once get two folders; here many do.
func TestCreateAtOnce(t *testing.T) {
	out := t.TempDir()
	const many = 16
	runs := make(chan *Run, many)
	errs := make(chan error, many)
	for range many {
		go func() {
			r, err := Create(out, "ramp")
			runs <- r
			errs <- err
		}()
	}
	seen := map[string]bool{}
	for range many {
		must(t, <-errs)
		r := <-runs
		seen[r.Path()] = true
		must(t, r.Close())
	}
	if len(seen) != many {
		t.Errorf("there are %d folders, want %d", len(seen), many)
	}
}

// However a writer dies, the results are whole: those before or those after.
func TestReplacingSurvivesAKill(t *testing.T) {
	path := closed(t)
	for i := range 12 {
		r, err := Open(path)
		must(t, err)
		must(t, r.WriteResults(some(t, 1)), r.Close())
		p := start(t, "rewrite", path)
		if p.said != "open" {
			t.Fatalf("the writer said %q", p.said)
		}
		time.Sleep(time.Duration(5+3*i) * time.Millisecond) // anywhere in its endless writing will do
		p.dies(t)
		r, err = OpenReadOnly(path)
		must(t, err)
		if res, err := r.ReadResults(); err != nil || len(res.Values()) != 1 {
			t.Errorf("after a kill the results are %v, %v", res, err)
		}
		must(t, r.Close())
	}
}
