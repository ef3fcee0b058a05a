package history

import (
	"fmt"
	"strings"
)

// Rules is the number of the rules by which this version computes. A run states in
// its head which it was made by, so that a later version, whose rules differ,
// reports no difference that only the rules cause.
//
// The rules have a new number as soon as the same script and the same journal may give
// other results: how uncertainties are evaluated, what an operator computes, what a
// contract may leave out, a sentence that candelua itself writes into results. The
// engine says what each number changed.
const Rules = 6

// The rules of versions that stated none.
const (
	rulesOfFirst = 1 // 0.1
	rulesOfDraws = 2 // 0.2, which draws uncertainties otherwise
)

// ByRules is the number of the rules that the run was made by.
func (h *Head) ByRules() int {
	switch {
	case h.Rules > 0:
		return h.Rules
	case strings.HasPrefix(h.Engine, "0.1."):
		return rulesOfFirst
	}
	return rulesOfDraws
}

// NewerRulesError is a run that was made by rules that this version does not know.
type NewerRulesError struct{ Rules int }

func (e *NewerRulesError) Error() string {
	return fmt.Sprintf("the run was made by rules %d, and this version knows the rules 1 to %d", e.Rules, Rules)
}

// Code is the error's code in reports.
func (e *NewerRulesError) Code() string { return "format" }

// Hint says what to do next.
func (e *NewerRulesError) Hint() string { return "use a newer candelua" }
