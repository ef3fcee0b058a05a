package history

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"candelua/engine/bench"
	"candelua/engine/journal"
)

// same compares two histories of one journal.
func same(a, b *History) string {
	return cmp.Diff(a, b, cmp.AllowUnexported(History{}, standing{}, stretch{}, Resume{}), cmp.Comparer(func(a, b *journal.Journal) bool { return a == b }),
		cmp.Transformer("error", func(e error) string { return e.Error() }))
}

// A history that takes in records as they are appended is the one that a whole
// journal is folded into: after each record of every run that is kept.
func TestAppendedAsRead(t *testing.T) {
	var paths []string
	for _, kind := range []string{"good", "older", "bad"} {
		found, err := filepath.Glob("../../testdata/runs/" + kind + "/*/journal.jsonl")
		if err != nil {
			t.Fatal(err)
		}
		paths = append(paths, found...)
	}
	read := 0
	for _, path := range paths {
		j, err := journal.Load(path)
		if err != nil {
			continue // a bad one
		}
		read++
		whole, err := Read(j)
		if err != nil {
			t.Fatal(err)
		}
		h, err := Begin(whole.Head)
		if err != nil {
			t.Fatal(err)
		}
		for n, r := range j.All() {
			if n == 1 {
				continue
			}
			if err := h.Append(r); err != nil {
				t.Fatalf("%s: record %d: %v", path, n, err)
			}
			again, err := Read(h.Journal)
			if err != nil {
				t.Fatal(err)
			}
			if d := same(again, h); d != "" {
				t.Fatalf("%s: after record %d (-read +appended):\n%s", path, n, d)
			}
		}
	}
	if read < 12 {
		t.Fatalf("%d journals were read of %d", read, len(paths))
	}
}

// An interlude is no stretch of the script's, whatever that calls its own.
func TestInterludeOfTheSameName(t *testing.T) {
	h, err := Begin(Head{})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []journal.Record{
		{Kind: journal.KindOpen, Block: 1, Name: OnResume, Unbroken: true},
		{Kind: journal.KindAsk, Step: 1, Name: "meter.read"}, {Kind: journal.KindAnswer, Step: 1, Data: []byte("{}")},
		{Kind: journal.KindVoid, From: 1, Reason: "it was interrupted"}, {Kind: journal.KindResume},
		{Kind: journal.KindOpen, Block: 1, Name: OnResume, Unbroken: true, Data: []byte(`{"interlude":"on_resume"}`)}, {Kind: journal.KindClose, Block: 1},
	} {
		if err := h.Append(r); err != nil {
			t.Fatal(err)
		}
	}
	if !h.CutOff(OnResume) {
		t.Error("the script's stretch was interrupted, and an interlude of the same name hides it")
	}
}

// drawRecord draws a record that may come next.
func drawRecord(r *rapid.T, h *History) journal.Record {
	j := h.Journal
	device := rapid.SampledFrom([]string{"meter", "patches", ""}).Draw(r, "device")
	switch rapid.IntRange(0, 8).Draw(r, "kind") {
	case 0:
		return journal.Record{Kind: journal.KindVoid, From: rapid.IntRange(1, j.Steps()+1).Draw(r, "from"), Reason: "r"}
	case 1:
		return journal.Record{Kind: journal.KindPause, Reason: "the machine slept"}
	case 2:
		return journal.Record{Kind: journal.KindResume, PauseSeconds: rapid.SampledFrom([]float64{0, 5}).Draw(r, "pause")}
	case 3:
		return journal.Record{Kind: journal.KindOpen, Block: len(j.Blocks()) + 1, Name: rapid.SampledFrom([]string{"a", "b"}).Draw(r, "name"), Unbroken: rapid.Bool().Draw(r, "unbroken")}
	case 4:
		return journal.Record{Kind: journal.KindClose, Block: innermost(j)}
	case 5:
		return journal.Record{Kind: journal.KindAside, Name: rapid.SampledFrom([]string{Restore, SafeEnd}).Draw(r, "aside"), Device: device}
	case 6:
		return journal.Record{Kind: journal.KindEnd, Status: rapid.SampledFrom([]journal.Standing{journal.Done, journal.Failed, journal.Paused}).Draw(r, "status")}
	}
	return journal.Record{Kind: journal.KindAsk, Step: j.Steps() + 1, Name: "meter.read", Device: device}
}

func innermost(j *journal.Journal) int {
	blocks := j.Blocks()
	for i := len(blocks) - 1; i >= 0; i-- {
		if !blocks[i].Closed {
			return blocks[i].Number
		}
	}
	return 1
}

// So is that of any journal that the grammar allows; and what a history tells
// holds for it.
func TestAnyJournal(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		h, err := Begin(Head{Devices: []bench.Named{{Name: "meter"}}})
		if err != nil {
			r.Fatal(err)
		}
		for range rapid.IntRange(0, 40).Draw(r, "records") {
			next := drawRecord(r, h)
			if err := h.Append(next); err != nil {
				continue // the grammar does not allow it here
			}
			if next.Kind == journal.KindAsk && rapid.IntRange(0, 3).Draw(r, "answered") > 0 {
				if err := h.Append(journal.Record{Kind: journal.KindAnswer, Step: next.Step, Data: []byte("{}")}); err != nil {
					r.Fatal(err)
				}
			}
		}
		again, err := Read(h.Journal)
		if err != nil {
			r.Fatal(err)
		}
		if d := same(again, h); d != "" {
			r.Fatalf("(-read +appended):\n%s", d)
		}
		holds(r, h)
	})
}

// holds checks what must be so of every history.
func holds(r *rapid.T, h *History) {
	steps := h.Journal.Steps()
	if len(h.asked) != steps || h.next != steps+1 {
		r.Fatalf("%d devices of %d steps, step %d is next", len(h.asked), steps, h.next)
	}
	total, pauses := 0.0, 0.0
	for _, p := range h.Resumes {
		total += p.Seconds
	}
	for _, p := range h.Pauses {
		pauses += p.Seconds
	}
	if total != pauses || h.Idle() > total {
		r.Fatalf("it stood still for %g s in all, %g s as told, %g s of them since it was at work", total, pauses, h.Idle())
	}
	if last, ended := h.Journal.Ended(); ended && h.Standing() != last.Status || !ended && h.Standing() != journal.Paused {
		r.Fatalf("it is %s", h.Standing())
	}
	if h.Standing() != journal.Done && !h.Journal.Moving() && h.PauseReason() == "" {
		r.Fatal("it stands still, and nobody knows why")
	}
	depth := 0
	for i, p := range h.Parts(0) {
		b := h.Journal.Blocks()[i]
		if p.First != b.Next || p.Open == b.Closed || p.Depth > depth {
			r.Fatalf("part %+v of block %+v, within %d others", p, b, depth)
		}
		depth = p.Depth + 1
	}
	for n := range steps {
		if from := h.Outermost(n + 1); from < 1 || from > n+1 {
			r.Fatalf("step %d is in a stretch from %d on", n+1, from)
		}
	}
	if from, _ := h.Interrupted(); from > steps+1 {
		r.Fatalf("what was interrupted begins at %d of %d", from, steps)
	}
}

// A run that was taken up and got no further than to set steps aside stood still
// since it was last at work, not since then; and for the reason that it was stopped.
func TestVoidKeepsThePause(t *testing.T) {
	worked, file := time.Unix(1e9, 0).UTC(), time.Unix(2e9, 0)
	h, err := Begin(Head{})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []journal.Record{
		{Kind: journal.KindAsk, Step: 1, Name: "meter.read"}, {Kind: journal.KindAnswer, Step: 1, Data: []byte("{}")},
		{Kind: journal.KindVoid, From: 1, Reason: "it slipped", Data: Stamp{Wall: worked}.JSON()},
		{Kind: journal.KindAside, Name: SafeEnd, Device: "patches"},
	} {
		if err := h.Append(r); err != nil {
			t.Fatal(err)
		}
	}
	if at := h.LastWritten(file); !at.Equal(worked) {
		t.Errorf("it was last at work at %v, want %v", at, worked)
	}
	if h.PauseReason() != "it slipped" {
		t.Errorf("it stands still because %q", h.PauseReason())
	}
	for _, r := range []journal.Record{{Kind: journal.KindResume}, {Kind: journal.KindAsk, Step: 1, Name: "meter.read"}} {
		if err := h.Append(r); err != nil {
			t.Fatal(err)
		}
	}
	if at := h.LastWritten(file); !at.Equal(file) {
		t.Errorf("after it went on and was cut off it was last at work at %v, want the file's time", at)
	}
}
