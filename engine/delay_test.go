package engine_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
)

// lateBench is a display that shows what was painted only after a while, of which its source knows nothing, and a meter that
// integrates over all of a reading. Its time passes when somebody waits or reads.
type lateBench struct {
	now     time.Duration
	hidden  time.Duration
	changes []lateChange
}

type lateChange struct {
	at    time.Duration
	light float64
}

func (b *lateBench) Close() error       { return nil }
func (b *lateBench) Clock() bench.Clock { return b }
func (b *lateBench) Now() time.Duration { return b.now }
func (b *lateBench) Wall() time.Time    { return time.Unix(1_700_000_000, 0).Add(b.now) }
func (b *lateBench) WaitUntil(ctx context.Context, t time.Duration) error {
	b.now = max(b.now, t)
	return context.Cause(ctx)
}

func (b *lateBench) Open(_ context.Context, k bench.Kind, _ bench.Section) (bench.Device, error) {
	if k == bench.KindMeter {
		return lateMeter{b}, nil
	}
	return latePatches{b}, nil
}

func (b *lateBench) light(at time.Duration) float64 {
	light := 1.0
	for _, c := range b.changes {
		if c.at <= at {
			light = c.light
		}
	}
	return light
}

type lateMeter struct{ *lateBench }

func (lateMeter) About() bench.Identity { return bench.Identity{Name: "late meter", Driver: "late"} }

func (m lateMeter) Read(ctx context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	const steps = 50
	for range q.Most {
		s := bench.Sample{Began: m.now}
		for range steps {
			s.Y += m.light(m.now) / steps
			m.now += 2 * time.Millisecond
		}
		s.Ended = m.now
		if err := take(s); errors.Is(err, bench.Enough) {
			return nil
		} else if err != nil {
			return err
		}
	}
	return context.Cause(ctx)
}

type latePatches struct{ *lateBench }

func (latePatches) About() bench.Identity {
	return bench.Identity{Name: "late patches", Driver: "late"}
}
func (latePatches) Delayed() bool { return true }

func (p latePatches) Show(_ context.Context, q bench.Patch) (bench.Shown, error) {
	p.changes = append(p.changes, lateChange{p.now + p.hidden, 100 * math.Pow(q.RGB[0], 2)})
	p.lateBench.changes = p.changes
	return bench.Shown{Lit: p.now, LitWithin: time.Millisecond, Area: q.Window, Painted: true, Path: bench.PathPage}, nil
}

func reopenLate(history.Head) (*bench.File, bench.Openers, error) {
	f, err := bench.ParseFile("bench.toml", []byte("name = \"late\"\n[meter]\ndriver = \"late\"\n[patches]\ndriver = \"late\"\n"))
	return f, bench.Openers{"late": func() (bench.Driver, error) { return &lateBench{hidden: 600 * time.Millisecond}, nil }}, err
}

// A display that processes for 600 ms is read when its light is there, also at once after a patch, and wherever the run was
// interrupted and gone on with: the delay that its first patch found is known from the journal.
func TestHiddenDelayIsKept(t *testing.T) {
	src := `return procedure { title = "T", purpose = "P", needs = { meter = {}, patches = {} }, run = function()
	for i = 1, 4 do
		local s = patches.show { grey = i % 2 == 1 and 1 or 0.5, window = 10 }
		record.value { name = 'Y' .. i, value = meter.read().Y }
		if i > 1 then record.value { name = 'Lit ' .. i, value = s.lit > 0 and 1 or 0 } end
	end end }`
	s := engine.Spec{Setup: plain(), Procedure: sourceOf(src), Unit: bench.DefaultUnit(), Seed: 1, Out: memoryDir(t)}
	s.Bench, s.Openers, _ = reopenLate(history.Head{})
	whole := ran(t, s, journal.Done)
	for n, want := range []float64{100, 25, 100, 25} {
		v, there := whole.Results.ValueByID(fmt.Sprintf("y%d", n+1))
		if !there || math.Abs(*v.Value-want) > 0.05*want {
			t.Errorf("reading %d is %+v, want %v", n+1, v, want)
		}
	}
	replayed(t, whole.Path, journal.Done)
	runJSON := string(file(t, whole.Path, "run.json"))
	if !strings.Contains(runJSON, `"paths": [`) || !strings.Contains(runJSON, `"page, SDR"`) {
		t.Errorf("run.json does not hold the signal path:\n%s", runJSON)
	}
	if head, _, _ := strings.Cut(string(file(t, whole.Path, "readings.csv")), "\n"); !strings.Contains(head, "pattern,space,path,hdr") {
		t.Errorf("the columns of readings.csv are %s", head)
	}
	for at := 1; at < whole.Steps; at++ {
		rep := stopped(t, s, at)
		wants(t, journal.Done)(engine.Resume(t.Context(), rep.Path, engine.Resumption{Setup: plain(), Reopen: reopenLate}))
		if got, want := valuesOf(t, rep.Path), valuesOf(t, whole.Path); got != want {
			t.Errorf("stopped at step %d, it reads %s, want %s", at, got, want)
		}
		replayed(t, rep.Path, journal.Done)
	}
}
