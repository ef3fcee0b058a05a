package engine_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/result"
	"candelua/engine/uncertainty"
)

// TestTooManyDraws: draws that memory should not hold are not begun. The run is done, with
// all else, and says how many may be drawn; so does a replay that is asked for
// too many, and one that is drawn for a comparison.
func TestTooManyDraws(t *testing.T) {
	const draws, numbers, most = 1_000_000, 126, 992_063 // 10⁹ bytes / 8 / 126
	ctx, cancel := context.WithCancelCause(context.Background())
	defer cancel(nil)
	h := &heard{}
	s := drawnSpec(t, procedureOf(`
    local y = meter.read().Y
    local t = record.table("T", { { "n" }, { "Y", "cd/m2" } })
    for n = 1, 62 do t:add { n = n, Y = n * y } end
    record.value { name = "A", value = y, unit = "cd/m2" }
    record.value { name = "B", value = 2 * y, unit = "cd/m2" }`), draws)
	s.Setup = h.setup()
	s.Drawing = func(made, _ int) {
		if made > 0 {
			cancel(play.ErrInterrupted)
		}
	}
	rep := wants(t, journal.Done)(engine.Run(ctx, s))
	text := fmt.Sprintf("%d draws of %d numbers take 1.0 GB of memory; give at most %d draws, which take 1 GB", draws, numbers, most)
	has(t, strings.Join(h.warnings, "\n"), "the uncertainties were not computed: "+text, "; all other results are saved; ", fmt.Sprintf("with: candelua replay %s --draws %d", rep.Path, most))
	if d := rep.Results.Draws(); d.Count != 0 || d.Ended != result.TooManyDraws || metaOf(t, rep.Path).Status != journal.Done {
		t.Errorf("results have %+v", rep.Results.Draws())
	}
	has(t, string(file(t, rep.Path, "results.json")), `"id":"b"`)
	replayed(t, rep.Path, journal.Done)

	n, setup := draws, plain()
	setup.Draws = &n
	_, replay := engine.Replay(context.Background(), rep.Path, setup)
	_, apart := engine.DrawApart(context.Background(), rep.Path, plain(), draws)
	for _, err := range []error{replay, apart} {
		var many *uncertainty.TooManyDrawsError
		if !errors.As(err, &many) || !errors.Is(err, fault.ErrUsage) || err.Error() != text || many.Hint() != "use at most --draws 992063" {
			t.Errorf("too many draws: %v", err)
		}
	}
	n = 100
	if again, err := engine.Replay(context.Background(), rep.Path, setup); err != nil || again.Results.Draws() == nil {
		t.Errorf("a replay of %d draws: %v", n, err)
	}
}
