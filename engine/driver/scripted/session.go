package scripted

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"time"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/driver"
	"candelua/engine/driver/link"
	"candelua/engine/fault"
	"candelua/engine/sandbox"
	"candelua/engine/script"
)

// session is one execution of a driver file over one link.
type session struct {
	p     *Program
	m     *sandbox.Machine
	d     *declaration
	link  *link.Link
	own   lua.LValue   // the link as the driver is given it
	trace func(string) // nil where nobody looks

	stricts map[string]*lua.LTable // see strict

	ctx     context.Context // of the request that is under way
	heard   bool            // what comes before the next write is dropped: something was read, or nothing was sent yet
	traffic traffic
	over    bool          // the machine was stopped, and will do no more
	anew    bool          // the link takes late answers with it when it is closed
	late    time.Duration // for how long an answer was waited for that did not come in time
}

var (
	_ driver.Session   = (*session)(nil)
	_ driver.Explainer = (*session)(nil)
)

// newSession makes the machine. trace may be nil.
func newSession(ctx context.Context, p *Program, l *link.Link, trace func(string)) *session {
	s := &session{p: p, link: l, trace: trace, stricts: map[string]*lua.LTable{}}
	s.m = sandbox.New(context.WithoutCancel(ctx), limits(), func(text string) { s.say("says: %s", text) }, rand.Uint64())
	s.globals()
	s.own = s.linkObject()
	return s
}

// call calls a function of the driver.
func (s *session) call(ctx context.Context, fn *lua.LFunction, args ...lua.LValue) (lua.LValue, error) {
	s.ctx, s.heard = ctx, true
	s.m.Refill()
	out, err := s.m.Call(fn, 1, args...)
	if err != nil {
		s.over = s.m.Context().Err() != nil
		return nil, s.coded(err)
	}
	return out[0], nil
}

// coded gives an error of the driver the code by which the line around it decides what to do. What the driver
// itself raises, and its mistakes, are taken for answers that it did not understand: most are.
func (s *session) coded(err error) error {
	switch {
	case errors.Is(err, sandbox.ErrHeap):
		return driver.Lost("%w", err)
	case errors.Is(err, sandbox.ErrBudget):
		return bench.Errorf(fault.CodeOf(err), "look for a loop that never ends; waiting for the instrument resets the limit", "%w", err)
	case s.over, errors.Is(err, driver.ErrLost), fault.CodeOf(err) != "error" && fault.CodeOf(err) != "argument":
		return err
	}
	return driver.Garbled(fault.HintOf(err), "%w", err)
}

// exchange is one request: what f does, with its traffic kept where it fails.
func (s *session) exchange(name string, f func() error) error {
	s.traffic.begin()
	began := time.Now()
	err := f()
	if s.late = 0; fault.CodeOf(err) == bench.CodeTimeout {
		s.late = time.Since(began)
	}
	if err != nil {
		s.drop()
		err = &failed{err, s.traffic.last(), s.traffic.String()}
		s.say("%s failed: %v; %v", name, err, &s.traffic)
		return err
	}
	s.say("%s: %v", name, &s.traffic)
	return nil
}

// say tells those who look for a fault.
func (s *session) say(format string, args ...any) {
	if s.trace != nil {
		s.trace(s.p.file + ": " + fmt.Sprintf(format, args...))
	}
}

// Do implements [driver.Session].
func (s *session) Do(ctx context.Context, v driver.Verb, ask, answer any) error {
	fn := s.d.function(v)
	if fn == nil {
		return bench.Errorf(bench.CodeUnsupported, "give the driver the function "+string(v)+", if the instrument can do it", "%s has no function %s", s.p.file, v)
	}
	return s.exchange(string(v), func() error {
		got, err := s.call(ctx, fn, s.own, s.asked(v, ask))
		if err != nil {
			return err
		}
		return s.answered(string(v), got, answer)
	})
}

// Explain implements [driver.Explainer]: the place of the function that gave the answer, and what went over the link.
func (s *session) Explain(v driver.Verb, err error) error {
	placed := &sandbox.Error{File: s.p.file, Line: s.p.lines.Of(string(v)), Message: string(v) + ": " + err.Error(), Err: err}
	return &failed{bench.Errorf(fault.CodeOf(err), fault.HintOf(err), "%w", placed), s.traffic.last(), s.traffic.String()}
}

// asked is a request as the driver is given it.
func (s *session) asked(v driver.Verb, ask any) lua.LValue {
	return s.strict(s.toLua(reflect.ValueOf(ask)).(*lua.LTable), "ask of "+string(v))
}

// answered decodes what a function of the driver returned into answer, a pointer.
func (s *session) answered(name string, got lua.LValue, answer any) error {
	into := reflect.ValueOf(answer).Elem()
	plan := declare.For(into.Type())
	if got == lua.LNil && !needed(into.Type()) {
		return nil
	}
	err := s.decode(plan, got, into)
	if err == nil {
		return nil
	}
	return driver.Garbled(fault.HintOf(err), "%w", &sandbox.Error{File: s.p.file, Line: s.p.lines.Of(name), Message: name + ": " + err.Error(), Err: err})
}

func (s *session) decode(plan *declare.Plan, got lua.LValue, into reflect.Value) error {
	if _, ok := got.(*lua.LTable); !ok {
		return &fault.ArgError{Arg: "what it returned", Got: declare.Describe(got), Want: "a table"}
	}
	in := s.intake()
	v, err := plan.Decode(&in, []lua.LValue{got})
	var wrong *fault.ArgError
	if errors.As(err, &wrong) && slices.Contains([]string{"nan", "inf", "-inf"}, wrong.Got) {
		wrong.Want = strings.Replace(wrong.Want, "a number", "a finite number", 1)
	}
	if err == nil {
		into.Set(v)
	}
	return err
}

// needed says whether an answer must say something.
func needed(answer reflect.Type) bool {
	return slices.Contains([]reflect.Type{reflect.TypeFor[driver.One](), reflect.TypeFor[driver.Illuminance](), reflect.TypeFor[card]()}, answer)
}

// lateAnswer is for how long an answer that did not come in time is waited for at the most before the instrument is brought back in step, three times as long as
// before (common practice, no source). One that answers in order needs no such time; one that goes on measuring meanwhile gives its reading after any other answer.
const lateAnswer = 3 * time.Second

// Resync implements [driver.Session]. A link that takes late answers with it is opened anew: an instrument that answers a question while it
// still measures would be asked in vain, because its reading comes after that answer.
func (s *session) Resync(ctx context.Context) error {
	if s.d.Resync == nil || s.over || s.anew {
		return driver.ErrNoResync
	}
	if s.late > 0 {
		s.link.Await(ctx, min(3*s.late, lateAnswer))
	}
	return s.exchange("resync", func() error {
		_, err := s.call(ctx, s.d.Resync.Fn, s.own)
		return err
	})
}

// closing is how long the function close may take.
const closing = time.Second

// Close implements [driver.Session].
func (s *session) Close() error {
	if s.d != nil && s.d.Close != nil && !s.over {
		ctx, cancel := context.WithTimeoutCause(context.Background(), closing, driver.TimedOut("the end of close", closing.Seconds()))
		_ = s.exchange("close", func() error { // nothing is asked of the instrument any more
			_, err := s.call(ctx, s.d.Close.Fn, s.own)
			return err
		})
		cancel()
	}
	s.m.Close()
	return s.link.Close()
}

// card is what about returns.
type card struct {
	Name     string   `lua:"name" most:"200" help:"the instrument's name, without its serial number"`
	Serial   *string  `lua:"serial" help:"serial number: another one, when the link is opened again, is another instrument"`
	Firmware *string  `lua:"firmware" help:"version of its own software"`
	Spectrum bool     `lua:"spectrum" default:"false" help:"true: its readings have a spectrum when one is asked for"`
	Sync     bool     `lua:"sync" default:"false" help:"true: it fits its integration to whole refresh periods when this is asked for"`
	Floor    float64  `lua:"floor" default:"0" min:"0" max:"1000" unit:"cd/m2" help:"luminance below which its readings mean nothing"`
	Lamps    []string `lua:"lamps" optional:"true" help:"of a rig: the names of its lamps"`
	Shows    []string `lua:"shows" optional:"true" one_of:"checkerboard|ramp|steps|ladder|hlg|display-p3" help:"of patches: what it shows besides windows in SDR and PQ; it is asked for nothing else"`
}

// begin opens the instrument: what the driver does first, then a question to be in step, then who is there.
func (s *session) begin(ctx context.Context, settings script.Params) (driver.Card, error) {
	var c card
	err := s.exchange("open", func() error {
		if s.d.Open != nil {
			if _, err := s.call(ctx, s.d.Open.Fn, s.own, s.settings(settings)); err != nil {
				return err
			}
		}
		if s.d.Resync != nil {
			if _, err := s.call(ctx, s.d.Resync.Fn, s.own); err != nil {
				return err
			}
		}
		got, err := s.call(ctx, s.d.About.Fn, s.own)
		if err != nil {
			return err
		}
		if err = s.answered("about", got, &c); err == nil && strings.TrimSpace(c.Name) == "" {
			err = driver.Garbled("", "%s:%d: about: name is empty; it must be the instrument's name", s.p.file, s.p.lines.Of("about"))
		}
		return err
	})
	out := driver.Card{Name: c.Name, Verbs: s.d.verbs(), Spectrum: c.Spectrum, Sync: c.Sync, Floor: c.Floor, Lamps: c.Lamps, Shows: c.Shows}
	if c.Serial != nil {
		out.Serial = *c.Serial
	}
	if c.Firmware != nil {
		out.Firmware = *c.Firmware
	}
	return out, err
}

func (s *session) settings(all script.Params) lua.LValue {
	t := s.m.L.NewTable()
	for name, value := range all {
		t.RawSetString(name, s.toLua(reflect.ValueOf(value)))
	}
	return s.strict(t, "settings")
}
