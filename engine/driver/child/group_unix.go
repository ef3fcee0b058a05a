//go:build unix

package child

import (
	"errors"
	"os"
	"os/exec"
	"syscall"
)

func ownGroup(c *exec.Cmd) { c.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

// ownGroupOnTerminal leaves it to the pseudo-terminal, which begins a session and with it a group.
func ownGroupOnTerminal(*exec.Cmd) {}

func terminate(c *exec.Cmd) { signalGroup(c, syscall.SIGTERM) }

func kill(c *exec.Cmd) { signalGroup(c, syscall.SIGKILL) }

// signalGroup tells all of the group. The group has the number of the program, and keeps it as
// long as one of the group runs, so no other group is meant.
func signalGroup(c *exec.Cmd, s syscall.Signal) {
	if c.Process != nil {
		_ = syscall.Kill(-c.Process.Pid, s) // there may be nobody left
	}
}

// closable is a terminal whose reading ends when it is closed, which that of a file in blocking mode does not: a
// process that went away with the other end would keep the reader waiting. t is closed.
func closable(t *os.File) (*os.File, error) {
	defer t.Close()
	syscall.ForkLock.RLock()
	fd, err := syscall.Dup(int(t.Fd()))
	if err == nil {
		syscall.CloseOnExec(fd)
	}
	syscall.ForkLock.RUnlock()
	if err != nil {
		return nil, err
	}
	if err := syscall.SetNonblock(fd, true); err != nil {
		return nil, errors.Join(err, syscall.Close(fd))
	}
	return os.NewFile(uintptr(fd), t.Name()), nil
}
