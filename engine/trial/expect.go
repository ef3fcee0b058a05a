package trial

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/result"
)

// Expectation says what a value must be.
type Expectation struct {
	ID    string // of the value
	Truth any    // what [World.Truth] is asked
	// Within is how far from the truth the value may be: in percent of the
	// truth where Unit is "%", else in the value's own unit.
	Within float64
	// Unit is "%", or what the value's unit must be, or "".
	Unit string
	// Bound allows the value to be a limit of this kind, which passes where
	// it holds. Without it a value that is a limit counts as not evaluated.
	Bound result.Bound
	// OrNone lets a value that is not evaluated pass: it must only not be
	// wrong.
	OrNone bool
}

// relative says that the tolerance is a share of the truth.
func (e *Expectation) relative() bool { return e.Unit == percent }

const percent = "%"

// The members of an expectation.
const (
	keyTruth  = "truth"
	keyWithin = "within"
	keyUnit   = "unit"
	keyBound  = "bound"
	keyOrNone = "or_not_evaluated"
)

var expectationKeys = []string{keyTruth, keyWithin, keyUnit, keyBound, keyOrNone}

// expectations reads expect = { … }, in the order of the ids.
func expectations(stated map[string]any) ([]Expectation, error) {
	var all []Expectation
	for _, id := range slices.Sorted(maps.Keys(stated)) {
		if result.ID(id) != id {
			return nil, fmt.Errorf("expect: %q is no id of a value, want small letters, digits and single hyphens, such as %q", id, result.ID(id))
		}
		e, err := expectation(id, stated[id])
		if err != nil {
			return nil, fmt.Errorf("expect[%q]: %w", id, err)
		}
		all = append(all, e)
	}
	return all, nil
}

func expectation(id string, stated any) (Expectation, error) {
	e := Expectation{ID: id}
	m, ok := stated.(map[string]any)
	if !ok {
		return e, fmt.Errorf(`it is %s, want a table such as { truth = "tone.exponent", within = 0.01 }`, kindOf(stated))
	}
	for _, name := range slices.Sorted(maps.Keys(m)) {
		if !slices.Contains(expectationKeys, name) {
			near := ""
			if n := bench.Nearest(name, expectationKeys); n != "" {
				near = fmt.Sprintf("; did you mean %q?", n)
			}
			return e, fmt.Errorf("it has no member %q, want %s%s", name, strings.Join(expectationKeys, ", "), near)
		}
	}
	if e.Truth, ok = m[keyTruth]; !ok {
		return e, fmt.Errorf("truth is missing, want a number, the path of a world's parameter, or a function of the world")
	}
	if e.Within, ok = m[keyWithin].(float64); !ok || !(e.Within >= 0) || math.IsInf(e.Within, 0) {
		return e, fmt.Errorf("within is %s, want how far from the truth the value may be, 0 or more", kindOf(m[keyWithin]))
	}
	if e.Unit, ok = member(m, keyUnit, ""); !ok {
		return e, fmt.Errorf(`unit is %s, want "%%" for a share of the truth, or the value's own unit`, kindOf(m[keyUnit]))
	}
	bound, ok := member(m, keyBound, "")
	if e.Bound = result.Bound(bound); !ok || !slices.Contains([]result.Bound{"", result.Upper, result.Lower}, e.Bound) {
		return e, fmt.Errorf("bound is %s, want %q or %q", kindOf(m[keyBound]), result.Upper, result.Lower)
	}
	if e.OrNone, ok = member(m, keyOrNone, false); !ok {
		return e, fmt.Errorf("%s is %s, want true or false", keyOrNone, kindOf(m[keyOrNone]))
	}
	return e, nil
}

// member gives an optional member, and whether it is of the right kind.
func member[T any](m map[string]any, name string, absent T) (T, bool) {
	x, there := m[name]
	if !there {
		return absent, true
	}
	v, ok := x.(T)
	return v, ok
}

// kindOf says what a plain value is.
func kindOf(x any) string {
	switch x := x.(type) {
	case nil:
		return "missing"
	case float64, bool:
		return fmt.Sprint(x)
	case string:
		return fmt.Sprintf("%q", x)
	case []any:
		return "a list"
	}
	return "a table"
}
