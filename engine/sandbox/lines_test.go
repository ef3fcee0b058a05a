package sandbox

import (
	"strings"
	"testing"
)

func TestLinesOf(t *testing.T) {
	const src = `local elsewhere = {
  far = 1 }
return trial {
  a = 1,
  b = { c = 2,
    ["d.e"] = {
      f = 3 } },
  g = elsewhere, [1] = 4, 5,
}`
	lines := LinesOf("trial", []byte(src))
	for _, tt := range []struct {
		path string
		want int
	}{
		{"", 3}, {"a", 4}, {"b", 5}, {"b c", 5}, {"b d.e", 6}, {"b d.e f", 7}, {"b d.e no", 6}, {"b no f", 5}, {"no", 3}, {"g far", 8},
	} {
		if got := lines.Of(strings.Fields(tt.path)...); got != tt.want {
			t.Errorf("%q is said to be on line %d, want %d", tt.path, got, tt.want)
		}
	}
	for name, src := range map[string]string{
		"another word": "return test { a = 1 }", "no call": "return 1", "two": "return trial { a = 1 }, 2", "no return": "local a = 1",
		"empty": "", "no Lua": "return trial {", "too deep": "return trial " + strings.Repeat("{", 100000), "no table": "return trial()",
		"a method": "return a:trial { a = 1 }", "a field": "return a.trial { a = 1 }",
	} {
		if got := LinesOf("trial", []byte(src)).Of("a"); got != 0 {
			t.Errorf("%s: a is said to be on line %d, want none", name, got)
		}
	}
}
