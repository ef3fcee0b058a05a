package operator

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"candelua/engine/bench"
)

func (s *story) turn(axis string, degrees float64) {
	got, err := s.bench.Rig.(bench.Turner).Turn(s.t.Context(), axis, degrees)
	s.tell(fmt.Sprintf("turned to %v", got), err)
}

func (s *story) place(x, y float64) {
	got, err := s.bench.Rig.(bench.Placer).Place(s.t.Context(), [2]float64{x, y})
	s.tell(fmt.Sprintf("placed at %v", got), err)
}

func (s *story) lux(at string) {
	got, err := s.bench.Rig.(bench.LightSensor).Lux(s.t.Context(), at)
	s.tell(fmt.Sprintf("%v lux", got), err)
}

func (s *story) zero(meter string) {
	s.tell("dark level taken", s.bench.Meters[meter].(bench.Zeroer).Zero(s.t.Context()))
}

func TestStoryRig(t *testing.T) {
	s := newStory(t, Options{},
		"", "done", // dark levels
		"", "29.5", "-31°", "29.5 °", "120", "200 0.31 0.33", "", // turns
		"", "150 0.31 0.33", // places
		"", "-1", "250 lux", "0.3 lx", // light
		"help", "pause", "help", "back")
	s.zero("meter")
	s.zero("reference")
	s.turn(bench.Horizontal, 30)
	s.turn(bench.Horizontal, 30)
	s.turn(bench.Vertical, -30)
	s.turn(bench.Vertical, -30)
	s.turn(bench.Vertical, 30) // 120 is refused, then a reading
	s.turn(bench.Horizontal, 0)
	s.place(0.25, 0.9)
	s.place(0.5, 0.5)
	at := [2]float64{0.1, 0.9}
	s.read("meter", bench.ReadRequest{Most: 1})
	s.read("meter", bench.ReadRequest{Most: 1})
	s.lux(bench.AtScreen) // nothing, -1, then 250
	s.lux(bench.AtSensor)
	s.turn(bench.Horizontal, 10)
	s.lux(bench.AtScreen)
	s.read("meter", bench.ReadRequest{Most: 1, After: 2, At: &at}) // the input has ended
	s.golden()
}

// Where settings are assumed, what only a person can know is still asked: an
// angle, and that the meter was covered.
func TestStoryRigAssumed(t *testing.T) {
	s := newStory(t, Options{AssumeYes: true}, "", "30", "12")
	s.place(0.5, 0.1)
	s.zero("meter")
	s.turn(bench.Horizontal, 30)
	s.lux(bench.AtScreen)
	s.golden()
}

// kept tells the rig of steps that the journal keeps.
func (s *story) kept(requests ...any) bench.Recaller {
	s.t.Helper()
	r := s.bench.Rig.(bench.Recaller)
	for _, q := range requests {
		if err := r.Recall(bench.Kept{Request: q}); err != nil {
			s.t.Fatal(err)
		}
	}
	return r
}

// What the kept steps left is asked for again, the last of each; what this
// person has been told of is not.
func TestRigRestored(t *testing.T) {
	lamp := func(name string, level float64) any { return bench.LampRequest{Lamp: name, Level: level} }
	steps := []any{lamp("left", 10), lamp("right", 20), lamp("left", 30), bench.TurnRequest{Axis: bench.Horizontal, Degrees: 15},
		bench.PlaceRequest{At: [2]float64{0.1, 0.2}}, bench.LuxRequest{At: bench.AtScreen}, bench.PlaceRequest{At: [2]float64{0.3, 0.4}}}
	s := newStory(t, Options{}, "", "", "", "", "end")
	if _, err := s.kept(steps...).Restore(t.Context()); err != nil {
		t.Fatal(err)
	}
	var asked []string
	for _, l := range strings.Split(s.text.String(), "\n") {
		if rest, ok := strings.CutPrefix(l, "Please "); ok {
			what, _, _ := strings.Cut(rest, ";")
			asked = append(asked, what)
		}
	}
	want := `set the lamp "left" to 30 %|set the lamp "right" to 20 %|move the meter so that it looks at the point 30 % from the left and 40 % from the top of the screen|turn the unit so that the meter looks 15° from the right`
	if got := strings.Join(asked, "|"); got != want {
		t.Errorf("asked for\n %s\nwant\n %s", got, want)
	}

	s.text.Reset()
	if _, err := s.kept().Restore(t.Context()); err != nil || s.text.Len() > 0 {
		t.Errorf("told already, and asked again: %v\n%s", err, &s.text)
	}

	s = newStory(t, Options{}, "back")
	if _, err := s.kept(steps...).Restore(t.Context()); !errors.Is(err, bench.ErrStruck) {
		t.Errorf("error is %v, want a struck answer", err)
	}
}

// A sequence that a source with a driver showed before leaves its last patch.
func TestSequenceRestored(t *testing.T) {
	s := newStory(t, Options{})
	p := s.bench.Patches.(bench.Recaller)
	dark := bench.Patch{Window: 100, Signal: bench.SDR}
	if err := p.Recall(bench.Kept{Request: []bench.TimedPatch{{Patch: dark, Hold: 1}, {Patch: white, Hold: 5}}}); err != nil {
		t.Fatal(err)
	}
	again, err := p.Restore(t.Context())
	if err != nil || again == nil || *again.Patch != white {
		t.Errorf("shown again: %+v, %v; want %+v", again, err, white)
	}
	if _, ok := s.bench.Patches.(bench.Sequencer); ok {
		t.Error("a person is a source that keeps times to the frame")
	}
}
