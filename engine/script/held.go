package script

import (
	"reflect"
	"sync"
)

// Sized is an object that holds data beside its fields with a lua tag, such as a packed list.
// Bytes says how much, by lengths and not by what was allocated: it must be alike in the
// run, its replay and its draws.
type Sized interface{ Bytes() int }

var sizedType = reflect.TypeFor[Sized]()

// What parts of an object take, in bytes: alike on every machine.
const (
	numberBytes  = 8  // and a truth, and an address
	headBytes    = 16 // of a text or an interface, beside what is in it
	pointerBytes = 16 // an address with the least that is allocated
)

// held measures what a value that a script is given holds, in bytes. It is measured once, when
// the object is made; what two objects share counts in both.
func held(v reflect.Value) int64 {
	t := v.Type()
	if f := flatOf(t); f.flat {
		return f.bytes
	}
	switch t.Kind() {
	case reflect.String:
		return headBytes + int64(v.Len())
	case reflect.Slice, reflect.Array:
		return heldByList(v)
	case reflect.Map:
		sum := int64(numberBytes)
		for entries := v.MapRange(); entries.Next(); {
			sum += fieldBytes + held(entries.Key()) + held(entries.Value())
		}
		return sum
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			return headBytes
		}
		return headBytes + pointerBytes + held(v.Elem())
	case reflect.Struct:
		return heldByStruct(v)
	}
	return numberBytes
}

func heldByList(v reflect.Value) int64 {
	sum := int64(headBytes + numberBytes)
	if f := flatOf(v.Type().Elem()); f.flat {
		return sum + f.bytes*int64(v.Len())
	}
	for i := range v.Len() {
		sum += held(v.Index(i))
	}
	return sum
}

func heldByStruct(v reflect.Value) (sum int64) {
	for _, i := range fieldsOf(v.Type()).index {
		sum += held(v.Field(i))
	}
	if reflect.PointerTo(v.Type()).Implements(sizedType) {
		p := reflect.New(v.Type())
		if v.CanAddr() {
			p = v.Addr()
		} else {
			p.Elem().Set(v)
		}
		sum += int64(p.Interface().(Sized).Bytes())
	}
	return sum
}

// flat says whether all values of a type hold as much, and how much.
type flat struct {
	flat  bool
	bytes int64
}

var flatByType sync.Map // reflect.Type -> flat, never changed

func flatOf(t reflect.Type) flat {
	switch t.Kind() {
	case reflect.Bool, reflect.Int, reflect.Float64:
		return flat{true, numberBytes}
	case reflect.Array:
		f := flatOf(t.Elem())
		return flat{f.flat, f.bytes * int64(t.Len())}
	case reflect.Struct:
		if f, ok := flatByType.Load(t); ok {
			return f.(flat)
		}
		f := flatStruct(t)
		flatByType.Store(t, f)
		return f
	}
	return flat{}
}

func flatStruct(t reflect.Type) flat {
	f := flat{flat: !reflect.PointerTo(t).Implements(sizedType)}
	for _, i := range fieldsOf(t).index {
		of := flatOf(t.Field(i).Type)
		f.flat = f.flat && of.flat
		f.bytes += of.bytes
	}
	return f
}
