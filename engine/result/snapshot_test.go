package result

import (
	"bytes"
	"fmt"
	"testing"

	"pgregory.net/rapid"
)

// record records one thing of any kind into results, as scripts and uncertainties do.
func record(t *rapid.T, r *Results, n int) {
	name := fmt.Sprintf("thing %d", n)
	number := rapid.Float64Range(-1e6, 1e6).Draw(t, "number")
	var err error
	switch rapid.IntRange(0, 6).Draw(t, "kind") {
	case 0:
		_, err = r.Value(Value{Name: name, Value: &number, Unit: "cd/m2", Formerly: []string{fmt.Sprintf("former-%d", n)}})
	case 1:
		_, err = r.Table(name, "", []Column{{Name: "a"}, {Name: "b", Unit: "s"}})
	case 2:
		for _, table := range r.Tables() {
			err = table.Add(map[string]any{"a": number, "b": name})
		}
	case 3:
		err = r.Note(Note{Text: name})
	case 4:
		for _, table := range r.Tables() {
			if table.Len() > 0 {
				err = table.SetSpread(table.Len()-1, 0, Spread{U: 1, Low: number - 2, High: number + 2})
				table.AddDoubt(0, 1, name)
			}
			if err == nil {
				_, err = r.Plot(Plot{ID: fmt.Sprintf("plot-%d-%s", n, table.ID), Table: table.ID, X: "a", Y: []string{"b"}})
			}
		}
	case 5:
		_, err = r.Diagram(Diagram{Title: name, Kind: Distribution, Values: []float64{1, number}})
	case 6:
		for _, v := range r.Values() {
			u := 1 + number*number
			v.U = &u
			v.AddDoubt(name)
		}
		r.SetDraws(&Draws{Count: n})
	}
	if err != nil {
		t.Fatal(err)
	}
}

func bytesOf(t *rapid.T, r *Results) []byte {
	text, err := r.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// A copy is as the results were, finds the same ids, and stays so whatever is recorded later; the copy's own recording leaves the results as they were.
func TestSnapshot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := New()
		for n := range rapid.IntRange(0, 12).Draw(t, "before") {
			record(t, r, n)
		}
		was := bytesOf(t, r)
		s := r.Snapshot()
		if !bytes.Equal(bytesOf(t, s), was) {
			t.Fatalf("the copy is\n%s\nof\n%s", bytesOf(t, s), was)
		}
		for _, v := range r.Values() {
			if got, ok := s.ValueNow(v.Formerly[0]); !ok || got == v || got.ID != v.ID {
				t.Fatalf("the copy finds %v of %v", got, v)
			}
		}
		for n := range rapid.IntRange(1, 8).Draw(t, "after") {
			record(t, r, 100+n)
		}
		if !bytes.Equal(bytesOf(t, s), was) {
			t.Fatalf("the copy has become\n%s\nof\n%s", bytesOf(t, s), was)
		}
		now := bytesOf(t, r)
		for n := range rapid.IntRange(1, 8).Draw(t, "in the copy") {
			record(t, s, 200+n)
		}
		if !bytes.Equal(bytesOf(t, r), now) {
			t.Fatalf("recording in the copy changed the results to\n%s\nfrom\n%s", bytesOf(t, r), now)
		}
	})
}

// BenchmarkSnapshot is what it costs to look at large results: a table of 10,000 rows and 200 values.
func BenchmarkSnapshot(b *testing.B) {
	r := New()
	table, err := r.Table("Rows", "", []Column{{Name: "a"}, {Name: "b"}})
	for n := 0; err == nil && n < 10_000; n++ {
		err = table.Add(map[string]any{"a": float64(n), "b": 1.0})
	}
	number := 1.0
	for n := 0; err == nil && n < 200; n++ {
		_, err = r.Value(Value{Name: fmt.Sprintf("value %d", n), Value: &number, Unit: "cd/m2"})
	}
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		r.Snapshot()
	}
}
