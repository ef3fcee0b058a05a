package engine_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/draw"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/result"
	"candelua/engine/sim"
	"candelua/engine/store"
)

// matrix is of a correction that is nobody's; a test multiplies by it itself.
var matrix = [3][3]float64{{1.02, -0.03, 0.001}, {0.01, 0.98, -0.002}, {0, 0.004, 1.1}}

const correctionText = `name = "Crake 2, Dusk"
method = "four-colour"
matrix = [[1.02, -0.03, 0.001], [0.01, 0.98, -0.002], [0, 0.004, 1.1]]
meter = { name = "Tern Street filter", serial = "TF-04" }
`

// filterWorld is the default one with a filter meter.
func filterWorld(t testing.TB) sim.Params {
	t.Helper()
	w := sim.Default()
	for path, value := range map[string]any{"meter.kind": "filter", "meter.name": "Tern Street filter", "meter.serial": "TF-04",
		"meter.filter_shift": []any{2.0, -1.5, 2.5}, "meter.filter_leak": []any{0.6, 0.3, 0.5}} {
		must(t, w.Set(path, value))
	}
	return w
}

// filterSpec is a run with the filter meter and, where it has a text, a
// correction.
func filterSpec(t testing.TB, p *procedure.Procedure, correction string) engine.Spec {
	t.Helper()
	s := simSpec(t, p)
	section, texts := "", map[string]string{}
	if correction != "" {
		section = "correction = \"corrections/crake-dusk.toml\"\n"
		texts[history.CorrectionText(bench.KindMeter)] = correction
	}
	src := "[meter]\ndriver = \"sim\"\n" + section + "[reference]\ndriver = \"sim\"\n[patches]\ndriver = \"sim\"\n"
	s.Bench = get(bench.ParseFile("bench.toml", []byte(src)))(t)
	s.Openers, s.Texts = bench.Openers{"sim": sim.Opener(filterWorld(t), 1, 0)}, texts
	return s
}

const fourColours = `for name, rgb in pairs { Red = { 1, 0, 0 }, Green = { 0, 1, 0 }, Blue = { 0, 0, 1 }, White = { 1, 1, 1 } } do
patches.show { rgb = rgb, window = 10 }
local r = meter.read { after = 1, relative = 0.2 }
for _, k in ipairs { "X", "Y", "Z", "x", "y", "u", "v" } do
record.value { name = name .. " " .. k, id = name:lower() .. "-" .. (k == k:upper() and "big-" or "") .. k:lower(), value = r[k], of = r }
end
record.value { name = name .. " by", value = r.correction or "none" }
end
meter.settle { within = 5, over = 5, timeout = 60 }
local other = meter.named("reference").read { repeats = 2 }
record.value { name = "Reference", value = other.Y, unit = "cd/m2" }
record.value { name = "Reference by", value = other.correction or "none" }
record.value { name = "About", value = meter.about().correction or "none" }`

// rawSample is what the journal keeps of a single reading.
type rawSample struct{ X, Y, Z float64 }

func rawSamples(t testing.TB, path string) (all []rawSample, meters []string) {
	t.Helper()
	j := journalOf(t, path)
	for n := 1; n <= j.Steps(); n++ {
		s := get(j.Step(n))(t)
		for _, text := range s.Samples {
			var raw rawSample
			must(t, json.Unmarshal(text, &raw))
			all, meters = append(all, raw), append(meters, s.Device)
		}
	}
	return all, meters
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Max(math.Abs(a), math.Abs(b)) }

// A correction is XYZ' = M XYZ of each single reading: linear algebra, worked
// out here from the raw readings that the journal keeps.
func TestCorrectionIsTheMatrix(t *testing.T) {
	rep := ran(t, filterSpec(t, procedureOf(fourColours), correctionText), journal.Done)
	raw, meters := rawSamples(t, rep.Path)
	rows := get(csv.NewReader(strings.NewReader(string(file(t, rep.Path, "readings.csv")))).ReadAll())(t)
	if len(rows) != len(raw)+1 {
		t.Fatalf("there are %d rows for %d single readings", len(rows)-1, len(raw))
	}
	column := map[string]int{}
	for i, head := range rows[0] {
		column[head] = i
	}
	corrected := 0
	for i, s := range raw {
		m, name := matrix, "Crake 2, Dusk"
		if meters[i] == "reference" {
			m, name = [3][3]float64{{1}, {0, 1}, {0, 0, 1}}, ""
		} else {
			corrected++
		}
		row := rows[i+1]
		for k, head := range []string{"X (cd/m2)", "Y (cd/m2)", "Z (cd/m2)"} {
			got := get(strconv.ParseFloat(row[column[head]], 64))(t)
			if want := m[k][0]*s.X + m[k][1]*s.Y + m[k][2]*s.Z; !near(got, want) {
				t.Errorf("row %d: %s is %v, want %v", i+1, head, got, want)
			}
		}
		if got := row[column["correction"]]; got != name {
			t.Errorf("row %d says the correction %q, want %q", i+1, got, name)
		}
	}
	if corrected < 20 || corrected == len(raw) {
		t.Fatalf("%d of %d readings are the corrected meter's", corrected, len(raw))
	}
	for id, want := range map[string]string{"red-by": "Crake 2, Dusk", "reference-by": "none", "about": "Crake 2, Dusk"} {
		if v, ok := rep.Results.ValueByID(id); !ok || v.Text != want {
			t.Errorf("%s is %+v, want %q", id, v, want)
		}
	}
	// The first reading's chromaticity is that of the mean of its corrected readings.
	var sum [3]float64
	n := len(get(journalOf(t, rep.Path).Step(2))(t).Samples)
	for _, s := range raw[:n] {
		for k := range 3 {
			sum[k] += matrix[k][0]*s.X + matrix[k][1]*s.Y + matrix[k][2]*s.Z
		}
	}
	for id, want := range map[string]float64{
		"red-big-x": sum[0] / float64(n), "red-big-y": sum[1] / float64(n), "red-big-z": sum[2] / float64(n),
		"red-x": sum[0] / (sum[0] + sum[1] + sum[2]), "red-y": sum[1] / (sum[0] + sum[1] + sum[2]),
		"red-u": 4 * sum[0] / (sum[0] + 15*sum[1] + 3*sum[2]), "red-v": 9 * sum[1] / (sum[0] + 15*sum[1] + 3*sum[2]),
	} {
		v, ok := rep.Results.ValueByID(id)
		if !ok || math.Abs(*v.Value-want) > 1e-9*math.Abs(want) {
			t.Errorf("%s is %+v, want %v", id, v, want)
		}
	}
	replayed(t, rep.Path, journal.Done)
}

// sums are the bytes of all files in a run's folder but those of its replays.
func filesOf(t testing.TB, path string) map[string]string {
	t.Helper()
	all := map[string]string{}
	must(t, filepath.WalkDir(path, func(p string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() && d.Name() == "replays" {
			return fs.SkipDir
		}
		if err == nil && !d.IsDir() {
			all[p] = string(file(t, p))
		}
		return err
	}))
	return all
}

func reanalysed(t testing.TB, path string, c engine.Changes) *engine.Reanalysis {
	t.Helper()
	return get(engine.Reanalyse(context.Background(), path, plain(), c))(t)
}

func meterCorrection(text string) engine.Changes {
	return engine.Changes{Corrections: map[bench.Kind]string{bench.KindMeter: text}}
}

// A run with a correction and the replay with it of a run without are the same:
// the meter reads the same, and its readings get the same.
func TestReplayWithCorrection(t *testing.T) {
	with := ran(t, filterSpec(t, procedureOf(fourColours), correctionText), journal.Done)
	without := ran(t, filterSpec(t, procedureOf(fourColours), ""), journal.Done)
	if d := cmp.Diff(effective(t, journalOf(t, without.Path)), effective(t, journalOf(t, with.Path))); d != "" {
		t.Fatalf("a correction changed what was asked or read: %s", d)
	}
	before := filesOf(t, without.Path)
	for n := 1; n <= 2; n++ {
		re := reanalysed(t, without.Path, meterCorrection(correctionText))
		if want := filepath.Join(without.Path, "replays", strconv.Itoa(n)); re.Folder != want {
			t.Fatalf("replay %d is in %s, want %s", n, re.Folder, want)
		}
		for _, name := range []string{"results.json", "readings.csv", "readings.json", "tables/tables.json"} {
			if string(file(t, re.Folder, name)) != string(file(t, with.Path, name)) {
				t.Errorf("%s is not that of a run with the correction", name)
			}
		}
		if len(re.Differences) == 0 || len(result.Compare(re.Before, without.Results)) > 0 {
			t.Errorf("%d differences, from %v", len(re.Differences), re.Before)
		}
		if d := cmp.Diff(before, filesOf(t, without.Path)); d != "" {
			t.Errorf("the replay changed the run: %s", d)
		}
		var used engine.Used
		folder := get(store.OpenReadOnly(without.Path))(t)
		must(t, folder.ReadReplay(n, &used))
		must(t, folder.Close())
		want := engine.Used{Engine: "test", Procedure: "probe", File: "probe.lua", Status: journal.Done, InPlaceOf: map[string]string{},
			Scripts:     []history.ScriptSum{{Name: "probe.lua", SHA256: history.Sum(procedureOf(fourColours).Source)}},
			Corrections: map[string]engine.UsedCorrection{"meter": {Name: "Crake 2, Dusk", Text: correctionText}}}
		if d := cmp.Diff(want, used); d != "" {
			t.Error(d)
		}
	}
	back := reanalysed(t, with.Path, meterCorrection(""))
	if string(file(t, back.Folder, "results.json")) != string(file(t, without.Path, "results.json")) {
		t.Error("without its correction a run comes to something else than one that had none")
	}
	if back.Used.InPlaceOf["meter"] != "Crake 2, Dusk" || len(back.Used.Corrections) > 0 {
		t.Errorf("used was %+v", back.Used)
	}
	replayed(t, without.Path, journal.Done)
	replayed(t, with.Path, journal.Done)
}

// A resumed run has its correction from its own head.
func TestResumeKeepsCorrection(t *testing.T) {
	whole := ran(t, filterSpec(t, procedureOf(fourColours), correctionText), journal.Done)
	lines := strings.SplitAfter(string(file(t, whole.Path, "journal.jsonl")), "\n")
	path := copied(t, whole.Path, []byte(strings.Join(lines[:len(lines)/2], "")))
	s := filterSpec(t, nil, correctionText)
	rep := wants(t, journal.Done)(engine.Resume(context.Background(), path, engine.Resumption{Setup: plain(), Reopen: func(history.Head) (*bench.File, bench.Openers, error) {
		return s.Bench, s.Openers, nil
	}}))
	if d := result.Compare(whole.Results, rep.Results); len(d) > 0 {
		t.Errorf("the resumed run differs: %v", d)
	}
}

func TestCorrectionErrors(t *testing.T) {
	s := filterSpec(t, procedureOf(fourColours), correctionText)
	s.Texts = nil
	_, err := engine.Run(context.Background(), s)
	if !errors.Is(err, fault.ErrUsage) {
		t.Fatalf("a correction that was not handed over gives %v", err)
	}
	has(t, err.Error(), `bench.toml:1: meter.correction is "corrections/crake-dusk.toml", and the text of that file was not given`)

	s = filterSpec(t, procedureOf(fourColours), "name = 'a'")
	_, err = engine.Run(context.Background(), s)
	if !errors.Is(err, fault.ErrUsage) {
		t.Fatalf("a bad correction gives %v", err)
	}
	has(t, err.Error(), "correction meter:1: method is missing")
	if left := get(os.ReadDir(s.Out))(t); len(left) > 0 {
		t.Errorf("it left %v", left)
	}

	h := &heard{}
	s = filterSpec(t, procedureOf("meter.read()"), strings.Replace(correctionText, "TF-04", "TF-05", 1))
	s.Setup = h.setup()
	rep := ran(t, s, journal.Done)
	const other = `the correction "Crake 2, Dusk" was made for the meter Tern Street filter TF-05, and the meter is Tern Street filter TF-04: its readings may be further off with it than without`
	if d := cmp.Diff([]string{other}, h.warnings); d != "" {
		t.Error(d)
	}
	h.warnings = nil
	re := get(engine.Reanalyse(context.Background(), rep.Path, h.setup(), meterCorrection(s.Texts["correction meter"])))(t)
	if d := cmp.Diff([][]string{{other}, {other}}, [][]string{h.warnings, re.Used.Warnings}); d != "" {
		t.Error(d)
	}
}

// A correction holds for a meter and for a kind of display. Where nobody can
// know the meter, the person is asked to.
func TestCorrectionOnAnotherUnit(t *testing.T) {
	const unit = "[unit]\nname = \"Crake 2\"\n"
	for name, want := range map[string][]string{
		"unit": nil, "Crake 2": nil,
		"Fulmar 55": {`the correction "Crake 2, Dusk" was made on Crake 2, and the unit is Fulmar 55: it holds only where both have the same primaries`},
	} {
		h := &heard{}
		s := filterSpec(t, procedureOf("meter.read()"), correctionText+unit)
		s.Setup, s.Unit = h.setup(), &bench.UnitFile{Name: name}
		ran(t, s, journal.Done)
		if d := cmp.Diff(want, h.warnings); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
	h := &heard{}
	var out bytes.Buffer
	s := filterSpec(t, procedureOf("meter.read()"), correctionText)
	s.Setup = h.setup()
	s.Bench = get(bench.ParseFile("bench.toml", []byte("[meter]\ndriver = 'operator'\ncorrection = 'crake-dusk.toml'\n[patches]\ndriver = 'operator'")))(t)
	s.Openers = typedOpeners("200 0.3127 0.3290\n", &out, true)
	ran(t, s, journal.Done)
	want := []string{`the correction "Crake 2, Dusk" was made for the meter Tern Street filter TF-04, and the meter is read by hand: make sure that it is the same`}
	if d := cmp.Diff(want, h.warnings); d != "" {
		t.Error(d)
	}
}

// A correction that may not hold is a doubt in the results too, once for each meter, with the kind of the panel and the day among the reasons: whoever
// reads the results did not see the warning. Runs by rules before 5 had no such note.
func TestMisfitsAreInResults(t *testing.T) {
	text := correctionText + "date = 2029-01-01\nvalid_for = 100\npanel = \"RGB\"\n"
	text = strings.Replace(text, "TF-04", "TF-05", 1)
	s := filterSpec(t, procedureOf("meter.read()\nmeter.read()"), text)
	s.Unit = get(bench.ParseUnit("crake.toml", []byte("name = 'Crake 2'\npanel = 'WRGB'")))(t)
	h := &heard{}
	s.Setup = h.setup()
	rep := ran(t, s, journal.Done)
	want := []string{
		`The correction "Crake 2, Dusk" was made for the meter Tern Street filter TF-05, and the meter is Tern Street filter TF-04: its readings may be further off with it than without.`,
		`The correction "Crake 2, Dusk" was made on a panel of the kind "RGB", and the unit's is "WRGB": it holds only for the kind that it was made on.`,
		`The correction "Crake 2, Dusk" was made 365 days before this run, and is valid for 100: filters and panels age, so make it again.`,
	}
	var got []string
	for _, n := range rep.Results.Notes() {
		got = append(got, n.Text)
		if n.Level != result.Doubt {
			t.Errorf("%q is a %q", n.Text, n.Level)
		}
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	if len(h.warnings) != len(want) {
		t.Errorf("before the run it warns of %q", h.warnings)
	}
	replayed(t, rep.Path, journal.Done)
}

// What cannot be reanalysed leaves nothing behind.
func TestReanalyseRefuses(t *testing.T) {
	const steered = `patches.show { grey = 1, window = 10 }
local r = meter.read()
patches.show { grey = LEVEL, window = 10 }
record.value { name = "Y", value = r.Y, unit = "cd/m2" }`
	body := func(level string) *procedure.Procedure {
		return procedureOf(strings.Replace(steered, "LEVEL", level, 1))
	}
	rep := ran(t, filterSpec(t, body("100 / (100 + r.Y)"), ""), journal.Done)
	before := filesOf(t, rep.Path)
	refused := func(c engine.Changes) error {
		t.Helper()
		_, err := engine.Reanalyse(context.Background(), rep.Path, plain(), c)
		if err == nil {
			t.Fatal("nothing was refused")
		}
		return err
	}

	err := refused(meterCorrection(correctionText))
	var divergence *play.DivergenceError
	var steer *engine.SteeredError
	if !errors.As(err, &divergence) || !errors.As(err, &steer) || steer.Code() != "divergence" {
		t.Errorf("steps that follow from readings give %v", err)
	}
	has(t, err.Error(), "step 3 differs from the journal")
	has(t, steer.Hint(), "run.decide")

	err = refused(engine.Changes{With: body("0.25")})
	if !errors.As(err, &divergence) || errors.As(err, &steer) {
		t.Errorf("another step gives %v", err)
	}
	has(t, fault.HintOf(err), "a replay has only the recorded steps")
	var left *play.LeftOverError
	if err = refused(engine.Changes{With: procedureOf("patches.show { grey = 1, window = 10 }")}); !errors.As(err, &left) {
		t.Errorf("fewer steps give %v", err)
	}
	if err = refused(engine.Changes{With: procedureOf(strings.Replace(steered, "LEVEL", "100 / (100 + r.Y)", 1) + "\nmeter.read()")}); !errors.Is(err, play.ErrJournalEnds) {
		t.Errorf("more steps give %v", err)
	}
	err = refused(engine.Changes{With: procedureOf(strings.Replace(steered, "LEVEL", "100 / (100 + r.Y)", 1) + "\nerror('no')")})
	has(t, err.Error(), "no")
	err = refused(engine.Changes{With: sourceOf("return 1")})
	has(t, err.Error(), "does not return a procedure")
	if err = refused(engine.Changes{Corrections: map[bench.Kind]string{bench.KindRig: correctionText}}); !errors.Is(err, fault.ErrUsage) {
		t.Errorf("a correction of a rig gives %v", err)
	}
	has(t, err.Error(), "there is a correction for the rig, and the run's bench has none")
	err = refused(meterCorrection("name = 'a'"))
	has(t, err.Error(), "correction meter:1: method is missing")
	if d := cmp.Diff(before, filesOf(t, rep.Path)); d != "" {
		t.Errorf("the run was changed: %s", d)
	}
	if _, err := os.Stat(filepath.Join(rep.Path, "replays")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("there is a folder of replays: %v", err)
	}
	if _, err := engine.Reanalyse(context.Background(), t.TempDir(), plain(), engine.Changes{}); !errors.Is(err, fault.ErrUsage) || !errors.Is(err, store.ErrNoRun) {
		t.Errorf("a folder that is no run gives %v", err)
	}
}

// A luminance alone, as a person types it, cannot be multiplied by a matrix.
func TestCorrectionOfTypedReadings(t *testing.T) {
	var out bytes.Buffer
	s := simSpec(t, procedureOf(`local r = meter.read()
record.value { name = "Y", value = r.Y, unit = "cd/m2" }`))
	s.Bench, s.Openers = bench.OperatorFile, typedOpeners("200\n", &out, true)
	rep := ran(t, s, journal.Done)
	_, err := engine.Reanalyse(context.Background(), rep.Path, plain(), meterCorrection(correctionText))
	if !errors.Is(err, bench.ErrBadReading) {
		t.Fatalf("it gives %v", err)
	}
	has(t, err.Error(), `probe.lua:5: meter.read: the meter returned a luminance only, and the correction "Crake 2, Dusk" needs X, Y and Z`)

	// Live it is refused before it is kept, so the run can go on.
	s = simSpec(t, s.Procedure)
	s.Bench = get(bench.ParseFile("bench.toml", []byte("[meter]\ndriver = 'operator'\ncorrection = 'crake-dusk.toml'\n[patches]\ndriver = 'operator'")))(t)
	s.Openers, s.Texts = typedOpeners("200\n", &out, true), map[string]string{history.CorrectionText(bench.KindMeter): correctionText}
	rep = ran(t, s, journal.Paused)
	rep = wants(t, journal.Done)(engine.Resume(context.Background(), rep.Path, engine.Resumption{Setup: plain(), Reopen: func(history.Head) (*bench.File, bench.Openers, error) {
		return s.Bench, typedOpeners("200 0.3127 0.3290\n", &out, true), nil
	}}))
	// Y' = (m21 x/y + m22 + m23 z/y) Y
	want := 200 * (0.01*0.3127/0.3290 + 0.98 - 0.002*(1-0.3127-0.3290)/0.3290)
	if got := *rep.Results.Values()[0].Value; !near(got, want) {
		t.Errorf("Y is %v, want %v", got, want)
	}
}

// A choice that is in run.decide stays the recorded one, whatever the readings
// come to.
func TestReplayKeepsDecisions(t *testing.T) {
	const body = `patches.show { grey = 1, window = 10 }
local r = meter.read()
patches.show { grey = run.decide("level", 100 / (100 + r.Y)), window = 10 }
record.value { name = "Y", value = r.Y, unit = "cd/m2" }`
	rep := ran(t, filterSpec(t, procedureOf(body), ""), journal.Done)
	re := reanalysed(t, rep.Path, meterCorrection(correctionText))
	raw, _ := rawSamples(t, rep.Path)
	s := raw[0]
	if got, want := *re.Results.Values()[0].Value, matrix[1][0]*s.X+matrix[1][1]*s.Y+matrix[1][2]*s.Z; !near(got, want) {
		t.Errorf("Y is %v, want %v", got, want)
	}
}

// Old readings are worth more when a mended script makes more of them. Its own
// copy is kept beside what it came to.
func TestReplayWithScript(t *testing.T) {
	const asked = "patches.show { grey = 1, window = 10 }\nlocal r = meter.read { repeats = 5 }\n"
	rep := ran(t, filterSpec(t, procedureOf(asked+`record.value { name = "Y", value = r.Y, unit = "cd/m2" }`), ""), journal.Done)
	edited := procedureOf("-- a line more\n" + asked + `record.value { name = "Half", value = r.Y / 2, unit = "cd/m2" }
local t = record.table("T", { { "a" } })
t:add { a = 1 }`)
	edited.Name, edited.File = "edited", "edited.lua"
	before := filesOf(t, rep.Path)
	re := reanalysed(t, rep.Path, engine.Changes{With: edited})
	if d := cmp.Diff(before, filesOf(t, rep.Path)); d != "" {
		t.Errorf("the run was changed: %s", d)
	}
	full, _ := rep.Results.ValueByID("y")
	half, ok := re.Results.ValueByID("half")
	if !ok || !near(*half.Value, *full.Value/2) || len(re.Differences) != 3 {
		t.Errorf("half is %+v of %+v; differences: %v", half, full, re.Differences)
	}
	if got := string(file(t, re.Folder, "procedure", "edited.lua")); got != string(edited.Source) {
		t.Errorf("the script is kept as %s", got)
	}
	if !re.Used.Edited || re.Used.Procedure != "edited" || re.Used.Scripts[0].SHA256 != history.Sum(edited.Source) {
		t.Errorf("used was %+v", re.Used)
	}
	has(t, string(file(t, re.Folder, "tables", "t.csv")), "a")
}

// A run that failed in its script, or lost its results, can be looked at with
// other eyes too.
func TestReplayOfWhatDidNotEndWell(t *testing.T) {
	const body = `local r = meter.read()
record.value { name = "Y", value = r.Y, unit = "cd/m2" }
error("a slip")`
	rep := ran(t, filterSpec(t, procedureOf(body), ""), journal.Failed)
	re := reanalysed(t, rep.Path, meterCorrection(correctionText))
	if re.Status != journal.Failed || re.Used.Reason == "" || len(re.Results.Values()) != 1 {
		t.Errorf("it came to %+v", re.Used)
	}
	re = reanalysed(t, rep.Path, engine.Changes{With: procedureOf(strings.Replace(body, `error("a slip")`, "", 1))})
	if re.Status != journal.Done || re.Used.Status != journal.Done {
		t.Errorf("the mended script is %s", re.Status)
	}
	must(t, os.Remove(filepath.Join(rep.Path, "results.json")))
	if re = reanalysed(t, rep.Path, meterCorrection(correctionText)); len(re.Before.Values()) != 0 {
		t.Errorf("before there was %v", re.Before)
	}
	must(t, os.WriteFile(filepath.Join(rep.Path, "results.json"), []byte("{"), 0o644))
	h := &heard{}
	re, err := engine.Reanalyse(context.Background(), rep.Path, h.setup(), meterCorrection(""))
	if must(t, err); len(re.Before.Values()) != 0 || len(h.warnings) != 1 {
		t.Errorf("of damaged results there was %v; warnings are %q", re.Before, h.warnings)
	}
	rewrite(t, filepath.Join(rep.Path, "results.json"), "{", `{"format":99,"kind":"candelua-results"}`)
	if _, err := engine.Reanalyse(context.Background(), rep.Path, plain(), meterCorrection("")); !errors.Is(err, result.ErrNewer) {
		t.Errorf("results of a newer format: %v", err)
	}
}

// TestCorrectionsShare: what a correction leaves of the luminance is shared by runs
// with that correction, so that it cancels in their ratio, and by no others: not even by one
// that was made anew under the old name.
func TestCorrectionsShare(t *testing.T) {
	residual := "residual = { luminance = 2 }\n"
	drawn := func(seed uint64, text string) draw.Run {
		s := filterSpec(t, procedureOf(`patches.show { grey = 1, window = 10 }
    record.value { name = "Y", value = meter.read({ after = 1, repeats = 10 }).Y, unit = "cd/m2" }`), text+residual)
		s.Seed = seed
		d := get(engine.DrawApart(context.Background(), ran(t, s, journal.Done).Path, plain(), 500))(t)
		r, _ := d.Run("y")
		return r
	}
	first := drawn(1, correctionText)
	anew := strings.Replace(correctionText, "0.98", "0.981", 1)
	if one := get(draw.Ratio(drawn(2, correctionText), first))(t); one.U > 0.002 {
		t.Errorf("with one correction the ratio's uncertainty is %v, want the scatter's", one.U)
	}
	if two := get(draw.Ratio(drawn(2, anew), first))(t); math.Abs(two.U-0.02*math.Sqrt2) > 0.003 {
		t.Errorf("with two corrections the ratio's uncertainty is %v, want 0.0283", two.U)
	}
}

// TestCorrectionsLeaveTheScatter: the numbers that a reading's scatter is drawn of go by what
// the meter gave, so that another correction changes an uncertainty by what it corrects,
// not by chance. Numbers drawn anew would change it by some percent.
func TestCorrectionsLeaveTheScatter(t *testing.T) {
	u := func(factor float64) float64 {
		text := fmt.Sprintf("name = \"Times\"\nmethod = \"four-colour\"\nmatrix = [[%[1]v, 0, 0], [0, %[1]v, 0], [0, 0, %[1]v]]\nmeter = { name = \"Tern Street filter\", serial = \"TF-04\" }\n", factor)
		s := filterSpec(t, procedureOf(`patches.show { grey = 1, window = 10 }
    record.value { name = "Y", value = meter.read({ after = 1, repeats = 5 }).Y + meter.read({ repeats = 5 }).Y, unit = "cd/m2" }`), text)
		s.Draws = 200
		v := ran(t, s, journal.Done).Results.Values()[0]
		return *v.U / *v.Value
	}
	if one, other := u(1), u(1.00001); math.Abs(other/one-1) > 1e-6 {
		t.Errorf("relative uncertainties are %v and %v, want the same", one, other)
	}
}

// matchedSpec is a run with a filter meter and a spectroradiometer, or with the spectroradiometer in the meter's place.
func matchedSpec(t testing.TB, name string, spectral bool, set ...string) engine.Spec {
	t.Helper()
	w := filterWorld(t)
	w.ExactMeters()
	if spectral {
		w.Meter = w.Reference
	}
	s := simSpec(t, shipped(t, name), set...)
	s.Openers = bench.Openers{"sim": sim.Opener(w, 1, 0)}
	return s
}

// TestOldRunWithNewCorrection: a run whose filter meter was not corrected is computed again with the correction that meter-match makes
// afterwards. It then agrees with what a spectroradiometer reads of the same panel, in quantities that the matrix was not made for.
func TestOldRunWithNewCorrection(t *testing.T) {
	old := ran(t, matchedSpec(t, "gamut", false), journal.Done)
	right := ran(t, matchedSpec(t, "gamut", true), journal.Done)
	made := ran(t, matchedSpec(t, "meter-match", false, "panel=RGB"), journal.Done)
	text := string(file(t, made.Path, "corrections", "correction.toml"))
	for _, want := range []string{"valid_for = 180", "panel = 'RGB'", "name = 'Tern Street filter'", "serial = 'TF-04'", "xy = 0.0000"} {
		if !strings.Contains(text, want) {
			t.Errorf("the correction states no %s:\n%s", want, text)
		}
	}
	now := reanalysed(t, old.Path, meterCorrection(text))
	if len(now.Used.Warnings) > 0 {
		t.Errorf("it warns: %q", now.Used.Warnings)
	}
	for id, within := range map[string]float64{"white-cct": 10, "white-duv": 0.0001, "white-luminance": 1.5, "coverage-bt709-uv": 0.02, "coverage-p3-uv": 0.1,
		"coverage-bt2020-uv": 0.1} {
		of := func(r *result.Results) float64 {
			v, ok := r.ValueByID(id)
			if !ok || v.Value == nil {
				t.Fatalf("there is no %s", id)
			}
			return *v.Value
		}
		was, is, want := of(old.Results), of(now.Results), of(right.Results)
		if math.Abs(is-want) > within {
			t.Errorf("%s is %v with the correction, and %v by the spectroradiometer; they differ by more than %v", id, is, want, within)
		}
		if id != "white-luminance" && math.Abs(was-want) < 5*within {
			t.Errorf("%s is %v without the correction: nothing to put right", id, was)
		}
	}
}
