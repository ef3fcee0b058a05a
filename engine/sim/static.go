package sim

import (
	"math"
	"time"
)

// still is the dimming of content that does not change. Model of our own: the
// light has the factor f, which goes to 1 − by once the same content, other
// than black, has stood for after, and back to 1 when the content changes,
//
//	f(t) = F + (f₀ − F)·exp(−t/τ)    τ = ramp or back
//
// Steady truths are without it, as of content that has just changed.
type still struct {
	p StaticParams

	content int
	dark    bool
	began   time.Duration // of the content

	since    time.Duration
	from, to float64
}

func newStill(p StaticParams) *still { return &still{p: p, from: 1, to: 1, dark: true} }

func (s *still) seconds() float64 {
	if s.to < 1 {
		return s.p.Ramp
	}
	return s.p.Back
}

func (s *still) at(t time.Duration) float64 {
	return s.to + (s.from-s.to)*math.Exp(-(t-s.since).Seconds()/s.seconds())
}

// due returns when the content has stood for too long.
func (s *still) due() time.Duration {
	if s.p.By == 0 || s.dark {
		return never
	}
	return s.began + seconds(s.p.After)
}

func (s *still) turn(t time.Duration, l load) {
	s.from, s.since = s.at(t), t
	if dark := l.drive == 0; l.content != s.content || dark != s.dark {
		s.content, s.dark, s.began, s.to = l.content, dark, t, 1
	}
	if t >= s.due() {
		s.to = 1 - s.p.By/100
	}
}

func (s *still) next() time.Duration {
	if s.to < 1 {
		return never
	}
	return s.due()
}

func (s *still) appendFactor(dst expSum, t time.Duration, _ int, _ [2]float64) expSum {
	return appendExp(append(dst, expTerm{coef: s.to}), s.at(t)-s.to, 1/s.seconds())
}

func (*still) steady(load, int) float64 { return 1 }
