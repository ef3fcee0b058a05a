package journal

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The shorthands of the grammar's tests.
func ask(n int) Record    { return Record{Kind: KindAsk, Step: n, Name: "meter.read", T: float64(n)} }
func sample(n int) Record { return Record{Kind: KindSample, Step: n, Data: raw("%d", n)} }
func answer(n int) Record {
	return Record{Kind: KindAnswer, Step: n, Data: raw("%d", n), T: float64(n)}
}
func void(n int) Record { return Record{Kind: KindVoid, From: n, Reason: "the meter slipped"} }
func open(n int) Record { return Record{Kind: KindOpen, Block: n, Name: "part"} }
func closing(n int) Record {
	return Record{Kind: KindClose, Block: n}
}

var (
	aside  = Record{Kind: KindAside, Name: "restore"}
	pause  = Record{Kind: KindPause, Reason: "stopped"}
	resume = Record{Kind: KindResume}
	end    = Record{Kind: KindEnd, Status: Done}
)

func step(n int) []Record { return []Record{ask(n), answer(n)} }

// join makes one list of records and lists of records.
func join(parts ...any) []Record {
	var all []Record
	for _, p := range parts {
		switch p := p.(type) {
		case Record:
			all = append(all, p)
		case []Record:
			all = append(all, p...)
		}
	}
	return all
}

func TestGrammar(t *testing.T) {
	for _, c := range []struct {
		name string
		has  []Record
		next Record
		why  string // "" where next is right
	}{
		{"first ask", nil, ask(1), ""},
		{"step number gap", step(1), ask(3), "ask of step 3, want step 2"},
		{"step asked again after its answer", step(1), ask(1), "ask of step 1, want step 2"},
		{"retake", join(ask(1), sample(1)), ask(1), ""},
		{"sample of nothing", nil, sample(1), "no ask is open"},
		{"answer to nothing", step(1), answer(1), "no ask is open"},
		{"answer to another step", join(ask(1)), answer(2), "answer to step 2, but step 1 was asked"},
		{"sample of another step", join(ask(1)), sample(2), "sample to step 2, but step 1 was asked"},
		{"sample after the answer", step(1), sample(1), "no ask is open"},
		{"aside within a step", join(ask(1), aside), answer(1), ""},
		{"answer after a resume", join(ask(1), resume), answer(1), "no ask is open"},
		{"answer after a pause", join(ask(1), pause), answer(1), "answer while the run is paused"},
		{"answer after an open", join(ask(1), open(1)), answer(1), "no ask is open"},
		{"ask while paused", join(pause), ask(1), "ask while the run is paused, want a resume first"},
		{"open while paused", join(pause), open(1), "open while the run is paused"},
		{"pause while paused", join(pause), pause, "pause while the run is paused"},
		{"aside while paused", join(pause), aside, ""},
		{"void while paused", join(step(1), pause), void(1), ""},
		{"end while paused", join(pause), end, ""},
		{"resume after a crash", join(ask(1)), resume, ""},
		{"resume twice", join(resume), resume, ""},
		{"anything after an end", join(end), ask(1), "ask while the run is ended"},
		{"aside after an end", join(end), aside, "aside while the run is ended"},
		{"end after an end", join(end), end, "end while the run is ended"},
		{"resume after an end", join(end), resume, ""},
		{"void after an end", join(step(1), end), void(1), ""},
		{"ask after a void after an end", join(step(1), end, void(1)), ask(1), "ask while the run is paused"},
		{"ask after a void and a resume", join(step(1), end, void(1), resume), ask(1), ""},
		{"ask of a step after a void", join(step(1), step(2), void(1)), ask(3), "ask of step 3, want step 1"},
		{"void of nothing", nil, void(1), ""},
		{"void after the next step", step(1), void(3), "void from step 3, want 1 to 2"},
		{"block number gap", nil, open(2), "open of block 2, want block 1"},
		{"block number taken", join(open(1), closing(1)), open(1), "open of block 1, want block 2"},
		{"close of nothing", nil, closing(1), "no block is open"},
		{"close of the outer block", join(open(1), open(2)), closing(1), "block 2 is the innermost open one"},
		{"close twice", join(open(1), closing(1)), closing(1), "no block is open"},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := built(t, c.has)
			before := string(j.data)
			err := j.Append(c.next)
			if c.why == "" {
				if err != nil {
					t.Errorf("refused: %v", err)
				}
				return
			}
			if !errors.Is(err, errRefused) || !strings.Contains(err.Error(), c.why) {
				t.Errorf("error is %v, want it to say %q", err, c.why)
			}
			if string(j.data) != before || j.Records() != len(c.has)+1 {
				t.Error("a refused record changed the journal")
			}
			if err := j.Append(resume); err != nil {
				t.Errorf("the journal does not go on: %v", err)
			}
		})
	}
}

func TestFieldsOfKinds(t *testing.T) {
	for _, c := range []struct {
		r   Record
		why string
	}{
		{Record{}, `kind is ""`},
		{Record{Kind: KindHead}, `kind is "head"`},
		{Record{Kind: "note"}, `kind is "note"`},
		{Record{Kind: KindAsk, Step: 1}, "ask has no name"},
		{Record{Kind: KindAsk, Name: "a"}, "ask has no step"},
		{Record{Kind: KindAsk, Name: "a", Step: -1}, "ask of step -1"},
		{Record{Kind: KindAsk, Name: "a", Step: 1, Data: raw("1")}, "ask has a field data, which this kind of record does not have"},
		{Record{Kind: KindSample, Step: 1}, "sample has no data"},
		{Record{Kind: KindSample, Step: 1, Data: raw("1"), T: 1}, "sample has a field t"},
		{Record{Kind: KindAnswer, Step: 1}, "answer has neither data nor failure"},
		{Record{Kind: KindVoid, From: 1}, "void has no reason"},
		{Record{Kind: KindVoid, Reason: "a"}, "void has no from"},
		{Record{Kind: KindOpen, Block: 1}, "open has no name"},
		{Record{Kind: KindClose}, "close has no block"},
		{Record{Kind: KindPause}, "pause has no reason"},
		{Record{Kind: KindAside}, "aside has no name"},
		{Record{Kind: KindEnd}, "end has no status"},
		{Record{Kind: KindEnd, Status: "fine"}, `status is "fine", want done, failed or paused`},
		{Record{Kind: KindAside, Name: "a", Status: Done}, "aside has a field status"},
		{Record{Kind: KindAside, Name: "a", T: math.NaN()}, "t is NaN"},
		{Record{Kind: KindAside, Name: "a", T: math.Inf(-1)}, "t is -Inf"},
		{Record{Kind: KindResume, PauseSeconds: -1}, "pause_s is -1"},
		{Record{Kind: KindResume, PauseSeconds: math.NaN()}, "pause_s is NaN"},
		{Record{Kind: KindResume, PauseSeconds: math.Inf(1)}, "pause_s is +Inf"},
		{Record{Kind: KindAside, Name: "a", PauseSeconds: 1}, "aside has a field pause_s"},
	} {
		err := built(t, nil).Append(c.r)
		if !errors.Is(err, errRefused) || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%+v: error is %v, want it to say %q", c.r, err, c.why)
		}
	}
}

func TestRetakes(t *testing.T) {
	j := built(t, join(step(1), ask(2), sample(2), ask(2), resume, ask(2), sample(2), aside, sample(2)))
	if j.Unanswered() != 3 || j.Steps() != 1 {
		t.Errorf("%d steps, %d unanswered asks, want 1 and 3", j.Steps(), j.Unanswered())
	}
	appendAll(t, j, []Record{answer(2)})
	got, err := j.Step(2)
	if err != nil {
		t.Fatal(err)
	}
	want := Step{Number: 2, Name: "meter.read", Samples: []json.RawMessage{raw("2"), raw("2")}, Answer: raw("2"), Asked: 2, T: 2,
		Record: 8, Retakes: 2}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	appendAll(t, j, join(step(3), ask(4), void(3), step(3)))
	if s, _ := j.Step(3); s.Retakes != 0 || j.Unanswered() != 0 {
		t.Errorf("a step taken anew after a void has %d retakes", s.Retakes)
	}
}

func TestVoid(t *testing.T) {
	// record 1 is the head, 2-3 step 1, 4-5 step 2, 6-7 step 3, 8 the ask of step 4
	j := built(t, join(step(1), step(2), step(3), ask(4), pause, void(2), resume, ask(2), sample(2)))
	if j.Steps() != 1 || j.Unanswered() != 1 {
		t.Fatalf("%d steps, %d unanswered", j.Steps(), j.Unanswered())
	}
	var aside []int
	for n := range j.All() {
		if by := j.VoidedBy(n); by == 10 {
			aside = append(aside, n)
		} else if by != 0 {
			t.Errorf("record %d is set aside by record %d", n, by)
		}
	}
	if diff := cmp.Diff([]int{4, 5, 6, 7, 8}, aside); diff != "" {
		t.Errorf("records set aside: %s", diff)
	}
	appendAll(t, j, join(answer(2), void(1)))
	for n, by := range map[int]int{2: 15, 3: 15, 4: 10, 8: 10, 9: 0, 10: 0, 12: 15, 13: 15, 14: 15, 15: 0} {
		if got := j.VoidedBy(n); got != by {
			t.Errorf("record %d is set aside by record %d, want %d", n, got, by)
		}
	}
	if j.Steps() != 0 {
		t.Errorf("%d steps", j.Steps())
	}
}

func TestVoidOfAnUnansweredAsk(t *testing.T) {
	j := built(t, join(step(1), ask(2), sample(2), void(2)))
	if j.Unanswered() != 0 || j.VoidedBy(4) != 6 || j.VoidedBy(5) != 6 || j.VoidedBy(3) != 0 {
		t.Errorf("unanswered %d, records set aside by %d and %d", j.Unanswered(), j.VoidedBy(4), j.VoidedBy(5))
	}
}

// TestVoidOfARetake sets aside a step with all its takes.
func TestVoidOfARetake(t *testing.T) {
	j := built(t, join(step(1), ask(2), sample(2), resume, step(2), void(2)))
	for n, by := range map[int]int{2: 0, 3: 0, 4: 9, 5: 9, 6: 0, 7: 9, 8: 9, 9: 0} {
		if got := j.VoidedBy(n); got != by {
			t.Errorf("record %d is set aside by record %d, want %d", n, got, by)
		}
	}
}

func TestBlocks(t *testing.T) {
	failed := closing(2)
	failed.Failure = &Failure{Code: "a", Message: "b"}
	unbroken := Record{Kind: KindOpen, Block: 2, Name: "decay", Unbroken: true}
	story := join(open(1), step(1), unbroken, step(2), failed, step(3), closing(1), open(3), closing(3), step(4), open(4))
	whole := []Block{
		{Number: 1, Name: "part", Next: 1, Closed: true, Last: 3},
		{Number: 2, Name: "decay", Unbroken: true, Next: 2, Closed: true, Failed: true, Last: 2},
		{Number: 3, Name: "part", Next: 4, Closed: true, Last: 3},
		{Number: 4, Name: "part", Next: 5},
	}
	opened := func(b Block) Block { b.Closed, b.Failed, b.Last = false, false, 0; return b }
	for _, c := range []struct {
		name string
		tail []Record
		want []Block
	}{
		{"as told", nil, whole},
		{"the open one dropped", join(void(5)), whole[:3]},
		{"an empty one before the step stays", join(void(4)), whole[:3]},
		{"outer one open again", join(void(3)), []Block{opened(whole[0]), whole[1]}},
		{"unbroken one dropped", join(void(2)), []Block{opened(whole[0])}},
		{"all dropped", join(void(1)), []Block{}},
		{"taken anew", join(void(2), unbroken, step(2), closing(2), closing(1)), []Block{
			{Number: 1, Name: "part", Next: 1, Closed: true, Last: 2},
			{Number: 2, Name: "decay", Unbroken: true, Next: 2, Closed: true, Last: 2}}},
	} {
		j := built(t, join(story, c.tail))
		if diff := cmp.Diff(c.want, j.Blocks(), noRecords); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
	j := built(t, join(story, void(2))) // records 1 head, 2 open, 3-4 step, 5 open, 6-7 step, 8 close, 9-10 step, 11 close, …
	for n, by := range map[int]int{2: 0, 4: 0, 5: 17, 8: 17, 11: 17, 12: 17, 13: 17, 16: 17, 17: 0} {
		if got := j.VoidedBy(n); got != by {
			t.Errorf("record %d is set aside by record %d, want %d", n, got, by)
		}
	}
}

// TestNestedEmptyBlock voids from a step before which an empty block stands inside one that is dropped.
func TestNestedEmptyBlock(t *testing.T) {
	j := built(t, join(step(1), open(1), closing(1), open(2), open(3), closing(3), step(2), void(2)))
	want := []Block{{Number: 1, Name: "part", Next: 2, Closed: true, Last: 1}}
	if diff := cmp.Diff(want, j.Blocks(), noRecords); diff != "" {
		t.Error(diff)
	}
}

func TestEnded(t *testing.T) {
	for _, c := range []struct {
		name string
		has  []Record
		want bool
	}{
		{"new", nil, false},
		{"ended", join(step(1), end), true},
		{"paused", join(step(1), pause), false},
		{"resumed", join(step(1), end, resume), false},
		{"void after it", join(step(1), end, void(1)), false},
		{"ended again", join(step(1), end, resume, end), true},
	} {
		j := built(t, c.has)
		if r, ok := j.Ended(); ok != c.want || ok && r.Status != Done {
			t.Errorf("%s: %+v, %v", c.name, r, ok)
		}
	}
}
