package builtins

import (
	"strings"
	"testing"
)

// TestQuestionsSaySomething: a question without a text is refused, whatever it is blank by. Runs by older rules go on.
func TestQuestionsSaySomething(t *testing.T) {
	for call, want := range map[string]string{
		`operator.confirm(%s)`:              `operator.confirm: text is %s; it must be a text that says what the operator must do`,
		`operator.ask(%s)`:                  `operator.ask: text is %s; it must be a text that says what is asked`,
		`operator.choose(%s, { "a", "b" })`: `operator.choose: text is %s; it must be a text that says what is to be chosen`,
	} {
		for _, blank := range []string{`""`, `" "`, `"\t\n "`} {
			r := litRig()
			r.fails(t, strings.Replace(call, "%s", blank, 1), strings.Replace(want, "%s", blank, 1))
			r = litRig()
			r.rules = 3
			if err := r.play(t, strings.Replace(call, "%s", blank, 1)); err != nil && strings.Contains(err.Error(), "a text that says") {
				t.Errorf("%s by the rules 3: %v", call, err)
			}
		}
	}
}
