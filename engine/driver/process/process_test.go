package process

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"candelua/engine/bench"
	"candelua/engine/driver/child"
	"candelua/engine/fault"
	"candelua/testdata/campaign"
)

// fakeWord makes the test binary a driver's program; the fault that follows it strikes its first start.
const fakeWord = "be-a-program"

func TestMain(m *testing.M) {
	if i := slices.Index(os.Args, fakeWord); i >= 0 {
		fake(os.Args[i+1], os.Args[i+2])
		return
	}
	os.Exit(m.Run())
}

// fake is a driver's program whose readings are 100 and how often it was started. A fault strikes at its
// first reading of its first start.
func fake(fault, folder string) {
	starts := 1
	if before, err := os.ReadFile(filepath.Join(folder, "starts")); err == nil {
		starts = len(before) + 1
	}
	os.WriteFile(filepath.Join(folder, "starts"), []byte(strings.Repeat("x", starts)), 0o644)
	broken := starts == 1
	in := bufio.NewReader(os.Stdin)
	if broken && fault == "never starts" {
		time.Sleep(time.Hour)
	}
	for {
		line, err := in.ReadString('\n')
		if err != nil {
			if broken && fault == "ignores the end" {
				time.Sleep(time.Hour)
			}
			return
		}
		var q struct {
			ID     int64
			Method string
			Params struct{ Settings map[string]any }
		}
		if err := json.Unmarshal([]byte(line), &q); err != nil {
			panic(err)
		}
		answer := func(result string) { fmt.Printf(`{"jsonrpc":"2.0","id":%d,"result":%s}`+"\n", q.ID, result) }
		switch q.Method {
		case "open":
			serial := "7"
			if fault == "another" {
				serial = fmt.Sprint(starts)
			}
			answer(`{"protocol":1,"name":"Dunlin","serial":"` + serial + `","verbs":["read"]}`)
		case "alive":
			answer("{}")
		case "read":
			if broken {
				broken = false
				strike(fault, q.ID, answer)
				continue
			}
			answer(fmt.Sprintf(`{"Y":%d}`, 100+starts))
		default:
			fmt.Printf(`{"jsonrpc":"2.0","id":%d,"error":{"code":-32601,"message":"no method"}}`+"\n", q.ID)
		}
	}
}

func strike(fault string, id int64, answer func(string)) {
	long := strings.Repeat("a", 10_000_000)
	switch fault {
	case "silence":
	case "half a line", "drip":
		fmt.Printf(`{"jsonrpc":"2.0","id":%d,"res`, id)
		for fault == "drip" {
			time.Sleep(50 * time.Millisecond)
			fmt.Print("x")
		}
	case "two lines":
		answer(`{"Y":7}`)
		answer(`{"Y":8}`)
	case "late":
		time.Sleep(700 * time.Millisecond)
		answer(`{"Y":7}`)
	case "garbage":
		fmt.Println("{\x00\xff;")
	case "noise":
		fmt.Println("range 2")
		answer(`{"Y":101}`)
	case "NaN":
		answer(`{"Y":NaN}`)
	case "1e400":
		answer(`{"Y":1e400}`)
	case "10 MB line":
		fmt.Println(long)
	case "flood of errors":
		fmt.Fprintln(os.Stderr, long)
	case "dies", "another":
		fmt.Fprintln(os.Stderr, "no cable")
		os.Exit(3)
	case "ignores the end":
	case "refuses":
		fmt.Printf(`{"jsonrpc":"2.0","id":%d,"error":{"code":-32000,"message":"the lid is open"}}`+"\n", id)
	case "gone":
		fmt.Printf(`{"jsonrpc":"2.0","id":%d,"error":{"code":-32002,"message":"unplugged"}}`+"\n", id)
	case "a child holds the pipe":
		c := exec.Command("sleep", "30")
		c.Stdout = os.Stdout
		c.Start()
		os.Exit(3)
	}
}

// open opens a bench whose meter is a driver's program.
func open(t *testing.T, section string, args ...string) (*bench.Bench, error) {
	t.Helper()
	var quoted []string
	for _, a := range args {
		quoted = append(quoted, fmt.Sprintf("%q", a))
	}
	f, err := bench.ParseFile("b.toml", []byte("[meter]\ndriver = \"process\"\n"+section+"[meter.options]\nrun = ["+strings.Join(quoted, ", ")+"]\n"))
	if err != nil {
		t.Fatal(err)
	}
	b, err := bench.Open(t.Context(), f, bench.Openers{"process": Opener(new(child.Keeper), nil, nil)})
	if err == nil {
		t.Cleanup(func() {
			if err := b.Close(); err != nil {
				t.Error(err)
			}
		})
	}
	return b, err
}

func read(b *bench.Bench) (s bench.Sample, err error) {
	err = b.Meters["meter"].Read(context.Background(), bench.ReadRequest{Most: 1}, func(got bench.Sample) error { s = got; return nil })
	return s, err
}

// TestFaults: each fault ends in a right reading, by the same program or by one that was started anew, or in a clear error.
// 7 and 8 are readings that must never be taken for the second request's.
func TestFaults(t *testing.T) {
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range campaign.Some(t, []struct {
		fault string
		y     []float64 // one of these is read
		says  string    // or this is said
	}{
		{"none", []float64{101}, ""}, {"noise", []float64{101}, ""}, {"two lines", []float64{7}, ""},
		{"silence", []float64{101}, ""}, {"half a line", []float64{102, 103}, ""}, {"drip", []float64{102, 103}, ""},
		{"late", []float64{101, 102, 103}, ""}, {"garbage", []float64{101, 102}, ""}, {"NaN", []float64{101, 102}, ""}, {"1e400", []float64{101, 102}, ""},
		{"10 MB line", []float64{102, 103}, ""}, {"flood of errors", []float64{101, 102}, ""}, {"dies", []float64{102, 103}, ""},
		{"ignores the end", []float64{101, 102}, ""}, {"refuses", []float64{101, 102}, ""}, {"gone", []float64{102, 103}, ""},
		{"a child holds the pipe", []float64{102, 103}, ""},
		{"another", nil, "the meter is no longer there: Dunlin 2 answers in the place of Dunlin 1"},
	}, 5) {
		t.Run(c.fault, func(t *testing.T) {
			t.Parallel()
			b, err := open(t, "timeout = \"500ms\"\nretries = 20\n", exe, fakeWord, c.fault, t.TempDir())
			if err != nil {
				t.Fatal(err)
			}
			s, err := read(b)
			if c.says != "" {
				if err == nil || err.Error() != c.says || !errors.Is(err, bench.ErrPaused) {
					t.Errorf("the error is %v, want %s", err, c.says)
				}
				return
			}
			if err != nil || !slices.Contains(c.y, s.Y) && s.Y < 102 {
				t.Errorf("it reads %+v, %v", s, err)
			}
			if s, err = read(b); err != nil || s.Y < 101 {
				t.Errorf("then it reads %+v, %v", s, err)
			}
		})
	}
}

// TestNoGoroutineIsLeft opens and closes programs of all kinds of ends.
func TestNoGoroutineIsLeft(t *testing.T) {
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	before := runtime.NumGoroutine()
	for _, kind := range []string{"none", "dies", "ignores the end", "half a line"} {
		t.Run(kind, func(t *testing.T) {
			b, err := open(t, "timeout = \"500ms\"\n", exe, fakeWord, kind, t.TempDir())
			if err != nil {
				t.Fatal(err)
			}
			read(b)
		})
	}
	for until := time.Now().Add(5 * time.Second); runtime.NumGoroutine() > before; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(until) {
			t.Fatalf("%d goroutines were there before, and %d are left", before, runtime.NumGoroutine())
		}
	}
}

// TestOpenErrors are programs that cannot be drivers.
func TestOpenErrors(t *testing.T) {
	campaign.Needs(t, "sh", "install a POSIX shell")
	answer := func(text string) []string { return []string{"sh", "-c", "read line; echo '" + text + "'; cat"} }
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"no-such-program"}, `the program "no-such-program" cannot be started: executable file not found`},
		{[]string{"sh", "-c", "echo 'no licence' >&2; exit 4"}, "the driver's program ended with exit status 4: no licence"},
		{answer(`{"jsonrpc":"2.0","id":1,"result":{"protocol":2,"name":"a"}}`), "the driver's program speaks protocol 2; it must be 1"},
		{answer(`{"jsonrpc":"2.0","id":1,"result":{"protocol":1}}`), "the driver's program gives no name"},
		{answer(`{"jsonrpc":"2.0","id":1,"result":{"protocol":1,"name":"a","verbs":["sing"]}}`), `the driver's program gives the verb "sing", which is unknown`},
		{answer(`{"jsonrpc":"2.0","id":1,"result":{"protocol":1,"name":"a","verbs":["show"]}}`), `"a" cannot be the meter, because it can do none of: read`},
		{answer(`{"jsonrpc":"2.0","id":1,"result":{"protocol":1,"name":"a","verbs":["read"],"shows":["spiral"]}}`), `the source says that it shows "spiral", which is unknown`},
		{answer(`{"jsonrpc":"2.0","id":1,"result":7}`), "the driver's program answered 7"},
		{answer(`{"jsonrpc":"2.0","id":1,"error":{"code":-32000,"message":"in use"}}`), "the instrument reports: in use"},
		{answer(`{"jsonrpc":"2.0","id":null,"error":{"code":-32700,"message":"what?"}}`), "the driver's program could not read a request: what?"},
	} {
		if _, err := open(t, "", c.args...); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v: the error is %v, want %s", c.args, err, c.says)
		}
	}
	exe, _ := os.Executable()
	f, _ := bench.ParseFile("b.toml", []byte(fmt.Sprintf("[meter]\ndriver='process'\n[meter.options]\nstart_within='300ms'\nrun=[%q,%q,'never starts',%q]\n", exe, fakeWord, t.TempDir())))
	_, err := bench.Open(t.Context(), f, bench.Openers{"process": Opener(new(child.Keeper), nil, nil)})
	if fault.CodeOf(err) != bench.CodeTimeout || !strings.Contains(err.Error(), "the answer to open did not come within 0.3 s") {
		t.Errorf("one that never starts gives %v", err)
	}
	f, _ = bench.ParseFile("b.toml", []byte("[meter]\ndriver='process'\n[meter.options]\nstart_within='300ms'\nrun=['sh','-c','echo no licence; cat >/dev/null']\n"))
	_, err = bench.Open(t.Context(), f, bench.Openers{"process": Opener(new(child.Keeper), nil, nil)})
	if err == nil || !strings.Contains(err.Error(), `did not come within 0.3 s; it wrote "no licence", which is no message`) {
		t.Errorf("one that speaks to people gives %v", err)
	}
}

func TestOptionErrors(t *testing.T) {
	for _, c := range []struct{ options, says string }{
		{"", "b.toml:3: meter.options.run must name the program"},
		{"run = 7", "b.toml:1: meter.options.run is 7; it must be a text in quotes, or a list of such"},
		{"run = 'a'\nspeed = 1", "meter.options.speed is unknown; the keys are run, settings, start_within, folder"},
		{"run = 'a'\nstart_within = 'soon'", `meter.options.start_within is soon; it must be a time, as in "10s"`},
		{"run = 'a'\nsettings = 1", "meter.options.settings is 1; it must be a table"},
	} {
		f, err := bench.ParseFile("b.toml", []byte("[meter]\ndriver='process'\n[meter.options]\n"+c.options+"\n"))
		if err != nil {
			t.Fatal(err)
		}
		_, err = bench.Open(t.Context(), f, bench.Openers{"process": Opener(new(child.Keeper), nil, nil)})
		if err == nil || !strings.Contains(err.Error(), strings.TrimPrefix(c.says, "b.toml:3: ")) && !strings.Contains(err.Error(), strings.TrimPrefix(c.says, "b.toml:1: ")) {
			t.Errorf("%s: the error is %v, want %s", c.options, err, c.says)
		}
	}
}

// TestPythonSample reads with the sample of a driver in Python.
func TestPythonSample(t *testing.T) {
	campaign.Needs(t, "python3", "apt-get install python3")
	b, err := open(t, "", "python3", "../../../testdata/drivers/dunlin.py")
	if err != nil {
		t.Fatal(err)
	}
	for n := 1; n <= 3; n++ {
		s, err := read(b)
		if want := 200 + float64(n)/10; err != nil || fmt.Sprintf("%.3f", s.Y) != fmt.Sprintf("%.3f", want) || s.Ended-s.Began < 10*time.Millisecond || !s.Colour {
			t.Errorf("reading %d is %+v, %v", n, s, err)
		}
	}
	z, can := bench.As[bench.Zeroer](b.Meters["meter"])
	if !can || z.Zero(t.Context()) != nil {
		t.Error("it does not measure its dark level")
	}
}

// TestGoSample shows a patch with the sample of a driver in Go.
func TestGoSample(t *testing.T) {
	program := filepath.Join(t.TempDir(), "dunlin")
	if out, err := exec.Command("go", "build", "-o", program, "../../../testdata/drivers/dunlin").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	f, err := bench.ParseFile("b.toml", []byte(fmt.Sprintf("[patches]\ndriver='process'\n[patches.options]\nrun=[%q]\n", program)))
	if err != nil {
		t.Fatal(err)
	}
	b, err := bench.Open(t.Context(), f, bench.Openers{"process": Opener(new(child.Keeper), nil, nil)})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	before := b.Clock.Now()
	shown, err := b.Patches.Show(t.Context(), bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10})
	if err != nil || shown.Lit-before < 20*time.Millisecond || !slices.Equal(shown.Codes, []int{255, 255, 255}) {
		t.Errorf("shown %+v, %v", shown, err)
	}
}
