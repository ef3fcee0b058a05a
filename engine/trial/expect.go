package trial

import (
	"fmt"
	"maps"
	"slices"

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

// expectationArgs is one expectation as a trial file states it.
type expectationArgs struct {
	Truth  any     `lua:"truth" want:"a number, the path of a world's parameter, or a function of the world" help:"such as 820, \"tone.exponent\" or { luminance = { grey = 1, window = 100 } }"`
	Within float64 `lua:"within" min:"0" help:"how far from the truth the value may be"`
	Unit   string  `lua:"unit" default:"" help:"\"%\" where within is a share of the truth, else the value's own unit"`
	Bound  *string `lua:"bound" one_of:"upper|lower" help:"lets the value be a limit of this kind, which passes where it holds"`
	OrNone bool    `lua:"or_not_evaluated" default:"false" help:"lets a value that is not evaluated pass"`
}

// expectations gives what expect = { … } states, in the order of the ids.
func expectations(stated map[string]expectationArgs) ([]Expectation, error) {
	var all []Expectation
	for _, id := range slices.Sorted(maps.Keys(stated)) {
		if result.ID(id) != id {
			return nil, fmt.Errorf("expect: %q is no id of a value, want small letters, digits and single hyphens, such as %q", id, result.ID(id))
		}
		a := stated[id]
		e := Expectation{ID: id, Truth: a.Truth, Within: a.Within, Unit: a.Unit, OrNone: a.OrNone}
		if a.Bound != nil {
			e.Bound = result.Bound(*a.Bound)
		}
		all = append(all, e)
	}
	return all, nil
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
