package main

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"candelua/engine/rehearse"
)

// candelua rehearse ends with 0 where the procedure would come to its end, 1 where it would not or is over the budget, 2 for wrong use.
func TestRehearseCommand(t *testing.T) {
	dir := folderWith(t, "fails", strings.Replace(unusedVariable, "local spare = 1", "clock.wait(3600) error('at last')", 1))
	write(t, filepath.Join(dir, "fine.lua"), strings.Replace(unusedVariable, "local spare = 1", "patches.show { grey = 1 } clock.wait(3600)", 1))
	write(t, filepath.Join(dir, "slip.toml"), "[meter]\ndriver = \"operater\"\n[patches]\ndriver = \"screen\"\n")
	for _, c := range []struct {
		args   string
		status int
		out    string
	}{
		{"rehearse ./fine.lua", 0, "Ends       with 1 value"},
		{"rehearse ./fine.lua --bench operator", 0, "you are asked"},
		{"rehearse ./fine.lua --budget 0.5", 1, "of 0.50 h that you allow: too much"},
		{"rehearse ./fails.lua", 1, "Fails      after 1:00:00, at step 2: fails.lua:4: at last"},
		{"rehearse ./fails.lua --budget -1", 2, "--budget is -1; it must be 0 hours or more"},
		{"rehearse ./fails.lua --bench nowhere", 2, "--bench is"},
		{"rehearse ./fine.lua --bench ./slip.toml", 2, `slip.toml:2: meter.driver is "operater"; it must be one of command, files, lua, operator, process, screen, sim`},
		{"rehearse ./fails.lua --from nowhere", 2, "there is no run folder"},
		{"rehearse", 2, "one PROCEDURE"},
	} {
		if out, status := commandIn(t, dir, strings.Fields(c.args)...); status != c.status || !strings.Contains(out, c.out) {
			t.Errorf("%s: status %d, want %d with %q\n%s", c.args, status, c.status, c.out, out)
		}
	}
	out, status := commandIn(t, dir, "run", "./fine.lua", "--draws", "0")
	if status != 0 {
		t.Fatal(out)
	}
	out, status = commandIn(t, dir, "rehearse", "./fine.lua", "--from", "runs/fine-1", "--json")
	var r rehearse.Report
	if err := json.Unmarshal([]byte(out), &r); err != nil || status != 0 || !r.Done || r.Seconds < 3600 || r.Light.Still < 1 {
		t.Errorf("--json: status %d, %v\n%s", status, err, out)
	}
}
