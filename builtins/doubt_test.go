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
		r := flagged(c.flags...)
		body := "patches.show { " + c.patch + " }\nlocal r = meter.read()\nrecord.value { name = 'v', value = " + c.value + " }"
		if err := r.play(t, body); err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		v := r.results.Values()[0]
		if v.Bound != c.bound || v.Why != c.why || (v.Value == nil) != (c.why != "") {
			t.Errorf("%s: got %+v, want the bound %q, the reason %q", c.name, v, c.bound, c.why)
		}
		if c.bound != "" && v.U != nil {
			t.Errorf("%s: a limit has the uncertainty %v", c.name, *v.U)
		}
	}
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
	newRig().fails(t, "record.value { name = 'v', value = 1, from = { 5 } }", "record.value: from[1] is 5; it must be a reading")
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
