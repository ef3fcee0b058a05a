package sim

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/bench"
)

// operator is the person at the simulated bench. Confirmations are given, and
// said to be assumed; a question is answered with its example.
type operator struct{}

var _ bench.Operator = operator{}

// About implements [bench.Device].
func (operator) About() bench.Identity {
	return bench.Identity{Name: "simulated operator", Driver: driverName, Simulated: true}
}

// Ask implements [bench.Operator]. It fails with a [bench.Error] of code
// "unsupported" where a question has no example, or one that is no answer to it.
func (operator) Ask(ctx context.Context, q bench.Question) (bench.Reply, error) {
	if ctx.Err() != nil {
		return bench.Reply{}, context.Cause(ctx)
	}
	if q.Kind == bench.Confirm {
		return bench.Reply{Assumed: true}, nil
	}
	if q.Example == "" {
		return bench.Reply{}, bench.Errorf(bench.CodeUnsupported, "give example in the script; the simulated bench uses it as the answer",
			"question %q has no example, and the simulated bench has no person to answer it", q.Text)
	}
	r := bench.Reply{Text: q.Example}
	switch q.Kind {
	case bench.Number:
		n, err := strconv.ParseFloat(strings.TrimSpace(q.Example), 64)
		if err != nil || q.Min != nil && n < *q.Min || q.Max != nil && n > *q.Max {
			return bench.Reply{}, badExample(q, "a number within the question's limits")
		}
		r.Number = n
	case bench.Choice:
		if !slices.Contains(q.Choices, q.Example) {
			return bench.Reply{}, badExample(q, quoted(q.Choices))
		}
	}
	return r, nil
}

func badExample(q bench.Question, want string) error {
	return bench.Errorf(bench.CodeUnsupported, "correct example in the script; the simulated bench uses it as the answer",
		"question %q has the example %q; it must be %s", q.Text, q.Example, want)
}
