package engine_test

import (
	"bytes"
	"context"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/draw"
	"candelua/engine/journal"
	"candelua/engine/result"
	"candelua/engine/sim"
)

// statedSpec is a run where a person types one luminance and a meter's accuracy is
// stated by lines of a bench file.
func statedSpec(t *testing.T, accuracy, body, lines string) engine.Spec {
	s := drawnSpec(t, procedureOf(body), 200)
	s.Bench = get(bench.ParseFile("bench.toml", []byte("name = \"typed\"\n[meter]\ndriver = \"operator\"\n[meter.accuracy]\n"+accuracy+"[patches]\ndriver = \"operator\"\n")))(t)
	s.Openers = typedOpeners(lines, &bytes.Buffer{}, true)
	return s
}

// TestUnknownScatter: of a single typed reading only the last digit is known, and the
// results say so; where the bench states how readings scatter, they do not.
func TestUnknownScatter(t *testing.T) {
	const body = `record.value { name = "Y", value = meter.read().Y, unit = "cd/m2" }`
	rep := ran(t, statedSpec(t, "", body, "352\n"), journal.Done)
	if n := rep.Results.Draws().NoScatter; n != 1 {
		t.Errorf("%d readings have an unknown scatter, want 1", n)
	}
	has(t, string(file(t, rep.Path, "results.json")), `"no_scatter":1`)
	rep = ran(t, statedSpec(t, "repeatability = 0.2\n", body, "352\n"), journal.Done)
	if n := rep.Results.Draws().NoScatter; n != 0 || strings.Contains(string(file(t, rep.Path, "results.json")), "no_scatter") {
		t.Errorf("%d readings have an unknown scatter, want none", n)
	}
}

// together is the root of the sum of a budget's squares.
func together(parts []result.Part) (u float64) {
	for _, p := range parts {
		u = math.Hypot(u, p.U)
	}
	return u
}

// TestBudgetOfHeavyTails: the parts of an uncertainty come to it where it is far from the
// draws' standard deviation, as that of a sum of means of two readings is.
func TestBudgetOfHeavyTails(t *testing.T) {
	n, setup := 500, plain()
	setup.Draws = &n
	rep := get(engine.Replay(context.Background(), copyOf(t, filepath.Join(runFixtures, "good", "edited")), setup))(t)
	v := rep.Results.Values()[0]
	// What was left out is at most three parts of 1 %.
	if sum := together(v.Budget); v.U == nil || sum > *v.U*(1+1e-9) || sum < 0.98**v.U {
		t.Errorf("parts %+v come to %v of %+v", v.Budget, sum, v)
	}
}

// TestBudgetLeavesOutChance: a dark level of a millionth of the light is in no budget,
// nor is any other part that chance could have given; one part is always there.
func TestBudgetLeavesOutChance(t *testing.T) {
	s := drawnSpec(t, procedureOf(`
    patches.show { grey = 1, window = 10 }
    record.value { name = "Y", value = meter.read { after = 1, repeats = 20 }.Y, unit = "cd/m2" }`), 200)
	w := sim.Default()
	w.Meter.Scale, w.Meter.Dark = 1, 1e-4
	s.Openers = bench.Openers{"sim": sim.Opener(w, 1, 0)}
	v := ran(t, s, journal.Done).Results.Values()[0]
	if len(v.Budget) == 0 || v.Budget[0].Of != "scale" || v.Budget[0].Share < 0.95 {
		t.Fatalf("the budget is %+v, want scale first", v.Budget)
	}
	for _, p := range v.Budget {
		if p.Share < 0.01 {
			t.Errorf("%s has a share of %v and is told", p.Of, p.Share)
		}
	}
}

// TestLastDigitInBudget: what a typed reading's last digit gives is called so, and is
// half a unit of it to each side: 1/√12 of 352 (JCGM 100:2008, F.2.2.1).
func TestLastDigitInBudget(t *testing.T) {
	const body = `record.value { name = "Y", value = meter.read().Y, unit = "cd/m2" }`
	for accuracy, want := range map[string]string{"": "resolution", "repeatability = 0.2\n": "scatter and resolution"} {
		v := ran(t, statedSpec(t, accuracy, body, "352\n"), journal.Done).Results.Values()[0]
		if len(v.Budget) != 1 || v.Budget[0].Of != want {
			t.Errorf("%q is stated: the budget is %+v, want %s", accuracy, v.Budget, want)
		}
		if accuracy == "" && math.Abs(v.Budget[0].U-1/math.Sqrt(12)) > 0.03 {
			t.Errorf("the resolution's part is %v", v.Budget[0].U)
		}
	}
}

// TestConstants: what the meter's scale, the one thing drawn here, cancels out of is called constant,
// although the draws differ in last places; what moves by more than a double rounds is not.
func TestConstants(t *testing.T) {
	s := drawnSpec(t, procedureOf(`
    local x, y, readings = {}, {}, {}
    for i = 1, 12 do
      patches.show { grey = i / 12, window = 10 }
      readings[i] = meter.read { after = 1 }
      x[i], y[i] = i / 12, readings[i].Y
    end
    local a, b, white = readings[4], readings[8], readings[12]
    local function record_value(name, value) record.value { name = name, value = value } end
    record_value("Ratio", a.Y / b.Y)
    record_value("Mean over largest", stats.mean(y) / math.max(unpack(y)))
    record_value("Chromaticity", a.u)
    record_value("Temperature", colour.cct(a).cct)
    record_value("Exponent", stats.power { x = x, y = y }.exponent)
    record_value("Local exponent", math.log(a.Y / white.Y) / math.log(4 / 12))
    record_value("Lightness", colour.lab(a, { white = white }).L)
    record_value("Difference", colour.delta_e2000 { a = a, b = b, white = white })
    record_value("Hardly moved", 1 + 1e-9 * a.Y / run.decide("as it was read", a.Y))`), 200)
	f := &faults{id: func(id *bench.Identity) { id.Accuracy = bench.Accuracy{Scale: 1} }}
	s.Openers = f.openers()
	values := ran(t, s, journal.Done).Results.Values()
	for _, v := range values[:len(values)-1] {
		if v.Method != string(draw.Constant) || v.U == nil || *v.U != 0 {
			t.Errorf("%s is %v with a share of u of %v, want it constant", v.ID, *v.Value, *v.U / *v.Value)
		}
	}
	if v := values[len(values)-1]; v.Method == string(draw.Constant) || math.Abs(*v.U-1e-11) > 1e-12 {
		t.Errorf("a value that moves is %+v", v)
	}
}
