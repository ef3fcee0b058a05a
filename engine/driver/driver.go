package driver

import (
	"context"
	"errors"
	"slices"
	"strings"

	"candelua/engine/bench"
)

// Connecting makes what connects to the instrument that a section of the bench file describes. It
// judges the section's link and options, and touches nothing yet.
type Connecting func(k bench.Kind, s bench.Section) (Connect, error)

// Driver is a [bench.Driver] of instruments that are reached by sessions.
type Driver struct {
	name       string
	connecting Connecting
	trace      func(string)
	clock      bench.Clock
	lines      []*line
}

var (
	_ bench.Driver  = (*Driver)(nil)
	_ bench.Timed   = (*Driver)(nil)
	_ bench.Patient = (*Driver)(nil)
)

// Opener returns a function that opens the driver of a name. trace takes what is only for those
// who look for a fault; nil where nobody does.
func Opener(name string, connecting Connecting, trace func(string)) func() (bench.Driver, error) {
	if trace == nil {
		trace = func(string) {}
	}
	return func() (bench.Driver, error) {
		return &Driver{name: name, connecting: connecting, trace: trace, clock: bench.NewRealClock()}, nil
	}
}

// UseClock implements [bench.Timed].
func (d *Driver) UseClock(c bench.Clock) { d.clock = c }

// Patient implements [bench.Patient].
func (d *Driver) Patient() {}

// Open implements [bench.Driver]: it connects, asks the instrument once who it is, and makes the
// device.
func (d *Driver) Open(ctx context.Context, k bench.Kind, s bench.Section) (bench.Device, error) {
	if len(VerbsOf(k)) == 0 {
		return nil, bench.Errorf(bench.CodeWrongDevice, "use the driver for a meter, patches, a unit or a rig", "the driver %q cannot be the %s", d.name, k)
	}
	connect, err := d.connecting(k, s)
	if err != nil {
		return nil, err
	}
	l := &line{place: string(k), connect: connect, policy: policyOf(s), clock: func() bench.Clock { return d.clock }, trace: d.trace}
	d.lines = append(d.lines, l)
	if err := l.open(ctx); err != nil {
		return nil, err
	}
	if err := fits(k, l.card); err != nil {
		return nil, err
	}
	return d.device(k, s, l), nil
}

func policyOf(s bench.Section) Policy {
	p := Policy{Timeout: s.Timeout, Tries: 1 + DefaultRetries}
	if s.Retries != nil {
		p.Tries = 1 + *s.Retries
	}
	return p
}

// fits refuses an instrument that cannot do what its place asks for at the least.
func fits(k bench.Kind, c Card) error {
	least := VerbsOf(k)
	if k != bench.KindRig {
		least = least[:1]
	}
	if slices.ContainsFunc(least, c.Can) {
		return nil
	}
	var words []string
	for _, v := range least {
		words = append(words, string(v))
	}
	return bench.Errorf(bench.CodeWrongDevice, "use the driver for a kind of device that it supports",
		"%q cannot be the %s, because it can do none of: %s", c.Name, k, strings.Join(words, ", "))
}

func (d *Driver) device(k bench.Kind, s bench.Section, l *line) bench.Device {
	id := bench.Identity{Name: l.card.Name, Driver: d.name, Serial: l.card.Serial, Firmware: l.card.Firmware, Floor: l.card.Floor}
	switch k {
	case bench.KindPatches:
		return &patches{line: l, id: id, chain: s.Chain}
	case bench.KindUnit:
		return &unit{line: l, id: id}
	case bench.KindRig:
		return &rig{line: l, id: id}
	}
	m := &meter{line: l, id: id, judge: id}
	if m.judge.Accuracy = s.Accuracy; s.Floor > 0 {
		m.judge.Floor = s.Floor
	}
	return m
}

// Close implements [bench.Driver].
func (d *Driver) Close() error {
	var errs []error
	for _, l := range slices.Backward(d.lines) {
		errs = append(errs, l.close())
	}
	d.lines = nil
	return errors.Join(errs...)
}
