package journal

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// appendForever is the environment variable that makes this test's binary a program that appends to the
// journal it names until it is killed.
const appendForever = "JOURNAL_APPEND_FOREVER"

func TestMain(m *testing.M) {
	if path := os.Getenv(appendForever); path != "" {
		fmt.Fprintln(os.Stderr, keepAppending(path))
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// keepAppending says each step's number on the standard output once it is acknowledged.
func keepAppending(path string) error {
	j, err := Open(path, Options{})
	if err != nil {
		return err
	}
	if err := j.Append(resume); err != nil {
		return err
	}
	for {
		n := j.Steps() + 1
		for _, r := range readStep(n, float64(n), 512.5, 3) {
			if err := j.Append(r); err != nil {
				return err
			}
		}
		fmt.Println(n)
	}
}

// TestKilled kills a program that appends, again and again. Each next one must find every step that the last
// one was told is kept.
func TestKilled(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal.jsonl")
	j, err := Create(path, ternHead, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	for round := range 12 {
		acknowledged := killAfter(t, path, 50+37*round)
		j, err := Load(path)
		if err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
		if j.Steps() < acknowledged {
			t.Fatalf("round %d: %d steps are there, and %d were acknowledged", round, j.Steps(), acknowledged)
		}
	}
}

// killAfter lets a program append, kills it after this many steps and returns the last step it acknowledged.
func killAfter(t *testing.T, path string, steps int) int {
	t.Helper()
	program := exec.Command(os.Args[0])
	program.Env = append(os.Environ(), appendForever+"="+path)
	program.Stderr = os.Stderr
	out, err := program.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := program.Start(); err != nil {
		t.Fatal(err)
	}
	last, seen := 0, 0
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if _, err := fmt.Sscan(lines.Text(), &last); err != nil {
			break // the last number was cut off
		}
		if seen++; seen == steps {
			if err := program.Process.Kill(); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := program.Wait(); err == nil || seen < steps {
		t.Fatalf("the program ended by itself after %d steps: %v", seen, err)
	}
	return last
}
