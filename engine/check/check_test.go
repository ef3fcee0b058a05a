package check_test

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"candelua/builtins"
	"candelua/engine/check"
	"candelua/engine/driver"
	"candelua/engine/driver/scripted"
	"candelua/engine/procedure"
	"candelua/engine/sim"
	"candelua/engine/trial"
	"candelua/scripts"
)

func checker() *check.Checker {
	return &check.Checker{Modules: builtins.Modules(), Shipped: scripts.Files, Kinds: map[string]check.Kind{
		"trial": {Plan: trial.Plan(), Truths: sim.TruthNames(), Names: map[string][]string{"trial": nil}, Load: func(ctx context.Context, file string, src []byte) error {
			t, err := trial.Parse(ctx, file, src, filepath.Dir(file))
			if err != nil {
				return err
			}
			return (&trial.Runner{Worlds: func(ref trial.WorldRef) (trial.World, error) { return sim.NewSubject(ref.World, ref.Faults, ref.Dir) }}).Names(t)
		}},
		"driver": {Plan: scripted.Plan(), Names: scripted.Names(), Link: scripted.LinkNames(), Exchanges: exchanges(), Load: func(ctx context.Context, file string, src []byte) error {
			_, err := scripted.Load(ctx, file, src)
			return err
		}},
	}}
}

// exchanges are what the functions of a driver are asked and may answer.
func exchanges() map[string]check.Exchange {
	all := map[string]check.Exchange{}
	for _, m := range driver.Messages {
		asked, answered, must := scripted.Fields(m)
		all[string(m.Verb)] = check.Exchange{Asked: asked, Answered: answered, Wanted: must}
	}
	return all
}

// found checks a file as the command does.
func found(t testing.TB, k *check.Checker, path string) []check.Finding {
	t.Helper()
	p, err := procedure.Find(path, scripts.Files)
	if err != nil {
		t.Fatal(err)
	}
	return k.File(t.Context(), path, p)
}

// text checks a source.
func text(t testing.TB, src string) []check.Finding {
	t.Helper()
	find := func(file string) ([]byte, error) { return fs.ReadFile(scripts.Files, "lib/"+file) }
	return checker().File(t.Context(), "t.lua", &procedure.Procedure{Name: "t", File: "t.lua", Source: []byte(src), Find: find})
}

func luaFiles(t testing.TB, folders ...string) (all []string) {
	t.Helper()
	for _, folder := range folders {
		err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
			if err == nil && strings.HasSuffix(path, ".lua") {
				all = append(all, path)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return all
}

var head = regexp.MustCompile(`^-- Mistake in line (\d+): `)

// The mistakes were written before the first rule was, from what a newcomer might write.
func TestMistakesAreFound(t *testing.T) {
	files := luaFiles(t, "../../testdata/mistakes")
	if len(files) < 40 {
		t.Fatalf("there are %d mistakes", len(files))
	}
	k := checker()
	for _, path := range files {
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		m := head.FindSubmatch(src)
		if m == nil {
			t.Fatalf("%s has no head", path)
		}
		line, _ := strconv.Atoi(string(m[1]))
		all := found(t, k, path)
		if !slices.ContainsFunc(all, func(f check.Finding) bool { return f.Line == line && f.Counts() }) {
			t.Errorf("%s: the mistake in line %d is not found: %v", path, line, all)
		}
		if len(all) > 2 {
			t.Errorf("%s: one mistake makes %d findings: %v", path, len(all), all)
		}
	}
}

// meant are findings in files that are as they should be.
var meant = map[string]string{
	"../../testdata/wrong/window-under-the-field.lua": "share-for-percent", // a window of half a percent is the mistake that this exhibit is about
}

// No shipped file, no exhibit and no script that coverage is measured with has a finding: they were written before check was.
func TestNoFalseAlarm(t *testing.T) {
	files := luaFiles(t, "../../scripts", "../../testdata/wrong", "../../testdata/coverage", "../../testdata/examples", "../../testdata/drivers")
	if len(files) < 150 {
		t.Fatalf("there are %d files", len(files))
	}
	k := checker()
	for _, path := range files {
		for _, f := range found(t, k, path) {
			if meant[path] != f.Name {
				t.Errorf("%s", f)
			}
		}
	}
}

func BenchmarkShipped(b *testing.B) {
	files := luaFiles(b, "../../scripts")
	b.ReportMetric(float64(len(files)), "files")
	for b.Loop() {
		k := checker()
		for _, path := range files {
			found(b, k, path)
		}
	}
}

func BenchmarkOne(b *testing.B) {
	for b.Loop() {
		found(b, checker(), "../../scripts/retention.lua")
	}
}
