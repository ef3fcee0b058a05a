package script

import (
	"reflect"
	"strings"
	"testing"
)

// holder has a field of each kind that objects have.
type holder struct {
	Number  float64            `lua:"number"`
	Text    string             `lua:"text"`
	List    []float64          `lua:"list"`
	Texts   []string           `lua:"texts"`
	Inner   []innerHolder      `lua:"inner"`
	Pointer *innerHolder       `lua:"pointer"`
	Any     any                `lua:"any"`
	Map     map[string]float64 `lua:"map"`
	packed  []float64
}

type innerHolder struct {
	Values []float64  `lua:"values"`
	Three  [3]float64 `lua:"three"`
}

func (h *holder) Bytes() int { return 8 * len(h.packed) }

// TestHeld: what an object holds is counted in each kind of field, at least as it is in memory, by its length and
// not by what was allocated; and of a type without lists it is the same for all.
func TestHeld(t *testing.T) {
	of := func(h *holder) int64 { return held(reflect.ValueOf(h).Elem()) }
	const n = 1000
	least := of(&holder{})
	numbers, roomy := make([]float64, n), make([]float64, n, 9*n)
	inner := innerHolder{Values: numbers}
	many := map[string]float64{}
	for i := range n {
		many[strings.Repeat("x", i)] = 1
	}
	for name, c := range map[string]struct {
		h     *holder
		bytes int64
	}{
		"text":    {&holder{Text: strings.Repeat("x", n)}, n},
		"list":    {&holder{List: numbers}, 8 * n},
		"texts":   {&holder{Texts: []string{"", strings.Repeat("x", n)}}, n + 32},
		"inner":   {&holder{Inner: []innerHolder{inner, inner}}, 16 * n},
		"pointer": {&holder{Pointer: &inner}, 8 * n},
		"any":     {&holder{Any: &inner}, 8 * n},
		"plain":   {&holder{Any: inner}, 8 * n},
		"map":     {&holder{Map: many}, n*n/2 + 24*n},
		"packed":  {&holder{packed: numbers}, 8 * n},
		"nested":  {&holder{Any: holder{packed: numbers}}, 8 * n},
	} {
		if got := of(c.h) - least; got < c.bytes || got > 2*c.bytes+200*n {
			t.Errorf("%s: %d bytes more than without, want %d", name, got, c.bytes)
		}
	}
	if of(&holder{List: numbers}) != of(&holder{List: roomy}) {
		t.Error("a list is counted by what was allocated")
	}
	if f := flatOf(reflect.TypeFor[struct {
		A float64    `lua:"a"`
		B [3]float64 `lua:"b"`
		C bool       `lua:"c"`
	}]()); f != (flat{true, 40}) {
		t.Errorf("numbers alone: %+v", f)
	}
}
