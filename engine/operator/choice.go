package operator

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/plain"
	"candelua/engine/spell"
)

// choices are the answers among which a person chooses. Each has a number, so that
// any can be chosen whatever its words are.
type choices struct {
	words []string
	// mark is before a number, "#2", where a number alone is the words of a choice.
	// No choice begins with it.
	mark string
}

func choicesOf(words []string) choices {
	c := choices{words: words}
	if !slices.ContainsFunc(words, func(w string) bool { return number.MatchString(w) }) {
		return c
	}
	for c.mark = "#"; slices.ContainsFunc(words, func(w string) bool { return strings.HasPrefix(w, c.mark) }); {
		c.mark += "#"
	}
	return c
}

func (p *person) choice(ctx context.Context, q bench.Question) (bench.Reply, error) {
	if len(q.Choices) == 0 {
		return bench.Reply{}, bench.Errorf(bench.CodeUnsupported, "", "operator: question %q has no choices", short(q.Text))
	}
	c := choicesOf(q.Choices)
	var reply bench.Reply
	err := p.desk.answer(ctx, question{
		ask:   plain.Lines(q.Text) + c.list() + "\nYour choice:",
		help:  c.help(),
		words: q.Choices,
		refer: func(word string) string {
			choice, _ := c.worded(word)
			return "type " + c.number(slices.Index(q.Choices, choice))
		},
		take: func(line string) error {
			choice, err := c.pick(unescape(line))
			reply.Text = choice
			return err
		},
	})
	return reply, err
}

// number is what chooses the i-th.
func (c choices) number(i int) string { return c.mark + strconv.Itoa(i+1) }

// list shows each on a line.
func (c choices) list() string {
	var b strings.Builder
	for i, word := range c.words {
		fmt.Fprintf(&b, "\n  %s  %s", c.number(i), plain.Line(word))
	}
	return b.String()
}

func (c choices) help() []helpLine {
	lines := []helpLine{{c.number(0), "a choice by its number"}}
	for _, word := range c.words {
		if is, _ := command(word); is == "" && plain.Line(word) == word && short(word) == word && strings.TrimSpace(word) != "" {
			return append(lines, helpLine{word, "a choice by its words"})
		}
	}
	return lines
}

// worded finds a choice by its words. Case does not count, but a choice that fits
// exactly goes first.
func (c choices) worded(line string) (string, bool) {
	if slices.Contains(c.words, line) {
		return line, true
	}
	if i := slices.IndexFunc(c.words, func(w string) bool { return strings.EqualFold(w, line) }); i >= 0 {
		return c.words[i], true
	}
	return "", false
}

// pick finds a choice by its words, else by its number.
func (c choices) pick(line string) (string, error) {
	if choice, ok := c.worded(line); ok {
		return choice, nil
	}
	if line == "" {
		return "", errors.New("please type one of the choices")
	}
	after, marked := strings.CutPrefix(line, cmp.Or(c.mark, "#"))
	if v, err := parseNumber(after); err == nil && (marked || c.mark == "") {
		if i := int(v); v == float64(i) && i >= 1 && i <= len(c.words) {
			return c.words[i-1], nil
		}
		return "", fmt.Errorf("there is no choice %s: please type a number from %s to %s, or the words of a choice", short(line), c.number(0), c.number(len(c.words)-1))
	}
	if near := spell.Nearest(line, c.words); near != "" {
		return "", fmt.Errorf("%q is not one of the choices: perhaps you mean %q", short(line), short(near))
	}
	return "", fmt.Errorf("%q is not one of the choices", short(line))
}
