package bench

import "reflect"

// Partial is a device whose type has the methods of abilities that this device may lack,
// since a driver learns what its instrument can do only when it opens it.
type Partial interface {
	// Lacks says so of an ability, by the name of its interface in [Abilities].
	Lacks(ability string) bool
}

// As is a device with an ability, false where it lacks it. All who ask for an ability
// ask here.
func As[A any](d Device) (a A, ok bool) {
	if a, ok = d.(A); !ok {
		return a, false
	}
	if p, partly := d.(Partial); partly && p.Lacks(reflect.TypeFor[A]().Name()) {
		var none A
		return none, false
	}
	return a, true
}
