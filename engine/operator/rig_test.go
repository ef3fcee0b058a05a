package operator

import (
	"fmt"
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
	s.tell(fmt.Sprintf("%v lux, typed %q", got.Lux, got.Typed), err)
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

// A person is asked to turn the lamps off if any is on. Nothing waits for the answer.
func TestRigMadeSafe(t *testing.T) {
	s := newStory(t, Options{})
	rig := s.bench.Rig.(bench.Safe)
	if err := rig.MakeSafe(t.Context(), nil); err != nil || s.text.Len() > 0 {
		t.Errorf("no lamp is up: %v\n%s", err, &s.text)
	}
	if err := rig.MakeSafe(t.Context(), []bench.LampRequest{{Lamp: "left", Level: 30}}); err != nil || s.text.String() != "Please turn the lamps off.\n" {
		t.Errorf("a lamp is up: %v\n%s", err, &s.text)
	}
	if _, ok := s.bench.Patches.(bench.Sequencer); ok {
		t.Error("a person is a source that keeps times to the frame")
	}
}
