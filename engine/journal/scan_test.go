package journal

import (
	"encoding/json"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestScan checks texts of [RFC8259] sections 3 to 7 and 13, and what the grammar there leaves out.
func TestScan(t *testing.T) {
	for _, good := range []string{
		`true`, `false`, `null`, `0`, `-0`, `-0.5e-7`, `1E400`, `10`, `""`, `"\u00e9\\\"\/\b\f\n\r\t"`, `[]`, `{}`, `[[],{}]`,
		`{"Image":{"Width":800,"Height":600,"Title":"View from 15th Floor","Thumbnail":{"Url":"http://www.example.com/image/481989943","Height":125,"Width":100},"Animated":false,"IDs":[116,943,234,38793]}}`,
		`"Hello world!"`, `42`, // section 13
		strings.Repeat("[", maxDepth) + strings.Repeat("]", maxDepth),
	} {
		if got := skipValue([]byte(good), 0, 0); got != len(good) || !json.Valid([]byte(good)) {
			t.Errorf("%.60s: value ends at %d of %d", good, got, len(good))
		}
	}
	for _, bad := range []string{
		``, `tru`, `nul`, `True`, `-`, `+1`, `.5`, `1.`, `1.e1`, `1e`, `1e+`, `"`, `"\`, `"\u12`, `"\u12g4"`, `"\x"`, "\"\n\"",
		`[`, `[1`, `[1,`, `[1,]`, `[,]`, `{`, `{"a"`, `{"a":`, `{"a":1`, `{"a":1,`, `{"a":1,}`, `{a:1}`, `{1:1}`, `{"a" 1}`, `'a'`,
		`NaN`, `Infinity`, `-Infinity`, strings.Repeat("[", maxDepth+1) + strings.Repeat("]", maxDepth+1),
	} {
		if got := skipValue([]byte(bad), 0, 0); got != -1 {
			t.Errorf("%.60s: value ends at %d, want none", bad, got)
		}
	}
	if skipValue([]byte("01"), 0, 0) != 1 || skipValue([]byte("1"), 1, 0) != -1 || skipValue([]byte("1"), -1, 0) != -1 {
		t.Error("the scan does not stop where the value does")
	}
}

// TestScanAgainstEncodingJSON compares the scanner with the standard library's on near-JSON.
func TestScanAgainstEncodingJSON(t *testing.T) {
	piece := rapid.SampledFrom([]string{"{", "}", "[", "]", ",", ":", `"`, `"a"`, `"a":`, `\`, `\n`, `\u00e9`, "0", "1", "-", ".", "e", "E+",
		"true", "false", "null", "nul", "a", "é", "\x01", "\xff"})
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(piece, 0, 12).Draw(t, "pieces"), "")
		ours := skipValue([]byte(text), 0, 0) == len(text) && text != ""
		if theirs := json.Valid([]byte(text)); ours != theirs {
			t.Fatalf("%q: scanned as valid %v, encoding/json says %v", text, ours, theirs)
		}
	})
}
