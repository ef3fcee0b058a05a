package scripted

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"runtime"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"candelua/engine/bench"
	"candelua/engine/driver/link"
	"candelua/engine/fault"
)

// talker answers each line as a function says; what it answers is sent as it is.
type talker func(question string) string

func (talker) next(came []byte) ([]byte, []byte) { return nextLine(came, "\n") }
func (talker) reads([]byte) bool                 { return false }
func (talker) reading(int, string) []byte        { return nil }
func (f talker) other(q []byte) []byte           { return []byte(f(string(q))) }

// reads opens a meter whose function read has a body, and reads once. The instrument answers as told.
func reads(t *testing.T, body string, f talker) (bench.Sample, error) {
	t.Helper()
	src := "return driver { kind = \"meter\", title = \"Stint\",\n about = function() return { name = \"Stint\" } end,\n read = function(link, ask)\n" + body + "\nend }"
	e := &emulator{protocol: f}
	e.start()
	t.Cleanup(e.stop)
	device, err := open(t, bench.KindMeter, src, section("stint", "tcp:bench:1", time.Second, 0), inMemory(e), nil)
	if err != nil {
		t.Fatal(err)
	}
	return read(device.(bench.Meter))
}

// TestFunctions is what the functions of the link give a driver, and how their failures end.
func TestFunctions(t *testing.T) {
	echo := func(q string) string { return q + "\n" }
	for _, c := range []struct {
		name, body string
		talker
		want float64
		says string // of an error
		took time.Duration
	}{
		{"a line", `link:write("7\n") return { Y = tonumber(link:line()) }`, echo, 7, "", 0},
		{"carriage return and line feed", `link:write("7\n") return { Y = #link:line() }`, func(string) string { return "abc\r\n" }, 3, "", 0},
		{"ends as stated", `link:write("7\n") return { Y = #link:line { ends = "\n" } }`, func(string) string { return "abc\r\n" }, 4, "", 0},
		{"ends with two bytes", `link:write("7\n") return { Y = #link:line { ends = "\r>" } }`, func(string) string { return "ab\rc\r>" }, 4, "", 0},
		{"bytes as they are", `link:write("\000\255\n") return { Y = select("#", link:bytes(3):byte(1, -1)) }`, echo, 3, "", 0},
		{"a byte above 127", `return { Y = link:ask("\200\n"):byte() }`, echo, 200, "", 0},
		{"ask", `return { Y = tonumber(link:ask("8\n")) }`, echo, 8, "", 0},
		{"two writes belong together", `link:write("1\n") link:wait(0.1) link:write("2\n") return { Y = 10 * link:line() + link:line() }`, echo, 12, "", 100 * time.Millisecond},
		{"what was not read is dropped", `link:ask("1\n") link:wait(0.1) return { Y = tonumber(link:ask("2\n")) }`, func(q string) string { return q + "\n5\n6\n" }, 2, "", 100 * time.Millisecond},
		{"flush", `link:write("1\n") link:wait(0.1) link:flush() link:write("2\n") return { Y = tonumber(link:line()) }`, echo, 2, "", 100 * time.Millisecond},
		{"wait", `link:wait(0.5) return { Y = 1 }`, echo, 1, "", 500 * time.Millisecond},
		{"the request's time", `pcall(link.line, link) return { Y = 1 }`, echo, 0, "stint.lua:4: link:line: the answer to read did not come within 1 s", time.Second},
		{"a time of its own", `pcall(link.line, link, { timeout = 0.2 }) return { Y = 1 }`, echo, 0, "stint.lua:4: link:line: the answer's line did not come within 0.2 s", 200 * time.Millisecond},
		{"a longer time of its own", `link:line { timeout = 5 }`, echo, 0, "stint.lua:4: link:line: the answer to read did not come within 1 s", time.Second},
		{"bytes in time", `link:bytes(3, { timeout = 0.2 })`, echo, 0, "stint.lua:4: link:bytes: the answer's bytes did not come within 0.2 s", 200 * time.Millisecond},
		{"a wait beyond the request", `pcall(link.wait, link, 2) return { Y = 1 }`, echo, 0, "stint.lua:4: link:wait: the answer to read did not come within 1 s", time.Second},
		{"asking without end", `while true do link:ask("1\n") end`, func(q string) string { time.Sleep(10 * time.Millisecond); return "1\n" }, 0, "stint.lua:4: link:ask: the answer to read did not come within 1 s", time.Second},
		{"refused", `refused("no light")`, echo, 0, "stint.lua:4: the instrument reports: no light", 0},
		{"refused and caught", `pcall(refused, "no light") return { Y = 1 }`, echo, 1, "", 0},
		{"working without end", `while true do end`, echo, 0, "stint.lua:4: too many instructions without a step: 10000000", 0},
		{"a mistake", `return { Y = nil + 1 }`, echo, 0, "stint.lua:4: attempt to compute nil + number", 0},
		{"an unknown name", `return { Y = tonumbr("1") }`, echo, 0, "stint.lua:4: unknown name 'tonumbr'; did you mean 'tonumber'?", 0},
		{"an unknown function of the link", `link:lines()`, echo, 0, `stint.lua:4: link has no "lines"; did you mean "line"?`, 0},
		{"a dot", `link.line()`, echo, 0, "stint.lua:4: link:line is called with a dot", 0},
		{"a wrong argument", `link:line { timeout = "1" }`, echo, 0, `stint.lua:4: link:line: timeout is "1"; it must be above 0, to 3600 s`, 0},
		{"an empty end", `link:line { ends = "" }`, echo, 0, `stint.lua:4: link:line: ends is a text of 0 bytes; it must be a text of 1 to 16 bytes`, 0},
		{"an empty end, before anything is sent", `pcall(link.ask, link, "1\n", { ends = "" }) return { Y = tonumber(link:ask("2\n")) }`, echo, 2, "", 0},
		{"an unknown argument", `link:line { end_ = "" }`, echo, 0, `stint.lua:4: link:line has no argument "end_"; did you mean "ends"?`, 0},
		{"an unknown field of ask", `return { Y = ask.expected }`, echo, 0, `stint.lua:4: ask of read has no "expected"; did you mean "expect"?`, 0},
		{"nothing", ``, echo, 0, "stint.lua:3: read: what it returned is nil; it must be a table", 0},
		{"a number", `return 7`, echo, 0, "stint.lua:3: read: what it returned is 7; it must be a table", 0},
		{"an unknown field", `return { Lv = 7 }`, echo, 0, `stint.lua:3: read: the table has no field "Lv"`, 0},
		{"a text", `return { Y = "7" }`, echo, 0, `stint.lua:3: read: Y is "7"; it must be a number in cd/m2`, 0},
		{"an unknown flag", `return { Y = 7, flags = { "sunny" } }`, echo, 0, `stint.lua:3: read: flags[1] is "sunny"; it must be one of "below_floor"`, 0},
		{"no Y", `return { x = 0.3, y = 0.3 }`, echo, 0, "stint.lua:3: read: the reading has no luminance Y", 0},
		{"only one of x and y", `return { Y = 7, x = tonumber(link:ask("0.3\n")) }`, echo, 0, `stint.lua:3: read: the reading has only one of x and y (sent "0.3\n", received "0.3\n")`, 0},
		{"an absurd reading", `return { Y = tonumber(link:ask("-700\n")) }`, echo, 0, `stint.lua:3: read: luminance is -700 cd/m²; it must be at least -1 cd/m² (sent "-700\n", received "-700\n")`, 0},
		{"a module", `return require("stunt")`, echo, 0, "stint.lua:4: require is not there", 0},
		{"the time", `return { Y = os.time() }`, echo, 0, "stint.lua:4: os is not there", 0},
		{"a file", `for line in io.lines("x") do return { Y = 1 } end`, echo, 0, "stint.lua:4: io is not there", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				began := time.Now()
				s, err := reads(t, c.body, c.talker)
				if c.says == "" && (err != nil || s.Y != c.want) {
					t.Errorf("it reads %g, %v, want %g", s.Y, err, c.want)
				}
				if c.says != "" && (err == nil || !strings.HasPrefix(err.Error(), c.says)) {
					t.Errorf("the error is %v, want %s", err, c.says)
				}
				if took := time.Since(began); took < c.took || took > c.took+100*time.Millisecond {
					t.Errorf("it took %v, want %v", took, c.took)
				}
			})
		})
	}
}

// TestDeclarations are files that are refused, with the words of a procedure's errors.
func TestDeclarations(t *testing.T) {
	about := ` about = function() return { name = "Stint" } end,`
	for _, c := range []struct{ src, says, hint string }{
		{"return 1", "stint.lua: the file does not return a driver", "end it with: return driver { … }"},
		{"return driver {", "stint.lua:1: ", ""},
		{"return driver()", "stint.lua:1: driver: kind is missing", ""},
		{"return procedure {}", "stint.lua:1: this file declares a procedure, not a driver", "give it to the other command: candelua run FILE"},
		{"return trial {}", "stint.lua:1: this file declares a trial, not a driver", ""},
		{`return driver { kind = "metre" }`, `stint.lua:1: driver: kind is "metre"; it must be one of "meter", "patches", "unit", "rig"`, `did you mean "meter"? (kind: the kind of instrument)`},
		{`return driver { kind = "meter", title = "S", reed = 1,` + about + ` read = print }`, `stint.lua:1: driver has no field "reed"; did you mean "read"?`, ""},
		{`return driver { kind = "meter", title = "S", read = print }`, "stint.lua:1: driver: about is missing; it must be a function", ""},
		{`return driver { kind = "meter", title = "S",` + about + `}`, "stint.lua:1: driver: read is missing; it must be a function", "the functions of a driver for a meter are read, dark"},
		{`return driver { kind = "meter", title = "S", read = print, show = print,` + about + `}`, `stint.lua:1: driver: show is given, and kind is "meter"`, "the functions of a driver for a meter are read, dark"},
		{`return driver { kind = "rig", title = "S",` + about + `}`, "stint.lua:1: driver has none of the functions lamp, turn, place, lux", ""},
		{`return driver { kind = "meter", title = "S", read = 7,` + about + `}`, "stint.lua:1: driver: read is 7; it must be a function", ""},
		{`return driver { kind = "meter", title = "S", read = print, settings = { speed = 7 },` + about + `}`, "stint.lua:1: driver: settings.speed is 7; it must be a table with a default", ""},
		{`return driver { kind = "meter", title = "S", read = print, settings = { speed = { default = 7, min = 9 } },` + about + `}`, "stint.lua:1: driver: settings.speed: its default: speed is 7; it must be 9 or more", ""},
		{`return driver { kind = "meter", title = "S", read = print, settings = { file = { default = "" } },` + about + `}`, `stint.lua:1: driver: settings.file cannot be a setting`, ""},
		{"local x = io.open\nreturn x", "stint.lua:1: ", ""},
		{"while true do end", "stint.lua:1: too many instructions", ""},
	} {
		_, err := Load(context.Background(), "stint.lua", []byte(c.src))
		if err == nil || !strings.HasPrefix(err.Error(), c.says) || c.hint != "" && fault.HintOf(err) != c.hint {
			t.Errorf("%s\nthe error is %v (%s), want %s (%s)", c.src, err, fault.HintOf(err), c.says, c.hint)
		}
	}
}

// TestSections are sections of a bench file that are refused before the instrument is touched.
func TestSections(t *testing.T) {
	const meter = `return driver { kind = "meter", title = "S", about = print, read = print, settings = { speed = { default = 2, max = 3 }, filter = { default = "fine", one_of = { "fine", "coarse" } } }, %s }`
	with := func(options map[string]any) map[string]any {
		all := map[string]any{"file": "stint.lua"}
		maps.Copy(all, options)
		return all
	}
	for _, c := range []struct {
		kind     bench.Kind
		resync   string
		link     string
		options  map[string]any
		says     string
		hint     string
		touching bool
	}{
		{bench.KindMeter, "", "tcp:bench:1", map[string]any{}, "options.file is missing; it must name the driver's file, relative to the bench file", `write below the section's options: file = "dunlin.lua"`, false},
		{bench.KindMeter, "", "tcp:bench:1", map[string]any{"file": 7.0}, "options.file is 7; it must name the driver's file", "", false},
		{bench.KindPatches, "", "tcp:bench:1", with(nil), "stint.lua (S) is a driver for a meter; it cannot be the patches", "name a driver for patches", false},
		{bench.KindMeter, "", "", with(nil), "the link is missing", "", false},
		{bench.KindMeter, "", "serial:/dev/x", with(nil), "stint.lua has no function resync, which it needs over serial: an answer that comes late would be taken for the next one", "give it a question whose answer is known; if the instrument never answers, write: resync = function(link) end", false},
		{bench.KindMeter, "", "usbtmc:/dev/x", with(nil), "stint.lua has no function resync", "", false},
		{bench.KindMeter, "resync = print", "serial:/dev/x", with(nil), "touched", "", true},
		{bench.KindReference, "", "tcp:bench:1", with(nil), "touched", "", true},
		{bench.KindMeter, "", "tcp:bench:1", with(map[string]any{"speed": 7.0}), "options.speed is 7; it must be 3 or less", "", false},
		{bench.KindMeter, "", "tcp:bench:1", with(map[string]any{"speed": "fast"}), `options.speed is "fast"; it must be 3 or less`, "", false},
		{bench.KindMeter, "", "tcp:bench:1", with(map[string]any{"filter": "fin"}), `options.filter is "fin"; it must be one of "fine", "coarse"`, "", false},
		{bench.KindMeter, "", "tcp:bench:1", with(map[string]any{"spede": 1.0}), "options.spede is no setting of stint.lua", `did you mean "speed"? (the settings of stint.lua are speed, filter)`, false},
	} {
		touched := errors.New("touched")
		_, err := open(t, c.kind, fmt.Sprintf(meter, c.resync), bench.Section{Link: c.link, Options: c.options}, func(link.Address, context.Context) (*link.Link, error) { return nil, touched }, nil)
		if err == nil || !strings.HasPrefix(err.Error(), c.says) || c.hint != "" && fault.HintOf(err) != c.hint || errors.Is(err, touched) != c.touching {
			t.Errorf("the error is %v (%s), want %s (%s)", err, fault.HintOf(err), c.says, c.hint)
		}
	}
}

// TestSettings: open is given what the bench file states, and else the defaults.
func TestSettings(t *testing.T) {
	const src = `local all
return driver { kind = "meter", title = "S",
  settings = { speed = { default = 2 }, fine = { default = true }, steps = { default = { 1, 2 } }, word = { default = "w" } },
  open = function(link, settings) all = settings end,
  about = function(link) return { name = "S" } end,
  read = function(link) return { Y = all.speed + (all.fine and 10 or 0) + 100 * all.steps[2] + 1000 * #all.word } end,
}`
	e := &emulator{protocol: dunlin{}}
	e.start()
	defer e.stop()
	s := section("s", "tcp:bench:1", time.Second, 0)
	maps.Copy(s.Options, map[string]any{"fine": false, "steps": []any{3.0, 4.0}, "word": "ab"})
	device, err := open(t, bench.KindMeter, src, s, inMemory(e), nil)
	if err != nil {
		t.Fatal(err)
	}
	if s, err := read(device.(bench.Meter)); err != nil || s.Y != 2+400+2000 {
		t.Errorf("it reads %g, %v", s.Y, err)
	}
}

// TestOthers are the other kinds of device, by what they were asked and what they answered.
func TestOthers(t *testing.T) {
	var asks []string
	record := talker(func(q string) string { asks = append(asks, q); return "\n" })
	opened := func(k bench.Kind, functions string) bench.Device {
		e := &emulator{protocol: record}
		e.start()
		t.Cleanup(e.stop)
		src := "local function tell(link, ...) local all = { ... } for i = 1, #all do all[i] = tostring(all[i]) end link:ask(table.concat(all, ' ') .. '\\n') end\n" +
			"return driver { kind = '" + string(k) + "', title = 'S', about = function() return { name = 'S', lamps = { 'left' } } end, " + functions + "}"
		device, err := open(t, k, src, section("s", "tcp:bench:1", time.Second, 0), inMemory(e), nil)
		if err != nil {
			t.Fatal(err)
		}
		return device
	}
	ctx := context.Background()
	unit := opened(bench.KindUnit, `set = function(link, ask) tell(link, ask.name, ask.value) end, power = function(link, ask) tell(link, ask.on) end`)
	if _, err := unit.(bench.Unit).Set(ctx, []bench.Setting{{Name: "Brightness", Value: 50.0}, {Name: "Ambient", Value: "off"}, {Name: "Eco", Value: false}}); err != nil {
		t.Error(err)
	}
	if _, err := unit.(bench.Switcher).Switch(ctx, true); err != nil {
		t.Error(err)
	}
	rig := opened(bench.KindRig, `lamp = function(link, ask) tell(link, ask.lamp, ask.level) end,
		turn = function(link, ask) tell(link, ask.axis, ask.degrees) return { degrees = ask.degrees + 0.5 } end,
		place = function(link, ask) tell(link, ask.x, ask.y) end,
		lux = function(link, ask) tell(link, ask.at) return { lux = 120 } end`)
	if _, err := rig.(bench.Rig).Set(ctx, "left", 40); err != nil {
		t.Error(err)
	}
	if d, err := rig.(bench.Turner).Turn(ctx, "horizontal", 30); err != nil || d != 30.5 {
		t.Errorf("it turns to %g, %v", d, err)
	}
	if at, err := rig.(bench.Placer).Place(ctx, [2]float64{0.25, 0.75}); err != nil || at != [2]float64{0.25, 0.75} {
		t.Errorf("it moves to %v, %v", at, err)
	}
	if lux, err := rig.(bench.LightSensor).Lux(ctx, "screen"); err != nil || lux.Lux != 120 {
		t.Errorf("it reads %g lx, %v", lux.Lux, err)
	}
	if lamps := rig.(bench.Lit).Lamps(); !slices.Equal(lamps, []string{"left"}) {
		t.Errorf("its lamps are %v", lamps)
	}
	want := []string{"Brightness 50", "Ambient off", "Eco false", "true", "left 40", "horizontal 30", "0.25 0.75", "screen"}
	if !slices.Equal(asks, want) {
		t.Errorf("it was asked %q, want %q", asks, want)
	}
}

// TestPlover is the example of a pattern generator: code values, an error of its own, and the last word.
func TestPlover(t *testing.T) {
	var asks []string
	e := &emulator{protocol: talker(func(q string) string {
		asks = append(asks, q)
		switch q {
		case "ID":
			return "= Plover 3\n"
		case "WIN 5.00 0 0 0 0 0 0":
			return "! no signal\n"
		}
		return "=\n"
	})}
	e.start()
	defer e.stop()
	d, _ := driverOf(from(example(t, "plover")), inMemory(e), nil)()
	device, err := d.Open(context.Background(), bench.KindPatches, section("plover", "tcp:bench:1", time.Second, 0))
	if err != nil {
		t.Fatal(err)
	}
	show := device.(bench.Patches).Show
	shown, err := show(context.Background(), bench.Patch{RGB: [3]float64{1, 0.5, 0}, Window: 10, At: [2]float64{0.5, 0.5}})
	if err != nil || shown.Codes[1] != 128 {
		t.Errorf("it shows %+v, %v", shown, err)
	}
	_, err = show(context.Background(), bench.Patch{Window: 5, At: [2]float64{0.5, 0.5}})
	if err == nil || !strings.Contains(err.Error(), "the instrument reports: no signal") || fault.CodeOf(err) != bench.CodeInstrument {
		t.Errorf("the error is %v", err)
	}
	if err := d.Close(); err != nil {
		t.Error(err)
	}
	if want := []string{"ID", "WIN 10.00 255 128 0 0 0 0", "WIN 5.00 0 0 0 0 0 0", "BYE"}; !slices.Equal(asks, want) {
		t.Errorf("it was asked %q, want %q", asks, want)
	}
}

// TestSpectrum is a reading with a spectrum.
func TestSpectrum(t *testing.T) {
	e := &emulator{protocol: &heron{}}
	e.start()
	defer e.stop()
	s := section("heron", "tcp:bench:1", time.Second, 0)
	device, err := open(t, bench.KindMeter, example(t, "heron"), s, inMemory(e), nil)
	if err != nil {
		t.Fatal(err)
	}
	var got bench.Sample
	err = device.(bench.Meter).Read(context.Background(), bench.ReadRequest{Most: 1, Spectrum: true}, func(s bench.Sample) error { got = s; return nil })
	if err != nil || got.Spectrum == nil || got.Spectrum.From != 380 || got.Spectrum.Step != 5 || !slices.Equal(got.Spectrum.Values, []float64{0.001, 0.002, 0.003}) {
		t.Errorf("it reads %+v, %v", got, err)
	}
	if id := device.About(); id.Name != "Heron" || id.Serial != "77" || id.Firmware != "2.0" {
		t.Errorf("it is %+v", id)
	}
}

// TestTraffic: what went over the link is kept with the error, at most 2 KiB of it.
func TestTraffic(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		_, err := reads(t, `link:ask("first\n") link:ask("second\n") link:line()`, func(q string) string { return strings.Repeat(q, 1000) + "\n" })
		var kept interface{ Traffic() string }
		if !errors.As(err, &kept) {
			t.Fatalf("%v keeps no traffic", err)
		}
		traffic := kept.Traffic()
		if !strings.Contains(traffic, "second") || len(traffic) > 2<<10+200 || strings.Contains(traffic, "first") {
			t.Errorf("the traffic is %d bytes: %s", len(traffic), traffic)
		}
		_, err = reads(t, `link:ask("first\n") link:ask("sec\000nd\n") link:line()`, func(q string) string { return q + "\n" })
		errors.As(err, &kept)
		if want := `sent "first\n"; received "first\n"; sent "sec\x00nd\n"; received "sec\x00nd\n"`; kept.Traffic() != want {
			t.Errorf("the traffic is %s, want %s", kept.Traffic(), want)
		}
	})
}

// TestNothingLeft: whatever fails, all goroutines have ended when a driver is closed.
func TestNothingLeft(t *testing.T) {
	before := runtime.NumGoroutine()
	for _, fault := range []string{"silence", "late", "long", "closed", "drip"} {
		e := &emulator{protocol: dunlin{}, faults: []string{fault, fault}, timeout: 20 * time.Millisecond}
		e.start()
		d, _ := driverOf(from(example(t, "dunlin")), inMemory(e), nil)()
		device, err := d.Open(context.Background(), bench.KindMeter, section("dunlin", "tcp:bench:1", 20*time.Millisecond, 0))
		if err != nil {
			t.Fatal(err)
		}
		_, _ = read(device.(bench.Meter)) // how it ends is TestBroken
		if err := d.Close(); err != nil {
			t.Error(err)
		}
		e.stop()
	}
	for range 100 {
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Errorf("%d goroutines before, %d after", before, runtime.NumGoroutine())
}

// TestReference: what a driver can call is described.
func TestReference(t *testing.T) {
	for _, d := range Reference() {
		texts := map[string]string{d.Name: d.Help}
		for _, a := range d.Args {
			if a.Want == "" {
				t.Errorf("%s: %s says not what it may be", d.Name, a.Name)
			}
			texts[d.Name+" "+a.Name] = a.Help
		}
		for name, help := range texts {
			if help == "" || strings.HasSuffix(help, ".") || strings.ToLower(help[:1]) != help[:1] {
				t.Errorf("the help of %s is %q", name, help)
			}
		}
	}
}

// TestWithoutResync: over TCP a driver need not have resync; after each failure it is connected anew, and late answers
// go with the old connection.
func TestWithoutResync(t *testing.T) {
	const src = `return driver { kind = "meter", title = "Dunlin",
  about = function(link) return { name = link:ask("ID\r", { ends = "\r\n" }) } end,
  read = function(link) return { Y = tonumber(link:ask("M\r", { ends = "\r\n" }):match("^OK (%S+)")) } end }`
	for _, fault := range []string{"silence", "half", "two", "late", "garbage", "drip", "closed", "long"} {
		synctest.Test(t, func(t *testing.T) {
			e := &emulator{protocol: dunlin{}, faults: []string{"", fault, fault}, timeout: time.Second}
			e.start()
			defer e.stop()
			device, err := open(t, bench.KindMeter, src, section("dunlin", "tcp:bench:1", time.Second, 3), inMemory(e), nil)
			if err != nil {
				t.Fatal(err)
			}
			for range 3 {
				if s, err := read(device.(bench.Meter)); err != nil || s.Y != float64(e.readings()) {
					t.Errorf("%s: it reads %g, %v, and was asked for %d", fault, s.Y, err, e.readings())
				}
			}
		})
	}
}

// TestOpening are instruments that cannot be opened, and how long that takes.
func TestOpening(t *testing.T) {
	for _, c := range []struct {
		name, functions, says string
		took, timeout         time.Duration
	}{
		{"silent for longer", `about = function(link) return { name = link:ask("\n") } end`, `stint.lua:2: link:ask: the instrument's first answer did not come within 45 s (sent "\n", received nothing)`, 45 * time.Second, 45 * time.Second},
		{"silent", `about = function(link) return { name = link:ask("\n") } end`, `stint.lua:2: link:ask: the instrument's first answer did not come within 30 s (sent "\n", received nothing)`, 30 * time.Second, time.Second},
		{"never in step", `resync = function(link) repeat until link:ask("E\n") == "E" end, about = function() return { name = "S" } end`, "stint.lua:2: link:ask: the instrument's first answer did not come within 30 s", 30 * time.Second, time.Second},
		{"no name", `about = function(link) return { name = " " } end`, "stint.lua:2: about: name is empty; it must be the instrument's name", 0, time.Second},
		{"no table", `about = function(link) return "S" end`, `stint.lua:2: about: what it returned is "S"; it must be a table`, 0, time.Second},
		{"no name at all", `about = function(link) return { serial = "1" } end`, "stint.lua:2: about: name is missing; it must be a text", 0, time.Second},
		{"without end", `open = function(link) while true do end end, about = print`, "stint.lua:2: too many instructions without a step: 10000000", 0, time.Second},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				e := &emulator{protocol: talker(func(string) string { return "" })}
				e.start()
				defer e.stop()
				began := time.Now()
				_, err := open(t, bench.KindMeter, "return driver { kind = 'meter', title = 'S', read = print,\n"+c.functions+" }", section("stint", "tcp:bench:1", c.timeout, 0), inMemory(e), nil)
				if err == nil || !strings.HasPrefix(err.Error(), c.says) || time.Since(began) != c.took {
					t.Errorf("after %v the error is %v, want %s after %v", time.Since(began), err, c.says, c.took)
				}
			})
		})
	}
}

// TestLastWord: what a driver does last may take a second, and no longer.
func TestLastWord(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var told []string
		e := &emulator{protocol: talker(func(q string) string { told = append(told, q); return "" })}
		e.start()
		defer e.stop()
		d, _ := driverOf(from(`return driver { kind = "meter", title = "S", read = print, about = function() return { name = "S" } end, close = function(link) link:ask("LOCAL\n") end }`), inMemory(e), nil)()
		if _, err := d.Open(context.Background(), bench.KindMeter, section("stint", "tcp:bench:1", time.Minute, 0)); err != nil {
			t.Fatal(err)
		}
		began := time.Now()
		if err := d.Close(); err != nil || time.Since(began) != time.Second || !slices.Equal(told, []string{"LOCAL"}) {
			t.Errorf("it is closed in %v, %v; it was told %q", time.Since(began), err, told)
		}
	})
}

// TestShows: a driver of patches says in about what it shows besides windows in SDR and PQ, and is given it as it is asked.
func TestShows(t *testing.T) {
	const src = `return driver { kind = "patches", title = "Plover",
		about = function() return { name = "Plover", shows = { "steps", "display-p3" } } end,
		show = function(link, ask) link:ask(ask.pattern .. " " .. ask.count .. " " .. tostring(ask.vertical) .. " " .. ask.from_green .. " " .. ask.space .. "\n") return { hdr = true } end }`
	var asks []string
	e := &emulator{protocol: talker(func(q string) string { asks = append(asks, q); return "=\n" })}
	e.start()
	defer e.stop()
	d, _ := driverOf(from(src), inMemory(e), nil)()
	device, err := d.Open(context.Background(), bench.KindPatches, section("plover", "tcp:bench:1", time.Second, 0))
	if err != nil {
		t.Fatal(err)
	}
	steps := bench.Patch{Window: 100, Signal: bench.SDR, Space: bench.DisplayP3, Pattern: bench.Pattern{Kind: bench.Steps, Count: 5, From: [3]float64{0, 0.25, 0}}}
	ramp := steps
	ramp.Pattern.Kind = bench.Ramp
	if bench.CanShow(device, steps) != nil || bench.CanShow(device, ramp) == nil {
		t.Errorf("of steps it says %v, of a ramp %v", bench.CanShow(device, steps), bench.CanShow(device, ramp))
	}
	shown, err := device.(bench.Patches).Show(context.Background(), steps)
	if err != nil || !shown.HDR {
		t.Errorf("shown %+v, %v", shown, err)
	}
	if err := d.Close(); err != nil {
		t.Error(err)
	}
	if want := []string{"steps 5 false 0.25 display-p3"}; !slices.Equal(asks, want) {
		t.Errorf("it was asked %q, want %q", asks, want)
	}
}
