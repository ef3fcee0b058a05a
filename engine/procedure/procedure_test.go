package procedure

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"candelua/engine/fault"
	"candelua/engine/script"
)

var files = fstest.MapFS{"ramp.lua": {Data: []byte("return 1")}, "lib/decay.lua": {Data: []byte("return 2")}}

func TestFindRefuses(t *testing.T) {
	_, err := Find("rampe", files)
	if text := err.Error() + fault.HintOf(err); !strings.Contains(text, `there is no procedure called "rampe"`) || !strings.Contains(text, "did you mean ramp?") {
		t.Errorf("a misspelt name: %s", text)
	}
	_, err = Find(filepath.Join(t.TempDir(), "ramp.lua"), files)
	if !errors.Is(err, fault.ErrUsage) || !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), "there is no file ") {
		t.Errorf("a missing file is %v", err)
	}
	if _, err = Find(t.TempDir()+"/", files); !errors.Is(err, fault.ErrUsage) || !strings.Contains(err.Error(), "is a folder; give the path of a file") {
		t.Errorf("a folder is %v", err)
	}
	large := filepath.Join(t.TempDir(), "large.lua")
	if err := os.WriteFile(large, make([]byte, MostText+1), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err = Find(large, files); !errors.Is(err, fault.ErrUsage) || !strings.Contains(err.Error(), "at most 4 MiB") {
		t.Errorf("too large a file is %v", err)
	}
}

// A file in this folder is offered to somebody who left out its ending.
func TestFindOffersTheFileHere(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.WriteFile("uniformity.lua", []byte("return 1"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Find("uniformity", files); !strings.HasPrefix(fault.HintOf(err), "did you mean ./uniformity.lua? ") {
		t.Errorf("the hint is %q", fault.HintOf(err))
	}
}

// What a procedure requires is beside it, or among the shipped libraries, and
// nowhere else.
func TestFindBeside(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{"own.lua": "own", "beside.lua": "beside"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	p, err := Find(filepath.Join(dir, "own.lua"), files)
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{"beside.lua": "beside", "decay.lua": "return 2"} {
		if got, err := p.Find(name); err != nil || string(got) != want {
			t.Errorf("%s is %q, %v, want %q", name, got, err, want)
		}
	}
	if _, err := p.Find("../own.lua"); err == nil {
		t.Error("a library outside the procedure's folder was found")
	}
	if got := strings.Join(Shipped(files), " "); got != "ramp" {
		t.Errorf("shipped are %s", got)
	}
	if p.FoundAs() != filepath.Join(dir, "own.lua") {
		t.Errorf("it was found as %s", p.FoundAs())
	}
	if shipped, err := Find("ramp", files); err != nil || shipped.FoundAs() != "ramp" {
		t.Errorf("a shipped one: %v", err)
	}
}

// Two procedures are the same if all their files are; what is required only while a
// procedure runs is refused, since no copy of it would be kept.
func TestLoad(t *testing.T) {
	load := func(main, library string) (*Loaded, error) {
		p := &Procedure{Name: "p", File: "p.lua", Source: []byte(main), Find: func(string) ([]byte, error) { return []byte(library), nil }}
		return Load(context.Background(), p, nil)
	}
	const main = `require "part" return procedure { title = "T", purpose = "P", run = function() require "late" end }`
	a, err := load(main, "return 1")
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Files) != 2 || a.Files[0].Name != "p.lua" || a.Files[1].Name != "part.lua" || a.Contract.Title != "T" {
		t.Errorf("loaded %v", a.Sums())
	}
	same, err := load(main, "return 1")
	if err != nil || !a.Same(same) {
		t.Errorf("the same files are another procedure, %v", err)
	}
	other, err := load(main, "return 2")
	if err != nil || a.Same(other) {
		t.Errorf("another library is the same procedure, %v", err)
	}
	rt, err := a.Program.Start(context.Background(), script.Host{})
	if err != nil {
		t.Fatal(err)
	}
	defer rt.Close()
	if err := rt.Run(nil); err == nil || !strings.Contains(err.Error(), "late.lua is loaded while the procedure runs") {
		t.Errorf("a late require ends with %v", err)
	}
	if _, err := load("return procedure {", ""); err == nil {
		t.Error("what is not Lua was loaded")
	}
}

// A script computes by the rules of its run: until rules 3, % was another operator.
func TestRulesOfTheRun(t *testing.T) {
	for rules, want := range map[int]string{0: "0", 3: "0.1", 4: "0"} {
		src := `return procedure { title = "t" .. 1 % 0.1, purpose = "p", run = function() end }`
		p := &Procedure{Name: "x", File: "x.lua", Source: []byte(src), Rules: rules}
		loaded, err := Load(context.Background(), p, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := loaded.Contract.Title; got != "t"+want {
			t.Errorf("rules %d: the title is %q, want t%s", rules, got, want)
		}
	}
}
