package operator

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/plain"
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
		p.desk.console.Say(plain.Lines(q.Text) + "\n(taken as confirmed)")
		return bench.Reply{Text: "yes", Assumed: true}, nil
	}
	if err := p.desk.done(ctx, plain.Lines(q.Text)+"\nPress Enter to confirm.", "confirmed"); err != nil {
		return bench.Reply{}, err
	}
	return bench.Reply{Text: "yes"}, nil
}

func (p *person) number(ctx context.Context, q bench.Question) (bench.Reply, error) {
	var reply bench.Reply
	wanted := "a number" + limitWords(q)
	err := p.desk.answer(ctx, question{
		ask: plain.Lines(q.Text) + "\nA" + wanted[1:] + ":",
		help: []helpLine{
			{"12.5", "a number, with a point for decimals"},
			{"12.5 ± 0.2", "the same, and how well it is known: its standard uncertainty; +- does for ±"},
		},
		take: func(line string) error {
			number, behind, stated := bench.SplitTyped(line)
			v, err := numberIn(number, q.Unit)
			if err != nil {
				return err
			}
			var u *float64
			if stated {
				if u, err = uncertaintyIn(behind, q.Unit); err != nil {
					return err
				}
			}
			if q.Min != nil && v < *q.Min || q.Max != nil && v > *q.Max {
				return fmt.Errorf("%s is out of range: please type %s", decimals(v, 6), wanted)
			}
			reply = bench.Reply{Text: line, Number: v, Uncertainty: u}
			return nil
		},
	})
	return reply, err
}

// numberIn reads a number, behind which its unit may stand.
func numberIn(text, unit string) (float64, error) {
	v, err := oneNumber(text)
	if number, with := strings.CutSuffix(text, unit); with && err != nil {
		v, err = oneNumber(strings.TrimSpace(number))
	}
	return v, err
}

// uncertaintyIn reads what stands behind ±.
func uncertaintyIn(text, unit string) (*float64, error) {
	u, err := numberIn(text, unit)
	if err != nil || u < 0 {
		return nil, fmt.Errorf("%q is no standard uncertainty: please type a number of 0 or more behind ±, in the same unit, or leave ± out", short(text))
	}
	return &u, nil
}

// limitWords says the limits of a number and its unit: " from 0 to 5 mm".
func limitWords(q bench.Question) string {
	unit := ""
	if q.Unit != "" {
		unit = " " + plain.Line(q.Unit)
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

func (p *person) text(ctx context.Context, q bench.Question) (bench.Reply, error) {
	var reply bench.Reply
	err := p.desk.answer(ctx, question{
		ask: plain.Lines(q.Text),
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
