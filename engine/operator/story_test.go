package operator

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"candelua/engine/bench"
)

var update = flag.Bool("update", false, "write the golden files anew")

// story is a conversation at one console, written down: what is said, what is
// typed (after "> "), and what the devices answer (after "= "). Each line typed
// takes a second.
type story struct {
	t     *testing.T
	typed Console // real, reading the lines
	text  strings.Builder
	now   time.Duration
	bench *bench.Bench
}

func (s *story) ReadLine(ctx context.Context) (string, error) {
	l, err := s.typed.ReadLine(ctx)
	if err == nil {
		fmt.Fprintf(&s.text, "> %s\n", l)
		s.now += time.Second
	}
	return l, err
}

func (s *story) Listen() {}

func (s *story) Heard() time.Time { return time.Time{} }

func (s *story) Say(text string) { s.text.WriteString(text + "\n") }

func (s *story) Now() time.Duration                                   { return s.now }
func (s *story) Wall() time.Time                                      { return time.Time{} }
func (s *story) WaitUntil(context.Context, time.Duration) (err error) { return nil }

// onStoryTime is a driver that keeps the story's clock when the bench has
// another: it hides the driver's UseClock.
type onStoryTime struct{ bench.Driver }

// newStory opens a bench on which everything is by hand, two meters too.
func newStory(t *testing.T, opt Options, lines ...string) *story {
	t.Helper()
	text := ""
	for _, l := range lines {
		text += l + "\n"
	}
	s := &story{t: t, typed: NewConsole(strings.NewReader(text), nil)}
	s.open(opt)
	return s
}

func (s *story) open(opt Options) {
	s.t.Helper()
	made := New(s, opt)
	f := bench.OperatorFile.WithHands(bench.KindReference)
	b, err := bench.Open(s.t.Context(), f, bench.Openers{"operator": func() (bench.Driver, error) {
		d, err := made()
		d.(bench.Timed).UseClock(s)
		return onStoryTime{d}, err
	}})
	if err != nil {
		s.t.Fatal(err)
	}
	s.bench = b
	s.t.Cleanup(func() { b.Close() })
}

// tell writes down what a device answered.
func (s *story) tell(answer any, err error) {
	switch {
	case err != nil:
		var e *bench.Error
		if errors.As(err, &e) && e.Hint() != "" {
			err = fmt.Errorf("%w (%s)", err, e.Hint())
		}
		fmt.Fprintf(&s.text, "= error: %v\n", err)
	default:
		fmt.Fprintf(&s.text, "= %v\n", answer)
	}
}

func (s *story) set(settings ...bench.Setting) {
	a, err := s.bench.Unit.Set(s.t.Context(), settings)
	s.tell(fmt.Sprintf("set: by hand %v, assumed %v", a.ByHand, a.Assumed), err)
}

func (s *story) lamp(name string, level float64) {
	a, err := s.bench.Rig.Set(s.t.Context(), name, level)
	s.tell(fmt.Sprintf("lamp: by hand %v, assumed %v", a.ByHand, a.Assumed), err)
}

func (s *story) show(p bench.Patch) {
	a, err := s.bench.Patches.Show(s.t.Context(), p)
	s.tell(fmt.Sprintf("shown at %v within %v, area %v %%, pending %v", a.Lit, a.LitWithin, a.Area, a.Pending), err)
}

func (s *story) acknowledge() {
	at, err := s.bench.Patches.(bench.Acknowledger).Acknowledge(s.t.Context())
	s.tell(fmt.Sprintf("lit at %v", at), err)
}

func (s *story) read(meter string, q bench.ReadRequest) {
	var got []string
	err := s.bench.Meters[meter].Read(s.t.Context(), q, func(r bench.Sample) error {
		colour := fmt.Sprintf("X %.4f, Y %.4f, Z %.4f", r.X, r.Y, r.Z)
		if !r.Colour {
			colour = fmt.Sprintf("Y %.4f", r.Y)
		}
		got = append(got, fmt.Sprintf("%s, at %v to %v, typed %q, flags %v", colour, r.Began, r.Ended, r.Typed, r.Flags))
		return nil
	})
	s.tell(strings.Join(got, "; "), err)
}

func (s *story) ask(q bench.Question) {
	a, err := s.bench.Operator.Ask(s.t.Context(), q)
	s.tell(fmt.Sprintf("%s: %q, number %v, assumed %v", q.Kind, a.Text, a.Number, a.Assumed), err)
}

// golden compares the conversation with the one that was read and found good.
func (s *story) golden() {
	s.t.Helper()
	file := filepath.Join("testdata", strings.TrimPrefix(s.t.Name(), "TestStory")+".txt")
	file = strings.ToLower(file)
	if *update {
		if err := os.WriteFile(file, []byte(s.text.String()), 0o644); err != nil {
			s.t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		s.t.Fatal(err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(s.text.String(), "\n")); d != "" {
		s.t.Errorf("%s differs (-want +got); go test -update writes it anew:\n%s", file, d)
	}
}

func limit(v float64) *float64 { return &v }

var (
	white = bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10, Signal: bench.SDR, At: [2]float64{0.5, 0.5}}
	dim   = []bench.Setting{{Name: "Automatic brightness", Value: "off"}, {Name: "Brightness", Value: "maximum"}}

	askLux   = bench.Question{Kind: bench.Number, Text: "How bright is it at the screen?", Unit: "lx", Min: limit(0), Max: limit(2000)}
	askTint  = bench.Question{Kind: bench.Choice, Text: "Which corner looks tinted?", Choices: []string{"none", "top left", "Bottom right"}}
	askNote  = bench.Question{Kind: bench.Text, Text: "What does the ghost look like?"}
	askReady = bench.Question{Kind: bench.Confirm, Text: "Clean the screen and close the curtains."}
)

func TestStorySmooth(t *testing.T) {
	s := newStory(t, Options{},
		"", "", "", "", "200.5 0.3127 0.3290", "xyz 95.047 100 108.883", "2e2", "300 lx", "2", "a faint clock")
	s.ask(askReady)
	s.set(dim...)
	s.lamp("left", 50)
	s.show(white)
	s.acknowledge()
	s.read("meter", bench.ReadRequest{Most: 10, After: 2})
	s.read("reference", bench.ReadRequest{Most: 1})
	s.read("meter", bench.ReadRequest{Most: 1})
	s.ask(askLux)
	s.ask(askTint)
	s.ask(askNote)
	s.lamp("left", 0)
	s.golden()
}

func TestStoryHelp(t *testing.T) {
	s := newStory(t, Options{},
		"help", "", "HELP", "", "help", "", "help", "1", "help", "5", "help", "none", "help", "x")
	s.ask(askReady)
	s.set(dim...)
	s.acknowledge()
	s.read("meter", bench.ReadRequest{Most: 1})
	s.ask(askLux)
	s.ask(askTint)
	s.ask(askNote)
	s.golden()
}

func TestStoryMistakes(t *testing.T) {
	s := newStory(t, Options{},
		"what?", "no", "200 0.31", "done",
		"", "bright", "200 0.31", "xyz 1 2", "200 0.31 0.33 5", "200 31 33", "0.31 0.33 200", "1,200", "1.5,2 3", "-3", "xyz -5 10 5", "1e999", "0x10", "inf", strings.Repeat("9 ", 5000),
		"200,5 0,3127 0,3290",
		"", "many", "-1", "2001 lx", "1 2 3", "1,5",
		"", "4", "0", "1.5", "tpo left", "purple", "TOP LEFT",
		"", `\Pause`)
	s.set(dim...)
	s.read("meter", bench.ReadRequest{Most: 1})
	s.ask(askLux)
	s.ask(askTint)
	s.ask(askNote)
	s.ask(bench.Question{Kind: "riddle", Text: "What has two hands?"})
	s.ask(bench.Question{Kind: bench.Choice, Text: "Which?"})
	s.read("meter", bench.ReadRequest{Most: 1, Spectrum: true})
	s.golden()
}

func TestStoryAssumed(t *testing.T) {
	s := newStory(t, Options{AssumeYes: true}, "", "200 0.3127 0.3290", "12", "none", "fine")
	s.ask(askReady)
	s.set(dim...)
	s.lamp("left", 12.5)
	s.show(white)
	s.acknowledge()
	s.read("meter", bench.ReadRequest{Most: 1})
	s.ask(askLux)
	s.ask(askTint)
	s.ask(askNote)
	s.golden()
}

// A list of readings alone, as from a file, serves a run with no line for the
// prompts between.
func TestStoryReadingsOnly(t *testing.T) {
	s := newStory(t, Options{}, "200 0.31 0.33", "100 0.31 0.33", "50 0,31 0,33", "25", "-12", "12")
	s.set(dim...)
	s.lamp("left", 0)
	for range 2 {
		s.show(white)
		s.acknowledge()
		s.read("meter", bench.ReadRequest{Most: 1})
	}
	s.ask(askReady)
	s.show(white)
	s.acknowledge()
	s.read("meter", bench.ReadRequest{Most: 1})
	s.ask(askReady)
	s.ask(askReady)
	s.read("meter", bench.ReadRequest{Most: 1})
	s.read("meter", bench.ReadRequest{Most: 1})
	s.read("meter", bench.ReadRequest{Most: 1})
	s.golden()
}

func TestStoryStops(t *testing.T) {
	for _, word := range []string{"back", "Pause"} {
		s := newStory(t, Options{}, slices.Repeat([]string{word}, 8)...)
		s.everyPrompt()
		for _, l := range strings.Split(strings.TrimSpace(s.text.String()), "\n") {
			want := map[string]string{
				"back":  "= error: operator: the last answer was withdrawn",
				"Pause": "= error: operator: paused at the operator's word",
			}[word]
			if strings.HasPrefix(l, "=") && l != want {
				t.Errorf("%s: %s", word, l)
			}
		}
	}
	s := newStory(t, Options{})
	s.everyPrompt()
	s.golden()
}

// everyPrompt comes to each of the eight prompts once.
func (s *story) everyPrompt() {
	s.set(dim...)
	s.lamp("left", 1)
	s.acknowledge()
	s.read("meter", bench.ReadRequest{Most: 1})
	s.ask(askReady)
	s.ask(askLux)
	s.ask(askTint)
	s.ask(askNote)
}
