package scripted

import (
	"context"
	"fmt"
	"net"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"candelua/engine/bench"
	"candelua/engine/driver/link"
	"candelua/engine/fault"
	"candelua/engine/sandbox"
)

// example is the text of an example driver.
func example(t testing.TB, name string) string {
	t.Helper()
	src, err := os.ReadFile("../../../testdata/examples/drivers/" + name + ".lua")
	if err != nil {
		t.Fatal(err)
	}
	return string(src)
}

// section is what a bench file states of a driver.
func section(file, at string, timeout time.Duration, retries int) bench.Section {
	return bench.Section{Driver: Name, Link: at, Timeout: timeout, Retries: &retries, Options: map[string]any{"file": file + ".lua"}}
}

func from(src string) Source { return func(bench.Kind) (string, error) { return src, nil } }

// inMemory opens links to an emulator.
func inMemory(e *emulator) dial {
	return func(link.Address, context.Context) (*link.Link, error) {
		ours, its := net.Pipe()
		e.attach(its)
		return link.New(ours), nil
	}
}

// open opens a device over links that open opens.
func open(t testing.TB, k bench.Kind, src string, s bench.Section, open dial, trace func(string)) (bench.Device, error) {
	t.Helper()
	d, err := driverOf(from(src), open, trace)()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := d.Close(); err != nil {
			t.Error(err)
		}
	})
	return d.Open(context.Background(), k, s)
}

func read(m bench.Meter) (s bench.Sample, err error) {
	err = m.Read(context.Background(), bench.ReadRequest{Most: 1}, func(x bench.Sample) error {
		s = x
		return nil
	})
	return s, err
}

// instruments are what the example drivers are for.
var instruments = map[string]func() protocol{
	"dunlin":    func() protocol { return dunlin{} },
	"heron":     func() protocol { return &heron{} },
	"knot":      func() protocol { return knot{} },
	"whimbrel":  func() protocol { return whimbrel{} },
	"turnstone": func() protocol { return &turnstone{} },
}

// faults are what may go wrong with a reading, and what a single such reading costs: a try, or nothing.
var faults = map[string]int{
	"silence": 2, "half": 2, "two": 0, "late": 2, "garbage": 2, "nan": 2, "1e400": 2, "inf": 2, "long": 2, "drip": 2, "slow drip": 0, "closed": 2,
}

// TestFaults: one reading goes wrong, in each way, at each place, on each instrument, over a link that drops
// what is under way when it is closed and over one that does not. Each reading is the one that was asked for.
func TestFaults(t *testing.T) {
	for instrument, protocol := range instruments {
		for name, tries := range faults {
			for _, at := range []string{"tcp:bench:1", "serial:/dev/bench"} {
				t.Run(fmt.Sprint(instrument, " ", name, " ", at), func(t *testing.T) {
					synctest.Test(t, func(t *testing.T) {
						e := &emulator{protocol: protocol(), faults: []string{"", name, "", name, name}, timeout: time.Second, outlives: at[0] == 's'}
						e.start()
						defer e.stop()
						device, err := open(t, bench.KindMeter, example(t, instrument), section(instrument, at, time.Second, 4), inMemory(e), nil)
						if err != nil {
							t.Fatal(err)
						}
						for n := range 4 {
							s, err := read(device.(bench.Meter))
							if err != nil {
								t.Fatalf("reading %d: %v", n+1, err)
							}
							if s.Y != float64(e.readings()) {
								t.Errorf("reading %d is the instrument's %g, and it was asked for %d", n+1, s.Y, e.readings())
							}
							if n == 1 && s.Tries != tries {
								t.Errorf("it took %d tries, want %d", s.Tries, tries)
							}
						}
					})
				})
			}
		}
	}
}

// TestBehind: an instrument that answers a question at once while it still measures gives a late reading after it is in step. Over TCP that reading
// goes with the old connection; over a serial port it is waited for.
func TestBehind(t *testing.T) {
	for instrument, protocol := range instruments {
		for _, at := range []string{"tcp:bench:1", "serial:/dev/bench"} {
			synctest.Test(t, func(t *testing.T) {
				e := &emulator{protocol: protocol(), faults: []string{"", "behind", "behind", "", "behind"}, timeout: time.Second, outlives: at[0] == 's'}
				e.start()
				defer e.stop()
				device, err := open(t, bench.KindMeter, example(t, instrument), section(instrument, at, time.Second, 4), inMemory(e), nil)
				if err != nil {
					t.Fatal(err)
				}
				for n := range 4 {
					if s, err := read(device.(bench.Meter)); err != nil || s.Y != float64(e.readings()) {
						t.Errorf("%s over %s: reading %d is %g (%v), and it was asked for %d", instrument, at, n+1, s.Y, err, e.readings())
					}
				}
			})
		}
	}
}

// TestPatchFaults: a source of patches goes wrong once, in each way, and then twice. What it shows in the end is what was asked for last.
func TestPatchFaults(t *testing.T) {
	for name, tries := range faults {
		if slices.Contains([]string{"nan", "1e400", "inf"}, name) {
			continue // it answers no number
		}
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				source := &redshank{}
				e := &emulator{protocol: source, faults: []string{"", name, "", name, name}, timeout: time.Second}
				e.start()
				defer e.stop()
				greeting := func(link.Address, context.Context) (*link.Link, error) {
					ours, its := net.Pipe()
					e.attach(its)
					go its.Write([]byte("220 REDSHANK READY\r\n"))
					return link.New(ours), nil
				}
				device, err := open(t, bench.KindPatches, example(t, "redshank"), section("redshank", "tcp:bench:1", time.Second, 4), greeting, nil)
				if err != nil {
					t.Fatal(err)
				}
				for n := range 4 {
					took := 1
					ctx := bench.CountingTries(t.Context(), func(n int) { took = n })
					q := bench.Patch{RGB: [3]float64{float64(n) / 5, 0, 1}, Window: 10 + float64(n)}
					shown, err := device.(bench.Patches).Show(ctx, q)
					if err != nil || shown.Codes[0] != 51*n {
						t.Fatalf("patch %d: %v, codes %v", n+1, err, shown.Codes)
					}
					source.mu.Lock()
					if want := fmt.Sprintf("%d 0 255 %.2f", 51*n, q.Window); source.shown != want || source.busy > 0 {
						t.Errorf("patch %d: it shows %q (busy: %d), want %q", n+1, source.shown, source.busy, want)
					}
					source.mu.Unlock()
					if n == 1 && took != max(tries, 1) {
						t.Errorf("it took %d tries, want %d", took, max(tries, 1))
					}
				}
			})
		})
	}
}

// TestMain lets one machine live, so that the goroutine that measures the heap for all machines begins in
// no test with a clock of its own.
func TestMain(m *testing.M) {
	sandbox.New(context.Background(), sandbox.Limits{}, func(string) {}, 0)
	os.Exit(m.Run())
}

// TestBroken: an instrument that goes wrong each time ends a request with a clear error, in a time that is
// stated, and is in step again as soon as it answers.
func TestBroken(t *testing.T) {
	const again = " (tried 2 times)"
	for _, c := range []struct{ instrument, fault, code, says string }{
		{"dunlin", "silence", "timeout", `dunlin.lua:13: link:ask: the answer to read did not come within 1 s (sent "M\r", received nothing)` + again},
		{"dunlin", "half", "timeout", `dunlin.lua:13: link:ask: the answer to read did not come within 1 s (sent "M\r", received "OK 3 0.312")` + again},
		{"dunlin", "late", "timeout", `dunlin.lua:13: link:ask: the answer to read did not come within 1 s (sent "M\r", received nothing)` + again},
		{"dunlin", "garbage", "garbled", "dunlin.lua:36: the answer is no reading: \x00\xff\x1b[2J%%%\x02\x02\x02~~~~~~~~~~~~~~~~ (sent \"M\\r\", received \"\\x00\\xff\\x1b[2J%%%\\x02\\x02\\x02~~~~~~~~~~~~~~~~\\r\\n\")" + again},
		{"dunlin", "nan", "garbled", `dunlin.lua:30: read: Y is nan; it must be a finite number in cd/m2 (sent "M\r", received "OK nan 0.3127 0.3290\r\n")` + again},
		{"dunlin", "1e400", "garbled", `dunlin.lua:30: read: Y is inf; it must be a finite number in cd/m2 (sent "M\r", received "OK 1e400 0.3127 0.3290\r\n")` + again},
		{"dunlin", "long", "garbled", "dunlin.lua:13: link:ask: "}, // too long a line, or too much at once, by what is noticed first
		{"dunlin", "closed", "gone", `the meter is no longer there: dunlin.lua:13: link:ask: the connection was closed at the other end (sent "M\r", received "O")`},
		{"heron", "garbage", "garbled", `heron.lua:`},
		{"heron", "nan", "garbled", `heron.lua:51: read: Y is nan; it must be a finite number in cd/m2`},
		{"knot", "garbage", "garbled", `knot.lua:18: a frame begins with 02, and this one with 00 FF 1B`},
		{"knot", "nan", "garbled", `knot.lua:43: read: Y is nan; it must be a finite number`},
		{"whimbrel", "half", "timeout", `whimbrel.lua:26: link:ask: the answer to read did not come within 1 s (sent "MES\r", received "MES\r\nY=+3,0000`},
		{"whimbrel", "nan", "garbled", `whimbrel.lua:39: read: Y is nan; it must be a finite number in cd/m2 (sent "MES\r", received "MES\r\nY=nan;`},
		{"whimbrel", "long", "garbled", "whimbrel.lua:26: link:ask: "},
		{"turnstone", "garbage", "garbled", "turnstone.lua:31: the checksum is wrong: 00 FF 1B"},
		{"turnstone", "1e400", "garbled", "turnstone.lua:58: read: Y is inf; it must be a finite number in cd/m2"},
		{"turnstone", "silence", "timeout", "turnstone.lua:29: link:line: the answer to read did not come within 1 s (sent "},
		{"knot", "half", "timeout", `knot.lua:19: link:bytes: the answer to read did not come within 1 s (sent "\x02R\x00T", received "\x02R\a\x03\x00")` + again},
	} {
		t.Run(c.instrument+" "+c.fault, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				e := &emulator{protocol: instruments[c.instrument](), faults: []string{"", c.fault, c.fault}, timeout: time.Second}
				e.start()
				defer e.stop()
				device, err := open(t, bench.KindMeter, example(t, c.instrument), section(c.instrument, "tcp:bench:1", time.Second, 1), inMemory(e), nil)
				if err != nil {
					t.Fatal(err)
				}
				m := device.(bench.Meter)
				if _, err := read(m); err != nil {
					t.Fatal(err)
				}
				began := time.Now()
				_, err = read(m)
				if err == nil || !strings.HasPrefix(err.Error(), c.says) || fault.CodeOf(err) != c.code {
					t.Errorf("the error is of code %q:\n%v, want\n%s", fault.CodeOf(err), err, c.says)
				}
				if took := time.Since(began); took > 5*time.Second {
					t.Errorf("it took %v", took)
				}
				if s, err := read(m); err != nil || s.Y != 4 {
					t.Errorf("afterwards it reads %g, %v", s.Y, err)
				}
			})
		})
	}
}
