package engine_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"candelua/engine"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/sim"
	"candelua/testdata/campaign"
)

// rolesAsked are settings by role, and what a role's own words may be on a unit.
var rolesAsked = map[string][]any{
	"automatic brightness": {"off", "on"},
	"brightness":           {"maximum", "minimum", 40.0},
	"picture mode":         {"accurate", "vivid"},
	"enhancements":         {"off"},
}

// aMenu is a random unit file: some roles have a control, with or without own words, and
// a control may be called as another one's role.
func aMenu(chance *rand.Rand) (text string, own map[string][]string) {
	own = map[string][]string{}
	var b strings.Builder
	b.WriteString("name = \"U\"\n")
	n := 0
	for _, role := range []string{"automatic brightness", "brightness", "picture mode", "enhancements"} {
		many := chance.IntN(3) // none, one or two controls
		for range many {
			n++
			name := fmt.Sprintf("Menu %d of %s", n, strings.Repeat("x", chance.IntN(3)+1))
			fmt.Fprintf(&b, "[controls.%q]\nrole = %q\n", name, role)
			switch role {
			case "brightness":
				b.WriteString("min = 0\nmax = 100\n")
			case "picture mode":
				b.WriteString("values = [\"A\", \"B\", \"C\"]\nwords = { accurate = \"B\", vivid = \"C\" }\n")
			default:
				b.WriteString("values = [\"A\", \"B\", \"C\"]\nwords = { off = \"A\", on = \"B\" }\n")
			}
			own[role] = append(own[role], name)
		}
	}
	return b.String(), own
}

// TestRolesAreSetByTheUnitsOwnControls: over random unit files and contracts, a person is
// asked for the unit's own controls, and, where nobody says which they are, for the role
// in words. Both are recorded, and a replay agrees.
func TestRolesAreSetByTheUnitsOwnControls(t *testing.T) {
	for i := range campaign.Of(t, 25, 500) {
		chance := rand.New(rand.NewPCG(1, uint64(i)))
		text, own := aMenu(chance)
		asked, settings := map[string]any{}, "{"
		for role, values := range rolesAsked {
			if chance.IntN(4) > 0 {
				asked[role] = values[chance.IntN(len(values))]
				word := fmt.Sprint(asked[role])
				if _, isWord := asked[role].(string); isWord {
					word = `"` + word + `"`
				}
				settings += fmt.Sprintf(" [%q] = %s,", role, word)
			}
		}
		s := simSpec(t, sourceOf(`return procedure { title = "T", purpose = "P", needs = { meter = {} }, settings = `+settings+" },\nrun = function() meter.read {} end }"))
		s.Out, s.Bench = memoryDir(t), bench.OperatorFile
		s.Unit = get(bench.ParseUnit("u.toml", []byte(text)))(t)
		var said bytes.Buffer
		s.Openers = typedOpeners("100 0.31 0.33\n", &said, true)
		rep := ran(t, s, journal.Done)
		rows := get(csv.NewReader(strings.NewReader(string(file(t, rep.Path, "readings.csv")))).ReadAll())(t)
		recorded := rows[1][24]
		for role, value := range asked {
			has(t, recorded, fmt.Sprintf("%s: %v", role, value))
			if own[role] == nil {
				has(t, said.String(), fmt.Sprintf("%s to %v", role, value))
				continue
			}
			word := map[any]any{"off": "A", "on": "B", "accurate": "B", "vivid": "C"}[value]
			if word == nil {
				word = value
			}
			for _, name := range own[role] {
				has(t, said.String(), fmt.Sprintf("%s to %v", name, word))
				has(t, recorded, fmt.Sprintf("%s: %v", name, word))
			}
			if strings.Contains(said.String(), "set "+role+" to") || strings.Contains(said.String(), ", "+role+" to") {
				t.Errorf("%s is asked by its role too: %s", role, said.String())
			}
		}
		if len(asked) > 0 {
			step := get(journalOf(t, rep.Path).Step(1))(t)
			var args map[string]any
			must(t, json.Unmarshal(step.Args, &args))
			for role, value := range asked {
				if args[role] != value {
					t.Errorf("the journal says that %v was asked for, and not %s = %v", args, role, value)
				}
			}
		}
		replayed(t, rep.Path, journal.Done)
		if t.Failed() {
			t.Fatalf("unit file:\n%s\nsettings %s", text, settings)
		}
	}
}

// A simulated unit knows its roles: by what its world says, or by the control's name. What
// it has no control for is recorded so, and a resumed run puts back the same.
func TestRolesOfASimulatedUnit(t *testing.T) {
	for name, change := range map[string]string{"role": "Backlight", "name": "BRIGHTNESS"} {
		p := sim.Default()
		i := slices.IndexFunc(p.Controls, func(c sim.ControlParams) bool { return c.Name == "Brightness" })
		p.Controls = slices.Clone(p.Controls)
		p.Controls[i].Name, p.Controls[i].Former = change, nil
		if name == "name" {
			p.Controls[i].Role = ""
		}
		s := simSpec(t, sourceOf(`return procedure { title = "T", purpose = "P", needs = { meter = {}, patches = {} }, settings = { brightness = 40, enhancements = "off" },
run = function() patches.show { grey = 1 } record.value { name = "Y", value = meter.read {} } clock.wait(1) meter.read {} end }`))
		s.Openers = bench.Openers{"sim": sim.Opener(p, 1, 0)}
		rep := ran(t, s, journal.Done)
		if got := rep.Readings[0].Settings; got[change] != 40.0 || got["brightness"] != 40.0 || got["enhancements"] != bench.NoControl {
			t.Errorf("%s: settings are %v", name, got)
		}
		if y := *rep.Results.Values()[0].Value; y > 350 {
			t.Errorf("%s: %v cd/m2 at a brightness of 40", name, y)
		}
		replayed(t, rep.Path, journal.Done)
		whole := file(t, rep.Path, "readings.csv")
		lines := bytes.SplitAfter(file(t, rep.Path, "journal.jsonl"), []byte("\n"))
		for n := 1; n < len(lines)-1; n++ {
			path := copied(t, rep.Path, bytes.Join(lines[:n], nil))
			wants(t, journal.Done)(engine.Resume(t.Context(), path, engine.Resumption{Setup: plain(), Reopen: func(history.Head) (*bench.File, bench.Openers, error) {
				return bench.SimFile, s.Openers, nil
			}}))
			if again := file(t, path, "readings.csv"); !bytes.Equal(again, whole) {
				t.Errorf("%s: resumed after record %d, the readings are\n%s\nwant\n%s", name, n, again, whole)
			}
		}
	}
}

// What a role, its control or a menu does not take is refused before step 1.
func TestRolesAreChecked(t *testing.T) {
	unit := get(bench.ParseUnit("u.toml", []byte("name = \"U\"\n[controls.Night]\nrole = \"automatic brightness\"\nvalues = [\"Never\", \"Always\"]\n")))(t)
	for settings, want := range map[string]string{
		`brightness = "maximun"`:           `brightness is "maximun"; it must be a number, "minimum" or "maximum"`,
		`enhancements = 3`:                 `enhancements is 3; it must be one of on, off`,
		`["picture mode"] = 3`:             `picture mode is 3; it must be a word of the unit's menu`,
		`["automatic brightness"] = "off"`: `automatic brightness: u.toml:2: control "Night" cannot be set to "off"; it must be one of Never, Always`,
		`["Automatic brightnes"] = "off"`:  `unit "U" has no control "Automatic brightnes"; it must be one of Night`,
		`["automatic brightness"] = "of"`:  `automatic brightness is "of"; it must be one of on, off`,
	} {
		s := simSpec(t, sourceOf(`return procedure { title = "T", purpose = "P", settings = { `+settings+` }, run = function() end }`))
		s.Bench, s.Openers, s.Unit = bench.OperatorFile, typedOpeners("", &bytes.Buffer{}, true), unit
		if rep, err := runOf(t, s); rep != nil || err == nil || err.Error() != want {
			t.Errorf("%s: %v\nwant %s", settings, err, want)
		}
	}
}

func runOf(t *testing.T, s engine.Spec) (*engine.Report, error) {
	t.Helper()
	return engine.Run(t.Context(), s)
}
