package rehearse_test

import (
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/engine/check"
	"candelua/engine/procedure"
	"candelua/engine/rehearse"
	"candelua/scripts"
	"candelua/testdata/campaign"
)

func findings(t *testing.T, l *procedure.Loaded, how rehearse.Looking) []check.Finding {
	t.Helper()
	params, err := l.Contract.Values(nil)
	if err != nil {
		t.Fatal(err)
	}
	all, err := rehearse.Findings(t.Context(), "./t.lua", l, params, target(), how)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

const value = "\n    record.value { name = 'W', value = %, unit = 'cd/m2' }"

func recording(x string) string { return strings.ReplaceAll(value, "%", x) }

// What only an execution shows is found at its line, and what is done right is not.
func TestFindings(t *testing.T) {
	steered := "    patches.show { grey = 0.5, window = 10 } local a = meter.read { after = 2 }\n    patches.show { grey = 0.52, window = 10 } local b = meter.read { after = 2 }\n" +
		"    local t = { grey = DECIDE }\n    patches.show { grey = t.grey, window = 10 }" + recording("meter.read { after = 2 }")
	highest := "    patches.show { grey = 0.02, window = 10 }\n    local best = 0\n    for _ = 1, 40 do best = math.max(best, meter.read { after = 0 }.Y) end"
	flash := "    for _ = 1, 20 do\n      patches.show { grey = 1 }\n      patches.show { grey = 0 }\n    end" + recording("1")
	for _, c := range []struct {
		what, body, name string
		line             int
	}{
		{"a reading that steers", strings.ReplaceAll(steered, "DECIDE", "a.Y > b.Y and 1 or 0.3"), check.SteeredWhenRun, 7},
		{"a reading that was decided by", strings.ReplaceAll(steered, "DECIDE", "run.decide('brighter', a.Y > b.Y) and 1 or 0.3"), "", 0},
		{"the highest of many readings, as a decision", highest + recording("run.decide('best', best)"), check.ScatterOverU, 7},
		{"one reading", "    patches.show { grey = 0.5 }" + recording("meter.read { after = 2, repeats = 5 }"), "", 0},
		{"a reading before any patch", "    local r = meter.read {}\n    patches.show { grey = 1 }" + recording("r"), check.ReadBeforePatch, 4},
		{"flashes", flash, check.FlashingNotStated, 6},
		{"an error", "    patches.show { grey = 1 }\n    local t = {}\n    print(t.a.b)", check.FailsWhenRun, 6},
		{"a long still picture", "    patches.show { grey = 1 }\n    clock.wait(600)" + recording("1"), check.CautionLeftOut, 1},
		{"a long still picture, silenced", "-- as meant, caution-left-out: a test of comments\n" + "    patches.show { grey = 1, window = 1, signal = 'pq' }" + recording("1"), "", 0},
	} {
		src := script(c.body)
		if strings.Contains(c.what, "silenced") {
			src = strings.Replace(src, "patches.show { grey = 1, window = 1", "patches.show { grey = 1, window = 2", 1)
		}
		how := rehearse.Looking{Wild: 30}
		if strings.Contains(c.what, "highest") || c.what == "one reading" {
			how.Seeds = 20
		}
		all := findings(t, load(t, src), how)
		switch {
		case c.name == "" && len(all) > 0:
			t.Errorf("%s: %v", c.what, all)
		case c.name != "" && (len(all) != 1 || all[0].Name != c.name || all[0].Line != c.line || all[0].File != "./t.lua"):
			t.Errorf("%s: %v, want %s in line %d", c.what, all, c.name, c.line)
		}
	}
}

// No shipped procedure is steered by its readings, reads before a patch, or fails.
func TestShippedAreFound(t *testing.T) {
	for _, name := range campaign.Some(t, procedure.Shipped(scripts.Files), 2) {
		p, err := procedure.Find(name, scripts.Files)
		if err != nil {
			t.Fatal(err)
		}
		l, err := procedure.Load(t.Context(), p, builtins.Modules())
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range findings(t, l, rehearse.Looking{Wild: campaign.Of(t, 5, 100)}) {
			if f.Counts() {
				t.Errorf("%s: %s", name, f)
			}
		}
	}
}

// A procedure that the simulated bench does not take is a finding, and no end of the check of other files.
func TestNotBegun(t *testing.T) {
	src := strings.Replace(script("    patches.show { grey = 1 }"+recording("1")), "run =", "settings = { ['Auto brightness'] = 'off' },\n  run =", 1)
	all := findings(t, load(t, src), rehearse.Looking{})
	if len(all) != 1 || all[0].Name != check.FailsWhenRun || !strings.Contains(all[0].Text, `has no control "Auto brightness"`) {
		t.Errorf("%v", all)
	}
}
