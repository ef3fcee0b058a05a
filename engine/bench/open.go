package bench

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"candelua/engine/fault"
)

// Driver makes devices. One driver is made for each name and opened bench, so
// that the devices of a simulated world share it.
type Driver interface {
	// Open makes the device that fills a place. What it returns must have the
	// kind's interface ([Meter] for "meter" and "reference", and so on).
	Open(ctx context.Context, kind Kind, s Section) (Device, error)
	// Close lets go of all devices that the driver made.
	Close() error
}

// Clocked is a driver that brings its own time: a simulation. Its clock is
// asked for once its devices are open; nil means that it brings none.
type Clocked interface {
	Clock() Clock
}

// Timed is a driver that stamps its answers with bench time. It is told the
// bench's clock before its first device is opened. A driver that is [Clocked]
// too is not told.
type Timed interface {
	UseClock(Clock)
}

// Repeater is a driver that is told when a script is executed again from its start,
// because steps were set aside: what was meant for these steps, such as a reading
// that was typed ahead, goes with them.
type Repeater interface{ Again() }

// Noter is a driver that may learn something before the step that it belongs to, such as
// a reading that a person types where Enter was asked for. It hands this over at once, so
// that it is on record whatever becomes of the run.
type Noter interface {
	// NoteTo says where to. An error ends what the driver is doing.
	NoteTo(note func(text string) error)
}

// Openers are the drivers that can be had, by name. The command line builds the
// value and hands it over.
type Openers map[string]func() (Driver, error)

// Bench is the instruments connected now. A place that the file leaves empty is
// nil.
type Bench struct {
	Name string
	// Simulated says that at least one device is: what is read on this bench
	// is not a measurement.
	Simulated bool
	// Real says that at least one device is not, so that there are hazards.
	Real     bool
	Meters   map[string]Meter // by name: "meter", "reference"
	Patches  Patches
	Unit     Unit
	Rig      Rig
	Operator Operator
	Clock    Clock
	file     *File // as the bench was described

	devices map[Kind]Device
	drivers []Driver // in the order that they were made
	close   func() error
}

// Open makes the drivers that f names and opens their devices. What a meter's
// section states of its accuracy and floor goes before what the device says,
// figure by figure.
//
// It fails with an [Error] of code "unknown-driver" or "wrong-device" that names
// the line, with the driver's own error under the place's name, or with ctx's
// cause; what was opened until then is closed.
func Open(ctx context.Context, f *File, openers Openers) (*Bench, error) {
	b := &Bench{Name: f.name, file: f, Meters: map[string]Meter{}, devices: map[Kind]Device{}}
	b.close = sync.OnceValue(b.closeDrivers)
	if err := b.open(ctx, openers); err != nil {
		return nil, errors.Join(err, b.Close())
	}
	return b, nil
}

func (b *Bench) open(ctx context.Context, openers Openers) error {
	made, err := b.makeDrivers(openers)
	if err != nil {
		return err
	}
	if err := b.refuseUnapplied(made); err != nil {
		return err
	}
	for _, d := range b.drivers {
		if a, ok := d.(Acquainted); ok && b.file.described != nil {
			a.UseUnit(b.file.described)
		}
	}
	if err := b.openDevices(ctx, made, isClocked); err != nil {
		return err
	}
	if err := b.chooseClock(made); err != nil {
		return err
	}
	for _, d := range b.drivers {
		if t, ok := d.(Timed); ok && !isClocked(d) {
			t.UseClock(b.Clock)
		}
	}
	if err := b.openDevices(ctx, made, func(d Driver) bool { return !isClocked(d) }); err != nil {
		return err
	}
	return b.refuseMixedTime()
}

// refuseMixedTime refuses a real meter beside a simulated clock: that one passes an hour while
// the meter takes one reading.
func (b *Bench) refuseMixedTime() error {
	if _, simulated := b.Clock.(Skipper); !simulated {
		return nil
	}
	for _, k := range []Kind{KindMeter, KindReference} {
		if d := b.devices[k]; d != nil && !d.About().Simulated && !d.About().ByHand {
			return Errorf(CodeWrongDevice, "take the simulated devices off the bench, or simulate the meter too",
				"%s: the %s is real, and other devices of the bench are simulated; simulated time passes much quicker than a real meter reads", b.file.Section(k).Where(), k)
		}
	}
	return nil
}

// Patient is a driver that applies the timeout and the retries of a bench file.
type Patient interface{ Patient() }

// refuseUnapplied refuses what a bench file may state and its driver does not apply,
// since a limit that is ignored is worse than none. A section's correction is the
// engine's: it is applied to what is made of the readings, not to them.
func (b *Bench) refuseUnapplied(made map[string]Driver) error {
	for _, k := range b.file.Kinds() {
		s := b.file.Section(k)
		if _, applies := made[s.Driver].(Patient); applies {
			continue
		}
		for _, key := range []struct {
			name  string
			given bool
		}{{"timeout", s.Timeout != 0}, {"retries", s.Retries != nil}} {
			if key.given {
				return Errorf(CodeUnsupported, "leave it out", "%s: %s.%s has no effect with the driver %q", where(s.file, s.Line), k, key.name, s.Driver)
			}
		}
	}
	return nil
}

func isClocked(d Driver) bool {
	_, ok := d.(Clocked)
	return ok
}

// makeDrivers makes one driver for each name in the file.
func (b *Bench) makeDrivers(openers Openers) (map[string]Driver, error) {
	made := map[string]Driver{}
	for _, k := range b.file.Kinds() {
		s := b.file.Section(k)
		if made[s.Driver] != nil {
			continue
		}
		open, ok := openers[s.Driver]
		if !ok {
			return nil, unknownDriver(k, s, slices.Sorted(maps.Keys(openers)))
		}
		d, err := open()
		if err != nil {
			return nil, fmt.Errorf("%s: %s: driver %q: %w", where(s.file, s.driverLine), k, s.Driver, err)
		}
		made[s.Driver] = d
		b.drivers = append(b.drivers, d)
	}
	return made, nil
}

// Known is an error if the file names a driver that is not among the known ones, as opening the bench says it. Nothing is opened.
func (f *File) Known(known []string) error {
	for _, k := range f.Kinds() {
		if s := f.Section(k); !slices.Contains(known, s.Driver) {
			return unknownDriver(k, s, known)
		}
	}
	return nil
}

func unknownDriver(k Kind, s *Section, known []string) error {
	return Errorf(CodeUnknownDriver, didYouMean(s.Driver, known),
		"%s: %s.driver is %q; it must be one of %s", where(s.file, s.driverLine), k, s.Driver, list(known))
}

// openDevices opens the devices of those drivers that pick takes.
func (b *Bench) openDevices(ctx context.Context, made map[string]Driver, pick func(Driver) bool) error {
	for _, k := range b.file.Kinds() {
		s := b.file.Section(k)
		d := made[s.Driver]
		if !pick(d) {
			continue
		}
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		device, err := d.Open(ctx, k, *s)
		if fault.CodeOf(err) == CodeBadFile && strings.HasPrefix(err.Error(), s.file+":") { // it names its line
			return err
		}
		if err != nil {
			return fmt.Errorf("%s: %s: driver %q: %w", where(s.file, s.Line), k, s.Driver, err)
		}
		if !b.put(k, device) {
			return Errorf(CodeWrongDevice, "use the driver for a kind of device that it supports",
				"%s: %s: driver %q opened a device that is not a %s", where(s.file, s.driverLine), k, s.Driver, noun(k))
		}
	}
	return nil
}

// put keeps a device in its place; false where it does not fit.
func (b *Bench) put(k Kind, d Device) (ok bool) {
	switch k {
	case KindMeter, KindReference:
		var m Meter
		if m, ok = d.(Meter); ok {
			b.Meters[string(k)] = m
		}
	case KindPatches:
		b.Patches, ok = d.(Patches)
	case KindUnit:
		b.Unit, ok = d.(Unit)
	case KindRig:
		b.Rig, ok = d.(Rig)
	case KindOperator:
		b.Operator, ok = d.(Operator)
	}
	if ok {
		b.devices[k] = d
		b.Simulated, b.Real = b.Simulated || d.About().Simulated, b.Real || !d.About().Simulated
	}
	return ok
}

func noun(k Kind) string {
	switch k {
	case KindReference:
		return "meter"
	case KindPatches:
		return "source of patches"
	}
	return string(k)
}

// chooseClock takes the clock that a driver brings, else a real one.
func (b *Bench) chooseClock(made map[string]Driver) error {
	from := ""
	for _, name := range slices.Sorted(maps.Keys(made)) {
		c, ok := made[name].(Clocked)
		if !ok {
			continue
		}
		clock := c.Clock()
		if clock == nil {
			continue
		}
		if from != "" {
			return Errorf(CodeWrongDevice, "use only one of the two drivers on a bench",
				"%s: drivers %q and %q each have a clock of their own", where(b.file.Path, 0), from, name)
		}
		from, b.Clock = name, clock
	}
	if b.Clock == nil {
		b.Clock = NewRealClock()
	}
	return nil
}

// Watched gives the devices that notice by themselves that they are gone, by
// their places.
func (b *Bench) Watched() map[string]<-chan error {
	all := map[string]<-chan error{}
	for kind, d := range b.devices {
		if w, ok := As[Watched](d); ok {
			all[string(kind)] = w.Gone()
		}
	}
	return all
}

// NoteTo tells the drivers where to hand over what they learn before its step.
func (b *Bench) NoteTo(note func(text string) error) {
	for _, d := range b.drivers {
		if n, ok := d.(Noter); ok {
			n.NoteTo(note)
		}
	}
}

// Device is what fills a place, nil where it is empty.
func (b *Bench) Device(place string) Device { return b.devices[Kind(place)] }

// Again tells the drivers that the script is executed again from its start.
func (b *Bench) Again() {
	for _, d := range b.drivers {
		if r, ok := d.(Repeater); ok {
			r.Again()
		}
	}
}

// Relives says whether a device lives through kept steps. Such a bench must be
// opened anew before a script is executed again.
func (b *Bench) Relives() bool {
	for _, d := range b.devices {
		if _, ok := d.(Reliver); ok {
			return true
		}
	}
	return false
}

// Close closes the drivers, last made first. A second call returns what the
// first did.
func (b *Bench) Close() error { return b.close() }

func (b *Bench) closeDrivers() error {
	var errs []error
	for _, d := range slices.Backward(b.drivers) {
		errs = append(errs, d.Close())
	}
	return errors.Join(errs...)
}

// Named is a device's place on the bench and what is known of the device.
type Named struct {
	Name     string   `json:"name"`
	Identity Identity `json:"identity"`
}

// Identities are devices by their places.
func Identities(devices []Named) map[string]Identity {
	m := map[string]Identity{}
	for _, d := range devices {
		m[d.Name] = d.Identity
	}
	return m
}

// Devices returns what is on the bench, sorted by place.
func (b *Bench) Devices() []Named {
	var all []Named
	for _, k := range slices.Sorted(maps.Keys(b.devices)) {
		id, _ := b.About(string(k))
		all = append(all, Named{Name: string(k), Identity: id})
	}
	return all
}

// About returns what is known of the device in a place: what it says of itself
// and, for a meter and a light meter, the file's accuracy and floor before it, figure by figure.
// It is false where the place is empty.
func (b *Bench) About(name string) (Identity, bool) {
	d, ok := b.devices[Kind(name)]
	if !ok {
		return Identity{}, false
	}
	id, s := d.About(), b.file.Section(Kind(name))
	state(&id.Floor, s.Floor)
	state(&id.Delay, s.Delay.Seconds())
	own, file := &id.Accuracy, &s.Accuracy
	for _, f := range []struct {
		own  *float64
		file float64
	}{
		{&own.Scale, file.Scale}, {&own.XY, file.XY}, {&own.Dark, file.Dark}, {&own.Drift, file.Drift}, {&own.Repeatability, file.Repeatability}, {&own.Zero, file.Zero},
		{&own.Wavelength, file.Wavelength}, {&own.Response, file.Response}, {&own.Sample, file.Sample}, {&own.SampleDark, file.SampleDark},
		{&id.Lux.Scale, s.Lux.Scale}, {&id.Lux.Zero, s.Lux.Zero}, {&id.Lux.Repeatability, s.Lux.Repeatability},
	} {
		state(f.own, f.file)
	}
	if file.Noise != nil {
		own.Noise = file.Noise
	}
	for _, f := range []struct {
		own  *string
		file string
	}{{&own.Certificate, file.Certificate}, {&own.Date, file.Date}, {&id.Lux.Certificate, s.Lux.Certificate}, {&id.Lux.Date, s.Lux.Date}} {
		state(f.own, f.file)
	}
	return id, true
}

// state puts what the file says before what the device says of itself; 0 and "" state
// nothing.
func state[T comparable](own *T, stated T) {
	if stated != *new(T) {
		*own = stated
	}
}
