// Package child starts the programs that drivers speak to, and ends them with all that they
// started themselves.
//
// A program runs in a process group of its own, so that a Ctrl-C at the terminal does not reach it.
// It is ended in three steps: its input is closed; then, where it goes on, its group is told
// to terminate; then the group is killed. What has left the group for a session of its own, as a
// vendor's service does, goes on; its hold on the output is not waited for. On Windows there are no process groups of this kind: the
// program alone is killed.
package child

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"time"

	"github.com/creack/pty"

	"candelua/engine/driver/inbox"
)

// How long a program may take for each step of its end.
const (
	endsWithin  = time.Second            // after its output came to an end
	closeWithin = 500 * time.Millisecond // after its input was closed
	termWithin  = time.Second            // after it was told to terminate
	pipeWithin  = 100 * time.Millisecond // for what others still hold of its output, once it has ended
)

// mostLast is how much of what a program says against itself is kept: the end of it.
const mostLast = 4 << 10

// Keeper knows the programs that run, so that all can be ended at once. The zero Keeper is
// ready.
type Keeper struct {
	mu      sync.Mutex
	running map[*Program]bool
	over    bool // all were killed, and none is started any more
}

// KillAll kills all programs, lets none be started any more, and returns at once, for a process that is
// about to exit.
func (k *Keeper) KillAll() {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.over = true
	for p := range k.running {
		kill(p.cmd)
	}
}

// Spec says what to start.
type Spec struct {
	Args     []string // the program and its arguments; the program is searched for as a shell does
	Dir      string   // where it works; empty: here
	Terminal bool     // it is given a pseudo-terminal in place of pipes
}

// Program is a program that runs, or has ended.
type Program struct {
	Out *inbox.Inbox // what it says; on a terminal with what it says against itself

	spec   Spec
	keeper *Keeper
	cmd    *exec.Cmd
	in     io.WriteCloser
	ends   []io.Closer // ours of its output
	last   tail
	ended  chan struct{} // closed when it has ended and its output was read
	err    error         // how it ended; valid then
	once   sync.Once
}

// Start starts a program. Each program that is started must be closed.
func (k *Keeper) Start(s Spec) (*Program, error) {
	if len(s.Args) == 0 || s.Args[0] == "" {
		return nil, errors.New("no program is named")
	}
	p := &Program{spec: s, keeper: k, ended: make(chan struct{}), last: tail{done: make(chan struct{})}}
	k.mu.Lock() // for the start too: what is started is known before all are killed
	defer k.mu.Unlock()
	if k.over {
		return nil, errors.New("no program is started any more")
	}
	err := p.start()
	for range busyTries {
		if !errors.Is(err, syscall.ETXTBSY) {
			break
		}
		time.Sleep(busyWait)
		err = p.start()
	}
	if err != nil {
		return nil, cannotStart(s.Args[0], err)
	}
	if k.running == nil {
		k.running = map[*Program]bool{}
	}
	k.running[p] = true
	go p.wait()
	return p, nil
}

// A program that was written a moment ago may still be held open for writing by another process that is just being
// started, and cannot be started itself meanwhile.
const (
	busyTries = 20
	busyWait  = 10 * time.Millisecond
)

// command makes what is to be started.
func (p *Program) command() {
	s := p.spec
	p.cmd = exec.Command(s.Args[0], s.Args[1:]...)
	if s.Dir != "" && filepath.Base(s.Args[0]) != s.Args[0] { // its path is from here, not from where it works
		if path, err := filepath.Abs(s.Args[0]); err == nil {
			p.cmd.Path = path
		}
	}
	p.cmd.Dir = s.Dir
}

// Find says why a program cannot be started, as far as this shows without starting it: nil where it is there.
func Find(program string) error {
	if _, err := exec.LookPath(program); err != nil {
		return cannotStart(program, err)
	}
	return nil
}

// cannotStart names a path in full: it may be relative to a folder that nobody thinks of.
func cannotStart(program string, err error) error {
	hint := "give its path, as in \"./program\", or install it"
	if filepath.Base(program) != program {
		if path, err := filepath.Abs(program); err == nil {
			program = path
		}
		hint = "a path starts at the folder of the bench file, and that of the bench file where the run was started; a path with blanks stands in a list, as in run = [\"./my program\", \"--once\"]"
	}
	return &startError{fmt.Errorf("the program %q cannot be started: %w", program, plainReason(err)), hint}
}

type startError struct {
	error
	hint string
}

func (e *startError) Unwrap() error { return e.error }

// Hint says what to do next.
func (e *startError) Hint() string { return e.hint }

// plainReason leaves out what the message says already.
func plainReason(err error) error {
	if e, ok := errors.AsType[*exec.Error](err); ok {
		err = e.Err
	}
	if e, ok := errors.AsType[*os.PathError](err); ok {
		return e.Err
	}
	return err
}

func (p *Program) start() error {
	p.command()
	if p.spec.Terminal {
		ownGroupOnTerminal(p.cmd)
		t, err := pty.Start(p.cmd)
		if err != nil {
			return err
		}
		if t, err = closable(t); err != nil {
			kill(p.cmd)
			return errors.Join(err, p.cmd.Wait())
		}
		p.in, p.ends = t, []io.Closer{t}
		p.Out = inbox.New(t, inbox.Most)
		close(p.last.done)
		return nil
	}
	ownGroup(p.cmd)
	in, err := p.cmd.StdinPipe()
	if err != nil {
		return err
	}
	out, outWriter, err := os.Pipe()
	if err != nil {
		return err
	}
	errs, errsWriter, err := os.Pipe()
	if err != nil {
		return errors.Join(err, out.Close(), outWriter.Close())
	}
	p.cmd.Stdout, p.cmd.Stderr = outWriter, errsWriter
	err = p.cmd.Start()
	outWriter.Close()
	errsWriter.Close()
	if err != nil {
		return errors.Join(err, out.Close(), errs.Close())
	}
	p.in, p.ends = in, []io.Closer{out, errs}
	p.Out = inbox.New(out, inbox.Most)
	go func() {
		io.Copy(&p.last, errs)
		close(p.last.done)
	}()
	return nil
}

// wait takes in the end of the program. Others whom it started may hold its output open for longer.
func (p *Program) wait() {
	p.err = p.cmd.Wait()
	late := time.After(pipeWithin)
	for _, read := range []<-chan struct{}{p.Out.Done(), p.last.done} {
		select {
		case <-read:
		case <-late:
			p.closeEnds()
			<-read
		}
	}
	p.keeper.mu.Lock()
	delete(p.keeper.running, p)
	p.keeper.mu.Unlock()
	close(p.ended)
}

// Write gives the program something to read. It ends with ctx's cause where the program does not
// read it.
func (p *Program) Write(ctx context.Context, text []byte) error {
	result := make(chan error, 1)
	go func() {
		_, err := p.in.Write(text)
		result <- err
	}()
	select {
	case err := <-result:
		return err
	case <-ctx.Done():
		return context.Cause(ctx)
	}
}

// CloseInput tells the program that nothing more will come.
func (p *Program) CloseInput() error { return p.in.Close() }

// Ended is closed when the program has ended and its output was read.
func (p *Program) Ended() <-chan struct{} { return p.ended }

// Ending says in words how the program ended, with its last words: "ended with exit status 3: no instrument". It is empty
// where the program runs.
func (p *Program) Ending() string {
	select {
	case <-p.ended:
	default:
		return ""
	}
	words := "ended"
	if p.err != nil {
		words += " with " + p.err.Error()
	}
	if last := p.LastWords(); last != "" {
		words += ": " + last
	}
	return words
}

// Silence says in words why nothing more comes from the program, once its output has come to an end: how it ended or,
// where it goes on, that it closed its output.
func (p *Program) Silence() string {
	if p.within(endsWithin) {
		return p.Ending()
	}
	return "closed its output"
}

// Failed says whether the program has ended and says so of itself.
func (p *Program) Failed() bool {
	select {
	case <-p.ended:
		return p.err != nil
	default:
		return false
	}
}

// LastWords is the last line that the program said against itself, on its error stream.
func (p *Program) LastWords() string {
	lines := strings.Split(strings.TrimSpace(p.last.text()), "\n")
	return strings.TrimSpace(lines[len(lines)-1])
}

// Errors is the end of what the program said on its error stream.
func (p *Program) Errors() string { return p.last.text() }

// Close ends the program and all of its group, and returns when they have ended.
func (p *Program) Close() error {
	p.once.Do(func() {
		if !p.spec.Terminal {
			p.in.Close()
			p.within(closeWithin)
		}
		if !p.gone() {
			terminate(p.cmd)
			p.within(termWithin)
		}
		kill(p.cmd) // also those that it left behind
		if p.spec.Terminal {
			p.in.Close()
		}
		<-p.ended
		p.closeEnds()
	})
	return nil
}

func (p *Program) closeEnds() {
	for _, end := range p.ends {
		end.Close()
	}
}

func (p *Program) gone() bool { return p.within(0) }

func (p *Program) within(d time.Duration) bool {
	select {
	case <-p.ended:
		return true
	case <-time.After(d):
		return false
	}
}

// tail keeps the end of what is written to it.
type tail struct {
	done chan struct{} // closed when nothing more will come
	mu   sync.Mutex
	held []byte
}

func (t *tail) Write(b []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.held = append(t.held, b...)
	if over := len(t.held) - mostLast; over > 0 {
		t.held = append(t.held[:0], t.held[over:]...)
	}
	return len(b), nil
}

func (t *tail) text() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return string(t.held)
}
