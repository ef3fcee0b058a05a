package main

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"
)

const unusedVariable = `return procedure {
  title = "White", purpose = "Measures white.", needs = { meter = {}, patches = {} },
  run = function()
    local spare = 1
    patches.show { grey = 1, window = 10 }
    record.value { name = "White", value = meter.read { after = 2 }, unit = "cd/m2" }
  end,
}
`

// candelua check ends with 1 where something was found, 0 where nothing was, 2 where there is nothing to check; run warns and goes on.
func TestCheckCommand(t *testing.T) {
	dir := folderWith(t, "unused", unusedVariable)
	write(t, filepath.Join(dir, "silenced.lua"), strings.Replace(unusedVariable, "local spare = 1", "local spare = 1 -- as meant, never-read: a test", 1))
	for _, c := range []struct {
		args   []string
		status int
		out    string
	}{
		{[]string{"check", "./unused.lua"}, 1, "./unused.lua:4:11: warning: the variable spare is never used (never-read)\n    remove it"},
		{[]string{"check", "./silenced.lua"}, 0, "Nothing was found in 1 file."},
		{[]string{"check", "window-sweep", "./silenced.lua"}, 0, "Nothing was found in 2 files."},
		{[]string{"check"}, 2, ""},
		{[]string{"check", "./none.lua"}, 2, ""},
		{[]string{"check", "--names"}, 0, "steered-by-reading"},
		{[]string{"run", "./unused.lua", "--draws", "0"}, 0, "White"},
	} {
		out, status := commandIn(t, dir, c.args...)
		if status != c.status || !strings.Contains(out, c.out) {
			t.Errorf("%v: status %d, want %d\n%s", c.args, status, c.status, out)
		}
		if c.args[0] == "run" && !strings.Contains(out, "the variable spare is never used") {
			t.Errorf("run does not warn: %s", out)
		}
	}
	out, status := commandIn(t, dir, "check", "./unused.lua", "--json")
	var report checked
	if err := json.Unmarshal([]byte(out), &report); err != nil || status != 1 || len(report.Findings) != 1 || report.Findings[0].Column != 11 {
		t.Errorf("--json: status %d, %v\n%s", status, err, out)
	}
}
