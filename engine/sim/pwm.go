package sim

import (
	"math"
	"time"
)

// pwm is light that is switched f times a second. Model of our own: all of the
// panel's light but black has the factor
//
//	p(t) = 1 − m + (m/δ)·[t·f mod 1 < δ]
//
// with the depth m and the duty δ, whose mean is 1. A reading sees its mean
// over the integration, in closed form; over a whole number of periods that is
// 1, over any other it beats.
type pwm struct{ p PWMParams }

// mean returns the mean of p over so many seconds from t on.
func (s pwm) mean(t time.Duration, over float64) float64 {
	if s.p.Depth == 0 || over == 0 {
		return 1
	}
	_, phase := math.Modf(t.Seconds() * s.p.Frequency)
	return (s.integral(phase+over*s.p.Frequency) - s.integral(phase)) / (over * s.p.Frequency)
}

// integral returns that of p from 0 to x periods.
func (s pwm) integral(x float64) float64 {
	whole, part := math.Modf(x)
	lit := whole*s.p.Duty + math.Min(part, s.p.Duty)
	return (1-s.p.Depth)*x + s.p.Depth/s.p.Duty*lit
}

// ripple returns how far, as a share, a reading of so many seconds can be off.
func (s pwm) ripple(over float64) float64 {
	if s.p.Depth == 0 {
		return 0
	}
	if n := over * s.p.Frequency; math.Abs(n-math.Round(n)) > 1e-4 {
		return s.p.Depth * (1 - s.p.Duty) / n
	}
	return 0
}

// fitted returns the whole number of periods nearest to an integration time.
func (s pwm) fitted(integration time.Duration) time.Duration {
	if s.p.Depth == 0 {
		return integration
	}
	n := math.Max(1, math.Round(integration.Seconds()*s.p.Frequency))
	return seconds(n / s.p.Frequency)
}
