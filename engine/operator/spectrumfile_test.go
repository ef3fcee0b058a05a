package operator

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"candelua/engine/bench"
)

// equalEnergy is a file of light of equal radiance, whose chromaticity is 1/3, 1/3 (CIE 15: x and y of equal-energy light).
func equalEnergy(head, between string, radiance string) string {
	var b strings.Builder
	b.WriteString(head)
	for nm := 360; nm <= 830; nm++ {
		fmt.Fprintf(&b, "%d%s%s\r\n", nm, between, radiance)
	}
	return b.String()
}

func written(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "white of today.csv")
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestSpectrumFile: a file in each usual form gives the spectrum, and the tristimulus values that follow from it. The sums of the colour-matching functions at 1 nm
// are 106.857 each (CIE 15), so 0.001 W/(sr m² nm) are 683 * 0.106857 = 72.983 cd/m².
func TestSpectrumFile(t *testing.T) {
	for _, text := range []string{
		equalEnergy("", ",", "0.001"), equalEnergy("# saved today\nnm,W/(sr m2 nm)\n\n", ", ", "1e-3"), equalEnergy("\ufeffnm;radiance\n", ";", ".001"), equalEnergy("", "\t", "0.0010"),
	} {
		path := written(t, text)
		for _, line := range []string{"file " + path, `FILE "` + path + `"`} {
			s := newStory(t, Options{}, line)
			var got bench.Sample
			err := s.bench.Meters["meter"].Read(t.Context(), bench.ReadRequest{Most: 1, Spectrum: true}, func(one bench.Sample) error { got = one; return nil })
			if err != nil {
				t.Fatalf("%s\n%s", err, s.text.String())
			}
			sum := got.X + got.Y + got.Z
			if math.Abs(got.Y-72.983) > 0.01 || math.Abs(got.X/sum-1./3) > 1e-4 || math.Abs(got.Y/sum-1./3) > 1e-4 || got.Typed != line {
				t.Errorf("%q: %+v", line, got)
			}
			if got.Spectrum == nil || got.Spectrum.From != 360 || got.Spectrum.Step != 1 || len(got.Spectrum.Values) != 471 {
				t.Errorf("%q: spectrum %+v", line, got.Spectrum)
			}
		}
	}
}

// TestSpectrumFileRefuses: each file that is none is refused in words, and asked for again.
func TestSpectrumFileRefuses(t *testing.T) {
	good := "file " + written(t, equalEnergy("", ",", "0.001"))
	for _, tt := range []struct{ line, says string }{
		{"200 0.31 0.33", "This reading needs the spectrum: please save it with the meter's own program"},
		{"file /no/such/file.csv", "The file /no/such/file.csv cannot be read: no such file or directory; please type file and its path again."},
		{"file " + t.TempDir(), "it must be a regular file"},
		{"file " + written(t, ""), "it has fewer than two lines of a wavelength in nm and a value"},
		{"file " + written(t, "nm,a\n380,1\n385\n"), "line 3 must be a wavelength in nm and a value, such as 550, 0.0123: there is 1 in it"},
		{"file " + written(t, "380,1\n385,x\n"), `line 2 must be a wavelength in nm and a value, such as 550, 0.0123: "x" is not a number`},
		{"file " + written(t, "380,1\n385,inf\n"), `"inf" is not a number`},
		{"file " + written(t, "380,1\n380,1\n"), "line 2 has the wavelength 380 nm; wavelengths must rise"},
		{"file " + written(t, "380,1\n385,1\n386,1\n"), "line 3 has the wavelength 386 nm; it must be 390 nm, because steps are equal"},
		{"file " + written(t, "380,1\n385,1\n390,1\n"), "it reaches from 380 to 390 nm; it must reach from 400 or less to 700 or more"},
		{"file " + written(t, equalEnergy("", ",", "1000")), "its values must be in W/(sr m² nm)"},
		{"file " + written(t, strings.Repeat("#\n", mostFileBytes)), "it is larger than 1048576 bytes"},
	} {
		s := newStory(t, Options{}, tt.line, good)
		err := s.bench.Meters["meter"].Read(t.Context(), bench.ReadRequest{Most: 1, Spectrum: true}, func(bench.Sample) error { return nil })
		if text := s.text.String(); err != nil || !strings.Contains(text, tt.says) {
			t.Errorf("%s: %v; want %q in\n%s", tt.line, err, tt.says, text)
		}
	}
}

// TestFileForAnyReading: where no spectrum is asked for, a file gives the reading's colour alone.
func TestFileForAnyReading(t *testing.T) {
	s := newStory(t, Options{}, "file "+written(t, equalEnergy("", ",", "0.001")))
	var got bench.Sample
	if err := s.bench.Meters["meter"].Read(t.Context(), bench.ReadRequest{Most: 1}, func(one bench.Sample) error { got = one; return nil }); err != nil || got.Spectrum != nil || math.Abs(got.Y-72.983) > 0.01 {
		t.Errorf("%+v, %v", got, err)
	}
}
