package engine_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/survey"
)

// foretold gives what is told before a run on a real bench, which is then not begun.
func foretold(t *testing.T, s engine.Spec) map[caution.Kind]string {
	t.Helper()
	stop := errors.New("seen enough")
	texts := map[caution.Kind]string{}
	s.Accept = func(_ context.Context, all []caution.Caution, _ bool) error {
		for _, c := range all {
			texts[c.Kind] = c.Text
		}
		return stop
	}
	if _, err := engine.Run(context.Background(), s); !errors.Is(err, stop) {
		t.Fatalf("it ran: %v", err)
	}
	return texts
}

// onPlain is a spec for a real bench, with a rehearsal on the simulated one.
func onPlain(t *testing.T, body, unit string) engine.Spec {
	t.Helper()
	s := simSpec(t, procedureOf(body))
	s.Bench, s.Openers, _ = reopenPlain(history.Head{})
	s.Rehearsal = func() (*bench.File, bench.Openers, error) { return reopenSim(history.Head{}) }
	s.Unit = get(bench.ParseUnit("unit.toml", []byte("format = 1\n"+unit)))(t)
	return s
}

// What is long, or stands still for long, is announced with its time; what is short, or cannot be rehearsed, is not.
func TestLongRunsAreAnnounced(t *testing.T) {
	for body, want := range map[string]string{
		"patches.show { grey = 1 } clock.wait(900) meter.read()":                              "This run takes about 15 min. Bright pictures stand still for up to 15 min. ",
		"patches.show { grey = 0.1 } clock.wait(1800) meter.read()":                           "This run takes about 30 min. Stay near",
		"patches.show { grey = 1 } clock.wait(130) patches.black() meter.read()":              "for up to 2 min. ",
		"for n = 1, 4 do patches.show { grey = 1 } clock.wait(60) patches.black() end":        "",
		"patches.show { grey = 1 } clock.wait(5)":                                             "",
		"patches.show { grey = 1 } clock.wait(900) error('it does not come to its end here')": "",
	} {
		got := foretold(t, onPlain(t, body, `name = "Crake 2"`))[caution.Long]
		if want == "" && got != "" || !strings.Contains(got, want) {
			t.Errorf("%s\nis announced as %q, want %q", body, got, want)
		}
	}
}

// The exposure of a unit is added up over its own runs on real benches, told before the next one, and no other unit's.
func TestExposureAddsUp(t *testing.T) {
	const body, unit = "patches.show { grey = 1 } clock.wait(0.01)", "name = \"Crake 2\"\nserial = \"7\""
	s := onPlain(t, body, unit)
	for n := range 3 { // which stood longer than a test may take
		rep := ran(t, s, journal.Done)
		path := filepath.Join(rep.Path, "run.json")
		text := file(t, path)
		if n == 0 {
			has(t, string(text), `"serial": "7"`)
		}
		must(t, os.WriteFile(path, bytes.Replace(text, []byte(`"files"`), []byte(`"still": {"white_h": 0.5, "longest_s": 1800, "brightest": 1},`+"\n"+`  "files"`), 1), 0o644))
	}
	if got := foretold(t, s)[caution.Exposure]; !strings.HasPrefix(got, "In 3 runs this unit has shown bright still pictures worth 1.50 h of full white.") || !strings.Contains(got, "somebody else's") {
		t.Errorf("told is %q", got)
	}
	s.Procedure = procedureOf("patches.show { grey = 1 } clock.wait(3600)")
	has(t, foretold(t, s)[caution.Exposure], "worth 1.50 h of full white; this run adds about 1.00 h.")
	for _, other := range []string{"name = \"Crake 2\"\nserial = \"8\"", "name = \"Dunnock\"\nserial = \"7\"", `name = "Crake 2"`} {
		o := onPlain(t, body, other)
		o.Out = s.Out
		if got, told := foretold(t, o)[caution.Exposure]; told {
			t.Errorf("of another unit (%s) is told %q", other, got)
		}
	}
	s.Unit = bench.DefaultUnit()
	if got, told := foretold(t, s)[caution.Exposure]; told {
		t.Errorf("of a unit that nobody named is told %q", got)
	}
}

// The exposure follows from the steps: the time that a picture stood, times its light; what is dark or short does not count.
func TestStillOfRuns(t *testing.T) {
	for body, want := range map[string]float64{
		"patches.show { grey = 1, window = 2 } clock.wait(360) patches.black()":                                               0.1,
		"patches.show { grey = 1 } clock.wait(180) patches.show { grey = 1 } clock.wait(180) patches.black()":                 0.1,
		"patches.show { grey = 0, background = 1, window = 10 } clock.wait(360) unit.off()":                                   0.1,
		"for n = 1, 100 do patches.show { grey = 1 } clock.wait(5) patches.black() end":                                       0,
		"patches.show { grey = 0.3 } clock.wait(3600)":                                                                        0,
		"patches.sequence { { grey = 1, hold = 360 }, { grey = 0, hold = 1 } }":                                               0.1,
		"patches.show { nits = 1000, signal = 'pq', window = 10 } clock.wait(72) patches.black { signal = 'pq' }":             0.1,
		"patches.show { grey = 1 } clock.wait(30) patches.black() patches.show { grey = 1 } clock.wait(330) patches.black() ": 0.1,
	} {
		src := strings.Replace(string(procedureOf(body).Source), "patches = {}", "patches = {}, unit = {}", 1)
		rep := ran(t, simSpec(t, sourceOf(src)), journal.Done)
		if got := rep.Still.Hours; math.Abs(got-want) > 0.002*math.Max(want, 1e-9)+0.0005*want+1e-9+0.0002 {
			t.Errorf("%s\nis %.5f h, want %.5f h", body, got, want)
		}
		if m := metaOf(t, rep.Path); m.Still != nil {
			t.Errorf("a simulated bench has the exposure %v", m.Still)
		}
		again := replayed(t, rep.Path, journal.Done)
		if fmt.Sprint(again.Still.Hours, again.Still.Longest) != fmt.Sprint(rep.Still.Hours, rep.Still.Longest) {
			t.Errorf("%s: the replay has the exposure %v, the run %v", body, again.Still, rep.Still)
		}
	}
	if !slices.Contains([]float64{1}, caution.Brightness(bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10, Signal: bench.SDR})) {
		t.Error("SDR white is not 1")
	}
}

// breaks is a clock whose first long wait fails halfway.
type breaks struct {
	shifted
	done bool
}

func (c *breaks) WaitUntil(ctx context.Context, to time.Duration) error {
	if half := (to - c.now) / 2; half > time.Minute && !c.done {
		c.now, c.done = c.now+half, true
		return errors.New("the clock broke")
	}
	return c.shifted.WaitUntil(ctx, to)
}

// A panel is lit by all that it showed, also by a step that was interrupted, and by steps that were set aside and taken again.
func TestExposureOfWhatWasSetAside(t *testing.T) {
	s := simSpec(t, procedureOf("patches.show { grey = 1 } clock.wait(360) patches.black()"))
	clock := &breaks{}
	s.Bench, s.Openers = bench.OperatorFile, clockedOpeners(clock, "")
	setup := engine.Resumption{Setup: plain(), Reopen: func(history.Head) (*bench.File, bench.Openers, error) {
		return bench.OperatorFile, clockedOpeners(clock, ""), nil
	}}
	stood := func(rep *engine.Report, want float64) {
		t.Helper()
		if m := metaOf(t, rep.Path); m.Still == nil || math.Abs(m.Still.WhiteHours-want) > 0.001 {
			t.Errorf("the exposure is %+v, want %g h", m.Still, want)
		}
	}
	rep := ran(t, s, journal.Paused)
	stood(rep, 0.05)
	stood(wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, setup)), 0.15)
	setup.From, setup.Because = 1, "the meter had slipped"
	stood(wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, setup)), 0.25)
	setup.From = 3
	stood(wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, setup)), 0.25)
	replayed(t, rep.Path, journal.Done)

	journalPath := filepath.Join(rep.Path, "journal.jsonl")
	text := file(t, journalPath)
	text[len(text)/2] ^= 1
	must(t, os.WriteFile(journalPath, text, 0o644))
	get(survey.Repair(rep.Path))(t)
	stood(rep, 0.25)
}
