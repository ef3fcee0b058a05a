package sim

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"candelua/colour"
	"candelua/engine/bench"
)

// rows reads a table of published values.
func rows(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	r.LazyQuotes = true
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, record := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = record[i]
		}
		out = append(out, row)
	}
	return out
}

func parseFloat(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// TestGreyBT1886 reads grey steps off the ideal display.
// Source: Recommendation ITU-R BT.1886 (03/2011), annex 1.
func TestGreyBT1886(t *testing.T) {
	checked := 0
	for _, row := range rows(t, "bt1886.csv") {
		w := world(t, "ideal", func(p *Params) {
			p.Light.White, p.Light.Black = parseFloat(t, row["Lw_cdm2"]), parseFloat(t, row["Lb_cdm2"])
		})
		got := luminance(t, w, patch(parseFloat(t, row["V"]), 10), 0)
		near(t, row["Lw_cdm2"]+"/"+row["Lb_cdm2"]+" at "+row["V"], got, parseFloat(t, row["L_cdm2"]), 1e-9, 1e-12)
		checked++
	}
	if checked < 50 {
		t.Fatalf("only %d rows checked", checked)
	}
}

// TestGreySRGB reads all 8-bit codes of the table off a display with the sRGB
// curve. Source: IEC 61966-2-1:1999.
func TestGreySRGB(t *testing.T) {
	w := world(t, "ideal", func(p *Params) { p.Tone.Kind, p.Tone.Bits = "srgb", 8 })
	for _, row := range rows(t, "srgb.csv") {
		// A signal up to half a code off shows the same code.
		for _, off := range []float64{-0.49, 0, 0.49} {
			v := math.Min(math.Max(parseFloat(t, row["code8"])+off, 0), 255) / 255
			near(t, "code "+row["code8"], luminance(t, w, patch(v, 10), 0), 100*parseFloat(t, row["linear"]), 1e-9, 1e-12)
		}
	}
}

// TestPowerTone checks 2.2 at half signal, 0.5^2.2 = 0.2176376408 (exact
// arithmetic), and that black adds: IDMS calls such a display additive.
func TestPowerTone(t *testing.T) {
	w := world(t, "ideal", func(p *Params) { p.Tone.Kind, p.Light.White, p.Light.Black = "power", 200.5, 0.5 })
	near(t, "half signal", luminance(t, w, patch(0.5, 10), 0), 0.5+200*0.2176376408, 1e-9, 0)
	near(t, "white", luminance(t, w, patch(1, 10), 0), 200.5, 1e-12, 0)
	near(t, "black", luminance(t, w, patch(0, 10), 0), 0.5, 1e-12, 0)
}

// TestPQ reads absolute luminances off the ideal display.
// Source: SMPTE ST 2084:2014; codes by ITU-R BT.2100-2.
func TestPQ(t *testing.T) {
	w := world(t, "ideal", nil)
	for _, row := range rows(t, "pq_st2084.csv") {
		p := patch(parseFloat(t, row["signal"]), 10)
		p.Signal = bench.PQ
		want := parseFloat(t, row["cd_m2"])
		if row["kind"] == "code10_full" {
			p.Bits = 10
		}
		// Signals and luminances are rounded to ten digits.
		near(t, row["kind"]+" "+row["cd_m2"], luminance(t, w, p, 0), want, 5e-8, 1e-9)
	}
}

// TestQuantisation: a PQ patch that states no bits has the display's for PQ.
// Source: ITU-R BT.2100-2, full range: 520/1023 means 100.2298855 cd/m2,
// and no neighbouring code of 8 bits does.
func TestQuantisation(t *testing.T) {
	w := world(t, "ideal", func(p *Params) { p.Tone.HDRBits, p.Tone.Bits = 10, 8 })
	p := patch(520.4/1023, 10)
	p.Signal = bench.PQ
	near(t, "the display's 10 bits", luminance(t, w, p, 0), 100.2298855, 5e-9, 0)
	p.Bits = 8
	near(t, "the patch's 8 bits", luminance(t, w, p, 0), colour.DecodePQ(130.0/255), 1e-9, 0)
}

// TestPQClip: above the panel's peak there is no more light.
func TestPQClip(t *testing.T) {
	w := world(t, "ideal", func(p *Params) { p.Light.HDRPeak, p.Light.Black = 600, 0.02 })
	for signal, want := range map[float64]float64{
		0.5080784215: 100, 0.6962940857: 600, 0.7518270962: 600, 1: 600, // SMPTE ST 2084:2014
		0: 0.02, 0.0214862138: 0.02, // no darker than black
	} {
		p := patch(signal, 10)
		p.Signal = bench.PQ
		near(t, strconv.FormatFloat(signal, 'g', -1, 64), luminance(t, w, p, 0), want, 1e-8, 0)
	}
}

// TestRollOff checks what Report ITU-R BT.2390 asks of its curve (its formula
// is from memory): the identity below the knee, level at the end, the peak
// reached by the source's peak and never passed, no kink, no step.
func TestRollOff(t *testing.T) {
	w := world(t, "ideal", func(p *Params) {
		p.Tone.HDR, p.Tone.HDRSource, p.Light.HDRPeak = "roll_off", 4000, 1000
	})
	knee := 1.5*colour.EncodePQ(1000) - 0.5*colour.EncodePQ(4000)
	last := -1.0
	for i := range 1001 {
		v := float64(i) / 1000
		got := w.tone.hdr(v, bench.Metadata{})
		if got < last || got > 1000*(1+1e-12) {
			t.Fatalf("signal %v gives %v cd/m2 after %v", v, got, last)
		}
		if last = got; v < knee {
			near(t, "below the knee", got, colour.DecodePQ(v), 1e-12, 0)
		}
	}
	near(t, "at the source's peak", w.tone.hdr(colour.EncodePQ(4000), bench.Metadata{}), 1000, 1e-9, 0)
	near(t, "beyond", w.tone.hdr(1, bench.Metadata{}), 1000, 1e-9, 0)
	slope := func(v float64) float64 { return (rollOff(v+1e-6, 0.8) - rollOff(v-1e-6, 0.8)) / 2e-6 }
	near(t, "slope at the knee", slope(0.7), 1, 0, 1e-4)
	near(t, "slope at the end", slope(1-1e-6), 0, 0, 1e-4)
}

// TestWhiteD65: the ideal display's white is D65. CIE 15:2004 prints 0.31272,
// 0.32903 for the spectrum and u′ 0.1978, v′ 0.4683; ITU-R BT.709-6 takes
// exactly 0.3127, 0.3290.
func TestWhiteD65(t *testing.T) {
	w := world(t, "ideal", nil)
	show1(t, w, patch(1, 10))
	s := read(t, w, 1)[0]
	c := colour.XYZ{X: s.X, Y: s.Y, Z: s.Z}
	xy, err := c.XY()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "x, video", xy.X, 0.3127, 0, 1e-12)
	near(t, "y, video", xy.Y, 0.3290, 0, 1e-12)
	near(t, "x, CIE 15", xy.X, 0.31272, 0, 4e-5)
	near(t, "y, CIE 15", xy.Y, 0.32903, 0, 4e-5)
	uv, err := c.UV()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u′", uv.U, 0.1978, 0, 5e-5)
	near(t, "v′", uv.V, 0.4683, 0, 5e-5)
}

// TestSpectrumGivesXYZ: the spectrum that a reading carries has, by the CIE
// 1931 observer, the tristimulus values of the reading, noise included.
func TestSpectrumGivesXYZ(t *testing.T) {
	w := world(t, "default", nil)
	show1(t, w, patch(0.8, 10))
	m := device[bench.Meter](t, w, bench.KindMeter)
	err := m.Read(t.Context(), bench.ReadRequest{Most: 1, Spectrum: true}, func(s bench.Sample) error {
		if len(s.Spectrum.Values) != 81 || s.Spectrum.From != 380 || s.Spectrum.Step != 5 {
			t.Errorf("spectrum has %d values from %v by %v", len(s.Spectrum.Values), s.Spectrum.From, s.Spectrum.Step)
		}
		c, err := colour.CIE1931.XYZ(colour.Spectrum(*s.Spectrum))
		near(t, "X", c.X, s.X, 1e-12, 0)
		near(t, "Y", c.Y, s.Y, 1e-12, 0)
		near(t, "Z", c.Z, s.Z, 1e-12, 0)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
