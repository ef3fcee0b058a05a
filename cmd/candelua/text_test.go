package main

import (
	"strings"
	"testing"
)

func TestParagraph(t *testing.T) {
	var b strings.Builder
	long := strings.Repeat("word ", 16) // 79 columns
	paragraph(&b, "- ", "  ", long)
	paragraph(&b, "", "", strings.Repeat("x", 100)+" y")
	paragraph(&b, "- ", "  ", "")
	want := "- " + strings.TrimSpace(strings.Repeat("word ", 15)) + "\n  word\n" + strings.Repeat("x", 100) + "\ny\n-\n"
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", &b, want)
	}
}

func TestAsksForJSON(t *testing.T) {
	for args, want := range map[string]bool{
		"run x --json": true, "--json": true, "run --json=true": true,
		"run -- --json": false, "run --json=false": false, "run x": false, "run --jsonx": false,
	} {
		if got := asksForJSON(strings.Fields(args)); got != want {
			t.Errorf("%q asks for JSON: %v, want %v", args, got, want)
		}
	}
}

// What is left of a run that was stopped at once is told as exactly as it can
// be known.
func TestStoppedAtOnce(t *testing.T) {
	a := &app{}
	if got := a.stoppedAtOnce(); got != "stopped at once" {
		t.Errorf("without a run: %q", got)
	}
	folder := "runs/a-1"
	a.folder.Store(&folder)
	if got := a.stoppedAtOnce(); !strings.HasSuffix(got, "go on with: candelua resume runs/a-1") {
		t.Errorf("of a run: %q", got)
	}
}
