package operator

import (
	"context"
	"time"

	"candelua/engine/bench"
)

// Options say how the person is asked.
type Options struct {
	// AssumeYes answers confirmations, and takes settings of the unit and
	// the rig for done, without asking; each answer then says assumed. What
	// only a person can know is still asked: numbers, choices, texts, when a
	// patch is lit, and readings.
	AssumeYes bool
	// Asking, where it is not nil, is told the question that is open, and "" when it is answered or given up.
	Asking func(question string)
}

// New returns a function that opens the driver. All drivers that it opens share
// the console.
func New(c Console, opt Options) func() (bench.Driver, error) {
	return func() (bench.Driver, error) {
		d := &desk{console: c, opt: opt, clock: bench.NewRealClock()}
		if c, ok := c.(*console); ok {
			c.listen()
		}
		return &driver{desk: d}, nil
	}
}

type driver struct{ desk *desk }

var (
	_ bench.Driver   = (*driver)(nil)
	_ bench.Timed    = (*driver)(nil)
	_ bench.Repeater = (*driver)(nil)
	_ bench.Noter    = (*driver)(nil)
)

// NoteTo takes where a reading is put on record that is typed at another prompt.
func (d *driver) NoteTo(note func(text string) error) { d.desk.note = note }

// UseClock takes the bench's clock.
func (d *driver) UseClock(c bench.Clock) { d.desk.clock = c }

// Open makes the device of any kind. The person needs no link and takes no
// options: either is an error of code "unsupported".
func (d *driver) Open(_ context.Context, k bench.Kind, s bench.Section) (bench.Device, error) {
	if s.Link != "" || len(s.Options) > 0 {
		return nil, bench.Errorf(bench.CodeUnsupported, "leave out link and options",
			"a person has no link and no options")
	}
	id := bench.Identity{Name: "by hand", Driver: bench.OperatorDriver, ByHand: true}
	switch k {
	case bench.KindMeter, bench.KindReference:
		id.Name, id.Floor, id.Accuracy = "read by hand", s.Floor, s.Accuracy
		return &meter{desk: d.desk, id: id, reference: k == bench.KindReference}, nil
	case bench.KindPatches:
		id.Name = "patches by hand"
		return &patches{desk: d.desk, id: id}, nil
	case bench.KindUnit:
		id.Name = "unit by hand"
		return &unit{desk: d.desk, id: id}, nil
	case bench.KindRig:
		id.Name = "rig by hand"
		return &rig{desk: d.desk, id: id}, nil
	case bench.KindOperator:
		id.Name = "operator"
		return &person{desk: d.desk, id: id}, nil
	}
	return nil, bench.Errorf(bench.CodeUnsupported, "", "a person cannot be a %q", k)
}

// Again implements [bench.Repeater]: the readings that were typed ahead go with the
// steps that they were typed for.
func (d *driver) Again() { d.desk.kept = nil }

// Close drops the readings that were kept and not used: the prompts at which
// they were typed are asked again.
func (d *driver) Close() error {
	d.desk.kept = nil
	return nil
}

// keptReading is a reading that was typed at another prompt.
type keptReading struct {
	reading
	came time.Duration // bench time
}

// desk is what the devices of one bench share.
type desk struct {
	console Console
	opt     Options
	clock   bench.Clock
	kept    []keptReading           // oldest first
	note    func(text string) error // puts one of them on record; nil where nobody does
	rested  bool                    // the person was told how to rest the meter on the screen
	lit     time.Duration           // when the last patch is lit, as far as is known
	// noReadings says that what is asked is never a reading, nor takes one.
	noReadings bool
}
