package script

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/spell"
)

// devices that a procedure can need.
var deviceNames = []string{"meter", "reference", "patches", "unit", "rig", "operator"}

// Devices are the names of all devices that a procedure can need.
func Devices() []string { return slices.Clone(deviceNames) }

// optional is what a need says in place of true where the procedure does without.
const optional = "optional"

// needsOf reads the needs of a contract. The words for what a device must be able to do are
// those of [bench.Abilities].
func needsOf(m map[string]any) (bench.Needs, error) {
	needs := bench.Needs{}
	for _, place := range slices.Sorted(maps.Keys(m)) {
		if !slices.Contains(deviceNames, place) {
			return nil, &fault.ArgError{Arg: "needs", Got: "has the unknown device " + declare.Quote(place) + meant(place, deviceNames),
				Tip: "a bench can have " + strings.Join(deviceNames, ", ")}
		}
		options, ok := m[place].(map[string]any)
		if list, isList := m[place].([]any); isList && len(list) == 0 {
			ok = true
		}
		if !ok {
			return nil, &fault.ArgError{Arg: "needs." + place, Got: declare.Show(m[place]), Want: "a table", Tip: needTip(place)}
		}
		need, err := needOf(place, options)
		if err != nil {
			return nil, err
		}
		needs[place] = need
	}
	return needs, nil
}

func needOf(place string, options map[string]any) (need bench.Need, err error) {
	words := bench.NeedWords(place)
	for _, word := range slices.Sorted(maps.Keys(options)) {
		arg := "needs." + place + "." + word
		switch value := options[word]; {
		case word == optional:
			is, ok := value.(bool)
			if !ok || !is {
				return need, &fault.ArgError{Arg: arg, Got: declare.Show(value), Want: "true", Tip: "leave it out where the procedure needs the device"}
			}
			need.Optional = true
		case !slices.Contains(words, word):
			return need, &fault.ArgError{Arg: "needs." + place, Got: "has the unknown word " + declare.Quote(word) + meant(word, words), Tip: needTip(place)}
		default:
			wish, ok := wishOf(value, bench.TakesNames(place, word))
			if !ok {
				want := `true or "optional"`
				if bench.TakesNames(place, word) {
					want += ", or a list of names"
				}
				return need, &fault.ArgError{Arg: arg, Got: declare.Show(value), Want: want, Tip: needTip(place)}
			}
			if need.Abilities == nil {
				need.Abilities = map[string]bench.Wish{}
			}
			need.Abilities[word] = wish
		}
	}
	return need, nil
}

func wishOf(value any, named bool) (wish bench.Wish, ok bool) {
	switch v := value.(type) {
	case bool:
		return wish, v
	case string:
		wish.Optional = true
		return wish, v == optional
	case []any:
		for _, x := range v {
			name, isText := x.(string)
			if !isText {
				return wish, false
			}
			wish.Names = append(wish.Names, name)
		}
		return wish, named && len(v) > 0
	}
	return wish, false
}

func meant(word string, words []string) string {
	if near := spell.Nearest(word, words); near != "" {
		return fmt.Sprintf("; did you mean %q?", near)
	}
	return ""
}

// needTip says what can be needed of a place.
func needTip(place string) string {
	words := bench.NeedWords(place)
	if len(words) == 0 {
		return "write " + place + " = {}; nothing more can be needed of it"
	}
	if len(words) == 1 {
		return fmt.Sprintf("write %s = {}, or, if it must be able to do that, %s = { %s = true }; this is the only word", place, place, words[0])
	}
	return fmt.Sprintf("write %s = {}, or what it must be able to do, as in %s = { %s = true }; the words are %s", place, place, words[0], strings.Join(words, ", "))
}

// rulesOfNeeds are those since which a step that the contract's needs do not name is an error.
const rulesOfNeeds = 4

// needed refuses a step that the contract does not name the need of. Else a procedure would
// run on this bench, which happens to have what it uses, and end in its middle on another.
func (c *Call) needed(request func() (any, error)) error {
	if !c.rt.since(rulesOfNeeds) || c.rt.settling || !slices.Contains(deviceNames, c.device) {
		return nil
	}
	var asked any
	if request != nil {
		var err error
		if asked, err = request(); err != nil {
			return err
		}
	}
	return lacking(c.rt.contract.Needed, c.device, asked)
}

// lacking is the error of needs that do not state what a step uses.
func lacking(stated bench.Needs, device string, asked any) error {
	needs, lacking := stated.With(device, asked)
	if !lacking {
		return nil
	}
	what := bench.Needs{device: needs[device]}.String()
	return &fault.ArgError{Arg: "needs", Got: "of the procedure lack " + strings.TrimSuffix(strings.TrimPrefix(what, "{ "), " }") + ", which this step uses",
		Tip: "write needs = " + needs.String() + "; then the bench is checked before step 1"}
}
