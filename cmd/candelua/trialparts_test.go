package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Parts that were made one by one give the report of one command, to the byte, in both
// forms.
func TestTrialParts(t *testing.T) {
	dir := t.TempDir()
	trials := []string{"trial-a.lua", "trial-b.lua"}
	for i, name := range trials {
		trials[i] = filepath.Join(dir, name)
		src := fmt.Sprintf(`return trial { procedure = "contrast", seeds = 4, worlds = { a = "default", b = { base = "default", ["light.white"] = 700 } },
  expect = { ["white-luminance"] = { truth = "light.white", within = %d, unit = "%%" } } }`, i)
		if err := os.WriteFile(trials[i], []byte(src), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	merge := []string{"--merge"}
	for n := 3; n >= 1; n-- {
		part, stderr, status := trialOf(t.Context(), t, append(trials, fmt.Sprintf("--shard=%d/3", n))...)
		if status != statusDone || stderr != "" {
			t.Fatalf("part %d ends with status %d: %s", n, status, stderr)
		}
		file := filepath.Join(dir, fmt.Sprintf("part-%d.json", n))
		if err := os.WriteFile(file, []byte(part), 0o666); err != nil {
			t.Fatal(err)
		}
		merge = append(merge, file)
	}
	for _, form := range [][]string{nil, {"--json"}} {
		want, _, wantStatus := trialOf(t.Context(), t, append(trials, form...)...)
		got, stderr, status := trialOf(t.Context(), t, append(merge, form...)...)
		if got != want || status != wantStatus || status != statusFailed || !strings.Contains(want, "pass") {
			t.Errorf("%v: status %d, %s\n%s\nwant status %d\n%s", form, status, stderr, got, wantStatus, want)
		}
	}
}

func TestTrialPartsRefused(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "text.json")
	if err := os.WriteFile(file, []byte("{}"), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ args, want string }{
		{"--shard 4/3", `--shard is "4/3"; it must be a part of all parts, such as 3/16`},
		{"--merge", "--merge: no part is given; name the files of all parts"},
		{"--merge " + file, file + ": it is no part of a trial; it must be a file that candelua trial --shard wrote, whole"},
		{"--merge " + dir, dir + " is a folder"},
		{"--merge " + dir + "/nope", "--merge: there is no file " + dir + "/nope"},
		{"--merge --seeds 3 " + file, "--merge and --seeds are given; give one of them"},
		{"--merge --shard 1/2 " + file, "--merge and --shard are given; give one of them"},
		{"--merge --list", "--merge and --list are given; give one of them"},
		{"--list --procedure contrast", "--list and --procedure are given; give one of them"},
	} {
		_, stderr, status := trialOf(t.Context(), t, strings.Fields(tt.args)...)
		if status != statusUsage || !strings.Contains(stderr, tt.want) {
			t.Errorf("%s: status %d, %s\nwant %q", tt.args, status, stderr, tt.want)
		}
	}
}
