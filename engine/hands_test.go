package engine_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/operator"
	"candelua/engine/play"
	"candelua/engine/procedure"
)

// typedSpec is a run where a person types these lines.
func typedSpec(t testing.TB, p *procedure.Procedure, lines string, set ...string) (engine.Spec, *bytes.Buffer, *heard) {
	said, h := &bytes.Buffer{}, &heard{}
	s := simSpec(t, p, set...)
	s.Setup, s.Bench, s.Openers = h.setup(), bench.OperatorFile, typedOpeners(lines, said, true)
	return s, said, h
}

// windows gives the rows of the table of a window sweep.
func windows(t testing.TB, path string) string {
	return strings.TrimSpace(string(file(t, path, "tables", "luminance-by-window.csv")))
}

var twoWindows = []string{"windows=10,100", "rest=0"}

const twoTyped = "window (%),luminance (cd/m2)\r\n10,200\r\n100,180"

// TestTyped is a window sweep whose meter is read by a person.
func TestTyped(t *testing.T) {
	s, _, h := typedSpec(t, shipped(t, "window-sweep"), "200 0.31 0.33\n180 0.31 0.33\n", twoWindows...)
	rep := ran(t, s, journal.Done)
	if got := windows(t, rep.Path); got != twoTyped {
		t.Errorf("the table is %q, want %q", got, twoTyped)
	}
	if rep.Head.Simulated || len(h.warnings) > 0 {
		t.Errorf("simulated is %v, warnings are %q", rep.Head.Simulated, h.warnings)
	}
	has(t, string(file(t, rep.Path, "readings.csv")), "200 0.31 0.33", "automatic brightness: off; brightness: maximum")
	replayed(t, rep.Path, journal.Done)
}

// TestTypedInTwo pauses at the end of the input, and goes on with another.
func TestTypedInTwo(t *testing.T) {
	for _, c := range []struct{ first, second string }{
		{"200 0.31 0.33\n", "180 0.31 0.33\n"}, {"200 0.31 0.33\npause\nnever read\n", "180 0.31 0.33\n"}, {"", "200\n180\n"}, {"pause\n", "200\n180\n"},
	} {
		s, _, _ := typedSpec(t, shipped(t, "window-sweep"), c.first, twoWindows...)
		rep := ran(t, s, journal.Paused)
		if !errors.Is(rep.Err, bench.ErrPaused) {
			t.Errorf("%q: paused with %v", c.first, rep.Err)
		}
		has(t, kinds(t, rep.Path), "end")
		replayed(t, rep.Path, journal.Paused)
		said := &bytes.Buffer{}
		wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: reopenTyped(c.second, said)}))
		if got := windows(t, rep.Path); got != twoTyped {
			t.Errorf("%q: the table is %q, want %q", c.first, got, twoTyped)
		}
		has(t, said.String(), "Please show", "Reading")
		replayed(t, rep.Path, journal.Done)
		if m := metaOf(t, rep.Path); len(m.Pauses) != 1 || len(m.Voids) != 0 {
			t.Errorf("%q: run.json has %d pauses and %d voids", c.first, len(m.Pauses), len(m.Voids))
		}
	}
}

// questions ask for three numbers and two readings, across patches and parts.
const questions = `
    local function ask(n) record.value { name = "A" .. n, value = operator.ask("Number " .. n, {}) } end
    patches.show { grey = 1 }
    ask(1)
    run.part("middle", function()
      record.value { name = "Y1", value = meter.read().Y }
      patches.black()
      ask(2)
    end)
    record.value { name = "Y2", value = meter.read().Y }
    ask(3)`

// valuesOf gives a run's values, as in "a1=1 y1=200".
func valuesOf(t testing.TB, path string) string {
	t.Helper()
	var res struct {
		Values []struct {
			ID    string
			Value any
		}
	}
	must(t, json.Unmarshal(file(t, path, "results.json"), &res))
	var all []string
	for _, v := range res.Values {
		all = append(all, fmt.Sprintf("%s=%v", v.ID, v.Value))
	}
	return strings.Join(all, " ")
}

// TestBack withdraws answers: each is kept, marked void, and asked again.
func TestBack(t *testing.T) {
	for _, c := range []struct {
		lines, want string
		voids       []int // first steps that were set aside
		warnings    int
	}{
		{"1 200 2 100 3", "a1=1 y1=200 a2=2 y2=100 a3=3", nil, 0},
		{"1 back 11 200 2 100 3", "a1=11 y1=200 a2=2 y2=100 a3=3", []int{2}, 0},
		{"1 200 back 210 2 100 3", "a1=1 y1=210 a2=2 y2=100 a3=3", []int{3}, 0},
		{"1 200 2 back 22 100 3", "a1=1 y1=200 a2=22 y2=100 a3=3", []int{5}, 0},
		{"1 200 2 back back 210 22 100 3", "a1=1 y1=210 a2=22 y2=100 a3=3", []int{5, 3}, 0},
		{"1 200 2 100 back back back back 11 210 22 110 33", "a1=11 y1=210 a2=22 y2=110 a3=33", []int{6, 5, 3, 2}, 0},
		{"1 200 back back back back 11 210 2 100 3", "a1=11 y1=210 a2=2 y2=100 a3=3", []int{3, 2}, 2},
		{"back 1 200 2 100 3", "a1=1 y1=200 a2=2 y2=100 a3=3", nil, 1},
		{"back back 1 back back 11 200 2 100 3", "a1=11 y1=200 a2=2 y2=100 a3=3", []int{2}, 3},
		{"1 back 11 back 111 back 1111 200 2 100 3", "a1=1111 y1=200 a2=2 y2=100 a3=3", []int{2, 2, 2}, 0},
	} {
		s, _, h := typedSpec(t, procedureOf(questions), strings.ReplaceAll(c.lines, " ", "\n")+"\n")
		rep := ran(t, s, journal.Done)
		if got := valuesOf(t, rep.Path); got != c.want {
			t.Errorf("%s: values are %s, want %s", c.lines, got, c.want)
		}
		var from []int
		for _, v := range metaOf(t, rep.Path).Voids {
			if v.Reason != "struck by the operator" {
				t.Errorf("%s: void for %q", c.lines, v.Reason)
			}
			from = append(from, v.From)
		}
		if fmt.Sprint(from) != fmt.Sprint(c.voids) {
			t.Errorf("%s: voids are from %v, want %v", c.lines, from, c.voids)
		}
		if len(h.warnings) != c.warnings {
			t.Errorf("%s: warnings are %q, want %d", c.lines, h.warnings, c.warnings)
		}
		for _, w := range h.warnings {
			has(t, w, "there is no earlier reading or answer to withdraw")
		}
		for _, b := range journalOf(t, rep.Path).Blocks() {
			if !b.Closed || b.Failed {
				t.Errorf("%s: block %+v did not end well", c.lines, b)
			}
		}
		replayed(t, rep.Path, journal.Done)
	}
}

// TestStruckIsKept finds a withdrawn answer in the journal, marked.
func TestStruckIsKept(t *testing.T) {
	s, said, _ := typedSpec(t, procedureOf(questions), "1\n200\nback\n210\n2\n100\n3\n")
	rep := ran(t, s, journal.Done)
	j := journalOf(t, rep.Path)
	struck := ""
	for n, r := range j.All() {
		if by := j.VoidedBy(n); by > 0 && r.Kind == journal.KindSample {
			struck += string(r.Data)
		}
	}
	has(t, struck, `"typed":"200"`)
	if strings.Contains(string(file(t, rep.Path, "readings.csv")), ",200,") {
		t.Error("the struck reading is among the readings")
	}
	if got := strings.Count(said.String(), "Number 1"); got != 1 {
		t.Errorf("the first question was put %d times, want once: its answer stands", got)
	}
}

// TestBackAndPause withdraws, pauses, goes on with another console, withdraws what
// was typed before the pause, and is killed in between.
func TestBackAndPause(t *testing.T) {
	s, _, _ := typedSpec(t, procedureOf(questions), "1\n200\nback\n210\n2\npause\n")
	rep := ran(t, s, journal.Paused)
	again := func(lines string, want journal.Standing) *engine.Report {
		t.Helper()
		return wants(t, want)(engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: reopenTyped(lines, &bytes.Buffer{})}))
	}
	again("back\npause\n", journal.Paused)
	replayed(t, rep.Path, journal.Paused)
	again("back\n220\n22\n", journal.Paused)
	replayed(t, rep.Path, journal.Paused)
	data := file(t, rep.Path, "journal.jsonl")
	for i, end := range lineEnds(data) {
		path := copied(t, rep.Path, data[:end])
		n := journalOf(t, path).Steps()
		answers := []string{"", "1", "220", "", "22", "100", "3"}[max(n, 1):]
		wants(t, journal.Done)(engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: reopenTyped(strings.Join(answers, "\n")+"\n", &bytes.Buffer{})}))
		replayed(t, path, journal.Done)
		if i == len(lineEnds(data))-1 {
			if got, want := valuesOf(t, path), "a1=1 y1=220 a2=22 y2=100 a3=3"; got != want {
				t.Errorf("values are %s, want %s", got, want)
			}
		}
	}
}

// TestBackWhileRestoring withdraws an answer when the settings are to be put back.
func TestBackWhileRestoring(t *testing.T) {
	body := `unit.set { Brightness = 50 } record.value { name = "A1", value = operator.ask("One", {}) } record.value { name = "A2", value = operator.ask("Two", {}) }`
	said, h := &bytes.Buffer{}, &heard{}
	s := simSpec(t, procedureOf(body))
	s.Setup, s.Bench, s.Openers = h.setup(), bench.OperatorFile, typedOpeners("\n1\npause\n", said, false)
	rep := ran(t, s, journal.Paused)
	for _, c := range []struct{ lines, want string }{{"back\n\n11\n2\n", "a1=11 a2=2"}, {"\n2\n", "a1=1 a2=2"}} {
		path := copied(t, rep.Path, file(t, rep.Path, "journal.jsonl"))
		wants(t, journal.Done)(engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: func(history.Head) (*bench.File, bench.Openers, error) {
			return bench.OperatorFile, typedOpeners(c.lines, said, false), nil
		}}))
		if got := valuesOf(t, path); got != c.want {
			t.Errorf("%q: values are %s, want %s", c.lines, got, c.want)
		}
		replayed(t, path, journal.Done)
	}
}

// TestBackInABlock takes the whole of an unbroken block again.
func TestBackInABlock(t *testing.T) {
	s, _, _ := typedSpec(t, procedureOf(`
    local function ask(n) record.value { name = "A" .. n, value = operator.ask("Number " .. n, {}) } end
    ask(1)
    run.unbroken("block", function() ask(2) ask(3) end)
    ask(4)`), "1\n2\nback\n22\n3\nback\n222\n33\n4\n")
	rep := ran(t, s, journal.Done)
	if got, want := valuesOf(t, rep.Path), "a1=1 a2=222 a3=33 a4=4"; got != want {
		t.Errorf("values are %s, want %s", got, want)
	}
	for _, v := range metaOf(t, rep.Path).Voids {
		if v.From != 2 {
			t.Errorf("void from %d, want the block's first step, 2", v.From)
		}
	}
	replayed(t, rep.Path, journal.Done)
}

// lived are patches that live through kept steps, so that the bench is opened
// anew.
type lived struct{ bench.Patches }

func (lived) Relive(bench.Kept) error { return nil }

type livedDriver struct{ bench.Driver }

func (d livedDriver) Open(ctx context.Context, k bench.Kind, s bench.Section) (bench.Device, error) {
	device, err := d.Driver.Open(ctx, k, s)
	if p, ok := device.(bench.Patches); ok && k == bench.KindPatches {
		return lived{p}, err
	}
	return device, err
}

// TestBackKeepsTheBench executes the script again after "back" without closing
// real instruments, since many a real one zeroes itself when opened.
func TestBackKeepsTheBench(t *testing.T) {
	for _, stays := range []bool{true, false} {
		s, _, _ := typedSpec(t, procedureOf(questions), "1\n200\nback\n210\n2\n100\n3\n")
		opened, n := s.Openers["operator"], 0
		s.Openers = bench.Openers{"operator": func() (bench.Driver, error) {
			n++
			d, err := opened()
			if !stays {
				return livedDriver{d}, err
			}
			return d, err
		}}
		rep := ran(t, s, journal.Done)
		replayed(t, rep.Path, journal.Done)
		if want := map[bool]int{true: 1, false: 2}[stays]; n != want {
			t.Errorf("stays open %v: the bench was opened %d times, want %d", stays, n, want)
		}
	}
}

// TestBenchClosedDown pauses a run whose bench cannot be opened again after a
// "back"; what was measured is there.
func TestBenchClosedDown(t *testing.T) {
	s, _, _ := typedSpec(t, procedureOf(questions), "1\n200\nback\n210\n2\n100\n3\n")
	opened := s.Openers["operator"]
	n := 0
	s.Openers = bench.Openers{"operator": func() (bench.Driver, error) {
		if n++; n > 1 {
			return nil, errCable
		}
		d, err := opened()
		return livedDriver{d}, err
	}}
	rep := ran(t, s, journal.Paused)
	if !errors.Is(rep.Err, bench.ErrTimeout) || valuesOf(t, rep.Path) != "a1=1" {
		t.Errorf("paused with %v and %s", rep.Err, valuesOf(t, rep.Path))
	}
	replayed(t, rep.Path, journal.Paused)
	wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: reopenTyped("210\n2\n100\n3\n", &bytes.Buffer{})}))
	replayed(t, rep.Path, journal.Done)
}

// TestTypedAhead types a reading where Enter is asked for. It is in the journal before anything else happens, wherever the
// process is cut off; who goes on with the run is told of it until a step has used it, and the run comes to the same.
func TestTypedAhead(t *testing.T) {
	body := `
    operator.confirm("Ready?")
    record.value { name = "Asked", value = operator.ask("One", {}) }
    patches.show { grey = 1 }
    record.value { name = "Read", value = meter.read().Y }
    operator.confirm("Done?")`
	said, h := &bytes.Buffer{}, &heard{}
	s := simSpec(t, procedureOf(body))
	s.Setup, s.Bench, s.Openers = h.setup(), bench.OperatorFile, typedOpeners("480.3\n1\n\n", said, false)
	s.Tell = play.Steps(func(p play.Progress) {
		if p.Step == 2 {
			has(t, string(file(t, s.Out, "probe-1", "journal.jsonl")), `{"kind":"aside","name":"typed","args":{"line":"480.3"},`)
		}
	})
	rep := ran(t, s, journal.Done)
	has(t, said.String(), `Using the reading "480.3", which you typed before.`)
	if got := valuesOf(t, rep.Path); got != "asked=1 read=480.3" || len(h.warnings) > 0 {
		t.Errorf("values are %s, warnings %q", got, h.warnings)
	}
	replayed(t, rep.Path, journal.Done)

	whole := file(t, rep.Path, "journal.jsonl")
	typed, used := bytes.Index(whole, []byte(`"name":"typed"`)), bytes.Index(whole, []byte(`"typed":"480.3"`))
	for _, end := range lineEnds(whole) {
		path := copied(t, rep.Path, whole[:end])
		j := journalOf(t, path)
		if _, ended := j.Ended(); ended {
			continue
		}
		lines := []string{"\n1\n480.3\n\n", "1\n480.3\n\n", "480.3\n\n", "480.3\n\n", "\n", ""}[j.Steps()]
		h := &heard{}
		wants(t, journal.Done)(engine.Resume(context.Background(), path, engine.Resumption{Setup: h.setup(), Reopen: func(history.Head) (*bench.File, bench.Openers, error) {
			return bench.OperatorFile, typedOpeners(lines, said, false), nil
		}}))
		told := strings.Contains(strings.Join(h.warnings, "\n"), `the reading "480.3" was typed before it was asked for, and was not used`)
		if want := end > typed && end < used; told != want {
			t.Errorf("cut off at byte %d: warnings are %q, want one of the reading: %v", end, h.warnings, want)
		}
		if got := valuesOf(t, path); got != "asked=1 read=480.3" {
			t.Errorf("cut off at byte %d: values are %s", end, got)
		}
		replayed(t, path, journal.Done)
	}
}

// A reading that is withdrawn with the step that it was typed for is not mentioned again.
func TestTypedAheadAndWithdrawn(t *testing.T) {
	s := simSpec(t, procedureOf(`operator.confirm("Ready?") operator.ask("One", {}) meter.read()`))
	s.Bench, s.Openers = bench.OperatorFile, typedOpeners("480.3\nback\n\npause\n", &bytes.Buffer{}, false)
	rep := ran(t, s, journal.Paused)
	h := get(history.Read(journalOf(t, rep.Path)))(t)
	if ahead := h.TypedAhead(); len(ahead) > 0 {
		t.Errorf("%q are told of", ahead)
	}
	has(t, string(file(t, rep.Path, "journal.jsonl")), `"name":"typed"`, `"line":"480.3"`)
}

// Where what was typed cannot be put on record, the run stops as at any record.
func TestTypedAheadOnAFullDisk(t *testing.T) {
	c := operator.NewConsole(strings.NewReader("480.3\n"), &bytes.Buffer{})
	full := errors.New("no room")
	b := get(bench.Open(context.Background(), bench.OperatorFile, bench.Openers{"operator": operator.New(c, operator.Options{})}))(t)
	defer b.Close()
	b.NoteTo(func(string) error { return full })
	_, err := b.Operator.Ask(context.Background(), bench.Question{Kind: bench.Confirm, Text: "Ready?"})
	if !errors.Is(err, full) {
		t.Errorf("error is %v", err)
	}
}
