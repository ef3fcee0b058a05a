package script

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"candelua/engine/fault"
	"candelua/engine/sandbox"
	"candelua/testdata/campaign"
)

// hostile are ways to put much into a place of a contract: a text that is large by
// itself, a text of ordinary size that stands there many times, many names, many tables,
// and a table that holds others many times over.
var hostile = map[string]string{
	"a long text":      `("x"):rep(8e6)`,
	"shared texts":     `(function() local s, t = ("x"):rep(16000), {} for i = 1, 70000 do t[i] = s end return t end)()`,
	"named texts":      `(function() local s, t = ("x"):rep(16000), {} for i = 1, 70000 do t["n" .. i] = s end return t end)()`,
	"a long name":      `{ [("x"):rep(8e6)] = 1 }`,
	"many names":       `(function() local t = {} for i = 1, 100000 do t["n" .. i] = 1 end return t end)()`,
	"many tables":      `(function() local t = {} for i = 1, 100000 do t[i] = {} end return t end)()`,
	"tables of tables": `(function() local t = { "x" } for _ = 1, 30 do t = { t, t } end return t end)()`,
	"named tables":     `(function() local t = { a = "x" } for _ = 1, 30 do t = { a = t, b = t } end return t end)()`,
	"emptied":          `(function() local t = {} for i = 1, 300000 do t[i] = i end for i = 300000, 1, -1 do t[i] = nil end return t end)()`,
}

// places of a contract, with %s for what is put there.
var places = map[string]string{
	"title":               `title = %s`,
	"purpose":             `purpose = %s`,
	"caution":             `caution = %s`,
	"needs":               `needs = %s`,
	"need":                `needs = { meter = %s }`,
	"settings":            `settings = %s`,
	"setting":             `settings = { Brightness = %s }`,
	"formerly a setting":  `settings = { Brightness = { value = "off", formerly = %s } }`,
	"params":              `params = %s`,
	"param":               `params = { a = %s }`,
	"default":             `params = { a = { default = %s } }`,
	"unit":                `params = { a = { default = 1, unit = %s } }`,
	"help":                `params = { a = { default = 1, help = %s } }`,
	"one_of":              `params = { a = { default = "x", one_of = %s } }`,
	"formerly":            `params = { a = { default = 1, formerly = %s } }`,
	"many params":         `params = (function() local v, t = %s, {} for i = 1, 150 do t["p" .. i] = { default = v } end return t end)()`,
	"many helps":          `params = (function() local v, t = %s, {} for i = 1, 150 do t["p" .. i] = { default = 1, help = v } end return t end)()`,
	"something not there": `nothing = %s`,
	"run":                 `run = %s`,
}

// Whatever a contract is made of, it is small or it is refused, by an error of the usual form
// and length: describing a script costs little, whoever wrote it.
func TestHostileContracts(t *testing.T) {
	type member struct{ place, way string }
	var all []member
	for _, place := range slices.Sorted(maps.Keys(places)) {
		for _, way := range slices.Sorted(maps.Keys(hostile)) {
			all = append(all, member{place, way})
		}
	}
	for _, m := range campaign.Some(t, all, 16) {
		t.Run(m.place+"/"+m.way, func(t *testing.T) {
			put := fmt.Sprintf(places[m.place], hostile[m.way])
			src := "local c = { title = 't', purpose = 'p', run = function() end }\nfor k, v in pairs { " + put + " } do c[k] = v end\nreturn procedure(c)"
			p, err := Compile("h.lua", []byte(src), nil, nil)
			if err != nil {
				t.Fatal(err)
			}
			rt, err := p.Start(guarded(t), Host{})
			if err != nil {
				refused(t, err)
				return
			}
			defer rt.Close()
			if size := len(fmt.Sprint(*rt.Contract())); size > 2*mostContract {
				t.Errorf("the contract has %d bytes", size)
			}
		})
	}
}

// guarded ends what hangs.
func guarded(t *testing.T) context.Context {
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	t.Cleanup(cancel)
	return ctx
}

// refused wants an error about an argument, of a length that can be read, with its line.
func refused(t *testing.T, err error) {
	t.Helper()
	var wrong *fault.ArgError
	switch text := err.Error(); {
	case !errors.As(err, &wrong):
		t.Errorf("ends with %.300s", text)
	case !strings.HasPrefix(text, "h.lua:"):
		t.Errorf("has no line: %.300s", text)
	case len(text)+len(wrong.Tip) > 6000:
		t.Errorf("the error has %d bytes: %.100s", len(text), text)
	}
}

func TestContractLimits(t *testing.T) {
	for _, c := range []struct{ contract, want string }{
		{`title = ("x"):rep(20000)`, `procedure: title is a text of 20000 bytes; it must be a text of 16384 bytes or fewer`},
		{`params = { a = { default = 1, help = ("x"):rep(20000) } }`, `procedure: params.a: help is a text of 20000 bytes; it must be a text of 16384 bytes or fewer`},
		{`params = { [("x"):rep(201)] = { default = 1 } }`, `procedure: params is a table with a key of 201 bytes; it must be a table whose keys have 200 bytes or fewer`},
		{`settings = { [("x"):rep(20000)] = 1 }`, `procedure: settings is a table with a key of 20000 bytes; it must be a table whose keys have 16384 bytes or fewer`},
		{`params = (function() local t = {} for i = 1, 201 do t["p" .. i] = { default = 1 } end return t end)()`, `procedure: params is a table of 201 params; it must be a table of 200 or fewer`},
		{`settings = (function() local t = {} for i = 1, 201 do t["p" .. i] = 1 end return t end)()`, `procedure: settings is a table of 201 settings; it must be a table of 200 or fewer`},
		{`params = { a = { default = (function() local s, t = ("x"):rep(10000), {} for i = 1, 200 do t[i] = s end return t end)() } }`,
			`procedure: params.a is larger than 1048576 bytes; it must be smaller; a text or a table counts each time that it is given`},
	} {
		err := loadError(t, "return procedure { purpose = 'p', run = function() end,\n"+c.contract+func() string {
			if strings.HasPrefix(c.contract, "title") {
				return ""
			}
			return ", title = 't'"
		}()+" }")
		if err == nil || !strings.HasSuffix(err.Error(), c.want) {
			t.Errorf("%s:\n %v\n want %s", c.contract, err, c.want)
		}
	}
}

func loadError(t *testing.T, src string) error {
	t.Helper()
	p, err := Compile("h.lua", []byte(src), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	rt, err := p.Start(guarded(t), Host{})
	if err == nil {
		rt.Close()
	}
	return err
}

// handModule has a builtin of each class, which takes a text and a list and does nothing.
func handModule() *Module {
	type args struct {
		Text string   `lua:"text" default:""`
		List []string `lua:"list" optional:"true"`
		Name string   `lua:"name" default:"" most:"10"`
		Few  []string `lua:"few" optional:"true" most:"3"`
	}
	none := func(*Call, args) (None, error) { return None{}, nil }
	return &Module{Name: "lamp", Funcs: []*Func{
		Pure("lamp.pure", "p", none),
		Output("lamp.say", "o", none),
		Scope("lamp.part", "c", none),
		Step("lamp.ask", "s", func(context.Context, *Call, args) (None, error) { return None{}, nil },
			func(*Call, args, None) (None, error) { return None{}, nil }, LeavesNothing()),
	}}
}

// Each limit has its error, in all classes, wherever in the arguments the text stands.
func TestHandedLimits(t *testing.T) {
	const much = `local s, t = ("x"):rep(%d), {} for i = 1, %d do t[i] = s end `
	for _, c := range []struct{ src, want string }{
		{`lamp.pure { text = ("x"):rep(16384) }`, ``},
		{`lamp.pure { text = ("x"):rep(16385) }`, `lamp.pure: text is a text of 16385 bytes; it must be a text of 16384 bytes or fewer`},
		{`lamp.say { list = { "a", ("x"):rep(16385) } }`, `lamp.say: list[2] is a text of 16385 bytes; it must be a text of 16384 bytes or fewer`},
		{`lamp.ask { name = ("x"):rep(11) }`, `lamp.ask: name is a text of 11 bytes; it must be a text of 10 bytes or fewer`},
		{`lamp.ask { few = { "a", "b", "c", "d" } }`, `lamp.ask: few is a list of 4 values; it must be a list of texts, 3 or fewer`},
		{fmt.Sprintf(much, 16000, 2200) + `lamp.pure { list = t }`, `lamp.pure is larger than 33554432 bytes; it must be smaller; a text or a table counts each time that it is given`},
		{fmt.Sprintf(much, 16000, 300) + `lamp.ask { list = t }`, `lamp.ask is larger than 4194304 bytes; it must be smaller; a text or a table counts each time that it is given`},
		{fmt.Sprintf(much, 16000, 300) + `lamp.say { list = t } lamp.say { list = t }`, `lamp.say: the text of all results is 9600000 bytes; it must be 8388608 bytes or fewer`},
		{fmt.Sprintf(much, 16000, 500) + `for _ = 1, 8 do lamp.part { list = t } end lamp.part { list = t }`, `lamp.part: what all steps were given is 72072576 bytes; it must be 67108864 bytes or fewer in one run`},
	} {
		err := play(t, "h.lua", inRun(c.src), handModule()).err
		if c.want == "" {
			if err != nil {
				t.Errorf("%s: %v", c.src, err)
			}
			continue
		}
		if err == nil || err.Error() != "h.lua:2: "+c.want {
			t.Errorf("%s:\n %.300v\n want h.lua:2: %s", c.src, err, c.want)
		}
	}
}

// A run by older rules takes what it took.
func TestOlderRulesHaveNoLimits(t *testing.T) {
	p, err := CompileBy(3, "h.lua", []byte(inRun(`lamp.say { text = ("x"):rep(1e6) }`)), nil, []*Module{handModule()})
	if err != nil {
		t.Fatal(err)
	}
	rt, err := p.Start(guarded(t), Host{})
	if err != nil {
		t.Fatal(err)
	}
	defer rt.Close()
	if err := rt.Run(Params{}); err != nil {
		t.Error(err)
	}
}

// What is printed, and the message of an error, end in words that say so.
func TestPrintedIsBounded(t *testing.T) {
	var printed strings.Builder
	p, err := Compile("h.lua", []byte(inRun(`for i = 1, 100 do print(("x"):rep(1e5)) end error(("y"):rep(8e6))`)), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	rt, err := p.Start(guarded(t), Host{Print: func(s string) { printed.WriteString(s + "\n") }})
	if err != nil {
		t.Fatal(err)
	}
	defer rt.Close()
	err = rt.Run(Params{})
	if n := printed.Len(); n > mostPrinted+200 || !strings.HasSuffix(printed.String(), "(the rest of what the script prints is left out: at most 1048576 bytes are shown)\n") {
		t.Errorf("printed %d bytes that end in %q", n, printed.String()[max(0, n-100):])
	}
	var e *sandbox.Error
	if !errors.As(err, &e) || len(e.Error()) > mostText+100 || !strings.HasSuffix(e.Error(), "… (the first 16384 of 8000000 bytes)") {
		t.Errorf("ends with %d bytes", len(fmt.Sprint(err)))
	}
}

// Work is charged before it is done, and for the places of an emptied table, too: what a
// call costs grows with what it is given.
func TestHandingOverIsCharged(t *testing.T) {
	spent := func(n int, value string) int64 {
		p, err := Compile("h.lua", []byte(inRun(fmt.Sprintf("local n = %d %s lamp.mark() pcall(lamp.pure, { list = v }) lamp.mark()", n, value))), nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		var marks []int64
		m := handModule()
		m.Funcs = append(m.Funcs, Pure("lamp.mark", "m", func(c *Call, _ None) (None, error) {
			marks = append(marks, c.rt.Charged())
			return None{}, nil
		}))
		p.modules, p.byName = []*Module{m}, map[string]*Module{"lamp": m}
		rt, err := p.Start(guarded(t), Host{})
		if err != nil {
			t.Fatal(err)
		}
		defer rt.Close()
		if err := rt.Run(Params{}); err != nil {
			t.Fatal(err)
		}
		return marks[1] - marks[0]
	}
	for name, value := range map[string]string{
		"texts":      `local v = {} for i = 1, n do v[i] = "x" end`,
		"emptied":    `local v = {} for i = 1, n do v[i] = "x" end for i = n, 1, -1 do v[i] = nil end`,
		"names":      `local v = {} for i = 1, n do v["k" .. i] = "x" end`,
		"taken away": `local v = {} for i = 1, n do v["k" .. i] = "x" end for i = 1, n do v["k" .. i] = nil end`,
	} {
		small, large := spent(1000, value), spent(100_000, value)
		if large < 3*100_000 || large < 50*(small-2000) {
			t.Errorf("%s: %d values cost %d instructions, %d cost %d", name, 1000, small, 100_000, large)
		}
	}
}
