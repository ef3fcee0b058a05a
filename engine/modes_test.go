package engine_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/sim"
)

// modesOf are the runs of one procedure: with a unit file, without one, and simulated.
var modesOf = map[string]func(t *testing.T, mode string) bench.Openers{
	"file": nil, "roles": nil, "bare": nil,
	"sim": func(t *testing.T, mode string) bench.Openers {
		p := sim.Default()
		p.Mode = mode
		for _, name := range []string{"Calm", "Bold"} {
			p.Modes = append(p.Modes, sim.ModeParams{Name: name, Gamut: "native", Tone: "as_stated"})
		}
		return bench.Openers{"sim": sim.Opener(p, 1, 0)}
	},
}

// TestModeAgreesWithContract: whatever mode a run is started in and whatever picture mode its contract sets, on every kind
// of bench, either the run is recorded with the mode that is set, or it is refused before its first step, with both names
// and with what to do.
func TestModeAgreesWithContract(t *testing.T) {
	files := map[string]string{
		"file":  "name = \"U\"\nmodes = [\"Calm\", \"Bold\"]\n",
		"roles": "name = \"U\"\nmodes = [\"Calm\", \"Bold\"]\n[controls.Picture]\nrole = \"picture mode\"\nvalues = [\"Calm\", \"Bold\"]\n",
	}
	ran := 0
	for kind, openers := range modesOf {
		for _, set := range []string{"", "Calm", "Bold", "calm", "Wild"} {
			for _, mode := range []string{"", "Calm", "Bold"} {
				settings := ""
				if set != "" {
					settings = fmt.Sprintf("settings = { [\"picture mode\"] = %q },", set)
				}
				s := simSpec(t, sourceOf(`return procedure { title = "T", purpose = "P", needs = { meter = {} }, `+settings+` run = function() meter.read {} end }`))
				s.Out, s.Mode = memoryDir(t), mode
				if openers != nil {
					s.Openers = openers(t, mode)
				} else {
					s.Bench, s.Openers = bench.OperatorFile, typedOpeners("100 0.31 0.33\n", &bytes.Buffer{}, true)
				}
				if text := files[kind]; text != "" {
					s.Unit = get(bench.ParseUnit("u.toml", []byte(text)))(t)
				}
				rep, err := runOf(t, s)
				name := fmt.Sprintf("%s, contract %q, mode %q", kind, set, mode)
				if err == nil {
					ran++
					if rep.Err != nil || rep.Head.Mode != mode {
						t.Errorf("%s: in mode %q: %v", name, rep.Head.Mode, rep.Err)
					}
					recorded := rep.Readings[0].Settings[bench.PictureMode]
					if set != "" && recorded != set || set != "" && mode != "" && set != mode {
						t.Errorf("%s: recorded beside the reading is %v", name, recorded)
					}
					continue
				}
				if rep != nil || set == mode && slices.Contains([]string{"Calm", "Bold"}, mode) || set == "" && (mode != "" || kind == "bare") {
					t.Errorf("%s: %v", name, err)
				}
				if fault.HintOf(err) == "" && set != "Wild" || set != "" && mode != "" && !strings.Contains(err.Error(), set) || set == "calm" && kind != "bare" && mode != "" && !strings.Contains(fault.HintOf(err), "Calm") {
					t.Errorf("%s: %v (%s)", name, err, fault.HintOf(err))
				}
			}
		}
	}
	if ran < 10 {
		t.Errorf("%d runs were made", ran)
	}
}

// TestModesInOneRun: of a procedure that compares modes, each reading is recorded with the mode that was set for it.
func TestModesInOneRun(t *testing.T) {
	s := simSpec(t, sourceOf(`return procedure { title = "T", purpose = "P", needs = { meter = {}, unit = {} }, run = function()
  for _, m in ipairs { "Bold", "Calm", "Bold" } do unit.set { ["picture mode"] = m } meter.read {} end end }`))
	s.Out, s.Mode = memoryDir(t), "Calm"
	s.Bench, s.Openers = bench.OperatorFile, typedOpeners(strings.Repeat("100 0.31 0.33\n", 3), &bytes.Buffer{}, true)
	s.Unit = get(bench.ParseUnit("u.toml", []byte("name = \"U\"\nmodes = [\"Calm\", \"Bold\"]\n")))(t)
	rep := ran(t, s, journal.Done)
	for i, want := range []string{"Bold", "Calm", "Bold"} {
		if got := rep.Readings[i].Settings[bench.PictureMode]; got != want {
			t.Errorf("reading %d is recorded with %v, want %s", i+1, got, want)
		}
	}
	replayed(t, rep.Path, journal.Done)
}

// TestMisspeltRoleIsRefused: on a bench of which nobody knows the controls, a name that is one slip from a role's is
// refused before the first step, and another one is a name of the unit's menu.
func TestMisspeltRoleIsRefused(t *testing.T) {
	for name, want := range map[string]string{"brighness": "brightness", "pictur mode": "picture mode", "enhancement": "enhancements", "Backlight": "", "Brightness": "", "shade": ""} {
		s := simSpec(t, sourceOf(`return procedure { title = "T", purpose = "P", settings = { ["`+name+`"] = "Low" }, run = function() end }`))
		s.Out, s.Bench, s.Openers = memoryDir(t), bench.OperatorFile, typedOpeners("", &bytes.Buffer{}, true)
		rep, err := runOf(t, s)
		if want == "" && err != nil || want != "" && (err == nil || rep != nil || fault.HintOf(err) != fmt.Sprintf("did you mean %q?", want)) {
			t.Errorf("%s: %v (%s)", name, err, fault.HintOf(err))
		}
	}
}
