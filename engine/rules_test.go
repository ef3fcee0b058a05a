package engine_test

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/procedure"
	"candelua/engine/result"
	"candelua/engine/store"
	"candelua/engine/survey"
)

// A run that version 0.1 made, which drew uncertainties differently.
const olderRun = "../testdata/runs/older/contrast-0.1"

// TestOlderRules replays a run of older rules: what these rules decide is reported, and
// is no difference; all else is compared.
func TestOlderRules(t *testing.T) {
	path := copyOf(t, olderRun)
	rep := wants(t, journal.Done)(engine.Replay(context.Background(), path, plain()))
	if len(rep.Differences) > 0 || rep.Older == nil || rep.Older.Rules != 1 || len(rep.Older.Changes) != 1 {
		t.Fatalf("it differs in %v; of older rules: %+v", rep.Differences, rep.Older)
	}
	for _, d := range rep.Older.Differences {
		if d.Of() != result.OfUncertainty {
			t.Errorf("%s is put down to older rules", d)
		}
	}
	none := 0
	set := plain()
	set.Draws = &none
	if rep := wants(t, journal.Done)(engine.Replay(context.Background(), path, set)); len(rep.Differences) > 0 || rep.Older != nil {
		t.Errorf("without draws: %v, %+v", rep.Differences, rep.Older)
	}

	name := filepath.Join(path, "results.json")
	text := file(t, name)
	must(t, os.WriteFile(name, bytes.Replace(text, []byte(`"name":"White luminance"`), []byte(`"name":"White light"`), 1), 0o644))
	rep = wants(t, journal.Done)(engine.Replay(context.Background(), path, plain()))
	if len(rep.Differences) != 1 || rep.Older == nil {
		t.Errorf("a changed name is told as %v, beside %+v", rep.Differences, rep.Older)
	}
}

// TestOlderRunGoesOn says by which rules a run is gone on with.
func TestOlderRunGoesOn(t *testing.T) {
	path := copyOf(t, filepath.Join(runFixtures, "good", "paused"))
	h := &heard{}
	wants(t, journal.Done)(engine.Resume(context.Background(), path, engine.Resumption{Setup: h.setup(), Reopen: reopenSim}))
	has(t, h.warnings[0], "the run was begun by rules 2")
}

// TestNewRunsStateTheirRules in the head of the journal.
func TestNewRunsStateTheirRules(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf("meter.read()")), journal.Done)
	var h history.Head
	must(t, journalOf(t, rep.Path).Head(&h))
	if h.Rules != history.Rules || h.ByRules() != history.Rules {
		t.Errorf("the head states rules %d, want %d", h.Rules, history.Rules)
	}
}

// TestOldOperators has the scripts in the folder of a run computed by the rules of that run.
func TestOldOperators(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf("meter.read()")), journal.Done)
	folder := get(store.OpenReadOnly(rep.Path))(t)
	h := get(history.Read(journalOf(t, rep.Path)))(t)
	for _, rules := range []int{3, history.Rules} {
		h.Head.Rules = rules
		if loaded := get(procedure.Stored(context.Background(), folder, h, builtins.Modules()))(t); loaded.Procedure.Rules != rules {
			t.Errorf("a run of rules %d is computed by rules %d", rules, loaded.Procedure.Rules)
		}
	}
}

// TestNewerRules refuses a run of rules that this version does not know, and leaves
// it as it is.
func TestNewerRules(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf("meter.read()")), journal.Done)
	var h history.Head
	must(t, journalOf(t, rep.Path).Head(&h))
	h.Rules = history.Rules + 1
	name := filepath.Join(rep.Path, "journal.jsonl")
	must(t, os.Remove(name))
	must(t, get(journal.Create(name, h, journal.Options{}))(t).Close())
	was := folderText(t, rep.Path)
	var newer *history.NewerRulesError
	if _, err := engine.Replay(context.Background(), rep.Path, plain()); !errors.As(err, &newer) {
		t.Errorf("replayed with %v", err)
	}
	if _, err := engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: reopenSim}); !errors.As(err, &newer) {
		t.Errorf("resumed with %v", err)
	}
	if all := get(survey.Runs(context.Background(), filepath.Dir(rep.Path), builtins.Modules(), nil))(t); all[0].Status != journal.Newer {
		t.Errorf("it is %s, want %s", all[0].Status, journal.Newer)
	}
	if folderText(t, rep.Path) != was {
		t.Error("it was changed")
	}
	has(t, newer.Error(), "rules")
	has(t, newer.Hint(), "newer candelua")
}
