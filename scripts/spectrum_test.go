package scripts_test

import (
	"math"
	"strings"
	"testing"

	"candelua/colour"
)

// TestSpectrumTable: white has the peaks of its three primaries. The melanopic ratio
// is that of package colour for the spectrum of the table.
func TestSpectrumTable(t *testing.T) {
	out := shipped(t, "spectrum")(world(t, "ideal", nil), 1)
	tbl, ok := out.Results.TableByID("spectra")
	if !ok || tbl.Len() != 81 {
		t.Fatal("there is no table of 81 wavelengths")
	}
	s := colour.Spectrum{From: 380, Step: 5}
	for i := range tbl.Len() {
		x, _ := tbl.Cell(i, 4).Float()
		s.Values = append(s.Values, x)
	}
	want, err := s.Melanopic()
	if err != nil {
		t.Fatal(err)
	}
	if got := value(t, out.Results, "melanopic-daylight-ratio"); math.Abs(got-want.DER) > 1e-6 {
		t.Errorf("the melanopic ratio is %v, want %v", got, want.DER)
	}
	peaks, _ := out.Results.TableByID("peaks")
	if peaks.Len() != 6 {
		t.Errorf("there are %d peaks, want one of each primary and three of white", peaks.Len())
	}
}

// TestSpectrumSaysWhatIsMissing: a saturated white takes white's values and nothing of the primaries; a red without light takes the gamut.
func TestSpectrumSaysWhatIsMissing(t *testing.T) {
	out := shipped(t, "spectrum")(world(t, "default", map[string]any{"meter.saturation": 400.}), 1)
	for _, id := range []string{"white-luminance", "white-cct", "white-duv", "melanopic-daylight-ratio"} {
		v, ok := out.Results.ValueByID(id)
		if !ok || v.Value != nil || v.Why != "white: the meter was saturated" {
			t.Errorf("%s is %+v", id, v)
		}
	}
	value(t, out.Results, "red-peak")
	value(t, out.Results, "coverage-p3-uv")

	out = shipped(t, "spectrum")(world(t, "default", map[string]any{"meter.saturation": 50.}), 1)
	for _, id := range []string{"red-peak", "green-width", "coverage-bt709-uv"} {
		if v, ok := out.Results.ValueByID(id); !ok || v.Value != nil || !strings.HasSuffix(v.Why, "the meter was saturated") {
			t.Errorf("%s is %+v", id, v)
		}
	}
}
