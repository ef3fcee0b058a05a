package scripts_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/engine/procedure"
	"candelua/engine/result"
	"candelua/engine/sim"
	"candelua/engine/trial"
	"candelua/engine/uncertainty"
	"candelua/scripts"
	"candelua/testdata/campaign"
)

// Trials are thousands of short runs: as in candelua trial, garbage is collected
// seldom, which takes a third off their time.
func TestMain(m *testing.M) {
	uncertainty.CollectSeldom()
	os.Exit(m.Run())
}

// runner runs trials on the simulated bench.
func runner() *trial.Runner {
	return &trial.Runner{Shipped: scripts.Files, Modules: builtins.Modules(),
		Worlds: func(ref trial.WorldRef) (trial.World, error) { return sim.NewSubject(ref.World, ref.Faults, ref.Dir) }}
}

// Every shipped trial passes. The truths are the simulator's own, without
// noise and with the panel warm; its tests check it against published values.
// The full form has half of them a day, the brief form an eighth, with two seeds each,
// which are among those of the full form.
func TestShippedTrials(t *testing.T) {
	names := trial.Shipped(scripts.Files)
	if len(names) == 0 {
		t.Fatal("no trial is shipped")
	}
	for _, name := range campaign.Part(t, names, len(names)/8, (len(names)+1)/2) {
		t.Run(name, func(t *testing.T) {
			tr, err := trial.Find(t.Context(), name, scripts.Files)
			if err != nil {
				t.Fatal(err)
			}
			r := runner()
			r.Seeds = campaign.Of(t, min(2, tr.Seeds), tr.Seeds)
			rep, err := r.Run(t.Context(), tr)
			if err != nil {
				t.Fatal(err)
			}
			tell(t, rep)
			if r.Seeds == tr.Seeds {
				if rep.Finding != result.Pass {
					t.Errorf("the trial %s failed", name)
				}
				return
			}
			for _, why := range wrongOfFew(rep) {
				t.Error(why)
			}
		})
	}
}

// Each shipped procedure has a trial.
func TestEveryProcedureHasATrial(t *testing.T) {
	tried := map[string]bool{}
	for _, name := range trial.Shipped(scripts.Files) {
		tr, err := trial.Find(t.Context(), name, scripts.Files)
		if err != nil {
			t.Fatal(err)
		}
		tried[tr.Procedure] = true
	}
	for _, name := range procedure.Shipped(scripts.Files) {
		if !tried[name] {
			t.Errorf("scripts/%s.lua has no trial in scripts/trials", name)
		}
	}
}

// wrongOfFew says what is wrong with a trial that was run with a few of its
// seeds. Where all seeds must pass, all of the few must. A share of many says
// nothing of few, neither of those that pass nor of intervals that hold the truth:
// there one must pass, and none may end with an error or lack a value.
func wrongOfFew(rep *trial.Report) (all []string) {
	for _, w := range rep.Worlds {
		least := rep.Seeds
		if rep.Pass < 1 {
			least = 1
		}
		if w.Passed < least || w.Failed > 0 {
			all = append(all, fmt.Sprintf("%s, %s: %d of %d seeds pass and %d end wrongly, want %d or more and none", rep.Trial, w.World, w.Passed, rep.Seeds, w.Failed, least))
		}
		for _, c := range w.Checks {
			if c.Missing > 0 {
				all = append(all, fmt.Sprintf("%s, %s: the value %s is missing in %d seeds", rep.Trial, w.World, c.ID, c.Missing))
			}
			if c.Covers > 0 && c.Intervals < c.Runs-c.NotEvaluated {
				all = append(all, fmt.Sprintf("%s, %s: %d of %d values of %s have an interval", rep.Trial, w.World, c.Intervals, c.Runs-c.NotEvaluated, c.ID))
			}
		}
	}
	return all
}

// The brief form finds what is wrong with each of few runs.
func TestWrongOfFew(t *testing.T) {
	for _, tt := range []struct {
		name string
		pass float64
		w    trial.WorldReport
		want string // "": nothing is wrong
	}{
		{"all pass", 1, trial.WorldReport{Passed: 3}, ""},
		{"one does not", 1, trial.WorldReport{Passed: 2}, "2 of 3 seeds pass"},
		{"one does not, and may", 0.95, trial.WorldReport{Passed: 2}, ""},
		{"none passes", 0.95, trial.WorldReport{}, "0 of 3 seeds pass"},
		{"an error", 0.95, trial.WorldReport{Passed: 2, Failed: 1}, "1 end wrongly"},
		{"a value is missing", 0.95, trial.WorldReport{Passed: 2, Checks: []trial.Check{{ID: "gamma", Runs: 3, Missing: 1}}}, "gamma is missing in 1 seeds"},
		{"few hold the truth", 1, trial.WorldReport{Passed: 3, Checks: []trial.Check{{ID: "gamma", Runs: 3, Covers: 0.75, Intervals: 3, Uncovered: "0 of 3"}}}, ""},
		{"no interval", 1, trial.WorldReport{Passed: 3, Checks: []trial.Check{{ID: "gamma", Runs: 3, Covers: 0.75, Intervals: 2}}}, "2 of 3 values of gamma"},
	} {
		got := strings.Join(wrongOfFew(&trial.Report{Seeds: 3, Pass: tt.pass, Worlds: []trial.WorldReport{tt.w}}), "; ")
		if !strings.Contains(got, tt.want) || (got == "") != (tt.want == "") {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

// In three worlds, a hundred seeds pass: what twenty show is no luck. The brief
// form has four of these seeds, all of which must pass too.
func TestHundredSeeds(t *testing.T) {
	some := []string{"as shipped", "limits from 3 %", "slopes from 0"}
	for _, name := range []string{"window-sweep", "tone-response"} {
		tr, err := trial.Find(t.Context(), name, scripts.Files)
		if err != nil {
			t.Fatal(err)
		}
		tr.Worlds = slices.DeleteFunc(tr.Worlds, func(w trial.NamedWorld) bool { return !slices.Contains(some, w.Name) })
		if len(tr.Worlds) != len(some) {
			t.Fatalf("the trial %s has the worlds %v, want %q among them", name, tr.Worlds, some)
		}
		r := runner()
		r.Seeds = campaign.Of(t, 4, 100)
		rep, err := r.Run(t.Context(), tr)
		if err != nil {
			t.Fatal(err)
		}
		if rep.Finding != result.Pass {
			tell(t, rep)
			t.Errorf("the trial %s failed with %d seeds", name, r.Seeds)
		}
	}
}

// A trial is worth something only where a wrong procedure fails it: what the
// shipped ones guard against is taken out of each, or of its libraries, one at a
// time.
func TestSpoiltProceduresFail(t *testing.T) {
	for _, tt := range campaign.Some(t, []struct{ trial, procedure, from, to string }{
		{"warm-up-interrupted", "warm-up", `function() cool_down(p) end`, `function() end`},
		{"tone-response-interrupted", "tone-response", `on_resume = function(_, pause) rewarm.after(pause) end,`, ``},
		{"window-sweep", "window-sweep", `brightness = { value = "maximum", formerly = { "Brightness" } }`, ``},
		{"window-sweep", "window-sweep", `["automatic brightness"] = { value = "off", formerly = { "Automatic brightness", "Adaptive brightness" } },`, ``},
		{"window-sweep", "window-sweep", `grey = 1, window`, `grey = 0.99, window`},
		{"window-sweep", "window-sweep", `value = peak and peak.mean`, `value = rows[#rows].reading.Y`},
		{"window-sweep", "window-sweep", `if window == 100`, `if window == 70`},
		{"window-sweep-slow", "window-sweep", `meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling }`, `meter.read { after = 2, relative = p.precision }`},
		{"window-sweep-pq", "window-sweep", `window = window, signal = p.signal`, `window = window`},
		{"tone-response", "tone-response", `p.apl == "constant" and tone.background(signal, window, exponent) or 0`, `0`},
		{"tone-response", "tone-response", `fit and fit.slope`, `fit and fit.slope + 0.02`},
		{"tone-response", "tone-response", `value = dark }`, `value = 0.0001, unit = "cd/m2" }`},
		{"tone-response-srgb", "tone-response", `tone.target(p.target, `, `tone.target("power", `},
		{"tone-response-bt1886", "tone-response", `s.signal, white, black)`, `s.signal, white, 0)`},
		{"gamut", "gamut", `space = s.space, diagram = d.key`, `space = s.space, diagram = "uv"`},
		{"gamut", "gamut", `and spanned and 100 * g.coverage`, `and spanned and 100 * g.ratio`},
		{"gamut-noisy", "gamut", `meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling, watch = watch }`, `meter.read { after = p.delay, sync = true }`},
		{"gamut", "gamut", `black = read.black }`, `}`},
		{"gamut", "gamut", `brightness = { value = "maximum", formerly = { "Brightness" } }`, ``},
		{"chart", "chart", `differences.target(p, c.rgb, black / white.Y)`, `differences.target(p, c.rgb, 0)`},
		{"chart", "chart", `differences.target(p, c.rgb,`, `differences.target({ target = "srgb", space = p.space }, c.rgb,`},
		{"chart-bt1886", "chart", `ring.set(p.space, p.colours)`, `ring.set("bt709", p.colours); p.space = "bt709"`},
		{"chart-chromaticity", "chart", `local function compare(p, set, white, black, whites)`, `local function compare(p, set, white, black, whites) p.luminance_counts = true`},
		{"chart-differences", "chart", `all[i]`, `all[i] / 2`},
		{"chart-differences", "chart", `stats.mean(all))`, `stats.median(all) + 0.08)`},
		{"chart-differences", "chart", `stats.percentile(all, 95)`, `stats.percentile(all, 90)`},
		{"chart-differences", "chart", `c.difference > p.threshold`, `c.difference > 2 * p.threshold`},
		{"chart-differences", "chart", `local function compare(p, set, white, black, whites)`, `local function compare(p, set, white, black, whites) p.white = "target"`},
		{"chart-white", "chart", `local function compare(p, set, white, black, whites)`, `local function compare(p, set, white, black, whites) p.white = "measured"`},
		{"chart-white", "chart", `local function compare(p, set, white, black, whites)`, `local function compare(p, set, white, black, whites) p.luminance_counts = true`},
		{"chart-bt1886-dark", "chart", `meter.about().floor) and 0 or`, `meter.about().floor) and 20 * meter.about().floor or`},
		{"chart-slow", "chart", `meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling, watch = watch }`, `meter.read { relative = p.precision }`},
		{"hdr-tracking-dim", "hdr-tracking", `table.insert(off, math.abs(deviation))`, `table.insert(off, deviation)`},
		{"hdr-tracking-dim", "hdr-tracking", `local deviation = 100 * (s.ratio - 1)`, `local deviation = 100 * (s.ratio / level - 1)`},
		{"hdr-tracking-dim", "hdr-tracking", `y = 0.3290, Y = s.target }, b = s.reading }`, `y = 0.3290, Y = s.target }, b = s.reading } / 2`},
		{"hdr-tracking-narrow", "hdr-tracking", `colour.delta_e_itp { a = c.target, b = c.reading }`, `colour.delta_e_itp { a = c.target, b = c.reading } / 2`},
		{"hdr-tracking-narrow", "hdr-tracking", `local strengths = { 1, 0.5 }`, `local strengths = { 0.5 }`},
		{"contrast-low", "contrast", `colour.contrast(white.Y, black.limit or black.Y)`, `(white.Y - black.Y) / black.Y`},
		{"contrast-low", "contrast", `meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling, least = least }`, `meter.read { after = p.delay }`},
		{"contrast-number", "contrast", `local black, white = measure(p, 0, 100, readings_of_black), measure(p, 1, p.window)`,
			`local white = measure(p, 1, p.window) local black = measure(p, 0, 100, readings_of_black)`},
		{"hdr-tracking", "hdr-tracking", `if s.part == "tracking" then`, `if true then`},
		{"hdr-tracking", "lib/rolloff", `s.part = i > last and "roll-off" or i > straight and "knee" or "tracking"`, `s.part = "tracking"`},
		{"hdr-tracking", "hdr-tracking", `value = start, unit`, `value = start and 1.1 * start, unit`},
		{"hdr-tracking", "hdr-tracking", `for i = 1, p.extra_steps do`, `for i = 1, 0 do`},
		{"hdr-tracking-metadata", "hdr-tracking", `bits = p.bits, metadata = metadata_of(p)`, `bits = p.bits, metadata = { mastering_peak = 1000 }`},
		{"hdr-tracking-colours", "lib/pq", `local wide = colour.xyz_to_rgb(xyz, { space = "bt2020"`, `local wide = colour.xyz_to_rgb(xyz, { space = "bt709"`},
		{"hdr-tracking-colours", "lib/pq", `b = light[3] / level, space = "bt2020"`, `b = light[3] / level, space = "p3-d65"`},
		{"contrast", "contrast", `p.reflectance / 100 }`, `p.reflectance / 50 }`},
		{"contrast", "contrast", `colour.contrast(white.Y, black.limit or black.Y)`, `colour.contrast(white.Y, (black.limit or black.Y) / 50)`},
		{"contrast-number", "contrast", `(white.bound or black.bound) and "lower"`, `"lower"`},
		{"window-sweep-meters", "window-sweep", `value = peak and peak.mean`, `value = rows[1].reading.Y`},
		{"window-sweep-meters", "window-sweep", `meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling }`, `meter.read { after = p.delay, relative = p.precision }`},
		{"window-sweep-meters", "window-sweep", `meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling }`, `meter.read { after = p.delay, sync = true }`},
		{"window-sweep-heat", "window-sweep", `clock.wait(p.rest)`, ``},
		{"tone-response-meters", "tone-response", "meter.measure {\n    after = p.delay, relative = p.precision, settle = p.longest_settling, watch = watch,", "meter.read {\n    after = p.delay, relative = p.precision,"},
		{"tone-response-meters", "tone-response", "meter.measure {\n    after = p.delay, relative = p.precision, settle = p.longest_settling, watch = watch,", "meter.read {\n    after = p.delay, sync = true,"},
		{"tone-response-meters", "tone-response", `meter.dark()`, ``},
		{"tone-response-clipped", "lib/tone", `s.excluded, clipped = "clipped", true`, ``},
		{"contrast-meters", "contrast", `if p.dark_level == "take" then meter.dark() end`, ``},
		{"contrast-meters", "contrast", `meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling, least = least }`, `meter.read { after = p.delay, relative = p.precision, least = least }`},
		{"contrast-meters", "contrast", `meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling, least = least }`, `meter.read { after = p.delay, sync = true }`},
		{"gamut-meters", "gamut", `meter.measure { after = p.delay, relative = p.precision, settle = p.longest_settling, watch = watch }`, `meter.read { after = p.delay, relative = p.precision }`},
		{"near-black-meters", "near-black", `, sync = true`, ``},
		{"near-black-meters", "near-black", `if p.dark_level == "take" then meter.dark() end`, ``},
		{"contrast-number", "contrast", `measure(p, 0, 100,`, `measure(p, 0.02, 100,`},
		{"window-sweep-unsettled", "window-sweep", `settle = p.longest_settling`, `settle = 0`},
		{"window-sweep-saturated", "window-sweep", `bound = bound,`, `bound = "upper",`},
		{"tone-response-unsettled", "tone-response", `value = not unsettled and steps[#steps].reading or nil`, `value = steps[#steps].reading`},
		{"contrast-flags", "contrast", `(white.bound or black.bound)`, `black.bound`},
		{"contrast-underfilled", "contrast", `(white.bound or black.bound)`, `black.bound`},
		{"hdr-tracking-flags", "hdr-tracking", `s.excluded = s.doubt or`, `s.excluded =`},
		{"meter-match", "meter-match", `target = four(steady.meter)`, `target = four(steady.reference)`},
		{"meter-match", "lib/matching", `local fixed = correction:apply(t)`, `local fixed = t`},
		{"meter-match-swap", "lib/twometers", `1 / (1 + share * (by[i] - 1))`, `1`},
		{"meter-match-swap", "lib/twometers", `by[i] = by[i] * same`, `by[i] = 1`},
		{"spectrum", "lib/spectra", `-1, height / 2)`, `-1, height / 3)`},
		{"spectrum", "lib/spectra", `math.max(-1, math.min(1, t)) * spectrum.step`, `0`},
		{"meter-health", "meter-health", `100 * (now.Y / p.earlier_luminance - 1)`, `0 * now.Y`},
		{"near-black-flags", "near-black", `if doubt then found`, `if false then found`},
		{"ambient", "lib/room", `return reading.Y - room.reflected(at, dark) end`, `return reading.Y end`},
		{"ambient", "lib/room", `100 * math.pi * stats`, `100 * stats`},
		{"ambient", "lib/room", `local X, Z = grey.X - (at.black.X - own.X), grey.Z - (at.black.Z - own.Z)`, `local X, Z = grey.X, grey.Z`},
		{"ambient", "lib/room", `(at.white, at, dark)`, `(at.white, at, at)`},
		{"ambient", "ambient", `["automatic brightness"] = "off", brightness`, `brightness`},
		{"ambient", "ambient", `{ up[#up - i], at }`, `{ at, up[#up - i] }`},
		{"ambient-interrupted", "ambient", `run.unbroken("automatic brightness on"`, `run.part("automatic brightness on"`},
	}, 8) {
		t.Run(tt.trial+" "+tt.from, func(t *testing.T) {
			src, err := scripts.Files.ReadFile(tt.procedure + ".lua")
			if err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(string(src), tt.from) {
				t.Fatalf("%s.lua holds no %q any more", tt.procedure, tt.from)
			}
			tr, err := trial.Find(t.Context(), tt.trial, scripts.Files)
			if err != nil {
				t.Fatal(err)
			}
			r := runner()
			r.Procedure, r.Seeds = spoiltCopy(t, tr.Procedure, tt.procedure, strings.ReplaceAll(string(src), tt.from, tt.to)), 5
			rep, err := r.Run(t.Context(), tr)
			if err != nil {
				t.Fatal(err)
			}
			if rep.Finding != result.Fail {
				t.Errorf("the trial %s passes a %s with %q in place of %q", tt.trial, tt.procedure, tt.to, tt.from)
			}
		})
	}
}

// spoiltCopy writes a shipped procedure, with a file of it replaced, and gives the path
// of the copy. A library lies beside it, where it goes before the shipped one.
func spoiltCopy(t *testing.T, procedure, file, text string) string {
	t.Helper()
	dir := t.TempDir()
	whole, err := scripts.Files.ReadFile(procedure + ".lua")
	if err != nil {
		t.Fatal(err)
	}
	copied := filepath.Join(dir, procedure+".lua")
	for _, f := range []struct{ path, text string }{{copied, string(whole)}, {filepath.Join(dir, filepath.Base(file)+".lua"), text}} {
		if err := os.WriteFile(f.path, []byte(f.text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return copied
}

// tell logs what a trial came to.
func tell(t *testing.T, rep *trial.Report) {
	t.Helper()
	number := func(x *float64) string {
		if x == nil {
			return "none"
		}
		return result.Number(*x)
	}
	for _, w := range rep.Worlds {
		t.Logf("%s: %s, %d of %d seeds %s", w.World, w.Finding, w.Passed, rep.Seeds, w.Error)
		for _, c := range w.Checks {
			t.Logf("    %s: truth %g, bias %s, scatter %s, worst %s %s; %d wrong, %d not evaluated, %d missing %s %s", c.ID, c.Truth,
				number(c.Bias), number(c.Scatter), number(c.Worst), strings.TrimSpace(c.Unit), c.Wrong, c.NotEvaluated, c.Missing, c.Why, c.Uncovered)
		}
	}
}
