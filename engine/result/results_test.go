package result

import (
	"math"
	"strings"
	"testing"
)

func TestValue(t *testing.T) {
	r := New()
	v, err := r.Value(Value{Name: "Peak luminance", Value: num(812.4), Unit: "cd/m2", Tolerance: &Tolerance{Min: num(800)}, Where: "a.lua:3"})
	if err != nil || v.ID != "peak-luminance" || v.Finding != Pass {
		t.Errorf("value is %+v, %v", v, err)
	}
	v, err = r.Value(Value{Name: "Half-life", Unit: "s", Tolerance: &Tolerance{Max: num(60)}, Why: "it never decayed"})
	if err != nil || v.Finding != NotEvaluated || v.Why != "it never decayed" {
		t.Errorf("value is %+v, %v", v, err)
	}
	v, err = r.Value(Value{Name: "Black", Value: num(0.005), Bound: Upper, Tolerance: &Tolerance{Max: num(0.003)}})
	if err != nil || v.Finding != NotEvaluated || v.Why != "an upper bound of 0.005 does not show that it is at most 0.003" {
		t.Errorf("value is %+v, %v", v, err)
	}
	v, err = r.Value(Value{Name: "Black, seen", Text: "gl\xff\x00w"})
	if err != nil || v.Finding != "" || v.Text != "gl\uFFFD\x00w" {
		t.Errorf("value is %+v, %v", v, err)
	}
	if got, ok := r.ValueByID("black"); !ok || got != r.Values()[2] {
		t.Errorf("value by id is %v, %v", got, ok)
	}
	if _, ok := r.ValueByID("none"); ok {
		t.Error("there is a value that was never recorded")
	}
}

func TestValueIsACopy(t *testing.T) {
	given := Value{Name: "N", Value: num(1), U: num(2), Interval: &[2]float64{0, 2}, Tolerance: &Tolerance{Max: num(3)}}
	kept, err := New().Value(given)
	if err != nil {
		t.Fatal(err)
	}
	*given.Value, *given.U, given.Interval[0], *given.Tolerance.Max = 9, 9, 9, 9
	if *kept.Value != 1 || *kept.U != 2 || kept.Interval[0] != 0 || *kept.Tolerance.Max != 3 {
		t.Errorf("kept value changed with the given one: %+v", kept)
	}
}

func TestValueErrors(t *testing.T) {
	r := New()
	if _, err := r.Value(Value{Name: "Peak", Value: num(1), Where: "a.lua:3"}); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		v     Value
		cause error
		word  string
	}{
		{Value{Name: "peak!"}, ErrTaken, `value "peak!": id "peak" is already recorded at a.lua:3`},
		{Value{Name: "Other", ID: "peak"}, ErrTaken, "a.lua:3"},
		{Value{}, nil, `name is ""; it must be 1 to 200 bytes`},
		{Value{Name: strings.Repeat("n", maxName+1)}, nil, "it must be 1 to 200 bytes"},
		{Value{Name: "′"}, nil, "give an id"},
		{Value{Name: "N", ID: "a--b"}, nil, `such as "a-b"`},
		{Value{Name: "N", ID: "../x"}, nil, "id is"},
		{Value{Name: "N", Value: num(math.NaN())}, nil, `value "N" is NaN; it must be a finite number; if there is none`},
		{Value{Name: "N", Value: num(1), Text: "one"}, nil, "both a number and a text"},
		{Value{Name: "N", Value: num(1), U: num(-1)}, nil, "uncertainty -1"},
		{Value{Name: "N", Value: num(1), U: num(math.Inf(1))}, nil, "uncertainty +Inf"},
		{Value{Name: "N", Value: num(1), Interval: &[2]float64{2, 1}}, nil, "interval [2 1]; it must be two finite numbers, the lower first"},
		{Value{Name: "N", Value: num(1), Interval: &[2]float64{math.NaN(), 1}}, nil, "interval"},
		{Value{Name: "N", Value: num(1), Bound: "above"}, nil, `bound "above"; it must be "upper", "lower" or none`},
		{Value{Name: "N", U: num(1)}, nil, "no number; it must have a number too"},
		{Value{Name: "N", Bound: Upper}, nil, "no number"},
		{Value{Name: "N", Text: "t", Tolerance: &Tolerance{Max: num(1)}}, nil, "is a text with a tolerance"},
		{Value{Name: "N", Value: num(1), Tolerance: &Tolerance{}}, nil, "tolerance without a limit"},
		{Value{Name: "N", Why: strings.Repeat("w", maxText+1)}, nil, "text of 16385 bytes"},
	} {
		v, err := r.Value(c.v)
		fails(t, err, c.cause, c.word)
		if v != nil {
			t.Errorf("a refused value was returned: %+v", v)
		}
	}
	if len(r.Values()) != 1 {
		t.Errorf("there are %d values, want 1", len(r.Values()))
	}
}

func TestPlotAndNote(t *testing.T) {
	r := New()
	tab, _ := r.Table("Sweep", "", []Column{{"window", "%"}, {"luminance", "cd/m2"}})
	p, err := r.Plot(Plot{Table: tab.ID, X: "window", Y: []string{"luminance"}, LogX: true, Where: "a.lua:9"})
	if err != nil || p.ID != "sweep-luminance-window" || p.Title != "Sweep" {
		t.Errorf("plot is %+v, %v", p, err)
	}
	for _, c := range []struct {
		p     Plot
		cause error
		word  string
	}{
		{Plot{Table: "sweep", X: "window", Y: []string{"luminance"}}, ErrTaken, "a.lua:9"},
		{Plot{Table: "other", X: "window", Y: []string{"luminance"}}, nil, `table "other" is not recorded`},
		{Plot{Table: "sweep", X: "window"}, nil, "no column for y"},
		{Plot{Table: "sweep", X: "widow", Y: []string{"luminance"}}, errNoColumn, `did you mean "window"`},
		{Plot{Table: "sweep", X: "window", Y: []string{"luminanc"}}, errNoColumn, `did you mean "luminance"`},
		{Plot{Table: "sweep", ID: "A", X: "window", Y: []string{"luminance"}}, nil, `such as "a"`},
	} {
		_, err := r.Plot(c.p)
		fails(t, err, c.cause, c.word)
	}
	if err := r.Note(Note{Text: "cold", Level: Doubt}); err != nil {
		t.Error(err)
	}
	fails(t, r.Note(Note{Text: " "}), nil, "note is empty")
	fails(t, r.Note(Note{Text: "t", Level: "loud"}), nil, `level "loud"; it must be "doubt" or none`)
	fails(t, r.Note(Note{Text: strings.Repeat("t", maxText+1)}), nil, "16385 bytes")
	if len(r.Plots()) != 1 || len(r.Notes()) != 1 || len(r.Tables()) != 1 {
		t.Errorf("kept %d plots, %d notes, %d tables, want one each", len(r.Plots()), len(r.Notes()), len(r.Tables()))
	}
}

func TestResultsAreBounded(t *testing.T) {
	r := New()
	tab, _ := r.Table("T", "", []Column{{"a", ""}})
	r.values = make([]*Value, maxValues)
	r.notes = make([]Note, maxNotes)
	_, err := r.Value(Value{Name: "N"})
	fails(t, err, nil, "at most 10000 values")
	fails(t, r.Note(Note{Text: "t"}), nil, "at most 10000 notes")
	for len(r.plots) < maxPlots {
		r.plots = append(r.plots, &Plot{})
	}
	_, err = r.Plot(Plot{Table: tab.ID, X: "a", Y: []string{"a"}})
	fails(t, err, nil, "at most 1000 plots")
	for len(r.tables) < maxTables {
		r.tables = append(r.tables, &Table{})
	}
	_, err = r.Table("U", "", []Column{{"a", ""}})
	fails(t, err, nil, "at most 1000 tables")
}

func TestFinding(t *testing.T) {
	pass := Value{Value: num(1), Tolerance: &Tolerance{Max: num(2)}}
	fail := Value{Value: num(3), Tolerance: &Tolerance{Max: num(2)}}
	missing := Value{Tolerance: &Tolerance{Max: num(2)}}
	plain := Value{Value: num(3)}
	for _, c := range []struct {
		values []Value
		want   Finding
	}{
		{nil, ""},
		{[]Value{plain}, ""},
		{[]Value{plain, pass}, Pass},
		{[]Value{pass, missing, plain}, NotEvaluated},
		{[]Value{missing, fail, pass}, Fail},
	} {
		r := New()
		for i, v := range c.values {
			v.Name = string(rune('a' + i))
			if _, err := r.Value(v); err != nil {
				t.Fatal(err)
			}
		}
		if got := r.Finding(); got != c.want {
			t.Errorf("finding of %v is %q, want %q", c.values, got, c.want)
		}
	}
}
