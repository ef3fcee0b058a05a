package engine_test

import (
	"errors"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"candelua/engine"
	"candelua/engine/journal"
	"candelua/engine/survey"
)

// notFiles are what can be found in the place of a file, and keeps whoever opens it waiting.
var notFiles = map[string]func(t *testing.T, path string){
	"pipe":   func(t *testing.T, path string) { must(t, syscall.Mkfifo(path, 0o644)) },
	"folder": func(t *testing.T, path string) { must(t, os.MkdirAll(filepath.Join(path, "in the way"), 0o755)) },
	"socket": func(t *testing.T, path string) {
		l, err := net.ListenUnix("unix", &net.UnixAddr{Name: path, Net: "unix"})
		must(t, err)
		l.SetUnlinkOnClose(false)
		must(t, l.Close())
	},
}

// TestNotFiles puts a pipe, a socket and a folder in the place of each file of a run's folder. No command waits for
// it, and each ends as it should or with one error. What is in the place of a file that can be made again keeps no run from
// its end.
func TestNotFiles(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(short)), journal.Done)
	names := []string{"lock.json", "former/1/probe.lua", ".run.json.part", ".results.json.part", ".lock.json.part", "journal-damaged-1.jsonl", "replays/1"}
	must(t, fs.WalkDir(os.DirFS(rep.Path), ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			names = append(names, name)
		}
		return err
	}))
	if len(names) < 12 {
		t.Fatalf("the folder has %q", names)
	}
	derived := append(concluded(t, rep.Path), "run.json", "lock.json")
	for what, put := range notFiles {
		for _, name := range names {
			for command, do := range commands {
				path := filepath.Join(memoryDir(t), "probe-1")
				must(t, os.CopyFS(path, os.DirFS(rep.Path)))
				must(t, os.RemoveAll(filepath.Join(path, name)))
				must(t, os.MkdirAll(filepath.Dir(filepath.Join(path, name)), 0o755))
				put(t, filepath.Join(path, name))
				ended := make(chan error, 1)
				go func() { ended <- do(t.Context(), path) }()
				select {
				case err := <-ended:
					if strings.HasPrefix(command, "resume") && slices.Contains(derived, name) && err != nil && !errors.Is(err, engine.ErrNothingToDo) {
						t.Errorf("a %s as %s: %s cannot write the results: %v", what, name, command, err)
					}
					if err != nil && strings.Contains(strings.TrimSpace(err.Error()), "\n") {
						t.Errorf("a %s as %s: %s ends with more than one error: %v", what, name, command, err)
					}
					if name == "journal.jsonl" && command != "runs" && (err == nil || !strings.Contains(err.Error(), "journal.jsonl is a "+what+"; it must be a regular file")) {
						t.Errorf("a %s as the journal: %s ends with %v", what, command, err)
					}
				case <-time.After(20 * time.Second):
					t.Fatalf("a %s as %s: %s waits for good", what, name, command)
				}
			}
		}
	}
	pipe := filepath.Join(t.TempDir(), "runs")
	must(t, syscall.Mkfifo(pipe, 0o644))
	if _, err := survey.Runs(t.Context(), pipe, nil, nil); err == nil || errors.Is(err, os.ErrNotExist) {
		t.Errorf("a pipe as the folder of runs: %v", err)
	}
}
