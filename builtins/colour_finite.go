package builtins

import (
	"reflect"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/script"
)

// errNotFinite is the error for a result that is infinite or not a number.
var errNotFinite error = &fault.ArgError{Arg: "the result", Got: "infinite or not a number", Want: "finite numbers",
	Tip: "an argument is too large, or too close to zero, for this function; check its unit, and look for readings of black"}

// pure declares a function of the colour module: it gives finite numbers or an
// error, so that no NaN travels on into a report.
func pure[A, R any](name, help string, fn func(*script.Call, A) (R, error), opts ...script.Option) *script.Func {
	return script.Pure(name, help, func(c *script.Call, a A) (R, error) {
		r, err := fn(c, a)
		if err == nil && !allFinite(reflect.ValueOf(&r).Elem()) {
			err = errNotFinite
		}
		return r, err
	}, opts...)
}

// allFinite says whether all numbers that a script can see of a value are finite.
func allFinite(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Float64:
		return isFinite(v.Float())
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			return true
		}
		if p, ok := v.Interface().(*declare.Numbers); ok {
			return isFinite(p.List()...)
		}
		return allFinite(v.Elem())
	case reflect.Slice:
		if list, ok := v.Interface().([]float64); ok {
			return isFinite(list...)
		}
		for i := range v.Len() {
			if !allFinite(v.Index(i)) {
				return false
			}
		}
	case reflect.Struct:
		if l, ok := v.Interface().(ColourList); ok {
			return isFinite(l.data...)
		}
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() && !allFinite(v.Field(i)) {
				return false
			}
		}
	}
	return true
}

func isFinite(list ...float64) bool {
	sum := 0.0
	for _, x := range list {
		sum += x - x // 0 for what is finite, else NaN
	}
	return sum == 0
}
