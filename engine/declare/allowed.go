package declare

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	lua "github.com/yuin/gopher-lua"

	"candelua/engine/fault"
	"candelua/engine/sandbox"
	"candelua/engine/spell"
)

// set converts one Lua value and checks its limits.
func (f *Field) set(in *Intake, dst reflect.Value, arg lua.LValue) error {
	if in.partial {
		return f.judge(in, dst, arg)
	}
	if err := in.few(f, arg); err != nil {
		return err
	}
	if err := in.assign(dst, arg); err != nil {
		return f.explain(err, f.Name)
	}
	return f.Check(dst, f.Name)
}

// explain turns what assign found wrong into an error about the argument.
func (f *Field) explain(err error, name string) error {
	switch e := err.(type) {
	case *misfit:
		return f.Wrong(name+e.at, e.arg, e.typ)
	case *fault.ArgError:
		return e.Inside(name)
	}
	return err
}

// Wrong says that a value, of the argument or inside of it, should be a t.
func (f *Field) Wrong(name string, arg lua.LValue, t reflect.Type) error {
	want := f.wantOf(t)
	if n, ok := arg.(lua.LNumber); ok && want == "a number" && !Finite(float64(n)) {
		want = "a finite number"
	}
	tip := f.described()
	if s, ok := arg.(lua.LString); ok && numeric(t) {
		if n, ok := numberMeant(string(s)); ok && f.within(n) {
			tip = "write " + Number(n) + ", without quotes"
			if name == f.Name && f.place == 0 {
				tip = "write " + name + " = " + Number(n) + ", without quotes"
			}
		}
	}
	wrong := &fault.ArgError{Arg: name, Got: Describe(arg), Want: want, Tip: tip}
	if s, ok := arg.(lua.LString); ok {
		wrong.Near = spell.Nearest(string(s), f.OneOf)
	}
	return wrong
}

// described is the argument's help as a hint, which says what it describes.
func (f *Field) described() string {
	if f.Help == "" || f.Name == "*" {
		return f.Help
	}
	return f.Name + ": " + f.Help
}

// numberMeant is the number that a text in place of one stands for: "5", and
// "five" as far as people write out numbers.
func numberMeant(s string) (float64, bool) {
	words := []string{"zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if i := slices.Index(words, strings.ToLower(s)); i >= 0 {
		return float64(i), true
	}
	n, ok := sandbox.ParseNumber(s)
	return float64(n), ok
}

func numeric(t reflect.Type) bool {
	t = pointed(t)
	return t.Kind() == reflect.Float64 || t.Kind() == reflect.Int
}

// pointed is the type that an optional argument has when it is there.
func pointed(t reflect.Type) reflect.Type {
	if t.Kind() == reflect.Pointer {
		return t.Elem()
	}
	return t
}

// Check looks at limits, also of each element of a list.
func (f *Field) Check(v reflect.Value, name string) error {
	switch v.Kind() {
	case reflect.Pointer:
		if v.IsNil() || v.Elem().Kind() == reflect.Struct {
			return nil
		}
		return f.Check(v.Elem(), name)
	case reflect.Slice, reflect.Array:
		if list, ok := v.Interface().([]float64); ok && f.allowsNumbers(list) {
			return nil
		}
		for i := range v.Len() {
			if x := v.Index(i); !f.allows(x) {
				return f.Check(x, name+Index(i+1))
			}
		}
	case reflect.Float64:
		if !f.allows(v) {
			return f.Wrong(name, lua.LNumber(v.Float()), v.Type())
		}
	case reflect.Int:
		if !f.allows(v) {
			return f.Wrong(name, lua.LNumber(v.Int()), v.Type())
		}
	case reflect.String:
		if !f.allows(v) {
			return f.Wrong(name, lua.LString(v.String()), v.Type())
		}
	}
	return nil
}

// allows says whether a single value is within the limits.
func (f *Field) allows(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Float64:
		return f.within(v.Float())
	case reflect.Int:
		return f.within(float64(v.Int()))
	case reflect.String:
		return f.OneOf == nil || slices.Contains(f.OneOf, v.String())
	case reflect.Slice, reflect.Array:
		return false // looked at one by one
	}
	return true
}

// Finite says whether x is a number that is neither infinite nor no number at all.
func Finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func (f *Field) within(x float64) bool {
	return Finite(x) &&
		(f.Min == nil || x >= *f.Min) && (f.Max == nil || x <= *f.Max) && (f.above == nil || x > *f.above)
}

// Want says what the argument may be, in words.
func (f *Field) Want() string {
	if f.wanted != "" {
		return f.wanted
	}
	return f.wantOf(f.Typ)
}

// Allowed is Want with the most that there may be, for the reference.
func (f *Field) Allowed() string {
	switch {
	case f.most == 0:
		return f.Want()
	case f.Typ.Kind() == reflect.String:
		return fmt.Sprintf("%s of %d bytes or fewer", f.Want(), f.most)
	}
	return fmt.Sprintf("%s, %d or fewer", f.Want(), f.most)
}

// wantOf says what a value of type t, the argument's or one inside of it, may be.
func (f *Field) wantOf(t reflect.Type) string {
	t = pointed(t)
	if f.wanted != "" && t == pointed(f.Typ) {
		return f.wanted
	}
	switch t.Kind() {
	case reflect.Slice:
		return "a list of " + f.Elements(t.Elem())
	case reflect.Array:
		return fmt.Sprintf("a list of %d %s", t.Len(), f.Elements(t.Elem()))
	case reflect.Int:
		return f.limits("a whole number")
	case reflect.Float64:
		if l := f.limits(""); l != "" {
			return l
		}
		return strings.TrimSpace("a number " + inUnit(f.Unit))
	case reflect.String:
		if f.OneOf != nil {
			return oneOf(f.OneOf)
		}
	}
	return NameOfType(t)
}

// Elements names the elements of a list.
func (f *Field) Elements(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Float64:
		return f.limits("numbers")
	case reflect.Int:
		return f.limits("whole numbers")
	case reflect.String:
		if f.OneOf != nil {
			return "texts, each " + oneOf(f.OneOf)
		}
		return "texts"
	case reflect.Slice:
		return "lists of " + f.Elements(t.Elem())
	}
	if t = pointed(t); t == ValueType {
		return "values"
	}
	if t.Kind() != reflect.Struct {
		return NameOfType(t)
	}
	if hasArgs(t) {
		return "tables " + For(t).shape()
	}
	return plural(NameOf(t))
}

func plural(noun string) string {
	if strings.HasSuffix(noun, "ch") {
		return noun + "es"
	}
	return noun + "s"
}

// oneOf lists words of which one is to be given.
func oneOf(words []string) string {
	if len(words) == 1 {
		return quoted(words)
	}
	return "one of " + quoted(words)
}

func quoted(words []string) string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = strconv.Quote(w)
	}
	return strings.Join(out, ", ")
}

func inUnit(unit string) string {
	if unit == "" {
		return ""
	}
	return "in " + unit
}

// limits writes the limits, after the word that says what is limited if there is one.
func (f *Field) limits(what string) string {
	from, comma := "", ""
	if what != "" {
		from, comma = what+" from ", what+", "
	}
	unit := ""
	if f.Unit != "" {
		unit = " " + f.Unit
	}
	switch {
	case f.Min != nil && f.Max != nil:
		return fmt.Sprintf("%s%s to %s%s", from, Number(*f.Min), Number(*f.Max), unit)
	case f.above != nil && f.Max != nil:
		return fmt.Sprintf("%sabove %s, to %s%s", comma, Number(*f.above), Number(*f.Max), unit)
	case f.Min != nil:
		return fmt.Sprintf("%s%s%s or more", comma, Number(*f.Min), unit)
	case f.above != nil:
		return fmt.Sprintf("%smore than %s%s", comma, Number(*f.above), unit)
	case f.Max != nil:
		return fmt.Sprintf("%s%s%s or less", comma, Number(*f.Max), unit)
	}
	return what
}

// NameOfType names what an argument of a type is, with its article.
func NameOfType(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Float64:
		return "a number"
	case reflect.Int:
		return "a whole number"
	case reflect.String:
		return "a text"
	case reflect.Bool:
		return "true or false"
	case reflect.Map:
		return "a table of named values"
	case reflect.Slice:
		return "a list"
	case reflect.Interface:
		return "a plain value"
	case reflect.Struct:
		switch {
		case t == functionType:
			return FunctionWord
		case t == ValueType:
			return "a value"
		case hasArgs(t):
			return "a table " + For(t).shape()
		}
		return Article(NameOf(t))
	}
	return t.String()
}

// Number writes a number as scripts do.
func Number(x float64) string {
	switch {
	case math.IsNaN(x):
		return "nan"
	case math.IsInf(x, 0):
		return strings.Replace(strings.ToLower(strconv.FormatFloat(x, 'g', -1, 64)), "+", "", 1)
	case x != 0 && (math.Abs(x) < 1e-6 || math.Abs(x) >= 1e15):
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}
