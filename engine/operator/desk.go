package operator

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"candelua/engine/bench"
)

// The words that can always be typed. A text answer that is such a word is
// written with a backslash before it.
const (
	wordBack  = "back"
	wordPause = "pause"
	wordHelp  = "help"
)

// helpLine is something that can be typed, and what it means.
type helpLine struct{ typed, means string }

var helpAlways = []helpLine{
	{wordBack, "withdraw your last answer and give it again"},
	{wordPause, "stop here; the run can be resumed later"},
	{wordHelp, "show this list"},
}

// helpText lists what can be typed, aligned.
func helpText(here []helpLine) string {
	all := append(slices.Clone(here), helpAlways...)
	width := 0
	for _, l := range all {
		width = max(width, utf8.RuneCountInString(l.typed))
	}
	var b strings.Builder
	b.WriteString("You can type:")
	for _, l := range all {
		fmt.Fprintf(&b, "\n  %-*s   %s", width, l.typed, l.means)
	}
	return b.String()
}

// question is a prompt that is repeated until it has its answer.
type question struct {
	ask  string     // what is asked, whole
	help []helpLine // what can be typed here, besides the words that always can
	// take judges a line; the error says what is wrong with it, see [sentence].
	take func(line string) error
}

// answer asks until take accepts a line. It returns what a control
// word, the end of the input or ctx means: [bench.ErrStruck], [bench.ErrPaused] or
// ctx's cause.
func (d *desk) answer(ctx context.Context, q question) error {
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	d.console.Say(q.ask)
	for {
		line, err := d.console.ReadLine(ctx)
		if errors.Is(err, ErrEarly) && strings.EqualFold(line, wordPause) {
			err = nil // to stop is never wrong
		}
		if told, again := noAnswer(line, err); again {
			if told != "" {
				d.console.Say(told)
			}
			continue
		}
		if err != nil {
			return d.ended(ctx, err)
		}
		switch strings.ToLower(line) {
		case wordBack:
			return bench.Errorf(bench.CodeStruck, "", "operator: the last answer was withdrawn")
		case wordPause:
			d.console.Say("The run pauses.")
			return bench.Errorf(bench.CodePaused, "", "operator: paused at the operator's word")
		case wordHelp:
			d.console.Say(helpText(q.help))
			d.console.Say(q.ask)
			continue
		}
		before := len(d.kept)
		err = q.take(line)
		if err == nil && len(d.kept) > before && d.note != nil {
			return d.note(line)
		}
		if err == nil {
			return nil
		}
		d.console.Say(sentence(err))
	}
}

// noAnswer says what to tell of a line that answers nothing, after which the next one is read.
func noAnswer(line string, err error) (told string, again bool) {
	switch {
	case errors.Is(err, errLineTooLong):
		return fmt.Sprintf("That line is too long: please type at most %d characters.", maxLineBytes), true
	case errors.Is(err, ErrEarly) && line == "":
		return "", true // Enter was pressed once too often
	case errors.Is(err, ErrEarly):
		return fmt.Sprintf("%q was typed before this was asked, so it is not used. Please answer now.", short(line)), true
	case errors.Is(err, errBrokenOff):
		return fmt.Sprintf("The input ended within the line %q, so it is not used: a line ends with Enter.", short(line)), true
	}
	return "", false
}

// ended explains why no line came.
func (d *desk) ended(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	const hint = "resume the run at a terminal, or give more lines in the input"
	if errors.Is(err, io.EOF) {
		return bench.Errorf(bench.CodePaused, hint, "operator: the input ended before the answer")
	}
	return bench.Errorf(bench.CodePaused, hint, "operator: the input ended before the answer: %w", err)
}

// done asks to press Enter when something is done. A reading typed instead
// means done too, and is kept.
func (d *desk) done(ctx context.Context, ask, enter string) error {
	return d.answer(ctx, question{
		ask: ask,
		help: []helpLine{
			{"Enter", enter},
			{"200 0.31 0.33", enter + ", and this is also the meter's next reading"},
		},
		take: d.takeDone,
	})
}

// takeDone takes Enter, a word that means yes, or a reading.
func (d *desk) takeDone(line string) error {
	switch strings.ToLower(line) {
	case "", "ok", "y", "yes", "done":
		return nil
	case "n", "no":
		return errors.New(`press Enter as soon as it is done, or type "pause" to stop here`)
	}
	r, err := parseReading(line)
	if err == nil {
		d.kept = append(d.kept, keptReading{r, d.clock.Now()})
		d.console.Say(fmt.Sprintf("Done. The next reading will be %q; type back to withdraw it.", short(r.line)))
		return nil
	}
	if looksLikeReading(line) {
		return err
	}
	return fmt.Errorf("%q is no answer here: press Enter when it is done, or type \"help\"", short(line))
}

// sentence makes a sentence for the person of an error.
func sentence(err error) string {
	first, size := utf8.DecodeRuneInString(err.Error())
	return string(unicode.ToUpper(first)) + err.Error()[size:] + "."
}

// short cuts a line for a message.
func short(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
