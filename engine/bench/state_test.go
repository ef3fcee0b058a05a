package bench

import (
	"encoding/json"
	"os"
	"reflect"
	"regexp"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestState(t *testing.T) {
	white, dark := Patch{RGB: [3]float64{1, 1, 1}, Window: 10, Signal: SDR}, Patch{Window: 100, Signal: SDR}
	left := func(level float64) LampRequest { return LampRequest{Lamp: "left", Level: level} }
	right := LampRequest{Lamp: "right", Level: 20}
	turn := TurnRequest{Axis: Horizontal, Degrees: 15}
	place := PlaceRequest{At: [2]float64{0.3, 0.4}}
	var s State
	for _, q := range []any{left(10), right, left(30), turn, PlaceRequest{At: [2]float64{0.1, 0.2}}, LuxRequest{At: AtScreen}, place,
		[]Setting{{Name: "Brightness", Value: 50.0}, {Name: "Contrast", Value: 1.0}}, []Setting{{Name: "Brightness", Value: "maximum"}},
		ReadRequest{Most: 3}, []TimedPatch{{Patch: dark, Hold: 1}, {Patch: white, Hold: 5}}} {
		s.Take(q)
	}
	if want := []RigRequest{right, left(30), turn, place}; !reflect.DeepEqual(s.Rig(), want) {
		t.Errorf("the rig is left as %v, want %v", s.Rig(), want)
	}
	if want := []Setting{{Name: "Contrast", Value: 1.0}, {Name: "Brightness", Value: "maximum"}}; !reflect.DeepEqual(s.Settings(), want) {
		t.Errorf("the unit is left as %v, want %v", s.Settings(), want)
	}
	if p, any := s.Patch(); !any || p != white {
		t.Errorf("the screen shows %v, %v, want the last patch of the sequence", p, any)
	}
	if !reflect.DeepEqual(s.Lit(), []LampRequest{right, left(30)}) {
		t.Errorf("lamps that are up: %v", s.Lit())
	}
	s.Drop(left(40))
	if lit := s.Lit(); len(lit) != 2 || s.Has(left(30)) {
		t.Errorf("a lamp whose request failed may be up: %v", lit)
	}
	s.Take(left(30))
	s.Take(SafeRequest{})
	if len(s.Lit()) > 0 || s.Has(left(30)) || !s.Has(turn) {
		t.Errorf("made safe: %v", s.Rig())
	}
	s.Take(PowerRequest{On: false})
	if _, any := s.Patch(); any || !s.Off() || !s.Has(PowerRequest{}) || s.Has(PowerRequest{On: true}) {
		t.Error("a unit that is off shows something")
	}
	s.Take(white)
	if s.Off() {
		t.Error("a patch wakes a unit that was off")
	}
	s.Take(PowerRequest{On: false})
	s.Take(PowerRequest{On: true})
	if p, any := s.Patch(); !any || p != white {
		t.Error("a unit that is on again shows its last patch")
	}
}

// Of what a request left that failed, nothing is known; what came before on
// other things stands.
func TestStateDropped(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		requests := []any{Patch{Window: 1, Signal: SDR}, []TimedPatch{{Patch: Patch{Window: 2, Signal: SDR}}}, []Setting{{Name: "a", Value: 1.0}},
			[]Setting{{Name: "a", Value: 2.0}, {Name: "b", Value: true}}, LampRequest{Lamp: "l", Level: 5}, TurnRequest{Axis: Vertical, Degrees: 2}, PlaceRequest{}}
		var s, without State
		for range rapid.IntRange(0, 8).Draw(r, "before") {
			q := rapid.SampledFrom(requests).Draw(r, "request")
			s.Take(q)
			without.Take(q)
		}
		failed := rapid.SampledFrom(requests).Draw(r, "failed")
		s.Drop(failed)
		for _, q := range requests {
			single, isList := q.([]Setting)
			switch {
			case isList:
				for _, one := range single {
					if s.Has(one) && !without.Has(one) {
						r.Fatalf("%v stands, and was never asked for", one)
					}
				}
			case s.Has(q) && !without.Has(q):
				r.Fatalf("%v stands, and was never asked for", q)
			}
		}
		for _, one := range flat(failed) {
			if s.Has(one) {
				r.Fatalf("%v stands though it failed", one)
			}
		}
	})
}

// flat are the single requests that a request consists of.
func flat(request any) []any {
	switch q := request.(type) {
	case []Setting:
		var all []any
		for _, one := range q {
			all = append(all, one)
		}
		return all
	case []TimedPatch:
		return []any{q[len(q)-1].Patch}
	}
	return []any{request}
}

// TestRestoredHoldsEveryRigRequest: what implements RigRequest comes back out of the
// record of what was put back.
func TestRestoredHoldsEveryRigRequest(t *testing.T) {
	all := []RigRequest{LampRequest{Lamp: "a", Level: 1}, TurnRequest{Axis: Vertical, Degrees: 2}, PlaceRequest{At: [2]float64{0.1, 0.2}}}
	src, err := os.ReadFile("abilities.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`func \((?:\w+ )?(\w+)\) Puts\(`).FindAllStringSubmatch(string(src), -1) {
		if !slices.ContainsFunc(all, func(q RigRequest) bool { return reflect.TypeOf(q).Name() == m[1] }) {
			t.Errorf("%s is a RigRequest: add one to this test", m[1])
		}
	}
	for _, q := range all {
		var r, back Restored
		r.Add(q)
		text, err := json.Marshal(r)
		if err != nil || json.Unmarshal(text, &back) != nil || !slices.Contains(back.Requests(), any(q)) {
			t.Errorf("%+v was put back, and its record gives %v: add it to Restored (Add, Requests)", q, back.Requests())
		}
	}
}
