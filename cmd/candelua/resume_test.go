//go:build unix

package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/journal"
	"candelua/engine/store"
)

// refusedResume resumes and wants an error with these parts, a status, and that
// the journal stays as it was.
func refusedResume(t *testing.T, dir string, status int, args []string, parts ...string) {
	t.Helper()
	before := read(t, dir, "runs/slow-1/journal.jsonl")
	p := start(t, dir, append([]string{"resume", "runs/slow-1"}, args...)...)
	if got := p.status(t); got != status {
		t.Errorf("exit status is %d, want %d", got, status)
	}
	if n := strings.Count(p.err.String(), "candelua: error: "); n != 1 {
		t.Errorf("stderr has %d errors, want one", n)
	}
	for _, part := range parts {
		if !strings.Contains(p.err.String(), part) {
			t.Errorf("stderr lacks %q:\n%s", part, &p.err)
		}
	}
	if read(t, dir, "runs/slow-1/journal.jsonl") != before {
		t.Error("the journal was changed")
	}
}

// A run that is open elsewhere is not gone on with, and the error says where.
func TestResumeOfARunThatIsOpen(t *testing.T) {
	t.Parallel()
	dir := folderWith(t, "slow", slow)
	output(t, dir, "run", "./slow.lua")
	held, err := store.Open(filepath.Join(dir, "runs", "slow-1"))
	if err != nil {
		t.Fatal(err)
	}
	refusedResume(t, dir, statusUsage, []string{"--from", "2", "--because", "once more"}, "runs/slow-1 is open in process ", "stop that one first")
	if err := held.Close(); err != nil {
		t.Fatal(err)
	}
	output(t, dir, "resume", "runs/slow-1", "--from", "2", "--because", "once more")
	agrees(t, dir)
}

func agrees(t *testing.T, dir string) {
	t.Helper()
	if text := output(t, dir, "replay", "runs/slow-1"); !strings.Contains(text, "The replay agrees: ") {
		t.Errorf("the replay says\n%s", text)
	}
}

// A disk that fills up in the middle of a run pauses it, with one error; once
// there is room it goes on and loses nothing.
func TestDiskFillsUp(t *testing.T) {
	t.Parallel()
	long := strings.Replace(slow, "clock.wait(2)", "for _ = 1, 200 do clock.wait(2) end", 1) // so that the journal is the largest file
	whole := folderWith(t, "slow", long)
	output(t, whole, "run", "./slow.lua")
	size := len(read(t, whole, "runs/slow-1/journal.jsonl"))
	dir := folderWith(t, "slow", long)
	// The size of files is limited in blocks of 512 bytes.
	limited := exec.Command("sh", "-c", `trap '' XFSZ; ulimit -f "$1"; exec candelua run ./slow.lua`, "sh", blocksFor(size*3/4))
	limited.Dir = dir
	text, _ := limited.CombinedOutput()
	if got := limited.ProcessState.ExitCode(); got != statusPaused {
		t.Errorf("exit status is %d, want %d", got, statusPaused)
	}
	for _, part := range []string{"the journal cannot be written: ", "file too large", "those before it are kept", "go on with: candelua resume runs/slow-1"} {
		if !strings.Contains(string(text), part) {
			t.Errorf("the output lacks %q:\n%s", part, text)
		}
	}
	output(t, dir, "resume", "runs/slow-1")
	if got, want := read(t, dir, "runs/slow-1/results.json"), read(t, whole, "runs/slow-1/results.json"); got != want {
		t.Errorf("the results are\n%s\nwant\n%s", got, want)
	}
	agrees(t, dir)
}

func blocksFor(bytes int) string {
	text, _ := json.Marshal(bytes / 512)
	return string(text)
}

// Instruments that are not those of the start: a bench file is kept in the
// run's head and no driver reads a serial number from its instrument, so this
// run's record is made to name another meter than its bench opens.
func TestAcceptOthers(t *testing.T) {
	t.Parallel()
	dir := folderWith(t, "slow", slow)
	output(t, dir, "run", "./slow.lua")
	madeWithAnotherMeter(t, filepath.Join(dir, "runs/slow-1/journal.jsonl"))
	again := []string{"--from", "5", "--because", "a banner came"}
	refusedResume(t, dir, statusUsage, again, "candelua: the meter is not the one that the run was made with: it was ", " OTHER-1, and is ",
		"nothing was done", "--accept-others")
	output(t, dir, append([]string{"resume", "runs/slow-1", "--accept-others"}, again...)...)
	if text := output(t, dir, "runs", "runs/slow-1"); !strings.Contains(text, "meter") || !strings.Contains(text, "from step 5") {
		t.Errorf("the run is told as\n%s", text)
	}
	if !journalHas(dir, "runs/slow-1", `"name":"devices"`)() {
		t.Error("the other meter is not in the journal")
	}
	agrees(t, dir)
	output(t, dir, append([]string{"resume", "runs/slow-1"}, again...)...) // is not asked again
	agrees(t, dir)
}

// madeWithAnotherMeter writes a journal anew, with another serial number in its
// head.
func madeWithAnotherMeter(t *testing.T, path string) {
	t.Helper()
	old, err := journal.Load(path)
	if err != nil {
		t.Fatal(err)
	}
	var head map[string]json.RawMessage
	var devices []bench.Named
	if err := old.Head(&head); err != nil || json.Unmarshal(head["devices"], &devices) != nil {
		t.Fatal(err)
	}
	for i, d := range devices {
		if d.Name == string(bench.KindMeter) {
			devices[i].Identity.Serial = "OTHER-1"
		}
	}
	if head["devices"], err = json.Marshal(devices); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	j, err := journal.Create(path, head, journal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for n, r := range old.All() {
		if n == 1 {
			continue
		}
		if err := j.Append(r); err != nil {
			t.Fatal(err)
		}
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
}
