package declare

import (
	"fmt"
	"reflect"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/fault"
)

// mostValues is how many values the arguments of one call may hold, those in
// tables counted as often as they stand there.
const mostValues = 1 << 20

// What a call costs of a script's budget of work: each value that is taken, or
// looked at, some tens of nanoseconds, and its entry in a map more.
const (
	valueCost = 4
	entryCost = 30
)

// Limits bound in bytes what a script hands over at once. A limit of zero is none.
type Limits struct {
	Text  int // of one text
	Bytes int // of all values and texts, each counted as often as it is given
}

// An Intake takes what a script hands over at once: it measures all of it, charges
// the work and refuses too much, each before anything is copied. A table that
// holds another one many times over, or a text that stands in it a thousand times,
// counts as often as it would be written.
type Intake struct {
	Limits
	Spend func(int64) // charges work, in instructions; nil where nobody counts
	Grow  func(int64) // counts bytes that are made; nil where nobody counts

	Values  int
	Bytes   int  // taken so far, a lower bound of what they take in memory
	Texts   int  // those of them that are texts, without the keys of tables
	paid    int  // values whose work was charged before they were taken
	objects bool // objects may stand in tables, see [Loose]
	partial bool // some values are [Unknown]
}

// What values take in memory, in bytes: a lower bound.
const (
	tableBytes = 64
	boxedBytes = 24 // an interface and what it points to
	entryBytes = 48 // of a map, without the bytes of its key
)

// excess is too much of all together, whichever argument it was noticed in.
type excess struct{ most int }

func (e *excess) Error() string { return e.about(TheCall).Error() }

func (e *excess) about(whole string) *fault.ArgError {
	return &fault.ArgError{Arg: whole, Got: fmt.Sprintf("larger than %d bytes", e.most),
		Want: "smaller; a text or a table counts each time that it is given", Tip: "hand over less at once"}
}

func (in *Intake) spend(values int) {
	in.paid += values
	if in.Spend != nil {
		in.Spend(valueCost * int64(values))
	}
}

// Settle charges the values that nobody has paid for yet: those that stand in no table.
func (in *Intake) Settle() {
	in.spend(max(in.Values-in.paid, 0))
}

// few refuses more than an argument may have, bytes of a text or values of a list.
func (in *Intake) few(f *Field, arg lua.LValue) error {
	if f.most == 0 || in.Limits == (Limits{}) {
		return nil
	}
	n, of := 0, "values"
	switch arg := arg.(type) {
	case lua.LString:
		n, of = len(arg), "bytes"
	case *lua.LTable:
		in.Walk(arg)
		n = arg.Len()
	}
	if n <= f.most {
		return nil
	}
	return &fault.ArgError{Arg: f.Name, Got: fmt.Sprintf("%s of %d %s", NameOfType(f.Typ), n, of), Want: f.Allowed(), Tip: f.described()}
}

// room takes n bytes.
func (in *Intake) room(n int) error {
	if in.Bytes += n; in.Limits.Bytes > 0 && in.Bytes > in.Limits.Bytes {
		return &excess{in.Limits.Bytes}
	}
	if in.Grow != nil {
		in.Grow(int64(n))
	}
	return nil
}

// text takes a text.
func (in *Intake) text(s string) error {
	if in.Text > 0 && len(s) > in.Text {
		return &fault.ArgError{Got: fmt.Sprintf("a text of %d bytes", len(s)), Want: fmt.Sprintf("a text of %d bytes or fewer", in.Text)}
	}
	in.Texts += len(s)
	return in.room(len(s))
}

// Name takes a name that a table of some kind has as its key.
func (in *Intake) Name(table, name string) error {
	if in.Text > 0 && len(name) > mostName {
		return longKey(name, mostName).Inside(table)
	}
	if err := in.key(lua.LString(name)); err != nil {
		return (&excess{in.Limits.Bytes}).about(table)
	}
	return nil
}

// mostName is how many bytes a name has that messages repeat.
const mostName = 200

func longKey(key string, most int) *fault.ArgError {
	return &fault.ArgError{Got: fmt.Sprintf("a table with a key of %d bytes", len(key)), Want: fmt.Sprintf("a table whose keys have %d bytes or fewer", most)}
}

// key takes a table's key and its place.
func (in *Intake) key(k lua.LString) error {
	if in.Text > 0 && len(k) > in.Text {
		return longKey(string(k), in.Text)
	}
	if in.Limits != (Limits{}) && in.Spend != nil {
		in.Spend(entryCost)
	}
	return in.room(len(k) + entryBytes)
}

// items takes the room of a list's values of a type, and looks whether so many may be there.
func (in *Intake) items(n int, of reflect.Type) error {
	if n > mostValues-in.Values {
		return tooManyValues()
	}
	return in.room(n * int(of.Size()))
}

func tooManyValues() error {
	return &fault.ArgError{Got: fmt.Sprintf("holds more than %d values", mostValues)}
}

// Walk charges for looking through a table once or twice, emptied places included.
func (in *Intake) Walk(t *lua.LTable) { in.spend(slots(t)) }

// enter takes a table before it is looked through.
func (in *Intake) enter(t *lua.LTable) error {
	in.Walk(t)
	return in.room(tableBytes)
}

// A table's places stay when it is emptied, and the library looks at each of them to
// find the next value or the length.
var placesOf = func() (indexes [][]int) {
	for _, name := range []string{"array", "keys"} {
		f, ok := reflect.TypeFor[lua.LTable]().FieldByName(name)
		if !ok {
			panic("declare: the interpreter's tables have no " + name)
		}
		indexes = append(indexes, f.Index)
	}
	return indexes
}()

// slots is how many places a table has.
func slots(t *lua.LTable) (n int) {
	v := reflect.ValueOf(t).Elem()
	for _, index := range placesOf {
		n += v.FieldByIndex(index).Len()
	}
	return n
}
