package report

import (
	"bytes"
	"strings"
	"testing"

	"candelua/engine/result"
)

// TestNotKnownIsSaidAlike: where an uncertainty is not known, terminal, text, CSV and drawing all say so, and none
// shows an uncertainty.
func TestNotKnownIsSaidAlike(t *testing.T) {
	r := result.New()
	x, u := 796.5, 3.
	v, err := r.Value(result.Value{Name: "Lux", Value: &x, Unit: "lx"})
	if err != nil {
		t.Fatal(err)
	}
	v.Method, v.Why = result.NotKnown, "its uncertainty is not known: it depends on what rig.lux read"
	other, err := r.Value(result.Value{Name: "Peak", Value: &x, U: &u, Unit: "cd/m2"})
	if err != nil {
		t.Fatal(err)
	}
	other.Method, other.Interval = "percentile", &[2]float64{790, 802}
	tab, err := r.Table("Rows", "", []result.Column{{Name: "n"}, {Name: "lux", Unit: "lx"}})
	if err != nil {
		t.Fatal(err)
	}
	for i := range 2 {
		if err := tab.Add(map[string]any{"n": float64(i), "lux": 800. + float64(i)}); err != nil {
			t.Fatal(err)
		}
	}
	tab.SetNotKnown(1, "its uncertainty is not known: because")
	plot, err := r.Plot(result.Plot{Table: tab.ID, X: "n", Y: []string{"lux"}})
	if err != nil {
		t.Fatal(err)
	}
	for _, repeats := range []bool{false, true} {
		d := &result.Draws{Count: 100}
		if repeats {
			d.Unstated = "meter"
		}
		r.SetDraws(d)
		var out bytes.Buffer
		if err := Terminal(&out, r, Options{Width: 100, Plots: true}); err != nil {
			t.Fatal(err)
		}
		for _, part := range []string{"± not known ", "it depends on what rig.lux read", "lux: its uncertainty is not known: because", "± 3"} {
			if !strings.Contains(out.String(), part) {
				t.Errorf("the terminal lacks %q:\n%s", part, out.String())
			}
		}
	}
	if text := ValueText(v); text != "796.5 lx, uncertainty not known" {
		t.Errorf("the value's text is %q", text)
	}
	part := 1.24
	v.UAtLeast = &part // of errors that somebody states
	var out bytes.Buffer
	if err := Terminal(&out, r, Options{Width: 100}); err != nil || !strings.Contains(out.String(), "796.5 ") || !strings.Contains(out.String(), "± 1.2 or more ") || strings.Contains(out.String(), notKnownU) {
		t.Errorf("the terminal says, with %v,\n%s", err, out.String())
	}
	if text := ValueText(v); text != "796.5 ± 1.2 or more lx, uncertainty not wholly known" {
		t.Errorf("the value's text is %q", text)
	}
	var csv, svg bytes.Buffer
	if err := TableCSV(&csv, tab, Kind{}); err != nil {
		t.Fatal(err)
	}
	if want := "n,lux (lx),remark on lux\r\n0,800,uncertainty not known\r\n1,801,uncertainty not known\r\n"; csv.String() != want {
		t.Errorf("the CSV is %q, want %q", csv.String(), want)
	}
	if err := PlotSVG(&svg, tab, plot, 100); err != nil || !strings.Contains(svg.String(), "its uncertainty is not known") {
		t.Errorf("the drawing does not say it: %v", err)
	}
}
