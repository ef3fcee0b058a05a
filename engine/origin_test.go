package engine_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/journal"
	"candelua/engine/report"
	"candelua/engine/result"
)

// ways are how a script hands on a number that it read: r is the reading against which something stands, s is a
// sound one, and rows are both. Each is what is recorded as a value.
var ways = []string{
	`r`, `r.Y`, `r.Y, from = r`, `r.Y, of = r`, `r.Y, from = { r }`, `100 * r.Y / s.Y, from = { r, s }`, `r.Y + s.Y, from = { { n = 1, reading = r }, { n = 2, reading = s } }`,
	`rows[1].Y`, `rows[1].Y + rows[2].Y, from = rows`, `t:column("Y")[1]`, `t:at("Y", { n = 1 })`, `stats.mean(t:column("Y")), from = t`, `stats.mean(t:column("Y"))`,
	`100 * r.Y / s.Y`, `s.Y - r.Y`, `math.max(r.Y, s.Y, r.Y + s.Y)`, `math.log(1 + r.Y)`, `helper(r)`, `helper { Y = r.Y }`, `(function() return r.Y end)()`,
	`tonumber(string.format("%.3g", 1000 * r.Y))`, `tonumber(tostring(r.Y))`, `string.format("%.3g nit", r.Y)`, `string.format("%.3g nit", r.Y), from = r`,
	`run.decide("one", r.Y)`, `run.decide("two", { a = { s.Y, r.Y }, b = "word" }).a[2]`, `run.decide_by("three", function() return 2 * r.Y end)`, `tonumber(string.format("%.2g", r.Y))`,
	`select(2, pcall(function() return r.Y * 2 end))`, `r.Y, tolerance = { min = 0 }`, `r.Y, unit = "cd/m2"`,
}

// darkHardlyMatters are ways that a reading below the meter's floor does not change by a half, whatever it truly is.
var darkHardlyMatters = []string{`stats.mean(t:column("Y"))`, `s.Y - r.Y`, `math.max(r.Y, s.Y, r.Y + s.Y)`}

// soundWays are values that hang on nothing that stands against a reading.
var soundWays = []string{`s`, `s.Y`, `2 * s.Y, from = s`, `t:column("Y")[2]`, `7`, `"a word"`, `math.max(s.Y, 400)`, `run.decide("sound", s.Y)`}

const familyHead = `local function helper(x) local y = x.Y return y / 3 end
local function measure(patch) patches.show(patch) return READ end
local s, r = measure { grey = 0.6, window = 4 }, measure(PATCH)
local rows = { { n = 1, reading = r, Y = r.Y }, { n = 2, reading = s, Y = s.Y } }
local t, u = record.table("T", { { "n" }, { "Y", "cd/m2" } }), record.table("U", { { "n" }, { "double" }, { "other" } })
for _, row in ipairs(rows) do t:add { n = row.n, Y = row.reading } end
u:add { n = 1, double = 2 * r.Y, from = r }
u:add { n = 2, double = 2 * s.Y, other = 5 }
u:add { n = 3, double = 2 * r.Y }
record.plot { table = t, x = "n", y = "Y" }
record.plot { table = u, x = "n", y = "double" }
record.distribution { title = "D", values = { r.Y, s.Y } }
record.distribution { title = "Sound", values = { s.Y, 5 } }
`

// family is the script of all ways. A word may not end in a digit, so names are words too.
func family(read, patch, tail string) string {
	body := strings.NewReplacer("READ", read, "PATCH", patch).Replace(familyHead)
	for i, way := range ways {
		body += fmt.Sprintf("record.value { name = \"way %d\", value = %s }\n", i, way)
	}
	for i, way := range soundWays {
		body += fmt.Sprintf("record.value { name = \"sound %d\", value = %s }\n", i, way)
	}
	return body + tail
}

// standings are what may stand against a reading, each with how it comes about. Sound readings are below 120 cd/m2.
var standings = []struct {
	name, read, patch string
	flag              bench.Flag
	light             func(n int, s *bench.Sample)
	why               string
}{
	{name: "saturated", read: "meter.read { repeats = 3 }", flag: bench.Saturated, why: "the meter was saturated"},
	{name: "saturated, single", read: "meter.read()", flag: bench.Saturated, why: "the meter was saturated"},
	{name: "underfilled", read: "meter.read { repeats = 3 }", flag: bench.Underfilled, why: "the window did not fill"},
	{name: "drifting", read: "meter.read { repeats = 3 }", flag: bench.Drifting, why: "the light still changed while it was read"},
	{name: "saturated, measured", read: "meter.measure()", flag: bench.Saturated, why: "the meter was saturated"},
	{name: "not settled", read: "meter.measure()", light: func(n int, s *bench.Sample) { s.Y *= 1 + 0.02*float64(n) }, why: "the light still changed"},
	{name: "below the floor", read: "meter.measure { settle = 0 }", patch: "{ grey = 0, window = 4 }", why: "below the meter's floor"},
}

func familySpec(t *testing.T, i int, tail string) engine.Spec {
	c := standings[i]
	n := 0
	f := &faults{light: func(s *bench.Sample) {
		if s.Y > 120 {
			if n++; c.flag != "" {
				s.Flags = append(s.Flags, c.flag)
			}
			if c.light != nil {
				c.light(n, s)
			}
		}
	}}
	patch := c.patch
	if patch == "" {
		patch = "{ grey = 1, window = 4 }"
	}
	s := f.spec(t, family(c.read, patch, tail))
	return s
}

// TestNoDoubtIsLost: of readings with each doubt, handed on in each way, no number is shown without what stands
// against it, at any exit; and no other number has a remark.
func TestNoDoubtIsLost(t *testing.T) {
	for i, c := range standings {
		t.Run(c.name, func(t *testing.T) {
			s := familySpec(t, i, "")
			rep := ran(t, s, journal.Done)
			for k, way := range ways {
				v, _ := rep.Results.ValueByID(fmt.Sprintf("way-%d", k))
				told := exits(t, rep, v)
				if c.patch != "" && slices.Contains(darkHardlyMatters, way) {
					continue
				}
				if !strings.Contains(told, c.why) && v.Bound == "" {
					t.Errorf("value = %s: %+v\nis shown without a doubt: %s", way, v, told)
				}
				if v.Tolerance != nil && v.Finding != result.NotEvaluated {
					t.Errorf("value = %s passes", way)
				}
			}
			for k, way := range soundWays {
				if v, _ := rep.Results.ValueByID(fmt.Sprintf("sound-%d", k)); v.Remark() != "" || v.Bound != "" || v.Why != "" {
					t.Errorf("value = %s: %+v has a remark: %s", way, v, v.Remark())
				}
			}
			tablesAndDrawings(t, rep, c.why)
			again, err := engine.Replay(context.Background(), rep.Path, s.Setup)
			must(t, err)
			if len(again.Differences)+len(again.Files) > 0 {
				t.Errorf("a replay differs: %v %v", again.Differences, again.Files)
			}
		})
	}
}

// exits is what a value's line of the terminal and its words elsewhere say, if they all say it.
func exits(t *testing.T, rep *engine.Report, v *result.Value) string {
	t.Helper()
	one := result.New()
	must(t, second(one.Value(*v)))
	var terminal bytes.Buffer
	must(t, report.Terminal(&terminal, one, report.Options{Width: 2000}))
	says := v.Why + v.Remark()
	if !strings.Contains(terminal.String(), v.Remark()) || !strings.Contains(terminal.String(), v.Why) {
		t.Errorf("the terminal lacks %q:\n%s", says, terminal.String())
	}
	if v.Doubt != "" && !strings.Contains(report.ValueText(v), v.Doubt) || v.Open != "" && !strings.Contains(report.ValueText(v), "perhaps") {
		t.Errorf("the list of runs has %s", report.ValueText(v))
	}
	kept, err := os.ReadFile(filepath.Join(rep.Path, "results.json"))
	must(t, err)
	var read result.Results
	must(t, read.UnmarshalJSON(kept))
	if again, _ := read.ValueByID(v.ID); again.Remark() != v.Remark() || again.Why != v.Why || !strings.Contains(string(kept), v.Remark()) {
		t.Errorf("results.json has %+v", again)
	}
	return says
}

func second[T any](_ T, err error) error { return err }

// tablesAndDrawings holds cells, CSV files and drawings against what stands against the reading.
func tablesAndDrawings(t *testing.T, rep *engine.Report, why string) {
	t.Helper()
	doubtful := map[string]map[[2]int]bool{"t": {{0, 1}: true}, "u": {{0, 1}: true, {2, 1}: true}}
	for _, tab := range rep.Results.Tables() {
		for row := range tab.Len() {
			for column := range tab.Width() {
				if said := strings.Contains(tab.CellRemark(row, column), why); said != doubtful[tab.ID][[2]int{row, column}] {
					t.Errorf("table %s, row %d, column %d: the remark is %q", tab.ID, row, column, tab.CellRemark(row, column))
				}
			}
		}
		var terminal bytes.Buffer
		must(t, report.Terminal(&terminal, rep.Results, report.Options{Width: 2000, Plots: true}))
		if !strings.Contains(terminal.String(), tab.Remark()) || tab.Remark() == "" {
			t.Errorf("the terminal lacks %q", tab.Remark())
		}
		if file := read(t, rep, "tables", tab.ID+".csv"); strings.Count(file, why) != len(doubtful[tab.ID]) {
			t.Errorf("%s.csv is\n%s", tab.ID, file)
		}
	}
	all, err := filepath.Glob(filepath.Join(rep.Path, "plots", "*.svg"))
	must(t, err)
	if len(all) != 4 {
		t.Fatalf("drawings are %v", all)
	}
	for _, path := range all {
		sound := filepath.Base(path) == "sound.svg"
		text, err := os.ReadFile(path)
		must(t, err)
		if strings.Contains(strings.Join(strings.Fields(string(text)), " "), "do not show what the patch gives") == sound {
			t.Errorf("%s: that it says something of readings is %v", path, !sound)
		}
	}
}

func read(t *testing.T, rep *engine.Report, folder, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(rep.Path, folder, name))
	must(t, err)
	return string(text)
}

// TestOpenWhereNoProbeGoes: where the script takes other steps by the least change of the reading, or has not come to
// its end, it is not known what hangs on it. Then each number says so of which the script does not say where it is
// from, and no other. Where it takes other steps by a larger change, that holds of what may have been rounded.
func TestOpenWhereNoProbeGoes(t *testing.T) {
	const open = "it is not said which readings"
	for name, c := range map[string]struct {
		tail  string
		is    journal.Standing
		probe bool // a small change goes
	}{
		"other steps":                  {"clock.wait(1 + r.Y)", journal.Done, false},
		"other steps by larger change": {"clock.wait(1 + r.Y / 1e9)", journal.Done, true},
		"failed":                       {`error("at the end")`, journal.Failed, false},
	} {
		t.Run(name, func(t *testing.T) {
			rep := ran(t, familySpec(t, 0, c.tail), c.is)
			for k, way := range append(append([]string{}, ways...), soundWays...) {
				id, sound := fmt.Sprintf("way-%d", k), k >= len(ways)
				if sound {
					id = fmt.Sprintf("sound-%d", k-len(ways))
				}
				v, _ := rep.Results.ValueByID(id)
				stated := strings.Contains(way, "from = ") || strings.Contains(way, "of = ") || way == "r" || way == "s" || way == `"a word"`
				told := exits(t, rep, v)
				switch says := strings.Contains(told, "the meter was saturated"); {
				case !c.probe && strings.Contains(told, open) == stated, says && stated && sound, !says && !sound && v.Bound == "":
					t.Errorf("value = %s: says %q, and states its origin: %v", way, told, stated)
				}
			}
			for _, tab := range rep.Results.Tables() {
				if !strings.Contains(tab.Remark(), "the meter was saturated") {
					t.Errorf("the remark on table %s is %q", tab.ID, tab.Remark())
				}
			}
		})
	}
}

// TestNothingStands: where no reading has a doubt, nothing is said, and nothing is executed again.
func TestNothingStands(t *testing.T) {
	f := &faults{}
	s := f.spec(t, family("meter.read { repeats = 3 }", "{ grey = 1, window = 4 }", ""))
	rep := ran(t, s, journal.Done)
	for _, v := range rep.Results.Values() {
		if v.Remark() != "" || v.Why != "" || v.Text == "" && (v.Value == nil || math.IsNaN(*v.Value)) {
			t.Errorf("%+v: %s", v, v.Remark())
		}
	}
	if text := read(t, rep, "", "results.json"); strings.Contains(text, "remark") {
		t.Error("results.json has a remark")
	}
}

// TestDoubtOfACorrection: a correction is a file that other runs use, so a note says what stands against it.
func TestDoubtOfACorrection(t *testing.T) {
	script := func(target string) string {
		return `local s = measure { grey = 0.6, window = 4 }
local r = measure { grey = 1, window = 4 }
record.correction { name = "Crake 2", correction = colour.matrix_correction {
  reference = { { X = 40, Y = 20, Z = 2 }, { X = 35, Y = 70, Z = 12 }, { X = 18, Y = 7, Z = 95 } },
  target = { { X = 41, Y = 21, Z = 2 }, { X = 35, Y = 71, Z = 12 }, ` + target + ` },
} }`
	}
	for target, doubtful := range map[string]bool{"r": true, "s": false} {
		f := &faults{light: func(s *bench.Sample) {
			if s.Y > 120 {
				s.Flags = append(s.Flags, bench.Underfilled)
			}
		}}
		s := f.spec(t, "local function measure(patch) patches.show(patch) return meter.read() end\n"+script(target))
		rep := ran(t, s, journal.Done)
		said := false
		for _, n := range rep.Results.Notes() {
			said = said || n.Doubts() && strings.HasPrefix(n.Text, "The correction Crake 2 is computed from readings that do not show what the patch gives: the window did not fill")
		}
		if said != doubtful {
			t.Errorf("of a correction from %s, the notes are %+v", target, rep.Results.Notes())
		}
	}
}
