package engine_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"candelua/builtins"
	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/script"
	"candelua/engine/sim"
	"candelua/testdata/campaign"
)

// witness is a module by which a script tells the test what it sees.
type witness struct {
	sync.Mutex
	told map[int][]string // by the draw's number; notDrawn: in the last execution that is no draw
}

const notDrawn = -100 // of the run and its replays

type tellArgs struct {
	Text string `lua:"text" pos:"1" help:"what is seen"`
}

func (w *witness) tell(c *script.Call, a tellArgs) (script.None, error) {
	n := notDrawn
	if d := c.Host().Draws; d != nil {
		n = d.Number
	}
	w.Lock()
	defer w.Unlock()
	w.told[n] = append(w.told[n], a.Text)
	return script.None{}, nil
}

func (w *witness) modules() []*script.Module {
	return append(builtins.Modules(), &script.Module{Name: "probe", Help: "Tells the test.",
		Funcs: []*script.Func{script.Pure("probe.tell", "tells the test", w.tell)}})
}

// fresh forgets what was told, and gives it.
func (w *witness) fresh() []string {
	w.Lock()
	defer w.Unlock()
	all := w.told[notDrawn]
	w.told = map[int][]string{}
	return all
}

// seeing is a procedure with a body that tells what it sees, by the module "see".
func seeing(t testing.TB, body string) *procedure.Procedure {
	library := get(os.ReadFile("testdata/see.lua"))(t)
	p := sourceOf(`local see = require "see"
return procedure {
  title = "T", purpose = "P", needs = { meter = { spectrum = "optional", dark = "optional" }, reference = {}, patches = { sequence = "optional" },
    unit = { power = true }, rig = { lamps = { "front" }, lux = true, place = true, turn = true }, operator = {} },
  on_resume = function() see.plain("resumed", function() return meter.about() end) end,
  run = function()
` + body + `
  end,
}
`)
	p.Find = func(name string) ([]byte, error) {
		if name == "see.lua" {
			return library, nil
		}
		return nil, os.ErrNotExist
	}
	return p
}

// sees runs a procedure, replays it and makes draws, and holds what the script saw in each
// against what it saw in the run. like makes of a line what must be the same. stop is the read before
// which the run is interrupted once; 0: none.
func sees(t *testing.T, f *faults, p *procedure.Procedure, stop int, like func(string) string) (run []string) {
	t.Helper()
	w := &witness{told: map[int][]string{}}
	s := simSpec(t, p)
	s.Out, s.Openers, s.Modules = memoryDir(t), f.openers(), w.modules()
	ctx, cancel := context.WithCancelCause(context.Background())
	defer cancel(nil)
	read := f.read
	f.read = func(n int) error {
		if n == stop {
			cancel(play.ErrInterrupted)
		}
		return read(n)
	}
	rep, err := engine.Run(ctx, s)
	must(t, err)
	if stop > 0 && rep.Status == journal.Paused {
		w.fresh()
		rep, err = engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: s.Setup, Reopen: f.reopen})
		must(t, err)
	}
	if rep.Status != journal.Done {
		t.Fatalf("the run is %s: %v", rep.Status, rep.Err)
	}
	run = w.fresh()
	if read := func(line string) bool { return strings.Contains(line, "gave 2; true; reading: ") }; !slices.ContainsFunc(run, read) {
		t.Fatal("the script told of no reading")
	}
	same := func(who string, told []string) {
		t.Helper()
		for i := range max(len(run), len(told)) {
			switch {
			case i >= len(told):
				t.Fatalf("%s: tells %d lines of %d; it lacks %s", who, len(told), len(run), run[i])
			case i >= len(run):
				t.Fatalf("%s: tells more: %s", who, told[i])
			case like(told[i]) != like(run[i]):
				t.Fatalf("%s: sees\n%s\nand the run saw\n%s", who, told[i], run[i])
			}
		}
	}
	set := plain()
	set.Modules = w.modules()
	again, err := engine.Replay(context.Background(), rep.Path, set)
	must(t, err)
	if len(again.Differences) > 0 {
		t.Fatalf("a replay differs: %v", again.Differences)
	}
	same("a replay", w.fresh())

	many := manyOf(t, rep.Path, p, w.modules())
	get(many.Look(context.Background()))(t)
	const draws = 4
	var all sync.WaitGroup
	for number := range draws {
		once := func() {
			if once, err := many.Once(context.Background(), number); once.Results == nil || err != nil {
				t.Errorf("draw %d: %+v, %v", number, once, err)
			}
		}
		if number < 2 {
			once()
		} else {
			all.Go(once)
		}
	}
	all.Wait()
	for number := script.Look; number < draws; number++ {
		same(fmt.Sprint("draw ", number), w.told[number])
	}
	return run
}

func manyOf(t testing.TB, path string, p *procedure.Procedure, modules []*script.Module) *play.Many {
	h := get(history.Read(journalOf(t, path)))(t)
	loaded := get(procedure.Load(context.Background(), p, modules))(t)
	return get(play.NewJob(loaded.Program, h).Many(false))(t)
}

// without is a meter of which no error is known, whose readings are all alike, and whose every
// third read fails.
func without() *faults {
	return &faults{
		both:  true,
		light: func(s *bench.Sample) { s.X, s.Y, s.Z = 95.04, 100, 108.88 },
		id:    func(id *bench.Identity) { id.Accuracy = bench.Accuracy{} },
		world: func(w *sim.Params) { w.ExactMeters(); w.Rig.LuxNoise = 0 },
		read: func(n int) error {
			if n%3 == 0 {
				return bench.Errorf(bench.CodeBadReading, "read again", "the meter gave no reading, number %d", n)
			}
			return nil
		},
	}
}

func asIs(line string) string { return line }

// steps are calls of all steps and outputs, which a script may make, and others that tell much.
var seenCalls = []string{
	`meter.read()`, `meter.read { repeats = 1, spectrum = true }`, `meter.read { after = 1 }`, `meter.read { at = { 0.2, 0.3 } }`, `meter.read { repeats = 0 }`,
	`meter.settle { over = 2, timeout = 3, every = 1 }`, `meter.settle { over = 2, timeout = 1 }`, `meter.dark()`, `meter.about()`, `meter.named("reference").read()`,
	`patches.show { grey = 0.5, window = 10 }`, `patches.show { rgb = { 1, 0, 0 } }`, `patches.show { window = 180 }`, `patches.black()`,
	`patches.sequence { { grey = 1, hold = 1 }, { grey = 0, hold = 2 } }`, `patches.sequence {}`,
	`unit.set { Brightness = 50 }`, `unit.set { Nonsense = 1 }`, `unit.off()`, `unit.on()`,
	`rig.set("front", 0.5)`, `rig.set("nowhere", 1)`, `rig.turn(30)`, `rig.place { 0.3, 0.3 }`, `rig.lux()`,
	`operator.confirm("do it")`, `operator.ask { "how much", unit = "lx" }`, `operator.choose("which", { "a", "b" })`,
	`clock.wait(3)`, `clock.wait(-1)`, `clock.now()`, `clock.every { period = 2, duration = 6, run = function(tick, s) see.all("tick", tick, s) end }`,
	`record.value { name = "A", value = 1 }`, `record.value { name = "A", value = 2 }`, `record.value { name = "B", value = r, unit = "s" }`, `record.value { name = "C", value = r }`,
	`record.value { name = "D", value = 0/0 }`, `record.value { name = "E", text = "x" }`, `record.table("T", { { "x" } })`, `record.table("T", { { "x" } })`, `t:add { y = 1, z = 2 }`,
	`t:add { z = 1 }`, `t:add { n = 3, y = r.Y }`, `t:column("y")`, `t:at("y", { n = 3 })`, `t:len()`, `record.plot { table = t, x = "n", y = { "y" } }`,
	`record.note("a note")`, `record.note("")`, `record.distribution { title = "D", values = { 1, 2, 3 } }`, `record.chromaticity { title = "C" }`, `record.correction { name = "k" }`,
	`run.part("p", function() return meter.read() end)`, `run.part("q", function() error("inside") end)`, `run.unbroken("u", function() return clock.now() end)`,
	`run.decide("d", { a = { 1, 2 }, b = "x" })`, `run.decide("e", function() end)`, `run.shuffle("s", { 1, 2, 3, 4 })`, `run.guard { patch = { grey = 1 }, within = 50, every = 0 }`,
	`run.decide_by("g", function() return { 1, "x" } end)`, `run.decide_by("h", function() return meter.read().Y end)`, `run.decide_by("i", function() error("no") end)`,
	`run.decide_by("j", function() local own = 7 return own end)`, `run.text_by(function() return "said" end)`, `run.text_by(function() return 1 end)`, `run.text_by(function() record.note("x") return "y" end)`,
	`(function() local d = run.decide("f", { a = { 1, 2 } }) d.a[1] = d.a[1] + 1 return d end)()`,
	`(function() local x = meter.read { spectrum = true } x.spectrum.values[1] = 5 x.flags.drifting = true return x end)()`,
	`math.random()`, `math.random(6)`, `tostring {}`, `tostring(print)`, `tostring(meter)`, `tostring(meter.read)`, `print("said", r, t)`, `run.mode`, `run.simulated`, `run.nothing`, `r.nothing`, `nothing`,
	`(function() n = (rawget(_G, "n") or 0) + 1 return n end)()`, `(function() math.mine = (math.mine or 0) + 1 return math.mine end)()`, `(function() see.mine = (see.mine or 0) + 1 return see.mine end)()`,
	`(function() meter.read = 1 end)()`, `pairs(meter)`, `next(getmetatable("") or {})`, `collectgarbage and collectgarbage("count")`, `os and os.clock()`, `require "nothing"`, `require("see").calls`,
	`string.rep("x", 1e9)`, `("x"):rep(1000)`, `setmetatable({}, { __tostring = function() return 1 end })`, `error { code = 1 }`, `assert(false)`, `assert(nil, "no")`, `select(-5)`,
}

var seenWays = []string{"plain", "handled", "again", "worded", "part", "unbroken", "raised"}

// seenArgs are what builtins are given, that may be right or wrong.
var seenArgs = []string{`r`, `s`, `1`, `0.5`, `100`, `6500`, `-1`, `0`, `0/0`, `1/0`, `"x"`, `"d65"`, `"bt709"`, `""`, `true`, `{}`, `{ 1, 2, 3 }`, `{ 3, 5, 4, 9, 8 }`, `{ r, s }`,
	`{ X = 95, Y = 100, Z = 108 }`, `{ x = 0.3, y = 0.3, Y = 10 }`, `{ red = { x = 0.64, y = 0.33, Y = 1 } }`, `function() return 1 end`, `t`, `colour.list { r, s }`, `r.spectrum`, `meter`, `print`}

// anyCall is a call of a declared builtin with arguments that may be right or wrong.
func anyCall(rng *rand.Rand, all []script.Doc) string {
	pick := func(from []string) string { return from[rng.IntN(len(from))] }
	d := all[rng.IntN(len(all))]
	name := d.Name
	if _, method, is := strings.Cut(d.Name, ":"); is {
		name = "(" + pick([]string{"t", "colour.list { r, s }", "r"}) + "):" + method
	}
	var places, named []string
	for _, a := range d.Args {
		switch value := pick(seenArgs); {
		case a.Place > 0:
			places = append(places, value)
		case regexp.MustCompile(`^\w+$`).MatchString(a.Name) && (a.Required || rng.IntN(4) == 0):
			named = append(named, fmt.Sprintf("[%q] = %s", a.Name, value))
		}
	}
	if rng.IntN(6) == 0 {
		named = append(named, "unheard_of = 1")
	}
	if len(named) > 0 {
		return name + " { " + strings.Join(append(places, named...), ", ") + " }"
	}
	return name + "(" + strings.Join(places, ", ") + ")"
}

// seeingBody is a script that makes these calls, in any of the ways.
func seeingBody(rng *rand.Rand, calls []string) string {
	var b strings.Builder
	b.WriteString(`    patches.show { grey = 1, window = 10 }
    local function sure(request)
      for _ = 1, 3 do
        local ok, reading = pcall(meter.read, request)
        if ok then return reading end
      end
    end
    local r, s = sure { after = 1 }, sure {}
    local t = record.table("Rows", { { "n" }, { "y" } })
    see.all("has read", true, r)
    see.plain("fails", function() return meter.read { after = 1 } end)
`)
	for i, call := range calls {
		way := seenWays[rng.IntN(len(seenWays))]
		fmt.Fprintf(&b, "    see.%s(%q, function() return %s end)\n", way, fmt.Sprint(i, " ", way), call)
		if direct := byPcall.FindStringSubmatch(call); direct != nil && rng.IntN(2) == 0 {
			fmt.Fprintf(&b, "    see.direct(%q, %s)\n", fmt.Sprint(i, " by pcall itself"), strings.TrimSuffix(direct[1]+", "+direct[2], ", "))
		}
	}
	return b.String()
}

// byPcall is a call of a builtin that pcall itself can make: its function and its arguments.
var byPcall = regexp.MustCompile(`^(\w+\.\w+)\(([^()]*)\)$`)

// TestDrawsSeeWhatTheRunSaw: where no error of a reading is known, a draw changes nothing, and
// all that a script can see in it is what it saw in the run, to the last digit: messages with their places,
// the order of pairs, names of tables, times, counts, what module tables hold, identities. So it is
// in a replay, and of a run that was interrupted. The scripts make all calls that are declared, in right and
// in wrong ways. No generated function of run.decide_by changes something outside of itself on which no result hangs: draws may
// leave it out ([TestDecidedBy]).
func TestDrawsSeeWhatTheRunSaw(t *testing.T) {
	var docs []script.Doc
	for _, m := range builtins.Modules() {
		for _, f := range m.Funcs {
			docs = append(docs, f.Doc())
		}
	}
	t.Run("all", func(t *testing.T) {
		rng := rand.New(rand.NewPCG(1, 1))
		calls := slices.Clone(seenCalls)
		for i := range docs {
			calls = append(calls, anyCall(rng, docs[i:i+1]), anyCall(rng, docs[i:i+1]))
		}
		sees(t, without(), seeing(t, seeingBody(rng, calls)), 0, asIs)
	})
	for seed := range campaign.Of(t, 6, 150) {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			rng := rand.New(rand.NewPCG(uint64(seed), 2))
			var calls []string
			for range 40 {
				if rng.IntN(3) == 0 {
					calls = append(calls, anyCall(rng, docs))
				} else {
					calls = append(calls, seenCalls[rng.IntN(len(seenCalls))])
				}
			}
			stop := 0
			if seed%2 == 1 {
				stop = 1 + rng.IntN(6)
			}
			sees(t, without(), seeing(t, seeingBody(rng, calls)), stop, asIs)
		})
	}
}

// withErrors is a meter with errors of every kind, whose light drifts in each reading by just about
// what is told as a drift, and whose every third read fails.
func withErrors() *faults {
	f := without()
	f.id = func(id *bench.Identity) { id.Accuracy = bench.Accuracy{Scale: 2, XY: 0.004, Dark: 0.5, Drift: 0.1} }
	rng, began := rand.New(rand.NewPCG(3, 3)), time.Duration(0)
	f.light = func(s *bench.Sample) {
		if s.Began-began > 5*time.Second { // another reading
			began = s.Began
		}
		drift := 1 + 0.003*(1+0.004*rng.Float64())*(s.Began-began).Seconds()/4.4
		s.X, s.Y, s.Z = 95.04*drift, 100*drift, 108.88*drift
	}
	return f
}

// numbers are masked in what is told, but for lines of scripts.
var numbersOrLines = regexp.MustCompile(`\.lua:\d+|-?\d+(\.\d+)?(e[-+]?\d+)?`)

func masked(line string) string {
	return numbersOrLines.ReplaceAllStringFunc(line, func(s string) string {
		if strings.HasPrefix(s, ".lua") {
			return s
		}
		return "#"
	})
}

// TestDrawsChangeNumbersAlone: where errors are drawn, a draw changes numbers, and nothing else: no flag
// of a reading, no field that is there or is not, no message, no count.
func TestDrawsChangeNumbersAlone(t *testing.T) {
	for seed := range campaign.Of(t, 3, 60) {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			rng := rand.New(rand.NewPCG(uint64(seed), 4))
			var calls []string
			for range 40 {
				if rng.IntN(2) == 0 {
					calls = append(calls, `clock.wait(5)`, `meter.read { repeats = 5 }`)
				} else {
					calls = append(calls, seenCalls[rng.IntN(len(seenCalls))])
				}
			}
			run := sees(t, withErrors(), seeing(t, seeingBody(rng, calls)), 0, masked)
			if !slices.ContainsFunc(run, func(line string) bool { return strings.Contains(line, "drifting=true") }) {
				t.Error("no reading drifts")
			}
		})
	}
}

// TestDrawsOfOlderRules: the draws of a run of rules before 4 are as they were, so that its
// replay finds the uncertainties that it recorded: messages lack their places.
func TestDrawsOfOlderRules(t *testing.T) {
	p := seeing(t, `
    meter.read()
    for _ = 1, 2 do see.plain("twice", function() record.value { name = "A", value = 1 } end) end`)
	w := &witness{told: map[int][]string{}}
	s := simSpec(t, p)
	s.Modules = w.modules()
	path := ran(t, s, journal.Done).Path
	for rules, place := range map[int]bool{3: false, history.Rules: true} {
		h := get(history.Read(journalOf(t, path)))(t)
		job := play.NewJob(get(procedure.Load(context.Background(), p, s.Modules))(t).Program, h)
		job.Head.Rules = rules
		w.fresh()
		get(get(job.Many(false))(t).Look(context.Background()))(t)
		if told := strings.Join(w.told[script.Look], "\n"); strings.Contains(told, "is already recorded at probe.lua:9") != place || !strings.Contains(told, "is already recorded") {
			t.Errorf("rules %d: %s", rules, told)
		}
	}
}
