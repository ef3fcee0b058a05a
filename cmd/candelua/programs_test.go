//go:build unix

package main

import (
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"candelua/engine/bench"
)

// clinging is a program that is kept open, clings to life, has started another one that does, and answers after the
// time in its argument.
const clinging = `#!/bin/sh
trap "" TERM INT HUP
sh -c 'trap "" TERM INT HUP; echo $$ >>pids; while true; do sleep 1; done' &
echo $$ >>pids
while read line; do touch asked; sleep $1; echo "Y=100"; done
while true; do sleep 1; done
`

// clingingBench gives a folder with a bench whose meter is such a program.
func clingingBench(t *testing.T, seconds string) string {
	t.Helper()
	dir := folderWith(t, "light", `return procedure {
  title = "Light", purpose = "Reads the light that there is.", needs = { meter = {} },
  run = function()
    for i = 1, 1000 do meter.read() end
  end,
}`)
	for name, text := range map[string]string{"meter": clinging,
		"b.toml": "[meter]\ndriver = \"command\"\n[meter.options]\nrun = \"./meter " + seconds + "\"\nkeep = true\nsend = \"m\"\nreply = \"Y={Y}\"\n"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// noneLeft looks whether the programs have ended.
func noneLeft(t *testing.T, dir string) {
	t.Helper()
	pids := strings.Fields(read(t, dir, "pids"))
	if len(pids) < 2 {
		t.Errorf("only %v were started", pids)
	}
	for _, text := range pids {
		pid, err := strconv.Atoi(text)
		if err != nil {
			t.Fatal(err)
		}
		until(t, "program "+text+" has ended", func() bool {
			state, err := os.ReadFile(filepath.Join("/proc", text, "stat"))
			if err != nil {
				return syscall.Kill(pid, 0) != nil
			}
			return strings.Contains(string(state), ") Z ")
		})
	}
}

// TestInterruptedPrograms: after one Ctrl-C or two, nothing is left of a program that clings to life.
func TestInterruptedPrograms(t *testing.T) {
	for _, c := range []struct {
		name, seconds string
		twice         bool
		says          string
	}{
		{"once", "0.3", false, "candelua: paused "},
		{"twice", "1000", true, "stopped at once"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			dir := clingingBench(t, c.seconds)
			p := start(t, dir, "run", "./light.lua", "--bench", "./b.toml", "--accept-cautions", "--yes")
			until(t, "the meter is asked", func() bool {
				_, err := os.Stat(filepath.Join(dir, "asked"))
				return err == nil
			})
			p.signal(t, syscall.SIGINT)
			if c.twice {
				until(t, "the first is heard", func() bool { return strings.Contains(p.err.String(), "press Ctrl-C again") })
				time.Sleep(oneStop + 100*time.Millisecond)
				p.signal(t, syscall.SIGINT)
			}
			if status := p.status(t); status != statusPaused || !strings.Contains(p.err.String(), c.says) {
				t.Errorf("status %d: %s", status, &p.err)
			}
			noneLeft(t, dir)
		})
	}
}

// TestUsedByBench: whatever a bench file of somebody else can start, open or write is among what resume asks about.
func TestUsedByBench(t *testing.T) {
	file, err := bench.ParseFile("b.toml", []byte(`[meter]
driver = "command"
[meter.options]
run = ["./meter", "--once"]
reply = "{Y}"
about = { run = "./who", reply = "{name}" }
[reference]
driver = "lua"
link = "serial:/dev/ttyS9"
[reference.options]
file = "x.lua"
[patches]
driver = "screen"
[patches.options]
listen = ":7040"
code = "../../qr.svg"
[unit]
driver = "process"
[unit.options]
run = "./unit"
[rig]
driver = "command"
[rig.options]
lamp = { run = "./lamp {lamp}" }
`))
	if err != nil {
		t.Fatal(err)
	}
	used := slices.Concat(programsOf(file), linksOf(file), servedBy(file))
	want := []string{"./who", "./meter --once", "./unit", "./lamp {lamp}", "serial:/dev/ttyS9", `the patch page, code = "../../qr.svg"`, `the patch page, listen = ":7040"`}
	if d := cmp.Diff(want, used); d != "" {
		t.Errorf("(-want +used)\n%s", d)
	}
}
