package scripts_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"candelua/engine/result"
	"candelua/engine/trial"
	"candelua/scripts"
	"candelua/testdata/campaign"
)

// spoil puts a procedure, with something in it or in its libraries replaced,
// through a trial with a few seeds.
func spoil(t *testing.T, name, procedure, file, from, to string, seeds int) *trial.Report {
	t.Helper()
	dir := t.TempDir()
	for _, f := range []string{procedure + ".lua", "lib/ramp.lua", "lib/nearblack.lua", "lib/warming.lua", "lib/heating.lua", "lib/decays.lua", "lib/fading.lua", "lib/residue.lua"} {
		src, err := scripts.Files.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		text := string(src)
		if f == file {
			if !strings.Contains(text, from) {
				t.Fatalf("%s holds no %q any more", f, from)
			}
			text = strings.ReplaceAll(text, from, to)
		}
		if err := os.WriteFile(filepath.Join(dir, filepath.Base(f)), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	tr, err := trial.Find(t.Context(), name, scripts.Files)
	if err != nil {
		t.Fatal(err)
	}
	r := runner()
	r.Procedure, r.Seeds = filepath.Join(dir, procedure+".lua"), seeds
	rep, err := r.Run(t.Context(), tr)
	if err != nil {
		t.Fatal(err)
	}
	return rep
}

// rawEnds has the ends of a fitted course read off the first and the last reading.
const rawEnds = `at = function(t)
  local n = #columns.y
  return t == columns.from[1] and columns.y[1] or t == columns.to[n] and columns.y[n] or d:at(t)
end,`

// What warm-up, retention, near-black and banding guard against makes their
// trials fail when it is taken out, one thing at a time.
func TestSpoiltSeriesFail(t *testing.T) {
	for _, tt := range campaign.Part(t, []struct {
		trial, procedure, file, from, to string
		seeds                            int // 0: 2
	}{
		{"warm-up", "warm-up", "warm-up.lua", `grey = p.level }`, `grey = 1 }`, 0},                                                                       // heats what it watches
		{"warm-up", "warm-up", "lib/warming.lua", `if drift > within then`, `if drift > 2 * within then`, 0},                                             // not what was asked
		{"retention", "retention", "retention.lua", `stressed, control, stressed)`, `control, stressed, stressed)`, 0},                                   // reads the wrong place
		{"retention-pq", "retention", "retention.lua", `residue.take_off(series, answer)`, `0`, 0},                                                       // power limiting taken for a residual
		{"retention-weak", "retention", "retention.lua", `clock.now() - shaken >= p.longest_still`, `false`, 0},                                          // content that stands still dims
		{"near-black", "near-black", "near-black.lua", `differences, light - (before + after) / 2`, `differences, light`, 0},                             // no black taken off
		{"near-black", "near-black", "lib/nearblack.lua", `code = code or s.code`, `code = s.code`, 0},                                                   // the last, not the first
		{"banding", "banding", "banding.lua", `ramp.expect(steps, p.neighbours)`, `for _, s in ipairs(steps) do s.expected, s.beside = 4, { s } end`, 0}, // a fixed expectation
		{"banding", "banding", "lib/ramp.lua", `if share > jump then return "jump" end`, ``, 0},
		{"banding-noisy", "banding", "banding.lua", `ramp.plain(again, s.expected, p.merged, p.jump)`, `true`, 4},         // not read again until told
		{"warm-up-slip", "warm-up", "lib/warming.lua", `fits = best.rms <= 2 * noise + 0.0005 * level`, `fits = true`, 0}, // a slip taken for a drift
		{"warm-up-steady", "warm-up", "lib/warming.lua", `if seconds <= fit.first then`, `if seconds < 0 then`, 0},        // a time before the first reading
		{"warm-up-noisy", "warm-up", "lib/warming.lua", `at = function(t) return d:at(t) end,`, rawEnds, 12},              // the drift from two readings
		{"retention-long", "retention", "retention.lua", `look(p, reference)`, `look(p, place)`, 0},                       // no control place
		{"retention-short", "retention", "lib/fading.lua", `off <= share * at.seconds then`, `off >= 0 then`, 4},          // times whatever their uncertainty
	}, 1, 8) {
		t.Run(tt.from, func(t *testing.T) {
			if rep := spoil(t, tt.trial, tt.procedure, tt.file, tt.from, tt.to, max(tt.seeds, 2)); rep.Finding != result.Fail {
				t.Errorf("the trial %s passes a %s with %q in place of %q", tt.trial, tt.procedure, tt.to, tt.from)
			}
		})
	}
	// The harness itself spoils nothing.
	if rep := spoil(t, "near-black", "near-black", "near-black.lua", "after = p.delay", "after = p.delay", 2); rep.Finding != result.Pass {
		tell(t, rep)
		t.Error("the trial near-black fails its own procedure when that is read from a folder")
	}
}

// trialText holds a trial that is written in a test.
func trialText(t *testing.T, text string) *trial.Report {
	t.Helper()
	tr, err := trial.Parse(t.Context(), "here.lua", []byte(text), "")
	if err != nil {
		t.Fatal(err)
	}
	rep, err := runner().Run(t.Context(), tr)
	if err != nil {
		t.Fatal(err)
	}
	return rep
}

// Parameters that leave nothing to conclude from are refused with what to do.
func TestSeriesThatAreTooShort(t *testing.T) {
	for _, text := range []string{
		`return trial { procedure = "warm-up", params = { duration = 300, drift_time = 300 }, refuses = "it must be less than duration", seeds = 1 }`,
		`return trial { procedure = "warm-up", params = { duration = 300, drift_time = 100, period = 60 }, refuses = "it needs 20 or more", seeds = 1 }`,
		`return trial { procedure = "retention", params = { duration = 20, period = 5 }, refuses = "it needs 10 or more", seeds = 1 }`,
		`return trial { procedure = "banding", params = { to = 256 }, refuses = "with 8 bits the last code is 255", seeds = 1 }`,
		`return trial { procedure = "banding", params = { to = 12 }, refuses = "each step is compared with 6 steps on both sides", seeds = 1 }`,
	} {
		if rep := trialText(t, text); rep.Finding != result.Pass {
			tell(t, rep)
			t.Errorf("not refused as expected: %s", text)
		}
	}
}

// What cannot be told is not evaluated, and says why; it is never a number.
func TestSeriesThatCannotTell(t *testing.T) {
	for _, tt := range campaign.Some(t, []struct{ text, id, why string }{
		{`return trial { procedure = "warm-up", params = { duration = 900, white_for = 0 },
			world = { ["warmup.on_for"] = 0, ["warmup.terms"] = { { 4000, 20 } } },
			expect = { ["warm-up-time"] = { truth = 0, within = 1 } }, seeds = 5 }`, "warm-up-time", "still drifted"},
		{`return trial { procedure = "warm-up", params = { white_for = 0 }, world = { ["warmup.on_for"] = 0 },
			faults = { { kind = "slip", at_second = 2000, percent = 97 } },
			expect = { ["warm-up-time"] = { truth = 0, within = 1 } }, seeds = 5 }`, "warm-up-time", "no smooth drift fits"},
		{`return trial { procedure = "warm-up", params = { white_for = 60 }, world = { ["warmup.on_for"] = 0 },
			expect = { ["thermal-dimming"] = { truth = 0, within = 1 } }, seeds = 5 }`, "thermal-dimming", "it needs 15 or more"},
		{`return trial { procedure = "retention", world = { ["retention.terms"] = {} },
			expect = { ["time-constant"] = { truth = 0, within = 1 } }, seeds = 5 }`, "time-constant", "too small"},
		{`return trial { procedure = "near-black", params = { last = 3 }, world = { ["tone.cut_off"] = 0.1 },
			expect = { ["first-step-above-black"] = { truth = 0, within = 1 } }, seeds = 5 }`, "first-step-above-black", "no step up to code 3"},
		{`return trial { procedure = "banding", params = { to = 40 }, world = { ["meter.dark_noise"] = 0.3, ["meter.floor"] = 10 },
			expect = { ["merged-steps"] = { truth = 0, within = 0 } }, seeds = 5 }`, "merged-steps", "noise hides"},
	}, 2) {
		for _, w := range trialText(t, tt.text).Worlds {
			for _, c := range w.Checks {
				if c.ID == tt.id && (c.NotEvaluated != 5 || !strings.Contains(c.Why, tt.why)) {
					t.Errorf("%s: %d of 5 seeds not evaluated, %d wrong, why %q, want all, because %q", tt.id, c.NotEvaluated, c.Wrong, c.Why, tt.why)
				}
			}
		}
	}
}
