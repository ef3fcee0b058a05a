package builtins

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/result"
)

// uncertain is a rig whose single readings have 1 % of uncertainty and never
// are alike.
func uncertain() *rig {
	r := newRig()
	r.about.Accuracy = bench.Accuracy{Repeatability: 1}
	r.light = func(s float64) bench.Sample { return bench.Sample{X: 95 * s, Y: 100 * s, Z: 109 * s, Colour: true} }
	return r
}

func TestRecordValue(t *testing.T) {
	r := uncertain()
	err := r.play(t, `
local a, b = meter.read(), meter.read()
record.value { name = "Reading", value = a }
record.value { name = "Luminance", value = a.Y, unit = "cd/m2", from = a }
record.value { name = "X", value = a.X, unit = "cd/m2", from = { a } }
record.value { name = "No origin", value = a.Y, unit = "cd/m2" }
record.value { name = "Derived", value = a.Y * 2 - b.Y + 50, unit = "cd/m2" }
record.value { name = "Of", value = b.Y, unit = "nit", of = b }
record.value { name = "Text", value = "10 to 18 %" }
record.value { name = "Nothing", why = "no light" }
record.value { name = "Own id", id = "mine", value = 5, bound = "upper" }
record.value { name = "Unit kept", value = a, unit = "nit" }
record.value { name = "Black", value = nil, bound = "upper" }
record.value { name = "Bound", value = a.Y, unit = "cd/m2", bound = "upper" }
record.value { name = "Bound of", value = a.Y, unit = "cd/m2", bound = "lower", of = a }`)
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		id    string
		value float64
		u     float64 // 0: none
		unit  string
	}{
		{"reading", 100, 1, "cd/m2"}, {"luminance", 100, 1, "cd/m2"}, {"x", 95, 0.95, "cd/m2"}, {"no-origin", 100, 0, "cd/m2"},
		{"derived", 50, 0, "cd/m2"}, {"of", 200, 2, "nit"}, {"text", 0, 0, ""}, {"nothing", 0, 0, ""}, {"mine", 5, 0, ""}, {"unit-kept", 100, 1, "nit"}, {"black", 0, 0, ""},
		{"bound", 100, 0, "cd/m2"}, {"bound-of", 100, 1, "cd/m2"}, // only where it is said whose the number is
	}
	values := r.results.Values()
	if len(values) != len(want) {
		t.Fatalf("%d values, want %d", len(values), len(want))
	}
	for i, w := range want {
		v := values[i]
		if v.ID != w.id || v.Unit != w.unit || (v.U != nil) != (w.u != 0) || v.U != nil && !near(*v.U, w.u, 1e-12) || w.value != 0 && (v.Value == nil || *v.Value != w.value) {
			t.Errorf("%s is %+v, u %v", w.id, v, v.U)
		}
	}
	if v := values[6]; v.Text != "10 to 18 %" || v.Value != nil {
		t.Errorf("a text is %+v", v)
	}
	if v := values[7]; v.Value != nil || v.Why != "no light" || v.Where != "test.lua:11" {
		t.Errorf("nothing is %+v", v)
	}
	if values[8].Bound != result.Upper || values[10].Bound != "" {
		t.Error("bounds are wrong")
	}
}

// A number of which two readings are stated is not one reading's.
func TestRecordValueOfTwoReadings(t *testing.T) {
	r := uncertain()
	r.light = func(float64) bench.Sample { return bench.Sample{Y: 100} }
	if err := r.play(t, `local a, b = meter.read(), meter.read()
record.value { name = "Which", value = a.Y, unit = "cd/m2", from = { a, b } }
record.value { name = "This", value = a.Y, unit = "cd/m2", of = a }`); err != nil {
		t.Fatal(err)
	}
	if v := r.results.Values(); v[0].U != nil || v[1].U == nil || *v[1].U != 1 {
		t.Errorf("uncertainties are %v and %v", v[0].U, v[1].U)
	}
}

// A value keeps the ids that it had formerly.
func TestRecordFormerly(t *testing.T) {
	r := newRig()
	err := r.play(t, `
record.value { name = "Crushed steps", value = 2, formerly = "crush" }
record.value { name = "Delay", value = 3, formerly = { "onset", "wait" } }
record.value { name = "Black", value = 1 }`)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range [][]string{{"crush"}, {"onset", "wait"}, nil} {
		if got := r.results.Values()[i].Formerly; !slices.Equal(got, want) {
			t.Errorf("the former ids of value %d are %q, want %q", i+1, got, want)
		}
	}
	for body, want := range map[string]string{
		`record.value { name = "X", formerly = "black" }`: `value "X" has the former id "black", which is already recorded of the value "Black" at test.lua:5; leave it out`,
		`record.value { name = "Onset" }`:                 `value "Onset" has the id "onset", which is already recorded as a former id of the value "Delay" at test.lua:4; give another name, or an id of its own`,
	} {
		if err := r.play(t, body); !errors.Is(err, result.ErrTaken) || !strings.HasSuffix(err.Error(), want) {
			t.Errorf("%s: got  %v\n\twant …%s", body, err, want)
		}
	}
}

func TestRecordTolerance(t *testing.T) {
	r := newRig()
	if err := r.play(t, `
record.value { name = "a", value = 3, tolerance = { min = 0, max = 3 } }
record.value { name = "b", value = 3.1, tolerance = { max = 3 } }
record.value { name = "c", tolerance = { max = 3 } }
record.value { name = "d", value = 5, bound = "upper", tolerance = { max = 3 } }
record.value { name = "e", value = 5 }`); err != nil {
		t.Fatal(err)
	}
	want := []result.Finding{result.Pass, result.Fail, result.NotEvaluated, result.NotEvaluated, ""}
	for i, v := range r.results.Values() {
		if v.Finding != want[i] {
			t.Errorf("%s is %q, want %q", v.ID, v.Finding, want[i])
		}
	}
}

func TestRecordRefuses(t *testing.T) {
	for body, want := range map[string]string{
		"record.value {}": "record.value: name is missing; it must be a text",
		"record.value { name = 'a', value = true }":                                   "record.value: value is true; it must be a number, a text or a reading",
		"record.value { name = 'a', value = { 1 } }":                                  "record.value: value is {1}; it must be a number, a text or a reading",
		"record.value { name = 'a', value = meter.about() }":                          "record.value: value is a meter description; it must be a number, a text or a reading",
		"record.value { name = 'a', value = print }":                                  "record.value: value is a function; it must be a number, a text or a reading",
		"record.value { name = 'a', value = 5, bound = 'most' }":                      `record.value: bound is "most"; it must be one of "upper", "lower"`,
		"record.value { name = 'a', value = 5, of = meter.read() }":                   "record.value: of is a reading that does not hold the value 5; it must be the reading that the value is taken from",
		"record.value { name = 'a', value = 5, of = { Y = 5 } }":                      "record.value: of is a table; it must be a reading",
		"record.value { name = 'a', value = 5, tolerance = 3 }":                       "record.value: tolerance is 3; it must be a table { min?, max? }",
		"record.value { name = 'a', value = 5, tolerance = { mx = 3 } }":              `record.value: tolerance has no field "mx"; did you mean "max"?`,
		"record.value { name = 'a', vaule = 5 }":                                      `record.value has no argument "vaule"; did you mean "value"?`,
		"record.value { name = 'a', value = 5, formerly = 3 }":                        "record.value: formerly is 3; it must be a text, or a list of texts",
		"record.value { name = 'a', value = 5, formerly = { 'b', 3 } }":               `record.value: formerly is {"b", 3}; it must be a text, or a list of texts`,
		"record.value { name = 'a', value = 5, formerly = { b = 'c' } }":              `record.value: formerly is {["b"]="c"}; it must be a text, or a list of texts`,
		"record.note('a', { level = 'bad' })":                                         `record.note: level is "bad"; it must be one of "doubt", "caution"`,
		"record.table('t', { { 'a', 'b', 'c' } })":                                    "record.table: columns[1] is 3 texts; it must be a name, and a unit if there is one",
		"record.table('t', { 'a' })":                                                  `record.table: columns[1] is "a"; it must be a list of texts`,
		"record.plot { x = 'a', y = 'b' }":                                            "record.plot: table is missing; it must be a table from record.table",
		"record.plot { table = 5, x = 'a', y = 'b' }":                                 "record.plot: table is 5; it must be a recorded table",
		"record.plot { table = record.table('t', {{'a'}}), x = 'a', y = 5 }":          "record.plot: y is 5; it must be a column's name, or a list of them",
		"record.plot { table = record.table('t', {{'a'}}), x = 'a', y = { 'a', 5 } }": `record.plot: y is {"a", 5}; it must be a column's name, or a list of them`,
		"record.table('t', {{'a'}}).add { a = 1 }":                                    "table:add is called with a dot",
		"record.table('t', {{'a'}}):add { a = meter.read().flags }":                   "table:add: a is a set of flags; it must be a plain value or a reading",
	} {
		newRig().fails(t, body, want)
	}
	r := newRig()
	for _, body := range []string{
		"record.value { name = 'a', value = 0/0 }", "record.value { name = 'a', value = 5, tolerance = {} }",
		"record.value { name = 'a', value = 5, tolerance = { min = 3, max = 1 } }", "record.value { name = '', value = 5 }", "record.note('')",
		"record.plot { table = record.table('t', {{'a'}}), x = 'a', y = 'b' }",
		"record.table('u', {{'a'}}):add { b = 1 }", "record.table('v', {{'a'}}):at('a', { a = 1 })", "record.table('w', {{'a'}}):column('b')",
	} {
		if err := r.play(t, body); err == nil || !strings.HasPrefix(err.Error(), "test.lua:2: ") {
			t.Errorf("%s: %v", body, err)
		}
	}
	if err := r.play(t, "record.value { name = 'a', value = 1 } record.value { name = 'A', value = 2 }"); !errors.Is(err, result.ErrTaken) {
		t.Errorf("the same id twice: %v", err)
	}
	if len(r.results.Values()) != 1 {
		t.Errorf("what was refused is there: %v", r.results.Values())
	}
	err := newRig().load(t, "record.note('early')\nreturn procedure { title = 't', purpose = 'p', run = function() end }")
	if err == nil || !strings.Contains(err.Error(), "while the script is loading") {
		t.Errorf("a note while loading: %v", err)
	}
}

func TestTables(t *testing.T) {
	r := newRig()
	r.prints(t, `
local t = record.table("Luminance by window", { { "window", "%" }, { "luminance", "cd/m2" }, { "what" } })
t:add { window = 1, luminance = 600 }
t:add { window = 10, luminance = 500, what = "middle" }
t:add { window = 100, what = true }
print(t:len(), t:at("luminance", { window = 10 }), t:at("what", { luminance = 500 }), t:at("luminance", { window = 100 }))
print(table.concat(t:column("window"), " "))
record.plot { table = t, x = "window", y = { "luminance" }, log_x = true }
record.plot { table = t, x = "window", y = "luminance", title = "Again", id = "again", log_y = true }`, "3\t500\tmiddle\tnil\n1 10 100")
	plots := r.results.Plots()
	if len(plots) != 2 || !plots[0].LogX || plots[0].LogY || plots[1].LogX || !plots[1].LogY || plots[1].ID != "again" || plots[1].Title != "Again" ||
		plots[0].X != "window" || !slices.Equal(plots[0].Y, []string{"luminance"}) || plots[0].Where != "test.lua:9" {
		t.Errorf("plots are %+v", plots)
	}
	tables := r.results.Tables()
	if len(tables) != 1 || tables[0].Where != "test.lua:3" || tables[0].Columns()[0] != (result.Column{Name: "window", Unit: "%"}) {
		t.Errorf("tables are %+v", tables)
	}
	r.fails(t, "local t = record.table('again', {{'a'}}) record.plot { table = t, x = 'a', y = 'a' } record.plot { table = t, x = 'a', y = 'a' }", `record.plot: plot "again": id "again-a-a" is already recorded at test.lua:2; give another name, or an id of its own`)
}

func TestNotes(t *testing.T) {
	r := newRig()
	if err := r.play(t, "record.note('plain')\nrecord.note('grave', { level = 'doubt' })"); err != nil {
		t.Fatal(err)
	}
	want := []result.Note{{Text: "plain", Where: "test.lua:2"}, {Text: "grave", Level: result.Doubt, Where: "test.lua:3"}}
	if got := r.results.Notes(); len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("notes are %+v", got)
	}
}

// The former word for a doubt is taken still; a run of older rules keeps it, so that its replay agrees.
func TestFormerWordForDoubt(t *testing.T) {
	for rules, want := range map[int]result.Level{0: result.Doubt, 3: result.FormerDoubt, 4: result.Doubt} {
		for _, word := range []string{"doubt", "caution"} {
			r := newRig()
			r.rules = rules
			if err := r.play(t, "record.note('grave', { level = '"+word+"' })"); err != nil {
				t.Fatal(err)
			}
			if got := r.results.Notes(); len(got) != 1 || got[0].Level != want {
				t.Errorf("%s by rules %d: the notes are %v, want the level %s", word, rules, got, want)
			}
		}
	}
}

// A reading in a table gives its luminance, with what stands against it. By the rules before 5 a note names the row,
// in whatever order the columns come.
func TestTableOfReadings(t *testing.T) {
	for _, tt := range []struct {
		flag bench.Flag
		want string
		cell string // by the rules 5
	}{
		{"", "", ""},
		{bench.Saturated, "T: the light at window 10 % is a lower limit, because the meter was saturated.", "the meter was saturated, so the number is a lower limit"},
		{bench.Drifting, "T: the light at window 10 % is not what the patch gives, because the light still changed while it was read.", whyDrifting},
	} {
		const script = `patches.show { grey = 1, window = 10 }
local r = meter.read()
local t = record.table("T", { { "window", "%" }, { "light", "cd/m2" } })
t:add { light = r, window = 10 }
record.value { name = "same", value = t:at("light", { window = 10 }) == r.Y and "yes" or "no" }`
		by5 := flagged(tt.flag)
		if err := by5.play(t, script); err != nil {
			t.Fatal(err)
		}
		if tab := by5.results.Tables()[0]; tab.Doubt(0, 1) != tt.cell || tab.Doubt(0, 0) != "" {
			t.Errorf("%s: against the cell stands %q, want %q", tt.flag, tab.Doubt(0, 1), tt.cell)
		}
		r := flagged()
		if tt.flag != "" {
			r = flagged(tt.flag)
		}
		r.rules = 4
		if err := r.play(t, script); err != nil {
			t.Fatal(err)
		}
		if v := r.results.Values()[0]; v.Text != "yes" {
			t.Errorf("%s: the cell is not the reading's luminance", tt.flag)
		}
		found := tt.want == ""
		for _, n := range r.results.Notes() {
			found = found || n.Text == tt.want && n.Level == result.Doubt
			if tt.want == "" {
				t.Errorf("a good reading is told of: %s", n.Text)
			}
		}
		if !found {
			t.Errorf("%s: the notes are %+v, want %q", tt.flag, r.results.Notes(), tt.want)
		}
	}
}

// A plot of a column of texts would be empty: it is refused, but not in a run by older
// rules, and not of a table that may still be filled.
func TestPlotOfTexts(t *testing.T) {
	const table = `local tbl = record.table("T", { { "colour" }, { "Y", "cd/m2" } })
`
	const rows = `tbl:add { colour = "red", Y = 1 } tbl:add { colour = "green", Y = 2 }
`
	for plot, want := range map[string]string{
		`record.plot { table = tbl, x = "colour", y = "Y" }`:          `record.plot: x is "colour", a column of texts; it must be a column with numbers`,
		`record.plot { table = tbl, x = "Y", y = { "Y", "colour" } }`: `record.plot: y is "colour", a column of texts; it must be a column with numbers`,
	} {
		newRig().fails(t, table+rows+plot, want)
		if err := newRig().play(t, table+plot+"\n"+rows); err != nil {
			t.Errorf("%s, drawn before the rows are added: %v", plot, err)
		}
		old := newRig()
		old.rules = 3
		if err := old.play(t, table+rows+plot); err != nil {
			t.Errorf("%s by the rules 3: %v", plot, err)
		}
	}
}
