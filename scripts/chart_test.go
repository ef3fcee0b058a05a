package scripts_test

import (
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/colour"
	"candelua/engine/bench"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/sim"
	"candelua/scripts"
)

// prepare makes a shipped procedure, or one of its own, ready to run.
func prepare(t *testing.T, p *procedure.Procedure, set ...string) (run func(w sim.Params, seed uint64) *play.Outcome) {
	t.Helper()
	loaded, err := procedure.Load(t.Context(), p, builtins.Modules())
	if err != nil {
		t.Fatal(err)
	}
	program, contract := loaded.Program, loaded.Contract
	params, err := contract.Values(set)
	if err != nil {
		t.Fatal(err)
	}
	return func(w sim.Params, seed uint64) *play.Outcome {
		t.Helper()
		out := execute(t, program, params, seed, func(ctx context.Context) (*bench.Bench, error) {
			return bench.Open(ctx, bench.SimFile, bench.Openers{"sim": sim.Opener(w, seed, 0)})
		})
		if out.Err != nil {
			t.Fatal(out.Err)
		}
		return out
	}
}

// shipped makes a shipped procedure ready to run.
func shipped(t *testing.T, name string, set ...string) func(sim.Params, uint64) *play.Outcome {
	t.Helper()
	p, err := procedure.Find(name, scripts.Files)
	if err != nil {
		t.Fatal(err)
	}
	return prepare(t, p, set...)
}

// world is a shipped world with changes.
func world(t *testing.T, name string, changes map[string]any) sim.Params {
	t.Helper()
	p, err := sim.Load(name)
	if err != nil {
		t.Fatal(err)
	}
	p.ExactMeters()
	for path, x := range changes {
		if err := p.Set(path, x); err != nil {
			t.Fatal(err)
		}
	}
	return p
}

// looked is what was shown and the mean of what was read of it.
type looked struct {
	patch bench.Patch
	xyz   colour.XYZ
}

// looks gives the means of a run's readings, in their order.
func looks(out *play.Outcome) (all []looked) {
	for i := 0; i < len(out.Readings); {
		first, n, sum := out.Readings[i], 0.0, colour.XYZ{}
		for ; i < len(out.Readings) && out.Readings[i].Reading == first.Reading; i++ {
			sum, n = sum.Add(colour.XYZ{X: out.Readings[i].X, Y: out.Readings[i].Y, Z: out.Readings[i].Z}), n+1
		}
		all = append(all, looked{*first.Patch, sum.Scale(1 / n)})
	}
	return all
}

// choice is what a chart's colours are compared with.
type choice struct {
	space, curve, white string
	gamma               float64
	counts              bool
}

func (c choice) set() []string {
	return []string{"space=" + c.space, "target=" + c.curve, "white=" + c.white, fmt.Sprintf("gamma=%g", c.gamma), fmt.Sprintf("luminance_counts=%t", c.counts)}
}

// each calls do with every choice of space, curve, white, and luminance.
func eachChoice(do func(choice)) {
	for _, space := range []string{"bt709", "p3-d65"} {
		for _, curve := range []string{"power", "srgb", "bt1886"} {
			for _, white := range []string{"measured", "target"} {
				for _, counts := range []bool{true, false} {
					do(choice{space, curve, white, 2.3, counts})
				}
			}
		}
	}
}

// light is the share of white that a signal should give, black having a share.
func (c choice) light(t *testing.T, signal, black float64) float64 {
	t.Helper()
	switch c.curve {
	case "srgb":
		return black + (1-black)*colour.DecodeSRGB(signal)
	case "bt1886":
		curve, err := colour.NewBT1886(1, black)
		if err != nil {
			t.Fatal(err)
		}
		return curve.Decode(signal)
	}
	return black + (1-black)*math.Pow(signal, c.gamma)
}

// difference is how far a stimulus is from what its signals mean.
func (c choice) difference(t *testing.T, rgb [3]float64, xyz, white colour.XYZ, black float64) float64 {
	t.Helper()
	space := map[string]*colour.Space{"bt709": colour.BT709, "p3-d65": colour.P3D65}[c.space]
	for i := range rgb {
		rgb[i] = c.light(t, rgb[i], black/white.Y)
	}
	target := space.ToXYZ(rgb)
	own, err := colour.NewWhite(space.White().XYZ(1))
	if err != nil {
		t.Fatal(err)
	}
	seen := own
	if c.white == "measured" {
		if seen, err = colour.NewWhite(white.Scale(1 / white.Y)); err != nil {
			t.Fatal(err)
		}
	}
	k := 1 / white.Y
	if !c.counts {
		k = target.Y / xyz.Y
	}
	return colour.DeltaE2000(own.Lab(target), seen.Lab(xyz.Scale(k)))
}

// recomputed gives the differences of a chart's colours from the looks at
// them: black first, white at the ends and between. Of, where it is set, is
// what is seen of a patch in place of what was read.
func (c choice) recomputed(t *testing.T, all []looked, floor float64, of func(bench.Patch) colour.XYZ) (found []float64) {
	t.Helper()
	seen := func(l looked) colour.XYZ {
		if of != nil {
			return of(l.patch)
		}
		return l.xyz
	}
	white, whites := colour.XYZ{}, 0.0
	for _, l := range all[1:] {
		if l.patch.RGB == [3]float64{1, 1, 1} {
			white, whites = white.Add(seen(l)), whites+1
		}
	}
	white = white.Scale(1 / whites)
	black := seen(all[0]).Y
	if black <= floor {
		black = 0
	}
	for _, l := range all[1:] {
		if l.patch.RGB != [3]float64{1, 1, 1} {
			found = append(found, c.difference(t, l.patch.RGB, seen(l), white, black))
		}
	}
	return found
}

func mean(list []float64) float64 {
	sum := 0.0
	for _, x := range list {
		sum += x
	}
	return sum / float64(len(list))
}

// The chart's differences are those that the colour package gives of the same
// readings, for each choice of space, curve, white and luminance.
func TestChartOfItsReadings(t *testing.T) {
	for _, name := range []string{"default", "dunlin-27"} {
		w := world(t, name, nil)
		eachChoice(func(c choice) {
			out := shipped(t, "chart", append(c.set(), "colours=24", "longest_settling=0")...)(w, 1)
			want := c.recomputed(t, looks(out), w.Meter.Floor, nil)
			table, ok := out.Results.TableByID("colours-of-the-chart")
			if !ok || table.Len() != 24 {
				t.Fatalf("%+v: the chart has no table of 24 colours", c)
			}
			got, err := table.Column("difference")
			if err != nil {
				t.Fatal(err)
			}
			slices.Sort(got)
			slices.Sort(want)
			for i := range want {
				if math.Abs(got[i]-want[i]) > 1e-6 {
					t.Errorf("%s, %+v: a difference is %.9f, want %.9f", name, c, got[i], want[i])
				}
			}
			for id, x := range map[string]float64{"average-delta-e2000": mean(want), "maximum-delta-e2000": want[len(want)-1], "median-delta-e2000": (want[11] + want[12]) / 2} {
				if got := value(t, out.Results, id); math.Abs(got-x) > 1e-6 {
					t.Errorf("%s, %+v: %s is %.9f, want %.9f", name, c, id, got, x)
				}
			}
			above := 0.0
			for _, d := range want {
				if d > 3 {
					above++
				}
			}
			if got := value(t, out.Results, "share-above-threshold"); math.Abs(got-100*above/24) > 1e-9 {
				t.Errorf("%s, %+v: the share above the threshold is %g, want %g", name, c, got, 100*above/24)
			}
		})
	}
}

// On displays that show something else than signals mean, the average is that
// of the light which the world truly gives.
func TestChartFindsTheTruth(t *testing.T) {
	for _, tt := range []struct {
		world, mode string
		c           choice
	}{
		{"default", "", choice{"bt709", "power", "measured", 2.2, true}},
		{"default", "Noon", choice{"p3-d65", "srgb", "target", 2.2, true}},
		{"fulmar-55", "Cinema", choice{"bt709", "bt1886", "measured", 2.4, true}},
		{"fulmar-55", "Vivid", choice{"p3-d65", "power", "target", 2.2, false}},
		{"dunlin-27", "Office", choice{"bt709", "power", "target", 2.4, true}},
		{"dunlin-27", "", choice{"bt709", "srgb", "measured", 2.2, false}},
	} {
		w := world(t, tt.world, map[string]any{"mode": tt.mode})
		out := shipped(t, "chart", append(tt.c.set(), "delay=4", "colours=64", "longest_settling=0")...)(w, 1)
		ideal, err := sim.New(w, 1, 0)
		if err != nil {
			t.Fatal(err)
		}
		want := mean(tt.c.recomputed(t, looks(out), w.Meter.Floor, func(p bench.Patch) colour.XYZ {
			xyz, err := ideal.TruthXYZ(p)
			if err != nil {
				t.Fatal(err)
			}
			return xyz
		}))
		got := value(t, out.Results, "average-delta-e2000")
		t.Logf("%s %s: average %.4f, truth %.4f", tt.world, tt.mode, got, want)
		if want < 1 || math.Abs(got-want) > 0.12 {
			t.Errorf("%s %s: the average is %.4f, want %.4f within 0.12 and above 1", tt.world, tt.mode, got, want)
		}
	}
}

// The bias that is stated is what noise adds to the average, within a third,
// on a display without differences and on one with some.
func TestBiasOfTheChart(t *testing.T) {
	plain := []any{map[string]any{"name": "Plain", "tone": "power", "exponent": 2.2, "gamut": "bt709", "white": []any{0.3127, 0.329}}}
	shifted := []any{map[string]any{"name": "Plain", "tone": "power", "exponent": 2.25, "gamut": "bt709", "white": []any{0.3127, 0.329}}}
	for _, tt := range []struct {
		name  string
		modes []any
		noise map[string]any
	}{
		{"gain and colour", plain, map[string]any{"meter.repeatability": 2.0, "meter.shot_noise": 2.0}},
		{"gain", plain, map[string]any{"meter.repeatability": 3.0}},
		{"with differences", shifted, map[string]any{"meter.repeatability": 2.0, "meter.shot_noise": 2.0}},
	} {
		tt.noise["modes"], tt.noise["mode"] = tt.modes, "Plain"
		w := world(t, "ideal", tt.noise)
		quiet := world(t, "ideal", map[string]any{"modes": tt.modes, "mode": "Plain"})
		run := shipped(t, "chart", "colours=64", "precision=10")
		truth := value(t, run(quiet, 1).Results, "average-delta-e2000")
		var lifted, stated []float64
		for seed := range uint64(12) {
			r := run(w, seed+1).Results
			lifted = append(lifted, value(t, r, "average-delta-e2000")-truth)
			stated = append(stated, value(t, r, "bias-of-average-delta-e2000"))
		}
		t.Logf("%s: truth %.4f, noise adds %.4f, stated %.4f", tt.name, truth, mean(lifted), mean(stated))
		if r := mean(stated) / mean(lifted); r < 2./3 || r > 4./3 {
			t.Errorf("%s: noise adds %.4f to the average, stated is %.4f", tt.name, mean(lifted), mean(stated))
		}
	}
}

// The differences are those of two general-purpose libraries, of the same XYZ,
// for each choice of white, curve and luminance; see testdata/crosscheck.
func TestChartAgainstLibraries(t *testing.T) {
	rows := crosscheck(t, "chart.csv")
	var source strings.Builder
	source.WriteString("local differences = require \"differences\"\nlocal rows = {\n")
	for _, r := range rows {
		fmt.Fprintf(&source, "{ { space=%q, white=%q, target=%q, luminance_counts=%s, gamma=2.3 }, %s },\n", r[0], r[1], r[2], r[3], strings.Join(r[4:14], ", "))
	}
	source.WriteString(`}
return procedure { title = "t", purpose = "p", run = function()
  local t = record.table("t", { { "d" } })
  for _, row in ipairs(rows) do
    local p, black = row[1], row[2]
    local white, xyz = { X = row[3], Y = row[4], Z = row[5] }, { X = row[9], Y = row[10], Z = row[11] }
    local wanted, found = differences.labs(p, { xyz }, { differences.target(p, { row[6], row[7], row[8] }, black / white.Y) }, white)
    t:add { d = colour.delta_e2000 { a = wanted, b = found }[1] }
  end
end }`)
	p := &procedure.Procedure{Name: "t", File: "t.lua", Source: []byte(source.String()), Find: scripts.Files.ReadFile}
	if q, err := procedure.Find("chart", scripts.Files); err != nil {
		t.Fatal(err)
	} else {
		p.Find = q.Find
	}
	out := prepare(t, p)(sim.Default(), 1)
	table, ok := out.Results.TableByID("t")
	if !ok || table.Len() != len(rows) {
		t.Fatal("the differences are missing")
	}
	got, err := table.Column("d")
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range rows {
		for _, k := range []int{14, 15} {
			want, err := strconv.ParseFloat(r[k], 64)
			if err != nil || math.Abs(got[i]-want) > 1e-6 {
				t.Errorf("%v: the difference is %.9f, want %.9f", r, got[i], want)
			}
		}
	}
}

// crosscheck reads a table of testdata/crosscheck, without its head.
func crosscheck(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("../testdata/crosscheck/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s has %d rows, %v", name, len(rows), err)
	}
	return rows[1:]
}
