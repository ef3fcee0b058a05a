package bench

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// fake is a driver that keeps what happens to it in a list of its bench's.
type fake struct {
	name    string
	log     *[]string
	id      Identity
	openErr error
	badKind Kind
	closing error
	clock   Clock
}

func (f *fake) note(words ...string) { *f.log = append(*f.log, f.name+" "+strings.Join(words, " ")) }

func (f *fake) Open(_ context.Context, k Kind, s Section) (Device, error) {
	f.note("open", string(k))
	if f.openErr != nil {
		return nil, f.openErr
	}
	if k == f.badKind {
		return fakeDevice{f.id}, nil
	}
	switch k {
	case KindMeter, KindReference:
		return fakeMeter{fakeDevice{f.id}}, nil
	case KindPatches:
		return fakePatches{fakeDevice{f.id}}, nil
	case KindUnit:
		return fakeUnit{fakeDevice{f.id}}, nil
	case KindRig:
		return fakeRig{fakeDevice{f.id}}, nil
	}
	return fakeOperator{fakeDevice{f.id}}, nil
}

func (f *fake) Close() error {
	f.note("close")
	return f.closing
}

func (f *fake) UseClock(c Clock) { f.clock = c; f.note("clock") }

// fakeWorld brings its own time.
type fakeWorld struct{ fake }

func (w *fakeWorld) Clock() Clock { return w.clock }

type (
	fakeDevice   struct{ id Identity }
	fakeMeter    struct{ fakeDevice }
	fakePatches  struct{ fakeDevice }
	fakeUnit     struct{ fakeDevice }
	fakeRig      struct{ fakeDevice }
	fakeOperator struct{ fakeDevice }
)

func (d fakeDevice) About() Identity                                                  { return d.id }
func (fakeMeter) Read(context.Context, ReadRequest, func(Sample) error) error         { return nil }
func (fakePatches) Show(context.Context, Patch) (Shown, error)                        { return Shown{}, nil }
func (fakeUnit) Set(context.Context, []Setting) (SetAnswer, error)                    { return SetAnswer{}, nil }
func (fakeRig) Set(ctx context.Context, l string, v float64) (a SetAnswer, err error) { return a, nil }
func (fakeOperator) Ask(context.Context, Question) (Reply, error)                     { return Reply{}, nil }

// opener returns what makes the driver, and notes that it did.
func opener(d Driver, f *fake) func() (Driver, error) {
	return func() (Driver, error) {
		f.note("make")
		return d, nil
	}
}

// mixed has a clocked driver, "world", in the second place.
const mixed = `[meter]
driver = "line"
floor = 0.01
accuracy = { scale = 2 }
[patches]
driver = "world"
[unit]
driver = "world"
[operator]
driver = "line"
`

func parse(t *testing.T, src string) *File {
	t.Helper()
	f, err := ParseFile("b.toml", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestOpen(t *testing.T) {
	var log []string
	own := Identity{Name: "L1", Driver: "line", Floor: 0.1, Accuracy: Accuracy{Scale: 1, XY: 0.002}}
	line := &fake{name: "line", log: &log, id: own}
	world := &fakeWorld{fake{name: "world", log: &log, id: Identity{Name: "W", Simulated: true}, clock: NewRealClock()}}
	f := parse(t, mixed)
	b, err := Open(t.Context(), f, Openers{"line": opener(line, line), "world": opener(world, &world.fake)})
	if err != nil {
		t.Fatal(err)
	}
	if b.Name != "b" || b.file != f || !b.Simulated || b.Rig != nil || b.Unit == nil || b.Patches == nil || b.Operator == nil || len(b.Meters) != 1 || b.Meters["meter"] == nil {
		t.Errorf("bench is %+v", b)
	}
	if b.Clock != world.clock || line.clock != world.clock {
		t.Error("the bench does not run on the clock that a driver brought")
	}
	stated := own
	stated.Floor, stated.Accuracy.Scale = 0.01, 2
	want := []Named{{"meter", stated}, {"operator", own}, {"patches", world.id}, {"unit", world.id}}
	if d := cmp.Diff(want, b.Devices()); d != "" {
		t.Errorf("devices differ (-want +got):\n%s", d)
	}
	if id, ok := b.About("rig"); ok {
		t.Errorf("an empty place holds %+v", id)
	}
	for range 2 {
		if err := b.Close(); err != nil {
			t.Error(err)
		}
	}
	order := []string{
		"line make", "world make", "world open patches", "world open unit", "line clock",
		"line open meter", "line open operator", "world close", "line close",
	}
	if d := cmp.Diff(order, log); d != "" {
		t.Errorf("order differs (-want +got):\n%s", d)
	}
}

func TestOpenRealTime(t *testing.T) {
	var log []string
	line := &fake{name: "line", log: &log}
	world := &fakeWorld{fake{name: "world", log: &log}} // brings no clock after all
	b, err := Open(t.Context(), parse(t, mixed), Openers{"line": opener(line, line), "world": opener(world, &world.fake)})
	if err != nil {
		t.Fatal(err)
	}
	if b.Simulated || b.Clock == nil || line.clock != b.Clock {
		t.Errorf("bench is simulated %v, with clock %v and the driver's %v", b.Simulated, b.Clock, line.clock)
	}
	if err := b.Clock.WaitUntil(t.Context(), time.Microsecond); err != nil {
		t.Error(err)
	}
}

func TestOpenFails(t *testing.T) {
	broken := errors.New("no such port")
	for _, tt := range []struct {
		name    string
		spoil   func(line *fake, world *fakeWorld, o Openers)
		code    string
		message string
		hint    string
		closed  []string
	}{
		{"unknown driver", func(_ *fake, _ *fakeWorld, o Openers) { o["word"] = o["world"]; delete(o, "world") }, CodeUnknownDriver,
			`b.toml:6: patches.driver is "world"; it must be one of line, word`, `did you mean "word"?`, []string{"line close"}},
		{"device that does not fit", func(l *fake, _ *fakeWorld, _ Openers) { l.badKind = KindMeter }, CodeWrongDevice,
			`b.toml:2: meter: driver "line" opened a device that is not a meter`, "use the driver for a kind of device that it supports",
			[]string{"world close", "line close"}},
		{"source that does not fit", func(_ *fake, w *fakeWorld, _ Openers) { w.badKind = KindPatches }, CodeWrongDevice,
			`b.toml:6: patches: driver "world" opened a device that is not a source of patches`, "use the driver for a kind of device that it supports",
			[]string{"world close", "line close"}},
		{"driver that cannot be made", func(_ *fake, _ *fakeWorld, o Openers) { o["world"] = func() (Driver, error) { return nil, broken } }, "",
			`b.toml:6: patches: driver "world": no such port`, "", []string{"line close"}},
		{"device that cannot be opened", func(l *fake, _ *fakeWorld, _ Openers) { l.openErr = broken }, "",
			`b.toml:1: meter: driver "line": no such port`, "", []string{"world close", "line close"}},
		{"two clocks", func(_ *fake, w *fakeWorld, o Openers) {
			other := &fakeWorld{fake{name: "line", log: w.log, clock: NewRealClock()}}
			w.clock = NewRealClock()
			o["line"] = opener(other, &other.fake)
		}, CodeWrongDevice, `b.toml: drivers "line" and "world" each have a clock of their own`, "use only one of the two drivers on a bench", []string{"world close", "line close"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var log []string
			line := &fake{name: "line", log: &log}
			world := &fakeWorld{fake{name: "world", log: &log}}
			openers := Openers{"line": opener(line, line), "world": opener(world, &world.fake)}
			tt.spoil(line, world, openers)
			b, err := Open(t.Context(), parse(t, mixed), openers)
			if b != nil {
				t.Error("a bench came beside the error")
			}
			if tt.code != "" {
				fails(t, err, tt.code, tt.message, tt.hint)
			} else if !errors.Is(err, broken) || err.Error() != tt.message {
				t.Errorf("error is %v, want %s", err, tt.message)
			}
			closed := slices.DeleteFunc(log, func(s string) bool { return !strings.HasSuffix(s, "close") })
			if d := cmp.Diff(tt.closed, closed); d != "" {
				t.Errorf("closed (-want +got):\n%s", d)
			}
		})
	}
}

func TestOpenStopped(t *testing.T) {
	var log []string
	line := &fake{name: "line", log: &log}
	cause := errors.New("stopped")
	ctx, cancel := context.WithCancelCause(t.Context())
	cancel(cause)
	_, err := Open(ctx, parse(t, "[meter]\ndriver='line'"), Openers{"line": opener(line, line)})
	if !errors.Is(err, cause) {
		t.Errorf("error is %v, want the cause", err)
	}
	if d := cmp.Diff([]string{"line make", "line clock", "line close"}, log); d != "" {
		t.Error(d)
	}
}

func TestCloseFails(t *testing.T) {
	var log []string
	stuck := errors.New("stuck")
	line := &fake{name: "line", log: &log, closing: stuck}
	b, err := Open(t.Context(), parse(t, "[meter]\ndriver='line'"), Openers{"line": opener(line, line)})
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if err := b.Close(); !errors.Is(err, stuck) {
			t.Errorf("error is %v", err)
		}
	}
}

func TestOpenFillsEveryPlace(t *testing.T) {
	var log []string
	sim := &fake{name: "sim", log: &log, id: Identity{Name: "world", Simulated: true}}
	b, err := Open(t.Context(), SimFile, Openers{"sim": opener(sim, sim)})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	var names []string
	for _, d := range b.Devices() {
		names = append(names, d.Name)
	}
	if d := cmp.Diff([]string{"meter", "operator", "patches", "reference", "rig", "unit"}, names); d != "" {
		t.Error(d)
	}
	if b.Meters["reference"] == nil || b.Rig == nil || b.Name != "sim" || !b.Simulated {
		t.Errorf("bench is %+v", b)
	}
}

// Messages of a built-in bench name the bench where others name file and line.
func TestOpenBuiltInFails(t *testing.T) {
	_, err := Open(t.Context(), SimFile, nil)
	fails(t, err, CodeUnknownDriver, `sim: meter.driver is "sim"; it must be one of none`, "")
	for kind, noun := range map[Kind]string{KindReference: "meter", KindUnit: "unit"} {
		var log []string
		sim := &fake{name: "sim", log: &log, badKind: kind}
		_, err := Open(t.Context(), SimFile, Openers{"sim": opener(sim, sim)})
		fails(t, err, CodeWrongDevice, "sim: "+string(kind)+`: driver "sim" opened a device that is not a `+noun,
			"use the driver for a kind of device that it supports")
	}
	_, err = Open(t.Context(), (&File{}).WithHands(KindRig), nil)
	fails(t, err, CodeUnknownDriver, `bench: rig.driver is "operator"; it must be one of none`, "")
}

// TestMixedTime: a real meter beside a simulated clock is refused, a person with one is not, and neither is
// a real source of patches.
func TestMixedTime(t *testing.T) {
	for _, c := range []struct {
		meter   Identity
		refused bool
	}{{Identity{Name: "L1"}, true}, {Identity{Name: "L1", ByHand: true}, false}, {Identity{Name: "L1", Simulated: true}, false}} {
		var log []string
		line := &fake{name: "line", log: &log, id: c.meter}
		world := &fakeWorld{fake{name: "world", log: &log, id: Identity{Name: "W", Simulated: true}, clock: skipping{NewRealClock()}}}
		_, err := Open(t.Context(), parse(t, mixed), Openers{"line": opener(line, line), "world": opener(world, &world.fake)})
		if !c.refused {
			if err != nil {
				t.Error(err)
			}
			continue
		}
		fails(t, err, CodeWrongDevice, "b.toml:1: the meter is real, and other devices of the bench are simulated; simulated time passes much quicker than a real meter reads",
			"take the simulated devices off the bench, or simulate the meter too")
		if !slices.Contains(log, "line close") || !slices.Contains(log, "world close") {
			t.Errorf("what was opened is not closed: %v", log)
		}
	}
}

type skipping struct{ Clock }

func (skipping) Skip(time.Duration)  {}
func (skipping) Stand(time.Duration) {}
