package engine_test

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/archive"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/operator"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/sandbox"
	"candelua/engine/sim"
	"candelua/scripts"
	"candelua/testdata/campaign"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func get[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		must(t, err)
		return v
	}
}

// has fails where a text lacks a part.
func has(t testing.TB, text string, parts ...string) {
	t.Helper()
	for _, p := range parts {
		if !strings.Contains(text, p) {
			t.Errorf("lacks %q:\n%s", p, text)
		}
	}
}

// trySetup is a setup that collects warnings and what the script prints.
type heard struct{ warnings, printed []string }

func (h *heard) setup() engine.Setup {
	return engine.Setup{Version: "test", Modules: builtins.Modules(),
		Warn:  func(text string) { h.warnings = append(h.warnings, text) },
		Print: func(text string) { h.printed = append(h.printed, text) },
	}
}

func plain() engine.Setup { return (&heard{}).setup() }

// simOpeners open the default world.
func simOpeners() bench.Openers { return bench.Openers{"sim": sim.Opener(sim.Default(), 1, 0)} }

func reopenSim(history.Head) (*bench.File, bench.Openers, error) {
	return bench.SimFile, simOpeners(), nil
}

// typedOpeners are a person who types these lines.
func typedOpeners(lines string, out *bytes.Buffer, yes bool) bench.Openers {
	c := operator.NewConsole(strings.NewReader(lines), out)
	return bench.Openers{"operator": operator.New(c, operator.Options{AssumeYes: yes})}
}

func reopenTyped(lines string, out *bytes.Buffer) play.Reopen {
	return func(history.Head) (*bench.File, bench.Openers, error) {
		return bench.OperatorFile, typedOpeners(lines, out, true), nil
	}
}

// mayUseAll are needs of a script that may use everything, and does without what is not there.
const mayUseAll = `needs = { meter = { dark = "optional", spectrum = "optional" }, reference = { optional = true, dark = "optional", spectrum = "optional" }, ` +
	`patches = { sequence = "optional", pattern = "optional" }, unit = { optional = true, power = "optional" }, operator = { optional = true }, ` +
	`rig = { optional = true, lamps = "optional", lux = "optional", place = "optional", turn = "optional" } }`

// procedureOf makes a procedure of the body of its run function.
func procedureOf(body string) *procedure.Procedure {
	return sourceOf("return procedure {\n  title = \"T\", purpose = \"P\",\n  " + mayUseAll + ",\n  run = function(p)\n" + body + "\n  end,\n}\n")
}

// firstLine is the line of the first line of a body.
const firstLine = 5

func sourceOf(src string) *procedure.Procedure {
	return &procedure.Procedure{Name: "probe", File: "probe.lua", Source: []byte(src),
		Find: func(string) ([]byte, error) { return nil, os.ErrNotExist }}
}

// simSpec is a run on the simulated bench.
func simSpec(t testing.TB, p *procedure.Procedure, set ...string) engine.Spec {
	return engine.Spec{Setup: plain(), Procedure: p, Set: set, Bench: bench.SimFile, Openers: simOpeners(),
		Unit: bench.DefaultUnit(), Seed: 1, Out: t.TempDir()}
}

func shipped(t testing.TB, name string) *procedure.Procedure {
	return get(procedure.Find(name, scripts.Files))(t)
}

// ran executes and expects a status.
func ran(t testing.TB, s engine.Spec, want journal.Standing) *engine.Report {
	t.Helper()
	return wants(t, want)(engine.Run(context.Background(), s))
}

func wants(t testing.TB, want journal.Standing) func(*engine.Report, error) *engine.Report {
	return func(rep *engine.Report, err error) *engine.Report {
		t.Helper()
		must(t, err)
		if rep.Status != want {
			t.Fatalf("status is %s (%v), want %s", rep.Status, rep.Err, want)
		}
		return rep
	}
}

func resumed(t testing.TB, path string, want journal.Standing) *engine.Report {
	t.Helper()
	return wants(t, want)(engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: reopenSim}))
}

// replayed replays and expects no difference.
func replayed(t testing.TB, path string, want journal.Standing) *engine.Report {
	t.Helper()
	rep := wants(t, want)(engine.Replay(context.Background(), path, plain()))
	if len(rep.Differences) > 0 {
		t.Fatalf("replay differs: %v", rep.Differences)
	}
	if rep.Recorded != want {
		t.Fatalf("the journal says %s, want %s", rep.Recorded, want)
	}
	return rep
}

func file(t testing.TB, parts ...string) []byte {
	t.Helper()
	return get(os.ReadFile(filepath.Join(parts...)))(t)
}

func metaOf(t testing.TB, path string) archive.Meta {
	t.Helper()
	var m archive.Meta
	must(t, json.Unmarshal(file(t, path, "run.json"), &m))
	return m
}

func journalOf(t testing.TB, path string) *journal.Journal {
	t.Helper()
	return get(journal.Load(filepath.Join(path, "journal.jsonl")))(t)
}

// effective is what a journal holds in effect, in words: its steps and blocks,
// without the numbers of records and of retakes.
func effective(t testing.TB, j *journal.Journal) string {
	t.Helper()
	var b strings.Builder
	enc := json.NewEncoder(&b)
	for n := 1; n <= j.Steps(); n++ {
		s := get(j.Step(n))(t)
		s.Record, s.Retakes = 0, 0
		must(t, enc.Encode(s))
	}
	for _, block := range j.Blocks() {
		if block.Name == "on_resume" { // a crash takes no time, so there is nothing to do in it
			continue
		}
		block.Record, block.End, block.Number = 0, 0, 0
		must(t, enc.Encode(block))
	}
	return b.String()
}

// kinds lists what a journal's records are, with the names of asides.
func kinds(t testing.TB, path string) string {
	t.Helper()
	var all []string
	for _, r := range journalOf(t, path).All() {
		text := string(r.Kind)
		if r.Kind == journal.KindAside {
			text += " " + r.Name
		}
		all = append(all, text)
	}
	return strings.Join(all, ", ")
}

// memoryDir is a folder in memory where there is one, since runs sync what
// they write, and tests make thousands.
func memoryDir(t testing.TB) string {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "candelua-")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { must(t, os.RemoveAll(dir)) })
	return dir
}

// copied copies a run's folder, with these bytes as its journal, as a crash
// would have left it.
func copied(t testing.TB, path string, j []byte) string {
	t.Helper()
	to := memoryDir(t)
	must(t, os.CopyFS(to, os.DirFS(path)))
	for _, made := range []string{"results.json", "readings.csv", "readings.json", "tables"} {
		must(t, os.RemoveAll(filepath.Join(to, made)))
	}
	must(t, os.WriteFile(filepath.Join(to, "journal.jsonl"), j, 0o644))
	meta := bytes.Replace(file(t, to, "run.json"), []byte(`"status": "done"`), []byte(`"status": "paused"`), 1)
	must(t, os.WriteFile(filepath.Join(to, "run.json"), meta, 0o644))
	return to
}

func asScriptError(t testing.TB, err error) *sandbox.Error {
	t.Helper()
	e, ok := err.(*sandbox.Error)
	if !ok {
		t.Fatalf("error is a %T (%v), want a script's", err, err)
	}
	return e
}

// untimed is a void without its time.
func untimed(v history.Void) history.Void {
	v.At = 0
	return v
}

// checks is how many times rapid checks the property of a test that is slow: brief
// times, or as many as usual with CI. Others each time, since its seed is the time's.
func checks(t *testing.T, brief int) {
	t.Helper()
	f := flag.Lookup("rapid.checks")
	was := f.Value.String()
	usual := get(strconv.Atoi(was))(t)
	must(t, f.Value.Set(strconv.Itoa(campaign.Of(t, brief, usual))))
	t.Cleanup(func() { must(t, f.Value.Set(was)) })
}
