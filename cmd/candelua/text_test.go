package main

import (
	"strings"
	"testing"
)

func TestShownSafely(t *testing.T) {
	for text, want := range map[string]string{
		"plain\nµ 峰":        "plain\nµ 峰",
		"\x1b[31mred\x07":   "\uFFFD[31mred\uFFFD",
		"over\rwritten\tby": "over\uFFFDwritten by",
		"a\u202eb\u2028c":   "a\uFFFDb\uFFFDc",
		"\u009b2J":          "\uFFFD2J",
		"":                  "",
	} {
		if got := shownSafely(text); got != want {
			t.Errorf("%q is shown as %q, want %q", text, got, want)
		}
	}
}

func TestQuoted(t *testing.T) {
	for path, want := range map[string]string{
		"runs/window-sweep-1": "runs/window-sweep-1",
		"my runs/a-1":         "'my runs/a-1'",
		"it's":                `'it'\''s'`,
		"$(x)":                "'$(x)'",
		"":                    "''",
	} {
		if got := quoted(path); got != want {
			t.Errorf("%q is quoted as %s, want %s", path, got, want)
		}
	}
}

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
	if got := a.stoppedAtOnce(); got != "candelua: stopped at once" {
		t.Errorf("without a run: %q", got)
	}
	folder := "runs/a-1"
	a.folder.Store(&folder)
	if got := a.stoppedAtOnce(); !strings.HasSuffix(got, "go on with: candelua resume runs/a-1") {
		t.Errorf("of a run: %q", got)
	}
}
