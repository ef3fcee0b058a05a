package engine_test

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"candelua/engine/bench"
	"candelua/engine/journal"
	"candelua/engine/sim"
	"candelua/testdata/campaign"
)

// clear is a world without memory and noise: what is read follows from what is shown and
// how all stands, so that one reading can be taken again from its record alone.
func clear(t testing.TB) sim.Params {
	t.Helper()
	p := sim.Default()
	for path, value := range map[string]any{
		"warmup.terms": []any{}, "warmup.colour": []any{0.0, 0.0, 0.0}, "retention.colour": []any{0.0, 0.0, 0.0}, "retention.terms": []any{}, "pwm.depth": 0.0, "limit.seconds": 0.0, "adaptive.control": "",
		"source.latency_within": 0.0, "edge.dim": []any{60.0, 40.0}, "edge.power": 1.0, "room.stray": 30.0, "rig.lux_noise": 0.0, "rig.turn_step": 0.5,
		"meter.repeatability": 0.0, "meter.dark_noise": 0.0, "meter.dark_drift": 0.0, "meter.shot_noise": 0.0, "meter.field": 0.0,
		"lamps.front.warm_by": 0.0, "lamps.front.drift": 0.0,
	} {
		must(t, p.Set(path, value))
	}
	return p
}

// anAct is a random line of a script that changes the bench or reads on it.
func anAct(r *rapid.T) string {
	share := func(name string) float64 { return math.Round(100*rapid.Float64Range(0, 1).Draw(r, name)) / 100 }
	reading := `record.value { name = "n" .. clock.now(), value = meter.read`
	switch rapid.IntRange(0, 10).Draw(r, "act") {
	case 0:
		return fmt.Sprintf("rig.place { x = %v, y = %v }", share("x"), share("y"))
	case 1:
		return fmt.Sprintf("rig.turn { axis = %q, degrees = %v }", rapid.SampledFrom([]string{"horizontal", "vertical"}).Draw(r, "axis"), 60*(2*share("degrees")-1))
	case 2:
		return fmt.Sprintf(`rig.set { lamp = "front", level = %v }`, 100*share("level"))
	case 3:
		return fmt.Sprintf("unit.set { Brightness = %v }", 20+80*share("brightness"))
	case 4:
		return rapid.SampledFrom([]string{"unit.off()", "unit.on()", "patches.black()"}).Draw(r, "power")
	case 5, 6:
		return fmt.Sprintf("patches.show { grey = %v, window = %v, at = { %v, %v } }", share("grey"), 1+99*share("window"), share("at x"), share("at y"))
	case 7:
		return fmt.Sprintf(`record.value { name = "lux" .. clock.now(), value = rig.lux { at = %q } } %s() }`, rapid.SampledFrom([]string{"screen", "sensor"}).Draw(r, "where"), reading)
	case 8, 9:
		return fmt.Sprintf("%s { at = { %v, %v } } }", reading, share("x"), share("y"))
	}
	return reading + "() }"
}

// TestDoneAsRecorded: each reading of a random script is taken again in a new world that
// is put as readings.csv and the journal say that it stood, and is the same. So what the
// record says was done is what was done, in every combination of what moves and what looks.
func TestDoneAsRecorded(t *testing.T) {
	world := clear(t)
	for _, i := range campaign.Part(t, campaign.To(2000), 30, 500) {
		acts := rapid.SliceOfN(rapid.Custom(anAct), 10, 25).Example(i)
		if !t.Run(fmt.Sprint(i), func(t *testing.T) { doneAsRecorded(t, world, strings.Join(acts, "\n")) }) {
			t.Fatalf("the script:\n%s", strings.Join(acts, "\n"))
		}
	}
}

func doneAsRecorded(t *testing.T, world sim.Params, body string) {
	s := simSpec(t, sourceOf("return procedure { title = \"T\", purpose = \"P\",\nneeds = { meter = {}, patches = {}, unit = { power = true }, rig = { lamps = { \"front\" }, lux = true, place = true, turn = true } }, run = function()\n"+body+"\nend }"))
	s.Out = memoryDir(t)
	s.Openers = bench.Openers{"sim": sim.Opener(world, 1, 0)}
	rep := ran(t, s, journal.Done)
	rows := get(csv.NewReader(strings.NewReader(string(file(t, rep.Path, "readings.csv")))).ReadAll())(t)
	j := journalOf(t, rep.Path)
	values := rep.Results.Values()
	for i, row := range rows[1:] {
		again := newRecordedWorld(t, world, row, rep.Readings[i].Patch)
		y, want := again.read(), number(t, row[8])
		if math.Abs(y-want) > 1e-9*math.Abs(want)+1e-12 {
			t.Fatalf("reading %d was %v; in a world that stands as %q, %q and %+v it is %v", i+1, want, row[24], row[25], rep.Readings[i].Patch, y)
		}
		if v := values[0]; strings.HasPrefix(v.Name, "lux") {
			step := get(j.Step(int(number(t, row[0])) - 1))(t)
			var q struct{ At string }
			must(t, json.Unmarshal(step.Args, &q))
			if lux := again.lux(q.At); math.Abs(lux-*v.Value) > 1e-9*lux {
				t.Fatalf("the illuminance was %v, and is %v as %q", *v.Value, lux, row[25])
			}
			values = values[1:]
		}
		if v := values[0]; *v.Value != want {
			t.Fatalf("the results say %v of a reading of %v", *v.Value, want)
		}
		values = values[1:]
	}
}

func number(t testing.TB, text string) float64 {
	t.Helper()
	return get(strconv.ParseFloat(text, 64))(t)
}

// recordedWorld is a world that is put as a row of readings.csv says.
type recordedWorld struct {
	t     testing.TB
	bench *bench.Bench
}

func newRecordedWorld(t testing.TB, p sim.Params, row []string, patch *bench.Patch) *recordedWorld {
	t.Helper()
	must(t, p.Set("controls.Brightness.step", 0.0)) // a number that was rounded must be recorded so
	b := get(bench.Open(t.Context(), bench.SimFile, bench.Openers{"sim": sim.Opener(p, 1, 0)}))(t)
	for name, value := range levels(t, row[24]) {
		get(b.Unit.Set(t.Context(), []bench.Setting{{Name: name, Value: value}}))(t)
	}
	stands := levels(t, row[25])
	for name, value := range stands {
		switch {
		case strings.HasPrefix(name, "lamp "):
			get(b.Rig.Set(t.Context(), "front", value))(t)
		case strings.HasPrefix(name, "angle "):
			get(b.Rig.(bench.Turner).Turn(t.Context(), strings.Fields(name)[1], value))(t)
		}
	}
	if x, placed := stands["meter x"]; placed {
		get(b.Rig.(bench.Placer).Place(t.Context(), [2]float64{x, stands["meter y"]}))(t)
	}
	if patch != nil {
		get(b.Patches.Show(t.Context(), *patch))(t)
	}
	return &recordedWorld{t, b}
}

func (w *recordedWorld) read() (y float64) {
	must(w.t, w.bench.Meters["meter"].Read(w.t.Context(), bench.ReadRequest{Most: 1}, func(s bench.Sample) error {
		y = s.Y
		return nil
	}))
	return y
}

func (w *recordedWorld) lux(at string) float64 {
	return get(w.bench.Rig.(bench.LightSensor).Lux(w.t.Context(), at))(w.t).Lux
}

// levels reads a cell such as "lamp front (%): 40; meter x: 0.5".
func levels(t testing.TB, cell string) map[string]float64 {
	t.Helper()
	all := map[string]float64{}
	for _, part := range strings.Split(cell, "; ") {
		if name, value, is := strings.Cut(part, ": "); is {
			all[name] = number(t, value)
		}
	}
	return all
}
