package command

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
	"strings"
	"time"

	"candelua/engine/bench"
	"candelua/engine/driver"
	"candelua/engine/driver/child"
	"candelua/engine/driver/inbox"
	"candelua/engine/fault"
	"candelua/engine/regular"
)

// Opener returns a function that opens the driver "command". keeper ends all programs when the process must
// end at once; trace takes what is only for those who look for a fault.
func Opener(keeper *child.Keeper, trace func(string)) func() (bench.Driver, error) {
	return driver.Opener("command", func(k bench.Kind, s bench.Section) (driver.Connect, error) {
		set, err := settingsOf(k, s)
		if err != nil {
			return nil, err
		}
		return (&connector{set, keeper}).connect, nil
	}, trace)
}

type connector struct {
	set    *settings
	keeper *child.Keeper
}

func (c *connector) connect(ctx context.Context) (driver.Session, driver.Card, error) {
	s := &session{set: c.set, keeper: c.keeper}
	card := driver.Card{Name: c.set.name, Shows: c.set.shows}
	for v, x := range c.set.verbs {
		card.Verbs = append(card.Verbs, v)
		card.Spectrum = card.Spectrum || x.spectrum != nil
	}
	if err := c.find(); err != nil {
		return nil, card, err
	}
	err := s.open(ctx)
	if err == nil {
		s.id, err = s.about(ctx)
	}
	if err != nil {
		s.Close()
		return nil, card, err
	}
	card.Name, card.Serial, card.Firmware = cmp.Or(s.id.Name, card.Name), s.id.Serial, s.id.Firmware
	return s, card, nil
}

// about asks who is there, where the bench file says how.
func (s *session) about(ctx context.Context) (id identity, err error) {
	if s.set.about != nil {
		err = s.exchange(ctx, s.set.about, &driver.Nothing{}, &id)
	}
	return id, err
}

// same makes sure that the instrument is still the one that was there at first, where a program is run for each request: no
// connection shows that it was exchanged.
func (s *session) same(ctx context.Context) error {
	if !s.failed || s.kept != nil {
		return nil
	}
	now, err := s.about(ctx)
	if err != nil {
		return err
	}
	if now.Name != s.id.Name || now.Serial != s.id.Serial {
		called := func(id identity) string { return strings.TrimSpace(cmp.Or(id.Name, s.set.name) + " " + id.Serial) }
		return &bench.GoneError{Device: string(s.set.kind), Err: fmt.Errorf("%s answers in the place of %s", called(now), called(s.id))}
	}
	s.failed = false
	return nil
}

// find makes sure that the programs are there which are run for a request, before any is.
func (c *connector) find() error {
	for _, v := range slices.Sorted(maps.Keys(c.set.verbs)) {
		if run := c.set.verbs[v].run; len(run) > 0 && len(run[0].places) == 0 {
			if err := child.Find(run[0].parts[0]); err != nil {
				return err
			}
		}
	}
	return nil
}

// session is a program that is kept open, or the right to run one for each request.
type session struct {
	set    *settings
	keeper *child.Keeper
	kept   *child.Program // nil where one is run for each request
	said   []string       // the lines of the last reply
	id     identity       // as it was when the session began
	failed bool           // the last request
}

var (
	_ driver.Session   = (*session)(nil)
	_ driver.Explainer = (*session)(nil)
)

// Explain implements [driver.Explainer]: what the program wrote.
func (s *session) Explain(_ driver.Verb, err error) error {
	return bench.Errorf(fault.CodeOf(err), fault.HintOf(err), "%w (the program wrote %q)", err, driver.Short(strings.Join(s.said, "\n")))
}

func (s *session) open(ctx context.Context) error {
	if s.set.run == nil {
		return nil
	}
	p, err := s.keeper.Start(child.Spec{Args: s.set.run, Dir: s.set.dir, Terminal: s.set.terminal})
	if err != nil {
		return err
	}
	s.kept = p
	if err := s.isReady(ctx); err != nil {
		return err
	}
	for _, line := range s.set.first {
		if err := p.Write(ctx, []byte(line+s.set.ends)); err != nil {
			return s.lost(ctx, p, "", err)
		}
		if err := s.isReady(ctx); err != nil {
			return err
		}
	}
	return nil
}

// isReady waits for the ready mark of the program, if it has one. What it reports against itself until then is an error.
func (s *session) isReady(ctx context.Context) error {
	if s.set.ready == "" {
		return nil
	}
	l := &listener{session: s, program: s.kept, spare: true}
	return l.listen(ctx)
}

// Do implements [driver.Session].
func (s *session) Do(ctx context.Context, v driver.Verb, ask, answer any) error {
	x := s.set.verbs[v]
	if x == nil {
		return bench.Errorf(bench.CodeUnsupported, "add the table ["+string(s.set.kind)+".options."+string(v)+"] to the bench file, if the program can do it",
			"the bench file does not say how the program is asked to: %s", v)
	}
	if r, ok := ask.(*driver.ReadOne); ok && !r.Spectrum {
		plain := *x
		plain.spectrum = nil
		x = &plain
	}
	err := s.same(ctx)
	if err == nil {
		err = s.exchange(ctx, x, ask, answer)
	}
	s.failed = err != nil
	return err
}

// Resync implements [driver.Session]. A program that is kept open may still be about to answer; it is started anew.
func (s *session) Resync(context.Context) error {
	if s.kept == nil {
		return nil
	}
	return driver.ErrNoResync
}

// lastWithin is how long a program may take to read its last line.
const lastWithin = 500 * time.Millisecond

// Close implements [driver.Session].
func (s *session) Close() error {
	if s.kept == nil {
		return nil
	}
	if s.set.last != "" {
		ctx, cancel := context.WithTimeout(context.Background(), lastWithin)
		_ = s.kept.Write(ctx, []byte(s.set.last+s.set.ends)) // it may have ended; then it need not be told
		cancel()
	}
	return s.kept.Close()
}

// exchange asks, and reads the reply.
func (s *session) exchange(ctx context.Context, x *exchange, ask, answer any) error {
	s.said = nil
	before := stateOf(x.file)
	p, err := s.ask(ctx, x, ask)
	if err != nil {
		return err
	}
	l := &listener{session: s, program: p, x: x}
	if x.file != "" {
		l.x = &exchange{}
	}
	err = l.listen(ctx)
	if p != s.kept {
		err = errors.Join(err, p.Close())
	}
	if err != nil {
		return withLastWords(err, p)
	}
	if x.file != "" {
		if l, err = s.fromFile(x, before); err != nil {
			return err
		}
	}
	return l.fill(answer)
}

// ask gives the program what it is to do.
func (s *session) ask(ctx context.Context, x *exchange, ask any) (*child.Program, error) {
	if s.kept != nil {
		line, err := x.send.fill(ask)
		if err != nil {
			return nil, err
		}
		if stray := s.kept.Out.Drain(); s.answers(x, stray) {
			return nil, driver.Lost("it wrote %q without being asked", driver.Short(string(bytes.TrimSpace(stray))))
		}
		if err := s.kept.Write(ctx, []byte(line+s.set.ends)); err != nil {
			return nil, s.lost(ctx, s.kept, "", err)
		}
		return s.kept, nil
	}
	var args []string
	for _, a := range x.run {
		text, err := a.fill(ask)
		if err != nil {
			return nil, err
		}
		args = append(args, text)
	}
	p, err := s.keeper.Start(child.Spec{Args: args, Dir: s.set.dir})
	if err != nil {
		return nil, driver.Lost("%w", err)
	}
	p.CloseInput()
	return p, nil
}

// answers says whether a text has a line that would be taken for a reply.
func (s *session) answers(x *exchange, text []byte) bool {
	for line := range strings.Lines(string(text)) {
		for _, p := range x.reply {
			if _, is, _ := p.match(strings.TrimRight(line, "\r\n")); is {
				return true
			}
		}
	}
	return false
}

// lost says why nothing more will come; where ctx is done, that is why. last is a line that it wrote and that was no reply.
func (s *session) lost(ctx context.Context, p *child.Program, last string, err error) error {
	switch {
	case ctx.Err() != nil:
		return withHeld(context.Cause(ctx), p)
	case fault.CodeOf(err) == bench.CodeGarbled:
		return err
	case errors.Is(err, inbox.ErrFlood):
		return driver.Garbled("", "the program wrote too much: %w", err)
	}
	how := p.Silence()
	if held := strings.TrimSpace(string(p.Out.Drain())); held != "" { // on a terminal its errors are there too
		how += fmt.Sprintf("; it wrote %q last", driver.Short(held))
	} else if last != "" && !strings.Contains(how, last) {
		how += fmt.Sprintf("; it wrote %q last", driver.Short(last))
	}
	return driver.Lost("the program %s", how)
}

// withHeld adds to a time-out what the program wrote and nobody could use.
func withHeld(err error, p *child.Program) error {
	if fault.CodeOf(err) != bench.CodeTimeout {
		return err
	}
	wrote := "it wrote nothing"
	if held := strings.TrimSpace(string(p.Out.Drain())); held != "" {
		wrote = fmt.Sprintf("it wrote %q until then", driver.Short(held))
	}
	return bench.Errorf(bench.CodeTimeout, "give it longer by timeout in the bench file, or compare ready and reply with what it writes", "%w; %s", err, wrote)
}

// withLastWords adds to a failure what the program said against itself.
func withLastWords(err error, p *child.Program) error {
	words := p.LastWords()
	if words == "" || strings.Contains(err.Error(), words) || errors.Is(err, driver.ErrLost) {
		return err
	}
	return bench.Errorf(fault.CodeOf(err), fault.HintOf(err), "%w; the program's last words: %s", err, driver.Short(words))
}

// state is a file as it was, so that one shows that was not written anew.
type state struct {
	size    int64
	changed time.Time
}

func stateOf(file string) (s state) {
	if file == "" {
		return s
	}
	if info, err := os.Stat(file); err == nil {
		s = state{info.Size(), info.ModTime()}
	}
	return s
}

// mostFile is how long a file may be that a program writes for one reply.
const mostFile = inbox.Most

// fromFile reads the reply in a file that the program wrote.
func (s *session) fromFile(x *exchange, before state) (*listener, error) {
	now := stateOf(x.file)
	if now == before || now == (state{}) {
		return nil, driver.Garbled("check the name of the file, and that the program writes it each time", "the program did not write %s", x.file)
	}
	if now.size > mostFile {
		return nil, driver.Garbled("", "the file %s has %d bytes; it must have at most %d", x.file, now.size, mostFile)
	}
	text, err := regular.Read(x.file)
	if err != nil {
		return nil, driver.Garbled("", "the program's file cannot be read: %w", err)
	}
	l := &listener{session: s, x: x}
	for line := range strings.Lines(string(text)) {
		if err := l.hear(strings.TrimRight(line, "\r\n")); err != nil {
			return nil, err
		}
	}
	return l, l.complete()
}

// fill puts what was heard into the answer.
func (l *listener) fill(answer any) error {
	values := map[string]any{}
	for _, heard := range l.heard {
		for name, v := range heard {
			values[name] = v
		}
	}
	if len(l.flags) > 0 {
		values["flags"] = l.flags
	}
	if l.x.spectrum != nil {
		spectrum, err := evenly(l.nm, l.values)
		if err != nil {
			return err
		}
		values["spectrum"] = spectrum
	}
	text, err := json.Marshal(values)
	if err != nil {
		return err
	}
	return json.Unmarshal(text, answer)
}

// evenly makes a spectrum of wavelengths and values, which must be evenly spaced.
func evenly(nm, values []float64) (driver.Spectral, error) {
	s := driver.Spectral{Values: values}
	if len(nm) < 2 {
		return s, driver.Garbled("check the pattern of the spectrum's lines", "the spectrum has %d lines; it must have at least two", len(nm))
	}
	s.From, s.Step = nm[0], (nm[len(nm)-1]-nm[0])/float64(len(nm)-1)
	for i, x := range nm {
		if !(s.Step > 0) || math.Abs(x-s.From-float64(i)*s.Step) > 0.01*s.Step {
			return s, driver.Garbled("", "the spectrum's wavelength %d is %g nm; they must rise evenly", i+1, x)
		}
	}
	return s, nil
}
