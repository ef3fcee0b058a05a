package builtins

import (
	"context"
	"slices"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/plain"
	"candelua/engine/script"
)

func operatorModule() *script.Module {
	return &script.Module{Name: "operator", Help: "Questions and requests to the person at the bench.", Funcs: []*script.Func{
		script.Step("operator.confirm", "tells the operator to do something and waits until it is done", confirmLive, confirmDerive, script.LeavesNothing(),
			script.CheckingBy(func(c *script.Call, a confirmArgs) error {
				return saysSomething(c, a.Text, "what the operator must do")
			})),
		script.Step("operator.ask", "asks the operator for a number; state how well it is known, with uncertainty, relative or within, or let the operator type it, as in 12.5 ± 0.2: else the uncertainty of values that depend on it is not known. What the last digit leaves open is added", askLive, askDerive, script.LeavesNothing(), script.CheckingBy(askCheck)),
		script.Step("operator.choose", "asks the operator to choose one of several words", chooseLive, chooseDerive, script.LeavesNothing(), script.CheckingBy(chooseCheck)),
	}}
}

type confirmArgs struct {
	Text string `lua:"text" pos:"1" help:"what the operator must do"`
}

type askArgs struct {
	Text    string   `lua:"text" pos:"1" help:"the question"`
	Unit    string   `lua:"unit" default:"" help:"unit of the number"`
	Min     *float64 `lua:"min" help:"lowest number that is allowed"`
	Max     *float64 `lua:"max" help:"highest number that is allowed"`
	Example *float64 `lua:"example" help:"the answer on a simulated bench"`
	// How well the answer is known is no part of the question, so that it can be stated later.
	Uncertainty *float64 `lua:"uncertainty" min:"0" match:"no" help:"standard uncertainty of the number, in its unit; 0: the number is exact, such as a count"`
	Relative    *float64 `lua:"relative" min:"0" max:"100" unit:"%" match:"no" help:"standard uncertainty of the number, as a percentage of it, such as that of the instrument that it was read from"`
	Within      *float64 `lua:"within" min:"0" match:"no" help:"how far the number may be off at most, in its unit, where all of that range is equally likely"`
}

type chooseArgs struct {
	Text    string   `lua:"text" pos:"1" help:"the question"`
	Choices []string `lua:"choices" pos:"2" most:"1000" help:"the words to choose from"`
	Example *string  `lua:"example" help:"the answer on a simulated bench; when left out, the first word"`
}

// saysSomething refuses a text that nobody could answer, since the rules 4.
func saysSomething(c *script.Call, text, want string) error {
	if !c.Since(4) || strings.TrimSpace(plain.Line(text)) != "" {
		return nil
	}
	return &fault.ArgError{Arg: "text", Got: declare.Show(text), Want: "a text that says " + want, Tip: "the person reads it at the bench"}
}

func askCheck(c *script.Call, a askArgs) error {
	if err := saysSomething(c, a.Text, "what is asked"); err != nil {
		return err
	}
	for _, limit := range []*float64{a.Min, a.Example} {
		if limit != nil && a.Max != nil && *limit > *a.Max {
			return &fault.ArgError{Arg: "max", Got: formatNumber(*a.Max), Want: "at least min and example"}
		}
	}
	if a.Example != nil && a.Min != nil && *a.Example < *a.Min {
		return &fault.ArgError{Arg: "example", Got: formatNumber(*a.Example), Want: atLeast(*a.Min, "min")}
	}
	return nil
}

// atLeast says what a number may be if another argument is its lower limit.
func atLeast(low float64, name string) string {
	return formatNumber(low) + " or more, because " + name + " is " + formatNumber(low)
}

func chooseCheck(c *script.Call, a chooseArgs) error {
	if err := saysSomething(c, a.Text, "what is to be chosen"); err != nil {
		return err
	}
	if len(a.Choices) == 0 {
		return &fault.ArgError{Arg: "choices", Got: "empty", Want: "one word or more"}
	}
	seen := make(map[string]bool, len(a.Choices))
	for _, word := range a.Choices {
		if seen[word] {
			return &fault.ArgError{Arg: "choices", Got: declare.Show(a.Choices), Want: "each word once"}
		}
		seen[word] = true
	}
	if a.Example != nil && !slices.Contains(a.Choices, *a.Example) {
		return &fault.ArgError{Arg: "example", Got: declare.Show(*a.Example), Want: "one of the choices, " + declare.Show(a.Choices)}
	}
	return nil
}

func put(ctx context.Context, c *script.Call, q bench.Question) (bench.Reply, error) {
	if c.Bench().Operator == nil {
		return bench.Reply{}, missing("operator")
	}
	r, err := c.Bench().Operator.Ask(ctx, q)
	if err == nil && !r.Assumed && c.Host().Devices["operator"].ByHand {
		c.ByHand()
	}
	return r, err
}

func confirmLive(ctx context.Context, c *script.Call, a confirmArgs) (bench.Reply, error) {
	return put(ctx, c, bench.Question{Kind: bench.Confirm, Text: a.Text})
}

func confirmDerive(c *script.Call, _ confirmArgs, _ bench.Reply) (script.None, error) {
	sceneOf(c).asked++
	return script.None{}, nil
}

func askLive(ctx context.Context, c *script.Call, a askArgs) (bench.Reply, error) {
	q := bench.Question{Kind: bench.Number, Text: a.Text, Unit: a.Unit, Min: a.Min, Max: a.Max}
	if a.Example != nil {
		q.Example = formatNumber(*a.Example)
	}
	return put(ctx, c, q)
}

func askDerive(c *script.Call, a askArgs, w bench.Reply) (float64, error) {
	sceneOf(c).asked++
	return typedNumber(c, a, w), nil
}

func chooseLive(ctx context.Context, c *script.Call, a chooseArgs) (bench.Reply, error) {
	q := bench.Question{Kind: bench.Choice, Text: a.Text, Choices: a.Choices, Example: a.Choices[0]}
	if a.Example != nil {
		q.Example = *a.Example
	}
	return put(ctx, c, q)
}

func chooseDerive(c *script.Call, _ chooseArgs, w bench.Reply) (string, error) {
	sceneOf(c).asked++
	return w.Text, nil
}
