package trial

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"candelua/engine/result"
	"candelua/engine/spell"
)

// verdict is the outcome of comparing one value of one run with its expectation.
type verdict string

const (
	passed  verdict = "passed"
	wrong   verdict = "wrong"         // evaluated, and outside: a wrong number that nobody would notice
	none    verdict = "not evaluated" // or only a bound that does not tell enough
	missing verdict = "missing"       // the run recorded no such value
)

var verdicts = []verdict{passed, wrong, none, missing}

func (v verdict) known() bool { return slices.Contains(verdicts, v) }

// judged is one value of one run against the truth.
type judged struct {
	Verdict verdict  `json:"verdict"`
	Err     *float64 `json:"error,omitempty"`   // value less truth, in the expectation's unit; nil where there is no number
	Bound   *float64 `json:"bound,omitempty"`   // how far from the truth a bound lies that holds; nil where it is none
	Covered *bool    `json:"covered,omitempty"` // whether the value's interval holds the truth; nil without one
	U       *float64 `json:"u,omitempty"`       // standard uncertainty, in the expectation's unit; nil without an interval
	Method  string   `json:"method,omitempty"`  // how the interval was had
	Why     string   `json:"why,omitempty"`     // where the number alone does not tell
}

// ok says whether the value lets its seed pass.
func (e *Expectation) ok(j judged) bool {
	return j.Verdict == passed || e.OrNone && j.Verdict == none
}

// judge compares a run's value with the truth.
func (e *Expectation) judge(r *result.Results, truth float64) judged {
	v, ok := r.ValueNow(e.ID)
	switch {
	case !ok:
		return judged{Verdict: missing, Why: e.whyMissing(r)}
	case v.Text != "":
		return judged{Verdict: wrong, Why: fmt.Sprintf("it is the text %q, not a number", v.Text)}
	case v.Value == nil:
		return judged{Verdict: none, Why: v.Why}
	case e.Unit != "" && !e.relative() && v.Unit != e.Unit:
		return judged{Verdict: wrong, Why: fmt.Sprintf("its unit is %q, and the trial expects %q; correct the one that is wrong", v.Unit, e.Unit)}
	case v.Bound != "":
		return e.judgeBound(v, truth)
	}
	off := e.distance(*v.Value, truth)
	if !finite(off) {
		return judged{Verdict: wrong, Why: fmt.Sprintf("it is %s, and its distance from the truth is too large for a number", result.Number(*v.Value))}
	}
	j := judged{Verdict: wrong, Err: &off}
	if math.Abs(off) <= e.Within || result.Same(math.Abs(off), e.Within) {
		j.Verdict = passed
	}
	if i := v.Interval; i != nil {
		covered := i[0] <= truth && truth <= i[1]
		j.Covered, j.Method = &covered, v.Method
	}
	if v.U != nil && v.Interval != nil {
		u := *v.U
		if e.relative() {
			u *= math.Abs(100 / truth)
		}
		j.U = &u
	}
	return j
}

// distance gives value less truth, in the expectation's unit.
func (e *Expectation) distance(value, truth float64) float64 {
	if e.relative() {
		return (value - truth) * (100 / truth)
	}
	return value - truth
}

// whyMissing says what the run recorded in place of the value.
func (e *Expectation) whyMissing(r *result.Results) string {
	var ids []string
	for _, v := range r.Values() {
		ids = append(ids, v.ID)
	}
	has := "it recorded " + strings.Join(ids, ", ")
	if len(ids) == 0 {
		has = "it recorded none"
	}
	if near := spell.Nearest(e.ID, ids); near != "" {
		return fmt.Sprintf("the run recorded no value with this id; did you mean %s? (%s)", near, has)
	}
	return "the run recorded no value with this id; " + has
}

// judgeBound compares a value that is a bound with the truth. A bound that does
// not hold is wrong, whether a bound was expected or not. A bound that holds but
// lies far from the truth says too little, although it is true.
func (e *Expectation) judgeBound(v *result.Value, truth float64) judged {
	holds := truth <= *v.Value || result.Same(truth, *v.Value)
	if v.Bound == result.Lower {
		holds = truth >= *v.Value || result.Same(truth, *v.Value)
	}
	switch {
	case !holds:
		return judged{Verdict: wrong, Why: fmt.Sprintf("the %s bound %s does not hold", v.Bound, result.Number(*v.Value))}
	}
	far := math.Abs(e.distance(*v.Value, truth))
	if !finite(far) {
		return judged{Verdict: none, Why: fmt.Sprintf("the distance of the %s bound %s from the truth is too large for a number", v.Bound, result.Number(*v.Value))}
	}
	j := judged{Verdict: passed, Bound: &far}
	switch {
	case v.Bound != e.Bound:
		j.Verdict, j.Why = none, fmt.Sprintf("it is only a bound (%s), but the trial wants %s", v.Bound, e.wanted())
	case far > e.BoundWithin && !result.Same(far, e.BoundWithin):
		j.Verdict, j.Why = none, fmt.Sprintf("the %s bound %s holds, but lies farther from the truth than bound_within", v.Bound, result.Number(*v.Value))
	}
	return j
}

// wanted says what kinds of value may pass.
func (e *Expectation) wanted() string {
	if e.Bound == "" {
		return "a number"
	}
	return fmt.Sprintf("a number or a bound of the kind %s", e.Bound)
}
