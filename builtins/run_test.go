package builtins

import (
	"math"
	"slices"
	"strings"
	"testing"

	"candelua/engine/bench"
)

func TestParts(t *testing.T) {
	r := newRig()
	r.prints(t, `
print(run.part("outer", function()
  run.unbroken("inner", function() meter.read() end)
  meter.read()
  return 1, nil, "x"
end))
print(pcall(run.part, "fails", function() error("mine", 0) end))
meter.read()`, "1\tnil\tx\nfalse\tmine")
	if want := []string{"outer", "inner (unbroken)", "fails"}; !slices.Equal(r.opened, want) {
		t.Errorf("opened %v, want %v", r.opened, want)
	}
	if want := []bool{false, false, true}; !slices.Equal(r.closed, want) {
		t.Errorf("closed %v, want %v", r.closed, want)
	}
	for i, part := range []string{"inner", "outer", ""} {
		if r.rows[i].Part != part {
			t.Errorf("reading %d is in part %q, want %q", i+1, r.rows[i].Part, part)
		}
	}
	r.fails(t, "run.part('a')", "run.part: run is missing; it must be a function")
	r.fails(t, "run.part(function() end)", "run.part: name is a function; it must be a text")
	err := r.load(t, "run.part('a', function() end)\nreturn procedure { title = 't', purpose = 'p', run = function() end }")
	if err == nil || !strings.Contains(err.Error(), "while the script is loading") {
		t.Errorf("a part while loading: %v", err)
	}
}

func TestDecide(t *testing.T) {
	r := newRig()
	r.prints(t, `
print(run.decide("stop", true), run.decide("at", 12.5), run.decide("word", "low"))
local t = run.decide("table", { 1, { a = "b" } })
print(t[1], t[2].a, next(run.decide("empty", {})))`, "true\t12.5\tlow\n1\tb\tnil")
	if s := r.steps[1]; string(s.Args) != `{"name":"at"}` || s.Device != "" || string(r.answers[1]) != `{"value":12.5}` {
		t.Errorf("the step is %s on %q, answered %s", s.Args, s.Device, r.answers[1])
	}
	const want = "; it must be a finite number, a word, true or false, or a table of them"
	r.fails(t, "run.decide('a', meter.read())", "run.decide: value is a reading"+want)
	r.fails(t, "run.decide('a', 0/0)", "run.decide: value is nan"+want)
	r.fails(t, "run.decide('a', { 1/0 })", "run.decide: value is {inf}"+want)
	r.fails(t, "run.decide('a', print)", "run.decide: value is a function; it must be a number, a word, true or false, or a table of them")
	r.fails(t, "run.decide('a')", "run.decide: value is missing; it must be a number, a word, true or false, or a table of them")
}

// A choice that a function makes is the same step as one that is handed over.
func TestDecideBy(t *testing.T) {
	r := newRig()
	r.prints(t, `
local n = 0
print(run.decide_by("stop", function() n = n + 1 return true end), run.decide_by("at", function() return 12.5, 13 end), n)
print(run.decide_by("table", function() return { 1, { a = "b" } } end)[2].a, run.text_by(function() return "said" end))
local before = math.random() -- of a stream that functions do not draw from`, "true\t12.5\t1\nb\tsaid")
	if s := r.steps[1]; s.Name != "run.decide" || string(s.Args) != `{"name":"at"}` || string(r.answers[1]) != `{"value":12.5}` {
		t.Errorf("the step is %s with %s, answered %s", s.Name, s.Args, r.answers[1])
	}
	const want = "; it must be a finite number, a word, true or false, or a table of them"
	const here = ": cannot be called here; a function that run.decide_by or run.text_by calls only computes and returns what it found; take steps and record results outside of it"
	r.fails(t, "run.decide_by('a', function() return meter.read().Y end)", "meter.read"+here)
	r.fails(t, "run.text_by(function() record.note('x') return 'y' end)", "record.note"+here)
	r.fails(t, "run.decide_by('a', function() return run.part('p', function() return 1 end) end)", "run.part"+here)
	r.fails(t, "run.decide_by('a', function() return run.decide('b', 1) end)", "run.decide"+here)
	r.fails(t, "run.decide_by('a', function() end)", "run.decide_by: by is a function that returns nothing; it must be one that returns the choice")
	r.fails(t, "run.decide_by('a', function() return 0/0 end)", "run.decide_by: value is nan"+want)
	r.fails(t, "run.decide_by('a', function() return print end)", "run.decide_by: value is a function; it must be a number, a word, true or false, or a table of them")
	r.fails(t, "run.decide_by('a', 1)", "run.decide_by: by is 1; it must be a function")
	r.fails(t, "run.text_by(function() return 1 end)", "run.text_by: by is a function that returns no text; it must be one that returns a text")
	r.fails(t, "run.text_by(function() error('own') end)", "own")
	r.prints(t, `pcall(run.decide_by, "x", function() error("no") end) print(meter.read().n)`, "1") // steps may be taken again
}

func order(t *testing.T, seed uint64, name string, n string) string {
	t.Helper()
	r := newRig()
	r.seed = seed
	if err := r.play(t, `local list = {} for i = 1, `+n+` do list[i] = i end
local out = run.shuffle("`+name+`", list)
for i = 1, #list do assert(list[i] == i) end
print(table.concat(out, " "))`); err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(r.printed.String())
}

func TestShuffle(t *testing.T) {
	first := order(t, 1, "patches", "20")
	if again := order(t, 1, "patches", "20"); again != first {
		t.Errorf("the same seed and name give %s and %s", first, again)
	}
	// Pinned: resumed runs of older versions rely on it.
	if want := "5 1 3 4 2"; order(t, 1, "patches", "5") != want {
		t.Errorf("seed 1 gives %s, want %s", order(t, 1, "patches", "5"), want)
	}
	if order(t, 2, "patches", "20") == first || order(t, 1, "other", "20") == first {
		t.Error("another seed or name gives the same order")
	}
	sorted := strings.Fields(first)
	slices.SortFunc(sorted, func(a, b string) int { return len(a)*100 + strings.Compare(a, b) - len(b)*100 })
	if strings.Join(sorted, " ") != "1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20" {
		t.Errorf("%s is no order of the list", first)
	}
	r := newRig()
	r.prints(t, `local a, b = { n = 1 }, meter.read()
local out = run.shuffle("x", { a, b })
print(out[1] == a or out[2] == a, out[1] == b or out[2] == b, #run.shuffle("x", {}))`, "true\ttrue\t0")
	r.fails(t, "run.shuffle('x', { a = 1 })", "run.shuffle: list is a table; it must be a list of values")
	r.fails(t, "run.shuffle('x', 'abc')", `run.shuffle: list is "abc"; it must be a list of values`)
	r.fails(t, "run.shuffle({ 1 })", "run.shuffle: name is {1}; it must be a text")
}

// Each place is as likely for each element: chi-squared of 2000 shuffles of 5.
func TestShuffleIsEven(t *testing.T) {
	r := newRig()
	if err := r.play(t, `local count = {}
for i = 1, 25 do count[i] = 0 end
for n = 1, 2000 do
  for place, x in ipairs(run.shuffle("n" .. n, { 1, 2, 3, 4, 5 })) do
    local i = (place - 1) * 5 + x
    count[i] = count[i] + 1
  end
end
local chi = 0
for i = 1, 25 do chi = chi + (count[i] - 400) ^ 2 / 400 end
record.value { name = "chi", value = chi }`); err != nil {
		t.Fatal(err)
	}
	// 16 degrees of freedom: 39.25 is exceeded once in a thousand.
	// Source: tables of the chi-squared distribution, from memory.
	if chi := *r.results.Values()[0].Value; chi > 39.25 {
		t.Errorf("chi-squared is %v, want under 39.25", chi)
	}
}

func TestRunConstants(t *testing.T) {
	r := newRig()
	r.prints(t, "print(run.mode, run.simulated)", "Dusk\tfalse")
	r.fails(t, "print(run.mod)", `run has no function "mod"; did you mean "mode"?`)
	r.fails(t, "run.mode = 'x'", "run cannot be changed")
}

func TestWait(t *testing.T) {
	r := newRig()
	r.prints(t, "clock.wait(1.5) print(clock.now()) clock.wait(0) print(clock.now())", "1.5\n1.5")
	r.fails(t, "clock.wait(-1)", "clock.wait: seconds is -1; it must be 0 to 604800 s")
	r.fails(t, "clock.wait('5')", `clock.wait: seconds is "5"; it must be 0 to 604800 s`)
	r.fails(t, "clock:wait(5)", "clock.wait is called with a colon")
}

func TestEvery(t *testing.T) {
	for _, c := range []struct{ name, body, want string }{
		{"on time", "clock.every { period = 10, duration = 30, run = function(n, s) meter.read() print(n, s, clock.now()) end }",
			"0\t0\t1\n1\t10\t11\n2\t20\t21\n3\t30\t31"},
		{"late", "local s = clock.every { period = 10, duration = 50, run = function(n) print(n, clock.now()) if n == 1 then clock.wait(25) end end } print(s.ticks, s.skipped)",
			"0\t0\n1\t10\n4\t40\n5\t50\n4\t2"},
		{"just in time", "local s = clock.every { period = 10, duration = 20, run = function(n) print(n) clock.wait(10) end } print(s.ticks, s.skipped)",
			"0\n1\n2\n3\t0"},
		{"past the end", "local s = clock.every { period = 10, duration = 20, run = function(n) print(n) clock.wait(1000) end } print(s.ticks, s.skipped)",
			"0\n1\t2"},
		{"false ends", "local s = clock.every { period = 10, duration = 50, run = function(n) return n < 2 end } print(s.ticks, s.skipped, clock.now())",
			"3\t0\t20"},
		{"other results go on", "local s = clock.every { period = 10, duration = 20, run = function(n) return meter.read() end } print(s.ticks)", "3"},
		{"one tick", "print(clock.every { period = 10, duration = 0, run = function() end }.ticks)", "1"},
		{"the last tick in binary", "print(clock.every { period = 0.1, duration = 0.3, run = function() end }.ticks)", "4"},
		{"a period as short as can be", "local s = clock.every { period = 0.001, duration = 1, run = function() clock.wait(5) end } print(s.ticks, s.skipped)", "1\t1000"},
	} {
		r := newRig()
		r.prints(t, c.body, c.want)
		if !slices.Equal(r.opened, []string{"every (unbroken)"}) || !slices.Equal(r.closed, []bool{false}) {
			t.Errorf("%s: opened %v, closed %v", c.name, r.opened, r.closed)
		}
	}
	r := newRig()
	r.prints(t, "print(pcall(clock.every, { period = 1, duration = 5, run = function(n) if n == 2 then error('mine', 0) end end }))", "false\tmine")
	if !slices.Equal(r.closed, []bool{true}) {
		t.Errorf("left by an error it is closed as %v", r.closed)
	}
	r.fails(t, "clock.every { period = 1e-300, duration = 1, run = print }", "clock.every: period is 1e-300; it must be 0.001 to 86400 s")
	r.fails(t, "clock.every { period = 1, duration = 1 }", "clock.every: run is missing; it must be a function")
	r.fault = bench.Errorf(bench.CodeTimeout, "", "the clock is stuck")
	r.fails(t, "clock.every { period = 1, duration = 1, run = function() end }", "clock.every: the clock is stuck")
}

func TestOperator(t *testing.T) {
	r := newRig()
	r.replies = []bench.Reply{{Text: "yes"}, {Text: "12.5", Number: 12.5}, {Text: "low"}, {Assumed: true}}
	r.prints(t, `operator.confirm("Cover the meter")
print(operator.ask("How far?", { unit = "mm", min = 0, max = 50, example = 12 }))
print(operator.choose("Which?", { "low", "high" }, { example = "high" }))
operator.confirm("Uncover it")`, "12.5\nlow")
	low, high := 0.0, 50.0
	q := r.asked
	if q[0].Kind != bench.Confirm || q[0].Text != "Cover the meter" || q[1].Kind != bench.Number || *q[1].Min != low || *q[1].Max != high ||
		q[1].Unit != "mm" || q[1].Example != "12" || q[2].Kind != bench.Choice || q[2].Example != "high" || !slices.Equal(q[2].Choices, []string{"low", "high"}) {
		t.Errorf("asked %+v", q)
	}
	if want := []bool{true, true, true, false}; !slices.Equal(r.hands, want) {
		t.Errorf("by hand: %v, want %v", r.hands, want)
	}
	r = newRig()
	r.prints(t, `print(operator.choose("Which?", { "low", "high" }))`, "low")
	for body, want := range map[string]string{
		"operator.choose('Which?', {})":                         "operator.choose: choices is empty; it must be one word or more",
		"operator.choose('Which?', { 'a', 'b', 'a' })":          `operator.choose: choices is {"a", "b", "a"}; it must be each word once`,
		"operator.choose('Which?', { 'a' }, { example = 'b' })": `operator.choose: example is "b"; it must be one of the choices, {"a"}`,
		"operator.ask('How far?', { min = 5, max = 1 })":        "operator.ask: max is 1; it must be at least min and example",
		"operator.ask('How far?', { example = 5, max = 1 })":    "operator.ask: max is 1; it must be at least min and example",
		"operator.ask('How far?', { example = 5, min = 6 })":    "operator.ask: example is 5; it must be 6 or more, because min is 6",
		"operator.ask('How far?', { unit = 5 })":                "operator.ask: unit is 5; it must be a text",
		"operator.confirm()":                                    "operator.confirm: text is missing; it must be a text",
		"operator.ask { text = 'How far?' }":                    "operator.ask: text is a table; it must be a text",
	} {
		r.fails(t, body, want)
	}
	r.bench.Operator = nil
	r.fails(t, "operator.confirm('x')", "operator.confirm: the bench has no operator")
}

func TestUnit(t *testing.T) {
	r := newRig()
	r.prints(t, `unit.set { Red = -3, ["Automatic brightness"] = "off", Dusk = true }`, "")
	want := []bench.Setting{{Name: "Automatic brightness", Value: "off"}, {Name: "Dusk", Value: true}, {Name: "Red", Value: -3.0}}
	if !slices.Equal(r.settings[0], want) {
		t.Errorf("set %v, want %v", r.settings[0], want)
	}
	if got := string(r.steps[0].Args); got != `{"Automatic brightness":"off","Dusk":true,"Red":-3}` {
		t.Errorf("kept %s", got)
	}
	for body, want := range map[string]string{
		"unit.set {}":              "unit.set sets nothing",
		"unit.set()":               "unit.set sets nothing",
		"unit.set { Red = 0/0 }":   "unit.set: Red is nan; it must be a finite number",
		"unit.set { Red = { 1 } }": "unit.set: Red is {1}; it must be a word, a number, or true or false",
		"unit.set { Red = print }": "unit.set: Red is a function; it must be a plain value",
		"unit.set { 'Red' }":       "unit.set has a value without a name (1)",
		"unit.set('Red', 5)":       "unit.set takes one table of named arguments",
	} {
		r.fails(t, body, want)
	}
	if len(r.steps) != 1 {
		t.Errorf("%d steps were asked, want 1", len(r.steps))
	}
	r.bench.Unit = nil
	r.fails(t, "unit.set { Red = 1 }", "unit.set: the bench has no unit")
	// What a procedure requires is its first step.
	r = newRig()
	if err := r.load(t, `return procedure { title = 't', purpose = 'p', needs = { meter = {} }, settings = { Red = 2 }, run = function() meter.read() end }`); err != nil {
		t.Fatal(err)
	}
	if r.steps[0].Name != "unit.set" || r.rows[0].Settings["Red"] != 2.0 || math.IsNaN(r.rows[0].Y) {
		t.Errorf("the first step is %s, the reading's settings %v", r.steps[0].Name, r.rows[0].Settings)
	}
}
