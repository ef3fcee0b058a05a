package builtins

import (
	"context"
	"encoding/json"
	"reflect"
	"slices"
	"testing"
	"time"

	"candelua/engine/bench"
)

// timedPatches is a source that keeps times by itself.
type timedPatches struct {
	fakePatches
	asked *[]bench.TimedPatch
	lose  int // answers that it loses
}

func (p timedPatches) Sequence(_ context.Context, list []bench.TimedPatch) (out []bench.Shown, err error) {
	*p.asked = append(*p.asked, list...)
	p.now += 200 * time.Millisecond
	for _, t := range list {
		out = append(out, bench.Shown{Lit: p.now, LitWithin: time.Millisecond, Area: t.Patch.Window})
		p.now += time.Duration(t.Hold * 1e9)
	}
	return out[:len(out)-p.lose], p.failure()
}

func newTimed(r *rig) timedPatches {
	return timedPatches{fakePatches: fakePatches{r}, asked: new([]bench.TimedPatch)}
}

func TestSequence(t *testing.T) {
	r := newRig()
	source := newTimed(r)
	r.bench.Patches = source
	r.prints(t, `
local s = patches.sequence { { grey = 1, window = 10, hold = 5 }, { rgb = { 0, 0, 1 }, hold = 2.5 }, { nits = 10000, signal = "pq", window = 50, hold = 1, metadata = { max_cll = 1000 } } }
print(#s, s[1].lit, s[2].lit, s[3].lit, s[1].area, s[1].lit_within, s[1].mean_signal, s[3].mean_light, clock.now())
meter.read { after = 3 }`, "3\t0.2\t5.2\t7.7\t10\t0.001\t0.1\t5000\t8.7")
	want := []bench.TimedPatch{
		{Patch: bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10, At: [2]float64{0.5, 0.5}, Signal: bench.SDR}, Hold: 5},
		{Patch: bench.Patch{RGB: [3]float64{0, 0, 1}, Window: 100, At: [2]float64{0.5, 0.5}, Signal: bench.SDR}, Hold: 2.5},
		{Patch: bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 50, At: [2]float64{0.5, 0.5}, Signal: bench.PQ, Metadata: bench.Metadata{MaxCLL: 1000}}, Hold: 1},
	}
	if !slices.Equal(*source.asked, want) {
		t.Errorf("asked for\n %+v, want\n %+v", *source.asked, want)
	}
	// What comes after is measured from the last patch's light, at 7.7 s.
	row := r.rows[0]
	if *row.Patch != want[2].Patch || row.Lit != 7.7 || !near(row.Began, 10.7, 1e-9) {
		t.Errorf("the reading after is %+v of %+v", row, row.Patch)
	}
	if left, ok := r.left["patches"][0].([]bench.TimedPatch); !ok || !slices.Equal(left, want) {
		t.Errorf("the source was asked for %+v", r.left["patches"])
	}
}

func TestSequenceCannot(t *testing.T) {
	r := newRig()
	const one = "patches.sequence { { grey = 1, hold = 1 } }"
	r.fails(t, one, "the source of patches cannot keep exact times; if the patches were shown one by one, its varying latency would be added to every hold")
	r.prints(t, "local _, e = pcall(function() "+one+" end) print(e.code)", "unsupported")
	if len(r.patches) > 0 {
		t.Errorf("shown all the same: %v", r.patches)
	}
	source := newTimed(r)
	source.lose = 1
	r.bench.Patches = source
	r.fails(t, one, "the source of patches returned 0 patches; it must return 1")
	r.fault = bench.Errorf(bench.CodeTimeout, "", "no answer")
	r.fails(t, one, "no answer")
	r.bench.Patches = nil
	r.fails(t, one, "the bench has no patches")
	if _, err := sequenceDerive(nil, sequenceArgs{Patches: []timedArgs{{Grey: new(float64), Window: 1, Signal: "sdr"}}}, sequenceAnswer{}); err != errNoShown {
		t.Errorf("an answer without patches: %v", err)
	}
	for call, want := range map[string]string{
		"{}":                         "patches is empty; it must be one patch or more",
		"{ { grey = 1 } }":           "patches[1].hold is missing; it must be above 0, to 86400 s",
		"{ { grey = 1, hold = 0 } }": "patches[1].hold is 0; it must be above 0, to 86400 s",
		"{ { grey = 1, hold = 1 }, { hold = 1 } }": "patches[2]: the patch has 0 colours; it must have exactly one of grey, rgb, code, nits",
		"{ { grey = 1, hold = 1, windw = 5 } }":    `patches[1] has no field "windw"; did you mean "window"?`,
		"{ { grey = 2, hold = 1 } }":               "patches[1].grey is 2; it must be 0 to 1",
		"{ grey = 1, hold = 5 }":                   "patches is a table; it must be a list of tables { grey?, rgb?, code?, nits?, window?, at?, background?, signal?, bits?, metadata?, space?, hold }",
	} {
		r.fails(t, "patches.sequence "+call, "patches.sequence: "+want)
	}
}

// A patch of a sequence takes what patches.show takes, in the same words.
func TestTimedArgsAreShowArgs(t *testing.T) {
	show, timed := reflect.TypeFor[showArgs](), reflect.TypeFor[timedArgs]()
	if timed.NumField() != show.NumField()+1 {
		t.Fatalf("%d arguments, want those of patches.show and hold", timed.NumField())
	}
	for i := range show.NumField() {
		if a, b := show.Field(i), timed.Field(i); a.Name != b.Name || a.Type != b.Type || a.Tag != b.Tag {
			t.Errorf("%s is declared as\n %s\nand for a sequence as\n %s", a.Name, a.Tag, b.Tag)
		}
	}
	// Each is handed on.
	full := timedArgs{Grey: new(float64), RGB: new([3]float64), Code: 1.0, Nits: new(float64), Window: 1, At: [2]float64{1, 1},
		Background: 1.0, Signal: "pq", Bits: 8, Metadata: &metadata{}, Space: "display-p3", Hold: 1}
	for v, i := reflect.ValueOf(full.show()), 0; i < v.NumField(); i++ {
		if v.Field(i).IsZero() {
			t.Errorf("%s is lost", show.Field(i).Name)
		}
	}
}

func TestMetadata(t *testing.T) {
	want := bench.Metadata{MasteringPeak: 1000, MaxCLL: 800, MaxFALL: 400}
	r, p := shown(t, "{ nits = 100, signal = 'pq', metadata = { mastering_peak = 1000, max_cll = 800, max_fall = 400 } }")
	if p.Metadata != want {
		t.Errorf("metadata is %+v, want %+v", p.Metadata, want)
	}
	var kept map[string]any
	if err := json.Unmarshal(r.steps[0].Args, &kept); err != nil || kept["metadata"] == nil {
		t.Errorf("arguments are kept as %s", r.steps[0].Args)
	}
	r, p = shown(t, "{ nits = 100, signal = 'pq' }")
	kept = nil
	if err := json.Unmarshal(r.steps[0].Args, &kept); err != nil || kept["metadata"] != nil || p.Metadata != (bench.Metadata{}) {
		t.Errorf("arguments without are kept as %s", r.steps[0].Args)
	}
	for args, want := range map[string]string{
		"{ grey = 1, metadata = { max_cll = 5 } }":                              `metadata is given with signal = "sdr"; it is allowed only with signal = "pq"`,
		"{ grey = 1, signal = 'pq', metadata = { max_cll = 5, max_fall = 6 } }": "metadata.max_fall is 6; it must be 5 cd/m2 or less, because max_cll is 5",
		"{ grey = 1, signal = 'pq', metadata = { max_cll = 10001 } }":           "metadata.max_cll is 10001; it must be 0 to 10000 cd/m2",
		"{ grey = 1, signal = 'pq', metadata = { max_ccl = 1 } }":               `metadata has no field "max_ccl"; did you mean "max_cll"?`,
	} {
		newRig().fails(t, "patches.show "+args, "patches.show: "+want)
	}
}
