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
	patch    *Patch
	off      bool
	settings []Setting     // the last of each name, in the order of asking
	rig      []RigRequest  // the last of what each puts, in the order of asking
	lit      []LampRequest // lamps that may be up, also those whose request failed
}

// Take adds a request that succeeded. Requests that do not change the bench, such
// as a reading, are ignored.
func (s *State) Take(request any) {
	switch q := request.(type) {
	case Patch:
		s.show(q)
	case []TimedPatch:
		if n := len(q); n > 0 {
			s.show(q[n-1].Patch)
		}
	case PowerRequest:
		s.off = !q.On
	case []Setting:
		for _, one := range q {
			s.forgetSetting(one)
			s.settings = append(s.settings, one)
		}
	case RigRequest:
		s.forgetRig(q)
		s.rig = append(s.rig, q)
		s.light(q)
	case SafeRequest:
		s.rig = slices.DeleteFunc(s.rig, isLit)
		s.lit = nil
	}
}

// show keeps a patch. It wakes a unit that was off.
func (s *State) show(p Patch) { s.patch, s.off = &p, false }

// light keeps which lamps may be up.
func (s *State) light(request RigRequest) {
	q, isLamp := request.(LampRequest)
	if !isLamp {
		return
	}
	s.lit = slices.DeleteFunc(s.lit, func(was LampRequest) bool { return was.Lamp == q.Lamp })
	if q.Level > 0 {
		s.lit = append(s.lit, q)
	}
}

// Drop removes what a request that failed was about: its state is not known.
func (s *State) Drop(request any) {
	switch q := request.(type) {
	case Patch, []TimedPatch:
		s.patch = nil
	case []Setting:
		for _, one := range q {
			s.forgetSetting(one)
		}
	case RigRequest:
		s.forgetRig(q)
		if isLit(q) { // it may be up all the same
			s.light(q)
		}
	}
}

// Has reports whether a request would leave the bench as it is in s.
func (s *State) Has(request any) bool {
	switch q := request.(type) {
	case Patch:
		return s.patch != nil && *s.patch == q
	case PowerRequest:
		return s.off == !q.On
	case Setting:
		return slices.Contains(s.settings, q)
	case RigRequest:
		return slices.Contains(s.rig, q)
	}
	return false
}

// Patch returns the one on the screen; false if none was shown, or the unit is off.
func (s *State) Patch() (Patch, bool) {
	if s.patch == nil || s.off {
		return Patch{}, false
	}
	return *s.patch, true
}

// Requests are those that would leave a bench so: the patch, and those of the rig.
func (s *State) Requests() []any {
	var all []any
	if p, any := s.Patch(); any {
		all = append(all, p)
	}
	for _, q := range s.rig {
		all = append(all, q)
	}
	return all
}

// Off reports whether the unit was switched off.
func (s *State) Off() bool { return s.off }

// Settings returns the unit's, the last of each name, in the order of asking.
func (s *State) Settings() []Setting { return s.settings }

// Rig returns the requests of the rig, the last of each lamp, each axis and the
// place, in the order of asking.
func (s *State) Rig() []RigRequest { return s.rig }

// Lit returns the lamps that may be up: also those whose request failed.
func (s *State) Lit() []LampRequest { return s.lit }

func isLit(request RigRequest) bool {
	q, ok := request.(LampRequest)
	return ok && q.Level > 0
}

func (s *State) forgetSetting(one Setting) {
	s.settings = slices.DeleteFunc(s.settings, func(was Setting) bool { return was.Name == one.Name })
}

func (s *State) forgetRig(q RigRequest) {
	s.rig = slices.DeleteFunc(s.rig, func(was RigRequest) bool { return was.Puts() == q.Puts() })
}
