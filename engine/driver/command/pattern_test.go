package command

import (
	"math"
	"reflect"
	"strings"
	"testing"
)

var numbers, texts = []string{"Y", "x", "y", "seconds"}, []string{"serial", "message"}

func TestPattern(t *testing.T) {
	for _, c := range []struct {
		pattern, line string
		comma         bool
		want          map[string]any // nil: no match
	}{
		{"Lv {Y} cd/m2, x {x}, y {y}", "Lv 1.5 cd/m2, x 0.3, y 0.4", false, map[string]any{"Y": 1.5, "x": 0.3, "y": 0.4}},
		{"Lv {Y} cd/m2, x {x}, y {y}", "  Lv   1.5\tcd/m2,  x .3, y 4e-1 \r", false, map[string]any{"Y": 1.5, "x": 0.3, "y": 0.4}},
		{"Lv {Y} cd/m2", "Lv -0.002 cd/m2", false, map[string]any{"Y": -0.002}},
		{"Lv {Y} cd/m2", "Lv 1.5 cd/m2 again", false, nil},
		{"Lv {Y} cd/m2", "no Lv 1.5 cd/m2", false, nil},
		{"Lv {Y} cd/m2", "Lv nan cd/m2", false, nil},
		{"Lv {Y} cd/m2", "Lv 1,5 cd/m2", false, nil},
		{"Lv {Y} cd/m2", "Lv 1,5 cd/m2", true, map[string]any{"Y": 1.5}},
		{"{} Lv {Y} {}", "at noon: Lv 7 and more", false, map[string]any{"Y": 7.0}},
		{"{} Lv {Y} {}", "Lv 7", false, map[string]any{"Y": 7.0}}, // nothing, and no blank for it
		{"{} Lv {Y} {}", "at noon: Lv 7", false, map[string]any{"Y": 7.0}},
		{"{} Lv {Y} {}", "Lv 7and more", false, nil},
		{"Lv {} {Y}", "Lv 7", false, map[string]any{"Y": 7.0}},
		{"Lv {} {Y}", "Lv about 7", false, map[string]any{"Y": 7.0}},
		{"Lv {} {Y}", "Lv7", false, nil},
		{"Lv {} {Y}", "Lv about7", false, nil},
		{"{Y};{x};{y}", "12;0.3;0.3", false, map[string]any{"Y": 12.0, "x": 0.3, "y": 0.3}},
		{"{Y mcd/m2}", "250", false, map[string]any{"Y": 0.25}},
		{"{Y fL}", "100", false, map[string]any{"Y": 342.6259099635390}}, // 1 fL = 3.4262590996 cd/m²
		{"took {seconds ms} ms", "took 250 ms", false, map[string]any{"seconds": 0.25}},
		{"{seconds};{};{Y};{x};{y}", "17;12:30:01;123,45;0,3127;3,29E-01", true, map[string]any{"seconds": 17.0, "Y": 123.45, "x": 0.3127, "y": 0.329}},
		{"{seconds};{};{Y};{x};{y}", "Nr;Zeit;Lv [cd/m²];x;y", true, nil},
		{"<tr><th>Lv</th><td>{Y} cd/m&sup2;</td></tr>", "<tr><th>Lv</th><td>123,4 cd/m&sup2;</td></tr>", true, map[string]any{"Y": 123.4}},
		{"Serial: {serial}", "Serial: AB 12 ", false, map[string]any{"serial": "AB 12"}},
		{"a.b*(c) {Y}", "a.b*(c) 1", false, map[string]any{"Y": 1.0}},
		{"a.b {Y}", "axb 1", false, nil},
	} {
		p, err := compile("reply", c.pattern, numbers, texts, c.comma)
		if err != nil {
			t.Errorf("%s: %v", c.pattern, err)
			continue
		}
		got, ok, err := p.match(c.line)
		if err != nil || ok != (c.want != nil) || ok && !near(got, c.want) {
			t.Errorf("%q of %q gives %v, %v, %v, want %v", c.pattern, c.line, got, ok, err, c.want)
		}
	}
}

// TestPartsOfNumbers refuses a number that is a part of another one: where {} stands beside it, any part of
// a number would match. Numbers with a separator of thousands are such.
func TestPartsOfNumbers(t *testing.T) {
	for _, c := range []struct{ pattern, line string }{
		{"{Y}{}", "1,234.5 cd/m2"},
		{"{}{Y}{}", "Lv 1,234.5 cd/m2"},
		{"{}{Y} cd/m2", "Lv 1,234.5 cd/m2"},
		{"{}{Y} cd/m2", "Lv 1'234.5 cd/m2"},
		{"{}{Y} cd/m2", "Lv 1.234.5 cd/m2"},
		{"{}{Y} cd/m2", "Lv −5 cd/m2"}, // a minus sign that is no hyphen
		{"{Y}{}", "1.5.7"},
		{"{Y kcd/m2}", "1e306"},
	} {
		p, err := compile("reply", c.pattern, numbers, texts, false)
		if err != nil {
			t.Fatal(err)
		}
		if got, is, err := p.match(c.line); is && err == nil {
			t.Errorf("%q of %q gives %v", c.pattern, c.line, got)
		}
	}
	for _, c := range []struct {
		pattern, line string
		want          float64
	}{
		{"{}{Y}{}", "Lv:-0.002cd/m2", -0.002},
		{"{},{Y},{}", "7,234.5,0.3", 234.5},
		{"{Y}{}", "5e-324", 5e-324}, // the smallest number there is
		{"{}{Y}", "Lv=-0.00", 0},
		{"Lv {Y} cd/m\u00b2 {}", "Lv 3 cd/m\u00b2 \xb2", 3}, // what is no UTF-8 is anything
	} {
		p, err := compile("reply", c.pattern, numbers, texts, false)
		if err != nil {
			t.Fatal(err)
		}
		got, is, err := p.match(c.line)
		if err != nil || !is || got["Y"] != c.want {
			t.Errorf("%q of %q gives %v, %v, want %v", c.pattern, c.line, got, err, c.want)
		}
	}
	if _, err := compile("reply", "{Y}{x}", numbers, texts, false); err == nil || !strings.Contains(err.Error(), `"{Y}{x}"; between {Y} and {x} must stand`) {
		t.Errorf("two numbers beside each other give %v", err)
	}
}

func near(got, want map[string]any) bool {
	if len(got) != len(want) {
		return false
	}
	for k, w := range want {
		x, isNumber := w.(float64)
		y, _ := got[k].(float64)
		if isNumber && math.Abs(x-y) > 1e-9*math.Abs(x) || !isNumber && !reflect.DeepEqual(got[k], w) {
			return false
		}
	}
	return true
}

func TestPatternErrors(t *testing.T) {
	for _, c := range []struct{ pattern, says string }{
		{"Lv {Y", `reply is "Lv {Y"; a { in it must be closed by a }`},
		{"{Yx}", "reply has the field {Yx}; its fields can be {Y}, {x}, {y}, {seconds}, {serial}, {message}"},
		{"{Y} {Y}", "reply has the field {Y} twice"},
		{"{Y ell}", `"ell" is no unit that is known`},
		{"{serial s}", `"s" is no unit that is known`},
	} {
		if _, err := compile("reply", c.pattern, numbers, texts, false); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: the error is %v, want %s", c.pattern, err, c.says)
		}
	}
	p, _ := compile("reply", "{Y}", numbers, texts, false)
	if _, ok, err := p.match("1e400"); !ok || err == nil || err.Error() != "Y is 1e400, which is more than a number can be" {
		t.Errorf("1e400 gives %v, %v", ok, err)
	}
}
