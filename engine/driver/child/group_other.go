//go:build !unix

package child

import (
	"os"
	"os/exec"
)

func ownGroup(*exec.Cmd) {}

func ownGroupOnTerminal(*exec.Cmd) {}

func terminate(c *exec.Cmd) { kill(c) }

func kill(c *exec.Cmd) {
	if c.Process != nil {
		_ = c.Process.Kill() // it may have ended
	}
}

func closable(t *os.File) (*os.File, error) { return t, nil }
