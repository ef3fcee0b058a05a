package history

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"candelua/engine/bench"
	"candelua/engine/journal"
)

// Corrected files take the places of those before them, whatever files there were, and whatever steps are set aside
// meanwhile; and a run that was read again has the same.
func TestMended(t *testing.T) {
	files := rapid.MapOfN(rapid.SampledFrom([]string{"bench.toml", "bench path", "driver meter", "driver patches", "unit.toml"}), rapid.SampledFrom([]string{"", "a", "b"}), 0, 5)
	rapid.Check(t, func(r *rapid.T) {
		first := files.Draw(r, "at the start")
		h, err := Begin(Head{Texts: first})
		if err != nil {
			r.Fatal(err)
		}
		texts := first
		for range rapid.IntRange(1, 4).Draw(r, "times") {
			if rapid.Bool().Draw(r, "a step") {
				append1(r, h, journal.Record{Kind: journal.KindAsk, Step: h.Journal.Steps() + 1, Name: "meter.read"})
				append1(r, h, journal.Record{Kind: journal.KindAnswer, Step: h.Journal.Steps() + 1, Data: []byte("{}")})
			}
			now := files.Draw(r, "now")
			m, differ := MendedOf(texts, now)
			if differ == maps.Equal(texts, now) {
				r.Fatalf("%v and %v differ: %v", texts, now, differ)
			}
			args, err := json.Marshal(m)
			if err != nil {
				r.Fatal(err)
			}
			append1(r, h, journal.Record{Kind: journal.KindAside, Name: Bench, Args: args})
			if texts = now; h.Journal.Steps() > 0 && rapid.Bool().Draw(r, "set aside") {
				append1(r, h, journal.Record{Kind: journal.KindVoid, From: 1, Reason: "slipped"})
			}
			last := h.Mends[len(h.Mends)-1]
			if !slices.EqualFunc(last.Changed, slices.Sorted(maps.Keys(m.Texts)), func(s ScriptSum, name string) bool { return s.Name == name && s.SHA256 == Sum([]byte(now[name])) }) {
				r.Fatalf("%v are told of %v", last, m)
			}
		}
		again, err := Read(h.Journal)
		if err != nil {
			r.Fatal(err)
		}
		if !maps.Equal(h.Texts(), texts) || !maps.Equal(again.Texts(), texts) || !maps.Equal(h.Head.Texts, first) {
			r.Fatalf("the files are %v, read again %v, want %v; at the start %v", h.Texts(), again.Texts(), texts, h.Head.Texts)
		}
	})
}

func append1(r *rapid.T, h *History, record journal.Record) {
	if err := h.Append(record); err != nil {
		r.Fatal(err)
	}
}

// Tries are told of the steps in effect alone, whatever was set aside and taken again, and a run that was read again tells the
// same.
func TestTried(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		h, err := Begin(Head{Devices: []bench.Named{{Name: "meter", Identity: bench.Identity{Name: "Dunlin"}}}})
		if err != nil {
			r.Fatal(err)
		}
		type step struct {
			samples []int
			tries   int
		}
		var kept []step
		for range rapid.IntRange(1, 12).Draw(r, "steps") {
			if n := len(kept); n > 0 && rapid.IntRange(0, 3).Draw(r, "set aside") == 0 {
				from := rapid.IntRange(1, n).Draw(r, "from")
				append1(r, h, journal.Record{Kind: journal.KindVoid, From: from, Reason: "slipped"})
				kept = kept[:from-1]
			}
			s := step{samples: rapid.SliceOfN(rapid.IntRange(0, 4), 0, 3).Draw(r, "samples"), tries: rapid.IntRange(1, 3).Draw(r, "tries")}
			n, name := len(kept)+1, "meter.read"
			if len(s.samples) == 0 {
				name = "meter.dark"
			}
			for range rapid.IntRange(1, 2).Draw(r, "asks") { // the first may be cut off before its answer
				append1(r, h, journal.Record{Kind: journal.KindAsk, Step: n, Name: name, Device: "meter"})
				for _, tries := range s.samples {
					data, err := json.Marshal(map[string]any{"Y": 1, "tries": tries})
					if err != nil {
						r.Fatal(err)
					}
					append1(r, h, journal.Record{Kind: journal.KindSample, Step: n, Data: data})
				}
			}
			if s.tries > 1 {
				append1(r, h, journal.Record{Kind: journal.KindAside, Name: Tries, Args: fmt.Appendf(nil, `{"tries":%d}`, s.tries)})
			}
			append1(r, h, journal.Record{Kind: journal.KindAnswer, Step: n, Data: []byte("{}")})
			kept = append(kept, s)
		}
		var want []Tried
		readings, darks := Tried{Device: "meter", Called: "Dunlin"}, Tried{Device: "meter", Called: "Dunlin", Step: "meter.dark"}
		for _, s := range kept {
			for _, n := range s.samples {
				readings.count(n)
			}
			if len(s.samples) == 0 {
				darks.count(s.tries)
			}
		}
		for _, t := range []Tried{readings, darks} {
			if t.Again > 0 {
				want = append(want, t)
			}
		}
		again, err := Read(h.Journal)
		if err != nil {
			r.Fatal(err)
		}
		for _, h := range []*History{h, again} {
			if got, err := h.Tried(); err != nil || !slices.Equal(got, want) {
				r.Fatalf("tried is %v (%v), want %v", got, err, want)
			}
		}
	})
}

func (t *Tried) count(n int) {
	if t.Of++; n > 1 {
		t.Again, t.Most = t.Again+1, max(t.Most, n)
	}
}
