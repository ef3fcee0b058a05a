package trial_test

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"candelua/builtins"
	"candelua/engine/fault"
	"candelua/engine/result"
	"candelua/engine/sandbox"
	"candelua/engine/sim"
	"candelua/engine/trial"
)

// shipped is a procedure that reads white, and trials of it.
var shipped = fstest.MapFS{
	"white.lua": {Data: []byte(`local halve = require "halve"
return procedure { title = "White", purpose = "Luminance of white.", needs = { meter = {}, patches = {} },
  settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" },
  params = { window = { default = 10, min = 1, max = 100, formerly = { "share" } }, words = { default = { "a" } }, signal = { default = "sdr", one_of = { "sdr", "pq" } },
    levels = { default = { 1, 2 } }, sure = { default = false } },
  run = function(p)
    patches.show { grey = 1, window = p.window, signal = p.signal }
    local r = meter.read { after = 2, repeats = 5 }
    record.value { name = "White", value = r }
    record.value { name = "Half", value = halve(r.Y), unit = "cd/m2" }
    record.value { name = "Nothing", why = "it was not looked for" }
  end }`)},
	"lib/halve.lua":    {Data: []byte(`return function(x) return x / 2 end`)},
	"trials/white.lua": {Data: []byte(whiteTrial)},
	"trials/black.lua": {Data: []byte(`return trial { procedure = "white", expect = { white = { truth = "light.black", within = 1 } }, seeds = 3 }`)},
}

const whiteTrial = `return trial { title = "white is found", procedure = "white", params = { window = 4 },
  worlds = { b = { base = "fulmar-55", ["limit.curve"] = {} }, a = { light = { white = 300 } } },
  expect = { white = { truth = { luminance = { window = 4 } }, within = 1, unit = "%" }, half = { truth = { luminance = { window = 4, grey = 1 } }, within = 60, unit = "%" } },
  seeds = 6 }`

func worlds(ref trial.WorldRef) (trial.World, error) {
	return sim.NewSubject(ref.World, ref.Faults, ref.Dir)
}

func runner() *trial.Runner {
	return &trial.Runner{Shipped: shipped, Modules: builtins.Modules(), Worlds: worlds}
}

func parse(t *testing.T, src string) *trial.Trial {
	t.Helper()
	tr, err := trial.Parse(t.Context(), "some.lua", []byte(src), "")
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

func TestFind(t *testing.T) {
	if d := cmp.Diff([]string{"black", "white"}, trial.Shipped(shipped)); d != "" {
		t.Error(d)
	}
	tr, err := trial.Find(t.Context(), "white", shipped)
	if err != nil {
		t.Fatal(err)
	}
	want := &trial.Trial{Name: "white", File: "white.lua", Title: "white is found", Procedure: "white", Params: map[string]any{"window": 4.0},
		Worlds: []trial.NamedWorld{
			{Name: "a", Ref: map[string]any{"light": map[string]any{"white": 300.0}}},
			{Name: "b", Ref: map[string]any{"base": "fulmar-55", "limit.curve": map[string]any{}}},
		},
		Expect: []trial.Expectation{
			{ID: "half", Truth: map[string]any{"luminance": map[string]any{"window": 4.0, "grey": 1.0}}, Within: 60, Unit: "%"},
			{ID: "white", Truth: map[string]any{"luminance": map[string]any{"window": 4.0}}, Within: 1, Unit: "%"},
		}, Seeds: 6, Pass: 1}
	if d := cmp.Diff(want, tr, cmpopts.IgnoreUnexported(trial.Trial{})); d != "" {
		t.Error(d)
	}
	_, err = trial.Find(t.Context(), "whit", shipped)
	wantUsage(t, err, `there is no trial called "whit"`, "did you mean white?")
	_, err = trial.Find(t.Context(), "./no.lua", shipped)
	wantUsage(t, err, "the trial cannot be read: there is no file ./no.lua", "")
}

func wantUsage(t *testing.T, err error, text, hint string) {
	t.Helper()
	if err == nil || !errors.Is(err, fault.ErrUsage) || !strings.Contains(err.Error(), text) || !strings.Contains(fault.HintOf(err), hint) {
		t.Errorf("got %v (hint %q), want wrong use with %q (hint %q)", err, fault.HintOf(err), text, hint)
	}
}

func TestParseRefuses(t *testing.T) {
	const expect = `expect = { white = { truth = 1, within = 1 } }`
	for _, tt := range []struct{ src, want string }{
		{`return 1`, "some.lua: the file does not return a trial"},
		{`return trial {`, "some.lua:1"},
		{`return trial { ` + expect + ` }`, "procedure is missing"},
		{`return trial { procedure = "white", proceduer = 1, ` + expect + ` }`, `trial has no field "proceduer"; did you mean "procedure"?`},
		{`return trial { procedure = "white" }`, "some.lua:1: the trial has neither expect nor refuses; it must have expect"},
		{"return procedure { title = 't' }", "some.lua:1: this file declares a procedure, not a trial"},
		{`return trial { procedure = "white", refuses = "x", ` + expect + ` }`, "both expect and refuses"},
		{`return trial { procedure = "white", world = "default", worlds = { a = "default" }, ` + expect + ` }`, "both world and worlds"},
		{`return trial { procedure = "white", worlds = {}, ` + expect + ` }`, "worlds is empty"},
		{`return trial { procedure = "white", expect = {} }`, "some.lua:1: expect is empty; name at least one value"},
		{`return trial { procedure = "white", seeds = 0, ` + expect + ` }`, "seeds is 0; it must be a whole number from 1 to 100000"},
		{`return trial { procedure = "white", pass = 0, ` + expect + ` }`, "pass is 0; it must be above 0, to 1"},
		{`return trial { procedure = "white", pass = 1.1, ` + expect + ` }`, "pass is 1.1; it must be above 0, to 1"},
		{`return trial { procedure = "white", expect = { white = 3 } }`, `expect["white"] is 3`},
		{`return trial { procedure = "white", expect = { White = { truth = 1, within = 1 } } }`, `"White" is not an id of a value; it must consist of small letters, digits and single hyphens, such as "white"`},
		{`return trial { procedure = "white", expect = { white = { within = 1 } } }`, `expect["white"].truth is missing; it must be a number, the path`},
		{`return trial { procedure = "white", expect = { white = { truth = 1 } } }`, `expect["white"].within is missing; it must be 0 or more`},
		{`return trial { procedure = "white", expect = { white = { truth = 1, within = -1 } } }`, `within is -1; it must be 0 or more`},
		{`return trial { procedure = "white", expect = { white = { truth = 1, within = 1, wihtin = 2 } } }`, `has no field "wihtin"; did you mean "within"?`},
		{`return trial { procedure = "white", expect = { white = { truth = 1, within = 1, bound = "middle" } } }`, `bound is "middle"; it must be one of "upper", "lower"`},
		{`return trial { procedure = "white", expect = { white = { truth = 1, within = 1, or_not_evaluated = 1 } } }`, `or_not_evaluated is 1; it must be true or false`},
		{"return trial { procedure = \"white\",\nexpect = { white = { within = 1,\ntruth = 0/0 } } }", `some.lua:3: expect["white"].truth is nan; it must be a finite number`},
		{"return trial { procedure = \"white\",\nexpect = { white = { within = 1,\ntruth = 1/0 } } }", `some.lua:3: expect["white"].truth is inf; it must be a finite number`},
		{"return trial { procedure = \"white\",\nexpect = { white = { truth = 1,\nwithin = 1/0 } } }", `expect["white"].within is inf; it must be 0 or more`},
		{`return trial { procedure = "white", expect = { white = { truth = 1, within = 0/0 } } }`, `within is nan; it must be 0 or more`},
		{"return trial { procedure = \"white\", expect = { white = { truth = 1, within = 1, bound = \"upper\",\nbound_within = 1/0 } } }", `expect["white"].bound_within is inf; it must be 0 or more`},
		{`return trial { procedure = "white", expect = { white = { truth = 1, within = 1, bound = "upper", bound_within = -1 } } }`, `bound_within is -1; it must be 0 or more`},
		{"return trial { procedure = \"white\", expect = { white = { truth = 1, within = 1,\nbound = \"upper\" } } }", `some.lua:2: expect["white"].bound is "upper" without bound_within; give both`},
		{"return trial { procedure = \"white\", expect = { white = { truth = 1, within = 1,\nbound_within = 1 } } }", `some.lua:2: expect["white"].bound_within is given without bound; give both`},
		{"return trial { procedure = \"white\", expect = { white = { within = 1,\ntruths = { default = 0/0 } } } }", `some.lua:2: expect["white"].truths["default"] is nan; it must be a finite number`},
		{`return trial { procedure = "white", expect = { white = { within = 1, truth = 1, truths = { default = 1 } } } }`, `expect["white"].truths is given beside truth; give one of them`},
		{"return trial { procedure = \"white\", worlds = { a = \"default\", b = \"ideal\" }, expect = { white = { within = 1,\ntruths = { a = 1 } } } }", `some.lua:2: expect["white"].truths has none for the world "b"; give one for each world`},
		{"return trial { procedure = \"white\", worlds = { phone = \"default\" }, expect = { white = { within = 1,\ntruths = { phone = 1, phon = 2 } } } }", `some.lua:2: expect["white"].truths names the world "phon"; it must be one of ["phone"]`},
		{"return trial { procedure = \"white\",\nworlds = {}, expect = { white = { truth = 1, within = 1 } } }", `some.lua:2: worlds is empty`},
		{"return trial { procedure = \"white\",\nexpect = {\nWhite = { truth = 1, within = 1 } } }", `some.lua:3: expect: "White" is not an id`},
	} {
		_, err := trial.Parse(t.Context(), "some.lua", []byte(tt.src), "")
		if err == nil || !strings.Contains(err.Error(), tt.want) || !errors.Is(err, fault.ErrUsage) {
			t.Errorf("%s\n\tgot %v\n\twant wrong use with %q", tt.src, err, tt.want)
		}
	}
}

func TestWorldNames(t *testing.T) {
	for src, want := range map[string]string{
		``:                                "default",
		`world = "fulmar-55",`:            "fulmar-55",
		`world = {},`:                     "default",
		`world = { base = "fulmar-55" },`: "fulmar-55",
		`world = { base = "ideal", ["tone.exponent"] = 2, ["light.white"] = 3 },`: "ideal with light.white, tone.exponent",
	} {
		tr := parse(t, `return trial { procedure = "white", `+src+` expect = { white = { truth = 1, within = 1 } } }`)
		if len(tr.Worlds) != 1 || tr.Worlds[0].Name != want {
			t.Errorf("%s gives the worlds %v, want %q", src, tr.Worlds, want)
		}
	}
}

// Everything that cannot be used is found before the first run.
func TestRunRefuses(t *testing.T) {
	const expect = `expect = { white = { truth = 1, within = 1 } }`
	for _, tt := range []struct{ src, want string }{
		{`procedure = "whit", ` + expect, `some.lua:1: there is no procedure called "whit"`},
		{`procedure = "no/such.lua", ` + expect, `the procedure cannot be read`},
		{`procedure = "white", params = { windo = 2 }, ` + expect, `some.lua:1: params: the procedure has no parameter "windo"; did you mean "window"?`},
		{`procedure = "white", params = { window = 200 }, ` + expect, `window is 200; it must be 1 to 100`},
		{`procedure = "white", params = { window = "4" }, ` + expect, `window is the text "4"; it must be a number, 1 to 100`},
		{`procedure = "white", params = { window = { 4 } }, ` + expect, `window is a list; it must be a number, 1 to 100`},
		{`procedure = "white", params = { levels = 4 }, ` + expect, `levels is 4; it must be a list of numbers`},
		{`procedure = "white", params = { levels = {} }, ` + expect, `levels is a table; it must be a list of numbers`},
		{`procedure = "white", params = { levels = { 1, "2" } }, ` + expect, `levels is a list; it must be a list of numbers`},
		{`procedure = "white", params = { words = { "a,b" } }, ` + expect, `words is a list; it must be a list of texts`},
		{`procedure = "white", params = { sure = "true" }, ` + expect, `sure is the text "true"; it must be true or false`},
		{`procedure = "white", params = { signal = "hdr" }, ` + expect, `signal is "hdr"; it must be one of "sdr", "pq"`},
		{`procedure = "white", params = { share = 200 }, ` + expect, `window is 200; it must be 1 to 100`},
		{`procedure = "white", params = { share = 4, window = 4 }, ` + expect, `some.lua:1: params: window is given twice, as share and as window; give it once, as window`},
		{`procedure = "white", world = "nowhere", ` + expect, `some.lua:1: world "nowhere": there is no world "nowhere"`},
		{`procedure = "white", world = { ["light.whit"] = 2 }, ` + expect, `light has no parameter "whit"`},
		{`procedure = "white", faults = { { at = 3, what = "slip" } }, ` + expect, `has no parameter`},
		{`procedure = "white", expect = { white = { truth = "light.whit", within = 1 } }`, `some.lua:1: world "default": expect["white"]: light has no parameter "whit"`},
		{"procedure = \"white\",\nparams = {\nwindow = 0/0 }, " + expect, "some.lua:3: params: window is nan; it must be 1 to 100"},
		{"procedure = \"white\",\nparams = {\nwindow = 200 }, " + expect, "some.lua:3: params: window is 200"},
		{"procedure = \"white\",\nparams = {\nwindow = 3,\nwindo = 200 }, " + expect, "some.lua:4: params: the procedure has no"},
		{"procedure = \"white\",\nfaults = { { kind = \"slip\" }, { what = \"slip\" } }, " + expect, "some.lua:2: world"},
		{"procedure = \"white\",\nfaults = { { what = \"slip\" } },\nworld = \"nowhere\", " + expect, "some.lua:3: world"},
		{"\nprocedure = \"whit\", " + expect, "some.lua:2: there is no procedure"},
		{"procedure = \"white\",\nworld = \"nowhere\", " + expect, "some.lua:2: world"},
		{"procedure = \"white\",\nworld = { light = { white = 0/0 } }, " + expect, "some.lua:2: world"},
		{"procedure = \"white\",\nworlds = { a = \"default\",\nb = { [\"light.whit\"] = 1 } }, " + expect, "some.lua:3: world \"b\": the world: light has no parameter"},
		{"procedure = \"white\",\nexpect = { white = {\ntruth = \"light.whit\", within = 1 } }", "some.lua:3: world \"default\": expect[\"white\"]: light has"},
		{"procedure = \"white\",\nexpect = { white = {\ntruth = { luminanc = {} }, within = 1 } }", "some.lua:3: world \"default\": expect[\"white\"]: "},
		{"procedure = \"white\", world = { [\"light.black\"] = 0 }, expect = { white = {\ntruth = { contrast = {} }, within = 1 } }", "some.lua:2: world"},
		{`procedure = "white", expect = { white = { truth = 0, within = 1, unit = "%" } }`, `the truth is 0, so within cannot be in percent of it`},
	} {
		_, err := runner().Run(t.Context(), parse(t, `return trial { `+tt.src+` }`))
		if err == nil || !strings.Contains(err.Error(), tt.want) || !errors.Is(err, fault.ErrUsage) {
			t.Errorf("%s\n\tgot %v\n\twant wrong use with %q", tt.src, err, tt.want)
		}
	}
}

// What a trial states of a parameter by its former name is the parameter's.
func TestFormerParameterName(t *testing.T) {
	bright := func(params string) float64 {
		rep, err := runner().Run(t.Context(), parse(t, `return trial { procedure = "white", `+params+`
		  expect = { white = { truth = { luminance = { window = 100 } }, within = 1, unit = "%" } }, seeds = 1 }`))
		if err != nil || len(rep.Notes) > 0 {
			t.Fatal(err, rep)
		}
		return *rep.Worlds[0].Checks[0].Bias
	}
	if now, former, other := bright("params = { window = 100 },"), bright("params = { share = 100 },"), bright(""); now != former || now == other {
		t.Errorf("off by %v with window = 100, by %v with share = 100 and by %v with neither, want the first two alike", now, former, other)
	}
}

// lost is a world that has no finite truth.
type lost struct{ trial.World }

func (lost) Truth(any) (float64, error) { return math.Inf(1), nil }

func TestTruthThatIsNotFinite(t *testing.T) {
	r := runner()
	r.Worlds = func(trial.WorldRef) (trial.World, error) { return lost{}, nil }
	_, err := r.Run(t.Context(), parse(t, "return trial { procedure = \"white\",\nexpect = { white = { truth = \"light.white\", within = 1 } } }"))
	wantUsage(t, err, `some.lua:2: world "default": expect["white"]: the truth is inf; it must be a finite number`, "")
}

// The error for a misspelt id names the one that was probably meant.
func TestMisspeltID(t *testing.T) {
	r := runner()
	r.Seeds = 1
	rep, err := r.Run(t.Context(), parse(t, `return trial { procedure = "white", expect = { whit = { truth = 1, within = 1 } } }`))
	if err != nil {
		t.Fatal(err)
	}
	if c := rep.Worlds[0].Checks[0]; c.Missing != 1 || !strings.Contains(c.Why, "did you mean white? (it recorded white, half, nothing)") {
		t.Errorf("%+v, want it missing and white to be named", c)
	}
}

// All kinds of parameters reach the procedure as the trial states them.
func TestParamsReachTheProcedure(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "proc.lua"), `return procedure { title = "P", purpose = "p",
  params = { n = { default = 1 }, list = { default = { 1 } }, words = { default = { "x" } }, word = { default = "w" }, yes = { default = false } },
  run = function(p)
    assert(p.word == "a=b, c" and p.yes == true and p.words[2] == "z" and #p.list == 3)
    record.value { name = "Sum", value = p.n + p.list[1] + p.list[2] + p.list[3] }
  end }`)
	tr, err := trial.Parse(t.Context(), filepath.Join(dir, "t.lua"), []byte(`return trial { procedure = "./proc.lua", seeds = 1,
  params = { n = 0.1, list = { 1e-7, 20, 3 }, words = { "y", "z" }, word = "a=b, c", yes = true },
  expect = { sum = { truth = 23.1000001, within = 1e-12 } } }`), dir)
	if err != nil {
		t.Fatal(err)
	}
	rep, err := runner().Run(t.Context(), tr)
	if err != nil {
		t.Fatal(err)
	}
	if rep.Finding != result.Pass {
		t.Errorf("%+v", rep.Worlds)
	}
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// A world's file lies beside the trial's.
func TestWorldBesideTheTrial(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "dim.toml"), "format = 1\n[light]\nwhite = 90.0\n")
	write(t, filepath.Join(dir, "t.lua"), `return trial { procedure = "white", world = { base = "dim.toml", ["light.black"] = 0.5 }, seeds = 2,
  expect = { white = { truth = "light.white", within = 1, unit = "%" } } }`)
	tr, err := trial.Find(t.Context(), filepath.Join(dir, "t.lua"), shipped)
	if err != nil {
		t.Fatal(err)
	}
	rep, err := runner().Run(t.Context(), tr)
	if err != nil {
		t.Fatal(err)
	}
	if c := rep.Worlds[0].Checks[0]; rep.Finding != result.Pass || c.Truth != 90 {
		t.Errorf("%s, truth %v; want it to pass with 90", rep.Finding, c.Truth)
	}
}

// The same seeds give the same report, whatever the number of workers.
func TestWorkersDoNotMatter(t *testing.T) {
	tr, err := trial.Find(t.Context(), "white", shipped)
	if err != nil {
		t.Fatal(err)
	}
	var first *trial.Report
	for _, workers := range []int{1, 2, 3, 50, 0} {
		r := runner()
		r.Workers = workers
		var told []int
		r.Progress = func(done, total int) {
			if total != 12 {
				t.Errorf("%d runs in all, want 12", total)
			}
			told = append(told, done)
		}
		rep, err := r.Run(t.Context(), tr)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff([]int{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}, told); d != "" {
			t.Errorf("%d workers, progress: %s", workers, d)
		}
		if first == nil {
			first = rep
		}
		if d := cmp.Diff(first, rep); d != "" {
			t.Errorf("%d workers: %s", workers, d)
		}
	}
	white := first.Worlds[0].Checks[1]
	if first.Finding != result.Pass || white.ID != "white" || white.Passed != 6 || *white.Scatter <= 0 || *white.Worst == 0 {
		t.Errorf("white: %+v, want six different readings that pass", white)
	}
	if half := first.Worlds[0].Checks[0]; half.Passed != 6 || *half.Bias > -49 || *half.Bias < -51 {
		t.Errorf("half of white is %v %% from white, want -50", *half.Bias)
	}
}

// Fewer seeds are the first of the many.
func TestSeeds(t *testing.T) {
	tr := parse(t, whiteTrial)
	r := runner()
	r.Seeds = 2
	rep, err := r.Run(t.Context(), tr)
	if err != nil {
		t.Fatal(err)
	}
	if rep.Seeds != 2 || rep.Worlds[0].Checks[0].Runs != 2 || tr.Seeds != 6 {
		t.Errorf("%d seeds, %d runs, and the trial has %d; want 2, 2 and still 6", rep.Seeds, rep.Worlds[0].Checks[0].Runs, tr.Seeds)
	}
}

// Wrong procedures fail, each in its own way.
func TestWrongProceduresFail(t *testing.T) {
	const head = `return procedure { title = "W", purpose = "w", needs = { meter = {}, patches = {} }, `
	const set = `settings = { ["Automatic brightness"] = "off", ["Brightness"] = "maximum" }, `
	for _, tt := range []struct {
		name, src string
		check     func(w trial.WorldReport) bool
	}{
		{"forgets the settings", head + `run = function() patches.show { grey = 1, window = 4 } record.value { name = "White", value = meter.read { after = 2 } } end }`,
			func(w trial.WorldReport) bool { return w.Checks[1].Wrong == 4 }},
		{"shows a grey", head + set + `run = function() patches.show { grey = 0.98, window = 4 } record.value { name = "White", value = meter.read { after = 2 } } end }`,
			func(w trial.WorldReport) bool { return w.Checks[1].Wrong == 4 && *w.Checks[1].Bias < -3 }},
		{"concludes nothing", head + `run = function() record.value { name = "White", why = "no time" } end }`,
			func(w trial.WorldReport) bool {
				return w.Checks[1].NotEvaluated == 4 && w.Checks[1].Why == "no time" && w.Checks[0].Missing == 4
			}},
		{"raises an error", head + `run = function() error("lost count") end }`,
			func(w trial.WorldReport) bool {
				return w.Failed == 4 && w.ErrorSeed == 1 && strings.Contains(w.Error, "lost count") && w.Checks[1].Runs == 0
			}},
		{"asks for what the unit has not", head + `settings = { Sharpness = 3 }, run = function() end }`,
			func(w trial.WorldReport) bool { return w.Failed == 4 && strings.Contains(w.Error, "Sharpness") }},
		{"loads while it runs", head + `run = function() require "halve" end }`,
			func(w trial.WorldReport) bool {
				return w.Failed == 4 && strings.Contains(w.Error, "loaded while the procedure runs")
			}},
		{"waits for ever", head + `run = function() while true do clock.wait(3600) end end }`,
			func(w trial.WorldReport) bool { return w.Failed == 4 && strings.Contains(w.Error, "48 hours") }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			write(t, filepath.Join(dir, "wrong.lua"), tt.src)
			r := runner()
			r.Procedure, r.Seeds = filepath.Join(dir, "wrong.lua"), 4
			rep, err := r.Run(t.Context(), parse(t, whiteTrial))
			if err != nil {
				t.Fatal(err)
			}
			w := rep.Worlds[0]
			if rep.Finding != result.Fail || w.Finding != result.Fail || w.Passed != 0 || !tt.check(w) {
				t.Errorf("%s: %+v", rep.Finding, w)
			}
			if len(rep.Notes) != 1 || rep.Notes[0] != "the procedure has no parameter window; the trial's value for it is ignored" {
				t.Errorf("notes %q, want one of the window", rep.Notes)
			}
		})
	}
}

// A procedure that works for ever is stopped by its budget. One run is enough,
// for the budget takes seconds to use up.
func TestEndlessProcedureFails(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "p.lua"), `return procedure { title = "P", purpose = "p", run = function() while true do end end }`)
	tr, err := trial.Parse(t.Context(), "t.lua", []byte(`return trial { procedure = "./p.lua", seeds = 1, expect = { v = { truth = 1, within = 1 } } }`), dir)
	if err != nil {
		t.Fatal(err)
	}
	rep, err := runner().Run(t.Context(), tr)
	if err != nil {
		t.Fatal(err)
	}
	if w := rep.Worlds[0]; rep.Finding != result.Fail || !strings.HasPrefix(w.Error, "p.lua:1: ") {
		t.Errorf("%s: %+v", rep.Finding, w)
	}
}

// Another procedure's parameters are checked like the trial's own.
func TestOtherProcedure(t *testing.T) {
	r := runner()
	r.Procedure = "whit"
	_, err := r.Run(t.Context(), parse(t, whiteTrial))
	wantUsage(t, err, `there is no procedure called "whit"`, "did you mean white?")

	dir := t.TempDir()
	r.Procedure = filepath.Join(dir, "p.lua")
	write(t, r.Procedure, `return procedure { title = "P", purpose = "p", params = { window = { default = 50, min = 50, max = 100 } }, run = function() end }`)
	_, err = r.Run(t.Context(), parse(t, whiteTrial))
	wantUsage(t, err, "window is 4; it must be 50 to 100", "")

	write(t, r.Procedure, `return procedure {`)
	var in *sandbox.Error
	if _, err = r.Run(t.Context(), parse(t, whiteTrial)); !errors.As(err, &in) || in.File != "p.lua" {
		t.Errorf("got %v, want an error in p.lua", err)
	}
}

// A trial can want a refusal.
func TestRefuses(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "p.lua"), `return procedure { title = "P", purpose = "p", needs = { meter = {}, patches = {} }, params = { window = { default = 1 } },
  run = function(p) patches.show { grey = 1, window = p.window } if p.window < 2 then error("the window is too small") end end }`)
	for src, want := range map[string]result.Finding{
		`params = { window = 1 }, refuses = "too small"`: result.Pass,
		`params = { window = 1 }, refuses = "too large"`: result.Fail,
		`params = { window = 9 }, refuses = "too small"`: result.Fail,
	} {
		tr, err := trial.Parse(t.Context(), "t.lua", []byte(`return trial { procedure = "./p.lua", seeds = 2, `+src+` }`), dir)
		if err != nil {
			t.Fatal(err)
		}
		rep, err := runner().Run(t.Context(), tr)
		if err != nil {
			t.Fatal(err)
		}
		if rep.Finding != want || (want == result.Fail) != (rep.Worlds[0].Error != "") || len(rep.Worlds[0].Checks) != 0 {
			t.Errorf("%s: %s %q, want %s", src, rep.Finding, rep.Worlds[0].Error, want)
		}
	}
}

// Each world is held to its own truth, of any kind, and to no other's.
func TestTruthsOfWorlds(t *testing.T) {
	tr := parse(t, `return trial { procedure = "white", seeds = 2,
  worlds = { a = { light = { white = 300 } }, b = { light = { white = 700 } }, c = "default" },
  expect = { white = { truths = { a = 300, b = "light.white", c = { luminance = { window = 10 } } }, within = 2, unit = "%" } } }`)
	rep, err := runner().Run(t.Context(), tr)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{300, 700, 480} {
		if c := rep.Worlds[i].Checks[0]; math.Abs(c.Truth-want) > 1e-9 || c.Passed != 2 {
			t.Errorf("world %s: truth %v, %d of 2 passed; want %v and all", rep.Worlds[i].World, c.Truth, c.Passed, want)
		}
	}
	tr = parse(t, "return trial { procedure = \"white\", seeds = 1, expect = { white = { within = 1,\ntruths = { default = \"light.whit\" } } } }")
	_, err = runner().Run(t.Context(), tr)
	wantUsage(t, err, `some.lua:2: world "default": expect["white"]: light has no parameter "whit"`, "")
}

// A trial that is stopped gives the cause and no report.
func TestStop(t *testing.T) {
	stop := errors.New("enough")
	for _, workers := range []int{1, 2} {
		ctx, cancel := context.WithCancelCause(t.Context())
		r := runner()
		r.Workers, r.Seeds = workers, 1000
		most := 0
		r.Progress = func(done, _ int) {
			if most = done; done == 3 {
				cancel(stop)
			}
		}
		rep, err := r.Run(ctx, parse(t, whiteTrial))
		if rep != nil || !errors.Is(err, stop) {
			t.Errorf("got %v, %v; want the cause %q", rep, err, stop)
		}
		if most > 3+workers {
			t.Errorf("%d runs were ended after the third, with %d workers", most-3, workers)
		}
		cancel(nil)
	}
}

func TestStopWhileReading(t *testing.T) {
	ctx, cancel := context.WithCancelCause(t.Context())
	stop := errors.New("enough")
	cancel(stop)
	if _, err := trial.Find(ctx, "white", shipped); !errors.Is(err, stop) || errors.Is(err, fault.ErrUsage) {
		t.Errorf("reading: %v, want the cause", err)
	}
	if _, err := runner().Run(ctx, parse(t, whiteTrial)); !errors.Is(err, stop) {
		t.Errorf("preparing: %v, want the cause", err)
	}
}
