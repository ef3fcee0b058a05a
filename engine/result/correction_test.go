package result

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func crakeDusk() Correction {
	return Correction{Name: "Crake 2, Dusk", Method: "four-colour", Matrix: [3][3]float64{{1.02, -0.03, 1. / 3}, {0, 1}, {0, 0, 1}},
		Meter: Instrument{"Tern Street filter", "TF-04"}, Reference: Instrument{Name: "Tern Street spectral"}, Unit: "Crake 2", Mode: "Dusk",
		Date: "2026-11-20", Notes: "1 to 500 cd/m2", XY: 0.0008, Luminance: 0.3, Where: "a.lua:3"}
}

const goldenCorrection = `{"format":2,"kind":"candelua-results",
"values":[],
"tables":[],
"plots":[],
"diagrams":[],
"notes":[],
"corrections":[
{"id":"crake-2-dusk","name":"Crake 2, Dusk","method":"four-colour","matrix":[[1.02,-0.03,0.3333333333333333],[0,1,0],[0,0,1]],"meter":{"name":"Tern Street filter","serial":"TF-04"},"reference":{"name":"Tern Street spectral"},"unit":"Crake 2","mode":"Dusk","date":"2026-11-20","notes":"1 to 500 cd/m2","u_xy":0.0008,"u_luminance":0.3,"where":"a.lua:3"}]}`

func TestCorrection(t *testing.T) {
	r := New()
	kept, err := r.Correction(crakeDusk())
	if err != nil {
		t.Fatal(err)
	}
	want := crakeDusk()
	want.ID = "crake-2-dusk"
	if d := cmp.Diff([]*Correction{&want}, r.Corrections()); d != "" || kept != r.Corrections()[0] {
		t.Error(d)
	}
	text, err := r.MarshalJSON()
	if err != nil || string(text) != goldenCorrection {
		t.Errorf("%v\n%s", err, text)
	}
	back := New()
	if err := json.Unmarshal([]byte(goldenCorrection), back); err != nil || len(Compare(r, back)) > 0 {
		t.Errorf("%v, %v", err, Compare(r, back))
	}
	if _, err := r.Correction(crakeDusk()); !errors.Is(err, ErrTaken) || !strings.Contains(err.Error(), "at a.lua:3") {
		t.Errorf("the second of an id gives %v", err)
	}
	if err := json.Unmarshal([]byte(strings.Replace(goldenCorrection, `"notes":[],`, `"notes":[],"more":1,`, 1)), New()); err == nil {
		t.Error("an unknown member passes")
	}
	if err := json.Unmarshal([]byte(strings.Replace(goldenCorrection, "crake-2-dusk", "Crake", 1)), New()); err == nil {
		t.Error("a bad id passes")
	}
}

func TestCorrectionRefuses(t *testing.T) {
	for want, change := range map[string]func(*Correction){
		"name is":                func(c *Correction) { c.Name = " " },
		"id is":                  func(c *Correction) { c.ID = "A" },
		"NaN in row 2, column 3": func(c *Correction) { c.Matrix[1][2] = math.NaN() },
		"uncertainty -1":         func(c *Correction) { c.XY = -1 },
		"uncertainty +Inf":       func(c *Correction) { c.Luminance = math.Inf(1) },
		"has a text of 16385 bytes; it must have at": func(c *Correction) { c.Notes = strings.Repeat("n", maxText+1) },
	} {
		c := crakeDusk()
		change(&c)
		if _, err := New().Correction(c); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("it gives %v, want %q", err, want)
		}
	}
	r := New()
	for range maxCorrections {
		c := crakeDusk()
		c.ID = "c-" + strings.Repeat("a", len(r.corrections)%50+1) + strings.Repeat("b", len(r.corrections)/50+1)
		if _, err := r.Correction(c); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := r.Correction(crakeDusk()); err == nil || !strings.Contains(err.Error(), "at most 100 corrections") {
		t.Errorf("one too many gives %v", err)
	}
}

func TestCompareCorrections(t *testing.T) {
	of := func(change func(*Correction)) *Results {
		r, c := New(), crakeDusk()
		change(&c)
		if _, err := r.Correction(c); err != nil {
			t.Fatal(err)
		}
		return r
	}
	base := of(func(*Correction) {})
	for want, change := range map[string]func(*Correction){
		"":                                    func(c *Correction) { c.Matrix[0][0] *= 1 + 1e-11; c.Where = "b.lua:1" },
		`name is recorded as "Crake 2, Dusk"`: func(c *Correction) { c.Name, c.ID = "Other", "crake-2-dusk" },
		"method is":                           func(c *Correction) { c.Method = "least squares" },
		"matrix, row 1, column 2 is recorded as -0.03 and is -0.02 now": func(c *Correction) { c.Matrix[0][1] = -0.02 },
		"meter is":       func(c *Correction) { c.Meter.Serial = "TF-05" },
		"reference is":   func(c *Correction) { c.Reference.Name = "x" },
		"unit is":        func(c *Correction) { c.Unit = "" },
		"mode is":        func(c *Correction) { c.Mode = "" },
		"date is":        func(c *Correction) { c.Date = "" },
		"notes is":       func(c *Correction) { c.Notes = "" },
		"u_xy is":        func(c *Correction) { c.XY = 0 },
		"u_luminance is": func(c *Correction) { c.Luminance = 0 },
	} {
		d := Compare(base, of(change))
		if want == "" && len(d) == 0 {
			continue
		}
		if len(d) != 1 || !strings.HasPrefix(d[0].text, want) || want == "" || !strings.HasPrefix(d[0].String(), "correction crake-2-dusk: ") {
			t.Errorf("differences are %v, want %q", d, want)
		}
	}
	if d := Compare(base, New()); len(d) != 1 || d[0].text != "is recorded and is missing now" {
		t.Errorf("differences are %v", d)
	}
}
