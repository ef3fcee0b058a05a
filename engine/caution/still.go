package caution

import (
	"time"

	"candelua/engine/bench"
)

// What counts as a bright picture that stands still (common practice, no source).
const (
	stillLight = 0.1              // the brightest light of a picture that counts, relative to SDR white
	stillFor   = 10 * time.Second // how long it stands at least
)

// Brightness is the light of the brightest part of a patch: 1 is SDR white, or 200 cd/m² of an HDR signal.
func Brightness(p bench.Patch) float64 {
	_, bright := relative(p.RGB, p.Signal)
	if p.Window < 100 || p.Pattern.Kind != bench.Window {
		_, around := relative(p.Background, p.Signal)
		bright = max(bright, around)
	}
	if p.Pattern.Kind != bench.Window {
		_, from := relative(p.Pattern.From, p.Signal)
		bright = max(bright, from)
	}
	return bright
}

// Still adds up how long bright pictures stood still. A picture counts with its whole time, weighted by its brightness, if it
// stood for 10 s or more; a shorter or a darker one does not count. A picture that is shown again without another
// between stands on.
type Still struct {
	Hours   float64 // of full SDR white, or of what marks a panel as much by this measure
	Longest float64 // how long the longest of them stood, in seconds
	Most    float64 // brightness of the brightest of them

	patch *bench.Patch
	since time.Duration
}

// Show says that a patch is on the screen since a time.
func (s *Still) Show(p bench.Patch, at time.Duration) {
	if s.patch != nil && *s.patch == p {
		return
	}
	s.End(at)
	s.patch, s.since = &p, at
}

// End says that the screen no longer shows anything.
func (s *Still) End(at time.Duration) {
	if s.patch == nil {
		return
	}
	stood, bright := at-s.since, Brightness(*s.patch)
	s.patch = nil
	if stood < stillFor || bright < stillLight {
		return
	}
	s.Hours += stood.Hours() * bright
	s.Longest = max(s.Longest, stood.Seconds())
	s.Most = max(s.Most, bright)
}

// Ask takes in what a step asked the unit for, from its begin to its end.
func (s *Still) Ask(request any, began, ended time.Duration) {
	switch q := request.(type) {
	case bench.Patch:
		s.Show(q, ended)
	case []bench.TimedPatch:
		at := ended
		for _, t := range q {
			at -= time.Duration(t.Hold * float64(time.Second))
		}
		for _, t := range q {
			s.Show(t.Patch, max(at, began))
			at += time.Duration(t.Hold * float64(time.Second))
		}
	case bench.PowerRequest:
		if !q.On {
			s.End(ended)
		}
	}
}
