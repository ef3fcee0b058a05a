package journal

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestRoundTrip(t *testing.T) {
	for name, records := range map[string][]Record{"done": doneRun(), "mended": mendedRun()} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "journal.jsonl")
			written, err := Create(path, ternHead, Options{Sync: true})
			if err != nil {
				t.Fatal(err)
			}
			appendAll(t, written, records)
			if err := written.Close(); err != nil {
				t.Fatal(err)
			}
			read, err := Load(path)
			if err != nil {
				t.Fatal(err)
			}
			var head benchHead
			if err := read.Head(&head); err != nil || head != ternHead {
				t.Errorf("head is %+v, %v", head, err)
			}
			for _, j := range []*Journal{written, read} {
				if diff := cmp.Diff(records, bodyRecords(j)); diff != "" {
					t.Errorf("records differ (-want +got):\n%s", diff)
				}
			}
			if diff := cmp.Diff(steps(t, written), steps(t, read)); diff != "" {
				t.Errorf("steps differ (-written +read):\n%s", diff)
			}
			if diff := cmp.Diff(written.Blocks(), read.Blocks(), noRecords); diff != "" {
				t.Errorf("blocks differ (-written +read):\n%s", diff)
			}
			memory := built(t, records)
			if file, _ := os.ReadFile(path); string(file) != string(memory.data) {
				t.Error("equal runs gave different bytes in a file and in memory")
			}
		})
	}
}

// bodyRecords returns all records but the head.
func bodyRecords(j *Journal) []Record {
	var all []Record
	for n, r := range j.All() {
		if n > 1 {
			all = append(all, r)
		}
	}
	return all
}

func steps(t *testing.T, j *Journal) []Step {
	t.Helper()
	var all []Step
	for n := 1; n <= j.Steps(); n++ {
		s, err := j.Step(n)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, s)
	}
	return all
}

func TestAllStopsWhenAsked(t *testing.T) {
	j := built(t, doneRun())
	seen := 0
	for n, r := range j.All() {
		if seen++; n == 1 && (r.Kind != KindHead || !json.Valid(r.Data)) {
			t.Errorf("record 1 is %+v, want the head", r)
		}
		if n == 3 {
			break
		}
	}
	if seen != 3 || j.Records() != len(doneRun())+1 {
		t.Errorf("saw %d records of %d", seen, j.Records())
	}
}

// TestLineShape reads a journal with encoding/json, as a stranger would.
func TestLineShape(t *testing.T) {
	j := built(t, mendedRun())
	for i, line := range lines(j.data) {
		var fields map[string]json.RawMessage
		if err := json.Unmarshal(line, &fields); err != nil {
			t.Fatalf("line %d: %v", i+1, err)
		}
		if !strings.HasSuffix(string(line), `,"sum":`+string(fields["sum"])+"}\n") {
			t.Errorf("line %d does not end with its sum: %s", i+1, line)
		}
	}
	want := `{"kind":"ask","step":1,"name":"patches.show","device":"patches","args":{"grey":1,"window":10,"background":0,"signal":"sdr"},"at":"window-sweep.lua:19","t":0,"sum":"`
	if got := string(lines(j.data)[1]); !strings.HasPrefix(got, want) {
		t.Errorf("line 2 is %s\nwant it to begin %s", got, want)
	}
}

func TestOddText(t *testing.T) {
	odd := "quote \" back \\ tab \t line \n bell \a rubout \x7f snow ☃ sep \u2028 <&> 🂡"
	r := Record{Kind: KindAsk, Step: 1, Name: odd, Device: odd, At: odd, T: -1e-300, Args: raw(`"\n\u0000"`)}
	j := built(t, []Record{r})
	if diff := cmp.Diff([]Record{r}, bodyRecords(j)); diff != "" {
		t.Error(diff)
	}
	broken := built(t, []Record{{Kind: KindAside, Name: "a\xffb\xc0"}})
	if got := bodyRecords(broken)[0].Name; got != "a\ufffdb\ufffd" {
		t.Errorf("bytes that are not UTF-8 came back as %q", got)
	}
}

func TestTimesSurvive(t *testing.T) {
	for _, x := range []float64{0, 1, -1, 0.1, 1e-7, 1e21, 123456789.123456789, 3e20, 5e-324, 1.7976931348623157e308} {
		j := built(t, []Record{{Kind: KindResume, T: x, PauseSeconds: max(x, 0)}})
		want, _ := json.Marshal(x) // encoding/json is the reference for the notation, but for e-07
		if got := bodyRecords(j)[0]; got.T != x || got.PauseSeconds != max(x, 0) {
			t.Errorf("%g came back as %g and %g", x, got.T, got.PauseSeconds)
		}
		if line := string(lines(j.data)[1]); x != 1e-7 && x != 5e-324 && !strings.Contains(line, `"t":`+string(want)+",") {
			t.Errorf("%s is written %s", want, line)
		}
	}
}

func TestRawValues(t *testing.T) {
	j := built(t, nil)
	ask := func(args string) error {
		return j.Append(Record{Kind: KindAsk, Step: 1, Name: "meter.read", Args: json.RawMessage(args)})
	}
	if err := ask("{ \"a\" : [ 1 ,\r\n\t2 ],\n \"b c\":\" d \" }"); err != nil {
		t.Fatal(err)
	}
	if got := string(bodyRecords(j)[0].Args); got != `{"a":[1,2],"b c":" d "}` {
		t.Errorf("args with line breaks became %s", got)
	}
	before := string(j.data)
	for _, bad := range []string{"NaN", "[1,NaN]", "Infinity", "-Infinity", "1 2", "{", `{"a":1,}`, "\"a\nb\"",
		`1,"sum":"0123456789abcdef"}` + "\n", strings.Repeat("[", 600) + strings.Repeat("]", 600),
		" " + strings.Repeat("[", 600) + strings.Repeat("]", 600)} {
		if err := ask(bad); !errors.Is(err, errRefused) {
			t.Errorf("args %.40q: error is %v, want it refused", bad, err)
		}
		r := Record{Kind: KindSample, Step: 1, Data: json.RawMessage(bad)}
		if err := j.Append(r); !errors.Is(err, errRefused) {
			t.Errorf("data %.40q: error is %v, want it refused", bad, err)
		}
	}
	if string(j.data) != before {
		t.Error("a refused record left bytes behind")
	}
}

func TestCreateNeedsANewFile(t *testing.T) {
	path := saved(t, []byte("something"))
	if _, err := Create(path, ternHead, Options{}); !errors.Is(err, fs.ErrExist) {
		t.Errorf("error is %v, want one that the file exists", err)
	}
	if data, _ := os.ReadFile(path); string(data) != "something" {
		t.Errorf("the file became %q", data)
	}
	if _, err := Create(filepath.Join(t.TempDir(), "none", "journal.jsonl"), ternHead, Options{}); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("error is %v, want one that the folder is missing", err)
	}
}

func TestHeads(t *testing.T) {
	for name, head := range map[string]any{
		"a channel": make(chan int),
		"too deep":  json.RawMessage(strings.Repeat("[", 600) + strings.Repeat("]", 600)),
		"too long":  strings.Repeat("a", maxLine),
	} {
		path := filepath.Join(t.TempDir(), "journal.jsonl")
		if _, err := Create(path, head, Options{}); err == nil {
			t.Errorf("%s is taken for a head", name)
		}
		if _, err := os.Stat(path); err == nil {
			t.Errorf("%s: a file was left behind", name)
		}
	}
	j, err := Memory(json.RawMessage("{\n\"a\": 1 }"))
	if err != nil {
		t.Fatal(err)
	}
	var number int
	if err := j.Head(&number); err == nil {
		t.Error("an object was decoded into a number")
	}
	var object struct{ A int }
	if err := j.Head(&object); err != nil || object.A != 1 {
		t.Errorf("head is %+v, %v", object, err)
	}
}

func TestOpenAndGoOn(t *testing.T) {
	records := mendedRun()
	path := filepath.Join(t.TempDir(), "journal.jsonl")
	j, err := Create(path, ternHead, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range records { // a new program for every record
		appendAll(t, j, []Record{r})
		if err := j.Close(); err != nil {
			t.Fatal(err)
		}
		if j, err = Open(path, Options{Sync: i%2 == 0}); err != nil {
			t.Fatalf("after record %d: %v", i+2, err)
		}
	}
	defer j.Close()
	if string(j.data) != string(built(t, records).data) {
		t.Error("a journal opened for each record differs from one written at once")
	}
}

func TestModes(t *testing.T) {
	path := saved(t, built(t, doneRun()[:4]).data)
	next := Record{Kind: KindResume}
	loaded, err := Load(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := loaded.Append(next); !errors.Is(err, errReadOnly) {
		t.Errorf("loaded: error is %v", err)
	}
	if err := loaded.Close(); err != nil {
		t.Errorf("loaded: %v", err)
	}
	opened, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if err := opened.Close(); err != nil {
			t.Error(err)
		}
	}
	if err := opened.Append(next); !errors.Is(err, errClosed) {
		t.Errorf("closed: error is %v", err)
	}
	if opened.Steps() != 1 {
		t.Error("a closed journal cannot be read")
	}
	memory := built(t, nil)
	if err := memory.Close(); err != nil {
		t.Error(err)
	}
	for name, open := range map[string]func() (*Journal, error){
		"open": func() (*Journal, error) { return Open(path+".none", Options{}) },
		"load": func() (*Journal, error) { return Load(path + ".none") },
	} {
		if _, err := open(); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s: error is %v, want one that the file is missing", name, err)
		}
	}
}

// TestStepByHand checks what else a step says: who answered, and how it failed.
func TestStepByHand(t *testing.T) {
	failure := &Failure{"timeout", "reference did not answer in 10 s", "look at its cable"}
	j := built(t, []Record{
		ask(1), {Kind: KindAnswer, Step: 1, Data: raw("5.2"), ByHand: true, T: 3},
		{Kind: KindAsk, Step: 2, Name: "meter.read", Device: "reference", Args: raw(`{"repeats":2}`), At: "a.lua:2", T: 3},
		{Kind: KindAnswer, Step: 2, Failure: failure, T: 13},
	})
	want := []Step{
		{Number: 1, Name: "meter.read", Answer: raw("5.2"), Asked: 1, T: 3, ByHand: true, Record: 2},
		{Number: 2, Name: "meter.read", Device: "reference", Args: raw(`{"repeats":2}`), Failure: failure, At: "a.lua:2", Asked: 3, T: 13, Record: 4},
	}
	if diff := cmp.Diff(want, steps(t, j)); diff != "" {
		t.Error(diff)
	}
}

// TestValuesAreFenced appends to what was returned, which must not run over the journal's bytes behind it.
func TestValuesAreFenced(t *testing.T) {
	j := built(t, doneRun())
	before := string(j.data)
	for _, s := range steps(t, j) {
		for _, value := range append(s.Samples, s.Args, s.Answer) {
			_ = append(value, "over what lies behind"...)
		}
	}
	for _, r := range j.All() {
		_ = append(r.Data, "over what lies behind"...)
	}
	if string(j.data) != before {
		t.Error("the journal's bytes were overwritten")
	}
}

func TestStepsOutOfRange(t *testing.T) {
	j := built(t, doneRun())
	for _, n := range []int{-1, 0, 8} {
		if _, err := j.Step(n); err == nil || !strings.Contains(err.Error(), "want 1 to 7") {
			t.Errorf("step %d: error is %v", n, err)
		}
	}
	for _, n := range []int{-1, 0, 1000} {
		if j.VoidedBy(n) != 0 {
			t.Errorf("record %d is set aside", n)
		}
	}
}
