package store

import (
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestCheckName(t *testing.T) {
	for _, good := range []string{"window-sweep.lua", "a", "Größe.lua", "峰值.lua", "console.lua", "com10.lua", "a b.lua", "lpt.lua", "a..lua", strings.Repeat("n", maxName)} {
		if err := checkName(good); err != nil {
			t.Errorf("%q is refused: %v", good, err)
		}
	}
	for _, bad := range []string{
		"", ".", "..", ".hidden", "end.", "end ", " start", "a/b", `a\b`, "/etc", `C:x`, "a\x00b", "a\nb", "a\x7fb", "a*", "a?", `"a"`, "a<b", "a>b", "a|b",
		"con", "CON", "Con.lua", "nul.tar.gz", "aux ", "com1", "COM9.csv", "lpt²", "prn .lua", "conin$", "\xff.lua", strings.Repeat("n", maxName+1),
	} {
		err := checkName(bad)
		if !errors.Is(err, errName) || !strings.HasPrefix(err.Error(), "name ") || len(err.Error()) > 2*maxName+100 {
			t.Errorf("%q: error is %v, want %v", bad, err, errName)
		}
	}
}

func TestCheckPath(t *testing.T) {
	for _, good := range []string{"a.lua", "lib/a.lua", "1/2/3/4/5/6/7/8"} {
		if err := checkPath(good); err != nil {
			t.Errorf("%q is refused: %v", good, err)
		}
	}
	for _, bad := range []string{"../a", "/a", "a//b", "a/", "a/../b", "./a", "lib/con.lua", `..\a`, "1/2/3/4/5/6/7/8/9", strings.Repeat("a/", 5000)} {
		if err := checkPath(bad); !errors.Is(err, errName) || len(err.Error()) > 500 {
			t.Errorf("%.40q: error is %v, want %v", bad, err, errName)
		}
	}
}

// What is taken is local by the standard library's rules, too.
func TestCheckPathIsLocal(t *testing.T) {
	part := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"..", ".", "", "a", "con", "/", `\`, "c:"}))
	rapid.Check(t, func(t *rapid.T) {
		path := strings.Join(rapid.SliceOfN(part, 1, 4).Draw(t, "parts"), "/")
		if checkPath(path) == nil && (!filepath.IsLocal(path) || filepath.ToSlash(filepath.Clean(path)) != path) {
			t.Fatalf("%q is taken", path)
		}
	})
}
