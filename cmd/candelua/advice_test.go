package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"candelua/testdata/campaign"
)

// failing is a run that fails, and what a person mends.
type failing struct {
	name string
	// lines of the run function, after two that take steps; and what the mended ones are.
	wrong, right string
	needs        string // of the contract; empty: meter and patches
	mended       string // the needs, mended; empty: as they were
	world        string // lines of a world file
	code         int    // status of the first command
}

var failings = []failing{
	{name: "argument", wrong: "meter.read { repaets = 2 }", right: "meter.read { repeats = 2 }", code: 1},
	{name: "range", wrong: "patches.show { grey = 2 }", right: "patches.show { grey = 0.2 }", code: 1},
	{name: "nil", wrong: "local x = nil + 1", right: "local x = 1", code: 1},
	{name: "raised", wrong: "error('no light')", code: 1},
	{name: "raised-table", wrong: "error({ code = 'mine' })", code: 1},
	{name: "endless", wrong: "while true do end", code: 1},
	{name: "memory", wrong: "local t = {} for i = 1, 1e9 do t[i] = {} end", code: 1},
	{name: "result", wrong: "record.value { name = 'a', value = 0 / 0 }", right: "record.value { name = 'a', value = 0 }", code: 1},
	{name: "not-needed", wrong: "rig.place { x = 0.5, y = 0.5 }", right: "rig.place { x = 0.5, y = 0.5 }", mended: "{ meter = {}, patches = {}, rig = { place = true } }", code: 1},
	{name: "setting", needs: "{ meter = {}, patches = {}, unit = {} }", wrong: "unit.set { Brightnes = 50 }", right: "unit.set { Brightness = 50 }", code: 3},
	{name: "setting-value", needs: "{ meter = {}, patches = {}, unit = {} }", wrong: "unit.set { Brightness = 500 }", right: "unit.set { Brightness = 50 }", code: 3},
	{name: "lamp", needs: "{ meter = {}, patches = {}, rig = { lamps = true } }", wrong: "rig.set { lamp = 'frunt', level = 5 }", right: "rig.set { lamp = 'front', level = 5 }", code: 3},
	{name: "angle", needs: "{ meter = {}, patches = {}, rig = { turn = true } }", wrong: "rig.turn { degrees = 90 }", right: "rig.turn { degrees = 30 }", code: 3},
	{name: "caught-and-raised", needs: "{ meter = {}, patches = {}, unit = {} }", wrong: "local ok, e = pcall(unit.set, { Brightnes = 50 }) error('cannot set: ' .. e.message)", right: "unit.set { Brightness = 50 }", code: 3},
	{name: "spectrum", needs: `{ meter = { spectrum = "optional" }, patches = {} }`, world: "format = 1\n[meter]\nkind = \"filter\"\n", wrong: "meter.read { spectrum = true }", right: "meter.read {}", code: 3},
}

func (f failing) script(mended bool) string {
	needs, line := f.needs, f.wrong
	if needs == "" {
		needs = "{ meter = {}, patches = {} }"
	}
	if mended {
		line = f.right
		if f.mended != "" {
			needs = f.mended
		}
	}
	return "return procedure {\n  title = \"T\", purpose = \"P\", needs = " + needs + ",\n  run = function()\n    patches.show { grey = 1, window = 10 }\n" +
		"    meter.read {}\n    " + line + "\n    record.value { name = \"Y\", value = meter.read {}.Y, unit = \"cd/m2\" }\n  end,\n}\n"
}

// TestAdviceLeadsOn: where a run fails after a step, the command that is advised leads to
// its end once what was named is mended: a wrong script by --with, and a fault of the
// bench by resuming alone.
func TestAdviceLeadsOn(t *testing.T) {
	for _, f := range campaign.Some(t, failings, 5) {
		t.Run(f.name, func(t *testing.T) {
			t.Parallel()
			dir := folderWith(t, f.name, f.script(false))
			args := []string{"run", "./" + f.name + ".lua", "--draws", "0"}
			if f.world != "" {
				write(t, filepath.Join(dir, "w.toml"), f.world)
				args = append(args, "--world", "./w.toml")
			}
			said, status := commandIn(t, dir, args...)
			if status != f.code {
				t.Fatalf("status %d, want %d:\n%s", status, f.code, said)
			}
			followed(t, dir, f, said)
		})
	}
}

var goOnWith = regexp.MustCompile(`(?m)go on with: candelua (.*)$`)

func followed(t *testing.T, dir string, f failing, said string) {
	t.Helper()
	advised := goOnWith.FindStringSubmatch(said)
	if advised == nil {
		t.Fatalf("no command is advised:\n%s", said)
	}
	if strings.Contains(advised[1], "--with") {
		write(t, filepath.Join(dir, f.name+".lua"), f.script(true))
	}
	again, status := commandIn(t, dir, strings.Fields(strings.ReplaceAll(advised[1], "FILE", "./"+f.name+".lua"))...)
	if status != 0 {
		t.Errorf("%s ends with %d:\n%s\nfirst it said:\n%s", advised[1], status, again, said)
	}
}

// A script that was corrected wrongly is named by the advice after that, and a copy of a
// shipped one leads on too.
func TestAdviceAfterACorrection(t *testing.T) {
	f := failings[0]
	dir := folderWith(t, "first", f.script(false))
	if _, status := commandIn(t, dir, "run", "./first.lua", "--draws", "0"); status != 1 {
		t.Fatal("the script did not fail")
	}
	write(t, filepath.Join(dir, "second.lua"), strings.Replace(f.script(false), "repaets", "repaetz", 1))
	said, _ := commandIn(t, dir, "resume", "runs/first-1", "--with", "./second.lua")
	if advised := goOnWith.FindStringSubmatch(said); advised == nil || advised[1] != "resume runs/first-1 --with ./second.lua" {
		t.Errorf("advised: %v\n%s", advised, said)
	}
}

// Names that are known are checked before step 1, and the nearest is named: with it, the
// command succeeds.
func TestNearestNameLeadsOn(t *testing.T) {
	const unit = "name = \"U\"\nmodes = [\"Noon\", \"Dusk\"]\n[controls.Brightness]\nmin = 0\nmax = 100\n[controls.\"Automatic brightness\"]\nvalues = [\"on\", \"off\"]\n"
	head := func(needs, settings string) string {
		return "return procedure { title = \"T\", purpose = \"P\", needs = { " + needs + " }, settings = { " + settings + " },\n run = function() patches.show { grey = 1 } end }\n"
	}
	for name, c := range map[string]struct {
		script string
		args   []string
		wrong  string
	}{
		"lamp":              {head(`patches = {}, rig = { lamps = { "frunt" } }`, ""), nil, "frunt"},
		"control of a file": {head("patches = {}", "Brightnes = 50"), []string{"--unit", "./u.toml", "--mode", "Noon"}, "Brightnes"},
		"value of a file":   {head("patches = {}", `["Automatic brightness"] = "of"`), []string{"--unit", "./u.toml", "--mode", "Noon"}, `"of"`},
		"control":           {head("patches = {}", "Brightnes = 50"), nil, "Brightnes"},
		"value":             {head("patches = {}", `["Automatic brightness"] = "of"`), nil, `"of"`},
		"device":            {head("patchs = {}", ""), nil, "patchs"},
		"ability":           {head("patches = { sequense = true }", ""), nil, "sequense"},
		"mode":              {head("patches = {}", ""), []string{"--mode", "Nonn"}, "Nonn"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := folderWith(t, "p", c.script)
			write(t, filepath.Join(dir, "u.toml"), unit)
			args := append([]string{"run", "./p.lua"}, c.args...)
			said, status := commandIn(t, dir, args...)
			if _, err := os.Stat(filepath.Join(dir, "runs")); err == nil || status == 0 {
				t.Fatalf("not refused before step 1 (status %d):\n%s", status, said)
			}
			near := regexp.MustCompile(`did you mean "([^"]+)"`).FindStringSubmatch(said)
			if near == nil {
				t.Fatalf("the nearest is not named:\n%s", said)
			}
			right := near[1]
			if strings.HasPrefix(c.wrong, `"`) {
				right = `"` + right + `"`
			}
			write(t, filepath.Join(dir, "p.lua"), strings.Replace(c.script, c.wrong, right, 1))
			for i := range args {
				args[i] = strings.Replace(args[i], c.wrong, right, 1)
			}
			if again, status := commandIn(t, dir, args...); status != 0 {
				t.Errorf("with %s: %s", right, again)
			}
		})
	}
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// commandIn runs the command in a folder, and gives all that it says and its status.
func commandIn(t *testing.T, dir string, args ...string) (string, int) {
	t.Helper()
	cmd := exec.Command("candelua", args...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	if _, exited := err.(*exec.ExitError); err != nil && !exited {
		t.Fatal(err)
	}
	return string(out), cmd.ProcessState.ExitCode()
}

// folderWith makes a folder with a script.
func folderWith(t *testing.T, name, script string) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, name+".lua"), []byte(script), 0o644); err != nil {
		t.Fatal(err)
	}
	return dir
}
