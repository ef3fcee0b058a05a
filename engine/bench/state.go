package bench

import "slices"

// State is what requests leave on a bench: the patch on the screen, the unit's
// settings, lamps, angles and where the meter looks. The engine keeps two of
// them: what the kept steps of a run left, and what was asked for in this process.
// The first is put back by ordinary requests when a run goes on, as far as the
// second does not say that it stands already; so no driver remembers anything.
//
// The zero State is that of a bench of which nothing is known.
type State struct {
	patch *Patch
	off   bool
	left  []any // [Setting], [LampRequest], [TurnRequest], [PlaceRequest]: the last of what each puts, in the order of asking
}

// Take takes in a request that was granted. Those that leave nothing behind, as
// a reading, are passed over.
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

// Drop is told of a request that failed: how the bench stands now is not known.
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

// Lit are the lamps that are up.
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

// puts is what a request puts, so that a later one takes its place.
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
