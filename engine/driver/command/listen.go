package command

import (
	"bytes"
	"context"
	"errors"
	"io"
	"slices"
	"strings"
	"time"

	"candelua/engine/driver"
	"candelua/engine/driver/child"
	"candelua/engine/driver/inbox"
	"candelua/engine/plain"
)

// mostLine is how long a line of a program may be.
const mostLine = 64 << 10

// listener reads a program's lines for one request.
type listener struct {
	session *session
	program *child.Program
	x       *exchange
	spare   bool // only the ready mark is awaited

	heard      []map[string]any // by pattern of the reply; nil where it has not come
	flags      []string         // that lines set
	nm, values []float64        // of a spectrum
	refused    error            // what the program reported against itself
	last       string           // line that was no reply
	bytes      int              // that were read
}

// listen reads until the reply is complete and, where the program has a ready mark, until that. A program that is
// run for one request is read to its end.
func (l *listener) listen(ctx context.Context) error {
	if l.x == nil {
		l.x = &exchange{}
	}
	kept := l.program == l.session.kept
	for {
		if kept && l.session.set.ready == "" && l.enough() {
			return l.rest()
		}
		line, ready, err := l.line(ctx)
		switch {
		case err != nil && (kept || ctx.Err() != nil || !errors.Is(err, io.EOF)):
			return l.session.lost(ctx, l.program, l.last, err)
		case err != nil:
			return l.end(ctx)
		case ready:
			return l.complete()
		}
		if l.bytes += len(line); l.bytes > inbox.Most {
			return driver.Garbled("", "the program wrote too much: more than %d bytes", inbox.Most)
		}
		if err := l.hear(line); err != nil {
			return err
		}
	}
}

// end takes in the end of a program that was run for one request.
func (l *listener) end(ctx context.Context) error {
	select {
	case <-l.program.Ended():
	case <-ctx.Done():
		return context.Cause(ctx)
	}
	for line := range strings.Lines(l.program.Errors()) {
		line = strings.TrimRight(line, "\r\n")
		if l.refuse(line) {
			break
		}
		l.flag(line)
	}
	if l.refused == nil && l.program.Failed() {
		return driver.Refused("the program %s", l.program.Ending())
	}
	return l.complete()
}

// quiet is for how long nothing may come after what looks like the end of a prompt: a line that has not come in whole
// can end like it by chance.
const quiet = 20 * time.Millisecond

// errMaybe is text that ends like the ready mark, and may go on.
var errMaybe = errors.New("may be the ready mark")

// line gives the next line, or says that the ready mark has come.
func (l *listener) line(ctx context.Context) (line string, ready bool, err error) {
	for {
		got, err := l.program.Out.Take(ctx, l.find)
		if errors.Is(err, errMaybe) {
			if l.program.Out.Quiet(ctx, quiet) {
				l.program.Out.Drain()
				return "", true, nil
			}
			if ctx.Err() != nil {
				return "", false, context.Cause(ctx)
			}
			continue
		}
		if err != nil && l.program.Out.Err() != nil {
			if rest := l.program.Out.Drain(); len(rest) > 0 { // the last line may have no end
				return plainLine(rest), false, nil
			}
		}
		text := plainLine(got)
		return text, err == nil && l.session.set.ready != "" && text == l.session.set.ready, err
	}
}

// find finds the end of a line, or of a ready mark that stands alone and has no end of line.
func (l *listener) find(held []byte) (int, error) {
	if end := bytes.IndexByte(held, '\n'); end >= 0 && end < mostLine {
		return end + 1, nil
	}
	if len(held) >= mostLine {
		return 0, driver.Garbled("", "the program wrote a line of more than %d bytes", mostLine)
	}
	mark := l.session.set.ready
	if mark == "" {
		return 0, nil
	}
	text := plainLine(held)
	switch {
	case text == mark:
		return len(held), nil
	case strings.HasSuffix(text, mark):
		return 0, errMaybe
	}
	return 0, nil
}

// plainLine is a line as a person sees it: without commands to a terminal, and of a line that was written over the last
// that stood there.
func plainLine(raw []byte) string {
	text := strings.TrimRight(plain.Uncoloured(string(raw)), " \t\r\n")
	return strings.TrimSpace(text[strings.LastIndexByte(text, '\r')+1:])
}

// hear takes in one line.
func (l *listener) hear(line string) error {
	if strings.TrimSpace(line) == "" {
		return nil
	}
	if l.spare { // a program that cannot begin says so
		l.refuse(line)
		return nil
	}
	if l.heard == nil {
		l.heard = make([]map[string]any, len(l.x.reply))
	}
	if l.refuse(line) {
		return nil
	}
	isFlag := l.flag(line)
	for i, p := range l.x.reply {
		values, is, err := p.match(line)
		switch {
		case !is:
			continue
		case err != nil:
			return driver.Garbled("", "%w", err)
		case l.heard[i] != nil:
			return driver.Garbled("make the pattern more exact, so that one line matches it", "the program wrote two lines that match %q; the second is %q", p.text, driver.Short(line))
		}
		l.heard[i] = values
		l.session.said = append(l.session.said, line)
		return nil
	}
	if isFlag {
		return nil
	}
	if l.x.spectrum != nil {
		values, is, err := l.x.spectrum.match(line)
		if err != nil {
			return driver.Garbled("", "%w", err)
		}
		if is {
			l.nm, l.values = append(l.nm, values["nm"].(float64)), append(l.values, values["value"].(float64))
			return nil
		}
	}
	l.last = line
	return nil
}

// flag takes in that a line says something against the reading, and says whether it does.
func (l *listener) flag(line string) (is bool) {
	for _, f := range l.x.flags {
		if _, matches, _ := f.line.match(line); !matches {
			continue
		}
		if is = true; !slices.Contains(l.flags, f.flag) {
			l.flags = append(l.flags, f.flag)
		}
	}
	return is
}

// refuse says whether a line is the program's own error.
func (l *listener) refuse(line string) bool {
	for _, p := range l.session.set.failures {
		values, is, err := p.match(line)
		if err != nil || !is {
			continue
		}
		message, _ := values["message"].(string)
		if message == "" {
			message = strings.TrimSpace(line)
		}
		l.refused = driver.Refused("%s", driver.Short(message))
		return true
	}
	return false
}

// enough says whether the reply of a program without a ready mark is complete.
func (l *listener) enough() bool {
	if l.refused != nil {
		return true
	}
	for i := range l.x.reply {
		if l.heard == nil || l.heard[i] == nil {
			return false
		}
	}
	return true
}

// rest looks at what came together with a reply that is complete.
func (l *listener) rest() error {
	stray := l.program.Out.Drain()
	for line := range strings.Lines(string(stray)) {
		l.flag(plainLine([]byte(line)))
	}
	if l.session.answers(l.x, stray) {
		return driver.Garbled("make the pattern more exact, or name the ready mark, so that one line is the reply", "the program wrote a second reply: %q", driver.Short(string(bytes.TrimSpace(stray))))
	}
	return l.complete()
}

// complete says what is missing.
func (l *listener) complete() error {
	if l.refused != nil {
		return l.refused
	}
	for i, p := range l.x.reply {
		if l.heard != nil && l.heard[i] != nil {
			continue
		}
		if l.last == "" {
			return driver.Garbled("", "the program wrote no line that matches %q", p.text)
		}
		return driver.Garbled("", "the program wrote no line that matches %q; its last line is %q", p.text, driver.Short(l.last))
	}
	return nil
}
