//go:build unix

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"candelua/engine/plain"
	"candelua/testdata/campaign"
)

// forged follows, in the texts that are planted, the beginning of a line of candelua's
// own. Nothing that candelua says itself begins so.
const forged = "FORGED"

var leads = []string{"candelua: error: ", "candelua: hint: ", "candelua: ", "[INFO]  candelua: ", "[WARN]  candelua: ", "Run: ", "Replay: ", "note: ",
	"caution: ", "CAUTION: ", "This bench was simulated: ", "Measured on the bench ", "The replay agrees: "}

var harm = []string{"\x1b[31m", "\x1b]0;t\x07", "\x1b[2J\x1b[H", "\r", "\b\b\b", "\x7f", "\u009b2J", "\u0085", "\u202e", "\u202a", "\u2066", "\u2069", "\u200e", "\u200f", "\u061c",
	"\u2028", "\u2029", "\u200b", "\u200d", "\ufeff", "\U000e0041", "\ue000", "\u00ad", "\n", "\r\n", "\t", "峰", "<b>&", "=1+1", "'", "`id`", "$(id)", " RUN ", "%s%d", "a"}

// hostileText is a text that a script, a file or a person could hold: valid UTF-8,
// or with bytes that are none.
func hostileText(r *rand.Rand, broken bool) string {
	var b strings.Builder
	for range 1 + r.IntN(3) {
		b.WriteString(harm[r.IntN(len(harm))])
		switch r.IntN(3) {
		case 0:
			b.WriteString("\n" + leads[r.IntN(len(leads))] + forged)
		case 1:
			b.WriteString("x")
		}
	}
	if r.IntN(4) == 0 {
		return leads[r.IntN(len(leads))] + forged + b.String()
	}
	if broken && r.IntN(4) == 0 {
		b.WriteString("\xff\xc3")
	}
	return b.String()
}

// literals are the texts within a file, whatever it is written in.
var literals = regexp.MustCompile(`"(?:[^"\\\n]|\\.)*"`)

// planted is a file with some of its texts replaced by hostile ones.
func planted(r *rand.Rand, file string, share float64, write func(*rand.Rand) string) string {
	return literals.ReplaceAllStringFunc(file, func(was string) string {
		if r.Float64() >= share {
			return was
		}
		return write(r)
	})
}

func inLua(r *rand.Rand) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, octet := range []byte(hostileText(r, true)) {
		fmt.Fprintf(&b, `\%03d`, octet)
	}
	return b.String() + `"`
}

func inJSON(r *rand.Rand) string {
	text, err := json.Marshal(hostileText(r, false))
	if err != nil {
		panic(err)
	}
	return string(text)
}

func inTOML(r *rand.Rand) string {
	text, err := json.Marshal(hostileText(r, false))
	if err != nil {
		panic(err)
	}
	return string(plain.TOML(text))
}

// everyField hands a text to whatever takes one; what is refused is printed.
const everyField = `
local function try(f, ...)
  local ok, err = pcall(f, ...)
  if not ok then print(tostring(err)) print(err.hint or "none") end
end
return procedure {
  title = "Title", purpose = "Purpose of it", caution = "Caution of it",
  needs = { meter = {}, patches = {}, operator = {}, unit = {}, rig = {} },
  settings = { ["Automatic brightness"] = "off" },
  params = {
    some = { default = "text", help = "what it is", formerly = { 'former' } },
    word = { default = 'one', one_of = { 'one', "two" }, help = "a word" },
    size = { default = 2, unit = "mm", min = 0, max = 5, help = "a size" },
    list = { default = { "a", "b" }, help = "a list" },
  },
  run = function(p)
    print("printed", p.some)
    try(unit.set, { ["Brightness"] = "maximum" })
    try(rig.set, { lamp = "front", level = 10 })
    try(operator.confirm, "confirm this")
    try(operator.ask, "how much", { unit = "mm", example = 3 })
    try(operator.choose, "which", { "this", "that" }, { example = "that" })
    patches.show { grey = 1, window = 10 }
    local white
    run.part("a part", function() white = meter.read { after = 1 } end)
    try(run.unbroken, "whole part", function() end)
    try(run.decide, "a decision", "its value")
    try(record.value, { name = "Name of a value", value = white.Y, unit = "cd/m2", from = { white } })
    try(record.value, { name = "Text value", value = "a long text that is no number" })
    try(record.value, { name = "Not evaluated", why = "for this reason", tolerance = { min = 1 }, formerly = "older-id" })
    try(record.value, { name = "Bad", value = 1, id = "an id" })
    try(function()
      local c = "column"
      local t = record.table("Name of a table", { { c, "unit" }, { 'words', "" } })
      try(t.add, t, { [c] = 1, words = "a cell" })
      try(t.add, t, { [c] = 2, words = "another cell" })
      record.plot { table = t, x = c, y = c, title = "Title of a plot" }
      try(t.at, t, "column", { words = "a cell" })
    end)
    try(record.distribution, { title = "Title of it", values = { 1, 2, 3 }, unit = "cd/m2", marks = { { name = "a mark", value = 2 } } })
    try(record.chromaticity, { title = "Title of this", points = { { name = "a point", measured = white, target = { x = 0.31, y = 0.33, Y = 1 } } } })
    try(record.note, "a note")
    try(record.note, "a caution", { level = "caution" })
    try(meter.named, "another")
    try(require, "module")
    try(string.format, "%q %s %y", "x")
    if p.size > 3 then error("the end of it") end
  end,
}
`

const everyTrial = `
return trial {
  title = "A trial", procedure = "./fields.lua",
  worlds = { ["as shipped"] = "default", ["brighter"] = { base = "default", ["light.white"] = 900 } },
  expect = { ["name-of-a-value"] = { truth = "light.white", within = 90, unit = "%" } },
  params = { some = "text", word = "one" },
  seeds = 1,
}
`

const benchFile = `
[meter]
driver = "sim"
correction = "correction.toml"
[patches]
driver = "sim"
[unit]
driver = "operator"
[rig]
driver = "sim"
[operator]
driver = "operator"
`

const unitFile = `
format = 1
name = "Heron 6"
modes = ["Calm", "Bright"]
[controls]
"Automatic brightness" = { values = ["on", "off"], formerly = ["Auto brightness"] }
"Brightness" = { values = ["maximum", "50 %"] }
`

const correctionFile = `
format = 1
name = "Heron, Calm"
method = "four-colour"
matrix = [ [1.02, -0.03, 0.001], [0.01, 0.98, -0.002], [0.0, 0.004, 1.1] ]
[meter]
name = "simulated spectrometer"
serial = "TS-0031"
`

// attack is a folder with files in which hostile texts are planted, and what was
// shown of it.
type attack struct {
	t   *testing.T
	r   *rand.Rand
	dir string
}

func (a *attack) file(name, text string) {
	a.t.Helper()
	if err := os.WriteFile(filepath.Join(a.dir, name), []byte(text), 0o644); err != nil {
		a.t.Fatal(err)
	}
}

// run gives a command an input, and judges what it shows.
func (a *attack) run(input string, args ...string) {
	a.t.Helper()
	ctx, cancel := context.WithTimeout(a.t.Context(), time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, "candelua", args...)
	cmd.Dir, cmd.Stdin = a.dir, strings.NewReader(input)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); ctx.Err() != nil {
		a.t.Fatalf("%q did not end: %v", args, err)
	}
	a.judge(args, "stdout", out.String())
	a.judge(args, "stderr", errs.String())
	if strings.Contains(errs.String(), "inside candelua") {
		a.t.Errorf("%q: %s", args, &errs)
	}
	for _, arg := range args {
		if arg == "--json" && out.Len() > 0 && !json.Valid(out.Bytes()) {
			a.t.Errorf("%q: stdout is no JSON:\n%s", args, &out)
		}
	}
}

// judge wants a text that moves no cursor, hides nothing, and has no line that begins
// as candelua's own do and is not.
func (a *attack) judge(of any, what, text string) {
	a.t.Helper()
	for l := range strings.Lines(text) {
		if why := shownWrong(l); why != "" {
			a.t.Errorf("%q: %s %s: %q", of, what, why, l)
			return
		}
	}
}

// harmful says what a line has that must not be shown, "" if nothing.
func harmful(line string) string {
	if !utf8.ValidString(line) {
		return "has bytes that are no UTF-8"
	}
	for _, c := range line {
		if c != '\n' && c != '\t' && (unicode.IsControl(c) || unicode.In(c, unicode.Cf, unicode.Co, unicode.Zl, unicode.Zp)) {
			return fmt.Sprintf("shows %U", c)
		}
	}
	return ""
}

// shownWrong says that too of a line that is shown by candelua, or that it looks like
// candelua's own.
func shownWrong(line string) string {
	for _, lead := range leads {
		if strings.HasPrefix(strings.ToLower(line), strings.ToLower(lead+forged)) {
			return "has a line that looks like candelua's own"
		}
	}
	return harmful(line)
}

// files judges the drawings and the tables of all runs.
func (a *attack) files() {
	err := filepath.WalkDir(a.dir, func(path string, _ fs.DirEntry, err error) error {
		if ext := filepath.Ext(path); err == nil && (ext == ".svg" || ext == ".csv") {
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			for l := range strings.Lines(strings.ReplaceAll(string(text), "\r\n", "\n")) {
				if why := harmful(l); why != "" {
					a.t.Errorf("%s %s: %q", filepath.Base(path), why, l)
					break
				}
			}
		}
		return err
	})
	if err != nil {
		a.t.Fatal(err)
	}
}

// alter plants texts in a file of a run.
func (a *attack) alter(run, name string, share float64) {
	path := filepath.Join(a.dir, run, name)
	text, err := os.ReadFile(path)
	if err != nil {
		return // the run has none
	}
	if err := os.WriteFile(path, []byte(planted(a.r, string(text), share, inJSON)), 0o644); err != nil {
		a.t.Fatal(err)
	}
}

// Texts are planted wherever a script, a file, a name or an argument can hold one, and
// every command is run on them. None of it reaches a terminal, a drawing or a table
// as it is, and no line of it looks like candelua's own.
func TestNothingHostileIsShown(t *testing.T) {
	for _, n := range campaign.Numbers(t, 20, 1) {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			t.Parallel()
			a := &attack{t: t, r: rand.New(rand.NewPCG(uint64(n), 1)), dir: t.TempDir()}
			share := []float64{1, 0.1, 0.3}[n%3]
			typed := func() string {
				return "\n" + hostileText(a.r, true) + "\nhelp\n1\n\n2\n200 0.31 0.33\n" + hostileText(a.r, true) + "\n1\n\nback\n\n\n1\n2\n1\n"
			}
			a.file("plain.lua", everyField)
			a.file("fields.lua", planted(a.r, everyField, share, inLua))
			a.file("few.lua", planted(a.r, everyField, 0.05, inLua))
			a.file("wrong.lua", strings.Replace(planted(a.r, everyField, share, inLua), "return procedure", "return "+hostileText(a.r, true), 1))
			a.file("trial.lua", planted(a.r, everyTrial, 0.3, inLua))
			a.file("bench.toml", planted(a.r, benchFile, 0.2, inTOML))
			a.file("correction.toml", planted(a.r, correctionFile, 0.3, inTOML))
			a.file("unit.toml", planted(a.r, unitFile, 0.4, inTOML))
			world, err := exec.Command("candelua", "world").Output()
			if err != nil {
				t.Fatal(err)
			}
			a.file("world.toml", planted(a.r, string(world), 0.03, inTOML))
			named := strings.NewReplacer("/", "", "\x00", "", "\n", "").Replace(hostileText(a.r, true))
			if n%2 == 0 { // a name that a run can have: candelua refuses control characters in it
				named = strings.ToValidUTF8(strings.Map(func(c rune) rune {
					if unicode.IsControl(c) || strings.ContainsRune(`\:*?"<>|`, c) {
						return -1
					}
					return c
				}, named), "")
			}
			a.file("n"+named+".lua", everyField)

			for range 2 {
				a.run("", "run", "./plain.lua", "--draws", "0") // a run to alter, and one to rename
			}
			for _, script := range []string{"./fields.lua", "./few.lua", "./n" + named + ".lua", "./wrong.lua"} {
				a.run("", "run", script, "--draws", "0", "--log-level", "debug")
				a.run("", "describe", script)
				a.run("", "describe", script, "--json")
			}
			a.run("", "run", "./few.lua", "--draws", "0", "--json", "--set", "size=4")
			a.run("", "run", "./few.lua", "--draws", "100", "--world", "./world.toml", "--budget", "--set", "some="+hostileText(a.r, false))
			a.run(typed(), "run", "./fields.lua", "--bench", "operator", "--accept-cautions")
			a.run(typed(), "run", "./plain.lua", "--bench", "./bench.toml", "--unit", "./unit.toml", "--accept-cautions", "--mode", hostileText(a.r, false))
			a.run("", "world", "./world.toml")
			a.run("", "replay", "runs/plain-1", "--correction", "correction.toml")
			a.run("", "replay", "runs/plain-1", "--with", "./few.lua", "--draws", "100", "--budget")
			a.run("", "trial", "./trial.lua")
			a.run("", "trial", "./trial.lua", "--json")
			a.run("", "procedures")
			for _, args := range [][]string{{"x"}, {"run", "x"}, {"run", "plain", "x"}, {"run", "./plain.lua", "x"}, {"describe", "x"}, {"api", "x"}, {"runs", "x"}, {"resume", "x"}, {"replay", "x"},
				{"repair", "x"}, {"trial", "x"}, {"help", "x"}, {"completion", "x"}, {"run", "./plain.lua", "--x"}, {"run", "./plain.lua", "--log-level", "x"},
				{"run", "./plain.lua", "--seed", "x"}, {"run", "./plain.lua", "--set", "x"}, {"run", "./plain.lua", "--out", "x", "--draws", "0"}, {"run", "./plain.lua", "--bench", "x"}} {
				for i := range args {
					args[i] = strings.ReplaceAll(args[i], "x", strings.ReplaceAll(hostileText(a.r, true), "\x00", ""))
				}
				a.run("", args...)
			}
			runs, err := filepath.Glob(filepath.Join(a.dir, "runs", "*-*"))
			if err != nil || len(runs) < 2 {
				t.Fatalf("there are %d runs, %v", len(runs), err)
			}
			for _, path := range runs {
				run, err := filepath.Rel(a.dir, path)
				if err != nil {
					t.Fatal(err)
				}
				a.run("", "runs", run, "--steps")
				a.run("", "replay", run)
			}
			a.run("", "runs")
			a.run("", "runs", "--json")
			a.files()

			a.alter("runs/plain-1", "results.json", 0.2)
			a.run("", "replay", "runs/plain-1", "--json")
			a.run("", "replay", "runs/plain-1")
			a.alter("runs/plain-1", "run.json", 0.2)
			a.run("", "runs")
			a.run("", "runs", "runs/plain-1")
			a.alter("runs/plain-1", "journal.jsonl", 0.02)
			for _, command := range []string{"runs", "replay", "repair", "resume", "runs"} {
				a.run("", command, "runs/plain-1")
			}
			renamed := "runs/" + strings.NewReplacer("/", "", "\x00", "").Replace(hostileText(a.r, true)) + "-7"
			if err := os.Rename(filepath.Join(a.dir, "runs", "plain-2"), filepath.Join(a.dir, renamed)); err != nil {
				t.Fatal(err)
			}
			for _, command := range []string{"runs", "replay", "repair", "resume"} {
				a.run("", command, renamed)
			}
			a.run("", "runs")
			a.run("", "__complete", "resume", "runs/")
		})
	}
}

// At a terminal the status line and the colours are candelua's own, and all else is
// as safe as in a file.
func TestNothingHostileAtATerminal(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(1, 2))
	for range campaign.Of(t, 1, 5) {
		a := &attack{t: t, r: r, dir: t.TempDir()}
		a.file("fields.lua", planted(r, everyField, 0.5, inLua))
		a.file("few.lua", planted(r, everyField, 0.1, inLua))
		a.file("plain.lua", everyField)
		for _, args := range [][]string{
			{"run", "./fields.lua", "--draws", "0", "--speed", "60", "--log-level", "debug"},
			{"run", "./few.lua", "--bench", "operator", "--accept-cautions", "--yes"},
			{"run", "./plain.lua", "--draws", "0"}, {"describe", "./fields.lua"}, {"runs"}, {"runs", "runs/plain-1", "--steps"}, {"replay", "runs/plain-1", "--with", "./few.lua"},
			{"resume", "runs/plain-1", "--from", "3", "--because", hostileText(r, false)}, {"runs", "runs/plain-1"}, {"repair", hostileText(r, true)}, {"describe", "./few.lua", "--json"},
		} {
			columns := 30 + r.IntN(60)
			c := atTerminal(t, a.dir, uint16(columns), args...)
			c.types(t, "1\n\x1b[2J\n2\npause\n/pause\n")
			c.screen(t)
			shown := strings.ReplaceAll(strings.ReplaceAll(c.seen.String(), "\r\n", "\n"), string(plain.ClearLine), "\n")
			a.judge(args, "the terminal", strings.ReplaceAll(shown, "^[[2J", "")) // the terminal's own echo
		}
	}
}

// What is shown safely is exact in JSON.
func TestHostileTextIsExactInJSON(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 4))
	dir := t.TempDir()
	for range campaign.Of(t, 5, 50) {
		title := strings.TrimSpace("T" + hostileText(r, false) + "T")
		var lua strings.Builder
		for _, octet := range []byte(title) {
			fmt.Fprintf(&lua, `\%03d`, octet)
		}
		script := `return procedure { title = "` + lua.String() + `", purpose = "x", run = function() record.value { name = "` + lua.String() + `", id = "v", value = 1 } end }`
		if err := os.WriteFile(filepath.Join(dir, "exact.lua"), []byte(script), 0o644); err != nil {
			t.Fatal(err)
		}
		var contract struct{ Title string }
		var run struct{ Values []struct{ Name string } }
		for command, into := range map[string]any{"describe": &contract, "run": &run} {
			cmd := exec.Command("candelua", command, "./exact.lua", "--json")
			cmd.Dir = dir
			out, err := cmd.Output()
			if err != nil {
				t.Fatalf("%s of %q: %v\n%s", command, title, err, out)
			}
			if why := shownWrong(strings.ReplaceAll(string(out), "\n", "")); why != "" {
				t.Errorf("%s of %q %s", command, title, why)
			}
			if err := json.Unmarshal(out, into); err != nil {
				t.Fatalf("%s of %q: %v", command, title, err)
			}
		}
		if contract.Title != title || len(run.Values) != 1 || run.Values[0].Name != title {
			t.Errorf("%q is %q and %+v in JSON", title, contract.Title, run.Values)
		}
	}
}
