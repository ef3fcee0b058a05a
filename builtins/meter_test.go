package builtins

import (
	"errors"
	"math"
	"testing"
	"time"

	"candelua/engine/bench"
	"candelua/engine/fault"
)

// scattering reads 100 cd/m² with a scatter of so much, up and down in turn.
func scattering(by float64) func(float64) bench.Sample {
	n := 0
	return func(float64) bench.Sample {
		n++
		return bench.Sample{Y: 100 + by*float64(1-2*(n%2))}
	}
}

func TestReadCounts(t *testing.T) {
	for _, c := range []struct {
		args  string
		by    float64
		floor float64
		want  int
	}{
		{"", 1, 0, 1},
		{"{ repeats = 4 }", 1, 0, 4},
		{"{ relative = 50 }", 1, 0, 5},               // never fewer than five
		{"{ relative = 50, least = 7 }", 1, 0, 7},    // nor than asked
		{"{ relative = 0.001 }", 1, 0, 50},           // never more than fifty
		{"{ relative = 0.001, most = 9 }", 1, 0, 9},  // nor than asked
		{"{ relative = 0.001 }", 0, 0, 5},            // without scatter
		{"{ relative = 0.001 }", 1, 2, 5},            // known to the floor
		{"{ relative = 0.29 }", 1, 0, 14},            // s/√n·t (JCGM 100, table G.2): 0.299 of thirteen, 0.288 of fourteen
		{"{ relative = 50, repeats = 20 }", 1, 0, 5}, // repeats is for a fixed number
		{"{ relative = 0.001, least = 60, most = 60 }", 1, 0, 60},
	} {
		r := newRig()
		r.light, r.about.Floor = scattering(c.by), c.floor
		if err := r.play(t, "print(meter.read("+c.args+").n)"); err != nil {
			t.Fatal(err)
		}
		if got := len(r.rows); got != c.want {
			t.Errorf("meter.read%s takes %d readings, want %d", c.args, got, c.want)
		}
	}
	newRig().fails(t, "meter.read { relative = 1, least = 60 }", "meter.read: most is 50; it must be 60 or more, because least is 60")
}

func TestReadGives(t *testing.T) {
	r := newRig()
	r.about = bench.Identity{Name: "one", Floor: 0.5, Accuracy: bench.Accuracy{Repeatability: 1}}
	r.light = func(s float64) bench.Sample {
		return bench.Sample{X: 95, Y: 100, Z: 109, Colour: true, Spectrum: &bench.Spectrum{From: 380, Step: 5, Values: []float64{s}}}
	}
	r.prints(t, `clock.wait(5)
local r = meter.read { spectrum = true, sync = true, expect = 90 }
print(r, r.X, r.Y, r.Z, r.n, r.u_Y, r.began, r.ended, r.spectrum.values[1], r.flags.below_floor)`,
		"reading: 100 cd/m2\t95\t100\t109\t1\t1\t5\t6\t6\tfalse")
	want := bench.ReadRequest{Most: 1, Spectrum: true, Sync: true, Expect: 90}
	if r.requests[0] != want {
		t.Errorf("asked %+v, want %+v", r.requests[0], want)
	}
	r = newRig()
	r.about.Floor = 200
	r.prints(t, "local r = meter.read() print(r.x, r.X, r.spectrum, r.flags.below_floor)", "nil\tnil\tnil\ttrue")
	r.fails(t, "for name in pairs(meter.read().flags) do print(name) end", "pairs: argument 1 is an object, which has no list of its fields; it must be a table; read the fields of an object by name")
	r.fails(t, "print(meter.read().luminance)", `a reading has no field "luminance"`)
}

func TestReadWaitsUntilLit(t *testing.T) {
	r := newRig()
	r.latency = 300 * time.Millisecond
	r.prints(t, `patches.show { grey = 1 } print(meter.read { after = 2 }.began) clock.wait(10) print(meter.read { after = 2 }.began)`, "2.3\n13.3")
	r = newRig() // without a patch there is nothing to wait for
	r.prints(t, `print(meter.read { after = 2 }.began)`, "0")
	r = newRig() // a person says that it is lit, once
	r.pending = true
	r.prints(t, `patches.show { grey = 1 } print(meter.read { after = 2 }.began, meter.read().began)`, "12\t13")
	if got := r.rows[0].Lit; got != 10 {
		t.Errorf("the reading says lit at %v, want 10", got)
	}
	r = newRig() // by reading, a person says so
	r.pending, r.about.ByHand = true, true
	r.prints(t, `patches.show { grey = 1 } print(meter.read { after = 2 }.began)`, "0")
	if r.requests[0].After != 2 || !r.hands[1] {
		t.Errorf("the person is told %v s, by hand: %v", r.requests[0].After, r.hands)
	}
}

func TestReadRows(t *testing.T) {
	r := newRig()
	err := r.play(t, `unit.set { Red = -3 }
patches.show { grey = 0.5 }
run.part("greys", function() meter.read { repeats = 2 } end)
unit.set { Red = 4 }
meter.named("reference").read()`)
	if err != nil || len(r.rows) != 3 {
		t.Fatalf("%d rows, %v", len(r.rows), err)
	}
	a, b, c := r.rows[0], r.rows[1], r.rows[2]
	if a.Reading != 3 || a.Sample != 1 || b.Sample != 2 || a.Part != "greys" || a.Meter != "meter" || a.Y != 100 ||
		a.Patch.RGB[0] != 0.5 || a.Settings["Red"] != -3.0 || a.At != "test.lua:4" || b.Began != 1 || b.Ended != 2 {
		t.Errorf("rows are %+v, %+v", a, b)
	}
	if c.Meter != "reference" || c.Settings["Red"] != 4.0 || a.Settings["Red"] != -3.0 || c.Part != "" {
		t.Errorf("the last row is %+v", c)
	}
}

func TestReadFails(t *testing.T) {
	r := newRig()
	r.fault = bench.Errorf(bench.CodeTimeout, "look at the cable", "the meter does not answer")
	err := r.play(t, "meter.read()")
	if !errors.Is(err, bench.ErrTimeout) || fault.HintOf(err) != "look at the cable" || err.Error() != "test.lua:2: meter.read: the meter does not answer" {
		t.Errorf("error is %v, hint %q", err, fault.HintOf(err))
	}
	r.fault = bench.Errorf(bench.CodeTimeout, "", "the meter does not answer")
	r.prints(t, "local ok, e = pcall(meter.read) print(ok, e.code, meter.read().Y)", "false\ttimeout\t100")
	r.light = func(float64) bench.Sample { return bench.Sample{Y: math.NaN()} }
	if err := r.play(t, "meter.read()"); !errors.Is(err, bench.ErrBadReading) {
		t.Errorf("error is %v, want a bad reading", err)
	}
	r = newRig()
	r.bench.Meters = nil
	r.fails(t, "meter.read()", "meter.read: the bench has no meter")
	r.fails(t, "meter.named('reference').read()", "meter.read: the bench has no reference")
	r.fails(t, "meter.named('third')", `meter.named: name is "third"; it must be one of "meter", "reference"`)
	if _, err := readDerive(nil, readArgs{}, readAnswer{}, nil); !errors.Is(err, errNoSample) {
		t.Errorf("a reading without samples: %v", err)
	}
}

func TestAboutMeter(t *testing.T) {
	r := newRig()
	r.about = bench.Identity{Name: "one", Serial: "7", Floor: 0.5, Accuracy: bench.Accuracy{Scale: 2}}
	r.prints(t, `local a, b = meter.about(), meter.named("reference").about()
print(a.name, a.serial, a.floor, a.scale, a.repeatability, a.by_hand, a.simulated, b.name)`, "one\t7\t0.5\t2\tnil\tfalse\tfalse\tsecond")
	if err := r.load(t, "print(meter.about().floor)\nreturn procedure { title = 't', purpose = 'p', run = function() end }"); err != nil {
		t.Errorf("while loading: %v", err)
	}
}

// A panel that brightens with a time constant of 100 s towards 100 cd/m² drifts
// by 60 s/100 s of what is left to go: under 0.5 % of it after about 480 s.
func TestSettle(t *testing.T) {
	r := newRig()
	r.light = func(s float64) bench.Sample { return bench.Sample{Y: 100 - 50*math.Exp(-s/100)} }
	if err := r.play(t, `local s = meter.settle { within = 0.5, over = 60 }
assert(s.settled and math.abs(s.drift) <= 0.5, s.drift)
record.value { name = "seconds", value = s.seconds, unit = "s" }
record.value { name = "last", value = s.Y, unit = "cd/m2" }`); err != nil {
		t.Fatal(err)
	}
	v := r.results.Values()
	// 60 s before t the slope is steeper by e^0.6; least squares weigh the
	// stretch evenly, so its drift is 0.5 % where 50·e^(-t/100)·(e^0.6-1) is about
	// 0.5 cd/m²: t = 100·ln(82) = 441 s.
	if got := *v[0].Value; !near(got, 441, 25) {
		t.Errorf("settled after %v s, want about 441 s", got)
	}
	if got, want := *v[1].Value, 100-50*math.Exp(-*v[0].Value/100); !near(got, want, 0.05) {
		t.Errorf("the last luminance is %v, want %v", got, want)
	}
	if got := time.Duration(*v[0].Value) * time.Second / time.Duration(len(r.rows)); !near(got.Seconds(), 2, 0.1) {
		t.Errorf("one reading every %v, want 2s, a thirtieth of 60 s", got)
	}
}

func TestSettleEnds(t *testing.T) {
	r := newRig()
	r.light = func(s float64) bench.Sample { return bench.Sample{Y: 100 + s} }
	r.prints(t, "local s = meter.settle { over = 10, timeout = 60, every = 1 } print(s.settled, s.Y, s.seconds)", "false\t160\t60")
	r = newRig() // at once, but never before the stretch is full and holds five
	r.prints(t, "print(meter.settle { over = 10, every = 1 }.seconds)", "11")
	r = newRig() // slow readings: five of them, over more than the stretch
	r.prints(t, "print(meter.settle { over = 10, every = 8 }.seconds)", "33")
	r = newRig() // the time is not overrun
	r.light = func(s float64) bench.Sample { return bench.Sample{Y: 100 + s} }
	r.prints(t, "print(meter.settle { over = 100, every = 8, timeout = 300 }.seconds)", "297")
	r.fails(t, "meter.settle { over = 100, timeout = 60 }", "meter.settle: timeout is 60; it must be more than over, which is 100")
	r = newRig() // darkness does not drift
	r.light = func(float64) bench.Sample { return bench.Sample{} }
	r.prints(t, "local s = meter.settle { over = 10, every = 1 } print(s.settled, s.drift)", "true\t0")
	r = newRig()
	r.about.ByHand = true
	r.light = func(float64) bench.Sample { return bench.Sample{Y: 100} } // a person reads twice, a minute apart
	r.prints(t, "local s = meter.settle() print(s.settled, s.drift, s.u_drift)", "true\t0\tnil")
	r = newRig()
	r.fault = bench.Errorf(bench.CodeTimeout, "", "the meter does not answer")
	r.fails(t, "meter.settle()", "meter.settle: the meter does not answer")
	if _, err := settleDerive(nil, settleArgs{}, settleAnswer{}, nil); !errors.Is(err, errNoSample) {
		t.Errorf("settling without samples: %v", err)
	}
}
