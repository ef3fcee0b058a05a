package bench

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Needs is what a procedure needs of the bench, by the place there ([Kind]).
type Needs map[string]Need

// Need is what it needs of one place.
type Need struct {
	// Optional says that the procedure does without where the place is empty.
	Optional  bool            `json:"optional,omitempty"`
	Abilities map[string]Wish `json:"abilities,omitempty"` // by their words, see [Ability]
}

// Wish is an ability that is needed.
type Wish struct {
	Optional bool     `json:"optional,omitempty"` // the procedure does without
	Names    []string `json:"names,omitempty"`    // of what has names, such as lamps; nil: any
}

// NeedWords are the words by which abilities of a place can be needed.
func NeedWords(place string) []string {
	var words []string
	for _, a := range abilitiesOf(place) {
		words = append(words, a.Need)
	}
	return words
}

// Does says in words what a need demands of a place, as in "reads spectra"; empty where there is no such word.
func Does(place, word string) string {
	for _, a := range abilitiesOf(place) {
		if a.Need == word {
			return a.Does
		}
	}
	return ""
}

// TakesNames says whether the ability of a place has names, such as those of lamps.
func TakesNames(place, word string) bool {
	return slices.ContainsFunc(abilitiesOf(place), func(a *Ability) bool { return a.Need == word && a.name != nil })
}

// DeviceWords says in words what a place holds: "a source of patches".
func DeviceWords(place string) string {
	switch Kind(place) {
	case KindPatches:
		return "a source of patches"
	case KindReference:
		return "a reference meter"
	case KindOperator:
		return "an operator"
	}
	return "a " + place
}

// DoesWords says in words what a device with an ability does: "moves the meter".
func DoesWords(place, word string) string {
	for _, a := range abilitiesOf(place) {
		if a.Need == word {
			return a.Does
		}
	}
	return ""
}

// abilitiesOf are those that can be needed of a place.
func abilitiesOf(place string) (all []*Ability) {
	kind := Kind(place)
	if kind == KindReference {
		kind = KindMeter
	}
	for i := range Abilities {
		if a := &Abilities[i]; a.Need != "" && a.Kind == kind {
			all = append(all, a)
		}
	}
	return all
}

// With returns the needs with what a request to a place needs besides, and whether that
// was not among them. A request may be nil.
func (n Needs) With(place string, request any) (Needs, bool) {
	need, there := n[place]
	more := !there
	abilities := maps.Clone(need.Abilities)
	if abilities == nil {
		abilities = map[string]Wish{}
	}
	for _, a := range abilitiesOf(place) {
		if request == nil || !a.asked(request) {
			continue
		}
		wish, needed := abilities[a.Need]
		if a.name != nil && (!needed || wish.Names != nil) && !slices.Contains(wish.Names, a.name(request)) {
			wish.Names = append(slices.Clone(wish.Names), a.name(request))
			needed = false
		}
		if !needed {
			abilities[a.Need], more = wish, true
		}
	}
	if !more {
		return n, false
	}
	out := maps.Clone(n)
	if out == nil {
		out = Needs{}
	}
	out[place] = Need{need.Optional, abilities}
	return out, true
}

// String writes the needs as a procedure does: { meter = {}, rig = { place = true } }.
func (n Needs) String() string {
	return luaTable(n, func(place string, need Need) string {
		table := luaTable(need.Abilities, func(_ string, w Wish) string { return w.String() })
		switch {
		case need.Optional && len(need.Abilities) == 0:
			return "{ optional = true }"
		case need.Optional:
			return "{ optional = true, " + strings.TrimPrefix(table, "{ ")
		}
		return table
	})
}

// String writes the wish as a procedure does.
func (w Wish) String() string {
	switch {
	case w.Optional:
		return `"optional"`
	case w.Names == nil:
		return "true"
	}
	quoted := make([]string, len(w.Names))
	for i, name := range w.Names {
		quoted[i] = strconv.Quote(name)
	}
	return "{ " + strings.Join(quoted, ", ") + " }"
}

func luaTable[V any](m map[string]V, value func(string, V) string) string {
	if len(m) == 0 {
		return "{}"
	}
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(m)) {
		parts = append(parts, name+" = "+value(name, m[name]))
	}
	return "{ " + strings.Join(parts, ", ") + " }"
}

// Lacks lists in words all that is needed and that the bench lacks; nil for nothing.
func (b *Bench) Lacks(n Needs) (all []string) {
	for _, place := range slices.Sorted(maps.Keys(n)) {
		d := b.Device(place)
		if d == nil {
			if !n[place].Optional {
				all = append(all, DeviceWords(place))
			}
			continue
		}
		for _, a := range abilitiesOf(place) {
			wish, needed := n[place].Abilities[a.Need]
			switch {
			case !needed || wish.Optional:
			case !a.has(d):
				all = append(all, fmt.Sprintf("%s that %s (%s: %s)", DeviceWords(place), a.Does, place, a.Need))
			case a.names != nil:
				all = append(all, lackedNames(a, d, wish.Names)...)
			}
		}
	}
	return all
}

// Able lists in words what the device in a place is able to do, of what can be needed.
func (b *Bench) Able(place string) []string {
	all := []string{}
	d := b.Device(place)
	for _, a := range abilitiesOf(place) {
		if d == nil || !a.has(d) {
			continue
		}
		text := a.Does
		if a.names != nil {
			if names, knows := a.names(d); knows {
				text += " (" + strings.Join(names, ", ") + ")"
			}
		}
		all = append(all, text)
	}
	return all
}

// lackedNames lists the names that a device, which knows its own, does not know.
func lackedNames(a *Ability, d Device, wanted []string) (all []string) {
	known, knows := a.names(d)
	for _, name := range wanted {
		if !knows || slices.Contains(known, name) {
			continue
		}
		text := fmt.Sprintf("the %s %q; it has %s", strings.TrimSuffix(a.Need, "s"), name, list(known))
		if near := didYouMean(name, known); near != "" {
			text += ", " + near
		}
		all = append(all, text)
	}
	return all
}
