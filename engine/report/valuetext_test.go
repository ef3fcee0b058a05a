package report

import (
	"strings"
	"testing"

	"candelua/engine/result"
)

func TestValueText(t *testing.T) {
	number := func(f float64) *float64 { return &f }
	long := strings.Repeat("very ", 9) + "long"
	for want, v := range map[string]result.Value{
		"480.49 ± 0.12 cd/m2":     {Value: number(480.4912), U: number(0.1234), Unit: "cd/m2"},
		"2.2 (pass)":              {Value: number(2.2), Finding: result.Pass},
		"< 480.1 cd/m2":           {Value: number(480.1), U: number(0.2), Bound: result.Upper, Unit: "cd/m2"},
		"< 0.002 cd/m2":           {Value: number(0.002), Bound: result.Upper, Unit: "cd/m2"},
		"1 to 18 %":               {Text: "1 to 18 %"},
		"two lines":               {Text: "two\nlines"},
		long:                      {Text: long},
		"- % (not evaluated)":     {Unit: "%", Finding: result.NotEvaluated},
		"> 1.2346e7 cd/m2 (fail)": {Value: number(12345678), Bound: result.Lower, Unit: "cd/m2", Finding: result.Fail},
	} {
		if got := ValueText(&v); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
