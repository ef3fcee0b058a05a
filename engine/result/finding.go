package result

import (
	"fmt"
	"math"
)

// Finding says how a value stands against its tolerance. It is empty where no
// tolerance was stated.
type Finding string

// The findings.
const (
	Pass         Finding = "pass"
	Fail         Finding = "fail"
	NotEvaluated Finding = "not_evaluated" // there was a tolerance, and nothing that decides it
)

// Bound says that a value is not the quantity itself but a limit of it, such
// as a black that lies below the meter's floor.
type Bound string

// The bounds.
const (
	Upper Bound = "upper" // the quantity is at most the value
	Lower Bound = "lower" // the quantity is at least the value
)

// Tolerance is the range in which a value passes, limits included, in the
// value's unit. A nil limit is open; at least one is set.
type Tolerance struct {
	Min *float64 `json:"min,omitempty"`
	Max *float64 `json:"max,omitempty"`
}

// check refuses a tolerance that cannot decide anything.
func (t Tolerance) check() error {
	if t.Min == nil && t.Max == nil {
		return fmt.Errorf("has a tolerance without a limit; give min, max or both")
	}
	for name, limit := range map[string]*float64{"min": t.Min, "max": t.Max} {
		if limit != nil && !finite(*limit) {
			return fmt.Errorf("has a tolerance whose %s is %v; it must be a finite number", name, *limit)
		}
	}
	if t.Min != nil && t.Max != nil && *t.Min > *t.Max {
		return fmt.Errorf("has a tolerance whose min (%v) is above its max (%v); make min the lower one", *t.Min, *t.Max)
	}
	return nil
}

// judge compares a quantity with the tolerance, and says why where it cannot.
//
// The rule is simple acceptance: the value decides, whatever its uncertainty
// is. A value that equals a limit (see [Same]) lies on it and passes. An upper
// bound v stands for all that is at most v: it passes only where all of that
// passes, and fails only where none of it does. A lower bound likewise.
//
// Source: [JCGM106], 8.2.
func (t Tolerance) judge(value float64, bound Bound) (finding Finding, why string) {
	low, high := value, value
	switch bound {
	case Upper:
		low = math.Inf(-1)
	case Lower:
		high = math.Inf(1)
	}
	tooLow := t.Min != nil && high < *t.Min && !Same(high, *t.Min)
	tooHigh := t.Max != nil && low > *t.Max && !Same(low, *t.Max)
	if tooLow || tooHigh {
		return Fail, ""
	}
	if t.Min != nil && low < *t.Min && !Same(low, *t.Min) {
		return NotEvaluated, fmt.Sprintf("%s bound of %s does not show that it is at least %s", article(bound), Number(value), Number(*t.Min))
	}
	if t.Max != nil && high > *t.Max && !Same(high, *t.Max) {
		return NotEvaluated, fmt.Sprintf("%s bound of %s does not show that it is at most %s", article(bound), Number(value), Number(*t.Max))
	}
	return Pass, ""
}

// article puts the article before a bound's name.
func article(b Bound) string {
	if b == Upper {
		return "an upper"
	}
	return "a lower"
}

// worse returns the graver of two findings: fail, then not evaluated, then
// pass, then none.
func worse(a, b Finding) Finding {
	grave := map[Finding]int{"": 0, Pass: 1, NotEvaluated: 2, Fail: 3}
	if grave[b] > grave[a] {
		return b
	}
	return a
}

// Tolerances within which two numbers are the same; see [Same].
const (
	sameRelative = 1e-9
	sameAbsolute = 1e-12
)

// Same says whether two numbers agree within 1e-9 relative (of the
// larger) or 1e-12 absolute. The absolute part is for what should cancel to
// nought and leaves rounding instead; no quantity that a display meter gives
// is told apart at 1e-12 of its unit. An infinity agrees with itself only, and
// NaN with nothing.
func Same(a, b float64) bool {
	d := math.Abs(a - b)
	if a == b || math.IsInf(d, 0) {
		return a == b
	}
	return d <= sameAbsolute || d <= sameRelative*math.Max(math.Abs(a), math.Abs(b))
}

func finite(f float64) bool { return !math.IsNaN(f) && !math.IsInf(f, 0) }
