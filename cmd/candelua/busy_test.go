//go:build unix

package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"
)

// works waits until a process has used half a second of processor time, which a
// short run does not need before it draws. A time by the clock would say nothing on a busy
// machine; it is what is left where the system does not tell.
func works(t *testing.T, p *process) {
	t.Helper()
	if usedTime(p.Process.Pid) < 0 {
		time.Sleep(2 * time.Second)
		return
	}
	until(t, "the process to work", func() bool { return usedTime(p.Process.Pid) >= 500*time.Millisecond })
}

// rests waits until all threads of a process were seen to sleep, five times: it
// waits for something. One that waits for a processor or a disk does not sleep. The times
// need not be in a row, since on a busy machine a thread that wakes for a moment is long in
// waking.
func rests(t *testing.T, p *process) {
	t.Helper()
	if usedTime(p.Process.Pid) < 0 {
		time.Sleep(time.Second)
		return
	}
	asleep := 0
	until(t, "the process to rest", func() bool {
		if sleeps(p.Process.Pid) {
			asleep++
		}
		return asleep == 5
	})
}

// usedTime is the processor time that a process has used, below 0 where the
// system does not tell.
func usedTime(pid int) time.Duration {
	f := statOf(fmt.Sprintf("/proc/%d/stat", pid))
	if len(f) < 13 {
		return -1
	}
	user, err1 := strconv.Atoi(string(f[11]))
	system, err2 := strconv.Atoi(string(f[12]))
	if err1 != nil || err2 != nil {
		return -1
	}
	return time.Duration(user+system) * 10 * time.Millisecond // Linux counts hundredths here, on any machine
}

// sleeps says whether all threads of a process wait for something else than a
// processor or a disk.
func sleeps(pid int) bool {
	threads, err := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/stat", pid))
	for _, thread := range threads {
		if f := statOf(thread); len(f) == 0 || string(f[0]) != "S" {
			return false
		}
	}
	return err == nil && len(threads) > 0
}

// statOf are the fields of a stat file of Linux behind the program's name, of
// which the first is the state.
func statOf(path string) [][]byte {
	text, _ := os.ReadFile(path)
	return bytes.Fields(text[bytes.LastIndexByte(text, ')')+1:])
}
