package store

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestProcedures(t *testing.T) {
	r := newRun(t)
	none, err := r.procedures()
	if err != nil || len(none) != 0 {
		t.Errorf("a new run has %v, %v", none, err)
	}
	src := []byte("return procedure {}\r\n\x00\xff") // kept byte for byte
	must(t, r.AddProcedure("sweep.lua", src), r.AddProcedure("lib/decay.lua", []byte("d")), r.AddProcedure("Größe.lua", nil))
	must(t, r.AddProcedure("sweep.lua", src))
	names, err := r.procedures()
	if err != nil || !slices.Equal(names, []string{"Größe.lua", "lib/decay.lua", "sweep.lua"}) {
		t.Errorf("names are %v, %v", names, err)
	}
	got, err := r.Procedure("sweep.lua")
	if err != nil || string(got) != string(src) {
		t.Errorf("copy is %q, %v", got, err)
	}
}

func TestProcedureErrors(t *testing.T) {
	r := newRun(t)
	must(t, r.AddProcedure("sweep.lua", []byte("a")), r.AddProcedure("lib/decay.lua", []byte("d")))
	fails(t, r.AddProcedure("sweep.lua", []byte("b")), errOther, `script "sweep.lua"`, "resume with the edited script")
	fails(t, r.AddProcedure("Sweep.LUA", []byte("a")), errOther, `as "sweep.lua"`)
	fails(t, r.AddProcedure("LIB/decay.lua", []byte("d")), errOther, `as "lib/decay.lua"`)
	fails(t, r.ReplaceProcedure("SWEEP.lua", []byte("c")), errOther, "give it the same name")
	fails(t, r.AddProcedure("lib", []byte("a")), errOther)
	fails(t, r.AddProcedure("sweep.lua/x", []byte("a")), nil, r.Path())
	_, err := r.Procedure("none.lua")
	fails(t, err, os.ErrNotExist, r.Path())

	outside := filepath.Dir(r.Path())
	before, err := os.ReadDir(outside)
	must(t, err)
	for _, name := range []string{"../x", "../../x", "/tmp/x", "con", "NUL.lua", strings.Repeat("n", 4000), "a/../../x", `..\x`, "", "a\x00", ".part", "sweep.lua."} {
		fails(t, r.AddProcedure(name, []byte("a")), errName, "script: ")
		fails(t, r.ReplaceProcedure(name, []byte("a")), errName)
		_, err := r.Procedure(name)
		fails(t, err, errName)
	}
	after, err := os.ReadDir(outside)
	if err != nil || len(before) != len(after) {
		t.Errorf("outside there is %v, and was %v (%v)", after, before, err)
	}
	if names, _ := r.procedures(); len(names) != 2 {
		t.Errorf("kept %v, want two", names)
	}
}

func TestReplaceProcedureKeepsTheFormer(t *testing.T) {
	r := newRun(t)
	for _, src := range []string{"one", "two", "two", "three"} {
		must(t, r.ReplaceProcedure("lib/a.lua", []byte(src)))
	}
	must(t, r.AddProcedure("b.lua", []byte("b1")), r.ReplaceProcedure("b.lua", []byte("b2")))
	for name, want := range map[string]string{
		"procedure/lib/a.lua": "three", "former/1/lib/a.lua": "one", "former/2/lib/a.lua": "two", "procedure/b.lua": "b2", "former/1/b.lua": "b1",
	} {
		got, err := os.ReadFile(filepath.Join(r.Path(), name))
		if err != nil || string(got) != want {
			t.Errorf("%s is %q, %v, want %q", name, got, err, want)
		}
	}
	if _, err := os.Stat(filepath.Join(r.Path(), "former", "3")); err == nil {
		t.Error("the same script again was kept as a former one")
	}
}
