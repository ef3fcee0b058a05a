package watch_test

import (
	"context"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/coder/websocket"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/progress"
	"candelua/engine/sim"
	"candelua/engine/watch"
	"candelua/testdata/campaign"
)

const source = `return procedure {
  title = "Levels", purpose = "Luminance of some levels.", needs = { meter = {}, patches = {} },
  run = function()
    local t = record.table("Levels", { { "grey" }, { "luminance", "cd/m2" } })
    for _, grey in ipairs { 1, 0.5, 0.1 } do
      run.part("grey " .. grey, function()
        patches.show { grey = grey, window = 10 }
        t:add { grey = grey, luminance = meter.read({ repeats = 2 }).Y }
        clock.wait(20)
      end)
    end
    record.plot { table = t, x = "grey", y = "luminance" }
  end,
}
`

func opened() (*bench.File, bench.Openers) {
	return bench.SimFile, bench.Openers{"sim": sim.Opener(sim.Default(), 1, 0)}
}

// stopped runs until a step begins that is to be the last, has it stopped, and resumes: it gives the results.
func stopped(t *testing.T, last int, follower *progress.Follower, stop func(cancel context.CancelCauseFunc)) string {
	t.Helper()
	ctx, cancel := context.WithCancelCause(t.Context())
	defer cancel(nil)
	setup := engine.Setup{Version: "test", Modules: builtins.Modules(), Tell: func(e play.Event) {
		follower.Tell(e)
		if p, begins := e.(play.Progress); begins && p.Step == last {
			stop(cancel)
		}
	}}
	file, openers := opened()
	rep, err := engine.Run(ctx, engine.Spec{Setup: setup, Bench: file, Openers: openers, Unit: bench.DefaultUnit(), Seed: 1, Draws: 100, Out: t.TempDir(),
		Procedure: &procedure.Procedure{Name: "levels", File: "levels.lua", Source: []byte(source), Find: func(string) ([]byte, error) { return nil, os.ErrNotExist }}})
	if err != nil || rep.Status != journal.Paused {
		t.Fatalf("step %d: %+v, %v", last, rep, err)
	}
	setup.Tell = nil
	rep, err = engine.Resume(t.Context(), rep.Path, engine.Resumption{Setup: setup, Reopen: func(history.Head) (*bench.File, bench.Openers, error) {
		file, openers := opened()
		return file, openers, nil
	}})
	if err != nil || rep.Status != journal.Done {
		t.Fatalf("step %d, resumed: %+v, %v", last, rep, err)
	}
	text, err := os.ReadFile(filepath.Join(rep.Path, "results.json"))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// A run that a page pauses at any of its steps comes, when it is resumed, to the very results of one that was paused there by Ctrl-C.
func TestPauseIsThatOfCtrlC(t *testing.T) {
	for _, last := range campaign.Some(t, []int{1, 2, 3, 4, 5, 6, 7, 8, 9}, 3) {
		byKey := stopped(t, last, progress.New(progress.Options{}), func(cancel context.CancelCauseFunc) { cancel(play.ErrInterrupted) })
		follower, asked := progress.New(progress.Options{}), make(chan struct{}, 1)
		view, err := watch.Serve(watch.Options{Listen: "127.0.0.1:0", Follower: follower, Pause: func() { asked <- struct{}{} }})
		if err != nil {
			t.Fatal(err)
		}
		origin := strings.Join(strings.Split(view.URL(), "/")[:3], "/")
		page, _, err := websocket.Dial(t.Context(), strings.Replace(view.URL(), "http", "ws", 1)+"socket", &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {origin}}})
		if err != nil {
			t.Fatal(err)
		}
		byPage := stopped(t, last, follower, func(cancel context.CancelCauseFunc) {
			if err := page.Write(t.Context(), websocket.MessageText, []byte(`{"do":"pause"}`)); err != nil {
				t.Error(err)
			}
			<-asked
			cancel(play.ErrInterrupted)
		})
		page.CloseNow()
		if err := view.Close(); err != nil {
			t.Error(err)
		}
		if byPage != byKey {
			t.Errorf("paused at step %d by a page the run comes to\n%s\nby Ctrl-C to\n%s", last, byPage, byKey)
		}
	}
}
