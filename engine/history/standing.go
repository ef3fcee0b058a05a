package history

import "candelua/engine/journal"

// The reasons of a run that nobody stopped.
const (
	cutOff    = "it was cut off"
	restarted = "steps were set aside"
)

// standing is how the run stands, and why.
type standing struct {
	last        *journal.Record // the pause or the end that it stands still by; nil where it was cut off, or goes on
	first, void string          // reasons of the first and the last of the voids since
	stopped     string          // why it is resumed next, as pauses are shown to people
	said        bool            // by a pause or an end
}

func (s *standing) take(r journal.Record) {
	switch r.Kind {
	case journal.KindVoid:
		if s.first == "" {
			s.first = r.Reason
		}
		s.void = r.Reason
		if !s.said {
			s.stopped = restarted
		}
	case journal.KindPause, journal.KindEnd:
		s.last, s.first, s.void = &r, "", ""
		s.stopped, s.said = r.Reason, true
		if r.Status == journal.Done {
			s.stopped = "it was done"
		}
	case journal.KindResume:
		*s = standing{}
	case journal.KindAside: // as the safe end, which comes after what stopped the run
	default:
		s.last, s.first, s.void = nil, "", ""
	}
}

// pause is how a resumption is shown to people. A run that went back to a step by itself
// never stood still.
func (s *standing) pause(after int, r journal.Record) (p Pause, told bool) {
	p = Pause{After: after, At: r.T, Seconds: r.PauseSeconds, Reason: r.Reason}
	if p.Reason == "" {
		p.Reason = s.stopped
	}
	if p.Reason == "" {
		p.Reason = cutOff
	}
	return p, s.stopped != restarted || p.Seconds > 0
}

// Standing is how the run stands by its record; one that was cut off is paused.
func (h *History) Standing() journal.Standing {
	if last, ended := h.Journal.Ended(); ended {
		return last.Status
	}
	return journal.Paused
}

// Reason is why a run that is not done stands still, for people.
func (h *History) Reason() string {
	s := &h.standing
	switch {
	case s.void != "":
		return s.void
	case s.last == nil:
		return cutOff
	case s.last.Status == journal.Done:
		return ""
	}
	return s.last.Reason
}

// PauseReason is what the record says of the pause when the run goes on.
func (h *History) PauseReason() string {
	s := &h.standing
	switch {
	case s.last != nil && s.last.Kind == journal.KindEnd && s.last.Reason == "":
		return "it was " + string(s.last.Status)
	case s.last != nil:
		return s.last.Reason
	case s.first != "":
		return s.first
	}
	return cutOff
}
