package journal

import (
	"encoding/json"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// model is the effective view told in another way: the story of what is in effect, from which a void cuts
// the end. It is slow and keeps nothing else.
type model struct {
	story []Record // opens, closes, and answered steps (as their answers), in effect
	asks  int      // of the next step, unanswered
	open  bool     // the last ask waits for its answer
	phase string
}

func (m *model) steps() int {
	n := 0
	for _, r := range m.story {
		if r.Kind == KindAnswer {
			n++
		}
	}
	return n
}

// blocks tells the blocks by going through the story.
func (m *model) blocks() []Block {
	blocks := []Block{}
	step := 0
	for _, r := range m.story {
		switch r.Kind {
		case KindAnswer:
			step++
		case KindOpen:
			blocks = append(blocks, Block{Number: r.Block, Name: r.Name, Unbroken: r.Unbroken, Next: step + 1})
		case KindClose:
			b := &blocks[r.Block-1]
			b.Closed, b.Failed, b.Last = true, r.Failure != nil, step
		}
	}
	return blocks
}

// innermost returns the number of the innermost open block, or 0.
func (m *model) innermost() int {
	inner := 0
	for _, b := range m.blocks() {
		if !b.Closed {
			inner = b.Number
		}
	}
	return inner
}

// allows tells whether a record may come next.
func (m *model) allows(r Record) bool {
	allowed := map[string][]Kind{
		"running": {KindAsk, KindSample, KindAnswer, KindVoid, KindOpen, KindClose, KindPause, KindResume, KindAside, KindEnd},
		"paused":  {KindVoid, KindResume, KindAside, KindEnd},
		"ended":   {KindVoid, KindResume},
	}
	if !slices.Contains(allowed[m.phase], r.Kind) {
		return false
	}
	switch r.Kind {
	case KindAsk:
		return r.Step == m.steps()+1
	case KindSample, KindAnswer:
		return m.open && r.Step == m.steps()+1
	case KindVoid:
		return 1 <= r.From && r.From <= m.steps()+1
	case KindOpen:
		return r.Block == len(m.blocks())+1
	case KindClose:
		return r.Block > 0 && r.Block == m.innermost()
	}
	return true
}

// take brings the story forward.
func (m *model) take(r Record) {
	switch r.Kind {
	case KindAsk:
		m.asks, m.open = m.asks+1, true
		return
	case KindAnswer:
		m.asks = 0
		m.story = append(m.story, r)
	case KindOpen, KindClose:
		m.story = append(m.story, r)
	case KindVoid:
		m.cut(r.From)
	case KindSample, KindAside:
		return
	case KindPause:
		m.phase = "paused"
	case KindResume:
		m.phase = "running"
	case KindEnd:
		m.phase = "ended"
	}
	m.open = false
}

// cut takes from the story the answer of step from and all after it, and then the block whose opening led
// up to that step, if it was not over before.
func (m *model) cut(from int) {
	step := 0
	for i, r := range m.story {
		if r.Kind == KindAnswer {
			if step++; step == from {
				m.story = m.story[:i]
				break
			}
		}
	}
	for _, b := range m.blocks() {
		if b.Next == from && !b.Closed {
			i := slices.IndexFunc(m.story, func(r Record) bool { return r.Kind == KindOpen && r.Block == b.Number })
			m.story = m.story[:i]
			break
		}
	}
	m.asks = 0
	if m.phase == "ended" {
		m.phase = "paused"
	}
}

// drawRecord draws a record that is right, or wrong by a little.
func drawRecord(t *rapid.T, m *model) Record {
	off := rapid.SampledFrom([]int{0, 0, 0, 0, 0, 0, 0, -1, 1}).Draw(t, "off by")
	kind := rapid.SampledFrom([]Kind{KindAsk, KindAsk, KindAsk, KindAnswer, KindAnswer, KindAnswer, KindSample, KindOpen, KindOpen,
		KindClose, KindClose, KindVoid, KindPause, KindResume, KindResume, KindAside, KindEnd}).Draw(t, "kind")
	n := m.steps() + 1 + off
	switch kind {
	case KindAsk:
		return ask(n)
	case KindSample:
		return sample(n)
	case KindAnswer:
		return answer(n)
	case KindOpen:
		r := open(len(m.blocks()) + 1 + off)
		r.Unbroken = rapid.Bool().Draw(t, "unbroken")
		return r
	case KindClose:
		r := closing(m.innermost() + off)
		if rapid.Bool().Draw(t, "failed") {
			r.Failure = &Failure{Code: "script", Message: "it failed"}
		}
		return r
	case KindVoid:
		return void(rapid.IntRange(max(0, n-4), n+1).Draw(t, "from"))
	case KindPause:
		return pause
	case KindResume:
		return resume
	case KindEnd:
		return end
	}
	return aside
}

// TestGrammarProperty compares what Append refuses, and the view after it, with the model, and reads the
// journal again at the end.
func TestGrammarProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j, err := Memory(ternHead)
		if err != nil {
			t.Fatal(err)
		}
		m := &model{phase: "running"}
		for range rapid.IntRange(1, 60).Draw(t, "records") {
			r := drawRecord(t, m)
			allowed := m.allows(r)
			if err := j.Append(r); (err == nil) != allowed {
				t.Fatalf("%+v: error is %v, the model allows it: %v", r, err, allowed)
			}
			if allowed {
				m.take(r)
			}
			compare(t, j, m)
		}
		again, err := parse("again", j.data)
		if err != nil {
			t.Fatal(err)
		}
		compare(t, again, m)
		if diff := cmp.Diff(j.view, again.view, cmp.AllowUnexported(view{}, entry{}, stepEntry{}),
			cmp.Comparer(func(a, b []int) bool { return slices.Equal(a, b) })); diff != "" {
			t.Fatalf("the view differs after reading (-written +read): %s", diff)
		}
	})
}

func compare(t *rapid.T, j *Journal, m *model) {
	if j.Steps() != m.steps() || j.Unanswered() != m.asks {
		t.Fatalf("%d steps and %d unanswered asks, want %d and %d", j.Steps(), j.Unanswered(), m.steps(), m.asks)
	}
	if diff := cmp.Diff(m.blocks(), j.Blocks(), noRecords); diff != "" {
		t.Fatalf("blocks: %s", diff)
	}
	if _, ok := j.Ended(); ok != (m.phase == "ended") {
		t.Fatalf("ended is %v while the run is %s", ok, m.phase)
	}
	for n := 1; n <= j.Steps(); n++ {
		s, err := j.Step(n)
		if err != nil || s.Number != n || string(s.Answer) != string(raw("%d", n)) || j.VoidedBy(s.Record) != 0 {
			t.Fatalf("step %d: %+v, %v", n, s, err)
		}
	}
	if inEffect := countInEffect(j); inEffect != m.steps() {
		t.Fatalf("%d answers are not set aside, want %d", inEffect, m.steps())
	}
}

// countInEffect counts the answers that no void set aside.
func countInEffect(j *Journal) int {
	n := 0
	for record, r := range j.All() {
		if r.Kind == KindAnswer && j.VoidedBy(record) == 0 {
			n++
		}
	}
	return n
}

// drawJSON draws a value as encoding/json writes it.
func drawJSON(t *rapid.T, label string) json.RawMessage {
	leaf := rapid.OneOf(rapid.String().AsAny(), rapid.Float64Range(-1e300, 1e300).AsAny(), rapid.Bool().AsAny(), rapid.Just[any](nil))
	list := rapid.SliceOfN(leaf, 0, 4).AsAny()
	object := rapid.MapOfN(rapid.String(), rapid.OneOf(leaf, list), 0, 4).AsAny()
	data, err := json.Marshal(rapid.OneOf(leaf, list, object).Draw(t, label))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// TestContentProperty writes steps with any texts, times and values, and reads them back.
func TestContentProperty(t *testing.T) {
	name := rapid.StringN(1, 20, -1)
	number := rapid.Float64Range(-1e308, 1e308)
	rapid.Check(t, func(t *rapid.T) {
		failure := &Failure{rapid.String().Draw(t, "code"), rapid.String().Draw(t, "message"), rapid.String().Draw(t, "hint")}
		records := []Record{
			{Kind: KindAside, Name: name.Draw(t, "name"), Device: rapid.String().Draw(t, "device"), Args: drawJSON(t, "args"),
				Data: drawJSON(t, "data"), Failure: failure, T: number.Draw(t, "t"), ByHand: rapid.Bool().Draw(t, "by hand")},
			{Kind: KindAsk, Step: 1, Name: name.Draw(t, "name"), Args: drawJSON(t, "args"), At: rapid.String().Draw(t, "at"), T: number.Draw(t, "t")},
			{Kind: KindSample, Step: 1, Data: drawJSON(t, "sample")},
			{Kind: KindAnswer, Step: 1, Data: drawJSON(t, "data"), Failure: failure, T: number.Draw(t, "t")},
			{Kind: KindOpen, Block: 1, Name: name.Draw(t, "name"), Args: drawJSON(t, "args"), Data: drawJSON(t, "data")},
			{Kind: KindClose, Block: 1, Failure: failure, Reason: rapid.String().Draw(t, "reason")},
			{Kind: KindEnd, Status: Failed, Failure: failure, Reason: rapid.String().Draw(t, "reason"), Data: drawJSON(t, "data")},
			{Kind: KindResume, PauseSeconds: max(0, number.Draw(t, "pause")), Data: drawJSON(t, "data")},
			{Kind: KindVoid, From: 1, Reason: name.Draw(t, "reason")},
		}
		j, err := Memory(drawJSON(t, "head"))
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range records {
			if err := j.Append(r); err != nil {
				t.Fatal(err)
			}
		}
		again, err := parse("again", j.data)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(records, bodyRecords(again)); diff != "" {
			t.Fatalf("records differ (-written +read): %s", diff)
		}
	})
}
