package bench

import "slices"

// State is the state in which requests leave a bench: the patch on the screen, the
// unit's settings, lamps, angles and the place of the meter. The engine keeps two
// of them: the state after the kept steps of a run, and the state that this process
// asked for. When a run is resumed, the engine restores the first by ordinary
// requests, except for the parts that the second shows to be in place; so no driver
// has to remember anything.
//
// The zero State is that of a bench about which nothing is known.
type State struct {
	patch *Patch
	off   bool
	left  []any // [Setting], [LampRequest], [TurnRequest], [PlaceRequest]: the last of what each puts, in the order of asking
}

// Take adds a request that succeeded. Requests that do not change the bench, such
// as a reading, are ignored.
func (s *State) Take(request any) {
	switch q := request.(type) {
	case Patch:
		s.patch = &q
	case []TimedPatch:
		if n := len(q); n > 0 {
			s.patch = &q[n-1].Patch
		}
	case PowerRequest:
		s.off = !q.On
	case []Setting:
		for _, one := range q {
			s.put(one)
		}
	case LampRequest, TurnRequest, PlaceRequest:
		s.put(q)
	case SafeRequest:
		s.left = slices.DeleteFunc(s.left, isLit)
	}
}

// Drop removes what a failed request asked for, because the state is then unknown.
func (s *State) Drop(request any) {
	switch q := request.(type) {
	case Patch, []TimedPatch:
		s.patch = nil
	case []Setting:
		for _, one := range q {
			s.forget(one)
		}
	case LampRequest, TurnRequest, PlaceRequest:
		s.forget(q)
	}
}

// Has says whether a request would leave all as it is in s.
func (s *State) Has(request any) bool {
	switch q := request.(type) {
	case Patch:
		return s.patch != nil && *s.patch == q
	case PowerRequest:
		return s.off == !q.On
	}
	return slices.Contains(s.left, request)
}

// Patch is the one on the screen; false where none was shown, or the unit is off.
func (s *State) Patch() (Patch, bool) {
	if s.patch == nil || s.off {
		return Patch{}, false
	}
	return *s.patch, true
}

// Off says that the unit was switched off.
func (s *State) Off() bool { return s.off }

// Settings are the unit's, the last of each name, in the order of asking.
func (s *State) Settings() []Setting {
	var all []Setting
	for _, q := range s.left {
		if setting, ok := q.(Setting); ok {
			all = append(all, setting)
		}
	}
	return all
}

// Rig are the requests of the rig, the last of each lamp, each axis and the
// place, in the order of asking.
func (s *State) Rig() []any {
	return slices.DeleteFunc(slices.Clone(s.left), func(q any) bool {
		_, ofUnit := q.(Setting)
		return ofUnit
	})
}

// Lit are the lamps that are on.
func (s *State) Lit() []LampRequest {
	var lit []LampRequest
	for _, q := range s.left {
		if isLit(q) {
			lit = append(lit, q.(LampRequest))
		}
	}
	return lit
}

func isLit(request any) bool {
	q, ok := request.(LampRequest)
	return ok && q.Level > 0
}

func (s *State) put(request any) {
	s.forget(request)
	s.left = append(s.left, request)
}

func (s *State) forget(request any) {
	s.left = slices.DeleteFunc(s.left, func(was any) bool { return puts(was) == puts(request) })
}

// puts is what a request sets, so that a later request replaces it.
func puts(request any) any {
	switch q := request.(type) {
	case Setting:
		return Setting{Name: q.Name}
	case LampRequest:
		return LampRequest{Lamp: q.Lamp}
	case TurnRequest:
		return TurnRequest{Axis: q.Axis}
	}
	return PlaceRequest{}
}
