package trial

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/result"
	"candelua/engine/spell"
)

// Expectation says what a value must be.
type Expectation struct {
	ID    string `json:"id"` // of the value
	Truth any    `json:"-"`  // what [World.Truth] is asked, in worlds without an entry in Truths
	// Truths are asked instead in the worlds of these names.
	Truths map[string]any `json:"-"`
	// Within is how far from the truth the value may be: in percent of the
	// truth where Unit is "%", else in the value's own unit.
	Within float64 `json:"within"`
	// Unit is "%", or what the value's unit must be, or "".
	Unit string `json:"unit,omitempty"`
	// Bound lets the value be a bound of this kind, which passes where it holds
	// and lies within BoundWithin of the truth, in the unit of Within. Any
	// other bound that holds counts as not evaluated.
	Bound       result.Bound `json:"bound,omitempty"`
	BoundWithin float64      `json:"bound_within,omitempty"`
	// OrNone lets a value that is not evaluated pass: it must only not be
	// wrong.
	OrNone bool `json:"or_not_evaluated,omitempty"`
	// Covers is the least share, of a world's runs that gave a number, whose
	// interval of 95 % must hold the truth; 0 where none is asked for.
	Covers float64 `json:"covers,omitempty"`
}

// relative says that the tolerance is a share of the truth.
func (e *Expectation) relative() bool { return e.Unit == percent }

const percent = "%"

// expectationArgs is one expectation as a trial file states it.
type expectationArgs struct {
	Truth  any            `lua:"truth" optional:"true" want:"a number, the path of a world's parameter, or a function of the world" help:"such as 820, \"tone.exponent\" or { luminance = { grey = 1, window = 100 } }"`
	Truths map[string]any `lua:"truths" optional:"true" help:"a truth for each of worlds, by its name, instead of truth: truths = { phone = 820, dim = \"light.white\" }"`
	Within float64        `lua:"within" min:"0" help:"largest distance of the value from the truth"`
	Unit   string         `lua:"unit" default:"" help:"unit of within: \"%\" of the truth, or the value's own unit"`
	Bound  *string        `lua:"bound" one_of:"upper|lower" help:"lets a bound of this kind pass if it holds and lies within bound_within"`
	// The unit of within is that of bound_within, too.
	BoundWithin *float64 `lua:"bound_within" min:"0" help:"largest distance of such a bound from the truth, in the unit of within"`
	OrNone      bool     `lua:"or_not_evaluated" default:"false" help:"lets a value that is not evaluated pass"`
	Covers      float64  `lua:"covers" default:"0" min:"0" max:"1" help:"least share of the runs in which the 95 % interval holds the truth; needs draws"`
}

// expectations gives what expect = { … } states, in the order of the ids.
func (t *Trial) expectations(stated map[string]expectationArgs) error {
	if stated != nil && len(stated) == 0 && t.Refuses == "" {
		return t.wrong(errors.New("expect is empty; name at least one value"), "expect")
	}
	for _, id := range slices.Sorted(maps.Keys(stated)) {
		if result.ID(id) != id {
			return t.wrong(fmt.Errorf("expect: %q is not an id of a value; it must consist of small letters, digits and single hyphens, such as %q", id, result.ID(id)), "expect", id)
		}
		a := stated[id]
		if err := a.check(id); err != nil {
			return t.wrong(err, "expect", id, err.part)
		}
		e := Expectation{ID: id, Truth: a.Truth, Truths: a.Truths, Within: a.Within, Unit: a.Unit, OrNone: a.OrNone, Covers: a.Covers}
		if a.Bound != nil {
			e.Bound, e.BoundWithin = result.Bound(*a.Bound), *a.BoundWithin
		}
		t.Expect = append(t.Expect, e)
	}
	return nil
}

// partError is what is wrong with one part of an expectation.
type partError struct {
	id, part, text string
}

func (e *partError) Error() string {
	return fmt.Sprintf("expect[%q].%s %s", e.id, e.part, e.text)
}

// check refuses an expectation that no value can be compared with.
func (a *expectationArgs) check(id string) *partError {
	switch {
	case a.Truth == nil && a.Truths == nil:
		return &partError{id, "truth", "is missing; it must be a number, the path of a world's parameter, or a function of the world"}
	case a.Truth != nil && a.Truths != nil:
		return &partError{id, "truths", "is given beside truth; give one of them"}
	case !possible(a.Truth):
		return &partError{id, "truth", fmt.Sprintf("is %s; it must be a finite number; look for a division by zero", declare.Show(a.Truth))}
	case a.Bound != nil && a.BoundWithin == nil:
		return &partError{id, "bound", fmt.Sprintf("is %q without bound_within; give both: state the largest distance of the bound from the truth, in the unit of within", *a.Bound)}
	case a.Bound == nil && a.BoundWithin != nil:
		return &partError{id, "bound_within", `is given without bound; give both: add bound = "upper" or bound = "lower"`}
	}
	return nil
}

// possible says whether a truth, where it is stated as a number, can be one.
func possible(truth any) bool {
	x, isNumber := truth.(float64)
	return !isNumber || finite(x)
}

// checkWorlds wants a truth for each world, and for no other, where an expectation has one
// for each.
func (e *Expectation) checkWorlds(worlds []NamedWorld) error {
	if e.Truths == nil {
		return nil
	}
	var names []string
	for _, w := range worlds {
		names = append(names, w.Name)
		if e.Truths[w.Name] == nil {
			return fmt.Errorf("expect[%q].truths has none for the world %q; give one for each world", e.ID, w.Name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(e.Truths)) {
		if !slices.Contains(names, name) {
			return &fault.UsageError{Err: fmt.Errorf("expect[%q].truths names the world %q; it must be one of %q", e.ID, name, names), Tip: didYouMean(spell.Nearest(name, names))}
		}
		if truth := e.Truths[name]; !possible(truth) {
			return fmt.Errorf("expect[%q].truths[%q] is %s; it must be a finite number; look for a division by zero", e.ID, name, declare.Show(truth))
		}
	}
	return nil
}

func didYouMean(near string) string {
	if near == "" {
		return ""
	}
	return fmt.Sprintf("did you mean %q?", near)
}

// stated is the field that states the truth.
func (e *Expectation) stated() string {
	if e.Truths != nil {
		return "truths"
	}
	return "truth"
}

// truthIn is what is asked of a world.
func (e *Expectation) truthIn(world string) any {
	if truth, ok := e.Truths[world]; ok {
		return truth
	}
	return e.Truth
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// kindOf says what a plain value is.
func kindOf(x any) string {
	switch x := x.(type) {
	case nil:
		return "missing"
	case float64, bool:
		return fmt.Sprint(x)
	case string:
		return fmt.Sprintf("the text %q", x)
	case []any:
		return "a list"
	}
	return "a table"
}
