package driver

import (
	"context"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"candelua/engine/bench"
)

// shower is a source that keeps what it is asked for.
type shower struct{ asked []ShowPatch }

func (s *shower) Do(_ context.Context, _ Verb, ask, answer any) error {
	s.asked = append(s.asked, *ask.(*ShowPatch))
	answer.(*Showed).HDR = ask.(*ShowPatch).Signal != "sdr"
	return nil
}
func (*shower) Resync(context.Context) error { return nil }
func (*shower) Close() error                 { return nil }

func openShower(t *testing.T, shows ...string) (bench.Patches, *shower) {
	t.Helper()
	s := &shower{}
	d, _ := Opener("shower", func(bench.Kind, bench.Section) (Connect, error) {
		return func(context.Context) (Session, Card, error) {
			return s, Card{Name: "Plover", Verbs: []Verb{Show}, Shows: shows}, nil
		}, nil
	}, nil)()
	t.Cleanup(func() { d.Close() })
	device, err := d.Open(t.Context(), bench.KindPatches, bench.Section{})
	if err != nil {
		t.Fatal(err)
	}
	return device.(bench.Patches), s
}

// A source is asked for what its driver says that it shows, with all numbers, and is known not to show the rest before it is asked.
func TestShows(t *testing.T) {
	white := bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 100, Signal: bench.SDR, At: [2]float64{0.3, 0.5}}
	with := func(edit func(*bench.Patch)) bench.Patch { p := white; edit(&p); return p }
	patches := map[string]bench.Patch{
		"checkerboard": with(func(p *bench.Patch) { p.Pattern = bench.Pattern{Kind: bench.Checkerboard, Columns: 5, Rows: 3} }),
		"ramp": with(func(p *bench.Patch) {
			p.Pattern = bench.Pattern{Kind: bench.Ramp, From: [3]float64{0.1, 0.2, 0.3}, Vertical: true}
		}),
		"steps":      with(func(p *bench.Patch) { p.Pattern = bench.Pattern{Kind: bench.Steps, Count: 9} }),
		"ladder":     with(func(p *bench.Patch) { p.Pattern = bench.Pattern{Kind: bench.Ladder, Count: 9} }),
		"hlg":        with(func(p *bench.Patch) { p.Signal = bench.HLG }),
		"display-p3": with(func(p *bench.Patch) { p.Space = bench.DisplayP3 }),
	}
	if len(patches) != len(bench.ShowWords) {
		t.Fatalf("there are %d words, and %d patches", len(bench.ShowWords), len(patches))
	}
	for _, word := range bench.ShowWords {
		source, session := openShower(t, word)
		for other, p := range patches {
			if err := bench.CanShow(source, p); (err == nil) != (other == word) {
				t.Errorf("a source that shows %s: of %s it says %v", word, other, err)
			}
		}
		if bench.CanShow(source, white) != nil || len(session.asked) > 0 {
			t.Error("a plain window is refused, or something was asked")
		}
		shown, err := source.Show(t.Context(), patches[word])
		if err != nil || shown.Path != bench.PathGenerator || shown.HDR != (word == "hlg") {
			t.Errorf("%s is %+v, %v", word, shown, err)
		}
	}
	source, session := openShower(t, bench.ShowWords...)
	for _, word := range bench.ShowWords {
		if _, err := source.Show(t.Context(), patches[word]); err != nil {
			t.Error(err)
		}
	}
	got := session.asked
	if a := got[0]; a.Pattern != "checkerboard" || a.Columns != 5 || a.Rows != 3 || a.AtX != 0.3 {
		t.Errorf("a checkerboard is asked for as %+v", a)
	}
	if a := got[1]; a.Pattern != "ramp" || a.FromRed != 0.1 || a.FromGreen != 0.2 || a.FromBlue != 0.3 || !a.Vertical {
		t.Errorf("a ramp is asked for as %+v", a)
	}
	if a := got[2]; a.Pattern != "steps" || a.Count != 9 || a.Vertical {
		t.Errorf("steps are asked for as %+v", a)
	}
	if a := got[4]; a.Signal != "hlg" || a.Pattern != "" {
		t.Errorf("HLG is asked for as %+v", a)
	}
	if a := got[5]; a.Space != "display-p3" {
		t.Errorf("P3 is asked for as %+v", a)
	}
}

// A plain window is asked for in the words of before, so that a program that knows no others is not given any.
func TestPlainWindowsAreAskedAsBefore(t *testing.T) {
	source, session := openShower(t)
	if _, err := source.Show(t.Context(), bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10, Signal: bench.PQ}); err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(session.asked[0])
	if err != nil {
		t.Fatal(err)
	}
	var keys map[string]any
	if err := json.Unmarshal(text, &keys); err != nil {
		t.Fatal(err)
	}
	for key := range keys {
		if !slices.Contains(strings.Fields("red green blue window codes back_codes back_red back_green back_blue at_x at_y signal bits mastering_peak max_cll max_fall"), key) {
			t.Errorf("a window is asked for with %s", key)
		}
	}
	if err := CheckShows([]string{"ramp", "spiral"}); err == nil || !strings.Contains(err.Error(), `it shows "spiral", which is unknown`) {
		t.Errorf("an unknown word: %v", err)
	}
}
