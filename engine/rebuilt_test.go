package engine_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/survey"
)

// commands are all that is done with a run's folder.
var commands = map[string]func(ctx context.Context, path string) error{
	"runs": func(ctx context.Context, path string) error {
		_, err := survey.Runs(ctx, filepath.Dir(path), builtins.Modules(), nil)
		return err
	},
	"runs RUN": func(ctx context.Context, path string) error {
		_, err := survey.Inspect(ctx, path, true, builtins.Modules(), nil)
		return err
	},
	"replay": func(ctx context.Context, path string) error {
		_, err := engine.Replay(ctx, path, plain())
		return err
	},
	"resume": func(ctx context.Context, path string) error {
		_, err := engine.Resume(ctx, path, engine.Resumption{Setup: plain(), Reopen: reopenSim})
		return err
	},
	"resume --from": func(ctx context.Context, path string) error {
		_, err := engine.Resume(ctx, path, engine.Resumption{Setup: plain(), Reopen: reopenSim, From: 2, Because: "a wrong reading"})
		return err
	},
	"repair": func(_ context.Context, path string) error {
		_, err := survey.Repair(path)
		return err
	},
}

// TestRebuilt removes, or damages, each file of a run that follows from its journal. Every command reads the run all the
// same, and resuming it writes what is missing, to the byte.
func TestRebuilt(t *testing.T) {
	s := simSpec(t, procedureOf(`
    local t = record.table("Greys", { { "grey" }, { "luminance", "cd/m2" } })
    for i = 1, 2 do
      patches.show { grey = i / 2, window = 10 }
      t:add { grey = i / 2, luminance = meter.read({ after = 1 }).Y }
    end`))
	s.Draws = 100
	w := wholeRun(t, s)
	readable := func(path string) {
		t.Helper()
		get(survey.Inspect(context.Background(), path, true, builtins.Modules(), nil))(t)
		for _, s := range get(survey.Runs(context.Background(), filepath.Dir(path), builtins.Modules(), nil))(t) {
			if s.Status != journal.Done {
				t.Errorf("a run is listed as %s, %v", s.Status, s.Err)
			}
		}
	}
	for _, name := range []string{"run.json", "results.json", "readings.csv", "readings.json", "tables/greys.csv", "tables/tables.json"} {
		for _, text := range []string{"", "{", `{"format":1`, "gone"} {
			path := filepath.Join(memoryDir(t), "probe-1")
			must(t, os.CopyFS(path, os.DirFS(w.path)))
			want := file(t, path, name)
			must(t, os.Remove(filepath.Join(path, name)))
			if text != "gone" {
				if filepath.Ext(name) == ".csv" || name == "readings.json" {
					continue // whose content is not looked at here
				}
				must(t, os.WriteFile(filepath.Join(path, name), []byte(text), 0o644))
			}
			readable(path)
			rep := replayed(t, path, journal.Done)
			if (rep.Uncompared != nil) != (name == "results.json") || rep.Results.Draws().Count != 100 {
				t.Errorf("%s is %q: not compared: %v", name, text, rep.Uncompared)
			}
			resumed(t, path, journal.Done)
			if got := file(t, path, name); string(got) != string(want) {
				t.Errorf("%s was %q, and is now\n%s\nwant\n%s", name, text, got, want)
			}
			if rep := replayed(t, path, journal.Done); rep.Uncompared != nil {
				t.Errorf("%s: rebuilt, it is not compared: %v", name, rep.Uncompared)
			}
			_, err := engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: reopenSim})
			if !errors.Is(err, engine.ErrNothingToDo) {
				t.Errorf("%s: resumed again: %v", name, err)
			}
		}
	}
}

// TestNewerIsRefused has every command that would write over what a newer candelua wrote refuse it before anything is
// measured, and every command that reads it.
func TestNewerIsRefused(t *testing.T) {
	s := simSpec(t, procedureOf(`
    local t = record.table("Greys", { { "grey" }, { "luminance", "cd/m2" } })
    for i = 1, 3 do
      patches.show { grey = i / 3, window = 10 }
      t:add { grey = i / 3, luminance = meter.read().Y }
      if i == 1 then record.plot { table = t, x = "grey", y = "luminance" } end
    end`))
	done, paused := ran(t, s, journal.Done), stopped(t, s, 4)
	for name, kind := range map[string]string{
		"run.json": "run", "results.json": "results", "readings.json": "readings",
		"tables/tables.json": "tables", "plots/plots.json": "drawings", "corrections/corrections.json": "corrections",
	} {
		for _, of := range []string{done.Path, paused.Path} {
			for command, do := range commands {
				path := filepath.Join(memoryDir(t), "probe-1")
				must(t, os.CopyFS(path, os.DirFS(of)))
				must(t, os.MkdirAll(filepath.Dir(filepath.Join(path, name)), 0o755))
				must(t, os.WriteFile(filepath.Join(path, name), []byte(`{"format":99,"kind":"candelua-`+kind+`"}`), 0o644))
				was := everything(t, path)
				err := do(context.Background(), path)
				if command == "runs RUN" && name == "results.json" {
					err = get(survey.Inspect(context.Background(), path, false, builtins.Modules(), nil))(t).Err
				}
				reads := command == "runs" || name != "run.json" && name != "results.json" && (command == "runs RUN" || command == "replay")
				if !reads && !errors.Is(err, result.ErrNewer) {
					t.Errorf("%s of a newer %s: %v", command, name, err)
				}
				if everything(t, path) != was {
					t.Errorf("%s of a newer %s wrote something", command, name)
				}
			}
		}
	}
}
