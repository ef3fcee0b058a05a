package builtins

import (
	"context"
	"errors"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/script"
	"candelua/testdata/campaign"
)

// prelude makes what arguments are made of, n of each.
const prelude = `
local function list(f) local t = {} for i = 1, n do t[i] = f(i) end return t end
local function xyz(i) return { X = 40 + i % 7, Y = 50 + i % 5, Z = 60 + i % 3 } end
local function stimuli() return list(xyz) end
local function triples() local t = {} for i = 1, 3 * n do t[i] = 40 + i % 7 end return t end
local function ring() return list(function(i) return { x = 0.3 + 0.1 * math.cos(6.28 * i / n), y = 0.3 + 0.1 * math.sin(6.28 * i / n) } end) end
local function falling() return list(function(i) return 100 * math.exp(-3 * i / n) + i % 3 end) end
local function ramp() return list(function(i) return i end) end
local function same(x) return list(function() return x end) end
local function named() local t = {} for i = 1, n do t["name " .. i] = i end return t end
local function filled() local t = record.table("t" .. n, { { "a" }, { "b" }, { "c" } }) for i = 1, n do t:add { a = i, b = i, c = i } end return t end
local reading = meter.read()
local function spectral() local m = math.max(n, 50) local v = {} for i = 1, m do v[i] = i % 9 + 1 end return { from = 380, step = math.max(0.02, 400 / m), values = v } end
local function apart() return list(function(i) return { X = 40 + 30 * (i % 2), Y = 20 + 25 * (i % 3), Z = 2 + 18 * (i % 5) } end) end
local function cube()
  local signals, colours, k = {}, {}, math.max(2, math.floor(n ^ (1 / 3)))
  for r = 0, k - 1 do for g = 0, k - 1 do for b = 0, k - 1 do
    signals[#signals + 1], colours[#colours + 1] = { r / (k - 1), g / (k - 1), b / (k - 1) }, { X = 1 + 40 * r + 30 * g + 20 * b, Y = 1 + 20 * r + 70 * g + 10 * b, Z = 1 + 2 * r + 10 * g + 90 * b }
  end end end
  return { signals = signals, colours = colours }
end
local four = function(d) return { red = { X = 41, Y = 21 + d, Z = 2 }, green = { X = 36, Y = 72, Z = 12 }, blue = { X = 18, Y = 7, Z = 95 }, white = { X = 95, Y = 100 + d, Z = 109 } } end
local correction = function() return colour.matrix_correction { reference = { { X = 40, Y = 20, Z = 2 }, { X = 35, Y = 70, Z = 12 }, { X = 18, Y = 7, Z = 95 } }, target = { { X = 41, Y = 20, Z = 2 }, { X = 35, Y = 71, Z = 12 }, { X = 18, Y = 7, Z = 96 } } } end
`

// objects says how a script comes by each object that is an argument.
var objects = map[string]string{
	"reading":                `reading`,
	"recorded table":         `filled()`,
	"guard":                  `run.guard { patch = { grey = 1 }, within = 1 }`,
	"decay":                  `stats.decay { from = ramp(), to = ramp(), y = falling() }`,
	"correction":             `correction()`,
	"colour list":            `colour.list(stimuli())`,
	"packed list of numbers": `colour.delta_e2000 { a = triples(), b = triples(), packed = true }`,
}

// shapes are plain values for arguments that take any, by a word of what they want.
var shapes = []struct {
	want string
	are  []string
}{
	{"spectrum", []string{`spectral()`}},
	{"a list of chromaticities", []string{`ring()`, `same({ x = 0.3, y = 0.3 })`}},
	{"a list of", []string{`stimuli()`, `triples()`, `colour.list(stimuli())`, `same(reading)`}},
	{"or a list of colours", []string{`stimuli()`, `triples()`}},
	{"or a list of stimuli", []string{`stimuli()`, `triples()`}},
	{"RGB", []string{`"bt709"`}},
	{"colour.space", []string{`"bt709"`}},
	{"three, from 0 to 1", []string{`0.5`, `{ 0.5, 0.5, 0.5 }`}},
	{"three, from 0 to 2", []string{`1`}},
	{"column", []string{`"b"`, `{ "b", "c" }`}},
	{"d65", []string{`"d65"`}},
	{"text", []string{`texts()`, `"a"`}},
	{"colour.four_colour", []string{`correction()`}},
	{"Lab", []string{`{ L = 50, a = 1, b = 1 }`}},
	{"I=, Ct=", []string{`{ I = 0.5, Ct = 0, Cp = 0 }`}},
	{"", []string{`1`, `reading`, `xyz(1)`, `{ x = 0.31, y = 0.33 }`, `{ u = 0.2, v = 0.47 }`, `list(function(i) return "name " .. i end)`, `"d65"`, `"a"`, `named()`}},
}

var numberLists = []string{`ramp()`, `falling()`, `same(1)`, `list(function(i) return i / n end)`, `list(function(i) return i % 2 * 2e300 - 1e300 end)`,
	`list(function(i) return 1 + i * 1e-15 end)`, `list(function(i) return i % 2 end)`}

// maker writes arguments by their declarations, the large way.
type maker struct{ r *rand.Rand }

// optional is how often, of 100 times, an argument is given that may be left out.
const optional = 30

func (m *maker) one(of []string) string { return of[m.r.IntN(len(of))] }

func (m *maker) field(f *declare.Field) string {
	if f.OneOf != nil && f.Typ.Kind() == reflect.String {
		return fmt.Sprintf("%q", m.one(f.OneOf))
	}
	return m.value(f, f.Typ)
}

func (m *maker) value(f *declare.Field, t reflect.Type) string {
	switch t.Kind() {
	case reflect.Pointer:
		if t.Elem().Kind() == reflect.Struct {
			if x, ok := objects[declare.NameOf(t)]; ok {
				return x
			}
		}
		return m.value(f, t.Elem())
	case reflect.Float64, reflect.Int:
		return m.number(f, t.Kind() == reflect.Int)
	case reflect.Bool:
		return m.one([]string{"true", "false"})
	case reflect.String:
		if f.OneOf != nil {
			return fmt.Sprintf("%q", m.one(f.OneOf))
		}
		return m.one([]string{`"a"`, `"b"`, `("x"):rep(200)`})
	case reflect.Array:
		return "{" + strings.TrimSuffix(strings.Repeat(m.number(f, false)+",", t.Len()), ",") + "}"
	case reflect.Slice:
		return m.list(f, t.Elem())
	case reflect.Map:
		return m.one([]string{`{ a = 1, b = 1 }`, `named()`})
	case reflect.Interface:
		var fit []string
		for _, s := range shapes {
			if strings.Contains(f.Want(), s.want) {
				fit = append(fit, s.are...)
			}
		}
		return m.one(fit)
	case reflect.Struct:
		switch t {
		case reflect.TypeFor[declare.Function]():
			return `function() end`
		case reflect.TypeFor[declare.Value]():
			return `{}`
		}
		return m.table(declare.For(t))
	}
	panic(fmt.Sprintf("no argument of type %s is generated yet; add it to maker.value", t))
}

func (m *maker) number(f *declare.Field, whole bool) string {
	choices := []float64{1, 5, 100}
	if !whole {
		choices = append(choices, 0.3, 1e9, 5e-324, 1e308)
	}
	for _, limit := range []*float64{f.Min, f.Max} {
		if limit != nil {
			choices = append(choices, *limit, *limit)
		}
	}
	choices = slices.DeleteFunc(choices, func(x float64) bool { return f.Min != nil && x < *f.Min || f.Max != nil && x > *f.Max })
	if len(choices) == 0 {
		return declare.Number((*f.Min + *f.Max) / 2)
	}
	return declare.Number(choices[m.r.IntN(len(choices))])
}

func (m *maker) list(f *declare.Field, elem reflect.Type) string {
	switch {
	case elem.Kind() == reflect.Float64:
		return m.one(numberLists)
	case elem.Kind() == reflect.String:
		return m.one([]string{`list(function(i) return "name " .. i end)`, `{ "a", "b" }`})
	case elem.Kind() == reflect.Slice && elem.Elem().Kind() == reflect.String:
		return `{ { "a" }, { "b" } }`
	case elem.Kind() == reflect.Slice && elem.Elem().Kind() == reflect.Float64:
		return `list(function(i) return { i / n, 0.5, 1 - i / n } end)`
	case elem.Kind() == reflect.Interface:
		return m.one([]string{`stimuli()`, `ring()`, `{ "bt709", "p3-d65" }`, `same(reading)`})
	}
	return fmt.Sprintf("same(%s)", m.value(f, elem))
}

// table writes named arguments: the required ones, and each other one half of the time.
func (m *maker) table(p *declare.Plan) string {
	var parts []string
	for i := range p.Fields {
		f := &p.Fields[i]
		switch {
		case i == p.Self || slices.Contains(p.Positional, i):
		case i == p.Rest:
			parts = append(parts, `a = 1, b = 1`)
		case !f.AbsentAllowed() || m.r.IntN(100) < optional:
			parts = append(parts, fmt.Sprintf("[%q] = %s", f.Name, m.field(f)))
		}
	}
	return "{ " + strings.Join(parts, ", ") + " }"
}

// call writes a call of a builtin: what is called, and with what.
func (m *maker) call(f *script.Func) (fn, args string) {
	p := f.Plan()
	var parts []string
	fn = f.Name
	if p.Self >= 0 {
		self, ok := objects[declare.NameOf(p.Fields[p.Self].Typ)]
		if !ok {
			panic(fmt.Sprintf("no %s is made yet; add it to objects", declare.NameOf(p.Fields[p.Self].Typ)))
		}
		_, method, _ := strings.Cut(f.Name, ":")
		parts, fn = append(parts, self), "a[1]."+method
	}
	for _, i := range p.Positional {
		parts = append(parts, m.field(&p.Fields[i]))
	}
	if len(p.Positional)+len(parts) < len(p.Fields) || p.Rest >= 0 {
		parts = append(parts, m.table(p))
	}
	return fn, "{ " + strings.Join(parts, ", ") + " }"
}

// cost is what some calls came to.
type cost struct {
	work     int64         // that was charged for all of them
	took     time.Duration // by the processor, of the thread
	accepted bool
	failure  string
}

// attempt is a call and what it is given.
type attempt struct{ fn, args string }

// measure makes the same call some times, with arguments that hold n of everything.
func (a attempt) measure(t testing.TB, n, times int) (c cost) {
	t.Helper()
	runtime.LockOSThread() // of which the time is measured
	defer runtime.UnlockOSThread()
	r := newRig()
	r.light = func(float64) bench.Sample { return bench.Sample{X: 95, Y: 100, Z: 109, Colour: true} }
	r.about = bench.Identity{Name: "Tern Street filter", Serial: "TF-04"}
	r.bench.Patches = newTimed(r)
	r.bench.Rig = ableSurround{fakeSurround: newSurround(r)}
	src := fmt.Sprintf(`return procedure { title = "t", purpose = "p", %s run = function()
local n = %d
%s
local a = %s
local f = %s
probe.mark(true, "")
local ok, e
for _ = 1, %d do ok, e = pcall(f, unpack(a)) end
probe.mark(ok, tostring(e):sub(1, 200))
end }`, allNeeds, n, prelude, a.args, a.fn, times)
	var rt *script.Runtime
	var before int64
	var began time.Duration
	started := false
	type markArgs struct {
		OK   bool   `lua:"ok" pos:"1"`
		Text string `lua:"text" pos:"2"`
	}
	probe := &script.Module{Name: "probe", Funcs: []*script.Func{script.Pure("probe.mark", "marks", func(_ *script.Call, a markArgs) (script.None, error) {
		if !started {
			started, before, began = true, rt.Charged(), threadTime()
			return script.None{}, nil
		}
		c = cost{rt.Charged() - before, threadTime() - began, a.OK, a.Text}
		return script.None{}, nil
	})}}
	program, err := script.Compile("test.lua", []byte(src), nil, append(Modules(), probe))
	if err != nil {
		t.Fatalf("%v in:\n%s", err, src)
	}
	ctx, cancel := context.WithTimeoutCause(t.Context(), time.Minute, errors.New("the calls do not end"))
	defer cancel()
	if rt, err = program.Start(ctx, r.host()); err != nil {
		t.Fatal(err)
	}
	defer rt.Close()
	if err := rt.Run(script.Params{}); err != nil {
		c.failure = err.Error()
	}
	if context.Cause(ctx) != nil {
		t.Errorf("%s(%s): %v", a.fn, a.args, context.Cause(ctx))
	}
	return c
}

// spoken are arguments of builtins of which the parts must fit together in ways that the
// declaration does not tell.
var spoken = map[string][]string{
	"patches.sequence":         {`{ same({ grey = 0.5, hold = 1 }) }`},
	"run.decide_by":            {`{ "d", function() return 1 end }`},
	"run.text_by":              {`{ function() return "said" end }`},
	"record.correction":        {`{ { name = "c", correction = correction(), meter = "meter", reference = "reference" } }`},
	"record.table":             {`{ "t", { { "a" }, { "b" } } }`},
	"record.plot":              {`{ { table = filled(), x = "a", y = { "b", "c" } } }`},
	"colour.mesh_volume":       {`{ cube() }`},
	"colour.four_colour":       {`{ { reference = four(0), target = four(0.1) } }`},
	"colour.matrix_correction": {`{ { reference = apart(), target = apart() } }`},
	"colour.lab":               {`{ stimuli(), { white = xyz(1) } }`, `{ triples(), { white = xyz(1) } }`},
	"colour.luv":               {`{ xyz(2), { white = xyz(1) } }`},
	"colour.delta_e2000":       {`{ { a = triples(), b = triples() } }`},
	"colour.delta_e94":         {`{ { a = triples(), b = triples() } }`},
	"colour.delta_e_uv":        {`{ { a = xyz(2), b = xyz(3), white = xyz(1) } }`},
	"colour.delta_lch":         {`{ { a = xyz(2), b = xyz(3), white = xyz(1) } }`},
	"colour.delta_lch2000":     {`{ { a = xyz(2), b = xyz(3), white = xyz(1) } }`},
	"colour.additivity":        {`{ { red = xyz(1), green = xyz(2), blue = xyz(3), white = xyz(5) } }`},
	"colour.resample":          {`{ spectral(), { from = 400, to = 700, step = 1 } }`},
	"stats.decay":              {`{ { from = ramp(), to = ramp(), y = falling() } }`},
	"stats.kernel_mean":        {`{ { x = ramp(), values = falling(), width = 3 } }`},
}

// notHere are builtins that this bench of fakes refuses.
var notHere = []string{"meter.dark", "patches.pattern", "unit.off", "unit.on"}

// attempts writes calls of a builtin, those that are accepted first.
func attempts(t testing.TB, f *script.Func) (accepted, refused []attempt) {
	h := fnv.New64a()
	h.Write([]byte(f.Name))
	m := &maker{rand.New(rand.NewPCG(1, h.Sum64()))}
	try := func(a attempt) {
		if a.measure(t, 12, 1).accepted {
			accepted = append(accepted, a)
		} else {
			refused = append(refused, a)
		}
	}
	for _, args := range spoken[f.Name] {
		try(attempt{f.Name, args})
	}
	for n := 0; n < 60 && len(accepted) < 2; n++ {
		fn, args := m.call(f)
		try(attempt{fn, args})
	}
	return accepted, refused[:min(len(refused), 2)]
}

// ofMany says that a call is given lists of which the length is up to the script.
func (a attempt) ofMany() bool {
	for _, word := range []string{"ramp()", "falling()", "same(", "list(", "triples()", "stimuli()", "ring()", "named()", "spectral()", "apart()", "cube()"} {
		if strings.Contains(a.args, word) {
			return true
		}
	}
	return false
}

// constant are builtins whose work does not depend on how much their object holds, or their
// table: a plot is drawn when the run has ended, and of so many points.
var constant = []string{"record.plot", "table:add", "table:len", "numbers:at", "colours:at", "decay:at", "decay:u_at", "decay:u_change", "decay:crossing", "correction:apply"}

// Every builtin charges for what it does: for each call, and in proportion to what it is
// given or looks through. What is refused is charged for, too. A new builtin is among them.
func TestEveryCallIsCharged(t *testing.T) {
	var all []*script.Func
	for _, m := range Modules() {
		all = append(all, m.Funcs...)
	}
	for _, f := range campaign.Some(t, all, 14) {
		t.Run(f.Name, func(t *testing.T) {
			accepted, refused := attempts(t, f)
			if len(accepted) == 0 && !slices.Contains(notHere, f.Name) {
				t.Errorf("no call is accepted; write one into spoken; %s fails with %s", refused[0].args, refused[0].measure(t, 12, 1).failure)
			}
			for _, a := range append(accepted, refused...) {
				const times = 20
				if c := a.measure(t, 12, times); c.work < 50*times {
					t.Errorf("%d calls with %s cost %d instructions", times, a.args, c.work)
				}
			}
			for _, a := range accepted {
				small, large := a.measure(t, 1000, 1), a.measure(t, 5000, 1)
				if !a.ofMany() || slices.Contains(constant, f.Name) || !small.accepted || !large.accepted {
					continue
				}
				if large.work < 5000 || large.work < 4*(small.work-1000) {
					t.Errorf("%s: with 1000 of each it costs %d instructions, with 5000 %d", a.args, small.work, large.work)
				}
			}
		})
	}
}

// How long an instruction's worth of work takes, of each builtin, with little and with much.
func BenchmarkCharged(b *testing.B) {
	for _, m := range Modules() {
		for _, f := range m.Funcs {
			accepted, refused := attempts(b, f)
			for i, a := range append(accepted, refused...) {
				for _, size := range [][2]int{{12, 300}, {20_000, 2}} {
					b.Run(fmt.Sprintf("%s/%d/%d", f.Name, i, size[0]), func(b *testing.B) {
						var work, took float64
						for range b.N {
							c := a.measure(b, size[0], size[1])
							work, took = work+float64(c.work), took+float64(c.took)
						}
						b.ReportMetric(took/max(work, 1), "ns/instruction")
						b.ReportMetric(took/1e6, "ms")
						b.ReportMetric(0, "ns/op")
						b.Log(a.args)
					})
				}
			}
		}
	}
}
