package result

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// filled gives results with one of each thing.
func filled(t testing.TB) *Results {
	t.Helper()
	r := New()
	keep := func(err error) {
		if err != nil {
			t.Fatal(err)
		}
	}
	_, err := r.Value(Value{Name: "Peak luminance", Value: num(812.4), Unit: "cd/m2", U: num(8.1), Interval: &[2]float64{796, 829},
		Tolerance: &Tolerance{Min: num(800)}, Where: "a.lua:3"})
	keep(err)
	_, err = r.Value(Value{Name: "Δu′v′ < 1 & \"so\"", Value: num(1e-7), Bound: Upper})
	keep(err)
	_, err = r.Value(Value{Name: "Half-life", Tolerance: &Tolerance{Max: num(60)}, Why: "never"})
	keep(err)
	tab, err := r.Table("Sweep", "", []Column{{"window", "%"}, {"luminance", "cd/m2"}, {"flag", ""}})
	keep(err)
	tab.Where = "a.lua:5"
	keep(tab.Add(map[string]any{"window": 1, "luminance": 0.30000000000000004}))
	keep(tab.Add(map[string]any{"window": 10, "luminance": 805.5, "flag": "drifting"}))
	keep(tab.Add(map[string]any{"flag": false}))
	_, err = r.Table("None yet", "", []Column{{"a", ""}})
	keep(err)
	_, err = r.Plot(Plot{Table: "sweep", X: "window", Y: []string{"luminance"}, LogX: true})
	keep(err)
	keep(r.Note(Note{Text: "cold", Level: FormerDoubt, Where: "a.lua:9"}))
	return r
}

const golden = `{"format":1,"kind":"candelua-results",
"values":[
{"id":"peak-luminance","name":"Peak luminance","value":812.4,"unit":"cd/m2","u":8.1,"interval":[796,829],"tolerance":{"min":800},"finding":"pass","where":"a.lua:3"},
{"id":"delta-u-v-1-so","name":"Δu′v′ < 1 & \"so\"","value":1e-7,"bound":"upper"},
{"id":"half-life","name":"Half-life","value":null,"tolerance":{"max":60},"finding":"not_evaluated","why":"never"}],
"tables":[
{"id":"sweep","name":"Sweep","where":"a.lua:5","columns":[{"name":"window","unit":"%"},{"name":"luminance","unit":"cd/m2"},{"name":"flag"}],
"rows":[
[1,0.30000000000000004,null],
[10,805.5,"drifting"],
[null,null,false]]},
{"id":"none-yet","name":"None yet","columns":[{"name":"a"}],
"rows":[]}],
"plots":[
{"id":"sweep-luminance-window","title":"Sweep","table":"sweep","x":"window","y":["luminance"],"log_x":true}],
"diagrams":[],
"notes":[
{"text":"cold","level":"caution","where":"a.lua:9"}]}`

func TestJSONBytes(t *testing.T) {
	got, err := filled(t).MarshalJSON()
	if err != nil || string(got) != golden {
		t.Errorf("%v\n%s\nwant\n%s", err, got, golden)
	}
	empty, err := New().MarshalJSON()
	want := "{\"format\":1,\"kind\":\"candelua-results\",\n\"values\":[],\n\"tables\":[],\n\"plots\":[],\n\"diagrams\":[],\n\"notes\":[]}"
	if err != nil || string(empty) != want {
		t.Errorf("%v, empty results are %s", err, empty)
	}
}

func TestJSONRoundTrip(t *testing.T) {
	r := New()
	if err := json.Unmarshal([]byte(golden), r); err != nil {
		t.Fatal(err)
	}
	again, err := r.MarshalJSON()
	if err != nil || string(again) != golden {
		t.Errorf("%v\n%s", err, again)
	}
	if d := Compare(filled(t), r); len(d) > 0 {
		t.Errorf("read results differ: %v", d)
	}
	tab, _ := r.TableByID("sweep")
	r.room = 2 // the read tables draw from the read results
	fails(t, tab.Add(nil), nil, "cells in all")
}

// A table and a value alone have the same form, for whoever embeds them.
func TestJSONOfATableAlone(t *testing.T) {
	tab := filled(t).Tables()[0]
	text, err := json.Marshal(struct {
		Tables []*Table `json:"tables"`
	}{[]*Table{tab}})
	if err != nil {
		t.Fatal(err)
	}
	want := `{"tables":[{"id":"sweep","name":"Sweep","where":"a.lua:5","columns":[{"name":"window","unit":"%"},{"name":"luminance","unit":"cd/m2"},{"name":"flag"}],` +
		`"rows":[[1,0.30000000000000004,null],[10,805.5,"drifting"],[null,null,false]]}]}`
	if string(text) != want {
		t.Errorf("got %s", text)
	}
}

func TestJSONErrors(t *testing.T) {
	change := func(from, to string) string {
		if !strings.Contains(golden, from) {
			t.Fatalf("the sample has no %q", from)
		}
		return strings.Replace(golden, from, to, 1)
	}
	for _, c := range []struct {
		text  string
		cause error
		word  string
	}{
		{change(`"format":1`, `"format":7`), ErrNewer, "format is 7, newer than this candelua reads (up to 6); update candelua"},
		{change(`"format":1`, `"format":0`), nil, "format is 0; it must be 1 to 6"},
		{change(`"format":1,`, ``), nil, "format is 0"},
		{change(`candelua-results`, `candelua-run`), nil, `kind is "candelua-run"; it must be "candelua-results"`},
		{change(`"unit":"cd/m2","u"`, `"colour":"red","u"`), nil, `unknown field "colour"`},
		{change(`"notes"`, `"remarks"`), nil, `unknown field "remarks"`},
		{change(`"value":812.4`, `"value":1e999`), nil, "1e999"},
		{change(`"value":812.4`, `"value":"812.4"`), nil, "string"},
		{change(`"finding":"pass"`, `"finding":"passed"`), nil, `finding "passed"`},
		{change(`"finding":"pass",`, ``), nil, `finding ""`},
		{change(`"bound":"upper"`, `"finding":"pass"`), nil, "no tolerance"},
		{change(`"half-life"`, `"peak-luminance"`), ErrTaken, "a.lua:3"},
		{change(`"id":"sweep"`, `"id":"../sweep"`), nil, "id is"},
		{change(`"id":"none-yet"`, `"id":"sweep"`), ErrTaken, "a.lua:5"},
		{change(`[10,805.5,"drifting"]`, `[10,805.5]`), nil, "row 2 has 2 cells; it must have 3"},
		{change(`[10,805.5,"drifting"]`, `[10,805.5,{}]`), nil, "it must be a number, a text, true or false"},
		{change(`[10,805.5,"drifting"]`, `[10,1e400,0]`), nil, "1e400"},
		{change(`"x":"window"`, `"x":"widow"`), errNoColumn, "widow"},
		{change(`"table":"sweep"`, `"table":"swoop"`), nil, "swoop"},
		{change(`"level":"caution"`, `"level":"shout"`), nil, "shout"},
		{change(`{"text":"cold"`, `{"text":""`), nil, "note is empty"},
		{`{"format":1,"kind":"candelua-results","values":[null]}`, nil, "value is null"},
		{`{"format":1,"kind":"candelua-results","tables":[null]}`, nil, "table is null"},
		{golden[:200], nil, "unexpected end"},
		{golden + "x", nil, "invalid character"},
		{`[]`, nil, "array"},
		{``, nil, "unexpected end"},
	} {
		r := New()
		err := json.Unmarshal([]byte(c.text), r)
		fails(t, err, c.cause, c.word)
		if len(r.Values()) > 0 {
			t.Errorf("refused results were kept (%s)", c.word)
		}
	}
}

// Numbers cannot be written that JSON has not; what was recorded is checked,
// but an uncertainty is added to a kept value later.
func TestJSONRefusesNaN(t *testing.T) {
	r := New()
	v, _ := r.Value(Value{Name: "N", Value: num(1)})
	v.U = num(math.NaN())
	_, err := r.MarshalJSON()
	var unsupported *json.UnsupportedValueError
	if !errors.As(err, &unsupported) || !strings.Contains(err.Error(), "values") {
		t.Errorf("error is %v", err)
	}
}

func TestNumberReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64().Draw(t, "f")
		if !finite(f) {
			return
		}
		var back float64
		if err := json.Unmarshal([]byte(Number(f)), &back); err != nil || math.Float64bits(back) != math.Float64bits(f) {
			t.Fatalf("%v became %s and %v", f, Number(f), back)
		}
	})
}

// drawResults makes results of any content that recording takes.
func drawResults(t *rapid.T) *Results {
	r := New()
	number := rapid.Float64().Filter(finite)
	text := rapid.StringN(0, 20, -1)
	optional := func(name string) *float64 {
		if rapid.Bool().Draw(t, name+" there") {
			return num(number.Draw(t, name))
		}
		return nil
	}
	for range rapid.IntRange(0, 4).Draw(t, "values") {
		v := Value{Name: text.Draw(t, "name"), Value: optional("value"), Unit: text.Draw(t, "unit"), U: optional("u"),
			Bound: rapid.SampledFrom([]Bound{"", Upper, Lower}).Draw(t, "bound"), Why: text.Draw(t, "why")}
		if limit := optional("max"); limit != nil {
			v.Tolerance = &Tolerance{Max: limit}
		}
		_, _ = r.Value(v) // a refused one is not part of the results
	}
	for range rapid.IntRange(0, 3).Draw(t, "tables") {
		tab, err := r.Table(text.Draw(t, "name"), "", []Column{{"a", text.Draw(t, "unit")}, {"b", ""}})
		if err != nil {
			continue
		}
		cell := rapid.OneOf(rapid.Map(number, Num), rapid.Map(text, Text), rapid.Map(rapid.Bool(), truth), rapid.Just(Cell{}))
		for range rapid.IntRange(0, 5).Draw(t, "rows") {
			if err := tab.Add(map[string]any{"a": cell.Draw(t, "a"), "b": cell.Draw(t, "b")}); err != nil {
				t.Fatal(err)
			}
		}
		_, _ = r.Plot(Plot{Title: text.Draw(t, "title"), Table: tab.ID, X: "a", Y: []string{"b"}})
	}
	_ = r.Note(Note{Text: text.Draw(t, "note")})
	return r
}

func TestJSONRoundTripProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawResults(t)
		text, err := r.MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		back := New()
		if err := json.Unmarshal(text, back); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		again, err := back.MarshalJSON()
		if err != nil || !bytes.Equal(text, again) {
			t.Fatalf("%v\n%s\nbecame\n%s", err, text, again)
		}
		if d := Compare(r, back); len(d) > 0 {
			t.Fatal(d)
		}
	})
}

// Whatever is read is written, and reads as the same.
func FuzzResults(f *testing.F) {
	f.Add([]byte(golden))
	f.Add([]byte(`{"format":1,"kind":"candelua-results"}`))
	f.Add([]byte(`{"format":1,"kind":"candelua-results","values":[{"name":"a","id":"a","value":-0}],"values":[{"id":"b"}]}`))
	f.Add([]byte(`{"format":1,"kind":"candelua-results","tables":[{"id":"a","name":"A","columns":[{"name":"x"}],"rows":[[1],["\ud800"],null]}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		r := New()
		if json.Unmarshal(data, r) != nil {
			return
		}
		text, err := r.MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		back := New()
		if err := json.Unmarshal(text, back); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		again, _ := back.MarshalJSON()
		if !bytes.Equal(text, again) || len(Compare(r, back)) > 0 {
			t.Fatalf("%s\nbecame\n%s", text, again)
		}
	})
}

func BenchmarkMarshal(b *testing.B) {
	r := New()
	tab, _ := r.Table("T", "", []Column{{"x", ""}, {"y", ""}})
	for i := range 1000 {
		_ = tab.Add(map[string]any{"x": i, "y": float64(i) / 7})
	}
	for b.Loop() {
		if _, err := r.MarshalJSON(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkValue(b *testing.B) {
	v := Value{Name: "Luminance, 10 % window", Value: num(805.5), Unit: "cd/m2", Tolerance: &Tolerance{Min: num(800)}}
	for b.Loop() {
		if _, err := New().Value(v); err != nil {
			b.Fatal(err)
		}
	}
}

// A doubt is a word of format 5; a note by its former word is of the format that had it.
func TestFormatOfDoubts(t *testing.T) {
	for level, want := range map[Level]string{Doubt: `{"format":5,`, FormerDoubt: `{"format":1,`, "": `{"format":1,`} {
		r := New()
		if err := r.Note(Note{Text: "cold", Level: level}); err != nil {
			t.Fatal(err)
		}
		text, err := r.MarshalJSON()
		if err != nil || !strings.HasPrefix(string(text), want) {
			t.Errorf("level %q: %v, %s", level, err, text)
		}
		back := New()
		if err := back.UnmarshalJSON(text); err != nil || back.Notes()[0].Level != level {
			t.Errorf("level %q: read back with %v", level, err)
		}
	}
}
