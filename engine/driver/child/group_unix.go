//go:build unix

package child

import (
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
