package script

import (
	"strings"
	"testing"
)

// A hidden builtin answers the scripts of old runs, and nobody is led to it.
func TestHidden(t *testing.T) {
	pure := func(name string, opts ...Option) *Func {
		return Pure(name, "answers 7", func(*Call, None) (float64, error) { return 7, nil }, opts...)
	}
	m := &Module{Name: "lamp", Funcs: []*Func{pure("lamp.read"), pure("lamp.reed", Hidden())}}
	if got := play(t, "a.lua", inRun("print(lamp.reed())"), m); got.err != nil || got.printed.String() != "7\n" {
		t.Errorf("it prints %q, %v", got.printed.String(), got.err)
	}
	got := play(t, "a.lua", inRun("lamp.red()"), m)
	if got.err == nil || strings.Contains(got.err.Error(), "reed") || !strings.Contains(got.err.Error(), "read") {
		t.Errorf("a misspelt name leads to %v", got.err)
	}
	if shown := m.Shown(); len(shown) != 1 || shown[0].Name != "lamp.read" {
		t.Errorf("the reference page shows %d functions", len(shown))
	}
}
