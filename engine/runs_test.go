package engine_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/result"
	"candelua/engine/store"
	"candelua/engine/survey"
)

// short is a procedure of six steps.
const short = `
    for i = 1, 3 do
      patches.show { grey = i / 3, window = 10 }
      record.value { name = "Grey " .. i, value = meter.read({ after = 1 }).Y, unit = "cd/m2" }
    end`

// placed copies a run to a folder of runs under a number, with its journal
// changed.
func placed(t testing.TB, out, from string, n int, change func([]byte) []byte) string {
	t.Helper()
	to := filepath.Join(out, fmt.Sprintf("probe-%d", n))
	must(t, os.CopyFS(to, os.DirFS(from)))
	if change != nil {
		must(t, os.WriteFile(filepath.Join(to, "journal.jsonl"), change(file(t, to, "journal.jsonl")), 0o644))
	}
	return to
}

// replaced gives a change of a journal's bytes.
func replaced(t testing.TB, old, with string) func([]byte) []byte {
	return func(data []byte) []byte {
		t.Helper()
		if !bytes.Contains(data, []byte(old)) {
			t.Fatalf("the journal has no %s", old)
		}
		return bytes.Replace(data, []byte(old), []byte(with), 1)
	}
}

// rewrite changes a file of a run's folder.
func rewrite(t testing.TB, path, old, with string) {
	t.Helper()
	must(t, os.WriteFile(path, replaced(t, old, with)(file(t, path)), 0o644))
}

// everything is all that lies in a folder, by name.
func everything(t testing.TB, out string) string {
	t.Helper()
	var b strings.Builder
	must(t, fs.WalkDir(os.DirFS(out), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(filepath.Join(out, path))
		fmt.Fprintf(&b, "%s: %s\n", path, data)
		return err
	}))
	return b.String()
}

// line is a summary in words.
func line(s *survey.Summary) string {
	text := fmt.Sprintf("%s %s, step %d of %d", s.Folder, s.Status, s.Steps, s.About)
	if s.Record > 0 {
		text += fmt.Sprintf(", record %d", s.Record)
	}
	if len(s.Values) > 0 {
		text += fmt.Sprintf(", %d values", len(s.Values))
	}
	if s.Err != nil {
		text += ", unread"
	}
	return text
}

// TestRunsInEveryState has a run in each state that a folder can hold; none
// hides another, and nothing is written.
func TestRunsInEveryState(t *testing.T) {
	out := t.TempDir()
	s := simSpec(t, procedureOf(short))
	w := wholeRun(t, s)
	at := lineEnds(w.journal)
	cutAt := func(n int) func([]byte) []byte {
		return func(data []byte) []byte { return data[:at[n]] }
	}
	placed(t, out, w.path, 1, nil)
	placed(t, out, w.path, 2, cutAt(8)) // results.json is older than the journal says
	placed(t, out, w.path, 3, replaced(t, `"window":10`, `"window":11`))
	placed(t, out, w.path, 4, replaced(t, `"seed":1`, `"seed":2`))
	placed(t, out, w.path, 5, replaced(t, `"format":1,"sum_by":"sha256-64"`, `"format":3,"sum_by":"other"`))
	rewrite(t, filepath.Join(placed(t, out, w.path, 6, nil), "run.json"), `"format": 1`, `"format": 2`)
	must(t, os.WriteFile(filepath.Join(placed(t, out, w.path, 7, nil), "run.json"), []byte("{"), 0o644))
	must(t, os.Remove(filepath.Join(placed(t, out, w.path, 8, nil), "journal.jsonl")))
	must(t, os.Remove(filepath.Join(placed(t, out, w.path, 9, nil), "run.json")))
	must(t, os.Remove(filepath.Join(placed(t, out, w.path, 10, nil), "results.json")))
	must(t, os.WriteFile(filepath.Join(placed(t, out, w.path, 11, nil), "results.json"), []byte("{"), 0o644))
	rewrite(t, filepath.Join(placed(t, out, w.path, 12, nil), "run.json"), `"status": "done"`, `"status": "paused"`)
	running := get(store.Open(placed(t, out, w.path, 13, cutAt(6))))(t)
	placed(t, out, w.path, 14, replaced(t, `"format":1,"sum_by":"sha256-64"`, `"format":0,"sum_by":"other"`))
	placed(t, out, stopped(t, s, 3).Path, 15, nil)
	placed(t, out, ran(t, simSpec(t, procedureOf(`patches.black() error("no")`)), journal.Failed).Path, 16, nil)
	must(t, os.Mkdir(filepath.Join(out, "notes-1"), 0o755))

	before := everything(t, out)
	all, err := survey.Runs(context.Background(), out, builtins.Modules(), reopenSim)
	must(t, err)
	var got []string
	for _, s := range all {
		got = append(got, line(s))
		if s.Procedure != "probe" {
			t.Errorf("%s has the procedure %q", s.Folder, s.Procedure)
		}
		if done := s.Status == journal.Done && s.Folder != "probe-12"; done != (s.Reason == "") {
			t.Errorf("%s has the reason %q", s.Folder, s.Reason)
		}
	}
	want := []string{
		"probe-1 done, step 6 of 0, 3 values",
		"probe-2 paused, step 3 of 6",
		"probe-3 damaged, step 0 of 0, record 2, unread",
		"probe-4 damaged, step 0 of 0, record 1, unread",
		"probe-5 newer format, step 0 of 0, unread",
		"probe-6 newer format, step 0 of 0, unread",
		"probe-7 done, step 6 of 0, unread",
		"probe-8 unreadable, step 0 of 0, unread",
		"probe-9 done, step 6 of 0, unread",
		"probe-10 done, step 6 of 0, unread",
		"probe-11 done, step 6 of 0, unread",
		"probe-12 done, step 6 of 0",
		"probe-13 running, step 2 of 6",
		"probe-14 unreadable, step 0 of 0, unread",
		"probe-15 paused, step 2 of 6, 1 values",
		"probe-16 failed, step 1 of 0",
	}
	if !slices.Equal(got, want) {
		t.Errorf("runs are\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	for i, part := range map[int]string{1: "it was cut off", 2: "its checksum does not match", 11: "candelua resume writes them", 12: "open in process", 14: "stopped by the user", 15: "probe.lua:5"} {
		has(t, all[i].Reason, part)
	}
	if after := everything(t, out); after != before {
		t.Error("listing the runs wrote something")
	}
	must(t, running.Close())
}

func TestRunsOfAFolder(t *testing.T) {
	if all := get(survey.Runs(context.Background(), t.TempDir(), builtins.Modules(), reopenSim))(t); len(all) != 0 {
		t.Errorf("an empty folder has %d runs", len(all))
	}
	_, err := survey.Runs(context.Background(), filepath.Join(t.TempDir(), "none"), builtins.Modules(), reopenSim)
	if !errors.Is(err, fs.ErrNotExist) || !errors.Is(err, fault.ErrUsage) {
		t.Errorf("error is %v", err)
	}
	_, err = survey.Runs(context.Background(), filepath.Join(wholeRun(t, simSpec(t, procedureOf(short))).path, "run.json"), builtins.Modules(), reopenSim)
	if !errors.Is(err, fault.ErrUsage) {
		t.Errorf("a file: error is %v", err)
	}
	ctx, cancel := context.WithCancelCause(context.Background())
	cancel(play.ErrInterrupted)
	out := t.TempDir()
	placed(t, out, wholeRun(t, simSpec(t, procedureOf(short))).path, 1, nil)
	if _, err = survey.Runs(ctx, out, builtins.Modules(), reopenSim); !errors.Is(err, play.ErrInterrupted) {
		t.Errorf("stopped: error is %v", err)
	}
}

// counted counts how often a bench is asked for.
func counted(n *int) play.Reopen {
	return func(h history.Head) (*bench.File, bench.Openers, error) {
		*n++
		return reopenSim(h)
	}
}

// TestAbout has runs under way without one that is done: their script is
// rehearsed, once for all that are alike.
func TestAbout(t *testing.T) {
	out := t.TempDir()
	s := simSpec(t, procedureOf(short))
	paused := stopped(t, s, 3).Path
	for n := range 3 {
		placed(t, out, paused, n+1, nil)
	}
	rehearsals := 0
	about := func(reopen play.Reopen) (all []int) {
		t.Helper()
		rehearsals = 0
		for _, s := range get(survey.Runs(context.Background(), out, builtins.Modules(), reopen))(t) {
			all = append(all, s.About)
		}
		return all
	}
	if got := about(counted(&rehearsals)); !slices.Equal(got, []int{6, 6, 6}) || rehearsals != 1 {
		t.Errorf("about %v steps after %d rehearsals, want 6 each after one", got, rehearsals)
	}
	if got := about(nil); !slices.Equal(got, []int{0, 0, 0}) {
		t.Errorf("without a bench it is about %v", got)
	}
	refuses := func(history.Head) (*bench.File, bench.Openers, error) { return nil, nil, errors.New("no world") }
	if got := about(refuses); !slices.Equal(got, []int{0, 0, 0}) {
		t.Errorf("with a bench that cannot be made it is about %v", got)
	}
	placed(t, out, wholeRun(t, s).path, 9, nil)
	if got := about(counted(&rehearsals)); !slices.Equal(got, []int{6, 6, 6, 0}) || rehearsals != 0 {
		t.Errorf("beside a run that is done: about %v steps after %d rehearsals", got, rehearsals)
	}
}

// What a rehearsal cannot say, or says wrongly, is not said.
func TestAboutIsNotKnown(t *testing.T) {
	for name, body := range map[string]string{
		"its rehearsal fails":       `patches.black() clock.wait(1) if meter.read().Y < 1e9 then error("no") end`,
		"its rehearsal never ends":  `patches.black() while true do clock.wait(3000) end`,
		"it has taken more already": `for i = 1, 5 do patches.show { grey = i / 5 } end`,
	} {
		t.Run(name, func(t *testing.T) {
			rep := stopped(t, simSpec(t, procedureOf(body)), 2)
			path := rep.Path
			if name == "it has taken more already" { // a done run with the same sums, of fewer steps
				path = shortened(t, rep.Path)
			}
			i := get(survey.Inspect(context.Background(), path, false, builtins.Modules(), reopenSim))(t)
			if i.About != 0 || i.Status != journal.Paused {
				t.Errorf("it is %s, and about %d steps", i.Status, i.About)
			}
		})
	}
}

// shortened puts beside a paused run one that is said to be done with no step.
func shortened(t testing.TB, path string) string {
	t.Helper()
	out := t.TempDir()
	placed(t, out, path, 1, nil)
	done := placed(t, out, path, 2, func(data []byte) []byte { return data[:lineEnds(data)[0]] })
	j := get(journal.Open(filepath.Join(done, "journal.jsonl"), journal.Options{}))(t)
	must(t, j.Append(journal.Record{Kind: journal.KindEnd, Status: journal.Done}))
	must(t, j.Close())
	return filepath.Join(out, "probe-1")
}

// A change of the stored script is not rehearsed: it is not what was run.
func TestAboutOfAnotherScript(t *testing.T) {
	path := stopped(t, simSpec(t, procedureOf(short)), 3).Path
	rewrite(t, filepath.Join(path, "procedure", "probe.lua"), "1, 3", "1, 9")
	if i := get(survey.Inspect(context.Background(), path, false, builtins.Modules(), reopenSim))(t); i.About != 0 {
		t.Errorf("it is about %d steps", i.About)
	}
}

func TestInspectRefuses(t *testing.T) {
	w := wholeRun(t, simSpec(t, procedureOf(short)))
	inspect := func(path string) error {
		_, err := survey.Inspect(context.Background(), path, false, builtins.Modules(), reopenSim)
		return err
	}
	if err := inspect(t.TempDir()); !errors.Is(err, store.ErrNoRun) || !errors.Is(err, fault.ErrUsage) {
		t.Errorf("no run: %v", err)
	}
	if err := inspect(flipped(t, w.path, 40, 1)); !errors.Is(err, journal.ErrDamaged) {
		t.Errorf("a damaged head: %v", err)
	}
	newer := memoryDir(t)
	must(t, os.CopyFS(newer, os.DirFS(w.path)))
	rewrite(t, filepath.Join(newer, "run.json"), `"format": 1`, `"format": 2`)
	if err := inspect(newer); !errors.Is(err, result.ErrNewer) {
		t.Errorf("a newer format: %v", err)
	}
}
