package engine_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/store"
	"candelua/testdata/campaign"
)

// folderAttacks are what another program may do to a run's folder, and to what is in it beside the journal, while the run
// is in progress.
var folderAttacks = map[string]func(path string) error{
	"removed":        os.RemoveAll,
	"parent removed": func(path string) error { return os.RemoveAll(filepath.Dir(path)) },
	"renamed":        func(path string) error { return os.Rename(path, path+"-away") },
	"replaced by a copy": func(path string) error {
		return errors.Join(os.Rename(path, path+"-away"), os.CopyFS(path, os.DirFS(path+"-away")))
	},
	"replaced by an empty folder": func(path string) error { return errors.Join(os.Rename(path, path+"-away"), os.Mkdir(path, 0o755)) },
	"scripts removed":             func(path string) error { return os.RemoveAll(filepath.Join(path, "procedure")) },
	"script removed":              func(path string) error { return os.Remove(filepath.Join(path, "procedure", "probe.lua")) },
	"script edited": func(path string) error {
		return os.WriteFile(filepath.Join(path, "procedure", "probe.lua"), []byte("edited"), 0o644)
	},
	"script replaced by a folder": func(path string) error {
		file := filepath.Join(path, "procedure", "probe.lua")
		return errors.Join(os.Remove(file), os.MkdirAll(filepath.Join(file, "in the way"), 0o755))
	},
	"scripts replaced by a file": func(path string) error {
		folder := filepath.Join(path, "procedure")
		return errors.Join(os.RemoveAll(folder), os.WriteFile(folder, nil, 0o644))
	},
}

// attackedAt has a folder attacked before a step, and says how often the person was told.
func attackedAt(t *testing.T, set *engine.Setup, path string, step int, attack func(path string) error) {
	set.Tell = play.Steps(func(p play.Progress) {
		if p.Step == step {
			must(t, attack(path))
		}
	})
}

// TestFolderRemoved attacks a run's folder before each step, of a run that begins and of one that goes on. The run ends as
// if nobody had, at the path that it states, and says what happened.
func TestFolderRemoved(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(parted)))
	steps := journalOf(t, w.path).Steps()
	for name, attack := range folderAttacks {
		for _, before := range campaign.Numbers(t, steps, 5) {
			step, h := before+1, &heard{}
			s := simSpec(t, procedureOf(parted))
			s.Out, s.Setup = filepath.Join(memoryDir(t), "runs"), h.setup()
			path := filepath.Join(s.Out, "probe-1")
			attackedAt(t, &s.Setup, path, step, attack)
			ran(t, s, journal.Done)
			if told := strings.Join(h.warnings, "\n"); !strings.Contains(told, "during the run") && !strings.HasSuffix(name, "removed") && !strings.Contains(name, "replaced") {
				t.Errorf("%s before step %d: warnings are %q", name, step, h.warnings)
			}
			w.equals(t, path, name)
			replayed(t, path, journal.Done)
		}
		s := simSpec(t, procedureOf(parted))
		s.Out = filepath.Join(memoryDir(t), "runs")
		path := stopped(t, s, steps/2).Path
		beside := filepath.Join(memoryDir(t), "probe-1")
		must(t, os.CopyFS(beside, os.DirFS(path)))
		resumed(t, beside, journal.Done)
		set := plain()
		attackedAt(t, &set, path, steps-1, attack)
		wants(t, journal.Done)(engine.Resume(context.Background(), path, engine.Resumption{Setup: set, Reopen: reopenSim}))
		wholeOf(t, beside).equals(t, path, name+" while it goes on")
		replayed(t, path, journal.Done)
	}
}

// TestFolderRemovedAtTheEnd attacks it while the uncertainties are computed, when no record is to come.
func TestFolderRemovedAtTheEnd(t *testing.T) {
	for name, attack := range folderAttacks {
		s := simSpec(t, procedureOf(short))
		s.Out, s.Draws = filepath.Join(memoryDir(t), "runs"), 100
		path := filepath.Join(s.Out, "probe-1")
		s.Drawing = func(made, of int) {
			if made == 0 {
				must(t, attack(path))
			}
		}
		ran(t, s, journal.Done)
		if rep := replayed(t, path, journal.Done); len(rep.Files) > 0 || rep.Uncompared != nil {
			t.Errorf("%s: the replay names %v, %v", name, rep.Files, rep.Uncompared)
		}
	}
}

// TestFolderStaysLocked keeps others from a folder that was made anew.
func TestFolderStaysLocked(t *testing.T) {
	s := simSpec(t, procedureOf(parted))
	s.Out = memoryDir(t)
	path := filepath.Join(s.Out, "probe-1")
	s.Tell = play.Steps(func(p play.Progress) {
		switch p.Step {
		case 1:
			must(t, os.Rename(path, path+"-away"))
		case 3:
			if _, err := store.Open(path); !errors.Is(err, store.ErrLocked) {
				t.Errorf("another opens it: %v", err)
			}
			away, err := store.Open(path + "-away") // which nobody writes to
			must(t, err)
			must(t, away.Close())
		}
	})
	ran(t, s, journal.Done)
	again := get(store.Open(path))(t)
	must(t, again.Close())
}

// TestFolderCannotBeMadeAnew pauses the run where something else is at its path, and what was measured is where the folder
// went.
func TestFolderCannotBeMadeAnew(t *testing.T) {
	s := simSpec(t, procedureOf(parted))
	s.Out = memoryDir(t)
	path := filepath.Join(s.Out, "probe-1")
	s.Tell = play.Steps(func(p play.Progress) {
		if p.Step == 4 {
			must(t, errors.Join(os.Rename(path, path+"-away"), os.WriteFile(path, nil, 0o644)))
		}
	})
	rep, err := engine.Run(context.Background(), s)
	if err != nil || rep.Status != journal.Paused || !strings.Contains(rep.Err.Error(), "the folder was removed, renamed or replaced, and cannot be made anew: ") {
		t.Fatalf("got %v, %v", rep, err)
	}
	must(t, errors.Join(os.Remove(path), os.Rename(path+"-away", path)))
	if steps := journalOf(t, path).Steps(); steps < 3 {
		t.Errorf("%d steps are kept", steps)
	}
	resumed(t, path, journal.Done)
	wholeRun(t, simSpec(t, procedureOf(parted))).equals(t, path, "with its folder back")
}
