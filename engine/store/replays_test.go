package store

import (
	"os"
	"path/filepath"
	"testing"

	"candelua/engine/result"
)

type used struct {
	Engine string `json:"engine"`
}

// kept makes a replay and keeps it.
func kept(t testing.TB, r *Run, peak float64) string {
	t.Helper()
	p, err := r.NewReplay()
	must(t, err)
	res := some(t, peak, "Sweep")
	must(t, p.WriteResults(res), p.WriteTables(tables("sweep")), p.AddProcedure("lib/a.lua", []byte("1")), p.WriteReplay(used{"1"}))
	if _, err := os.Stat(p.Path()); !os.IsNotExist(err) {
		t.Errorf("the folder has its name before it is whole: %v", err)
	}
	must(t, p.Keep())
	return p.Path()
}

func TestReplays(t *testing.T) {
	r := newRun(t)
	for n, want := range []string{"replays/1", "replays/2"} {
		path := kept(t, r, float64(n))
		if path != filepath.Join(r.Path(), want) {
			t.Errorf("replay is in %s, want %s", path, want)
		}
		for _, name := range []string{"results.json", "tables/sweep.csv", "procedure/lib/a.lua", "replay.json"} {
			if _, err := os.Stat(filepath.Join(path, name)); err != nil {
				t.Error(err)
			}
		}
		var got used
		must(t, r.ReadReplay(n+1, &got))
		if got != (used{"1"}) {
			t.Errorf("replay.json is %+v", got)
		}
	}
	// The first free number, whatever has the others.
	must(t, os.RemoveAll(filepath.Join(r.Path(), "replays/1")), os.WriteFile(filepath.Join(r.Path(), "replays/3"), nil, 0o644))
	for _, want := range []string{"replays/1", "replays/4"} {
		if path := kept(t, r, 1); path != filepath.Join(r.Path(), want) {
			t.Errorf("replay is in %s, want %s", path, want)
		}
	}
	fails(t, r.ReadReplay(9, new(used)), os.ErrNotExist, "replays/9/replay.json")
	must(t, os.WriteFile(filepath.Join(r.Path(), "replays/1/replay.json"), []byte(`{"format":2,"kind":"candelua-replay"}`), 0o644))
	fails(t, r.ReadReplay(1, new(used)), result.ErrNewer, "replay.json")
}

// What a crash, or an error, leaves of a replay is in no later one.
func TestReplayDropped(t *testing.T) {
	r := newRun(t)
	p, err := r.NewReplay()
	must(t, err)
	must(t, p.WriteResults(some(t, 1)), p.Close()) // and no more
	p, err = r.NewReplay()
	must(t, err)
	if left, err := os.ReadDir(filepath.Join(r.Path(), "replays/.1.part")); err != nil || len(left) > 0 {
		t.Errorf("there is %v, %v", left, err)
	}
	fails(t, p.WriteReplay([]int{1}), nil, "replay.json: []int is not a JSON object")
	must(t, p.Drop())
	if left, err := os.ReadDir(filepath.Join(r.Path(), "replays")); err != nil || len(left) > 0 {
		t.Errorf("there is %v, %v", left, err)
	}
}

func TestReplayErrors(t *testing.T) {
	ro, err := OpenReadOnly(closed(t))
	must(t, err)
	_, err = ro.NewReplay()
	fails(t, err, errReadOnly, "replays")
	must(t, ro.Close())

	r := newRun(t)
	must(t, os.WriteFile(filepath.Join(r.Path(), "replays"), nil, 0o644))
	p, err := r.NewReplay()
	must(t, err, p.Drop())
	if _, err := os.Stat(filepath.Join(r.Path(), "replays-found-1")); err != nil {
		t.Errorf("what was in the way is gone: %v", err)
	}

	r = newRun(t)
	p, err = r.NewReplay()
	must(t, err)
	must(t, os.Mkdir(filepath.Join(r.Path(), "replays/1"), 0o755), os.WriteFile(filepath.Join(r.Path(), "replays/1/mine"), nil, 0o644))
	fails(t, p.Keep(), nil, "replays/1 was not saved")
	if _, err := os.Stat(filepath.Join(r.Path(), "replays/1/mine")); err != nil {
		t.Errorf("what was there is gone: %v", err)
	}

	outside := t.TempDir()
	r = newRun(t)
	must(t, os.Symlink(outside, filepath.Join(r.Path(), "replays")))
	p, err = r.NewReplay()
	must(t, err, p.Drop())
	if left, err := os.ReadDir(outside); err != nil || len(left) > 0 {
		t.Errorf("outside there is %v, %v", left, err)
	}
}
