package operator

import (
	"context"
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"testing/synctest"

	"github.com/google/go-cmp/cmp"

	"candelua/engine/bench"
)

func isPaused(err error) bool { return errors.Is(err, bench.ErrPaused) }

// confirmed asks for a confirmation.
func (s *story) confirmed(ctx context.Context) error {
	_, err := s.bench.Operator.Ask(ctx, askReady)
	return err
}

// calls are one call of each prompt and of what prompts nothing.
func (s *story) calls(ctx context.Context) map[string]func() error {
	b := s.bench
	ask := func(q bench.Question) func() error {
		return func() error { _, err := b.Operator.Ask(ctx, q); return err }
	}
	return map[string]func() error{
		"set":         func() error { _, err := b.Unit.Set(ctx, dim); return err },
		"set nothing": func() error { _, err := b.Unit.Set(ctx, nil); return err },
		"power":       func() error { _, err := b.Unit.(bench.Switcher).Switch(ctx, false); return err },
		"lamp":        func() error { _, err := b.Rig.Set(ctx, "left", 1); return err },
		"turn":        func() error { _, err := b.Rig.(bench.Turner).Turn(ctx, bench.Horizontal, 30); return err },
		"place":       func() error { _, err := b.Rig.(bench.Placer).Place(ctx, [2]float64{0.5, 0.5}); return err },
		"lux":         func() error { _, err := b.Rig.(bench.LightSensor).Lux(ctx, bench.AtScreen); return err },
		"dark":        func() error { return b.Meters["meter"].(bench.Zeroer).Zero(ctx) },
		"show":        func() error { _, err := b.Patches.Show(ctx, white); return err },
		"acknowledge": func() error { _, err := b.Patches.(bench.Acknowledger).Acknowledge(ctx); return err },
		"read": func() error {
			return b.Meters["meter"].Read(ctx, bench.ReadRequest{Most: 1}, func(bench.Sample) error { return nil })
		},
		"confirm": ask(askReady), "number": ask(askLux), "choice": ask(askTint), "text": ask(askNote),
	}
}

func TestStoppedBefore(t *testing.T) {
	cause := errors.New("stopped")
	ctx, cancel := context.WithCancelCause(t.Context())
	cancel(cause)
	for _, opt := range []Options{{}, {AssumeYes: true}} {
		s := newStory(t, opt, "1", "1")
		for name, call := range s.calls(ctx) {
			if err := call(); err != cause {
				t.Errorf("%s, %+v: error is %v, want the cause", name, opt, err)
			}
		}
		if s.text.Len() > 0 {
			t.Errorf("%+v: stopped, and yet said:\n%s", opt, &s.text)
		}
	}
}

func TestStoppedWhileWaiting(t *testing.T) {
	names := (&story{bench: &bench.Bench{}}).calls(t.Context())
	for name := range names {
		if name == "show" || name == "set nothing" {
			continue // they wait for nobody
		}
		synctest.Test(t, func(t *testing.T) {
			in, typing := io.Pipe()
			defer typing.Close()
			s := &story{t: t, typed: NewConsole(in, io.Discard)}
			s.open(Options{})
			cause := errors.New("stopped")
			ctx, cancel := context.WithCancelCause(t.Context())
			answer := make(chan error)
			go func() { answer <- s.calls(ctx)[name]() }()
			synctest.Wait()
			cancel(cause)
			if err := <-answer; err != cause {
				t.Errorf("%s: error is %v, want the cause", name, err)
			}
		})
	}
}

// The line typed after a stop, and what was typed ahead, serve the bench that is
// opened again; a reading that was kept for the meter is asked for again.
func TestOpenedAgain(t *testing.T) {
	s := newStory(t, Options{}, "200", "back", "", "300 0.31 0.33")
	s.set(dim...) // keeps the reading
	if err := s.confirmed(t.Context()); !errors.Is(err, bench.ErrStruck) {
		t.Fatalf("error is %v, want a struck answer", err)
	}
	if err := s.bench.Close(); err != nil {
		t.Fatal(err)
	}
	s.open(Options{})
	s.set(dim...)
	s.read("meter", bench.ReadRequest{Most: 1})
	if got := s.text.String(); !strings.HasSuffix(got, "typed \"300 0.31 0.33\", flags []\n") {
		t.Errorf("conversation was:\n%s", got)
	}
}

func TestAbout(t *testing.T) {
	const src = `[meter]
driver = "operator"
floor = 0.01
accuracy = { scale = 1.5, repeatability = 0.3 }
[reference]
driver = "operator"
[patches]
driver = "operator"
[unit]
driver = "operator"
[rig]
driver = "operator"
[operator]
driver = "operator"
`
	f, err := bench.ParseFile("b.toml", []byte(src))
	if err != nil {
		t.Fatal(err)
	}
	b, err := bench.Open(t.Context(), f, bench.Openers{"operator": New(NewConsole(strings.NewReader(""), nil), Options{})})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	hand := func(name string) bench.Identity {
		return bench.Identity{Name: name, Driver: "operator", ByHand: true}
	}
	read := hand("read by hand")
	read.Floor, read.Accuracy = 0.01, bench.Accuracy{Scale: 1.5, Repeatability: 0.3}
	want := map[string]bench.Identity{
		"meter": read, "reference": hand("read by hand"), "patches": hand("patches by hand"),
		"unit": hand("unit by hand"), "rig": hand("rig by hand"), "operator": hand("operator"),
	}
	got := map[string]bench.Identity{}
	for _, d := range b.Devices() {
		got[d.Name] = d.Identity
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	if id := b.Meters["meter"].About(); !cmp.Equal(id, read) {
		t.Errorf("the meter says %+v of itself", id)
	}
}

func TestOpenRefuses(t *testing.T) {
	for _, tt := range []struct{ name, src, want string }{
		{"link", "[meter]\ndriver='operator'\nlink='serial:1'", `b.toml:1: meter: driver "operator": a person has no link and no options`},
		{"options", "[rig]\ndriver='operator'\noptions={a=1}", `b.toml:1: rig: driver "operator": a person has no link and no options`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f, err := bench.ParseFile("b.toml", []byte(tt.src))
			if err != nil {
				t.Fatal(err)
			}
			_, err = bench.Open(t.Context(), f, bench.Openers{"operator": New(NewConsole(nil, nil), Options{})})
			if !errors.Is(err, bench.ErrUnsupported) || err.Error() != tt.want {
				t.Errorf("error is %v, want %s", err, tt.want)
			}
		})
	}
	d, err := New(NewConsole(nil, nil), Options{})()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.Open(t.Context(), "lamp", bench.Section{}); !errors.Is(err, bench.ErrUnsupported) {
		t.Errorf("error is %v", err)
	}
}

// An input that fails is a pause that keeps the cause.
func TestInputFails(t *testing.T) {
	broken := errors.New("unplugged")
	s := &story{t: t, typed: NewConsole(iotest.ErrReader(broken), nil)}
	s.open(Options{})
	err := s.confirmed(t.Context())
	if !isPaused(err) || !errors.Is(err, broken) || err.Error() != "operator: the input ended before the answer: unplugged" {
		t.Errorf("error is %v", err)
	}
}

// A reading that is kept says that the patch is lit, but not after a stop.
func TestAcknowledgeStopped(t *testing.T) {
	s := newStory(t, Options{}, "1")
	s.set(dim...)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := s.bench.Patches.(bench.Acknowledger).Acknowledge(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("error is %v", err)
	}
}

// Who typed a decimal comma is shown what was made of it.
func TestDecimalCommaIsTold(t *testing.T) {
	s := newStory(t, Options{}, "200,5")
	s.read("meter", bench.ReadRequest{Most: 1})
	if !strings.Contains(s.text.String(), "The commas were read as decimal points: Y 200.5 cd/m².\n") {
		t.Errorf("conversation was:\n%s", &s.text)
	}
}

// Enough ends a read without an error, another error ends it as it is.
func TestReadEnds(t *testing.T) {
	full := errors.New("disk full")
	for _, tt := range []struct{ take, want error }{{nil, nil}, {bench.Enough, nil}, {full, full}} {
		s := newStory(t, Options{}, "1", "2")
		calls := 0
		err := s.bench.Meters["meter"].Read(t.Context(), bench.ReadRequest{Most: 5}, func(bench.Sample) error {
			calls++
			return tt.take
		})
		if err != tt.want || calls != 1 {
			t.Errorf("take answers %v: error is %v after %d samples", tt.take, err, calls)
		}
	}
}

// What a meter's section states of its floor judges what is typed.
func TestReadJudgesByTheFloor(t *testing.T) {
	f, err := bench.ParseFile("b.toml", []byte("[meter]\ndriver='operator'\nfloor=0.5\naccuracy={dark=0.1}"))
	if err != nil {
		t.Fatal(err)
	}
	s := &story{t: t, typed: NewConsole(strings.NewReader("-2.6\n-0.4\n"), nil)}
	b, err := bench.Open(t.Context(), f, bench.Openers{"operator": New(s, Options{})})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	var got bench.Sample
	err = b.Meters["meter"].Read(t.Context(), bench.ReadRequest{Most: 1}, func(s bench.Sample) error { got = s; return nil })
	if err != nil || got.Y != -0.4 || len(got.Flags) != 1 || got.Flags[0] != bench.BelowFloor {
		t.Errorf("reading is %+v, error %v", got, err)
	}
	if !strings.Contains(s.text.String(), `The reading "-2.6" cannot be right`) {
		t.Errorf("conversation was:\n%s", &s.text)
	}
}

// The choices that are numbers are answered by what they say.
func TestChoiceOfNumbers(t *testing.T) {
	s := newStory(t, Options{}, "1", "2")
	s.ask(bench.Question{Kind: bench.Choice, Text: "How many lamps?", Choices: []string{"2", "4", "many"}})
	want := "How many lamps?\n  #1  2\n  #2  4\n  #3  many\nYour choice:\n> 1\n\"1\" is not one of the choices.\n> 2\n= choice: \"2\", number 0, assumed false\n"
	if d := cmp.Diff(want, s.text.String()); d != "" {
		t.Error(d)
	}
}

func TestNumberPrompts(t *testing.T) {
	for _, tt := range []struct {
		q    bench.Question
		want string
	}{
		{bench.Question{}, "A number:"},
		{bench.Question{Unit: "mm"}, "A number in mm:"},
		{bench.Question{Min: limit(0.1)}, "A number of 0.1 or more:"},
		{bench.Question{Max: limit(5), Unit: "°"}, "A number of 5 ° or less:"},
		{bench.Question{Min: limit(-1), Max: limit(1)}, "A number from -1 to 1:"},
	} {
		s := newStory(t, Options{}, "1")
		tt.q.Kind, tt.q.Text = bench.Number, "How much?"
		s.ask(tt.q)
		if want := "How much?\n" + tt.want + "\n> 1\n= number: \"1\", number 1, assumed false\n"; s.text.String() != want {
			t.Errorf("conversation was:\n%s\nwant:\n%s", &s.text, want)
		}
	}
}

func TestSettingValue(t *testing.T) {
	for want, v := range map[string]any{"on": true, "off": false, "12.5": 12.5, "maximum": "maximum", "-3": -3.0} {
		if got := settingValue(v); got != want {
			t.Errorf("%v is told as %q, want %q", v, got, want)
		}
	}
}
