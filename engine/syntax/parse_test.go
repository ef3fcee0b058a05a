package syntax_test

import (
	"errors"
	"testing"

	"candelua/engine/syntax"
)

// Places of errors, in lines and columns that were counted by hand; columns count characters, not bytes.
func TestErrors(t *testing.T) {
	for _, c := range []struct {
		src     string
		at      syntax.Pos
		foreign bool
	}{
		{"local a = 1\nlocal b = a != 2", syntax.Pos{Line: 2, Column: 13}, true},
		{"local ä = 1", syntax.Pos{Line: 1, Column: 7}, false},
		{"local a = \"ä\" != 1", syntax.Pos{Line: 1, Column: 15}, true},
		{"local function f()\n  if true then\n    print(1)\nend\nprint(2)\n", syntax.Pos{Line: 2, Column: 3}, false},
		{"if a = 1 then end", syntax.Pos{Line: 1, Column: 6}, true},
		{"local t = { a = 1 b = 2 }", syntax.Pos{Line: 1, Column: 19}, false},
		{"local s = 'a", syntax.Pos{Line: 1, Column: 11}, false},
		{"--[[ never closed", syntax.Pos{Line: 1, Column: 3}, false},
		{"t.x", syntax.Pos{Line: 1, Column: 1}, false},
	} {
		_, err := syntax.Parse([]byte(c.src))
		var e *syntax.Error
		if !errors.As(err, &e) || e.At != c.at || e.Foreign != c.foreign {
			t.Errorf("%q: %+v, want %v, foreign %v", c.src, e, c.at, c.foreign)
		}
	}
}

// Comments keep their place, and whether they stand alone on their line.
func TestComments(t *testing.T) {
	f, err := syntax.Parse([]byte("-- one\nlocal a = 1 -- two\n  --[[ three\n four ]] print(a)\nlocal t = { x = -- five\n  1 }\n"))
	if err != nil {
		t.Fatal(err)
	}
	want := []syntax.Comment{{At: syntax.Pos{Line: 1, Column: 1}, Text: " one", Alone: true}, {At: syntax.Pos{Line: 2, Column: 13}, Text: " two"},
		{At: syntax.Pos{Line: 3, Column: 3}, Text: " three\n four ", Alone: true}, {At: syntax.Pos{Line: 5, Column: 17}, Text: " five"}}
	if len(f.Comments) != len(want) {
		t.Fatalf("comments are %+v", f.Comments)
	}
	for i, k := range f.Comments {
		if k != want[i] {
			t.Errorf("comment %d is %+v, want %+v", i, k, want[i])
		}
	}
}

// The interpreter's own parser is compared in package sandbox. Here no source makes the parser fall.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"return 1", "local a <const> = 1", "a += 1", "for i = 1, 2 do end", "x = [==[\n]==]", "if (a) { }", "t.x", "::a:: goto a", "0x", "'\\999'"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		file, err := syntax.Parse(src)
		if (file == nil) == (err == nil) {
			t.Errorf("%v and %v", file, err)
		}
	})
}
