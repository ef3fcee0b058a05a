package sandbox

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// execute runs a source in a machine of its own and returns what it printed.
func execute(t testing.TB, name, src string, lim Limits) (string, error) {
	t.Helper()
	var out strings.Builder
	m := New(context.Background(), lim, func(s string) { out.WriteString(s + "\n") }, 1)
	defer m.Close()
	m.Requires(testLoader, new(Library))
	proto, err := Compile(name, []byte(src), lim)
	if err != nil {
		return "", err
	}
	_, err = m.Call(m.Load(proto), 0)
	return out.String(), err
}

// testLoader finds the modules of the tests in Lua.
func testLoader(name string) (string, []byte, error) {
	modules := map[string]string{
		"plain":     "return { answer = 42 }",
		"counts":    "counted = (rawget(_G, \"counted\") or 0) + 1",
		"lib.inner": "return ...",
		"circle":    "return require 'circle2'",
		"circle2":   "return require 'circle'",
		"broken":    "local x = = 1",
		"fails":     "local r\nreturn r.x",
	}
	src, ok := modules[name]
	if !ok {
		return "", nil, fmt.Errorf("no file %s.lua is beside the procedure: %w", name, os.ErrNotExist)
	}
	return name + ".lua", []byte(src), nil
}

// expectation is a comment --! "pattern" on the line that must raise.
var expectation = regexp.MustCompile(`--! ("(?:[^"\\]|\\.)*")`)

// TestLua runs the pieces of testdata/*.lua, between lines of ---. A piece with an
// expectation must fail on that line, with that message; others must not fail.
func TestLua(t *testing.T) {
	files, err := filepath.Glob("testdata/*.lua")
	if err != nil || len(files) == 0 {
		t.Fatalf("no tests in testdata: %v", err)
	}
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		line := 0
		for piece := range strings.SplitSeq(string(src), "\n---\n") {
			text := strings.Repeat("\n", line) + piece
			line += strings.Count(piece, "\n") + 2
			checkPiece(t, filepath.Base(file), text)
		}
	}
}

func checkPiece(t *testing.T, file, text string) {
	t.Helper()
	wantLine, want := 0, ""
	for i, l := range strings.Split(text, "\n") {
		if m := expectation.FindStringSubmatch(l); m != nil {
			if wantLine != 0 {
				t.Fatalf("%s:%d: a piece can expect one error", file, i+1)
			}
			wantLine = i + 1
			want, _ = strconv.Unquote(m[1])
		}
	}
	_, err := execute(t, file, text, Limits{})
	var e *Error
	switch {
	case err == nil && wantLine > 0:
		t.Errorf("%s:%d: no error, want %q", file, wantLine, want)
	case err == nil:
	case wantLine == 0:
		t.Errorf("unexpected: %v", err)
	case !errors.As(err, &e) || e.Line != wantLine || !strings.Contains(e.Message, want):
		t.Errorf("%s:%d: got %v, want %q", file, wantLine, err, want)
	}
}
