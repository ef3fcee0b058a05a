package declare

import (
	"fmt"
	"reflect"

	lua "github.com/yuin/gopher-lua"
)

// Numbers is a long list of numbers that a builtin gives packed: a script that
// only hands it on, to statistics or to another call, need not pay for a table.
// It stands wherever an argument is a list of numbers.
type Numbers struct {
	N    int `lua:"n" help:"how many numbers"`
	list []float64
}

// Pack gives numbers packed. The list must not be changed afterwards.
func Pack(list []float64) *Numbers { return &Numbers{len(list), list} }

// List returns the numbers, which must not be changed.
func (p *Numbers) List() []float64 { return p.list }

// LuaName is what scripts call it.
func (Numbers) LuaName() string { return "packed list of numbers" }

// Bytes is what the list takes, for the count of a script's memory.
func (p *Numbers) Bytes() int { return 8 * len(p.list) }

func (p *Numbers) String() string { return fmt.Sprintf("%d numbers, packed", p.N) }

// Loose is an argument of a pure builtin that may be a plain value, an object,
// or a table in which objects stand. A list of numbers alone comes as
// []float64, without a box for each.
type Loose any

var (
	looseType   = reflect.TypeFor[Loose]()
	numbersType = reflect.TypeFor[[]float64]()
)

func packedNumbers(arg lua.LValue) (*Numbers, bool) {
	ud, ok := arg.(*lua.LUserData)
	if !ok {
		return nil, false
	}
	packed, ok := ud.Value.(*Numbers)
	return packed, ok
}

// floats reads a table that is a list of numbers and nothing else.
func (in *Intake) floats(t *lua.LTable) (list []float64, all bool, err error) {
	n := t.Len()
	if n == 0 || n > mostValues-in.Values {
		return nil, false, nil
	}
	if _, isNumber := t.RawGetInt(1).(lua.LNumber); !isNumber {
		return nil, false, nil
	}
	if k, _ := t.Next(lua.LNumber(n)); k != lua.LNil { // what stands after the list
		return nil, false, nil
	}
	if err := in.room(8 * n); err != nil {
		return nil, false, err
	}
	list = make([]float64, n)
	for i := range list {
		x, isNumber := t.RawGetInt(i + 1).(lua.LNumber)
		if !isNumber {
			return nil, false, nil
		}
		list[i] = float64(x)
	}
	in.Values += n
	return list, true, nil
}

// allowsNumbers says whether each of many numbers is within the limits, without
// reflection.
func (f *Field) allowsNumbers(list []float64) bool {
	for _, x := range list {
		if !f.within(x) {
			return false
		}
	}
	return true
}
