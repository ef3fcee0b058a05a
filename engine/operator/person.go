package operator

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/spell"
)

// person is the operator who answers questions.
type person struct {
	desk *desk
	id   bench.Identity
}

var _ bench.Operator = (*person)(nil)

func (p *person) About() bench.Identity { return p.id }

// Ask puts a question until it has an answer that fits. A kind of question that
// is unknown, or a choice of nothing, is "unsupported".
func (p *person) Ask(ctx context.Context, q bench.Question) (bench.Reply, error) {
	switch q.Kind {
	case bench.Confirm:
		return p.confirm(ctx, q)
	case bench.Number:
		return p.number(ctx, q)
	case bench.Choice:
		return p.choice(ctx, q)
	case bench.Text:
		return p.text(ctx, q)
	}
	return bench.Reply{}, bench.Errorf(bench.CodeUnsupported, "", "operator: question is of kind %q, want one of %s, %s, %s, %s",
		q.Kind, bench.Confirm, bench.Number, bench.Choice, bench.Text)
}

func (p *person) confirm(ctx context.Context, q bench.Question) (bench.Reply, error) {
	if p.desk.opt.AssumeYes {
		if ctx.Err() != nil {
			return bench.Reply{}, context.Cause(ctx)
		}
		p.desk.console.Say(q.Text + "\n(taken as confirmed)")
		return bench.Reply{Text: "yes", Assumed: true}, nil
	}
	if err := p.desk.done(ctx, q.Text+"\nPress Enter to confirm.", "confirmed"); err != nil {
		return bench.Reply{}, err
	}
	return bench.Reply{Text: "yes"}, nil
}

func (p *person) number(ctx context.Context, q bench.Question) (bench.Reply, error) {
	var reply bench.Reply
	wanted := "a number" + limitWords(q)
	err := p.desk.answer(ctx, question{
		ask:  q.Text + "\nA" + wanted[1:] + ":",
		help: []helpLine{{"12.5", "a number, with a point for decimals"}},
		take: func(line string) error {
			v, err := oneNumber(strings.TrimSpace(strings.TrimSuffix(line, q.Unit)))
			if err != nil {
				return err
			}
			if q.Min != nil && v < *q.Min || q.Max != nil && v > *q.Max {
				return fmt.Errorf("%s is out of range: please type %s", decimals(v, 6), wanted)
			}
			reply = bench.Reply{Text: line, Number: v}
			return nil
		},
	})
	return reply, err
}

// limitWords says the limits of a number and its unit: " from 0 to 5 mm".
func limitWords(q bench.Question) string {
	unit := ""
	if q.Unit != "" {
		unit = " " + q.Unit
	}
	switch {
	case q.Min != nil && q.Max != nil:
		return " from " + decimals(*q.Min, 6) + " to " + decimals(*q.Max, 6) + unit
	case q.Min != nil:
		return " of " + decimals(*q.Min, 6) + unit + " or more"
	case q.Max != nil:
		return " of " + decimals(*q.Max, 6) + unit + " or less"
	case unit != "":
		return " in" + unit
	}
	return ""
}

// oneNumber reads a number. A comma is read as a decimal comma if it can be nothing
// else.
func oneNumber(text string) (float64, error) {
	if text == "" {
		return 0, errors.New("please type a number")
	}
	values, _, err := parseNumbers(text)
	if err != nil {
		return 0, err
	}
	if len(values) != 1 {
		return 0, fmt.Errorf("please type one number; there %s", count(len(values)))
	}
	return values[0], nil
}

func (p *person) choice(ctx context.Context, q bench.Question) (bench.Reply, error) {
	if len(q.Choices) == 0 {
		return bench.Reply{}, bench.Errorf(bench.CodeUnsupported, "", "operator: question %q has no choices", short(q.Text))
	}
	byNumber := !slices.ContainsFunc(q.Choices, func(c string) bool { return number.MatchString(c) })
	var reply bench.Reply
	err := p.desk.answer(ctx, question{
		ask:  choiceAsk(q, byNumber),
		help: choiceHelp(q, byNumber),
		take: func(line string) error {
			choice, err := pick(unescape(line), q.Choices, byNumber)
			reply.Text = choice
			return err
		},
	})
	return reply, err
}

func choiceAsk(q bench.Question, byNumber bool) string {
	var b strings.Builder
	b.WriteString(q.Text)
	for i, c := range q.Choices {
		if byNumber {
			fmt.Fprintf(&b, "\n  %d  %s", i+1, c)
		} else {
			fmt.Fprintf(&b, "\n  %s", c)
		}
	}
	b.WriteString("\nYour choice:")
	return b.String()
}

func choiceHelp(q bench.Question, byNumber bool) []helpLine {
	words := helpLine{q.Choices[0], "a choice by its words"}
	if byNumber {
		return []helpLine{{"1", "a choice by its number"}, words}
	}
	return []helpLine{words}
}

// pick finds a choice by its number or its words. Case does not count, but a
// choice that fits exactly goes first.
func pick(line string, choices []string, byNumber bool) (string, error) {
	if slices.Contains(choices, line) {
		return line, nil
	}
	if i := slices.IndexFunc(choices, func(c string) bool { return strings.EqualFold(c, line) }); i >= 0 {
		return choices[i], nil
	}
	if line == "" {
		return "", errors.New("please type one of the choices")
	}
	if v, err := parseNumber(line); err == nil && byNumber {
		if i := int(v); v == float64(i) && i >= 1 && i <= len(choices) {
			return choices[i-1], nil
		}
		return "", fmt.Errorf("there is no choice %s: please type a number from 1 to %d, or the words of a choice", short(line), len(choices))
	}
	if near := spell.Nearest(line, choices); near != "" {
		return "", fmt.Errorf("%q is not one of the choices: perhaps you mean %q", short(line), near)
	}
	return "", fmt.Errorf("%q is not one of the choices", short(line))
}

func (p *person) text(ctx context.Context, q bench.Question) (bench.Reply, error) {
	var reply bench.Reply
	err := p.desk.answer(ctx, question{
		ask: q.Text,
		help: []helpLine{
			{"…", "a line of text"},
			{`\back`, "the word back as your answer; \\pause and \\help likewise"},
		},
		take: func(line string) error {
			if line == "" {
				return errors.New("please type an answer")
			}
			reply.Text = unescape(line)
			return nil
		},
	})
	return reply, err
}

// unescape takes the backslash off an answer that is a control word itself.
func unescape(line string) string {
	for _, word := range []string{wordBack, wordPause, wordHelp} {
		if strings.EqualFold(line, `\`+word) {
			return line[1:]
		}
	}
	return line
}
