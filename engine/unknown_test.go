package engine_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/result"
	"candelua/engine/sim"
	"candelua/engine/uncertainty"
	"candelua/testdata/campaign"
)

// unstatedBody reads once, and asks, and records what each formula gives. The meter reads a spectrum where it can.
func unstatedBody(formulas []string) string {
	var b strings.Builder
	b.WriteString(`
    patches.show { grey = 1, window = 10 }
    local r = meter.read { after = 1, repeats = 3, spectrum = true }
    local s = r.spectrum.values
    local blue, green, red = 0, 0, 0
    for i = 1, 30 do blue = blue + s[i] end
    for i = 25, 45 do green = green + s[i] end
    for i = 42, 70 do red = red + s[i] end
    local peak = colour.peak(r).wavelength
    local lux, d = rig.lux(), operator.ask("distance", { unit = "mm", example = 352.5 })
    local settled = meter.settle { over = 5, timeout = 60 }.seconds
    local t = record.table("Rows", { { "n" }, { "y" } })
`)
	for i, f := range formulas {
		fmt.Fprintf(&b, "    record.value { name = %q, value = %s }\n    t:add { n = %d, y = %s }\n", fmt.Sprintf("V%d", i), f, i, f)
	}
	return b.String()
}

// unstatedAtoms are numbers of which nobody states how well they are known, where nobody states anything; known ones
// may stand beside them.
var unstatedAtoms = []string{"lux", "d", "settled", "peak", "s[35]", "blue", "red", "green / blue", "red / blue"}

// anyFormula is a formula with at least one of the atoms.
func anyFormula(rng *rand.Rand, atoms []string) string {
	pick := func() string { return atoms[rng.IntN(len(atoms))] }
	power := func(x string) string {
		return fmt.Sprintf("(%s) ^ %g", x, []float64{-2, -1, -0.5, 0.5, 1, 2}[rng.IntN(6)])
	}
	switch a := power(pick()); rng.IntN(5) {
	case 0:
		return a
	case 1:
		return "math.log(" + a + ")"
	case 2:
		return a + " * r.Y"
	case 3:
		return fmt.Sprintf("%d + %g * (%s)", rng.IntN(100), 0.1+rng.Float64(), a)
	default:
		return a + " * " + power("1 + "+pick())
	}
}

// nothingStated runs a body in memory on the simulated instruments, as if they were others of which nobody states anything.
func nothingStated(t *testing.T, body string) *result.Results {
	t.Helper()
	open := func(ctx context.Context) (*bench.Bench, error) { return bench.Open(ctx, bench.SimFile, simOpeners()) }
	b := get(open(t.Context()))(t)
	devices := b.Devices()
	must(t, b.Close())
	for i := range devices {
		id := &devices[i].Identity
		id.Simulated, id.Accuracy, id.Lux = false, bench.Accuracy{}, bench.LuxAccuracy{}
	}
	loaded := get(procedure.Load(t.Context(), procedureOf(body), builtins.Modules()))(t)
	h := get(history.Begin(history.Head{Rules: history.Rules, Procedure: "probe", Params: get(loaded.Contract.Values(nil))(t), Seed: 1, Bench: "b", Devices: devices}))(t)
	job := play.NewJob(loaded.Program, h)
	job.Open = open
	out := get(job.Execute(t.Context()))(t)
	must(t, out.Err)
	drawn := get(uncertainty.Draw(t.Context(), get(job.Many(false))(t), out.Results, uncertainty.Fixed(100), nil))(t)
	must(t, drawn.Conclude())
	return out.Results
}

// TestNothingStatedIsNotKnown: where nobody states how well illuminances, typed numbers and spectra are known, no value or
// number of a table that depends on them has an uncertainty, is constant or has ±, whatever the formula, and each says why. What depends on none of them is as it was.
func TestNothingStatedIsNotKnown(t *testing.T) {
	for seed := range campaign.Of(t, 1, 40) {
		rng := rand.New(rand.NewPCG(uint64(seed), 7))
		formulas := []string{"r.Y", "7", "lux", "d", "settled", "peak", "s[35]", "red / blue", "lux > 1 and 3 or d"}
		for range 12 {
			formulas = append(formulas, anyFormula(rng, unstatedAtoms))
		}
		got := nothingStated(t, unstatedBody(formulas))
		for i, v := range got.Values() {
			switch {
			case i == 0 && (v.U == nil || *v.U == 0), i == 1 && v.Method != "constant":
				t.Errorf("seed %d: %s is %+v", seed, formulas[i], v)
			case i < 2 || formulas[i] == "lux > 1 and 3 or d":
			case v.Method != result.NotKnown || v.U != nil || v.Interval != nil || !strings.HasPrefix(v.Why, "its uncertainty is not known: it depends on "):
				t.Errorf("seed %d: %s is %+v", seed, formulas[i], v)
			}
		}
		if rows := got.Tables()[0]; rows.NotKnown("y") == "" || rows.NotKnown("n") != "" || rows.Spread(0, 1) == nil || rows.Spread(2, 1) != nil {
			t.Errorf("seed %d: the table has %q, %+v, %+v", seed, rows.NotKnown("y"), rows.Spread(0, 1), rows.Spread(2, 1))
		}
		if text := string(get(got.MarshalJSON())(t)); !strings.HasPrefix(text, `{"format":6,`) || strings.Count(text, `"method":"constant"`) > 2 {
			t.Errorf("seed %d: results.json is\n%s", seed, text)
		}
	}
}

// TestNotKnownByHand: a person reads the light meter and types a number. What is stated in the bench file, in the script or behind the
// number is drawn; what is not is not known. A number that is exact is constant.
func TestNotKnownByHand(t *testing.T) {
	const body = `record.value { name = "Lux", value = rig.lux() }
    record.value { name = "Plain", value = operator.ask("one") }
    record.value { name = "Typed", value = operator.ask("two", { unit = "mm" }) }
    record.value { name = "Stated", value = operator.ask("three", { uncertainty = 3 }) }
    record.value { name = "Share", value = operator.ask("four", { relative = 2 }) }
    record.value { name = "Within", value = operator.ask("five", { within = 3 }) }
    record.value { name = "Exact", value = operator.ask("six", { uncertainty = 0 }) }`
	const lines = "250\n100\n100 ± 4 mm\n100\n100\n100.0\n6\n"
	for table, lux := range map[string]float64{"": -1, "[rig.lux]\nrepeatability = 1\n": -1, "[rig.lux]\nscale = 4\ncoverage_factor = 2\n": 5.008, "[rig.lux]\nscale = 2\nzero = 1\n": 5.107} {
		s := drawnSpec(t, sourceOf("return procedure {\n  title = \"T\", purpose = \"P\", needs = { rig = { lux = true }, operator = {} },\n  run = function(p)\n"+body+"\n  end,\n}\n"), 500)
		s.Bench = get(bench.ParseFile("bench.toml", []byte("[rig]\ndriver = \"operator\"\n"+table+"[operator]\ndriver = \"operator\"\n")))(t)
		s.Openers = typedOpeners(lines, &bytes.Buffer{}, true)
		rep := ran(t, s, journal.Done)
		// √((scale · 250)² + zero² + 1/12), 1/12 being the last digit's; 3/√3 of a half-width of 3.
		for i, want := range []float64{lux, -1, 4.01, 3.014, 2.021, 1.732, 0} {
			v := rep.Results.Values()[i]
			switch {
			case want < 0 && (v.Method != result.NotKnown || v.U != nil), want == 0 && v.Method != "constant",
				want > 0 && (v.U == nil || *v.U < 0.93*want || *v.U > 1.07*want):
				t.Errorf("%q: %s is %+v, want u = %v", table, v.Name, v, want)
			}
		}
		replayed(t, rep.Path, journal.Done)
	}
}

// TestKnownPart: where a part of an uncertainty is not known, the part that is known is stated as the least, as large as if
// the rest were exact. Where nothing of it is known, there is none.
func TestKnownPart(t *testing.T) {
	got := nothingStated(t, unstatedBody([]string{"r.Y", "r.Y + lux", "2 * r.Y - 3 * lux + 1", "lux", "lux * d"})).Values()
	u := *got[0].U
	for i, want := range []float64{0, 1, 2} {
		switch v := got[i]; {
		case i == 0 && v.UAtLeast != nil:
			t.Errorf("what is known is at least %v", *v.UAtLeast)
		case i > 0 && (v.Method != result.NotKnown || v.U != nil || v.UAtLeast == nil || math.Abs(*v.UAtLeast/(want*u)-1) > 1e-6):
			t.Errorf("%+v, want at least %v", v, want*u)
		}
	}
	for _, v := range got[3:] {
		if v.Method != result.NotKnown || v.UAtLeast != nil {
			t.Errorf("%+v, want nothing of it known", v)
		}
	}
}

// TestTimesAreNotConstant: a time, and a sample of a spectrum, that no draw moves are not known; a value that a draw moves does not
// mind the times that it depends on too, and neither does a table, whose axis they are.
func TestTimesAreNotConstant(t *testing.T) {
	s := drawnSpec(t, procedureOf(`
    patches.show { grey = 1, window = 10 }
    local began = clock.now()
    local a = meter.read { repeats = 3, spectrum = true }
    clock.wait(math.max(0, 20 - (clock.now() - began)))
    local b = meter.read { repeats = 3 }
    local best, most = 0, 0
    for i, v in ipairs(a.spectrum.values) do if v > most then best, most = i, v end end
    local t = record.table("Rows", { { "time", "s" }, { "y" } })
    t:add { time = clock.now(), y = b.Y }
    record.value { name = "Took", value = clock.now() - began, unit = "s" }
    record.value { name = "Ended", value = b.ended, unit = "s" }
    record.value { name = "Slope", value = (b.Y / a.Y - 1) / (b.began - a.began) }
    record.value { name = "Highest sample", value = a.spectrum.from + (best - 1) * a.spectrum.step, unit = "nm" }
    record.value { name = "Peak", value = colour.peak(a).wavelength, unit = "nm" }
    record.value { name = "Nine", value = 9 }`), 100)
	rep := ran(t, s, journal.Done)
	for i, want := range []string{result.NotKnown, result.NotKnown, "", result.NotKnown, "", "constant"} {
		v := rep.Results.Values()[i]
		if want != "" && v.Method != want || want == "" && (v.U == nil || *v.U == 0) {
			t.Errorf("%s is %+v, want %q", v.Name, v, want)
		}
	}
	if rows := rep.Results.Tables()[0]; rows.NotKnown("time") != "" || rows.Spread(0, 1) == nil {
		t.Errorf("the time of a table is called %q", rows.NotKnown("time"))
	}
	replayed(t, rep.Path, journal.Done)
}

// TestSpectrumFollowsReading: what a script computes from a spectrum follows the reading's luminance in every draw: their ratio is
// constant, or hardly moves.
func TestSpectrumFollowsReading(t *testing.T) {
	s := drawnSpec(t, procedureOf(`
    patches.show { grey = 1, window = 10 }
    local r = meter.read { after = 1, repeats = 3, spectrum = true }
    record.value { name = "Ratio", value = colour.spectrum_to_xyz(r.spectrum).Y / r.Y }
    record.value { name = "Y of the spectrum", value = colour.spectrum_to_xyz(r.spectrum).Y }
    record.value { name = "Y", value = r }`), 200)
	w := sim.Default()
	w.Meter.Response, w.Meter.Wavelength = 5, 1
	s.Openers = bench.Openers{"sim": sim.Opener(w, 1, 0)}
	v := ran(t, s, journal.Done).Results.Values()
	if v[0].U == nil || *v[0].U > 1e-4 || v[1].U == nil || v[2].U == nil || *v[1].U < 0.99**v[2].U || *v[1].U > 1.01**v[2].U {
		t.Errorf("the ratio is %+v, the spectrum's luminance %+v, the reading's %+v", v[0], v[1], v[2])
	}
}
