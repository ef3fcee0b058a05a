package builtins

import (
	"math"
	"strconv"
	"testing"

	"candelua/engine/bench"
)

// shown shows one patch and returns what the device was asked for.
func shown(t *testing.T, args string) (*rig, bench.Patch) {
	t.Helper()
	r := newRig()
	if err := r.play(t, "patches.show "+args); err != nil {
		t.Errorf("patches.show %s: %v", args, err)
		return r, bench.Patch{}
	}
	return r, r.patches[0]
}

func TestShow(t *testing.T) {
	base := bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 100, At: [2]float64{0.5, 0.5}, Signal: bench.SDR}
	for args, edit := range map[string]func(*bench.Patch){
		"{ grey = 1 }": func(*bench.Patch) {},
		"{ grey = 0.5, window = 10, at = { 0, 1 }, bits = 10 }": func(p *bench.Patch) {
			p.RGB = [3]float64{0.5, 0.5, 0.5}
			p.Window = 10
			p.At = [2]float64{0, 1}
			p.Bits = 10
		},
		"{ rgb = { 1, 0, 0.25 } }":                  func(p *bench.Patch) { p.RGB = [3]float64{1, 0, 0.25} },
		"{ code = 255, bits = 8 }":                  func(p *bench.Patch) { p.Bits = 8 },
		"{ code = { 51, 0, 255 }, bits = 8 }":       func(p *bench.Patch) { p.RGB = [3]float64{0.2, 0, 1}; p.Bits = 8 },
		"{ code = 1023, bits = 10, signal = 'pq' }": func(p *bench.Patch) { p.Bits, p.Signal = 10, bench.PQ },
		"{ nits = 10000, signal = 'pq' }":           func(p *bench.Patch) { p.Signal = bench.PQ },
		"{ nits = 0, signal = 'pq' }":               func(p *bench.Patch) { p.RGB, p.Signal = [3]float64{}, bench.PQ },
		"{ grey = 1, background = 0.5 }":            func(p *bench.Patch) { p.Background = [3]float64{0.5, 0.5, 0.5} },
		"{ grey = 1, background = { 0, 0.5, 1 } }":  func(p *bench.Patch) { p.Background = [3]float64{0, 0.5, 1} },
	} {
		want := base
		edit(&want)
		if _, got := shown(t, args); got != want {
			t.Errorf("patches.show %s asks for\n %+v, want\n %+v", args, got, want)
		}
	}
	// What is said of the content belongs to what is shown.
	_, p := shown(t, "{ grey = 1, signal = 'pq', metadata = { mastering_peak = 1000, max_cll = 800, max_fall = 800 } }")
	if p.Metadata != (bench.Metadata{MasteringPeak: 1000, MaxCLL: 800, MaxFALL: 800}) {
		t.Errorf("metadata are %+v", p.Metadata)
	}
	// 100 cd/m² is signal 0.508 in PQ. Source: SMPTE ST 2084:2014, to three
	// places from memory.
	if _, p := shown(t, "{ nits = 100, signal = 'pq' }"); !near(p.RGB[0], 0.508, 0.0005) {
		t.Errorf("100 cd/m² is signal %v, want 0.508", p.RGB[0])
	}
}

func TestShowRefuses(t *testing.T) {
	for args, want := range map[string]string{
		"{}":                                                "the patch has 0 colours; it must have exactly one of grey, rgb, code, nits",
		"{ grey = 1, rgb = { 1, 1, 1 } }":                   "the patch has 2 colours; it must have exactly one of grey, rgb, code, nits",
		"{ grey = 1.1 }":                                    "grey is 1.1; it must be 0 to 1",
		"{ rgb = { 1, 2, 0 } }":                             "rgb[2] is 2; it must be 0 to 1",
		"{ nits = 5 }":                                      `nits is given with signal = "sdr"; it is allowed only with signal = "pq"`,
		"{ nits = 10001, signal = 'pq' }":                   "nits is 10001; it must be 0 to 10000 cd/m2",
		"{ code = 5 }":                                      "code is given without bits",
		"{ code = 256, bits = 8 }":                          "code is 256; it must be a number, or a list of three, from 0 to 255",
		"{ code = { 1, 2 }, bits = 8 }":                     "code is {1, 2}; it must be a number, or a list of three, from 0 to 255",
		"{ code = { 1, 2, 'x' }, bits = 8 }":                `code is {1, 2, "x"}; it must be a number, or a list of three, from 0 to 255`,
		"{ code = 0.5, bits = 8 }":                          "code is 0.5; it must be whole numbers",
		"{ code = true, bits = 8 }":                         "code is true; it must be a number, or a list of three, from 0 to 255",
		"{ code = meter.read(), bits = 8 }":                 "code is a reading; it must be a number, or a list of three, from 0 to 255",
		"{ grey = 1, background = -0.1 }":                   "background is -0.1; it must be a number, or a list of three, from 0 to 1",
		"{ grey = 1, background = 0/0 }":                    "background is nan; it must be a number, or a list of three, from 0 to 1",
		"{ grey = 1, background = { r = 1 } }":              `background is {["r"]=1}; it must be a number, or a list of three, from 0 to 1`,
		"{ grey = 1, background = print }":                  "background is a function; it must be a number, or a list of three, from 0 to 1",
		"{ grey = 1, signal = 'log' }":                      `signal is "log"; it must be one of "sdr", "pq", "hlg"`,
		"{ grey = 1, signal = 'pq', space = 'display-p3' }": `space is "display-p3" with signal = "pq"; it is allowed only with signal = "sdr"`,
		"{ grey = 1, window = 180 }":                        "window is 180; it must be 0.01 to 100 %",
		"{ grey = 1, bits = 17 }":                           "bits is 17; it must be a whole number from 0 to 16",
	} {
		r := newRig()
		r.fails(t, "patches.show "+args, "patches.show: "+want)
		if len(r.patches) > 0 {
			t.Errorf("patches.show %s reached the device", args)
		}
	}
	for args, want := range map[string]string{
		"{ grey = 1, metadata = {} }": `metadata is given with signal = "sdr"; it is allowed only with signal = "pq"`,
		"{ grey = 1, signal = 'pq', metadata = { max_cll = 400, max_fall = 401 } }": "metadata.max_fall is 401; it must be 400 cd/m2 or less, because max_cll is 400",
		"{ grey = 1, signal = 'pq', metadata = { max_cll = -1 } }":                  "metadata.max_cll is -1; it must be 0 to 10000 cd/m2",
		"{ grey = 1, signal = 'pq', metadata = { max_cl = 1 } }":                    `metadata has no field "max_cl"; did you mean "max_cll"?`,
	} {
		newRig().fails(t, "patches.show "+args, "patches.show: "+want)
	}
	r := newRig()
	r.fails(t, "patches.show { gray = 1 }", `patches.show has no argument "gray"; did you mean "grey"?`)
	r.bench.Patches = nil
	r.fails(t, "patches.show { grey = 1 }", "patches.show: the bench has no patches")
	r.fails(t, "patches.black()", "patches.black: the bench has no patches")
	r = newRig()
	r.fault = bench.Errorf(bench.CodeTimeout, "", "the screen does not answer")
	r.fails(t, "patches.show { grey = 1 }", "patches.show: the screen does not answer")
}

func TestShown(t *testing.T) {
	r := newRig()
	r.area = 20
	r.prints(t, `clock.wait(3)
local s = patches.show { rgb = { 1, 0.5, 0 }, window = 25, background = 0.5 }
print(s.lit, s.lit_within, s.area, s.mean_signal, string.format("%.12f", s.mean_light))`,
		// by the true area: 0.2·0.5 + 0.8·0.5; light 0.2·(1 + 0.5^2.2)/3 + 0.8·0.5^2.2
		"3\t0.01\t20\t0.5\t"+fixed(0.2*(1+math.Pow(0.5, 2.2))/3+0.8*math.Pow(0.5, 2.2)))
	r = newRig()
	r.prints(t, `local s = patches.show { nits = 1000, signal = "pq", window = 10 }
print(string.format("%.6f", s.mean_light))`, "100.000000")
	r.prints(t, `local s = patches.black { signal = "pq" } print(s.lit, s.area, s.mean_signal, s.mean_light)`, "0\t100\t0\t0")
	if p := r.patches[1]; p != (bench.Patch{Window: 100, At: [2]float64{0.5, 0.5}, Signal: bench.PQ}) {
		t.Errorf("black is %+v", p)
	}
}

func fixed(x float64) string { return strconv.FormatFloat(x, 'f', 12, 64) }
