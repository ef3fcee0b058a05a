package result

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// of gives results with these values.
func of(t *testing.T, values ...Value) *Results {
	t.Helper()
	r := New()
	for _, v := range values {
		if _, err := r.Value(v); err != nil {
			t.Fatal(err)
		}
	}
	return r
}

// A renamed value is compared with what was recorded under a former id.
func TestCompareRenamed(t *testing.T) {
	crush := Value{Name: "Crushed steps", ID: "crush", Value: num(2), Unit: "code", Where: "a.lua:3"}
	other := Value{Name: "Other", Value: num(1)}
	now := func(change func(v *Value)) Value {
		v := Value{Name: "Crushed levels", Value: num(2), Unit: "code", Formerly: []string{"squashed", "crush"}}
		change(&v)
		return v
	}
	for _, c := range []struct {
		name          string
		recorded, now *Results
		want          []string
	}{
		{"renamed alone", of(t, crush, other), of(t, now(func(*Value) {}), other), nil},
		{"in another order", of(t, crush, other), of(t, other, now(func(*Value) {})), nil},
		{"and of another value", of(t, crush), of(t, now(func(v *Value) { v.Value = num(3) })), []string{"value crushed-levels: value is recorded as 2 and is 3 now"}},
		{"and of another unit", of(t, crush), of(t, now(func(v *Value) { v.Unit = "step" })), []string{`value crushed-levels: unit is recorded as "code" and is "step" now`}},
		{"not said to be renamed", of(t, crush), of(t, now(func(v *Value) { v.Formerly = nil })),
			[]string{"value crush: is recorded and is missing now", "value crushed-levels: is not recorded and is there now"}},
		{"the present id goes first", of(t, crush, now(func(v *Value) { v.Formerly = nil })),
			of(t, now(func(*Value) {})), []string{"value crush: is recorded and is missing now",
				`value crushed-levels: list of former ids is recorded as "" and is "squashed, crush" now`}},
		{"the same id with another name", of(t, crush), of(t, Value{Name: "Levels", ID: "crush", Value: num(2), Unit: "code"}),
			[]string{`value crush: name is recorded as "Crushed steps" and is "Levels" now`}},
		{"other former ids of the same id", of(t, now(func(*Value) {})), of(t, now(func(v *Value) { v.Formerly = []string{"crush"} })),
			[]string{`value crushed-levels: list of former ids is recorded as "squashed, crush" and is "crush" now`}},
	} {
		var got []string
		for _, d := range Compare(c.recorded, c.now) {
			got = append(got, d.String())
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
}

func TestFormerly(t *testing.T) {
	r := of(t, Value{Name: "Delay", Formerly: []string{"onset"}}, Value{Name: "Black"})
	for id, want := range map[string]string{"delay": "Delay", "onset": "Delay", "black": "Black"} {
		if v, ok := r.ValueNow(id); !ok || v.Name != want {
			t.Errorf("%s is %+v, want %s", id, v, want)
		}
	}
	if v, ok := r.ValueNow("white"); ok {
		t.Errorf("white is %+v, want none", v)
	}
	text, err := r.MarshalJSON()
	if err != nil || !strings.HasPrefix(string(text), `{"format":4,`) || !strings.Contains(string(text), `"name":"Delay","formerly":["onset"],"value":null}`) ||
		!strings.Contains(string(text), `{"id":"black","name":"Black","value":null}`) {
		t.Errorf("%v\n%s", err, text)
	}
	back := New()
	if err := json.Unmarshal(text, back); err != nil || len(Compare(r, back)) > 0 {
		t.Errorf("%v, it reads back with %v", err, Compare(r, back))
	}
}

func TestFormerlyRefuses(t *testing.T) {
	r := of(t, Value{Name: "Delay", Formerly: []string{"onset"}, Where: "a.lua:3"}, Value{Name: "Black"})
	for _, c := range []struct {
		v     Value
		cause error
		word  string
	}{
		{Value{Name: "Onset"}, ErrTaken, `value "Onset" has the id "onset", which is already recorded as a former id of the value "Delay" at a.lua:3; give another name`},
		{Value{Name: "N", Formerly: []string{"black"}}, ErrTaken, `value "N" has the former id "black", which is already recorded of the value "Black"; leave it out`},
		{Value{Name: "N", Formerly: []string{"x", "onset"}}, ErrTaken, `has the former id "onset", which is already recorded of the value "Delay" at a.lua:3`},
		{Value{Name: "N", Formerly: []string{"n"}}, nil, `has the id "n" twice; give each former id once, and not the present one`},
		{Value{Name: "N", Formerly: []string{"x", "x"}}, nil, `has the id "x" twice`},
		{Value{Name: "N", Formerly: []string{"A b"}}, nil, `has the former id "A b"; it must be an id, such as "peak-luminance"`},
		{Value{Name: "N", Formerly: []string{""}}, nil, `has the former id ""; it must be an id`},
	} {
		_, err := r.Value(c.v)
		fails(t, err, c.cause, c.word)
	}
	if len(r.Values()) != 2 {
		t.Errorf("there are %d values, want 2", len(r.Values()))
	}
}
