package result

import (
	"encoding/json"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestRemarks: of generated results, a number has a remark in JSON just where it is outside of its own
// interval, and what is read again has the same.
func TestRemarks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		near := rapid.Float64Range(-3, 3)
		ends := func() (low, high float64) {
			low, high = near.Draw(t, "an end"), near.Draw(t, "an end")
			return min(low, high), max(low, high)
		}
		r, outside := New(), 0
		x, u, bias := near.Draw(t, "value"), 1., near.Draw(t, "bias")
		low, high := ends()
		if rapid.Bool().Draw(t, "at an end") {
			x = low
		}
		v := Value{Name: "V", Value: &x, U: &u, Interval: &[2]float64{low, high}, Method: "reflected"}
		if rapid.Bool().Draw(t, "pushed") {
			v.Bias = &bias
		}
		if _, err := r.Value(v); err != nil {
			t.Fatal(err)
		}
		if x < low || x > high {
			outside++
		}
		tab, err := r.Table("T", "", []Column{{"a", ""}, {"b", ""}})
		if err != nil {
			t.Fatal(err)
		}
		inTable := false
		cells := rapid.SliceOfN(near, 3, 3).Draw(t, "cells")
		for _, y := range cells {
			if err := tab.Add(map[string]any{"a": "text", "b": y}); err != nil {
				t.Fatal(err)
			}
		}
		for i, y := range cells {
			low, high := ends()
			for k := range 2 { // a text has no interval that it could be outside of
				if err := tab.SetSpread(i, k, Spread{1, low, high}); err != nil {
					t.Fatal(err)
				}
			}
			inTable = inTable || y < low || y > high
		}
		if inTable {
			outside++
		}
		text, err := r.MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(string(text), `"remark":"`); n != outside {
			t.Fatalf("%d remarks, want %d:\n%s", n, outside, text)
		}
		again := New()
		if err := json.Unmarshal(text, again); err != nil {
			t.Fatal(err)
		}
		if second, err := again.MarshalJSON(); err != nil || string(second) != string(text) {
			t.Fatalf("%v; read again it is\n%s\nand was\n%s", err, second, text)
		}
		if differ := Compare(r, again); len(differ) > 0 {
			t.Fatalf("read again it differs: %v", differ)
		}
	})
}

// TestRemarkWords: a remark says on which side the value is, and what errors may have done; it
// names no more cells than can be read.
func TestRemarkWords(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		bias      *float64
		want      string
	}{
		{1, 2, num(0.5), "above its own 95 % interval: with random errors added to the readings, the script mostly gives higher numbers than this one, so"},
		{4, 5, num(-0.5), "below its own 95 % interval: with random errors added to the readings, the script mostly gives lower numbers than this one, so"},
		{4, 5, nil, "mostly gives other numbers than this one; check"},
	} {
		v := Value{Value: num(3), Interval: &[2]float64{c.low, c.high}, Bias: c.bias}
		if got := v.Remark(); !strings.Contains(got, c.want) {
			t.Errorf("%v to %v: %s", c.low, c.high, got)
		}
	}
	tab, err := New().Table("T", "", []Column{{"a", ""}})
	if err != nil {
		t.Fatal(err)
	}
	for range 9 {
		if err := tab.Add(map[string]any{"a": 3}); err != nil {
			t.Fatal(err)
		}
	}
	for i := range 9 {
		if err := tab.SetSpread(i, 0, Spread{1, 4, 5}); err != nil {
			t.Fatal(err)
		}
	}
	if got := tab.Remark(); !strings.Contains(got, "row 6, a; and 3 more.") || strings.Contains(got, "row 7") {
		t.Errorf("of nine: %s", got)
	}
	if got := tab.Remark("b"); got != "" {
		t.Errorf("of another column: %s", got)
	}
}

// TestWhyFewerDraws: why fewer draws were made than were to be is in the file, and is read again.
func TestWhyFewerDraws(t *testing.T) {
	r := New()
	r.SetDraws(&Draws{Count: 217, Asked: 500, Ended: EndedByWork, Note: "the uncertainties are from 217 repeated computations"})
	text, err := r.MarshalJSON()
	if want := `"draws":{"count":217,"divergent":0,"failed":0,"asked":500,"ended":"work","note":"the uncertainties are from 217 repeated computations"}`; err != nil || !strings.Contains(string(text), want) || !strings.HasPrefix(string(text), `{"format":5,`) {
		t.Fatalf("%v: %s", err, text)
	}
	again := New()
	if err := json.Unmarshal(text, again); err != nil || *again.Draws() != *r.Draws() {
		t.Errorf("%v: %+v", err, again.Draws())
	}
}

// TestNotKnown: that an uncertainty is not known is in the JSON form of values and of tables, which is format 6 then, reads
// back as it was, and is compared as an uncertainty is.
func TestNotKnown(t *testing.T) {
	make := func(unknown bool) *Results {
		r := New()
		v, err := r.Value(Value{Name: "Lux", Value: num(800), Unit: "lx"})
		if err != nil {
			t.Fatal(err)
		}
		tab, err := r.Table("Rows", "", []Column{{Name: "n"}, {Name: "lux", Unit: "lx"}, {Name: "ratio"}})
		if err != nil {
			t.Fatal(err)
		}
		for i := range 2 {
			if err := tab.Add(map[string]any{"n": float64(i), "lux": 800., "ratio": 2.}); err != nil {
				t.Fatal(err)
			}
		}
		r.SetDraws(&Draws{Count: 100})
		v.Method = "constant"
		if unknown {
			v.Method, v.Why = NotKnown, "its uncertainty is not known: it depends on what rig.lux read"
			tab.SetNotKnown(1, "why")
			tab.SetNotKnown(2, "why")
			tab.SetNotKnown(1, "another reason, which comes too late")
			tab.SetNotKnown(7, "no such column")
		}
		return r
	}
	text, err := json.Marshal(make(true))
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{`{"format":6,`, `"method":"not known"`, `"not_known":[` + "\n" + `{"column":"lux","why":"why"},` + "\n" + `{"column":"ratio","why":"why"}]`, `"remark":"lux, ratio: why"`} {
		if !strings.Contains(string(mustIndent(t, make(true))), part) {
			t.Errorf("lacks %s:\n%s", part, mustIndent(t, make(true)))
		}
	}
	var back Results
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	if tab := back.Tables()[0]; tab.NotKnown("lux") != "why" || tab.NotKnown("n") != "" || tab.Remark("n") != "" {
		t.Errorf("reads back as %+v", tab)
	}
	if again, err := json.Marshal(&back); err != nil || string(again) != string(text) {
		t.Errorf("is written again as %s (%v)", again, err)
	}
	if d := Compare(make(true), &back); len(d) > 0 {
		t.Errorf("differs from itself: %v", d)
	}
	all := Compare(make(true), make(false))
	if len(all) != 2 {
		t.Errorf("differences are %v, want one of the value and one of the table", all)
	}
	for _, d := range all {
		if d.Of() != OfUncertainty {
			t.Errorf("%v is no difference of uncertainty", d)
		}
	}
	for part, with := range map[string]string{`"column":"lux"`: `"column":"nox"`, `"column":"ratio","why"`: `"column":"lux","why"`, `"lux","why":"why"`: `"lux","why":""`} {
		if err := json.Unmarshal([]byte(strings.Replace(string(text), part, with, 1)), New()); err == nil {
			t.Errorf("%s in place of %s is taken", with, part)
		}
	}
}

// mustIndent is the JSON form with its lines.
func mustIndent(t *testing.T, r *Results) []byte {
	text, err := r.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	return text
}
