package report

import (
	"bytes"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"candelua/engine/result"
)

// relative is the relative luminance of a colour of eight bits.
//
// Source: WCAG 2.2, "relative luminance" and "contrast ratio".
func relative(t *testing.T, colour string) float64 {
	t.Helper()
	n, err := strconv.ParseUint(strings.TrimPrefix(colour, "#"), 16, 24)
	if err != nil {
		t.Fatal(err)
	}
	var l float64
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		v := float64(n>>(16-8*i)&0xFF) / 255
		if v <= 0.04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+0.055)/1.055, 2.4)
		}
		l += weight * v
	}
	return l
}

// In a dark room no part of a drawing is bright, texts can be read all the same, and what they say is left as it is.
func TestDark(t *testing.T) {
	const tricky = `"#fdfcf9" fill="#1d2733"`
	r := result.New()
	table, err := r.Table(tricky, "", []result.Column{{Name: "a"}, {Name: "b"}, {Name: "c"}})
	for n := range 5 {
		if err == nil {
			err = table.Add(map[string]any{"a": float64(n), "b": float64(n * n), "c": 7 - float64(n)})
		}
	}
	p, err2 := r.Plot(result.Plot{Table: table.ID, X: "a", Y: []string{"b", "c"}})
	target := [2]float64{0.2, 0.47}
	chromaticity, err3 := r.Diagram(result.Diagram{Title: tricky + "1", Kind: result.Chromaticity, Magnify: 1, Points: []result.DiagramPoint{{Name: tricky, Measured: [2]float64{0.21, 0.47}, Target: &target}}})
	distribution, err4 := r.Diagram(result.Diagram{Title: tricky + "2", Kind: result.Distribution, Values: []float64{1, 2, 4}, Marks: []result.DiagramMark{{Name: tricky, Value: 2}}})
	if err != nil || err2 != nil || err3 != nil || err4 != nil {
		t.Fatal(err, err2, err3, err4)
	}
	for what, draw := range map[string]func(io.Writer) error{
		"plot":         func(w io.Writer) error { return PlotSVG(w, table, p, 100) },
		"chromaticity": func(w io.Writer) error { return DiagramSVG(w, chromaticity) },
		"distribution": func(w io.Writer) error { return DiagramSVG(w, distribution) },
	} {
		var light, dark bytes.Buffer
		if err := draw(&light); err != nil {
			t.Fatal(err)
		}
		if err := Dark(Simulated(draw))(&dark); err != nil {
			t.Fatal(err)
		}
		attributes := regexp.MustCompile(`="(#[0-9a-f]+)"`)
		if len(attributes.FindAllString(light.String(), -1)) == 0 {
			t.Fatalf("%s: no colours are found in\n%s", what, light.String())
		}
		for _, m := range attributes.FindAllStringSubmatch(dark.String(), -1) {
			if l := relative(t, m[1]); l > 0.25 {
				t.Errorf("%s: %s is too bright for a dark room: %.2f of white", what, m[1], l)
			}
		}
		if got := strings.Count(dark.String(), "#fdfcf9"); got == 0 || strings.Contains(dark.String(), `="#fdfcf9"`) {
			t.Errorf("%s: the text is altered, or the paper is not", what)
		}
	}
	for what, colour := range map[string]string{"ink": darkInk, "faint": darkFaint} {
		for on, ground := range map[string]string{"paper": darkPaper, "field": darkField} {
			if c := (relative(t, colour) + 0.05) / (relative(t, ground) + 0.05); c < 4.5 {
				t.Errorf("%s on %s has a contrast of %.2f; texts need 4.5", what, on, c)
			}
		}
	}
}
