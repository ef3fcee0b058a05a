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

	"github.com/mattn/go-runewidth"

	"candelua/engine/bench"
)

// The words that can always be typed. With a slash before it, /back, such a word is
// never an answer; with a backslash, \back, it always is.
const (
	wordBack  = "back"
	wordPause = "pause"
	wordHelp  = "help"
)

// command returns the word that always can be typed which a line is, or "". It is
// marked if it has the slash.
func command(line string) (word string, marked bool) {
	word, marked = strings.CutPrefix(strings.ToLower(line), "/")
	switch word {
	case wordBack, wordPause, wordHelp:
		return word, marked
	}
	return "", false
}

// unescape takes the backslash off an answer that would be a command without it.
func unescape(line string) string {
	if word, _ := command(strings.TrimLeft(line, `\`)); word != "" {
		return strings.TrimPrefix(line, `\`)
	}
	return line
}

// helpLine is something that can be typed, and what it means.
type helpLine struct{ typed, means string }

var helpAlways = []helpLine{
	{wordBack, "withdraw your last answer and give it again"},
	{wordPause, "stop here; the run can be resumed later"},
	{wordHelp, "show this list"},
}

// helpText lists what can be typed at a question, aligned.
func helpText(q question) string {
	all := slices.Clone(q.help)
	for _, l := range helpAlways {
		if q.takes(l.typed) {
			l.typed = "/" + l.typed
		}
		all = append(all, l)
	}
	width := 0
	for _, l := range all {
		width = max(width, runewidth.StringWidth(l.typed))
	}
	var b strings.Builder
	b.WriteString("You can type:")
	for _, l := range all {
		b.WriteString("\n  " + runewidth.FillRight(l.typed, width) + "   " + l.means)
	}
	return b.String()
}

// doing says what a command is for.
var doing = map[string]string{wordBack: "withdraw your last answer", wordPause: "stop here", wordHelp: "see what you can type"}

// question is a prompt that is repeated until it has its answer.
type question struct {
	ask  string     // what is asked, whole
	help []helpLine // what can be typed here, besides the words that always can
	// take judges a line; the error says what is wrong with it, see [sentence].
	take func(line string) error
	// words are answers in words, and refer says how to give the one that is
	// a command too. Such a word is neither without a mark.
	words []string
	refer func(word string) string
}

// takes says whether a command is an answer in words as well.
func (q question) takes(word string) bool {
	return slices.ContainsFunc(q.words, func(w string) bool { return strings.EqualFold(w, word) })
}

// answer asks until take accepts a line. It returns what a control
// word, the end of the input or ctx means: [bench.ErrStruck], [bench.ErrPaused] or
// ctx's cause.
func (d *desk) answer(ctx context.Context, q question) error {
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	d.console.Say(q.ask)
	if d.opt.Asking != nil {
		d.opt.Asking(q.ask)
		defer d.opt.Asking("")
	}
	for {
		line, err := d.console.ReadLine(ctx)
		word, marked := command(line)
		if errors.Is(err, ErrEarly) && word == wordPause {
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
		if word != "" && !marked && q.takes(word) {
			d.console.Say(fmt.Sprintf("%q is an answer here, and a command as well: %s for the answer, or type /%s to %s.", line, q.refer(line), word, doing[word]))
			continue
		}
		switch word {
		case wordBack:
			return bench.Errorf(bench.CodeStruck, "", "operator: the last answer was withdrawn")
		case wordPause:
			d.console.Say("The run pauses.")
			return bench.Errorf(bench.CodePaused, "", "operator: paused at the operator's word")
		case wordHelp:
			d.console.Say(helpText(q))
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
	help := []helpLine{{"Enter", enter}}
	if !d.noReadings {
		help = append(help, helpLine{"200 0.31 0.33", enter + ", and this is also the meter's next reading"})
	}
	return d.answer(ctx, question{ask: ask, help: help, take: d.takeDone})
}

// takeDone takes Enter, a word that means yes, or a reading.
func (d *desk) takeDone(line string) error {
	switch strings.ToLower(line) {
	case "", "ok", "y", "yes", "done":
		return nil
	case "n", "no":
		return errors.New(`press Enter as soon as it is done, or type "pause" to stop here`)
	}
	if d.noReadings {
		return fmt.Errorf("%q is no answer here: press Enter when it is done, or type \"help\"", short(line))
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
