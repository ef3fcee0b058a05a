package builtins

import (
	"strings"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/result"
)

// flagged is a rig whose readings carry flags and never are alike.
func flagged(flags ...bench.Flag) *rig {
	r := uncertain()
	light := r.light
	r.light = func(s float64) bench.Sample {
		x := light(s)
		x.Flags = flags
		return x
	}
	return r
}

// What a value is that is one number of a flagged reading, by what the patch
// was.
func TestValueOfADoubtfulReading(t *testing.T) {
	const onBlack, onWhite, alike = "grey = 0.5, window = 10", "grey = 0.5, window = 10, background = 1", "grey = 0.5, window = 10, background = 0.5"
	const saturated, underfilled, drifting = bench.Saturated, bench.Underfilled, bench.Drifting
	for _, c := range []struct {
		name  string
		flags []bench.Flag
		patch string
		value string
		bound result.Bound
		why   string // not evaluated, where it is not empty
	}{
		{"no flag", nil, onBlack, "r.Y", "", ""},
		{"saturated", []bench.Flag{saturated}, onBlack, "r.Y", result.Lower, ""},
		{"saturated, as a reading", []bench.Flag{saturated}, onBlack, "r", result.Lower, ""},
		{"saturated, of", []bench.Flag{saturated}, onBlack, "r.Y, of = r", result.Lower, ""},
		{"underfilled on black", []bench.Flag{underfilled}, onBlack, "r.Y", result.Lower, ""},
		{"underfilled on black, X", []bench.Flag{underfilled}, onBlack, "r.X", result.Lower, ""},
		{"underfilled on black, u'", []bench.Flag{underfilled}, onBlack, "r.u", "", whyUnderfilled},
		{"underfilled on black, u' of", []bench.Flag{underfilled}, onBlack, "r.u, of = r", "", whyUnderfilled},
		{"underfilled on white", []bench.Flag{underfilled}, onWhite, "r.Y", "", whyUnderfilled},
		{"underfilled, alike all over", []bench.Flag{underfilled}, alike, "r.Y", "", ""},
		{"saturated and underfilled", []bench.Flag{saturated, underfilled}, onBlack, "r.Y", result.Lower, ""},
		{"saturated and underfilled on white", []bench.Flag{saturated, underfilled}, onWhite, "r.Y", "", whySaturated},
		{"drifting", []bench.Flag{drifting}, onBlack, "r.Y", "", whyDrifting},
		{"drifting and saturated", []bench.Flag{drifting, saturated}, onBlack, "r.Y", "", whyDrifting},
		{"below the floor", []bench.Flag{bench.BelowFloor}, onBlack, "r.Y", "", ""},
		{"with a bound of the script's", []bench.Flag{drifting}, onBlack, "r.Y, bound = 'upper'", result.Upper, ""},
		{"from it", []bench.Flag{underfilled}, onBlack, "2 * r.Y, from = { r }", "", whyUnderfilled},
		{"from it, with a bound", []bench.Flag{underfilled}, onBlack, "2 * r.Y, from = { r }, bound = 'lower'", result.Lower, ""},
		{"from a good one", nil, onBlack, "2 * r.Y, from = { r }", "", ""},
	} {
		for _, rules := range []int{4, 5} {
			value := c.value
			if rules == 5 && strings.HasPrefix(value, "r.") && !strings.Contains(value, "of = r") {
				value += ", from = r" // which numbers that are equal no longer tell
			}
			r := flagged(c.flags...)
			r.rules = rules
			body := "patches.show { " + c.patch + " }\nlocal r = meter.read()\nrecord.value { name = 'v', value = " + value + " }"
			if err := r.play(t, body); err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			v := r.results.Values()[0]
			if v.Bound != c.bound || v.Why != c.why || (v.Value == nil) != (c.why != "") {
				t.Errorf("%s by rules %d: got %+v, want the bound %q, the reason %q", c.name, rules, v, c.bound, c.why)
			}
			if c.bound != "" && v.U != nil {
				t.Errorf("%s by rules %d: a limit has the uncertainty %v", c.name, rules, *v.U)
			}
		}
	}
}

// By the rules 5 a number of which nobody says where it is from is as it was recorded, though a reading has the same
// bits; what stands against the reading is kept, to be held against what is computed from it.
func TestNumberWithoutOrigin(t *testing.T) {
	r := flagged(bench.Saturated)
	if err := r.play(t, "local r = meter.read()\nrecord.value { name = 'v', value = r.Y }\nrecord.value { name = 'w', value = r, id = 'w' }"); err != nil {
		t.Fatal(err)
	}
	if v := r.results.Values()[0]; v.Value == nil || v.Bound != "" || v.U != nil || !v.Unsaid {
		t.Errorf("the number is %+v", v)
	}
	if w := r.results.Values()[1]; w.Bound != result.Lower || w.Unsaid {
		t.Errorf("the reading is %+v", w)
	}
	if all := r.results.Standing(); len(all) != 1 || all[0] != (result.Standing{Step: 1, Why: whySaturated}) {
		t.Errorf("against readings stands %+v", all)
	}
}

// What from may be, and what it may not.
func TestFrom(t *testing.T) {
	const head = `local r, s = meter.read(), meter.read()
local t, other = record.table("T", { { "n" }, { "Y" } }), record.table("Other", { { "from" }, { "Y" } })
t:add { n = 1, Y = r }
t:add { n = 2, Y = 2 * s.Y, from = s }
`
	for _, c := range []struct {
		from  string
		taken int
	}{
		{"r", 1}, {"{ r }", 1}, {"{ r, s }", 2}, {"{}", 0}, {"{ { x = 1, reading = r }, { x = 2, reading = s } }", 2}, {"{ x = 1, reading = r }", 1},
		{"{ { r }, { s } }", 2}, {"{ { x = 1, all = { r, s } } }", 2}, {"t", 2}, {"{ t }", 2}, {"{ t, r }", 2}, {"{ { rows = t, n = 1 } }", 2},
	} {
		r := flagged(bench.Saturated)
		if err := r.play(t, head+"record.value { name = 'v', value = 7, from = "+c.from+" }"); err != nil {
			t.Errorf("from = %s: %v", c.from, err)
			continue
		}
		v, doubtful := r.results.Values()[0], c.taken > 0
		if v.Unsaid || (v.Value == nil) != doubtful || doubtful && v.Why != whySaturated {
			t.Errorf("from = %s: the value is %+v", c.from, v)
		}
	}
	const want = "; it must be a reading, a list of readings or of rows with readings in them, or a table from record.table"
	for from, is := range map[string]string{
		"5": "from is 5", "{ 5 }": "from[1] is 5", "{ r, 5 }": "from[2] is 5", "'r'": `from is "r"`, "{ { x = 1 } }": "from[1] is a row without a reading",
		"true": "from is true", "r.flags": "from is a set of flags",
	} {
		newRig().fails(t, head+"record.value { name = 'v', value = 7, from = "+from+" }", "record.value: "+is+want)
	}
	newRig().fails(t, head+"t:add { n = 3, from = 3 }", "table:add: from is 3"+want)
	newRig().fails(t, head+"other:add { from = 3, Y = r.Y }\nrecord.value { name = 'v', value = 7, from = other }", "record.value: from is a table without readings"+want)
	newRig().fails(t, head+"local a = {} a.a = a\nrecord.value { name = 'v', value = 7, from = a }", "record.value: from"+strings.Repeat(`["a"]`, 33)+" is nested more than 32 deep, or holds itself")
}

// An underfilled reading without a patch that is known is no limit.
func TestUnderfilledWithoutPatch(t *testing.T) {
	r := flagged(bench.Underfilled)
	if err := r.play(t, "record.value { name = 'v', value = meter.read() }"); err != nil {
		t.Fatal(err)
	}
	if v := r.results.Values()[0]; v.Value != nil || v.Why != whyUnderfilled {
		t.Errorf("got %+v", v)
	}
}

func TestDoubtOfAReading(t *testing.T) {
	flagged(bench.Saturated).prints(t, "print(meter.read().doubt)", whySaturated)
	flagged().prints(t, "print(meter.read().doubt)", "nil")
	newRig().fails(t, "record.value { name = 'v', value = 1, from = { 5 } }", "record.value: from[1] is 5; it must be a reading, a list of readings or of rows with readings in them, or a table from record.table")
}

// A note tells of saturated and underfilled readings once each; a drift is the
// script's own affair.
func TestNoteOfDoubtfulReadings(t *testing.T) {
	r := flagged(bench.Saturated)
	if err := r.play(t, "for i = 1, 3 do meter.read() end"); err != nil {
		t.Fatal(err)
	}
	notes := r.results.Notes()
	if len(notes) != 1 || notes[0].Level != result.Doubt || notes[0].Where != "test.lua:2" || !strings.HasPrefix(notes[0].Text, "In some readings the meter was saturated.") {
		t.Errorf("notes are %+v", notes)
	}
	for _, flags := range [][]bench.Flag{nil, {bench.Drifting}, {bench.BelowFloor}, {bench.Unsynchronised}} {
		r := flagged(flags...)
		if err := r.play(t, "meter.read()"); err != nil || len(r.results.Notes()) != 0 {
			t.Errorf("%v: %v, notes are %+v", flags, err, r.results.Notes())
		}
	}
}

// The flag comes with the reading, from what its single readings do.
func TestDriftingReading(t *testing.T) {
	r := newRig()
	r.light = func(s float64) bench.Sample { return bench.Sample{Y: 100 + s} }
	r.prints(t, "local r = meter.read { repeats = 8 } print(r.flags.drifting, r.doubt)", "true\t"+whyDrifting)
}
