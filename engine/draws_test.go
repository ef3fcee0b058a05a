package engine_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/draw"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/result"
	"candelua/engine/script"
	"candelua/engine/sim"
	"candelua/engine/store"
	"candelua/engine/uncertainty"
	"candelua/testdata/campaign"
)

// drawnSpec is a run on the simulated bench that draws.
func drawnSpec(t testing.TB, p *procedure.Procedure, n int, set ...string) engine.Spec {
	s := simSpec(t, p, set...)
	s.Draws = n
	return s
}

// TestDraws gives every value and cell its uncertainty; a replay finds the same,
// on whatever number of cores, and so does a run that was cut off.
func TestDraws(t *testing.T) {
	body := `
    local t = record.table("T", { { "grey" }, { "Y", "cd/m2" } })
    for i = 1, 3 do
      patches.show { grey = i / 4, window = 10 }
      t:add { grey = i / 4, Y = meter.read({ after = 1, repeats = 5 }).Y }
    end
    patches.show { grey = 1, window = 10 }
    local r = meter.read { after = 1, relative = 0.1 }
    record.value { name = "Luminance", value = r.Y, unit = "cd/m2" }
    record.value { name = "Twice", value = 2 * r.Y, unit = "cd/m2" }
    record.value { name = "None", value = 7 }
    record.value { name = "Missing", why = "for a test" }`
	w := wholeRun(t, drawnSpec(t, procedureOf(body), 200))
	rep := replayed(t, w.path, journal.Done)
	values := rep.Results.Values()
	y, twice := values[0], values[1]
	if y.U == nil || *y.U <= 0 || y.Interval == nil || y.Interval[0] >= *y.Value || y.Interval[1] <= *y.Value || y.Rounded == "" || len(y.Budget) == 0 {
		t.Fatalf("luminance is %+v", y)
	}
	if ratio := *twice.U / *y.U; math.Abs(ratio-2) > 1e-9 {
		t.Errorf("twice a value has %v times its uncertainty", ratio)
	}
	if *values[2].U != 0 || *values[2].Interval != [2]float64{7, 7} || values[2].Method != string(draw.Constant) {
		t.Errorf("a constant is %+v", values[2])
	}
	if values[3].U != nil || values[3].Why != "for a test" {
		t.Errorf("a value that there is not is %+v", values[3])
	}
	table := rep.Results.Tables()[0]
	if table.Spread(0, 0) != nil || table.Spread(0, 1) == nil || table.Spread(2, 1).U <= 0 {
		t.Error("the cells have not the uncertainties that they should have")
	}
	ends := lineEnds(w.journal)
	for i := 0; i < len(ends); i += 5 {
		path := copied(t, w.path, w.journal[:ends[i]])
		resumed(t, path, journal.Done)
		w.equals(t, path, fmt.Sprint("cut after record ", i+1))
	}
	changed := bytes.Replace(file(t, w.path, "results.json"), []byte(`"method":"`), []byte(`"method":"x`), 1)
	must(t, os.WriteFile(filepath.Join(w.path, "results.json"), changed, 0o644))
	again, err := engine.Replay(context.Background(), w.path, plain())
	must(t, err)
	if len(again.Differences) == 0 {
		t.Error("a changed method is not found")
	}
}

// TestDrawsShare says what two runs share: with one meter its scale, so that
// their ratio is known far better than each; with another meter nothing.
func TestDrawsShare(t *testing.T) {
	drawn := func(seed uint64, serial string) draw.Run {
		s := simSpec(t, procedureOf(`patches.show { grey = 1, window = 10 }
    record.value { name = "Y", value = meter.read({ after = 1, repeats = 10 }).Y, unit = "cd/m2" }`))
		s.Seed = seed
		f := &faults{id: func(id *bench.Identity) { id.Accuracy.Scale = 1; id.Serial = serial }}
		s.Openers = f.openers()
		d := get(engine.DrawApart(context.Background(), ran(t, s, journal.Done).Path, plain(), 1000))(t)
		r, ok := d.Run("y")
		if _, other := d.Run("z"); !ok || other {
			t.Fatal("other values were drawn")
		}
		return r
	}
	a, same, other := drawn(1, "A-1"), drawn(2, "A-1"), drawn(2, "B-2")
	one := get(draw.Ratio(a, same))(t)
	two := get(draw.Ratio(a, other))(t)
	if one.U > 0.1*two.U || math.Abs(two.U-0.01*math.Sqrt2) > 0.002 {
		t.Errorf("the ratio's uncertainty is %v with one meter and %v with two, want 0.0141 with two", one.U, two.U)
	}
}

// TestDrawApartRefuses draws no run that is not done.
func TestDrawApartRefuses(t *testing.T) {
	rep := stopped(t, simSpec(t, procedureOf(`meter.read() meter.read()`)), 2)
	_, err := engine.DrawApart(context.Background(), rep.Path, plain(), 100)
	if !errors.Is(err, fault.ErrUsage) || !strings.Contains(err.Error(), "is paused; it must be done") {
		t.Errorf("got %v", err)
	}
	if _, err := engine.DrawApart(context.Background(), t.TempDir(), plain(), 100); !errors.Is(err, fault.ErrUsage) {
		t.Errorf("no run's folder: %v", err)
	}
	failed := ran(t, simSpec(t, procedureOf(`meter.read() error("lamp")`)), journal.Failed)
	if _, err := engine.DrawApart(context.Background(), failed.Path, plain(), 100); err == nil || !strings.Contains(err.Error(), "lamp") {
		t.Errorf("a run that failed: %v", err)
	}
}

// TestDivergentDraws refuses an uncertainty where a noisy reading ends a series,
// and gives one where the choice is a decision.
func TestDivergentDraws(t *testing.T) {
	body := func(choice string) string {
		return `patches.show { grey = 0.5, window = 10 }
    local first = meter.read { repeats = 2 }
    local sum, n = 0, 0
    repeat
      local r = meter.read { repeats = 2 }
      sum, n = sum + r.Y, n + 1
    until n == 40 or ` + choice + `
    record.value { name = "Mean", value = sum / n, unit = "cd/m2" }`
	}
	s := drawnSpec(t, procedureOf(body(`r.Y > first.Y`)), 200)
	v := ran(t, s, journal.Done).Results.Values()[0]
	if v.U != nil || v.Interval != nil {
		t.Errorf("the value is %+v", v)
	}
	has(t, v.Why, "its uncertainty is not evaluated", "of the draws the script took other steps", "run.decide")
	v = ran(t, drawnSpec(t, procedureOf(body(`run.decide("enough", r.Y > first.Y)`)), 200), journal.Done).Results.Values()[0]
	if v.U == nil {
		t.Errorf("with a decision the value is %+v", v)
	}
}

// TestDrawsThatEndSooner counts draws in which the script asks for fewer steps,
// as it does those in which it asks for more: whichever of the two orders the
// readings are in, one of these scripts takes the last reading and the other
// does not.
func TestDrawsThatEndSooner(t *testing.T) {
	for _, order := range []string{"a.Y > b.Y", "a.Y <= b.Y"} {
		rep := ran(t, drawnSpec(t, procedureOf(`patches.show { grey = 1 }
    local a, b = meter.read { repeats = 3 }, meter.read { repeats = 3 }
    record.value { name = "Y", value = a.Y, unit = "cd/m2" }
    if `+order+` then meter.read() end`), 200), journal.Done)
		if d := rep.Results.Draws(); d.Divergent < 11 || d.Failed != 0 {
			t.Errorf("%s: draws are %+v", order, d)
		}
		has(t, rep.Results.Values()[0].Why, "of the draws the script took other steps")
	}
}

// TestWithheldDraws says that a value is withheld on drawn readings, where no
// draw is divergent and none fails.
func TestWithheldDraws(t *testing.T) {
	rep := ran(t, drawnSpec(t, procedureOf(`patches.show { grey = 1 }
    local a, b = meter.read { repeats = 3 }, meter.read { repeats = 3 }
    local as_read = run.decide("order", a.Y > b.Y) == (a.Y > b.Y)
    record.value { name = "Y", value = as_read and a.Y or nil, unit = "cd/m2" }`), 200), journal.Done)
	if d := rep.Results.Draws(); d.Divergent != 0 || d.Failed != 0 {
		t.Errorf("draws are %+v", d)
	}
	has(t, rep.Results.Values()[0].Why, "too many draws gave no value", "of the draws the script recorded no value, or a limit")
}

// TestWhyOfSeveralCauses: where some draws fail and others withhold the value, both are said.
func TestWhyOfSeveralCauses(t *testing.T) {
	rep := ran(t, drawnSpec(t, procedureOf(`patches.show { grey = 1 }
    local a, b = meter.read { repeats = 3 }, meter.read { repeats = 3 }
    local c, d = meter.read { repeats = 3 }, meter.read { repeats = 3 }
    if run.decide("first", a.Y > b.Y) ~= (a.Y > b.Y) then error("other order") end
    local as_read = run.decide("second", c.Y > d.Y) == (c.Y > d.Y)
    record.value { name = "Y", value = as_read and a.Y or nil, unit = "cd/m2" }
    record.value { name = "Always", value = a.Y, unit = "cd/m2" }`), 200), journal.Done)
	d, y, always := rep.Results.Draws(), rep.Results.Values()[0].Why, rep.Results.Values()[1].Why
	if d.Failed < 11 {
		t.Fatalf("draws are %+v", d)
	}
	failed := fmt.Sprintf("in %.0f %% of the draws the script ended in an error", float64(d.Failed)/2)
	has(t, y, "; "+failed+"; in ", " % of the draws the script recorded no value, or a limit")
	if !strings.HasSuffix(always, failed) {
		t.Errorf("a value that is never withheld says: %s", always)
	}
}

// TestDecidedNumber is a number that was chosen: draws get the recorded one, so
// that it has no uncertainty of its own.
func TestDecidedNumber(t *testing.T) {
	v := ran(t, drawnSpec(t, procedureOf(`patches.show { grey = 1 }
    local a, b = meter.read { repeats = 3 }, meter.read { repeats = 3 }
    record.value { name = "Larger", value = run.decide("larger", math.max(a.Y, b.Y)), unit = "cd/m2" }`), 100), journal.Done).Results.Values()[0]
	if v.Method != string(draw.Constant) || v.U == nil || *v.U != 0 {
		t.Errorf("a number that was decided is %+v", v)
	}
}

// TestDecidedBy: draws do not call the functions by which a script chooses and speaks, and give the same as if they did. Where
// such a function changes something outside of itself that the results show, or fails, they call it.
func TestDecidedBy(t *testing.T) {
	const long = "local x = 0 for i = 1, 2000 do x = x + math.sqrt(i) end "
	body := func(one, other string) string {
		return `patches.show { grey = 1 }
    local a, b, left = meter.read { repeats = 3 }, meter.read { repeats = 3 }, 1
    ` + one + `
    record.value { name = "Y", value = (which == "a" and a.Y or b.Y) * left + math.random(), unit = "cd/m2" }
    ` + other
	}
	const rest = `record.note(run.text_by(function() ` + long + `return "a note" end))
    record.value { name = "None", why = run.text_by(function() ` + long + `return "no reason" end), unit = "s" }`
	work := func(one, other string) (*result.Value, int64) {
		p := procedureOf(body(one, other))
		rep := ran(t, drawnSpec(t, p, 100), journal.Done)
		h := get(history.Read(get(journal.Load(filepath.Join(rep.Path, "journal.jsonl")))(t)))(t)
		many := get(play.NewJob(get(script.Compile(p.File, p.Source, nil, builtins.Modules()))(t), h).Many(false))(t)
		get(many.Look(context.Background()))(t)
		if d := rep.Results.Draws(); d.Count != 100 || d.Failed+d.Divergent > 0 {
			t.Errorf("%s: draws are %+v", one, d)
		}
		replayed(t, rep.Path, journal.Done)
		return rep.Results.Values()[0], get(many.Once(context.Background(), 0))(t).Work
	}
	plain, all := work(`local which = run.decide("which", a.Y > b.Y and "a" or "b")`, "")
	for _, c := range []struct {
		name, choice, other string
		leaves              bool // draws leave the functions out
	}{
		{"pure", `local which = run.decide_by("which", function() ` + long + `return a.Y > b.Y and "a" or "b" end)`, rest, true},
		{"random numbers", `local which = run.decide_by("which", function() ` + long + `math.random() return a.Y > b.Y and "a" or "b" end)`, rest, true},
		{"a change outside", `local which = run.decide_by("which", function() ` + long + `left = 2 return a.Y > b.Y and "a" or "b" end)`, rest, false},
		{"a failure that is caught", `local ok, which = pcall(run.decide_by, "which", function() ` + long + `error("no") end)
    which = run.decide("which", a.Y > b.Y and "a" or "b")`, rest, false},
		{"a text that is stated", `local which = run.decide_by("which", function() ` + long + `return a.Y > b.Y and "a" or "b" end)`,
			rest + ` record.table("T", { { "x" } }):add { x = run.text_by(function() return "said" end) }`, true},
	} {
		v, n := work(c.choice, c.other)
		if leaves := n < all+2000; leaves != c.leaves {
			t.Errorf("%s: a draw works %d, and %d with a plain choice", c.name, n, all)
		}
		if c.leaves && (*v.Value != *plain.Value || *v.U != *plain.U) {
			t.Errorf("%s: %v ± %v, with a plain choice %v ± %v", c.name, *v.Value, *v.U, *plain.Value, *plain.U)
		}
	}
}

// TestFailingDraws counts draws in which the script ends in an error.
func TestFailingDraws(t *testing.T) {
	rep := ran(t, drawnSpec(t, procedureOf(`patches.show { grey = 1 }
    local a, b = meter.read { repeats = 3 }, meter.read { repeats = 3 }
    if run.decide("order", a.Y > b.Y) ~= (a.Y > b.Y) then error("other order") end
    record.value { name = "Y", value = a.Y, unit = "cd/m2" }`), 200), journal.Done)
	if d := rep.Results.Draws(); d.Failed < 11 || d.Divergent != 0 {
		t.Errorf("draws are %+v", d)
	}
	has(t, rep.Results.Values()[0].Why, "the script ended in an error")
}

// TestDrawsAreStopped keeps all but the uncertainties.
func TestDrawsAreStopped(t *testing.T) {
	ctx, cancel := context.WithCancelCause(context.Background())
	defer cancel(nil)
	h := &heard{}
	s := drawnSpec(t, procedureOf(`patches.show { grey = 1 } record.value { name = "Y", value = meter.read().Y }`), 100000)
	s.Setup = h.setup()
	var made atomic.Int64
	s.Drawing = func(n, of int) {
		if made.Store(int64(n)); n >= 10 {
			cancel(play.ErrInterrupted)
		}
	}
	rep := wants(t, journal.Done)(engine.Run(ctx, s))
	if d := rep.Results.Draws(); made.Load() > 1000 || d.Count != 0 || d.Ended != result.Interrupted || metaOf(t, rep.Path).Status != journal.Done {
		t.Errorf("%d draws were made, results have %+v", made.Load(), rep.Results.Draws())
	}
	has(t, strings.Join(h.warnings, "\n"), "the computation of the uncertainties was stopped", "replay "+rep.Path)
	if d := replayed(t, rep.Path, journal.Done).Results.Draws(); d == nil || d.Ended != result.Interrupted {
		t.Errorf("a replay does not say why there are none: %+v", d)
	}
	before := string(file(t, rep.Path, "results.json"))
	has(t, before, `"asked":100000,"ended":"interrupted","note":"there are no uncertainties, because their computation was stopped; `)
	again := replayedWith(t, rep.Path, 100)
	if len(again.Differences) > 0 || again.Results.Draws() == nil || again.Results.Values()[0].Method == "" {
		t.Errorf("a replay that draws: %v, %+v", again.Differences, again.Results.Values()[0])
	}
	if again.Kept != filepath.Join(rep.Path, "replays", "1") || before != string(file(t, rep.Path, "results.json")) {
		t.Errorf("kept in %q", again.Kept)
	}
	has(t, string(file(t, again.Kept, "results.json")), `"draws":{"count":100,`, `"rounded":`)
	has(t, string(file(t, again.Kept, "replay.json")), `"status": "done"`, `"edited": false`)
	replayed(t, rep.Path, journal.Done)
}

// TestDrawsAsNeeded: the number that the digits need is in the results, and a replay makes it again and finds
// the same; so does a run that was cut off and resumed. What scatters has more than what only the meter's scale changes.
func TestDrawsAsNeeded(t *testing.T) {
	count := map[string]int{}
	for name, body := range map[string]string{
		"scale":   `patches.show { grey = 1 } record.value { name = "Y", value = meter.read { after = 1, repeats = 20 }.Y, unit = "cd/m2" }`,
		"scatter": `patches.show { grey = 1 } local r = { after = 1, repeats = 20 } for i = 1, 8 do record.value { name = "Y" .. i, value = meter.read(r).Y / meter.read(r).Y } end`,
	} {
		rep := ran(t, drawnSpec(t, procedureOf(body), uncertainty.AsNeeded), journal.Done)
		d := rep.Results.Draws()
		if d.Count < 200 || d.Count > 1000 || d.Count%100 != 0 || d.Ended != "" || rep.Head.Draws != uncertainty.AsNeeded {
			t.Errorf("%s: %+v", name, d)
		}
		again := replayed(t, rep.Path, journal.Done)
		if *again.Results.Draws() != *d || again.Kept != "" || len(again.Differences) > 0 {
			t.Errorf("%s: a replay has %+v, kept in %q, want %+v; %v", name, again.Results.Draws(), again.Kept, d, again.Differences)
		}
		must(t, os.Remove(filepath.Join(rep.Path, "results.json")))
		if anew := resumed(t, rep.Path, journal.Done); *anew.Results.Draws() != *d {
			t.Errorf("%s: a resumption has %+v, want %+v", name, anew.Results.Draws(), d)
		}
		count[name] = d.Count
	}
	if count["scale"] != 200 || count["scatter"] <= count["scale"] {
		t.Errorf("draws are %v", count)
	}
}

// replayedWith is a replay with so many draws.
func replayedWith(t *testing.T, path string, n int) *engine.Report {
	t.Helper()
	set := plain()
	set.Draws = &n
	return wants(t, journal.Done)(engine.Replay(context.Background(), path, set))
}

// TestReplayKeepsOtherDraws keeps what the run has not, and that alone.
func TestReplayKeepsOtherDraws(t *testing.T) {
	rep := ran(t, drawnSpec(t, procedureOf(`patches.show { grey = 1 } record.value { name = "Y", value = meter.read().Y }`), 100), journal.Done)
	for _, n := range []int{0, 100} {
		if again := replayedWith(t, rep.Path, n); again.Kept != "" {
			t.Errorf("%d draws are kept in %s", n, again.Kept)
		}
	}
	for i, n := range []int{200, 300} {
		if again := replayedWith(t, rep.Path, n); again.Kept != filepath.Join(rep.Path, "replays", fmt.Sprint(i+1)) {
			t.Errorf("%d draws are kept in %q", n, again.Kept)
		}
	}
	changed := bytes.Replace(file(t, rep.Path, "results.json"), []byte(`"name":"Y"`), []byte(`"name":"Z"`), 1)
	must(t, os.WriteFile(filepath.Join(rep.Path, "results.json"), changed, 0o644))
	if again := replayedWith(t, rep.Path, 200); again.Kept != "" || len(again.Differences) == 0 {
		t.Errorf("a replay that differs is kept in %q", again.Kept)
	}
}

// TestReplayThatCannotBeKept shows its results all the same, and warns.
func TestReplayThatCannotBeKept(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(`patches.show { grey = 1 } record.value { name = "Y", value = meter.read().Y }`)), journal.Done)
	reader := get(store.OpenReadOnly(rep.Path))(t) // which keeps writers away
	defer reader.Close()
	h, n := &heard{}, 100
	set := h.setup()
	set.Draws = &n
	again := wants(t, journal.Done)(engine.Replay(context.Background(), rep.Path, set))
	if again.Kept != "" || again.Results.Values()[0].U == nil {
		t.Errorf("kept in %q: %+v", again.Kept, again.Results.Values()[0])
	}
	has(t, strings.Join(h.warnings, "\n"), "the uncertainties were not saved: ", "is being read by another candelua")
}

// TestDrawsStoppedBefore makes none.
func TestDrawsStoppedBefore(t *testing.T) {
	rep := ran(t, simSpec(t, procedureOf(`meter.read()`)), journal.Done)
	job := jobOver(t, rep.Path, `meter.read()`, false)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := uncertainty.Draw(ctx, get(job.Many(false))(t), rep.Results, uncertainty.Fixed(100), nil); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped before it began: %v", err)
	}
}

// TestBudgetOfManySittings: where a meter took its dark level so often that the draws
// cannot tell its causes apart, the uncertainties are there and what they are
// made of is not, with the reason.
func TestBudgetOfManySittings(t *testing.T) {
	s := drawnSpec(t, procedureOf(`
    local sum = 0
    for i = 1, 20 do
      meter.dark()
      patches.show { grey = 0.1 }
      sum = sum + meter.read { after = 1, repeats = 3 }.Y
    end
    record.value { name = "Mean", value = sum / 20, unit = "cd/m2" }`), 100)
	w := sim.Default()
	w.ExactMeters()
	w.Meter.Dark = 0.01
	s.Openers = bench.Openers{"sim": sim.Opener(w, 1, 0)}
	rep := ran(t, s, journal.Done)
	v := rep.Results.Values()[0]
	why := rep.Results.Draws().BudgetWhy
	if v.U == nil || *v.U <= 0 || v.Budget != nil || why != "too few draws: 100 gave a value; at least 360 are needed to tell the shared causes of error apart; use more draws" {
		t.Errorf("value is %+v, the budget's reason %q", v, why)
	}
}

// TestBias: a mean of distances from where noise has it is known to be pushed up, and
// says by how much.
func TestBias(t *testing.T) {
	s := drawnSpec(t, procedureOf(`
    local sum = 0
    for i = 1, 12 do
      patches.show { grey = 1, window = 10 }
      sum = sum + math.abs(meter.read({ after = 1, repeats = 5 }).Y / 203.355 - 1)
    end
    record.value { name = "Mean distance", value = 100 * sum / 12, unit = "%" }
    record.value { name = "Luminance", value = meter.read({ after = 1, repeats = 5 }), unit = "cd/m2" }`), 400)
	w := sim.Default()
	w.ExactMeters()
	s.Openers = bench.Openers{"sim": sim.Opener(w, 1, 0)}
	rep := ran(t, s, journal.Done)
	distance, luminance := rep.Results.Values()[0], rep.Results.Values()[1]
	if distance.Bias == nil || *distance.Bias <= 0 || luminance.Bias != nil {
		t.Errorf("the distance is %+v, the luminance %+v", distance, luminance)
	}
}

// TestDrawnSpectrum: what follows from a reading's spectrum is as uncertain as its
// luminance, for both are moved alike. A peak's wavelength is as uncertain as the meter's wavelengths, above all.
func TestDrawnSpectrum(t *testing.T) {
	s := drawnSpec(t, procedureOf(`
    patches.show { grey = 1, window = 10 }
    local r = meter.read { after = 1, repeats = 3, spectrum = true }
    record.value { name = "Luminance", value = r.Y, unit = "cd/m2" }
    record.value { name = "Of the spectrum", value = colour.spectrum_to_xyz(r.spectrum).Y, unit = "cd/m2" }
    record.value { name = "Peak", value = colour.peak(r.spectrum).wavelength, unit = "nm" }`), 200)
	w := sim.Default()
	w.Meter.Scale = 1
	s.Openers = bench.Openers{"sim": sim.Opener(w, 1, 0)}
	rep := ran(t, s, journal.Done)
	replayed(t, rep.Path, journal.Done)
	values := rep.Results.Values()
	y, spectral, peak := values[0], values[1], values[2]
	if share := *y.U / *y.Value; share < 0.008 {
		t.Fatalf("u of the luminance is %v of it, want the scale's 1 %%", share)
	}
	if ratio := *spectral.U / *spectral.Value * *y.Value / *y.U; math.Abs(ratio-1) > 1e-3 {
		t.Errorf("the spectrum's luminance has %v times the relative u of the reading's", ratio)
	}
	if u := *peak.U; u < 0.15 || u > 0.4 || peak.Budget[0].Of != "wavelengths" { // the world states 0.2 nm
		t.Errorf("the peak's wavelength is %+v", peak)
	}
}

// TestSmallDistances: a mean, a spread and a largest of distances that are all noise
// is pushed away from 0, and its interval holds 0, the truth, and nothing below.
func TestSmallDistances(t *testing.T) {
	seeds := campaign.Of(t, 4, 12)
	held := map[string]int{}
	for seed := range uint64(seeds) {
		s := drawnSpec(t, procedureOf(`
    patches.show { grey = 1, window = 10 }
    local first, sum, largest = meter.read({ after = 1, repeats = 500 }).Y, 0, 0
    for i = 1, 9 do
      local far = math.abs(meter.read({ repeats = 5 }).Y / first - 1)
      sum, largest = sum + far, math.max(largest, far)
    end
    record.value { name = "Mean", value = 100 * sum / 9, unit = "%" }
    record.value { name = "Largest", value = 100 * largest, unit = "%" }`), 200)
		w := sim.Default()
		w.Limit.Curve, w.Warmup, w.Retention.Terms, w.Meter.DarkDrift = nil, sim.WarmupParams{}, nil, 0
		s.Seed, s.Openers = seed+1, bench.Openers{"sim": sim.Opener(w, seed+1, 0)}
		for _, v := range ran(t, s, journal.Done).Results.Values() {
			if v.Interval[0] < 0 {
				t.Errorf("seed %d: %s has the interval %v", seed, v.ID, *v.Interval)
			}
			if v.Interval[0] <= 0.001 { // %, a fiftieth of what a reading scatters
				held[v.ID]++
			}
		}
	}
	for _, id := range []string{"mean", "largest"} {
		if held[id] < seeds-1 {
			t.Errorf("%s: %d of %d intervals hold 0", id, held[id], seeds)
		}
	}
}

// TestOneNumberMisses: a draw whose noise makes a logarithm no number costs that number
// alone, in whatever order numbers are recorded. The others keep their intervals, in values
// and in tables.
func TestOneNumberMisses(t *testing.T) {
	const density, white = `record.value { name = "Density", value = density }`, `record.value { name = "White", value = white, unit = "cd/m2" }`
	const row = `record.table("T", { { "density" }, { "white", "cd/m2" } }):add { density = density, white = white }`
	for _, order := range [][]string{{density, white, row}, {row, density, white}, {white, row, density}} {
		s := drawnSpec(t, procedureOf(`
    patches.black()
    local black = meter.read { after = 1, repeats = 3 }.Y
    patches.show { grey = 1, window = 10 }
    local white = meter.read { after = 1, repeats = 3 }.Y
    local density = math.log10(white / math.max(black, 0))
    `+strings.Join(order, "\n    ")), 300)
		w := sim.Default()
		w.ExactMeters()
		w.Light.Black, w.Meter.DarkNoise, w.Meter.Scale = 0.004, 0.004, 1
		s.Openers = bench.Openers{"sim": sim.Opener(w, 3, 0)}
		r := ran(t, s, journal.Done).Results
		d, _ := r.ValueByID("density")
		y, _ := r.ValueByID("white")
		if d.Interval != nil || !strings.Contains(d.Why, "too many draws gave no value") {
			t.Errorf("the density, which is no number in many draws, is %+v", d)
		}
		if y.Interval == nil || r.Draws().Failed > 0 || r.Draws().Divergent > 0 {
			t.Errorf("white is %+v; %+v", y, r.Draws())
		}
		if cells := r.Tables()[0]; cells.Spread(0, 0) != nil || cells.Spread(0, 1) == nil {
			t.Errorf("the row's uncertainties are %v and %v", cells.Spread(0, 0), cells.Spread(0, 1))
		}
	}
}
