package history

import (
	"encoding/json"
	"maps"
	"slices"
	"testing"

	"pgregory.net/rapid"

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
